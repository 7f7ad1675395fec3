//! An independent decoder, `decode-dimms` of Debian's package i2c-tools 4.3-2 (GPL; run as a program,
//! never linked): every field that it prints for DDR3 and DDR4 is compared with ours.
//!
//! Its outputs for the fixtures are stored beside them and always compared. When the program is on the
//! PATH it is also run on the fixtures and on images varied at random.

use crate::mutate::{Noise, repair_checksums};
use crate::spd_images::images;
use crate::views::fixtures;
use kitproof::read::fact::Fact;
use kitproof::read::grades::{by_rate, grades};
use kitproof::read::maker::Maker;
use kitproof::read::record::ReadModule;
use kitproof::read::spd::{read_spd, timing};
use kitproof::read::vocabulary::{Generation, Kind, Package};
use std::collections::BTreeMap;
use std::process::Command;

type Lines = BTreeMap<String, String>;

/// What it prints and the record does not keep: nothing that a check of a kit could need.
const NOT_KEPT: [&str; 7] = [
    "RZQ/6 supported?",
    "RZQ/7 supported?",
    "DLL-Off Mode supported?",
    "Refresh Rate in extended temp range",
    "On-Die Thermal Sensor readout?",
    "Maximum Activate Count (MAC)",
    "Module Width",
];

/// Where it is known to be wrong: image, field, what it prints, what is right, and its fault.
const ITS_FAULTS: [(&str, &str, &str, &str, &str); 3] = [
    (
        "syn_ddr3_lrdimm_64g_8rx4_1333_evenonly",
        "Ranks",
        "5",
        "8",
        "rank code 4 of DDR3 means 8 ranks (JEDEC 21-C Annex K); it adds one to every code",
    ),
    (
        "syn_ddr3_lrdimm_64g_8rx4_1333_evenonly",
        "Size",
        "40960 MB",
        "65536 MB",
        "follows from the wrong rank count",
    ),
    (
        "syn_ddr4_rdimm_rawcard_ext_AN5",
        "Module Reference Card",
        "BN revision 2",
        "AN revision 5",
        "two faults: two-letter cards are counted from BA, and the extension replaces the revision",
    ),
];

/// The fields of its output: two spaces part name from value; a line that begins with spaces goes on.
fn parse(output: &str) -> Lines {
    let mut lines = Lines::new();
    let mut last = String::new();
    for line in output.lines() {
        if line.starts_with("  ") {
            let before: &mut String = lines.get_mut(&last).expect("a line to go on");
            *before = format!("{before} {}", line.trim());
        } else if let Some((name, value)) = line.split_once("  ") {
            last = name.to_owned();
            lines.insert(last.clone(), value.trim().to_owned());
        }
    }
    lines
}

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

