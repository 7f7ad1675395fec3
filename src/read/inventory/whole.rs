//! The last step of every reader: judge all slots of a report together and place them.

use super::facts;
use super::judge::{self, Context, SlotNotes, Told};
use super::locate::{self, Sighting, SlotMap, Surroundings};
use super::note::{Code, Note, Param};
use super::rates::{self, Clocks};
use super::record::{
    Array, Correction, Fact, Format, Generation, Inventory, Module, Occupancy, Processor, Slot,
    SlotName, Standing, System,
};
use super::repeats;

/// One slot before it is judged.
#[derive(Debug, Clone, Default)]
pub struct Draft {
    /// Its handle.
    pub handle: Option<u16>,
    /// Its array's handle.
    pub array: Option<u16>,
    /// Its printed names.
    pub name: SlotName,
    /// Whether it holds a module; unknown unless said.
    pub state: State,
    /// What is told of the module. Means nothing in an empty slot, whatever firmware writes there.
    pub told: Told,
    /// Place numbers given beside the text.
    pub sighting: Option<Sighting>,
    /// Whether it is no main memory (flash, graphics, soldered).
    pub not_main: bool,
    /// What the reader noticed of this slot.
    pub notes: Vec<(Code, Vec<(&'static str, Param)>)>,
}

/// [`Occupancy`] with a default, for drafts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum State {
    /// A module is there and has a size.
    Filled,
    /// No module is there.
    Vacant,
    /// A module is there, but has no size.
    Unreadable,
    /// Not told.
    #[default]
    Untold,
}

/// A report before it is judged.
#[derive(Debug, Clone)]
pub struct Report {
    /// The kind of report.
    pub format: Format,
    /// The machine.
    pub system: System,
    /// Processor sockets.
    pub processors: Vec<Processor>,
    /// Arrays of main memory.
    pub arrays: Vec<Array>,
    /// Slots.
    pub drafts: Vec<Draft>,
    /// Sum of mapped ranges, KiB; zero is none.
    pub mapped_kib: u64,
    /// Whether two slots of one name can be one slot described twice: not where the format drops
    /// the bank locator.
    pub names_tell_apart: bool,
    /// Notes so far, all on the whole report.
    pub notes: Vec<Note>,
}

impl Report {
    /// An empty report.
    pub fn new(format: Format) -> Self {
        Self {
            format,
            system: System::default(),
            processors: Vec::new(),
            arrays: Vec::new(),
            drafts: Vec::new(),
            mapped_kib: 0,
            names_tell_apart: true,
            notes: Vec::new(),
        }
    }
}

/// More slots than any machine has; keeps hostile input cheap.
const MOST_SLOTS: usize = 1024;

/// Judges and places all slots.
pub fn finish(mut report: Report, map: &SlotMap) -> Inventory {
    let mut notes = std::mem::take(&mut report.notes);
    let mapped_mib = Some(report.mapped_kib >> 10).filter(|mib| *mib > 0);
    take_main_memory(&mut report.drafts, &mut notes);
    let mut sightings = sightings(&report.drafts);
    if report.names_tell_apart {
        repeats::merge(&mut report.drafts, &mut sightings, mapped_mib, &mut notes);
    }
    let mut modules = modules(&report, &mut notes);
    settle_saturated(&report.drafts, &mut modules, mapped_mib, &mut notes);
    let slots = place(&report, modules, &mut sightings, &mut notes);
    let mut inventory = Inventory {
        format: report.format,
        system: report.system,
        processors: report.processors,
        arrays: report.arrays,
        slots,
        mapped_mib,
        placing: super::record::Placing::Told,
        notes,
    };
    check(&mut inventory);
    map.apply(&mut inventory.slots, &mut inventory.notes);
    inventory.placing = locate::placing(&inventory.slots, &mut inventory.notes);
    inventory
}

fn take_main_memory(drafts: &mut Vec<Draft>, notes: &mut Vec<Note>) {
    let before = drafts.len();
    drafts.retain(|draft| !draft.not_main);
    let left_out = before - drafts.len();
    if left_out > 0 {
        let params = vec![("count", left_out.into())];
        notes.push(Note::report(Code::NotSystemMemory, params));
    }
    if drafts.len() > MOST_SLOTS {
        let params = vec![("found", drafts.len().into()), ("kept", MOST_SLOTS.into())];
        notes.push(Note::report(Code::TooManySlots, params));
        drafts.truncate(MOST_SLOTS);
    }
    if drafts.is_empty() {
        notes.push(Note::report(Code::NoSlots, vec![]));
    }
}

/// Numbers beside the text where they can be believed, else what the text says.
fn sightings(drafts: &[Draft]) -> Vec<Sighting> {
    let mut given: Vec<Sighting> = drafts
        .iter()
        .map(|draft| draft.sighting.unwrap_or_default())
        .collect();
    locate::distrust_made_up_numbers(&mut given);
    drafts
        .iter()
        .zip(given)
        .map(|(draft, given)| {
            if given.seen.channel.is_some() {
                return given;
            }
            let mut text = locate::sight(&draft.name);
            text.seen.socket = given.seen.socket.or(text.seen.socket);
            text
        })
        .collect()
}

fn modules(report: &Report, notes: &mut Vec<Note>) -> Vec<Option<Module>> {
    let filled = |draft: &&Draft| draft.state == State::Filled;
    let clocks = report
        .drafts
        .iter()
        .filter(filled)
        .map(|draft| rates::shows_clocks(&draft.told))
        .fold(Clocks::default(), |all, one| Clocks {
            rated: all.rated || one.rated,
            configured: all.configured || one.configured,
        });
    let mut modules = Vec::with_capacity(report.drafts.len());
    for (slot, draft) in report.drafts.iter().enumerate() {
        let correction = correction_of(draft, &report.arrays);
        let context = Context { correction, clocks };
        let mut slot_notes = SlotNotes { notes, slot };
        for (code, params) in &draft.notes {
            slot_notes.add(*code, params.clone());
        }
        modules.push(match draft.state {
            State::Filled => Some(judge::module(&draft.told, context, &mut slot_notes)),
            State::Vacant => None,
            State::Unreadable => {
                slot_notes.add(Code::ModuleUnreadable, vec![]);
                None
            }
            State::Untold => {
                slot_notes.add(Code::OccupancyUnknown, vec![]);
                None
            }
        });
    }
    modules
}

fn correction_of(draft: &Draft, arrays: &[Array]) -> Option<Correction> {
    let own = arrays
        .iter()
        .find(|array| draft.array.is_some() && array.handle == draft.array);
    let array = own.or(match arrays {
        [only] => Some(only),
        _ => None,
    });
    array.and_then(|array| array.correction.value().copied())
}

/// A saturated size is at least 32 GiB; what firmware maps may tell how much it is.
fn settle_saturated(
    drafts: &[Draft],
    modules: &mut [Option<Module>],
    mapped_mib: Option<u64>,
    notes: &mut Vec<Note>,
) {
    let saturated: Vec<bool> = drafts
        .iter()
        .map(|draft| draft.state == State::Filled && draft.told.saturated)
        .collect();
    let count = saturated.iter().filter(|s| **s).count() as u64;
    if count == 0 {
        return;
    }
    let rest: u64 = drafts
        .iter()
        .zip(&saturated)
        .filter(|(draft, saturated)| draft.state == State::Filled && !**saturated)
        .filter_map(|(draft, _)| draft.told.capacity_mib)
        .fold(0, u64::saturating_add);
    // Firmware keeps a little of what it maps, so the share may be short of the size sold.
    let share = mapped_mib.map(|mapped| mapped.saturating_sub(rest) / count);
    let settled = share
        .and_then(facts::nearest_capacity)
        .filter(|mib| *mib >= 32 * 1024 && mib.is_power_of_two());
    for (slot, module) in modules.iter_mut().enumerate() {
        let (Some(module), Some(true)) = (module, saturated.get(slot)) else {
            continue;
        };
        let note = match settled {
            Some(mib) => {
                module.capacity_mib = Fact::Derived(mib);
                Note::slot(
                    Code::CapacityFromMappedMemory,
                    slot,
                    vec![("mib", mib.into())],
                )
            }
            None => {
                let least = module.capacity_mib.value().copied().unwrap_or_default();
                Note::slot(Code::CapacitySaturated, slot, vec![("least", least.into())])
            }
        };
        notes.push(note);
    }
}

fn place(
    report: &Report,
    modules: Vec<Option<Module>>,
    sightings: &mut [Sighting],
    notes: &mut Vec<Note>,
) -> Vec<Slot> {
    let around = Surroundings {
        processors: &report.processors,
        generation: common_generation(&modules),
        // SMBIOS describes every slot, filled or not (DSP0134 7.18); Redfish need not.
        names_empty_slots: report.format != Format::Redfish
            || report
                .drafts
                .iter()
                .any(|draft| draft.state == State::Vacant),
    };
    let names: Vec<&SlotName> = report.drafts.iter().map(|draft| &draft.name).collect();
    let places = locate::places(sightings, &names, &around, notes);
    let placed = report.drafts.iter().zip(modules).zip(places);
    placed
        .map(|((draft, module), place)| Slot {
            handle: draft.handle,
            name: draft.name.clone(),
            place,
            occupancy: match draft.state {
                State::Filled => Occupancy::Populated,
                State::Vacant => Occupancy::Empty,
                State::Unreadable => Occupancy::Unreadable,
                State::Untold => Occupancy::Unknown,
            },
            module,
        })
        .collect()
}

fn common_generation(modules: &[Option<Module>]) -> Option<Generation> {
    let mut known = modules
        .iter()
        .flatten()
        .filter_map(|module| module.generation.value().copied());
    let first = known.next()?;
    known.all(|generation| generation == first).then_some(first)
}

/// Names under which many different machines are sold.
const GENERIC_PRODUCTS: &[&str] = &["super server", "server", "computer", "system", "desktop"];

fn check(inventory: &mut Inventory) {
    let product = inventory.system.product.value().cloned();
    if let Some(product) = product
        && GENERIC_PRODUCTS.contains(&product.to_lowercase().as_str())
    {
        let params = vec![("product", product.into())];
        let note = Note::report(Code::ProductNameGeneric, params);
        inventory.notes.push(note);
    }
    check_slot_count(inventory);
    check_mapped(inventory);
    check_correction(inventory);
}

fn check_slot_count(inventory: &mut Inventory) {
    let counts: Option<Vec<u32>> = inventory
        .arrays
        .iter()
        .map(|array| array.slots.value().copied())
        .collect();
    let stated: u64 = counts.unwrap_or_default().into_iter().map(u64::from).sum();
    let described = inventory.slots.len() as u64;
    if stated > 0 && described > 0 && stated != described {
        let params = vec![("stated", stated.into()), ("described", described.into())];
        inventory
            .notes
            .push(Note::report(Code::SlotCountDiffers, params));
    }
}

/// Firmware keeps up to this much for itself without a module being at fault, MiB.
const USUAL_GAP_MIB: u64 = 2048;

fn check_mapped(inventory: &mut Inventory) {
    let modules = inventory.capacity_mib();
    let Some(mapped) = inventory.mapped_mib else {
        return;
    };
    let gap = modules.abs_diff(mapped);
    if modules == 0 || gap <= USUAL_GAP_MIB || gap.saturating_mul(100) <= modules {
        return;
    }
    let code = match mapped > modules && !may_hold_more(inventory) {
        // Firmware was never seen to map that much more than there is (0.8 GiB at most in 224 published
        // reports), so modules are missing here.
        true => Code::MappedMoreThanDescribed,
        false => Code::MappedMemoryDiffers,
    };
    let params = vec![("modules", modules.into()), ("mapped", mapped.into())];
    inventory.notes.push(Note::report(code, params));
}

/// Whether more memory may be described than the known capacities add up to.
fn may_hold_more(inventory: &Inventory) -> bool {
    let open = |slot: &Slot| match &slot.module {
        Some(module) => module.capacity_mib.standing() > Standing::Derived,
        None => slot.occupancy != Occupancy::Empty,
    };
    let left_out = |note: &Note| note.code == Code::NotSystemMemory;
    inventory.slots.iter().any(open) || inventory.notes.iter().any(left_out)
}

fn check_correction(inventory: &mut Inventory) {
    let [array] = inventory.arrays.as_slice() else {
        return;
    };
    let Some(stated) = array.correction.value().map(|c| *c != Correction::Absent) else {
        return;
    };
    let by_width = |module: &Module| match module.total_width {
        Fact::Unknown => None,
        _ => module.ecc.value().copied(),
    };
    let mut modules = inventory
        .slots
        .iter()
        .filter_map(|slot| slot.module.as_ref());
    if modules.any(|module| by_width(module).is_some_and(|ecc| ecc != stated)) {
        inventory
            .notes
            .push(Note::report(Code::EccDisagrees, vec![]));
    }
}
