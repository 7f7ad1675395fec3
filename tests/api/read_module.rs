//! `POST /v1/read/module`, and what a file holds on the command line.

use serde_json::{Value, json};

use crate::client::{Reply, post, send};
use crate::service::address;

const HEX: &str = include_str!("../fixtures/spd/syn_ddr3_rdimm_16g_2rx4_1600_135v.hex");
const BAD_CRC: &str = include_str!("../fixtures/spd/syn_ddr4_rdimm_64g_2rx4_3200_badcrc.hex");
const STACKED: &str = include_str!("../fixtures/spd/syn_ddr4_3dsrdimm_128g_2s4rx4_2666.hex");

fn read(body: &Value) -> Reply {
    post(address(), "/v1/read/module", body.to_string().as_bytes())
}

fn raw(kind: &str, body: &[u8]) -> Reply {
    send(
        address(),
        "POST",
        "/v1/read/module",
        &[("content-type", kind)],
        body,
    )
}

/// The bytes of a dump with an offset before each line.
fn bytes_of(dump: &str) -> Vec<u8> {
    let words = dump
        .lines()
        .flat_map(|line| line.split_whitespace().skip(1));
    words
        .map(|word| u8::from_str_radix(word, 16).expect("a byte"))
        .collect()
}

fn standing<'a>(answer: &'a Value, member: &str) -> &'a Value {
    let facts = answer["facts"].as_array().expect("facts");
    let fact = facts.iter().find(|fact| fact["member"] == member);
    fact.unwrap_or_else(|| panic!("no {member}"))
}

#[test]
fn a_label_becomes_a_record_with_the_standing_of_each_fact() {
    let answer = read(&json!({ "label": "32gb 2rx4 pc4-3200aa-rb2-12" })).json();
    assert_eq!(
        (&answer["source"], &answer["sound"]),
        (&json!("label"), &json!(true))
    );
    assert_eq!(answer["label"], "32GB 2Rx4 PC4-3200AA-RB2-12");
    assert_eq!(answer["module"]["capacity_mib"], 32768);
    assert_eq!(standing(&answer, "capacity_mib")["standing"], "read");
    assert_eq!(standing(&answer, "die_gbit")["standing"], "derived");
    assert_eq!(standing(&answer, "height")["standing"], "unknown");
    assert_eq!(answer["facts"].as_array().map(Vec::len), Some(17));
}

#[test]
fn the_record_that_comes_back_is_one_that_a_request_takes() {
    let module = read(&json!({ "spd": { "hex": STACKED } })).json()["module"].clone();
    let body =
        json!({ "board": "mere", "firmware": "9.9", "kit": [{ "module": module, "quantity": 8 }] });
    let reply = post(address(), "/v1/validate", body.to_string().as_bytes());
    assert_eq!(reply.status, 200, "{}", reply.text());
    assert_eq!(
        reply.json()["placement"]["slots"].as_array().map(Vec::len),
        Some(8)
    );
}

#[test]
fn a_typo_is_answered_with_what_was_meant_and_hangs_on_no_fact() {
    let reply = read(&json!({ "label": "32GB 2Rx4 PC4-32O0AA-RB2-12" }));
    let answer = reply.json();
    assert_eq!((reply.status, &answer["sound"]), (200, &json!(false)));
    assert_eq!(answer["module"].get("rate_mts"), None);
    assert_eq!(standing(&answer, "rate_mts")["likely"], "3200 MT/s");
    assert_eq!(answer["label"], "32GB 2Rx4 PC4-3200AA-RB2-12");
    let note = &answer["notes"][0];
    assert_eq!(
        (&note["code"], &note["weight"]),
        (&json!("label-rate-misread"), &json!("fault"))
    );
    assert_eq!(note["params"]["meant"]["text"], "3200AA");
}

