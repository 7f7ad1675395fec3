//! A channel's stack: seen ranks, position patterns and rates.

mod rows;

use super::board::filling::{LayoutRow, Seat};
use super::board::rates::{RowMask, Unlisted};
use super::finding::{Fact, Missing};
use super::module::Module;
use super::request::PartIx;
use super::rules::ChannelView;
use super::setup::Seen;
use super::units::{Millivolts, Mts};
use rows::Populated;

/// What sits on a channel, by position (1 is the farthest from the processor).
///
/// Searches and rules compare stacks again and again, so a seat is one number: 0 where it is empty, else
/// one more than the part's.
#[derive(Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Stack([u16; 4]);

impl std::fmt::Debug for Stack {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let seats = self.0.map(seated);
        f.debug_tuple("Stack").field(&seats).finish()
    }
}

/// A seat that holds a part, or nothing.
fn seat(part: Option<PartIx>) -> u16 {
    part.map_or(0, |part| part.0 + 1)
}

/// What a seat holds.
fn seated(seat: u16) -> Option<PartIx> {
    seat.checked_sub(1).map(PartIx)
}

impl Stack {
    /// A stack of what sits in positions 1, 2 and so on; more than four are ignored.
    pub fn of(parts: impl IntoIterator<Item = Option<PartIx>>) -> Self {
        let mut stack = Self::default();
        for (own, part) in stack.0.iter_mut().zip(parts) {
            *own = seat(part);
        }
        stack
    }

    /// What sits in a position (from 1).
    pub fn at(&self, position: u8) -> Option<PartIx> {
        let own = self.0.get(usize::from(position).checked_sub(1)?)?;
        seated(*own)
    }

    /// The same with another module in a position (from 1).
    #[must_use]
    pub fn with(mut self, position: u8, part: Option<PartIx>) -> Self {
        if let Some(own) = usize::from(position)
            .checked_sub(1)
            .and_then(|index| self.0.get_mut(index))
        {
            *own = seat(part);
        }
        self
    }

    /// The same modules in a stated order from position 1, whatever their places.
    #[must_use]
    pub fn packed(mut self) -> Self {
        self.0.sort_unstable_by(|one, other| other.cmp(one));
        self
    }

    /// Modules on the channel.
    pub fn count(&self) -> u8 {
        self.0.iter().filter(|seat| **seat > 0).count() as u8
    }

    /// The modules, position 1 first.
    pub fn parts(&self) -> impl Iterator<Item = PartIx> + '_ {
        self.0.iter().copied().filter_map(seated)
    }
}

/// Three-valued answer with the facts that are missing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Told {
    /// Yes.
    Yes,
    /// No.
    No,
    /// It depends on these facts.
    Open(Vec<Missing>),
}

/// Ranks that the channel sees in all.
pub fn seen_ranks(view: &ChannelView<'_>) -> Seen {
    let wired = view.board().wired(view.channel);
    view.modules().map(|on| on.fit.seen(wired)).fold(
        Seen {
            at_least: 0,
            exact: true,
        },
        |sum, next| Seen {
            at_least: sum.at_least + next.at_least,
            exact: sum.exact && next.exact,
        },
    )
}

/// Whether the maker's position patterns speak for what sits on the channel, in place of the orders
/// of filling: [`layout`] is not `None`.
pub fn follows_layouts(view: &ChannelView<'_>) -> bool {
    let rows = &view.board().layouts;
    view.modules().any(|on| has_layouts(rows, on.module))
}

fn has_layouts(rows: &[LayoutRow], module: &Module) -> bool {
    rows.iter()
        .any(|row| module.kind.is_none_or(|kind| row.kinds.contains(&kind)))
}

/// Whether the maker's position patterns list the stack. `None` if the board lists none for the
/// kinds on this channel.
pub fn layout(view: &ChannelView<'_>) -> Option<Told> {
    let rows = &view.board().layouts;
    if !follows_layouts(view) {
        return None;
    }
    let mut open = Vec::new();
    for row in rows {
        match layout_matches(row, view) {
            Told::Yes => return Some(Told::Yes),
            Told::No => {}
            Told::Open(missing) => open.extend(missing),
        }
    }
    if !open.is_empty() {
        return Some(Told::Open(open));
    }
    // A module of unknown kind may be of one without patterns.
    let surely = |module: &Module| module.kind.is_some() && has_layouts(rows, module);
    if view.modules().any(|on| surely(on.module)) {
        return Some(Told::No);
    }
    Some(Told::Open(
        view.modules()
            .map(|on| Missing::of(on.part, Fact::Kind))
            .collect(),
    ))
}

fn layout_matches(row: &LayoutRow, view: &ChannelView<'_>) -> Told {
    let board = view.board();
    let fitted = view.setup.fitted_sockets().count();
    let counts = |list: &Vec<u8>| list.iter().any(|count| usize::from(*count) == fitted);
    if row.pattern.len() != usize::from(board.wired(view.channel))
        || !row.sockets_fitted.as_ref().is_none_or(counts)
    {
        return Told::No;
    }
    let mut missing = Vec::new();
    for (position, seat) in (1u8..).zip(&row.pattern) {
        let Some(part) = view.stack.at(position) else {
            if *seat != Seat::Empty {
                return Told::No;
            }
            continue;
        };
        let Some(module) = view.setup.request.part(part) else {
            return Told::No;
        };
        match (seat, module.package_ranks) {
            (Seat::Empty, _) => return Told::No,
            (Seat::Ranks(list), Some(ranks)) if !list.contains(&ranks) => return Told::No,
            (Seat::Ranks(_), None) => missing.push(Missing::of(part, Fact::PackageRanks)),
            _ => {}
        }
        match module.kind {
            Some(kind) if !row.kinds.contains(&kind) => return Told::No,
            None => missing.push(Missing::of(part, Fact::Kind)),
            Some(_) => {}
        }
    }
    if missing.is_empty() {
        Told::Yes
    } else {
        Told::Open(missing)
    }
}

