//! `POST /v1/optimise` over HTTP: plans that a check allows, proofs, faults, and what would help.

use kitproof::api::examples;
use serde_json::{Map, Value, json};

use crate::client::{Reply, post, send};
use crate::service::address;

fn optimise(body: &Value) -> Reply {
    post(address(), "/v1/optimise", body.to_string().as_bytes())
}

fn answer(body: &Value) -> Value {
    let reply = optimise(body);
    assert_eq!(reply.status, 200, "{}\n{body}", reply.text());
    reply.json()
}

fn validate(body: &Value) -> Value {
    let reply = post(address(), "/v1/validate", body.to_string().as_bytes());
    assert_eq!(reply.status, 200, "{}\n{body}", reply.text());
    reply.json()
}

fn example(name: &str) -> Value {
    let example = examples::OPTIMISE.iter().find(|own| own.name == name);
    serde_json::from_str(example.unwrap().request.unwrap()).unwrap()
}

fn list<'v>(value: &'v Value, member: &str) -> &'v [Value] {
    value[member].as_array().map_or(&[], Vec::as_slice)
}

/// The wishes that a check understands alike, all as conditions. A kit's price in a check leaves out
/// handling and what is left over, so the budget is looked at here.
fn wishes(request: &Value) -> Value {
    let mut wishes = request["wishes"].as_object().cloned().unwrap_or_default();
    wishes.remove("must");
    wishes.remove("budget");
    let names: Vec<String> = wishes.keys().cloned().collect();
    wishes.insert("must".into(), json!(names));
    Value::Object(wishes)
}

/// The members that a request to validate shares.
fn state(request: &Value) -> Map<String, Value> {
    let shared = [
        "board",
        "processors",
        "firmware",
        "protection",
        "voltage_policy",
    ];
    let own = request.as_object().unwrap();
    let mut state: Map<String, Value> = own
        .iter()
        .filter(|(name, _)| shared.contains(&name.as_str()))
        .map(|(name, value)| (name.clone(), value.clone()))
        .collect();
    state.insert("wishes".into(), wishes(request));
    state
}

/// What is seated of each line, as a kit of the module that the request named.
fn kit(request: &Value, plan: &Value) -> Value {
    let lines = list(plan, "buy").iter().filter(|line| line["seated"] != 0);
    let module = |line: &Value| match line["pointer"].as_str() {
        Some(pointer) => request.pointer(pointer).unwrap()["module"].clone(),
        None => line["module"].clone(),
    };
    lines
        .map(|line| json!({"module": module(line), "quantity": line["seated"]}))
        .collect()
}

/// Installed modules without those that come out.
fn staying(request: &Value, plan: &Value) -> Value {
    let removed: Vec<&str> = list(plan, "removed")
        .iter()
        .filter_map(Value::as_str)
        .collect();
    let installed = list(request, "installed").iter().enumerate();
    installed
        .filter(|(index, _)| !removed.contains(&format!("/installed/{index}").as_str()))
        .map(|(_, entry)| entry.clone())
        .collect()
}

/// A plan as a cart: a check places it by itself. And as slots: just what the plan says.
fn concrete(request: &Value, plan: &Value) -> [Value; 2] {
    let mut cart = state(request);
    cart.insert("kit".into(), kit(request, plan));
    cart.insert("installed".into(), staying(request, plan));
    let in_place = request["installed_policy"].as_str().unwrap_or("in_place") == "in_place";
    let policy = if in_place { "in_place" } else { "keep" };
    cart.insert("installed_policy".into(), json!(policy));
    let mut seated = state(request);
    let seats = list(plan, "slots").iter().map(|seat| {
        let from = seat["from"].as_str().unwrap();
        let module = match from.strip_prefix("/buy/") {
            Some(line) => {
                let line = &plan["buy"][line.parse::<usize>().unwrap()];
                match line["pointer"].as_str() {
                    Some(pointer) => request.pointer(pointer).unwrap()["module"].clone(),
                    None => line["module"].clone(),
                }
            }
            None => request.pointer(from).unwrap()["module"].clone(),
        };
        json!({"slot": seat["slot"], "module": module})
    });
    seated.insert("population".into(), seats.collect());
    [Value::Object(cart), Value::Object(seated)]
}

