//! What is legal in a catalogue and still looks wrong: each a warning to the author.

use super::load::Loaded;
use crate::domain::board::Board;
use crate::domain::board::accept::AcceptRow;
use crate::domain::board::filling::{Filling, LayoutRow};
use crate::domain::board::rates::{RankMatch, RateRow, StackMatch, Unlisted};
use crate::domain::module::{Kind, Module, RecordFault};

/// A doubt about a file: its name, and what looks wrong.
pub type FileDoubt = (String, RecordFault);

/// Everything that looks wrong in what was read.
pub fn of(loaded: &Loaded) -> Vec<FileDoubt> {
    let mut doubts = Vec::new();
    for (file, entry) in &loaded.boards {
        let found = of_board(&entry.board).into_iter();
        doubts.extend(found.map(|doubt| (file.clone(), doubt)));
    }
    for (file, entry) in &loaded.modules {
        let at = format!("/modules/{}", super::load::escaped(&entry.id));
        let found = of_module(&at, &entry.module).into_iter();
        doubts.extend(found.map(|doubt| (file.clone(), doubt)));
    }
    doubts
}

/// What looks wrong with a board, with pointers into its record.
pub fn of_board(board: &Board) -> Vec<RecordFault> {
    let mut doubts = Vec::new();
    hidden_accepts(board, &mut doubts);
    kinds_without_rate(board, &mut doubts);
    unused_kinds(board, &mut doubts);
    hidden_rates(board, &mut doubts);
    for (index, row) in board.filling.iter().enumerate() {
        filling(&format!("/filling/{index}"), row, board, &mut doubts);
    }
    bare_channels(board, &mut doubts);
    doubts
}

/// A fact that rules read and that the catalogue should know.
fn of_module(at: &str, module: &Module) -> Option<RecordFault> {
    let facts = [
        ("generation", module.generation.is_some()),
        ("kind", module.kind.is_some()),
        ("capacity_mib", module.capacity.is_some()),
        ("package_ranks", module.package_ranks.is_some()),
        ("stack_height", module.stack_height.is_some()),
        ("width", module.width.is_some()),
        ("rate_mts", module.rate.is_some()),
        ("supply_mv", module.supply.is_some()),
    ];
    let missing = facts.iter().filter(|(_, known)| !known);
    let missing: Vec<String> = missing.map(|(name, _)| format!("`{name}`")).collect();
    (!missing.is_empty()).then(|| {
        RecordFault::new(
            at,
            format!("not told: {}", missing.join(", ")),
            "read it off the label or the maker's page; until then some answers are undecided",
        )
    })
}

/// Whether a list of what is taken takes all that another takes.
fn covers<T: PartialEq>(wide: &Option<Vec<T>>, narrow: &Option<Vec<T>>) -> bool {
    match (wide, narrow) {
        (None, _) => true,
        (Some(_), None) => false,
        (Some(wide), Some(narrow)) => narrow.iter().all(|value| wide.contains(value)),
    }
}

fn accepts_all_of(wide: &AcceptRow, narrow: &AcceptRow) -> bool {
    wide.kind == narrow.kind
        && covers(&wide.capacities, &narrow.capacities)
        && covers(&wide.ranks, &narrow.ranks)
        && covers(&wide.widths, &narrow.widths)
        && covers(&wide.die_densities, &narrow.die_densities)
        && covers(&wide.stacks, &narrow.stacks)
        && covers(&wide.ecc_bits, &narrow.ecc_bits)
        && covers(&wide.supply, &narrow.supply)
}

fn hidden_accepts(board: &Board, doubts: &mut Vec<RecordFault>) {
    for (index, row) in board.accepts.iter().enumerate() {
        let mut earlier = board.accepts.iter().take(index);
        if let Some(first) = earlier.position(|other| accepts_all_of(other, row)) {
            doubts.push(RecordFault::new(
                format!("/accepts/{index}"),
                format!("the row is never reached: /accepts/{first} takes every module of it"),
                "put the special row before the general one",
            ));
        }
    }
}

/// Whether some rate row or pattern speaks of modules of this kind, flat or stacked.
fn has_rate(board: &Board, kind: Kind, stacked: bool) -> bool {
    let speaks = |row: &RateRow| {
        row.kinds.contains(&kind)
            && match row.stack {
                StackMatch::Any => true,
                StackMatch::Flat => !stacked,
                StackMatch::Stacked => stacked,
            }
    };
    let lists = |row: &LayoutRow| !row.rates.is_empty() && row.kinds.contains(&kind);
    board.rates.iter().any(speaks) || board.layouts.iter().any(lists)
}

