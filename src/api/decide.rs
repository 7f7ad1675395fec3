//! From a request to a decision: the one road that the service and the command line both take.

use super::form::Written;
use super::problem::Problem;
use super::wire::answer::{self, AnswerBody, Frame};
use super::wire::note::{self, NoteBody};
use super::wire::request::ValidateRequest;
use super::wire::resolve::Resolved;
use crate::catalogue::Catalogue;
use crate::domain::finding::Finding;
use crate::domain::rules::Came;
use crate::domain::stop::Stop;
use crate::domain::validate::{Answer, rule_states, validate_until};
use crate::render::page::{Block, Page, answer as answer_page};
use crate::render::words::{Context, Words};
use crate::render::{svg, text};
use crate::wirecheck::{Fault, FaultCode, Faults};

/// A decision and what it rests on.
pub struct Decided<'a> {
    resolved: Resolved<'a>,
    answer: Answer,
    reference: Option<String>,
    revision: &'a str,
}

/// Decides a request.
///
/// # Errors
/// Everything that cannot be found or used, with pointers into the request.
pub fn decide<'a>(body: &ValidateRequest, catalogue: &'a Catalogue) -> Result<Decided<'a>, Faults> {
    decide_until(body, catalogue, &Stop::never())
}

/// The same, ended early when a stop is asked for. What it gives then is no decision.
///
/// # Errors
/// Everything that cannot be found or used, with pointers into the request.
pub fn decide_until<'a>(
    body: &ValidateRequest,
    catalogue: &'a Catalogue,
    stop: &Stop,
) -> Result<Decided<'a>, Faults> {
    let resolved = body.resolve(catalogue)?;
    let answer = validate_until(resolved.board.board(), &resolved.request, stop);
    let unusable = || {
        Faults::from(Fault::new(
            "/board/filling",
            FaultCode::Unusable,
            "the board has no row for this number of sockets",
        ))
    };
    let answer = answer.ok_or_else(unusable)?;
    Ok(Decided {
        resolved,
        answer,
        reference: body.reference.clone(),
        revision: catalogue.revision(),
    })
}

impl Decided<'_> {
    fn context(&self) -> Context<'_> {
        Context {
            board: self.resolved.board.board(),
            request: &self.resolved.request,
        }
    }

    /// The id of the board.
    pub fn board(&self) -> &str {
        &self.resolved.board.board().id
    }

    /// The revision of the catalogue that decided.
    pub fn revision(&self) -> &str {
        self.revision
    }

    /// The caller's own reference.
    pub fn reference(&self) -> Option<&str> {
        self.reference.as_deref()
    }

    /// The core's answer.
    pub fn answer(&self) -> &Answer {
        &self.answer
    }

    /// How each rule of the core's list came out.
    pub fn rule_states(&self) -> Vec<Came> {
        rule_states(
            self.resolved.board.board(),
            &self.resolved.request,
            &self.answer,
        )
        .unwrap_or_default()
    }

    /// Whether nothing that the request blocks on stands in the way.
    pub fn allowed(&self) -> bool {
        self.resolved.block_on.allows(&self.answer)
    }

    /// The answer as JSON.
    pub fn body<'b>(&'b self, words: &'b Words) -> AnswerBody<'b> {
        let frame = Frame {
            reference: self.reference.as_deref(),
            block_on: &self.resolved.block_on,
            revision: self.revision,
            installed: &self.resolved.taken,
            notes: &self.resolved.notes,
        };
        answer::body(&self.answer, frame, words, self.context())
    }

    /// The board as a drawing: where each module goes, what is blocked and why.
    pub fn drawing(&self, words: &Words) -> String {
        let findings: Vec<&Finding> = self.answer.findings.iter().collect();
        let subject = svg::Subject {
            context: self.context(),
            population: &self.answer.population,
            findings: &findings,
        };
        svg::element(subject, words)
    }

    /// The answer for reading.
    pub fn page(&self, words: &Words) -> Page {
        let mut page = answer_page::page(&self.answer, words, self.context());
        let noted = noted(&self.resolved.notes, words);
        if !noted.is_empty() {
            page.blocks
                .push(Block::Heading(words.plain("report-noted")));
            page.blocks.push(Block::Lines(noted));
        }
        page
    }

    /// The answer as plain text.
    pub fn report(&self, words: &Words) -> String {
        text::plain(&self.page(words))
    }
}

impl Written for Decided<'_> {
    fn json(&self, words: &Words) -> Result<Vec<u8>, Problem> {
        serde_json::to_vec(&self.body(words)).map_err(|_| Problem::internal())
    }

    fn page(&self, words: &Words) -> Page {
        Self::page(self, words)
    }

    fn drawing(&self, words: &Words) -> Option<String> {
        Some(Self::drawing(self, words))
    }
}

/// What readers noted, each sentence once.
fn noted(notes: &[NoteBody], words: &Words) -> Vec<String> {
    let mut sentences: Vec<String> = Vec::new();
    for note in note::in_language(notes, words) {
        if !sentences.contains(&note.sentence) {
            sentences.push(note.sentence);
        }
    }
    sentences
}

/// The same for a terminal.
pub fn notes_as_text(notes: &[NoteBody], words: &Words) -> String {
    let sentences = noted(notes, words);
    if sentences.is_empty() {
        return String::new();
    }
    let lines = sentences.iter().map(|sentence| format!("  {sentence}\n"));
    format!(
        "\n{}\n{}",
        words.plain("report-noted"),
        lines.collect::<String>()
    )
}
