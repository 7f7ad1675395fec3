//! A module of a request by the text of its label.

use crate::catalogue::record::MoneyRecord;
use crate::domain::module::{Module, ModuleFacts};
use crate::domain::units::Milliwatts;
use crate::read::Reading;
use crate::read::label::{is_in_doubt, read_label, write_label};
use crate::read::module_facts::of_reading;
use crate::read::note::Note;
use crate::render::words::Words;
use crate::wirecheck::fault::quoted;
use crate::wirecheck::{Fault, FaultCode};

use super::note::NoteBody;
use super::reference::LabelRef;

/// What would be right where no label can be read.
const HINT: &str = "a label such as `32GB 2Rx4 PC4-3200AA-RB2-12`";

/// A module and what was noted of its label.
pub struct ReadModule {
    /// The module: what was read or derived.
    pub module: Module,
    /// Notes, with the pointer of the label.
    pub notes: Vec<NoteBody>,
}

/// Reads the label of a module that stands at `at`, and adds the facts told beside it.
///
/// # Errors
/// Everything that is not well formed, with what was probably meant; a text that is no label at all;
/// facts that contradict each other.
pub fn read(told: &LabelRef, at: &str) -> Result<ReadModule, Vec<Fault>> {
    let words = Words::english();
    let text = told.label.as_str();
    let (member, at) = (at, &format!("{at}/label"));
    let reading = read_label(text);
    let doubts = reading.notes.iter().filter(|note| is_in_doubt(note));
    let faults: Vec<Fault> = doubts
        .map(|note| misread(note, &reading, at, words))
        .collect();
    if !faults.is_empty() {
        return Err(faults);
    }
    let name = told.name.clone().unwrap_or_else(|| name(text, &reading));
    let mut known = of_reading(&reading.module, &name);
    if known.is_blank() {
        let message = format!("no module label can be read from {}", quoted(text));
        return Err(vec![
            Fault::new(at, FaultCode::Unusable, message).hint(HINT),
        ]);
    }
    add_told(&mut known.facts, told, member)?;
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

/// Adds the facts that a label does not tell.
fn add_told(facts: &mut ModuleFacts, told: &LabelRef, at: &str) -> Result<(), Vec<Fault>> {
    let price = told.price.as_ref().map(MoneyRecord::to_money).transpose();
    facts.price = price.map_err(|fault| {
        let at = format!("{at}/price{}", fault.pointer);
        vec![Fault::new(at, FaultCode::Unusable, fault.message).hint(fault.hint)]
    })?;
    facts.height = told.height.map(Into::into);
    facts.maker = told.maker.clone().or(facts.maker.take());
    facts.part_number = told.part_number.clone().or(facts.part_number.take());
    facts.product_line = told.product_line.clone();
    facts.dram_maker = told.dram_maker.clone().or(facts.dram_maker.take());
    facts.typical_power = told.typical_power_mw.map(Milliwatts);
    facts.peak_power = told.peak_power_mw.map(Milliwatts);
    facts.stock = told.stock;
    facts.pack = told.pack;
    Ok(())
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
    let message = NoteBody::of_module(note, None, words).as_message();
    let fault = Fault::new(at, FaultCode::Unusable, message);
    let refused = || reading.notes.iter().filter(|note| is_in_doubt(note));
    let meant = write_label(&reading.module).text;
    match (note.text_of("meant"), meant) {
        (Some(part), Some(label)) if refused().all(|note| note.text_of("meant").is_some()) => fault
            .hint(format!("`{part}`, if that is what the label says"))
            .close_matches(vec![label]),
        (Some(part), _) => fault.hint(format!("`{part}`, if that is what the label says")),
        (None, _) => fault.hint(HINT),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn label(text: &str) -> LabelRef {
        LabelRef {
            label: text.to_owned(),
            ..LabelRef::default()
        }
    }

    fn faults(text: &str) -> Vec<Fault> {
        read(&label(text), "/kit/0/module")
            .err()
            .unwrap_or_default()
    }

    #[test]
    fn facts_told_beside_a_label_are_added() {
        let told = LabelRef {
            height: Some(crate::catalogue::record::words::HeightName::VeryLow),
            name: Some("spare".to_owned()),
            stock: Some(3),
            ..label("32GB 2Rx4 PC4-3200AA-RB2-12")
        };
        let module = read(&told, "/x").ok().unwrap().module;
        assert_eq!(
            module.height,
            Some(crate::domain::module::HeightClass::VeryLow)
        );
        assert_eq!((module.name.as_str(), module.stock), ("spare", Some(3)));
        let wrong = LabelRef {
            price: Some(MoneyRecord {
                minor: 1,
                currency: "euro".to_owned(),
            }),
            ..told
        };
        let found = read(&wrong, "/x").err().unwrap();
        assert_eq!(found[0].pointer, "/x/price/currency");
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
    fn text_that_is_no_label_is_in_doubt() {
        for text in ["hello", "   ", "----"] {
            let found = faults(text);
            assert_eq!(found.len(), 1, "{text}: {found:?}");
            assert_eq!(found[0].hint.as_deref(), Some(HINT));
        }
    }

    #[test]
    fn a_label_that_contradicts_itself_is_in_doubt() {
        // Dies of 5 Gbit, and a word that names another kind.
        assert!(!faults("20GB 2Rx4 PC4-3200AA-RB2-12").is_empty());
        assert!(!faults("32GB 2Rx4 PC4-3200AA-RB2-12 UDIMM").is_empty());
    }

    #[test]
    fn a_short_label_is_taken_with_notes() {
        let read = read(&label("64GB 4Rx4 PC4-2666V-L"), "/x").ok().unwrap();
        assert_eq!(read.module.stack_height, None);
        assert_eq!(read.module.name, "64GB 4Rx4 PC4-2666V-L");
        let codes: Vec<&str> = read.notes.iter().map(|note| note.code).collect();
        assert!(codes.contains(&"fact-assumed"), "{codes:?}");
        assert!(
            read.notes
                .iter()
                .all(|note| note.pointer.as_deref() == Some("/x/label"))
        );
    }
}
