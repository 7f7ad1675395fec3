//! The lines of a bulk answer.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::answer::AnswerBody;
use crate::api::problem::ProblemBody;

/// One line of a bulk answer: the answer to a line, what is wrong with a line, or the last line.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BulkLine)]
#[serde(untagged)]
#[expect(
    clippy::large_enum_variant,
    reason = "one at a time is made and written"
)]
pub enum LineBody<'a> {
    /// The answer to a line.
    #[schema(title = "BulkAnswer")]
    Answer {
        /// The number of the line, from 1, empty lines counted.
        #[schema(example = 1)]
        line: u64,
        /// As `/v1/validate` answers the same request.
        answer: AnswerBody<'a>,
    },
    /// A line that cannot be used.
    #[schema(title = "BulkProblem")]
    Problem {
        /// The number of the line, from 1, empty lines counted.
        #[schema(example = 2)]
        line: u64,
        /// As `/v1/validate` answers the same request.
        problem: ProblemBody,
    },
    /// The last line. An answer without it was cut.
    #[schema(title = "BulkEnd")]
    End(EndBody),
}

/// The last line of a bulk answer.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BulkEndLine)]
pub struct EndBody {
    /// What came out.
    pub summary: SummaryBody,
    /// The catalogue that every line was decided by.
    pub catalogue_revision: String,
    /// The number of the line after the last answered one: where to go on.
    #[schema(example = 1_000_001)]
    pub next_line: u64,
    /// True if every line was answered.
    pub complete: bool,
    /// Why the stream ended early.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub problem: Option<ProblemBody>,
}

/// What came out of a stream.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[schema(as = BulkSummary)]
pub struct SummaryBody {
    /// Lines that were not empty.
    #[schema(example = 1_000_000)]
    pub lines: u64,
    /// Lines with an answer.
    #[schema(example = 999_998)]
    pub answered: u64,
    /// Lines that could not be used.
    #[schema(example = 2)]
    pub problems: u64,
    /// Answers that allow.
    #[schema(example = 990_000)]
    pub allowed: u64,
    /// Answers by verdict.
    pub verdicts: VerdictCounts,
}

/// Answers by verdict.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct VerdictCounts {
    /// It works.
    #[schema(example = 800_000)]
    pub fits: u64,
    /// It works, but worse than the buyer expects.
    #[schema(example = 190_000)]
    pub fits_with_warnings: u64,
    /// It can't be told.
    #[schema(example = 4_998)]
    pub undecided: u64,
    /// It does not work.
    #[schema(example = 5_000)]
    pub does_not_fit: u64,
}
