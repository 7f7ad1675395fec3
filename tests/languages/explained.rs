//! Every rule's explanation, rendered in every language from the rule's own example.

use kitproof::api::extract::read_json;
use kitproof::api::wire::request::ValidateRequest;
use kitproof::domain::explain::{Case, Explanation, finding};
use kitproof::domain::finding::{Finding, State};
use kitproof::domain::rules::RULES;
use kitproof::domain::stop::Stop;
use kitproof::domain::validate::validate;
use kitproof::render::explanation::sentence;
use kitproof::render::words::{Context, Words};
use std::collections::BTreeMap;

/// The most words of an explanation, without its tables and without the titles of sources.
const MOST_WORDS: usize = 60;

fn sentences(explanation: &Explanation, words: &Words, context: Context<'_>) -> Vec<String> {
    let told = explanation.walk().into_iter().filter(|visit| !visit.again);
    told.filter_map(|visit| explanation.node(visit.node))
        .map(|node| sentence(node, words, context))
        .collect()
}

/// Names of slots, channels and modules are a table in all but form.
fn count(sentences: &[String]) -> usize {
    let words = sentences.iter().flat_map(|text| text.split_whitespace());
    words
        .filter(|word| word.chars().any(char::is_alphabetic))
        .count()
}

/// How long each rule's explanation is in a language, and what it says.
fn lengths(words: &'static Words) -> BTreeMap<&'static str, (usize, Vec<String>)> {
    let catalogue = kitproof::catalogue::embedded::catalogue();
    let mut lengths = BTreeMap::new();
    for rule in RULES {
        let parsed = read_json::<ValidateRequest>(rule.breaks.as_bytes());
        let resolved = parsed
            .ok()
            .and_then(|parsed| parsed.resolve(catalogue).ok());
        let Some(resolved) = resolved else { continue };
        let (board, request) = (resolved.board.board(), &resolved.request);
        let answer = validate(board, request).expect("an answer");
        let case = Case {
            board,
            request,
            answer: &answer,
            stop: &Stop::never(),
        };
        // A rule that is never broken, only open, has the sentence that says so.
        let own = || answer.findings.iter().filter(|f| f.rule.id == rule.id);
        let is_broken = |f: &&Finding| f.state == State::Broken;
        let any_broken = own().any(|f| is_broken(&f));
        for own in own().filter(|f| is_broken(f) || !any_broken) {
            let explained = finding(case, own);
            let texts = sentences(&explained, words, Context { board, request });
            assert!(texts.iter().all(|text| !text.contains('{')), "{texts:?}");
            let length = count(&texts);
            let known = lengths.entry(rule.id).or_insert((0, Vec::new()));
            if length > known.0 {
                *known = (length, texts);
            }
        }
    }
    lengths
}

#[test]
fn every_rule_is_explained_in_every_language_and_none_at_length() {
    for words in Words::all() {
        let lengths = lengths(words);
        let long: Vec<String> = lengths
            .iter()
            .filter(|(_, (length, _))| *length > MOST_WORDS)
            .map(|(id, (length, texts))| format!("{id}: {length} words\n  {}", texts.join("\n  ")))
            .collect();
        println!("{} rules explained", lengths.len());
        assert!(long.is_empty(), "{}", long.join("\n"));
        let missing = RULES.iter().filter(|rule| !lengths.contains_key(rule.id));
        let missing: Vec<&str> = missing.map(|rule| rule.id).collect();
        assert!(missing.is_empty(), "never explained: {missing:?}");
    }
}
