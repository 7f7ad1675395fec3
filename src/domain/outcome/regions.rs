//! Interleave regions and the bandwidth when all memory is read evenly.
//!
//! Where a board names its channel sets, they decide the regions. Otherwise the simple model: sort
//! the channels by capacity; each region spans the channels that still have memory. A socket's time
//! is the sum over regions of capacity ÷ (ways × 8 bytes × rate), where a region runs at the rate of
//! its slowest channel; the board's figure is its whole capacity ÷ the slowest socket's time. Under a
//! protection only what is read counts.

use super::super::board::policy::Protection;
use super::super::board::{Board, ChannelIx, Limit, MOST_CHANNELS};
use super::super::channel::Stack;
use super::super::setup::Setup;
use super::super::units::{BYTES_PER_TRANSFER, MegabytesPerSecond, Mib, Mts};
use super::{ChannelOutcome, Outcome, grouped};
use std::collections::BTreeMap;
use std::ops::RangeInclusive;

/// Channels that interleave, and how much memory they hold together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Region {
    /// The channels.
    pub channels: Vec<ChannelIx>,
    /// The memory of the region that is read.
    pub capacity: Mib,
    /// How many times its channels hold it: 2 where they are mirrored.
    pub copies: u64,
}

/// How the regions were found.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum RegionModel {
    /// From the channels' capacities alone: makers' firmware may do it otherwise.
    #[default]
    Simple,
    /// From the channel sets that the board's record names.
    NamedSets,
}

pub(super) fn fill(setup: &Setup<'_>, stacks: &[Stack], outcome: &mut Outcome) {
    let per = usize::from(setup.board.channels).max(1);
    outcome.region_model = if setup.board.interleave.is_empty() {
        RegionModel::Simple
    } else {
        RegionModel::NamedSets
    };
    let sockets = outcome.channels.chunks(per).zip(stacks.chunks(per));
    let regions = sockets.map(|(channels, stacks)| {
        let mut held = Vec::with_capacity(channels.len());
        for channel in channels.iter().filter(|channel| channel.runs()) {
            held.push((channel.channel, channel.capacity?.0));
        }
        regions_under(setup, stacks, held)
    });
    if let Some(regions) = regions.collect::<Option<Vec<_>>>() {
        outcome.regions = regions;
        outcome.uniform = uniform(outcome, per);
    }
    if grouped::grouping(setup).is_some() {
        outcome.peak = grouped::peak(setup, stacks, outcome);
    }
}

/// The regions of one socket under the protection that is asked for.
fn regions_under(
    setup: &Setup<'_>,
    stacks: &[Stack],
    mut held: Vec<(ChannelIx, u64)>,
) -> Option<Vec<Region>> {
    grouped::readable(setup, stacks, &mut held)?;
    let held = held.into_iter().map(|(channel, mib)| (channel, Mib(mib)));
    let protection = setup.request.protection;
    let mut regions = socket_regions(setup.board, protection, held.collect());
    let copies = grouped::copies(setup);
    for region in regions.iter_mut().filter(|_| copies > 1) {
        region.capacity.0 /= copies;
        region.copies = copies;
    }
    Some(regions)
}

/// The regions of one socket, from its channels that hold memory and how much each holds.
pub fn socket_regions(
    board: &Board,
    protection: Protection,
    held: Vec<(ChannelIx, Mib)>,
) -> Vec<Region> {
    let mut held: Vec<(ChannelIx, u64)> = held
        .into_iter()
        .map(|(channel, capacity)| (channel, capacity.0))
        .collect();
    held.retain(|(_, capacity)| *capacity > 0);
    if board.interleave.is_empty() {
        simple(held)
    } else {
        by_sets(board, protection, &held)
    }
}

