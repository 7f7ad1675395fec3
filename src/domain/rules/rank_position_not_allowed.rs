//! A module in a position of its channel that the board does not take it in.

use super::super::board::SlotIx;
use super::super::channel::{Told, layout};
use super::super::finding::{Fact, Fix, Severity, Value};
use super::{ChannelView, Check, Draft, Group, Hits, OnChannel, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "rank-position-not-allowed",
    group: Group::Load,
    severity: Severity::Blocker,
    title: "A module of that rank count is not taken in that position",
    doc: "A module of many ranks needs more chip selects than another, and a channel wires them to some of its slots \
          only. In another slot a part of its ranks is not reached, or two modules answer to one chip select.",
    source: "published guide P1, table 84 (chip selects by slot); the positions are the board record's",
    reads: &[Fact::Kind, Fact::PackageRanks],
    message: "{ $slots }: { $module } must not sit in position { $position } of its channel, only in position { $allowed }. Positions count from the slot farthest from the processor.",
    asks: "whether the module may sit in that position of its channel",
    checks: &[Check::Channel(check)],
    breaks: r#"{"board": "tarn", "population": [{"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "A2", "module": "ERW-3R16-2x4"}, {"slot": "A3", "module": "ERW-3R32-4x4"}]}"#,
    meets: r#"{"board": "tarn", "population": [{"slot": "A1", "module": "ERW-3R32-4x4"}, {"slot": "A2", "module": "ERW-3R16-2x4"}]}"#,
};

fn check(view: &ChannelView<'_>, hits: &mut Hits) {
    for on in view.modules() {
        match may_sit(&on, on.position) {
            Sits::Anywhere => {}
            Sits::Yes => hits.met(),
            Sits::Open => {
                let missing = on.fit.open_facts(on.part);
                // A refused module has nothing open: the rows that came nearest to it differ.
                if !missing.is_empty() {
                    hits.undecided(&missing);
                }
            }
            // A pattern that is not listed is the wider cause, with a better way to mend it.
            Sits::No
                if layout(view) == Some(Told::No) && !view.board().lowers("layout-not-listed") => {}
            Sits::No => hits.broken(|draft| report(view, &on, draft)),
        }
    }
}

/// Whether a module may sit in a position.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sits {
    /// No row that may hold for it limits its positions.
    Anywhere,
    Yes,
    /// It depends on which row holds.
    Open,
    No,
}

fn may_sit(on: &OnChannel<'_>, position: u8) -> Sits {
    let lists = on.fit.limits().iter().map(|row| row.positions.as_ref());
    if lists.clone().all(|list| list.is_none()) {
        return Sits::Anywhere;
    }
    let takes = |list: Option<&Vec<u8>>| list.is_none_or(|list| list.contains(&position));
    match (lists.clone().all(takes), lists.clone().any(takes)) {
        (true, _) => Sits::Yes,
        (_, true) => Sits::Open,
        _ => Sits::No,
    }
}

fn report(view: &ChannelView<'_>, on: &OnChannel<'_>, draft: Draft) -> Draft {
    let wired = 1..=view.board().wired(view.channel);
    let surely = |position: &u8| may_sit(on, *position) == Sits::Yes;
    let allowed = wired.filter(surely).map(|p| Value::Count(u64::from(p)));
    let draft = draft
        .param("module", Value::Part(on.part))
        .param("position", Value::Count(u64::from(on.position)))
        .param("allowed", Value::OneOf(allowed.collect()))
        .slot(on.slot)
        .part(on.part);
    match way_out(view, on) {
        Some(fix) => draft.fix(fix),
        None => draft.fix(Fix::Remove { slot: on.slot }),
    }
}

/// To an allowed position that is empty, else in exchange with a module that may sit here.
fn way_out(view: &ChannelView<'_>, on: &OnChannel<'_>) -> Option<Fix> {
    let order = || {
        let order = view.setup.filling.position_order.iter().copied();
        order.filter(|position| may_sit(on, *position) == Sits::Yes)
    };
    let slot = |position: u8| -> Option<SlotIx> {
        let mut slots = view.board().slots_of(view.channel).zip(1u8..);
        slots.find(|(_, p)| *p == position).map(|(slot, _)| slot)
    };
    let empty = order().find(|p| view.stack.at(*p).is_none() && slot(*p).is_some());
    if let Some(to) = empty.and_then(slot) {
        return Some(Fix::Move { from: on.slot, to });
    }
    let other = order().find_map(|position| {
        let other = view.modules().find(|other| other.position == position)?;
        matches!(may_sit(&other, on.position), Sits::Anywhere | Sits::Yes).then_some(other.slot)
    });
    other.map(|other| Fix::Swap {
        one: on.slot,
        other,
    })
}

#[cfg(test)]
mod tests {
    use crate::domain::board::accept::AcceptRow;
    use crate::domain::board::{BoardFacts, SlotIx};
    use crate::domain::finding::Fix;
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, accepts, board, rdimm};

    const ID: &str = "rank-position-not-allowed";

    /// Quad-rank RDIMM in the middle only, as on a channel of three positions of published guide P1
    /// 3.48, tables 64 and 84.
    fn middle_only() -> BoardFacts {
        let mut board = board(Generation::Ddr3, 1, 2, 3);
        board.accepts.insert(
            0,
            AcceptRow {
                ranks: Some(vec![4]),
                positions: Some(vec![2]),
                ..accepts(Kind::Rdimm)
            },
        );
        board
    }

    fn case() -> Case {
        Case::on(middle_only())
    }

    #[test]
    fn refuses_a_quad_rank_module_outside_the_middle_and_offers_the_empty_middle() {
        // ddr3-checks F10-18 and F10-19: quad rank in the far or in the near slot.
        for (slot, from) in [("A1", 0), ("A3", 2)] {
            let checked = case().seat(rdimm(32, 4), &[slot]).check();
            assert!(checked.breaks(ID));
            let (from, to) = (SlotIx(from), SlotIx(1));
            let finding = checked.finding(ID).expect("a finding");
            assert_eq!(finding.fixes[0].fix, Fix::Move { from, to });
        }
        assert!(case().seat(rdimm(32, 4), &["A2"]).check().silent(ID));
    }

    #[test]
    fn offers_an_exchange_where_the_allowed_position_is_taken() {
        let checked = case()
            .seat(rdimm(16, 2), &["A1", "A2"])
            .seat(rdimm(32, 4), &["A3"])
            .check();
        let finding = checked.finding(ID).expect("a finding");
        let (one, other) = (SlotIx(2), SlotIx(1));
        assert_eq!(finding.fixes[0].fix, Fix::Swap { one, other });
    }

    #[test]
    fn an_untold_rank_count_is_undecided_outside_the_middle() {
        let unknown = ModuleFacts {
            package_ranks: None,
            ..rdimm(32, 4)
        };
        let far = case().seat(unknown.clone(), &["A1"]).check();
        assert!(far.leaves_open(ID), "{:?}", far.findings);
        assert!(case().seat(unknown, &["A2"]).check().silent(ID));
    }
}
