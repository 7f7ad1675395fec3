//! DDR3: the byte table of JEDEC 21-C Annex K (release 6 as open firmware cites it), 256 bytes.

use super::image::Decoder;
use super::timing::TimeBase;
use super::{notes, shared};
use crate::read::fact::Fact;
use crate::read::note::Note;
use crate::read::record::{Device, Devices, Features, Origin, ReadModule, Supply, Times};
use crate::read::vocabulary::{Kind, Package};

/// Reads every field of the table into the record.
pub(super) fn read(spd: &mut Decoder<'_>, module: &mut ReadModule) {
    identity(spd, module);
    organisation(spd, module);
    let base = time_base(spd);
    module.speed.times = times(spd, base);
    module.speed.cas_latencies = spd.cas_mask(14, (2, 15), 4, 1);
    module.supply = supply(spd);
    module.features = Features {
        extended_temperature: spd.flag(31, 0),
        auto_self_refresh: spd.flag(31, 2),
        partial_self_refresh: spd.flag(31, 7),
        ..Features::default()
    };
    build(spd, module);
    module.devices = devices(spd, module.kind.get());
    module.origin = origin(spd);
}

fn identity(spd: &mut Decoder<'_>, module: &mut ReadModule) {
    module.spd.bytes_used = spd.code((0, 3, 0), "bytes-used", |code| match code {
        1 => Some(128),
        2 => Some(176),
        3 => Some(256),
        _ => None,
    });
    module.spd.bytes_total = spd.code((0, 6, 4), "bytes-in-all", |code| (code == 1).then_some(256));
    shared::kind(spd, module, kind);
    module.hybrid = spd.fact(3, Some(false));
}

/// Codes 8 and 9 as real dumps and two decoders have them (one library swaps them).
fn kind(code: u8) -> Option<Kind> {
    Some(match code {
        1 => Kind::Rdimm,
        2 => Kind::Udimm,
        3 => Kind::SoDimm,
        4 => Kind::MicroDimm,
        5 => Kind::MiniRdimm,
        6 => Kind::MiniUdimm,
        7 => Kind::MiniCdimm,
        8 => Kind::EccSoDimm,
        9 => Kind::RegisteredSoDimm,
        10 => Kind::ClockedSoDimm,
        11 => Kind::Lrdimm,
        12 | 13 => Kind::NarrowSoDimm,
        _ => return None,
    })
}

fn organisation(spd: &mut Decoder<'_>, module: &mut ReadModule) {
    let organisation = &mut module.organisation;
    organisation.die = spd.code((4, 3, 0), "die-density", shared::density);
    organisation.banks = spd.code((4, 6, 4), "banks", |code| (code <= 3).then(|| 8 << code));
    organisation.rows = spd.fact(5, spd.bits(5, 5, 3).map(|code| code + 12));
    organisation.columns = spd.fact(5, spd.bits(5, 2, 0).map(|code| code + 9));
    organisation.package_ranks = spd.code((7, 5, 3), "package-ranks", |code| match code {
        0..=3 => Some(code + 1),
        4 => Some(8),
        _ => None,
    });
    organisation.device_width = spd.code((7, 2, 0), "device-width", shared::width);
    shared::bus(spd, organisation, 8);
    organisation.asymmetric = spd.fact(7, spd.byte(7).map(|_| false));
    package(spd, module);
}

/// Byte 33. Real stacked parts often tell neither the number of dies nor how they load the bus; ranks
/// stand in byte 7 all the same, so that the height counts 1.
fn package(spd: &mut Decoder<'_>, module: &mut ReadModule) {
    let organisation = &mut module.organisation;
    let dies = match spd.bits(33, 6, 4) {
        Some(code @ 1..=4) => Some(1_u8 << (code - 1)),
        _ => None,
    };
    let package = match (spd.bits(33, 7, 7), spd.bits(33, 1, 0)) {
        (Some(0), _) => Some(Package::Single),
        (Some(_), Some(1)) => Some(shared::multi_load(dies)),
        (Some(_), Some(2)) => Some(Package::Stacked),
        _ => None,
    };
    organisation.package = spd.fact(33, package);
    organisation.dies_per_package = spd.fact(33, dies);
    organisation.stack_height = spd.fact(7, spd.byte(7).map(|_| 1));
}

