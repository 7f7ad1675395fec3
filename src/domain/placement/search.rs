//! The search over the whole board: rate levels from fast to slow, and at each level the best
//! split of the modules over the sockets.
//!
//! The first level at which a placement exists is the highest rate. Within it the slowest socket
//! decides the bandwidth, so a split is bounded by the even share of what is left: no split reads
//! faster than all working channels together.

use super::super::channel::Stack;
use super::super::outcome::{self, Outcome};
use super::super::population::Population;
use super::super::rules::{Battery, BoardView, RuleSet, Standing};
use super::super::setup::Setup;
use super::super::units::Mts;
use super::budget::Budget;
use super::level::{self, Allowed, Level};
use super::scene::{Scene, Socket, count_of};
use super::seat;
use super::socket::{FillKey, Filled, Keep, Walk, shift};
use super::{Aim, Task};
use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::rc::Rc;

/// A search.
pub struct Run<'a, 'b> {
    scene: Scene<'a>,
    aim: Aim,
    budget: &'b mut Budget,
    /// The rules that refused columns.
    blamed: RuleSet,
    saw_open: bool,
    /// What the last level allowed that had no placement, and the steps that its search took.
    barren: Option<(Vec<Allowed>, u64)>,
}

/// A filled board with what it is compared by.
pub struct Best {
    cost: BoardCost,
    /// What sits on each channel.
    pub stacks: Vec<Stack>,
    /// The same, slot by slot.
    pub population: Population,
    /// What comes out of it.
    pub outcome: Outcome,
}

#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct BoardCost {
    worth: Worth,
    order: Vec<(u32, Vec<FillKey>)>,
}

/// What decides between two filled boards at one rate, their order of filling aside.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Worth {
    time: u128,
    kept: Reverse<u32>,
    /// Sum of squares of the modules of each socket: sockets take turns.
    spread: u32,
}

impl<'a, 'b> Run<'a, 'b> {
    /// Enumerates the columns of each kind of channel.
    pub fn new(
        setup: &'a Setup<'a>,
        task: &'a Task,
        battery: &'a Battery,
        most: Standing,
        aim: Aim,
        budget: &'b mut Budget,
    ) -> Self {
        budget.blamed = RuleSet::none();
        let scene = Scene::new(setup, task, battery, most, budget);
        let blamed = std::mem::replace(&mut budget.blamed, RuleSet::none());
        Self {
            scene,
            aim,
            budget,
            blamed,
            saw_open: false,
            barren: None,
        }
    }

    /// Whether something undecided was passed over.
    pub fn saw_open(&self) -> bool {
        let mut columns = self.scene.columns.iter().flat_map(|c| &c.list);
        self.saw_open || columns.any(|column| column.standing > self.scene.most)
    }

    /// Whether the whole space was searched.
    pub fn exhausted(&self) -> bool {
        !self.budget.is_spent()
    }

    /// The rules that stood in the way.
    pub fn into_blamed(self) -> RuleSet {
        self.budget.blamed.and(self.blamed)
    }

    /// See [`super::Placed::steady_above`].
    pub fn steady_above(&self, outcome: &Outcome) -> Option<Mts> {
        let columns = || self.scene.columns.iter().flat_map(|columns| &columns.list);
        let filled = || columns().filter(|column| column.count > 0);
        let rates = || filled().flat_map(|column| column.rates.iter().copied().flatten());
        let top = rates().max()?;
        let refused = !self.budget.blamed.is_empty() || self.saw_open();
        (outcome.rate == Some(top) && !refused)
            .then(|| rates().filter(|rate| *rate < top).max().unwrap_or(Mts(0)))
    }

    /// The placement that is wanted. Where several voltages give the highest rate, the best of theirs;
    /// of equals the one at the lowest.
    pub fn found(&mut self) -> Option<Best> {
        let levels = level::levels(&self.scene.columns);
        let mut at_rate = levels.chunk_by(|one, other| one.rate == other.rate);
        at_rate.find_map(|levels| self.at_rate(levels))
    }

