//! Every form of a report as what is installed, and a real one with a cart in one call.

use std::fmt::Write;
use std::path::Path;
use std::time::Instant;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};

use crate::client::post;
use crate::service::address;

const DUMP: &[u8] = include_bytes!("../fixtures/inventory/firth.smbios.bin");
const TEXT: &str = include_str!("../fixtures/inventory/firth.dmidecode.txt");
const LSHW: &str = include_str!("../fixtures/inventory/firth.lshw.json");
const MEMORY: &str = include_str!("../fixtures/inventory/loch.redfish.Memory.json");
const PROCESSORS: &str = include_str!("../fixtures/inventory/loch.redfish.Processors.json");

/// The answer to a report with a cart of eight modules.
fn decide(board: &str, inventory: &Value) -> Value {
    let body = json!({
        "board": board, "installed": { "inventory": inventory }, "installed_policy": "keep",
        "kit": [{ "module": "ERW-4R32-2x4", "quantity": 8 }],
    });
    let reply = post(address(), "/v1/validate", body.to_string().as_bytes());
    assert_eq!(reply.status, 200, "{}", reply.text());
    reply.json()
}

#[test]
fn table_text_and_tree_of_one_machine_give_one_verdict() {
    let forms = [
        json!({ "base64": STANDARD.encode(DUMP) }),
        json!({ "base64": STANDARD.encode(&DUMP[0x20..]) }),
        json!({ "text": TEXT }),
        json!({ "text": LSHW }),
    ];
    let answers: Vec<Value> = forms.iter().map(|form| decide("mere", form)).collect();
    for answer in &answers {
        let installed = answer["installed"].as_array().expect("a list");
        assert_eq!(installed.len(), 8);
        assert!(installed.iter().all(|own| own["module"] == "ERW-4R32-2x4"));
        assert_eq!(answer["verdict"], answers[0]["verdict"]);
        assert_eq!(answer["outcome"]["usable_mib"], 16 * 32 * 1024);
    }
    // Table, dump and text tell the same of every slot; a tree tells no ranks, but the part number.
    assert_eq!(answers[0]["placement"], answers[1]["placement"]);
    assert_eq!(answers[0]["placement"], answers[2]["placement"]);
}

#[test]
fn redfish_resources_tell_what_is_installed() {
    let documents: Vec<Value> = [MEMORY, PROCESSORS]
        .iter()
        .map(|text| serde_json::from_str(text).expect("JSON"))
        .collect();
    let answer = decide("mere", &json!({ "redfish": documents }));
    let installed = answer["installed"].as_array().expect("a list");
    let locators: Vec<&Value> = installed.iter().map(|own| &own["locator"]).collect();
    assert_eq!(locators, ["DIMM 1", "DIMM 3", "DIMM 5", "DIMM 7"]);
    assert!(installed.iter().all(|own| own["module"] == "ERW-4R32-2x8"));
    assert_eq!(answer["outcome"]["installed_mib"], 12 * 32 * 1024);
}

/// The longest real report, with structures of other types up to the length that full reports reach.
/// Source: linuxhw/DMI 57b21bc6 (CC BY 4.0), shortened; kept outside the repository.
fn real_report() -> Option<String> {
    let name = "supermicro-h12dsi-2s-16of16-ddr4.txt";
    let folder =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/vectors/inventory/dmidecode");
    let mut text = std::fs::read_to_string(folder.join(name)).ok()?;
    let mut number = 0x9000;
    while text.len() < 100 * 1024 {
        let _ = write!(
            text,
            "\nHandle 0x{number:04X}, DMI type 8, 9 bytes\nPort Connector Information\n\
             \tInternal Reference Designator: J{number}\n\tInternal Connector Type: None\n\
             \tExternal Reference Designator: Invented\n\tPort Type: USB\n"
        );
        number += 1;
    }
    Some(text)
}

#[test]
fn a_real_report_of_100_kb_with_a_cart_gets_a_verdict_in_one_call() {
    let Some(text) = real_report() else {
        println!("skipped: the real reports are not beside the repository");
        return;
    };
    let begun = Instant::now();
    let answer = decide("mere", &json!({ "text": text }));
    println!(
        "{} B answered in {:?}: {}",
        text.len(),
        begun.elapsed(),
        answer["verdict"]
    );
    assert_eq!(answer["installed"].as_array().map(Vec::len), Some(16));
    let verdict = answer["verdict"].as_str().expect("a verdict");
    assert!(["fits", "fits_with_warnings", "undecided", "does_not_fit"].contains(&verdict));
    let taken = &answer["installed"][0];
    assert!(taken["locator"].is_string(), "{taken}");
}
