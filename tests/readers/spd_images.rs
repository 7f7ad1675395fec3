//! Synthetic SPD images of every generation: every field, the checksums, and the label that the module
//! would carry. Source: `tests/fixtures/spd`, see SOURCES.md there.

use crate::show::show;
use crate::views::{fixtures, json_fixture, label_view, spd_view};
use kitproof::read::fact::Standing;
use kitproof::read::label::{read_label, write_label};
use kitproof::read::spd::{read_dump, read_spd, timing};
use kitproof::read::{Reading, spd::dump::bytes_of_dump};
use serde_json::Value;

/// Name, bytes and expected values of every image.
pub fn images() -> Vec<(String, Vec<u8>, Value)> {
    let mut names: Vec<String> = std::fs::read_dir(fixtures().join("spd"))
        .expect("a folder")
        .filter_map(|entry| {
            let name = entry
                .expect("an entry")
                .file_name()
                .into_string()
                .expect("a name");
            name.strip_suffix(".hex").map(str::to_owned)
        })
        .collect();
    names.sort();
    assert_eq!(names.len(), 17);
    names
        .into_iter()
        .map(|name| {
            let text = std::fs::read_to_string(fixtures().join(format!("spd/{name}.hex")));
            let (bytes, notes) = bytes_of_dump(&text.expect("a dump"));
            assert_eq!(notes, [], "{name}");
            let expected = json_fixture(&format!("spd/{name}.json"));
            assert_eq!(
                Some(bytes.len() as u64),
                expected["size"].as_u64(),
                "{name}"
            );
            (name, bytes, expected)
        })
        .collect()
}

fn image(name: &str) -> Vec<u8> {
    let found = images().into_iter().find(|(found, _, _)| found == name);
    found.expect("an image of that name").1
}

#[test]
fn decodes_every_field_of_every_image() {
    let mut fields = 0;
    for (name, bytes, expected) in images() {
        let reading = read_spd(&bytes);
        let view = spd_view(&reading);
        for (field, value) in expected["expected"].as_object().expect("an object") {
            assert_eq!(
                view.get(field).unwrap_or(&Value::Null),
                value,
                "{name}: {field}"
            );
            fields += 1;
        }
        assert_eq!(
            reading.is_sound(),
            !name.ends_with("badcrc"),
            "{name}: {:?}",
            reading.notes
        );
    }
    show(&format!("{fields} fields of 17 images agree"));
    assert!(fields > 700, "{fields} fields");
}

#[test]
fn writes_the_label_that_each_module_would_carry() {
    for (name, bytes, expected) in images() {
        let written = write_label(&read_spd(&bytes).module);
        assert_eq!(
            written.text.as_deref(),
            expected["label"].as_str(),
            "{name}"
        );
    }
}

#[test]
fn agrees_with_the_label_in_all_that_both_tell() {
    let mut fields = 0;
    for (name, bytes, expected) in images() {
        let image = read_spd(&bytes);
        let label = read_label(expected["label"].as_str().expect("a label"));
        let (image_view, label_view) = (label_view(&image), label_view(&label));
        for (field, value) in &label_view {
            if let Some(other) = image_view.get(field) {
                assert_eq!(value, other, "{name}: {field}");
                fields += 1;
            }
        }
    }
    assert!(fields >= 17 * 14, "{fields} fields");
}

#[test]
fn reports_a_wrong_checksum_and_calls_nothing_under_it_read() {
    let reading = read_spd(&image("syn_ddr4_rdimm_64g_2rx4_3200_badcrc"));
    assert!(reading.has("spd-crc-wrong"));
    let module = &reading.module;
    assert_eq!(
        module.organisation.package_ranks.standing(),
        Standing::Assumed
    );
    assert_eq!(module.capacity_mib.standing(), Standing::Assumed);
    assert_eq!(module.speed.rate_mts.standing(), Standing::Assumed);
    // The second block has its own checksum, which is right; the maker's area has none.
    assert_eq!(module.build.raw_card.standing(), Standing::Read);
    assert_eq!(module.origin.part_number.standing(), Standing::Read);
}

#[test]
fn finds_every_single_flipped_bit_under_a_checksum() {
    for (name, bytes, _) in images() {
        if name.ends_with("badcrc") {
            continue;
        }
        let covered = read_spd(&bytes).module.spd.checks[0];
        for at in (covered.first..=covered.last).filter(|at| *at != 2) {
            let mut flipped = bytes.clone();
            flipped[at] ^= 1 << (at % 7);
            let reading = read_spd(&flipped);
            assert!(reading.has("spd-crc-wrong"), "{name}: byte {at}");
        }
    }
}

