//! The usual case in one pass: whether a text is surely good JSON of a shape.
//!
//! No tree is made and nothing is named. What this pass says to be sound, [`parse`](super::text::parse) and
//! [`faults`](super::walk::faults) find nothing wrong with; of the rest it does not say whether it is: they
//! do. So it may give up wherever an answer would take a second look, such as where members decide which
//! of several records is meant.

use super::shape::{Choice, Range, Rest, Shape, ShapeId, Shapes, Types};
use super::text::Limits;
use super::text::scan::Scan;
use super::tree::Value;

/// True if the text surely is good JSON of that shape.
pub fn is_sound(text: &str, shapes: &Shapes, limits: &Limits) -> bool {
    let mut pass = Pass {
        scan: Scan { text, at: 0 },
        shapes,
        values: limits.values,
    };
    // Each level calls the next, so their number is bounded whatever the limits say.
    let levels = limits.depth.min(Limits::default().depth);
    let whole = pass.value(shapes.root(), levels);
    pass.scan.skip_blanks();
    whole.is_some() && pass.scan.peek().is_none()
}

struct Pass<'a> {
    scan: Scan<'a>,
    shapes: &'a Shapes,
    /// How many values may still come.
    values: usize,
}

/// Nothing where it is not sure.
type Sure = Option<()>;

impl<'a> Pass<'a> {
    fn value(&mut self, shape: ShapeId, levels: usize) -> Sure {
        self.values = self.values.checked_sub(1)?;
        self.scan.skip_blanks();
        let value = match self.scan.peek()? {
            b'{' => {
                let shape = self.only(shape, Types::OBJECT)?;
                return self.object(shape, levels.checked_sub(1)?);
            }
            b'[' => {
                let shape = self.only(shape, Types::LIST)?;
                return self.list(shape, levels.checked_sub(1)?);
            }
            b'"' => Value::Text(self.scan.string().ok()?),
            b'-' | b'0'..=b'9' => Value::Number(self.scan.number().ok()?),
            _ => self.scan.word().ok()?,
        };
        self.shapes.takes(shape, &value).then_some(())
    }

    /// The one shape that decides about a list or an object.
    fn only(&self, id: ShapeId, types: Types) -> Option<&'a Shape> {
        let shape = self.shapes.get(id)?;
        let Some(choice) = &shape.choice else {
            return shape.types.meets(types).then_some(shape);
        };
        let mut arms = choice.arms.iter();
        let mut meant = || arms.find(|arm| self.shapes.types_of(**arm).meets(types));
        let (only, other) = (meant()?, meant());
        let sure = other.is_none() && says_types_only(shape) && is_plain(choice);
        (sure && shape.types.meets(types)).then_some(())?;
        self.only(*only, types)
    }

    fn list(&mut self, shape: &Shape, levels: usize) -> Sure {
        self.scan.at += 1;
        let mut count = 0;
        while self.goes_on(b']', count)? {
            self.value(shape.items?, levels)?;
            count += 1;
        }
        shape.count.holds(count).then_some(())
    }

    fn object(&mut self, shape: &Shape, levels: usize) -> Sure {
        self.scan.at += 1;
        let (mut count, mut seen) = (0, 0u64);
        while self.goes_on(b'}', count)? {
            let (place, member) = self.name(shape)?;
            // A name that stands twice is told by its bit.
            let bit = 1u64.checked_shl(place)?;
            (seen & bit == 0).then_some(())?;
            seen |= bit;
            self.value(member, levels)?;
            count += 1;
        }
        let has = |name: &String| {
            let place = shape.members.iter().position(|(known, _)| known == name);
            let bit = place.and_then(|place| 1u64.checked_shl(place as u32));
            bit.is_some_and(|bit| seen & bit != 0)
        };
        shape.required.iter().all(has).then_some(())
    }

    /// Moves to the next element or member; false behind the end.
    fn goes_on(&mut self, end: u8, before: usize) -> Option<bool> {
        self.scan.skip_blanks();
        match self.scan.peek()? {
            byte if byte == end => {
                self.scan.at += 1;
                return Some(false);
            }
            b',' if before > 0 => {
                self.scan.at += 1;
                self.scan.skip_blanks();
                // A comma before the end is no JSON.
                (self.scan.peek()? != end).then_some(())?;
            }
            _ if before > 0 => return None,
            _ => {}
        }
        Some(true)
    }

    /// A name up to its value: the place and the shape of the member.
    fn name(&mut self, shape: &Shape) -> Option<(u32, ShapeId)> {
        (self.scan.peek()? == b'"').then_some(())?;
        let name = self.scan.string().ok()?;
        self.scan.skip_blanks();
        (self.scan.peek()? == b':').then_some(())?;
        self.scan.at += 1;
        let mut members = (0u32..).zip(&shape.members);
        let (place, (_, member)) = members.find(|(_, (known, _))| *known == name)?;
        Some((place, *member))
    }
}

