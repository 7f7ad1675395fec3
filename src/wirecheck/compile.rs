//! JSON Schema (the part of 2020-12 that OpenAPI 3.1 components use) to [`Shapes`].
//!
//! Checked: `$ref`, `type`, `enum`, `const`, `oneOf`, `anyOf`, `allOf`, `minimum`, `maximum`,
//! `minLength`, `maxLength`, `pattern` (only `[0-9]`: a digit somewhere), `items`, `minItems`, `maxItems`, `properties`, `required`,
//! `additionalProperties`, and the integer formats, which imply bounds. Everything else says
//! something to readers only.
//!
//! One thing is stricter than JSON Schema: an object that names its members has no others unless
//! `additionalProperties` says so. (The schema generator forgets `additionalProperties: false` on
//! the alternatives of a tagged enum.)

use std::collections::BTreeMap;

use serde_json::{Map, Value};

use super::shape::{Choice, Range, Rest, Shape, ShapeId, Shapes, Tag, Types};

/// The largest integer that every JSON reader keeps exact (RFC 7493): 2^53 − 1.
pub const LARGEST_EXACT: i128 = (1 << 53) - 1;

/// Named schemas, as under `components/schemas` or `$defs`.
pub type Definitions = BTreeMap<String, Value>;

impl Shapes {
    /// Compiles a schema whose references are names in `definitions`.
    ///
    /// # Errors
    /// Text that names what cannot be compiled: a fault of this program, not of a caller.
    pub fn compile(schema: &Value, definitions: &Definitions) -> Result<Self, String> {
        let mut compiler = Compiler {
            definitions,
            list: Vec::new(),
            named: BTreeMap::new(),
        };
        let root = compiler.schema(schema)?;
        Ok(Self {
            list: compiler.list,
            root,
        })
    }
}

/// Bounds that an integer's format implies; 64-bit ones and those without a known format end at
/// [`LARGEST_EXACT`].
pub fn implied_range(format: Option<&str>) -> Range<i128> {
    let format = format.unwrap_or_default().replace("u-int", "uint");
    let (low, high) = match format.as_str() {
        "int8" => (i8::MIN.into(), i8::MAX.into()),
        "int16" => (i16::MIN.into(), i16::MAX.into()),
        "int32" => (i32::MIN.into(), i32::MAX.into()),
        "uint8" => (0, u8::MAX.into()),
        "uint16" => (0, u16::MAX.into()),
        "uint32" => (0, u32::MAX.into()),
        "uint64" => (0, LARGEST_EXACT),
        _ => (-LARGEST_EXACT, LARGEST_EXACT),
    };
    Range {
        low: Some(low),
        high: Some(high),
    }
}

struct Compiler<'d> {
    definitions: &'d Definitions,
    list: Vec<Shape>,
    named: BTreeMap<String, ShapeId>,
}

type Compiled<T> = Result<T, String>;

