//! The search over the whole board: rate levels from fast to slow, and at each level the best
//! split of the modules over the sockets.
//!
//! The first level at which a placement exists is the highest rate. Within it the slowest socket
//! decides the bandwidth, so a split is bounded by the even share of what is left: no split reads
//! faster than all working channels together.

use super::super::board::ChannelIx;
use super::super::channel::Stack;
use super::super::outcome::{self, COMMON};
use super::super::population::Population;
use super::super::request::{PartIx, VoltagePolicy};
use super::super::rules::{Battery, BoardView, RuleSet, Standing};
use super::super::setup::Setup;
use super::super::units::{Mib, Mts};
use super::Task;
use super::columns::{ChannelKind, Columns};
use super::seat;
use super::socket::{Filled, Walk};
use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::rc::Rc;

/// How many steps a search may take, and what it met on the way.
#[derive(Clone, Debug)]
pub struct Budget {
    left: u64,
    /// The rules that stood in the way.
    pub(super) blamed: RuleSet,
}

impl Budget {
    /// A search of at most so many steps.
    pub fn of(steps: u64) -> Self {
        Self {
            left: steps,
            blamed: RuleSet::none(),
        }
    }

    /// Takes a step; false once the budget is used up.
    pub(super) fn spend(&mut self) -> bool {
        self.left = self.left.saturating_sub(1);
        self.left > 0
    }

    /// Takes many steps at once.
    pub(super) fn spend_many(&mut self, steps: u64) -> bool {
        self.left = self.left.saturating_sub(steps);
        self.left > 0
    }

    /// Runs a search on a part of the budget and takes back what it left.
    pub fn within<T>(&mut self, steps: u64, search: impl FnOnce(&mut Self) -> T) -> T {
        let granted = steps.min(self.left);
        let mut part = Self::of(granted);
        let found = search(&mut part);
        self.left -= granted - part.left;
        found
    }

    fn is_spent(&self) -> bool {
        self.left == 0
    }
}

impl Default for Budget {
    /// For all searches of one answer together: enough for every kit of three kinds of module on two
    /// sockets, and at most about a second.
    fn default() -> Self {
        Self::of(3_000_000)
    }
}

/// What does not change during a search.
pub struct Scene<'a> {
    pub setup: &'a Setup<'a>,
    pub task: &'a Task,
    pub battery: &'a Battery,
    /// The worst standing that is taken.
    pub most: Standing,
    /// Columns by kind of channel.
    pub columns: Vec<Columns>,
    /// Channels of a socket in filling order.
    pub channel_order: Vec<u8>,
    kinds: Vec<usize>,
    /// Working channels of each socket, socket 1 first.
    working: Vec<u16>,
    /// Capacity of one module of each load.
    sizes: Vec<u64>,
    /// Capacity that stays in place, by socket.
    fixed: Vec<u64>,
    /// Installed modules, by socket.
    installed: Vec<u32>,
}

impl Scene<'_> {
    /// The kind of a channel, as an index into `columns`.
    pub fn kind_of(&self, channel: ChannelIx) -> usize {
        self.kinds.get(usize::from(channel.0)).copied().unwrap_or(0)
    }

    /// Whether a socket reads as fast as its channels allow and nothing had to move.
    pub fn is_perfect(&self, socket: u8, filled: &Filled) -> bool {
        let index = usize::from(socket) - 1;
        let channels = self.working.get(index).copied().unwrap_or(0);
        if self.board_levels()
            && channels > 0
            && filled.cost.kept.0 == self.installed.get(index).copied().unwrap_or(0)
        {
            let total: u64 = filled
                .stacks
                .iter()
                .flat_map(|stack| stack.parts().collect::<Vec<_>>())
                .filter_map(|part| self.setup.request.part(part)?.capacity)
                .map(|c| c.0)
                .sum();
            return filled.cost.time <= u128::from(total) * (COMMON / u128::from(channels));
        }
        false
    }

    /// Whether all sockets run at one rate, so that times compare directly.
    pub fn board_levels(&self) -> bool {
        self.setup.board.levelling == super::super::board::policy::Scope::Board
    }

    fn size_of(&self, share: &[u16]) -> u64 {
        share
            .iter()
            .zip(&self.sizes)
            .map(|(count, size)| u64::from(*count) * size)
            .sum()
    }
}

