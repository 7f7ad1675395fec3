//! Inventory reports: from what is sent to slots with modules, for reading and for validating.

use std::sync::Arc;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

use super::wire::note::NoteBody;
use super::wire::read_inventory::{ReportSource, SlotNaming};
use crate::catalogue::{Catalogue, ModuleEntry};
use crate::domain::board::{Board, SlotIx};
use crate::domain::module::{Module, ModuleFacts};
use crate::read::inventory::on_board::{self, MappedBy, Spot, place_of};
use crate::read::inventory::record::Slot;
use crate::read::inventory::{Code, Inventory, SlotMap, read, read_redfish, same_rate};
use crate::read::module_facts::{Known, Member, of_report};
use crate::read::note::{Note, Weight};
use crate::render::words::Words;
use crate::wirecheck::near::close_matches;
use crate::wirecheck::{Fault, FaultCode};

/// A slot of a report with what is known of its module.
pub struct Taken {
    /// Where it is on the board.
    pub spot: Spot,
    /// The module; nothing where the slot holds none that can be read.
    pub module: Option<TakenModule>,
}

/// A module of a report.
pub struct TakenModule {
    /// What the report tells.
    pub known: Known,
    /// The id of the catalogue's module of that part number, if its facts agree.
    pub id: Option<String>,
    /// The module as the rules use it.
    pub module: Arc<Module>,
}

/// A report that has been read.
pub struct Report {
    /// What the reader found.
    pub inventory: Inventory,
    /// Its slots, in the order of the inventory's.
    pub slots: Vec<Taken>,
    /// Slots of the board that it leaves out: what they hold is not known.
    pub left_out: Vec<SlotIx>,
    /// Whether a whole report would not leave out all of them.
    is_cut: bool,
    /// All notes.
    pub notes: Vec<NoteBody>,
}

impl Report {
    /// Whether nothing seems to be missing.
    pub fn is_complete(&self) -> bool {
        let notes = &self.inventory.notes;
        !self.is_cut && notes.iter().all(|note| !note.code.is_incomplete())
    }

    /// What is missing, as faults.
    pub fn gaps(&self, at: &str) -> Vec<Fault> {
        let words = Words::english();
        let notes = self.inventory.notes.iter();
        notes
            .filter(|note| note.code.is_incomplete())
            .map(|note| NoteBody::of_report(note, None, words).as_message())
            .map(|message| Fault::new(at, FaultCode::Unusable, message))
            .collect()
    }
}

/// Reads a report; `at` is where it stands in the request.
///
/// # Errors
/// Not exactly one form of the report, text that is no base64, slots that the board does not have.
pub fn take(
    source: &ReportSource,
    board: Option<&Board>,
    catalogue: &Catalogue,
    at: &str,
) -> Result<Report, Vec<Fault>> {
    let mut faults = Vec::new();
    let map = mapping(
        source.slots.as_deref().unwrap_or_default(),
        board,
        at,
        &mut faults,
    );
    let inventory = match inventory(source, &map, at) {
        Ok(inventory) if faults.is_empty() => inventory,
        Ok(_) => return Err(faults),
        Err(fault) => {
            faults.push(fault);
            return Err(faults);
        }
    };
    Ok(judge(inventory, board, catalogue, Some(at)))
}

/// Reads a report as it is.
pub fn take_raw(body: &[u8], board: Option<&Board>, catalogue: &Catalogue) -> Report {
    let map = board.map(of_record).unwrap_or_default();
    judge(read(body, &map), board, catalogue, None)
}

fn inventory(source: &ReportSource, map: &SlotMap, at: &str) -> Result<Inventory, Fault> {
    match (&source.text, &source.base64, &source.redfish) {
        (Some(text), None, None) => Ok(read(text.as_bytes(), map)),
        (None, Some(text), None) => {
            let packed: String = text.chars().filter(|c| !c.is_whitespace()).collect();
            match STANDARD.decode(packed) {
                Ok(bytes) => Ok(read(&bytes, map)),
                Err(_) => {
                    let at = format!("{at}/base64");
                    let fault = Fault::new(at, FaultCode::Unusable, "the text is no base64");
                    Err(fault.hint("base64 of RFC 4648, section 4, with padding; or `text`"))
                }
            }
        }
        (None, None, Some(documents)) => {
            let texts: Vec<String> = documents.iter().map(ToString::to_string).collect();
            let texts: Vec<&[u8]> = texts.iter().map(String::as_bytes).collect();
            Ok(read_redfish(&texts, map))
        }
        (None, None, None) => {
            let fault = Fault::new(at, FaultCode::MissingMember, "the report is missing");
            Err(fault.hint("exactly one of `text`, `base64` and `redfish`"))
        }
        _ => {
            let message = "the report stands here in more than one form";
            let fault = Fault::new(at, FaultCode::TooManyMembers, message);
            Err(fault.hint("exactly one of `text`, `base64` and `redfish`"))
        }
    }
}

