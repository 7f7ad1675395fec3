//! What comes out of a population: capacity, voltage, rate, bandwidth, regions, power.
//!
//! Everything that rests on an unknown fact is `None`; [`Outcome::missing`] names the fact.

mod capacity;
mod grouped;
mod latency;
mod ranks;
mod rate;
mod regions;
mod voltage;

pub use capacity::rank_size;
pub use grouped::{grouping, is_left_out, readable};
pub use latency::GroupTiming;
pub use ranks::{holds_memory, set_aside, untold, ways};
pub use rate::{Ceiling, Group, group};
pub use regions::{
    COMMON, Region, RegionModel, even_loss, socket_regions, time_apart, time_of, widest_region,
};
pub use voltage::SupplyOption;

use super::board::ChannelIx;
use super::channel::{self, Stack};
use super::finding::{Fact, Missing};
use super::rules::{BoardView, ChannelView};
use super::setup::{Seen, Setup};
use super::units::{MegabytesPerSecond, Mib, Millivolts, Milliwatts, Mts, Picoseconds};

/// What comes out of a population.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Outcome {
    /// Modules on the board.
    pub modules: u16,
    /// Main memory of all modules on the board: an NVDIMM-N adds none.
    pub installed: Option<Mib>,
    /// Capacity that the operating system sees: on channels that work, under the protection.
    pub usable: Option<Mib>,
    /// The supply voltage that is set.
    pub supply: Option<Millivolts>,
    /// What each possible supply voltage would give, ascending.
    pub supply_options: Vec<SupplyOption>,
    /// The rate of the slowest populated channel that works.
    pub rate: Option<Mts>,
    /// What keeps the rate from being higher.
    pub binding: Vec<Ceiling>,
    /// Facts that keep the rate from being known; empty when it is known or there is none.
    pub rate_missing: Vec<Missing>,
    /// The CAS latency at the running rate; where rates or latencies differ, that of the channels
    /// with the slowest first word.
    pub cas_latency: Option<u8>,
    /// The time from a read command to the first word: the slowest over all channels.
    pub first_word: Option<Picoseconds>,
    /// The timing of each group of channels that runs at one clock.
    pub timing: Vec<GroupTiming>,
    /// Every channel of the board, in order.
    pub channels: Vec<ChannelOutcome>,
    /// Sum of the peak bandwidth of the populated channels that work; of a mirrored group, one channel
    /// counts.
    pub peak: Option<MegabytesPerSecond>,
    /// Bandwidth when all memory is read evenly.
    pub uniform: Option<MegabytesPerSecond>,
    /// Whether regions follow the board's named sets or the simple model.
    pub region_model: RegionModel,
    /// Interleave regions of each socket, socket 1 first, the widest region first.
    pub regions: Vec<Vec<Region>>,
    /// Channels that work independently of each other under the protection.
    pub independent_channels: u16,
    /// Typical power of all modules.
    pub typical_power: Option<Milliwatts>,
    /// Peak power of all modules.
    pub peak_power: Option<Milliwatts>,
    /// Empty slots of fitted sockets on channels that work: room for more.
    pub free_slots: u16,
    /// Fillers that the board needs: one for each empty slot of a fitted socket.
    pub fillers: u16,
    /// Facts that kept something from being computed.
    pub missing: Vec<Missing>,
}

impl Outcome {
    /// Channels that hold a module.
    pub fn populated(&self) -> impl Iterator<Item = &ChannelOutcome> {
        self.channels.iter().filter(|channel| channel.modules > 0)
    }

    /// Channels whose modules run, with what sits on them.
    pub fn running<'a>(
        &'a self,
        view: &BoardView<'a>,
    ) -> impl Iterator<Item = (ChannelView<'a>, &'a ChannelOutcome)> {
        view.channels()
            .zip(&self.channels)
            .filter(|(_, channel)| channel.runs())
    }
}

/// What comes out of one channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ChannelOutcome {
    /// The channel.
    pub channel: ChannelIx,
    /// Whether its memory is reached; `None` if that depends on the processor model.
    pub works: Option<bool>,
    /// Modules on it.
    pub modules: u8,
    /// Its capacity.
    pub capacity: Option<Mib>,
    /// Its seen ranks.
    pub seen: Seen,
    /// The rate that the board lists for it at the voltage that is set.
    pub listed: Option<Mts>,
    /// The rate that it would run alone: the lowest of listed, module ratings and processor.
    pub alone: Option<Mts>,
    /// The rate that it runs, levelled with its neighbours.
    pub rate: Option<Mts>,
    /// Ranks that interleave within the channel; 1 where none do. `None` for an empty channel, and
    /// where the board's record or a module does not tell.
    pub rank_ways: Option<u16>,
}

impl Outcome {
    /// Whether all memory that runs is read: no protection loses any.
    pub fn reads_all(&self) -> bool {
        let running = self.channels.iter().filter(|channel| channel.runs());
        let held = running
            .map(|channel| channel.capacity.map(|mib| mib.0))
            .sum::<Option<u64>>();
        let regions = self.regions.iter().flatten();
        held == Some(
            regions
                .map(|region| region.capacity.0 * region.copies)
                .sum(),
        )
    }
}

