//! The record that every inventory reader makes: what a machine says of its own memory.
//!
//! Each fact carries its standing, so that later parts can tell what was read from what was worked
//! out. Capacities are MiB, rates MT/s, voltages mV, widths bits; sockets, channels and the slots
//! of a channel count from 1. The record knows nothing of the domain's types.

use super::note::Note;

/// How far a fact can be relied on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// The report says so.
    Read,
    /// It follows from other facts of the report.
    Derived,
    /// The likeliest reading of something that can be read in two ways.
    Assumed,
    /// The report does not say.
    Unknown,
}

/// A value with its standing; an unknown fact has no value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Fact<T> {
    /// The report says so.
    Read(T),
    /// It follows from other facts of the report.
    Derived(T),
    /// The likeliest reading of something that can be read in two ways.
    Assumed(T),
    /// The report does not say.
    #[default]
    Unknown,
}

impl<T> Fact<T> {
    /// The value, whatever its standing.
    pub fn value(&self) -> Option<&T> {
        match self {
            Self::Read(value) | Self::Derived(value) | Self::Assumed(value) => Some(value),
            Self::Unknown => None,
        }
    }

    /// How far the value can be relied on.
    pub fn standing(&self) -> Standing {
        match self {
            Self::Read(_) => Standing::Read,
            Self::Derived(_) => Standing::Derived,
            Self::Assumed(_) => Standing::Assumed,
            Self::Unknown => Standing::Unknown,
        }
    }

    /// The value, unless it is only the likeliest reading.
    pub fn sure(&self) -> Option<&T> {
        match self {
            Self::Read(value) | Self::Derived(value) => Some(value),
            Self::Assumed(_) | Self::Unknown => None,
        }
    }

    /// A fact that was read, or an unknown one.
    pub fn of(value: Option<T>) -> Self {
        value.map_or(Self::Unknown, Self::Read)
    }

    /// This fact, or the other where this one is unknown.
    #[must_use]
    pub fn or(self, other: Self) -> Self {
        match self {
            Self::Unknown => other,
            known => known,
        }
    }
}

/// The kind of report that was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Format {
    /// The bare SMBIOS structure table (DSP0134).
    SmbiosTable,
    /// An SMBIOS entry point followed by its table in one file.
    SmbiosDump,
    /// The text that `dmidecode` prints.
    DmidecodeText,
    /// Redfish resources (DSP0266) as JSON.
    Redfish,
    /// The JSON that `lshw` prints.
    Lshw,
    /// None of these.
    Unrecognised,
}

/// DRAM generation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Generation {
    /// SDRAM and everything before DDR.
    BeforeDdr,
    /// DDR with its number: 1 to 5.
    Ddr(u8),
    /// Low-power DDR with its number; soldered or on a compression-attached module.
    LowPowerDdr(u8),
}

impl std::fmt::Display for Generation {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::BeforeDdr => f.write_str("SDRAM or older"),
            Self::Ddr(1) => f.write_str("DDR"),
            Self::Ddr(number) => write!(f, "DDR{number}"),
            Self::LowPowerDdr(1) => f.write_str("LPDDR"),
            Self::LowPowerDdr(number) => write!(f, "LPDDR{number}"),
        }
    }
}

/// Module kind. A UDIMM with check bits is a UDIMM whose `ecc` is true.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Unbuffered.
    Udimm,
    /// Registered.
    Rdimm,
    /// Load-reduced.
    Lrdimm,
    /// Multiplexed-rank.
    Mrdimm,
    /// DRAM that is copied to flash when power fails.
    NvdimmN,
    /// Fully buffered (DDR2).
    FbDimm,
    /// Small outline, unbuffered.
    SoDimm,
    /// Small outline, registered.
    SoRdimm,
    /// Mini unbuffered.
    MiniUdimm,
    /// Mini registered.
    MiniRdimm,
    /// Compression attached.
    Camm,
}

