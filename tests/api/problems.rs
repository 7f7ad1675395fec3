//! Every problem that the service can answer with, each provoked over a socket.

use std::collections::BTreeSet;
use std::io::Write;
use std::net::SocketAddr;
use std::time::Duration;

use kitproof::api::{Code, ENDPOINTS};
use kitproof::settings::Settings;

use crate::client::{Reply, connect, finish, get, post, send};
use crate::service::{address, settings, start};

/// Sends whatever gives the problem; the address is that of the shared service.
type Provoke = fn(SocketAddr) -> Reply;

/// How to provoke each problem. A new problem needs a new line here.
const PROVOCATIONS: &[(&str, Provoke)] = &[
    ("malformed-json", |to| post(to, "/test/echo", b"{")),
    ("duplicate-member", |to| {
        post(to, "/test/echo", br#"{"board":"a","board":"b"}"#)
    }),
    ("nesting-too-deep", |to| {
        post(to, "/test/echo", &b"[".repeat(128))
    }),
    ("too-many-values", |to| {
        post(
            to,
            "/test/echo",
            format!("[{}0]", "0,".repeat(60_000)).as_bytes(),
        )
    }),
    ("key-needed", |_| {
        get(crate::access::guarded().0, "/v1/boards")
    }),
    ("scope-needed", |_| {
        let (own, key) = crate::access::guarded();
        crate::access::ask(own, &key, "GET", "/v1/boards", b"")
    }),
    ("too-often", |_| {
        let own = crate::access::hurried();
        (0..3).for_each(|_| drop(get(own, "/v1/rules")));
        get(own, "/v1/rules")
    }),
    ("unknown-path", |to| get(to, "/v1/problem")),
    ("unknown-name", |to| get(to, "/v1/problems/invalid-bodies")),
    ("method-not-allowed", |to| {
        send(to, "DELETE", "/v1/problems", &[], b"")
    }),
    ("not-acceptable", |to| {
        send(
            to,
            "GET",
            "/v1/problems",
            &[("accept", "application/xml")],
            b"",
        )
    }),
    ("request-timeout", slow_body),
    ("body-too-large", |to| {
        post(to, "/test/echo", &vec![b' '; 5 << 20])
    }),
    ("unsupported-media-type", |to| {
        send(to, "POST", "/test/echo", &[], b"{}")
    }),
    ("unsupported-encoding", |to| {
        let headers = [
            ("content-type", "application/json"),
            ("content-encoding", "gzip"),
        ];
        send(to, "POST", "/test/echo", &headers, b"{}")
    }),
    ("invalid-body", |to| post(to, "/test/echo", b"{}")),
    ("nothing-readable", |to| {
        let plain = [("content-type", "text/plain")];
        send(
            to,
            "POST",
            "/v1/read/inventory",
            &plain,
            b"no report at all",
        )
    }),
    ("invalid-query", |to| get(to, "/v1/problems?limit=0")),
    ("internal-error", |to| get(to, "/test/panic")),
    ("overloaded", overloaded),
    ("out-of-time", |_| {
        let (own, _) = start(Settings {
            answer_timeout: Duration::from_millis(50),
            ..settings()
        });
        get(own, "/test/compute")
    }),
    ("not-ready", |_| {
        let (own, state) = start(settings());
        state.set_ready(false);
        get(own, "/health/ready")
    }),
];

/// Announces a body and does not send it.
fn slow_body(to: SocketAddr) -> Reply {
    let mut stream = connect(to);
    let head = "POST /test/echo HTTP/1.1\r\nhost: test\r\ncontent-type: application/json\r\n\
                content-length: 100\r\n\r\n{";
    stream.write_all(head.as_bytes()).expect("sent");
    finish(stream)
}

/// Takes both places of a service of its own, then asks for a third.
fn overloaded(_: SocketAddr) -> Reply {
    let (own, _) = start(settings());
    let busy: Vec<_> = (0..2)
        .map(|_| std::thread::spawn(move || get(own, "/test/compute")))
        .collect();
    std::thread::sleep(std::time::Duration::from_millis(200));
    let reply = get(own, "/test/compute");
    for thread in busy {
        assert_eq!(thread.join().expect("an answer").status, 200);
    }
    reply
}

#[test]
fn every_problem_is_provoked_by_a_test() {
    let provoked: BTreeSet<&str> = PROVOCATIONS.iter().map(|(code, _)| *code).collect();
    let missing: Vec<&str> = Code::ALL
        .iter()
        .map(|code| code.entry().code)
        .filter(|code| !provoked.contains(code))
        .collect();
    println!("problems that no test provokes: {missing:?}");
    assert!(missing.is_empty(), "{missing:?}");
    assert_eq!(
        provoked.len(),
        Code::ALL.len(),
        "a provocation of an unknown problem"
    );
}

#[test]
fn every_problem_is_told_as_problem_details() {
    for (code, provoke) in PROVOCATIONS {
        let reply = provoke(address());
        assert_eq!(
            reply.header("content-type"),
            Some("application/problem+json"),
            "{code}"
        );
        let body = reply.json();
        let entry = Code::ALL
            .iter()
            .map(|c| c.entry())
            .find(|e| e.code == *code)
            .expect("a row");
        assert_eq!(body["code"], *code, "{body}");
        assert_eq!(
            (body["status"].as_u64(), reply.status),
            (Some(entry.status.into()), entry.status)
        );
        assert_eq!(body["title"], entry.title);
        assert_eq!(body["retryable"], entry.retryable);
        assert_eq!(body["type"], format!("/v1/problems/{code}"));
        assert!(
            body["detail"]
                .as_str()
                .is_some_and(|detail| !detail.is_empty()),
            "{body}"
        );
        assert_eq!(body["truncated"], false);
        check_no_internals(&reply.text());
        check_common_headers(&reply);
        check_headers_of_the_status(&reply);
    }
}

fn check_no_internals(text: &str) {
    for inside in [
        "secret-inside",
        "src/",
        ".rs:",
        "panicked",
        "serde",
        "thread '",
        "u32",
    ] {
        assert!(!text.contains(inside), "{inside} in {text}");
    }
}

fn check_common_headers(reply: &Reply) {
    for (name, value) in [
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "no-referrer"),
        ("cross-origin-resource-policy", "same-origin"),
        ("cache-control", "no-store"),
        ("kitproof-catalogue", crate::service::revision()),
        ("kitproof-engine", env!("CARGO_PKG_VERSION")),
    ] {
        assert_eq!(reply.header(name), Some(value), "{name}");
    }
    assert!(reply.header("x-request-id").is_some());
    assert!(
        reply
            .header("content-security-policy")
            .is_some_and(|p| p.starts_with("default-src 'none'"))
    );
}

