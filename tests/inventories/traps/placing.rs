//! Traps in where slots are, and slots described twice or not at all.

use super::{ONE_PROCESSOR, codes, device_text, module, of_device, of_text, placed, places};
use kitproof::read::inventory::{Code, Fact, Inventory, MappedPlace, Placing, SlotMap, read};

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
