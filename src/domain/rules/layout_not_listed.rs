//! A position pattern that the board's maker does not list.

use super::super::board::SlotIx;
use super::super::board::filling::{LayoutRow, Seat};
use super::super::channel::{Stack, Told, layout};
use super::super::finding::{Fact, Fix, Severity, Value};
use super::fitting::holds_foreign;
use super::{ChannelView, Check, Draft, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "layout-not-listed",
    group: Group::Load,
    severity: Severity::Blocker,
    title: "A position pattern that the maker does not list",
    doc: "Some makers list, position by position, what a channel may hold, and support nothing else. The count of modules \
          may be right and their places wrong: two modules may belong in the far and the near slot with the middle one \
          empty, or a quad-rank module in the middle.",
    source: "published guide P1, section 2.8.9.5.8 (what is not listed is invalid), tables 49, 64 and 65",
    reads: &[Fact::Kind, Fact::PackageRanks],
    message: "{ $place }: { $found } is not a position pattern that this board's maker lists, counted from the slot farthest from the processor. The maker lists { $listed }.",
    asks: "whether the maker lists the position pattern of a channel",
    checks: &[Check::Channel(check)],
    breaks: r#"{"board": "beck", "population": [{"slot": "A2", "module": "ERW-3E8-2x8"}]}"#,
    meets: r#"{"board": "beck", "population": [{"slot": "A1", "module": "ERW-3E8-2x8"}]}"#,
};

fn check(view: &ChannelView<'_>, hits: &mut Hits) {
    match layout(view) {
        None => {}
        Some(Told::Yes) => hits.met(),
        Some(Told::Open(missing)) => hits.undecided(&missing),
        Some(Told::No) if holds_foreign(view) => {}
        Some(Told::No) => hits.broken(|draft| {
            let draft = draft
                .param("found", Value::Text(found(view)))
                .param("listed", Value::OneOf(listed(view)))
                .slots(view.occupied_slots());
            steps(view).into_iter().fold(draft, Draft::fix)
        }),
    }
}

/// The pattern of the channel, the farthest position first: `[4R, -, 2R]`.
fn found(view: &ChannelView<'_>) -> String {
    let seats = (1..=view.board().wired(view.channel)).map(|position| {
        let on = view.modules().find(|on| on.position == position);
        on.map_or("-".to_owned(), |on| {
            let ranks = on.module.package_ranks;
            ranks.map_or("?R".to_owned(), |ranks| format!("{ranks}R"))
        })
    });
    bracketed(seats.collect())
}

fn bracketed(seats: Vec<String>) -> String {
    format!("[{}]", seats.join(", "))
}

fn words(row: &LayoutRow) -> String {
    let seat = |seat: &Seat| match seat {
        Seat::Empty => "-".to_owned(),
        Seat::Module => "any".to_owned(),
        Seat::Ranks(ranks) => {
            let each: Vec<String> = ranks.iter().map(|count| format!("{count}R")).collect();
            each.join("/")
        }
    };
    bracketed(row.pattern.iter().map(seat).collect())
}

/// The patterns for the kinds of this channel with as many modules; if there are none, with any
/// number.
fn listed(view: &ChannelView<'_>) -> Vec<Value> {
    let wired = usize::from(view.board().wired(view.channel));
    let fitted = view.setup.fitted_sockets().count();
    let for_kind = |row: &&LayoutRow| {
        let kinds = view.modules().filter_map(|on| on.module.kind);
        let mut known = kinds.filter(|kind| row.kinds.contains(kind));
        let counts = row.sockets_fitted.as_ref();
        row.pattern.len() == wired
            && known.next().is_some()
            && counts.is_none_or(|list| list.iter().any(|count| usize::from(*count) == fitted))
    };
    let filled = |row: &LayoutRow| row.pattern.iter().filter(|s| **s != Seat::Empty).count();
    let rows: Vec<&LayoutRow> = view.board().layouts.iter().filter(for_kind).collect();
    let same = usize::from(view.stack.count());
    let mut all: Vec<String> = Vec::new();
    let alike = rows.iter().any(|row| filled(row) == same);
    for row in rows.iter().filter(|row| !alike || filled(row) == same) {
        let text = words(row);
        if !all.contains(&text) {
            all.push(text);
        }
    }
    all.into_iter().map(Value::Text).collect()
}

/// The fewest moves and exchanges within the channel that make a listed pattern of the same modules,
/// one after the other; else nothing.
fn steps(view: &ChannelView<'_>) -> Vec<Fix> {
    let wired = view.board().wired(view.channel);
    let mut best: Option<Vec<Fix>> = None;
    for stack in orders(view.stack, wired) {
        let other = ChannelView { stack, ..*view };
        if layout(&other) != Some(Told::Yes) {
            continue;
        }
        let way = way(view, stack);
        if best.as_ref().is_none_or(|best| way.len() < best.len()) {
            best = Some(way);
        }
    }
    best.unwrap_or_default()
}

/// The same modules in every order of the positions.
fn orders(stack: Stack, wired: u8) -> Vec<Stack> {
    let mut orders = vec![stack];
    for position in 1..wired {
        for index in 0..orders.len() {
            let Some(order) = orders.get(index).copied() else {
                continue;
            };
            orders.extend((position + 1..=wired).map(|other| exchanged(order, position, other)));
        }
    }
    orders
}

fn exchanged(stack: Stack, one: u8, other: u8) -> Stack {
    let (here, there) = (stack.at(one), stack.at(other));
    stack.with(one, there).with(other, here)
}

