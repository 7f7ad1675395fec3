//! The committed JSON Schemas, held against an independent validator.

use boon::{Compiler, SchemaIndex, Schemas};
use kitproof::catalogue::embedded::FILES;
use kitproof::catalogue::load::Content;
use serde_json::{Value, json};
use std::path::Path;

use crate::support::{board_faults, demo, places, set, some_places};

fn committed(name: &str) -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("openapi/schemas/{name}.json"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

/// The validator's own reading of a schema (crate boon, JSON Schema 2020-12).
struct Validator(Schemas, SchemaIndex);

impl Validator {
    fn of(schema: Value) -> Self {
        let (mut schemas, mut compiler) = (Schemas::new(), Compiler::new());
        compiler.add_resource("schema.json", schema).unwrap();
        let index = compiler.compile("schema.json", &mut schemas).unwrap();
        Self(schemas, index)
    }

    fn takes(&self, document: &Value) -> bool {
        self.0.validate(document, self.1).is_ok()
    }
}

#[test]
fn every_demo_file_is_valid_by_the_committed_schema() {
    let (board, module) = (
        Validator::of(committed("board")),
        Validator::of(committed("module")),
    );
    for file in FILES {
        let validator = match file.content {
            Content::Board => &board,
            Content::Modules => &module,
            other => panic!("{other:?} in the demo catalogue"),
        };
        assert!(validator.takes(&demo(file.name)), "{}", file.name);
    }
}

/// Whatever the schema refuses, loading refuses; and it refuses the usual slips.
#[test]
fn the_schema_and_the_loader_refuse_the_same_slips() {
    let validator = Validator::of(committed("board"));
    for board in ["beck", "tarn", "firth"].map(|id| demo(&format!("boards/{id}.json"))) {
        for place in some_places(&board) {
            for wrong in [json!(null), json!("nonsense"), json!(-1), json!({"x": 1})] {
                let mut changed = board.clone();
                set_or_replace(&mut changed, &place, wrong.clone());
                if !validator.takes(&changed) {
                    assert!(!board_faults(&changed).is_empty(), "{place} {wrong}");
                }
            }
        }
    }
    let mut unknown = demo("boards/tarn.json");
    set(&mut unknown, "/rank_bugdet", json!(8));
    assert!(!validator.takes(&unknown));
    let mut missing = demo("boards/tarn.json");
    missing.as_object_mut().unwrap().remove("height");
    assert!(!validator.takes(&missing));
}

fn set_or_replace(document: &mut Value, place: &str, value: Value) {
    if let Some(here) = document.pointer_mut(place) {
        *here = value;
    }
}

/// Follows references of a document to what they say.
fn resolved<'s>(schema: &'s Value, root: &'s Value) -> &'s Value {
    match schema.get("$ref").and_then(Value::as_str) {
        Some(path) => resolved(root.pointer(path.trim_start_matches('#')).unwrap(), root),
        None => schema,
    }
}

/// Whether a member, what it refers to, or one of its alternatives has a word.
fn told(schema: &Value, word: &str, root: &Value) -> bool {
    let own = schema.get(word).is_some() || resolved(schema, root).get(word).is_some();
    let arms = ["oneOf", "anyOf"]
        .iter()
        .filter_map(|name| schema.get(*name)?.as_array());
    let items = schema.get("items");
    own || items.is_some_and(|items| told(items, word, root))
        || arms.flatten().any(|arm| told(arm, word, root))
}

#[test]
fn every_member_has_a_description_and_an_example() {
    for name in ["board", "module"] {
        let root = committed(name);
        let mut members = 0;
        for place in places(&root) {
            let schema = root.pointer(&place).unwrap();
            let Some(Value::Object(properties)) = schema.get("properties") else {
                continue;
            };
            if properties.len() == 1 && place.contains("/oneOf/") {
                // The only member of an alternative is told by the alternative, and the example by
                // the whole.
                assert!(schema.get("description").is_some(), "{place}");
                continue;
            }
            for (member, schema) in properties {
                assert!(told(schema, "description", &root), "{place}/{member}");
                assert!(told(schema, "examples", &root), "{place}/{member}");
                members += 1;
            }
        }
        assert!(members > 20, "{name}: {members}");
    }
}

#[test]
fn every_example_is_valid_by_its_own_schema() {
    for name in ["board", "module"] {
        let root = committed(name);
        for place in places(&root) {
            let schema = root.pointer(&place).unwrap();
            let Some(Value::Array(examples)) = schema.get("examples") else {
                continue;
            };
            let mut own = schema.clone();
            own["$defs"] = root["$defs"].clone();
            let validator = Validator::of(own);
            for example in examples {
                assert!(validator.takes(example), "{place}: {example}");
            }
        }
    }
}
