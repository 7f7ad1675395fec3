//! Cuts a stream of bytes into blocks of whole lines.
//!
//! A line ends with `\n` or `\r\n`; the last one may end with the text. Empty lines are counted and
//! not answered. A line that is too long is left out up to its end, and known by its number.

use std::collections::VecDeque;
use std::ops::Range;

/// A block is full with so many lines,
const LINES: usize = 32;
/// or so many bytes.
const BYTES: usize = 64 * 1024;

/// Some lines of a text that follow each other.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Block {
    text: Vec<u8>,
    lines: Vec<(u64, Option<Range<usize>>)>,
}

impl Block {
    /// Number and text of each line; no text where it was too long.
    pub fn lines(&self) -> impl Iterator<Item = (u64, Option<&[u8]>)> {
        self.lines.iter().map(|(number, place)| {
            let place = place.as_ref();
            (
                *number,
                place.and_then(|place| self.text.get(place.clone())),
            )
        })
    }

    /// The number of its last line.
    pub fn last(&self) -> Option<u64> {
        self.lines.last().map(|(number, _)| *number)
    }

    /// Its lines as they came, without those that were too long.
    pub fn text(&self) -> &[u8] {
        &self.text
    }

    fn is_full(&self) -> bool {
        self.lines.len() >= LINES || self.text.len() >= BYTES
    }
}

/// Takes bytes, gives blocks.
#[derive(Debug)]
pub struct Lines {
    longest: usize,
    number: u64,
    from: u64,
    open: Block,
    full: VecDeque<Block>,
    /// The line that has not ended yet.
    begun: Vec<u8>,
    too_long: bool,
}

impl Lines {
    /// Lines of at most so many bytes, the first of which has this number.
    pub fn new(longest: usize, first: u64) -> Self {
        Self {
            longest,
            number: first,
            from: first,
            open: Block::default(),
            full: VecDeque::new(),
            begun: Vec::new(),
            too_long: false,
        }
    }

    /// The number of the line that comes next.
    pub fn next_number(&self) -> u64 {
        self.number
    }

    /// Leaves out lines before this one; they are counted.
    pub fn skip_before(&mut self, from: u64) {
        self.from = from;
    }

    /// Takes bytes.
    pub fn feed(&mut self, mut bytes: &[u8]) {
        while let Some(end) = bytes.iter().position(|byte| *byte == b'\n') {
            let (line, rest) = bytes.split_at(end);
            self.begin(line);
            self.end_line();
            bytes = rest.get(1..).unwrap_or_default();
        }
        self.begin(bytes);
    }

    /// Ends the text: what has begun is a line.
    pub fn finish(&mut self) {
        if self.too_long || !self.begun.is_empty() {
            self.end_line();
        }
    }

    /// A full block.
    pub fn full(&mut self) -> Option<Block> {
        self.full.pop_front()
    }

    /// The next block, full or not.
    pub fn any(&mut self) -> Option<Block> {
        self.full().or_else(|| self.take_open())
    }

    fn begin(&mut self, part: &[u8]) {
        // A carriage return at the limit belongs to the end of the line.
        if self.too_long || self.begun.len() + part.len() > self.longest + 1 {
            self.too_long = true;
            self.begun.clear();
        } else {
            self.begun.extend_from_slice(part);
        }
    }

    fn end_line(&mut self) {
        let number = self.number;
        self.number += 1;
        let line = self.begun.strip_suffix(b"\r").unwrap_or(&self.begun);
        let too_long = std::mem::take(&mut self.too_long) || line.len() > self.longest;
        if number < self.from {
            // It was answered before.
        } else if too_long {
            self.open.lines.push((number, None));
        } else if !line.trim_ascii().is_empty() {
            let start = self.open.text.len();
            self.open.text.extend_from_slice(line);
            let place = start..self.open.text.len();
            self.open.text.push(b'\n');
            self.open.lines.push((number, Some(place)));
        }
        self.begun.clear();
        if self.open.is_full() {
            let block = self.take_open();
            self.full.extend(block);
        }
    }

    fn take_open(&mut self) -> Option<Block> {
        (!self.open.lines.is_empty()).then(|| std::mem::take(&mut self.open))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    type Read = Vec<(u64, Option<String>)>;

    /// Feeds a text in parts of this size.
    fn read(text: &[u8], longest: usize, part: usize) -> Read {
        let mut lines = Lines::new(longest, 1);
        let mut read = Vec::new();
        let mut take = |lines: &mut Lines, all: bool| {
            while let Some(block) = if all { lines.any() } else { lines.full() } {
                let text = |line: &[u8]| String::from_utf8(line.to_vec()).unwrap();
                read.extend(block.lines().map(|(n, line)| (n, line.map(text))));
            }
        };
        for part in text.chunks(part) {
            lines.feed(part);
            take(&mut lines, false);
        }
        lines.finish();
        take(&mut lines, true);
        read
    }

    fn some(lines: &[(u64, &str)]) -> Read {
        let owned = |(number, text): &(u64, &str)| (*number, Some((*text).to_owned()));
        lines.iter().map(owned).collect()
    }

    #[test]
    fn the_parts_in_which_a_text_comes_do_not_matter() {
        let text = b"{\"a\":1}\n\n  \r\nb\r\nlast";
        for part in 1..=text.len() {
            let expected = some(&[(1, "{\"a\":1}"), (4, "b"), (5, "last")]);
            assert_eq!(read(text, 100, part), expected, "{part}");
        }
    }

    #[test]
    fn a_line_that_is_too_long_is_left_out_and_known_by_its_number() {
        let text = b"abcd\nabcde\nabcd\r\nabcdefghijkl\nx";
        for part in 1..=text.len() {
            let read = read(text, 4, part);
            let known: Vec<(u64, Option<&str>)> =
                read.iter().map(|(n, line)| (*n, line.as_deref())).collect();
            assert_eq!(
                known,
                [
                    (1, Some("abcd")),
                    (2, None),
                    (3, Some("abcd")),
                    (4, None),
                    (5, Some("x"))
                ],
                "{part}"
            );
        }
    }

    #[test]
    fn a_line_without_end_takes_no_more_memory_than_the_longest() {
        let mut lines = Lines::new(10, 1);
        for _ in 0..1000 {
            lines.feed(&[b'x'; 1000]);
            assert!(lines.begun.len() <= 11);
        }
        lines.finish();
        assert_eq!(lines.any().unwrap().lines().next(), Some((1, None)));
    }

    #[test]
    fn a_block_is_full_with_its_lines_or_its_bytes() {
        let mut lines = Lines::new(1 << 20, 1);
        lines.feed(&b"x\n".repeat(LINES + 1));
        assert_eq!(lines.full().unwrap().last(), Some(LINES as u64));
        assert!(lines.full().is_none());
        lines.feed(&[&[b'y'; BYTES], &b"\n"[..]].concat());
        let block = lines.full().unwrap();
        assert_eq!(block.lines().count(), 2);
        assert!(block.text().starts_with(b"x\nyyy"));
    }

    #[test]
    fn an_empty_text_has_no_lines() {
        assert!(read(b"", 10, 1).is_empty());
        assert!(read(b"\n\r\n \n", 10, 1).is_empty());
    }
}
