//! Texts as they come out of terminals, mails and tickets: invented, each with what went wrong with it.

use super::{ONE_PROCESSOR, codes, device_text, of_text, places};
use kitproof::read::inventory::{Code, Format, Generation, Inventory, Kind, Occupancy};

/// Two modules and an empty slot, as the tool prints them.
fn plain() -> String {
    let device =
        |handle: &str, changes: &[(&str, &str)]| device_text(changes).replace("0x1100", handle);
    format!(
        "# dmidecode 3.3\nGetting SMBIOS data from sysfs.\nSMBIOS 3.2.1 present.\n\n{ONE_PROCESSOR}{}{}{}",
        device(
            "0x1100",
            &[
                ("Locator", "P1-DIMMA1"),
                ("Bank Locator", "P0_Node0_Channel0_Dimm0")
            ]
        ),
        device(
            "0x1101",
            &[
                ("Locator", "P1-DIMMB1"),
                ("Bank Locator", "P0_Node0_Channel1_Dimm0")
            ]
        ),
        device(
            "0x1102",
            &[
                ("Size", "No Module Installed"),
                ("Locator", "P1-DIMMC1"),
                ("Bank Locator", "P0_Node0_Channel2_Dimm0"),
            ]
        ),
    )
}

fn lines(text: &str, change: impl Fn(&str) -> String) -> String {
    text.lines().map(|line| change(line) + "\n").collect()
}

/// The same slots, modules and places as the plain text gives.
fn same(text: &str, why: &str) {
    let (own, wanted) = (of_text(text), of_text(&plain()));
    assert_eq!(own.format, Format::DmidecodeText, "{why}");
    assert_eq!(own.slots, wanted.slots, "{why}");
    assert_eq!(own.processors, wanted.processors, "{why}");
}

#[test]
fn the_plain_text_is_what_the_others_are_held_against() {
    let wanted = of_text(&plain());
    assert_eq!((wanted.slots.len(), wanted.populated()), (3, 2));
    assert_eq!(places(&wanted.slots)[1], [Some(1), Some(2), Some(1)]);
}

#[test]
fn quoted_mail_is_read() {
    same(
        &lines(&plain(), |line| format!("> {line}")),
        "a mail that was answered",
    );
    same(
        &lines(&plain(), |line| format!(">> {line}")),
        "answered twice",
    );
    same(
        &lines(&plain(), |line| format!("> > {line}").trim().to_owned()),
        "answered twice",
    );
    same(
        &lines(&plain(), |line| format!("| {line}")),
        "a ticket's margin",
    );
}

#[test]
fn what_a_terminal_prints_around_it_is_skipped() {
    let noise = "sudo: unable to resolve host archive-7: Name or service not known\n\
                 [sudo] password for clerk: \n\
                 root@archive-7:~# dmidecode -t 1,2,4,16,17,19\n";
    same(
        &format!("{noise}{}clerk@archive-7:~$ exit\n", plain()),
        "prompts and warnings",
    );
    same(&plain().replace("Getting SMBIOS", "# SMBIOS implementations newer than version 3.2.0 are not\n# fully supported by this version of dmidecode.\nGetting SMBIOS"), "a warning of the tool");
    same(&format!("```\n{}```\n", plain()), "a code fence");
}

#[test]
fn blanks_and_line_ends_do_not_matter() {
    same(
        &plain().replace('\n', "\r\n"),
        "line ends of another system",
    );
    same(&plain().replace('\t', ""), "tabs lost");
    same(
        &plain().replace('\t', "\u{a0}\u{a0}\u{a0}\u{a0}"),
        "blanks of a web page",
    );
    same(
        &lines(&plain(), |line| format!("{line}   ")),
        "blanks at the end",
    );
    same(&plain().replace("\n\n", "\n"), "blank lines lost");
}

#[test]
fn two_outputs_of_one_machine_are_read_once() {
    let twice = format!("{}{}", plain(), plain());
    same(&twice, "pasted twice");
    assert!(codes(&of_text(&twice)).contains(&Code::StructuresRepeated));
    // Without the head of a second output, equal structures may be two slots of poor firmware.
    let poor = format!("{0}{0}", device_text(&[]));
    assert!(!codes(&of_text(&poor)).contains(&Code::StructuresRepeated));
}

