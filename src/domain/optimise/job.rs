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

use super::super::board::policy::Protection;
use super::super::request::Balance;
use super::build::{Build, Runs};
use super::columns::{Column, Load};
use super::leaf::Level;
use super::model::Key;
use super::purchase::Purchase;
use super::scene::Scene;
use super::small::at;
use std::cell::OnceCell;
use std::rc::Rc;

/// A column in a job.
#[derive(Clone, Debug)]
pub struct Choice {
    /// Its index in the class.
    pub column: usize,
    /// Its share of the scaled objective, modules to buy aside.
    pub fixed: i128,
    /// Builds and how many modules of each.
    pub builds: Vec<(u16, u16)>,
    /// What each channel of the unit holds, where all must hold the same and do.
    pub each: Option<Load>,
    /// The builds as a mask.
    pub mask: u128,
    pub usable: u64,
    pub modules: u32,
    pub power: u64,
    /// Installed modules kept in their slots.
    pub kept: u32,
    /// Units that hold a module.
    pub filled: u32,
}

/// A class in a job.
#[derive(Clone, Debug)]
pub struct Group {
    /// The class's index in the scene.
    pub class: usize,
    /// Units to fill; each stands for `copies` of them, one in every socket.
    pub units: u32,
    pub copies: u32,
    /// Whether a fitted processor reaches its channels.
    pub works: bool,
    pub choices: Vec<Rc<Choice>>,
}

/// The columns of a level, with what all of its jobs share.
#[derive(Debug)]
pub struct Rung {
    pub level: Level,
    pub groups: Vec<Group>,
    /// By build: the cheapest price of one module, scaled, whatever the stock; `None` if none is for
    /// sale at this level.
    pub cheapest: Vec<Option<i128>>,
    /// By build: installed modules that serve.
    pub free: Vec<u32>,
    /// Installed modules that must be used, by build.
    pub must: Vec<u32>,
    /// The builds that must be on the board.
    pub needed: u128,
    /// By build: installed modules that count as left in their slots as soon as there are as many of it.
    pub stay: Vec<u32>,
    /// What every solution adds to the scaled objective.
    pub constant: i128,
    /// By build: the cheapest ways to have modules of it.
    purchases: Vec<OnceCell<Rc<Purchase>>>,
}

/// One subproblem.
#[derive(Debug)]
pub struct Job {
    pub rung: Rc<Rung>,
    pub groups: Vec<Group>,
    /// By build.
    pub purchases: Vec<Rc<Purchase>>,
    /// Usable MiB at least and at most, rounded to what sums of columns can be.
    pub least: u64,
    pub most: u64,
}

impl Rung {
    /// A level; `None` if a class has no column there, or modules that must stay do not serve.
    pub fn new(scene: &Scene<'_, '_>, level: Level) -> Option<Self> {
        let sockets = scene.equal_sockets();
        let mut groups = Vec::with_capacity(scene.classes.len());
        for (index, class) in scene.classes.iter().enumerate() {
            let copies = if class.fitted { sockets } else { 1 };
            let lost = class.units.iter().any(|unit| unit.lost);
            let serving = class.columns.iter().enumerate().filter(|(_, column)| {
                column.modules == 0
                    || at(&column.rates, level.supply).is_some_and(|r| r >= level.rate)
            });
            let choices: Vec<Rc<Choice>> = serving
                .map(|(at, column)| Rc::new(choice(scene, level, at, column, copies, lost)))
                .collect();
            if choices.is_empty() {
                return None;
            }
            groups.push(Group {
                class: index,
                units: class.units.len() as u32 / copies,
                copies,
                works: class.works,
                choices,
            });
        }
        let builds = &scene.builds.list;
        let serves = |runs: Runs| runs.serves(level.rate, level.supply);
        let all_serve = |build: &Build| build.installed.iter().all(|one| serves(one.runs));
        if scene.keeps_all() && !builds.iter().all(all_serve) {
            return None;
        }
        let must = builds.iter().enumerate().map(|(index, build)| {
            let given = scene.only.as_ref().map(|only| at(only, index));
            let stay = scene.keeps_all().then_some(build.installed.len() as u32);
            given.max(stay).unwrap_or(0)
        });
        let must: Vec<u32> = must.collect();
        let needed = must.iter().enumerate().filter(|(_, count)| **count > 0);
        let needed = needed.fold(0u128, |mask, (build, _)| mask | 1 << (build & 127));
        let price = scene.weights.of(Key::Cost);
        let cheapest = builds.iter().map(|build| {
            let offers = build.offers.iter().filter(|offer| serves(offer.runs));
            offers
                .map(|o| price * i128::from(o.pack_price) / i128::from(o.pack))
                .min()
        });
        let free = builds.iter().map(|build| {
            let serving = build.installed.iter().filter(|one| serves(one.runs));
            serving.count() as u32
        });
        let constant = scene.moving() * i128::from(scene.homes)
            - scene.weights.of(Key::Rate) * i128::from(level.rate)
            - scene.weights.of(Key::FreeSlots) * i128::from(scene.bounds.slots);
        Some(Self {
            level,
            groups,
            cheapest: cheapest.collect(),
            free: free.collect(),
            must,
            needed,
            stay: builds
                .iter()
                .map(|build| scene.stay_at_best(build, level))
                .collect(),
            constant,
            purchases: builds.iter().map(|_| OnceCell::new()).collect(),
        })
    }

