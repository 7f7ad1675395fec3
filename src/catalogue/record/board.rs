//! The record of a board, and its way into the domain.

use serde::{Deserialize, Serialize};
use serde_json::json;
use utoipa::ToSchema;
use utoipa::openapi::schema::{ArrayBuilder, ObjectBuilder, Type};
use utoipa::openapi::{RefOr, Schema};

use super::collect::Collect;
use super::groups::{SlotGroupRecord, SlotGroupsLimit};
use super::policy::{InterleaveRecord, MixingRecord, ProtectionRecord, SeverityRecord};
use super::rows::{AcceptRecord, FillingRecord, LayoutRecord, RateRecord, RateStepRecord};
use super::value::{
    CapacityLimit, ChannelsOrAll, LimitOf, OneOf, PowerLimit, RankLimit, RateLimit, VoltageLimit,
};
use super::words::{
    EccNeeded, GenerationName, HeightName, KeyEnd, RankInterleaveName, Reach, UnlistedRate,
};
use crate::domain::board::{Board, BoardFacts, Place, Processor, ReportedName, Slot, Source};
use crate::domain::module::RecordFault;
use crate::domain::units::{Mib, Millivolts, Milliwatts, Mts};

/// When ranks interleave, or never or unknown.
pub type RankInterleaveLimit = LimitOf<RankInterleaveName>;

/// The tallest module, or none or unknown.
pub type HeightLimit = LimitOf<HeightName>;

/// A server board as its maker describes it. A limit is a value, `"none"` or `"unknown"`; leaving one out is
/// a fault, so that silence never means unlimited. Sockets, channels and positions count from 1;
/// position 1 is the farthest from the processor.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BoardRecord {
    /// Id that a request names.
    #[schema(example = "tarn", min_length = 1, max_length = 100)]
    pub id: String,
    /// Name for people.
    #[schema(example = "Tarn, two sockets, DDR3", min_length = 1, max_length = 200)]
    pub name: String,
    /// Whether the board is invented (demo data) or real.
    #[schema(example = true)]
    pub invented: bool,
    /// Where its limits were read.
    pub sources: Vec<SourceRecord>,
    /// The only generation that goes into its slots.
    pub generation: GenerationName,
    /// Number of processor sockets.
    #[schema(example = 2, minimum = 1, maximum = 64)]
    pub sockets: u8,
    /// Number of channels of each socket.
    #[schema(example = 4, minimum = 1, maximum = 32)]
    pub channels: u8,
    /// Most positions on a channel; a channel may have fewer slots.
    #[schema(example = 3, minimum = 1, maximum = 4)]
    pub positions: u8,
    /// All slots, one row for each channel.
    pub slots: Vec<SlotsRecord>,
    /// For each channel of a socket, the memory controller node that it belongs to, counted from 1.
    #[schema(example = json!([1, 1, 2, 2]))]
    pub nodes: Vec<u8>,
    /// Supply voltages that the board can set, in mV.
    #[schema(example = json!([1350, 1500]))]
    pub supply_mv: Vec<u16>,
    /// DDR5: the voltage that its slots feed to the module, in mV. `"none"` where slots feed the supply
    /// voltage itself.
    pub input_mv: VoltageLimit,
    /// Processor models that it takes.
    pub processors: Vec<ProcessorRecord>,
    /// The order in which sockets are filled with processors and memory.
    #[schema(example = json!([1, 2]))]
    pub socket_order: Vec<u8>,
    /// Modules that it takes.
    pub accepts: Vec<AcceptRecord>,
    /// Whether modules must have ECC.
    pub ecc: EccNeeded,
    /// The most ranks that a channel may see.
    pub rank_budget: RankLimit,
    /// The lowest rate that the board runs, in MT/s: a module that is slower is not supported.
    pub lowest_rate_mts: RateLimit,
    /// Where the firmware takes a module of an odd rate for a faster one; empty where each module is
    /// taken for its own rate.
    pub rate_steps: Vec<RateStepRecord>,
    /// How fast a channel runs with what sits on it.
    pub rates: Vec<RateRecord>,
    /// What a channel without a matching rate row means.
    pub unlisted_rate: UnlistedRate,
    /// Exact position patterns; empty where the maker prints limits instead. A kind that has any may
    /// sit in these only.
    pub layouts: Vec<LayoutRecord>,
    /// How it fills, by number of sockets fitted.
    pub filling: Vec<FillingRecord>,
    /// How far rates level: all channels within it run at the slowest one's rate.
    pub levelling: Reach,
    /// Channel sets that interleave, by preference; empty where the maker names none.
    pub interleave: Vec<InterleaveRecord>,
    /// When the ranks of one channel interleave.
    pub rank_interleave: RankInterleaveLimit,
    /// Slots of a socket that belong together and are not a channel; every socket has the same.
    pub slot_groups: SlotGroupsLimit,
    /// What may be mixed where.
    pub mixing: MixingRecord,
    /// Protections that it offers.
    pub protections: Vec<ProtectionRecord>,
    /// The most memory of one socket, in MiB.
    pub socket_capacity_mib: CapacityLimit,
    /// The most power that the module of one slot may draw, in mW.
    pub slot_power_mw: PowerLimit,
    /// The tallest module that fits under what is above it.
    pub height: HeightLimit,
    /// Whether empty slots of a fitted socket need fillers.
    #[schema(example = true)]
    pub fillers: bool,
    /// Cautions of this board beyond the usual ones.
    #[schema(example = json!(["The air duct must be in place before power is applied."]))]
    pub cautions: Vec<String>,
    /// Rules whose severity this board changes.
    pub severities: Vec<SeverityRecord>,
}

