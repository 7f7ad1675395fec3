//! Every way in which reports mislead, one test each, with the values met in real reports
//! (survey of 227 reports of linuxhw/DMI, CC BY 4.0, and the issues and sources named beside it).

use crate::table::{Structure, device, table};
use kitproof::read::inventory::record::{Module, Slot};
use kitproof::read::inventory::{
    Code, Fact, Format, Generation, Inventory, Kind, MappedPlace, Occupancy, Placing, SlotMap,
    read, sniff,
};

fn of_table(structures: &[Structure]) -> Inventory {
    read(&table(structures), &SlotMap::default())
}

fn of_text(text: &str) -> Inventory {
    read(text.as_bytes(), &SlotMap::default())
}

fn codes(inventory: &Inventory) -> Vec<Code> {
    inventory.notes.iter().map(|note| note.code).collect()
}

fn module(inventory: &Inventory) -> &Module {
    let slot = inventory.slots.first().expect("a slot");
    slot.module.as_ref().expect("a module")
}

/// The text of one memory device, with some values replaced or (empty) left out.
pub fn device_text(changes: &[(&str, &str)]) -> String {
    const PLAIN: &[(&str, &str)] = &[
        ("Total Width", "72 bits"),
        ("Data Width", "64 bits"),
        ("Size", "16 GB"),
        ("Form Factor", "DIMM"),
        ("Locator", "DIMM_A1"),
        ("Bank Locator", "BANK 0"),
        ("Type", "DDR4"),
        ("Type Detail", "Synchronous Registered (Buffered)"),
        ("Speed", "3200 MT/s"),
        ("Manufacturer", "Unknown"),
        ("Serial Number", "--"),
        ("Part Number", "ERW-4R16-2x8"),
        ("Rank", "2"),
        ("Configured Memory Speed", "3200 MT/s"),
        ("Configured Voltage", "1.2 V"),
    ];
    let mut text = String::from("Handle 0x1100, DMI type 17, 84 bytes\nMemory Device\n");
    for (key, value) in PLAIN {
        let changed = changes.iter().find(|(k, _)| k == key);
        let value = changed.map_or(*value, |(_, v)| *v);
        if !value.is_empty() {
            text.push_str(&format!("\t{key}: {value}\n"));
        }
    }
    text.push('\n');
    text
}

fn of_device(changes: &[(&str, &str)]) -> Inventory {
    of_text(&device_text(changes))
}

pub const ONE_PROCESSOR: &str = "Handle 0x0400, DMI type 4, 48 bytes\nProcessor Information\n\t\
    Socket Designation: CPU1\n\tType: Central Processor\n\tVersion: Invented 8\n\t\
    Status: Populated, Enabled\n\n";

fn places(slots: &[Slot]) -> Vec<[Option<u16>; 3]> {
    let numbers = |slot: &Slot| {
        let place = &slot.place;
        [place.socket, place.channel, place.index].map(|n| n.value().copied())
    };
    slots.iter().map(numbers).collect()
}

