//! Keys, scopes, limits of how often, and what web pages may read.

use std::io::Write;
use std::net::SocketAddr;
use std::sync::{Arc, OnceLock};

use kitproof::api::keys::file::{KeyFile, KeyRecord};
use kitproof::api::keys::{KeyRing, text};
use kitproof::api::scope::{Needed, Scope, needed};
use kitproof::api::{AppState, ENDPOINTS};
use kitproof::settings::{Access, Settings};

use crate::client::{Reply, connect, finish, get, post, send};
use crate::service::{address, settings, start, start_with};

/// A key with these scopes: its text, and its record.
fn key(scopes: &[Scope], per_minute: Option<u32>) -> (String, KeyRecord) {
    let key = text::make().expect("random bytes");
    let record = KeyRecord {
        id: key.id,
        name: "a caller".to_owned(),
        secret_sha256: key.digest.hex(),
        scopes: scopes.to_vec(),
        last_day: None,
        per_minute,
    };
    (key.text, record)
}

fn with_keys(records: Vec<KeyRecord>) -> SocketAddr {
    let ring = Arc::new(KeyRing::new(&KeyFile { keys: records }));
    start_with(settings(), |state: &mut AppState| state.keys = Some(ring)).0
}

/// A service that asks for keys, and a key for decisions.
pub fn guarded() -> (SocketAddr, String) {
    static SHARED: OnceLock<(SocketAddr, String)> = OnceLock::new();
    let shared = SHARED.get_or_init(|| {
        let (text, record) = key(&[Scope::Decide], None);
        (with_keys(vec![record]), text)
    });
    shared.clone()
}

/// A service without keys that answers each address three times a minute.
pub fn hurried() -> SocketAddr {
    let access = Access {
        per_minute: Some(3),
        ..Access::default()
    };
    start(Settings {
        access,
        ..settings()
    })
    .0
}

/// Asks with a key.
pub fn ask(to: SocketAddr, key: &str, method: &str, path: &str, body: &[u8]) -> Reply {
    let bearer = format!("Bearer {key}");
    let headers = [
        ("authorization", bearer.as_str()),
        ("content-type", "application/json"),
    ];
    send(to, method, path, &headers, body)
}

#[test]
fn every_operation_asks_for_a_key_but_for_those_that_are_named_here() {
    let open = [
        "GET /health/live",
        "GET /health/ready",
        "GET /openapi.json",
        "GET /docs",
        "GET /docs/{file}",
        "GET /.well-known/jwks.json",
        "GET /v1/rules",
        "GET /v1/rules/{id}",
        "GET /v1/problems",
        "GET /v1/problems/{code}",
    ];
    let (to, _) = guarded();
    for endpoint in ENDPOINTS {
        let method = endpoint.method();
        let path = endpoint.path().replace("{file}", "swagger-ui.css");
        let reply = send(to, method.as_str(), &path, &[("accept", "*/*")], b"");
        let closed = !open.contains(&endpoint.line().as_str());
        assert_eq!(
            reply.status == 401,
            closed,
            "{} gave {}",
            endpoint.line(),
            reply.status
        );
    }
    assert_eq!(get(to, "/v1/no-such-path").status, 401);
}

#[test]
fn a_key_opens_what_its_scope_says_and_no_more() {
    let (to, key) = guarded();
    let cart = br#"{"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 16}]}"#;
    let decided = ask(to, &key, "POST", "/v1/validate", cart);
    assert_eq!(decided.status, 200, "{}", decided.text());
    let refused = ask(to, &key, "GET", "/v1/modules", b"");
    assert_eq!(refused.code(), "scope-needed");
    let challenge = refused.header("www-authenticate").expect("a challenge");
    assert!(challenge.contains("insufficient_scope") && challenge.contains("\"catalogue\""));
    let typo = key.replace("kpk_", "kpk-");
    let unknown = ask(to, &typo, "POST", "/v1/validate", cart);
    assert_eq!(unknown.code(), "key-needed");
    assert!(!unknown.text().contains(&key) && !unknown.text().contains(&typo));
}

#[test]
fn a_key_is_only_taken_from_one_authorization_header() {
    let (to, key) = guarded();
    let bearer = format!("Bearer {key}");
    let path = format!("/v1/validate?key={key}");
    assert_eq!(post(to, &path, b"{}").status, 401);
    let twice = [
        ("authorization", bearer.as_str()),
        ("authorization", bearer.as_str()),
    ];
    assert_eq!(send(to, "POST", "/v1/validate", &twice, b"{}").status, 401);
    let basic = [("authorization", "Basic eDp5")];
    assert_eq!(send(to, "POST", "/v1/validate", &basic, b"{}").status, 401);
}

#[test]
fn who_is_not_let_in_is_told_so_before_the_body_is_sent() {
    let (to, _) = guarded();
    let mut stream = connect(to);
    let head = "POST /v1/validate HTTP/1.1\r\nhost: t\r\ncontent-type: application/json\r\n\
                content-length: 900000\r\n\r\n";
    stream.write_all(head.as_bytes()).expect("sent");
    assert_eq!(finish(stream).status, 401);
}

