//! Which subproblem comes next: the one with the lowest bound, until none is below the best plans.
//!
//! A level is first bounded as a whole. Only when its turn comes is it split into the sets of builds
//! that the mixing rules let on one board; only when the turn of such a set comes is it priced; and it
//! is searched in widening rounds, each of which proves a better bound.

use super::columns::Load;
use super::exchange::Exchange;
use super::job::{Job, Rung};
use super::leaf::Level;
use super::price::{Prices, quick_bound};
use super::scene::{SCALE, Scene};
use super::search::{End, Meter, Pool, Walk};
use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::rc::Rc;

/// What is left to do, by its bound; of equal ones the earlier.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Turn {
    bound: i128,
    number: usize,
}

/// A subproblem in the making.
enum Stage {
    /// A level with all builds.
    Level(Rc<Rung>),
    /// A level with some builds, and what all units must hold.
    Set(Rc<Rung>, u128, Option<Load>),
    /// Priced.
    Job(Box<Ready>),
}

/// A priced subproblem.
struct Ready {
    job: Job,
    prices: Prices,
    /// How far above its bound the next round looks.
    width: i128,
    /// Whether pairs may be passed over.
    may_exchange: bool,
    /// Whether the linear relaxation was asked.
    priced: bool,
    /// Whether no round was made yet.
    fresh: bool,
}

/// All subproblems.
pub struct Queue<'q, 's, 'a> {
    scene: &'q Scene<'s, 'a>,
    heap: BinaryHeap<Reverse<Turn>>,
    stages: Vec<Option<Stage>>,
    /// Sets of builds that go together.
    palettes: Vec<u128>,
}

/// Steps of the first look for any plan.
const DIVE: u64 = 3_000;

/// Steps of a round before pairs are looked for.
const SHORT: u64 = 2_000;

impl<'q, 's, 'a> Queue<'q, 's, 'a> {
    /// All levels.
    pub fn new(scene: &'q Scene<'s, 'a>, levels: Vec<Level>) -> Self {
        let mut queue = Self {
            scene,
            heap: BinaryHeap::new(),
            stages: Vec::new(),
            palettes: palettes(scene),
        };
        for level in levels {
            if let Some(rung) = Rung::new(scene, level)
                && let Some(bound) = quick_bound(scene, &rung, u128::MAX, None)
            {
                queue.push(bound, Stage::Level(Rc::new(rung)));
            }
        }
        queue
    }

    fn push(&mut self, bound: i128, stage: Stage) {
        let number = self.stages.len();
        self.stages.push(Some(stage));
        self.heap.push(Reverse(Turn { bound, number }));
    }

    /// Works until everything is decided or the meter says stop. What is left is bounded by what is
    /// returned.
    pub fn run(&mut self, pool: &mut Pool, meter: &mut Meter<'_>) -> Option<i128> {
        while let Some(Reverse(turn)) = self.heap.pop() {
            if is_beyond(self.scene, pool, turn.bound) {
                meter.counts.closed_by_bound += 1 + self.heap.len() as u64;
                return None;
            }
            if !meter.spend() {
                return Some(turn.bound);
            }
            match self.stages.get_mut(turn.number).and_then(Option::take) {
                Some(Stage::Level(rung)) => {
                    self.expand(&rung, turn.bound, pool, meter);
                    if meter.stopped {
                        return Some(turn.bound);
                    }
                }
                Some(Stage::Set(rung, mask, shape)) => {
                    meter.counts.jobs += 1;
                    self.price(&rung, mask, shape.as_ref(), turn.bound);
                }
                Some(Stage::Job(ready)) => {
                    let bound = self.search(*ready, turn.bound, pool, meter);
                    if meter.stopped {
                        return Some(bound);
                    }
                }
                None => {}
            }
        }
        None
    }

    /// Splits a level into sets of builds.
    fn expand(&mut self, rung: &Rc<Rung>, whole: i128, pool: &Pool, meter: &mut Meter<'_>) {
        for mask in self.sets(rung) {
            if !meter.spend() {
                return;
            }
            let shapes = rung.shapes(self.scene, mask);
            let shapes: Vec<Option<Load>> = if shapes.is_empty() {
                vec![None]
            } else {
                shapes.into_iter().map(Some).collect()
            };
            for shape in shapes {
                if !meter.spend() {
                    return;
                }
                // With all builds the bound is that of the level.
                let all = shape.is_none() && rung.offered() & !mask == 0;
                let bound = match all {
                    true => Some(whole),
                    false => quick_bound(self.scene, rung, mask, shape.as_ref()),
                };
                if let Some(bound) = bound.filter(|bound| !is_beyond(self.scene, pool, *bound)) {
                    self.push(bound, Stage::Set(Rc::clone(rung), mask, shape));
                }
            }
        }
    }

