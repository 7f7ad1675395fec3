//! Misreadings as they occur in real lists: each is answered with what was meant.

use kitproof::read::fact::Standing;
use kitproof::read::label::{read_label, write_label};

/// Read text, code of the note, what it says was found and meant, and the label that was meant.
///
/// The first eight are of real lists (the same lists as the fixtures' labels); the rest are slips of
/// the same kinds, made up.
const TYPOS: &[(&str, &str, &str, &str, &str)] = &[
    (
        "32GB 4Rx4 PCA-2133P-LD0-10",
        "label-generation-misread",
        "PCA",
        "PC4",
        "32GB 4Rx4 PC4-2133P-LD0-10",
    ),
    (
        "2GB 2Rx8 PC3-10600R-9-10-80",
        "label-raw-card-misread",
        "80",
        "B0",
        "2GB 2Rx8 PC3-10600R-9-10-B0",
    ),
    (
        "48GB 2RX8 PC5 56008 REO_1010-XT",
        "label-speed-bin-misread",
        "56008",
        "5600B",
        "48GB 2Rx8 PC5-5600B-RE0-1010-XT",
    ),
    (
        "48GB 2RX8 PC5-5600B-REO-1010-XT",
        "label-raw-card-misread",
        "EO",
        "E0",
        "48GB 2Rx8 PC5-5600B-RE0-1010-XT",
    ),
    (
        "48GB 2RX8 PC5-5600 8-RE0-1010-XT",
        "label-speed-bin-misread",
        "5600 8",
        "5600B",
        "48GB 2Rx8 PC5-5600B-RE0-1010-XT",
    ),
    (
        "16GB 4Rx4-8500R-7-12-F0",
        "label-generation-missing",
        "8500R-7-12-F0",
        "PC3-8500R-7-12-F0",
        "16GB 4Rx4 PC3-8500R-7-12-F0",
    ),
    (
        "2GB 2Rx8-10600R-09-11-B1-D3",
        "label-generation-missing",
        "10600R-09-11-B1-D3",
        "PC3-10600R-09-11-B1-D3",
        "2GB 2Rx8 PC3-10600R-9-11-B1-D3",
    ),
    (
        "64GB 4DRX4 PC4-2666V-LD2-12-MAO",
        "label-suffix-doubtful",
        "MAO",
        "MA0",
        "64GB 4DRx4 PC4-2666V-LD2-12-MAO",
    ),
    (
        "l6GB 2Rx4 PC4-2133P-RB1-10",
        "label-capacity-misread",
        "l6GB",
        "16GB",
        "16GB 2Rx4 PC4-2133P-RB1-10",
    ),
    (
        "16GB ZRx4 PC4-2133P-RB1-10",
        "label-organisation-misread",
        "ZRx4",
        "2Rx4",
        "16GB 2Rx4 PC4-2133P-RB1-10",
    ),
    (
        "64GB 40Rx4 PC4-2666V-LD2-12",
        "label-organisation-misread",
        "40Rx4",
        "4DRx4",
        "64GB 4DRx4 PC4-2666V-LD2-12",
    ),
    (
        "64GB 252Rx4 PC4-2133P-RA1-10",
        "label-organisation-misread",
        "252Rx4",
        "2S2Rx4",
        "64GB 2S2Rx4 PC4-2133P-RA1-10",
    ),
    (
        "16GB DRx4 PC4-2133P-RB1-10",
        "label-organisation-misread",
        "DRx4",
        "2Rx4",
        "16GB 2Rx4 PC4-2133P-RB1-10",
    ),
    (
        "16GB 2Rx4 PC3I-12800R-11-12-E2",
        "label-generation-misread",
        "PC3I",
        "PC3L",
        "16GB 2Rx4 PC3L-12800R-11-12-E2",
    ),
    (
        "16GB 2Rx4 PC3L-l2800R-11-12-E2",
        "label-rate-misread",
        "l2800R",
        "12800R",
        "16GB 2Rx4 PC3L-12800R-11-12-E2",
    ),
    (
        "8GB 2Rx4 PC3-10666R-9-10-B0",
        "label-rate-misread",
        "10666R",
        "10600R",
        "8GB 2Rx4 PC3-10600R-9-10-B0",
    ),
    (
        "8GB 2Rx4 PC3-1333R-9-10-B0",
        "label-rate-misread",
        "1333R",
        "10600R",
        "8GB 2Rx4 PC3-10600R-9-10-B0",
    ),
    (
        "32GB 2Rx4 PC4-2040T-RB1-11",
        "label-rate-misread",
        "2040T",
        "2400T",
        "32GB 2Rx4 PC4-2400T-RB1-11",
    ),
    (
        "32GB 2Rx4 PC4-3200A4-RB1-11",
        "label-speed-bin-misread",
        "3200A4",
        "3200AA",
        "32GB 2Rx4 PC4-3200AA-RB1-11",
    ),
    (
        "32GB 2Rx4 PC4-2400T-RB1-1l",
        "label-digits-misread",
        "1l",
        "11",
        "32GB 2Rx4 PC4-2400T-RB1-11",
    ),
];

