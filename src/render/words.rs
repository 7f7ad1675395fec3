//! One language: every message by its id, from the rules and from a locale file.
//!
//! English is put together from the rules, the facts and `locales/en.ftl`; every other language is
//! one file. What a file lacks is said in English, and a test names it.

use crate::domain::board::Board;
use crate::domain::finding::{Fact, Finding, Missing, State, Value};
use crate::domain::request::{PartIx, Request};
use crate::domain::rules::{RULES, Rule};
use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource};
use std::fmt::Write;
use std::sync::LazyLock;
use unic_langid::LanguageIdentifier;

use super::{lists, values};

/// The messages of one language.
pub struct Words {
    bundle: FluentBundle<FluentResource>,
    /// The language's tag (RFC 5646).
    pub tag: &'static str,
    /// Mark between whole and fraction.
    pub decimal: char,
    /// All messages in the syntax of Fluent.
    source: String,
    /// Where messages come from that this language lacks.
    fallback: Option<&'static Self>,
}

/// What names in a sentence refer to.
#[derive(Clone, Copy)]
pub struct Context<'a> {
    /// The board, for slot labels.
    pub board: &'a Board,
    /// The request, for module names.
    pub request: &'a Request,
}

impl Context<'_> {
    /// What the caller calls a module.
    pub fn part_name(&self, part: PartIx) -> &str {
        self.request
            .part(part)
            .map_or("?", |module| module.name.as_str())
    }
}

static ENGLISH: LazyLock<Words> = LazyLock::new(|| Words::read("en", '.', english_source(), None));

static GERMAN: LazyLock<Words> = LazyLock::new(|| {
    let source = include_str!("locales/de.ftl").to_owned();
    Words::read("de", ',', source, Some(Words::english()))
});

