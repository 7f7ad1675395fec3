//! Processor models that give the same answer to a request, though their limits differ: none of the
//! limits that differ comes near what the request holds.

use super::super::board::policy::Scope;
use super::super::board::{Board, Limit};
use super::super::finding::{Severity, Verdict};
use super::super::request::{Request, SocketState, VoltagePolicy};
use super::super::timing::{faster, rating_on};
use super::super::units::{Mib, Mts};
use super::Answer;

/// Whether two models (by index) surely give the same answer, the name of the model aside.
pub fn same_for(board: &Board, request: &Request, one: usize, other: usize) -> bool {
    let (Some(one), Some(other)) = (board.processors.get(one), board.processors.get(other)) else {
        return false;
    };
    // Beside a model that is told it matters which this is; and what would be faster than a wished
    // rate is measured by the processor's ceiling.
    let told = |state: &SocketState| matches!(state, SocketState::Fitted(Some(_)));
    if request.sockets.iter().flatten().any(told) || request.wishes.rate_at_least.is_some() {
        return false;
    }
    one.channels == other.channels
        && (one.rate == other.rate || {
            let fastest = fastest(board, request);
            is_above(one.rate, fastest) && is_above(other.rate, fastest)
        })
        && (one.capacity == other.capacity || {
            let all = capacity(request);
            holds(one.capacity, all) && holds(other.capacity, all)
        })
}

/// The ceiling of a model's rate, to begin with the fastest.
pub fn ceiling(board: &Board, model: usize) -> Option<Mts> {
    match board.processors.get(model)?.rate {
        Limit::Is(rate) => Some(rate),
        Limit::None => Some(Mts(u32::MAX)),
        Limit::Unknown => None,
    }
}

/// Whether the placement that was found with one model is surely the best with another as well.
///
/// Rates are searched from fast to slow. If one model's placement runs below that model's ceiling, or
/// the other's ceiling is no higher, then whatever would run faster with the other model would have
/// been found with the first; and at the rate that was found both allow the same on each channel.
/// That holds where the whole board runs at one rate (elsewhere only if no module is faster than either
/// ceiling), at the fastest voltage, and where no rule blocks that looks at ceilings. A lower ceiling
/// than the rate changes nothing either, as long as it lets in no more candidates
/// ([`super::Placed::steady_above`]): it slows them all alike, so all comparisons come out the same.
pub fn places_alike(
    board: &Board,
    request: &Request,
    one: usize,
    found: &Answer,
    other: usize,
) -> bool {
    let (Some(first), Some(second)) = (board.processors.get(one), board.processors.get(other))
    else {
        return false;
    };
    let (Some(most), Some(own), Some(rate)) = (
        ceiling(board, one),
        ceiling(board, other),
        found.outcome.rate,
    ) else {
        return false;
    };
    let told = |state: &SocketState| matches!(state, SocketState::Fitted(Some(_)));
    let all = capacity(request);
    let placed = !found.given
        && !found.cut
        && found.proven_best == Some(true)
        && found.left_over.is_empty()
        && found.removed == request.removed
        && found.verdict <= Verdict::FitsWithWarnings;
    let steady = own < rate && found.steady_above.is_some_and(|floor| floor < own);
    placed
        && (rate <= own || steady)
        && (rate < most || own <= most)
        && first.channels == second.channels
        && (first.capacity == second.capacity
            || holds(first.capacity, all) && holds(second.capacity, all))
        && (steady
            || board.levelling == Scope::Board
            || fastest(board, request).is_some_and(|fastest| fastest <= most.min(own)))
        && (request.voltage_policy == VoltagePolicy::Fastest || board.supply.len() == 1)
        && request.wishes.rate_at_least.is_none()
        && !request.sockets.iter().flatten().any(told)
        && board
            .severities
            .iter()
            .all(|(_, severity)| *severity != Severity::Blocker)
}

/// Whether a ceiling is out of reach of every module.
fn is_above(ceiling: Limit<Mts>, fastest: Option<Mts>) -> bool {
    match ceiling {
        Limit::Is(rate) => fastest.is_some_and(|fastest| faster(rate, fastest)),
        Limit::None => true,
        Limit::Unknown => false,
    }
}

fn holds(ceiling: Limit<Mib>, all: Option<u64>) -> bool {
    match ceiling {
        Limit::Is(most) => all.is_some_and(|all| all <= most.0),
        Limit::None => true,
        Limit::Unknown => false,
    }
}

/// The best rating of all modules on the board; `None` if one is not known.
fn fastest(board: &Board, request: &Request) -> Option<Mts> {
    let parts = request.parts.iter();
    let mut ratings = parts.map(|module| rating_on(&board.rate_steps, module));
    ratings.try_fold(Mts(0), |best, rate| Some(best.max(rate?)))
}

/// The capacity of all modules that are named, in MiB; `None` if one is not known.
fn capacity(request: &Request) -> Option<u64> {
    let kit = request
        .kit
        .iter()
        .map(|line| (line.part, u64::from(line.quantity)));
    let seated = request.population.iter().chain(&request.installed);
    let all = kit.chain(seated.map(|entry| (entry.part, 1)));
    let of = |(part, count): (_, u64)| Some(request.part(part)?.capacity?.0.saturating_mul(count));
    all.map(of)
        .try_fold(0u64, |sum, own| Some(sum.saturating_add(own?)))
}
