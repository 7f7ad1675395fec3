//! The answer to an optimise request as JSON.

use crate::domain::optimise::{Counts, Cut, Key, Line, Plan, Preference, Status};
use crate::domain::population::Origin;
use crate::domain::request::PartIx;
use crate::render::plans::{self, Found, Page};
use crate::render::words::Words;
use serde::Serialize;
use utoipa::ToSchema;

use super::super::answer::{QuantityBody, SeatBody};
use super::super::finding::Pointers;
use super::super::note::{self, NoteBody};
use super::super::outcome::{self, OutcomeBody};
use super::super::pointer::Pointer;
use super::super::read_inventory::InstalledBody;
use super::Asked;
use super::diagnosis::{self, DiagnosisBody};
use super::preference::key_word;

/// The answer: what to buy, what goes where, and how sure that is.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = OptimiseAnswer)]
pub struct OptimiseBody<'a> {
    /// The caller's own reference, echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "quote-2041")]
    pub reference: Option<&'a str>,
    /// `proven`: no kit is better than the plans. `best_found`: the search was cut. `infeasible`: no
    /// kit meets every wish. `undecided`: no kit was found, and it is not known whether there is one.
    /// Of a front: `proven` if all points are there, `best_found` if there may be more.
    #[schema(example = "proven")]
    pub status: &'static str,
    /// What cut the search: `time` (the same request may be answered otherwise the next time) or
    /// `steps`. Beside `proven`: what cut it among kits that are equal in what is preferred.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "steps")]
    pub cut_by: Option<&'static str>,
    /// Whether kits were passed over because a fact that could forbid them is not known.
    pub facts_missing: bool,
    /// The answer in words.
    #[schema(example = json!(["This is the best kit: none that meets every wish is better."]))]
    pub summary: Vec<String>,
    /// The board.
    #[schema(example = "tarn")]
    pub board: &'a str,
    /// Revision of the catalogue that decided: SHA-256 over its content.
    pub catalogue_revision: &'a str,
    /// Version of the engine that decided.
    #[schema(example = "0.1.0")]
    pub engine_version: &'static str,
    /// What proves it: no kit does better in what was preferred first.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bound: Option<BoundBody>,
    /// Kits, the best first. Of those that are equal in what is preferred the cheapest stands first, then
    /// the one with fewest modules moved or taken out. What is equal in that too always stands in the
    /// same order, but there may be more of it than is found: name it in the preference if it matters.
    pub plans: Vec<PlanBody<'a>>,
    /// What the plans are, if a front was asked for: its points, sorted by the keys.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub front: Option<FrontBody>,
    /// Why there is no kit, and what would help.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why_not: Option<DiagnosisBody>,
    /// What was for sale.
    pub for_sale: ForSaleBody,
    /// What the search did.
    pub search: SearchBody,
    /// Installed modules that were taken from a report, in the order that pointers such as
    /// `/installed/3` count.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    pub installed: &'a [InstalledBody],
    /// What was noted while labels or a report were read.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<NoteBody>,
}

/// The best that may be possible.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Bound)]
pub struct BoundBody {
    /// What was preferred first; left out for weights.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "cost")]
    pub key: Option<&'static str>,
    /// No kit does better: in the unit of the key, or the weighted sum.
    #[schema(example = 30080)]
    pub best_possible: i64,
    /// How far the best plan is from it; 0 where it is proven.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 0)]
    pub gap: Option<i64>,
}

/// A front.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Front)]
pub struct FrontBody {
    /// Its keys.
    #[schema(example = json!(["cost", "usable"]))]
    pub keys: Vec<&'static str>,
    /// Whether all points are there, to one unit of each key (minor unit, MiB, MT/s, MB/s, mW). If not,
    /// each plan still is a point of the front.
    pub complete: bool,
}

/// A kit with its placement.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Plan)]
pub struct PlanBody<'a> {
    /// What is paid, handling included; left out where nothing has a price.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost: Option<SumBody>,
    /// Handling of installed modules.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub handling: Option<SumBody>,
    /// What to buy.
    pub buy: Vec<BuyBody<'a>>,
    /// Modules that are bought and find no use.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub left_over: Vec<QuantityBody>,
    /// Installed modules that stay where they are: JSON Pointers.
    pub kept: Vec<String>,
    /// Installed modules that get another slot.
    pub moved: Vec<MoveBody<'a>>,
    /// Installed modules that come out: JSON Pointers.
    pub removed: Vec<String>,
    /// Taken slots in the order of sockets, channels and positions. `from` is a pointer to an installed
    /// module (`/installed/0` of the request) or to what is bought (`/buy/0` of this plan).
    pub slots: Vec<SeatBody<'a>>,
    /// What comes out.
    pub outcome: OutcomeBody,
    /// The value of everything that can be preferred.
    pub values: ValuesBody,
    /// The processor model that the outcome is for, if the request does not tell the model: the
    /// slowest.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "tarn-8")]
    pub model: Option<&'a str>,
}

