//! A preference in two layers, where it asks last what moves.
//!
//! Installed modules tell channels apart only because moving them counts. As long as the leading keys
//! do not speak of that, they are decided first, on channels that are alike; what they come to then
//! stands as a limit while the whole order is searched. The optimum of an order has the optimum of
//! its leading keys, so that nothing is lost.
//!
//! Where money leads, few *families* come to the optimum: plans that hold the same number of modules of
//! each build. They are listed first, and only within each is it asked what stays where it is: how many
//! modules there are is settled then, and what is left are the ways to lay them out. An exchange of
//! columns changes no family, so that the list is complete although the search passes pairs over.

use super::columns::homes_matter;
use super::model::{Answer, Key, Plan, Preference, Status, Task};
use super::scene::Scene;
use super::search::{Meter, Pool};
use super::variant::{copy, demand_at_most};
use super::{Given, Known, answer, nothing, on_scene, run, search_for};

/// Decides a task, the leading keys first where that is enough.
pub fn decide(task: &Task<'_>, known: Option<&Plan>, meter: &mut Meter<'_>) -> Answer {
    let known = known.map_or(&[][..], std::slice::from_ref);
    let Some(leading) = Leading::of(task) else {
        return search_for(task, known, None, meter);
    };
    let (first, families) = leading.search(known, meter);
    let Some(best) = first
        .plans
        .first()
        .filter(|_| first.status == Status::Proven)
    else {
        return match first.status {
            Status::Infeasible => nothing(Status::Infeasible),
            _ if meter.stopped => first,
            _ => search_for(task, known, None, meter),
        };
    };
    let narrowed = leading.narrowed(task, best);
    let mut found = match families {
        Some(families) => families.decide(&narrowed, best, meter),
        None => search_for(&narrowed, std::slice::from_ref(best), None, meter),
    };
    // Only a limit of moves can leave the leading keys' optimum out of reach.
    if found.plans.is_empty() && !meter.stopped {
        return search_for(task, known, None, meter);
    }
    // Only what decides among equals is not known for certain.
    if leading.is_all && found.status == Status::BestFound {
        found.status = Status::Proven;
        found.loose = true;
    }
    found
}

/// The task of the leading keys.
struct Leading<'a> {
    task: Task<'a>,
    /// Whether nothing but ties is left after them.
    is_all: bool,
    /// Whether what they come to tells families apart.
    tells_families: bool,
}

impl<'a> Leading<'a> {
    /// `None` where the leading keys decide all or nothing, or more than one plan is wanted.
    fn of(task: &Task<'a>) -> Option<Self> {
        let homes = task
            .request
            .staying()
            .any(|(_, entry)| entry.slot.is_some());
        if task.plans > 1 || !homes || !homes_matter(task) {
            return None;
        }
        let counts_moves = |key: &Key| *key == Key::Moved || *key == Key::Cost && task.handling > 0;
        let mut own = copy(task);
        own.limits.moved_at_most = None;
        own.limits.tie_moved = false;
        match &task.preference {
            Preference::Ordered(keys) => {
                let mut order = keys.clone();
                order.extend(task.limits.tie_cost.then_some(Key::Cost));
                order.extend(task.limits.tie_moved.then_some(Key::Moved));
                let end = order.iter().position(counts_moves)?;
                let leading = order.get(..end).filter(|own| !own.is_empty())?;
                own.limits.tie_cost = false;
                own.preference = Preference::Ordered(leading.to_vec());
                Some(Self {
                    is_all: end >= keys.len(),
                    tells_families: leading.contains(&Key::Cost),
                    task: own,
                })
            }
            Preference::Weighted(list) => {
                let counted = list.iter().any(|(key, by)| *by > 0 && counts_moves(key));
                let tie = task.limits.tie_cost && task.handling > 0;
                (!counted && !tie && task.limits.tie_moved).then_some(Self {
                    is_all: true,
                    tells_families: task.limits.tie_cost || task.preference.weighs(Key::Cost),
                    task: own,
                })
            }
        }
    }

    /// The optimum of the leading keys, and every family that comes to it; `None` instead of these
    /// where they are many, or not known for certain.
    fn search(&self, known: &[Plan], meter: &mut Meter<'_>) -> (Answer, Option<Families>) {
        let mut pool = Pool::new(1);
        let given = Given {
            plans: known,
            only: None,
        };
        let found = on_scene(&self.task, None, meter, |scene, meter| {
            given.put(scene, &mut pool);
            let start = meter.steps;
            let first = run(scene, &mut pool, meter);
            let best = pool
                .last()
                .filter(|_| first.complete && self.tells_families);
            let best = best.filter(|_| !scene.weights.has_tail);
            let effort = LISTING.max(2 * (meter.steps - start));
            let families = best.and_then(|best| Families::list(scene, best, effort, meter));
            (first, families)
        });
        match found {
            Ok((first, families)) => (answer(pool, first), families),
            Err(known) => (answer(pool, known), None),
        }
    }

    /// The whole task, with what the leading keys come to as limits.
    fn narrowed(&self, task: &Task<'a>, best: &Plan) -> Task<'a> {
        let mut narrowed = copy(task);
        if let Preference::Ordered(keys) = &self.task.preference {
            for key in keys {
                let signed = key.sign() as i64 * best.values.of(*key);
                demand_at_most(&mut narrowed, *key, signed);
            }
        }
        narrowed
    }
}

/// Families of plans: how many modules of each build they hold.
struct Families {
    /// The build of each part.
    of_part: Vec<Option<u16>>,
    counts: Vec<Vec<u16>>,
}

/// The most families that are looked through one by one.
const MOST_FAMILIES: usize = 100;

/// The steps that are spent at least on listing families.
const LISTING: u64 = 20_000;

impl Families {
    /// All that come to the best sum of a scene; `None` if that takes more steps than told.
    fn list(scene: &Scene<'_, '_>, best: i128, steps: u64, meter: &mut Meter<'_>) -> Option<Self> {
        let mut pool = Pool::new(MOST_FAMILIES + 1);
        pool.collects = true;
        pool.cap = Some(best + 1);
        let most = meter.most;
        meter.most = most.min(meter.steps + steps);
        let known = run(scene, &mut pool, meter);
        meter.resume(most);
        let counts = pool.plans.into_iter().map(|(counts, _)| counts);
        let own = Self {
            of_part: scene.builds.of_part.clone(),
            counts: counts.collect(),
        };
        (known.complete && own.counts.len() <= MOST_FAMILIES).then_some(own)
    }

    /// The best plan of them, where one is known already.
    fn decide(&self, task: &Task<'_>, best: &Plan, meter: &mut Meter<'_>) -> Answer {
        let mut pool = Pool::new(1);
        let given = Given {
            plans: std::slice::from_ref(best),
            only: None,
        };
        let found = on_scene(task, None, meter, |scene, meter| {
            given.put(scene, &mut pool);
            // What counts last may tell builds apart that are one to the leading keys.
            if scene.builds.of_part != self.of_part {
                return run(scene, &mut pool, meter);
            }
            let mut all = Known {
                bound: None,
                complete: true,
                open: false,
            };
            for counts in &self.counts {
                scene.only = Some(counts.iter().map(|count| u32::from(*count)).collect());
                let own = run(scene, &mut pool, meter);
                all.complete &= own.complete;
                all.open |= own.open;
            }
            if !all.complete {
                // The leading keys are proven.
                all.bound = task.preference.score(&best.values).first().copied();
            }
            all
        });
        match found {
            Ok(known) | Err(known) => answer(pool, known),
        }
    }
}