/// What the board's record says that reports call its slots.
fn of_record(board: &Board) -> SlotMap {
    let mut map = SlotMap::default();
    for (index, slot) in (0..).map(SlotIx).zip(&board.slots) {
        if let (Some(name), Some(place)) = (&slot.reported_as, place_of(board, index)) {
            map.insert_known(&name.locator, name.bank.as_deref(), place);
        }
    }
    map
}

/// The caller's mapping of slots, over that of the board's record.
fn mapping(
    slots: &[SlotNaming],
    board: Option<&Board>,
    at: &str,
    faults: &mut Vec<Fault>,
) -> SlotMap {
    let mut map = SlotMap::default();
    let Some(board) = board else {
        if !slots.is_empty() {
            let message = "slots of a board are told, but no board";
            let fault = Fault::new(format!("{at}/slots"), FaultCode::Unusable, message);
            faults.push(fault.hint("name the `board`"));
        }
        return map;
    };
    map = of_record(board);
    for (index, naming) in slots.iter().enumerate() {
        let known = board.slot_named(&naming.slot);
        match known.and_then(|slot| place_of(board, slot)) {
            Some(place) => map.insert(&naming.locator, naming.bank.as_deref(), place),
            None => {
                let labels = board.slots.iter().map(|slot| slot.label.as_str());
                let message = format!("board `{}` has no slot `{}`", board.id, naming.slot);
                let at = format!("{at}/slots/{index}/slot");
                let fault = Fault::new(at, FaultCode::UnknownName, message);
                let fault = fault.hint("the label printed beside the slot");
                faults.push(fault.close_matches(close_matches(&naming.slot, labels)));
            }
        }
    }
    map
}

/// Finds each slot on the board and each module in the catalogue.
fn judge(
    inventory: Inventory,
    board: Option<&Board>,
    catalogue: &Catalogue,
    at: Option<&str>,
) -> Report {
    let words = Words::english();
    // With a board, each slot that is not known is asked for itself.
    let left_out = board.map(|_| Code::PlacementUnknown);
    let mut notes: Vec<NoteBody> = inventory
        .notes
        .iter()
        .filter(|note| Some(note.code) != left_out)
        .map(|note| NoteBody::of_report(note, at, words))
        .collect();
    let spots = match board {
        Some(board) => on_board::on_board(&inventory, board),
        None => vec![Spot::default(); inventory.slots.len()],
    };
    let left_out = match board {
        Some(board) => on_board::left_out(&inventory, &spots, board),
        None => Vec::new(),
    };
    let cut = board.map(|board| {
        let cut = on_board::surely_cut(&left_out, &inventory, &spots, board);
        (cut, board)
    });
    let own_rates = tells_own_rates(&inventory);
    let mut slots = Vec::with_capacity(spots.len());
    for (index, (slot, spot)) in inventory.slots.iter().zip(spots).enumerate() {
        let mut own = Vec::new();
        let module = slot
            .module
            .as_ref()
            .and_then(|_| module(slot, catalogue, own_rates, &mut own));
        notes.extend(own.iter().map(|note| NoteBody {
            slot: Some(index),
            ..NoteBody::of_module(note, at, words)
        }));
        slots.push(Taken { spot, module });
    }
    let by_number = slots
        .iter()
        .filter(|taken| matches!(taken.spot.slot, Some((_, MappedBy::Number))))
        .count();
    if by_number > 0 {
        let note = Note::new(&on_board::PLACED_BY_NUMBER).number("count", by_number);
        notes.push(NoteBody::of_module(&note, at, words));
    }
    let cut = cut.filter(|(cut, _)| !cut.is_empty());
    if let Some((cut, board)) = &cut {
        notes.push(NoteBody::of_module(
            &on_board::left_out_note(cut, board),
            at,
            words,
        ));
    }
    Report {
        inventory,
        slots,
        left_out,
        is_cut: cut.is_some(),
        notes,
    }
}

