//! Methods, media types, ids and other parts of HTTP.

use kitproof::api::ENDPOINTS;

use crate::client::{get, post, raw, send};
use crate::service::{TEST_ENDPOINTS, address};

const KIT: &[u8] = br#"{"board":"a","modules":[]}"#;

#[test]
fn other_methods_are_refused_with_those_that_are_allowed() {
    for method in ["DELETE", "PUT", "PATCH", "TRACE", "BREW", "POST"] {
        let reply = send(address(), method, "/v1/problems", &[], b"");
        assert_eq!(
            (reply.status, reply.header("allow")),
            (405, Some("GET, HEAD, OPTIONS")),
            "{method}"
        );
    }
    let reply = get(address(), "/test/echo");
    assert_eq!(
        (reply.status, reply.header("allow")),
        (405, Some("OPTIONS, POST"))
    );
}

#[test]
fn options_tells_the_methods() {
    for endpoint in [ENDPOINTS, TEST_ENDPOINTS].concat() {
        let path = filled(&endpoint.path());
        let reply = send(address(), "OPTIONS", &path, &[], b"");
        let allow = reply.header("allow").expect("Allow");
        assert_eq!(reply.status, 204, "{path}");
        assert!(
            allow
                .split(", ")
                .any(|method| method == endpoint.method().as_str()),
            "{path} {allow}"
        );
    }
}

/// A path with its parameters filled in.
fn filled(path: &str) -> String {
    let id = match path {
        _ if path.starts_with("/v1/boards") => "tarn",
        _ if path.starts_with("/v1/modules") => "ERW-3R32-4x4",
        _ => "rank-budget-exceeded",
    };
    path.replace("{id}", id)
        .replace("{code}", "invalid-body")
        .replace("{file}", "start.js")
}

#[test]
fn head_gives_the_headers_of_get_without_a_body() {
    for endpoint in ENDPOINTS
        .iter()
        .filter(|endpoint| endpoint.method() == "GET")
    {
        let path = filled(&endpoint.path());
        let (get, head) = (
            get(address(), &path),
            send(address(), "HEAD", &path, &[], b""),
        );
        assert_eq!((get.status, head.status), (200, 200), "{path}");
        assert!(!get.body.is_empty() && head.body.is_empty(), "{path}");
        // What these two say changes with every request.
        let changes = ["/metrics", "/v1/status"].contains(&path.as_str());
        let lengths: &[&str] = if changes { &[] } else { &["content-length"] };
        for name in ["content-type", "etag", "cache-control"]
            .iter()
            .chain(lengths)
        {
            assert_eq!(get.header(name), head.header(name), "{path} {name}");
        }
    }
}

#[test]
fn only_json_in_utf8_is_read() {
    let status = |kind: &str| {
        send(
            address(),
            "POST",
            "/test/echo",
            &[("content-type", kind)],
            KIT,
        )
        .status
    };
    for good in [
        "application/json",
        "Application/JSON",
        "application/json; charset=utf-8",
        "application/json;charset=\"UTF-8\"",
    ] {
        assert_eq!(status(good), 200, "{good}");
    }
    for bad in [
        "text/plain",
        "text/json",
        "application/foo+json",
        "application/json; charset=iso-8859-1",
        "application/json, text/plain",
        "",
        "*/*",
    ] {
        assert_eq!(status(bad), 415, "{bad}");
    }
    let twice = [
        ("content-type", "application/json"),
        ("content-type", "text/plain"),
    ];
    assert_eq!(
        send(address(), "POST", "/test/echo", &twice, KIT).status,
        415
    );
}

#[test]
fn compressed_bodies_are_refused_with_what_is_read() {
    for coding in ["gzip", "br", "bogus", "identity, gzip"] {
        let headers = [
            ("content-type", "application/json"),
            ("content-encoding", coding),
        ];
        let reply = send(address(), "POST", "/test/echo", &headers, KIT);
        assert_eq!(
            (reply.status, reply.header("accept-encoding")),
            (415, Some("identity")),
            "{coding}"
        );
    }
    let headers = [
        ("content-type", "application/json"),
        ("content-encoding", "Identity"),
    ];
    assert_eq!(
        send(address(), "POST", "/test/echo", &headers, KIT).status,
        200
    );
}

