//! Traps in what is said of one module: sizes, widths, kinds, ranks, names.

use super::{ONE_PROCESSOR, codes, device_text, module, of_device, of_table, of_text};
use crate::table::{Structure, device};

use kitproof::read::inventory::{Code, Fact, Kind, Occupancy};

// DSP0134 7.18.5: 7FFF points to the extended size.
#[test]
fn size_7fff_reads_the_extended_size() {
    let inventory = of_table(&[device(84, "DIMM_A1", "B")
        .word(0x0C, 0x7FFF)
        .dword(0x1C, 0x18000)]);
    assert_eq!(module(&inventory).capacity_mib, Fact::Read(96 << 10));
}

#[test]
fn size_7fff_on_a_short_structure_is_at_least_32_gib() {
    let inventory = of_table(&[device(28, "DIMM_A1", "B").word(0x0C, 0x7FFF)]);
    assert_eq!(module(&inventory).capacity_mib, Fact::Assumed(32 << 10));
    assert!(codes(&inventory).contains(&Code::CapacitySaturated));
    let text = of_device(&[("Size", "32767 MB")]);
    assert_eq!(module(&text).capacity_mib, Fact::Assumed(32 << 10));
}

#[test]
fn mapped_memory_tells_a_saturated_size() {
    let mapped = Structure::new(19, 15, 0x1300).dword(0x08, (128 << 20) - 1);
    let large = |locator| device(28, locator, "B").word(0x0C, 0x7FFF);
    let inventory = of_table(&[large("DIMM_A1"), large("DIMM_B1"), mapped]);
    assert_eq!(inventory.mapped_mib, Some(128 << 10));
    assert_eq!(module(&inventory).capacity_mib, Fact::Derived(64 << 10));
}

#[test]
fn a_size_in_kilobytes_is_no_size_in_megabytes() {
    let inventory = of_table(&[device(28, "DIMM_A1", "B").word(0x0C, 0x8000 | 0x4000)]);
    assert_eq!(module(&inventory).capacity_mib, Fact::Read(16));
}

// DSP0134 7.18.6: 04 is NVDIMM-N, 06 NVDIMM-P; the type detail of both shows the register only.
#[test]
fn the_technology_says_more_than_the_type_detail() {
    let kind = |code| {
        let inventory = of_table(&[device(84, "DIMM_A1", "B")
            .word(0x13, 0x2080)
            .byte(0x28, code)]);
        module(&inventory).kind
    };
    assert_eq!(kind(0x03), Fact::Read(Kind::Rdimm));
    assert_eq!(kind(0x04), Fact::Read(Kind::NvdimmN));
    assert_eq!(kind(0x06), Fact::Unknown);
    let text = of_device(&[
        ("Part Number", "X"),
        ("Rank", "2\n\tMemory Technology: NVDIMM-N"),
    ]);
    assert_eq!(module(&text).kind, Fact::Read(Kind::NvdimmN));
}

// DSP0134 7.18.3: bit 13 registered, bit 14 unbuffered, bit 15 load-reduced.
#[test]
fn detail_bits_tell_the_kind() {
    let kind = |detail| {
        let inventory = of_table(&[device(84, "DIMM_A1", "B").word(0x13, detail)]);
        module(&inventory).kind
    };
    assert_eq!(kind(0x2080), Fact::Read(Kind::Rdimm));
    assert_eq!(kind(0x2000), Fact::Read(Kind::Rdimm));
    assert_eq!(kind(0x8080), Fact::Read(Kind::Lrdimm));
    assert_eq!(kind(0xA080), Fact::Read(Kind::Lrdimm));
    assert_eq!(kind(0x4080), Fact::Read(Kind::Udimm));
    assert_eq!(kind(0x0080), Fact::Unknown);
    assert_eq!(kind(0x6080), Fact::Unknown);
}

#[test]
fn missing_registered_bit_leaves_the_kind_unknown() {
    let inventory = of_device(&[("Type Detail", "Synchronous")]);
    assert_eq!(module(&inventory).kind, Fact::Unknown);
    assert!(codes(&inventory).contains(&Code::KindNotStated));
}

#[test]
fn an_empty_slot_is_empty_whatever_firmware_writes_there() {
    let inventory = of_device(&[("Size", "No Module Installed"), ("Type", "DDR3")]);
    let slot = &inventory.slots[0];
    assert_eq!((slot.occupancy, &slot.module), (Occupancy::Empty, &None));
    let table = of_table(&[device(84, "DIMM_A1", "B").word(0x0C, 0)]);
    assert_eq!(table.slots[0].occupancy, Occupancy::Empty);
}

#[test]
fn an_unknown_size_is_no_empty_slot() {
    let inventory = of_table(&[device(84, "DIMM_A1", "B").word(0x0C, 0xFFFF)]);
    assert_eq!(inventory.slots[0].occupancy, Occupancy::Unknown);
    let text = of_device(&[("Size", "Unknown")]);
    assert_eq!(text.slots[0].occupancy, Occupancy::Unknown);
}

