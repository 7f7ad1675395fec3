//! What readers noted, as JSON.

use crate::read::inventory::{self, Code, on_board};
use crate::read::note::{Note, NoteKind, Parameter, Weight};
use crate::read::{module_facts, note_kinds};
use crate::render::lists;
use crate::render::notes::Sentences;
use crate::render::words::Words;
use serde::Serialize;
use std::collections::BTreeMap;
use std::sync::LazyLock;
use utoipa::ToSchema;

use super::finding::ParamBody;

/// Something that a reader noted about a label, an SPD image or an inventory report.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
#[schema(as = ReaderNote)]
pub struct NoteBody {
    /// What it is about: a JSON Pointer into the request.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "/kit/0/module/label")]
    pub pointer: Option<String>,
    /// Which slot of a report it is about: an index into `slots` of the answer.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 3, maximum = 8192)]
    pub slot: Option<usize>,
    /// The stable code.
    #[schema(example = "label-speed-bin-missing")]
    pub code: &'static str,
    /// `remark`: worth knowing. `caution`: something is missing or doubtful. `fault`: something is
    /// not well formed or not there.
    #[schema(example = "caution")]
    pub weight: &'static str,
    /// The sentence for a customer.
    #[schema(
        example = "The speed `3200` lacks the letters of its speed bin, so the latency is not known."
    )]
    pub sentence: String,
    /// Every number and name of the sentence, by name.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub params: BTreeMap<&'static str, ParamBody>,
    /// The items of parameters that are lists, to join them in another language.
    #[serde(skip)]
    pub(in crate::api) items: Vec<(&'static str, Vec<String>)>,
}

/// Every kind of note on modules and on slots of a board.
fn all_kinds() -> impl Iterator<Item = &'static NoteKind> {
    let facts = module_facts::KINDS.iter().chain(on_board::KINDS);
    note_kinds().chain(facts.copied())
}

static ENGLISH: LazyLock<Sentences> = LazyLock::new(|| Sentences::english(patterns()));

/// The English pattern of every note, with its code.
pub fn patterns() -> impl Iterator<Item = (&'static str, &'static str)> {
    let modules = all_kinds().map(|kind| (kind.code, kind.pattern));
    let reports = Code::ALL.iter().map(|code| (code.code(), code.pattern()));
    modules.chain(reports)
}

/// Parameters that hold words of the code, which have a name in every language.
const WORDED: [&str; 3] = ["fact", "missing", "basis"];

/// Notes in a language.
pub fn in_language(notes: &[NoteBody], words: &Words) -> Vec<NoteBody> {
    notes.iter().map(|note| note.in_language(words)).collect()
}

impl NoteBody {
    /// A note on one module; `pointer` is where it was described.
    pub fn of_module(note: &Note, pointer: Option<&str>, words: &Words) -> Self {
        let (mut params, mut items) = (BTreeMap::new(), Vec::new());
        for (name, value) in note.parameters() {
            params.insert(*name, module_param(value, words));
            if let Parameter::List(list) = value {
                items.push((*name, list.clone()));
            }
        }
        Self {
            pointer: pointer.map(str::to_owned),
            slot: None,
            items,
            ..Self::of(note.code(), note.weight(), params)
        }
    }

    /// A note on a report; `pointer` is where the report stands.
    pub fn of_report(note: &inventory::Note, pointer: Option<&str>, words: &Words) -> Self {
        let (mut params, mut items) = (BTreeMap::new(), Vec::new());
        for (name, value) in &note.params {
            params.insert(*name, report_param(value, words));
            if let inventory::Param::List(list) = value {
                items.push((*name, list.clone()));
            }
        }
        Self {
            pointer: pointer.map(str::to_owned),
            slot: note.slot,
            items,
            ..Self::of(note.code.code(), note.code.weight(), params)
        }
    }

    /// The same note in another language.
    #[must_use]
    pub fn in_language(&self, words: &Words) -> Self {
        let id = format!("note-{}", self.code);
        if !words.has(&id) {
            return self.clone();
        }
        let mut params = self.params.clone();
        for (name, items) in &self.items {
            if let Some(param) = params.get_mut(name) {
                let items: Vec<String> = items.iter().map(|item| words.term(item)).collect();
                param.text = lists::joined(&items, words);
            }
        }
        for name in WORDED {
            if let Some(param) = params.get_mut(name) {
                param.text = words.term(&param.text);
            }
        }
        let shown = params
            .iter()
            .map(|(name, param)| (*name, param.text.clone()));
        let sentence = words.say(&id, &shown.collect());
        Self {
            sentence,
            params,
            ..self.clone()
        }
    }

    /// The sentence as a message of a fault: lower case, no full stop.
    pub fn as_message(&self) -> String {
        let mut chars = self.sentence.trim_end_matches('.').chars();
        let first = chars.next().map(|c| c.to_lowercase().to_string());
        first.unwrap_or_default() + chars.as_str()
    }

    fn of(code: &'static str, weight: Weight, params: BTreeMap<&'static str, ParamBody>) -> Self {
        let shown = params
            .iter()
            .map(|(name, param)| (*name, param.text.clone()));
        Self {
            pointer: None,
            slot: None,
            code,
            weight: weight.name(),
            sentence: ENGLISH.say(code, shown),
            params,
            items: Vec::new(),
        }
    }
}

fn plain(text: String) -> ParamBody {
    ParamBody {
        value: None,
        unit: None,
        text,
    }
}

fn number(value: u64, unit: Option<&'static str>) -> ParamBody {
    let text = match unit {
        Some(unit) => format!("{value} {unit}"),
        None => value.to_string(),
    };
    ParamBody {
        value: i64::try_from(value).ok(),
        unit,
        text,
    }
}

fn module_param(value: &Parameter, words: &Words) -> ParamBody {
    match value {
        Parameter::Text(text) => plain(text.clone()),
        Parameter::Number(value) => number(*value, None),
        Parameter::Hex(value) => plain(format!("{value:04X}")),
        Parameter::RateMts(rate) => number((*rate).into(), Some("MT/s")),
        Parameter::DensityMbit(density) => number((*density).into(), Some("Mbit")),
        Parameter::List(items) => plain(lists::joined(items, words)),
    }
}

fn report_param(value: &inventory::Param, words: &Words) -> ParamBody {
    match value {
        inventory::Param::Number(value) => number(*value, None),
        inventory::Param::Text(text) => plain(text.clone()),
        inventory::Param::List(items) => plain(lists::joined(items, words)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::label::read_label;

    #[test]
    fn every_code_of_every_reader_has_a_sentence() {
        let codes = all_kinds()
            .map(|kind| kind.code)
            .chain(Code::ALL.iter().map(|code| code.code()));
        let mut seen = std::collections::BTreeSet::new();
        for code in codes {
            assert!(seen.insert(code), "{code} stands for two notes");
            assert_ne!(ENGLISH.say(code, []), code, "{code} has no sentence");
        }
    }

    #[test]
    fn a_sentence_shows_its_parameters() {
        let reading = read_label("32GB 2Rx4 PC4-3200-RB2-12");
        let note = &reading.notes[0];
        let body = NoteBody::of_module(note, Some("/kit/0/module/label"), Words::english());
        assert_eq!(body.code, "label-speed-bin-missing");
        assert_eq!(body.weight, "caution");
        assert_eq!(
            body.sentence,
            "The speed `3200` lacks the letters of its speed bin, so the latency is not known."
        );
        assert_eq!(body.params["found"].text, "3200");
    }
}