#[test]
fn a_body_over_the_limit_is_refused_and_one_at_it_is_read() {
    let mut body = KIT.to_vec();
    body.resize(1 << 20, b' ');
    assert_eq!(post(address(), "/test/echo", &body).status, 200);
    body.push(b' ');
    assert_eq!(post(address(), "/test/echo", &body).status, 413);
    // Without an announced length.
    let mut chunked = b"POST /test/echo HTTP/1.1\r\nhost: t\r\ncontent-type: application/json\r\n\
                        transfer-encoding: chunked\r\n\r\n"
        .to_vec();
    for _ in 0..17 {
        chunked.extend_from_slice(b"10000\r\n");
        chunked.extend_from_slice(&[b' '; 0x10000]);
        chunked.extend_from_slice(b"\r\n");
    }
    chunked.extend_from_slice(b"0\r\n\r\n");
    let reply = raw(address(), &chunked);
    assert_eq!(
        (reply.status, reply.code().as_str()),
        (413, "body-too-large")
    );
}

#[test]
fn the_answer_has_a_type_that_the_caller_takes() {
    let status =
        |accept: &str| send(address(), "GET", "/v1/problems", &[("accept", accept)], b"").status;
    for good in [
        "*/*",
        "application/json",
        "application/*;q=0.1",
        "text/html, */*;q=0.1",
    ] {
        assert_eq!(status(good), 200, "{good}");
    }
    for bad in ["text/html", "application/json;q=0", "image/*"] {
        assert_eq!(status(bad), 406, "{bad}");
    }
}

#[test]
fn paths_have_one_form_and_near_ones_are_named() {
    for path in [
        "/V1/problems",
        "/v1/problems/",
        "//v1/problems",
        "/v1//problems",
        "/",
        "/v1/problms",
    ] {
        let reply = get(address(), path);
        assert_eq!(reply.code(), "unknown-path", "{path}");
        assert_eq!(reply.faults(), ["unknown-name path:whole"], "{path}");
    }
    let near = get(address(), "/v1/problms").json()["faults"][0]["close_matches"].clone();
    assert_eq!(near[0], "/v1/problems");
}

#[test]
fn a_name_in_a_path_that_nothing_has_is_answered_with_near_ones() {
    let reply = get(address(), "/v1/problems/invalid-bodi");
    assert_eq!((reply.status, reply.code().as_str()), (404, "unknown-name"));
    assert_eq!(reply.faults(), ["unknown-name path:code"]);
    assert_eq!(
        reply.json()["faults"][0]["close_matches"][0],
        "invalid-body"
    );
    for odd in ["%ff", "%00", "%1b%5b31m", "..%2f..%2fetc"] {
        let reply = get(address(), &format!("/v1/problems/{odd}"));
        assert_eq!(reply.status, 404, "{odd}");
        assert!(!reply.text().contains('\u{1b}'));
    }
}

#[test]
fn every_parameter_that_is_not_known_is_named() {
    for endpoint in ENDPOINTS {
        let path = filled(&endpoint.path());
        let method = endpoint.method();
        if method != "GET" {
            continue;
        }
        let reply = get(address(), &format!("{path}?colour=red&%FF=1"));
        assert_eq!(reply.status, 422, "{path}");
        assert_eq!(reply.faults()[0], "unknown-name query:colour", "{path}");
    }
    let reply = get(address(), "/v1/problems?limt=1");
    assert_eq!(reply.json()["faults"][0]["close_matches"][0], "limit");
}

#[test]
fn a_safe_request_id_comes_back_and_an_unsafe_one_does_not() {
    let id = |given: &str| {
        let reply = send(
            address(),
            "GET",
            "/health/live",
            &[("x-request-id", given)],
            b"",
        );
        reply.header("x-request-id").expect("an id").to_owned()
    };
    assert_eq!(id("order-1.2:3_A"), "order-1.2:3_A");
    let long = "a".repeat(65);
    for bad in ["a b", "<script>", "a\tb", long.as_str()] {
        assert_ne!(id(bad), bad);
    }
    assert_ne!(id(""), id(""));
}

#[test]
fn unknown_request_headers_change_nothing() {
    let odd: Vec<(String, String)> = (0..50)
        .map(|n| (format!("x-odd-{n}"), "v".repeat(n)))
        .collect();
    let odd: Vec<(&str, &str)> = odd.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
    let plain = get(address(), "/v1/problems");
    assert_eq!(
        send(address(), "GET", "/v1/problems", &odd, b"").body,
        plain.body
    );
}

#[test]
fn a_heavy_computation_leaves_the_workers_free() {
    let (own, _) = crate::service::start(crate::service::settings());
    let busy = std::thread::spawn(move || get(own, "/test/compute"));
    std::thread::sleep(std::time::Duration::from_millis(100));
    let started = std::time::Instant::now();
    for _ in 0..10 {
        assert_eq!(get(own, "/health/live").status, 200);
    }
    assert!(started.elapsed() < std::time::Duration::from_millis(350));
    assert_eq!(busy.join().expect("an answer").text(), "done");
}
