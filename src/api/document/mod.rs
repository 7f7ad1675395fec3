//! The OpenAPI document, made from the list of endpoints.
//!
//! utoipa writes the parts; [`tidy`] adds what every operation has in common and makes the schemas
//! say exactly what the service checks.

mod tidy;

use std::collections::BTreeMap;

use serde_json::{Value, json};
use utoipa::ToSchema;
use utoipa::openapi::path::PathItem;
use utoipa::openapi::tag::TagBuilder;
use utoipa::openapi::{
    ComponentsBuilder, Info, InfoBuilder, LicenseBuilder, OpenApiBuilder, PathsBuilder, Server,
};

use super::endpoint::{Endpoint, NamedSchemas};
use super::problem::ProblemBody;

/// The tags, in the order in which they are shown.
pub const TAGS: [(&str, &str); 5] = [
    ("decide", "Does it work, which is the best buy, and why."),
    ("read", "Labels and inventories to records."),
    ("catalogue", "Boards and modules."),
    ("reference", "The rules and problems that answers refer to."),
    (
        "service",
        "The state and the description of the service itself.",
    ),
];

/// The finished document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Document {
    text: String,
    tag: String,
}

impl Document {
    /// The JSON text, as served and as committed.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// A digest of the text.
    pub fn tag(&self) -> &str {
        &self.tag
    }
}

/// Why the document cannot be made: a fault of this program.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DocumentError {
    /// Two types have one name; one of them would vanish.
    #[error("two different schemas are named `{0}`")]
    SameName(String),
    /// Something could not be written as JSON.
    #[error("the document cannot be written: {0}")]
    Unwritable(String),
}

/// Makes the document.
///
/// # Errors
/// [`DocumentError`]
pub fn build(endpoints: &[Endpoint]) -> Result<Document, DocumentError> {
    build_with(endpoints, &BTreeMap::new())
}

/// Makes the document with other answers in place of the examples' committed ones, by the example's
/// name: for the generator, which has just made them.
///
/// # Errors
/// [`DocumentError`]
pub fn build_with(
    endpoints: &[Endpoint],
    answers: &BTreeMap<&str, String>,
) -> Result<Document, DocumentError> {
    let unwritable = |error: serde_json::Error| DocumentError::Unwritable(error.to_string());
    let documented: Vec<&Endpoint> = endpoints.iter().filter(|e| e.is_documented()).collect();
    let schemas = schemas(&documented)?;
    let components = schemas
        .into_iter()
        .fold(ComponentsBuilder::new(), |all, (name, schema)| {
            all.schema(name, schema)
        });
    let openapi = OpenApiBuilder::new()
        .info(info())
        .servers(Some([Server::new("/")]))
        .tags(Some(TAGS.map(|(name, about)| {
            TagBuilder::new()
                .name(name)
                .description(Some(about))
                .build()
        })))
        .paths(paths(&documented))
        .components(Some(components.build()))
        .build();
    let mut value = serde_json::to_value(&openapi).map_err(unwritable)?;
    tidy::tidy(&mut value, &documented, answers).map_err(unwritable)?;
    let mut text = serde_json::to_string_pretty(&value).map_err(unwritable)?;
    text.push('\n');
    let tag = super::etag::digest(&[text.as_bytes()]);
    Ok(Document { text, tag })
}

/// The schemas in use, by name.
fn schemas(
    endpoints: &[&Endpoint],
) -> Result<BTreeMap<String, utoipa::openapi::RefOr<utoipa::openapi::Schema>>, DocumentError> {
    let mut named: NamedSchemas = Vec::new();
    ProblemBody::schemas(&mut named);
    named.push((
        ProblemBody::name().into_owned(),
        <ProblemBody as utoipa::PartialSchema>::schema(),
    ));
    endpoints
        .iter()
        .for_each(|endpoint| endpoint.schemas(&mut named));
    let mut all = BTreeMap::new();
    for (name, schema) in named {
        match all.get(&name) {
            Some(known) if *known != schema => return Err(DocumentError::SameName(name)),
            _ => all.insert(name, schema),
        };
    }
    Ok(all)
}

fn info() -> Info {
    let licence = LicenseBuilder::new()
        .name(env!("CARGO_PKG_LICENSE"))
        .identifier(Some(env!("CARGO_PKG_LICENSE")))
        .build();
    let mut about = env!("CARGO_PKG_DESCRIPTION").to_owned();
    about.push_str(
        ".\n\nA kit that does not fit is an answer with a verdict (200), not an error. Requests are \
         read strictly: unknown members are refused. Answers may gain members, so ignore those that \
         you do not know. HEAD works wherever GET does.",
    );
    InfoBuilder::new()
        .title("Kitproof")
        .version(env!("CARGO_PKG_VERSION"))
        .description(Some(about))
        .license(Some(licence))
        .build()
}

fn paths(endpoints: &[&Endpoint]) -> utoipa::openapi::Paths {
    let paths = endpoints
        .iter()
        .fold(PathsBuilder::new(), |paths, endpoint| {
            let item = PathItem::new(endpoint.documented_method(), endpoint.operation());
            paths.path(endpoint.path(), item)
        });
    paths.build()
}

/// JSON Schema 2020-12 of one component of the document, complete in itself.
pub fn schema_file(document: &Document, name: &str) -> Option<Value> {
    let value: Value = serde_json::from_str(&document.text).ok()?;
    let definitions = value.pointer("/components/schemas")?.clone();
    let text = definitions
        .to_string()
        .replace("#/components/schemas/", "#/$defs/");
    let definitions: Value = serde_json::from_str(&text).ok()?;
    definitions.get(name)?;
    Some(json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$ref": format!("#/$defs/{name}"),
        "$defs": tidy::reachable(&definitions, name),
    }))
}

#[cfg(test)]
mod tests;
