//! From what a report tells of one module to what it means: every reader ends here.

use super::facts;
use super::maker;
use super::note::{Code, Note};
use super::rates::{self, Clocks};
use super::record::{Correction, Fact, Generation, Kind, MakerId, Module, Service};

/// What a report tells of one module, before it is judged. Placeholders are still in.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Told {
    /// The generation, if it is named.
    pub generation: Option<Generation>,
    /// The words or code that should name it.
    pub generation_text: String,
    /// The kind, if it is named.
    pub kind: Option<Kind>,
    /// Whether the report names two kinds that exclude each other.
    pub kind_contradictory: bool,
    /// The words that should name it.
    pub kind_text: String,
    /// Capacity, MiB.
    pub capacity_mib: Option<u64>,
    /// Whether the capacity is the largest that the field can hold.
    pub saturated: bool,
    /// Ranks.
    pub ranks: Option<u32>,
    /// Data bits.
    pub data_width: Option<u32>,
    /// Data and check bits.
    pub total_width: Option<u32>,
    /// Error correction stated for the module itself.
    pub correction: Option<Correction>,
    /// Its own rate, or clock.
    pub rated: Option<u32>,
    /// The rate or clock at which it runs.
    pub configured: Option<u32>,
    /// The voltage at which it runs, mV.
    pub configured_mv: Option<u32>,
    /// Maker's name or code.
    pub maker: Option<String>,
    /// Maker's code from a field of its own.
    pub maker_id: Option<MakerId>,
    /// Part number.
    pub part_number: Option<String>,
    /// Other numbers.
    pub other_part_numbers: Vec<String>,
    /// Serial number.
    pub serial: Option<String>,
    /// A technology that is not plain DRAM.
    pub technology: Option<String>,
    /// Whether it works.
    pub service: Service,
}

/// What the rest of the report contributes to the reading of a module.
#[derive(Debug, Clone, Copy, Default)]
pub struct Context {
    /// Error correction of the module's array.
    pub correction: Option<Correction>,
    /// Whether firmware is known to print clocks for rates.
    pub clocks: Clocks,
}

/// Collects the notes of one slot.
pub struct SlotNotes<'a> {
    /// Where they go.
    pub notes: &'a mut Vec<Note>,
    /// The slot's index.
    pub slot: usize,
}

impl SlotNotes<'_> {
    /// Adds a note.
    pub fn add(&mut self, code: Code, params: Vec<(&'static str, super::note::Param)>) {
        self.notes.push(Note::slot(code, self.slot, params));
    }
}

/// Judges one populated slot.
pub fn module(told: &Told, context: Context, notes: &mut SlotNotes<'_>) -> Module {
    let (data_width, total_width) = widths(told, notes);
    let generation = generation(told, notes);
    let rates = rates::judge(told, generation.value().copied(), context.clocks, notes);
    let kind = kind(told, notes);
    let maker = maker::maker(told.maker.as_deref(), told.maker_id);
    if let Some(given) = maker.from {
        notes.add(Code::MakerFromCode, vec![("given", given.into())]);
    }
    if let Some(technology) = &told.technology {
        notes.add(
            Code::NotPlainDram,
            vec![("given", technology.as_str().into())],
        );
    }
    Module {
        generation,
        kind,
        capacity_mib: capacity(told, notes),
        ranks: ranks(
            told,
            generation.value().copied(),
            kind.value().copied(),
            notes,
        ),
        data_width,
        total_width,
        ecc: ecc(told, data_width, total_width, context.correction, notes),
        rated_mts: rates.rated,
        configured_mts: rates.configured,
        configured_mv: voltage(told.configured_mv, notes),
        maker: maker.name,
        maker_id: maker.id,
        part_number: part_number(told, notes),
        other_part_numbers: other_numbers(told),
        serial: told.serial.as_deref().and_then(facts::meaning),
        service: told.service,
    }
}

/// The least that a saturated 15-bit size field stands for, MiB (DSP0134 7.18.5).
const SATURATED_MIB: u64 = 32 * 1024;

fn capacity(told: &Told, notes: &mut SlotNotes<'_>) -> Fact<u64> {
    if told.saturated {
        return Fact::Assumed(SATURATED_MIB);
    }
    if let Some(mib) = told.capacity_mib
        && !facts::is_usual_capacity(mib)
    {
        notes.add(Code::CapacityOdd, vec![("mib", mib.into())]);
    }
    Fact::of(told.capacity_mib)
}

fn generation(told: &Told, notes: &mut SlotNotes<'_>) -> Fact<Generation> {
    if let Some(generation) = told.generation {
        return Fact::Read(generation);
    }
    let given = || ("given", quoted(&told.generation_text));
    match infer_generation(told) {
        Some((generation, basis)) => {
            let params = vec![("basis", basis.into()), given()];
            notes.add(Code::GenerationInferred, params);
            Fact::Derived(generation)
        }
        None => {
            notes.add(Code::GenerationUnknown, vec![given()]);
            Fact::Unknown
        }
    }
}