#[test]
fn a_total_width_of_128_is_left_out_and_ecc_comes_from_the_array() {
    let array = "Handle 0x1000, DMI type 16, 23 bytes\nPhysical Memory Array\n\t\
        Use: System Memory\n\tError Correction Type: Multi-bit ECC\n\n";
    let device = device_text(&[("Total Width", "128 bits")]);
    let inventory = of_text(&format!("{array}{device}"));
    let module = module(&inventory);
    assert_eq!(module.total_width, Fact::Unknown);
    assert_eq!(module.data_width, Fact::Read(64));
    assert_eq!(module.ecc, Fact::Derived(true));
}

#[test]
fn swapped_widths_are_put_right() {
    let inventory = of_device(&[("Total Width", "64 bits"), ("Data Width", "72 bits")]);
    let module = module(&inventory);
    assert_eq!(module.total_width, Fact::Derived(72));
    assert_eq!(module.data_width, Fact::Derived(64));
}

#[test]
fn a_data_width_of_72_is_a_total_width() {
    let inventory = of_device(&[("Total Width", "Unknown"), ("Data Width", "72 bits")]);
    assert_eq!(module(&inventory).total_width, Fact::Derived(72));
    assert_eq!(module(&inventory).ecc, Fact::Derived(true));
}

#[test]
fn ranks_zero_or_beyond_belief_are_unknown() {
    for rank in ["Unknown", "3", ""] {
        assert_eq!(module(&of_device(&[("Rank", rank)])).ranks, Fact::Unknown);
    }
    let inventory = of_device(&[("Rank", "4")]);
    assert_eq!(module(&inventory).ranks, Fact::Read(4));
    assert!(codes(&inventory).contains(&Code::RanksMayCountStack));
}

#[test]
fn part_numbers_of_no_use_are_noted() {
    for (part, code) in [
        ("4D33", Code::PartNumberCoded),
        ("6478545886", Code::PartNumberNoUse),
        ("672612-181", Code::PartNumberIsSpare),
    ] {
        assert!(
            codes(&of_device(&[("Part Number", part)])).contains(&code),
            "{part}"
        );
    }
}

#[test]
fn flash_and_graphics_memory_are_left_out() {
    let array = |usage: u8| {
        Structure::new(16, 23, 0x1000)
            .byte(0x05, usage)
            .byte(0x06, 6)
    };
    let inventory = of_table(&[array(5), device(84, "DIMM_A1", "B")]);
    assert!(inventory.slots.is_empty());
    assert!(codes(&inventory).contains(&Code::NotSystemMemory));
    assert_eq!(
        of_table(&[array(3), device(84, "DIMM_A1", "B")])
            .slots
            .len(),
        1
    );
}

#[test]
fn extended_ranges_count_in_bytes() {
    let range = Structure::new(19, 31, 0x1300)
        .dword(0x04, u32::MAX)
        .dword(0x08, u32::MAX)
        .qword(0x0F, 0)
        .qword(0x17, (16 << 30) - 1);
    let inventory = of_table(&[device(84, "DIMM_A1", "B"), range]);
    assert_eq!(inventory.mapped_mib, Some(16 << 10));
}

#[test]
fn memory_that_is_not_mapped_is_noted() {
    let range = "Handle 0x1300, DMI type 19, 31 bytes\nMemory Array Mapped Address\n\t\
        Starting Address: 0x0k\n\tRange Size: 16 GB\n\n";
    let text = format!(
        "{ONE_PROCESSOR}{}{}{range}",
        device_text(&[]),
        device_text(&[("Locator", "DIMM_B1")])
    );
    assert!(codes(&of_text(&text)).contains(&Code::MappedMemoryDiffers));
}

// Of 224 published reports with both figures none maps more than 0.8 GiB above the modules (linuxhw/DMI), so
// a text that does was cut; unless a module that is there has no size, or other memory is mapped as well.
#[test]
fn more_memory_mapped_than_described_means_that_modules_are_missing() {
    let range = |size: &str| {
        format!(
            "Handle 0x1300, DMI type 19, 31 bytes\nMemory Array Mapped Address\n\tRange Size: {size}\n\n"
        )
    };
    let with = |size: &str, more: &str| {
        let text = format!("{}{}{more}", range(size), device_text(&[]));
        codes(&of_text(&text))
    };
    let missing = Code::MappedMoreThanDescribed;
    assert!(missing.is_incomplete());
    assert!(with("64 GB", "").contains(&missing));
    assert!(!with("17 GB", "").contains(&missing));
    assert!(!with("16 GB", "").contains(&missing));
    for changes in [("Size", "Unknown"), ("Size", "32767 MB"), ("Type", "HBM2")] {
        let other = device_text(&[changes, ("Locator", "DIMM_B1")]);
        assert!(!with("128 GB", &other).contains(&missing), "{changes:?}");
    }
}

// Some languages print a decimal comma (common practice of people who type a report over).
#[test]
fn a_voltage_is_read_with_a_point_or_a_comma() {
    for (shown, mv) in [
        ("1.35 V", 1350),
        ("1,35 V", 1350),
        ("1,2 V", 1200),
        ("1 V", 1000),
    ] {
        let inventory = of_device(&[("Configured Voltage", shown)]);
        assert_eq!(module(&inventory).configured_mv, Fact::Read(mv), "{shown}");
    }
}
