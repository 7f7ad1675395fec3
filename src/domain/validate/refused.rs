//! The answer to a kit that no placement fits: the nearest one, the rules in conflict, and what
//! quantity would fit.

use super::super::finding::{Finding, Fix, Offer, State, Verdict};
use super::super::placement::{self, Asked, Budget, Nearest, Task};
use super::super::population::Origin;
use super::super::rules::RuleSet;
use super::super::setup::Setup;
use super::{Answer, Tell, examine, found};

/// `setup` is the request bound to the board, `task` what it sets, and `blamed` are rules that suffice to
/// stand in the way.
pub fn answer(
    asked: &Asked<'_>,
    setup: &Setup<'_>,
    task: &Task,
    blamed: &RuleSet,
    budget: &mut Budget,
) -> Option<Answer> {
    let refusal = placement::explain_refusal(asked, setup, task, blamed, budget);
    let mut answer = match refusal.nearest {
        Some(nearest) => {
            let Nearest {
                removed,
                placed,
                left_over,
            } = nearest;
            let mut near = match removed.is_empty() {
                true => super::answer(setup, placed, left_over, Tell::Findings),
                false => found(asked, &removed, placed, left_over)?,
            };
            near.proven_best = None;
            near
        }
        None => unseated(setup, task),
    };
    // The nearest placement may meet every rule of its own while modules are left over.
    answer.verdict = Verdict::DoesNotFit;
    answer.conflict = refusal.conflict;
    answer.further_conflicts = refusal.further;
    answer.conflict_proven = refusal.proven;
    answer.largest = (0..asked.request.kit.len())
        .map(|line| placement::largest_quantity(asked, line, budget))
        .collect();
    offer_quantities(&mut answer);
    Some(answer)
}

/// No placement was found even without rules, in the time that was left.
fn unseated(setup: &Setup<'_>, task: &Task) -> Answer {
    let population = placement::given(setup);
    examine(setup, population, &task.fixed, task.loads.clone())
}

/// Every broken blocker offers first the quantity that would fit, since nothing is broken then. A
/// kit's module is in no slot yet, so there is none to take out.
fn offer_quantities(answer: &mut Answer) {
    let population = &answer.population;
    let is_seated = |offer: &Offer| {
        let Fix::Remove { slot } = offer.fix else {
            return true;
        };
        let occupant = population.at(slot);
        !occupant.is_some_and(|occupant| matches!(occupant.origin, Origin::Kit(_)))
    };
    let offers: Vec<Offer> = (0u32..)
        .zip(&answer.largest)
        .filter_map(|(line, quantity)| {
            // A line of none would be no line: dropping it is the caller's choice.
            let quantity = quantity.filter(|quantity| *quantity > 0)?;
            Some(Offer {
                fix: Fix::SetQuantity { line, quantity },
                machine_safe: false,
            })
        })
        .collect();
    let broken = |f: &&mut Finding| f.blocks() && f.state == State::Broken;
    for finding in answer.findings.iter_mut().filter(broken) {
        let own = std::mem::take(&mut finding.fixes);
        let own = own.into_iter().filter(is_seated);
        finding.fixes = offers.iter().cloned().chain(own).collect();
        let mut known = Vec::new();
        finding.fixes.retain(|offer| {
            let new = !known.contains(&offer.fix);
            known.push(offer.fix.clone());
            new
        });
    }
}
