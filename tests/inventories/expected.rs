//! Compares an inventory with a record of what a report holds, kept as JSON.
//!
//! The record's numbers count from 0, the inventory's from 1. A member that is `null` is not known
//! by whoever wrote the record, so nothing is checked against it.

use kitproof::read::inventory::record::{Module, Slot};
use kitproof::read::inventory::{Inventory, Occupancy, same_rate};
use serde_json::Value;

/// Everything that differs, as lines to print.
pub fn differences(inventory: &Inventory, record: &Value, subset: Subset) -> Vec<String> {
    let mut lines = Vec::new();
    let modules = record["modules"].as_array().expect("a list of modules");
    if inventory.slots.len() != modules.len() {
        lines.push(format!(
            "{} slots for {}",
            inventory.slots.len(),
            modules.len()
        ));
    }
    for (index, wanted) in modules.iter().enumerate() {
        let Some(slot) = find(inventory, index, wanted, subset) else {
            lines.push(format!("no slot for {wanted}"));
            continue;
        };
        let mut found = Vec::new();
        compare_slot(slot, wanted, subset, &mut found);
        let name = wanted["locator"].as_str().unwrap_or_default();
        lines.extend(
            found
                .into_iter()
                .map(|line| format!("{index} {name}: {line}")),
        );
    }
    compare_sums(inventory, record, &mut lines);
    lines
}

/// What a format can tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Subset {
    /// Everything, slots in the order of the record.
    Whole,
    /// Slots in an order of their own, found by locator.
    ByLocator,
    /// No bank locator, ranks, running rate or total width; kind only sometimes.
    Lshw,
}

fn find<'a>(
    inventory: &'a Inventory,
    index: usize,
    wanted: &Value,
    subset: Subset,
) -> Option<&'a Slot> {
    if subset != Subset::ByLocator {
        return inventory.slots.get(index);
    }
    let locator = wanted["locator"].as_str();
    inventory
        .slots
        .iter()
        .find(|slot| slot.name.locator.as_deref() == locator)
}

fn compare_slot(slot: &Slot, wanted: &Value, subset: Subset, lines: &mut Vec<String>) {
    let populated = slot.occupancy == Occupancy::Populated;
    if Some(populated) != wanted["populated"].as_bool() {
        lines.push(format!("{:?}", slot.occupancy));
    }
    compare_place(slot, &wanted["location"], subset, lines);
    match &slot.module {
        Some(module) => compare_module(module, wanted, subset, lines),
        None if populated => lines.push("no module".to_owned()),
        None => {}
    }
}

fn compare_place(slot: &Slot, wanted: &Value, subset: Subset, lines: &mut Vec<String>) {
    let numbers = [
        ("socket", slot.place.socket.value().copied()),
        ("channel", slot.place.channel.value().copied()),
        ("slot", slot.place.index.value().copied()),
    ];
    for (member, found) in numbers {
        let wanted = wanted[member].as_u64().map(|number| number + 1);
        let found = found.map(u64::from);
        let silent = found.is_none() && subset == Subset::Lshw;
        if wanted.is_some() && !silent && found != wanted {
            lines.push(format!("{member} {found:?} for {wanted:?}"));
        }
    }
    // Where the record knows no channel, saying one would be guessing.
    if wanted["rule"].is_string() && wanted["channel"].is_null() {
        let guessed = slot.place.channel.value();
        if let Some(channel) = guessed {
            lines.push(format!("channel {channel} is guessed"));
        }
    }
}

