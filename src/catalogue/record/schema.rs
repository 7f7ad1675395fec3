//! JSON Schemas (2020-12) of the records, from the types that read them.

use std::sync::LazyLock;

use serde_json::{Map, Value, json};
use utoipa::ToSchema;

use super::{BoardRecord, BoardsFile, ModuleLine, ModulesFile};
use crate::wirecheck::Shapes;
use crate::wirecheck::compile::Definitions;

/// A schema that could not be made: a fault of this program.
pub type SchemaError = String;

/// The schemas that a type needs by name, and the name of its own.
pub fn definitions<T: ToSchema>() -> Result<(String, Definitions), SchemaError> {
    let mut named = Vec::new();
    T::schemas(&mut named);
    named.push((T::name().into_owned(), T::schema()));
    let mut definitions = Definitions::new();
    for (name, schema) in named {
        let schema = serde_json::to_value(schema).map_err(|error| error.to_string())?;
        definitions.insert(name, schema);
    }
    Ok((T::name().into_owned(), definitions))
}

/// What a file or a body is held against.
#[derive(Debug)]
pub struct Expectation {
    /// The compiled schema.
    pub shapes: Shapes,
    /// The name of the record's own schema among the definitions.
    pub name: String,
    /// All schemas by name.
    pub definitions: Definitions,
}

/// What a value of a type is held against.
///
/// # Errors
/// Text that says what is wrong with the schema.
pub fn compile<T: ToSchema>() -> Result<Expectation, SchemaError> {
    let (name, definitions) = definitions::<T>()?;
    let root = json!({ "$ref": format!("#/components/schemas/{name}") });
    let shapes = Shapes::compile(&root, &definitions)?;
    Ok(Expectation {
        shapes,
        name,
        definitions,
    })
}

static BOARD: LazyLock<Result<Expectation, SchemaError>> = LazyLock::new(compile::<BoardRecord>);
static MODULES: LazyLock<Result<Expectation, SchemaError>> = LazyLock::new(compile::<ModulesFile>);

static BOARDS: LazyLock<Result<Expectation, SchemaError>> = LazyLock::new(compile::<BoardsFile>);
static LINE: LazyLock<Result<Expectation, SchemaError>> = LazyLock::new(compile::<ModuleLine>);

/// What a document of several boards is held against.
///
/// # Errors
/// Text that says what is wrong with the schema.
pub fn boards() -> Result<&'static Expectation, &'static SchemaError> {
    BOARDS.as_ref()
}

/// What a line of NDJSON is held against.
///
/// # Errors
/// Text that says what is wrong with the schema.
pub fn line() -> Result<&'static Expectation, &'static SchemaError> {
    LINE.as_ref()
}

/// What a board file is held against.
///
/// # Errors
/// Text that says what is wrong with the schema.
pub fn board() -> Result<&'static Expectation, &'static SchemaError> {
    BOARD.as_ref()
}

/// What a file of modules is held against.
///
/// # Errors
/// Text that says what is wrong with the schema.
pub fn modules() -> Result<&'static Expectation, &'static SchemaError> {
    MODULES.as_ref()
}

/// The JSON Schema document of a type, for editors.
///
/// # Errors
/// Text that says what is wrong with the schema.
pub fn document<T: ToSchema>(title: &str) -> Result<Value, SchemaError> {
    let (name, definitions) = definitions::<T>()?;
    let mut document = json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": title,
        "$ref": format!("#/$defs/{name}"),
        "$defs": definitions,
    });
    each_object(&mut document, &mut as_json_schema);
    Ok(document)
}

/// From OpenAPI's form to that of JSON Schema: references, examples, bounds as integers.
fn as_json_schema(schema: &mut Map<String, Value>) {
    if let Some(Value::String(path)) = schema.get_mut("$ref") {
        *path = path.replace("#/components/schemas/", "#/$defs/");
    }
    let is_schema = ["type", "anyOf", "oneOf", "allOf"]
        .iter()
        .any(|word| schema.contains_key(*word));
    if is_schema && let Some(example) = schema.remove("example") {
        schema.insert("examples".to_owned(), json!([example]));
    }
    if schema.get("properties").is_some_and(Value::is_object) {
        schema
            .entry("additionalProperties")
            .or_insert(Value::Bool(false));
    }
    schema.remove("format");
}

fn each_object(value: &mut Value, visit: &mut impl FnMut(&mut Map<String, Value>)) {
    match value {
        Value::Object(members) => {
            visit(members);
            members
                .values_mut()
                .for_each(|member| each_object(member, visit));
        }
        Value::Array(elements) => elements
            .iter_mut()
            .for_each(|element| each_object(element, visit)),
        _ => {}
    }
}
