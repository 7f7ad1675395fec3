//! A reading in the shape of the fixtures' expected values, so that whole values are compared.

use kitproof::read::Reading;
use kitproof::read::fact::{Fact, Standing};
use kitproof::read::label::implied_die_mbit;
use kitproof::read::maker::Maker;
use kitproof::read::record::{CrcCheck, Device, ReadModule};
use kitproof::read::vocabulary::{Kind, Package};
use serde_json::{Map, Value, json};
use std::path::PathBuf;

/// The folder of fixtures.
pub fn fixtures() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures")
}

/// A JSON fixture.
pub fn json_fixture(name: &str) -> Value {
    let text = std::fs::read_to_string(fixtures().join(name)).expect("a fixture");
    serde_json::from_str(&text).expect("JSON")
}

/// The fixtures' word for a kind.
fn kind_word(kind: Kind) -> &'static str {
    match kind {
        Kind::EccUdimm => "ECC_UDIMM",
        Kind::SoDimm => "SODIMM",
        Kind::ClockedSoDimm => "CSODIMM",
        other => other.name(),
    }
}

fn shown<T: ToString>(fact: &Fact<T>) -> Option<String> {
    fact.value().map(ToString::to_string)
}

fn without_nulls(value: Value) -> Map<String, Value> {
    let Value::Object(map) = value else {
        panic!("an object")
    };
    map.into_iter()
        .filter(|(_, value)| !value.is_null())
        .collect()
}

/// An object's members that are not null.
pub fn members(value: &Value) -> Map<String, Value> {
    without_nulls(value.clone())
}

/// A label's reading in the shape of `labels.json`.
pub fn label_view(reading: &Reading) -> Map<String, Value> {
    let module = &reading.module;
    let organisation = &module.organisation;
    let stack = match organisation.package.get() {
        Some(Package::Single) => "none",
        Some(Package::DualDie) => "ddp",
        Some(Package::Stacked) => "3ds",
        Some(_) => "other",
        None => "unknown",
    };
    // The fixtures give the latency that is printed, not the one that a speed bin implies.
    let printed = module
        .speed
        .cas_latency
        .get()
        .filter(|_| module.speed.cas_latency.standing() == Standing::Read);
    let origin = &module.origin;
    let qr = origin.maker.get().map(|maker| {
        json!({
            "module_mfr": maker.to_string(),
            "location": origin.location.get().map(|code| format!("{code:02X}")),
            "date": shown(&origin.date),
            "serial": origin.serial.value(),
            "part_number": origin.part_number.value(),
        })
    });
    let card = module.build.raw_card.value();
    without_nulls(json!({
        "capacity_mib": module.capacity_mib.get(),
        "package_ranks": organisation.package_ranks.get(),
        "stack": stack,
        "logical_ranks": organisation.logical_ranks.get(),
        "device_width": organisation.device_width.get(),
        "generation": module.generation.get().map(|generation| generation.name()),
        "voltage_mv": module.supply.nominal_mv.get(),
        "mts": module.speed.rate_mts.get(),
        "speed_bin": module.speed.bin.get().map(|bin| bin.0),
        "module_kind": module.kind.get().map(kind_word),
        "raw_card": card.map(|card| card.letters.clone()),
        "raw_card_rev": card.and_then(|card| card.revision),
        "spd_revision": shown(&module.spd.revision),
        "module_spd_revision": shown(&module.spd.module_revision),
        "temp_grade": module.build.temperature_grade.get(),
        "suffix": origin.label_suffix.value(),
        "cas_latency": printed,
        "ecc_bits": organisation.ecc_bits_total(),
        "implied_density_mbit": implied_die_mbit(module),
        "density_plausible": !reading.has("label-density-implausible"),
        "qr": qr,
    }))
}

fn crc(check: Option<&CrcCheck>) -> Value {
    check.map_or(Value::Null, |check| {
        json!({
            "covers": [check.first, check.last],
            "stored": check.stored,
            "computed": check.computed,
        })
    })
}

fn maker(fact: &Fact<Maker>) -> Value {
    fact.get().map_or(Value::Null, |maker| {
        let [continuations, code] = maker.bytes();
        json!({
            "spd_bytes": maker.to_string(),
            "bank": maker.bank(),
            "cc": continuations & 0x7f,
            "id": code & 0x7f,
            "parity_ok": maker.parity_is_right(),
        })
    })
}

fn revision(device: &Device) -> Option<String> {
    device.revision.get().map(|byte| format!("{byte:02X}"))
}

fn package(module: &ReadModule) -> Value {
    let organisation = &module.organisation;
    let found = organisation.package.get();
    let dies = organisation.dies_per_package.get();
    if module.generation.get().map(|generation| generation.name()) == Some("DDR5") {
        let kind = match found {
            Some(Package::Single) => "mono",
            Some(Package::DualDie) => "ddp",
            Some(Package::Stacked) => "3ds",
            _ => "unknown",
        };
        return json!({ "kind": kind, "dies": dies });
    }
    let loading = match found {
        Some(Package::DualDie | Package::QuadDie | Package::MultiDie) => "multi",
        Some(Package::Stacked) => "single",
        _ => "unspecified",
    };
    json!({ "non_monolithic": found != Some(Package::Single), "dies": dies, "loading": loading })
}

