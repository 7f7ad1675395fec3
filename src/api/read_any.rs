//! A file that may hold anything that can be read: a label, an SPD image, or a report.

use std::fmt::Write;

use serde::Serialize;

use super::decide::notes_as_text;
use super::problem::{Code, Problem};
use super::read_inventory::{self, board};
use super::read_module::{self, looks_like_image};
use super::wire::read_inventory::InventoryBody;
use super::wire::read_module::{FactBody, ModuleReadingBody};
use crate::catalogue::Catalogue;
use crate::catalogue::record::ModuleRecord;
use crate::read::inventory::{Format, sniff};
use crate::render::words::Words;
use crate::wirecheck::fault::quoted;
use crate::wirecheck::{Fault, FaultCode};

/// What was read.
pub enum Read {
    /// One module.
    Module(Box<ModuleReadingBody>),
    /// A whole machine.
    Inventory(Box<InventoryBody>),
}

/// Either answer as JSON.
#[derive(Serialize)]
#[serde(untagged)]
pub enum ReadBody<'a> {
    /// One module.
    Module(&'a ModuleReadingBody),
    /// A whole machine.
    Inventory(&'a InventoryBody),
}

/// Reads content of any kind, told apart by what it is; `id` names the board of a report.
///
/// # Errors
/// A board that does not exist, or content that is nothing of the kind.
pub fn read_any(content: &[u8], id: Option<&str>, catalogue: &Catalogue) -> Result<Read, Problem> {
    let unknown = |near| {
        let id = quoted(id.unwrap_or_default());
        let message = format!("there is no board {id} in this catalogue");
        let fault = Fault::new("", FaultCode::UnknownName, &message).close_matches(near);
        Problem::new(Code::UnknownName, message).faults(fault)
    };
    let board = id
        .map(|id| board(id, catalogue))
        .transpose()
        .map_err(unknown)?;
    let is_report = !looks_like_image(content) && sniff(content) != Format::Unrecognised;
    if is_report {
        let body = read_inventory::read_raw(content, board, catalogue)?;
        return Ok(Read::Inventory(Box::new(body)));
    }
    read_module::read_raw(content).map(|body| Read::Module(Box::new(body)))
}

impl Read {
    /// For JSON.
    pub fn body(&self) -> ReadBody<'_> {
        match self {
            Self::Module(body) => ReadBody::Module(body),
            Self::Inventory(body) => ReadBody::Inventory(body),
        }
    }

    /// For reading.
    pub fn report(&self) -> String {
        match self {
            Self::Module(body) => module_text(body),
            Self::Inventory(body) => inventory_text(body),
        }
    }
}

fn module_text(body: &ModuleReadingBody) -> String {
    let mut page = String::new();
    let label = body.label.as_deref().unwrap_or("A module without a label");
    let source = match body.source {
        "spd" => "SPD image",
        source => source,
    };
    let _ = writeln!(page, "{label}\n\nRead from its {source}");
    facts_text(&mut page, &body.module, &body.facts);
    page + &notes_as_text(&body.notes, Words::english())
}

/// Each fact with its value and how sure it is.
fn facts_text(page: &mut String, record: &ModuleRecord, facts: &[FactBody]) {
    let record = serde_json::to_value(record).unwrap_or_default();
    for fact in facts.iter().filter(|fact| !fact.is_unknown()) {
        let value = match (&fact.likely, record.get(fact.member)) {
            (Some(likely), _) => likely.clone(),
            (None, Some(serde_json::Value::String(text))) => text.clone(),
            (None, Some(value)) => value.to_string(),
            (None, None) => continue,
        };
        let _ = writeln!(page, "  {:<14} {value} ({})", fact.member, fact.standing);
    }
    let unknown: Vec<&str> = facts
        .iter()
        .filter(|fact| fact.is_unknown())
        .map(|fact| fact.member)
        .collect();
    if !unknown.is_empty() {
        let _ = writeln!(page, "  not told: {}", unknown.join(", "));
    }
}

fn inventory_text(body: &InventoryBody) -> String {
    let mut page = String::new();
    let system = &body.system;
    let names: Vec<&str> = [&system.maker, &system.product, &system.board]
        .into_iter()
        .filter_map(|name| name.as_deref())
        .collect();
    let name = match names.is_empty() {
        true => "A machine without a name".to_owned(),
        false => names.join(", "),
    };
    let _ = writeln!(
        page,
        "{name}\n\n{} of {} slots hold a module, {} MiB in all\n",
        body.populated,
        body.slots.len(),
        body.capacity_mib
    );
    for slot in &body.slots {
        let locator = slot.locator.as_deref().unwrap_or("?");
        let seat = slot.slot.as_deref().map(|slot| format!(" = slot {slot}"));
        let module = slot.module.as_ref().map(short);
        let holds = module.unwrap_or_else(|| slot.occupancy.to_owned());
        let _ = writeln!(page, "  {locator}{}: {holds}", seat.unwrap_or_default());
    }
    page + &notes_as_text(&body.notes, Words::english())
}

/// A module in a few words.
fn short(record: &ModuleRecord) -> String {
    let mut words: Vec<String> = Vec::new();
    words.extend(record.capacity_mib.map(|mib| format!("{mib} MiB")));
    words.extend(record.package_ranks.map(|ranks| format!("{ranks} ranks")));
    let value = serde_json::to_value(record).unwrap_or_default();
    for member in ["generation", "kind"] {
        let word = value.get(member).and_then(serde_json::Value::as_str);
        words.extend(word.map(str::to_owned));
    }
    words.extend(record.rate_mts.map(|rate| format!("{rate} MT/s")));
    words.extend(record.name.clone());
    words.join(", ")
}
