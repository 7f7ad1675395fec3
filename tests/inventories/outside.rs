//! Real reports, kept outside the repository beside it; skipped, with a word, where they are not.
//!
//! Sources: linuxhw/DMI 57b21bc6 (CC BY 4.0: "Contains dmidecode reports from the linuxhw/DMI
//! collection, CC BY 4.0, shortened"), u-root 9b0bdb83 (BSD-3-Clause), Cray-HPE
//! csm-redfish-interface-emulator 4cb7a59e (BSD-3-Clause), DMTF Redfish-Mockup-Server 9a86585f
//! (BSD-3-Clause), lshw 02.19 run on the tables. Expected records were written by tools of their
//! own and looked through by hand.

use crate::expected::{Subset, differences, machine_differences};
use crate::show::show;
use kitproof::read::inventory::{Format, Inventory, Placing, SlotMap, read, read_redfish, sniff};
use serde_json::Value;
use std::path::{Path, PathBuf};

fn folder() -> Option<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/vectors/inventory");
    if folder.is_dir() {
        return Some(folder);
    }
    show(
        "skipped: the real reports (21 machines in four forms, 4 Redfish collections) are not beside the repository",
    );
    None
}

/// Names of the reports in one of the formats, without their ending.
fn names(folder: &Path, format: &str, ending: &str) -> Vec<String> {
    let entries = std::fs::read_dir(folder.join(format)).expect("the folder of reports");
    let files = entries.map(|entry| entry.expect("an entry").file_name());
    let mut names: Vec<String> = files
        .filter_map(|file| Some(file.to_str()?.strip_suffix(ending)?.to_owned()))
        .collect();
    names.sort();
    names
}

fn bytes(path: PathBuf) -> Vec<u8> {
    std::fs::read(&path).unwrap_or_else(|fault| panic!("{}: {fault}", path.display()))
}

fn expected(folder: &Path, name: &str) -> Value {
    let path = folder.join("expected").join(format!("{name}.json"));
    serde_json::from_slice(&bytes(path)).expect("JSON")
}

