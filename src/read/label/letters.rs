//! Module letters: the kind of module, and the ECC bits, that a letter on a label stands for.
//!
//! Sources: server makers' published label keys (DDR3 R, L, U, E; DDR4 R, L, U, E) and labels of real
//! modules (S, DDR5 R, P, U, S, V). DDR5's E is by labels of real modules as remembered. Letters marked
//! as remembered have no source at hand, so that what they tell is assumed. Letters of clocked UDIMM,
//! MRDIMM and CAMM2 are not known here and are refused.

use crate::read::fact::Standing;
use crate::read::vocabulary::{Generation, Kind};

/// The kind of module that a label letter stands for.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Letter {
    pub letter: &'static str,
    pub kind: Kind,
    /// ECC bits of the channel or sub-channel that go with it.
    pub ecc_bits: u8,
    /// `Read`, or `Assumed` for a letter whose meaning no source at hand confirms (from memory).
    pub standing: Standing,
}

const fn letter(letter: &'static str, kind: Kind, ecc_bits: u8) -> Letter {
    Letter {
        letter,
        kind,
        ecc_bits,
        standing: Standing::Read,
    }
}

const fn remembered(letter: &'static str, kind: Kind, ecc_bits: u8) -> Letter {
    Letter {
        letter,
        kind,
        ecc_bits,
        standing: Standing::Assumed,
    }
}

static DDR3: [Letter; 8] = [
    letter("R", Kind::Rdimm, 8),
    letter("L", Kind::Lrdimm, 8),
    letter("U", Kind::Udimm, 0),
    letter("E", Kind::EccUdimm, 8),
    letter("S", Kind::SoDimm, 0),
    remembered("T", Kind::EccSoDimm, 8),
    remembered("M", Kind::MicroDimm, 0),
    remembered("N", Kind::MiniRdimm, 8),
];

static DDR4: [Letter; 6] = [
    letter("R", Kind::Rdimm, 8),
    letter("L", Kind::Lrdimm, 8),
    letter("U", Kind::Udimm, 0),
    letter("E", Kind::EccUdimm, 8),
    letter("S", Kind::SoDimm, 0),
    remembered("T", Kind::EccSoDimm, 8),
];

static DDR5: [Letter; 8] = [
    letter("R", Kind::Rdimm, 8),
    letter("P", Kind::Rdimm, 4),
    remembered("L", Kind::Lrdimm, 8),
    letter("U", Kind::Udimm, 0),
    letter("E", Kind::EccUdimm, 4),
    letter("S", Kind::SoDimm, 0),
    remembered("T", Kind::EccSoDimm, 4),
    letter("V", Kind::ClockedSoDimm, 0),
];

/// The letters of a generation.
pub(super) fn letters(generation: Generation) -> &'static [Letter] {
    match generation {
        Generation::Ddr3 => &DDR3,
        Generation::Ddr4 => &DDR4,
        Generation::Ddr5 => &DDR5,
    }
}
