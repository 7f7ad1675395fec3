//! Pages as plain text, for a terminal or a ticket.

use std::fmt::Write;

use super::page::{Block, Chore, Entry, Grid, Page, answer};
use super::words::{Context, Words};

/// A page as text.
pub fn plain(page: &Page) -> String {
    let mut out = String::with_capacity(2048);
    if !page.title.is_empty() {
        let _ = writeln!(out, "{}\n", page.title);
    }
    for line in &page.lead {
        let _ = writeln!(out, "{line}");
    }
    for block in &page.blocks {
        self::block(&mut out, block);
    }
    out
}

/// The cautions alone, for pages of another kind.
pub(super) fn cautions(out: &mut String, words: &Words, context: Context<'_>) {
    for own in answer::cautions(words, context) {
        block(out, &own);
    }
}

fn block(out: &mut String, block: &Block) {
    match block {
        Block::Heading(text) => {
            let _ = writeln!(out, "\n{text}");
        }
        Block::Findings(entries) => {
            let marks = entries.iter().map(|entry| entry.mark.chars().count());
            let width = marks.max().unwrap_or(0).max(9);
            entries.iter().for_each(|own| entry(out, own, width));
        }
        Block::Lines(lines) => lines.iter().for_each(|line| {
            let _ = writeln!(out, "  {}", wrapped(line, 4));
        }),
        Block::Items(items) => items.iter().for_each(|item| {
            let _ = writeln!(out, "  - {}", wrapped(item, 4));
        }),
        Block::Facts(rows) => facts(out, rows),
        Block::Tree(branches) => branches
            .iter()
            .for_each(|own| branch(out, own.depth, &own.text)),
        Block::Table(grid) => table(out, grid),
        Block::Steps(steps) => steps.iter().for_each(|step| chore(out, step)),
        Block::Drawing(_) => {}
    }
}

fn entry(out: &mut String, entry: &Entry, width: usize) {
    let indent = width + 3;
    let mut line = |mark: &str, text: &str, indent: usize| {
        let _ = writeln!(out, "  {mark:<width$} {}", wrapped(text, indent));
    };
    line(&entry.mark, &entry.sentence, indent);
    line("", &entry.source, indent);
    for fix in entry.fixes.iter().chain(&entry.more) {
        let _ = writeln!(out, "  {:width$} -> {}", "", wrapped(fix, indent + 3));
    }
}

fn facts(out: &mut String, rows: &[(String, String)]) {
    let names = rows.iter().map(|(name, _)| name.chars().count());
    let width = names.max().unwrap_or(0) + 2;
    for (name, value) in rows {
        let _ = writeln!(out, "  {name:<width$}{}", wrapped(value, width + 2));
    }
}

/// The deepest indent: what stands deeper is not pushed further to the right.
const DEEPEST: usize = 8;

fn branch(out: &mut String, depth: usize, text: &str) {
    let indent = 2 * depth.min(DEEPEST);
    if depth == 0 {
        let _ = writeln!(out, "{}", wrapped(text, 0));
    } else {
        let _ = writeln!(out, "{:indent$}- {}", "", wrapped(text, indent + 2));
    }
}

/// A table with its columns aligned.
fn table(out: &mut String, grid: &Grid) {
    let width = |column: usize| {
        let all = std::iter::once(&grid.heads).chain(grid.rows.iter().map(|(_, row)| row));
        all.filter_map(|row| row.get(column))
            .map(|text| text.chars().count())
            .max()
            .unwrap_or(0)
    };
    let widths: Vec<usize> = (0..grid.heads.len()).map(width).collect();
    let _ = writeln!(out, "\n{}", grid.title);
    row(out, ' ', &grid.heads, &widths);
    for (marked, cells) in &grid.rows {
        row(out, if *marked { '>' } else { ' ' }, cells, &widths);
    }
}

fn row(out: &mut String, mark: char, texts: &[String], widths: &[usize]) {
    let mut line = format!("{mark} ");
    for (text, width) in texts.iter().zip(widths) {
        let pad = width.saturating_sub(text.chars().count());
        let _ = write!(line, "{text}{:pad$}  ", "");
    }
    let _ = writeln!(out, "{}", line.trim_end());
}

fn chore(out: &mut String, step: &Chore) {
    let mark = if step.caution { '!' } else { ' ' };
    let _ = writeln!(
        out,
        "{mark} [ ] {:>2}  {}",
        step.number,
        wrapped(&step.text, 10)
    );
    let _ = writeln!(out, "{:10}{}", "", wrapped(&step.check, 10));
}

/// Breaks a sentence into lines of about 96 characters with a hanging indent.
pub(super) fn wrapped(text: &str, indent: usize) -> String {
    const WIDTH: usize = 96;
    let mut out = String::with_capacity(text.len() + 32);
    let mut column = indent;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if column > indent && column + length > WIDTH {
            let _ = write!(out, "\n{:indent$}", "");
            column = indent;
        } else if !out.is_empty() {
            out.push(' ');
        }
        out.push_str(word);
        column += length + 1;
    }
    out
}
