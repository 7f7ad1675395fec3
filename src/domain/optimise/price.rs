//! Prices for the bound of a job (see [`super::search`]).
//!
//! Any prices give a valid bound. Good ones come in two steps: first each module at its cheapest
//! price and capacity at the slope of the lower convex hull of the columns; then, where that leaves a
//! gap, the dual values of the linear relaxation, which also know of stock, packs and limits.

use super::columns::Load;
use super::hulls::lower_hull;
use super::job::{Choice, Job, Rung};
use super::model::Key;
use super::scene::Scene;
use super::simplex::{Program, Row};
use super::small::{at, compare_products, share};
use std::rc::Rc;

/// What is priced, in the scaled objective; none is negative.
#[derive(Clone, Debug, Default)]
pub struct Tariff {
    /// One module of each build.
    pub modules: Vec<i128>,
    /// A usable MiB above the least.
    pub usable: i128,
    /// A usable MiB below the most.
    pub room: i128,
    /// A slot.
    pub slot: i128,
    /// A milliwatt.
    pub power: i128,
    /// A minor unit of the budget.
    pub money: i128,
    /// A unit that holds a module, beyond those that must.
    pub filled: i128,
}

/// Prices and what follows from them.
#[derive(Debug)]
pub struct Prices {
    /// No solution is below this, in the scaled sum.
    pub bound: i128,
    /// Reduced cost of each choice of each group; not negative.
    pub reduced: Vec<Vec<i128>>,
    /// By build.
    pub slack: Vec<Slack>,
    /// What they rest on.
    pub tariff: Tariff,
    /// How many units of each group take each choice in the linear relaxation; empty if it was not
    /// solved.
    pub hint: Vec<Vec<f64>>,
}

/// How far the price of so many modules, less λ for each, lies above the least of that.
#[derive(Debug, Default)]
pub struct Slack {
    exact: Vec<i128>,
    /// The least from each quantity on.
    from: Vec<i128>,
}

/// The largest of the prices that show that there is no solution.
const FINE: f64 = (1u64 << 60) as f64;

/// More than any sum.
pub const NEVER: i128 = i128::MAX / 8;

impl Slack {
    /// From the values of each quantity, none of those below `must`.
    fn of(values: Vec<i128>, must: u32) -> (Self, i128) {
        let must = must as usize;
        let least = values.iter().skip(must).copied().min().unwrap_or(NEVER);
        let mut exact: Vec<i128> = values.iter().map(|value| value - least).collect();
        exact.iter_mut().take(must).for_each(|value| *value = NEVER);
        let mut from = exact.clone();
        let mut best = i128::MAX;
        for value in from.iter_mut().rev() {
            best = best.min(*value);
            *value = best;
        }
        (Self { exact, from }, least)
    }

    /// With exactly so many modules.
    pub fn at(&self, quantity: usize) -> i128 {
        self.exact.get(quantity).copied().unwrap_or(NEVER)
    }

    /// With so many modules or more.
    pub fn from(&self, quantity: usize) -> i128 {
        self.from.get(quantity).copied().unwrap_or(NEVER)
    }
}

