//! The record of a module.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::words::{GenerationName, HeightName, KindName, WidthName};
use crate::domain::module::{Module, ModuleFacts, RecordFault, Timing};
use crate::domain::units::{
    Currency, Gigabits, LARGEST_AMOUNT, Mib, Millivolts, Milliwatts, Money, Mts, Picoseconds,
};

/// The facts of a memory module. A fact that is not known is left out; nothing is assumed in its
/// place.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"generation": "DDR4", "kind": "RDIMM", "capacity_mib": 32768, "package_ranks": 2, "stack_height": 1, "width": "x4", "rate_mts": 3200}))]
pub struct ModuleRecord {
    /// What to call it in an answer. Decides nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = "32 GiB of the spare shelf", max_length = 200)]
    pub name: Option<String>,
    /// The DDR generation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub generation: Option<GenerationName>,
    /// The kind of module.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<KindName>,
    /// Capacity in MiB, without ECC.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 32768, minimum = 64, maximum = 4194304)]
    pub capacity_mib: Option<u64>,
    /// Package ranks: what a chip select chooses, whatever is stacked behind it. `2` for a label
    /// that says `2Rx4` and for one that says `2S4Rx4`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 2, minimum = 1, maximum = 8)]
    pub package_ranks: Option<u8>,
    /// Dies stacked behind each package rank (3DS); 1 for a flat module.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 1, minimum = 1, maximum = 16)]
    pub stack_height: Option<u8>,
    /// Width of its memory devices.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width: Option<WidthName>,
    /// Density of one die in Gbit. Follows from capacity, ranks, width and stack height.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 8, minimum = 1, maximum = 128)]
    pub die_gbit: Option<u16>,
    /// ECC bits on the bus: of the channel for DDR3 and DDR4 (0 or 8), of each sub-channel for DDR5
    /// (0, 4 for EC4, 8 for EC8). The correction inside a DDR5 die does not count.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 8, minimum = 0, maximum = 8)]
    pub ecc_bits: Option<u8>,
    /// Rated data rate in MT/s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 3200, minimum = 200, maximum = 20000)]
    pub rate_mts: Option<u32>,
    /// CAS latency at the rated data rate, in clocks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 22, minimum = 2, maximum = 120)]
    pub cas_latency: Option<u8>,
    /// Supply voltages of its devices at which it runs, in mV. DDR4 runs at 1200 and DDR5 at 1100, so
    /// only DDR3 needs it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = json!([1350, 1500]))]
    pub supply_mv: Option<Vec<u16>>,
    /// DDR5: the voltage that the module takes in, in mV: 12000 for RDIMM, 5000 for UDIMM.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 12000, minimum = 500, maximum = 15000)]
    pub input_mv: Option<u16>,
    /// Timing facts that its SPD holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub timing: Option<TimingRecord>,
    /// Height class.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<HeightName>,
    /// Maker of the module.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = "Saltfen Memory (invented)", max_length = 200)]
    pub maker: Option<String>,
    /// The maker's part number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = "SF4-32R24-32", max_length = 100)]
    pub part_number: Option<String>,
    /// The maker's product line, where a board forbids to mix lines.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = "SF4 standard", max_length = 100)]
    pub product_line: Option<String>,
    /// Maker of the DRAM devices on it, where a board forbids to mix them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = "Fenwright Silicon (invented)", max_length = 200)]
    pub dram_maker: Option<String>,
    /// Typical power in mW.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 4200)]
    pub typical_power_mw: Option<u64>,
    /// Peak power in mW.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 6800)]
    pub peak_power_mw: Option<u64>,
    /// Price of one module.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<MoneyRecord>,
    /// Modules in stock.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 40)]
    pub stock: Option<u32>,
    /// Modules are sold in multiples of this.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = 2, minimum = 1, maximum = 1024)]
    pub pack: Option<u32>,
}

/// Timing facts of a module's SPD.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"tck_min_ps": 1250, "taa_min_ps": 13750, "cas_supported": [5, 6, 7, 8, 9, 10, 11]}))]
pub struct TimingRecord {
    /// The shortest clock period that it runs at, in ps.
    #[schema(example = 1250, minimum = 50, maximum = 100000)]
    pub tck_min_ps: u32,
    /// The shortest time from a read command to its data, in ps.
    #[schema(example = 13750, minimum = 1000, maximum = 100000)]
    pub taa_min_ps: u32,
    /// The CAS latencies that it supports, in clocks.
    #[schema(example = json!([5, 6, 7, 8, 9, 10, 11]))]
    pub cas_supported: Vec<u8>,
}

/// An amount of money.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(example = json!({"minor": 4900, "currency": "EUR"}))]
pub struct MoneyRecord {
    /// The amount in minor units of the currency (cents, pence).
    #[schema(example = 4900, minimum = 0, maximum = 100_000_000_000_i64)]
    pub minor: i64,
    /// ISO 4217 code: three upper-case letters.
    #[schema(example = "EUR", min_length = 3, max_length = 3)]
    pub currency: String,
}

/// A file of modules, by catalogue id.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ModulesFile {
    /// Whether the modules are invented (demo data) or real.
    #[schema(example = true)]
    pub invented: bool,
    /// Remarks of the author; nothing reads them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schema(example = "Invented for the demo catalogue of the Eddermouth Reuse Works.")]
    pub note: Option<String>,
    /// The modules: id, then facts. An id is what a request names.
    #[schema(example = json!({"ERW-4R32-2x4": {"generation": "DDR4", "kind": "RDIMM", "capacity_mib": 32768, "package_ranks": 2, "stack_height": 1, "width": "x4", "rate_mts": 3200}}))]
    pub modules: BTreeMap<String, ModuleRecord>,
}

