//! Shapes and text, from the top down. Every text of a record or a caller passes [`xml`].

use crate::domain::board::{ChannelIx, KeySide, SlotIx};
use crate::domain::request::PartIx;
use fluent_bundle::FluentArgs;
use std::fmt::Write;

use super::super::escape::xml;
use super::fit::{fitted, width_of, wrapped};
use super::layout::{Cell, Line, MARGIN, PITCH, Panel, WIDTH, panels};
use super::scene::{DrawnSlot, Holds, Scene};
use super::style::{self, PATTERN_COUNT};
use super::tell;

/// Height of an upright slot.
const BAR: i32 = 146;
/// Width of a lying slot with its label, and of its label.
const LYING: (i32, i32) = ((WIDTH - 2 * MARGIN) / 2, 62);
/// Width of a bold capital of 11 px, as labels have them, on the wide side.
const CAPITAL: i32 = 8;
/// Characters on a line of the key.
pub(super) const LINE_CHARACTERS: usize = 54;
/// Characters on a line of a heading.
const HEADING_CHARACTERS: usize = 42;

/// The whole drawing.
pub fn drawing(scene: &Scene<'_>) -> String {
    let mut sheet = Sheet {
        scene,
        out: String::with_capacity(32 * 1024),
        y: 8,
    };
    sheet.text_lines(&tell::title(scene), "kp-h", 18);
    sheet.y += 10;
    for panel in panels(scene.context.board) {
        sheet.panel(&panel);
    }
    sheet.key();
    sheet.reasons();
    let height = sheet.y + 8;
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"kp\" viewBox=\"0 0 {WIDTH} {height}\" \
width=\"{WIDTH}\" height=\"{height}\" role=\"img\" aria-labelledby=\"kp-title kp-desc\" xml:lang=\"{0}\" lang=\"{0}\">\
<title id=\"kp-title\">{1}</title><desc id=\"kp-desc\">{2}</desc>{3}\
<rect class=\"kp-p\" width=\"{WIDTH}\" height=\"{height}\"/>{4}</svg>\n",
        scene.words.tag,
        xml(&tell::title(scene)),
        xml(&tell::description(scene)),
        style::head(),
        sheet.out
    )
}

/// A drawing in the making.
pub(super) struct Sheet<'s, 'a> {
    pub scene: &'s Scene<'a>,
    out: String,
    /// Where the next thing begins.
    pub y: i32,
}

impl Sheet<'_, '_> {
    pub(super) fn write(&mut self, arguments: std::fmt::Arguments<'_>) {
        let _ = self.out.write_fmt(arguments);
    }

    fn panel(&mut self, panel: &Panel) {
        let (y, right) = (self.y, WIDTH - MARGIN);
        self.write(format_args!(
            "<path class=\"kp-l\" d=\"M{MARGIN},{y}H{right}\"/>"
        ));
        self.text_lines(&tell::socket(self.scene, panel.socket), "kp-h", 18);
        self.y += 6;
        for line in &panel.lines {
            if line.lying {
                self.lying(line);
            } else {
                self.upright(line, panel.socket);
            }
        }
        self.y += 8;
    }

    /// Text over as many lines as it takes.
    pub(super) fn text_lines(&mut self, text: &str, class: &str, height: i32) {
        let most = match class {
            "kp-h" => HEADING_CHARACTERS,
            _ => LINE_CHARACTERS,
        };
        for line in wrapped(text, most) {
            self.y += height;
            let y = self.y;
            self.write(format_args!(
                "<text class=\"{class}\" x=\"{MARGIN}\" y=\"{y}\">{}</text>",
                xml(&line)
            ));
        }
    }

    fn upright(&mut self, line: &Line, socket: u8) {
        let labels = line.cells.iter().filter_map(|cell| self.label(*cell));
        let longest = labels.map(|label| label.chars().count()).max().unwrap_or(0);
        // Long labels stand upright like the slots.
        let zone = match longest {
            0..=3 => 14,
            _ => 8 + CAPITAL * i32::try_from(longest.min(16)).unwrap_or(16),
        };
        let (top, bar) = (self.y, self.y + 22 + zone);
        let mut x = MARGIN;
        for cell in &line.cells {
            match cell {
                Cell::Slot(slot) => {
                    self.order(*slot, x + PITCH / 2, top + 10);
                    self.upright_label(*slot, x + PITCH / 2, bar - 5, longest > 3);
                    self.upright_slot(*slot, x + 2, bar);
                }
                Cell::Gap => self.processor(socket, x + 3, bar + 22),
            }
            x += PITCH;
        }
        self.brackets(line, bar + BAR + 5);
        self.y = bar + BAR + 28;
    }

    fn label(&self, cell: Cell) -> Option<&str> {
        match cell {
            Cell::Slot(slot) => Some(self.scene.context.board.label(slot)),
            Cell::Gap => None,
        }
    }

