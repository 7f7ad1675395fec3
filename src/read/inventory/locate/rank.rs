//! Ranks of sockets, channels and slots among the numbers that a report shows.

use super::{Sighting, Style};
use crate::read::inventory::facts;
use crate::read::inventory::note::{Code, Note, Param};
use crate::read::inventory::record::{Fact, PlacedBy, Processor};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// Socket as written, controller where it counts, channel as written.
pub type ChannelKey = (Option<u32>, Option<u32>, u32);

/// The slots of one channel as written.
pub struct ChannelSlots {
    /// Their numbers.
    pub slots: BTreeSet<u32>,
    /// How the channel is named.
    pub style: Style,
}

/// Groups the sightings that name a channel.
pub fn slots_by_channel(sightings: &[Sighting]) -> BTreeMap<ChannelKey, ChannelSlots> {
    let counts = controllers_count(sightings);
    let mut groups: BTreeMap<ChannelKey, ChannelSlots> = BTreeMap::new();
    for sighting in sightings {
        let Some(key) = channel_key(sighting, counts) else {
            continue;
        };
        let group = groups.entry(key).or_insert_with(|| ChannelSlots {
            slots: BTreeSet::new(),
            style: sighting.seen.style,
        });
        group.style = group.style.max(sighting.seen.style);
        group.slots.extend(sighting.seen.slot);
    }
    groups
}

fn channel_key(sighting: &Sighting, controllers: bool) -> Option<ChannelKey> {
    let seen = &sighting.seen;
    let controller = seen.controller.filter(|_| controllers);
    Some((seen.socket, controller, seen.channel?))
}

/// Whether channels are numbered anew under each controller: then one channel number of a socket
/// goes with several controllers. Otherwise the controller adds nothing.
fn controllers_count(sightings: &[Sighting]) -> bool {
    let mut controllers: BTreeMap<(Option<u32>, u32), u32> = BTreeMap::new();
    sightings.iter().any(|sighting| {
        let seen = &sighting.seen;
        let (Some(channel), Some(controller)) = (seen.channel, seen.controller) else {
            return false;
        };
        let first = controllers
            .entry((seen.socket, channel))
            .or_insert(controller);
        *first != controller
    })
}

/// The socket of every slot, counted from 1.
pub fn sockets(
    sightings: &[Sighting],
    processors: &[Processor],
    notes: &mut Vec<Note>,
) -> Vec<Fact<u16>> {
    let written: BTreeSet<u32> = sightings.iter().filter_map(|s| s.seen.socket).collect();
    if written.is_empty() {
        return vec![only_socket(sightings, processors, notes); sightings.len()];
    }
    let numbers = socket_numbers(written.len(), processors);
    let without = processors.len().saturating_sub(written.len());
    if without > 0 {
        let params = vec![("count", without.into())];
        notes.push(Note::report(Code::SocketsWithoutSlots, params));
    }
    let by_written: BTreeMap<u32, u16> = written.into_iter().zip(numbers).collect();
    sightings
        .iter()
        .map(|sighting| {
            let written = sighting.seen.socket;
            let number = written.and_then(|socket| by_written.get(&socket).copied());
            number.map_or(Fact::Unknown, Fact::Derived)
        })
        .collect()
}

/// The socket where no text names one.
fn only_socket(
    sightings: &[Sighting],
    processors: &[Processor],
    notes: &mut Vec<Note>,
) -> Fact<u16> {
    match processors.len() {
        1 => Fact::Derived(1),
        0 if sightings.iter().any(|s| s.seen.channel.is_some()) => {
            notes.push(Note::report(Code::SocketAssumed, vec![]));
            Fact::Assumed(1)
        }
        _ => Fact::Unknown,
    }
}

