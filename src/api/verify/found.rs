//! What was found, for a comparison: from a report, or from slots that were read already.

use super::processors;
use crate::api::inventory::{Report, Taken, of_catalogue, take as take_report};
use crate::api::wire::note::NoteBody;
use crate::api::wire::resolve::describe;
use crate::api::wire::verify::{FoundSlotEntry, FoundSource, OccupancyName, ServiceName};
use crate::catalogue::Catalogue;
use crate::catalogue::record::ModuleRecord;
use crate::domain::board::{Board, SlotIx};
use crate::domain::module::ModuleFacts;
use crate::domain::units::{Mib, Mts};
use crate::domain::verify::{Found, FoundModule, FoundSlot, Holds, Total};
use crate::read::inventory::on_board::{NOT_AS_CATALOGUE, OF_CATALOGUE};
use crate::read::inventory::record::{Module, Slot};
use crate::read::inventory::{Format, Occupancy};
use crate::wirecheck::near::close_matches;
use crate::wirecheck::{Fault, FaultCode};

/// Where what was found stands in a request.
const AT: &str = "/found";

/// What was found, and what it came from.
pub struct Taking {
    /// For the core.
    pub found: Found,
    /// What the machine calls each of its slots.
    pub locators: Vec<Option<String>>,
    /// Whether it was sent as a list, so that a slot of it has a pointer.
    is_list: bool,
    /// What was noted while a report was read.
    pub notes: Vec<NoteBody>,
}

impl Taking {
    /// Where a slot of it stands in the request.
    pub fn pointer(&self, index: usize) -> Option<String> {
        self.is_list.then(|| format!("{AT}/slots/{index}"))
    }
}

/// Takes what was found.
///
/// # Errors
/// No report or two, one that is none, slots that the board does not have, facts that contradict each
/// other.
pub fn take(
    source: &FoundSource,
    board: &Board,
    catalogue: &Catalogue,
) -> Result<Taking, Vec<Fault>> {
    let mut taking = match (&source.inventory, &source.slots) {
        (Some(inventory), None) => {
            let at = format!("{AT}/inventory");
            let report = take_report(inventory, Some(board), catalogue, &at)?;
            if report.inventory.format == Format::Unrecognised {
                return Err(report.gaps(&at));
            }
            let alone = [
                ("complete", source.complete.is_some()),
                ("fitted", source.fitted.is_some()),
            ];
            if let Some((name, _)) = alone.into_iter().find(|(_, is_there)| *is_there) {
                let message = format!("`{name}` stands beside a report, which tells it itself");
                let at = format!("{AT}/{name}");
                return Err(vec![Fault::new(at, FaultCode::Unusable, message)]);
            }
            of_report(report, board)
        }
        (None, Some(slots)) => Taking {
            found: Found {
                slots: of_list(slots, board, catalogue)?,
                fitted: source.fitted.clone(),
                models: Vec::new(),
                total: None,
                complete: source.complete.unwrap_or(true),
            },
            locators: slots.iter().map(|slot| slot.locator.clone()).collect(),
            is_list: true,
            notes: Vec::new(),
        },
        (None, None) => {
            let fault = Fault::new(AT, FaultCode::MissingMember, "what was found is missing");
            return Err(vec![fault.hint("exactly one of `inventory` and `slots`")]);
        }
        (Some(_), Some(_)) => {
            let message = "what was found stands here in two forms";
            let fault = Fault::new(AT, FaultCode::TooManyMembers, message);
            return Err(vec![fault.hint("exactly one of `inventory` and `slots`")]);
        }
    };
    if let Some(mib) = source.total_mib {
        taking.found.total = Some(Total {
            amount: Mib(mib),
            rough: true,
        });
    }
    Ok(taking)
}

fn of_report(report: Report, board: &Board) -> Taking {
    let complete = report.is_complete();
    let inventory = report.inventory;
    let slots = inventory.slots.iter().zip(&report.slots);
    let mapped = inventory.mapped_mib.map(Mib);
    let mut notes: Vec<NoteBody> = Vec::new();
    // The report's own facts are compared, so the catalogue's do not matter.
    let of_catalogue = [OF_CATALOGUE.code, NOT_AS_CATALOGUE.code];
    for mut note in report.notes {
        note.slot = None;
        if !notes.contains(&note) && !of_catalogue.contains(&note.code) {
            notes.push(note);
        }
    }
    Taking {
        found: Found {
            slots: slots.map(|(slot, taken)| of_slot(slot, taken)).collect(),
            fitted: processors::working(&inventory, board),
            models: processors::models(&inventory, board),
            total: mapped.map(|amount| Total {
                amount,
                rough: false,
            }),
            complete,
        },
        locators: inventory
            .slots
            .iter()
            .map(|slot| slot.name.locator.clone())
            .collect(),
        is_list: false,
        notes,
    }
}

