//! Two layers where it counts what moves.
//!
//! Installed modules tell channels apart only because moving them counts. Of the modules of a build no more
//! stay in their slots than were installed, and no more than there are on the board. With that for an
//! estimate the channels are alike: the best plan by the estimate is found first, and no plan is better than
//! the estimate says. Mostly that plan moves no more than estimated, and is the answer.
//!
//! Else the *families* whose estimate is below the best plan known are listed: plans that hold the same
//! number of modules of each build. Within each, how many modules there are is settled, and what is left are
//! the ways to lay them out on channels that are no longer alike. An exchange of columns changes no family,
//! so that the list is complete although the search passes pairs over. Only where there are too many of them
//! all plans are searched.

use super::super::request::InstalledPolicy;
use super::columns::counts_moves;
use super::model::{Answer, Key, Plan, Status, Task};
use super::scene::Scene;
use super::search::{Meter, Pool};
use super::variant::copy;
use super::{Known, answer, on_scene, run, search_for, start_from};

/// Decides a task, by an estimate of the moves first where they count.
pub fn decide(task: &Task<'_>, known: Option<&Plan>, meter: &mut Meter<'_>) -> Answer {
    let known = known.map_or(&[][..], std::slice::from_ref);
    let by_estimate = at_best(task).map(|at_best| by_estimate(task, &at_best, known, meter));
    match by_estimate {
        Some(Some(answer)) => answer,
        Some(None) | None => search_for(task, known, None, meter),
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

/// Decides by an estimate; `None` where that told nothing for certain.
fn by_estimate(
    task: &Task<'_>,
    at_best: &Task<'_>,
    known: &[Plan],
    meter: &mut Meter<'_>,
) -> Option<Answer> {
    let mut pool = Pool::new(1);
    let found = on_scene(at_best, None, meter, |scene, meter| {
        start_from(known, scene, &mut pool);
        let known = run(scene, &mut pool, meter);
        if !known.complete && !meter.stopped {
            return None;
        }
        let Some((counts, best)) = pool.plans.pop() else {
            // What is open is not known to stand in the way.
            let is_known = !known.complete || !known.open;
            return is_known.then(|| answer(Pool::new(1), known));
        };
        let estimate = best.sum;
        let best = scene.judge(best.plan);
        let keeps = scene.keeps_limits(&best.plan);
        let is_reached = keeps && best.sum == estimate && !scene.weights.has_tail;
        let mut own = Pool::new(1);
        own.plans.extend(keeps.then_some((counts, best)));
        Some(if is_reached || !known.complete {
            answer(own, known)
        } else {
            let plans: Vec<Plan> = own.plans.into_iter().map(|(_, known)| known.plan).collect();
            laid_out(task, scene, estimate, &plans, meter)
        })
    });
    found.unwrap_or_else(|known| Some(answer(pool, known)))
}

/// Decides where the best plan by the estimate moves more than estimated.
fn laid_out(
    task: &Task<'_>,
    at_best: &Scene<'_, '_>,
    estimate: i128,
    known: &[Plan],
    meter: &mut Meter<'_>,
) -> Answer {
    let mut pool = Pool::new(1);
    let found = on_scene(task, None, meter, |scene, meter| {
        start_from(known, scene, &mut pool);
        // What is estimated may tell fewer builds apart. Where money does not tell families apart, there
        // are many.
        let lists = scene.builds.of_part == at_best.builds.of_part
            && !scene.weights.has_tail
            && scene.weights.of(Key::Cost) > 0;
        let none = Known {
            bound: None,
            complete: true,
            open: false,
        };
        let mut most = Some(estimate + 1);
        while let Some(below) = most.take().filter(|_| lists) {
            let Some(families) = families(at_best, below, meter) else {
                break;
            };
            let mut sure = true;
            for counts in families {
                if meter.stopped {
                    break;
                }
                scene.only = Some(counts.into_iter().map(u32::from).collect());
                sure &= run(scene, &mut pool, meter).complete;
            }
            scene.only = None;
            match pool.last() {
                _ if meter.stopped || !sure => break,
                // Every family below it was looked at.
                Some(sum) if sum <= below => return none,
                sum => most = sum,
            }
        }
        run(scene, &mut pool, meter)
    });
    let mut found = match found {
        Ok(known) | Err(known) => answer(pool, known),
    };
    if found.status == Status::BestFound {
        let floor = at_best.weights.first_of(&task.preference, estimate);
        found.bound = found.bound.max(Some(floor));
        // Where moves only decide among plans of one score, the estimate gives the score.
        if !known.is_empty() && task.handling == 0 && !task.preference.weighs(Key::Moved) {
            found.status = Status::Proven;
            found.loose = true;
        }
    }
    found
}

/// The most families that are looked through one by one.
const MOST_FAMILIES: usize = 100;

/// The steps that are spent at least on listing families.
const LISTING: u64 = 20_000;

/// The families that may come to less than told: how many modules of each build they hold. `None` where
/// there are too many, or listing them takes much longer than all that was done before.
fn families(scene: &Scene<'_, '_>, below: i128, meter: &mut Meter<'_>) -> Option<Vec<Vec<u16>>> {
    let mut pool = Pool::new(MOST_FAMILIES + 1);
    pool.collects = true;
    pool.cap = Some(below);
    let most = meter.most;
    meter.most = most.min(meter.steps + LISTING.max(4 * meter.steps));
    let known = run(scene, &mut pool, meter);
    meter.resume(most);
    let counts: Vec<Vec<u16>> = pool.plans.into_iter().map(|(counts, _)| counts).collect();
    (known.complete && counts.len() <= MOST_FAMILIES).then_some(counts)
}
