//! Rows of a board record: what it takes, how fast a channel runs, what patterns it lists, how it
//! fills.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use utoipa::ToSchema;
use utoipa::openapi::{RefOr, Schema};

use super::collect::Collect;
use super::value::{
    AnyOr, CapacitiesOrAny, CapacityLimit, ChannelsOrAny, CountsOrAny, DensitiesOrAny,
    DensityOrAny, EccBitsOrAny, ModuleLimit, Named, OneOf, Part, PositionsOrAny, RanksOrAny,
    SocketsOrAny, StacksOrAny, VoltagesOrAny, Words, add, reference, words,
};
use super::words::{KindName, RankMeasureName, StackName, WidthName};
use crate::domain::board::accept::{AcceptRow, Multiplication, SeenRanks};
use crate::domain::board::filling::{Filling, LayoutRow, Seat};
use crate::domain::board::rates::{RankMatch, RateRow, RateStep};
use crate::domain::units::{Gigabits, Mib, Millivolts, Mts};

/// Widths, or any.
pub type WidthsOrAny = AnyOr<Vec<WidthName>>;
/// The oldest firmware, or any.
pub type FirmwareOrAny = AnyOr<FirmwareText>;
/// The rates of a pattern, or where else they are told.
pub type LayoutRates = OneOf<Vec<SupplyRate>, ByRows>;

/// A firmware version: numbers and words between dots or dashes, compared part by part.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct FirmwareText(pub String);

impl Part for FirmwareText {
    fn label() -> String {
        "Firmware".to_owned()
    }

    fn place() -> RefOr<Schema> {
        utoipa::openapi::schema::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::String)
            .pattern(Some("[0-9]"))
            .into()
    }

    fn sample() -> Value {
        json!("2.4")
    }
}

words! {
    /// In place of a pattern's own rates.
    ByRows {
        /// The rate rows tell.
        ByRows = "by_rows",
    }
}

/// Modules that the board takes. A module is taken if some row matches it; of several that match,
/// the first holds, so special rows stand before general ones.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"kind": "RDIMM", "capacities_mib": "any", "ranks": [4], "widths": ["x4", "x8"], "die_gbit": [2, 4], "stacks": [1], "ecc_bits": "any", "supply_mv": "any", "per_channel": 2, "positions": [1, 2], "seen_ranks": "package", "firmware": "any"}))]
pub struct AcceptRecord {
    /// The kind of module.
    pub kind: KindName,
    /// Capacities in MiB, or `"any"`.
    pub capacities_mib: CapacitiesOrAny,
    /// Package ranks, or `"any"`.
    pub ranks: RanksOrAny,
    /// Widths of the memory devices, or `"any"`.
    pub widths: WidthsOrAny,
    /// Die densities in Gbit, or `"any"`.
    pub die_gbit: DensitiesOrAny,
    /// Stack heights, or `"any"`; 1 is a flat module.
    pub stacks: StacksOrAny,
    /// ECC bits on the bus, or `"any"`.
    pub ecc_bits: EccBitsOrAny,
    /// Supply voltages in mV of which a module must support one, or `"any"`.
    pub supply_mv: VoltagesOrAny,
    /// The most modules of this row on one channel.
    pub per_channel: ModuleLimit,
    /// The positions that they may sit in, or `"any"`; 1 is the farthest from the processor.
    pub positions: PositionsOrAny,
    /// How their ranks count against the channel's rank budget.
    pub seen_ranks: SeenRanksRecord,
    /// The oldest firmware that knows such modules, or `"any"`.
    pub firmware: FirmwareOrAny,
}

/// How a module's ranks count against the channel's rank budget: `package` ranks, `logical` ranks
/// (package ranks times stack height), or package ranks divided by a factor.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
#[schema(example = json!({"multiplied": [{"ranks": [4], "positions_wired": "any", "die_at_most_gbit": "any", "factor": 2}]}))]
pub enum SeenRanksRecord {
    /// Package ranks count.
    Package,
    /// Logical ranks count.
    Logical,
    /// Package ranks divided by the factor of the first row that matches. A module that no row
    /// matches cannot be counted.
    Multiplied(Vec<MultiplicationRecord>),
}

