//! What follows the speed on a label: module letter, raw card, SPD revision, latency, grade, suffix.

use super::head::Head;
use super::letters::{Letter, letters};
use super::notes;
use super::typo::{as_digits, digit_for, letter_for};
use super::words::Pieces;
use crate::read::fact::{Fact, Standing};
use crate::read::note::Note;
use crate::read::record::ReadModule;
use crate::read::spd::raw_card::{is_card_letter, is_card_name};
use crate::read::vocabulary::{Generation, RawCard, Revision, TEMPERATURE_GRADES};

/// What the tail tells beyond what it writes into the record.
#[derive(Debug, Default)]
pub(super) struct Tail {
    /// The module letter, if it is one of the generation's.
    pub letter: Option<&'static Letter>,
    /// Where the label ends.
    pub end: usize,
}

/// Reads the tail into the record.
pub(super) fn read(
    pieces: &Pieces,
    head: &Head,
    module: &mut ReadModule,
    notes: &mut Vec<Note>,
) -> Tail {
    let mut reader = TailReader {
        pieces,
        head,
        module,
        notes,
        at: head.end,
    };
    let letter = if head.speed.by_bandwidth {
        reader.older()
    } else {
        reader.newer()
    };
    reader.suffix();
    Tail {
        letter,
        end: reader.at,
    }
}

struct TailReader<'a> {
    pieces: &'a Pieces,
    head: &'a Head,
    module: &'a mut ReadModule,
    notes: &'a mut Vec<Note>,
    at: usize,
}

impl TailReader<'_> {
    /// `wwwwwm-aa-bb-ccd`
    fn older(&mut self) -> Option<&'static Letter> {
        let letter = self.letter(&self.head.speed.letter);
        self.cas_latency();
        self.revision();
        if let Some(text) = self.pieces.glued(self.at) {
            self.card(text, self.pieces.shown(self.at));
            self.at += 1;
        }
        letter
    }

    /// `ssssBB-mccd-bb[jj][-tt]`
    fn newer(&mut self) -> Option<&'static Letter> {
        let next_is_revision = self
            .pieces
            .glued(self.at + 1)
            .is_some_and(|text| matches!(text.len(), 2 | 4) && as_digits(text).is_some());
        let text = self.pieces.glued(self.at).or_else(|| {
            let word = self.pieces.loose(self.at)?;
            is_module_part(word, next_is_revision).then_some(word)
        });
        let Some(text) = text else {
            return self.letter("");
        };
        let cut = text.chars().next().map_or(0, char::len_utf8);
        let (first, card) = text.split_at_checked(cut).unwrap_or((text, ""));
        let letter = self.letter(first);
        if !card.is_empty() {
            self.card(card, self.pieces.shown(self.at).get(cut..).unwrap_or(card));
        }
        self.at += 1;
        self.revision();
        self.grade();
        letter
    }

    fn letter(&mut self, found: &str) -> Option<&'static Letter> {
        let all = letters(self.head.generation);
        let known = all.iter().find(|letter| letter.letter == found);
        if known.is_none() {
            self.notes.push(match found {
                "" => Note::new(&notes::LETTER_MISSING),
                _ => {
                    let allowed = all.iter().map(|letter| letter.letter);
                    Note::allowed(&notes::LETTER_UNKNOWN, found, allowed)
                }
            });
        }
        known
    }

    fn cas_latency(&mut self) {
        let Some(text) = self.pieces.glued(self.at) else {
            return;
        };
        let shown = self.pieces.shown(self.at);
        self.at += 1;
        let digits = as_digits(text).filter(|digits| digits.len() <= 2);
        // DDR3 has 5 to 16 (mode register 0 of JESD79-3, from memory), DDR4 9 and up.
        let clocks = digits.as_deref().and_then(|digits| digits.parse().ok());
        let Some(clocks) = clocks.filter(|clocks| (5..=32).contains(clocks)) else {
            self.notes.push(Note::found(&notes::CAS_UNKNOWN, shown));
            return;
        };
        let standing = self.digits_standing(shown, digits.as_deref().unwrap_or_default());
        self.module.speed.cas_latency = Fact::of(Some(clocks), standing);
    }

    /// `Read`, or `Assumed` with a note when the digits had to be corrected.
    fn digits_standing(&mut self, found: &str, meant: &str) -> Standing {
        if found == meant {
            return self.head.standing;
        }
        self.notes
            .push(Note::meant(&notes::DIGITS_MISREAD, found, meant));
        Standing::Assumed
    }

    /// Two digits; on DDR5 four, the second two for the module-specific section.
    fn revision(&mut self) {
        let Some(text) = self.pieces.glued(self.at) else {
            return;
        };
        let shown = self.pieces.shown(self.at);
        let digits = as_digits(text);
        let digits: Vec<u8> = digits.as_deref().unwrap_or_default().bytes().collect();
        let (base, module) = match digits.as_slice() {
            [a, b] => (revision(*a, *b), None),
            [a, b, c, d] if self.head.generation == Generation::Ddr5 => {
                (revision(*a, *b), Some(revision(*c, *d)))
            }
            _ if self.head.speed.by_bandwidth => {
                self.notes
                    .push(Note::found(&notes::REVISION_UNKNOWN, shown));
                self.at += 1;
                return;
            }
            _ => return,
        };
        self.at += 1;
        let meant = String::from_utf8(digits).unwrap_or_default();
        let standing = self.digits_standing(shown, &meant);
        self.module.spd.revision = Fact::of(Some(base), standing);
        self.module.spd.module_revision = Fact::of(module, standing);
    }

    fn grade(&mut self) {
        let found = self
            .pieces
            .glued(self.at)
            .filter(|_| self.head.generation == Generation::Ddr5);
        let grade = TEMPERATURE_GRADES
            .into_iter()
            .find(|grade| Some(*grade) == found);
        self.module.build.temperature_grade = Fact::of(grade, self.head.standing);
        self.at += usize::from(grade.is_some());
    }

    fn card(&mut self, text: &str, shown: &str) {
        match read_card(text) {
            Some((card, meant)) => {
                let standing = if meant {
                    Standing::Assumed
                } else {
                    self.head.standing
                };
                if meant {
                    self.notes
                        .push(Note::meant(&notes::CARD_MISREAD, shown, &card.to_string()));
                } else if card.revision.is_none() {
                    self.notes.push(Note::found(&notes::CARD_INCOMPLETE, shown));
                }
                self.module.build.raw_card = Fact::of(Some(card), standing);
            }
            None => self.notes.push(Note::found(&notes::CARD_UNKNOWN, shown)),
        }
    }

    /// Whatever hyphens still join: the maker's own text.
    fn suffix(&mut self) {
        let start = self.at;
        while self.pieces.glued(self.at).is_some() {
            self.at += 1;
        }
        if self.at == start {
            return;
        }
        let text = self.pieces.joined_from(start);
        // Such texts end in a digit (DC0, MB1, R80): an O there is a zero.
        if let Some(stem) = text.strip_suffix('O') {
            let meant = format!("{stem}0");
            self.notes
                .push(Note::meant(&notes::SUFFIX_DOUBTFUL, &text, &meant));
        }
        self.module.origin.label_suffix = Fact::of(Some(text), self.head.standing);
    }
}

