//! Faults of records: each at its place, all at once.

use kitproof::wirecheck::FaultCode;
use serde_json::{Value, json};

use crate::support::{board_faults, boards, demo, module_faults, pointers, set, some_places};

#[test]
fn leaving_any_member_of_a_board_out_is_a_fault_that_says_what_it_is_for() {
    let mut left_out = 0;
    for board in boards() {
        for place in some_places(&board) {
            let (parent, name) = match place.rsplit_once('/') {
                Some(split) => split,
                None => continue,
            };
            // No limits: most boards' reports print the labels, and locators mostly differ.
            if name == "reported_as" || name == "bank" {
                continue;
            }
            let mut changed = board.clone();
            let Some(Value::Object(members)) = changed.pointer_mut(parent) else {
                continue;
            };
            members.remove(name);
            let faults = board_faults(&changed);
            // A row that may be of several shapes is told as such.
            let told = faults.iter().any(|f| {
                f.fault.pointer == parent
                    && f.fault.code == FaultCode::MissingMember
                    && f.fault.hint.as_ref().is_some_and(|hint| hint.len() > 10)
            });
            assert!(told, "{place}: {faults:?}");
            left_out += 1;
        }
    }
    assert!(left_out > 1000, "{left_out}");
}

#[test]
fn a_limit_that_is_left_out_is_explained_with_an_example() {
    let mut board = demo("boards/tarn.json");
    board.as_object_mut().unwrap().remove("rank_budget");
    let faults = board_faults(&board);
    assert_eq!(faults.len(), 1);
    assert_eq!(faults[0].fault.message, "`rank_budget` is missing");
    assert_eq!(
        faults[0].fault.hint.as_deref(),
        Some("The most ranks that a channel may see; for example `2`")
    );
}

#[test]
fn a_misspelt_member_is_told_with_the_one_that_was_meant() {
    for (wrong, meant) in [
        ("/rank_bugdet", "rank_budget"),
        ("/accepts/0/postions", "positions"),
        ("/filling/0/modulecounts", "module_counts"),
        ("/mixing/width", "widths"),
        ("/slots/0/lables", "labels"),
    ] {
        let mut board = demo("boards/tarn.json");
        set(&mut board, wrong, json!(1));
        let faults = board_faults(&board);
        assert_eq!(pointers(&faults), [wrong]);
        assert_eq!(faults[0].fault.code, FaultCode::UnknownMember);
        assert_eq!(faults[0].fault.close_matches[0], meant);
    }
}

/// One change of a demo board, and the one fault that comes of it.
fn one(file: &str, change: &str, value: Value, pointer: &str, message: &str) {
    let mut board = demo(file);
    set(&mut board, change, value);
    let faults = board_faults(&board);
    assert!(
        pointers(&faults).contains(&pointer),
        "{change}: {faults:#?}"
    );
    let fault = &faults
        .iter()
        .find(|f| f.fault.pointer == pointer)
        .unwrap()
        .fault;
    assert!(
        fault.message.contains(message),
        "{change}: {}",
        fault.message
    );
    assert!(fault.hint.is_some(), "{change}");
}

