//! Two kits beside each other: what differs, and who is better on which count.
//!
//! Nothing here refers to a module's index or to a slot: the second kit may be for another board.

use super::super::finding::{State, Value, Verdict};
use super::super::request::Request;
use super::super::setup::Setup;
use super::super::units::Money;
use super::Case;
use super::cause::Judged;
use super::reduce::share_causes;
use super::table::{Cell, Row, Table};
use super::tree::{About, Basis, Explanation, Node, NodeIx, Params, Says};
use super::verdict::verdict_id;
use super::working::{headroom, money_times};

/// Which way a count is better.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Better {
    More,
    Less,
}

/// A count on which two kits are compared.
struct Count {
    id: &'static str,
    better: Better,
    of: fn(&Case<'_>) -> Option<Value>,
}

const fn count(id: &'static str, better: Better, of: fn(&Case<'_>) -> Option<Value>) -> Count {
    Count { id, better, of }
}

/// All counts, in the order of the table.
static COUNTS: [Count; 9] = [
    count("count-usable", Better::More, |c| {
        c.answer.outcome.usable.map(Value::Capacity)
    }),
    count("count-rate", Better::More, |c| {
        c.answer.outcome.rate.map(Value::Rate)
    }),
    count("count-uniform", Better::More, |c| {
        c.answer.outcome.uniform.map(Value::Bandwidth)
    }),
    count("count-peak", Better::More, |c| {
        c.answer.outcome.peak.map(Value::Bandwidth)
    }),
    count("count-modules", Better::Less, |c| {
        Some(Value::Count(c.answer.outcome.modules.into()))
    }),
    count("count-free_slots", Better::More, |c| {
        Some(Value::Count(c.answer.outcome.free_slots.into()))
    }),
    count("count-fillers", Better::Less, |c| {
        Some(Value::Count(c.answer.outcome.fillers.into()))
    }),
    count("count-power", Better::Less, |c| {
        c.answer.outcome.peak_power.map(Value::Power)
    }),
    count("count-price", Better::Less, |c| price(c.request)),
];

/// What the modules that go in cost, if every price is known and in one currency.
fn price(request: &Request) -> Option<Value> {
    let lines = request.kit.iter().map(|line| (line.part, line.quantity));
    let seats = request.population.iter().map(|entry| (entry.part, 1));
    let mut sum: Option<Money> = None;
    for (part, quantity) in lines.chain(seats) {
        let price = money_times(request.part(part)?.price?, quantity.into())?;
        sum = Some(match sum {
            None => price,
            Some(sum) if sum.currency == price.currency => Money {
                minor: sum.minor.checked_add(price.minor)?,
                ..sum
            },
            Some(_) => return None,
        });
    }
    sum.map(Value::Money)
}

/// Compares two kits.
pub fn compare(first: Case<'_>, second: Case<'_>) -> Explanation {
    let mut explanation = Explanation::new(About::Compare, first.answer.verdict);
    let table = table(&first, &second);
    let wins = |id: &str| {
        let won = |row: &&Row| {
            let mut cells = row.cells.iter();
            cells.any(|cell| matches!(cell, Cell::Message { id: own, .. } if *own == id))
        };
        Value::Count(table.rows.iter().filter(won).count() as u64)
    };
    let params = vec![
        ("first", wins("better-first")),
        ("second", wins("better-second")),
        ("equal", wins("better-equal")),
    ];
    explanation.add_root(Node::message("compare-summary", params, Basis::Concluded));
    for (id, case) in [("compare-first", first), ("compare-second", second)] {
        let mut root = Node::message(id, Vec::new(), Basis::Concluded);
        root.because = side(&mut explanation, case);
        explanation.add_root(root);
    }
    explanation.tables.push(table);
    share_causes(&mut explanation);
    explanation
}

/// What one kit comes to, and what holds its rate.
fn side(explanation: &mut Explanation, case: Case<'_>) -> Vec<NodeIx> {
    let answer = case.answer;
    let mut nodes = vec![Node::message(
        verdict_id(answer.verdict),
        Vec::new(),
        Basis::Concluded,
    )];
    let wanted = |finding: &&super::super::finding::Finding| {
        finding.blocks() && (finding.state == State::Broken || answer.verdict == Verdict::Undecided)
    };
    let mut rules: Vec<String> = Vec::new();
    for finding in answer.findings.iter().filter(wanted) {
        let id = finding.rule.id.to_owned();
        if !rules.contains(&id) {
            rules.push(id);
        }
    }
    if !rules.is_empty() {
        let params = vec![("rules", Value::Words(rules))];
        nodes.push(Node::message("compare-blocked", params, Basis::Concluded));
    }
    let mut added: Vec<NodeIx> = nodes
        .into_iter()
        .filter_map(|n| explanation.add(n))
        .collect();
    if answer.verdict <= Verdict::FitsWithWarnings {
        added.extend(figures(explanation, case));
    }
    added
}