fn revision(encoding: u8, additions: u8) -> Revision {
    let digit = |byte: u8| byte.saturating_sub(b'0');
    Revision {
        encoding: digit(encoding),
        additions: digit(additions),
    }
}

/// Whether a word without a hyphen before it can only be a module letter with a raw card: a line
/// break may have replaced the hyphen. It ends in a digit, or the SPD revision follows it. `EC4` and
/// `EC8` are words of their own.
fn is_module_part(text: &str, next_is_revision: bool) -> bool {
    let Some(card) = text.get(1..) else {
        return false;
    };
    let ends_in_digit = text.ends_with(|c: char| c.is_ascii_digit());
    (3..=4).contains(&text.len())
        && !matches!(text, "EC4" | "EC8")
        && match read_card(card) {
            Some((_, false)) => ends_in_digit || next_is_revision,
            Some((_, true)) => next_is_revision,
            None => false,
        }
        && letters(Generation::Ddr5)
            .iter()
            .any(|letter| text.starts_with(letter.letter))
}

/// One or two card letters and a revision character; the second value says whether something had to
/// be corrected.
fn read_card(text: &str) -> Option<(RawCard, bool)> {
    let characters: Vec<char> = text.chars().collect();
    let (name, revision) = match characters.as_slice() {
        [name] => (vec![*name], None),
        [name @ .., revision] if name.len() <= 2 => (name.to_vec(), Some(*revision)),
        _ => return None,
    };
    let letters: String = name
        .iter()
        .copied()
        .map(letter_for)
        .collect::<Option<_>>()?;
    if !is_card_name(&letters) {
        return None;
    }
    // A revision is a digit, or rarely a letter of the card alphabet, which lacks O, I, S, Q and Z.
    let corrected = match revision {
        Some(mark) if !mark.is_ascii_digit() && !is_card_letter(mark) => Some(digit_for(mark)?),
        other => other,
    };
    let meant = corrected != revision || !name.iter().copied().eq(letters.chars());
    Some((
        RawCard {
            letters,
            revision: corrected,
        },
        meant,
    ))
}