/// An image's reading in the shape of the fixtures beside the images.
pub fn spd_view(reading: &Reading) -> Map<String, Value> {
    let module = &reading.module;
    let mut view = organisation_view(module);
    for part in [
        identity_view(module),
        speed_view(module),
        build_view(module),
        device_view(module),
    ] {
        view.extend(part);
    }
    view
}

fn identity_view(module: &ReadModule) -> Map<String, Value> {
    let spd = &module.spd;
    let origin = &module.origin;
    let [base, block] = [spd.checks.first(), spd.checks.get(1)];
    let mut view = without_nulls(json!({
        "generation": module.generation.get().map(|generation| generation.name()),
        "spd_revision": shown(&spd.revision),
        "module_spd_revision": shown(&spd.module_revision),
        "crc": crc(base),
        "crc_ok": base.map(CrcCheck::is_right),
        "crc1": crc(block),
        "crc1_ok": block.map(CrcCheck::is_right),
        "bytes_used": spd.bytes_used.get(),
        "bytes_total": spd.bytes_total.get(),
        "module_kind": module.kind.get().map(kind_word),
        "module_code": spd.module_code.get(),
        "hybrid": module.hybrid.get(),
        "module_mfr": maker(&origin.maker),
        "location": origin.location.get(),
        "date": shown(&origin.date),
        "serial": origin.serial.value(),
        "part_number": origin.part_number.value(),
        "module_rev": origin.revision.value(),
        "dram_mfr": maker(&origin.dram_maker),
    }));
    view.insert(
        "dram_stepping".to_owned(),
        json!(origin.dram_stepping.get()),
    );
    view
}

fn organisation_view(module: &ReadModule) -> Map<String, Value> {
    let organisation = &module.organisation;
    let ddr5 = module.generation.get().map(|generation| generation.name()) == Some("DDR5");
    without_nulls(json!({
        "capacity_mib": module.capacity_mib.get(),
        "density_mbit": organisation.die.get().map(|die| die.mbit()),
        "banks": organisation.banks.get(),
        "bank_groups": organisation.bank_groups.get(),
        "rows": organisation.rows.get(),
        "cols": organisation.columns.get(),
        "voltages_mv": module.supply.operable_mv.value(),
        "package_ranks": organisation.package_ranks.get(),
        "device_width": organisation.device_width.get(),
        "data_bits": organisation.data_bits.get(),
        "ecc_bits": organisation.ecc_bits_total(),
        "ecc_bits_per_subchannel": organisation.ecc_bits.get().filter(|_| ddr5),
        "subchannels": organisation.subchannels.get(),
        "package": package(module),
        "stack_height": organisation.stack_height.get(),
        "logical_ranks": organisation.logical_ranks.get(),
        "asymmetric": organisation.asymmetric.get(),
    }))
}

fn speed_view(module: &ReadModule) -> Map<String, Value> {
    let speed = &module.speed;
    let times = &speed.times;
    let clocks = json!([
        speed.cas_latency.get(),
        speed.rcd_clocks.get(),
        speed.rp_clocks.get()
    ]);
    without_nulls(json!({
        "tck_min_ps": times.tck_min.get(),
        "tck_max_ps": times.tck_max.get(),
        "taa_min_ps": times.taa.get(),
        "trcd_min_ps": times.trcd.get(),
        "trp_min_ps": times.trp.get(),
        "tras_min_ps": times.tras.get(),
        "trc_min_ps": times.trc.get(),
        "trfc_min_ps": times.trfc1.get(),
        "trfc1_min_ps": times.trfc1.get(),
        "cas_latencies": speed.cas_latencies.value(),
        "mts": speed.rate_mts.get(),
        "cl_rcd_rp": clocks,
    }))
}

fn build_view(module: &ReadModule) -> Map<String, Value> {
    let build = &module.build;
    let sensors = build.thermal_sensors.get();
    let card = build.raw_card.value();
    let revision = card.and_then(|card| card.revision?.to_digit(10));
    without_nulls(json!({
        "thermal_sensor": sensors.map(|sensors| sensors > 0),
        "thermal_sensors": sensors,
        "height_mm_max": build.height_mm.get(),
        "thickness_mm": [build.front_mm.get(), build.back_mm.get()],
        "raw_card": card.map(|card| card.letters.clone()),
        "raw_card_rev": revision,
        "heat_spreader": build.heat_spreader.get(),
        "dram_rows": build.dram_rows.get(),
        "temp_grade": build.temperature_grade.get(),
    }))
}

fn device_view(module: &ReadModule) -> Map<String, Value> {
    let devices = &module.devices;
    let choose = |flag: Option<bool>, no: &'static str, yes: &'static str| {
        flag.map(|flag| if flag { yes } else { no })
    };
    without_nulls(json!({
        "registers": devices.registers.get(),
        "register_mfr": maker(&devices.register.maker),
        "register_rev": revision(&devices.register),
        "register_type": devices.register.model.get(),
        "buffer_mfr": maker(&devices.buffer.maker),
        "buffer_rev": revision(&devices.buffer),
        "spd_hub": maker(&devices.spd_hub.maker),
        "pmic0": maker(&devices.pmics[0].maker),
        "rank1_mirrored": devices.rank1_mirrored.get(),
        "mirror_odd_ranks": devices.odd_ranks_mirrored.get(),
        "rank_numbering": choose(devices.even_rank_numbers.get(), "contiguous", "even_only"),
        "buffer_orientation": choose(devices.buffer_horizontal.get(), "vertical", "horizontal"),
    }))
}
