//! The record says everything that the domain's board can hold, and ignores nothing that is told.

use kitproof::catalogue::record::BoardRecord;
use kitproof::domain::board::accept::{AcceptRow, Multiplication, SeenRanks};
use kitproof::domain::board::filling::{Filling, LayoutRow, Seat};
use kitproof::domain::board::groups::SlotGroup;
use kitproof::domain::board::policy::{InterleaveSet, MixPolicy, Mixing, ProtectionOffer};
use kitproof::domain::board::rates::{RankMatch, RateRow, RateStep};
use kitproof::domain::board::{Board, BoardFacts, Place, Processor, Slot, Source};
use serde_json::{Value, json};

use crate::support::{boards, set, some_places};

fn board(record: &Value) -> Board {
    let record: BoardRecord = serde_json::from_value(record.clone()).unwrap();
    record.to_board().unwrap()
}

/// Every field of a domain type must differ. The pattern is exhaustive: a field that the domain
/// gains does not compile until it is listed here, and fails until the record can say it.
macro_rules! every_field_differs {
    ($type:ident { $($field:ident),* $(,)? } of $a:expr, $b:expr) => {{
        let (a, b): (&$type, &$type) = ($a, $b);
        let $type { $($field: _),* } = a;
        $(assert_ne!(a.$field, b.$field, concat!(stringify!($type), ".", stringify!($field)));)*
    }};
}

/// A record that uses every row there is.
fn one() -> Value {
    json!({
        "id": "one", "name": "One", "invented": true, "sources": [{"title": "t", "section": "s"}],
        "generation": "DDR3", "sockets": 1, "channels": 2, "positions": 1,
        "slots": [
            {"socket": 1, "channel": 1, "labels": ["A1"], "drawn_at": [[0, 0]], "key": "top"},
            {"socket": 1, "channel": 2, "labels": ["B1"], "drawn_at": [[1, 0]], "key": "top"},
        ],
        "nodes": [1, 1], "supply_mv": [1350, 1500], "input_mv": "none",
        "processors": [{"id": "p", "name": "P", "rate_mts": 1600, "capacity_mib": "none", "channels": "all"}],
        "socket_order": [1],
        "accepts": [{
            "kind": "RDIMM", "capacities_mib": "any", "ranks": "any", "widths": "any", "die_gbit": "any", "stacks": "any",
            "ecc_bits": "any", "supply_mv": "any", "per_channel": "none", "positions": "any",
            "seen_ranks": {"multiplied": [{"ranks": [4], "positions_wired": "any", "die_at_most_gbit": "any", "factor": 2}]}, "firmware": "any",
        }],
        "ecc": "required", "rank_budget": 8, "lowest_rate_mts": 800, "rate_steps": [{"from_mts": 1266, "runs_mts": 1333}],
        "rates": [{
            "kinds": ["RDIMM"], "stack": "any", "modules": 1, "ranks": "any", "counting": "package", "positions_wired": "any", "supply_mv": "any",
            "firmware": "any", "rate_mts": 1600,
        }],
        "unlisted_rate": "unsupported",
        "layouts": [{"kinds": ["RDIMM"], "sockets_fitted": "any", "pattern": ["any"], "rates": "by_rows"}],
        "filling": [{
            "sockets_fitted": [1], "position_order": [1], "channel_order": "any", "module_counts": "any", "rank_order": false,
            "advised_modules": "none", "board_capacity_mib": "none",
        }],
        "levelling": "board",
        "interleave": [{"name": "a", "channels": [1, 2], "equal": true, "alone": true, "channel_at_most_mib": "none", "protections": "any"}], "rank_interleave": "equal_ranks",
        "slot_groups": [{"name": "g", "seats": [[1, 1], [2, 1]], "identical": ["capacity"], "shared_reset": true}],
        "mixing": {
            "kinds": "allowed", "ecc": "allowed", "stacks": "allowed", "widths": "allowed", "die_densities": "allowed", "ecc_bits": "allowed",
            "ranks": "allowed", "capacities": "allowed", "capacities_per_channel": "none", "capacities_per_board": "none",
            "part_numbers": "allowed", "product_lines": "allowed", "dram_makers": "allowed", "dram_makers_from_mib": "none",
        },
        "protections": [{"protection": "mirrored", "groups": [[1, 2]], "identical": ["capacity"], "ranks_at_least": "none", "needs_x4": false, "unequal_groups": "refused", "rank_interleave": "none"}],
        "socket_capacity_mib": "none", "slot_power_mw": "none", "height": "none", "fillers": false, "cautions": [], "severities": [],
    })
}

