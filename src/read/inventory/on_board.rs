//! Which slots of a known board the slots of a report are.
//!
//! A slot is known where the caller told it, where its locator is the label printed on the board, or
//! where the numbers of the report leave one slot only. Firmware's index within a channel says nothing
//! about the distance from the processor, so of several slots none is taken by number, unless all of
//! them hold the same. What is not known is asked: a wrong slot could make a wrong verdict.

use super::note::Code;
use super::record::{Format, Inventory, Occupancy, PlacedBy, Slot, Standing};
use super::{facts, locate::MappedPlace};
use crate::domain::board::{Board, ChannelIx, Place, SlotIx};
use crate::read::note::{Note, Parameter, kinds};
use std::collections::{BTreeMap, BTreeSet};

kinds! {
    PLACED_BY_NUMBER Caution "slots-placed-by-number" ["count"]
        "{ $count } slots of the report were put at slots of the board by the order of their socket and channel numbers. Compare them with the labels printed on the board.";
    NOT_ON_BOARD Caution "slot-not-on-board" ["locator"]
        "Which slot of the board `{ $locator }` is, the report does not tell. Say it, or read the label printed beside the slot.";
    SLOTS_LEFT_OUT Fault "slots-left-out" ["count", "slots"]
        "The report leaves out { $count } slots of the board ({ $slots }), so what they hold is not known. It may have been cut; send the whole report.";
    PROCESSORS_TAKEN Remark "processors-from-report" ["fitted", "sockets"]
        "The report shows processors in { $fitted } of { $sockets } sockets. That is used, since the request does not tell.";
    OF_CATALOGUE Remark "module-of-catalogue" ["part", "id"]
        "The part number `{ $part }` stands for `{ $id }` of the catalogue, whose facts are used for a decision.";
    NOT_AS_CATALOGUE Caution "module-not-as-catalogue" ["part", "id", "fact"]
        "The part number `{ $part }` stands for `{ $id }` of the catalogue, but the report tells another { $fact }, so only the report is used.";
}

/// What told which slot of the board it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MappedBy {
    /// The caller, or the board's record.
    Told,
    /// The locator is the printed label.
    Label,
    /// Socket and channel leave one slot only.
    Number,
}

impl MappedBy {
    /// The stable name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Told => "told",
            Self::Label => "label",
            Self::Number => "number",
        }
    }
}

/// Where a slot of the report is on the board.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Spot {
    /// The slot, if it is known.
    pub slot: Option<(SlotIx, MappedBy)>,
    /// Slots that it may be, if it is not.
    pub candidates: Vec<SlotIx>,
}

/// Where each slot of a report is on a board, in the order of the report.
pub fn on_board(inventory: &Inventory, board: &Board) -> Vec<Spot> {
    let numbers = Numbers::of(inventory, board);
    let mut spots: Vec<Spot> = inventory
        .slots
        .iter()
        .enumerate()
        .map(|(index, slot)| Spot {
            slot: told(slot, board)
                .map(|slot| (slot, MappedBy::Told))
                .or_else(|| Some((by_label(slot, board)?, MappedBy::Label)))
                .or_else(|| Some((numbers.slot(index, slot)?, MappedBy::Number))),
            candidates: Vec::new(),
        })
        .collect();
    forget_clashes(&mut spots);
    let taken: Vec<SlotIx> = spots.iter().filter_map(|spot| Some(spot.slot?.0)).collect();
    for (slot, spot) in inventory.slots.iter().zip(&mut spots) {
        if spot.slot.is_none() {
            spot.candidates = numbers.candidates(slot);
            spot.candidates.retain(|slot| !taken.contains(slot));
        }
    }
    spots
}

/// The slots of the board that no slot of the report can be. SMBIOS describes every slot, filled or not
/// (DSP0134 7.18), so nothing tells what they hold: a report may have been cut. Only the slots of an
/// empty socket may be missing (7 of 12 such reports of a survey of 227). Redfish need not name
/// empty slots; where it names none, it leaves none out.
pub fn left_out(inventory: &Inventory, spots: &[Spot], board: &Board) -> Vec<SlotIx> {
    let names_empty = |slot: &Slot| slot.occupancy == Occupancy::Empty;
    if inventory.format == Format::Redfish && !inventory.slots.iter().any(names_empty) {
        return Vec::new();
    }
    let mut free: BTreeSet<SlotIx> = (0..).map(SlotIx).take(board.slots.len()).collect();
    for (slot, _) in spots.iter().filter_map(|spot| spot.slot) {
        free.remove(&slot);
    }
    // Candidates are those of a channel, a socket or the board. Those with the fewest take theirs first,
    // and each the lowest that is left: so as few as can be stay unclaimed.
    let mut unplaced: Vec<&Spot> = spots.iter().filter(|spot| spot.slot.is_none()).collect();
    unplaced.sort_by_key(|spot| spot.candidates.len());
    for spot in unplaced {
        if let Some(slot) = spot.candidates.iter().find(|slot| free.contains(slot)) {
            free.remove(slot);
        }
    }
    free.into_iter().collect()
}

