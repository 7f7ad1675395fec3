//! Modules of a request by the text of their labels.

use serde_json::{Value, json};

use crate::client::{Reply, post};
use crate::service::address;

fn validate(body: &Value) -> Reply {
    post(address(), "/v1/validate", body.to_string().as_bytes())
}

fn cart(board: &str, label: &str, quantity: u32) -> Reply {
    validate(
        &json!({ "board": board, "kit": [{ "module": { "label": label }, "quantity": quantity }] }),
    )
}

#[test]
fn a_label_gives_the_verdict_that_the_same_facts_give() {
    let label = cart("mere", "32GB 2Rx4 PC4-3200AA-RB2-12", 16).json();
    let facts = json!({ "generation": "DDR4", "kind": "RDIMM", "capacity_mib": 32768,
        "package_ranks": 2, "stack_height": 1, "width": "x4", "rate_mts": 3200, "cas_latency": 22,
        "name": "32GB 2Rx4 PC4-3200AA-RB2-12" });
    let facts = json!({ "board": "mere", "kit": [{ "module": facts, "quantity": 16 }] });
    let facts = validate(&facts).json();
    for member in ["verdict", "outcome", "placement", "findings"] {
        assert_eq!(label[member], facts[member], "{member}");
    }
    assert_eq!(
        label["placement"]["slots"][0]["module"],
        "32GB 2Rx4 PC4-3200AA-RB2-12"
    );
    assert_eq!(label.get("notes"), None, "a whole label needs no note");
}

#[test]
fn a_label_of_another_generation_does_not_fit() {
    let answer = cart("mere", "16GB 2Rx4 PC3L-12800R-11-12-E2", 2).json();
    assert_eq!(answer["verdict"], "does_not_fit");
}

#[test]
fn what_a_label_leaves_open_is_noted_and_leaves_the_verdict_open() {
    let answer = cart("mere", "64GB 4Rx4 PC4-2666V-L", 2).json();
    assert_eq!(answer["verdict"], "undecided", "{answer:#}");
    let notes = answer["notes"].as_array().expect("notes");
    let stack = notes.iter().find(|note| {
        note["code"] == "fact-assumed" && note["params"]["fact"]["text"] == "height of the stacks"
    });
    let stack = stack.expect("a note on the stacks");
    assert_eq!(stack["pointer"], "/kit/0/module/label");
    assert_eq!(
        stack["sentence"],
        "The height of the stacks is likely 1, but that is not sure, so it counts as not known."
    );
}

#[test]
fn a_typo_is_refused_with_pointer_what_was_found_and_what_was_meant() {
    let body = json!({ "board": "mere",
        "kit": [{ "module": "ERW-4R32-2x4", "quantity": 1 }, { "module": { "label": "32GB 2Rx4 PC4-32O0AA-RB2-12" }, "quantity": 1 }],
        "installed": [{ "slot": "A1", "module": { "label": "32GB 2Rx5 PC4-3200AA-RB2-12" } }] });
    let reply = validate(&body);
    assert_eq!((reply.status, reply.code().as_str()), (422, "invalid-body"));
    assert_eq!(
        reply.faults(),
        [
            "unusable /kit/1/module/label",
            "unusable /installed/0/module/label"
        ]
    );
    let problem = reply.json();
    assert_eq!(
        problem["faults"][0]["message"],
        "the speed `32O0AA` probably reads `3200AA`"
    );
    assert_eq!(
        problem["faults"][0]["close_matches"],
        json!(["32GB 2Rx4 PC4-3200AA-RB2-12"])
    );
    assert!(
        problem["faults"][1]["message"]
            .as_str()
            .expect("text")
            .contains("`2Rx5`")
    );
}

#[test]
fn text_that_is_no_label_is_refused() {
    let reply = cart("mere", "two of the big ones", 1);
    assert_eq!(reply.faults(), ["unusable /kit/0/module/label"]);
    assert_eq!(
        reply.json()["faults"][0]["message"],
        "no module label can be read from `two of the big ones`"
    );
    assert_eq!(
        cart("mere", "", 1).faults(),
        ["wrong-length /kit/0/module/label"]
    );
    let both = json!({ "board": "mere", "kit": [{ "quantity": 1,
        "module": { "label": "32GB 2Rx4 PC4-3200AA-RB2-12", "rate_mts": 3200 } }] });
    assert_eq!(validate(&both).status, 422);
}

#[test]
fn equal_labels_share_their_notes() {
    let module = json!({ "label": "64GB 4Rx4 PC4-2666V-L" });
    let one = json!({ "board": "mere", "population": [{ "slot": "A2", "module": module }] });
    let two = json!({ "board": "mere", "population": [{ "slot": "A2", "module": module }, { "slot": "B2", "module": module }] });
    assert_eq!(
        validate(&one).json()["notes"],
        validate(&two).json()["notes"]
    );
}
