//! Random requests: a demo board as an inline record with some limits not told, a few modules as
//! inline records with some facts not told or changed, seated in filling order or left to the search.

use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::{Map, Value, json};
use std::sync::LazyLock;

const BOARDS: [&str; 8] = [
    include_str!("../../src/catalogue/data/boards/tarn.json"),
    include_str!("../../src/catalogue/data/boards/beck.json"),
    include_str!("../../src/catalogue/data/boards/mere.json"),
    include_str!("../../src/catalogue/data/boards/loch.json"),
    include_str!("../../src/catalogue/data/boards/fjord.json"),
    include_str!("../../src/catalogue/data/boards/firth.json"),
    include_str!("../../src/catalogue/data/boards/brook.json"),
    include_str!("../../src/catalogue/data/boards/delta.json"),
];

const MODULES: [&str; 3] = [
    include_str!("../../src/catalogue/data/modules/ddr3.json"),
    include_str!("../../src/catalogue/data/modules/ddr4.json"),
    include_str!("../../src/catalogue/data/modules/ddr5.json"),
];

/// The demo boards.
pub static BOARD_RECORDS: LazyLock<Vec<Value>> = LazyLock::new(|| {
    let parse = |text: &&str| serde_json::from_str(text).unwrap();
    BOARDS.iter().map(parse).collect()
});

static MODULE_RECORDS: LazyLock<Vec<(String, Map<String, Value>)>> = LazyLock::new(|| {
    let files = MODULES
        .iter()
        .map(|text| serde_json::from_str(text).unwrap());
    files
        .flat_map(|file: Value| file["modules"].as_object().unwrap().clone())
        .map(|(id, module)| (id, module.as_object().unwrap().clone()))
        .collect()
});

/// The record of a demo module.
pub fn module_named(id: &str) -> Option<Value> {
    MODULE_RECORDS
        .iter()
        .find(|(own, _)| own == id)
        .map(|(_, module)| Value::Object(module.clone()))
}

/// What a random request is made of.
#[derive(Clone)]
pub struct Draw {
    board: usize,
    untold_limits: Vec<Index>,
    parts: Vec<(Index, Vec<(Index, Index)>)>,
    seats: Vec<Index>,
    odd_seats: Vec<(Index, Index)>,
    installed: usize,
    kit: Vec<(Index, u32)>,
    processors: Option<Vec<Index>>,
    choices: [Index; 4],
    wishes: Vec<(Index, bool)>,
}

/// The board by its id and the limits that are not told: short enough to read.
impl std::fmt::Debug for Draw {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let mut request = self.request();
        let board = request["board"].take();
        let untold = limits(&board)
            .into_iter()
            .filter(|at| board.pointer(at) == Some(&json!("unknown")));
        request["board"] = json!({"id": board["id"], "unknown": untold.collect::<Vec<_>>()});
        write!(f, "{request}")
    }
}

/// Random requests; `kits` leaves modules to the search.
pub fn draws(kits: bool) -> impl Strategy<Value = Draw> {
    let pairs = |most| few((any::<Index>(), any::<Index>()), 0..=most);
    let parts = few((any::<Index>(), pairs(1)), 1..=2);
    let kit = few((any::<Index>(), 1u32..=2), if kits { 1..=2 } else { 0..=0 });
    let seats = few(any::<Index>(), if kits { 0..=1 } else { 1..=6 });
    (
        (board(kits), few(any::<Index>(), 0..=2), parts, seats),
        pairs(1),
        (0usize..=2, kit),
        proptest::option::of(few(any::<Index>(), 2..=2)),
        any::<[Index; 4]>(),
        few((any::<Index>(), any::<bool>()), 0..=2),
    )
        .prop_map(
            |(basis, odd_seats, (installed, kit), processors, choices, wishes)| {
                let (board, untold_limits, parts, seats) = basis;
                Draw {
                    board,
                    untold_limits,
                    parts,
                    seats,
                    odd_seats,
                    installed,
                    kit,
                    processors,
                    choices,
                    wishes,
                }
            },
        )
}

/// For kits, the boards that a search without optimisation walks quickly.
fn board(kits: bool) -> impl Strategy<Value = usize> {
    if kits {
        proptest::sample::select(vec![1usize, 3, 7])
    } else {
        proptest::sample::select((0..BOARDS.len()).collect::<Vec<_>>())
    }
}

fn few<S: Strategy>(
    one: S,
    count: std::ops::RangeInclusive<usize>,
) -> impl Strategy<Value = Vec<S::Value>> {
    proptest::collection::vec(one, count)
}

impl Draw {
    /// The request.
    pub fn request(&self) -> Value {
        let mut board = BOARD_RECORDS[self.board].clone();
        for index in &self.untold_limits {
            let limits = limits(&board);
            let at = &limits[index.index(limits.len())];
            *board.pointer_mut(at).unwrap() = json!("unknown");
        }
        let modules: Vec<Value> = self.parts.iter().map(|part| self.module(part)).collect();
        let mut slots = slots_in_order(&board);
        for (from, to) in &self.odd_seats {
            let (from, to) = (from.index(slots.len()), to.index(slots.len()));
            slots.swap(from, to);
        }
        let seated = self.seats.iter().zip(&slots);
        let mut seated: Vec<Value> = seated
            .map(|(part, slot)| json!({"slot": slot, "module": modules[part.index(modules.len())]}))
            .collect();
        let installed = seated.split_off(seated.len().saturating_sub(self.installed));
        let kit: Vec<Value> = self
            .kit
            .iter()
            .map(|(part, quantity)| json!({"module": modules[part.index(modules.len())], "quantity": quantity}))
            .collect();
        let mut request = json!({
            "kit": kit, "population": seated, "installed": installed,
            "protection": pick(self.choices[0], &["none", "none", "none", "mirrored", "rank_spare", "lockstep"]),
            "voltage_policy": pick(self.choices[1], &["fastest", "lowest"]),
            "installed_policy": if self.kit.is_empty() { json!("in_place") } else { pick(self.choices[2], &["in_place", "keep", "may_remove", "replace"]) },
            "firmware": "99.0",
            "wishes": self.wishes(),
        });
        if let Some(processors) = &self.processors {
            request["processors"] = processors_of(&board, processors);
        }
        request["board"] = board;
        request
    }

