//! Modules that were found: in another slot, another one than planned, too many, or not fully told.

use super::super::board::SlotIx;
use super::super::finding::Value;
use super::super::request::SocketState;
use super::compare::Likeness;
use super::kinds;
use super::pairs::{Have, Pair};
use super::{Comparison, Finding, Holds};

impl Comparison<'_> {
    /// Findings on modules that were found.
    pub(super) fn places(&self) -> Vec<Finding> {
        let mut findings = self.moved();
        let pairs = self.pairs.pairs.iter();
        findings.extend(pairs.filter_map(|pair| self.unlike(pair)));
        let pairs = self.pairs.pairs.iter();
        findings.extend(pairs.filter_map(|pair| self.switched_off(pair)));
        findings.extend(self.pairs.extra.iter().map(|have| self.unplanned(*have)));
        findings.extend(self.slots_not_told());
        findings
    }

    /// Modules that sit in each other's slots, or in a slot where they were not planned.
    fn moved(&self) -> Vec<Finding> {
        let moved: Vec<&Pair> = self
            .pairs
            .pairs
            .iter()
            .filter(|pair| pair.want.cell != pair.have.cell)
            .collect();
        let back = |pair: &Pair| {
            moved
                .iter()
                .find(|other| {
                    other.want.cell == pair.have.cell && other.have.cell == pair.want.cell
                })
                .copied()
        };
        let one = |pair: &&Pair| match back(pair) {
            None => Some(self.in_other_slot(pair)),
            Some(other) if other.want.cell > pair.want.cell => Some(self.exchanged(pair, other)),
            Some(_) => None,
        };
        moved.iter().filter_map(one).collect()
    }

    fn in_other_slot(&self, pair: &Pair) -> Finding {
        let finding = Finding::new(&kinds::OTHER_SLOT)
            .param("part", Value::Part(pair.want.part))
            .param("from", self.cell_text(pair.have.cell))
            .param("to", self.cell_text(pair.want.cell))
            .found([pair.have.entry]);
        finding.slots(
            self.cell_slots(pair.want.cell)
                .chain(self.cell_slots(pair.have.cell)),
        )
    }

    fn exchanged(&self, pair: &Pair, other: &Pair) -> Finding {
        let finding = Finding::new(&kinds::EXCHANGED)
            .param("one", Value::Part(pair.want.part))
            .param("other", Value::Part(other.want.part))
            .param("from", self.cell_text(pair.want.cell))
            .param("to", self.cell_text(other.want.cell))
            .found([pair.have.entry, other.have.entry]);
        finding.slots(
            self.cell_slots(pair.want.cell)
                .chain(self.cell_slots(other.want.cell)),
        )
    }

    fn cell_slots(&self, cell: usize) -> impl Iterator<Item = SlotIx> + '_ {
        let cell = self.cells.get(cell);
        cell.into_iter().flat_map(|cell| cell.slots.iter().copied())
    }

    /// Labels of a group's slots, of which one is meant.
    fn cell_text(&self, cell: usize) -> Value {
        let label = |slot| Value::Text(self.plan.board.label(slot).to_owned());
        Value::OneOf(self.cell_slots(cell).map(label).collect())
    }

    /// A module that is not what was planned, or of which that cannot be told.
    fn unlike(&self, pair: &Pair) -> Option<Finding> {
        let kind = match pair.likeness.as_ref() {
            None => &kinds::UNREADABLE,
            Some(Likeness::Same | Likeness::Alike) => return None,
            Some(Likeness::SameOtherNumber) => &kinds::OTHER_NUMBER,
            Some(Likeness::Faster) => &kinds::FASTER,
            Some(Likeness::Open(_)) => &kinds::FACTS_NOT_TOLD,
            Some(Likeness::Part) => &kinds::PART_OF_MODULE,
            Some(Likeness::Other(differences)) => match differences.as_slice() {
                [only] if only.fact == super::super::finding::Fact::Capacity => &kinds::CAPACITY,
                _ => &kinds::OTHER_MODULE,
            },
        };
        let finding = Finding::new(kind)
            .param("part", Value::Part(pair.want.part))
            .found([pair.have.entry]);
        let finding = self.with_found(finding, pair);
        // A module in another slot is shown in the slot where it is.
        Some(match self.cells.get(pair.have.cell) {
            Some(cell) if cell.is_one_slot() => finding.slots(cell.slots.iter().copied()),
            Some(cell) => finding.of_cell(cell),
            None => finding,
        })
    }

    /// A module that firmware has switched off, and that is to work.
    fn switched_off(&self, pair: &Pair) -> Option<Finding> {
        if !self.is_switched_off(pair) {
            return None;
        }
        let finding = Finding::new(&kinds::SWITCHED_OFF)
            .param("part", Value::Part(pair.want.part))
            .found([pair.have.entry]);
        Some(match self.cells.get(pair.have.cell) {
            Some(cell) => finding.of_cell(cell),
            None => finding,
        })
    }

    /// Whether a module is switched off that is to work.
    pub(super) fn is_switched_off(&self, pair: &Pair) -> bool {
        let planned = self.plan.request.part(pair.want.part);
        let found = self.found.module(pair.have.entry);
        found.is_some_and(|own| own.facts.switched_off)
            && !planned.is_some_and(|own| own.switched_off)
    }

    /// The numbers of what was found.
    fn with_found(&self, finding: Finding, pair: &Pair) -> Finding {
        let planned = self.plan.request.part(pair.want.part);
        let found = self.found.module(pair.have.entry);
        let (Some(planned), Some(found)) = (planned, found) else {
            return finding;
        };
        let name = Value::Text(found.facts.name.clone());
        match pair.likeness.as_ref() {
            Some(Likeness::Part) => {
                let seen = found.facts.capacity.map(Value::Capacity);
                let whole = planned.capacity.map(Value::Capacity);
                let finding = whole.into_iter().fold(finding, |f, v| f.param("whole", v));
                seen.into_iter().fold(finding, |f, v| f.param("seen", v))
            }
            Some(Likeness::SameOtherNumber) => finding.param("found", name),
            Some(Likeness::Faster) => {
                let finding = finding.param("found", name);
                let rate = found.facts.rate.map(Value::Rate);
                rate.into_iter().fold(finding, |f, v| f.param("rate", v))
            }
            Some(Likeness::Open(facts)) => Finding {
                facts: facts.clone(),
                ..finding
            },
            Some(Likeness::Other(differences)) => Finding {
                differences: differences.clone(),
                ..finding.param("found", name)
            },
            _ => finding,
        }
    }

    /// A module that nobody planned.
    fn unplanned(&self, have: Have) -> Finding {
        let board = self.plan.board;
        let cell = self.cells.get(have.cell);
        let sockets: Vec<u8> = self
            .cell_slots(have.cell)
            .map(|slot| board.address(board.channel_of(slot)).0)
            .collect();
        let empty = |socket: &u8| {
            let states = self.plan.request.sockets.as_ref();
            let state = states.and_then(|all| all.get(usize::from(*socket).saturating_sub(1)));
            state == Some(&SocketState::Empty)
        };
        let unfitted = !sockets.is_empty() && sockets.iter().all(empty);
        let mut finding = Finding::new(match unfitted {
            true => &kinds::UNFITTED_SOCKET,
            false => &kinds::NOT_PLANNED,
        });
        if unfitted {
            finding.sockets = sockets;
            finding.sockets.dedup();
        } else {
            let name = match self.found.module(have.entry) {
                Some(module) => Value::Text(module.facts.name.clone()),
                None => Value::Text("?".to_owned()),
            };
            let planned = cell.map_or(0, |cell| cell.planned.len());
            finding = finding
                .param("found", name)
                .param("planned", Value::Count(planned as u64));
        }
        let finding = finding.found([have.entry]);
        match cell {
            Some(cell) => finding.of_cell(cell),
            None => finding,
        }
    }

    /// Groups whose modules are all there, in slots that the report does not tell apart; and slots of
    /// which it does not say whether they hold anything.
    fn slots_not_told(&self) -> Vec<Finding> {
        let holds = |entry: &usize, wanted: fn(&Holds) -> bool| {
            let slot = self.found.slots.get(*entry);
            slot.is_some_and(|slot| wanted(&slot.holds))
        };
        let mut findings = Vec::new();
        for cell in self.cells {
            let module = |own: &Holds| matches!(own, Holds::Module(_) | Holds::Unreadable);
            let untold = |own: &Holds| matches!(own, Holds::Untold);
            let held = cell.entries.iter().any(|entry| holds(entry, module));
            if held && cell.order_matters() && !cell.planned.is_empty() {
                let finding = Finding::new(&kinds::SLOTS_NOT_TOLD).found(cell.entries.clone());
                findings.push(finding.slots(cell.slots.iter().copied()));
            }
            let open = cell.entries.iter().copied();
            let open: Vec<usize> = open.filter(|own| holds(own, untold)).collect();
            if !open.is_empty() {
                let finding = Finding::new(&kinds::OCCUPANCY_NOT_TOLD).found(open);
                findings.push(finding.slots(cell.slots.iter().copied()));
            }
        }
        findings
    }
}
