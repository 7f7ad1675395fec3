//! The smallest parts of JSON text: blanks, words, numbers, strings.

use std::borrow::Cow;

use super::super::tree::Value;
use super::{Reason, Stop};

/// Whether a byte of a string is a quote, a backslash or a control character: looked up, since a request is
/// mostly strings.
fn ends_run(byte: u8) -> bool {
    #[expect(clippy::indexing_slicing, reason = "worked out when this is compiled")]
    const ENDS: [bool; 256] = {
        let mut ends = [false; 256];
        let mut byte = 0;
        while byte < 0x20 {
            ends[byte] = true;
            byte += 1;
        }
        ends[b'"' as usize] = true;
        ends[b'\\' as usize] = true;
        ends
    };
    ENDS.get(usize::from(byte)).copied().unwrap_or(true)
}

/// A place in a text.
pub struct Scan<'a> {
    /// The text.
    pub text: &'a str,
    /// The byte that is read next.
    pub at: usize,
}

impl<'a> Scan<'a> {
    /// The byte that is read next.
    pub fn peek(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    /// What is wrong here.
    pub fn stop<T>(&self, what: &'static str) -> Result<T, Stop> {
        Err((Reason::Syntax(what), self.at))
    }

    /// Moves behind blanks.
    pub fn skip_blanks(&mut self) {
        while matches!(self.peek(), Some(b' ' | b'\t' | b'\n' | b'\r')) {
            self.at += 1;
        }
    }

    /// `true`, `false` or `null`.
    pub fn word(&mut self) -> Result<Value<'a>, Stop> {
        let rest = self.text.get(self.at..).unwrap_or_default();
        for (word, value) in [
            ("true", Value::Bool(true)),
            ("false", Value::Bool(false)),
            ("null", Value::Null),
        ] {
            if rest.starts_with(word) {
                self.at += word.len();
                return Ok(value);
            }
        }
        if rest.starts_with("NaN") || rest.starts_with("Infinity") {
            return self.stop("JSON has no number for this");
        }
        if rest.starts_with('\'') {
            return self.stop("strings are written in double quotes");
        }
        self.stop("a JSON value is expected")
    }

    /// A number as it is written.
    pub fn number(&mut self) -> Result<&'a str, Stop> {
        let start = self.at;
        if self.peek() == Some(b'-') {
            self.at += 1;
        }
        let leading_zero = self.peek() == Some(b'0');
        let whole = self.digits();
        if whole == 0 {
            return self.stop("a digit is expected");
        }
        if leading_zero && whole > 1 {
            return self.stop("a number must not start with 0");
        }
        if self.peek() == Some(b'.') {
            self.at += 1;
            if self.digits() == 0 {
                return self.stop("a digit is expected after the decimal point");
            }
        }
        if matches!(self.peek(), Some(b'e' | b'E')) {
            self.at += 1;
            if matches!(self.peek(), Some(b'+' | b'-')) {
                self.at += 1;
            }
            if self.digits() == 0 {
                return self.stop("a digit is expected in the exponent");
            }
        }
        Ok(self.text.get(start..self.at).unwrap_or_default())
    }

    fn digits(&mut self) -> usize {
        let start = self.at;
        while matches!(self.peek(), Some(b'0'..=b'9')) {
            self.at += 1;
        }
        self.at - start
    }

    /// A string from its opening quote to behind its closing one.
    pub fn string(&mut self) -> Result<Cow<'a, str>, Stop> {
        self.at += 1;
        let start = self.at;
        self.plain_run()?;
        let first = self.text.get(start..self.at).unwrap_or_default();
        if self.peek() == Some(b'"') {
            self.at += 1;
            return Ok(Cow::Borrowed(first));
        }
        let mut owned = first.to_owned();
        while self.peek() == Some(b'\\') {
            owned.push(self.escape()?);
            let from = self.at;
            self.plain_run()?;
            owned.push_str(self.text.get(from..self.at).unwrap_or_default());
        }
        self.at += 1;
        Ok(Cow::Owned(owned))
    }

    /// Moves to the next quote or backslash.
    fn plain_run(&mut self) -> Result<(), Stop> {
        let rest = self.text.as_bytes().get(self.at..).unwrap_or_default();
        let length = rest.iter().position(|byte| ends_run(*byte));
        self.at += length.unwrap_or(rest.len());
        match self.peek() {
            Some(b'"' | b'\\') => Ok(()),
            Some(_) => self.stop("a control character must be escaped within a string"),
            None => self.stop("the text ends within a string"),
        }
    }

    fn escape(&mut self) -> Result<char, Stop> {
        let start = self.at;
        self.at += 1;
        let byte = self.peek();
        self.at += 1;
        Ok(match byte {
            Some(byte @ (b'"' | b'\\' | b'/')) => char::from(byte),
            Some(b'b') => '\u{8}',
            Some(b'f') => '\u{c}',
            Some(b'n') => '\n',
            Some(b'r') => '\r',
            Some(b't') => '\t',
            Some(b'u') => return self.unicode_escape(start),
            _ => {
                self.at = start;
                return self.stop("this escape is not known");
            }
        })
    }

    fn unicode_escape(&mut self, start: usize) -> Result<char, Stop> {
        let first = self.four_hex_digits()?;
        let code = match first {
            0xd800..=0xdbff if self.text.get(self.at..self.at + 2) == Some("\\u") => {
                self.at += 2;
                let second = self.four_hex_digits()?;
                let low = second.wrapping_sub(0xdc00);
                // Out of range for a low half: leaves a number that is no character.
                if low < 0x400 {
                    0x1_0000 + ((first - 0xd800) << 10) + low
                } else {
                    first
                }
            }
            _ => first,
        };
        char::from_u32(code).ok_or((
            Reason::Syntax("half of a surrogate pair stands alone"),
            start,
        ))
    }

    fn four_hex_digits(&mut self) -> Result<u32, Stop> {
        let digits = self.text.get(self.at..self.at + 4).unwrap_or_default();
        if digits.len() != 4 || !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
            return self.stop("four hexadecimal digits are expected after `\\u`");
        }
        self.at += 4;
        u32::from_str_radix(digits, 16).or_else(|_| self.stop("a hexadecimal digit is expected"))
    }
}