/// A record that differs from [`one`] in every member of every row.
fn other() -> Value {
    let scopes = json!({"channel": "forbidden", "socket": "discouraged", "board": "unknown"});
    json!({
        "id": "other", "name": "Other", "invented": false, "sources": [{"title": "u", "section": "v"}],
        "generation": "DDR5", "sockets": 2, "channels": 3, "positions": 2,
        "slots": [
            {"socket": 2, "channel": 3, "labels": ["X1", "X2"], "drawn_at": [[5, 1], [6, 1]], "key": "left",
             "reported_as": [{"locator": "DIMM 1", "bank": "BANK 1"}, {"locator": "DIMM 2", "bank": "BANK 1"}]},
        ],
        "nodes": [1, 2, 2], "supply_mv": [1100], "input_mv": 12000,
        "processors": [{"id": "q", "name": "Q", "rate_mts": "unknown", "capacity_mib": 65536, "channels": [3]}],
        "socket_order": [2, 1],
        "accepts": [{
            "kind": "LRDIMM", "capacities_mib": [32768], "ranks": [8], "widths": ["x8"], "die_gbit": [16], "stacks": [2], "ecc_bits": [4],
            "supply_mv": [1100], "per_channel": 1, "positions": [2],
            "seen_ranks": {"multiplied": [{"ranks": [8], "positions_wired": [2], "die_at_most_gbit": 8, "factor": 4}]}, "firmware": "2.1",
        }],
        "ecc": "either", "rank_budget": "unknown", "lowest_rate_mts": "unknown", "rate_steps": [{"from_mts": 1013, "runs_mts": 1066}],
        "rates": [{
            "kinds": ["LRDIMM"], "stack": "stacked", "modules": 2, "ranks": {"at_most": 4}, "counting": "seen", "positions_wired": [2],
            "supply_mv": [1100], "firmware": "3.0", "rate_mts": 4800,
        }],
        "unlisted_rate": "unknown",
        "layouts": [{"kinds": ["LRDIMM"], "sockets_fitted": [2], "pattern": ["2R", "-"], "rates": [{"supply_mv": 1100, "rate_mts": 4800}]}],
        "filling": [{
            "sockets_fitted": [1, 2], "position_order": [2, 1], "channel_order": [3, 2, 1], "module_counts": [1, 2], "rank_order": true,
            "advised_modules": 2, "board_capacity_mib": 1048576,
        }],
        "levelling": "channel",
        "interleave": [{"name": "b", "channels": [3], "equal": false, "alone": false, "channel_at_most_mib": 65536, "protections": ["mirrored"]}], "rank_interleave": "none",
        "slot_groups": [{"name": "h", "seats": [[3, 1], [3, 2]], "identical": [], "shared_reset": false}],
        "mixing": {
            "kinds": scopes, "ecc": scopes, "stacks": scopes, "widths": scopes, "die_densities": scopes, "ecc_bits": scopes, "ranks": scopes,
            "capacities": scopes, "capacities_per_channel": 1, "capacities_per_board": "unknown", "part_numbers": scopes, "product_lines": scopes, "dram_makers": scopes, "dram_makers_from_mib": 1024,
        },
        "protections": [{"protection": "rank_spare", "groups": [], "identical": ["kind", "part_number"], "ranks_at_least": 2, "needs_x4": true, "unequal_groups": "lost", "rank_interleave": [[2, 2]]}],
        "socket_capacity_mib": 524288, "slot_power_mw": 9000, "height": "LP", "fillers": true, "cautions": ["hot"],
        "severities": [{"rule": "rank-budget-exceeded", "severity": "warning"}],
    })
}

#[test]
fn every_field_of_the_domain_s_board_can_be_said() {
    let (a, b) = (board(&one()), board(&other()));
    every_field_differs!(BoardFacts {
        id, name, invented, sources, generation, sockets, channels, positions, slots, nodes, supply, input, processors, socket_order, accepts,
        ecc, rank_budget, lowest_rate, rate_steps, rates, unlisted_rate, layouts, filling, levelling, interleave, rank_interleave, slot_groups, mixing,
        protections, socket_capacity, slot_power, height, fillers, cautions, severities,
    } of &a, &b);
    every_field_differs!(Source { title, section } of &a.sources[0], &b.sources[0]);
    every_field_differs!(Slot { label, place, drawn_at, key, reported_as } of &a.slots[0], &b.slots[0]);
    every_field_differs!(Place { socket, channel, position } of &a.slots[0].place, &b.slots[1].place);
    every_field_differs!(Processor { id, name, rate, capacity, channels } of &a.processors[0], &b.processors[0]);
    every_field_differs!(Filling {
        sockets_fitted, position_order, channel_order, module_counts, rank_order, advised_modules, board_capacity,
    } of &a.filling[0], &b.filling[0]);
}

