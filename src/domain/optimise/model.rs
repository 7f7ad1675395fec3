//! What is asked of the optimiser and what it answers.

use super::super::board::Board;
use super::super::channel::Stack;
use super::super::finding::Value;
use super::super::outcome::Outcome;
use super::super::population::{Origin, Population};
use super::super::request::{InstalledPolicy, KitLine, PartIx, Request, Seated};
use super::super::rules::RuleSet;
use super::super::units::{Currency, MegabytesPerSecond, Mib, Milliwatts, Money, Mts};

/// What is to be optimised.
///
/// The state of the board stands in [`Task::request`]: installed modules and what may happen to them,
/// processors, firmware, protection, voltage policy. Its kit and population are ignored. Every wish
/// counts as one that must be met; the balance is stricter than in a check (see [`Task::request`]).
pub struct Task<'a> {
    /// The board.
    pub board: &'a Board,
    /// The state of the board, the wishes, and in `parts` every module that is installed or for
    /// sale. A wish for balance means here that channels (or sockets) hold the same *builds* of
    /// module, which gives them the same capacity. The budget covers modules and handling.
    pub request: Request,
    /// Which parts may be bought. One without a price, or priced in another currency than
    /// [`Task::currency_of`], is left aside. Price (of one module), stock (in modules) and pack are
    /// the module's facts; an untold stock has no limit, an untold pack is 1.
    pub for_sale: Vec<PartIx>,
    /// What moving or taking out one installed module costs, in minor units; not negative.
    pub handling: i64,
    /// What counts, beyond the wishes of the request.
    pub limits: Limits,
    /// What is preferred.
    pub preference: Preference,
    /// How many plans are wanted at most; at least 1. They differ in how many modules of each build are
    /// on the board; or, where that is the same, each leaves out a part that every better one buys.
    pub plans: u16,
    /// Rules (by index) that do not count: for asking what stands in the way.
    pub ignored: RuleSet,
    /// The most steps of the search. A step is one set of counts that is looked at, or as much work.
    pub steps: u64,
    /// Asked now and then, at least every millisecond or so; the search ends when it says true. It
    /// may look at a clock or a flag, which the core must not.
    pub stop: &'a dyn Fn() -> bool,
}

/// Limits that a check has no wish for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Limits {
    /// Only one part number among all modules on the board.
    pub one_part: bool,
    /// The most builds of module on the board: capacity, ranks, width and all else that rules see,
    /// rate, voltages and price aside.
    pub builds_at_most: Option<u16>,
    /// Peak bandwidth at least.
    pub peak_at_least: Option<MegabytesPerSecond>,
    /// Uniform-access bandwidth at least.
    pub uniform_at_least: Option<MegabytesPerSecond>,
    /// The most modules moved or taken out.
    pub moved_at_most: Option<u32>,
    /// A rate that is not known counts as one that nothing but module and processor limit: for asking
    /// whether any plan could do.
    pub at_best: bool,
    /// Of plans with equal scores the cheapest counts as better: for deciding among them.
    pub tie_cost: bool,
    /// Of plans with equal scores (and costs, where these count) the one with fewest modules moved or
    /// taken out counts as better.
    pub tie_moved: bool,
    /// Of the installed modules of each build as many count as left in their slots as there are modules
    /// of it on the board, wherever these go: for asking what moves come to at least.
    pub moves_at_best: bool,
}

/// Something to prefer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Key {
    /// What is paid, handling included: less is better.
    Cost,
    /// Usable capacity: more is better.
    Usable,
    /// Rate of the slowest channel: more is better.
    Rate,
    /// Peak bandwidth: more is better.
    Peak,
    /// Bandwidth when all memory is read evenly: more is better.
    Uniform,
    /// Peak power of all modules: less is better.
    Power,
    /// Modules on the board: fewer is better.
    Modules,
    /// Slots left free: more is better.
    FreeSlots,
    /// Installed modules moved or taken out: fewer is better.
    Moved,
    /// Distinct parts on the board: fewer is better.
    Parts,
}