#[test]
fn recognises_a_dump_with_swapped_bytes_whatever_stands_in_it() {
    for (name, bytes, expected) in images() {
        if name.ends_with("badcrc") {
            continue;
        }
        let swapped: Vec<u8> = bytes
            .chunks(2)
            .flat_map(|pair| [pair[1], pair[0]])
            .collect();
        let reading = read_spd(&swapped);
        assert!(reading.has("spd-bytes-swapped"), "{name}");
        let written = write_label(&reading.module).text;
        assert_eq!(written.as_deref(), expected["label"].as_str(), "{name}");
    }
    // Without a checksum to confirm it the type byte decides.
    let bytes = image("syn_ddr4_rdimm_64g_2rx4_3200_badcrc");
    let swapped: Vec<u8> = bytes
        .chunks(2)
        .flat_map(|pair| [pair[1], pair[0]])
        .collect();
    assert!(read_spd(&swapped).has("spd-bytes-swapped"));
}

#[test]
fn skips_a_header_of_a_tool() {
    for (name, bytes, expected) in images() {
        if name.ends_with("badcrc") {
            continue;
        }
        let mut with_header = b"TOOLHDR\x01\x02".to_vec();
        with_header.extend_from_slice(&bytes);
        let reading = read_spd(&with_header);
        assert!(reading.has("spd-header-skipped"), "{name}");
        let written = write_label(&reading.module).text;
        assert_eq!(written.as_deref(), expected["label"].as_str(), "{name}");
    }
}

#[test]
fn reads_what_a_shorter_image_holds_and_says_that_it_is_shorter() {
    for (name, bytes, expected) in images() {
        for length in [1, 3, 64, 128, 150, 256, 384, 512] {
            let Some(part) = bytes.get(..length) else {
                continue;
            };
            let reading = read_spd(part);
            assert!(
                !reading.notes.is_empty() || length >= 150,
                "{name}: {length}"
            );
            let module = &reading.module;
            if length >= 128 && expected["expected"]["generation"] != "DDR5" {
                let capacity = expected["expected"]["capacity_mib"].as_u64();
                assert_eq!(
                    module.capacity_mib.get().map(u64::from),
                    capacity,
                    "{name}: {length}"
                );
                assert!(!reading.has("spd-too-short"), "{name}: {length}");
            } else if length < 128 {
                let short = reading.has("spd-too-short") || !reading.is_sound();
                assert!(short, "{name}: {length}: {:?}", reading.notes);
            }
        }
    }
}

#[test]
fn tells_an_empty_device_and_a_type_that_is_not_covered() {
    assert!(read_spd(&[0; 256]).has("spd-empty"));
    assert!(read_spd(&[0xff; 512]).has("spd-empty"));
    let mut other = image("syn_ddr4_rdimm_32g_2rx4_2666");
    for (code, note) in [
        (0x08, "spd-type-not-covered"),
        (0x10, "spd-type-not-covered"),
        (0x14, "spd-type-not-covered"),
        (0x15, "spd-type-not-covered"),
        (0x77, "spd-type-unknown"),
    ] {
        other[2] = code;
        assert!(read_spd(&other).has(note), "{code:02x}");
    }
    assert!(read_spd(&[]).has("spd-too-short"));
    assert!(read_dump("").has("spd-not-a-dump"));
}

/// An image with some bytes changed and its checksums made right.
fn changed(name: &str, changes: &[(usize, u8)]) -> Reading {
    let mut bytes = image(name);
    for (at, byte) in changes {
        bytes[*at] = *byte;
    }
    crate::mutate::repair_checksums(&mut bytes);
    let reading = read_spd(&bytes);
    assert!(!reading.has("spd-crc-wrong"));
    reading
}

#[test]
fn checks_the_first_bytes_of_a_published_table() {
    // A module maker's data sheet of an 8 GB 2Rx4 DDR3-1333 RDIMM prints bytes 0 to 14: fine time base
    // 2.5 ps, CL 6 to 9, 8192 MiB.
    let first = [
        0x92, 0x10, 0x0b, 0x01, 0x03, 0x1a, 0x00, 0x08, 0x0b, 0x52, 0x01, 0x08, 0x0c, 0x00, 0x3c,
    ];
    let mut bytes = image("syn_ddr3_rdimm_16g_2rx4_1600_135v");
    bytes[..15].copy_from_slice(&first);
    bytes[15] = 0;
    // tAA 13.5 ns without correction.
    (bytes[16], bytes[34], bytes[35]) = (108, 0, 0);
    crate::mutate::repair_checksums(&mut bytes);
    let module = read_spd(&bytes).module;
    assert_eq!(module.capacity_mib.get(), Some(8192));
    assert_eq!(module.speed.rate_mts.get(), Some(1333));
    assert_eq!(module.speed.cas_latencies.value(), Some(&vec![6, 7, 8, 9]));
    assert_eq!(module.speed.times.taa.get(), Some(13_500));
    // A correction of two fine units of 2.5 ps.
    bytes[35] = 2;
    crate::mutate::repair_checksums(&mut bytes);
    assert_eq!(read_spd(&bytes).module.speed.times.taa.get(), Some(13_505));
}

