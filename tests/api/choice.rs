//! `POST /v1/explain` about `choice`: why the optimiser preferred its kit to a named one.

use serde_json::{Value, json};

use crate::client::{Reply, post};
use crate::explain::told;
use crate::service::address;

fn ask(optimise: &Value, alternative: &Value) -> Reply {
    let body = json!({"about": "choice", "optimise": optimise, "alternative": alternative});
    post(address(), "/v1/explain", body.to_string().as_bytes())
}

fn text(optimise: &Value, alternative: &Value, accept: &str, language: &str) -> Reply {
    let body = json!({"about": "choice", "optimise": optimise, "alternative": alternative});
    told(&body, accept, language)
}

/// 128 GiB for the invented board, of two modules that differ in rate and price.
fn task() -> Value {
    json!({"board": "tarn", "processors": ["tarn-12", "tarn-12"],
        "wishes": {"capacity_at_least_mib": 131_072},
        "for_sale": [
            {"module": "ERW-3R16-2x4", "price": {"minor": 2000, "currency": "EUR"}},
            {"module": "ERW-3R16-2x4-1333", "price": {"minor": 1500, "currency": "EUR"}, "stock": 20}],
        "handling": {"minor": 100, "currency": "EUR"},
        "preference": {"order": ["cost", "rate"]}, "time_ms": 8000})
}

fn kit(module: &str, quantity: u32) -> Value {
    json!({"kit": [{"module": module, "quantity": quantity}]})
}

/// The nodes that are said first.
fn roots(answer: &Value) -> Vec<&Value> {
    let nodes = answer["nodes"].as_array().unwrap();
    let roots = answer["roots"].as_array().unwrap().iter();
    roots
        .map(|at| &nodes[at.as_u64().unwrap() as usize])
        .collect()
}

/// The nodes below one.
fn below<'a>(answer: &'a Value, node: &Value) -> Vec<&'a Value> {
    let nodes = answer["nodes"].as_array().unwrap();
    let because = node["because"].as_array().into_iter().flatten();
    because
        .map(|at| &nodes[at.as_u64().unwrap() as usize])
        .collect()
}

#[test]
fn the_first_thing_that_is_preferred_and_differs_decides_with_its_arithmetic() {
    let answer = ask(&task(), &kit("ERW-3R16-2x4", 8)).json();
    assert_eq!(answer["about"], "choice");
    assert_eq!(answer["standing"], "explained");
    let first = roots(&answer)[0];
    assert_eq!(first["message"], "choice-preferred");
    assert_eq!(first["params"]["key"]["text"], "cost");
    assert_eq!(first["params"]["chosen"]["value"], 8 * 1500);
    assert_eq!(first["params"]["named"]["value"], 8 * 2000);
    let workings: Vec<&str> = below(&answer, first)
        .iter()
        .filter_map(|node| node["working"]["text"].as_str())
        .collect();
    assert_eq!(
        workings,
        ["8 × 15.00 EUR = 120.00 EUR", "8 × 20.00 EUR = 160.00 EUR"]
    );
    let rows = answer["tables"][0]["rows"].as_array().unwrap();
    assert_eq!(rows.len(), 10);
    assert_eq!(rows[0]["marked"], true);
}

#[test]
fn keys_that_are_equal_are_named_before_the_one_that_decides() {
    let mut task = task();
    task["preference"] = json!({"order": ["usable", "modules", "rate"]});
    task["wishes"] = json!({"capacity_at_least_mib": 131_072, "capacity_at_most_mib": 131_072});
    task["for_sale"][0]["price"]["minor"] = json!(9000);
    let answer = ask(&task, &kit("ERW-3R16-2x4-1333", 8)).json();
    let first = roots(&answer)[0];
    assert_eq!(first["params"]["key"]["text"], "rate", "{answer}");
    let messages: Vec<&Value> = below(&answer, first)
        .iter()
        .map(|node| &node["message"])
        .collect();
    assert_eq!(
        messages,
        [
            "choice-key-same",
            "choice-key-same",
            "choice-key-chosen",
            "choice-key-named"
        ]
    );
}

#[test]
fn a_kit_that_a_rule_refuses_is_told_with_the_rules_own_sentence() {
    let answer = ask(&task(), &kit("ERW-3R32-4x4", 24)).json();
    assert_eq!(answer["verdict"], "does_not_fit");
    assert_eq!(roots(&answer)[0]["message"], "choice-refused");
    let found = answer["nodes"].as_array().unwrap();
    let rule = |node: &&Value| node["finding"]["rule"] == "rank-budget-exceeded";
    let node = found.iter().find(rule).expect("the rule that refuses it");
    assert_eq!(node["sentence"], node["finding"]["sentence"]);
    // What it chose instead is told all the same.
    let last = *roots(&answer).last().unwrap();
    assert_eq!(last["message"], "choice-chosen");
}

