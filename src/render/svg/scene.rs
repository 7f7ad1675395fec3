//! What is in the drawing: each slot with what it holds, and numbered reasons.

use crate::domain::board::{ChannelIx, Limit, SlotIx};
use crate::domain::channel::{Stack, seen_ranks};
use crate::domain::finding::{Severity, State};
use crate::domain::module::Module;
use crate::domain::outcome::views;
use crate::domain::population::Origin;
use crate::domain::request::{PartIx, Request, SocketState};
use crate::domain::setup::Setup;
use fluent_bundle::FluentArgs;

use super::super::values::capacity_text;
use super::super::words::{Context, Words};
use super::Subject;

/// The most reasons that are written out.
const MOST_REASONS: usize = 12;

/// What a slot holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// A module.
    Module {
        /// Which.
        part: PartIx,
        /// Whether it is installed and stays in its slot.
        stays: bool,
    },
    /// Nothing: a filler goes there.
    Filler,
    /// Nothing.
    Free,
    /// Nothing, and no module can work there.
    Blocked,
}

/// A slot.
#[derive(Clone, Debug)]
pub struct DrawnSlot {
    /// What it holds.
    pub holds: Holds,
    /// Numbers of the reasons that concern it, from 1.
    pub reasons: Vec<usize>,
}

/// Everything that is drawn.
pub struct Scene<'a> {
    /// Board and request.
    pub context: Context<'a>,
    /// The language.
    pub words: &'a Words,
    /// Each slot, in the order of the board's.
    pub slots: Vec<DrawnSlot>,
    /// Modules in the order of their letters, with how many are on the board.
    pub parts: Vec<(PartIx, usize)>,
    /// Why slots are blocked, and what is wrong.
    pub reasons: Vec<String>,
    /// Reasons that are not written out.
    pub more_reasons: usize,
}

impl<'a> Scene<'a> {
    /// The scene of a subject.
    pub fn of(subject: Subject<'a>, words: &'a Words) -> Self {
        let board = subject.context.board;
        let count = u16::try_from(board.slots.len()).unwrap_or(u16::MAX);
        let mut scene = Self {
            context: subject.context,
            words,
            slots: (0..count)
                .map(SlotIx)
                .map(|slot| own(slot, subject))
                .collect(),
            parts: parts(subject),
            reasons: Vec::new(),
            more_reasons: 0,
        };
        scene.block(subject);
        scene.find(subject);
        scene
    }

    /// What a slot holds.
    pub fn slot(&self, slot: SlotIx) -> Option<&DrawnSlot> {
        self.slots.get(usize::from(slot.0))
    }

    /// The letter of a module: `a`, `b`, and so on; `z` for all beyond.
    pub fn letter(&self, part: PartIx) -> char {
        let index = self.parts.iter().position(|(own, _)| *own == part);
        let index = u8::try_from(index.unwrap_or(25)).unwrap_or(25).min(25);
        char::from(b'a' + index)
    }

    /// The place of a module among the patterns.
    pub fn pattern(&self, part: PartIx) -> usize {
        let index = self.parts.iter().position(|(own, _)| *own == part);
        index.unwrap_or_default()
    }

    /// A module in the words of its label.
    pub fn build(&self, part: PartIx) -> String {
        self.context
            .request
            .part(part)
            .map_or_else(String::new, build)
    }

    /// When the slot fills among those of its channel, from 1.
    pub fn fills(&self, slot: SlotIx) -> Option<usize> {
        let board = self.context.board;
        let fitted = (1..=board.sockets).filter(|socket| self.is_fitted(*socket));
        let row = board.filling_for(u8::try_from(fitted.count()).ok()?)?;
        let place = board.slot(slot)?.place;
        let wired = board.wired(board.channel_of(slot));
        let mut order = row.position_order.iter().filter(|own| **own <= wired);
        Some(order.position(|own| *own == place.position)? + 1)
    }

    /// Whether a socket has a processor.
    pub fn is_fitted(&self, socket: u8) -> bool {
        self.socket(socket) != SocketState::Empty
    }

    /// The processor of a socket.
    pub fn socket(&self, socket: u8) -> SocketState {
        let sockets = self.context.request.sockets.as_ref();
        let state = sockets.and_then(|all| all.get(usize::from(socket) - 1));
        state.copied().unwrap_or(SocketState::Fitted(None))
    }

    /// The number of a reason; nothing if there are too many already.
    fn reason(&mut self, text: String) -> Option<usize> {
        if let Some(known) = self.reasons.iter().position(|own| *own == text) {
            return Some(known + 1);
        }
        if self.reasons.len() >= MOST_REASONS {
            self.more_reasons += 1;
            return None;
        }
        self.reasons.push(text);
        Some(self.reasons.len())
    }

