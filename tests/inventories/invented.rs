//! The project's own invented reports: every format read everywhere, with nothing from outside.

use crate::expected::{Subset, differences, machine_differences};
use crate::table::{Structure, device, table as bytes_of};
use kitproof::read::inventory::{
    Code, Fact, Format, Inventory, Placing, SlotMap, Standing, read, read_redfish, sniff,
};

/// Texts of three machines.
pub const TEXTS: [&str; 3] = [
    include_str!("../fixtures/inventory/firth.dmidecode.txt"),
    include_str!("../fixtures/inventory/tarn.dmidecode.txt"),
    include_str!("../fixtures/inventory/delta.dmidecode.txt"),
];
/// The firth machine's tree.
pub const LSHW: &str = include_str!("../fixtures/inventory/firth.lshw.json");
/// The loch machine's memory.
pub const REDFISH_MEMORY: &str = include_str!("../fixtures/inventory/loch.redfish.Memory.json");
const REDFISH_PROCESSORS: &str = include_str!("../fixtures/inventory/loch.redfish.Processors.json");
const REDFISH_SYSTEM: &str = include_str!("../fixtures/inventory/loch.redfish.System.json");
const DUMP: &[u8] = include_bytes!("../fixtures/inventory/firth.smbios.bin");

const FIRTH: &str = include_str!("../fixtures/inventory/firth.expected.json");
const TARN: &str = include_str!("../fixtures/inventory/tarn.expected.json");
const DELTA: &str = include_str!("../fixtures/inventory/delta.expected.json");
const LOCH: &str = include_str!("../fixtures/inventory/loch.expected.json");

const MAKER: &str = "Eddermouth Reuse Works";

/// The firth machine as a bare table.
pub fn table() -> Vec<u8> {
    let mut structures = vec![
        named(1, 27, 0x0100, "Super Server"),
        named(2, 15, 0x0200, "Firth 2"),
        processor(0x0400, "CPU1", Some("Curlew 24")),
        processor(0x0401, "CPU2", None),
        Structure::new(16, 23, 0x1000)
            .byte(0x04, 3)
            .byte(0x05, 3)
            .byte(0x06, 6)
            .dword(0x07, 0x8000_0000)
            .word(0x0D, 16)
            .qword(0x0F, 2 << 40),
    ];
    for slot in 0..16_u16 {
        structures.push(firth_slot(slot));
    }
    structures.push(
        Structure::new(19, 31, 0x1300)
            .dword(0x08, (256 << 20) - 1)
            .word(0x0C, 0x1000),
    );
    bytes_of(&structures)
}

fn named(kind: u8, length: u8, handle: u16, product: &str) -> Structure {
    Structure::new(kind, length, handle)
        .text(0x04, MAKER)
        .text(0x05, product)
}

fn processor(handle: u16, label: &str, model: Option<&str>) -> Structure {
    let processor = Structure::new(4, 48, handle).text(0x04, label);
    match model {
        Some(model) => processor
            .byte(0x05, 3)
            .text(0x07, "Invented Silicon")
            .text(0x10, model)
            .byte(0x18, 0x41)
            .byte(0x23, 24),
        None => processor.byte(0x05, 2).text(0x10, "Not Installed"),
    }
}

fn firth_slot(slot: u16) -> Structure {
    let (channel, index) = (slot / 2, slot % 2);
    let letter = char::from(b'A' + u8::try_from(channel).expect("few channels"));
    let locator = format!("P1-DIMM{letter}{}", index + 1);
    let bank = format!("P0_Node0_Channel{channel}_Dimm{index}");
    let device = device(84, &locator, &bank).word(2, 0x1100 + slot);
    if index == 0 {
        return device.word(0x0C, 0);
    }
    device
        .word(0x0C, 0x7FFF)
        .dword(0x1C, 32 << 10)
        .text(0x17, MAKER)
        .text(0x18, "--")
        .text(0x1A, "ERW-4R32-2x4    ")
        .byte(0x28, 3)
        .qword(0x3C, 32 << 10)
}

