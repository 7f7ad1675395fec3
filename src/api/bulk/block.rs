//! Answers one block of lines.

use super::lines::Block;
use super::tally::Tally;
use crate::api::decide::decide_until;
use crate::api::extract::read_known;
use crate::api::metrics::Metrics;
use crate::api::problem::{Code, Problem};
use crate::api::wire::answer::AnswerBody;
use crate::api::wire::request::ValidateRequest;
use crate::catalogue::Catalogue;
use crate::domain::stop::Stop;
use crate::render::words::Words;
use crate::wirecheck::{Fault, FaultCode, Faults};

/// The answers to a block.
#[derive(Debug, Default)]
pub struct Answered {
    /// Lines of JSON, each with its end.
    pub text: Vec<u8>,
    /// What came out.
    pub tally: Tally,
    /// The number of the last line that was answered.
    pub last: Option<u64>,
}

/// What the lines of a stream have in common.
#[derive(Clone, Copy)]
pub struct Terms<'a> {
    /// The one catalogue of the stream.
    pub catalogue: &'a Catalogue,
    /// The language of the stream.
    pub words: &'a Words,
    /// The most bytes of a line.
    pub longest: usize,
    /// Where decisions are counted, if anywhere.
    pub metrics: Option<&'a Metrics>,
}

impl Terms<'_> {
    /// Answers every line of a block, or those before a stop was asked for.
    pub fn answer(&self, block: &Block, stop: &Stop) -> Answered {
        let mut answered = Answered::default();
        for (number, line) in block.lines() {
            let before = answered.text.len();
            begin(&mut answered.text, number);
            let result = match line {
                Some(line) => self.decide(line, stop, &mut answered),
                None => Err(longer_than(self.longest)),
            };
            if stop.is_asked() {
                answered.text.truncate(before);
                break;
            }
            if let Err(problem) = &result {
                put_problem(&mut answered, problem);
            }
            answered.text.extend_from_slice(b"}\n");
            answered.last = Some(number);
        }
        if let Some(metrics) = self.metrics {
            metrics.block(&answered.tally);
        }
        answered
    }

    /// Puts the bytes that a request of its own would have got.
    fn decide(&self, line: &[u8], stop: &Stop, answered: &mut Answered) -> Result<(), Problem> {
        let request: ValidateRequest = read_known(line, self.catalogue)?;
        alone(&request)?;
        let decided = decide_until(&request, self.catalogue, stop);
        let decided = decided.map_err(Problem::invalid_body)?;
        put_answer(&mut answered.text, &decided.body(self.words))?;
        let tally = &mut answered.tally;
        tally.decided(decided.answer().verdict, decided.allowed());
        if let Some(metrics) = self.metrics {
            metrics.decided(decided.answer());
        }
        Ok(())
    }
}

/// Refuses what goes with a request of its own only.
fn alone(request: &ValidateRequest) -> Result<(), Problem> {
    let mut faults = Faults::default();
    let wished = [
        ("/receipt", request.receipt == Some(true)),
        ("/deliver_to", request.deliver_to.is_some()),
    ];
    for (pointer, _) in wished.iter().filter(|(_, wished)| *wished) {
        let message = "a line of a stream cannot ask for this: send the request alone";
        faults.push(Fault::new(*pointer, FaultCode::Unusable, message));
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Problem::invalid_body(faults))
    }
}

/// Puts the answer to a line that is longer than may be.
pub fn too_long(answered: &mut Answered, limit: usize, number: u64) {
    begin(&mut answered.text, number);
    put_problem(answered, &longer_than(limit));
    answered.text.extend_from_slice(b"}\n");
}

fn longer_than(limit: usize) -> Problem {
    let detail = format!("the line is longer than {limit} bytes");
    Problem::new(Code::BodyTooLarge, detail)
}

fn begin(text: &mut Vec<u8>, number: u64) {
    text.extend_from_slice(b"{\"line\":");
    text.extend_from_slice(itoa::Buffer::new().format(number).as_bytes());
}

fn put_answer(text: &mut Vec<u8>, body: &AnswerBody<'_>) -> Result<(), Problem> {
    let before = text.len();
    text.extend_from_slice(b",\"answer\":");
    serde_json::to_writer(&mut *text, body).map_err(|_| {
        text.truncate(before);
        Problem::internal()
    })
}

fn put_problem(answered: &mut Answered, problem: &Problem) {
    answered.tally.problems += 1;
    answered.text.extend_from_slice(b",\"problem\":");
    // Strings, numbers and booleans only: this cannot fail.
    let _ = serde_json::to_writer(&mut answered.text, &problem.body());
}
