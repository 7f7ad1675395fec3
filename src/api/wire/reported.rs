//! Installed modules of a request: a list, or an inventory report that holds them.

use std::borrow::Cow;
use std::fmt;
use std::sync::Arc;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer};
use utoipa::openapi::schema::{AnyOfBuilder, ArrayBuilder};
use utoipa::openapi::{Ref, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

use super::note::NoteBody;
use super::read_inventory::{InstalledBody, ReportSource};
use super::request::InstalledEntry;
use crate::api::inventory::{Report, Taken, note, take};
use crate::catalogue::Catalogue;
use crate::domain::board::{Board, SlotIx};
use crate::domain::module::{Module, ModuleFacts};
use crate::read::inventory::Occupancy;
use crate::read::inventory::on_board::{
    NOT_ON_BOARD, PROCESSORS_TAKEN, SLOTS_LEFT_OUT, fitted_sockets, left_out_note,
};
use crate::read::inventory::record::Slot;
use crate::read::note::Note;
use crate::wirecheck::{Fault, FaultCode};

/// Where a report stands in a request.
const AT: &str = "/installed/inventory";

/// Most entries of a list.
const MOST_ENTRIES: usize = 1024;

/// What is installed.
#[derive(Clone, Debug)]
pub enum Installed {
    /// The modules.
    List(Vec<InstalledEntry>),
    /// A report of the machine.
    Report(Box<InstalledReport>),
}

impl Installed {
    /// A report as it stands in a file.
    pub fn of_report(content: &[u8]) -> Self {
        let inventory = ReportSource {
            base64: Some(STANDARD.encode(content)),
            ..ReportSource::default()
        };
        Self::Report(Box::new(InstalledReport { inventory }))
    }

    /// The same as a member of a request.
    pub fn report_json(content: &[u8]) -> serde_json::Value {
        serde_json::json!({ "inventory": { "base64": STANDARD.encode(content) } })
    }
}

/// An inventory report of the machine.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct InstalledReport {
    /// The report. A module whose slot it does not tell for certain has no slot; `slots` can tell it.
    pub inventory: ReportSource,
}

impl<'de> Deserialize<'de> for Installed {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(InstalledVisitor)
    }
}

struct InstalledVisitor;

impl<'de> Visitor<'de> for InstalledVisitor {
    type Value = Installed;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list of modules or a report")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, entries: A) -> Result<Self::Value, A::Error> {
        Vec::deserialize(SeqAccessDeserializer::new(entries)).map(Installed::List)
    }

    fn visit_map<A: MapAccess<'de>>(self, members: A) -> Result<Self::Value, A::Error> {
        InstalledReport::deserialize(MapAccessDeserializer::new(members))
            .map(|report| Installed::Report(Box::new(report)))
    }
}

impl PartialSchema for Installed {
    fn schema() -> RefOr<Schema> {
        let list = ArrayBuilder::new()
            .items(Ref::from_schema_name(InstalledEntry::name()))
            .max_items(Some(MOST_ENTRIES));
        AnyOfBuilder::new()
            .item(list)
            .item(Ref::from_schema_name(InstalledReport::name()))
            .into()
    }
}

impl ToSchema for Installed {
    fn name() -> Cow<'static, str> {
        "Installed".into()
    }

    fn schemas(named: &mut Vec<(String, RefOr<Schema>)>) {
        named.push((
            InstalledEntry::name().into_owned(),
            InstalledEntry::schema(),
        ));
        InstalledEntry::schemas(named);
        named.push((
            InstalledReport::name().into_owned(),
            InstalledReport::schema(),
        ));
        InstalledReport::schemas(named);
    }
}

/// An installed module of a report.
pub struct ReportedModule {
    /// Its id in the catalogue.
    pub id: Option<String>,
    /// The module.
    pub module: Arc<Module>,
    /// Its slot, if it is known.
    pub slot: Option<SlotIx>,
}

/// A report as far as a decision needs it.
pub struct Reported {
    /// The modules.
    pub modules: Vec<ReportedModule>,
    /// The same for the answer, in the same order.
    pub taken: Vec<InstalledBody>,
    /// Which sockets hold a processor, if the report tells it of each.
    pub fitted: Option<Vec<bool>>,
    /// Slots of the board that the report leaves out.
    pub left_out: Vec<SlotIx>,
    /// Notes.
    pub notes: Vec<NoteBody>,
}

