//! The exact search of one job: counts of columns, class after class, within a bound.
//!
//! For any prices λ(o) of a module of build o, μ ≥ 0 of a usable MiB, and η ≥ 0 of scarce resources,
//! the objective of every solution equals
//!
//! ```text
//! L + Σ d(c)·x(c) + Σ s(o, q(o)) + μ·(usable − least) + η·(room − use)
//! ```
//!
//! where `d(c) ≥ 0` is the column's reduced cost (its own cost, plus λ of its modules, less μ of its
//! capacity, less the least of its class) and `s(o, q) ≥ 0` is how far the true price of q modules,
//! less λ·q, lies above the least of that over all q. So `L` is a bound, and every term is a loss that
//! only grows while counts are fixed: a branch ends as soon as the losses reach what the best plan
//! leaves. Whatever the prices are the identity holds, and it is evaluated in integers; good prices
//! only make `L` larger.

use super::columns::Opened;
use super::exchange::{Banned, Exchange};
use super::hulls;
use super::job::{Choice, Job};
use super::leaf::{Judged, Tally, is_before, realise};
use super::model::Counts;
use super::part::{Part, Place, parts};
use super::price::{NEVER, Prices, Slack};
use super::purchase::Purchase;
use super::scene::Scene;
use super::small::{add, at, take};

/// The best plans so far.
#[derive(Debug, Default)]
pub struct Pool {
    /// At most so many, each with other counts of builds.
    pub room: usize,
    /// Best first.
    pub plans: Vec<(Vec<u16>, Judged)>,
    /// Every plan that keeps within the limits is below this.
    pub cap: Option<i128>,
    /// Whether any plan of some counts of builds is as good as another: which counts there are is all
    /// that is wanted.
    pub collects: bool,
}

impl Pool {
    /// An empty one for so many plans.
    pub fn new(room: usize) -> Self {
        Self {
            room,
            ..Self::default()
        }
    }

    /// Whether nothing more is wanted of these counts.
    fn has_enough_of(&self, counts: &[u16]) -> bool {
        self.collects && self.plans.iter().any(|(known, _)| known == counts)
    }

    /// No plan is wanted that is not below this.
    pub fn ceiling(&self) -> Option<i128> {
        [self.last(), self.cap].into_iter().flatten().min()
    }

    /// The sum of the last plan; `None` while there is room for more.
    pub fn last(&self) -> Option<i128> {
        let last = self.plans.last().filter(|_| self.plans.len() >= self.room);
        last.map(|(_, judged)| judged.sum)
    }

    /// Takes a plan in, if it is good enough.
    pub fn take(&mut self, counts: Vec<u16>, judged: Judged) {
        if let Some(index) = self.plans.iter().position(|(known, _)| *known == counts) {
            if self
                .plans
                .get(index)
                .is_some_and(|(_, old)| !is_before(&judged, old))
            {
                return;
            }
            self.plans.remove(index);
        }
        let place = self
            .plans
            .iter()
            .position(|(_, old)| is_before(&judged, old));
        let place = place.unwrap_or(self.plans.len());
        self.plans.insert(place, (counts, judged));
        self.plans.truncate(self.room);
    }
}

/// What a search may spend, and what it did.
pub struct Meter<'m> {
    pub steps: u64,
    pub most: u64,
    pub stop: &'m dyn Fn() -> bool,
    pub stopped: bool,
    /// The least that counts come to whose ways to be dealt were too many to try; such may hide a plan.
    pub unsure: Option<i128>,
    /// What the search at hand passed over because a fact is missing.
    pub open: Opened,
    /// Whether a plan was found.
    pub found: bool,
    /// The most steps without any plan.
    pub patience: u64,
    pub counts: Counts,
    next_look: u64,
}

impl<'m> Meter<'m> {
    pub fn new(most: u64, stop: &'m dyn Fn() -> bool) -> Self {
        Self {
            steps: 0,
            most,
            stop,
            stopped: false,
            unsure: None,
            open: Opened::default(),
            found: false,
            patience: u64::MAX,
            counts: Counts::default(),
            next_look: 0,
        }
    }

    /// Whether it stopped for want of a plan, and not because its end has come.
    pub fn has_lost_patience(&self) -> bool {
        self.stopped && !self.found && self.steps <= self.most && !(self.stop)()
    }

    /// Goes on to another limit of steps, however long there is no plan.
    pub fn resume(&mut self, most: u64) {
        (self.most, self.patience, self.stopped, self.next_look) = (most, u64::MAX, false, 0);
    }

