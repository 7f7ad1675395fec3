//! Channels of a socket that stay empty while others hold two or more modules.

use super::super::board::{ChannelIx, SlotIx};
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::{ChannelView, Check, Group, Hits, Rule, SocketView};

/// The rule.
pub static RULE: Rule = Rule {
    id: "channels-left-empty",
    group: Group::Balance,
    severity: Severity::Warning,
    title: "Empty channels beside doubly filled ones",
    doc: "Each channel adds its own bandwidth; a second module on a channel adds none and may lower the rate. While a \
          channel of a fitted socket is empty, a second module is better moved there, unless the board's guide asks \
          for the pattern.",
    source: "channels × rate × 8 bytes; measured shares: Thomas-Krenn, STREAM Triad with 2, 4 and 8 of 8 channels: about \
             28 %, 54 % and 100 %",
    reads: &[Fact::ProcessorModel],
    message: "{ $sockets }: of { $all } channels, { $empty ->\n    [1] one is\n   *[other] { $empty } are\n} empty while another holds { $most } modules. Each empty channel \
              leaves its share of the bandwidth unused.",
    asks: "whether channels stay empty while others hold two modules",
    checks: &[Check::Socket(check)],
    breaks: r#"{"board": "tarn", "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "A2", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "tarn", "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "A2", "module": "ERW-3R16-2x4"},
        {"slot": "B1", "module": "ERW-3R16-2x4"}, {"slot": "C1", "module": "ERW-3R16-2x4"},
        {"slot": "D1", "module": "ERW-3R16-2x4"}]}"#,
};

fn check(view: &SocketView<'_>, hits: &mut Hits) {
    let Some(fullest) = fullest(view) else { return };
    let empty = || view.channels().filter(is_empty);
    if !empty().any(|channel| works(&channel) == Some(true)) {
        if empty().any(|channel| works(&channel).is_none()) {
            return hits.undecided(&[Missing::general(Fact::ProcessorModel)]);
        }
        return hits.met();
    }
    hits.broken(|mut draft| {
        let usable = |channel: &ChannelView<'_>| works(channel) == Some(true);
        let channels: Vec<ChannelIx> = empty().filter(usable).map(|c| c.channel).collect();
        let all = view.channels().filter(usable).count();
        draft = draft
            .param("empty", Value::Count(channels.len() as u64))
            .param("all", Value::Count(all as u64))
            .param("most", Value::Count(u64::from(fullest.stack.count())));
        for channel in &channels {
            draft = draft.channel(*channel);
        }
        let to = next_channel(view, &channels).and_then(|channel| first_slot(view, channel));
        match (last_module(view, &fullest), to) {
            (Some(from), Some(to)) => draft.fix(Fix::Move { from, to }),
            _ => draft,
        }
    });
}

/// Whether the rule is broken in a socket.
pub(super) fn applies(view: &SocketView<'_>) -> bool {
    let usable = |channel: ChannelView<'_>| is_empty(&channel) && works(&channel) == Some(true);
    fullest(view).is_some() && view.channels().any(usable)
}

/// The channel with the most modules, if it works and holds at least two.
fn fullest<'a>(view: &SocketView<'a>) -> Option<ChannelView<'a>> {
    view.channels()
        .filter(|channel| channel.stack.count() > 1 && works(channel) == Some(true))
        .reduce(|most, next| match next.stack.count() > most.stack.count() {
            true => next,
            false => most,
        })
}

fn is_empty(channel: &ChannelView<'_>) -> bool {
    channel.stack.count() == 0 && channel.board().wired(channel.channel) > 0
}

fn works(channel: &ChannelView<'_>) -> Option<bool> {
    let number = channel.board().address(channel.channel).1;
    channel.setup.channel_works(channel.socket, number)
}

/// The empty channel that the board's order fills next.
fn next_channel(view: &SocketView<'_>, empty: &[ChannelIx]) -> Option<ChannelIx> {
    let order = view.setup.filling.channel_order.iter().flatten();
    let mut next = order.map(|number| view.board().channel_at(view.socket, *number));
    next.find(|channel| empty.contains(channel))
        .or_else(|| empty.first().copied())
}

/// The slot of a channel that fills first.
fn first_slot(view: &SocketView<'_>, channel: ChannelIx) -> Option<SlotIx> {
    let order = &view.setup.filling.position_order;
    let slots: Vec<SlotIx> = view.board().slots_of(channel).collect();
    let mut slots = order
        .iter()
        .filter_map(|p| slots.get(usize::from(*p).checked_sub(1)?));
    slots.next().copied()
}

/// The slot of the module of a channel that was filled last.
fn last_module(view: &SocketView<'_>, channel: &ChannelView<'_>) -> Option<SlotIx> {
    let order = &view.setup.filling.position_order;
    let mut filled = order
        .iter()
        .rev()
        .filter_map(|position| channel.modules().find(|on| on.position == *position));
    filled.next().map(|on| on.slot)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::Processor;
    use crate::domain::module::Generation;
    use crate::domain::request::SocketState;
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "channels-left-empty";

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 2, 4, 3))
    }

    #[test]
    fn a_second_module_is_better_on_an_empty_channel() {
        let checked = tarn().seat(rdimm(16, 2), &["A1", "A2", "B1"]).check();
        let finding = checked.finding(ID).unwrap();
        assert_eq!(finding.channels, [ChannelIx(2), ChannelIx(3)]);
        let counts: Vec<&Value> = finding.params.iter().map(|(_, value)| value).collect();
        let expected = [&Value::Count(2), &Value::Count(4), &Value::Count(2)];
        assert_eq!(counts, expected);
        // A2 is slot 1, C1 slot 6 of the board.
        let (from, to) = (SlotIx(1), SlotIx(6));
        assert_eq!(finding.fixes[0].fix, Fix::Move { from, to });
    }

    #[test]
    fn the_move_goes_where_the_board_fills_next() {
        let mut case = tarn().seat(rdimm(16, 2), &["A1", "A2"]);
        case.board.filling[0].channel_order = Some(vec![1, 3, 2, 4]);
        let (from, to) = (SlotIx(1), SlotIx(6));
        let checked = case.check();
        assert_eq!(
            checked.finding(ID).unwrap().fixes[0].fix,
            Fix::Move { from, to }
        );
    }

    #[test]
    fn one_module_on_each_channel_leaves_the_rest_without_blame() {
        assert!(
            tarn()
                .seat(rdimm(16, 2), &["A1", "B1"])
                .check()
                .finding(ID)
                .is_none()
        );
    }

    #[test]
    fn another_sockets_empty_channels_do_not_count() {
        let slots = ["A1", "A2", "B1", "C1", "D1", "E1"];
        assert!(
            tarn()
                .seat(rdimm(16, 2), &slots)
                .check()
                .finding(ID)
                .is_none()
        );
    }

    #[test]
    fn channels_that_the_processor_does_not_wire_are_not_left_empty() {
        let mut case = tarn().seat(rdimm(16, 2), &["A1", "A2", "B1", "B2"]);
        let half = Processor {
            id: "half".into(),
            channels: Some(vec![1, 2]),
            ..case.board.processors[0].clone()
        };
        case.board.processors.push(half);
        case.request.sockets = Some(vec![SocketState::Fitted(Some(1)), SocketState::Empty]);
        assert!(case.check().finding(ID).is_none());
        case.request.sockets = Some(vec![SocketState::Fitted(Some(0)), SocketState::Empty]);
        assert!(case.check().breaks(ID));
    }
}
