//! What happens with other quantities or without some rules: searches that explanations share.

use super::super::board::Board;
use super::super::finding::{Finding, State};
use super::super::placement::{self, Aim, Asked, Budget, Found, Placed, Sought, Task};
use super::super::population::Population;
use super::super::request::{InstalledPolicy, KitLine, Request};
use super::super::rules::{self, BoardView, RULES, RuleSet, Standing};
use super::super::setup::Setup;
use super::super::stop::Stop;
use super::super::validate::distinct_models;

/// The steps of each search.
const STEPS: u64 = 100_000;

/// The same where installed modules may come out, for all choices of them.
const CHOICE_STEPS: u64 = 4 * STEPS;

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
        let asked = Asked {
            board,
            request,
            model,
        };
        match seek(&asked, ignored, Aim::Any, stop) {
            Sought::Placed { placed, .. } if placed.standing == Standing::Clear => {}
            Sought::Placed { .. } | Sought::None(_) | Sought::NoRoom => return Some(false),
            Sought::Cut => return None,
        }
    }
    Some(true)
}

/// A placement, some rules aside; where installed modules may come out, with as few out as it takes.
pub fn seek(asked: &Asked<'_>, ignored: &RuleSet, aim: Aim, stop: &Stop) -> Sought {
    if asked.request.installed_policy == InstalledPolicy::MayRemove {
        let mut budget = Budget::of(CHOICE_STEPS).until(stop);
        return asked.seek(ignored, aim, &mut budget);
    }
    let Some(setup) = Setup::new(asked.board, asked.request, asked.model) else {
        return Sought::None(RuleSet::none());
    };
    match search(&setup, ignored, aim, stop) {
        Found::Placed(placed) => Sought::Placed {
            removed: Vec::new(),
            placed,
        },
        Found::None(blamed) => Sought::None(blamed),
        Found::Cut => Sought::Cut,
    }
}

/// What a rule finds, as [`found_without`]; with the request as it is once the installed modules are
/// out that come out for the placement.
pub fn found_by(
    asked: &Asked<'_>,
    ignored: &RuleSet,
    rule: usize,
    stop: &Stop,
) -> Option<(Finding, Population, Request)> {
    let request = match seek(asked, ignored, Aim::Best, stop) {
        Sought::Placed { removed, .. } if !removed.is_empty() => asked.without(&removed),
        _ => asked.request.clone(),
    };
    let setup = Setup::new(asked.board, &request, asked.model)?;
    let (finding, population) = found_without(&setup, ignored, rule, stop)?;
    Some((finding, population, request))
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
