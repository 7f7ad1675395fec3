//! How wide text is at most, and what is done where its room is less.

/// Width of a letter of 11 px, on the wide side.
const LETTER: i32 = 6;

/// An attribute that squeezes text into its room where it may be too long.
pub fn fitted(text: &str, room: i32) -> String {
    if width_of(text) <= room {
        return String::new();
    }
    format!(" textLength=\"{room}\" lengthAdjust=\"spacingAndGlyphs\"")
}

/// How wide text of 11 px is at most.
pub fn width_of(text: &str) -> i32 {
    let letters = i32::try_from(text.chars().count()).unwrap_or(i32::MAX);
    letters.saturating_mul(LETTER + 1)
}

/// Text in lines of at most so many characters; a longer word is cut.
pub fn wrapped(text: &str, most: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    let mut room = most;
    for word in text.split_whitespace() {
        let mut rest: Vec<char> = word.chars().collect();
        if rest.len() > room && room < most {
            lines.push(String::new());
            room = most;
        }
        while rest.len() > most {
            let tail = rest.split_off(most);
            if let Some(line) = lines.last_mut() {
                line.extend(rest);
            }
            lines.push(String::new());
            rest = tail;
        }
        if let Some(line) = lines.last_mut() {
            if !line.is_empty() {
                line.push(' ');
            }
            line.extend(&rest);
        }
        room = room.saturating_sub(rest.len() + 1);
    }
    lines.retain(|line| !line.is_empty());
    lines
}

#[cfg(test)]
mod tests {
    use super::wrapped;

    #[test]
    fn words_are_kept_whole_unless_one_alone_is_too_long() {
        assert_eq!(wrapped("one two three", 7), ["one two", "three"]);
        assert_eq!(wrapped("a abcdefghij", 4), ["a", "abcd", "efgh", "ij"]);
        assert_eq!(wrapped("", 4), Vec::<String>::new());
    }
}
