//! What little would have to change for a plan to exist: each demand alone, as little as possible.
//!
//! Every change is found by a search that proves it: with it there is a plan, and with one step less
//! there is none.

use super::super::board::policy::Protection;
use super::super::board::{Board, BoardFacts, Limit};
use super::super::request::{Balance, InstalledPolicy, PartIx, VoltagePolicy};
use super::super::rules::index_of;
use super::super::units::{MegabytesPerSecond, Mib, Milliwatts, Mts};
use super::conflict::{Conflict, Demand, Feasible, Purse, conflict, set_stock};
use super::model::{Key, Plan, Status, Task};
use super::variant::{ENDLESS_POWER, copy, demand_at_most, must, on, preferring, set_budget};

/// A change to a demand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// The budget, in minor units.
    Budget(i64),
    /// Usable capacity at least.
    CapacityAtLeast(Mib),
    /// Usable capacity at most.
    CapacityAtMost(Mib),
    /// What the operating system or its licence must be able to use.
    Licence(Mib),
    /// Rate at least.
    RateAtLeast(Mts),
    /// Peak power at most.
    Power(Milliwatts),
    /// Peak bandwidth at least.
    Peak(MegabytesPerSecond),
    /// Uniform-access bandwidth at least.
    Uniform(MegabytesPerSecond),
    /// Slots that stay free.
    FreeSlots(u16),
    /// Another balance, or none.
    Balance(Option<Balance>),
    /// No correction of a whole failed device.
    NoChipCorrection,
    /// No interleave of ranks.
    NoRankInterleave,
    /// So many part numbers, at least.
    Parts(u16),
    /// So many builds at most.
    Builds(u16),
    /// So many modules moved or taken out at most.
    Moved(u32),
    /// No protection.
    NoProtection,
    /// Any supply voltage.
    AnyVoltage,
    /// Another policy for installed modules.
    Installed(InstalledPolicy),
    /// So many modules of a part in stock.
    Stock(PartIx, u32),
    /// So many capacities on the board, if its maker allowed that.
    CapacitiesOfBoard(u8),
}

impl Change {
    /// The task with the change made. A change of the board itself leaves the task as it is.
    pub fn apply<'a>(self, task: &Task<'a>) -> Task<'a> {
        let mut task = copy(task);
        let (request, limits) = (&mut task.request, &mut task.limits);
        let wishes = &mut request.wishes;
        match self {
            Self::Budget(minor) => set_budget(&mut task, minor),
            Self::CapacityAtLeast(capacity) => wishes.capacity_at_least = must(capacity),
            Self::CapacityAtMost(capacity) => wishes.capacity_at_most = must(capacity),
            Self::Licence(capacity) => wishes.licence = must(capacity),
            Self::RateAtLeast(rate) => wishes.rate_at_least = must(rate),
            Self::Power(power) => wishes.power_at_most = must(power),
            Self::Peak(least) => limits.peak_at_least = Some(least),
            Self::Uniform(least) => limits.uniform_at_least = Some(least),
            Self::FreeSlots(count) => wishes.free_slots = must(count),
            Self::Balance(balance) => wishes.balance = balance.and_then(must),
            Self::NoChipCorrection => wishes.chip_correction = None,
            Self::NoRankInterleave => wishes.rank_interleave = None,
            Self::Parts(_) => limits.one_part = false,
            Self::Builds(count) => limits.builds_at_most = Some(count),
            Self::Moved(count) => limits.moved_at_most = Some(count),
            Self::NoProtection => request.protection = Protection::None,
            Self::AnyVoltage => request.voltage_policy = VoltagePolicy::Fastest,
            Self::Installed(policy) => request.installed_policy = policy,
            Self::Stock(part, count) => set_stock(&mut task, part, Some(count)),
            Self::CapacitiesOfBoard(_) => {}
        }
        task
    }
}

/// A change that alone makes a plan possible.
#[derive(Clone, Debug)]
pub struct Relaxation {
    /// What changes.
    pub demand: Demand,
    /// To what.
    pub change: Change,
    /// Whether one step less is known not to do.
    pub least: bool,
    /// A plan that is possible then.
    pub plan: Plan,
}

