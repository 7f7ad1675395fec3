//! Readers for what a customer sends about a whole machine.
//!
//! [`read()`] tells the format and hands over to [`smbios`], [`dmidecode`], [`redfish`] or
//! [`lshw`]. Each fills `whole::Draft`s, and `whole::finish` judges (`judge`, `rates`, `maker`),
//! takes out what is described twice (`repeats`) and places ([`locate`]) all slots together. The
//! result is always an [`Inventory`]: what could not be read is unknown, and a [`note`] says why.

mod device;
pub mod dmidecode;
mod facts;
mod json;
mod judge;
pub mod locate;
pub mod lshw;
mod maker;
pub mod note;
pub mod on_board;
mod rates;
pub mod record;
pub mod redfish;
mod repeats;
pub mod smbios;
mod whole;

pub use facts::{same_rate, standard_rate};
pub use locate::{MappedPlace, SlotMap};
pub use note::{Code, Note, Param};
pub use record::{
    Fact, Format, Generation, Inventory, Kind, Occupancy, PlacedBy, Placing, Standing,
};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::Value;
use std::borrow::Cow;

/// Reads a report of any format. Binary forms may come as base64 text.
pub fn read(input: &[u8], map: &SlotMap) -> Inventory {
    match recognise(input) {
        Input::Binary(bytes) => smbios::read(&bytes, map),
        Input::Dmidecode(text) => dmidecode::read(&text, map),
        Input::Lshw(values, notes) => lshw::read(&values, notes, map),
        Input::Redfish(values, notes) => redfish::read(&values, notes, map),
        Input::Other(mut notes) => {
            notes.push(Note::report(Code::FormatNotRecognised, vec![]));
            let mut report = whole::Report::new(Format::Unrecognised);
            report.notes = notes;
            whole::finish(report, map)
        }
    }
}

/// Reads several Redfish documents as one: the memory, the processors, the system.
pub fn read_redfish(documents: &[&[u8]], map: &SlotMap) -> Inventory {
    let mut values = Vec::new();
    let mut notes = Vec::new();
    for document in documents {
        let (more, noticed) = json::parse(&text_of(document));
        values.extend(more);
        notes.extend(noticed);
    }
    redfish::read(&values, notes, map)
}

/// The format of a report.
pub fn sniff(input: &[u8]) -> Format {
    match recognise(input) {
        Input::Binary(bytes) if bytes.starts_with(b"_SM") => Format::SmbiosDump,
        Input::Binary(_) => Format::SmbiosTable,
        Input::Dmidecode(_) => Format::DmidecodeText,
        Input::Lshw(..) => Format::Lshw,
        Input::Redfish(..) => Format::Redfish,
        Input::Other(_) => Format::Unrecognised,
    }
}

/// An input as far as it had to be taken apart to be recognised.
enum Input<'a> {
    Binary(Cow<'a, [u8]>),
    Dmidecode(Cow<'a, str>),
    Lshw(Vec<Value>, Vec<Note>),
    Redfish(Vec<Value>, Vec<Note>),
    Other(Vec<Note>),
}

fn recognise(input: &[u8]) -> Input<'_> {
    if is_dump(input) {
        return Input::Binary(Cow::Borrowed(input));
    }
    let text = text_of(input);
    if text.trim_start().starts_with(['{', '[']) {
        let (values, notes) = json::parse(&text);
        return match () {
            () if redfish::looks_like(&values) => Input::Redfish(values, notes),
            () if lshw::looks_like(&values) => Input::Lshw(values, notes),
            () => Input::Other(notes),
        };
    }
    if dmidecode::looks_like(&text) {
        return Input::Dmidecode(text);
    }
    if smbios::looks_like_table(input) {
        return Input::Binary(Cow::Borrowed(input));
    }
    match decoded(&text) {
        Some(bytes) => Input::Binary(Cow::Owned(bytes)),
        None => Input::Other(Vec::new()),
    }
}

fn is_dump(input: &[u8]) -> bool {
    input.starts_with(b"_SM3_") || input.starts_with(b"_SM_")
}

/// The input as text: UTF-8 or, with a byte order mark, UTF-16; faults become U+FFFD.
fn text_of(input: &[u8]) -> Cow<'_, str> {
    let wide = |order: fn([u8; 2]) -> u16| {
        let units = input.chunks_exact(2).skip(1).filter_map(|pair| {
            let pair: [u8; 2] = pair.try_into().ok()?;
            Some(order(pair))
        });
        let text: String = char::decode_utf16(units)
            .map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER))
            .collect();
        Cow::Owned(text)
    };
    if input.starts_with(&[0xFF, 0xFE]) {
        return wide(u16::from_le_bytes);
    }
    if input.starts_with(&[0xFE, 0xFF]) {
        return wide(u16::from_be_bytes);
    }
    String::from_utf8_lossy(input.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(input))
}

/// A binary form in base64.
fn decoded(text: &str) -> Option<Vec<u8>> {
    let squeezed: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let bytes = STANDARD.decode(squeezed).ok()?;
    (is_dump(&bytes) || smbios::looks_like_table(&bytes)).then_some(bytes)
}