impl Kind {
    /// The trade's short name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Udimm => "UDIMM",
            Self::Rdimm => "RDIMM",
            Self::Lrdimm => "LRDIMM",
            Self::Mrdimm => "MRDIMM",
            Self::NvdimmN => "NVDIMM-N",
            Self::FbDimm => "FB-DIMM",
            Self::SoDimm => "SO-DIMM",
            Self::SoRdimm => "SO-RDIMM",
            Self::MiniUdimm => "Mini-UDIMM",
            Self::MiniRdimm => "Mini-RDIMM",
            Self::Camm => "CAMM",
        }
    }
}

/// Error correction of a memory array, as firmware states it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Correction {
    /// None, whether the modules could or not.
    Absent,
    /// Parity only.
    Parity,
    /// Single-bit correction.
    SingleBit,
    /// Multi-bit correction.
    MultiBit,
    /// Cyclic redundancy check.
    Crc,
}

/// The machine and its board.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct System {
    /// Who made the machine.
    pub maker: Fact<String>,
    /// What it is sold as.
    pub product: Fact<String>,
    /// Who made the board.
    pub board_maker: Fact<String>,
    /// The board's model: tells boards apart where the product name is generic.
    pub board: Fact<String>,
}

/// One processor socket that the report describes.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Processor {
    /// The printed name of the socket.
    pub socket_label: Option<String>,
    /// The model name; unknown for an empty socket.
    pub model: Fact<String>,
    /// Who made it.
    pub maker: Fact<String>,
    /// Whether a processor sits in the socket.
    pub populated: Fact<bool>,
    /// Whether it works; false where firmware or its settings have switched it off.
    pub enabled: Fact<bool>,
    /// Number of cores.
    pub cores: Fact<u32>,
}

/// A group of slots that share a stated error correction.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Array {
    /// The structure's handle, where the format has one.
    pub handle: Option<u16>,
    /// Error correction as firmware states it.
    pub correction: Fact<Correction>,
    /// The most that firmware says it takes. Often too low: never reject on it.
    pub maximum_mib: Fact<u64>,
    /// Number of slots that firmware says it has. Often wrong.
    pub slots: Fact<u32>,
}

/// The printed names of a slot. The locator alone often repeats ("DIMM 0" in every channel).
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct SlotName {
    /// The label printed at the slot, mostly.
    pub locator: Option<String>,
    /// What firmware calls the bank; often holds the channel.
    pub bank: Option<String>,
}

/// Whether a slot holds a module.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Occupancy {
    /// A module is there.
    Populated,
    /// No module is there.
    Empty,
    /// A module is there, but its facts cannot be read (it may have failed).
    Unreadable,
    /// The report does not say.
    Unknown,
}

/// What told the place of a slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PlacedBy {
    /// The caller's own mapping from locators to places.
    Mapping,
    /// The bank locator, with the locator for the rest.
    BankText,
    /// The locator alone.
    LocatorText,
    /// Numbers that the management controller gives beside the text.
    LocationNumbers,
    /// Nothing told the channel; the socket may still be known.
    Nothing,
}

/// Where a slot is. All numbers count from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// Processor socket.
    pub socket: Fact<u16>,
    /// Channel of the socket, numbered in the order of the firmware's numbers or letters.
    pub channel: Fact<u16>,
    /// Rank of the firmware's index among the slots of the channel. It says nothing about the
    /// distance from the processor: firmware and print run either way.
    pub index: Fact<u16>,
    /// Position by electrical distance (1 is the farthest); only a mapping tells it.
    pub position: Fact<u16>,
    /// What told it.
    pub by: PlacedBy,
}

