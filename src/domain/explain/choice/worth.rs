//! What a plan is worth, key by key, with the arithmetic; and two of them beside each other.

use std::cmp::Ordering;

use super::super::super::channel::Stack;
use super::super::super::finding::Value;
use super::super::super::optimise::{Key, Plan, Preference, Task, currency};
use super::super::super::setup::Setup;
use super::super::cause::Judged;
use super::super::table::{Cell, Row, Table};
use super::super::tree::{Basis, Explanation, Node, NodeIx, Operator, Params, Term, Working};
use super::super::working::{adds_up, rate, terms};

/// Keys that the optimiser breaks ties by.
pub const TIES: [Key; 4] = [Key::Cost, Key::Moved, Key::Modules, Key::Uniform];

/// Whose kit is spoken of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The optimiser's.
    Chosen,
    /// The one that was named.
    Named,
}

/// How one plan stands to another by a key: `Less` is better.
pub fn order(key: Key, one: &Plan, other: &Plan) -> Ordering {
    let signed = |plan: &Plan| key.sign() * i128::from(plan.values.of(key));
    signed(one).cmp(&signed(other))
}

/// A key's value, or that it is not known.
pub fn value(key: Key, plan: &Plan, task: &Task<'_>) -> Value {
    let outcome = &plan.outcome;
    let known = match key {
        Key::Usable => outcome.usable.is_some(),
        Key::Rate => outcome.rate.is_some(),
        Key::Peak => outcome.peak.is_some(),
        Key::Uniform => outcome.uniform.is_some(),
        Key::Power => outcome.peak_power.is_some(),
        Key::Cost | Key::Modules | Key::FreeSlots | Key::Moved | Key::Parts => true,
    };
    match known {
        true => key.measured(plan.values.of(key), currency(task)),
        false => Value::Message("not-known"),
    }
}

/// Adds that two plans are equal by a key.
pub fn add_same(
    explanation: &mut Explanation,
    key: Key,
    plan: &Plan,
    task: &Task<'_>,
) -> Option<NodeIx> {
    let params = vec![
        ("key", Value::Message(key.message())),
        ("value", value(key, plan, task)),
    ];
    explanation.add(Node::message("choice-key-same", params, Basis::Concluded))
}

/// Adds what a plan comes to by a key, with the arithmetic.
pub fn add_side(
    explanation: &mut Explanation,
    side: Side,
    key: Key,
    plan: &Plan,
    task: &Task<'_>,
) -> Option<NodeIx> {
    let mut params = vec![("key", Value::Message(key.message()))];
    let working = working(key, plan, task).filter(adds_up);
    let (id, basis) = match (side, working) {
        (Side::Chosen, Some(working)) => ("choice-key-chosen-by", Basis::Computed(working)),
        (Side::Named, Some(working)) => ("choice-key-named-by", Basis::Computed(working)),
        (Side::Chosen, None) => ("choice-key-chosen", Basis::Concluded),
        (Side::Named, None) => ("choice-key-named", Basis::Concluded),
    };
    if basis == Basis::Concluded {
        params.push(("value", value(key, plan, task)));
    }
    let mut node = Node::message(id, params, basis);
    if matches!(key, Key::Rate | Key::Peak | Key::Uniform) {
        node.because = rate_of(plan, task)
            .and_then(|below| explanation.add(below))
            .into_iter()
            .collect();
    }
    explanation.add(node)
}

/// What holds a plan's rate.
fn rate_of(plan: &Plan, task: &Task<'_>) -> Option<Node> {
    let request = plan.seated(task);
    let setup = Setup::new(task.board, &request, plan.model)?;
    let judged = Judged {
        board: task.board,
        request: &request,
        population: &plan.population,
        model: plan.model,
    };
    rate(&judged, &setup, &plan.outcome)
}

/// The arithmetic of a key, where there is one.
fn working(key: Key, plan: &Plan, task: &Task<'_>) -> Option<Working> {
    let result = value(key, plan, task);
    let values: Vec<(u32, Value)> = match key {
        Key::Cost => costs(plan, task)?,
        Key::Usable => of_modules(plan, task, |part| Some(Value::Capacity(part.capacity?))),
        Key::Power => of_modules(plan, task, |part| Some(Value::Power(part.peak_power?))),
        Key::FreeSlots => return free_slots(plan, task, result),
        Key::Moved if !plan.moved.is_empty() && !plan.removed.is_empty() => {
            [&plan.moved, &plan.removed]
                .map(|list| (1, Value::Count(list.len() as u64)))
                .to_vec()
        }
        Key::Rate | Key::Peak | Key::Uniform | Key::Modules | Key::Moved | Key::Parts => {
            return None;
        }
    };
    let terms = terms(values);
    (!terms.is_empty()).then_some(Working {
        terms,
        operator: Operator::Sum,
        result,
        bound: None,
    })
}