#[test]
fn an_image_reads_the_same_in_every_form() {
    use base64::Engine;
    let bytes = bytes_of(HEX);
    let base64 = base64::engine::general_purpose::STANDARD.encode(&bytes);
    let answer = read(&json!({ "spd": { "hex": HEX } })).json();
    let module = &answer["module"];
    assert_eq!(answer["source"], "spd");
    assert_eq!(
        (&module["kind"], &module["package_ranks"]),
        (&json!("RDIMM"), &json!(2))
    );
    assert_eq!(module["supply_mv"], json!([1350, 1500]));
    assert_eq!(
        (&module["height"], &module["stack_height"]),
        (&json!("LP"), &json!(1))
    );
    assert_eq!(module["timing"]["tck_min_ps"], 1250);
    assert_eq!(read(&json!({ "spd": { "base64": base64 } })).json(), answer);
    assert_eq!(raw("text/plain", HEX.as_bytes()).json(), answer);
    assert_eq!(
        raw("text/plain; charset=utf-8", HEX.as_bytes()).json(),
        answer
    );
    assert_eq!(raw("application/octet-stream", &bytes).json(), answer);
}

#[test]
fn a_stack_counts_package_ranks_and_dies_apart() {
    let module = read(&json!({ "spd": { "hex": STACKED } })).json()["module"].clone();
    assert_eq!(
        (&module["package_ranks"], &module["stack_height"]),
        (&json!(2), &json!(4))
    );
}

#[test]
fn what_stands_under_a_wrong_checksum_is_not_used() {
    let answer = read(&json!({ "spd": { "hex": BAD_CRC } })).json();
    assert_eq!(answer["sound"], false);
    assert_eq!(answer["module"].get("capacity_mib"), None);
    assert_eq!(standing(&answer, "capacity_mib")["standing"], "assumed");
    assert_eq!(standing(&answer, "capacity_mib")["likely"], "65536 MiB");
}

#[test]
fn a_label_may_come_as_plain_text() {
    let answer = raw("text/plain", b"16GB 2Rx4 PC3L-12800R-11-12-E2\n").json();
    assert_eq!(answer["module"]["supply_mv"], json!([1350, 1500]));
}

#[test]
fn what_tells_nothing_is_refused() {
    assert_eq!(
        read(&json!({ "label": "hello" })).faults(),
        ["unusable /label"]
    );
    assert_eq!(
        read(&json!({ "spd": { "hex": "zz" } })).faults(),
        ["unusable /spd/hex"]
    );
    assert_eq!(
        read(&json!({ "spd": { "base64": "a" } })).faults(),
        ["unusable /spd/base64"]
    );
    assert_eq!(
        read(&json!({ "spd": { "base64": "AAAA" } })).faults(),
        ["unusable /spd/base64"]
    );
    for (kind, body) in [
        ("text/plain", &b"hello"[..]),
        ("text/plain", b""),
        ("application/octet-stream", &[0; 256]),
    ] {
        let reply = raw(kind, body);
        assert_eq!(
            (reply.status, reply.code().as_str()),
            (422, "nothing-readable"),
            "{body:?}"
        );
    }
}

#[test]
fn other_shapes_and_types_are_refused() {
    assert_eq!(
        read(&json!({ "lable": "x" })).faults(),
        ["unknown-member /lable"]
    );
    let both = json!({ "label": "x", "spd": { "hex": "00" } });
    assert_eq!(read(&both).faults(), ["too-many-members "]);
    assert_eq!(
        read(&json!({ "spd": { "hex": 1 } })).faults(),
        ["wrong-type /spd/hex"]
    );
    let reply = raw("application/xml", b"<label/>");
    assert_eq!(reply.code(), "unsupported-media-type");
    assert_eq!(
        reply.header("accept"),
        Some("application/json, text/plain, application/octet-stream")
    );
    assert_eq!(
        raw("text/plain; charset=latin1", b"x").code(),
        "unsupported-media-type"
    );
    let large = vec![b'0'; (1 << 20) + 1];
    assert_eq!(raw("text/plain", &large).code(), "body-too-large");
}
