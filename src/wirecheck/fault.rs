//! What is wrong at one place of a document.

use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};
use utoipa::ToSchema;

/// The most faults that are listed; more than that help nobody and cost the answer its size.
pub const MOST_FAULTS: usize = 100;

/// The kinds of fault, each a stable code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FaultCode {
    /// A value of another type was expected.
    WrongType,
    /// A member that must be there is not.
    MissingMember,
    /// A member that is not known here.
    UnknownMember,
    /// A word that is not one of those allowed here.
    UnknownValue,
    /// A number below or above what is allowed.
    OutOfRange,
    /// A number with a fraction or an exponent where a plain integer is needed.
    NotAnInteger,
    /// A text shorter or longer than allowed.
    WrongLength,
    /// A list with fewer or more elements than allowed.
    WrongCount,
    /// None of the alternatives allowed here fits.
    NoMatch,
    /// An object with several members of which only one is allowed.
    TooManyMembers,
    /// A value that reads well and still cannot be used.
    Unusable,
    /// Text that cannot be read as JSON.
    Unreadable,
    /// The same name twice in one object.
    DuplicateMember,
    /// A name that nothing in use has.
    UnknownName,
}

impl FaultCode {
    /// The code as it is written in answers.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::WrongType => "wrong-type",
            Self::MissingMember => "missing-member",
            Self::UnknownMember => "unknown-member",
            Self::UnknownValue => "unknown-value",
            Self::OutOfRange => "out-of-range",
            Self::NotAnInteger => "not-an-integer",
            Self::WrongLength => "wrong-length",
            Self::WrongCount => "wrong-count",
            Self::NoMatch => "no-match",
            Self::TooManyMembers => "too-many-members",
            Self::Unusable => "unusable",
            Self::Unreadable => "unreadable",
            Self::DuplicateMember => "duplicate-member",
            Self::UnknownName => "unknown-name",
        }
    }
}

/// One fault of a request or of a catalogue file.
#[derive(Debug, Clone, PartialEq, Eq, ToSchema)]
pub struct Fault {
    /// Where it is in the body: an RFC 6901 pointer (empty: the whole body; a missing member is reported
    /// at the object that lacks it). Left out where the fault is of the address: then `parameter` is
    /// there.
    #[schema(example = "/modules/2/ranks", required = false)]
    pub pointer: String,
    /// The parameter of the address that is meant, in place of `pointer`.
    #[schema(nullable = false)]
    pub parameter: Option<Box<Parameter>>,
    /// What kind of fault it is.
    pub code: FaultCode,
    /// What is wrong.
    #[schema(example = "`rank` is not a member here")]
    pub message: String,
    /// What would be right.
    #[schema(nullable = false)]
    pub hint: Option<String>,
    /// Known names that are near to an unknown one, nearest first.
    pub close_matches: Vec<String>,
}

/// Which part of an address holds a parameter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ParameterPlace {
    /// After the `?`.
    Query,
    /// Before it.
    Path,
}

/// A parameter of an address.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct Parameter {
    /// Where it stands.
    #[serde(rename = "in")]
    pub place: ParameterPlace,
    /// Its name; left out where the whole query or the whole path is meant.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "limit", nullable = false)]
    pub name: Option<String>,
}

/// A fault has a pointer or a parameter, never both.
impl Serialize for Fault {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let mut map = to.serialize_map(None)?;
        match &self.parameter {
            None => map.serialize_entry("pointer", &self.pointer)?,
            Some(parameter) => map.serialize_entry("parameter", parameter.as_ref())?,
        }
        map.serialize_entry("code", &self.code)?;
        map.serialize_entry("message", &self.message)?;
        if let Some(hint) = &self.hint {
            map.serialize_entry("hint", hint)?;
        }
        map.serialize_entry("close_matches", &self.close_matches)?;
        map.end()
    }
}

impl Fault {
    /// A fault of the address; without a name, of the whole query or path.
    pub fn of_address(
        place: ParameterPlace,
        name: Option<&str>,
        code: FaultCode,
        message: impl Into<String>,
    ) -> Self {
        let name = name.map(str::to_owned);
        Self {
            parameter: Some(Box::new(Parameter { place, name })),
            ..Self::new("", code, message)
        }
    }

    /// A fault without hint or close matches.
    pub fn new(pointer: impl Into<String>, code: FaultCode, message: impl Into<String>) -> Self {
        Self {
            pointer: pointer.into(),
            parameter: None,
            code,
            message: message.into(),
            hint: None,
            close_matches: Vec::new(),
        }
    }

    /// Adds what would be right.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// Adds the names that may have been meant.
    #[must_use]
    pub fn close_matches(mut self, names: Vec<String>) -> Self {
        self.close_matches = names;
        self
    }
}

/// All faults of a document, in the order of its text.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Faults {
    /// At most [`MOST_FAULTS`] of them.
    pub list: Vec<Fault>,
    /// True when there were more.
    pub truncated: bool,
}

impl Faults {
    /// Adds a fault, or notes that there was no room for it.
    pub fn push(&mut self, fault: Fault) {
        if self.list.len() < MOST_FAULTS {
            self.list.push(fault);
        } else {
            self.truncated = true;
        }
    }

    /// True when nothing is wrong.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// True when no further fault would be listed.
    pub fn is_full(&self) -> bool {
        self.truncated
    }
}

impl From<Fault> for Faults {
    fn from(fault: Fault) -> Self {
        Self {
            list: vec![fault],
            truncated: false,
        }
    }
}

impl From<Vec<Fault>> for Faults {
    fn from(list: Vec<Fault>) -> Self {
        let mut faults = Self::default();
        list.into_iter().for_each(|fault| faults.push(fault));
        faults
    }
}

/// User text for a message: control characters escaped, cut at 60 characters, in backticks.
pub fn quoted(text: &str) -> String {
    let mut shown: String = text
        .chars()
        .take(60)
        .flat_map(|c| if c == '`' { vec!['\''] } else { visible(c) })
        .collect();
    if text.chars().nth(60).is_some() {
        shown.push('…');
    }
    format!("`{shown}`")
}

fn visible(c: char) -> Vec<char> {
    // Direction marks could make a message read as something else.
    let hidden = matches!(c, '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}');
    if c.is_control() || hidden {
        c.escape_unicode().collect()
    } else {
        vec![c]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_written_as_it_is_serialised() {
        for code in [
            FaultCode::WrongType,
            FaultCode::NotAnInteger,
            FaultCode::TooManyMembers,
            FaultCode::Unusable,
        ] {
            let written = serde_json::to_value(code).unwrap();
            assert_eq!(written, code.as_str());
        }
    }

    #[test]
    fn notes_that_faults_were_cut_off() {
        let fault = Fault::new("", FaultCode::WrongType, "x");
        let exact = Faults::from(vec![fault.clone(); MOST_FAULTS]);
        assert!(!exact.truncated);
        let more = Faults::from(vec![fault; MOST_FAULTS + 1]);
        assert_eq!((more.list.len(), more.truncated), (MOST_FAULTS, true));
    }

    #[test]
    fn user_text_is_shown_without_control_or_direction_marks() {
        assert_eq!(quoted("a\u{1b}[31m`"), "`a\\u{1b}[31m'`");
        assert_eq!(quoted("x\u{202e}y"), "`x\\u{202e}y`");
        assert_eq!(quoted(&"a".repeat(99)).chars().count(), 63);
    }
}
