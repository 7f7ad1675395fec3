//! Why there is no plan: demands that cannot hold together.
//!
//! A *demand* is a wish, a limit, what must happen to installed modules, what is in stock, or a rule of
//! the board. A conflict is a set of demands that no plan meets, of which every one is needed: without
//! it there is a plan. First the rules are halved until only needed ones are left, then wishes are left
//! out one by one. Fewer demands mostly leave more plans, but not always (under mirroring less
//! capacity is usable, which may help to stay below a limit), so at the end each demand is tried again
//! until none can be left out.

use super::super::board::policy::Protection;
use super::super::module::Module;
use super::super::request::{InstalledPolicy, VoltagePolicy};
use super::super::rules::{RULES, is_free_of_modules};
use super::decide;
use super::model::Preference;
use super::model::{Key, Plan, Status, Task};
use super::variant::{ENDLESS, copy, preferring, set_budget};
use std::sync::Arc;

/// Something that is demanded of a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Demand {
    /// Usable capacity at least.
    CapacityAtLeast,
    /// Rate at least.
    RateAtLeast,
    /// Price at most.
    Budget,
    /// Usable capacity at most.
    CapacityAtMost,
    /// Peak power at most.
    Power,
    /// Peak bandwidth at least.
    Peak,
    /// Uniform-access bandwidth at least.
    Uniform,
    /// Slots that stay free.
    FreeSlots,
    /// Balance.
    Balance,
    /// Correction of a whole failed device.
    ChipCorrection,
    /// Interleave of the ranks of every channel.
    RankInterleave,
    /// What the operating system or its licence uses at most.
    Licence,
    /// One part number only.
    OnePart,
    /// Builds at most.
    Builds,
    /// Modules moved or taken out at most.
    Moved,
    /// The protection.
    Protection,
    /// The lowest supply voltage.
    VoltagePolicy,
    /// What must happen to installed modules.
    Installed,
    /// How many modules are in stock.
    Stock,
    /// A rule, by index into [`RULES`].
    Rule(usize),
}

impl Demand {
    /// All but rules, the ones that a caller cares most about first.
    pub const WISHES: [Self; 19] = [
        Self::CapacityAtLeast,
        Self::RateAtLeast,
        Self::Budget,
        Self::CapacityAtMost,
        Self::Power,
        Self::Peak,
        Self::Uniform,
        Self::FreeSlots,
        Self::Balance,
        Self::ChipCorrection,
        Self::RankInterleave,
        Self::Licence,
        Self::OnePart,
        Self::Builds,
        Self::Moved,
        Self::Protection,
        Self::VoltagePolicy,
        Self::Installed,
        Self::Stock,
    ];

    /// Whether a task makes this demand. A rule is one unless it only looks at a wish.
    pub fn is_made(self, task: &Task<'_>) -> bool {
        let (request, limits) = (&task.request, &task.limits);
        let wishes = &request.wishes;
        match self {
            Self::CapacityAtLeast => wishes.capacity_at_least.is_some(),
            Self::RateAtLeast => wishes.rate_at_least.is_some(),
            Self::Budget => wishes.budget.is_some(),
            Self::CapacityAtMost => wishes.capacity_at_most.is_some(),
            Self::Power => wishes.power_at_most.is_some(),
            Self::Peak => limits.peak_at_least.is_some(),
            Self::Uniform => limits.uniform_at_least.is_some(),
            Self::FreeSlots => wishes.free_slots.is_some(),
            Self::Balance => wishes.balance.is_some(),
            Self::ChipCorrection => wishes.chip_correction.is_some(),
            Self::RankInterleave => wishes.rank_interleave.is_some(),
            Self::Licence => wishes.licence.is_some(),
            Self::OnePart => limits.one_part,
            Self::Builds => limits.builds_at_most.is_some(),
            Self::Moved => limits.moved_at_most.is_some(),
            Self::Protection => request.protection != Protection::None,
            Self::VoltagePolicy => {
                request.voltage_policy == VoltagePolicy::Lowest && task.board.supply.len() > 1
            }
            Self::Installed => {
                request.installed_policy != InstalledPolicy::MayRemove
                    && !request.installed.is_empty()
            }
            Self::Stock => task
                .for_sale
                .iter()
                .any(|part| request.part(*part).is_some_and(|m| m.stock.is_some())),
            Self::Rule(rule) => {
                !task.ignored.has(rule)
                    && RULES.get(rule).is_some_and(|r| !OF_WISHES.contains(&r.id))
            }
        }
    }

