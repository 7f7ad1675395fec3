//! One spelling for each JSON value (RFC 8785), so that a digest does not hang on spaces, on the order of
//! members or on how a character is escaped.

use serde_json::{Map, Number, Value};

/// The canonical text of a value.
pub fn text(value: &Value) -> String {
    let mut text = String::new();
    write(value, &mut text);
    text
}

fn write(value: &Value, text: &mut String) {
    match value {
        Value::Null => text.push_str("null"),
        Value::Bool(true) => text.push_str("true"),
        Value::Bool(false) => text.push_str("false"),
        Value::Number(number) => text.push_str(&number_text(number)),
        Value::String(string) => text.push_str(&quoted(string)),
        Value::Array(elements) => {
            text.push('[');
            for (place, element) in elements.iter().enumerate() {
                if place > 0 {
                    text.push(',');
                }
                write(element, text);
            }
            text.push(']');
        }
        Value::Object(members) => object(members, text),
    }
}

/// Members in the order of the UTF-16 code units of their names (section 3.2.3).
fn object(members: &Map<String, Value>, text: &mut String) {
    let mut sorted: Vec<(&String, &Value)> = members.iter().collect();
    sorted.sort_by(|(a, _), (b, _)| a.encode_utf16().cmp(b.encode_utf16()));
    text.push('{');
    for (place, (name, value)) in sorted.into_iter().enumerate() {
        if place > 0 {
            text.push(',');
        }
        text.push_str(&quoted(name));
        text.push(':');
        write(value, text);
    }
    text.push('}');
}

/// serde_json escapes exactly what section 3.2.2.2 asks for, in the same way; a test holds it to that.
fn quoted(string: &str) -> String {
    serde_json::to_string(string).unwrap_or_default()
}

/// The largest number up to which every integer is a double of its own.
const EXACT: u64 = 1 << 53;

fn number_text(number: &Number) -> String {
    match (number.as_u64(), number.as_i64(), number.as_f64()) {
        (Some(whole), _, _) if whole <= EXACT => whole.to_string(),
        (_, Some(whole), _) if whole.unsigned_abs() <= EXACT => whole.to_string(),
        (_, _, Some(double)) => double_text(double),
        _ => number.to_string(),
    }
}

/// A double as ECMAScript writes it (section 3.2.2.3; ECMA-262, Number::toString).
fn double_text(double: f64) -> String {
    if double == 0.0 {
        return "0".to_owned();
    }
    // The shortest digits that give the same double, as `d.ddde-x`.
    let shortest = format!("{:e}", double.abs());
    let (mantissa, exponent) = shortest.split_once('e').unwrap_or((&shortest, "0"));
    let digits: String = mantissa.chars().filter(char::is_ascii_digit).collect();
    let digits = even_of_two(digits, double);
    let point = exponent.parse::<i32>().unwrap_or(0) + 1;
    let sign = if double < 0.0 { "-" } else { "" };
    format!("{sign}{}", placed(&digits, point))
}

/// Of two shortest texts that are as near, the even one counts (ECMA-262, Number::toString, note 2);
/// ours is then the upper one.
fn even_of_two(digits: String, double: f64) -> String {
    let Some(last) = digits.bytes().last().filter(|last| last % 2 == 1) else {
        return digits;
    };
    let lower = format!(
        "{}{}",
        digits.get(..digits.len() - 1).unwrap_or(""),
        char::from(last - 1)
    );
    // A double has no more than 767 digits: this is its exact value.
    let exact = format!("{:.800e}", double.abs());
    let exact = exact.split_once('e').map_or("", |(mantissa, _)| mantissa);
    let exact: String = exact.chars().filter(char::is_ascii_digit).collect();
    match exact.trim_end_matches('0') == format!("{lower}5") {
        true => lower,
        false => digits,
    }
}

