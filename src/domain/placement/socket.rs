//! The best way to put a given share of the modules on one socket.
//!
//! Channels are filled depth-first. Columns stand in filling order and channels of one kind take
//! ascending columns only, so each arrangement is met once, in the form that fills early channels
//! first.

use super::super::board::ChannelIx;
use super::super::board::policy::Scope;
use super::super::channel::Stack;
use super::super::outcome::{COMMON, grouping, readable, time_apart, time_of};
use super::super::rules::{SocketView, Standing};
use super::budget::Budget;
use super::columns::{Column, Columns};
use super::level::{Allowed, Level, ShareBound};
use super::scene::{Scene, count_of};
use std::cmp::{Ordering, Reverse};

/// One way to fill a socket.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Filled {
    /// How it compares: smaller is better.
    pub cost: Cost,
    /// What sits on each channel of the socket, channel 1 first.
    pub stacks: Vec<Stack>,
    /// Modules on the socket.
    pub modules: u32,
    /// Lower voltages at which it would run, see [`Level::lower_supplies`].
    pub lower: u32,
}

/// What decides between two ways to fill a socket with the same modules at the same rate.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cost {
    /// Time to read all of its memory evenly, in the unit of [`Scene::scaled`].
    pub time: u128,
    /// Installed modules kept in their slots, more is better.
    pub kept: Reverse<u32>,
    /// Sum of squares of the modules of each channel: channels take turns.
    pub spread: u32,
    /// Slots in filling order: earlier channels fuller.
    pub order: Vec<FillKey>,
}

/// What is compared of a way to fill a socket before its order is written down.
#[derive(Clone, Copy)]
struct Worth {
    time: u128,
    kept: Reverse<u32>,
    spread: u32,
    lower: u32,
}

impl Filled {
    fn worth(&self) -> Worth {
        Worth {
            time: self.cost.time,
            kept: self.cost.kept,
            spread: self.cost.spread,
            lower: self.lower,
        }
    }
}

impl Worth {
    /// Whether it is at least as good in time and in modules kept, where both are equal in order, and runs
    /// at the level's voltage wherever the other does. `order` compares the order of both.
    fn beats(&self, other: &Self, order: impl FnOnce() -> Ordering) -> bool {
        let (time, kept) = (self.time.cmp(&other.time), self.kept.cmp(&other.kept));
        let tie = || self.spread.cmp(&other.spread).then_with(order).is_le();
        time.is_le()
            && kept.is_le()
            && self.lower & !other.lower == 0
            && (time.is_lt() || kept.is_lt() || tie())
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
        let seats = key.empties.iter_mut().zip(&mut key.parts);
        for ((empty, part), position) in seats.zip(position_order) {
            if let Some(seated) = stack.at(*position) {
                (*empty, *part) = (false, seated.0);
            }
        }
        key
    }
}

/// A lower bound on the cost of a share, its order aside.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Bound {
    /// No way to seat it reads faster.
    pub time: u128,
    /// No way spreads it more evenly.
    pub spread: u32,
}

/// Which of the ways to fill a socket are looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Keep {
    /// The first that is met: whether there is one.
    First,
    /// Those that nothing else beats: a slower way that keeps more modules in their slots is the
    /// better one when another socket is slower still.
    Unbeaten,
    /// All.
    All,
}

/// A depth-first walk over the channels of a socket.
pub struct Walk<'s, 'a> {
    scene: &'s Scene<'a>,
    socket: u8,
    level: Level,
    channels: Vec<Step<'s>>,
    /// What the channels from each on take together.
    room: Vec<Room>,
    picked: Vec<Picked>,
    limits: Limits,
    keep: Keep,
    /// Whether what was found will do.
    done: bool,
    found: Vec<Filled>,
    /// Whether something undecided was passed over.
    saw_open: bool,
}

/// The column of a channel, and what it gives together with those of the channels before.
#[derive(Clone, Copy)]
struct Picked {
    /// The column, by index.
    column: u16,
    /// Installed modules that keep their slots.
    kept: u32,
    /// Sum of squares of the modules of each channel.
    spread: u32,
    /// The lower voltages that suit all.
    lower: u32,
}

