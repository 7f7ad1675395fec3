//! Generation and speed: the fields `PC4` and `ssssBB` (data rate) or `wwwwwm` (bandwidth) of a label.

use super::notes;
use super::typo::{as_digits, as_letters, closest, digit_for};
use super::words::Pieces;
use crate::read::fact::{Fact, Standing};
use crate::read::grades::{self, Grade};
use crate::read::note::Note;
use crate::read::vocabulary::{Generation, SpeedBin};

/// What the generation and speed fields tell.
#[derive(Debug)]
pub(super) struct Head {
    /// Generation.
    pub generation: Generation,
    /// `Read`, or `Assumed` when the generation had to be corrected: then all that follows hangs on it.
    pub standing: Standing,
    /// DDR3: the voltage letter after the generation.
    pub voltage: Option<char>,
    /// The speed field.
    pub speed: SpeedField,
    /// Where the fields end: the next piece.
    pub end: usize,
}

/// What the speed field tells.
#[derive(Debug, Default)]
pub(super) struct SpeedField {
    /// Rate in MT/s.
    pub rate: Fact<u32>,
    /// Bin letters.
    pub bin: Fact<SpeedBin>,
    /// Whether the number is a bandwidth: then latency and card follow in the older order.
    pub by_bandwidth: bool,
    /// What follows the number of a bandwidth: the module letter.
    pub letter: String,
}

/// Finds and reads the generation and speed fields; `after` is where the organisation ended.
pub(super) fn read(pieces: &Pieces, after: usize, notes: &mut Vec<Note>) -> Option<Head> {
    let Some((at, prefix)) = (0..pieces.len()).find_map(|at| Some((at, prefix_at(pieces, at)?)))
    else {
        return without_prefix(pieces, after, notes);
    };
    let generation = match prefix.generation {
        Ok(generation) => generation,
        Err(NotCovered) => {
            let found = pieces.shown(at);
            notes.push(Note::found(&notes::GENERATION_NOT_COVERED, found));
            return None;
        }
    };
    if let Some(meant) = &prefix.meant {
        notes.push(Note::meant(
            &notes::GENERATION_MISREAD,
            pieces.shown(at),
            meant,
        ));
    }
    let standing = match prefix.meant {
        Some(_) => Standing::Assumed,
        None => Standing::Read,
    };
    let (text, number_at) = match prefix.rest {
        Some(rest) => (rest, at),
        None => (pieces.text(at + 1).unwrap_or_default().to_owned(), at + 1),
    };
    let written = Written {
        text: &text,
        shown: pieces.shown(number_at),
        next: pieces.loose(number_at + 1),
    };
    let (speed, used_next) = SpeedField::read(generation, &written, notes);
    let end = number_at + 1 + usize::from(used_next);
    Some(Head {
        generation,
        standing,
        voltage: prefix.voltage,
        speed,
        end,
    })
}

/// A speed field as it is written.
struct Written<'a> {
    /// Upper case.
    text: &'a str,
    /// For notes.
    shown: &'a str,
    /// The word after it, which may hold bin letters that a space cut off.
    next: Option<&'a str>,
}

/// `PC2` and older.
struct NotCovered;

struct Prefix {
    generation: Result<Generation, NotCovered>,
    voltage: Option<char>,
    /// What it should have been, when it was misread.
    meant: Option<String>,
    /// The speed number when no hyphen separates it.
    rest: Option<String>,
}

fn prefix_at(pieces: &Pieces, at: usize) -> Option<Prefix> {
    let text = pieces.text(at)?;
    let next_is_number = pieces.text(at + 1).is_some_and(looks_like_speed);
    if let Some((generation, voltage, rest)) = exact_prefix(text)
        && (if rest.is_empty() {
            next_is_number
        } else {
            looks_like_speed(rest)
        })
    {
        let rest = (!rest.is_empty()).then(|| rest.to_owned());
        return Some(Prefix {
            generation: Ok(generation),
            voltage,
            meant: None,
            rest,
        });
    }
    if !next_is_number {
        return None;
    }
    if matches!(text, "PC" | "PC1" | "PC2") {
        let generation = Err(NotCovered);
        return Some(Prefix {
            generation,
            voltage: None,
            meant: None,
            rest: None,
        });
    }
    let meant = corrected_prefix(text)?;
    let (generation, voltage, _) = exact_prefix(&meant)?;
    Some(Prefix {
        generation: Ok(generation),
        voltage,
        meant: Some(meant),
        rest: None,
    })
}

fn exact_prefix(text: &str) -> Option<(Generation, Option<char>, &str)> {
    let (generation, rest) = Generation::ALL
        .into_iter()
        .find_map(|one| Some((one, text.strip_prefix(one.label_prefix())?)))?;
    let voltage = rest
        .chars()
        .next()
        .filter(|letter| generation == Generation::Ddr3 && matches!(letter, 'L' | 'U'));
    let rest = if voltage.is_some() {
        rest.get(1..).unwrap_or_default()
    } else {
        rest
    };
    Some((generation, voltage, rest))
}