fn check(format: &str, ending: &str, wanted: Format, subset: Subset, count: usize) {
    let Some(folder) = folder() else { return };
    let names = names(&folder, format, ending);
    assert_eq!(names.len(), count);
    let mut faults = Vec::new();
    let mut slots = 0;
    for name in &names {
        let input = bytes(folder.join(format).join(format!("{name}{ending}")));
        assert_eq!(sniff(&input), wanted, "{name}");
        let inventory = read(&input, &SlotMap::default());
        let record = expected(&folder, name);
        slots += inventory.slots.len();
        let notes = inventory.notes.iter();
        let missing = notes.filter(|note| note.code.is_incomplete());
        faults.extend(missing.map(|note| format!("{name}: {}", note.code.code())));
        let mut lines = differences(&inventory, &record, subset);
        if subset == Subset::Whole {
            lines.extend(machine_differences(&inventory, &record));
        }
        faults.extend(lines.into_iter().map(|line| format!("{name}: {line}")));
    }
    show(&format!(
        "{} reports of {format}/*{ending} checked: {slots} slots",
        names.len()
    ));
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn dmidecode_reports_give_the_expected_records() {
    check(
        "dmidecode",
        ".txt",
        Format::DmidecodeText,
        Subset::Whole,
        21,
    );
}

#[test]
fn smbios_tables_give_the_expected_records() {
    check("smbios", ".DMI", Format::SmbiosTable, Subset::Whole, 21);
}

#[test]
fn smbios_dumps_give_the_expected_records() {
    check("smbios", ".bin", Format::SmbiosDump, Subset::Whole, 21);
}

#[test]
fn lshw_outputs_give_what_they_can_of_the_expected_records() {
    check("lshw", ".json", Format::Lshw, Subset::Lshw, 21);
}

#[test]
fn an_smbios_table_and_its_text_give_the_same_slots() {
    let Some(folder) = folder() else { return };
    for name in names(&folder, "smbios", ".DMI") {
        let table = bytes(folder.join("smbios").join(format!("{name}.DMI")));
        let dump = bytes(folder.join("smbios").join(format!("{name}.bin")));
        let text = bytes(folder.join("dmidecode").join(format!("{name}.txt")));
        let [mut table, mut dump, mut text] =
            [table, dump, text].map(|input| read(&input, &SlotMap::default()));
        // Old tools print a code that they do not know as `<OUT OF SPEC>`: the same value, inferred.
        for inventory in [&mut table, &mut dump, &mut text] {
            for module in inventory.slots.iter_mut().filter_map(|s| s.module.as_mut()) {
                let value = module.generation.value().copied();
                module.generation = kitproof::read::inventory::Fact::of(value);
            }
        }
        assert_eq!(table.slots, text.slots, "{name}");
        assert_eq!(dump.slots, text.slots, "{name}");
        assert_eq!(table.processors, text.processors, "{name}");
        assert_eq!(table.system, text.system, "{name}");
        assert_eq!(table.arrays, text.arrays, "{name}");
        assert_eq!(table.mapped_mib, text.mapped_mib, "{name}");
    }
}

fn redfish(folder: &Path, name: &str) -> Inventory {
    let parts = ["Memory", "Processors", "System"];
    let files = parts.map(|part| folder.join("redfish").join(format!("{name}.{part}.json")));
    let documents: Vec<Vec<u8>> = files
        .into_iter()
        .filter(|f| f.exists())
        .map(bytes)
        .collect();
    let documents: Vec<&[u8]> = documents.iter().map(Vec::as_slice).collect();
    read_redfish(&documents, &SlotMap::default())
}

#[test]
fn redfish_collections_give_the_expected_records() {
    let Some(folder) = folder() else { return };
    let names = names(&folder, "redfish", ".Memory.json");
    assert_eq!(names.len(), 4);
    let mut faults = Vec::new();
    for name in names {
        let inventory = redfish(&folder, &name);
        let record = expected(&folder, &format!("{name}.redfish"));
        let lines = differences(&inventory, &record, Subset::ByLocator);
        faults.extend(lines.into_iter().map(|line| format!("{name}: {line}")));
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

// The maker's own numbers: DIMM 1 and 2 in channel 3, 13 and 14 in channel 6 and so on.
#[test]
fn redfish_numbers_place_slots_whose_names_do_not() {
    let Some(folder) = folder() else { return };
    let inventory = redfish(&folder, "hpe-dl325-gen10plus");
    assert_eq!(inventory.placing, Placing::Told);
    let channels = [3, 3, 4, 4, 2, 2, 1, 1, 7, 7, 8, 8, 6, 6, 5, 5];
    for (index, (slot, channel)) in inventory.slots.iter().zip(channels).enumerate() {
        assert_eq!(slot.place.socket.value(), Some(&1));
        assert_eq!(slot.place.channel.value(), Some(&channel));
        assert_eq!(slot.place.index.value(), Some(&(index as u16 % 2 + 1)));
    }
}

#[test]
fn redfish_letters_that_run_on_over_sockets_are_ranked_in_each() {
    let Some(folder) = folder() else { return };
    let inventory = redfish(&folder, "gigabyte-h262-z63-2s");
    assert_eq!(inventory.placing, Placing::Told);
    for (index, slot) in inventory.slots.iter().enumerate() {
        assert_eq!(slot.place.socket.value(), Some(&(index as u16 / 8 + 1)));
        assert_eq!(slot.place.channel.value(), Some(&(index as u16 % 8 + 1)));
    }
}

#[test]
fn redfish_running_numbers_tell_the_socket_and_ask_for_the_rest() {
    let Some(folder) = folder() else { return };
    let inventory = redfish(&folder, "cray-ex425-2s");
    let Placing::Ask(asked) = &inventory.placing else {
        panic!("nothing tells the channel");
    };
    assert_eq!(asked.len(), 16);
    let sockets = asked.iter().map(|slot| slot.socket.value().copied());
    assert!(sockets.eq((0..16).map(|n| Some(n / 8 + 1))));
}

#[test]
fn redfish_global_slot_numbers_are_ranked_within_their_channel() {
    let Some(folder) = folder() else { return };
    let inventory = redfish(&folder, "dmtf-public-rackmount1");
    let places = inventory.slots.iter().map(|slot| {
        let place = &slot.place;
        let numbers = [place.socket, place.channel, place.index];
        numbers.map(|number| number.value().copied().unwrap_or(0))
    });
    assert!(places.eq([[1, 1, 1], [1, 1, 2], [2, 1, 1], [2, 1, 2]]));
}
