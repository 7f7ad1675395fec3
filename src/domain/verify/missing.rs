//! Planned modules that were not found: a whole socket, a whole channel, or single modules.

use super::super::board::{ChannelIx, SlotIx};
use super::super::finding::Value;
use super::super::request::{PartIx, SocketState};
use super::cells::Cell;
use super::kinds;
use super::{Comparison, Finding, Holds, planned_slots};
use std::collections::BTreeSet;

impl Comparison<'_> {
    /// Findings on modules that were not found.
    pub(super) fn missing(&self) -> Vec<Finding> {
        let mut findings = Vec::new();
        let mut gone = BTreeSet::new();
        for (index, cell) in self.cells.iter().enumerate() {
            findings.extend(self.of_cell(index, cell, &mut gone));
        }
        findings.extend(self.incomplete());
        self.sockets(&mut gone, &mut findings);
        self.channels(&mut gone, &mut findings);
        self.modules(&gone, &mut findings);
        findings
    }

    /// Puts the slots of a group that surely lack their module among those that are `gone`.
    fn of_cell(&self, index: usize, cell: &Cell, gone: &mut BTreeSet<SlotIx>) -> Option<Finding> {
        let missing: Vec<SlotIx> = self
            .pairs
            .missing
            .iter()
            .filter(|want| want.cell == index)
            .map(|want| want.slot)
            .collect();
        let untold = |entry: &usize| {
            let holds = self.found.slots.get(*entry).map(|own| &own.holds);
            matches!(holds, Some(Holds::Untold))
        };
        let not_listed = cell.entries.is_empty() && !self.found.complete;
        if missing.is_empty() || not_listed || cell.entries.iter().any(untold) {
            return None;
        }
        if cell.is_one_slot() || missing.len() == cell.planned.len() {
            gone.extend(missing);
            return None;
        }
        let seen = cell.planned.len() - missing.len();
        let finding = Finding::new(&kinds::FEWER_SEEN)
            .param("planned", Value::Count(cell.planned.len() as u64))
            .param("seen", Value::Count(seen as u64))
            .found(cell.entries.iter().copied());
        Some(finding.slots(cell.planned.iter().map(|(slot, _)| *slot)))
    }

    /// A report that lacks a part may lack slots, too.
    fn incomplete(&self) -> Option<Finding> {
        let lacks = |cell: &&Cell| cell.entries.is_empty() && !cell.planned.is_empty();
        let cells = self.cells.iter().filter(lacks);
        let slots = cells.flat_map(|cell| cell.slots.iter().copied());
        (!self.found.complete).then(|| Finding::new(&kinds::REPORT_INCOMPLETE).slots(slots))
    }

    /// Sockets of which nothing is seen.
    fn sockets(&self, gone: &mut BTreeSet<SlotIx>, findings: &mut Vec<Finding>) {
        let board = self.plan.board;
        for socket in 1..=board.sockets {
            let of_socket = |slot: &SlotIx| board.address(board.channel_of(*slot)).0 == socket;
            let planned: Vec<SlotIx> = planned_slots(self.plan).filter(of_socket).collect();
            let mut channels: Vec<ChannelIx> =
                planned.iter().map(|slot| board.channel_of(*slot)).collect();
            channels.dedup();
            let fitted = self.found.fitted.as_ref();
            let fitted = fitted
                .and_then(|all| all.get(usize::from(socket) - 1))
                .copied();
            let all_gone = !planned.is_empty() && planned.iter().all(|slot| gone.contains(slot));
            let kind = match fitted {
                Some(false) if all_gone => &kinds::SOCKET_WITHOUT_PROCESSOR,
                _ if all_gone && channels.len() > 1 => &kinds::SOCKET_NOT_SEEN,
                Some(false) if self.plans_processor(socket, !planned.is_empty()) => {
                    findings.push(Finding {
                        sockets: vec![socket],
                        ..Finding::new(&kinds::PROCESSOR_NOT_SEEN)
                    });
                    continue;
                }
                _ => continue,
            };
            gone.retain(|slot| !planned.contains(slot));
            findings.push(Finding {
                sockets: vec![socket],
                ..Finding::new(kind)
                    .param("count", Value::Count(planned.len() as u64))
                    .slots(planned)
            });
        }
    }

    /// Whether a processor is planned for a socket: where the plan does not tell, its modules do.
    fn plans_processor(&self, socket: u8, holds_modules: bool) -> bool {
        match self.plan.socket(socket) {
            Some(state) => state != SocketState::Empty,
            None => holds_modules,
        }
    }

    /// Processors of another model than planned.
    pub(super) fn processors(&self) -> Vec<Finding> {
        let board = self.plan.board;
        let name = |model: usize| {
            let known = board.processors.get(model)?;
            Some(Value::Text(known.name.clone()))
        };
        let other = |socket: u8| {
            let Some(SocketState::Fitted(Some(planned))) = self.plan.socket(socket) else {
                return None;
            };
            let found = self.found.models.get(usize::from(socket) - 1).copied();
            let found = found.flatten().filter(|own| *own != planned)?;
            Some(Finding {
                sockets: vec![socket],
                ..Finding::new(&kinds::OTHER_PROCESSOR)
                    .param("planned", name(planned)?)
                    .param("found", name(found)?)
            })
        };
        (1..=board.sockets).filter_map(other).collect()
    }

    /// Channels of which none of several modules is seen.
    fn channels(&self, gone: &mut BTreeSet<SlotIx>, findings: &mut Vec<Finding>) {
        let board = self.plan.board;
        for channel in board.all_channels() {
            let planned: Vec<SlotIx> = board
                .slots_of(channel)
                .filter(|slot| self.plan.population.at(*slot).is_some())
                .collect();
            if planned.len() < 2 || !planned.iter().all(|slot| gone.contains(slot)) {
                continue;
            }
            gone.retain(|slot| !planned.contains(slot));
            findings.push(Finding {
                channels: vec![channel],
                ..Finding::new(&kinds::CHANNEL_NOT_SEEN)
                    .param("count", Value::Count(planned.len() as u64))
                    .slots(planned)
            });
        }
    }

    /// Single modules: alike ones are one finding.
    fn modules(&self, gone: &BTreeSet<SlotIx>, findings: &mut Vec<Finding>) {
        let part = |slot: &SlotIx| self.plan.population.at(*slot).map(|own| own.part);
        let mut parts: Vec<PartIx> = gone.iter().filter_map(part).collect();
        parts.sort_unstable();
        parts.dedup();
        for own in parts {
            let slots: Vec<SlotIx> = gone
                .iter()
                .copied()
                .filter(|slot| part(slot) == Some(own))
                .collect();
            findings.push(
                Finding::new(&kinds::MODULE_NOT_SEEN)
                    .param("part", Value::Part(own))
                    .slots(slots),
            );
        }
    }
}
