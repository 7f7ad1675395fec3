//! From counts of columns to a plan: which channel takes which column, which module sits where, and
//! whether every rule lets it pass.
//!
//! The search only decides how many units of each class take which column. Here they are dealt to
//! the sockets, evenly first; if a rule refuses that, every other way is tried, alike sockets in
//! falling order only. What a plan is worth is computed from the plan itself, never from the search's
//! sums.

use super::super::board::{ChannelIx, SlotIx};
use super::super::channel::Stack;
use super::super::outcome::{self, Outcome};
use super::super::population::{Occupant, Origin, Population};
use super::super::request::{Balance, InstalledPolicy, PartIx, Request};
use super::super::rules::{Battery, BoardView, Likeness, Matter, SocketView, Standing};
use super::super::setup::Setup;
use super::super::units::Money;
use super::build::{Runs, currency};
use super::columns::{Column, Load, Opened, Unit};
use super::model::{Cost, Line, Plan, Values};
use super::purchase::buy;
use super::scene::Scene;
use super::search::Meter;
use super::small::{add, at, take};

/// The rate and voltage that columns were chosen for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Level {
    /// MT/s; 0 where rates that are not known are taken as well.
    pub rate: u32,
    /// The voltage, by index among the board's.
    pub supply: usize,
}

/// Ways to deal one set of counts that are tried before the answer says that it is not sure.
const MOST_STEPS: u64 = 200_000;

/// How many units of each class take each column.
pub type Tally = Vec<Vec<u16>>;

/// What a finished plan is compared by.
#[derive(Clone, Debug)]
pub struct Judged {
    /// The scaled sum, computed from the plan.
    pub sum: i128,
    /// The preference's own score.
    pub score: Vec<i128>,
    /// The plan.
    pub plan: Plan,
}

/// Deals columns to sockets.
struct Dealer<'d, 's, 'a, 'm> {
    scene: &'d Scene<'s, 'a>,
    level: Level,
    /// Fitted sockets in filling order, with the units that each has of each class.
    sockets: Vec<(u8, Vec<u16>)>,
    /// Left of each column.
    left: Tally,
    /// Chosen for each socket.
    dealt: Vec<Tally>,
    /// Nothing better than this sum exists for these counts.
    ideal: i128,
    best: Option<Judged>,
    meter: &'d mut Meter<'m>,
    most_steps: u64,
}

/// The best plan for some counts; `None` if the rules refuse every way.
pub fn realise(
    scene: &Scene<'_, '_>,
    level: Level,
    tally: &Tally,
    ideal: i128,
    meter: &mut Meter<'_>,
) -> Option<Judged> {
    let mut sockets: Vec<(u8, Vec<u16>)> = Vec::new();
    for (index, class) in scene.classes.iter().enumerate() {
        for unit in &class.units {
            let own = match sockets
                .iter()
                .position(|(socket, _)| *socket == unit.socket)
            {
                Some(at) => at,
                None => {
                    sockets.push((unit.socket, vec![0; scene.classes.len()]));
                    sockets.len() - 1
                }
            };
            if let Some((_, units)) = sockets.get_mut(own) {
                add(units, index, 1);
            }
        }
    }
    let order = &scene.task.board.socket_order;
    sockets.sort_by_key(|(socket, _)| order.iter().position(|own| own == socket));
    let most_steps = meter.steps + MOST_STEPS;
    let mut dealer = Dealer {
        scene,
        level,
        sockets,
        left: tally.clone(),
        dealt: Vec::new(),
        ideal,
        best: None,
        meter,
        most_steps,
    };
    dealer.socket();
    if !dealer.is_ideal() && dealer.is_over() {
        let known = dealer.meter.unsure.unwrap_or(ideal);
        dealer.meter.unsure = Some(known.min(ideal));
    }
    let best = dealer.best;
    // With moves at best a plan may move more than it may.
    let is_plan = |judged: &Judged| scene.keeps_limits(&judged.plan);
    meter.found |= best.as_ref().is_some_and(is_plan);
    best
}