/// Where a limit was read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"title": "Tarn service guide, revision 3 (invented)", "section": "table 7"}))]
pub struct SourceRecord {
    /// Title and revision of the document.
    #[schema(example = "Tarn service guide, revision 3 (invented)")]
    pub title: String,
    /// Table, section or page.
    #[schema(example = "table 7")]
    pub section: String,
}

/// The slots of one channel.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"socket": 1, "channel": 1, "labels": ["A1", "A2", "A3"], "drawn_at": [[0, 0], [1, 0], [2, 0]], "key": "top"}))]
pub struct SlotsRecord {
    /// The socket, counted from 1.
    #[schema(example = 1, minimum = 1, maximum = 64)]
    pub socket: u8,
    /// The channel of the socket, counted from 1.
    #[schema(example = 1, minimum = 1, maximum = 32)]
    pub channel: u8,
    /// The labels printed on the board, position 1 (the farthest from the processor) first.
    #[schema(example = json!(["A1", "A2", "A3"]))]
    pub labels: Vec<String>,
    /// Where these slots stand on a simple drawing: column and row of each, counted from 0.
    #[schema(example = json!([[0, 0], [1, 0], [2, 0]]))]
    pub drawn_at: Vec<DrawnAt>,
    /// The end of these slots, as drawn, that the key is nearer to.
    pub key: KeyEnd,
    /// What an inventory report of such a machine calls these slots, in the order of `labels`. Left out
    /// where reports print the labels, or names whose numbers tell socket, channel and slot.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schema(example = json!([{"locator": "PROC 1 DIMM 2"}, {"locator": "PROC 1 DIMM 1"}]))]
    pub reported_as: Vec<ReportedNameRecord>,
}

/// What an inventory report calls a slot.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = ReportedName)]
pub struct ReportedNameRecord {
    /// The locator.
    #[schema(example = "PROC 1 DIMM 2", min_length = 1, max_length = 200)]
    pub locator: String,
    /// The bank locator, where the same locator stands for several slots.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = "NODE 1", min_length = 1, max_length = 200)]
    pub bank: Option<String>,
}

/// Column and row of a slot on the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct DrawnAt(pub [u16; 2]);