    fn at_rate(&mut self, levels: &[Level]) -> Option<Best> {
        let mut best: Option<Best> = None;
        let mut searched: Vec<Vec<Allowed>> = Vec::new();
        let mut steps = 0;
        for level in levels {
            if self.budget.is_spent() || self.aim == Aim::Any && best.is_some() {
                break;
            }
            let loads = self.scene.task.loads.len();
            let columns = self.scene.columns.iter();
            let allowed: Vec<Allowed> = columns
                .map(|columns| Allowed::at(*level, columns, self.scene.most, loads))
                .collect();
            // A voltage that lets in nothing new has nothing better.
            let known = |before: &Vec<Allowed>| {
                let mut each = allowed.iter().zip(before);
                each.all(|(own, before)| own.is_within(before))
            };
            if best.is_some() && searched.iter().any(known) {
                continue;
            }
            if let Some(steps) = self.barren_steps(&allowed) {
                // They are taken all the same, so that where a search is cut does not hang on this.
                self.budget.spend_many(steps);
                continue;
            }
            let before = self.budget.left();
            best = self.at_level(*level, &allowed, best);
            steps = before - self.budget.left();
            searched.push(allowed);
        }
        if best.is_none() {
            self.barren = searched.pop().map(|allowed| (allowed, steps));
        }
        best
    }

    /// The steps of the level before, if that allowed the same and had no placement: this one has none
    /// either. Where several voltages are possible, more than that may tell levels apart.
    fn barren_steps(&self, allowed: &[Allowed]) -> Option<u64> {
        let (before, steps) = self.barren.as_ref()?;
        let one_voltage = self.scene.setup.supplies().len() == 1;
        let mut each = allowed.iter().zip(before);
        let same = each.all(|(own, before)| own.indexes == before.indexes);
        (one_voltage && same).then_some(*steps)
    }

    /// Whether all sockets together take the modules of each load: most levels let in too few columns, and
    /// setting a search up costs more than to see that.
    fn has_room(&self, allowed: &[Allowed]) -> bool {
        let scene = &self.scene;
        let room = |load: usize| -> u32 {
            let sockets = scene.setup.board.socket_order.iter();
            let each = sockets.map(|socket| scene.room_of(*socket, load, allowed));
            each.sum()
        };
        let mut loads = scene.task.loads.iter().enumerate();
        loads.all(|(load, (_, count))| room(load) >= *count)
    }

    /// The best at a level, if it is better than the one that is known.
    fn at_level(
        &mut self,
        level: Level,
        allowed: &[Allowed],
        mut known: Option<Best>,
    ) -> Option<Best> {
        if !self.has_room(allowed) {
            return known;
        }
        // When a rule of the whole board refused the best way to fill some socket, all ways are
        // tried, even if another of the best passed; and the best ones, when it refused the first.
        let first = (self.aim == Aim::Any).then_some(Keep::First);
        for keep in first.into_iter().chain([Keep::Unbeaten, Keep::All]) {
            let mut split = Split::new(&self.scene, level, allowed, keep);
            split.any = self.aim == Aim::Any;
            split.best = known.take();
            let best = split.run(self.budget);
            self.saw_open |= split.saw_open;
            let will_do = split.any && best.is_some();
            if will_do || !split.refused || self.budget.is_spent() {
                return best;
            }
            known = best;
        }
        known
    }
}

/// The ways to fill a socket, shared by all splits that use them.
type Ways = Rc<Vec<Rc<Filled>>>;

/// A depth-first walk over the sockets at one level.
struct Split<'s, 'a> {
    scene: &'s Scene<'a>,
    level: Level,
    allowed: &'s [Allowed],
    keep: Keep,
    /// Whether the first placement that is met will do.
    any: bool,
    known: BTreeMap<(usize, Vec<u16>), Ways>,
    best: Option<Best>,
    /// No placement at this level is worth more.
    goal: Worth,
    refused: bool,
    saw_open: bool,
    /// Sockets in filling order.
    order: Vec<Turn<'s, 'a>>,
    /// What the sockets from each turn on bring together; one entry more than turns.
    rest: Vec<Rest>,
    installed: u32,
    chosen: Vec<(Vec<u16>, Rc<Filled>)>,
}

/// A socket in filling order.
struct Turn<'s, 'a> {
    socket: u8,
    /// The first turn whose socket is like this one.
    class: usize,
    /// The most modules of each load that it takes.
    room: Vec<u32>,
    /// The walk over its channels, once one was begun: it serves all shares.
    walk: Option<Walk<'s, 'a>>,
}

/// What several sockets bring together.
#[derive(Clone, Debug, Default)]
struct Rest {
    mib: u64,
    modules: u32,
    channels: u32,
    /// Sockets with a channel that works.
    open: u32,
    /// The most modules of each load that they take.
    room: Vec<u32>,
}

impl Rest {
    /// The same with one socket more.
    fn and(&self, own: Socket, room: &[u32]) -> Self {
        Self {
            mib: self.mib + own.fixed_mib,
            modules: self.modules + own.fixed,
            channels: self.channels + own.channels,
            open: self.open + u32::from(own.channels > 0),
            room: self
                .room
                .iter()
                .zip(room)
                .map(|(sum, room)| sum + room)
                .collect(),
        }
    }
}

