//! Where everything stands: slots as the board's record draws them, in lines that fit a phone.

use crate::domain::board::{Board, KeySide, SlotIx};
use std::collections::BTreeSet;

/// The width of a drawing.
pub const WIDTH: i32 = 390;
/// Left and right of it.
pub const MARGIN: i32 = 12;
/// From one upright slot to the next.
pub const PITCH: i32 = 28;
/// The most upright slots beside each other.
const MOST_COLUMNS: usize = ((WIDTH - 2 * MARGIN) / PITCH) as usize;
/// The most lying slots beside each other.
const MOST_LYING: usize = 2;

/// What stands in a column of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cell {
    /// A slot.
    Slot(SlotIx),
    /// Room between slots: there the processor sits.
    Gap,
}

/// Slots beside each other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// What stands in it, from the left.
    pub cells: Vec<Cell>,
    /// Whether the slots lie, as their keys say.
    pub lying: bool,
}

/// A socket with its slots.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Panel {
    /// The socket, from 1.
    pub socket: u8,
    /// Its lines, from the top.
    pub lines: Vec<Line>,
}

/// A slot with its place in the record's drawing.
#[derive(Clone, Copy)]
struct Spot {
    slot: SlotIx,
    column: u16,
    row: u16,
    lying: bool,
}

/// The panels of a board, in the order of its drawing.
pub fn panels(board: &Board) -> Vec<Panel> {
    let mut panels: Vec<(Spot, Panel)> = (1..=board.sockets)
        .filter_map(|socket| {
            let spots = spots(board, socket);
            let first = *spots.iter().min_by_key(|spot| (spot.row, spot.column))?;
            let lines = lines(&spots);
            Some((first, Panel { socket, lines }))
        })
        .collect();
    panels.sort_by_key(|(first, panel)| (first.row, first.column, panel.socket));
    panels.into_iter().map(|(_, panel)| panel).collect()
}

/// The slots of a socket. Where the record draws two at one place, they stand in a row by channel
/// and position instead.
fn spots(board: &Board, socket: u8) -> Vec<Spot> {
    let mut spots = Vec::new();
    for slot in board
        .channels_of(socket)
        .flat_map(|channel| board.slots_of(channel))
    {
        let Some(record) = board.slot(slot) else {
            continue;
        };
        spots.push(Spot {
            slot,
            column: record.drawn_at.0,
            row: record.drawn_at.1,
            lying: matches!(record.key, KeySide::Left | KeySide::Right),
        });
    }
    let places: BTreeSet<(u16, u16)> = spots.iter().map(|spot| (spot.row, spot.column)).collect();
    if places.len() < spots.len() {
        for (column, spot) in (0..).zip(&mut spots) {
            (spot.column, spot.row) = (column, 0);
        }
    }
    spots
}

fn lines(spots: &[Spot]) -> Vec<Line> {
    let rows: BTreeSet<u16> = spots.iter().map(|spot| spot.row).collect();
    let mut lines = Vec::new();
    for row in rows {
        for lying in [false, true] {
            let mut own: Vec<Spot> = spots
                .iter()
                .copied()
                .filter(|spot| spot.row == row && spot.lying == lying)
                .collect();
            own.sort_by_key(|spot| spot.column);
            if own.is_empty() {
                continue;
            }
            let most = if lying { MOST_LYING } else { MOST_COLUMNS };
            let pieces = broken(&cells(&own, lying), most);
            lines.extend(pieces.into_iter().map(|cells| Line { cells, lying }));
        }
    }
    lines
}

/// Slots with one gap wherever the record leaves columns out.
fn cells(spots: &[Spot], lying: bool) -> Vec<Cell> {
    let mut cells = Vec::with_capacity(spots.len() + 2);
    let mut last: Option<u16> = None;
    for spot in spots {
        if last.is_some_and(|last| spot.column - last > 1) && !lying {
            cells.push(Cell::Gap);
        }
        cells.push(Cell::Slot(spot.slot));
        last = Some(spot.column);
    }
    cells
}

/// A row in lines of at most so many columns: beside its gaps if it can be, so that each half of a
/// row shows on which side of the processor it stands.
fn broken(cells: &[Cell], most: usize) -> Vec<Vec<Cell>> {
    if cells.len() <= most {
        return vec![cells.to_vec()];
    }
    let halves: Vec<&[Cell]> = cells.split(|cell| *cell == Cell::Gap).collect();
    let last = halves.len() - 1;
    let mut lines = Vec::new();
    for (index, half) in halves.into_iter().enumerate() {
        let with_gap = last > 0 && half.len() < most;
        let mut line = Vec::new();
        if with_gap && index > 0 {
            line.push(Cell::Gap);
        }
        line.extend_from_slice(half);
        if with_gap && index == 0 {
            line.push(Cell::Gap);
        }
        lines.extend(line.chunks(most).map(<[Cell]>::to_vec));
    }
    lines
}
