//! Pairs of columns that need not occur together.
//!
//! If two columns can be replaced by two others of the same classes with the same modules in all, no
//! higher cost and no worse capacity and moves, one of the two pairs is enough. Which one is told by a
//! fixed number of each column: the pair with the larger sum may be left out. Every chain of such
//! exchanges ends, since the sum of all numbers falls, so some optimal counts hold no such pair. Where
//! so many units must hold a module, the pair that fills fewer units comes last whatever its number: no
//! exchange then leaves too few.
//!
//! That is true of counts alone. Where a rule of a socket or of the board refused some counts, the
//! other pair might have passed, and the walk is made again without exchanges.

use super::job::{Choice, Job};
use super::scene::Scene;
use super::small::at;
use std::rc::Rc;

/// The pairs, as a square of bits: a row of words for each column.
#[derive(Debug, Default)]
pub struct Exchange {
    /// The first row of each group.
    starts: Vec<usize>,
    /// The words of a row.
    words: usize,
    bits: Vec<u64>,
}

/// The most columns of which all pairs are looked at.
const MOST: usize = 250;

/// Two columns: sum of numbers, cost, usable capacity, kept modules.
#[derive(Clone, Copy)]
struct Pair {
    /// Their groups.
    groups: (usize, usize),
    /// The same for pairs of the same modules, and hardly ever for others.
    mark: u64,
    number: u64,
    fixed: i128,
    usable: u64,
    kept: u32,
    /// Units that hold a module.
    filled: u32,
    one: usize,
    other: usize,
}

impl Exchange {
    /// Of the choices of a job that cost no more than a limit leaves.
    pub fn of(scene: &Scene<'_, '_>, job: &Job, wanted: &dyn Fn(usize, usize) -> bool) -> Self {
        let mut all: Vec<Pair> = Vec::new();
        let columns: Vec<(usize, usize)> = job
            .groups
            .iter()
            .enumerate()
            .flat_map(|(group, own)| (0..own.choices.len()).map(move |index| (group, index)))
            .filter(|(group, index)| wanted(*group, *index))
            .collect();
        // Looking through all pairs must not cost more than it saves.
        if columns.len() > MOST {
            return Self::default();
        }
        for (at, one) in columns.iter().enumerate() {
            for other in columns.iter().skip(at) {
                all.extend(pair(job, *one, *other));
            }
        }
        let key = |pair: &Pair| (pair.groups, pair.mark);
        all.sort_unstable_by_key(key);
        let free = scene.bounds.most == u64::MAX;
        let hungry = scene.bounds.filled > 0;
        let rank = |pair: &Pair| {
            let filled = if hungry { pair.filled } else { 0 };
            (std::cmp::Reverse(filled), pair.number)
        };
        let mut found = Self::blank(job);
        for list in all.chunk_by(|one, other| key(one) == key(other)) {
            for own in list {
                let better = |by: &&Pair| {
                    rank(by) < rank(own)
                        && by.fixed <= own.fixed
                        && by.kept >= own.kept
                        && (by.usable == own.usable || free && by.usable > own.usable)
                        && modules(job, by) == modules(job, own)
                };
                if list.iter().any(|by| better(&by)) {
                    let (first, second) = own.groups;
                    found.forbid((first, own.one), (second, own.other));
                }
            }
        }
        found
    }

    fn blank(job: &Job) -> Self {
        let mut starts = Vec::with_capacity(job.groups.len());
        let mut width = 0;
        for group in &job.groups {
            starts.push(width);
            width += group.choices.len();
        }
        let words = width.div_ceil(64);
        Self {
            starts,
            words,
            bits: vec![0; width * words],
        }
    }

    fn place(&self, (group, index): (usize, usize)) -> usize {
        at(&self.starts, group) + index
    }

