//! Demo files as JSON, and a short way to load changed ones.

use kitproof::catalogue::embedded::FILES;
use kitproof::catalogue::load::{self, Content, File, FileFault};
use serde_json::Value;

/// A demo file as JSON: `boards/tarn.json`.
pub fn demo(name: &str) -> Value {
    let file = FILES.iter().find(|file| file.name == name).unwrap();
    serde_json::from_slice(file.bytes).unwrap()
}

/// The JSON of every demo board.
pub fn boards() -> Vec<Value> {
    let boards = FILES.iter().filter(|file| file.content == Content::Board);
    boards.map(|file| demo(file.name)).collect()
}

/// The faults of one board.
pub fn board_faults(board: &Value) -> Vec<FileFault> {
    let bytes = serde_json::to_vec(board).unwrap();
    let file = File {
        name: "boards/x.json",
        content: Content::Board,
        bytes: &bytes,
    };
    load::read(&[file]).faults
}

/// The faults of a file of modules.
pub fn module_faults(modules: &Value) -> Vec<FileFault> {
    let bytes = serde_json::to_vec(modules).unwrap();
    let file = File {
        name: "modules/x.json",
        content: Content::Modules,
        bytes: &bytes,
    };
    load::read(&[file]).faults
}

/// Pointers of faults.
pub fn pointers(faults: &[FileFault]) -> Vec<&str> {
    faults
        .iter()
        .map(|found| found.fault.pointer.as_str())
        .collect()
}

/// Puts a value at a pointer; the place must be there, or be a new member of an object.
pub fn set(document: &mut Value, pointer: &str, value: Value) {
    if let Some(place) = document.pointer_mut(pointer) {
        *place = value;
        return;
    }
    let (parent, name) = pointer.rsplit_once('/').unwrap();
    let parent = document.pointer_mut(parent).unwrap();
    parent[name] = value;
}

/// Pointers of every value of a document, the whole of it first.
pub fn places(document: &Value) -> Vec<String> {
    let mut found = vec![String::new()];
    let mut next = 0;
    while next < found.len() {
        let here = found[next].clone();
        match document.pointer(&here).unwrap() {
            Value::Object(members) => {
                found.extend(members.keys().map(|name| format!("{here}/{name}")));
            }
            Value::Array(elements) => {
                found.extend((0..elements.len()).map(|index| format!("{here}/{index}")));
            }
            _ => {}
        }
        next += 1;
    }
    found
}

/// Like [`places`], of long lists the first three elements only: their rows are alike.
pub fn some_places(document: &Value) -> Vec<String> {
    let near = |place: &String| {
        place
            .split('/')
            .all(|step| step.parse().is_ok_and(|n: usize| n < 3) || step.parse::<usize>().is_err())
    };
    places(document).into_iter().filter(near).collect()
}
