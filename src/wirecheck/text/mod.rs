//! JSON text (RFC 8259, strict) to a [`Tree`], without recursion and within limits.
//!
//! Stricter than most readers: UTF-8 only, no byte order mark, no lone surrogates, no name twice in
//! one object at any depth (RFC 7493), bounded depth and number of values.

pub(super) mod scan;
#[cfg(test)]
mod tests;

use std::borrow::Cow;
use std::fmt;

use super::tree::{Children, Node, NodeId, Tree, Value};
use scan::Scan;

/// What a document may cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Levels of lists and objects within each other.
    pub depth: usize,
    /// Values in all.
    pub values: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            depth: 32,
            values: 50_000,
        }
    }
}

/// Why a text is not acceptable JSON.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reason {
    /// It breaks the grammar; the text says how.
    Syntax(&'static str),
    /// A name stands twice in one object.
    Duplicate {
        /// The name.
        name: String,
        /// RFC 6901 pointer to the second one (which is also that of the first).
        pointer: String,
    },
    /// Lists and objects are nested deeper than [`Limits::depth`].
    TooDeep,
    /// There are more values than [`Limits::values`].
    TooManyValues,
}

/// A text that is not acceptable JSON, and where that shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreadable {
    /// What is wrong.
    pub reason: Reason,
    /// Byte offset from the start, from 0.
    pub offset: usize,
    /// Line, from 1.
    pub line: usize,
    /// Character within the line, from 1.
    pub column: usize,
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.reason {
            Reason::Syntax(what) => f.write_str(what)?,
            Reason::Duplicate { name, .. } => {
                write!(
                    f,
                    "{} stands twice in one object",
                    super::fault::quoted(name)
                )?;
            }
            Reason::TooDeep => f.write_str("lists and objects are nested too deep")?,
            Reason::TooManyValues => f.write_str("there are too many values")?,
        }
        let Self {
            line,
            column,
            offset,
            ..
        } = self;
        write!(f, " (line {line}, column {column}, byte {offset})")
    }
}

/// Reads a whole document.
///
/// # Errors
/// [`Unreadable`] with the first thing that makes it unacceptable.
pub fn parse<'a>(bytes: &'a [u8], limits: &Limits) -> Result<Tree<'a>, Unreadable> {
    let read = |(reason, offset)| place(bytes, reason, offset);
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let reason = Reason::Syntax("the text is not UTF-8");
        read((reason, error.valid_up_to()))
    })?;
    Parser::new(text, limits).run().map_err(read)
}

/// Line and column of an offset.
fn place(bytes: &[u8], reason: Reason, offset: usize) -> Unreadable {
    let before = bytes.get(..offset).unwrap_or(bytes);
    let line_start = before
        .iter()
        .rposition(|b| *b == b'\n')
        .map_or(0, |n| n + 1);
    let in_line = before.get(line_start..).unwrap_or_default();
    Unreadable {
        reason,
        offset,
        line: before.iter().filter(|b| **b == b'\n').count() + 1,
        // Continuation bytes of UTF-8 are no characters of their own.
        column: in_line.iter().filter(|b| (**b & 0xc0) != 0x80).count() + 1,
    }
}

/// A reason and its byte offset.
type Stop = (Reason, usize);

/// A list or object that is still open.
struct Open<'a> {
    node: NodeId,
    last_child: Option<NodeId>,
    count: u32,
    /// Where the names of this object start in [`Parser::names`]; `None` for a list.
    names_from: Option<usize>,
    /// The name just read, waiting for its value.
    pending: Option<Cow<'a, str>>,
}

struct Parser<'a, 'l> {
    scan: Scan<'a>,
    limits: &'l Limits,
    nodes: Vec<Node<'a>>,
    open: Vec<Open<'a>>,
    /// Nodes of the members of all open objects, innermost last; used to find repeated names.
    names: Vec<NodeId>,
}

/// What the grammar allows next.
enum Next {
    Value,
    ValueOrEnd,
    Name,
    NameOrEnd,
    CommaOrEnd,
    Nothing,
}

impl<'a, 'l> Parser<'a, 'l> {
    fn new(text: &'a str, limits: &'l Limits) -> Self {
        Self {
            scan: Scan { text, at: 0 },
            limits,
            nodes: Vec::with_capacity(64.min(text.len())),
            open: Vec::new(),
            names: Vec::new(),
        }
    }