impl utoipa::PartialSchema for DrawnAt {
    fn schema() -> RefOr<Schema> {
        let number = ObjectBuilder::new()
            .schema_type(Type::Integer)
            .minimum(Some(0))
            .maximum(Some(1000));
        ArrayBuilder::new()
            .items(number)
            .min_items(Some(2))
            .max_items(Some(2))
            .description(Some("Column and row, counted from 0."))
            .examples([json!([0, 0])])
            .into()
    }
}

impl ToSchema for DrawnAt {}

/// A processor model that the board takes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"id": "tarn-8", "name": "Tarn 8-core (invented)", "rate_mts": 1600, "capacity_mib": 786432, "channels": "all"}))]
pub struct ProcessorRecord {
    /// Id that a request names.
    #[schema(example = "tarn-8", min_length = 1, max_length = 100)]
    pub id: String,
    /// Name for people.
    #[schema(example = "Tarn 8-core (invented)")]
    pub name: String,
    /// The highest rate that its memory controller runs, in MT/s.
    pub rate_mts: RateLimit,
    /// The most memory that it addresses, in MiB.
    pub capacity_mib: CapacityLimit,
    /// The channels that work with it, or `"all"`.
    pub channels: ChannelsOrAll,
}

impl BoardRecord {
    /// The board, checked.
    ///
    /// # Errors
    /// Everything that is wrong with it, with pointers into this record.
    pub fn to_board(&self) -> Result<Board, Vec<RecordFault>> {
        let mut collect = Collect::default();
        let facts = self.to_facts(&mut collect);
        let mut faults = collect.0;
        match Board::checked(facts) {
            Ok(board) if faults.is_empty() => return Ok(board),
            Ok(_) => {}
            // A pattern that could not be read in full seems too short: one fault is enough.
            Err(more) => faults.extend(more.into_iter().map(|fault| self.relocated(fault))),
        }
        let mut seen = std::collections::BTreeSet::new();
        faults.retain(|fault| seen.insert((fault.pointer.clone(), fault.message.clone())));
        Err(faults)
    }

    fn to_facts(&self, collect: &mut Collect) -> BoardFacts {
        BoardFacts {
            id: self.id.clone(),
            name: self.name.clone(),
            invented: self.invented,
            sources: self.sources.iter().map(SourceRecord::to_source).collect(),
            generation: self.generation.into(),
            sockets: self.sockets,
            channels: self.channels,
            positions: self.positions,
            slots: self.slots(collect),
            nodes: self.nodes.clone(),
            supply: self.supply_mv.iter().copied().map(Millivolts).collect(),
            input: self.input_mv.to_limit(|v| Millivolts(v.0)),
            processors: self
                .processors
                .iter()
                .map(ProcessorRecord::to_processor)
                .collect(),
            socket_order: self.socket_order.clone(),
            accepts: each("accepts", &self.accepts, |row, at| row.to_row(at, collect)),
            ecc: self.ecc.into(),
            rank_budget: self.rank_budget.to_limit(|r| r.0),
            lowest_rate: self.lowest_rate_mts.to_limit(|r| Mts(r.0)),
            rate_steps: self.rate_steps.iter().map(|step| step.to_step()).collect(),
            rates: each("rates", &self.rates, |row, at| row.to_row(at, collect)),
            unlisted_rate: self.unlisted_rate.into(),
            layouts: each("layouts", &self.layouts, |row, at| row.to_row(at, collect)),
            filling: self.filling.iter().map(FillingRecord::to_filling).collect(),
            levelling: self.levelling.into(),
            interleave: self
                .interleave
                .iter()
                .map(InterleaveRecord::to_set)
                .collect(),
            rank_interleave: self.rank_interleave.to_limit(|when| (*when).into()),
            slot_groups: self
                .slot_groups
                .to_limit(|groups| groups.iter().map(SlotGroupRecord::to_group).collect()),
            mixing: self.mixing.to_mixing(),
            protections: self
                .protections
                .iter()
                .map(ProtectionRecord::to_offer)
                .collect(),
            socket_capacity: self.socket_capacity_mib.to_limit(|c| Mib(c.0)),
            slot_power: self.slot_power_mw.to_limit(|p| Milliwatts(p.0)),
            height: self.height.to_limit(|h| (*h).into()),
            fillers: self.fillers,
            cautions: self.cautions.clone(),
            severities: self
                .severities
                .iter()
                .map(|row| (row.rule.clone(), row.severity.into()))
                .collect(),
        }
    }