fn quoted(text: &str) -> super::note::Param {
    let cleaned = facts::clean(text);
    let shown = if cleaned.is_empty() {
        "nothing"
    } else {
        &cleaned
    };
    shown.into()
}

/// DDR5 starts where DDR4 ends (JESD79-4 names nothing over 3200 MT/s); from here up even
/// overclocked DDR4 is left behind.
const SURELY_DDR5_MTS: u32 = 4400;

/// Supply voltages: DDR3 1.5 V or 1.35 V (JESD79-3, -3-1), DDR4 1.2 V (JESD79-4), DDR5 1.1 V
/// (JESD79-5). Only DDR5 has modules 80 bits wide (two sub-channels of 40).
fn infer_generation(told: &Told) -> Option<(Generation, &'static str)> {
    let rate = told.rated.max(told.configured);
    if rate.is_some_and(|rate| (SURELY_DDR5_MTS..=20_000).contains(&rate)) {
        return Some((Generation::Ddr(5), "the rate"));
    }
    if told.total_width == Some(80) && told.data_width == Some(64) {
        return Some((Generation::Ddr(5), "the width of 80 bits"));
    }
    let within = |least: u32, most: u32| rate.is_none_or(|rate| (least..=most).contains(&rate));
    match told.configured_mv? {
        1060..=1140 if within(1600, 20_000) => Some((Generation::Ddr(5), "1.1 V and the rate")),
        1160..=1260 if within(800, 3200) => Some((Generation::Ddr(4), "1.2 V and the rate")),
        1300..=1575 if within(400, 2133) => Some((Generation::Ddr(3), "the voltage and the rate")),
        _ => None,
    }
}

/// A technology of persistent memory says more than the type detail, which shows the register only.
fn kind(told: &Told, notes: &mut SlotNotes<'_>) -> Fact<Kind> {
    let technology = told.technology.as_deref().unwrap_or_default();
    let technology = technology.replace('_', "-").to_ascii_uppercase();
    if technology == "NVDIMM-N" {
        return Fact::of(Some(Kind::NvdimmN));
    }
    // Any other (persistent memory by whatever name, a cache) has no kind of its own here.
    if !technology.is_empty() {
        return Fact::of(None);
    }
    if told.kind_contradictory {
        notes.add(Code::KindContradictory, vec![]);
    } else if told.kind.is_none() {
        let given = quoted(&told.kind_text);
        notes.add(Code::KindNotStated, vec![("given", given)]);
    }
    Fact::of(told.kind)
}

fn ranks(
    told: &Told,
    generation: Option<Generation>,
    kind: Option<Kind>,
    notes: &mut SlotNotes<'_>,
) -> Fact<u8> {
    let Some(given) = told.ranks.filter(|ranks| *ranks > 0) else {
        notes.add(Code::RanksUnknown, vec![]);
        return Fact::Unknown;
    };
    // A controller may pass on the whole attributes byte, whose upper half is reserved.
    let ranks = if given > 15 { given & 0x0F } else { given };
    let Some(ranks) = u8::try_from(ranks)
        .ok()
        .filter(|ranks| matches!(ranks, 1 | 2 | 4 | 8))
    else {
        notes.add(Code::RanksNotBelievable, vec![("ranks", given.into())]);
        return Fact::Unknown;
    };
    let stackable = matches!(generation, Some(Generation::Ddr(4 | 5)));
    if ranks >= 4 && stackable && matches!(kind, Some(Kind::Rdimm | Kind::NvdimmN)) {
        let params = vec![("ranks", u32::from(ranks).into())];
        notes.add(Code::RanksMayCountStack, params);
    }
    Fact::Read(ranks)
}

/// Whether a module of these widths exists: 64 data bits with none, one or (DDR5) two sets of
/// eight check bits; or one DDR5 sub-channel.
fn believable(data: u32, total: u32) -> bool {
    matches!((data, total), (64, 64 | 72 | 80) | (32, 32 | 36 | 40))
}

/// The number whose hexadecimal digits a decimal number shows: 48 for 0x48 = 72.
fn from_hex_digits(shown: u32) -> Option<u32> {
    u32::from_str_radix(&shown.to_string(), 16).ok()
}

type Widths = (Fact<u16>, Fact<u16>);

fn widths(told: &Told, notes: &mut SlotNotes<'_>) -> Widths {
    let given = |width: Option<u32>| width.filter(|bits| *bits != 0 && *bits != 0xFFFF);
    match (given(told.data_width), given(told.total_width)) {
        (Some(data), Some(total)) => both_widths(data, total, notes),
        (Some(data), None) if matches!(data, 32 | 64) => (bits(data, Fact::Read), Fact::Unknown),
        (Some(data), None) if believable(64, data) => {
            (Fact::Derived(64), bits(data, Fact::Derived))
        }
        (None, Some(total)) if believable(64, total) && total > 64 => {
            (Fact::Derived(64), bits(total, Fact::Read))
        }
        _ => (Fact::Unknown, Fact::Unknown),
    }
}

