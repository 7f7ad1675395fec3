//! A schema boiled down to what is checked, with every reference resolved.

use std::fmt;
use std::ops::BitOr;

use super::tree::Value;

/// Index of a shape in [`Shapes`].
pub type ShapeId = usize;

/// A set of JSON types.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Types(u8);

impl Types {
    /// No type at all.
    pub const NONE: Self = Self(0);
    /// `null`
    pub const NULL: Self = Self(1);
    /// `true`, `false`
    pub const BOOL: Self = Self(2);
    /// A number without fraction and exponent.
    pub const INTEGER: Self = Self(4);
    /// Any number.
    pub const NUMBER: Self = Self(4 | 8);
    /// A string.
    pub const TEXT: Self = Self(16);
    /// An array.
    pub const LIST: Self = Self(32);
    /// An object.
    pub const OBJECT: Self = Self(64);
    /// Every type.
    pub const ANY: Self = Self(127);

    /// Numbers with a fraction or an exponent only.
    pub const fn fraction() -> Self {
        Self(8)
    }

    /// True when the sets have a type in common.
    pub fn meets(self, other: Self) -> bool {
        self.0 & other.0 != 0
    }

    /// True when every type of `other` is in this set.
    pub fn holds(self, other: Self) -> bool {
        self.0 & other.0 == other.0
    }

    /// The types that are in both.
    pub fn both(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }
}

impl BitOr for Types {
    type Output = Self;
    fn bitor(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }
}

impl fmt::Display for Types {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut names = Vec::new();
        for (set, name) in [
            (Self::OBJECT, "an object"),
            (Self::LIST, "a list"),
            (Self::TEXT, "a string"),
            (Self::NUMBER, "a number"),
            (Self::INTEGER, "an integer"),
            (Self::BOOL, "`true` or `false`"),
            (Self::NULL, "`null`"),
        ] {
            let covered = set == Self::INTEGER && self.holds(Self::NUMBER);
            if self.holds(set) && !covered {
                names.push(name);
            }
        }
        f.write_str(&super::walk::either(&names))
    }
}

/// What members other than the known ones an object may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Rest {
    /// Any.
    #[default]
    Open,
    /// None.
    Closed,
    /// Any that have this shape.
    Each(ShapeId),
}

/// Lowest and highest allowed value, length or count.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Range<T> {
    /// The lowest, itself allowed.
    pub low: Option<T>,
    /// The highest, itself allowed.
    pub high: Option<T>,
}

impl<T: PartialOrd + Copy> Range<T> {
    /// True when the value is allowed.
    pub fn holds(&self, value: T) -> bool {
        self.low.is_none_or(|low| value >= low) && self.high.is_none_or(|high| value <= high)
    }
}

impl<T: fmt::Display> fmt::Display for Range<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (&self.low, &self.high) {
            (Some(low), Some(high)) => write!(f, "{low} to {high}"),
            (Some(low), None) => write!(f, "{low} or more"),
            (None, Some(high)) => write!(f, "{high} or less"),
            (None, None) => f.write_str("any"),
        }
    }
}

/// Alternatives of which one must fit.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Choice {
    /// All alternatives.
    pub arms: Vec<ShapeId>,
    /// The member whose word tells the object alternatives apart.
    pub tag: Option<Tag>,
    /// The object alternatives told apart by the name of their only member.
    pub keyed: Vec<(String, ShapeId)>,
}

/// A member whose word says which alternative is meant.
#[derive(Debug, Clone, PartialEq)]
pub struct Tag {
    /// The member's name.
    pub name: String,
    /// Each word with its alternative.
    pub arms: Vec<(String, ShapeId)>,
}

/// What a value must look like.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// The types that it may have.
    pub types: Types,
    /// The words that it may be, when it is a string and only some are allowed.
    pub words: Option<Vec<String>>,
    /// Bounds of an integer.
    pub integer: Range<i128>,
    /// Bounds of any number.
    pub number: Range<f64>,
    /// Bounds of a string's length, in characters.
    pub length: Range<usize>,
    /// Whether a string must hold a digit.
    pub digit: bool,
    /// Bounds of a list's length.
    pub count: Range<usize>,
    /// What each element of a list must look like.
    pub items: Option<ShapeId>,
    /// The known members of an object.
    pub members: Vec<(String, ShapeId)>,
    /// The members that must be there.
    pub required: Vec<String>,
    /// What other members there may be.
    pub rest: Rest,
    /// Alternatives, of which one must fit besides all of the above.
    pub choice: Option<Choice>,
}