impl ChannelOutcome {
    /// Whether it holds modules that are reached, or may be.
    pub fn runs(&self) -> bool {
        self.modules > 0 && self.works != Some(false)
    }
}

/// Computes the outcome of what sits on each channel (in the order of [`super::board::Board::all_channels`]).
pub fn compute(setup: &Setup<'_>, stacks: &[Stack]) -> Outcome {
    let views: Vec<ChannelView<'_>> = views(setup, stacks);
    let mut outcome = Outcome {
        channels: channel_outcomes(&views),
        ..Outcome::default()
    };
    outcome.modules = views.iter().map(|view| u16::from(view.stack.count())).sum();
    capacity::fill(&views, &mut outcome);
    voltage::fill(&views, &mut outcome);
    latency::fill(&views, &mut outcome);
    regions::fill(setup, stacks, &mut outcome);
    power(&views, &mut outcome);
    slots(&views, &mut outcome);
    outcome.missing.sort_unstable();
    outcome.missing.dedup();
    outcome
}

/// A view of each channel of the board.
pub fn views<'a>(setup: &'a Setup<'a>, stacks: &[Stack]) -> Vec<ChannelView<'a>> {
    setup
        .board
        .all_channels()
        .zip(stacks)
        .map(|(channel, stack)| ChannelView {
            setup,
            socket: setup.board.address(channel).0,
            channel,
            stack: *stack,
        })
        .collect()
}

/// What each channel gives by itself. Alike channels, as most are, are computed once.
fn channel_outcomes(views: &[ChannelView<'_>]) -> Vec<ChannelOutcome> {
    let key = |view: &ChannelView<'_>| (view.stack, view.board().wired(view.channel));
    let mut known: Vec<((Stack, u8), ChannelOutcome)> = Vec::new();
    let of = |view: &ChannelView<'_>| {
        let key = key(view);
        let alike = known.iter().find(|(other, _)| *other == key);
        match alike {
            Some((_, own)) => ChannelOutcome {
                channel: view.channel,
                works: view.setup.works_at(view.channel),
                ..*own
            },
            None => {
                let own = channel_outcome(view);
                known.push((key, own));
                own
            }
        }
    };
    views.iter().map(of).collect()
}

fn channel_outcome(view: &ChannelView<'_>) -> ChannelOutcome {
    ChannelOutcome {
        channel: view.channel,
        works: view.setup.works_at(view.channel),
        modules: view.stack.count(),
        capacity: channel_capacity(view),
        seen: channel::seen_ranks(view),
        listed: None,
        alone: None,
        rate: None,
        rank_ways: ranks::ways(view),
    }
}

/// Capacity of what sits on a channel; zero if nothing does. A module that the firmware has switched
/// off gives none.
pub fn channel_capacity(view: &ChannelView<'_>) -> Option<Mib> {
    view.modules()
        .filter(|on| !on.module.switched_off)
        .try_fold(Mib(0), |sum, on| {
            Some(Mib(sum.0 + on.module.main_memory()?.0))
        })
}

fn power(views: &[ChannelView<'_>], outcome: &mut Outcome) {
    let zero = Some(Milliwatts(0));
    (outcome.typical_power, outcome.peak_power) = (zero, zero);
    let add = |sum: &mut Option<Milliwatts>, one: Option<Milliwatts>| {
        *sum = sum.zip(one).map(|(sum, one)| Milliwatts(sum.0 + one.0));
    };
    // Most channels hold what the one before holds.
    let mut before: Option<(Stack, [Option<Milliwatts>; 2])> = None;
    for view in views {
        let known = before.filter(|(stack, _)| *stack == view.stack);
        let own = known.map_or_else(|| channel_power(view, &mut outcome.missing), |(_, own)| own);
        before = Some((view.stack, own));
        let [typical, peak] = own;
        add(&mut outcome.typical_power, typical);
        add(&mut outcome.peak_power, peak);
    }
}

/// Typical and peak power of what sits on a channel.
fn channel_power(view: &ChannelView<'_>, missing: &mut Vec<Missing>) -> [Option<Milliwatts>; 2] {
    let mut sums = [Some(Milliwatts(0)); 2];
    for on in view.modules() {
        let own = [on.module.typical_power, on.module.peak_power];
        for (sum, one) in sums.iter_mut().zip(own) {
            *sum = sum.zip(one).map(|(sum, one)| Milliwatts(sum.0 + one.0));
        }
        if on.module.peak_power.is_none() {
            missing.push(Missing::of(on.part, Fact::PeakPower));
        }
    }
    sums
}

fn slots(views: &[ChannelView<'_>], outcome: &mut Outcome) {
    let mut empty = 0;
    for (view, channel) in views.iter().zip(&outcome.channels) {
        if !view.setup.is_fitted(view.socket) {
            continue;
        }
        let free = view
            .board()
            .wired(view.channel)
            .saturating_sub(channel.modules);
        empty += u16::from(free);
        // A channel that its processor does not wire takes no more memory.
        outcome.free_slots += match channel.works {
            Some(false) => 0,
            Some(true) | None => u16::from(free),
        };
    }
    if views.first().is_some_and(|view| view.board().fillers) {
        outcome.fillers = empty;
    }
}
