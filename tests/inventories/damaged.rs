//! Damaged input: whatever comes, a reader answers with an inventory, and soon.
//!
//! A million damaged inputs per reader, held to 50 ms each and 16 MiB, are left out of the usual run; the
//! head of `tests/readers/fuzz.rs` has the command.

use crate::invented;
use crate::show::show;
use crate::watch::Watch;
use kitproof::read::inventory::{Inventory, Note, Placing, SlotMap, read, read_redfish};
use proptest::prelude::*;
use std::time::{Duration, Instant};

/// Far above what any input of a few ten kilobytes takes, even on a busy machine without
/// optimisation.
const SOON: Duration = Duration::from_secs(2);

/// Splitmix64: one seed gives one damage.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, limit: usize) -> usize {
        usize::try_from(self.next() % limit.max(1) as u64).expect("small")
    }
}

/// Pieces that mean something to one reader or another.
const PIECES: &[&[u8]] = &[
    b"\0\0",
    b"\xFF\xFF",
    b"\x7F\xFF",
    b"\x11\x1B",
    b"\x7F\x04",
    b"_SM3_",
    b"_SM_",
    b"\n\n",
    b"Handle 0x0000, DMI type 17, 40 bytes\nMemory Device\n",
    b"\tSize: 99999999999999999999 TB\n",
    b"Memory Device\n",
    b": ",
    b"\tLocator: P0 CHANNEL Z DIMM 4294967296\n",
    b"{",
    b"}",
    b"[",
    b"]",
    b"null",
    b"-1",
    b"1e308",
    b"18446744073709551615",
    b"\"\"",
    b",",
    b"\"Members\":[",
    b"DIMM",
    b"0x",
    b"\xEF\xBF\xBD",
    b"\xC3",
    b"\xFF\xFE",
    b"4294967295",
    b"65535",
];

/// One to eight changes: a byte, a cut, a doubled or dropped stretch, a piece put in.
fn damaged(original: &[u8], seed: u64) -> Vec<u8> {
    let mut dice = Dice(seed);
    let mut bytes = original.to_vec();
    for _ in 0..=dice.below(8) {
        let at = dice.below(bytes.len());
        let end = (at + dice.below(64)).min(bytes.len());
        match dice.below(6) {
            0 if at < bytes.len() => bytes[at] = dice.next().to_le_bytes()[0],
            1 if at < bytes.len() => bytes[at] ^= 1 << dice.below(8),
            2 if dice.below(4) == 0 => bytes.truncate(at),
            3 => drop(bytes.drain(at..end)),
            4 => {
                let stretch = bytes[at..end].to_vec();
                bytes.splice(at..at, stretch);
            }
            _ => {
                let piece = PIECES[dice.below(PIECES.len())];
                bytes.splice(at..at, piece.iter().copied());
            }
        }
    }
    bytes
}

/// What holds for every inventory.
fn is_sound(inventory: &Inventory) -> bool {
    let slots = inventory.slots.len();
    let asked_exist = match &inventory.placing {
        Placing::Told => true,
        Placing::Ask(asked) => asked.iter().all(|asked| asked.slot < slots),
    };
    let complete = |note: &Note| {
        let pattern = note.code.pattern();
        let has = |name: &str| pattern.contains(&format!("{{ ${name} }}"));
        note.params.len() == pattern.matches("{ $").count()
            && note.params.iter().all(|(name, _)| has(name))
            && note.slot.is_none_or(|slot| slot < slots)
    };
    let numbers_start_at_one = inventory.slots.iter().all(|slot| {
        let place = &slot.place;
        let numbers = [place.socket, place.channel, place.index, place.position];
        numbers.iter().all(|number| number.value() != Some(&0))
    });
    asked_exist && numbers_start_at_one && inventory.notes.iter().all(complete)
}

/// Reads one damaged input; `Err` says what is wrong with the answer.
fn try_one(original: &[u8], seed: u64) -> Result<(), String> {
    let input = damaged(original, seed);
    let begun = Instant::now();
    let inventory = read(&input, &SlotMap::default());
    if begun.elapsed() > SOON {
        return Err(format!("seed {seed}: took {:?}", begun.elapsed()));
    }
    judged(&inventory, seed)
}

