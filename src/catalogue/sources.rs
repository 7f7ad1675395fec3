//! One catalogue of several sources: a folder, and feeds that are fetched.
//!
//! Pure but for the lock: whoever looks after a source brings its new content. It is taken only if the
//! whole catalogue can be used with it; otherwise the source keeps what it had, so that one bad source
//! doesn't hold up the others, and nothing bad ever replaces something good.

use std::sync::{Arc, Mutex, PoisonError};

use super::directory::in_short;
use super::live::{Live, Offer};
use super::load::{self, File, Text};

/// All sources of a catalogue in use.
#[derive(Debug)]
pub struct Sources {
    live: Arc<Live>,
    parts: Mutex<Vec<Part>>,
}

/// What a source gave last that could be used.
#[derive(Debug, Clone)]
struct Part {
    name: String,
    texts: Vec<Text>,
    /// Whether it ever gave something.
    given: bool,
}

impl Sources {
    /// Sources of these names for a catalogue, none of which has given anything yet.
    pub fn new(live: Arc<Live>, names: impl IntoIterator<Item = String>) -> Self {
        let part = |name| Part {
            name,
            texts: Vec::new(),
            given: false,
        };
        let parts: Vec<Part> = names.into_iter().map(part).collect();
        live.set_complete(parts.is_empty());
        Self {
            live,
            parts: Mutex::new(parts),
        }
    }

    /// Takes what a source gives now.
    ///
    /// # Errors
    /// Why it cannot be used.
    pub fn offer(&self, place: usize, texts: Vec<Text>) -> Result<Offer, String> {
        let mut parts = self.parts.lock().unwrap_or_else(PoisonError::into_inner);
        let mut next = parts.clone();
        let Some(part) = next.get_mut(place) else {
            return Err("there is no such source".to_owned());
        };
        part.texts = texts;
        part.given = true;
        let name = part.name.clone();
        let files: Vec<File<'_>> = next
            .iter()
            .flat_map(|part| &part.texts)
            .map(Text::file)
            .collect();
        match load::catalogue(&files) {
            Ok(catalogue) => {
                let offer = self.live.offer(&name, catalogue);
                self.live.set_complete(next.iter().all(|part| part.given));
                *parts = next;
                Ok(offer)
            }
            Err(faults) => {
                let why = in_short(&faults);
                self.live.refuse(&name, &why);
                Err(why)
            }
        }
    }

    /// Says that a source cannot be read or reached now.
    pub fn unreachable(&self, place: usize, why: &str) {
        if let Some(name) = self.name(place) {
            self.live.refuse(&name, why);
        }
    }

    /// Says that a source still gives what it gave last.
    pub fn confirm(&self, place: usize) {
        if let Some(name) = self.name(place) {
            self.live.confirm(&name);
        }
    }

    fn name(&self, place: usize) -> Option<String> {
        let parts = self.parts.lock().unwrap_or_else(PoisonError::into_inner);
        parts.get(place).map(|part| part.name.clone())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Catalogue;
    use crate::catalogue::load::Content;

    fn table(rows: &str) -> Vec<Text> {
        vec![Text {
            name: "a feed".to_owned(),
            content: Content::ModuleTable,
            bytes: format!("part,label\n{rows}").into_bytes(),
        }]
    }

    fn two() -> (Arc<Live>, Sources) {
        let live = Arc::new(Live::new(Catalogue::new(Vec::new(), Vec::new())));
        (
            Arc::clone(&live),
            Sources::new(live, ["one".to_owned(), "two".to_owned()]),
        )
    }

    const A: &str = "A,32GB 2Rx4 PC4-3200AA-RB2-12\n";
    const B: &str = "B,16GB 1Rx4 PC4-3200AA-RC2-12\n";

    #[test]
    fn the_catalogue_is_complete_once_every_source_gave_something() {
        let (live, sources) = two();
        assert!(!live.is_complete());
        sources.offer(0, table(A)).unwrap();
        assert!(!live.is_complete());
        sources.offer(1, table(B)).unwrap();
        assert!(live.is_complete());
        assert_eq!(live.get().modules().len(), 2);
    }

    #[test]
    fn a_bad_source_keeps_what_it_had_and_does_not_hold_up_the_others() {
        let (live, sources) = two();
        sources.offer(0, table(A)).unwrap();
        sources.offer(1, table(B)).unwrap();
        let why = sources.offer(1, table("C,a hat\n")).unwrap_err();
        assert!(why.contains("a feed, line 2"), "{why}");
        assert_eq!(live.history().refused[0].why, why);
        sources
            .offer(0, table("D,32GB 2Rx4 PC4-3200AA-RB2-12\n"))
            .unwrap();
        let ids: Vec<String> = live.get().modules().map(|entry| entry.id.clone()).collect();
        assert_eq!(ids, ["B", "D"]);
    }

    #[test]
    fn two_sources_may_not_have_one_id() {
        let (live, sources) = two();
        sources.offer(0, table(A)).unwrap();
        assert!(sources.offer(1, table(A)).is_err());
        assert!(!live.is_complete());
    }
}
