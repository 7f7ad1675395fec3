//! Which found module stands for which planned one.

use super::super::board::SlotIx;
use super::super::request::PartIx;
use super::cells::Cell;
use super::compare::{Likeness, compare};
use super::found::{Found, FoundModule, Holds, Plan};

/// A planned module.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Want {
    /// The group of its slot.
    pub cell: usize,
    /// Its slot.
    pub slot: SlotIx,
    /// Which module.
    pub part: PartIx,
}

/// A found module.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Have {
    /// The group of its slot.
    pub cell: usize,
    /// Index of the report's slot.
    pub entry: usize,
}

/// A planned module and the one that stands for it.
#[derive(Clone, Debug)]
pub(super) struct Pair {
    /// Planned.
    pub want: Want,
    /// Found.
    pub have: Have,
    /// How they compare; nothing if the found one cannot be read.
    pub likeness: Option<Likeness>,
}

/// All modules of both sides.
#[derive(Debug, Default)]
pub(super) struct Pairs {
    /// Those that stand for each other.
    pub pairs: Vec<Pair>,
    /// Planned ones of which none was found.
    pub missing: Vec<Want>,
    /// Found ones that nobody planned.
    pub extra: Vec<Have>,
}

/// Pairs all modules: each group first with what it surely holds, then the rest across groups, then
/// whatever is left within a group.
pub(super) fn pairs(plan: &Plan<'_>, found: &Found, cells: &[Cell]) -> Pairs {
    let mut matcher = Matcher::new(plan, found, cells);
    matcher.within(Likeness::is_same);
    matcher.within(|likeness| matches!(likeness, Likeness::Part));
    matcher.within(|likeness| matches!(likeness, Likeness::Open(_)));
    matcher.across();
    matcher.within(|_| true);
    matcher.unreadable();
    Pairs {
        pairs: matcher.pairs,
        missing: matcher.wants,
        extra: matcher.haves,
    }
}

struct Matcher<'a> {
    plan: &'a Plan<'a>,
    found: &'a Found,
    wants: Vec<Want>,
    haves: Vec<Have>,
    pairs: Vec<Pair>,
    own_rates: bool,
}

impl<'a> Matcher<'a> {
    fn new(plan: &'a Plan<'a>, found: &'a Found, cells: &[Cell]) -> Self {
        let mut matcher = Self {
            plan,
            found,
            wants: Vec::new(),
            haves: Vec::new(),
            pairs: Vec::new(),
            own_rates: found.tells_own_rates(),
        };
        for (cell, own) in cells.iter().enumerate() {
            let wants = own
                .planned
                .iter()
                .map(|(slot, part)| (cell, *slot, *part))
                .map(|(cell, slot, part)| Want { cell, slot, part });
            matcher.wants.extend(wants);
            let holds = |entry: &&usize| {
                let slot = found.slots.get(**entry);
                slot.is_some_and(|slot| matches!(slot.holds, Holds::Module(_) | Holds::Unreadable))
            };
            let haves = own.entries.iter().filter(holds);
            let haves = haves.map(|entry| Have {
                cell,
                entry: *entry,
            });
            matcher.haves.extend(haves);
        }
        matcher
    }

    fn module(&self, have: Have) -> Option<&'a FoundModule> {
        self.found.module(have.entry)
    }

    fn likeness(&self, want: Want, have: Have) -> Option<Likeness> {
        let planned = self.plan.request.part(want.part)?;
        let found = self.module(have)?;
        let names = self.plan.names_of(want.part);
        Some(compare(planned, names, found, self.own_rates))
    }

    /// Pairs within a group what compares in a certain way.
    fn within(&mut self, suits: impl Fn(&Likeness) -> bool) {
        self.pair(|matcher, want, have| {
            let likeness = (want.cell == have.cell).then(|| matcher.likeness(want, have))??;
            suits(&likeness).then_some((0, Some(likeness)))
        });
    }

    /// Pairs what surely is the same, wherever it is: on the same channel rather than on another, on
    /// the same socket rather than on another.
    fn across(&mut self) {
        self.pair(|matcher, want, have| {
            let likeness = matcher.likeness(want, have)?;
            let distance = matcher.distance(want.slot, have);
            likeness.is_same().then_some((distance, Some(likeness)))
        });
    }

    /// A module that cannot be read stands for one that was planned there.
    fn unreadable(&mut self) {
        self.pair(|matcher, want, have| {
            let stands = want.cell == have.cell && matcher.module(have).is_none();
            stands.then_some((0, None))
        });
    }

    fn distance(&self, slot: SlotIx, have: Have) -> u8 {
        let board = self.plan.board;
        let spots = self.found.slots.get(have.entry).map(|own| &own.spots);
        let near = |other: &SlotIx| {
            let (one, other) = (board.channel_of(slot), board.channel_of(*other));
            match () {
                () if one == other => 0,
                () if board.address(one).0 == board.address(other).0 => 1,
                () => 2,
            }
        };
        spots
            .and_then(|spots| spots.iter().map(near).max())
            .unwrap_or(3)
    }

    /// Pairs each planned module with the nearest that suits, the earlier of equals.
    fn pair(&mut self, suits: impl Fn(&Self, Want, Have) -> Option<(u8, Option<Likeness>)>) {
        let mut left = Vec::new();
        for want in std::mem::take(&mut self.wants) {
            let candidates = self.haves.iter().enumerate();
            let best = candidates
                .filter_map(|(index, have)| Some((index, suits(self, want, *have)?)))
                .min_by_key(|(_, (distance, _))| *distance);
            let Some((index, (_, likeness))) = best else {
                left.push(want);
                continue;
            };
            let have = self.haves.remove(index);
            self.pairs.push(Pair {
                want,
                have,
                likeness,
            });
        }
        self.wants = left;
    }
}
