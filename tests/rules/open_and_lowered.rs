//! No rule is silent where a fact is open in a way that is easily overlooked, or where another rule
//! that would say it was lowered by the board's policy.

use super::body;
use serde_json::Value;

fn cases() -> Vec<(String, String, Value)> {
    let all: Value = serde_json::from_str(include_str!("open_and_lowered.json")).unwrap();
    let text = |case: &Value, key: &str| case[key].as_str().unwrap().to_owned();
    let case = |case: &Value| {
        let mut request = all["base"].clone();
        json_patch::merge(&mut request, &case["request"]);
        (text(case, "name"), text(case, "verdict"), request)
    };
    all["cases"].as_array().unwrap().iter().map(case).collect()
}

#[test]
fn what_is_open_or_let_pass_hides_nothing_else() {
    let mut faults = Vec::new();
    for (name, verdict, request) in cases() {
        let said = body(&request.to_string());
        if said["verdict"] != verdict.as_str() {
            faults.push(format!("{name}: {} instead of {verdict}", said["verdict"]));
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}

/// The request of a case, with other installed modules and kit.
fn on_the_base(change: &Value) -> Value {
    let all: Value = serde_json::from_str(include_str!("open_and_lowered.json")).unwrap();
    let mut request = all["base"].clone();
    json_patch::merge(&mut request, change);
    request
}

fn module(name: &str, rate: u32) -> Value {
    serde_json::json!({"name": name, "generation": "DDR3", "kind": "RDIMM", "capacity_mib": 8192,
        "package_ranks": 2, "stack_height": 1, "width": "x4", "ecc_bits": 8, "rate_mts": rate,
        "supply_mv": [1350, 1500], "height": "LP"})
}

/// Two modules at most: one that is installed comes out for the new one.
fn one_comes_out(installed: [(&str, Value); 2]) -> Value {
    let seats = installed.map(|(slot, module)| serde_json::json!({"slot": slot, "module": module}));
    let mut request = on_the_base(&serde_json::json!({
        "installed_policy": "may_remove", "installed": seats,
        "kit": [{"module": module("new", 1600), "quantity": 1}]}));
    request["board"]["filling"][0]["board_capacity_mib"] = Value::from(16_384);
    request
}

#[test]
fn what_comes_out_does_not_depend_on_the_order_of_the_list_and_makes_no_other_move() {
    let old = || module("old", 1600);
    for slots in [["A1", "A2"], ["A2", "A1"]] {
        let said = body(&one_comes_out(slots.map(|slot| (slot, old()))).to_string());
        assert_eq!(said["placement"]["moved"], 0, "{said}");
    }
}

#[test]
fn of_equal_modules_the_slower_comes_out() {
    for names in [["fast", "slow"], ["slow", "fast"]] {
        let rate = |name| if name == "slow" { 1066 } else { 1600 };
        let [a, b] = names.map(|name| module(name, rate(name)));
        let said = body(&one_comes_out([("A1", a), ("B1", b)]).to_string());
        assert_eq!(said["outcome"]["rate_mts"], 1600, "{said}");
    }
}

#[test]
fn what_mends_one_of_two_places_may_not_be_applied_unasked() {
    let seats =
        ["A2", "B2"].map(|slot| serde_json::json!({"slot": slot, "module": module("m", 1600)}));
    let request = on_the_base(&serde_json::json!({"population": seats}));
    let said = body(&request.to_string());
    let findings = said["findings"].as_array().unwrap();
    let skipped = findings
        .iter()
        .find(|f| f["rule"] == "position-skipped")
        .unwrap();
    let safe: Vec<&Value> = skipped["fixes"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|fix| fix["machine_safe"] == true)
        .collect();
    for fix in &safe {
        let mut mended = request.clone();
        let patch: json_patch::Patch = serde_json::from_value(fix["patch"].clone()).unwrap();
        json_patch::patch(&mut mended, &patch).unwrap();
        let left = body(&mended.to_string());
        let rules: Vec<&Value> = left["findings"]
            .as_array()
            .unwrap()
            .iter()
            .map(|f| &f["rule"])
            .collect();
        assert!(!rules.contains(&&Value::from("position-skipped")), "{fix}");
    }
    assert_eq!(
        safe.len(),
        1,
        "the new order of all alone is safe: {safe:?}"
    );
}
