//! `POST /v1/read/inventory`, and a report as what is installed.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};

use crate::client::{Reply, post, send};
use crate::reports::{dmidecode, lines, tarn};
use crate::service::address;

const DUMP: &[u8] = include_bytes!("../fixtures/inventory/firth.smbios.bin");
const TARN: &str = include_str!("../fixtures/inventory/tarn.dmidecode.txt");
const MEMORY: &str = include_str!("../fixtures/inventory/loch.redfish.Memory.json");
const SYSTEM: &str = include_str!("../fixtures/inventory/loch.redfish.System.json");

fn read(body: &Value) -> Reply {
    post(address(), "/v1/read/inventory", body.to_string().as_bytes())
}

fn raw(path: &str, kind: &str, body: &[u8]) -> Reply {
    send(address(), "POST", path, &[("content-type", kind)], body)
}

fn validate(body: &Value) -> Reply {
    post(address(), "/v1/validate", body.to_string().as_bytes())
}

fn codes(answer: &Value) -> Vec<&str> {
    let notes = answer["notes"]
        .as_array()
        .map(Vec::as_slice)
        .unwrap_or_default();
    notes
        .iter()
        .filter_map(|note| note["code"].as_str())
        .collect()
}

/// The tarn machine, its slots named as they are printed.
fn printed() -> String {
    dmidecode(&lines(&tarn("DIMM ")), [true, true])
}

#[test]
fn a_text_gives_slots_with_records_and_standings() {
    let answer = read(&json!({ "text": TARN })).json();
    assert_eq!(
        (&answer["format"], &answer["complete"]),
        (&json!("dmidecode_text"), &json!(true))
    );
    assert_eq!(answer["slots"].as_array().map(Vec::len), Some(24));
    assert_eq!(answer["system"]["product"], "Tarn server");
    let slot = &answer["slots"][1];
    assert_eq!(
        (&slot["locator"], &slot["occupancy"]),
        (&json!("P1_DIMM1A"), &json!("populated"))
    );
    assert_eq!(slot["module"]["package_ranks"], 2);
    assert_eq!(slot["place"]["by"], "locator_text");
    assert_eq!(slot["facts"].as_array().map(Vec::len), Some(17));
    // The clock 667 MHz is a rate of 1333 MT/s, by the trade's name.
    assert_eq!(slot["module"]["rate_mts"], 1333);
}

#[test]
fn every_form_of_a_report_is_read() {
    let text = read(&json!({ "text": TARN })).json();
    assert_eq!(
        read(&json!({ "base64": STANDARD.encode(TARN) })).json(),
        text
    );
    assert_eq!(
        raw("/v1/read/inventory", "text/plain", TARN.as_bytes()).json(),
        text
    );
    let dump = raw("/v1/read/inventory", "application/octet-stream", DUMP).json();
    assert_eq!(
        (&dump["format"], &dump["populated"]),
        (&json!("smbios_dump"), &json!(8))
    );
    let documents: Vec<Value> = [MEMORY, SYSTEM]
        .iter()
        .map(|text| serde_json::from_str(text).expect("JSON"))
        .collect();
    let redfish = read(&json!({ "redfish": documents })).json();
    assert_eq!(redfish["format"], "redfish");
    assert_eq!(redfish["slots"].as_array().map(Vec::len), Some(8));
}

#[test]
fn slots_are_those_of_the_board_where_the_locator_is_the_printed_label() {
    let answer = read(&json!({ "text": printed(), "board": "tarn" })).json();
    assert_eq!(
        (&answer["slots"][0]["slot"], &answer["slots"][0]["slot_by"]),
        (&json!("A1"), &json!("label"))
    );
    assert_eq!(answer["slots"][23]["slot"], "H3");
    assert_eq!(answer["ask"], json!([]));
    assert_eq!(answer["slots"][0]["catalogue_module"], "ERW-3R16-2x4");
    let same = raw(
        "/v1/read/inventory?board=tarn",
        "text/plain",
        printed().as_bytes(),
    )
    .json();
    assert_eq!(same, answer);
}

