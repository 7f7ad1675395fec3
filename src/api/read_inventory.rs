//! A report on a whole machine as an answer: the road that the service and the command line take.

use super::inventory::{Report, Taken, is_fault, note, take, take_raw};
use super::problem::{Code, Problem};
use super::wire::read_inventory::{
    AskBody, InventoryBody, NumberBody, PlaceBody, ProcessorBody, ReadInventoryRequest, SlotBody,
    SystemBody,
};
use super::wire::read_module::FactBody;
use crate::catalogue::Catalogue;
use crate::catalogue::record::ModuleRecord;
use crate::domain::board::Board;
use crate::read::inventory::on_board::NOT_ON_BOARD;
use crate::read::inventory::record::{Processor, Slot, Standing, System};
use crate::read::inventory::{Fact, Format, Occupancy, PlacedBy, Placing};
use crate::read::note::Note;
use crate::wirecheck::{Fault, FaultCode};

/// Reads what a request holds.
///
/// # Errors
/// A board or slots that do not exist, a report in no form or several, or one that is none.
pub fn read(
    request: ReadInventoryRequest,
    catalogue: &Catalogue,
) -> Result<InventoryBody, Problem> {
    let (source, id) = request.split();
    let board = match id.as_deref().map(|id| board(id, catalogue)).transpose() {
        Ok(board) => board,
        Err(near) => {
            let id = id.unwrap_or_default();
            let message = format!("there is no board `{id}` in this catalogue");
            let fault = Fault::new("/board", FaultCode::UnknownName, message);
            return Err(Problem::invalid_body(fault.close_matches(near)));
        }
    };
    let report = take(&source, board, catalogue, "").map_err(Problem::invalid_body)?;
    if report.inventory.format == Format::Unrecognised {
        return Err(Problem::invalid_body(report.gaps("")));
    }
    Ok(body(&report, board))
}

/// Reads a report as it is.
///
/// # Errors
/// A `nothing-readable` problem for what is no report.
pub fn read_raw(
    content: &[u8],
    board: Option<&Board>,
    catalogue: &Catalogue,
) -> Result<InventoryBody, Problem> {
    let report = take_raw(content, board, catalogue);
    if report.inventory.format == Format::Unrecognised {
        let problem = Problem::new(Code::NothingReadable, "no report can be read from the body");
        return Err(problem.faults(report.gaps("")));
    }
    Ok(body(&report, board))
}

/// A board of the catalogue, or the ids that may have been meant.
pub fn board<'a>(id: &str, catalogue: &'a Catalogue) -> Result<&'a Board, Vec<String>> {
    let entry = catalogue.board(id);
    let entry = entry.ok_or_else(|| catalogue.boards_near(id))?;
    Ok(&entry.board)
}

fn body(report: &Report, board: Option<&Board>) -> InventoryBody {
    let inventory = &report.inventory;
    let mut notes = report.notes.clone();
    let ask = ask(report, board);
    if board.is_some() {
        // Where an empty slot is hardly matters; `ask` names it all the same.
        let holds = |asked: &&AskBody| {
            let slot = inventory.slots.get(asked.index);
            slot.is_some_and(|slot| slot.occupancy != Occupancy::Empty)
        };
        notes.extend(ask.iter().filter(holds).map(|asked| {
            let locator = asked.locator.as_deref().unwrap_or("an unnamed slot");
            let open = Note::new(&NOT_ON_BOARD).text("locator", locator);
            note(&open, "", Some(asked.index))
        }));
    }
    notes.iter_mut().for_each(|note| note.pointer = None);
    InventoryBody {
        format: format_name(inventory.format),
        complete: !notes.iter().any(is_fault) && report.is_complete(),
        system: system(&inventory.system),
        processors: inventory.processors.iter().map(processor).collect(),
        populated: inventory.populated(),
        capacity_mib: inventory.capacity_mib(),
        slots: inventory
            .slots
            .iter()
            .zip(&report.slots)
            .map(|(slot, taken)| slot_body(slot, taken, board))
            .collect(),
        ask,
        notes,
    }
}

