//! A module of a request by the text of its label.

use crate::domain::module::Module;
use crate::read::Reading;
use crate::read::label::{read_label, write_label};
use crate::read::module_facts::of_reading;
use crate::read::note::{Note, Weight};
use crate::render::words::Words;
use crate::wirecheck::fault::quoted;
use crate::wirecheck::{Fault, FaultCode};

use super::note::NoteBody;

/// What would be right where no label can be read.
const HINT: &str = "a label such as `32GB 2Rx4 PC4-3200AA-RB2-12`";

/// Notes that weigh less than a fault and still leave open which of two facts is right.
const CONTRADICTIONS: [&str; 2] = ["label-density-implausible", "label-kind-word-differs"];

/// A module and what was noted of its label.
pub struct ReadModule {
    /// The module: what was read or derived.
    pub module: Module,
    /// Notes, with the pointer of the label.
    pub notes: Vec<NoteBody>,
}

/// Reads a label that stands at `at`.
///
/// # Errors
/// Everything that is not well formed, with what was probably meant; a text that is no label at all;
/// facts that contradict each other.
pub fn read(text: &str, at: &str) -> Result<ReadModule, Vec<Fault>> {
    let words = Words::english();
    let reading = read_label(text);
    let doubts = reading.notes.iter().filter(|note| is_refused(note));
    let faults: Vec<Fault> = doubts
        .map(|note| misread(note, &reading, at, words))
        .collect();
    if !faults.is_empty() {
        return Err(faults);
    }
    let known = of_reading(&reading.module, &name(text, &reading));
    if known.is_blank() {
        let message = format!("no module label can be read from {}", quoted(text));
        return Err(vec![
            Fault::new(at, FaultCode::Unusable, message).hint(HINT),
        ]);
    }
    let (module, known) = known.checked().map_err(|faults| {
        let fault = |fault: crate::domain::module::RecordFault| {
            Fault::new(at, FaultCode::Unusable, fault.message).hint(fault.hint)
        };
        faults.into_iter().map(fault).collect::<Vec<_>>()
    })?;
    let notes = reading.notes.iter().chain(&known.notes);
    let notes = notes.map(|note| NoteBody::of_module(note, Some(at), words));
    Ok(ReadModule {
        module,
        notes: notes.collect(),
    })
}

fn is_refused(note: &Note) -> bool {
    note.weight() == Weight::Fault || CONTRADICTIONS.contains(&note.code())
}

/// The label in its usual spelling, or the text as it came.
fn name(text: &str, reading: &Reading) -> String {
    let written = write_label(&reading.module).text;
    written.unwrap_or_else(|| {
        let words: Vec<&str> = text.split_whitespace().collect();
        words.join(" ").chars().take(80).collect()
    })
}

/// A note as a fault; where everything that is wrong can be put right, with the label that results.
fn misread(note: &Note, reading: &Reading, at: &str, words: &Words) -> Fault {
    let sentence = NoteBody::of_module(note, None, words).sentence;
    let fault = Fault::new(at, FaultCode::Unusable, as_message(&sentence));
    let refused = || reading.notes.iter().filter(|note| is_refused(note));
    let meant = write_label(&reading.module).text;
    match (note.text_of("meant"), meant) {
        (Some(part), Some(label)) if refused().all(|note| note.text_of("meant").is_some()) => fault
            .hint(format!("`{part}`, if that is what the label says"))
            .close_matches(vec![label]),
        (Some(part), _) => fault.hint(format!("`{part}`, if that is what the label says")),
        (None, _) => fault.hint(HINT),
    }
}

/// A sentence as a message: lower case, no full stop.
fn as_message(sentence: &str) -> String {
    let mut chars = sentence.trim_end_matches('.').chars();
    let first = chars.next().map(|c| c.to_lowercase().to_string());
    first.unwrap_or_default() + chars.as_str()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn faults(text: &str) -> Vec<Fault> {
        read(text, "/kit/0/module/label").err().unwrap_or_default()
    }

    #[test]
    fn a_typo_is_refused_with_what_was_meant() {
        let found = faults("32GB 2Rx4 PCA-3200AA-RB2-12");
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].pointer, "/kit/0/module/label");
        assert_eq!(
            found[0].message,
            "the generation `PCA` probably reads `PC4`"
        );
        assert_eq!(found[0].close_matches, ["32GB 2Rx4 PC4-3200AA-RB2-12"]);
    }

    #[test]
    fn text_that_is_no_label_is_refused() {
        for text in ["hello", "   ", "----"] {
            let found = faults(text);
            assert_eq!(found.len(), 1, "{text}: {found:?}");
            assert_eq!(found[0].hint.as_deref(), Some(HINT));
        }
    }

    #[test]
    fn a_label_that_contradicts_itself_is_refused() {
        // Dies of 5 Gbit, and a word that names another kind.
        assert!(!faults("20GB 2Rx4 PC4-3200AA-RB2-12").is_empty());
        assert!(!faults("32GB 2Rx4 PC4-3200AA-RB2-12 UDIMM").is_empty());
    }

    #[test]
    fn a_short_label_is_taken_with_notes() {
        let read = read("64GB 4Rx4 PC4-2666V-L", "/x").ok().unwrap();
        assert_eq!(read.module.stack_height, None);
        assert_eq!(read.module.name, "64GB 4Rx4 PC4-2666V-L");
        let codes: Vec<&str> = read.notes.iter().map(|note| note.code).collect();
        assert!(codes.contains(&"fact-assumed"), "{codes:?}");
        assert!(
            read.notes
                .iter()
                .all(|note| note.pointer.as_deref() == Some("/x"))
        );
    }
}
