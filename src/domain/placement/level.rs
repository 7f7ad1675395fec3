//! Rate levels, what each allows on a channel, and bounds that hold for every placement at a level.

use super::super::board::policy::Scope;
use super::super::outcome::{COMMON, grouping, widest_region};
use super::super::request::VoltagePolicy;
use super::super::rules::Standing;
use super::super::units::Mts;
use super::columns::{Column, Columns};
use super::scene::Scene;
use super::socket::Bound;
use std::cmp::Reverse;

/// A level: columns must run at least this fast at this voltage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Level {
    /// The rate; `None` takes columns of unknown rate as well.
    pub rate: Option<Mts>,
    /// The voltage, by index among the setup's supplies.
    pub supply: usize,
}

/// Levels from fast to slow, lower voltages first; last the one where a rate is not known.
pub fn levels(columns: &[Columns]) -> Vec<Level> {
    let populated = columns.iter().flat_map(|c| &c.list).filter(|c| c.count > 0);
    let mut levels = Vec::new();
    for column in populated {
        for (supply, rate) in column.rates.iter().enumerate() {
            let level = Level {
                rate: *rate,
                supply,
            };
            if rate.is_some() && !levels.contains(&level) {
                levels.push(level);
            }
        }
    }
    levels.sort_unstable_by_key(|level| (Reverse(level.rate), level.supply));
    levels.push(Level {
        rate: None,
        supply: 0,
    });
    levels
}

/// The columns that a level allows on a kind of channel.
#[derive(Debug)]
pub struct Allowed {
    /// Their indexes, in filling order.
    pub indexes: Vec<u16>,
    /// The most modules that one takes.
    pub most: u16,
    /// The most modules of each load that one takes.
    pub most_of: Vec<u16>,
    /// Their capacities in MiB, ascending.
    pub heights: Vec<u64>,
    /// The best rate that one runs at.
    pub fastest: Option<Mts>,
}

impl Level {
    /// The rate of a channel at the level's voltage; the best one where a rate is not known.
    pub fn rate_of(self, column: &Column) -> Option<Mts> {
        match self.rate {
            Some(_) => column.rates.get(self.supply).copied().flatten(),
            None => column.best,
        }
    }

    /// The lower voltages, as bits, that the policy sets in place of the level's where every channel
    /// has one in common.
    pub fn lower_supplies(self, column: &Column, policy: VoltagePolicy) -> u32 {
        let wins = |rate: Option<Mts>| match policy {
            VoltagePolicy::Lowest => rate.is_some(),
            VoltagePolicy::Fastest => rate >= self.rate,
        };
        let is_empty = column.count == 0;
        let lower = (0u32..32).zip(column.rates.iter().take(self.supply));
        lower
            .filter(|(_, rate)| is_empty || wins(**rate))
            .fold(0, |bits, (supply, _)| bits | 1 << supply)
    }
}

impl Allowed {
    /// Whether another allows all that this allows.
    pub fn is_within(&self, other: &Self) -> bool {
        self.indexes
            .iter()
            .all(|own| other.indexes.binary_search(own).is_ok())
    }

    /// What a level allows of some columns.
    pub fn at(level: Level, columns: &Columns, most: Standing, loads: usize) -> Self {
        let fast = |column: &Column| level.rate.is_none() || level.rate_of(column) >= level.rate;
        let all = (0u16..).zip(&columns.list);
        let taken = all
            .filter(|(_, column)| column.standing <= most && (column.count == 0 || fast(column)));
        let mut allowed = Self {
            indexes: Vec::new(),
            most: 0,
            most_of: vec![0; loads],
            heights: Vec::new(),
            fastest: None,
        };
        for (index, column) in taken {
            allowed.indexes.push(index);
            allowed.most = allowed.most.max(column.modules);
            allowed
                .most_of
                .iter_mut()
                .zip(&column.takes)
                .for_each(|(most, take)| *most = (*most).max(*take));
            allowed.heights.push(column.capacity.0);
            allowed.fastest = allowed.fastest.max(level.rate_of(column));
        }
        allowed.heights.sort_unstable();
        allowed.heights.dedup();
        allowed
    }
}

