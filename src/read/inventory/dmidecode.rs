//! The text that `dmidecode` prints, of any version, whole or shortened, as pasted.
//!
//! A structure is a `Handle` line, a title, and `Key: value` lines. Quiet output has no handle
//! lines: then a title after a blank line starts a structure. Blanks, tabs and line ends vary in
//! pasted text, so lines are trimmed and indentation counts for nothing; marks of quoted mail go, and
//! what stands twice, as in two outputs pasted one after the other, is read once.

use super::device::{self, Form};
use super::facts;
use super::locate::SlotMap;
use super::maker;
use super::note::{Code, Note};
use super::record::{Array, Fact, Format, Inventory, SlotName, System};
use super::whole::{self, Draft, Report, State};
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

/// One structure: its type, handle and pairs.
struct Structure<'a> {
    number: Option<u32>,
    handle: Option<u16>,
    pairs: Vec<(&'a str, &'a str)>,
}

impl<'a> Structure<'a> {
    /// Whether anything of it is used.
    fn is_taken(&self) -> bool {
        self.number.is_some_and(|number| TAKEN.contains(&number))
    }

    /// The first value of a key.
    fn get(&self, key: &str) -> Option<&'a str> {
        let found = self.pairs.iter().find(|(k, _)| k.eq_ignore_ascii_case(key));
        found.map(|(_, value)| *value)
    }
}

/// Whether the text looks like this format.
pub fn looks_like(text: &str) -> bool {
    let has = |wanted: &str| text.contains(wanted);
    (has("DMI type ") && has("Handle 0x"))
        || text.lines().any(|line| bare(line) == "Memory Device")
        || has("# dmidecode")
}

/// Reads the text.
pub fn read(text: &str, map: &SlotMap) -> Inventory {
    let mut report = Report::new(Format::DmidecodeText);
    let mut arrays = Vec::new();
    let (mut all, outputs) = structures(text);
    let repeated = match outputs > 1 {
        true => drop_repeated(&mut all),
        false => 0,
    };
    if repeated > 0 {
        let params = vec![("count", repeated.into())];
        report
            .notes
            .push(Note::report(Code::StructuresRepeated, params));
    }
    for structure in all {
        match structure.number {
            Some(1) => system(&structure, &mut report.system),
            Some(2) => board(&structure, &mut report.system),
            Some(4) => {
                let other = |kind: &str| {
                    ["Math", "DSP", "Video"]
                        .iter()
                        .any(|word| kind.starts_with(word))
                };
                if !structure.get("Type").is_some_and(other) {
                    report.processors.push(processor(&structure));
                }
            }
            Some(16) => arrays.push(array(&structure)),
            Some(17) => report.drafts.push(draft(&structure)),
            Some(19) => {
                let size = structure.get("Range Size").and_then(facts::size_kib);
                report.mapped_kib = report.mapped_kib.saturating_add(size.unwrap_or(0));
            }
            _ => {}
        }
    }
    device::keep_system_memory(arrays, &mut report);
    whole::finish(report, map)
}

/// A structure of more lines than this is no structure of ours.
const MOST_PAIRS: usize = 256;

/// Takes out every structure that stands earlier with the same handle, type and pairs, as where two
/// outputs of one machine were pasted one after the other. Gives how many.
fn drop_repeated(structures: &mut Vec<Structure<'_>>) -> usize {
    let before = structures.len();
    let mut known: BTreeMap<(u16, u32), Vec<(&str, &str)>> = BTreeMap::new();
    structures.retain(|structure| {
        let (Some(handle), Some(number)) = (structure.handle, structure.number) else {
            return true;
        };
        match known.entry((handle, number)) {
            Entry::Occupied(earlier) => *earlier.get() != structure.pairs,
            Entry::Vacant(place) => {
                place.insert(structure.pairs.clone());
                true
            }
        }
    });
    before - structures.len()
}

