//! Why no placement exists: the smallest set of rules that cannot hold together, the placement that
//! comes nearest, and the largest quantity that would fit.

use super::super::board::ChannelIx;
use super::super::request::{KitLine, PartIx, Request};
use super::super::rules::{RULES, RuleSet};
use super::super::setup::Setup;
use super::{Budget, Found, Placed, Task, place};

/// Why a kit does not fit.
#[derive(Clone, Debug, Default)]
pub struct Refusal {
    /// Rules (by index into [`RULES`]) that cannot all hold; without any one of them the rest can.
    pub conflict: Vec<usize>,
    /// The placement that comes nearest, and the modules that found no slot in it.
    pub nearest: Option<(Placed, Vec<(PartIx, u32)>)>,
}

/// The steps of each search for a reason. Each asks only whether a placement exists.
const STEPS: u64 = 200_000;

/// Finds the rules that cannot hold together and the nearest placement. `blamed` are the rules that
/// stood in the way of the search.
pub fn explain_refusal(setup: &Setup<'_>, task: &Task, blamed: &RuleSet) -> Refusal {
    let all_but = |kept: &[usize]| {
        let mut ignored = RuleSet::none();
        (0..RULES.len())
            .filter(|rule| !kept.contains(rule))
            .for_each(|rule| ignored.add(rule));
        ignored
    };
    let mut suspects: Vec<usize> = blamed.iter().collect();
    let feasible = |kept: &[usize]| {
        !matches!(
            place(setup, task, &all_but(kept), &mut Budget::of(STEPS)),
            Found::None(_)
        )
    };
    // Rules that only come into play once others are off join the suspects.
    for _ in 0..RULES.len() {
        match place(setup, task, &all_but(&suspects), &mut Budget::of(STEPS)) {
            Found::None(_) => break,
            _ => {
                let mut ignored = RuleSet::none();
                suspects.iter().for_each(|rule| ignored.add(*rule));
                let Found::None(more) = place(setup, task, &ignored, &mut Budget::of(STEPS)) else {
                    break;
                };
                let before = suspects.len();
                suspects.extend(
                    more.iter()
                        .filter(|rule| !suspects.contains(rule))
                        .collect::<Vec<_>>(),
                );
                if suspects.len() == before {
                    break;
                }
            }
        }
    }
    let mut conflict = suspects;
    for rule in conflict.clone() {
        let without: Vec<usize> = conflict
            .iter()
            .copied()
            .filter(|other| *other != rule)
            .collect();
        if !feasible(&without) {
            conflict = without;
        }
    }
    Refusal {
        nearest: nearest(setup, task, &conflict),
        conflict,
    }
}

/// The best placement with one rule of the conflict off; else with all of them off; else, with all
/// rules off, of as many modules as there are slots.
fn nearest(
    setup: &Setup<'_>,
    task: &Task,
    conflict: &[usize],
) -> Option<(Placed, Vec<(PartIx, u32)>)> {
    let without = |task: &Task, rules: &[usize]| {
        let mut ignored = RuleSet::none();
        rules.iter().for_each(|rule| ignored.add(*rule));
        match place(setup, task, &ignored, &mut Budget::of(STEPS)) {
            Found::Placed(placed) => Some(*placed),
            Found::None(_) | Found::Cut => None,
        }
    };
    let everything: Vec<usize> = (0..RULES.len()).collect();
    let whole = conflict
        .iter()
        .find_map(|rule| without(task, &[*rule]))
        .or_else(|| without(task, conflict))
        .or_else(|| without(task, &everything));
    if let Some(placed) = whole {
        return Some((placed, Vec::new()));
    }
    let (trimmed, left_over) = trimmed(setup, task);
    without(&trimmed, &everything).map(|placed| (placed, left_over))
}

/// As many modules as fitted sockets have free slots, and what is left over.
fn trimmed(setup: &Setup<'_>, task: &Task) -> (Task, Vec<(PartIx, u32)>) {
    let board = setup.board;
    let open = |channel: &ChannelIx| {
        let (socket, number) = board.address(*channel);
        setup.channel_works(socket, number) != Some(false)
    };
    let taken = |channel: ChannelIx| {
        task.fixed
            .get(usize::from(channel.0))
            .map_or(0, |stack| u32::from(stack.count()))
    };
    let mut free: u32 = board
        .all_channels()
        .filter(open)
        .map(|channel| u32::from(board.wired(channel)).saturating_sub(taken(channel)))
        .sum();
    let mut left_over = Vec::new();
    let mut loads = Vec::new();
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

/// The largest quantity of a kit line, below the asked one, with which the whole request fits.
pub fn largest_quantity(setup: &Setup<'_>, model: Option<usize>, line: usize) -> Option<u32> {
    let asked = setup.request.kit.get(line)?.quantity;
    let slots = u32::try_from(setup.board.slots.len()).unwrap_or(u32::MAX);
    (1..=asked.saturating_sub(1).min(slots))
        .rev()
        .find(|quantity| fits_with(setup, model, line, *quantity))
}

fn fits_with(setup: &Setup<'_>, model: Option<usize>, line: usize, quantity: u32) -> bool {
    let kit: Vec<KitLine> = setup
        .request
        .kit
        .iter()
        .enumerate()
        .map(|(index, other)| KitLine {
            quantity: if index == line {
                quantity
            } else {
                other.quantity
            },
            ..*other
        })
        .collect();
    let request = Request {
        kit,
        ..setup.request.clone()
    };
    let Some(setup) = Setup::new(setup.board, &request, model) else {
        return false;
    };
    let task = Task::of(&setup);
    let found = place(&setup, &task, &RuleSet::none(), &mut Budget::of(STEPS));
    matches!(found, Found::Placed(placed) if placed.standing == super::Standing::Clear)
}