impl Picked {
    /// Of no channel.
    const NONE: Self = Self {
        column: 0,
        kept: 0,
        spread: 0,
        lower: u32::MAX,
    };

    /// With a column more.
    fn and(self, index: u16, column: &Column, lower: u32) -> Self {
        Self {
            column: index,
            kept: self.kept + column.kept,
            spread: self.spread + u32::from(column.count).pow(2),
            lower: self.lower & lower,
        }
    }
}

/// A channel in filling order, with what may sit on it.
struct Step<'s> {
    number: u8,
    /// The channel before that is like it.
    alike: Option<usize>,
    columns: &'s Columns,
    allowed: &'s Allowed,
}

/// What several channels take together.
#[derive(Clone, Debug, Default)]
struct Room {
    /// Modules.
    most: u32,
    /// Modules of each load.
    most_of: Vec<u32>,
}

impl Room {
    fn and(&self, own: &Allowed) -> Self {
        let own_of = |load: usize| own.most_of.get(load).copied().unwrap_or(0);
        let most_of = self.most_of.iter().enumerate();
        Self {
            most: self.most + u32::from(own.most),
            most_of: most_of
                .map(|(load, sum)| sum + u32::from(own_of(load)))
                .collect(),
        }
    }
}

/// Which columns a walk takes, and when it may stop.
#[derive(Clone, Copy)]
struct Limits {
    /// The largest capacity of a channel, in MiB.
    height: u64,
    /// The fewest and the most modules of a channel.
    counts: (u8, u8),
    /// A way that reaches this bound and keeps every installed module can't be beaten.
    goal: Option<Bound>,
}

const NO_LIMITS: Limits = Limits {
    height: u64::MAX,
    counts: (0, u8::MAX),
    goal: None,
};

impl<'s, 'a> Walk<'s, 'a> {
    /// Starts at a socket with the columns that a level allows (by kind).
    pub fn new(
        scene: &'s Scene<'a>,
        socket: u8,
        level: Level,
        allowed: &'s [Allowed],
        keep: Keep,
    ) -> Self {
        let mut channels: Vec<Step<'s>> = Vec::with_capacity(scene.channel_order.len());
        let mut kinds: Vec<usize> = Vec::with_capacity(scene.channel_order.len());
        for number in &scene.channel_order {
            let sort = scene.sort_of(scene.setup.board.channel_at(socket, *number));
            let own = (scene.columns.get(sort.start), allowed.get(sort.start));
            if let (Some(columns), Some(allowed)) = own {
                channels.push(Step {
                    number: *number,
                    alike: kinds.iter().rposition(|kind| *kind == sort.kind),
                    columns,
                    allowed,
                });
                kinds.push(sort.kind);
            }
        }
        let mut room = Vec::with_capacity(channels.len() + 1);
        room.push(Room {
            most: 0,
            most_of: vec![0; scene.task.loads.len()],
        });
        for step in channels.iter().rev() {
            room.extend(room.last().map(|rest| rest.and(step.allowed)));
        }
        room.reverse();
        Self {
            scene,
            socket,
            level,
            picked: Vec::with_capacity(channels.len()),
            channels,
            room,
            limits: NO_LIMITS,
            keep,
            done: false,
            found: Vec::new(),
            saw_open: false,
        }
    }

    /// The ways to seat exactly `share` (modules of each load) on the socket, best first.
    pub fn run(&mut self, share: &[u16], budget: &mut Budget) -> Vec<Filled> {
        let free_to_move = self.scene.installed_on(self.socket) == 0;
        match self.keep {
            Keep::First if free_to_move => self.run_to_first(share, budget),
            Keep::Unbeaten if free_to_move => self.run_by_height(share, budget),
            _ => self.walk(share, NO_LIMITS, budget),
        }
        self.found.sort_by(|a, b| a.cost.cmp(&b.cost));
        std::mem::take(&mut self.found)
    }

