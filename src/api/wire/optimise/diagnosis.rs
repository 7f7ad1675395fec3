//! Why there is no kit, and what would help, as JSON.

use crate::domain::board::policy::Protection;
use crate::domain::finding::Fix;
use crate::domain::optimise::{Change, Demand, Diagnosis, Relaxation};
use crate::domain::request::{InstalledPolicy, VoltagePolicy};
use crate::domain::rules::RULES;
use crate::render::plans::{Page, demands};
use crate::render::words::{Context, Words, capitalised};
use serde::Serialize;
use serde_json::{Value, json};
use utoipa::ToSchema;

use super::super::finding::{ParamBody, Pointers};
use super::super::patch::{Operation, balance_word, edit, operations, wished};
use super::Asked;
use super::answer::SumBody;

/// Why there is no kit, and what would help.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = WhyNot)]
pub struct DiagnosisBody {
    /// Demands that cannot hold together. Without any one of those that are `needed` the others can, if no
    /// demand outside this list is made. With all other demands kept, one less of them need not be
    /// enough: `changes` tells what is.
    pub conflict: Vec<DemandBody>,
    /// Changes of one demand each, as small as possible, of which each alone makes a kit possible.
    pub changes: Vec<ChangeBody>,
    /// Demands of which it was not found out in time whether changing them alone helps.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(example = json!([]))]
    pub undecided: Vec<&'static str>,
    /// How many searches it took.
    #[schema(example = 24)]
    pub searches: u32,
}

/// Something that is demanded.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Demand)]
pub struct DemandBody {
    /// A member of the request (`capacity_at_least_mib`, `installed_policy`, `stock`, ...), or a rule's
    /// id.
    #[schema(example = "budget")]
    pub demand: &'static str,
    /// Whether it is a rule of the board.
    pub is_rule: bool,
    /// Where it stands in the request.
    #[schema(example = json!(["/wishes/budget"]))]
    pub pointers: Vec<String>,
    /// In words.
    #[schema(example = "At most 90.00 EUR")]
    pub sentence: String,
    /// Whether the others of the list surely can hold together without it, demands outside the list
    /// aside; false if that was not found out in time.
    pub needed: bool,
}

/// A change that alone makes a kit possible.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Change)]
pub struct ChangeBody {
    /// What changes.
    #[schema(example = "budget")]
    pub demand: &'static str,
    /// In words.
    #[schema(example = "Raise the budget by 42.00 EUR to 132.00 EUR.")]
    pub sentence: String,
    /// The amount now, where it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<ParamBody>,
    /// The amount that it takes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<ParamBody>,
    /// Whether a smaller change is known not to be enough.
    pub least: bool,
    /// The same as an RFC 6902 patch to the request, with a `test` of what it replaces; missing where
    /// the request cannot say it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub patch: Option<Vec<Operation>>,
    /// What a kit costs then. It need not be the cheapest.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<SumBody>,
    /// Usable capacity of that kit, in MiB.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 262144)]
    pub usable_mib: Option<u64>,
    /// Its rate, in MT/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 1333)]
    pub rate_mts: Option<u32>,
}

/// A diagnosis as JSON.
pub fn body(
    diagnosis: &Diagnosis,
    asked: &Asked<'_>,
    page: &Page<'_>,
    words: &Words,
) -> DiagnosisBody {
    let conflict = diagnosis.conflict.demands.iter().map(|demand| DemandBody {
        demand: word(*demand),
        is_rule: matches!(demand, Demand::Rule(_)),
        pointers: pointers(*demand, asked),
        sentence: capitalised(demands::name(*demand, page.asked(), words)),
        needed: !diagnosis.conflict.undecided.contains(demand),
    });
    DiagnosisBody {
        conflict: conflict.collect(),
        changes: diagnosis
            .relaxations
            .iter()
            .map(|relaxation| change(relaxation, asked, page, words))
            .collect(),
        undecided: diagnosis.undecided.iter().map(|d| word(*d)).collect(),
        searches: diagnosis.searches,
    }
}

/// The member of the request that demands it.
fn word(demand: Demand) -> &'static str {
    match demand {
        Demand::CapacityAtLeast => "capacity_at_least_mib",
        Demand::RateAtLeast => "rate_at_least_mts",
        Demand::Budget => "budget",
        Demand::CapacityAtMost => "capacity_at_most_mib",
        Demand::Power => "peak_power_at_most_mw",
        Demand::Peak => "peak_at_least_mb_per_s",
        Demand::Uniform => "uniform_at_least_mb_per_s",
        Demand::FreeSlots => "free_slots",
        Demand::Balance => "balance",
        Demand::ChipCorrection => "chip_correction",
        Demand::RankInterleave => "rank_interleave",
        Demand::Licence => "licence_at_most_mib",
        Demand::OnePart => "one_part",
        Demand::Builds => "builds_at_most",
        Demand::Moved => "moved_at_most",
        Demand::Protection => "protection",
        Demand::VoltagePolicy => "voltage_policy",
        Demand::Installed => "installed_policy",
        Demand::Stock => "stock",
        Demand::Rule(rule) => RULES.get(rule).map_or("?", |rule| rule.id),
    }
}

