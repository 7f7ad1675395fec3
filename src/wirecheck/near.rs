//! The known names that a misspelt one may have meant.

/// The most names that are offered.
const MOST_NAMES: usize = 3;
/// Names longer than this are compared by their start only, which bounds the work.
const LONGEST: usize = 64;

/// The nearest of `known`, nearest first, at most three; ties in the order of the alphabet.
pub fn close_matches<'k>(given: &str, known: impl IntoIterator<Item = &'k str>) -> Vec<String> {
    let plain = plain(given);
    if plain.is_empty() {
        return Vec::new();
    }
    let mut near: Vec<(usize, &str)> = known
        .into_iter()
        .filter_map(|name| distance(&plain, name).map(|far| (far, name)))
        .collect();
    near.sort_unstable();
    near.dedup();
    near.truncate(MOST_NAMES);
    near.into_iter().map(|(_, name)| name.to_owned()).collect()
}

/// How far a known name is from what was given, or nothing when it is no likely meaning.
fn distance(given: &str, known: &str) -> Option<usize> {
    let known = plain(known);
    let far = strsim::osa_distance(given, &known);
    let allowed = (given.chars().count() / 3).clamp(1, 3);
    if far <= allowed {
        return Some(far);
    }
    // A name that continues what was given, or the other way round: `board` for `board_id`.
    let starts = given.len() >= 3 && known.len() >= 3;
    (starts && (known.starts_with(given) || given.starts_with(&known))).then_some(far)
}

/// Letters and digits in lower case: case, hyphens and underscores are the commonest slips.
fn plain(name: &str) -> String {
    name.chars()
        .take(LONGEST)
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const NAMES: [&str; 5] = ["board", "board_id", "modules", "ranks", "voltage_mv"];

    #[test]
    fn finds_slips_of_the_finger_case_and_hyphens() {
        for (given, first) in [
            ("baord", "board"),
            ("Ranks", "ranks"),
            ("voltage-mv", "voltage_mv"),
            ("voltageMv", "voltage_mv"),
            ("module", "modules"),
            ("boardid", "board_id"),
        ] {
            let names = close_matches(given, NAMES);
            assert_eq!(names.first().map(String::as_str), Some(first), "{given}");
        }
    }

    #[test]
    fn offers_nothing_for_a_name_unlike_any() {
        for given in ["", "-", "xyzzy", "colour"] {
            assert_eq!(close_matches(given, NAMES), Vec::<String>::new(), "{given}");
        }
    }

    #[test]
    fn puts_a_near_name_before_one_that_merely_continues() {
        assert_eq!(close_matches("board", NAMES), ["board", "board_id"]);
    }
}