impl<'s, 'a> Split<'s, 'a> {
    fn new(scene: &'s Scene<'a>, level: Level, allowed: &'s [Allowed], keep: Keep) -> Self {
        let loads = scene.task.loads.len();
        let sockets = &scene.setup.board.socket_order;
        let alike = |a: u8, b: u8| scene.sorts_of(a).eq(scene.sorts_of(b));
        let turn = |socket: &u8| Turn {
            socket: *socket,
            class: sockets
                .iter()
                .position(|other| alike(*other, *socket))
                .unwrap_or(0),
            room: (0..loads)
                .map(|load| scene.room_of(*socket, load, allowed))
                .collect(),
            walk: None,
        };
        let order: Vec<Turn<'s, 'a>> = sockets.iter().map(turn).collect();
        let mut rest = vec![Rest {
            room: vec![0; loads],
            ..Rest::default()
        }];
        for turn in order.iter().rev() {
            let sum = rest
                .last()
                .map(|last| last.and(scene.socket(turn.socket), &turn.room));
            rest.extend(sum);
        }
        rest.reverse();
        let mut split = Self {
            scene,
            level,
            allowed,
            keep,
            any: false,
            known: BTreeMap::new(),
            best: None,
            goal: Worth {
                time: 0,
                kept: Reverse(u32::MAX),
                spread: 0,
            },
            refused: false,
            saw_open: false,
            order,
            rest,
            installed: scene.most_kept(),
            chosen: Vec::new(),
        };
        let left: Vec<u16> = split.all_loads();
        split.goal = split.bound(0, &left);
        split
    }

    fn all_loads(&self) -> Vec<u16> {
        let loads = self.scene.task.loads.iter();
        loads
            .map(|(_, count)| u16::try_from(*count).unwrap_or(u16::MAX))
            .collect()
    }

    fn run(&mut self, budget: &mut Budget) -> Option<Best> {
        let mut left = self.all_loads();
        self.step(0, &mut left, budget);
        self.best.take()
    }

    fn step(&mut self, depth: usize, left: &mut [u16], budget: &mut Budget) {
        // Comparing costs more the more sockets are filled.
        if !budget.spend_many(1 + depth as u64 / 4) || self.is_done() {
            return;
        }
        if depth >= self.order.len() {
            if left.iter().all(|count| *count == 0) {
                self.leaf(budget);
            }
            return;
        }
        if self.exceeds(self.bound(depth, left)) {
            return;
        }
        for share in self.shares(depth, left, budget) {
            // What was found will do, so no other way to fill the socket matters.
            if self.is_done() {
                return;
            }
            for filled in self.fill(depth, &share, budget).iter() {
                shift(left, &share, |left, take| left - take);
                self.chosen.push((share.clone(), Rc::clone(filled)));
                self.step(depth + 1, left, budget);
                self.chosen.pop();
                shift(left, &share, |left, take| left + take);
            }
        }
    }

    /// Whether what was found will do: the first, or one that is worth as much as any can be.
    fn is_done(&self) -> bool {
        let best = self.best.as_ref();
        best.is_some_and(|best| self.any || best.cost.worth <= self.goal)
    }

    /// Whether a bound is worse than the best found.
    fn exceeds(&self, bound: Worth) -> bool {
        self.best
            .as_ref()
            .is_some_and(|best| best.cost.worth < bound)
    }

    /// What the chosen sockets and those from `depth` on give at best: what is left spread evenly
    /// over all their channels, and every installed module kept.
    fn bound(&self, depth: usize, left: &[u16]) -> Worth {
        let none = Rest::default();
        let rest = self.rest.get(depth).unwrap_or(&none);
        let mib = rest.mib + self.scene.size_of(left);
        let modules = rest.modules + count_of(left);
        let even = self
            .scene
            .bound_for(mib, modules, rest.channels, self.allowed.iter());
        let filled = || self.chosen.iter().map(|(_, filled)| filled);
        Worth {
            time: filled()
                .map(|f| f.cost.time)
                .max()
                .unwrap_or(0)
                .max(even.bound.time),
            kept: Reverse(self.installed),
            spread: filled().map(|f| f.modules.pow(2)).sum::<u32>()
                + level::even_squares(modules, rest.open),
        }
    }