/// Places of slots of these names, with one processor described.
fn placed(names: &[(&str, &str)]) -> Inventory {
    let devices: String = names
        .iter()
        .map(|(locator, bank)| device_text(&[("Locator", locator), ("Bank Locator", bank)]))
        .collect();
    of_text(&format!("{ONE_PROCESSOR}{devices}"))
}

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
fn placeholders_say_nothing() {
    let placeholders = [
        "PartNum0",
        "A1_PartNum1",
        "ModulePartNumber00",
        "Array 1 Part Number 2",
        "NO DIMM",
        "Part Number not set",
        "NOT AVAILABLE",
        "Default string",
        "To be filled by O.E.M.",
        "00000000",
        "Not Specified",
        "Undefined",
        "<BAD INDEX>",
    ];
    for part in placeholders {
        assert_eq!(
            module(&of_device(&[("Part Number", part)])).part_number,
            Fact::Unknown,
            "{part}"
        );
    }
    let inventory = of_device(&[("Part Number", "ERW-4R16-2x8    ")]);
    assert_eq!(
        module(&inventory).part_number,
        Fact::Read("ERW-4R16-2x8".to_owned())
    );
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

#[test]
fn a_slot_described_twice_is_counted_once_where_mapped_memory_says_so() {
    let bank = ("Bank Locator", "SOCKET 0 CHANNEL 0 DIMM 0");
    let twice = format!("{}{}", device_text(&[bank]), device_text(&[bank]));
    let range = |size: &str| {
        format!(
            "Handle 0x1300, DMI type 19, 31 bytes\nMemory Array Mapped Address\n\tRange Size: {size}\n\n"
        )
    };
    let once = of_text(&format!("{twice}{}", range("16 GB")));
    assert_eq!((once.slots.len(), once.capacity_mib()), (1, 16 << 10));
    assert!(codes(&once).contains(&Code::SlotListedTwice));
    let both = of_text(&format!("{twice}{}", range("32 GB")));
    assert_eq!(both.slots.len(), 2);
    assert!(codes(&both).contains(&Code::SlotsClash));
    assert!(matches!(both.placing, Placing::Ask(_)));
}

#[test]
fn one_serial_number_twice_is_one_module_and_two_are_two() {
    let device = |serial: &str| device_text(&[("Serial Number", serial)]);
    let same = of_text(&format!("{}{}", device("EDM0001"), device("EDM0001")));
    assert_eq!(same.slots.len(), 1);
    let different = of_text(&format!("{}{}", device("EDM0001"), device("EDM0002")));
    assert_eq!(different.slots.len(), 2);
    let untold = of_text(&format!("{}{}", device("--"), device("--")));
    assert_eq!(untold.slots.len(), 2);
    assert!(codes(&untold).contains(&Code::SlotMayBeListedTwice));
}

#[test]
fn an_absent_processor_hides_its_slots() {
    let second = "Handle 0x0401, DMI type 4, 48 bytes\nProcessor Information\n\t\
        Socket Designation: CPU2\n\tType: Unknown\n\tStatus: Unpopulated\n\n";
    let device = device_text(&[("Bank Locator", "P0_Node0_Channel0_Dimm0")]);
    let inventory = of_text(&format!("{ONE_PROCESSOR}{second}{device}"));
    assert!(codes(&inventory).contains(&Code::SocketsWithoutSlots));
    assert_eq!(places(&inventory.slots), [[Some(1), Some(1), Some(1)]]);
}

#[test]
fn the_only_filled_socket_keeps_its_number() {
    let processor = |name: &str, status: &str| {
        format!(
            "Handle 0x0400, DMI type 4, 48 bytes\nProcessor Information\n\t\
            Socket Designation: {name}\n\tType: Central Processor\n\tStatus: {status}\n\n"
        )
    };
    let device = device_text(&[("Bank Locator", "P1 CHANNEL A"), ("Locator", "DIMM 0")]);
    let processors = [
        processor("CPU2", "Populated, Enabled"),
        processor("CPU1", "Unpopulated"),
    ];
    let inventory = of_text(&format!("{}{device}", processors.concat()));
    assert_eq!(inventory.slots[0].place.socket.value(), Some(&2));
}

#[test]
fn running_numbers_and_shared_letters_place_nothing() {
    let schemes: [&[(&str, &str)]; 5] = [
        &[
            ("DIMM 1", "NODE 1"),
            ("DIMM 2", "NODE 2"),
            ("DIMM 3", "NODE 3"),
        ],
        &[
            ("DIMM-1A", "NODE 1"),
            ("DIMM-1B", "NODE 2"),
            ("DIMM-1C", "NODE 3"),
            ("DIMM-1D", "NODE 4"),
        ],
        &[
            ("Proc 1 DIMM 1A", ""),
            ("Proc 1 DIMM 2I", ""),
            ("Proc 1 DIMM 3E", ""),
        ],
        &[("A1", ""), ("A2", ""), ("B1", ""), ("B2", "")],
        &[("A1_DIMM0", "A1_BANK0"), ("A1_DIMM1", "A1_BANK1")],
    ];
    for names in schemes {
        let inventory = placed(names);
        let channels = inventory.slots.iter().map(|slot| slot.place.channel);
        assert!(
            channels.into_iter().all(|channel| channel == Fact::Unknown),
            "{names:?}"
        );
        let Placing::Ask(asked) = inventory.placing else {
            panic!("{names:?}");
        };
        let locators = asked.iter().filter_map(|slot| slot.name.locator.as_deref());
        assert!(locators.eq(names.iter().map(|(locator, _)| *locator)));
    }
}

/// One processor for each name, all filled.
fn placed_on(processors: &[&str], names: &[(&str, &str)]) -> Inventory {
    let processors = processors.iter().map(|name| {
        format!(
            "Handle 0x0400, DMI type 4, 48 bytes\nProcessor Information\n\t\
            Socket Designation: {name}\n\tType: Central Processor\n\tStatus: Populated, Enabled\n\n"
        )
    });
    let devices = names
        .iter()
        .map(|(locator, bank)| device_text(&[("Locator", locator), ("Bank Locator", bank)]));
    of_text(&processors.chain(devices).collect::<String>())
}

// The survey's table of schemes: what each gives. Sockets and channels from 0 or 1 or in letters.
#[test]
fn schemes_of_two_sockets_place_every_slot() {
    let schemes: [[(&str, &str); 4]; 7] = [
        [
            ("DIMM 0", "P0 CHANNEL A"),
            ("DIMM 0", "P0 CHANNEL B"),
            ("DIMM 0", "P1 CHANNEL A"),
            ("DIMM 0", "P1 CHANNEL B"),
        ],
        [
            ("DIMM 0", "P1 CHANNEL A"),
            ("DIMM 0", "P1 CHANNEL B"),
            ("DIMM 0", "P2 CHANNEL A"),
            ("DIMM 0", "P2 CHANNEL B"),
        ],
        [
            ("CPU1_DIMM_A1", "P0 CHANNEL A"),
            ("CPU1_DIMM_B1", "P0 CHANNEL B"),
            ("CPU2_DIMM_A1", "P1 CHANNEL A"),
            ("CPU2_DIMM_B1", "P1 CHANNEL B"),
        ],
        [
            ("DIMM_P0_O0", "BANK 0"),
            ("DIMM_P0_P0", "BANK 0"),
            ("DIMM_P1_Q0", "BANK 0"),
            ("DIMM_P1_R0", "BANK 0"),
        ],
        [
            ("P1_1A", "1"),
            ("P1_2A", "2"),
            ("P2_1A", "3"),
            ("P2_2A", "4"),
        ],
        [
            ("DIMM0", "SOCKET 0 CHANNEL 0 DIMM 0"),
            ("DIMM1", "SOCKET 0 CHANNEL 1 DIMM 1"),
            ("DIMM0", "SOCKET 1 CHANNEL 0 DIMM 0"),
            ("DIMM1", "SOCKET 1 CHANNEL 1 DIMM 1"),
        ],
        [
            ("CPU0_C0D0", ""),
            ("CPU0_C1D0", ""),
            ("CPU1_C0D0", ""),
            ("CPU1_C1D0", ""),
        ],
    ];
    for names in schemes {
        let inventory = placed_on(&["CPU1", "CPU2"], &names);
        let wanted = [[1, 1, 1], [1, 2, 1], [2, 1, 1], [2, 2, 1]].map(|p| p.map(Some));
        assert_eq!(places(&inventory.slots), wanted, "{names:?}");
        assert_eq!(inventory.placing, Placing::Told);
    }
}

#[test]
fn schemes_of_one_socket_place_every_slot() {
    let schemes: [[(&str, &str); 2]; 5] = [
        [("DIMM 1", "CHANNEL A"), ("DIMM 2", "CHANNEL B")],
        [("DIMM_A1", "NODE 1"), ("DIMM_B1", "NODE 1")],
        [("CPU_A0", "useless"), ("CPU_B0", "useless")],
        [("DIMM-CHA1", "Channel A"), ("DIMM-CHB2", "Channel B")],
        [("ChannelA-DIMM0", "BANK 0"), ("ChannelB-DIMM0", "BANK 2")],
    ];
    for names in schemes {
        let inventory = placed(&names);
        let wanted = [[1, 1, 1], [1, 2, 1]].map(|p| p.map(Some));
        assert_eq!(places(&inventory.slots), wanted, "{names:?}");
    }
}

#[test]
fn schemes_that_tell_the_socket_only_say_so() {
    let schemes: [[(&str, &str); 2]; 6] = [
        [("PROC 1 DIMM 12", "A"), ("PROC 2 DIMM 12", "A")],
        [("DIMM 9", "CPU 1"), ("DIMM 25", "CPU 2")],
        [("DIMM1", "CPU0"), ("DIMM1", "CPU1")],
        [("Socket 0 DIMM 3", "Bank 3"), ("Socket 1 DIMM 3", "Bank 9")],
        [("C0_DIMM2", ""), ("C1_DIMM2", "")],
        [("H0_DIMM3", ""), ("H1_DIMM3", "")],
    ];
    for names in schemes {
        let inventory = placed_on(&["CPU1", "CPU2"], &names);
        let wanted = [[Some(1), None, None], [Some(2), None, None]];
        assert_eq!(places(&inventory.slots), wanted, "{names:?}");
        assert!(matches!(inventory.placing, Placing::Ask(_)));
    }
}

#[test]
fn letters_over_two_sockets_that_no_name_tells_are_asked_for() {
    let inventory = placed_on(&["CPU1", "CPU2"], &[("DIMM_A1", ""), ("DIMM_B1", "")]);
    let nowhere = [None, None, None];
    assert_eq!(places(&inventory.slots), [nowhere, nowhere]);
}

// Before DDR3 a digit and a letter are pair and lane.
#[test]
fn digit_and_letter_place_nothing_on_ddr2() {
    let old =
        |locator| device_text(&[("Locator", locator), ("Type", "DDR2"), ("Speed", "667 MHz")]);
    let text = format!("{ONE_PROCESSOR}{}{}", old("DIMM_1A"), old("DIMM_2A"));
    let inventory = of_text(&text);
    assert!(codes(&inventory).contains(&Code::LocatorsNotTrusted));
    assert_eq!(inventory.slots[0].place.channel, Fact::Unknown);
    assert_eq!(module(&inventory).rated_mts, Fact::Read(667));
}

#[test]
fn list_order_says_nothing_about_places() {
    let inventory = placed(&[
        ("DIMM1B", "BANK0"),
        ("DIMM1A", "BANK1"),
        ("DIMM2B", ""),
        ("DIMM2A", ""),
    ]);
    let places = places(&inventory.slots);
    assert_eq!(
        places,
        [[1, 1, 2], [1, 1, 1], [1, 2, 2], [1, 2, 1]].map(|p| p.map(Some))
    );
}

#[test]
fn the_banks_index_counts_where_print_and_firmware_disagree() {
    let names = [
        ("DIMMA2", "P0_Node0_Channel0_Dimm0"),
        ("DIMMA1", "P0_Node0_Channel0_Dimm1"),
    ];
    let places = places(&placed(&names).slots);
    assert_eq!(places, [[1, 1, 1], [1, 1, 2]].map(|p| p.map(Some)));
}

#[test]
fn channels_numbered_anew_under_each_node_are_different_channels() {
    let names = [
        ("DIMMA1", "P0_Node0_Channel0_Dimm0"),
        ("DIMMB1", "P0_Node0_Channel1_Dimm0"),
        ("DIMMC1", "P0_Node1_Channel0_Dimm0"),
        ("DIMMD1", "P0_Node1_Channel1_Dimm0"),
    ];
    let places = places(&placed(&names).slots);
    assert_eq!(
        places,
        [1, 2, 3, 4].map(|channel| [Some(1), Some(channel), Some(1)])
    );
}

#[test]
fn three_digits_are_socket_channel_and_slot_where_they_make_a_board() {
    let names: Vec<String> = (0..8)
        .map(|n| format!("DIMM{}{}{} J{}", n / 4, n / 2 % 2, n % 2, n + 10))
        .collect();
    let names: Vec<(&str, &str)> = names.iter().map(|name| (name.as_str(), "")).collect();
    let two = places(&placed(&names).slots);
    assert_eq!(two[5], [Some(2), Some(1), Some(2)]);
    let running: Vec<String> = (0..8).map(|n| format!("DIMM{n:03}")).collect();
    let running: Vec<(&str, &str)> = running.iter().map(|name| (name.as_str(), "")).collect();
    assert!(matches!(placed(&running).placing, Placing::Ask(_)));
}

#[test]
fn a_mapping_places_what_the_names_do_not() {
    let text: String = (1..=2)
        .map(|n| {
            device_text(&[
                ("Locator", &format!("PROC 1 DIMM {n}")),
                ("Bank Locator", ""),
            ])
        })
        .collect();
    let mut map = SlotMap::default();
    let place = |position| MappedPlace {
        socket: 1,
        channel: 3,
        position,
    };
    map.insert("proc 1  dimm 1", None, place(2));
    let half = read(text.as_bytes(), &map);
    assert!(codes(&half).contains(&Code::LocatorNotInMapping));
    map.insert("PROC 1 DIMM 2", None, place(1));
    let inventory = read(text.as_bytes(), &map);
    assert_eq!(inventory.placing, Placing::Told);
    assert_eq!(inventory.slots[0].place.position, Fact::Read(2));
    assert_eq!(inventory.slots[0].place.index, Fact::Unknown);
}

#[test]
fn a_mapping_by_locator_alone_does_not_fit_repeating_locators() {
    let names = [("DIMM 0", "P0 CHANNEL A"), ("DIMM 0", "P0 CHANNEL B")];
    let text: String = names
        .iter()
        .map(|(locator, bank)| device_text(&[("Locator", locator), ("Bank Locator", bank)]))
        .collect();
    let mut map = SlotMap::default();
    let place = MappedPlace {
        socket: 1,
        channel: 2,
        position: 1,
    };
    map.insert("DIMM 0", None, place);
    assert!(codes(&read(text.as_bytes(), &map)).contains(&Code::MappingAmbiguous));
    map.insert("DIMM 0", Some("P0 CHANNEL B"), place);
    let inventory = read(text.as_bytes(), &map);
    assert_eq!(inventory.slots[1].place.position, Fact::Read(1));
}

#[test]
fn text_is_read_however_it_was_pasted() {
    let plain = format!("{ONE_PROCESSOR}{}", device_text(&[]));
    let wanted = of_text(&plain);
    assert_eq!(wanted.slots.len(), 1);
    let spaces = plain.replace('\t', "        ").replace('\n', "\r\n");
    let flat = plain.replace('\t', "");
    let wide: Vec<u8> = [0xFF, 0xFE]
        .into_iter()
        .chain(plain.encode_utf16().flat_map(u16::to_le_bytes))
        .collect();
    for input in [spaces.into_bytes(), flat.into_bytes(), wide] {
        assert_eq!(read(&input, &SlotMap::default()), wanted);
    }
    let quiet: String = plain
        .lines()
        .filter(|l| !l.starts_with("Handle"))
        .map(|l| format!("{l}\n"))
        .collect();
    let quiet = of_text(&quiet);
    assert_eq!(quiet.format, Format::DmidecodeText);
    assert_eq!(quiet.slots[0].module, wanted.slots[0].module);
    assert_eq!(quiet.processors, wanted.processors);
}

#[test]
fn a_table_may_come_in_base64() {
    use base64::Engine;
    let bytes = table(&[device(84, "DIMM_A1", "B")]);
    let coded = base64::engine::general_purpose::STANDARD.encode(&bytes);
    assert_eq!(sniff(coded.as_bytes()), Format::SmbiosTable);
    let inventory = read(coded.as_bytes(), &SlotMap::default());
    assert_eq!(inventory.slots, read(&bytes, &SlotMap::default()).slots);
}

#[test]
fn a_cut_table_gives_what_is_there() {
    let bytes = table(&[device(84, "DIMM_A1", "B"), device(84, "DIMM_B1", "B")]);
    let inventory = read(&bytes[..bytes.len() - 30], &SlotMap::default());
    assert_eq!(inventory.slots.len(), 1);
    assert!(codes(&inventory).contains(&Code::TableEndsEarly));
}

#[test]
fn nothing_after_the_end_mark_is_read() {
    let mut bytes = table(&[device(84, "DIMM_A1", "B")]);
    bytes.extend(table(&[device(84, "DIMM_B1", "B")]));
    assert_eq!(read(&bytes, &SlotMap::default()).slots.len(), 1);
}

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

fn redfish(member: &str) -> Inventory {
    of_text(&format!(
        r##"{{"@odata.type":"#MemoryCollection.MemoryCollection","Members":[
        {{"@odata.type":"#Memory.v1_7_1.Memory","Id":"1","DeviceLocator":"DIMM_P0_A0",{member}}}]}}"##
    ))
}

