//! What may sit on a channel, or on a group of channels that a protection joins: every multiset of
//! builds that the rules of a channel let pass, in its best order.
//!
//! Channels that nothing tells apart share a class and its columns. Within a channel only the best
//! orders of a multiset are kept: those that no other order of it beats in rate and in installed
//! modules left in their slots. What else may be seen of an order is kept where it is looked at
//! ([`super::sight`]).

use super::super::board::ChannelIx;
use super::super::board::policy::{Identity, Protection};
use super::super::channel::{self, Listed, Stack};
use super::super::outcome::{is_left_out, set_aside};
use super::super::request::{InstalledPolicy, PartIx, SocketState};
use super::super::rules::{
    Battery, ChannelView, Matter, RULES, RuleSet, SocketView, Standing, index_of, is_free_of_order,
    lasts,
};
use super::super::setup::Setup;
use super::build::{Builds, Runs};
use super::model::{Key, Task};
use super::search::Meter;
use super::sight::Sight;
use super::small::at;

/// Which makes a channel holds and how many of each, ascending.
pub type Load = [Option<(u16, u16)>; 4];

/// A way to fill a unit.
#[derive(Clone, Debug)]
pub struct Column {
    /// What sits on each channel of the unit; every build by the part that stands for it.
    pub stacks: Vec<Stack>,
    /// Which builds and how many of each, ascending.
    pub builds: Vec<(u16, u16)>,
    /// Which makes each channel of the unit holds.
    pub held: Vec<Load>,
    /// What is seen of each group of slots.
    pub seen: Vec<Vec<u16>>,
    /// The builds as a mask.
    pub mask: u128,
    /// Modules.
    pub modules: u16,
    /// Usable capacity in MiB.
    pub usable: u64,
    /// Capacity of all modules in MiB.
    pub installed: u64,
    /// Peak power in mW.
    pub power: u64,
    /// Channels that hold a module.
    pub populated: u16,
    /// Installed modules whose slots hold their build.
    pub homes: Vec<Runs>,
    /// The rate that its slowest channel runs by what the board lists, the processors and what stays
    /// in place, by supply voltage: `None` where it does not run, 0 where it is not known.
    pub rates: Vec<Option<u32>>,
}

impl Column {
    /// Which makes each channel holds, where all hold the same.
    pub fn each(&self) -> Option<Load> {
        let (first, others) = self.held.split_first()?;
        let alike = others.iter().all(|other| other == first);
        alike.then_some(*first)
    }
}

/// Channels that are filled together: one, or a group of a protection.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unit {
    /// The socket, from 1.
    pub socket: u8,
    /// The channels.
    pub channels: Vec<ChannelIx>,
    /// Whether a protection joins channels and this is one of no group: what it holds is lost, but
    /// balance may still want it filled.
    pub lost: bool,
}

/// Units that nothing tells apart.
#[derive(Debug)]
pub struct Class {
    /// The units, in filling order.
    pub units: Vec<Unit>,
    /// What may sit on one of them; the first is the emptiest.
    pub columns: Vec<Column>,
    /// Whether a fitted processor reaches them all.
    pub works: bool,
    /// Whether their socket has a processor.
    pub fitted: bool,
}

/// What tells channels apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Kind {
    class: u8,
    fixed: Stack,
    home: Stack,
    works: bool,
    lost: bool,
    wired: u8,
    state: SocketState,
}

/// Whether two units have the same columns: the class of a channel tells which sets of channels count
/// together, not what may sit on it. It also tells which of its slots belong to groups, where that is
/// looked at.
fn take_the_same(one: &[Kind], other: &[Kind], sight: &Sight) -> bool {
    let alike = |(one, other): (&Kind, &Kind)| {
        let class = if sight.sees_seats() {
            other.class
        } else {
            one.class
        };
        *one == Kind { class, ..*other }
    };
    one.len() == other.len() && one.iter().zip(other).all(alike)
}

