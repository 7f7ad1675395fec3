//! How far a long run is, on the terminal.

use std::io::{IsTerminal, Write, stderr};
use std::sync::Mutex;
use std::sync::PoisonError;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use crate::api::bulk::tally::Tally;

/// Between two drawings.
const PAUSE: Duration = Duration::from_millis(200);

/// The width of the bar, in letters.
const WIDTH: usize = 30;

/// A line that is drawn again and again, if standard error is a terminal.
pub struct Progress {
    size: Option<u64>,
    read: AtomicU64,
    begun: Instant,
    drawn: Mutex<Option<Instant>>,
    shown: bool,
}

impl Progress {
    /// Nothing done yet of so many bytes.
    pub fn new(size: Option<u64>) -> Self {
        Self {
            size,
            read: AtomicU64::new(0),
            begun: Instant::now(),
            drawn: Mutex::new(None),
            shown: stderr().is_terminal(),
        }
    }

    /// Bytes were read.
    pub fn read(&self, bytes: u64) {
        self.read.fetch_add(bytes, Ordering::Relaxed);
    }

    /// So much is answered.
    pub fn answered(&self, tally: &Tally) {
        if !self.shown {
            return;
        }
        let mut drawn = self.drawn.lock().unwrap_or_else(PoisonError::into_inner);
        if drawn.is_some_and(|drawn| drawn.elapsed() < PAUSE) {
            return;
        }
        *drawn = Some(Instant::now());
        let read = self.read.load(Ordering::Relaxed);
        let line = line(tally.body().lines, self.begun.elapsed(), read, self.size);
        // Nothing hangs on it.
        let _ = write!(stderr(), "\r{line}\x1b[K");
    }

    /// Wipes the line.
    pub fn done(&self) {
        if self.shown {
            let _ = write!(stderr(), "\r\x1b[K");
        }
    }
}

fn line(lines: u64, took: Duration, read: u64, size: Option<u64>) -> String {
    let rate = (lines as f64 / took.as_secs_f64().max(0.001)).round();
    let told = format!("{lines} lines, {rate} a second");
    let Some(size) = size.filter(|size| *size > 0) else {
        return told;
    };
    let part = (read as f64 / size as f64).min(1.0);
    let full = (part * WIDTH as f64) as usize;
    let bar = format!("{}{}", "#".repeat(full), ".".repeat(WIDTH - full));
    format!("{bar} {:3} %  {told}", (part * 100.0) as u64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tells_how_far_it_is_where_that_is_known() {
        let second = Duration::from_secs(2);
        assert_eq!(line(10, second, 5, None), "10 lines, 5 a second");
        let half = format!(
            "{}{}  50 %  10 lines, 5 a second",
            "#".repeat(15),
            ".".repeat(15)
        );
        assert_eq!(line(10, second, 50, Some(100)), half);
        assert!(line(10, second, 200, Some(100)).starts_with(&"#".repeat(30)));
    }
}
