//! Every rule's own examples run: the one must break it, the other must meet it. Every fix that a
//! program may apply unasked is applied: its finding must go and no blocker may come.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::print_stdout,
    reason = "helpers of a test may fail it"
)]

#[cfg(test)]
mod open_and_lowered;

use kitproof::api::decide::{Decided, decide};
use kitproof::api::extract::read_json;
use kitproof::api::wire::request::ValidateRequest;
use kitproof::catalogue::Catalogue;
use kitproof::domain::rules::{Came, RULES, Rule};
use kitproof::render::words::Words;
use serde_json::Value;

fn catalogue() -> &'static Catalogue {
    kitproof::catalogue::embedded::catalogue()
}

fn try_decide(text: &str) -> Result<Decided<'static>, String> {
    let request: ValidateRequest = read_json(text.as_bytes())
        .map_err(|refusal| format!("the example is no request: {refusal:?}"))?;
    decide(&request, catalogue())
        .map_err(|faults| format!("the example names something unknown: {:?}", faults.list))
}

fn body(text: &str) -> Value {
    let decided = try_decide(text).unwrap_or_else(|fault| panic!("{fault}\n{text}"));
    serde_json::to_value(decided.body(Words::english())).unwrap()
}

/// How a rule came out for a request.
fn came(rule: &Rule, text: &str) -> Result<Came, String> {
    let index = RULES.iter().position(|other| other.id == rule.id).unwrap();
    Ok(try_decide(text)?.rule_states()[index])
}

/// Rules that no example can break, since what nobody told may well be right: theirs is undecided.
const NEVER_BROKEN: [&str; 2] = ["installed-slot-not-told", "slot-contents-not-told"];

#[test]
fn every_rule_is_broken_by_its_one_example_and_met_by_the_other() {
    let mut faults = Vec::new();
    for rule in RULES {
        let (broken, met) = (came(rule, rule.breaks), came(rule, rule.meets));
        let expected = if NEVER_BROKEN.contains(&rule.id) {
            Came::Undecided
        } else {
            Came::Broken
        };
        if broken != Ok(expected) {
            faults.push(format!(
                "{}: the breaking example came out {broken:?}",
                rule.id
            ));
        }
        if met != Ok(Came::Met) {
            faults.push(format!("{}: the meeting example came out {met:?}", rule.id));
        }
    }
    assert!(
        faults.is_empty(),
        "{} of {} rules:\n{}",
        faults.len(),
        RULES.len(),
        faults.join("\n")
    );
    println!(
        "{} rules, each with an example that breaks it and one that meets it",
        RULES.len()
    );
}

/// Rules whose breaking example is a request; the first test names the others.
fn decidable() -> impl Iterator<Item = &'static Rule> {
    RULES
        .iter()
        .copied()
        .filter(|rule| try_decide(rule.breaks).is_ok())
}

fn findings(body: &Value) -> &[Value] {
    body["findings"].as_array().unwrap()
}

/// What identifies a finding across two answers: its rule, and its sentence where blockers are
/// compared.
fn blockers(body: &Value) -> Vec<&str> {
    let own = findings(body).iter().filter(|f| f["severity"] == "blocker");
    own.map(|f| f["rule"].as_str().unwrap()).collect()
}

#[test]
fn a_fix_that_is_safe_to_apply_removes_its_finding_and_adds_no_blocker() {
    let mut applied = 0;
    let mut offering = std::collections::BTreeSet::new();
    for rule in decidable() {
        let before = body(rule.breaks);
        for finding in findings(&before) {
            let fixes = finding["fixes"]
                .as_array()
                .map(Vec::as_slice)
                .unwrap_or_default();
            for fix in fixes.iter().filter(|fix| fix["machine_safe"] == true) {
                let mut request: Value = serde_json::from_str(rule.breaks).unwrap();
                let patch: json_patch::Patch =
                    serde_json::from_value(fix["patch"].clone()).unwrap();
                json_patch::patch(&mut request, &patch)
                    .unwrap_or_else(|error| panic!("{}: {error}\n{fix}", rule.id));
                let after = body(&request.to_string());
                let gone = !findings(&after).iter().any(|f| {
                    f["rule"] == finding["rule"]
                        && f["state"] == "broken"
                        && f["slots"] == finding["slots"]
                        && f["channels"] == finding["channels"]
                });
                assert!(
                    gone,
                    "{}: still there after {fix}\n{after:#}",
                    finding["rule"]
                );
                let new: Vec<&str> = blockers(&after)
                    .into_iter()
                    .filter(|id| !blockers(&before).contains(id))
                    .collect();
                assert!(new.is_empty(), "{}: {fix} brings {new:?}", finding["rule"]);
                offering.insert(finding["rule"].as_str().unwrap().to_owned());
                applied += 1;
            }
        }
    }
    assert!(applied > 0, "no example offers a fix that is safe to apply");
    println!(
        "{applied} machine-safe fixes of {} rules applied: {offering:?}",
        offering.len()
    );
}

