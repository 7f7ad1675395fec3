//! No member of a board record that nothing says: each is used by a demo board or by a board of the
//! published tables, with a value that limits something. Rules are held by `tests/rules`.

use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use crate::support::boards;

/// The definition of the schema that a member belongs to, and its name.
type Member = (String, String);

fn json(path: &Path) -> Value {
    serde_json::from_slice(&fs::read(path).unwrap()).unwrap()
}

/// Boards of the published tables.
fn table_boards() -> Vec<Value> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/facts/tables");
    let files = fs::read_dir(folder).unwrap();
    files
        .filter_map(|file| json(&file.unwrap().path())["boards"].as_array().cloned())
        .flatten()
        .collect()
}

/// The other shapes that a schema leaves open.
fn arms(schema: &Value) -> impl Iterator<Item = &Value> {
    let lists = ["oneOf", "anyOf", "allOf"].into_iter();
    lists
        .filter_map(|name| schema.get(name)?.as_array())
        .flatten()
}

/// Every member that a definition has in one of its shapes.
fn members_of(name: &str, schema: &Value, members: &mut BTreeSet<Member>) {
    if let Some(properties) = schema.get("properties").and_then(Value::as_object) {
        members.extend(properties.keys().map(|key| (name.to_owned(), key.clone())));
    }
    for arm in arms(schema) {
        members_of(name, arm, members);
    }
}

/// Whether a value says no more than that there is nothing to say.
fn says_nothing(value: &Value) -> bool {
    match value {
        Value::String(word) => {
            ["", "none", "unknown", "any", "all", "allowed", "by_rows"].contains(&word.as_str())
        }
        Value::Array(list) => list.is_empty(),
        Value::Object(members) => members.values().all(says_nothing),
        Value::Bool(on) => !on,
        Value::Null => true,
        Value::Number(_) => false,
    }
}

/// Notes the members of a document that say something.
fn note(name: &str, schema: &Value, value: &Value, root: &Value, said: &mut BTreeSet<Member>) {
    if let Some(path) = schema.get("$ref").and_then(Value::as_str) {
        let name = path.rsplit('/').next().unwrap();
        let schema = root.pointer(path.trim_start_matches('#')).unwrap();
        return note(name, schema, value, root, said);
    }
    for arm in arms(schema) {
        note(name, arm, value, root, said);
    }
    match value {
        Value::Array(list) => {
            for element in list {
                note(name, &schema["items"], element, root, said);
            }
        }
        Value::Object(members) => {
            for (key, value) in members {
                let Some(schema) = schema["properties"].get(key) else {
                    continue;
                };
                if !says_nothing(value) {
                    said.insert((name.to_owned(), key.clone()));
                }
                note(name, schema, value, root, said);
            }
        }
        _ => {}
    }
}

#[test]
fn every_member_of_a_board_record_says_something_in_a_demo_board_or_a_published_table() {
    let schema = Path::new(env!("CARGO_MANIFEST_DIR")).join("openapi/schemas/board.json");
    let root = json(&schema);
    let mut members = BTreeSet::new();
    for (name, definition) in root["$defs"].as_object().unwrap() {
        members_of(name, definition, &mut members);
    }
    let mut said = BTreeSet::new();
    for board in boards().into_iter().chain(table_boards()) {
        note("BoardRecord", &root, &board, &root, &mut said);
    }
    assert!(members.len() > 80, "only {} members", members.len());
    let never: Vec<&Member> = members.difference(&said).collect();
    assert!(
        never.is_empty(),
        "{} of {} members: {never:?}",
        never.len(),
        members.len()
    );
}