impl Key {
    /// Every key.
    pub const ALL: [Self; 10] = [
        Self::Cost,
        Self::Usable,
        Self::Rate,
        Self::Peak,
        Self::Uniform,
        Self::Power,
        Self::Modules,
        Self::FreeSlots,
        Self::Moved,
        Self::Parts,
    ];

    /// 1 where less is better, -1 where more is.
    pub const fn sign(self) -> i128 {
        match self {
            Self::Cost | Self::Power | Self::Modules | Self::Moved | Self::Parts => 1,
            Self::Usable | Self::Rate | Self::Peak | Self::Uniform | Self::FreeSlots => -1,
        }
    }

    /// A value of this key with its unit.
    pub fn measured(self, value: i64, currency: Option<Currency>) -> Value {
        let long = u64::try_from(value).unwrap_or(0);
        match (self, currency) {
            (Self::Cost, Some(currency)) => Value::Money(Money {
                minor: value,
                currency,
            }),
            (Self::Usable, _) => Value::Capacity(Mib(long)),
            (Self::Rate, _) => Value::Rate(Mts(u32::try_from(value).unwrap_or(0))),
            (Self::Peak | Self::Uniform, _) => Value::Bandwidth(MegabytesPerSecond(long)),
            (Self::Power, _) => Value::Power(Milliwatts(long)),
            _ => Value::Count(long),
        }
    }

    /// The id of the message that names it.
    pub const fn message(self) -> &'static str {
        match self {
            Self::Cost => "key-cost",
            Self::Usable => "key-usable",
            Self::Rate => "key-rate",
            Self::Peak => "key-peak",
            Self::Uniform => "key-uniform",
            Self::Power => "key-power",
            Self::Modules => "key-modules",
            Self::FreeSlots => "key-free-slots",
            Self::Moved => "key-moved",
            Self::Parts => "key-parts",
        }
    }
}

/// What is preferred among plans that meet every wish.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Preference {
    /// The first key decides, then the second, and so on.
    Ordered(Vec<Key>),
    /// The lowest sum of weight times value decides, where values of which more is better count
    /// negatively.
    Weighted(Vec<(Key, u32)>),
}

/// What a plan comes to, in the unit of each key; unknown outcomes count as 0.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Values {
    /// Minor units of the currency, handling included.
    pub cost: i64,
    /// MiB.
    pub usable: i64,
    /// MT/s.
    pub rate: i64,
    /// MB/s.
    pub peak: i64,
    /// MB/s.
    pub uniform: i64,
    /// mW, as far as known.
    pub power: i64,
    /// Modules on the board.
    pub modules: i64,
    /// Slots left free.
    pub free_slots: i64,
    /// Installed modules moved or taken out.
    pub moved: i64,
    /// Distinct parts on the board.
    pub parts: i64,
}

impl Values {
    /// Of what sits on each channel and comes out of it, with so many installed modules moved or
    /// taken out.
    pub(super) fn of_board(
        request: &Request,
        stacks: &[Stack],
        outcome: &Outcome,
        cost: Cost,
        changed: usize,
    ) -> Self {
        let mut parts: Vec<PartIx> = stacks.iter().flat_map(|stack| stack.parts()).collect();
        let power = parts
            .iter()
            .filter_map(|part| request.part(*part)?.peak_power);
        let power = power.map(|mw| mw.0 as i64).sum();
        parts.sort_unstable();
        parts.dedup();
        let number = |value: Option<u64>| value.map_or(0, |value| value as i64);
        Self {
            cost: cost.modules.saturating_add(cost.handling),
            usable: number(outcome.usable.map(|mib| mib.0)),
            rate: number(outcome.rate.map(|rate| u64::from(rate.0))),
            peak: number(outcome.peak.map(|peak| peak.0)),
            uniform: number(outcome.uniform.map(|uniform| uniform.0)),
            power,
            modules: i64::from(outcome.modules),
            free_slots: i64::from(outcome.free_slots),
            moved: changed as i64,
            parts: parts.len() as i64,
        }
    }

