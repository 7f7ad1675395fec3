//! Cuts label text into words and the pieces between their hyphens.

use super::notes;
use crate::read::note::Note;

/// A piece of a word.
#[derive(Debug)]
pub(super) struct Piece {
    /// The text between two hyphens or spaces, upper case; never empty.
    pub text: String,
    /// The same as it was written.
    pub shown: String,
    /// Whether a hyphen joins it to the piece before.
    pub glued: bool,
}

/// The pieces of a text in order.
#[derive(Debug)]
pub(super) struct Pieces(Vec<Piece>);

/// More pieces than this are not a label.
const MOST: usize = 64;

impl Pieces {
    /// Cuts the text.
    pub fn cut(text: &str, notes: &mut Vec<Note>) -> Self {
        let mut pieces = Vec::new();
        for word in text.split_whitespace() {
            let plain: String = word.chars().map(plain).collect();
            if plain.contains('_') && looks_like_fields(&plain) {
                notes.push(Note::meant(
                    &notes::UNDERSCORE,
                    word,
                    &plain.replace('_', "-"),
                ));
            }
            for (index, shown) in plain.split(['-', '_']).enumerate() {
                if !shown.is_empty() {
                    let (text, shown) = (shown.to_uppercase(), shown.to_owned());
                    pieces.push(Piece {
                        text,
                        shown,
                        glued: index > 0,
                    });
                }
            }
            if pieces.len() > MOST {
                notes.push(Note::new(&notes::TOO_LONG).number("read", MOST));
                pieces.truncate(MOST);
                break;
            }
        }
        Self(pieces)
    }

    /// The text of the piece at a place.
    pub fn text(&self, at: usize) -> Option<&str> {
        self.0.get(at).map(|piece| piece.text.as_str())
    }

    /// The piece at a place as it was written, for notes.
    pub fn shown(&self, at: usize) -> &str {
        self.0.get(at).map_or("", |piece| piece.shown.as_str())
    }

    /// The text of the piece at a place if a hyphen joins it to the piece before.
    pub fn glued(&self, at: usize) -> Option<&str> {
        self.0
            .get(at)
            .filter(|piece| piece.glued)
            .map(|piece| piece.text.as_str())
    }

    /// The text of the piece at a place if a space separates it from the piece before.
    pub fn loose(&self, at: usize) -> Option<&str> {
        self.0
            .get(at)
            .filter(|piece| !piece.glued)
            .map(|piece| piece.text.as_str())
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Every piece from a place on that hyphens join, joined again.
    pub fn joined_from(&self, at: usize) -> String {
        let rest: Vec<&str> = (at..self.len())
            .map_while(|index| {
                if index == at {
                    self.text(index)
                } else {
                    self.glued(index)
                }
            })
            .collect();
        rest.join("-")
    }
}

/// One spelling for hyphens and for the sign between `R` and the width.
const fn plain(character: char) -> char {
    match character {
        '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
        '\u{d7}' => 'X',
        other => other,
    }
}

fn looks_like_fields(word: &str) -> bool {
    word.chars().any(|c| c.is_ascii_digit())
}
