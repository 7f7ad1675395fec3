//! The best way to put a given share of the modules on one socket.

use super::super::board::ChannelIx;
use super::super::channel::Stack;
use super::super::outcome::time_of;
use super::super::rules::{SocketView, Standing};
use super::columns::{Column, Columns};
use super::search::{Budget, Scene, scaled};
use std::cmp::Reverse;

/// One way to fill a socket.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Filled {
    /// How it compares: smaller is better.
    pub cost: Cost,
    /// What sits on each channel of the socket, channel 1 first.
    pub stacks: Vec<Stack>,
    /// Index of the column of each channel, channel 1 first.
    pub columns: Vec<u16>,
}

impl Filled {
    /// Modules on the socket.
    pub fn modules(&self) -> u32 {
        self.stacks
            .iter()
            .map(|stack| u32::from(stack.count()))
            .sum()
    }
}

/// What decides between two ways to fill a socket with the same modules at the same rate.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cost {
    /// Time to read all of its memory evenly, in the unit of [`time_of`].
    pub time: u128,
    /// Installed modules kept in their slots, more is better.
    pub kept: Reverse<u32>,
    /// Slots in filling order: earlier and fuller channels first.
    pub order: Vec<FillKey>,
}

impl Cost {
    /// Whether it is at least as good in time and in modules kept; where both are equal, in order.
    fn beats(&self, other: &Self) -> bool {
        let (time, kept) = (self.time.cmp(&other.time), self.kept.cmp(&other.kept));
        time.is_le() && kept.is_le() && (time.is_lt() || kept.is_lt() || self.order <= other.order)
    }
}

/// How a channel compares in filling order: more modules first, then earlier positions.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct FillKey {
    fullest: Reverse<u8>,
    empties: [bool; 4],
    parts: [u16; 4],
}

impl FillKey {
    /// The key of a stack.
    pub fn of(stack: &Stack, position_order: &[u8]) -> Self {
        let mut key = Self {
            fullest: Reverse(stack.count()),
            empties: [true; 4],
            parts: [u16::MAX; 4],
        };
        for ((empty, part), position) in key
            .empties
            .iter_mut()
            .zip(&mut key.parts)
            .zip(position_order)
        {
            if let Some(seated) = stack.at(*position) {
                (*empty, *part) = (false, seated.0);
            }
        }
        key
    }
}

/// A depth-first walk over the channels of a socket.
pub struct Walk<'s, 'a> {
    scene: &'s Scene<'a>,
    socket: u8,
    /// Columns allowed at this level, by channel in filling order: (channel number, kind, indexes).
    channels: Vec<Step<'s>>,
    picked: Vec<u16>,
    keep_all: bool,
    /// What was found, best first. Unless all are kept, only what nothing else beats: a slower way
    /// that keeps more modules in their slots is the better one when another socket is slower still.
    pub found: Vec<Filled>,
    /// Whether something undecided was passed over.
    pub saw_open: bool,
}

struct Step<'s> {
    number: u8,
    kind: usize,
    columns: &'s Columns,
    allowed: &'s [u16],
}

impl<'s, 'a> Walk<'s, 'a> {
    /// Starts at a socket with the columns that a level allows (by kind).
    pub fn new(scene: &'s Scene<'a>, socket: u8, allowed: &'s [Vec<u16>], keep_all: bool) -> Self {
        let channels = scene
            .channel_order
            .iter()
            .filter_map(|number| {
                let kind = scene.kind_of(scene.setup.board.channel_at(socket, *number));
                Some(Step {
                    number: *number,
                    kind,
                    columns: scene.columns.get(kind)?,
                    allowed: allowed.get(kind)?,
                })
            })
            .collect();
        Self {
            scene,
            socket,
            channels,
            picked: Vec::new(),
            keep_all,
            found: Vec::new(),
            saw_open: false,
        }
    }

    /// Finds the ways to seat exactly `share` (modules of each load) on the socket.
    pub fn run(&mut self, share: &[u16], budget: &mut Budget) {
        let mut left = share.to_vec();
        self.step(0, &mut left, budget);
        self.found.sort_by(|a, b| a.cost.cmp(&b.cost));
    }

    /// Whether the socket is as good as it can be: no need to look on.
    fn perfect(&self) -> bool {
        !self.keep_all
            && self
                .found
                .first()
                .is_some_and(|found| self.scene.is_perfect(self.socket, found))
    }

    fn step(&mut self, depth: usize, left: &mut [u16], budget: &mut Budget) {
        if !budget.spend() || self.perfect() {
            return;
        }
        let Some(step) = self.channels.get(depth) else {
            if left.iter().all(|count| *count == 0) {
                self.leaf(budget);
            }
            return;
        };
        if !self.has_room(depth, left) {
            return;
        }
        let (allowed, columns, first) = (step.allowed, step.columns, self.first_of(depth));
        for index in allowed.iter().copied().filter(|index| *index >= first) {
            let Some(column) = columns.list.get(usize::from(index)) else {
                continue;
            };
            if column
                .takes
                .iter()
                .zip(left.iter())
                .any(|(take, left)| take > left)
            {
                continue;
            }
            left.iter_mut()
                .zip(&column.takes)
                .for_each(|(left, take)| *left -= take);
            self.picked.push(index);
            self.step(depth + 1, left, budget);
            self.picked.pop();
            left.iter_mut()
                .zip(&column.takes)
                .for_each(|(left, take)| *left += take);
        }
    }

