//! Reading an inventory report: what is sent, and what comes back.

use crate::catalogue::record::ModuleRecord;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use utoipa::ToSchema;

use super::note::NoteBody;
use super::read_module::FactBody;

/// A report on a whole machine in one of three forms, and what is known of its slots.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReportSource {
    /// Text: dmidecode, or JSON of lshw or Redfish as text.
    #[schema(example = "Handle 0x1100, DMI type 17, 40 bytes\nMemory Device\n\tSize: 16 GB\n")]
    pub text: Option<String>,
    /// Bytes in base64: an SMBIOS table or dump, or any text.
    pub base64: Option<String>,
    /// Redfish resources: memory, processors, system.
    #[schema(max_items = 1024)]
    pub redfish: Option<Vec<Value>>,
    /// Which slots of the board its slots are, where its names do not tell.
    #[schema(max_items = 1024)]
    pub slots: Option<Vec<SlotNaming>>,
}

/// A report on a whole machine, and the board that it is of.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReadInventoryRequest {
    /// Text: dmidecode, or JSON of lshw or Redfish as text.
    #[schema(example = "Handle 0x1100, DMI type 17, 40 bytes\nMemory Device\n\tSize: 16 GB\n")]
    pub text: Option<String>,
    /// Bytes in base64: an SMBIOS table or dump, or any text.
    pub base64: Option<String>,
    /// Redfish resources: memory, processors, system.
    #[schema(max_items = 1024)]
    pub redfish: Option<Vec<Value>>,
    /// Which slots of the board its slots are, where its names do not tell. Needs `board`.
    #[schema(max_items = 1024)]
    pub slots: Option<Vec<SlotNaming>>,
    /// The board: an id of the catalogue. With it, the answer says which of its slots each is.
    #[schema(example = "tarn", max_length = 100)]
    pub board: Option<String>,
}

impl ReadInventoryRequest {
    /// The report alone, and the board.
    pub fn split(self) -> (ReportSource, Option<String>) {
        let source = ReportSource {
            text: self.text,
            base64: self.base64,
            redfish: self.redfish,
            slots: self.slots,
        };
        (source, self.board)
    }
}

/// Which slot of the board a slot of a report is.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SlotNaming {
    /// Its locator in the report.
    #[schema(example = "P1_DIMM1A", max_length = 200)]
    pub locator: String,
    /// Its bank locator, where locators repeat.
    #[schema(example = "BANK1", max_length = 200)]
    pub bank: Option<String>,
    /// The label printed beside the slot of the board.
    #[schema(example = "A1", max_length = 100)]
    pub slot: String,
}

/// What a report tells.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = InventoryReading)]
pub struct InventoryBody {
    /// `smbios_table`, `smbios_dump`, `dmidecode_text`, `redfish` or `lshw`.
    #[schema(example = "dmidecode_text")]
    pub format: &'static str,
    /// Whether nothing seems to be missing: no note weighs as a fault.
    pub complete: bool,
    /// The machine.
    pub system: SystemBody,
    /// Its processor sockets.
    pub processors: Vec<ProcessorBody>,
    /// Slots that hold a module.
    #[schema(example = 8, maximum = 8192)]
    pub populated: usize,
    /// Sum of the capacities that are known, in MiB.
    #[schema(example = 131072)]
    pub capacity_mib: u64,
    /// Its memory slots, in the order of the report.
    pub slots: Vec<SlotBody>,
    /// Slots of the report of which it is not known where they are: on the board if one was named,
    /// else in the machine.
    pub ask: Vec<AskBody>,
    /// What was noted.
    pub notes: Vec<NoteBody>,
}

/// A machine.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = ReportedSystem)]
pub struct SystemBody {
    /// Who made it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "Eddermouth Reuse Works")]
    pub maker: Option<String>,
    /// What it is sold as.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "Tarn server")]
    pub product: Option<String>,
    /// The model of its board.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "Tarn 2")]
    pub board: Option<String>,
}