/// What the enumeration looks at.
pub struct Grounds<'s, 'a> {
    pub task: &'s Task<'a>,
    /// One for each processor model that may be fitted, with nothing seated.
    pub setups: &'s [Setup<'s>],
    /// The models of `setups`.
    pub models: &'s [Option<usize>],
    pub battery: &'s Battery,
    /// The rules of mixing alone.
    pub mixing: &'s Battery,
    pub builds: &'s Builds,
    /// Which builds go together on a board, as masks.
    pub friends: &'s [u128],
    /// What tells ways to fill a unit with the same builds apart.
    pub sight: &'s Sight,
}

/// All classes, with what was met on the way.
#[derive(Debug, Default)]
pub struct Classes {
    /// The classes.
    pub list: Vec<Class>,
    /// What was passed over because a fact is missing.
    pub open: Opened,
}

/// What hangs on missing facts.
#[derive(Clone, Copy, Debug, Default)]
pub struct Opened {
    /// The rules that are left open.
    pub rules: RuleSet,
    /// Whether it is open what some modules give or how fast they run, whatever the rules say.
    pub worth: bool,
}

impl Opened {
    /// With what another look found.
    pub fn add(&mut self, other: Self) {
        self.rules = self.rules.and(other.rules);
        self.worth |= other.worth;
    }
}

