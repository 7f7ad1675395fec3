//! The worked example of the developers' page: it loads, it breaks as the page says, and it answers
//! what its invented maker's page prints.

use kitproof::api::decide::decide;
use kitproof::api::extract::read_json;
use kitproof::api::wire::request::ValidateRequest;
use kitproof::catalogue::embedded::FILES;
use kitproof::catalogue::load::{self, Content, File};
use kitproof::catalogue::{Catalogue, directory, doubts};
use kitproof::render::words::Words;
use serde_json::{Value, json};
use std::path::Path;

/// The block of the guide in this language, without its fences.
fn block(language: &str) -> String {
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md");
    let page = std::fs::read_to_string(page).unwrap();
    let (_, guide) = page
        .split_once("### From a maker's page to a board record")
        .unwrap();
    let (_, block) = guide.split_once(&format!("```{language}\n")).unwrap();
    block.split_once("```").unwrap().0.to_owned()
}

/// The example's board with the demo modules.
fn catalogue() -> Catalogue {
    let text = block("json");
    let mut files: Vec<File<'_>> = FILES.to_vec();
    files.retain(|file| file.content == Content::Modules);
    files.push(File {
        name: "boards/rill.json",
        content: Content::Board,
        bytes: text.as_bytes(),
    });
    load::catalogue(&files).unwrap_or_else(|faults| panic!("{faults:#?}"))
}

/// The verdict, the rate in MT/s and the blockers that are broken.
fn asked(catalogue: &Catalogue, request: &Value) -> (String, Value, Vec<String>) {
    let request: ValidateRequest = read_json(request.to_string().as_bytes()).unwrap();
    let decided = decide(&request, catalogue).unwrap();
    let body = serde_json::to_value(decided.body(Words::english())).unwrap();
    let findings = body["findings"].as_array().unwrap().iter();
    let blockers = findings.filter(|f| f["severity"] == "blocker" && f["state"] == "broken");
    (
        body["verdict"].as_str().unwrap().to_owned(),
        body["outcome"]["rate_mts"].clone(),
        blockers
            .map(|f| f["rule"].as_str().unwrap().to_owned())
            .collect(),
    )
}

#[test]
fn the_example_is_a_board_without_faults_or_doubts() {
    let catalogue = catalogue();
    let entry = catalogue.board("rill").unwrap();
    assert!(entry.record.invented);
    assert_eq!(doubts::of_board(&entry.board), []);
}

#[test]
fn the_mistake_of_the_example_is_told_as_the_page_prints_it() {
    let mut board: Value = serde_json::from_str(&block("json")).unwrap();
    board.as_object_mut().unwrap().remove("slot_power_mw");
    let folder = std::env::temp_dir().join(format!("kitproof-guide-{}", std::process::id()));
    std::fs::create_dir_all(folder.join("boards")).unwrap();
    std::fs::write(folder.join("boards/rill.json"), board.to_string()).unwrap();
    let report = directory::check(&folder).text();
    std::fs::remove_dir_all(&folder).unwrap();
    assert_eq!(report, block("text"));
}

#[test]
fn the_example_answers_what_its_page_prints() {
    let catalogue = catalogue();
    let kit = |processor: &str, module: &str, quantity: u32| {
        let lines = json!([{"module": module, "quantity": quantity}]);
        json!({"board": "rill", "processors": [processor], "firmware": "1.3", "kit": lines})
    };
    for (processor, module, quantity, rate) in [
        ("rill-12", "ERW-4R32-2x4", 2, 2933),
        ("rill-6", "ERW-4R32-2x4", 2, 2666),
        ("rill-12", "ERW-4R16-1x4", 4, 2666),
        ("rill-12", "ERW-4R32-2x4", 4, 2400),
    ] {
        let (verdict, found, blockers) = asked(&catalogue, &kit(processor, module, quantity));
        assert!(
            verdict.starts_with("fits"),
            "{quantity} x {module}: {blockers:?}"
        );
        assert_eq!(found, json!(rate), "{quantity} x {module} in {processor}");
    }
    let two = |one: &str, other: &str| {
        json!({"board": "rill", "processors": ["rill-12"], "firmware": "1.3", "population": [
            {"slot": "A1", "module": one}, {"slot": "A2", "module": other},
        ]})
    };
    let slow = json!({"generation": "DDR4", "kind": "RDIMM", "rate_mts": 1866});
    let slow = json!({"board": "rill", "kit": [{"module": slow, "quantity": 1}]});
    for (request, rule) in [
        (
            kit("rill-12", "ERW-4R32-2x4", 3),
            "module-count-not-supported",
        ),
        (two("ERW-4R16-2x8", "ERW-4R32-2x4"), "widths-mixed"),
        (two("ERW-4R16-1x4", "ERW-4R32-2x4"), "rate-not-listed"),
        (slow, "rate-below-board"),
    ] {
        let (verdict, _, blockers) = asked(&catalogue, &request);
        assert_eq!(verdict, "does_not_fit", "{rule}");
        assert!(blockers.iter().any(|id| id == rule), "{rule}: {blockers:?}");
    }
}
