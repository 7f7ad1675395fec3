//! What a reader may take, held over a million inputs: time for each, memory for all of them.

use std::time::{Duration, Instant};

/// The longest that one input may take.
const MOST_TIME: Duration = Duration::from_millis(50);
/// The most memory, in KiB, that the process may take for all inputs beyond what it held before.
const MOST_MEMORY: u64 = 16 * 1024;

/// Holds the limits of one reader.
pub struct Watch {
    reader: &'static str,
    begun: Instant,
    inputs: u64,
    slowest: Duration,
    /// The peak of the memory held before the first input, where the system tells.
    before: Option<u64>,
}

impl Watch {
    /// Starts with what the process holds now.
    pub fn new(reader: &'static str) -> Self {
        // Sets the peak back to what is held now; only Linux knows it.
        let _ = std::fs::write("/proc/self/clear_refs", "5");
        Self {
            reader,
            begun: Instant::now(),
            inputs: 0,
            slowest: Duration::ZERO,
            before: peak(),
        }
    }

    /// Reads one input. One that takes too long is read three times more, since the machine may have been
    /// busy with something else; then the fastest counts.
    pub fn read<T>(&mut self, read: impl Fn() -> T) -> T {
        let once = || {
            let begun = Instant::now();
            let result = read();
            (result, begun.elapsed())
        };
        let (result, mut took) = once();
        if took > MOST_TIME {
            took = (0..3).map(|_| once().1).fold(took, Duration::min);
        }
        self.inputs += 1;
        self.slowest = self.slowest.max(took);
        assert!(
            took <= MOST_TIME,
            "{}: input {} took {took:?}",
            self.reader,
            self.inputs
        );
        result
    }

    /// Says what was measured; fails where it was too much memory.
    pub fn end(self) -> String {
        let grown = self
            .before
            .zip(peak())
            .map(|(before, after)| after.saturating_sub(before));
        assert!(
            grown.is_none_or(|grown| grown <= MOST_MEMORY),
            "{}: {grown:?} KiB",
            self.reader
        );
        let memory = grown.map_or_else(|| "not told".to_owned(), |kib| format!("{kib} KiB"));
        format!(
            "{}: {} inputs in {:.1} s, slowest {:.1?}, memory of all {memory}",
            self.reader,
            self.inputs,
            self.begun.elapsed().as_secs_f64(),
            self.slowest,
        )
    }
}

/// The most memory that the process has held, in KiB.
fn peak() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.split_whitespace().next()?.parse().ok()
}