/// What is known of one module.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Module {
    /// DRAM generation.
    pub generation: Fact<Generation>,
    /// Module kind.
    pub kind: Fact<Kind>,
    /// Capacity, MiB.
    pub capacity_mib: Fact<u64>,
    /// Ranks as firmware counts them; with stacked chips some firmware counts packages, some
    /// logical ranks.
    pub ranks: Fact<u8>,
    /// Data bits.
    pub data_width: Fact<u16>,
    /// Data and check bits together.
    pub total_width: Fact<u16>,
    /// Whether the module carries check bits.
    pub ecc: Fact<bool>,
    /// The module's own rate, MT/s, as firmware rounds it (2666 or 2667).
    pub rated_mts: Fact<u32>,
    /// The rate it runs at, MT/s.
    pub configured_mts: Fact<u32>,
    /// The voltage it runs at, mV.
    pub configured_mv: Fact<u32>,
    /// Who made it.
    pub maker: Fact<String>,
    /// Who made it by its JEP106 code: continuation count and code.
    pub maker_id: Option<MakerId>,
    /// The maker's part number.
    pub part_number: Fact<String>,
    /// Further numbers by which it goes (a server maker's spare number, say).
    pub other_part_numbers: Vec<String>,
    /// Serial number, where it is not a placeholder.
    pub serial: Option<String>,
    /// Whether it works.
    pub service: Service,
}

/// Whether a module works, as far as a report tells it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Service {
    /// The report does not say.
    #[default]
    Untold,
    /// It is in use.
    InUse,
    /// It is there and gives no memory: firmware or somebody has switched it off.
    SwitchedOff,
    /// It may be failing, or be used in part only.
    InDoubt,
}

impl Service {
    /// The stable name, where the report says anything.
    pub const fn name(self) -> Option<&'static str> {
        match self {
            Self::Untold => None,
            Self::InUse => Some("in_use"),
            Self::SwitchedOff => Some("switched_off"),
            Self::InDoubt => Some("in_doubt"),
        }
    }
}

/// A JEP106 identity: the number of continuation codes and the code with its parity bit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MakerId {
    /// Continuation codes before the code; the JEP106 bank is one more.
    pub continuations: u8,
    /// The code, bit 7 being its parity.
    pub code: u8,
}

/// One slot of the machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slot {
    /// The structure's handle, where the format has one.
    pub handle: Option<u16>,
    /// Its printed names.
    pub name: SlotName,
    /// Where it is.
    pub place: Place,
    /// Whether it holds a module.
    pub occupancy: Occupancy,
    /// The module; `None` unless populated.
    pub module: Option<Module>,
}

/// A slot that the caller has to place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AskedSlot {
    /// Index into [`Inventory::slots`].
    pub slot: usize,
    /// The names to show.
    pub name: SlotName,
    /// Whether it holds a module.
    pub occupancy: Occupancy,
    /// The socket, where at least that is known.
    pub socket: Fact<u16>,
}

/// Whether every slot could be placed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Placing {
    /// Socket, channel and the slot of the channel are known for each.
    Told,
    /// Someone has to say where these slots are.
    Ask(Vec<AskedSlot>),
}

/// All that one report tells.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Inventory {
    /// The kind of report.
    pub format: Format,
    /// The machine and its board.
    pub system: System,
    /// Processor sockets.
    pub processors: Vec<Processor>,
    /// Memory arrays.
    pub arrays: Vec<Array>,
    /// Slots, in the order of the report (Redfish: sorted by name).
    pub slots: Vec<Slot>,
    /// Sum of the address ranges that firmware maps to memory, MiB.
    pub mapped_mib: Option<u64>,
    /// Whether every slot could be placed.
    pub placing: Placing,
    /// What the reader noticed.
    pub notes: Vec<Note>,
}

impl Inventory {
    /// Number of slots that hold a module, readable or not.
    pub fn populated(&self) -> usize {
        let holds =
            |slot: &&Slot| matches!(slot.occupancy, Occupancy::Populated | Occupancy::Unreadable);
        self.slots.iter().filter(holds).count()
    }

    /// Sum of the known capacities, MiB.
    pub fn capacity_mib(&self) -> u64 {
        let modules = self.slots.iter().filter_map(|slot| slot.module.as_ref());
        modules
            .filter_map(|module| module.capacity_mib.value())
            .fold(0, |sum, mib| sum.saturating_add(*mib))
    }
}