    /// Marks empty slots in which no module can work.
    fn block(&mut self, subject: Subject<'_>) {
        let (board, request) = (self.context.board, self.context.request);
        let Some(setup) = Setup::new(board, request, None) else {
            return;
        };
        let stack = |channel| Stack::of(subject.population.on_channel(board, channel));
        let stacks: Vec<Stack> = board.all_channels().map(stack).collect();
        for view in views(&setup, &stacks) {
            let seen = seen_ranks(&view);
            let why = match (
                setup.channel_works(view.socket, board.address(view.channel).1),
                board.rank_budget,
            ) {
                _ if !setup.is_fitted(view.socket) => self.words.plain("draw-no-processor"),
                (Some(false), _) => self.words.plain("draw-not-served"),
                (_, Limit::Is(budget)) if seen.exact && seen.at_least >= u16::from(budget) => {
                    let mut args = FluentArgs::new();
                    args.set("seen", seen.at_least);
                    args.set("budget", budget);
                    self.words.say("draw-ranks-used", &args)
                }
                _ => continue,
            };
            self.block_channel(view.channel, &why);
        }
    }

    fn block_channel(&mut self, channel: ChannelIx, why: &str) {
        let empty: Vec<usize> = self
            .context
            .board
            .slots_of(channel)
            .map(|slot| usize::from(slot.0))
            .filter(|slot| {
                let own = self.slots.get(*slot);
                own.is_some_and(|own| !matches!(own.holds, Holds::Module { .. }))
            })
            .collect();
        if empty.is_empty() {
            return;
        }
        let number = self.reason(why.to_owned());
        for slot in empty {
            if let Some(own) = self.slots.get_mut(slot) {
                // A filler still belongs into a slot that cannot be used, if air is to pass.
                if own.holds == Holds::Free {
                    own.holds = Holds::Blocked;
                }
                own.reasons.extend(number);
            }
        }
    }

    /// Numbers the findings that speak of slots.
    fn find(&mut self, subject: Subject<'_>) {
        for finding in subject.findings {
            let grave = finding.severity <= Severity::Warning;
            if finding.state != State::Broken || !grave || finding.slots.is_empty() {
                continue;
            }
            let sentence = self.words.finding(finding, self.context);
            let number = self.reason(sentence);
            for slot in &finding.slots {
                if let Some(own) = self.slots.get_mut(usize::from(slot.0)) {
                    own.reasons.extend(number);
                }
            }
        }
    }
}

fn own(slot: SlotIx, subject: Subject<'_>) -> DrawnSlot {
    let board = subject.context.board;
    let fitted = board.slot(slot).is_some_and(|own| {
        let sockets = subject.context.request.sockets.as_ref();
        let state = sockets.and_then(|all| all.get(usize::from(own.place.socket) - 1));
        state != Some(&SocketState::Empty)
    });
    let holds = match subject.population.at(slot) {
        Some(occupant) => Holds::Module {
            part: occupant.part,
            stays: stays(slot, occupant.origin, subject.context.request),
        },
        None if board.fillers && fitted => Holds::Filler,
        None => Holds::Free,
    };
    DrawnSlot {
        holds,
        reasons: Vec::new(),
    }
}

/// Whether a module is where it has been all along. One that moves goes in like a new one; one of
/// which nobody told the slot is not known to be new.
fn stays(slot: SlotIx, origin: Origin, request: &Request) -> bool {
    match origin {
        Origin::Installed(entry) => {
            let seated = request.installed.get(entry as usize);
            let home = seated.and_then(|seated| seated.slot);
            home.is_none_or(|home| home == slot)
        }
        Origin::Kit(_) | Origin::Population(_) => false,
    }
}

fn parts(subject: Subject<'_>) -> Vec<(PartIx, usize)> {
    let mut parts: Vec<(PartIx, usize)> = Vec::new();
    for (_, occupant) in subject.population.occupied() {
        match parts.iter_mut().find(|(part, _)| *part == occupant.part) {
            Some((_, count)) => *count += 1,
            None => parts.push((occupant.part, 1)),
        }
    }
    parts.sort_unstable();
    parts
}

/// `32 GiB 4Rx4 RDIMM`, as far as it is known.
pub fn build(module: &Module) -> String {
    let capacity = module.capacity.map(capacity_text);
    let ranks = module.package_ranks.map(|ranks| {
        let width = module.width.map_or("", |width| width.name());
        format!("{ranks}R{width}")
    });
    let stack = module
        .stack_height
        .filter(|height| *height > 1)
        .map(|height| format!("3DS {height}H"));
    let kind = module.kind.map(|kind| kind.name().to_owned());
    let words: Vec<String> = [capacity, ranks, stack, kind]
        .into_iter()
        .flatten()
        .collect();
    words.join(" ")
}
