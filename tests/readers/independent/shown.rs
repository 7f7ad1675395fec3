//! Our record in the words of the independent decoder.

use super::Lines;
use kitproof::read::fact::Fact;
use kitproof::read::grades::{by_rate, grades};
use kitproof::read::maker::Maker;
use kitproof::read::record::ReadModule;
use kitproof::read::spd::timing;
use kitproof::read::vocabulary::{Generation, Kind, Package};

/// Our record in its words.
struct Shown<'a> {
    module: &'a ReadModule,
    lines: Lines,
}

impl Shown<'_> {
    fn put(&mut self, name: &str, value: Option<String>) {
        if let Some(value) = value {
            self.lines.insert(name.to_owned(), value);
        }
    }

    fn put_flag(&mut self, name: &str, fact: Fact<bool>, no: &str, yes: &str) {
        self.put(
            name,
            fact.get()
                .map(|flag| if flag { yes } else { no }.to_owned()),
        );
    }

    fn put_time(&mut self, name: &str, fact: Fact<u32>) {
        let value = fact
            .get()
            .map(|ps| format!("{}.{:03} ns", ps / 1000, ps % 1000));
        self.put(name, value);
    }

    fn put_maker(&mut self, name: &str, fact: &Fact<Maker>) {
        self.put(name, fact.get().and_then(Maker::name).map(str::to_owned));
    }

    fn is_ddr3(&self) -> bool {
        self.module.generation.get() == Some(Generation::Ddr3)
    }
}

pub fn shown(module: &ReadModule) -> Lines {
    let mut shown = Shown {
        module,
        lines: Lines::new(),
    };
    identity(&mut shown);
    organisation(&mut shown);
    timings(&mut shown);
    times(&mut shown);
    features(&mut shown);
    build(&mut shown);
    devices(&mut shown);
    origin(&mut shown);
    shown.lines
}

fn identity(shown: &mut Shown<'_>) {
    let module = shown.module;
    for check in &module.spd.checks {
        let value = if check.is_right() {
            format!("OK (0x{:04X})", check.stored)
        } else {
            format!(
                "Bad (found 0x{:04X}, calculated 0x{:04X})",
                check.stored, check.computed
            )
        };
        shown.put(
            &format!("EEPROM CRC of bytes {}-{}", check.first, check.last),
            Some(value),
        );
    }
    let spd = &module.spd;
    shown.put(
        "# of bytes written to SDRAM EEPROM",
        spd.bytes_used.get().map(|n| n.to_string()),
    );
    shown.put(
        "Total number of bytes in EEPROM",
        spd.bytes_total.get().map(|n| n.to_string()),
    );
    let generation = module.generation.get().expect("a generation");
    shown.put(
        "Fundamental Memory type",
        Some(format!("{} SDRAM", generation.name())),
    );
    shown.put(
        "SPD Revision",
        spd.revision.get().map(|revision| revision.to_string()),
    );
    let kind = module.kind.get().map(|kind| match kind {
        Kind::EccUdimm => "UDIMM",
        other => other.name(),
    });
    shown.put("Module Type", kind.map(str::to_owned));
}

fn organisation(shown: &mut Shown<'_>) {
    let module = shown.module;
    let organisation = &module.organisation;
    let bits = |value: Option<u16>| value.map(|value| format!("{value} bits"));
    shown.put(
        "Size",
        module.capacity_mib.get().map(|mib| format!("{mib} MB")),
    );
    let array = (|| {
        let (banks, rows) = (organisation.banks.get()?, organisation.rows.get()?);
        let (columns, bits) = (organisation.columns.get()?, organisation.data_bits.get()?);
        Some(format!("{banks} x {rows} x {columns} x {bits}"))
    })();
    shown.put("Banks x Rows x Columns x Bits", array);
    shown.put(
        "Ranks",
        organisation
            .package_ranks
            .get()
            .map(|ranks| ranks.to_string()),
    );
    shown.put(
        "SDRAM Device Width",
        bits(organisation.device_width.get().map(u16::from)),
    );
    shown.put("Primary Bus Width", bits(organisation.data_bits.get()));
    let ecc = organisation.ecc_bits.get().filter(|bits| *bits > 0);
    shown.put("Bus Width Extension", bits(ecc.map(u16::from)));
    if !shown.is_ddr3() && organisation.package_ranks.get() > Some(1) {
        shown.put_flag(
            "Rank Mix",
            organisation.asymmetric,
            "Symmetrical",
            "Asymmetrical",
        );
    }
}

