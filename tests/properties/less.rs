//! Requests that tell one fact less, or the same with two alike sockets exchanged.

use super::draw::{BOARD_RECORDS, limits, module_named};
use serde_json::{Value, json};

/// How the name of a board's fact begins.
pub const BOARD: &str = "the board's";
/// What the models of processors are called.
pub const MODEL: &str = "the processor model";

/// The same request with records in place of the ids of the board and the modules.
pub fn spelled_out(mut request: Value) -> Value {
    let known = BOARD_RECORDS
        .iter()
        .find(|board| board["id"] == request["board"]);
    if let Some(board) = known {
        request["board"] = board.clone();
    }
    for place in places(&request) {
        let module = request.pointer_mut(&place).unwrap();
        if let Some(record) = module.as_str().and_then(module_named) {
            *module = record;
        }
    }
    request
}

/// The request with each fact left out in turn: of a module (everywhere it stands, or in one place
/// only), of the board, or the model of a processor.
pub fn all(request: &Value) -> Vec<(String, Value)> {
    let mut all = Vec::new();
    let places = places(request);
    for place in &places {
        let module = request.pointer(place).unwrap();
        let Some(members) = module.as_object() else {
            continue;
        };
        for name in members.keys().filter(|name| *name != "name") {
            let alike = places
                .iter()
                .filter(|other| request.pointer(other) == Some(module));
            let everywhere: Vec<&String> = alike.collect();
            for targets in [vec![place], everywhere] {
                let mut less = request.clone();
                for target in &targets {
                    let module = less.pointer_mut(target).and_then(Value::as_object_mut);
                    module.unwrap().remove(name);
                }
                all.push((format!("{name} of {targets:?}"), less));
            }
        }
    }
    if request["board"].is_object() {
        for at in limits(&request["board"]) {
            let mut less = request.clone();
            *less["board"].pointer_mut(&at).unwrap() = json!("unknown");
            all.push((format!("{BOARD} {at}"), less));
        }
    }
    if let Some(sockets) = request["processors"].as_array() {
        let fitted = sockets.iter().map(|state| {
            if state == "empty" {
                json!("empty")
            } else {
                json!("fitted")
            }
        });
        let mut less = request.clone();
        less["processors"] = fitted.collect();
        all.push((MODEL.to_owned(), less));
    }
    all
}

/// Pointers to the modules of a request.
fn places(request: &Value) -> Vec<String> {
    let mut places = Vec::new();
    for list in ["kit", "population", "installed"] {
        let count = request[list].as_array().map_or(0, Vec::len);
        places.extend((0..count).map(|index| format!("/{list}/{index}/module")));
    }
    places
}

/// The same with the first and the second socket exchanged; nothing where only one is fitted or only
/// one holds memory, since sockets fill in order.
pub fn exchanged(request: &Value) -> Option<Value> {
    let board = &request["board"];
    if board["sockets"] != 2
        || request["processors"]
            .as_array()
            .is_some_and(|list| list.contains(&json!("empty")))
    {
        return None;
    }
    let rows = board["slots"].as_array()?;
    let place = |label: &Value| {
        rows.iter().find_map(|row| {
            let position = row["labels"]
                .as_array()?
                .iter()
                .position(|own| own == label)?;
            Some((row["socket"].as_u64()?, row["channel"].clone(), position))
        })
    };
    let mut exchanged = request.clone();
    let mut held = [0, 0];
    for list in ["population", "installed"] {
        for entry in exchanged[list].as_array_mut()? {
            let (socket, channel, position) = place(&entry["slot"])?;
            held[socket as usize - 1] += 1;
            let other = rows
                .iter()
                .find(|row| row["socket"] == 3 - socket && row["channel"] == channel)?;
            entry["slot"] = other["labels"].get(position)?.clone();
        }
    }
    (held[0] > 0 && held[1] > 0).then_some(exchanged)
}
