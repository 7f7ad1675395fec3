//! Holds a document against a shape and names every difference.
//!
//! Works off a list instead of calling itself, so that depth costs no stack.

use super::fault::{Fault, FaultCode, Faults, quoted};
use super::near::close_matches;
use super::shape::{Choice, FRACTION, Rest, Shape, ShapeId, Shapes, Types, types_of};
use super::tree::{Children, Node, NodeId, Tree, Value};

/// The most words that a hint spells out.
const MOST_WORDS: usize = 16;

/// Every fault of the document, in the order of its text.
pub fn faults(tree: &Tree<'_>, shapes: &Shapes) -> Faults {
    let mut walk = Walk {
        tree,
        shapes,
        todo: vec![(0, shapes.root())],
        found: Vec::new(),
    };
    while let Some((node, shape)) = walk.todo.pop() {
        walk.check(node, shape);
        if walk.found.len() > super::fault::MOST_FAULTS {
            break;
        }
    }
    let mut found = walk.found;
    found.sort_by(|(a, x), (b, y)| a.cmp(b).then_with(|| x.code.cmp(&y.code)));
    found
        .into_iter()
        .map(|(_, fault)| fault)
        .collect::<Vec<_>>()
        .into()
}

struct Walk<'t, 'a> {
    tree: &'t Tree<'a>,
    shapes: &'t Shapes,
    todo: Vec<(NodeId, ShapeId)>,
    /// Faults with the offset of what they are about.
    found: Vec<(u32, Fault)>,
}

impl<'t, 'a> Walk<'t, 'a> {
    fn check(&mut self, id: NodeId, shape: ShapeId) {
        let (Some(node), Some(shape)) = (self.tree.node(id), self.shapes.get(shape)) else {
            return;
        };
        if let Some(choice) = &shape.choice {
            self.choice(id, node, choice);
        }
        if !self.has_type(id, node, shape) {
            return;
        }
        match &node.value {
            Value::Number(text) => self.number(id, text, shape),
            Value::Text(text) => self.text(id, text, shape),
            Value::List(children) => self.list(id, children, shape),
            Value::Object(children) => self.object(id, children, shape),
            Value::Null | Value::Bool(_) => {}
        }
    }

    fn report(&mut self, id: NodeId, code: FaultCode, message: String) -> Option<&mut Fault> {
        let at = self.tree.node(id)?.at;
        let fault = Fault::new(self.tree.pointer(id), code, message);
        self.found.push((at, fault));
        self.found.last_mut().map(|(_, fault)| fault)
    }

    fn report_with_hint(&mut self, id: NodeId, code: FaultCode, message: String, hint: String) {
        if let Some(fault) = self.report(id, code, message) {
            fault.hint = Some(hint);
        }
    }

    fn has_type(&mut self, id: NodeId, node: &Node<'a>, shape: &Shape) -> bool {
        let types = types_of(&node.value);
        if shape.types.meets(types) {
            return true;
        }
        if types == FRACTION && shape.types.meets(Types::INTEGER) {
            self.not_an_integer(id, node);
        } else {
            self.wrong_type(id, node, shape.types);
        }
        false
    }

    fn wrong_type(&mut self, id: NodeId, node: &Node<'a>, expected: Types) {
        let message = format!("{expected} is expected, here is {}", kind_of(&node.value));
        self.report(id, FaultCode::WrongType, message);
    }

    fn not_an_integer(&mut self, id: NodeId, node: &Node<'a>) {
        let Value::Number(text) = &node.value else {
            return;
        };
        let message = format!("{} is not written as an integer", quoted(text));
        let value: f64 = text.parse().unwrap_or(f64::NAN);
        let whole = value.fract() == 0.0 && value.abs() < 9e15;
        let hint = if whole {
            format!("write `{value:.0}`").replace("`-0`", "`0`")
        } else {
            "give a whole number".to_owned()
        };
        self.report_with_hint(id, FaultCode::NotAnInteger, message, hint);
    }

    fn number(&mut self, id: NodeId, text: &str, shape: &Shape) {
        if !shape.takes_number(text) {
            let range = match shape.types.holds(Types::NUMBER) {
                true => shape.number.to_string(),
                false => shape.integer.to_string(),
            };
            let message = format!("{} is out of range", quoted(text));
            let hint = format!("allowed: {range}");
            self.report_with_hint(id, FaultCode::OutOfRange, message, hint);
        }
    }

