//! The facts that a broken rule rests on: a smallest set of premises that still implies it.
//!
//! A set implies that a rule is broken if the rule is broken whatever else there is: both when there
//! is nothing else, and when everything that the set does not tell is there and wholly unknown. The
//! rule itself decides, so nothing is judged twice. A premise is dropped if the rest implies it too;
//! since knowing more never decides less, what is left can lose no premise.

use super::super::board::{Board, ChannelIx, SlotIx};
use super::super::channel::Stack;
use super::super::finding::Finding;
use super::super::module::{Module, ModuleFacts};
use super::super::outcome::{self, Outcome};
use super::super::population::{Occupant, Origin, Population};
use super::super::request::{KitLine, PartIx, Request, Seated, SocketState};
use super::super::rules::BoardView;
use super::super::rules::probe::{self, Place, Site};
use super::super::setup::Setup;
use super::premise::{MODULE_FACTS, Member, Premise, WISHES, forget, module_fact};
use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

/// A case that was judged: what a finding is taken apart against.
#[derive(Clone, Copy)]
pub struct Judged<'a> {
    /// The board.
    pub board: &'a Board,
    /// The request, with the modules that come out marked as removed.
    pub request: &'a Request,
    /// Which module sits in which slot.
    pub population: &'a Population,
    /// The processor model that stands in for those that were not told.
    pub model: Option<usize>,
}

/// What a finding rests on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cause {
    /// Where it was found: one of the alike channels or sockets that the finding names.
    pub place: Place,
    /// The facts; none can be left out.
    pub premises: Vec<Premise>,
}

/// The most evaluations of a rule for one cause; a larger cause is given as far as it was reduced.
const MOST_TRIES: u32 = 2_000;

impl<'a> Judged<'a> {
    /// What a broken finding rests on; `None` if the rule cannot be asked by itself.
    pub fn cause(&self, finding: &Finding) -> Option<Cause> {
        let setup = Setup::new(self.board, self.request, self.model)?;
        let site = self.site(finding, &setup)?;
        let inquiry = Inquiry {
            judged: *self,
            site,
            finding,
            sockets: (1..=self.board.sockets).map(|n| setup.socket(n)).collect(),
            boards: RefCell::default(),
        };
        // What the rule says it reads, and else everything.
        let likely = inquiry.premises(|fact| finding.rule.reads.contains(&fact));
        let premises = if inquiry.implies(&likely) {
            likely
        } else {
            let all = inquiry.premises(|_| true);
            if !inquiry.implies(&all) {
                return None;
            }
            all
        };
        Some(Cause {
            place: site.place,
            premises: inquiry.reduced(premises),
        })
    }

    /// Whether these premises alone imply a finding.
    pub fn implies(&self, premises: &[Premise], finding: &Finding) -> Option<bool> {
        let setup = Setup::new(self.board, self.request, self.model)?;
        let inquiry = Inquiry {
            judged: *self,
            site: self.site(finding, &setup)?,
            finding,
            sockets: (1..=self.board.sockets).map(|n| setup.socket(n)).collect(),
            boards: RefCell::default(),
        };
        Some(inquiry.implies(premises))
    }

    fn site(&self, finding: &Finding, setup: &Setup<'_>) -> Option<Site> {
        let stacks: Vec<Stack> = self.stacks(self.population);
        let on_board = |check| matches!(check, &super::super::rules::Check::Board(_));
        let outcome = match finding.rule.checks.iter().any(on_board) {
            true => outcome::compute(setup, &stacks),
            false => Outcome::default(),
        };
        let view = BoardView::new(setup, self.population, &stacks, &outcome, &[]);
        probe::site(finding, &view)
    }

    fn stacks(&self, population: &Population) -> Vec<Stack> {
        let board = self.board;
        let stack = |channel: ChannelIx| {
            let slots = board.slots_of(channel);
            Stack::of(slots.map(|slot| population.at(slot).map(|occupant| occupant.part)))
        };
        board.all_channels().map(stack).collect()
    }
}

/// A rule that is asked again and again with less known.
struct Inquiry<'a> {
    judged: Judged<'a>,
    site: Site,
    finding: &'a Finding,
    sockets: Vec<SocketState>,
    /// Boards with some limits unknown: the same ones are asked for again and again.
    boards: RefCell<Vec<(Vec<Member>, Rc<Board>)>>,
}

/// What there is besides what is told.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Rest {
    /// Nothing.
    Nothing,
    /// Everything that may be, and nobody knows what it is.
    Unknown,
}