    /// Asks whether the search must end.
    pub fn look(&mut self) {
        let lost = !self.found && self.steps > self.patience;
        self.stopped |= lost || self.steps > self.most || (self.stop)();
    }

    /// Takes a step. False once the search must end.
    pub fn spend(&mut self) -> bool {
        self.steps += 1;
        if self.steps >= self.next_look {
            self.next_look = self.steps + 256;
            self.look();
        }
        !self.stopped
    }

    /// Takes many steps at once.
    pub fn spend_many(&mut self, steps: u64) -> bool {
        self.steps += steps;
        self.look();
        !self.stopped
    }
}

/// How a walk ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Everything below the ceiling was looked at.
    Exhausted,
    /// It took more steps than it was given.
    Long,
    /// A rule refused some counts, so that pairs that were passed over may be needed.
    Refused,
}

/// What the numbers of modules lose at least, the builds of `open` with the best number from theirs on,
/// the others with just theirs.
#[derive(Clone, Copy)]
struct Short {
    loss: i128,
    open: u128,
}

impl Short {
    /// Nothing is chosen, everything is open.
    fn new(slack: &[Slack]) -> Self {
        Self {
            loss: slack.iter().map(|slack| slack.from(0).min(NEVER)).sum(),
            open: u128::MAX,
        }
    }

    /// What a build loses with so many modules.
    fn of(&self, slack: &[Slack], build: usize, have: u16) -> i128 {
        let Some(slack) = slack.get(build) else {
            return 0;
        };
        let have = usize::from(have);
        // Of a build that nothing left uses the price is known.
        let loss = match self.open >> (build & 127) & 1 == 1 {
            true => slack.from(have),
            false => slack.at(have),
        };
        loss.min(NEVER)
    }

    /// Leaves only these builds open.
    fn close(&mut self, slack: &[Slack], have: &[u16], open: u128) {
        let mut closing = self.open & !open;
        let before = *self;
        self.open &= open;
        while closing != 0 {
            let bit = closing.trailing_zeros() as usize;
            closing &= closing - 1;
            // Masks tell 128 builds apart.
            let mut build = bit;
            while build < slack.len() {
                let have = at(have, build);
                self.loss += self.of(slack, build, have) - before.of(slack, build, have);
                build += 128;
            }
        }
    }

    /// A build has another number of modules.
    fn change(&mut self, slack: &[Slack], build: usize, from: u16, to: u16) {
        self.loss += self.of(slack, build, to) - self.of(slack, build, from);
    }
}

/// A depth-first walk over the counts of a job.
pub struct Walk<'w, 's, 'a, 'm> {
    scene: &'w Scene<'s, 'a>,
    job: &'w Job,
    prices: &'w Prices,
    pool: &'w mut Pool,
    meter: &'w mut Meter<'m>,
    /// Nothing from here on is wanted, whatever the pool says.
    limit: Option<i128>,
    /// Nothing from here on is wanted as things stand: the limit, or what the pool leaves.
    edge: i128,
    /// What everything that was kept out comes to at least.
    beyond: i128,
    /// Columns that need not occur together with those that are chosen.
    banned: Option<Banned<'w>>,
    /// By group.
    parts: Vec<Part<'w>>,
    /// Chosen so far: class, column and how many units have it.
    chosen: Vec<(usize, usize, u16)>,
    have: Vec<u16>,
    /// The most modules of each build that can be had.
    most: Vec<u16>,
    usable: u64,
    modules: u32,
    power: u64,
    kept: u32,
    /// Units that hold a module.
    filled: u32,
    /// Builds of which there is a module, as a mask. Masks tell 128 builds apart; of more, all go together.
    held: u128,
    /// Makes of which there is a module.
    used: u32,
    /// How many builds of each make there are modules of.
    of_make: Vec<u16>,
    /// By depth, what may be taken first, the next one last: place, bound and losses.
    firsts: Vec<(usize, i128, Short)>,
    /// What the numbers of modules of all builds lose at least.
    short: Short,
    refused: bool,
    steps_left: u64,
    /// Whether counts near the linear relaxation are tried first, until a plan is found.
    dives: bool,
}

