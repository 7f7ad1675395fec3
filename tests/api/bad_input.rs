//! Requests to validate that nobody should send: each gets a clear problem or a verdict, never a 500.

use std::fmt::Write;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::client::{Reply, send};
use crate::service::address;

/// Far above what any of these takes, far below what a caller would wait for; tests run unoptimised
/// and beside each other.
const PATIENCE: Duration = Duration::from_secs(300);

fn post(body: &[u8]) -> Reply {
    let start = Instant::now();
    let headers = [("content-type", "application/json")];
    let reply = send(address(), "POST", "/v1/validate", &headers, body);
    assert!(start.elapsed() < PATIENCE, "{:?}", start.elapsed());
    assert!(reply.status < 500, "{}", reply.text());
    reply
}

fn verdict(body: &Value) -> String {
    let reply = post(body.to_string().as_bytes());
    assert_eq!(reply.status, 200, "{}", reply.text());
    reply.json()["verdict"].as_str().unwrap().to_owned()
}

/// The pointers of the faults of a request that cannot be used.
fn pointers(body: &Value) -> Vec<String> {
    let reply = post(body.to_string().as_bytes());
    assert_eq!(reply.status, 422, "{}", reply.text());
    let faults = reply.json()["faults"].as_array().unwrap().clone();
    faults
        .iter()
        .map(|fault| fault["pointer"].as_str().unwrap().to_owned())
        .collect()
}

fn cart(quantity: Value) -> Value {
    json!({"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": quantity}]})
}

#[test]
fn quantities_that_cannot_be_are_pointed_at() {
    for quantity in [
        json!(0),
        json!(-1),
        json!(1_u64 << 31),
        json!(1_u64 << 63),
        json!(1.5),
        json!("16"),
        json!(null),
        json!(1025),
    ] {
        assert_eq!(
            pointers(&cart(quantity.clone())),
            ["/kit/0/quantity"],
            "{quantity}"
        );
    }
    let two = json!({"board": "tarn", "kit": [{"module": "ERW-3R16-2x4", "quantity": 1000}, {"module": "ERW-3R16-2x4", "quantity": 25}]});
    assert_eq!(pointers(&two), [""], "more than 1,024 modules in all");
}

#[test]
fn an_empty_kit_gets_a_verdict() {
    assert_eq!(verdict(&json!({"board": "tarn"})), "does_not_fit");
    assert_eq!(
        verdict(&json!({"board": "tarn", "kit": []})),
        "does_not_fit"
    );
}

#[test]
fn a_thousand_modules_get_a_verdict() {
    assert_eq!(verdict(&cart(json!(1024))), "does_not_fit");
}

#[test]
fn slots_that_cannot_be_are_told() {
    let seat = |slot: &str| json!({"slot": slot, "module": "ERW-3R16-2x4"});
    assert_eq!(
        pointers(&json!({"board": "tarn", "population": [seat("Z9"), seat("A1"), seat("")]})),
        ["/population/0/slot", "/population/2/slot"]
    );
    let twice = json!({"board": "tarn", "population": [seat("A1"), seat("A1")]});
    let reply = post(twice.to_string().as_bytes());
    assert!(
        reply.text().contains("slot-taken-twice"),
        "{}",
        reply.text()
    );
    assert_eq!(reply.json()["allowed"], false);
}

#[test]
fn a_module_of_another_generation_is_refused() {
    let other = json!({"board": "tarn", "kit": [{"module": "ERW-4R32-2x4", "quantity": 2}]});
    let reply = post(other.to_string().as_bytes());
    assert_eq!(reply.json()["verdict"], "does_not_fit");
    assert!(reply.text().contains("generation-differs"));
}

#[test]
fn every_unknown_name_is_named_at_once_with_what_was_meant() {
    let body = json!({"board": "tarn", "processors": ["tarn-9", "empty"], "kit": [{"module": "ERW-3R16-2x5", "quantity": 2}],
        "population": [{"slot": "A11", "module": "ERW-3R16-2x4"}], "firmware": "beta"});
    assert_eq!(
        pointers(&body),
        [
            "/kit/0/module",
            "/population/0/slot",
            "/processors/0",
            "/firmware"
        ]
    );
    let reply = post(body.to_string().as_bytes());
    assert!(
        reply.json()["faults"][0]["close_matches"]
            .as_array()
            .unwrap()
            .contains(&json!("ERW-3R16-2x4"))
    );
}

#[test]
fn ten_thousand_lines_are_refused() {
    let lines: Vec<Value> = (0..10_000)
        .map(|_| json!({"module": "ERW-3R16-2x4", "quantity": 1}))
        .collect();
    let reply = post(
        json!({"board": "tarn", "kit": lines})
            .to_string()
            .as_bytes(),
    );
    assert!(matches!(reply.status, 400 | 413 | 422), "{}", reply.text());
}

#[test]
fn text_that_is_no_json_is_refused() {
    for body in [
        &b"\xff\xfe"[..],
        b"{\"board\": \"\xc3\x28\"}",
        b"{\"board\": NaN}",
        b"",
        b"[]",
        b"{\"board\": \"tarn\", \"board\": \"mere\"}",
    ] {
        let reply = post(body);
        assert!(
            matches!(reply.status, 400 | 422),
            "{body:?}: {}",
            reply.text()
        );
    }
    let reply = post(&vec![b' '; 5 << 20]);
    assert_eq!(reply.status, 413);
}

