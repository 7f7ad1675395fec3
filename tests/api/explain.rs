//! `POST /v1/explain` over HTTP: shape, forms and faults.

use serde_json::{Value, json};

use crate::client::{Reply, post, send};
use crate::service::address;

fn explain(body: &Value) -> Reply {
    post(address(), "/v1/explain", body.to_string().as_bytes())
}

#[test]
fn a_refused_cart_is_explained_by_what_blocks_it() {
    let cart = json!({"board": "tarn", "kit": [{"module": "ERW-3R32-4x4", "quantity": 24}]});
    let answer = explain(&json!({"request": cart})).json();
    assert_eq!(answer["verdict"], "does_not_fit");
    let root = &answer["nodes"][answer["roots"][0].as_u64().unwrap() as usize];
    let because = root["because"].as_array().unwrap();
    let rule =
        |node: &Value| answer["nodes"][node.as_u64().unwrap() as usize]["finding"]["rule"].clone();
    assert!(
        because
            .iter()
            .any(|node| rule(node) == "rank-budget-exceeded")
    );
}

#[test]
fn the_faults_of_the_request_point_into_the_body() {
    let reply = explain(&json!({"request": {"board": "tarnn"}}));
    assert_eq!(reply.status, 422);
    assert_eq!(reply.json()["faults"][0]["pointer"], "/request/board");
    let reply = explain(&json!({"about": "verdict"}));
    assert_eq!(reply.status, 422, "{}", reply.text());
}

#[test]
fn plain_text_comes_where_it_is_asked_for() {
    let cart = json!({"board": "tarn", "kit": [{"module": "ERW-3R32-4x4", "quantity": 24}]});
    let body = json!({"request": cart}).to_string();
    let headers = [
        ("content-type", "application/json"),
        ("accept", "text/plain"),
    ];
    let reply = send(address(), "POST", "/v1/explain", &headers, body.as_bytes());
    assert_eq!(reply.status, 200);
    assert_eq!(
        reply.header("content-type"),
        Some("text/plain; charset=utf-8")
    );
    assert!(reply.text().contains("\nIt does not fit.\n"));
}

fn cart(module: &str, quantity: u32) -> Value {
    json!({"board": "tarn", "kit": [{"module": module, "quantity": quantity}]})
}

fn text(about: &str, request: &Value) -> String {
    let body = json!({"about": about, "request": request}).to_string();
    let headers = [
        ("content-type", "application/json"),
        ("accept", "text/plain"),
    ];
    send(address(), "POST", "/v1/explain", &headers, body.as_bytes()).text()
}

/// The limit question of the trade. Common practice: eight ranks a channel, so two modules of four
/// are all, while a buffer that shows two ranks as one lets three through.
#[test]
fn says_how_many_fit_with_the_arithmetic() {
    let quad = text("limit", &cart("ERW-3R32-4x4", 1));
    assert!(
        quad.contains("\nAt most 16 of ERW-3R32-4x4 fit.\n"),
        "{quad}"
    );
    assert!(quad.contains("4 + 4 = 8 of 8."), "{quad}");
    assert!(quad.contains("4 + 4 + 4 = 12 of 8."), "{quad}");
    let reduced = text("limit", &cart("ERW-3L32-4x4", 1));
    assert!(
        reduced.contains("\nAt most 24 of ERW-3L32-4x4 fit.\n"),
        "{reduced}"
    );
    assert!(reduced.contains("4 ÷ 2 = 2."), "{reduced}");
    assert!(reduced.contains("2 + 2 + 2 = 6 of 8."), "{reduced}");
    let dual = text("limit", &cart("ERW-3R16-2x4", 1));
    assert!(
        dual.contains("\nAt most 24 of ERW-3R16-2x4 fit.\n"),
        "{dual}"
    );
    assert!(dual.contains("25 of 24."), "{dual}");
}

/// The answer in a form and a language.
pub fn told(body: &Value, accept: &str, language: &str) -> Reply {
    let headers = [
        ("content-type", "application/json"),
        ("accept", accept),
        ("accept-language", language),
    ];
    let body = body.to_string();
    send(address(), "POST", "/v1/explain", &headers, body.as_bytes())
}

