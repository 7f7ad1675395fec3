//! What is still answered when more is asked than can be answered.
//!
//! `cargo bench --bench overload`. The peak is what 32 connections get that ask one request after the other.
//! Then 512 connections ask by the clock, whether or not others were answered: once, twice and three times
//! the peak. A good answer is a 200 within a second. What falls due while its connection still waits for an
//! answer is not asked, as for a caller who finds no connection free. The askers run on the same machine and
//! take their share of it at the peak too.

#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a benchmark speaks to its reader"
)]

mod asker;

use std::net::SocketAddr;
use std::time::{Duration, Instant};

use asker::{Asker, post, serve};

/// How long each load is kept up.
const KEPT: Duration = Duration::from_secs(6);

/// The longest time of a good answer.
const GOOD: Duration = Duration::from_secs(1);

/// How many connections ask by the clock.
const MANY: u32 = 512;

#[derive(Default)]
struct Counts {
    good: u64,
    late: u64,
    refused: u64,
    unasked: u64,
    other: u64,
    /// The slowest refusal.
    refusal: Duration,
}

impl Counts {
    fn add(&mut self, status: u16, took: Duration) {
        match status {
            200 if took <= GOOD => self.good += 1,
            200 => self.late += 1,
            503 => {
                self.refused += 1;
                self.refusal = self.refusal.max(took);
            }
            _ => self.other += 1,
        }
    }

    fn join(mut self, other: Self) -> Self {
        self.good += other.good;
        self.late += other.late;
        self.refused += other.refused;
        self.unasked += other.unasked;
        self.other += other.other;
        self.refusal = self.refusal.max(other.refusal);
        self
    }
}

/// Runs askers at once; gives what they counted.
fn together(count: u32, ask: impl Fn(u32) -> Counts + Sync) -> Counts {
    std::thread::scope(|scope| {
        let askers: Vec<_> = (0..count)
            .map(|number| {
                let ask = &ask;
                let thread = std::thread::Builder::new().stack_size(128 * 1024);
                thread.spawn_scoped(scope, move || ask(number)).unwrap()
            })
            .collect();
        let counts = askers.into_iter().map(|asker| asker.join().unwrap());
        counts.fold(Counts::default(), Counts::join)
    })
}

/// One request after the other.
fn closed(address: SocketAddr, request: &[u8]) -> f64 {
    let counts = together(32, |_| {
        let (mut asker, mut counts) = (Asker::new(address), Counts::default());
        let begun = Instant::now();
        while begun.elapsed() < KEPT {
            let (status, took) = asker.ask(request);
            counts.add(status, took);
        }
        counts
    });
    counts.good as f64 / KEPT.as_secs_f64()
}

/// By the clock.
fn open(address: SocketAddr, request: &[u8], rate: f64) -> Counts {
    let every = Duration::from_secs_f64(f64::from(MANY) / rate);
    let begin = Instant::now() + Duration::from_millis(500);
    together(MANY, |number| {
        let (mut asker, mut counts) = (Asker::new(address), Counts::default());
        let mut due = begin + every * number / MANY;
        while due < begin + KEPT {
            let now = Instant::now();
            if now > due + every {
                counts.unasked += 1;
            } else {
                std::thread::sleep(due.saturating_duration_since(now));
                let (status, took) = asker.ask(request);
                counts.add(status, took);
            }
            due += every;
        }
        counts
    })
}

fn measure(name: &str, path: &str, body: &str) {
    let (address, request) = (serve(&[]), post(path, body));
    let peak = closed(address, &request);
    println!("{name}: peak {peak:.0}/s");
    for times in [1.0, 2.0, 3.0] {
        let counts = open(address, &request, peak * times);
        let good = counts.good as f64 / KEPT.as_secs_f64();
        println!(
            "  asked {times:.0} times: good {good:.0}/s, {:.0} % of the peak (aim 90 %); \
             late {}, refused {} (slowest {:.1?}), not asked {}, other {}",
            100.0 * good / peak,
            counts.late,
            counts.refused,
            counts.refusal,
            counts.unasked,
            counts.other
        );
    }
}

fn main() {
    let kit = r#"{"board":"tarn","processors":["tarn-8","tarn-8"],"kit":[{"module":"ERW-3R16-2x4","quantity":16}]}"#;
    measure("validate", "/v1/validate", kit);
    let why = format!(r#"{{"about":"limit","request":{kit}}}"#);
    measure("explain", "/v1/explain", &why);
    let wish = include_str!("../../openapi/examples/optimise.json");
    measure("optimise", "/v1/optimise", wish);
}