impl<'s> Grounds<'s, '_> {
    /// The classes of all units of fitted sockets. `None` if the search was told to stop.
    pub fn classes(&self, meter: &mut Meter<'_>) -> Option<Classes> {
        let mut all = Classes::default();
        let mut kinds: Vec<Vec<Kind>> = Vec::new();
        for unit in self.units() {
            let kind: Vec<Kind> = unit
                .channels
                .iter()
                .map(|c| self.kind(*c, unit.lost))
                .collect();
            let known = kinds.iter().position(|other| *other == kind);
            if let Some(class) = known.and_then(|index| all.list.get_mut(index)) {
                class.units.push(unit);
                continue;
            }
            let same = kinds
                .iter()
                .position(|other| take_the_same(other, &kind, self.sight));
            let columns = match same.and_then(|index| all.list.get(index)) {
                Some(class) => class.columns.clone(),
                None => self.columns(&unit, &kind, &mut all.open, meter),
            };
            meter.look();
            if meter.stopped {
                return None;
            }
            let works = kind.iter().all(|kind| kind.works);
            let fitted = self.setups.iter().all(|setup| setup.is_fitted(unit.socket));
            kinds.push(kind);
            all.list.push(Class {
                units: vec![unit],
                columns,
                works,
                fitted,
            });
        }
        Some(all)
    }

    fn setup(&self) -> Option<&'s Setup<'s>> {
        self.setups.first()
    }

    /// The units of the board: the groups of the protection that was asked for, and every other
    /// channel alone; sockets and channels in filling order.
    fn units(&self) -> Vec<Unit> {
        let Some(setup) = self.setup() else {
            return Vec::new();
        };
        let board = setup.board;
        let joined = setup.request.protection.joins_channels();
        let offer = setup.offer().filter(|_| joined);
        let groups: &[Vec<u8>] = offer.map_or(&[], |offer| &offer.groups);
        let order = setup.filling.channel_order.clone();
        let order = order.unwrap_or_else(|| (1..=board.channels).collect());
        let mut units = Vec::new();
        for socket in &board.socket_order {
            let place = |number: &u8| board.channel_at(*socket, *number);
            let mut seen: Vec<u8> = Vec::new();
            for number in &order {
                if seen.contains(number) {
                    continue;
                }
                let group = groups.iter().find(|group| group.contains(number));
                let own = [*number];
                let members: &[u8] = group.map_or(&own, |group| group);
                seen.extend(members);
                units.push(Unit {
                    socket: *socket,
                    channels: members.iter().map(place).collect(),
                    lost: offer.is_some() && group.is_none(),
                });
            }
        }
        units
    }

    fn kind(&self, channel: ChannelIx, lost: bool) -> Kind {
        let Some(setup) = self.setup() else {
            return Kind {
                class: 0,
                fixed: Stack::default(),
                home: Stack::default(),
                works: false,
                lost,
                wired: 0,
                state: SocketState::Empty,
            };
        };
        let board = setup.board;
        let (socket, number) = board.address(channel);
        let in_place = self.task.request.installed_policy == InstalledPolicy::InPlace;
        let home = if in_place || homes_matter(self.task) {
            home_of(self.task, channel)
        } else {
            Stack::default()
        };
        let works = self
            .setups
            .iter()
            .all(|setup| setup.channel_works(socket, number) == Some(true));
        Kind {
            class: board.channel_class(class_of(setup), number),
            fixed: if in_place { home } else { Stack::default() },
            home,
            works: works && setup.is_fitted(socket),
            lost,
            wired: board.wired(channel),
            state: setup.socket(socket),
        }
    }

    fn columns(
        &self,
        unit: &Unit,
        kinds: &[Kind],
        open: &mut Opened,
        meter: &mut Meter<'_>,
    ) -> Vec<Column> {
        let mut columns: Vec<Column> = Vec::new();
        match (unit.channels.as_slice(), kinds) {
            ([channel], [kind]) => {
                let mut walk = Walk::new(self, unit.socket, *channel, kind);
                walk.grow(0, &mut Vec::new(), meter);
                open.add(walk.open);
                for found in &walk.found {
                    let stacks = std::slice::from_ref(&found.stack);
                    columns.extend(self.column(unit, kinds, stacks, open));
                }
            }
            _ => self.group_columns(unit, kinds, open, meter, &mut columns),
        }
        columns.sort_by_cached_key(|column| (column.modules, column.usable));
        columns
    }

    /// Columns of a group: what may sit on its first channel, with what is alike on the others.
    fn group_columns(
        &self,
        unit: &Unit,
        kinds: &[Kind],
        open: &mut Opened,
        meter: &mut Meter<'_>,
        columns: &mut Vec<Column>,
    ) {
        let mut lists: Vec<Vec<Found>> = Vec::new();
        for (channel, kind) in unit.channels.iter().zip(kinds) {
            let mut walk = Walk::new(self, unit.socket, *channel, kind);
            walk.every_order = true;
            walk.grow(0, &mut Vec::new(), meter);
            open.add(walk.open);
            lists.push(walk.found);
        }
        let Some((first, others)) = lists.split_first() else {
            return;
        };
        let Some(likeness) = self.pairing() else {
            return;
        };
        let others: Vec<Partners> = others
            .iter()
            .map(|list| Partners::of(list, |stack| self.pairs_by(likeness, stack)))
            .collect();
        let mut found: Vec<Column> = Vec::new();
        for start in first {
            meter.look();
            if meter.stopped {
                return;
            }
            let key = self.pairs_by(likeness, &start.stack);
            let mut tuples: Vec<Vec<Stack>> = vec![vec![start.stack]];
            for list in &others {
                let alike = list.with(key);
                // Where any may stand beside any, there are many.
                let pairs = tuples.len().saturating_mul(alike.len());
                if !meter.spend_many(pairs as u64 / 64) {
                    return;
                }
                let grown = tuples.iter().flat_map(|tuple| {
                    let alike = alike.iter();
                    alike.map(|(_, other)| [tuple.as_slice(), &[*other]].concat())
                });
                tuples = grown.collect();
            }
            for tuple in tuples {
                if !meter.spend() {
                    return;
                }
                match self.group_standing(unit, &tuple) {
                    Standing::Clear => found.extend(self.column(unit, kinds, &tuple, open)),
                    Standing::Open => {
                        let groups = RuleSet::named("protection-groups-differ");
                        open.rules = open.rules.and(groups);
                        open.worth = true;
                    }
                    Standing::Blocked => {}
                }
            }
        }
        for column in found {
            keep_best(columns, column, self.sight);
        }
    }

    /// What channels of a group must have in common. The rule for groups decides; this only keeps
    /// hopeless ones from being asked, where it decides. `None` without a protection.
    fn pairing(&self) -> Option<Pairing> {
        let setup = self.setup()?;
        let offer = setup.offer()?;
        let rule = index_of("protection-groups-differ");
        let decides = rule.is_some_and(|rule| self.battery.blocks(rule));
        Some(if setup.leaves_groups_out() || !decides {
            Pairing::Any
        } else if offer.identical.is_empty() {
            Pairing::Filled
        } else {
            Pairing::Positions {
                capacity: offer.identical.contains(&Identity::Capacity),
            }
        })
    }

    /// What a stack must have in common with its partners.
    fn pairs_by(&self, pairing: Pairing, stack: &Stack) -> PairKey {
        let capacity = match pairing {
            Pairing::Any => return PairKey::default(),
            Pairing::Filled => return [u64::from(stack.count() > 0), 0, 0, 0],
            Pairing::Positions { capacity } => capacity,
        };
        let of = |position: u8| {
            let build = self.builds.build_of(stack.at(position)?);
            let build = build.and_then(|build| self.builds.list.get(build));
            let own = build.map_or(u64::MAX - 1, |build| build.capacity);
            Some(1 + if capacity { own } else { 0 })
        };
        [1, 2, 3, 4].map(|position| of(position).unwrap_or(0))
    }

    fn group_standing(&self, unit: &Unit, tuple: &[Stack]) -> Standing {
        if tuple.iter().all(|stack| stack.count() == 0) {
            return Standing::Clear;
        }
        let mut worst = Standing::Clear;
        if self
            .setup()
            .and_then(|setup| left_out(setup, tuple))
            .is_none()
        {
            worst = Standing::Open;
        }
        for setup in self.setups {
            let first = setup.board.channel_at(unit.socket, 1);
            let mut stacks = vec![Stack::default(); usize::from(setup.board.channels)];
            for (channel, stack) in unit.channels.iter().zip(tuple) {
                if let Some(seat) = stacks.get_mut(usize::from(channel.0 - first.0)) {
                    *seat = *stack;
                }
            }
            let view = SocketView {
                setup,
                socket: unit.socket,
                stacks: &stacks,
            };
            worst = worst.max(self.battery.group(&view, &mut RuleSet::none()));
        }
        worst
    }

    /// The column of what sits on each channel of a unit. `None` if a capacity is not known.
    fn column(
        &self,
        unit: &Unit,
        kinds: &[Kind],
        stacks: &[Stack],
        open: &mut Opened,
    ) -> Option<Column> {
        let column = self.told_column(unit, kinds, stacks);
        let rates = column.as_ref().map(|column| column.rates.as_slice());
        open.worth |= rates.is_none_or(|rates| rates.contains(&Some(0)));
        column
    }

    fn told_column(&self, unit: &Unit, kinds: &[Kind], stacks: &[Stack]) -> Option<Column> {
        let setup = self.setup()?;
        let mut column = Column {
            stacks: stacks.to_vec(),
            builds: Vec::with_capacity(4),
            held: Vec::with_capacity(stacks.len()),
            seen: Vec::new(),
            mask: 0,
            modules: 0,
            usable: 0,
            installed: 0,
            power: 0,
            populated: 0,
            homes: Vec::new(),
            rates: vec![Some(u32::MAX); setup.board.supply.len()],
        };
        let mut gives = Given::default();
        for ((channel, kind), stack) in unit.channels.iter().zip(kinds).zip(stacks) {
            let mut held = 0;
            for part in stack.parts() {
                let build = self.builds.build_of(part)?;
                let own = self.builds.list.get(build)?;
                count(&mut column.builds, build as u16);
                column.mask |= 1u128 << (build & 127);
                held += own.mib;
                column.power += own.power;
                column.modules += 1;
            }
            column.installed += held;
            column.held.push(self.load(stack)?);
            gives.add(self.given(setup, stack, held)?);
            for position in 1..=kind.wired {
                let (Some(home), Some(now)) = (kind.home.at(position), stack.at(position)) else {
                    continue;
                };
                if self.builds.build_of(home) == self.builds.build_of(now) {
                    column.homes.push(Runs::of(setup, home));
                }
            }
            if stack.count() > 0 {
                column.populated += 1;
                self.slow(unit, *channel, kind, stack, &mut column.rates);
            }
        }
        column.seen = self.sight.seen(setup.board, self.builds, unit, stacks);
        column.usable = if unit.lost || left_out(setup, stacks)? {
            0
        } else {
            gives.usable(setup)
        };
        column.builds.sort_unstable();
        Some(column)
    }

    fn load(&self, stack: &Stack) -> Option<Load> {
        let mut makes = [None; 4];
        for (seat, part) in makes.iter_mut().zip(stack.parts()) {
            *seat = Some(self.builds.make_of(part)?);
        }
        makes.sort_unstable();
        let mut load = Load::default();
        let mut places = load.iter_mut();
        for alike in makes.chunk_by(|one, other| one == other) {
            if let Some(Some(make)) = alike.first()
                && let Some(place) = places.next()
            {
                *place = Some((*make, alike.len() as u16));
            }
        }
        Some(load)
    }

    /// What a channel gives before groups are counted, in MiB.
    fn given(&self, setup: &Setup<'_>, stack: &Stack, held: u64) -> Option<u64> {
        if setup.request.protection != Protection::RankSpare {
            return Some(held);
        }
        let parts: Vec<PartIx> = stack.parts().collect();
        let modules = parts.iter().filter_map(|part| setup.request.part(*part));
        let aside = set_aside(setup, modules)?;
        Some(held.saturating_sub(aside.0))
    }

    /// Lowers the rates of a column to what one of its channels runs.
    fn slow(
        &self,
        unit: &Unit,
        channel: ChannelIx,
        kind: &Kind,
        stack: &Stack,
        rates: &mut [Option<u32>],
    ) {
        for setup in self.setups {
            let view = ChannelView {
                setup,
                socket: unit.socket,
                channel,
                stack: *stack,
            };
            let ceiling = setup.rate_ceiling(unit.socket);
            let rated = stack.parts().filter_map(|part| self.builds.rating_of(part));
            let rated = rated.min().unwrap_or(u32::MAX);
            for (index, (supply, rate)) in setup.board.supply.iter().zip(&mut *rates).enumerate() {
                let untold = if self.task.limits.at_best {
                    u32::MAX
                } else {
                    0
                };
                let most = ceiling.map_or(untold, |most| most.map_or(u32::MAX, |most| most.0));
                let own = match channel::listed_rate(&view, *supply) {
                    Listed::Unsupported => None,
                    Listed::Open(_) => Some(untold.min(most)),
                    Listed::Rate(listed) => Some(listed.0.min(most)),
                };
                let fixed = kind.fixed.parts().map(|part| Runs::of(setup, part));
                let fixed = fixed
                    .map(|runs| runs.serves(0, index).then_some(runs.rating))
                    .try_fold(u32::MAX, |least, one| Some(least.min(one?)));
                *rate = rate
                    .zip(own)
                    .zip(fixed)
                    .map(|((rate, own), fixed)| rate.min(own).min(fixed).min(rated));
            }
        }
    }
}