#[test]
fn a_kit_that_misses_a_wish_a_limit_or_the_budget_is_told_so() {
    let small = ask(&task(), &kit("ERW-3R16-2x4", 4)).json();
    assert_eq!(roots(&small)[0]["message"], "choice-unmet");
    let nodes = small["nodes"].as_array().unwrap();
    assert!(
        nodes
            .iter()
            .any(|node| node["finding"]["rule"] == "capacity-wish"),
        "{small}"
    );

    let mut dear = task();
    dear["wishes"]["budget"] = json!({"minor": 15_000, "currency": "EUR"});
    let answer = text(&dear, &kit("ERW-3R16-2x4", 8), "text/plain", "en");
    let said = answer.text();
    assert!(said.contains("Not met: at most 150.00 EUR."), "{said}");
    assert!(said.contains("8 × 20.00 EUR = 160.00 EUR"), "{said}");

    let mut one = task();
    one["limits"] = json!({"one_part": true});
    let mixed = json!({"kit": [{"module": "ERW-3R16-2x4", "quantity": 4},
        {"module": "ERW-3R16-2x4-1333", "quantity": 4}]});
    let said = text(&one, &mixed, "text/plain", "en").text();
    assert!(said.contains("Not met: one part number only."), "{said}");
}

#[test]
fn a_kit_that_is_not_for_sale_or_not_in_that_number_is_told_so() {
    let said = text(&task(), &kit("ERW-3R8-1x4", 16), "text/plain", "en").text();
    assert!(said.contains("ERW-3R8-1x4 is not for sale."), "{said}");
    let said = text(&task(), &kit("ERW-3R16-2x4-1333", 24), "text/plain", "en").text();
    assert!(
        said.contains("24 of ERW-3R16-2x4-1333 are needed, but only 20 can be had."),
        "{said}"
    );
}

#[test]
fn what_is_bought_in_packs_is_paid_for_in_packs() {
    let mut packs = task();
    packs["for_sale"][0]["pack"] = json!(5);
    let said = text(&packs, &kit("ERW-3R16-2x4", 8), "text/plain", "en").text();
    assert!(
        said.contains("Buy 10 × ERW-3R16-2x4: 200.00 EUR, 2 left over."),
        "{said}"
    );
}

#[test]
fn a_kit_of_its_own_is_named_by_number_and_the_first_is_the_choice() {
    let same = ask(&task(), &json!({"plan": 1})).json();
    assert_eq!(roots(&same)[0]["message"], "choice-same");
    let second = ask(&task(), &json!({"plan": 2})).json();
    let mut two = task();
    two["plans"] = json!(2);
    let found = post(address(), "/v1/optimise", two.to_string().as_bytes()).json();
    let of = |plan: usize| found["plans"][plan]["values"]["cost"].clone();
    let first = roots(&second)[0];
    assert_eq!(first["params"]["chosen"]["value"], of(0));
    assert_eq!(first["params"]["named"]["value"], of(1));
    let beyond = ask(&task(), &json!({"plan": 3}));
    assert_eq!(beyond.status, 200, "as many as are named are searched for");
}

#[test]
fn the_optimisers_own_kit_written_out_is_the_same() {
    let same = ask(&task(), &kit("ERW-3R16-2x4-1333", 8)).json();
    assert_eq!(roots(&same)[0]["message"], "choice-same", "{same}");
}

#[test]
fn a_population_is_taken_as_it_sits() {
    let slots = ["A1", "A2", "E1", "E2"];
    let seats = slots.map(|slot| json!({"slot": slot, "module": "ERW-3R16-2x4"}));
    let mut few = task();
    few["wishes"] = json!({"capacity_at_least_mib": 65_536});
    few["preference"] = json!({"order": ["cost", "uniform"]});
    few["for_sale"][1]["stock"] = json!(0);
    let answer = ask(&few, &json!({"population": seats})).json();
    let first = roots(&answer)[0];
    // Four modules cost the same wherever they sit; on four channels of a socket they are read faster.
    assert_eq!(first["message"], "choice-preferred", "{answer}");
    assert_eq!(first["params"]["key"]["text"], "bandwidth when read evenly");
    let as_kit = ask(&few, &kit("ERW-3R16-2x4", 4)).json();
    assert_eq!(
        roots(&as_kit)[0]["message"],
        "choice-same",
        "a kit goes where it is best"
    );
}

#[test]
fn a_search_that_was_cut_is_not_praised() {
    let mut cut = task();
    cut["steps"] = json!(1);
    let answer = ask(&cut, &kit("ERW-3R16-2x4", 8)).json();
    let said: Vec<&Value> = roots(&answer).iter().map(|node| &node["message"]).collect();
    assert_eq!(said[0], "choice-none-found", "{answer}");
    assert!(said.contains(&&json!("plan-undecided-cut")));
}