/// A row of rank multiplication: the buffer of an LRDIMM shows several package ranks as one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"ranks": [4], "positions_wired": "any", "die_at_most_gbit": "any", "factor": 2}))]
pub struct MultiplicationRecord {
    /// Package ranks of the module.
    #[schema(example = json!([4]))]
    pub ranks: Vec<u8>,
    /// Positions wired on the channel, or `"any"`.
    pub positions_wired: PositionsOrAny,
    /// The densest die in Gbit that the row holds for, or `"any"`.
    pub die_at_most_gbit: DensityOrAny,
    /// Package ranks that count as one.
    #[schema(example = 2, minimum = 1, maximum = 8)]
    pub factor: u8,
}

/// How fast a channel runs. Of the rows that match a channel, the fastest holds.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"kinds": ["RDIMM"], "stack": "flat", "modules": 2, "ranks": {"at_most": 2}, "counting": "package", "positions_wired": "any", "supply_mv": [1500], "firmware": "any", "rate_mts": 1600}))]
pub struct RateRecord {
    /// Kinds that all modules of the channel must be of.
    #[schema(example = json!(["RDIMM"]))]
    pub kinds: Vec<KindName>,
    /// Whether the row is for flat modules, stacked ones, or any.
    pub stack: StackName,
    /// How many modules sit on the channel.
    #[schema(example = 2, minimum = 1, maximum = 4)]
    pub modules: u8,
    /// The ranks of these modules.
    pub ranks: RankMatchRecord,
    /// Which ranks are meant.
    pub counting: RankMeasureName,
    /// How many positions are wired on the channel, or `"any"`.
    pub positions_wired: PositionsOrAny,
    /// Supply voltages in mV that the row holds at, or `"any"`.
    pub supply_mv: VoltagesOrAny,
    /// The oldest firmware that the row holds for, or `"any"`.
    pub firmware: FirmwareOrAny,
    /// The rate in MT/s.
    #[schema(example = 1600, minimum = 200, maximum = 20000)]
    pub rate_mts: u32,
}

/// The ranks of a channel's modules: `"any"`, none above `at_most`, or `exactly` these in any order.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
#[schema(example = json!({"at_most": 2}))]
pub enum RankMatchRecord {
    /// Whatever they are.
    Any,
    /// No module has more ranks than this.
    AtMost(u8),
    /// One number for each module, in any order.
    Exactly(Vec<u8>),
}

/// A position pattern that the maker lists. A kind that has any may sit in these only.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"kinds": ["ECC UDIMM"], "sockets_fitted": "any", "pattern": ["2R", "-", "1R|2R"], "rates": "by_rows"}))]
pub struct LayoutRecord {
    /// Kinds that all modules of the channel must be of.
    #[schema(example = json!(["ECC UDIMM"]))]
    pub kinds: Vec<KindName>,
    /// Numbers of sockets fitted that the row is for, or `"any"`.
    pub sockets_fitted: SocketsOrAny,
    /// What sits in each position wired, position 1 (the farthest) first: `-` nothing, `2R` a module of two
    /// package ranks, `1R|2R` either, `any` any module of these kinds.
    #[schema(example = json!(["2R", "-", "1R|2R"]))]
    pub pattern: Vec<String>,
    /// The rates of this pattern by supply voltage, or `"by_rows"` when the rate rows tell.
    pub rates: LayoutRates,
}

/// A rate at a supply voltage.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"supply_mv": 1350, "rate_mts": 1333}))]
pub struct SupplyRate {
    /// The voltage in mV.
    #[schema(example = 1350, minimum = 500, maximum = 15000)]
    pub supply_mv: u16,
    /// The rate in MT/s.
    #[schema(example = 1333, minimum = 200, maximum = 20000)]
    pub rate_mts: u32,
}

impl Part for SupplyRate {
    fn label() -> String {
        "SupplyRate".to_owned()
    }

