//! SPD images: the bytes that a DDR3, DDR4 or DDR5 module carries, decoded into a record.
//!
//! Sources: JEDEC 21-C Annex K (DDR3), Annex L (DDR4) and JESD400-5 (DDR5) as open firmware and open
//! decoders cite them, section by section. Checksums are checked first: a field under a wrong one is
//! assumed, never read. What the image does not hold, such as the factor by which a DDR3 LRDIMM's
//! buffer hides ranks, is not in the record.
//!
//! [`dump`] turns text into bytes, `arrange` finds the image in them, `image` reads single fields,
//! `ddr3`, `ddr4` and `ddr5` are the tables, `shared` holds what several of them have alike,
//! `organisation` and [`timing`] compute what follows.

mod arrange;
pub mod crc;
mod ddr3;
mod ddr4;
mod ddr5;
pub mod dump;
mod image;
pub mod notes;
mod organisation;
pub(in crate::read) mod raw_card;
mod shared;
pub mod timing;

use super::Reading;
use super::note::Note;
use super::vocabulary::Generation;
use arrange::Arranged;
use image::Decoder;

/// Reads an SPD image from a text dump: hexadecimal in the usual forms, or base64.
pub fn read_dump(text: &str) -> Reading {
    let (bytes, mut notes) = dump::bytes_of_dump(text);
    if bytes.is_empty() {
        return Reading {
            notes,
            ..Reading::default()
        };
    }
    let mut reading = read_spd(&bytes);
    notes.append(&mut reading.notes);
    Reading { notes, ..reading }
}

/// Reads an SPD image of any length. Fewer than 128 bytes cannot tell a module; what can be read of
/// them is read all the same.
pub fn read_spd(bytes: &[u8]) -> Reading {
    let mut reading = Reading::default();
    if let Some(first) = bytes.first()
        && matches!(first, 0 | 0xff)
        && bytes.iter().all(|byte| byte == first)
    {
        reading.notes.push(Note::new(&notes::EMPTY));
        return reading;
    }
    match arrange::arrange(bytes) {
        Ok(arranged) => decode(arranged, &mut reading),
        Err(note) => reading.notes.push(note),
    }
    reading
}

fn decode(arranged: Arranged, reading: &mut Reading) {
    let Arranged {
        generation,
        bytes,
        note,
    } = arranged;
    reading.notes.extend(note);
    reading.notes.extend(length_note(generation, bytes.len()));
    let (mut spd, checks) = Decoder::new(generation, &bytes);
    let module = &mut reading.module;
    module.generation = spd.fact(2, Some(generation));
    match generation {
        Generation::Ddr3 => ddr3::read(&mut spd, module),
        Generation::Ddr4 => ddr4::read(&mut spd, module),
        Generation::Ddr5 => ddr5::read(&mut spd, module),
    }
    module.spd.checks = checks;
    reading.notes.append(&mut spd.notes);
    organisation::settle(module, &mut reading.notes);
    timing::settle(module, &mut reading.notes);
}

/// Says when the image is shorter than the sections that are read.
fn length_note(generation: Generation, length: usize) -> Option<Note> {
    let (needed, whole) = match generation {
        Generation::Ddr3 => (128, 150),
        Generation::Ddr4 => (128, 353),
        Generation::Ddr5 => (512, 555),
    };
    if length < needed {
        let note = Note::new(&notes::TOO_SHORT).number("bytes", length);
        return Some(note.number("needed", needed));
    }
    (length < whole).then(|| {
        Note::new(&notes::CUT_SHORT)
            .number("bytes", length)
            .number("whole", whole)
    })
}
