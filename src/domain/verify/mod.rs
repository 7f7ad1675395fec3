//! What was planned against what was found after the work.
//!
//! [`verify()`] groups the slots of the board by what the report tells apart (`cells`), pairs planned
//! with found modules (`pairs`, `compare`, and `refit` where only the rules can say what matters) and
//! turns what is left into findings (`places`, `missing`, `rates`, `totals`). A finding names the
//! cause: a processor that is not seated is one finding, not one for each module behind it, and what
//! follows from another finding says so. What the report does not tell is never taken for a
//! difference, nor for agreement.

mod cells;
mod compare;
mod found;
pub mod kinds;
mod missing;
mod pairs;
mod places;
mod rates;
mod refit;
#[cfg(test)]
mod tests;
mod totals;

pub use compare::Difference;
pub use found::{Found, FoundModule, FoundSlot, Holds, Plan, Total};
pub use kinds::{KINDS, Kind, MEND_FIRST, Step, Weight};

use super::board::{ChannelIx, SlotIx};
use super::finding::{Fact, Value};
use super::outcome::Outcome;
use super::population::Origin;
use super::request::PartIx;
use cells::Cell;
use compare::Likeness;
use pairs::Pairs;

/// Whether what was found is what was planned.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Agreement {
    /// It is.
    Agrees,
    /// The report does not tell all that is needed.
    CannotTell,
    /// It is not.
    Differs,
}

impl Agreement {
    /// All.
    pub const ALL: [Self; 3] = [Self::Agrees, Self::CannotTell, Self::Differs];

    /// The word.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Agrees => "agrees",
            Self::CannotTell => "cannot_tell",
            Self::Differs => "differs",
        }
    }
}

/// Something that a comparison found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// What kind.
    pub kind: &'static Kind,
    /// The numbers and names of the sentence.
    pub params: Vec<(&'static str, Value)>,
    /// Facts in which the module differs.
    pub differences: Vec<Difference>,
    /// Facts that are not told.
    pub facts: Vec<Fact>,
    /// Sockets concerned.
    pub sockets: Vec<u8>,
    /// Channels concerned.
    pub channels: Vec<ChannelIx>,
    /// Slots concerned.
    pub slots: Vec<SlotIx>,
    /// Whether it is not told which of the slots.
    pub one_of: bool,
    /// The report's slots concerned, by index.
    pub found: Vec<usize>,
    /// Kinds of findings that explain this one.
    pub follows_from: Vec<&'static Kind>,
}

impl Finding {
    pub(crate) fn new(kind: &'static Kind) -> Self {
        Self {
            kind,
            params: Vec::new(),
            differences: Vec::new(),
            facts: Vec::new(),
            sockets: Vec::new(),
            channels: Vec::new(),
            slots: Vec::new(),
            one_of: false,
            found: Vec::new(),
            follows_from: Vec::new(),
        }
    }

    fn param(mut self, name: &'static str, value: Value) -> Self {
        self.params.push((name, value));
        self
    }

    fn slots(mut self, slots: impl IntoIterator<Item = SlotIx>) -> Self {
        self.slots.extend(slots);
        self
    }

    fn of_cell(mut self, cell: &Cell) -> Self {
        self.one_of = !cell.is_one_slot();
        self.slots(cell.slots.iter().copied())
    }

    fn found(mut self, entries: impl IntoIterator<Item = usize>) -> Self {
        self.found.extend(entries);
        self
    }

    /// What to try, in this order: the causes first, where there are any.
    pub fn steps(&self) -> &'static [Step] {
        match self.follows_from.is_empty() {
            true => self.kind.steps,
            false => &[MEND_FIRST],
        }
    }

    /// Whether another says the same of other slots.
    fn is_like(&self, other: &Self) -> bool {
        self.kind == other.kind
            && self.params == other.params
            && self.differences == other.differences
            && self.facts == other.facts
            && !self.one_of
            && !other.one_of
    }
}

