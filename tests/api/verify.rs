//! `POST /v1/verify`: what was found after the work against what was planned.

use serde_json::{Value, json};

use crate::client::{Reply, post};
use crate::reports::{dmidecode, lines, tarn};
use crate::service::address;

fn verify(body: &Value) -> Reply {
    post(address(), "/v1/verify", body.to_string().as_bytes())
}

fn compared(body: &Value) -> Value {
    let reply = verify(body);
    assert_eq!(reply.status, 200, "{}", reply.text());
    reply.json()
}

/// `code slots` of each finding.
fn told(answer: &Value) -> Vec<String> {
    let findings = answer["findings"].as_array().expect("findings");
    let told = |finding: &Value| {
        let slots = finding["slots"]
            .as_array()
            .map(Vec::as_slice)
            .unwrap_or_default();
        let slots: Vec<&str> = slots.iter().filter_map(Value::as_str).collect();
        let code = finding["difference"].as_str().expect("a code");
        format!("{code} {}", slots.join(" "))
    };
    findings.iter().map(told).collect()
}

/// One module on each channel of the first socket of tarn.
fn plan() -> Value {
    let seats = ["A1", "B1", "C1", "D1"];
    let seats = seats.map(|slot| json!({ "slot": slot, "module": "ERW-3R16-2x4" }));
    json!({ "board": "tarn", "processors": ["tarn-8", "empty"], "population": seats })
}

