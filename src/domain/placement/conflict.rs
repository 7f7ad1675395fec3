//! Why no placement exists: the rules that cannot hold together, the placement that comes nearest,
//! and the largest quantity that would fit.
//!
//! What is found does not depend on the order in which the search met the rules: a rule is left out
//! of the conflict exactly if it is impossible without it, from the last rule of the list to the
//! first. The rules that a search blames only spare it questions, since a rule that stood in nobody's
//! way can be left out unasked.

use super::super::request::{KitLine, PartIx, Request};
use super::super::rules::{RuleSet, Standing};
use super::super::setup::Setup;
use super::removal::{Asked, Sought, smaller_first};
use super::{Aim, Budget, Found, Placed, Task, place};

/// A placement that breaks rules or leaves modules over.
#[derive(Clone, Debug)]
pub struct Nearest {
    /// Installed modules (by index) that come out for it.
    pub removed: Vec<u32>,
    /// The placement.
    pub placed: Placed,
    /// The modules that found no slot in it.
    pub left_over: Vec<(PartIx, u32)>,
}

/// Why a kit does not fit.
#[derive(Clone, Debug, Default)]
pub struct Refusal {
    /// Rules (by index into [`RULES`](super::super::rules::RULES)) that cannot all hold; without any one of them the rest can.
    /// Never empty.
    pub conflict: Vec<usize>,
    /// What stands in the way even if nobody minds the rules of the conflict: for each further set
    /// the same holds.
    pub further: Vec<Vec<usize>>,
    /// Whether all of these sets are known to be minimal, and known to be all there are: no search
    /// was cut.
    pub proven: bool,
    /// The placement that comes nearest.
    pub nearest: Option<Nearest>,
}

/// The most steps of each search for a reason.
const STEPS: u64 = 200_000;

/// The most sets of rules that are named.
const MOST_SETS: usize = 8;

/// Finds the rules that cannot hold together and the nearest placement. `setup` is the request bound to
/// the board, `task` what it sets, and `blamed` are rules that suffice to stand in the way, as the search
/// found them.
pub fn explain_refusal(
    asked: &Asked<'_>,
    setup: &Setup<'_>,
    task: &Task,
    blamed: &RuleSet,
    budget: &mut Budget,
) -> Refusal {
    let mut probe = Probe {
        seek: &mut |ignored, aim, budget| asked.seek_bound(setup, task, ignored, aim, budget),
        budget,
        was_cut: false,
        known: Vec::new(),
    };
    let mut sets = probe.conflicts(RuleSet::all(), *blamed);
    let counted = sets.iter().fold(RuleSet::none(), |all, set| all.and(*set));
    let found = probe.nearest(counted);
    let was_cut = probe.was_cut;
    let nearest = match found {
        Some(Sought::Placed { removed, placed }) => Some(Nearest {
            removed,
            placed: *placed,
            left_over: Vec::new(),
        }),
        _ => nearest_of_fewer(asked, counted, budget),
    };
    let first = if sets.is_empty() {
        RuleSet::none()
    } else {
        sets.remove(0)
    };
    Refusal {
        conflict: first.iter().collect(),
        further: sets.into_iter().map(|set| set.iter().collect()).collect(),
        proven: !was_cut,
        nearest,
    }
}

/// A search in which some rules are ignored.
type Seek<'a> = dyn FnMut(&RuleSet, Aim, &mut Budget) -> Sought + 'a;

/// Asks what happens when only some rules count.
struct Probe<'a, 'b> {
    seek: &'a mut Seek<'a>,
    budget: &'b mut Budget,
    was_cut: bool,
    /// What was found when only these rules count, and the steps that it took: what is possible without a
    /// set of one rule is asked once more when the next set is looked for.
    known: Vec<(RuleSet, Option<RuleSet>, u64)>,
}

impl Probe<'_, '_> {
    fn ignoring(&mut self, ignored: RuleSet, aim: Aim) -> Sought {
        let seek = &mut self.seek;
        let found = self
            .budget
            .within(STEPS, |budget| seek(&ignored, aim, budget));
        self.was_cut |= found == Sought::Cut;
        found
    }

    /// If no placement exists even when only these rules count: those of them that suffice.
    fn impossible(&mut self, counting: RuleSet) -> Option<RuleSet> {
        let mut known = self.known.iter().filter(|(own, ..)| *own == counting);
        if let Some((_, found, steps)) = known.next().filter(|known| known.2 < self.budget.left()) {
            // The steps are taken all the same, so that where a search is cut does not hang on this.
            self.budget.spend_many(*steps);
            return *found;
        }
        let before = self.budget.left();
        let found = match self.ignoring(counting.complement(), Aim::Any) {
            Sought::None(blamed) => Some(blamed),
            Sought::Placed { .. } | Sought::NoRoom | Sought::Cut => None,
        };
        let steps = before - self.budget.left();
        self.known.push((counting, found, steps));
        found
    }

    /// Sets of rules without a rule in common, none of which can hold together; `counting` can't,
    /// and `blamed` of them suffice.
    fn conflicts(&mut self, mut counting: RuleSet, mut blamed: RuleSet) -> Vec<RuleSet> {
        let mut sets = Vec::new();
        while sets.len() < MOST_SETS {
            let set = self.minimal(counting, blamed);
            sets.push(set);
            counting = set.iter().fold(counting, RuleSet::without);
            match self.impossible(counting) {
                Some(next) if !set.is_empty() => blamed = next,
                _ => break,
            }
        }
        sets
    }