impl Dealer<'_, '_, '_, '_> {
    /// Whether nothing better can be found for these counts.
    fn is_ideal(&self) -> bool {
        let matters = self.scene.place_matters();
        let found =
            |best: &Judged| !matters || (best.sum <= self.ideal && !self.scene.weights.has_tail);
        self.best.as_ref().is_some_and(found)
    }

    /// Whether no more may be tried.
    fn is_over(&self) -> bool {
        self.meter.stopped || self.meter.steps > self.most_steps
    }

    /// Fills the next socket in every way.
    fn socket(&mut self) {
        let Some((_, units)) = self.sockets.get(self.dealt.len()) else {
            return self.whole();
        };
        let units = units.clone();
        let blank = self
            .left
            .iter()
            .map(|columns| vec![0; columns.len()])
            .collect();
        self.class(0, 0, &units, blank);
    }

    /// Chooses how many units of a class of the socket take a column.
    fn class(&mut self, class: usize, column: usize, units: &[u16], mut chosen: Tally) {
        if self.is_ideal() || self.is_over() || !self.meter.spend() {
            return;
        }
        let Some(left) = self.left.get(class) else {
            return self.filled(chosen);
        };
        // Columns that are used up need no turn of their own.
        let used_up = left.iter().skip(column).take_while(|left| **left == 0);
        let column = column + used_up.count();
        let need = at(units, class) - chosen.get(class).map_or(0, |own| own.iter().sum());
        if column >= left.len() {
            if need == 0 {
                self.class(class + 1, 0, units, chosen);
            }
            return;
        }
        let later: u16 = left.iter().skip(column + 1).sum();
        let here = at(left, column);
        let (least, most) = (need.saturating_sub(later), need.min(here));
        if least > most {
            return;
        }
        // The even share first, then its neighbours.
        let waiting: u32 = self
            .sockets
            .iter()
            .skip(self.dealt.len())
            .map(|(_, units)| u32::from(at(units, class)))
            .sum();
        let share = u32::from(here) * u32::from(at(units, class));
        let even = share.div_ceil(waiting.max(1)) as u16;
        let mut counts: Vec<u16> = (least..=most).collect();
        counts.sort_by_key(|count| count.abs_diff(even));
        for count in counts {
            if let Some(own) = chosen.get_mut(class).and_then(|own| own.get_mut(column)) {
                *own = count;
            }
            self.class(class, column + 1, units, chosen.clone());
        }
    }

    /// A socket is filled: alike sockets fall in order, and its rules are asked.
    fn filled(&mut self, chosen: Tally) {
        let index = self.dealt.len();
        let Some((socket, units)) = self.sockets.get(index) else {
            return;
        };
        let (socket, units) = (*socket, units.clone());
        let before = index.checked_sub(1).and_then(|i| self.sockets.get(i));
        let alike = before.is_some_and(|(other, own)| {
            let state = |socket: u8| self.scene.setups.first().map(|s| s.socket(socket));
            *own == units && state(*other) == state(socket)
        });
        if alike && self.dealt.last().is_some_and(|last| *last < chosen) {
            return;
        }
        let fitted = |socket: u8| self.scene.setups.iter().all(|s| s.is_fitted(socket));
        if self.scene.balance() == Some(Balance::Sockets) && fitted(socket) {
            let others = self.sockets.iter().zip(&self.dealt);
            let mut fitted = others.filter(|((other, _), _)| fitted(*other));
            if fitted
                .next()
                .is_some_and(|(_, other)| !self.same_builds(other, &chosen))
            {
                return;
            }
        }
        if !self.socket_passes(socket, &chosen) {
            return;
        }
        for (left, taken) in self.left.iter_mut().zip(&chosen) {
            left.iter_mut()
                .zip(taken)
                .for_each(|(left, take)| *left -= take);
        }
        self.dealt.push(chosen);
        self.socket();
        let Some(chosen) = self.dealt.pop() else {
            return;
        };
        for (left, taken) in self.left.iter_mut().zip(&chosen) {
            left.iter_mut()
                .zip(taken)
                .for_each(|(left, take)| *left += take);
        }
    }