/// A bound of a level with some builds, without looking at stock and packs: modules at their cheapest
/// price. `None` if a unit is left without a column or the capacity can't be reached.
pub fn quick_bound(
    scene: &Scene<'_, '_>,
    rung: &Rung,
    mask: u128,
    shape: Option<&Load>,
) -> Option<i128> {
    let mut steps: Vec<(i128, i128, i128)> = Vec::new();
    let (mut cost, mut usable) = (0i128, 0i128);
    for group in &rung.groups {
        let price = |choice: &Rc<Choice>| {
            let modules = choice.builds.iter().map(|(build, count)| {
                let each = rung.cheapest.get(usize::from(*build)).copied().flatten();
                each.unwrap_or(0) * i128::from(*count)
            });
            (
                i128::from(choice.usable),
                choice.fixed + modules.sum::<i128>(),
            )
        };
        let had = |choice: &&Rc<Choice>| {
            let mut builds = choice.builds.iter();
            builds.all(|(build, _)| rung.offers(usize::from(*build)))
        };
        let points = Rung::within(group, mask, shape).filter(had).map(price);
        let hull = lower_hull(points.collect());
        let units = i128::from(group.units);
        let (first_usable, first_cost) = hull.first().copied()?;
        // From the cheapest point on; what lies before it costs more and gives less.
        let start = hull.iter().enumerate().min_by_key(|(_, (_, cost))| *cost);
        let start = start.map_or(0, |(index, _)| index);
        let (start_usable, start_cost) = hull
            .get(start)
            .copied()
            .unwrap_or((first_usable, first_cost));
        cost += start_cost * units;
        usable += start_usable * units;
        for (from, to) in hull.iter().skip(start).zip(hull.iter().skip(start + 1)) {
            steps.push((to.1 - from.1, to.0 - from.0, units));
        }
    }
    // What installed modules save at most, against paying for every one.
    for (build, free) in rung.free.iter().enumerate() {
        let each = rung.cheapest.get(build).copied().flatten().unwrap_or(0);
        if mask >> (build & 127) & 1 == 1 {
            let stay = i128::from(at(&rung.stay, build));
            cost -= each * i128::from(*free) + scene.moving() * stay;
        }
    }
    cost += rung.constant;
    let least = i128::from(scene.bounds.least);
    // The flattest steps first, from all groups: the sum of hulls.
    steps.sort_unstable_by(|a, b| compare_products(a.0, b.1, b.0, a.1));
    for (rise, run, units) in steps {
        if usable >= least {
            break;
        }
        let needed = least - usable;
        if needed >= run * units {
            cost += rise * units;
            usable += run * units;
        } else {
            cost += share(rise, needed, run);
            usable = least;
        }
    }
    (usable >= least).then_some(cost)
}

impl Prices {
    /// From a tariff.
    pub fn of(scene: &Scene<'_, '_>, job: &Job, tariff: Tariff) -> Self {
        Self::with(scene, job, tariff, true)
    }

    /// Whether a tariff shows that no counts keep within all limits: with an objective of nothing,
    /// every solution comes to nothing, so that a bound above nothing leaves none.
    fn refutes(scene: &Scene<'_, '_>, job: &Job, tariff: Tariff) -> bool {
        Self::with(scene, job, tariff, false).bound > 0
    }

    /// From a tariff, with the objective or with one of nothing.
    fn with(scene: &Scene<'_, '_>, job: &Job, tariff: Tariff, objective: bool) -> Self {
        let bounds = &scene.bounds;
        let (weight, moving, constant) = if objective {
            (
                scene.weights.of(Key::Cost),
                scene.moving(),
                job.rung.constant,
            )
        } else {
            (0, 0, 0)
        };
        let price = weight + tariff.money;
        let handling = i128::from(scene.task.handling) * tariff.money;
        let saved = moving + handling;
        let mut bound = constant + tariff.usable * i128::from(job.least)
            - tariff.slot * i128::from(bounds.modules)
            + tariff.filled * i128::from(bounds.filled)
            + handling * i128::from(scene.homes);
        // A limit that is none has no price.
        let limits = [
            (tariff.room, i128::from(job.most)),
            (tariff.power, i128::from(bounds.power)),
            (tariff.money, i128::from(bounds.budget)),
        ];
        for (price, limit) in limits.into_iter().filter(|(price, _)| *price > 0) {
            bound -= price * limit;
        }
        let mut slacks = Vec::with_capacity(job.purchases.len());
        for (purchase, lambda) in job.purchases.iter().zip(&tariff.modules) {
            let values = purchase.cost.iter().enumerate().map(|(quantity, cost)| {
                let kept = i128::from(purchase.kept(quantity));
                price * i128::from(*cost) - lambda * quantity as i128 - saved * kept
            });
            let (slack, least) = Slack::of(values.collect(), purchase.must);
            bound += least;
            slacks.push(slack);
        }
        let mut reduced = Vec::with_capacity(job.groups.len());
        for group in &job.groups {
            let costs: Vec<i128> = group
                .choices
                .iter()
                .map(|choice| {
                    let own = if objective { choice.fixed } else { 0 };
                    own + tariff.price(choice, handling)
                })
                .collect();
            let least = costs.iter().copied().min().unwrap_or(0);
            bound += least * i128::from(group.units);
            reduced.push(costs.iter().map(|cost| cost - least).collect());
        }
        Self {
            bound,
            reduced,
            slack: slacks,
            tariff,
            hint: Vec::new(),
        }
    }

