//! Normalisation shared by all inventory readers: placeholder texts, numbers, sizes, rates, words.
//!
//! Measured traps are those of a survey of 227 server reports (linuxhw/DMI, CC BY 4.0); field
//! meanings are those of DSP0134 (SMBIOS) sections 7.17 and 7.18.

use super::record::{Correction, Generation, Kind};

/// Longest text kept of any one field, characters.
const FIELD_LIMIT: usize = 256;

/// Firmware's ways of saying nothing. Compared in lower case, after trimming.
const PLACEHOLDERS: &[&str] = &[
    "",
    "--",
    "-",
    "n/a",
    "na",
    "null",
    "none",
    "empty",
    "unknown",
    "undefined",
    "unspecified",
    "other",
    "not specified",
    "not available",
    "not provided",
    "not present",
    "not installed",
    "not set",
    "no dimm",
    "no module installed",
    "default string",
    "default",
    "to be filled by o.e.m.",
    "to be filled by o.e.m",
    "to be filled by oem",
    "o.e.m.",
    "oem",
    "system product name",
    "system manufacturer",
    "<out of spec>",
    "<bad index>",
    "scrubbed",
];

/// Stems of numbered placeholders such as `PartNum0`, `A1_Manufacturer1`, `ModulePartNumber00`.
const NUMBERED: &[&str] = &[
    "partnum",
    "partnumber",
    "modulepartnumber",
    "arraypartnumber",
    "manufacturer",
    "modulemanufacturer",
    "arraymanufacturer",
    "sernum",
    "serialnumber",
    "serialnum",
    "assettag",
    "assettagnum",
    "dimmpartnumber",
];

/// Trims, joins inner runs of blanks, and drops control characters.
pub fn clean(text: &str) -> String {
    let visible: String = text
        .chars()
        .take(FIELD_LIMIT)
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    visible.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The cleaned text, unless it is a placeholder.
pub fn meaning(text: &str) -> Option<String> {
    let cleaned = clean(text);
    (!is_placeholder(&cleaned)).then_some(cleaned)
}

/// A slot's name: as [`meaning`], but a bare number is a name too.
pub fn slot_name(text: &str) -> Option<String> {
    let cleaned = clean(text);
    let lower = cleaned.to_ascii_lowercase();
    (!PLACEHOLDERS.contains(&lower.as_str())).then_some(cleaned)
}

/// Whether a text in place of a module's number says that there is none.
pub fn says_no_module(text: &str) -> bool {
    let lower = clean(text).to_ascii_lowercase();
    matches!(
        lower.as_str(),
        "no dimm" | "no module installed" | "not installed" | "not present" | "empty"
    )
}

fn is_placeholder(cleaned: &str) -> bool {
    let lower = cleaned.to_ascii_lowercase();
    let same = |wanted: char| lower.chars().all(|c| c == wanted);
    PLACEHOLDERS.contains(&lower.as_str())
        || same('0')
        || same('x')
        || (lower.len() >= 4 && same('f'))
        || lower.ends_with(" not set")
        || lower.chars().all(|c| !c.is_alphanumeric())
        || is_numbered_placeholder(&lower)
}

/// `PartNum0`, `A1_PartNum1`, `Array 1 Part Number 2`, `Manufacturer02`.
fn is_numbered_placeholder(lower: &str) -> bool {
    let stem = match lower.split_once('_') {
        Some((slot, rest)) if slot.len() <= 3 => rest,
        _ => lower,
    };
    let letters: String = stem.chars().filter(char::is_ascii_alphabetic).collect();
    let ends_in_digit = stem.ends_with(|c: char| c.is_ascii_digit());
    let others = stem
        .chars()
        .any(|c| !c.is_ascii_alphanumeric() && c != ' ' && c != '_');
    ends_in_digit && !others && NUMBERED.contains(&letters.as_str())
}

/// The first whole number of a text such as `3200 MT/s` or `1333 MHz (0.8 ns)`.
pub fn leading_number(text: &str) -> Option<u64> {
    let digits: String = text
        .trim_start()
        .chars()
        .take_while(char::is_ascii_digit)
        .collect();
    digits.parse().ok()
}

/// Words of a text: runs of letters and digits in upper case.
pub fn words(text: &str) -> Vec<String> {
    text.chars()
        .take(FIELD_LIMIT)
        .collect::<String>()
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_ascii_uppercase)
        .collect()
}

