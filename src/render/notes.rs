//! Sentences of what readers noted: patterns that stand beside the codes, filled with parameters.

use super::pattern::{Args, Patterns};

/// Patterns by their code.
pub struct Sentences {
    patterns: Patterns,
}

impl Sentences {
    /// English patterns, each with its code.
    pub fn english<'a>(patterns: impl IntoIterator<Item = (&'a str, &'a str)>) -> Self {
        let text: String = patterns
            .into_iter()
            .map(|(code, pattern)| format!("{code} = {pattern}\n"))
            .collect();
        // A pattern that does not parse is left out and shows as its code; a test finds it.
        Self {
            patterns: Patterns::read("en", &text),
        }
    }

    /// The sentence of a code; the code itself if there is no pattern.
    pub fn say<'a>(
        &self,
        code: &str,
        params: impl IntoIterator<Item = (&'a str, String)>,
    ) -> String {
        let Some(pattern) = self.patterns.get(code, None) else {
            return code.to_owned();
        };
        let args: Args<'_> = params.into_iter().collect();
        self.patterns.fill(pattern, &args)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pattern_is_filled_and_a_code_without_one_shows_itself() {
        let words = Sentences::english([("rate-odd", "{ $rate } is no standard rate.")]);
        let rate = || [("rate", "1700 MT/s".to_owned())];
        assert_eq!(
            words.say("rate-odd", rate()),
            "1700 MT/s is no standard rate."
        );
        assert_eq!(words.say("rate-even", rate()), "rate-even");
    }
}