/// Why there is no plan, and what would help.
#[derive(Clone, Debug, Default)]
pub struct Diagnosis {
    /// Demands that cannot hold together.
    pub conflict: Conflict,
    /// Changes of one demand each, in the order of the demands. Empty where no single one helps.
    pub relaxations: Vec<Relaxation>,
    /// Demands of which the search could not tell whether changing them alone helps.
    pub undecided: Vec<Demand>,
    /// How many searches it took.
    pub searches: u32,
}

/// Why a task has no plan, and what would help. Takes at most the task's steps, all searches together,
/// and ends when the task's stop says so.
pub fn diagnose(task: &Task<'_>) -> Diagnosis {
    let mut purse = Purse::of(task);
    let conflict = conflict(task, &mut purse);
    let mut diagnosis = Diagnosis {
        conflict,
        ..Diagnosis::default()
    };
    let made = Demand::WISHES.into_iter().filter(|d| d.is_made(task));
    let rules = diagnosis.conflict.demands.clone().into_iter();
    let rules = rules.filter(|demand| matches!(demand, Demand::Rule(_)));
    for demand in made.chain(rules) {
        match relaxed(task, demand, &mut purse) {
            Found::These(list) => diagnosis.relaxations.extend(list),
            Found::Nothing => {}
            Found::Unknown => diagnosis.undecided.push(demand),
        }
    }
    diagnosis.searches = purse.asked;
    diagnosis
}

/// What changing a demand alone can do.
enum Found {
    These(Vec<Relaxation>),
    Nothing,
    Unknown,
}

impl Found {
    fn one(demand: Demand, change: Change, least: bool, plan: Plan) -> Self {
        Self::These(vec![Relaxation {
            demand,
            change,
            least,
            plan,
        }])
    }
}

fn relaxed(task: &Task<'_>, demand: Demand, purse: &mut Purse) -> Found {
    let first = |purse: &mut Purse, changes: &[Change]| first(task, demand, changes, purse);
    match demand {
        Demand::CapacityAtLeast
        | Demand::RateAtLeast
        | Demand::Budget
        | Demand::Power
        | Demand::Peak
        | Demand::Uniform
        | Demand::FreeSlots
        | Demand::OnePart
        | Demand::Moved => best(task, demand, purse),
        Demand::CapacityAtMost | Demand::Licence => least_capacity(task, demand, purse),
        Demand::Balance => {
            let changes = [Some(Balance::Sockets), None].map(Change::Balance);
            let strict = task.request.wishes.balance.map(|wish| wish.value);
            let skip = usize::from(strict == Some(Balance::Sockets));
            first(purse, changes.get(skip..).unwrap_or_default())
        }
        Demand::ChipCorrection => first(purse, &[Change::NoChipCorrection]),
        Demand::RankInterleave => first(purse, &[Change::NoRankInterleave]),
        Demand::Builds => {
            let now = task.limits.builds_at_most.unwrap_or(u16::MAX);
            let more = (1..=4).map(|by| Change::Builds(now.saturating_add(by)));
            first(purse, &more.collect::<Vec<_>>())
        }
        Demand::Protection => first(purse, &[Change::NoProtection]),
        Demand::VoltagePolicy => first(purse, &[Change::AnyVoltage]),
        Demand::Installed => {
            let changes = [InstalledPolicy::Keep, InstalledPolicy::MayRemove];
            let changes = changes.map(Change::Installed);
            let in_place = task.request.installed_policy == InstalledPolicy::InPlace;
            let skip = usize::from(!in_place);
            first(purse, changes.get(skip..).unwrap_or_default())
        }
        Demand::Stock => stock(task, purse),
        Demand::Rule(rule) => more_capacities(task, rule, purse),
    }
}

/// The first of some changes, each going further than the one before, that makes a plan possible.
fn first(task: &Task<'_>, demand: Demand, changes: &[Change], purse: &mut Purse) -> Found {
    let mut least = true;
    for change in changes {
        match purse.feasible(&change.apply(task)) {
            Feasible::Yes(plan) => return Found::one(demand, *change, least, *plan),
            Feasible::No => {}
            Feasible::Unknown => least = false,
        }
    }
    match least {
        true => Found::Nothing,
        false => Found::Unknown,
    }
}

