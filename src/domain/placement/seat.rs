//! From stacks to a population: which slot holds which module, and where it came from.

use super::super::board::SlotIx;
use super::super::channel::Stack;
use super::super::population::{Occupant, Origin, Population};
use super::super::request::{InstalledPolicy, PartIx, Request};
use super::super::rules::Standing;
use super::super::setup::Setup;
use super::Placed;
use super::search::Best;

/// The placement that the search found.
pub fn placed(setup: &Setup<'_>, best: Best, standing: Standing, proven_best: bool) -> Placed {
    Placed {
        moved: moved(setup.request, &best.population),
        population: best.population,
        stacks: best.stacks,
        outcome: best.outcome,
        standing,
        proven_best,
        steady_above: None,
    }
}

/// Installed modules that stay on the board but left their slot.
pub fn moved(request: &Request, population: &Population) -> u32 {
    let at_home = |index: u32, slot: SlotIx| {
        population
            .at(slot)
            .is_some_and(|seated| seated.origin == Origin::Installed(index))
    };
    request
        .staying()
        .filter(|(index, entry)| entry.slot.is_some_and(|slot| !at_home(*index, slot)))
        .count() as u32
}

/// What stands in its slot by the request: installed modules that stay in place, and entries of a
/// given population. Two modules for one slot both appear.
pub fn given(setup: &Setup<'_>) -> Population {
    let request = setup.request;
    let mut population = Population::empty(setup.board);
    if request.installed_policy == InstalledPolicy::InPlace {
        for (index, entry) in request.staying() {
            if let Some(slot) = entry.slot {
                population.seat(
                    slot,
                    Occupant {
                        part: entry.part,
                        origin: Origin::Installed(index),
                    },
                );
            }
        }
    }
    for (index, entry) in (0u32..).zip(&request.population) {
        if let Some(slot) = entry.slot {
            population.seat(
                slot,
                Occupant {
                    part: entry.part,
                    origin: Origin::Population(index),
                },
            );
        }
    }
    population
}

/// Seats what is given, then installed modules in their old slots where the plan has one like them
/// there, then the other installed modules, then those of the kit.
pub fn population(setup: &Setup<'_>, stacks: &[Stack]) -> Population {
    let board = setup.board;
    let mut population = given(setup);
    let mut waiting = Waiting::of(setup.request);
    let mut open = Vec::new();
    for (channel, stack) in board.all_channels().zip(stacks) {
        for (slot, position) in board.slots_of(channel).zip(1u8..) {
            let Some(part) = stack.at(position).filter(|_| population.at(slot).is_none()) else {
                continue;
            };
            match waiting.at_home(part, slot) {
                Some(origin) => population.seat(slot, Occupant { part, origin }),
                None => open.push((slot, part)),
            }
        }
    }
    for (slot, part) in open {
        let origin = waiting.next(part);
        population.seat(slot, Occupant { part, origin });
    }
    population
}

/// Modules that still need a slot.
struct Waiting {
    installed: Vec<(u32, PartIx, Option<SlotIx>)>,
    lines: Vec<(u32, PartIx, u32)>,
}

impl Waiting {
    fn of(request: &Request) -> Self {
        let fixed = |slot: Option<SlotIx>| {
            request.installed_policy == InstalledPolicy::InPlace && slot.is_some()
        };
        let installed = request.staying().filter(|(_, entry)| !fixed(entry.slot));
        let lines = (0u32..)
            .zip(&request.kit)
            .map(|(index, line)| (index, line.part, line.quantity));
        Self {
            installed: installed
                .map(|(index, entry)| (index, entry.part, entry.slot))
                .collect(),
            lines: lines.collect(),
        }
    }

    /// Takes the installed module of this kind that was in this slot.
    fn at_home(&mut self, part: PartIx, slot: SlotIx) -> Option<Origin> {
        let index = self
            .installed
            .iter()
            .position(|(_, known, home)| *known == part && *home == Some(slot))?;
        Some(Origin::Installed(self.installed.remove(index).0))
    }

    fn next(&mut self, part: PartIx) -> Origin {
        if let Some(index) = self
            .installed
            .iter()
            .position(|(_, known, _)| *known == part)
        {
            return Origin::Installed(self.installed.remove(index).0);
        }
        let line = self
            .lines
            .iter_mut()
            .find(|(_, known, left)| *known == part && *left > 0);
        line.map_or(Origin::Kit(0), |(index, _, left)| {
            *left -= 1;
            Origin::Kit(*index)
        })
    }
}