#[test]
fn each_key_has_a_limit_of_its_own() {
    let (slow, slow_record) = key(&[Scope::Catalogue], Some(2));
    let (free, free_record) = key(&[Scope::Catalogue], None);
    let to = with_keys(vec![slow_record, free_record]);
    let ask = |key: &str| ask(to, key, "GET", "/v1/boards", b"");
    let first = ask(&slow);
    assert_eq!(first.status, 200);
    assert_eq!(first.header("ratelimit-policy"), Some("\"key\";q=2;w=60"));
    assert_eq!(first.header("ratelimit"), Some("\"key\";r=1;t=30"));
    assert_eq!(ask(&slow).status, 200);
    let refused = ask(&slow);
    assert_eq!(refused.code(), "too-often");
    let wait: u64 = refused
        .header("retry-after")
        .unwrap_or_default()
        .parse()
        .expect("seconds");
    assert!((1..=30).contains(&wait), "{wait}");
    let other = ask(&free);
    assert_eq!((other.status, other.header("ratelimit")), (200, None));
}

#[test]
fn without_keys_each_address_has_a_limit_but_health_has_none() {
    let to = hurried();
    let got: Vec<u16> = (0..5).map(|_| get(to, "/v1/rules").status).collect();
    assert_eq!(got, [200, 200, 200, 429, 429]);
    assert_eq!(get(to, "/health/ready").status, 200);
    assert_eq!(get(to, "/health/live").status, 200);
    // What a proxy or a caller says of the address does not count.
    let forged = [
        ("x-forwarded-for", "192.0.2.7"),
        ("forwarded", "for=192.0.2.7"),
    ];
    assert_eq!(send(to, "GET", "/v1/rules", &forged, b"").status, 429);
}

#[test]
fn web_pages_read_answers_only_from_listed_origins() {
    let access = Access {
        origins: vec!["https://shop.example".to_owned()],
        ..Access::default()
    };
    let to = start(Settings {
        access,
        ..settings()
    })
    .0;
    let shop = [("origin", "https://shop.example")];
    let answer = send(to, "GET", "/v1/boards", &shop, b"");
    assert_eq!(
        answer.header("access-control-allow-origin"),
        Some("https://shop.example")
    );
    assert!(answer.header("access-control-allow-credentials").is_none());
    let problem = send(to, "GET", "/v1/none", &shop, b"");
    assert_eq!(problem.status, 404);
    assert_eq!(
        problem.header("access-control-allow-origin"),
        Some("https://shop.example")
    );
    for other in [
        "https://evil.example",
        "null",
        "https://shop.example.evil.example",
        "https://shop.example:8443",
    ] {
        let answer = send(to, "GET", "/v1/boards", &[("origin", other)], b"");
        assert_eq!(
            answer.header("access-control-allow-origin"),
            None,
            "{other}"
        );
        assert!(
            answer
                .headers
                .iter()
                .any(|(name, value)| name == "vary" && value.contains("Origin"))
        );
    }
}

#[test]
fn a_browser_may_ask_first_and_needs_no_key_for_that() {
    let (_, record) = key(&[Scope::Decide], None);
    let ring = Arc::new(KeyRing::new(&KeyFile { keys: vec![record] }));
    let access = Access {
        origins: vec!["https://shop.example".to_owned()],
        ..Access::default()
    };
    let own = Settings {
        access,
        ..settings()
    };
    let to = start_with(own, |state| state.keys = Some(ring)).0;
    let asked = [
        ("origin", "https://shop.example"),
        ("access-control-request-method", "POST"),
        (
            "access-control-request-headers",
            "authorization, content-type",
        ),
    ];
    let answer = send(to, "OPTIONS", "/v1/validate", &asked, b"");
    assert_eq!(answer.status, 204);
    assert!(
        answer
            .header("access-control-allow-methods")
            .is_some_and(|m| m.contains("POST"))
    );
    assert!(
        answer
            .header("access-control-allow-headers")
            .is_some_and(|h| h.contains("authorization"))
    );
    let refused = send(to, "GET", "/v1/boards", &asked[..1], b"");
    assert_eq!(refused.status, 401);
    assert_eq!(
        refused.header("access-control-allow-origin"),
        Some("https://shop.example")
    );
}

#[test]
fn no_answer_lets_any_page_in_unless_origins_are_listed() {
    let answer = send(
        address(),
        "GET",
        "/v1/boards",
        &[("origin", "https://shop.example")],
        b"",
    );
    assert!(
        answer
            .headers
            .iter()
            .all(|(name, _)| !name.starts_with("access-control"))
    );
}

#[test]
fn every_operation_has_a_place_in_the_scopes() {
    let left: Vec<String> = ENDPOINTS
        .iter()
        .filter(|endpoint| needed(&endpoint.path(), endpoint.tag()) == Needed::AnyKey)
        .map(|endpoint| endpoint.line())
        .collect();
    assert!(left.is_empty(), "{left:?}");
}