    /// The largest sets of builds of a level that the mixing rules let on one board.
    fn sets(&self, rung: &Rung) -> Vec<u128> {
        let builds = &self.scene.builds.list;
        // Masks tell 128 builds apart; of more, all are one set.
        if builds.len() > 128 {
            return vec![u128::MAX];
        }
        let mut sets: Vec<u128> = Vec::new();
        for palette in &self.palettes {
            let had: Vec<usize> = (0..builds.len().min(128))
                .filter(|build| palette >> build & 1 == 1 && rung.offers(*build))
                .filter(|build| self.scene.may_have(*build))
                .collect();
            let all = had.iter().fold(0u128, |mask, build| mask | 1 << build);
            if rung.needed & !all != 0 {
                continue;
            }
            let most = self.scene.bounds.builds as usize;
            let chosen = subsets(self.scene, &had, most);
            sets.extend(chosen.into_iter().filter(|set| rung.needed & !set == 0));
        }
        sets.sort_unstable();
        sets.dedup();
        sets
    }

    fn price(&mut self, rung: &Rc<Rung>, mask: u128, shape: Option<&Load>, floor: i128) {
        let Some(job) = Job::new(self.scene, rung, mask, shape) else {
            return;
        };
        let prices = Prices::first(self.scene, &job);
        let width = first_width(rung);
        let bound = prices.bound.max(floor);
        let ready = Ready {
            job,
            prices,
            width,
            may_exchange: !self.scene.place_matters(),
            priced: false,
            fresh: true,
        };
        self.push(bound, Stage::Job(Box::new(ready)));
    }

    /// A round of the search; what is left of it goes back into the queue.
    fn search(
        &mut self,
        mut ready: Ready,
        bound: i128,
        pool: &mut Pool,
        meter: &mut Meter<'_>,
    ) -> i128 {
        let scene = self.scene;
        // The first round is a short one: most subproblems need no better prices.
        if !ready.priced {
            let (end, _) =
                Walk::new(scene, &ready.job, &ready.prices, pool, meter, None, None).run(200);
            if end == End::Exhausted {
                return i128::MAX;
            }
            if meter.stopped {
                return bound;
            }
            match Prices::best(scene, &ready.job) {
                None => return i128::MAX,
                Some(best) if best.bound > ready.prices.bound => ready.prices = best,
                Some(_) => {}
            }
            ready.priced = true;
            if pool.last().is_none() && !ready.prices.hint.is_empty() {
                Walk::new(scene, &ready.job, &ready.prices, pool, meter, None, None).dive(DIVE);
            }
            let bound = bound.max(ready.prices.bound);
            if !is_beyond(scene, pool, bound) {
                self.push(bound, Stage::Job(Box::new(ready)));
            }
            return bound;
        }
        let widest = ready.width > 1 << 110;
        // With a plan known, a part of what it leaves open is a good first look.
        if let (Some(ceiling), true) = (pool.ceiling(), ready.fresh) {
            ready.width = ready.width.max((ceiling - bound) >> 6);
        }
        ready.fresh = false;
        let limit = (!widest).then(|| bound + ready.width);
        let (mut end, mut beyond) =
            Walk::new(scene, &ready.job, &ready.prices, pool, meter, limit, None).run(SHORT);
        if end == End::Long && !meter.stopped && ready.may_exchange {
            let ceiling = [limit, pool.ceiling()].into_iter().flatten().min();
            let wanted = |group: usize, index: usize| {
                let cost = ready
                    .prices
                    .reduced
                    .get(group)
                    .and_then(|list| list.get(index));
                cost.is_some_and(|cost| {
                    ceiling.is_none_or(|most| ready.prices.bound + cost <= most)
                })
            };
            let exchange = Exchange::of(scene, &ready.job, &wanted);
            (end, beyond) = Walk::new(
                scene,
                &ready.job,
                &ready.prices,
                pool,
                meter,
                limit,
                Some(&exchange),
            )
            .run(u64::MAX);
        }
        if matches!(end, End::Long | End::Refused) && !meter.stopped {
            ready.may_exchange = false;
            (end, beyond) =
                Walk::new(scene, &ready.job, &ready.prices, pool, meter, limit, None).run(u64::MAX);
        }
        if end != End::Exhausted || meter.stopped {
            return bound;
        }
        // Nothing is left between the limit and the least that it kept out.
        let bound = limit.map_or(i128::MAX, |limit| beyond.max(limit));
        if bound < i128::MAX && !is_beyond(scene, pool, bound) {
            ready.width = ready.width.saturating_mul(4);
            self.push(bound, Stage::Job(Box::new(ready)));
        }
        bound
    }
}

/// How far above its bound a subproblem is first searched: a part of what one module costs, since
/// whole modules are what keeps plans above the bound.
fn first_width(rung: &Rung) -> i128 {
    let prices = rung.cheapest.iter().flatten();
    let module = prices.copied().filter(|price| *price > 0).min();
    module.map_or(SCALE, |price| (price / 8).max(SCALE))
}