    /// Whether two sockets hold the same multiset of filled channels, by builds.
    fn same_builds(&self, one: &Tally, other: &Tally) -> bool {
        let shapes = |tally: &Tally| {
            let mut shapes: Vec<Load> = Vec::new();
            for (class, counts) in self.scene.classes.iter().zip(tally) {
                for (column, count) in class.columns.iter().zip(counts) {
                    shapes.extend((0..*count).flat_map(|_| column.held.iter().copied()));
                }
            }
            shapes.sort_unstable();
            shapes
        };
        shapes(one) == shapes(other)
    }

    /// What sits on each channel of a socket. Of alike channels the earlier ones are fuller.
    fn stacks_of(&self, socket: u8, chosen: &Tally) -> Vec<Stack> {
        let board = self.scene.task.board;
        let mut stacks = vec![Stack::default(); usize::from(board.channels)];
        let first = board.channel_at(socket, 1);
        for (class, counts) in self.scene.classes.iter().zip(chosen) {
            let mut waiting: Vec<usize> = Vec::new();
            for (index, count) in counts.iter().enumerate() {
                waiting.extend(std::iter::repeat_n(index, usize::from(*count)));
            }
            let key = |index: &usize| {
                let column = class.columns.get(*index);
                column.map(|c| {
                    (
                        std::cmp::Reverse((c.populated, c.modules, c.usable)),
                        *index,
                    )
                })
            };
            waiting.sort_by_key(key);
            let units = class.units.iter().filter(|unit| unit.socket == socket);
            let mut waiting: Vec<&Column> = waiting
                .into_iter()
                .filter_map(|column| class.columns.get(column))
                .collect();
            self.settle(units.clone(), &mut waiting);
            for (unit, column) in units.zip(waiting) {
                for (channel, stack) in unit.channels.iter().zip(&column.stacks) {
                    if let Some(seat) = stacks.get_mut(usize::from(channel.0 - first.0)) {
                        *seat = *stack;
                    }
                }
            }
        }
        stacks
    }

    /// Among equally full columns, each unit gets the one that leaves most of its modules where they
    /// are.
    fn settle<'u>(&self, units: impl Iterator<Item = &'u Unit>, waiting: &mut [&Column]) {
        if self.scene.settled.is_empty() {
            return;
        }
        let full = |column: &Column| (column.populated, column.modules, column.usable);
        for (index, unit) in units.enumerate() {
            let Some(own) = waiting.get(index).copied() else {
                return;
            };
            let equal = waiting.iter().enumerate().skip(index);
            let equal = equal.filter(|(_, column)| full(column) == full(own));
            let stay = |column: &Column| self.staying(unit, column);
            let best =
                equal.max_by_key(|(other, column)| (stay(column), std::cmp::Reverse(*other)));
            if let Some((best, _)) = best {
                waiting.swap(index, best);
            }
        }
    }

    /// How many modules of a unit stay in their slots with a column.
    fn staying(&self, unit: &Unit, column: &Column) -> usize {
        let builds = self.scene.builds;
        let positions = 1..=self.scene.task.board.positions;
        let channels = unit.channels.iter().zip(&column.stacks);
        let counts = channels.map(|(channel, stack)| {
            let home = at(&self.scene.settled, usize::from(channel.0));
            let stays = |position: &u8| {
                let build = |stack: &Stack| builds.build_of(stack.at(*position)?);
                build(stack).is_some() && build(stack) == build(&home)
            };
            positions.clone().filter(stays).count()
        });
        counts.sum()
    }

    fn socket_passes(&mut self, socket: u8, chosen: &Tally) -> bool {
        let stacks = self.stacks_of(socket, chosen);
        let (battery, open) = (self.scene.battery, &mut self.meter.open);
        self.scene.setups.iter().all(|setup| {
            let view = SocketView {
                setup,
                socket,
                stacks: &stacks,
            };
            is_clear(battery, Matter::Load(&view), open)
                && is_clear(battery, Matter::Socket(&view), open)
        })
    }

    /// Every socket is filled.
    fn whole(&mut self) {
        self.meter.steps += 20;
        self.meter.counts.leaves += 1;
        let board = self.scene.task.board;
        let mut stacks = vec![Stack::default(); board.all_channels().count()];
        for ((socket, _), chosen) in self.sockets.iter().zip(&self.dealt) {
            let own = self.stacks_of(*socket, chosen);
            let first = usize::from(board.channel_at(*socket, 1).0);
            for (seat, stack) in stacks.iter_mut().skip(first).zip(own) {
                *seat = stack;
            }
        }
        let judged = finish(self.scene, self.level, &stacks, &mut self.meter.open);
        match judged {
            None => self.meter.counts.refused += 1,
            Some(judged) => {
                if self
                    .best
                    .as_ref()
                    .is_none_or(|best| is_before(&judged, best))
                {
                    self.best = Some(judged);
                }
            }
        }
    }
}