fn of_slot(slot: &Slot, taken: &Taken) -> FoundSlot {
    let holds = match slot.occupancy {
        Occupancy::Empty => Holds::Empty,
        Occupancy::Unknown => Holds::Untold,
        Occupancy::Unreadable => Holds::Unreadable,
        Occupancy::Populated => match (&slot.module, &taken.module) {
            (Some(reported), Some(own)) => Holds::Module(Box::new(FoundModule {
                facts: ModuleFacts {
                    switched_off: own.known.facts.switched_off || own.module.switched_off,
                    ..own.known.facts.clone()
                },
                catalogue: own.id.is_some().then(|| Box::new((**own.module).clone())),
                names: names(reported, own.id.as_ref()),
                running: running(reported),
            })),
            _ => Holds::Unreadable,
        },
    };
    FoundSlot {
        spots: match taken.spot.slot {
            Some((slot, _)) => vec![slot],
            None => taken.spot.candidates.clone(),
        },
        holds,
    }
}

/// The same, where the entry calls its module switched off.
fn in_service(mut holds: Holds, entry: &FoundSlotEntry) -> Holds {
    if let (Holds::Module(module), Some(ServiceName::SwitchedOff)) = (&mut holds, entry.service) {
        module.facts.switched_off = true;
    }
    holds
}

/// The numbers by which a module of a report goes.
fn names(module: &Module, id: Option<&String>) -> Vec<String> {
    let own = module.part_number.value().into_iter();
    let names = own.chain(&module.other_part_numbers).chain(id);
    names.cloned().collect()
}

/// The rate at which it runs, unless that may as well be a clock.
fn running(module: &Module) -> Option<Mts> {
    module.configured_mts.sure().copied().map(Mts)
}

fn of_list(
    slots: &[FoundSlotEntry],
    board: &Board,
    catalogue: &Catalogue,
) -> Result<Vec<FoundSlot>, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut taken: Vec<SlotIx> = Vec::new();
    let mut found = Vec::with_capacity(slots.len());
    for (index, entry) in slots.iter().enumerate() {
        let at = format!("{AT}/slots/{index}");
        let slot = entry.slot.as_ref().and_then(|label| {
            let slot = board.slot_named(label);
            if slot.is_none() {
                faults.push(unknown_slot(label, board, &at));
            }
            slot
        });
        if slot.is_some_and(|slot| taken.contains(&slot)) {
            let message = "this slot stands here twice";
            faults.push(Fault::new(
                format!("{at}/slot"),
                FaultCode::Unusable,
                message,
            ));
        }
        taken.extend(slot);
        match holds(entry, catalogue, &at) {
            Ok(holds) => found.push(FoundSlot {
                spots: slot.into_iter().collect(),
                holds: in_service(holds, entry),
            }),
            Err(more) => faults.extend(more),
        }
    }
    match faults.is_empty() {
        true => Ok(found),
        false => Err(faults),
    }
}

fn unknown_slot(label: &str, board: &Board, at: &str) -> Fault {
    let labels = board.slots.iter().map(|slot| slot.label.as_str());
    let message = format!("board `{}` has no slot `{label}`", board.id);
    let fault = Fault::new(format!("{at}/slot"), FaultCode::UnknownName, message);
    let fault = fault.hint("the label printed beside the slot");
    fault.close_matches(close_matches(label, labels))
}

fn holds(entry: &FoundSlotEntry, catalogue: &Catalogue, at: &str) -> Result<Holds, Vec<Fault>> {
    let has_module = entry.module.is_some() || entry.catalogue_module.is_some();
    match (entry.occupancy, has_module) {
        (Some(OccupancyName::Unreadable), false) => Ok(Holds::Unreadable),
        (Some(OccupancyName::Empty), false) => Ok(Holds::Empty),
        (Some(OccupancyName::Unknown) | None, false) => Ok(Holds::Untold),
        (Some(OccupancyName::Populated), false) => Ok(Holds::Unreadable),
        (Some(OccupancyName::Populated) | None, true) => module(entry, catalogue, at),
        (Some(_), true) => {
            let message = "a module stands here, though the slot is not `populated`";
            let at = format!("{at}/occupancy");
            Err(vec![Fault::new(at, FaultCode::Unusable, message)])
        }
    }
}

fn module(entry: &FoundSlotEntry, catalogue: &Catalogue, at: &str) -> Result<Holds, Vec<Fault>> {
    let record = entry.module.clone().unwrap_or_default();
    let mut facts = facts(&record, entry.catalogue_module.as_deref(), at)?;
    let part = entry
        .catalogue_module
        .as_ref()
        .or(facts.part_number.as_ref());
    let known = part.and_then(|part| of_catalogue(part, &facts, catalogue));
    if let (None, Some(own)) = (&entry.module, known) {
        // Only its name is told: it was read off the module, whose capacity is known with it.
        facts.capacity = own.module.capacity;
    }
    let names = facts.part_number.iter().chain(&entry.catalogue_module);
    Ok(Holds::Module(Box::new(FoundModule {
        names: names.cloned().collect(),
        catalogue: known.map(|own| Box::new((**own.module).clone())),
        running: entry.running_mts.map(Mts),
        facts,
    })))
}

fn facts(record: &ModuleRecord, id: Option<&str>, at: &str) -> Result<ModuleFacts, Vec<Fault>> {
    let name = record.part_number.clone().or(id.map(str::to_owned));
    let name = name.unwrap_or_else(|| describe(record));
    match record.to_module(&name) {
        Ok(module) => Ok((*module).clone()),
        Err(faults) => Err(faults
            .into_iter()
            .map(|fault| {
                let at = format!("{at}/module{}", fault.pointer);
                Fault::new(at, FaultCode::Unusable, fault.message).hint(fault.hint)
            })
            .collect()),
    }
}
