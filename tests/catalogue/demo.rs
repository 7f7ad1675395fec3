//! What the demo catalogue must show.

use kitproof::api::decide::decide;
use kitproof::api::wire::request::ValidateRequest;
use kitproof::catalogue::{doubts, embedded};
use kitproof::domain::board::policy::Protection;
use kitproof::domain::board::{Board, ChannelIx};
use kitproof::domain::module::{HeightClass, Kind};
use kitproof::domain::units::Millivolts;
use kitproof::render::words::Words;
use serde_json::{Value, json};

fn board(id: &str) -> &'static Board {
    &embedded::catalogue().board(id).unwrap().board
}

fn shape(id: &str) -> (u8, u8, u8, &'static str) {
    let board = board(id);
    (
        board.sockets,
        board.channels,
        board.positions,
        board.generation.name(),
    )
}

#[test]
fn the_boards_have_the_agreed_shapes() {
    assert_eq!(shape("tarn"), (2, 4, 3, "DDR3"));
    assert_eq!(shape("beck"), (1, 2, 2, "DDR3"));
    assert_eq!(shape("mere"), (2, 8, 2, "DDR4"));
    assert_eq!(shape("loch"), (1, 8, 1, "DDR4"));
    assert_eq!(shape("fjord"), (4, 6, 2, "DDR4"));
    assert_eq!(shape("firth"), (2, 12, 1, "DDR5"));
    assert_eq!(shape("brook"), (1, 12, 2, "DDR5"));
    assert_eq!(shape("delta"), (1, 2, 2, "DDR5"));
}

#[test]
fn slots_are_labelled_by_channel_over_the_board_and_position() {
    let tarn = board("tarn");
    let at = |label: &str| tarn.slot(tarn.slot_named(label).unwrap()).unwrap().place;
    assert_eq!(
        (at("A1").socket, at("A1").channel, at("A1").position),
        (1, 1, 1)
    );
    assert_eq!(
        (at("D3").socket, at("D3").channel, at("D3").position),
        (1, 4, 3)
    );
    assert_eq!((at("E2").socket, at("E2").channel), (2, 1));
    assert_eq!(at("H3").socket, 2);
}

#[test]
fn no_two_slots_stand_at_one_place_of_the_drawing() {
    for entry in embedded::catalogue().boards() {
        let mut drawn: Vec<(u16, u16)> = entry.board.slots.iter().map(|s| s.drawn_at).collect();
        let count = drawn.len();
        drawn.sort_unstable();
        drawn.dedup();
        assert_eq!(drawn.len(), count, "{}", entry.record.id);
    }
}

#[test]
fn no_record_looks_wrong() {
    for entry in embedded::catalogue().boards() {
        assert_eq!(
            doubts::of_board(&entry.board),
            [],
            "board {}",
            entry.record.id
        );
    }
}

#[test]
fn between_them_the_boards_show_every_style_and_policy() {
    let all: Vec<&Board> = embedded::catalogue().boards().map(|e| &e.board).collect();
    let shows = |what: &str, test: &dyn Fn(&Board) -> bool| {
        assert!(all.iter().any(|board| test(board)), "{what}");
    };
    shows("layouts", &|b| !b.layouts.is_empty());
    shows("positions by rank", &|b| {
        b.accepts.iter().any(|r| r.positions.is_some())
    });
    shows("a channel order", &|b| {
        b.filling.iter().any(|r| r.channel_order.is_some())
    });
    shows("module counts", &|b| {
        b.filling.iter().any(|r| r.module_counts.is_some())
    });
    shows("a socket order", &|b| !b.socket_order.is_sorted());
    shows("rows by sockets fitted", &|b| b.filling.len() > 1);
    shows("a model with fewer channels", &|b| {
        b.processors.iter().any(|p| p.channels.is_some())
    });
    shows("firmware of a row", &|b| {
        b.accepts.iter().any(|r| r.firmware.is_some())
    });
    shows("firmware of a rate", &|b| {
        b.rates.iter().any(|r| r.firmware.is_some())
    });
    shows("named sets", &|b| !b.interleave.is_empty());
    shows("a power limit", &|b| b.slot_power.value().is_some());
    shows("a height limit", &|b| b.height.value().is_some());
    shows("no fillers", &|b| !b.fillers);
    shows("a changed severity", &|b| !b.severities.is_empty());
    shows("cautions", &|b| !b.cautions.is_empty());
    shows("an input voltage", &|b| {
        b.input.value() == Some(Millivolts(5000))
    });
    for wanted in [
        Protection::Mirrored,
        Protection::RankSpare,
        Protection::Lockstep,
    ] {
        shows(wanted.name(), &|b| {
            b.protections.iter().any(|o| o.protection == wanted)
        });
    }
}

#[test]
fn every_module_of_the_agreed_list_is_there() {
    let catalogue = embedded::catalogue();
    for id in [
        "ERW-3R16-2x4",
        "ERW-3R32-4x4",
        "ERW-3L32-4x4",
        "ERW-3L64-8x4",
        "ERW-3E8-2x8",
        "ERW-3R8-2x4-15V",
        "ERW-3R16-2x4-1866",
        "ERW-4R32-2x4",
        "ERW-4R16-1x4",
        "ERW-4R16-2x8",
        "ERW-4L64-4x4",
        "ERW-4R128-2S4x4",
        "ERW-5R64-2x4",
        "ERW-5R32-1x4",
        "ERW-5R48-1x4",
        "ERW-5R64-2x4-EC4",
        "ERW-5E32-2x8",
        "ERW-5E16-1x8",
    ] {
        assert!(catalogue.module(id).is_some(), "{id}");
    }
    assert!(catalogue.module("ERW-3R16-2x4X").is_none());
    assert_eq!(
        catalogue.modules_near("ERW-3R16-2x5").first().unwrap(),
        "ERW-3R16-2x4"
    );
    assert_eq!(catalogue.boards_near("trn"), ["tarn"]);
}

