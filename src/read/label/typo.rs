//! Misreadings: characters that people and scanners take for each other.

/// The digit that a character was probably meant to be.
pub(super) const fn digit_for(character: char) -> Option<char> {
    Some(match character {
        '0'..='9' => character,
        'O' | 'Q' => '0',
        'I' | 'L' | '|' => '1',
        'Z' => '2',
        'E' => '3',
        'A' => '4',
        'S' => '5',
        'G' => '6',
        'T' => '7',
        'B' => '8',
        _ => return None,
    })
}

/// The letter that a digit was probably meant to be; a letter is itself.
pub(super) const fn letter_for(character: char) -> Option<char> {
    Some(match character {
        'A'..='Z' => character,
        '0' => 'O',
        '1' => 'I',
        '2' => 'Z',
        '4' => 'A',
        '5' => 'S',
        '6' => 'G',
        '7' => 'T',
        '8' => 'B',
        _ => return None,
    })
}

/// The text with every character as the digit that it was meant to be.
pub(super) fn as_digits(text: &str) -> Option<String> {
    text.chars().map(digit_for).collect()
}

/// The text with every character as the letter that it was meant to be.
pub(super) fn as_letters(text: &str) -> Option<String> {
    text.chars().map(letter_for).collect()
}

/// The only allowed text that is one slip away: a character wrong, missing, extra, or two swapped.
pub(super) fn closest<T: AsRef<str>>(
    found: &str,
    allowed: impl IntoIterator<Item = T>,
) -> Option<T> {
    const LONGEST: usize = 8;
    if found.len() > LONGEST {
        return None;
    }
    let mut near = allowed
        .into_iter()
        .filter(|candidate| strsim::osa_distance(found, candidate.as_ref()) == 1);
    let only = near.next()?;
    near.next().is_none().then_some(only)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_ambiguous_slip_is_not_resolved() {
        assert_eq!(closest("2040", ["1866", "2133", "2400"]), Some("2400"));
        assert_eq!(closest("Z", ["P", "R", "T", "U"]), None);
        assert_eq!(closest("2133", ["2133"]), None);
        assert_eq!(as_digits("1O6").as_deref(), Some("106"));
        assert_eq!(as_digits("1X6"), None);
    }
}