impl<'w, 's, 'a, 'm> Walk<'w, 's, 'a, 'm> {
    /// Sets out to find what is below a limit.
    pub fn new(
        scene: &'w Scene<'s, 'a>,
        job: &'w Job,
        prices: &'w Prices,
        pool: &'w mut Pool,
        meter: &'w mut Meter<'m>,
        limit: Option<i128>,
        exchange: Option<&'w Exchange>,
    ) -> Self {
        let edge = edge(scene, pool, limit);
        let ceiling = match (limit, pool.ceiling()) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
        // A column that alone costs more than the limit leaves is in no solution below it.
        let mut beyond = i128::MAX;
        let wanted = |cost: i128| {
            let value = prices.bound.saturating_add(cost);
            let fits = ceiling.is_none_or(|most| value <= most);
            if !fits {
                beyond = beyond.min(value);
            }
            fits
        };
        let parts = parts(scene, job, prices, wanted);
        Self {
            scene,
            job,
            prices,
            pool,
            meter,
            limit,
            edge,
            beyond,
            banned: exchange.map(Banned::new),
            parts,
            chosen: Vec::new(),
            have: vec![0; scene.builds.list.len()],
            most: job.purchases.iter().map(|own| most(own)).collect(),
            usable: 0,
            modules: 0,
            power: 0,
            kept: 0,
            filled: 0,
            held: 0,
            used: 0,
            of_make: vec![0; scene.builds.list.len()],
            firsts: Vec::new(),
            short: Short::new(&prices.slack),
            refused: false,
            steps_left: 0,
            dives: false,
        }
    }

    /// Looks for any plan, near the linear relaxation first.
    pub fn dive(mut self, steps: u64) {
        self.steps_left = steps;
        self.dives = true;
        self.step(0, 0, self.units(0), self.prices.bound);
    }

    /// Looks at every solution below the limit that may be better than the worst plan of the pool. Also
    /// says what every other solution comes to at least.
    pub fn run(mut self, steps: u64) -> (End, i128) {
        self.steps_left = steps;
        self.step(0, 0, self.units(0), self.prices.bound);
        let end = match (self.steps_left, self.refused && self.banned.is_some()) {
            (0, _) => End::Long,
            (_, true) => End::Refused,
            _ => End::Exhausted,
        };
        (end, self.beyond)
    }

    /// Whether a sum is beyond what is wanted.
    fn is_beyond(&mut self, value: i128) -> bool {
        if value < self.edge {
            return false;
        }
        self.beyond = self.beyond.min(value);
        true
    }

    fn is_over(&mut self) -> bool {
        if self.steps_left == 0 || !self.meter.spend() {
            self.steps_left = 0;
            return true;
        }
        self.steps_left -= 1;
        false
    }

    /// Fills the units that are left of a group with choices from a place on. Goes down once for each
    /// choice that is really taken, so that the depth is that of units and not of choices.
    fn step(&mut self, group: usize, place: usize, left: u32, paid: i128) {
        if self.is_over() {
            return;
        }
        let Some(part) = self.parts.get(group) else {
            return self.leaf(paid);
        };
        let places = part.places.len();
        if left == 0 {
            return self.step(group + 1, 0, self.units(group + 1), paid);
        }
        // The first choice that is taken may be any from here on, as long as those behind it suffice:
        // the fewer are left, the dearer it gets.
        let before = self.short;
        let start = self.firsts.len();
        for first in place..places {
            match self.least(group, first, left, paid) {
                Some(least) if !self.is_beyond(least) => {
                    self.firsts.push((first, least, self.short));
                }
                _ => break,
            }
        }
        self.sort(group, start);
        while self.firsts.len() > start
            && let Some((first, least, short)) = self.firsts.pop()
        {
            // A plan may have been found since.
            if !self.is_beyond(least) {
                self.short = short;
                self.begin(group, first, left, paid);
            }
            if self.steps_left == 0 {
                self.firsts.truncate(start);
            }
        }
        self.short = before;
    }

    /// Brings the places that may be taken first in order, the next one last: the cheapest before the
    /// others, or where a plan is only looked for, those of the linear relaxation before the others.
    fn sort(&mut self, group: usize, start: usize) {
        if !self.dives {
            return;
        }
        let mut firsts = self.firsts.split_off(start);
        firsts.sort_by_key(|(place, ..)| {
            let near = self.near(group, *place, u32::MAX);
            let after = if near == 0 { 0 } else { *place };
            std::cmp::Reverse((near == 0, after, std::cmp::Reverse(*place)))
        });
        self.firsts.append(&mut firsts);
    }

    /// How many units the linear relaxation gives a choice.
    fn near(&self, group: usize, place: usize, most: u32) -> u32 {
        let own = self.place(group, place);
        let hint = own.and_then(|own| self.prices.hint.get(group)?.get(own.index));
        hint.map_or(0.0, |hint| hint.round().clamp(0.0, f64::from(most))) as u32
    }