    fn text(&mut self, id: NodeId, text: &str, shape: &Shape) {
        if !shape.takes_text(text) {
            let words = shape.words.iter().flatten().map(String::as_str);
            self.unknown_value(id, text, &words.collect::<Vec<_>>(), shape.digit);
        }
        if !shape.takes_length(text) {
            let message = format!("the text has {} characters", text.chars().count());
            let hint = format!("allowed: {}", shape.length);
            self.report_with_hint(id, FaultCode::WrongLength, message, hint);
        }
    }

    fn unknown_value(&mut self, id: NodeId, text: &str, words: &[&str], digit: bool) {
        let message = format!("{} is not known here", quoted(text));
        let near = close_matches(text, words.iter().copied());
        if let Some(fault) = self.report(id, FaultCode::UnknownValue, message) {
            fault.close_matches = near;
            fault.hint = Some(match (digit, words) {
                (false, words) => format!("one of {}", listed(words)),
                (true, []) => "a text with a digit in it".to_owned(),
                (true, words) => format!("a text with a digit in it, or {}", listed(words)),
            });
        }
    }

    fn list(&mut self, id: NodeId, children: &Children, shape: &Shape) {
        let count = children.count as usize;
        if !shape.count.holds(count) {
            let message = format!("the list has {count} elements");
            let hint = format!("allowed: {}", shape.count);
            self.report_with_hint(id, FaultCode::WrongCount, message, hint);
            if shape.count.high.is_some_and(|high| count > high) {
                return;
            }
        }
        if let Some(items) = shape.items {
            let tree = self.tree;
            let elements = tree.children(children).map(|(child, _)| (child, items));
            self.push_in_order(elements);
        }
    }

    fn push_in_order(&mut self, work: impl Iterator<Item = (NodeId, ShapeId)>) {
        let from = self.todo.len();
        self.todo.extend(work);
        if let Some(new) = self.todo.get_mut(from..) {
            new.reverse();
        }
    }

    fn object(&mut self, id: NodeId, children: &Children, shape: &Shape) {
        let tree = self.tree;
        for name in &shape.required {
            if tree.member(children, name).is_none() {
                let message = format!("{} is missing", quoted(name));
                self.report(id, FaultCode::MissingMember, message);
            }
        }
        let mut known = Vec::with_capacity(children.count as usize);
        for (child, node) in tree.children(children) {
            let name = node.name.as_deref().unwrap_or_default();
            match (shape.member(name), shape.rest) {
                (Some(shape), _) | (None, Rest::Each(shape)) => known.push((child, shape)),
                (None, Rest::Open) => {}
                (None, Rest::Closed) => self.unknown_member(child, name, shape),
            }
        }
        self.push_in_order(known.into_iter());
    }

    fn unknown_member(&mut self, id: NodeId, name: &str, shape: &Shape) {
        let known: Vec<&str> = shape
            .members
            .iter()
            .map(|(name, _)| name.as_str())
            .collect();
        self.unknown_member_of(id, name, &known);
    }

    fn unknown_member_of(&mut self, id: NodeId, name: &str, known: &[&str]) {
        let message = format!("{} is not a member here", quoted(name));
        let near = close_matches(name, known.iter().copied());
        if let Some(fault) = self.report(id, FaultCode::UnknownMember, message) {
            fault.close_matches = near;
            fault.hint = Some(format!("one of {}", listed(known)));
        }
    }

    /// Finds the alternative that is meant and checks the value against it alone: faults against
    /// the others would only confuse.
    fn choice(&mut self, id: NodeId, node: &Node<'a>, choice: &Choice) {
        let types = types_of(&node.value);
        let meant: Vec<(ShapeId, &Shape)> = choice
            .arms
            .iter()
            .filter_map(|arm| Some((*arm, self.shapes.get(*arm)?)))
            .filter(|(arm, _)| self.shapes.types_of(*arm).meets(types))
            .collect();
        match (meant.as_slice(), &node.value) {
            ([], _) => {
                let all = self.shapes.types_of_all(&choice.arms);
                if types == FRACTION && all.meets(Types::INTEGER) {
                    self.not_an_integer(id, node);
                } else {
                    self.wrong_type(id, node, all);
                }
            }
            (arms, Value::Object(children)) => self.object_choice(id, children, choice, arms),
            ([(only, _)], _) => self.todo.push((id, *only)),
            (arms, Value::Text(text)) => self.text_choice(id, text, arms),
            ([(first, _), ..], _) => self.todo.push((id, *first)),
        }
    }

