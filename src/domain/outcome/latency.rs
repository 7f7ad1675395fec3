//! CAS latency and the time to the first word, for each group of channels that runs at one clock.

use super::super::board::ChannelIx;
use super::super::channel::Stack;
use super::super::request::PartIx;
use super::super::rules::ChannelView;
use super::super::timing::{Clock, CommonCas, common_cas};
use super::super::units::{Mts, Picoseconds};
use super::Outcome;
use super::rate::group;

/// The timing of channels that run at one clock.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GroupTiming {
    /// The channels, those without modules left out.
    pub channels: Vec<ChannelIx>,
    /// The rate that they run.
    pub rate: Mts,
    /// Their common CAS latency.
    pub common: CommonCas,
}

pub(super) fn fill(views: &[ChannelView<'_>], outcome: &mut Outcome) {
    let Some(setup) = views.first().map(|view| view.setup) else {
        return;
    };
    outcome.timing = groups(views, outcome)
        .into_iter()
        .map(|group| {
            let modules = group.parts.iter();
            let modules = modules.filter_map(|part| setup.request.part(*part));
            GroupTiming {
                common: common_cas(setup.board.generation, group.rate, modules),
                rate: group.rate,
                channels: group.channels,
            }
        })
        .collect();
    let known = outcome.rate.is_some();
    if let Some((first_word, clocks)) = slowest(&outcome.timing).filter(|_| known) {
        (outcome.first_word, outcome.cas_latency) = (Some(first_word), Some(clocks));
    }
}

/// Channels that run at one clock, with the distinct modules on them.
struct Alike {
    key: (u8, u8, u8),
    rate: Mts,
    channels: Vec<ChannelIx>,
    parts: Vec<PartIx>,
    /// What sits on its last channel.
    last: Stack,
}

fn groups(views: &[ChannelView<'_>], outcome: &Outcome) -> Vec<Alike> {
    let mut groups: Vec<Alike> = Vec::new();
    for (view, channel) in views.iter().zip(&outcome.channels) {
        let Some(rate) = channel.rate.filter(|_| channel.runs()) else {
            continue;
        };
        let key = group(view.board(), view.channel);
        match groups.iter_mut().find(|group| group.key == key) {
            Some(group) if group.last == view.stack => group.channels.push(view.channel),
            Some(group) => {
                group.channels.push(view.channel);
                group.last = view.stack;
                // Modules of one channel stand as often as they sit on it, those of others once.
                let before = group.parts.len();
                for part in view.stack.parts() {
                    if group
                        .parts
                        .get(..before)
                        .is_some_and(|own| !own.contains(&part))
                    {
                        group.parts.push(part);
                    }
                }
            }
            None => groups.push(Alike {
                key,
                rate,
                channels: vec![view.channel],
                parts: view.stack.parts().collect(),
                last: view.stack,
            }),
        }
    }
    groups
}

/// The slowest first word and its latency; `None` if any is not known.
fn slowest(timing: &[GroupTiming]) -> Option<(Picoseconds, u8)> {
    let mut slowest = None;
    for group in timing {
        let CommonCas::Clocks(clocks) = group.common else {
            return None;
        };
        slowest = slowest.max(Some((Clock::of(group.rate).time_of(clocks), clocks)));
    }
    slowest
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::BoardFacts;
    use crate::domain::board::policy::Scope;
    use crate::domain::module::{Generation, ModuleFacts, Timing};
    use crate::domain::testing::{Case, board, rdimm};

    fn timed(taa_min: u32, cas: impl IntoIterator<Item = u8>) -> ModuleFacts {
        ModuleFacts {
            timing: Some(Timing {
                tck_min: Picoseconds(1250),
                taa_min: Picoseconds(taa_min),
                cas_supported: cas.into_iter().collect(),
            }),
            ..rdimm(16, 2)
        }
    }

    fn tarn(levelling: Scope) -> Case {
        Case::on(BoardFacts {
            levelling,
            ..board(Generation::Ddr3, 2, 4, 3)
        })
    }

    #[test]
    fn the_latency_is_that_of_the_running_rate() {
        // Published firmware source F1, mtspd3.c (MemTSPDGetTCL3): tAA 13.125 ns is 11 clocks at 1600, 9 at 1333.
        for (slots, clocks, ps) in [
            (&["A1", "E1"][..], 11, 13_750),
            (&["A1", "A2", "E1"], 9, 13_500),
        ] {
            let case = tarn(Scope::Board).seat(timed(13_125, 5..=11), slots);
            let outcome = case.check().outcome;
            assert_eq!(outcome.cas_latency, Some(clocks));
            assert_eq!(outcome.first_word, Some(Picoseconds(ps)));
            assert_eq!(outcome.timing.len(), 1);
        }
    }

    #[test]
    fn where_channels_level_apart_the_slowest_first_word_is_told() {
        // 1333 with 9 clocks takes 13.5 ns, 1600 with 11 clocks 13.75 ns.
        let outcome = tarn(Scope::Socket)
            .seat(timed(13_125, 5..=11), &["A1", "A2", "E1"])
            .check()
            .outcome;
        assert_eq!(outcome.timing.len(), 2);
        assert_eq!(
            (outcome.rate, outcome.cas_latency),
            (Some(Mts(1333)), Some(11))
        );
        assert_eq!(outcome.first_word, Some(Picoseconds(13_750)));
    }

    #[test]
    fn the_latency_of_the_label_holds_at_its_own_rate_only() {
        let labelled = ModuleFacts {
            cas_latency: Some(11),
            ..rdimm(16, 2)
        };
        let found = |slots: &[&str]| {
            let case = tarn(Scope::Board).seat(labelled.clone(), slots);
            let outcome = case.check().outcome;
            (outcome.cas_latency, outcome.first_word)
        };
        assert_eq!(found(&["A1"]), (Some(11), Some(Picoseconds(13_750))));
        assert_eq!(found(&["A1", "A2"]), (None, None));
    }

    #[test]
    fn one_group_without_a_latency_leaves_the_board_without() {
        let outcome = tarn(Scope::Socket)
            .seat(timed(13_125, 5..=11), &["A1"])
            .seat(rdimm(16, 2), &["E1"])
            .check()
            .outcome;
        assert_eq!((outcome.cas_latency, outcome.first_word), (None, None));
        assert_eq!(outcome.rate, Some(Mts(1600)));
    }
}
