//! What a protection leaves to read where channels work in groups: a mirrored group reads one copy,
//! a group in lockstep reads all its channels in step; channels of no whole group are lost.

use super::super::board::policy::{Protection, ProtectionOffer};
use super::super::board::{Board, ChannelIx};
use super::super::channel::Stack;
use super::super::rules::channels_alike;
use super::super::setup::Setup;
use super::super::units::MegabytesPerSecond;
use super::Outcome;

/// How many times the channels of a group hold everything: 2 where they are mirrored.
pub fn copies(setup: &Setup<'_>) -> u64 {
    match (setup.request.protection, setup.offer()) {
        (Protection::Mirrored, Some(_)) => 2,
        _ => 1,
    }
}

/// The offer, where it makes channels work in groups.
pub fn grouping<'a>(setup: &Setup<'a>) -> Option<&'a ProtectionOffer> {
    let grouped = [Protection::Mirrored, Protection::Lockstep];
    setup
        .offer()
        .filter(|_| grouped.contains(&setup.request.protection))
}

/// The channels of a group in the order of the board's.
pub fn indexes(board: &Board, socket: u8, group: &[u8]) -> impl Iterator<Item = usize> + Clone {
    let at = move |number: &u8| usize::from(board.channel_at(socket, *number).0);
    group.iter().map(at)
}

/// Whether firmware leaves a group out because its channels are not filled alike; `None` if a fact
/// is missing.
pub fn is_left_out(
    setup: &Setup<'_>,
    offer: &ProtectionOffer,
    stacks: impl Iterator<Item = Stack>,
) -> Option<bool> {
    if !setup.leaves_groups_out() {
        return Some(false);
    }
    let stacks: Vec<Stack> = stacks.collect();
    let (identical, positions) = (&offer.identical, setup.board.positions);
    channels_alike(setup, identical, positions, &stacks).map(|alike| !alike)
}

/// Of the channels of one socket that hold memory (in MiB) those that are read, each with as much as
/// its group's smallest member; `None` if that can't be told. `stacks` are those of the socket's
/// channels.
pub fn readable(
    setup: &Setup<'_>,
    stacks: &[Stack],
    held: &mut Vec<(ChannelIx, u64)>,
) -> Option<()> {
    let Some(offer) = grouping(setup) else {
        return Some(());
    };
    let at = |channel: &u8| stacks.get(usize::from(channel.saturating_sub(1))).copied();
    let mut left_out: Vec<u8> = Vec::new();
    for group in &offer.groups {
        if is_left_out(setup, offer, group.iter().filter_map(at))? {
            left_out.extend(group);
        }
    }
    let before = held.clone();
    let number = |channel: ChannelIx| setup.board.address(channel).1;
    let of = |wanted: u8| {
        before
            .iter()
            .find(|(channel, _)| number(*channel) == wanted)
    };
    held.retain_mut(|(channel, mib)| {
        let own = number(*channel);
        if left_out.contains(&own) {
            return false;
        }
        let Some(group) = offer.groups.iter().find(|group| group.contains(&own)) else {
            return false;
        };
        let smallest = group
            .iter()
            .map(|member| of(*member).map_or(0, |(_, mib)| *mib))
            .min();
        *mib = smallest.unwrap_or(0);
        *mib > 0
    });
    Some(())
}

/// The sum of what the channels that are read give at their rates; a mirrored group gives as much as
/// one of its channels.
pub fn peak(setup: &Setup<'_>, stacks: &[Stack], outcome: &Outcome) -> Option<MegabytesPerSecond> {
    let offer = grouping(setup)?;
    let mut sum = 0;
    for socket in setup.fitted_sockets() {
        for group in &offer.groups {
            let own = indexes(setup.board, socket, group);
            let members = || own.clone().filter_map(|at| outcome.channels.get(at));
            let filled = own.clone().filter_map(|at| stacks.get(at).copied());
            if is_left_out(setup, offer, filled)? || !members().all(super::ChannelOutcome::runs) {
                continue;
            }
            let slowest = members().map(|own| own.rate).min().flatten()?;
            sum += slowest.peak().0 * group.len() as u64 / copies(setup);
        }
    }
    Some(MegabytesPerSecond(sum))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::BoardFacts;
    use crate::domain::board::policy::Scope;
    use crate::domain::module::Generation;
    use crate::domain::testing::{Case, board, offer_of, rdimm};
    use crate::domain::units::Mib;

    /// Pairs of channels 1 with 2 and 3 with 4.
    fn paired(protection: Protection, channels: u8) -> Case {
        let offer = offer_of(protection, &[&[1, 2], &[3, 4]]);
        let facts = BoardFacts {
            protections: vec![offer],
            ..board(Generation::Ddr3, 1, channels, 2)
        };
        Case::on(facts).with(|request| request.protection = protection)
    }

    /// Peak and evenly read bandwidth in MB/s, and the memory of all regions in GiB.
    fn read(case: Case) -> (Option<u64>, Option<u64>, u64) {
        let outcome = case.check().outcome;
        let regions: u64 = outcome.regions.iter().flatten().map(|r| r.capacity.0).sum();
        assert_eq!(outcome.usable, Some(Mib(regions)));
        let whole = |bandwidth: Option<MegabytesPerSecond>| bandwidth.map(|bandwidth| bandwidth.0);
        (whole(outcome.peak), whole(outcome.uniform), regions / 1024)
    }

    #[test]
    fn mirrored_pairs_read_like_one_channel_each() {
        // Two of four channels of 8 B × 1600 MT/s.
        let four = paired(Protection::Mirrored, 4).seat(rdimm(8, 2), &["A1", "B1", "C1", "D1"]);
        assert_eq!(read(four), (Some(25_600), Some(25_600), 16));
        let one_pair = paired(Protection::Mirrored, 4).seat(rdimm(8, 2), &["A1", "B1"]);
        assert_eq!(read(one_pair), (Some(12_800), Some(12_800), 8));
    }

    #[test]
    fn a_pair_in_lockstep_reads_both_channels_and_others_are_lost() {
        let all = ["A1", "B1", "C1", "D1", "E1"];
        let five = paired(Protection::Lockstep, 5).seat(rdimm(8, 2), &all);
        assert_eq!(read(five), (Some(51_200), Some(51_200), 32));
        let half = paired(Protection::Lockstep, 4).seat(rdimm(8, 2), &["A1", "B1", "C1"]);
        assert_eq!(read(half), (Some(25_600), Some(25_600), 16));
    }

    #[test]
    fn a_region_runs_at_the_rate_of_its_slowest_channel_where_channels_run_apart() {
        let apart = || {
            Case::on(BoardFacts {
                levelling: Scope::Channel,
                ..board(Generation::Ddr3, 1, 2, 2)
            })
        };
        // 16 GiB at 1600 beside 8 GiB at 1333: two times 8 GiB at 1333, then 8 GiB at 1600. By
        // the formula 24 / (16 / (2 × 8 × 1333) + 8 / (8 × 1600)) = 17,452.
        let case = apart()
            .seat(rdimm(16, 2), &["A1"])
            .seat(rdimm(4, 1), &["B1", "B2"]);
        assert_eq!(read(case).1, Some(17_452));
        // The other way round every region holds the slow channel.
        let case = apart()
            .seat(rdimm(8, 2), &["A1", "A2"])
            .seat(rdimm(8, 1), &["B1"]);
        assert_eq!(read(case).1, Some(24 * 8 * 1333 / 16));
    }
}