    /// A module of the board's generation, mostly of a kind that it takes, with a fact changed or
    /// left out.
    fn module(&self, (which, edits): &(Index, Vec<(Index, Index)>)) -> Value {
        let board = &BOARD_RECORDS[self.board];
        let kinds: Vec<&Value> = board["accepts"]
            .as_array()
            .unwrap()
            .iter()
            .map(|row| &row["kind"])
            .collect();
        let near: Vec<&Map<String, Value>> = MODULE_RECORDS
            .iter()
            .map(|(_, module)| module)
            .filter(|m| m["generation"] == board["generation"] && kinds.contains(&&m["kind"]))
            .collect();
        let mut module = near[which.index(near.len())].clone();
        for (edit, to) in edits {
            let (_, other) = &MODULE_RECORDS[to.index(MODULE_RECORDS.len())];
            let names: Vec<String> = module.keys().cloned().collect();
            let name = &names[edit.index(names.len())];
            match (to.index(2), other.get(name)) {
                (0, Some(value)) if name != "capacity_mib" => {
                    module.insert(name.clone(), value.clone());
                }
                _ => {
                    module.remove(name);
                }
            }
        }
        Value::Object(module)
    }

    fn wishes(&self) -> Value {
        let all = [
            ("capacity_at_least_mib", json!(65536)),
            ("capacity_at_most_mib", json!(262_144)),
            ("rate_at_least_mts", json!(1600)),
            ("free_slots", json!(4)),
            ("budget", json!({"minor": 20000, "currency": "EUR"})),
            ("peak_power_at_most_mw", json!(30000)),
            ("balance", json!("channels")),
            ("licence_at_most_mib", json!(131_072)),
            ("chip_correction", json!(true)),
            ("rank_interleave", json!(true)),
        ];
        let mut wishes = Map::new();
        let mut must = Vec::new();
        for (wish, hard) in &self.wishes {
            let (name, value) = &all[wish.index(all.len())];
            wishes.insert((*name).to_owned(), value.clone());
            if *hard {
                must.push(*name);
            }
        }
        wishes.insert("must".to_owned(), json!(must));
        Value::Object(wishes)
    }
}

fn pick(index: Index, names: &[&str]) -> Value {
    json!(names[index.index(names.len())])
}

/// One entry for each socket; the first in order is fitted, and fitted sockets have one model.
fn processors_of(board: &Value, chosen: &[Index]) -> Value {
    let models = board["processors"].as_array().unwrap();
    let model = models[chosen[0].index(models.len())]["id"].clone();
    let first = board["socket_order"][0].as_u64().unwrap();
    let sockets = 1..=board["sockets"].as_u64().unwrap();
    let state = |socket| {
        if socket == first || chosen[1].index(4) > 0 {
            model.clone()
        } else {
            json!("empty")
        }
    };
    sockets.map(state).collect()
}

/// Slot labels: the first position to fill of every channel, then the next.
fn slots_in_order(board: &Value) -> Vec<String> {
    let order = board["filling"].as_array().unwrap().last().unwrap()["position_order"]
        .as_array()
        .unwrap();
    let rows = board["slots"].as_array().unwrap();
    let label = |position: &Value, row: &Value| {
        let label = row["labels"].get(position.as_u64().unwrap() as usize - 1)?;
        Some(label.as_str()?.to_owned())
    };
    order
        .iter()
        .flat_map(|position| rows.iter().filter_map(move |row| label(position, row)))
        .collect()
}

/// Pointers to the limits of a board record that its author may leave unknown.
pub fn limits(board: &Value) -> Vec<String> {
    let single = [
        "rank_budget",
        "socket_capacity_mib",
        "slot_power_mw",
        "height",
        "input_mv",
        "unlisted_rate",
    ];
    let mut all: Vec<String> = single.iter().map(|name| format!("/{name}")).collect();
    let rows = [
        ("processors", "rate_mts"),
        ("processors", "capacity_mib"),
        ("accepts", "per_channel"),
        ("filling", "board_capacity_mib"),
        ("protections", "ranks_at_least"),
    ];
    for (list, member) in rows {
        let count = board[list].as_array().unwrap().len();
        all.extend((0..count).map(|index| format!("/{list}/{index}/{member}")));
    }
    for (aspect, policy) in board["mixing"].as_object().unwrap() {
        match policy.as_object() {
            Some(scopes) => all.extend(
                scopes
                    .keys()
                    .map(|scope| format!("/mixing/{aspect}/{scope}")),
            ),
            None => all.push(format!("/mixing/{aspect}")),
        }
    }
    all
}