/// A level: columns must run at least this fast at this voltage.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Level {
    rate: Option<Mts>,
    supply: usize,
}

/// A search.
pub struct Run<'a, 'b> {
    scene: Scene<'a>,
    budget: &'b mut Budget,
    saw_open: bool,
}

/// A filled board with what it is compared by.
#[derive(Clone)]
struct Best {
    cost: BoardCost,
    stacks: Vec<Stack>,
}

#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct BoardCost {
    time: u128,
    kept: Reverse<u32>,
    /// Modules of the fullest socket: in filling order sockets take turns.
    fullest: u32,
    order: Vec<Vec<super::socket::FillKey>>,
}

impl<'a, 'b> Run<'a, 'b> {
    /// Enumerates the columns of each kind of channel.
    pub fn new(
        setup: &'a Setup<'a>,
        task: &'a Task,
        battery: &'a Battery,
        most: Standing,
        budget: &'b mut Budget,
    ) -> Self {
        budget.blamed = RuleSet::none();
        let board = setup.board;
        let sizes: Vec<u64> = task
            .loads
            .iter()
            .map(|(part, _)| size(setup, *part))
            .collect();
        let working: Vec<u16> = (1..=board.sockets)
            .map(|socket| {
                (1..=board.channels)
                    .filter(|c| setup.channel_works(socket, *c) != Some(false))
                    .count() as u16
            })
            .collect();
        let per = usize::from(board.channels).max(1);
        let fixed: Vec<u64> = task
            .fixed
            .chunks(per)
            .map(|stacks| {
                stacks
                    .iter()
                    .flat_map(|s| s.parts().collect::<Vec<_>>())
                    .map(|part| size(setup, part))
                    .sum()
            })
            .collect();
        let installed = task
            .before
            .chunks(per)
            .map(|stacks| stacks.iter().map(|s| u32::from(s.count())).sum())
            .collect();
        let total: u64 = task
            .loads
            .iter()
            .zip(&sizes)
            .map(|((_, count), size)| u64::from(*count) * size)
            .sum::<u64>()
            + fixed.iter().sum::<u64>();
        let channels: u64 = working.iter().map(|count| u64::from(*count)).sum();
        let even = Mib(total / channels.max(1));
        let (kinds, columns) = kinds(setup, task, battery, even, budget);
        let channel_order = setup
            .filling
            .channel_order
            .clone()
            .unwrap_or_else(|| (1..=board.channels).collect());
        let scene = Scene {
            setup,
            task,
            battery,
            most,
            columns,
            channel_order,
            kinds,
            working,
            sizes,
            fixed,
            installed,
        };
        Self {
            scene,
            budget,
            saw_open: false,
        }
    }

    /// Whether something undecided was passed over.
    pub fn saw_open(&self) -> bool {
        self.saw_open
            || self
                .scene
                .columns
                .iter()
                .flat_map(|c| &c.list)
                .any(|c| c.standing > self.scene.most)
    }

    /// Whether the whole space was searched.
    pub fn exhausted(&self) -> bool {
        !self.budget.is_spent()
    }

    /// The rules that stood in the way.
    pub fn into_blamed(self) -> RuleSet {
        self.budget.blamed.clone()
    }

    /// The best placement: what sits on each channel.
    pub fn best(&mut self) -> Option<Vec<Stack>> {
        for level in self.levels() {
            let found = self.at_level(level);
            if found.is_some() || self.budget.is_spent() {
                return found.map(|best| best.stacks);
            }
        }
        None
    }

    /// Levels from fast to slow, lower voltages first; last the one where a rate is not known.
    fn levels(&self) -> Vec<Level> {
        let columns = || {
            self.scene
                .columns
                .iter()
                .flat_map(|c| &c.list)
                .filter(|c| c.stack.count() > 0)
        };
        let mut levels: Vec<Level> = columns()
            .flat_map(|column| {
                column
                    .rates
                    .iter()
                    .enumerate()
                    .filter_map(|(supply, rate)| {
                        Some(Level {
                            rate: Some((*rate)?),
                            supply,
                        })
                    })
            })
            .collect();
        levels.sort_by_key(|level| (Reverse(level.rate), level.supply));
        levels.dedup();
        levels.push(Level {
            rate: None,
            supply: 0,
        });
        levels
    }