    fn place() -> RefOr<Schema> {
        reference::<Self>()
    }

    fn sample() -> Value {
        json!({"supply_mv": 1350, "rate_mts": 1333})
    }

    fn needs(named: &mut Named) {
        add::<Self>(named);
    }
}

/// How the board fills with some numbers of sockets fitted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"sockets_fitted": [1, 2], "position_order": [1, 2, 3], "channel_order": [1, 3, 2, 4], "module_counts": "any", "rank_order": true, "advised_modules": "none", "board_capacity_mib": "none"}))]
pub struct FillingRecord {
    /// The numbers of sockets fitted that the row is for. Each number needs exactly one row.
    #[schema(example = json!([1, 2]))]
    pub sockets_fitted: Vec<u8>,
    /// Positions of a channel in the order in which they fill; 1 is the farthest from the processor.
    /// The first of the list is where a lone module sits.
    #[schema(example = json!([1, 2, 3]))]
    pub position_order: Vec<u8>,
    /// Channels of a socket in the order in which they fill, or `"any"` when it does not matter.
    pub channel_order: ChannelsOrAny,
    /// Module counts of one socket that the maker supports, or `"any"`.
    pub module_counts: CountsOrAny,
    /// Whether a channel's modules must be ordered by rank, most ranks in the position that fills
    /// first.
    #[schema(example = true)]
    pub rank_order: bool,
    /// The fewest modules of a socket that the maker advises.
    pub advised_modules: ModuleLimit,
    /// The most memory of the whole board in MiB.
    pub board_capacity_mib: CapacityLimit,
}

/// A rate that the firmware takes a module of an odd rate for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"from_mts": 1266, "runs_mts": 1333}))]
pub struct RateStepRecord {
    /// The lowest rate of a module that the step is for, in MT/s.
    #[schema(example = 1266, minimum = 200, maximum = 20000)]
    pub from_mts: u32,
    /// The rate that such a module is taken for, in MT/s.
    #[schema(example = 1333, minimum = 200, maximum = 20000)]
    pub runs_mts: u32,
}

impl RateStepRecord {
    pub(super) fn to_step(self) -> RateStep {
        RateStep {
            from: Mts(self.from_mts),
            runs: Mts(self.runs_mts),
        }
    }
}

impl AcceptRecord {
    pub(super) fn to_row(&self, at: &str, collect: &mut Collect) -> AcceptRow {
        AcceptRow {
            kind: self.kind.into(),
            capacities: self.capacities_mib.to_list(|c| Mib(c.0)),
            ranks: self.ranks.to_list(|r| r.0),
            widths: self.widths.to_list(|w| (*w).into()),
            die_densities: self.die_gbit.to_list(|d| Gigabits(d.0)),
            stacks: self.stacks.to_list(|s| s.0),
            ecc_bits: self.ecc_bits.to_list(|b| b.0),
            supply: self.supply_mv.to_list(|v| Millivolts(v.0)),
            per_channel: self.per_channel.to_limit(|m| m.0),
            positions: self.positions.to_list(|p| p.0),
            seen_ranks: self.seen_ranks.to_seen(),
            firmware: collect.firmware(&format!("{at}/firmware"), &self.firmware),
        }
    }
}

impl SeenRanksRecord {
    fn to_seen(&self) -> SeenRanks {
        match self {
            Self::Package => SeenRanks::Package,
            Self::Logical => SeenRanks::Logical,
            Self::Multiplied(rows) => {
                SeenRanks::Multiplied(rows.iter().map(MultiplicationRecord::to_row).collect())
            }
        }
    }
}

impl MultiplicationRecord {
    fn to_row(&self) -> Multiplication {
        Multiplication {
            ranks: self.ranks.clone(),
            positions_wired: self.positions_wired.to_list(|p| p.0),
            die_at_most: match self.die_at_most_gbit {
                OneOf::Value(density) => Some(density.into()),
                OneOf::Word(_) => None,
            },
            factor: self.factor,
        }
    }
}

