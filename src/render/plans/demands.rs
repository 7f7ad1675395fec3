//! Why there is no kit, and what would help, in words.

use crate::domain::board::policy::Protection;
use crate::domain::finding::Value;
use crate::domain::optimise::{Change, Conflict, Demand, Diagnosis, Key, Relaxation};
use crate::domain::request::{Balance, InstalledPolicy, PartIx};
use crate::domain::rules::RULES;
use crate::domain::units::Mts;
use fluent_bundle::FluentArgs;
use std::fmt::Write;

use super::super::lists;
use super::super::text::wrapped;
use super::super::words::{Words, capitalised};
use super::Page;
use crate::domain::optimise::Limits;
use crate::render::values;
use crate::render::words::Context;

/// What is demanded.
#[derive(Clone, Copy)]
pub struct Asked<'a> {
    /// Board, wishes and policies.
    pub context: Context<'a>,
    /// Limits beside the wishes.
    pub limits: &'a Limits,
}

/// Which demands cannot hold together, as a sentence.
pub fn conflict(conflict: &Conflict, asked: Asked<'_>, words: &Words) -> String {
    let mut args = FluentArgs::new();
    args.set("demands", names(&conflict.demands, asked, words));
    words.say(conflict.message(), &args)
}

/// Demands as clauses.
pub fn names(demands: &[Demand], asked: Asked<'_>, words: &Words) -> String {
    let each = demands.iter().map(|demand| name(*demand, asked, words));
    lists::joined(&each.collect::<Vec<_>>(), words)
}

/// A demand as a clause.
pub fn name(demand: Demand, asked: Asked<'_>, words: &Words) -> String {
    let mut args = FluentArgs::new();
    if let Some(value) = value(demand, asked) {
        args.set("value", values::text(&value, words, asked.context));
    }
    if let Demand::Rule(rule) = demand {
        let rule = RULES.get(rule);
        args.set("rule", rule.map_or("?", |rule| rule.id));
    }
    words.say(id(demand, asked.context), &args)
}

fn id(demand: Demand, context: Context<'_>) -> &'static str {
    let request = context.request;
    match demand {
        Demand::CapacityAtLeast => "demand-capacity-at-least",
        Demand::RateAtLeast => "demand-rate-at-least",
        Demand::Budget => "demand-budget",
        Demand::CapacityAtMost => "demand-capacity-at-most",
        Demand::Power => "demand-power",
        Demand::Peak => "demand-peak",
        Demand::Uniform => "demand-uniform",
        Demand::FreeSlots => "demand-free-slots",
        Demand::Balance => match request.wishes.balance.map(|wish| wish.value) {
            Some(Balance::Sockets) => "demand-balance-sockets",
            _ => "demand-balance-channels",
        },
        Demand::ChipCorrection => "demand-chip-correction",
        Demand::RankInterleave => "demand-rank-interleave",
        Demand::Licence => "demand-licence",
        Demand::OnePart => "demand-one-part",
        Demand::Builds => "demand-builds",
        Demand::Moved => "demand-moved",
        Demand::Protection => match request.protection {
            Protection::RankSpare => "demand-rank-spare",
            Protection::Lockstep => "demand-lockstep",
            _ => "demand-mirrored",
        },
        Demand::VoltagePolicy => "demand-lowest-voltage",
        Demand::Installed => match request.installed_policy {
            InstalledPolicy::InPlace => "demand-in-place",
            InstalledPolicy::Replace => "demand-replace",
            _ => "demand-keep",
        },
        Demand::Stock => "demand-stock",
        Demand::Rule(_) => "demand-rule",
    }
}

/// What is demanded, where it is an amount.
pub fn value(demand: Demand, asked: Asked<'_>) -> Option<Value> {
    let wishes = &asked.context.request.wishes;
    let count = |count: u32| Value::Count(u64::from(count));
    match demand {
        Demand::CapacityAtLeast => wishes.capacity_at_least.map(|w| Value::Capacity(w.value)),
        Demand::CapacityAtMost => wishes.capacity_at_most.map(|w| Value::Capacity(w.value)),
        Demand::Licence => wishes.licence.map(|w| Value::Capacity(w.value)),
        Demand::RateAtLeast => wishes.rate_at_least.map(|w| Value::Rate(w.value)),
        Demand::Budget => wishes.budget.map(|w| Value::Money(w.value)),
        Demand::Power => wishes.power_at_most.map(|w| Value::Power(w.value)),
        Demand::Peak => asked.limits.peak_at_least.map(Value::Bandwidth),
        Demand::Uniform => asked.limits.uniform_at_least.map(Value::Bandwidth),
        Demand::FreeSlots => wishes.free_slots.map(|w| count(u32::from(w.value))),
        Demand::Builds => {
            let most = asked.limits.builds_at_most;
            most.map(|most| count(u32::from(most)))
        }
        Demand::Moved => asked.limits.moved_at_most.map(count),
        Demand::Rule(_) => match asked.context.board.mixing.capacities_per_board {
            crate::domain::board::Limit::Is(most) => Some(count(u32::from(most))),
            _ => None,
        },
        _ => None,
    }
}

/// What a change leads to, where it is an amount.
pub fn new_value(change: Change, page: &Page<'_>) -> Option<Value> {
    let count = |count: u32| Some(Value::Count(u64::from(count)));
    match change {
        Change::Budget(minor) => Some(Key::Cost.measured(minor, page.currency)),
        Change::CapacityAtLeast(mib) | Change::CapacityAtMost(mib) | Change::Licence(mib) => {
            Some(Value::Capacity(mib))
        }
        Change::RateAtLeast(rate) => Some(Value::Rate(rate)),
        Change::Power(power) => Some(Value::Power(power)),
        Change::Peak(bandwidth) | Change::Uniform(bandwidth) => Some(Value::Bandwidth(bandwidth)),
        Change::FreeSlots(slots) => count(u32::from(slots)),
        Change::Parts(parts) => count(u32::from(parts)),
        Change::Builds(builds) => count(u32::from(builds)),
        Change::Moved(modules) | Change::Stock(_, modules) => count(modules),
        Change::CapacitiesOfBoard(capacities) => count(u32::from(capacities)),
        Change::Balance(_)
        | Change::NoChipCorrection
        | Change::NoRankInterleave
        | Change::NoProtection
        | Change::AnyVoltage
        | Change::Installed(_) => None,
    }
}

/// What stands there now, where it is an amount.
pub fn old_value(relaxation: &Relaxation, page: &Page<'_>) -> Option<Value> {
    match relaxation.change {
        Change::Parts(_) => Some(Value::Count(1)),
        Change::Stock(part, _) => stock_of(part, page).map(|now| Value::Count(u64::from(now))),
        _ => value(relaxation.demand, page.asked()),
    }
}

fn stock_of(part: PartIx, page: &Page<'_>) -> Option<u32> {
    page.context.request.part(part)?.stock
}

/// A change as a sentence.
pub fn sentence(relaxation: &Relaxation, page: &Page<'_>, words: &Words) -> String {
    let mut args = FluentArgs::new();
    let mut set = |name: &'static str, value: Option<Value>| {
        if let Some(value) = value {
            args.set(name, page.text(&value, words));
        }
    };
    set("from", old_value(relaxation, page));
    set("to", new_value(relaxation.change, page));
    set("by", difference(relaxation, page));
    if let Change::Stock(part, _) = relaxation.change {
        args.set("part", page.context.part_name(part).to_owned());
    }
    capitalised(words.say(change_id(relaxation.change), &args))
}