    /// Modules at their cheapest price, capacity at the slope that then is paid for it.
    pub fn first(scene: &Scene<'_, '_>, job: &Job) -> Self {
        let rung = &job.rung;
        let modules: Vec<i128> = (0..rung.cheapest.len())
            .map(|build| {
                let free = at(&rung.free, build) > 0;
                let each = rung.cheapest.get(build).copied().flatten();
                if free { 0 } else { each.unwrap_or(0) }
            })
            .collect();
        let plain = Tariff {
            modules,
            ..Tariff::default()
        };
        let usable = capacity_slope(job, &plain);
        Self::of(scene, job, Tariff { usable, ..plain })
    }

    /// The dual values of the linear relaxation. `None` if it has no solution: then no counts are one.
    pub fn best(scene: &Scene<'_, '_>, job: &Job) -> Option<Self> {
        let bounds = &scene.bounds;
        let builds = job.purchases.len();
        let groups = job.groups.len();
        let mut program = Program::default();
        for group in &job.groups {
            program.rows.push(Row::equal(f64::from(group.units)));
        }
        for _ in 0..builds {
            program.rows.push(Row::equal(1.0));
        }
        // What is had need not be used, but for what must be.
        let must = |build: usize| job.purchases.get(build).is_some_and(|own| own.must > 0);
        for build in 0..builds {
            program.rows.push(if must(build) {
                Row::equal(0.0)
            } else {
                Row::at_most(0.0)
            });
        }
        let limits = [
            (job.least > 0).then_some(-(job.least as f64)),
            (job.most < u64::MAX).then_some(job.most as f64),
            Some(f64::from(bounds.modules)),
            (bounds.power < u64::MAX).then_some(bounds.power as f64),
            (bounds.budget < i64::MAX)
                .then_some((bounds.budget - scene.task.handling * i64::from(scene.homes)) as f64),
            (bounds.filled > 0).then_some(-f64::from(bounds.filled)),
        ];
        let mut places = [usize::MAX; 6];
        for (place, limit) in places.iter_mut().zip(limits) {
            if let Some(limit) = limit {
                *place = program.rows.len();
                program.rows.push(Row::at_most(limit));
            }
        }
        let rows = program.rows.len();
        let handling = scene.task.handling as f64;
        for (index, group) in job.groups.iter().enumerate() {
            for choice in &group.choices {
                let mut column = vec![0.0; rows];
                let mut put = |row: usize, value: f64| {
                    if let Some(entry) = column.get_mut(row) {
                        *entry = value;
                    }
                };
                put(index, 1.0);
                for (build, count) in &choice.builds {
                    put(groups + builds + usize::from(*build), f64::from(*count));
                }
                let uses = [
                    -(choice.usable as f64),
                    choice.usable as f64,
                    f64::from(choice.modules),
                    choice.power as f64,
                    -handling * f64::from(choice.kept),
                    -f64::from(choice.filled),
                ];
                for (place, value) in places.iter().zip(uses) {
                    put(*place, value);
                }
                program.add(choice.fixed as f64, column);
            }
        }
        let price = scene.weights.of(Key::Cost) as f64;
        let moving = scene.moving() as f64;
        for (build, purchase) in job.purchases.iter().enumerate() {
            let choices = purchase.choices();
            let points = choices.map(|(quantity, cost)| (quantity as i128, i128::from(cost)));
            let mut corners = lower_hull(points.collect());
            // What is saved by modules that stay bends there.
            let stay = purchase
                .choices()
                .nth(purchase.stay.saturating_sub(purchase.must) as usize);
            let bend = stay.filter(|_| purchase.stay > purchase.must);
            corners.extend(bend.map(|(quantity, cost)| (quantity as i128, i128::from(cost))));
            for (quantity, cost) in corners {
                let kept = f64::from(purchase.kept(quantity as usize));
                let mut column = vec![0.0; rows];
                let mut put = |row: usize, value: f64| {
                    if let Some(entry) = column.get_mut(row) {
                        *entry = value;
                    }
                };
                put(groups + build, 1.0);
                put(groups + builds + build, -(quantity as f64));
                put(places[4], cost as f64 - handling * kept);
                program.add(price * cost as f64 - moving * kept, column);
            }
        }
        let solved = program.solve(scene.task.stop);
        if solved.cut {
            return Some(Self::first(scene, job));
        }
        let raw = |row: usize| -solved.duals.get(row).copied().unwrap_or(0.0);
        // A limit's dual is not positive; its price is what one unit more would save.
        let dual = |row: usize| raw(row).max(0.0);
        let round = |value: f64| value.round() as i128;
        // What shows that there is no solution may be of any size.
        let largest = (groups + builds..rows).map(raw);
        let largest = largest.fold(0.0f64, |most, own| most.max(own.abs()));
        let scale = if solved.feasible || largest <= 0.0 {
            1.0
        } else {
            FINE / largest
        };
        let price_of = |index: usize| {
            let row = places.get(index).copied().unwrap_or(usize::MAX);
            if row == usize::MAX {
                0
            } else {
                round(dual(row) * scale)
            }
        };
        let tariff = |modules: Vec<i128>| Tariff {
            modules,
            usable: price_of(0),
            room: price_of(1),
            slot: price_of(2),
            power: price_of(3),
            money: price_of(4),
            filled: price_of(5),
        };
        let mut modules: Vec<i128> = (0..builds)
            .map(|build| {
                let row = groups + builds + build;
                round(if must(build) { raw(row) } else { dual(row) } * scale)
            })
            .collect();
        if !solved.feasible {
            let tariff = tariff(modules);
            // The integers have the last word on whether there is no solution.
            return (!Self::refutes(scene, job, tariff)).then(|| Self::first(scene, job));
        }
        // A build of which nothing is bought costs at least its first price.
        for (build, lambda) in modules.iter_mut().enumerate() {
            let purchase = job.purchases.get(build);
            let each = job.rung.cheapest.get(build).copied().flatten();
            let unused = solved.slack_at_zero(groups + build);
            // Where some must be used, none at all is no choice.
            if let (Some(each), Some(purchase), true) = (each, purchase, unused)
                && purchase.free == 0
                && purchase.must == 0
            {
                *lambda = (*lambda).max(each);
            }
        }
        let mut prices = Self::of(scene, job, tariff(modules));
        let mut values = solved.values_of.iter().copied();
        for group in &job.groups {
            let own = values.by_ref().take(group.choices.len());
            prices.hint.push(own.collect());
        }
        Some(prices)
    }
}