fn pointers(demand: Demand, asked: &Asked<'_>) -> Vec<String> {
    let word = word(demand);
    match demand {
        Demand::Rule(_) => Vec::new(),
        Demand::Protection | Demand::VoltagePolicy | Demand::Installed => vec![format!("/{word}")],
        Demand::OnePart | Demand::Builds | Demand::Moved | Demand::Peak | Demand::Uniform => {
            vec![format!("/limits/{word}")]
        }
        Demand::Stock => match asked.lines.is_empty() {
            true => vec!["/for_sale".to_owned()],
            false => asked
                .for_sale
                .iter()
                .filter(|part| {
                    let module = asked.resolved.request.part(**part);
                    module.is_some_and(|module| module.stock.is_some())
                })
                .filter_map(|part| asked.line_of(*part))
                .collect(),
        },
        _ => vec![format!("/wishes/{word}")],
    }
}

fn change(
    relaxation: &Relaxation,
    asked: &Asked<'_>,
    page: &Page<'_>,
    words: &Words,
) -> ChangeBody {
    let at = Pointers {
        context: page.context,
        words,
    };
    let outcome = &relaxation.plan.outcome;
    ChangeBody {
        demand: word(relaxation.demand),
        sentence: demands::sentence(relaxation, page, words),
        from: demands::old_value(relaxation, page).map(|value| at.param(&value)),
        to: demands::new_value(relaxation.change, page).map(|value| at.param(&value)),
        least: relaxation.least,
        patch: patch(relaxation.change, asked),
        cost: asked.currency.map(|currency| SumBody {
            minor: relaxation.plan.values.cost,
            currency: currency.code().to_owned(),
        }),
        usable_mib: outcome.usable.map(|capacity| capacity.0),
        rate_mts: outcome.rate.map(|rate| rate.0),
    }
}

/// A change as a patch to the request.
fn patch(change: Change, asked: &Asked<'_>) -> Option<Vec<Operation>> {
    let request = &asked.resolved.request;
    let wish = |member: &str, value: Value| {
        let old = wished(member, &request.wishes);
        edit(format!("/wishes/{member}"), old, value)
    };
    let limit = |member: &str, old: Option<Value>, value: Value| {
        edit(format!("/limits/{member}"), old, value)
    };
    let limits = &asked.limits;
    Some(match change {
        Change::Budget(minor) => {
            let currency = asked.currency?;
            let money = json!({"minor": minor, "currency": currency.code()});
            wish("budget", money)
        }
        Change::CapacityAtLeast(mib) => wish("capacity_at_least_mib", json!(mib.0)),
        Change::CapacityAtMost(mib) => wish("capacity_at_most_mib", json!(mib.0)),
        Change::Licence(mib) => wish("licence_at_most_mib", json!(mib.0)),
        Change::RateAtLeast(rate) => wish("rate_at_least_mts", json!(rate.0)),
        Change::Power(power) => wish("peak_power_at_most_mw", json!(power.0)),
        Change::FreeSlots(count) => wish("free_slots", json!(count)),
        Change::Balance(balance) => wish("balance", json!(balance.map(balance_word))),
        Change::NoChipCorrection => wish("chip_correction", json!(false)),
        Change::NoRankInterleave => wish("rank_interleave", json!(false)),
        Change::Peak(bandwidth) => {
            let old = limits.peak_at_least.map(|old| json!(old.0));
            limit("peak_at_least_mb_per_s", old, json!(bandwidth.0))
        }
        Change::Uniform(bandwidth) => {
            let old = limits.uniform_at_least.map(|old| json!(old.0));
            limit("uniform_at_least_mb_per_s", old, json!(bandwidth.0))
        }
        Change::Parts(_) => {
            let old = limits.one_part.then_some(json!(true));
            limit("one_part", old, json!(false))
        }
        Change::Builds(count) => {
            let old = limits.builds_at_most.map(|old| json!(old));
            limit("builds_at_most", old, json!(count))
        }
        Change::Moved(count) => {
            let old = limits.moved_at_most.map(|old| json!(old));
            limit("moved_at_most", old, json!(count))
        }
        Change::NoProtection => fix(Fix::SetProtection(Protection::None), asked)?,
        Change::AnyVoltage => fix(Fix::SetVoltagePolicy(VoltagePolicy::Fastest), asked)?,
        Change::Installed(policy) => {
            let named = request.names.installed_policy;
            let old = named.then(|| policy_word(request.installed_policy));
            edit("/installed_policy", old, policy_word(policy))
        }
        Change::Stock(part, count) => {
            // Only a list of one's own can say it.
            let line = asked.line_of(part)?;
            let old = asked.stock_of_line(part).map(|old| json!(old));
            edit(format!("{line}/stock"), old, json!(count))
        }
        Change::CapacitiesOfBoard(_) => return None,
    })
}

/// What a check would offer as well.
fn fix(fix: Fix, asked: &Asked<'_>) -> Option<Vec<Operation>> {
    let context = Context {
        board: asked.resolved.board.board(),
        request: &asked.resolved.request,
    };
    operations(&fix, context)
}

fn policy_word(policy: InstalledPolicy) -> Value {
    json!(match policy {
        InstalledPolicy::InPlace => "in_place",
        InstalledPolicy::Keep => "keep",
        InstalledPolicy::MayRemove => "may_remove",
        InstalledPolicy::Replace => "replace",
    })
}
