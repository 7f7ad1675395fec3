//! How long reading a long dmidecode report takes beside splitting it into lines, in one run.
//!
//! `cargo bench --bench read_inventory`. The numerator is the whole reader: telling the format, taking
//! every structure, judging and placing every slot. The denominator collects the lines of the same
//! text. The real reports are read where they are kept beside the repository.

#![allow(
    clippy::print_stdout,
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "a benchmark speaks to its reader"
)]

use kitproof::read::inventory::{SlotMap, read};
use std::fmt::Write;
use std::hint::black_box;
use std::path::Path;
use std::time::{Duration, Instant};

const CALLS: usize = 501;

/// The ratio that is aimed at.
const AIM: f64 = 5.0;

/// Median times of two calls, taken in turn so that both meet the same machine.
fn medians(mut one: impl FnMut(), mut other: impl FnMut()) -> (Duration, Duration) {
    let time = |call: &mut dyn FnMut()| {
        let start = Instant::now();
        call();
        start.elapsed()
    };
    let mut times: [Vec<Duration>; 2] = [Vec::new(), Vec::new()];
    for _ in 0..CALLS {
        times[0].push(time(&mut one));
        times[1].push(time(&mut other));
    }
    let [one, other] = times.map(|mut times| {
        times.sort();
        times[CALLS / 2]
    });
    (one, other)
}

fn measure(name: &str, text: &[u8]) {
    let inventory = read(text, &SlotMap::default());
    let (whole, lines) = medians(
        || {
            black_box(read(black_box(text), &SlotMap::default()));
        },
        || {
            let text = String::from_utf8_lossy(black_box(text));
            black_box(text.lines().collect::<Vec<&str>>());
        },
    );
    println!(
        "{name}: {} B, {} slots; read {whole:.1?}, lines {lines:.1?}, ratio {:.2} (aim {AIM})",
        text.len(),
        inventory.slots.len(),
        whole.as_secs_f64() / lines.as_secs_f64()
    );
}

/// An invented report of a machine with 32 slots, as long as a full one gets.
fn invented() -> String {
    let mut text = String::from("# dmidecode 3.3\nGetting SMBIOS data from sysfs.\n\n");
    for number in 0..220 {
        let _ = write!(
            text,
            "Handle 0x{number:04X}, DMI type 8, 9 bytes\nPort Connector Information\n\
             \tInternal Reference Designator: J{number}\n\tInternal Connector Type: None\n\
             \tExternal Reference Designator: Invented {number}\n\
             \tExternal Connector Type: Access Bus (USB)\n\tPort Type: USB\n\n"
        );
    }
    for slot in 0..32 {
        let (letter, index) = (char::from(b'A' + slot / 2 % 8), slot % 2);
        let (socket, channel) = (slot / 16, slot / 2 % 8);
        let _ = write!(
            text,
            "Handle 0x{:04X}, DMI type 17, 92 bytes\nMemory Device\n\tArray Handle: 0x1000\n\
             \tError Information Handle: 0x1010\n\tTotal Width: 72 bits\n\tData Width: 64 bits\n\
             \tSize: 32 GB\n\tForm Factor: DIMM\n\tSet: None\n\
             \tLocator: P{}-DIMM{letter}{}\n\tBank Locator: P{socket}_Node0_Channel{channel}_Dimm{index}\n\
             \tType: DDR4\n\tType Detail: Synchronous Registered (Buffered)\n\tSpeed: 3200 MT/s\n\
             \tManufacturer: Saltfen Memory (invented)\n\tSerial Number: ED{slot:06}\n\
             \tAsset Tag: {letter}{}_AssetTag (date:21/05)\n\tPart Number: ERW-4R32-2x4    \n\tRank: 2\n\
             \tConfigured Memory Speed: 2933 MT/s\n\tMinimum Voltage: 1.2 V\n\tMaximum Voltage: 1.2 V\n\
             \tConfigured Voltage: 1.2 V\n\tMemory Technology: DRAM\n\
             \tMemory Operating Mode Capability: Volatile memory\n\tFirmware Version: Unknown\n\
             \tModule Manufacturer ID: Bank 1, Hex 0xCE\n\tModule Product ID: Unknown\n\
             \tMemory Subsystem Controller Manufacturer ID: Unknown\n\
             \tMemory Subsystem Controller Product ID: Unknown\n\tNon-Volatile Size: None\n\
             \tVolatile Size: 32 GB\n\tCache Size: None\n\tLogical Size: None\n\n",
            0x1100 + u16::from(slot),
            socket + 1,
            index + 1,
            index + 1,
        );
    }
    for number in 0..160 {
        let _ = write!(
            text,
            "Handle 0x{:04X}, DMI type 7, 27 bytes\nCache Information\n\
             \tSocket Designation: L{}-Cache\n\tConfiguration: Enabled, Not Socketed, Level 1\n\
             \tOperational Mode: Write Back\n\tLocation: Internal\n\tInstalled Size: 1 MB\n\
             \tMaximum Size: 1 MB\n\tSupported SRAM Types:\n\t\tPipeline Burst\n\
             \tError Correction Type: Multi-bit ECC\n\n",
            0x2000 + number,
            number % 3 + 1,
        );
    }
    text
}

fn main() {
    measure("invented", invented().as_bytes());
    let folder =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/vectors/inventory/dmidecode");
    let Ok(entries) = std::fs::read_dir(folder) else {
        println!("real reports skipped: they are not beside the repository");
        return;
    };
    let mut reports: Vec<(String, Vec<u8>)> = entries
        .filter_map(|entry| {
            let entry = entry.ok()?;
            let name = entry.file_name().into_string().ok()?;
            Some((name, std::fs::read(entry.path()).ok()?))
        })
        .collect();
    reports.sort_by_key(|(_, text)| std::cmp::Reverse(text.len()));
    for (name, text) in reports.iter().take(3) {
        measure(name, text);
    }
    let all: Vec<u8> = reports.iter().flat_map(|(_, text)| text.clone()).collect();
    let hundred = all.get(..100 * 1024).unwrap_or(&all);
    measure("the first 100 KiB of all real reports", hundred);
}