/// The module of a slot: the catalogue's where its part number is known there and nothing
/// contradicts it, else what the report tells.
fn module(
    slot: &Slot,
    catalogue: &Catalogue,
    own_rates: bool,
    notes: &mut Vec<Note>,
) -> Option<TakenModule> {
    let reported = slot.module.as_ref()?;
    let part = reported.part_number.value();
    let known = of_report(reported, &called(slot));
    if let Some(part) = part
        && let Some(entry) = of_part_number(catalogue, part)
    {
        let note = |kind| Note::new(kind).text("part", part).text("id", &entry.id);
        let slower = || own_rates && is_slower(&known.facts, &entry.module);
        let difference = difference(&known.facts, &entry.module)
            .or_else(|| slower().then_some(Member::Rate.words()));
        match difference {
            None => {
                notes.push(note(&on_board::OF_CATALOGUE));
                let module = match known.facts.switched_off {
                    true => Arc::new(entry.module.as_switched_off()),
                    false => Arc::clone(&entry.module),
                };
                return Some(TakenModule {
                    known,
                    id: Some(entry.id.clone()),
                    module,
                });
            }
            Some(fact) => notes.push(note(&on_board::NOT_AS_CATALOGUE).text("fact", fact)),
        }
    }
    let (module, known) = known.settled();
    notes.extend(known.notes.iter().cloned());
    Some(TakenModule {
        known,
        id: None,
        module: Arc::new(module?),
    })
}

/// The catalogue's module that a part number or an id stands for, if nothing that is told of it
/// contradicts that.
pub(super) fn of_catalogue<'a>(
    part: &str,
    told: &ModuleFacts,
    catalogue: &'a Catalogue,
) -> Option<&'a ModuleEntry> {
    let entry = of_part_number(catalogue, part);
    entry.filter(|entry| difference(told, &entry.module).is_none())
}

/// What to call a module of a report.
fn called(slot: &Slot) -> String {
    let module = slot.module.as_ref();
    let part = module.and_then(|module| module.part_number.value());
    match (part, &slot.name.locator) {
        (Some(part), _) => part.clone(),
        (None, Some(locator)) => format!("the module in {locator}"),
        (None, None) => "an unnamed module".to_owned(),
    }
}

/// The only module of the catalogue with this part number or id.
fn of_part_number<'a>(catalogue: &'a Catalogue, part: &str) -> Option<&'a ModuleEntry> {
    let is = |text: &str| text.trim().eq_ignore_ascii_case(part.trim());
    let mut fitting = catalogue
        .modules()
        .filter(|entry| is(&entry.id) || entry.module.part_number.as_deref().is_some_and(is));
    let first = fitting.next()?;
    fitting.next().is_none().then_some(first)
}

/// The first fact that both tell and tell differently. A lower rate is no difference by itself: old firmware
/// tells the rate at which a module runs in place of its own.
fn difference(reported: &ModuleFacts, catalogue: &ModuleFacts) -> Option<&'static str> {
    fn differ<T: PartialEq>(one: &Option<T>, other: &Option<T>) -> bool {
        matches!((one, other), (Some(one), Some(other)) if one != other)
    }
    let faster = matches!((reported.rate, catalogue.rate), (Some(one), Some(other)) if one > other);
    let ranks = (&reported.package_ranks, &catalogue.package_ranks);
    [
        (
            Member::Generation,
            differ(&reported.generation, &catalogue.generation),
        ),
        (Member::Kind, differ(&reported.kind, &catalogue.kind)),
        (
            Member::Capacity,
            differ(&reported.capacity, &catalogue.capacity),
        ),
        (Member::PackageRanks, differ(ranks.0, ranks.1)),
        (
            Member::EccBits,
            differ(&reported.ecc_bits, &catalogue.ecc_bits),
        ),
        (Member::Rate, faster),
    ]
    .into_iter()
    .find_map(|(member, differs)| differs.then_some(member.words()))
}

/// Whether the report tells what modules are made for apart from what they run at: some module runs
/// slower than it could.
fn tells_own_rates(inventory: &Inventory) -> bool {
    let modules = inventory
        .slots
        .iter()
        .filter_map(|slot| slot.module.as_ref());
    let mut pairs = modules.filter_map(|own| own.rated_mts.sure().zip(own.configured_mts.sure()));
    pairs.any(|(own, running)| running < own && !same_rate(*own, *running))
}

/// Whether a report tells a lower rate of its own than the catalogue's.
fn is_slower(reported: &ModuleFacts, catalogue: &ModuleFacts) -> bool {
    let rates = reported.rate.zip(catalogue.rate);
    rates.is_some_and(|(own, known)| own < known && !same_rate(own.0, known.0))
}

/// A note that something of a report was used or left open.
pub fn note(note: &Note, at: &str, slot: Option<usize>) -> NoteBody {
    NoteBody {
        slot,
        ..NoteBody::of_module(note, Some(at), Words::english())
    }
}

/// Whether a note weighs as a fault.
pub fn is_fault(note: &NoteBody) -> bool {
    note.weight == Weight::Fault.name()
}
