//! From a module of an inventory report.
//!
//! Firmware tells less than a label: neither the device width nor whether dies are stacked, and from
//! four ranks on some firmware counts logical ranks. What follows from none of its numbers is left
//! unknown.

use super::{Known, Member, Taker, volts, volts_text};
use crate::domain::module as domain;
use crate::domain::units::{Mib, Mts};
use crate::read::fact::{Fact, Standing};
use crate::read::inventory::record as report;
use crate::read::inventory::{same_rate, standard_rate};

/// What is known of a module of a report. `name` is what to call it.
pub fn of_report(module: &report::Module, name: &str) -> Known {
    let mut taker = Taker::default();
    let generation = fact(&module.generation);
    let number = generation.get();
    let facts = domain::ModuleFacts {
        name: name.to_owned(),
        generation: taker.take(
            Member::Generation,
            &generation,
            |generation| generation_of(*generation),
            ToString::to_string,
        ),
        kind: kind(&mut taker, module),
        capacity: taker.take(
            Member::Capacity,
            &fact(&module.capacity_mib),
            |mib| Some(Mib(*mib)),
            |mib| format!("{mib} MiB"),
        ),
        package_ranks: taker.same(Member::PackageRanks, &ranks(module)),
        stack_height: taker.same(Member::StackHeight, &stack_height(module)),
        ecc_bits: taker.same(Member::EccBits, &ecc_bits(module)),
        rate: taker.take(
            Member::Rate,
            &fact(&module.rated_mts),
            |rate| Some(Mts(trade_rate(*rate, number))),
            |rate| format!("{} MT/s", trade_rate(*rate, number)),
        ),
        supply: taker.take(
            Member::Supply,
            &supply(module),
            |list| Some(volts(list)),
            |list| volts_text(list),
        ),
        maker: taker.same(Member::Maker, &fact(&module.maker)),
        part_number: taker.same(Member::PartNumber, &fact(&module.part_number)),
        switched_off: module.service == report::Service::SwitchedOff,
        ..domain::ModuleFacts::default()
    };
    taker.finish(facts)
}

/// A report's fact in the terms of the readers of single modules.
fn fact<T: Clone>(fact: &report::Fact<T>) -> Fact<T> {
    let standing = match fact.standing() {
        report::Standing::Read => Standing::Read,
        report::Standing::Derived => Standing::Derived,
        report::Standing::Assumed => Standing::Assumed,
        report::Standing::Unknown => Standing::Unknown,
    };
    Fact::of(fact.value().cloned(), standing)
}

const fn generation_of(generation: report::Generation) -> Option<domain::Generation> {
    match generation {
        report::Generation::Ddr(3) => Some(domain::Generation::Ddr3),
        report::Generation::Ddr(4) => Some(domain::Generation::Ddr4),
        report::Generation::Ddr(5) => Some(domain::Generation::Ddr5),
        _ => None,
    }
}

/// A report's kind does not say whether an unbuffered module has ECC; its check bits do.
fn kind(taker: &mut Taker, module: &report::Module) -> Option<domain::Kind> {
    let kind = fact(&module.kind);
    let ecc = fact(&module.ecc);
    let known = kind_of(kind.get(), ecc.get());
    let unbuffered = matches!(kind.get(), Some(report::Kind::Udimm | report::Kind::SoDimm));
    let standing = if unbuffered {
        // It hangs on the check bits, so it is no surer than they are.
        kind.standing().min(ecc.standing()).min(Standing::Derived)
    } else if is_registered(module) && ecc.get() == Some(false) {
        // Registered modules without check bits are not made: one of the two was misread.
        Standing::Assumed
    } else {
        kind.standing()
    };
    let settled = Fact::of(kind.get().map(|kind| (kind, known)), standing);
    taker.take(
        Member::Kind,
        &settled,
        |(_, known)| *known,
        |(kind, known)| known.map_or(kind.name(), domain::Kind::name).to_owned(),
    )
}

fn is_registered(module: &report::Module) -> bool {
    matches!(
        module.kind.value(),
        Some(
            report::Kind::Rdimm
                | report::Kind::Lrdimm
                | report::Kind::Mrdimm
                | report::Kind::NvdimmN
        )
    )
}