    /// The value of a key.
    pub const fn of(&self, key: Key) -> i64 {
        match key {
            Key::Cost => self.cost,
            Key::Usable => self.usable,
            Key::Rate => self.rate,
            Key::Peak => self.peak,
            Key::Uniform => self.uniform,
            Key::Power => self.power,
            Key::Modules => self.modules,
            Key::FreeSlots => self.free_slots,
            Key::Moved => self.moved,
            Key::Parts => self.parts,
        }
    }
}

impl Preference {
    /// Whether a key counts.
    pub fn weighs(&self, key: Key) -> bool {
        match self {
            Self::Ordered(keys) => keys.contains(&key),
            Self::Weighted(weights) => weights.iter().any(|(own, by)| *own == key && *by > 0),
        }
    }

    /// What plans are compared by, smaller first: one entry for each key of an order, or the
    /// weighted sum.
    pub fn score(&self, values: &Values) -> Vec<i128> {
        let signed = |key: Key| key.sign() * i128::from(values.of(key));
        match self {
            Self::Ordered(keys) => keys.iter().map(|key| signed(*key)).collect(),
            Self::Weighted(weights) => vec![
                weights
                    .iter()
                    .map(|(key, weight)| i128::from(*weight) * signed(*key))
                    .sum(),
            ],
        }
    }
}

/// How sure an answer is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// The plans are the best ones.
    Proven,
    /// The search was cut; a better plan may exist, but none better than the bound.
    BestFound,
    /// No plan exists.
    Infeasible,
    /// No plan was found: the search was cut before it knew, or everything hangs on a missing fact.
    Undecided,
}

/// What ended a search early.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cut {
    /// Its time was over.
    Time,
    /// It had taken all its steps.
    Steps,
}

/// What came out.
#[derive(Clone, Debug)]
pub struct Answer {
    /// How sure it is.
    pub status: Status,
    /// Plans, the best first. Of those with equal scores the cheapest stands first, then the one with
    /// fewest modules moved or taken out. What is equal in that too stands in the order of fewest
    /// modules, most uniform-access bandwidth, and the order in which the search meets it, which is
    /// always the same, so that equal tasks get equal answers; but there may be others that it did not
    /// meet. Whoever needs more certainty than that names the keys in the preference.
    pub plans: Vec<Plan>,
    /// Whether the search was cut while it decided among plans of equal scores: there may be a cheaper
    /// one, or one with fewer moves.
    pub loose: bool,
    /// No plan's first score (see [`Preference::score`]) is lower; that of the best one where it is
    /// proven. `None` if nothing is known, or no plan exists.
    pub bound: Option<i128>,
    /// Whether plans were passed over because a fact that could block them is missing.
    pub open: bool,
    /// What the search did.
    pub counts: Counts,
}

impl Answer {
    /// How much lower the first score could still be: 0 where the best plan is proven.
    pub fn gap(&self, task: &Task<'_>) -> Option<i128> {
        let best = task.preference.score(&self.plans.first()?.values);
        Some(best.first()? - self.bound?)
    }
}

/// What the search did.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Subproblems: one for each rate level, supply voltage and set of builds.
    pub jobs: u64,
    /// Of those, how many their bound alone closed.
    pub closed_by_bound: u64,
    /// Ways to fill a channel (or a group of channels) that the rules allow.
    pub columns: u64,
    /// Steps of the search.
    pub nodes: u64,
    /// Whole boards that were judged.
    pub leaves: u64,
    /// Of those, how many a rule refused.
    pub refused: u64,
}

