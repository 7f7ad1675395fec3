//! What the service says of itself: numbers, state, and memory that is bounded.

use std::collections::BTreeSet;
use std::io::Write;
use std::time::Duration;

use kitproof::api::ENDPOINTS;
use kitproof::settings::Settings;

use crate::client::{connect, get, post, send};
use crate::service::{revision, settings, start};

const FITS: &[u8] = br#"{"board":"tarn","kit":[{"module":"ERW-3R16-2x4","quantity":16}]}"#;
const REFUSED: &[u8] = br#"{"board":"tarn","kit":[{"module":"ERW-3R32-4x4","quantity":24}]}"#;

/// The value of a series, by its whole name.
fn value(page: &str, series: &str) -> f64 {
    let line = page.lines().find_map(|line| line.strip_prefix(series));
    let line = line.unwrap_or_else(|| panic!("{series} is missing in {page}"));
    line.trim().parse().expect("a number")
}

#[test]
fn requests_verdicts_findings_and_the_catalogue_are_counted() {
    let (own, _) = start(settings());
    for body in [FITS, FITS, REFUSED] {
        assert_eq!(post(own, "/v1/validate", body).status, 200);
    }
    let lines = [FITS, b"\nnonsense\n"].concat();
    let ndjson = [("content-type", "application/x-ndjson")];
    assert_eq!(
        send(own, "POST", "/v1/validate/bulk", &ndjson, &lines).status,
        200
    );
    get(own, "/test/panic");
    get(own, "/test/compute-panic");
    get(own, "/nowhere");
    let reply = get(own, "/metrics");
    assert_eq!(
        reply.header("content-type"),
        Some("text/plain; version=0.0.4; charset=utf-8")
    );
    let page = reply.text();
    let validate = "{route=\"/v1/validate\"";
    for (series, expected) in [
        (
            format!("kitproof_requests_total{validate},status=\"200\"}}"),
            3.0,
        ),
        (
            format!("kitproof_request_duration_seconds_count{validate}}}"),
            3.0,
        ),
        (
            "kitproof_requests_total{route=\"none\",status=\"404\"}".to_owned(),
            1.0,
        ),
        ("kitproof_requests_in_flight".to_owned(), 1.0),
        ("kitproof_panics_total".to_owned(), 2.0),
        (
            "kitproof_verdicts_total{verdict=\"does_not_fit\"}".to_owned(),
            1.0,
        ),
        ("kitproof_bulk_lines_total".to_owned(), 2.0),
        ("kitproof_bulk_bad_lines_total".to_owned(), 1.0),
        (
            format!("kitproof_catalogue_info{{revision=\"{}\"}}", revision()),
            1.0,
        ),
        ("kitproof_ready".to_owned(), 1.0),
    ] {
        assert_eq!(value(&page, &series), expected, "{series}");
    }
    let broken = "kitproof_findings_total{rule=\"rank-budget-exceeded\",state=\"broken\"}";
    assert!(value(&page, broken) >= 1.0);
    let fits = value(&page, "kitproof_verdicts_total{verdict=\"fits\"}");
    let warned = value(
        &page,
        "kitproof_verdicts_total{verdict=\"fits_with_warnings\"}",
    );
    assert_eq!(fits + warned, 3.0);
}

/// The series of a page: all but its comments.
fn series(page: &str) -> BTreeSet<&str> {
    let lines = page.lines().filter(|line| !line.starts_with('#'));
    lines
        .filter_map(|line| line.rsplit_once(' '))
        .map(|(name, _)| name)
        .collect()
}

#[test]
fn what_callers_send_makes_no_series() {
    let (own, _) = start(settings());
    // One request to each endpoint, so that what they make is there.
    for endpoint in ENDPOINTS {
        get(own, &endpoint.path().replace(['{', '}'], ""));
    }
    get(own, "/x");
    send(own, "BREW", "/v1/validate", &[], b"");
    let before = get(own, "/metrics").text();
    for number in 0..50 {
        get(own, &format!("/made/up/{number}"));
        get(own, &format!("/v1/boards/{number}?{number}={number}"));
        send(own, &format!("M{number}"), "/v1/validate", &[], b"");
        let id = format!("id-{number}");
        send(own, "GET", "/x", &[("x-request-id", &id)], b"");
    }
    let after = get(own, "/metrics").text();
    let fresh: Vec<&str> = series(&after)
        .difference(&series(&before))
        .copied()
        .collect();
    assert!(fresh.len() < 5, "{fresh:?}");
    assert!(series(&after).len() < 600, "{}", series(&after).len());
}

