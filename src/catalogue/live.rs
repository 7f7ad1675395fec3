//! The catalogue in use, which may be replaced by a newer one while requests run.
//!
//! A reader takes one [`Arc`] and keeps it for the whole of its work, so everything in one answer comes
//! from one revision. A replacement is complete before it is seen: there is no moment in which a
//! reader finds half of it. One that cannot be used is only counted and told; the good one stays.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError, RwLock};
use std::time::SystemTime;

use super::Catalogue;

/// The catalogue in use, and how it came to be.
#[derive(Debug)]
pub struct Live {
    current: RwLock<Arc<Catalogue>>,
    history: Mutex<History>,
    complete: AtomicBool,
}

/// What happened to the catalogue so far.
#[derive(Debug, Clone)]
pub struct History {
    /// When the catalogue in use was taken.
    pub since: SystemTime,
    /// When any of its sources was last found to say the same, or something newer that could be used.
    pub confirmed: SystemTime,
    /// How often another one took its place.
    pub switches: u64,
    /// How often one was offered that cannot be used.
    pub refusals: u64,
    /// Sources whose last word could not be used, until something good comes from them.
    pub refused: Vec<Refusal>,
}

/// A catalogue that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// The source that offered it.
    pub source: String,
    /// When it was offered.
    pub at: SystemTime,
    /// What is wrong with it, in a few lines; without secrets.
    pub why: String,
}

/// What became of a catalogue that was offered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Offer {
    /// It is in use now.
    Taken,
    /// It is the one in use.
    Same,
}

impl Live {
    /// Begins with this one.
    pub fn new(catalogue: impl Into<Arc<Catalogue>>) -> Self {
        let now = SystemTime::now();
        Self {
            current: RwLock::new(catalogue.into()),
            history: Mutex::new(History {
                since: now,
                confirmed: now,
                switches: 0,
                refusals: 0,
                refused: Vec::new(),
            }),
            complete: AtomicBool::new(true),
        }
    }

    /// The one in use. Keep it for the whole of a piece of work.
    pub fn get(&self) -> Arc<Catalogue> {
        let current = self.current.read().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(&current)
    }

    /// Offers a newer one, which takes the place of the one in use unless they are the same. `source`
    /// is what it came from.
    pub fn offer(&self, source: &str, catalogue: Catalogue) -> Offer {
        let now = SystemTime::now();
        let same = self.get().revision() == catalogue.revision();
        if !same {
            let mut current = self.current.write().unwrap_or_else(PoisonError::into_inner);
            *current = Arc::new(catalogue);
        }
        let mut history = self.locked();
        history.confirmed = now;
        history.refused.retain(|refusal| refusal.source != source);
        if same {
            return Offer::Same;
        }
        history.since = now;
        history.switches += 1;
        Offer::Taken
    }

    /// Says that a source still tells what is in use.
    pub fn confirm(&self, source: &str) {
        let mut history = self.locked();
        history.confirmed = SystemTime::now();
        history.refused.retain(|refusal| refusal.source != source);
    }

    /// Says that a source offered something that cannot be used, or could not be reached.
    pub fn refuse(&self, source: &str, why: impl Into<String>) {
        let mut history = self.locked();
        history.refusals += 1;
        history.refused.retain(|refusal| refusal.source != source);
        history.refused.push(Refusal {
            source: source.to_owned(),
            at: SystemTime::now(),
            why: why.into(),
        });
    }

    /// Whether every source has given something, so that requests can be answered.
    pub fn is_complete(&self) -> bool {
        self.complete.load(Ordering::Relaxed)
    }

    /// Says whether every source has given something.
    pub fn set_complete(&self, complete: bool) {
        self.complete.store(complete, Ordering::Relaxed);
    }

    /// What happened so far.
    pub fn history(&self) -> History {
        self.locked().clone()
    }

    fn locked(&self) -> std::sync::MutexGuard<'_, History> {
        self.history.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn catalogue(stock: u32) -> Catalogue {
        let text = format!(
            r#"{{"invented": true, "modules": {{"ERW-A": {{"generation": "DDR4", "stock": {stock}}}}}}}"#
        );
        let file = super::super::load::File {
            name: "modules/a.json",
            content: super::super::load::Content::Modules,
            bytes: text.as_bytes(),
        };
        super::super::load::catalogue(&[file]).unwrap()
    }

    #[test]
    fn a_reader_keeps_what_it_took_while_another_takes_its_place() {
        let live = Live::new(catalogue(1));
        let kept = live.get();
        assert_eq!(live.offer("a", catalogue(2)), Offer::Taken);
        assert_eq!(kept.module("ERW-A").unwrap().record.stock, Some(1));
        assert_eq!(live.get().module("ERW-A").unwrap().record.stock, Some(2));
        assert_eq!(live.history().switches, 1);
    }

    #[test]
    fn the_same_content_is_no_switch() {
        let live = Live::new(catalogue(1));
        assert_eq!(live.offer("a", catalogue(1)), Offer::Same);
        assert_eq!(live.history().switches, 0);
    }

    #[test]
    fn what_cannot_be_used_is_told_until_something_good_comes() {
        let live = Live::new(catalogue(1));
        let before = live.get();
        live.refuse("a", "boards/tarn.json is no board");
        assert!(Arc::ptr_eq(&before, &live.get()));
        live.refuse("b", "no answer");
        let told = live.history().refused;
        assert_eq!(told[0].why, "boards/tarn.json is no board");
        live.confirm("a");
        let told = live.history().refused;
        assert_eq!((told.len(), told[0].source.as_str()), (1, "b"));
        assert_eq!(live.history().refusals, 2);
    }
}
