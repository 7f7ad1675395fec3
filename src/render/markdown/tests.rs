//! Markdown through a CommonMark parser: what is text stays text.

use super::super::page::{Block, Branch, Chore, Entry, Grid, Page};
use super::markdown;
use proptest::prelude::*;
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

fn events(text: &str, options: Options) -> Vec<Event<'_>> {
    Parser::new_ext(text, options).collect()
}

/// All text, without markup.
fn shown(markdown: &str, options: Options) -> String {
    let text = |event| match event {
        Event::Text(text) => text.to_string(),
        Event::SoftBreak | Event::HardBreak => " ".to_owned(),
        Event::End(TagEnd::Item | TagEnd::Paragraph | TagEnd::TableCell) => "\n".to_owned(),
        _ => String::new(),
    };
    events(markdown, options).into_iter().map(text).collect()
}

/// Whether a parser takes something for markup that only the page's own form may use.
fn has_foreign_markup(markdown: &str) -> bool {
    events(markdown, Options::all()).iter().any(|event| {
        matches!(
            event,
            Event::Html(_)
                | Event::InlineHtml(_)
                | Event::Code(_)
                | Event::InlineMath(_)
                | Event::DisplayMath(_)
                | Event::FootnoteReference(_)
                | Event::Start(
                    Tag::Link { .. } | Tag::Image { .. } | Tag::CodeBlock(_) | Tag::BlockQuote(_)
                )
        )
    })
}

/// A page with one text in every place.
fn page(text: &str) -> Page {
    let text = || text.to_owned();
    let entry = Entry {
        grade: "blocker",
        mark: "blocker".to_owned(),
        sentence: text(),
        source: text(),
        fixes: vec![text()],
        more: None,
    };
    let chore = Chore {
        number: 1,
        text: text(),
        check: text(),
        caution: true,
    };
    let branch = |depth| Branch {
        depth,
        text: text(),
    };
    Page {
        title: text(),
        lead: vec![text()],
        blocks: vec![
            Block::Heading(text()),
            Block::Findings(vec![entry]),
            Block::Items(vec![text()]),
            Block::Facts(vec![(text(), text())]),
            Block::Tree(vec![branch(0), branch(1), branch(3), branch(1), branch(0)]),
            Block::Table(Grid {
                title: text(),
                heads: vec![text(), text()],
                rows: vec![(true, vec![text(), text()]), (false, vec![text(), text()])],
            }),
            Block::Steps(vec![chore]),
        ],
    }
}

/// Names by which a caller may try to write markup into somebody's ticket.
const HOSTILE: [&str; 14] = [
    "<script>alert(1)</script>",
    "[here](http://x.example)",
    "![i](http://x.example/i.png)",
    "http://x.example www.x.example a@x.example",
    "**bold** _em_ `code` ~~gone~~ $a$",
    "# heading",
    "1. item",
    "12) item",
    "- item",
    "+ item",
    "> quote",
    "=====",
    "a | b | c",
    "&copy; &#60;b&#62; \\ [^1] @someone #12",
];

#[test]
fn text_of_callers_stays_text() {
    for hostile in HOSTILE {
        let markdown = markdown(&page(hostile));
        assert!(!has_foreign_markup(&markdown), "{hostile}\n{markdown}");
        let shown = shown(
            &markdown,
            Options::ENABLE_TABLES | Options::ENABLE_TASKLISTS,
        );
        assert_eq!(
            shown.matches(hostile).count(),
            23,
            "{hostile}\n{shown}\n{markdown}"
        );
    }
}

#[test]
fn a_plain_parser_finds_the_same_headings_and_lists() {
    let markdown = markdown(&page("ERW-3R32-4x4 in slot A1."));
    let found = events(&markdown, Options::empty());
    let count = |wanted: fn(&Event<'_>) -> bool| found.iter().filter(|event| wanted(event)).count();
    assert_eq!(count(|e| matches!(e, Event::Start(Tag::Heading { .. }))), 2);
    assert!(count(|e| matches!(e, Event::Start(Tag::Item))) >= 8);
    assert!(
        !markdown.contains("\\-3R32"),
        "names stay readable: {markdown}"
    );
}

#[test]
fn steps_are_tasks_to_tick_off() {
    let markdown = markdown(&page("x"));
    let tasks = events(&markdown, Options::ENABLE_TASKLISTS);
    assert!(tasks.contains(&Event::TaskListMarker(false)), "{markdown}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]
    #[test]
    fn no_text_becomes_markup(text in "[ -~äß\\n\\t]{1,24}") {
        let markdown = markdown(&page(&text));
        prop_assert!(!has_foreign_markup(&markdown), "{markdown}");
        let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        let shown = words(&shown(&markdown, Options::ENABLE_TABLES | Options::ENABLE_TASKLISTS));
        prop_assert!(shown.contains(&words(&text)), "{shown}\n{markdown}");
    }
}
