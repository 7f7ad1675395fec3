//! `kitproof check` for a file of many requests, one on each line: answers in order, on all cores, or
//! spread over a server.
//!
//! Blocks of lines go from one reader to several workers and from them to one writer, who puts them
//! into their order. A reader may only be so many blocks ahead of the writer, so memory is bounded
//! whatever the length of the file.

mod progress;
mod work;

use std::collections::BTreeMap;
use std::io::{self, Cursor, Read, Write};
use std::num::NonZeroUsize;
use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};
use std::sync::{Mutex, PoisonError};
use std::thread;

use serde::de::IgnoredAny;

use crate::api::bulk::lines::{Block, Lines};
use crate::api::bulk::tally::Tally;
use crate::api::wire::bulk::EndBody;
use crate::settings::Settings;
use progress::Progress;
pub use work::Worker;

/// The longest first line that is looked at.
const LOOK: u64 = 1 << 20;

/// What `check` was given.
pub enum Input {
    /// One request.
    One(Vec<u8>),
    /// Many, one on each line.
    Many(Box<dyn Read + Send>),
}

/// Finds out which: many if the first line is a whole value and something follows it.
///
/// # Errors
/// When it cannot be read.
pub fn look(mut input: Box<dyn Read + Send>) -> io::Result<Input> {
    let mut seen = Vec::new();
    input.by_ref().take(LOOK).read_to_end(&mut seen)?;
    let first = seen.split_inclusive(|byte| *byte == b'\n').next();
    let first = first.filter(|line| line.ends_with(b"\n"));
    let is_whole = |line: &[u8]| serde_json::from_slice::<IgnoredAny>(line).is_ok();
    if let Some(first) = first.filter(|line| is_whole(line)) {
        let rest = seen.get(first.len()..).unwrap_or_default();
        if !rest.trim_ascii().is_empty() {
            return Ok(Input::Many(Box::new(Cursor::new(seen).chain(input))));
        }
    }
    input.read_to_end(&mut seen)?;
    Ok(Input::One(seen))
}

/// What to do with many requests.
pub struct Many {
    /// The lines.
    pub input: Box<dyn Read + Send>,
    /// How many bytes they are, if that is known.
    pub size: Option<u64>,
    /// Lines before this one are not answered.
    pub from: u64,
    /// Who answers.
    pub worker: Worker,
    /// How many blocks are answered at once.
    pub at_once: NonZeroUsize,
}

/// How it ended.
pub struct Ended {
    /// What came out.
    pub tally: Tally,
    /// The line to go on from.
    pub next: u64,
    /// Why not every line is answered.
    pub failure: Option<String>,
}

type Numbered<T> = (u64, T);

impl Many {
    /// Answers everything and writes it, with a last line that tells the counts.
    ///
    /// # Errors
    /// When the lines cannot be read or the answers not be written.
    pub fn run(self, out: &mut impl Write) -> io::Result<Ended> {
        let at_once = self.at_once.get();
        let progress = Progress::new(self.size);
        let (blocks, waiting) = sync_channel::<Numbered<Block>>(at_once);
        let (answers, answered) = sync_channel(at_once);
        // One token for each block that may be between reader and writer.
        let (free, tokens) = channel();
        for _ in 0..at_once * 4 {
            let _ = free.send(());
        }
        let waiting = Mutex::new(waiting);
        let (input, from, progress) = (self.input, self.from, &progress);
        let (waiting, worker) = (&waiting, &self.worker);
        thread::scope(|scope| {
            let read = scope.spawn(move || read(input, from, &blocks, &tokens, progress));
            for _ in 0..at_once {
                let answers = answers.clone();
                scope.spawn(move || worker.serve(|| next(waiting), &answers));
            }
            drop(answers);
            let written = write(out, &answered, free, from, progress);
            // If the writer gave up, the others end too: workers have nobody to give to, and the reader
            // gets no more tokens. What it still sends is taken from it.
            drop(answered);
            while next(waiting).is_some() {}
            let last = read
                .join()
                .map_err(|_| io::Error::other("reading failed"))??;
            let mut ended = written?;
            if ended.failure.is_none() {
                ended.next = last;
            }
            progress.done();
            end(out, &ended, worker.revision())?;
            Ok(ended)
        })
    }
}

