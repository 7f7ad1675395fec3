//! Every language says everything: each message with the same variables as the English one, each word
//! of the core, each rule's sentence rendered.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "helpers of a test may fail it"
)]

#[cfg(test)]
mod explained;

use std::collections::{BTreeMap, BTreeSet};

use fluent_syntax::ast::{
    CallArguments, Entry, Expression, InlineExpression, Pattern, PatternElement,
};
use fluent_syntax::parser::parse;
use kitproof::api::decide::{Decided, decide};
use kitproof::api::extract::read_json;
use kitproof::api::wire::note;
use kitproof::api::wire::request::ValidateRequest;
use kitproof::catalogue::embedded;
use kitproof::domain::finding::Value;
use kitproof::domain::rules::RULES;
use kitproof::render::words::{Words, term_id};

/// Variables of each message and attribute (`id` or `id.attribute`).
type Variables = BTreeMap<String, BTreeSet<String>>;

fn variables(source: &str) -> Variables {
    let resource = parse(source).unwrap_or_else(|(_, faults)| panic!("{faults:?}"));
    let mut all = Variables::new();
    for entry in &resource.body {
        match entry {
            Entry::Message(message) => {
                let id = message.id.name;
                let mut add = |name: String, pattern: &Pattern<&str>| {
                    let mut found = BTreeSet::new();
                    of_pattern(pattern, &mut found);
                    let twice = all.insert(name.clone(), found).is_some();
                    assert!(!twice, "{name} stands twice");
                };
                if let Some(value) = &message.value {
                    add(id.to_owned(), value);
                }
                for attribute in &message.attributes {
                    add(format!("{id}.{}", attribute.id.name), &attribute.value);
                }
            }
            Entry::Junk { content } => panic!("no Fluent: {content}"),
            _ => {}
        }
    }
    all
}

fn of_pattern(pattern: &Pattern<&str>, found: &mut BTreeSet<String>) {
    for element in &pattern.elements {
        if let PatternElement::Placeable { expression } = element {
            of_expression(expression, found);
        }
    }
}

fn of_expression(expression: &Expression<&str>, found: &mut BTreeSet<String>) {
    match expression {
        Expression::Inline(inline) => of_inline(inline, found),
        Expression::Select { selector, variants } => {
            of_inline(selector, found);
            variants
                .iter()
                .for_each(|one| of_pattern(&one.value, found));
        }
    }
}

fn of_inline(inline: &InlineExpression<&str>, found: &mut BTreeSet<String>) {
    match inline {
        InlineExpression::VariableReference { id } => {
            found.insert(id.name.to_owned());
        }
        InlineExpression::Placeable { expression } => of_expression(expression, found),
        InlineExpression::FunctionReference { arguments, .. } => of_arguments(arguments, found),
        _ => {}
    }
}

fn of_arguments(arguments: &CallArguments<&str>, found: &mut BTreeSet<String>) {
    arguments
        .positional
        .iter()
        .for_each(|one| of_inline(one, found));
}

/// All that is said in English.
fn english() -> String {
    let mut text = Words::english().source().to_owned();
    for (code, pattern) in note::patterns() {
        text.push_str(&format!("\nnote-{code} = {pattern}\n"));
    }
    text
}

/// Other languages with the file that holds them.
fn others() -> impl Iterator<Item = (&'static Words, String)> {
    let others = Words::all().into_iter().skip(1);
    others.map(|words| (words, format!("src/render/locales/{}.ftl", words.tag)))
}

/// The English of a message or an attribute, as a line for a locale file.
fn line(name: &str, english: &str) -> String {
    let (id, attribute) = match name.split_once('.') {
        Some((id, attribute)) => (id, Some(attribute)),
        None => (name, None),
    };
    let from = english
        .lines()
        .skip_while(|line| !line.starts_with(&format!("{id} =")));
    let wanted = attribute.map_or(format!("{id} ="), |name| format!(".{name} ="));
    let found = from
        .map(str::trim_start)
        .find(|line| line.starts_with(&wanted));
    let indent = if attribute.is_some() { "    " } else { "" };
    format!("{indent}{}", found.unwrap_or(name))
}

#[test]
fn every_language_has_every_message_with_the_same_variables() {
    let english = english();
    let wanted = variables(&english);
    for (words, file) in others() {
        let own = variables(words.source());
        let mut faults = Vec::new();
        for (name, needed) in &wanted {
            match own.get(name) {
                None => faults.push(line(name, &english)),
                Some(used) if used != needed => faults.push(format!(
                    "# {name} uses {used:?}, the English {needed:?}\n{}",
                    line(name, &english)
                )),
                Some(_) => {}
            }
        }
        let idle: Vec<&String> = own
            .keys()
            .filter(|name| !wanted.contains_key(*name))
            .collect();
        assert!(
            faults.is_empty(),
            "{file}: add or mend these {} messages in the language of tag `{}` (the English is shown):\n\n{}\n",
            faults.len(),
            words.tag,
            faults.join("\n")
        );
        assert!(idle.is_empty(), "{file}: nothing says these: {idle:?}");
        println!("{}: {} messages", words.tag, own.len());
    }
}