#[test]
fn where_firmware_numbers_the_slots_of_a_channel_the_board_s_slot_is_asked() {
    let answer = read(&json!({ "text": TARN, "board": "tarn" })).json();
    let ask = answer["ask"].as_array().expect("a list");
    let asked = ask
        .iter()
        .find(|asked| asked["locator"] == "P1_DIMM1A")
        .expect("asked");
    assert_eq!(asked["candidates"], json!(["A1", "A2", "A3"]));
    assert!(codes(&answer).contains(&"slot-not-on-board"));
    assert!(!codes(&answer).contains(&"placement-unknown"));
}

#[test]
fn where_a_channel_has_one_slot_its_number_tells_it_with_a_caution() {
    let slots: Vec<(String, Option<&'static str>)> = (0..12)
        .map(|channel| (format!("P0_CHANNEL{channel}_DIMM0"), None))
        .collect();
    let text = dmidecode(&lines(&slots), [true, false]);
    let answer = read(&json!({ "text": text, "board": "firth" })).json();
    assert_eq!(
        (&answer["slots"][2]["slot"], &answer["slots"][2]["slot_by"]),
        (&json!("C1"), &json!("number"))
    );
    assert!(codes(&answer).contains(&"slots-placed-by-number"));
    // Eleven channels of twelve: which one is left out is not told.
    let text = dmidecode(&lines(&slots[..11]), [true, false]);
    let answer = read(&json!({ "text": text, "board": "firth" })).json();
    assert_eq!(answer["slots"][2].get("slot"), None);
}

#[test]
fn the_caller_can_tell_the_slots() {
    let slots =
        json!([{ "locator": "P1_DIMM1A", "slot": "A1" }, { "locator": "p1_dimm2a", "slot": "B1" }]);
    let answer = read(&json!({ "text": TARN, "board": "tarn", "slots": slots })).json();
    assert_eq!(
        (&answer["slots"][1]["slot"], &answer["slots"][1]["slot_by"]),
        (&json!("A1"), &json!("told"))
    );
    assert_eq!(
        answer["slots"][1]["place"]["position"],
        json!({ "value": 1, "standing": "read" })
    );
    let wrong = json!([{ "locator": "P1_DIMM1A", "slot": "A9" }]);
    let reply = read(&json!({ "text": TARN, "board": "tarn", "slots": wrong }));
    assert_eq!(reply.faults(), ["unknown-name /slots/0/slot"]);
    assert_eq!(
        read(&json!({ "text": TARN, "slots": slots })).faults(),
        ["unusable /slots"]
    );
}

#[test]
fn two_slots_that_claim_one_slot_of_the_board_get_none() {
    let text = dmidecode(
        &[("A1", None), ("DIMM_A1", None), ("B1", None)],
        [true, true],
    );
    let answer = read(&json!({ "text": text, "board": "tarn" })).json();
    assert_eq!(answer["slots"][0].get("slot"), None);
    assert_eq!(answer["slots"][2]["slot"], "B1");
}

#[test]
fn what_is_no_report_is_refused() {
    assert_eq!(read(&json!({})).faults(), ["missing-member "]);
    let twice = json!({ "text": TARN, "base64": "AAAA" });
    assert_eq!(read(&twice).faults(), ["too-many-members "]);
    assert_eq!(
        read(&json!({ "base64": "?" })).faults(),
        ["unusable /base64"]
    );
    assert_eq!(read(&json!({ "text": "hello" })).code(), "invalid-body");
    let reply = read(&json!({ "text": TARN, "board": "tarm" }));
    assert_eq!(reply.faults(), ["unknown-name /board"]);
    assert_eq!(reply.json()["faults"][0]["close_matches"], json!(["tarn"]));
    let reply = raw(
        "/v1/read/inventory?board=tarm",
        "text/plain",
        TARN.as_bytes(),
    );
    assert_eq!(reply.faults(), ["unusable query:board"]);
    let reply = post(
        address(),
        "/v1/read/inventory?board=tarn",
        json!({ "text": TARN }).to_string().as_bytes(),
    );
    assert_eq!(reply.faults(), ["unusable query:board"]);
    let reply = raw("/v1/read/inventory", "text/plain", b"hello");
    assert_eq!(reply.code(), "nothing-readable");
    assert!(
        reply.json()["faults"][0]["message"]
            .as_str()
            .is_some_and(|m| m.contains("none of the reports"))
    );
}

/// A report and a line of a cart.
fn upgrade(report: &str, quantity: u32) -> Value {
    json!({ "board": "tarn", "installed": { "inventory": { "text": report } },
        "kit": [{ "module": "ERW-3R16-2x4", "quantity": quantity }] })
}

#[test]
fn a_report_and_a_cart_give_the_verdict_that_a_list_gives() {
    let by_report = validate(&upgrade(&printed(), 4)).json();
    let installed: Vec<Value> = ["A1", "B1", "C1", "D1"]
        .iter()
        .map(|slot| json!({ "slot": slot, "module": "ERW-3R16-2x4" }))
        .collect();
    let by_list = json!({ "board": "tarn", "installed": installed, "processors": ["fitted", "fitted"],
        "kit": [{ "module": "ERW-3R16-2x4", "quantity": 4 }] });
    let by_list = validate(&by_list).json();
    assert_eq!(
        by_list["placement"]["slots"].as_array().map(Vec::len),
        Some(8)
    );
    for member in ["verdict", "outcome", "placement", "findings", "models"] {
        assert_eq!(by_report[member], by_list[member], "{member}");
    }
    assert_eq!(
        by_report["installed"][0],
        json!({ "locator": "DIMM A1", "slot": "A1", "module": "ERW-3R16-2x4" })
    );
    assert_eq!(
        codes(&by_report),
        ["module-of-catalogue", "processors-from-report"]
    );
}

/// Whatever is asked, a report says the same as the list of what it shows; only the notes tell them apart.
#[test]
fn a_report_is_what_is_installed_wherever_that_is_asked() {
    let installed: Vec<Value> = ["A1", "B1", "C1", "D1"]
        .iter()
        .map(|slot| json!({ "slot": slot, "module": "ERW-3R16-2x4" }))
        .collect();
    let with = |mut request: Value, installed: Value| {
        request["installed"] = installed;
        request["processors"] = json!(["fitted", "fitted"]);
        request
    };
    let both = |request: &Value| {
        let report = json!({ "inventory": { "text": printed() } });
        [report, json!(installed)].map(|installed| with(request.clone(), installed))
    };
    let ask = |path: &str, body: &Value| {
        let reply = post(address(), path, body.to_string().as_bytes());
        assert_eq!(reply.status, 200, "{path}: {}", reply.text());
        let mut answer = reply.json();
        let members = answer.as_object_mut().expect("an object");
        assert!(!members.is_empty());
        members.remove("notes");
        members.remove("installed");
        answer
    };
    let cart = json!({ "board": "tarn", "kit": [{ "module": "ERW-3R32-4x4", "quantity": 24 }] });
    let [by_report, by_list] = both(&cart).map(|request| {
        ask(
            "/v1/explain",
            &json!({ "about": "verdict", "request": request }),
        )
    });
    assert_eq!(by_report, by_list);
    let wanted = json!({ "board": "tarn", "installed_policy": "in_place",
        "wishes": { "capacity_at_least_mib": 131_072 },
        "for_sale": [{ "module": "ERW-3R16-2x4" }, { "module": "ERW-3R8-2x4-15V" }] });
    let [by_report, by_list] = both(&wanted).map(|request| ask("/v1/optimise", &request));
    assert_eq!(by_report["plans"][0], by_list["plans"][0]);
    assert_eq!(by_report, by_list);
}

#[test]
fn a_long_report_and_a_cart_give_a_verdict_in_one_call() {
    let mut report = printed();
    while report.len() < 100_000 {
        let handle = 0x2000 + report.len();
        report.push_str(&format!(
            "Handle 0x{handle:04X}, DMI type 9, 17 bytes\nSystem Slot Information\n\
             \tDesignation: Invented slot\n\tType: x8 PCI Express 3\n\tCurrent Usage: Available\n\n"
        ));
    }
    let answer = validate(&upgrade(&report, 4));
    assert_eq!(answer.status, 200);
    let answer = answer.json();
    assert!(
        ["fits", "fits_with_warnings"].contains(&answer["verdict"].as_str().expect("a verdict")),
        "{answer:#}"
    );
    assert_eq!(answer["allowed"], true);
}

#[test]
fn an_empty_socket_of_the_report_takes_no_module() {
    let slots = tarn("");
    let report = dmidecode(&lines(&slots), [true, false]);
    let answer = validate(&upgrade(&report, 9)).json();
    assert_eq!(
        answer["verdict"], "does_not_fit",
        "12 slots of one socket: {answer:#}"
    );
    assert!(codes(&answer).contains(&"processors-from-report"));
    // What the request tells counts more.
    let mut told = upgrade(&report, 9);
    told["processors"] = json!(["fitted", "fitted"]);
    let told = validate(&told).json();
    assert!(!codes(&told).contains(&"processors-from-report"));
    assert_ne!(told["verdict"], "does_not_fit");
}

/// What blocks or could block.
fn rules_of(answer: &Value) -> Vec<&str> {
    let findings = answer["findings"].as_array().expect("findings");
    let rules = findings.iter().map(|finding| finding["rule"].as_str());
    rules.map(|rule| rule.expect("a rule")).collect()
}

// SMBIOS has a structure for each slot, filled or not (DSP0134 7.18): what a text does not name, it does not
// call empty.
#[test]
fn a_report_that_is_cut_between_two_slots_never_fits() {
    let slots = tarn("DIMM ");
    for kept in [1, 3, 10, 11] {
        let text = dmidecode(&lines(&slots[..kept]), [true, false]);
        let answer = validate(&upgrade(&text, 1)).json();
        assert_eq!(answer["verdict"], "undecided", "{kept} slots");
        assert_eq!(answer["allowed"], false);
        assert!(rules_of(&answer).contains(&"slot-contents-not-told"));
        assert!(codes(&answer).contains(&"slots-left-out"));
        let answer = read(&json!({ "text": text, "board": "tarn" })).json();
        assert_eq!(answer["complete"], false, "{kept} slots");
        assert!(codes(&answer).contains(&"slots-left-out"));
    }
    // Where everything comes out, it does not matter what they hold.
    let mut body = upgrade(&dmidecode(&lines(&slots[..3]), [true, false]), 4);
    body["installed_policy"] = json!("replace");
    assert!(!rules_of(&validate(&body).json()).contains(&"slot-contents-not-told"));
}

// 7 published reports of two-socket boards with one processor list the slots of that one only (linuxhw/DMI).
#[test]
fn slots_of_a_socket_without_a_processor_may_be_missing() {
    let slots = tarn("DIMM ");
    let text = dmidecode(&lines(&slots[..12]), [true, false]);
    let answer = validate(&upgrade(&text, 4)).json();
    assert_eq!(answer["verdict"], "fits", "{answer:#}");
    assert!(!codes(&answer).contains(&"slots-left-out"));
    let answer = read(&json!({ "text": text, "board": "tarn" })).json();
    assert_eq!(answer["complete"], true);
    // `dmidecode -t memory` names no processors: then every socket counts as fitted until somebody tells.
    let silent = text.replace("DMI type 4,", "DMI type 44,");
    let silent = silent.replace("Processor Information", "Something else");
    let answer = validate(&upgrade(&silent, 4)).json();
    assert_eq!(answer["verdict"], "undecided", "{answer:#}");
    let note = answer["notes"]
        .as_array()
        .expect("notes")
        .last()
        .expect("a note");
    assert_eq!(
        note["params"]["slots"]["text"],
        "E1, E2, E3, F1, F2, F3, G1, G2, G3, H1, H2 and H3"
    );
    let mut told = upgrade(&silent, 4);
    told["processors"] = json!(["fitted", "empty"]);
    let answer = validate(&told).json();
    assert_eq!(answer["verdict"], "fits", "{answer:#}");
    assert!(!codes(&answer).contains(&"slots-left-out"));
    let answer = read(&json!({ "text": silent, "board": "tarn" })).json();
    assert_eq!(answer["complete"], true);
}

#[test]
fn a_report_of_a_machine_that_maps_more_memory_than_it_describes_is_refused() {
    let slots = tarn("DIMM ");
    let range = "Handle 0x1300, DMI type 19, 31 bytes\nMemory Array Mapped Address\n\tRange Size: 64 GB\n\n";
    let whole = dmidecode(&lines(&slots), [true, false]) + range;
    assert_eq!(validate(&upgrade(&whole, 4)).json()["verdict"], "fits");
    let cut = range.to_owned() + &dmidecode(&lines(&slots[..3]), [true, false]);
    let reply = validate(&upgrade(&cut, 4));
    assert_eq!(reply.faults(), ["unusable /installed/inventory"]);
    let message = reply.json()["faults"][0]["message"].to_string();
    assert!(message.contains("firmware maps 65536 MiB"), "{message}");
    assert_eq!(read(&json!({ "text": cut })).json()["complete"], false);
}

#[test]
fn modules_whose_slot_is_not_known_leave_the_verdict_open_until_they_may_move() {
    // Firmware's own numbers: which slot of a channel the first is, they do not tell.
    let mut slots = Vec::new();
    for (socket, channel) in [1, 2]
        .into_iter()
        .flat_map(|s| (1..=4).map(move |c| (s, c)))
    {
        for letter in ['A', 'B', 'C'] {
            let filled = (letter == 'A').then_some("ERW-3R16-2x4");
            slots.push((format!("P{socket}_DIMM{channel}{letter}"), filled));
        }
    }
    let mut body = upgrade(&dmidecode(&lines(&slots), [true, true]), 2);
    let answer = validate(&body).json();
    assert_eq!(answer["verdict"], "undecided", "{answer:#}");
    let rules: Vec<&str> = answer["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .filter_map(|finding| finding["rule"].as_str())
        .collect();
    assert!(rules.contains(&"installed-slot-not-told"), "{rules:?}");
    assert!(codes(&answer).contains(&"slot-not-on-board"));
    body["installed_policy"] = json!("keep");
    let answer = validate(&body).json();
    let findings = answer["findings"].to_string();
    assert!(!findings.contains("installed-slot-not-told"), "{findings}");
}

#[test]
fn a_module_that_cannot_be_read_is_counted_and_leaves_the_verdict_open() {
    let failed = json!({ "@odata.type": "#Memory.v1_7_1.Memory", "Id": "1", "DeviceLocator": "A1",
        "CapacityMiB": null, "Status": { "State": "Enabled" } });
    let body = json!({ "board": "tarn", "installed": { "inventory": { "redfish": [failed] } },
        "kit": [{ "module": "ERW-3R16-2x4", "quantity": 4 }] });
    let answer = validate(&body).json();
    let expected =
        json!([{ "locator": "A1", "slot": "A1", "module": "the unreadable module in A1" }]);
    assert_eq!(answer["installed"], expected, "{answer:#}");
    assert_eq!(answer["verdict"], "undecided");
}

#[test]
fn a_slot_of_which_it_is_not_told_whether_it_holds_a_module_is_refused() {
    let report = printed().replacen("Size: No Module Installed", "Size: Unknown", 1);
    let reply = validate(&upgrade(&report, 4));
    assert_eq!(reply.faults(), ["unusable /installed/inventory"]);
    assert_eq!(
        reply.json()["faults"][0]["message"],
        "the report does not say whether `DIMM A2` holds a module"
    );
}

#[test]
fn a_rate_below_that_of_the_catalogue_is_the_running_one() {
    let slower = printed().replace("Speed: 1600 MT/s", "Speed: 1333 MT/s");
    let answer = validate(&upgrade(&slower, 4)).json();
    assert!(codes(&answer).contains(&"module-of-catalogue"));
    let faster = printed().replace("Speed: 1600 MT/s", "Speed: 1866 MT/s");
    let answer = validate(&upgrade(&faster, 4)).json();
    assert!(codes(&answer).contains(&"module-not-as-catalogue"));
}

// A report in which something runs slower than it could does not print running rates for own ones.
#[test]
fn a_rate_below_that_of_the_catalogue_counts_where_the_report_tells_running_rates_too() {
    let running = |own: &str, running: &str| {
        let both = format!("Speed: {own} MT/s\n\tConfigured Memory Speed: {running} MT/s");
        let text = printed().replace("Speed: 1600 MT/s", &both);
        let mut body = upgrade(&text, 4);
        body["wishes"] = json!({ "rate_at_least_mts": 1600, "must": ["rate_at_least_mts"] });
        validate(&body).json()
    };
    let answer = running("1333", "1066");
    let note = answer["notes"].as_array().expect("notes").iter();
    let mut note = note.filter(|note| note["code"] == "module-not-as-catalogue");
    assert_eq!(
        note.next().expect("a note")["params"]["fact"]["text"],
        "rate"
    );
    assert_eq!(answer["allowed"], false, "{answer:#}");
    // It may be the running rate that stands in both fields.
    let answer = running("1333", "1333");
    assert!(codes(&answer).contains(&"module-of-catalogue"));
    let answer = running("1600", "1066");
    assert!(codes(&answer).contains(&"module-of-catalogue"));
}

// Only what is more than likely stands among the facts (README): the slots may be sent on.
#[test]
fn a_running_rate_that_may_be_a_clock_is_not_told_as_a_rate() {
    let both = "Speed: 1600 MT/s\n\tConfigured Memory Speed: 800 MT/s";
    let text = printed().replace("Speed: 1600 MT/s", both);
    let answer = read(&json!({ "text": text })).json();
    assert_eq!(answer["slots"][0].get("running_mts"), None);
    assert!(codes(&answer).contains(&"rate-may-be-clock"));
    let text = text.replace(
        "Configured Memory Speed: 800",
        "Configured Memory Speed: 1333",
    );
    let answer = read(&json!({ "text": text })).json();
    assert_eq!(answer["slots"][0]["running_mts"], 1333);
}

/// A module of the catalogue in each first slot of tarn's first socket, that of A1 with another status.
fn resources(status: &Value, enabled: bool) -> Value {
    let slots = tarn("");
    let memory = slots[..12].iter().map(|(label, part)| {
        let is_first = label == "A1";
        let mut resource = json!({ "@odata.type": "#Memory.v1_13_0.Memory", "DeviceLocator": label,
            "CapacityMiB": 0, "Status": { "State": "Absent" } });
        if let Some(part) = part {
            resource["CapacityMiB"] = json!(16384);
            resource["PartNumber"] = json!(part);
            resource["MemoryDeviceType"] = json!("DDR3");
            resource["Status"] = json!({ "State": "Enabled", "Health": "OK" });
            if is_first {
                resource["Status"] = status.clone();
                resource["Enabled"] = json!(enabled);
            }
        }
        resource
    });
    json!({ "redfish": memory.collect::<Vec<Value>>() })
}

// Status and Enabled: DSP0268, Resource 1.24 and Memory 1.12.
#[test]
fn a_module_that_a_report_calls_switched_off_gives_no_memory() {
    let decided = |inventory: Value| {
        let body = json!({ "board": "tarn", "processors": ["fitted", "empty"],
            "installed": { "inventory": inventory }, "kit": [{ "module": "ERW-3R16-2x4", "quantity": 4 }] });
        validate(&body).json()
    };
    let ok = json!({ "State": "Enabled", "Health": "OK" });
    let sound = decided(resources(&ok, true));
    assert_eq!(sound["outcome"]["usable_mib"], 8 * 16384, "{sound:#}");
    assert_eq!(sound["installed"][0].get("switched_off"), None);
    let offline = json!({ "State": "UnavailableOffline" });
    for (status, enabled) in [(&offline, true), (&ok, false)] {
        let answer = decided(resources(status, enabled));
        assert_eq!(answer["outcome"]["usable_mib"], 7 * 16384);
        assert_eq!(answer["installed"][0]["switched_off"], true);
        assert!(rules_of(&answer).contains(&"module-switched-off"));
        assert!(codes(&answer).contains(&"module-switched-off"));
        let read = read(&resources(status, enabled)).json();
        assert_eq!(read["slots"][0]["service"], "switched_off");
        assert_eq!(read["slots"][3]["service"], "in_use");
    }
    let critical = json!({ "State": "Enabled", "Health": "Critical" });
    assert!(codes(&decided(resources(&critical, true))).contains(&"module-in-doubt"));
    let read = read(&resources(&critical, true)).json();
    assert_eq!(read["slots"][0]["service"], "in_doubt");
}

#[test]
fn an_lshw_bank_that_tells_neither_size_nor_part_may_hold_a_module() {
    let bank = |label: &str, more: Value| {
        let mut bank = json!({ "id": "bank", "class": "memory", "slot": label });
        for (key, value) in more.as_object().expect("an object") {
            bank[key] = value.clone();
        }
        bank
    };
    let tree = |first: Value| {
        let slots = tarn("");
        let empty = json!({ "description": "DIMM [empty]" });
        let banks = slots.iter().map(|(label, _)| match label.as_str() {
            "A1" => bank(label, first.clone()),
            _ => bank(label, empty.clone()),
        });
        let banks: Vec<Value> = banks.collect();
        let tree = json!([{ "id": "memory", "class": "memory", "size": 17_179_869_184_u64, "children": banks }]);
        validate(&upgrade(&tree.to_string(), 2))
    };
    let sizeless =
        json!({ "description": "DIMM DDR3 Synchronous Registered (Buffered) 1600 MHz (0.6 ns)" });
    let reply = tree(sizeless);
    assert_eq!(reply.faults(), ["unusable /installed/inventory"]);
    assert_eq!(
        tree(json!({ "description": "DIMM DDR3 [empty]" })).status,
        200
    );
}

#[test]
fn a_part_number_of_the_catalogue_whose_facts_differ_is_not_believed() {
    let report = printed().replace("Rank: 2", "Rank: 1");
    let answer = validate(&upgrade(&report, 4)).json();
    assert!(
        codes(&answer).contains(&"module-not-as-catalogue"),
        "{:?}",
        codes(&answer)
    );
    assert_eq!(
        answer["verdict"], "undecided",
        "a report tells no device width"
    );
}

#[test]
fn a_report_that_is_none_or_not_whole_is_refused() {
    for text in [
        "hello",
        "Handle 0x0100, DMI type 1, 27 bytes\nSystem Information\n\tManufacturer: x\n",
    ] {
        let reply = validate(&upgrade(text, 1));
        assert_eq!(
            (reply.status, reply.faults()[0].as_str()),
            (422, "unusable /installed/inventory"),
            "{text}"
        );
    }
    let broken = &MEMORY[..MEMORY.len() / 2];
    assert_eq!(validate(&upgrade(broken, 1)).status, 422);
    let misspelt = json!({ "board": "tarn", "installed": { "inventry": { "text": "x" } } });
    assert_eq!(validate(&misspelt).status, 422);
    let none = json!({ "board": "tarn", "installed": { "inventory": {} } });
    assert_eq!(
        validate(&none).faults(),
        ["missing-member /installed/inventory"]
    );
}

/// Runs the program on a file of its own.
fn program(arguments: &[&str], input: &[u8]) -> (Option<i32>, String) {
    use std::io::Write;
    use std::process::{Command, Stdio};
    let mut child = Command::new(env!("CARGO_BIN_EXE_kitproof"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program runs");
    let _ = child.stdin.take().expect("a pipe").write_all(input);
    let output = child.wait_with_output().expect("an end");
    let text = [output.stdout, output.stderr].concat();
    (
        output.status.code(),
        String::from_utf8_lossy(&text).into_owned(),
    )
}

#[test]
fn the_command_line_reads_whatever_a_file_holds() {
    let (code, text) = program(&["read", "-"], b"32GB 2Rx4 PC4-3200AA-RB2-12\n");
    assert_eq!(code, Some(0), "{text}");
    assert!(text.contains("capacity_mib   32768 (read)"), "{text}");
    let (_, text) = program(&["read", "-", "--board", "tarn"], printed().as_bytes());
    assert!(
        text.contains("DIMM A1 = slot A1: 16384 MiB, 2 ranks, DDR3, RDIMM, 1600 MT/s"),
        "{text}"
    );
    let (_, text) = program(&["read", "--json", "-"], DUMP);
    let dump: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(
        dump,
        raw("/v1/read/inventory", "application/octet-stream", DUMP).json()
    );
    let spd = include_bytes!("../fixtures/spd/syn_ddr4_lrdimm_64g_4drx4_2666.hex");
    let (_, text) = program(&["read", "-"], spd);
    assert!(text.contains("64GB 4DRx4 PC4-2666"), "{text}");
    let (code, text) = program(&["read", "-"], b"hello");
    assert_eq!(code, Some(2), "{text}");
    assert!(text.contains("nothing-readable"), "{text}");
    let (code, _) = program(&["read", "-", "--board", "tarm"], TARN.as_bytes());
    assert_eq!(code, Some(2));
}

#[test]
fn the_command_line_checks_a_cart_against_a_report() {
    let folder = std::env::temp_dir().join(format!("kitproof-test-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let (report, cart) = (folder.join("report.txt"), folder.join("cart.json"));
    std::fs::write(&report, printed()).expect("written");
    let kit = json!({ "board": "tarn", "kit": [{ "module": "ERW-3R16-2x4", "quantity": 4 }] });
    std::fs::write(&cart, kit.to_string()).expect("written");
    let (report, cart) = (report.to_string_lossy(), cart.to_string_lossy());
    let (code, text) = program(&["check", "--json", "--installed", &report, &cart], b"");
    assert_eq!(code, Some(0), "{text}");
    let printed: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(printed["installed"].as_array().map(Vec::len), Some(4));
    let both = upgrade("x", 1).to_string();
    let (code, text) = program(&["check", "--installed", &report, "-"], both.as_bytes());
    assert_eq!(code, Some(2), "{text}");
    std::fs::remove_dir_all(&folder).expect("removed");
}

/// The boards' records, not the request, say that `PROC 1 DIMM 2` is A1: numbers of a socket tell no channel.
#[test]
fn a_board_s_record_tells_what_reports_call_its_slots() {
    let names: Vec<String> = (1..=2)
        .flat_map(|socket| (1..=16).map(move |number| format!("PROC {socket} DIMM {number}")))
        .collect();
    let text = dmidecode(
        &names
            .iter()
            .map(|name| (name.as_str(), None))
            .collect::<Vec<_>>(),
        [true, true],
    );
    let unknown = read(&json!({ "text": text })).json();
    assert_eq!(unknown["ask"].as_array().map(Vec::len), Some(32));
    let known = read(&json!({ "text": text, "board": "mere" })).json();
    assert_eq!(known["ask"].as_array().map(Vec::len), Some(0));
    let of = |index: usize| {
        (
            &known["slots"][index]["slot"],
            &known["slots"][index]["slot_by"],
        )
    };
    for (index, label) in [(0, "A2"), (1, "A1"), (15, "H1"), (16, "I2"), (31, "P1")] {
        assert_eq!(of(index), (&json!(label), &json!("told")), "{index}");
    }
    // Names that the record does not have are no fault: the report may print the labels.
    let printed = dmidecode(&[("A1", None), ("B1", None)], [true, true]);
    let printed = read(&json!({ "text": printed, "board": "mere" })).json();
    assert_eq!(printed["slots"][0]["slot_by"], "label");
    assert!(!codes(&printed).contains(&"locator-not-in-mapping"));
    // What the caller tells goes before the record.
    let slots = json!([{ "locator": "PROC 1 DIMM 1", "slot": "A1" },
        { "locator": "PROC 1 DIMM 2", "slot": "A2" }]);
    let told = read(&json!({ "text": text, "board": "mere", "slots": slots })).json();
    assert_eq!(told["slots"][0]["slot"], "A1");
    // Where locators repeat, the bank tells them apart.
    let riser = |bank: &str, slot: u8| {
        format!(
            "Handle 0x11{slot:02}, DMI type 17, 40 bytes\nMemory Device\n\tLocator: SLOT {slot}\n\tBank Locator: {bank}\n\t\
             Size: No Module Installed\n\n"
        )
    };
    let repeats = ["RISER A", "RISER B"].map(|bank| riser(bank, 1) + &riser(bank, 2));
    let repeats = read(&json!({ "text": repeats.concat(), "board": "delta" })).json();
    let slots = repeats["slots"].as_array().expect("a list");
    let labels: Vec<&Value> = slots.iter().map(|slot| &slot["slot"]).collect();
    assert_eq!(labels, ["A2", "A1", "B2", "B1"]);
    // One request: a report in such names, and a cart.
    let cart = json!({ "board": "mere", "installed": { "inventory": { "text": text } },
        "kit": [{ "module": "ERW-4R32-2x4", "quantity": 16 }] });
    let answer = validate(&cart).json();
    assert!(["fits", "fits_with_warnings"].contains(&answer["verdict"].as_str().unwrap_or("")));
}
