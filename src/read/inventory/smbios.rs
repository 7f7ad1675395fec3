//! The SMBIOS structure table (DSP0134), bare or in a dump file with its entry point.
//!
//! Offsets are those of DSP0134 3.7: 7.2 system, 7.3 board, 7.5 processor, 7.17 array, 7.18 memory
//! device, 7.20 mapped range. Old firmware sends short structures: every field may be missing.

use super::device;
use super::facts;
use super::locate::SlotMap;
use super::maker;
use super::note::{Code, Note};
use super::record::{Array, Correction, Fact, Format, Inventory, Processor, SlotName, System};
use super::whole::{self, Draft, Report, State};
use smbioslib::{SMBiosData, UndefinedStruct};

/// Reads a bare table or a dump file.
pub fn read(input: &[u8], map: &SlotMap) -> Inventory {
    let (format, table) = match table_of_dump(input) {
        Some(table) => (Format::SmbiosDump, table),
        None => (Format::SmbiosTable, input),
    };
    let mut report = Report::new(format);
    if table.is_empty() {
        report.notes.push(Note::report(Code::TableNotFound, vec![]));
    }
    let mut arrays = Vec::new();
    let mut ended = false;
    let data = SMBiosData::from_vec_and_version(table.to_vec(), None);
    for structure in data.iter() {
        match structure.header.struct_type() {
            1 => system(structure, &mut report.system),
            2 => board(structure, &mut report.system),
            4 => report.processors.extend(processor(structure)),
            16 => arrays.push(array(structure)),
            17 => report.drafts.push(draft(structure)),
            19 => report.mapped_kib = report.mapped_kib.saturating_add(mapped_kib(structure)),
            127 => {
                ended = true;
                break;
            }
            _ => {}
        }
    }
    if !ended && !table.is_empty() {
        report
            .notes
            .push(Note::report(Code::TableEndsEarly, vec![]));
    }
    device::keep_system_memory(arrays, &mut report);
    whole::finish(report, map)
}

/// Whether the bytes look like a bare table: a whole structure, then the end or another header.
pub fn looks_like_table(input: &[u8]) -> bool {
    let Some(first) = structure_end(input, 0) else {
        return false;
    };
    let next_length = input.get(first + 1);
    first == input.len() || next_length.is_some_and(|length| *length >= 4)
}

/// Where the structure at `start` ends, if it has a sensible header and ends at all.
fn structure_end(input: &[u8], start: usize) -> Option<usize> {
    let length = usize::from(*input.get(start.checked_add(1)?)?);
    if length < 4 {
        return None;
    }
    let strings = start.checked_add(length)?;
    let rest = input.get(strings..)?;
    let end = rest.windows(2).position(|pair| pair == [0, 0])?;
    Some(strings + end + 2)
}

/// Where a dump file keeps its table.
const DUMPED_AT: usize = 0x20;

/// The table behind an entry point (DSP0134 5.2.1 and 5.2.2); empty if there is none.
fn table_of_dump(input: &[u8]) -> Option<&[u8]> {
    let (address, length) = if input.starts_with(b"_SM3_") {
        let address = usize::try_from(le(input, 0x10, 8)?).unwrap_or(usize::MAX);
        (address, le(input, 0x0C, 4)?)
    } else if input.starts_with(b"_SM_") {
        let address = usize::try_from(le(input, 0x18, 4)?).unwrap_or(usize::MAX);
        (address, le(input, 0x16, 2)?)
    } else {
        return None;
    };
    let start = if address < input.len() && address >= 0x18 {
        address
    } else {
        DUMPED_AT
    };
    let table = input.get(start..).unwrap_or_default();
    let length = usize::try_from(length).unwrap_or(usize::MAX);
    match length {
        0 => Some(table),
        length => Some(table.get(..length).unwrap_or(table)),
    }
}

fn le(input: &[u8], at: usize, size: usize) -> Option<u64> {
    let bytes = input.get(at..at.checked_add(size)?)?;
    Some(
        bytes
            .iter()
            .rev()
            .fold(0, |n, byte| n << 8 | u64::from(*byte)),
    )
}

fn text(structure: &UndefinedStruct, offset: usize) -> Option<String> {
    structure.get_field_string(offset).to_utf8_lossy()
}

fn meaning(structure: &UndefinedStruct, offset: usize) -> Fact<String> {
    Fact::of(text(structure, offset).and_then(|text| facts::meaning(&text)))
}

fn system(structure: &UndefinedStruct, system: &mut System) {
    let maker = meaning(structure, 0x04);
    let product = meaning(structure, 0x05);
    system.maker = std::mem::take(&mut system.maker).or(maker);
    system.product = std::mem::take(&mut system.product).or(product);
}

fn board(structure: &UndefinedStruct, system: &mut System) {
    let maker = meaning(structure, 0x04);
    let board = meaning(structure, 0x05);
    system.board_maker = std::mem::take(&mut system.board_maker).or(maker);
    system.board = std::mem::take(&mut system.board).or(board);
}

/// A central processor's socket; an empty one may have no known type.
fn processor(structure: &UndefinedStruct) -> Option<Processor> {
    const MATH_DSP_VIDEO: std::ops::RangeInclusive<u8> = 4..=6;
    let kind = structure.get_field_byte(0x05);
    if kind.is_some_and(|kind| MATH_DSP_VIDEO.contains(&kind)) {
        return None;
    }
    let populated = structure
        .get_field_byte(0x18)
        .map(|status| status & 0x40 != 0);
    // DSP0134 7.5: bits 0 to 2 of the status.
    let enabled = structure.get_field_byte(0x18);
    let enabled = enabled.and_then(|status| match status & 0x07 {
        1 => Some(true),
        2 | 3 => Some(false),
        _ => None,
    });
    let cores = match structure.get_field_byte(0x23) {
        Some(0xFF) => structure.get_field_word(0x2A).map(u32::from),
        count => count.map(u32::from),
    };
    Some(device::processor(
        text(structure, 0x04),
        text(structure, 0x10),
        text(structure, 0x07),
        populated,
        enabled,
        cores,
    ))
}

