//! What becomes known, and what does not.

use super::*;
use crate::domain::module::{Generation, HeightClass, Kind, Width};
use crate::domain::units::{Gigabits, Mib, Millivolts, Mts};
use crate::read::inventory::record as report;
use crate::read::label::read_label;

fn label(text: &str) -> (Module, Known) {
    of_reading(&read_label(text).module, text)
        .checked()
        .unwrap()
}

#[test]
fn a_full_label_tells_all_that_the_rules_ask_of_a_registered_module() {
    let (module, known) = label("32GB 2Rx4 PC4-3200AA-RB2-12");
    assert_eq!(module.generation, Some(Generation::Ddr4));
    assert_eq!(module.kind, Some(Kind::Rdimm));
    assert_eq!(module.capacity, Some(Mib::gib(32)));
    assert_eq!(
        (module.package_ranks, module.stack_height),
        (Some(2), Some(1))
    );
    assert_eq!(
        (module.width, module.die_density),
        (Some(Width::X4), Some(Gigabits(8)))
    );
    assert_eq!((module.ecc_bits, module.rate), (Some(8), Some(Mts(3200))));
    assert_eq!(module.cas_latency, Some(22));
    assert_eq!(known.standing(Member::Rate), Standing::Read);
    assert_eq!(known.standing(Member::DieDensity), Standing::Derived);
    assert_eq!(known.standing(Member::Height), Standing::Unknown);
    assert!(known.notes.is_empty(), "{:?}", known.notes);
}

#[test]
fn the_voltage_letter_of_a_ddr3_label_tells_the_voltages() {
    let supply = |text| label(text).0.supply.clone();
    let plain = supply("16GB 2Rx4 PC3-12800R-11-12-E2");
    assert_eq!(plain, Some(vec![Millivolts(1500)]));
    let low = supply("16GB 2Rx4 PC3L-12800R-11-12-E2");
    assert_eq!(low, Some(vec![Millivolts(1350), Millivolts(1500)]));
    // What a U part runs at beside 1.25 V is from memory, so it is not used.
    let (module, known) = label("16GB 2Rx4 PC3U-12800R-11-12-E2");
    assert_eq!(module.supply, None);
    assert_eq!(known.standing(Member::Supply), Standing::Assumed);
    assert_eq!(known.notes[0].code(), "fact-assumed");
    assert_eq!(known.notes[0].text_of("fact"), Some("supply voltage"));
}

#[test]
fn two_dies_with_a_chip_select_each_are_no_stack() {
    let (twin, _) = label("64GB 4DRx4 PC4-2666V-LD2-12");
    assert_eq!((twin.package_ranks, twin.stack_height), (Some(4), Some(1)));
    let (stacked, _) = label("128GB 2S4Rx4 PC4-2666V-RA2-12");
    assert_eq!(
        (stacked.package_ranks, stacked.stack_height),
        (Some(2), Some(4))
    );
    assert_eq!(stacked.logical_ranks(), Some(8));
    // A short form of four ranks may have left the letter out.
    let (short, known) = label("64GB 4Rx4 PC4-2666V-L");
    assert_eq!((short.package_ranks, short.stack_height), (Some(4), None));
    assert_eq!(known.standing(Member::StackHeight), Standing::Assumed);
    assert_eq!(known.facts.die_density, None);
}

#[test]
fn kinds_that_no_board_can_name_are_not_known() {
    let known = of_reading(&read_label("8GB 1Rx8 PC5-6400B-VA0-1010").module, "");
    assert_eq!(known.facts.kind, None);
    assert_eq!(known.notes[0].code(), "fact-not-covered");
}

#[test]
fn heights_become_classes() {
    use crate::read::fact::Fact;
    let class = |mm| {
        let mut module = read_label("32GB 2Rx4 PC4-3200AA-RB2-12").module;
        module.build.height_mm = Fact::read(mm);
        of_reading(&module, "").facts.height
    };
    assert_eq!(class(19), Some(HeightClass::VeryLow));
    assert_eq!(class(31), Some(HeightClass::Low));
    assert_eq!(class(32), Some(HeightClass::Low));
    assert_eq!(class(33), Some(HeightClass::Tall));
}

fn reported(generation: u8, kind: report::Kind, ranks: u8, total: u16) -> report::Module {
    report::Module {
        generation: report::Fact::Read(report::Generation::Ddr(generation)),
        kind: report::Fact::Read(kind),
        capacity_mib: report::Fact::Read(32768),
        ranks: report::Fact::Read(ranks),
        data_width: report::Fact::Read(64),
        total_width: report::Fact::Read(total),
        ecc: report::Fact::Derived(total > 64),
        rated_mts: report::Fact::Read(2667),
        ..report::Module::default()
    }
}

#[test]
fn a_report_tells_neither_width_nor_stack_of_a_ddr4_module() {
    let known = of_report(&reported(4, report::Kind::Rdimm, 2, 72), "x");
    let facts = &known.facts;
    assert_eq!(
        (facts.kind, facts.package_ranks),
        (Some(Kind::Rdimm), Some(2))
    );
    assert_eq!(
        (facts.width, facts.stack_height, facts.ecc_bits),
        (None, None, Some(8))
    );
    assert_eq!(facts.rate, Some(Mts(2666)), "firmware rounds to 2667");
}

#[test]
fn four_ranks_of_a_report_may_be_logical_except_on_ddr3() {
    let known = of_report(&reported(4, report::Kind::Lrdimm, 4, 72), "x");
    assert_eq!(known.facts.package_ranks, None);
    assert_eq!(known.standing(Member::PackageRanks), Standing::Assumed);
    let known = of_report(&reported(3, report::Kind::Lrdimm, 4, 72), "x");
    assert_eq!(
        (known.facts.package_ranks, known.facts.stack_height),
        (Some(4), Some(1))
    );
}

#[test]
fn check_bits_settle_the_kind_of_an_unbuffered_module() {
    let kind = |total| {
        of_report(&reported(4, report::Kind::Udimm, 2, total), "x")
            .facts
            .kind
    };
    assert_eq!(kind(72), Some(Kind::EccUdimm));
    assert_eq!(kind(64), Some(Kind::Udimm));
    let mut untold = reported(4, report::Kind::Udimm, 2, 72);
    untold.ecc = report::Fact::Unknown;
    assert_eq!(of_report(&untold, "x").facts.kind, None);
    // A registered module without check bits was misread: neither is used.
    let facts = of_report(&reported(4, report::Kind::Rdimm, 2, 64), "x").facts;
    assert_eq!((facts.kind, facts.ecc_bits), (None, None));
}

#[test]
fn the_width_of_a_ddr5_module_tells_the_bits_of_a_sub_channel() {
    let bits = |total| {
        of_report(&reported(5, report::Kind::Rdimm, 2, total), "x")
            .facts
            .ecc_bits
    };
    assert_eq!((bits(80), bits(72)), (Some(8), Some(4)));
}

#[test]
fn facts_that_contradict_each_other_are_given_up_with_a_note() {
    let mut odd = of_report(&reported(3, report::Kind::Rdimm, 2, 72), "x");
    odd.facts.width = Some(Width::X16);
    odd.facts.capacity = Some(Mib(1000));
    assert!(odd.clone().checked().is_err());
    let (module, known) = odd.settled();
    let module = module.unwrap();
    assert_eq!(
        (module.generation, module.capacity),
        (Some(Generation::Ddr3), None)
    );
    assert_eq!(known.notes[0].code(), "facts-contradict");
    assert_eq!(known.standing(Member::Capacity), Standing::Unknown);
}