impl RateRecord {
    pub(super) fn to_row(&self, at: &str, collect: &mut Collect) -> RateRow {
        RateRow {
            kinds: self.kinds.iter().map(|kind| (*kind).into()).collect(),
            stack: self.stack.into(),
            measure: self.counting.into(),
            ranks: match &self.ranks {
                RankMatchRecord::Any => RankMatch::Any,
                RankMatchRecord::AtMost(most) => RankMatch::AtMost(*most),
                RankMatchRecord::Exactly(ranks) => RankMatch::Exactly(ranks.clone()),
            },
            modules: self.modules,
            positions_wired: self.positions_wired.to_list(|p| p.0),
            supply: self.supply_mv.to_list(|v| Millivolts(v.0)),
            firmware: collect.firmware(&format!("{at}/firmware"), &self.firmware),
            rate: Mts(self.rate_mts),
        }
    }
}

impl LayoutRecord {
    pub(super) fn to_row(&self, at: &str, collect: &mut Collect) -> LayoutRow {
        let seats = self.pattern.iter().enumerate();
        let seats = seats.map(|(index, text)| {
            seat(text).unwrap_or_else(|| {
                collect.fault(
                    format!("{at}/pattern/{index}"),
                    format!("`{text}` describes no position"),
                    "`-` for nothing, `2R` for two package ranks, `1R|2R` for either, or `any`",
                );
                // Keeps the length, so that one slip is one fault.
                Seat::Module
            })
        });
        let pattern = seats.collect();
        let rates = match &self.rates {
            OneOf::Word(ByRows::ByRows) => Vec::new(),
            OneOf::Value(rates) => {
                collect.filled(
                    &format!("{at}/rates"),
                    rates,
                    "list rates, or say `by_rows`",
                );
                let pair = |rate: &SupplyRate| (Millivolts(rate.supply_mv), Mts(rate.rate_mts));
                rates.iter().map(pair).collect()
            }
        };
        LayoutRow {
            kinds: self.kinds.iter().map(|kind| (*kind).into()).collect(),
            sockets_fitted: self.sockets_fitted.to_list(|s| s.0),
            pattern,
            rates,
        }
    }
}

/// Reads `-`, `any`, `2R` or `1R|2R`.
fn seat(text: &str) -> Option<Seat> {
    match text {
        "-" => Some(Seat::Empty),
        "any" => Some(Seat::Module),
        _ => {
            let ranks = text.split('|').map(|part| {
                let digits = part.trim().strip_suffix('R')?;
                let digits = digits
                    .bytes()
                    .all(|b| b.is_ascii_digit())
                    .then_some(digits)?;
                digits.parse().ok().filter(|ranks| (1..=16).contains(ranks))
            });
            ranks.collect::<Option<Vec<u8>>>().map(Seat::Ranks)
        }
    }
}

impl FillingRecord {
    pub(super) fn to_filling(&self) -> Filling {
        Filling {
            sockets_fitted: self.sockets_fitted.clone(),
            position_order: self.position_order.clone(),
            channel_order: self.channel_order.to_list(|c| c.0),
            module_counts: self.module_counts.to_list(|m| m.0),
            rank_order: self.rank_order,
            advised_modules: self.advised_modules.to_limit(|m| m.0),
            board_capacity: self.board_capacity_mib.to_limit(|c| Mib(c.0)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_position_is_empty_of_some_ranks_or_any() {
        assert_eq!(seat("-"), Some(Seat::Empty));
        assert_eq!(seat("any"), Some(Seat::Module));
        assert_eq!(seat("2R"), Some(Seat::Ranks(vec![2])));
        assert_eq!(seat("1R|2R"), Some(Seat::Ranks(vec![1, 2])));
        for wrong in ["", "R", "2", "0R", "2R|", "DR", "+2R", "2R,1R"] {
            assert_eq!(seat(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn every_word_in_place_of_rates_is_known() {
        assert_eq!(ByRows::of("by_rows"), Some(ByRows::ByRows));
        assert_eq!(ByRows::of("rows"), None);
    }
}