/// How one slot of the board compares.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SlotState {
    /// The slot.
    pub slot: SlotIx,
    /// The planned module.
    pub planned: Option<PartIx>,
    /// The report's slot, by index, where it is known.
    pub found: Option<usize>,
    /// How they compare.
    pub state: Agreement,
}

/// The result of a comparison.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Compared {
    /// Whether what was found is what was planned.
    pub agreement: Agreement,
    /// Findings: causes before consequences, then in the order of [`KINDS`], then by slot.
    pub findings: Vec<Finding>,
    /// Every slot of the board for which a module was planned or found.
    pub slots: Vec<SlotState>,
}

/// Compares what was found with what was planned.
pub fn verify(plan: &Plan<'_>, found: &Found) -> Compared {
    let cells = cells::cells(plan, found);
    let mut pairs = pairs::pairs(plan, found, &cells);
    let refitted = refit::refit(plan, found, &mut pairs.pairs);
    let comparison = Comparison {
        plan,
        found,
        cells: &cells,
        pairs: &pairs,
        refitted: &refitted,
    };
    let mut findings = match comparison.wrong_report() {
        Some(finding) => vec![finding],
        None => comparison.findings(),
    };
    findings.sort_by_key(|finding| {
        (
            !finding.follows_from.is_empty(),
            kinds::order(finding.kind),
            finding.slots.first().copied(),
        )
    });
    let has = |weight| findings.iter().any(|finding| finding.kind.weight == weight);
    Compared {
        agreement: match () {
            () if has(Weight::Differs) => Agreement::Differs,
            () if has(Weight::CannotTell) => Agreement::CannotTell,
            () => Agreement::Agrees,
        },
        slots: comparison.slots(),
        findings,
    }
}

/// Both sides, and what has been made of them.
struct Comparison<'a> {
    plan: &'a Plan<'a>,
    found: &'a Found,
    cells: &'a [Cell],
    pairs: &'a Pairs,
    /// What comes out with found modules that are alike in place of the planned ones.
    refitted: &'a [Outcome],
}

