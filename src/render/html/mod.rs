//! Pages as HTML: one file without scripts or anything from elsewhere, light and dark, for a screen and
//! for paper (A4 and Letter). Text of callers is never markup.

mod style;
#[cfg(test)]
mod tests;

use std::fmt::Write;

use super::escape::xml;
use super::page::{Block, Branch, Chore, Entry, Grid, Page};
use super::words::Words;

/// The style rules of every page, for a header that allows them and nothing else.
pub fn styles() -> [&'static str; 2] {
    [style::rules(), super::svg::rules()]
}

/// A page as an HTML document.
pub fn html(page: &Page, words: &Words) -> String {
    let mut out = String::with_capacity(48 * 1024);
    let title = xml(&page.title);
    let _ = write!(
        out,
        "<!DOCTYPE html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\">\n\
<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
<meta name=\"color-scheme\" content=\"light dark\">\n<title>{}</title>\n<style>{}</style>\n</head>\n\
<body>\n<main>\n<h1>{title}</h1>\n",
        words.tag,
        xml(&shortened(&page.title)),
        style::rules()
    );
    for line in &page.lead {
        let _ = writeln!(out, "<p class=\"lead\">{}</p>", xml(line));
    }
    for block in &page.blocks {
        self::block(&mut out, block, words);
    }
    out.push_str("</main>\n</body>\n</html>\n");
    out
}

/// The most letters of a title in a window's frame or a list of bookmarks.
const LONGEST_TITLE: usize = 70;

/// As many whole words as fit; the heading has them all.
fn shortened(title: &str) -> String {
    if title.chars().count() <= LONGEST_TITLE {
        return title.to_owned();
    }
    let cut: String = title.chars().take(LONGEST_TITLE - 1).collect();
    let words = cut.rfind(' ').and_then(|end| cut.get(..end));
    format!("{}…", words.unwrap_or(&cut))
}

fn block(out: &mut String, block: &Block, words: &Words) {
    match block {
        Block::Heading(text) => {
            let _ = writeln!(out, "<h2>{}</h2>", xml(text));
        }
        Block::Findings(entries) => {
            out.push_str("<ul class=\"findings\">\n");
            entries.iter().for_each(|own| entry(out, own));
            out.push_str("</ul>\n");
        }
        Block::Lines(lines) => list(out, "lines", lines),
        Block::Items(items) => list(out, "items", items),
        Block::Facts(rows) => facts(out, rows),
        Block::Tree(branches) => tree(out, branches),
        Block::Table(grid) => table(out, grid, words),
        Block::Steps(steps) => chores(out, steps, words),
        Block::Drawing(svg) => {
            let _ = writeln!(out, "<figure>\n{}</figure>", svg);
        }
    }
}

fn entry(out: &mut String, entry: &Entry) {
    let _ = writeln!(
        out,
        "<li class=\"{}\"><p><strong class=\"mark\">{}</strong> {}</p>",
        entry.grade,
        xml(&entry.mark),
        xml(&entry.sentence)
    );
    let fixes: Vec<String> = entry.fixes.iter().chain(&entry.more).cloned().collect();
    if !fixes.is_empty() {
        list(out, "fixes", &fixes);
    }
    let _ = writeln!(out, "<p class=\"source\">{}</p></li>", xml(&entry.source));
}

fn list(out: &mut String, class: &str, items: &[String]) {
    let _ = writeln!(out, "<ul class=\"{class}\">");
    for item in items {
        let _ = writeln!(out, "<li>{}</li>", xml(item));
    }
    out.push_str("</ul>\n");
}

fn facts(out: &mut String, rows: &[(String, String)]) {
    out.push_str("<dl>\n");
    for (name, value) in rows {
        let _ = writeln!(out, "<dt>{}</dt><dd>{}</dd>", xml(name), xml(value));
    }
    out.push_str("</dl>\n");
}

/// The deepest that lists are nested: what stands deeper stays there.
const DEEPEST: usize = 8;

/// Nested lists by depth, without recursion.
fn tree(out: &mut String, branches: &[Branch]) {
    let mut open = 0;
    for (index, branch) in branches.iter().enumerate() {
        // One level deeper at most, since each list must stand in an item.
        let depth = match index {
            0 => 0,
            _ => branch.depth.min(open).min(DEEPEST),
        };
        while open > depth + 1 {
            out.push_str("</li></ul>");
            open -= 1;
        }
        if open == depth + 1 {
            out.push_str("</li>\n<li>");
        } else {
            let class = if depth == 0 { " class=\"tree\"" } else { "" };
            let _ = write!(out, "\n<ul{class}>\n<li>");
            open += 1;
        }
        out.push_str(&xml(&branch.text));
    }
    for _ in 0..open {
        out.push_str("</li></ul>");
    }
    out.push('\n');
}

fn table(out: &mut String, grid: &Grid, words: &Words) {
    let _ = writeln!(
        out,
        "<section class=\"wide\" tabindex=\"0\" aria-label=\"{0}\"><table><caption>{0}</caption>\n<thead><tr>",
        xml(&grid.title)
    );
    for head in &grid.heads {
        let _ = write!(out, "<th scope=\"col\">{}</th>", xml(head));
    }
    out.push_str("</tr></thead>\n<tbody>\n");
    for (marked, cells) in &grid.rows {
        row(out, *marked, cells, words);
    }
    out.push_str("</tbody></table></section>\n");
}

fn row(out: &mut String, marked: bool, cells: &[String], words: &Words) {
    out.push_str(if marked {
        "<tr class=\"marked\">"
    } else {
        "<tr>"
    });
    for (index, cell) in cells.iter().enumerate() {
        let mark = match marked && index == 0 {
            // Seen as an arrow, heard as a word.
            true => format!(
                "<span aria-hidden=\"true\">▶ </span><span class=\"heard\">{}: </span>",
                xml(&words.plain("table-marked"))
            ),
            false => String::new(),
        };
        let _ = write!(out, "<td>{mark}{}</td>", xml(cell));
    }
    out.push_str("</tr>\n");
}

fn chores(out: &mut String, steps: &[Chore], words: &Words) {
    let first = steps.first().map_or(1, |step| step.number);
    let _ = writeln!(out, "<ol class=\"steps\" start=\"{first}\">");
    for step in steps {
        let class = if step.caution {
            " class=\"caution\""
        } else {
            ""
        };
        let mark = if step.caution {
            // Seen as a sign, heard as a word.
            format!(
                "<span aria-hidden=\"true\">⚠ </span><span class=\"heard\">{}: </span>",
                xml(&words.plain("step-caution"))
            )
        } else {
            String::new()
        };
        let number = step.number;
        let _ = writeln!(
            out,
            "<li{class}><input type=\"checkbox\" id=\"step-{number}\" aria-describedby=\"check-{number}\"> \
<label for=\"step-{number}\">{number}. {mark}{}</label><p class=\"check\" id=\"check-{number}\">{}</p></li>",
            xml(&step.text),
            xml(&step.check)
        );
    }
    out.push_str("</ol>\n");
}
