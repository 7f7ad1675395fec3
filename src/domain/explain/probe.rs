//! What happens with other quantities or without some rules: searches that explanations share.

use super::super::board::Board;
use super::super::finding::{Finding, State};
use super::super::placement::{self, Aim, Budget, Found, Placed, Task};
use super::super::population::Population;
use super::super::request::{KitLine, Request};
use super::super::rules::{self, BoardView, RULES, RuleSet, Standing};
use super::super::setup::Setup;
use super::super::stop::Stop;
use super::super::validate::distinct_models;

/// The steps of each search.
const STEPS: u64 = 100_000;

/// The same request with another quantity of a kit line.
pub fn with_quantity(request: &Request, line: usize, quantity: u32) -> Request {
    let changed = |(index, other): (usize, &KitLine)| KitLine {
        quantity: if index == line {
            quantity
        } else {
            other.quantity
        },
        ..*other
    };
    Request {
        kit: request.kit.iter().enumerate().map(changed).collect(),
        ..request.clone()
    }
}

/// The processor models that a request leaves open, one of each that differ; one stand-in that does
/// not matter where it tells them all.
pub fn models(board: &Board, request: &Request) -> Vec<Option<usize>> {
    let untold = super::super::request::SocketState::Fitted(None);
    match &request.sockets {
        Some(sockets) if !sockets.contains(&untold) => vec![None],
        told => distinct_models(board, told.as_deref())
            .into_iter()
            .map(Some)
            .collect(),
    }
}

/// Whether a request fits with every processor model that it leaves open, some rules aside; `None` if
/// a search was cut.
pub fn fits(board: &Board, request: &Request, ignored: &RuleSet, stop: &Stop) -> Option<bool> {
    for model in models(board, request) {
        let Some(setup) = Setup::new(board, request, model) else {
            return Some(false);
        };
        match search(&setup, ignored, Aim::Any, stop) {
            Found::Placed(placed) if placed.standing == Standing::Clear => {}
            Found::Placed(_) | Found::None(_) => return Some(false),
            Found::Cut => return None,
        }
    }
    Some(true)
}

/// A placement, some rules aside.
pub fn search(setup: &Setup<'_>, ignored: &RuleSet, aim: Aim, stop: &Stop) -> Found {
    let mut budget = Budget::of(STEPS).until(stop);
    placement::place(setup, &Task::of(setup), ignored, aim, &mut budget)
}

/// All rules but these.
pub fn all_but(counting: &[usize]) -> RuleSet {
    RuleSet::of((0..RULES.len()).filter(|rule| !counting.contains(rule)))
}

/// What a rule finds in the best placement without some rules; where there is none, in what has its
/// slot already.
pub fn found_without(
    setup: &Setup<'_>,
    ignored: &RuleSet,
    rule: usize,
    stop: &Stop,
) -> Option<(Finding, Population)> {
    let (population, stacks, outcome) = match search(setup, ignored, Aim::Best, stop) {
        Found::Placed(placed) => {
            let Placed {
                population,
                stacks,
                outcome,
                ..
            } = *placed;
            (population, stacks, outcome)
        }
        Found::None(_) | Found::Cut => {
            let stacks = Task::of(setup).fixed;
            let outcome = super::super::outcome::compute(setup, &stacks);
            (placement::given(setup), stacks, outcome)
        }
    };
    let view = BoardView::new(setup, &population, &stacks, &outcome, &[]);
    let id = RULES.get(rule)?.id;
    let found = rules::check(&view).into_iter();
    let mut own = found.filter(|f| f.rule.id == id && f.blocks() && f.state == State::Broken);
    own.next().map(|finding| (finding, population))
}
