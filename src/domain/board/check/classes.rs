//! Which channels of a socket are alike.

use super::super::BoardFacts;
use super::super::policy::{Protection, Scope};

/// Channels that no row tells apart get the same class; the order of filling does not count, since
/// among alike channels the order decides which is taken first and never which set is possible. The
/// groups of a protection tell channels apart only for a request that asks for it.
pub fn channel_classes(facts: &BoardFacts, protection: Protection) -> Vec<u8> {
    let signature = |channel: u8| {
        let wired: Vec<usize> = (1..=facts.sockets)
            .map(|socket| {
                facts
                    .slots
                    .iter()
                    .filter(|s| (s.place.socket, s.place.channel) == (socket, channel))
                    .count()
            })
            .collect();
        let node = (facts.levelling == Scope::Node)
            .then(|| facts.nodes.get(usize::from(channel) - 1).copied());
        let sets: Vec<bool> = facts
            .interleave
            .iter()
            .map(|set| set.channels.contains(&channel))
            .collect();
        let works: Vec<bool> = facts
            .processors
            .iter()
            .map(|p| {
                p.channels
                    .as_ref()
                    .is_none_or(|list| list.contains(&channel))
            })
            .collect();
        let groups: Vec<Option<usize>> = facts
            .protections
            .iter()
            .filter(|offer| offer.protection == protection)
            .map(|offer| {
                offer
                    .groups
                    .iter()
                    .position(|group| group.contains(&channel))
            })
            .collect();
        let seats: Vec<Vec<u8>> = facts
            .slot_groups
            .listed()
            .iter()
            .map(|group| {
                let here = group.seats.iter().filter(|seat| seat.0 == channel);
                let mut positions: Vec<u8> = here.map(|seat| seat.1).collect();
                positions.sort_unstable();
                positions
            })
            .collect();
        (wired, node, sets, works, groups, seats)
    };
    let mut seen = Vec::new();
    (1..=facts.channels)
        .map(|channel| {
            let own = signature(channel);
            let index = seen
                .iter()
                .position(|other| *other == own)
                .unwrap_or_else(|| {
                    seen.push(own);
                    seen.len() - 1
                });
            u8::try_from(index).unwrap_or(u8::MAX)
        })
        .collect()
}
