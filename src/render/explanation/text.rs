//! An explanation as plain text for a terminal or a ticket.

use crate::domain::explain::{Explanation, Phase, Table, Visit};
use crate::render::words::{Context, Words};
use fluent_bundle::FluentArgs;
use std::fmt::Write;

use super::super::text::wrapped;
use super::{cell, heading, sentence, source, step, title};

/// The deepest indent: what stands deeper is not pushed further to the right.
const DEEPEST: usize = 8;

/// The whole explanation, for reading.
pub fn page(explanation: &Explanation, words: &Words, context: Context<'_>) -> String {
    let mut page = String::with_capacity(2048);
    for visit in explanation.walk() {
        node(&mut page, explanation, visit, words, context);
    }
    worksheet(&mut page, explanation, words, context);
    for table in &explanation.tables {
        self::table(&mut page, table, words, context);
    }
    if explanation.truncated {
        let _ = writeln!(page, "\n{}", words.say("explain-cut", &FluentArgs::new()));
    }
    page
}

fn node(
    page: &mut String,
    explanation: &Explanation,
    visit: Visit,
    words: &Words,
    context: Context<'_>,
) {
    let Some(node) = explanation.node(visit.node) else {
        return;
    };
    let indent = 2 * visit.depth.min(DEEPEST);
    let mut text = sentence(node, words, context);
    if let Some(source) = source(node, context.board).filter(|_| !visit.again) {
        let mut args = FluentArgs::new();
        args.set("sentence", text);
        args.set("source", source);
        text = words.say("explain-source", &args);
    }
    if visit.again && !node.because.is_empty() {
        let mut args = FluentArgs::new();
        args.set("sentence", text);
        text = words.say("explain-again", &args);
    }
    if visit.depth == 0 {
        let _ = writeln!(page, "{}", wrapped(&text, 0));
    } else {
        let _ = writeln!(page, "{:indent$}- {}", "", wrapped(&text, indent + 2));
    }
}

/// A table with its columns aligned.
fn table(page: &mut String, table: &Table, words: &Words, context: Context<'_>) {
    let heads: Vec<String> = table.columns.iter().map(|id| heading(id, words)).collect();
    let rows: Vec<Vec<String>> = table
        .rows
        .iter()
        .map(|row| {
            row.cells
                .iter()
                .map(|own| cell(own, words, context))
                .collect()
        })
        .collect();
    let width = |column: usize| {
        let all = std::iter::once(&heads).chain(&rows);
        all.filter_map(|row| row.get(column))
            .map(|text| text.chars().count())
            .max()
            .unwrap_or(0)
    };
    let widths: Vec<usize> = (0..heads.len()).map(width).collect();
    let _ = writeln!(page, "\n{}", title(table, words, context));
    line(page, ' ', &heads, &widths);
    for (row, texts) in table.rows.iter().zip(&rows) {
        line(page, if row.marked { '>' } else { ' ' }, texts, &widths);
    }
}

fn line(page: &mut String, mark: char, texts: &[String], widths: &[usize]) {
    let mut out = format!("{mark} ");
    for (text, width) in texts.iter().zip(widths) {
        let pad = width.saturating_sub(text.chars().count());
        let _ = write!(out, "{text}{:pad$}  ", "");
    }
    let _ = writeln!(page, "{}", out.trim_end());
}

fn worksheet(page: &mut String, explanation: &Explanation, words: &Words, context: Context<'_>) {
    let Some(worksheet) = &explanation.worksheet else {
        return;
    };
    let mut number = 0;
    for phase in Phase::ALL {
        let mut steps = worksheet.of(phase).peekable();
        if steps.peek().is_none() {
            continue;
        }
        let heading = words.say(&format!("phase-{}", phase.name()), &FluentArgs::new());
        let _ = writeln!(page, "\n{heading}");
        for own in steps {
            number += 1;
            let said = step(own, words, context);
            let mut args = FluentArgs::new();
            args.set("check", said.check.clone());
            let done = words.say("step-done", &args);
            let mark = if own.caution { '!' } else { ' ' };
            let _ = writeln!(page, "{mark} [ ] {number:>2}  {}", wrapped(&said.text, 10));
            let _ = writeln!(page, "{:10}{}", "", wrapped(&done, 10));
        }
    }
}
