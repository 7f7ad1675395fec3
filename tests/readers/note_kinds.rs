//! The kinds of notes: codes, wording and parameters.

use crate::labels::fixture_labels;
use crate::mutate::{Noise, mutate};
use crate::spd_images::images;
use fluent_bundle::FluentResource;
use kitproof::read::label::{read_label, write_label};
use kitproof::read::note::Note;
use kitproof::read::{note_kinds, spd::read_spd};
use std::collections::BTreeSet;

/// The parameters that a pattern shows.
fn shown(pattern: &str) -> BTreeSet<&str> {
    let names = pattern.split('$').skip(1);
    names
        .filter_map(|rest| {
            rest.split(|c: char| !c.is_ascii_alphanumeric() && c != '-')
                .next()
        })
        .collect()
}

#[test]
fn every_kind_has_a_code_of_its_own_and_a_pattern_over_its_parameters() {
    let mut codes = BTreeSet::new();
    for kind in note_kinds() {
        assert!(codes.insert(kind.code), "{} twice", kind.code);
        let kebab = kind
            .code
            .bytes()
            .all(|byte| byte.is_ascii_lowercase() || byte == b'-');
        assert!(kebab, "{}", kind.code);
        let parameters: BTreeSet<&str> = kind.parameters.iter().copied().collect();
        assert_eq!(shown(kind.pattern), parameters, "{}", kind.code);
        let resource = format!("{} = {}\n", kind.code, kind.pattern);
        assert!(FluentResource::try_new(resource).is_ok(), "{}", kind.code);
        assert!(
            kind.pattern.ends_with('.') || kind.pattern.ends_with('}'),
            "{}",
            kind.code
        );
    }
}

fn has_its_parameters(note: &Note) {
    let given: Vec<&str> = note.parameters().iter().map(|(name, _)| *name).collect();
    assert_eq!(given, note.kind().parameters, "{}", note.code());
}

/// Kinds that no input of this test reaches; each is reached by a test named beside it.
const REACHED_ELSEWHERE: [&str; 3] = [
    "spd-not-a-dump",      // dumps::tells_text_that_is_no_dump
    "spd-byte-unreadable", // dumps::stops_at_a_byte_that_was_not_read
    "spd-too-long",        // properties: a dump of more than 4096 bytes
];

#[test]
fn every_note_carries_exactly_the_parameters_of_its_kind_and_every_kind_is_given() {
    let mut noise = Noise::new(7);
    let mut given: BTreeSet<&'static str> = BTreeSet::new();
    let mut check = |notes: &[Note]| {
        for note in notes {
            has_its_parameters(note);
            given.insert(note.code());
        }
    };
    let mut labels: Vec<String> = fixture_labels()
        .into_iter()
        .map(|(label, _)| label)
        .collect();
    labels.extend(EXTRA_LABELS.iter().map(|label| (*label).to_owned()));
    for label in &labels {
        let reading = read_label(label);
        check(&reading.notes);
        check(&write_label(&reading.module).notes);
    }
    check(&read_label(&"word ".repeat(100)).notes);
    for (_, bytes, _) in images() {
        for _ in 0..400 {
            let mut bytes = bytes.clone();
            mutate(&mut noise, &mut bytes);
            if bytes.len() >= 512 && noise.below(2) == 0 {
                crate::mutate::repair_checksums(&mut bytes);
            }
            check(&read_spd(&bytes).notes);
        }
        let swapped: Vec<u8> = bytes
            .chunks(2)
            .flat_map(|pair| [pair[1], pair[0]])
            .collect();
        check(&read_spd(&swapped).notes);
        check(&read_spd(&[&[9, 9, 9], bytes.as_slice()].concat()).notes);
        for (at, byte) in [
            (2, 8),
            (3, 7),
            (3, 0x81),
            (12, 0x48),
            (6, 0x90),
            (17, 1),
            (18, 9),
            (60, 31),
        ] {
            let mut bytes = bytes.clone();
            bytes[at] = byte;
            check(&read_spd(&bytes).notes);
        }
    }
    check(&read_spd(&[0; 256]).notes);
    for kind in note_kinds().filter(|kind| !REACHED_ELSEWHERE.contains(&kind.code)) {
        assert!(given.contains(kind.code), "{} is never given", kind.code);
    }
}

/// Labels that bring out the kinds that the fixtures do not.
const EXTRA_LABELS: &[&str] = &[
    "",
    "2Rx4 PC4-2400T-RA1-11",
    "32GB PC4-2400T-RA1-11",
    "32GB 2Rx4",
    "l6GB ZRx4 PCA-24OOT-R80-1l",
    "20GB 1Rx4 PC4-2400-RA",
    "48GB 2RX8 PC5 56008 REO_1010-XT",
    "32GB 2Rx5 PC4-2400T-RA1-11",
    "64GB 2SRx4 PC4-2400T",
    "64GB 2S3Rx4 PC4-2400T-Q",
    "32GB 4DRx4 PC3L-12800L-11-12-E2",
    "16GB 2Rx4-12800R-11-12-E2",
    "2GB 2Rx8 PC2-6400P-555-12",
    "8GB 2Rx4 PC3-10666R-99-1-B0",
    "32GB 2Rx4 PC4-9999T-RA1-11",
    "32GB 2Rx4 PC4-2400T-R??-11 LRDIMM",
    "64GB 2Rx4 EC4 PC5-4800B-RA0-1010-XT",
    "(S)80CE(P)X",
    "32GB 2Rx4 PC4-2400T-RA1",
];