impl Compiler<'_> {
    fn schema(&mut self, schema: &Value) -> Compiled<ShapeId> {
        if let Some(reference) = schema.get("$ref") {
            return self.reference(reference);
        }
        let shape = self.shape(schema)?;
        self.list.push(shape);
        Ok(self.list.len() - 1)
    }

    fn reference(&mut self, reference: &Value) -> Compiled<ShapeId> {
        let path = reference.as_str().unwrap_or_default();
        let name = path.rsplit('/').next().unwrap_or_default();
        if let Some(id) = self.named.get(name) {
            return Ok(*id);
        }
        let definitions = self.definitions;
        let schema = definitions
            .get(name)
            .ok_or_else(|| format!("`{path}` refers to nothing"))?;
        // The place is taken first, so that a schema may refer to itself.
        let id = self.list.len();
        self.list.push(Shape::default());
        self.named.insert(name.to_owned(), id);
        let shape = match schema.get("$ref") {
            Some(further) => {
                let further = self.reference(further)?;
                self.get(further)?
            }
            None => self.shape(schema)?,
        };
        if let Some(place) = self.list.get_mut(id) {
            *place = shape;
        }
        Ok(id)
    }

    fn get(&self, id: ShapeId) -> Compiled<Shape> {
        let shape = self.list.get(id).cloned();
        shape.ok_or_else(|| format!("there is no shape {id}"))
    }

    fn shape(&mut self, schema: &Value) -> Compiled<Shape> {
        let schema = match schema {
            Value::Object(schema) => schema,
            Value::Bool(true) => return Ok(Shape::default()),
            _ => return Err(format!("`{schema}` is no schema")),
        };
        let mut shape = Shape {
            types: types(schema)?,
            words: words(schema),
            integer: integer_range(schema),
            number: Range {
                low: schema.get("minimum").and_then(Value::as_f64),
                high: schema.get("maximum").and_then(Value::as_f64),
            },
            length: size_range(schema, "minLength", "maxLength"),
            digit: needs_digit(schema)?,
            count: size_range(schema, "minItems", "maxItems"),
            ..Shape::default()
        };
        if let Some(items) = schema.get("items") {
            shape.items = Some(self.schema(items)?);
        }
        self.members(schema, &mut shape)?;
        self.alternatives(schema, &mut shape)?;
        self.all_of(schema, &mut shape)?;
        Ok(shape)
    }

    fn members(&mut self, schema: &Map<String, Value>, shape: &mut Shape) -> Compiled<()> {
        if let Some(Value::Object(properties)) = schema.get("properties") {
            for (name, property) in properties {
                let id = self.schema(property)?;
                shape.members.push((name.clone(), id));
            }
        }
        if let Some(Value::Array(required)) = schema.get("required") {
            let names = required.iter().filter_map(Value::as_str);
            shape.required.extend(names.map(str::to_owned));
        }
        shape.rest = match schema.get("additionalProperties") {
            None if shape.members.is_empty() => Rest::Open,
            None => Rest::Closed,
            Some(Value::Bool(true)) => Rest::Open,
            Some(Value::Bool(false)) => Rest::Closed,
            Some(each) => Rest::Each(self.schema(each)?),
        };
        Ok(())
    }

    fn alternatives(&mut self, schema: &Map<String, Value>, shape: &mut Shape) -> Compiled<()> {
        let arms = schema.get("oneOf").or_else(|| schema.get("anyOf"));
        let Some(Value::Array(arms)) = arms else {
            return Ok(());
        };
        let arms: Vec<ShapeId> = arms
            .iter()
            .map(|arm| self.schema(arm))
            .collect::<Compiled<_>>()?;
        shape.choice = Some(Choice {
            tag: self.tag(&arms),
            keyed: self.keyed(&arms),
            arms,
        });
        Ok(())
    }

    /// The alternatives that are objects.
    fn objects(&self, arms: &[ShapeId]) -> Vec<(ShapeId, &Shape)> {
        let shapes = arms
            .iter()
            .filter_map(|id| Some((*id, self.list.get(*id)?)));
        shapes
            .filter(|(_, shape)| shape.types == Types::OBJECT)
            .collect()
    }

    /// A member that holds exactly one, and each time another, word in all object alternatives.
    fn tag(&self, arms: &[ShapeId]) -> Option<Tag> {
        let objects = self.objects(arms);
        let (_, first) = objects.first()?;
        if objects.len() < 2 {
            return None;
        }
        let only_word = |shape: &Shape, name: &str| {
            let words = self.list.get(shape.member(name)?)?.words.as_ref()?;
            match words.as_slice() {
                [word] => Some(word.clone()),
                _ => None,
            }
        };
        first.members.iter().find_map(|(name, _)| {
            let tagged = objects
                .iter()
                .map(|(id, shape)| Some((only_word(shape, name)?, *id)))
                .collect::<Option<Vec<_>>>()?;
            Some(Tag {
                name: name.clone(),
                arms: tagged,
            })
        })
    }

    /// Object alternatives that have one member only, by its name; empty when any has more.
    fn keyed(&self, arms: &[ShapeId]) -> Vec<(String, ShapeId)> {
        let named = self
            .objects(arms)
            .into_iter()
            .map(|(id, shape)| match shape.members.as_slice() {
                [(name, _)] if shape.required.contains(name) => Some((name.clone(), id)),
                _ => None,
            })
            .collect::<Option<Vec<_>>>();
        named.unwrap_or_default()
    }

    fn all_of(&mut self, schema: &Map<String, Value>, shape: &mut Shape) -> Compiled<()> {
        let Some(Value::Array(parts)) = schema.get("allOf") else {
            return Ok(());
        };
        for part in parts {
            let part = self.schema(part)?;
            let part = self.get(part)?;
            shape.types = shape.types.both(part.types);
            shape.members.extend(part.members);
            shape.required.extend(part.required);
            if part.rest != Rest::Open {
                shape.rest = part.rest;
            }
            shape.words = shape.words.take().or(part.words);
            shape.digit |= part.digit;
            shape.choice = shape.choice.take().or(part.choice);
        }
        Ok(())
    }
}

fn types(schema: &Map<String, Value>) -> Compiled<Types> {
    match schema.get("type") {
        None if schema.contains_key("const") || schema.contains_key("enum") => {
            Ok(word_types(schema))
        }
        None => Ok(Types::ANY),
        Some(Value::String(name)) => type_named(name),
        Some(Value::Array(names)) => names
            .iter()
            .filter_map(Value::as_str)
            .try_fold(Types::NONE, |all, name| Ok(all | type_named(name)?)),
        Some(other) => Err(format!("`{other}` is no type")),
    }
}

fn type_named(name: &str) -> Compiled<Types> {
    Ok(match name {
        "null" => Types::NULL,
        "boolean" => Types::BOOL,
        "integer" => Types::INTEGER,
        "number" => Types::NUMBER,
        "string" => Types::TEXT,
        "array" => Types::LIST,
        "object" => Types::OBJECT,
        _ => return Err(format!("`{name}` is no type")),
    })
}

