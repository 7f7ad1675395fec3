//! Checks of a board's processors, interleave sets, protections and severities.

use super::super::super::rules;
use super::super::policy::{Protection, ProtectionOffer};
use super::super::{BoardFacts, Limit, Processor};
use super::{Faults, rows};
use std::collections::BTreeSet;

/// Words that a request says in place of a processor model.
const TAKEN: [&str; 2] = ["fitted", "empty"];

pub(super) fn check(facts: &BoardFacts, faults: &mut Faults) {
    let mut ids = BTreeSet::new();
    for (index, model) in facts.processors.iter().enumerate() {
        let at = format!("/processors/{index}");
        if !ids.insert(model.id.as_str()) {
            faults.add(
                format!("{at}/id"),
                format!("`{}` is used twice", model.id),
                "each model needs its own id",
            );
        }
        processor(&at, model, facts.channels, faults);
        if let Some(rate) = model.rate.value() {
            rows::runs(&format!("{at}/rate_mts"), rate, facts, faults);
        }
    }
    for (index, set) in facts.interleave.iter().enumerate() {
        let at = format!("/interleave/{index}/channels");
        faults.not_empty(&at, &set.channels, "name the channels of the set");
        faults.numbers(&at, &set.channels, facts.channels, "channel");
    }
    let mut offered = BTreeSet::new();
    for (index, offer) in facts.protections.iter().enumerate() {
        let at = format!("/protections/{index}");
        if !offered.insert(offer.protection) {
            faults.add(
                format!("{at}/protection"),
                format!("{} is offered twice", offer.protection.name()),
                "one row for each protection",
            );
        }
        groups(&at, offer, facts.channels, faults);
    }
    slot_groups(facts, faults);
    severities(facts, faults);
}

/// Seats of a group must be wired in some socket, and a slot is in a group once.
fn slot_groups(facts: &BoardFacts, faults: &mut Faults) {
    let wired: BTreeSet<(u8, u8)> = facts
        .slots
        .iter()
        .map(|slot| (slot.place.channel, slot.place.position))
        .collect();
    for (index, group) in facts.slot_groups.listed().iter().enumerate() {
        let at = format!("/slot_groups/{index}");
        let seats: BTreeSet<(u8, u8)> = group.seats.iter().copied().collect();
        if seats.len() < 2 || seats.len() != group.seats.len() {
            faults.add(
                format!("{at}/seats"),
                "a group needs two slots at least, each once",
                "channel and position of each slot of the group",
            );
        }
        for (place, seat) in group.seats.iter().enumerate() {
            if !wired.contains(seat) {
                faults.add(
                    format!("{at}/seats/{place}"),
                    format!("there is no position {} on channel {}", seat.1, seat.0),
                    "channel and position of a slot",
                );
            }
        }
    }
}

fn processor(at: &str, model: &Processor, channels: u8, faults: &mut Faults) {
    if TAKEN.contains(&model.id.as_str()) {
        faults.add(
            format!("{at}/id"),
            format!("`{}` means something else in a request", model.id),
            "another id",
        );
    }
    if let Some(list) = &model.channels {
        let at = format!("{at}/channels");
        faults.not_empty(&at, list, "list channels, or say \"all\"");
        faults.numbers(&at, list, channels, "channel");
    }
}

fn severities(facts: &BoardFacts, faults: &mut Faults) {
    let mut changed = BTreeSet::new();
    for (index, (rule, _)) in facts.severities.iter().enumerate() {
        let at = format!("/severities/{index}/rule");
        if rules::index_of(rule).is_none() {
            faults.add(
                at,
                format!("there is no rule `{rule}`"),
                "an id from the list of rules",
            );
        } else if !changed.insert(rule) {
            faults.add(
                at,
                format!("`{rule}` is listed twice"),
                "one severity for each rule",
            );
        }
    }
}

/// Channels of a group must be there, and none may belong to two groups.
fn groups(at: &str, offer: &ProtectionOffer, channels: u8, faults: &mut Faults) {
    let mut taken = BTreeSet::new();
    for (index, group) in offer.groups.iter().enumerate() {
        let at = format!("{at}/groups/{index}");
        faults.not_empty(&at, group, "name the channels of the group");
        faults.numbers(&at, group, channels, "channel");
        for (place, channel) in group.iter().enumerate() {
            if taken.contains(channel) {
                faults.add(
                    format!("{at}/{place}"),
                    format!("channel {channel} belongs to an earlier group"),
                    "each channel in one group at most",
                );
            }
        }
        taken.extend(group.iter().copied());
    }
    if offer.protection != Protection::RankSpare && offer.rank_interleave != Limit::None {
        faults.add(
            format!("{at}/rank_interleave"),
            format!(
                "{} leaves the ranks of a channel alone",
                offer.protection.name()
            ),
            "`none`; only rank sparing takes ranks away",
        );
    }
    let alone = matches!(offer.protection, Protection::RankSpare | Protection::None);
    if alone != offer.groups.is_empty() {
        faults.add(
            format!("{at}/groups"),
            format!(
                "{} and groups do not go together so",
                offer.protection.name()
            ),
            "mirrored and lockstep need groups of channels, rank spare has none",
        );
    }
}