#[test]
fn quiet_output_with_quote_marks_is_read() {
    let quiet: String = plain()
        .lines()
        .filter(|line| !line.starts_with("Handle"))
        .map(|line| format!("> {line}\n"))
        .collect();
    let own = of_text(&quiet);
    assert_eq!((own.slots.len(), own.populated()), (3, 2));
}

#[test]
fn a_text_cut_in_the_middle_of_a_slot_gives_what_is_there() {
    let text = plain();
    let at = text.rfind("Bank Locator").expect("the last slot");
    let cut = of_text(&text[..at]);
    assert_eq!((cut.slots.len(), cut.populated()), (3, 2));
    let at = text.rfind("\tSize").expect("the last slot");
    let cut = of_text(&text[..at]);
    assert_eq!(
        cut.slots.last().map(|slot| slot.occupancy),
        Some(Occupancy::Unknown)
    );
}

#[test]
fn words_of_old_and_new_versions_of_the_tool_mean_the_same() {
    let old = plain()
        .replace("Configured Memory Speed", "Configured Clock Speed")
        .replace("MT/s", "MHz")
        .replace("16 GB", "16384 MB");
    same(&old, "version 2.12 to 3.1");
    let kib = plain().replace("16 GB", "16777216 kB");
    same(&kib, "kilobytes");
}

fn first(inventory: &Inventory) -> &kitproof::read::inventory::record::Module {
    super::module(inventory)
}

#[test]
fn upper_case_words_and_odd_blanks_are_read() {
    let text = plain().replace("Type: DDR4", "Type:  ddr4 ").replace(
        "Synchronous Registered (Buffered)",
        "SYNCHRONOUS REGISTERED (BUFFERED)",
    );
    let own = of_text(&text);
    assert_eq!(first(&own).generation.value(), Some(&Generation::Ddr(4)));
    assert_eq!(first(&own).kind.value(), Some(&Kind::Rdimm));
}

#[test]
fn odd_locators_place_or_ask_and_never_clash_silently() {
    let device =
        |locator: &str, bank: &str| device_text(&[("Locator", locator), ("Bank Locator", bank)]);
    let schemes: [(&str, [(&str, &str); 4]); 6] = [
        (
            "letters and numbers apart",
            [
                ("CPU1_DIMM_A1", ""),
                ("CPU1_DIMM_A2", ""),
                ("CPU1_DIMM_B1", ""),
                ("CPU1_DIMM_B2", ""),
            ],
        ),
        (
            "words for everything",
            [
                ("DIMM 0", "SOCKET 0 CHANNEL 0 DIMM 0"),
                ("DIMM 1", "SOCKET 0 CHANNEL 0 DIMM 1"),
                ("DIMM 0", "SOCKET 0 CHANNEL 1 DIMM 0"),
                ("DIMM 1", "SOCKET 0 CHANNEL 1 DIMM 1"),
            ],
        ),
        (
            "counted from one",
            [
                ("P1_CHA_D1", ""),
                ("P1_CHA_D2", ""),
                ("P1_CHB_D1", ""),
                ("P1_CHB_D2", ""),
            ],
        ),
        (
            "running numbers",
            [
                ("DIMM1", "BANK 1"),
                ("DIMM2", "BANK 2"),
                ("DIMM3", "BANK 3"),
                ("DIMM4", "BANK 4"),
            ],
        ),
        (
            "one name for all",
            [
                ("DIMM", "BANK"),
                ("DIMM", "BANK"),
                ("DIMM", "BANK"),
                ("DIMM", "BANK"),
            ],
        ),
        (
            "other alphabets",
            [("插槽 1", ""), ("插槽 2", ""), ("Ä1", ""), ("Ä2", "")],
        ),
    ];
    for (scheme, names) in schemes {
        let text: String = names
            .iter()
            .zip(0x1100..)
            .map(|((locator, bank), handle)| {
                device(locator, bank).replace("0x1100", &format!("0x{handle:04X}"))
            })
            .collect();
        let own = of_text(&format!("{ONE_PROCESSOR}{text}"));
        assert_eq!(own.slots.len(), 4, "{scheme}");
        let mut known: Vec<_> = places(&own.slots);
        known.retain(|place| place.iter().all(Option::is_some));
        let placed = known.len();
        known.sort();
        known.dedup();
        assert_eq!(known.len(), placed, "{scheme}: two slots at one place");
        let told = matches!(own.placing, kitproof::read::inventory::Placing::Told);
        assert_eq!(told, placed == 4, "{scheme}");
    }
}
