//! Messages in the syntax of Fluent, taken apart once: a sentence is filled in without looking at the
//! syntax again.
//!
//! What is taken is text, parameters, and choices by a parameter (its words, its numbers, or the plural
//! that its number has in the language). Functions, terms and messages within messages are not: a test
//! says so of every message, and another holds what comes out to the crate `fluent-bundle`.

use fluent_syntax::ast::{self, Entry, Expression, InlineExpression, PatternElement, VariantKey};
use fluent_syntax::parser::parse_runtime;
use intl_pluralrules::{PluralCategory, PluralRuleType, PluralRules};
use std::borrow::Cow;
use std::collections::HashMap;
use std::fmt::Write;
use unic_langid::LanguageIdentifier;

/// The messages of a language by their id.
pub struct Patterns {
    messages: HashMap<String, Message>,
    plurals: Option<PluralRules>,
}

struct Message {
    value: Option<Pattern>,
    attributes: Vec<(String, Pattern)>,
}

/// A message, or an attribute of one, taken apart.
pub struct Pattern(Vec<Piece>);

enum Piece {
    Text(String),
    Parameter(String),
    Choice {
        by: String,
        variants: Vec<(Key, Pattern)>,
        /// The variant that is taken where no other fits.
        usual: usize,
    },
}

/// What a variant of a choice is for.
enum Key {
    Number(u64),
    /// A word, or a number of this plural.
    Word(String, Option<PluralCategory>),
}

/// The value of a parameter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Argument<'a> {
    /// A text.
    Text(Cow<'a, str>),
    /// A number, by which a pattern can choose a plural.
    Number(u64),
}

/// Where the values of parameters come from.
pub trait Arguments {
    /// The value of a parameter, if there is one of that name.
    fn value(&self, name: &str) -> Option<Argument<'_>>;
}

/// Values of parameters, each with its name.
#[derive(Clone, Debug, Default)]
pub struct Args<'a>(Vec<(&'a str, Argument<'a>)>);

impl<'a> Args<'a> {
    /// None.
    pub const fn new() -> Self {
        Self(Vec::new())
    }

    /// None yet, with room for so many.
    pub fn with_capacity(count: usize) -> Self {
        Self(Vec::with_capacity(count))
    }

    /// Adds a parameter, or changes its value.
    pub fn set(&mut self, name: &'a str, value: impl Into<Argument<'a>>) {
        let value = value.into();
        match self.0.iter_mut().find(|(own, _)| *own == name) {
            Some((_, old)) => *old = value,
            None => self.0.push((name, value)),
        }
    }
}

impl<'a, V: Into<Argument<'a>>> FromIterator<(&'a str, V)> for Args<'a> {
    fn from_iter<I: IntoIterator<Item = (&'a str, V)>>(pairs: I) -> Self {
        let mut args = Self::new();
        pairs
            .into_iter()
            .for_each(|(name, value)| args.set(name, value));
        args
    }
}

impl Arguments for Args<'_> {
    fn value(&self, name: &str) -> Option<Argument<'_>> {
        let (_, value) = self.0.iter().find(|(own, _)| *own == name)?;
        Some(value.borrowed())
    }
}

impl Argument<'_> {
    /// The same without a copy of the text.
    pub fn borrowed(&self) -> Argument<'_> {
        match self {
            Self::Text(text) => Argument::Text(Cow::Borrowed(text)),
            Self::Number(number) => Argument::Number(*number),
        }
    }
}

impl From<String> for Argument<'_> {
    fn from(text: String) -> Self {
        Self::Text(Cow::Owned(text))
    }
}

impl<'a> From<&'a str> for Argument<'a> {
    fn from(text: &'a str) -> Self {
        Self::Text(Cow::Borrowed(text))
    }
}

macro_rules! numbers {
    ($($kind:ty),*) => {
        $(impl From<$kind> for Argument<'_> {
            fn from(number: $kind) -> Self {
                Self::Number(u64::from(number))
            }
        })*
    };
}

numbers!(u8, u16, u32, u64);

impl From<usize> for Argument<'_> {
    fn from(number: usize) -> Self {
        Self::Number(number as u64)
    }
}

impl Patterns {
    /// The messages of a source. Of two with one id the later holds. What can't be parsed, or holds what
    /// is not taken, is left out.
    pub fn read(tag: &str, source: &str) -> Self {
        let language: LanguageIdentifier = tag.parse().unwrap_or_default();
        let resource = parse_runtime(source).unwrap_or_else(|(resource, _)| resource);
        let messages = resource.body.iter().filter_map(|entry| match entry {
            Entry::Message(message) => Some((message.id.name.to_owned(), taken_apart(message)?)),
            _ => None,
        });
        Self {
            messages: messages.collect(),
            plurals: PluralRules::create(language, PluralRuleType::CARDINAL).ok(),
        }
    }