#[test]
fn redfish_decimal_capacity_and_hexadecimal_widths_are_put_right() {
    let inventory = redfish(
        r#""CapacityMiB":15625,"BusWidthBits":48,"DataWidthBits":40,"MemoryDeviceType":"DDR4",
        "AllowedSpeedsMHz":[3200,0],"OperatingSpeedMhz":2933,"Status":{"State":"Enabled"}"#,
    );
    let module = module(&inventory);
    assert_eq!(module.capacity_mib, Fact::Read(16 << 10));
    assert_eq!(module.total_width, Fact::Derived(72));
    assert_eq!(module.data_width, Fact::Derived(64));
    assert_eq!(module.rated_mts, Fact::Read(3200));
    assert_eq!(module.configured_mts, Fact::Read(2933));
}

#[test]
fn redfish_states_tell_the_occupancy() {
    for (member, wanted) in [
        (
            r#""Status":{"State":"Absent"},"CapacityMiB":0,"DataWidthBits":64"#,
            Occupancy::Empty,
        ),
        (
            r#""Status":{"State":"Enabled"},"CapacityMiB":0"#,
            Occupancy::Unreadable,
        ),
        (
            r#""Status":{"State":null},"CapacityMiB":null,"RankCount":null"#,
            Occupancy::Unreadable,
        ),
        (
            r#""Manufacturer":"0x2c80","PartNumber":"","Status":{"State":"Enabled"}"#,
            Occupancy::Unreadable,
        ),
        (r#""CapacityMiB":0"#, Occupancy::Unknown),
        (r#""CapacityMiB":16384"#, Occupancy::Populated),
        (
            r#""Oem":{"Maker":{"DIMMStatus":"NotPresent"}},"CapacityMiB":0"#,
            Occupancy::Empty,
        ),
    ] {
        assert_eq!(redfish(member).slots[0].occupancy, wanted, "{member}");
    }
}

#[test]
fn redfish_device_type_other_80_bits_wide_is_ddr5() {
    let inventory = redfish(
        r#""CapacityMiB":65536,"BusWidthBits":80,"DataWidthBits":64,"MemoryDeviceType":"Other",
        "ErrorCorrection":"Multi-bit ECC""#,
    );
    assert_eq!(
        module(&inventory).generation,
        Fact::Derived(Generation::Ddr(5))
    );
    assert!(codes(&inventory).contains(&Code::EnumNotStandard));
}

#[test]
fn redfish_soldered_memory_is_left_out() {
    let inventory =
        redfish(r#""CapacityMiB":131072,"BaseModuleType":"Die","MemoryDeviceType":"LPDDR5_SDRAM""#);
    assert!(inventory.slots.is_empty());
}

#[test]
fn redfish_links_without_resources_are_named() {
    let inventory = of_text(
        r##"{"@odata.type":"#MemoryCollection.MemoryCollection",
        "Members":[{"@odata.id":"/redfish/v1/Systems/1/Memory/1"}],
        "Members@odata.nextLink":"/redfish/v1/Systems/1/Memory?$skip=1"}"##,
    );
    let codes = codes(&inventory);
    assert!(codes.contains(&Code::MembersNotExpanded));
    assert!(codes.contains(&Code::CollectionCut));
    assert!(codes.contains(&Code::NoSlots));
}

#[test]
fn redfish_made_up_locations_give_way_to_the_text() {
    let member = |letter: char, slot: u32| {
        format!(
            r#"{{"DeviceLocator":"P0 CHANNEL {letter} DIMM 0","CapacityMiB":16384,
            "MemoryLocation":{{"Socket":0,"MemoryController":0,"Channel":0,"Slot":{slot}}}}}"#
        )
    };
    for slots in [[0, 0], [65, 66]] {
        let [a, b] = slots;
        let inventory = of_text(&format!("[{},{}]", member('A', a), member('B', b)));
        let places = places(&inventory.slots);
        assert_eq!(
            places,
            [[1, 1, 1], [1, 2, 1]].map(|p| p.map(Some)),
            "{slots:?}"
        );
    }
}

