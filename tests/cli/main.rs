//! The command line as a newcomer meets it: what it prints and how it exits.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "helpers of a test may fail it"
)]

use std::io::{BufRead, BufReader, Write};
use std::net::TcpListener;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};

#[cfg(test)]
mod access;
#[cfg(test)]
mod receipt;
#[cfg(all(test, not(feature = "otlp")))]
mod traces;

const REFUSED: &str = "openapi/examples/cart-too-many-ranks.json";

fn kitproof() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kitproof"));
    command.current_dir(env!("CARGO_MANIFEST_DIR"));
    command
}

fn run(arguments: &[&str], input: &str) -> Output {
    let mut child = kitproof()
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child
        .stdin
        .take()
        .unwrap()
        .write_all(input.as_bytes())
        .unwrap();
    child.wait_with_output().unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

fn printed(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

#[test]
fn a_refused_cart_is_explained_with_the_largest_count_that_fits() {
    let report = run(&["check", "--report", REFUSED], "");
    assert_eq!(
        code(&report),
        0,
        "a report exits with 0 once it has answered"
    );
    let text = printed(&report);
    for part in [
        "It does not fit.",
        "At most 16 of ERW-3R32-4x4 will fit",
        "rank-budget-exceeded",
        "4 + 4 + 4",
        "Before you open the server",
    ] {
        assert!(text.contains(part), "{part} is missing in\n{text}");
    }
    assert_eq!(
        code(&run(&["check", REFUSED], "")),
        1,
        "without --report a refusal exits with 1"
    );
}

#[test]
fn why_not_another_kit_is_explained_from_two_files() {
    let example = std::fs::read_to_string("openapi/examples/explain-choice.json").unwrap();
    let example: serde_json::Value = serde_json::from_str(&example).unwrap();
    let name = format!("kitproof-choice-{}.json", std::process::id());
    let file = std::env::temp_dir().join(name);
    std::fs::write(&file, example["alternative"].to_string()).unwrap();
    let task = example["optimise"].to_string();
    let explain = ["explain", "-", "--about", "choice"];
    let named = ["--alternative", file.to_str().unwrap()];
    let said_in = |language: &str| {
        let arguments = [&explain[..], &named, &["--language", language]].concat();
        let answer = run(&arguments, &task);
        assert_eq!(code(&answer), 0, "{}", said(&answer));
        printed(&answer)
    };
    assert!(
        said_in("en").contains("is preferred: cost decides"),
        "{}",
        said_in("en")
    );
    assert!(said_in("de").contains("geht vor"), "{}", said_in("de"));
    let none = run(&explain, &task);
    assert_eq!(code(&none), 2);
    assert!(
        said(&none).contains("`alternative` is missing"),
        "{}",
        said(&none)
    );
    std::fs::remove_file(&file).unwrap();
}

#[test]
fn an_allowed_cart_exits_with_0_and_reads_from_standard_input() {
    let cart = r#"{"board": "tarn", "kit": [{"module": "ERW-3R32-4x4", "quantity": 16}]}"#;
    let answer = run(&["check", "--json", "-"], cart);
    assert_eq!(code(&answer), 0, "{}", said(&answer));
    let answer: serde_json::Value = serde_json::from_str(&printed(&answer)).unwrap();
    assert_eq!(answer["allowed"], true);
}

#[test]
fn a_request_that_cannot_be_used_exits_with_2_and_names_every_fault() {
    let cart = r#"{"board": "tarm", "kit": [{"modul": "ERW-3R32-4x4", "quantity": 0}]}"#;
    let answer = run(&["check", "-"], cart);
    assert_eq!(code(&answer), 2);
    let text = said(&answer);
    assert!(
        text.contains("/kit/0/modul") || text.contains("/kit/0"),
        "{text}"
    );
    assert!(text.contains("/kit/0/quantity"), "{text}");
    let unknown = run(&["check", "-"], r#"{"board": "tarm"}"#);
    assert_eq!(code(&unknown), 2);
    assert!(said(&unknown).contains("near: tarn"), "{}", said(&unknown));
    assert_eq!(code(&run(&["check", "no-such-file.json"], "")), 2);
    assert_eq!(code(&run(&["chek"], "")), 2);
}

#[test]
fn a_catalogue_is_checked_and_its_faults_named() {
    let sound = run(&["catalogue", "check", "src/catalogue/data"], "");
    assert_eq!(code(&sound), 0, "{}", printed(&sound));
    assert!(printed(&sound).contains("0 faults"), "{}", printed(&sound));
    let folder = std::env::temp_dir().join(format!("kitproof-cli-{}", std::process::id()));
    std::fs::create_dir_all(folder.join("boards")).unwrap();
    let tarn = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/catalogue/data/boards/tarn.json");
    let broken = std::fs::read_to_string(tarn)
        .unwrap()
        .replace("\"rank_budget\"", "\"rank_bugdet\"");
    std::fs::write(folder.join("boards/tarn.json"), broken).unwrap();
    let faulty = run(&["catalogue", "check", folder.to_str().unwrap()], "");
    std::fs::remove_dir_all(&folder).unwrap();
    assert_eq!(code(&faulty), 2);
    assert!(
        printed(&faulty).contains("rank_budget") && printed(&faulty).contains("tarn.json"),
        "{}",
        printed(&faulty)
    );
}

/// A running service that stops with the test.
struct Service {
    child: Child,
    address: String,
}

impl Drop for Service {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn serve() -> Service {
    serve_with(&[])
}

fn serve_with(arguments: &[&str]) -> Service {
    let port = TcpListener::bind("127.0.0.1:0")
        .unwrap()
        .local_addr()
        .unwrap()
        .port();
    let mut child = kitproof()
        .args(["serve", "--port", &port.to_string()])
        .args(arguments)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let log = BufReader::new(child.stderr.take().unwrap());
    let mut lines = log.lines();
    let started = lines
        .by_ref()
        .map_while(Result::ok)
        .any(|line| line.contains("listening on"));
    assert!(started, "the service did not start");
    std::thread::spawn(move || lines.for_each(drop));
    Service {
        child,
        address: format!("http://127.0.0.1:{port}"),
    }
}

#[test]
fn a_server_is_asked_for_its_health_and_for_a_decision() {
    let service = serve();
    let health = run(&["health", &service.address], "");
    assert_eq!(
        (code(&health), printed(&health).as_str()),
        (0, "ready\n"),
        "{}",
        said(&health)
    );
    let far = run(&["check", "--server", &service.address, REFUSED], "");
    let near = run(&["check", "--json", REFUSED], "");
    assert_eq!((code(&far), code(&near)), (1, 1));
    let read =
        |output: &Output| serde_json::from_str::<serde_json::Value>(&printed(output)).unwrap();
    assert_eq!(
        read(&far),
        read(&near),
        "the server and the command line decide alike"
    );
    let address = service.address.clone();
    drop(service);
    assert_eq!(code(&run(&["health", &address], "")), 2);
    assert_eq!(code(&run(&["health", "nowhere"], "")), 2);
}

#[test]
fn a_comparison_exits_with_0_only_if_all_is_as_planned() {
    let code_of = |arguments: &[&str], input: &str| code(&run(arguments, input));
    assert_eq!(
        code_of(&["verify", "openapi/examples/verify-agrees.json"], ""),
        0
    );
    assert_eq!(
        code_of(&["verify", "openapi/examples/verify-not-seen.json"], ""),
        1
    );
    assert_eq!(
        code_of(
            &["verify", "--report", "openapi/examples/verify-slow.json"],
            ""
        ),
        0
    );
    let plan = r#"{"board": "firth", "population": []}"#;
    let dump = "tests/fixtures/inventory/firth.smbios.bin";
    let found = run(&["verify", "-", "--found", dump], plan);
    assert_eq!(code(&found), 1, "{}", said(&found));
    assert!(
        printed(&found).contains("another machine"),
        "{}",
        printed(&found)
    );
    let none = run(&["verify", "-", "--found", "Cargo.toml"], plan);
    assert_eq!(code(&none), 2);
    assert!(said(&none).contains("/found/inventory"), "{}", said(&none));
}

#[test]
fn a_report_as_what_is_installed_gives_the_same_here_and_at_a_server() {
    let service = serve();
    let cart = r#"{"board": "firth", "kit": [{"module": "ERW-5R32-1x4", "quantity": 4}]}"#;
    for report in ["firth.smbios.bin", "firth.lshw.json", "firth.dmidecode.txt"] {
        let report = format!("tests/fixtures/inventory/{report}");
        let installed = ["--installed", report.as_str(), "-"];
        let near = run(&[&["check", "--json"], &installed[..]].concat(), cart);
        let server = ["check", "--server", &service.address];
        let far = run(&[&server, &installed[..]].concat(), cart);
        assert_eq!(code(&near), code(&far), "{}{}", said(&near), said(&far));
        let read =
            |output: &Output| serde_json::from_str::<serde_json::Value>(&printed(output)).unwrap();
        assert_eq!(read(&near), read(&far), "{report}");
    }
}

#[test]
fn optimise_prints_kits_and_exits_by_whether_there_is_one() {
    let found = run(&["optimise", "openapi/examples/optimise.json"], "");
    assert_eq!(code(&found), 0);
    let page = printed(&found);
    assert!(page.contains("Kit 1: ") && page.contains("Buy "), "{page}");
    assert!(page.contains("Before you open the server"), "{page}");
    let none = run(
        &["optimise", "openapi/examples/optimise-infeasible.json"],
        "",
    );
    assert_eq!(code(&none), 1);
    assert!(
        printed(&none).contains("Raise the budget by "),
        "{}",
        printed(&none)
    );
    let json = run(&["optimise", "--json", "-"], "{\"board\": \"nowhere\"}");
    assert_eq!(code(&json), 2);
}
