//! Groups of slots that a report tells apart from each other.
//!
//! Mostly a group is one slot. Where a report leaves open which slot of a channel, of a socket or of
//! the board it means, those slots are one group, and only what the group holds as a whole can be
//! compared.

use super::super::board::SlotIx;
use super::super::request::PartIx;
use super::found::{Found, Plan};
use std::collections::BTreeMap;

/// A group of slots.
#[derive(Clone, Debug, Default)]
pub(super) struct Cell {
    /// Its slots; none for what lies outside the board.
    pub slots: Vec<SlotIx>,
    /// Planned modules.
    pub planned: Vec<(SlotIx, PartIx)>,
    /// What the report tells of it: indices of its slots.
    pub entries: Vec<usize>,
}

impl Cell {
    /// Whether it is known which slot is meant.
    pub fn is_one_slot(&self) -> bool {
        self.slots.len() == 1
    }

    /// Whether it matters which of its slots holds what: they are not all to be filled alike.
    pub fn order_matters(&self) -> bool {
        let mut parts = self.planned.iter().map(|(_, part)| part);
        let first = parts.next();
        self.slots.len() > 1
            && (self.planned.len() < self.slots.len() || parts.any(|part| Some(part) != first))
    }
}

/// All groups in the order of their first slot.
pub(super) fn cells(plan: &Plan<'_>, found: &Found) -> Vec<Cell> {
    let spots = spots(plan, found);
    let groups = joined(plan.board.slots.len(), &spots);
    let mut cells: BTreeMap<usize, Cell> = BTreeMap::new();
    for (slot, group) in (0..).map(SlotIx).zip(&groups) {
        let cell = cells.entry(*group).or_default();
        cell.slots.push(slot);
        if let Some(occupant) = plan.population.at(slot) {
            cell.planned.push((slot, occupant.part));
        }
    }
    for (entry, spots) in spots.iter().enumerate() {
        let slot = spots.first().map(|slot| usize::from(slot.0));
        let group = slot.and_then(|slot| groups.get(slot)).copied();
        let outside = usize::MAX;
        let cell = cells.entry(group.unwrap_or(outside)).or_default();
        cell.entries.push(entry);
    }
    cells.into_values().collect()
}

/// The slots that each entry may be. One of which nothing is known may be any that no other names.
fn spots(plan: &Plan<'_>, found: &Found) -> Vec<Vec<SlotIx>> {
    let mut named: Vec<SlotIx> = found
        .slots
        .iter()
        .filter_map(|slot| match slot.spots.as_slice() {
            [only] => Some(*only),
            _ => None,
        })
        .collect();
    named.sort_unstable();
    let all = (0..plan.board.slots.len()).filter_map(|slot| u16::try_from(slot).ok());
    let open: Vec<SlotIx> = all
        .map(SlotIx)
        .filter(|slot| named.binary_search(slot).is_err())
        .collect();
    let of = |spots: &Vec<SlotIx>| match spots.is_empty() {
        true => open.clone(),
        false => spots.clone(),
    };
    found.slots.iter().map(|slot| of(&slot.spots)).collect()
}

/// The group of each slot: slots that one entry may be belong together.
fn joined(slots: usize, spots: &[Vec<SlotIx>]) -> Vec<usize> {
    let mut groups: Vec<usize> = (0..slots).collect();
    for spots in spots.iter().filter(|spots| spots.len() > 1) {
        let group = |slot: &SlotIx| groups.get(usize::from(slot.0)).copied();
        let mut own: Vec<usize> = spots.iter().filter_map(group).collect();
        own.sort_unstable();
        own.dedup();
        if let [first, others @ ..] = own.as_slice() {
            let belongs = |group: &&mut usize| others.binary_search(group).is_ok();
            groups
                .iter_mut()
                .filter(belongs)
                .for_each(|group| *group = *first);
        }
    }
    groups
}
