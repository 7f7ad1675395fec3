//! Interleave regions and the bandwidth when all memory is read evenly.
//!
//! Where a board names its channel sets, they decide the regions. Otherwise the simple model: sort
//! the channels by capacity; each region spans the channels that still have memory. A socket's time
//! is the sum over regions of capacity ÷ (ways × 8 bytes × rate); the board's figure is its whole
//! capacity ÷ the slowest socket's time.

use super::super::board::policy::InterleaveSet;
use super::super::board::{Board, ChannelIx, Limit};
use super::super::setup::Setup;
use super::super::units::{BYTES_PER_TRANSFER, MegabytesPerSecond, Mib, Mts};
use super::{ChannelOutcome, Outcome};

/// Channels that interleave, and how much memory they hold together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Region {
    /// The channels.
    pub channels: Vec<ChannelIx>,
    /// The memory of the region.
    pub capacity: Mib,
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

pub(super) fn fill(setup: &Setup<'_>, outcome: &mut Outcome) {
    let per = usize::from(setup.board.channels).max(1);
    let named = !setup.board.interleave.is_empty();
    outcome.region_model = if named {
        RegionModel::NamedSets
    } else {
        RegionModel::Simple
    };
    if outcome.installed.is_none() {
        return;
    }
    outcome.regions = outcome
        .channels
        .chunks(per)
        .map(|channels| {
            let held: Vec<(ChannelIx, u64)> = channels
                .iter()
                .filter(|c| c.works != Some(false))
                .filter_map(|c| Some((c.channel, c.capacity?.0)))
                .filter(|(_, capacity)| *capacity > 0)
                .collect();
            if named {
                by_sets(&setup.board.interleave, per, &held)
            } else {
                simple(held)
            }
        })
        .collect();
    outcome.uniform = uniform(outcome, per);
}

/// The simple model: layer after layer, each over the channels that still have memory.
fn simple(mut held: Vec<(ChannelIx, u64)>) -> Vec<Region> {
    let mut regions = Vec::new();
    while let Some(layer) = held.iter().map(|(_, left)| *left).min() {
        let channels: Vec<ChannelIx> = held.iter().map(|(channel, _)| *channel).collect();
        regions.push(Region {
            capacity: Mib(layer * channels.len() as u64),
            channels,
        });
        held.iter_mut().for_each(|(_, left)| *left -= layer);
        held.retain(|(_, left)| *left > 0);
    }
    regions
}

/// Named sets in the record's order of preference; what no set takes stands alone.
fn by_sets(sets: &[InterleaveSet], per: usize, held: &[(ChannelIx, u64)]) -> Vec<Region> {
    let number = |channel: ChannelIx| (usize::from(channel.0) % per + 1) as u8;
    let mut left: Vec<(ChannelIx, u64)> = held.to_vec();
    let mut regions = Vec::new();
    for set in sets {
        let members: Vec<(ChannelIx, u64)> = left
            .iter()
            .copied()
            .filter(|(c, mib)| *mib > 0 && set.channels.contains(&number(*c)))
            .collect();
        let whole = members.len() == set.channels.len();
        let least = members.iter().map(|(_, mib)| *mib).min().unwrap_or(0);
        let equal = members.iter().all(|(_, mib)| *mib == least);
        let small = !matches!(set.channel_at_most, Limit::Is(most) if members.iter().any(|(_, mib)| *mib > most.0));
        let untouched = members.iter().all(|member| held.contains(member));
        if !whole
            || !untouched
            || !small
            || (set.equal && !equal)
            || (set.alone && held.len() != members.len())
        {
            continue;
        }
        let channels: Vec<ChannelIx> = members.iter().map(|(channel, _)| *channel).collect();
        regions.push(Region {
            capacity: Mib(least * channels.len() as u64),
            channels: channels.clone(),
        });
        left.iter_mut()
            .filter(|(channel, _)| channels.contains(channel))
            .for_each(|(_, mib)| *mib -= least);
    }
    for (channel, mib) in left.into_iter().filter(|(_, mib)| *mib > 0) {
        regions.push(Region {
            channels: vec![channel],
            capacity: Mib(mib),
        });
    }
    regions
}

/// Least common multiple of 1 to 32: every number of ways divides it, so times are exact integers.
pub const COMMON: u128 = 144_403_552_893_600;

fn uniform(outcome: &Outcome, per: usize) -> Option<MegabytesPerSecond> {
    let mut slowest: Option<(u128, Mts)> = None;
    let mut total = 0u128;
    for (regions, channels) in outcome.regions.iter().zip(outcome.channels.chunks(per)) {
        if regions.is_empty() {
            continue;
        }
        let time: u128 = regions
            .iter()
            .map(|r| u128::from(r.capacity.0) * (COMMON / r.channels.len() as u128))
            .sum();
        let rate = slowest_rate(channels)?;
        total += regions
            .iter()
            .map(|r| u128::from(r.capacity.0))
            .sum::<u128>();
        // time ÷ rate is compared crosswise, without rounding.
        let slower =
            slowest.is_none_or(|(other, at)| time * u128::from(at.0) > other * u128::from(rate.0));
        if slower {
            slowest = Some((time, rate));
        }
    }
    let (time, rate) = slowest?;
    let bandwidth =
        total * COMMON * u128::from(rate.0) * u128::from(BYTES_PER_TRANSFER) / time.max(1);
    u64::try_from(bandwidth).ok().map(MegabytesPerSecond)
}

fn time(regions: &[Region]) -> u128 {
    regions
        .iter()
        .map(|r| u128::from(r.capacity.0) * (COMMON / r.channels.len().max(1) as u128))
        .sum()
}

/// The time to read a socket evenly, in MiB × [`COMMON`] ÷ ways: what a placement is compared by.
pub fn time_of(board: &Board, channels: impl Iterator<Item = (ChannelIx, u64)>) -> u128 {
    let held: Vec<(ChannelIx, u64)> = channels.filter(|(_, mib)| *mib > 0).collect();
    let named = !board.interleave.is_empty();
    time(&if named {
        by_sets(&board.interleave, usize::from(board.channels).max(1), &held)
    } else {
        simple(held)
    })
}

fn slowest_rate(channels: &[ChannelOutcome]) -> Option<Mts> {
    let mut populated = channels
        .iter()
        .filter(|c| c.modules > 0 && c.works != Some(false));
    let first = populated.next()?.rate?;
    populated.try_fold(first, |slowest, channel| Some(slowest.min(channel.rate?)))
}