#[test]
fn answers_every_misreading_with_what_was_meant() {
    for (text, code, found, meant, label) in TYPOS {
        let reading = read_label(text);
        let notes = &reading.notes;
        let note = notes.iter().find(|note| note.code() == *code);
        let note = note.unwrap_or_else(|| panic!("{text}: no {code} in {notes:?}"));
        assert_eq!(note.text_of("found"), Some(*found), "{text}");
        assert_eq!(note.text_of("meant"), Some(*meant), "{text}");
        assert_eq!(
            write_label(&reading.module).text.as_deref(),
            Some(*label),
            "{text}"
        );
    }
}

#[test]
fn reads_nothing_that_hangs_on_a_misread_generation() {
    let module = read_label("32GB 4Rx4 PCA-2133P-LD0-10").module;
    for standing in [
        module.generation.standing(),
        module.kind.standing(),
        module.speed.rate_mts.standing(),
        module.speed.bin.standing(),
        module.supply.nominal_mv.standing(),
        module.build.raw_card.standing(),
        module.organisation.die.standing(),
    ] {
        assert_eq!(standing, Standing::Assumed);
    }
    assert_eq!(module.organisation.package_ranks.standing(), Standing::Read);
}

#[test]
fn refuses_to_guess_where_several_things_could_be_meant() {
    for (text, code) in [
        ("64GB 2Rx4 PC4-2400Z-RA1-11", "label-speed-bin-unknown"),
        ("64GB 3Rx4 PC4-2400T-RA1-11", "label-rank-count-unknown"),
        ("64GB 2D2Rx4 PC4-2400T-RA1-11", "label-height-without-stack"),
        ("64GB 2SRx4 PC4-2400T-RA1-11", "label-stack-height-missing"),
        ("64GB 2S3Rx4 PC4-2400T-RA1-11", "label-stack-height-unknown"),
        ("64GB 2Rx5 PC4-2400T-RA1-11", "label-width-unknown"),
        ("16GB 2Rx4-12800R-11-12-E2", "label-generation-unclear"),
        ("2GB 2Rx8 PC2-6400P-555-12", "label-generation-not-covered"),
        ("32GB 2Rx4 PC4-2400T-XA1-11", "label-module-letter-unknown"),
        ("32GB 2Rx4 PC4-2400T-R??-11", "label-raw-card-unknown"),
        ("32GB 2Rx4 PC4-9999T-RA1-11", "label-rate-unknown"),
        ("8GB 2Rx4 PC3-10600R-99-10-B0", "label-cas-latency-unknown"),
        ("8GB 2Rx4 PC3-10600R-9-1-B0", "label-spd-revision-unknown"),
        ("", "label-empty"),
        (
            "(L)16GB 1Rx8 PC5-5600B-SA0-1110-XT(S)80CE(P)X",
            "label-code-text-unknown",
        ),
    ] {
        let reading = read_label(text);
        assert!(reading.has(code), "{text}: {:?}", reading.notes);
        assert!(!reading.is_sound(), "{text}");
    }
}

#[test]
fn takes_no_number_of_a_sales_text_for_a_speed() {
    let reading = read_label("32GB 2Rx4 2021");
    assert!(reading.has("label-speed-missing"));
    assert!(!reading.module.generation.is_known());
}

#[test]
fn stays_calm_at_a_number_that_no_speed_can_be() {
    // Found by mutation: a product that did not fit its type.
    let reading = read_label("0GB 50000000 PC3-50000000R");
    assert!(reading.has("label-rate-unknown"));
}

#[test]
fn gives_no_misread_fact_for_a_rank_count_that_does_not_exist() {
    let module = read_label("64GB 3Rx4 PC4-2400T-RA1-11").module;
    assert!(!module.organisation.package_ranks.is_known());
    assert!(!module.organisation.logical_ranks.is_known());
    assert!(!module.organisation.die.is_known());
    assert_eq!(module.organisation.device_width.get(), Some(4));
}

#[test]
fn warns_of_a_sales_text_whose_word_differs_from_the_letter() {
    let reading = read_label("32GB 2Rx4 PC4-2400T-RA1-11 LRDIMM");
    assert!(reading.has("label-kind-word-differs"));
    assert!(reading.is_sound());
}

#[test]
fn warns_of_a_word_ecc_beside_a_letter_without_ecc() {
    let differs = |label: &str| read_label(label).has("label-kind-word-differs");
    assert!(differs("16GB 2Rx8 PC4-2666V-UA2-11 ECC"));
    for label in [
        "16GB 2Rx8 PC4-2666V-EA2-11 ECC",
        "16GB 2Rx8 PC4-2666V-UA2-11 Non-ECC",
        "16GB 2Rx8 PC4-2666V-UA2-11",
        "16GB 2Rx4 PC4-2666V-RA2-11 ECC",
    ] {
        assert!(!differs(label), "{label}");
    }
}
