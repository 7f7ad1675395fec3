//! Which slot each module takes: an exact search over what may sit on each channel.
//!
//! A cart sends quantities. The kit fits if some placement breaks no rule that can block, so the
//! search must not miss one. It enumerates what may sit on a channel once for each kind of channel
//! ([`columns`]), finds the best socket for a given share of the modules ([`socket`]), and splits
//! the modules over the sockets ([`search`]), rate level after rate level ([`level`]). Channels and
//! sockets that are alike are counted, not permuted. Rules are the same as everywhere: each is asked
//! as soon as its scope is filled.
//!
//! Among placements that fit, the best loses no memory to a protection that joins channels, then has the
//! highest rate, then loses the least of any socket where some must be lost, then has the highest
//! bandwidth when all that is read is read evenly, then the fewest moved modules, then the earliest slots
//! in filling order.

mod budget;
mod columns;
mod conflict;
mod level;
mod removal;
mod scene;
mod search;
mod seat;
mod socket;
#[cfg(test)]
mod tests;

pub use budget::Budget;
pub use conflict::{Nearest, Refusal, explain_refusal, largest_quantity};
pub use removal::{Asked, Sought};

pub use seat::given;

use super::board::ChannelIx;
use super::channel::Stack;
use super::outcome::Outcome;
use super::population::Population;
use super::request::{InstalledPolicy, PartIx};
use super::rules::{Battery, RuleSet, Standing, index_of};
use super::setup::Setup;
use super::units::Mts;

/// What is to be placed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Task {
    /// How many of each module must find a slot.
    pub loads: Vec<(PartIx, u32)>,
    /// What stays where it is, by channel.
    pub fixed: Vec<Stack>,
    /// What was installed, by channel, for counting moves.
    pub before: Vec<Stack>,
}

/// A placement.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placed {
    /// What sits on each channel.
    pub stacks: Vec<Stack>,
    /// The same, slot by slot, with where each module came from.
    pub population: Population,
    /// What comes out of it.
    pub outcome: Outcome,
    /// Installed modules that left their slot.
    pub moved: u32,
    /// Whether nothing that could block is undecided.
    pub standing: Standing,
    /// Whether it is known to be the best one.
    pub proven_best: bool,
    /// It stays the best with slower processors, as long as their ceiling is above this: all that was
    /// a candidate runs at its rate, what was none runs this or slower, and no rule beyond those of a
    /// channel refused anything. `None` where that was not so.
    pub steady_above: Option<Mts>,
}

impl Placed {
    /// Says anew where each module came from.
    fn reseat(&mut self, setup: &Setup<'_>) {
        self.population = seat::population(setup, &self.stacks);
        self.moved = seat::moved(setup.request, &self.population);
    }
}

/// Which placement is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Aim {
    /// The best one.
    Best,
    /// Any: whether there is one.
    Any,
}

/// What the search found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Found {
    /// A placement.
    Placed(Box<Placed>),
    /// None exists; the rules that stood in the way.
    None(RuleSet),
    /// The search was cut at its limit before it found one.
    Cut,
}

impl Task {
    /// The task that a request sets under its installed policy.
    pub fn of(setup: &Setup<'_>) -> Self {
        let request = setup.request;
        let board = setup.board;
        let mut before = vec![Stack::default(); board.all_channels().count()];
        let mut loads: Vec<(PartIx, u32)> = Vec::new();
        let mut load = |part: PartIx, quantity: u32| match loads
            .iter_mut()
            .find(|(known, _)| *known == part)
        {
            Some((_, total)) => *total += quantity,
            None => loads.push((part, quantity)),
        };
        request
            .kit
            .iter()
            .for_each(|line| load(line.part, line.quantity));
        let mut fixed = before.clone();
        for slot in request
            .staying()
            .filter_map(|(_, entry)| Some((entry.slot?, entry.part)))
        {
            seat_in(&mut before, setup, slot.0, slot.1);
        }
        for (_, entry) in request.staying() {
            match (request.installed_policy, entry.slot) {
                (InstalledPolicy::InPlace, Some(slot)) => {
                    seat_in(&mut fixed, setup, slot, entry.part)
                }
                _ => load(entry.part, 1),
            }
        }
        for entry in &request.population {
            match entry.slot {
                Some(slot) => seat_in(&mut fixed, setup, slot, entry.part),
                None => load(entry.part, 1),
            }
        }
        loads.sort_unstable_by_key(|(part, _)| *part);
        Self {
            loads,
            fixed,
            before,
        }
    }
}

impl Task {
    /// The same where it does not matter which of several alike installed modules come out: one that
    /// stays may do so in the slot of each. Not if more of them are added, which had no slot.
    fn with_homes_of(mut self, setup: &Setup<'_>, removed: &[u32]) -> Self {
        let request = setup.request;
        let is_added = |part: PartIx| {
            let kit = request.kit.iter().map(|line| line.part);
            let mut added = kit.chain(request.population.iter().map(|entry| entry.part));
            added.any(|own| own == part)
        };
        let entries = removed.iter();
        for entry in entries.filter_map(|index| request.installed.get(*index as usize)) {
            if let Some(slot) = entry.slot.filter(|_| !is_added(entry.part)) {
                seat_in(&mut self.before, setup, slot, entry.part);
            }
        }
        self
    }

