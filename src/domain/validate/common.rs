//! One placement for every processor model that may be fitted: modules go into slots before anybody
//! looks which model it is.

use super::super::board::Board;
use super::super::finding::Verdict;
use super::super::request::Request;
use super::super::setup::Setup;
use super::super::units::Mts;
use super::{Answer, examine, stacks_of};
use std::cmp::Reverse;

/// Answers by processor model.
pub type ByModel = Vec<(usize, Answer)>;

/// Makes all models share a placement where each has one of its own: the one of theirs with which the
/// worst of them is best off. False if none suits all.
pub fn share(board: &Board, request: &Request, answers: &mut ByModel) -> bool {
    let fits = |(_, answer): &(usize, Answer)| answer.verdict <= Verdict::FitsWithWarnings;
    if !answers.iter().all(fits) || is_shared(answers) {
        return true;
    }
    let shared = answers.iter().filter_map(|(model, own)| {
        let each = answers.iter();
        each.map(|(other, _)| with(board, request, own, *model, *other))
            .collect::<Option<ByModel>>()
    });
    match shared.min_by_key(worst) {
        Some(shared) => {
            *answers = shared;
            true
        }
        None => false,
    }
}

/// The worst verdict and the lowest rate.
fn worst(answers: &ByModel) -> Option<(Verdict, Reverse<Option<Mts>>)> {
    let each = answers.iter().map(|(_, answer)| answer);
    each.map(|answer| (answer.verdict, Reverse(answer.outcome.rate)))
        .max()
}

fn is_shared(answers: &ByModel) -> bool {
    let Some(((_, first), others)) = answers.split_first() else {
        return true;
    };
    others.iter().all(|(_, own)| {
        (own.given && first.given)
            || (&own.population, &own.removed) == (&first.population, &first.removed)
    })
}

/// The answer with a model for the placement that was found with another, if it works.
fn with(
    board: &Board,
    request: &Request,
    own: &Answer,
    model: usize,
    other: usize,
) -> Option<(usize, Answer)> {
    if model == other {
        return Some((other, own.clone()));
    }
    let request = Request {
        removed: own.removed.clone(),
        ..request.clone()
    };
    let setup = Setup::new(board, &request, Some(other))?;
    let stacks = stacks_of(board, &own.population);
    let mut answer = examine(&setup, own.population.clone(), &stacks, Vec::new());
    answer.moved = own.moved;
    answer.proven_best = own.proven_best.map(|_| false);
    (answer.verdict <= Verdict::FitsWithWarnings).then_some((other, answer))
}