    /// Channels of one kind are alike: only ascending picks are tried.
    fn first_of(&self, depth: usize) -> u16 {
        let Some(here) = self.channels.get(depth) else {
            return 0;
        };
        let before = self
            .channels
            .iter()
            .zip(&self.picked)
            .take(depth)
            .filter(|(step, _)| step.kind == here.kind);
        before.map(|(_, picked)| *picked).next_back().unwrap_or(0)
    }

    fn has_room(&self, depth: usize, left: &[u16]) -> bool {
        let rest = || self.channels.iter().skip(depth);
        let total: u32 = left.iter().map(|count| u32::from(*count)).sum();
        if total > rest().map(|step| u32::from(step.columns.most)).sum() {
            return false;
        }
        left.len() == 1
            || left.iter().enumerate().all(|(load, count)| {
                u32::from(*count)
                    <= rest()
                        .filter_map(|step| step.columns.most_of.get(load))
                        .map(|most| u32::from(*most))
                        .sum()
            })
    }

    /// All channels are chosen: put them in filling order within each kind, ask the socket's rules,
    /// and keep it if it is better.
    fn leaf(&mut self, budget: &mut Budget) {
        let columns = self.canonical();
        let of = |number: u8, index: u16| {
            let kind = self
                .scene
                .kind_of(self.scene.setup.board.channel_at(self.socket, number));
            self.scene
                .columns
                .get(kind)
                .and_then(|columns| columns.list.get(usize::from(index)))
        };
        let chosen: Vec<&Column> = (1u8..)
            .zip(&columns)
            .filter_map(|(number, index)| of(number, *index))
            .collect();
        let cost = self.cost(&chosen);
        if !self.keep_all && self.found.iter().any(|found| found.cost.beats(&cost)) {
            return;
        }
        let stacks: Vec<Stack> = chosen.iter().map(|column| column.stack).collect();
        let view = SocketView {
            setup: self.scene.setup,
            socket: self.socket,
            stacks: &stacks,
        };
        let standing = self.scene.battery.socket(&view, &mut budget.blamed);
        self.saw_open |= standing == Standing::Open;
        if standing > self.scene.most {
            return;
        }
        if !self.keep_all {
            self.found.retain(|found| !cost.beats(&found.cost));
        }
        self.found.push(Filled {
            cost,
            stacks,
            columns,
        });
    }

    /// Columns by channel number; within a kind, fuller channels come earlier in filling order.
    fn canonical(&self) -> Vec<u16> {
        let order = &self.scene.setup.filling.position_order;
        let mut by_number = vec![0u16; usize::from(self.scene.setup.board.channels)];
        for (depth, step) in self.channels.iter().enumerate() {
            // The n-th channel of the kind takes the n-th column of the kind by filling key.
            let rank = self
                .channels
                .iter()
                .take(depth)
                .filter(|other| other.kind == step.kind)
                .count();
            let mut own: Vec<(FillKey, u16)> = self
                .channels
                .iter()
                .zip(&self.picked)
                .filter(|(other, _)| other.kind == step.kind)
                .filter_map(|(other, index)| {
                    Some((
                        FillKey::of(&other.columns.list.get(usize::from(*index))?.stack, order),
                        *index,
                    ))
                })
                .collect();
            own.sort_unstable();
            if let (Some((_, index)), Some(seat)) = (
                own.get(rank),
                by_number.get_mut(usize::from(step.number) - 1),
            ) {
                *seat = *index;
            }
        }
        by_number
    }

    fn cost(&self, chosen: &[&Column]) -> Cost {
        let first = self
            .scene
            .setup
            .board
            .channels_of(self.socket)
            .next()
            .unwrap_or(ChannelIx(0));
        let held = chosen
            .iter()
            .enumerate()
            .map(|(index, column)| (ChannelIx(first.0 + index as u16), column.capacity.0));
        let order = &self.scene.setup.filling.position_order;
        let by_order = self
            .scene
            .channel_order
            .iter()
            .filter_map(|number| chosen.get(usize::from(*number) - 1));
        let slowest = chosen
            .iter()
            .filter(|column| column.stack.count() > 0)
            .filter_map(|column| column.best)
            .min();
        Cost {
            time: scaled(self.scene, time_of(self.scene.setup.board, held), slowest),
            kept: Reverse(chosen.iter().map(|column| column.kept).sum()),
            order: by_order
                .map(|column| FillKey::of(&column.stack, order))
                .collect(),
        }
    }
}