/// The same in every form that has words: `4 + 4` for the one that is stopped, and the largest count.
#[test]
fn the_limit_is_told_with_its_arithmetic_in_every_form() {
    for (module, most, arithmetic) in [
        ("ERW-3R32-4x4", "16", "4 + 4 = 8"),
        ("ERW-3L32-4x4", "24", "2 + 2 + 2 = 6"),
        ("ERW-3R16-2x4", "24", "2 + 2 + 2 = 6"),
    ] {
        let body = json!({"about": "limit", "request": cart(module, 1)});
        for form in ["text/plain", "text/markdown", "text/html"] {
            let said = told(&body, form, "en").text();
            assert!(
                said.contains(&format!("At most {most} of {module} fit.")),
                "{form}: {said}"
            );
            assert!(said.contains(arithmetic), "{form}: {said}");
        }
        let drawn = told(&body, "image/svg+xml", "en").text();
        assert!(drawn.contains(&format!("{most} × {module}")), "{drawn}");
    }
    // The drawing says why the third slot stays empty: 4 + 4 are all that a channel sees.
    let quad = json!({"about": "limit", "request": cart("ERW-3R32-4x4", 1)});
    let drawn = told(&quad, "image/svg+xml", "en").text();
    assert!(
        drawn.contains("(8 of 8)") && drawn.contains("4 + 4 + 4"),
        "{drawn}"
    );
}

#[test]
fn equal_requests_get_equal_bytes_in_every_form_and_language() {
    let request = cart("ERW-3R32-4x4", 24);
    for about in ["verdict", "limit", "conflict", "worksheet", "compare"] {
        let mut body = json!({"about": about, "request": request});
        if about == "compare" {
            body["other"] = cart("ERW-3R16-2x4", 16);
        }
        for form in [
            "application/json",
            "text/plain",
            "text/markdown",
            "text/html",
        ] {
            for language in ["en", "de"] {
                let first = told(&body, form, language);
                assert_eq!(first.status, 200);
                assert_eq!(first.header("content-language"), Some(language));
                assert_eq!(
                    first.body,
                    told(&body, form, language).body,
                    "{about} {form}"
                );
            }
        }
    }
}

#[test]
fn the_next_limit_behind_the_first_is_named() {
    let answer = explain(&json!({"about": "limit", "request": cart("ERW-3R32-4x4", 1)})).json();
    let next = &answer["nodes"][answer["roots"][2].as_u64().unwrap() as usize];
    assert_eq!(next["message"], "limit-next");
    assert_eq!(next["params"]["count"]["value"], 24);
    let below = &answer["nodes"][next["because"][0].as_u64().unwrap() as usize];
    assert_eq!(below["finding"]["rule"], "more-modules-than-slots");
    let rows = answer["tables"][0]["rows"].as_array().unwrap();
    let last = rows.last().unwrap();
    assert_eq!(last["marked"], true);
    assert_eq!(last["cells"][0]["value"], 16);
    assert_eq!(last["cells"][2]["value"], 16 * 32 * 1024);
}

/// Eight ranks a channel (common practice): of four-rank modules sixteen fill the board, so that all that
/// was installed comes out.
#[test]
fn the_largest_count_takes_out_installed_modules_where_it_may_as_a_check_does() {
    let installed = |policy: &str| {
        json!({
            "board": "tarn", "processors": ["tarn-12", "tarn-12"], "installed_policy": policy,
            "kit": [{ "module": "ERW-3R8-4x8", "quantity": 16 }],
            "installed": [{ "slot": "F2", "module": "ERW-3R8-4x8" }, { "slot": "A1", "module": "ERW-3R8-4x8" }],
        })
    };
    let largest = |policy: &str| {
        let answer = explain(&json!({ "about": "limit", "request": installed(policy) })).json();
        let root = answer["nodes"][answer["roots"][0].as_u64().unwrap() as usize].clone();
        assert_eq!(root["message"], "limit-largest", "{policy}");
        let below = root["because"][0].as_u64().unwrap() as usize;
        (
            root["params"]["count"]["value"].clone(),
            answer["nodes"][below].clone(),
        )
    };
    assert_eq!(largest("keep").0, 14);
    let (count, below) = largest("may_remove");
    assert_eq!(count, 16);
    assert_eq!(below["message"], "limit-removed");
    assert_eq!(below["params"]["count"]["value"], 2);
    let checked = installed("may_remove").to_string();
    let checked = post(address(), "/v1/validate", checked.as_bytes()).json();
    assert_eq!(checked["verdict"], "fits");
    let text = text("limit", &installed("may_remove"));
    assert!(
        text.contains("For that, 2 installed modules come out."),
        "{text}"
    );
    assert!(text.contains("What stops 17 of them"), "{text}");
    assert!(text.contains("4 + 4 + 4 = 12 of 8."), "{text}");
}

