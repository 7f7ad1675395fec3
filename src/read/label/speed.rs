//! Speed: the field `ssssBB` (data rate and bin) or `wwwwwm` (bandwidth and module letter) of a label.

use super::notes;
use super::typo::{as_digits, as_letters, closest};
use crate::read::fact::{Fact, Standing};
use crate::read::grades::{self, Grade};
use crate::read::note::Note;
use crate::read::vocabulary::{Generation, SpeedBin};

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

/// A speed field as it is written.
pub(super) struct Written<'a> {
    /// Upper case.
    pub text: &'a str,
    /// For notes.
    pub shown: &'a str,
    /// The word after it, which may hold bin letters that a space cut off.
    pub next: Option<&'a str>,
}

impl SpeedField {
    /// Reads a speed field of a generation; the second value says whether the word after it held the
    /// bin letters.
    pub fn read(
        generation: Generation,
        written: &Written<'_>,
        notes: &mut Vec<Note>,
    ) -> (Self, bool) {
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
                    .find(|grade| grade.bandwidth.abs_diff(value) < grade.bandwidth / 100)
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
