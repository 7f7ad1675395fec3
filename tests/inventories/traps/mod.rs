//! Every way in which reports mislead, one test each, with the values met in real reports
//! (survey of 227 reports of linuxhw/DMI, CC BY 4.0, and the issues and sources named beside it).

mod arrays;
mod forms;
pub mod lshw;
mod module_facts;
mod pasted;
mod placing;
mod processors;
mod rates;
mod redfish;

use crate::table::{Structure, table};
use kitproof::read::inventory::record::{Module, Slot};
use kitproof::read::inventory::{Code, Inventory, SlotMap, read};

pub fn of_table(structures: &[Structure]) -> Inventory {
    read(&table(structures), &SlotMap::default())
}

pub fn of_text(text: &str) -> Inventory {
    read(text.as_bytes(), &SlotMap::default())
}

pub fn codes(inventory: &Inventory) -> Vec<Code> {
    inventory.notes.iter().map(|note| note.code).collect()
}

pub fn module(inventory: &Inventory) -> &Module {
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

pub fn of_device(changes: &[(&str, &str)]) -> Inventory {
    of_text(&device_text(changes))
}

pub const ONE_PROCESSOR: &str = "Handle 0x0400, DMI type 4, 48 bytes\nProcessor Information\n\t\
    Socket Designation: CPU1\n\tType: Central Processor\n\tVersion: Invented 8\n\t\
    Status: Populated, Enabled\n\n";

pub fn places(slots: &[Slot]) -> Vec<[Option<u16>; 3]> {
    let numbers = |slot: &Slot| {
        let place = &slot.place;
        [place.socket, place.channel, place.index].map(|n| n.value().copied())
    };
    slots.iter().map(numbers).collect()
}

/// Places of slots of these names, with one processor described.
pub fn placed(names: &[(&str, &str)]) -> Inventory {
    let devices: String = names
        .iter()
        .map(|(locator, bank)| device_text(&[("Locator", locator), ("Bank Locator", bank)]))
        .collect();
    of_text(&format!("{ONE_PROCESSOR}{devices}"))
}
