//! JSON text (RFC 8259, strict) to a [`Tree`], without recursion and within limits.
//!
//! Stricter than most readers: UTF-8 only, no byte order mark, no lone surrogates, no name twice in
//! one object at any depth (RFC 7493), bounded depth and number of values.

use std::borrow::Cow;
use std::fmt;

use super::tree::{Children, Node, NodeId, Tree, Value};

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
    text: &'a str,
    at: usize,
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
            text,
            at: 0,
            limits,
            nodes: Vec::with_capacity(64.min(text.len())),
            open: Vec::new(),
            names: Vec::new(),
        }
    }

    fn run(mut self) -> Result<Tree<'a>, Stop> {
        if self.text.starts_with('\u{feff}') {
            return self.stop("the text starts with a byte order mark, which JSON has not");
        }
        let mut next = Next::Value;
        loop {
            self.skip_blanks();
            next = match (next, self.peek()) {
                (Next::Nothing, None) => return Ok(Tree { nodes: self.nodes }),
                (Next::Nothing, Some(_)) => return self.stop("text follows the end of the value"),
                (Next::Value, Some(_)) => self.value()?,
                (Next::ValueOrEnd, Some(b']')) | (Next::NameOrEnd, Some(b'}')) => self.close()?,
                (Next::ValueOrEnd, Some(_)) => self.value()?,
                (Next::Name | Next::NameOrEnd, Some(b'"')) => self.name()?,
                (Next::Name | Next::NameOrEnd, Some(_)) => {
                    return self.stop("a name in double quotes is expected");
                }
                (Next::CommaOrEnd, Some(byte)) => self.comma_or_end(byte)?,
                (Next::Value, None) if self.nodes.is_empty() => {
                    return self.stop("the text is empty, a JSON value is expected");
                }
                (_, None) => return self.stop("the text ends too early"),
            };
        }
    }

    fn peek(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    fn stop<T>(&self, what: &'static str) -> Result<T, Stop> {
        Err((Reason::Syntax(what), self.at))
    }

    fn skip_blanks(&mut self) {
        while matches!(self.peek(), Some(b' ' | b'\t' | b'\n' | b'\r')) {
            self.at += 1;
        }
    }

    fn comma_or_end(&mut self, byte: u8) -> Result<Next, Stop> {
        let in_object = self
            .open
            .last()
            .is_some_and(|open| open.names_from.is_some());
        match (byte, in_object) {
            (b',', true) => {
                self.at += 1;
                Ok(Next::Name)
            }
            (b',', false) => {
                self.at += 1;
                Ok(Next::Value)
            }
            (b'}', true) | (b']', false) => self.close(),
            (_, true) => self.stop("`,` or `}` is expected"),
            (_, false) => self.stop("`,` or `]` is expected"),
        }
    }

    fn name(&mut self) -> Result<Next, Stop> {
        let name = self.string()?;
        self.skip_blanks();
        if self.peek() != Some(b':') {
            return self.stop("`:` is expected after a name");
        }
        self.at += 1;
        if let Some(open) = self.open.last_mut() {
            open.pending = Some(name);
        }
        Ok(Next::Value)
    }

    fn value(&mut self) -> Result<Next, Stop> {
        let at = self.at;
        let value = match self.peek() {
            Some(b'{') => return self.begin(Value::Object(Children::default())),
            Some(b'[') => return self.begin(Value::List(Children::default())),
            Some(b'"') => Value::Text(self.string()?),
            Some(b'-' | b'0'..=b'9') => Value::Number(self.number()?),
            _ => self.word()?,
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
            return Err((Reason::TooDeep, self.at));
        }
        let in_object = matches!(value, Value::Object(_));
        let node = self.add(value, self.at)?;
        self.at += 1;
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
        self.at += 1;
        let Some(open) = self.open.pop() else {
            return self.stop("a bracket closes what was not opened");
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
        (reason, node.map_or(self.at, |node| node.at as usize))
    }

    fn word(&mut self) -> Result<Value<'a>, Stop> {
        let rest = self.text.get(self.at..).unwrap_or_default();
        for (word, value) in [
            ("true", Value::Bool(true)),
            ("false", Value::Bool(false)),
            ("null", Value::Null),
        ] {
            if rest.starts_with(word) {
                self.at += word.len();
                return Ok(value);
            }
        }
        if rest.starts_with("NaN") || rest.starts_with("Infinity") {
            return self.stop("JSON has no number for this");
        }
        if rest.starts_with('\'') {
            return self.stop("strings are written in double quotes");
        }
        self.stop("a JSON value is expected")
    }

    fn number(&mut self) -> Result<&'a str, Stop> {
        let start = self.at;
        if self.peek() == Some(b'-') {
            self.at += 1;
        }
        let leading_zero = self.peek() == Some(b'0');
        let whole = self.digits();
        if whole == 0 {
            return self.stop("a digit is expected");
        }
        if leading_zero && whole > 1 {
            return self.stop("a number must not start with 0");
        }
        if self.peek() == Some(b'.') {
            self.at += 1;
            if self.digits() == 0 {
                return self.stop("a digit is expected after the decimal point");
            }
        }
        if matches!(self.peek(), Some(b'e' | b'E')) {
            self.at += 1;
            if matches!(self.peek(), Some(b'+' | b'-')) {
                self.at += 1;
            }
            if self.digits() == 0 {
                return self.stop("a digit is expected in the exponent");
            }
        }
        Ok(self.text.get(start..self.at).unwrap_or_default())
    }

    fn digits(&mut self) -> usize {
        let start = self.at;
        while matches!(self.peek(), Some(b'0'..=b'9')) {
            self.at += 1;
        }
        self.at - start
    }

    /// A string from its opening quote to behind its closing one.
    fn string(&mut self) -> Result<Cow<'a, str>, Stop> {
        self.at += 1;
        let start = self.at;
        self.plain_run()?;
        let first = self.text.get(start..self.at).unwrap_or_default();
        if self.peek() == Some(b'"') {
            self.at += 1;
            return Ok(Cow::Borrowed(first));
        }
        let mut owned = first.to_owned();
        while self.peek() == Some(b'\\') {
            owned.push(self.escape()?);
            let from = self.at;
            self.plain_run()?;
            owned.push_str(self.text.get(from..self.at).unwrap_or_default());
        }
        self.at += 1;
        Ok(Cow::Owned(owned))
    }

    /// Moves to the next quote or backslash.
    fn plain_run(&mut self) -> Result<(), Stop> {
        let rest = self.text.as_bytes().get(self.at..).unwrap_or_default();
        let length = rest
            .iter()
            .position(|byte| matches!(byte, b'"' | b'\\') || *byte < 0x20);
        self.at += length.unwrap_or(rest.len());
        match self.peek() {
            Some(b'"' | b'\\') => Ok(()),
            Some(_) => self.stop("a control character must be escaped within a string"),
            None => self.stop("the text ends within a string"),
        }
    }

    fn escape(&mut self) -> Result<char, Stop> {
        let start = self.at;
        self.at += 1;
        let byte = self.peek();
        self.at += 1;
        Ok(match byte {
            Some(byte @ (b'"' | b'\\' | b'/')) => char::from(byte),
            Some(b'b') => '\u{8}',
            Some(b'f') => '\u{c}',
            Some(b'n') => '\n',
            Some(b'r') => '\r',
            Some(b't') => '\t',
            Some(b'u') => return self.unicode_escape(start),
            _ => {
                self.at = start;
                return self.stop("this escape is not known");
            }
        })
    }

    fn unicode_escape(&mut self, start: usize) -> Result<char, Stop> {
        let first = self.four_hex_digits()?;
        let code = match first {
            0xd800..=0xdbff if self.text.get(self.at..self.at + 2) == Some("\\u") => {
                self.at += 2;
                let second = self.four_hex_digits()?;
                let low = second.wrapping_sub(0xdc00);
                // Out of range for a low half: leaves a number that is no character.
                if low < 0x400 {
                    0x1_0000 + ((first - 0xd800) << 10) + low
                } else {
                    first
                }
            }
            _ => first,
        };
        char::from_u32(code).ok_or((
            Reason::Syntax("half of a surrogate pair stands alone"),
            start,
        ))
    }

    fn four_hex_digits(&mut self) -> Result<u32, Stop> {
        let digits = self.text.get(self.at..self.at + 4).unwrap_or_default();
        if digits.len() != 4 || !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
            return self.stop("four hexadecimal digits are expected after `\\u`");
        }
        self.at += 4;
        u32::from_str_radix(digits, 16).or_else(|_| self.stop("a hexadecimal digit is expected"))
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn reason(text: &str) -> Reason {
        parse(text.as_bytes(), &Limits::default())
            .unwrap_err()
            .reason
    }

    #[test]
    fn says_where_the_text_breaks() {
        let error = parse("{\n  \"ä\": nope}".as_bytes(), &Limits::default()).unwrap_err();
        assert_eq!((error.line, error.column, error.offset), (2, 8, 10));
        assert_eq!(
            error.to_string(),
            "a JSON value is expected (line 2, column 8, byte 10)"
        );
    }

    #[test]
    fn refuses_what_json_is_not() {
        for text in [
            "",
            " ",
            "nul",
            "NaN",
            "-Infinity",
            "01",
            "1.",
            ".5",
            "1e",
            "+1",
            "'a'",
            "\"a",
            "[1,]",
            "[1 2]",
            "{\"a\"}",
            "{\"a\":1,}",
            "{a:1}",
            "{1:1}",
            "[",
            "]",
            "{]",
            "[1]]",
            "1 2",
            "\"\\x\"",
            "\"\\u12\"",
            "\"\\ud800\"",
            "\"\\ud800\\u0041\"",
            "\"\\udc00\"",
            "\"\t\"",
            "\u{feff}1",
            "// a\n1",
            "tru",
            "\"\\u+123\"",
        ] {
            assert!(
                parse(text.as_bytes(), &Limits::default()).is_err(),
                "{text:?}"
            );
            assert!(
                serde_json::from_str::<serde_json::Value>(text).is_err(),
                "{text:?}"
            );
        }
        assert!(parse(b"\"\xff\"", &Limits::default()).is_err());
    }

    #[test]
    fn refuses_a_name_that_stands_twice_at_any_depth() {
        for (text, at) in [
            (r#"{"a":1,"a":2}"#, "/a"),
            (r#"{"a":1,"\u0061":2}"#, "/a"),
            (r#"[[[{"x":{"b":1,"c":2,"b":3}}]]]"#, "/0/0/0/x/b"),
            (r#"{"a":{"z":1},"b":{"z":1,"y":2,"z":[]}}"#, "/b/z"),
        ] {
            let Reason::Duplicate { pointer, .. } = reason(text) else {
                panic!("{text}")
            };
            assert_eq!(pointer, at);
        }
        assert!(parse(br#"{"a":{"a":1},"b":{"a":1}}"#, &Limits::default()).is_ok());
    }

    #[test]
    fn bounds_depth_and_number_of_values() {
        let nested = |n: usize| format!("{}{}", "[".repeat(n), "]".repeat(n));
        assert!(parse(nested(32).as_bytes(), &Limits::default()).is_ok());
        assert_eq!(reason(&nested(33)), Reason::TooDeep);
        assert_eq!(reason(&"[".repeat(100_000)), Reason::TooDeep);
        assert_eq!(reason(&"{\"a\":".repeat(128)), Reason::TooDeep);
        let many = format!("[{}0]", "0,".repeat(60_000));
        assert_eq!(reason(&many), Reason::TooManyValues);
    }

    #[test]
    fn many_names_in_one_object_are_checked_in_reasonable_time() {
        let members: Vec<String> = (0..40_000).map(|n| format!("\"k{n}\":0")).collect();
        let text = format!("{{{},\"k7\":1}}", members.join(","));
        let start = std::time::Instant::now();
        assert!(matches!(reason(&text), Reason::Duplicate { name, .. } if name == "k7"));
        assert!(start.elapsed() < std::time::Duration::from_secs(2));
    }

    fn to_value(tree: &Tree<'_>, id: NodeId) -> serde_json::Value {
        match &tree.node(id).unwrap().value {
            Value::Null => serde_json::Value::Null,
            Value::Bool(b) => (*b).into(),
            Value::Number(text) => serde_json::from_str(text).unwrap(),
            Value::Text(text) => text.as_ref().into(),
            Value::List(of) => tree
                .children(of)
                .map(|(id, _)| to_value(tree, id))
                .collect(),
            Value::Object(of) => tree
                .children(of)
                .map(|(id, node)| (node.name.clone().unwrap().into_owned(), to_value(tree, id)))
                .collect::<serde_json::Map<_, _>>()
                .into(),
        }
    }

    fn any_json() -> impl Strategy<Value = serde_json::Value> {
        let leaf = prop_oneof![
            Just(serde_json::Value::Null),
            any::<bool>().prop_map(Into::into),
            any::<i64>().prop_map(Into::into),
            ".*".prop_map(Into::into),
        ];
        leaf.prop_recursive(5, 60, 6, |inner| {
            prop_oneof![
                prop::collection::vec(inner.clone(), 0..6).prop_map(Into::into),
                prop::collection::btree_map(".*", inner, 0..6)
                    .prop_map(|map| serde_json::Value::Object(map.into_iter().collect())),
            ]
        })
    }

    proptest! {
        /// The general JSON reader of the ecosystem is the outside check.
        #[test]
        fn reads_what_another_reader_reads(value in any_json()) {
            for text in [value.to_string(), serde_json::to_string_pretty(&value).unwrap()] {
                let tree = parse(text.as_bytes(), &Limits::default()).unwrap();
                prop_assert_eq!(to_value(&tree, 0), value.clone());
            }
        }

        #[test]
        fn refuses_whatever_another_reader_refuses(text in "[\\[\\]{}:,\"\\\\0-9a-f.eEtrunl \\-+]{0,24}") {
            let ours = parse(text.as_bytes(), &Limits::default());
            let theirs = serde_json::from_str::<serde_json::Value>(&text);
            match &ours {
                Ok(_) => prop_assert!(theirs.is_ok() || text.contains(['e', 'E']), "{}", text),
                Err(Unreadable { reason: Reason::Syntax(_), .. }) => prop_assert!(theirs.is_err(), "{}", text),
                Err(_) => {}
            }
        }

        #[test]
        fn never_panics_on_any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..64)) {
            let _ = parse(&bytes, &Limits::default());
        }
    }
}
