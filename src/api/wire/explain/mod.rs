//! The request to explain, and an explanation as JSON: flat lists with references, so that no reader
//! needs recursion.

mod fill;

pub use fill::{Frame, body};

use crate::api::extras::DeliveryBody;
use crate::domain::explain::About;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use utoipa::ToSchema;

use super::finding::{ChannelBody, FindingBody, FixBody, MissingBody, ParamBody};
use super::optimise::OptimiseRequest;
use super::optimise::alternative::AlternativeEntry;
use super::request::ValidateRequest;

/// What to explain, and the request that it is about.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ExplainRequest {
    /// What to explain; `verdict` if left out.
    pub about: Option<AboutName>,
    /// The request, as for `/v1/validate`; needed for all but `choice`. Pointers and patches of the
    /// answer go into this one.
    pub request: Option<ValidateRequest>,
    /// For `compare`: the request to hold beside `request`, for the same board or another.
    pub other: Option<ValidateRequest>,
    /// For `limit`: the kit line, counted from 0; the first if left out.
    #[schema(example = 0, minimum = 0, maximum = 1023)]
    pub line: Option<u16>,
    /// For `choice`: the request to the optimiser, as for `/v1/optimise`, without `front`.
    pub optimise: Option<OptimiseRequest>,
    /// For `choice`: the kit to hold against the optimiser's. Pointers and patches of the answer go
    /// into the request to `/v1/validate` that has the shared members of `optimise` and this kit.
    pub alternative: Option<AlternativeEntry>,
    /// A destination of the operator's (a ticket system, for example) that the explanation is sent to
    /// as well. Never an address.
    #[schema(max_length = 60)]
    pub deliver_to: Option<String>,
}

/// What to explain.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, ToSchema, clap::ValueEnum)]
#[serde(rename_all = "snake_case")]
pub enum AboutName {
    /// Why this verdict, on which facts each blocker rests, and the smallest change that mends it.
    #[default]
    Verdict,
    /// How many modules of a kit line at most, which rule binds first and which next, and what each
    /// count gives.
    Limit,
    /// Two kits beside each other: what differs, and which is better on which count.
    Compare,
    /// Why the optimiser preferred its kit to a named one: the rule that refuses that one, the wish
    /// that it does not meet, or the first thing that is preferred in which the two differ.
    Choice,
    /// Why nothing fits: the fewest rules that cannot hold together.
    Conflict,
    /// How to do the work: step by step, with the printed labels.
    Worksheet,
}

impl From<AboutName> for About {
    fn from(name: AboutName) -> Self {
        match name {
            AboutName::Verdict => Self::Verdict,
            AboutName::Limit => Self::Limit,
            AboutName::Compare => Self::Compare,
            AboutName::Choice => Self::Choice,
            AboutName::Conflict => Self::Conflict,
            AboutName::Worksheet => Self::Worksheet,
        }
    }
}

/// An explanation: what is said first, what it follows from, and numbers beside it.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Explanation)]
pub struct ExplanationBody<'a> {
    /// The caller's own reference, echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "cart-4711")]
    pub reference: Option<&'a str>,
    /// What is explained.
    #[schema(example = "verdict")]
    pub about: &'static str,
    /// `explained`; `refused` when there is nothing of the kind to give, as the nodes say; or
    /// `find_out_first` when facts are missing, which the nodes name.
    #[schema(example = "explained")]
    pub standing: &'static str,
    /// The verdict on the request; for `choice` on the named kit, with every wish as one that must be
    /// met.
    #[schema(example = "does_not_fit")]
    pub verdict: &'static str,
    /// The board.
    #[schema(example = "tarn")]
    pub board: &'a str,
    /// Revision of the catalogue that decided: SHA-256 over its content.
    pub catalogue_revision: &'a str,
    /// Version of the engine that decided.
    #[schema(example = "0.1.0")]
    pub engine_version: &'static str,
    /// The nodes that are said first, by their place in `nodes`.
    #[schema(example = json!([0]))]
    pub roots: Vec<u32>,
    /// Every node.
    pub nodes: Vec<NodeBody<'a>>,
    /// Numbers beside it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub tables: Vec<TableBody>,
    /// The work, step by step.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub steps: Vec<StepBody<'a>>,
    /// Whether something was left out because it is too long.
    pub truncated: bool,
    /// How the delivery went, if one was asked for. Written at the very end, when that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub delivery: Option<DeliveryBody>,
}

