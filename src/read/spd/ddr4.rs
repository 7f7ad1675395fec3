//! DDR4: the byte table of JEDEC 21-C Annex L (release 6 as open firmware cites it), 512 bytes.

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
    package(spd, module);
    let base = time_base(spd);
    module.speed.times = times(spd, base);
    module.speed.cas_latencies = cas_latencies(spd);
    // Byte 11, bit 0: operable at 1.2 V; the standard defines no other voltage.
    let volts = spd
        .bits(11, 0, 0)
        .filter(|bit| *bit == 1)
        .map(|_| vec![1200]);
    let operable_mv = spd.fact(11, volts);
    let nominal_mv = operable_mv.derive(|voltages| voltages.first().copied());
    module.supply = Supply {
        nominal_mv,
        operable_mv,
        ..Supply::default()
    };
    module.features = Features {
        post_package_repair: spd.code((9, 7, 6), "post-package-repair", |code| match code {
            0 => Some(false),
            1 => Some(true),
            _ => None,
        }),
        soft_post_package_repair: spd.flag(9, 5),
        ..Features::default()
    };
    build(spd, module);
    module.devices = devices(spd, module.kind.get());
    module.origin = origin(spd);
}

fn identity(spd: &mut Decoder<'_>, module: &mut ReadModule) {
    module.spd.bytes_used = spd.code((0, 3, 0), "bytes-used", |code| match code {
        1..=4 => Some(128 * u16::from(code)),
        _ => None,
    });
    module.spd.bytes_total = spd.code((0, 6, 4), "bytes-in-all", |code| match code {
        1 => Some(256),
        2 => Some(512),
        _ => None,
    });
    shared::kind(spd, module, kind);
    module.hybrid = shared::hybrid(spd);
}

fn kind(code: u8) -> Option<Kind> {
    Some(match code {
        1 => Kind::Rdimm,
        2 => Kind::Udimm,
        3 => Kind::SoDimm,
        4 => Kind::Lrdimm,
        5 => Kind::MiniRdimm,
        6 => Kind::MiniUdimm,
        8 => Kind::RegisteredSoDimm,
        9 => Kind::EccSoDimm,
        12 | 13 => Kind::NarrowSoDimm,
        _ => return None,
    })
}

fn organisation(spd: &mut Decoder<'_>, module: &mut ReadModule) {
    let organisation = &mut module.organisation;
    organisation.die = spd.code((4, 3, 0), "die-density", shared::density);
    let groups = spd.bits(4, 7, 6).map(|code| 1_u8 << code);
    let in_group = spd.code((4, 5, 4), "banks-of-a-group", |code| {
        (code <= 1).then(|| 4 << code)
    });
    organisation.bank_groups = spd.fact(4, groups);
    let banks = groups
        .zip(in_group.get())
        .map(|(groups, banks)| u16::from(groups * banks));
    organisation.banks = spd.fact(4, banks);
    organisation.rows = spd.fact(5, spd.bits(5, 5, 3).map(|code| code + 12));
    organisation.columns = spd.fact(5, spd.bits(5, 2, 0).map(|code| code + 9));
    organisation.asymmetric = spd.flag(12, 6);
    organisation.package_ranks = spd.fact(12, spd.bits(12, 5, 3).map(|code| code + 1));
    organisation.device_width = spd.code((12, 2, 0), "device-width", shared::width);
    shared::bus(spd, organisation, 13);
}

/// Byte 6. Only a stack behind one chip select multiplies ranks; packages with a chip select for each
/// die never do.
fn package(spd: &mut Decoder<'_>, module: &mut ReadModule) {
    let dies = spd.bits(6, 6, 4).map(|code| code + 1);
    let (package, height) = match (spd.bits(6, 7, 7), spd.bits(6, 1, 0)) {
        (Some(0), _) => (Some(Package::Single), Some(1)),
        (Some(_), Some(1)) => (Some(shared::multi_load(dies)), Some(1)),
        (Some(_), Some(2)) => (Some(Package::Stacked), dies),
        (Some(_), Some(_)) => {
            spd.notes.push(Note::new(&notes::PACKAGE_NOT_TOLD));
            (None, None)
        }
        _ => (None, None),
    };
    let organisation = &mut module.organisation;
    organisation.package = spd.fact(6, package);
    organisation.dies_per_package = spd.fact(6, dies);
    organisation.stack_height = spd.fact(6, height);
}