    /// When a slot fills on its channel, in a small ring.
    fn order(&mut self, slot: SlotIx, x: i32, y: i32) {
        let board = self.scene.context.board;
        if board.wired(board.channel_of(slot)) < 2 {
            return;
        }
        if let Some(order) = self.scene.fills(slot) {
            let base = y + 4;
            self.write(format_args!(
                "<circle class=\"kp-l\" cx=\"{x}\" cy=\"{y}\" r=\"8\"/>\
<text class=\"kp-t kp-c\" x=\"{x}\" y=\"{base}\">{order}</text>"
            ));
        }
    }

    fn upright_label(&mut self, slot: SlotIx, x: i32, y: i32, turned: bool) {
        let label = self.scene.context.board.label(slot);
        if turned {
            let length = fitted(label, CAPITAL * 16);
            let x = x + 4;
            let label = xml(label);
            self.write(format_args!(
                "<text class=\"kp-b kp-t\" transform=\"translate({x},{y})rotate(-90)\"{length}>{label}</text>"
            ));
        } else {
            let label = xml(label);
            self.write(format_args!(
                "<text class=\"kp-b kp-c\" x=\"{x}\" y=\"{y}\">{label}</text>"
            ));
        }
    }

    fn upright_slot(&mut self, slot: SlotIx, x: i32, y: i32) {
        let Some(own) = self.scene.slot(slot).cloned() else {
            return;
        };
        let frame = Frame {
            x,
            y,
            width: 24,
            height: BAR,
        };
        self.frame(&own, frame);
        let badge = self.badge(&own, x + 2, y + BAR - 20);
        let mark = self.mark(&own, x + 12, y + 11);
        let text = self.slot_text(&own);
        let room = BAR - 8 - badge - mark;
        let length = fitted(&text, room);
        let (base_x, base_y) = (x + 16, y + BAR - 4 - badge);
        let strip = width_of(&text).min(room);
        self.strip(&own, x + 4, base_y - strip, 16, strip);
        self.write(format_args!(
            "<text class=\"kp-t\" transform=\"translate({base_x},{base_y})rotate(-90)\"{length}>{}</text>",
            xml(&text)
        ));
        self.notch(slot, frame);
    }

    /// Room for text in a pattern.
    fn strip(&mut self, own: &DrawnSlot, x: i32, y: i32, width: i32, height: i32) {
        if !matches!(own.holds, Holds::Filler | Holds::Free) {
            self.write(format_args!(
                "<rect class=\"kp-p\" x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"/>"
            ));
        }
    }

    fn frame(&mut self, own: &DrawnSlot, frame: Frame) {
        let Frame {
            x,
            y,
            width,
            height,
        } = frame;
        let class = match own.holds {
            Holds::Module { .. } => "kp-m",
            _ => "kp-o",
        };
        let fill = match own.holds {
            Holds::Module { part, .. } => {
                format!(
                    " fill=\"url(#kp-p{})\"",
                    self.scene.pattern(part) % PATTERN_COUNT
                )
            }
            _ => String::new(),
        };
        self.write(format_args!(
            "<rect class=\"{class}\"{fill} x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" rx=\"2\"/>"
        ));
        if own.holds == Holds::Blocked {
            let (right, bottom) = (x + width, y + height);
            self.write(format_args!(
                "<path class=\"kp-x\" d=\"M{x},{y}L{right},{bottom}M{right},{y}L{x},{bottom}\"/>"
            ));
        }
    }

    /// The letter of a module, with a plus if it goes in; gives the room that it takes.
    fn badge(&mut self, own: &DrawnSlot, x: i32, y: i32) -> i32 {
        let Holds::Module { part, stays } = own.holds else {
            return 0;
        };
        self.letter(part, if stays { "" } else { "+" }, x, y);
        22
    }

    /// The letter of a module on its colour, after a sign.
    pub(super) fn letter(&mut self, part: PartIx, sign: &str, x: i32, y: i32) {
        let (letter, colour) = (
            self.scene.letter(part),
            self.scene.pattern(part) % PATTERN_COUNT,
        );
        let (centre, base) = (x + 10, y + 13);
        self.write(format_args!(
            "<rect class=\"kp-f{colour}\" x=\"{x}\" y=\"{y}\" width=\"20\" height=\"18\" rx=\"2\"/>\
<text class=\"kp-b kp-c kp-on\" x=\"{centre}\" y=\"{base}\">{sign}{letter}</text>"
        ));
    }

    /// The numbers of reasons; gives the room that they take.
    fn mark(&mut self, own: &DrawnSlot, x: i32, y: i32) -> i32 {
        let Some(first) = own.reasons.first() else {
            return 0;
        };
        self.number(*first, if own.reasons.len() > 1 { "+" } else { "" }, x, y);
        24
    }

    /// The number of a reason in a disc, before a sign.
    pub(super) fn number(&mut self, number: usize, sign: &str, x: i32, y: i32) {
        let base = y + 4;
        self.write(format_args!(
            "<circle class=\"kp-a\" cx=\"{x}\" cy=\"{y}\" r=\"9\"/>\
<text class=\"kp-b kp-t kp-c kp-on\" x=\"{x}\" y=\"{base}\">{number}{sign}</text>"
        ));
    }

    fn slot_text(&self, own: &DrawnSlot) -> String {
        match own.holds {
            Holds::Module { part, .. } => self.scene.build(part),
            other => tell::state(other, self.scene),
        }
    }

