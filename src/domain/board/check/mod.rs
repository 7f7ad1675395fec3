//! Checks of a board record: every fault at once, each with a pointer and what would be right.

mod classes;
mod policies;
mod rows;
mod slots;

pub use classes::channel_classes;

use super::super::module::RecordFault;
use super::super::units::Millivolts;
use super::filling::Filling;
use super::{BoardFacts, MOST_CHANNELS};
use std::collections::BTreeSet;

/// The most sockets, channels of a socket and positions of a channel.
const LARGEST: (u8, u8, u8) = (64, MOST_CHANNELS, 4);

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
        policies::check(facts, &mut faults);
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
        filling(&format!("/filling/{index}"), row, facts, faults);
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

fn filling(at: &str, row: &Filling, facts: &BoardFacts, faults: &mut Faults) {
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
            "list counts, or say \"any\"",
        );
    }
}
