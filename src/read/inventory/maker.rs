//! Makers by name or by JEP106 code, in all the shapes that firmware prints.
//!
//! JEP106 (JEDEC): a maker is a code byte with odd parity, after a number of continuation codes
//! (0x7F); SPD and SMBIOS write the number of them as a byte with odd parity of its own.

use super::facts;
use super::record::{Fact, MakerId};
use crate::read::maker::registered_name;

/// More continuation codes than JEP106 has banks.
const MOST_CONTINUATIONS: u8 = 20;

/// A maker's name, and the code where one was given.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Maker {
    /// The name.
    pub name: Fact<String>,
    /// The code.
    pub id: Option<MakerId>,
    /// The text that held the code, if the name was worked out from it.
    pub from: Option<String>,
}

/// Reads a maker from its text and from a code given elsewhere.
pub fn maker(text: Option<&str>, id: Option<MakerId>) -> Maker {
    let text = text.and_then(facts::meaning);
    let coded = text.as_deref().and_then(code_in_text);
    let id = coded.or(id).filter(|id| name_of(*id).is_some());
    match (text, coded.and_then(name_of), id.and_then(name_of)) {
        (Some(text), Some(name), _) => Maker {
            name: Fact::Derived(name.to_owned()),
            id,
            from: Some(text),
        },
        (None, _, Some(name)) => Maker {
            name: Fact::Derived(name.to_owned()),
            id,
            from: id.map(|id| format!("bank {}, {:#04X}", id.continuations + 1, id.code)),
        },
        (text, _, _) => Maker {
            name: Fact::of(text),
            id,
            from: None,
        },
    }
}

fn name_of(id: MakerId) -> Option<&'static str> {
    registered_name(id.continuations, id.code)
}

/// An SMBIOS id word: low byte the continuation count, high byte the code.
pub fn from_word(word: u16) -> Option<MakerId> {
    if word == 0 || word == u16::MAX {
        return None;
    }
    let [count, code] = word.to_le_bytes();
    plausible(count, code)
}

/// Dmidecode's print of the same word: `Bank 1, Hex 0xCE`.
pub fn from_bank_text(text: &str) -> Option<MakerId> {
    let (bank, code) = text.trim().strip_prefix("Bank ")?.split_once(',')?;
    let bank: u8 = bank.trim().parse().ok()?;
    let code = code.trim().strip_prefix("Hex 0x")?;
    let code = u8::from_str_radix(code.get(..2)?, 16).ok()?;
    plausible(bank.checked_sub(1)?, code)
}

/// Some controllers print the swapped word as a decimal number: 44288 for 0xAD00.
pub fn from_decimal(text: &str) -> Option<MakerId> {
    let word: u16 = text.trim().parse().ok()?;
    let [low, high] = word.to_le_bytes();
    from_pair(high, low)
}

fn plausible(count: u8, code: u8) -> Option<MakerId> {
    let continuations = count & 0x7F;
    let fits = continuations <= MOST_CONTINUATIONS && code & 0x7F > 0 && code & 0x7F < 0x7F;
    fits.then_some(MakerId {
        continuations,
        code,
    })
}

/// Two bytes in either order: the continuation count is the small one.
fn from_pair(first: u8, second: u8) -> Option<MakerId> {
    match (
        first & 0x7F <= MOST_CONTINUATIONS,
        second & 0x7F <= MOST_CONTINUATIONS,
    ) {
        (true, _) if second & 0x7F > 0 => plausible(first, second),
        (_, true) => plausible(second, first),
        _ => None,
    }
}

/// `2C80`, `80AD000080AD`, `0xCE00`, `JEDEC ID:80 2C`, `7F7F7F0B00000000`, `AD00000000000000`.
fn code_in_text(text: &str) -> Option<MakerId> {
    let upper = text.to_ascii_uppercase();
    let labelled = upper.strip_prefix("JEDEC ID:");
    let digits: String = labelled
        .unwrap_or(&upper)
        .trim_start_matches("0X")
        .chars()
        .filter(|c| !c.is_whitespace())
        .collect();
    let hex = digits.chars().all(|c| c.is_ascii_hexdigit());
    if !hex || digits.len() < 4 || digits.len() % 2 == 1 {
        return None;
    }
    let bytes: Vec<u8> = (0..digits.len() / 2)
        .filter_map(|i| u8::from_str_radix(digits.get(2 * i..2 * i + 2)?, 16).ok())
        .collect();
    let sevens = bytes.iter().take_while(|byte| **byte == 0x7F).count();
    if sevens > 0 {
        return plausible(u8::try_from(sevens).ok()?, *bytes.get(sevens)?);
    }
    from_pair(*bytes.first()?, *bytes.get(1)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name(text: &str) -> String {
        let maker = maker(Some(text), None);
        maker.name.value().cloned().unwrap_or_default()
    }

    // Shapes met in the survey of 227 reports; names from JEP106 by way of the jep106 crate.
    #[test]
    fn reads_a_maker_code_in_every_shape_that_firmware_prints() {
        for text in ["2C80", "802C", "0x2c80", "JEDEC ID:80 2C", "802C0000802C"] {
            assert_eq!(name(text), "Micron Technology", "{text}");
        }
        for text in ["CE80", "0xCE00", "00CE000000CE", "CE00000000000000"] {
            assert_eq!(name(text), "Samsung", "{text}");
        }
        assert_eq!(name("80AD000080AD"), "SK Hynix");
        assert_eq!(name("0198"), "Kingston");
    }

    #[test]
    fn keeps_a_written_name() {
        for text in ["Samsung", "Micron Technology", "SK Hynix"] {
            let maker = maker(Some(text), None);
            assert_eq!(maker.name, Fact::Read(text.to_owned()));
        }
    }

    #[test]
    fn takes_the_code_where_the_name_is_a_placeholder() {
        let maker = maker(Some("Undefined"), from_bank_text("Bank 6, Hex 0x9B"));
        assert_eq!(maker.name, Fact::Derived("Crucial Technology".to_owned()));
    }

    // The word 0xCE80 prints as "Bank 1, Hex 0xCE": dmidecode's own reading of the field.
    #[test]
    fn the_word_and_its_print_give_one_code() {
        assert_eq!(from_word(0xCE80), from_bank_text("Bank 1, Hex 0xCE"));
        assert_eq!(from_decimal("44288").and_then(name_of), Some("SK Hynix"));
        assert_eq!(
            from_decimal("11264").and_then(name_of),
            Some("Micron Technology")
        );
        assert_eq!(from_decimal("0"), None);
    }
}