/// A processor socket.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = ReportedProcessor)]
pub struct ProcessorBody {
    /// The socket's name.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "CPU 1")]
    pub socket: Option<String>,
    /// The model.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "Sandpiper 8 (invented)")]
    pub model: Option<String>,
    /// Whether a processor sits in it; left out where the report does not say.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub populated: Option<bool>,
    /// Cores.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 8)]
    pub cores: Option<u32>,
}

/// A memory slot.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = ReportedSlot)]
pub struct SlotBody {
    /// Its locator.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "P1_DIMM1A")]
    pub locator: Option<String>,
    /// Its bank locator.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "BANK1")]
    pub bank: Option<String>,
    /// `populated`, `empty`, `unreadable` (a module is there, but its facts cannot be read) or
    /// `unknown`.
    #[schema(example = "populated")]
    pub occupancy: &'static str,
    /// Where it is in the machine.
    pub place: PlaceBody,
    /// The label of the board's slot that it is, if a board was named and it is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "A1")]
    pub slot: Option<String>,
    /// What told that: `told` (by the request or the board's record), `label` (the locator is the printed label) or
    /// `number` (socket and channel leave this slot only).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "label")]
    pub slot_by: Option<&'static str>,
    /// The catalogue's module of that part number, whose facts are used for a decision.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "ERW-3R16-2x4")]
    pub catalogue_module: Option<String>,
    /// The module: the facts that the report tells for certain, as a request takes them.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub module: Option<ModuleRecord>,
    /// How sure each fact is.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub facts: Vec<FactBody>,
    /// Whether it works, if the report says so: `in_use`, `switched_off` (it gives no memory) or `in_doubt` (it
    /// may be failing, or be used in part only).
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "switched_off")]
    pub service: Option<&'static str>,
    /// The rate at which it runs, in MT/s. Left out where the report's number may as well be a clock; a note
    /// says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 1333)]
    pub running_mts: Option<u32>,
    /// The voltage at which it runs, in mV.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 1350)]
    pub running_mv: Option<u32>,
}

/// Where a slot is in the machine, all counted from 1.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = ReportedPlace)]
pub struct PlaceBody {
    /// The processor socket.
    pub socket: NumberBody,
    /// The channel of the socket, in the order of the firmware's numbers.
    pub channel: NumberBody,
    /// The rank of the firmware's number among the slots of the channel. It says nothing about the
    /// distance from the processor.
    pub index: NumberBody,
    /// The position; 1 is the farthest from the processor. Only a mapping tells it.
    pub position: NumberBody,
    /// What told it: `mapping`, `bank_text`, `locator_text`, `location_numbers` or `nothing`.
    #[schema(example = "locator_text")]
    pub by: &'static str,
}

/// A number and how sure it is.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = SureNumber)]
pub struct NumberBody {
    /// The number.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 1)]
    pub value: Option<u16>,
    /// `read`, `derived`, `assumed` or `unknown`.
    #[schema(example = "derived")]
    pub standing: &'static str,
}

/// A slot that somebody has to place.
#[derive(Clone, Debug, Serialize, ToSchema)]
#[schema(as = AskedSlot)]
pub struct AskBody {
    /// Index into `slots`.
    #[schema(example = 4, maximum = 8192)]
    pub index: usize,
    /// Its locator.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "P1_DIMM1A")]
    pub locator: Option<String>,
    /// Its bank locator.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "BANK1")]
    pub bank: Option<String>,
    /// Labels of the board's slots that it may be.
    #[schema(example = json!(["A1", "A2", "A3"]))]
    pub candidates: Vec<String>,
}

/// An installed module that was taken from a report. Pointers such as `/installed/3` of an answer mean
/// the element of this list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = InstalledModule)]
pub struct InstalledBody {
    /// The locator in the report.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "P1_DIMM1A")]
    pub locator: Option<String>,
    /// The bank locator in the report.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "BANK1")]
    pub bank: Option<String>,
    /// The board's slot, if it is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "A1")]
    pub slot: Option<String>,
    /// The module.
    #[schema(example = "ERW-3R16-2x4")]
    pub module: String,
    /// True where the report calls it switched off.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    #[schema(example = true)]
    pub switched_off: bool,
}
