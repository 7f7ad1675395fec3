//! What came out of a stream, in numbers.

use crate::api::wire::bulk::{SummaryBody, VerdictCounts};
use crate::domain::finding::Verdict;

/// Counts of answers.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Tally {
    /// By verdict.
    pub verdicts: VerdictCounts,
    /// Answers that allow.
    pub allowed: u64,
    /// Lines that could not be used.
    pub problems: u64,
}

impl Tally {
    /// Counts a decision.
    pub fn decided(&mut self, verdict: Verdict, allowed: bool) {
        let counts = &mut self.verdicts;
        *match verdict {
            Verdict::Fits => &mut counts.fits,
            Verdict::FitsWithWarnings => &mut counts.fits_with_warnings,
            Verdict::Undecided => &mut counts.undecided,
            Verdict::DoesNotFit => &mut counts.does_not_fit,
        } += 1;
        self.allowed += u64::from(allowed);
    }

    /// Adds the counts of another part.
    pub fn add(&mut self, other: &Self) {
        let (own, others) = (&mut self.verdicts, &other.verdicts);
        own.fits += others.fits;
        own.fits_with_warnings += others.fits_with_warnings;
        own.undecided += others.undecided;
        own.does_not_fit += others.does_not_fit;
        self.allowed += other.allowed;
        self.problems += other.problems;
    }

    /// The counts for the last line.
    pub fn body(&self) -> SummaryBody {
        SummaryBody {
            lines: self.answered() + self.problems,
            answered: self.answered(),
            problems: self.problems,
            allowed: self.allowed,
            verdicts: self.verdicts,
        }
    }

    fn answered(&self) -> u64 {
        let counts = &self.verdicts;
        counts.fits + counts.fits_with_warnings + counts.undecided + counts.does_not_fit
    }
}

impl From<&SummaryBody> for Tally {
    fn from(body: &SummaryBody) -> Self {
        Self {
            verdicts: body.verdicts,
            allowed: body.allowed,
            problems: body.problems,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sums_of_parts_are_those_of_the_whole() {
        let mut a = Tally::default();
        a.decided(Verdict::Fits, true);
        a.decided(Verdict::DoesNotFit, false);
        let mut b = Tally {
            problems: 2,
            ..Tally::default()
        };
        b.decided(Verdict::Undecided, false);
        a.add(&b);
        let body = a.body();
        assert_eq!(
            (body.lines, body.answered, body.problems, body.allowed),
            (5, 3, 2, 1)
        );
        assert_eq!(Tally::from(&body), a);
    }
}
