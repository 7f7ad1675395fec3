//! Checks of a board record: every fault at once, each with a pointer and what would be right.

use super::super::module::RecordFault;
use super::BoardFacts;
use super::policy::Scope;
use std::collections::BTreeSet;

/// The most sockets, channels of a socket and positions of a channel.
const LARGEST: (u8, u8, u8) = (64, 32, 4);

/// Everything that is wrong with the record.
pub fn faults(facts: &BoardFacts) -> Vec<RecordFault> {
    let mut faults = Faults(Vec::new());
    dimensions(facts, &mut faults);
    if faults.0.is_empty() {
        slots(facts, &mut faults);
        orders(facts, &mut faults);
        rows(facts, &mut faults);
        policies(facts, &mut faults);
    }
    faults.0
}

struct Faults(Vec<RecordFault>);

impl Faults {
    fn add(
        &mut self,
        pointer: impl Into<String>,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) {
        self.0.push(RecordFault::new(pointer, message, hint));
    }

    /// Every number of a list must be one of `1..=most`, and none may come twice.
    fn numbers(&mut self, pointer: &str, list: &[u8], most: u8, what: &str) {
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
    fn permutation(&mut self, pointer: &str, list: &[u8], most: u8, what: &str) {
        self.numbers(pointer, list, most, what);
        for missing in (1..=most).filter(|number| !list.contains(number)) {
            self.add(
                pointer,
                format!("{what} {missing} is missing"),
                format!("list every {what} from 1 to {most}"),
            );
        }
    }

    fn not_empty<T>(&mut self, pointer: &str, list: &[T], hint: &str) {
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

fn slots(facts: &BoardFacts, faults: &mut Faults) {
    let (mut labels, mut places) = (BTreeSet::new(), BTreeSet::new());
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
            && !places.contains(&super::Place {
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

fn rows(facts: &BoardFacts, faults: &mut Faults) {
    for (index, row) in facts.accepts.iter().enumerate() {
        let at = format!("/accepts/{index}");
        if let Some(positions) = &row.positions {
            faults.not_empty(
                &format!("{at}/positions"),
                positions,
                "list positions, or say \"any\"",
            );
            faults.numbers(
                &format!("{at}/positions"),
                positions,
                facts.positions,
                "position",
            );
        }
        for mv in row
            .supply
            .iter()
            .flatten()
            .filter(|mv| !facts.supply.contains(mv))
        {
            faults.add(
                format!("{at}/supply_mv"),
                format!("the board can't set {} mV", mv.0),
                "voltages of the board's /supply_mv",
            );
        }
        if let super::accept::SeenRanks::Multiplied(rows) = &row.seen_ranks {
            for (inner, _) in rows.iter().enumerate().filter(|(_, row)| row.factor == 0) {
                faults.add(
                    format!("{at}/seen_ranks/multiplied/{inner}/factor"),
                    "a factor of 0 divides by nothing",
                    "1, 2 or 4",
                );
            }
        }
    }
    for (index, row) in facts.rates.iter().enumerate() {
        let at = format!("/rates/{index}");
        faults.not_empty(
            &format!("{at}/kinds"),
            &row.kinds,
            "name the kinds that the row is for",
        );
        if !(1..=facts.positions).contains(&row.modules) {
            faults.add(
                format!("{at}/modules"),
                format!("{} modules never sit on one channel", row.modules),
                format!("1 to {}", facts.positions),
            );
        }
        if let super::rates::RankMatch::Exactly(ranks) = &row.ranks
            && ranks.len() != usize::from(row.modules)
        {
            faults.add(
                format!("{at}/ranks"),
                format!("{} rank counts for {} modules", ranks.len(), row.modules),
                "one rank count for each module",
            );
        }
    }
    for (index, row) in facts.layouts.iter().enumerate() {
        let at = format!("/layouts/{index}");
        faults.not_empty(
            &format!("{at}/kinds"),
            &row.kinds,
            "name the kinds that the row is for",
        );
        if row.pattern.is_empty() || row.pattern.len() > usize::from(facts.positions) {
            faults.add(
                format!("{at}/pattern"),
                format!("the pattern has {} positions", row.pattern.len()),
                format!(
                    "1 to {}, one entry for each position wired",
                    facts.positions
                ),
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
        let all: Vec<u8> = offer.groups.iter().flatten().copied().collect();
        faults.numbers(
            &format!("/protections/{index}/groups"),
            &all,
            facts.channels,
            "channel",
        );
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

/// Channels that no row tells apart get the same class; the order of filling does not count, since
/// among alike channels the order decides which is taken first and never which set is possible.
pub fn channel_classes(facts: &BoardFacts) -> Vec<u8> {
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
            .map(|offer| {
                offer
                    .groups
                    .iter()
                    .position(|group| group.contains(&channel))
            })
            .collect();
        (wired, node, sets, works, groups)
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
