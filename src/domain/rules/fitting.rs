//! What the rules about one module and the board's acceptance rows share. Not a rule.

use super::super::board::accept::AcceptRow;
use super::super::finding::{Fix, Missing, Value};
use super::super::module::{Kind, Module};
use super::super::setup::{Facet, Standing};
use super::{ChannelView, Draft, Hits, OnChannel, PartView};

/// Whether the module is of a known other generation: then it does not go into the slot at all, and
/// nothing else about it matters.
pub(super) fn is_foreign(view: &PartView<'_>) -> bool {
    let needed = view.board().generation;
    view.module.generation.is_some_and(|told| told != needed)
        && !view.board().lowers("generation-differs")
}

/// Whether a channel holds a module that does not belong on the board at all, by its generation or
/// its kind, and is refused for it. Rules about the channel as a whole then have nothing to add.
pub(super) fn holds_foreign(view: &ChannelView<'_>) -> bool {
    let board = view.board();
    let other = |on: &OnChannel<'_>| on.module.generation.is_some_and(|g| g != board.generation);
    view.modules().any(|on| {
        on.fit.is_of_foreign_kind() && !board.lowers("kind-not-taken")
            || other(&on) && !board.lowers("generation-differs")
    })
}

/// A module's ranks and kind as the trade writes them: `2R RDIMM`.
pub(super) fn build_words(module: &Module) -> String {
    let ranks = module
        .package_ranks
        .map_or("?".to_owned(), |r| r.to_string());
    let stack = match module.stack_height {
        Some(height) if height > 1 => format!(" 3DS {height}H"),
        _ => String::new(),
    };
    let kind = module.kind.map_or("module", Kind::name);
    format!("{ranks}R{stack} {kind}")
}

/// Reports how the module fares by one facet of the acceptance rows. `found` and `taken` name the
/// module's value and those that the board would take.
pub(super) fn check_facet(
    view: &PartView<'_>,
    hits: &mut Hits,
    facet: Facet,
    found: impl FnOnce(&Module) -> Option<Value>,
    taken: impl FnOnce(&[&AcceptRow]) -> Vec<Value>,
) {
    if is_foreign(view) {
        return;
    }
    if view.fit.refuses_by(facet) {
        return hits.broken(|draft| {
            let found = found(view.module).unwrap_or(Value::Word("?"));
            refused(draft, view, facet, found, taken(&view.fit.nearest))
        });
    }
    match &view.fit.standing {
        // Rows are narrowed down in order: what comes after the cause was not looked at.
        Standing::Refused(_) => {}
        Standing::Open(facets) if facets.contains(&facet) && !view.fit.is_surely_taken() => {
            hits.undecided(&[Missing::of(view.part, facet.fact())]);
        }
        // Which rows are left depends on other facts, and so does what they say of this one.
        Standing::Open(_) if !view.fit.is_surely_taken() => {}
        Standing::Taken | Standing::Open(_) => {
            if view.fit.rows.iter().any(|row| facet.is_limited_by(row)) {
                hits.met();
            }
        }
    }
}

fn refused(
    draft: Draft,
    view: &PartView<'_>,
    facet: Facet,
    found: Value,
    taken: Vec<Value>,
) -> Draft {
    let taken = Value::OneOf(taken);
    draft
        .param("module", Value::Part(view.part))
        .param("found", found)
        .param("taken", taken.clone())
        .part(view.part)
        .fix(Fix::ChooseOther {
            part: view.part,
            needs: vec![(facet.fact(), taken)],
        })
}

/// What the rows take of a fact, each value once and ascending.
pub(super) fn values<T: Copy + Ord>(
    rows: &[&AcceptRow],
    list: impl Fn(&AcceptRow) -> Option<&Vec<T>>,
    show: impl Fn(T) -> Value,
) -> Vec<Value> {
    let mut all: Vec<T> = rows
        .iter()
        .filter_map(|row| list(row))
        .flatten()
        .copied()
        .collect();
    all.sort_unstable();
    all.dedup();
    all.into_iter().map(show).collect()
}

/// The kinds that the rows take, each once and in the order of the record.
pub(super) fn kinds(rows: &[&AcceptRow]) -> Vec<Kind> {
    let mut kinds: Vec<Kind> = Vec::new();
    for row in rows {
        if !kinds.contains(&row.kind) {
            kinds.push(row.kind);
        }
    }
    kinds
}

/// How the trade names a stack height.
pub(super) fn stack_words(height: u8) -> Value {
    if height == 1 {
        Value::Word("flat")
    } else {
        Value::Text(format!("3DS {height}H"))
    }
}

/// Whether a module has ECC, by its ECC bits or else its kind.
pub(super) fn has_ecc(module: &Module) -> Option<bool> {
    let by_bits = module.ecc_bits.map(|bits| bits > 0);
    by_bits.or(module.kind.map(Kind::has_ecc))
}

/// What the tests of the rules about one facet have in common: a lone module in the first slot of a board
/// of its generation that takes what one row says.
#[cfg(test)]
pub(super) mod asked {
    use super::{AcceptRow, Value};
    use crate::domain::module::ModuleFacts;
    use crate::domain::testing::{Case, Checked, accepts, board};

    fn check(row: AcceptRow, module: ModuleFacts) -> Checked {
        let generation = module.generation.expect("a module of a known generation");
        let mut board = board(generation, 1, 2, 2);
        board.accepts = vec![row];
        Case::on(board).seat(module, &["A1"]).check()
    }

    /// What the rule names in the module's place; it must refuse the module.
    pub fn taken_instead(id: &str, row: AcceptRow, module: ModuleFacts) -> Value {
        let checked = check(row, module);
        assert!(checked.breaks(id), "{:?}", checked.findings);
        let (name, taken) = checked.finding(id).expect("a finding").params[2].clone();
        assert_eq!(name, "taken");
        taken
    }

    /// The rule must say nothing of the module.
    pub fn takes(id: &str, row: AcceptRow, module: ModuleFacts) {
        let checked = check(row, module);
        assert!(checked.silent(id), "{:?}", checked.findings);
    }

    /// The rule must ask for the fact that the module lacks, but not where a row takes all of its kind.
    pub fn leaves_open_only_if_listed(id: &str, row: AcceptRow, unknown: ModuleFacts) {
        let any = accepts(row.kind);
        assert!(check(row, unknown.clone()).leaves_open(id));
        assert!(!check(any, unknown).leaves_open(id));
    }
}
