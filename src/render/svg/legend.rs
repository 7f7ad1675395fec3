//! What stands below the drawn slots: what letters, marks and numbers mean, and the numbered reasons.

use crate::domain::board::KeySide;
use fluent_bundle::FluentArgs;

use super::super::escape::xml;
use super::fit::wrapped;
use super::layout::MARGIN;
use super::paint::{LINE_CHARACTERS, Sheet};
use super::scene::{DrawnSlot, Holds};
use super::style::PATTERN_COUNT;

impl Sheet<'_, '_> {
    /// What letters, marks and numbers mean, as far as they occur.
    pub(super) fn key(&mut self) {
        let words = self.scene.words;
        for (part, count) in self.scene.parts.clone() {
            let mut args = FluentArgs::new();
            args.set("count", count);
            args.set("part", self.scene.context.part_name(part).to_owned());
            args.set("build", self.scene.build(part));
            let (top, swatch) = (self.y + 4, MARGIN + 24);
            let pattern = self.scene.pattern(part) % PATTERN_COUNT;
            self.letter(part, "", MARGIN, top);
            self.write(format_args!(
                "<rect class=\"kp-m\" fill=\"url(#kp-p{pattern})\" x=\"{swatch}\" y=\"{top}\" width=\"24\" height=\"18\"/>"
            ));
            let lines = wrapped(&words.say("draw-part", &args), LINE_CHARACTERS - 8);
            self.y = self.beside(&lines, MARGIN + 56, top + 13) - 6;
        }
        self.y += 4;
        for id in self.notes() {
            self.text_lines(&words.plain(id), "kp-s", 16);
        }
    }

    /// The lines of the key that apply.
    fn notes(&self) -> Vec<&'static str> {
        let slots = &self.scene.slots;
        let board = self.scene.context.board;
        let goes_in = |own: &DrawnSlot| matches!(own.holds, Holds::Module { stays: false, .. });
        let stays = |own: &DrawnSlot| matches!(own.holds, Holds::Module { stays: true, .. });
        let mut notes = Vec::new();
        if board.positions > 1 {
            notes.push("draw-key-order");
        }
        if board
            .slots
            .iter()
            .any(|slot| matches!(slot.key, KeySide::Top | KeySide::Bottom))
        {
            notes.push("draw-key-channel");
        }
        notes.push("draw-key-notch");
        if slots.iter().any(goes_in) && slots.iter().any(stays) {
            notes.push("draw-key-plus");
        }
        if slots.iter().any(|own| own.holds == Holds::Filler) {
            notes.push("draw-key-filler");
        }
        notes
    }

    /// The reasons, by the numbers of their marks.
    pub(super) fn reasons(&mut self) {
        self.y += 10;
        for (number, reason) in (1..).zip(&self.scene.reasons) {
            let y = self.y + 14;
            self.number(number, "", MARGIN + 9, y);
            let lines = wrapped(reason, LINE_CHARACTERS - 4);
            self.y = self.beside(&lines, MARGIN + 24, y + 4) - 8;
        }
        if self.scene.more_reasons > 0 {
            let mut args = FluentArgs::new();
            args.set("count", self.scene.more_reasons);
            self.text_lines(&self.scene.words.say("report-more", &args), "kp-s", 16);
        }
    }

    /// Lines of text from a first base on; gives the base of a further one.
    fn beside(&mut self, lines: &[String], x: i32, base: i32) -> i32 {
        let mut base = base;
        for line in lines {
            self.write(format_args!(
                "<text x=\"{x}\" y=\"{base}\">{}</text>",
                xml(line)
            ));
            base += 16;
        }
        base
    }
}
