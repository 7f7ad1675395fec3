//! From the names of all slots to their places.
//!
//! Numbers in locators start at 0 or 1 and letters may run on from one socket to the next, so
//! places are ranks of what the report shows, not differences. What fits no board is not taken:
//! asking is better than a wrong place.

mod mapping;
mod rank;
pub mod words;

pub use mapping::{MappedPlace, SlotMap};
pub use rank::distrust_made_up_numbers;

use super::note::{Code, Note};
use super::record::{
    AskedSlot, Fact, Generation, Place, PlacedBy, Placing, Processor, Slot, SlotName,
};
use std::collections::{BTreeMap, BTreeSet};
use words::{Seen, Style, see};

/// A slot's numbers as written, and where they were read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sighting {
    /// The numbers.
    pub seen: Seen,
    /// Where.
    pub by: PlacedBy,
}

impl Default for Sighting {
    fn default() -> Self {
        Self {
            seen: Seen::default(),
            by: PlacedBy::Nothing,
        }
    }
}

/// Reads a slot's two names. The bank locator counts where it names the channel in so many words;
/// otherwise banks are running numbers and the locator counts.
pub fn sight(name: &SlotName) -> Sighting {
    let locator = name.locator.as_deref().map(see).unwrap_or_default();
    let bank = name.bank.as_deref().map(see).unwrap_or_default();
    if bank.style == Style::Explicit {
        let seen = Seen {
            socket: bank.socket.or(locator.socket),
            slot: bank.slot.or(locator.slot),
            ..bank
        };
        return Sighting {
            seen,
            by: PlacedBy::BankText,
        };
    }
    let seen = Seen {
        socket: locator.socket.or(bank.socket),
        ..locator
    };
    let by = match seen.style {
        Style::None => PlacedBy::Nothing,
        _ => PlacedBy::LocatorText,
    };
    Sighting { seen, by }
}

/// What the rest of the report contributes to placing.
pub struct Surroundings<'a> {
    /// The processor sockets that the report describes.
    pub processors: &'a [Processor],
    /// The generation of the modules, where all agree.
    pub generation: Option<Generation>,
    /// Whether the report names empty slots too, so that numbers left out are not on the board.
    pub names_empty_slots: bool,
}

/// Places every slot from its sighting. The result is as long as `sightings`.
pub fn places(
    sightings: &mut [Sighting],
    names: &[&SlotName],
    around: &Surroundings<'_>,
    notes: &mut Vec<Note>,
) -> Vec<Place> {
    three_digit_locators(sightings, names);
    if !trusted(sightings, around.generation) {
        notes.push(Note::report(Code::LocatorsNotTrusted, vec![]));
        let by_pattern = |s: &&mut Sighting| s.seen.style != Style::Explicit;
        let patterns = sightings.iter_mut().filter(by_pattern);
        patterns.for_each(forget_channel);
        if !trusted(sightings, around.generation) {
            sightings.iter_mut().for_each(forget_channel);
        }
    }
    if !around.names_empty_slots && !numbered_without_gaps(sightings) {
        notes.push(Note::report(Code::SlotsMayBeLeftOut, vec![]));
        sightings.iter_mut().for_each(forget_channel);
    }
    let sockets = rank::sockets(sightings, around.processors, notes);
    let ranked = rank::channels_and_slots(sightings, &sockets, notes);
    let placed = sightings.iter().zip(sockets).zip(ranked);
    placed
        .map(|((sighting, socket), (channel, index))| {
            let fact = |number: Option<u16>| number.map_or(Fact::Unknown, Fact::Derived);
            let known = channel.is_some();
            Place {
                socket,
                channel: fact(channel),
                index: fact(index),
                position: Fact::Unknown,
                by: if known {
                    sighting.by
                } else {
                    PlacedBy::Nothing
                },
            }
        })
        .collect()
}

/// Keeps the socket only.
fn forget_channel(sighting: &mut Sighting) {
    sighting.seen = Seen {
        socket: sighting.seen.socket,
        ..Seen::default()
    };
    sighting.by = PlacedBy::Nothing;
}

/// No board has more slots in a channel (DDR3 has three at most; four leaves room).
const MOST_SLOTS: usize = 4;
/// The same where only the pattern of the text suggests a channel.
const MOST_SLOTS_BY_PATTERN: usize = 3;
/// No processor has more channels (sixteen are announced; two controllers each leaves room).
const MOST_CHANNELS: usize = 24;

