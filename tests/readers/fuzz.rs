//! A million mutated inputs for each reader. Not part of the ordinary run:
//!
//! ```text
//! CARGO_PROFILE_RELEASE_OVERFLOW_CHECKS=true cargo test --release --test readers -- --ignored --nocapture fuzz
//! ```

use crate::labels::fixture_labels;
use crate::mutate::{Noise, mutate};
use crate::properties::hangs_together;
use crate::spd_images::images;
use kitproof::read::label::read_label;
use kitproof::read::spd::{read_dump, read_spd};
use std::time::Instant;

const INPUTS: u64 = 1_000_000;

/// Runs a reader over mutations of its samples.
fn fuzz(reader: &str, samples: &[Vec<u8>], read: impl Fn(&mut Noise, Vec<u8>)) {
    let start = Instant::now();
    for seed in 0..INPUTS {
        let mut noise = Noise::new(seed);
        let mut bytes = noise.pick(samples).clone();
        mutate(&mut noise, &mut bytes);
        read(&mut noise, bytes);
    }
    println!(
        "{reader}: {INPUTS} inputs in {:.1} s",
        start.elapsed().as_secs_f64()
    );
}

#[test]
#[ignore = "a million inputs; run in release, see the head of this file"]
fn fuzz_the_label_reader() {
    let samples: Vec<Vec<u8>> = fixture_labels()
        .into_iter()
        .map(|(label, _)| label.into_bytes())
        .collect();
    fuzz("labels", &samples, |_, bytes| {
        hangs_together(&read_label(&String::from_utf8_lossy(&bytes)));
    });
}

#[test]
#[ignore = "a million inputs; run in release, see the head of this file"]
fn fuzz_the_spd_reader() {
    let samples: Vec<Vec<u8>> = images().into_iter().map(|(_, bytes, _)| bytes).collect();
    fuzz("SPD images", &samples, |noise, mut bytes| {
        if bytes.len() >= 512 && noise.below(2) == 0 {
            crate::mutate::repair_checksums(&mut bytes);
        }
        hangs_together(&read_spd(&bytes));
    });
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
    fuzz("dumps", &samples, |_, bytes| {
        hangs_together(&read_dump(&String::from_utf8_lossy(&bytes)));
    });
}
