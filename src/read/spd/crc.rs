//! Checksums: CRC-16 with polynomial 0x1021, start 0, not reflected; stored low byte first.

use crate::read::record::CrcCheck;
use crate::read::vocabulary::Generation;

/// The checksum of some bytes.
pub fn crc16(bytes: &[u8]) -> u16 {
    bytes.iter().fold(0, |crc, byte| {
        (0..8).fold(crc ^ (u16::from(*byte) << 8), |crc: u16, _| {
            (crc << 1) ^ if crc & 0x8000 == 0 { 0 } else { 0x1021 }
        })
    })
}

/// A range that a checksum covers and where the checksum is stored.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Covered {
    pub first: usize,
    pub last: usize,
    pub stored_at: usize,
}

impl Covered {
    /// Compares the stored checksum with the computed one; `None` when the image ends too early.
    pub fn check(self, bytes: &[u8]) -> Option<CrcCheck> {
        let low = *bytes.get(self.stored_at)?;
        let high = *bytes.get(self.stored_at + 1)?;
        Some(CrcCheck {
            first: self.first,
            last: self.last,
            stored: u16::from_le_bytes([low, high]),
            computed: crc16(bytes.get(self.first..=self.last)?),
        })
    }
}

/// The checksum of the base section.
pub(super) fn base(generation: Generation, bytes: &[u8]) -> Covered {
    let (last, stored_at) = match generation {
        // JEDEC 21-C Annex K: bit 7 of byte 0 leaves out serial number and date.
        Generation::Ddr3 if bytes.first().is_some_and(|byte| byte & 0x80 != 0) => (116, 126),
        Generation::Ddr3 | Generation::Ddr4 => (125, 126),
        Generation::Ddr5 => (509, 510),
    };
    Covered {
        first: 0,
        last,
        stored_at,
    }
}

/// Every checksum that an image of this generation has, the base section's first.
pub(super) fn all(generation: Generation, bytes: &[u8]) -> Vec<Covered> {
    let mut covered = vec![base(generation, bytes)];
    if generation == Generation::Ddr4 {
        covered.push(Covered {
            first: 128,
            last: 253,
            stored_at: 254,
        });
        let hybrid = bytes.get(3).is_some_and(|byte| byte & 0x80 != 0);
        if hybrid {
            covered.push(Covered {
                first: 256,
                last: 317,
                stored_at: 318,
            });
        }
    }
    covered
}

#[cfg(test)]
mod tests {
    use super::crc16;

    #[test]
    fn gives_the_published_check_value() {
        // Catalogue of parametrised CRC algorithms, CRC-16/XMODEM: check 0x31C3 for "123456789".
        assert_eq!(crc16(b"123456789"), 0x31c3);
    }
}
