//! Labels of real modules and constructed ones: every field, and written again.
//!
//! Source: `tests/fixtures/labels`, whose SOURCES.md says where each set comes from.

use crate::show::show;
use crate::views::{json_fixture, label_view, members};
use kitproof::read::fact::Standing;
use kitproof::read::label::{read_label, write_label};
use serde_json::Value;

/// Both sets of labels with their expected values.
pub fn fixture_labels() -> Vec<(String, Value)> {
    ["labels/labels.json", "labels/labels-more.json"]
        .iter()
        .flat_map(|name| json_fixture(name).as_array().expect("a list").clone())
        .map(|one| {
            let label = one["label"].as_str().expect("a label").to_owned();
            (label, one["expected"].clone())
        })
        .collect()
}

/// The fixtures' words for faults and the codes of the notes that stand for them.
const FAULTS: [(&str, &str); 6] = [
    ("no_match", "label-generation-missing"),
    ("rank_count", "label-rank-count-unknown"),
    ("raw_card", "label-raw-card-misread"),
    ("generation", "label-generation-misread"),
    ("speed_bin", "label-speed-bin-unknown"),
    ("logical_ranks_without_S", "label-height-without-stack"),
];

#[test]
fn reads_every_field_of_every_label() {
    let mut fields = 0;
    let labels = fixture_labels();
    assert_eq!(
        labels.len(),
        55,
        "37 labels and the other 18 of the same table"
    );
    let sound: Vec<_> = labels
        .iter()
        .filter(|(_, one)| one["error"].is_null())
        .collect();
    for (label, expected) in &sound {
        let reading = read_label(label);
        assert!(reading.is_sound(), "{label}: {:?}", reading.notes);
        let expected = members(expected);
        assert_eq!(label_view(&reading), expected, "{label}");
        fields += expected.len();
    }
    show(&format!("{fields} fields of {} labels agree", sound.len()));
    assert!(fields > 600, "{fields} fields");
}

#[test]
fn answers_every_faulty_label_with_its_fault_and_reads_nothing_from_the_fault() {
    let mut faulty = 0;
    for (label, expected) in fixture_labels() {
        let Some(fault) = expected["error"].as_str() else {
            continue;
        };
        let (_, code) = FAULTS
            .iter()
            .find(|(word, _)| *word == fault)
            .expect("a known fault");
        let reading = read_label(&label);
        assert!(reading.has(code), "{label}: {:?}", reading.notes);
        assert!(!reading.is_sound(), "{label}");
        let module = &reading.module;
        let hangs = match fault {
            "no_match" | "generation" => module.generation.standing(),
            "rank_count" => module.organisation.package_ranks.standing(),
            "raw_card" => module.build.raw_card.standing(),
            "speed_bin" => module.speed.bin.standing(),
            _ => module.organisation.logical_ranks.standing(),
        };
        assert!(hangs <= Standing::Assumed, "{label}: {hangs:?}");
        assert_eq!(
            module.capacity_mib.standing(),
            Standing::Read,
            "{label}: the rest is read"
        );
        faulty += 1;
    }
    assert_eq!(faulty, 7);
}

/// Labels that are written otherwise than they were read, and why nothing is lost by it.
const WRITTEN_OTHERWISE: [(&str, &str); 9] = [
    // A latency padded with a zero.
    (
        "8GB 2Rx4 PC3L-10600R-09-11-E2-P2",
        "8GB 2Rx4 PC3L-10600R-9-11-E2-P2",
    ),
    (
        "1GB 1Rx8 PC3-10600R-09-10-A0",
        "1GB 1Rx8 PC3-10600R-9-10-A0",
    ),
    // Capital X.
    (
        "64GB 4DRX4 PC4-2666V-LD2-12-MAO",
        "64GB 4DRx4 PC4-2666V-LD2-12-MAO",
    ),
    (
        "48GB 2RX8 PC5-5600B-RE0-1010-XT",
        "48GB 2Rx8 PC5-5600B-RE0-1010-XT",
    ),
    // Words beside the label.
    (
        "32GB 2Rx8 PC4-3200AA-RE3-12-R80 RDIMM",
        "32GB 2Rx8 PC4-3200AA-RE3-12-R80",
    ),
    (
        "48GB 1Rx4 PC5-4800B-PF0-1010-XT 288pin Server EC4 RDIMM",
        "48GB 1Rx4 PC5-4800B-PF0-1010-XT",
    ),
    (
        "64GB 2Rx4 EC8 PC5-5600B-RA0-1111-XT",
        "64GB 2Rx4 PC5-5600B-RA0-1111-XT",
    ),
    // Text of a two-dimensional code.
    (
        "(L)64GB 2Rx4 PC5-5600B-RA0-1010-XT(S)80CE02253633436BCE(P)M321R8GA0EB2-CWMXH(M)S00O0Q0",
        "64GB 2Rx4 PC5-5600B-RA0-1010-XT",
    ),
    (
        "(L)32GB 1RX4 PC5-6400B-RC1-1211-XT(S)802C0624524CFBFA49(P)MTC20F1045S1RC64BD2(c)QSFF",
        "32GB 1Rx4 PC5-6400B-RC1-1211-XT",
    ),
];

