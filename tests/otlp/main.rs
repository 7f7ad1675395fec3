//! Traces: the program itself sends spans of requests to a collector, which is a socket of this test.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "helpers of a test may fail it"
)]

mod service;
mod sink;

use std::net::TcpListener;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use service::Service;
use sink::Sink;

const TRACE: u128 = 0x0af7_6519_16cd_43dd_8448_eb21_1c80_319c;
const CALLER: u64 = 0xb7ad_6b71_6920_3331;
const REQUEST: &str = r#"{"board":"tarn","kit":[{"module":"ERW-3R16-2x4","quantity":16}]}"#;

/// A file that is removed with the test.
struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str, content: &str) -> Self {
        let name = format!("kitproof-otlp-{name}-{}", std::process::id());
        let path = std::env::temp_dir().join(name);
        std::fs::write(&path, content).unwrap();
        Self(path)
    }

    fn path(&self) -> &str {
        self.0.to_str().unwrap()
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.0);
    }
}

/// A file for `--outbound` that names this collector.
fn outbound(name: &str, address: &str, more: &str) -> Scratch {
    let text = format!(r#"{{"traces": {{"address": "{address}", "private": true{more}}}}}"#);
    Scratch::new(name, &text)
}

fn traceparent(trace: u128, flags: &str) -> String {
    format!("traceparent: 00-{trace:032x}-{CALLER:016x}-{flags}\r\n")
}

fn holds(body: &[u8], part: &[u8]) -> bool {
    body.windows(part.len()).any(|window| window == part)
}

#[test]
fn a_request_becomes_a_span_of_the_callers_trace_and_a_stop_sends_it() {
    let sink = Sink::open();
    let token = Scratch::new("token", "let-me-in\n");
    let more = format!(r#", "token_file": "{}""#, token.path());
    let file = outbound("sent", &sink.address(), &more);
    let mut service = Service::begin(&["--outbound", file.path()], &[]);
    let head = traceparent(TRACE, "01") + "x-request-id: order-17\r\n";
    assert_eq!(service.post("/v1/validate", &head, REQUEST), 200);
    // Who began this trace does not keep it.
    let not_kept = traceparent(TRACE + 1, "00");
    assert_eq!(service.post("/v1/validate", &not_kept, REQUEST), 200);
    assert_eq!(service.post("/v1/no-such-path", "", REQUEST), 404);
    assert!(service.ends_well());

    let calls = sink.calls();
    assert_eq!(calls.len(), 1, "one call for all spans");
    let (head, body) = &calls[0];
    assert!(head.starts_with("post /v1/traces http/1.1\r\n"), "{head}");
    assert!(head.contains("content-type: application/x-protobuf\r\n"));
    assert!(head.contains("authorization: bearer let-me-in\r\n"));
    for part in [
        &b"POST /v1/validate"[..],
        &TRACE.to_be_bytes(),
        &CALLER.to_be_bytes(),
        b"http.request.method",
        b"http.route",
        b"http.response.status_code",
        b"order-17",
        b"service.name",
        // The statuses as numbers (field `int_value`): 200 and 404.
        &[0x18, 0xc8, 0x01],
        &[0x18, 0x94, 0x03],
    ] {
        assert!(holds(body, part), "{part:?}");
    }
    assert!(!holds(body, &(TRACE + 1).to_be_bytes()));
    assert!(!holds(body, b"no-such-path"), "text of a caller was sent");
    assert!(!holds(body, b"src/"), "the inside of the program was sent");

    let line = service.line_of(&format!("{TRACE:032x}"));
    let span = line["span_id"].as_str().unwrap();
    let span = u64::from_str_radix(span, 16).unwrap();
    assert!(holds(body, &span.to_be_bytes()), "log and span differ");
    assert!(line.get("span").is_none(), "a span in a log line: {line}");
}

#[test]
fn an_address_with_a_path_is_taken_as_it_is() {
    let sink = Sink::open();
    let file = outbound("path", &format!("{}/own/way", sink.address()), "");
    let mut service = Service::begin(&["--outbound", file.path()], &[]);
    assert_eq!(service.post("/v1/validate", "", REQUEST), 200);
    assert!(service.ends_well());
    let calls = sink.calls();
    assert!(calls[0].0.starts_with("post /own/way http/1.1\r\n"));
}

#[test]
fn a_collector_that_is_away_or_hangs_harms_nobody_and_is_told_once() {
    let closed = TcpListener::bind("127.0.0.1:0").unwrap();
    let away = closed.local_addr().unwrap();
    drop(closed);
    // The system takes connections for it, but nobody ever answers.
    let silent = TcpListener::bind("127.0.0.1:0").unwrap();
    for (name, address) in [("away", away), ("silent", silent.local_addr().unwrap())] {
        let file = outbound(name, &format!("http://{address}"), "");
        let mut service = Service::begin(&["--outbound", file.path()], &[]);
        let begun = Instant::now();
        for _ in 0..200 {
            assert_eq!(service.post("/v1/validate", "", REQUEST), 200);
        }
        // A first batch goes out after five seconds at most.
        std::thread::sleep(Duration::from_secs(6).saturating_sub(begun.elapsed()));
        let asked = Instant::now();
        assert_eq!(service.post("/v1/validate", "", REQUEST), 200);
        assert!(service.ends_well());
        assert!(asked.elapsed() < Duration::from_secs(10), "{name}");
        let told = service.lines_with("traces are not taken");
        assert!(told <= 1, "{name}: told {told} times");
        assert!(name == "silent" || told == 1, "not told");
    }
}

#[test]
fn nothing_is_sent_unless_the_file_of_the_operator_says_so() {
    let sink = Sink::open();
    let none = Scratch::new("none", "{}");
    let address = sink.address();
    let mut service = Service::begin(
        &["--outbound", none.path()],
        &[
            ("OTEL_EXPORTER_OTLP_ENDPOINT", &address),
            ("OTEL_EXPORTER_OTLP_TRACES_ENDPOINT", &address),
        ],
    );
    let head = traceparent(TRACE, "01");
    assert_eq!(service.post("/v1/validate", &head, REQUEST), 200);
    assert!(service.ends_well());
    assert!(sink.calls().is_empty());
}
