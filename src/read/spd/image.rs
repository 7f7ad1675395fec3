//! An SPD image and the decoder around it: fields as facts, each as sure as the checksum over it.

use super::crc;
use super::notes;
use crate::read::fact::{Fact, Standing};
use crate::read::maker::Maker;
use crate::read::note::{Note, Parameter};
use crate::read::record::CrcCheck;
use crate::read::vocabulary::{Generation, Week};

/// Reads fields of an image and gathers notes. Every byte may be missing.
pub(super) struct Decoder<'a> {
    bytes: &'a [u8],
    /// Ranges whose checksum is wrong.
    doubtful: Vec<CrcCheck>,
    pub notes: Vec<Note>,
}

impl<'a> Decoder<'a> {
    /// Checks every checksum first, so that each field knows how sure it is.
    pub fn new(generation: Generation, bytes: &'a [u8]) -> (Self, Vec<CrcCheck>) {
        let mut decoder = Self {
            bytes,
            doubtful: Vec::new(),
            notes: Vec::new(),
        };
        let mut checks = Vec::new();
        for covered in crc::all(generation, bytes) {
            match covered.check(bytes) {
                Some(check) => checks.push(check),
                None if bytes.len() > covered.first => decoder.notes.push(
                    Note::new(&notes::CRC_NOT_CHECKED)
                        .number("first", covered.first)
                        .number("last", covered.last),
                ),
                None => {}
            }
        }
        decoder.doubtful = checks
            .iter()
            .filter(|check| !check.is_right())
            .copied()
            .collect();
        for check in &decoder.doubtful {
            decoder.notes.push(
                Note::new(&notes::CRC_WRONG)
                    .number("first", check.first)
                    .number("last", check.last)
                    .with("stored", Parameter::Hex(check.stored))
                    .with("computed", Parameter::Hex(check.computed)),
            );
        }
        (decoder, checks)
    }

    /// One byte.
    pub fn byte(&self, at: usize) -> Option<u8> {
        self.bytes.get(at).copied()
    }

    /// A byte in which all ones mean "not set".
    pub fn optional(&self, at: usize) -> Fact<u8> {
        self.fact(at, self.byte(at).filter(|byte| *byte != 0xff))
    }

    /// Bits `high` to `low` of a byte.
    pub fn bits(&self, at: usize, high: u32, low: u32) -> Option<u8> {
        let mask = u8::MAX.checked_shr(7_u32.saturating_sub(high.saturating_sub(low)))?;
        Some(self.byte(at)?.checked_shr(low)? & mask)
    }

    /// Two bytes, low one first.
    pub fn pair(&self, at: usize) -> Option<u32> {
        Some(u32::from(u16::from_le_bytes([
            self.byte(at)?,
            self.byte(at + 1)?,
        ])))
    }

    /// How sure a byte is.
    pub fn standing(&self, at: usize) -> Standing {
        let doubtful = self
            .doubtful
            .iter()
            .any(|check| (check.first..=check.last).contains(&at));
        if doubtful {
            Standing::Assumed
        } else {
            Standing::Read
        }
    }

    /// A value that stands at a byte, as sure as the byte is.
    pub fn fact<T>(&self, at: usize, value: Option<T>) -> Fact<T> {
        Fact::of(value, self.standing(at))
    }

    /// One bit of a byte.
    pub fn flag(&self, at: usize, bit: u32) -> Fact<bool> {
        self.fact(at, self.bits(at, bit, bit).map(|bit| bit == 1))
    }

    /// A field of bits whose codes a table turns into values; a code that is not in it gives a note.
    pub fn code<T>(
        &mut self,
        (at, high, low): (usize, u32, u32),
        field: &str,
        table: impl FnOnce(u8) -> Option<T>,
    ) -> Fact<T> {
        let Some(code) = self.bits(at, high, low) else {
            return Fact::unknown();
        };
        let value = table(code);
        if value.is_none() {
            self.notes.push(
                Note::new(&notes::CODE_UNKNOWN)
                    .number("byte", at)
                    .number("found", usize::from(code))
                    .text("field", field),
            );
        }
        self.fact(at, value)
    }

    /// A maker's two bytes.
    pub fn maker(&mut self, at: usize) -> Fact<Maker> {
        let maker = self
            .byte(at)
            .zip(self.byte(at + 1))
            .and_then(|(bank, code)| Maker::from_bytes(bank, code));
        if let Some(maker) = maker.filter(|maker| !maker.parity_is_right()) {
            let note = Note::new(&notes::PARITY).number("byte", at);
            self.notes.push(note.text("found", &maker.to_string()));
        }
        self.fact(at, maker)
    }

    /// Year and week in binary-coded decimal; all zeros or all ones mean "not set".
    pub fn week(&mut self, at: usize) -> Fact<Week> {
        let Some((year, week)) = self.byte(at).zip(self.byte(at + 1)) else {
            return Fact::unknown();
        };
        let value = Week::from_bcd(year, week);
        if value.is_none() && !matches!((year, week), (0, 0) | (0xff, 0xff)) {
            let found = format!("{year:02X}{week:02X}");
            self.notes
                .push(Note::found(&notes::DATE_NOT_DECIMAL, &found));
        }
        self.fact(at, value)
    }

    /// Bytes as hexadecimal digits; `None` when the image ends before.
    pub fn digits(&self, at: usize, length: usize) -> Option<String> {
        let bytes = self.bytes.get(at..at + length)?;
        Some(bytes.iter().map(|byte| format!("{byte:02X}")).collect())
    }

    /// A serial number; all zeros or all ones mean "not set".
    pub fn serial(&self, at: usize) -> Fact<String> {
        let digits = self.digits(at, 4);
        self.fact(
            at,
            digits.filter(|digits| digits != "00000000" && digits != "FFFFFFFF"),
        )
    }

    /// Text, without the padding at its end.
    pub fn text(&mut self, at: usize, length: usize) -> Fact<String> {
        let Some(bytes) = self.bytes.get(at..at + length) else {
            return Fact::unknown();
        };
        let padding = |byte: &u8| matches!(byte, b' ' | 0 | 0xff);
        let end = bytes
            .iter()
            .rposition(|byte| !padding(byte))
            .map_or(0, |last| last + 1);
        let bytes = bytes.get(..end).unwrap_or_default();
        let printable = |byte: &u8| (b' '..=b'~').contains(byte);
        if !bytes.iter().all(printable) {
            self.notes
                .push(Note::new(&notes::TEXT_NOT_PRINTABLE).number("byte", at));
        }
        let text: String = bytes
            .iter()
            .copied()
            .filter(printable)
            .map(char::from)
            .collect();
        self.fact(at, Some(text).filter(|text| !text.is_empty()))
    }

    /// Greatest height in mm from bits 4 to 0: 15 or less for 0, else no more than code + 15.
    pub fn height(&mut self, at: usize) -> Fact<u8> {
        const OVER: u8 = 31;
        let code = self.bits(at, 4, 0);
        if code == Some(OVER) {
            self.notes
                .push(Note::new(&notes::HEIGHT_OVER).number("limit", 45));
        }
        self.fact(at, code.filter(|code| *code != OVER).map(|code| code + 15))
    }

    /// Greatest thickness in mm of front (bits 3 to 0) and back (bits 7 to 4).
    pub fn thickness(&self, at: usize) -> [Fact<u8>; 2] {
        [(3, 0), (7, 4)]
            .map(|(high, low)| self.fact(at, self.bits(at, high, low).map(|code| code + 1)))
    }
}