/// Whether a plan is worth more or less by what stays in its slot. Where it is not, channels that
/// differ only in what was installed are alike.
pub fn homes_matter(task: &Task<'_>) -> bool {
    !task.limits.moves_at_best && counts_moves(task)
}

/// Whether it counts how many installed modules stay.
pub fn counts_moves(task: &Task<'_>) -> bool {
    task.handling > 0
        || task.limits.moved_at_most.is_some()
        || task.limits.tie_moved
        || task.preference.weighs(Key::Moved)
}

/// What was installed on a channel and may stay there.
pub fn home_of(task: &Task<'_>, channel: ChannelIx) -> Stack {
    let mut home = Stack::default();
    for (_, entry) in task.request.staying() {
        let own = entry
            .slot
            .filter(|slot| task.board.channel_of(*slot) == channel);
        let Some(slot) = own else { continue };
        let position = task.board.slot(slot).map_or(1, |slot| slot.place.position);
        if home.at(position).is_none() {
            home = home.with(position, Some(entry.part));
        }
    }
    home
}

/// Under which protection channels are told apart: a group is a unit, and which of the groups it is
/// makes no difference.
pub fn class_of(setup: &Setup<'_>) -> Protection {
    let asked = setup.request.protection;
    if asked.joins_channels() {
        Protection::None
    } else {
        asked
    }
}

