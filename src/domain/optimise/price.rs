//! Prices for the bound of a job (see [`super::search`]).

use super::job::Job;
use super::model::Key;
use super::scene::Scene;

/// Prices and what follows from them.
#[derive(Debug)]
pub struct Prices {
    /// No solution is below this, in the scaled sum.
    pub bound: i128,
    /// Reduced cost of each choice of each group; not negative.
    pub reduced: Vec<Vec<i128>>,
    /// By build.
    pub slack: Vec<Slack>,
    /// Price of a usable MiB.
    pub usable: i128,
}

/// How far the price of so many modules, less λ for each, lies above the least of that.
#[derive(Debug, Default)]
pub struct Slack {
    exact: Vec<i128>,
    /// The least from each quantity on.
    from: Vec<i128>,
}

impl Slack {
    fn of(values: Vec<i128>) -> (Self, i128) {
        let least = values.iter().copied().min().unwrap_or(0);
        let exact: Vec<i128> = values.iter().map(|value| value - least).collect();
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
        self.exact.get(quantity).copied().unwrap_or(i128::MAX / 4)
    }

    /// With so many modules or more.
    pub fn from(&self, quantity: usize) -> i128 {
        self.from.get(quantity).copied().unwrap_or(i128::MAX / 4)
    }
}

impl Prices {
    /// From prices by build and of usable capacity.
    pub fn of(scene: &Scene<'_, '_>, job: &Job, modules: &[i128], usable: i128) -> Self {
        let price = scene.weights.of(Key::Cost);
        let mut bound = job.constant + usable * i128::from(scene.bounds.least);
        let mut slacks = Vec::with_capacity(job.purchases.len());
        for (purchase, lambda) in job.purchases.iter().zip(modules) {
            let values = purchase.cost.iter().zip(0i128..);
            let values = values.map(|(cost, q)| price * i128::from(*cost) - lambda * q);
            let (slack, least) = Slack::of(values.collect());
            bound += least;
            slacks.push(slack);
        }
        let mut reduced = Vec::with_capacity(job.groups.len());
        for group in &job.groups {
            let costs = group.choices.iter().map(|choice| {
                let paid = choice.builds.iter().map(|(build, count)| {
                    let lambda = modules.get(usize::from(*build)).copied().unwrap_or(0);
                    lambda * i128::from(*count)
                });
                choice.fixed + paid.sum::<i128>() - usable * i128::from(choice.usable)
            });
            let costs: Vec<i128> = costs.collect();
            let least = costs.iter().copied().min().unwrap_or(0);
            bound += least * i128::from(group.units);
            reduced.push(costs.iter().map(|cost| cost - least).collect());
        }
        Self {
            bound,
            reduced,
            slack: slacks,
            usable,
        }
    }

    /// Modules at the first price that is not zero, and capacity at the slope that the cheapest
    /// columns give.
    pub fn first(scene: &Scene<'_, '_>, job: &Job) -> Self {
        let price = scene.weights.of(Key::Cost);
        let modules: Vec<i128> = job
            .purchases
            .iter()
            .map(|purchase| {
                let bought = purchase.cost.iter().position(|cost| *cost > 0);
                bought.map_or(0, |first| {
                    let cost = purchase.cost.get(first).copied().unwrap_or(0);
                    let more = first as i128 - i128::from(purchase.free);
                    price * i128::from(cost) / more.max(1)
                })
            })
            .collect();
        let plain = Self::of(scene, job, &modules, 0);
        if scene.bounds.least == 0 {
            return plain;
        }
        // The bound is concave in the price of capacity: try the slopes between columns.
        let mut slopes: Vec<i128> = Vec::new();
        for (group, reduced) in job.groups.iter().zip(&plain.reduced) {
            for (one, cost) in group.choices.iter().zip(reduced) {
                for (other, more) in group.choices.iter().zip(reduced) {
                    if other.usable > one.usable && more > cost {
                        let by = i128::from(other.usable - one.usable);
                        slopes.push((more - cost) / by);
                    }
                }
            }
        }
        slopes.sort_unstable();
        slopes.dedup();
        let (mut low, mut high) = (0usize, slopes.len());
        let at = |index: usize| {
            let slope = slopes.get(index).copied().unwrap_or(0);
            Self::of(scene, job, &modules, slope)
        };
        while high - low > 2 {
            let middle = low + (high - low) / 2;
            if at(middle).bound > at(middle - 1).bound {
                low = middle;
            } else {
                high = middle;
            }
        }
        (low..high).map(at).fold(
            plain,
            |best, next| {
                if next.bound > best.bound { next } else { best }
            },
        )
    }
}
