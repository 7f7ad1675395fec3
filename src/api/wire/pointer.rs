//! JSON Pointers (RFC 6901) to lines and entries of a request, written when the answer is.

use serde::{Serialize, Serializer};
use std::borrow::Cow;
use std::fmt;

/// A pointer into the request.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Pointer {
    /// `/LIST/INDEX`.
    Entry(&'static str, usize),
    /// `/LIST/INDEX/MEMBER`.
    Member(&'static str, usize, &'static str),
    /// As it stands.
    At(Cow<'static, str>),
}

impl From<&'static str> for Pointer {
    fn from(text: &'static str) -> Self {
        Self::At(Cow::Borrowed(text))
    }
}

impl From<String> for Pointer {
    fn from(text: String) -> Self {
        Self::At(Cow::Owned(text))
    }
}

impl fmt::Display for Pointer {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Entry(list, index) => write!(f, "/{list}/{index}"),
            Self::Member(list, index, member) => write!(f, "/{list}/{index}/{member}"),
            Self::At(text) => f.write_str(text),
        }
    }
}

impl Serialize for Pointer {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let mut short = Short::default();
        let parts = match self {
            Self::At(text) => return to.serialize_str(text),
            Self::Entry(list, index) => (list, *index, None),
            Self::Member(list, index, member) => (list, *index, Some(member)),
        };
        let (list, index, member) = parts;
        let mut digits = itoa::Buffer::new();
        short
            .text("/")
            .text(list)
            .text("/")
            .text(digits.format(index));
        if let Some(member) = member {
            short.text("/").text(member);
        }
        match short.whole() {
            Some(text) => to.serialize_str(text),
            None => to.collect_str(self),
        }
    }
}

/// A short text put together without an allocation: an answer has a hundred pointers, and the general
/// formatting takes as long as a rule.
#[derive(Default)]
struct Short {
    bytes: [u8; 32],
    length: usize,
}

impl Short {
    fn text(&mut self, text: &str) -> &mut Self {
        let end = self.length + text.len();
        if let Some(free) = self.bytes.get_mut(self.length..end) {
            free.copy_from_slice(text.as_bytes());
        }
        self.length = end;
        self
    }

    /// The text; nothing if it was too long.
    fn whole(&self) -> Option<&str> {
        std::str::from_utf8(self.bytes.get(..self.length)?).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pointer_is_written_as_it_is_shown() {
        let long = "a_name_that_is_longer_than_all_that_a_request_has";
        for pointer in [
            Pointer::Entry("kit", 0),
            Pointer::Entry("population", 1023),
            Pointer::Entry("kit", usize::MAX),
            Pointer::Member("installed", 90, "module"),
            Pointer::Member(long, 7, long),
            Pointer::from("/processors"),
            Pointer::from("/wishes/budget".to_owned()),
        ] {
            let written = serde_json::to_string(&pointer).unwrap();
            assert_eq!(written, format!("\"{pointer}\""));
        }
    }
}