#[test]
fn values_that_cannot_be_are_found_where_they_stand() {
    let tarn = "boards/tarn.json";
    for (change, value, pointer, message) in [
        ("/rank_budget", json!("never"), "/rank_budget", "`never`"),
        ("/rank_budget", json!(0), "/rank_budget", "out of range"),
        (
            "/lowest_rate_mts",
            json!(1000),
            "/rates/5/rate_mts",
            "below the lowest rate",
        ),
        (
            "/lowest_rate_mts",
            json!(1900),
            "/processors/0/rate_mts",
            "below the lowest rate",
        ),
        ("/height", json!("high"), "/height", "`high`"),
        ("/generation", json!("DDR6"), "/generation", "`DDR6`"),
        ("/sockets", json!(65), "/sockets", "out of range"),
        ("/sources", json!([]), "/sources", "empty"),
        (
            "/processors/1/id",
            json!("tarn-8"),
            "/processors/1/id",
            "twice",
        ),
        (
            "/processors/0/channels",
            json!([1, 9]),
            "/processors/0/channels/1",
            "no channel 9",
        ),
        (
            "/slots/1/labels/0",
            json!("A1"),
            "/slots/1/labels/0",
            "used twice",
        ),
        (
            "/slots/1/labels/0",
            json!(" "),
            "/slots/1/labels/0",
            "empty",
        ),
        (
            "/slots/0/socket",
            json!(3),
            "/slots/0/socket",
            "no socket 3",
        ),
        (
            "/slots/0/channel",
            json!(2),
            "/slots/1/labels/0",
            "already has a slot",
        ),
        (
            "/slots/0/labels",
            json!(["A1", "A2", "A3", "A4"]),
            "/slots/0/labels/3",
            "no position 4",
        ),
        ("/slots/0/labels", json!([]), "/slots/0/labels", "empty"),
        (
            "/slots/0/drawn_at",
            json!([[0, 0]]),
            "/slots/0/drawn_at",
            "1 places for 3 labels",
        ),
        (
            "/slots/0/reported_as",
            json!([{"locator": "SLOT 1"}]),
            "/slots/0/reported_as",
            "1 names for 3 labels",
        ),
        (
            "/slots/0/reported_as",
            json!([{"locator": "X"}, {"locator": "Y"}, {"locator": "X"}]),
            "/slots/0/reported_as/2",
            "used twice",
        ),
        ("/nodes", json!([1, 1]), "/nodes", "node"),
        (
            "/socket_order",
            json!([1, 1]),
            "/socket_order",
            "socket 2 is missing",
        ),
        (
            "/accepts/0/positions",
            json!([1, 4]),
            "/accepts/0/positions/1",
            "no position 4",
        ),
        (
            "/accepts/0/positions",
            json!([]),
            "/accepts/0/positions",
            "empty",
        ),
        ("/accepts/0/ranks", json!([]), "/accepts/0/ranks", "empty"),
        (
            "/accepts/0/supply_mv",
            json!([1200]),
            "/accepts/0/supply_mv/0",
            "can't set 1200 mV",
        ),
        (
            "/accepts/0/firmware",
            json!("beta"),
            "/accepts/0/firmware",
            "not known here",
        ),
        (
            "/accepts/0/seen_ranks",
            json!("halved"),
            "/accepts/0/seen_ranks",
            "`halved`",
        ),
        (
            "/accepts/2/seen_ranks/multiplied/1/factor",
            json!(3),
            "/accepts/2/seen_ranks/multiplied/1/factor",
            "does not divide",
        ),
        (
            "/accepts/2/seen_ranks/multiplied/1/positions_wired",
            json!([4]),
            "/accepts/2/seen_ranks/multiplied/1/positions_wired/0",
            "no number of positions 4",
        ),
        (
            "/rates/0/modules",
            json!(4),
            "/rates/0/modules",
            "never sit",
        ),
        (
            "/rates/0/ranks",
            json!({"exactly": [1, 2]}),
            "/rates/0/ranks/exactly",
            "2 rank counts for 1 modules",
        ),
        (
            "/rates/0/ranks",
            json!({"at_least": 2}),
            "/rates/0/ranks/at_least",
            "at_least",
        ),
        ("/rates/0/kinds", json!([]), "/rates/0/kinds", "empty"),
        (
            "/rates/0/supply_mv",
            json!([1250]),
            "/rates/0/supply_mv/0",
            "can't set 1250 mV",
        ),
        (
            "/rates/0/firmware",
            json!("new"),
            "/rates/0/firmware",
            "not known here",
        ),
        (
            "/rates/0/rate_mts",
            json!(1600.5),
            "/rates/0/rate_mts",
            "integer",
        ),
        (
            "/filling/0/sockets_fitted",
            json!([1, 2]),
            "/filling",
            "2 rows are for 2 sockets",
        ),
        (
            "/filling/0/position_order",
            json!([1, 2]),
            "/filling/0/position_order",
            "position 3 is missing",
        ),
        (
            "/filling/0/channel_order",
            json!([1, 2, 3, 3]),
            "/filling/0/channel_order/3",
            "listed twice",
        ),
        (
            "/filling/0/module_counts",
            json!([]),
            "/filling/0/module_counts",
            "no count",
        ),
        (
            "/mixing/widths",
            json!("never"),
            "/mixing/widths",
            "`never`",
        ),
        (
            "/mixing/widths/node",
            json!("allowed"),
            "/mixing/widths/node",
            "`node`",
        ),
        (
            "/protections/0/groups",
            json!([[1, 2], [2, 3]]),
            "/protections/0/groups/1/0",
            "earlier group",
        ),
        (
            "/protections/0/groups",
            json!([[1, 5]]),
            "/protections/0/groups/0/1",
            "no channel 5",
        ),
        (
            "/protections/1/groups",
            json!([[1, 2]]),
            "/protections/1/groups",
            "rank spare",
        ),
        (
            "/protections/1/protection",
            json!("mirrored"),
            "/protections/1/protection",
            "twice",
        ),
        (
            "/processors/0/id",
            json!("fitted"),
            "/processors/0/id",
            "something else",
        ),
        (
            "/processors/0/channels",
            json!([]),
            "/processors/0/channels",
            "empty",
        ),
        (
            "/severities",
            json!([{"rule": "no-such-rule", "severity": "note"}]),
            "/severities/0/rule",
            "no rule",
        ),
    ] {
        one(tarn, change, value, pointer, message);
    }
    let beck = "boards/beck.json";
    for (change, value, pointer, message) in [
        (
            "/layouts/0/pattern/0",
            json!("dual"),
            "/layouts/0/pattern/0",
            "describes no position",
        ),
        (
            "/layouts/0/pattern",
            json!(["1R", "-", "-"]),
            "/layouts/0/pattern",
            "3 positions",
        ),
        (
            "/layouts/0/pattern",
            json!(["-", "-"]),
            "/layouts/0/pattern",
            "no module",
        ),
        ("/layouts/0/rates", json!([]), "/layouts/0/rates", "empty"),
        (
            "/layouts/0/rates/0/supply_mv",
            json!(1250),
            "/layouts/0/rates/0/supply_mv",
            "can't set",
        ),
        (
            "/layouts/0/sockets_fitted",
            json!([2]),
            "/layouts/0/sockets_fitted/0",
            "no number of sockets 2",
        ),
    ] {
        one(beck, change, value, pointer, message);
    }
    one(
        "boards/firth.json",
        "/interleave/0/channels",
        json!([1, 13]),
        "/interleave/0/channels/1",
        "no channel 13",
    );
}