/// Asks a check about every plan.
fn allowed_by_a_check(request: &Value, answer: &Value) -> usize {
    for plan in list(answer, "plans") {
        let [cart, seated] = concrete(request, plan);
        for body in [&cart, &seated] {
            let checked = validate(body);
            assert_eq!(checked["allowed"], true, "{request}\n{body}\n{checked:#}");
        }
        let checked = validate(&seated);
        for member in [
            "usable_mib",
            "rate_mts",
            "peak_mb_per_s",
            "uniform_mb_per_s",
            "modules",
        ] {
            assert_eq!(
                checked["outcome"][member], plan["outcome"][member],
                "{member} of {request}"
            );
        }
        if let Some(budget) = request.pointer("/wishes/budget/minor") {
            assert!(plan["cost"]["minor"].as_i64() <= budget.as_i64());
        }
    }
    list(answer, "plans").len()
}

#[test]
fn every_plan_of_the_examples_is_allowed_by_a_check() {
    for own in examples::OPTIMISE {
        let request = example(own.name);
        allowed_by_a_check(&request, &answer(&request));
    }
}

#[test]
fn the_best_kit_is_proven_and_its_cost_is_the_sum_of_its_lines_and_handling() {
    let found = answer(&example("optimise"));
    assert_eq!(
        (&found["status"], &found["bound"]["gap"]),
        (&json!("proven"), &json!(0))
    );
    for plan in list(&found, "plans") {
        let lines = list(plan, "buy").iter();
        let sum: i64 = lines
            .map(|line| line["cost"]["minor"].as_i64().unwrap())
            .sum();
        let handling = plan["handling"]["minor"].as_i64().unwrap_or(0);
        assert_eq!(plan["cost"]["minor"], sum + handling);
        assert_eq!(plan["values"]["cost"], sum + handling);
    }
    assert_eq!(
        found["bound"]["best_possible"],
        found["plans"][0]["values"]["cost"]
    );
    assert!(
        found["plans"][0]["values"]["cost"].as_i64()
            <= found["plans"][1]["values"]["cost"].as_i64()
    );
}

#[test]
fn equal_requests_give_equal_bytes() {
    for own in examples::OPTIMISE {
        let request = example(own.name);
        assert_eq!(
            optimise(&request).body,
            optimise(&request).body,
            "{}",
            own.name
        );
    }
}

#[test]
fn a_search_that_is_cut_by_steps_or_time_answers_and_says_so() {
    let mut request = example("optimise");
    request["steps"] = json!(1);
    let found = answer(&request);
    assert_eq!(
        (&found["status"], &found["cut_by"]),
        (&json!("undecided"), &json!("steps"))
    );
    assert_eq!(optimise(&request).body, optimise(&request).body);
    let mut request = example("optimise");
    request["for_sale"] = json!("catalogue");
    request["steps"] = json!(1_000_000_000);
    request["time_ms"] = json!(1);
    let found = answer(&request);
    assert!(
        found["status"] == "undecided" || found["status"] == "best_found",
        "{found}"
    );
    assert_eq!(found["cut_by"], "time");
}

/// A patch that tests what the request holds before it changes it.
fn patched(request: &Value, patch: &[Value]) -> Value {
    assert_eq!(patch[0]["op"], "test", "{patch:?}");
    let mut request = request.clone();
    let patch: json_patch::Patch = serde_json::from_value(json!(patch)).unwrap();
    json_patch::patch(&mut request, &patch).unwrap();
    request
}

#[test]
fn each_change_that_is_offered_makes_a_kit_possible_and_one_step_less_does_not() {
    let request = example("optimise-infeasible");
    let found = answer(&request);
    assert_eq!(found["status"], "infeasible");
    let why = &found["why_not"];
    let conflict: Vec<&Value> = list(why, "conflict").iter().map(|d| &d["demand"]).collect();
    assert_eq!(
        conflict,
        [&json!("capacity_at_least_mib"), &json!("budget")]
    );
    let changes = list(why, "changes");
    assert!(changes.len() > 1, "{why:#}");
    for change in changes {
        let eased = patched(&request, list(change, "patch"));
        let found = answer(&eased);
        assert_eq!(found["status"], "proven", "{change:#}");
        allowed_by_a_check(&eased, &found);
    }
    let budget = changes
        .iter()
        .find(|change| change["demand"] == "budget")
        .unwrap();
    let needed = budget["to"]["value"].as_i64().unwrap();
    let mut short = request.clone();
    short["wishes"]["budget"]["minor"] = json!(needed - 1);
    assert_eq!(answer(&short)["status"], "infeasible");
}