/// A line without blanks at its ends and without the marks of quoted mail before it.
fn bare(line: &str) -> &str {
    let mut line = line.trim();
    while let Some(rest) = line.strip_prefix(['>', '|']) {
        line = rest.trim_start();
    }
    line
}

/// Structures that are taken; the lines of others need not be taken apart.
const TAKEN: [u32; 6] = [1, 2, 4, 16, 17, 19];

/// All structures, and how many outputs of the tool begin in the text.
fn structures(text: &str) -> (Vec<Structure<'_>>, usize) {
    let mut found: Vec<Structure<'_>> = Vec::new();
    let mut outputs = 0;
    let quiet = !text.lines().any(|line| handle_line(bare(line)).is_some());
    let mut after_blank = true;
    for line in text.lines().map(bare) {
        if line.is_empty() {
            after_blank = true;
            continue;
        }
        outputs += usize::from(line.starts_with("# dmidecode"));
        if let Some((handle, number)) = handle_line(line) {
            found.push(Structure {
                number,
                handle: Some(handle),
                pairs: Vec::new(),
            });
        } else if quiet && (title_number(line).is_some() || (after_blank && !line.contains(':'))) {
            found.push(Structure {
                number: title_number(line),
                handle: None,
                pairs: Vec::new(),
            });
        } else if let Some(structure) = found.last_mut()
            && structure.is_taken()
            && structure.pairs.len() < MOST_PAIRS
            && let Some((key, value)) = line.split_once(':')
        {
            structure.pairs.push((key.trim_end(), value.trim_start()));
        }
        after_blank = false;
    }
    (found, outputs)
}

/// `Handle 0x002F, DMI type 17, 92 bytes`.
fn handle_line(line: &str) -> Option<(u16, Option<u32>)> {
    let rest = line.strip_prefix("Handle 0x")?;
    let (handle, rest) = rest.split_once(',')?;
    let handle = u16::from_str_radix(handle.trim(), 16).ok()?;
    let number = rest.trim().strip_prefix("DMI type ")?;
    let digits = number.split(|c: char| !c.is_ascii_digit()).next()?;
    Some((handle, digits.parse().ok()))
}

/// The structure type that a title stands for.
fn title_number(line: &str) -> Option<u32> {
    match line {
        "System Information" => Some(1),
        "Base Board Information" => Some(2),
        "Processor Information" => Some(4),
        "Physical Memory Array" => Some(16),
        "Memory Device" => Some(17),
        "Memory Array Mapped Address" => Some(19),
        _ => None,
    }
}

fn meaning(value: Option<&str>) -> Fact<String> {
    Fact::of(value.and_then(facts::meaning))
}

fn system(structure: &Structure<'_>, system: &mut System) {
    let maker = meaning(structure.get("Manufacturer"));
    let product = meaning(structure.get("Product Name"));
    system.maker = std::mem::take(&mut system.maker).or(maker);
    system.product = std::mem::take(&mut system.product).or(product);
}

fn board(structure: &Structure<'_>, system: &mut System) {
    let maker = meaning(structure.get("Manufacturer"));
    let board = meaning(structure.get("Product Name"));
    system.board_maker = std::mem::take(&mut system.board_maker).or(maker);
    system.board = std::mem::take(&mut system.board).or(board);
}

fn processor(structure: &Structure<'_>) -> super::record::Processor {
    let status = structure.get("Status");
    let populated = status.and_then(|status| match status.split(',').next()?.trim() {
        "Populated" => Some(true),
        "Unpopulated" => Some(false),
        _ => None,
    });
    let enabled = status.and_then(|status| match status.split_once(',')?.1.trim() {
        "Enabled" => Some(true),
        own if own.starts_with("Disabled") => Some(false),
        _ => None,
    });
    let cores = structure
        .get("Core Count")
        .and_then(facts::leading_number)
        .and_then(|n| u32::try_from(n).ok());
    device::processor(
        structure.get("Socket Designation").map(str::to_owned),
        structure.get("Version").map(str::to_owned),
        structure.get("Manufacturer").map(str::to_owned),
        populated,
        enabled,
        cores,
    )
}

