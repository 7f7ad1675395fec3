//! What the HTTP edge and bulk streams cost, as ratios to a baseline in the same run.
//!
//! `cargo bench --bench edge`. The first part sends one request over 32 kept-alive connections, by
//! turns to `/v1/validate` and to an endpoint that only reads it as a typed value and writes it back,
//! behind the same middleware. The second answers many different lines on all cores, beside serde_json
//! that parses the same lines and writes the same answers.

#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a benchmark speaks to its reader"
)]

mod asker;

use std::hint::black_box;
use std::net::SocketAddr;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use actix_web::web::Json;
use asker::{Asker, post, serve};
use kitproof::api::Endpoint;
use kitproof::api::bulk::block::Terms;
use kitproof::api::bulk::lines::Lines;
use kitproof::api::decide::decide;
use kitproof::api::extract::read_json;
use kitproof::api::wire::request::ValidateRequest;
use kitproof::catalogue::embedded;
use kitproof::domain::stop::Stop;
use kitproof::render::words::Words;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The shape of the request that is sent.
#[derive(Debug, Serialize, Deserialize, ToSchema)]
struct Cart {
    board: String,
    processors: Vec<String>,
    population: Option<Vec<Seat>>,
    kit: Option<Vec<Line>>,
}

#[derive(Debug, Serialize, Deserialize, ToSchema)]
struct Seat {
    slot: String,
    module: String,
}

#[derive(Debug, Serialize, Deserialize, ToSchema)]
struct Line {
    module: String,
    quantity: u32,
}

/// Gives back what it read.
#[utoipa::path(post, path = "/bench/echo", responses((status = 200, description = "The same.")))]
async fn echo(cart: Json<Cart>) -> Json<Cart> {
    cart
}

const ECHO: Endpoint = Endpoint::new::<__path_echo>(|route| route.to(echo));

/// Requests a second and the 99th percentile of the times.
fn rate(address: SocketAddr, path: &str, body: &str) -> (f64, Duration) {
    let request = post(path, body);
    let stop = AtomicBool::new(false);
    let ask = || {
        let (mut asker, mut times) = (Asker::new(address), Vec::new());
        while !stop.load(Ordering::Relaxed) {
            let (status, took) = asker.ask(&request);
            assert_eq!(status, 200);
            times.push(took);
        }
        times
    };
    let begun = Instant::now();
    let mut times: Vec<Duration> = std::thread::scope(|scope| {
        let asked: Vec<_> = (0..32).map(|_| scope.spawn(ask)).collect();
        std::thread::sleep(Duration::from_secs(2));
        stop.store(true, Ordering::Relaxed);
        let asked = asked.into_iter();
        asked.flat_map(|one| one.join().unwrap()).collect()
    });
    let took = begun.elapsed().as_secs_f64();
    times.sort();
    (times.len() as f64 / took, times[times.len() * 99 / 100])
}

fn edge(name: &str, body: &str) {
    let address = serve(&[ECHO]);
    let mut ratios = Vec::new();
    for _ in 0..5 {
        let (echoed, echo_p99) = rate(address, "/bench/echo", body);
        let (decided, p99) = rate(address, "/v1/validate", body);
        println!(
            "  echo {echoed:.0}/s p99 {echo_p99:.1?}; validate {decided:.0}/s p99 {p99:.1?}; ratio {:.2}",
            decided / echoed
        );
        ratios.push(decided / echoed);
    }
    ratios.sort_by(f64::total_cmp);
    println!(
        "{name}, {} B: median ratio {:.2} (aim 0.85)",
        body.len(),
        ratios[2]
    );
}

/// Carts that differ.
fn carts(count: usize) -> Vec<String> {
    let kinds = [
        ("tarn", "tarn-8", "ERW-3R16-2x4"),
        ("tarn", "tarn-12", "ERW-3R8-2x4"),
        ("firth", "firth-32", "ERW-5R64-2x4"),
        ("firth", "firth-96", "ERW-5R64-2x4"),
    ];
    (0..count)
        .map(|number| {
            let (board, model, module) = kinds[number % kinds.len()];
            let quantity = number / kinds.len() % 24 + 1;
            format!(
                r#"{{"reference":"cart-{number}","board":"{board}","processors":["{model}","{model}"],"kit":[{{"module":"{module}","quantity":{quantity}}}]}}"#
            )
        })
        .collect()
}

/// Runs the work on all cores; gives how many a second.
fn on_all_cores(count: usize, work: impl Fn(usize) + Sync) -> f64 {
    let cores = std::thread::available_parallelism().unwrap().get();
    let begun = Instant::now();
    std::thread::scope(|scope| {
        for core in 0..cores {
            let work = &work;
            scope.spawn(move || (core..count).step_by(cores).for_each(work));
        }
    });
    count as f64 / begun.elapsed().as_secs_f64()
}

fn bulk() {
    let lines = carts(4_000);
    let catalogue = embedded::catalogue();
    let (words, stop) = (Words::english(), Stop::never());
    let terms = Terms {
        catalogue,
        words,
        longest: 1 << 20,
        metrics: None,
    };
    let blocks: Vec<_> = {
        let mut all = Lines::new(1 << 20, 1);
        all.feed(lines.join("\n").as_bytes());
        all.finish();
        std::iter::from_fn(|| all.any()).collect()
    };
    let per_block = lines.len() as f64 / blocks.len() as f64;
    let decided: Vec<_> = lines
        .iter()
        .map(|line| {
            decide(
                &read_json::<ValidateRequest>(line.as_bytes()).unwrap(),
                catalogue,
            )
            .unwrap()
        })
        .collect();
    for _ in 0..3 {
        let answered = on_all_cores(blocks.len(), |block| {
            black_box(terms.answer(&blocks[block], &stop));
        }) * per_block;
        let echoed = on_all_cores(lines.len(), |line| {
            let cart: serde_json::Value = serde_json::from_str(&lines[line]).unwrap();
            black_box(serde_json::to_vec(&cart).unwrap());
        });
        let json = on_all_cores(lines.len(), |line| {
            black_box(serde_json::from_str::<ValidateRequest>(&lines[line]).unwrap());
            black_box(serde_json::to_vec(&decided[line].body(words)).unwrap());
        });
        println!(
            "bulk {answered:.0} lines/s; parse and write of the lines alone {echoed:.0}/s, ratio {:.3}; \
             parse of the lines, words and write of the answers {json:.0}/s, ratio {:.2}",
            answered / echoed,
            answered / json
        );
    }
}

fn main() {
    // `cargo bench --bench edge -- bulk` leaves the connections out.
    if std::env::args().any(|word| word == "bulk") {
        return bulk();
    }
    let seats: Vec<String> = ["A", "B", "C", "D", "E", "F", "G", "H"]
        .iter()
        .flat_map(|channel| {
            (1..=2).map(move |position| {
                format!(r#"{{"slot":"{channel}{position}","module":"ERW-3R16-2x4"}}"#)
            })
        })
        .collect();
    let placed = format!(
        r#"{{"board":"tarn","processors":["tarn-8","tarn-8"],"population":[{}]}}"#,
        seats.join(",")
    );
    edge("a placed kit of 16", &placed);
    let kit = r#"{"board":"tarn","processors":["tarn-8","tarn-8"],"kit":[{"module":"ERW-3R16-2x4","quantity":16}]}"#;
    edge("a kit of 16", kit);
    bulk();
}