    /// Whether there is a message with this id.
    pub fn has(&self, id: &str) -> bool {
        self.messages.contains_key(id)
    }

    /// A message, or an attribute of it.
    pub fn get(&self, id: &str, attribute: Option<&str>) -> Option<&Pattern> {
        let message = self.messages.get(id)?;
        let Some(name) = attribute else {
            return message.value.as_ref();
        };
        let mut attributes = message.attributes.iter();
        attributes.find_map(|(own, pattern)| (own == name).then_some(pattern))
    }

    /// A pattern with its parameters filled in. One that has no value shows as `{$name}`.
    pub fn fill(&self, pattern: &Pattern, values: &impl Arguments) -> String {
        if let [Piece::Text(text)] = pattern.0.as_slice() {
            return text.clone();
        }
        let mut text = String::with_capacity(160);
        self.fill_into(&mut text, pattern, values);
        text
    }

    fn fill_into(&self, text: &mut String, pattern: &Pattern, values: &impl Arguments) {
        for piece in &pattern.0 {
            match piece {
                Piece::Text(own) => text.push_str(own),
                Piece::Parameter(name) => write(text, name, values.value(name)),
                Piece::Choice {
                    by,
                    variants,
                    usual,
                } => {
                    let value = values.value(by);
                    let fits = |key: &Key| value.as_ref().is_some_and(|v| self.fits(key, v));
                    let fitting = variants.iter().find(|(key, _)| fits(key));
                    if let Some((_, variant)) = fitting.or_else(|| variants.get(*usual)) {
                        self.fill_into(text, variant, values);
                    }
                }
            }
        }
    }

    fn fits(&self, key: &Key, value: &Argument<'_>) -> bool {
        match (key, value) {
            (Key::Number(key), Argument::Number(number)) => key == number,
            (Key::Number(_), Argument::Text(_)) => false,
            (Key::Word(word, _), Argument::Text(text)) => word == text,
            (Key::Word(_, plural), Argument::Number(number)) => {
                plural.as_ref().is_some_and(|wanted| {
                    let rules = self.plurals.as_ref();
                    rules.is_some_and(|rules| rules.select(*number).as_ref() == Ok(wanted))
                })
            }
        }
    }
}

fn write(text: &mut String, name: &str, value: Option<Argument<'_>>) {
    match value {
        Some(Argument::Text(value)) => text.push_str(&value),
        Some(Argument::Number(number)) => {
            let _ = write!(text, "{number}");
        }
        None => {
            let _ = write!(text, "{{${name}}}");
        }
    }
}

fn taken_apart(message: &ast::Message<&str>) -> Option<Message> {
    let value = match &message.value {
        Some(value) => Some(pattern(value)?),
        None => None,
    };
    let attributes = message.attributes.iter();
    let attributes = attributes.map(|own| Some((own.id.name.to_owned(), pattern(&own.value)?)));
    Some(Message {
        value,
        attributes: attributes.collect::<Option<_>>()?,
    })
}

fn pattern(pattern: &ast::Pattern<&str>) -> Option<Pattern> {
    let pieces = pattern.elements.iter().map(|element| match element {
        PatternElement::TextElement { value } => Some(Piece::Text((*value).to_owned())),
        PatternElement::Placeable { expression } => piece(expression),
    });
    pieces.collect::<Option<_>>().map(Pattern)
}

fn piece(expression: &Expression<&str>) -> Option<Piece> {
    match expression {
        Expression::Inline(inline) => parameter(inline).map(Piece::Parameter),
        Expression::Select { selector, variants } => {
            let each = variants.iter();
            Some(Piece::Choice {
                by: parameter(selector)?,
                usual: each.clone().position(|variant| variant.default)?,
                variants: each
                    .map(|variant| Some((key(&variant.key)?, self::pattern(&variant.value)?)))
                    .collect::<Option<_>>()?,
            })
        }
    }
}

fn parameter(inline: &InlineExpression<&str>) -> Option<String> {
    match inline {
        InlineExpression::VariableReference { id } => Some(id.name.to_owned()),
        _ => None,
    }
}

