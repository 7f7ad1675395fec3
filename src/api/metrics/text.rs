//! The numbers as text for a scraper (Prometheus text format, version 0.0.4).

use std::fmt::Write;
use std::time::SystemTime;

use super::{BOUNDS_US, Count, Metrics, RouteCounts, STATUSES};
use crate::api::state::{AppState, ENGINE};

/// The media type.
pub const TEXT: &str = "text/plain; version=0.0.4; charset=utf-8";

/// All numbers of a service.
pub fn all(state: &AppState) -> String {
    let mut page = Page(String::with_capacity(16 * 1024));
    requests(&mut page, &state.metrics);
    refusals(&mut page, state);
    decisions(&mut page, &state.metrics);
    catalogue(&mut page, state);
    page.0
}

struct Page(String);

impl Page {
    fn head(&mut self, name: &str, kind: &str, help: &str) {
        let _ = writeln!(self.0, "# HELP {name} {help}\n# TYPE {name} {kind}");
    }

    /// Names of routes, rules and revisions hold nothing that needs escaping in a label.
    fn line(&mut self, name: &str, labels: &[(&str, &str)], value: impl std::fmt::Display) {
        self.0.push_str(name);
        for (place, (label, value)) in labels.iter().enumerate() {
            let open = if place == 0 { '{' } else { ',' };
            let _ = write!(self.0, "{open}{label}=\"{value}\"");
        }
        let close = if labels.is_empty() { "" } else { "}" };
        let _ = writeln!(self.0, "{close} {value}");
    }

    /// A single number with its head.
    fn one(&mut self, name: &str, kind: &str, help: &str, value: impl std::fmt::Display) {
        self.head(name, kind, help);
        self.line(name, &[], value);
    }
}

fn requests(page: &mut Page, metrics: &Metrics) {
    let name = "kitproof_requests_total";
    page.head(name, "counter", "Requests answered, by route and status.");
    for (route, counts) in metrics.by_route() {
        for (place, count) in counts.statuses.iter().enumerate() {
            let status = STATUSES.get(place).map(u16::to_string);
            let status = status.as_deref().unwrap_or("other");
            if count.get() > 0 {
                page.line(name, &[("route", route), ("status", status)], count.get());
            }
        }
    }
    let name = "kitproof_request_duration_seconds";
    page.head(
        name,
        "histogram",
        "Time from a request's head to the head of its answer.",
    );
    for (route, counts) in metrics.by_route() {
        durations(page, name, route, counts);
    }
    page.one(
        "kitproof_requests_in_flight",
        "gauge",
        "Requests being answered.",
        metrics.in_flight(),
    );
    let help = "Requests whose caller left before the answer.";
    page.one(
        "kitproof_requests_abandoned_total",
        "counter",
        help,
        metrics.abandoned.get(),
    );
}

fn durations(page: &mut Page, name: &str, route: &str, counts: &RouteCounts) {
    let all: u64 = counts.durations.iter().map(Count::get).sum();
    if all == 0 {
        return;
    }
    let bucket = format!("{name}_bucket");
    let mut sum = 0;
    for (bound, count) in BOUNDS_US.iter().zip(&counts.durations) {
        sum += count.get();
        let bound = (*bound as f64 / 1e6).to_string();
        page.line(&bucket, &[("route", route), ("le", &bound)], sum);
    }
    page.line(&bucket, &[("route", route), ("le", "+Inf")], all);
    let seconds = counts.total_us.get() as f64 / 1e6;
    page.line(&format!("{name}_sum"), &[("route", route)], seconds);
    page.line(&format!("{name}_count"), &[("route", route)], all);
}