fn array(structure: &Structure<'_>) -> (bool, Array) {
    let main = structure
        .get("Use")
        .is_none_or(|usage| usage.eq_ignore_ascii_case("System Memory"));
    let maximum = structure.get("Maximum Capacity").and_then(facts::size_kib);
    let slots = structure
        .get("Number Of Devices")
        .and_then(facts::leading_number);
    let array = Array {
        handle: structure.handle,
        correction: Fact::of(
            structure
                .get("Error Correction Type")
                .and_then(facts::correction),
        ),
        maximum_mib: Fact::of(maximum.map(|kib| kib >> 10).filter(|mib| *mib > 0)),
        slots: Fact::of(slots.and_then(|n| u32::try_from(n).ok())),
    };
    (main, array)
}

fn draft(structure: &Structure<'_>) -> Draft {
    let number = |key: &str| {
        let number = facts::leading_number(structure.get(key)?)?;
        u32::try_from(number).ok()
    };
    let owned = |key: &str| structure.get(key).map(str::to_owned);
    let name = |key: &str| structure.get(key).and_then(facts::slot_name);
    let (state, capacity_kib, saturated) = size(structure.get("Size"));
    let form = structure.get("Form Factor").and_then(device::form_of_words);
    let memory_type = structure.get("Type").unwrap_or_default();
    let detail = structure.get("Type Detail").unwrap_or_default();
    let mut draft = Draft {
        handle: structure.handle,
        array: structure.get("Array Handle").and_then(hex),
        name: SlotName {
            locator: name("Locator"),
            bank: name("Bank Locator"),
        },
        state,
        ..Draft::default()
    };
    let told = &mut draft.told;
    device::set_type(
        told,
        (facts::generation(memory_type), memory_type.to_owned()),
    );
    device::set_kind(told, facts::kind_of_words(detail), detail.to_owned(), form);
    told.capacity_mib = capacity_kib.map(|kib| kib >> 10);
    told.saturated = saturated;
    told.ranks = number("Rank");
    told.total_width = number("Total Width");
    told.data_width = number("Data Width");
    told.rated = number("Speed");
    // The key changed its name with version 3.2 of the tool, not its meaning.
    told.configured = number("Configured Memory Speed").or(number("Configured Clock Speed"));
    told.configured_mv = structure
        .get("Configured Voltage")
        .and_then(facts::millivolts);
    told.maker = owned("Manufacturer");
    told.serial = owned("Serial Number");
    told.part_number = owned("Part Number");
    let maker_id = structure.get("Module Manufacturer ID");
    told.maker_id = maker_id.and_then(maker::from_bank_text);
    let technology = structure.get("Memory Technology");
    device::set_technology(told, technology.and_then(device::technology_of_words));
    draft.not_main = device::is_soldered_or_rom_word(memory_type) || form == Some(Form::Die);
    draft
}

fn hex(text: &str) -> Option<u16> {
    u16::from_str_radix(text.strip_prefix("0x")?, 16).ok()
}

/// State, KiB, and whether the field is at its largest value.
fn size(text: Option<&str>) -> (State, Option<u64>, bool) {
    let Some(text) = text else {
        return (State::Untold, None, false);
    };
    let lower = text.to_ascii_lowercase();
    if lower.contains("no module") || lower.contains("not installed") {
        return (State::Vacant, None, false);
    }
    match facts::size_kib(text) {
        None => (State::Untold, None, false),
        Some(0) => (State::Vacant, None, false),
        Some(kib) if kib >> 10 == facts::SATURATED_FIELD_MIB => (State::Filled, None, true),
        Some(kib) => (State::Filled, Some(kib), false),
    }
}