/// Byte 17: 0 is the only value, units of 125 ps and 1 ps.
fn time_base(spd: &mut Decoder<'_>) -> Option<TimeBase> {
    match spd.byte(17)? {
        0 => Some(TimeBase::USUAL),
        other => {
            let note = Note::new(&notes::TIME_BASE_UNKNOWN).number("byte", 17);
            spd.notes.push(note.text("found", &format!("{other:02X}")));
            None
        }
    }
}

fn times(spd: &Decoder<'_>, base: Option<TimeBase>) -> Times {
    Times {
        tck_min: spd.time(base, 18, Some(125)),
        tck_max: spd.time(base, 19, Some(124)),
        taa: spd.time(base, 24, Some(123)),
        trcd: spd.time(base, 25, Some(122)),
        trp: spd.time(base, 26, Some(121)),
        tras: spd.split_time(base, 28, (27, 0), None),
        trc: spd.split_time(base, 29, (27, 4), Some(120)),
        trfc1: spd.long_time(base, 30),
        trfc2: spd.long_time(base, 32),
        trfc4: spd.long_time(base, 34),
        tfaw: spd.split_time(base, 37, (36, 0), None),
        trrd_s: spd.time(base, 38, Some(119)),
        trrd_l: spd.time(base, 39, Some(118)),
        tccd_l: spd.time(base, 40, Some(117)),
        twr: spd.split_time(base, 42, (41, 0), None),
        twtr_s: spd.split_time(base, 44, (43, 0), None),
        twtr_l: spd.split_time(base, 45, (43, 4), None),
        ..Times::default()
    }
}

/// Bytes 20 to 23: thirty bits from CL 7, or from CL 23 when bit 7 of byte 23 is set.
fn cas_latencies(spd: &Decoder<'_>) -> Fact<Vec<u8>> {
    let first = if spd.bits(23, 7, 7) == Some(1) { 23 } else { 7 };
    spd.cas_mask(20, (4, 30), first, 1)
}

const fn is_buffered(kind: Option<Kind>) -> bool {
    matches!(
        kind,
        Some(Kind::Rdimm | Kind::Lrdimm | Kind::MiniRdimm | Kind::RegisteredSoDimm)
    )
}

fn build(spd: &mut Decoder<'_>, module: &mut ReadModule) {
    let buffered = is_buffered(module.kind.get());
    let build = &mut module.build;
    build.thermal_sensors = spd.fact(14, spd.bits(14, 7, 7));
    shared::outside(spd, build, 128);
    if buffered {
        build.dram_rows = spd.code((131, 3, 2), "dram-rows", one_two_four);
        build.heat_spreader = spd.flag(132, 7);
    }
}

/// Codes of counts: 0 stands for "not told".
fn one_two_four(code: u8) -> Option<u8> {
    (1..=3).contains(&code).then(|| 1 << (code - 1))
}

fn devices(spd: &mut Decoder<'_>, kind: Option<Kind>) -> Devices {
    if !is_buffered(kind) {
        return Devices {
            rank1_mirrored: spd.flag(131, 0),
            ..Devices::default()
        };
    }
    let buffer = match kind {
        Some(Kind::Lrdimm) => Device {
            revision: spd.fact(139, spd.byte(139)),
            ..Device::default()
        },
        _ => Device::default(),
    };
    Devices {
        registers: spd.code((131, 1, 0), "registers", one_two_four),
        register: Device {
            maker: spd.maker(133),
            revision: spd.optional(135),
            model: spd.code((131, 7, 4), "register", |code| match code {
                0 => Some("RCD01"),
                1 => Some("RCD02"),
                _ => None,
            }),
        },
        buffer,
        odd_ranks_mirrored: spd.flag(136, 0),
        ..Devices::default()
    }
}

fn origin(spd: &mut Decoder<'_>) -> Origin {
    let made = shared::made(spd, 320);
    Origin {
        part_number: spd.text(329, 20),
        revision: spd.fact(349, spd.digits(349, 1)),
        dram_maker: spd.maker(350),
        dram_stepping: spd.optional(352),
        ..made
    }
}
