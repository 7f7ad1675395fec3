//! DDR5: the byte table of JESD400-5 (5A.01 as open firmware cites it), 1024 bytes.

use super::image::Decoder;
use super::{raw_card, shared};
use crate::read::fact::Fact;
use crate::read::label::input_mv;
use crate::read::record::{Device, Devices, Organisation, Origin, ReadModule, Supply, Times};
use crate::read::vocabulary::{
    DieDensity, Generation, Kind, Package, Revision, TEMPERATURE_GRADES,
};

/// Reads every field of the table into the record.
pub(super) fn read(spd: &mut Decoder<'_>, module: &mut ReadModule) {
    identity(spd, module);
    module.organisation = organisation(spd);
    module.speed.times = times(spd);
    module.speed.cas_latencies = spd.cas_mask(24, (5, 40), 20, 2);
    let voltage = spd.code((16, 7, 4), "supply-voltage", |code| {
        (code == 0).then_some(1100)
    });
    module.supply = Supply {
        nominal_mv: voltage,
        operable_mv: spd.fact(16, voltage.get().map(|mv| vec![mv])),
        input_mv: input_mv(Generation::Ddr5, &module.kind),
    };
    build(spd, module);
    module.devices = devices(spd, module.kind.get());
    module.origin = origin(spd);
}

fn identity(spd: &mut Decoder<'_>, module: &mut ReadModule) {
    module.spd.bytes_total = spd.code((0, 6, 4), "bytes-in-all", |code| match code {
        1..=4 => Some(128 << code),
        _ => None,
    });
    module.spd.module_revision = spd.fact(192, spd.byte(192).map(Revision::from_byte));
    shared::kind(spd, module, kind);
    module.hybrid = shared::hybrid(spd);
}

fn kind(code: u8) -> Option<Kind> {
    Some(match code {
        1 => Kind::Rdimm,
        2 => Kind::Udimm,
        3 => Kind::SoDimm,
        4 => Kind::Lrdimm,
        5 => Kind::ClockedUdimm,
        6 => Kind::ClockedSoDimm,
        7 => Kind::Mrdimm,
        8 => Kind::Camm2,
        10 => Kind::Ddimm,
        11 => Kind::SolderDown,
        _ => return None,
    })
}

fn density(code: u8) -> Option<DieDensity> {
    let gbit = match code {
        1 => 4,
        2 => 8,
        3 => 12,
        4 => 16,
        5 => 24,
        6 => 32,
        7 => 48,
        8 => 64,
        _ => return None,
    };
    Some(DieDensity::from_mbit(gbit * 1024))
}

fn organisation(spd: &mut Decoder<'_>) -> Organisation {
    let subchannels = spd.code((235, 6, 5), "sub-channels", |code| match code {
        0 | 1 => Some(code + 1),
        _ => None,
    });
    let each = spd.code((235, 2, 0), "data-bits", |code| {
        (code <= 3).then(|| 8_u16 << code)
    });
    let data_bits = each
        .get()
        .zip(subchannels.get())
        .map(|(bits, n)| bits * u16::from(n));
    let groups = spd.code((7, 7, 5), "bank-groups", |code| {
        (code <= 3).then(|| 1_u8 << code)
    });
    let banks = spd.code((7, 2, 0), "banks-of-a-group", |code| {
        (code <= 2).then(|| 1_u8 << code)
    });
    let (package, dies, height) = package(spd);
    Organisation {
        package_ranks: spd.fact(234, spd.bits(234, 5, 3).map(|code| code + 1)),
        package,
        dies_per_package: dies,
        stack_height: height,
        device_width: spd.code((6, 7, 5), "device-width", shared::width),
        die: spd.code((4, 4, 0), "die-density", density),
        data_bits: spd.fact(235, data_bits),
        ecc_bits: spd.code((235, 4, 3), "ecc-bits", |code| match code {
            0 => Some(0),
            1 => Some(4),
            2 => Some(8),
            _ => None,
        }),
        subchannels,
        banks: spd.fact(
            7,
            groups.get().zip(banks.get()).map(|(a, b)| u16::from(a * b)),
        ),
        bank_groups: groups,
        rows: spd.fact(5, spd.bits(5, 4, 0).map(|code| code + 16)),
        columns: spd.fact(5, spd.bits(5, 7, 5).map(|code| code + 10)),
        asymmetric: spd.flag(234, 6),
        ..Organisation::default()
    }
}

