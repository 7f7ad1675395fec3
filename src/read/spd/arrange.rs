//! Finds the image in the bytes of a dump: its generation, and whether pairs of bytes were swapped or
//! something stands before it.

use super::{crc, notes};
use crate::read::note::Note;
use crate::read::vocabulary::Generation;

/// An image put in order.
pub(super) struct Arranged {
    pub generation: Generation,
    pub bytes: Vec<u8>,
    pub note: Option<Note>,
}

/// A header of a tool is no longer than this.
const LONGEST_HEADER: usize = 64;

/// Puts the bytes in order; the note says why that cannot be done.
///
/// As they are is right when the type is known and the checksum agrees. Else swapped pairs or a header
/// are right when the checksum agrees then. Else a known type alone decides.
pub(super) fn arrange(bytes: &[u8]) -> Result<Arranged, Note> {
    let plain = |note| {
        move |(generation, bytes)| Arranged {
            generation,
            bytes,
            note,
        }
    };
    let swapped = swap_pairs(bytes);
    let as_is = generation_of(bytes).map(|generation| (generation, bytes.to_vec()));
    let in_pairs = generation_of(&swapped).map(|generation| (generation, swapped.clone()));
    let agrees = |found: &(Generation, Vec<u8>)| checksum_agrees(found.0, &found.1);
    if let Some(found) = as_is.clone().filter(agrees) {
        return Ok(plain(None)(found));
    }
    if let Some(found) = in_pairs.clone().filter(agrees) {
        return Ok(plain(Some(Note::new(&notes::SWAPPED)))(found));
    }
    if let Some((skipped, found)) = after_header(bytes) {
        let note = Note::new(&notes::HEADER_SKIPPED).number("bytes", skipped);
        return Ok(plain(Some(note))(found));
    }
    let by_type = as_is
        .map(plain(None))
        .or_else(|| in_pairs.map(plain(Some(Note::new(&notes::SWAPPED)))));
    by_type.ok_or_else(|| unknown_type(bytes))
}

fn generation_of(bytes: &[u8]) -> Option<Generation> {
    match bytes.get(2)? {
        0x0b => Some(Generation::Ddr3),
        // 0x0E is DDR4E, whose layout is the same.
        0x0c | 0x0e => Some(Generation::Ddr4),
        0x12 => Some(Generation::Ddr5),
        _ => None,
    }
}

fn checksum_agrees(generation: Generation, bytes: &[u8]) -> bool {
    crc::base(generation, bytes)
        .check(bytes)
        .is_some_and(|check| check.is_right())
}

fn swap_pairs(bytes: &[u8]) -> Vec<u8> {
    bytes
        .chunks(2)
        .flat_map(|pair| pair.iter().rev())
        .copied()
        .collect()
}

fn after_header(bytes: &[u8]) -> Option<(usize, (Generation, Vec<u8>))> {
    (1..=LONGEST_HEADER).find_map(|skipped| {
        let rest = bytes.get(skipped..)?;
        let generation = generation_of(rest)?;
        checksum_agrees(generation, rest).then(|| (skipped, (generation, rest.to_vec())))
    })
}

fn unknown_type(bytes: &[u8]) -> Note {
    let Some(code) = bytes.get(2) else {
        return Note::new(&notes::TOO_SHORT)
            .number("bytes", bytes.len())
            .number("needed", 128);
    };
    let name = match code {
        0x01..=0x04 => "asynchronous or early synchronous DRAM",
        0x05 | 0x06 => "graphics DRAM",
        0x07 => "DDR",
        0x08..=0x0a => "DDR2",
        0x0f => "LPDDR3",
        0x10 => "LPDDR4",
        0x11 => "LPDDR4X",
        0x13 => "LPDDR5",
        0x14 => "DDR5 NVDIMM-P",
        0x15 => "LPDDR5X",
        _ => return Note::found(&notes::TYPE_UNKNOWN, &format!("{code:02X}")),
    };
    Note::found(&notes::TYPE_NOT_COVERED, name)
}
