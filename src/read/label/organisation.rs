//! Capacity and organisation: the fields `ggggGB` and `p[h[e]]Rxw` of a label.

use super::notes;
use super::typo::{as_digits, digit_for};
use super::words::Pieces;
use crate::read::fact::{Fact, Standing};
use crate::read::note::Note;

/// Reads the capacity in MiB from the first piece that is one.
pub(super) fn capacity(pieces: &Pieces, notes: &mut Vec<Note>) -> Fact<u32> {
    let found: Vec<Capacity> = (0..pieces.len())
        .filter_map(|at| capacity_at(pieces, at))
        .collect();
    let Some(capacity) = found
        .iter()
        .find(|one| one.meant.is_none())
        .or(found.first())
    else {
        notes.push(Note::new(&notes::CAPACITY_MISSING));
        return Fact::unknown();
    };
    if let Some(meant) = &capacity.meant {
        notes.push(Note::meant(
            &notes::CAPACITY_MISREAD,
            &capacity.found,
            meant,
        ));
        return Fact::assumed(capacity.mib);
    }
    let odd = capacity.mib >> capacity.mib.trailing_zeros();
    if odd != 1 && odd != 3 {
        notes.push(Note::found(&notes::CAPACITY_UNUSUAL, &capacity.found));
    }
    Fact::read(capacity.mib)
}

struct Capacity {
    mib: u32,
    found: String,
    meant: Option<String>,
}

fn capacity_at(pieces: &Pieces, at: usize) -> Option<Capacity> {
    const UNITS: [(&str, u32); 6] = [
        ("GIB", 1024),
        ("MIB", 1),
        ("TIB", 1024 * 1024),
        ("GB", 1024),
        ("MB", 1),
        ("TB", 1024 * 1024),
    ];
    let text = pieces.text(at)?;
    let whole = |digits: &str, each: u32| digits.parse::<u32>().ok()?.checked_mul(each);
    if let Some(next) = pieces.loose(at + 1)
        && let Some((_, each)) = UNITS.iter().find(|(unit, _)| *unit == next)
        && text.bytes().all(|byte| byte.is_ascii_digit())
    {
        let found = format!("{text} {}", pieces.shown(at + 1));
        return Some(Capacity {
            mib: whole(text, *each)?,
            found,
            meant: None,
        });
    }
    let (head, unit, each) = UNITS
        .iter()
        .find_map(|(unit, each)| Some((text.strip_suffix(unit)?, *unit, *each)))
        .or_else(|| {
            Some((
                text.strip_suffix('G').filter(|head| is_number(head))?,
                "GB",
                1024,
            ))
        })?;
    let digits = as_digits(head).filter(|digits| (1..=5).contains(&digits.len()))?;
    let mib = whole(&digits, each).filter(|mib| *mib > 0)?;
    let meant = (digits != head).then(|| format!("{digits}{unit}"));
    Some(Capacity {
        mib,
        found: pieces.shown(at).to_owned(),
        meant,
    })
}

fn is_number(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}

/// An organisation field as it stands, before it is known what its numbers count.
#[derive(Debug)]
pub(super) struct Shape {
    /// As written.
    pub found: String,
    /// Where the field ends: the next piece.
    pub end: usize,
    /// The rank count, if it is one that modules have.
    pub ranks: Option<u8>,
    /// `D`, `Q` or `S`.
    pub letter: Option<char>,
    /// The count after the letter.
    pub height: Option<u8>,
    /// Device width, if it is one that devices have.
    pub width: Option<u8>,
    /// `Read`, or `Assumed` when something was misread.
    pub standing: Standing,
}

/// Finds the organisation field.
pub(super) fn shape(pieces: &Pieces, notes: &mut Vec<Note>) -> Option<Shape> {
    let found: Vec<Spelling> = (0..pieces.len())
        .filter_map(|at| spelling_at(pieces, at))
        .collect();
    let Some(spelling) = found.iter().find(|one| one.is_exact()).or(found.first()) else {
        notes.push(Note::new(&notes::ORGANISATION_MISSING));
        return None;
    };
    let meant = spelling.meant();
    if !spelling.is_exact() {
        notes.push(Note::meant(
            &notes::ORGANISATION_MISREAD,
            &spelling.found,
            &meant,
        ));
    }
    Some(spelling.checked(notes))
}

/// The parts of an organisation field, corrected, as text.
struct Spelling {
    text: String,
    found: String,
    end: usize,
    ranks: String,
    letter: Option<char>,
    height: String,
    width: String,
}

