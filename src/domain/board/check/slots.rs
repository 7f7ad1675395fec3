//! Checks of the slots: one for each place, each with its own label, no position left out.

use super::super::{BoardFacts, Place};
use super::Faults;
use std::collections::BTreeSet;

pub(super) fn check(facts: &BoardFacts, faults: &mut Faults) {
    let (mut labels, mut places) = (BTreeSet::new(), BTreeSet::new());
    let mut names = BTreeSet::new();
    for (index, slot) in facts.slots.iter().enumerate() {
        let at = format!("/slots/{index}");
        let place = slot.place;
        for (member, value, most) in [
            ("socket", place.socket, facts.sockets),
            ("channel", place.channel, facts.channels),
            ("position", place.position, facts.positions),
        ] {
            if !(1..=most).contains(&value) {
                faults.add(
                    format!("{at}/{member}"),
                    format!("there is no {member} {value}"),
                    format!("1 to {most}"),
                );
            }
        }
        if slot.label.trim().is_empty() || !labels.insert(slot.label.as_str()) {
            faults.add(
                format!("{at}/label"),
                format!("the label `{}` is empty or used twice", slot.label),
                "each slot needs its own printed label",
            );
        }
        if let Some(name) = &slot.reported_as
            && (name.locator.trim().is_empty() || !names.insert(name))
        {
            faults.add(
                format!("{at}/reported_as"),
                format!("the name `{}` is empty or used twice", name.locator),
                "each slot needs a name of its own; give the bank locator too where locators repeat",
            );
        }
        if !places.insert(place) {
            faults.add(
                at,
                format!(
                    "socket {}, channel {}, position {} already has a slot",
                    place.socket, place.channel, place.position
                ),
                "one slot for each place",
            );
        }
    }
    // A gap would make the number of positions wired and the position numbers disagree.
    for place in &places {
        if place.position > 1
            && !places.contains(&Place {
                position: place.position - 1,
                ..*place
            })
        {
            faults.add(
                "/slots",
                format!(
                    "socket {}, channel {} has position {} but not the one before",
                    place.socket, place.channel, place.position
                ),
                "positions of a channel count from 1 without gaps",
            );
        }
    }
}