    fn forbid(&mut self, one: (usize, usize), other: (usize, usize)) {
        let (one, other) = (self.place(one), self.place(other));
        for (row, place) in [(one, other), (other, one)] {
            if let Some(word) = self.bits.get_mut(row * self.words + place / 64) {
                *word |= 1 << (place % 64);
            }
        }
    }

    /// The columns that need not occur together with one.
    fn row(&self, column: (usize, usize)) -> &[u64] {
        let start = self.place(column) * self.words;
        self.bits.get(start..start + self.words).unwrap_or(&[])
    }

    /// Whether a column is among some.
    fn has(&self, some: &[u64], column: (usize, usize)) -> bool {
        let place = self.place(column);
        at(some, place / 64) >> (place % 64) & 1 == 1
    }
}

/// The columns that those chosen so far leave out: a row of bits for each of them, which holds what
/// those before it leave out as well.
#[derive(Debug)]
pub struct Banned<'e> {
    exchange: &'e Exchange,
    rows: Vec<u64>,
}

impl<'e> Banned<'e> {
    /// Nothing is chosen.
    pub fn new(exchange: &'e Exchange) -> Self {
        Self {
            exchange,
            rows: vec![0; exchange.words],
        }
    }

    /// Whether so many units of a column need not be tried.
    pub fn has(&self, column: (usize, usize), units: u32) -> bool {
        let last = self.rows.len().saturating_sub(self.exchange.words);
        let banned = self.rows.get(last..).unwrap_or(&[]);
        self.exchange.has(banned, column)
            || units > 1 && self.exchange.has(self.exchange.row(column), column)
    }

    /// Chooses a column.
    pub fn push(&mut self, column: (usize, usize)) {
        let before = self.rows.len().saturating_sub(self.exchange.words);
        for (index, word) in (before..).zip(self.exchange.row(column)) {
            self.rows.push(at(&self.rows, index) | word);
        }
    }

    /// Takes the last one back.
    pub fn pop(&mut self) {
        let before = self.rows.len().saturating_sub(self.exchange.words);
        self.rows.truncate(before);
    }
}

fn choice(job: &Job, (group, index): (usize, usize)) -> Option<&Choice> {
    job.groups.get(group)?.choices.get(index).map(Rc::as_ref)
}

fn pair(job: &Job, one: (usize, usize), other: (usize, usize)) -> Option<Pair> {
    let (a, b) = (choice(job, one)?, choice(job, other)?);
    let builds = a.builds.iter().chain(&b.builds);
    let marks = builds.map(|(build, count)| mark(*build).wrapping_mul(u64::from(*count)));
    Some(Pair {
        groups: (one.0, other.0),
        mark: marks.fold(0, u64::wrapping_add),
        number: number(one) + number(other),
        fixed: a.fixed + b.fixed,
        usable: a.usable + b.usable,
        kept: a.kept + b.kept,
        filled: a.filled + b.filled,
        one: one.1,
        other: other.1,
    })
}

/// How many modules of each build a pair holds, ascending.
fn modules(job: &Job, pair: &Pair) -> Vec<(u16, u16)> {
    let (first, second) = pair.groups;
    let columns = [(first, pair.one), (second, pair.other)];
    let mut builds: Vec<(u16, u16)> = Vec::new();
    for column in columns.into_iter().filter_map(|column| choice(job, column)) {
        for (build, count) in &column.builds {
            match builds.iter_mut().find(|(known, _)| known == build) {
                Some((_, sum)) => *sum += count,
                None => builds.push((*build, *count)),
            }
        }
    }
    builds.sort_unstable();
    builds
}

/// A number for each build.
fn mark(build: u16) -> u64 {
    let seed = (u64::from(build) + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    (seed ^ seed >> 29).wrapping_mul(0xBF58_476D_1CE4_E5B9)
}

/// A number for each column that hardly ever sums up to the same for two pairs.
fn number(column: (usize, usize)) -> u64 {
    let seed = (column.0 as u64 + 1) * 1_000_003 + column.1 as u64 + 1;
    seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) >> 8
}
