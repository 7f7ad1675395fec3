//! Title and description: all that the drawing shows, as text.

use crate::domain::board::{ChannelIx, SlotIx};
use crate::domain::request::SocketState;
use fluent_bundle::FluentArgs;

use super::scene::{DrawnSlot, Holds, Scene};

/// `Tarn, two sockets, DDR3: 16 modules in 24 slots`.
pub fn title(scene: &Scene<'_>) -> String {
    let modules: usize = scene.parts.iter().map(|(_, count)| count).sum();
    let mut args = FluentArgs::new();
    args.set("board", scene.context.board.name.clone());
    args.set("modules", modules);
    args.set("slots", scene.slots.len());
    scene.words.say("draw-title", &args)
}

/// A socket with its processor.
pub fn socket(scene: &Scene<'_>, socket: u8) -> String {
    let mut args = FluentArgs::new();
    args.set("socket", socket);
    let (id, model) = match scene.socket(socket) {
        SocketState::Empty => ("draw-socket-empty", None),
        SocketState::Fitted(None) => ("draw-socket", None),
        SocketState::Fitted(Some(model)) => ("draw-socket-with", Some(model)),
    };
    let name = model.and_then(|model| scene.context.board.processors.get(model));
    args.set(
        "processor",
        name.map_or("?", |own| own.name.as_str()).to_owned(),
    );
    scene.words.say(id, &args)
}

/// `Socket 1. Channel 1: A1 32 GiB 4Rx4 RDIMM (ERW-3R32-4x4, goes in); A2 …`, and the reasons.
pub fn description(scene: &Scene<'_>) -> String {
    let board = scene.context.board;
    let mut text = String::with_capacity(2048);
    for number in 1..=board.sockets {
        text.push_str(&socket(scene, number));
        text.push_str(". ");
        for own in board.channels_of(number) {
            channel(&mut text, own, scene);
        }
    }
    for (number, reason) in (1..).zip(&scene.reasons) {
        text.push_str(&format!("({number}) {reason} "));
    }
    text.truncate(text.trim_end().len());
    text
}

fn channel(text: &mut String, channel: ChannelIx, scene: &Scene<'_>) {
    let board = scene.context.board;
    let slots: Vec<String> = board
        .slots_of(channel)
        .filter_map(|slot| Some(slot_text(slot, scene.slot(slot)?, scene)))
        .collect();
    if slots.is_empty() {
        return;
    }
    let mut args = FluentArgs::new();
    args.set("channel", board.address(channel).1);
    text.push_str(&scene.words.say("draw-channel", &args));
    text.push_str(": ");
    text.push_str(&slots.join("; "));
    text.push_str(". ");
}

fn slot_text(slot: SlotIx, own: &DrawnSlot, scene: &Scene<'_>) -> String {
    let label = scene.context.board.label(slot);
    let holds = match own.holds {
        Holds::Module { part, stays } => {
            let standing = if stays { "draw-stays" } else { "draw-goes-in" };
            format!(
                "{} ({}, {})",
                scene.build(part),
                scene.context.part_name(part),
                scene.words.plain(standing)
            )
        }
        other => state(other, scene),
    };
    let numbers: String = own
        .reasons
        .iter()
        .map(|number| format!(" ({number})"))
        .collect();
    format!("{label} {holds}{numbers}")
}

/// What an empty slot is called.
pub fn state(holds: Holds, scene: &Scene<'_>) -> String {
    let id = match holds {
        Holds::Filler => "draw-filler",
        Holds::Blocked => "draw-blocked",
        Holds::Free | Holds::Module { .. } => "draw-free",
    };
    scene.words.plain(id)
}