#[test]
fn a_limit_needs_a_line_of_the_kit() {
    let reply = explain(&json!({"about": "limit", "request": {"board": "tarn"}}));
    assert_eq!(reply.status, 422);
    assert_eq!(reply.json()["faults"][0]["pointer"], "/line");
}

#[test]
fn a_worksheet_names_every_slot_that_is_filled_and_no_other() {
    let request = cart("ERW-3R16-2x4", 16);
    let answer = explain(&json!({"about": "worksheet", "request": request})).json();
    assert_eq!(answer["standing"], "explained");
    let steps = answer["steps"].as_array().unwrap();
    let seats = steps.iter().filter(|step| step["message"] == "step-seat");
    let mut seats: Vec<String> = seats.map(|step| step["slots"][0].to_string()).collect();
    seats.sort();
    let decided = post(address(), "/v1/validate", request.to_string().as_bytes()).json();
    let placed = decided["placement"]["slots"].as_array().unwrap().iter();
    let mut placed: Vec<String> = placed.map(|seat| seat["slot"].to_string()).collect();
    placed.sort();
    assert_eq!(seats, placed);
    let checked = |step: &Value| step["check"].as_str().is_some_and(|check| check.len() > 5);
    assert!(steps.iter().all(checked));
}

/// A technician who sees nothing but the sheet has to know what must be there before, what stays, and
/// which module of those on the mat goes where.
#[test]
fn a_worksheet_tells_what_is_there_what_stays_and_where_moved_modules_come_from() {
    let seats = |labels: &[&str]| -> Vec<Value> {
        let seat = |slot: &&str| json!({"slot": slot, "module": "ERW-3R8-1x4"});
        labels.iter().map(seat).collect()
    };
    let upgrade = |policy: &str| {
        json!({"board": "tarn", "installed": seats(&["A1", "B1", "E1", "F1"]),
        "installed_policy": policy, "kit": [{"module": "ERW-3R16-2x4", "quantity": 8}]})
    };
    let moved = explain(&json!({"about": "worksheet", "request": upgrade("keep")})).json();
    let steps = |answer: &Value, message: &str| -> Vec<Value> {
        let all = answer["steps"].as_array().unwrap().iter();
        all.filter(|step| step["message"] == message)
            .cloned()
            .collect()
    };
    let there = steps(&moved, "step-there");
    assert_eq!(there[0]["slots"], json!(["A1", "B1", "E1", "F1"]));
    let aside = steps(&moved, "step-lay-aside");
    let again = steps(&moved, "step-seat-moved");
    assert!(!again.is_empty() && again.len() == aside.len());
    for step in &again {
        let from = &step["params"]["from"]["text"];
        let own = aside
            .iter()
            .find(|other| other["slots"][0] == *from)
            .unwrap();
        assert_eq!(own["params"]["to"]["text"], step["slots"][0]);
    }
    // The board's own cautions come before anybody lifts or opens it.
    let all = moved["steps"].as_array().unwrap();
    let at = |message: &str| {
        all.iter()
            .position(|step| step["message"] == message)
            .unwrap()
    };
    assert!(at("step-board-caution") < at("step-lift"));

    let mut in_place = upgrade("in_place");
    in_place["installed"] = json!(seats(&["A1", "E1"]));
    in_place["kit"] = json!([{"module": "ERW-3R8-1x4", "quantity": 6}]);
    let kept = explain(&json!({"about": "worksheet", "request": in_place})).json();
    let stays = steps(&kept, "step-stays");
    assert_eq!(stays[0]["slots"], json!(["A1", "E1"]), "{kept}");
    assert!(steps(&kept, "step-lay-aside").is_empty());

    let empty = explain(&json!({"about": "worksheet", "request": cart("ERW-3R16-2x4", 16)})).json();
    assert_eq!(steps(&empty, "step-nothing-there").len(), 1);
    assert!(
        steps(&empty, "step-note-report").is_empty(),
        "without memory it reports none"
    );
}

