//! Populated channels of a socket that hold different amounts of memory.

use super::super::board::ChannelIx;
use super::super::channel::Stack;
use super::super::finding::{Fact, Missing, Severity, Value};
use super::super::outcome::{channel_capacity, even_loss, socket_regions};
use super::super::request::PartIx;
use super::super::units::Mib;
use super::{ChannelView, Check, Group, Hits, Rule, SocketView, channels_left_empty};

/// The rule.
pub static RULE: Rule = Rule {
    id: "channels-unequal",
    group: Group::Balance,
    severity: Severity::Warning,
    title: "Channels of a socket hold different amounts",
    doc: "Memory is spread over all channels in turn only as far as they hold the same amount; what one holds beyond that is \
          spread over fewer channels, or sits on one alone, and is read more slowly. Equal channels give the full \
          bandwidth. Where empty channels stand beside doubly filled ones, that is told instead.",
    source: "published guide P2: the surplus of a larger channel stays outside the \
             set; the loss follows by arithmetic",
    reads: &[Fact::Capacity],
    message: "{ $sockets }: the fullest channel holds { $most }, the emptiest in use { $least }. What exceeds that is spread over \
              fewer channels: read evenly, the memory gives { $loss } less than these channels could.",
    asks: "whether the channels of a socket hold the same amount",
    checks: &[Check::Socket(check)],
    breaks: r#"{"board": "tarn", "population": [
        {"slot": "A1", "module": "ERW-3R32-4x4"}, {"slot": "B1", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "tarn", "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "B1", "module": "ERW-3R16-2x4"}]}"#,
};

fn check(view: &SocketView<'_>, hits: &mut Hits) {
    let mut channels = running(view);
    let Some(first) = channels.next() else { return };
    let mut more = channels.peekable();
    if more.peek().is_none() || channels_left_empty::applies(view) {
        return;
    }
    if more.all(|channel| same_modules(&first, &channel)) {
        return hits.met();
    }
    let Some(held) = held(view) else {
        return hits.undecided(&missing(view));
    };
    let amounts = || held.iter().map(|(_, capacity)| *capacity);
    let (Some(most), Some(least)) = (amounts().max(), amounts().min()) else {
        return;
    };
    if most == least {
        return hits.met();
    }
    hits.broken(|mut draft| {
        for (channel, _) in held.iter().filter(|(_, capacity)| *capacity == most) {
            draft = draft.channel(*channel);
        }
        let protection = view.setup.request.protection;
        let regions = socket_regions(view.board(), protection, held.clone());
        draft
            .param("most", Value::Capacity(most))
            .param("least", Value::Capacity(least))
            .param("loss", Value::Permille(even_loss(&regions)))
    });
}

/// Channels of a socket whose modules run, or may.
pub(super) fn running<'a>(
    view: &SocketView<'a>,
) -> impl Iterator<Item = ChannelView<'a>> + use<'a> {
    let (setup, socket) = (view.setup, view.socket);
    view.channels().filter(move |channel| {
        let number = setup.board.address(channel.channel).1;
        channel.stack.count() > 0 && setup.channel_works(socket, number) != Some(false)
    })
}

/// What each of those channels holds; `None` if one is not known.
pub(super) fn held(view: &SocketView<'_>) -> Option<Vec<(ChannelIx, Mib)>> {
    let mut held: Vec<(ChannelIx, Mib)> = Vec::with_capacity(view.stacks.len());
    let mut before: Option<(Stack, Mib)> = None;
    for channel in running(view) {
        // Most channels hold what the one before holds.
        let known = before.filter(|(stack, _)| *stack == channel.stack);
        let own = match known {
            Some((_, capacity)) => capacity,
            None => channel_capacity(&channel)?,
        };
        before = Some((channel.stack, own));
        held.push((channel.channel, own));
    }
    Some(held)
}

/// The capacities that are not known.
pub(super) fn missing(view: &SocketView<'_>) -> Vec<Missing> {
    running(view)
        .flat_map(|channel| channel.modules())
        .filter(|on| on.module.main_memory().is_none())
        .map(|on| Missing::of(on.part, Fact::Capacity))
        .collect()
}

/// Whether two channels hold the same modules, in whatever positions.
pub(super) fn same_modules(one: &ChannelView<'_>, other: &ChannelView<'_>) -> bool {
    let count =
        |view: &ChannelView<'_>, part: PartIx| view.stack.parts().filter(|p| *p == part).count();
    one.stack == other.stack
        || one.stack.count() == other.stack.count()
            && one
                .stack
                .parts()
                .all(|part| count(one, part) == count(other, part))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::request::SocketState;
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "channels-unequal";

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 2, 4, 3))
    }

    #[test]
    fn a_larger_channel_costs_evenness() {
        let checked = tarn()
            .seat(rdimm(16, 2), &["A1", "B1", "C1"])
            .seat(rdimm(32, 2), &["D1"])
            .check();
        let finding = checked.finding(ID).unwrap();
        assert_eq!(finding.sockets, [1]);
        assert_eq!(finding.channels, [ChannelIx(3)]);
        // By hand: 80 GiB take 16 + 16 channel units, 80 ÷ (4 × 32) is 62.5 %.
        assert_eq!(finding.params[2].1, Value::Permille(375));
    }

    #[test]
    fn equal_amounts_of_other_modules_are_equal() {
        let checked = tarn()
            .seat(rdimm(16, 2), &["A1", "A2", "C1", "D1", "D2"])
            .seat(rdimm(32, 2), &["B1", "C2"])
            .check();
        let finding = checked.finding(ID).unwrap();
        assert_eq!(finding.params[0].1, Value::Capacity(Mib::gib(48)));
        let level = tarn()
            .seat(rdimm(16, 2), &["A1", "A2", "C1", "C2", "D1", "D2"])
            .seat(rdimm(32, 2), &["B1"])
            .check();
        assert!(level.finding(ID).is_none());
    }

    #[test]
    fn fewer_channels_that_are_equal_are_no_fault() {
        let checked = tarn().seat(rdimm(16, 2), &["A1", "B1", "E1"]).check();
        assert!(checked.finding(ID).is_none());
    }

    #[test]
    fn an_unknown_capacity_is_undecided_unless_the_modules_are_the_same() {
        let unknown = ModuleFacts {
            capacity: None,
            ..rdimm(16, 2)
        };
        let beside = tarn()
            .seat(unknown.clone(), &["A1"])
            .seat(rdimm(16, 2), &["B1"])
            .check();
        assert!(beside.undecided().contains(&ID));
        let twins = tarn().seat(unknown, &["A1", "B1"]).check();
        assert!(twins.finding(ID).is_none());
    }

    #[test]
    fn empty_channels_beside_double_ones_are_told_instead() {
        let checked = tarn().seat(rdimm(16, 2), &["A1", "A2", "B1"]).check();
        assert!(checked.finding(ID).is_none());
        assert!(checked.breaks("channels-left-empty"));
    }

    #[test]
    fn memory_of_an_empty_socket_does_not_count() {
        let checked = tarn()
            .with(|request| {
                request.sockets = Some(vec![SocketState::Fitted(None), SocketState::Empty]);
            })
            .seat(rdimm(16, 2), &["E1"])
            .seat(rdimm(32, 2), &["F1"])
            .check();
        assert!(checked.finding(ID).is_none());
    }
}
