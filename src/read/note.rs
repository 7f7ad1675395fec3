//! Notes: what a reader has to say about its input, as typed values.
//!
//! A note is a kind (stable code, weight, English wording) and parameters. The wording is a Fluent
//! pattern kept beside the kind; another language only needs the codes and the parameter names.

/// Declares kinds of notes, one static each, and `KINDS`, the list of them all:
/// `NAME Weight "code" ["parameter", ..] "pattern";`
macro_rules! kinds {
    ($($name:ident $weight:ident $code:literal [$($parameter:literal),*] $pattern:literal;)*) => {
        $(
            #[doc = concat!("`", $code, "`")]
            pub static $name: $crate::read::note::NoteKind = $crate::read::note::NoteKind {
                code: $code,
                weight: $crate::read::note::Weight::$weight,
                parameters: &[$($parameter),*],
                pattern: $pattern,
            };
        )*

        /// All of them, in the order in which they stand here.
        pub static KINDS: &[&$crate::read::note::NoteKind] = &[$(&$name),*];
    };
}
pub(in crate::read) use kinds;

/// How much a note weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Worth knowing; nothing is less sure for it.
    Remark,
    /// Well formed, but something is missing or doubtful.
    Caution,
    /// Not well formed: the facts concerned are assumed or unknown.
    Fault,
}

impl Weight {
    /// The stable name: `remark`, `caution` or `fault`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Remark => "remark",
            Self::Caution => "caution",
            Self::Fault => "fault",
        }
    }
}

/// A kind of note.
#[derive(Debug, PartialEq, Eq)]
pub struct NoteKind {
    /// Stable code in kebab-case.
    pub code: &'static str,
    /// How much it weighs.
    pub weight: Weight,
    /// Names of the parameters that every note of this kind carries.
    pub parameters: &'static [&'static str],
    /// English wording: a Fluent pattern over those parameters.
    pub pattern: &'static str,
}

/// A parameter's value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Parameter {
    /// Text, as found or as meant.
    Text(String),
    /// A plain number: a count or an offset.
    Number(u64),
    /// Sixteen bits, shown as hexadecimal digits.
    Hex(u16),
    /// A rate in MT/s.
    RateMts(u32),
    /// A die density in Mbit.
    DensityMbit(u32),
    /// A list of allowed or affected things.
    List(Vec<String>),
}

/// One note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Note {
    kind: &'static NoteKind,
    parameters: Vec<(&'static str, Parameter)>,
}

impl Note {
    /// A note of this kind, its parameters still to come.
    pub const fn new(kind: &'static NoteKind) -> Self {
        Self {
            kind,
            parameters: Vec::new(),
        }
    }

    /// A note that says what was found.
    pub fn found(kind: &'static NoteKind, found: &str) -> Self {
        Self::new(kind).text("found", found)
    }

    /// A note that says what was found and what was meant.
    pub fn meant(kind: &'static NoteKind, found: &str, meant: &str) -> Self {
        Self::found(kind, found).text("meant", meant)
    }

    /// A note that says what was found and what would be allowed.
    pub fn allowed<'a>(
        kind: &'static NoteKind,
        found: &str,
        allowed: impl IntoIterator<Item = &'a str>,
    ) -> Self {
        let allowed = allowed.into_iter().map(str::to_owned).collect();
        Self::found(kind, found).with("allowed", Parameter::List(allowed))
    }

    /// The same note with one more parameter.
    #[must_use]
    pub fn with(mut self, name: &'static str, value: Parameter) -> Self {
        self.parameters.push((name, value));
        self
    }

    /// The same note with one more parameter of text.
    #[must_use]
    pub fn text(self, name: &'static str, value: &str) -> Self {
        self.with(name, Parameter::Text(value.to_owned()))
    }

    /// The same note with one more parameter that is a number.
    #[must_use]
    pub fn number(self, name: &'static str, value: usize) -> Self {
        self.with(name, Parameter::Number(value as u64))
    }

    /// The kind.
    pub const fn kind(&self) -> &'static NoteKind {
        self.kind
    }

    /// The stable code.
    pub const fn code(&self) -> &'static str {
        self.kind.code
    }

    /// How much it weighs.
    pub const fn weight(&self) -> Weight {
        self.kind.weight
    }

    /// The parameters in order.
    pub fn parameters(&self) -> &[(&'static str, Parameter)] {
        &self.parameters
    }

    /// The text of a parameter, when it has one of that name and type.
    pub fn text_of(&self, name: &str) -> Option<&str> {
        self.parameters.iter().find_map(|(key, value)| match value {
            Parameter::Text(text) if *key == name => Some(text.as_str()),
            _ => None,
        })
    }
}
