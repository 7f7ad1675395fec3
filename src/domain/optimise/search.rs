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

use super::job::{Choice, Group, Job};
use super::leaf::{Judged, Tally, is_before, realise};
use super::model::Counts;
use super::price::Prices;
use super::scene::Scene;
use super::small::{add, at, take};

/// The best plans so far.
#[derive(Debug, Default)]
pub struct Pool {
    /// At most so many, each with other counts of builds.
    pub room: usize,
    /// Best first.
    pub plans: Vec<(Vec<u16>, Judged)>,
}

impl Pool {
    /// No plan is wanted that is not below this; `None` while there is room.
    pub fn ceiling(&self) -> Option<i128> {
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
            counts: Counts::default(),
            next_look: 0,
        }
    }

    /// Takes a step. False once the search must end.
    pub fn spend(&mut self) -> bool {
        self.steps += 1;
        if self.steps >= self.next_look {
            self.next_look = self.steps + 256;
            self.stopped |= self.steps > self.most || (self.stop)();
        }
        !self.stopped
    }
}

/// A depth-first walk over the counts of a job.
pub struct Walk<'w, 's, 'a, 'm> {
    scene: &'w Scene<'s, 'a>,
    job: &'w Job,
    prices: &'w Prices,
    pool: &'w mut Pool,
    meter: &'w mut Meter<'m>,
    /// By group: choices in the order in which they are counted, with reduced costs.
    order: Vec<Vec<(i128, usize)>>,
    /// By group and place in the order: the most and the least usable capacity of one unit with the
    /// choices from there on.
    reach: Vec<Vec<(u64, u64)>>,
    /// The most and the least usable capacity of all groups from one on.
    rest: Vec<(u64, u64)>,
    counts: Tally,
    have: Vec<u16>,
    usable: u64,
    modules: u32,
    power: u64,
    kept: u32,
    mask: u128,
}

impl<'w, 's, 'a, 'm> Walk<'w, 's, 'a, 'm> {
    /// Sets out.
    pub fn new(
        scene: &'w Scene<'s, 'a>,
        job: &'w Job,
        prices: &'w Prices,
        pool: &'w mut Pool,
        meter: &'w mut Meter<'m>,
    ) -> Self {
        let mut order: Vec<Vec<(i128, usize)>> = Vec::new();
        for (group, costs) in job.groups.iter().zip(&prices.reduced) {
            let mut own: Vec<(i128, usize)> = costs.iter().copied().zip(0..).collect();
            let key = |(cost, index): &(i128, usize)| {
                let modules = group.choices.get(*index).map_or(0, |c| c.modules);
                (std::cmp::Reverse(*cost), std::cmp::Reverse(modules), *index)
            };
            own.sort_by_key(key);
            order.push(own);
        }
        let reach: Vec<Vec<(u64, u64)>> = job
            .groups
            .iter()
            .zip(&order)
            .map(|(group, order)| suffixes(group, order))
            .collect();
        let mut rest = vec![(0u64, 0u64)];
        for (group, reach) in job.groups.iter().zip(&reach).rev() {
            let (most, least) = at(reach, 0);
            let (after_most, after_least) = rest.last().copied().unwrap_or_default();
            let units = u64::from(group.units);
            rest.push((after_most + most * units, after_least + least * units));
        }
        rest.reverse();
        Self {
            scene,
            job,
            prices,
            pool,
            meter,
            order,
            reach,
            rest,
            counts: scene
                .classes
                .iter()
                .map(|class| vec![0; class.columns.len()])
                .collect(),
            have: vec![0; scene.builds.list.len()],
            usable: 0,
            modules: 0,
            power: 0,
            kept: 0,
            mask: 0,
        }
    }

    /// Looks at every solution that may be better than the worst plan of the pool.
    pub fn run(&mut self) {
        let units = self.job.groups.first().map_or(0, |group| group.units);
        self.step(0, 0, units, self.prices.bound);
    }

    /// Whether a loss is beyond what is wanted.
    fn is_beyond(&self, value: i128) -> bool {
        match self.pool.ceiling() {
            Some(ceiling) if self.scene.weights.has_tail => value > ceiling,
            Some(ceiling) => value >= ceiling,
            None => false,
        }
    }

    fn step(&mut self, group: usize, place: usize, left: u32, paid: i128) {
        if !self.meter.spend() {
            return;
        }
        let Some(own) = self.job.groups.get(group) else {
            return self.leaf(paid);
        };
        if left == 0 {
            let units = self.job.groups.get(group + 1).map_or(0, |next| next.units);
            return self.step(group + 1, 0, units, paid);
        }
        let order = self.order.get(group);
        let Some((cost, index)) = order.and_then(|order| order.get(place)).copied() else {
            return;
        };
        if !self.may_reach(group, place, left)
            || self.is_beyond(self.least(group, place, left, paid))
        {
            return;
        }
        let Some(choice) = own.choices.get(index) else {
            return;
        };
        let last = self
            .order
            .get(group)
            .is_some_and(|order| place + 1 == order.len());
        if last {
            if self.put(group, choice, left) {
                self.step(group, place + 1, 0, paid + cost * i128::from(left));
            }
            self.lift(group, choice, left);
            return;
        }
        for count in 0..=left {
            let now = paid + cost * i128::from(count);
            let fits = count == 0 || self.put(group, choice, count);
            if fits && !self.is_beyond(now) {
                self.step(group, place + 1, left - count, now);
            }
            if count > 0 {
                self.lift(group, choice, count);
            }
            if !fits || self.is_beyond(now) || self.meter.stopped {
                return;
            }
        }
    }

