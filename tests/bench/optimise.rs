//! How long the optimiser takes, by size class and family: `cargo bench --bench optimise`.
//!
//! Reads the instances of the oracle tests. Each is solved several times and the time of the process
//! (all of it in one thread) is divided by the tries. Options, as `NAME=value` in the environment:
//! `KITPROOF_LIMIT_MS` cuts each search (1000), `KITPROOF_TRIES` (5). `KITPROOF_TIMES=FILE` writes one
//! line for each instance, `family,id,size,status,score,ms`, for the comparison beside the oracle tests.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "a bench may fail, and prints"
)]

#[path = "../oracle/instance.rs"]
#[allow(dead_code, reason = "shared with the oracle tests")]
mod instance;

use instance::{Instance, lines};
use kitproof::domain::optimise::solve;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::time::{Duration, Instant};

fn option(name: &str, otherwise: u64) -> u64 {
    let told = std::env::var(name).ok();
    told.and_then(|text| text.parse().ok()).unwrap_or(otherwise)
}

fn main() {
    let limit = Duration::from_millis(option("KITPROOF_LIMIT_MS", 1000));
    let tries = option("KITPROOF_TRIES", 5).max(1);
    let mut times: BTreeMap<(String, String), Vec<f64>> = BTreeMap::new();
    let mut table = String::from("family,id,size,status,score,ms\n");
    for line in lines() {
        let instance = Instance::read(&line).expect("every instance is mapped");
        let mut best = f64::MAX;
        let mut status = None;
        for _ in 0..tries {
            let start = Instant::now();
            let stop = || start.elapsed() >= limit;
            let task = instance.task(u64::MAX, &stop);
            let begin = Instant::now();
            let answer = solve(&task);
            best = best.min(begin.elapsed().as_secs_f64() * 1e3);
            let score = answer
                .plans
                .first()
                .map(|p| task.preference.score(&p.values));
            let score: Vec<String> = score.iter().flatten().map(i128::to_string).collect();
            status = Some((answer.status, score.join(" ")));
        }
        let (size, family) = (instance.size.clone(), instance.family.clone());
        let (status, score) = status.expect("a try");
        writeln!(
            table,
            "{family},{},{size},{status:?},{score},{best:.4}",
            instance.id
        )
        .expect("a line");
        times.entry((size.clone(), family)).or_default().push(best);
        times.entry((size, "all".into())).or_default().push(best);
    }
    if let Ok(path) = std::env::var("KITPROOF_TIMES") {
        std::fs::write(path, table).expect("a file for the times");
    }
    println!("size    family     n   median ms   p90       p99       max");
    for ((size, family), list) in &mut times {
        list.sort_by(f64::total_cmp);
        let at = |part: usize| list[(list.len() * part / 100).min(list.len() - 1)];
        println!(
            "{size:7} {family:6} {:4}   {:9.3} {:9.3} {:9.3} {:9.3}",
            list.len(),
            at(50),
            at(90),
            at(99),
            at(100)
        );
    }
}