#[test]
fn a_rule_of_the_board_stands_in_the_conflict_with_the_wish() {
    // Nine ranks of x4 devices on two channels of one board: the rank budget stands in the way.
    let request = json!({
        "board": "tarn",
        "processors": ["tarn-12", "empty"],
        "wishes": {"capacity_at_least_mib": 393_216},
        "for_sale": [{"module": "ERW-3R32-4x4"}],
    });
    let found = answer(&request);
    assert_eq!(found["status"], "infeasible", "{found:#}");
    let conflict = list(&found["why_not"], "conflict");
    assert!(
        conflict.iter().any(|demand| demand["is_rule"] == true),
        "{conflict:?}"
    );
    assert!(
        conflict
            .iter()
            .any(|demand| demand["demand"] == "capacity_at_least_mib")
    );
}

#[test]
fn stock_that_is_short_is_named_with_how_many_would_do() {
    let request = json!({
        "board": "beck",
        "processors": ["beck-4"],
        "wishes": {"capacity_at_least_mib": 32_768},
        "for_sale": [{"module": "ERW-3E8-2x8-1333", "stock": 3}],
    });
    let found = answer(&request);
    assert_eq!(found["status"], "infeasible");
    let changes = list(&found["why_not"], "changes");
    let stock = changes
        .iter()
        .find(|change| change["demand"] == "stock")
        .unwrap();
    assert_eq!(stock["patch"][0]["path"], "/for_sale/0/stock");
    assert_eq!(
        (&stock["to"]["value"], &stock["from"]["value"]),
        (&json!(4), &json!(3))
    );
    let eased = patched(&request, list(stock, "patch"));
    assert_eq!(answer(&eased)["status"], "proven");
}

#[test]
fn a_front_is_complete_sorted_and_beaten_nowhere() {
    let found = answer(&example("optimise-front"));
    assert_eq!(
        (&found["status"], &found["front"]["complete"]),
        (&json!("proven"), &json!(true))
    );
    let points: Vec<[i64; 3]> = list(&found, "plans")
        .iter()
        .map(|plan| {
            let of = |key: &str| plan["values"][key].as_i64().unwrap();
            [of("cost"), -of("usable"), -of("rate")]
        })
        .collect();
    assert!(points.len() > 4 && points.is_sorted());
    for one in &points {
        let beats = |other: &&[i64; 3]| *other != one && other.iter().zip(one).all(|(a, b)| a <= b);
        assert_eq!(points.iter().find(beats), None, "beats {one:?}");
    }
    let mut few = example("optimise-front");
    few["front"]["points"] = json!(2);
    let found = answer(&few);
    assert_eq!(
        (&found["status"], list(&found, "plans").len()),
        (&json!("best_found"), 2)
    );
}

#[test]
fn faults_are_named_all_at_once_with_pointers() {
    let body = json!({
        "board": "tarn",
        "wishes": {"budget": {"minor": 9000, "currency": "EUR"}},
        "handling": {"minor": 100, "currency": "GBP"},
        "for_sale": [
            {"module": "ERW-3R16-2x4", "price": {"minor": 900, "currency": "GBP"}},
            {"module": {"capacity_mib": 16384}},
            {"module": "ERW-3R16-2y4"},
            {"module": "ERW-3R16-2x4-1333"},
            {"module": "ERW-3R16-2x4-1333"},
        ],
        "preference": {"order": ["cost", "cost"], "weights": {"cost": 1}},
        "front": {"keys": ["cost", "moved"]},
    });
    let reply = optimise(&body);
    assert_eq!(reply.status, 422);
    let faults = reply.faults();
    for expected in [
        "unusable /handling/currency",
        "unusable /for_sale/0/price/currency",
        "missing_member /for_sale/1",
        "unknown_name /for_sale/2/module",
        "unusable /for_sale/4",
        "unusable /preference",
        "unusable /front/keys/1",
    ] {
        let expected = expected.replace('_', "-").replace("for-sale", "for_sale");
        assert!(faults.contains(&expected), "{expected}: {faults:?}");
    }
}

