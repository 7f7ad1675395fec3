//! Bodies that break careless readers.

use serde_json::{Value, json};

use crate::client::{Reply, post};
use crate::service::address;

fn echo(body: impl AsRef<[u8]>) -> Reply {
    post(address(), "/test/echo", body.as_ref())
}

/// A good kit with one member's text replaced.
fn with_rate(text: &str) -> Reply {
    echo(format!(r#"{{"board":"tarn","modules":[],"rate":{text}}}"#))
}

#[test]
fn a_good_body_is_read_whole() {
    let kit = json!({ "board": "Tärn 1\u{1f600}", "modules": [
        { "ranks": 2, "named": { "by": "label", "text": "2Rx4" } },
        { "ranks": 8, "parts": [{ "ranks": 1 }] },
    ], "rate": 3200 });
    let reply = echo(kit.to_string());
    assert_eq!((reply.status, reply.json()), (200, kit));
    let escaped = r#"{"b\u006fard":"\ud83d\ude00","modules":[],"rate":null}"#;
    assert_eq!(echo(escaped).json()["board"], "\u{1f600}");
}

#[test]
fn numbers_that_are_none_or_too_large_are_refused() {
    for (text, code) in [
        ("NaN", "malformed-json"),
        ("Infinity", "malformed-json"),
        ("01", "malformed-json"),
        ("+1", "malformed-json"),
        ("0x10", "malformed-json"),
        ("1.", "malformed-json"),
        ("1e400", "invalid-body"),
        ("1e3", "invalid-body"),
        ("1.0", "invalid-body"),
        ("-1", "invalid-body"),
        ("-0", "invalid-body"),
        ("4294967296", "invalid-body"),
        ("18446744073709551616", "invalid-body"),
        ("\"3200\"", "invalid-body"),
        ("true", "invalid-body"),
    ] {
        let reply = with_rate(text);
        assert_eq!(reply.code(), code, "{text}");
        if code == "invalid-body" {
            assert_eq!(reply.json()["faults"][0]["pointer"], "/rate", "{text}");
        }
    }
    let reply = with_rate("3200.0");
    assert_eq!(reply.json()["faults"][0]["hint"], "write `3200`");
    assert_eq!(with_rate("4294967295").status, 200);
}

#[test]
fn text_that_is_no_unicode_is_refused() {
    let kit = |board: &[u8]| {
        let parts: [&[u8]; 3] = [b"{\"modules\":[],\"board\":\"", board, b"\"}"];
        echo(parts.concat())
    };
    for board in [
        &b"\\ud800"[..],
        b"\\udc00x",
        b"\\ud800\\u0041",
        b"\xff",
        b"\xed\xa0\x80",
        b"\xc0\xaf",
        b"\xf5\x80\x80\x80",
        b"\x01",
        b"\n",
    ] {
        assert_eq!(kit(board).code(), "malformed-json", "{board:?}");
    }
    assert_eq!(
        echo(b"\xef\xbb\xbf{\"board\":\"a\",\"modules\":[]}").code(),
        "malformed-json"
    );
    let utf16: Vec<u8> = "{}".encode_utf16().flat_map(u16::to_le_bytes).collect();
    assert_eq!(echo(utf16).code(), "malformed-json");
    assert_eq!(
        kit("\u{0}".escape_default().to_string().as_bytes()).code(),
        "malformed-json"
    );
}

#[test]
fn the_place_of_a_break_is_named() {
    let detail = echo("{\n  \"board\": nope\n}").json()["detail"].clone();
    assert_eq!(
        detail,
        "a JSON value is expected (line 2, column 12, byte 13)"
    );
    assert_eq!(echo("").code(), "malformed-json");
    assert_eq!(echo("{} {}").code(), "malformed-json");
}

#[test]
fn a_name_twice_is_refused_at_five_depths() {
    let mut text = r#"{"ranks":1,"ranks":2}"#.to_owned();
    let mut pointer = "/ranks".to_owned();
    for depth in 0..5 {
        let body = format!(r#"{{"board":"a","modules":[{text}]}}"#);
        let reply = echo(body);
        assert_eq!(reply.code(), "duplicate-member", "depth {depth}");
        let at = format!("/modules/0{pointer}");
        assert_eq!(reply.faults(), [format!("duplicate-member {at}")]);
        text = format!(r#"{{"ranks":1,"parts":[{text}]}}"#);
        pointer = format!("/parts/0{pointer}");
    }
    // Also where a typed reader buffers, and when one of the names is escaped.
    let tagged =
        r#"{"board":"a","modules":[{"ranks":1,"named":{"by":"id","id":"x","\u0069d":"y"}}]}"#;
    assert_eq!(
        echo(tagged).faults(),
        ["duplicate-member /modules/0/named/id"]
    );
    // Also below a member that is not known anyway.
    assert_eq!(echo(r#"{"x":{"y":1,"y":2}}"#).code(), "duplicate-member");
}

#[test]
fn depth_is_bounded() {
    for text in [
        "[".repeat(128),
        "{\"parts\":".repeat(128),
        "[".repeat(1_000_000),
    ] {
        assert_eq!(echo(text).code(), "nesting-too-deep");
    }
    let mut module = json!({ "ranks": 1 });
    for _ in 0..14 {
        module = json!({ "ranks": 1, "parts": [module] });
    }
    let kit = |module: &Value| json!({ "board": "a", "modules": [module] }).to_string();
    assert_eq!(echo(kit(&module)).status, 200);
    let deeper = json!({ "ranks": 1, "parts": [{ "ranks": 1, "parts": [module] }] });
    assert_eq!(echo(kit(&deeper)).code(), "nesting-too-deep");
}

#[test]
fn ten_thousand_lines_are_read_or_refused_whole() {
    let kit = |last: u8| {
        let mut modules: Vec<Value> = vec![json!({ "ranks": 1 }); 9_999];
        modules.push(json!({ "ranks": last }));
        json!({ "board": "a", "modules": modules }).to_string()
    };
    let reply = echo(kit(2));
    assert_eq!(
        (
            reply.status,
            reply.json()["modules"].as_array().map(Vec::len)
        ),
        (200, Some(10_000))
    );
    assert_eq!(echo(kit(9)).faults(), ["out-of-range /modules/9999/ranks"]);
}

#[test]
fn ten_thousand_faults_give_a_short_answer() {
    let modules = vec![json!({ "rank": 1 }); 10_000];
    let started = std::time::Instant::now();
    let reply = echo(json!({ "board": "a", "modules": modules }).to_string());
    let body = reply.json();
    assert_eq!(body["faults"].as_array().map(Vec::len), Some(100));
    assert_eq!(body["truncated"], true);
    assert!(reply.body.len() < 64 * 1024, "{}", reply.body.len());
    assert!(started.elapsed() < std::time::Duration::from_secs(3));
}

#[test]
fn every_fault_is_named_with_near_names() {
    let reply = echo(
        r#"{"baord":"a","modules":[{"ranks":0},{"ranks":1,"named":{"by":"lable"}},
            {"ranks":1,"named":{"by":"id","id":7,"text":"x"}},null],"rate":-1}"#,
    );
    assert_eq!(reply.status, 422);
    assert_eq!(
        reply.faults(),
        [
            "missing-member ",
            "unknown-member /baord",
            "out-of-range /modules/0/ranks",
            "unknown-value /modules/1/named/by",
            "wrong-type /modules/2/named/id",
            "unknown-member /modules/2/named/text",
            "wrong-type /modules/3",
            "out-of-range /rate",
        ]
    );
    let body = reply.json();
    assert_eq!(body["detail"], "8 places need attention");
    assert_eq!(body["faults"][1]["close_matches"], json!(["board"]));
    assert_eq!(body["faults"][3]["close_matches"], json!(["label"]));
}

#[test]
fn bodies_that_are_no_object_are_refused_with_the_right_type() {
    for text in ["[]", "1", "\"a\"", "null", "true"] {
        let reply = echo(text);
        assert_eq!(reply.faults(), ["wrong-type "], "{text}");
    }
}

#[test]
fn equal_requests_give_equal_bytes() {
    let body = r#"{"b":1,"a":2,"modules":[{},{}]}"#;
    let first = echo(body).body;
    for _ in 0..50 {
        assert_eq!(echo(body).body, first);
    }
}

/// JSON Parsing Test Suite (Nicolas Seriot, MIT): 95 texts that every reader must accept and 174
/// that it must refuse. Two of the first are refused on purpose: RFC 7493, section 2.3, wants names
/// to be unique.
#[test]
fn agrees_with_the_public_test_suite_for_json_readers() {
    let suite = include_str!("../fixtures/json-parsing.json");
    let suite: Value = serde_json::from_str(suite).expect("the suite");
    let cases = |kind: &str| suite[kind].as_object().expect("cases").clone();
    let read = |text: &Value| {
        let text = text.as_str().expect("a text");
        kitproof::wirecheck::text::parse(text.as_bytes(), &Default::default())
            .map(|_| ())
            .map_err(|unreadable| unreadable.reason)
    };
    let refused: Vec<String> = cases("accept")
        .iter()
        .filter(|(_, text)| read(text).is_err())
        .map(|(name, _)| name.clone())
        .collect();
    assert_eq!(
        refused,
        ["object_duplicated_key", "object_duplicated_key_and_value"]
    );
    let accepted: Vec<String> = cases("refuse")
        .iter()
        .filter(|(_, text)| read(text).is_ok())
        .map(|(name, _)| name.clone())
        .collect();
    assert_eq!(accepted, Vec::<String>::new());
    assert_eq!((cases("accept").len(), cases("refuse").len()), (95, 174));
}
