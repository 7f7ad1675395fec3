//! From a request to its explanation: the one road that the service and the command line both take.

use super::form::Written;
use super::problem::Problem;
use super::wire::explain::{self, AboutName, ExplainRequest, ExplanationBody, Frame};
use super::wire::request::{Resolved, ValidateRequest};
use crate::catalogue::Catalogue;
use crate::domain::explain::{self as core, Case, Explanation};
use crate::domain::stop::Stop;
use crate::domain::validate::validate_until;
use crate::render::page::{Page, explanation as page};
use crate::render::text;
use crate::render::words::{Context, Words};
use crate::wirecheck::{Fault, FaultCode, Faults};

/// An explanation and what it rests on.
pub struct Explained<'a> {
    resolved: Resolved<'a>,
    explanation: Explanation,
    reference: Option<String>,
    revision: &'a str,
}

/// Explains what a request asks about.
///
/// # Errors
/// Everything that cannot be found or used, with pointers into the request.
pub fn explain<'a>(
    body: &ExplainRequest,
    catalogue: &'a Catalogue,
) -> Result<Explained<'a>, Faults> {
    explain_until(body, catalogue, &Stop::never())
}

/// The same, ended early when a stop is asked for. What it gives then is no explanation.
///
/// # Errors
/// Everything that cannot be found or used, with pointers into the request.
pub fn explain_until<'a>(
    body: &ExplainRequest,
    catalogue: &'a Catalogue,
    stop: &Stop,
) -> Result<Explained<'a>, Faults> {
    let request = member(body.request.as_ref(), "request")?;
    let resolved = resolve(request, "/request", catalogue)?;
    let board = resolved.board.board();
    let answer = validate_until(board, &resolved.request, stop).ok_or_else(unusable)?;
    let case = Case {
        board,
        request: &resolved.request,
        answer: &answer,
        stop,
    };
    let explanation = match body.about.unwrap_or_default() {
        AboutName::Verdict => core::verdict(case),
        AboutName::Limit => {
            let line = usize::from(body.line.unwrap_or(0));
            core::limit(case, line).ok_or_else(|| no_line(line))?
        }
        AboutName::Compare => compare(case, body.other.as_ref(), catalogue)?,
        AboutName::Conflict => core::conflict(case),
        AboutName::Worksheet => core::worksheet(case),
    };
    Ok(Explained {
        resolved,
        explanation,
        reference: request.reference.clone(),
        revision: catalogue.revision(),
    })
}

fn member<'b, T>(member: Option<&'b T>, name: &str) -> Result<&'b T, Faults> {
    member.ok_or_else(|| {
        let message = format!("`{name}` is missing");
        let fault = Fault::new("", FaultCode::MissingMember, message);
        Faults::from(fault.hint("a request as for `/v1/validate`"))
    })
}

/// Looks the names of a request up that stands inside another.
fn resolve<'a>(
    request: &ValidateRequest,
    at: &str,
    catalogue: &'a Catalogue,
) -> Result<Resolved<'a>, Faults> {
    request.resolve(catalogue).map_err(|mut faults| {
        for fault in &mut faults.list {
            fault.pointer.insert_str(0, at);
        }
        faults
    })
}

/// Holds another request beside one.
fn compare(
    first: Case<'_>,
    other: Option<&ValidateRequest>,
    catalogue: &Catalogue,
) -> Result<Explanation, Faults> {
    let resolved = resolve(member(other, "other")?, "/other", catalogue)?;
    let board = resolved.board.board();
    let answer = validate_until(board, &resolved.request, first.stop).ok_or_else(unusable)?;
    let second = Case {
        board,
        request: &resolved.request,
        answer: &answer,
        ..first
    };
    Ok(core::compare(first, second))
}

fn no_line(line: usize) -> Faults {
    let message = format!("the kit of the request has no line {line}");
    let fault = Fault::new("/line", FaultCode::OutOfRange, message);
    Faults::from(fault.hint("a line of `/request/kit`, counted from 0"))
}

fn unusable() -> Faults {
    Faults::from(Fault::new(
        "/request/board/filling",
        FaultCode::Unusable,
        "the board has no row for this number of sockets",
    ))
}

impl Explained<'_> {
    fn context(&self) -> Context<'_> {
        Context {
            board: self.resolved.board.board(),
            request: &self.resolved.request,
        }
    }

    /// The core's explanation.
    pub fn explanation(&self) -> &Explanation {
        &self.explanation
    }

    /// As JSON.
    pub fn body<'b>(&'b self, words: &'b Words) -> ExplanationBody<'b> {
        let frame = Frame {
            reference: self.reference.as_deref(),
            revision: self.revision,
        };
        explain::body(&self.explanation, frame, words, self.context())
    }

    /// For reading.
    pub fn page(&self, words: &Words) -> Page {
        page::page(&self.explanation, words, self.context())
    }

    /// As plain text.
    pub fn text(&self, words: &Words) -> String {
        text::plain(&self.page(words))
    }
}

impl Written for Explained<'_> {
    fn json(&self, words: &Words) -> Result<Vec<u8>, Problem> {
        serde_json::to_vec(&self.body(words)).map_err(|_| Problem::internal())
    }

    fn page(&self, words: &Words) -> Page {
        Self::page(self, words)
    }

    fn drawing(&self, words: &Words) -> Option<String> {
        page::drawing(&self.explanation, words, self.context())
    }
}
