//! Which module sits in which slot.

use super::board::{Board, ChannelIx, SlotIx};
use super::request::{PartIx, Request, Seated};

/// Where a seated module came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Origin {
    /// It is line `.0` of the kit.
    Kit(u32),
    /// It is entry `.0` of the population.
    Population(u32),
    /// It is entry `.0` of the installed modules.
    Installed(u32),
}

/// A module in a slot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Occupant {
    /// Which module.
    pub part: PartIx,
    /// Where it came from.
    pub origin: Origin,
}

/// All slots of a board with what sits in them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Population {
    seats: Vec<Option<Occupant>>,
    /// Modules given for a slot that another already has.
    pub doubled: Vec<(SlotIx, Occupant)>,
}

impl Population {
    /// A board with all slots empty.
    pub fn empty(board: &Board) -> Self {
        Self {
            seats: vec![None; board.slots.len()],
            doubled: Vec::new(),
        }
    }

    /// Puts a module into a slot; if it is taken, the module is kept as doubled.
    pub fn seat(&mut self, slot: SlotIx, occupant: Occupant) {
        match self.seats.get_mut(usize::from(slot.0)) {
            Some(seat @ None) => *seat = Some(occupant),
            _ => self.doubled.push((slot, occupant)),
        }
    }

    /// What sits in a slot.
    pub fn at(&self, slot: SlotIx) -> Option<Occupant> {
        self.seats.get(usize::from(slot.0)).copied().flatten()
    }

    /// What sits on a channel, by position.
    pub fn on_channel(&self, board: &Board, channel: ChannelIx) -> Vec<Option<PartIx>> {
        board
            .slots_of(channel)
            .map(|slot| self.at(slot).map(|o| o.part))
            .collect()
    }

    /// Every taken slot with its module, by slot.
    pub fn occupied(&self) -> impl Iterator<Item = (SlotIx, Occupant)> + '_ {
        self.seats.iter().enumerate().filter_map(|(index, seat)| {
            let slot = SlotIx(u16::try_from(index).ok()?);
            seat.map(|occupant| (slot, occupant))
        })
    }

    /// The same request with every module in its slot here, so that nothing is left to place.
    pub fn as_given(&self, request: &Request) -> Request {
        let seats = self.occupied().map(|(slot, occupant)| Seated {
            part: occupant.part,
            slot: Some(slot),
        });
        Request {
            population: seats.collect(),
            kit: Vec::new(),
            installed: Vec::new(),
            removed: Vec::new(),
            ..request.clone()
        }
    }

    /// How many modules sit in slots.
    pub fn count(&self) -> usize {
        self.seats.iter().flatten().count()
    }
}