fn refusals(page: &mut Page, state: &AppState) {
    let metrics = &state.metrics;
    let name = "kitproof_shed_total";
    page.head(
        name,
        "counter",
        "Requests refused because the service was busy.",
    );
    for (what, count) in [
        ("computations", &metrics.shed.computations),
        ("streams", &metrics.shed.streams),
        ("bodies", &metrics.shed.bodies),
    ] {
        page.line(name, &[("what", what)], count.get());
    }
    let help = "Computations cut because they took too long.";
    page.one(
        "kitproof_out_of_time_total",
        "counter",
        help,
        metrics.out_of_time.get(),
    );
    page.one(
        "kitproof_panics_total",
        "counter",
        "Panics caught.",
        metrics.panics.get(),
    );
    let help = "Connections closed because nothing moved on them.";
    page.one(
        "kitproof_stuck_connections_total",
        "counter",
        help,
        metrics.stuck.get(),
    );
    let name = "kitproof_places";
    page.head(
        name,
        "gauge",
        "Places of the computing threads, taken and in all.",
    );
    for (pool, threads) in [("computations", &state.pool), ("streams", &state.bulk)] {
        page.line(name, &[("pool", pool), ("which", "taken")], threads.taken());
        page.line(name, &[("pool", pool), ("which", "all")], threads.places());
    }
}

fn decisions(page: &mut Page, metrics: &Metrics) {
    let name = "kitproof_verdicts_total";
    page.head(name, "counter", "Decisions by verdict.");
    for (verdict, count) in metrics.verdicts() {
        page.line(name, &[("verdict", verdict)], count);
    }
    let name = "kitproof_findings_total";
    page.head(
        name,
        "counter",
        "Findings by rule and how the rule came out.",
    );
    for (rule, counts) in metrics.by_rule() {
        for (state, count) in [("broken", &counts.broken), ("undecided", &counts.undecided)] {
            if count.get() > 0 {
                page.line(name, &[("rule", rule), ("state", state)], count.get());
            }
        }
    }
    page.one(
        "kitproof_bulk_lines_total",
        "counter",
        "Lines of bulk streams.",
        metrics.lines.get(),
    );
    let help = "Lines of bulk streams that could not be used.";
    page.one(
        "kitproof_bulk_bad_lines_total",
        "counter",
        help,
        metrics.bad_lines.get(),
    );
}

fn catalogue(page: &mut Page, state: &AppState) {
    let catalogue = state.live.get();
    let history = state.live.history();
    let name = "kitproof_catalogue_info";
    page.head(name, "gauge", "The catalogue in use, by its revision.");
    page.line(name, &[("revision", catalogue.revision())], 1);
    let age = |since: SystemTime| {
        SystemTime::now()
            .duration_since(since)
            .unwrap_or_default()
            .as_secs()
    };
    let help = "Seconds since the catalogue in use was taken.";
    page.one(
        "kitproof_catalogue_age_seconds",
        "gauge",
        help,
        age(history.since),
    );
    let help = "Seconds since any of the catalogue's sources was last found in order.";
    page.one(
        "kitproof_catalogue_confirmed_age_seconds",
        "gauge",
        help,
        age(history.confirmed),
    );
    let help =
        "Sources of the catalogue whose last word could not be used; one in order hides none.";
    page.one(
        "kitproof_catalogue_sources_failing",
        "gauge",
        help,
        history.refused.len(),
    );
    let help = "Times another catalogue came into use.";
    page.one(
        "kitproof_catalogue_switches_total",
        "counter",
        help,
        history.switches,
    );
    let help = "Times a catalogue was offered that cannot be used.";
    page.one(
        "kitproof_catalogue_refusals_total",
        "counter",
        help,
        history.refusals,
    );
    let name = "kitproof_info";
    page.head(name, "gauge", "The program, by its version.");
    page.line(name, &[("version", ENGINE)], 1);
    let help = "1 while new requests should be sent here.";
    page.one("kitproof_ready", "gauge", help, u8::from(state.is_ready()));
    let help = "Seconds since the service began.";
    page.one(
        "kitproof_up_seconds",
        "gauge",
        help,
        state.begun.elapsed().as_secs(),
    );
}
