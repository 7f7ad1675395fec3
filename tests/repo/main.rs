//! The repository's own order: who may know whom, headers, listed files, the top level.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "helpers of a test may fail it"
)]

#[cfg(test)]
mod docker;
#[cfg(test)]
mod supply;

use kitproof::domain::rules::RULES;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn sources(folder: &str) -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    let mut open = vec![root().join(folder)];
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(&folder).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let text = fs::read_to_string(&path).unwrap();
                found.push((path, text));
            }
        }
    }
    found.sort();
    found
}

/// The code before the unit tests, without comments.
fn code(text: &str) -> String {
    let own = text
        .split("#[cfg(test)]\nmod tests {")
        .next()
        .unwrap_or(text);
    let lines = own
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"));
    lines.collect::<Vec<_>>().join("\n")
}

#[test]
fn every_source_file_begins_with_a_header() {
    let bare: Vec<_> = sources("src")
        .into_iter()
        .chain(sources("tests"))
        .filter(|(_, text)| !text.starts_with("//!"))
        .map(|(path, _)| path)
        .collect();
    assert!(bare.is_empty(), "without a `//!` header: {bare:?}");
}

/// domain ← read, catalogue, render ← api, remote ← main: an arrow may not be walked back.
#[test]
fn no_module_knows_one_that_stands_above_it() {
    let forbidden: [(&str, &[&str]); 6] = [
        (
            "src/domain",
            &[
                "crate::api",
                "crate::catalogue",
                "crate::read",
                "crate::render",
                "crate::remote",
                "crate::wirecheck",
                "crate::settings",
                "serde",
                "actix",
                "utoipa",
                "tracing",
                "tokio",
                "std::fs",
                "std::env",
                "std::net",
                "std::time",
                "HashMap",
                "HashSet",
            ],
        ),
        (
            "src/read",
            &[
                "crate::api",
                "crate::catalogue",
                "crate::render",
                "crate::remote",
                "actix",
                "std::fs",
                "std::net",
            ],
        ),
        (
            "src/render",
            &[
                "crate::api",
                "crate::catalogue",
                "crate::read",
                "crate::remote",
                "serde",
                "actix",
                "std::fs",
                "std::net",
            ],
        ),
        (
            "src/wirecheck",
            &[
                "crate::api",
                "crate::catalogue",
                "crate::domain",
                "crate::render",
                "actix",
                "std::fs",
                "std::net",
            ],
        ),
        (
            "src/catalogue",
            &["crate::api", "crate::render", "crate::remote", "actix"],
        ),
        ("src/api", &["crate::remote", "std::fs"]),
    ];
    let mut faults = Vec::new();
    for (folder, words) in forbidden {
        for (path, text) in sources(folder)
            .iter()
            .filter(|(path, _)| !path.ends_with("testing.rs"))
        {
            let code = code(text);
            faults.extend(
                words
                    .iter()
                    .filter(|word| code.contains(**word))
                    .map(|word| format!("{} uses {word}", path.display())),
            );
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn the_list_of_rules_is_sound() {
    let mut seen = BTreeSet::new();
    for rule in RULES {
        assert!(seen.insert(rule.id), "{} is listed twice", rule.id);
        assert!(
            rule.id
                .chars()
                .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-'),
            "{} is not kebab-case",
            rule.id
        );
        for (what, text) in [
            ("title", rule.title),
            ("doc", rule.doc),
            ("source", rule.source),
            ("message", rule.message),
            ("asks", rule.asks),
        ] {
            assert!(!text.trim().is_empty(), "{} has no {what}", rule.id);
        }
        assert!(!rule.checks.is_empty(), "{} checks nothing", rule.id);
        let file = root()
            .join("src/domain/rules")
            .join(format!("{}.rs", rule.id.replace('-', "_")));
        assert!(file.exists(), "{} has no file of its name", rule.id);
    }
}

#[test]
fn every_rule_file_is_listed() {
    for (path, text) in sources("src/domain/rules") {
        let Some(rest) = text.split("pub static RULE:").nth(1) else {
            continue;
        };
        let id = rest
            .split("id: \"")
            .nth(1)
            .and_then(|rest| rest.split('"').next())
            .unwrap();
        assert!(
            RULES.iter().any(|rule| rule.id == id),
            "{} is not listed",
            path.display()
        );
    }
}

#[test]
fn the_top_level_is_as_agreed() {
    let allowed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "src",
        "openapi",
        "tests",
        "docker",
        "target",
    ];
    for entry in fs::read_dir(root()).unwrap().flatten() {
        let name = entry.file_name().into_string().unwrap();
        assert!(
            name.starts_with('.') || allowed.contains(&name.as_str()),
            "{name} does not belong to the top level"
        );
    }
}

/// Real makers are named in tests only, where their published tables are outside checks. Names of
/// module makers come from a crate.
#[test]
fn no_real_maker_is_named_in_the_source_or_in_what_is_shipped() {
    let names = [
        "AMD",
        "EPYC",
        "BKDG",
        "AGESA",
        "Opteron",
        "POWER8",
        "POWER9",
        "POWER10",
        "IBM",
        "Lenovo",
        "HPE",
        "Gigabyte",
        "Supermicro",
        "Tyan",
        "hostboot",
        "coreboot",
        "Ampere",
        "Kunpeng",
        "Fujitsu",
        "Huawei",
    ];
    let mut faults = Vec::new();
    for (path, text) in sources("src") {
        let words = text.split(|c: char| !c.is_ascii_alphanumeric());
        let found: BTreeSet<&str> = words.filter(|word| names.contains(word)).collect();
        if !found.is_empty() {
            faults.push(format!("{}: {found:?}", path.display()));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
