//! Generation: the field `PC4` of a label, and the speed field that follows it.

use super::notes;
use super::speed::{SpeedField, Written};
use super::typo::{closest, digit_for};
use super::words::Pieces;
use crate::read::fact::Standing;
use crate::read::note::Note;
use crate::read::vocabulary::Generation;

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
    let (possible, exact) = generations_of(&written);
    let &[generation] = exact.as_slice() else {
        notes.push(match possible {
            true => Note::found(&notes::GENERATION_UNCLEAR, pieces.shown(at)),
            false => Note::new(&notes::SPEED_MISSING),
        });
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

/// Whether any generation has such a speed, and those in which it is written exactly so.
fn generations_of(written: &Written<'_>) -> (bool, Vec<Generation>) {
    let mut possible = false;
    let exact = Generation::ALL.into_iter().filter(|generation| {
        let mut doubts = Vec::new();
        let (speed, _) = SpeedField::read(*generation, written, &mut doubts);
        possible |= speed.rate.is_known();
        doubts.is_empty() && speed.rate.is_known()
    });
    let exact = exact.collect();
    (possible, exact)
}