#[test]
fn redfish_channels_numbered_under_each_controller_are_told_apart() {
    let member = |controller: u32| {
        format!(
            r#"{{"Name":"DIMM {controller}","CapacityMiB":16384,
            "MemoryLocation":{{"Socket":0,"MemoryController":{controller},"Channel":0,"Slot":0}}}}"#
        )
    };
    let inventory = of_text(&format!("[{},{}]", member(0), member(1)));
    assert_eq!(
        places(&inventory.slots),
        [[1, 1, 1], [1, 2, 1]].map(|p| p.map(Some))
    );
}

// Redfish need not name empty slots: A1 and C1 of a full list may be any channels of the board.
#[test]
fn redfish_of_filled_slots_only_places_no_more_than_it_tells() {
    let members = |names: &[&str]| {
        let member = |name: &&str| format!(r#"{{"DeviceLocator":"{name}","CapacityMiB":8192}}"#);
        names.iter().map(member).collect::<Vec<_>>().join(",")
    };
    for names in [
        ["DIMM A1", "DIMM A2"],
        ["P0_A0", "P0_C0"],
        ["P0_A2", "P0_B2"],
    ] {
        let inventory = of_text(&format!("[{}]", members(&names)));
        assert!(
            codes(&inventory).contains(&Code::SlotsMayBeLeftOut),
            "{names:?}"
        );
        assert!(
            inventory
                .slots
                .iter()
                .all(|slot| slot.place.channel == Fact::Unknown)
        );
    }
    let inventory = of_text(&format!("[{}]", members(&["P0_A0", "P0_B0"])));
    assert_eq!(inventory.placing, Placing::Told);
}

#[test]
fn redfish_members_come_in_natural_order() {
    let members: Vec<String> = [10, 9, 1]
        .iter()
        .map(|n| format!(r#"{{"DeviceLocator":"DIMM {n}","CapacityMiB":8192}}"#))
        .collect();
    let inventory = of_text(&format!("[{}]", members.join(",")));
    let names = inventory
        .slots
        .iter()
        .filter_map(|slot| slot.name.locator.as_deref());
    assert!(names.eq(["DIMM 1", "DIMM 9", "DIMM 10"]));
}

#[test]
fn other_input_is_named_as_such() {
    for input in ["", "hello", "{}", "[1,2]", "{\"a\":", "\u{0}\u{1}\u{2}"] {
        let inventory = of_text(input);
        assert_eq!(inventory.format, Format::Unrecognised, "{input}");
        assert!(codes(&inventory).contains(&Code::FormatNotRecognised));
    }
}