/// The figures that carry a kit, without names of another request's.
fn figures(explanation: &mut Explanation, case: Case<'_>) -> Vec<NodeIx> {
    let without = Request {
        removed: case.answer.removed.clone(),
        ..case.request.clone()
    };
    let Some(setup) = Setup::new(case.board, &without, case.answer.model) else {
        return Vec::new();
    };
    let judged = Judged {
        board: case.board,
        request: &without,
        population: &case.answer.population,
        model: case.answer.model,
    };
    let before = explanation.nodes.len();
    let added = headroom(explanation, &judged, &setup, &case.answer.outcome);
    for node in explanation.nodes.iter_mut().skip(before) {
        detach(node, case.request);
    }
    added
}

/// Takes places and indices out of a node.
fn detach(node: &mut Node, request: &Request) {
    if let Says::Message { id, params } = &mut node.says {
        if *id == "working-ranks" {
            *id = "working-ranks-fullest";
        }
        for (_, value) in params.iter_mut() {
            if let Value::Part(part) = value {
                let name = request.part(*part).map(|module| module.name.clone());
                *value = Value::Text(name.unwrap_or_default());
            }
        }
    }
    node.slots.clear();
    node.channels.clear();
    node.sockets.clear();
}

fn table(first: &Case<'_>, second: &Case<'_>) -> Table {
    let cell = |case: &Case<'_>| Cell::Message {
        id: verdict_id(case.answer.verdict),
        params: Params::new(),
    };
    let name = |case: &Case<'_>| Cell::Value(Value::Text(case.board.name.clone()));
    let verdicts = (first.answer.verdict, second.answer.verdict);
    let mut rows = vec![
        row("count-board", name(first), name(second), None),
        row(
            "count-verdict",
            cell(first),
            cell(second),
            Some(verdicts.1.cmp(&verdicts.0)),
        ),
    ];
    for count in &COUNTS {
        let values = ((count.of)(first), (count.of)(second));
        let order = order(count.better, &values.0, &values.1);
        let cells = (Cell::or_unknown(values.0), Cell::or_unknown(values.1));
        rows.push(row(count.id, cells.0, cells.1, order));
    }
    Table {
        id: "table-compare",
        params: Params::new(),
        columns: vec![
            "column-what",
            "column-first",
            "column-second",
            "column-better",
        ],
        rows,
    }
}

/// How the first stands to the second; `None` if it is not known.
fn order(
    better: Better,
    first: &Option<Value>,
    second: &Option<Value>,
) -> Option<std::cmp::Ordering> {
    let (first, second) = (number(first.as_ref()?)?, number(second.as_ref()?)?);
    (first.0 == second.0).then(|| match better {
        Better::More => first.1.cmp(&second.1),
        Better::Less => second.1.cmp(&first.1),
    })
}

/// A value with what it is counted in.
fn number(value: &Value) -> Option<(&str, i64)> {
    let whole = |n: u64| i64::try_from(n).ok();
    Some(match value {
        Value::Count(n) => ("", whole(*n)?),
        Value::Capacity(mib) => ("MiB", whole(mib.0)?),
        Value::Rate(rate) => ("MT/s", i64::from(rate.0)),
        Value::Bandwidth(bandwidth) => ("MB/s", whole(bandwidth.0)?),
        Value::Power(power) => ("mW", whole(power.0)?),
        Value::Money(money) => (money.currency.code(), money.minor),
        _ => return None,
    })
}

fn row(id: &'static str, first: Cell, second: Cell, order: Option<std::cmp::Ordering>) -> Row {
    let say = |id| Cell::Message {
        id,
        params: Params::new(),
    };
    let better = match order {
        None => Cell::Empty,
        Some(std::cmp::Ordering::Greater) => say("better-first"),
        Some(std::cmp::Ordering::Less) => say("better-second"),
        Some(std::cmp::Ordering::Equal) => say("better-equal"),
    };
    Row {
        cells: vec![say(id), first, second, better],
        marked: false,
    }
}
