//! The language of an answer follows `Accept-Language`; its headers say which it is.

use crate::client::{Reply, get, send};
use crate::service::address;

const CART: &[u8] = include_bytes!("../../openapi/examples/cart-too-many-ranks.json");

fn asked(path: &str, language: &str, body: &[u8]) -> Reply {
    let method = if body.is_empty() { "GET" } else { "POST" };
    let headers = [
        ("content-type", "application/json"),
        ("accept-language", language),
    ];
    send(address(), method, path, &headers, body)
}

#[test]
fn a_verdict_is_told_in_the_language_that_was_wished() {
    let german = asked("/v1/validate", "de-AT, en;q=0.5", CART);
    assert_eq!(german.header("content-language"), Some("de"));
    assert_eq!(german.header("vary"), Some("Accept, Accept-Language"));
    let answer = german.json();
    assert_eq!(answer["summary"][0], "Es passt nicht.");
    assert_eq!(answer["verdict"], "does_not_fit");
    let english = asked("/v1/validate", "fr", CART);
    assert_eq!(english.header("content-language"), Some("en"));
    assert_eq!(english.json()["summary"][0], "It does not fit.");
    let again = asked("/v1/validate", "de", CART);
    assert_eq!(again.body, german.body, "one language, equal bytes");
}

#[test]
fn a_rule_is_described_in_the_language_that_was_wished() {
    let path = "/v1/rules/rank-budget-exceeded";
    let german = asked(path, "de", b"");
    assert_eq!(german.header("content-language"), Some("de"));
    let rule = german.json();
    assert_eq!(rule["title"], "Mehr Ränge, als ein Kanal sieht");
    assert_eq!(
        rule["message"],
        "{ $channels }: die Module zeigen { $seen } Ränge ({ $sum }), ein Kanal dieses Boards sieht aber höchstens { $budget }."
    );
    let english = get(address(), path);
    assert_eq!(english.json()["title"], "More ranks than a channel sees");
    assert_ne!(english.header("etag"), german.header("etag"));
}

#[test]
fn notes_of_readers_are_told_in_the_language_that_was_wished() {
    let body = br#"{"label": "32GB 2Rx4 PC4-3200-RB2-12"}"#;
    let german = asked("/v1/read/module", "de", body).json();
    assert_eq!(
        german["notes"][0]["sentence"],
        "Der Geschwindigkeit `3200` fehlen die Buchstaben ihrer Klasse; die Latenz ist deshalb nicht bekannt."
    );
    let cart = br#"{"board": "loch", "kit": [{"module": {"label": "32GB 2Rx4 PC4-3200-RB2-12"}, "quantity": 8}]}"#;
    let german = asked("/v1/validate", "de", cart).json();
    let sentence = german["notes"][0]["sentence"].as_str().expect("a note");
    assert!(sentence.starts_with("Der Geschwindigkeit"), "{sentence}");
}

#[test]
fn a_problem_is_told_in_english() {
    let reply = asked("/v1/validate", "de", b"{}");
    assert_eq!(reply.status, 422);
    assert_eq!(reply.header("content-language"), Some("en"));
}
