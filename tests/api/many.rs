//! Many requests on the command line: here, and spread over a server.

use std::io::Write;
use std::process::{Command, Output, Stdio};

use kitproof::api::examples;
use serde_json::Value;

use crate::client::send;
use crate::service::address;

/// The examples on one line each, so often, with some that cannot be used.
fn text(times: usize) -> String {
    let mut text = String::new();
    for _ in 0..times {
        for example in examples::VALIDATE {
            let value: Value =
                serde_json::from_str(example.request.expect("a body")).expect("JSON");
            text.push_str(&format!("{value}\n"));
        }
        text.push_str("\n{broken\n{\"board\":\"tarnn\"}\r\n");
    }
    text
}

fn run(arguments: &[&str], input: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_kitproof"))
        .arg("check")
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs");
    let mut stdin = child.stdin.take().expect("an input");
    let input = input.to_owned();
    // It may end before it has read everything.
    let writer = std::thread::spawn(move || stdin.write_all(input.as_bytes()));
    let output = child.wait_with_output().expect("an end");
    let _ = writer.join().expect("a writer");
    output
}

fn lines(output: &Output) -> Vec<String> {
    let text = String::from_utf8(output.stdout.clone()).expect("text");
    text.lines().map(str::to_owned).collect()
}

/// What the service answers to the same lines, which another test holds against single requests.
fn served(text: &str) -> Vec<String> {
    let headers = [("content-type", "application/x-ndjson")];
    let reply = send(
        address(),
        "POST",
        "/v1/validate/bulk",
        &headers,
        text.as_bytes(),
    );
    let body = String::from_utf8(crate::bulk::joined(&reply.body)).expect("text");
    body.lines().map(str::to_owned).collect()
}

#[test]
fn many_lines_give_what_the_service_gives_in_order() {
    let text = text(4);
    let output = run(&["-"], &text);
    assert!(lines(&output) == served(&text));
    assert_eq!(output.status.code(), Some(2), "some lines cannot be used");
}

#[test]
fn a_server_gives_the_same() {
    let text = text(3);
    let server = format!("http://{}", address());
    let output = run(&["-", "--server", &server], &text);
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(lines(&output) == served(&text), "{told}");
}

#[test]
fn it_goes_on_from_a_line() {
    let text = text(3);
    let whole = lines(&run(&["-"], &text));
    for from in [1, 2, 11, 13, 30, 1000] {
        let part = lines(&run(&["-", "--from-line", &from.to_string()], &text));
        let number = |line: &str| -> u64 {
            let line: Value = serde_json::from_str(line).expect("JSON");
            line["line"].as_u64().unwrap_or(0)
        };
        let expected: Vec<&String> = whole.iter().filter(|line| number(line) >= from).collect();
        let got: Vec<&String> = part.iter().filter(|line| number(line) > 0).collect();
        assert!(got == expected, "{from}");
    }
}

#[test]
fn the_exit_follows_all_lines() {
    let fits = r#"{"board":"tarn","kit":[{"module":"ERW-3R16-2x4","quantity":16}]}"#;
    let refused = r#"{"board":"tarn","kit":[{"module":"ERW-3R32-4x4","quantity":24}]}"#;
    let code = |arguments: &[&str], text: &str| run(arguments, text).status.code();
    assert_eq!(code(&["-"], &format!("{fits}\n{fits}\n")), Some(0));
    assert_eq!(code(&["-"], &format!("{fits}\n{refused}\n")), Some(1));
    assert_eq!(
        code(&["-", "--report"], &format!("{fits}\n{refused}\n")),
        Some(0)
    );
    assert_eq!(code(&["-", "--lines"], &format!("{fits}\nx")), Some(2));
    // A broken first line is a broken single request unless it is said that there are many.
    assert_eq!(lines(&run(&["-", "--lines"], "x")).len(), 2);
}

#[test]
fn a_server_that_is_not_there_is_told_with_the_line_to_go_on_from() {
    let text = text(1);
    let output = run(&["-", "--server", "http://127.0.0.1:9"], &text);
    assert_eq!(output.status.code(), Some(2));
    let told = String::from_utf8(output.stderr).expect("text");
    assert!(told.contains("--from-line 1"), "{told}");
}
