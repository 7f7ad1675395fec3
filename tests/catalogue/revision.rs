//! The revision: every fact counts, order and layout don't.

use kitproof::catalogue::embedded::{self, FILES};
use kitproof::catalogue::load::{self, Content, File};
use serde_json::{Value, json};

use crate::support::{demo, set};

fn revision(files: &[File<'_>]) -> String {
    load::catalogue(files).unwrap().revision().to_owned()
}

fn with(name: &str, change: impl FnOnce(&mut Value)) -> String {
    let mut document = demo(name);
    change(&mut document);
    let bytes = serde_json::to_vec(&document).unwrap();
    let files: Vec<File<'_>> = FILES
        .iter()
        .map(|file| match file.name == name {
            true => File {
                bytes: &bytes,
                ..*file
            },
            false => *file,
        })
        .collect();
    revision(&files)
}

#[test]
fn the_order_and_layout_of_files_do_not_count() {
    let demo = embedded::catalogue().revision();
    assert_eq!(demo.len(), 64);
    let reversed: Vec<File<'_>> = FILES.iter().rev().copied().collect();
    assert_eq!(revision(&reversed), demo);
    // Written anew: members sorted, no white space.
    assert_eq!(with("boards/tarn.json", |_| ()), demo);
    assert_eq!(with("modules/ddr4.json", |_| ()), demo);
}

#[test]
fn every_fact_counts() {
    let mut seen = vec![embedded::catalogue().revision().to_owned()];
    seen.push(with("boards/tarn.json", |b| {
        set(b, "/rank_budget", json!(7));
    }));
    seen.push(with("boards/tarn.json", |b| {
        set(b, "/rank_budget", json!("none"));
    }));
    seen.push(with("boards/tarn.json", |b| {
        set(b, "/cautions", json!([]));
    }));
    seen.push(with("modules/ddr4.json", |m| {
        set(m, "/modules/ERW-4R32-2x4/stock", json!(1));
    }));
    seen.push(with("modules/ddr4.json", |m| {
        set(m, "/invented", json!(false));
    }));
    let count = seen.len();
    seen.sort();
    seen.dedup();
    assert_eq!(seen.len(), count);
}

#[test]
fn an_id_is_used_once() {
    let tarn = FILES
        .iter()
        .find(|file| file.name == "boards/tarn.json")
        .unwrap();
    let copy = File {
        name: "boards/copy.json",
        ..*tarn
    };
    let faults = load::catalogue(&[*tarn, copy]).unwrap_err();
    assert_eq!(faults.len(), 1);
    assert_eq!(
        (faults[0].file.as_str(), faults[0].fault.pointer.as_str()),
        ("boards/copy.json", "/id")
    );
    let twice = br#"{"invented": true, "modules": {"a": {}, "a": {}}}"#;
    let file = File {
        name: "modules/x.json",
        content: Content::Modules,
        bytes: twice,
    };
    let faults = load::catalogue(&[file]).unwrap_err();
    assert_eq!(faults[0].fault.pointer, "/modules/a");
}
