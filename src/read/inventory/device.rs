//! What the SMBIOS table and the text printed from it have in common: codes, words, processors.
//!
//! Code tables: DSP0134 7.18.1 (form factor), 7.18.2 (type), 7.18.3 (detail), 7.18.6 (technology).

use super::facts;
use super::judge::Told;
use super::record::{Array, Fact, Generation, Kind, Processor};
use super::whole::Report;

/// Form factors that change what the kind bits mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Small outline.
    SoDimm,
    /// Fully buffered.
    FbDimm,
    /// Soldered.
    Die,
    /// Compression attached.
    Camm,
}

/// Form factor by code.
pub fn form_of_code(code: u8) -> Option<Form> {
    match code {
        0x0D => Some(Form::SoDimm),
        0x0F => Some(Form::FbDimm),
        0x10 => Some(Form::Die),
        0x11 => Some(Form::Camm),
        _ => None,
    }
}

/// Form factor by the word printed for it.
pub fn form_of_words(text: &str) -> Option<Form> {
    match text.trim().to_ascii_uppercase().as_str() {
        "SODIMM" | "SO-DIMM" | "SO_DIMM" => Some(Form::SoDimm),
        "FB-DIMM" => Some(Form::FbDimm),
        "DIE" => Some(Form::Die),
        "CAMM" => Some(Form::Camm),
        _ => None,
    }
}

/// Memory type: the generation if it has one, and what to call it.
pub fn type_of_code(code: u8) -> (Option<Generation>, String) {
    let generation = match code {
        0x12 => Some(Generation::Ddr(1)),
        0x13 | 0x14 | 0x19 => Some(Generation::Ddr(2)),
        0x18 => Some(Generation::Ddr(3)),
        0x1A => Some(Generation::Ddr(4)),
        0x22 => Some(Generation::Ddr(5)),
        0x1B => Some(Generation::LowPowerDdr(1)),
        0x1C => Some(Generation::LowPowerDdr(2)),
        0x1D => Some(Generation::LowPowerDdr(3)),
        0x1E => Some(Generation::LowPowerDdr(4)),
        0x23 => Some(Generation::LowPowerDdr(5)),
        0x0F => Some(Generation::BeforeDdr),
        _ => None,
    };
    let text = match code {
        0x01 => "Other".to_owned(),
        0x02 => "Unknown".to_owned(),
        0x03 => "DRAM".to_owned(),
        code => format!("type {code:#04X}"),
    };
    (generation, text)
}

/// Memory types that sit in no slot: ROM and flash, stacked memory.
pub fn is_soldered_or_rom(code: u8) -> bool {
    matches!(code, 0x06..=0x0C | 0x20 | 0x21 | 0x24)
}

/// The same by the word printed.
pub fn is_soldered_or_rom_word(text: &str) -> bool {
    let upper = text.trim().to_ascii_uppercase();
    matches!(
        upper.as_str(),
        "RAM" | "ROM" | "FLASH" | "EEPROM" | "FEPROM" | "EPROM" | "CDRAM" | "HBM" | "HBM2" | "HBM3"
    )
}

/// Technologies other than plain DRAM. 0x08 is from memory (DSP0134 3.8).
pub fn technology_of_code(code: u8) -> Option<&'static str> {
    match code {
        0x04 => Some("NVDIMM-N"),
        0x05 => Some("NVDIMM-F"),
        0x06 => Some("NVDIMM-P"),
        0x07 => Some("persistent memory"),
        0x08 => Some("MRDIMM"),
        _ => None,
    }
}

/// The same by the words printed, which may name a maker first.
pub fn technology_of_words(text: &str) -> Option<&'static str> {
    let upper = text.to_ascii_uppercase();
    (0x04..=0x08)
        .filter_map(technology_of_code)
        .find(|name| upper.contains(&name.to_ascii_uppercase()))
}

/// Enters the technology: a kind of its own, or not plain DRAM.
pub fn set_technology(told: &mut Told, technology: Option<&'static str>) {
    match technology {
        Some("MRDIMM") => told.kind = Some(Kind::Mrdimm),
        other => told.technology = other.map(str::to_owned),
    }
}

/// The words that a type detail prints as, for notes.
pub fn kind_words(detail: u16) -> String {
    let names = [
        (7, "Synchronous"),
        (13, "Registered"),
        (14, "Unbuffered"),
        (15, "LRDIMM"),
    ];
    let set = names.iter().filter(|(bit, _)| detail & (1 << bit) != 0);
    set.map(|(_, name)| *name).collect::<Vec<_>>().join(" ")
}

/// Enters the memory type.
pub fn set_type(told: &mut Told, (generation, text): (Option<Generation>, String)) {
    told.generation = generation;
    told.generation_text = text;
}

/// Enters the kind, as the form factor refines it.
pub fn set_kind(
    told: &mut Told,
    kind: Result<Option<Kind>, ()>,
    words: String,
    form: Option<Form>,
) {
    told.kind_contradictory = kind.is_err();
    told.kind_text = words;
    told.kind = match (kind.ok().flatten(), form) {
        (_, Some(Form::FbDimm)) => Some(Kind::FbDimm),
        (_, Some(Form::Camm)) => Some(Kind::Camm),
        (Some(Kind::Udimm), Some(Form::SoDimm)) => Some(Kind::SoDimm),
        (Some(Kind::Rdimm), Some(Form::SoDimm)) => Some(Kind::SoRdimm),
        (kind, _) => kind,
    };
}

/// A processor socket; an empty one has no model whatever is written there.
pub fn processor(
    label: Option<String>,
    model: Option<String>,
    maker: Option<String>,
    populated: Option<bool>,
    enabled: Option<bool>,
    cores: Option<u32>,
) -> Processor {
    let text = |text: Option<String>| {
        let there = populated != Some(false);
        Fact::of(
            text.filter(|_| there)
                .and_then(|text| facts::meaning(&text)),
        )
    };
    Processor {
        socket_label: label.and_then(|label| facts::slot_name(&label)),
        model: text(model),
        maker: text(maker),
        populated: Fact::of(populated),
        enabled: Fact::of(enabled.filter(|_| populated != Some(false))),
        cores: Fact::of(cores.filter(|cores| *cores > 0 && populated != Some(false))),
    }
}

/// Keeps the arrays of main memory, and marks the slots of the others.
pub fn keep_system_memory(arrays: Vec<(bool, Array)>, report: &mut Report) {
    let others: Vec<Option<u16>> = arrays
        .iter()
        .filter(|(main, array)| !main && array.handle.is_some())
        .map(|(_, array)| array.handle)
        .collect();
    for draft in &mut report.drafts {
        draft.not_main |= draft.array.is_some() && others.contains(&draft.array);
    }
    let main = arrays.into_iter().filter(|(main, _)| *main);
    report.arrays = main.map(|(_, array)| array).collect();
}