/// The time to read a socket evenly, in MiB × [`COMMON`] ÷ ways: what a placement is compared by
/// where all channels of the socket run at one rate. Where a protection wants the channels of a group
/// alike, half the memory over half the channels takes as long as the whole over all. `held` tells
/// channels by their number on the socket, from 1.
///
/// Searches ask for it at every leaf, so it makes no regions: each holds the same of all its channels and
/// takes as long as one of them alone. The layers of the simple model add up to the fullest channel.
pub fn time_of(
    board: &Board,
    protection: Protection,
    held: impl Iterator<Item = (u8, u64)>,
) -> u128 {
    if board.interleave.is_empty() {
        return u128::from(held.map(|(_, mib)| mib).max().unwrap_or(0)) * COMMON;
    }
    let held = Held::of(held);
    let mut time: u64 = held.mib.iter().sum();
    take_sets(board, protection, &held, |members, least| {
        time -= least * u64::from(members.count_ones().saturating_sub(1));
    });
    u128::from(time) * COMMON
}

/// The same divided by the rates (in units of 1/65,536), where channels run apart: a region takes as
/// long as its slowest channel.
pub fn time_apart(
    board: &Board,
    protection: Protection,
    held: impl Iterator<Item = (ChannelIx, u64)>,
    rate: impl Fn(ChannelIx) -> Option<Mts>,
) -> u128 {
    let held = held.map(|(channel, mib)| (channel, Mib(mib))).collect();
    let regions = socket_regions(board, protection, held);
    // Summed by rate before they are divided: rounded one by one, two ways to fill a socket that
    // take the same time would seem to differ.
    let mut by_rate: BTreeMap<u32, u128> = BTreeMap::new();
    for region in &regions {
        let slowest = region.channels.iter().filter_map(|c| rate(*c)).min();
        let slowest = slowest.map_or(1, |rate| rate.0.max(1));
        *by_rate.entry(slowest).or_default() += region.per_way(COMMON);
    }
    let time = |(rate, per_way): (u32, u128)| (per_way << 16) / u128::from(rate);
    by_rate.into_iter().map(time).sum()
}

/// What a socket loses when all its memory is read evenly, in thousandths of what its channels
/// could give together at one rate; zero where all of them interleave as one region.
pub fn even_loss(regions: &[Region]) -> u32 {
    let total: u128 = regions.iter().map(|r| u128::from(r.capacity.0)).sum();
    let time: u128 = regions.iter().map(|r| r.per_way(COMMON)).sum();
    let mut channels: Vec<ChannelIx> = regions.iter().flat_map(|r| r.channels.clone()).collect();
    channels.sort_unstable();
    channels.dedup();
    let ideal = time * channels.len() as u128;
    let kept = (total * COMMON * 1000 + ideal / 2).checked_div(ideal);
    kept.map_or(0, |kept| 1000u128.saturating_sub(kept) as u32)
}

impl Region {
    /// Capacity ÷ ways × `scale`.
    fn per_way(&self, scale: u128) -> u128 {
        let ways = (self.channels.len() as u128).max(1);
        u128::from(self.capacity.0 * self.copies) * (scale / ways)
    }
}

/// The simple model: layer after layer, each over the channels that still have memory.
fn simple(mut held: Vec<(ChannelIx, u64)>) -> Vec<Region> {
    let mut regions = Vec::new();
    while let Some(layer) = held.iter().map(|(_, left)| *left).min() {
        let channels: Vec<ChannelIx> = held.iter().map(|(channel, _)| *channel).collect();
        regions.push(Region {
            capacity: Mib(layer * channels.len() as u64),
            copies: 1,
            channels,
        });
        held.iter_mut().for_each(|(_, left)| *left -= layer);
        held.retain(|(_, left)| *left > 0);
    }
    regions
}

