//! Says what is expected at a place of a file, in the words of its schema.
//!
//! The author of a record should not have to open the schema to learn what a missing member is
//! for.

use serde_json::Value;

use super::record::schema::Expectation;
use crate::wirecheck::compile::Definitions;
use crate::wirecheck::{Fault, FaultCode};

/// Adds the description and an example to a fault that has no hint of its own.
pub(super) fn explained(fault: Fault, expected: &Expectation) -> Fault {
    if fault.hint.is_some() {
        return fault;
    }
    match hint(&fault, expected) {
        Some(hint) => fault.hint(hint),
        None => fault,
    }
}

fn hint(fault: &Fault, expected: &Expectation) -> Option<String> {
    let all = &expected.definitions;
    let mut member = at_pointer(all.get(&expected.name)?, &fault.pointer, all)?;
    if fault.code == FaultCode::MissingMember {
        // The message is "`name` is missing", and the pointer is that of the object.
        let missing = fault.message.split('`').nth(1)?;
        member = step(member, missing, all)?;
    }
    let description = told(member, "description", all)?.as_str()?;
    let description: Vec<&str> = description.split_whitespace().collect();
    let description = description.join(" ");
    let description = description.trim_end_matches('.');
    let example = told(member, "examples", all).and_then(|list| list.get(0));
    let example = example.or_else(|| told(member, "example", all));
    Some(match example {
        Some(example) => format!("{description}; for example `{example}`"),
        None => description.to_owned(),
    })
}

/// The schema at a pointer into a document.
fn at_pointer<'s>(root: &'s Value, pointer: &str, all: &'s Definitions) -> Option<&'s Value> {
    let mut steps = pointer.split('/').skip(1);
    steps.try_fold(root, |schema, name| {
        step(schema, &name.replace("~1", "/").replace("~0", "~"), all)
    })
}

/// The schema of a member or an element, through references and alternatives.
fn step<'s>(schema: &'s Value, name: &str, all: &'s Definitions) -> Option<&'s Value> {
    let schema = resolved(schema, all)?;
    let member = schema
        .get("properties")
        .and_then(|members| members.get(name));
    let each = schema.get("additionalProperties").filter(|v| v.is_object());
    let element = name.parse::<usize>().ok().and_then(|_| schema.get("items"));
    member.or(each).or(element).or_else(|| {
        let mut arms = ["anyOf", "oneOf", "allOf"]
            .into_iter()
            .filter_map(|word| schema.get(word)?.as_array())
            .flatten();
        arms.find_map(|arm| step(arm, name, all))
    })
}

fn resolved<'s>(schema: &'s Value, all: &'s Definitions) -> Option<&'s Value> {
    match schema.get("$ref").and_then(Value::as_str) {
        Some(path) => resolved(all.get(path.rsplit('/').next()?)?, all),
        None => Some(schema),
    }
}

/// What a member's own schema says, or else the schema that it refers to.
fn told<'s>(schema: &'s Value, word: &str, all: &'s Definitions) -> Option<&'s Value> {
    schema
        .get(word)
        .or_else(|| resolved(schema, all)?.get(word))
        .or_else(|| {
            let arms = schema.get("oneOf")?.as_array()?;
            arms.iter().find_map(|arm| told(arm, word, all))
        })
}
