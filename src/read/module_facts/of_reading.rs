//! From a label or an SPD image.

use super::{Known, Member, Taker, volts, volts_text};
use crate::domain::module as domain;
use crate::domain::units::{Gigabits, Mib, Millivolts, Mts, Picoseconds};
use crate::read::fact::Fact;
use crate::read::record::{ReadModule, Speed};
use crate::read::vocabulary::{DieDensity, Generation, Kind};

/// What is known of the module that a label or an SPD image describes. `name` is what to call it.
pub fn of_reading(module: &ReadModule, name: &str) -> Known {
    let mut taker = Taker::default();
    let ReadModule {
        organisation,
        speed,
        supply,
        build,
        origin,
        ..
    } = module;
    let facts = domain::ModuleFacts {
        name: name.to_owned(),
        generation: taker.take(
            Member::Generation,
            &module.generation,
            |generation| Some(generation_of(*generation)),
            |generation| generation.name().to_owned(),
        ),
        kind: kind(&mut taker, module),
        capacity: taker.take(
            Member::Capacity,
            &module.capacity_mib,
            |mib| Some(Mib(u64::from(*mib))),
            |mib| format!("{mib} MiB"),
        ),
        package_ranks: taker.same(Member::PackageRanks, &organisation.package_ranks),
        stack_height: taker.same(Member::StackHeight, &organisation.stack_height),
        width: taker.take(
            Member::Width,
            &organisation.device_width,
            |bits| width(*bits),
            |bits| format!("x{bits}"),
        ),
        die_density: taker.take(
            Member::DieDensity,
            &organisation.die,
            |die| {
                die.gbit()
                    .and_then(|gbit| u16::try_from(gbit).ok())
                    .map(Gigabits)
            },
            die_text,
        ),
        ecc_bits: taker.same(Member::EccBits, &organisation.ecc_bits),
        rate: taker.take(
            Member::Rate,
            &speed.rate_mts,
            |rate| Some(Mts(*rate)),
            |rate| format!("{rate} MT/s"),
        ),
        cas_latency: taker.same(Member::CasLatency, &speed.cas_latency),
        supply: taker.take(
            Member::Supply,
            &supply.operable_mv,
            |list| Some(volts(list)),
            |list| volts_text(list),
        ),
        input: taker.take(
            Member::Input,
            &supply.input_mv,
            |mv| Some(Millivolts(*mv)),
            |mv| format!("{mv} mV"),
        ),
        timing: timing(&mut taker, speed),
        height: taker.take(
            Member::Height,
            &build.height_mm,
            |mm| Some(height(*mm)),
            |mm| format!("at most {mm} mm"),
        ),
        maker: taker.take(
            Member::Maker,
            &origin.maker,
            |maker| maker.name().map(str::to_owned),
            ToString::to_string,
        ),
        part_number: taker.same(Member::PartNumber, &origin.part_number),
        dram_maker: taker.take(
            Member::DramMaker,
            &origin.dram_maker,
            |maker| maker.name().map(str::to_owned),
            ToString::to_string,
        ),
        ..domain::ModuleFacts::default()
    };
    taker.finish(facts)
}

const fn generation_of(generation: Generation) -> domain::Generation {
    match generation {
        Generation::Ddr3 => domain::Generation::Ddr3,
        Generation::Ddr4 => domain::Generation::Ddr4,
        Generation::Ddr5 => domain::Generation::Ddr5,
    }
}

/// A module with storage beside its DRAM is no ordinary module of its kind.
fn kind(taker: &mut Taker, module: &ReadModule) -> Option<domain::Kind> {
    let hybrid = module.hybrid.get() == Some(true);
    let ecc_bits = module.organisation.ecc_bits.get();
    taker.take(
        Member::Kind,
        &module.kind,
        |kind| kind_of(*kind, ecc_bits).filter(|_| !hybrid),
        |kind| match hybrid {
            true => format!("{} with storage", kind.name()),
            false => kind.name().to_owned(),
        },
    )
}

const fn kind_of(kind: Kind, ecc_bits: Option<u8>) -> Option<domain::Kind> {
    Some(match kind {
        Kind::Udimm => domain::Kind::Udimm,
        Kind::EccUdimm => domain::Kind::EccUdimm,
        Kind::SoDimm => domain::Kind::SoDimm,
        Kind::EccSoDimm => domain::Kind::EccSoDimm,
        Kind::Rdimm => domain::Kind::Rdimm,
        Kind::Lrdimm => domain::Kind::Lrdimm,
        Kind::Mrdimm => domain::Kind::Mrdimm,
        Kind::ClockedUdimm => match ecc_bits {
            Some(0) => domain::Kind::Cudimm,
            Some(_) => domain::Kind::EccCudimm,
            None => return None,
        },
        Kind::RegisteredSoDimm
        | Kind::ClockedSoDimm
        | Kind::MicroDimm
        | Kind::MiniRdimm
        | Kind::MiniUdimm
        | Kind::MiniCdimm
        | Kind::NarrowSoDimm
        | Kind::Camm2
        | Kind::Ddimm
        | Kind::SolderDown => return None,
    })
}

const fn width(bits: u8) -> Option<domain::Width> {
    match bits {
        4 => Some(domain::Width::X4),
        8 => Some(domain::Width::X8),
        16 => Some(domain::Width::X16),
        _ => None,
    }
}

fn die_text(die: &DieDensity) -> String {
    format!("{} Mbit", die.mbit())
}

/// Very low profile is 18.75 mm and low profile up to 31.25 mm nominal; the SPD rounds up to whole
/// millimetres.
const fn height(mm: u8) -> domain::HeightClass {
    match mm {
        0..=19 => domain::HeightClass::VeryLow,
        20..=32 => domain::HeightClass::Low,
        _ => domain::HeightClass::Tall,
    }
}

/// Known if all three of its parts are.
fn timing(taker: &mut Taker, speed: &Speed) -> Option<domain::Timing> {
    let (tck, taa, latencies) = (&speed.times.tck_min, &speed.times.taa, &speed.cas_latencies);
    let all = tck.get().zip(taa.get()).zip(latencies.value().cloned());
    let standings = [tck.standing(), taa.standing(), latencies.standing()];
    let weakest = standings.into_iter().min().unwrap_or_default();
    let fact = Fact::of(all, weakest);
    taker.take(
        Member::Timing,
        &fact,
        |((tck, taa), latencies)| {
            Some(domain::Timing {
                tck_min: Picoseconds(*tck),
                taa_min: Picoseconds(*taa),
                cas_supported: latencies.clone(),
            })
            .filter(|timing| !timing.cas_supported.is_empty())
        },
        |((tck, taa), _)| format!("tCK {tck} ps, tAA {taa} ps"),
    )
}