fn array(structure: &UndefinedStruct) -> (bool, Array) {
    const SYSTEM_MEMORY: u8 = 3;
    let main = structure
        .get_field_byte(0x05)
        .is_none_or(|usage| usage == SYSTEM_MEMORY);
    let correction = match structure.get_field_byte(0x06) {
        Some(3) => Some(Correction::Absent),
        Some(4) => Some(Correction::Parity),
        Some(5) => Some(Correction::SingleBit),
        Some(6) => Some(Correction::MultiBit),
        Some(7) => Some(Correction::Crc),
        _ => None,
    };
    let maximum_kib = match structure.get_field_dword(0x07) {
        Some(0x8000_0000) => structure.get_field_qword(0x0F).map(|bytes| bytes >> 10),
        kib => kib.map(u64::from),
    };
    let array = Array {
        handle: Some(structure.header.handle().0),
        correction: Fact::of(correction),
        maximum_mib: Fact::of(maximum_kib.map(|kib| kib >> 10).filter(|mib| *mib > 0)),
        slots: Fact::of(structure.get_field_word(0x0D).map(u32::from)),
    };
    (main, array)
}

fn mapped_kib(structure: &UndefinedStruct) -> u64 {
    let range = |start: Option<u64>, end: Option<u64>| {
        let (Some(start), Some(end)) = (start, end) else {
            return 0;
        };
        end.checked_sub(start)
            .map_or(0, |size| size.saturating_add(1))
    };
    match structure.get_field_dword(0x04) {
        Some(u32::MAX) => {
            let start = structure.get_field_qword(0x0F);
            range(start, structure.get_field_qword(0x17)) >> 10
        }
        start => range(
            start.map(u64::from),
            structure.get_field_dword(0x08).map(u64::from),
        ),
    }
}

fn draft(structure: &UndefinedStruct) -> Draft {
    let word = |offset| structure.get_field_word(offset).map(u32::from);
    let (state, capacity_kib, saturated) = size(structure);
    let form = structure
        .get_field_byte(0x0E)
        .and_then(device::form_of_code);
    let memory_type = structure.get_field_byte(0x12).unwrap_or(0x02);
    let detail = structure.get_field_word(0x13).unwrap_or(0);
    let bit = |number: u32| detail & (1 << number) != 0;
    let kind = facts::kind_of_bits(bit(15), bit(13), bit(14));
    let mut draft = Draft {
        handle: Some(structure.header.handle().0),
        array: structure.get_field_word(0x04),
        name: SlotName {
            locator: text(structure, 0x10).and_then(|text| facts::slot_name(&text)),
            bank: text(structure, 0x11).and_then(|text| facts::slot_name(&text)),
        },
        state,
        ..Draft::default()
    };
    let told = &mut draft.told;
    device::set_type(told, device::type_of_code(memory_type));
    device::set_kind(told, kind, device::kind_words(detail), form);
    told.capacity_mib = capacity_kib.map(|kib| kib >> 10);
    told.saturated = saturated;
    told.ranks = structure.get_field_byte(0x1B).map(|a| u32::from(a & 0x0F));
    told.total_width = word(0x08);
    told.data_width = word(0x0A);
    told.rated = speed(structure, 0x15, 0x54);
    told.configured = speed(structure, 0x20, 0x58);
    told.configured_mv = word(0x26);
    told.maker = text(structure, 0x17);
    told.serial = text(structure, 0x18);
    told.part_number = text(structure, 0x1A);
    told.maker_id = structure.get_field_word(0x2C).and_then(maker::from_word);
    let technology = structure.get_field_byte(0x28);
    device::set_technology(told, technology.and_then(device::technology_of_code));
    draft.not_main = device::is_soldered_or_rom(memory_type) || form == Some(device::Form::Die);
    draft
}

/// State, KiB, and whether the field is at its largest value (DSP0134 7.18.5).
fn size(structure: &UndefinedStruct) -> (State, Option<u64>, bool) {
    const SEE_EXTENDED: u16 = 0x7FFF;
    match structure.get_field_word(0x0C) {
        None | Some(0xFFFF) => (State::Untold, None, false),
        Some(0) => (State::Vacant, None, false),
        Some(SEE_EXTENDED) => {
            let mib = structure.get_field_dword(0x1C).map(|mib| mib & 0x7FFF_FFFF);
            match mib.filter(|mib| *mib > 0) {
                Some(mib) => (State::Filled, Some(u64::from(mib) << 10), false),
                None => (State::Filled, None, true),
            }
        }
        Some(kib) if kib & 0x8000 != 0 => (State::Filled, Some(u64::from(kib & 0x7FFF)), false),
        Some(mib) => (State::Filled, Some(u64::from(mib) << 10), false),
    }
}

/// A speed of 16 bits, or the extended one that it points to.
fn speed(structure: &UndefinedStruct, at: usize, extended: usize) -> Option<u32> {
    match structure.get_field_word(at)? {
        0xFFFF => structure
            .get_field_dword(extended)
            .map(|speed| speed & 0x7FFF_FFFF),
        speed => Some(speed.into()),
    }
}