    fn at_level(&mut self, level: Level) -> Option<Best> {
        let allowed: Vec<Vec<u16>> = self
            .scene
            .columns
            .iter()
            .map(|columns| self.allowed(columns, level))
            .collect();
        let mut split = Split::new(&self.scene, level, &allowed, false);
        let best = split.run(self.budget);
        self.saw_open |= split.saw_open;
        if best.is_some() || !split.refused || self.budget.is_spent() {
            return best;
        }
        // A rule of the whole board refused the best way to fill some socket: try all ways.
        let mut split = Split::new(&self.scene, level, &allowed, true);
        let best = split.run(self.budget);
        self.saw_open |= split.saw_open;
        best
    }

    fn allowed(&self, columns: &Columns, level: Level) -> Vec<u16> {
        let fast = |rates: &[Option<Mts>]| {
            level.rate.is_none() || rates.get(level.supply).copied().flatten() >= level.rate
        };
        (0u16..)
            .zip(&columns.list)
            .filter(|(_, column)| {
                column.standing <= self.scene.most
                    && (column.stack.count() == 0 || fast(&column.rates))
            })
            .map(|(index, _)| index)
            .collect()
    }
}

fn size(setup: &Setup<'_>, part: PartIx) -> u64 {
    setup
        .request
        .part(part)
        .and_then(|module| module.capacity)
        .map_or(0, |capacity| capacity.0)
}

fn kinds(
    setup: &Setup<'_>,
    task: &Task,
    battery: &Battery,
    even: Mib,
    budget: &mut Budget,
) -> (Vec<usize>, Vec<Columns>) {
    let mut known: Vec<(ChannelKind, super::super::request::SocketState)> = Vec::new();
    let mut columns = Vec::new();
    let kinds = setup
        .board
        .all_channels()
        .map(|channel| {
            let kind = (
                ChannelKind::of(setup, task, channel),
                setup.socket(setup.board.address(channel).0),
            );
            known
                .iter()
                .position(|other| *other == kind)
                .unwrap_or_else(|| {
                    known.push(kind);
                    columns.push(Columns::of(setup, task, battery, channel, even, budget));
                    columns.len() - 1
                })
        })
        .collect();
    (kinds, columns)
}

/// A depth-first walk over the sockets at one level.
struct Split<'s, 'a> {
    scene: &'s Scene<'a>,
    level: Level,
    allowed: &'s [Vec<u16>],
    keep_all: bool,
    known: BTreeMap<(usize, Vec<u16>), Rc<Vec<Filled>>>,
    best: Option<Best>,
    refused: bool,
    saw_open: bool,
    order: Vec<u8>,
    chosen: Vec<(u8, Vec<u16>, Filled)>,
}

impl<'s, 'a> Split<'s, 'a> {
    fn new(scene: &'s Scene<'a>, level: Level, allowed: &'s [Vec<u16>], keep_all: bool) -> Self {
        let order = scene.setup.board.socket_order.clone();
        Self {
            scene,
            level,
            allowed,
            keep_all,
            known: BTreeMap::new(),
            best: None,
            refused: false,
            saw_open: false,
            order,
            chosen: Vec::new(),
        }
    }

    fn run(&mut self, budget: &mut Budget) -> Option<Best> {
        let mut left: Vec<u16> = self
            .scene
            .task
            .loads
            .iter()
            .map(|(_, count)| u16::try_from(*count).unwrap_or(u16::MAX))
            .collect();
        self.step(0, &mut left, budget);
        self.best.take()
    }

    fn step(&mut self, depth: usize, left: &mut [u16], budget: &mut Budget) {
        if !budget.spend() || self.is_perfect() {
            return;
        }
        let Some(socket) = self.order.get(depth).copied() else {
            if left.iter().all(|count| *count == 0) {
                self.leaf(budget);
            }
            return;
        };
        if self.bound(depth, left) {
            return;
        }
        for share in self.shares(depth, socket, left, budget) {
            for filled in self.fill(socket, &share, budget).iter() {
                left.iter_mut()
                    .zip(&share)
                    .for_each(|(left, take)| *left -= take);
                self.chosen.push((socket, share.clone(), filled.clone()));
                self.step(depth + 1, left, budget);
                self.chosen.pop();
                left.iter_mut()
                    .zip(&share)
                    .for_each(|(left, take)| *left += take);
            }
        }
    }