/// Whether firmware leaves the memory of a unit out because its channels are not filled alike.
fn left_out(setup: &Setup<'_>, stacks: &[Stack]) -> Option<bool> {
    let joined = setup.request.protection.joins_channels();
    match setup.offer().filter(|_| joined) {
        Some(offer) => is_left_out(setup, offer, stacks.iter().copied()),
        None => Some(false),
    }
}

/// What the channels of a unit give, in MiB.
#[derive(Default)]
struct Given {
    channels: u64,
    sum: u64,
    least: Option<u64>,
}

impl Given {
    fn add(&mut self, channel: u64) {
        self.channels += 1;
        self.sum += channel;
        self.least = Some(self.least.map_or(channel, |least| least.min(channel)));
    }

    /// The usable capacity of the unit.
    fn usable(&self, setup: &Setup<'_>) -> u64 {
        let copies = match setup.request.protection {
            Protection::None | Protection::RankSpare => return self.sum,
            Protection::Mirrored => 2,
            Protection::Lockstep => 1,
        };
        self.least.unwrap_or(0) * self.channels / copies
    }
}

/// Counts one more module of a build.
fn count(builds: &mut Vec<(u16, u16)>, build: u16) {
    match builds.iter_mut().find(|(known, _)| *known == build) {
        Some((_, count)) => *count += 1,
        None => builds.push((build, 1)),
    }
}

