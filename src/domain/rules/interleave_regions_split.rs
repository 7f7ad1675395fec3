//! Equal channels that still don't interleave as one set.

use super::super::board::ChannelIx;
use super::super::finding::{Fact, Severity, Value};
use super::super::outcome::{COMMON, even_loss, readable, socket_regions, time_of};
use super::super::units::Mib;
use super::{Check, Group, Hits, Rule, SocketView, channels_unequal};

/// The rule.
pub static RULE: Rule = Rule {
    id: "interleave-regions-split",
    group: Group::Balance,
    severity: Severity::Warning,
    title: "The memory falls into several regions",
    doc: "Memory controllers spread addresses only over certain sets of channels. The right number of equal modules on the \
          wrong channels, or a number for which there is no set, falls apart into regions that are read one after the \
          other. Moving the modules to the channels of a set mends it. Unequal channels are told by their own rule.",
    source: "published guide P2: the sets that interleave; the sets themselves are the \
             board record's, the loss follows by arithmetic",
    reads: &[Fact::Capacity],
    message: "{ $sockets }: the channels in use are no set that interleaves as one; the memory falls into { $regions } regions. \
              Read evenly, it gives { $loss } less than these channels could.",
    asks: "whether the channels in use interleave as one set",
    checks: &[Check::Socket(check)],
    breaks: r#"{"board": "firth", "population": [{"slot": "A1", "module": "ERW-5R64-2x4"},
        {"slot": "B1", "module": "ERW-5R64-2x4"}, {"slot": "C1", "module": "ERW-5R64-2x4"},
        {"slot": "D1", "module": "ERW-5R64-2x4"}, {"slot": "E1", "module": "ERW-5R64-2x4"},
        {"slot": "F1", "module": "ERW-5R64-2x4"}, {"slot": "G1", "module": "ERW-5R64-2x4"}]}"#,
    meets: r#"{"board": "firth", "kit": [{"module": "ERW-5R64-2x4", "quantity": 24}]}"#,
};

fn check(view: &SocketView<'_>, hits: &mut Hits) {
    if view.board().interleave.is_empty() {
        return;
    }
    let mut channels = channels_unequal::running(view);
    let Some(first) = channels.next() else { return };
    let mut more = channels.peekable();
    if more.peek().is_none() {
        return;
    }
    let Some(held) = channels_unequal::held(view) else {
        // Where the modules differ, the rule for unequal channels asks for the capacity.
        if more.all(|channel| channels_unequal::same_modules(&first, &channel)) {
            hits.undecided(&channels_unequal::missing(view));
        }
        return;
    };
    let each = held.first().map_or(Mib(0), |(_, capacity)| *capacity);
    if held.iter().any(|(_, capacity)| *capacity != each) {
        return;
    }
    let Some(read) = read(view, held) else {
        return;
    };
    let protection = view.setup.request.protection;
    // Of equal channels every region takes as long as one of them, so that one alone need not be made.
    let number = |channel: ChannelIx| view.board().address(channel).1;
    let numbered = read.iter().map(|(own, mib)| (number(*own), mib.0));
    if time_of(view.board(), protection, numbered) <= u128::from(each.0) * COMMON {
        return hits.met();
    }
    let regions = socket_regions(view.board(), protection, read);
    if regions.len() < 2 {
        return hits.met();
    }
    hits.broken(|draft| {
        let channels = regions.iter().flat_map(|region| region.channels.iter());
        let mut channels: Vec<_> = channels.copied().collect();
        channels.sort_unstable();
        let draft = draft
            .param("regions", Value::Count(regions.len() as u64))
            .param("loss", Value::Permille(even_loss(&regions)));
        channels.into_iter().fold(draft, super::Draft::channel)
    });
}

/// What is read of it: what the protection leaves out is another rule's.
fn read(view: &SocketView<'_>, held: Vec<(ChannelIx, Mib)>) -> Option<Vec<(ChannelIx, Mib)>> {
    if !view.setup.request.protection.joins_channels() {
        return Some(held);
    }
    let mut read: Vec<_> = held
        .iter()
        .map(|(channel, mib)| (*channel, mib.0))
        .collect();
    readable(view.setup, view.stacks, &mut read)?;
    let read = read.into_iter().map(|(channel, mib)| (channel, Mib(mib)));
    Some(read.collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::policy::InterleaveSet;
    use crate::domain::board::{BoardFacts, Limit};
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, module};

    const ID: &str = "interleave-regions-split";

    /// Published guide P2: some of the sets of eight
    /// channels (NPS1).
    fn eight_named_channels() -> Case {
        let set = |channels: &[u8], equal, alone| InterleaveSet {
            name: String::new(),
            channels: channels.to_vec(),
            equal,
            alone,
            channel_at_most: Limit::None,
            protections: None,
        };
        Case::on(BoardFacts {
            interleave: vec![
                set(&[1, 2, 3, 4, 5, 6, 7, 8], true, false),
                set(&[3, 4, 7, 8], true, true),
                set(&[1, 2], false, false),
                set(&[3, 4], false, false),
            ],
            ..board(Generation::Ddr4, 1, 8, 2)
        })
    }

    fn rdimm(gib: u64) -> ModuleFacts {
        module(Generation::Ddr4, Kind::Rdimm, gib, 2)
    }

    #[test]
    fn the_right_number_on_the_wrong_channels_is_told_with_the_loss() {
        // The guideline: CDGH is a four-way set, ACEG none at all.
        let right = eight_named_channels()
            .seat(rdimm(32), &["C1", "D1", "G1", "H1"])
            .check();
        assert!(right.finding(ID).is_none());
        let wrong = eight_named_channels()
            .seat(rdimm(32), &["A1", "C1", "E1", "G1"])
            .check();
        let finding = wrong.finding(ID).unwrap();
        assert_eq!(finding.params[0].1, Value::Count(4));
        // Four regions of one channel each: a quarter of what four channels give.
        assert_eq!(finding.params[1].1, Value::Permille(750));
        assert_eq!(finding.channels.len(), 4);
    }

    #[test]
    fn unequal_channels_are_told_once() {
        let checked = eight_named_channels()
            .seat(rdimm(32), &["C1"])
            .seat(rdimm(64), &["D1"])
            .check();
        assert!(checked.finding(ID).is_none());
        assert!(checked.breaks("channels-unequal"));
    }

    #[test]
    fn a_board_without_named_sets_splits_only_where_channels_differ() {
        let mut case = eight_named_channels().seat(rdimm(32), &["A1", "C1", "E1", "G1"]);
        case.board.interleave.clear();
        assert!(case.check().finding(ID).is_none());
    }

    #[test]
    fn an_unknown_capacity_is_undecided() {
        let unknown = ModuleFacts {
            capacity: None,
            ..rdimm(32)
        };
        let checked = eight_named_channels().seat(unknown, &["A1", "B1"]).check();
        assert!(checked.undecided().contains(&ID));
    }
}