fn allowed(schema: &Map<String, Value>) -> Option<Vec<&Value>> {
    match (schema.get("const"), schema.get("enum")) {
        (Some(only), _) => Some(vec![only]),
        (None, Some(Value::Array(values))) => Some(values.iter().collect()),
        _ => None,
    }
}

fn word_types(schema: &Map<String, Value>) -> Types {
    let values = allowed(schema).unwrap_or_default();
    values.iter().fold(Types::NONE, |all, value| {
        all | match value {
            Value::Null => Types::NULL,
            Value::Bool(_) => Types::BOOL,
            Value::Number(_) => Types::NUMBER,
            Value::String(_) => Types::TEXT,
            Value::Array(_) => Types::LIST,
            Value::Object(_) => Types::OBJECT,
        }
    })
}

fn words(schema: &Map<String, Value>) -> Option<Vec<String>> {
    let values = allowed(schema)?;
    let words = values.into_iter().filter_map(Value::as_str);
    Some(words.map(str::to_owned).collect())
}

fn integer_range(schema: &Map<String, Value>) -> Range<i128> {
    let implied = implied_range(schema.get("format").and_then(Value::as_str));
    let bound = |name: &str| -> Option<i128> {
        let number = schema.get(name)?.as_number()?;
        // The schema writer may give a bound as `1.0`.
        let whole = number.as_i128();
        whole.or_else(|| number.as_f64().map(|bound| bound as i128))
    };
    Range {
        low: bound("minimum").into_iter().chain(implied.low).max(),
        high: bound("maximum").into_iter().chain(implied.high).min(),
    }
}

/// Of patterns, one is known; any other would be promised by the document and not kept.
fn needs_digit(schema: &Map<String, Value>) -> Compiled<bool> {
    match schema.get("pattern").map(Value::as_str) {
        None => Ok(false),
        Some(Some("[0-9]")) => Ok(true),
        Some(other) => Err(format!("the pattern {other:?} cannot be checked")),
    }
}

fn size_range(schema: &Map<String, Value>, low: &str, high: &str) -> Range<usize> {
    let bound = |name: &str| {
        let size = schema.get(name).and_then(Value::as_u64);
        size.and_then(|size| usize::try_from(size).ok())
    };
    Range {
        low: bound(low),
        high: bound(high),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn resolves_references_also_to_itself() {
        let tree = json!({
            "type": "object", "additionalProperties": false,
            "properties": { "parts": { "type": "array", "items": { "$ref": "#/$defs/Tree" } } },
        });
        let definitions = Definitions::from([("Tree".to_owned(), tree)]);
        let root = json!({ "$ref": "#/$defs/Tree" });
        let shapes = Shapes::compile(&root, &definitions).unwrap();
        let root = shapes.get(shapes.root()).unwrap();
        let parts = shapes.get(root.member("parts").unwrap()).unwrap();
        assert_eq!(parts.items, Some(shapes.root()));
    }

    #[test]
    fn says_which_reference_leads_nowhere() {
        let root = json!({ "$ref": "#/components/schemas/Nowhere" });
        let error = Shapes::compile(&root, &Definitions::new()).unwrap_err();
        assert!(error.contains("Nowhere"), "{error}");
    }

    #[test]
    fn integer_formats_imply_bounds() {
        let schema = json!({ "type": "integer", "format": "u-int8", "minimum": 1 });
        let shapes = Shapes::compile(&schema, &Definitions::new()).unwrap();
        let range = shapes.get(shapes.root()).unwrap().integer;
        assert_eq!((range.low, range.high), (Some(1), Some(255)));
        for format in [Some("uint64"), Some("int64"), None] {
            assert_eq!(implied_range(format).high, Some(9_007_199_254_740_991));
        }
    }

    #[test]
    fn a_pattern_that_would_not_be_checked_is_a_fault_of_the_program() {
        let schema = json!({ "type": "string", "pattern": "^[a-z]+$" });
        let error = Shapes::compile(&schema, &Definitions::new()).unwrap_err();
        assert!(error.contains("[a-z]"), "{error}");
    }

    #[test]
    fn finds_the_member_that_tells_alternatives_apart() {
        let arm = |word: &str| {
            json!({ "type": "object", "required": ["by"],
                    "properties": { "by": { "type": "string", "enum": [word] }, "x": {} } })
        };
        let schema = json!({ "oneOf": [arm("id"), arm("label")] });
        let shapes = Shapes::compile(&schema, &Definitions::new()).unwrap();
        let root = shapes.get(shapes.root()).unwrap();
        let tag = root.choice.as_ref().unwrap().tag.as_ref().unwrap();
        assert_eq!(tag.name, "by");
        let words: Vec<&str> = tag.arms.iter().map(|(word, _)| word.as_str()).collect();
        assert_eq!(words, ["id", "label"]);
    }
}
