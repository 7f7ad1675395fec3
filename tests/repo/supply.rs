//! What the program is built from: licences, sources and crates that must stay out, as `.deny.toml` says.

use std::collections::BTreeSet;
use std::process::Command;

use serde_json::Value;

use crate::root;

/// Whatever can be switched on is held to the same lists.
const ALL: &[&str] = &["--all-features"];

/// Every package that the program or its tests are built from, on the machines that it is made for, with
/// these features.
fn packages(features: &[&str]) -> Vec<Value> {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked"])
        .args(features)
        .args(["--filter-platform", "x86_64-unknown-linux-gnu"])
        .current_dir(root())
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{told}");
    let metadata: Value = serde_json::from_slice(&output.stdout).unwrap();
    let used: BTreeSet<&str> = metadata["resolve"]["nodes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|node| node["id"].as_str().unwrap())
        .collect();
    let packages = metadata["packages"].as_array().unwrap().iter();
    packages
        .filter(|package| used.contains(package["id"].as_str().unwrap()))
        .cloned()
        .collect()
}

/// The quoted words of a list in `.deny.toml`.
fn listed(name: &str) -> Vec<String> {
    let text = std::fs::read_to_string(root().join(".deny.toml")).unwrap();
    let list = text.split(&format!("\n{name} = [\n")).nth(1).unwrap();
    let list = list.split("\n]").next().unwrap();
    let lines = list
        .lines()
        .filter(|line| !line.trim_start().starts_with('#'));
    lines
        .filter_map(|line| line.split('"').nth(1))
        .map(str::to_owned)
        .collect()
}

/// Whether one of the allowed licences is enough, after the grammar of SPDX expressions without
/// nesting deeper than one: `A OR B`, `A AND B`, `(A OR B) AND C`.
fn is_allowed(expression: &str, allowed: &[String]) -> bool {
    let expression = expression.replace('/', " OR ");
    let all = expression.split(" AND ");
    all.into_iter().all(|part| {
        let mut any = part.trim_matches(|c| "() ".contains(c)).split(" OR ");
        any.any(|licence| {
            allowed
                .iter()
                .any(|known| known == licence.trim_matches(|c| "() ".contains(c)))
        })
    })
}

#[test]
fn every_package_has_a_licence_that_the_program_may_be_under() {
    let allowed = listed("allow");
    assert!(allowed.len() > 5 && allowed.iter().all(|licence| !licence.contains("GPL")));
    let refused: Vec<String> = packages(ALL)
        .iter()
        .filter(|package| {
            let licence = package["license"].as_str().unwrap_or("none");
            !is_allowed(licence, &allowed)
        })
        .map(|package| {
            format!(
                "{} {}: {}",
                package["name"], package["version"], package["license"]
            )
        })
        .collect();
    assert!(refused.is_empty(), "{}", refused.join("\n"));
}

/// Who does not send traces does not build what sends them.
#[test]
fn nothing_that_sends_traces_is_built_unless_it_is_asked_for() {
    let sending = |features| {
        let packages = packages(features);
        let names = packages
            .iter()
            .filter_map(|package| package["name"].as_str());
        names.filter(|name| name.contains("opentelemetry")).count()
    };
    assert_eq!(sending(&[]), 0);
    assert!(sending(ALL) > 0);
}

#[test]
fn the_check_of_licences_can_fail() {
    let allowed = ["MIT".to_owned(), "Apache-2.0".to_owned()];
    assert!(
        is_allowed("MIT OR GPL-3.0", &allowed) && is_allowed("(MIT OR X) AND Apache-2.0", &allowed)
    );
    for bad in [
        "GPL-3.0-or-later",
        "MIT AND GPL-3.0",
        "none",
        "(X OR Y) AND MIT",
    ] {
        assert!(!is_allowed(bad, &allowed), "{bad}");
    }
}

#[test]
fn every_package_comes_from_the_registry_and_none_is_banned() {
    let packages = packages(ALL);
    assert!(packages.len() > 100);
    for package in &packages {
        let own = package["name"] == env!("CARGO_PKG_NAME");
        let from = package["source"].as_str().unwrap_or("here");
        assert_eq!(from.starts_with("registry+"), !own, "{from}");
    }
    let banned = listed("deny");
    assert!(banned.contains(&"actix-governor".to_owned()));
    for name in banned {
        let (name, version) = name.split_once('@').unwrap_or((&name, ""));
        let found = packages.iter().any(|package| {
            package["name"] == name && package["version"].as_str().unwrap().starts_with(version)
        });
        assert!(!found, "{name} {version}");
    }
}