    /// Takes a choice for one unit or more.
    fn begin(&mut self, group: usize, place: usize, left: u32, paid: i128) {
        let places = self.parts.get(group).map_or(0, |part| part.places.len());
        let counts = match place + 1 == places {
            true => left..=left,
            false => 1..=left,
        };
        if !self.dives {
            for count in counts {
                // What more units of it would do is worse in the same way.
                if !self.begin_with(group, place, count, left, paid) || self.steps_left == 0 {
                    return;
                }
            }
            return;
        }
        let near = self.near(group, place, left);
        let mut counts: Vec<u32> = counts.collect();
        counts.sort_by_key(|count| count.abs_diff(near));
        for count in counts {
            self.begin_with(group, place, count, left, paid);
            if self.steps_left == 0 {
                return;
            }
        }
    }

    /// Takes a choice for so many units; false if that is beyond what is wanted or breaks a limit.
    fn begin_with(
        &mut self,
        group: usize,
        place: usize,
        count: u32,
        left: u32,
        paid: i128,
    ) -> bool {
        let Some(part) = self.parts.get(group) else {
            return false;
        };
        let Some(own) = part.places.get(place) else {
            return false;
        };
        let (choice, index) = (own.choice, own.index);
        let chosen = (part.class, choice.column, (count * part.copies) as u16);
        let now = paid + own.cost * i128::from(count);
        if self.is_beyond(now) {
            return false;
        }
        if let Some(banned) = &mut self.banned {
            if banned.has((group, index), count) {
                return false;
            }
            banned.push((group, index));
        }
        self.chosen.push(chosen);
        self.count(choice, count);
        let fits = self.keeps_limits(choice);
        if fits {
            self.step(group, place + 1, left - count, now);
        }
        self.lift(choice, count);
        self.chosen.pop();
        if let Some(banned) = &mut self.banned {
            banned.pop();
        }
        fits
    }