/// The demo board's record with other members.
fn inline(change: impl FnOnce(&mut Value)) -> Value {
    let entry = kitproof::catalogue::embedded::catalogue()
        .board("tarn")
        .unwrap();
    let mut record = serde_json::to_value(&entry.record).unwrap();
    change(&mut record);
    json!({"board": record, "kit": [{"module": "ERW-3R16-2x4", "quantity": 24}]})
}

#[test]
fn an_inline_board_without_channels_is_refused() {
    assert!(
        pointers(&inline(|board| board["channels"] = json!(0)))
            .contains(&"/board/channels".to_owned())
    );
    assert!(!pointers(&inline(|board| board["slots"] = json!([]))).is_empty());
    assert!(!pointers(&inline(|board| board["sockets"] = json!(65))).is_empty());
    assert!(
        pointers(&json!({"board": {}})).len() > 10,
        "every missing member is named"
    );
}

/// As large as a board may be: 64 sockets × 32 channels × 4 positions.
fn absurd(quantity: u32, modules: u32) -> Value {
    let mut body = inline(|board| {
        let mut slots = Vec::new();
        for (socket, channel) in
            (1..=64).flat_map(|socket| (1..=32).map(move |channel| (socket, channel)))
        {
            let labels: Vec<String> = (1..=4)
                .map(|position| format!("{socket}.{channel}.{position}"))
                .collect();
            slots.push(json!({"socket": socket, "channel": channel, "labels": labels, "drawn_at": [[0, 0], [1, 0], [2, 0], [3, 0]], "key": "top"}));
        }
        board["slots"] = json!(slots);
        (board["sockets"], board["channels"], board["positions"]) =
            (json!(64), json!(32), json!(4));
        board["nodes"] = json!(vec![1; 32]);
        board["socket_order"] = json!((1..=64).collect::<Vec<u8>>());
        let filling = &mut board["filling"];
        *filling = json!([filling[0]]);
        filling[0]["sockets_fitted"] = json!((1..=64).collect::<Vec<u8>>());
        filling[0]["position_order"] = json!([1, 2, 3, 4]);
        filling[0]["channel_order"] = json!((1..=32).collect::<Vec<u8>>());
        (board["protections"], board["interleave"]) = (json!([]), json!([]));
    });
    let line = |index: u32| {
        json!({"module": {"generation": "DDR3", "kind": "RDIMM", "capacity_mib": 16384, "package_ranks": 2, "stack_height": 1,
        "width": "x4", "rate_mts": 1600, "supply_mv": [1500], "name": format!("module {index}"), "part_number": format!("P{index}"),
        "height": "LP", "peak_power_mw": 5000}, "quantity": quantity})
    };
    body["kit"] = json!((0..modules).map(line).collect::<Vec<_>>());
    body
}

#[test]
fn the_largest_board_gets_a_verdict_or_a_problem() {
    for (quantity, modules) in [(64, 1), (1024, 1), (8, 8), (5, 200)] {
        let reply = post(absurd(quantity, modules).to_string().as_bytes());
        let mut told = String::new();
        let _ = write!(told, "{quantity} of each of {modules}: {}", reply.status);
        assert!(
            matches!(reply.status, 200 | 422),
            "{told}: {}",
            reply.text().chars().take(600).collect::<String>()
        );
    }
}

/// `code pointer` of each fault.
fn faults(to: &str, body: &Value) -> Vec<String> {
    let headers = [("content-type", "application/json")];
    let reply = send(address(), "POST", to, &headers, body.to_string().as_bytes());
    assert_eq!(reply.status, 422, "{}", reply.text());
    reply.faults()
}

#[test]
fn an_unknown_board_hides_no_unknown_module() {
    let body = json!({
        "board": "nope", "firmware": "beta",
        "kit": [{"module": "nope2", "quantity": 1}],
        "installed": [{"slot": "A1", "module": "nope3"}],
    });
    let own = [
        "unknown-name /board",
        "unknown-name /kit/0/module",
        "unknown-name /installed/0/module",
        "unusable /firmware",
    ];
    assert_eq!(faults("/v1/validate", &body), own);
    let body = json!({"board": "nope", "for_sale": [{"module": "nope2"}]});
    let own = ["unknown-name /board", "unknown-name /for_sale/0/module"];
    assert_eq!(faults("/v1/optimise", &body), own);
}

#[test]
fn a_fault_of_the_shape_hides_no_unknown_name() {
    let body = json!({"board": "tarnn", "block_on": ["blocer"], "kit": [{"module": "ERW-3R32-4x5", "quantity": 1}]});
    let own = [
        "unknown-value /block_on/0",
        "unknown-name /board",
        "unknown-name /kit/0/module",
    ];
    assert_eq!(faults("/v1/validate", &body), own);
    let own = own.map(|fault| fault.replace(" /", " /request/"));
    assert_eq!(faults("/v1/explain", &json!({"request": body})), own);
    let body = json!({
        "board": "tarn", "processors": ["tarn-9", "empty"], "protection": "mirror",
        "population": [{"slot": "Z9", "module": 4}],
    });
    let own = faults("/v1/validate", &body);
    let names: Vec<&String> = own
        .iter()
        .filter(|f| f.starts_with("unknown-name"))
        .collect();
    assert_eq!(
        names,
        [
            "unknown-name /population/0/slot",
            "unknown-name /processors/0"
        ]
    );
    assert!(
        own.contains(&"unknown-value /protection".to_owned()),
        "{own:?}"
    );
}