/// The best value that a wish can have beside all others.
fn best(task: &Task<'_>, demand: Demand, purse: &mut Purse) -> Found {
    let key = match demand {
        Demand::CapacityAtLeast => Key::Usable,
        Demand::RateAtLeast => Key::Rate,
        Demand::Power => Key::Power,
        Demand::Peak => Key::Peak,
        Demand::Uniform => Key::Uniform,
        Demand::FreeSlots => Key::FreeSlots,
        Demand::OnePart => Key::Parts,
        Demand::Moved => Key::Moved,
        _ => Key::Cost,
    };
    let mut without = preferring(task, &[key]);
    demand.drop_from(&mut without);
    match key {
        // A wish is only met by what is known.
        Key::Power => {
            demand_at_most(&mut without, key, ENDLESS_POWER as i64);
        }
        Key::Usable | Key::Rate | Key::Peak | Key::Uniform => {
            demand_at_most(&mut without, key, -1);
        }
        _ => {}
    }
    let mut answer = purse.solve(&mut without);
    let proven = answer.status == Status::Proven;
    if answer.plans.is_empty() {
        return match answer.status {
            Status::Infeasible => Found::Nothing,
            _ => Found::Unknown,
        };
    }
    let plan = answer.plans.swap_remove(0);
    let Some(change) = change_to(demand, plan.values.of(key)) else {
        return Found::Unknown;
    };
    Found::one(demand, change, proven, plan)
}

fn change_to(demand: Demand, value: i64) -> Option<Change> {
    let long = u64::try_from(value).ok()?;
    Some(match demand {
        Demand::Budget => Change::Budget(value),
        Demand::CapacityAtLeast => Change::CapacityAtLeast(Mib(long)),
        Demand::RateAtLeast => Change::RateAtLeast(Mts(u32::try_from(value).ok()?)),
        Demand::Power => Change::Power(Milliwatts(long)),
        Demand::Peak => Change::Peak(MegabytesPerSecond(long)),
        Demand::Uniform => Change::Uniform(MegabytesPerSecond(long)),
        Demand::FreeSlots => Change::FreeSlots(u16::try_from(value).ok()?),
        Demand::OnePart => Change::Parts(u16::try_from(value).ok()?),
        Demand::Moved => Change::Moved(u32::try_from(value).ok()?),
        _ => return None,
    })
}

/// The smallest upper limit of capacity that leaves a plan, by halving. No preference asks for little
/// memory, so limits are tried; every plan's own capacity is a limit that does.
fn least_capacity(task: &Task<'_>, demand: Demand, purse: &mut Purse) -> Found {
    let wishes = &task.request.wishes;
    let (limit, to): (_, fn(Mib) -> Change) = match demand {
        Demand::Licence => (wishes.licence, Change::Licence),
        _ => (wishes.capacity_at_most, Change::CapacityAtMost),
    };
    let Some(limit) = limit.map(|wish| wish.value.0) else {
        return Found::Nothing;
    };
    let mut without = copy(task);
    demand.drop_from(&mut without);
    let mut plan = match purse.feasible(&without) {
        Feasible::Yes(plan) => plan,
        Feasible::No => return Found::Nothing,
        Feasible::Unknown => return Found::Unknown,
    };
    let step = capacity_step(task);
    let (mut low, mut least) = (limit / step * step, true);
    // All capacities that a plan may have are whole steps above `low`.
    loop {
        let high = unsigned(plan.values.usable);
        let between = high.saturating_sub(low).div_ceil(step);
        if between < 2 {
            break;
        }
        let middle = low + between / 2 * step;
        match purse.feasible(&to(Mib(middle)).apply(task)) {
            Feasible::Yes(found) if unsigned(found.values.usable) < high => plan = found,
            Feasible::No => low = middle,
            _ => {
                least = false;
                break;
            }
        }
    }
    let change = to(Mib(unsigned(plan.values.usable)));
    Found::one(demand, change, least, *plan)
}

/// Every usable capacity is a multiple of this: the greatest common divisor of the modules' ranks.
fn capacity_step(task: &Task<'_>) -> u64 {
    let modules = task.request.parts.iter();
    let ranks = modules.map(|module| {
        let capacity = module.capacity.map_or(1, |capacity| capacity.0);
        let ranks = u64::from(module.logical_ranks().unwrap_or(1).max(1));
        match capacity.is_multiple_of(ranks) {
            true => capacity / ranks,
            false => 1,
        }
    });
    ranks.fold(0, common_divisor).max(1)
}