/// Something that is said, and what it follows from.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ExplanationNode)]
pub struct NodeBody<'a> {
    /// In words.
    #[schema(example = "Ranks that count on the channel: 4 + 4 + 4 = 12 of 8.")]
    pub sentence: String,
    /// How it is known: `given` by the request, from the board's `record`, `computed` as `working`
    /// shows, or `concluded` from the nodes of `because`.
    #[schema(example = "computed")]
    pub basis: &'static str,
    /// Id of the message, where it is not a rule's.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "verdict-does_not_fit")]
    pub message: Option<&'static str>,
    /// Every number and name of the sentence, by name.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub params: BTreeMap<&'static str, ParamBody>,
    /// What a rule found.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finding: Option<FindingBody<'a>>,
    /// A fact that is missing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub missing: Option<MissingBody>,
    /// A change that would mend it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fix: Option<FixBody>,
    /// The arithmetic.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub working: Option<WorkingBody>,
    /// The document that the board's record names for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<SourceBody<'a>>,
    /// Labels of the slots that it speaks of.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub slots: Vec<&'a str>,
    /// Channels that it speaks of.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub channels: Vec<ChannelBody>,
    /// Sockets that it speaks of, counted from 1.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sockets: Vec<u8>,
    /// The nodes that it follows from, by their place in `nodes`. Several may share one.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(example = json!([2, 3]))]
    pub because: Vec<u32>,
}

/// An arithmetic.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Working)]
pub struct WorkingBody {
    /// As text.
    #[schema(example = "4 + 4 + 4 = 12 of 8")]
    pub text: String,
    /// `sum`, `difference`, `product`, `quotient`, `least` or `greatest`.
    #[schema(example = "sum")]
    pub operator: &'static str,
    /// The operands, in order.
    pub terms: Vec<TermBody>,
    /// What comes out.
    pub result: ParamBody,
    /// It may be at most this.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_most: Option<ParamBody>,
    /// It must be at least this.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_least: Option<ParamBody>,
    /// It must be one of these.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub one_of: Vec<ParamBody>,
}

/// An operand.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Term)]
pub struct TermBody {
    /// How often it stands in the arithmetic.
    #[schema(example = 3)]
    pub times: u32,
    /// The operand.
    pub value: ParamBody,
}

/// A document that a board's record names.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RecordSource)]
pub struct SourceBody<'a> {
    /// Title and revision.
    pub title: &'a str,
    /// Table, section or page.
    pub section: &'a str,
}

/// A table.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ExplanationTable)]
pub struct TableBody {
    /// Its title.
    pub title: String,
    /// Id of the title's message.
    #[schema(example = "table-limit")]
    pub message: &'static str,
    /// Its columns.
    pub columns: Vec<ColumnBody>,
    /// Its rows.
    pub rows: Vec<RowBody>,
}

/// A column.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = TableColumn)]
pub struct ColumnBody {
    /// What stands at its head.
    #[schema(example = "usable capacity")]
    pub title: String,
    /// Id of the head's message.
    #[schema(example = "column-capacity")]
    pub message: &'static str,
}

/// A row.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = TableRow)]
pub struct RowBody {
    /// Whether it is the one that the explanation is about.
    pub marked: bool,
    /// One cell for each column.
    pub cells: Vec<ParamBody>,
}

/// A step of the work.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = WorkStep)]
pub struct StepBody<'a> {
    /// The part of the work: `prepare`, `open`, `take_out`, `fit`, `close`, `report`, `otherwise`.
    #[schema(example = "fit")]
    pub phase: &'static str,
    /// What to do.
    pub text: String,
    /// What shows that it is done.
    pub check: String,
    /// Id of the message.
    #[schema(example = "step-seat")]
    pub message: &'static str,
    /// Every number and name of the text, by name.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub params: BTreeMap<&'static str, ParamBody>,
    /// Labels of the slots, in the order of work.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub slots: Vec<&'a str>,
    /// The module that is handled.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "ERW-3R32-4x4")]
    pub module: Option<&'a str>,
    /// Whether it keeps people or parts from harm.
    pub caution: bool,
}