fn judged(inventory: &Inventory, seed: u64) -> Result<(), String> {
    match is_sound(inventory) {
        true => Ok(()),
        false => Err(format!("seed {seed}: {inventory:#?}")),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn a_damaged_smbios_table_gives_an_inventory(seed: u64) {
        prop_assert_eq!(try_one(&invented::table(), seed), Ok(()));
    }

    #[test]
    fn a_damaged_smbios_dump_gives_an_inventory(seed: u64) {
        prop_assert_eq!(try_one(&invented::dump(), seed), Ok(()));
    }

    #[test]
    fn a_damaged_dmidecode_text_gives_an_inventory(seed: u64) {
        prop_assert_eq!(try_one(invented::TEXTS[seed as usize % 3].as_bytes(), seed), Ok(()));
    }

    #[test]
    fn a_damaged_redfish_collection_gives_an_inventory(seed: u64) {
        prop_assert_eq!(try_one(invented::REDFISH_MEMORY.as_bytes(), seed), Ok(()));
    }

    #[test]
    fn a_damaged_lshw_output_gives_an_inventory(seed: u64) {
        prop_assert_eq!(try_one(invented::LSHW.as_bytes(), seed), Ok(()));
    }

    #[test]
    fn any_bytes_give_an_inventory(bytes in proptest::collection::vec(any::<u8>(), 0..2000)) {
        prop_assert!(is_sound(&read(&bytes, &SlotMap::default())));
        prop_assert!(is_sound(&read_redfish(&[&bytes], &SlotMap::default())));
    }

    #[test]
    fn any_locators_give_places(names in proptest::collection::vec(("[ -~]{0,24}", "[A-D0-3_ ]{0,12}"), 0..40)) {
        let devices: String = names
            .iter()
            .map(|(locator, bank)| format!(
                "Handle 0x0001, DMI type 17, 84 bytes\nMemory Device\n\tSize: 16 GB\n\t\
                Locator: {locator}\n\tBank Locator: {bank}\n\n"
            ))
            .collect();
        let inventory = read(devices.as_bytes(), &SlotMap::default());
        prop_assert!(is_sound(&inventory));
        let mut places: Vec<_> = inventory.slots.iter().map(|slot| {
            let place = &slot.place;
            [place.socket, place.channel, place.index].map(|n| n.value().copied())
        }).filter(|place| place.iter().all(Option::is_some)).collect();
        let placed = places.len();
        places.sort();
        places.dedup();
        prop_assert_eq!(places.len(), placed, "two slots at one place");
    }
}

#[test]
fn large_input_is_read_soon() {
    let text = invented::TEXTS[0].repeat(100);
    let mut json = String::from("[");
    json.push_str(&vec![invented::REDFISH_MEMORY; 100].join(","));
    json.push(']');
    let table = crate::table::Structure::new(17, 27, 0).text(0x10, "DIMM_A1");
    let tables = crate::table::table(&(0..20_000).map(|_| table.clone()).collect::<Vec<_>>());
    for input in [
        text.into_bytes(),
        json.into_bytes(),
        tables,
        vec![b'{'; 1 << 20],
        vec![b'['; 1 << 20],
        b"Memory Device\n".repeat(1 << 16),
        b"{\"id\":\"bank\",\"class\":\"memory\"}".repeat(1 << 15),
        vec![0x11; 1 << 20],
        vec![4; 1 << 20],
    ] {
        let begun = Instant::now();
        let inventory = read(&input, &SlotMap::default());
        assert!(is_sound(&inventory));
        let took = begun.elapsed();
        assert!(took < 4 * SOON, "{} bytes took {took:?}", input.len());
    }
}

fn a_million(name: &'static str, originals: &[&[u8]]) {
    let mut watch = Watch::new(name);
    for seed in 0..1_000_000_u64 {
        let input = damaged(originals[seed as usize % originals.len()], seed);
        let inventory = watch.read(|| read(&input, &SlotMap::default()));
        if let Err(fault) = judged(&inventory, seed) {
            panic!("{name}: {fault}");
        }
    }
    show(&watch.end());
}

#[test]
#[ignore = "a million inputs per reader: run in release"]
fn a_million_damaged_inputs_per_reader_give_inventories() {
    let (table, dump) = (invented::table(), invented::dump());
    a_million("SMBIOS table", &[&table]);
    a_million("SMBIOS dump", &[&dump]);
    let texts = invented::TEXTS.map(str::as_bytes);
    a_million("dmidecode text", &texts);
    a_million("Redfish", &[invented::REDFISH_MEMORY.as_bytes()]);
    a_million("lshw", &[invented::LSHW.as_bytes()]);
}