impl Words {
    /// English: the rules' own sentences and `locales/en.ftl`.
    pub fn english() -> &'static Self {
        &ENGLISH
    }

    /// German: `locales/de.ftl`.
    pub fn german() -> &'static Self {
        &GERMAN
    }

    /// Every language, the usual one first.
    pub fn all() -> [&'static Self; 2] {
        [Self::english(), Self::german()]
    }

    fn read(
        tag: &'static str,
        decimal: char,
        source: String,
        fallback: Option<&'static Self>,
    ) -> Self {
        // A message that does not parse is left out and shows as its id; a test finds it.
        let resource =
            FluentResource::try_new(source.clone()).unwrap_or_else(|(resource, _)| resource);
        let mut bundle = FluentBundle::new_concurrent(vec![
            tag.parse::<LanguageIdentifier>().unwrap_or_default(),
        ]);
        bundle.set_use_isolating(false);
        bundle.add_resource_overriding(resource);
        Self {
            bundle,
            tag,
            decimal,
            source,
            fallback,
        }
    }

    /// All its messages in the syntax of Fluent.
    pub fn source(&self) -> &str {
        &self.source
    }

    /// Whether this language itself has a message with this id.
    pub fn has(&self, id: &str) -> bool {
        self.bundle.has_message(id)
    }

    /// A message with its parameters filled in; the id itself if there is none.
    pub fn say(&self, id: &str, args: &FluentArgs<'_>) -> String {
        self.pattern(id, None, args)
    }

    /// A message as it is written: a Fluent pattern. Nothing if this language lacks it.
    pub fn written(&self, id: &str) -> Option<String> {
        let mut lines = self.source.lines();
        let first = lines.find_map(|line| line.strip_prefix(id)?.strip_prefix(" = "))?;
        let goes_on = |line: &&str| line.starts_with(' ') && !line.trim_start().starts_with('.');
        let more = lines.take_while(goes_on);
        let more: Vec<&str> = more
            .map(|line| line.strip_prefix("    ").unwrap_or(line))
            .collect();
        Some([&[first], &more[..]].concat().join("\n"))
    }

    /// A message without parameters.
    pub fn plain(&self, id: &str) -> String {
        self.say(id, &FluentArgs::new())
    }

    /// A word of the core in this language: words of the trade, such as `RDIMM`, stay as they are.
    pub fn term(&self, word: &str) -> String {
        // English shows them as they stand in the code.
        if self.fallback.is_none() {
            return word.to_owned();
        }
        let id = term_id(word);
        if self.has(&id) {
            self.plain(&id)
        } else {
            word.to_owned()
        }
    }

    /// An attribute of a message.
    pub fn say_attribute(&self, id: &str, attribute: &str) -> String {
        self.pattern(id, Some(attribute), &FluentArgs::new())
    }

    /// An attribute of a message with its parameters filled in.
    pub fn say_attribute_with(&self, id: &str, attribute: &str, args: &FluentArgs<'_>) -> String {
        self.pattern(id, Some(attribute), args)
    }

    fn pattern(&self, id: &str, attribute: Option<&str>, args: &FluentArgs<'_>) -> String {
        let message = self.bundle.get_message(id);
        let pattern = message.and_then(|message| match attribute {
            None => message.value(),
            Some(name) => message
                .get_attribute(name)
                .map(|attribute| attribute.value()),
        });
        let Some(pattern) = pattern else {
            let other = self
                .fallback
                .map(|other| other.pattern(id, attribute, args));
            return other.unwrap_or_else(|| id.to_owned());
        };
        let mut text = String::with_capacity(160);
        let mut errors = Vec::new();
        match self
            .bundle
            .write_pattern(&mut text, pattern, Some(args), &mut errors)
        {
            Ok(()) => text,
            Err(_) => id.to_owned(),
        }
    }

    /// The sentence of a finding.
    pub fn finding(&self, finding: &Finding, context: Context<'_>) -> String {
        let text = |(_, value): &(&str, Value)| values::text(value, self, context);
        let texts: Vec<String> = finding.params.iter().map(text).collect();
        self.finding_with(finding, texts.iter().map(String::as_str), context)
    }

    /// The same with the texts of its parameters, which an answer shows as well.
    pub fn finding_with<'t>(
        &self,
        finding: &Finding,
        texts: impl Iterator<Item = &'t str>,
        context: Context<'_>,
    ) -> String {
        match &finding.state {
            State::Broken => self.broken(finding, texts, context),
            State::Undecided(missing) => self.undecided(finding.rule, missing, context),
        }
    }

    fn broken<'t>(
        &self,
        finding: &Finding,
        texts: impl Iterator<Item = &'t str>,
        context: Context<'_>,
    ) -> String {
        let mut args = FluentArgs::with_capacity(finding.params.len() + 3);
        for ((name, value), text) in finding.params.iter().zip(texts) {
            match value {
                // A number, so that patterns can choose a plural.
                Value::Count(count) => args.set(*name, *count),
                _ => args.set(*name, text),
            }
        }
        let message = finding.rule.message;
        if message.contains("$slots") {
            args.set("slots", lists::slots(&finding.slots, self, context.board));
        }
        if message.contains("$channels") {
            args.set(
                "channels",
                lists::channels(&finding.channels, self, context.board),
            );
        }
        if message.contains("$place") {
            args.set("place", lists::place(finding, self, context.board));
        }
        if message.contains("$sockets") {
            args.set("sockets", lists::sockets(&finding.sockets, self));
        }
        capitalised(self.say(finding.rule.id, &args))
    }

    fn undecided(&self, rule: &Rule, missing: &[Missing], context: Context<'_>) -> String {
        let facts = match missing {
            [only] => self.missing(*only, context),
            _ => self.missing_in_short(missing, context),
        };
        let mut args = FluentArgs::new();
        args.set("asks", self.say_attribute(rule.id, "asks"));
        args.set("facts", facts);
        self.say("undecided", &args)
    }

    /// Several missing facts, module by module. Where to read each off is told beside it, not here.
    fn missing_in_short(&self, missing: &[Missing], context: Context<'_>) -> String {
        let mut parts: Vec<Option<PartIx>> = missing.iter().map(|missing| missing.part).collect();
        parts.sort_unstable();
        parts.dedup();
        let of_part = |part: Option<PartIx>| {
            let own = missing.iter().filter(|missing| missing.part == part);
            let facts: Vec<String> = own
                .map(|missing| self.plain(&format!("fact-{}", missing.fact.code())))
                .collect();
            let mut args = FluentArgs::new();
            args.set("count", facts.len());
            args.set("facts", lists::joined(&facts, self));
            match part {
                Some(part) => {
                    args.set("part", context.part_name(part).to_owned());
                    self.say("missing-facts-of", &args)
                }
                None => self.say("missing-facts", &args),
            }
        };
        let each: Vec<String> = parts.into_iter().map(of_part).collect();
        lists::joined(&each, self)
    }

    /// A missing fact with where to read it off.
    pub fn missing(&self, missing: Missing, context: Context<'_>) -> String {
        if missing.fact == Fact::Placement {
            return self.say("missing-placement", &FluentArgs::new());
        }
        let mut args = self.fact_args(missing.fact);
        match missing.part {
            Some(part) => {
                args.set("part", context.part_name(part).to_owned());
                self.say("missing-fact-of", &args)
            }
            None => self.say("missing-fact", &args),
        }
    }

    /// `$fact` and `$where`.
    pub fn fact_args(&self, fact: Fact) -> FluentArgs<'static> {
        let id = format!("fact-{}", fact.code());
        let mut args = FluentArgs::new();
        args.set("where", self.say_attribute(&id, "place"));
        args.set("fact", self.say(&id, &FluentArgs::new()));
        args
    }
}