#[test]
fn modules_are_told_in_full_and_the_odd_ones_are_there() {
    let modules: Vec<_> = embedded::catalogue().modules().map(|e| &e.module).collect();
    for module in &modules {
        let told = module.rate.is_some()
            && module.supply.is_some()
            && module.die_density.is_some()
            && module.price.is_some()
            && module.peak_power > module.typical_power;
        assert!(told, "{}", module.name);
        let timed = module.timing.is_some();
        assert_eq!(timed, module.generation.unwrap().name() != "DDR5");
    }
    let any = |test: &dyn Fn(&kitproof::domain::module::Module) -> bool| {
        modules.iter().any(|module| test(module))
    };
    assert!(any(&|m| m.supply.as_deref() == Some(&[Millivolts(1500)])));
    assert!(any(&|m| m.height == Some(HeightClass::VeryLow)));
    assert!(any(&|m| m.height == Some(HeightClass::Tall)));
    assert!(any(&|m| m.ecc_bits == Some(4)));
    assert!(any(&|m| m.die_density.unwrap().0 == 24));
    assert!(any(&|m| m.stock == Some(0)));
    assert!(any(&|m| m.pack == Some(2)));
    assert!(any(&|m| m.is_stacked() == Some(true)));
    assert!(any(&|m| m.kind == Some(Kind::Udimm)));
}

#[test]
fn a_ddr3_or_ddr4_cas_latency_follows_from_its_timing() {
    // JESD79-3F, 2.5 and JESD79-4, 13: CL is tAA over the clock period, rounded up to a supported
    // one.
    for entry in embedded::catalogue().modules() {
        let Some(timing) = &entry.module.timing else {
            continue;
        };
        let clocks = timing.taa_min.0.div_ceil(timing.tck_min.0);
        let supported = timing.cas_supported.iter().copied();
        let latency = supported.filter(|cas| u32::from(*cas) >= clocks).min();
        assert_eq!(latency, entry.module.cas_latency, "{}", entry.id);
    }
}

#[test]
fn a_channel_of_every_board_has_slots() {
    for entry in embedded::catalogue().boards() {
        for channel in entry.board.all_channels() {
            let ChannelIx(number) = channel;
            assert!(
                entry.board.wired(channel) > 0,
                "{} {number}",
                entry.record.id
            );
        }
    }
}

/// The verdict for a kit with every socket fitted, and the rules that are broken as blockers.
fn verdict(board: &str, module: &str, quantity: u32) -> (String, Vec<String>) {
    told(json!({"board": board, "kit": [{"module": module, "quantity": quantity}]}))
}

fn told(body: Value) -> (String, Vec<String>) {
    let body: ValidateRequest = serde_json::from_value(body).unwrap();
    let decided = decide(&body, embedded::catalogue()).unwrap();
    let answer = serde_json::to_value(decided.body(Words::english())).unwrap();
    let findings = answer["findings"].as_array().unwrap().iter();
    let blockers = findings.filter(|f| f["severity"] == "blocker");
    let blockers = blockers.map(|f| f["rule"].as_str().unwrap_or_default().to_owned());
    (
        answer["verdict"].as_str().unwrap().to_owned(),
        blockers.collect(),
    )
}

#[test]
fn kits_that_the_boards_are_made_for_fit_and_one_more_does_not() {
    // Common practice for a DDR3 board of three positions and eight ranks a channel: two quad-rank
    // RDIMMs, three dual-rank ones, or three LRDIMMs of either rank count.
    for (board, module, quantity) in [
        ("tarn", "ERW-3R32-4x4", 16),
        ("tarn", "ERW-3R16-2x4", 24),
        ("tarn", "ERW-3L32-4x4", 24),
        ("tarn", "ERW-3L64-8x4", 24),
        ("beck", "ERW-3E8-2x8", 4),
        ("mere", "ERW-4R32-2x4", 32),
        ("mere", "ERW-4R128-2S4x4", 16),
        ("firth", "ERW-5R64-2x4", 24),
        ("brook", "ERW-5R64-2x4", 24),
        ("delta", "ERW-5E32-2x8", 4),
    ] {
        let (verdict, blockers) = verdict(board, module, quantity);
        assert!(
            verdict.starts_with("fits"),
            "{quantity} x {module} in {board}: {verdict} {blockers:?}"
        );
    }
    for (board, module, quantity) in [
        ("tarn", "ERW-3R32-4x4", 17),
        ("tarn", "ERW-3R16-2x4", 25),
        ("firth", "ERW-5R64-2x4", 25),
        ("firth", "ERW-5R64-2x4-EC4", 24),
        ("delta", "ERW-5R64-2x4", 2),
    ] {
        let (verdict, _) = verdict(board, module, quantity);
        assert_eq!(verdict, "does_not_fit", "{quantity} x {module} in {board}");
    }
}

#[test]
fn a_board_whose_models_serve_different_channels_asks_for_the_model() {
    let kit = json!([{"module": "ERW-4R32-2x4", "quantity": 8}]);
    let with =
        |processors: Value| told(json!({"board": "loch", "processors": processors, "kit": kit})).0;
    assert!(with(json!(["loch-24"])).starts_with("fits"));
    assert_eq!(with(json!(["loch-8"])), "does_not_fit");
    assert_eq!(with(json!(["fitted"])), "undecided");
}