#[test]
fn shapes_are_strict() {
    for (body, pointer) in [
        (json!({"board": "tarn", "for_sale": "shop"}), "/for_sale"),
        (json!({"board": "tarn", "plans": 0}), "/plans"),
        (json!({"board": "tarn", "plans": 21}), "/plans"),
        (json!({"board": "tarn", "time_ms": 8001}), "/time_ms"),
        (json!({"board": "tarn", "steps": 0}), "/steps"),
        (json!({"board": "tarn", "kit": []}), "/kit"),
        (
            json!({"board": "tarn", "preference": {"order": []}}),
            "/preference/order",
        ),
        (
            json!({"board": "tarn", "front": {"keys": ["cost"]}}),
            "/front/keys",
        ),
    ] {
        let reply = optimise(&body);
        assert_eq!(reply.status, 422, "{body}");
        let faults = reply.faults();
        assert!(
            faults
                .iter()
                .any(|fault| fault.ends_with(&format!(" {pointer}"))),
            "{faults:?}"
        );
    }
}

#[test]
fn a_page_comes_in_the_language_that_was_wished() {
    let body = example("optimise-infeasible").to_string();
    let headers = [
        ("content-type", "application/json"),
        ("accept", "text/plain"),
        ("accept-language", "de"),
    ];
    let reply = send(address(), "POST", "/v1/optimise", &headers, body.as_bytes());
    assert_eq!(reply.status, 200);
    assert!(
        reply
            .text()
            .contains("Keine Bestückung erfüllt alle Wünsche."),
        "{}",
        reply.text()
    );
    assert!(reply.text().contains("Das Budget um "), "{}", reply.text());
}

/// Numbers that look random (an LCG with the constants of Knuth's MMIX, from memory).
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % most
    }

    fn of<'l, T>(&mut self, list: &'l [T]) -> &'l T {
        &list[self.below(list.len())]
    }
}

/// A board's id, its processor models, some of its slots, and modules of its generation.
type Sold = (
    &'static str,
    &'static [&'static str],
    &'static [&'static str],
    &'static [&'static str],
);

const SOLD: [Sold; 4] = [
    (
        "beck",
        &["beck-2", "beck-4"],
        &["A1", "B1"],
        &[
            "ERW-3E8-2x8",
            "ERW-3E8-2x8-1333",
            "ERW-3E4-1x8",
            "ERW-3E4-2x8",
            "ERW-3U8-2x8",
        ],
    ),
    (
        "tarn",
        &["tarn-8", "tarn-12"],
        &["A1", "B1"],
        &[
            "ERW-3R16-2x4",
            "ERW-3R16-2x4-1333",
            "ERW-3R8-2x4",
            "ERW-3R32-4x4",
            "ERW-3L32-4x4",
            "ERW-3R4-1x8",
        ],
    ),
    (
        "delta",
        &["delta-6", "delta-16"],
        &["A1", "B1"],
        &[
            "ERW-5U16-1x8",
            "ERW-5U32-2x8",
            "ERW-5E24-1x8",
            "ERW-5E48-2x8",
        ],
    ),
    (
        "loch",
        &["loch-24"],
        &["A1", "B1"],
        &["ERW-4R32-2x4", "ERW-4R16-1x4", "ERW-4R64-2x4"],
    ),
];

fn random_request(dice: &mut Dice) -> Value {
    let (board, models, slots, modules) = dice.of(&SOLD);
    let sockets = if *board == "tarn" { 2 } else { 1 };
    let processors: Vec<&str> = (0..sockets).map(|_| *dice.of(models)).collect();
    let mut offers: Vec<&str> = (0..=dice.below(3)).map(|_| *dice.of(modules)).collect();
    offers.sort_unstable();
    offers.dedup();
    let offers: Vec<Value> = offers
        .iter()
        .map(|module| {
            let pack = *dice.of(&[1, 1, 2]);
            json!({"module": module, "stock": dice.below(20), "pack": pack,
                "price": {"minor": 500 + dice.below(4000), "currency": "EUR"}})
        })
        .collect();
    let mut request = json!({
        "board": board,
        "processors": processors,
        "for_sale": offers,
        "wishes": {"capacity_at_least_mib": 8192 << dice.below(6)},
        "plans": 1 + dice.below(3),
        "steps": 60_000,
        "time_ms": 8000,
    });
    if dice.below(2) == 0 {
        let installed = slots.iter().take(1 + dice.below(2));
        let module = *dice.of(modules);
        request["installed"] = installed
            .map(|slot| json!({"slot": slot, "module": module}))
            .collect();
        request["installed_policy"] =
            json!(dice.of(&["in_place", "keep", "may_remove", "replace"]));
        request["handling"] = json!({"minor": dice.below(500), "currency": "EUR"});
    }
    if dice.below(3) == 0 {
        request["wishes"]["rate_at_least_mts"] = json!(dice.of(&[1066, 1333, 2666]));
    }
    if dice.below(3) == 0 {
        request["wishes"]["free_slots"] = json!(dice.below(4));
    }
    if dice.below(4) == 0 {
        request["wishes"]["budget"] =
            json!({"minor": 2000 + dice.below(40_000), "currency": "EUR"});
    }
    if dice.below(4) == 0 {
        let order = [
            json!(["rate", "cost"]),
            json!(["usable", "cost"]),
            json!(["power"]),
        ];
        request["preference"] = json!({"order": dice.of(&order)});
    }
    request
}

