//! The answer to a validate request as JSON.

use crate::domain::finding::{Severity, State, Verdict};
use crate::domain::population::Origin;
use crate::domain::request::PartIx;
use crate::domain::validate::{self, Answer, conflict_ids};
use crate::render::page::answer as page;
use crate::render::words::{Context, Words};
use serde::Serialize;
use utoipa::ToSchema;

use crate::api::extras::DeliveryBody;

use super::finding::{FindingBody, MissingBody, Pointers};
use super::note::{self, NoteBody};
use super::outcome::{self, OutcomeBody};
use super::pointer::Pointer;
use super::read_inventory::InstalledBody;

/// The most findings of an answer.
pub const MOST_FINDINGS: usize = 100;

/// The answer: will it work, why not, what comes out, where each module goes.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Answer)]
pub struct AnswerBody<'a> {
    /// The caller's own reference, echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "cart-4711")]
    pub reference: Option<&'a str>,
    /// `fits`, `fits_with_warnings`, `undecided` (a needed fact is missing) or `does_not_fit`.
    #[schema(example = "does_not_fit")]
    pub verdict: &'static str,
    /// Whether nothing that the request blocks on stands in the way.
    pub allowed: bool,
    /// The verdict in words, and what would fit.
    #[schema(example = json!(["It does not fit.", "At most 16 of ERW-3R32-4x4 fit; 17 were asked for."]))]
    pub summary: Vec<String>,
    /// The board.
    #[schema(example = "tarn")]
    pub board: &'a str,
    /// Revision of the catalogue that decided: SHA-256 over its content.
    pub catalogue_revision: &'a str,
    /// Version of the engine that decided.
    #[schema(example = "0.1.0")]
    pub engine_version: &'static str,
    /// What the rules found: worst first, then in the order of the rules.
    pub findings: Vec<FindingBody<'a>>,
    /// Whether findings were cut at 100.
    pub truncated: bool,
    /// Facts that would decide an undecided verdict.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub missing: Vec<MissingBody>,
    /// What comes out.
    pub outcome: OutcomeBody,
    /// Where each module goes.
    pub placement: PlacementBody<'a>,
    /// Modules that found no slot.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub left_over: Vec<QuantityBody>,
    /// Rules that cannot hold together when no placement fits: without any one the rest could.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub conflict: Vec<&'static str>,
    /// What stands in the way besides, even if nobody minds the rules of `conflict`: further such
    /// sets.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(example = json!([["rank-position-not-allowed"]]))]
    pub further_conflicts: Vec<Vec<&'static str>>,
    /// Whether `conflict` and `further_conflicts` are known to be minimal and all there are; there
    /// only with `conflict`. If false, the search for them was cut: a set may name a rule too many,
    /// and one may be lacking.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub conflict_proven: Option<bool>,
    /// For each kit line of a kit that does not fit, the largest smaller quantity that would.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub largest: Vec<LargestBody>,
    /// What each processor model gives, when the request does not tell the model. Where all of them fit
    /// and the verdict is `undecided` all the same, no slots suit all of them: the model must be told.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub models: Vec<ModelBody<'a>>,
    /// The processor model that findings and outcome are for.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "tarn-8")]
    pub model: Option<&'a str>,
    /// Installed modules that were taken from a report, in the order that pointers such as
    /// `/installed/3` count.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    pub installed: &'a [InstalledBody],
    /// What was noted while labels or a report were read.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<NoteBody>,
    /// A signed receipt over this request and its verdict, if it was asked for: a compact JWS
    /// (RFC 7515) that the keys of `/.well-known/jwks.json` check.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub receipt: Option<String>,
    /// How the delivery went, if one was asked for. Written at the very end, when that is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub delivery: Option<DeliveryBody>,
}

/// Where each module goes.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Placement)]
pub struct PlacementBody<'a> {
    /// `given` by the request, `best` of all placements, `found` (a better one may exist), or
    /// `nearest` when none fits.
    #[schema(example = "best")]
    pub standing: &'static str,
    /// Installed modules that move to another slot.
    #[schema(example = 0)]
    pub moved: u32,
    /// Installed modules that come out: JSON Pointers.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub removed: Vec<String>,
    /// Taken slots in the order of sockets, channels and positions.
    pub slots: Vec<SeatBody<'a>>,
}

/// A taken slot.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Seat)]
pub struct SeatBody<'a> {
    /// The slot's printed label.
    #[schema(example = "A1")]
    pub slot: &'a str,
    /// The socket, counted from 1.
    #[schema(example = 1)]
    pub socket: u8,
    /// The channel of the socket, counted from 1.
    #[schema(example = 1)]
    pub channel: u8,
    /// The position on the channel; 1 is the farthest from the processor.
    #[schema(example = 1)]
    pub position: u8,
    /// The module.
    #[schema(example = "ERW-3R32-4x4")]
    pub module: &'a str,
    /// Where it came from: a JSON Pointer to the line or entry.
    #[schema(value_type = String, example = "/kit/0")]
    pub from: Pointer,
}

/// A number of modules.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Quantity)]
pub struct QuantityBody {
    /// The module.
    #[schema(example = "ERW-3R32-4x4")]
    pub module: String,
    /// How many.
    #[schema(example = 1)]
    pub quantity: u32,
}

/// The largest quantity of a kit line that would fit.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Largest)]
pub struct LargestBody {
    /// The kit line.
    #[schema(value_type = String, example = "/kit/0")]
    pub pointer: Pointer,
    /// The largest quantity; 0 if none would fit. A line of which it could not be found out in time
    /// is left out.
    #[schema(example = 16)]
    pub quantity: u32,
}