/// The rate that the board lists for a channel at a supply voltage.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Listed {
    /// This rate.
    Rate(Mts),
    /// No row matches, and the maker supports only what is listed.
    Unsupported,
    /// It depends on these facts.
    Open(Vec<Missing>),
}

/// Looks the channel's rate up: a matching position pattern's own rates, else the rate rows.
pub fn listed_rate(view: &ChannelView<'_>, supply: Millivolts) -> Listed {
    best_rate(view, supply, Search::Best).listed(view.board().unlisted_rate)
}

/// Whether the board lists any rate for a channel at a supply voltage, even if it is open which.
pub fn has_rate(view: &ChannelView<'_>, supply: Millivolts) -> Told {
    let best = best_rate(view, supply, Search::Any);
    match (best.sure, view.board().unlisted_rate) {
        (Some(_), _) => Told::Yes,
        (None, _) if best.any() => {
            let missing = best.perhaps.into_iter().flat_map(|(_, missing)| missing);
            Told::Open(missing.collect())
        }
        (None, Unlisted::Unsupported) => Told::No,
        (None, Unlisted::Unknown) => Told::Open(vec![Missing::general(Fact::RateRow)]),
    }
}

/// How far rows are searched.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Search {
    /// For the highest rate.
    Best,
    /// Until some rate is certain.
    Any,
}

fn best_rate(view: &ChannelView<'_>, supply: Millivolts, search: Search) -> Best {
    let mut best = Best::default();
    for row in view
        .board()
        .layouts
        .iter()
        .filter(|row| !row.rates.is_empty())
    {
        let rate = row
            .rates
            .iter()
            .filter(|(mv, _)| *mv == supply)
            .map(|(_, rate)| *rate)
            .max();
        if let Some(rate) = rate {
            best.take(layout_matches(row, view), rate);
        }
    }
    let by_layout = layout_gives_rates(view);
    if !best.any() && by_layout != Told::Yes {
        let rows = view.board().rates_of(view.stack.count());
        match rows.map(|rows| (rows, Populated::of(view, supply))) {
            Some((rows, channel)) if channel.tells_all() && !rows.have_firmware => {
                let mut rows = rows.by_rate.iter();
                best.sure = rows.find(|row| channel.is_meant(row)).map(|row| row.rate);
            }
            Some((rows, channel)) => best.look_through(&rows.listed, &channel, search),
            None => {}
        }
        // A pattern that may match has no rate at this voltage, so that there may be none.
        if let Told::Open(missing) = by_layout
            && let Some(rate) = best.sure.take()
        {
            best.perhaps.push((rate, missing));
        }
    }
    best
}

/// Whether a pattern that carries its own rates matches at any voltage: then the rate rows don't
/// speak for this channel.
fn layout_gives_rates(view: &ChannelView<'_>) -> Told {
    let rows = view.board().layouts.iter();
    let mut open = Vec::new();
    for row in rows.filter(|row| !row.rates.is_empty()) {
        match layout_matches(row, view) {
            Told::Yes => return Told::Yes,
            Told::No => {}
            Told::Open(missing) => open.extend(missing),
        }
    }
    if open.is_empty() {
        Told::No
    } else {
        Told::Open(open)
    }
}

/// The best rate for certain, and what a better one depends on.
#[derive(Default)]
struct Best {
    sure: Option<Mts>,
    perhaps: Vec<(Mts, Vec<Missing>)>,
}

impl Best {
    fn any(&self) -> bool {
        self.sure.is_some() || !self.perhaps.is_empty()
    }

    fn look_through(&mut self, rows: &[RowMask], channel: &Populated<'_>, search: Search) {
        for row in rows {
            // A slower one than what is certain says nothing.
            if self.sure.is_none_or(|sure| row.rate > sure) {
                self.take(channel.matches(row), row.rate);
                if search == Search::Any && self.sure.is_some() {
                    break;
                }
            }
        }
    }

    fn take(&mut self, told: Told, rate: Mts) {
        match told {
            Told::Yes => self.sure = self.sure.max(Some(rate)),
            Told::No => {}
            Told::Open(missing) => self.perhaps.push((rate, missing)),
        }
    }

    fn listed(self, unlisted: Unlisted) -> Listed {
        let better = |(rate, _): &&(Mts, Vec<Missing>)| self.sure.is_none_or(|sure| *rate > sure);
        let missing: Vec<Missing> = self
            .perhaps
            .iter()
            .filter(better)
            .flat_map(|(_, missing)| missing.iter().copied())
            .collect();
        match (self.sure, missing.is_empty(), unlisted) {
            (_, false, _) => Listed::Open(missing),
            (Some(rate), true, _) => Listed::Rate(rate),
            (None, true, Unlisted::Unsupported) => Listed::Unsupported,
            (None, true, Unlisted::Unknown) => Listed::Open(vec![Missing::general(Fact::RateRow)]),
        }
    }
}