/// KiB of a printed size: `16384 MB`, `32 GB`, `1 TB`, `64 bytes`, `5120 kB`.
pub fn size_kib(text: &str) -> Option<u64> {
    let number = leading_number(text)?;
    let unit: String = text
        .trim_start()
        .chars()
        .skip_while(|c| c.is_ascii_digit() || c.is_whitespace())
        .take_while(char::is_ascii_alphabetic)
        .collect();
    let shift = match unit.to_ascii_lowercase().as_str() {
        "bytes" | "byte" | "b" => return Some(number >> 10),
        "kb" | "kib" => 0,
        "mb" | "mib" => 10,
        "gb" | "gib" => 20,
        "tb" | "tib" => 30,
        "pb" | "pib" => 40,
        _ => return None,
    };
    number.checked_mul(1 << shift)
}

/// mV of a printed voltage: `1.2 V`, `1.14 V`, `1.35V`, in some places of the world `1,35 V`.
pub fn millivolts(text: &str) -> Option<u32> {
    let number: String = text
        .trim_start()
        .chars()
        .take_while(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
        .collect();
    let (whole, part) = number
        .split_once(['.', ','])
        .unwrap_or((number.as_str(), ""));
    let whole: u32 = whole.parse().ok()?;
    let mut thousandths = 0;
    let mut scale = 100;
    for digit in part.chars().take(3) {
        thousandths += digit.to_digit(10)? * scale;
        scale /= 10;
    }
    whole.checked_mul(1000)?.checked_add(thousandths)
}

/// The generation that a word such as `DDR4`, `LPDDR5_SDRAM` or `DDR5_MRDIMM` names.
pub fn generation(text: &str) -> Option<Generation> {
    let upper = text.trim().to_ascii_uppercase();
    if let Some(rest) = upper.strip_prefix("LPDDR") {
        return Some(Generation::LowPowerDdr(leading_digit(rest)));
    }
    if let Some(rest) = upper.strip_prefix("DDR") {
        return Some(Generation::Ddr(leading_digit(rest)));
    }
    match upper.as_str() {
        "FBD2" => Some(Generation::Ddr(2)),
        "SDRAM" | "EDRAM" | "VRAM" | "SRAM" | "RDRAM" | "SGRAM" => Some(Generation::BeforeDdr),
        _ => None,
    }
}

fn leading_digit(text: &str) -> u8 {
    let digit = text.chars().next().and_then(|c| c.to_digit(10));
    digit.and_then(|d| u8::try_from(d).ok()).unwrap_or(1)
}

/// The kind that the words of a type detail tell: `Synchronous Registered (Buffered)`.
/// `Err` where they say both registered and unbuffered.
pub fn kind_of_words(text: &str) -> Result<Option<Kind>, ()> {
    let words = words(text);
    let has = |wanted: &str| words.iter().any(|word| word == wanted);
    kind_of_bits(has("LRDIMM"), has("REGISTERED"), has("UNBUFFERED"))
}

/// The kind that the bits of a type detail tell. Load-reduced wins, since such modules carry the
/// registered bit or not. `Err` where they say both registered and unbuffered.
pub fn kind_of_bits(
    load_reduced: bool,
    registered: bool,
    unbuffered: bool,
) -> Result<Option<Kind>, ()> {
    match (load_reduced, registered, unbuffered) {
        (true, _, false) => Ok(Some(Kind::Lrdimm)),
        (false, true, false) => Ok(Some(Kind::Rdimm)),
        (false, false, true) => Ok(Some(Kind::Udimm)),
        (false, false, false) => Ok(None),
        _ => Err(()),
    }
}

/// Error correction of an array in any of the three spellings met.
pub fn correction(text: &str) -> Option<Correction> {
    let squeezed: String = text
        .chars()
        .filter(char::is_ascii_alphanumeric)
        .collect::<String>()
        .to_ascii_lowercase();
    match squeezed.as_str() {
        "none" | "noecc" => Some(Correction::Absent),
        "parity" | "addressparity" => Some(Correction::Parity),
        "ecc" | "singlebitecc" | "singlebit" => Some(Correction::SingleBit),
        "multibitecc" | "multibit" => Some(Correction::MultiBit),
        "crc" => Some(Correction::Crc),
        _ => None,
    }
}

/// Rates of DDR2 (JESD79-2), MT/s.
const DDR2_RATES: &[u32] = &[400, 533, 667, 800, 1066];
/// Rates of DDR3 (JESD79-3), MT/s.
const DDR3_RATES: &[u32] = &[800, 1066, 1333, 1600, 1866, 2133];
/// Rates of DDR4 (JESD79-4), MT/s.
const DDR4_RATES: &[u32] = &[1600, 1866, 2133, 2400, 2666, 2933, 3200];
/// Rates of DDR5 (JESD79-5) and of multiplexed-rank modules, MT/s.
const DDR5_RATES: &[u32] = &[
    3200, 3600, 4000, 4400, 4800, 5200, 5600, 6000, 6400, 6800, 7200, 7600, 8000, 8400, 8800, 9200,
    12800,
];

/// The rates that a generation's standard names, lowest first; empty where none are held.
pub fn standard_rates(generation: Generation) -> &'static [u32] {
    match generation {
        Generation::Ddr(2) => DDR2_RATES,
        Generation::Ddr(3) => DDR3_RATES,
        Generation::Ddr(4) => DDR4_RATES,
        Generation::Ddr(5) => DDR5_RATES,
        _ => &[],
    }
}