/// Named sets in the record's order of preference; what no set takes stands alone.
fn by_sets(board: &Board, protection: Protection, own: &[(ChannelIx, u64)]) -> Vec<Region> {
    let mut regions = Vec::new();
    let mut left = own.to_vec();
    let number = |channel: ChannelIx| board.address(channel).1;
    let numbered = own.iter().map(|(channel, mib)| (number(*channel), *mib));
    let held = Held::of(numbered);
    take_sets(board, protection, &held, |members, least| {
        let mut channels = Vec::with_capacity(own.len());
        for (channel, mib) in &mut left {
            if members & Held::bit(number(*channel)) != 0 {
                channels.push(*channel);
                *mib -= least;
            }
        }
        regions.push(Region {
            capacity: Mib(least * channels.len() as u64),
            copies: 1,
            channels,
        });
    });
    let alone = left.into_iter().filter(|(_, mib)| *mib > 0);
    regions.extend(alone.map(|(channel, mib)| Region {
        channels: vec![channel],
        capacity: Mib(mib),
        copies: 1,
    }));
    regions
}

/// What each channel of a socket holds, by its number, and which hold anything, as bits: searches take sets
/// at every leaf, so nothing of it is allocated.
struct Held {
    mib: [u64; MOST_CHANNELS as usize],
    full: u32,
}

impl Held {
    /// Of channels by their number on the socket, from 1.
    fn of(channels: impl Iterator<Item = (u8, u64)>) -> Self {
        let mut held = Self {
            mib: [0; MOST_CHANNELS as usize],
            full: 0,
        };
        for (number, mib) in channels.filter(|(_, mib)| *mib > 0) {
            let index = usize::from(number).wrapping_sub(1);
            if let Some(own) = held.mib.get_mut(index) {
                *own = mib;
                held.full |= Self::bit(number);
            }
        }
        held
    }

    /// A channel by its number, which is at most [`MOST_CHANNELS`] on a checked board.
    const fn bit(number: u8) -> u32 {
        1u32.wrapping_shl(number.wrapping_sub(1) as u32)
    }

    /// The least and the most that one of these channels holds.
    fn range(&self, members: u32) -> (u64, u64) {
        let (mut least, mut most, mut left) = (u64::MAX, 0, members);
        while left != 0 {
            let index = left.trailing_zeros() as usize;
            let own = self.mib.get(index).copied().unwrap_or(0);
            (least, most) = (least.min(own), most.max(own));
            left &= left - 1;
        }
        (least, most)
    }
}

/// Tells the channels of each set that holds, as bits, and how much of each of them interleaves. A set
/// holds if all its channels hold memory that no set took before.
fn take_sets(board: &Board, protection: Protection, held: &Held, mut took: impl FnMut(u32, u64)) {
    let mut untouched = held.full;
    for (set, members) in board.interleave.iter().zip(board.set_members()) {
        let members = *members;
        if members == 0 || members & untouched != members || (set.alone && members != held.full) {
            continue;
        }
        if !set.holds_under(protection) {
            continue;
        }
        let (least, most) = held.range(members);
        let is_small = match set.channel_at_most {
            Limit::Is(limit) => most <= limit.0,
            Limit::None => true,
            // A set whose limit nobody knows is not counted on.
            Limit::Unknown => false,
        };
        if !is_small || (set.equal && most != least) {
            continue;
        }
        untouched &= !members;
        took(members, least);
        if untouched == 0 {
            break;
        }
    }
}

/// The most channels that one region may have where so many channels of a socket hold memory.
pub fn widest_region(board: &Board, protection: Protection, filled: RangeInclusive<u32>) -> u32 {
    if board.interleave.is_empty() {
        return (*filled.end()).max(1);
    }
    let sets = board.interleave.iter().zip(board.set_members());
    let widths = sets.filter_map(|(set, members)| {
        let width = members.count_ones();
        let may_hold = match set.alone {
            true => filled.contains(&width),
            false => width <= *filled.end(),
        };
        (may_hold && set.holds_under(protection)).then_some(width)
    });
    widths.max().unwrap_or(0).max(1)
}

/// Least common multiple of 1 to 32: every number of ways divides it, so times are exact integers.
pub const COMMON: u128 = 144_403_552_893_600;

