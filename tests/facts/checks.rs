//! From rows to checks: a request each, and what must come out of it.

use crate::table::{Expect, Group, Row, Table};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// What is asked of the service.
#[derive(Clone)]
pub enum Asked {
    /// To validate a request.
    Verdict(Value),
    /// To read a label or an SPD image, and what that must tell by JSON Pointer.
    Reading(Value, BTreeMap<String, Value>),
}

/// A row with all its requests.
pub struct Checked {
    /// Where it stands, for a fault's message.
    pub at: String,
    pub checks: Vec<(Asked, Expect)>,
    /// Whether it names another source's reading than the board's.
    pub disagrees: bool,
    /// Whether it predicts the rate that a real machine reported.
    pub predicts: bool,
    /// Whether it is a kit that follows from a group's rows.
    pub kit: bool,
}

/// The rows of a group, and what follows from them for kits.
pub fn of_group(table: &Table, group: &Group) -> Vec<Checked> {
    let mut checked: Vec<Checked> = group
        .rows
        .iter()
        .map(|row| of_row(table, group, row))
        .collect();
    if group.kit_road {
        checked.extend(kits(table, group));
    }
    checked
}

fn of_row(table: &Table, group: &Group, row: &Row) -> Checked {
    let mut at = format!("{} ({})", table.file, group.section);
    for part in [&row.id, &row.board, &row.what].into_iter().flatten() {
        at.push_str(&format!(", {part}"));
    }
    let checks = match (&row.near_to_far, &row.request) {
        (Some(seats), None) => {
            at.push_str(&format!(", {}", in_words(seats)));
            let rates = row.max_mts.iter();
            let checks: Vec<_> = rates
                .map(|(supply, mts)| on_channel(table, row, seats, supply, *mts))
                .collect();
            checks
        }
        (None, Some(request)) if row.reading.is_none() => {
            let expect = row.expect.clone();
            let expect = expect.unwrap_or_else(|| panic!("{at}: expects nothing"));
            let first = (request.clone(), predicted(row, expect));
            let all = std::iter::once(first).chain(row.also.clone());
            all.map(|(request, expect)| (Asked::Verdict(request), expect))
                .collect()
        }
        (None, None) => {
            let input = row.reading.clone();
            let input = input.unwrap_or_else(|| panic!("{at}: asks nothing"));
            assert!(row.expect.is_none() && row.also.is_empty(), "{at}");
            assert!(!row.tells.is_empty(), "{at}: expects nothing");
            vec![(Asked::Reading(input, row.tells.clone()), Expect::default())]
        }
        _ => panic!("{at}: one of `near_to_far`, `request` and `reading`"),
    };
    assert!(!checks.is_empty(), "{at}: nothing is checked");
    Checked {
        at,
        checks,
        disagrees: row.board_holds.is_some() || row.differs_because.is_some(),
        predicts: row.observed_mts.is_some(),
        kit: false,
    }
}

/// A real machine's rate is the one to come out, unless its row says why it differs.
fn predicted(row: &Row, expect: Expect) -> Expect {
    match (row.observed_mts, &row.differs_because) {
        (None, _) => expect,
        (Some(observed), None) => Expect {
            rate_mts: Some(observed),
            ..expect
        },
        (Some(observed), Some(_)) => {
            assert!(expect.rate_mts.is_some(), "what is predicted instead");
            Expect {
                rate_is_not: Some(observed),
                ..expect
            }
        }
    }
}

fn in_words(seats: &[Option<String>]) -> String {
    let seats: Vec<&str> = seats.iter().map(|s| s.as_deref().unwrap_or("-")).collect();
    format!("[{}]", seats.join(", "))
}

/// One channel's population at one supply voltage.
fn on_channel(
    table: &Table,
    row: &Row,
    seats: &[Option<String>],
    supply: &str,
    mts: Option<u32>,
) -> (Asked, Expect) {
    let board = row.board.as_deref().unwrap();
    let labels = table.labels(board);
    assert_eq!(labels.len(), seats.len(), "{board}: {}", in_words(seats));
    let filled = labels.iter().zip(seats.iter().rev());
    let population: Vec<Value> = filled
        .filter_map(|(label, name)| {
            let module = table.module(name.as_deref()?, supply);
            Some(json!({"slot": label, "module": module}))
        })
        .collect();
    let held = row.board_holds.or(mts);
    if row.board_holds.is_some() {
        assert_ne!(row.board_holds, mts, "{board}: no disagreement");
    }
    let expect = Expect {
        rate_is_not: mts.filter(|_| row.board_holds.is_some()),
        blocked_by: match held {
            Some(_) => Vec::new(),
            None => vec![row.refused_by.clone().expect("what refuses it")],
        },
        ..at_rate(held, supply)
    };
    let processors = table.processors(board);
    let request = json!({"board": board, "processors": processors, "population": population});
    (Asked::Verdict(request), expect)
}

/// What must come out of a population with this rate: that it works, runs at it, and why.
fn at_rate(mts: Option<u32>, supply: &str) -> Expect {
    Expect {
        works: Some(mts.is_some()),
        rate_mts: mts,
        supply_mv: mts.and(supply.parse().ok()),
        limited_by: mts.map(|_| "population".to_owned()).into_iter().collect(),
        ..Expect::default()
    }
}

/// Alike modules of a board at a voltage, whatever their slots: their best rate, and where it is
/// reached.
type Best = BTreeMap<(String, String, Vec<String>), (Option<u32>, Vec<Vec<Option<String>>>)>;

/// The same modules without slots: a kit works if some listed arrangement does, at the best rate of
/// all of them, and is placed as one of those that reach it.
fn kits(table: &Table, group: &Group) -> Vec<Checked> {
    let mut best: Best = BTreeMap::new();
    for row in &group.rows {
        let (Some(board), Some(seats)) = (&row.board, &row.near_to_far) else {
            panic!("{}: only channel rows have a kit", table.file);
        };
        let mut modules: Vec<String> = seats.iter().flatten().cloned().collect();
        modules.sort();
        for (supply, mts) in &row.max_mts {
            let key = (board.clone(), supply.clone(), modules.clone());
            let (rate, places) = best.entry(key).or_default();
            if *mts > *rate {
                (*rate, *places) = (*mts, Vec::new());
            }
            if mts.is_some() && *mts == *rate {
                places.push(seats.clone());
            }
        }
    }
    best.into_iter()
        .map(|((board, supply, modules), (rate, one_of))| {
            let lines: Vec<Value> = modules
                .iter()
                .map(|name| json!({"module": table.module(name, &supply), "quantity": 1}))
                .collect();
            let processors = table.processors(&board);
            let request = json!({"board": board, "processors": processors, "kit": lines});
            let expect = Expect {
                one_of,
                ..at_rate(rate, &supply)
            };
            Checked {
                at: format!(
                    "{}, {board}, kit {} at {supply}",
                    table.file,
                    modules.join(" + ")
                ),
                checks: vec![(Asked::Verdict(request), expect)],
                disagrees: false,
                predicts: false,
                kit: true,
            }
        })
        .collect()
}
