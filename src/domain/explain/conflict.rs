//! Why nothing fits: the fewest rules that cannot hold together, each shown where it breaks while all
//! the others are kept.

use super::super::finding::{Value, Verdict};
use super::super::request::Request;
use super::super::rules::{RULES, RuleSet};
use super::super::setup::Setup;
use super::Case;
use super::cause::Judged;
use super::ground::add_finding;
use super::probe::found_without;
use super::reduce::share_causes;
use super::tree::{About, Basis, Explanation, Node, NodeIx, Standing};
use super::verdict::{add_mend, add_verdict};

/// Explains why no placement of a request works.
pub fn conflict(case: Case<'_>) -> Explanation {
    let answer = case.answer;
    let mut explanation = Explanation::new(About::Conflict, answer.verdict);
    explanation.population = Some(answer.population.clone());
    if answer.verdict != Verdict::DoesNotFit {
        explanation.standing = match answer.verdict {
            Verdict::Undecided => Standing::FindOutFirst,
            _ => Standing::Refused,
        };
        explanation.add_root(Node::message("conflict-none", Vec::new(), Basis::Concluded));
        add_verdict(&mut explanation, case);
    } else {
        if answer.conflict.is_empty() {
            // Every slot is given: each broken rule refuses them by itself.
            explanation.add_root(Node::message(
                "conflict-given",
                Vec::new(),
                Basis::Concluded,
            ));
            add_verdict(&mut explanation, case);
        }
        for set in std::iter::once(&answer.conflict).chain(&answer.further_conflicts) {
            add_set(&mut explanation, case, set);
        }
        if !answer.conflict_proven && !answer.conflict.is_empty() {
            let perhaps = Node::message("conflict-not-proven", Vec::new(), Basis::Concluded);
            explanation.add_root(perhaps);
        }
        add_mend(&mut explanation, case);
    }
    share_causes(&mut explanation);
    explanation
}

/// Adds a set of rules that cannot hold together as a root.
fn add_set(explanation: &mut Explanation, case: Case<'_>, set: &[usize]) {
    if set.is_empty() {
        return;
    }
    let because = set
        .iter()
        .filter_map(|rule| add_rule(explanation, case, set, *rule))
        .collect();
    let count = Value::Count(set.len() as u64);
    let id = if set.len() == 1 {
        "conflict-by-itself"
    } else {
        "conflict-not-all"
    };
    let mut root = Node::message(id, vec![("rules", count)], Basis::Concluded);
    root.because = because;
    explanation.add_root(root);
}

/// Adds what a rule of a set finds while the others are kept; if no placement keeps them, while
/// the set is not kept, and at last while no rule is.
fn add_rule(
    explanation: &mut Explanation,
    case: Case<'_>,
    set: &[usize],
    rule: usize,
) -> Option<NodeIx> {
    let request = Request {
        removed: case.answer.removed.clone(),
        ..case.request.clone()
    };
    let setup = Setup::new(case.board, &request, case.answer.model)?;
    let ways = [
        RuleSet::of([rule]),
        RuleSet::of(set.iter().copied()),
        RuleSet::of(0..RULES.len()),
    ];
    let found = ways
        .iter()
        .find_map(|ignored| found_without(&setup, ignored, rule, case.stop));
    let Some((finding, population)) = found else {
        let id = RULES.get(rule)?.id.to_owned();
        let name = vec![("rules", Value::Words(vec![id]))];
        return explanation.add(Node::message("explain-rules", name, Basis::Concluded));
    };
    let judged = Judged {
        board: case.board,
        request: &request,
        population: &population,
        model: case.answer.model,
    };
    add_finding(explanation, &judged, &finding)
}