    /// Whether something undecided was passed over.
    pub fn saw_open(&self) -> bool {
        self.saw_open
    }

    /// An even spread is what the rules mostly let pass, so it is tried before any other.
    fn run_to_first(&mut self, share: &[u16], budget: &mut Budget) {
        let even = Limits {
            counts: self.scene.even_counts(self.socket, share),
            ..NO_LIMITS
        };
        for limits in [even, NO_LIMITS] {
            if self.found.is_empty() {
                self.walk(share, limits, budget);
            }
        }
    }

    /// No channel may be taller than its socket's time allows, so heights are tried from low to
    /// high: once something is found, a taller channel can only be slower. The even spread is tried
    /// first of all, since it mostly is the best.
    fn run_by_height(&mut self, share: &[u16], budget: &mut Budget) {
        let bound =
            self.scene
                .bound_of(self.socket, share, self.channels.iter().map(|s| s.allowed));
        let even = self.scene.even_counts(self.socket, share);
        let goal = self.goal(share, &bound);
        let heights = self.heights(bound.height);
        for (index, height) in heights.iter().copied().enumerate() {
            let limits = Limits {
                height,
                counts: even,
                goal: Some(goal),
            };
            let before = budget.left();
            if index == 0 {
                self.walk(share, limits, budget);
            }
            let every = Limits {
                counts: (0, u8::MAX),
                ..limits
            };
            if self.reached(goal) {
                // No count of modules does better.
            } else if index == 0 && self.holds_all_within(height, even) {
                // No column has more or fewer: the same walk again would find the same. Its steps are
                // taken all the same, so that where a search is cut does not hang on this.
                budget.spend_many(before - budget.left());
            } else {
                self.walk(share, every, budget);
            }
            let sure = self.found.iter().filter(|found| found.lower == 0);
            let fastest = sure.map(|found| found.cost.time).min();
            let next = heights
                .get(index + 1)
                .map(|next| self.scene.time_of_height(*next, bound.rate));
            if let (Some(fastest), Some(next)) = (fastest, next)
                && fastest <= next
            {
                return;
            }
        }
    }

    /// No way to seat a share is better than this. Of one kind of module as many make every channel as
    /// tall, so that the even spread, and what reads no faster, is met on the first walk. Where rates are
    /// not known, times do not compare.
    fn goal(&self, share: &[u16], bound: &ShareBound) -> Bound {
        let most = self.channels.iter().map(|step| step.allowed.most).max();
        let most = u32::from(most.unwrap_or(0));
        let in_regions = self.level.rate.and_then(|_| {
            self.scene
                .time_in_regions(self.socket, share, most, bound.rate)
        });
        Bound {
            time: bound.bound.time.max(in_regions.unwrap_or(0)),
            ..bound.bound
        }
    }

    /// The capacities that a channel may have, from `least` up.
    fn heights(&self, least: u64) -> Vec<u64> {
        let all = self
            .channels
            .iter()
            .flat_map(|step| step.allowed.heights.iter().copied());
        let mut heights: Vec<u64> = all.filter(|height| *height >= least).collect();
        heights.sort_unstable();
        heights.dedup();
        heights
    }

