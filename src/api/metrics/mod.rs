//! What happened so far, in numbers.
//!
//! Every series is made when the service starts: routes, statuses and rules are known, and a
//! caller's text never becomes a label. So their number is bounded, and counting is adding to an
//! atomic. [`text`] writes them for a scraper.

pub mod text;

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};
use std::time::Duration;

use super::bulk::tally::Tally;
use super::endpoint::Endpoint;
use crate::domain::finding::{Finding, State, Verdict};
use crate::domain::rules::RULES;
use crate::domain::validate::Answer;

/// Upper bounds of the buckets of durations, in microseconds.
pub const BOUNDS_US: [u64; 12] = [
    250, 500, 1_000, 2_500, 5_000, 10_000, 25_000, 50_000, 100_000, 500_000, 2_500_000, 10_000_000,
];

/// Statuses that are counted apart; any other counts as `other`.
pub const STATUSES: [u16; 18] = [
    200, 204, 304, 400, 401, 403, 404, 405, 406, 408, 413, 415, 422, 429, 500, 501, 502, 503,
];

/// The route of a request that has none.
pub const NO_ROUTE: &str = "none";

/// A number that only grows.
#[derive(Debug, Default)]
pub struct Count(AtomicU64);

impl Count {
    /// Adds one.
    pub fn one(&self) {
        self.add(1);
    }

    /// Adds.
    pub fn add(&self, more: u64) {
        self.0.fetch_add(more, Ordering::Relaxed);
    }

    /// How many so far.
    pub fn get(&self) -> u64 {
        self.0.load(Ordering::Relaxed)
    }
}

/// The requests of one route.
#[derive(Debug, Default)]
pub struct RouteCounts {
    /// By status, in the order of [`STATUSES`], then all others.
    pub statuses: [Count; STATUSES.len() + 1],
    /// By duration, in the order of [`BOUNDS_US`], then all longer ones. Not added up.
    pub durations: [Count; BOUNDS_US.len() + 1],
    /// All durations together, in microseconds.
    pub total_us: Count,
}

impl RouteCounts {
    fn record(&self, status: u16, duration: Duration) {
        let known = STATUSES.iter().position(|known| *known == status);
        let place = known.unwrap_or(STATUSES.len());
        let us = u64::try_from(duration.as_micros()).unwrap_or(u64::MAX);
        let bucket = BOUNDS_US.partition_point(|bound| *bound < us);
        if let (Some(status), Some(bucket)) = (self.statuses.get(place), self.durations.get(bucket))
        {
            status.one();
            bucket.one();
        }
        self.total_us.add(us);
    }
}

/// What was refused because the service was busy.
#[derive(Debug, Default)]
pub struct Shed {
    /// Computations beyond the places.
    pub computations: Count,
    /// Bulk streams beyond the places.
    pub streams: Count,
    /// Bodies beyond the memory for them.
    pub bodies: Count,
}

/// Findings of one rule.
#[derive(Debug, Default)]
pub struct RuleCounts {
    /// It was broken.
    pub broken: Count,
    /// It could not be told.
    pub undecided: Count,
}

/// All numbers of a service.
#[derive(Debug)]
pub struct Metrics {
    routes: BTreeMap<String, RouteCounts>,
    none: RouteCounts,
    /// Requests that are being answered.
    in_flight: AtomicI64,
    /// Requests whose caller left before the answer.
    pub abandoned: Count,
    /// What was refused because the service was busy.
    pub shed: Shed,
    /// Computations that took too long.
    pub out_of_time: Count,
    /// Panics that were caught.
    pub panics: Count,
    /// Connections that were closed because nothing moved on them.
    pub stuck: Count,
    verdicts: [Count; VERDICTS.len()],
    rules: Vec<RuleCounts>,
    /// Lines of bulk streams.
    pub lines: Count,
    /// Lines of bulk streams that could not be used.
    pub bad_lines: Count,
}

const VERDICTS: [Verdict; 4] = [
    Verdict::Fits,
    Verdict::FitsWithWarnings,
    Verdict::Undecided,
    Verdict::DoesNotFit,
];

