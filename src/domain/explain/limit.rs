//! How many of a module at most: the largest count, what stops one more, what would stop next, and
//! what each count gives.

use super::super::board::Board;
use super::super::finding::{Value, Verdict};
use super::super::request::{InstalledPolicy, Request};
use super::super::rules::{RuleSet, index_of};
use super::super::setup::Setup;
use super::super::validate::{Answer, validate_until};
use super::Case;
use super::cause::Judged;
use super::layer::Layer;
use super::probe::{fits, with_quantity};
use super::reduce::share_causes;
use super::table::{Cell, Row, Table};
use super::tree::{About, Basis, Explanation, Node, NodeIx, Standing};
use super::working::headroom;

/// The most rows of the table.
const MOST_ROWS: usize = 32;

/// Explains how many modules of a kit line fit at most, the rest of the request as it is. `None` if
/// there is no such line, or the board has no filling row for the request.
pub fn limit(case: Case<'_>, line: usize) -> Option<Explanation> {
    let Case {
        board,
        request,
        stop,
        ..
    } = case;
    let part = request.kit.get(line)?.part;
    let mut explanation = Explanation::new(About::Limit, case.answer.verdict);
    let slots = u32::try_from(board.slots.len()).unwrap_or(u32::MAX);
    let none = RuleSet::none();
    let mut cut = false;
    let mut fitting: Vec<u32> = Vec::new();
    for count in 1..=slots {
        match fits(board, &with_quantity(request, line, count), &none, stop) {
            Some(true) => fitting.push(count),
            Some(false) => {}
            None => cut = true,
        }
    }
    let largest = fitting.last().copied().unwrap_or(0);
    let best = with_quantity(request, line, largest.max(1));
    let best = validate_until(board, &best, stop).map(|answer| (best, answer));
    let mut root = Node::message(
        if largest == 0 {
            "limit-none"
        } else {
            "limit-largest"
        },
        vec![
            ("part", Value::Part(part)),
            ("count", Value::Count(largest.into())),
        ],
        Basis::Concluded,
    );
    if let Some((request, answer)) = best.as_ref().filter(|_| largest > 0) {
        // What comes out holds no room.
        let request = Request {
            removed: answer.removed.clone(),
            ..request.clone()
        };
        root.because = removed(&mut explanation, &request, answer);
        root.because
            .extend(room(&mut explanation, board, &request, answer));
        explanation.population = Some(answer.population.clone());
    }
    explanation.add_root(root);
    if cut {
        explanation.standing = Standing::FindOutFirst;
        explanation.add_root(Node::message("verdict-cut", Vec::new(), Basis::Concluded));
    }
    add_layers(&mut explanation, case, line, largest);
    if largest == 0
        && let Some((request, answer)) = best
            .as_ref()
            .filter(|(_, a)| a.verdict == Verdict::Undecided)
    {
        explanation.standing = Standing::FindOutFirst;
        let case = Case {
            request,
            answer,
            ..case
        };
        super::verdict::add_verdict(&mut explanation, case);
    }
    explanation.tables.extend(table(case, line, &fitting));
    share_causes(&mut explanation);
    Some(explanation)
}

/// How many installed modules come out for the largest count, where that is for the placement to say.
fn removed(explanation: &mut Explanation, request: &Request, answer: &Answer) -> Vec<NodeIx> {
    let may = request.installed_policy == InstalledPolicy::MayRemove;
    let count = answer.removed.len();
    let params = vec![("count", Value::Count(count as u64))];
    let node = Node::message("limit-removed", params, Basis::Concluded);
    let node = (may && count > 0).then(|| explanation.add(node));
    node.flatten().into_iter().collect()
}

/// What carries the largest count.
fn room(
    explanation: &mut Explanation,
    board: &Board,
    request: &Request,
    answer: &Answer,
) -> Vec<NodeIx> {
    let judged = Judged {
        board,
        request,
        population: &answer.population,
        model: answer.model,
    };
    let Some(setup) = Setup::new(board, request, answer.model) else {
        return Vec::new();
    };
    headroom(explanation, &judged, &setup, &answer.outcome)
}

/// What stops one more module, and what would stop next if that did not.
fn add_layers(explanation: &mut Explanation, case: Case<'_>, line: usize, largest: u32) {
    let Case {
        board,
        request,
        stop,
        ..
    } = case;
    let Some(part) = request.kit.get(line).map(|line| line.part) else {
        return;
    };
    let one_more = with_quantity(request, line, largest + 1);
    let Some(first) = Layer::of(board, &one_more, &RuleSet::none(), stop) else {
        return;
    };
    let stops = [
        ("part", Value::Part(part)),
        ("count", Value::Count((largest + 1).into())),
    ];
    let ids = ["limit-stops", "limit-stops-together"];
    first.add(explanation, board, ids, stops.to_vec());
    // Where there is no slot, no rule matters.
    if first
        .rules
        .iter()
        .any(|rule| Some(*rule) == index_of("more-modules-than-slots"))
    {
        return;
    }
    let aside = RuleSet::of(first.rules.iter().copied());
    let slots = u32::try_from(board.slots.len()).unwrap_or(u32::MAX);
    let fits_aside = |count: &u32| {
        fits(board, &with_quantity(request, line, *count), &aside, stop) == Some(true)
    };
    let next = (largest + 1..=slots)
        .rev()
        .find(fits_aside)
        .unwrap_or(largest);
    let Some(second) = Layer::of(board, &with_quantity(request, line, next + 1), &aside, stop)
    else {
        return;
    };
    let stops = [
        ("part", Value::Part(part)),
        ("count", Value::Count(next.into())),
    ];
    second.add(explanation, board, ["limit-next"; 2], stops.to_vec());
}

/// What each count gives.
fn table(case: Case<'_>, line: usize, fitting: &[u32]) -> Option<Table> {
    let Case {
        board,
        request,
        stop,
        ..
    } = case;
    let part = request.kit.get(line)?.part;
    let largest = *fitting.last()?;
    let asked = request.kit.get(line)?.quantity;
    let channels = u32::try_from(board.all_channels().count())
        .unwrap_or(1)
        .max(1);
    let few = fitting.len() <= MOST_ROWS;
    let told =
        |count: &u32| few || *count == 1 || *count == asked || count.is_multiple_of(channels);
    let counts = fitting
        .iter()
        .copied()
        .filter(|count| told(count) || *count == largest);
    let mut counts: Vec<u32> = counts.collect();
    let surplus = counts.len().saturating_sub(MOST_ROWS);
    counts.drain(..surplus);
    let row = |count: u32| {
        let answer = validate_until(board, &with_quantity(request, line, count), stop)?;
        let outcome = &answer.outcome;
        let fullest = outcome.channels.iter().map(|channel| channel.modules).max();
        Some(Row {
            cells: vec![
                Cell::Value(Value::Count(count.into())),
                Cell::or_unknown(fullest.map(|most| Value::Count(most.into()))),
                Cell::or_unknown(outcome.usable.map(Value::Capacity)),
                Cell::or_unknown(outcome.rate.map(Value::Rate)),
                Cell::or_unknown(outcome.uniform.map(Value::Bandwidth)),
            ],
            marked: count == largest,
        })
    };
    Some(Table {
        id: "table-limit",
        params: vec![("part", Value::Part(part))],
        columns: vec![
            "column-count",
            "column-per_channel",
            "column-usable",
            "column-rate",
            "column-uniform",
        ],
        rows: counts.into_iter().filter_map(row).collect(),
    })
}
