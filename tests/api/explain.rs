//! `POST /v1/explain` over HTTP: shape, forms and faults.

use serde_json::{Value, json};

use crate::client::{Reply, post, send};
use crate::service::address;

fn explain(body: &Value) -> Reply {
    post(address(), "/v1/explain", body.to_string().as_bytes())
}

#[test]
fn a_refused_cart_is_explained_by_what_blocks_it() {
    let cart = json!({"board": "tarn", "kit": [{"module": "ERW-3R32-4x4", "quantity": 24}]});
    let answer = explain(&json!({"request": cart})).json();
    assert_eq!(answer["verdict"], "does_not_fit");
    let root = &answer["nodes"][answer["roots"][0].as_u64().unwrap() as usize];
    let because = root["because"].as_array().unwrap();
    let rule =
        |node: &Value| answer["nodes"][node.as_u64().unwrap() as usize]["finding"]["rule"].clone();
    assert!(
        because
            .iter()
            .any(|node| rule(node) == "rank-budget-exceeded")
    );
}

#[test]
fn the_faults_of_the_request_point_into_the_body() {
    let reply = explain(&json!({"request": {"board": "tarnn"}}));
    assert_eq!(reply.status, 422);
    assert_eq!(reply.json()["faults"][0]["pointer"], "/request/board");
    let reply = explain(&json!({"about": "verdict"}));
    assert_eq!(reply.status, 422, "{}", reply.text());
}

#[test]
fn plain_text_comes_where_it_is_asked_for() {
    let cart = json!({"board": "tarn", "kit": [{"module": "ERW-3R32-4x4", "quantity": 24}]});
    let body = json!({"request": cart}).to_string();
    let headers = [
        ("content-type", "application/json"),
        ("accept", "text/plain"),
    ];
    let reply = send(address(), "POST", "/v1/explain", &headers, body.as_bytes());
    assert_eq!(reply.status, 200);
    assert_eq!(
        reply.header("content-type"),
        Some("text/plain; charset=utf-8")
    );
    assert!(reply.text().starts_with("It does not fit.\n"));
}
