//! What can be seen of how a unit is filled, besides which modules it holds.
//!
//! Many ways to fill a channel or a group of channels hold the same builds. One may stand for another
//! only if nothing that a plan is judged by tells them apart for the worse. All of them passed the rules
//! of a channel, and those of a group its own rule. What the checks of sockets and of the board see
//! beyond that is one of these:
//!
//! - *Which modules there are*, which equal builds share: ceilings of capacity, module counts, sockets
//!   without memory, free slots, power, `low-voltage-raised`, and the mixing rules of sockets and of the
//!   board. Nothing is kept.
//! - *Which channels hold something* (`channels-out-of-order`): kept always.
//! - *The rates at each voltage* (`rate-wish`, `rate-not-listed`): at least as fast is no worse, where the
//!   fastest voltage is set and all channels share a rate. Otherwise one more voltage that is supported may be
//!   the one that is set, with less on other channels.
//! - *Usable memory* (`capacity-wish`, `licence-ceiling`, `protection-leaves-nothing`): more is no worse,
//!   unless there is a limit on it. Nor is it where bandwidth counts: more memory in one group may be read
//!   over fewer channels, and a set with a limit of its own (`channel_at_most`) holds only with less.
//! - *The modules in slots of a group* (`slot-groups-differ`, `switched-off-beside-others`): of each group
//!   what its rule compares, whichever of the slots holds what.
//! - *What each channel holds* (`balance-wish`, and the balance of makes that plans must keep): kept where
//!   balance is wished. The rule of capacities follows from the makes.
//! - *Everything* (rules of rates and of balance, where the board's record raises one to block): only
//!   what is seated in the very same way is the same.

use super::super::board::Board;
use super::super::board::groups::SlotGroup;
use super::super::board::policy::Identity;
use super::super::channel::Stack;
use super::super::module::ModuleFacts;
use super::super::request::VoltagePolicy;
use super::super::rules::{Battery, Group, index_of};
use super::super::setup::Setup;
use super::build::{Builds, is_levelled, raised, values_bandwidth};
use super::columns::{Column, Load, Unit};
use super::model::{Key, Task};
use super::small::at;

/// What tells fillings of a unit with the same builds apart.
#[derive(Debug, Default)]
pub struct Sight {
    /// Every seat.
    everything: bool,
    /// What each channel holds.
    shares: bool,
    /// How much is usable, be it more or less.
    amount: bool,
    /// How fast it runs at each voltage, be it more or less.
    rates: bool,
    /// What sits in groups of slots.
    groups: Vec<Seats>,
}

/// A group of slots, and what its rules see of each build, as a number.
#[derive(Debug)]
struct Seats {
    seats: Vec<(u8, u8)>,
    seen: Vec<u16>,
}

impl Sight {
    /// For a task on a board.
    pub fn of(task: &Task<'_>, setup: &Setup<'_>, battery: &Battery, builds: &Builds) -> Self {
        let wishes = &task.request.wishes;
        let joined = setup.request.protection.joins_channels();
        let uniform =
            task.preference.weighs(Key::Uniform) || task.limits.uniform_at_least.is_some();
        let blocks = |id: &str| index_of(id).is_some_and(|rule| battery.blocks(rule));
        let (alike, off) = (
            blocks("slot-groups-differ"),
            blocks("switched-off-beside-others"),
        );
        let listed = task.board.slot_groups.listed().iter();
        let groups = listed.flat_map(|group| {
            let differ = (alike && !group.identical.is_empty())
                .then(|| Seats::of(group, builds, |build| identity(setup, group, builds, build)));
            let resets = (off && group.shared_reset)
                .then(|| Seats::of(group, builds, |build| is_off(setup, builds, build)));
            differ.into_iter().chain(resets).flatten()
        });
        Self {
            everything: raised(task, Group::Rate)
                || raised(task, Group::Balance)
                // Channels of a group may run at rates of their own.
                || joined && values_bandwidth(task) && !is_levelled(setup),
            shares: wishes.balance.is_some(),
            amount: wishes.capacity_at_most.is_some() || wishes.licence.is_some() || uniform,
            rates: task.board.supply.len() > 1
                && (setup.request.voltage_policy == VoltagePolicy::Lowest
                    || values_bandwidth(task) && !is_levelled(setup)),
            groups: groups.collect(),
        }
    }

