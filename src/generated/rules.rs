//! The page of all rules, for reading.

use std::fmt::Write;

use super::{GenerateError, Product};
use crate::domain::rules::{RULES, Rule};

const HEAD: &str = "# The rules

Made from the code by `cargo run -- generate`; do not edit. `GET /v1/rules` gives the same as JSON.

A rule is named for the condition that it finds. Each has one of three results: met, broken, or
undecided when a fact is missing. A **blocker** that is broken means that the kit does not fit: it will
not start, is unsupported or does harm. A **warning** works, but worse than the buyer expects. **Advice**
says that a better way exists at no loss. A **note** is worth knowing. A board's record or a
wish that must hold may raise or lower a severity.

A source such as `published guide P1` is a public document; `tests/facts/SOURCES.md` names them all. All
boards and modules of the examples are invented.
";

/// `openapi/rules.md`
pub fn page() -> Result<Vec<Product>, GenerateError> {
    let mut text = String::from(HEAD);
    contents(&mut text);
    for rule in RULES {
        entry(&mut text, rule);
    }
    Ok(vec![Product::new("openapi/rules.md", text)])
}

fn contents(text: &mut String) {
    text.push_str("\n| rule | group | severity | finds |\n|---|---|---|---|\n");
    for rule in RULES {
        let (id, group, severity) = (rule.id, rule.group.name(), rule.severity.name());
        let _ = writeln!(
            text,
            "| [{id}](#{id}) | {group} | {severity} | {} |",
            rule.title
        );
    }
}

fn entry(text: &mut String, rule: &Rule) {
    let reads: Vec<&str> = rule.reads.iter().map(|fact| fact.words().0).collect();
    let reads = if reads.is_empty() {
        "nothing but the request".to_owned()
    } else {
        reads.join(", ")
    };
    let _ = write!(
        text,
        "\n## {}\n\n{} · group {} · {}\n\n{}\n\n- It asks {}.\n- It reads: {reads}.\n- It rests on: {}\n\n\
         A request that breaks it:\n\n```json\n{}\n```\n\nA request that meets it:\n\n```json\n{}\n```\n",
        rule.id,
        rule.title,
        rule.group.name(),
        rule.severity.name(),
        rule.doc,
        rule.asks,
        rule.source,
        one_line(rule.breaks),
        one_line(rule.meets),
    );
}

/// A request without the line breaks of the source.
fn one_line(request: &str) -> String {
    let words: Vec<&str> = request.split_whitespace().collect();
    words.join(" ").replace("[ {", "[{")
}
