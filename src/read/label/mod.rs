//! Module labels: the text printed on a DDR3, DDR4 or DDR5 module, read and written.
//!
//! ```text
//! DDR3   ggggGB p[h]Rxw     PC3[v]-wwwwwm-aa-bb-ccd
//! DDR4   ggggGB p[h[e]]Rxw  PC4-ssssBB-mccd-bb
//! DDR5   ggggGB p[h[e]]Rxw  PC5-ssssBB-mccd-bbjj[-tt]
//! short  ggggGB pRxw        PC4-ssssBB-m
//! code   (L)<label>(S)<18 hex digits>(P)<part number>
//! ```
//!
//! Sources: JESD401-5B (terms and scope), server makers' published label keys, the labels of real
//! modules in `tests/fixtures/labels`. A typo is answered with what was meant: the note says what was
//! found and what it should read, and whatever hangs on the correction is assumed, not read.

mod code_text;
mod head;
mod infer;
mod letters;
pub mod notes;
mod organisation;
mod speed;
mod tail;
mod typo;
mod words;
mod write;

pub use infer::implied_die_mbit;
pub(in crate::read) use infer::input_mv;
pub use write::{WrittenLabel, write_label};

use super::Reading;
use super::fact::Fact;
use super::note::{Note, Weight};
use words::Pieces;

/// Notes that weigh less than a fault and still leave open which of two facts is right.
const CONTRADICTIONS: [&str; 2] = ["label-density-implausible", "label-kind-word-differs"];

/// Whether a note says that a label must not be relied on: it is not well formed, or contradicts
/// itself.
pub fn is_in_doubt(note: &Note) -> bool {
    note.weight() == Weight::Fault || CONTRADICTIONS.contains(&note.code())
}

/// Reads a label, in any of its forms.
///
/// ```
/// use kitproof::read::label::{read_label, write_label};
///
/// let reading = read_label("64gb 2S2RX4 PC4-2133P-RA1-10-DC0");
/// assert!(reading.is_sound());
/// assert_eq!(reading.module.capacity_mib.get(), Some(65_536));
/// assert_eq!(reading.module.organisation.logical_ranks.get(), Some(4));
/// let label = write_label(&reading.module).text;
/// assert_eq!(label.as_deref(), Some("64GB 2S2Rx4 PC4-2133P-RA1-10-DC0"));
///
/// let misread = read_label("32GB 4Rx4 PCA-2133P-LD0-10");
/// assert_eq!(misread.notes[0].code(), "label-generation-misread");
/// assert_eq!(misread.notes[0].text_of("meant"), Some("PC4"));
/// ```
pub fn read_label(text: &str) -> Reading {
    let mut reading = Reading::default();
    let Reading { module, notes } = &mut reading;
    let fields = code_text::split(text);
    code_text::read(&fields, &mut module.origin, notes);
    let pieces = Pieces::cut(fields.label, notes);
    if pieces.len() == 0 {
        notes.push(Note::new(&notes::NOTHING));
        return reading;
    }
    module.capacity_mib = organisation::capacity(&pieces, notes);
    let shape = organisation::shape(&pieces, notes);
    let after = shape.as_ref().map_or(0, |shape| shape.end);
    let head = head::read(&pieces, after, notes);
    if let Some(head) = &head {
        module.generation = Fact::of(Some(head.generation), head.standing);
        let tail = tail::read(&pieces, head, module, notes);
        infer::kind_and_ecc(&pieces, head, &tail, module, notes);
        infer::kind_word(&pieces, &tail, notes);
        infer::supply(head, module);
    }
    if let Some(shape) = &shape {
        infer::ranks(shape, module, notes);
    }
    if let Some(head) = &head {
        infer::speed(head, module);
    }
    infer::density(module, notes);
    reading
}
