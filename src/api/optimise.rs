//! From a request to the best kits: the one road that the service and the command line both take.

use std::cell::Cell;
use std::time::{Duration, Instant};

use super::wire::optimise::answer::{self, OptimiseBody};
use super::wire::optimise::{Asked, OptimiseRequest};
use crate::catalogue::Catalogue;
use crate::domain::optimise::{Cut, Diagnosis, Front, Status, Task, diagnose, front, solve};
use crate::domain::request::Request;
use crate::domain::stop::Stop;
use crate::domain::validate::validate;
use crate::render::plans::{self, Found};
use crate::render::words::{Context, Words};
use crate::wirecheck::{Fault, FaultCode, Faults};

/// The best kits and what they rest on.
pub struct Optimised<'a> {
    asked: Asked<'a>,
    found: Found,
    reference: Option<String>,
    revision: &'a str,
}

/// Finds the best kits.
///
/// # Errors
/// Everything that cannot be found or used, with pointers into the request.
pub fn optimise<'a>(
    body: &OptimiseRequest,
    catalogue: &'a Catalogue,
) -> Result<Optimised<'a>, Faults> {
    optimise_until(body, catalogue, Instant::now(), &Stop::never())
}

/// The same for a request that came at `came`, ended early when a stop is asked for: then it gives what
/// it has found.
///
/// # Errors
/// Everything that cannot be found or used, with pointers into the request.
pub fn optimise_until<'a>(
    body: &OptimiseRequest,
    catalogue: &'a Catalogue,
    came: Instant,
    stop: &Stop,
) -> Result<Optimised<'a>, Faults> {
    let asked = body.resolve(catalogue)?;
    let found = search_until(&asked, came, stop)?;
    Ok(Optimised {
        asked,
        found,
        reference: body.reference.clone(),
        revision: catalogue.revision(),
    })
}

/// Finds what a request whose names are known asks for.
///
/// # Errors
/// When a search ends. Its time runs from when the request came, whatever it waited for a thread; a
/// tenth of it is left in any case, for the first kit is mostly found at once.
fn end(came: Instant, begun: Instant, time: Duration) -> Instant {
    (came + time).max(begun + time / 10)
}

/// A board that has no row for so many sockets.
pub fn search_until(asked: &Asked<'_>, came: Instant, stop: &Stop) -> Result<Found, Faults> {
    check_sockets(asked)?;
    let end = end(came, Instant::now(), Duration::from_millis(asked.time));
    let timed_out = Cell::new(false);
    let over = || {
        let over = stop.is_asked() || Instant::now() >= end;
        timed_out.set(timed_out.get() || over);
        over
    };
    let task = asked.task(&over);
    let mut found = match &asked.front {
        Some((keys, points)) => of_front(&task, front(&task, keys, *points)),
        None => of_answer(&task),
    };
    if found.cut.is_some() {
        found.cut = Some(match timed_out.get() {
            true => Cut::Time,
            false => Cut::Steps,
        });
    }
    Ok(found)
}

/// A board that has no row for so many sockets tells nothing.
fn check_sockets(asked: &Asked<'_>) -> Result<(), Faults> {
    let bare = Request {
        sockets: asked.resolved.request.sockets.clone(),
        ..Request::default()
    };
    let unusable = || {
        Faults::from(Fault::new(
            "/board/filling",
            FaultCode::Unusable,
            "the board has no row for this number of sockets",
        ))
    };
    let answer = validate(asked.resolved.board.board(), &bare);
    answer.map(|_| ()).ok_or_else(unusable)
}

fn of_answer(task: &Task<'_>) -> Found {
    let answer = solve(task);
    let cut = match answer.status {
        Status::BestFound => true,
        Status::Undecided => !answer.open || answer.counts.nodes > task.steps || (task.stop)(),
        // Among kits that are equal in what is preferred.
        Status::Proven => answer.loose,
        Status::Infeasible => false,
    };
    Found {
        gap: answer.gap(task),
        diagnosis: diagnosis(task, answer.status),
        status: answer.status,
        cut: cut.then_some(Cut::Steps),
        bound: answer.bound,
        open: answer.open,
        counts: answer.counts,
        plans: answer.plans,
        front: None,
    }
}

fn of_front(task: &Task<'_>, found: Front) -> Found {
    let mut own = Found {
        status: match (found.complete, found.plans.is_empty()) {
            (true, false) => Status::Proven,
            (false, false) => Status::BestFound,
            (_, true) => Status::Undecided,
        },
        plans: found.plans,
        bound: None,
        gap: None,
        open: found.open,
        cut: found.cut.then_some(Cut::Steps),
        counts: found.counts,
        front: Some((found.keys, found.complete)),
        diagnosis: None,
    };
    if own.plans.is_empty() && own.cut.is_none() {
        // No point: whether there is no plan either is a question of its own.
        let answer = solve(task);
        own.counts.add(&answer.counts);
        own.open |= answer.open;
        if answer.status == Status::Infeasible {
            own.status = Status::Infeasible;
            own.diagnosis = diagnosis(task, answer.status);
        } else if found.complete && !found.open {
            // Kits there are, but none that is a point: all points of it are known.
            own.status = Status::Proven;
        }
    }
    own
}

fn diagnosis(task: &Task<'_>, status: Status) -> Option<Diagnosis> {
    (status == Status::Infeasible).then(|| diagnose(task))
}

impl Optimised<'_> {
    fn context(&self) -> Context<'_> {
        Context {
            board: self.asked.resolved.board.board(),
            request: &self.asked.resolved.request,
        }
    }

    /// What was asked.
    pub fn asked(&self) -> &Asked<'_> {
        &self.asked
    }

    /// What was found.
    pub fn found(&self) -> &Found {
        &self.found
    }

    /// What was found, for words.
    fn page<'b>(&'b self) -> plans::Page<'b> {
        plans::Page {
            context: self.context(),
            found: &self.found,
            preference: &self.asked.preference,
            limits: &self.asked.limits,
            currency: self.asked.currency,
        }
    }

    /// The answer as JSON.
    pub fn body<'b>(&'b self, words: &'b Words) -> OptimiseBody<'b> {
        let frame = answer::Frame {
            reference: self.reference.as_deref(),
            revision: self.revision,
        };
        answer::body(&self.asked, frame, self.page(), words)
    }

    /// The answer for reading.
    pub fn report(&self, words: &Words) -> String {
        let mut page = plans::report(&self.page(), words);
        page.push_str(&super::decide::notes_as_text(
            &self.asked.resolved.notes,
            words,
        ));
        page
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waiting_for_a_thread_counts_as_time_but_leaves_a_tenth() {
        let second = Duration::from_secs(1);
        let came = Instant::now();
        assert_eq!(end(came, came, second * 2), came + second * 2);
        assert_eq!(end(came, came + second, second * 2), came + second * 2);
        let late = came + second * 6;
        assert_eq!(end(came, late, second * 2), late + second / 5);
    }
}