impl Metrics {
    /// All numbers at zero.
    pub fn new(endpoints: &[Endpoint]) -> Self {
        let routes = endpoints.iter().map(|endpoint| endpoint.path());
        Self {
            routes: routes.map(|path| (path, RouteCounts::default())).collect(),
            none: RouteCounts::default(),
            in_flight: AtomicI64::new(0),
            abandoned: Count::default(),
            shed: Shed::default(),
            out_of_time: Count::default(),
            panics: Count::default(),
            stuck: Count::default(),
            verdicts: Default::default(),
            rules: RULES.iter().map(|_| RuleCounts::default()).collect(),
            lines: Count::default(),
            bad_lines: Count::default(),
        }
    }

    /// Counts an answer to a request.
    pub fn answered(&self, route: Option<&str>, status: u16, duration: Duration) {
        let counts = route.and_then(|route| self.routes.get(route));
        counts.unwrap_or(&self.none).record(status, duration);
    }

    /// Counts a request that is being answered, until what this gives is dropped.
    pub fn begin(&self) {
        self.in_flight.fetch_add(1, Ordering::Relaxed);
    }

    /// The end of a request.
    pub fn end(&self) {
        self.in_flight.fetch_sub(1, Ordering::Relaxed);
    }

    /// How many requests are being answered.
    pub fn in_flight(&self) -> i64 {
        self.in_flight.load(Ordering::Relaxed)
    }

    /// Counts what a decision found.
    pub fn decided(&self, answer: &Answer) {
        let place = VERDICTS.iter().position(|known| *known == answer.verdict);
        if let Some(count) = place.and_then(|place| self.verdicts.get(place)) {
            count.one();
        }
        for finding in &answer.findings {
            self.found(finding);
        }
    }

    fn found(&self, finding: &Finding) {
        let place = RULES
            .iter()
            .position(|rule| std::ptr::eq(*rule, finding.rule));
        let Some(counts) = place.and_then(|place| self.rules.get(place)) else {
            return;
        };
        match finding.state {
            State::Broken => counts.broken.one(),
            State::Undecided(_) => counts.undecided.one(),
        }
    }

    /// Counts a block of a bulk stream.
    pub fn block(&self, tally: &Tally) {
        let body = tally.body();
        self.lines.add(body.lines);
        self.bad_lines.add(body.problems);
    }

    /// Answers by verdict.
    pub fn verdicts(&self) -> impl Iterator<Item = (&'static str, u64)> {
        let names = VERDICTS.iter().map(|verdict| verdict.name());
        names.zip(self.verdicts.iter().map(Count::get))
    }

    fn by_route(&self) -> impl Iterator<Item = (&str, &RouteCounts)> {
        let routes = self.routes.iter();
        let routes = routes.map(|(path, counts)| (path.as_str(), counts));
        routes.chain([(NO_ROUTE, &self.none)])
    }

    fn by_rule(&self) -> impl Iterator<Item = (&'static str, &RuleCounts)> {
        RULES.iter().map(|rule| rule.id).zip(&self.rules)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::api::ENDPOINTS;

    #[test]
    fn a_route_that_is_not_listed_counts_as_none() {
        let metrics = Metrics::new(ENDPOINTS);
        metrics.answered(Some("/made/up"), 404, Duration::from_millis(1));
        metrics.answered(None, 299, Duration::from_secs(60));
        let statuses: u64 = metrics.none.statuses.iter().map(Count::get).sum();
        assert_eq!(statuses, 2);
        let names: Vec<&str> = metrics.by_route().map(|(name, _)| name).collect();
        assert!(!names.contains(&"/made/up"));
    }

    #[test]
    fn a_duration_falls_into_the_first_bucket_that_holds_it() {
        let counts = RouteCounts::default();
        for us in [0, 250, 251, 10_000_000, 10_000_001] {
            counts.record(200, Duration::from_micros(us));
        }
        let seen: Vec<u64> = counts.durations.iter().map(Count::get).collect();
        assert_eq!(seen, [2, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1, 1]);
        assert_eq!(counts.total_us.get(), 20_000_502);
    }
}