    /// Whether what is left can't beat the best found: even spread over all sockets that are left
    /// it takes longer, or a socket that is already filled does.
    fn bound(&self, depth: usize, left: &[u16]) -> bool {
        let Some(best) = self.best.as_ref().filter(|_| self.scene.board_levels()) else {
            return false;
        };
        let filled = self
            .chosen
            .iter()
            .map(|(.., filled)| filled.cost.time)
            .max()
            .unwrap_or(0);
        let rest = self
            .order
            .iter()
            .skip(depth)
            .map(|socket| usize::from(*socket) - 1);
        let channels: u64 = rest
            .clone()
            .filter_map(|index| self.scene.working.get(index))
            .map(|count| u64::from(*count))
            .sum();
        let held: u64 = rest
            .filter_map(|index| self.scene.fixed.get(index))
            .sum::<u64>()
            + self.scene.size_of(left);
        let even = u128::from(held) * COMMON / u128::from(channels.max(1));
        filled.max(even) > best.cost.time
    }

    /// Whether the best found reads as fast as all working channels together and moved nothing.
    fn is_perfect(&self) -> bool {
        let Some(best) = &self.best else { return false };
        let installed: u32 = self.scene.installed.iter().sum();
        let total: u64 = self.scene.fixed.iter().sum::<u64>()
            + self
                .scene
                .task
                .loads
                .iter()
                .zip(&self.scene.sizes)
                .map(|((_, count), size)| u64::from(*count) * size)
                .sum::<u64>();
        let channels: u64 = self
            .scene
            .working
            .iter()
            .map(|count| u64::from(*count))
            .sum();
        self.scene.board_levels()
            && best.cost.kept.0 == installed
            && best.cost.time <= u128::from(total) * COMMON / u128::from(channels.max(1))
    }

    /// The shares that a socket may take, the nearest to an even one first.
    fn shares(&self, depth: usize, socket: u8, left: &[u16], budget: &mut Budget) -> Vec<Vec<u16>> {
        let rest: Vec<u8> = self.order.iter().skip(depth + 1).copied().collect();
        let last = rest
            .iter()
            .all(|socket| !self.scene.setup.is_fitted(*socket));
        let mut shares: Vec<Vec<u16>> = vec![Vec::new()];
        for (load, count) in left.iter().enumerate() {
            let most = self.most_of(socket, load).min(u32::from(*count)) as u16;
            let later: u32 = rest.iter().map(|socket| self.most_of(*socket, load)).sum();
            let least = u32::from(*count)
                .saturating_sub(later)
                .min(u32::from(*count)) as u16;
            let least = if last { *count } else { least };
            if !budget.spend_many(shares.len() as u64 * u64::from(most.saturating_sub(least) + 1)) {
                return Vec::new();
            }
            shares = shares
                .into_iter()
                .flat_map(|share| {
                    (least..=most).map(move |take| [share.as_slice(), &[take]].concat())
                })
                .collect();
        }
        if let Some((before, share, _)) = self.chosen.last()
            && self.alike(*before, socket)
        {
            // Alike sockets: only shares in falling order are tried.
            shares.retain(|next| next <= share);
        }
        let sockets = 1 + rest
            .iter()
            .filter(|socket| self.scene.setup.is_fitted(**socket))
            .count() as u64;
        let even = self.scene.size_of(left) / sockets;
        shares.sort_by_key(|share| {
            (
                self.scene.size_of(share).abs_diff(even),
                Reverse(share.clone()),
            )
        });
        shares
    }