    /// Whether the rest can still bring the capacity within its limits.
    fn may_reach(&self, group: usize, place: usize, left: u32) -> bool {
        let (most, least) = self
            .reach
            .get(group)
            .map_or((0, 0), |reach| at(reach, place));
        let (rest_most, rest_least) = at(&self.rest, group + 1);
        let left = u64::from(left);
        self.usable + most * left + rest_most >= self.scene.bounds.least
            && self.usable + least * left + rest_least <= self.scene.bounds.most
    }

    /// What every solution from here on loses at least.
    fn least(&self, group: usize, place: usize, left: u32, paid: i128) -> i128 {
        let mut sum = paid;
        for (slack, have) in self.prices.slack.iter().zip(&self.have) {
            sum += slack.from(usize::from(*have));
        }
        let (_, least) = self
            .reach
            .get(group)
            .map_or((0, 0), |reach| at(reach, place));
        let (_, rest) = at(&self.rest, group + 1);
        let usable = self.usable + least * u64::from(left) + rest;
        sum + self.prices.usable * i128::from(usable.saturating_sub(self.scene.bounds.least))
    }

    /// Counts so many units more; false if that breaks a limit. It must be lifted again either way.
    fn put(&mut self, group: usize, choice: &Choice, units: u32) -> bool {
        let class = self.job.groups.get(group).map_or(0, |group| group.class);
        if let Some(own) = self.counts.get_mut(class) {
            add(own, choice.column, units as u16);
        }
        let mut fits = true;
        for (build, count) in &choice.builds {
            add(&mut self.have, usize::from(*build), *count * units as u16);
            let most = self
                .job
                .purchases
                .get(usize::from(*build))
                .map_or(0, |p| p.most());
            fits &= usize::from(at(&self.have, usize::from(*build))) <= most;
        }
        self.usable += choice.usable * u64::from(units);
        self.modules += choice.modules * units;
        self.power += choice.power * u64::from(units);
        self.kept += choice.kept * units;
        let bounds = &self.scene.bounds;
        fits && self.modules <= bounds.modules && self.power <= bounds.power && self.go_together()
    }

    fn lift(&mut self, group: usize, choice: &Choice, units: u32) {
        let class = self.job.groups.get(group).map_or(0, |group| group.class);
        if let Some(own) = self.counts.get_mut(class) {
            take(own, choice.column, units as u16);
        }
        for (build, count) in &choice.builds {
            take(&mut self.have, usize::from(*build), *count * units as u16);
        }
        self.usable -= choice.usable * u64::from(units);
        self.modules -= choice.modules * units;
        self.power -= choice.power * u64::from(units);
        self.kept -= choice.kept * units;
    }

    /// Whether the builds chosen so far may be on one board.
    fn go_together(&mut self) -> bool {
        let used = || {
            self.have
                .iter()
                .enumerate()
                .filter(|(_, count)| **count > 0)
        };
        self.mask = used().fold(0, |mask, (build, _)| mask | 1 << (build & 127));
        used().count() as u32 <= self.scene.bounds.builds
            && used().all(|(build, _)| self.mask & !at(self.scene.friends, build) == 0)
    }

    /// All units are counted.
    fn leaf(&mut self, paid: i128) {
        let bounds = &self.scene.bounds;
        let used = |(must, have): (&u32, &u16)| u32::from(*have) >= *must;
        let touched = self.scene.homes - self.kept.min(self.scene.homes);
        if self.usable < bounds.least
            || self.usable > bounds.most
            || touched > bounds.moved
            || !self.job.must.iter().zip(&self.have).all(used)
        {
            return;
        }
        let mut ideal = paid;
        let mut cost = i64::from(touched) * self.scene.task.handling;
        for ((slack, purchase), have) in self
            .prices
            .slack
            .iter()
            .zip(&self.job.purchases)
            .zip(&self.have)
        {
            let have = usize::from(*have);
            ideal += slack.at(have);
            cost = cost.saturating_add(purchase.at(have).unwrap_or(i64::MAX / 4));
        }
        ideal += self.prices.usable * i128::from(self.usable - bounds.least);
        if cost > bounds.budget || self.is_beyond(ideal) {
            return;
        }
        let mut steps = self.meter.steps;
        let judged = realise(
            self.scene,
            self.job.level,
            &self.counts,
            ideal,
            &mut steps,
            &mut self.meter.counts,
        );
        self.meter.steps = steps;
        if let Some(judged) = judged {
            self.pool.take(self.have.clone(), judged);
        }
    }
}

/// The most and the least usable capacity of one unit with the choices from each place on.
fn suffixes(group: &Group, order: &[(i128, usize)]) -> Vec<(u64, u64)> {
    let mut reach = Vec::with_capacity(order.len());
    let mut now: Option<(u64, u64)> = None;
    for (_, index) in order.iter().rev() {
        let usable = group.choices.get(*index).map_or(0, |choice| choice.usable);
        let (most, least) = now.unwrap_or((usable, usable));
        now = Some((most.max(usable), least.min(usable)));
        reach.extend(now);
    }
    reach.reverse();
    reach
}
