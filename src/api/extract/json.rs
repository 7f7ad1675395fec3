//! JSON text as a typed value, with every fault named.
//!
//! The text is held against the schema of its type *before* serde sees it. So whatever the OpenAPI
//! document says about a body (bounds and lengths included) holds by construction, nothing hides in
//! what serde buffers or ignores, and a caller gets all faults at once. A text without a fault is mostly
//! seen to have none in one pass; only others are read into a tree.

use std::any::TypeId;
use std::collections::BTreeMap;
use std::sync::{Arc, PoisonError, RwLock};

use serde::de::DeserializeOwned;
use utoipa::ToSchema;

use super::super::problem::{Code, Problem};
use super::super::wire::resolve::{holds_request, with_names};
use crate::catalogue::Catalogue;
use crate::catalogue::record::schema::compile;
use crate::wirecheck::sound::is_sound;
use crate::wirecheck::text::{Limits, Reason, Unreadable, parse};
use crate::wirecheck::{Fault, FaultCode, Faults, Shapes, walk};

/// A body type: `#[derive(Deserialize, ToSchema)]` with `#[serde(deny_unknown_fields)]`, without
/// `flatten`, and with enums whose variants have named members.
pub trait Body: DeserializeOwned + ToSchema + 'static {}
impl<T: DeserializeOwned + ToSchema + 'static> Body for T {}

/// Why a text is no value of the type asked for.
#[derive(Debug, Clone, PartialEq)]
pub enum Refusal {
    /// It is no acceptable JSON.
    Unreadable(Unreadable),
    /// It is JSON of another shape.
    Faulty(Faults),
    /// The schema of the type cannot be used: a fault of this program.
    Schema(String),
}

/// Reads JSON text as a `T`, with all its faults named; also for bulk lines and files.
///
/// # Errors
/// [`Refusal`]
pub fn read_json<T: Body>(bytes: &[u8]) -> Result<T, Refusal> {
    let shapes = shapes_of::<T>().map_err(Refusal::Schema)?;
    let limits = Limits::default();
    if let Ok(text) = std::str::from_utf8(bytes)
        && is_sound(text, &shapes, &limits)
        && let Ok(value) = serde_json::from_str(text)
    {
        return Ok(value);
    }
    // Whatever that was not sure of is looked at with a name for every fault.
    let tree = parse(bytes, &limits).map_err(Refusal::Unreadable)?;
    let faults = walk::faults(&tree, &shapes);
    if !faults.is_empty() {
        return Err(Refusal::Faulty(faults));
    }
    serde_json::from_slice(bytes).map_err(|error| {
        let offset = offset_of(bytes, error.line(), error.column());
        let at = tree.at_offset(offset).unwrap_or_default();
        let fault = Fault::new(
            tree.pointer(at),
            FaultCode::Unusable,
            "this value, or one within it, cannot be used here",
        );
        Refusal::Faulty(
            fault
                .hint("compare it with the schema in `/openapi.json`")
                .into(),
        )
    })
}

/// Reads a request body.
///
/// # Errors
/// The problem to answer with.
pub fn read<T: Body>(bytes: &[u8]) -> Result<T, Problem> {
    read_json(bytes).map_err(Problem::from)
}

/// Reads a request body. Where the shape of one that names boards and modules is wrong, names that nobody
/// knows are told as well.
///
/// # Errors
/// The problem to answer with.
pub fn read_known<T: Body>(bytes: &[u8], catalogue: &Catalogue) -> Result<T, Problem> {
    read_json(bytes).map_err(|refusal| match refusal {
        Refusal::Faulty(faults) if holds_request::<T>() => {
            Problem::invalid_body(with_names(faults, bytes, catalogue))
        }
        other => other.into(),
    })
}

impl From<Refusal> for Problem {
    fn from(refusal: Refusal) -> Self {
        match refusal {
            Refusal::Unreadable(unreadable) => unreadable.into(),
            Refusal::Faulty(faults) => Self::invalid_body(faults),
            Refusal::Schema(error) => {
                tracing::error!(error, "a request schema cannot be used");
                Self::internal()
            }
        }
    }
}

impl From<Unreadable> for Problem {
    fn from(unreadable: Unreadable) -> Self {
        let detail = unreadable.to_string();
        let (code, fault) = match unreadable.reason {
            Reason::Syntax(_) => (Code::MalformedJson, FaultCode::Unreadable),
            Reason::Duplicate { .. } => (Code::DuplicateMember, FaultCode::DuplicateMember),
            Reason::TooDeep => (Code::NestingTooDeep, FaultCode::Unreadable),
            Reason::TooManyValues => (Code::TooManyValues, FaultCode::Unreadable),
        };
        let pointer = match unreadable.reason {
            Reason::Duplicate { pointer, .. } => pointer,
            _ => String::new(),
        };
        Self::new(code, &detail).faults(Fault::new(pointer, fault, detail))
    }
}