    fn object_choice(
        &mut self,
        id: NodeId,
        children: &Children,
        choice: &Choice,
        arms: &[(ShapeId, &Shape)],
    ) {
        if let Some(tag) = &choice.tag {
            self.tagged(id, children, tag);
        } else if !choice.keyed.is_empty() {
            self.keyed(id, children, &choice.keyed);
        } else if let Some((best, _)) = self.likeliest(children, arms) {
            self.todo.push((id, best));
        }
    }

    fn tagged(&mut self, id: NodeId, children: &Children, tag: &super::shape::Tag) {
        let words: Vec<&str> = tag.arms.iter().map(|(word, _)| word.as_str()).collect();
        let Some((member, node)) = self.tree.member(children, &tag.name) else {
            let message = format!("{} is missing", quoted(&tag.name));
            let hint = format!("one of {}", listed(&words));
            return self.report_with_hint(id, FaultCode::MissingMember, message, hint);
        };
        let Value::Text(text) = &node.value else {
            return self.wrong_type(member, node, Types::TEXT);
        };
        match tag.arms.iter().find(|(word, _)| word == text) {
            Some((_, arm)) => self.todo.push((id, *arm)),
            None => self.unknown_value(member, text, &words, false),
        }
    }

    fn keyed(&mut self, id: NodeId, children: &Children, keyed: &[(String, ShapeId)]) {
        let names: Vec<&str> = keyed.iter().map(|(name, _)| name.as_str()).collect();
        let members: Vec<(NodeId, &str)> = self
            .tree
            .children(children)
            .map(|(id, node)| (id, node.name.as_deref().unwrap_or_default()))
            .collect();
        match members.as_slice() {
            [] => {
                let message = "a member is missing".to_owned();
                let hint = format!("exactly one of {}", listed(&names));
                self.report_with_hint(id, FaultCode::MissingMember, message, hint);
            }
            [(member, name)] => match keyed.iter().find(|(known, _)| known == name) {
                Some((_, arm)) => self.todo.push((id, *arm)),
                None => self.unknown_member_of(*member, name, &names),
            },
            many => {
                let message = format!("{} members stand here", many.len());
                let hint = format!("exactly one of {}", listed(&names));
                self.report_with_hint(id, FaultCode::TooManyMembers, message, hint);
            }
        }
    }

    /// The alternative that knows most of the members given and misses fewest.
    fn likeliest<'s>(
        &self,
        children: &Children,
        arms: &[(ShapeId, &'s Shape)],
    ) -> Option<(ShapeId, &'s Shape)> {
        let likeness = |shape: &Shape| {
            let names = self.tree.children(children);
            let known = names.filter(|(_, node)| {
                let name = node.name.as_deref().unwrap_or_default();
                shape.member(name).is_some() || shape.rest == Rest::Open
            });
            let missing = shape.required.iter();
            let missing = missing.filter(|name| self.tree.member(children, name).is_none());
            2 * known.count() as i64 - missing.count() as i64
        };
        // The first of equals, so that the order of the schema decides.
        arms.iter()
            .rev()
            .copied()
            .max_by_key(|(_, shape)| likeness(shape))
    }

    fn text_choice(&mut self, id: NodeId, text: &str, arms: &[(ShapeId, &Shape)]) {
        if let Some((arm, _)) = arms.iter().find(|(_, shape)| shape.takes_text(text)) {
            return self.todo.push((id, *arm));
        }
        let words: Vec<&str> = arms
            .iter()
            .filter_map(|(_, shape)| shape.words.as_ref())
            .flatten()
            .map(String::as_str)
            .collect();
        let digit = arms.iter().any(|(_, shape)| shape.digit);
        self.unknown_value(id, text, &words, digit);
    }
}

fn kind_of(value: &Value<'_>) -> &'static str {
    match value {
        Value::Null => "`null`",
        Value::Bool(true) => "`true`",
        Value::Bool(false) => "`false`",
        Value::Number(_) => "a number",
        Value::Text(_) => "a string",
        Value::List(_) => "a list",
        Value::Object(_) => "an object",
    }
}

/// `a, b or c`
pub(super) fn either(names: &[&str]) -> String {
    match names {
        [] => "nothing".to_owned(),
        [only] => (*only).to_owned(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}

/// The first words of a list, in backticks.
fn listed(words: &[&str]) -> String {
    let shown: Vec<String> = words
        .iter()
        .take(MOST_WORDS)
        .map(|word| quoted(word))
        .collect();
    let more = words.len().saturating_sub(MOST_WORDS);
    if more > 0 {
        format!("{} and {more} more", shown.join(", "))
    } else {
        shown.join(", ")
    }
}

#[cfg(test)]
mod tests;