/// Adds a column unless another order of the same modules is at least as good and may stand for it; drops
/// those that it may stand for.
fn keep_best(columns: &mut Vec<Column>, column: Column, sight: &Sight) {
    let beats = |a: &Column, b: &Column| {
        a.builds == b.builds && holds_all(&a.homes, &b.homes) && sight.lets_stand(a, b)
    };
    if columns.iter().any(|known| beats(known, &column)) {
        return;
    }
    columns.retain(|known| !beats(&column, known));
    columns.push(column);
}

/// Whether one list has every entry of another, as often.
fn holds_all(all: &[Runs], some: &[Runs]) -> bool {
    let count = |list: &[Runs], runs: Runs| list.iter().filter(|own| **own == runs).count();
    some.iter()
        .all(|runs| count(all, *runs) >= count(some, *runs))
}

/// An order of modules on a channel that the rules let pass.
struct Found {
    stack: Stack,
}

/// What channels of a group must have in common.
#[derive(Clone, Copy)]
enum Pairing {
    /// Nothing.
    Any,
    /// All hold modules, or none does.
    Filled,
    /// The same positions hold modules, of the same capacity if told.
    Positions { capacity: bool },
}

/// What a pairing compares, by position.
type PairKey = [u64; 4];

/// What may sit on a channel, sorted by what it must have in common with the first one of its group.
struct Partners(Vec<(PairKey, Stack)>);

