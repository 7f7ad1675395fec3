//! Finishing touches on the OpenAPI document, on its JSON form.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Map, Value, json};

use super::super::endpoint::Endpoint;
use super::super::problem::{Code, PROBLEM_JSON};
use crate::wirecheck::compile::implied_range;

/// Problems that any operation may answer with.
const COMMON: [Code; 7] = [
    Code::KeyNeeded,
    Code::ScopeNeeded,
    Code::MethodNotAllowed,
    Code::NotAcceptable,
    Code::TooOften,
    Code::Internal,
    Code::Overloaded,
];

/// Completes the document in place.
///
/// # Errors
/// When an example is no JSON.
pub fn tidy(
    document: &mut Value,
    endpoints: &[&Endpoint],
    answers: &BTreeMap<&str, String>,
) -> Result<(), serde_json::Error> {
    for endpoint in endpoints {
        let method = endpoint.method().as_str().to_ascii_lowercase();
        let operation = document
            .get_mut("paths")
            .and_then(|paths| paths.get_mut(endpoint.path()))
            .and_then(|item| item.get_mut(method));
        if let Some(Value::Object(operation)) = operation {
            add_common_answers(operation);
            add_examples(operation, endpoint, answers)?;
        }
    }
    refer_instead_of_copying(document);
    close_request_schemas(document);
    walk(document, &mut state_integer_bounds);
    if let Value::Object(document) = document {
        document.insert("security".to_owned(), json!([{}, { "key": [] }]));
        let components = document.entry("components").or_insert(json!({}));
        if let Value::Object(components) = components {
            components.insert("responses".to_owned(), common_answers());
            components.insert("securitySchemes".to_owned(), security());
        }
    }
    Ok(())
}

/// How a caller shows its key, where the operator set keys.
fn security() -> Value {
    json!({ "key": {
        "type": "http",
        "scheme": "bearer",
        "description": "A key that the operator made. A service on its own machine may need none.",
    } })
}

/// `405`, and the name of its shared answer.
fn reference(code: Code) -> (String, Value) {
    let entry = code.entry();
    let path = format!("#/components/responses/{}", entry.code);
    (entry.status.to_string(), json!({ "$ref": path }))
}

fn add_common_answers(operation: &mut Map<String, Value>) {
    let answers = operation.entry("responses").or_insert(json!({}));
    let Value::Object(answers) = answers else {
        return;
    };
    for code in COMMON {
        let (status, answer) = reference(code);
        answers.entry(status).or_insert(answer);
    }
    answers.entry("default").or_insert(json!({
        "description": "Any other failure.",
        "content": problem_content(None),
    }));
}

fn common_answers() -> Value {
    let answers = COMMON.iter().map(|code| {
        let entry = code.entry();
        let example = super::super::problem::Problem::new(*code, entry.meaning).body();
        let answer = json!({
            "description": format!("{}.", entry.title),
            "content": problem_content(serde_json::to_value(example).ok()),
        });
        (entry.code.to_owned(), answer)
    });
    Value::Object(answers.collect())
}

fn problem_content(example: Option<Value>) -> Value {
    let mut content = json!({ "schema": { "$ref": "#/components/schemas/Problem" } });
    if let (Some(example), Value::Object(content)) = (example, &mut content) {
        content.insert("example".to_owned(), example);
    }
    json!({ PROBLEM_JSON: content })
}

fn add_examples(
    operation: &mut Map<String, Value>,
    endpoint: &Endpoint,
    answers: &BTreeMap<&str, String>,
) -> Result<(), serde_json::Error> {
    let Some(example) = endpoint.shown_example() else {
        return Ok(());
    };
    let answer = answers.get(example.name);
    let answer = answer.map_or(example.answer, String::as_str);
    let places = [
        (example.request, vec!["requestBody", "content"]),
        (Some(answer), vec!["responses", "200", "content"]),
    ];
    for (text, path) in places {
        let Some(text) = text else { continue };
        let body: Value = serde_json::from_str(text)?;
        let mut steps = path.into_iter();
        let first = steps.next().and_then(|step| operation.get_mut(step));
        let content = steps.fold(first, |value, step| value.and_then(|v| v.get_mut(step)));
        let json = content.and_then(|content| content.get_mut(super::super::accept::JSON));
        if let Some(Value::Object(media)) = json {
            media.insert("example".to_owned(), body);
        }
    }
    Ok(())
}