impl Comparison<'_> {
    fn findings(&self) -> Vec<Finding> {
        let mut findings = merged(self.places());
        findings.extend(self.missing());
        if let Some(before) = self.state_before() {
            for finding in &mut findings {
                finding.follows_from = vec![before.kind];
            }
            findings.push(before);
        }
        findings.extend(self.processors());
        let rates = self.rates(&findings);
        findings.extend(rates);
        let totals = self.totals(&findings);
        findings.extend(totals);
        findings
    }

    /// The report is of another machine or shows nothing at all: then nothing else is worth saying.
    fn wrong_report(&self) -> Option<Finding> {
        let generation = self.plan.board.generation;
        let mut generations = self
            .found
            .modules()
            .filter_map(|(_, module)| module.facts.generation);
        let first = generations.next();
        if let Some(other) = first.filter(|other| *other != generation)
            && generations.all(|next| next != generation)
        {
            let finding = Finding::new(&kinds::OTHER_GENERATION)
                .param("planned", Value::Word(generation.name()))
                .param("found", Value::Word(other.name()));
            return Some(finding.found(self.found.modules().map(|(index, _)| index)));
        }
        let untold = |slot: &FoundSlot| matches!(slot.holds, Holds::Untold);
        let blank = self.found.count() == 0 && self.found.complete;
        let none = blank && !self.found.slots.iter().any(untold);
        let planned = self.plan.population.count();
        (none && planned > 0)
            .then(|| Finding::new(&kinds::NO_MODULE).param("planned", Value::Count(planned as u64)))
    }

    /// The report shows exactly what was installed before, and nothing of what was added.
    fn state_before(&self) -> Option<Finding> {
        let installed = &self.plan.request.installed;
        let is_added = |slot: SlotIx| {
            let occupant = self.plan.population.at(slot);
            occupant.is_some_and(|own| !matches!(own.origin, Origin::Installed(_)))
        };
        let planned = self.plan.population.occupied();
        let added = planned.filter(|(slot, _)| is_added(*slot)).count();
        let missing = self.pairs.missing.iter();
        let gone = missing.filter(|want| is_added(want.slot)).count();
        let same_count = self.found.count() == installed.len() && !installed.is_empty();
        let as_before = installed.iter().all(|own| match own.slot {
            None => true,
            Some(slot) => self.holds(slot, own.part),
        });
        (added > 0 && gone == added && same_count && as_before).then(|| {
            Finding::new(&kinds::STATE_BEFORE)
                .param("installed", Value::Count(installed.len() as u64))
                .param("added", Value::Count(added as u64))
                .slots(planned_slots(self.plan).filter(|slot| is_added(*slot)))
        })
    }

    /// Whether the report shows a module of this part in a slot, or one that may be.
    fn holds(&self, slot: SlotIx, part: PartIx) -> bool {
        let planned = self.plan.request.part(part);
        let names = self.plan.names_of(part);
        let is = |(index, module): (usize, &FoundModule)| {
            let spots = self.found.slots.get(index).map(|own| own.spots.as_slice());
            let likeness = planned.map(|planned| compare::compare(planned, names, module, false));
            spots == Some(&[slot])
                && likeness.is_some_and(|own| own.is_same() || matches!(own, Likeness::Open(_)))
        };
        self.found.modules().any(is)
    }

    /// How each slot compares.
    fn slots(&self) -> Vec<SlotState> {
        let mut states = Vec::new();
        for (index, cell) in self.cells.iter().enumerate() {
            for slot in &cell.slots {
                let planned = self.plan.population.at(*slot).map(|own| own.part);
                let found = match cell.entries.as_slice() {
                    [entry] if cell.is_one_slot() => Some(*entry),
                    _ => None,
                };
                let holds = found.and_then(|entry| self.found.slots.get(entry));
                let empty = holds.is_none_or(|own| matches!(own.holds, Holds::Empty));
                if planned.is_none() && empty {
                    continue;
                }
                states.push(SlotState {
                    slot: *slot,
                    planned,
                    found,
                    state: self.state(index, cell, *slot),
                });
            }
        }
        states.sort_by_key(|state| state.slot);
        states
    }

    fn state(&self, index: usize, cell: &Cell, slot: SlotIx) -> Agreement {
        let pair = self.pairs.pairs.iter().find(|pair| pair.want.slot == slot);
        let untold = |entry: &usize| {
            let holds = self.found.slots.get(*entry).map(|own| &own.holds);
            matches!(holds, Some(Holds::Untold))
        };
        let open =
            cell.entries.iter().any(untold) || (cell.entries.is_empty() && !self.found.complete);
        match pair {
            None if open => Agreement::CannotTell,
            None => Agreement::Differs,
            Some(pair) if pair.have.cell != index => Agreement::Differs,
            Some(pair) if self.is_switched_off(pair) => Agreement::Differs,
            Some(pair) => match &pair.likeness {
                Some(Likeness::Open(_)) => Agreement::CannotTell,
                Some(likeness) if likeness.is_same() => match cell.order_matters() {
                    true => Agreement::CannotTell,
                    false => Agreement::Agrees,
                },
                _ => Agreement::Differs,
            },
        }
    }
}

/// Slots for which a module is planned.
fn planned_slots<'a>(plan: &'a Plan<'_>) -> impl Iterator<Item = SlotIx> + 'a {
    plan.population.occupied().map(|(slot, _)| slot)
}

/// Findings that say the same of several slots become one.
fn merged(findings: Vec<Finding>) -> Vec<Finding> {
    let mut merged: Vec<Finding> = Vec::new();
    for finding in findings {
        match merged.iter_mut().find(|known| known.is_like(&finding)) {
            Some(known) => {
                known.slots.extend(finding.slots);
                known.channels.extend(finding.channels);
                known.found.extend(finding.found);
                known.slots.sort_unstable();
                known.channels.sort_unstable();
                known.channels.dedup();
            }
            None => merged.push(finding),
        }
    }
    merged
}
