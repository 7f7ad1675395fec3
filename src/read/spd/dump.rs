//! Text dumps to bytes: hexadecimal in the usual forms, or base64.
//!
//! Hexadecimal forms: plain digits; bytes separated by spaces, commas or colons, with or without `0x`;
//! lines that begin with an offset (`00000010  23 12 ..`, `0010: 2312 0c01 ..`), with or without the
//! characters shown at the end; a line of `*` for lines that repeat. Lines of comment are skipped.

use super::notes;
use crate::read::note::Note;
use base64::Engine;
use base64::alphabet::{STANDARD, URL_SAFE};
use base64::engine::{DecodePaddingMode, GeneralPurpose, GeneralPurposeConfig};

/// No SPD device is larger (a DDR5 hub holds 1024 bytes; some tools dump 2048).
const MOST_BYTES: usize = 4096;

/// The bytes of a dump.
pub fn bytes_of_dump(text: &str) -> (Vec<u8>, Vec<Note>) {
    let mut notes = Vec::new();
    let mut bytes = match hexadecimal(text, &mut notes) {
        Some(bytes) => bytes,
        None => {
            notes.clear();
            base64(text).unwrap_or_else(|| {
                notes.push(Note::new(&notes::NOT_A_DUMP));
                Vec::new()
            })
        }
    };
    if bytes.len() > MOST_BYTES {
        bytes.truncate(MOST_BYTES);
        notes.push(Note::new(&notes::TOO_LONG).number("bytes", MOST_BYTES));
    }
    (bytes, notes)
}

fn base64(text: &str) -> Option<Vec<u8>> {
    let data = text.split_once(";base64,").map_or(text, |(_, data)| data);
    let packed: String = data.chars().filter(|c| !c.is_whitespace()).collect();
    if packed.is_empty() {
        return None;
    }
    let lenient = GeneralPurposeConfig::new()
        .with_decode_padding_mode(DecodePaddingMode::Indifferent)
        .with_decode_allow_trailing_bits(true);
    [STANDARD, URL_SAFE]
        .iter()
        .find_map(|alphabet| GeneralPurpose::new(alphabet, lenient).decode(&packed).ok())
}

/// A line of a dump.
enum Line<'a> {
    /// `*`: the line before repeats up to the next offset.
    Repeat,
    /// An offset, if the line has one, and the words after it.
    Data(Option<usize>, Vec<&'a str>),
}

/// `None` when the text is not a hexadecimal dump.
fn hexadecimal(text: &str, notes: &mut Vec<Note>) -> Option<Vec<u8>> {
    let lines: Vec<Line<'_>> = text.lines().filter_map(line).collect();
    let mut bytes = Vec::new();
    let mut last = Vec::new();
    let mut repeat = false;
    for (index, line) in lines.iter().enumerate() {
        let Line::Data(offset, words) = line else {
            repeat = true;
            continue;
        };
        if repeat && let Some(offset) = offset {
            fill(&mut bytes, &last, *offset);
        }
        repeat = false;
        let width = width(&lines, index);
        let (row, unread) = row(words, offset.map(|_| width))?;
        bytes.extend_from_slice(&row);
        if unread {
            notes.push(Note::new(&notes::UNREADABLE).number("byte", bytes.len()));
            break;
        }
        if !row.is_empty() {
            last = row;
        }
        if bytes.len() > MOST_BYTES {
            break;
        }
    }
    (!bytes.is_empty()).then_some(bytes)
}

/// Repeats a row up to an offset.
fn fill(bytes: &mut Vec<u8>, row: &[u8], offset: usize) {
    let end = offset.min(MOST_BYTES + 1);
    let missing = end.saturating_sub(bytes.len());
    bytes.extend(row.iter().copied().cycle().take(missing));
}