impl Partners {
    fn of(list: &[Found], key: impl Fn(&Stack) -> PairKey) -> Self {
        let keyed = list.iter().map(|found| (key(&found.stack), found.stack));
        let mut keyed: Vec<(PairKey, Stack)> = keyed.collect();
        // Those with one key stay in their order.
        keyed.sort_by_key(|(key, _)| *key);
        Self(keyed)
    }

    fn with(&self, key: PairKey) -> &[(PairKey, Stack)] {
        let start = self.0.partition_point(|(own, _)| *own < key);
        let end = self.0.partition_point(|(own, _)| *own <= key);
        self.0.get(start..end).unwrap_or(&[])
    }
}

/// Enumerates the multisets of builds of one channel.
struct Walk<'s, 'a> {
    grounds: &'s Grounds<'s, 'a>,
    socket: u8,
    channel: ChannelIx,
    kind: &'s Kind,
    /// Positions that are free, in filling order.
    free: Vec<u8>,
    /// Whether every order that passes is kept.
    every_order: bool,
    found: Vec<Found>,
    open: Opened,
}

impl<'s, 'a> Walk<'s, 'a> {
    fn new(grounds: &'s Grounds<'s, 'a>, socket: u8, channel: ChannelIx, kind: &'s Kind) -> Self {
        let order = grounds.setup().map(|s| s.filling.position_order.clone());
        let mut free = order.unwrap_or_default();
        free.retain(|p| *p <= kind.wired && kind.fixed.at(*p).is_none());
        if !kind.works {
            free.clear();
        }
        Self {
            grounds,
            socket,
            channel,
            kind,
            free,
            every_order: false,
            found: Vec::new(),
            open: Opened::default(),
        }
    }

    /// Judges a multiset (ascending builds) and all that begin with it.
    fn grow(&mut self, mask: u128, chosen: &mut Vec<u16>, meter: &mut Meter<'_>) {
        if !meter.spend() || !self.judge(chosen) || chosen.len() >= self.free.len() {
            return;
        }
        let first = chosen.last().copied().unwrap_or(0);
        for build in first..self.grounds.builds.list.len() as u16 {
            let own = self.grounds.builds.list.get(usize::from(build));
            let is_used = own.is_some_and(|b| !b.offers.is_empty() || !b.installed.is_empty());
            let friends = at(self.grounds.friends, usize::from(build));
            if !is_used || mask & !friends != 0 {
                continue;
            }
            chosen.push(build);
            self.grow(mask | 1u128 << (build & 127), chosen, meter);
            chosen.pop();
        }
    }

    /// Tries the orders of a multiset. False if nothing that begins with it can pass.
    fn judge(&mut self, chosen: &[u16]) -> bool {
        let grounds = self.grounds;
        let mut parts = [PartIx(0); 4];
        let builds = chosen.iter();
        let builds = builds.filter_map(|build| grounds.builds.list.get(usize::from(*build)));
        for (seat, build) in parts.iter_mut().zip(builds) {
            *seat = build.part;
        }
        let Some(parts) = parts.get_mut(..chosen.len()) else {
            return false;
        };
        let has_home = self.kind.home.count() > self.kind.fixed.count();
        let rates_by_order = grounds
            .setup()
            .is_some_and(|setup| setup.board.layouts.iter().any(|row| !row.rates.is_empty()));
        let all = self.every_order || has_home || rates_by_order || grounds.sight.sees_order();
        let mut passed: Vec<Stack> = Vec::new();
        let (mut lasting, mut hopeless) = (false, false);
        let mut open = RuleSet::none();
        let mut try_order = |stack: Stack| -> bool {
            let mut blamed = RuleSet::none();
            let standing = self.standing(&stack, &mut blamed);
            match standing {
                Standing::Clear => {
                    passed.push(stack);
                    return all;
                }
                Standing::Open => open = open.and(self.left_open(&stack)),
                Standing::Blocked => {
                    for rule in blamed.iter().filter_map(|rule| RULES.get(rule)) {
                        let free = is_free_of_order(rule.id);
                        hopeless |= free;
                        lasting |= free && lasts(rule.id);
                    }
                }
            }
            !hopeless
        };
        orders(&self.free, self.kind.fixed, parts, grounds, &mut try_order);
        self.open.rules = self.open.rules.and(open);
        if all && !self.every_order {
            passed = self.best_of(passed);
        }
        self.found
            .extend(passed.into_iter().map(|stack| Found { stack }));
        !lasting
    }

