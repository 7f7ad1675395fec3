//! Whether the plan would still stand with modules that are alike in all that a report tells.
//!
//! Another part number vouches for none of the facts that no report tells, such as the device width.
//! Which of them matter is not written here: the rules are asked about the plan with what is known of
//! the found modules in place of the planned ones.

use super::super::board::SlotIx;
use super::super::finding::{Fact, Finding, Missing, Severity, State, Subject, Value};
use super::super::module::Module;
use super::super::outcome::{self, Outcome};
use super::super::placement::{Task, given};
use super::super::request::{PartIx, Request, Seated, SocketState};
use super::super::rules::{BoardView, check};
use super::super::setup::Setup;
use super::super::validate::distinct_models;
use super::compare::{Likeness, further_differences};
use super::found::{Found, Plan};
use super::pairs::Pair;
use std::sync::Arc;

/// What the rules and the computations say to a population.
struct Judged {
    findings: Vec<Finding>,
    outcomes: Vec<Outcome>,
}

/// A planned module in whose place another was found.
struct Refitted {
    /// Index among the pairs.
    pair: usize,
    slot: SlotIx,
    planned: PartIx,
    found: PartIx,
}

/// Asks the rules about pairs that hang on them, and settles how these compare. Gives what comes out
/// with each processor model that the plan leaves open; nothing where there is no such pair.
pub(super) fn refit(plan: &Plan<'_>, found: &Found, pairs: &mut [Pair]) -> Vec<Outcome> {
    let planned = plan.population.as_given(plan.request);
    let mut request = planned.clone();
    let refitted = replaced(&mut request, found, pairs);
    if refitted.is_empty() {
        return Vec::new();
    }
    let before = judged(plan, &planned);
    let after = judged(plan, &request);
    for own in &refitted {
        let likeness = settled(plan, &request, own, &before.findings, &after.findings);
        if let (Some(likeness), Some(pair)) = (likeness, pairs.get_mut(own.pair)) {
            pair.likeness = Some(likeness);
        }
    }
    after.outcomes
}

/// Puts the found modules of pairs that hang on the rules in place of the planned ones.
fn replaced(request: &mut Request, found: &Found, pairs: &[Pair]) -> Vec<Refitted> {
    let mut refitted = Vec::new();
    for (index, pair) in pairs.iter().enumerate() {
        let hangs = pair.likeness.as_ref().is_some_and(Likeness::hangs_on_rules);
        let module = found.module(pair.have.entry).filter(|_| hangs);
        let Some(Ok(module)) = module.map(|own| Module::checked(own.known())) else {
            continue;
        };
        let Some(part) = part_of(request, module) else {
            continue;
        };
        let own = |seat: &&mut Seated| seat.slot == Some(pair.want.slot);
        if let Some(seat) = request.population.iter_mut().find(own) {
            seat.part = part;
            refitted.push(Refitted {
                pair: index,
                slot: pair.want.slot,
                planned: pair.want.part,
                found: part,
            });
        }
    }
    refitted
}

/// The part of the request that a module is; a new one if there is none.
fn part_of(request: &mut Request, module: Module) -> Option<PartIx> {
    let known = request.parts.iter().position(|own| **own == module);
    let index = known.unwrap_or(request.parts.len());
    if known.is_none() {
        request.parts.push(Arc::new(module));
    }
    u16::try_from(index).ok().map(PartIx)
}

/// Every finding that bears on whether the plan works as it was asked for, with each processor model.
fn judged(plan: &Plan<'_>, request: &Request) -> Judged {
    let board = plan.board;
    let untold = match &request.sockets {
        None => true,
        Some(sockets) => sockets.contains(&SocketState::Fitted(None)),
    };
    let models: Vec<Option<usize>> = match untold {
        false => vec![None],
        true => distinct_models(board, request.sockets.as_deref())
            .into_iter()
            .map(Some)
            .collect(),
    };
    let mut all = Judged {
        findings: Vec::new(),
        outcomes: Vec::new(),
    };
    for setup in models
        .into_iter()
        .filter_map(|model| Setup::new(board, request, model))
    {
        let stacks = Task::of(&setup).fixed;
        let outcome = outcome::compute(&setup, &stacks);
        let population = given(&setup);
        let view = BoardView::new(&setup, &population, &stacks, &outcome, &[]);
        all.findings.extend(check(&view).into_iter().filter(bears));
        all.outcomes.push(outcome);
    }
    all
}

/// Whether a finding keeps the plan from working, or from doing what the caller asked of its devices.
fn bears(finding: &Finding) -> bool {
    let asked = finding.rule.id == "chip-correction-lost" && finding.severity == Severity::Warning;
    finding.blocks() || asked
}

/// How a pair compares, if the rules say that it is not alike in all that matters.
fn settled(
    plan: &Plan<'_>,
    request: &Request,
    own: &Refitted,
    before: &[Finding],
    after: &[Finding],
) -> Option<Likeness> {
    let planned = plan.request.part(own.planned)?;
    let found = request.part(own.found)?;
    let broken = |findings: &[Finding], rule| {
        let mut findings = findings.iter();
        findings.any(|other| other.rule.id == rule && other.state == State::Broken)
    };
    let breaks = after.iter().any(|finding| {
        finding.state == State::Broken && !broken(before, finding.rule.id) && concerns(finding, own)
    });
    let differences = further_differences(planned, found);
    if breaks && !differences.is_empty() {
        return Some(Likeness::Other(differences));
    }
    let open = open(own, before, after);
    (!open.is_empty()).then_some(Likeness::Open(open))
}

/// Whether a finding is about a refitted module; one that names none may be about any.
fn concerns(finding: &Finding, own: &Refitted) -> bool {
    let part = Value::Part(own.found);
    let named = finding.params.iter().any(|(_, value)| *value == part);
    let is_part = |subject: &Subject| matches!(subject, Subject::Part(_));
    let parted = finding.subjects.contains(&Subject::Part(own.found));
    let silent = finding.slots.is_empty() && !finding.subjects.iter().any(is_part);
    named || parted || silent || finding.slots.contains(&own.slot)
}

/// Facts of the found module that some rule needs, and that it did not lack of the planned one.
fn open(own: &Refitted, before: &[Finding], after: &[Finding]) -> Vec<Fact> {
    let missing = |findings: &[Finding], part: PartIx| -> Vec<Fact> {
        let states = findings.iter().filter_map(|finding| match &finding.state {
            State::Undecided(missing) => Some(missing),
            State::Broken => None,
        });
        let of_part = |own: &&Missing| own.part == Some(part);
        let mut facts: Vec<Fact> = states.flatten().filter(of_part).map(|m| m.fact).collect();
        facts.sort_unstable();
        facts.dedup();
        facts
    };
    let lacked = missing(before, own.planned);
    let mut open = missing(after, own.found);
    open.retain(|fact| !lacked.contains(fact));
    open
}