/// Those of the slots left out that a whole report would not lack: all but those of a socket that the
/// report shows empty, or of which it tells nothing, neither processor nor slot.
pub fn surely_cut(
    left_out: &[SlotIx],
    inventory: &Inventory,
    spots: &[Spot],
    board: &Board,
) -> Vec<SlotIx> {
    let fitted = fitted_sockets(inventory, board);
    let socket = |slot: &SlotIx| board.address(board.channel_of(*slot)).0;
    let named: BTreeSet<u8> = spots
        .iter()
        .flat_map(|spot| {
            spot.slot
                .iter()
                .map(|(slot, _)| slot)
                .chain(&spot.candidates)
        })
        .map(socket)
        .collect();
    let expected = |socket: u8| match &fitted {
        Some(fitted) => fitted.get(usize::from(socket) - 1) == Some(&true),
        None => named.contains(&socket),
    };
    let cut = left_out.iter().copied();
    cut.filter(|slot| expected(socket(slot))).collect()
}

/// A note that these slots of the board are left out.
pub fn left_out_note(slots: &[SlotIx], board: &Board) -> Note {
    let labels = slots.iter().map(|slot| board.label(*slot).to_owned());
    Note::new(&SLOTS_LEFT_OUT)
        .number("count", slots.len())
        .with("slots", Parameter::List(labels.collect()))
}

/// A slot that two slots of the report claim is neither's.
fn forget_clashes(spots: &mut [Spot]) {
    let mut counts: BTreeMap<SlotIx, usize> = BTreeMap::new();
    for (slot, _) in spots.iter().filter_map(|spot| spot.slot) {
        *counts.entry(slot).or_default() += 1;
    }
    for spot in spots {
        spot.slot = spot.slot.filter(|(slot, _)| counts.get(slot) == Some(&1));
    }
}

/// The slot at the place that the caller's mapping gives.
fn told(slot: &Slot, board: &Board) -> Option<SlotIx> {
    if slot.place.by != PlacedBy::Mapping {
        return None;
    }
    let place = Place {
        socket: narrow(slot.place.socket.value())?,
        channel: narrow(slot.place.channel.value())?,
        position: narrow(slot.place.position.value())?,
    };
    let index = board.slots.iter().position(|known| known.place == place)?;
    u16::try_from(index).ok().map(SlotIx)
}

/// The place of a board's slot, for a mapping.
pub fn place_of(board: &Board, slot: SlotIx) -> Option<MappedPlace> {
    let place = board.slot(slot)?.place;
    Some(MappedPlace {
        socket: place.socket.into(),
        channel: place.channel.into(),
        position: place.position.into(),
    })
}

/// The slot whose printed label the locator is, with or without the word DIMM before it. A socket that
/// the report tells must be the label's.
fn by_label(slot: &Slot, board: &Board) -> Option<SlotIx> {
    let locator = plain(slot.name.locator.as_deref()?);
    let bare = locator.strip_prefix("DIMM").unwrap_or(&locator);
    let is = |label: &str| {
        let label = plain(label);
        !label.is_empty() && (label == locator || label == bare)
    };
    let mut fitting = board.slots.iter().enumerate().filter(|(_, s)| is(&s.label));
    let (index, known) = fitting.next()?;
    let elsewhere = |socket: u8| socket != known.place.socket;
    if fitting.next().is_some() || narrow(slot.place.socket.sure()).is_some_and(elsewhere) {
        return None;
    }
    u16::try_from(index).ok().map(SlotIx)
}

/// Letters and digits in upper case.
fn plain(text: &str) -> String {
    let plain = text.chars().filter(char::is_ascii_alphanumeric);
    plain.map(|c| c.to_ascii_uppercase()).collect()
}

fn narrow(number: Option<&u16>) -> Option<u8> {
    u8::try_from(*number?).ok()
}

/// The numbers of the report, where they agree with the board.
struct Numbers<'a> {
    board: &'a Board,
    inventory: &'a Inventory,
    /// The slots of the report in each channel of the board, by index.
    channels: BTreeMap<ChannelIx, Vec<usize>>,
}

