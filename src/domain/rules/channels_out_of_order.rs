//! Channels filled in another order than the board's.

use super::super::board::SlotIx;
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::{ChannelView, Check, Draft, Group, Hits, Rule, SocketView};

/// The rule.
pub static RULE: Rule = Rule {
    id: "channels-out-of-order",
    group: Group::Place,
    severity: Severity::Warning,
    title: "Channels filled out of order",
    doc: "Where a board gives an order of its channels, the first ones of that order belong together: they interleave, \
          and lie on the sides of the processor so that reads spread evenly. Other channels of the same number work, \
          but slower.",
    source: "common practice; the order itself is the board record's",
    reads: &[Fact::ProcessorModel],
    message: "{ $channels }: filled although an earlier channel is empty. This board fills the channels of a socket in the order \
              { $order }; channel { $next } comes first.",
    asks: "whether the channels of a socket fill in the board's order",
    checks: &[Check::Socket(check)],
    breaks: r#"{"board": "loch", "processors": ["loch-24"], "population": [{"slot": "H1", "module": "ERW-4R32-2x4"}]}"#,
    meets: r#"{"board": "loch", "processors": ["loch-24"], "kit": [{"module": "ERW-4R32-2x4", "quantity": 8}]}"#,
};

fn check(view: &SocketView<'_>, hits: &mut Hits) {
    let Some(order) = view.setup.filling.channel_order.as_deref() else {
        return;
    };
    if !view.is_fitted() || view.count() == 0 {
        return;
    }
    let works = |channel: u8| view.setup.channel_works(view.socket, channel);
    let last = order
        .iter()
        .rposition(|channel| works(*channel) != Some(false) && modules(view, *channel) > 0);
    let before = order.get(..last.unwrap_or(0)).unwrap_or(&[]);
    let mut holes = before
        .iter()
        .copied()
        .filter(|channel| modules(view, *channel) == 0 && has_slots(view, *channel));
    // A channel that the processor lacks is no hole.
    match (
        holes.clone().find(|channel| works(*channel) == Some(true)),
        holes.find(|channel| works(*channel).is_none()),
    ) {
        (Some(next), _) => hits.broken(|draft| tell(view, order, next, draft)),
        (None, Some(_)) => hits.undecided(&[Missing::general(Fact::ProcessorModel)]),
        (None, None) => hits.met(),
    }
}

fn modules(view: &SocketView<'_>, channel: u8) -> u8 {
    view.stacks
        .get(usize::from(channel).saturating_sub(1))
        .map_or(0, |stack| stack.count())
}

fn has_slots(view: &SocketView<'_>, channel: u8) -> bool {
    view.board()
        .wired(view.board().channel_at(view.socket, channel))
        > 0
}

fn tell(view: &SocketView<'_>, order: &[u8], next: u8, draft: Draft) -> Draft {
    let after = order.iter().skip_while(|channel| **channel != next);
    let mut early: Vec<ChannelView<'_>> = after
        .filter_map(|number| view.channels().nth(usize::from(*number).checked_sub(1)?))
        .filter(|channel| channel.stack.count() > 0)
        .collect();
    let draft = draft
        .param(
            "order",
            Value::Counts(order.iter().map(|c| u64::from(*c)).collect()),
        )
        .param("next", Value::Count(u64::from(next)));
    let draft = match early.last() {
        Some(last) => moves(view, last, next).fold(draft, Draft::fix),
        None => draft,
    };
    early.sort_by_key(|channel| channel.channel);
    early.iter().fold(draft, |draft, channel| {
        draft
            .channel(channel.channel)
            .slots(channel.occupied_slots())
    })
}

/// Moves what sits on a channel to the same positions of another.
fn moves<'a>(
    view: &SocketView<'a>,
    from: &ChannelView<'a>,
    to: u8,
) -> impl Iterator<Item = Fix> + use<'a> {
    let board = view.board();
    let to = board.channel_at(view.socket, to);
    let at = move |position: u8| -> Option<SlotIx> {
        board
            .slots_of(to)
            .nth(usize::from(position).checked_sub(1)?)
    };
    from.modules().filter_map(move |on| {
        Some(Fix::Move {
            from: on.slot,
            to: at(on.position)?,
        })
    })
}

#[cfg(test)]
mod tests {
    use crate::domain::board::{BoardFacts, ChannelIx, SlotIx};
    use crate::domain::finding::{Fix, Severity, Value};
    use crate::domain::module::{Generation, Kind};
    use crate::domain::testing::{Case, Checked, board, module};

    const ID: &str = "channels-out-of-order";

    /// One socket of eight one-slot channels that fill in the order 3, 4, 7, 8, 1, 2, 5, 6.
    fn ordered() -> BoardFacts {
        let mut facts = board(Generation::Ddr4, 1, 8, 1);
        facts.filling[0].channel_order = Some(vec![3, 4, 7, 8, 1, 2, 5, 6]);
        facts
    }

    fn with(facts: BoardFacts, slots: &[&str]) -> Case {
        Case::on(facts).seat(module(Generation::Ddr4, Kind::Rdimm, 32, 2), slots)
    }

    fn check(slots: &[&str]) -> Checked {
        with(ordered(), slots).check()
    }

    #[test]
    fn warns_of_a_channel_before_its_turn() {
        // The four channels that interleave on the order above are C, D, G and H, not A, C, E, G.
        let checked = check(&["A1", "C1", "E1", "G1"]);
        assert_eq!(checked.severities(ID), [Severity::Warning]);
        let finding = checked.finding(ID).unwrap();
        assert_eq!(finding.params[1], ("next", Value::Count(4)));
        assert_eq!(finding.channels, [ChannelIx(0), ChannelIx(4), ChannelIx(6)]);
        let to_d = Fix::Move {
            from: SlotIx(4),
            to: SlotIx(3),
        };
        assert_eq!(finding.fixes[0].fix, to_d);
    }

    #[test]
    fn takes_any_beginning_of_the_order() {
        let order = ["C1", "D1", "G1", "H1", "A1", "B1", "E1", "F1"];
        for count in 1..=order.len() {
            assert!(check(&order[..count]).silent(ID), "{count} channels");
        }
    }

    #[test]
    fn a_channel_that_the_processor_lacks_is_no_hole() {
        let mut facts = ordered();
        facts.processors[0].channels = Some(vec![1, 2, 4, 5, 6, 7, 8]);
        assert!(with(facts.clone(), &["D1", "G1"]).check().silent(ID));
        let mut whole = facts.processors[0].clone();
        whole.id = "whole".into();
        whole.channels = None;
        facts.processors.push(whole);
        assert!(with(facts, &["D1", "G1"]).check_with(None).leaves_open(ID));
    }

    #[test]
    fn does_not_apply_without_an_order() {
        assert!(
            with(board(Generation::Ddr4, 1, 8, 1), &["H1"])
                .check()
                .silent(ID)
        );
    }
}
