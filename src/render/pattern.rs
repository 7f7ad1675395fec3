//! Sentences with their parameters filled in, without a walk through the syntax of Fluent each time.
//!
//! Nearly every message is plain text, parameters, and choices by a number (`[1] … *[other] …`). Those are
//! taken apart once, when a language is read. Whatever else Fluent can say stays with its bundle.

use std::borrow::Cow;
use std::collections::HashMap;

use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use fluent_syntax::ast::{Entry, Expression, InlineExpression, Pattern, PatternElement};
use fluent_syntax::ast::{Variant, VariantKey};

/// A parameter of a sentence.
#[derive(Clone, Debug)]
pub enum Arg<'a> {
    /// A text, shown as it is.
    Text(Cow<'a, str>),
    /// A number, which patterns can choose a plural by.
    Number(u64),
}

macro_rules! numbers {
    ($($number:ty)+) => {
        $(impl From<$number> for Arg<'_> {
            fn from(number: $number) -> Self {
                Self::Number(number.into())
            }
        })+
    };
}

numbers!(u8 u16 u32 u64);

impl From<usize> for Arg<'_> {
    fn from(number: usize) -> Self {
        Self::Number(number as u64)
    }
}

impl From<String> for Arg<'_> {
    fn from(text: String) -> Self {
        Self::Text(Cow::Owned(text))
    }
}

impl<'a> From<&'a str> for Arg<'a> {
    fn from(text: &'a str) -> Self {
        Self::Text(Cow::Borrowed(text))
    }
}

/// The parameters of a sentence by name.
#[derive(Clone, Debug, Default)]
pub struct Args<'a> {
    list: Vec<(&'static str, Arg<'a>)>,
}

impl<'a> Args<'a> {
    /// None yet.
    pub const fn new() -> Self {
        Self { list: Vec::new() }
    }

    /// None yet, with room for so many.
    pub fn with_capacity(count: usize) -> Self {
        Self {
            list: Vec::with_capacity(count),
        }
    }

    /// Adds one, or puts it in place of the one of that name.
    pub fn set(&mut self, name: &'static str, value: impl Into<Arg<'a>>) {
        let value = value.into();
        match self.list.iter_mut().find(|(known, _)| *known == name) {
            Some((_, known)) => *known = value,
            None => self.list.push((name, value)),
        }
    }

    fn get(&self, name: &str) -> Option<&Arg<'a>> {
        let known = self.list.iter().find(|(known, _)| *known == name);
        known.map(|(_, value)| value)
    }

    /// The same for a bundle.
    pub fn to_fluent(&self) -> FluentArgs<'_> {
        let value = |(name, value): &'_ (&'static str, Arg<'a>)| {
            let value = match value {
                Arg::Text(text) => FluentValue::from(text.to_string()),
                Arg::Number(number) => FluentValue::from(*number),
            };
            (*name, value)
        };
        self.list.iter().map(value).collect()
    }
}