/// What several things cost together.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Sum)]
pub struct SumBody {
    /// In minor units of the currency (cents, pence).
    #[schema(example = 98000, minimum = 0)]
    pub minor: i64,
    /// ISO 4217 code.
    #[schema(example = "EUR")]
    pub currency: String,
}

/// A line to buy.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Buy)]
pub struct BuyBody<'a> {
    /// The module.
    #[schema(example = "ERW-3R16-2x4")]
    pub module: &'a str,
    /// How many: a multiple of the pack.
    #[schema(example = 16)]
    pub quantity: u32,
    /// How many of them are seated.
    #[schema(example = 16)]
    pub seated: u32,
    /// What all of them cost.
    pub cost: SumBody,
    /// The line of the request that offers it, for a list of one's own.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "/for_sale/0")]
    pub pointer: Option<String>,
}

/// An installed module that gets another slot.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Move)]
pub struct MoveBody<'a> {
    /// The installed module: a JSON Pointer.
    #[schema(example = "/installed/0")]
    pub pointer: String,
    /// Its slot now, if that was told.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "A1")]
    pub from: Option<&'a str>,
    /// Its slot then.
    #[schema(example = "B1")]
    pub to: &'a str,
}

/// Everything that can be preferred; what is not known counts as 0.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = PlanValues)]
pub struct ValuesBody {
    /// In minor units.
    #[schema(example = 30080)]
    pub cost: i64,
    /// In MiB.
    #[schema(example = 262144)]
    pub usable: i64,
    /// In MT/s.
    #[schema(example = 1600)]
    pub rate: i64,
    /// In MB/s.
    #[schema(example = 102400)]
    pub peak: i64,
    /// In MB/s.
    #[schema(example = 102400)]
    pub uniform: i64,
    /// In mW.
    #[schema(example = 92800)]
    pub power: i64,
    /// Modules.
    #[schema(example = 16)]
    pub modules: i64,
    /// Slots.
    #[schema(example = 8)]
    pub free_slots: i64,
    /// Modules.
    #[schema(example = 0)]
    pub moved: i64,
    /// Distinct modules.
    #[schema(example = 1)]
    pub parts: i64,
}

/// What was for sale.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = OnSale)]
pub struct ForSaleBody {
    /// Modules that could be bought.
    #[schema(example = 34)]
    pub modules: usize,
    /// Modules of the catalogue that were left aside: without a price, or in another currency.
    #[schema(example = 0)]
    pub left_aside: u32,
}

/// What the search did.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Search)]
pub struct SearchBody {
    /// Parts of the search: one for each rate, supply voltage and set of modules that go together.
    #[schema(example = 4)]
    pub parts: u64,
    /// Of those, how many were closed by their bound alone.
    #[schema(example = 3)]
    pub closed_by_bound: u64,
    /// Ways to fill a channel that the rules allow.
    #[schema(example = 120)]
    pub channel_fillings: u64,
    /// Steps.
    #[schema(example = 210)]
    pub steps: u64,
    /// Whole boards that were judged.
    #[schema(example = 2)]
    pub boards_judged: u64,
    /// Of those, how many a rule refused.
    #[schema(example = 0)]
    pub boards_refused: u64,
}

/// What an answer says beside the core's own.
#[derive(Clone, Copy, Debug)]
pub struct Frame<'a> {
    /// The caller's reference.
    pub reference: Option<&'a str>,
    /// The catalogue's revision.
    pub revision: &'a str,
}

/// An answer as JSON.
pub fn body<'a>(
    asked: &'a Asked<'a>,
    frame: Frame<'a>,
    page: Page<'a>,
    words: &'a Words,
) -> OptimiseBody<'a> {
    let found = page.found;
    OptimiseBody {
        reference: frame.reference,
        status: status_word(found.status),
        cut_by: found.cut.map(|cut| match cut {
            Cut::Time => "time",
            Cut::Steps => "steps",
        }),
        facts_missing: found.open,
        summary: plans::headline(&page, words),
        board: &page.context.board.id,
        catalogue_revision: frame.revision,
        engine_version: env!("CARGO_PKG_VERSION"),
        bound: bound(found, &page),
        plans: found
            .plans
            .iter()
            .map(|plan| plan_body(plan, asked, page, words))
            .collect(),
        front: found.front.as_ref().map(|(keys, complete)| FrontBody {
            keys: keys.iter().map(|key| key_word(*key)).collect(),
            complete: *complete,
        }),
        why_not: found
            .diagnosis
            .as_ref()
            .map(|diagnosis| diagnosis::body(diagnosis, asked, &page, words)),
        for_sale: ForSaleBody {
            modules: asked.for_sale.len(),
            left_aside: asked.set_aside,
        },
        search: search(found.counts),
        installed: &asked.resolved.taken,
        notes: note::in_language(&asked.resolved.notes, words),
    }
}