/// `PCA` for `PC4`, `PC31` for `PC3L`, `P5` for nothing (it could be several).
fn corrected_prefix(text: &str) -> Option<String> {
    const ALL: [&str; 5] = ["PC3", "PC3L", "PC3U", "PC4", "PC5"];
    let digit = match text.chars().collect::<Vec<char>>().as_slice() {
        ['P', 'C', mark] => digit_for(*mark).map(|digit| format!("PC{digit}")),
        ['P', 'C', mark, 'L' | 'I' | '1'] if digit_for(*mark) == Some('3') => {
            Some("PC3L".to_owned())
        }
        _ => None,
    };
    digit
        .filter(|meant| ALL.contains(&meant.as_str()))
        .or_else(|| closest(text, ALL).map(str::to_owned))
}

/// Four characters that are or could be digits, at least two of which are.
fn looks_like_speed(text: &str) -> bool {
    let mut first = text.chars().take(4);
    let real = text.chars().take(4).filter(char::is_ascii_digit).count();
    text.chars().count() >= 4 && real >= 2 && first.all(|c| digit_for(c).is_some())
}

/// The generation is missing: the speed may tell it.
fn without_prefix(pieces: &Pieces, after: usize, notes: &mut Vec<Note>) -> Option<Head> {
    let Some(at) =
        (after..pieces.len()).find(|at| *at > 0 && pieces.text(*at).is_some_and(looks_like_speed))
    else {
        notes.push(Note::new(&notes::SPEED_MISSING));
        return None;
    };
    let written = Written {
        text: pieces.text(at)?,
        shown: pieces.shown(at),
        next: None,
    };
    let mut possible = Generation::ALL.into_iter().filter(|generation| {
        let mut doubts = Vec::new();
        let (speed, _) = SpeedField::read(*generation, &written, &mut doubts);
        doubts.is_empty() && speed.rate.is_known()
    });
    let (Some(generation), None) = (possible.next(), possible.next()) else {
        notes.push(Note::found(&notes::GENERATION_UNCLEAR, pieces.shown(at)));
        return None;
    };
    let meant = format!("{}-{}", generation.label_prefix(), pieces.joined_from(at));
    notes.push(Note::meant(
        &notes::GENERATION_MISSING,
        &pieces.joined_from(at),
        &meant,
    ));
    let (speed, _) = SpeedField::read(generation, &written, notes);
    let standing = Standing::Assumed;
    Some(Head {
        generation,
        standing,
        voltage: None,
        speed,
        end: at + 1,
    })
}

impl SpeedField {
    /// Reads a speed field of a generation; the second value says whether the word after it held the
    /// bin letters.
    fn read(generation: Generation, written: &Written<'_>, notes: &mut Vec<Note>) -> (Self, bool) {
        match generation {
            Generation::Ddr3 => (Self::bandwidth(generation, written, notes), false),
            Generation::Ddr4 if is_bandwidth(written.text) => {
                (Self::bandwidth(generation, written, notes), false)
            }
            Generation::Ddr4 | Generation::Ddr5 => Self::data_rate(generation, written, notes),
        }
    }

    fn bandwidth(generation: Generation, written: &Written<'_>, notes: &mut Vec<Note>) -> Self {
        let text = written.text;
        let digits = text.bytes().take_while(u8::is_ascii_digit).count();
        let last = text
            .char_indices()
            .next_back()
            .filter(|(_, c)| c.is_ascii_alphabetic());
        // Exactly written, or with letters among the digits: then all but the last is the number.
        let cut = match last {
            Some((at, _)) if at > digits => at,
            _ => digits,
        };
        let (number, letter) = text.split_at_checked(cut).unwrap_or((text, ""));
        let (grade, meant) = bandwidth_grade(generation, number);
        let standing = if meant {
            Standing::Assumed
        } else {
            Standing::Read
        };
        match grade {
            Some(grade) if meant => {
                let meant = format!("{}{letter}", grade.bandwidth);
                notes.push(Note::meant(&notes::RATE_MISREAD, written.shown, &meant));
            }
            Some(_) => {}
            None => notes.push(unknown_rate(generation, written.shown, |grade| {
                grade.bandwidth
            })),
        }
        Self {
            rate: Fact::of(grade.map(|grade| grade.rate_mts), standing),
            by_bandwidth: true,
            letter: letter.to_owned(),
            ..Self::default()
        }
    }

