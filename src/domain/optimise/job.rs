//! One subproblem: the columns that run at a rate and voltage, and what they cost.
//!
//! Every plan has a true rate and voltage, and is a solution of the subproblem for these. There a
//! column's share of the objective is a constant, modules are paid by build, and what remains is
//!
//! ```text
//! minimise  Σ f(c)·x(c) + Σ P(o, q(o))     over counts x, one column for each unit,
//! where     q(o) = Σ a(c, o)·x(c)          modules of each build
//! ```
//!
//! within capacity, slots, power, budget and moves. A plan may count in slower subproblems as well,
//! there with too low a rate: that is worth no more than it really is.

use super::super::request::Balance;
use super::build::Runs;
use super::leaf::Level;
use super::model::Key;
use super::purchase::Purchase;
use super::scene::Scene;
use super::small::at;

/// A column in a job.
#[derive(Clone, Debug)]
pub struct Choice {
    /// Its index in the class.
    pub column: usize,
    /// Its share of the scaled objective, modules to buy aside.
    pub fixed: i128,
    /// Builds and how many modules of each.
    pub builds: Vec<(u16, u16)>,
    pub usable: u64,
    pub modules: u32,
    pub power: u64,
    /// Installed modules kept in their slots.
    pub kept: u32,
}

/// A class in a job.
#[derive(Clone, Debug)]
pub struct Group {
    /// The class's index in the scene.
    pub class: usize,
    pub units: u32,
    pub choices: Vec<Choice>,
}

/// One subproblem.
#[derive(Debug)]
pub struct Job {
    pub level: Level,
    pub groups: Vec<Group>,
    /// By build.
    pub purchases: Vec<Purchase>,
    /// What every solution adds to the scaled objective.
    pub constant: i128,
    /// Installed modules that must be used, by build.
    pub must: Vec<u32>,
}

impl Job {
    /// The subproblem at a level with some builds; `None` if a class has no column there, or modules
    /// that must stay do not serve.
    pub fn new(scene: &Scene<'_, '_>, level: Level, allowed: u128) -> Option<Self> {
        let mut groups = Vec::new();
        for (index, class) in scene.classes.iter().enumerate() {
            let serving = class.columns.iter().enumerate().filter(|(_, column)| {
                column.mask & !allowed == 0 && (column.modules == 0 || runs(&column.rates, level))
            });
            let choices: Vec<Choice> = serving
                .map(|(at, column)| choice(scene, level, at, column))
                .collect();
            if choices.is_empty() {
                return None;
            }
            groups.push(Group {
                class: index,
                units: class.units.len() as u32,
                choices,
            });
        }
        let most = scene.bounds.modules as usize;
        let builds = &scene.builds.list;
        let mut purchases = Vec::with_capacity(builds.len());
        let mut must = vec![0; builds.len()];
        for (index, build) in builds.iter().enumerate() {
            if scene.keeps_all() {
                let serves = |runs: Runs| runs.serves(level.rate, level.supply);
                if !build.installed.iter().all(|one| serves(one.runs)) {
                    return None;
                }
                if let Some(own) = must.get_mut(index) {
                    *own = build.installed.len() as u32;
                }
            }
            purchases.push(if allowed >> (index & 127) & 1 == 1 {
                Purchase::of(build, level.rate, level.supply, most)
            } else {
                Purchase {
                    free: 0,
                    cost: vec![0],
                }
            });
        }
        let price = scene.weights.of(Key::Cost);
        let handling = i128::from(scene.task.handling) * price + scene.weights.of(Key::Moved);
        let constant = handling * i128::from(scene.homes)
            - scene.weights.of(Key::Rate) * i128::from(level.rate)
            - scene.weights.of(Key::FreeSlots) * i128::from(scene.bounds.slots);
        Some(Self {
            level,
            groups,
            purchases,
            constant,
            must,
        })
    }

    /// Where all channels must hold the same: one job for each thing that all of them may hold.
    pub fn split_evenly(self, scene: &Scene<'_, '_>) -> Vec<Self> {
        if scene.balance() != Some(Balance::Channels) {
            return vec![self];
        }
        let works = |group: &Group| scene.classes.get(group.class).is_some_and(|c| c.works);
        let Some(first) = self.groups.iter().find(|group| works(group)) else {
            return vec![self];
        };
        let mut shapes: Vec<&[(u16, u16)]> = first
            .choices
            .iter()
            .map(|choice| choice.builds.as_slice())
            .collect();
        shapes.sort_unstable();
        shapes.dedup();
        let only = |shape: &[(u16, u16)]| {
            let groups: Vec<Group> = self
                .groups
                .iter()
                .map(|group| {
                    let mut group = group.clone();
                    if works(&group) {
                        group.choices.retain(|choice| choice.builds == shape);
                    }
                    group
                })
                .collect();
            let possible = groups.iter().all(|group| !group.choices.is_empty());
            possible.then(|| Self {
                groups,
                purchases: self.purchases.clone(),
                must: self.must.clone(),
                ..self
            })
        };
        shapes.into_iter().filter_map(only).collect()
    }
}

/// Whether a column runs at a level.
fn runs(rates: &[Option<u32>], level: Level) -> bool {
    at(rates, level.supply).is_some_and(|rate| rate >= level.rate)
}

fn choice(
    scene: &Scene<'_, '_>,
    level: Level,
    index: usize,
    column: &super::columns::Column,
) -> Choice {
    let weights = &scene.weights;
    let kept = column.homes.iter();
    let kept = kept
        .filter(|runs| runs.serves(level.rate, level.supply))
        .count();
    let handling = i128::from(scene.task.handling) * weights.of(Key::Cost) + weights.of(Key::Moved);
    // Where channels do not run at one rate, each may be faster than the slowest.
    let rate = if scene.is_levelled() {
        level.rate
    } else {
        at(&column.rates, level.supply).unwrap_or(0)
    };
    let peak = i128::from(rate) * 8 * i128::from(column.populated);
    Choice {
        column: index,
        fixed: (weights.of(Key::Power)) * i128::from(column.power)
            + (weights.of(Key::Modules) + weights.of(Key::FreeSlots)) * i128::from(column.modules)
            - weights.of(Key::Usable) * i128::from(column.usable)
            - (weights.of(Key::Peak) + weights.of(Key::Uniform)) * peak
            - handling * kept as i128,
        builds: column.builds.clone(),
        usable: column.usable,
        modules: u32::from(column.modules),
        power: column.power,
        kept: kept as u32,
    }
}
