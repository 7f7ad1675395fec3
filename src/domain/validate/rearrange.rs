//! Where given slots break rules of place or load: the legal re-order of the same modules.

use super::super::board::SlotIx;
use super::super::finding::{Finding, Fix, Offer, State};
use super::super::placement::{self, Aim, Asked, Budget, Found, Placed, Task};
use super::super::request::{PartIx, Request, Seated};
use super::super::rules::{Group, RuleSet};
use super::super::setup::Setup;
use super::super::stop::Stop;
use super::{Answer, examine};

/// Where given slots break rules of place or load, the legal re-order of the same modules is
/// offered, if there is one.
pub fn offered(mut answer: Answer, asked: &Asked<'_>, stop: &Stop) -> Answer {
    let request = asked.request;
    let mendable = |f: &Finding| {
        f.state == State::Broken
            && matches!(f.rule.group, Group::Place | Group::Load | Group::Balance)
    };
    if request.population.is_empty() || !answer.findings.iter().any(mendable) {
        return answer;
    }
    let loose = request
        .population
        .iter()
        .map(|entry| Seated {
            slot: None,
            ..*entry
        })
        .collect();
    let free = Request {
        population: loose,
        ..request.clone()
    };
    let Some(setup) = Setup::new(asked.board, &free, asked.model) else {
        return answer;
    };
    let task = Task::of(&setup);
    let mut budget = Budget::default().until(stop);
    let Found::Placed(placed) =
        placement::place(&setup, &task, &RuleSet::none(), Aim::Best, &mut budget)
    else {
        return answer;
    };
    let seats: Vec<(SlotIx, PartIx)> = new_seats(&setup, &placed);
    let stacks = placed.stacks.clone();
    let better = examine(&setup, placed.population, &stacks, Vec::new());
    let clean = |id: &str| {
        !better
            .findings
            .iter()
            .any(|f| f.rule.id == id && f.state == State::Broken)
    };
    let fewer = better.verdict <= answer.verdict;
    let blocked = |id: &str| {
        let mut known = answer.findings.iter().filter(|f| f.blocks());
        known.any(|f| f.rule.id == id)
    };
    let mut blockers = better.findings.iter().filter(|f| f.blocks());
    let machine_safe = blockers.all(|f| blocked(f.rule.id));
    for finding in answer
        .findings
        .iter_mut()
        .filter(|f| mendable(f) && fewer && clean(f.rule.id))
    {
        finding.fixes.insert(
            0,
            Offer {
                fix: Fix::Rearrange(seats.clone()),
                machine_safe,
            },
        );
    }
    answer
}

/// The slots of the modules that are not installed already.
fn new_seats(setup: &Setup<'_>, placed: &Placed) -> Vec<(SlotIx, PartIx)> {
    let fixed = placement::given(setup);
    placed
        .population
        .occupied()
        .filter(|(slot, _)| fixed.at(*slot).is_none())
        .map(|(slot, occupant)| (slot, occupant.part))
        .collect()
}
