//! Fields that the tables of several generations hold alike, if at other bytes.

use super::image::Decoder;
use super::{notes, raw_card};
use crate::read::fact::Fact;
use crate::read::note::Note;
use crate::read::record::{Build, Organisation, Origin, ReadModule};
use crate::read::vocabulary::{DieDensity, Kind, Package, Revision};

/// Revision of the table and kind of module: bytes 1 and 3 of every generation.
pub(super) fn kind(
    spd: &mut Decoder<'_>,
    module: &mut ReadModule,
    kinds: impl FnOnce(u8) -> Option<Kind>,
) {
    module.spd.revision = spd.fact(1, spd.byte(1).map(Revision::from_byte));
    module.spd.module_code = spd.fact(3, spd.bits(3, 3, 0));
    module.kind = spd.code((3, 3, 0), "kind-of-module", kinds);
}

/// Whether there is storage beside the DRAM: byte 3 of DDR4 and DDR5.
pub(super) fn hybrid(spd: &mut Decoder<'_>) -> Fact<bool> {
    let hybrid = spd.flag(3, 7);
    if hybrid.get() == Some(true) {
        spd.notes.push(Note::new(&notes::HYBRID));
    }
    hybrid
}

/// Width of the bus of DDR3 and DDR4, whose channel is a single one.
pub(super) fn bus(spd: &mut Decoder<'_>, organisation: &mut Organisation, at: usize) {
    organisation.data_bits = spd.code((at, 2, 0), "data-bits", |code| {
        (code <= 3).then(|| 8 << code)
    });
    organisation.ecc_bits = spd.code((at, 4, 3), "ecc-bits", |code| match code {
        0 => Some(0),
        1 => Some(8),
        _ => None,
    });
    organisation.subchannels = spd.fact(at, spd.byte(at).map(|_| 1));
}

/// Height, thickness and card of DDR3 and DDR4: three bytes in a row.
pub(super) fn outside(spd: &mut Decoder<'_>, build: &mut Build, at: usize) {
    build.height_mm = spd.height(at);
    [build.front_mm, build.back_mm] = spd.thickness(at + 1);
    let card = spd
        .byte(at + 2)
        .and_then(|card| raw_card::with_extension(card, spd.byte(at)));
    build.raw_card = spd.fact(at + 2, card);
}

/// Maker, place, week and serial number: nine bytes in a row in every generation.
pub(super) fn made(spd: &mut Decoder<'_>, at: usize) -> Origin {
    Origin {
        maker: spd.maker(at),
        location: spd.fact(at + 2, spd.byte(at + 2)),
        date: spd.week(at + 3),
        serial: spd.serial(at + 5),
        ..Origin::default()
    }
}

/// Density codes that DDR3 and DDR4 share.
pub(super) fn density(code: u8) -> Option<DieDensity> {
    let mbit = match code {
        0..=7 => 256_u32 << code,
        8 => 12 * 1024,
        9 => 24 * 1024,
        _ => return None,
    };
    Some(DieDensity::from_mbit(mbit))
}

/// `4 << code` for the codes that are defined.
pub(super) fn width(code: u8) -> Option<u8> {
    (code <= 3).then(|| 4 << code)
}

/// Several dies with a chip select each, by their number.
pub(super) const fn multi_load(dies: Option<u8>) -> Package {
    match dies {
        Some(2) => Package::DualDie,
        Some(4) => Package::QuadDie,
        _ => Package::MultiDie,
    }
}
