//! What the README shows is what comes out.

use std::fs;
use std::path::Path;
use std::process::Command;

use kitproof::api::examples;
use serde_json::Value;

use crate::client::{post, send};
use crate::service::address;

const ROOT: &str = env!("CARGO_MANIFEST_DIR");

/// The first block of code that begins so.
fn block(start: &str) -> String {
    let readme = fs::read_to_string(Path::new(ROOT).join("README.md")).expect("a README");
    let blocks = readme.split("```").skip(1).step_by(2);
    let text = blocks.filter_map(|block| block.split_once('\n'));
    let mut found = text
        .map(|(_, text)| text)
        .filter(|text| text.starts_with(start));
    found.next().expect("such a block").to_owned()
}

fn json(text: &str) -> Value {
    serde_json::from_str(text).expect("JSON")
}

#[test]
fn the_first_command_prints_what_the_readme_shows() {
    let file = "openapi/examples/cart-too-many-ranks.json";
    let shown = block("24 × ERW");
    assert!(shown.lines().count() > 20);
    assert_shown(&shown, &printed(&["check", "--report", file]));
}

#[test]
fn the_comparison_prints_what_the_readme_shows() {
    let output = Command::new(env!("CARGO_BIN_EXE_kitproof"))
        .args([
            "verify",
            "--report",
            "openapi/examples/verify-not-seen.json",
        ])
        .current_dir(ROOT)
        .output()
        .expect("the program runs");
    let printed = String::from_utf8(output.stdout).expect("text");
    let shown = block("What was found is not");
    let shown = shown.split("...").next().expect("text");
    assert!(printed.contains(shown), "{printed}");
}

#[test]
fn the_request_the_fix_and_the_problem_of_the_readme_are_true() {
    let fits = fs::read_to_string(Path::new(ROOT).join("openapi/examples/cart-fits.json"));
    let request = block("{\n  \"reference\"");
    assert_eq!(request, fits.expect("an example"));
    let answer = json(examples::CART.answer);
    let fix = json(&block("{\n  \"sentence\""));
    assert_eq!(answer["findings"][0]["fixes"][0], fix);
    let reply = post(address(), "/v1/validate", br#"{"board": "tarnn"}"#);
    assert_eq!(reply.json(), json(&block("{\n    \"type\"")));
}

#[test]
fn the_readme_names_every_example_and_every_list() {
    let readme = fs::read_to_string(Path::new(ROOT).join("README.md")).expect("a README");
    let more = examples::VERIFY.iter().chain(examples::OPTIMISE);
    for example in examples::VALIDATE.iter().chain(more) {
        assert!(
            readme.contains(&format!("`{}`", example.name)),
            "{}",
            example.name
        );
    }
    for endpoint in kitproof::api::ENDPOINTS {
        let path = endpoint.path();
        let listed = path.starts_with("/v1/") && endpoint.is_documented();
        assert!(
            !listed || readme.contains(&path),
            "{path} is not in the README"
        );
    }
}

/// What the program prints for these arguments, started where the README stands.
fn printed(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_kitproof"))
        .args(arguments)
        .current_dir(ROOT)
        .output()
        .expect("the program runs");
    assert_eq!(output.status.code(), Some(0));
    String::from_utf8(output.stdout).expect("text")
}

/// Each line of a block is printed, in order.
fn assert_shown(block: &str, printed: &str) {
    let mut lines = printed.lines();
    for line in block.lines().filter(|line| *line != "...") {
        assert!(
            lines.any(|printed| printed == line),
            "not printed here: {line}"
        );
    }
}

#[test]
fn the_limit_that_the_readme_shows_is_what_is_printed() {
    let file = "openapi/examples/cart-too-many-ranks.json";
    let printed = printed(&["explain", file, "--about", "limit"]);
    assert_shown(&block("At most 16"), &printed);
}

#[test]
fn the_choice_that_the_readme_shows_is_what_is_answered() {
    let request = include_bytes!("../../openapi/examples/explain-choice.json");
    let headers = [
        ("content-type", "application/json"),
        ("accept", "text/plain"),
    ];
    let reply = send(address(), "POST", "/v1/explain", &headers, request);
    assert_shown(&block("The optimiser's kit"), &reply.text());
}