impl Tariff {
    /// What a choice costs beside its share of the objective.
    fn price(&self, choice: &Choice, handling: i128) -> i128 {
        let paid = choice
            .builds
            .iter()
            .map(|(build, count)| at(&self.modules, usize::from(*build)) * i128::from(*count));
        paid.sum::<i128>()
            + (self.room - self.usable) * i128::from(choice.usable)
            + self.slot * i128::from(choice.modules)
            + self.power * i128::from(choice.power)
            - handling * i128::from(choice.kept)
            - self.filled * i128::from(choice.filled)
    }
}

/// The price of capacity at which the least is reached: the slope of the sum of hulls there.
fn capacity_slope(job: &Job, tariff: &Tariff) -> i128 {
    let least = i128::from(job.least);
    let mut usable = 0i128;
    let mut steps: Vec<(i128, i128, i128)> = Vec::new();
    for group in &job.groups {
        let points = group.choices.iter().map(|choice| {
            (
                i128::from(choice.usable),
                choice.fixed + tariff.price(choice, 0),
            )
        });
        let hull = lower_hull(points.collect());
        let start = hull.iter().enumerate().min_by_key(|(_, (_, cost))| *cost);
        let start = start.map_or(0, |(index, _)| index);
        let units = i128::from(group.units);
        usable += hull.get(start).map_or(0, |(usable, _)| *usable) * units;
        for (from, to) in hull.iter().skip(start).zip(hull.iter().skip(start + 1)) {
            steps.push((to.1 - from.1, to.0 - from.0, units));
        }
    }
    steps.sort_unstable_by(|a, b| compare_products(a.0, b.1, b.0, a.1));
    let mut slope = 0;
    for (rise, run, units) in steps {
        if usable >= least {
            break;
        }
        usable += run * units;
        slope = rise / run.max(1);
    }
    slope
}