/// The numbers of the sockets seen. Where fewer are seen than described and just as many hold a
/// processor, it is those; otherwise they are ranked.
fn socket_numbers(seen: usize, processors: &[Processor]) -> Vec<u16> {
    let mut sorted: Vec<&Processor> = processors.iter().collect();
    sorted.sort_by_key(|p| facts::natural_key(p.socket_label.as_deref().unwrap_or_default()));
    let holds = |p: &&Processor| p.populated.value() == Some(&true);
    let populated: Vec<u16> = (1..)
        .zip(sorted)
        .filter(|(_, processor)| holds(processor))
        .map(|(number, _)| number)
        .collect();
    if populated.len() == seen {
        return populated;
    }
    (1..=u16::try_from(seen).unwrap_or(u16::MAX)).collect()
}

/// Channel and index of one slot, counted from 1.
pub type Ranked = (Option<u16>, Option<u16>);

/// Ranks channels within sockets and slots within channels.
pub fn channels_and_slots(
    sightings: &[Sighting],
    sockets: &[Fact<u16>],
    notes: &mut Vec<Note>,
) -> Vec<Ranked> {
    let counts = controllers_count(sightings);
    let groups = slots_by_channel(sightings);
    let channels = channel_ranks(&groups, notes);
    let slots = slot_ranks(&groups);
    let rank = |(sighting, socket): (&Sighting, &Fact<u16>)| {
        let key = channel_key(sighting, counts)?;
        // Without a socket, channels may run on over several of them.
        socket.value()?;
        let channel = channels.get(&key).copied();
        let slot = slots.get(&key).zip(slot_number(sighting, groups.get(&key)));
        Some((channel, slot.and_then(|(ranks, n)| ranks.get(&n).copied())))
    };
    let ranked: Vec<Ranked> = sightings
        .iter()
        .zip(sockets)
        .map(|pair| rank(pair).unwrap_or_default())
        .collect();
    without_clashes(ranked, sightings, notes)
}

/// A slot with no number is the only one of its channel, or unknown.
fn slot_number(sighting: &Sighting, group: Option<&ChannelSlots>) -> Option<u32> {
    let alone = group.is_some_and(|group| group.slots.is_empty());
    sighting.seen.slot.or(alone.then_some(0))
}

fn channel_ranks(
    groups: &BTreeMap<ChannelKey, ChannelSlots>,
    notes: &mut Vec<Note>,
) -> BTreeMap<ChannelKey, u16> {
    let mut by_socket: BTreeMap<Option<u32>, BTreeSet<(Option<u32>, u32)>> = BTreeMap::new();
    for (socket, controller, channel) in groups.keys() {
        let channels = by_socket.entry(*socket).or_default();
        channels.insert((*controller, *channel));
    }
    note_gaps(&by_socket, notes);
    let ranks = joint_ranks(&by_socket);
    groups
        .keys()
        .filter_map(|key| {
            let (socket, controller, channel) = *key;
            let rank = ranks.get(&socket)?.get(&(controller, channel))?;
            Some((*key, *rank))
        })
        .collect()
}

/// Ranks values within groups: over all groups together, so that a group that lacks one keeps the
/// others' numbers; but group by group where no two share any (letters that run on over sockets).
fn joint_ranks<G: Ord + Copy, V: Ord + Copy>(
    groups: &BTreeMap<G, BTreeSet<V>>,
) -> BTreeMap<G, Rc<BTreeMap<V, u16>>> {
    let running_on = run_on(groups);
    let union: BTreeSet<V> = groups.values().flatten().copied().collect();
    let joint: Rc<BTreeMap<V, u16>> = Rc::new(union.into_iter().zip(1..).collect());
    let own = |values: &BTreeSet<V>| Rc::new(values.iter().copied().zip(1..).collect());
    groups
        .iter()
        .map(|(group, values)| {
            let ranks = if running_on {
                own(values)
            } else {
                Rc::clone(&joint)
            };
            (*group, ranks)
        })
        .collect()
}

