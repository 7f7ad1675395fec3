//! Cases: a schema, a document, the faults that it must have.

#![allow(
    dead_code,
    reason = "the types are filled by serde and never looked into"
)]

use serde::Deserialize;
use serde_json::{Value, json};
use utoipa::{PartialSchema, ToSchema};

use crate::wirecheck::{Limits, Shapes, check};

/// `code pointer`, one line for each fault.
fn found(schema: &Value, document: &Value) -> Vec<String> {
    let shapes = Shapes::compile(schema, &Default::default()).unwrap();
    let text = serde_json::to_string_pretty(document).unwrap();
    let faults = check(text.as_bytes(), &shapes, &Limits::default()).unwrap();
    let line =
        |fault: &crate::wirecheck::Fault| format!("{} {}", fault.code.as_str(), fault.pointer);
    faults.list.iter().map(line).collect()
}

fn first(schema: &Value, document: &Value) -> crate::wirecheck::Fault {
    let shapes = Shapes::compile(schema, &Default::default()).unwrap();
    let text = document.to_string();
    let faults = check(text.as_bytes(), &shapes, &Limits::default()).unwrap();
    faults.list.into_iter().next().unwrap()
}

#[test]
fn names_every_fault_of_a_document_in_the_order_of_its_text() {
    let schema = json!({
        "type": "object", "additionalProperties": false, "required": ["board", "modules"],
        "properties": {
            "board": { "type": "string" },
            "modules": { "type": "array", "items": {
                "type": "object", "additionalProperties": false, "required": ["ranks"],
                "properties": {
                    "ranks": { "type": "integer", "minimum": 1, "maximum": 8 },
                    "kind": { "type": "string", "enum": ["RDIMM", "LRDIMM"] },
                },
            } },
        },
    });
    let text =
        br#"{ "boardd": 1, "modules": [ {"ranks": 9}, {"ranks": 2.0, "kind": "RDIM"}, 7, {} ] }"#;
    let shapes = Shapes::compile(&schema, &Default::default()).unwrap();
    let faults = check(text, &shapes, &Limits::default()).unwrap();
    let lines: Vec<String> = faults
        .list
        .iter()
        .map(|f| format!("{} {} {:?}", f.code.as_str(), f.pointer, f.close_matches))
        .collect();
    assert_eq!(
        lines,
        [
            "missing-member  []",
            "unknown-member /boardd [\"board\"]",
            "out-of-range /modules/0/ranks []",
            "not-an-integer /modules/1/ranks []",
            "unknown-value /modules/1/kind [\"RDIMM\"]",
            "wrong-type /modules/2 []",
            "missing-member /modules/3 []",
        ]
    );
}

#[test]
fn says_what_would_be_right() {
    let integer = json!({ "type": "integer", "minimum": 1, "maximum": 8 });
    assert_eq!(first(&integer, &json!(9)).hint.unwrap(), "allowed: 1 to 8");
    assert_eq!(first(&integer, &json!(4.0)).hint.unwrap(), "write `4`");
    assert_eq!(
        first(&integer, &json!(4.5)).hint.unwrap(),
        "give a whole number"
    );
    let fault = first(&json!({ "type": ["string", "null"] }), &json!([1]));
    assert_eq!(
        fault.message,
        "a string or `null` is expected, here is a list"
    );
    let fault = first(
        &json!({ "type": "string", "enum": ["DDR3", "DDR4"] }),
        &json!("DDR6"),
    );
    assert_eq!(fault.hint.unwrap(), "one of `DDR3`, `DDR4`");
}

#[test]
fn bounds_lists_and_texts() {
    let list =
        json!({ "type": "array", "minItems": 1, "maxItems": 2, "items": { "type": "null" } });
    assert_eq!(found(&list, &json!([])), ["wrong-count "]);
    assert_eq!(found(&list, &json!([1, 2, 3])), ["wrong-count "]);
    let text = json!({ "type": "string", "minLength": 1, "maxLength": 3 });
    assert_eq!(found(&text, &json!("äöü")), Vec::<String>::new());
    assert_eq!(found(&text, &json!("äöüß")), ["wrong-length "]);
    assert_eq!(found(&text, &json!("")), ["wrong-length "]);
}

#[test]
fn numbers_beyond_any_integer_are_out_of_range_and_not_lost() {
    let schema = json!({ "type": "integer", "format": "uint64" });
    let shapes = Shapes::compile(&schema, &Default::default()).unwrap();
    let code = |text: &str| {
        let faults = check(text.as_bytes(), &shapes, &Limits::default()).unwrap();
        faults.list.first().map(|fault| fault.code.as_str())
    };
    assert_eq!(code("9007199254740991"), None);
    assert_eq!(code("9007199254740992"), Some("out-of-range"));
    assert_eq!(code("18446744073709551616"), Some("out-of-range"));
    assert_eq!(code(&"9".repeat(400)), Some("out-of-range"));
    assert_eq!(code("-0"), Some("not-an-integer"));
    assert_eq!(code("1e400"), Some("not-an-integer"));
    assert_eq!(code("1e3"), Some("not-an-integer"));
    let any = json!({ "type": "number" });
    let shapes = Shapes::compile(&any, &Default::default()).unwrap();
    let faults = check(b"1e400", &shapes, &Limits::default()).unwrap();
    assert_eq!(faults.list[0].code.as_str(), "out-of-range");
}

