//! A JSON document as a flat list of nodes that remember where they stood in the text.
//!
//! Flat, because it is built and walked without recursion and is dropped in one go.

use std::borrow::Cow;

/// Index of a node in its [`Tree`].
pub type NodeId = u32;

/// What a node holds.
#[derive(Debug, Clone, PartialEq)]
pub enum Value<'a> {
    /// `null`
    Null,
    /// `true` or `false`
    Bool(bool),
    /// A number, as written.
    Number(&'a str),
    /// A string with its escapes resolved.
    Text(Cow<'a, str>),
    /// A list.
    List(Children),
    /// An object; its members are unique.
    Object(Children),
}

/// The children of a list or an object.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Children {
    /// The first child; the others follow by [`Node::next`].
    pub first: Option<NodeId>,
    /// How many there are.
    pub count: u32,
}

/// One value of the document.
#[derive(Debug, Clone)]
pub struct Node<'a> {
    /// What it holds.
    pub value: Value<'a>,
    /// Its name, when it is a member of an object.
    pub name: Option<Cow<'a, str>>,
    /// Its place, when it is an element of a list.
    pub index: u32,
    /// The list or object that holds it.
    pub parent: Option<NodeId>,
    /// The next element or member of the same parent.
    pub next: Option<NodeId>,
    /// Byte offset of the value in the text.
    pub at: u32,
}

/// A whole document; the root is node 0.
#[derive(Debug, Clone, Default)]
pub struct Tree<'a> {
    pub(super) nodes: Vec<Node<'a>>,
}

impl<'a> Tree<'a> {
    /// The node of that index.
    pub fn node(&self, id: NodeId) -> Option<&Node<'a>> {
        self.nodes.get(id as usize)
    }

    /// How many values the document holds.
    pub fn len(&self) -> usize {
        self.nodes.len()
    }

    /// True for a document without any value, which the parser never gives.
    pub fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }

    /// The elements or members of a node, in the order of the text.
    pub fn children(&self, of: &Children) -> impl Iterator<Item = (NodeId, &Node<'a>)> {
        let mut next = of.first;
        std::iter::from_fn(move || {
            let id = next?;
            let node = self.node(id)?;
            next = node.next;
            Some((id, node))
        })
    }

    /// The member of that name.
    pub fn member(&self, of: &Children, name: &str) -> Option<(NodeId, &Node<'a>)> {
        self.children(of)
            .find(|(_, node)| node.name.as_deref() == Some(name))
    }

    /// The RFC 6901 pointer to a node; empty for the whole document.
    pub fn pointer(&self, id: NodeId) -> String {
        let mut steps: Vec<Cow<'_, str>> = Vec::new();
        let mut here = self.node(id);
        while let Some(node) = here {
            let Some(parent) = node.parent else { break };
            steps.push(match &node.name {
                Some(name) => escape(name),
                None => Cow::Owned(node.index.to_string()),
            });
            here = self.node(parent);
        }
        steps.iter().rev().fold(String::new(), |mut pointer, step| {
            pointer.push('/');
            pointer.push_str(step);
            pointer
        })
    }

    /// The last node that starts at or before a byte offset of the text.
    pub fn at_offset(&self, offset: usize) -> Option<NodeId> {
        // Nodes are made in the order in which they start.
        let after = self
            .nodes
            .partition_point(|node| (node.at as usize) <= offset);
        NodeId::try_from(after.checked_sub(1)?).ok()
    }
}

/// Escapes one step of an RFC 6901 pointer.
pub fn escape(step: &str) -> Cow<'_, str> {
    if step.contains(['~', '/']) {
        Cow::Owned(step.replace('~', "~0").replace('/', "~1"))
    } else {
        Cow::Borrowed(step)
    }
}

#[cfg(test)]
mod tests {
    use crate::wirecheck::text::{Limits, parse};

    #[test]
    fn points_at_members_whose_names_need_escapes() {
        let text = br#"{"a/b": [1, {"m~n": {"": 7}}]}"#;
        let tree = parse(text, &Limits::default()).unwrap();
        let last = u32::try_from(tree.len()).unwrap() - 1;
        assert_eq!(tree.pointer(last), "/a~1b/1/m~0n/");
        // The same pointer, resolved by an independent reader.
        let outside: serde_json::Value = serde_json::from_slice(text).unwrap();
        assert_eq!(outside.pointer("/a~1b/1/m~0n/").unwrap(), 7);
    }

    #[test]
    fn finds_the_value_that_stands_at_an_offset() {
        let text = br#"{"a": [10, 20]}"#;
        let tree = parse(text, &Limits::default()).unwrap();
        let at = |offset| tree.pointer(tree.at_offset(offset).unwrap());
        assert_eq!(at(0), "");
        assert_eq!(at(7), "/a/0");
        assert_eq!(at(12), "/a/1");
    }
}
