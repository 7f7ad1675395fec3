//! What one locator text says: socket, memory controller, channel and slot numbers as written.
//!
//! Texts are taken apart into words, numbers and gaps; no maker's scheme is asked for by name.
//! Letters become numbers (A is 0). Numbers are as written, from 0 or 1: ranking comes later.

/// How a text names the channel, from the plainest to nothing at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Style {
    /// With the word: `CHANNEL A`, `Channel0`, `CH_A0`, or `C0D1`.
    Explicit,
    /// Letter then digit beside other words: `DIMM_A1`, `P0_A0`.
    LetterDigit,
    /// Digit then letter: `P1_DIMM1A`.
    DigitLetter,
    /// A letter and a digit and nothing else: `A1`. Some makers mean the socket by the letter.
    Bare,
    /// Not at all.
    #[default]
    None,
}

/// The numbers that a text holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Seen {
    /// Processor socket.
    pub socket: Option<u32>,
    /// Memory controller or node within the socket.
    pub controller: Option<u32>,
    /// Channel.
    pub channel: Option<u32>,
    /// Slot, often of the channel, sometimes a running number.
    pub slot: Option<u32>,
    /// How the channel is named.
    pub style: Style,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Token {
    Word(String),
    /// A number and how many digits it was written with.
    Number(u32, usize),
    Gap,
}

/// Locators are short; what comes after this many characters is not looked at.
const TEXT_LIMIT: usize = 128;

/// Reads one text.
pub fn see(text: &str) -> Seen {
    let tokens = tokens(text);
    let mut reader = Reader {
        tokens: &tokens,
        at: 0,
        found: Found::default(),
    };
    while reader.at < tokens.len() {
        reader.step();
    }
    reader.found.settle()
}

fn tokens(text: &str) -> Vec<Token> {
    let mut tokens = Vec::new();
    let mut word = String::new();
    let mut number = String::new();
    for c in text.chars().take(TEXT_LIMIT).chain([' ']) {
        if !c.is_ascii_digit() && !number.is_empty() {
            // A number too long to be one is a serial number or the like: no number.
            tokens.push(match number.parse() {
                Ok(value) => Token::Number(value, number.len()),
                Err(_) => Token::Gap,
            });
            number.clear();
        }
        if !c.is_ascii_alphabetic() && !word.is_empty() {
            push_word(&mut tokens, std::mem::take(&mut word));
        }
        match c {
            c if c.is_ascii_digit() => number.push(c),
            c if c.is_ascii_alphabetic() => word.push(c.to_ascii_uppercase()),
            _ => tokens.push(Token::Gap),
        }
    }
    tokens
}

/// `DIMMA`, `CHA` and `CHANNELA` are a word and a letter.
fn push_word(tokens: &mut Vec<Token>, word: String) {
    for stem in ["CHANNEL", "DIMM", "CH"] {
        if let Some(letter) = word.strip_prefix(stem).filter(|rest| rest.len() == 1) {
            tokens.push(Token::Word(stem.to_owned()));
            tokens.push(Token::Word(letter.to_owned()));
            return;
        }
    }
    tokens.push(Token::Word(word));
}

/// What was found on the way, before it is settled which of it counts.
#[derive(Debug, Default)]
struct Found {
    socket: Option<u32>,
    controller: Option<u32>,
    explicit: Option<u32>,
    dimm: Option<u32>,
    letter_digit: Option<(u32, u32)>,
    digit_letter: Option<(u32, u32)>,
    words: usize,
}

impl Found {
    fn settle(self) -> Seen {
        let (channel, slot, style) = match (self.explicit, self.letter_digit, self.digit_letter) {
            (Some(channel), _, _) => (Some(channel), self.dimm, Style::Explicit),
            (None, Some((letter, digit)), _) if self.dimm.is_none() => {
                let style = if self.words == 0 {
                    Style::Bare
                } else {
                    Style::LetterDigit
                };
                (Some(letter), Some(digit), style)
            }
            (None, None, Some((digit, letter))) => (Some(digit), Some(letter), Style::DigitLetter),
            _ => (None, self.dimm, Style::None),
        };
        Seen {
            socket: self.socket,
            controller: self.controller,
            channel,
            slot,
            style,
        }
    }
}