impl Default for Shape {
    fn default() -> Self {
        Self {
            types: Types::ANY,
            words: None,
            integer: Range::default(),
            number: Range::default(),
            length: Range::default(),
            digit: false,
            count: Range::default(),
            items: None,
            members: Vec::new(),
            required: Vec::new(),
            rest: Rest::Open,
            choice: None,
        }
    }
}

impl Shape {
    /// Whether a string may stand here, its length aside.
    pub fn takes_text(&self, text: &str) -> bool {
        let words = self.words.as_ref();
        let known = words.is_none_or(|words| words.iter().any(|word| word == text));
        known && (!self.digit || text.contains(|c: char| c.is_ascii_digit()))
    }

    /// Whether a string of this length may stand here.
    pub fn takes_length(&self, text: &str) -> bool {
        // Counting characters costs a pass over the text; bytes are never fewer, and at most four times
        // as many.
        let long_enough = self
            .length
            .low
            .is_none_or(|low| text.len() >= low.saturating_mul(4));
        let bounded = !long_enough || self.length.high.is_some_and(|high| text.len() > high);
        !bounded || self.length.holds(text.chars().count())
    }

    /// Whether a number, as it is written, is within the bounds.
    pub fn takes_number(&self, text: &str) -> bool {
        if self.types.holds(Types::NUMBER) {
            let value: f64 = text.parse().unwrap_or(f64::INFINITY);
            value.is_finite() && self.number.holds(value)
        } else {
            let value = text.parse::<i128>();
            value.is_ok_and(|value| self.integer.holds(value))
        }
    }

    /// The shape of the member of that name.
    pub fn member(&self, name: &str) -> Option<ShapeId> {
        let known = self.members.iter().find(|(known, _)| known == name);
        known.map(|(_, shape)| *shape)
    }
}

/// All shapes of a schema; made by [`Shapes::compile`].
#[derive(Debug, Clone, PartialEq)]
pub struct Shapes {
    pub(super) list: Vec<Shape>,
    pub(super) root: ShapeId,
}

impl Shapes {
    /// The shape of the whole document.
    pub fn root(&self) -> ShapeId {
        self.root
    }

    /// The shape of that index.
    pub fn get(&self, id: ShapeId) -> Option<&Shape> {
        self.list.get(id)
    }

    /// The types that a shape takes, its alternatives included.
    pub fn types_of(&self, id: ShapeId) -> Types {
        match self.get(id) {
            None => Types::NONE,
            Some(shape) => match &shape.choice {
                // One level only: deeper nesting is settled when the walk gets there.
                Some(choice) => shape.types.both(self.types_of_all(&choice.arms)),
                None => shape.types,
            },
        }
    }

    /// The types that any of these takes, without the alternatives of its own.
    pub fn types_of_all(&self, arms: &[ShapeId]) -> Types {
        let shapes = arms.iter().filter_map(|arm| self.get(*arm));
        shapes.fold(Types::NONE, |all, shape| all | shape.types)
    }

    /// Whether a text, a number or a word surely has that shape.
    pub(super) fn takes(&self, id: ShapeId, value: &Value<'_>) -> bool {
        let Some(shape) = self.get(id) else {
            return false;
        };
        let types = types_of(value);
        let own = shape.types.meets(types)
            && match value {
                Value::Text(text) => shape.takes_text(text) && shape.takes_length(text),
                Value::Number(text) => shape.takes_number(text),
                Value::Null | Value::Bool(_) => true,
                Value::List(_) | Value::Object(_) => false,
            };
        // Of the alternatives, the one that the walk takes to be meant.
        let meant = |arm: &&ShapeId| {
            let texts = |text: &str| self.get(**arm).is_some_and(|arm| arm.takes_text(text));
            self.types_of(**arm).meets(types) && !matches!(value, Value::Text(text) if !texts(text))
        };
        own && shape.choice.as_ref().is_none_or(|choice| {
            let arm = choice.arms.iter().find(meant);
            arm.is_some_and(|arm| self.takes(*arm, value))
        })
    }
}

/// The type of a number with fraction or exponent: in [`Types::NUMBER`], not in [`Types::INTEGER`].
pub(super) const FRACTION: Types = Types::fraction();

/// The smallest set of types that a value belongs to.
pub(super) fn types_of(value: &Value<'_>) -> Types {
    match value {
        Value::Null => Types::NULL,
        Value::Bool(_) => Types::BOOL,
        // `-0` is a fraction to readers of typed numbers, since no integer is minus zero.
        Value::Number(text) if text.contains(['.', 'e', 'E']) || *text == "-0" => FRACTION,
        Value::Number(_) => Types::INTEGER,
        Value::Text(_) => Types::TEXT,
        Value::List(_) => Types::LIST,
        Value::Object(_) => Types::OBJECT,
    }
}
