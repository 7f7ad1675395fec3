//! From a request to its explanation: the one road that the service and the command line both take.

use std::time::Instant;

use super::form::Written;
use super::optimise::search_until;
use super::problem::Problem;
use super::wire::explain::{self, AboutName, ExplainRequest, ExplanationBody, Frame};
use super::wire::optimise::alternative::{AT as ALTERNATIVE, AlternativeEntry};
use super::wire::optimise::{Asked, OptimiseRequest};
use super::wire::request::ValidateRequest;
use super::wire::resolve::Resolved;
use crate::catalogue::Catalogue;
use crate::domain::explain::{self as core, Case, Choice, Explanation, Kits, Named};
use crate::domain::stop::Stop;
use crate::domain::validate::validate_until;
use crate::render::page::{Page, explanation as page};
use crate::render::plans::Found;
use crate::render::text;
use crate::render::words::{Context, Words};
use crate::wirecheck::{Fault, FaultCode, Faults};

/// An explanation and what it rests on.
pub struct Explained<'a> {
    resolved: Resolved<'a>,
    explanation: Explanation,
    /// Not of a choice, where the optimiser's kit and the named one are two.
    allowed: Option<bool>,
    reference: Option<String>,
    revision: &'a str,
}

/// Explains the answer to a request to validate.
type Explainer = fn(Case<'_>, &ExplainRequest, &Catalogue) -> Result<Explanation, Faults>;

/// Explains what a request asks about.
///
/// # Errors
/// Everything that cannot be found or used, with pointers into the request.
pub fn explain<'a>(
    body: &ExplainRequest,
    catalogue: &'a Catalogue,
) -> Result<Explained<'a>, Faults> {
    explain_until(body, catalogue, Instant::now(), &Stop::never())
}

/// The same for a request that came at `came`, ended early when a stop is asked for. What it gives then
/// is no explanation.
///
/// # Errors
/// Everything that cannot be found or used, with pointers into the request.
pub fn explain_until<'a>(
    body: &ExplainRequest,
    catalogue: &'a Catalogue,
    came: Instant,
    stop: &Stop,
) -> Result<Explained<'a>, Faults> {
    unused(body)?;
    let explained: Explainer = match body.about.unwrap_or_default() {
        AboutName::Choice => return choice(body, catalogue, came, stop),
        AboutName::Verdict => |case, _, _| Ok(core::verdict(case)),
        AboutName::Limit => |case, body, _| {
            let line = usize::from(body.line.unwrap_or(0));
            core::limit(case, line).ok_or_else(|| no_line(line))
        },
        AboutName::Compare => |case, body, catalogue| compare(case, body.other.as_ref(), catalogue),
        AboutName::Conflict => |case, _, _| Ok(core::conflict(case)),
        AboutName::Worksheet => |case, _, _| Ok(core::worksheet(case)),
    };
    let request = member(body.request.as_ref(), "request", AS_VALIDATE)?;
    let resolved = resolve(request, "/request", catalogue)?;
    let board = resolved.board.board();
    let answer = validate_until(board, &resolved.request, stop).ok_or_else(unusable)?;
    let case = Case {
        board,
        request: &resolved.request,
        answer: &answer,
        stop,
    };
    let explanation = explained(case, body, catalogue)?;
    Ok(Explained {
        allowed: Some(resolved.block_on.allows(&answer)),
        resolved,
        explanation,
        reference: request.reference.clone(),
        revision: catalogue.revision(),
    })
}

/// What stands in a member that is missing.
const AS_VALIDATE: &str = "a request as for `/v1/validate`";

fn member<'b, T>(member: Option<&'b T>, name: &str, hint: &str) -> Result<&'b T, Faults> {
    member.ok_or_else(|| {
        let message = format!("`{name}` is missing");
        let fault = Fault::new("", FaultCode::MissingMember, message);
        Faults::from(fault.hint(hint))
    })
}