struct Reader<'a> {
    tokens: &'a [Token],
    at: usize,
    found: Found,
}

impl<'a> Reader<'a> {
    /// The token so many places on.
    fn ahead(&self, by: usize) -> Option<&'a Token> {
        self.tokens.get(self.at + by)
    }

    /// Offset of the next token that is no gap.
    fn next_solid(&self, from: usize) -> Option<usize> {
        let rest = self.tokens.get(self.at + from..)?;
        let gaps = rest
            .iter()
            .take_while(|token| **token == Token::Gap)
            .count();
        (gaps < rest.len()).then_some(from + gaps)
    }

    /// The number after the word here, gaps allowed, with its offset.
    fn number_after(&self) -> Option<(u32, usize)> {
        let offset = self.next_solid(1)?;
        match self.ahead(offset) {
            Some(Token::Number(value, _)) => Some((*value, offset)),
            _ => None,
        }
    }

    fn step(&mut self) {
        match self.ahead(0) {
            Some(Token::Word(word)) => self.word(word),
            Some(Token::Number(value, _)) => self.number(*value, 0),
            _ => self.at += 1,
        }
    }

    fn word(&mut self, word: &str) {
        match word {
            "CHANNEL" | "CH" => self.channel(),
            "DIMM" | "SODIMM" => self.dimm(),
            "P" | "CPU" | "PROC" | "PROCESSOR" | "SOCKET" | "SKT"
                if self.found.socket.is_none() && self.number_after().is_some() =>
            {
                self.found.words += 1;
                self.found.socket = self.take_number();
            }
            "NODE" | "CONTROLLER" | "MC" | "IMC" => {
                self.found.words += 1;
                self.found.controller = self.take_number().or(self.found.controller);
            }
            letter if letter.len() == 1 => self.letter(letter),
            _ => {
                // `BANK 0`, `DDR4`, `UMC1`, `Slot 3`: a number that belongs to its word.
                self.found.words += 1;
                self.take_number();
            }
        }
    }

    /// Takes the number after the word here and moves behind it, or behind the word.
    fn take_number(&mut self) -> Option<u32> {
        match self.number_after() {
            Some((value, offset)) => {
                self.at += offset + 1;
                Some(value)
            }
            None => {
                self.at += 1;
                None
            }
        }
    }

    fn channel(&mut self) {
        self.found.words += 1;
        if let Some((value, _)) = self.number_after() {
            self.take_number();
            self.found.explicit = Some(value);
            return;
        }
        let letter = self
            .next_solid(1)
            .and_then(|offset| match self.ahead(offset) {
                Some(Token::Word(word)) => Some((letter_number(word)?, offset)),
                _ => None,
            });
        let Some((channel, offset)) = letter else {
            self.at += 1;
            return;
        };
        self.found.explicit = Some(channel);
        self.at += offset + 1;
        if let Some(Token::Number(slot, _)) = self.ahead(0) {
            self.found.dimm = Some(*slot);
            self.at += 1;
        }
    }

    fn dimm(&mut self) {
        self.found.words += 1;
        match self.number_after() {
            Some((value, offset)) => {
                self.at += offset;
                self.number(value, 1);
            }
            None => self.at += 1,
        }
    }

    /// A number with no word of its own, or (`after_dimm`) that of the word DIMM.
    fn number(&mut self, value: u32, after_dimm: usize) {
        let letter = match (self.ahead(1), self.ahead(2)) {
            (Some(Token::Word(_)), Some(Token::Number(..) | Token::Word(_))) => None,
            (Some(Token::Word(word)), _) => letter_number(word),
            _ => None,
        };
        match letter {
            Some(letter) => {
                self.found.digit_letter = Some((value, letter));
                self.at += 2;
            }
            None => {
                if after_dimm > 0 {
                    self.found.dimm = Some(value);
                }
                self.at += 1;
            }
        }
    }

    fn letter(&mut self, letter: &str) {
        let (Some(index), Some(Token::Number(value, digits))) =
            (letter_number(letter), self.ahead(1))
        else {
            self.at += 1;
            return;
        };
        let value = *value;
        if letter == "C"
            && let (Some(Token::Word(d)), Some(Token::Number(slot, _))) =
                (self.ahead(2), self.ahead(3))
            && d == "D"
        {
            self.found.explicit = Some(value);
            self.found.dimm = Some(*slot);
            self.at += 4;
            return;
        }
        match letter {
            // A connector's reference designator, `J27`.
            "J" if *digits >= 2 => {}
            "D" if self.found.explicit.is_some() => self.found.dimm = Some(value),
            // `C0_DIMM2`, `H0_DIMM3`: the socket.
            "C" | "H" if self.found.socket.is_none() && self.dimm_number_follows() => {
                self.found.socket = Some(value);
            }
            _ => self.found.letter_digit = Some((index, value)),
        }
        self.at += 2;
    }

    /// Whether `DIMM` and a number come after the letter and digit here.
    fn dimm_number_follows(&self) -> bool {
        let Some(dimm) = self.next_solid(2) else {
            return false;
        };
        let named = matches!(self.ahead(dimm), Some(Token::Word(word)) if word == "DIMM");
        let number = self
            .next_solid(dimm + 1)
            .and_then(|offset| self.ahead(offset));
        named && matches!(number, Some(Token::Number(..)))
    }
}