/// Digits with the point after the `point`th of them.
fn placed(digits: &str, point: i32) -> String {
    let count = i32::try_from(digits.len()).unwrap_or(i32::MAX);
    let zeros = |n: i32| "0".repeat(usize::try_from(n).unwrap_or(0));
    match point {
        _ if count <= point && point <= 21 => format!("{digits}{}", zeros(point - count)),
        1..=21 => {
            let (before, after) = digits.split_at(usize::try_from(point).unwrap_or(0));
            format!("{before}.{after}")
        }
        -5..=0 => format!("0.{}{digits}", zeros(-point)),
        _ => {
            let (first, rest) = digits.split_at(1);
            let dot = if rest.is_empty() { "" } else { "." };
            let sign = if point > 0 { "+" } else { "-" };
            format!("{first}{dot}{rest}e{sign}{}", (point - 1).abs())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 8785, appendix B: bits of a double and its text.
    #[test]
    fn writes_numbers_as_the_standard_lists_them() {
        let rows: [(u64, &str); 21] = [
            (0x0000000000000000, "0"),
            (0x8000000000000000, "0"),
            (0x0000000000000001, "5e-324"),
            (0x8000000000000001, "-5e-324"),
            (0x7fefffffffffffff, "1.7976931348623157e+308"),
            (0xffefffffffffffff, "-1.7976931348623157e+308"),
            (0x4340000000000000, "9007199254740992"),
            (0xc340000000000000, "-9007199254740992"),
            (0x4430000000000000, "295147905179352830000"),
            (0x44b52d02c7e14af5, "9.999999999999997e+22"),
            (0x44b52d02c7e14af6, "1e+23"),
            (0x44b52d02c7e14af7, "1.0000000000000001e+23"),
            (0x444b1ae4d6e2ef4e, "999999999999999700000"),
            (0x444b1ae4d6e2ef4f, "999999999999999900000"),
            (0x444b1ae4d6e2ef50, "1e+21"),
            (0x3eb0c6f7a0b5ed8c, "9.999999999999997e-7"),
            (0x3eb0c6f7a0b5ed8d, "0.000001"),
            (0x41b3de4355555553, "333333333.3333332"),
            (0x41b3de4355555557, "333333333.33333343"),
            (0xbecbf647612f3696, "-0.0000033333333333333333"),
            (0x43143ff3c1cb0959, "1424953923781206.2"),
        ];
        for (bits, expected) in rows {
            assert_eq!(double_text(f64::from_bits(bits)), expected, "{bits:x}");
        }
    }

    /// RFC 8785, sections 3.2.2 and 3.2.3: the worked examples.
    #[test]
    fn writes_the_examples_of_the_standard() {
        let input = r#"{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
            "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/", "literals": [null, true, false]}"#;
        let expected = "{\"literals\":[null,true,false],\"numbers\":[333333333.3333333,1e+30,4.5,0.002,1e-27],\"string\":\"\u{20ac}$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}";
        assert_eq!(text(&serde_json::from_str(input).unwrap()), expected);
        let input = r#"{"\u20ac": "Euro Sign", "\r": "Carriage Return", "\ufb33": "Hebrew Letter Dalet With Dagesh",
            "1": "One", "\ud83d\ude00": "Emoji: Grinning Face", "\u0080": "Control", "\u00f6": "Latin Small Letter O With Diaeresis"}"#;
        let value: Value = serde_json::from_str(input).unwrap();
        let written = text(&value);
        let order = [
            "Carriage", "One", "Control", "Latin", "Euro", "Emoji", "Hebrew",
        ];
        let places: Vec<usize> = order
            .iter()
            .map(|word| written.find(word).unwrap())
            .collect();
        assert!(places.is_sorted(), "{written}");
    }

    #[test]
    fn two_spellings_of_one_value_are_one_text() {
        let one: Value = serde_json::from_str(r#"{"a":[1.0,2],"b":"\u0041"}"#).unwrap();
        let other: Value = serde_json::from_str("{ \"b\": \"A\",\n \"a\": [1, 2e0] }").unwrap();
        assert_eq!(text(&one), text(&other));
    }
}