/// The three ways in which serde writes an enum, and what it makes of them.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(tag = "by", rename_all = "kebab-case", deny_unknown_fields)]
enum Tagged {
    Id {
        id: String,
    },
    Label {
        text: String,
        #[serde(default)]
        lines: Option<u8>,
    },
}

#[derive(Debug, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum Keyed {
    None,
    Value(u32),
    Slots { count: u8 },
}

#[derive(Debug, Deserialize, ToSchema)]
#[serde(untagged)]
enum Either {
    Number(u16),
    Words(Vec<String>),
}

#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct Sample {
    tagged: Tagged,
    keyed: Keyed,
    either: Either,
    maybe: Option<Keyed>,
    #[serde(default)]
    note: Option<String>,
}

fn sample_shapes() -> Shapes {
    let mut list = Vec::new();
    Sample::schemas(&mut list);
    type Made = utoipa::openapi::RefOr<utoipa::openapi::Schema>;
    let value = |schema: Made| serde_json::to_value(schema).unwrap();
    let definitions = list.into_iter().map(|(name, schema)| (name, value(schema)));
    Shapes::compile(&value(Sample::schema()), &definitions.collect()).unwrap()
}

fn sample(document: &Value) -> Vec<String> {
    let text = serde_json::to_string_pretty(document).unwrap();
    let faults = check(text.as_bytes(), &sample_shapes(), &Limits::default()).unwrap();
    let ours: Vec<String> = faults
        .list
        .iter()
        .map(|fault| format!("{} {}", fault.code.as_str(), fault.pointer))
        .collect();
    let serde = serde_json::from_str::<Sample>(&text);
    assert_eq!(
        ours.is_empty(),
        serde.is_ok(),
        "{document} {ours:?} {serde:?}"
    );
    ours
}

#[test]
fn agrees_with_serde_about_every_kind_of_enum() {
    let good = json!({
        "tagged": { "by": "label", "text": "2Rx4", "lines": 3 },
        "keyed": { "slots": { "count": 2 } }, "either": ["a"], "maybe": "none",
    });
    let with = |member: &str, value: Value| {
        let mut document = good.clone();
        document[member] = value;
        sample(&document)
    };
    assert_eq!(sample(&good), Vec::<String>::new());
    assert_eq!(with("maybe", Value::Null), Vec::<String>::new());
    assert_eq!(with("keyed", json!({ "value": 7 })), Vec::<String>::new());
    assert_eq!(with("keyed", json!("none")), Vec::<String>::new());
    assert_eq!(with("either", json!(65_535)), Vec::<String>::new());

    assert_eq!(
        with("tagged", json!({ "text": "x" })),
        ["missing-member /tagged"]
    );
    assert_eq!(
        with("tagged", json!({ "by": "lable" })),
        ["unknown-value /tagged/by"]
    );
    assert_eq!(
        with("tagged", json!({ "by": 1 })),
        ["wrong-type /tagged/by"]
    );
    assert_eq!(
        with("tagged", json!({ "by": "id", "id": 3, "text": "x" })),
        ["wrong-type /tagged/id", "unknown-member /tagged/text"]
    );
    assert_eq!(
        with("tagged", json!({ "by": "label", "text": "", "lines": 256 })),
        ["out-of-range /tagged/lines"]
    );
    assert_eq!(with("keyed", json!({})), ["missing-member /keyed"]);
    assert_eq!(
        with("keyed", json!({ "slot": {} })),
        ["unknown-member /keyed/slot"]
    );
    assert_eq!(
        with("keyed", json!({ "value": 1, "slots": {} })),
        ["too-many-members /keyed"]
    );
    assert_eq!(
        with("keyed", json!({ "slots": { "count": -1 } })),
        ["out-of-range /keyed/slots/count"]
    );
    assert_eq!(with("keyed", json!("nonne")), ["unknown-value /keyed"]);
    assert_eq!(with("keyed", json!(3)), ["wrong-type /keyed"]);
    assert_eq!(with("either", json!(65_536)), ["out-of-range /either"]);
    assert_eq!(with("either", json!([1])), ["wrong-type /either/0"]);
    assert_eq!(with("either", json!({})), ["wrong-type /either"]);
    assert_eq!(with("maybe", json!("x")), ["unknown-value /maybe"]);
    assert_eq!(with("note", json!(1)), ["wrong-type /note"]);
}

#[test]
fn a_text_that_needs_a_digit_has_one_or_is_a_known_word() {
    let firmware = json!({ "anyOf": [
        { "type": "string", "pattern": "[0-9]" },
        { "type": "string", "enum": ["any"] },
    ] });
    for good in ["2.4", "any", "beta 3"] {
        assert!(found(&firmware, &json!(good)).is_empty(), "{good}");
    }
    assert_eq!(found(&firmware, &json!("anny")), ["unknown-value "]);
    let fault = first(&firmware, &json!("anny"));
    assert_eq!(fault.close_matches, ["any"]);
    assert_eq!(fault.hint.unwrap(), "a text with a digit in it, or `any`");
    let plain = json!({ "type": "string", "pattern": "[0-9]" });
    let fault = first(&plain, &json!("x"));
    assert_eq!(fault.hint.unwrap(), "a text with a digit in it");
}