/// Says of every object that a request may hold that it has no further members, as is checked.
fn close_request_schemas(document: &mut Value) {
    let mut names = BTreeSet::new();
    if let Some(Value::Object(paths)) = document.get("paths") {
        for operation in paths
            .values()
            .filter_map(Value::as_object)
            .flat_map(Map::values)
        {
            if let Some(body) = operation.get("requestBody") {
                references(body, &mut names);
            }
        }
    }
    let Some(schemas) = document.pointer_mut("/components/schemas") else {
        return;
    };
    let names = closure(schemas, names);
    if let Value::Object(schemas) = schemas {
        for (_, schema) in schemas.iter_mut().filter(|(name, _)| names.contains(*name)) {
            walk(schema, &mut close);
        }
    }
}

fn close(schema: &mut Map<String, Value>) {
    if schema.get("properties").is_some_and(Value::is_object) {
        schema.entry("additionalProperties").or_insert(json!(false));
    }
}

/// Writes the bounds that an integer's type implies, and the format's name in the usual spelling.
fn state_integer_bounds(schema: &mut Map<String, Value>) {
    let is_integer = match schema.get("type") {
        Some(Value::String(name)) => name == "integer",
        Some(Value::Array(names)) => names.iter().any(|name| name == "integer"),
        _ => false,
    };
    if !is_integer {
        return;
    }
    let format = schema.get("format").and_then(Value::as_str);
    let format = format.map(|format| format.replace("u-int", "uint"));
    let range = implied_range(format.as_deref());
    for (name, bound) in [("minimum", range.low), ("maximum", range.high)] {
        let bound = bound.and_then(|bound| i64::try_from(bound).ok());
        if let Some(bound) = bound {
            schema.entry(name).or_insert(json!(bound));
        }
    }
    if let Some(format) = format {
        schema.insert("format".to_owned(), json!(format));
    }
}

/// Refers to a component wherever a copy of it stands: the schema generator copies the parameter
/// of a generic type into it.
fn refer_instead_of_copying(document: &mut Value) {
    let Some(Value::Object(components)) = document.pointer("/components/schemas") else {
        return;
    };
    let components = components.clone();
    let whole =
        |schema: &Value| schema.get("properties").is_some() || schema.get("oneOf").is_some();
    let known: Vec<(&String, &Value)> = components
        .iter()
        .filter(|(_, schema)| whole(schema))
        .collect();
    let Some(Value::Object(schemas)) = document.pointer_mut("/components/schemas") else {
        return;
    };
    for component in schemas.values_mut() {
        // The component itself stays; only what is within it may be a copy of another.
        walk(component, &mut |members| {
            for member in members.values_mut().filter(|member| whole(member)) {
                if let Some((name, _)) = known.iter().find(|(_, schema)| *schema == member) {
                    *member = json!({ "$ref": format!("#/components/schemas/{name}") });
                }
            }
        });
    }
}

/// Calls `visit` for every object of a document.
fn walk(value: &mut Value, visit: &mut impl FnMut(&mut Map<String, Value>)) {
    match value {
        Value::Object(members) => {
            visit(members);
            members.values_mut().for_each(|member| walk(member, visit));
        }
        Value::Array(elements) => elements.iter_mut().for_each(|element| walk(element, visit)),
        _ => {}
    }
}

/// Adds the names of all schemas that a value refers to.
fn references(value: &Value, names: &mut BTreeSet<String>) {
    match value {
        Value::Object(members) => {
            if let Some(Value::String(path)) = members.get("$ref") {
                names.extend(path.rsplit('/').next().map(str::to_owned));
            }
            members
                .values()
                .for_each(|member| references(member, names));
        }
        Value::Array(elements) => elements
            .iter()
            .for_each(|element| references(element, names)),
        _ => {}
    }
}

/// The names, and those that their schemas refer to, and so on.
fn closure(schemas: &Value, mut names: BTreeSet<String>) -> BTreeSet<String> {
    loop {
        let mut more = names.clone();
        for schema in names.iter().filter_map(|name| schemas.get(name)) {
            references(schema, &mut more);
        }
        if more.len() == names.len() {
            return names;
        }
        names = more;
    }
}

/// The schemas that one of them needs, itself included.
pub fn reachable(schemas: &Value, name: &str) -> Value {
    let names = closure(schemas, BTreeSet::from([name.to_owned()]));
    let needed = names
        .into_iter()
        .filter_map(|name| Some((name.clone(), schemas.get(&name)?.clone())));
    Value::Object(needed.collect())
}
