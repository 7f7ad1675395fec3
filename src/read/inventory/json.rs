//! JSON from tools that do not always print JSON: repair at the top level, and loose access.

use super::note::{Code, Note};
use serde_json::{Map, Value};

/// Parses the top-level values. Output that lacks its outer brackets or the commas between objects
/// is read object by object; what follows a real fault is lost, and the note says where it is.
pub fn parse(text: &str) -> (Vec<Value>, Vec<Note>) {
    let fault = match serde_json::from_str::<Value>(text) {
        Ok(value) => return (vec![value], Vec::new()),
        Err(fault) => fault,
    };
    let values = loose_objects(text);
    let note = if values.is_empty() || !fully_read(text, &values) {
        let place = |n: usize| (n as u64).into();
        let params = vec![
            ("line", place(fault.line())),
            ("column", place(fault.column())),
        ];
        Note::report(Code::JsonBroken, params)
    } else {
        let params = vec![("objects", values.len().into())];
        Note::report(Code::JsonRepaired, params)
    };
    (
        values.into_iter().map(|(value, _)| value).collect(),
        vec![note],
    )
}

/// Objects that stand beside each other, with the offsets behind them.
fn loose_objects(text: &str) -> Vec<(Value, usize)> {
    let mut values = Vec::new();
    let mut at = 0;
    while let Some(rest) = text.get(at..) {
        let between = |c: char| c.is_whitespace() || matches!(c, ',' | '[' | ']');
        let start = at + (rest.len() - rest.trim_start_matches(between).len());
        let Some(rest) = text.get(start..).filter(|rest| rest.starts_with('{')) else {
            break;
        };
        let mut stream = serde_json::Deserializer::from_str(rest).into_iter::<Value>();
        let Some(Ok(value)) = stream.next() else {
            break;
        };
        at = start + stream.byte_offset();
        values.push((value, at));
    }
    values
}

fn fully_read(text: &str, values: &[(Value, usize)]) -> bool {
    let end = values.last().map_or(0, |(_, end)| *end);
    let rest = text.get(end..).unwrap_or_default();
    rest.chars()
        .all(|c| c.is_whitespace() || matches!(c, ',' | ']' | '['))
}

/// Every object within the values, outer before inner, in the order of the text.
pub fn objects(values: &[Value]) -> impl Iterator<Item = &Map<String, Value>> {
    let mut open: Vec<&Value> = values.iter().rev().collect();
    std::iter::from_fn(move || {
        loop {
            match open.pop()? {
                Value::Array(items) => open.extend(items.iter().rev()),
                Value::Object(object) => {
                    let inner = object.values().filter(|v| v.is_array() || v.is_object());
                    let at = open.len();
                    open.extend(inner);
                    if let Some(added) = open.get_mut(at..) {
                        added.reverse();
                    }
                    return Some(object);
                }
                _ => {}
            }
        }
    })
}

/// A member that is text.
pub fn text<'a>(object: &'a Map<String, Value>, key: &str) -> Option<&'a str> {
    object.get(key).and_then(Value::as_str)
}

/// A member that is a whole number, or a text or a decimal number that stands for one.
pub fn number(object: &Map<String, Value>, key: &str) -> Option<u64> {
    as_number(object.get(key)?)
}

/// A value that stands for a whole number.
pub fn as_number(value: &Value) -> Option<u64> {
    match value {
        Value::Number(number) => number.as_u64().or_else(|| {
            let rounded = number.as_f64()?.round();
            let fits = (0.0..=9_007_199_254_740_992.0).contains(&rounded);
            fits.then_some(rounded as u64)
        }),
        Value::String(text) => text.trim().parse().ok(),
        _ => None,
    }
}

/// A member that is an object.
pub fn object<'a>(object: &'a Map<String, Value>, key: &str) -> Option<&'a Map<String, Value>> {
    object.get(key).and_then(Value::as_object)
}
