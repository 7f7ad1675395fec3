//! Checks JSON text against a schema and names every fault at once.
//!
//! Pure: bytes and a schema go in, a tree or faults come out. Used for request bodies and for
//! catalogue files alike. In reading order:
//! [`text`] turns bytes into a small [`tree`] (depth, count and repeated names are settled there),
//! [`shape`] is a schema boiled down to what can be checked, [`compile`] makes it from JSON Schema,
//! [`walk`] holds a tree against a shape, [`sound`] sees without a tree that nothing is wrong, [`fault`] is
//! what comes out and [`near`] finds the names that a misspelt one may have meant.
//!
//! ```
//! use kitproof::wirecheck::{check, Limits, Shapes};
//! let schema = serde_json::json!({
//!     "type": "object", "required": ["ranks"], "additionalProperties": false,
//!     "properties": { "ranks": { "type": "integer", "minimum": 1, "maximum": 8 } },
//! });
//! let shapes = Shapes::compile(&schema, &Default::default()).unwrap();
//! let faults = check(br#"{"rank": 2}"#, &shapes, &Limits::default()).unwrap();
//! let codes: Vec<&str> = faults.list.iter().map(|fault| fault.code.as_str()).collect();
//! assert_eq!(codes, ["missing-member", "unknown-member"]);
//! ```

pub mod compile;
pub mod fault;
pub mod near;
pub mod shape;
pub mod sound;
pub mod text;
pub mod tree;
pub mod walk;

pub use fault::{Fault, FaultCode, Faults};
pub use shape::Shapes;
pub use text::{Limits, Reason, Unreadable};
pub use tree::Tree;

/// Reads `bytes` and lists every place where they differ from `shapes`.
///
/// # Errors
/// [`Unreadable`] when the bytes are not acceptable JSON at all.
pub fn check(bytes: &[u8], shapes: &Shapes, limits: &Limits) -> Result<Faults, Unreadable> {
    let tree = text::parse(bytes, limits)?;
    Ok(walk::faults(&tree, shapes))
}