    /// The end of the slot that the key is nearer to.
    fn notch(&mut self, slot: SlotIx, frame: Frame) {
        let Some(record) = self.scene.context.board.slot(slot) else {
            return;
        };
        let Frame {
            x,
            y,
            width,
            height,
        } = frame;
        let path = match record.key {
            KeySide::Top => format!("M{},{}l-5,4l5,4z", x + width, y + height * 2 / 5),
            KeySide::Bottom => format!("M{},{}l-5,4l5,4z", x + width, y + height * 3 / 5 - 8),
            KeySide::Left => format!("M{},{}l4,-6l4,6z", x + width * 2 / 5, y + height),
            KeySide::Right => format!("M{},{}l4,-6l4,6z", x + width * 3 / 5 - 8, y + height),
        };
        self.write(format_args!("<path class=\"kp-k\" d=\"{path}\"/>"));
    }

    fn processor(&mut self, socket: u8, x: i32, y: i32) {
        let fitted_socket = self.scene.is_fitted(socket);
        let (class, id) = match fitted_socket {
            true => ("kp-l", "draw-processor"),
            false => ("kp-o", "draw-processor-none"),
        };
        let text = self.scene.words.plain(id);
        let (base_x, base_y) = (x + 15, y + 96);
        let length = fitted(&text, 88);
        self.write(format_args!(
            "<rect class=\"{class}\" x=\"{x}\" y=\"{y}\" width=\"22\" height=\"102\"/>\
<text class=\"kp-t kp-s\" transform=\"translate({base_x},{base_y})rotate(-90)\"{length}>{}</text>",
            xml(&text)
        ));
    }

    /// Brackets under the slots of one channel, with its number.
    fn brackets(&mut self, line: &Line, y: i32) {
        let board = self.scene.context.board;
        let mut runs: Vec<(ChannelIx, usize, usize)> = Vec::new();
        for (index, cell) in line.cells.iter().enumerate() {
            let Cell::Slot(slot) = cell else {
                continue;
            };
            let channel = board.channel_of(*slot);
            match runs.last_mut() {
                Some((own, _, last)) if *own == channel && *last + 1 == index => *last = index,
                _ => runs.push((channel, index, index)),
            }
        }
        for (channel, first, last) in runs {
            let at = |index: usize| MARGIN + PITCH * i32::try_from(index).unwrap_or(0);
            let (left, right) = (at(first) + 3, at(last) + PITCH - 3);
            let (centre, base) = ((left + right) / 2, y + 16);
            let number = board.address(channel).1;
            self.write(format_args!(
                "<path class=\"kp-l\" d=\"M{left},{y}v4H{right}v-4\"/>\
<text class=\"kp-t kp-c\" x=\"{centre}\" y=\"{base}\">{number}</text>"
            ));
        }
    }

    fn lying(&mut self, line: &Line) {
        let mut x = MARGIN;
        for cell in &line.cells {
            if let Cell::Slot(slot) = cell {
                self.lying_slot(*slot, x, self.y);
            }
            x += LYING.0;
        }
        self.y += 42;
    }

    fn lying_slot(&mut self, slot: SlotIx, x: i32, y: i32) {
        let board = self.scene.context.board;
        let Some(own) = self.scene.slot(slot).cloned() else {
            return;
        };
        self.order(slot, x + 9, y + 12);
        let label = board.label(slot);
        let mut args = FluentArgs::new();
        args.set("channel", board.address(board.channel_of(slot)).1);
        let channel = self.scene.words.say("draw-channel", &args);
        let (text_x, label_y, channel_y) = (x + 20, y + 16, y + 32);
        let (one, other) = (fitted(label, LYING.1 - 22), fitted(&channel, LYING.1 - 4));
        let label = xml(label);
        self.write(format_args!(
            "<text class=\"kp-b\" x=\"{text_x}\" y=\"{label_y}\"{one}>{label}</text>\
<text class=\"kp-t kp-s\" x=\"{x}\" y=\"{channel_y}\"{other}>{channel}</text>"
        ));
        let frame = Frame {
            x: x + LYING.1,
            y: y + 4,
            width: LYING.0 - LYING.1 - 6,
            height: 26,
        };
        self.frame(&own, frame);
        let badge = self.badge(&own, frame.x + 3, frame.y + 4);
        let mark = self.mark(&own, frame.x + frame.width - 12, frame.y + 13);
        let room = frame.width - 10 - badge - mark;
        let text = self.slot_text(&own);
        let length = fitted(&text, room - 2);
        let strip = (width_of(&text) + 4).min(room);
        self.strip(&own, frame.x + 4 + badge, frame.y + 4, strip, 18);
        let (base_x, base_y) = (frame.x + 6 + badge, frame.y + 17);
        self.write(format_args!(
            "<text class=\"kp-t\" x=\"{base_x}\" y=\"{base_y}\"{length}>{}</text>",
            xml(&text)
        ));
        self.notch(slot, frame);
    }
}

#[derive(Clone, Copy)]
struct Frame {
    x: i32,
    y: i32,
    width: i32,
    height: i32,
}