fn line(text: &str) -> Option<Line<'_>> {
    let text = text.split('|').next().unwrap_or_default().trim();
    if text.is_empty() || text.starts_with('#') || text.starts_with("//") {
        return None;
    }
    if text == "*" {
        return Some(Line::Repeat);
    }
    let (offset, rest) = match text.split_once(char::is_whitespace) {
        Some((first, rest)) => match offset_of(first, rest) {
            Some(offset) => (Some(offset), rest),
            None => (None, text),
        },
        None => match text.strip_suffix(':').or_else(|| lone_offset(text)) {
            Some(digits) => (hex(digits), ""),
            None => (None, text),
        },
    };
    let words: Vec<&str> = rest
        .split(is_separator)
        .filter(|word| !word.is_empty())
        .collect();
    (!is_ruler(&words)).then_some(Line::Data(offset, words))
}

const fn is_separator(character: char) -> bool {
    character.is_whitespace() || matches!(character, ',' | ';' | ':' | '{' | '}' | '\\')
}

/// The offset that the first word of a line is: by its colon, or because it is longer than the words
/// that follow.
fn offset_of(first: &str, rest: &str) -> Option<usize> {
    if let Some(digits) = first.strip_suffix(':') {
        return hex(digits);
    }
    let next = rest.split_whitespace().next()?;
    let longer = first.len() >= 4 && first.len() > next.len() && matches!(next.len(), 2 | 4);
    if longer && !first.contains(',') {
        hex(first)
    } else {
        None
    }
}

/// The length at the end of a dump, on a line of its own: seven or eight digits.
fn lone_offset(text: &str) -> Option<&str> {
    matches!(text.len(), 7 | 8)
        .then_some(text)
        .filter(|text| text.starts_with("0000") && hex(text).is_some())
}

fn hex(digits: &str) -> Option<usize> {
    let digits = digits
        .strip_prefix("0x")
        .or_else(|| digits.strip_prefix("0X"))
        .unwrap_or(digits);
    if digits.len() > 8 {
        return None;
    }
    usize::from_str_radix(digits, 16).ok()
}

/// The line of column numbers over some dumps: `0 1 2 3 .. f`.
fn is_ruler(words: &[&str]) -> bool {
    let first: Vec<&str> = words.iter().take(4).copied().collect();
    matches!(
        first.as_slice(),
        ["0", "1", "2", "3"] | ["00", "01", "02", "03"]
    ) && words
        .iter()
        .take(16)
        .enumerate()
        .all(|(at, word)| hex(word) == Some(at))
        && words.len() >= 16
}

/// How many bytes the line at a place holds: as far as the next offset, else 16.
fn width(lines: &[Line<'_>], at: usize) -> usize {
    let offset = |at: usize| match lines.get(at) {
        Some(Line::Data(offset, _)) => *offset,
        _ => None,
    };
    let step = |from: usize| offset(from + 1)?.checked_sub(offset(from)?);
    step(at)
        .or_else(|| step(at.checked_sub(1)?))
        .filter(|step| (1..=64).contains(step))
        .unwrap_or(16)
}

/// The bytes of a line's words, and whether it ended at a byte that was not read (`XX`). With an
/// offset no more than `width` bytes are data; what follows shows them as characters.
fn row(words: &[&str], width: Option<usize>) -> Option<(Vec<u8>, bool)> {
    let mut bytes = Vec::new();
    for word in words {
        if width.is_some_and(|width| bytes.len() >= width) {
            break;
        }
        if matches!(*word, "XX" | "xx" | "--" | "??") {
            return Some((bytes, true));
        }
        match word_bytes(word) {
            Some(word) => bytes.extend_from_slice(&word),
            None if width.is_some() && !bytes.is_empty() => break,
            None => return None,
        }
    }
    if let Some(width) = width {
        bytes.truncate(width);
    }
    Some((bytes, false))
}

fn word_bytes(word: &str) -> Option<Vec<u8>> {
    let digits = word
        .strip_prefix("0x")
        .or_else(|| word.strip_prefix("0X"))
        .or_else(|| word.strip_prefix('x'))
        .unwrap_or(word);
    if !digits.len().is_multiple_of(2) || digits.is_empty() {
        return None;
    }
    (0..digits.len())
        .step_by(2)
        .map(|at| {
            let pair = digits.get(at..at + 2)?;
            let is_hex = pair.bytes().all(|byte| byte.is_ascii_hexdigit());
            is_hex.then(|| u8::from_str_radix(pair, 16).ok()).flatten()
        })
        .collect()
}
