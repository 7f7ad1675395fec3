//! Outcomes as JSON.

use crate::domain::outcome::{Ceiling, Outcome, RegionModel};
use serde::Serialize;
use utoipa::ToSchema;

use super::finding::{ChannelBody, MissingBody, Pointers};

/// What comes out of a population. A member that is missing rests on a fact that is not known.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Outcome)]
pub struct OutcomeBody {
    /// Modules on the board.
    #[schema(example = 16)]
    pub modules: u16,
    /// Capacity of all modules, in MiB.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 524288)]
    pub installed_mib: Option<u64>,
    /// Capacity on channels that work, under the protection, in MiB.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 524288)]
    pub usable_mib: Option<u64>,
    /// The supply voltage that is set, in mV.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 1350)]
    pub supply_mv: Option<u16>,
    /// The rate of the slowest populated channel, in MT/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 1066)]
    pub rate_mts: Option<u32>,
    /// What keeps the rate from being higher.
    pub rate_limits: Vec<CeilingBody>,
    /// What each possible supply voltage would give.
    pub supply_options: Vec<SupplyBody>,
    /// CAS latency at that rate, in clocks.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 11)]
    pub cas_latency: Option<u8>,
    /// Time from a read command to the first word, in ps.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 13750)]
    pub first_word_ps: Option<u32>,
    /// Sum of the channels' peak bandwidth, in MB/s (10^6 bytes a second).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 68224)]
    pub peak_mb_per_s: Option<u64>,
    /// Bandwidth when all memory is read evenly, in MB/s (10^6 bytes a second).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 68224)]
    pub uniform_mb_per_s: Option<u64>,
    /// `named_sets` where the board's record names the channel sets that interleave, `simple` where
    /// they follow from the channels' capacities alone.
    #[schema(example = "simple")]
    pub region_model: &'static str,
    /// Interleave regions, socket after socket, the widest first.
    pub regions: Vec<RegionBody>,
    /// Populated channels.
    pub channels: Vec<ChannelOutcomeBody>,
    /// Channels that work independently of each other under the protection.
    #[schema(example = 8)]
    pub independent_channels: u16,
    /// Typical power of all modules, in mW.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 54400)]
    pub typical_power_mw: Option<u64>,
    /// Peak power of all modules, in mW.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 88000)]
    pub peak_power_mw: Option<u64>,
    /// Slots of fitted sockets that stay empty.
    #[schema(example = 8)]
    pub free_slots: u16,
    /// Fillers that the board needs in them.
    #[schema(example = 8)]
    pub fillers: u16,
    /// Facts that kept something from being computed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub missing: Vec<MissingBody>,
}

/// Something that keeps the rate from being higher.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RateLimit)]
pub struct CeilingBody {
    /// `module`, `processor` or `population` (what the board lists for so many modules and ranks).
    #[schema(example = "population")]
    pub kind: &'static str,
    /// The module or the processor model.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "ERW-3R32-4x4")]
    pub name: Option<String>,
    /// The channel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub channel: Option<ChannelBody>,
}

/// What a supply voltage would give.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = SupplyOption)]
pub struct SupplyBody {
    /// The voltage, in mV.
    #[schema(example = 1500)]
    pub supply_mv: u16,
    /// The rate, in MT/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 1066)]
    pub rate_mts: Option<u32>,
    /// Whether every channel has a listed rate at this voltage.
    pub supported: bool,
}

/// Channels that interleave.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Region)]
pub struct RegionBody {
    /// The socket, counted from 1.
    #[schema(example = 1)]
    pub socket: u8,
    /// Its channels, counted from 1.
    #[schema(example = json!([1, 2, 3, 4]))]
    pub channels: Vec<u8>,
    /// The memory of the region, in MiB.
    #[schema(example = 262144)]
    pub capacity_mib: u64,
}

