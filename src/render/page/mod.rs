//! A page for reading, before it is plain text, Markdown or HTML: blocks of finished sentences.
//!
//! [`answer`] and [`explanation`] make pages; [`super::text`], [`super::markdown`] and [`super::html`]
//! write them. So each form says the same, and a new page is written in all forms at once.

pub mod answer;
pub mod explanation;

/// A page.
#[derive(Clone, Debug, Default)]
pub struct Page {
    /// What it is about.
    pub title: String,
    /// What matters most, a line each.
    pub lead: Vec<String>,
    /// The rest, in order.
    pub blocks: Vec<Block>,
}

/// A part of a page.
#[derive(Clone, Debug)]
pub enum Block {
    /// A heading.
    Heading(String),
    /// What rules found.
    Findings(Vec<Entry>),
    /// Lines that belong together: a list that is no list of warnings.
    Lines(Vec<String>),
    /// A list.
    Items(Vec<String>),
    /// Names with values.
    Facts(Vec<(String, String)>),
    /// Sentences, each with how deep it stands below what it holds up.
    Tree(Vec<Branch>),
    /// Numbers.
    Table(Grid),
    /// Work to tick off.
    Steps(Vec<Chore>),
    /// A drawing as an SVG element; forms without drawings leave it out, since the text says the same.
    Drawing(String),
}

/// Something that a rule found.
#[derive(Clone, Debug)]
pub struct Entry {
    /// How grave it is, as a code for style: a severity's name, or `unknown`.
    pub grade: &'static str,
    /// The same in words.
    pub mark: String,
    /// The sentence.
    pub sentence: String,
    /// The rule and what it rests on.
    pub source: String,
    /// What would mend it.
    pub fixes: Vec<String>,
    /// That there are more fixes, if there are.
    pub more: Option<String>,
}

/// A sentence of a tree.
#[derive(Clone, Debug)]
pub struct Branch {
    /// How deep: 0 is said first.
    pub depth: usize,
    /// The sentence.
    pub text: String,
}

/// A table of texts.
#[derive(Clone, Debug)]
pub struct Grid {
    /// Its title.
    pub title: String,
    /// Heads of the columns.
    pub heads: Vec<String>,
    /// Rows: whether it is the one that the page is about, and a cell for each column.
    pub rows: Vec<(bool, Vec<String>)>,
}

/// A step of work.
#[derive(Clone, Debug)]
pub struct Chore {
    /// Its number on the page, from 1.
    pub number: usize,
    /// What to do.
    pub text: String,
    /// What shows that it is done.
    pub check: String,
    /// Whether it keeps people or parts from harm.
    pub caution: bool,
}
