//! A fix is called safe only after it was tried, since what a rule sees of one processor model need
//! not hold with another.

use super::super::board::Board;
use super::super::finding::{Finding, Fix, State};
use super::super::request::Request;
use super::super::reseat;
use super::super::stop::Stop;
use super::{Answer, Offers, answered};

/// Leaves safe those fixes that the whole answer to the changed request bears out.
pub fn confirm(answer: &mut Answer, board: &Board, request: &Request, stop: &Stop) {
    let mut fixes: Vec<Fix> = Vec::new();
    let offers = answer.findings.iter().flat_map(|finding| &finding.fixes);
    for offer in offers.filter(|offer| offer.machine_safe) {
        if !fixes.contains(&offer.fix) {
            fixes.push(offer.fix.clone());
        }
    }
    if fixes.is_empty() {
        return;
    }
    let given = answer.given;
    let tried = fixes.into_iter().map(|fix| {
        let changed = changed(&fix, request).filter(|_| given);
        let after = changed.and_then(|changed| answered(board, &changed, Offers::Rules, stop));
        (fix, after.filter(|after| adds_no_blocker(answer, after)))
    });
    let tried: Vec<(Fix, Option<Answer>)> = tried.collect();
    let before = answer.findings.clone();
    for finding in &mut answer.findings {
        let others: Vec<&Finding> = before
            .iter()
            .filter(|other| !is_same(other, finding))
            .collect();
        let rule = finding.rule.id;
        for offer in finding.fixes.iter_mut().filter(|offer| offer.machine_safe) {
            let after = tried.iter().find(|(fix, _)| *fix == offer.fix);
            let after = after.and_then(|(_, after)| after.as_ref());
            offer.machine_safe = after.is_some_and(|after| is_gone(rule, &others, after));
        }
    }
}

/// The request with a fix; `None` if no line of the request says what the fix changes.
fn changed(fix: &Fix, request: &Request) -> Option<Request> {
    let mut changed = request.clone();
    let done = match fix {
        Fix::Rearrange(seats) => reseat::rearranged(seats, &mut changed),
        Fix::Move { from, to } => reseat::moved(&[(*from, *to)], &mut changed),
        Fix::Swap { one, other } => reseat::moved(&[(*one, *other), (*other, *one)], &mut changed),
        // What is bought, taken out or asked for is the caller's choice.
        _ => false,
    };
    done.then_some(changed)
}

/// Whether nothing blocks that did not block before, and the verdict is no worse.
fn adds_no_blocker(before: &Answer, after: &Answer) -> bool {
    let known = |new: &Finding| {
        let mut old = before.findings.iter().filter(|f| f.blocks());
        old.any(|old| old.rule.id == new.rule.id && (is_broken(old) || !is_broken(new)))
    };
    let mut blockers = after.findings.iter().filter(|f| f.blocks());
    after.verdict <= before.verdict && blockers.all(known)
}

fn is_broken(finding: &Finding) -> bool {
    finding.state == State::Broken
}

/// Whether of a rule nothing is left but what it also found in other places before.
fn is_gone(rule: &str, others: &[&Finding], after: &Answer) -> bool {
    let mut left = after.findings.iter().filter(|f| f.rule.id == rule);
    left.all(|finding| others.iter().any(|other| is_same(other, finding)))
}

fn is_same(one: &Finding, other: &Finding) -> bool {
    one.rule.id == other.rule.id
        && one.state == other.state
        && one.params == other.params
        && (&one.sockets, &one.channels, &one.slots)
            == (&other.sockets, &other.channels, &other.slots)
}