fn timings(shown: &mut Shown<'_>) {
    let module = shown.module;
    let generation = module.generation.get().expect("a generation");
    let speed = &module.speed;
    let (title, mask) = if shown.is_ddr3() {
        ("tCL-tRCD-tRP-tRAS", "Supported CAS Latencies (tCL)")
    } else {
        ("AA-RCD-RP-RAS (cycles)", "Supported CAS Latencies")
    };
    let rate = speed
        .rate_mts
        .get()
        .and_then(|rate| by_rate(generation, rate));
    let prefix = generation.label_prefix();
    shown.put(
        "Maximum module speed",
        rate.map(|grade| format!("{} MT/s ({prefix}-{})", grade.rate_mts, grade.bandwidth)),
    );
    let own = (|| {
        let (cl, rcd) = (speed.cas_latency.get()?, speed.rcd_clocks.get()?);
        Some(format!(
            "{cl}-{rcd}-{}-{}",
            speed.rp_clocks.get()?,
            speed.ras_clocks.get()?
        ))
    })();
    shown.put(title, own);
    let latencies = speed.cas_latencies.value().map(|latencies| {
        let words: Vec<String> = latencies
            .iter()
            .rev()
            .map(|one| format!("{one}T"))
            .collect();
        words.join(", ")
    });
    shown.put(mask, latencies);
    let fastest = speed.rate_mts.get().expect("a rate");
    let slowest = speed.times.tck_max.get().unwrap_or(u32::MAX);
    for grade in grades(generation) {
        if grade.rate_mts > fastest || grade.tck_ps > slowest {
            continue;
        }
        let clocks =
            |time: Fact<u32>| timing::clocks(generation, time.get()?, grade.tck_ps, grade.rate_mts);
        let line = (|| {
            let cl = timing::cas_latency_at(module, grade.rate_mts)?;
            let times = &speed.times;
            let (rcd, rp, ras) = (clocks(times.trcd)?, clocks(times.trp)?, clocks(times.tras)?);
            Some(format!("{cl}-{rcd}-{rp}-{ras}"))
        })();
        shown.put(
            &format!("{title} as {}-{}", generation.name(), grade.rate_mts),
            line,
        );
    }
}

fn times(shown: &mut Shown<'_>) {
    let times = &shown.module.speed.times;
    let active = "Minimum Row Active to Row Active Delay";
    let ddr3 = [
        ("Minimum Cycle Time (tCK)", times.tck_min),
        ("Minimum Write Recovery time (tWR)", times.twr),
        ("Minimum RAS# to CAS# Delay (tRCD)", times.trcd),
        (&format!("{active} (tRRD)"), times.trrd_s),
        ("Minimum Recovery Delay (tRFC)", times.trfc1),
        ("Minimum Write to Read CMD Delay (tWTR)", times.twtr_s),
        ("Minimum Read to Pre-charge CMD Delay (tRTP)", times.trtp),
    ];
    let ddr4 = [
        ("Minimum Cycle Time (tCKmin)", times.tck_min),
        ("Maximum Cycle Time (tCKmax)", times.tck_max),
        ("Minimum RAS to CAS Delay (tRCD)", times.trcd),
        (&format!("{active} (tRRD_S)"), times.trrd_s),
        (&format!("{active} (tRRD_L)"), times.trrd_l),
        ("Minimum CAS to CAS Delay (tCCD_L)", times.tccd_l),
        ("Minimum Recovery Delay (tRFC1)", times.trfc1),
        ("Minimum Recovery Delay (tRFC2)", times.trfc2),
        ("Minimum Recovery Delay (tRFC4)", times.trfc4),
        ("Minimum Write Recovery Time (tWR)", times.twr),
        ("Minimum Write to Read Time (tWTR_S)", times.twtr_s),
        ("Minimum Write to Read Time (tWTR_L)", times.twtr_l),
    ];
    let both = [
        ("Minimum CAS Latency Time (tAA)", times.taa),
        ("Minimum Row Precharge Delay (tRP)", times.trp),
        ("Minimum Active to Precharge Delay (tRAS)", times.tras),
        ("Minimum Active to Auto-Refresh Delay (tRC)", times.trc),
        ("Minimum Four Activate Window Delay (tFAW)", times.tfaw),
    ];
    let own = if shown.is_ddr3() {
        &ddr3[..]
    } else {
        &ddr4[..]
    };
    for (name, time) in both.iter().chain(own) {
        shown.put_time(name, *time);
    }
}

