//! Files to a catalogue, or every fault of them. Pure: the bytes are given.
//!
//! A file is held against the schema of its record first, which finds misspelt and missing members and
//! wrong types all at once; then each record is checked for what a schema can't say.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::de::DeserializeOwned;

use super::expect::explained;
use super::lines;
use super::record::schema::{self, Expectation};
use super::record::{BoardRecord, BoardsFile, ModuleLine, ModulesFile};
use super::{BoardEntry, Catalogue, ModuleEntry};
use crate::domain::module::RecordFault;
use crate::wirecheck::text::{Reason, parse};
use crate::wirecheck::{Fault, FaultCode, Limits, Unreadable, walk};

/// A file may be larger than a request: it holds all modules of a shop.
const LIMITS: Limits = Limits {
    depth: 32,
    values: 4_000_000,
};

/// What a file holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Content {
    /// One board record.
    Board,
    /// Modules by id.
    Modules,
    /// Several board records.
    Boards,
    /// Modules, one JSON object on each line.
    ModuleLines,
    /// Modules, one row of comma-separated values each.
    ModuleTable,
}

impl Content {
    /// What a file of modules holds, by the ending of its name.
    pub fn of_modules(name: &str) -> Option<Self> {
        Some(match name.rsplit_once('.')?.1 {
            "json" => Self::Modules,
            "ndjson" => Self::ModuleLines,
            "csv" => Self::ModuleTable,
            _ => return None,
        })
    }
}

/// A file of a catalogue.
#[derive(Clone, Copy, Debug)]
pub struct File<'a> {
    /// Its name in messages.
    pub name: &'a str,
    /// What it holds.
    pub content: Content,
    /// Its bytes.
    pub bytes: &'a [u8],
}

/// A file that owns what it holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Text {
    /// Its name in messages.
    pub name: String,
    /// What it holds.
    pub content: Content,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

impl Text {
    /// The same, borrowed.
    pub fn file(&self) -> File<'_> {
        File {
            name: &self.name,
            content: self.content,
            bytes: &self.bytes,
        }
    }
}

/// A fault of a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileFault {
    /// The file's name.
    pub file: String,
    /// What is wrong, where and what would be right.
    pub fault: Fault,
}

/// What came out of reading files: everything that could be used, and every fault.
#[derive(Debug, Default)]
pub struct Loaded {
    /// Boards that are right.
    pub boards: Vec<(String, BoardEntry)>,
    /// Modules that are right.
    pub modules: Vec<(String, ModuleEntry)>,
    /// Everything that is wrong, in the order of the files.
    pub faults: Vec<FileFault>,
    /// Whether a file had more faults than are listed.
    pub truncated: bool,
}