    fn kinds_of(&self, socket: u8) -> impl Iterator<Item = usize> + '_ {
        self.scene
            .setup
            .board
            .channels_of(socket)
            .map(|channel| self.scene.kind_of(channel))
    }

    fn most_of(&self, socket: u8, load: usize) -> u32 {
        self.kinds_of(socket)
            .filter_map(|kind| self.scene.columns.get(kind)?.most_of.get(load))
            .map(|most| u32::from(*most))
            .sum()
    }

    fn alike(&self, a: u8, b: u8) -> bool {
        self.kinds_of(a).eq(self.kinds_of(b))
    }

    fn fill(&mut self, socket: u8, share: &[u16], budget: &mut Budget) -> Rc<Vec<Filled>> {
        let key = (
            self.order
                .iter()
                .position(|other| self.alike(*other, socket))
                .unwrap_or(0),
            share.to_vec(),
        );
        if let Some(known) = self.known.get(&key) {
            return Rc::clone(known);
        }
        let mut walk = Walk::new(self.scene, socket, self.allowed, self.keep_all);
        walk.run(share, budget);
        self.saw_open |= walk.saw_open;
        let found = Rc::new(walk.found);
        self.known.insert(key, Rc::clone(&found));
        found
    }

    /// Every module has a socket: compare, check the true rate, and ask the board's rules.
    fn leaf(&mut self, budget: &mut Budget) {
        let cost = BoardCost {
            time: self
                .chosen
                .iter()
                .map(|(.., filled)| filled.cost.time)
                .max()
                .unwrap_or(0),
            kept: Reverse(
                self.chosen
                    .iter()
                    .map(|(.., filled)| filled.cost.kept.0)
                    .sum(),
            ),
            fullest: self
                .chosen
                .iter()
                .map(|(.., filled)| filled.modules())
                .max()
                .unwrap_or(0),
            order: self
                .chosen
                .iter()
                .map(|(.., filled)| filled.cost.order.clone())
                .collect(),
        };
        if self.best.as_ref().is_some_and(|best| best.cost <= cost) || !self.is_at_level() {
            return;
        }
        let mut by_socket: Vec<(u8, &Filled)> = self
            .chosen
            .iter()
            .map(|(socket, _, filled)| (*socket, filled))
            .collect();
        by_socket.sort_by_key(|(socket, _)| *socket);
        let stacks: Vec<Stack> = by_socket
            .into_iter()
            .flat_map(|(_, filled)| filled.stacks.iter().copied())
            .collect();
        match self.board_standing(&stacks, budget) {
            standing if standing <= self.scene.most => self.best = Some(Best { cost, stacks }),
            standing => {
                self.refused = true;
                self.saw_open |= standing == Standing::Open;
            }
        }
    }

    /// Whether the voltage that the policy sets really gives the level's rate.
    fn is_at_level(&self) -> bool {
        let Some(rate) = self.level.rate else {
            return true;
        };
        if self.scene.setup.request.voltage_policy == VoltagePolicy::Fastest {
            return true;
        }
        let listed_at = |supply: usize| {
            let mut slowest = Some(Mts(u32::MAX));
            for (socket, _, filled) in &self.chosen {
                for (channel, index) in self
                    .scene
                    .setup
                    .board
                    .channels_of(*socket)
                    .zip(&filled.columns)
                {
                    let column = self
                        .scene
                        .columns
                        .get(self.scene.kind_of(channel))
                        .and_then(|c| c.list.get(usize::from(*index)));
                    if let Some(column) = column.filter(|column| column.stack.count() > 0) {
                        slowest = slowest
                            .zip(column.rates.get(supply).copied().flatten())
                            .map(|(a, b)| a.min(b));
                    }
                }
            }
            slowest
        };
        (0..=self.level.supply)
            .find_map(listed_at)
            .is_some_and(|lowest| lowest >= rate)
    }

    fn board_standing(&self, stacks: &[Stack], budget: &mut Budget) -> Standing {
        // The outcome of a whole board costs about as much as this many steps.
        if !budget.spend_many(50) {
            return Standing::Blocked;
        }
        let setup = self.scene.setup;
        let population: Population = seat::population(setup, self.scene.task, stacks);
        let outcome = outcome::compute(setup, stacks);
        let view = BoardView {
            setup,
            population: &population,
            stacks,
            outcome: &outcome,
            left_over: &[],
        };
        self.scene.battery.board(&view, &mut budget.blamed)
    }
}

/// The unit in which a socket's cost is compared.
pub(super) fn scaled(scene: &Scene<'_>, time: u128, slowest: Option<Mts>) -> u128 {
    match slowest {
        Some(rate) if !scene.board_levels() => (time << 16) / u128::from(rate.0.max(1)),
        _ => time,
    }
}