#[test]
fn every_field_of_the_domain_s_rows_can_be_said() {
    let (a, b) = (board(&one()), board(&other()));
    every_field_differs!(AcceptRow {
        kind, capacities, ranks, widths, die_densities, stacks, ecc_bits, supply, per_channel, positions, seen_ranks, firmware,
    } of &a.accepts[0], &b.accepts[0]);
    every_field_differs!(RateRow {
        kinds, stack, measure, ranks, modules, positions_wired, supply, firmware, rate,
    } of &a.rates[0], &b.rates[0]);
    every_field_differs!(LayoutRow { kinds, sockets_fitted, pattern, rates } of &a.layouts[0], &b.layouts[0]);
    every_field_differs!(InterleaveSet { name, channels, equal, alone, channel_at_most, protections } of &a.interleave[0], &b.interleave[0]);
    every_field_differs!(RateStep { from, runs } of &a.rate_steps[0], &b.rate_steps[0]);
    every_field_differs!(SlotGroup { name, seats, identical, shared_reset } of &a.slot_groups.listed()[0], &b.slot_groups.listed()[0]);
    every_field_differs!(ProtectionOffer { protection, groups, identical, ranks_at_least, needs_x4, unequal_groups, rank_interleave } of &a.protections[0], &b.protections[0]);
    every_field_differs!(Mixing {
        kinds, ecc, stacks, widths, die_densities, ecc_bits, ranks, capacities, capacities_per_channel, capacities_per_board, part_numbers,
        product_lines, dram_makers, dram_makers_from,
    } of &a.mixing, &b.mixing);
    every_field_differs!(MixPolicy { channel, socket, board } of &a.mixing.kinds, &b.mixing.kinds);
    let multiplied = |board: &Board| match &board.accepts[0].seen_ranks {
        SeenRanks::Multiplied(rows) => rows[0].clone(),
        other => panic!("{other:?}"),
    };
    every_field_differs!(Multiplication { ranks, positions_wired, die_at_most, factor } of &multiplied(&a), &multiplied(&b));
}

/// The name of a variant by an exhaustive match: one that the domain gains does not compile.
fn variants(board: &Board) -> [&'static str; 3] {
    [
        match board.accepts[0].seen_ranks {
            SeenRanks::Package => "package",
            SeenRanks::Logical => "logical",
            SeenRanks::Multiplied(_) => "multiplied",
        },
        match board.rates[0].ranks {
            RankMatch::Any => "any",
            RankMatch::AtMost(_) => "at most",
            RankMatch::Exactly(_) => "exactly",
        },
        match board.layouts[0].pattern[0] {
            Seat::Empty => "empty",
            Seat::Ranks(_) => "ranks",
            Seat::Module => "module",
        },
    ]
}

#[test]
fn every_variant_of_the_domain_s_rows_can_be_said() {
    let mut said = Vec::new();
    for (seen, ranks, pattern) in [
        (json!("package"), json!("any"), json!(["-", "any"])),
        (json!("logical"), json!({"at_most": 2}), json!(["1R", "-"])),
        (
            json!({"multiplied": [{"ranks": [4], "positions_wired": "any", "die_at_most_gbit": "any", "factor": 2}]}),
            json!({"exactly": [1, 2]}),
            json!(["any", "any"]),
        ),
    ] {
        let mut record = other();
        set(&mut record, "/accepts/0/seen_ranks", seen);
        set(&mut record, "/rates/0/ranks", ranks);
        set(&mut record, "/layouts/0/pattern", pattern);
        said.push(variants(&board(&record)));
    }
    assert_eq!(
        said,
        [
            ["package", "any", "empty"],
            ["logical", "at most", "ranks"],
            ["multiplied", "exactly", "module"]
        ]
    );
}

#[test]
fn nothing_that_a_record_tells_is_ignored() {
    let mut changed_places = 0;
    for record in boards().into_iter().chain([one(), other()]) {
        let before = format!("{:?}", *board(&record));
        for place in some_places(&record) {
            let Some(value) = another(record.pointer(&place).unwrap()) else {
                continue;
            };
            let mut changed = record.clone();
            set(&mut changed, &place, value);
            let Ok(changed) = serde_json::from_value::<BoardRecord>(changed) else {
                continue;
            };
            let Ok(after) = changed.to_board() else {
                continue;
            };
            assert_ne!(before, format!("{:?}", *after), "{place}");
            changed_places += 1;
        }
    }
    assert!(changed_places > 800, "{changed_places}");
}

/// Another value of the same sort.
fn another(value: &Value) -> Option<Value> {
    Some(match value {
        Value::Bool(flag) => json!(!flag),
        Value::Number(number) => json!(number.as_u64()? + 1),
        Value::String(text) => match text.as_str() {
            "none" => json!("unknown"),
            "unknown" => json!("none"),
            "allowed" => json!("forbidden"),
            "forbidden" | "discouraged" => json!("allowed"),
            _ => json!(format!("{text}1")),
        },
        _ => return None,
    })
}