    /// Whether all columns of up to this capacity have so many modules.
    fn holds_all_within(&self, height: u64, (fewest, most): (u8, u8)) -> bool {
        let columns = |step: &Step<'s>| {
            let own = step.allowed.indexes.iter();
            let list = &step.columns.list;
            own.filter_map(move |index| list.get(usize::from(*index)))
        };
        let low = |column: &&'s Column| column.capacity.0 <= height;
        let within = |column: &Column| (fewest..=most).contains(&column.count);
        let mut steps = self.channels.iter();
        steps.all(|step| columns(step).filter(low).all(within))
    }

    fn walk(&mut self, share: &[u16], limits: Limits, budget: &mut Budget) {
        self.limits = limits;
        self.done = self.is_done();
        let mut left = share.to_vec();
        self.step(0, &mut left, budget);
    }

    /// Whether what was found will do.
    fn is_done(&self) -> bool {
        match self.keep {
            Keep::First => !self.found.is_empty(),
            Keep::Unbeaten | Keep::All => self.limits.goal.is_some_and(|goal| self.reached(goal)),
        }
    }

    /// Whether a way was found that can't be beaten.
    fn reached(&self, goal: Bound) -> bool {
        self.found.iter().any(|found| {
            let cost = &found.cost;
            let bound = Bound {
                time: cost.time,
                spread: cost.spread,
            };
            found.lower == 0 && bound <= goal
        })
    }

    fn step(&mut self, depth: usize, left: &mut [u16], budget: &mut Budget) {
        if !budget.spend() || self.done {
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
        let (allowed, columns, first) = (step.allowed, step.columns, self.first_of(step));
        let before = self.picked.last().copied().unwrap_or(Picked::NONE);
        let policy = self.scene.setup.request.voltage_policy;
        for index in allowed
            .indexes
            .iter()
            .copied()
            .filter(|index| *index >= first)
        {
            let Some(column) = columns.list.get(usize::from(index)) else {
                continue;
            };
            if !self.takes(column, left) {
                continue;
            }
            shift(left, &column.takes, |left, take| left - take);
            let lower = self.level.lower_supplies(column, policy);
            self.picked.push(before.and(index, column, lower));
            self.step(depth + 1, left, budget);
            self.picked.pop();
            shift(left, &column.takes, |left, take| left + take);
        }
    }

    fn takes(&self, column: &Column, left: &[u16]) -> bool {
        let (fewest, most) = self.limits.counts;
        (fewest..=most).contains(&column.count)
            && column.capacity.0 <= self.limits.height
            && column
                .takes
                .iter()
                .zip(left)
                .all(|(take, left)| take <= left)
    }

    /// Channels of one kind are alike: only ascending picks are tried.
    fn first_of(&self, step: &Step<'_>) -> u16 {
        let alike = step.alike.and_then(|depth| self.picked.get(depth));
        alike.map_or(0, |picked| picked.column)
    }

    fn has_room(&self, depth: usize, left: &[u16]) -> bool {
        let Some(room) = self.room.get(depth) else {
            return left.iter().all(|count| *count == 0);
        };
        count_of(left) <= room.most
            && left
                .iter()
                .zip(&room.most_of)
                .all(|(count, room)| u32::from(*count) <= *room)
    }

    /// All channels are chosen: ask the socket's rules, and keep it if it is better.
    fn leaf(&mut self, budget: &mut Budget) {
        let own = self.picked.last().copied().unwrap_or(Picked::NONE);
        let worth = Worth {
            time: self.time(),
            kept: Reverse(own.kept),
            spread: own.spread,
            lower: own.lower,
        };
        let in_order = |found: &Filled| found.cost.order.iter().cmp(self.order());
        let beaten = |found: &Filled| found.worth().beats(&worth, || in_order(found));
        if self.keep != Keep::All && self.found.iter().any(beaten) {
            return;
        }
        let stacks = self.stacks();
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
        let order: Vec<FillKey> = self.order().copied().collect();
        if self.keep != Keep::All {
            let beaten =
                |found: &Filled| worth.beats(&found.worth(), || order.cmp(&found.cost.order));
            self.found.retain(|found| !beaten(found));
        }
        let way = Filled {
            cost: Cost {
                time: worth.time,
                kept: worth.kept,
                spread: worth.spread,
                order,
            },
            modules: stacks.iter().map(|stack| u32::from(stack.count())).sum(),
            stacks,
            lower: worth.lower,
        };
        self.found.push(way);
        self.done = self.is_done();
    }

    /// The channels that are filled, by number, with their columns.
    fn chosen(&self) -> impl Iterator<Item = (u8, &Column)> {
        let column = |(step, picked): (&'_ Step<'s>, &Picked)| {
            let column = step.columns.list.get(usize::from(picked.column));
            Some((step.number, column?))
        };
        self.channels.iter().zip(&self.picked).filter_map(column)
    }

    /// The time to read what is read of the channels, and the memory that a protection loses, which
    /// weighs more than any time to read the rest.
    fn time(&self) -> u128 {
        let setup = self.scene.setup;
        if grouping(setup).is_none() {
            return self.time_to_read(self.numbered());
        }
        let mut read: Vec<(ChannelIx, u64)> = self.held().collect();
        let sum = |held: &[(ChannelIx, u64)]| held.iter().map(|(_, mib)| mib).sum::<u64>();
        let all = sum(&read);
        // Where it can't be told, nothing counts as lost.
        if readable(setup, &self.stacks(), &mut read).is_none() {
            return self.time_to_read(self.numbered());
        }
        let lost = u128::from(all.saturating_sub(sum(&read)));
        let board = setup.board;
        let read = read
            .into_iter()
            .map(|(own, mib)| (board.address(own).1, mib));
        let time = self.time_to_read(read);
        time.saturating_add(lost.saturating_mul(MORE_THAN_ANY_TIME))
    }

    /// The time to read so much of each channel, by its number, evenly.
    fn time_to_read(&self, held: impl Iterator<Item = (u8, u64)>) -> u128 {
        let board = self.scene.setup.board;
        let populated = || self.chosen().filter(|(_, column)| column.count > 0);
        let slowest = |within: &dyn Fn(u8) -> bool| {
            let own = populated().filter(|(number, _)| within(*number));
            own.filter_map(|(_, column)| self.level.rate_of(column))
                .min()
        };
        let node = |channel: u8| board.nodes.get(usize::from(channel) - 1);
        let protection = self.scene.setup.request.protection;
        match board.levelling {
            Scope::Board => time_of(board, protection, held),
            Scope::Socket => self
                .scene
                .scaled(time_of(board, protection, held), slowest(&|_| true)),
            Scope::Node => time_apart(board, protection, self.in_order(held), |channel| {
                let own = board.address(channel).1;
                slowest(&|other| node(own) == node(other))
            }),
            Scope::Channel => time_apart(board, protection, self.in_order(held), |channel| {
                let own = board.address(channel).1;
                slowest(&|other| own == other)
            }),
        }
    }

    /// The channels with what they hold, in MiB.
    fn held(&self) -> impl Iterator<Item = (ChannelIx, u64)> {
        let board = self.scene.setup.board;
        self.chosen().map(|(number, column)| {
            let channel = board.channel_at(self.socket, number);
            (channel, column.capacity.0)
        })
    }

    /// The same by the channel's number.
    fn numbered(&self) -> impl Iterator<Item = (u8, u64)> {
        self.chosen()
            .map(|(number, column)| (number, column.capacity.0))
    }

    /// By channel, in the order of the board.
    fn in_order(
        &self,
        held: impl Iterator<Item = (u8, u64)>,
    ) -> impl Iterator<Item = (ChannelIx, u64)> {
        let board = self.scene.setup.board;
        let mut held: Vec<(u8, u64)> = held.collect();
        held.sort_unstable_by_key(|(number, _)| *number);
        let socket = self.socket;
        held.into_iter()
            .map(move |(number, mib)| (board.channel_at(socket, number), mib))
    }

    /// What sits on each channel of the socket, channel 1 first.
    fn stacks(&self) -> Vec<Stack> {
        let mut stacks = vec![Stack::default(); self.channels.len()];
        for (number, column) in self.chosen() {
            if let Some(stack) = stacks.get_mut(usize::from(number) - 1) {
                *stack = column.stack;
            }
        }
        stacks
    }

    /// How the chosen columns compare in filling order.
    fn order(&self) -> impl Iterator<Item = &FillKey> {
        self.chosen().map(|(_, column)| &column.key)
    }
}

/// More than reading all memory of the largest socket takes, in the unit of [`COMMON`] and scaled.
const MORE_THAN_ANY_TIME: u128 = COMMON << 52;

/// Changes what is left of each load by what a column takes.
pub(super) fn shift(left: &mut [u16], takes: &[u16], change: impl Fn(u16, u16) -> u16) {
    left.iter_mut()
        .zip(takes)
        .for_each(|(left, take)| *left = change(*left, *take));
}
