//! A position filled before an earlier one of the channel.

use super::super::channel::follows_layouts;
use super::super::finding::{Fact, Fix, Severity, Value};
use super::{ChannelView, Check, Draft, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "position-skipped",
    group: Group::Place,
    severity: Severity::Blocker,
    title: "A position is filled before an earlier one",
    doc: "The positions of a channel fill in the order that the board's maker gives, on most boards from the far end of \
          the channel: an empty far end reflects the signal. Where the maker lists exact position patterns for a kind, \
          those decide in place of this order.",
    source: "published guide P1, tables 49 and 64: a lone module sits in the far position; the order itself is the board record's",
    reads: &[Fact::Kind],
    message: "{ $slots }: position { $filled } of the channel is filled while position { $empty } is empty. \
              This board fills the positions of a channel in the order { $order }, counted from the far end.",
    asks: "whether the positions of a channel fill in the board's order",
    checks: &[Check::Channel(check)],
    breaks: r#"{"board": "tarn", "processors": ["fitted", "empty"], "population": [{"slot": "A2", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "tarn", "processors": ["fitted", "empty"], "population": [{"slot": "A1", "module": "ERW-3R16-2x4"}]}"#,
};

fn check(view: &ChannelView<'_>, hits: &mut Hits) {
    if follows_layouts(view) {
        return;
    }
    let Some(empty) = first_hole(view) else {
        return hits.met();
    };
    hits.broken(|draft| {
        let filled = order(view).filter(|position| view.stack.at(*position).is_some());
        let early: Vec<u8> = filled
            .skip_while(|position| earlier(view, *position, empty))
            .collect();
        let counts = |list: &[u8]| Value::Counts(list.iter().map(|p| u64::from(*p)).collect());
        let slots = view.modules().filter(|on| early.contains(&on.position));
        let draft = draft
            .param("filled", counts(&early))
            .param("empty", Value::Count(u64::from(empty)))
            .param("order", counts(&order(view).collect::<Vec<_>>()))
            .slots(slots.map(|on| on.slot));
        offer(view, draft)
    });
}

/// The wired positions in the order of filling.
fn order<'a>(view: &ChannelView<'a>) -> impl Iterator<Item = u8> + use<'a> {
    let wired = view.board().wired(view.channel);
    let order = view.setup.filling.position_order.iter().copied();
    order.filter(move |position| *position <= wired)
}

fn earlier(view: &ChannelView<'_>, position: u8, than: u8) -> bool {
    order(view).find(|p| *p == position || *p == than) == Some(position) && position != than
}

/// The first position that is empty although a later one is filled.
fn first_hole(view: &ChannelView<'_>) -> Option<u8> {
    let hole = order(view).find(|position| view.stack.at(*position).is_none())?;
    let after = order(view).skip_while(|position| *position != hole);
    after
        .filter(|position| view.stack.at(*position).is_some())
        .map(|_| hole)
        .next()
}

/// Moves the modules up so that they stay in the same order. One move may be made unasked.
fn offer(view: &ChannelView<'_>, draft: Draft) -> Draft {
    let filled = order(view).filter(|position| view.stack.at(*position).is_some());
    let moves: Vec<(u8, u8)> = filled.zip(order(view)).filter(|(a, b)| a != b).collect();
    let safe = match moves.as_slice() {
        [(from, to)] => may_sit(view, *from, *to) && is_told(view, *from),
        _ => false,
    };
    moves.into_iter().fold(draft, |draft, (from, to)| {
        let slot = |position: u8| {
            view.board()
                .slots_of(view.channel)
                .zip(1u8..)
                .find(|(_, p)| *p == position)
        };
        let (Some((from, _)), Some((to, _))) = (slot(from), slot(to)) else {
            return draft;
        };
        let fix = Fix::Move { from, to };
        if safe {
            draft.safe_fix(fix)
        } else {
            draft.fix(fix)
        }
    })
}