/// Slots of which it is not known where they are.
fn ask(report: &Report, board: Option<&Board>) -> Vec<AskBody> {
    let slots = &report.inventory.slots;
    let asked = |index: usize, slot: &Slot, candidates| AskBody {
        index,
        locator: slot.name.locator.clone(),
        bank: slot.name.bank.clone(),
        candidates,
    };
    let Some(board) = board else {
        let Placing::Ask(open) = &report.inventory.placing else {
            return Vec::new();
        };
        let open = open
            .iter()
            .filter_map(|open| Some((open.slot, slots.get(open.slot)?)));
        return open
            .map(|(index, slot)| asked(index, slot, Vec::new()))
            .collect();
    };
    let labels = |taken: &Taken| {
        let candidates = taken.spot.candidates.iter();
        candidates
            .map(|slot| board.label(*slot).to_owned())
            .collect()
    };
    let all = slots.iter().zip(&report.slots).enumerate();
    all.filter(|(_, (_, taken))| taken.spot.slot.is_none())
        .map(|(index, (slot, taken))| asked(index, slot, labels(taken)))
        .collect()
}

fn system(system: &System) -> SystemBody {
    SystemBody {
        maker: system.maker.value().cloned(),
        product: system.product.value().cloned(),
        board: system.board.value().cloned(),
    }
}

fn processor(processor: &Processor) -> ProcessorBody {
    ProcessorBody {
        socket: processor.socket_label.clone(),
        model: processor.model.value().cloned(),
        populated: processor.populated.value().copied(),
        cores: processor.cores.value().copied(),
    }
}

fn slot_body(slot: &Slot, taken: &Taken, board: Option<&Board>) -> SlotBody {
    let module = taken.module.as_ref();
    let reported = slot.module.as_ref();
    let label = |board: &Board| Some(board.label(taken.spot.slot?.0).to_owned());
    SlotBody {
        locator: slot.name.locator.clone(),
        bank: slot.name.bank.clone(),
        occupancy: occupancy_name(slot.occupancy),
        place: PlaceBody {
            socket: number(slot.place.socket),
            channel: number(slot.place.channel),
            index: number(slot.place.index),
            position: number(slot.place.position),
            by: placed_name(slot.place.by),
        },
        slot: board.and_then(label),
        slot_by: taken.spot.slot.map(|(_, by)| by.name()),
        catalogue_module: module.and_then(|module| module.id.clone()),
        module: module.map(|module| ModuleRecord::from(&module.known.facts)),
        facts: module
            .map(|module| FactBody::all(&module.known))
            .unwrap_or_default(),
        service: reported.and_then(|module| module.service.name()),
        // Only a sure one: a reader of the answer would take a likely one for known.
        running_mts: reported.and_then(|module| module.configured_mts.sure().copied()),
        running_mv: reported.and_then(|module| module.configured_mv.value().copied()),
    }
}

fn number(fact: Fact<u16>) -> NumberBody {
    NumberBody {
        value: fact.value().copied(),
        standing: match fact.standing() {
            Standing::Read => "read",
            Standing::Derived => "derived",
            Standing::Assumed => "assumed",
            Standing::Unknown => "unknown",
        },
    }
}

const fn format_name(format: Format) -> &'static str {
    match format {
        Format::SmbiosTable => "smbios_table",
        Format::SmbiosDump => "smbios_dump",
        Format::DmidecodeText => "dmidecode_text",
        Format::Redfish => "redfish",
        Format::Lshw => "lshw",
        Format::Unrecognised => "unrecognised",
    }
}

const fn occupancy_name(occupancy: Occupancy) -> &'static str {
    match occupancy {
        Occupancy::Populated => "populated",
        Occupancy::Empty => "empty",
        Occupancy::Unreadable => "unreadable",
        Occupancy::Unknown => "unknown",
    }
}

const fn placed_name(by: PlacedBy) -> &'static str {
    match by {
        PlacedBy::Mapping => "mapping",
        PlacedBy::BankText => "bank_text",
        PlacedBy::LocatorText => "locator_text",
        PlacedBy::LocationNumbers => "location_numbers",
        PlacedBy::Nothing => "nothing",
    }
}
