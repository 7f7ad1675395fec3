//! Slots that a report describes twice.
//!
//! Some firmware describes one slot in two structures; other firmware gives two slots one name.
//! What firmware maps to memory tells the two apart, or a serial number; without either both stay.

use super::facts;
use super::locate::words::{Seen, Style};
use super::locate::{self, Sighting};
use super::note::{Code, Note};
use super::record::SlotName;
use super::whole::{Draft, State};
use std::collections::BTreeMap;

/// What makes two structures the same slot: the place in so many words, or both names.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Same {
    Place(Option<u32>, Option<u32>, u32, u32),
    Names(SlotName),
}

/// Takes out the second description of a slot.
pub fn merge(
    drafts: &mut Vec<Draft>,
    sightings: &mut Vec<Sighting>,
    mapped_mib: Option<u64>,
    notes: &mut Vec<Note>,
) {
    let second = second_descriptions(drafts, sightings);
    if second.iter().all(Option::is_none) {
        return;
    }
    let by_sum = sum_says_once(drafts, &second, mapped_mib);
    let gone: Vec<bool> = drafts
        .iter()
        .zip(&second)
        .map(|(draft, first)| {
            let first = first.and_then(|first| drafts.get(first));
            first.is_some_and(|first| by_sum.unwrap_or_else(|| surely_same(draft, first)))
        })
        .collect();
    note_both_ways(drafts, &second, &gone, notes);
    let mut keep = gone.iter().map(|gone| !gone);
    drafts.retain(|_| keep.next().unwrap_or(true));
    let mut keep = gone.iter().map(|gone| !gone);
    sightings.retain(|_| keep.next().unwrap_or(true));
}

/// For each draft the earlier one that it repeats with the same facts.
fn second_descriptions(drafts: &[Draft], sightings: &[Sighting]) -> Vec<Option<usize>> {
    let mut first: BTreeMap<Same, usize> = BTreeMap::new();
    let mut second = Vec::with_capacity(drafts.len());
    for (index, (draft, sighting)) in drafts.iter().zip(sightings).enumerate() {
        let Some(key) = key(draft, sighting) else {
            second.push(None);
            continue;
        };
        let earlier = *first.entry(key).or_insert(index);
        let repeats = earlier != index
            && drafts
                .get(earlier)
                .is_some_and(|first| same_facts(draft, first));
        second.push(repeats.then_some(earlier));
    }
    second
}

fn key(draft: &Draft, sighting: &Sighting) -> Option<Same> {
    let seen = &sighting.seen;
    if let (Style::Explicit, Some(channel), Some(slot)) = (seen.style, seen.channel, seen.slot) {
        return Some(Same::Place(seen.socket, seen.controller, channel, slot));
    }
    let named = draft.name.locator.is_some();
    named.then(|| Same::Names(draft.name.clone()))
}

fn same_facts(a: &Draft, b: &Draft) -> bool {
    let serials = real_serial(a).zip(real_serial(b));
    a.state == b.state
        && (a.state != State::Filled || a.told == b.told)
        && serials.is_none_or(|(a, b)| a == b)
}

fn real_serial(draft: &Draft) -> Option<String> {
    draft.told.serial.as_deref().and_then(facts::meaning)
}

/// Where no sum tells: one serial number, or two empty slots under one name (they have the same
/// facts, so nothing is lost).
fn surely_same(a: &Draft, b: &Draft) -> bool {
    match a.state {
        State::Filled => real_serial(a).is_some() && real_serial(a) == real_serial(b),
        State::Vacant => same_place(a, b),
        _ => false,
    }
}

/// Whether both bank locators name the place in so many words, not just a common word.
fn same_place(a: &Draft, b: &Draft) -> bool {
    let places = [a, b].map(|draft| locate::sight(&draft.name).seen);
    let told = |seen: &Seen| seen.style == Style::Explicit && seen.slot.is_some();
    places.iter().all(told) && a.name == b.name
}

/// Whether the mapped memory is nearer to the sum with each slot counted once; `None` where it
/// does not tell.
fn sum_says_once(
    drafts: &[Draft],
    second: &[Option<usize>],
    mapped_mib: Option<u64>,
) -> Option<bool> {
    let size = |draft: &Draft| match draft.state {
        State::Filled => draft.told.capacity_mib.unwrap_or(0),
        _ => 0,
    };
    let sum = |mib: u64, draft: &Draft| mib.saturating_add(size(draft));
    let twice = drafts.iter().fold(0, sum);
    let repeated = drafts
        .iter()
        .zip(second)
        .filter(|(_, first)| first.is_some())
        .fold(0, |mib, (draft, _)| sum(mib, draft));
    let once = twice.saturating_sub(repeated);
    let mapped = mapped_mib.filter(|_| repeated > 0)?;
    Some(mapped.abs_diff(once) < mapped.abs_diff(twice))
}

/// Notes with the indices that the slots have afterwards.
fn note_both_ways(
    drafts: &[Draft],
    second: &[Option<usize>],
    gone: &[bool],
    notes: &mut Vec<Note>,
) {
    let mut left = Vec::with_capacity(drafts.len());
    let mut next = 0_usize;
    for gone in gone {
        left.push(next);
        next += usize::from(!gone);
    }
    for ((draft, first), gone) in drafts.iter().zip(second).zip(gone) {
        let (Some(first), State::Filled) = (first, draft.state) else {
            continue;
        };
        let code = if *gone {
            Code::SlotListedTwice
        } else {
            Code::SlotMayBeListedTwice
        };
        let locator = draft.name.locator.as_deref().unwrap_or_default();
        let slot = left.get(*first).copied().unwrap_or_default();
        notes.push(Note::slot(code, slot, vec![("locator", locator.into())]));
    }
}