/// Why the optimiser preferred its kit to a named one.
fn choice<'a>(
    body: &ExplainRequest,
    catalogue: &'a Catalogue,
    came: Instant,
    stop: &Stop,
) -> Result<Explained<'a>, Faults> {
    let request = member(
        body.optimise.as_ref(),
        "optimise",
        "a request as for `/v1/optimise`",
    )?;
    let alternative = member(
        body.alternative.as_ref(),
        "alternative",
        "a `kit`, a `population`, or the number of a `plan`",
    )?;
    let (asked, found, named) = searched(request, alternative, catalogue, came, stop)
        .map_err(|faults| placed(faults, "/optimise"))?;
    let asks = || stop.is_asked();
    let task = asked.task(&asks);
    let case = Choice {
        task: &task,
        found: Kits {
            status: found.status,
            plans: &found.plans,
            gap: found.gap,
            open: found.open,
            cut: found.cut,
            conflict: found.diagnosis.as_ref().map(|why| &why.conflict),
        },
        named: &named,
        stop,
    };
    let explanation = core::choice(&case).ok_or_else(unusable)?;
    let named_request = case.named_request();
    drop(task);
    Ok(Explained {
        resolved: Resolved {
            request: named_request,
            ..asked.resolved
        },
        explanation,
        allowed: None,
        reference: request.reference.clone(),
        revision: catalogue.revision(),
    })
}

/// What the optimiser found, and the kit that was named beside it.
fn searched<'a>(
    request: &OptimiseRequest,
    alternative: &AlternativeEntry,
    catalogue: &'a Catalogue,
    came: Instant,
    stop: &Stop,
) -> Result<(Asked<'a>, Found, Named), Faults> {
    if request.front.is_some() {
        let message = "a front has no first choice";
        let fault = Fault::new("/front", FaultCode::Unusable, message);
        return Err(fault
            .hint("leave `front` out, and say what is preferred")
            .into());
    }
    let (asked, named) = request.resolve_with(catalogue, alternative)?;
    let found = search_until(&asked, came, stop)?;
    match named {
        Some(Named::Plan(index)) if index >= found.plans.len() => {
            let message = format!("the optimiser gives {} kits", found.plans.len());
            let at = format!("{ALTERNATIVE}/plan");
            let fault = Fault::new(at, FaultCode::OutOfRange, message);
            Err(fault.hint("one of their numbers, from 1").into())
        }
        Some(named) => Ok((asked, found, named)),
        // Without a fault there is always one.
        None => Err(unusable()),
    }
}

/// Faults of a request that stands inside another.
fn placed(mut faults: Faults, at: &str) -> Faults {
    for fault in &mut faults.list {
        if !fault.pointer.starts_with(ALTERNATIVE) {
            fault.pointer.insert_str(0, at);
        }
    }
    faults
}

/// Whatever would be read for another question only: whoever sent it expects another answer.
fn unused(body: &ExplainRequest) -> Result<(), Faults> {
    let about = body.about.unwrap_or_default();
    let choice = about == AboutName::Choice;
    let (compare, limit) = (about == AboutName::Compare, about == AboutName::Limit);
    let members = [
        ("request", body.request.is_some(), !choice),
        ("other", body.other.is_some(), compare),
        ("line", body.line.is_some(), limit),
        ("optimise", body.optimise.is_some(), choice),
        ("alternative", body.alternative.is_some(), choice),
    ];
    let mut faults = Faults::default();
    for (name, _, _) in members.iter().filter(|(_, told, read)| *told && !read) {
        let message = format!("`{name}` is not read for this question");
        let fault = Fault::new(format!("/{name}"), FaultCode::Unusable, message);
        faults.push(fault.hint("leave it out, or say in `about` which question it belongs to"));
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}

/// Looks the names of a request up that stands inside another.
fn resolve<'a>(
    request: &ValidateRequest,
    at: &str,
    catalogue: &'a Catalogue,
) -> Result<Resolved<'a>, Faults> {
    let resolved = request.resolve(catalogue);
    resolved.map_err(|faults| placed(faults, at))
}

/// Holds another request beside one.
fn compare(
    first: Case<'_>,
    other: Option<&ValidateRequest>,
    catalogue: &Catalogue,
) -> Result<Explanation, Faults> {
    let resolved = resolve(member(other, "other", AS_VALIDATE)?, "/other", catalogue)?;
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

    /// The caller's own reference.
    pub fn reference(&self) -> Option<&str> {
        self.reference.as_deref()
    }

    /// The id of the board.
    pub fn board(&self) -> &str {
        &self.resolved.board.board().id
    }

    /// The revision of the catalogue that decided.
    pub fn revision(&self) -> &str {
        self.revision
    }

    /// Whether the answer to the request allows, where one request is explained.
    pub fn allowed(&self) -> Option<bool> {
        self.allowed
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