    /// The cheapest ways to have modules of a build.
    fn purchase(&self, scene: &Scene<'_, '_>, index: usize, build: &Build) -> Rc<Purchase> {
        let make = || {
            let given = scene.only.as_ref();
            let most = given.map_or(scene.bounds.modules, |only| at(only, index));
            let Level { rate, supply } = self.level;
            let must = at(&self.must, index);
            let own = Purchase::of(build, rate, supply, must, most as usize);
            Rc::new(Purchase {
                stay: at(&self.stay, index),
                ..own
            })
        };
        let known = self.purchases.get(index);
        known.map_or_else(make, |own| Rc::clone(own.get_or_init(make)))
    }

    /// The choices of a group that use only some builds, and hold on each channel what all must if told.
    pub fn within<'g>(
        group: &'g Group,
        mask: u128,
        shape: Option<&'g Load>,
    ) -> impl Iterator<Item = &'g Rc<Choice>> {
        let works = group.works;
        group.choices.iter().filter(move |choice| {
            choice.mask & !mask == 0
                && shape.is_none_or(|shape| !works || choice.each.as_ref() == Some(shape))
        })
    }

    /// What each channel may hold where all must hold the same.
    pub fn shapes(&self, scene: &Scene<'_, '_>, mask: u128) -> Vec<Load> {
        if scene.balance() != Some(Balance::Channels) {
            return Vec::new();
        }
        let Some(first) = self.groups.iter().find(|group| group.works) else {
            return Vec::new();
        };
        let choices = Self::within(first, mask, None);
        let mut shapes: Vec<Load> = choices.filter_map(|c| c.each).collect();
        shapes.sort_unstable();
        shapes.dedup();
        shapes
    }

    /// The builds that can be had at this level; of more than masks tell apart, some count as one.
    pub fn offered(&self) -> u128 {
        let had = (0..self.cheapest.len()).filter(|build| self.offers(*build));
        had.fold(0, |mask, build| mask | 1 << (build & 127))
    }

    /// Whether a build can be had at this level.
    pub fn offers(&self, build: usize) -> bool {
        self.cheapest.get(build).is_some_and(Option::is_some) || at(&self.free, build) > 0
    }
}

impl Job {
    /// The subproblem of a level with some builds. `None` if a class is left without a column.
    pub fn new(
        scene: &Scene<'_, '_>,
        rung: &Rc<Rung>,
        mask: u128,
        shape: Option<&Load>,
    ) -> Option<Self> {
        let mut groups = Vec::with_capacity(rung.groups.len());
        for group in &rung.groups {
            let choices: Vec<Rc<Choice>> = Rung::within(group, mask, shape).cloned().collect();
            if choices.is_empty() {
                return None;
            }
            groups.push(Group { choices, ..*group });
        }
        let used = groups.iter().flat_map(|group| &group.choices);
        let used = used.fold(0u128, |mask, choice| mask | choice.mask);
        let step = groups
            .iter()
            .flat_map(|group| &group.choices)
            .fold(0, |step, choice| common_divisor(step, choice.usable))
            .max(1);
        let bounds = &scene.bounds;
        let nothing = Rc::new(Purchase::nothing());
        let purchase = |(index, build): (usize, &Build)| {
            if used >> (index & 127) & 1 == 1 {
                rung.purchase(scene, index, build)
            } else {
                Rc::clone(&nothing)
            }
        };
        let builds = scene.builds.list.iter();
        let purchases: Vec<Rc<Purchase>> = builds.enumerate().map(purchase).collect();
        let short = |own: &Rc<Purchase>| own.most() < own.must as usize;
        if purchases.iter().any(short) {
            return None;
        }
        Some(Self {
            rung: Rc::clone(rung),
            groups,
            purchases,
            least: bounds.least.div_ceil(step) * step,
            most: if bounds.most == u64::MAX {
                u64::MAX
            } else {
                bounds.most / step * step
            },
        })
    }
}

fn choice(
    scene: &Scene<'_, '_>,
    level: Level,
    index: usize,
    column: &Column,
    copies: u32,
    lost: bool,
) -> Choice {
    let weights = &scene.weights;
    let kept = column.homes.iter();
    let kept = kept
        .filter(|runs| runs.serves(level.rate, level.supply))
        .count();
    // Where channels do not run at one rate, each may be faster than the slowest.
    let rate = if scene.is_levelled() {
        level.rate
    } else {
        at(&column.rates, level.supply).unwrap_or(0)
    };
    // A mirrored group reads like half of its channels; what is lost reads nothing.
    let copies_held = if scene.request.protection == Protection::Mirrored {
        2
    } else {
        1
    };
    let read = if lost { 0 } else { column.populated };
    let peak = i128::from(rate) * 8 * i128::from(read) / copies_held;
    let fixed = weights.of(Key::Power) * i128::from(column.power)
        + (weights.of(Key::Modules) + weights.of(Key::FreeSlots)) * i128::from(column.modules)
        - weights.of(Key::Usable) * i128::from(column.usable)
        - (weights.of(Key::Peak) + weights.of(Key::Uniform)) * peak
        - scene.moving() * kept as i128;
    let builds = column.builds.iter();
    Choice {
        column: index,
        fixed: fixed * i128::from(copies),
        builds: builds
            .map(|(build, count)| (*build, *count * copies as u16))
            .collect(),
        each: match scene.balance() {
            Some(Balance::Channels) => column.each(),
            _ => None,
        },
        mask: column.mask,
        usable: column.usable * u64::from(copies),
        modules: u32::from(column.modules) * copies,
        power: column.power * u64::from(copies),
        kept: kept as u32 * copies,
        filled: if column.modules > 0 { copies } else { 0 },
    }
}

fn common_divisor(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { common_divisor(b, a % b) }
}