#[test]
fn clauses_join_as_each_language_needs() {
    for rule in RULES {
        let asks = Words::german().say_attribute(rule.id, "asks");
        assert!(asks.starts_with("ob "), "{}: {asks}", rule.id);
        for words in Words::all() {
            let title = words.say_attribute(rule.id, "title");
            assert!(!title.ends_with('.'), "{}: {title}", rule.id);
        }
    }
}

fn decided(text: &str) -> Decided<'static> {
    let request: ValidateRequest = read_json(text.as_bytes()).unwrap();
    decide(&request, embedded::catalogue()).unwrap_or_else(|faults| panic!("{:?}", faults.list))
}

/// Every rule with its examples, decided.
fn examples() -> Vec<Decided<'static>> {
    let texts = RULES.iter().flat_map(|rule| [rule.breaks, rule.meets]);
    texts.map(decided).collect()
}

#[test]
fn every_sentence_is_rendered_in_every_language_and_none_is_long() {
    let mut shown = BTreeSet::new();
    for decided in examples() {
        for words in Words::all() {
            let body = serde_json::to_value(decided.body(words)).unwrap();
            for finding in body["findings"].as_array().unwrap() {
                let sentence = finding["sentence"].as_str().unwrap();
                let rule = finding["rule"].as_str().unwrap();
                let count = sentence.split_whitespace().count();
                assert!(count <= 60, "{rule}: {count} words: {sentence}");
                assert!(!sentence.contains(['{', '}', '$']), "{rule}: {sentence}");
                assert!(sentence.ends_with('.'), "{rule}: {sentence}");
                shown.insert((rule.to_owned(), words.tag));
            }
        }
    }
    for rule in RULES {
        for words in Words::all() {
            let key = (rule.id.to_owned(), words.tag);
            assert!(shown.contains(&key), "{key:?} was never said");
        }
    }
    println!("{} sentences of rules", shown.len());
}

#[test]
fn no_code_parameter_or_verdict_changes_with_the_language() {
    for decided in examples() {
        let of = |words| serde_json::to_value(decided.body(words)).unwrap();
        let (english, german) = (of(Words::english()), of(Words::german()));
        assert_eq!(bare(english), bare(german));
    }
}

/// An answer without its sentences.
fn bare(mut value: serde_json::Value) -> serde_json::Value {
    match &mut value {
        serde_json::Value::Object(members) => {
            for name in ["sentence", "summary", "text", "source"] {
                members.remove(name);
            }
            for member in members.values_mut() {
                *member = bare(member.take());
            }
        }
        serde_json::Value::Array(items) => {
            for item in items {
                *item = bare(item.take());
            }
        }
        _ => {}
    }
    value
}

/// Names of the trade and of modules are no words of a language.
fn is_of_the_trade(word: &str) -> bool {
    let has_digit = word.chars().any(|letter| letter.is_ascii_digit());
    let in_capitals = word.chars().any(char::is_uppercase);
    has_digit || in_capitals || word == "?"
}

fn words_of(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::Word(word) => {
            found.insert((*word).to_owned());
        }
        Value::Words(words) => found.extend(words.iter().cloned()),
        Value::List(list) | Value::OneOf(list) => {
            list.iter().for_each(|value| words_of(value, found));
        }
        _ => {}
    }
}

#[test]
fn every_word_of_the_core_is_known_to_the_locales() {
    let mut found = BTreeSet::new();
    for decided in examples() {
        for finding in &decided.answer().findings {
            for (_, value) in &finding.params {
                words_of(value, &mut found);
            }
        }
    }
    let unknown: Vec<String> = found
        .iter()
        .filter(|word| !Words::english().has(&term_id(word)) && !is_of_the_trade(word))
        .map(|word| format!("{} = {word}", term_id(word)))
        .collect();
    assert!(
        unknown.is_empty(),
        "add these words to src/render/locales/en.ftl and to the other languages:\n{}",
        unknown.join("\n")
    );
    for (id, _) in variables(Words::english().source()) {
        if let Some(slug) = id.strip_prefix("word-") {
            let shown = Words::english().plain(&id);
            assert_eq!(
                term_id(&shown),
                format!("word-{slug}"),
                "{id} is another word's"
            );
        }
    }
}
