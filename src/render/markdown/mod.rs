//! Pages as Markdown that pastes into tickets: CommonMark, with the tables and task lists that ticket
//! systems add to it (RFC 7763; variant GFM of RFC 7764). Text of callers is never markup.

use std::fmt::Write;

use super::page::{Block, Branch, Chore, Entry, Grid, Page};

/// A page as Markdown.
pub fn markdown(page: &Page) -> String {
    let mut out = String::with_capacity(4096);
    if !page.title.is_empty() {
        let _ = writeln!(out, "# {}\n", text(&page.title));
    }
    for line in &page.lead {
        let _ = writeln!(out, "**{}**\n", text(line));
    }
    for block in &page.blocks {
        self::block(&mut out, block);
    }
    out.truncate(out.trim_end().len());
    out.push('\n');
    out
}

fn block(out: &mut String, block: &Block) {
    match block {
        Block::Heading(heading) => {
            let _ = writeln!(out, "## {}\n", text(heading));
        }
        Block::Findings(entries) => entries.iter().for_each(|own| entry(out, own)),
        Block::Lines(lines) | Block::Items(lines) => lines.iter().for_each(|line| {
            let _ = writeln!(out, "- {}", text(line));
        }),
        Block::Facts(rows) => rows.iter().for_each(|(name, value)| {
            let _ = writeln!(out, "- {}: {}", text(name), text(value));
        }),
        Block::Tree(branches) => tree(out, branches),
        Block::Table(grid) => table(out, grid),
        Block::Steps(steps) => steps.iter().for_each(|step| chore(out, step)),
        Block::Drawing(_) => return,
    }
    out.push('\n');
}

fn entry(out: &mut String, entry: &Entry) {
    let _ = writeln!(
        out,
        "- **{}**: {}",
        text(&entry.mark),
        text(&entry.sentence)
    );
    for fix in entry.fixes.iter().chain(&entry.more) {
        let _ = writeln!(out, "  - {}", text(fix));
    }
    let _ = writeln!(out, "  - _{}_", text(&entry.source));
}

/// The deepest that a list is nested: what stands deeper stays there.
const DEEPEST: usize = 8;

fn tree(out: &mut String, branches: &[Branch]) {
    let mut before = 0;
    for (index, branch) in branches.iter().enumerate() {
        if branch.depth == 0 {
            // A list would take a paragraph that follows it without a gap for its own.
            let gap = if index > 0 { "\n" } else { "" };
            let _ = writeln!(out, "{gap}{}\n", text(&branch.text));
        } else {
            // A list item stands at most one level deeper than the one before.
            let depth = branch.depth.min(DEEPEST).min(before + 1);
            let indent = 2 * (depth - 1);
            let _ = writeln!(out, "{:indent$}- {}", "", text(&branch.text));
            before = depth;
            continue;
        }
        before = 0;
    }
}

fn table(out: &mut String, grid: &Grid) {
    let line = |out: &mut String, cells: &mut dyn Iterator<Item = String>| {
        let cells: Vec<String> = cells.collect();
        let _ = writeln!(out, "| {} |", cells.join(" | "));
    };
    let _ = writeln!(out, "**{}**\n", text(&grid.title));
    line(out, &mut grid.heads.iter().map(|head| text(head)));
    line(out, &mut grid.heads.iter().map(|_| "---".to_owned()));
    for (marked, cells) in &grid.rows {
        let cell = |cell: &String| match (marked, cell.is_empty()) {
            (true, false) => format!("**{}**", text(cell)),
            _ => text(cell),
        };
        line(out, &mut cells.iter().map(cell));
    }
}

fn chore(out: &mut String, step: &Chore) {
    let mark = if step.caution { "⚠ " } else { "" };
    let number = step.number;
    let _ = writeln!(out, "- [ ] {mark}{number}\\. {}", text(&step.text));
    let _ = writeln!(out, "  - {}", text(&step.check));
}

/// Text that shows as it is, wherever it stands on a line.
///
/// Escaped are the characters that begin markup in CommonMark, and those by which ticket systems turn
/// text into links and mentions of their own. Line breaks become spaces.
fn text(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 16);
    for (index, c) in text.char_indices() {
        let rest = text.get(index + c.len_utf8()..).unwrap_or_default();
        let c = match c {
            c if c.is_whitespace() => ' ',
            c if c.is_control() => '\u{FFFD}',
            c => c,
        };
        if c == ' ' && out.is_empty() {
            continue;
        }
        if needs_escape(c, &out, rest) {
            out.push('\\');
        }
        out.push(c);
    }
    let kept = out.trim_end_matches(' ').len();
    out.truncate(kept);
    out
}

/// Whether a character would begin markup after what stands before it on the line.
fn needs_escape(c: char, before: &str, rest: &str) -> bool {
    match c {
        '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '&' | '|' | '~' | '#' | '@' | '$' => true,
        // Links that ticket systems make of addresses.
        ':' => rest.starts_with("//"),
        '.' if before.ends_with("www") || before.ends_with("WWW") => true,
        // Lists and underlined headings, at the begin of a line.
        '.' | ')' => !before.is_empty() && before.chars().all(|c| c.is_ascii_digit()),
        '+' | '-' | '=' => before.is_empty(),
        _ => false,
    }
}

#[cfg(test)]
mod tests;