#[test]
fn never_multiplies_ranks_by_the_dies_of_a_dual_die_package() {
    // Capacity of a real 64 GB 4DRx4 module: 1024 MiB x 16 devices x 4 ranks (DDR4, byte 6 = 0x91).
    let reading = changed("syn_ddr4_lrdimm_64g_4drx4_2666", &[(6, 0x91)]);
    assert_eq!(reading.module.capacity_mib.get(), Some(65_536));
    // DDR5, code 1 of bits 7 to 5 of byte 4.
    let reading = changed("syn_ddr5_rdimm_64g_2rx4_5600_ec8", &[(4, 0x24)]);
    assert_eq!(reading.module.capacity_mib.get(), Some(65_536));
    assert_eq!(reading.module.organisation.logical_ranks.get(), Some(2));
}

#[test]
fn tells_no_capacity_when_ranks_differ_or_stacking_is_not_told() {
    let reading = changed("syn_ddr4_rdimm_32g_2rx4_2666", &[(12, 0x48)]);
    assert!(reading.has("spd-ranks-asymmetric"));
    assert!(!reading.module.capacity_mib.is_known());
    let reading = changed("syn_ddr4_rdimm_32g_2rx4_2666", &[(6, 0x90)]);
    assert!(reading.has("spd-package-not-told"));
    assert!(!reading.module.capacity_mib.is_known());
}

#[test]
fn does_not_derive_the_rate_of_a_multiplexed_rank_module() {
    let reading = changed("syn_ddr5_rdimm_64g_2rx4_5600_ec8", &[(3, 0x07)]);
    assert!(reading.has("spd-rate-not-told"));
    assert!(!reading.module.speed.rate_mts.is_known());
}

#[test]
fn notes_codes_that_the_standard_does_not_define() {
    let reading = changed("syn_ddr3_rdimm_16g_2rx4_1600_135v", &[(7, 0x28), (4, 0x0f)]);
    assert_eq!(
        reading
            .notes
            .iter()
            .filter(|note| note.code() == "spd-code-unknown")
            .count(),
        2
    );
    assert!(!reading.module.organisation.package_ranks.is_known());
    assert!(!reading.module.capacity_mib.is_known());
}

#[test]
fn keeps_the_inner_spaces_of_a_part_number_and_drops_a_date_that_is_not_decimal() {
    let mut bytes = image("syn_ddr5_rdimm_64g_2rx4_5600_ec8");
    bytes[521..539].copy_from_slice(b"ERW 1C64 USFF\0\0\0\0\0");
    bytes[539..551].fill(0);
    (bytes[515], bytes[516]) = (0x2a, 0x18);
    let reading = read_spd(&bytes);
    assert_eq!(
        reading
            .module
            .origin
            .part_number
            .value()
            .map(String::as_str),
        Some("ERW 1C64 USFF")
    );
    assert!(reading.has("spd-date-not-decimal"));
    assert!(!reading.module.origin.date.is_known());
}

#[test]
fn names_makers_with_the_parity_bit_masked() {
    // JEP106 as the name register has it; codes as real modules store them.
    for ([bank, code], name) in [
        ([0x80, 0xce], Some("Samsung")),
        ([0x80, 0x2c], Some("Micron Technology")),
        ([0x80, 0xad], Some("SK Hynix")),
        ([0x01, 0x98], Some("Kingston")),
        ([0x04, 0xb3], Some("Inphi Corporation")),
        ([0x83, 0x0b], Some("Nanya Technology")),
        ([0x86, 0x32], None),
    ] {
        let maker = kitproof::read::maker::Maker::from_bytes(bank, code).expect("a code");
        assert_eq!(maker.name(), name, "{maker}");
        assert!(maker.parity_is_right(), "{maker}");
    }
}

#[test]
fn computes_the_clocks_of_published_bins() {
    use kitproof::read::vocabulary::Generation::{Ddr3, Ddr4, Ddr5};
    // DDR3-1866: 13.125 ns is 13 clocks; DDR4 bins P, T, V, Y, AA as server makers' guides print them;
    // DDR5 40-39-39, 46-45-45, 52-52-52 of product names, 46 and 60 for stacked dies.
    for (generation, time, tck, rate, clocks) in [
        (Ddr3, 13_125, 1071, 1866, 13),
        (Ddr3, 13_125, 1500, 1333, 9),
        (Ddr4, 14_060, 938, 2133, 15),
        (Ddr4, 14_160, 833, 2400, 17),
        (Ddr4, 14_250, 750, 2666, 19),
        (Ddr4, 14_320, 682, 2933, 21),
        (Ddr4, 13_750, 625, 3200, 22),
        (Ddr5, 16_000, 416, 4800, 39),
        (Ddr5, 16_000, 357, 5600, 45),
        (Ddr5, 16_000, 312, 6400, 52),
        (Ddr5, 18_500, 312, 6400, 60),
    ] {
        let found = timing::clocks(generation, time, tck, rate);
        assert_eq!(found, Some(clocks), "{generation:?} {rate} {time}");
    }
}
