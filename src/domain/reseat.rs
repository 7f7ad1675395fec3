//! Other slots for the entries of a population, as fixes say them.

use super::board::SlotIx;
use super::request::{PartIx, Request};

/// Gives entries other slots; false if there is not just one entry for each.
pub fn moved(moves: &[(SlotIx, SlotIx)], request: &mut Request) -> bool {
    let mut count = 0;
    for entry in &mut request.population {
        let to = moves.iter().find(|(from, _)| entry.slot == Some(*from));
        if let Some((_, to)) = to {
            entry.slot = Some(*to);
            count += 1;
        }
    }
    count == moves.len()
}

/// Gives the n-th entry of each module the n-th of its new slots; false if they do not match.
pub fn rearranged(seats: &[(SlotIx, PartIx)], request: &mut Request) -> bool {
    let mut left = seats.to_vec();
    for entry in &mut request.population {
        let Some(next) = left.iter().position(|(_, part)| *part == entry.part) else {
            return false;
        };
        entry.slot = Some(left.remove(next).0);
    }
    left.is_empty()
}