impl<'a, T: Into<Arg<'a>>> FromIterator<(&'static str, T)> for Args<'a> {
    fn from_iter<I: IntoIterator<Item = (&'static str, T)>>(all: I) -> Self {
        let mut args = Self::new();
        all.into_iter()
            .for_each(|(name, value)| args.set(name, value));
        args
    }
}

/// A message taken apart.
type Pieces = Vec<Piece>;

/// A part of a message.
#[derive(Debug)]
enum Piece {
    Text(Box<str>),
    Parameter(Box<str>),
    Choice {
        by: Box<str>,
        cases: Vec<(u64, Pieces)>,
        other: Pieces,
    },
}

/// The messages of a language that are plain enough.
#[derive(Debug, Default)]
pub struct Patterns {
    messages: HashMap<Box<str>, Pieces>,
    /// Of each message, its attributes.
    attributes: HashMap<Box<str>, Vec<(Box<str>, Pieces)>>,
}

impl Patterns {
    /// Of the messages of a resource, those that are plain enough; of two with one id, the later.
    pub fn of(resource: &FluentResource) -> Self {
        let mut all = Self::default();
        for entry in resource.entries() {
            let Entry::Message(message) = entry else {
                continue;
            };
            let id = message.id.name;
            all.messages.remove(id);
            if let Some(pieces) = message.value.as_ref().and_then(pieces) {
                all.messages.insert(id.into(), pieces);
            }
            let attributes = message.attributes.iter();
            let attributes =
                attributes.filter_map(|one| Some((one.id.name.into(), pieces(&one.value)?)));
            all.attributes.insert(id.into(), attributes.collect());
        }
        all
    }

    /// The sentence; nothing if the message is not here or lacks a parameter.
    pub fn say(&self, id: &str, attribute: Option<&str>, args: &Args<'_>) -> Option<String> {
        let pieces = match attribute {
            None => self.messages.get(id)?,
            Some(name) => {
                let mut attributes = self.attributes.get(id)?.iter();
                &attributes.find(|(known, _)| **known == *name)?.1
            }
        };
        if let [Piece::Text(text)] = pieces.as_slice() {
            return Some(text.as_ref().to_owned());
        }
        let mut text = String::with_capacity(160);
        put(pieces, args, &mut text)?;
        Some(text)
    }
}

fn put(pieces: &[Piece], args: &Args<'_>, text: &mut String) -> Option<()> {
    for piece in pieces {
        match piece {
            Piece::Text(own) => text.push_str(own),
            Piece::Parameter(name) => match args.get(name)? {
                Arg::Text(own) => text.push_str(own),
                Arg::Number(number) => put_number(*number, text),
            },
            Piece::Choice { by, cases, other } => {
                let case = match args.get(by)? {
                    Arg::Number(number) => cases.iter().find(|(case, _)| case == number),
                    Arg::Text(_) => None,
                };
                put(case.map_or(other, |(_, pieces)| pieces), args, text)?;
            }
        }
    }
    Some(())
}

fn put_number(number: u64, text: &mut String) {
    /// Up to here every whole number is a double of its own, which is what Fluent shows.
    const EXACT: u64 = 1 << 53;
    if number <= EXACT {
        text.push_str(itoa::Buffer::new().format(number));
    } else {
        text.push_str(&(number as f64).to_string());
    }
}

/// The parts of a pattern; nothing if it holds what is left to the bundle.
fn pieces(pattern: &Pattern<&str>) -> Option<Pieces> {
    pattern.elements.iter().map(piece).collect()
}

fn piece(element: &PatternElement<&str>) -> Option<Piece> {
    match element {
        PatternElement::TextElement { value } => Some(Piece::Text((*value).into())),
        PatternElement::Placeable { expression } => match expression {
            Expression::Inline(InlineExpression::VariableReference { id }) => {
                Some(Piece::Parameter(id.name.into()))
            }
            Expression::Select {
                selector: InlineExpression::VariableReference { id },
                variants,
            } => choice(id.name, variants),
            _ => None,
        },
    }
}

/// A choice between whole numbers, and last what holds for all others.
fn choice(by: &str, variants: &[Variant<&str>]) -> Option<Piece> {
    let (other, cases) = variants.split_last()?;
    let is_other = matches!(&other.key, VariantKey::Identifier { name } if *name == "other");
    let case = |variant: &Variant<&str>| match &variant.key {
        VariantKey::NumberLiteral { value } => Some((value.parse().ok()?, pieces(&variant.value)?)),
        VariantKey::Identifier { .. } => None,
    };
    (other.default && is_other).then_some(())?;
    Some(Piece::Choice {
        by: by.into(),
        cases: cases.iter().map(case).collect::<Option<_>>()?,
        other: pieces(&other.value)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::words::Words;

    fn patterns(source: &str) -> Patterns {
        Patterns::of(&FluentResource::try_new(source.to_owned()).unwrap())
    }

    /// Every message of every language, with all its parameters a text or one of several numbers.
    #[test]
    fn each_says_what_the_bundle_says() {
        let names: Vec<&'static str> = Words::all()
            .iter()
            .flat_map(|words| words.source().split('$').skip(1))
            .map(|rest| {
                rest.split(|c: char| !c.is_alphanumeric() && c != '_')
                    .next()
                    .unwrap()
            })
            .collect();
        let mut values: Vec<Arg<'_>> = [0, 1, 2, 3, 5, 11, 21, 1000, 1 << 53, u64::MAX]
            .map(Arg::from)
            .to_vec();
        values.extend(["", "other", "one", "1", "ü { $x }"].map(Arg::from));
        let mut told = 0;
        for value in values {
            let mut args = Args::new();
            for name in &names {
                args.set(name, value.clone());
            }
            for words in Words::all() {
                for (id, attribute) in words.ids() {
                    let flat = words.patterns().say(&id, attribute.as_deref(), &args);
                    let bundle = words.by_bundle(&id, attribute.as_deref(), &args);
                    told += usize::from(flat.is_some());
                    assert!(
                        flat.is_none() || flat == bundle,
                        "{id}: {flat:?}, {bundle:?}"
                    );
                }
            }
        }
        assert!(told > 1000, "{told}");
    }

    #[test]
    fn what_is_not_plain_is_left_to_the_bundle() {
        let all = patterns(
            "few = { $n ->\n    [few] a\n   *[other] b\n}\nfirst = { $n ->\n   *[other] a\n    [1] b\n}\n\
             literal = { \"x\" }\nterm = { -t }\n-t = y\nlacking = { $gone }\nplain = z\nplain = { -t }\n",
        );
        let mut args = Args::new();
        args.set("n", 1u64);
        for id in [
            "few", "first", "literal", "term", "lacking", "plain", "none",
        ] {
            assert_eq!(all.say(id, None, &args), None, "{id}");
        }
    }
}