/// Whole capacity ÷ the slowest socket's time.
fn uniform(outcome: &Outcome, per: usize) -> Option<MegabytesPerSecond> {
    let mut slowest: Option<(u128, u128)> = None;
    let mut total = 0u128;
    for (regions, channels) in outcome.regions.iter().zip(outcome.channels.chunks(per)) {
        if regions.is_empty() {
            continue;
        }
        let (time, by) = socket_time(regions, channels)?;
        total += regions
            .iter()
            .map(|r| u128::from(r.capacity.0))
            .sum::<u128>();
        // time ÷ rate is compared crosswise, without rounding.
        if slowest.is_none_or(|(other, at)| time * at > other * by) {
            slowest = Some((time, by));
        }
    }
    let (time, by) = slowest?;
    let bytes = total.checked_mul(COMMON * u128::from(BYTES_PER_TRANSFER))?;
    let bandwidth = bytes.checked_mul(by)?.checked_div(time)?;
    u64::try_from(bandwidth).ok().map(MegabytesPerSecond)
}

/// The time to read a socket's regions, as a fraction: exact where they run at one rate, else
/// rounded to 1/65,536.
fn socket_time(regions: &[Region], channels: &[ChannelOutcome]) -> Option<(u128, u128)> {
    let of_region = |region: &Region| {
        let own = channels
            .iter()
            .filter(|own| region.channels.contains(&own.channel));
        let rates = own.map(|own| own.rate);
        rates.min().flatten()
    };
    let rates: Vec<Mts> = regions.iter().map(of_region).collect::<Option<_>>()?;
    let first = rates.first()?;
    let parts = regions.iter().map(|region| region.per_way(COMMON));
    if rates.iter().all(|rate| rate == first) {
        return Some((parts.sum(), u128::from(first.0)));
    }
    let scaled = parts
        .zip(&rates)
        .map(|(part, rate)| (part << 16) / u128::from(rate.0.max(1)));
    Some((scaled.sum(), 1 << 16))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::BoardFacts;
    use crate::domain::board::policy::{InterleaveSet, Scope};
    use crate::domain::module::{Generation, Kind, ModuleFacts};
    use crate::domain::testing::{Case, board, module, rdimm};
    use proptest::prelude::*;

    fn set(channels: &str, equal: bool, alone: bool, most: Limit<Mib>) -> InterleaveSet {
        InterleaveSet {
            name: channels.into(),
            channels: channels.bytes().map(|letter| letter - b'A' + 1).collect(),
            equal,
            alone,
            channel_at_most: most,
            protections: None,
        }
    }

    /// Published guide P2: one node a package (NPS1).
    fn eight_named_channels() -> Vec<InterleaveSet> {
        let four = ["ABCD", "EFGH", "CDGH"];
        let pairs = ["AB", "CD", "EF", "GH"];
        let mut sets = vec![
            set("ABCDEFGH", true, false, Limit::None),
            set("ACDEGH", true, true, Limit::Is(Mib::gib(256))),
        ];
        sets.extend(four.map(|channels| set(channels, true, true, Limit::None)));
        sets.extend(pairs.map(|channels| set(channels, false, false, Limit::None)));
        sets
    }

    /// Published firmware source F2, commit a4f1a47f, p9_mss_eff_grouping.C: ports 0 to 7 as A to H, equal
    /// amounts only. Its preference for complementary sets of four is not modelled.
    fn paired_ports() -> Vec<InterleaveSet> {
        let equal = |channels| set(channels, true, false, Limit::None);
        let six = ["ABCDEF", "ABCDGH", "ABEFGH", "CDEFGH"];
        let four = ["ABEF", "CDGH", "ABGH", "CDEF", "ABCD", "EFGH"];
        let three = ["ABC", "ABE", "ABG"];
        let mut sets = vec![equal("ABCDEFGH")];
        for channels in six.into_iter().chain(four).chain(three).chain(["AB", "CD"]) {
            sets.push(equal(channels));
        }
        sets
    }

    fn held(gib: &str) -> Vec<(ChannelIx, Mib)> {
        let of = |word: &str| Mib::gib(word.parse().unwrap());
        let words = (0..).map(ChannelIx).zip(gib.split(' ').map(of));
        words.filter(|(_, capacity)| capacity.0 > 0).collect()
    }

    /// Regions as "CHANNELS GiB", the channels by letter.
    fn found(sets: &[InterleaveSet], gib: &str) -> Vec<String> {
        let board = crate::domain::board::Board::checked(BoardFacts {
            interleave: sets.to_vec(),
            ..board(Generation::Ddr4, 1, 8, 1)
        });
        socket_regions(&board.unwrap(), Protection::None, held(gib))
            .into_iter()
            .map(|region| {
                let letters = region.channels.iter().map(|c| char::from(b'A' + c.0 as u8));
                format!(
                    "{} {}",
                    letters.collect::<String>(),
                    region.capacity.0 / 1024
                )
            })
            .collect()
    }

    #[test]
    fn eight_named_channels_interleave_as_their_guideline_lists_it() {
        // The same guideline; those that fall back to pairs and single channels are derived.
        for (gib, regions) in [
            ("32 32 32 32 32 32 32 32", &["ABCDEFGH 256"][..]),
            ("32 32 32 32 0 0 0 0", &["ABCD 128"]),
            ("0 0 32 32 0 0 32 32", &["CDGH 128"]),
            ("32 0 32 32 32 0 32 32", &["ACDEGH 192"]),
            (
                "512 0 512 512 512 0 512 512",
                &["CD 1024", "GH 1024", "A 512", "E 512"],
            ),
            ("32 32 32 32 32 32 0 0", &["AB 64", "CD 64", "EF 64"]),
            ("0 32 32 32 0 32 32 32", &["CD 64", "GH 64", "B 32", "F 32"]),
            ("32 32 32 32 32 0 0 0", &["AB 64", "CD 64", "E 32"]),
            (
                "32 32 32 32 32 0 32 32",
                &["AB 64", "CD 64", "GH 64", "E 32"],
            ),
            // An unequal pair interleaves its common part; the surplus stays outside.
            ("32 64 0 0 0 0 0 0", &["AB 64", "B 32"]),
            // The right number on the wrong channels gives no set at all.
            ("32 0 32 0 32 0 32 0", &["A 32", "C 32", "E 32", "G 32"]),
        ] {
            assert_eq!(found(&eight_named_channels(), gib), regions, "{gib}");
        }
    }

    #[test]
    fn paired_ports_are_grouped_as_published_firmware_forms_them() {
        // p9_mss_eff_grouping.C, restated.
        for (gib, regions) in [
            ("64 64 64 64 64 64 64 64", &["ABCDEFGH 512"][..]),
            ("64 64 64 64 64 64 64 0", &["ABCDEF 384", "G 64"]),
            ("64 64 64 64 64 0 0 0", &["ABCD 256", "E 64"]),
            ("64 64 0 0 64 64 0 0", &["ABEF 256"]),
            ("64 64 64 0 0 0 0 0", &["ABC 192"]),
            ("64 64 128 64 0 0 0 0", &["AB 128", "C 128", "D 64"]),
            ("64 64 128 128 64 64 128 128", &["ABEF 256", "CDGH 512"]),
        ] {
            assert_eq!(found(&paired_ports(), gib), regions, "{gib}");
        }
    }

    #[test]
    fn a_set_that_names_a_channel_twice_has_no_members() {
        let facts = BoardFacts {
            interleave: vec![
                set("AC", false, false, Limit::None),
                set("AA", false, false, Limit::None),
            ],
            ..board(Generation::Ddr4, 1, 4, 1)
        };
        // A board is not checked with such a set; one made with other limits might have it.
        let board = Board::checked(board(Generation::Ddr4, 1, 4, 1)).unwrap();
        let board = board.with_limits(|own| own.interleave = facts.interleave);
        assert_eq!(board.set_members(), [0b101, 0]);
    }

    #[test]
    fn a_set_of_unknown_limit_is_not_counted_on() {
        let sets = [set("AB", true, false, Limit::Unknown)];
        assert_eq!(found(&sets, "32 32 0 0 0 0 0 0"), ["A 32", "B 32"]);
    }

    #[test]
    fn without_sets_each_layer_spans_the_channels_that_still_have_memory() {
        assert_eq!(
            found(&[], "32 16 64 0 0 0 0 0"),
            ["ABC 48", "AC 32", "C 32"]
        );
    }

    #[test]
    fn the_loss_is_what_the_narrow_regions_take_longer() {
        let loss = |gib: &str| {
            let board = board(Generation::Ddr4, 1, 8, 1);
            let board = crate::domain::board::Board::checked(board).unwrap();
            even_loss(&socket_regions(&board, Protection::None, held(gib)))
        };
        assert_eq!(loss("32 32 32 32"), 0);
        assert_eq!(loss("0 0 0"), 0);
        // By hand: 96 of 32 + 32 a way at two channels' worth, 96 ÷ (2 × 64) = 3 ÷ 4.
        assert_eq!(loss("32 64"), 250);
        // 160 ÷ (4 × 64): a doubled channel among four costs 375 thousandths.
        assert_eq!(loss("32 32 32 64"), 375);
    }

    fn ddr4(rate: u32) -> ModuleFacts {
        ModuleFacts {
            rate: Some(Mts(rate)),
            ..module(Generation::Ddr4, Kind::Rdimm, 32, 2)
        }
    }

    #[test]
    fn sixteen_channels_have_the_bandwidth_that_a_maker_prints() {
        // Published quick-start guide P4 (2021): 409 GB/s at 3200, 375 GB/s at 2933 for 16 channels.
        // Published figures M1: 204.8 GB/s for 8 channels at 3200.
        let slots: Vec<String> = (0..16u8)
            .map(|i| format!("{}1", char::from(b'A' + i)))
            .collect();
        let slots: Vec<&str> = slots.iter().map(String::as_str).collect();
        for (count, rate, gigabytes) in [(16, 3200, 409), (16, 2933, 375), (8, 3200, 204)] {
            let outcome = Case::on(board(Generation::Ddr4, 1, 16, 1))
                .seat(ddr4(rate), &slots[..count])
                .check()
                .outcome;
            assert_eq!(outcome.peak.map(|peak| peak.0 / 1000), Some(gigabytes));
            assert_eq!(outcome.uniform, outcome.peak);
        }
    }

    #[test]
    fn equal_channels_give_their_share_of_the_whole() {
        // Published measurements M2, STREAM Triad on a board of 8 slots: 2 of 8 about 28 %, 4 of 8 about 54 %.
        // Theory gives k of n; the measured share is a few points above at low counts.
        let uniform = |slots: &[&str]| {
            let case = Case::on(board(Generation::Ddr4, 1, 8, 1)).seat(ddr4(3200), slots);
            case.check().outcome.uniform.unwrap().0
        };
        let whole = uniform(&["A1", "B1", "C1", "D1", "E1", "F1", "G1", "H1"]);
        for (slots, measured) in [(&["A1", "B1"][..], 28), (&["A1", "B1", "C1", "D1"], 54)] {
            let share = uniform(slots) * 100 / whole;
            assert!(measured - share <= 4, "{share} % against {measured} %");
        }
    }

    #[test]
    fn the_slowest_socket_holds_the_board_back() {
        // By hand: 1 × 12.8 GB/s for 16 GiB, so all 48 GiB take as long as 3 × 12.8 GB/s.
        let outcome = Case::on(board(Generation::Ddr3, 2, 4, 1))
            .seat(rdimm(16, 2), &["A1", "B1", "E1"])
            .check()
            .outcome;
        assert_eq!(outcome.peak, Some(MegabytesPerSecond(3 * 12_800)));
        assert_eq!(outcome.uniform, outcome.peak);
        // 32 GiB on one channel take twice as long: 64 GiB in 32 ÷ 12.8.
        let outcome = Case::on(board(Generation::Ddr3, 2, 4, 1))
            .seat(rdimm(16, 2), &["A1", "B1"])
            .seat(rdimm(32, 2), &["E1"])
            .check()
            .outcome;
        assert_eq!(outcome.uniform, Some(MegabytesPerSecond(2 * 12_800)));
    }

    #[test]
    fn a_socket_is_read_at_the_rate_of_its_slowest_channel() {
        // Channels A and B, levelled apart: 16 GiB at 1600 and 16 at 1333, read as two of 1333.
        let mut record = board(Generation::Ddr3, 1, 2, 3);
        record.levelling = Scope::Channel;
        let outcome = Case::on(record)
            .seat(rdimm(16, 2), &["A1"])
            .seat(rdimm(8, 2), &["B1", "B2"])
            .check()
            .outcome;
        assert_eq!(outcome.uniform, Some(MegabytesPerSecond(2 * 10_664)));
        assert_eq!(outcome.peak, Some(MegabytesPerSecond(12_800 + 10_664)));
    }

    proptest! {
        /// The time that a search compares by is that of the regions which an answer shows.
        #[test]
        fn the_time_is_that_of_the_regions(
            gib in prop::collection::vec(prop::sample::select(vec![0u64, 8, 16, 16, 32]), 8),
            sets in prop::sample::select(vec![Vec::new(), eight_named_channels(), paired_ports()]),
        ) {
            let facts = BoardFacts { interleave: sets, ..board(Generation::Ddr4, 1, 8, 1) };
            let board = crate::domain::board::Board::checked(facts).unwrap();
            let held = || (0..).map(ChannelIx).zip(gib.iter().map(|gib| gib * 1024));
            let none = Protection::None;
            let regions = socket_regions(&board, none, held().map(|(c, mib)| (c, Mib(mib))).collect());
            let time: u128 = regions.iter().map(|region| region.per_way(COMMON)).sum();
            let numbered = (1u8..).zip(gib.iter().map(|gib| gib * 1024));
            prop_assert_eq!(time_of(&board, none, numbered), time);
        }

        /// A search ends where it reaches this: nothing may be faster.
        #[test]
        fn no_equal_channels_read_faster_than_in_regions_of_the_widest(
            filled in prop::collection::vec(any::<bool>(), 8),
            sets in prop::sample::select(vec![Vec::new(), eight_named_channels(), paired_ports()]),
        ) {
            let facts = BoardFacts { interleave: sets, ..board(Generation::Ddr4, 1, 8, 1) };
            let board = crate::domain::board::Board::checked(facts).unwrap();
            let count = filled.iter().filter(|own| **own).count() as u32;
            let held = (1u8..).zip(filled.iter().map(|own| u64::from(*own) * 16_384));
            let time = time_of(&board, Protection::None, held);
            for range in [count..=count, 0..=count, count / 2..=8] {
                let widest = widest_region(&board, Protection::None, range);
                prop_assert!(time >= u128::from(count) * 16_384 * (COMMON / u128::from(widest)));
            }
        }

        #[test]
        fn no_population_reads_evenly_faster_than_its_peak(
            gib in prop::collection::vec(prop::sample::select(vec![0u64, 8, 16, 32]), 8),
        ) {
            let mut case = Case::on(board(Generation::Ddr3, 2, 4, 1));
            for (letter, gib) in (b'A'..).zip(&gib).filter(|(_, gib)| **gib > 0) {
                let slot = format!("{}1", char::from(letter));
                case = case.seat(rdimm(*gib, 2), &[slot.as_str()]);
            }
            let outcome = case.check().outcome;
            let held: u64 = gib.iter().sum();
            let in_regions = outcome.regions.iter().flatten().map(|r| r.capacity.0).sum::<u64>();
            prop_assert_eq!(in_regions, held * 1024);
            prop_assert!(outcome.uniform <= outcome.peak);
            let even = outcome.regions.iter().all(|regions| regions.len() < 2);
            prop_assert_eq!(even, outcome.regions.iter().all(|r| even_loss(r) == 0));
        }
    }
}