/// Whether the board surely takes the module of one position in another.
fn may_sit(view: &ChannelView<'_>, from: u8, to: u8) -> bool {
    let on = view.modules().find(|on| on.position == from);
    on.and_then(|on| on.fit.row()).is_some_and(|row| {
        row.positions
            .as_ref()
            .is_none_or(|positions| positions.contains(&to))
    })
}

/// Whether the population names the slot of a position, so that it can name another. An installed
/// module stays where it is, or goes where the search puts it: no line says where.
fn is_told(view: &ChannelView<'_>, position: u8) -> bool {
    let slot = view
        .modules()
        .find(|on| on.position == position)
        .map(|on| on.slot);
    let mut entries = view.setup.request.population.iter();
    slot.is_some() && entries.any(|entry| entry.slot == slot)
}

#[cfg(test)]
mod tests {
    use crate::domain::board::filling::{LayoutRow, Seat};
    use crate::domain::board::{BoardFacts, SlotIx};
    use crate::domain::finding::{Fix, Offer};
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::request::InstalledPolicy;
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "position-skipped";

    fn tarn() -> BoardFacts {
        board(Generation::Ddr3, 1, 4, 3)
    }

    #[test]
    fn refuses_a_filled_position_after_an_empty_one() {
        // Published guide P1, table 64: one module of one or two ranks belongs in the far position.
        let checked = Case::on(tarn())
            .seat(rdimm(16, 2), &["A2", "B1", "B3"])
            .check();
        assert!(checked.breaks(ID));
        let fine = Case::on(tarn())
            .seat(rdimm(16, 2), &["A1", "B1", "B2"])
            .check();
        assert!(fine.silent(ID));
    }

    #[test]
    fn offers_the_move_that_keeps_the_order() {
        let checked = Case::on(tarn()).seat(rdimm(16, 2), &["A1", "A3"]).check();
        let fix = Fix::Move {
            from: SlotIx(2),
            to: SlotIx(1),
        };
        let offer = Offer {
            fix,
            machine_safe: true,
        };
        assert_eq!(checked.finding(ID).unwrap().fixes, [offer]);
    }

    #[test]
    fn leaves_an_installed_module_to_a_person_whatever_may_happen_to_it() {
        let policies = [InstalledPolicy::InPlace, InstalledPolicy::Keep];
        for policy in policies {
            let case = Case::on(tarn()).installed(rdimm(16, 2), &["A2"]);
            let checked = case
                .with(|request| request.installed_policy = policy)
                .check();
            assert!(!checked.finding(ID).unwrap().fixes[0].machine_safe);
        }
    }

    #[test]
    fn follows_the_order_of_the_board() {
        let mut near_first = tarn();
        near_first.filling[0].position_order = vec![3, 2, 1];
        let case = |slots: &[&str]| {
            Case::on(near_first.clone())
                .seat(rdimm(16, 2), slots)
                .check()
        };
        assert!(case(&["A3", "B3", "B2"]).silent(ID) && case(&["A1"]).breaks(ID));
    }

    #[test]
    fn ignores_positions_that_a_channel_does_not_have() {
        let mut shorter = tarn();
        shorter.filling[0].position_order = vec![3, 1, 2];
        shorter.slots.retain(|slot| slot.label != "A3");
        assert!(
            Case::on(shorter)
                .seat(rdimm(16, 2), &["A1"])
                .check()
                .silent(ID)
        );
    }

    #[test]
    fn gives_way_to_position_patterns_even_for_a_module_of_unknown_kind() {
        let mut listed = tarn();
        listed.layouts = vec![LayoutRow {
            kinds: vec![Kind::Rdimm],
            sockets_fitted: None,
            pattern: vec![Seat::Empty, Seat::Module, Seat::Empty],
            rates: Vec::new(),
        }];
        let unknown = ModuleFacts {
            kind: None,
            ..rdimm(16, 2)
        };
        assert!(
            Case::on(listed.clone())
                .seat(rdimm(16, 2), &["A2"])
                .check()
                .silent(ID)
        );
        assert!(Case::on(listed).seat(unknown, &["A2"]).check().silent(ID));
    }
}
