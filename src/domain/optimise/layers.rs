//! Two layers where it counts what moves.
//!
//! Installed modules tell channels apart only because moving them counts. Of the modules of a build no more
//! stay in their slots than were installed, and no more than there are on the board. With that for an
//! estimate the channels are alike: the best plan by the estimate is found first, and no plan is better than
//! the estimate says. Mostly that plan moves no more than estimated, and is the answer.
//!
//! Else the *families* that come to the best estimate are listed: plans that hold the same number of modules
//! of each build. Within each, how many modules there are is settled, and what is left are the ways to lay
//! them out on channels that are no longer alike. An exchange of columns changes no family, so that the list
//! is complete although the search passes pairs over. Only where none of them comes to the estimate all
//! plans are searched.

use super::super::request::InstalledPolicy;
use super::columns::counts_moves;
use super::model::{Answer, Key, Plan, Status, Task};
use super::scene::Scene;
use super::search::{Meter, Pool};
use super::variant::copy;
use super::{Given, answer, nothing, on_scene, run, search_for};

/// Decides a task, by an estimate of the moves first where they count.
pub fn decide(task: &Task<'_>, known: Option<&Plan>, meter: &mut Meter<'_>) -> Answer {
    let known = known.map_or(&[][..], std::slice::from_ref);
    let Some(at_best) = at_best(task) else {
        return search_for(task, known, None, meter);
    };
    match estimate(&at_best, known, meter) {
        Estimate::Answer(answer) => answer,
        Estimate::Unsure => search_for(task, known, None, meter),
        Estimate::Below(below) => below.decide(task, meter),
    }
}

/// The task with moves at best; `None` where that is no other task, or more than one plan is wanted.
fn at_best<'a>(task: &Task<'a>) -> Option<Task<'a>> {
    let mut staying = task.request.staying();
    let may_move = matches!(
        task.request.installed_policy,
        InstalledPolicy::Keep | InstalledPolicy::MayRemove
    );
    let counts = counts_moves(task) && staying.any(|(_, entry)| entry.slot.is_some());
    let mut own = copy(task);
    own.limits.moves_at_best = true;
    (task.plans == 1 && may_move && counts).then_some(own)
}

/// What the search with moves at best came to.
enum Estimate {
    /// The answer: a plan that is as good as estimated, none at all, or what was found in time.
    Answer(Answer),
    /// The best plan by the estimate moves more than estimated.
    Below(Below),
    /// Nothing is known for certain.
    Unsure,
}

/// What is known where the best plan by the estimate moves more than estimated.
struct Below {
    /// That plan, if it keeps within the limits.
    plan: Option<Plan>,
    /// The first score that no plan is below.
    floor: i128,
    /// The families that come to the estimate; `None` where they are many.
    families: Option<Families>,
}

fn estimate(at_best: &Task<'_>, known: &[Plan], meter: &mut Meter<'_>) -> Estimate {
    let mut pool = Pool::new(1);
    let given = Given {
        plans: known,
        only: None,
    };
    let found = on_scene(at_best, None, meter, |scene, meter| {
        given.put(scene, &mut pool);
        let start = meter.steps;
        let known = run(scene, &mut pool, meter);
        let effort = LISTING.max(2 * (meter.steps - start));
        let best = pool.plans.pop().map(|(counts, judged)| {
            let estimate = judged.sum;
            let plan = scene.judge(judged.plan);
            (estimate, counts, plan)
        });
        let best = best.filter(|_| known.complete || meter.stopped);
        let Some((estimate, counts, judged)) = best else {
            return match known.complete && known.open || !known.complete && !meter.stopped {
                true => Estimate::Unsure,
                false => Estimate::Answer(answer(Pool::new(1), known)),
            };
        };
        let keeps = scene.keeps_limits(&judged.plan);
        let is_reached = keeps && judged.sum == estimate && !scene.weights.has_tail;
        if is_reached || !known.complete {
            let mut own = Pool::new(1);
            own.plans.extend(keeps.then_some((counts, judged)));
            return Estimate::Answer(answer(own, known));
        }
        Estimate::Below(Below {
            plan: keeps.then_some(judged.plan),
            floor: scene.weights.first_of(&at_best.preference, estimate),
            families: Families::list(scene, estimate, effort, meter),
        })
    });
    match found {
        Ok(estimate) => estimate,
        Err(known) => Estimate::Answer(answer(pool, known)),
    }
}

impl Below {
    fn decide(self, task: &Task<'_>, meter: &mut Meter<'_>) -> Answer {
        let mut plans: Vec<Plan> = self.plan.into_iter().collect();
        let is_proven =
            !plans.is_empty() && task.handling == 0 && !task.preference.weighs(Key::Moved);
        if let Some(families) = &self.families
            && let Some((plan, is_best)) = families.best(task, &plans, meter)
        {
            let bound = task.preference.score(&plan.values).first().copied();
            plans = vec![plan];
            if is_best {
                return Answer {
                    bound,
                    plans,
                    ..nothing(Status::Proven)
                };
            }
        }
        let mut found = search_for(task, &plans, None, meter);
        if found.status == Status::BestFound {
            found.bound = found.bound.max(Some(self.floor));
            // Moves only decide among plans of one score, which the estimate gives.
            if is_proven {
                found.status = Status::Proven;
                found.loose = true;
            }
        }
        found
    }
}

/// Families of plans: how many modules of each build they hold.
struct Families {
    /// The build of each part.
    of_part: Vec<Option<u16>>,
    counts: Vec<Vec<u16>>,
    /// What they come to by the estimate.
    estimate: i128,
}

/// The most families that are looked through one by one.
const MOST_FAMILIES: usize = 100;

/// The steps that are spent at least on listing families.
const LISTING: u64 = 20_000;

impl Families {
    /// All that come to the best sum of a scene; `None` where that takes more steps than told, or where
    /// money does not tell them apart, so that there are many.
    fn list(scene: &Scene<'_, '_>, best: i128, steps: u64, meter: &mut Meter<'_>) -> Option<Self> {
        if scene.weights.has_tail || scene.weights.of(Key::Cost) == 0 {
            return None;
        }
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
            estimate: best,
        };
        (known.complete && own.counts.len() <= MOST_FAMILIES).then_some(own)
    }

    /// The best plan of them and of those that are known, and whether it comes to the estimate.
    fn best(&self, task: &Task<'_>, known: &[Plan], meter: &mut Meter<'_>) -> Option<(Plan, bool)> {
        let mut pool = Pool::new(1);
        let given = Given {
            plans: known,
            only: None,
        };
        let looked = on_scene(task, None, meter, |scene, meter| {
            given.put(scene, &mut pool);
            for counts in &self.counts {
                let is_reached = pool.last().is_some_and(|sum| sum <= self.estimate);
                // What is estimated may tell fewer builds apart.
                if is_reached || scene.builds.of_part != self.of_part {
                    break;
                }
                scene.only = Some(counts.iter().map(|count| u32::from(*count)).collect());
                run(scene, &mut pool, meter);
            }
        });
        looked.ok()?;
        let (_, best) = pool.plans.pop()?;
        let is_best = best.sum <= self.estimate;
        Some((best.plan, is_best))
    }
}
