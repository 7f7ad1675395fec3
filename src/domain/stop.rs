//! A way to call a computation off from outside.
//!
//! The core has no clock and knows no callers. Whoever runs a long computation keeps a [`Stop`], and
//! the searches look at it every few steps. What comes out after a stop was asked for is no answer:
//! it is thrown away, so answers never depend on time.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

/// Whether a computation should end early. All clones are one.
#[derive(Clone, Debug, Default)]
pub struct Stop(Option<Arc<Shared>>);

#[derive(Debug)]
struct Shared {
    asked: AtomicBool,
    /// Steps of search that may still be taken, all searches together.
    left: AtomicU64,
}

impl Stop {
    /// Never asked for.
    pub const fn never() -> Self {
        Self(None)
    }

    /// Asked for when somebody says so.
    pub fn on_request() -> Self {
        Self::after(u64::MAX)
    }

    /// Asked for when somebody says so, and after so many steps of search.
    pub fn after(steps: u64) -> Self {
        Self(Some(Arc::new(Shared {
            asked: AtomicBool::new(false),
            left: AtomicU64::new(steps),
        })))
    }

    /// Asks for the end.
    pub fn ask(&self) {
        if let Some(shared) = &self.0 {
            shared.asked.store(true, Ordering::Relaxed);
        }
    }

    /// Whether the end was asked for.
    pub fn is_asked(&self) -> bool {
        let asked = |shared: &Arc<Shared>| shared.asked.load(Ordering::Relaxed);
        self.0.as_ref().is_some_and(asked)
    }

    /// Counts steps of search; true if the end is asked for.
    pub fn count(&self, steps: u64) -> bool {
        let Some(shared) = &self.0 else { return false };
        let before = shared.left.load(Ordering::Relaxed);
        // One thread searches; another one may only ask. So nothing is lost between the two lines.
        shared
            .left
            .store(before.saturating_sub(steps), Ordering::Relaxed);
        if before <= steps {
            self.ask();
        }
        self.is_asked()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_clones_are_asked_at_once() {
        let stop = Stop::on_request();
        let other = stop.clone();
        assert!(!other.count(1_000_000));
        stop.ask();
        assert!(other.is_asked() && other.count(1));
    }

    #[test]
    fn a_number_of_steps_is_enough() {
        let stop = Stop::after(10);
        assert!(!stop.count(9));
        assert!(stop.count(1) && stop.is_asked());
    }

    #[test]
    fn never_is_never() {
        let stop = Stop::never();
        stop.ask();
        assert!(!stop.is_asked() && !stop.count(u64::MAX));
    }
}