impl<'a> Numbers<'a> {
    fn of(inventory: &'a Inventory, board: &'a Board) -> Self {
        let mut channels: BTreeMap<ChannelIx, Vec<usize>> = BTreeMap::new();
        for (index, slot) in inventory.slots.iter().enumerate() {
            if let Some(channel) = channel(slot, board) {
                channels.entry(channel).or_default().push(index);
            }
        }
        let gaps = inventory
            .notes
            .iter()
            .any(|note| note.code == Code::ChannelNumbersHaveGaps);
        // Numbers are ranks of what the report shows: they are the board's only if it shows all
        // channels of the socket, and no more slots than are wired.
        let whole = |socket: u8| {
            board
                .channels_of(socket)
                .all(|channel| channels.contains_key(&channel))
        };
        let wired = |(channel, slots): (&ChannelIx, &Vec<usize>)| {
            slots.len() <= usize::from(board.wired(*channel))
        };
        let sockets: Vec<u8> = (1..=board.sockets)
            .filter(|socket| whole(*socket))
            .collect();
        let agrees = !gaps && channels.iter().all(wired);
        channels.retain(|channel, _| agrees && sockets.contains(&board.address(*channel).0));
        Self {
            board,
            inventory,
            channels,
        }
    }

    /// The slot, if the numbers leave only one, or if all slots of a full channel hold the same.
    fn slot(&self, index: usize, slot: &Slot) -> Option<SlotIx> {
        let channel = channel(slot, self.board)?;
        let own = self.channels.get(&channel)?;
        let mut slots = self.board.slots_of(channel);
        if own.len() == 1 && self.board.wired(channel) == 1 {
            return slots.next();
        }
        let full = own.len() == usize::from(self.board.wired(channel));
        let place = own.iter().position(|other| *other == index)?;
        (full && self.all_alike(own)).then(|| slots.nth(place))?
    }

    fn all_alike(&self, indices: &[usize]) -> bool {
        let alike = |one: &Slot, other: &Slot| {
            one.occupancy == other.occupancy
                && match (&one.module, &other.module) {
                    (Some(one), Some(other)) => {
                        one.part_number.value().is_some()
                            && one.part_number == other.part_number
                            && one.capacity_mib == other.capacity_mib
                            && one.ranks == other.ranks
                            && one.kind == other.kind
                            && one.rated_mts == other.rated_mts
                    }
                    (None, None) => one.occupancy == Occupancy::Empty,
                    _ => false,
                }
        };
        let slots = || indices.iter().filter_map(|i| self.inventory.slots.get(*i));
        slots().zip(slots().skip(1)).all(|(a, b)| alike(a, b))
    }

    /// The slots that it may be: those of its channel or its socket, else all.
    fn candidates(&self, slot: &Slot) -> Vec<SlotIx> {
        let channel = channel(slot, self.board).filter(|c| self.channels.contains_key(c));
        if let Some(channel) = channel {
            return self.board.slots_of(channel).collect();
        }
        let socket = narrow(slot.place.socket.sure());
        (0..)
            .zip(&self.board.slots)
            .filter(|(_, known)| socket.is_none_or(|socket| known.place.socket == socket))
            .map(|(index, _)| SlotIx(index))
            .collect()
    }
}

/// The channel of the board with the slot's numbers.
fn channel(slot: &Slot, board: &Board) -> Option<ChannelIx> {
    let socket = narrow(slot.place.socket.value())?;
    let channel = narrow(slot.place.channel.value())?;
    let assumed = slot.place.socket.standing() == Standing::Assumed && board.sockets > 1;
    let within = (1..=board.sockets).contains(&socket) && (1..=board.channels).contains(&channel);
    (within && !assumed).then(|| board.channel_at(socket, channel))
}

/// The report's processor of each socket of a board, if it tells of exactly as many as there are.
pub fn processors_by_socket<'a>(
    inventory: &'a Inventory,
    board: &Board,
) -> Option<Vec<&'a super::record::Processor>> {
    if inventory.processors.len() != usize::from(board.sockets) {
        return None;
    }
    let mut sorted: Vec<_> = inventory.processors.iter().collect();
    sorted.sort_by_key(|p| facts::natural_key(p.socket_label.as_deref().unwrap_or_default()));
    Some(sorted)
}

/// Which sockets of a board hold a processor; nothing unless the report tells it of exactly as many
/// sockets as the board has.
pub fn fitted_sockets(inventory: &Inventory, board: &Board) -> Option<Vec<bool>> {
    let sorted = processors_by_socket(inventory, board)?;
    let fitted: Option<Vec<bool>> = sorted
        .iter()
        .map(|p| p.populated.value().copied())
        .collect();
    fitted.filter(|fitted| fitted.contains(&true))
}
