//! The document as a whole.

use super::*;
use crate::api::ENDPOINTS;

fn document() -> Value {
    serde_json::from_str(build(ENDPOINTS).unwrap().text()).unwrap()
}

fn operations(document: &Value) -> Vec<(String, &Value)> {
    let paths = document["paths"].as_object().unwrap();
    let all = paths.iter().flat_map(|(path, item)| {
        let methods = item.as_object().unwrap().iter();
        methods.map(move |(method, operation)| (format!("{method} {path}"), operation))
    });
    all.collect()
}

#[test]
fn every_documented_endpoint_is_in_the_document_and_nothing_else() {
    let document = document();
    let mut shown: Vec<String> = operations(&document)
        .into_iter()
        .map(|(line, _)| line)
        .collect();
    let documented = ENDPOINTS.iter().filter(|endpoint| endpoint.is_documented());
    let mut listed: Vec<String> = documented
        .map(|endpoint| {
            let method = endpoint.method().as_str().to_lowercase();
            format!("{method} {}", endpoint.path())
        })
        .collect();
    shown.sort();
    listed.sort();
    assert_eq!(shown, listed);
}

#[test]
fn every_operation_and_every_answer_is_described() {
    let tags: Vec<&str> = TAGS.iter().map(|(name, _)| *name).collect();
    let document = document();
    for (line, operation) in operations(&document) {
        for member in ["summary", "description", "operationId"] {
            let text = operation[member].as_str().unwrap_or_default();
            assert!(text.len() > 3, "{line} has no {member}");
        }
        let tag = operation["tags"][0].as_str().unwrap_or_default();
        assert!(tags.contains(&tag), "{line} has the unknown tag {tag}");
        for (status, answer) in operation["responses"].as_object().unwrap() {
            let described = answer.get("$ref").is_some()
                || answer["description"]
                    .as_str()
                    .is_some_and(|d| !d.is_empty());
            assert!(described, "{line} does not describe {status}");
        }
    }
}

#[test]
fn states_licence_version_servers_and_that_a_key_may_be_needed() {
    let document = document();
    assert!(document["openapi"].as_str().unwrap().starts_with("3.1"));
    assert_eq!(
        document["info"]["license"]["identifier"],
        "MIT OR Apache-2.0"
    );
    assert_eq!(document["info"]["version"], env!("CARGO_PKG_VERSION"));
    assert_eq!(document["security"], json!([{}, {"key": []}]));
    assert_eq!(document["servers"][0]["url"], "/");
}

#[test]
fn every_integer_is_bounded() {
    fn check(value: &Value, at: &str) {
        match value {
            Value::Object(members) => {
                let integer = members.get("type").is_some_and(|t| {
                    t == "integer" || t.as_array().is_some_and(|t| t.contains(&json!("integer")))
                });
                if integer {
                    assert!(
                        members.contains_key("minimum") && members.contains_key("maximum"),
                        "{at}"
                    );
                }
                members
                    .iter()
                    .for_each(|(name, member)| check(member, &format!("{at}/{name}")));
            }
            Value::Array(elements) => elements.iter().for_each(|element| check(element, at)),
            _ => {}
        }
    }
    check(&document(), "");
}

#[test]
fn is_the_same_each_time() {
    assert_eq!(build(ENDPOINTS), build(ENDPOINTS));
}

#[test]
fn a_component_stands_alone_as_a_schema_file() {
    let document = build(ENDPOINTS).unwrap();
    let schema = schema_file(&document, "Problem").unwrap();
    assert_eq!(schema["$ref"], "#/$defs/Problem");
    assert!(schema["$defs"]["Fault"].is_object());
    assert!(!schema.to_string().contains("#/components"));
    assert_eq!(schema_file(&document, "Nothing"), None);
}

/// Every request is held against its schema, so each must be one that can be compiled. `allOf` comes
/// from flattened or wrapped types, of which serde and the schema disagree about unknown members.
#[test]
fn every_request_schema_can_be_checked_against() {
    let document = document();
    let schemas = document["components"]["schemas"].as_object().unwrap();
    let definitions = schemas.clone().into_iter().collect();
    for (line, operation) in operations(&document) {
        let bodies = operation["requestBody"]["content"].as_object();
        for (kind, media) in bodies.into_iter().flatten() {
            let schema = &media["schema"];
            let shapes = crate::wirecheck::Shapes::compile(schema, &definitions);
            assert!(shapes.is_ok(), "{line} {kind}: {shapes:?}");
            let name = schema["$ref"]
                .as_str()
                .and_then(|path| path.rsplit('/').next());
            let name = name.unwrap_or_default();
            let whole = tidy::reachable(&document["components"]["schemas"], name).to_string();
            assert!(!whole.contains("\"allOf\""), "{line} {kind} uses allOf");
        }
    }
}

#[test]
fn every_component_is_referred_to() {
    let document = document();
    let schemas = document["components"]["schemas"].as_object().unwrap();
    let text = document.to_string();
    for name in schemas.keys() {
        let reference = format!("\"#/components/schemas/{name}\"");
        assert!(text.contains(&reference), "{name} is copied or not used");
    }
}