fn spelling_at(pieces: &Pieces, at: usize) -> Option<Spelling> {
    let text = pieces.text(at)?;
    let (left, right, used) = match text.split_once("RX") {
        Some((left, "")) => (left, pieces.loose(at + 1)?, 2),
        Some((left, right)) => (left, right, 1),
        None => (
            text.strip_suffix('R')?,
            pieces.loose(at + 1)?.strip_prefix('X')?,
            2,
        ),
    };
    let width = as_digits(right).filter(|digits| (1..=2).contains(&digits.len()))?;
    let (ranks, letter, height) = split_ranks(left)?;
    let text = format!("{left}RX{right}");
    let found = match used {
        1 => pieces.shown(at).to_owned(),
        _ => format!("{} {}", pieces.shown(at), pieces.shown(at + 1)),
    };
    Some(Spelling {
        text,
        found,
        end: at + used,
        ranks,
        letter,
        height,
        width,
    })
}

/// Splits what stands before `Rx` into rank count, letter and height.
fn split_ranks(left: &str) -> Option<(String, Option<char>, String)> {
    let none = String::new;
    match left.chars().collect::<Vec<char>>().as_slice() {
        // The trade's words SR, DR and QR for one, two and four ranks.
        ['S'] => Some(("1".to_owned(), None, none())),
        ['D'] => Some(("2".to_owned(), None, none())),
        ['Q'] => Some(("4".to_owned(), None, none())),
        // A `D` taken for a zero and an `S` taken for a five.
        [ranks, '0' | 'O'] => Some((digit_for(*ranks)?.to_string(), Some('D'), none())),
        [ranks, '5', height] if height.is_ascii_digit() => Some((
            digit_for(*ranks)?.to_string(),
            Some('S'),
            height.to_string(),
        )),
        [ranks, letter @ ('D' | 'Q' | 'S'), height @ ..] if height.len() <= 2 => {
            let height: Option<String> = height.iter().copied().map(digit_for).collect();
            Some((digit_for(*ranks)?.to_string(), Some(*letter), height?))
        }
        [ranks] => Some((digit_for(*ranks)?.to_string(), None, none())),
        [_, _] if is_number(left) => Some((left.to_owned(), None, none())),
        _ => None,
    }
}

impl Spelling {
    fn meant(&self) -> String {
        let letter = self.letter.map(String::from).unwrap_or_default();
        format!(
            "{}{letter}{}Rx{}",
            self.ranks,
            self.height,
            self.width.trim_start_matches('0')
        )
    }

    /// Whether nothing had to be corrected; a leading zero of the width is no slip.
    fn is_exact(&self) -> bool {
        let letter = self.letter.map(String::from).unwrap_or_default();
        self.text == format!("{}{letter}{}RX{}", self.ranks, self.height, self.width)
    }

    /// The numbers, each checked against those that modules have.
    fn checked(&self, notes: &mut Vec<Note>) -> Shape {
        let ranks = one_of(&self.ranks, &[1, 2, 4, 8]);
        if ranks.is_none() {
            let allowed = ["1", "2", "4", "8"];
            notes.push(Note::allowed(
                &notes::RANK_COUNT_UNKNOWN,
                &self.found,
                allowed,
            ));
        }
        let width = one_of(&self.width, &[4, 8, 16, 32]);
        if width.is_none() {
            let allowed = ["x4", "x8", "x16", "x32"];
            notes.push(Note::allowed(&notes::WIDTH_UNKNOWN, &self.found, allowed));
        }
        let standing = if self.is_exact() {
            Standing::Read
        } else {
            Standing::Assumed
        };
        Shape {
            found: self.found.clone(),
            end: self.end,
            ranks,
            letter: self.letter,
            height: self.checked_height(notes),
            width,
            standing,
        }
    }

    fn checked_height(&self, notes: &mut Vec<Note>) -> Option<u8> {
        match (self.letter, self.height.as_str()) {
            (Some('S'), "") => notes.push(Note::found(&notes::HEIGHT_MISSING, &self.found)),
            (Some('S'), height) => {
                let known = one_of(height, &[2, 4, 8, 16]);
                if known.is_none() {
                    let allowed = ["2", "4", "8", "16"];
                    notes.push(Note::allowed(&notes::HEIGHT_UNKNOWN, &self.found, allowed));
                }
                return known;
            }
            (Some(_), height) if !height.is_empty() => {
                notes.push(Note::found(&notes::HEIGHT_WITHOUT_STACK, &self.found));
                return height.parse().ok();
            }
            _ => {}
        }
        None
    }
}

fn one_of(digits: &str, allowed: &[u8]) -> Option<u8> {
    digits
        .parse()
        .ok()
        .filter(|number| allowed.contains(number))
}
