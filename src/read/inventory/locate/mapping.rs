//! The caller's own mapping from slot names to places, for boards whose names tell nothing.

use crate::read::inventory::note::{Code, Note};
use crate::read::inventory::record::{Fact, Place, PlacedBy, Slot, SlotName};
use std::collections::BTreeMap;

/// A place of the caller's. All numbers count from 1; position 1 is the farthest from the
/// processor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MappedPlace {
    /// Processor socket.
    pub socket: u16,
    /// Channel of the socket.
    pub channel: u16,
    /// Position in the channel.
    pub position: u16,
}

/// Slot names and their places. Case and runs of blanks do not matter.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct SlotMap {
    by_locator: BTreeMap<String, MappedPlace>,
    by_both: BTreeMap<(String, String), MappedPlace>,
    /// Whether it is meant for this very report, so that a slot that it does not name is worth a note.
    meant: bool,
}

impl SlotMap {
    /// Places every slot of that locator; give the bank locator too where locators repeat.
    pub fn insert(&mut self, locator: &str, bank: Option<&str>, place: MappedPlace) {
        self.meant = true;
        self.insert_known(locator, bank, place);
    }

    /// The same of a board's record: what reports of such machines say, which this one need not.
    pub fn insert_known(&mut self, locator: &str, bank: Option<&str>, place: MappedPlace) {
        match bank {
            Some(bank) => self.by_both.insert((key(locator), key(bank)), place),
            None => self.by_locator.insert(key(locator), place),
        };
    }

    /// Whether it places nothing.
    pub fn is_empty(&self) -> bool {
        self.by_locator.is_empty() && self.by_both.is_empty()
    }

    /// Overrides the places of the slots that it names.
    pub fn apply(&self, slots: &mut [Slot], notes: &mut Vec<Note>) {
        if self.is_empty() {
            return;
        }
        let mut counts: BTreeMap<String, usize> = BTreeMap::new();
        for slot in slots.iter() {
            *counts.entry(locator_key(&slot.name)).or_default() += 1;
        }
        for (index, slot) in slots.iter_mut().enumerate() {
            let locator = locator_key(&slot.name);
            let bank = slot.name.bank.as_deref().map(key).unwrap_or_default();
            let repeats = counts.get(&locator).is_some_and(|count| *count > 1);
            let alone = self.by_locator.get(&locator);
            let found = match self.by_both.get(&(locator, bank)) {
                Some(place) => Some(*place),
                None if repeats => None,
                None => alone.copied(),
            };
            let code = match (found, alone) {
                (Some(place), _) => {
                    slot.place = place.into();
                    continue;
                }
                (None, Some(_)) => Code::MappingAmbiguous,
                (None, None) if self.meant => Code::LocatorNotInMapping,
                (None, None) => continue,
            };
            let shown = slot.name.locator.as_deref().unwrap_or_default();
            notes.push(Note::slot(code, index, vec![("locator", shown.into())]));
        }
    }
}

impl From<MappedPlace> for Place {
    fn from(place: MappedPlace) -> Self {
        Self {
            socket: Fact::Read(place.socket),
            channel: Fact::Read(place.channel),
            index: Fact::Unknown,
            position: Fact::Read(place.position),
            by: PlacedBy::Mapping,
        }
    }
}

fn key(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").to_uppercase()
}

fn locator_key(name: &SlotName) -> String {
    name.locator.as_deref().map(key).unwrap_or_default()
}