impl MoneyRecord {
    /// The amount in the domain's terms.
    ///
    /// # Errors
    /// A currency that is no ISO 4217 code, or an amount out of range; the pointer is of this record.
    pub fn to_money(&self) -> Result<Money, RecordFault> {
        let currency = Currency::new(&self.currency).ok_or_else(|| {
            RecordFault::new(
                "/currency",
                format!("`{}` is no currency code", self.currency),
                "three upper-case letters as in ISO 4217, for example `EUR`",
            )
        })?;
        if !(0..=LARGEST_AMOUNT).contains(&self.minor) {
            return Err(RecordFault::new(
                "/minor",
                "the amount is out of range",
                format!("between 0 and {LARGEST_AMOUNT} minor units"),
            ));
        }
        Ok(Money {
            minor: self.minor,
            currency,
        })
    }
}

impl ModuleRecord {
    /// The module, checked. `id` is its name unless it has one of its own.
    ///
    /// # Errors
    /// Everything that is wrong with it, with pointers into this record.
    pub fn to_module(&self, id: &str) -> Result<Module, Vec<RecordFault>> {
        let mut faults = Vec::new();
        let facts = self.to_facts(id, &mut faults);
        match Module::checked(facts) {
            Ok(module) if faults.is_empty() => Ok(module),
            Ok(_) => Err(faults),
            Err(more) => {
                faults.extend(more);
                Err(faults)
            }
        }
    }

    fn to_facts(&self, id: &str, faults: &mut Vec<RecordFault>) -> ModuleFacts {
        let price = self.price.as_ref().map(MoneyRecord::to_money);
        let price = price.transpose().unwrap_or_else(|fault| {
            faults.push(RecordFault {
                pointer: format!("/price{}", fault.pointer),
                ..fault
            });
            None
        });
        let volts = |list: &Vec<u16>| list.iter().copied().map(Millivolts).collect();
        ModuleFacts {
            name: self.name.clone().unwrap_or_else(|| id.to_owned()),
            generation: self.generation.map(Into::into),
            kind: self.kind.map(Into::into),
            capacity: self.capacity_mib.map(Mib),
            package_ranks: self.package_ranks,
            stack_height: self.stack_height,
            width: self.width.map(Into::into),
            die_density: self.die_gbit.map(Gigabits),
            ecc_bits: self.ecc_bits,
            rate: self.rate_mts.map(Mts),
            cas_latency: self.cas_latency,
            supply: self.supply_mv.as_ref().map(volts),
            input: self.input_mv.map(Millivolts),
            timing: self
                .timing
                .as_ref()
                .and_then(|timing| timing.checked(faults)),
            height: self.height.map(Into::into),
            maker: self.maker.clone(),
            part_number: self.part_number.clone(),
            product_line: self.product_line.clone(),
            dram_maker: self.dram_maker.clone(),
            switched_off: false,
            typical_power: self.typical_power_mw.map(Milliwatts),
            peak_power: self.peak_power_mw.map(Milliwatts),
            price,
            stock: self.stock,
            pack: self.pack,
        }
    }
}

impl From<&ModuleFacts> for ModuleRecord {
    fn from(facts: &ModuleFacts) -> Self {
        let volts = |list: &Vec<Millivolts>| list.iter().map(|mv| mv.0).collect();
        Self {
            name: Some(facts.name.clone()).filter(|name| !name.is_empty()),
            generation: facts.generation.map(Into::into),
            kind: facts.kind.map(Into::into),
            capacity_mib: facts.capacity.map(|capacity| capacity.0),
            package_ranks: facts.package_ranks,
            stack_height: facts.stack_height,
            width: facts.width.map(Into::into),
            die_gbit: facts.die_density.map(|density| density.0),
            ecc_bits: facts.ecc_bits,
            rate_mts: facts.rate.map(|rate| rate.0),
            cas_latency: facts.cas_latency,
            supply_mv: facts.supply.as_ref().map(volts),
            input_mv: facts.input.map(|mv| mv.0),
            timing: facts.timing.as_ref().map(Into::into),
            height: facts.height.map(Into::into),
            maker: facts.maker.clone(),
            part_number: facts.part_number.clone(),
            product_line: facts.product_line.clone(),
            dram_maker: facts.dram_maker.clone(),
            typical_power_mw: facts.typical_power.map(|power| power.0),
            peak_power_mw: facts.peak_power.map(|power| power.0),
            price: facts.price.map(|price| MoneyRecord {
                minor: price.minor,
                currency: price.currency.code().to_owned(),
            }),
            stock: facts.stock,
            pack: facts.pack,
        }
    }
}

impl From<&Timing> for TimingRecord {
    fn from(timing: &Timing) -> Self {
        Self {
            tck_min_ps: timing.tck_min.0,
            taa_min_ps: timing.taa_min.0,
            cas_supported: timing.cas_supported.clone(),
        }
    }
}

impl TimingRecord {
    fn checked(&self, faults: &mut Vec<RecordFault>) -> Option<Timing> {
        if self.cas_supported.is_empty() {
            faults.push(RecordFault::new(
                "/timing/cas_supported",
                "the list of CAS latencies is empty",
                "list those of the SPD, or leave `timing` out",
            ));
            return None;
        }
        let mut cas_supported = self.cas_supported.clone();
        cas_supported.sort_unstable();
        cas_supported.dedup();
        Some(Timing {
            tck_min: Picoseconds(self.tck_min_ps),
            taa_min: Picoseconds(self.taa_min_ps),
            cas_supported,
        })
    }
}