#[test]
fn the_status_tells_the_catalogue_and_the_places() {
    let (own, state) = start(settings());
    let body = get(own, "/v1/status").json();
    assert_eq!(body["catalogue"]["revision"], revision());
    assert_eq!(body["ready"], true);
    assert_eq!(body["requests_in_flight"], 1);
    assert_eq!(
        (
            &body["computations"]["taken"],
            &body["computations"]["places"]
        ),
        (&0.into(), &2.into())
    );
    state.live.refuse("folder", "a board has no slots");
    let body = get(own, "/v1/status").json();
    let refused = &body["catalogue"]["refused"][0];
    assert_eq!(
        (&refused["source"], &refused["why"]),
        (&"folder".into(), &"a board has no slots".into())
    );
    assert_eq!(body["catalogue"]["refusals"], 1);
    assert_eq!(body["ready"], true);
}

#[test]
fn large_bodies_share_a_memory_and_small_ones_need_none() {
    let (own, state) = start(Settings {
        bodies_kib: 100,
        body_timeout: Duration::from_secs(60),
        ..settings()
    });
    let head = |length: usize| {
        format!(
            "POST /v1/validate HTTP/1.1\r\nhost: t\r\ncontent-type: application/json\r\n\
             content-length: {length}\r\n\r\n"
        )
    };
    let mut first = connect(own);
    first.write_all(head(200_000).as_bytes()).expect("sent");
    first.write_all(&[b' '; 90_000]).expect("sent");
    assert!((0..500).any(|_| {
        std::thread::sleep(Duration::from_millis(10));
        state.bodies.available_permits() < 20
    }));
    let second = post(own, "/v1/validate", &[b' '; 60_000]);
    assert_eq!(second.code(), "overloaded", "{}", second.text());
    assert_eq!(post(own, "/v1/validate", FITS).status, 200);
    drop(first);
    assert!((0..500).any(|_| {
        std::thread::sleep(Duration::from_millis(10));
        state.bodies.available_permits() == 100
    }));
    assert_eq!(
        post(own, "/v1/validate", &[b' '; 60_000]).code(),
        "malformed-json"
    );
}

#[test]
fn an_abandoned_request_is_counted() {
    let (own, _) = start(settings());
    let mut stream = connect(own);
    stream
        .write_all(b"GET /test/compute HTTP/1.1\r\nhost: t\r\n\r\n")
        .expect("sent");
    std::thread::sleep(Duration::from_millis(100));
    drop(stream);
    assert!((0..500).any(|_| {
        std::thread::sleep(Duration::from_millis(10));
        let page = get(own, "/metrics").text();
        value(&page, "kitproof_requests_abandoned_total") == 1.0
    }));
}

#[test]
fn a_stuck_connection_is_counted() {
    let (own, state) = start(Settings {
        stall_timeout: Duration::from_millis(300),
        ..settings()
    });
    let mut stream = connect(own);
    stream
        .write_all(b"GET /test/endless HTTP/1.1\r\nhost: t\r\n\r\n")
        .expect("sent");
    assert!((0..3000).any(|_| {
        std::thread::sleep(Duration::from_millis(10));
        state.metrics.stuck.get() > 0
    }));
}

#[test]
fn a_source_that_fails_is_counted_while_another_is_in_order() {
    let (address, state) = start(settings());
    let failing = || {
        let page = get(address, "/metrics").text().to_owned();
        value(&page, "kitproof_catalogue_sources_failing")
    };
    assert_eq!(failing(), 0.0);
    state.live.refuse("a feed", "no answer");
    state.live.refuse("a feed", "no answer");
    state.live.confirm("the folder");
    assert_eq!(failing(), 1.0);
    state.live.confirm("a feed");
    assert_eq!(failing(), 0.0);
}