/// Byte 4, bits 7 to 5: one die, two dies with a chip select each, or a stack.
fn package(spd: &mut Decoder<'_>) -> (Fact<Package>, Fact<u8>, Fact<u8>) {
    let found = spd.code((4, 7, 5), "package", |code| match code {
        0 => Some((Package::Single, 1, 1)),
        1 => Some((shared::multi_load(Some(2)), 2, 1)),
        2..=5 => Some((Package::Stacked, 1 << (code - 1), 1 << (code - 1))),
        _ => None,
    });
    let value = found.get();
    (
        spd.fact(4, value.map(|(package, _, _)| package)),
        spd.fact(4, value.map(|(_, dies, _)| dies)),
        spd.fact(4, value.map(|(_, _, height)| height)),
    )
}

fn times(spd: &Decoder<'_>) -> Times {
    const NS: u32 = 1000;
    Times {
        tck_min: spd.plain_time(20, 1),
        tck_max: spd.plain_time(22, 1),
        taa: spd.plain_time(30, 1),
        trcd: spd.plain_time(32, 1),
        trp: spd.plain_time(34, 1),
        tras: spd.plain_time(36, 1),
        trc: spd.plain_time(38, 1),
        twr: spd.plain_time(40, 1),
        trfc1: spd.plain_time(42, NS),
        trfc2: spd.plain_time(44, NS),
        trfc_sb: spd.plain_time(46, NS),
        trrd_l: spd.plain_time(70, 1),
        tccd_l: spd.plain_time(73, 1),
        tfaw: spd.plain_time(82, 1),
        twtr_l: spd.plain_time(85, 1),
        twtr_s: spd.plain_time(88, 1),
        trtp: spd.plain_time(91, 1),
        ..Times::default()
    }
}

fn build(spd: &mut Decoder<'_>, module: &mut ReadModule) {
    let build = &mut module.build;
    let sensors = spd
        .bits(212, 7, 6)
        .map(|bits| u8::try_from(bits.count_ones()).unwrap_or(0));
    build.thermal_sensors = spd.fact(212, sensors);
    build.height_mm = spd.height(230);
    [build.front_mm, build.back_mm] = spd.thickness(231);
    build.raw_card = spd.fact(232, spd.byte(232).and_then(raw_card::ddr5));
    build.temperature_grade = spd.code((233, 7, 4), "temperature-grade", |code| {
        TEMPERATURE_GRADES.get(usize::from(code)).copied()
    });
    build.heat_spreader = spd.flag(233, 2);
    build.dram_rows = spd.fact(
        233,
        spd.bits(233, 1, 0).filter(|rows| matches!(rows, 1 | 2)),
    );
}

/// Maker, flags and revision of a support device; nothing when the flags say that it is not there.
fn device(spd: &mut Decoder<'_>, at: usize) -> Device {
    if spd.bits(at + 2, 7, 7) != Some(1) {
        return Device::default();
    }
    Device {
        maker: spd.maker(at),
        revision: spd.fact(at + 3, spd.byte(at + 3)),
        ..Device::default()
    }
}

fn devices(spd: &mut Decoder<'_>, kind: Option<Kind>) -> Devices {
    let mut devices = Devices {
        spd_hub: device(spd, 194),
        pmics: [198, 202, 206].map(|at| device(spd, at)),
        ..Devices::default()
    };
    match kind {
        Some(Kind::Rdimm | Kind::Lrdimm | Kind::Mrdimm) => {
            devices.register = device(spd, 240);
            devices.buffer = device(spd, 244);
        }
        Some(Kind::Udimm | Kind::SoDimm | Kind::ClockedUdimm | Kind::ClockedSoDimm) => {
            devices.clock_driver = device(spd, 240)
        }
        _ => {}
    }
    devices
}

fn origin(spd: &mut Decoder<'_>) -> Origin {
    let made = shared::made(spd, 512);
    Origin {
        part_number: spd.text(521, 30),
        revision: spd.fact(551, spd.digits(551, 1)),
        dram_maker: spd.maker(552),
        dram_stepping: spd.optional(554),
        ..made
    }
}
