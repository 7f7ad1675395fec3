//! The facts of a module against each other: what contradicts, and what follows from the rest.

use super::super::units::{Gigabits, LARGEST_PACK_PRICE, Millivolts};
use super::{Generation, Kind, ModuleFacts, RecordFault};

/// Adds what follows from the facts; gives all contradictions at once.
pub(super) fn complete(facts: &mut ModuleFacts) -> Vec<RecordFault> {
    let mut faults = Vec::new();
    check_ranges(facts, &mut faults);
    derive_from_kind(facts, &mut faults);
    derive_supply(facts, &mut faults);
    derive_input(facts, &mut faults);
    if faults.is_empty() {
        derive_organisation(facts, &mut faults);
    }
    faults
}

fn check_ranges(facts: &ModuleFacts, faults: &mut Vec<RecordFault>) {
    let mut within = |pointer: &str, value: Option<u64>, low: u64, high: u64, unit: &str| {
        if let Some(value) = value.filter(|value| !(low..=high).contains(value)) {
            faults.push(RecordFault::new(
                pointer,
                format!("{value}{unit} is out of range"),
                format!("between {low} and {high}{unit}"),
            ));
        }
    };
    within(
        "/capacity_mib",
        facts.capacity.map(|c| c.0),
        64,
        4 << 20,
        " MiB",
    );
    within(
        "/package_ranks",
        facts.package_ranks.map(u64::from),
        1,
        8,
        "",
    );
    within(
        "/stack_height",
        facts.stack_height.map(u64::from),
        1,
        16,
        "",
    );
    within(
        "/die_gbit",
        facts.die_density.map(|d| u64::from(d.0)),
        1,
        128,
        " Gbit",
    );
    within(
        "/rate_mts",
        facts.rate.map(|r| u64::from(r.0)),
        200,
        20_000,
        " MT/s",
    );
    within("/cas_latency", facts.cas_latency.map(u64::from), 2, 120, "");
    within("/pack", facts.pack.map(u64::from), 1, 1024, "");
    for mv in facts.supply.iter().flatten().copied().chain(facts.input) {
        within("/supply_mv", Some(u64::from(mv.0)), 500, 15_000, " mV");
    }
    let pack_price = facts.price.map(|price| {
        let pack = i64::from(facts.pack.unwrap_or(1));
        price.minor.saturating_mul(pack)
    });
    if pack_price.is_some_and(|price| !(0..=LARGEST_PACK_PRICE).contains(&price)) {
        faults.push(RecordFault::new(
            "/price",
            "the price of a pack is out of range",
            format!("between 0 and {LARGEST_PACK_PRICE} minor units"),
        ));
    }
    if facts.supply.as_ref().is_some_and(Vec::is_empty) {
        faults.push(RecordFault::new(
            "/supply_mv",
            "the list of voltages is empty",
            "leave it out if it is not known",
        ));
    }
    if !matches!(facts.ecc_bits, None | Some(0 | 4 | 8)) {
        faults.push(RecordFault::new(
            "/ecc_bits",
            "no module has that many ECC bits",
            "0, 4 or 8",
        ));
    }
}

/// A kind without ECC has no ECC bits; an ECC kind of DDR3 or DDR4 has 8 (72 bits a channel).
fn derive_from_kind(facts: &mut ModuleFacts, faults: &mut Vec<RecordFault>) {
    let Some(kind) = facts.kind else { return };
    let told = facts.ecc_bits;
    let expected = match (kind.has_ecc(), facts.generation) {
        (false, _) => Some(0),
        (true, Some(Generation::Ddr3 | Generation::Ddr4)) => Some(8),
        (true, _) => None,
    };
    let contradicts = |told| match expected {
        Some(expected) => told != expected,
        None => told == 0,
    };
    if let Some(told) = told.filter(|told| contradicts(*told)) {
        let right = expected.map_or("4 or 8".to_owned(), |bits| bits.to_string());
        faults.push(RecordFault::new(
            "/ecc_bits",
            format!("{told} ECC bits contradict the kind {}", kind.name()),
            format!("{right}, or another kind"),
        ));
    }
    facts.ecc_bits = told.or(expected);
}

/// DDR4 devices run at 1.2 V (JESD79-4) and DDR5 devices at 1.1 V (JESD79-5) only; DDR3 has three
/// voltages, so there nothing follows.
fn derive_supply(facts: &mut ModuleFacts, faults: &mut Vec<RecordFault>) {
    if let Some(supply) = &mut facts.supply {
        supply.sort_unstable();
        supply.dedup();
    }
    let (only, name) = match facts.generation {
        Some(generation @ Generation::Ddr4) => (Millivolts(1200), generation.name()),
        Some(generation @ Generation::Ddr5) => (Millivolts(1100), generation.name()),
        Some(Generation::Ddr3) | None => return,
    };
    let supply = facts.supply.get_or_insert_with(|| vec![only]);
    if !supply.is_empty() && !supply.contains(&only) {
        faults.push(RecordFault::new(
            "/supply_mv",
            format!("the voltages contradict the generation {name}"),
            format!("{} mV, or another generation", only.0),
        ));
    }
}