/// A bound with what it rests on.
#[derive(Clone, Copy, Debug)]
pub struct ShareBound {
    /// The bound.
    pub bound: Bound,
    /// The capacity that the fullest channel has at least.
    pub height: u64,
    /// The fastest that a channel runs.
    pub rate: Option<Mts>,
}

impl Scene<'_> {
    /// The unit in which times are compared: as they are where the whole board runs at one rate,
    /// else divided by the rate.
    pub fn scaled(&self, time: u128, rate: Option<Mts>) -> u128 {
        match rate {
            Some(rate) if !self.board_levels() => (time << 16) / u128::from(rate.0.max(1)),
            _ => time,
        }
    }

    /// The least time to read a socket with a channel of this capacity: each region that holds a
    /// part of the channel reads it at most as fast as the channel alone would, so the parts add up
    /// to the whole channel.
    pub fn time_of_height(&self, height: u64, rate: Option<Mts>) -> u128 {
        self.scaled(u128::from(height) * COMMON, rate)
    }

    /// A bound for so much memory and so many modules on so many channels: some channel holds at
    /// least the even share, and a column as tall as that.
    pub fn bound_for<'b>(
        &self,
        mib: u64,
        modules: u32,
        channels: u32,
        allowed: impl Iterator<Item = &'b Allowed>,
    ) -> ShareBound {
        let even = mib.div_ceil(u64::from(channels.max(1)));
        let (mut height, mut rate) = (None, None);
        for allowed in allowed {
            let own = allowed
                .heights
                .iter()
                .copied()
                .find(|height| *height >= even);
            height = match (height, own) {
                (Some(a), Some(b)) => Some(std::cmp::min::<u64>(a, b)),
                (a, b) => a.or(b),
            };
            rate = rate.max(allowed.fastest);
        }
        let height = height.unwrap_or(even);
        let bound = Bound {
            time: self.time_of_height(height, rate),
            spread: even_squares(modules, channels),
        };
        ShareBound {
            bound,
            height,
            rate,
        }
    }

    /// A bound for a share on a socket.
    pub fn bound_of<'b>(
        &self,
        socket: u8,
        share: &[u16],
        allowed: impl Iterator<Item = &'b Allowed>,
    ) -> ShareBound {
        let (mib, modules) = self.load_of(socket, share);
        self.bound_for(mib, modules, self.working_on(socket), allowed)
    }

    /// The least time to read a socket that takes a share of one kind of module and holds no other:
    /// however it is seated, no region is wider than the widest that so many channels form. `None` where
    /// more hangs on the way it is seated than how many modules each channel has.
    pub fn time_in_regions(
        &self,
        socket: u8,
        share: &[u16],
        most_on_channel: u32,
        rate: Option<Mts>,
    ) -> Option<u128> {
        let setup = self.setup;
        let in_one = matches!(setup.board.levelling, Scope::Board | Scope::Socket);
        let ([modules], 0) = (share, self.socket(socket).fixed) else {
            return None;
        };
        let mib = self.size_of(share);
        if !in_one || mib == 0 || grouping(setup).is_some() {
            return None;
        }
        let modules = u32::from(*modules);
        let fewest = modules.div_ceil(most_on_channel.max(1));
        let filled = fewest..=modules.min(self.working_on(socket));
        let widest = widest_region(setup.board, setup.request.protection, filled);
        let time = u128::from(mib) * (COMMON / u128::from(widest));
        Some(self.scaled(time, rate))
    }

    /// The fewest and the most modules of a channel when a share is spread evenly.
    pub fn even_counts(&self, socket: u8, share: &[u16]) -> (u8, u8) {
        let (_, modules) = self.load_of(socket, share);
        let channels = self.working_on(socket).max(1);
        let narrow = |count: u32| u8::try_from(count).unwrap_or(u8::MAX);
        (
            narrow(modules / channels),
            narrow(modules.div_ceil(channels)),
        )
    }
}

/// The least sum of squares of so many modules over so many places.
pub fn even_squares(modules: u32, places: u32) -> u32 {
    let places = places.max(1);
    let (each, more) = (modules / places, modules % places);
    more * (each + 1).pow(2) + (places - more) * each.pow(2)
}