    /// Modules that need a slot.
    pub fn count(&self) -> u64 {
        self.loads.iter().map(|(_, count)| u64::from(*count)).sum()
    }

    /// Free slots on channels that are not known to be out of reach.
    fn room(&self, setup: &Setup<'_>) -> u64 {
        let board = setup.board;
        let is_open = |channel: &ChannelIx| {
            let (socket, number) = board.address(*channel);
            setup.channel_works(socket, number) != Some(false)
        };
        let taken = |channel: ChannelIx| {
            let stack = self.fixed.get(usize::from(channel.0));
            stack.map_or(0, |stack| stack.count())
        };
        let free =
            |channel: ChannelIx| u64::from(board.wired(channel).saturating_sub(taken(channel)));
        board.all_channels().filter(is_open).map(free).sum()
    }

    /// Whether there are more modules than free slots, so that no rule need be asked.
    fn outnumbers(&self, setup: &Setup<'_>) -> bool {
        self.count() > self.room(setup)
    }
}

fn seat_in(stacks: &mut [Stack], setup: &Setup<'_>, slot: super::board::SlotIx, part: PartIx) {
    let channel: ChannelIx = setup.board.channel_of(slot);
    let position = setup.board.slot(slot).map_or(1, |slot| slot.place.position);
    // Of two modules for one slot the first is seated; a rule reports the other.
    if let Some(stack) = stacks
        .get_mut(usize::from(channel.0))
        .filter(|stack| stack.at(position).is_none())
    {
        *stack = stack.with(position, Some(part));
    }
}

/// Finds a placement that breaks no rule that can block, ignored rules aside.
///
/// `Found::Placed` with [`Standing::Open`] means that no placement is clear, but this one is only
/// undecided.
pub fn place(
    setup: &Setup<'_>,
    task: &Task,
    ignored: &RuleSet,
    aim: Aim,
    budget: &mut Budget,
) -> Found {
    let battery = Battery::new(setup.board, ignored);
    let mut blamed = RuleSet::none();
    let kit = battery.kit(setup, &mut blamed);
    if kit == Standing::Blocked || task.outnumbers(setup) {
        return Found::None(blamed);
    }
    search_kit(setup, task, &battery, kit, aim, budget)
}

/// Searches for a kit that is not blocked as such.
///
/// Where firmware leaves out protection groups that are not filled alike, or channels of no group, a
/// placement that loses no memory counts for more than the rate, which the search looks for first: so it
/// is looked for alone to begin with.
fn search_kit(
    setup: &Setup<'_>,
    task: &Task,
    battery: &Battery,
    kit: Standing,
    aim: Aim,
    budget: &mut Budget,
) -> Found {
    if aim != Aim::Best || !setup.may_lose_groups() {
        return search(setup, task, battery, kit, aim, budget);
    }
    let can_tell = index_of("protection-groups-differ").is_some_and(|rule| battery.blocks(rule));
    let strict = setup.keeping_groups();
    let half = budget.left() / 2;
    let whole = can_tell
        .then(|| budget.within(half, |part| search(&strict, task, battery, kit, aim, part)));
    let all_lose = match whole {
        // Where all is clear every group is alike, and the outcome is the same as with the setup. What a
        // larger channel holds beyond its partner may be lost all the same.
        Some(Found::Placed(placed))
            if placed.standing == Standing::Clear && placed.outcome.reads_all() =>
        {
            return Found::Placed(placed);
        }
        Some(Found::None(_)) => true,
        Some(Found::Placed(_) | Found::Cut) | None => false,
    };
    let mut found = search(setup, task, battery, kit, aim, budget);
    if let Found::Placed(placed) = &mut found {
        placed.proven_best &= all_lose;
        placed.steady_above = None;
    }
    found
}

/// The same, whatever a protection leaves out.
fn search(
    setup: &Setup<'_>,
    task: &Task,
    battery: &Battery,
    kit: Standing,
    aim: Aim,
    budget: &mut Budget,
) -> Found {
    let mut blamed = RuleSet::none();
    // A kit that is undecided anyway can't be placed clearly.
    let tries = if kit == Standing::Clear {
        [Some(Standing::Clear), Some(Standing::Open)]
    } else {
        [None, Some(Standing::Open)]
    };
    for most in tries.into_iter().flatten() {
        let mut run = search::Run::new(setup, task, battery, most, aim, budget);
        let best = run.found();
        let (opens, exhausted) = (run.saw_open(), run.exhausted());
        let steady_above = best
            .as_ref()
            .and_then(|best| run.steady_above(&best.outcome));
        blamed = run.into_blamed();
        match best {
            Some(best) => {
                let is_best = exhausted && aim == Aim::Best;
                let mut placed = seat::placed(setup, best, most.max(kit), is_best);
                placed.steady_above = steady_above.filter(|_| is_best);
                return Found::Placed(Box::new(placed));
            }
            None if !exhausted => return Found::Cut,
            // Nothing undecided was met, so allowing it changes nothing.
            None if most == Standing::Clear && !opens => return Found::None(blamed),
            None => {}
        }
    }
    Found::None(blamed)
}
