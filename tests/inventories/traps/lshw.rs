//! Traps of lshw.

use super::{codes, module, of_text};
use kitproof::read::inventory::{Code, Fact, Format, Generation, Kind, Occupancy};

pub fn lshw_bank(more: &str) -> String {
    format!(
        r#"[{{"id":"memory","class":"memory","size":68719476736,
            "configuration":{{"errordetection":"multi-bit-ecc"}}}},
            {{"id":"bank:0","class":"memory","handle":"DMI:002F","slot":"DIMM_A1","width":64,
            "product":"ERW-5R64-2x4"{more}}}]"#
    )
}

// lshw keeps the rate in Hz in 32 bits: 4.8e9 mod 2^32.
#[test]
fn lshw_clock_cut_to_32_bits_is_put_right() {
    let json = lshw_bank(r#","size":68719476736,"clock":505032704"#);
    let inventory = of_text(&json);
    assert_eq!(inventory.format, Format::Lshw);
    let module = module(&inventory);
    assert_eq!(module.rated_mts, Fact::Read(4800));
    assert_eq!(module.generation, Fact::Derived(Generation::Ddr(5)));
    assert_eq!(module.ecc, Fact::Derived(true));
    assert!(codes(&inventory).contains(&Code::RateWrapped));
    assert_eq!(inventory.slots[0].handle, Some(0x2F));
}

#[test]
fn lshw_rate_is_that_of_the_description() {
    let json = lshw_bank(
        r#","size":68719476736,"clock":505032704,
        "description":"DIMM DDR4 Synchronous LRDIMM 3200 MHz (0.3 ns)""#,
    );
    let inventory = of_text(&json);
    assert_eq!(module(&inventory).rated_mts, Fact::Read(3200));
    assert_eq!(module(&inventory).kind, Fact::Read(Kind::Lrdimm));
}

#[test]
fn lshw_sum_without_sizes_is_divided_over_equal_banks() {
    let inventory = of_text(&lshw_bank(""));
    assert_eq!(module(&inventory).capacity_mib, Fact::Read(64 << 10));
    assert!(codes(&inventory).contains(&Code::CapacityShared));
    let empty = lshw_bank(r#","description":"DIMM [empty]""#);
    assert_eq!(of_text(&empty).slots[0].occupancy, Occupancy::Empty);
}

// `[empty]` marks a size of nought (lshw `src/core/dmi.cc`); a size that firmware does not know is none.
#[test]
fn lshw_bank_without_a_size_is_not_called_empty() {
    let bank = |more: &str| {
        let json = format!(
            r#"[{{"id":"memory","class":"memory","size":68719476736}},
            {{"id":"bank:0","class":"memory","slot":"DIMM_A1"{more}}}]"#
        );
        of_text(&json).slots[0].occupancy
    };
    let description =
        r#","description":"DIMM DDR3 Synchronous Registered (Buffered) 1600 MHz (0.6 ns)""#;
    assert_eq!(bank(description), Occupancy::Unknown);
    assert_eq!(bank(""), Occupancy::Unknown);
    assert_eq!(
        bank(r#","description":"DIMM DDR3 [empty]""#),
        Occupancy::Empty
    );
    // A sample of OpenStack ironic-python-agent (Apache-2.0).
    let named = r#","product":"NO DIMM","vendor":"NO DIMM","serial":"NO DIMM""#;
    assert_eq!(bank(named), Occupancy::Empty);
    // The sum is not shared out where it may belong to a bank that tells nothing.
    let mixed = lshw_bank(r#"},{"id":"bank:1","class":"memory","slot":"DIMM_B1""#);
    let mixed = of_text(&mixed);
    assert_eq!(mixed.slots[0].occupancy, Occupancy::Unreadable);
    assert_eq!(mixed.slots[1].occupancy, Occupancy::Unknown);
}

// Releases before the JSON rewrite left out brackets and commas (lshw pull requests 28 and 48).
#[test]
fn lshw_json_without_brackets_or_commas_is_repaired() {
    let bank = |slot: &str| {
        format!(r#"{{"id":"bank:0","class":"memory","slot":"{slot}","size":17179869184}}"#)
    };
    let json = format!("{}\n{}", bank("DIMM_A1"), bank("DIMM_B1"));
    let inventory = of_text(&json);
    assert_eq!(inventory.slots.len(), 2);
    assert!(codes(&inventory).contains(&Code::JsonRepaired));
    let cut = of_text(&format!("{json},\n{{\"id\":"));
    assert_eq!(cut.slots.len(), 2);
    assert!(codes(&cut).contains(&Code::JsonBroken));
}