#[test]
fn faults_of_all_parts_of_a_board_are_told_at_once() {
    let mut board = demo("boards/tarn.json");
    for (pointer, value) in [
        ("/sources", json!([])),
        ("/slots/2/labels/1", json!("A1")),
        ("/accepts/0/positions", json!([1, 4])),
        ("/rates/3/modules", json!(4)),
        ("/filling/1/position_order", json!([1, 2, 2])),
        ("/protections/0/groups", json!([[1, 9]])),
    ] {
        set(&mut board, pointer, value);
    }
    let faults = board_faults(&board);
    let found = pointers(&faults);
    for pointer in [
        "/sources",
        "/slots/2/labels/1",
        "/accepts/0/positions/1",
        "/rates/3/modules",
        "/filling/1/position_order/2",
        "/protections/0/groups/0/1",
    ] {
        assert!(found.contains(&pointer), "{pointer}: {found:?}");
    }
}

#[test]
fn modules_are_checked_against_themselves() {
    let module = |facts: Value| json!({"invented": true, "modules": {"a/b": facts}});
    for (facts, pointer) in [
        (json!({"kind": "RDIMMM"}), "/modules/a~1b/kind"),
        (json!({"capacity": 1024}), "/modules/a~1b/capacity"),
        (json!({"package_ranks": 9}), "/modules/a~1b/package_ranks"),
        (
            json!({"price": {"minor": 100, "currency": "eur"}}),
            "/modules/a~1b/price/currency",
        ),
        (
            json!({"timing": {"tck_min_ps": 625, "taa_min_ps": 13750, "cas_supported": []}}),
            "/modules/a~1b/timing/cas_supported",
        ),
        (
            json!({"kind": "UDIMM", "ecc_bits": 8}),
            "/modules/a~1b/ecc_bits",
        ),
        (
            json!({"capacity_mib": 32768, "package_ranks": 2, "width": "x4", "stack_height": 1, "die_gbit": 16}),
            "/modules/a~1b/die_gbit",
        ),
    ] {
        let faults = module_faults(&module(facts.clone()));
        assert_eq!(pointers(&faults), [pointer], "{facts}");
        assert!(faults[0].fault.hint.is_some());
    }
    assert!(module_faults(&module(json!({}))).is_empty());
}
