//! The examples: every operation has one, each is true, and each is of the shape that is promised.
//!
//! Nothing here writes an answer: `cargo run -- generate` does, so that a change shows in review.

use std::fs;
use std::path::{Path, PathBuf};

use boon::{Compiler, Schemas};
use kitproof::api::endpoint::Example;
use kitproof::api::{ENDPOINTS, Endpoint, document, examples};
use serde_json::{Value, json};

use crate::client::{Reply, get, post};
use crate::service::address;

/// Operations whose answer is no JSON, and the one whose answer is this document.
const WITHOUT_EXAMPLE: [&str; 2] = ["GET /docs", "GET /openapi.json"];

fn file(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("openapi/examples");
    folder.join(name)
}

fn read(name: &str) -> String {
    fs::read_to_string(file(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn ask(example: &Example) -> Reply {
    match example.request {
        Some(body) => post(address(), example.path, body.as_bytes()),
        None => get(address(), example.path),
    }
}

#[test]
fn every_example_is_answered_as_its_file_says() {
    for example in examples::all() {
        let reply = ask(&example);
        assert_eq!(reply.status, 200, "{}: {}", example.name, reply.text());
        let expected: Value = serde_json::from_str(example.answer).expect("JSON");
        assert_eq!(reply.json(), expected, "{}", example.name);
    }
}

/// The generator's test compares the committed bytes with fresh ones; this one compares them with
/// what the command line prints, which is another road to the same answer.
#[test]
fn the_command_line_gives_the_same_bytes() {
    let checks = examples::VALIDATE.iter().map(|example| ("check", example));
    let comparisons = examples::VERIFY.iter().map(|example| ("verify", example));
    for (command, example) in checks.chain(comparisons) {
        let printed = std::process::Command::new(env!("CARGO_BIN_EXE_kitproof"))
            .args([command, "--json", "--report"])
            .arg(file(&format!("{}.json", example.name)))
            .output()
            .expect("the program runs");
        assert!(printed.status.success(), "{}", example.name);
        let text = String::from_utf8(printed.stdout).expect("text");
        let committed = read(&format!("{}.answer.json", example.name));
        assert!(text == committed, "{}: {text}", example.name);
    }
}

#[test]
fn every_documented_operation_has_a_summary_a_description_and_examples() {
    let document = document::build(ENDPOINTS).expect("a document");
    let document: Value = serde_json::from_str(document.text()).expect("JSON");
    for endpoint in ENDPOINTS.iter().filter(|endpoint| endpoint.is_documented()) {
        let line = endpoint.line();
        let operation = operation(&document, endpoint);
        for member in ["summary", "description"] {
            let text = operation[member].as_str().unwrap_or_default();
            assert!(text.len() > 3, "{line} lacks a {member}");
        }
        if let Some(body) = operation.get("requestBody") {
            assert!(has_example(body), "{line} lacks a request to try");
        }
        let shown = has_example(&operation["responses"]["200"]);
        let excused = WITHOUT_EXAMPLE.contains(&line.as_str());
        assert!(shown != excused, "{line} lacks an answer to look at");
    }
}

fn operation<'a>(document: &'a Value, endpoint: &Endpoint) -> &'a Value {
    let method = endpoint.method().as_str().to_lowercase();
    &document["paths"][endpoint.path()][method]
}

fn has_example(body: &Value) -> bool {
    let media = body["content"].as_object();
    media.is_some_and(|media| media.values().any(|media| media.get("example").is_some()))
}

/// Held against the document's own schemas by an independent validator (crate boon).
#[test]
fn every_example_is_valid_by_the_schema_that_is_promised() {
    let document = document::build(ENDPOINTS).expect("a document");
    let document: Value = serde_json::from_str(document.text()).expect("JSON");
    let text = document["components"]["schemas"].to_string();
    let definitions: Value =
        serde_json::from_str(&text.replace("#/components/schemas/", "#/$defs/")).expect("JSON");
    for endpoint in ENDPOINTS {
        for example in of(endpoint) {
            let operation = operation(&document, endpoint);
            let body = &operation["responses"]["200"];
            holds(body, &definitions, example.answer, example.name);
            if let Some(request) = example.request {
                holds(
                    &operation["requestBody"],
                    &definitions,
                    request,
                    example.name,
                );
            }
        }
    }
}

/// All examples that are sent to this endpoint.
fn of(endpoint: &Endpoint) -> Vec<Example> {
    let own = endpoint.shown_example().map(|example| example.name);
    let all = examples::all().into_iter();
    all.filter(|example| Some(example.name) == own || example.path == endpoint.path())
        .collect()
}

fn holds(body: &Value, definitions: &Value, text: &str, name: &str) {
    let schema = body["content"]["application/json"]["schema"].to_string();
    let schema: Value =
        serde_json::from_str(&schema.replace("#/components/schemas/", "#/$defs/")).expect("JSON");
    let whole = json!({ "allOf": [schema], "$defs": definitions });
    let (mut schemas, mut compiler) = (Schemas::new(), Compiler::new());
    compiler
        .add_resource("schema.json", whole)
        .expect("a resource");
    let index = compiler
        .compile("schema.json", &mut schemas)
        .expect("a schema");
    let value: Value = serde_json::from_str(text).expect("JSON");
    if let Err(error) = schemas.validate(&value, index) {
        panic!("{name}: {error}");
    }
}