    fn data_rate(
        generation: Generation,
        written: &Written<'_>,
        notes: &mut Vec<Note>,
    ) -> (Self, bool) {
        let Written { text, shown, next } = *written;
        let (number, letters) = text.split_at_checked(4).unwrap_or((text, ""));
        let (grade, meant) = rate_grade(generation, number);
        let Some(grade) = grade else {
            notes.push(unknown_rate(generation, shown, |grade| grade.rate_mts));
            return (Self::default(), false);
        };
        if meant {
            let meant = format!("{}{letters}", grade.rate_mts);
            notes.push(Note::meant(&notes::RATE_MISREAD, shown, &meant));
        }
        let standing = if meant {
            Standing::Assumed
        } else {
            Standing::Read
        };
        let rate = Fact::of(Some(grade.rate_mts), standing);
        let cut_off = next.filter(|word| letters.is_empty() && known_bin(grade, word).is_some());
        let letters = cut_off.unwrap_or(letters);
        let found = cut_off.map_or_else(|| shown.to_owned(), |word| format!("{shown} {word}"));
        let bin = bin(grade, &found, letters, notes).at_most(standing);
        (
            Self {
                rate,
                bin,
                ..Self::default()
            },
            cut_off.is_some(),
        )
    }
}

/// Five digits of a bandwidth that DDR4 has and one letter, some digits perhaps misread.
fn is_bandwidth(text: &str) -> bool {
    let number = text
        .split_at_checked(5)
        .filter(|(_, letter)| letter.len() <= 1);
    number
        .and_then(|(number, _)| as_digits(number)?.parse().ok())
        .is_some_and(|number| grades::by_bandwidth(Generation::Ddr4, number).is_some())
}

/// The grade of a bandwidth number, and whether the number had to be corrected.
fn bandwidth_grade(generation: Generation, text: &str) -> (Option<&'static Grade>, bool) {
    let exact = |text: &str| grades::by_bandwidth(generation, text.parse().ok()?);
    if let Some(grade) = exact(text) {
        return (Some(grade), false);
    }
    let number = as_digits(text);
    let near = number.as_deref().and_then(|number| {
        let value = number.parse::<u32>().ok()?;
        // A bandwidth not rounded down (10666), or the rate in its place (PC3-1600).
        exact(number)
            .or_else(|| grades::by_rate(generation, value))
            .or_else(|| {
                grades::grades(generation)
                    .iter()
                    .find(|grade| grade.bandwidth.abs_diff(value) * 100 < grade.bandwidth)
            })
    });
    let all = grades::grades(generation)
        .iter()
        .map(|grade| grade.bandwidth.to_string());
    (near.or_else(|| exact(&closest(text, all)?)), true)
}

/// The grade of a data rate, and whether the number had to be corrected.
fn rate_grade(generation: Generation, text: &str) -> (Option<&'static Grade>, bool) {
    let exact = |text: &str| grades::by_rate(generation, text.parse().ok()?);
    if let Some(grade) = exact(text) {
        return (Some(grade), false);
    }
    let all = grades::grades(generation)
        .iter()
        .map(|grade| grade.rate_mts.to_string());
    let near = as_digits(text).and_then(|number| exact(&number));
    (near.or_else(|| exact(&closest(text, all)?)), true)
}

/// A bin of the grade, and whether it had to be corrected.
fn known_bin(grade: &'static Grade, letters: &str) -> Option<(SpeedBin, bool)> {
    let exact = |text: &str| {
        grade
            .bins
            .iter()
            .find(|bin| **bin == text)
            .map(|bin| SpeedBin(bin))
    };
    exact(letters)
        .map(|bin| (bin, false))
        .or_else(|| Some((exact(&as_letters(letters)?)?, true)))
}

fn bin(grade: &'static Grade, found: &str, letters: &str, notes: &mut Vec<Note>) -> Fact<SpeedBin> {
    if letters.is_empty() {
        notes.push(Note::found(&notes::BIN_MISSING, found));
        return Fact::unknown();
    }
    let slip = || {
        Some((
            SpeedBin(closest(letters, grade.bins.iter().copied())?),
            true,
        ))
    };
    match known_bin(grade, letters).or_else(slip) {
        Some((bin, false)) => Fact::read(bin),
        Some((bin, true)) => {
            let meant = format!("{}{}", grade.rate_mts, bin.0);
            notes.push(Note::meant(&notes::BIN_MISREAD, found, &meant));
            Fact::assumed(bin)
        }
        None => {
            notes.push(Note::allowed(
                &notes::BIN_UNKNOWN,
                found,
                grade.bins.iter().copied(),
            ));
            Fact::unknown()
        }
    }
}

fn unknown_rate(generation: Generation, found: &str, number: fn(&Grade) -> u32) -> Note {
    let all: Vec<String> = grades::grades(generation)
        .iter()
        .map(|grade| number(grade).to_string())
        .collect();
    Note::allowed(&notes::RATE_UNKNOWN, found, all.iter().map(String::as_str))
}