    /// Takes the demand out of a task.
    pub fn drop_from(self, task: &mut Task<'_>) {
        let (request, limits) = (&mut task.request, &mut task.limits);
        let wishes = &mut request.wishes;
        match self {
            Self::CapacityAtLeast => wishes.capacity_at_least = None,
            Self::RateAtLeast => wishes.rate_at_least = None,
            // The budget names the currency.
            Self::Budget => set_budget(task, ENDLESS),
            Self::CapacityAtMost => wishes.capacity_at_most = None,
            Self::Power => wishes.power_at_most = None,
            Self::Peak => limits.peak_at_least = None,
            Self::Uniform => limits.uniform_at_least = None,
            Self::FreeSlots => wishes.free_slots = None,
            Self::Balance => wishes.balance = None,
            Self::ChipCorrection => wishes.chip_correction = None,
            Self::RankInterleave => wishes.rank_interleave = None,
            Self::Licence => wishes.licence = None,
            Self::OnePart => limits.one_part = false,
            Self::Builds => limits.builds_at_most = None,
            Self::Moved => limits.moved_at_most = None,
            Self::Protection => request.protection = Protection::None,
            Self::VoltagePolicy => request.voltage_policy = VoltagePolicy::Fastest,
            Self::Installed => request.installed_policy = InstalledPolicy::MayRemove,
            Self::Stock => {
                for part in task.for_sale.clone() {
                    set_stock(task, part, None);
                }
            }
            Self::Rule(rule) => task.ignored.add(rule),
        }
    }
}

/// Rules that look at a wish, which is a demand of its own.
const OF_WISHES: [&str; 9] = [
    "capacity-wish",
    "rate-wish",
    "budget-wish",
    "power-wish",
    "free-slots-wish",
    "balance-wish",
    "licence-ceiling",
    "chip-correction-lost",
    "rank-interleave-wish",
];

/// Sets how many modules of a part are in stock.
pub fn set_stock(task: &mut Task<'_>, part: super::super::request::PartIx, stock: Option<u32>) {
    let Some(module) = task.request.parts.get_mut(usize::from(part.0)) else {
        return;
    };
    let mut facts = super::super::module::ModuleFacts::clone(module);
    facts.stock = stock;
    // Stock contradicts nothing, so the check passes.
    if let Ok(changed) = Module::checked(facts) {
        *module = Arc::new(changed);
    }
}

/// Whether a task has a plan.
#[derive(Clone, Debug)]
pub enum Feasible {
    /// It has this one.
    Yes(Box<Plan>),
    /// It has none.
    No,
    /// The search was cut, or everything hangs on a missing fact.
    Unknown,
}

/// What a diagnosis may spend.
pub struct Purse {
    left: u64,
    /// For one question at most.
    each: u64,
    /// Questions so far.
    pub asked: u32,
}

impl Purse {
    /// The steps of a task, for all questions together.
    pub const fn of(task: &Task<'_>) -> Self {
        Self {
            left: task.steps,
            each: task.steps / 4,
            asked: 0,
        }
    }

    /// Asks the search.
    pub fn solve(&mut self, task: &mut Task<'_>) -> super::Answer {
        task.steps = self.left.min(self.each);
        self.asked += 1;
        let answer = decide(task);
        self.left = self.left.saturating_sub(answer.counts.nodes);
        answer
    }

    /// Whether a task has a plan. Under a budget the cheapest plan is looked for, since its bound soon
    /// tells that the budget is too small; otherwise the first plan will do.
    pub fn feasible(&mut self, task: &Task<'_>) -> Feasible {
        match task
            .request
            .wishes
            .budget
            .filter(|b| b.value.minor < ENDLESS)
        {
            Some(budget) => self.within(task, budget.value.minor),
            None => self.any(task),
        }
    }

    fn any(&mut self, task: &Task<'_>) -> Feasible {
        let mut first = copy(task);
        first.preference = Preference::Ordered(Vec::new());
        let mut answer = self.solve(&mut first);
        match (answer.status, answer.plans.is_empty()) {
            (_, false) => Feasible::Yes(Box::new(answer.plans.swap_remove(0))),
            (Status::Infeasible, true) => Feasible::No,
            _ => Feasible::Unknown,
        }
    }

    fn within(&mut self, task: &Task<'_>, budget: i64) -> Feasible {
        let mut cheapest = preferring(task, &[Key::Cost]);
        set_budget(&mut cheapest, ENDLESS);
        let mut answer = self.solve(&mut cheapest);
        let above = answer.bound.is_some_and(|bound| bound > i128::from(budget));
        let known = matches!(answer.status, Status::Infeasible) || above;
        let best = answer.plans.first().map(|plan| plan.values.cost);
        match best {
            Some(cost) if cost <= budget => Feasible::Yes(Box::new(answer.plans.swap_remove(0))),
            _ if known => Feasible::No,
            _ => Feasible::Unknown,
        }
    }
}

/// Demands that cannot hold together.
#[derive(Clone, Debug, Default)]
pub struct Conflict {
    /// The demands, wishes first, then rules, both in their own order.
    pub demands: Vec<Demand>,
    /// Demands of these of which the search could not tell whether they are needed. Without any of
    /// the others there is a plan.
    pub undecided: Vec<Demand>,
}

