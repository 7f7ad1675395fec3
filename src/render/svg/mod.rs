//! The board as a drawing: sockets, channels and slots where the record draws them, with what each
//! slot holds, what is blocked and why.
//!
//! Nothing is told by colour alone: a module has a pattern, a letter and its build in words; an empty
//! slot says whether it takes a filler; what is blocked is crossed out and numbered, and the numbers
//! are explained below. Title and description list everything for those who do not see it. A line is
//! no wider than a phone, so wide rows are broken beside the processor.

mod fit;
mod layout;
mod legend;
mod paint;
mod scene;
mod style;
mod tell;
#[cfg(test)]
mod tests;

use crate::domain::finding::Finding;
use crate::domain::population::Population;

use super::words::{Context, Words};
use scene::Scene;

/// What is drawn.
#[derive(Clone, Copy)]
pub struct Subject<'a> {
    /// Board and request.
    pub context: Context<'a>,
    /// Which module sits where.
    pub population: &'a Population,
    /// What was found: slots of findings that are broken get a numbered mark.
    pub findings: &'a [&'a Finding],
}

/// The style rules of every drawing, for a header that allows them and nothing else.
pub fn rules() -> &'static str {
    style::rules()
}

/// A drawing as a document of its own.
pub fn document(element: &str) -> String {
    format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{element}")
}

/// A drawing as an element for a page.
pub fn element(subject: Subject<'_>, words: &Words) -> String {
    let scene = Scene::of(subject, words);
    paint::drawing(&scene)
}
