//! How long the explanation of a verdict takes beside the verdict itself, in one run.
//!
//! `cargo bench --bench explain`. Both begin at the same JSON text and end at the answer's JSON text;
//! the aim is a ratio of at most 3.

#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a benchmark speaks to its reader"
)]

use kitproof::api::decide::decide;
use kitproof::api::explain::explain;
use kitproof::api::wire::explain::ExplainRequest;
use kitproof::api::wire::request::ValidateRequest;
use kitproof::catalogue::embedded;
use kitproof::render::words::Words;
use serde_json::{Value, json};
use std::hint::black_box;
use std::time::{Duration, Instant};

const BATCHES: usize = 31;
const PER_BATCH: u32 = 10;

/// Median time of one call.
fn median(mut call: impl FnMut()) -> Duration {
    let mut times: Vec<Duration> = (0..=BATCHES)
        .map(|_| {
            let start = Instant::now();
            (0..PER_BATCH).for_each(|_| call());
            start.elapsed() / PER_BATCH
        })
        .skip(1)
        .collect();
    times.sort();
    times[BATCHES / 2]
}

fn measure(name: &str, text: &str) {
    let catalogue = embedded::catalogue();
    let words = Words::english();
    let validate = median(|| {
        let request: ValidateRequest = serde_json::from_str(black_box(text)).unwrap();
        let decided = decide(&request, catalogue).unwrap();
        black_box(serde_json::to_vec(&decided.body(words)).unwrap());
    });
    let wrapped = format!(r#"{{"about": "verdict", "request": {text}}}"#);
    let explain = median(|| {
        let request: ExplainRequest = serde_json::from_str(black_box(&wrapped)).unwrap();
        let explained = explain(&request, catalogue).unwrap();
        black_box(serde_json::to_vec(&explained.body(words)).unwrap());
    });
    let ratio = explain.as_secs_f64() / validate.as_secs_f64();
    println!("{name}: validate {validate:.1?}, explain {explain:.1?}, ratio {ratio:.2} (aim 3)");
}

fn seats(module: &str, labels: &[String]) -> String {
    let seat = |label: &String| format!(r#"{{"slot":"{label}","module":"{module}"}}"#);
    let seats: Vec<String> = labels.iter().map(seat).collect();
    format!(
        r#"{{"board":"tarn","processors":["tarn-8","tarn-8"],"population":[{}]}}"#,
        seats.join(",")
    )
}

/// The record of the invented board of four sockets, twice over, filled.
fn eight_sockets() -> Value {
    let record = include_str!("../../src/catalogue/data/boards/fjord.json");
    let mut board: Value = serde_json::from_str(record).unwrap();
    let rows = board["slots"].as_array().unwrap().clone();
    let twice = (0..2u64).flat_map(|half| {
        rows.iter().cloned().map(move |mut row| {
            let socket = row["socket"].as_u64().unwrap() + 4 * half;
            row["socket"] = json!(socket);
            for label in row["labels"].as_array_mut().unwrap() {
                *label = json!(format!("P{socket}-{}", label.as_str().unwrap()));
            }
            for place in row["drawn_at"].as_array_mut().unwrap() {
                place[1] = json!(place[1].as_u64().unwrap() + 4 * half);
            }
            row
        })
    });
    board["slots"] = twice.collect();
    board["sockets"] = json!(8);
    let all: Vec<u64> = (1..=8).collect();
    board["socket_order"] = json!(all);
    let mut filling = board["filling"].as_array_mut().unwrap().pop().unwrap();
    filling["sockets_fitted"] = json!(all);
    board["filling"] = json!([filling]);
    json!({"board": board, "kit": [{"module": "ERW-4R32-2x4", "quantity": 96}]})
}

/// The drawing of a full board of eight sockets: aims 5 ms and 200 kB.
fn draw() {
    let request: ValidateRequest = serde_json::from_value(eight_sockets()).unwrap();
    let decided = decide(&request, embedded::catalogue()).unwrap();
    let words = Words::english();
    let bytes = decided.drawing(words).len();
    let time = median(|| {
        black_box(decided.drawing(words));
    });
    println!(
        "drawing of 96 slots of eight sockets: {time:.1?} (aim 5 ms), {bytes} bytes (aim 200000)"
    );
}

fn main() {
    let labels = |positions: u8| -> Vec<String> {
        let channels = 'A'..='H';
        channels
            .flat_map(|channel| (1..=positions).map(move |position| format!("{channel}{position}")))
            .collect()
    };
    measure(
        "placed, fits, 16 modules",
        &seats("ERW-3R16-2x4", &labels(2)),
    );
    measure(
        "placed, refused, 24 modules",
        &seats("ERW-3R32-4x4", &labels(3)),
    );
    let kit = |module: &str, quantity: u32| {
        format!(r#"{{"board":"tarn","kit":[{{"module":"{module}","quantity":{quantity}}}]}}"#)
    };
    measure("kit, fits, 16 modules", &kit("ERW-3R16-2x4", 16));
    measure("kit, refused, 24 modules", &kit("ERW-3R32-4x4", 24));
    draw();
}