/// A lone letter as a number: A is 0.
fn letter_number(word: &str) -> Option<u32> {
    match word.as_bytes() {
        [letter @ b'A'..=b'Z'] => Some(u32::from(letter - b'A')),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn numbers(text: &str) -> (Option<u32>, Option<u32>, Option<u32>, Style) {
        let seen = see(text);
        (seen.socket, seen.channel, seen.slot, seen.style)
    }

    // Spellings of the survey (227 reports); what each gives is that survey's table of schemes.
    #[test]
    fn reads_the_spellings_that_boards_use() {
        use Style::{DigitLetter, Explicit, LetterDigit, None as Nothing};
        let cases = [
            (
                "P0_Node0_Channel5_Dimm1",
                (Some(0), Some(5), Some(1), Explicit),
            ),
            ("P0 CHANNEL A", (Some(0), Some(0), None, Explicit)),
            (
                "SOCKET 1 CHANNEL 7 DIMM 1",
                (Some(1), Some(7), Some(1), Explicit),
            ),
            ("P0_D1_UMC0_CH_B1", (Some(0), Some(1), Some(1), Explicit)),
            ("DIMM-CHA3", (None, Some(0), Some(3), Explicit)),
            ("CPU0_C3D1", (Some(0), Some(3), Some(1), Explicit)),
            ("ChannelB-DIMM0", (None, Some(1), Some(0), Explicit)),
            ("DIMM_P1_P0", (Some(1), Some(15), Some(0), LetterDigit)),
            ("P1-DIMMA2", (Some(1), Some(0), Some(2), LetterDigit)),
            ("CPU1_DIMM_L1", (Some(1), Some(11), Some(1), LetterDigit)),
            ("CPU1 DIMM A1", (Some(1), Some(0), Some(1), LetterDigit)),
            ("CPU0_DIMMA1", (Some(0), Some(0), Some(1), LetterDigit)),
            ("DDR4_B1", (None, Some(1), Some(1), LetterDigit)),
            ("CPU_A0", (None, Some(0), Some(0), LetterDigit)),
            ("P4_DIMM3B", (Some(4), Some(3), Some(1), DigitLetter)),
            ("P1_4B", (Some(1), Some(4), Some(1), DigitLetter)),
            ("DIMM2A", (None, Some(2), Some(0), DigitLetter)),
            ("PROC  2 DIMM 12 ", (Some(2), None, Some(12), Nothing)),
            ("Socket 0 DIMM 3", (Some(0), None, Some(3), Nothing)),
            ("C0_DIMM2", (Some(0), None, Some(2), Nothing)),
            ("H0_DIMM3", (Some(0), None, Some(3), Nothing)),
            ("DIMM000 J27", (None, None, Some(0), Nothing)),
            ("A1_DIMM0", (None, None, Some(0), Nothing)),
            ("BANK 0", (None, None, None, Nothing)),
            ("NODE 12", (None, None, None, Nothing)),
            ("DIMM Slot 4", (None, None, None, Nothing)),
        ];
        for (text, wanted) in cases {
            assert_eq!(numbers(text), wanted, "{text}");
        }
    }

    #[test]
    fn a_lone_letter_and_digit_may_mean_the_socket() {
        assert_eq!(see("A12").style, Style::Bare);
    }
}
