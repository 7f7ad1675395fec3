//! A schema boiled down to what is checked, with every reference resolved.

use std::fmt;
use std::ops::BitOr;

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
}