/// Whether no two of several groups share a value.
fn run_on<G: Ord, V: Ord + Copy>(groups: &BTreeMap<G, BTreeSet<V>>) -> bool {
    let union: BTreeSet<V> = groups.values().flatten().copied().collect();
    groups.len() > 1 && union.len() == groups.values().map(BTreeSet::len).sum::<usize>()
}

/// Ranks of the slots of each channel. Numbers may run on over the channels of one socket, the
/// next socket starting anew, or over the whole board.
fn slot_ranks(
    groups: &BTreeMap<ChannelKey, ChannelSlots>,
) -> BTreeMap<ChannelKey, Rc<BTreeMap<u32, u16>>> {
    let alone = BTreeSet::from([0]);
    let mut sockets: BTreeMap<Option<u32>, BTreeMap<ChannelKey, BTreeSet<u32>>> = BTreeMap::new();
    for (key, group) in groups {
        let slots = if group.slots.is_empty() {
            alone.clone()
        } else {
            group.slots.clone()
        };
        sockets.entry(key.0).or_default().insert(*key, slots);
    }
    if sockets.values().any(run_on) {
        return sockets.values().flat_map(joint_ranks).collect();
    }
    joint_ranks(&sockets.into_values().flatten().collect())
}

/// Several slots at one place: none of them is placed.
fn without_clashes(
    mut ranked: Vec<Ranked>,
    sightings: &[Sighting],
    notes: &mut Vec<Note>,
) -> Vec<Ranked> {
    let mut counts: BTreeMap<(Option<u32>, Ranked), usize> = BTreeMap::new();
    let places = || sightings.iter().map(|s| s.seen.socket);
    for (socket, place) in places().zip(&ranked) {
        if place.0.is_some() {
            *counts.entry((socket, *place)).or_default() += 1;
        }
    }
    let mut clashing = 0_usize;
    for (socket, place) in places().zip(&mut ranked) {
        let shared = counts.get(&(socket, *place)).is_some_and(|n| *n > 1);
        if !shared {
            continue;
        }
        // Slots whose own number is not told still have their channel.
        if place.1.is_some() {
            clashing += 1;
            *place = Ranked::default();
        }
    }
    if clashing > 0 {
        let params = vec![("count", clashing.into())];
        notes.push(Note::report(Code::SlotsClash, params));
    }
    ranked
}

fn note_gaps(
    by_socket: &BTreeMap<Option<u32>, BTreeSet<(Option<u32>, u32)>>,
    notes: &mut Vec<Note>,
) {
    for channels in by_socket.values() {
        let numbers: Vec<u32> = channels.iter().map(|(_, channel)| *channel).collect();
        let has_gap = |pair: &[u32]| matches!(pair, [a, b] if *b > a.saturating_add(1));
        if numbers.windows(2).any(has_gap) {
            let shown = numbers.iter().map(u32::to_string).collect();
            let params = vec![("channels", Param::List(shown))];
            notes.push(Note::report(Code::ChannelNumbersHaveGaps, params));
            return;
        }
    }
}

/// Drops location numbers that a management controller makes up: the same for all slots, or the
/// character code of a letter for the slot and no channel.
pub fn distrust_made_up_numbers(sightings: &mut [Sighting]) {
    let given = |s: &&Sighting| s.by == PlacedBy::LocationNumbers;
    let located: Vec<_> = sightings.iter().filter(given).map(|s| s.seen).collect();
    let same = located.len() > 1
        && located
            .windows(2)
            .all(|pair| matches!(pair, [a, b] if a == b));
    let letter_code = |slot: Option<u32>| slot.is_some_and(|n| n >= u32::from(b'A'));
    let codes = located.iter().any(|seen| letter_code(seen.slot))
        && located.iter().all(|seen| seen.channel.unwrap_or(0) == 0);
    if !same && !codes {
        return;
    }
    for sighting in sightings.iter_mut() {
        if sighting.by == PlacedBy::LocationNumbers {
            *sighting = Sighting::default();
        }
    }
}