/// How far the budget rises or the rate falls.
fn difference(relaxation: &Relaxation, page: &Page<'_>) -> Option<Value> {
    let from = old_value(relaxation, page)?;
    match (from, new_value(relaxation.change, page)?) {
        (Value::Money(from), Value::Money(to)) => {
            Some(Key::Cost.measured(to.minor - from.minor, page.currency))
        }
        (Value::Rate(from), Value::Rate(to)) => Some(Value::Rate(Mts(from.0.saturating_sub(to.0)))),
        _ => None,
    }
}

const fn change_id(change: Change) -> &'static str {
    match change {
        Change::Budget(_) => "change-budget",
        Change::CapacityAtLeast(_) => "change-capacity-at-least",
        Change::CapacityAtMost(_) => "change-capacity-at-most",
        Change::Licence(_) => "change-licence",
        Change::RateAtLeast(_) => "change-rate-at-least",
        Change::Power(_) => "change-power",
        Change::Peak(_) => "change-peak",
        Change::Uniform(_) => "change-uniform",
        Change::FreeSlots(_) => "change-free-slots",
        Change::Balance(Some(_)) => "change-balance-sockets",
        Change::Balance(None) => "change-balance-none",
        Change::NoChipCorrection => "change-no-chip-correction",
        Change::NoRankInterleave => "change-no-rank-interleave",
        Change::Parts(_) => "change-parts",
        Change::Builds(_) => "change-builds",
        Change::Moved(_) => "change-moved",
        Change::NoProtection => "change-no-protection",
        Change::AnyVoltage => "change-any-voltage",
        Change::Installed(InstalledPolicy::Keep) => "change-keep",
        Change::Installed(_) => "change-may-remove",
        Change::Stock(..) => "change-stock",
        Change::CapacitiesOfBoard(_) => "change-capacities-of-board",
    }
}

/// What would help, for a page.
pub fn changes(out: &mut String, diagnosis: &Diagnosis, page: &Page<'_>, words: &Words) {
    let _ = writeln!(out, "\n{}", words.plain("changes-title"));
    if diagnosis.relaxations.is_empty() {
        let _ = writeln!(out, "  {}", wrapped(&words.plain("changes-none"), 4));
    }
    for relaxation in &diagnosis.relaxations {
        let mut line = sentence(relaxation, page, words);
        if !relaxation.least {
            line.push(' ');
            line.push_str(&words.plain("change-not-least"));
        }
        let _ = writeln!(out, "  - {}", wrapped(&line, 4));
    }
    if !diagnosis.undecided.is_empty() {
        let mut args = FluentArgs::new();
        args.set("demands", names(&diagnosis.undecided, page.asked(), words));
        let _ = writeln!(
            out,
            "  {}",
            wrapped(&words.say("changes-undecided", &args), 4)
        );
    }
}
