//! What a walk looks at of each group of a job: its choices in the order in which they are counted, and
//! what all that comes later costs at least.

use super::hulls::{self, Hull, lower_hull};
use super::job::{Choice, Group, Job};
use super::price::Prices;
use super::scene::Scene;
use super::small::at;

/// A group of a job.
pub struct Part<'w> {
    /// The class.
    pub class: usize,
    /// The units that it fills.
    pub units: u32,
    /// How many units each of them stands for.
    pub copies: u32,
    /// Its choices.
    pub places: Vec<Place<'w>>,
    /// What all later groups cost at least for so much usable capacity.
    pub rest: Hull,
    /// The units of all later groups.
    pub rest_units: u32,
}

/// A place in the order of a group's choices.
pub struct Place<'w> {
    pub index: usize,
    pub choice: &'w Choice,
    /// Its reduced cost.
    pub cost: i128,
    /// What reduced cost the units left must bring at least for so much usable capacity each, with
    /// this choice and those behind it.
    pub hull: Hull,
    /// Builds that this choice, those behind it and later groups may still use.
    pub open: u128,
}

/// The groups of a job, with the choices whose reduced cost is wanted.
pub fn parts<'w>(
    scene: &Scene<'_, '_>,
    job: &'w Job,
    prices: &Prices,
    mut wanted: impl FnMut(i128) -> bool,
) -> Vec<Part<'w>> {
    let ranks = build_ranks(scene, job, prices);
    let mut parts: Vec<Part<'w>> = Vec::with_capacity(job.groups.len());
    for (group, costs) in job.groups.iter().zip(&prices.reduced) {
        let costs = costs.iter().copied().zip(0..);
        let kept = costs.filter(|(cost, _)| wanted(*cost));
        parts.push(Part {
            class: group.class,
            units: group.units,
            copies: group.copies,
            places: places(group, kept.collect(), &ranks),
            rest: Hull::default(),
            rest_units: 0,
        });
    }
    let mut later = 0u128;
    let mut rest = Hull::of(vec![(0, 0)]);
    let mut rest_units = 0;
    for (part, group) in parts.iter_mut().zip(&job.groups).rev() {
        for place in &mut part.places {
            place.open |= later;
        }
        later |= part.places.first().map_or(0, |place| place.open);
        let units = i128::from(group.units);
        let hull = part.places.first().map_or(&[][..], |p| p.hull.points());
        let own = hull
            .iter()
            .map(|(usable, cost)| (usable * units, cost * units));
        let own: Vec<(i128, i128)> = own.collect();
        let sum = Hull::of(hulls::sum(&own, rest.points()));
        part.rest = std::mem::replace(&mut rest, sum);
        part.rest_units = rest_units;
        rest_units += if group.works {
            group.units * group.copies
        } else {
            0
        };
    }
    parts
}

/// The place of each build when the one whose cheapest column is dearest comes first.
fn build_ranks(scene: &Scene<'_, '_>, job: &Job, prices: &Prices) -> Vec<usize> {
    let mut cheapest = vec![i128::MAX; scene.builds.list.len()];
    for (group, costs) in job.groups.iter().zip(&prices.reduced) {
        for (choice, cost) in group.choices.iter().zip(costs) {
            for (build, _) in &choice.builds {
                if let Some(least) = cheapest.get_mut(usize::from(*build)) {
                    *least = (*least).min(*cost);
                }
            }
        }
    }
    let mut order: Vec<usize> = (0..cheapest.len()).collect();
    order.sort_by_key(|build| std::cmp::Reverse(cheapest.get(*build).copied()));
    let mut ranks = vec![0; cheapest.len()];
    for (rank, build) in order.into_iter().enumerate() {
        if let Some(own) = ranks.get_mut(build) {
            *own = rank;
        }
    }
    ranks
}

/// The choices of a group in the order in which they are counted: all that hold the dearest build
/// first, then those of the next that hold none of it, so that builds are closed early; of each the
/// dearest first.
fn places<'w>(group: &'w Group, mut costs: Vec<(i128, usize)>, ranks: &[usize]) -> Vec<Place<'w>> {
    let key = |(cost, index): &(i128, usize)| {
        let choice = group.choices.get(*index);
        let builds = choice.map_or(&[][..], |choice| &choice.builds);
        let rank = builds
            .iter()
            .map(|(build, _)| at(ranks, usize::from(*build)))
            .min();
        let modules = choice.map_or(0, |c| c.modules);
        (
            rank.unwrap_or(usize::MAX),
            std::cmp::Reverse(*cost),
            std::cmp::Reverse(modules),
            *index,
        )
    };
    costs.sort_by_key(key);
    let mut places = Vec::with_capacity(costs.len());
    let mut hull: Vec<(i128, i128)> = Vec::new();
    let mut open = 0;
    for (cost, index) in costs.into_iter().rev() {
        let Some(choice) = group.choices.get(index) else {
            continue;
        };
        open |= choice.mask;
        hull.push((i128::from(choice.usable), cost));
        hull = lower_hull(hull);
        places.push(Place {
            index,
            choice,
            cost,
            hull: Hull::of(hull.clone()),
            open,
        });
    }
    places.reverse();
    places
}