fn kind_of(kind: Option<report::Kind>, ecc: Option<bool>) -> Option<domain::Kind> {
    match (kind?, ecc) {
        (report::Kind::Udimm, Some(true)) => Some(domain::Kind::EccUdimm),
        (report::Kind::Udimm, Some(false)) => Some(domain::Kind::Udimm),
        (report::Kind::SoDimm, Some(true)) => Some(domain::Kind::EccSoDimm),
        (report::Kind::SoDimm, Some(false)) => Some(domain::Kind::SoDimm),
        (report::Kind::Rdimm, _) => Some(domain::Kind::Rdimm),
        (report::Kind::Lrdimm, _) => Some(domain::Kind::Lrdimm),
        (report::Kind::Mrdimm, _) => Some(domain::Kind::Mrdimm),
        (report::Kind::NvdimmN, _) => Some(domain::Kind::NvdimmN),
        _ => None,
    }
}

/// All ranks of DDR3 are package ranks. Of later modules, two follow to be: stacked ones with two package
/// ranks, all that labels are known of, have four logical ranks at least. More may be logical ones.
fn ranks(module: &report::Module) -> Fact<u8> {
    let ranks = fact(&module.ranks);
    let is_ddr3 = module.generation.value() == Some(&report::Generation::Ddr(3));
    match ranks.get() {
        Some(count) if count > 2 && !is_ddr3 => ranks.at_most(Standing::Assumed),
        Some(2) if !is_ddr3 && is_registered(module) => ranks.at_most(Standing::Derived),
        _ => ranks,
    }
}

/// DDR3 modules are flat as far as their labels and images go; later ones may be stacked, and a report
/// does not tell.
fn stack_height(module: &report::Module) -> Fact<u8> {
    let generation = fact(&module.generation);
    generation.derive(|generation| (*generation == report::Generation::Ddr(3)).then_some(1))
}

/// Check bits: 8 of a DDR3 or DDR4 channel; on DDR5 the widths tell those of a sub-channel.
fn ecc_bits(module: &report::Module) -> Fact<u8> {
    let (generation, ecc) = (fact(&module.generation), fact(&module.ecc));
    if ecc.get() == Some(false) && is_registered(module) {
        return Fact::unknown();
    }
    let standings = [generation.standing(), ecc.standing()];
    let bits = match (generation.get(), ecc.get()) {
        (Some(_), Some(false)) => Some(0),
        (Some(report::Generation::Ddr(3 | 4)), Some(true)) => Some(8),
        (Some(report::Generation::Ddr(5)), Some(true)) => ddr5_bits(module),
        _ => None,
    };
    Fact::computed(bits, &standings)
}

/// 80 and 72 bits are two sub-channels of 40 and 36; some firmware tells one of them.
fn ddr5_bits(module: &report::Module) -> Option<u8> {
    match (module.data_width.value()?, module.total_width.value()?) {
        (64, 80) | (32, 40) => Some(8),
        (64, 72) | (32, 36) => Some(4),
        _ => None,
    }
}

/// The trade's name of a rate: 2666 where firmware rounds to 2667.
fn trade_rate(rate: u32, generation: Option<report::Generation>) -> u32 {
    let standard = generation.and_then(|generation| standard_rate(rate, generation));
    standard
        .filter(|standard| same_rate(*standard, rate))
        .unwrap_or(rate)
}

/// A DDR3 module that runs at 1.35 V also runs at 1.5 V (JESD79-3-1). One that runs at 1.5 V may or may
/// not run lower.
fn supply(module: &report::Module) -> Fact<Vec<u16>> {
    let (generation, running) = (fact(&module.generation), fact(&module.configured_mv));
    let low = matches!(running.get(), Some(1283..=1450));
    let is_ddr3 = generation.get() == Some(report::Generation::Ddr(3));
    Fact::computed(
        (low && is_ddr3).then(|| vec![1350, 1500]),
        &[generation.standing(), running.standing()],
    )
}
