//! Computations: abandoned ones stop, long ones are cut, and neither holds anybody else up.

use std::io::Write;
use std::num::NonZeroUsize;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};

use kitproof::settings::Settings;

use crate::client::{connect, get, post};
use crate::service::{HELD, UNTIL_STOPPED, settings, start};

/// Waits until so many computations have begun (0) or ended (1).
fn reached(which: usize, count: u32) -> bool {
    let patience = Instant::now() + Duration::from_secs(10);
    while Instant::now() < patience {
        if UNTIL_STOPPED[which].load(Ordering::Relaxed) >= count {
            return true;
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    false
}

/// One test for both ways to end, since they count the same computations.
#[test]
fn a_computation_stops_when_its_caller_leaves_and_when_its_time_is_over() {
    let (address, _) = start(settings());
    let mut streams = Vec::new();
    for _ in 0..2 {
        let mut stream = connect(address);
        let head = b"GET /test/until-stopped HTTP/1.1\r\nhost: t\r\n\r\n";
        stream.write_all(head).expect("sent");
        streams.push(stream);
    }
    assert!(reached(0, 2), "begun");
    assert_eq!(get(address, "/test/compute").code(), "overloaded");
    assert!(!reached_now(1), "ended while its caller waits");
    drop(streams);
    assert!(reached(1, 2), "ended");
    // Their places are free again.
    assert!((0..100).any(|_| get(address, "/test/compute").status == 200));

    let (hurried, _) = start(Settings {
        answer_timeout: Duration::from_millis(200),
        ..settings()
    });
    assert_eq!(get(hurried, "/test/until-stopped").code(), "out-of-time");
    assert!(reached(1, 3), "ended");
}

fn reached_now(which: usize) -> bool {
    UNTIL_STOPPED[which].load(Ordering::Relaxed) > 0
}

#[test]
fn a_search_ends_when_its_time_is_over() {
    let (hurried, _) = start(Settings {
        answer_timeout: Duration::from_millis(1),
        ..settings()
    });
    let reply = post(hurried, "/v1/validate", crate::heavy::HARD.as_bytes());
    assert_eq!(reply.code(), "out-of-time", "{}", reply.text());
    assert_eq!(reply.header("retry-after"), Some("1"));
}

/// Five kinds of module on a large board: many searches.
const HARD: &str = r#"{"board":"tarn","kit":[
    {"module":"ERW-3R16-2x4","quantity":7},{"module":"ERW-3R8-2x4","quantity":5},
    {"module":"ERW-3R4-1x4","quantity":5},{"module":"ERW-3R32-4x4","quantity":3},
    {"module":"ERW-3R8-1x4","quantity":3}]}"#;

#[test]
fn light_requests_are_answered_while_every_thread_computes() {
    let (address, _) = start(settings());
    let busy: Vec<_> = (0..2)
        .map(|_| std::thread::spawn(move || get(address, "/test/held")))
        .collect();
    while HELD.0.load(Ordering::Relaxed) < 2 {
        std::thread::sleep(Duration::from_millis(5));
    }
    let placed = br#"{"board":"tarn","population":[{"slot":"A1","module":"ERW-3R16-2x4"}]}"#;
    let replies: Vec<_> = (0..20)
        .map(|_| post(address, "/v1/validate", placed))
        .collect();
    assert!(replies.iter().all(|reply| reply.status == 200));
    assert!(
        busy.iter().all(|thread| !thread.is_finished()),
        "the heavy ones were not held"
    );
    HELD.1.store(true, Ordering::Relaxed);
    for thread in busy {
        assert_eq!(thread.join().expect("an answer").status, 200);
    }
}

/// A search that takes as long as it may.
fn long_search(time_ms: u64) -> Vec<u8> {
    let own = kitproof::api::examples::OPTIMISE;
    let example = own.iter().find(|own| own.name == "optimise").expect("it");
    let mut request: serde_json::Value =
        serde_json::from_str(example.request.expect("a request")).expect("JSON");
    request["for_sale"] = "catalogue".into();
    request["plans"] = 20.into();
    request["steps"] = 1_000_000_000.into();
    request["time_ms"] = time_ms.into();
    request.to_string().into_bytes()
}

/// One after the other in full they would take 16 seconds, and an answer must come within ten.
#[test]
fn searches_that_wait_for_one_thread_are_all_answered() {
    let (address, _) = start(Settings {
        workers: NonZeroUsize::MIN,
        computations: NonZeroUsize::MIN.saturating_add(7),
        ..settings()
    });
    let asked: Vec<_> = (0..8)
        .map(|_| std::thread::spawn(move || post(address, "/v1/optimise", &long_search(2000))))
        .collect();
    for reply in asked {
        let reply = reply.join().expect("a reply");
        assert_eq!(reply.status, 200, "{}", reply.text());
        assert_eq!(reply.json()["cut_by"], "time", "{}", reply.text());
    }
}