    /// Whether the order of modules on a channel may be seen.
    pub fn sees_order(&self) -> bool {
        self.everything || self.sees_seats()
    }

    /// Whether it matters which slots of a channel belong to a group.
    pub fn sees_seats(&self) -> bool {
        !self.groups.is_empty()
    }

    /// What is seen of each group of slots in some channels; ascending, so that equal lists are alike.
    pub fn seen(
        &self,
        board: &Board,
        builds: &Builds,
        unit: &Unit,
        stacks: &[Stack],
    ) -> Vec<Vec<u16>> {
        let of_group = |group: &Seats| {
            let mut seen: Vec<u16> = Vec::new();
            for (channel, stack) in unit.channels.iter().zip(stacks) {
                let (_, number) = board.address(*channel);
                for position in 1..=board.positions {
                    let part = stack.at(position);
                    let build = part.and_then(|part| builds.build_of(part));
                    if let Some(build) = build.filter(|_| group.seats.contains(&(number, position)))
                    {
                        seen.push(at(&group.seen, build));
                    }
                }
            }
            seen.sort_unstable();
            seen
        };
        self.groups.iter().map(of_group).collect()
    }

    /// Whether one filling may stand for another of the same unit, where both hold the same builds.
    pub fn lets_stand(&self, one: &Column, for_other: &Column) -> bool {
        let filled_alike = || {
            let mut pairs = one.stacks.iter().zip(&for_other.stacks);
            pairs.all(|(a, b)| (a.count() > 0) == (b.count() > 0))
        };
        let enough = match self.amount {
            true => one.usable == for_other.usable,
            false => one.usable >= for_other.usable,
        };
        let fast = match self.rates {
            true => one.rates == for_other.rates,
            false => (one.rates.iter().zip(&for_other.rates)).all(|(a, b)| a >= b),
        };
        enough
            && fast
            && filled_alike()
            && one.seen == for_other.seen
            && (!self.shares || shares(one) == shares(for_other))
            && (!self.everything || one.stacks == for_other.stacks)
    }
}

/// What the channels of a filling hold, whichever holds what.
fn shares(column: &Column) -> Vec<Load> {
    let mut all = column.held.clone();
    all.sort_unstable();
    all
}

impl Seats {
    /// Of a group; `None` if its rules see no difference between any of the builds.
    fn of<T: PartialEq>(
        group: &SlotGroup,
        builds: &Builds,
        look: impl Fn(usize) -> T,
    ) -> Option<Self> {
        let mut kinds: Vec<T> = Vec::new();
        let mut seen = Vec::with_capacity(builds.list.len());
        for build in 0..builds.list.len() {
            let own = look(build);
            let kind = kinds.iter().position(|known| *known == own);
            seen.push(kind.unwrap_or(kinds.len()) as u16);
            if kind.is_none() {
                kinds.push(own);
            }
        }
        let seats = group.seats.clone();
        (kinds.len() > 1).then_some(Self { seats, seen })
    }
}

fn facts<'a>(setup: &'a Setup<'_>, builds: &Builds, build: usize) -> Option<&'a ModuleFacts> {
    let part = builds.list.get(build)?.part;
    Some(setup.request.part(part)?)
}

/// The facts in which the modules of a group must be alike; a build that does not tell one of them is
/// like no other.
fn identity(
    setup: &Setup<'_>,
    group: &SlotGroup,
    builds: &Builds,
    build: usize,
) -> (Vec<Option<u64>>, Option<String>, Option<usize>) {
    let Some(module) = facts(setup, builds, build) else {
        return (Vec::new(), None, Some(build));
    };
    let names = group.identical.contains(&Identity::PartNumber);
    let number = module.part_number.clone().filter(|_| names);
    let numbers: Vec<Option<u64>> = group
        .identical
        .iter()
        .filter_map(|what| match what {
            Identity::Capacity => Some(module.capacity.map(|mib| mib.0)),
            Identity::Ranks => Some(module.package_ranks.map(u64::from)),
            Identity::Width => Some(module.width.map(|width| width.bits())),
            Identity::Kind => Some(module.kind.map(|kind| kind as u64)),
            Identity::PartNumber => None,
        })
        .collect();
    let untold = numbers.contains(&None) || names && number.is_none();
    (numbers, number, untold.then_some(build))
}

fn is_off(setup: &Setup<'_>, builds: &Builds, build: usize) -> bool {
    facts(setup, builds, build).is_some_and(|module| module.switched_off)
}
