//! Receipts over HTTP: given when asked for, good for their request only, and nothing else changes.

use std::sync::Arc;
use std::time::Duration;

use kitproof::api::receipt::check::{Refused, check};
use kitproof::api::receipt::keys::{PublicKeys, SecretKey, SecretKeys};
use kitproof::api::receipt::{Signer, now};

use crate::client::{get, post};
use crate::service::{address, settings, start_with};

fn keys(count: usize) -> SecretKeys {
    SecretKeys {
        keys: (0..count)
            .map(|_| SecretKey::make().expect("a key"))
            .collect(),
    }
}

fn cart(extra: &str) -> String {
    format!(
        r#"{{"reference": "cart-1", "board": "tarn", "kit": [{{"module": "ERW-3R32-4x4", "quantity": 16}}]{extra}}}"#
    )
}

#[test]
fn a_receipt_is_checked_with_nothing_but_the_published_keys() {
    let own = keys(2);
    let signer = Arc::new(Signer::new(&own, Duration::from_secs(60)).expect("a signer"));
    let (to, _) = start_with(settings(), |state| {
        state.receipts = Some(Arc::clone(&signer))
    });
    let published: PublicKeys =
        serde_json::from_slice(&get(to, "/.well-known/jwks.json").body).expect("keys");
    assert_eq!(published.keys.len(), 2);

    let asked = cart(r#", "receipt": true"#);
    let answer = post(to, "/v1/validate", asked.as_bytes()).json();
    let receipt = answer["receipt"].as_str().expect("a receipt");
    let claims = check(receipt, asked.as_bytes(), &published, now()).expect("a good receipt");
    assert_eq!(answer["verdict"], claims.verdict.as_str());
    assert_eq!(answer["allowed"], claims.allowed);
    assert_eq!(
        answer["catalogue_revision"],
        claims.catalogue_revision.as_str()
    );
    assert_eq!(
        (claims.board.as_str(), claims.exp - claims.iat),
        ("tarn", 60)
    );
    // The order step has the same cart without the wish for a receipt.
    assert!(check(receipt, cart("").as_bytes(), &published, now()).is_ok());
    let more = asked.replace("16}", "17}");
    let other = check(receipt, more.as_bytes(), &published, now());
    assert_eq!(other, Err(Refused::OtherRequest));
    assert!(matches!(
        check(receipt, asked.as_bytes(), &published, now() + 61),
        Err(Refused::Expired(_))
    ));

    // The first key goes: what the second signs is good, and so is what the first signed before.
    let turned = SecretKeys {
        keys: vec![own.keys[1].clone(), own.keys[0].clone()],
    };
    signer.replace(&turned).expect("taken");
    let later = post(to, "/v1/validate", asked.as_bytes()).json();
    let later = later["receipt"].as_str().expect("a receipt").to_owned();
    assert!(check(&later, asked.as_bytes(), &published, now()).is_ok());
    assert_ne!(later.split('.').next(), receipt.split('.').next());
}

#[test]
fn without_the_wish_an_answer_has_the_bytes_that_it_ever_had() {
    let signer = Arc::new(Signer::new(&keys(1), Duration::from_secs(60)).expect("a signer"));
    let (to, _) = start_with(settings(), |state| state.receipts = Some(signer));
    let plain = post(address(), "/v1/validate", cart("").as_bytes()).body;
    assert_eq!(post(to, "/v1/validate", cart("").as_bytes()).body, plain);
    let no = cart(r#", "receipt": false"#);
    assert_eq!(post(to, "/v1/validate", no.as_bytes()).body, plain);
}

#[test]
fn a_service_without_a_key_says_so_and_others_refuse_the_wish() {
    let asked = cart(r#", "receipt": true"#);
    let refused = post(address(), "/v1/validate", asked.as_bytes());
    assert_eq!(refused.faults(), ["unusable /receipt"]);
    let keys = get(address(), "/.well-known/jwks.json").json();
    assert_eq!(keys, serde_json::json!({ "keys": [] }));
    let explain = format!(r#"{{"request": {asked}}}"#);
    let refused = post(address(), "/v1/explain", explain.as_bytes());
    assert_eq!(
        refused.faults(),
        ["unusable /request/receipt"],
        "{}",
        refused.text()
    );
    let deliver = cart(r#", "deliver_to": "tickets""#);
    let refused = post(address(), "/v1/validate", deliver.as_bytes());
    assert_eq!(refused.faults(), ["unknown-name /deliver_to"]);
}