fn kinds_without_rate(board: &Board, doubts: &mut Vec<RecordFault>) {
    for (index, row) in board.accepts.iter().enumerate() {
        let takes = |stacked: bool| {
            let fits = |height: &u8| (*height > 1) == stacked;
            row.stacks
                .as_ref()
                .map_or(!stacked, |list| list.iter().any(fits))
        };
        for (stacked, word) in [(false, "flat"), (true, "stacked")] {
            if takes(stacked) && !has_rate(board, row.kind, stacked) {
                let (name, result) = (row.kind.name(), unlisted(board.unlisted_rate));
                doubts.push(RecordFault::new(
                    format!("/accepts/{index}"),
                    format!(
                        "no rate row or pattern tells the rate of a {word} {name}, so {result}"
                    ),
                    "add a row to /rates, or a pattern with rates to /layouts",
                ));
            }
        }
    }
}

fn unlisted(unlisted: Unlisted) -> &'static str {
    match unlisted {
        Unlisted::Unsupported => "none is supported",
        Unlisted::Unknown => "its rate is unknown",
    }
}

fn unused_kinds(board: &Board, doubts: &mut Vec<RecordFault>) {
    let rates = board.rates.iter().map(|row| &row.kinds).enumerate();
    let layouts = board.layouts.iter().map(|row| &row.kinds).enumerate();
    let rows = rates.map(|row| ("rates", row));
    for (list, (index, kinds)) in rows.chain(layouts.map(|row| ("layouts", row))) {
        for (place, kind) in kinds.iter().enumerate() {
            if !board.accepts.iter().any(|row| row.kind == *kind) {
                doubts.push(RecordFault::new(
                    format!("/{list}/{index}/kinds/{place}"),
                    format!("the board takes no {}", kind.name()),
                    "add a row to /accepts, or leave the kind out here",
                ));
            }
        }
    }
}

fn matches_all_of(wide: &RateRow, narrow: &RateRow) -> bool {
    let ranks = match (&wide.ranks, &narrow.ranks) {
        (RankMatch::Any, _) => true,
        (wide, narrow) if wide == narrow => true,
        (RankMatch::AtMost(most), RankMatch::AtMost(other)) => most >= other,
        (RankMatch::AtMost(most), RankMatch::Exactly(ranks)) => ranks.iter().all(|r| r <= most),
        _ => false,
    };
    let stack = wide.stack == StackMatch::Any || wide.stack == narrow.stack;
    let firmware = wide.firmware.is_none() || wide.firmware == narrow.firmware;
    ranks
        && stack
        && firmware
        && (wide.measure == narrow.measure || wide.ranks == RankMatch::Any)
        && wide.modules == narrow.modules
        && narrow.kinds.iter().all(|kind| wide.kinds.contains(kind))
        && covers(&wide.positions_wired, &narrow.positions_wired)
        && covers(&wide.supply, &narrow.supply)
}

/// Of several rows that match, the fastest holds: a slower one within a faster one is never used.
fn hidden_rates(board: &Board, doubts: &mut Vec<RecordFault>) {
    for (index, row) in board.rates.iter().enumerate() {
        let hides = |(other, wide): &(usize, &RateRow)| {
            let faster = wide.rate > row.rate || (wide.rate == row.rate && *other < index);
            *other != index && faster && matches_all_of(wide, row)
        };
        if let Some((other, _)) = board.rates.iter().enumerate().find(hides) {
            doubts.push(RecordFault::new(
                format!("/rates/{index}"),
                format!("the row is never used: /rates/{other} is as fast or faster for all of it"),
                "make the faster row narrower, or leave this one out",
            ));
        }
    }
}

fn filling(at: &str, row: &Filling, board: &Board, doubts: &mut Vec<RecordFault>) {
    if row.channel_order.is_none() && board.channels > 1 {
        doubts.push(RecordFault::new(
            format!("{at}/channel_order"),
            "no order of channels is told",
            "makers usually print one; `any` is right only where they say that it does not matter",
        ));
    }
    let slots = |socket: u8| -> usize {
        let channels = board.channels_of(socket);
        channels.map(|c| usize::from(board.wired(c))).sum()
    };
    let most = (1..=board.sockets).map(slots).max().unwrap_or(0);
    for (index, count) in row.module_counts.iter().flatten().enumerate() {
        if usize::from(*count) > most {
            doubts.push(RecordFault::new(
                format!("{at}/module_counts/{index}"),
                format!("no socket can hold {count} modules"),
                format!("a socket has {most} slots"),
            ));
        }
    }
}

fn bare_channels(board: &Board, doubts: &mut Vec<RecordFault>) {
    for channel in board.all_channels().filter(|c| board.wired(*c) == 0) {
        let (socket, number) = board.address(channel);
        doubts.push(RecordFault::new(
            "/slots",
            format!("channel {number} of socket {socket} has no slot"),
            "add its row, if the board has one",
        ));
    }
}
