//! How long a decision takes beside reading its request and writing its answer as JSON, in one run.
//!
//! `cargo bench --bench validate`. The numerator is placement, check, outcome and words; the
//! denominator is what serde_json needs to parse the same request and to write the same answer.

#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a benchmark speaks to its reader"
)]

use kitproof::api::decide::decide;
use kitproof::api::wire::request::ValidateRequest;
use kitproof::catalogue::embedded;
use kitproof::domain::validate::validate;
use kitproof::render::words::Words;
use std::hint::black_box;
use std::time::{Duration, Instant};

const BATCHES: usize = 101;
const PER_BATCH: u32 = 50;

/// Median time of one call.
fn median(mut call: impl FnMut()) -> Duration {
    for _ in 0..PER_BATCH {
        call();
    }
    let mut times: Vec<Duration> = (0..BATCHES)
        .map(|_| {
            let start = Instant::now();
            for _ in 0..PER_BATCH {
                call();
            }
            start.elapsed() / PER_BATCH
        })
        .collect();
    times.sort();
    times[BATCHES / 2]
}

fn measure(name: &str, text: &str, aim: f64) {
    // `cargo bench --bench validate -- 12` measures those whose name has a 12.
    let wanted = std::env::args().skip(1).find(|word| !word.starts_with('-'));
    if wanted.is_some_and(|wanted| !name.contains(&wanted)) {
        return;
    }
    let catalogue = embedded::catalogue();
    let request: ValidateRequest = serde_json::from_str(text).unwrap();
    let resolved = request.resolve(catalogue).unwrap();
    let decided = decide(&request, catalogue).unwrap();
    let answer = serde_json::to_vec(&decided.body(Words::english())).unwrap();
    let parse = median(|| {
        black_box(serde_json::from_str::<ValidateRequest>(black_box(text)).unwrap());
    });
    let body = decided.body(Words::english());
    let write = median(|| {
        black_box(serde_json::to_vec(black_box(&body)).unwrap());
    });
    let core = median(|| {
        black_box(validate(
            resolved.board.board(),
            black_box(&resolved.request),
        ));
    });
    let words = median(|| {
        black_box(decided.body(Words::english()));
    });
    let names = median(|| {
        black_box(request.resolve(catalogue).unwrap());
    });
    let (work, json) = (core + words, parse + write);
    println!(
        "{name}: verdict {}, request {} B, answer {} B",
        decided.answer().verdict.name(),
        text.len(),
        answer.len()
    );
    println!(
        "  core {core:.1?} + words {words:.1?} = {work:.1?}; JSON parse {parse:.1?} + write {write:.1?} = {json:.1?}; names {names:.1?}"
    );
    println!(
        "  ratio {:.2} (aim {aim})",
        work.as_secs_f64() / json.as_secs_f64()
    );
}

fn main() {
    let seats: Vec<String> = ["A", "B", "C", "D", "E", "F", "G", "H"]
        .iter()
        .flat_map(|channel| {
            (1..=3).map(move |position| {
                format!(r#"{{"slot":"{channel}{position}","module":"ERW-3R16-2x4"}}"#)
            })
        })
        .collect();
    let placed = format!(
        r#"{{"board":"tarn","processors":["tarn-8","tarn-8"],"population":[{}]}}"#,
        seats.join(",")
    );
    let kit = |board: &str, module: &str| {
        format!(r#"{{"board":"{board}","kit":[{{"module":"{module}","quantity":24}}]}}"#)
    };
    measure(
        "placed, 24 modules, 2 sockets x 4 channels x 3",
        &placed,
        1.0,
    );
    measure(
        "kit, 24 modules, 2 sockets x 4 channels x 3",
        &kit("tarn", "ERW-3R16-2x4"),
        3.0,
    );
    measure(
        "kit, 24 modules, 2 sockets x 12 channels x 1",
        &kit("firth", "ERW-5R64-2x4"),
        3.0,
    );
    measure(
        "kit, 24 modules, 2 sockets x 8 channels x 2",
        &kit("mere", "ERW-4R32-2x4"),
        3.0,
    );
}