/// Where the order of preference ties almost everything, the search wanders among counts that balance
/// refuses: it must still have a kit to show.
#[test]
fn a_search_that_wanders_still_gives_a_kit() {
    let priced = |module: &str, minor: u32| json!({"module": module, "price": {"minor": minor, "currency": "EUR"}});
    let found = answer(&json!({
        "board": "fjord", "processors": ["fjord-28l", "fjord-28l", "fjord-28l", "fjord-28l"],
        "for_sale": [priced("ERW-4R16-2x8", 3148), {"module": "ERW-4R32-1x4"},
            priced("ERW-4R32-2x4-2933", 2898), {"module": "ERW-4R32-2x4", "stock": 7, "pack": 1}],
        "wishes": {"capacity_at_least_mib": 131_072, "capacity_at_most_mib": 524_288, "free_slots": 8,
            "balance": "sockets"},
        "installed": [{"slot": "O1", "module": "ERW-4R32-2x4"}, {"slot": "K2", "module": "ERW-4R32-1x4"},
            {"slot": "I2", "module": "ERW-4R16-2x8"}],
        "installed_policy": "may_remove", "preference": {"order": ["moved"]}, "steps": 60_000}));
    assert_eq!(found["status"], "best_found", "{found}");
    assert_eq!(list(&found, "plans").len(), 1);
}

/// A board that the catalogue says little of: what is open there must not hide that nothing could do.
#[test]
fn what_no_open_fact_could_mend_is_infeasible_and_named() {
    let found = answer(&json!({
        "board": "fjord", "processors": ["fjord-16", "fjord-16", "fjord-16", "fjord-16"],
        "firmware": "99.0", "wishes": {"capacity_at_least_mib": 1_048_576_000}}));
    assert_eq!(found["status"], "infeasible", "{found}");
    assert!(found["why_not"].is_object(), "{found}");
}

/// The record of a board of the catalogue, on which a socket may stay without memory.
fn with_empty_sockets(board: &str) -> Value {
    let mut record = crate::client::get(address(), &format!("/v1/boards/{board}")).json();
    record["severities"] = json!([{"rule": "socket-without-memory", "severity": "warning"}]);
    record
}

#[test]
fn a_front_without_points_is_proven_where_no_fact_is_missing() {
    let mut request = json!({"board": with_empty_sockets("beck"), "processors": ["beck-4"],
        "for_sale": [{"module": "ERW-3E8-2x8-1333", "stock": 0}]});
    assert_eq!(answer(&request)["status"], "proven");
    request["front"] = json!({"keys": ["cost", "usable"]});
    let found = answer(&request);
    assert_eq!(found["status"], "proven", "{found:#}");
    assert_eq!(found["facts_missing"], false);
    assert_eq!(found["front"]["complete"], true);
    assert_eq!(list(&found, "plans").len(), 0);
    let said = found["summary"][0].as_str().unwrap();
    assert!(
        said.contains("usable capacity") && !said.contains("cost"),
        "{said}"
    );
}

#[test]
fn a_weighted_sum_that_has_no_room_is_refused_by_the_weight_that_weighs_most() {
    let request = |weight: u64, minor: u64| {
        json!({"board": "beck", "processors": ["beck-4"],
            "wishes": {"capacity_at_least_mib": 8192},
            "for_sale": [{"module": "ERW-3E8-2x8-1333", "price": {"minor": minor, "currency": "EUR"}}],
            "preference": {"weights": {"cost": weight, "parts": 1}}})
    };
    let reply = optimise(&request(1_000_000_000, 100_000_000_000));
    assert_eq!(reply.status, 422, "{}", reply.text());
    let fault = &reply.json()["faults"][0];
    assert_eq!(fault["pointer"], "/preference/weights/cost");
    assert_eq!(fault["code"], "out-of-range");
    let found = answer(&request(10_000_000, 100_000_000_000));
    assert_eq!(found["status"], "proven", "{found:#}");
    assert_eq!(
        found["bound"]["best_possible"],
        1_000_000_000_000_000_001_i64
    );
}

