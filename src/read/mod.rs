//! Readers: bytes or text in, a record and notes out. Pure; they never fail and never panic.
//!
//! Modules in reading order: [`fact`] says how sure a value is, [`vocabulary`] holds the words that a
//! label and an SPD image share, [`record`] is what a reader fills in, [`note`] is what it has to say
//! about its input, [`grades`] and [`maker`] are the tables, [`label`] reads and writes the text that
//! is printed on a module, and [`spd`] reads the bytes that a module carries. [`inventory`] reads
//! reports on whole machines; it has a record, facts and notes of its own. [`module_facts`] turns what
//! any of them found into facts for the rules.
//!
//! A reader never gives up early: whatever can be read is in the record, and every doubt is a note.

pub mod fact;
pub mod grades;
pub mod inventory;
pub mod label;
pub mod maker;
pub mod module_facts;
pub mod note;
pub mod record;
pub mod spd;
pub mod vocabulary;

use note::{Note, Weight};
use record::ReadModule;

/// What a reader of one module gives back.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Reading {
    /// Every fact, each with its standing.
    pub module: ReadModule,
    /// What the reader has to say, in the order in which it met it.
    pub notes: Vec<Note>,
}

impl Reading {
    /// Whether the input was well formed: no note weighs as a fault.
    pub fn is_sound(&self) -> bool {
        self.notes.iter().all(|note| note.weight() != Weight::Fault)
    }

    /// Whether a note of this code was given.
    pub fn has(&self, code: &str) -> bool {
        self.notes.iter().any(|note| note.code() == code)
    }
}

/// Every kind of note that the readers of this folder can give, for documents and translations.
pub fn note_kinds() -> impl Iterator<Item = &'static note::NoteKind> {
    label::notes::KINDS.iter().chain(spd::notes::KINDS).copied()
}