/// The word of a status.
pub const fn status_word(status: Status) -> &'static str {
    match status {
        Status::Proven => "proven",
        Status::BestFound => "best_found",
        Status::Infeasible => "infeasible",
        Status::Undecided => "undecided",
    }
}

fn bound(found: &Found, page: &Page<'_>) -> Option<BoundBody> {
    let (key, sign) = match page.preference {
        Preference::Ordered(keys) => {
            let key = *keys.first()?;
            (Some(key_word(key)), key.sign())
        }
        Preference::Weighted(_) => (None, 1),
    };
    Some(BoundBody {
        key,
        best_possible: short(sign * found.bound?),
        gap: found.gap.map(short),
    })
}

fn short(value: i128) -> i64 {
    let most = i128::from(i64::MAX);
    i64::try_from(value.clamp(-most, most)).unwrap_or(i64::MAX)
}

const fn search(counts: Counts) -> SearchBody {
    SearchBody {
        parts: counts.jobs,
        closed_by_bound: counts.closed_by_bound,
        channel_fillings: counts.columns,
        steps: counts.nodes,
        boards_judged: counts.leaves,
        boards_refused: counts.refused,
    }
}

fn plan_body<'a>(
    plan: &'a Plan,
    asked: &'a Asked<'a>,
    page: Page<'a>,
    words: &'a Words,
) -> PlanBody<'a> {
    let context = page.context;
    let at = Pointers { context, words };
    let money = |minor: i64| {
        let currency = asked.currency?.code().to_owned();
        Some(SumBody { minor, currency })
    };
    let installed = |entry: &u32| format!("/installed/{entry}");
    let slots = plan.population.occupied().filter_map(|(slot, occupant)| {
        let record = context.board.slot(slot)?;
        Some(SeatBody {
            slot: &record.label,
            socket: record.place.socket,
            channel: record.place.channel,
            position: record.place.position,
            module: name_of(occupant.part, page),
            from: match occupant.origin {
                Origin::Installed(entry) => installed(&entry).into(),
                Origin::Kit(line) | Origin::Population(line) => {
                    Pointer::Entry("buy", bought(plan, line))
                }
            },
        })
    });
    PlanBody {
        cost: money(plan.values.cost),
        handling: money(plan.cost.handling).filter(|money| money.minor > 0),
        buy: plan
            .lines
            .iter()
            .map(|line| buy(line, asked, page))
            .collect(),
        left_over: plan
            .left_over()
            .into_iter()
            .map(|(part, quantity)| QuantityBody {
                module: name_of(part, page).to_owned(),
                quantity,
            })
            .collect(),
        kept: plan.kept.iter().map(installed).collect(),
        moved: plans::moves(plan, context)
            .into_iter()
            .map(|(entry, from, to)| MoveBody {
                pointer: installed(&entry),
                from: from.map(|slot| context.board.label(slot)),
                to: context.board.label(to),
            })
            .collect(),
        removed: plan.removed.iter().map(installed).collect(),
        slots: slots.collect(),
        outcome: outcome::body(&plan.outcome, &at),
        values: values(plan),
        model: plan
            .model
            .and_then(|model| context.board.processors.get(model))
            .map(|model| model.id.as_str()),
    }
}

/// The line of the plan that is a line of its kit: lines of which nothing is seated are no kit.
fn bought(plan: &Plan, kit: u32) -> usize {
    let seated = plan.lines.iter().enumerate();
    let mut seated = seated.filter(|(_, line)| line.seated > 0);
    seated
        .nth(kit as usize)
        .map_or(kit as usize, |(index, _)| index)
}

fn name_of(part: PartIx, page: Page<'_>) -> &str {
    let module = page.context.request.part(part);
    module.map_or("?", |module| module.name.as_str())
}

fn buy<'a>(line: &Line, asked: &Asked<'_>, page: Page<'a>) -> BuyBody<'a> {
    BuyBody {
        module: name_of(line.part, page),
        quantity: line.quantity,
        seated: line.seated,
        cost: SumBody {
            minor: line.cost.minor,
            currency: line.cost.currency.code().to_owned(),
        },
        pointer: asked.line_of(line.part),
    }
}

const fn values(plan: &Plan) -> ValuesBody {
    let values = &plan.values;
    ValuesBody {
        cost: values.of(Key::Cost),
        usable: values.of(Key::Usable),
        rate: values.of(Key::Rate),
        peak: values.of(Key::Peak),
        uniform: values.of(Key::Uniform),
        power: values.of(Key::Power),
        modules: values.of(Key::Modules),
        free_slots: values.of(Key::FreeSlots),
        moved: values.of(Key::Moved),
        parts: values.of(Key::Parts),
    }
}