/// Whether a plan comes before another: by the preference, then by what ties are broken with.
pub fn is_before(one: &Judged, other: &Judged) -> bool {
    let own = |judged: &Judged| rank(&judged.score, &judged.plan.values);
    own(one) < own(other)
}

/// What plans are sorted by: the score, then what ties are broken with.
pub fn rank(score: &[i128], values: &Values) -> (Vec<i128>, [i64; 4]) {
    let ties = [values.cost, values.moved, values.modules, -values.uniform];
    (score.to_vec(), ties)
}

/// Gives every seat its module, and asks all rules about the result.
fn finish(
    scene: &Scene<'_, '_>,
    level: Level,
    stacks: &[Stack],
    open: &mut Opened,
) -> Option<Judged> {
    let dressed = Dressing::of(scene, level, stacks)?;
    let told_out = &scene.request.removed;
    let may_go = |index: &u32| !scene.keeps_all() || told_out.contains(index);
    if !dressed.removed.iter().all(may_go) {
        return None;
    }
    let request = dressed.request(scene);
    let mut worst: Option<(Option<usize>, Outcome)> = None;
    for model in scene.models {
        let setup = Setup::new(scene.task.board, &request, *model)?;
        let outcome = outcome::compute(&setup, &dressed.stacks);
        if !passes(scene, &setup, &dressed, &outcome, open) {
            return None;
        }
        let slower = |(_, known): &(Option<usize>, Outcome)| outcome.rate < known.rate;
        if worst.as_ref().is_none_or(slower) {
            worst = Some((*model, outcome));
        }
    }
    let (model, outcome) = worst?;
    let plan = dressed.plan(scene, model, outcome);
    let limits = &scene.task.limits;
    let values = &plan.values;
    let short = |least: Option<super::super::units::MegabytesPerSecond>, value: i64| {
        least.is_some_and(|least| u64::try_from(value).unwrap_or(0) < least.0)
    };
    if short(limits.peak_at_least, values.peak)
        || short(limits.uniform_at_least, values.uniform)
        || limits.one_part && values.parts > 1
    {
        return None;
    }
    if limits.moves_at_best {
        return Some(at_best(scene, level, plan));
    }
    scene.keeps_limits(&plan).then(|| scene.judge(plan))
}

/// Judges a plan as if as many modules stayed in their slots as their numbers allow.
fn at_best(scene: &Scene<'_, '_>, level: Level, plan: Plan) -> Judged {
    let mut have = vec![0u32; scene.builds.list.len()];
    for part in plan.stacks.iter().flat_map(Stack::parts) {
        if let Some(build) = scene.builds.build_of(part) {
            add(&mut have, build, 1);
        }
    }
    let kept = scene.builds.list.iter().zip(&have);
    let kept = kept.map(|(build, have)| scene.stay_at_best(build, level).min(*have));
    let moved = i64::from(scene.homes.saturating_sub(kept.sum()));
    let over = i128::from((plan.values.moved - moved).max(0));
    let sum = scene.weights.sum(&plan.values) - scene.moving() * over;
    Judged {
        sum,
        score: vec![sum],
        plan,
    }
}

