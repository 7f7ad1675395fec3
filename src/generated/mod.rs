//! Files that are made from the code and committed, so that a change of them shows in review.
//!
//! `kitproof generate` writes them, `kitproof generate --check` and a test compare them. A new file
//! is one more line in [`PRODUCERS`].

mod examples;
mod rules;

use std::path::{Path, PathBuf};
use std::{fs, io};

use crate::api::{ENDPOINTS, document};
use crate::catalogue::record::{BoardRecord, ModuleLine, ModulesFile, schema};

/// The command that writes all of them.
pub const COMMAND: &str = "cargo run -- generate";

/// A file: its path from the root of the repository, and its content.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Product {
    /// Path from the root of the repository.
    pub path: PathBuf,
    /// The whole content.
    pub content: String,
}

impl Product {
    /// A file of that path and content.
    pub fn new(path: impl Into<PathBuf>, content: impl Into<String>) -> Self {
        Self {
            path: path.into(),
            content: content.into(),
        }
    }
}

/// Why files could not be made, written or compared.
#[derive(Debug, thiserror::Error)]
pub enum GenerateError {
    /// A producer failed.
    #[error("{0}")]
    Content(String),
    /// A file could not be read or written.
    #[error("cannot use `{path}`: {source}", path = path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
}

/// Makes one or more files.
type Producer = fn() -> Result<Vec<Product>, GenerateError>;

/// Whatever makes files. Add a line for a new kind.
const PRODUCERS: &[Producer] = &[openapi, endpoints, schemas, examples::files, rules::page];

fn openapi() -> Result<Vec<Product>, GenerateError> {
    // With fresh answers, so that one run is enough: those that are built in are of the last run.
    let answers = examples::answers()?;
    let document = document::build_with(ENDPOINTS, &answers);
    let document = document.map_err(|error| GenerateError::Content(error.to_string()))?;
    Ok(vec![Product::new("openapi/openapi.json", document.text())])
}

fn endpoints() -> Result<Vec<Product>, GenerateError> {
    let mut lines: Vec<String> = ENDPOINTS.iter().map(|endpoint| endpoint.line()).collect();
    lines.sort();
    lines.push(String::new());
    Ok(vec![Product::new(
        "openapi/endpoints.txt",
        lines.join("\n"),
    )])
}

/// The JSON Schemas of what a catalogue's author writes.
fn schemas() -> Result<Vec<Product>, GenerateError> {
    let products = [
        ("board", schema::document::<BoardRecord>("A server board")),
        (
            "module",
            schema::document::<ModulesFile>("Memory modules by id"),
        ),
        (
            "module-line",
            schema::document::<ModuleLine>("A memory module in a line of NDJSON"),
        ),
    ];
    let products = products.into_iter().map(|(name, document)| {
        let document = document.map_err(GenerateError::Content)?;
        let text = serde_json::to_string_pretty(&document);
        let text = text.map_err(|error| GenerateError::Content(error.to_string()))?;
        let path = format!("openapi/schemas/{name}.json");
        Ok(Product::new(path, text + "\n"))
    });
    products.collect()
}

/// Every file as it should be.
///
/// # Errors
/// [`GenerateError::Content`]
pub fn products() -> Result<Vec<Product>, GenerateError> {
    let mut all = Vec::new();
    for producer in PRODUCERS {
        all.extend(producer()?);
    }
    Ok(all)
}

/// Writes the files that differ below `root`; gives their paths.
///
/// # Errors
/// [`GenerateError`]
pub fn write(root: &Path) -> Result<Vec<PathBuf>, GenerateError> {
    let stale = check(root)?;
    for product in products()? {
        if stale.contains(&product.path) {
            save(&root.join(&product.path), &product.content)?;
        }
    }
    Ok(stale)
}

fn save(path: &Path, content: &str) -> Result<(), GenerateError> {
    let failed = |source| GenerateError::File {
        path: path.to_owned(),
        source,
    };
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder).map_err(failed)?;
    }
    fs::write(path, content).map_err(failed)
}

/// The files below `root` that are missing or differ; [`COMMAND`] writes them.
///
/// # Errors
/// [`GenerateError`]
pub fn check(root: &Path) -> Result<Vec<PathBuf>, GenerateError> {
    let mut stale = Vec::new();
    for product in products()? {
        let path = root.join(&product.path);
        match fs::read_to_string(&path) {
            Ok(content) if content == product.content => {}
            Ok(_) => stale.push(product.path),
            Err(error) if error.kind() == io::ErrorKind::NotFound => stale.push(product.path),
            Err(source) => return Err(GenerateError::File { path, source }),
        }
    }
    Ok(stale)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn committed_files_are_up_to_date() {
        let stale = check(Path::new(env!("CARGO_MANIFEST_DIR"))).unwrap();
        assert!(
            stale.is_empty(),
            "stale: {stale:?}; write them with `{COMMAND}`"
        );
    }

    #[test]
    fn writes_what_is_missing_or_differs_and_nothing_else() {
        let root = std::env::temp_dir().join(format!("kitproof-generated-{}", std::process::id()));
        let all = write(&root).unwrap();
        assert_eq!(all.len(), products().unwrap().len());
        assert!(check(&root).unwrap().is_empty());
        fs::write(root.join("openapi/endpoints.txt"), "old").unwrap();
        assert_eq!(
            write(&root).unwrap(),
            [PathBuf::from("openapi/endpoints.txt")]
        );
        fs::remove_dir_all(&root).unwrap();
    }
}
