//! Clocks for rates, extended speeds, generations to infer.

use super::{codes, device_text, module, of_device, of_table, of_text};
use crate::table::device;
use kitproof::read::inventory::{Code, Fact, Generation};

#[test]
fn ddr3_below_800_is_a_clock() {
    for (shown, rate) in [("667 MHz", 1333), ("533 MT/s", 1066), ("400 MHz", 800)] {
        let shown = [
            ("Type", "DDR3"),
            ("Speed", shown),
            ("Configured Memory Speed", shown),
        ];
        let inventory = of_device(&shown);
        assert_eq!(module(&inventory).rated_mts, Fact::Derived(rate));
        assert_eq!(module(&inventory).configured_mts, Fact::Derived(rate));
    }
}

#[test]
fn ddr3_at_800_can_be_read_in_two_ways() {
    let ddr3 = |more: &[(&str, &str)]| {
        let speed = [
            ("Type", "DDR3"),
            ("Speed", "800 MHz"),
            ("Configured Memory Speed", ""),
        ];
        let all: Vec<(&str, &str)> = more.iter().copied().chain(speed).collect();
        module(&of_device(&all)).rated_mts
    };
    assert_eq!(ddr3(&[]), Fact::Assumed(800));
    assert_eq!(
        ddr3(&[("Part Number", "ERW-3R16-1600")]),
        Fact::Derived(1600)
    );
    assert_eq!(ddr3(&[("Part Number", "ERW-3R16-6400")]), Fact::Read(800));
}

#[test]
fn one_clock_in_a_report_settles_the_doubtful_ones() {
    let device = |speed| {
        let speed = [
            ("Type", "DDR3"),
            ("Speed", speed),
            ("Configured Memory Speed", ""),
        ];
        device_text(&speed)
    };
    let inventory = of_text(&format!("{}{}", device("800 MHz"), device("667 MHz")));
    assert_eq!(module(&inventory).rated_mts, Fact::Derived(1600));
}

#[test]
fn a_running_clock_beside_an_own_rate_is_doubled() {
    let speeds = [
        ("Type", "DDR3"),
        ("Speed", "1333 MHz"),
        ("Configured Memory Speed", "667 MHz"),
    ];
    let inventory = of_device(&speeds);
    assert_eq!(module(&inventory).rated_mts, Fact::Read(1333));
    assert_eq!(module(&inventory).configured_mts, Fact::Derived(1333));
}

/// Both rates of a DDR3 module with these numbers.
fn ddr3_rates(own: &str, running: &str, part: &str) -> (Fact<u32>, Fact<u32>) {
    let inventory = of_device(&[
        ("Type", "DDR3"),
        ("Speed", own),
        ("Configured Memory Speed", running),
        ("Part Number", part),
    ]);
    let own = module(&inventory);
    (own.rated_mts, own.configured_mts)
}

// Survey of 227 reports: 800 for DDR3-1600 parts, in either field or both; below 800 it is always a clock.
#[test]
fn a_likely_own_rate_makes_the_running_one_no_surer() {
    let plain = "ERW-3R16-2x4";
    let rates = |own, running| ddr3_rates(own, running, plain);
    let likely = Fact::Assumed(800);
    assert_eq!(rates("800 MHz", "800 MHz"), (likely, likely));
    assert_eq!(rates("1600 MHz", "800 MHz"), (Fact::Read(1600), likely));
    assert_eq!(rates("Unknown", "800 MHz"), (Fact::Unknown, likely));
    // A part that is made for 800 runs at no more.
    let slow = ddr3_rates("800 MHz", "800 MHz", "ERW-3R16-6400");
    assert_eq!(slow, (Fact::Read(800), Fact::Read(800)));
}

#[test]
fn a_running_clock_below_800_is_doubled_whatever_stands_beside_it() {
    for (running, rate) in [("667 MHz", 1333), ("533 MHz", 1066)] {
        let rates = ddr3_rates("800 MHz", running, "ERW-3R16-2x4");
        assert_eq!(
            rates,
            (Fact::Derived(1600), Fact::Derived(rate)),
            "{running}"
        );
        let rates = ddr3_rates("800 MHz", running, "ERW-3R16-6400");
        assert_eq!(rates, (Fact::Read(800), Fact::Derived(rate)), "{running}");
    }
    let inventory = of_device(&[
        ("Type", "DDR3"),
        ("Speed", "800 MHz"),
        ("Configured Memory Speed", "667 MHz"),
    ]);
    assert!(!codes(&inventory).contains(&Code::RateMayBeClock));
}

// A real report: 2400-grade modules at 1600 on a processor that runs no faster.
#[test]
fn a_running_rate_whose_double_no_module_reaches_is_a_rate() {
    let inventory = of_device(&[
        ("Speed", "2400 MT/s"),
        ("Configured Memory Speed", "1600 MT/s"),
    ]);
    assert_eq!(module(&inventory).configured_mts, Fact::Read(1600));
}

#[test]
fn old_wording_of_the_running_rate_is_read() {
    let text = device_text(&[]).replace("Configured Memory Speed", "Configured Clock Speed");
    assert_eq!(module(&of_text(&text)).configured_mts, Fact::Read(3200));
}

#[test]
fn running_above_the_own_rate_is_noted() {
    let inventory = of_device(&[
        ("Speed", "2400 MT/s"),
        ("Configured Memory Speed", "2933 MT/s"),
    ]);
    assert_eq!(module(&inventory).configured_mts, Fact::Read(2933));
    assert!(codes(&inventory).contains(&Code::ConfiguredAboveRated));
}

// JESD79-5: 1.1 V.
#[test]
fn ddr5_shown_as_out_of_spec_is_inferred() {
    let ddr5 = [
        ("Type", "<OUT OF SPEC>"),
        ("Total Width", "80 bits"),
        ("Speed", "4800 MT/s"),
        ("Configured Memory Speed", "4800 MT/s"),
        ("Configured Voltage", "1.1 V"),
    ];
    let inventory = of_device(&ddr5);
    assert_eq!(
        module(&inventory).generation,
        Fact::Derived(Generation::Ddr(5))
    );
    let nothing = [
        ("Type", "Unknown"),
        ("Configured Voltage", ""),
        ("Speed", ""),
    ];
    let inventory = of_device(&nothing);
    assert_eq!(module(&inventory).generation, Fact::Unknown);
}

#[test]
fn extended_speed_is_read_where_the_short_one_points_to_it() {
    let fast = device(100, "DIMM_A1", "B")
        .byte(0x12, 0x22)
        .word(0x15, 0xFFFF)
        .dword(0x54, 8800)
        .word(0x20, 0xFFFF)
        .dword(0x58, 8000);
    let inventory = of_table(&[fast]);
    assert_eq!(module(&inventory).rated_mts, Fact::Read(8800));
    assert_eq!(module(&inventory).configured_mts, Fact::Read(8000));
}