    fn slots(&self, collect: &mut Collect) -> Vec<Slot> {
        let mut slots = Vec::new();
        for (index, row) in self.slots.iter().enumerate() {
            row.check(&format!("/slots/{index}"), collect);
            slots.extend(row.slots());
        }
        slots
    }

    /// The domain counts slots one by one; the record has a row for each channel.
    fn relocated(&self, fault: RecordFault) -> RecordFault {
        let Some(rest) = fault.pointer.strip_prefix("/slots/") else {
            return fault;
        };
        let (number, member) = rest.split_once('/').unwrap_or((rest, ""));
        let Some((row, index)) = number.parse().ok().and_then(|slot| self.row_of(slot)) else {
            return fault;
        };
        let pointer = match member {
            "socket" | "channel" => format!("/slots/{row}/{member}"),
            "reported_as" => format!("/slots/{row}/reported_as/{index}"),
            _ => format!("/slots/{row}/labels/{index}"),
        };
        RecordFault { pointer, ..fault }
    }

    /// The row and the place in it of a slot by its number in the order of the record.
    fn row_of(&self, slot: usize) -> Option<(usize, usize)> {
        let mut before = 0;
        for (row, slots) in self.slots.iter().enumerate() {
            if slot < before + slots.labels.len() {
                return Some((row, slot - before));
            }
            before += slots.labels.len();
        }
        None
    }
}

/// Converts each row of a list, telling it its pointer.
fn each<T, U>(member: &str, rows: &[T], mut convert: impl FnMut(&T, &str) -> U) -> Vec<U> {
    let rows = rows.iter().enumerate();
    rows.map(|(index, row)| convert(row, &format!("/{member}/{index}")))
        .collect()
}

impl SourceRecord {
    fn to_source(&self) -> Source {
        Source {
            title: self.title.clone(),
            section: self.section.clone(),
        }
    }
}

impl SlotsRecord {
    fn check(&self, at: &str, collect: &mut Collect) {
        collect.filled(
            &format!("{at}/labels"),
            &self.labels,
            "one label for each slot of the channel",
        );
        if self.labels.len() != self.drawn_at.len() {
            collect.fault(
                format!("{at}/drawn_at"),
                format!(
                    "{} places for {} labels",
                    self.drawn_at.len(),
                    self.labels.len()
                ),
                "one column and row for each label",
            );
        }
        let names = self.reported_as.len();
        if names != 0 && names != self.labels.len() {
            collect.fault(
                format!("{at}/reported_as"),
                format!("{names} names for {} labels", self.labels.len()),
                "one name for each label, in their order, or no member `reported_as`",
            );
        }
    }

    fn slots(&self) -> impl Iterator<Item = Slot> + '_ {
        self.labels.iter().enumerate().map(|(index, label)| Slot {
            label: label.clone(),
            place: Place {
                socket: self.socket,
                channel: self.channel,
                position: u8::try_from(index + 1).unwrap_or(u8::MAX),
            },
            drawn_at: self
                .drawn_at
                .get(index)
                .map_or((0, 0), |DrawnAt([column, row])| (*column, *row)),
            key: self.key.into(),
            reported_as: self.reported_as.get(index).map(|name| ReportedName {
                locator: name.locator.clone(),
                bank: name.bank.clone(),
            }),
        })
    }
}

impl ProcessorRecord {
    fn to_processor(&self) -> Processor {
        Processor {
            id: self.id.clone(),
            name: self.name.clone(),
            rate: self.rate_mts.to_limit(|r| Mts(r.0)),
            capacity: self.capacity_mib.to_limit(|c| Mib(c.0)),
            channels: match &self.channels {
                OneOf::Value(list) => Some(list.iter().map(|c| c.0).collect()),
                OneOf::Word(_) => None,
            },
        }
    }
}