/// A DDR5 module makes its supply voltage itself: RDIMM and their like take in 12 V, UDIMM and
/// SO-DIMM 5 V (from memory: JESD305 and JESD308). Of an NVDIMM-N no source tells it, so it must be told.
fn derive_input(facts: &mut ModuleFacts, faults: &mut Vec<RecordFault>) {
    let (Some(Generation::Ddr5), Some(kind)) = (facts.generation, facts.kind) else {
        return;
    };
    let only = match kind {
        Kind::NvdimmN => return,
        Kind::Rdimm | Kind::Lrdimm | Kind::Mrdimm => Millivolts(12_000),
        Kind::Udimm
        | Kind::EccUdimm
        | Kind::SoDimm
        | Kind::EccSoDimm
        | Kind::Cudimm
        | Kind::EccCudimm => Millivolts(5_000),
    };
    let told = *facts.input.get_or_insert(only);
    if told != only {
        faults.push(RecordFault::new(
            "/input_mv",
            format!("{} mV contradict the kind {}", told.0, kind.name()),
            format!("{} mV, or another kind", only.0),
        ));
    }
}

/// capacity = package ranks × stack × (64 ÷ width) × die density ÷ 8, so each follows from the rest.
fn derive_organisation(facts: &mut ModuleFacts, faults: &mut Vec<RecordFault>) {
    let (Some(capacity), Some(ranks), Some(width)) =
        (facts.capacity, facts.package_ranks, facts.width)
    else {
        return;
    };
    // MiB that the module would hold if its dies were of 1 Gbit and not stacked.
    let unit = u64::from(ranks) * (64 / width.bits()) * 128;
    let product = capacity.0 / unit;
    if !capacity.0.is_multiple_of(unit) || product == 0 {
        faults.push(RecordFault::new(
            "/capacity_mib",
            format!(
                "{} MiB do not divide into {ranks} ranks of {} devices",
                capacity.0,
                width.name()
            ),
            "check capacity, package ranks and width against the label",
        ));
        return;
    }
    match (facts.stack_height, facts.die_density) {
        (Some(height), None) if product.is_multiple_of(u64::from(height)) => {
            facts.die_density = u16::try_from(product / u64::from(height))
                .ok()
                .map(Gigabits);
        }
        (None, Some(density)) if product.is_multiple_of(u64::from(density.0)) => {
            facts.stack_height = u8::try_from(product / u64::from(density.0)).ok();
        }
        (Some(height), Some(density)) if u64::from(height) * u64::from(density.0) == product => {}
        (None, None) => {}
        _ => faults.push(RecordFault::new(
            "/die_gbit",
            format!(
                "{ranks} ranks of {} devices for {} MiB need {product} Gbit behind each device",
                width.name(),
                capacity.0
            ),
            "stack height times die density must give that",
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Generation, Kind, Module, ModuleFacts, Width};
    use crate::domain::units::{Gigabits, Mib, Millivolts};

    fn facts() -> ModuleFacts {
        ModuleFacts {
            generation: Some(Generation::Ddr4),
            kind: Some(Kind::Rdimm),
            capacity: Some(Mib::gib(32)),
            package_ranks: Some(2),
            width: Some(Width::X4),
            ..ModuleFacts::default()
        }
    }

    #[test]
    fn the_die_density_follows_from_the_organisation() {
        let flat = Module::checked(ModuleFacts {
            stack_height: Some(1),
            ..facts()
        })
        .unwrap();
        assert_eq!(flat.die_density, Some(Gigabits(8)));
        assert_eq!(flat.ecc_bits, Some(8));
        assert_eq!(flat.supply.as_deref(), Some(&[Millivolts(1200)][..]));
        let told = Module::checked(ModuleFacts {
            die_density: Some(Gigabits(4)),
            ..facts()
        })
        .unwrap();
        assert_eq!(
            (told.stack_height, told.logical_ranks()),
            (Some(2), Some(4))
        );
    }

    #[test]
    fn nothing_is_derived_from_what_nobody_told() {
        let module = Module::checked(facts()).unwrap();
        assert_eq!(
            (
                module.die_density,
                module.stack_height,
                module.logical_ranks()
            ),
            (None, None, None)
        );
    }

    #[test]
    fn contradictions_are_all_named() {
        let faults = Module::checked(ModuleFacts {
            ecc_bits: Some(4),
            package_ranks: Some(0),
            ..facts()
        })
        .unwrap_err();
        assert_eq!(
            faults
                .iter()
                .map(|f| f.pointer.as_str())
                .collect::<Vec<_>>(),
            ["/package_ranks", "/ecc_bits"]
        );
        let faults = Module::checked(ModuleFacts {
            stack_height: Some(1),
            die_density: Some(Gigabits(16)),
            ..facts()
        })
        .unwrap_err();
        assert_eq!(faults[0].pointer, "/die_gbit");
    }

    #[test]
    fn voltages_and_ecc_bits_that_the_kind_or_the_generation_rules_out_are_contradictions() {
        let ddr5 = ModuleFacts {
            generation: Some(Generation::Ddr5),
            ..facts()
        };
        let rdimm = Module::checked(ddr5.clone()).unwrap();
        assert_eq!(rdimm.input, Some(Millivolts(12_000)));
        let nvdimm = Module::checked(ModuleFacts {
            generation: Some(Generation::Ddr5),
            kind: Some(Kind::NvdimmN),
            ..ModuleFacts::default()
        });
        assert_eq!(nvdimm.map(|own| own.input), Ok(None));
        let faults = Module::checked(ModuleFacts {
            ecc_bits: Some(0),
            supply: Some(vec![Millivolts(1200)]),
            input: Some(Millivolts(5000)),
            ..ddr5
        })
        .unwrap_err();
        let pointers: Vec<&str> = faults.iter().map(|f| f.pointer.as_str()).collect();
        assert_eq!(pointers, ["/ecc_bits", "/supply_mv", "/input_mv"]);
    }
}
