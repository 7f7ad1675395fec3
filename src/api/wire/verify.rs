//! A comparison of plan and report: what is sent, and what comes back.

use crate::catalogue::record::ModuleRecord;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;
use utoipa::ToSchema;

use super::finding::{ChannelBody, ParamBody};
use super::note::NoteBody;
use super::read_inventory::ReportSource;
use super::request::ValidateRequest;

/// Was the work done as planned? A plan, and what was found after the work.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct VerifyRequest {
    /// The caller's own reference; echoed, never read.
    #[schema(example = "job-0815", max_length = 200)]
    pub reference: Option<String>,
    /// The plan: a request to `/v1/validate`. With a `population` it names the slots itself; of a
    /// `kit`, each module is expected where the answer places it.
    pub plan: ValidateRequest,
    /// `placement` of the answer to the plan, if the work followed one that was given earlier. Left
    /// out, the plan is placed anew, which gives the same at one catalogue revision.
    pub placement: Option<PlannedPlacement>,
    /// What was found after the work.
    pub found: FoundSource,
}

impl VerifyRequest {
    /// A plan and a report as it stands in a file.
    pub fn of_report(plan: ValidateRequest, report: &[u8]) -> Self {
        let inventory = ReportSource {
            base64: Some(STANDARD.encode(report)),
            ..ReportSource::default()
        };
        Self {
            reference: None,
            plan,
            placement: None,
            found: FoundSource {
                inventory: Some(inventory),
                ..FoundSource::default()
            },
        }
    }
}

/// The `placement` of an answer, as it is. Only `slot` and `from` are read.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PlannedPlacement {
    /// Not read.
    pub standing: Option<String>,
    /// Not read.
    pub moved: Option<u32>,
    /// Not read.
    #[schema(max_items = 1024)]
    pub removed: Option<Vec<String>>,
    /// Which module goes where.
    #[schema(max_items = 1024)]
    pub slots: Vec<PlannedSeat>,
}

/// A slot of a placement.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PlannedSeat {
    /// The slot's printed label.
    #[schema(example = "A1", max_length = 100)]
    pub slot: String,
    /// Not read.
    pub socket: Option<u8>,
    /// Not read.
    pub channel: Option<u8>,
    /// Not read.
    pub position: Option<u8>,
    /// Not read.
    #[schema(max_length = 300)]
    pub module: Option<String>,
    /// Which module: a JSON Pointer to a line or an entry of the plan.
    #[schema(example = "/kit/0", max_length = 100)]
    pub from: String,
}

/// What was found after the work: a report of the machine, or slots that were read already.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FoundSource {
    /// A report, in any form that `/v1/read/inventory` takes.
    pub inventory: Option<ReportSource>,
    /// In place of a report, `slots` of an answer of `/v1/read/inventory`, or a list of one's own. A
    /// slot that is not listed counts as not seen.
    #[schema(max_items = 1024)]
    pub slots: Option<Vec<FoundSlotEntry>>,
    /// With `slots`: whether no slot is left out; true if left out.
    pub complete: Option<bool>,
    /// With `slots`: whether each socket holds a processor, where that is known.
    #[schema(max_items = 64)]
    pub fitted: Option<Vec<bool>>,
    /// How much memory the operating system shows, in MiB. It may keep a sixteenth for itself.
    #[schema(example = 190000, minimum = 1, maximum = 1_099_511_627_776_u64)]
    pub total_mib: Option<u64>,
}

/// What was seen in a slot.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FoundSlotEntry {
    /// The label printed beside the slot of the board; left out if nobody knows.
    #[schema(example = "A1", max_length = 100)]
    pub slot: Option<String>,
    /// What the machine calls the slot.
    #[schema(example = "P1_DIMM1A", max_length = 200)]
    pub locator: Option<String>,
    /// What the machine calls the bank.
    #[schema(example = "BANK1", max_length = 200)]
    pub bank: Option<String>,
    /// Whether it holds a module; if left out, it does where a module stands here.
    pub occupancy: Option<OccupancyName>,
    /// The module: facts that are known of it.
    pub module: Option<ModuleRecord>,
    /// The catalogue's module that it is, by its part number.
    #[schema(example = "ERW-3R16-2x4", max_length = 100)]
    pub catalogue_module: Option<String>,
    /// Whether the module works, where that is known.
    pub service: Option<ServiceName>,
    /// The rate at which it runs, in MT/s.
    #[schema(example = 1333, minimum = 1, maximum = 100_000)]
    pub running_mts: Option<u32>,
    /// Not read.
    pub running_mv: Option<u32>,
    /// Not read.
    #[schema(max_length = 100)]
    pub slot_by: Option<String>,
    /// Not read.
    pub place: Option<Value>,
    /// Not read.
    #[schema(max_items = 100)]
    pub facts: Option<Vec<Value>>,
}

/// Whether a slot holds a module.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum OccupancyName {
    /// It does.
    Populated,
    /// It does not.
    Empty,
    /// It does, but its facts cannot be read.
    Unreadable,
    /// Nobody knows.
    Unknown,
}

/// Whether a module works.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ServiceName {
    /// It does.
    InUse,
    /// It is there and gives no memory.
    SwitchedOff,
    /// It may be failing, or be used in part only.
    InDoubt,
}