/// Whether the rules of a scope let it pass; notes those that leave it open.
fn is_clear(battery: &Battery, scope: Matter<'_, '_>, open: &mut Opened) -> bool {
    let standing = battery.ask(scope);
    if standing == Standing::Open {
        open.rules = open.rules.and(battery.open(scope));
    }
    standing == Standing::Clear
}

/// Asks every rule that can block about a finished population.
fn passes(
    scene: &Scene<'_, '_>,
    setup: &Setup<'_>,
    dressed: &Dressing,
    outcome: &Outcome,
    open: &mut Opened,
) -> bool {
    let battery = scene.battery;
    let view = BoardView::new(setup, &dressed.population, &dressed.stacks, outcome, &[]);
    if !is_clear(battery, Matter::Kit(setup), open) {
        return false;
    }
    let mut judged: Vec<Likeness> = Vec::new();
    for channel in view.channels().filter(|channel| channel.stack.count() > 0) {
        let key = channel.likeness();
        if judged.contains(&key) {
            continue;
        }
        judged.push(key);
        if !is_clear(battery, Matter::Channel(&channel), open) {
            return false;
        }
    }
    view.sockets().all(|socket| {
        is_clear(battery, Matter::Load(&socket), open)
            && is_clear(battery, Matter::Socket(&socket), open)
    }) && is_clear(battery, Matter::Board(&view), open)
}

/// A population with a module in every seat.
struct Dressing {
    stacks: Vec<Stack>,
    population: Population,
    lines: Vec<Line>,
    kept: Vec<u32>,
    moved: Vec<u32>,
    removed: Vec<u32>,
}

impl Dressing {
    fn of(scene: &Scene<'_, '_>, level: Level, rough: &[Stack]) -> Option<Self> {
        let board = scene.task.board;
        let builds = &scene.builds.list;
        let mut pools: Vec<Vec<(u32, PartIx)>> = vec![Vec::new(); builds.len()];
        let mut need = vec![0usize; builds.len()];
        let mut seats: Vec<(SlotIx, ChannelIx, u8, usize)> = Vec::new();
        for (channel, stack) in board.all_channels().zip(rough) {
            for (slot, position) in board.slots_of(channel).zip(1u8..) {
                let Some(part) = stack.at(position) else {
                    continue;
                };
                let build = scene.builds.build_of(part)?;
                add(&mut need, build, 1);
                seats.push((slot, channel, position, build));
            }
        }
        let mut own = Self {
            stacks: vec![Stack::default(); rough.len()],
            population: Population::empty(board),
            lines: Vec::new(),
            kept: Vec::new(),
            moved: Vec::new(),
            removed: Vec::new(),
        };
        // Modules that stay in their slots first, then the others of their build.
        let serves = |runs: Runs| runs.serves(level.rate, level.supply);
        for (pool, build) in pools.iter_mut().zip(builds) {
            let used = build.installed.iter().filter(|one| serves(one.runs));
            pool.extend(used.map(|one| (one.index, one.part)));
        }
        let home = |index: u32| {
            let entry = scene.request.installed.get(index as usize);
            entry.and_then(|entry| entry.slot)
        };
        let mut waiting = Vec::new();
        for (slot, channel, position, build) in seats {
            let pool = pools.get_mut(build)?;
            match pool
                .iter()
                .position(|(index, _)| home(*index) == Some(slot))
            {
                Some(found) => {
                    let (index, part) = pool.remove(found);
                    own.kept.push(index);
                    own.seat(slot, channel, position, part, Origin::Installed(index));
                    take(&mut need, build, 1);
                }
                None => waiting.push((slot, channel, position, build)),
            }
        }
        let mut bought = own.shop(scene, level, &pools, &need)?;
        for (slot, channel, position, build) in waiting {
            let pool = pools.get_mut(build)?;
            if !pool.is_empty() {
                let (index, part) = pool.remove(0);
                if home(index).is_some() {
                    own.moved.push(index);
                }
                own.seat(slot, channel, position, part, Origin::Installed(index));
                continue;
            }
            let (line, part, _) = bought
                .iter_mut()
                .find(|(_, part, left)| *left > 0 && scene.builds.build_of(*part) == Some(build))
                .map(|entry| {
                    entry.2 -= 1;
                    *entry
                })?;
            if let Some(line) = own.lines.get_mut(line) {
                line.seated += 1;
            }
            own.seat(slot, channel, position, part, Origin::Kit(line as u32));
        }
        own.tidy(scene);
        Some(own)
    }