fn both_widths(data: u32, total: u32, notes: &mut SlotNotes<'_>) -> Widths {
    let params = || vec![("total", total.into()), ("data", data.into())];
    if believable(data, total) {
        return (bits(data, Fact::Read), bits(total, Fact::Read));
    }
    if believable(total, data) {
        notes.add(Code::WidthsSwapped, params());
        return (bits(total, Fact::Derived), bits(data, Fact::Derived));
    }
    if let (Some(data), Some(total)) = (from_hex_digits(data), from_hex_digits(total))
        && believable(data, total)
    {
        notes.add(Code::WidthsHexDigits, params());
        return (bits(data, Fact::Derived), bits(total, Fact::Derived));
    }
    notes.add(Code::WidthNotBelievable, params());
    match (data, total) {
        (32 | 64, _) => (bits(data, Fact::Read), Fact::Unknown),
        (72 | 80, same) if same == data => (Fact::Derived(64), bits(data, Fact::Derived)),
        _ => (Fact::Unknown, Fact::Unknown),
    }
}

fn bits(width: u32, standing: fn(u16) -> Fact<u16>) -> Fact<u16> {
    u16::try_from(width).map_or(Fact::Unknown, standing)
}

fn ecc(
    told: &Told,
    data: Fact<u16>,
    total: Fact<u16>,
    array: Option<Correction>,
    notes: &mut SlotNotes<'_>,
) -> Fact<bool> {
    if let (Some(data), Some(total)) = (data.value(), total.value()) {
        return Fact::Derived(total > data);
    }
    match told.correction {
        Some(Correction::Absent) => return Fact::Read(false),
        Some(Correction::SingleBit | Correction::MultiBit) => return Fact::Read(true),
        _ => {}
    }
    if matches!(array, Some(Correction::SingleBit | Correction::MultiBit)) {
        notes.add(Code::EccFromArray, vec![]);
        return Fact::Derived(true);
    }
    Fact::Unknown
}

fn voltage(given: Option<u32>, notes: &mut SlotNotes<'_>) -> Fact<u32> {
    match given {
        None | Some(0) => Fact::Unknown,
        Some(mv @ 1000..=2700) => Fact::Read(mv),
        Some(mv) => {
            notes.add(Code::VoltageNotBelievable, vec![("mv", mv.into())]);
            Fact::Unknown
        }
    }
}

fn part_number(told: &Told, notes: &mut SlotNotes<'_>) -> Fact<String> {
    let Some(part) = told.part_number.as_deref().and_then(facts::meaning) else {
        return Fact::Unknown;
    };
    let given = || ("given", part.as_str().into());
    if let Some(decoded) = decoded_hex(&part) {
        let params = vec![given(), ("decoded", decoded.into())];
        notes.add(Code::PartNumberCoded, params);
    } else if part.chars().all(|c| c.is_ascii_digit()) {
        notes.add(Code::PartNumberNoUse, vec![given()]);
    } else if is_spare_number(&part) {
        notes.add(Code::PartNumberIsSpare, vec![given()]);
    }
    Fact::Read(part)
}

/// Text that a part number spells in hexadecimal (`4D33` is `M3`).
fn decoded_hex(part: &str) -> Option<String> {
    if part.len() < 4 || part.len() % 2 == 1 || !part.chars().all(|c| c.is_ascii_hexdigit()) {
        return None;
    }
    let chars: Option<String> = (0..part.len() / 2)
        .map(|i| u8::from_str_radix(part.get(2 * i..2 * i + 2)?, 16).ok())
        .map(|byte| byte.map(char::from))
        .collect();
    chars.filter(|text| {
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '/' | '.' | ' ');
        text.chars().all(plain)
    })
}

/// `672612-181`, `P11442-191`: six characters, a dash, three digits (common practice of one
/// server maker's spare numbers).
fn is_spare_number(part: &str) -> bool {
    let Some((number, variant)) = part.split_once('-') else {
        return false;
    };
    let digits = |text: &str| text.chars().all(|c| c.is_ascii_digit());
    number.len() == 6
        && variant.len() == 3
        && digits(variant)
        && number.get(1..).is_some_and(digits)
        && number.starts_with(|c: char| c.is_ascii_digit() || c == 'P')
}

fn other_numbers(told: &Told) -> Vec<String> {
    let part = told.part_number.as_deref().and_then(facts::meaning);
    let mut others: Vec<String> = Vec::new();
    for other in told
        .other_part_numbers
        .iter()
        .filter_map(|n| facts::meaning(n))
    {
        if Some(&other) != part.as_ref() && !others.contains(&other) {
            others.push(other);
        }
    }
    others
}