/// What a processor model gives.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ModelVerdict)]
pub struct ModelBody<'a> {
    /// The model.
    #[schema(example = "tarn-8")]
    pub model: &'a str,
    /// The verdict with it.
    #[schema(example = "fits")]
    pub verdict: &'static str,
    /// The rate with it, in MT/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 1066)]
    pub rate_mts: Option<u32>,
}

/// What stands in the way of `allowed`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BlockOn {
    /// Severities that block when broken.
    pub severities: Vec<Severity>,
    /// Whether an undecided verdict blocks.
    pub undecided: bool,
}

impl Default for BlockOn {
    fn default() -> Self {
        Self {
            severities: vec![Severity::Blocker],
            undecided: true,
        }
    }
}

impl BlockOn {
    /// Whether an answer passes.
    pub fn allows(&self, answer: &Answer) -> bool {
        let broken = answer
            .findings
            .iter()
            .any(|f| f.state == State::Broken && self.severities.contains(&f.severity));
        let refused =
            answer.verdict == Verdict::DoesNotFit && self.severities.contains(&Severity::Blocker);
        let open = self.undecided && answer.verdict == Verdict::Undecided;
        !(broken || refused || open)
    }
}

/// What an answer says beside the core's own.
#[derive(Clone, Copy, Debug)]
pub struct Frame<'a> {
    /// The caller's reference.
    pub reference: Option<&'a str>,
    /// What blocks.
    pub block_on: &'a BlockOn,
    /// The catalogue's revision.
    pub revision: &'a str,
    /// Installed modules that were taken from a report.
    pub installed: &'a [InstalledBody],
    /// What was noted while the request was read.
    pub notes: &'a [NoteBody],
}

/// An answer as JSON.
pub fn body<'a>(
    answer: &'a Answer,
    frame: Frame<'a>,
    words: &'a Words,
    context: Context<'a>,
) -> AnswerBody<'a> {
    let at = Pointers { context, words };
    let model_id = |index: usize| {
        context
            .board
            .processors
            .get(index)
            .map_or("?", |model| model.id.as_str())
    };
    AnswerBody {
        reference: frame.reference,
        verdict: answer.verdict.name(),
        allowed: frame.block_on.allows(answer),
        summary: page::headline(answer, words, context),
        board: &context.board.id,
        catalogue_revision: frame.revision,
        engine_version: env!("CARGO_PKG_VERSION"),
        findings: answer
            .findings
            .iter()
            .take(MOST_FINDINGS)
            .map(|finding| at.finding(finding))
            .collect(),
        truncated: answer.findings.len() > MOST_FINDINGS,
        missing: answer
            .missing()
            .into_iter()
            .map(|missing| at.missing(missing))
            .collect(),
        outcome: outcome::body(&answer.outcome, &at),
        placement: placement(answer, context),
        left_over: answer
            .left_over
            .iter()
            .map(|(part, quantity)| quantity_of(*part, *quantity, context))
            .collect(),
        conflict: conflict_ids(answer),
        further_conflicts: answer
            .further_conflicts
            .iter()
            .map(|rules| validate::ids(rules))
            .collect(),
        conflict_proven: (!answer.conflict.is_empty()).then_some(answer.conflict_proven),
        largest: (0..)
            .zip(&answer.largest)
            .filter_map(|(line, quantity): (usize, _)| {
                Some(LargestBody {
                    pointer: Pointer::Entry("kit", line),
                    quantity: (*quantity)?,
                })
            })
            .collect(),
        models: answer
            .models
            .iter()
            .map(|own| ModelBody {
                model: model_id(own.model),
                verdict: own.verdict.name(),
                rate_mts: own.rate.map(|rate| rate.0),
            })
            .collect(),
        model: answer.model.map(model_id),
        installed: frame.installed,
        notes: note::in_language(frame.notes, words),
        receipt: None,
        delivery: None,
    }
}

fn quantity_of(part: PartIx, quantity: u32, context: Context<'_>) -> QuantityBody {
    QuantityBody {
        module: context.part_name(part).to_owned(),
        quantity,
    }
}

fn placement<'a>(answer: &'a Answer, context: Context<'a>) -> PlacementBody<'a> {
    let request = context.request;
    let seat = |(slot, occupant): (
        crate::domain::board::SlotIx,
        crate::domain::population::Occupant,
    )| {
        let record = context.board.slot(slot)?;
        Some(SeatBody {
            slot: &record.label,
            socket: record.place.socket,
            channel: record.place.channel,
            position: record.place.position,
            module: request
                .part(occupant.part)
                .map_or("?", |module| module.name.as_str()),
            from: match occupant.origin {
                Origin::Kit(line) => Pointer::Entry("kit", line as usize),
                Origin::Population(entry) => Pointer::Entry("population", entry as usize),
                Origin::Installed(entry) => Pointer::Entry("installed", entry as usize),
            },
        })
    };
    PlacementBody {
        standing: match (answer.given, answer.proven_best) {
            (true, _) => "given",
            (false, Some(true)) => "best",
            (false, Some(false)) => "found",
            (false, None) => "nearest",
        },
        moved: answer.moved,
        removed: answer
            .removed
            .iter()
            .map(|entry| format!("/installed/{entry}"))
            .collect(),
        slots: answer.population.occupied().filter_map(seat).collect(),
    }
}