#[test]
fn writes_every_label_again_as_it_was_read() {
    let mut otherwise = 0;
    for (label, expected) in fixture_labels() {
        if !expected["error"].is_null() {
            continue;
        }
        let written = write_label(&read_label(&label).module)
            .text
            .expect("a label");
        let meant = WRITTEN_OTHERWISE.iter().find(|(read, _)| *read == label);
        otherwise += usize::from(meant.is_some());
        assert_eq!(
            written,
            meant.map_or(label.as_str(), |(_, written)| written)
        );
    }
    assert_eq!(otherwise, WRITTEN_OTHERWISE.len());
}

#[test]
fn reads_the_same_facts_from_a_label_that_it_wrote() {
    for (label, expected) in fixture_labels() {
        if !expected["error"].is_null() {
            continue;
        }
        let first = read_label(&label);
        let second = read_label(&write_label(&first.module).text.expect("a label"));
        let (mut first, mut second) = (label_view(&first), label_view(&second));
        for view in [&mut first, &mut second] {
            view.remove("qr");
        }
        assert_eq!(first, second, "{label}");
    }
}

#[test]
fn implies_the_latency_of_a_speed_bin_without_calling_it_read() {
    // DDR4 bins and DDR5 bin B: server makers' memory guides, as listed in the grades table.
    for (label, latency) in [
        ("32GB 2Rx4 PC4-2400T-RA1-11", Some(17)),
        ("32GB 2Rx4 PC4-2933Y-RB2-12", Some(21)),
        ("64GB 2S2Rx4 PC4-2133P-RA1-10", None),
        ("64GB 2Rx4 PC5-4800B-RA0-1010", Some(40)),
        ("64GB 2Rx4 PC5-5600B-RA0-1111", Some(46)),
        ("128GB 2S2Rx4 PC5-4800B-RA0-1010", Some(46)),
        ("256GB 2S4Rx4 PC5-6400B-RA0-1111", Some(60)),
    ] {
        let fact = read_label(label).module.speed.cas_latency;
        assert_eq!(fact.get(), latency, "{label}");
        assert!(fact.standing() <= Standing::Derived, "{label}");
    }
}

#[test]
fn takes_the_ecc_word_for_a_short_form_and_reports_a_conflict_with_a_full_one() {
    let short = read_label("64GB 2Rx4 PC5-4800B-R EC4");
    assert!(short.is_sound());
    assert_eq!(short.module.organisation.ecc_bits.get(), Some(4));
    assert_eq!(
        short.module.organisation.ecc_bits.standing(),
        Standing::Read
    );

    let assumed = read_label("64GB 2Rx4 PC5-4800B-R");
    assert_eq!(
        assumed.module.organisation.ecc_bits.standing(),
        Standing::Assumed
    );

    let conflict = read_label("64GB 2Rx4 EC4 PC5-4800B-RA0-1010-XT");
    assert!(conflict.has("label-ecc-bits-conflict"));
    assert!(!conflict.module.organisation.ecc_bits.is_known());
}

#[test]
fn reads_a_label_that_a_line_break_took_the_hyphens_from() {
    let reading = read_label("64GB 2Rx4 PC5-5600B\nRA0-1111-XT");
    assert!(reading.is_sound(), "{:?}", reading.notes);
    let label = write_label(&reading.module).text;
    assert_eq!(label.as_deref(), Some("64GB 2Rx4 PC5-5600B-RA0-1111-XT"));
}

#[test]
fn does_not_take_a_word_of_a_sales_text_for_the_module_letter() {
    let reading = read_label("16GB 1Rx4 PC4-2400T ECC Registered");
    assert!(reading.has("label-module-letter-missing"));
    assert!(!reading.module.kind.is_known());
}

#[test]
fn says_what_a_record_lacks_for_a_label() {
    let written = write_label(&read_label("PC4-2400T-RA1-11").module);
    assert_eq!(written.text, None);
    assert_eq!(written.notes[0].code(), "label-not-writable");
}