/// Reads files and makes a catalogue of them.
///
/// # Errors
/// All faults of all files.
pub fn catalogue(files: &[File<'_>]) -> Result<Catalogue, Vec<FileFault>> {
    let loaded = read(files);
    if loaded.faults.is_empty() {
        Ok(loaded.into_catalogue())
    } else {
        Err(loaded.faults)
    }
}

/// Reads files and keeps what is right beside what is wrong.
pub fn read(files: &[File<'_>]) -> Loaded {
    let mut loaded = Loaded::default();
    for file in files {
        match file.content {
            Content::Board => loaded.board(file),
            Content::Modules => loaded.modules(file),
            Content::Boards => loaded.boards(file),
            Content::ModuleLines => loaded.module_lines(file),
            Content::ModuleTable => loaded.module_table(file),
        }
    }
    loaded.repeated_ids();
    loaded
}

impl Loaded {
    /// The catalogue of what is right.
    pub fn into_catalogue(self) -> Catalogue {
        let boards = self.boards.into_iter().map(|(_, entry)| entry).collect();
        let modules = self.modules.into_iter().map(|(_, entry)| entry).collect();
        Catalogue::new(boards, modules)
    }

    fn board(&mut self, file: &File<'_>) {
        let Some(record) = self.parsed::<BoardRecord>(file, schema::board()) else {
            return;
        };
        self.board_record(file, "", record);
    }

    fn boards(&mut self, file: &File<'_>) {
        let Some(list) = self.parsed::<BoardsFile>(file, schema::boards()) else {
            return;
        };
        for (place, record) in list.boards.into_iter().enumerate() {
            self.board_record(file, &format!("/boards/{place}"), record);
        }
    }

    fn board_record(&mut self, file: &File<'_>, at: &str, record: BoardRecord) {
        match record.to_board() {
            Ok(board) => {
                let entry = BoardEntry { record, board };
                self.boards.push((file.name.to_owned(), entry));
            }
            Err(faults) => self.record_faults(file, at, faults),
        }
    }

    fn module_lines(&mut self, file: &File<'_>) {
        let lines = file.bytes.split(|byte| *byte == b'\n');
        for (number, bytes) in (1..).zip(lines) {
            let bytes = bytes.strip_suffix(b"\r").unwrap_or(bytes);
            if bytes.iter().all(u8::is_ascii_whitespace) {
                continue;
            }
            // The line stands in the name, since a pointer begins within it.
            let name = format!("{}, line {number}", file.name);
            let line = File {
                name: &name,
                content: file.content,
                bytes,
            };
            if let Some(line) = self.parsed::<ModuleLine>(&line, schema::line()) {
                self.module_line(file, &name, line);
            }
            if self.is_hopeless() {
                return;
            }
        }
    }

    fn module_table(&mut self, file: &File<'_>) {
        let lines = match std::str::from_utf8(file.bytes) {
            Ok(text) => lines::of_table(text),
            Err(_) => {
                let fault = Fault::new("", FaultCode::Unreadable, "the file is not UTF-8");
                self.faults.push(FileFault {
                    file: file.name.to_owned(),
                    fault,
                });
                return;
            }
        };
        match lines {
            Ok(lines) => {
                for (number, line) in lines {
                    let name = format!("{}, line {number}", file.name);
                    self.module_line(file, &name, line);
                }
            }
            Err(faults) => {
                for (number, fault) in faults {
                    let name = format!("{}, line {number}", file.name);
                    self.record_faults(
                        &File {
                            name: &name,
                            ..*file
                        },
                        "",
                        vec![fault],
                    );
                }
            }
        }
    }

    fn module_line(&mut self, file: &File<'_>, name: &str, line: ModuleLine) {
        match lines::module(line) {
            Ok(entry) => self.modules.push((file.name.to_owned(), entry)),
            Err(faults) => self.record_faults(&File { name, ..*file }, "", faults),
        }
    }

    /// Whether so much is wrong that more would tell nothing: a list of the wrong kind has a fault
    /// on each of its lines.
    fn is_hopeless(&mut self) -> bool {
        let hopeless = self.faults.len() >= 1000;
        self.truncated |= hopeless;
        hopeless
    }

    fn modules(&mut self, file: &File<'_>) {
        let Some(list) = self.parsed::<ModulesFile>(file, schema::modules()) else {
            return;
        };
        for (id, record) in list.modules {
            match record.to_module(&id) {
                Ok(module) => {
                    let entry = ModuleEntry {
                        id,
                        invented: list.invented,
                        record,
                        module: Arc::new(module),
                    };
                    self.modules.push((file.name.to_owned(), entry));
                }
                Err(faults) => {
                    let at = format!("/modules/{}", escaped(&id));
                    self.record_faults(file, &at, faults);
                }
            }
        }
    }

    /// Reads a file by its schema; what is wrong goes to the faults.
    fn parsed<T: DeserializeOwned>(
        &mut self,
        file: &File<'_>,
        expected: Result<&'static Expectation, &'static String>,
    ) -> Option<T> {
        let read = expected
            .map_err(|error| vec![Fault::new("", FaultCode::Unusable, error.as_str())])
            .and_then(|expected| self.checked(file.bytes, expected));
        match read {
            Ok(record) => Some(record),
            Err(faults) => {
                self.faults
                    .extend(faults.into_iter().map(|fault| FileFault {
                        file: file.name.to_owned(),
                        fault,
                    }));
                None
            }
        }
    }

    fn checked<T: DeserializeOwned>(
        &mut self,
        bytes: &[u8],
        expected: &Expectation,
    ) -> Result<T, Vec<Fault>> {
        let tree = parse(bytes, &LIMITS).map_err(|error| vec![unreadable(&error)])?;
        let faults = walk::faults(&tree, &expected.shapes);
        self.truncated |= faults.truncated;
        if !faults.is_empty() {
            let faults = faults.list.into_iter();
            return Err(faults.map(|fault| explained(fault, expected)).collect());
        }
        serde_json::from_slice(bytes).map_err(|error| {
            let text = format!("the file is no record: {error}");
            vec![Fault::new("", FaultCode::Unusable, text)]
        })
    }

    fn record_faults(&mut self, file: &File<'_>, at: &str, faults: Vec<RecordFault>) {
        let faults = faults.into_iter().map(|fault| FileFault {
            file: file.name.to_owned(),
            fault: Fault::new(
                format!("{at}{}", fault.pointer),
                FaultCode::Unusable,
                fault.message,
            )
            .hint(fault.hint),
        });
        self.faults.extend(faults);
    }

    /// An id may be used once for boards and once for modules.
    fn repeated_ids(&mut self) {
        let mut found = Vec::new();
        let boards = self.boards.iter();
        let boards = boards.map(|(file, entry)| (file, entry.record.id.as_str(), "/id".to_owned()));
        repeated("board", boards, &mut found);
        let modules = self.modules.iter().map(|(file, entry)| {
            let at = format!("/modules/{}", escaped(&entry.id));
            (file, entry.id.as_str(), at)
        });
        repeated("module", modules, &mut found);
        self.faults.extend(found);
    }
}

fn repeated<'a>(
    what: &str,
    ids: impl Iterator<Item = (&'a String, &'a str, String)>,
    found: &mut Vec<FileFault>,
) {
    let mut first: BTreeMap<&str, &str> = BTreeMap::new();
    for (file, id, pointer) in ids {
        let Some(other) = first.insert(id, file) else {
            continue;
        };
        let fault = Fault::new(
            pointer,
            FaultCode::Unusable,
            format!("`{other}` already has a {what} `{id}`"),
        );
        found.push(FileFault {
            file: file.clone(),
            fault: fault.hint("each needs an id of its own"),
        });
    }
}

/// Text that is no JSON, or that says something twice.
fn unreadable(error: &Unreadable) -> Fault {
    let text = error.to_string();
    match &error.reason {
        Reason::Duplicate { pointer, .. } => {
            Fault::new(pointer.as_str(), FaultCode::DuplicateMember, text)
                .hint("say it once; an id may be used once")
        }
        _ => Fault::new("", FaultCode::Unreadable, text)
            .hint("a JSON document; commas stand between members and never after the last"),
    }
}

/// A name as a step of a JSON Pointer (RFC 6901).
pub(super) fn escaped(name: &str) -> String {
    name.replace('~', "~0").replace('/', "~1")
}