impl Conflict {
    /// The id of the message that says it of its `$demands`.
    pub fn message(&self) -> &'static str {
        match self.demands.as_slice() {
            [] => "no-kit-whatever",
            [Demand::Rule(rule)] if is_barred(*rule) => "no-kit-barred",
            [_] => "no-kit-alone",
            _ if self.undecided.is_empty() => "no-kit-together",
            _ => "no-kit-together-perhaps",
        }
    }
}

/// Whether no modules mend a rule once it is broken.
fn is_barred(rule: usize) -> bool {
    RULES
        .get(rule)
        .is_some_and(|rule| is_free_of_modules(rule.id))
}

/// A conflict of a task that has no plan. It is empty only if there is no plan whatever is left out.
pub fn conflict(task: &Task<'_>, purse: &mut Purse) -> Conflict {
    let made = |demand: &Demand| demand.is_made(task);
    let wishes: Vec<Demand> = Demand::WISHES.into_iter().filter(made).collect();
    let rules: Vec<Demand> = (0..RULES.len()).map(Demand::Rule).filter(made).collect();
    let all = wishes.iter().chain(&rules).copied().collect();
    let mut asker = Asker {
        task,
        purse,
        all,
        known: Vec::new(),
    };
    // One rule that no modules can mend is enough, with the wishes that it takes to break it.
    if let Some(rule) = super::barred::broken(task).iter().next() {
        return asker.barred(rule, wishes);
    }
    let needed = asker.halve(&wishes, true, &rules);
    let mut demands = wishes;
    demands.extend(needed);
    asker.thin(demands)
}

struct Asker<'p, 't, 'a> {
    task: &'t Task<'a>,
    purse: &'p mut Purse,
    all: Vec<Demand>,
    /// What was asked before: which demands, and whether a plan meets them.
    known: Vec<(Vec<Demand>, Option<bool>)>,
}

impl Asker<'_, '_, '_> {
    /// Whether a plan meets these demands and no others; `None` if it cannot be told.
    fn holds(&mut self, mut demands: Vec<Demand>) -> Option<bool> {
        demands.sort_unstable();
        if let Some((_, known)) = self.known.iter().find(|(own, _)| *own == demands) {
            return *known;
        }
        let mut task = copy(self.task);
        for demand in self.all.iter().filter(|d| !demands.contains(d)) {
            demand.drop_from(&mut task);
        }
        let holds = match self.purse.feasible(&task) {
            Feasible::Yes(_) => Some(true),
            Feasible::No => Some(false),
            Feasible::Unknown => None,
        };
        self.known.push((demands, holds));
        holds
    }

    /// The conflict that a rule is in which is broken whatever modules there are: with the wishes that it
    /// takes to break it. No search is needed: without one of these demands nothing is left that a board
    /// without any module does not meet.
    fn barred(&self, rule: usize, mut wishes: Vec<Demand>) -> Conflict {
        let is_broken = |wishes: &[Demand]| {
            let mut task = copy(self.task);
            for wish in self.all.iter().filter(|d| !matches!(d, Demand::Rule(_))) {
                if !wishes.contains(wish) {
                    wish.drop_from(&mut task);
                }
            }
            super::barred::broken(&task).has(rule)
        };
        for wish in wishes.clone().into_iter().rev() {
            let others: Vec<Demand> = wishes.iter().filter(|d| **d != wish).copied().collect();
            if is_broken(&others) {
                wishes = others;
            }
        }
        wishes.push(Demand::Rule(rule));
        Conflict {
            demands: wishes,
            undecided: Vec::new(),
        }
    }

    /// The needed ones of some demands, beside others that are kept. Both together cannot hold.
    fn halve(&mut self, kept: &[Demand], ask: bool, among: &[Demand]) -> Vec<Demand> {
        if ask && self.holds(kept.to_vec()) == Some(false) {
            return Vec::new();
        }
        if among.len() < 2 {
            return among.to_vec();
        }
        let (one, other) = among.split_at(among.len() / 2);
        let with = |more: &[Demand]| kept.iter().chain(more).copied().collect::<Vec<_>>();
        let mut needed = self.halve(&with(one), true, other);
        let found = !needed.is_empty();
        needed.extend(self.halve(&with(&needed), found, one));
        needed
    }

    /// Leaves out what is not needed, what callers care least about first.
    fn thin(&mut self, mut demands: Vec<Demand>) -> Conflict {
        demands.sort_unstable();
        loop {
            let mut undecided = Vec::new();
            let mut spare = None;
            for demand in demands.iter().rev() {
                let others = demands.iter().filter(|d| *d != demand).copied();
                match self.holds(others.collect()) {
                    Some(true) => {}
                    Some(false) => {
                        spare = Some(*demand);
                        break;
                    }
                    None => undecided.push(*demand),
                }
            }
            match spare {
                Some(spare) => demands.retain(|demand| *demand != spare),
                None => {
                    undecided.reverse();
                    return Conflict { demands, undecided };
                }
            }
        }
    }
}