    /// The rules that leave it open whether the stack passes.
    fn left_open(&self, stack: &Stack) -> RuleSet {
        let setups = self.grounds.setups.iter();
        let each = setups.map(|setup| {
            let view = ChannelView {
                setup,
                socket: self.socket,
                channel: self.channel,
                stack: *stack,
            };
            self.grounds.battery.open(Matter::Channel(&view))
        });
        each.fold(RuleSet::none(), RuleSet::and)
    }

    fn standing(&self, stack: &Stack, blamed: &mut RuleSet) -> Standing {
        if stack.count() == 0 {
            return Standing::Clear;
        }
        let mut worst = Standing::Clear;
        for setup in self.grounds.setups {
            let view = ChannelView {
                setup,
                socket: self.socket,
                channel: self.channel,
                stack: *stack,
            };
            worst = worst.max(self.grounds.battery.channel(&view, blamed));
        }
        worst
    }

    /// Of several orders of one multiset, those that no other beats.
    fn best_of(&self, passed: Vec<Stack>) -> Vec<Stack> {
        if passed.len() < 2 {
            return passed;
        }
        let unit = Unit {
            socket: self.socket,
            channels: vec![self.channel],
            lost: self.kind.lost,
        };
        let kinds = std::slice::from_ref(self.kind);
        let mut best: Vec<Column> = Vec::new();
        for stack in passed {
            if let Some(column) = self.grounds.told_column(&unit, kinds, &[stack]) {
                keep_best(&mut best, column, self.grounds.sight);
            }
        }
        best.iter()
            .filter_map(|column| column.stacks.first().copied())
            .collect()
    }
}

/// Offers every order of some modules on the free positions, the likeliest first: from the position
/// that fills first on, most ranks first. Stops when told.
fn orders(
    free: &[u8],
    fixed: Stack,
    parts: &mut [PartIx],
    grounds: &Grounds<'_, '_>,
    offer: &mut impl FnMut(Stack) -> bool,
) {
    let ranks = |part: &PartIx| {
        let build = grounds.builds.build_of(*part);
        build
            .and_then(|b| grounds.builds.list.get(b))
            .map_or(0, |b| b.ranks)
    };
    parts.sort_by_key(|part| (std::cmp::Reverse(ranks(part)), *part));
    seat(free, fixed, parts, offer);
}

/// Seats modules position by position. False once it was told to stop.
fn seat(free: &[u8], stack: Stack, left: &[PartIx], offer: &mut impl FnMut(Stack) -> bool) -> bool {
    if left.is_empty() {
        return offer(stack);
    }
    let Some((position, rest)) = free.split_first() else {
        return true;
    };
    let mut others = [PartIx(0); 4];
    let Some(others) = others.get_mut(..left.len() - 1) else {
        return true;
    };
    let mut before = None;
    for (index, part) in left.iter().enumerate() {
        // Alike modules in turn give the same order.
        if before.replace(*part) == Some(*part) {
            continue;
        }
        let kept = left.iter().enumerate().filter(|(own, _)| *own != index);
        for (other, (_, part)) in others.iter_mut().zip(kept) {
            *other = *part;
        }
        if !seat(rest, stack.with(*position, Some(*part)), others, offer) {
            return false;
        }
    }
    left.len() > rest.len() || seat(rest, stack, left, offer)
}