fn features(shown: &mut Shown<'_>) {
    let module = shown.module;
    let features = &module.features;
    let sensor = module
        .build
        .thermal_sensors
        .get()
        .map(|sensors| sensors > 0);
    if shown.is_ddr3() {
        shown.put(
            "Operable voltages",
            module.supply.operable_mv.value().map(|mv| voltages(mv)),
        );
        let range = features.extended_temperature;
        shown.put_flag(
            "Operating temperature range",
            range,
            "0-85 degrees C",
            "0-95 degrees C",
        );
        shown.put_flag(
            "Auto Self-Refresh?",
            features.auto_self_refresh,
            "No",
            "Yes",
        );
        shown.put_flag(
            "Partial Array Self-Refresh?",
            features.partial_self_refresh,
            "No",
            "Yes",
        );
        let sensor = sensor.map(|has| if has { "Yes" } else { "No" }.to_owned());
        shown.put("Module Thermal Sensor", sensor);
        let single = module.organisation.package.get() == Some(Package::Single);
        shown.put(
            "SDRAM Device Type",
            single.then(|| "Standard Monolithic".to_owned()),
        );
        return;
    }
    shown.put("Package Type", package(module));
    let repair = features.post_package_repair;
    shown.put_flag(
        "Post Package Repair",
        repair,
        "Not supported",
        "One row per bank group",
    );
    if repair.get() == Some(true) {
        let soft = features.soft_post_package_repair;
        shown.put_flag("Soft PPR", soft, "Not Supported", "Supported");
    }
    let nominal = module.supply.nominal_mv.get().filter(|mv| *mv == 1200);
    shown.put(
        "Module Nominal Voltage",
        nominal.map(|_| "1.2 V".to_owned()),
    );
    let sensor = sensor.map(|has| if has { "TSE2004 compliant" } else { "No" }.to_owned());
    shown.put("Thermal Sensor", sensor);
}

fn voltages(operable: &[u16]) -> String {
    let mut text = if operable.contains(&1500) {
        "1.5V"
    } else {
        "1.5V tolerant"
    }
    .to_owned();
    if operable.contains(&1350) {
        text.push_str(", 1.35V ");
    }
    if operable.contains(&1250) {
        text.push_str(", 1.2X V");
    }
    text.trim().to_owned()
}

fn package(module: &ReadModule) -> Option<String> {
    let dies = module.organisation.dies_per_package.get()?;
    let name = match module.organisation.package.get()? {
        Package::Single => "Monolithic",
        Package::Stacked => "3DS",
        Package::DualDie | Package::QuadDie | Package::MultiDie => "Multi-load stack",
    };
    Some(if dies >= 2 {
        format!("{name} ({dies} dies)")
    } else {
        name.to_owned()
    })
}

fn build(shown: &mut Shown<'_>) {
    let build = &shown.module.build;
    let height = build.height_mm.get().map(|mm| match mm {
        15 if !shown.is_ddr3() => "15 mm or less".to_owned(),
        _ => format!("{mm} mm"),
    });
    shown.put("Module Height", height);
    let thickness = build.front_mm.get().zip(build.back_mm.get());
    let thickness = thickness.map(|(front, back)| format!("{front} mm front, {back} mm back"));
    shown.put("Module Thickness", thickness);
    let card = build.raw_card.value().map(|card| {
        let revision = card.revision.map(String::from).unwrap_or_default();
        format!("{} revision {revision}", card.letters)
    });
    shown.put("Module Reference Card", card);
}

fn nibbles(revision: u8) -> String {
    format!("{}.{}", revision >> 4, revision & 15)
}

/// It tells support devices of DDR3 only.
fn devices(shown: &mut Shown<'_>) {
    if !shown.is_ddr3() {
        return;
    }
    let module = shown.module;
    let devices = &module.devices;
    shown.put_flag(
        "Rank 1 Mapping",
        devices.rank1_mirrored,
        "Standard",
        "Mirrored",
    );
    shown.put(
        "# DRAM Rows",
        module.build.dram_rows.get().map(|rows| rows.to_string()),
    );
    shown.put(
        "# Registers",
        devices
            .registers
            .get()
            .map(|registers| registers.to_string()),
    );
    shown.put_maker("Register manufacturer", &devices.register.maker);
    shown.put_maker("Register manufacturer", &devices.buffer.maker);
    shown.put(
        "Register device type",
        devices.register.model.get().map(str::to_owned),
    );
    shown.put(
        "Register revision",
        devices.register.revision.get().map(nibbles),
    );
    shown.put(
        "Buffer Revision",
        devices.buffer.revision.get().map(nibbles),
    );
    shown.put_flag("Mirroring", devices.odd_ranks_mirrored, "None", "Odd ranks");
    shown.put_flag(
        "Rank Numbering",
        devices.even_rank_numbers,
        "Contiguous",
        "Even only",
    );
    shown.put_flag(
        "Buffer Orientation",
        devices.buffer_horizontal,
        "Vertical",
        "Horizontal",
    );
    shown.put_flag("Heat spreader", module.build.heat_spreader, "No", "Yes");
}

fn origin(shown: &mut Shown<'_>) {
    let origin = &shown.module.origin;
    shown.put_maker("Module Manufacturer", &origin.maker);
    shown.put_maker("DRAM Manufacturer", &origin.dram_maker);
    let location = origin.location.get().map(|code| format!("0x{code:02X}"));
    shown.put("Manufacturing Location Code", location);
    shown.put(
        "Manufacturing Date",
        origin.date.get().map(|week| week.to_string()),
    );
    shown.put(
        "Assembly Serial Number",
        origin.serial.value().map(|digits| format!("0x{digits}")),
    );
    shown.put("Part Number", origin.part_number.value().cloned());
    shown.put(
        "Revision Code",
        origin.revision.value().map(|digits| format!("0x{digits}")),
    );
}
