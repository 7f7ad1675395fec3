//! The forms in which one report comes.

use super::{ONE_PROCESSOR, codes, device_text, of_text};
use crate::table::{device, table};
use kitproof::read::inventory::{Code, Format, SlotMap, read, sniff};

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

#[test]
fn other_input_is_named_as_such() {
    for input in ["", "hello", "{}", "[1,2]", "{\"a\":", "\u{0}\u{1}\u{2}"] {
        let inventory = of_text(input);
        assert_eq!(inventory.format, Format::Unrecognised, "{input}");
        assert!(codes(&inventory).contains(&Code::FormatNotRecognised));
    }
}