#[test]
fn weights_are_summed_up_for_both() {
    let mut weighed = task();
    weighed["preference"] = json!({"weights": {"cost": 1, "rate": 2}});
    let answer = ask(&weighed, &kit("ERW-3R16-2x4", 8)).json();
    let first = roots(&answer)[0];
    assert_eq!(first["message"], "choice-preferred-sum", "{answer}");
    let rows = answer["tables"][0]["rows"].as_array().unwrap();
    let column = |at: usize| -> i64 {
        let shares = rows[..rows.len() - 1].iter();
        shares
            .map(|row| row["cells"][at]["value"].as_i64().unwrap())
            .sum()
    };
    let total = &rows.last().unwrap()["cells"];
    for (at, side) in [(4, "chosen"), (5, "named")] {
        assert_eq!(total[at]["value"], column(at));
        assert_eq!(first["params"][side]["value"], column(at));
    }
    assert!(column(4) < column(5));
}

#[test]
fn where_there_is_no_kit_the_wishes_that_clash_are_named() {
    let none = include_str!("../../openapi/examples/optimise-infeasible.json");
    let none: Value = serde_json::from_str(none).unwrap();
    let answer = ask(&none, &kit("ERW-3E8-2x8", 4)).json();
    let said: Vec<&Value> = roots(&answer).iter().map(|node| &node["message"]).collect();
    assert_eq!(said[0], "choice-unmet");
    assert!(said.contains(&&json!("plan-infeasible")), "{said:?}");
    let clash = roots(&answer)
        .into_iter()
        .find(|node| node["message"] == "no-kit-together");
    let clash = clash.expect("what clashes")["sentence"].as_str().unwrap();
    assert!(clash.contains("at most 44.00 EUR"), "{clash}");
}

#[test]
fn a_kit_that_hangs_on_a_fact_asks_for_it() {
    let unknown = json!({"name": "spare", "generation": "DDR3", "kind": "RDIMM",
        "capacity_mib": 16384, "width": "x4", "rate_mts": 1600});
    let mut open = task();
    open["for_sale"] = json!([{"module": unknown, "price": {"minor": 100, "currency": "EUR"}},
        {"module": "ERW-3R16-2x4"}]);
    let answer = ask(
        &open,
        &json!({"kit": [{"module": unknown, "quantity": 16}]}),
    )
    .json();
    assert_eq!(answer["standing"], "find_out_first", "{answer}");
    assert_eq!(roots(&answer)[0]["message"], "choice-open");
}

#[test]
fn faults_point_at_the_member_that_has_them() {
    let fault = |optimise: &Value, alternative: &Value| {
        let reply = ask(optimise, alternative);
        assert_eq!(reply.status, 422, "{}", reply.text());
        reply.json()["faults"][0]["pointer"].clone()
    };
    let mut front = task();
    front.as_object_mut().unwrap().remove("preference");
    front["front"] = json!({"keys": ["cost", "rate"]});
    assert_eq!(fault(&front, &json!({"plan": 1})), "/optimise/front");
    assert_eq!(
        fault(&json!({"board": "tran"}), &json!({"plan": 1})),
        "/optimise/board"
    );
    assert_eq!(
        fault(&task(), &kit("ERW-3R16-2x5", 1)),
        "/alternative/kit/0/module"
    );
    assert_eq!(fault(&task(), &json!({})), "/alternative");
    assert_eq!(
        fault(&task(), &json!({"plan": 1, "kit": []})),
        "/alternative"
    );
    let mut one = task();
    one["for_sale"] = json!([{"module": "ERW-3R16-2x4", "stock": 8}]);
    assert_eq!(fault(&one, &json!({"plan": 20})), "/alternative/plan");
    for missing in ["optimise", "alternative"] {
        let mut body = json!({"about": "choice", "optimise": task(), "alternative": {"plan": 1}});
        body.as_object_mut().unwrap().remove(missing);
        let reply = post(address(), "/v1/explain", body.to_string().as_bytes());
        assert_eq!(reply.status, 422);
        assert!(
            reply.text().contains(&format!("`{missing}` is missing")),
            "{}",
            reply.text()
        );
    }
}

#[test]
fn it_comes_in_every_form_and_both_languages_the_same_each_time() {
    let named = kit("ERW-3R16-2x4", 8);
    for (language, says) in [
        ("en", "is preferred: cost decides"),
        ("de", "geht vor. Es entscheidet: Preis"),
    ] {
        for form in ["text/plain", "text/markdown", "text/html"] {
            let said = text(&task(), &named, form, language);
            assert_eq!(said.status, 200);
            assert!(said.text().contains(says), "{form}: {}", said.text());
            assert_eq!(said.header("content-language"), Some(language));
            assert_eq!(said.text(), text(&task(), &named, form, language).text());
        }
        let drawn = text(&task(), &named, "image/svg+xml", language);
        assert!(drawn.text().contains("<svg"), "{}", drawn.text());
    }
}
