//! Checks of a board record: every fault at once, each with a pointer and what would be right.

mod classes;
mod rows;
mod slots;

pub use classes::channel_classes;

use super::super::module::RecordFault;
use super::super::units::Millivolts;
use super::BoardFacts;
use super::policy::{Protection, ProtectionOffer};
use std::collections::BTreeSet;

/// The most sockets, channels of a socket and positions of a channel.
const LARGEST: (u8, u8, u8) = (64, 32, 4);

/// Everything that is wrong with the record.
pub fn faults(facts: &BoardFacts) -> Vec<RecordFault> {
    let mut faults = Faults(Vec::new());
    dimensions(facts, &mut faults);
    // Without these three numbers nothing else can be judged.
    if faults.0.is_empty() {
        lists(facts, &mut faults);
        slots::check(facts, &mut faults);
        orders(facts, &mut faults);
        rows::check(facts, &mut faults);
        policies(facts, &mut faults);
    }
    faults.0
}

pub(super) struct Faults(Vec<RecordFault>);

impl Faults {
    pub(super) fn add(
        &mut self,
        pointer: impl Into<String>,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) {
        self.0.push(RecordFault::new(pointer, message, hint));
    }

    /// Every number of a list must be one of `1..=most`, and none may come twice.
    pub(super) fn numbers(&mut self, pointer: &str, list: &[u8], most: u8, what: &str) {
        let mut seen = BTreeSet::new();
        for (index, number) in list.iter().enumerate() {
            if !(1..=most).contains(number) {
                self.add(
                    format!("{pointer}/{index}"),
                    format!("there is no {what} {number}"),
                    format!("1 to {most}"),
                );
            } else if !seen.insert(*number) {
                self.add(
                    format!("{pointer}/{index}"),
                    format!("{what} {number} is listed twice"),
                    "list it once",
                );
            }
        }
    }

    /// Like [`Self::numbers`], and every one of them must be there.
    pub(super) fn permutation(&mut self, pointer: &str, list: &[u8], most: u8, what: &str) {
        self.numbers(pointer, list, most, what);
        for missing in (1..=most).filter(|number| !list.contains(number)) {
            self.add(
                pointer,
                format!("{what} {missing} is missing"),
                format!("list every {what} from 1 to {most}"),
            );
        }
    }

    /// A list of what is taken that is empty takes nothing: surely a slip.
    pub(super) fn some<T>(&mut self, member: &str, at: &str, list: &Option<Vec<T>>) {
        if list.as_ref().is_some_and(Vec::is_empty) {
            self.add(
                format!("{at}/{member}"),
                "the list is empty",
                "list at least one, or say \"any\"",
            );
        }
    }

    /// Supply voltages must be among those that the board sets.
    pub(super) fn supplies(
        &mut self,
        at: &str,
        list: &Option<Vec<Millivolts>>,
        facts: &BoardFacts,
    ) {
        self.some("supply_mv", at, list);
        for (index, supply) in list.iter().flatten().enumerate() {
            self.supply(&format!("{at}/supply_mv/{index}"), *supply, facts);
        }
    }

    pub(super) fn supply(&mut self, pointer: &str, supply: Millivolts, facts: &BoardFacts) {
        if !facts.supply.contains(&supply) {
            self.add(
                pointer,
                format!("the board can't set {} mV", supply.0),
                "voltages of the board's /supply_mv",
            );
        }
    }

    pub(super) fn wired(&mut self, at: &str, list: &Option<Vec<u8>>, facts: &BoardFacts) {
        self.some("positions_wired", at, list);
        let counts = list.as_deref().unwrap_or_default();
        self.numbers(
            &format!("{at}/positions_wired"),
            counts,
            facts.positions,
            "number of positions",
        );
    }

    pub(super) fn not_empty<T>(&mut self, pointer: &str, list: &[T], hint: &str) {
        if list.is_empty() {
            self.add(pointer, "the list is empty", hint);
        }
    }
}

