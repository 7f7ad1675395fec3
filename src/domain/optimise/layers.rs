//! An order of preference in two layers, where it asks last what moves.
//!
//! Installed modules tell channels apart only because moving them counts. As long as the leading keys
//! do not speak of that, they are decided first, on channels that are alike; what they come to then
//! stands as a limit while the whole order is searched. The optimum of an order has the optimum of
//! its leading keys, so that nothing is lost.

use super::columns::homes_matter;
use super::model::{Answer, Key, Plan, Preference, Status, Task};
use super::search::Meter;
use super::variant::{copy, demand_at_most, preferring};

/// What the leading keys came to.
pub enum First<'a> {
    /// They don't stand apart.
    None,
    /// The task with them as limits, and a plan that keeps within these.
    Narrowed(Box<Task<'a>>, Box<Plan>),
    /// No plan exists.
    Infeasible,
    /// The search was cut; a plan may have been found, and a bound of the first score.
    Cut(Box<Answer>),
}

/// Decides the leading keys.
pub fn first<'a>(
    task: &Task<'a>,
    meter: &mut Meter<'_>,
    search: impl FnOnce(&Task<'a>, &mut Meter<'_>) -> Answer,
) -> First<'a> {
    let Some(keys) = leading(task) else {
        return First::None;
    };
    let mut bare = preferring(task, keys);
    bare.limits.moved_at_most = None;
    let answer = search(&bare, meter);
    match (answer.status, answer.plans.first()) {
        (Status::Infeasible, _) => First::Infeasible,
        (Status::Proven, Some(plan)) => {
            let mut narrowed = copy(task);
            for key in keys {
                let signed = key.sign() as i64 * plan.values.of(*key);
                demand_at_most(&mut narrowed, *key, signed);
            }
            First::Narrowed(Box::new(narrowed), Box::new(plan.clone()))
        }
        _ if meter.stopped => First::Cut(Box::new(answer)),
        _ => First::None,
    }
}

/// The keys that stand before the first one that moves count for; `None` where they decide all or
/// nothing, or more than one plan is wanted.
fn leading<'k>(task: &'k Task<'_>) -> Option<&'k [Key]> {
    let Preference::Ordered(keys) = &task.preference else {
        return None;
    };
    let homes = task
        .request
        .staying()
        .any(|(_, entry)| entry.slot.is_some());
    if task.plans > 1 || !homes || !homes_matter(task) {
        return None;
    }
    let counts_moves = |key: &Key| *key == Key::Moved || *key == Key::Cost && task.handling > 0;
    let end = keys.iter().position(counts_moves).unwrap_or(keys.len());
    keys.get(..end)
        .filter(|own| !own.is_empty() && own.len() < keys.len())
}