fn common_divisor(one: u64, other: u64) -> u64 {
    match other {
        0 => one,
        _ => common_divisor(other, one % other),
    }
}

fn unsigned(value: i64) -> u64 {
    u64::try_from(value).unwrap_or(0)
}

/// The smallest stock of single parts that leaves a plan. Parts that the cheapest plan without limits
/// of stock takes too many of are tried first, then the others.
fn stock(task: &Task<'_>, purse: &mut Purse) -> Found {
    const MOST_PARTS: usize = 12;
    let mut without = preferring(task, &[Key::Cost]);
    Demand::Stock.drop_from(&mut without);
    let plan = match purse.feasible(&without) {
        Feasible::Yes(plan) => plan,
        Feasible::No => return Found::Nothing,
        Feasible::Unknown => return Found::Unknown,
    };
    let known = |part: &PartIx| task.request.part(*part).and_then(|module| module.stock);
    let mut parts: Vec<PartIx> = plan.lines.iter().map(|line| line.part).collect();
    parts.extend(&task.for_sale);
    let mut seen: Vec<PartIx> = Vec::new();
    for part in parts {
        if known(&part).is_some() && !seen.contains(&part) && seen.len() < MOST_PARTS {
            seen.push(part);
        }
    }
    let (mut found, mut unknown) = (Vec::new(), false);
    for part in seen {
        let Some(now) = known(&part) else { continue };
        match stock_of(task, part, now, purse) {
            Found::These(list) => found.extend(list),
            Found::Nothing => {}
            Found::Unknown => unknown = true,
        }
    }
    match (found.is_empty(), unknown) {
        (false, _) => Found::These(found),
        (true, true) => Found::Unknown,
        (true, false) => Found::Nothing,
    }
}

fn stock_of(task: &Task<'_>, part: PartIx, now: u32, purse: &mut Purse) -> Found {
    let pack = task.request.part(part).and_then(|module| module.pack);
    let pack = pack.unwrap_or(1).max(1);
    let slots = u32::try_from(task.board.slots.len()).unwrap_or(u32::MAX);
    // In packs: what is there does not do, and nobody needs more than a pack for each slot.
    let (mut low, mut high) = (now / pack, now / pack + slots);
    let with = |packs: u32| Change::Stock(part, packs.saturating_mul(pack));
    let mut plan = match purse.feasible(&with(high).apply(task)) {
        Feasible::Yes(plan) => plan,
        Feasible::No => return Found::Nothing,
        Feasible::Unknown => return Found::Unknown,
    };
    let mut least = true;
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        match purse.feasible(&with(middle).apply(task)) {
            Feasible::Yes(found) => (high, plan) = (middle, found),
            Feasible::No => low = middle,
            Feasible::Unknown => {
                least = false;
                break;
            }
        }
    }
    Found::one(Demand::Stock, with(high), least, *plan)
}

/// How many capacities the board would have to take.
fn more_capacities(task: &Task<'_>, rule: usize, purse: &mut Purse) -> Found {
    let most = task.board.mixing.capacities_per_board;
    let (true, Limit::Is(now)) = (index_of("too-many-capacities") == Some(rule), most) else {
        return Found::Nothing;
    };
    let mut least = true;
    for count in (1..=3u8).map(|by| now.saturating_add(by)) {
        let Some(board) = board_with(task.board, count) else {
            return Found::Nothing;
        };
        match purse.feasible(&on(task, &board)) {
            Feasible::Yes(plan) => {
                let change = Change::CapacitiesOfBoard(count);
                return Found::one(Demand::Rule(rule), change, least, *plan);
            }
            Feasible::No => {}
            Feasible::Unknown => least = false,
        }
    }
    match least {
        true => Found::Nothing,
        false => Found::Unknown,
    }
}

/// The same board if it took so many capacities.
pub fn board_with(board: &Board, capacities: u8) -> Option<Board> {
    let mut facts = BoardFacts::clone(board);
    facts.mixing.capacities_per_board = Limit::Is(capacities);
    Board::checked(facts).ok()
}