/// Reads the installed modules from a report. A report that is incomplete is refused: a module that it
/// leaves out could turn the verdict.
///
/// # Errors
/// No report, an incomplete one, slots of which it does not tell whether they hold a module.
pub fn read(
    source: &ReportSource,
    board: &Board,
    catalogue: &Catalogue,
) -> Result<Reported, Vec<Fault>> {
    let report = take(source, Some(board), catalogue, AT)?;
    let faults = unusable(&report);
    if !faults.is_empty() {
        return Err(faults);
    }
    let mut reported = Reported {
        modules: Vec::new(),
        taken: Vec::new(),
        fitted: fitted_sockets(&report.inventory, board),
        left_out: report.left_out,
        notes: report.notes,
    };
    for (slot, taken) in report.inventory.slots.iter().zip(report.slots) {
        if slot.occupancy != Occupancy::Empty {
            reported.push(slot, taken, board);
        }
    }
    reported.say_once();
    Ok(reported)
}

impl Reported {
    /// Drops what is noted of many slots in the same words: a decision needs it once.
    fn say_once(&mut self) {
        let mut once: Vec<NoteBody> = Vec::new();
        for mut note in self.notes.drain(..) {
            note.slot = None;
            if !once.contains(&note) {
                once.push(note);
            }
        }
        self.notes = once;
    }

    fn push(&mut self, slot: &Slot, taken: Taken, board: &Board) {
        let seat = taken.spot.slot.map(|(slot, _)| slot);
        if seat.is_none() {
            let locator = slot.name.locator.as_deref().unwrap_or("an unnamed slot");
            let open = Note::new(&NOT_ON_BOARD).text("locator", locator);
            self.notes.push(note(&open, AT, None));
        }
        let (id, module) = match taken.module {
            // A module that is switched off is another part than the catalogue's.
            Some(module) => (
                module.id.filter(|_| !module.module.switched_off),
                module.module,
            ),
            None => match unread(slot) {
                Some(module) => (None, Arc::new(module)),
                None => return,
            },
        };
        self.taken.push(InstalledBody {
            locator: slot.name.locator.clone(),
            bank: slot.name.bank.clone(),
            slot: seat.map(|seat| board.label(seat).to_owned()),
            module: module.name.clone(),
            switched_off: module.switched_off,
        });
        self.modules.push(ReportedModule {
            id,
            module,
            slot: seat,
        });
    }
}

/// A module of which nothing can be read.
fn unread(slot: &Slot) -> Option<Module> {
    let locator = slot.name.locator.as_deref().unwrap_or("an unnamed slot");
    Module::checked(ModuleFacts {
        name: format!("the unreadable module in {locator}"),
        ..ModuleFacts::default()
    })
    .ok()
}

/// Why a report cannot tell what is installed.
fn unusable(report: &Report) -> Vec<Fault> {
    let mut faults = report.gaps(AT);
    let untold = report.inventory.slots.iter();
    let untold = untold.filter(|slot| slot.occupancy == Occupancy::Unknown);
    faults.extend(untold.map(|slot| {
        let locator = slot.name.locator.as_deref().unwrap_or("an unnamed slot");
        let message = format!("the report does not say whether `{locator}` holds a module");
        Fault::new(AT, FaultCode::Unusable, message)
    }));
    let hint = "send the whole report, or list what is `installed`";
    faults.into_iter().map(|fault| fault.hint(hint)).collect()
}

/// Says which slots of fitted sockets a report leaves out, in place of what was said before it was known
/// which sockets are.
pub fn note_left_out(slots: &[SlotIx], board: &Board, notes: &mut Vec<NoteBody>) {
    notes.retain(|note| note.code != SLOTS_LEFT_OUT.code);
    if !slots.is_empty() {
        notes.push(note(&left_out_note(slots, board), AT, None));
    }
}

/// Says that the report told which sockets are fitted.
pub fn sockets_note(fitted: &[bool], board: &Board) -> NoteBody {
    let count = fitted.iter().filter(|fitted| **fitted).count();
    let taken = Note::new(&PROCESSORS_TAKEN)
        .number("fitted", count)
        .number("sockets", usize::from(board.sockets));
    note(&taken, AT, None)
}