fn key(key: &VariantKey<&str>) -> Option<Key> {
    match key {
        VariantKey::NumberLiteral { value } => value.parse().ok().map(Key::Number),
        VariantKey::Identifier { name } => Some(Key::Word((*name).to_owned(), plural(name))),
    }
}

fn plural(name: &str) -> Option<PluralCategory> {
    Some(match name {
        "zero" => PluralCategory::ZERO,
        "one" => PluralCategory::ONE,
        "two" => PluralCategory::TWO,
        "few" => PluralCategory::FEW,
        "many" => PluralCategory::MANY,
        "other" => PluralCategory::OTHER,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::words::Words;
    use fluent_bundle::{FluentArgs, FluentBundle, FluentResource, FluentValue};
    use std::collections::BTreeSet;

    /// Every name after a `$`, and every word or number before a `]`.
    fn names_and_keys(source: &str) -> (BTreeSet<&str>, BTreeSet<&str>) {
        let is_name = |c: char| c.is_ascii_alphanumeric() || "-_".contains(c);
        let names = source.split('$').skip(1);
        let names = names.filter_map(|rest| rest.split(|c| !is_name(c)).next());
        let keys = source.split('[').skip(1);
        let keys = keys.filter_map(|rest| rest.split(|c| !is_name(c)).next());
        (
            names.collect(),
            keys.filter(|key| !key.is_empty()).collect(),
        )
    }

    /// Every parameter has the same value.
    struct Same<'a>(Option<Argument<'a>>);

    impl Arguments for Same<'_> {
        fn value(&self, _: &str) -> Option<Argument<'_>> {
            self.0.as_ref().map(Argument::borrowed)
        }
    }

    fn as_fluent(value: &Argument<'_>) -> FluentValue<'static> {
        match value {
            Argument::Text(text) => FluentValue::from(text.clone().into_owned()),
            Argument::Number(number) => FluentValue::from(*number),
        }
    }

    #[test]
    fn all_messages_come_out_as_the_fluent_crate_fills_them_in() {
        let mut compared = 0;
        for words in Words::all() {
            let source = words.source();
            let patterns = Patterns::read(words.tag, source);
            let resource = FluentResource::try_new(source.to_owned()).unwrap();
            let mut bundle = FluentBundle::new(vec![words.tag.parse().unwrap()]);
            bundle.set_use_isolating(false);
            bundle.add_resource_overriding(resource);
            let (names, keys) = names_and_keys(source);
            let numbers = [0, 1, 2, 5, 21, 1000, 4_711_000].map(Argument::Number);
            let texts = keys.iter().map(|key| Argument::from(*key));
            let values: Vec<Option<Argument<'_>>> = numbers
                .into_iter()
                .chain(texts)
                .map(Some)
                .chain([None])
                .collect();
            let mut messages = 0;
            for entry in fluent_syntax::parser::parse(source).unwrap().body {
                let Entry::Message(message) = entry else {
                    continue;
                };
                messages += 1;
                let id = message.id.name;
                let attributes = message.attributes.iter().map(|own| Some(own.id.name));
                for attribute in attributes.chain(message.value.as_ref().map(|_| None)) {
                    let theirs = bundle.get_message(id).unwrap();
                    let theirs = match attribute {
                        None => theirs.value().unwrap(),
                        Some(name) => theirs.get_attribute(name).unwrap().value(),
                    };
                    let own = patterns.get(id, attribute);
                    let own = own.unwrap_or_else(|| panic!("{id}: it holds what is not taken"));
                    for value in &values {
                        let mut args = FluentArgs::new();
                        for name in value.iter().flat_map(|_| &names) {
                            args.set(*name, as_fluent(value.as_ref().unwrap()));
                        }
                        let wanted = bundle.format_pattern(theirs, Some(&args), &mut Vec::new());
                        assert_eq!(patterns.fill(own, &Same(value.clone())), wanted, "{id}");
                        compared += 1;
                    }
                }
            }
            assert_eq!(messages, patterns.messages.len(), "{}", words.tag);
        }
        assert!(compared > 10_000, "{compared}");
    }

    #[test]
    fn what_is_not_taken_is_left_out() {
        let source = "sum = { NUMBER($a) }\nterm = { -name }\nother = { sum }\nword = { \"a\" }\nplain = a { $b }\n";
        let patterns = Patterns::read("en", source);
        let known = ["sum", "term", "other", "word", "plain"].map(|id| patterns.has(id));
        assert_eq!(known, [false, false, false, false, true]);
        let filled = patterns.fill(patterns.get("plain", None).unwrap(), &Args::new());
        assert_eq!(filled, "a {$b}");
    }
}
