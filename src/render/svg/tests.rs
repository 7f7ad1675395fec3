//! The drawing as text: what it lists, what it escapes, how large it gets.

use super::*;
use crate::domain::board::{Board, KeySide, SlotIx};
use crate::domain::module::Generation;
use crate::domain::population::{Occupant, Origin};
use crate::domain::request::{PartIx, Request, SocketState};
use crate::domain::testing::{board, rdimm};
use std::sync::Arc;

/// A board of that shape with the first module in every slot that `fill` names.
fn drawn(board: &Board, request: &Request, fill: impl Fn(u16) -> Option<Origin>) -> String {
    let mut population = Population::empty(board);
    for index in 0..board.slots.len() as u16 {
        if let Some(origin) = fill(index) {
            population.seat(
                SlotIx(index),
                Occupant {
                    part: PartIx(0),
                    origin,
                },
            );
        }
    }
    let subject = Subject {
        context: Context { board, request },
        population: &population,
        findings: &[],
    };
    document(&element(subject, Words::english()))
}

fn request(name: &str) -> Request {
    let mut module = rdimm(32, 4);
    module.name = name.to_owned();
    Request {
        parts: vec![Arc::new(
            crate::domain::module::Module::checked(module).unwrap(),
        )],
        ..Request::default()
    }
}

/// The text between two marks.
fn between<'t>(text: &'t str, from: &str, to: &str) -> &'t str {
    let (_, rest) = text.split_once(from).unwrap();
    rest.split_once(to).unwrap().0
}

#[test]
fn an_installed_module_that_moves_goes_in_like_a_new_one() {
    let board = Board::checked(board(Generation::Ddr3, 1, 2, 3)).unwrap();
    let mut request = request("spare");
    request.installed.push(crate::domain::request::Seated {
        part: PartIx(0),
        slot: Some(SlotIx(3)),
    });
    let told = |at: u16| {
        let svg = drawn(&board, &request, |slot| {
            (slot == at).then_some(Origin::Installed(0))
        });
        between(&svg, "<desc id=\"kp-desc\">", "</desc>").to_owned()
    };
    assert!(
        told(3).contains("B1 32 GiB 4Rx4 RDIMM (spare, stays)"),
        "{}",
        told(3)
    );
    assert!(
        told(0).contains("A1 32 GiB 4Rx4 RDIMM (spare, goes in)"),
        "{}",
        told(0)
    );
}

#[test]
fn title_and_description_list_every_slot_with_what_it_holds() {
    let board = Board::checked(board(Generation::Ddr3, 1, 2, 3)).unwrap();
    let svg = drawn(&board, &request("spare"), |slot| match slot {
        0 | 1 => Some(Origin::Kit(0)),
        3 => Some(Origin::Installed(0)),
        _ => None,
    });
    let title = between(&svg, "<title id=\"kp-title\">", "</title>");
    assert!(title.ends_with(": 3 modules in 6 slots"), "{title}");
    let told = between(&svg, "<desc id=\"kp-desc\">", "</desc>");
    for slot in &board.slots {
        assert!(told.contains(&format!("{} ", slot.label)), "{told}");
    }
    assert!(
        told.contains("A1 32 GiB 4Rx4 RDIMM (spare, goes in)"),
        "{told}"
    );
    assert!(
        told.contains("B1 32 GiB 4Rx4 RDIMM (spare, stays)"),
        "{told}"
    );
    // Two modules of four ranks use all eight that a channel sees: the third slot is blocked.
    assert!(
        told.contains("A3 filler (1)") || told.contains("A3 blocked (1)"),
        "{told}"
    );
    assert!(
        told.contains("(1) All ranks that the channel sees are used (8 of 8)"),
        "{told}"
    );
}

#[test]
fn slots_of_an_empty_socket_are_blocked() {
    let board = Board::checked(board(Generation::Ddr3, 2, 1, 1)).unwrap();
    let request = Request {
        sockets: Some(vec![SocketState::Fitted(None), SocketState::Empty]),
        ..request("x")
    };
    let svg = drawn(&board, &request, |_| None);
    let told = between(&svg, "<desc id=\"kp-desc\">", "</desc>");
    assert!(told.contains("Socket 2: no processor"), "{told}");
    assert!(told.contains("blocked (1)"), "{told}");
    assert!(
        svg.contains("There is no processor in this socket"),
        "{svg}"
    );
}

#[test]
fn text_of_callers_and_records_is_never_markup() {
    let mut facts = board(Generation::Ddr3, 1, 1, 2);
    facts.name = "<script>alert(1)</script> & \"co\"".to_owned();
    facts.slots[0].label = "<b>".to_owned();
    let board = Board::checked(facts).unwrap();
    let svg = drawn(
        &board,
        &request("</svg><img src=x onerror='a'>\u{0}"),
        |_| Some(Origin::Kit(0)),
    );
    assert!(!svg.contains("<script") && !svg.contains("<img") && !svg.contains("<b>"));
    assert!(svg.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;co&quot;"));
    assert_eq!(svg.matches("</svg>").count(), 1);
    assert!(!svg.contains('\u{0}'));
}

#[test]
fn slots_whose_key_is_at_a_side_lie_and_show_their_channel() {
    let mut facts = board(Generation::Ddr3, 1, 2, 2);
    for slot in &mut facts.slots {
        slot.key = KeySide::Left;
    }
    let board = Board::checked(facts).unwrap();
    let svg = drawn(&board, &request("x"), |_| Some(Origin::Kit(0)));
    assert!(svg.contains(">channel 2</text>"));
    assert!(!svg.contains("rotate(-90)"), "nothing stands upright");
}

#[test]
fn the_largest_usual_board_stays_small() {
    // Eight sockets of twelve channels with two positions: 192 slots.
    let board = Board::checked(board(Generation::Ddr5, 8, 12, 2)).unwrap();
    let request = request("ERW-5R64-2x4");
    let full = drawn(&board, &request, |_| Some(Origin::Kit(0)));
    let again = drawn(&board, &request, |_| Some(Origin::Kit(0)));
    assert!(full.len() < 200_000, "{} bytes", full.len());
    assert_eq!(full, again, "the same scene gives the same bytes");
    println!("{} bytes", full.len());
}

#[test]
fn every_pattern_has_a_colour() {
    use crate::render::palette::{DARK, LIGHT};
    assert_eq!(style::PATTERN_COUNT, LIGHT.modules.len());
    assert_eq!(style::PATTERN_COUNT, DARK.modules.len());
}