    fn run(mut self) -> Result<Tree<'a>, Stop> {
        if self.scan.text.starts_with('\u{feff}') {
            return self
                .scan
                .stop("the text starts with a byte order mark, which JSON has not");
        }
        let mut next = Next::Value;
        loop {
            self.scan.skip_blanks();
            next = match (next, self.scan.peek()) {
                (Next::Nothing, None) => return Ok(Tree { nodes: self.nodes }),
                (Next::Nothing, Some(_)) => {
                    return self.scan.stop("text follows the end of the value");
                }
                (Next::Value, Some(_)) => self.value()?,
                (Next::ValueOrEnd, Some(b']')) | (Next::NameOrEnd, Some(b'}')) => self.close()?,
                (Next::ValueOrEnd, Some(_)) => self.value()?,
                (Next::Name | Next::NameOrEnd, Some(b'"')) => self.name()?,
                (Next::Name | Next::NameOrEnd, Some(_)) => {
                    return self.scan.stop("a name in double quotes is expected");
                }
                (Next::CommaOrEnd, Some(byte)) => self.comma_or_end(byte)?,
                (Next::Value, None) if self.nodes.is_empty() => {
                    return self
                        .scan
                        .stop("the text is empty, a JSON value is expected");
                }
                (_, None) => return self.scan.stop("the text ends too early"),
            };
        }
    }

    fn comma_or_end(&mut self, byte: u8) -> Result<Next, Stop> {
        let in_object = self
            .open
            .last()
            .is_some_and(|open| open.names_from.is_some());
        match (byte, in_object) {
            (b',', true) => {
                self.scan.at += 1;
                Ok(Next::Name)
            }
            (b',', false) => {
                self.scan.at += 1;
                Ok(Next::Value)
            }
            (b'}', true) | (b']', false) => self.close(),
            (_, true) => self.scan.stop("`,` or `}` is expected"),
            (_, false) => self.scan.stop("`,` or `]` is expected"),
        }
    }

    fn name(&mut self) -> Result<Next, Stop> {
        let name = self.scan.string()?;
        self.scan.skip_blanks();
        if self.scan.peek() != Some(b':') {
            return self.scan.stop("`:` is expected after a name");
        }
        self.scan.at += 1;
        if let Some(open) = self.open.last_mut() {
            open.pending = Some(name);
        }
        Ok(Next::Value)
    }

    fn value(&mut self) -> Result<Next, Stop> {
        let at = self.scan.at;
        let value = match self.scan.peek() {
            Some(b'{') => return self.begin(Value::Object(Children::default())),
            Some(b'[') => return self.begin(Value::List(Children::default())),
            Some(b'"') => Value::Text(self.scan.string()?),
            Some(b'-' | b'0'..=b'9') => Value::Number(self.scan.number()?),
            _ => self.scan.word()?,
        };
        self.add(value, at)?;
        Ok(self.after_value())
    }

    fn after_value(&self) -> Next {
        if self.open.is_empty() {
            Next::Nothing
        } else {
            Next::CommaOrEnd
        }
    }

    fn begin(&mut self, value: Value<'a>) -> Result<Next, Stop> {
        if self.open.len() >= self.limits.depth {
            return Err((Reason::TooDeep, self.scan.at));
        }
        let in_object = matches!(value, Value::Object(_));
        let node = self.add(value, self.scan.at)?;
        self.scan.at += 1;
        self.open.push(Open {
            node,
            last_child: None,
            count: 0,
            names_from: in_object.then_some(self.names.len()),
            pending: None,
        });
        Ok(if in_object {
            Next::NameOrEnd
        } else {
            Next::ValueOrEnd
        })
    }

    fn close(&mut self) -> Result<Next, Stop> {
        self.scan.at += 1;
        let Some(open) = self.open.pop() else {
            return self.scan.stop("a bracket closes what was not opened");
        };
        if let Some(from) = open.names_from {
            self.refuse_repeated_names(from)?;
            self.names.truncate(from);
        }
        if let Some(node) = self.nodes.get_mut(open.node as usize)
            && let Value::List(children) | Value::Object(children) = &mut node.value
        {
            children.count = open.count;
        }
        Ok(self.after_value())
    }

    /// Adds a node and hangs it under the innermost open list or object.
    fn add(&mut self, value: Value<'a>, at: usize) -> Result<NodeId, Stop> {
        if self.nodes.len() >= self.limits.values {
            return Err((Reason::TooManyValues, at));
        }
        let too_many = |_| (Reason::TooManyValues, at);
        let id = NodeId::try_from(self.nodes.len()).map_err(too_many)?;
        let mut node = Node {
            value,
            name: None,
            index: 0,
            parent: None,
            next: None,
            at: u32::try_from(at).map_err(too_many)?,
        };
        if let Some(open) = self.open.last_mut() {
            node.parent = Some(open.node);
            node.index = open.count;
            node.name = open.pending.take();
            if open.names_from.is_some() {
                self.names.push(id);
            }
            open.count += 1;
            let before = open.last_child.replace(id);
            link(&mut self.nodes, open.node, before, id);
        }
        self.nodes.push(node);
        Ok(id)
    }

    /// Finds a name that stands twice among the members from `from` on.
    fn refuse_repeated_names(&mut self, from: usize) -> Result<(), Stop> {
        let nodes = &self.nodes;
        let name = |id: &NodeId| {
            nodes
                .get(*id as usize)
                .and_then(|node| node.name.as_deref())
        };
        let members = self.names.get_mut(from..).unwrap_or_default();
        // Sorted by text, not by a hash that an attacker could make collide.
        members.sort_unstable_by(|a, b| name(a).cmp(&name(b)).then(a.cmp(b)));
        let repeated = members
            .windows(2)
            .filter_map(|pair| match pair {
                [a, b] if name(a) == name(b) => Some(*b),
                _ => None,
            })
            .min();
        match repeated {
            None => Ok(()),
            Some(id) => Err(self.duplicate(id)),
        }
    }

    fn duplicate(&mut self, id: NodeId) -> Stop {
        let tree = Tree {
            nodes: std::mem::take(&mut self.nodes),
        };
        let node = tree.node(id);
        let name = node
            .and_then(|node| node.name.as_deref())
            .unwrap_or_default();
        let reason = Reason::Duplicate {
            name: name.to_owned(),
            pointer: tree.pointer(id),
        };
        (reason, node.map_or(self.scan.at, |node| node.at as usize))
    }
}

/// Hangs `id` behind its elder sibling, or as the first child under its parent.
fn link(nodes: &mut [Node<'_>], parent: NodeId, before: Option<NodeId>, id: NodeId) {
    if let Some(before) = before {
        if let Some(node) = nodes.get_mut(before as usize) {
            node.next = Some(id);
        }
    } else if let Some(node) = nodes.get_mut(parent as usize)
        && let Value::List(children) | Value::Object(children) = &mut node.value
    {
        children.first = Some(id);
    }
}