/// The report of a machine as planned, without what `left_out` names.
fn report(left_out: &[&str]) -> Value {
    let slots: Vec<(String, Option<&'static str>)> = tarn("DIMM ")
        .into_iter()
        .map(|(label, part)| {
            let is_out = left_out.iter().any(|out| label.ends_with(out));
            (label, part.filter(|_| !is_out))
        })
        .collect();
    json!({ "inventory": { "text": dmidecode(&lines(&slots), [true, false]) } })
}

#[test]
fn a_report_as_planned_agrees_but_for_the_rate_that_it_does_not_tell() {
    let answer = compared(&json!({ "plan": plan(), "found": report(&[]) }));
    assert_eq!(told(&answer), ["rate-not-told "]);
    assert_eq!(answer["result"], "cannot_tell");
    assert_eq!(answer["planned"]["verdict"], "fits");
    assert_eq!(answer["found"]["modules"], 4);
}

#[test]
fn a_missing_module_is_named_with_its_slot_its_pointer_and_what_to_try_first() {
    let answer = compared(&json!({ "plan": plan(), "found": report(&["B1"]) }));
    assert_eq!(answer["result"], "differs");
    let finding = &answer["findings"][0];
    assert_eq!(finding["difference"], "module-not-seen");
    assert_eq!(finding["slots"], json!(["B1"]));
    assert_eq!(finding["pointers"], json!(["/plan/population/1"]));
    assert_eq!(finding["params"]["part"]["text"], "ERW-3R16-2x4");
    let first = &finding["try_first"][0];
    assert_eq!(first["step"], "reseat");
    let sentence = first["sentence"].as_str().expect("a sentence");
    assert!(sentence.contains("disconnect every supply"), "{sentence}");
    assert!(sentence.contains("both latches"), "{sentence}");
    assert_eq!(
        told(&answer)[1..],
        ["rate-not-told ", "capacity-below-plan "]
    );
    let sum = &answer["findings"][2];
    assert_eq!(sum["follows_from"], json!(["module-not-seen"]));
    let cautions = answer["cautions"].as_array().expect("cautions");
    assert!(cautions.len() >= 5, "{cautions:?}");
}

#[test]
fn slots_of_an_answer_of_the_reader_can_be_sent_as_they_are() {
    let text = &report(&["B1"])["inventory"]["text"];
    let read = json!({ "board": "tarn", "text": text }).to_string();
    let read = post(address(), "/v1/read/inventory", read.as_bytes()).json();
    let found = json!({ "slots": read["slots"] });
    let answer = compared(&json!({ "plan": plan(), "found": found }));
    let same = compared(&json!({ "plan": plan(), "found": report(&["B1"]) }));
    assert_eq!(told(&answer), told(&same));
    let pointers = answer["findings"][0]["pointers"]
        .as_array()
        .expect("pointers");
    assert_eq!(pointers[0], "/plan/population/1");
}

#[test]
fn a_kit_is_expected_where_its_answer_places_it_and_an_earlier_placement_is_followed() {
    let kit = json!({
        "board": "tarn", "processors": ["tarn-8", "empty"],
        "kit": [{ "module": "ERW-3R16-2x4", "quantity": 4 }],
    });
    let answer = compared(&json!({ "plan": kit, "found": report(&[]) }));
    assert_eq!(told(&answer), ["rate-not-told "]);
    let placed = post(address(), "/v1/validate", kit.to_string().as_bytes()).json();
    let mut placement = placed["placement"].clone();
    let earlier = json!({ "plan": kit, "placement": placement, "found": report(&[]) });
    assert_eq!(told(&compared(&earlier)), told(&answer));
    placement["slots"][1]["slot"] = "B2".into();
    let other = json!({ "plan": kit, "placement": placement, "found": report(&[]) });
    let other = compared(&other);
    assert_eq!(told(&other)[0], "module-in-other-slot B2 B1");
    assert_eq!(other["findings"][0]["pointers"], json!(["/plan/kit/0"]));
    assert_eq!(other["findings"][0]["locators"], json!(["DIMM B1"]));
}

#[test]
fn a_socket_whose_processor_the_report_does_not_show_is_one_finding() {
    let seats = ["A1", "B1", "C1", "D1", "E1", "F1", "G1", "H1"];
    let seats = seats.map(|slot| json!({ "slot": slot, "module": "ERW-3R16-2x4" }));
    let plan = json!({ "board": "tarn", "population": seats });
    let answer = compared(&json!({ "plan": plan, "found": report(&[]) }));
    assert_eq!(told(&answer)[0], "socket-without-processor E1 F1 G1 H1");
    assert_eq!(
        answer["findings"][0]["try_first"][0]["step"],
        "look-at-processors"
    );
}

#[test]
fn a_processor_that_the_report_does_not_show_working_is_told_though_its_modules_are_seen() {
    let slots: Vec<(String, Option<&'static str>)> = tarn("DIMM ")
        .into_iter()
        .map(|(label, _)| {
            let first = label.ends_with('1');
            (label, first.then_some("ERW-3R16-2x4"))
        })
        .collect();
    let seats = ["A1", "B1", "C1", "D1", "E1", "F1", "G1", "H1"];
    let seats = seats.map(|slot| json!({ "slot": slot, "module": "ERW-3R16-2x4" }));
    let plan = json!({ "board": "tarn", "processors": ["tarn-8", "tarn-8"], "population": seats });
    let of = |text: &str| {
        let found = json!({ "inventory": { "text": text } });
        compared(&json!({ "plan": plan, "found": found }))
    };
    let bare = of(&dmidecode(&lines(&slots), [true, false]));
    assert_eq!(told(&bare), ["processor-not-seen ", "rate-not-told "]);
    assert_eq!(bare["findings"][0]["sockets"], json!([2]));
    let both = dmidecode(&lines(&slots), [true, true]);
    assert_eq!(told(&of(&both)), ["rate-not-told "]);
    let off = both.replacen("Populated, Enabled", "Populated, Disabled By BIOS", 1);
    let off = of(&off);
    assert_eq!(told(&off)[0], "processor-not-seen ");
    assert_eq!(off["findings"][0]["sockets"], json!([1]));
    // A model of the board's record that is not the planned one; a name that is none of it tells nothing.
    let named = |name: &str| {
        let line = format!("\tVersion: {name}\n\tStatus: Populated, Enabled");
        told(&of(&both.replace("\tStatus: Populated, Enabled", &line)))
    };
    assert_eq!(
        named("Tarn 12-core"),
        ["other-processor ", "other-processor ", "rate-not-told "]
    );
    assert_eq!(named("Tarn 8-core 2.0 GHz"), ["rate-not-told "]);
    assert_eq!(named("Sandpiper 8"), ["rate-not-told "]);
}

#[test]
fn an_added_module_beside_a_report_from_before_asks_for_a_new_report_first() {
    let plan = json!({
        "board": "tarn", "processors": ["tarn-8", "empty"], "installed": report(&[]),
        "kit": [{ "module": "ERW-3R16-2x4", "quantity": 4 }],
    });
    let answer = compared(&json!({ "plan": plan, "found": report(&[]) }));
    let first = &answer["findings"][0];
    assert_eq!(first["difference"], "report-shows-state-before");
    assert_eq!(first["try_first"][0]["step"], "take-new-report");
}

#[test]
fn what_the_system_shows_is_held_against_the_sum_of_the_modules() {
    let mut found = report(&[]);
    found["total_mib"] = 64_000.into();
    let answer = compared(&json!({ "plan": plan(), "found": found }));
    assert_eq!(told(&answer), ["rate-not-told "]);
    found["total_mib"] = 48_000.into();
    let answer = compared(&json!({ "plan": plan(), "found": found }));
    assert_eq!(told(&answer), ["memory-held-back ", "rate-not-told "]);
}

/// The plan and its report with another module in every slot, as far as that report tells.
fn with_parts(planned: &str, wishes: &Value, number: &str) -> Value {
    let seats = ["A1", "B1", "C1", "D1"];
    let seats = seats.map(|slot| json!({ "slot": slot, "module": planned }));
    let plan = json!({
        "board": "tarn", "processors": ["tarn-8", "empty"], "wishes": wishes, "population": seats,
    });
    let text = report(&[])["inventory"]["text"]
        .as_str()
        .map(|text| {
            text.replace("ERW-3R16-2x4", number)
                .replace("16384 MB", "8192 MB")
        })
        .expect("a text");
    json!({ "plan": plan, "found": { "inventory": { "text": text } } })
}

#[test]
fn the_width_of_another_part_number_is_the_catalogue_s_or_open() {
    let wishes = json!({ "chip_correction": true, "must": ["chip_correction"] });
    // SF3-8R28-16 is ERW-3R8-2x8 of the demo catalogue (invented).
    let wide = compared(&with_parts("ERW-3R8-2x4", &wishes, "SF3-8R28-16"));
    assert_eq!(wide["result"], "differs");
    assert_eq!(told(&wide)[0], "other-module A1 B1 C1 D1");
    let difference = &wide["findings"][0]["differences"][0];
    assert_eq!(difference["fact"], "width");
    let nobody = compared(&with_parts("ERW-3R8-2x4", &wishes, "NOBODY-KNOWS"));
    assert_eq!(told(&nobody)[0], "facts-not-told A1 B1 C1 D1");
    let facts = nobody["findings"][0]["facts"].as_array().expect("facts");
    assert!(facts.contains(&json!("width")), "{facts:?}");
    // The same from a list, by the catalogue's id or by the maker's number.
    let module = json!({ "generation": "DDR3", "kind": "RDIMM", "capacity_mib": 8192,
        "package_ranks": 2, "rate_mts": 1600, "part_number": "SF3-8R28-16" });
    let slots = ["A1", "B1", "C1", "D1"].map(|slot| json!({ "slot": slot, "module": module }));
    let mut body = with_parts("ERW-3R8-2x4", &wishes, "");
    body["found"] = json!({ "slots": slots });
    assert_eq!(told(&compared(&body))[0], "other-module A1 B1 C1 D1");
}

#[test]
fn a_capacity_that_cannot_be_is_not_taken_for_the_planned_one() {
    let mut found = report(&[]);
    let text = found["inventory"]["text"].as_str().expect("a text");
    found["inventory"]["text"] = text.replacen("16384 MB", "32 MB", 1).into();
    let answer = compared(&json!({ "plan": plan(), "found": found }));
    assert_eq!(told(&answer), ["facts-not-told A1", "rate-not-told "]);
    assert_eq!(answer["findings"][0]["facts"], json!(["capacity"]));
}

#[test]
fn a_module_that_is_switched_off_is_a_difference_in_a_list_too() {
    let seat =
        |slot| json!({ "slot": slot, "catalogue_module": "ERW-3R16-2x4", "running_mts": 1600 });
    let mut slots = ["A1", "B1", "C1", "D1"].map(seat);
    let as_planned = compared(&json!({ "plan": plan(), "found": { "slots": slots } }));
    assert_eq!(as_planned["result"], "agrees", "{as_planned}");
    slots[0]["service"] = "switched_off".into();
    let answer = compared(&json!({ "plan": plan(), "found": { "slots": slots } }));
    assert_eq!(told(&answer), ["module-switched-off A1"]);
    assert_eq!(answer["findings"][0]["severity"], "blocker");
}

#[test]
fn what_cannot_be_compared_is_refused_with_pointers() {
    let refused = |body: Value| {
        let reply = verify(&body);
        assert_eq!((reply.status, reply.code().as_str()), (422, "invalid-body"));
        reply.faults()
    };
    let found = json!({ "slots": [] });
    assert_eq!(
        refused(json!({ "plan": { "board": "tarnn" }, "found": found })),
        ["unknown-name /plan/board"]
    );
    assert_eq!(
        refused(json!({ "plan": plan(), "found": {} })),
        ["missing-member /found"]
    );
    let both = json!({ "slots": [], "inventory": { "text": "x" } });
    assert_eq!(
        refused(json!({ "plan": plan(), "found": both })),
        ["too-many-members /found"]
    );
    let none = json!({ "inventory": { "text": "no report at all" } });
    let faults = refused(json!({ "plan": plan(), "found": none }));
    assert!(
        faults
            .iter()
            .all(|fault| fault == "unusable /found/inventory"),
        "{faults:?}"
    );
    let twice = json!({ "slots": [
        { "slot": "A1", "occupancy": "empty" }, { "slot": "A1", "occupancy": "empty" }, { "slot": "X" },
        { "slot": "A2", "occupancy": "empty", "module": { "capacity_mib": 8192 } },
        { "slot": "A3", "module": { "kind": "UDIMM", "ecc_bits": 8 } },
    ] });
    assert_eq!(
        refused(json!({ "plan": plan(), "found": twice })),
        [
            "unusable /found/slots/1/slot",
            "unknown-name /found/slots/2/slot",
            "unusable /found/slots/3/occupancy",
            "unusable /found/slots/4/module/ecc_bits",
        ]
    );
    let placement = json!({ "slots": [{ "slot": "A9", "from": "/kit/7" }] });
    assert_eq!(
        refused(json!({ "plan": plan(), "placement": placement, "found": found })),
        [
            "unknown-name /placement/slots/0/slot",
            "unknown-name /placement/slots/0/from"
        ]
    );
    let too_many =
        json!({ "board": "tarn", "kit": [{ "module": "ERW-3R32-4x4", "quantity": 24 }] });
    assert_eq!(
        refused(json!({ "plan": too_many, "found": found })),
        ["unusable /plan"]
    );
}

#[test]
fn equal_requests_give_equal_bytes() {
    let body = json!({ "plan": plan(), "found": report(&["C1"]) });
    assert_eq!(verify(&body).body, verify(&body).body);
}