    fn seat(&mut self, slot: SlotIx, channel: ChannelIx, position: u8, part: PartIx, from: Origin) {
        self.population.seat(slot, Occupant { part, origin: from });
        if let Some(stack) = self.stacks.get_mut(usize::from(channel.0)) {
            *stack = stack.with(position, Some(part));
        }
    }

    /// Buys what installed modules do not cover: line, part and modules of it that wait for a seat.
    fn shop(
        &mut self,
        scene: &Scene<'_, '_>,
        level: Level,
        pools: &[Vec<(u32, PartIx)>],
        need: &[usize],
    ) -> Option<Vec<(usize, PartIx, u32)>> {
        let currency = currency(scene.task);
        let mut bought = Vec::new();
        for ((build, pool), need) in scene.builds.list.iter().zip(pools).zip(need) {
            let short = need.saturating_sub(pool.len());
            for (offer, packs) in buy(build, level.rate, level.supply, short)? {
                let offer = build.offers.get(offer)?;
                let line = Line {
                    part: offer.part,
                    quantity: packs * offer.pack,
                    seated: 0,
                    cost: Money {
                        minor: offer.pack_price.saturating_mul(i64::from(packs)),
                        currency: currency?,
                    },
                };
                bought.push((0, offer.part, line.quantity));
                self.lines.push(line);
            }
        }
        self.lines.sort_by_key(|line| line.part);
        for (line, part, _) in &mut bought {
            *line = self.lines.iter().position(|own| own.part == *part)?;
        }
        bought.sort_by_key(|(_, part, _)| *part);
        Some(bought)
    }

    fn tidy(&mut self, scene: &Scene<'_, '_>) {
        self.kept.sort_unstable();
        self.moved.sort_unstable();
        let seated: Vec<u32> = self
            .population
            .occupied()
            .filter_map(|(_, occupant)| match occupant.origin {
                Origin::Installed(index) => Some(index),
                Origin::Kit(_) | Origin::Population(_) => None,
            })
            .collect();
        self.removed = (0..scene.request.installed.len() as u32)
            .filter(|index| !seated.contains(index))
            .collect();
    }

    /// The request that the rules are asked about.
    fn request(&self, scene: &Scene<'_, '_>) -> Request {
        let mut request = scene.request.clone();
        request.kit = self
            .lines
            .iter()
            .map(|line| super::super::request::KitLine {
                part: line.part,
                quantity: line.seated,
            })
            .collect();
        request.removed.clone_from(&self.removed);
        if request.installed_policy == InstalledPolicy::MayRemove {
            request.installed_policy = InstalledPolicy::Keep;
        }
        request
    }

    fn plan(self, scene: &Scene<'_, '_>, model: Option<usize>, outcome: Outcome) -> Plan {
        let cost = Cost {
            modules: self.lines.iter().map(|line| line.cost.minor).sum(),
            handling: scene
                .task
                .handling
                .saturating_mul((self.moved.len() + self.removed.len()) as i64),
        };
        let changed = self.moved.len() + self.removed.len();
        let values = Values::of_board(scene.request, &self.stacks, &outcome, cost, changed);
        Plan {
            lines: self.lines,
            kept: self.kept,
            moved: self.moved,
            removed: self.removed,
            population: self.population,
            stacks: self.stacks,
            outcome,
            model,
            cost,
            values,
        }
    }
}
