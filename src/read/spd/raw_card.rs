//! Raw cards: the codes of reference designs and their letters (JEDEC 21-C Annexes K and L, JESD400-5).

use crate::read::vocabulary::RawCard;

/// Names by bits 4 to 0; DDR3 and DDR4 choose the second table by bit 7.
const NAMES: [[&str; 32]; 2] = [
    [
        "A", "B", "C", "D", "E", "F", "G", "H", "J", "K", "L", "M", "N", "P", "R", "T", "U", "V",
        "W", "Y", "AA", "AB", "AC", "AD", "AE", "AF", "AG", "AH", "AJ", "AK", "AL", "ZZ",
    ],
    [
        "AM", "AN", "AP", "AR", "AT", "AU", "AV", "AW", "AY", "BA", "BB", "BC", "BD", "BE", "BF",
        "BG", "BH", "BJ", "BK", "BL", "BM", "BN", "BP", "BR", "BT", "BU", "BV", "BW", "BY", "CA",
        "CB", "ZZ",
    ],
];

/// Whether a label can name this card.
pub(in crate::read) fn is_card_name(name: &str) -> bool {
    NAMES.iter().flatten().any(|known| *known == name)
}

/// Whether a character is in the alphabet of cards, which lacks I, O, Q, S, X and Z.
pub(in crate::read) fn is_card_letter(letter: char) -> bool {
    NAMES
        .iter()
        .flatten()
        .any(|known| known.len() == 1 && known.starts_with(letter))
}

/// The card of DDR3 and DDR4: its own byte, and the height byte, which extends the revision.
pub(super) fn with_extension(card: u8, height: Option<u8>) -> Option<RawCard> {
    let revision = match (card >> 5) & 3 {
        3 => 3 + height.map_or(0, |height| height >> 5),
        plain => plain,
    };
    named(usize::from(card >> 7), card & 0x1f, revision)
}

/// The card of DDR5: code in bits 4 to 0, revision in bits 7 to 5.
pub(super) fn ddr5(card: u8) -> Option<RawCard> {
    if card & 0x1f == 30 {
        return None;
    }
    named(0, card & 0x1f, card >> 5)
}

fn named(table: usize, code: u8, revision: u8) -> Option<RawCard> {
    let name = NAMES.get(table)?.get(usize::from(code))?;
    let revision = char::from_digit(u32::from(revision), 16)?.to_ascii_uppercase();
    Some(RawCard {
        letters: (*name).to_owned(),
        revision: Some(revision),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_height_byte_extends_the_revision() {
        // A published module dump: byte 130 = 0x61, byte 128 = 0x31, card B revision 4.
        let card = with_extension(0x61, Some(0x31)).expect("a card");
        assert_eq!(card.to_string(), "B4");
        assert_eq!(
            with_extension(0xe1, Some(0x40))
                .expect("a card")
                .to_string(),
            "AN5"
        );
    }
}
