//! A memory module as a record of facts, each of which may be unknown.

mod check;
mod words;

pub use words::{Generation, HeightClass, Kind, Width};

use super::units::{Gigabits, Mib, Millivolts, Milliwatts, Money, Mts, Picoseconds};
use std::ops::Deref;

/// The timing facts that a module's SPD holds.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Timing {
    /// The shortest clock period that it can run at.
    pub tck_min: Picoseconds,
    /// The shortest time from a read command to its data.
    pub taa_min: Picoseconds,
    /// The CAS latencies that it supports, in clocks, ascending.
    pub cas_supported: Vec<u8>,
}

/// What is known of a module. `None` means that nobody told.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ModuleFacts {
    /// What the caller or the catalogue calls it; never decides anything.
    pub name: String,
    /// DDR generation.
    pub generation: Option<Generation>,
    /// Kind of module.
    pub kind: Option<Kind>,
    /// Capacity.
    pub capacity: Option<Mib>,
    /// Package ranks: what a chip select chooses, whatever is stacked behind it.
    pub package_ranks: Option<u8>,
    /// Dies stacked behind each package rank (3DS); 1 for a flat module.
    pub stack_height: Option<u8>,
    /// Width of its devices.
    pub width: Option<Width>,
    /// Density of one die.
    pub die_density: Option<Gigabits>,
    /// ECC bits on the bus: of the channel for DDR3 and DDR4, of each sub-channel for DDR5.
    pub ecc_bits: Option<u8>,
    /// Rated data rate.
    pub rate: Option<Mts>,
    /// CAS latency at the rated data rate, in clocks.
    pub cas_latency: Option<u8>,
    /// Supply voltages of the devices that it can run at, ascending.
    pub supply: Option<Vec<Millivolts>>,
    /// DDR5: the voltage that the module takes in.
    pub input: Option<Millivolts>,
    /// SPD timing.
    pub timing: Option<Timing>,
    /// Height class.
    pub height: Option<HeightClass>,
    /// Maker of the module.
    pub maker: Option<String>,
    /// Maker's part number.
    pub part_number: Option<String>,
    /// Product line of the maker, where lines must not be mixed.
    pub product_line: Option<String>,
    /// Maker of the DRAM devices on it.
    pub dram_maker: Option<String>,
    /// Whether the machine's firmware has switched it off: it still loads its channel and gives no
    /// memory. Told of an installed module.
    pub switched_off: bool,
    /// Typical power.
    pub typical_power: Option<Milliwatts>,
    /// Peak power.
    pub peak_power: Option<Milliwatts>,
    /// Price of one module.
    pub price: Option<Money>,
    /// Modules in stock.
    pub stock: Option<u32>,
    /// Modules are sold in multiples of this.
    pub pack: Option<u32>,
}

impl ModuleFacts {
    /// Whether firmware offers its DRAM as main memory: that of an NVDIMM-N is persistent memory.
    pub fn is_main_memory(&self) -> bool {
        self.kind != Some(Kind::NvdimmN)
    }

    /// What it adds to the memory that the operating system works in.
    pub fn main_memory(&self) -> Option<Mib> {
        if self.is_main_memory() {
            self.capacity
        } else {
            Some(Mib(0))
        }
    }
}

/// A module whose facts do not contradict each other.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Module {
    facts: ModuleFacts,
    /// See [`super::timing::rating_of`]: asked for on every channel, so worked out once.
    rating: Option<Mts>,
}

/// What is wrong with a record: where (a member's name), and what would be right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RecordFault {
    /// JSON Pointer into the record.
    pub pointer: String,
    /// What is wrong, in lower case and without a full stop.
    pub message: String,
    /// What would be right.
    pub hint: String,
}

impl RecordFault {
    /// A fault at a pointer.
    pub fn new(
        pointer: impl Into<String>,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) -> Self {
        Self {
            pointer: pointer.into(),
            message: message.into(),
            hint: hint.into(),
        }
    }
}

impl Deref for Module {
    type Target = ModuleFacts;

    fn deref(&self) -> &ModuleFacts {
        &self.facts
    }
}

impl Module {
    /// Checks the facts against each other and adds what follows from them.
    ///
    /// # Errors
    /// All contradictions at once.
    pub fn checked(mut facts: ModuleFacts) -> Result<Self, Vec<RecordFault>> {
        let faults = check::complete(&mut facts);
        if faults.is_empty() {
            let rating = super::timing::rating_of(&facts);
            Ok(Self { facts, rating })
        } else {
            Err(faults)
        }
    }

    /// The rate that it is good for: its rating, and no more than its shortest clock period allows.
    pub fn rating(&self) -> Option<Mts> {
        self.rating
    }

    /// The same module, switched off by the machine's firmware.
    pub fn as_switched_off(&self) -> Self {
        let mut off = self.clone();
        off.facts.switched_off = true;
        off
    }

    /// Package ranks times stack height.
    pub fn logical_ranks(&self) -> Option<u8> {
        self.package_ranks?.checked_mul(self.stack_height?)
    }

    /// Whether dies are stacked behind its ranks.
    pub fn is_stacked(&self) -> Option<bool> {
        self.stack_height.map(|height| height > 1)
    }
}