/// Whether two rates are one bin: firmware rounds 2666 2/3 to 2666, 2667 or 2668.
pub fn same_rate(a: u32, b: u32) -> bool {
    a.abs_diff(b) <= 2
}

/// The standard rate of a generation that a value is, within rounding.
pub fn standard_rate(rate: u32, generation: Generation) -> Option<u32> {
    let fits = |standard: &&u32| same_rate(**standard, rate);
    standard_rates(generation).iter().find(fits).copied()
}

/// The largest value of the 15-bit size field, MiB (DSP0134 7.18.5): at least this much.
pub const SATURATED_FIELD_MIB: u64 = 0x7FFF;

/// Capacities in which modules are sold, GiB.
const CAPACITIES_GIB: &[u64] = &[
    1, 2, 4, 8, 16, 24, 32, 48, 64, 96, 128, 192, 256, 384, 512, 1024,
];

/// Whether modules of that capacity are sold. Half a GiB and less count as old but usual.
pub fn is_usual_capacity(mib: u64) -> bool {
    (mib < 1024 && mib.is_power_of_two())
        || (mib.is_multiple_of(1024) && CAPACITIES_GIB.contains(&(mib >> 10)))
}

/// The module capacity within 6 % of a size, MiB: undoes decimal units (15625 for 16384).
pub fn nearest_capacity(mib: u64) -> Option<u64> {
    let close = |gib: &&u64| {
        let exact = **gib << 10;
        exact.abs_diff(mib).saturating_mul(100) <= exact.saturating_mul(6)
    };
    let distance = |gib: &&u64| (**gib << 10).abs_diff(mib);
    let nearest = CAPACITIES_GIB.iter().filter(close).min_by_key(distance);
    nearest.map(|gib| gib << 10)
}

/// Splits a text into words and the numbers after them, so that `dimm10` sorts after `dimm9`.
pub fn natural_key(text: &str) -> Vec<(String, u64)> {
    let mut key = Vec::new();
    let mut word = String::new();
    let mut number = String::new();
    for c in text.chars().take(FIELD_LIMIT) {
        if c.is_ascii_digit() {
            number.push(c);
            continue;
        }
        if !number.is_empty() {
            let value = number.parse().unwrap_or(u64::MAX);
            key.push((std::mem::take(&mut word), value));
            number.clear();
        }
        word.push(c.to_ascii_lowercase());
    }
    key.push((word, number.parse().unwrap_or(0)));
    key
}
