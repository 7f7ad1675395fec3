//! A million mutated inputs for each reader: none may make it panic, take longer than 50 ms, or make the
//! process grow by more than 16 MiB. Not part of the ordinary run; one after the other, so that each
//! reader's memory is its own:
//!
//! ```text
//! CARGO_PROFILE_RELEASE_OVERFLOW_CHECKS=true cargo test --release --test readers --test inventories -- --ignored --test-threads=1
//! ```

use crate::labels::fixture_labels;
use crate::mutate::{Noise, mutate};
use crate::properties::hangs_together;
use crate::show::show;
use crate::spd_images::images;
use crate::watch::Watch;
use kitproof::read::Reading;
use kitproof::read::label::read_label;
use kitproof::read::spd::{read_dump, read_spd};

const INPUTS: u64 = 1_000_000;

/// Runs a reader over mutations of its samples.
fn fuzz(
    reader: &'static str,
    samples: &[Vec<u8>],
    change: impl Fn(&mut Noise, &mut [u8]),
    read: impl Fn(&[u8]) -> Reading,
) {
    let mut watch = Watch::new(reader);
    for seed in 0..INPUTS {
        let mut noise = Noise::new(seed);
        let mut bytes = noise.pick(samples).clone();
        mutate(&mut noise, &mut bytes);
        change(&mut noise, &mut bytes);
        hangs_together(&watch.read(|| read(&bytes)));
    }
    show(&watch.end());
}

#[test]
#[ignore = "a million inputs; run in release, see the head of this file"]
fn fuzz_the_label_reader() {
    let samples: Vec<Vec<u8>> = fixture_labels()
        .into_iter()
        .map(|(label, _)| label.into_bytes())
        .collect();
    fuzz(
        "labels",
        &samples,
        |_, _| {},
        |bytes| read_label(&String::from_utf8_lossy(bytes)),
    );
}

#[test]
#[ignore = "a million inputs; run in release, see the head of this file"]
fn fuzz_the_spd_reader() {
    let samples: Vec<Vec<u8>> = images().into_iter().map(|(_, bytes, _)| bytes).collect();
    let repair = |noise: &mut Noise, bytes: &mut [u8]| {
        if bytes.len() >= 512 && noise.below(2) == 0 {
            crate::mutate::repair_checksums(bytes);
        }
    };
    fuzz("SPD images", &samples, repair, read_spd);
}

#[test]
#[ignore = "a million inputs; run in release, see the head of this file"]
fn fuzz_the_dump_reader() {
    let samples: Vec<Vec<u8>> = images()
        .into_iter()
        .map(|(_, bytes, _)| {
            let rows = bytes.chunks(16).take(16).enumerate().map(|(index, row)| {
                let words: Vec<String> = row.iter().map(|byte| format!("{byte:02x}")).collect();
                format!("{:08x}  {}\n", index * 16, words.join(" "))
            });
            rows.collect::<String>().into_bytes()
        })
        .collect();
    fuzz(
        "SPD dumps",
        &samples,
        |_, _| {},
        |bytes| read_dump(&String::from_utf8_lossy(bytes)),
    );
}
