//! The page of an explanation: its tree, the board, the work, tables.

use crate::domain::explain::{Explanation, Phase, Says, Table, Visit, Worksheet};
use crate::domain::finding::Finding;
use fluent_bundle::FluentArgs;

use super::super::explanation::{cell, heading, sentence, source, step, title};
use super::super::svg;
use super::super::words::{Context, Words};
use super::{Block, Branch, Chore, Grid, Page, answer};

/// The whole explanation, for reading.
pub fn page(explanation: &Explanation, words: &Words, context: Context<'_>) -> Page {
    let mut page = Page {
        title: heading_of(explanation, words, context),
        ..Page::default()
    };
    let tree = explanation.walk().into_iter();
    let tree: Vec<Branch> = tree
        .filter_map(|visit| branch(explanation, visit, words, context))
        .collect();
    page.blocks.push(Block::Tree(tree));
    if let Some(drawing) = drawing(explanation, words, context) {
        page.blocks.push(Block::Drawing(drawing));
    }
    if let Some(worksheet) = &explanation.worksheet {
        steps(&mut page, worksheet, words, context);
    }
    let tables = explanation.tables.iter();
    page.blocks
        .extend(tables.map(|table| Block::Table(grid(table, words, context))));
    if explanation.truncated {
        page.blocks
            .push(Block::Lines(vec![words.plain("explain-cut")]));
    }
    page
}

/// What is explained, and of which request.
fn heading_of(explanation: &Explanation, words: &Words, context: Context<'_>) -> String {
    let about = words.plain(&format!("about-{}", explanation.about.name()));
    let mut args = FluentArgs::new();
    args.set("about", about);
    args.set("subject", answer::subject(words, context));
    words.say("explain-title", &args)
}

/// The board as the explanation speaks of it; nothing where it speaks of no one population.
pub fn drawing(explanation: &Explanation, words: &Words, context: Context<'_>) -> Option<String> {
    let population = explanation.population.as_ref()?;
    let findings: Vec<&Finding> = explanation
        .nodes
        .iter()
        .filter_map(|node| match &node.says {
            Says::Finding(finding) => Some(finding.as_ref()),
            _ => None,
        })
        .collect();
    let subject = svg::Subject {
        context,
        population,
        findings: &findings,
    };
    Some(svg::element(subject, words))
}

fn branch(
    explanation: &Explanation,
    visit: Visit,
    words: &Words,
    context: Context<'_>,
) -> Option<Branch> {
    let node = explanation.node(visit.node)?;
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
    Some(Branch {
        depth: visit.depth,
        text,
    })
}

fn grid(table: &Table, words: &Words, context: Context<'_>) -> Grid {
    let cells = |row: &crate::domain::explain::Row| {
        let cells = row.cells.iter().map(|own| cell(own, words, context));
        (row.marked, cells.collect())
    };
    Grid {
        title: title(table, words, context),
        heads: table.columns.iter().map(|id| heading(id, words)).collect(),
        rows: table.rows.iter().map(cells).collect(),
    }
}

fn steps(page: &mut Page, worksheet: &Worksheet, words: &Words, context: Context<'_>) {
    let legend = words.plain("worksheet-marks");
    page.blocks.push(Block::Lines(vec![legend]));
    let mut number = 0;
    for phase in Phase::ALL {
        let chores: Vec<Chore> = worksheet
            .of(phase)
            .map(|own| {
                number += 1;
                let said = step(own, words, context);
                let mut args = FluentArgs::new();
                args.set("check", said.check);
                Chore {
                    number,
                    text: said.text,
                    check: words.say("step-done", &args),
                    caution: own.caution,
                }
            })
            .collect();
        if !chores.is_empty() {
            let id = format!("phase-{}", phase.name());
            page.blocks.push(Block::Heading(words.plain(&id)));
            page.blocks.push(Block::Steps(chores));
        }
    }
}
