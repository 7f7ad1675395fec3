//! Why this verdict: what blocks and on what facts that rests, or what carries it, and the smallest
//! change that mends it.

use super::super::board::Board;
use super::super::finding::{Finding, Missing, State, Value, Verdict};
use super::super::request::Request;
use super::super::validate::Answer;
use super::tree::{About, Basis, Explanation, Node, NodeIx, Says};

/// Explains the verdict on a request.
pub fn verdict(board: &Board, request: &Request, answer: &Answer) -> Explanation {
    let mut explanation = Explanation::new(About::Verdict, answer.verdict);
    explanation.population = Some(answer.population.clone());
    let mut because = Vec::new();
    for finding in deciding(answer) {
        because.extend(add_finding(&mut explanation, finding));
    }
    because.extend(add_missing(&mut explanation, &answer.missing()));
    let mut root = Node::message(verdict_id(answer.verdict), Vec::new(), Basis::Concluded);
    root.because = because;
    explanation.add_root(root);
    for (line, quantity) in request.kit.iter().zip(&answer.largest) {
        let params = vec![
            ("part", Value::Part(line.part)),
            ("asked", Value::Count(u64::from(line.quantity))),
            ("quantity", Value::Count(u64::from(quantity.unwrap_or(0)))),
        ];
        let beside = request.kit.len() > 1;
        let id = match (quantity, beside) {
            (None, _) => continue,
            (Some(0), false) => "largest-none",
            (Some(0), true) => "largest-none-beside",
            (Some(_), false) => "largest",
            (Some(_), true) => "largest-beside",
        };
        explanation.add_root(Node::message(id, params, Basis::Concluded));
    }
    let _ = board;
    explanation
}

/// The message that says a verdict.
pub const fn verdict_id(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fits => "verdict-fits",
        Verdict::FitsWithWarnings => "verdict-fits_with_warnings",
        Verdict::Undecided => "verdict-undecided",
        Verdict::DoesNotFit => "verdict-does_not_fit",
    }
}

/// The findings that the verdict rests on: what blocks; else what is open; else what warns.
fn deciding(answer: &Answer) -> impl Iterator<Item = &Finding> {
    let verdict = answer.verdict;
    answer.findings.iter().filter(move |finding| {
        let broken = finding.state == State::Broken;
        match verdict {
            Verdict::DoesNotFit => finding.blocks() && broken,
            Verdict::Undecided => finding.blocks(),
            Verdict::FitsWithWarnings | Verdict::Fits => {
                broken && finding.severity <= super::super::finding::Severity::Warning
            }
        }
    })
}

fn add_finding(explanation: &mut Explanation, finding: &Finding) -> Option<NodeIx> {
    let mut node = Node::new(Says::Finding(Box::new(finding.clone())), Basis::Concluded);
    node.slots = finding.slots.clone();
    node.channels = finding.channels.clone();
    node.sockets = finding.sockets.clone();
    explanation.add(node)
}

fn add_missing(explanation: &mut Explanation, missing: &[Missing]) -> Vec<NodeIx> {
    let add = |missing: &Missing| explanation.add(Node::new(Says::Missing(*missing), Basis::Given));
    missing.iter().filter_map(add).collect()
}