fn compare_module(module: &Module, wanted: &Value, subset: Subset, lines: &mut Vec<String>) {
    let whole = subset != Subset::Lshw;
    let mut say = |member: &str, found: Option<String>, same: bool, required: bool| {
        let wanted = &wanted[member];
        let wrong = match (&found, wanted.is_null()) {
            (_, true) => false,
            (None, false) => required,
            (Some(_), false) => !same,
        };
        if wrong {
            lines.push(format!("{member} {found:?} for {wanted}"));
        }
    };
    let generation = module.generation.value().map(ToString::to_string);
    let same = generation.as_deref() == wanted["generation"].as_str();
    say("generation", generation, same, true);
    let kind = module.kind.value().map(|kind| kind.name().to_owned());
    let same = kind.as_deref() == wanted["kind"].as_str();
    say("kind", kind, same, whole);
    let mib = module.capacity_mib.value().copied();
    let same = mib == wanted["capacity_gib"].as_u64().map(|gib| gib << 10);
    say("capacity_gib", mib.map(|mib| mib.to_string()), same, true);
    let number = |member: &str, found: Option<u64>| {
        (
            found.map(|n| n.to_string()),
            found == wanted[member].as_u64(),
        )
    };
    let (found, same) = number("ranks", module.ranks.value().map(|n| u64::from(*n)));
    say("ranks", found, same, whole);
    let (found, same) = number(
        "data_width",
        module.data_width.value().map(|n| u64::from(*n)),
    );
    say("data_width", found, same, true);
    let (found, same) = number(
        "total_width",
        module.total_width.value().map(|n| u64::from(*n)),
    );
    say("total_width", found, same, whole);
    let (found, same) = number(
        "configured_mv",
        module.configured_mv.value().map(|n| u64::from(*n)),
    );
    say("configured_mv", found, same, whole);
    let ecc = module.ecc.value().copied();
    let same = ecc == wanted["ecc"].as_bool();
    say("ecc", ecc.map(|ecc| ecc.to_string()), same, whole);
    for (member, rate, required) in [
        ("rated_mts", module.rated_mts, true),
        ("configured_mts", module.configured_mts, whole),
    ] {
        let rate = rate.value().copied();
        let near = |wanted: u64| {
            rate.is_some_and(|r| u32::try_from(wanted).is_ok_and(|w| same_rate(r, w)))
        };
        let same = wanted[member].as_u64().is_some_and(near);
        say(member, rate.map(|rate| rate.to_string()), same, required);
    }
    let part = module.part_number.value().cloned();
    let same = part.as_deref() == wanted["part_number"].as_str();
    say("part_number", part, same, true);
    let maker = module.maker.value().cloned();
    let same = maker.as_deref() == wanted["manufacturer"].as_str();
    say("manufacturer", maker, same, true);
}

fn compare_sums(inventory: &Inventory, record: &Value, lines: &mut Vec<String>) {
    let check = &record["check"];
    let populated = inventory.populated() as u64;
    if check["populated"].as_u64() != Some(populated) {
        lines.push(format!("{populated} populated for {}", check["populated"]));
    }
    let gib = inventory.capacity_mib() >> 10;
    if check["capacity_gib"].as_u64() != Some(gib) {
        lines.push(format!("{gib} GiB for {}", check["capacity_gib"]));
    }
    let mapped = check["mapped_mib_type19"].as_u64();
    if mapped.is_some() && inventory.mapped_mib.is_some() && inventory.mapped_mib != mapped {
        lines.push(format!("{:?} mapped for {mapped:?}", inventory.mapped_mib));
    }
}

/// What differs in the machine's own facts.
pub fn machine_differences(inventory: &Inventory, record: &Value) -> Vec<String> {
    let mut lines = Vec::new();
    let system = &inventory.system;
    for (member, found) in [
        ("maker", system.maker.value()),
        ("product", system.product.value()),
        ("board_maker", system.board_maker.value()),
        ("board", system.board.value()),
    ] {
        let wanted = record["system"][member].as_str();
        if found.map(String::as_str) != wanted {
            lines.push(format!("{member} {found:?} for {wanted:?}"));
        }
    }
    let processors = record["processors"].as_array().expect("a list");
    if processors.len() != inventory.processors.len() {
        lines.push(format!("{} processors", inventory.processors.len()));
    }
    for (found, wanted) in inventory.processors.iter().zip(processors) {
        let populated = found.populated.value().copied();
        let model = found.model.value().map(String::as_str);
        let same = found.socket_label.as_deref() == wanted["socket_label"].as_str()
            && populated == wanted["populated"].as_bool()
            && (populated != Some(true) || model == wanted["model"].as_str());
        if !same {
            lines.push(format!("processor {found:?} for {wanted}"));
        }
    }
    lines
}