fn dimensions(facts: &BoardFacts, faults: &mut Faults) {
    let (sockets, channels, positions) = LARGEST;
    for (pointer, value, most) in [
        ("/sockets", facts.sockets, sockets),
        ("/channels", facts.channels, channels),
        ("/positions", facts.positions, positions),
    ] {
        if !(1..=most).contains(&value) {
            faults.add(
                pointer,
                format!("{value} is out of range"),
                format!("1 to {most}"),
            );
        }
    }
}

/// Lists that must hold something.
fn lists(facts: &BoardFacts, faults: &mut Faults) {
    faults.not_empty(
        "/sources",
        &facts.sources,
        "say where the limits were read: title and section",
    );
    faults.not_empty(
        "/slots",
        &facts.slots,
        "list every slot with its printed label",
    );
    faults.not_empty(
        "/supply_mv",
        &facts.supply,
        "list the supply voltages that the board can set",
    );
    faults.not_empty(
        "/processors",
        &facts.processors,
        "list at least one processor model",
    );
    faults.not_empty(
        "/accepts",
        &facts.accepts,
        "list the modules that the board takes",
    );
}

fn orders(facts: &BoardFacts, faults: &mut Faults) {
    faults.permutation(
        "/socket_order",
        &facts.socket_order,
        facts.sockets,
        "socket",
    );
    if facts.nodes.len() != usize::from(facts.channels) || facts.nodes.contains(&0) {
        faults.add(
            "/nodes",
            "a node is needed for each channel of a socket",
            format!("{} numbers, counted from 1", facts.channels),
        );
    }
    for (index, row) in facts.filling.iter().enumerate() {
        let at = format!("/filling/{index}");
        faults.numbers(
            &format!("{at}/sockets_fitted"),
            &row.sockets_fitted,
            facts.sockets,
            "number of sockets",
        );
        faults.permutation(
            &format!("{at}/position_order"),
            &row.position_order,
            facts.positions,
            "position",
        );
        if let Some(order) = &row.channel_order {
            faults.permutation(
                &format!("{at}/channel_order"),
                order,
                facts.channels,
                "channel",
            );
        }
        if row.module_counts.as_ref().is_some_and(Vec::is_empty) {
            faults.add(
                format!("{at}/module_counts"),
                "no count would be supported",
                "list counts, or say \"none\" for no restriction",
            );
        }
    }
    for count in 1..=facts.sockets {
        let rows = facts
            .filling
            .iter()
            .filter(|row| row.sockets_fitted.contains(&count))
            .count();
        if rows != 1 {
            faults.add(
                "/filling",
                format!("{rows} rows are for {count} sockets fitted"),
                "exactly one row for each number of sockets",
            );
        }
    }
}

fn policies(facts: &BoardFacts, faults: &mut Faults) {
    for (index, processor) in facts.processors.iter().enumerate() {
        let at = format!("/processors/{index}");
        if facts
            .processors
            .iter()
            .take(index)
            .any(|other| other.id == processor.id)
        {
            faults.add(
                format!("{at}/id"),
                format!("`{}` is used twice", processor.id),
                "each model needs its own id",
            );
        }
        if let Some(channels) = &processor.channels {
            faults.numbers(
                &format!("{at}/channels"),
                channels,
                facts.channels,
                "channel",
            );
        }
    }
    for (index, set) in facts.interleave.iter().enumerate() {
        faults.not_empty(
            &format!("/interleave/{index}/channels"),
            &set.channels,
            "name the channels of the set",
        );
        faults.numbers(
            &format!("/interleave/{index}/channels"),
            &set.channels,
            facts.channels,
            "channel",
        );
    }
    for (index, offer) in facts.protections.iter().enumerate() {
        let at = format!("/protections/{index}");
        let earlier = facts.protections.iter().take(index);
        if earlier
            .into_iter()
            .any(|other| other.protection == offer.protection)
        {
            faults.add(
                format!("{at}/protection"),
                format!("{} is offered twice", offer.protection.name()),
                "one row for each protection",
            );
        }
        groups(&at, offer, facts.channels, faults);
    }
    for (index, (rule, _)) in facts.severities.iter().enumerate() {
        if super::super::rules::index_of(rule).is_none() {
            faults.add(
                format!("/severities/{index}/rule"),
                format!("there is no rule `{rule}`"),
                "an id from the list of rules",
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