    /// The shares that a socket may take, the nearest to an even one first.
    fn shares(&self, depth: usize, left: &[u16], budget: &mut Budget) -> Vec<Vec<u16>> {
        let (Some(turn), Some(rest)) = (self.order.get(depth), self.rest.get(depth + 1)) else {
            return Vec::new();
        };
        let mut shares: Vec<Vec<u16>> = vec![Vec::new()];
        for ((count, room), later) in left.iter().zip(&turn.room).zip(&rest.room) {
            let least = narrow(u32::from(*count).saturating_sub(*later));
            let most = narrow((*room).min(u32::from(*count)));
            if !budget.spend_many(shares.len() as u64 * u64::from(most.saturating_sub(least) + 1)) {
                return Vec::new();
            }
            let grown = shares.iter().flat_map(|share| {
                (least..=most).map(move |take| [share.as_slice(), &[take]].concat())
            });
            shares = grown.collect();
        }
        if let Some((before, _)) = self.chosen.last()
            && depth > 0
            && self
                .order
                .get(depth - 1)
                .is_some_and(|last| last.class == turn.class)
        {
            // Alike sockets: only shares in falling order are tried.
            shares.retain(|next| next <= before);
        }
        let even = self.scene.size_of(left) / (1 + u64::from(rest.open));
        let distance = |share: &Vec<u16>| self.scene.size_of(share).abs_diff(even);
        shares.sort_by(|a, b| distance(a).cmp(&distance(b)).then_with(|| b.cmp(a)));
        shares
    }

    fn fill(&mut self, depth: usize, share: &[u16], budget: &mut Budget) -> Ways {
        let Some(turn) = self.order.get_mut(depth) else {
            return Rc::default();
        };
        let key = (turn.class, share.to_vec());
        if let Some(known) = self.known.get(&key) {
            return Rc::clone(known);
        }
        let mut found = Vec::new();
        match self.scene.load_standing(turn.socket, share, budget) {
            standing if standing <= self.scene.most => {
                let start =
                    || Walk::new(self.scene, turn.socket, self.level, self.allowed, self.keep);
                let walk = turn.walk.get_or_insert_with(start);
                found = walk.run(share, budget);
                self.saw_open |= walk.saw_open();
            }
            standing => self.saw_open |= standing == Standing::Open,
        }
        let found = Rc::new(found.into_iter().map(Rc::new).collect());
        self.known.insert(key, Rc::clone(&found));
        found
    }

    /// Every module has a socket: compare, check the true rate, and ask the board's rules.
    fn leaf(&mut self, budget: &mut Budget) {
        let filled = || self.chosen.iter().map(|(_, filled)| filled);
        let worth = Worth {
            time: filled().map(|f| f.cost.time).max().unwrap_or(0),
            kept: Reverse(filled().map(|f| f.cost.kept.0).sum()),
            spread: filled().map(|f| f.modules.pow(2)).sum(),
        };
        if self.exceeds(worth) || !self.is_at_level() {
            return;
        }
        let order = filled()
            .map(|f| (f.cost.spread, f.cost.order.clone()))
            .collect();
        let cost = BoardCost { worth, order };
        if self.best.as_ref().is_some_and(|best| best.cost <= cost) {
            return;
        }
        let mut by_socket: Vec<(u8, &Filled)> = self.filled_sockets().collect();
        by_socket.sort_by_key(|(socket, _)| *socket);
        let stacks: Vec<Stack> = by_socket
            .iter()
            .flat_map(|(_, f)| f.stacks.iter().copied())
            .collect();
        self.judge(cost, stacks, budget);
    }

    fn filled_sockets(&self) -> impl Iterator<Item = (u8, &Filled)> {
        let sockets = self.order.iter().map(|turn| turn.socket);
        sockets.zip(self.chosen.iter().map(|(_, filled)| filled.as_ref()))
    }

    /// Asks the rules of the whole board; takes the placement if they let it pass.
    fn judge(&mut self, cost: BoardCost, stacks: Vec<Stack>, budget: &mut Budget) {
        // The outcome of a whole board costs about as much as this many steps.
        if !budget.spend_many(50) {
            return;
        }
        let setup = self.scene.setup;
        let population = seat::population(setup, &stacks);
        let outcome = outcome::compute(setup, &stacks);
        let view = BoardView::new(setup, &population, &stacks, &outcome, &[]);
        let standing = self.scene.battery.board(&view, &mut budget.blamed);
        if standing <= self.scene.most {
            self.best = Some(Best {
                cost,
                stacks,
                population,
                outcome,
            });
        } else {
            self.refused = true;
            self.saw_open |= standing == Standing::Open;
        }
    }

    /// Whether the policy sets the level's voltage: no lower one suits all sockets.
    fn is_at_level(&self) -> bool {
        let lower = self.chosen.iter().map(|(_, filled)| filled.lower);
        lower.fold(u32::MAX, |all, own| all & own) == 0
    }
}

fn narrow(count: u32) -> u16 {
    u16::try_from(count).unwrap_or(u16::MAX)
}