/// Every number in a sentence must also be a parameter, so that a program need not read sentences.
#[test]
fn every_number_of_a_sentence_is_also_a_parameter() {
    let numbers = |text: &str| -> Vec<String> {
        let digits = text
            .split(|c: char| !c.is_ascii_digit() && c != '.')
            .map(|word| word.trim_matches('.').to_owned());
        digits.filter(|word| !word.is_empty()).collect()
    };
    for rule in decidable() {
        for finding in findings(&body(rule.breaks))
            .iter()
            .filter(|f| f["state"] == "broken")
        {
            let params: Vec<&Value> = finding["params"]
                .as_object()
                .map(|map| map.values().collect())
                .unwrap_or_default();
            let mut told: String = params
                .iter()
                .map(|param| format!(" {} ", param["text"].as_str().unwrap()))
                .collect();
            told.push_str(&format!(
                " {} {} {} ",
                finding["slots"], finding["channels"], finding["sockets"]
            ));
            let pattern = RULES
                .iter()
                .find(|r| r.id == finding["rule"])
                .unwrap()
                .message;
            for number in numbers(finding["sentence"].as_str().unwrap()) {
                let known = numbers(&told).contains(&number) || pattern.contains(&number);
                assert!(
                    known,
                    "{}: {number} is no parameter of `{}`",
                    rule.id, finding["sentence"]
                );
            }
        }
    }
}

/// Rules whose finding points nowhere in the request, with the reason.
const POINTS_NOWHERE: [(&str, &str); 0] = [];

/// Whether a pointer to an entry, or to a part of it, is among these.
fn points_into(pointers: &[Value], entry: &str) -> bool {
    pointers.iter().any(|pointer| {
        let rest = pointer.as_str().unwrap().strip_prefix(entry);
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    })
}

/// A program must find what a finding is about without reading its sentence.
#[test]
fn every_finding_points_into_the_request_at_the_modules_of_its_slots() {
    let (mut faults, mut pointed) = (Vec::new(), 0);
    for rule in decidable() {
        let request: Value = serde_json::from_str(rule.breaks).unwrap();
        let answer = body(rule.breaks);
        let seats = answer["placement"]["slots"].as_array().unwrap();
        for finding in findings(&answer) {
            let (id, pointers) = (
                finding["rule"].as_str().unwrap(),
                finding["pointers"].as_array().unwrap(),
            );
            let excused = POINTS_NOWHERE.iter().any(|(own, _)| *own == id);
            if pointers.is_empty() != excused {
                faults.push(format!(
                    "{id} ({}, {}): points at {pointers:?}",
                    rule.id, finding["state"]
                ));
            }
            for pointer in pointers {
                pointed += 1;
                if request.pointer(pointer.as_str().unwrap()).is_none() {
                    faults.push(format!(
                        "{id} ({}): {pointer} is not in the request",
                        rule.id
                    ));
                }
            }
            for slot in finding["slots"].as_array().into_iter().flatten() {
                let seat = seats.iter().find(|seat| seat["slot"] == *slot);
                let from = seat.map(|seat| seat["from"].as_str().unwrap());
                if from.is_some_and(|from| !points_into(pointers, from)) {
                    faults.push(format!(
                        "{id} ({}): {slot} holds {from:?}, not among {pointers:?}",
                        rule.id
                    ));
                }
            }
        }
    }
    assert!(
        faults.is_empty(),
        "{} faults:\n{}",
        faults.len(),
        faults.join("\n")
    );
    println!("{pointed} pointers of findings followed into the requests");
}

/// Findings about a wish point at it, those about processors at their sockets.
#[test]
fn findings_about_wishes_and_processors_point_at_them() {
    let expected = [
        ("capacity-wish", "/wishes/capacity_at_least_mib"),
        ("rate-wish", "/wishes/rate_at_least_mts"),
        ("free-slots-wish", "/wishes/free_slots"),
        ("budget-wish", "/wishes/budget"),
        ("power-wish", "/wishes/peak_power_at_most_mw"),
        ("balance-wish", "/wishes/balance"),
        ("licence-ceiling", "/wishes/licence_at_most_mib"),
        ("first-socket-empty", "/processors/0"),
    ];
    for (id, pointer) in expected {
        let rule = RULES.iter().find(|rule| rule.id == id).unwrap();
        let answer = body(rule.breaks);
        let finding = findings(&answer).iter().find(|f| f["rule"] == id).unwrap();
        let pointers = finding["pointers"].as_array().unwrap();
        assert!(
            pointers.contains(&Value::from(pointer)),
            "{id}: {pointers:?}"
        );
    }
}