    fn place(&self, group: usize, place: usize) -> Option<&Place<'w>> {
        self.parts.get(group)?.places.get(place)
    }

    fn units(&self, group: usize) -> u32 {
        self.parts.get(group).map_or(0, |part| part.units)
    }

    /// What every solution from here on comes to at least; `None` if none keeps within the limits of
    /// capacity.
    fn least(&mut self, group: usize, place: usize, left: u32, paid: i128) -> Option<i128> {
        let part = self.parts.get(group)?;
        let own = part.places.get(place)?;
        let (hull, rest) = (&own.hull, &part.rest);
        let bounds = &self.scene.bounds;
        let units = i128::from(left);
        let room = left * part.copies + part.rest_units;
        if self.filled + room < bounds.filled {
            return None;
        }
        // What all units that are left must bring together.
        let need = i128::from(self.job.least) - i128::from(self.usable);
        let most = i128::from(self.job.most) - i128::from(self.usable);
        self.short.close(&self.prices.slack, &self.have, own.open);
        let mut sum = paid + self.short.loss + hulls::cheapest(hull, units, rest, need, most)?;
        let usable = i128::from(self.usable) + rest.least()? + hull.least()? * units;
        let over = (usable - i128::from(self.job.least)).max(0);
        sum += self.prices.tariff.usable * over;
        Some(sum)
    }

    /// Whether what is counted keeps within the limits; it did before this choice.
    fn keeps_limits(&self, choice: &Choice) -> bool {
        let bounds = &self.scene.bounds;
        let had = choice.builds.iter().all(|(build, _)| {
            let build = usize::from(*build);
            at(&self.have, build) <= at(&self.most, build)
        });
        had && self.modules <= bounds.modules
            && self.power <= bounds.power
            && self.go_together(choice)
    }

    fn count(&mut self, choice: &Choice, units: u32) {
        for (build, count) in &choice.builds {
            let build = usize::from(*build);
            let had = at(&self.have, build);
            let now = had + *count * units as u16;
            if had == 0 {
                self.held |= 1 << (build & 127);
                let make = self.make(build);
                self.used += u32::from(at(&self.of_make, make) == 0);
                add(&mut self.of_make, make, 1);
            }
            self.short.change(&self.prices.slack, build, had, now);
            add(&mut self.have, build, now - had);
        }
        self.usable += choice.usable * u64::from(units);
        self.modules += choice.modules * units;
        self.power += choice.power * u64::from(units);
        self.kept += choice.kept * units;
        self.filled += choice.filled * units;
    }

    fn lift(&mut self, choice: &Choice, units: u32) {
        for (build, count) in &choice.builds {
            let build = usize::from(*build);
            let had = at(&self.have, build);
            let now = had - *count * units as u16;
            if now == 0 {
                self.held &= !(1 << (build & 127));
                let make = self.make(build);
                take(&mut self.of_make, make, 1);
                self.used -= u32::from(at(&self.of_make, make) == 0);
            }
            self.short.change(&self.prices.slack, build, had, now);
            take(&mut self.have, build, had - now);
        }
        self.usable -= choice.usable * u64::from(units);
        self.modules -= choice.modules * units;
        self.power -= choice.power * u64::from(units);
        self.kept -= choice.kept * units;
        self.filled -= choice.filled * units;
    }

    fn make(&self, build: usize) -> usize {
        usize::from(at(&self.scene.builds.makes, build))
    }

    /// Whether the builds chosen so far may be on one board; those before this choice may.
    fn go_together(&self, choice: &Choice) -> bool {
        let friends = |build: &u16| at(self.scene.friends, usize::from(*build));
        self.used <= self.scene.bounds.builds
            && choice
                .builds
                .iter()
                .all(|(build, _)| self.held & !friends(build) == 0)
    }

    /// All units are counted.
    fn leaf(&mut self, paid: i128) {
        let bounds = &self.scene.bounds;
        let used = |(must, have): (&u32, &u16)| u32::from(*have) >= *must;
        let kept = self.job.purchases.iter().zip(&self.have);
        let kept = kept.map(|(purchase, have)| purchase.kept(usize::from(*have)));
        let touched = self
            .scene
            .homes
            .saturating_sub(self.kept + kept.sum::<u32>());
        if self.usable < self.job.least
            || self.usable > self.job.most
            || touched > bounds.moved
            || self.filled < bounds.filled
            || !self.job.rung.must.iter().zip(&self.have).all(used)
        {
            return;
        }
        let mut cost = i64::from(touched) * self.scene.task.handling;
        let mut ideal = paid;
        for ((slack, purchase), have) in self
            .prices
            .slack
            .iter()
            .zip(&self.job.purchases)
            .zip(&self.have)
        {
            let have = usize::from(*have);
            let Some(price) = purchase.at(have) else {
                return;
            };
            ideal += slack.at(have);
            cost = cost.saturating_add(price);
        }
        if cost > bounds.budget {
            return;
        }
        ideal += self.loss_of_limits(cost);
        if self.is_beyond(ideal) || self.pool.has_enough_of(&self.have) {
            return;
        }
        let level = self.job.rung.level;
        let judged = realise(self.scene, level, &self.tally(), ideal, self.meter);
        match judged {
            Some(judged) => {
                self.refused |= judged.sum > ideal;
                self.pool.take(self.have.clone(), judged);
                self.edge = edge(self.scene, self.pool, self.limit);
                if self.dives {
                    self.steps_left = 0;
                }
            }
            None => self.refused = true,
        }
    }

    /// How many units of each class have each of its columns.
    fn tally(&self) -> Tally {
        let classes = self.scene.classes.iter();
        let mut tally: Tally = classes.map(|class| vec![0; class.columns.len()]).collect();
        for (class, column, units) in &self.chosen {
            if let Some(own) = tally.get_mut(*class) {
                add(own, *column, *units);
            }
        }
        tally
    }

    /// What is lost by what priced limits leave unused.
    fn loss_of_limits(&self, cost: i64) -> i128 {
        let (bounds, tariff) = (&self.scene.bounds, &self.prices.tariff);
        let mut loss = tariff.usable * i128::from(self.usable - self.job.least)
            + tariff.slot * i128::from(bounds.modules - self.modules)
            + tariff.filled * i128::from(self.filled - bounds.filled);
        let spare = [
            (
                tariff.room,
                i128::from(self.job.most) - i128::from(self.usable),
            ),
            (
                tariff.power,
                i128::from(bounds.power) - i128::from(self.power),
            ),
            (tariff.money, i128::from(bounds.budget) - i128::from(cost)),
        ];
        for (price, spare) in spare.into_iter().filter(|(price, _)| *price > 0) {
            loss += price * spare;
        }
        loss
    }
}

fn most(purchase: &Purchase) -> u16 {
    u16::try_from(purchase.most()).unwrap_or(u16::MAX)
}

/// From where on nothing is wanted: at the limit, or where no plan would enter the pool.
fn edge(scene: &Scene<'_, '_>, pool: &Pool, limit: Option<i128>) -> i128 {
    // Plans of one sum are told apart by more than the sum.
    let ceiling = pool
        .ceiling()
        .map(|sum| sum + i128::from(scene.weights.has_tail));
    [limit, ceiling]
        .into_iter()
        .flatten()
        .min()
        .unwrap_or(i128::MAX)
}
