//! Among plans of equal score: the cheapest, then the one that moves or takes out fewest installed
//! modules.
//!
//! A search proves that no plan has a better score than those that it found, but of plans with one score
//! it keeps those that it met. Where the score is one sum, the cost may as well be one more key behind
//! it; and moves are decided last, with [`super::layers`]. Elsewhere, where a cheaper plan, or one with
//! fewer moves, may have the same score, a second search looks for it. It starts from what is known, so
//! that all that is worse is closed by its bound.

use super::super::request::InstalledPolicy;
use super::model::{Answer, Key, Limits, Preference, Status, Task};
use super::variant::{copy, demand_at_most};

/// The task that asks for what decides among equals as well.
pub fn decided<'a>(task: &Task<'a>) -> Task<'a> {
    let (tie_cost, tie_moved) = tells(task);
    Task {
        limits: Limits {
            tie_cost,
            tie_moved,
            ..task.limits
        },
        plans: task.plans,
        ..copy(task)
    }
}

/// The task with what the first search may decide as well.
pub fn along<'a>(task: &Task<'a>) -> Task<'a> {
    let mut own = Task {
        plans: task.plans,
        ..copy(task)
    };
    let (cost, moved) = tells(task);
    own.limits.tie_cost = cost && is_sum(task);
    own.limits.tie_moved = moved && own.limits.tie_cost == cost && task.plans == 1;
    own
}

fn is_sum(task: &Task<'_>) -> bool {
    task.plans == 1 && matches!(task.preference, Preference::Weighted(_))
}

/// A search that was cut while it only decided among equals has proved the score.
pub fn forgive(task: &Task<'_>, found: &mut Answer) {
    let best = found.plans.first();
    let score = best.and_then(|plan| task.preference.score(&plan.values).first().copied());
    if found.status == Status::BestFound && is_sum(task) && score.is_some() && score <= found.bound
    {
        found.status = Status::Proven;
        found.loose = true;
    }
}

/// The task of the second search; `None` if nothing is left to decide.
pub fn left<'a>(task: &Task<'a>, found: &Answer) -> Option<Task<'a>> {
    let best = found.plans.first()?.values;
    let (mut cost, mut moved) = tells(task);
    let along = along(task).limits;
    cost &= !along.tie_cost;
    moved &= !along.tie_moved;
    // With more plans than one, alternatives of every score are looked for.
    let better = cost && best.cost > 0 || moved && best.moved > 0;
    let several = task.plans > 1 && (cost || moved);
    if found.status != Status::Proven || !(better || several) {
        return None;
    }
    let mut own = decided(task);
    if let (Preference::Ordered(keys), 1) = (&task.preference, task.plans) {
        // What is not known counts as 0, and no limit holds for it.
        let limited = keys.iter().filter(|key| match key {
            Key::Power => false,
            key => key.sign() > 0 || best.of(**key) > 0,
        });
        for key in limited {
            demand_at_most(&mut own, *key, key.sign() as i64 * best.of(*key));
        }
    }
    Some(own)
}

/// Whether cost and moves may tell plans of one score apart.
fn tells(task: &Task<'_>) -> (bool, bool) {
    let ordered =
        |key: Key| matches!(&task.preference, Preference::Ordered(keys) if keys.contains(&key));
    let request = &task.request;
    let priced = task.for_sale.iter().any(|part| {
        let price = request.part(*part).and_then(|module| module.price);
        price.is_some_and(|price| price.minor > 0)
    });
    let may_move = matches!(
        request.installed_policy,
        InstalledPolicy::Keep | InstalledPolicy::MayRemove
    );
    let movable = may_move && request.staying().any(|(_, entry)| entry.slot.is_some());
    let cost = priced || movable && task.handling > 0;
    (cost && !ordered(Key::Cost), movable && !ordered(Key::Moved))
}
