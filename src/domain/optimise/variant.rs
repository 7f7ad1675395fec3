//! A task with something changed: what fronts and conflicts are asked of the search with.

use super::super::board::Board;
use super::super::request::Wish;
use super::super::units::{Currency, MegabytesPerSecond, Mib, Milliwatts, Money, Mts};
use super::build::currency;
use super::model::{Key, Preference, Task};

/// More than any plan costs: a budget that only names the currency.
pub const ENDLESS: i64 = 1 << 60;

/// More than any plan draws: a limit of power that only asks for power to be known.
pub const ENDLESS_POWER: u64 = 1 << 60;

/// The same task, to be changed.
pub fn copy<'a>(task: &Task<'a>) -> Task<'a> {
    Task {
        board: task.board,
        request: task.request.clone(),
        for_sale: task.for_sale.clone(),
        handling: task.handling,
        limits: task.limits,
        preference: task.preference.clone(),
        plans: 1,
        ignored: task.ignored,
        steps: task.steps,
        stop: task.stop,
    }
}

/// The same task on another board.
pub fn on<'b>(task: &Task<'b>, board: &'b Board) -> Task<'b> {
    Task {
        board,
        ..copy(task)
    }
}

/// The same task with one order of preference.
pub fn preferring<'a>(task: &Task<'a>, keys: &[Key]) -> Task<'a> {
    Task {
        preference: Preference::Ordered(keys.to_vec()),
        ..copy(task)
    }
}

/// A wish that must be met.
pub const fn must<T>(value: T) -> Option<Wish<T>> {
    Some(Wish { value, must: true })
}

/// Sets the budget, in the currency of the task. Where nothing is for sale only handling is paid, and
/// any currency does: `XXX` is the code for none (ISO 4217).
pub fn set_budget(task: &mut Task<'_>, minor: i64) {
    if let Some(currency) = currency(task).or_else(|| Currency::new("XXX")) {
        task.request.wishes.budget = must(Money { minor, currency });
    }
}

/// Demands that a key's signed value (smaller is better) is at most so much. What the task demands
/// already stays demanded. False if no plan can be so.
pub fn demand_at_most(task: &mut Task<'_>, key: Key, signed: i64) -> bool {
    let least = signed.saturating_neg();
    let wishes = &mut task.request.wishes;
    match key {
        Key::Cost => {
            let known = wishes.budget.map_or(i64::MAX, |wish| wish.value.minor);
            set_budget(task, known.min(signed));
            signed >= 0
        }
        Key::Power => {
            let Ok(most) = u64::try_from(signed) else {
                return false;
            };
            let known = wishes.power_at_most.map_or(u64::MAX, |wish| wish.value.0);
            wishes.power_at_most = must(Milliwatts(known.min(most)));
            true
        }
        Key::Usable => {
            let known = wishes.capacity_at_least.map_or(0, |wish| wish.value.0);
            wishes.capacity_at_least = must(Mib(known.max(unsigned(least))));
            true
        }
        Key::Rate => {
            let known = wishes.rate_at_least.map_or(0, |wish| wish.value.0);
            let least = u32::try_from(unsigned(least)).unwrap_or(u32::MAX);
            wishes.rate_at_least = must(Mts(known.max(least)));
            true
        }
        Key::Peak => {
            raise(&mut task.limits.peak_at_least, least);
            true
        }
        Key::Uniform => {
            raise(&mut task.limits.uniform_at_least, least);
            true
        }
        Key::Moved => {
            let Ok(most) = u32::try_from(signed) else {
                return false;
            };
            let known = task.limits.moved_at_most.unwrap_or(u32::MAX);
            task.limits.moved_at_most = Some(known.min(most));
            true
        }
        // No wish or limit speaks of these.
        Key::Modules | Key::FreeSlots | Key::Parts => true,
    }
}

fn raise(limit: &mut Option<MegabytesPerSecond>, least: i64) {
    let known = limit.map_or(0, |bandwidth| bandwidth.0);
    *limit = Some(MegabytesPerSecond(known.max(unsigned(least))));
}

fn unsigned(value: i64) -> u64 {
    u64::try_from(value).unwrap_or(0)
}