/// Whether a shape with alternatives asks nothing else of a list or an object.
fn says_types_only(shape: &Shape) -> bool {
    shape.items.is_none()
        && shape.count == Range::default()
        && shape.members.is_empty()
        && shape.required.is_empty()
        && shape.rest == Rest::Open
}

/// Whether no member has to be looked at to know the alternative.
fn is_plain(choice: &Choice) -> bool {
    choice.tag.is_none() && choice.keyed.is_empty()
}

/// A text with something put in at every place, in front of what stands there or in place of it.
#[cfg(test)]
pub fn broken(text: &str) -> impl Iterator<Item = String> {
    const PUT: [&str; 22] = [
        "",
        ",",
        "\"",
        "}",
        "]",
        "[",
        "{",
        ":",
        "0",
        "-",
        "1.5",
        "e",
        "\\",
        "\n",
        "\u{1}",
        "x",
        "null",
        "[[",
        "\"board\":\"a\",",
        "\"n\":1,",
        "\"any\":1,",
        "\u{feff}",
    ];
    let places = (0..=text.len()).filter(|at| text.is_char_boundary(*at));
    let ways = places.flat_map(|at| PUT.map(|put| (at, put)));
    ways.flat_map(move |(at, put)| {
        let before = text.get(..at).unwrap_or_default();
        [0, 1, 2].map(|skip| {
            let rest = text.get(at + skip..).unwrap_or_default();
            format!("{before}{put}{rest}")
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wirecheck::check;
    use serde_json::json;

    fn shapes() -> Shapes {
        let schema = json!({
            "type": "object", "additionalProperties": false, "required": ["board"],
            "properties": {
                "board": { "anyOf": [
                    { "type": "string", "minLength": 1, "maxLength": 4 },
                    { "type": "object", "additionalProperties": false, "required": ["id"],
                      "properties": { "id": { "type": "string" }, "n": { "type": "integer" } } },
                ] },
                "kind": { "oneOf": [ { "type": "null" }, { "type": "string", "enum": ["a", "b"] } ] },
                "list": { "type": "array", "maxItems": 3, "items": {
                    "type": "integer", "minimum": 1, "maximum": 20 } },
                "share": { "type": "number", "maximum": 2 },
                "any": {},
                "told": { "type": ["boolean", "null"] },
                "deep": { "type": "array", "items": { "type": "array", "items": { "type": "array",
                    "items": { "type": "array" } } } },
            },
        });
        Shapes::compile(&schema, &Default::default()).unwrap()
    }

    /// Each text is sound as it stands; broken at every byte in every way below, whatever is still said to
    /// be sound has no fault.
    #[test]
    fn what_is_sound_has_no_fault() {
        let (shapes, limits) = (
            shapes(),
            Limits {
                depth: 4,
                values: 10,
            },
        );
        let sound = |text: &str| is_sound(text, &shapes, &limits);
        for text in [
            r#"{"board":"abcd"}"#,
            r#" { "kind" : null , "board" : { "n" : -3, "id" : "\u00e4" } , "told" : true } "#,
            r#"{"b\u006fard":"ü","list":[1,20],"share":0.5,"kind":"a","told":null,"deep":[[]]}"#,
            r#"{"board":"a","list":[],"deep":[[[]]]}"#,
        ] {
            assert!(sound(text), "{text}");
            for broken in broken(text) {
                let faults = check(broken.as_bytes(), &shapes, &limits);
                let good = faults.is_ok_and(|faults| faults.is_empty());
                assert!(good || !sound(&broken), "{broken}");
            }
        }
    }

    #[test]
    fn it_gives_up_where_members_decide_what_is_meant() {
        let arm = |name: &str| {
            json!({ "type": "object", "required": [name], "additionalProperties": false,
                    "properties": { name: { "type": "string" } } })
        };
        let schema = json!({ "oneOf": [arm("id"), arm("label")] });
        let shapes = Shapes::compile(&schema, &Default::default()).unwrap();
        assert!(!is_sound(r#"{"id":"a"}"#, &shapes, &Limits::default()));
    }
}
