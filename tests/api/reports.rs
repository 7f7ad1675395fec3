//! Invented reports for the tests of this folder.

use std::fmt::Write;

/// A slot of a report: its locator, and the part number of the module that it holds.
pub type Line<'a> = (&'a str, Option<&'a str>);

/// The text of dmidecode for a DDR3 machine with these slots; the second processor may be missing.
pub fn dmidecode(slots: &[Line<'_>], processors: [bool; 2]) -> String {
    let mut text = String::from(
        "# dmidecode 3.2\n\nHandle 0x0100, DMI type 1, 27 bytes\nSystem Information\n\
         \tManufacturer: Eddermouth Reuse Works\n\tProduct Name: Tarn server\n\n",
    );
    for (number, populated) in (1..).zip(processors) {
        let status = match populated {
            true => "Populated, Enabled",
            false => "Unpopulated",
        };
        let _ = write!(
            text,
            "Handle 0x040{number}, DMI type 4, 48 bytes\nProcessor Information\n\
             \tSocket Designation: CPU {number}\n\tType: Central Processor\n\tStatus: {status}\n\n"
        );
    }
    for (number, (locator, part)) in (0x1100..).zip(slots) {
        let _ = write!(
            text,
            "Handle 0x{number:04X}, DMI type 17, 40 bytes\nMemory Device\n\
             \tForm Factor: DIMM\n\tLocator: {locator}\n"
        );
        match part {
            None => text.push_str("\tSize: No Module Installed\n\n"),
            Some(part) => {
                let _ = write!(
                    text,
                    "\tTotal Width: 72 bits\n\tData Width: 64 bits\n\tSize: 16384 MB\n\tType: DDR3\n\
                     \tType Detail: Synchronous Registered (Buffered)\n\tSpeed: 1600 MT/s\n\
                     \tManufacturer: Saltfen Memory (invented)\n\tPart Number: {part}\n\tRank: 2\n\n"
                );
            }
        }
    }
    text
}

/// The slots of the tarn board by their printed labels; the first of each channel of the first socket
/// holds a module.
pub fn tarn(prefix: &str) -> Vec<(String, Option<&'static str>)> {
    let labels = ('A'..='H').flat_map(|channel| (1..=3).map(move |number| (channel, number)));
    labels
        .map(|(channel, number)| {
            let filled = number == 1 && channel <= 'D';
            (
                format!("{prefix}{channel}{number}"),
                filled.then_some("ERW-3R16-2x4"),
            )
        })
        .collect()
}

/// As lines.
pub fn lines<'a>(slots: &'a [(String, Option<&'static str>)]) -> Vec<Line<'a>> {
    slots
        .iter()
        .map(|(locator, part)| (locator.as_str(), *part))
        .collect()
}