/// The id of a word of the core: `word-` and the word in lower case, with hyphens.
pub fn term_id(word: &str) -> String {
    let letters = word.chars().map(|letter| match letter {
        letter if letter.is_alphanumeric() => letter.to_ascii_lowercase(),
        _ => '-',
    });
    format!("word-{}", letters.collect::<String>())
}

/// What is said in English: `locales/en.ftl`, the rules and the facts.
fn english_source() -> String {
    let mut text = String::from(include_str!("locales/en.ftl"));
    for rule in RULES {
        let _ = write!(
            text,
            "\n{} = {}\n    .asks = {}\n    .title = {}\n    .doc = {}\n    .source = {}\n",
            rule.id,
            indented(rule.message),
            rule.asks,
            rule.title,
            rule.doc,
            rule.source,
        );
    }
    for fact in Fact::ALL {
        let (words, place) = fact.words();
        let _ = write!(
            text,
            "\nfact-{} = {words}\n    .place = {place}\n",
            fact.code()
        );
    }
    text
}

/// A pattern over several lines goes on with an indent.
fn indented(message: &str) -> String {
    message.replace('\n', "\n    ")
}

/// Sentences may begin with a word that is lower case elsewhere.
pub fn capitalised(mut text: String) -> String {
    if let Some(first) = text.get_mut(..1) {
        first.make_ascii_uppercase();
        return text;
    }
    let mut chars = text.chars();
    match chars.next() {
        Some(first) if first.is_lowercase() => first.to_uppercase().chain(chars).collect(),
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_and_fact_has_a_message_that_parses() {
        for rule in RULES {
            assert!(
                Words::english().has(rule.id),
                "{}: the message is no Fluent pattern",
                rule.id
            );
            assert!(rule.asks.starts_with("whether "), "{}", rule.id);
        }
        for fact in Fact::ALL {
            assert!(Words::english().has(&format!("fact-{}", fact.code())));
        }
        for words in Words::all() {
            FluentResource::try_new(words.source().to_owned())
                .unwrap_or_else(|(_, faults)| panic!("{}: {faults:?}", words.tag));
        }
    }
}