#[test]
fn there_is_no_worksheet_for_what_does_not_fit_nor_before_it_is_known_to() {
    let refused =
        explain(&json!({"about": "worksheet", "request": cart("ERW-3R32-4x4", 24)})).json();
    assert_eq!(refused["standing"], "refused");
    assert!(refused.get("steps").is_none());
    let unknown = json!({"name": "spare", "generation": "DDR3", "kind": "RDIMM", "capacity_mib": 8192,
        "width": "x4", "rate_mts": 1600});
    let open = json!({"board": "tarn", "kit": [{"module": unknown, "quantity": 8}]});
    let open = explain(&json!({"about": "worksheet", "request": open})).json();
    assert_eq!(open["standing"], "find_out_first", "{open}");
    assert!(open.get("steps").is_none());
    let asks = |node: &Value| node["missing"]["fact"] == "package-ranks";
    assert!(open["nodes"].as_array().unwrap().iter().any(asks));
}

#[test]
fn a_conflict_shows_each_rule_and_a_kit_that_fits_has_none() {
    let refused =
        explain(&json!({"about": "conflict", "request": cart("ERW-3R32-4x4", 24)})).json();
    assert_eq!(refused["standing"], "explained");
    let rules: Vec<&Value> = refused["nodes"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|node| node.get("finding"))
        .map(|finding| &finding["rule"])
        .collect();
    assert!(rules.contains(&&json!("rank-budget-exceeded")), "{rules:?}");
    let fits = explain(&json!({"about": "conflict", "request": cart("ERW-3R16-2x4", 16)})).json();
    assert_eq!(fits["standing"], "refused");
}

#[test]
fn the_smallest_change_that_is_offered_works() {
    let answer = explain(&json!({"request": cart("ERW-3R32-4x4", 24)})).json();
    let nodes = answer["nodes"].as_array().unwrap();
    let mend = nodes
        .iter()
        .find(|node| node["message"] == "explain-mend")
        .unwrap();
    let fix = &nodes[mend["because"][0].as_u64().unwrap() as usize]["fix"];
    assert_eq!(fix["patch"][1]["value"], 16);
}

#[test]
fn two_kits_are_compared_count_by_count() {
    let body = json!({"about": "compare", "request": cart("ERW-3R16-2x4", 16),
        "other": cart("ERW-3L32-4x4", 24)});
    let answer = explain(&body).json();
    let rows = answer["tables"][0]["rows"].as_array().unwrap();
    let row = |name: &str| {
        let own = rows.iter().find(|row| row["cells"][0]["text"] == name);
        own.unwrap_or_else(|| panic!("{name}"))["cells"].clone()
    };
    let decide = |module: &str, count: u32| {
        let body = cart(module, count).to_string();
        post(address(), "/v1/validate", body.as_bytes()).json()["outcome"].clone()
    };
    let (one, other) = (decide("ERW-3R16-2x4", 16), decide("ERW-3L32-4x4", 24));
    assert_eq!(row("usable capacity")[1]["value"], one["usable_mib"]);
    assert_eq!(row("usable capacity")[2]["value"], other["usable_mib"]);
    assert_eq!(row("usable capacity")[3]["text"], "second");
    assert_eq!(row("rate")[3]["text"], "first");
    assert_eq!(row("modules on the board")[3]["text"], "first");
}

#[test]
fn a_comparison_needs_another_request_and_names_its_faults() {
    let reply = explain(&json!({"about": "compare", "request": cart("ERW-3R16-2x4", 16)}));
    assert_eq!(reply.status, 422);
    let body = json!({"about": "compare", "request": cart("ERW-3R16-2x4", 16),
        "other": {"board": "bek"}});
    assert_eq!(
        explain(&body).json()["faults"][0]["pointer"],
        "/other/board"
    );
}
