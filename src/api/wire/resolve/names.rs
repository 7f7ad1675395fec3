//! Names of a request that cannot be resolved as a whole: whoever mends it learns at once which of them
//! nobody knows.

use super::super::explain::ExplainRequest;
use super::super::optimise::OptimiseRequest;
use super::super::pointer::Pointer;
use super::super::reference::ModuleRef;
use super::super::reported::Installed;
use super::super::request::{BoardRef, ValidateRequest};
use super::super::verify::VerifyRequest;
use super::Reader;
use crate::catalogue::Catalogue;
use crate::domain::board::Board;
use crate::wirecheck::{Fault, Faults};
use serde_json::Value;
use std::any::TypeId;

/// Where a request stands within the bodies that hold one.
const PLACES: [&str; 5] = ["", "/request", "/other", "/plan", "/optimise"];

/// Lists whose entries name a module, and some a slot.
const LISTS: [&str; 4] = ["kit", "population", "installed", "for_sale"];

impl Reader<'_> {
    /// Names of a request whose board is not known, which decides nothing about them.
    pub(super) fn boardless(&mut self, body: &ValidateRequest) {
        self.kit(body.kit.as_deref().unwrap_or_default());
        let population = body.population.iter().flatten();
        for (index, entry) in population.enumerate() {
            self.part(
                &entry.module,
                &Pointer::Member("population", index, "module"),
            );
        }
        if let Some(Installed::List(list)) = &body.installed {
            for (index, entry) in list.iter().enumerate() {
                self.part(
                    &entry.module,
                    &Pointer::Member("installed", index, "module"),
                );
            }
        }
        if let Some(text) = &body.firmware {
            self.firmware(text);
        }
        if let Some(wishes) = &body.wishes {
            self.wishes(wishes);
        }
    }

    /// Names of a request of another shape than it should have: those that are plain text.
    fn shapeless(&mut self, body: &Value) {
        let board = body["board"].as_str().map(str::to_owned).map(BoardRef::Id);
        let board = board.and_then(|id| self.board(Some(&id)));
        let board = board.as_ref().map(|board| board.board());
        for name in LISTS {
            let entries = body[name].as_array().into_iter().flatten();
            for (index, entry) in entries.enumerate() {
                self.entry(entry, |member| Pointer::Member(name, index, member), board);
            }
        }
        let told = body["processors"].as_array();
        let ids = told.and_then(|list| {
            list.iter()
                .map(|id| Some(id.as_str()?.to_owned()))
                .collect()
        });
        if let (Some(board), Some(ids)) = (board, ids) {
            let ids: Vec<String> = ids;
            self.sockets(&ids, board);
        }
    }

    fn entry(
        &mut self,
        entry: &Value,
        at: impl Fn(&'static str) -> Pointer,
        board: Option<&Board>,
    ) {
        if let Some(id) = entry["module"].as_str() {
            self.part(&ModuleRef::Id(id.to_owned()), &at("module"));
        }
        if let (Some(label), Some(board)) = (entry["slot"].as_str(), board) {
            self.slot(label, &at("slot"), board);
        }
    }
}

/// Whether bodies of a type hold a request, so that their names are those of boards and modules.
pub fn holds_request<T: 'static>() -> bool {
    let own = [
        TypeId::of::<ValidateRequest>(),
        TypeId::of::<OptimiseRequest>(),
        TypeId::of::<ExplainRequest>(),
        TypeId::of::<VerifyRequest>(),
    ];
    own.contains(&TypeId::of::<T>())
}

/// The faults of a body's shape, and names in it that nobody knows.
pub fn with_names(mut faults: Faults, text: &[u8], catalogue: &Catalogue) -> Faults {
    let body: Value = serde_json::from_slice(text).unwrap_or_default();
    for at in PLACES {
        let mut reader = Reader::new(catalogue);
        if let Some(own) = body.pointer(at) {
            reader.shapeless(own);
        }
        for fault in reader.faults {
            let pointer = format!("{at}{}", fault.pointer);
            // What has another fault already need not be a name.
            let known = faults.list.iter().any(|known| known.pointer == pointer);
            if !known {
                faults.push(Fault { pointer, ..fault });
            }
        }
    }
    faults
}
