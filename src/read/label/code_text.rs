//! The text of the two-dimensional code on a DDR5 module: `(L)label(S)18 hex digits(P)part number`.

use super::notes;
use crate::read::fact::Fact;
use crate::read::maker::Maker;
use crate::read::note::Note;
use crate::read::record::Origin;
use crate::read::vocabulary::Week;

/// The fields of a code text that are read; a plain label is all label.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct CodeText<'a> {
    pub label: &'a str,
    pub serial: Option<&'a str>,
    pub part_number: Option<&'a str>,
}

/// Splits a text at its field marks, which are one letter in parentheses.
pub(super) fn split(text: &str) -> CodeText<'_> {
    let mut out = CodeText::default();
    let mut rest = text;
    let mut mark = 'L';
    loop {
        let next = next_mark(rest);
        let field = next
            .map_or(Some(rest), |(at, _)| rest.get(..at))
            .unwrap_or_default()
            .trim();
        match mark {
            'L' if out.label.is_empty() => out.label = field,
            'S' => out.serial = Some(field),
            'P' => out.part_number = Some(field),
            _ => {}
        }
        let Some((at, letter)) = next else { break };
        mark = letter.to_ascii_uppercase();
        rest = rest.get(at + 3..).unwrap_or_default();
    }
    out
}

/// Where the next mark begins, and its letter.
fn next_mark(text: &str) -> Option<(usize, char)> {
    text.char_indices().find_map(|(at, character)| {
        let mut mark = text.get(at..)?.chars();
        let letter = mark.nth(1)?;
        (character == '(' && letter.is_ascii_alphabetic() && mark.next() == Some(')'))
            .then_some((at, letter))
    })
}

/// Fills in what the serial and part-number fields tell.
pub(super) fn read(text: &CodeText<'_>, origin: &mut Origin, notes: &mut Vec<Note>) {
    if let Some(part_number) = text.part_number.filter(|part| !part.is_empty()) {
        origin.part_number = Fact::read(part_number.to_owned());
    }
    let Some(serial) = text.serial else { return };
    let Some(bytes) = hex_bytes(serial) else {
        notes.push(Note::found(&notes::CODE_TEXT_UNKNOWN, serial));
        return;
    };
    // The same nine bytes in the same order as SPD bytes 512 to 520 (JESD400-5).
    let [bank, code, location, year, week, ..] = bytes;
    let known = crate::read::fact::Standing::Read;
    origin.maker = Fact::of(Maker::from_bytes(bank, code), known);
    origin.location = Fact::read(location);
    origin.date = Fact::of(Week::from_bcd(year, week), known);
    origin.serial = Fact::of(serial.get(10..).map(str::to_ascii_uppercase), known);
}

fn hex_bytes(text: &str) -> Option<[u8; 9]> {
    if text.len() != 18 || !text.bytes().all(|byte| byte.is_ascii_hexdigit()) {
        return None;
    }
    let mut bytes = [0; 9];
    for (index, byte) in bytes.iter_mut().enumerate() {
        *byte = u8::from_str_radix(text.get(2 * index..2 * index + 2)?, 16).ok()?;
    }
    Some(bytes)
}