impl Inquiry<'_> {
    /// Everything that is known at the place, with the facts of modules that are wanted. What is
    /// told of many things comes first, so that it is dropped first.
    fn premises(&self, wanted: impl Fn(super::super::finding::Fact) -> bool) -> Vec<Premise> {
        let request = self.judged.request;
        let mut premises = Vec::new();
        let wishes = (0u8..)
            .zip(WISHES)
            .filter(|(_, (is_told, _))| is_told(&request.wishes));
        premises.extend(wishes.map(|(index, _)| Premise::Wish(index)));
        if request.firmware.is_some() {
            premises.push(Premise::Firmware);
        }
        premises.push(Premise::Protection);
        let sockets = 1..=self.judged.board.sockets;
        premises.extend(sockets.clone().map(Premise::Model));
        premises.extend(sockets.map(Premise::Fitted));
        let parts = self.parts();
        premises.extend(parts.iter().map(|part| Premise::Amount(*part)));
        premises.extend(parts.iter().map(|part| Premise::Named(*part)));
        for part in parts {
            let module = request.part(part);
            let told = |fact| module.is_some_and(|module| module_fact(module, fact).is_some());
            let facts = MODULE_FACTS
                .into_iter()
                .filter(|fact| wanted(*fact) && told(*fact));
            premises.extend(facts.map(|fact| Premise::Module(part, fact)));
        }
        for slot in self.slots() {
            premises.push(match self.judged.population.at(slot) {
                Some(_) => Premise::Seat(slot),
                None => Premise::Empty(slot),
            });
        }
        let members = Member::of_rule(self.finding.rule.id).iter();
        premises.extend(members.map(|member| Premise::Limit(*member)));
        premises
    }

    fn parts(&self) -> Vec<PartIx> {
        let used = |part: &PartIx| self.judged.request.quantity(*part) > 0;
        match self.site.place {
            Place::Part(part) => vec![part],
            _ => self.judged.request.part_ixs().filter(used).collect(),
        }
    }

    /// The slots that the place speaks of.
    fn slots(&self) -> Vec<SlotIx> {
        let board = self.judged.board;
        match self.site.place {
            Place::Part(_) | Place::Kit => Vec::new(),
            Place::Channel(channel) => board.slots_of(channel).collect(),
            Place::Socket(socket) => {
                let channels = board.channels_of(socket);
                channels
                    .flat_map(|channel| board.slots_of(channel))
                    .collect()
            }
            Place::Board => {
                let channels = board.all_channels();
                channels
                    .flat_map(|channel| board.slots_of(channel))
                    .collect()
            }
        }
    }

    /// Drops what the rest does not need: large pieces first, then one by one.
    fn reduced(&self, mut kept: Vec<Premise>) -> Vec<Premise> {
        let mut tries = 0;
        let mut piece = kept.len().div_ceil(2).max(1);
        loop {
            let mut start = 0;
            while start < kept.len() && tries < MOST_TRIES {
                let end = (start + piece).min(kept.len());
                let rest = [kept.get(..start), kept.get(end..)];
                let rest: Vec<Premise> = rest.into_iter().flatten().flatten().copied().collect();
                tries += 1;
                if self.implies(&rest) {
                    kept = rest;
                } else {
                    start = end;
                }
            }
            if piece == 1 {
                return kept;
            }
            piece = piece.div_ceil(2);
        }
    }

    fn implies(&self, premises: &[Premise]) -> bool {
        let limits = self.forgotten(premises);
        let board = limits.as_deref().unwrap_or(self.judged.board);
        [Rest::Nothing, Rest::Unknown]
            .into_iter()
            .all(|rest| self.is_broken(board, premises, rest))
    }

    /// The board with the limits unknown that are not told.
    fn forgotten(&self, premises: &[Premise]) -> Option<Rc<Board>> {
        let members = Member::of_rule(self.finding.rule.id).iter().copied();
        let gone: Vec<Member> = members
            .filter(|member| member.may_be_unknown())
            .filter(|member| !premises.contains(&Premise::Limit(*member)))
            .collect();
        if gone.is_empty() {
            return None;
        }
        let mut boards = self.boards.borrow_mut();
        if let Some((_, board)) = boards.iter().find(|(known, _)| *known == gone) {
            return Some(Rc::clone(board));
        }
        let forget = |facts: &mut _| gone.iter().for_each(|member| member.forget(facts));
        let board = Rc::new(self.judged.board.with_limits(forget));
        boards.push((gone, Rc::clone(&board)));
        Some(board)
    }

    fn is_broken(&self, board: &Board, premises: &[Premise], rest: Rest) -> bool {
        let Some((request, population)) = self.world(premises, rest) else {
            return false;
        };
        let Some(setup) = Setup::new(board, &request, None) else {
            return false;
        };
        let stacks = self.judged.stacks(&population);
        let outcome = match self.site.place {
            Place::Board => outcome::compute(&setup, &stacks),
            _ => Outcome::default(),
        };
        let view = BoardView::new(&setup, &population, &stacks, &outcome, &[]);
        probe::is_broken(self.site, self.finding.severity, &view)
    }

    /// What is left when only the premises are known.
    fn world(&self, premises: &[Premise], rest: Rest) -> Option<(Request, Population)> {
        let whole = self.judged.request;
        let told = |premise: Premise| premises.contains(&premise);
        let mut request = Request {
            parts: self.known_parts(premises)?,
            installed_policy: whole.installed_policy,
            sockets: Some(self.known_sockets(premises, rest)),
            firmware: whole.firmware.clone().filter(|_| told(Premise::Firmware)),
            voltage_policy: whole.voltage_policy,
            wishes: whole.wishes,
            ..Request::default()
        };
        if told(Premise::Protection) {
            request.protection = whole.protection;
        }
        for (index, (_, drop)) in (0u8..).zip(WISHES) {
            if !told(Premise::Wish(index)) {
                drop(&mut request.wishes);
            }
        }
        let stranger = PartIx(u16::try_from(request.parts.len()).ok()?);
        request
            .parts
            .push(Arc::new(Module::checked(ModuleFacts::default()).ok()?));
        let slots = self.slots();
        if slots.is_empty() {
            self.tell_kit(&mut request, premises, stranger, rest);
            return Some((request, Population::empty(self.judged.board)));
        }
        let population = self.tell_slots(&mut request, &slots, premises, stranger, rest);
        Some((request, population))
    }

    /// The modules with the facts that are told.
    fn known_parts(&self, premises: &[Premise]) -> Option<Vec<Arc<Module>>> {
        let mut known = Vec::with_capacity(self.judged.request.parts.len() + 1);
        for (part, module) in self
            .judged
            .request
            .part_ixs()
            .zip(&self.judged.request.parts)
        {
            let gone = |fact: &super::super::finding::Fact| {
                module_fact(module, *fact).is_some()
                    && !premises.contains(&Premise::Module(part, *fact))
            };
            let gone: Vec<_> = MODULE_FACTS.into_iter().filter(gone).collect();
            if gone.is_empty() {
                known.push(Arc::clone(module));
                continue;
            }
            let mut facts = ModuleFacts::clone(module);
            gone.into_iter().for_each(|fact| forget(&mut facts, fact));
            known.push(Arc::new(Module::checked(facts).ok()?));
        }
        Some(known)
    }

    fn known_sockets(&self, premises: &[Premise], rest: Rest) -> Vec<SocketState> {
        let state = |(number, state): (u8, &SocketState)| {
            let fitted = *state != SocketState::Empty;
            if premises.contains(&Premise::Model(number)) {
                *state
            } else if fitted && premises.contains(&Premise::Fitted(number)) {
                SocketState::Fitted(None)
            } else {
                match rest {
                    Rest::Nothing => SocketState::Empty,
                    Rest::Unknown => SocketState::Fitted(None),
                }
            }
        };
        (1u8..).zip(&self.sockets).map(state).collect()
    }

    /// Modules by number, for checks that do not ask for slots.
    fn tell_kit(&self, request: &mut Request, premises: &[Premise], stranger: PartIx, rest: Rest) {
        /// More than any board has slots.
        const PLENTY: u32 = 100_000;
        let whole = self.judged.request;
        let mut open = false;
        for part in self.parts() {
            if premises.contains(&Premise::Amount(part)) {
                request
                    .kit
                    .extend(whole.kit.iter().filter(|line| line.part == part));
                let given = whole.population.iter();
                request
                    .population
                    .extend(given.filter(|entry| entry.part == part));
                let stays = whole.staying().map(|(_, entry)| entry);
                request
                    .installed
                    .extend(stays.filter(|entry| entry.part == part));
                continue;
            }
            open = true;
            if premises.contains(&Premise::Named(part)) {
                request.kit.push(KitLine { part, quantity: 1 });
            }
        }
        if open && rest == Rest::Unknown {
            request.kit.push(KitLine {
                part: stranger,
                quantity: PLENTY,
            });
        }
    }

    /// Modules in slots.
    fn tell_slots(
        &self,
        request: &mut Request,
        slots: &[SlotIx],
        premises: &[Premise],
        stranger: PartIx,
        rest: Rest,
    ) -> Population {
        let mut population = Population::empty(self.judged.board);
        for slot in slots.iter().copied() {
            if premises.contains(&Premise::Seat(slot)) {
                let doubled = self.judged.population.doubled.iter();
                let doubled = doubled.filter(|(other, _)| *other == slot).map(|(_, o)| *o);
                for occupant in self.judged.population.at(slot).into_iter().chain(doubled) {
                    seat(request, &mut population, slot, occupant);
                }
            } else if rest == Rest::Unknown && !premises.contains(&Premise::Empty(slot)) {
                let occupant = Occupant {
                    part: stranger,
                    origin: Origin::Population(0),
                };
                seat(request, &mut population, slot, occupant);
            }
        }
        for part in self.parts() {
            let known = request.quantity(part) > 0;
            let named = [Premise::Named(part), Premise::Amount(part)];
            if !known && named.iter().any(|premise| premises.contains(premise)) {
                request.kit.push(KitLine { part, quantity: 1 });
            }
        }
        population
    }
}

/// Seats a module, and tells it in the request where it came from.
fn seat(request: &mut Request, population: &mut Population, slot: SlotIx, occupant: Occupant) {
    let entry = Seated {
        part: occupant.part,
        slot: Some(slot),
    };
    match occupant.origin {
        Origin::Installed(_) => request.installed.push(entry),
        Origin::Kit(_) | Origin::Population(_) => request.population.push(entry),
    }
    population.seat(slot, occupant);
}