/// Bytes 9 to 11: dividend and divisor of the fine unit in ps and of the medium unit in ns.
fn time_base(spd: &mut Decoder<'_>) -> Option<TimeBase> {
    let fine = (spd.bits(9, 7, 4)?, spd.bits(9, 3, 0)?);
    let medium = (spd.byte(10)?, spd.byte(11)?);
    let ratio = |(dividend, divisor): (u8, u8), unit: i64| {
        let value = (i64::from(dividend) * unit).checked_div(i64::from(divisor));
        value.filter(|value| *value > 0)
    };
    let base = ratio(medium, 1_000_000).zip(ratio(fine, 1_000));
    if base.is_none() {
        let found = spd.digits(9, 3).unwrap_or_default();
        let note = Note::new(&notes::TIME_BASE_UNKNOWN).number("byte", 9);
        spd.notes.push(note.text("found", &found));
    }
    base.map(|(medium_fs, fine_fs)| TimeBase { medium_fs, fine_fs })
}

fn times(spd: &Decoder<'_>, base: Option<TimeBase>) -> Times {
    Times {
        tck_min: spd.time(base, 12, Some(34)),
        taa: spd.time(base, 16, Some(35)),
        twr: spd.time(base, 17, None),
        trcd: spd.time(base, 18, Some(36)),
        trrd_s: spd.time(base, 19, None),
        trp: spd.time(base, 20, Some(37)),
        tras: spd.split_time(base, 22, (21, 0), None),
        trc: spd.split_time(base, 23, (21, 4), Some(38)),
        trfc1: spd.long_time(base, 24),
        twtr_s: spd.time(base, 26, None),
        trtp: spd.time(base, 27, None),
        tfaw: spd.split_time(base, 29, (28, 0), None),
        ..Times::default()
    }
}

/// Byte 6: bit 0 set means NOT operable at 1.5 V.
fn supply(spd: &Decoder<'_>) -> Supply {
    let operable = spd.byte(6).map(|bits| {
        [
            (bits & 1 == 0, 1500),
            (bits & 2 != 0, 1350),
            (bits & 4 != 0, 1250),
        ]
        .into_iter()
        .filter_map(|(runs, mv)| runs.then_some(mv))
        .collect::<Vec<u16>>()
    });
    let operable_mv = spd.fact(6, operable.filter(|voltages| !voltages.is_empty()));
    let nominal_mv = operable_mv.derive(|voltages| voltages.iter().min().copied());
    Supply {
        nominal_mv,
        operable_mv,
        ..Supply::default()
    }
}

fn build(spd: &mut Decoder<'_>, module: &mut ReadModule) {
    let kind = module.kind.get();
    let build = &mut module.build;
    build.thermal_sensors = spd.fact(32, spd.bits(32, 7, 7));
    shared::outside(spd, build, 60);
    if is_registered(kind) || kind == Some(Kind::Lrdimm) {
        build.dram_rows = spd.code((63, 3, 2), "dram-rows", |code| rows(code, kind));
    }
    build.heat_spreader = match kind {
        Some(Kind::Lrdimm) => spd.flag(63, 7),
        _ if is_registered(kind) => spd.flag(64, 7),
        _ => Fact::unknown(),
    };
}

fn rows(code: u8, kind: Option<Kind>) -> Option<u8> {
    match code {
        1 => Some(1),
        2 => Some(2),
        3 if kind != Some(Kind::Lrdimm) => Some(4),
        _ => None,
    }
}

const fn is_registered(kind: Option<Kind>) -> bool {
    matches!(
        kind,
        Some(Kind::Rdimm | Kind::MiniRdimm | Kind::RegisteredSoDimm)
    )
}

fn devices(spd: &mut Decoder<'_>, kind: Option<Kind>) -> Devices {
    match kind {
        Some(Kind::Lrdimm) => Devices {
            buffer: Device {
                maker: spd.maker(65),
                revision: spd.fact(64, spd.byte(64)),
                ..Device::default()
            },
            odd_ranks_mirrored: spd.code((63, 1, 0), "mirroring", |code| match code {
                0 => Some(false),
                1 => Some(true),
                _ => None,
            }),
            even_rank_numbers: spd.flag(63, 5),
            buffer_horizontal: spd.flag(63, 4),
            ..Devices::default()
        },
        _ if is_registered(kind) => Devices {
            registers: spd.code((63, 1, 0), "registers", |code| rows(code, kind)),
            register: Device {
                maker: spd.maker(65),
                revision: spd.optional(67),
                model: spd.code((68, 2, 0), "register", |code| {
                    (code == 0).then_some("SSTE32882")
                }),
            },
            ..Devices::default()
        },
        _ => Devices {
            rank1_mirrored: spd.flag(63, 0),
            ..Devices::default()
        },
    }
}

fn origin(spd: &mut Decoder<'_>) -> Origin {
    let made = shared::made(spd, 117);
    Origin {
        part_number: spd.text(128, 18),
        revision: spd.fact(146, spd.digits(146, 2)),
        dram_maker: spd.maker(148),
        ..made
    }
}
