//! Boards, modules and rules as JSON lists.

use crate::catalogue::record::ModuleRecord;
use crate::catalogue::{BoardEntry, ModuleEntry};
use crate::domain::rules::Rule;
use crate::render::words::Words;
use serde::Serialize;
use utoipa::ToSchema;

/// A board in a list.
#[derive(Debug, Serialize, ToSchema)]
pub struct BoardItem<'a> {
    /// The id that a request names.
    #[schema(example = "tarn")]
    pub id: &'a str,
    /// Name for people.
    #[schema(example = "Tarn, two sockets, DDR3")]
    pub name: &'a str,
    /// Whether it is invented (demo data) or real.
    pub invented: bool,
    /// DDR generation.
    #[schema(example = "DDR3")]
    pub generation: &'static str,
    /// Processor sockets.
    #[schema(example = 2)]
    pub sockets: u8,
    /// Channels of each socket.
    #[schema(example = 4)]
    pub channels: u8,
    /// Most positions on a channel.
    #[schema(example = 3)]
    pub positions: u8,
    /// Slots in all.
    #[schema(example = 24)]
    pub slots: u16,
    /// Processor models that it takes.
    #[schema(example = json!(["tarn-8"]))]
    pub processors: Vec<&'a str>,
}

impl<'a> From<&'a BoardEntry> for BoardItem<'a> {
    fn from(entry: &'a BoardEntry) -> Self {
        let board = &entry.board;
        Self {
            id: &entry.record.id,
            name: &entry.record.name,
            invented: board.invented,
            generation: board.generation.name(),
            sockets: board.sockets,
            channels: board.channels,
            positions: board.positions,
            slots: u16::try_from(board.slots.len()).unwrap_or(u16::MAX),
            processors: board
                .processors
                .iter()
                .map(|model| model.id.as_str())
                .collect(),
        }
    }
}

/// A module of the catalogue.
#[derive(Debug, Serialize, ToSchema)]
pub struct ModuleItem<'a> {
    /// The id that a request names.
    #[schema(example = "ERW-3R32-4x4")]
    pub id: &'a str,
    /// Whether it is invented (demo data) or real.
    pub invented: bool,
    /// What is known of it.
    pub facts: &'a ModuleRecord,
}

impl<'a> From<&'a ModuleEntry> for ModuleItem<'a> {
    fn from(entry: &'a ModuleEntry) -> Self {
        Self {
            id: &entry.id,
            invented: entry.invented,
            facts: &entry.record,
        }
    }
}

/// A rule.
#[derive(Debug, Serialize, ToSchema)]
pub struct RuleItem {
    /// Stable id.
    #[schema(example = "rank-budget-exceeded")]
    pub id: &'static str,
    /// What it is about: fit, mix, load, place, limit, protection, wish, rate, balance or order.
    #[schema(example = "load")]
    pub group: &'static str,
    /// Its severity, unless a board's policy or a wish changes it.
    #[schema(example = "blocker")]
    pub severity: &'static str,
    /// A few words.
    #[schema(example = "More ranks than a channel sees")]
    pub title: String,
    /// What it means, why it is so, and what helps.
    pub doc: String,
    /// The standard or document that it rests on, or common practice.
    #[schema(example = "common practice")]
    pub source: String,
    /// Codes of the facts that it reads.
    #[schema(example = json!(["kind", "package-ranks"]))]
    pub reads: Vec<&'static str>,
    /// The sentence as a Fluent pattern.
    pub message: String,
    /// What it decides, as a clause.
    #[schema(example = "whether the ranks of a channel stay within its budget")]
    pub asks: String,
    /// A request to validate that breaks it, as JSON text.
    pub breaks: &'static str,
    /// A request to validate that meets it, as JSON text.
    pub meets: &'static str,
}

impl RuleItem {
    /// A rule in a language.
    pub fn new(rule: &'static Rule, words: &Words) -> Self {
        Self {
            id: rule.id,
            group: rule.group.name(),
            severity: rule.severity.name(),
            title: words.say_attribute(rule.id, "title"),
            doc: words.say_attribute(rule.id, "doc"),
            source: words.say_attribute(rule.id, "source"),
            reads: rule.reads.iter().map(|fact| fact.code()).collect(),
            message: words
                .written(rule.id)
                .unwrap_or_else(|| rule.message.to_owned()),
            asks: words.say_attribute(rule.id, "asks"),
            breaks: rule.breaks,
            meets: rule.meets,
        }
    }
}