/// Whether a bound is beyond what is wanted.
fn is_beyond(scene: &Scene<'_, '_>, pool: &Pool, bound: i128) -> bool {
    match pool.ceiling() {
        Some(ceiling) if scene.weights.has_tail => bound > ceiling,
        Some(ceiling) => bound >= ceiling,
        None => false,
    }
}

/// The largest sets of builds that all go together.
fn palettes(scene: &Scene<'_, '_>) -> Vec<u128> {
    let count = scene.builds.list.len().min(128);
    let all = if count == 128 {
        u128::MAX
    } else {
        (1 << count) - 1
    };
    let mut found = Vec::new();
    cliques(scene.friends, 0, all, 0, &mut found);
    if found.is_empty() { vec![all] } else { found }
}

/// Every set that can't be made larger: `chosen` with some of `left`, none of `passed` fits to it.
fn cliques(friends: &[u128], chosen: u128, left: u128, passed: u128, found: &mut Vec<u128>) {
    if left == 0 {
        if passed == 0 {
            found.push(chosen);
        }
        return;
    }
    let of = |build: u32| {
        let mask = friends.get(build as usize).copied().unwrap_or(u128::MAX);
        mask & !(1u128 << build)
    };
    // Builds that go together with the pivot need no turn of their own.
    let pivot = (left | passed).trailing_zeros();
    let (mut left, mut passed) = (left, passed);
    let mut turns = left & !of(pivot);
    while turns != 0 {
        let build = turns.trailing_zeros();
        let bit = 1u128 << build;
        turns &= !bit;
        cliques(
            friends,
            chosen | bit,
            left & of(build),
            passed & of(build),
            found,
        );
        left &= !bit;
        passed |= bit;
    }
}

/// More sets than this are not looked at one by one: then all builds are one set, and the search keeps
/// to the limits by itself.
const MOST_SETS: u64 = 4_000;

/// How many ways there are to choose so many of a number; capped.
fn ways(of: usize, count: usize) -> u64 {
    let mut ways = 1u64;
    for taken in 0..count as u64 {
        ways = ways.saturating_mul(of as u64 - taken) / (taken + 1);
        if ways > MOST_SETS {
            return ways;
        }
    }
    ways
}

/// The largest subsets with at most so many capacities and builds.
fn subsets(scene: &Scene<'_, '_>, had: &[usize], most: usize) -> Vec<u128> {
    let capacity = |build: &usize| {
        let build = scene.builds.list.get(*build);
        build.map_or(0, |build| build.capacity)
    };
    let mut sizes: Vec<u64> = had.iter().map(capacity).collect();
    sizes.sort_unstable();
    sizes.dedup();
    let mask = |list: &[usize]| {
        list.iter()
            .fold(0u128, |mask, build| mask | 1 << (build & 127))
    };
    let few = |most: &usize| *most < sizes.len() && ways(sizes.len(), *most) <= MOST_SETS;
    let by_capacity: Vec<Vec<usize>> = match scene.capacities.filter(few) {
        None => vec![had.to_vec()],
        Some(count) => choose(&sizes, count)
            .into_iter()
            .map(|own| {
                had.iter()
                    .copied()
                    .filter(|build| own.contains(&capacity(build)))
                    .collect()
            })
            .collect(),
    };
    // The limit counts makes, and takes all builds of one.
    let make = |build: usize| scene.builds.makes.get(build).copied();
    let makes_of = |list: &[usize]| {
        let mut makes: Vec<Option<u16>> = list.iter().map(|build| make(*build)).collect();
        makes.sort_unstable();
        makes.dedup();
        makes
    };
    let sets = by_capacity.iter().map(|list| {
        let makes = makes_of(list).len();
        ways(makes, most.min(makes))
    });
    let one_by_one = sets.fold(0u64, u64::saturating_add) <= MOST_SETS;
    by_capacity
        .iter()
        .flat_map(|list| {
            let makes = makes_of(list);
            if makes.len() <= most || !one_by_one {
                return vec![mask(list)];
            }
            let of = |own: &Vec<Option<u16>>| {
                let taken = list.iter().filter(|build| own.contains(&make(**build)));
                mask(&taken.copied().collect::<Vec<_>>())
            };
            choose(&makes, most).iter().map(of).collect()
        })
        .collect()
}

/// Every way to choose so many of a list.
fn choose<T: Copy>(list: &[T], count: usize) -> Vec<Vec<T>> {
    if count == 0 {
        return vec![Vec::new()];
    }
    let mut all = Vec::new();
    for (at, first) in list.iter().enumerate() {
        for mut rest in choose(list.get(at + 1..).unwrap_or(&[]), count - 1) {
            rest.insert(0, *first);
            all.push(rest);
        }
    }
    all
}
