//! A number of modules that the maker does not support at one socket.

use super::super::finding::{Fix, Severity, Value};
use super::{Check, Draft, Group, Hits, Rule, SocketView};

/// The rule.
pub static RULE: Rule = Rule {
    id: "module-count-not-supported",
    group: Group::Place,
    severity: Severity::Blocker,
    title: "A number of modules that the maker does not support",
    doc: "The memory controllers of a processor combine channels in fixed sets, so makers list the numbers of modules of \
          a socket for which a set exists. Other numbers are refused, or leave part of the memory slow. A board on which \
          they merely run slower lowers this to a warning.",
    source: "common practice; the numbers themselves are the board record's",
    reads: &[],
    message: "{ $sockets }: the number of modules ({ $count }) is none that this board supports at a socket ({ $supported }). \
              The nearest are { $nearest }.",
    asks: "whether the number of modules at each socket is supported",
    checks: &[Check::SocketLoad(check)],
    breaks: r#"{"board": "firth", "processors": ["fitted", "empty"], "kit": [{"module": "ERW-5R64-2x4", "quantity": 5}]}"#,
    meets: r#"{"board": "firth", "processors": ["fitted", "empty"], "kit": [{"module": "ERW-5R64-2x4", "quantity": 6}]}"#,
};

fn check(view: &SocketView<'_>, hits: &mut Hits) {
    let Some(counts) = view.setup.filling.module_counts.as_deref() else {
        return;
    };
    let count = view.count();
    // Memory at an empty socket, and a processor without memory, have rules of their own.
    if !view.is_fitted() || count == 0 {
        return;
    }
    if counts
        .iter()
        .any(|supported| usize::from(*supported) == count)
    {
        return hits.met();
    }
    hits.broken(|draft| {
        let number = |count: u8| u64::from(count);
        let near = nearest(counts, count);
        let draft = draft
            .param("count", Value::Count(count as u64))
            .param(
                "supported",
                Value::Counts(counts.iter().copied().map(number).collect()),
            )
            .param(
                "nearest",
                Value::Counts(near.iter().copied().map(number).collect()),
            )
            .slots(view.modules().map(|on| on.slot));
        offer(view, &near, draft)
    });
}

/// The next lower and the next higher supported count, where they exist.
fn nearest(counts: &[u8], count: usize) -> Vec<u8> {
    let below = counts.iter().filter(|c| usize::from(**c) < count).max();
    let above = counts.iter().filter(|c| usize::from(**c) > count).min();
    below.into_iter().chain(above).copied().collect()
}

/// If everything is one kit line: so many modules for each socket.
fn offer(view: &SocketView<'_>, near: &[u8], draft: Draft) -> Draft {
    let setup = view.setup;
    let Some(line) = setup
        .sole_line()
        .filter(|line| u64::from(line.quantity) == setup.staying_count())
    else {
        return draft;
    };
    let sockets = setup.fitted_sockets().count() as u32;
    near.iter()
        .map(|count| u32::from(*count) * sockets)
        .filter(|quantity| *quantity != line.quantity && *quantity > 0)
        .fold(draft, |draft, quantity| {
            draft.fix(Fix::SetQuantity { line: 0, quantity })
        })
}

#[cfg(test)]
mod tests {
    use crate::domain::board::BoardFacts;
    use crate::domain::finding::Value;
    use crate::domain::module::{Generation, Kind};
    use crate::domain::testing::{Case, Checked, board, module};

    const ID: &str = "module-count-not-supported";
    const SLOTS: [&str; 12] = [
        "A1", "B1", "C1", "D1", "E1", "F1", "G1", "H1", "I1", "J1", "K1", "L1",
    ];

    /// Common practice for twelve one-slot channels: 1, 2 and the even numbers from 4.
    fn listed() -> BoardFacts {
        let mut facts = board(Generation::Ddr5, 1, 12, 1);
        facts.filling[0].module_counts = Some(vec![1, 2, 4, 6, 8, 10, 12]);
        facts
    }

    fn check(count: usize) -> Checked {
        let case = Case::on(listed());
        case.seat(
            module(Generation::Ddr5, Kind::Rdimm, 64, 2),
            &SLOTS[..count],
        )
        .check()
    }

    #[test]
    fn refuses_the_numbers_that_are_not_listed() {
        for count in 1..=12 {
            let odd = [3, 5, 7, 9, 11].contains(&count);
            assert_eq!(check(count).breaks(ID), odd, "{count} modules");
        }
    }

    #[test]
    fn names_the_nearest_numbers() {
        let checked = check(5);
        let params = &checked.finding(ID).unwrap().params;
        assert_eq!(params[2], ("nearest", Value::Counts(vec![4, 6])));
    }

    #[test]
    fn does_not_apply_without_a_list_or_without_memory() {
        let free = Case::on(board(Generation::Ddr5, 1, 12, 1));
        let three = free.seat(module(Generation::Ddr5, Kind::Rdimm, 64, 2), &SLOTS[..3]);
        assert!(three.check().silent(ID) && check(0).silent(ID));
    }
}
