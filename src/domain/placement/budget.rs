//! How many steps a search may take, and when it must end.

use super::super::rules::RuleSet;
use super::super::stop::Stop;

/// Steps between two looks at whether the search should end.
const BETWEEN_LOOKS: u64 = 64;

/// How many steps a search may take, and what it met on the way.
#[derive(Clone, Debug)]
pub struct Budget {
    left: u64,
    stop: Stop,
    /// The rules that stood in the way.
    pub(super) blamed: RuleSet,
}

impl Budget {
    /// A search of at most so many steps.
    pub fn of(steps: u64) -> Self {
        Self {
            left: steps,
            stop: Stop::never(),
            blamed: RuleSet::none(),
        }
    }

    /// The same, used up at once when somebody asks for the end.
    #[must_use]
    pub fn until(mut self, stop: &Stop) -> Self {
        self.stop = stop.clone();
        self
    }

    /// Takes a step; false once the budget is used up.
    pub(super) fn spend(&mut self) -> bool {
        self.left = self.left.saturating_sub(1);
        if self.left.is_multiple_of(BETWEEN_LOOKS) {
            self.look(BETWEEN_LOOKS);
        }
        self.left > 0
    }

    /// Takes many steps at once.
    pub(super) fn spend_many(&mut self, steps: u64) -> bool {
        self.left = self.left.saturating_sub(steps);
        self.look(steps);
        self.left > 0
    }

    fn look(&mut self, steps: u64) {
        if self.stop.count(steps) {
            self.left = 0;
        }
    }

    /// Runs a search on a part of the budget and takes back what it left.
    pub fn within<T>(&mut self, steps: u64, search: impl FnOnce(&mut Self) -> T) -> T {
        let granted = steps.min(self.left);
        let mut part = Self::of(granted).until(&self.stop);
        let found = search(&mut part);
        self.left -= granted - part.left;
        found
    }

    /// The steps that are left.
    pub fn left(&self) -> u64 {
        self.left
    }

    pub(super) fn is_spent(&self) -> bool {
        self.left == 0
    }
}

impl Default for Budget {
    /// For all searches of one answer together: enough for every kit of three kinds of module on two
    /// sockets, and at most about a second.
    fn default() -> Self {
        Self::of(3_000_000)
    }
}