/// Whether the channels that the texts suggest make a board.
fn trusted(sightings: &[Sighting], generation: Option<Generation>) -> bool {
    let channels = rank::slots_by_channel(sightings);
    let by_pattern = |style: Style| style != Style::Explicit;
    for group in channels.values() {
        let most = match by_pattern(group.style) {
            true => MOST_SLOTS_BY_PATTERN,
            false => MOST_SLOTS,
        };
        let letters_from_a = || group.slots.iter().copied().eq(0..group.slots.len() as u32);
        let wrong = match group.style {
            Style::Bare => true,
            // Before DDR3 a digit and a letter are pair and lane.
            Style::DigitLetter => before_ddr3(generation) || !letters_from_a(),
            _ => false,
        };
        if wrong || group.slots.len() > most {
            return false;
        }
    }
    let mut per_socket = BTreeMap::new();
    for (socket, _, _) in channels.keys() {
        *per_socket.entry(*socket).or_insert(0_usize) += 1;
    }
    per_socket.values().all(|count| *count <= MOST_CHANNELS)
}

/// Whether channels and slots start at 0 or 1 and leave none out: then their ranks are right even
/// if the report names filled slots only. A lone channel of several slots is no sign of that.
fn numbered_without_gaps(sightings: &[Sighting]) -> bool {
    let placed = || sightings.iter().filter(|s| s.seen.channel.is_some());
    let channels: BTreeSet<u32> = placed().filter_map(|s| s.seen.channel).collect();
    let slots: BTreeSet<u32> = placed().filter_map(|s| s.seen.slot).collect();
    let gapless = |numbers: &BTreeSet<u32>| {
        let starts = numbers.first().is_none_or(|first| *first <= 1);
        let span = numbers.first().zip(numbers.last()).map(|(a, b)| b - a);
        starts && span.is_none_or(|span| span as usize + 1 == numbers.len())
    };
    let lone = channels.len() == 1 && slots.len() > 1;
    gapless(&channels) && gapless(&slots) && !lone
}

fn before_ddr3(generation: Option<Generation>) -> bool {
    match generation {
        Some(Generation::BeforeDdr) => true,
        Some(Generation::Ddr(number)) => number < 3,
        _ => false,
    }
}

/// `DIMM012` as socket 0, channel 1, slot 2: only where no text names a channel and all slots are
/// written so, over several channels of the same slots (a padded running number is not).
fn three_digit_locators(sightings: &mut [Sighting], names: &[&SlotName]) {
    if sightings.iter().any(|s| s.seen.channel.is_some()) || names.len() != sightings.len() {
        return;
    }
    let digits: Option<Vec<[u32; 3]>> = names.iter().map(|name| three_digits(name)).collect();
    let Some(digits) = digits else { return };
    let most = |at: usize| digits.iter().filter_map(|d| d.get(at)).max().copied();
    let (sockets, channels, slots) = (most(0), most(1), most(2));
    let filled = [sockets, channels, slots].map(|most| most.map_or(0, |n| n as usize + 1));
    let complete = filled.iter().product::<usize>() == digits.len();
    let few_slots = slots.is_some_and(|n| (n as usize) < MOST_SLOTS_BY_PATTERN);
    if !complete || !few_slots || channels.is_none_or(|n| n == 0) {
        return;
    }
    for (sighting, [socket, channel, slot]) in sightings.iter_mut().zip(digits) {
        sighting.seen = Seen {
            socket: Some(socket),
            controller: None,
            channel: Some(channel),
            slot: Some(slot),
            style: Style::Explicit,
        };
        sighting.by = PlacedBy::LocatorText;
    }
}

fn three_digits(name: &SlotName) -> Option<[u32; 3]> {
    let upper = name.locator.as_deref()?.trim().to_ascii_uppercase();
    let rest = upper.strip_prefix("DIMM")?;
    let digits: Vec<u32> = rest.chars().map_while(|c| c.to_digit(10)).collect();
    <[u32; 3]>::try_from(digits).ok()
}

/// Whether all slots are placed, with a note where they are not.
pub fn placing(slots: &[Slot], notes: &mut Vec<Note>) -> Placing {
    let is_open = |slot: &Slot| {
        let place = &slot.place;
        let within = place.index.value().or(place.position.value());
        place.socket.value().is_none() || place.channel.value().is_none() || within.is_none()
    };
    let open: Vec<AskedSlot> = slots
        .iter()
        .enumerate()
        .filter(|(_, slot)| is_open(slot))
        .map(|(index, slot)| AskedSlot {
            slot: index,
            name: slot.name.clone(),
            occupancy: slot.occupancy,
            socket: slot.place.socket,
        })
        .collect();
    if open.is_empty() {
        return Placing::Told;
    }
    let params = vec![("count", open.len().into())];
    notes.push(Note::report(Code::PlacementUnknown, params));
    Placing::Ask(open)
}
