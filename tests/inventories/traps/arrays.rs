//! Traps of the memory arrays: what firmware says of all slots together is often wrong, and refuses nothing.

use super::{codes, device_text, lshw::lshw_bank, module, of_table, of_text};
use crate::table::Structure;
use kitproof::read::inventory::{Code, Fact, Occupancy};

fn array(handle: u16, maximum: &str, slots: u8) -> String {
    format!(
        "Handle 0x{handle:04X}, DMI type 16, 23 bytes\nPhysical Memory Array\n\tLocation: System Board Or Motherboard\n\t\
         Use: System Memory\n\tError Correction Type: Multi-bit ECC\n\tMaximum Capacity: {maximum}\n\t\
         Number Of Devices: {slots}\n\n"
    )
}

// Seven reports hold more than their "Maximum Capacity", nine count other slots than they describe.
#[test]
fn more_memory_than_the_stated_maximum_is_taken_as_it_is() {
    let devices: String = ["DIMM_A1", "DIMM_B1"]
        .iter()
        .map(|locator| device_text(&[("Locator", locator), ("Size", "64 GB")]))
        .collect();
    let inventory = of_text(&format!("{}{devices}", array(0x1000, "64 GB", 16)));
    let held = inventory.slots.iter().map(|slot| {
        let module = slot.module.as_ref().expect("a module");
        module.capacity_mib.value().copied()
    });
    assert!(held.eq([Some(64 << 10); 2]));
    assert_eq!(inventory.arrays[0].maximum_mib, Fact::Read(64 << 10));
    assert!(codes(&inventory).contains(&Code::SlotCountDiffers));
}

#[test]
fn an_array_for_each_processor_is_kept_for_itself() {
    let text = [
        array(0x1000, "512 GB", 12),
        array(0x1001, "512 GB", 12),
        device_text(&[]),
    ];
    let inventory = of_text(&text.concat());
    let maxima = inventory.arrays.iter().map(|array| array.maximum_mib);
    assert!(maxima.eq([Fact::Read(512 << 10); 2]));
}

// DSP0134: 8000 0000h in the maximum points to the extended one, which counts bytes.
#[test]
fn a_large_maximum_stands_in_the_extended_field() {
    let array = |maximum: u32| {
        Structure::new(16, 23, 0x1000)
            .byte(0x05, 3)
            .byte(0x06, 6)
            .dword(0x07, maximum)
            .word(0x0D, 8)
            .qword(0x0F, 4 << 40)
    };
    let of = |maximum| of_table(&[array(maximum)]).arrays[0].maximum_mib;
    assert_eq!(of(0x8000_0000), Fact::Read(4 << 20));
    assert_eq!(of(1 << 20), Fact::Read(1 << 10));
}

// A board of one maker describes an array of eight slots and none of them.
#[test]
fn an_array_without_slots_asks_for_the_labels() {
    let inventory = of_text(&array(0x1000, "256 GB", 8));
    assert!(inventory.slots.is_empty());
    assert!(codes(&inventory).contains(&Code::NoSlots));
}

// In 130 modules firmware wrote megabytes into the field of bytes.
#[test]
fn the_volatile_size_is_no_size() {
    let device = device_text(&[]);
    let odd = device.replace("\tRank: 2\n", "\tRank: 2\n\tVolatile Size: 16 kB\n");
    assert_ne!(odd, device);
    assert_eq!(module(&of_text(&odd)).capacity_mib, Fact::Read(16 << 10));
}

// Samples of an open inspector (Apache-2.0): two arrays as `memory:0` and `memory:1`, one without banks.
#[test]
fn lshw_shows_two_arrays_or_none_with_banks() {
    let bank = |id: &str, slot: &str| {
        format!(r#"{{"id":"{id}","class":"memory","slot":"{slot}","size":17179869184}}"#)
    };
    let array = |id: &str, banks: &[String]| {
        format!(
            r#"{{"id":"{id}","class":"memory","description":"System Memory","children":[{}]}}"#,
            banks.join(",")
        )
    };
    let two = format!(
        r#"{{"id":"core","class":"bus","children":[{},{}]}}"#,
        array(
            "memory:0",
            &[bank("bank:0", "DIMM_A1"), bank("bank:1", "DIMM_A2")]
        ),
        array("memory:1", &[bank("bank:0", "DIMM_B1")])
    );
    let inventory = of_text(&two);
    assert_eq!(inventory.slots.len(), 3);
    assert!(
        inventory
            .slots
            .iter()
            .all(|s| s.occupancy == Occupancy::Populated)
    );
    let bare = r#"[{"id":"memory","class":"memory","size":68719476736}]"#;
    let inventory = of_text(bare);
    assert!(inventory.slots.is_empty());
    assert!(codes(&inventory).contains(&Code::NoSlots));
    let empty = lshw_bank(r#","vendor":"NO DIMM","serial":"NO DIMM","description":"DIMM [empty]""#);
    assert_eq!(of_text(&empty).slots[0].occupancy, Occupancy::Empty);
}