    /// Leaves out every rule without which it is still impossible, the last of the list first: what
    /// a module is weighs more than where it sits.
    fn minimal(&mut self, mut counting: RuleSet, mut blamed: RuleSet) -> RuleSet {
        for rule in counting.iter().rev() {
            let rest = counting.without(rule);
            if !blamed.has(rule) {
                counting = rest;
            } else if let Some(found) = self.impossible(rest) {
                (counting, blamed) = (rest, found);
            }
        }
        counting
    }

    /// The best placement when as few of these rules as possible are ignored: each is minded again if
    /// a placement is left, the last first.
    fn nearest(&mut self, mut ignored: RuleSet) -> Option<Sought> {
        let is_placed = |found: &Sought| matches!(found, Sought::Placed { .. });
        let mut found = None;
        for rule in ignored.iter().rev() {
            // With every rule minded there is none.
            if ignored.count() == 1 {
                break;
            }
            let fewer = ignored.without(rule);
            let next = self.ignoring(fewer, Aim::Any);
            if is_placed(&next) {
                (found, ignored) = (Some(next), fewer);
            }
        }
        let best = self.ignoring(ignored, Aim::Best);
        if is_placed(&best) { Some(best) } else { found }
    }
}

/// The nearest placement of as many modules as there are slots, with everything out that may come
/// out. `known` are rules that are broken whatever happens.
fn nearest_of_fewer(asked: &Asked<'_>, known: RuleSet, budget: &mut Budget) -> Option<Nearest> {
    let removed = asked.removable();
    let request = asked.without(&removed);
    let setup = Setup::new(asked.board, &request, asked.model)?;
    let (task, left_over) = trimmed(&setup, &Task::of(&setup));
    let known = known.and(RuleSet::named("more-modules-than-slots"));
    let mut probe = Probe {
        seek: &mut |ignored: &RuleSet, aim: Aim, budget: &mut Budget| match place(
            &setup,
            &task,
            &ignored.and(known),
            aim,
            budget,
        ) {
            Found::Placed(placed) => Sought::Placed {
                removed: Vec::new(),
                placed,
            },
            Found::None(blamed) => Sought::None(blamed),
            Found::Cut => Sought::Cut,
        },
        budget,
        was_cut: false,
        known: Vec::new(),
    };
    let mut found = probe.ignoring(RuleSet::none(), Aim::Best);
    if let Sought::None(blamed) = found {
        let sets = probe.conflicts(RuleSet::all(), blamed);
        let all = sets.into_iter().fold(RuleSet::none(), RuleSet::and);
        found = probe.nearest(all).unwrap_or(Sought::Cut);
    }
    if !matches!(found, Sought::Placed { .. }) {
        found = probe.ignoring(RuleSet::all(), Aim::Best);
    }
    match found {
        Sought::Placed { placed, .. } => Some(Nearest {
            removed,
            placed: *placed,
            left_over,
        }),
        Sought::None(_) | Sought::NoRoom | Sought::Cut => None,
    }
}

/// As many modules as fitted sockets have free slots, the largest first, and what is left over.
fn trimmed(setup: &Setup<'_>, task: &Task) -> (Task, Vec<(PartIx, u32)>) {
    let mut order = task.loads.clone();
    let parts = &setup.request.parts;
    order.sort_by(|(a, _), (b, _)| smaller_first(parts, *b, *a));
    let mut free = u32::try_from(task.room(setup)).unwrap_or(u32::MAX);
    let (mut loads, mut left_over) = (Vec::new(), Vec::new());
    for (part, quantity) in order {
        let seated = quantity.min(free);
        free -= seated;
        if seated > 0 {
            loads.push((part, seated));
        }
        if seated < quantity {
            left_over.push((part, quantity - seated));
        }
    }
    loads.sort_unstable_by_key(|(part, _)| *part);
    left_over.sort_unstable_by_key(|(part, _)| *part);
    (
        Task {
            loads,
            ..task.clone()
        },
        left_over,
    )
}

/// The largest quantity of a kit line, below the asked one, with which the whole request fits: 0 if
/// none does, `None` if the search was cut before that was known.
pub fn largest_quantity(asked: &Asked<'_>, line: usize, budget: &mut Budget) -> Option<u32> {
    let quantity = asked.request.kit.get(line)?.quantity;
    let slots = u32::try_from(asked.board.slots.len()).unwrap_or(u32::MAX);
    for quantity in (1..=quantity.saturating_sub(1).min(slots)).rev() {
        let fits = budget.within(STEPS, |budget| fits_with(asked, line, quantity, budget))?;
        if fits {
            return Some(quantity);
        }
    }
    Some(0)
}

/// Whether a request fits with another quantity of a line; `None` if the search was cut.
fn fits_with(asked: &Asked<'_>, line: usize, quantity: u32, budget: &mut Budget) -> Option<bool> {
    let changed = |(index, other): (usize, &KitLine)| KitLine {
        quantity: if index == line {
            quantity
        } else {
            other.quantity
        },
        ..*other
    };
    let kit = asked.request.kit.iter().enumerate().map(changed).collect();
    let request = Request {
        kit,
        ..asked.request.clone()
    };
    let asked = Asked {
        request: &request,
        ..*asked
    };
    match asked.seek(&RuleSet::none(), Aim::Any, budget) {
        Sought::Placed { placed, .. } => Some(placed.standing == Standing::Clear),
        Sought::None(_) | Sought::NoRoom => Some(false),
        Sought::Cut => None,
    }
}