/// What RFC 9110 asks for beside a status.
fn check_headers_of_the_status(reply: &Reply) {
    let needed: &[&str] = match reply.status {
        405 => &["allow"],
        401 | 403 => &["www-authenticate"],
        415 if reply.code() == "unsupported-encoding" => &["accept-encoding"],
        415 => &["accept"],
        429 => &["retry-after", "ratelimit", "ratelimit-policy"],
        503 => &["retry-after"],
        _ => &[],
    };
    for name in needed {
        assert!(
            reply.header(name).is_some(),
            "{} without {name}",
            reply.status
        );
    }
}

#[test]
fn every_problem_has_the_page_that_its_type_names() {
    for code in Code::ALL {
        let entry = code.entry();
        let reply = get(address(), &format!("/v1/problems/{}", entry.code));
        assert_eq!(reply.status, 200);
        assert_eq!(reply.json(), serde_json::to_value(entry).expect("JSON"));
    }
}

#[test]
fn a_panic_and_a_failure_of_the_framework_say_nothing_of_the_inside() {
    for path in ["/test/panic", "/test/compute-panic", "/test/foreign"] {
        let reply = get(address(), path);
        assert_eq!(reply.code(), "internal-error", "{path}");
        check_no_internals(&reply.text());
    }
    assert_eq!(get(address(), "/health/live").status, 200);
}

#[test]
fn no_endpoint_ignores_a_parameter_that_it_does_not_know() {
    for endpoint in ENDPOINTS.iter().filter(|endpoint| endpoint.is_documented()) {
        let example = endpoint.shown_example();
        let path = example.map_or_else(|| endpoint.path(), |example| example.path.to_owned());
        let mark = if path.contains('?') { '&' } else { '?' };
        let path = format!("{path}{mark}odd=1");
        let body = example.and_then(|example| example.request).unwrap_or("{}");
        let kind = if path.contains("bulk") {
            "application/x-ndjson"
        } else {
            "application/json"
        };
        let headers = [("content-type", kind)];
        let method = endpoint.method();
        let body = if method == "POST" { body } else { "" };
        let reply = send(address(), method.as_str(), &path, &headers, body.as_bytes());
        assert_eq!(reply.code(), "invalid-query", "{path}: {}", reply.text());
        assert_eq!(reply.faults(), ["unknown-name query:odd"], "{path}");
    }
}
