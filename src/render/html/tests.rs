//! HTML as text: what it escapes, that its lists close, that it needs nothing from elsewhere.

use super::super::page::{Block, Branch, Page};
use super::html;
use crate::render::words::Words;
use proptest::prelude::*;

fn page(depths: &[usize], text: &str) -> Page {
    let branch = |depth: &usize| Branch {
        depth: *depth,
        text: text.to_owned(),
    };
    Page {
        title: text.to_owned(),
        lead: vec![text.to_owned()],
        blocks: vec![
            Block::Items(vec![text.to_owned()]),
            Block::Tree(depths.iter().map(branch).collect()),
        ],
    }
}

#[test]
fn text_of_callers_is_never_markup() {
    let hostile = "</p><script src=//x>\"'&\u{0}";
    let html = html(&page(&[0, 1], hostile), Words::english());
    assert!(!html.contains("<script"), "{html}");
    assert!(!html.contains('\u{0}'));
    assert_eq!(
        html.matches("&lt;script src=//x&gt;&quot;&#39;&amp;")
            .count(),
        6
    );
}

#[test]
fn a_page_needs_nothing_from_elsewhere() {
    let html = html(&page(&[0], "x"), Words::german());
    for word in ["http", "src=", "href=", "@import", "url(", "<script"] {
        assert!(!html.contains(word), "{word}");
    }
    assert!(html.starts_with("<!DOCTYPE html>\n<html lang=\"de\">"));
}

proptest! {
    #[test]
    fn lists_of_any_depth_open_and_close(depths in prop::collection::vec(0usize..12, 0..20)) {
        let html = html(&page(&depths, "x"), Words::english());
        let count = |tag: &str| html.matches(tag).count();
        prop_assert_eq!(count("<ul"), count("</ul>"));
        prop_assert_eq!(count("<li>"), count("</li>"));
        // A list stands in an item, never right inside another list.
        prop_assert!(!html.replace('\n', "").contains("</li><ul"));
    }
}