fn shown(module: &ReadModule) -> Lines {
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

/// Compares both in both directions; gives the number of fields and the disagreements.
fn compare(theirs: &Lines, ours: &Lines) -> (usize, Vec<(String, String, String)>) {
    let mut fields = 0;
    let mut disagreements = Vec::new();
    let names = theirs
        .keys()
        .chain(ours.keys().filter(|name| !theirs.contains_key(*name)));
    for name in names.filter(|name| !NOT_KEPT.contains(&name.as_str())) {
        fields += 1;
        let [their, our] = [theirs, ours].map(|lines| lines.get(name).cloned().unwrap_or_default());
        if their != our {
            disagreements.push((name.clone(), their, our));
        }
    }
    (fields, disagreements)
}

/// The images that it can decode.
fn decodable() -> Vec<(String, Vec<u8>)> {
    let all = images()
        .into_iter()
        .filter(|(name, _, _)| !name.contains("ddr5"));
    all.map(|(name, bytes, _)| (name, bytes)).collect()
}

fn agrees_but_for_its_faults(outputs: &[(String, String)]) -> usize {
    let mut fields = 0;
    let mut found = Vec::new();
    for (name, bytes) in decodable() {
        let (_, output) = outputs
            .iter()
            .find(|(one, _)| *one == name)
            .expect("an output");
        let ours = shown(&read_spd(&bytes).module);
        let (compared, disagreements) = compare(&parse(output), &ours);
        fields += compared;
        found.extend(
            disagreements
                .into_iter()
                .map(|(field, their, our)| (name.clone(), field, their, our)),
        );
    }
    let known: Vec<(String, String, String, String)> = ITS_FAULTS
        .iter()
        .map(|(name, field, theirs, ours, _)| {
            (
                (*name).to_owned(),
                (*field).to_owned(),
                (*theirs).to_owned(),
                (*ours).to_owned(),
            )
        })
        .collect();
    found.sort();
    let mut sorted = known;
    sorted.sort();
    assert_eq!(
        found, sorted,
        "every disagreement is one of its known faults, and each occurs"
    );
    fields
}

#[test]
fn agrees_with_every_stored_output_but_for_its_known_faults() {
    let outputs: Vec<(String, String)> = decodable()
        .into_iter()
        .map(|(name, _)| {
            let path = fixtures().join(format!("spd/{name}.decode-dimms.txt"));
            (
                name,
                std::fs::read_to_string(path).expect("a stored output"),
            )
        })
        .collect();
    let fields = agrees_but_for_its_faults(&outputs);
    println!(
        "{fields} fields of {} stored outputs compared",
        outputs.len()
    );
    assert!(fields > 500, "{fields} fields");
}

fn hex_lines(bytes: &[u8]) -> String {
    let rows = bytes.chunks(16).enumerate().map(|(index, row)| {
        let words: Vec<String> = row.iter().map(|byte| format!("{byte:02x}")).collect();
        format!("{:08x}  {}\n", index * 16, words.join(" "))
    });
    rows.collect()
}

/// Runs it on images; `None` when it is not installed. Tests run side by side: each has its own folder.
fn run(test: &str, images: &[(String, Vec<u8>)]) -> Option<Vec<(String, String)>> {
    let folder =
        std::env::temp_dir().join(format!("kitproof-readers-{test}-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let outputs = images
        .iter()
        .map(|(name, bytes)| {
            let path = folder.join(format!("{name}.hex"));
            std::fs::write(&path, hex_lines(bytes)).expect("a file");
            let output = Command::new("decode-dimms")
                .args(["-c", "-x"])
                .arg(&path)
                .output()
                .ok()?;
            let text = String::from_utf8_lossy(&output.stdout).into_owned();
            assert!(text.contains("decoded: 1"), "{name}: {text}");
            Some((name.clone(), text))
        })
        .collect();
    std::fs::remove_dir_all(&folder).expect("the folder goes");
    outputs
}

fn skipped(test: &str) {
    println!("skipped {test}: decode-dimms is not on the PATH");
}

#[test]
fn agrees_with_the_program_itself_but_for_its_known_faults() {
    let Some(outputs) = run("fixtures", &decodable()) else {
        return skipped("the comparison with the program itself");
    };
    let fields = agrees_but_for_its_faults(&outputs);
    println!("{fields} fields of {} live outputs compared", outputs.len());
}

/// Another module of the same generation and kind: every field anew, within what both decoders take
/// for valid and where the program has no known fault. Times are multiples of 125 ps with no fine
/// correction, so that no clock count lies within a rounding tolerance.
fn vary(noise: &mut Noise, bytes: &mut [u8]) {
    let bits = |noise: &mut Noise, end: usize| u8::try_from(noise.below(end)).expect("small");
    let ddr3 = bytes[2] == 0x0b;
    bytes[1] = noise.byte() & 0x33;
    bytes[4] = (bits(noise, 2) << 4) | (1 + bits(noise, 5));
    bytes[5] = (bits(noise, 6) << 3) | bits(noise, 4);
    let organisation = if ddr3 { 7 } else { 12 };
    bytes[organisation] = (bits(noise, 4) << 3) | bits(noise, 4);
    if ddr3 {
        vary_ddr3(noise, bytes);
    } else {
        vary_ddr4(noise, bytes);
    }
    let (height, maker) = if ddr3 { (60, 117) } else { (128, 320) };
    bytes[height] = bits(noise, 31);
    bytes[height + 1] = noise.byte();
    bytes[height + 2] = (bits(noise, 3) << 5) | bits(noise, 20);
    bytes[maker + 2] = 1 + bits(noise, 31); // above, it prints a character
    bytes[maker + 3] = (bits(noise, 3) << 4) | bits(noise, 10);
    bytes[maker + 4] = (bits(noise, 5) << 4) | (1 + bits(noise, 3));
    for byte in &mut bytes[maker + 5..maker + 9] {
        *byte = 1 + bits(noise, 254);
    }
    repair_checksums(bytes);
}

fn vary_ddr3(noise: &mut Noise, bytes: &mut [u8]) {
    bytes[6] = *noise.pick(&[0, 2, 3, 4, 5, 6, 7]);
    bytes[12] = *noise.pick(&[20, 15, 12, 10]);
    bytes[34..39].fill(0);
    bytes[14] = 0xfe;
    bytes[15] = 0x7f;
    for at in [16, 18, 20] {
        bytes[at] = 96 + (noise.byte() & 15);
    }
    for at in [17, 19, 23, 24, 25, 26, 27, 29] {
        bytes[at] = 1 + (noise.byte() >> 1);
    }
    bytes[21] = 0x11 + (noise.byte() & 0x11);
    bytes[22] = noise.byte();
    bytes[28] = noise.byte() & 1;
    bytes[31] = noise.byte() & 0x8f;
    bytes[32] = noise.byte() & 0x80;
    if bytes[3] == 11 {
        bytes[63] = (noise.byte() & 0xb1) | 4;
    } else {
        bytes[63] = 5 | (noise.byte() & 2);
        bytes[64] = noise.byte() & 0x80;
    }
}

fn vary_ddr4(noise: &mut Noise, bytes: &mut [u8]) {
    bytes[4] |= (noise.byte() & 3) << 6;
    bytes[6] = *noise.pick(&[0x00, 0x91, 0x92, 0xb1, 0xb2, 0xf2]);
    bytes[9] = noise.byte() & 0x60;
    bytes[14] = noise.byte() & 0x80;
    (bytes[18], bytes[125]) = *noise.pick(&[(10, 0), (6, 0), (5, 0), (7, 0xd6), (9, 0xca)]);
    bytes[117..124].fill(0);
    bytes[20..24].copy_from_slice(&[0xff, 0xff, 0xff, 0x3f]);
    for at in [24, 25, 26] {
        bytes[at] = 104 + (noise.byte() & 15);
    }
    for at in [28, 29, 30, 31, 32, 33, 34, 35, 37, 38, 39, 40, 42, 44, 45] {
        bytes[at] = 1 + (noise.byte() >> 1);
    }
    bytes[27] = 0x11;
    bytes[36] = noise.byte() & 1;
    (bytes[41], bytes[43]) = (noise.byte() & 1, noise.byte() & 0x11);
}

#[test]
fn agrees_with_the_program_on_varied_images() {
    let mut noise = Noise::new(3);
    let sources = decodable();
    let sources: Vec<_> = sources
        .iter()
        .filter(|(name, _)| !name.ends_with("badcrc"))
        .collect();
    let varied: Vec<(String, Vec<u8>)> = (0..66)
        .map(|index| {
            let (name, bytes) = sources[index % sources.len()];
            let mut bytes = bytes.clone();
            vary(&mut noise, &mut bytes);
            (format!("{index}-{name}"), bytes)
        })
        .collect();
    let Some(outputs) = run("varied", &varied) else {
        return skipped("the comparison on varied images");
    };
    let mut fields = 0;
    for ((name, bytes), (_, output)) in varied.iter().zip(&outputs) {
        let (compared, disagreements) = compare(&parse(output), &shown(&read_spd(bytes).module));
        assert_eq!(disagreements, [], "{name} (theirs, ours)");
        fields += compared;
    }
    println!("{fields} fields of {} varied images agree", outputs.len());
}