/// One line to buy.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Line {
    /// Which part.
    pub part: PartIx,
    /// How many modules are bought: a multiple of the pack.
    pub quantity: u32,
    /// How many of them are seated; the others are left over.
    pub seated: u32,
    /// What all of them cost.
    pub cost: Money,
}

/// A kit with its placement.
#[derive(Clone, Debug)]
pub struct Plan {
    /// What to buy, by part.
    pub lines: Vec<Line>,
    /// Installed modules (by index) that stay in their slots.
    pub kept: Vec<u32>,
    /// Installed modules that go to another slot.
    pub moved: Vec<u32>,
    /// Installed modules that come out.
    pub removed: Vec<u32>,
    /// Which module sits in which slot. A module of the kit is `Origin::Kit(line)` with the line's
    /// index in [`Plan::kit`].
    pub population: Population,
    /// The same by channel.
    pub stacks: Vec<Stack>,
    /// What comes out of it.
    pub outcome: Outcome,
    /// The processor model that the outcome is for, where none was told: the slowest.
    pub model: Option<usize>,
    /// What modules and handling cost; the currency is that of the task.
    pub cost: Cost,
    /// What it comes to.
    pub values: Values,
}

/// What a plan costs, in minor units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Cost {
    /// Modules to buy.
    pub modules: i64,
    /// Handling.
    pub handling: i64,
}

impl Task<'_> {
    /// Its request with every wish one that must be met.
    pub fn hard_request(&self) -> Request {
        hard(&self.request)
    }
}

impl Plan {
    /// The seated modules of the kit, without what is left over, by part.
    pub fn kit(&self) -> Vec<KitLine> {
        let seated = self.lines.iter().filter(|line| line.seated > 0);
        seated
            .map(|line| KitLine {
                part: line.part,
                quantity: line.seated,
            })
            .collect()
    }

    /// Modules that are bought but not seated.
    pub fn left_over(&self) -> Vec<(PartIx, u32)> {
        let over = self.lines.iter().filter(|line| line.quantity > line.seated);
        over.map(|line| (line.part, line.quantity - line.seated))
            .collect()
    }

    /// The task's request made concrete: this kit, and these installed modules out. A check places it
    /// by itself.
    pub fn request(&self, task: &Task<'_>) -> Request {
        let mut request = hard(&task.request);
        request.kit = self.kit();
        request.population = Vec::new();
        request.removed.clone_from(&self.removed);
        // All that is left stays, be it in another slot.
        if request.installed_policy == InstalledPolicy::MayRemove {
            request.installed_policy = InstalledPolicy::Keep;
        }
        request
    }
}

impl Plan {
    /// The task's request with every module in the slot that the plan gives it: a check judges just
    /// this placement. Packs, stock and budget are no matter of it.
    pub fn seated(&self, task: &Task<'_>) -> Request {
        let mut request = hard(&task.request);
        request.kit = Vec::new();
        request.wishes.budget = None;
        request.installed_policy = InstalledPolicy::InPlace;
        request.removed.clone_from(&self.removed);
        request.population = Vec::new();
        for (slot, occupant) in self.population.occupied() {
            match occupant.origin {
                Origin::Installed(index) => {
                    if let Some(entry) = request.installed.get_mut(index as usize) {
                        entry.slot = Some(slot);
                    }
                }
                Origin::Kit(_) | Origin::Population(_) => request.population.push(Seated {
                    part: occupant.part,
                    slot: Some(slot),
                }),
            }
        }
        request
    }
}

/// The request with every wish one that must be met.
pub(super) fn hard(request: &Request) -> Request {
    let mut request = request.clone();
    let wishes = &mut request.wishes;
    macro_rules! must {
        ($($wish:ident),*) => {
            $(if let Some(wish) = &mut wishes.$wish { wish.must = true; })*
        };
    }
    must!(
        capacity_at_least,
        capacity_at_most,
        rate_at_least,
        free_slots,
        budget,
        power_at_most,
        balance,
        licence,
        chip_correction,
        rank_interleave
    );
    request
}