/// The next block; `None` when there are no more.
fn next(waiting: &Mutex<Receiver<Numbered<Block>>>) -> Option<Numbered<Block>> {
    let waiting = waiting.lock().unwrap_or_else(PoisonError::into_inner);
    waiting.recv().ok()
}

/// Reads all lines; gives the number after the last.
fn read(
    mut input: impl Read,
    from: u64,
    blocks: &SyncSender<Numbered<Block>>,
    tokens: &Receiver<()>,
    progress: &Progress,
) -> io::Result<u64> {
    let mut lines = Lines::new(Settings::default().body_limit, 1);
    lines.skip_before(from);
    let mut place = 0;
    let mut send = |block| {
        place += 1;
        tokens.recv().is_ok() && blocks.send((place - 1, block)).is_ok()
    };
    let mut part = vec![0; 64 * 1024];
    loop {
        let count = input.read(&mut part)?;
        if count == 0 {
            break;
        }
        progress.read(count as u64);
        lines.feed(part.get(..count).unwrap_or_default());
        while let Some(block) = lines.full() {
            if !send(block) {
                return Ok(lines.next_number());
            }
        }
    }
    lines.finish();
    while let Some(block) = lines.any() {
        if !send(block) {
            break;
        }
    }
    Ok(lines.next_number().max(from))
}

/// Puts answers into their order and writes them.
fn write(
    out: &mut impl Write,
    answered: &Receiver<Numbered<work::Done>>,
    free: Sender<()>,
    from: u64,
    progress: &Progress,
) -> io::Result<Ended> {
    let mut ended = Ended {
        tally: Tally::default(),
        next: from,
        failure: None,
    };
    let mut early = BTreeMap::new();
    let mut place = 0;
    for (number, done) in answered {
        early.insert(number, done);
        while let Some(done) = early.remove(&place) {
            match done {
                Ok(answered) => {
                    out.write_all(&answered.text)?;
                    ended.tally.add(&answered.tally);
                    ended.next = answered.last.map_or(ended.next, |last| last + 1);
                    progress.answered(&ended.tally);
                }
                Err(failure) => {
                    ended.failure = Some(failure);
                    return Ok(ended);
                }
            }
            place += 1;
            let _ = free.send(());
        }
    }
    Ok(ended)
}

fn end(out: &mut impl Write, ended: &Ended, revision: Option<String>) -> io::Result<()> {
    let body = EndBody {
        summary: ended.tally.body(),
        catalogue_revision: revision.unwrap_or_default(),
        next_line: ended.next,
        complete: ended.failure.is_none(),
        problem: None,
    };
    serde_json::to_writer(&mut *out, &body)?;
    out.write_all(b"\n")?;
    out.flush()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn is_many(text: &'static str) -> bool {
        matches!(look(Box::new(text.as_bytes())).unwrap(), Input::Many(_))
    }

    #[test]
    fn many_are_told_by_their_first_line() {
        assert!(is_many("{}\n{}\n"));
        assert!(is_many("{\"a\": 1}\r\n\n{broken"));
        for one in [
            "{}",
            "{}\n",
            "{}\n \n\n",
            "{\n\"a\": 1}\n",
            "{broken\n{}\n",
            "",
        ] {
            assert!(!is_many(one), "{one}");
        }
    }

    #[test]
    fn nothing_is_lost_by_looking() {
        let text = "{}\n{\"a\":1}\n";
        let Input::Many(mut rest) = look(Box::new(text.as_bytes())).unwrap() else {
            panic!("one");
        };
        let mut read = String::new();
        rest.read_to_string(&mut read).unwrap();
        assert_eq!(read, text);
    }
}