/// Nothing that is for sale could mend these, so no board need be judged to know it.
#[test]
fn what_no_modules_can_mend_is_infeasible_at_once_and_names_the_rule() {
    let cases = [
        (
            json!({"board": "mere", "protection": "lockstep",
                "wishes": {"capacity_at_least_mib": 262_144}}),
            &["protection", "protection-not-offered"][..],
        ),
        (
            json!({"board": "loch", "protection": "mirrored",
                "wishes": {"capacity_at_least_mib": 65_536}}),
            &["protection", "protection-not-offered"],
        ),
        (
            json!({"board": "tarn", "processors": ["empty", "tarn-12"],
                "wishes": {"capacity_at_least_mib": 131_072}}),
            &["first-socket-empty"],
        ),
        (
            json!({"board": "tarn", "processors": ["tarn-8", "tarn-12"],
                "wishes": {"capacity_at_least_mib": 131_072}}),
            &["processor-models-mixed"],
        ),
    ];
    for (mut request, demands) in cases {
        request["time_ms"] = json!(8000);
        let found = answer(&request);
        assert_eq!(found["status"], "infeasible", "{request}\n{found:#}");
        assert_eq!(found["search"]["boards_judged"], 0, "{request}");
        let conflict = list(&found["why_not"], "conflict");
        let named: Vec<&str> = conflict
            .iter()
            .filter_map(|demand| demand["demand"].as_str())
            .collect();
        assert_eq!(named, demands, "{request}\n{found:#}");
        assert!(conflict.iter().all(|demand| demand["needed"] == true));
        let changes = list(&found["why_not"], "changes");
        let protection = changes.iter().any(|own| own["demand"] == "protection");
        assert_eq!(protection, demands.contains(&"protection"), "{found:#}");
    }
}

#[test]
fn every_plan_of_random_requests_is_allowed_by_a_check() {
    let mut dice = Dice(7);
    let (mut plans, mut none) = (0, 0);
    for _ in 0..80 {
        let request = random_request(&mut dice);
        let found = answer(&request);
        let own = allowed_by_a_check(&request, &found);
        plans += own;
        none += usize::from(own == 0);
        if found["status"] == "infeasible" {
            let conflict = list(&found["why_not"], "conflict");
            assert!(!conflict.is_empty(), "{request}\n{found:#}");
        }
    }
    assert!(plans > 60, "only {plans} plans");
    assert!(none < 60, "{none} without a plan");
}

/// What is left of a search for a second kit may all be worse than the first: then the first is proven.
#[test]
fn a_search_that_is_cut_at_the_second_kit_has_no_gap_below_zero() {
    // Where the search stands after so many steps changes with the search; somewhere before its end the
    // first kit is proven and the second is not.
    let gaps = (1..=20).filter_map(|hundreds| {
        let body = json!({"board": "tarn", "processors": ["tarn-12", "tarn-12"],
            "wishes": {"capacity_at_least_mib": 131_072},
            "for_sale": [
                {"module": "ERW-3R16-2x4", "price": {"minor": 2000, "currency": "EUR"}},
                {"module": "ERW-3R16-2x4-1333", "price": {"minor": 1500, "currency": "EUR"}, "stock": 20}],
            "preference": {"order": ["cost", "rate"]},
            "plans": 2, "steps": hundreds * 100, "time_ms": 8000});
        let answer = post(address(), "/v1/optimise", body.to_string().as_bytes()).json();
        if answer["status"] != "best_found" {
            return None;
        }
        let gap = answer["bound"]["gap"].as_i64().expect("a number");
        let best = answer["bound"]["best_possible"].as_i64().expect("a number");
        let cost = answer["plans"][0]["values"]["cost"].as_i64().expect("a number");
        assert_eq!(cost - best, gap);
        Some(gap)
    });
    let gaps: Vec<i64> = gaps.collect();
    assert!(gaps.iter().all(|gap| *gap >= 0), "{gaps:?}");
    assert!(gaps.contains(&0), "{gaps:?}");
}
