//! Why no placement exists: the smallest set of rules that cannot hold together, the placement that
//! comes nearest, and the largest quantity that would fit.

use super::super::board::ChannelIx;
use super::super::request::{KitLine, PartIx, Request};
use super::super::rules::{RULES, RuleSet, Standing};
use super::super::setup::Setup;
use super::{Budget, Found, Placed, Task, place};

/// A placement, and the modules that found no slot in it.
pub type Nearest = (Placed, Vec<(PartIx, u32)>);

/// Why a kit does not fit.
#[derive(Clone, Debug, Default)]
pub struct Refusal {
    /// Rules (by index into [`RULES`]) that cannot all hold; without any one of them the rest can.
    pub conflict: Vec<usize>,
    /// The placement that comes nearest.
    pub nearest: Option<Nearest>,
}

/// The most steps of each search for a reason.
const STEPS: u64 = 200_000;

/// Finds the rules that cannot hold together and the nearest placement. `blamed` are the rules that
/// stood in the way of the search.
pub fn explain_refusal(
    setup: &Setup<'_>,
    task: &Task,
    blamed: &RuleSet,
    budget: &mut Budget,
) -> Refusal {
    let mut probe = Probe {
        setup,
        task,
        budget,
    };
    let suspects = probe.all_suspects(blamed.iter().collect());
    let conflict = probe.minimal(suspects);
    Refusal {
        nearest: probe.nearest(&conflict),
        conflict,
    }
}

/// Asks what happens when only some rules count.
struct Probe<'a, 'b> {
    setup: &'a Setup<'a>,
    task: &'a Task,
    budget: &'b mut Budget,
}

impl Probe<'_, '_> {
    /// What is found when these rules don't count.
    fn without(&mut self, task: &Task, ignored: &RuleSet) -> Found {
        let setup = self.setup;
        self.budget
            .within(STEPS, |budget| place(setup, task, ignored, budget))
    }

    /// Whether no placement exists even when only these rules count.
    fn is_impossible(&mut self, counting: &[usize]) -> bool {
        let ignored = RuleSet::of((0..RULES.len()).filter(|rule| !counting.contains(rule)));
        let task = self.task;
        matches!(self.without(task, &ignored), Found::None(_))
    }

    /// Rules that only stand in the way once others don't count join the suspects, until the
    /// suspects alone make it impossible.
    fn all_suspects(&mut self, mut suspects: Vec<usize>) -> Vec<usize> {
        while !self.is_impossible(&suspects) {
            let task = self.task;
            let Found::None(more) = self.without(task, &RuleSet::of(suspects.iter().copied()))
            else {
                break;
            };
            let before = suspects.len();
            for rule in more.iter() {
                if !suspects.contains(&rule) {
                    suspects.push(rule);
                }
            }
            if suspects.len() == before {
                break;
            }
        }
        suspects
    }

    /// Leaves out every rule without which it is still impossible.
    fn minimal(&mut self, suspects: Vec<usize>) -> Vec<usize> {
        let mut conflict = suspects.clone();
        for rule in suspects {
            let rest: Vec<usize> = conflict
                .iter()
                .copied()
                .filter(|other| *other != rule)
                .collect();
            if self.is_impossible(&rest) {
                conflict = rest;
            }
        }
        conflict
    }

    /// The best placement with one rule of the conflict off; else with all of them off; else, with
    /// all rules off, of as many modules as there are slots.
    fn nearest(&mut self, conflict: &[usize]) -> Option<Nearest> {
        let one_off = conflict.iter().map(|rule| RuleSet::of([*rule]));
        let all_off = [
            RuleSet::of(conflict.iter().copied()),
            RuleSet::of(0..RULES.len()),
        ];
        for ignored in one_off.chain(all_off) {
            let task = self.task;
            if let Found::Placed(placed) = self.without(task, &ignored) {
                return Some((*placed, Vec::new()));
            }
        }
        let (trimmed, left_over) = trimmed(self.setup, self.task);
        match self.without(&trimmed, &RuleSet::of(0..RULES.len())) {
            Found::Placed(placed) => Some((*placed, left_over)),
            Found::None(_) | Found::Cut => None,
        }
    }
}

/// As many modules as fitted sockets have free slots, and what is left over.
fn trimmed(setup: &Setup<'_>, task: &Task) -> (Task, Vec<(PartIx, u32)>) {
    let board = setup.board;
    let is_open = |channel: &ChannelIx| {
        let (socket, number) = board.address(*channel);
        setup.channel_works(socket, number) != Some(false)
    };
    let taken = |channel: ChannelIx| {
        task.fixed
            .get(usize::from(channel.0))
            .map_or(0, |stack| stack.count())
    };
    let room = |channel: ChannelIx| u32::from(board.wired(channel).saturating_sub(taken(channel)));
    let mut free: u32 = board.all_channels().filter(is_open).map(room).sum();
    let (mut loads, mut left_over) = (Vec::new(), Vec::new());
    for (part, quantity) in &task.loads {
        let seated = (*quantity).min(free);
        free -= seated;
        loads.push((*part, seated));
        if seated < *quantity {
            left_over.push((*part, quantity - seated));
        }
    }
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
pub fn largest_quantity(
    setup: &Setup<'_>,
    model: Option<usize>,
    line: usize,
    budget: &mut Budget,
) -> Option<u32> {
    let asked = setup.request.kit.get(line)?.quantity;
    let slots = u32::try_from(setup.board.slots.len()).unwrap_or(u32::MAX);
    for quantity in (1..=asked.saturating_sub(1).min(slots)).rev() {
        let fits = budget.within(STEPS, |budget| {
            fits_with(setup, model, line, quantity, budget)
        })?;
        if fits {
            return Some(quantity);
        }
    }
    Some(0)
}

/// Whether a request fits with another quantity of a line; `None` if the search was cut.
fn fits_with(
    setup: &Setup<'_>,
    model: Option<usize>,
    line: usize,
    quantity: u32,
    budget: &mut Budget,
) -> Option<bool> {
    let changed = |(index, other): (usize, &KitLine)| KitLine {
        quantity: if index == line {
            quantity
        } else {
            other.quantity
        },
        ..*other
    };
    let kit = setup.request.kit.iter().enumerate().map(changed).collect();
    let request = Request {
        kit,
        ..setup.request.clone()
    };
    let setup = Setup::new(setup.board, &request, model)?;
    match place(&setup, &Task::of(&setup), &RuleSet::none(), budget) {
        Found::Placed(placed) => Some(placed.standing == Standing::Clear),
        Found::None(_) => Some(false),
        Found::Cut => None,
    }
}
