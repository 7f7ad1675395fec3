//! The catalogue: boards and modules that requests may name by id.
//!
//! [`record`] is what its authors write, [`load`] turns files into a [`Catalogue`] or lists every fault of
//! them (lists by the line go through `lines`, tables through `csv`), [`embedded`] is the demo catalogue inside the program, [`directory`] reads a folder (the only
//! part that touches files), [`live`] holds the one in use, [`sources`] makes it of a folder and feeds, [`doubts`] finds what is legal and still looks wrong.

mod csv;
pub mod directory;
pub mod doubts;
pub mod embedded;
mod expect;
mod lines;
pub mod live;
pub mod load;
pub mod record;
pub mod sources;

use std::sync::Arc;

use sha2::{Digest, Sha256};

use crate::domain::board::Board;
use crate::domain::module::Module;
use crate::wirecheck::near::close_matches;
use record::{BoardRecord, ModuleRecord};

/// A board of the catalogue.
#[derive(Debug)]
pub struct BoardEntry {
    /// As its author wrote it.
    pub record: BoardRecord,
    /// As the core uses it.
    pub board: Board,
}

/// A module of the catalogue.
#[derive(Debug)]
pub struct ModuleEntry {
    /// Its id.
    pub id: String,
    /// Whether it is invented (demo data) or real.
    pub invented: bool,
    /// As its author wrote it.
    pub record: ModuleRecord,
    /// As the core uses it; shared with the requests that name it.
    pub module: Arc<Module>,
}

/// Boards and modules, each sorted by id.
#[derive(Debug)]
pub struct Catalogue {
    boards: Vec<BoardEntry>,
    modules: Vec<ModuleEntry>,
    revision: String,
}

impl Catalogue {
    /// A catalogue of these. Ids must be distinct.
    pub(crate) fn new(mut boards: Vec<BoardEntry>, mut modules: Vec<ModuleEntry>) -> Self {
        boards.sort_by(|a, b| a.record.id.cmp(&b.record.id));
        modules.sort_by(|a, b| a.id.cmp(&b.id));
        let revision = revision(&boards, &modules);
        Self {
            boards,
            modules,
            revision,
        }
    }

    /// A catalogue of nothing, for a service whose sources have not given anything yet.
    pub fn empty() -> Self {
        Self::new(Vec::new(), Vec::new())
    }

    /// SHA-256 over the content, as 64 lower-case hexadecimal digits. See [`canonical`].
    pub fn revision(&self) -> &str {
        &self.revision
    }

    /// All boards, sorted by id.
    pub fn boards(&self) -> impl ExactSizeIterator<Item = &BoardEntry> {
        self.boards.iter()
    }

    /// All modules, sorted by id.
    pub fn modules(&self) -> impl ExactSizeIterator<Item = &ModuleEntry> {
        self.modules.iter()
    }

    /// The board with this id.
    pub fn board(&self, id: &str) -> Option<&BoardEntry> {
        let index = self
            .boards
            .binary_search_by(|entry| entry.record.id.as_str().cmp(id));
        self.boards.get(index.ok()?)
    }

    /// The module with this id.
    pub fn module(&self, id: &str) -> Option<&ModuleEntry> {
        let index = self
            .modules
            .binary_search_by(|entry| entry.id.as_str().cmp(id));
        self.modules.get(index.ok()?)
    }

    /// Ids of boards that an unknown one may have meant, nearest first.
    pub fn boards_near(&self, id: &str) -> Vec<String> {
        close_matches(id, self.boards.iter().map(|entry| entry.record.id.as_str()))
    }

    /// Ids of modules that an unknown one may have meant, nearest first.
    pub fn modules_near(&self, id: &str) -> Vec<String> {
        close_matches(id, self.modules.iter().map(|entry| entry.id.as_str()))
    }
}

/// One line of the canonical content, which the revision is the digest of.
///
/// The content is UTF-8 text of one line for each board and then for each module, each kind sorted
/// by id. A line is `board` or `module`, a space, and compact JSON: for a board its record, for a module the
/// list of its id, whether it is invented, and its record. Members stand in the order of the record
/// types and members that are not told are left out; so the order and the layout of files don't
/// count, and every fact does. Each line ends with a line feed.
fn canonical(kind: &str, value: &impl serde::Serialize) -> String {
    // Records hold text, numbers and lists only: writing them as JSON can't fail.
    let json = serde_json::to_string(value).unwrap_or_default();
    format!("{kind} {json}\n")
}

fn revision(boards: &[BoardEntry], modules: &[ModuleEntry]) -> String {
    let mut digest = Sha256::new();
    for entry in boards {
        digest.update(canonical("board", &entry.record));
    }
    for entry in modules {
        let line = (&entry.id, entry.invented, &entry.record);
        digest.update(canonical("module", &line));
    }
    digest
        .finalize()
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}