/// What comes out of a channel.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ChannelOutcome)]
pub struct ChannelOutcomeBody {
    /// The socket, counted from 1.
    #[schema(example = 1)]
    pub socket: u8,
    /// The channel, counted from 1.
    #[schema(example = 1)]
    pub channel: u8,
    /// Modules on it.
    #[schema(example = 2)]
    pub modules: u8,
    /// Its capacity, in MiB.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 65536)]
    pub capacity_mib: Option<u64>,
    /// Ranks that it sees; a lower bound where `ranks_exact` is false.
    #[schema(example = 8)]
    pub ranks: u16,
    /// Whether `ranks` is exact.
    pub ranks_exact: bool,
    /// The rate that it would run alone, in MT/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 1066)]
    pub alone_mts: Option<u32>,
    /// The rate that it runs, in MT/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 1066)]
    pub rate_mts: Option<u32>,
    /// Ranks that interleave within the channel; 1 where none do. Left out where the board's record
    /// or a module does not tell.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 4)]
    pub rank_ways: Option<u16>,
}

/// An outcome as JSON.
pub fn body(outcome: &Outcome, at: &Pointers<'_>) -> OutcomeBody {
    OutcomeBody {
        modules: outcome.modules,
        installed_mib: outcome.installed.map(|c| c.0),
        usable_mib: outcome.usable.map(|c| c.0),
        supply_mv: outcome.supply.map(|mv| mv.0),
        rate_mts: outcome.rate.map(|rate| rate.0),
        rate_limits: outcome
            .binding
            .iter()
            .map(|ceiling| limit(*ceiling, at))
            .collect(),
        supply_options: supply_options(outcome),
        cas_latency: outcome.cas_latency,
        first_word_ps: outcome.first_word.map(|time| time.0),
        peak_mb_per_s: outcome.peak.map(|b| b.0),
        uniform_mb_per_s: outcome.uniform.map(|b| b.0),
        region_model: match outcome.region_model {
            RegionModel::Simple => "simple",
            RegionModel::NamedSets => "named_sets",
        },
        regions: regions(outcome, at),
        channels: channels(outcome, at),
        independent_channels: outcome.independent_channels,
        typical_power_mw: outcome.typical_power.map(|p| p.0),
        peak_power_mw: outcome.peak_power.map(|p| p.0),
        free_slots: outcome.free_slots,
        fillers: outcome.fillers,
        missing: outcome
            .missing
            .iter()
            .map(|missing| at.missing(*missing))
            .collect(),
    }
}

fn limit(ceiling: Ceiling, at: &Pointers<'_>) -> CeilingBody {
    let context = at.context;
    match ceiling {
        Ceiling::Module(part) => CeilingBody {
            kind: "module",
            name: Some(context.part_name(part).to_owned()),
            channel: None,
        },
        Ceiling::Processor(model) => CeilingBody {
            kind: "processor",
            name: context.board.processors.get(model).map(|p| p.id.clone()),
            channel: None,
        },
        Ceiling::Population(channel) => CeilingBody {
            kind: "population",
            name: None,
            channel: Some(at.channel(channel)),
        },
    }
}

fn supply_options(outcome: &Outcome) -> Vec<SupplyBody> {
    let body = |option: &crate::domain::outcome::SupplyOption| SupplyBody {
        supply_mv: option.supply.0,
        rate_mts: option.rate.map(|rate| rate.0),
        supported: !option.unsupported,
    };
    outcome.supply_options.iter().map(body).collect()
}

fn regions(outcome: &Outcome, at: &Pointers<'_>) -> Vec<RegionBody> {
    let body = |(socket, region): (u8, &crate::domain::outcome::Region)| RegionBody {
        socket,
        channels: region
            .channels
            .iter()
            .map(|channel| at.context.board.address(*channel).1)
            .collect(),
        capacity_mib: region.capacity.0,
    };
    (1u8..)
        .zip(&outcome.regions)
        .flat_map(|(socket, regions)| regions.iter().map(move |region| (socket, region)))
        .map(body)
        .collect()
}

fn channels(outcome: &Outcome, at: &Pointers<'_>) -> Vec<ChannelOutcomeBody> {
    let populated = outcome
        .channels
        .iter()
        .filter(|channel| channel.modules > 0);
    populated
        .map(|own| {
            let (socket, channel) = at.context.board.address(own.channel);
            ChannelOutcomeBody {
                socket,
                channel,
                modules: own.modules,
                capacity_mib: own.capacity.map(|c| c.0),
                ranks: own.seen.at_least,
                ranks_exact: own.seen.exact,
                alone_mts: own.alone.map(|rate| rate.0),
                rate_mts: own.rate.map(|rate| rate.0),
                rank_ways: own.rank_ways,
            }
        })
        .collect()
}
