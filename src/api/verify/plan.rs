//! The plan of a comparison: a request, placed as it was answered or as it would be answered now.

use crate::api::wire::note::NoteBody;
use crate::api::wire::request::ValidateRequest;
use crate::api::wire::resolve::Resolved;
use crate::api::wire::verify::PlannedPlacement;
use crate::catalogue::Catalogue;
use crate::domain::board::{Board, SlotIx};
use crate::domain::finding::Verdict;
use crate::domain::outcome::Outcome;
use crate::domain::population::{Occupant, Origin, Population};
use crate::domain::request::{PartIx, Request};
use crate::domain::stop::Stop;
use crate::domain::units::Mts;
use crate::domain::validate::{Answer, validate_until};
use crate::domain::verify::Plan;
use crate::wirecheck::near::close_matches;
use crate::wirecheck::{Fault, FaultCode, Faults};

/// Where the plan stands in a request.
const AT: &str = "/plan";

/// A plan with its placement.
pub struct Planned<'a> {
    /// Its names, looked up.
    pub resolved: Resolved<'a>,
    /// What its parts are called.
    names: Vec<Vec<String>>,
    /// Which module goes where.
    pub population: Population,
    /// What should come out.
    pub outcome: Outcome,
    /// The verdict on it.
    pub verdict: Verdict,
    rate_at_best: Option<Mts>,
}

impl Planned<'_> {
    /// The board.
    pub fn board(&self) -> &Board {
        self.resolved.board.board()
    }

    /// For the core.
    pub fn plan(&self) -> Plan<'_> {
        Plan {
            board: self.board(),
            request: &self.resolved.request,
            names: &self.names,
            population: &self.population,
            outcome: &self.outcome,
            rate_at_best: self.rate_at_best,
        }
    }

    /// Where the module that is planned for a slot stands in the request.
    pub fn pointer(&self, slot: SlotIx) -> Option<String> {
        Some(match self.population.at(slot)?.origin {
            Origin::Kit(line) => format!("{AT}/kit/{line}"),
            Origin::Population(entry) => format!("{AT}/population/{entry}"),
            Origin::Installed(entry) => format!("{AT}/installed/{entry}"),
        })
    }

    /// What was noted while the plan was read.
    pub fn notes(&self) -> impl Iterator<Item = NoteBody> + '_ {
        self.resolved.notes.iter().map(|note| NoteBody {
            pointer: note.pointer.as_ref().map(|at| format!("{AT}{at}")),
            ..note.clone()
        })
    }
}

/// Takes a plan.
///
/// # Errors
/// Everything that cannot be found or used, and a plan without a placement.
pub fn take<'a>(
    request: &ValidateRequest,
    placement: Option<&PlannedPlacement>,
    catalogue: &'a Catalogue,
    stop: &Stop,
) -> Result<Planned<'a>, Faults> {
    let resolved = request.resolve(catalogue).map_err(below_plan)?;
    let (population, answer) = match placement {
        None => placed(&resolved, stop)?,
        Some(placement) => followed(&resolved, placement, stop)?,
    };
    if let Some((slot, _)) = population.doubled.first() {
        let label = resolved.board.board().label(*slot);
        let message = format!("two modules are planned for slot `{label}`");
        return Err(Fault::new(AT, FaultCode::Unusable, message).into());
    }
    let rates = answer.models.iter().filter_map(|model| model.rate);
    Ok(Planned {
        names: names(&resolved),
        population,
        verdict: answer.verdict,
        rate_at_best: rates.max().or(answer.outcome.rate),
        outcome: answer.outcome,
        resolved,
    })
}

/// Faults of the plan, by their place in the whole request.
fn below_plan(mut faults: Faults) -> Faults {
    for fault in &mut faults.list {
        fault.pointer.insert_str(0, AT);
    }
    faults
}

/// What the catalogue and the makers call the parts.
fn names(resolved: &Resolved<'_>) -> Vec<Vec<String>> {
    let parts = resolved.request.parts.iter().zip(&resolved.ids);
    let names = parts.map(|(part, id)| part.part_number.iter().chain(id).cloned().collect());
    names.collect()
}

fn judge(resolved: &Resolved<'_>, request: &Request, stop: &Stop) -> Result<Answer, Faults> {
    let answer = validate_until(resolved.board.board(), request, stop);
    answer.ok_or_else(|| {
        let message = "the board has no row for this number of sockets";
        Fault::new(format!("{AT}/board/filling"), FaultCode::Unusable, message).into()
    })
}

/// The plan placed anew.
fn placed(resolved: &Resolved<'_>, stop: &Stop) -> Result<(Population, Answer), Faults> {
    let answer = judge(resolved, &resolved.request, stop)?;
    let nearest = !answer.given && answer.proven_best.is_none();
    if nearest || !answer.left_over.is_empty() {
        let message = "the plan has no placement, so there is nothing to compare with";
        let fault = Fault::new(AT, FaultCode::Unusable, message);
        let hint = "a plan that fits, or a `population` that names the slots";
        return Err(fault.hint(hint).into());
    }
    Ok((answer.population.clone(), answer))
}

/// The placement of an earlier answer.
fn followed(
    resolved: &Resolved<'_>,
    placement: &PlannedPlacement,
    stop: &Stop,
) -> Result<(Population, Answer), Faults> {
    let board = resolved.board.board();
    let mut population = Population::empty(board);
    let mut faults = Faults::default();
    for (index, seat) in placement.slots.iter().enumerate() {
        let at = format!("/placement/slots/{index}");
        let slot = board.slot_named(&seat.slot);
        if slot.is_none() {
            let labels = board.slots.iter().map(|slot| slot.label.as_str());
            let message = format!("board `{}` has no slot `{}`", board.id, seat.slot);
            let fault = Fault::new(format!("{at}/slot"), FaultCode::UnknownName, message);
            faults.push(fault.close_matches(close_matches(&seat.slot, labels)));
        }
        let occupant = occupant(&seat.from, &resolved.request);
        if occupant.is_none() {
            let message = format!("the plan has no `{}`", seat.from);
            let fault = Fault::new(format!("{at}/from"), FaultCode::UnknownName, message);
            faults.push(fault.hint("a line or an entry of the plan, such as `/kit/0`"));
        }
        if let (Some(slot), Some(occupant)) = (slot, occupant) {
            population.seat(slot, occupant);
        }
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let answer = judge(resolved, &population.as_given(&resolved.request), stop)?;
    Ok((population, answer))
}

/// The module behind a pointer such as `/kit/0`.
fn occupant(from: &str, request: &Request) -> Option<Occupant> {
    let (list, index) = from.strip_prefix('/')?.split_once('/')?;
    let index: u32 = index.parse().ok()?;
    let at = usize::try_from(index).ok()?;
    let (part, origin): (PartIx, Origin) = match list {
        "kit" => (request.kit.get(at)?.part, Origin::Kit(index)),
        "population" => (request.population.get(at)?.part, Origin::Population(index)),
        "installed" => (request.installed.get(at)?.part, Origin::Installed(index)),
        _ => return None,
    };
    Some(Occupant { part, origin })
}