/// Moves and exchanges that turn the channel's stack into another order of it.
fn way(view: &ChannelView<'_>, goal: Stack) -> Vec<Fix> {
    let slots: Vec<SlotIx> = view.board().slots_of(view.channel).collect();
    let slot = |position: u8| slots.get(usize::from(position) - 1).copied();
    let wired = view.board().wired(view.channel);
    let mut stack = view.stack;
    let mut way = Vec::new();
    for position in 1..wired {
        let wanted = goal.at(position);
        if stack.at(position) == wanted {
            continue;
        }
        let source = (position + 1..=wired)
            .find(|other| stack.at(*other) == wanted && goal.at(*other) != wanted)
            .or_else(|| (position + 1..=wired).find(|other| stack.at(*other) == wanted));
        let Some(source) = source else { continue };
        if let (Some(here), Some(there)) = (slot(position), slot(source)) {
            way.push(match (stack.at(position), stack.at(source)) {
                (None, _) => Fix::Move {
                    from: there,
                    to: here,
                },
                (_, None) => Fix::Move {
                    from: here,
                    to: there,
                },
                _ => Fix::Swap {
                    one: here,
                    other: there,
                },
            });
        }
        stack = exchanged(stack, position, source);
    }
    way
}

#[cfg(test)]
mod tests {
    use crate::domain::board::filling::{LayoutRow, Seat};
    use crate::domain::board::{BoardFacts, SlotIx};
    use crate::domain::finding::{Fix, Value};
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, Checked, board, module, rdimm};

    const ID: &str = "layout-not-listed";

    /// The RDIMM patterns of published guide P1, tables 49, 64 and 65: three positions, the
    /// farthest first (the tables print the nearest first).
    fn published() -> BoardFacts {
        let (none, low, quad) = (
            || Seat::Empty,
            || Seat::Ranks(vec![1, 2]),
            || Seat::Ranks(vec![4]),
        );
        let patterns = [
            vec![low(), none(), none()],
            vec![low(), none(), low()],
            vec![low(), low(), low()],
            vec![none(), quad(), none()],
            vec![low(), quad(), none()],
            vec![low(), quad(), low()],
        ];
        BoardFacts {
            layouts: patterns
                .into_iter()
                .map(|pattern| LayoutRow {
                    kinds: vec![Kind::Rdimm],
                    sockets_fitted: None,
                    pattern,
                    rates: Vec::new(),
                })
                .collect(),
            ..board(Generation::Ddr3, 1, 2, 3)
        }
    }

    /// Seats a pattern, the nearest position first as the tables print it.
    fn near_to_far(pattern: [u8; 3]) -> Checked {
        let mut case = Case::on(published());
        for (ranks, slot) in pattern.into_iter().zip(["A3", "A2", "A1"]) {
            if ranks > 0 {
                case = case.seat(rdimm(8 * u64::from(ranks), ranks), &[slot]);
            }
        }
        case.check()
    }

    #[test]
    fn takes_the_published_patterns_and_no_other() {
        for pattern in [
            [0, 0, 1],
            [2, 0, 1],
            [2, 2, 2],
            [0, 4, 0],
            [0, 4, 2],
            [1, 4, 2],
        ] {
            assert!(near_to_far(pattern).silent(ID), "{pattern:?}");
        }
        // ddr3-checks F10-18 to F10-20 and CS-02; section 7 of the same notes: right counts in the
        // wrong places.
        for pattern in [
            [0, 0, 4],
            [4, 0, 0],
            [0, 4, 4],
            [4, 0, 2],
            [0, 2, 2],
            [0, 2, 0],
        ] {
            assert!(near_to_far(pattern).breaks(ID), "{pattern:?}");
        }
    }

    #[test]
    fn offers_the_legal_order_of_the_same_modules() {
        let fixes = |pattern| -> Vec<Fix> {
            let checked = near_to_far(pattern);
            let finding = checked.finding(ID).expect("a finding");
            finding
                .fixes
                .iter()
                .map(|offer| offer.fix.clone())
                .collect()
        };
        let (far, middle, near) = (SlotIx(0), SlotIx(1), SlotIx(2));
        let moved = |from, to| Fix::Move { from, to };
        assert_eq!(fixes([0, 0, 4]), [moved(far, middle)]);
        assert_eq!(fixes([0, 2, 2]), [moved(middle, near)]);
        // [4R, -, 2R] near to far: the quad-rank module goes to the middle.
        assert_eq!(fixes([4, 0, 2]), [moved(near, middle)]);
        let swap = Fix::Swap {
            one: far,
            other: middle,
        };
        assert_eq!(fixes([0, 2, 4]), [swap]);
        assert!(fixes([0, 4, 4]).is_empty());
    }

    #[test]
    fn names_the_listed_patterns_of_as_many_modules() {
        let checked = near_to_far([0, 2, 2]);
        let finding = checked.finding(ID).expect("a finding");
        let text = |text: &str| Value::Text(text.into());
        assert_eq!(finding.params[0], ("found", text("[2R, 2R, -]")));
        let listed = vec![text("[1R/2R, -, 1R/2R]"), text("[1R/2R, 4R, -]")];
        assert_eq!(finding.params[1], ("listed", Value::OneOf(listed)));
    }

    #[test]
    fn an_untold_rank_count_is_undecided_where_a_pattern_may_match() {
        let unknown = |slots: &[&str]| {
            let unknown = ModuleFacts {
                package_ranks: None,
                ..rdimm(16, 2)
            };
            Case::on(published()).seat(unknown, slots).check()
        };
        assert!(unknown(&["A1"]).leaves_open(ID));
        assert!(unknown(&["A3"]).breaks(ID));
    }

    #[test]
    fn says_nothing_of_a_kind_without_patterns() {
        let lrdimm = module(Generation::Ddr3, Kind::Lrdimm, 32, 4);
        let checked = Case::on(published()).seat(lrdimm, &["A3"]).check();
        assert!(checked.silent(ID));
    }
}