/// What each line costs, and handling.
fn costs(plan: &Plan, task: &Task<'_>) -> Option<Vec<(u32, Value)>> {
    let currency = currency(task);
    let money = |minor| Key::Cost.measured(minor, currency);
    let lines = plan.lines.iter().map(|line| {
        let each = line.cost.minor.checked_div(i64::from(line.quantity))?;
        Some((line.quantity, money(each)))
    });
    let changed = u32::try_from(plan.moved.len() + plan.removed.len()).ok()?;
    let handling = (plan.cost.handling > 0).then(|| Some((changed, money(task.handling))));
    lines.chain(handling).collect()
}

fn of_modules(
    plan: &Plan,
    task: &Task<'_>,
    fact: impl Fn(&super::super::super::module::Module) -> Option<Value>,
) -> Vec<(u32, Value)> {
    let mut parts: Vec<_> = plan.stacks.iter().flat_map(Stack::parts).collect();
    parts.sort_unstable();
    let told = parts.into_iter().filter_map(|part| task.request.part(part));
    told.filter_map(|module| Some((1, fact(module)?))).collect()
}

fn free_slots(plan: &Plan, task: &Task<'_>, result: Value) -> Option<Working> {
    let request = plan.seated(task);
    let setup = Setup::new(task.board, &request, plan.model)?;
    let count = |n: u64| Term {
        times: 1,
        value: Value::Count(n),
    };
    Some(Working {
        terms: vec![
            count(setup.working_slots()),
            count(u64::from(plan.outcome.modules)),
        ],
        operator: Operator::Difference,
        result,
        bound: None,
    })
}

/// The weighted sum of a plan, weight by weight.
pub fn sum(plan: &Plan, weights: &[(Key, u32)]) -> Working {
    let each = weights
        .iter()
        .map(|weight| (1, Value::Whole(share(plan, *weight))));
    let total = weights.iter().map(|weight| share(plan, *weight));
    Working {
        terms: each.map(|(times, value)| Term { times, value }).collect(),
        operator: Operator::Sum,
        result: Value::Whole(total.fold(0, i64::saturating_add)),
        bound: None,
    }
}

/// What one weight adds.
fn share(plan: &Plan, (key, weight): (Key, u32)) -> i64 {
    let signed = key.sign() * i128::from(plan.values.of(key)) * i128::from(weight);
    i64::try_from(signed).unwrap_or(if signed < 0 { i64::MIN } else { i64::MAX })
}

const fn say(id: &'static str) -> Cell {
    Cell::Message {
        id,
        params: Params::new(),
    }
}

/// Both kits beside each other. The row of the key that decides is marked.
pub fn table(chosen: &Plan, named: &Plan, task: &Task<'_>, deciding: Option<Key>) -> Table {
    match &task.preference {
        Preference::Ordered(keys) => by_order(chosen, named, task, keys, deciding),
        Preference::Weighted(weights) => by_weight(chosen, named, task, weights),
    }
}

fn by_order(
    chosen: &Plan,
    named: &Plan,
    task: &Task<'_>,
    keys: &[Key],
    deciding: Option<Key>,
) -> Table {
    let others = Key::ALL.into_iter().filter(|key| !keys.contains(key));
    let rows = keys.iter().copied().chain(others).map(|key| {
        let better = match order(key, chosen, named) {
            Ordering::Less => "better-chosen",
            Ordering::Greater => "better-named",
            Ordering::Equal => "better-equal",
        };
        let cell = |plan| Cell::Value(value(key, plan, task));
        Row {
            cells: vec![say(key.message()), cell(chosen), cell(named), say(better)],
            marked: deciding == Some(key),
        }
    });
    Table {
        id: "table-choice",
        params: Params::new(),
        columns: vec![
            "column-what",
            "column-chosen",
            "column-named",
            "column-better",
        ],
        rows: rows.collect(),
    }
}

fn by_weight(chosen: &Plan, named: &Plan, task: &Task<'_>, weights: &[(Key, u32)]) -> Table {
    let cell = |number| Cell::Value(Value::Whole(number));
    let rows = weights.iter().map(|weight| Row {
        cells: vec![
            say(weight.0.message()),
            cell(weight.0.sign() as i64 * i64::from(weight.1)),
            Cell::Value(value(weight.0, chosen, task)),
            Cell::Value(value(weight.0, named, task)),
            cell(share(chosen, *weight)),
            cell(share(named, *weight)),
        ],
        marked: false,
    });
    let total = |plan| Cell::Value(sum(plan, weights).result);
    let last = Row {
        cells: vec![
            say("choice-total"),
            Cell::Empty,
            Cell::Empty,
            Cell::Empty,
            total(chosen),
            total(named),
        ],
        marked: true,
    };
    Table {
        id: "table-choice-weights",
        params: Params::new(),
        columns: vec![
            "column-what",
            "column-weight",
            "column-chosen",
            "column-named",
            "column-share-chosen",
            "column-share-named",
        ],
        rows: rows.chain([last]).collect(),
    }
}
