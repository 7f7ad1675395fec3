//! How many of one module a board takes, and what each fill gives.

use super::board::Board;
use super::finding::Verdict;
use super::module::Module;
use super::placement::{self, Aim, Budget, Found, Task};
use super::request::{KitLine, PartIx, Request};
use super::rules::{RuleSet, Standing};
use super::setup::Setup;
use super::units::{MegabytesPerSecond, Mib, Mts};
use super::validate::validate;
use std::sync::Arc;

/// How a module fares on a board, alone and with every socket fitted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ModuleFit {
    /// The verdict of the largest count, or of one module if none fits.
    pub verdict: Verdict,
    /// The most that fit.
    pub largest: u32,
    /// Ids of the rules that stand in the way of one more.
    pub limited_by: Vec<&'static str>,
    /// One entry for each number of modules on the fullest channel, with the largest count that
    /// needs no more.
    pub fills: Vec<Fill>,
}

/// What a number of modules gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fill {
    /// Modules.
    pub count: u32,
    /// Modules on the fullest channel.
    pub per_channel: u8,
    /// Usable capacity.
    pub usable: Option<Mib>,
    /// The rate.
    pub rate: Option<Mts>,
    /// Bandwidth when all memory is read evenly.
    pub uniform: Option<MegabytesPerSecond>,
}

/// The steps of the search for each count.
const STEPS: u64 = 100_000;

/// Tries every count from one to the number of slots.
pub fn module_fit(board: &Board, module: &Arc<Module>) -> ModuleFit {
    let slots = u32::try_from(board.slots.len()).unwrap_or(u32::MAX);
    let fitting: Vec<u32> = (1..=slots)
        .filter(|count| fits(board, module, *count))
        .collect();
    let largest = fitting.last().copied().unwrap_or(0);
    let at_most = |count: u32| validate(board, &request(module, count));
    let verdict = at_most(largest.max(1)).map_or(Verdict::Undecided, |answer| answer.verdict);
    let limited_by = if largest < slots {
        limits(board, module, largest + 1)
    } else {
        Vec::new()
    };
    ModuleFit {
        verdict,
        largest,
        limited_by,
        fills: fills(board, module, &fitting),
    }
}

fn request(module: &Arc<Module>, quantity: u32) -> Request {
    Request {
        parts: vec![Arc::clone(module)],
        kit: vec![KitLine {
            part: PartIx(0),
            quantity,
        }],
        ..Request::default()
    }
}

fn fits(board: &Board, module: &Arc<Module>, count: u32) -> bool {
    let request = request(module, count);
    // A count fits if it does with every model that the board takes.
    (0..board.processors.len()).all(|model| {
        let Some(setup) = Setup::new(board, &request, Some(model)) else {
            return false;
        };
        let found = placement::place(
            &setup,
            &Task::of(&setup),
            &RuleSet::none(),
            Aim::Any,
            &mut Budget::of(STEPS),
        );
        matches!(found, Found::Placed(placed) if placed.standing == Standing::Clear)
    })
}

fn limits(board: &Board, module: &Arc<Module>, count: u32) -> Vec<&'static str> {
    let answer = validate(board, &request(module, count));
    answer
        .map(|answer| super::validate::all_conflict_ids(&answer))
        .unwrap_or_default()
}

/// For each fill of the fullest channel, the largest fitting count.
fn fills(board: &Board, module: &Arc<Module>, fitting: &[u32]) -> Vec<Fill> {
    let mut fills: Vec<Fill> = Vec::new();
    for count in fitting {
        let Some(answer) = validate(board, &request(module, *count)) else {
            continue;
        };
        let outcome = &answer.outcome;
        let fill = Fill {
            count: *count,
            per_channel: outcome
                .channels
                .iter()
                .map(|channel| channel.modules)
                .max()
                .unwrap_or(0),
            usable: outcome.usable,
            rate: outcome.rate,
            uniform: outcome.uniform,
        };
        match fills
            .iter_mut()
            .find(|known| known.per_channel == fill.per_channel)
        {
            Some(known) => *known = fill,
            None => fills.push(fill),
        }
    }
    fills
}