/// Whether what was found is what was planned.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Comparison)]
pub struct VerifyBody<'a> {
    /// The caller's own reference, echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "job-0815")]
    pub reference: Option<&'a str>,
    /// `agrees`, `differs`, or `cannot_tell` (the report does not tell all that is needed).
    #[schema(example = "differs")]
    pub result: &'static str,
    /// The result in words.
    #[schema(example = "What was found is not what was planned.")]
    pub summary: String,
    /// The board.
    #[schema(example = "tarn")]
    pub board: &'a str,
    /// Revision of the catalogue that was used: SHA-256 over its content.
    pub catalogue_revision: &'a str,
    /// Version of the engine that compared.
    #[schema(example = "0.1.0")]
    pub engine_version: &'static str,
    /// What was planned.
    pub planned: PlannedBody,
    /// What was found.
    pub found: FoundBody,
    /// What was noticed: causes before their consequences.
    pub findings: Vec<ComparedBody<'a>>,
    /// Whether findings were cut at 100.
    pub truncated: bool,
    /// Every slot for which a module was planned or found.
    pub slots: Vec<ComparedSlotBody<'a>>,
    /// What to mind before the server is opened.
    pub cautions: Vec<String>,
    /// What was noted while labels and the report were read.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<NoteBody>,
}

/// The plan in numbers.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Planned)]
pub struct PlannedBody {
    /// The verdict on the plan: a plan that does not fit can be compared all the same.
    #[schema(example = "fits")]
    pub verdict: &'static str,
    /// Modules on the board.
    #[schema(example = 12)]
    pub modules: usize,
    /// Their capacity in MiB.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 196608)]
    pub capacity_mib: Option<u64>,
    /// What of it can be used, in MiB.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 196608)]
    pub usable_mib: Option<u64>,
    /// The rate at which they should run, in MT/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 1600)]
    pub rate_mts: Option<u32>,
}

/// What was found in numbers.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Found)]
pub struct FoundBody {
    /// Modules that are seen.
    #[schema(example = 11)]
    pub modules: usize,
    /// Their capacity in MiB, if that of each is told.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 180224)]
    pub capacity_mib: Option<u64>,
    /// What can be used, in MiB, if it is told.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 180224)]
    pub total_mib: Option<u64>,
    /// The lowest rate at which a module runs, in MT/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 1600)]
    pub rate_mts: Option<u32>,
}

/// Something that was noticed.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ComparedFinding)]
pub struct ComparedBody<'a> {
    /// What kind: a stable code.
    #[schema(example = "module-not-seen")]
    pub difference: &'static str,
    /// `differs`, `cannot_tell`, or `remark` (it changes nothing).
    #[schema(example = "differs")]
    pub state: &'static str,
    /// `blocker`: memory that was planned is not there. `warning`: it is, but not as planned. `note`:
    /// worth knowing.
    #[schema(example = "blocker")]
    pub severity: &'static str,
    /// The sentence for whoever does the work.
    #[schema(
        example = "Slot A1: ERW-3R16-2x4 is planned there, but no module is seen. Mostly it is not fully seated."
    )]
    pub sentence: String,
    /// Every number and name of the sentence, by name.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub params: BTreeMap<&'static str, ParamBody>,
    /// Facts in which the module is not as planned.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub differences: Vec<DifferenceBody>,
    /// Facts that the report does not tell: their codes.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub facts: Vec<&'static str>,
    /// Labels of the slots concerned.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub slots: Vec<&'a str>,
    /// Whether it is not told which of the slots is meant.
    pub one_of_slots: bool,
    /// Channels concerned.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub channels: Vec<ChannelBody>,
    /// Sockets concerned, counted from 1.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sockets: Vec<u8>,
    /// What the machine calls the slots concerned.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub locators: Vec<String>,
    /// JSON Pointers into the request: what was planned, and where slots were sent as a list, what was
    /// found.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub pointers: Vec<String>,
    /// Kinds of other findings of this answer that explain this one.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub follows_from: Vec<&'static str>,
    /// What to try, in this order.
    pub try_first: Vec<StepBody>,
}

/// A fact in which a module is not as planned.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FactDifference)]
pub struct DifferenceBody {
    /// Code of the fact.
    #[schema(example = "kind")]
    pub fact: &'static str,
    /// As planned.
    pub planned: ParamBody,
    /// As found.
    pub found: ParamBody,
}

/// Something to try.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Step)]
pub struct StepBody {
    /// A stable code.
    #[schema(example = "reseat")]
    pub step: &'static str,
    /// What to do.
    #[schema(
        example = "Shut the server down and disconnect every supply. Take the module out (slot A1), look at its contacts and the slot, and press it in again evenly until both latches close by themselves."
    )]
    pub sentence: String,
}

/// A slot of the board in the comparison.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ComparedSlot)]
pub struct ComparedSlotBody<'a> {
    /// Its printed label.
    #[schema(example = "A1")]
    pub slot: &'a str,
    /// The planned module; left out where none is planned.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "ERW-3R16-2x4")]
    pub planned: Option<&'a str>,
    /// What was found in it.
    #[schema(example = "empty")]
    pub found: String,
    /// What the machine calls it, where that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "P1_DIMM1A")]
    pub locator: Option<String>,
    /// `agrees`, `differs` or `cannot_tell`.
    #[schema(example = "differs")]
    pub state: &'static str,
}