/// The firth machine as a dump file.
pub fn dump() -> Vec<u8> {
    let table = table();
    let length = u32::try_from(table.len()).expect("small");
    let mut bytes = b"_SM3_\0\x18\x03\x02\x00\x01\x00".to_vec();
    bytes.extend(length.to_le_bytes());
    bytes.extend(0x20_u64.to_le_bytes());
    bytes.resize(0x20, 0);
    bytes.extend(table);
    bytes
}

fn of(input: &[u8]) -> Inventory {
    read(input, &SlotMap::default())
}

fn check(inventory: &Inventory, expected: &str, subset: Subset) {
    let expected = serde_json::from_str(expected).expect("JSON");
    let mut lines = differences(inventory, &expected, subset);
    lines.extend(machine_differences(inventory, &expected));
    assert!(lines.is_empty(), "{}", lines.join("\n"));
}

#[test]
fn the_texts_give_what_the_machines_hold() {
    for (text, expected) in TEXTS.iter().zip([FIRTH, TARN, DELTA]) {
        assert_eq!(sniff(text.as_bytes()), Format::DmidecodeText);
        check(&of(text.as_bytes()), expected, Subset::Whole);
    }
}

#[test]
fn the_table_and_the_dump_give_what_the_text_gives() {
    let (table, dump, text) = (of(&table()), of(&dump()), of(TEXTS[0].as_bytes()));
    assert_eq!(table.format, Format::SmbiosTable);
    assert_eq!(dump.format, Format::SmbiosDump);
    for inventory in [&table, &dump] {
        check(inventory, FIRTH, Subset::Whole);
        assert_eq!(inventory.slots, text.slots);
        assert_eq!(inventory.processors, text.processors);
        assert_eq!(inventory.arrays, text.arrays);
        assert_eq!(inventory.system, text.system);
        assert_eq!(inventory.notes, text.notes);
    }
}

#[test]
fn the_kept_dump_file_is_the_one_built_here() {
    assert!(
        DUMP == dump(),
        "write the bytes of `dump()` to firth.smbios.bin"
    );
}

#[test]
fn the_tree_gives_what_it_can() {
    let inventory = of(LSHW.as_bytes());
    assert_eq!(inventory.format, Format::Lshw);
    check(&inventory, FIRTH, Subset::Lshw);
    assert_eq!(inventory.placing, Placing::Told);
}

#[test]
fn the_redfish_resources_give_what_the_machine_holds() {
    let documents = [REDFISH_MEMORY, REDFISH_PROCESSORS, REDFISH_SYSTEM];
    let documents = documents.map(str::as_bytes);
    let inventory = read_redfish(&documents, &SlotMap::default());
    check(&inventory, LOCH, Subset::Whole);
    assert_eq!(inventory.placing, Placing::Told);
    let joined = format!("[{REDFISH_MEMORY},{REDFISH_PROCESSORS},{REDFISH_SYSTEM}]");
    assert_eq!(of(joined.as_bytes()), inventory);
    let module = inventory.slots[0].module.as_ref().expect("a module");
    assert_eq!(module.other_part_numbers, ["900100-001"]);
}

#[test]
fn numbered_slots_are_asked_for_with_their_socket() {
    let inventory = of(TEXTS[2].as_bytes());
    let Placing::Ask(asked) = &inventory.placing else {
        panic!("numbers tell no channel");
    };
    assert_eq!(asked.len(), 24);
    assert_eq!(asked[12].name.locator.as_deref(), Some("PROC 2 DIMM 1"));
    assert_eq!(asked[12].socket, Fact::Derived(2));
}

#[test]
fn facts_say_how_far_they_can_be_relied_on() {
    let inventory = of(TEXTS[1].as_bytes());
    let module = inventory.slots[1].module.as_ref().expect("a module");
    assert_eq!(module.generation.standing(), Standing::Read);
    assert_eq!(module.rated_mts.standing(), Standing::Derived);
    assert_eq!(module.configured_mts.standing(), Standing::Unknown);
    let large = inventory.slots[13].module.as_ref().expect("a module");
    assert_eq!(large.capacity_mib, Fact::Derived(32 << 10));
    let codes: Vec<Code> = inventory.notes.iter().map(|note| note.code).collect();
    assert!(codes.contains(&Code::CapacityFromMappedMemory));
}
