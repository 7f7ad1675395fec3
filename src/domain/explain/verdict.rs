//! Why this verdict: what blocks and on what facts that rests, or what carries it, and the smallest
//! change that mends it.

use super::super::board::Board;
use super::super::finding::{Fact, Finding, Fix, Severity, State, Value, Verdict};
use super::super::request::Request;
use super::super::setup::Setup;
use super::super::validate::Answer;
use super::Case;
use super::cause::Judged;
use super::ground::add_finding;
use super::mend;
use super::reduce::share_causes;
use super::tree::{About, Basis, Explanation, Node, NodeIx, Says};
use super::working::headroom;

/// Explains the verdict on a request.
pub fn verdict(case: Case<'_>) -> Explanation {
    let mut explanation = Explanation::new(About::Verdict, case.answer.verdict);
    add_verdict(&mut explanation, case);
    if case.answer.verdict == Verdict::DoesNotFit {
        add_mend(&mut explanation, case);
    }
    share_causes(&mut explanation);
    explanation
}

/// Explains one finding of an answer.
pub fn finding(case: Case<'_>, finding: &Finding) -> Explanation {
    let mut explanation = Explanation::new(About::Verdict, case.answer.verdict);
    let without = Request {
        removed: case.answer.removed.clone(),
        ..case.request.clone()
    };
    let judged = Judged {
        board: case.board,
        request: &without,
        population: &case.answer.population,
        model: case.answer.model,
    };
    let root = add_finding(&mut explanation, &judged, finding);
    explanation.roots.extend(root);
    share_causes(&mut explanation);
    explanation
}

/// Adds the verdict as a root, with what it rests on.
pub fn add_verdict(explanation: &mut Explanation, case: Case<'_>) {
    let Case {
        board,
        request,
        answer,
        ..
    } = case;
    explanation.population = Some(answer.population.clone());
    let without = Request {
        removed: answer.removed.clone(),
        ..request.clone()
    };
    let judged = Judged {
        board,
        request: &without,
        population: &answer.population,
        model: answer.model,
    };
    let mut because: Vec<NodeIx> = models(board, answer)
        .into_iter()
        .filter_map(|node| explanation.add(node))
        .collect();
    let findings: Vec<&Finding> = deciding(answer).collect();
    for finding in findings {
        because.extend(add_finding(explanation, &judged, finding));
    }
    if answer.verdict <= Verdict::FitsWithWarnings
        && let Some(setup) = Setup::new(board, &without, answer.model)
    {
        because.extend(headroom(explanation, &judged, &setup, &answer.outcome));
    }
    if answer.cut {
        because.extend(explanation.add(Node::message("verdict-cut", Vec::new(), Basis::Concluded)));
    }
    let mut root = Node::message(verdict_id(answer.verdict), Vec::new(), Basis::Concluded);
    root.because = because;
    explanation.add_root(root);
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

/// The findings that the verdict rests on: what blocks; else what is open; else what warns. An
/// answer for which the processor models differ rests on them.
fn deciding(answer: &Answer) -> impl Iterator<Item = &Finding> {
    let verdict = answer.verdict;
    answer.findings.iter().filter(move |finding| {
        let broken = finding.state == State::Broken;
        match verdict {
            Verdict::DoesNotFit => finding.blocks() && broken,
            Verdict::Undecided => finding.blocks(),
            Verdict::FitsWithWarnings | Verdict::Fits => {
                broken && finding.severity <= Severity::Warning
            }
        }
    })
}

/// What each processor model gives, where they differ.
fn models(board: &Board, answer: &Answer) -> Vec<Node> {
    if answer.slots_by_model {
        let params = Vec::new();
        return vec![Node::message(
            "explain-model-slots",
            params,
            Basis::Concluded,
        )];
    }
    let differ = answer.models.windows(2).any(|pair| match pair {
        [one, other] => one.verdict != other.verdict,
        _ => false,
    });
    if !differ {
        return Vec::new();
    }
    let node = |own: &super::super::validate::ModelVerdict| {
        let name = board.processors.get(own.model)?.name.clone();
        let id = match own.verdict {
            Verdict::Fits => "explain-model-fits",
            Verdict::FitsWithWarnings => "explain-model-fits_with_warnings",
            Verdict::Undecided => "explain-model-undecided",
            Verdict::DoesNotFit => "explain-model-does_not_fit",
        };
        let params = vec![("processor", Value::Text(name))];
        Some(Node::message(id, params, Basis::Concluded))
    };
    answer.models.iter().filter_map(node).collect()
}

/// Adds the smallest change that mends a refusal as a root; what was not tried is said to be so.
pub fn add_mend(explanation: &mut Explanation, case: Case<'_>) {
    let (id, fixes) = match mend::smallest(case) {
        Some(fixes) => ("explain-mend", fixes),
        None => ("explain-mend-perhaps", untried(case.answer)),
    };
    if fixes.is_empty() {
        return explanation.add_root(Node::message(
            "explain-mend-none",
            Vec::new(),
            Basis::Concluded,
        ));
    }
    let mut root = Node::message(id, Vec::new(), Basis::Concluded);
    for fix in fixes {
        root.because
            .extend(explanation.add(Node::new(Says::Fix(fix), Basis::Concluded)));
    }
    explanation.add_root(root);
}

/// The first change that each blocker offers.
fn untried(answer: &Answer) -> Vec<Fix> {
    let blockers = answer
        .findings
        .iter()
        .filter(|f| f.blocks() && f.state == State::Broken);
    let mut fixes: Vec<Fix> = Vec::new();
    for offer in blockers.filter_map(|finding| finding.fixes.first()) {
        if !fixes.iter().any(|known| asks_the_same(known, &offer.fix)) {
            fixes.push(offer.fix.clone());
        }
    }
    fixes
}

/// Whether two changes ask for the same, even if in other words.
fn asks_the_same(one: &Fix, other: &Fix) -> bool {
    match (one, other) {
        (
            Fix::ChooseOther { part, needs },
            Fix::ChooseOther {
                part: part2,
                needs: needs2,
            },
        ) => {
            let facts = |needs: &[(Fact, Value)]| needs.iter().map(|(f, _)| *f).collect::<Vec<_>>();
            part == part2 && facts(needs) == facts(needs2)
        }
        _ => one == other,
    }
}
