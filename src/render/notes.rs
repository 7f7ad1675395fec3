//! Sentences of what readers noted: patterns that stand beside the codes, filled with parameters.

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource};
use unic_langid::LanguageIdentifier;

/// Patterns by their code.
pub struct Sentences {
    bundle: FluentBundle<FluentResource>,
}

impl Sentences {
    /// English patterns, each with its code.
    pub fn english<'a>(patterns: impl IntoIterator<Item = (&'a str, &'a str)>) -> Self {
        let text: String = patterns
            .into_iter()
            .map(|(code, pattern)| format!("{code} = {pattern}\n"))
            .collect();
        // A pattern that does not parse is left out and shows as its code; a test finds it.
        let resource = FluentResource::try_new(text).unwrap_or_else(|(resource, _)| resource);
        let english = "en".parse::<LanguageIdentifier>().unwrap_or_default();
        let mut bundle = FluentBundle::new_concurrent(vec![english]);
        bundle.set_use_isolating(false);
        bundle.add_resource_overriding(resource);
        Self { bundle }
    }

    /// The sentence of a code; the code itself if there is no pattern.
    pub fn say<'a>(
        &self,
        code: &str,
        params: impl IntoIterator<Item = (&'a str, String)>,
    ) -> String {
        let message = self.bundle.get_message(code);
        let Some(pattern) = message.and_then(|message| message.value()) else {
            return code.to_owned();
        };
        let mut args = FluentArgs::new();
        for (name, value) in params {
            args.set(name, value);
        }
        let mut errors = Vec::new();
        self.bundle
            .format_pattern(pattern, Some(&args), &mut errors)
            .into_owned()
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