/// Byte offset of a line and column as serde_json counts them (columns in bytes, from 1).
fn offset_of(bytes: &[u8], line: usize, column: usize) -> usize {
    let lines = bytes.split(|byte| *byte == b'\n');
    let before: usize = lines
        .take(line.saturating_sub(1))
        .map(|line| line.len() + 1)
        .sum();
    (before + column).saturating_sub(1)
}

/// The compiled schemas of the body types met so far.
static SHAPES: RwLock<BTreeMap<TypeId, Arc<Shapes>>> = RwLock::new(BTreeMap::new());

/// The compiled schema of a type.
///
/// # Errors
/// Text that says what is wrong with the schema.
pub fn shapes_of<T: Body>() -> Result<Arc<Shapes>, String> {
    let known = SHAPES.read().unwrap_or_else(PoisonError::into_inner);
    if let Some(shapes) = known.get(&TypeId::of::<T>()) {
        return Ok(Arc::clone(shapes));
    }
    drop(known);
    let shapes = Arc::new(compile::<T>()?.shapes);
    let mut known = SHAPES.write().unwrap_or_else(PoisonError::into_inner);
    known.insert(TypeId::of::<T>(), Arc::clone(&shapes));
    Ok(shapes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::api::wire::request::ValidateRequest;
    use crate::wirecheck::sound::broken;
    use serde::Deserialize;

    #[derive(Debug, Deserialize, ToSchema)]
    #[serde(deny_unknown_fields)]
    struct Even {
        #[serde(deserialize_with = "even")]
        #[schema(maximum = 100)]
        number: u8,
        #[schema(max_length = 3)]
        note: Option<String>,
    }

    fn even<'de, D: serde::Deserializer<'de>>(from: D) -> Result<u8, D::Error> {
        let number = u8::deserialize(from)?;
        let odd = serde::de::Error::custom("Odd numbers are no EvenNumber");
        if number % 2 == 0 {
            Ok(number)
        } else {
            Err(odd)
        }
    }

    /// Breaks an example of a body at every place; whatever the one pass still says to be sound, the
    /// readers that name faults find none in.
    #[track_caller]
    fn sound_is_without_fault<T: Body>(example: &str) {
        let (shapes, limits) = (shapes_of::<T>().unwrap(), Limits::default());
        assert!(is_sound(example, &shapes, &limits), "{example}");
        let mut sound = 0;
        for broken in broken(example) {
            if !is_sound(&broken, &shapes, &limits) {
                continue;
            }
            sound += 1;
            let tree = parse(broken.as_bytes(), &limits);
            let faults = tree.map(|tree| walk::faults(&tree, &shapes).list);
            assert_eq!(faults, Ok(Vec::new()), "{broken}");
        }
        // Names and numbers change without a fault.
        assert!(sound > 100, "{sound}");
    }

    #[test]
    fn one_pass_finds_no_broken_body_sound() {
        let examples = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("openapi/examples");
        let read = |name: &str| std::fs::read_to_string(examples.join(name)).unwrap();
        for name in [
            "cart-fits",
            "cart-too-many-ranks",
            "population-wrong-order",
            "mirrored",
        ] {
            sound_is_without_fault::<ValidateRequest>(&read(&format!("{name}.json")));
        }
    }

    fn faults(text: &str) -> Vec<Fault> {
        match read_json::<Even>(text.as_bytes()) {
            Err(Refusal::Faulty(faults)) => faults.list,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn bounds_of_the_schema_hold_though_the_type_would_take_more() {
        let faults = faults(r#"{"number": 102, "note": "long"}"#);
        assert_eq!(faults[0].code, FaultCode::OutOfRange);
        assert_eq!(faults[1].code, FaultCode::WrongLength);
        let even = read_json::<Even>(br#"{"number": 100}"#).unwrap();
        assert_eq!((even.number, even.note), (100, None));
    }

    #[test]
    fn what_only_the_type_refuses_is_pointed_at_without_its_words() {
        let faults = faults("{\n \"note\": \"x\",\n \"number\": 3 }");
        assert_eq!(
            (faults[0].pointer.as_str(), faults[0].code),
            ("/number", FaultCode::Unusable)
        );
        assert!(!format!("{faults:?}").contains("Odd"));
    }
}
