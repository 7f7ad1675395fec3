//! From a request to the core's: names are looked up, and everything that cannot be found is named at
//! once.

mod machine;
mod names;
mod parts;
mod wishes;

pub use names::{holds_request, with_names};
pub use parts::describe;

use crate::catalogue::Catalogue;
use crate::domain::board::policy::Protection;
use crate::domain::board::{Board, SlotIx};
use crate::domain::finding::Severity;
use crate::domain::module::{Module, RecordFault};
use crate::domain::request::{
    self as core, InstalledPolicy, KitLine, PartIx, Request, Seated, SocketState, VoltagePolicy,
};
use crate::wirecheck::near::close_matches;
use crate::wirecheck::{Fault, FaultCode, Faults};
use std::sync::Arc;

use super::answer::BlockOn;
use super::note::NoteBody;
use super::pointer::Pointer;
use super::read_inventory::{InstalledBody, ReportSource};
use super::reference::LabelRef;
use super::reported::{self, Installed};
use super::request::{
    BlockName, InstalledEntry, KitEntry, MOST_MODULES, PopulationEntry, ValidateRequest,
};

/// A board of the catalogue, or one of the request's own.
pub enum BoardSource<'a> {
    /// Of the catalogue.
    Known(&'a Board),
    /// Of the request.
    Own(Box<Board>),
}

impl BoardSource<'_> {
    /// The board.
    pub fn board(&self) -> &Board {
        match self {
            Self::Known(board) => board,
            Self::Own(board) => board,
        }
    }
}

/// A request whose names have been found.
pub struct Resolved<'a> {
    /// The board.
    pub board: BoardSource<'a>,
    /// The core's request.
    pub request: Request,
    /// The catalogue's id of each of its parts, where it is of the catalogue.
    pub ids: Vec<Option<String>>,
    /// What blocks.
    pub block_on: BlockOn,
    /// What was noted while labels and a report were read.
    pub notes: Vec<NoteBody>,
    /// Installed modules that were taken from a report.
    pub taken: Vec<InstalledBody>,
}

impl ValidateRequest {
    /// Looks every name up.
    ///
    /// # Errors
    /// Everything that cannot be found or used, with pointers.
    pub fn resolve<'a>(&self, catalogue: &'a Catalogue) -> Result<Resolved<'a>, Faults> {
        self.resolve_with(catalogue, |_| (), |_, _, _| ())
            .map(|(resolved, ())| resolved)
    }

    /// Looks every name up, and reads what stands beside it in a larger request; of that, only names
    /// where the board is not known.
    ///
    /// # Errors
    /// Everything that cannot be found or used, with pointers.
    pub(super) fn resolve_with<'a, T>(
        &self,
        catalogue: &'a Catalogue,
        names: impl FnOnce(&mut Reader<'a>),
        more: impl FnOnce(&mut Reader<'a>, &Board, &Request) -> T,
    ) -> Result<(Resolved<'a>, T), Faults> {
        let mut reader = Reader::new(catalogue);
        reader.left_extras(self);
        let board = reader.board(self.board.as_ref());
        if board.is_none() {
            reader.boardless(self);
            names(&mut reader);
        }
        let request = board.as_ref().map(|board| {
            let request = reader.request(self, board.board());
            let more = more(&mut reader, board.board(), &request);
            (request, more)
        });
        match (board, request) {
            (Some(board), Some((request, more))) if reader.faults.is_empty() => {
                let resolved = Resolved {
                    board,
                    ids: reader.parts.iter().map(|(id, _)| id.clone()).collect(),
                    request: Request {
                        parts: reader.parts.into_iter().map(|(_, part)| part).collect(),
                        ..request
                    },
                    block_on: block_on(self),
                    notes: reader.notes,
                    taken: reader.taken,
                };
                Ok((resolved, more))
            }
            _ => Err(reader.into_faults()),
        }
    }
}

fn block_on(body: &ValidateRequest) -> BlockOn {
    let Some(names) = &body.block_on else {
        return BlockOn::default();
    };
    let severity = |name: &BlockName| match name {
        BlockName::Blocker => Some(Severity::Blocker),
        BlockName::Warning => Some(Severity::Warning),
        BlockName::Advice => Some(Severity::Advice),
        BlockName::Note => Some(Severity::Note),
        BlockName::Undecided => None,
    };
    BlockOn {
        severities: names.iter().filter_map(severity).collect(),
        undecided: names.contains(&BlockName::Undecided),
    }
}

/// What a report tells: the modules, which sockets are fitted, and the slots that it leaves out.
type OfReport = (Vec<Seated>, Option<Vec<bool>>, Option<Vec<SlotIx>>);

/// Looks names up, and keeps what it finds and what it does not find.
pub(in crate::api) struct Reader<'a> {
    pub(super) catalogue: &'a Catalogue,
    pub(super) faults: Vec<Fault>,
    /// Distinct modules; those of the catalogue with their id.
    pub(super) parts: Vec<(Option<String>, Arc<Module>)>,
    /// Labels that have been read, each with the module that it gave.
    labels: Vec<(LabelRef, PartIx)>,
    /// Behind the slot that was found last.
    next_slot: u16,
    notes: Vec<NoteBody>,
    taken: Vec<InstalledBody>,
}

impl<'a> Reader<'a> {
    fn new(catalogue: &'a Catalogue) -> Self {
        Self {
            catalogue,
            faults: Vec::new(),
            parts: Vec::new(),
            labels: Vec::new(),
            next_slot: 0,
            notes: Vec::new(),
            taken: Vec::new(),
        }
    }

    /// A receipt or a delivery that nobody took out of the request before would be ignored here.
    fn left_extras(&mut self, body: &ValidateRequest) {
        let asked = [
            (
                "/receipt",
                body.receipt == Some(true),
                "this can only be asked of `POST /v1/validate`",
            ),
            (
                "/deliver_to",
                body.deliver_to.is_some(),
                "this can only be asked of `POST /v1/validate`, or beside the `request` of `POST /v1/explain`",
            ),
        ];
        for (pointer, _, message) in asked.into_iter().filter(|(_, asked, _)| *asked) {
            let fault = Fault::new(pointer, FaultCode::Unusable, message);
            self.faults.push(fault.hint("leave it out here"));
        }
    }

    fn into_faults(mut self) -> Faults {
        let most = crate::wirecheck::fault::MOST_FAULTS;
        let truncated = self.faults.len() > most;
        self.faults.truncate(most);
        Faults {
            list: self.faults,
            truncated,
        }
    }

    pub(super) fn record_faults(&mut self, at: &str, faults: Vec<RecordFault>) {
        self.faults.extend(faults.into_iter().map(|fault| {
            Fault::new(
                format!("{at}{}", fault.pointer),
                FaultCode::Unusable,
                fault.message,
            )
            .hint(fault.hint)
        }));
    }

    fn request(&mut self, body: &ValidateRequest, board: &Board) -> Request {
        let kit = body.kit.as_deref().unwrap_or_default();
        let population = body.population.as_deref().unwrap_or_default();
        let (lines, seats) = (self.kit(kit), self.population(population, board));
        let (installed, fitted, left_out) = match &body.installed {
            None => (Vec::new(), None, None),
            Some(Installed::List(list)) => (self.installed(list, board), None, None),
            Some(Installed::Report(report)) => self.report(&report.inventory, board),
        };
        let sockets = match &body.processors {
            Some(list) => Some(self.sockets(list, board)),
            None => fitted.map(|fitted| self.fitted(fitted, board)),
        };
        let left_out = left_out.map(|slots| self.left_out(slots, sockets.as_deref(), board));
        let total = kit.iter().map(|line| u64::from(line.quantity)).sum::<u64>()
            + (population.len() + installed.len()) as u64;
        if total > MOST_MODULES {
            let fault = Fault::new(
                "",
                FaultCode::OutOfRange,
                format!("the request names {total} modules"),
            );
            self.faults
                .push(fault.hint(format!("at most {MOST_MODULES} in all")));
        }
        Request {
            parts: Vec::new(),
            kit: lines,
            population: seats,
            installed,
            left_out,
            installed_policy: body
                .installed_policy
                .map_or(InstalledPolicy::InPlace, Into::into),
            removed: Vec::new(),
            sockets,
            firmware: body
                .firmware
                .as_deref()
                .and_then(|text| self.firmware(text)),
            protection: body.protection.map_or(Protection::None, Into::into),
            voltage_policy: body
                .voltage_policy
                .map_or(VoltagePolicy::Fastest, Into::into),
            wishes: body
                .wishes
                .as_ref()
                .map_or_else(core::Wishes::default, |wishes| self.wishes(wishes)),
            names: core::Names {
                voltage_policy: body.voltage_policy.is_some(),
                installed_policy: body.installed_policy.is_some(),
            },
        }
    }

    pub(super) fn kit(&mut self, kit: &[KitEntry]) -> Vec<KitLine> {
        let part = |(index, line): (usize, &KitEntry)| {
            let part = self.part(&line.module, &Pointer::Member("kit", index, "module"))?;
            Some(KitLine {
                part,
                quantity: line.quantity,
            })
        };
        kit.iter().enumerate().filter_map(part).collect()
    }

    pub(super) fn population(
        &mut self,
        population: &[PopulationEntry],
        board: &Board,
    ) -> Vec<Seated> {
        let seat = |(index, entry): (usize, &PopulationEntry)| {
            let slot = self.slot(
                &entry.slot,
                &Pointer::Member("population", index, "slot"),
                board,
            );
            let part = self.part(
                &entry.module,
                &Pointer::Member("population", index, "module"),
            )?;
            Some(Seated {
                part,
                slot: Some(slot?),
            })
        };
        population.iter().enumerate().filter_map(seat).collect()
    }

    fn installed(&mut self, installed: &[InstalledEntry], board: &Board) -> Vec<Seated> {
        let seat = |(index, entry): (usize, &InstalledEntry)| {
            let at = |member| Pointer::Member("installed", index, member);
            let slot = entry
                .slot
                .as_ref()
                .map(|label| self.slot(label, &at("slot"), board));
            let part = self.part(&entry.module, &at("module"))?;
            let part = match entry.switched_off {
                true => self.switched_off(part)?,
                false => part,
            };
            Some(Seated {
                part,
                slot: slot.flatten(),
            })
        };
        installed.iter().enumerate().filter_map(seat).collect()
    }

    /// The part that is the same module, switched off.
    fn switched_off(&mut self, part: PartIx) -> Option<PartIx> {
        let (_, module) = self.parts.get(usize::from(part.0))?;
        let off = Arc::new(module.as_switched_off());
        self.add(None, off)
    }

    /// The modules of a report, which sockets it shows a processor in, and which slots it leaves out.
    fn report(&mut self, source: &ReportSource, board: &Board) -> OfReport {
        let read = match reported::read(source, board, self.catalogue) {
            Ok(read) => read,
            Err(faults) => {
                self.faults.extend(faults);
                return (Vec::new(), None, None);
            }
        };
        self.notes.extend(read.notes);
        self.taken = read.taken;
        let seated = read.modules.into_iter().filter_map(|module| {
            let part = self.add(module.id, module.module)?;
            let slot = module.slot;
            Some(Seated { part, slot })
        });
        (seated.collect(), read.fitted, Some(read.left_out))
    }

    /// Of the slots that a report leaves out, those of fitted sockets; where nobody tells, all are.
    fn left_out(
        &mut self,
        slots: Vec<SlotIx>,
        sockets: Option<&[SocketState]>,
        board: &Board,
    ) -> Vec<SlotIx> {
        let is_fitted = |slot: &SlotIx| {
            let socket = board.address(board.channel_of(*slot)).0;
            let state = sockets.map(|all| all.get(usize::from(socket) - 1));
            !matches!(state, Some(None | Some(SocketState::Empty)))
        };
        let slots: Vec<SlotIx> = slots.into_iter().filter(is_fitted).collect();
        reported::note_left_out(&slots, board, &mut self.notes);
        slots
    }

    /// Sockets as a report shows them.
    fn fitted(&mut self, fitted: Vec<bool>, board: &Board) -> Vec<SocketState> {
        self.notes.push(reported::sockets_note(&fitted, board));
        let state = |fitted: bool| match fitted {
            true => SocketState::Fitted(None),
            false => SocketState::Empty,
        };
        fitted.into_iter().map(state).collect()
    }

    /// Mostly entries stand in the order of the board's slots, so the one behind the last is tried first.
    fn slot_index(&mut self, label: &str, board: &Board) -> Option<SlotIx> {
        let next = SlotIx(self.next_slot);
        let is_next = board.slot(next).is_some_and(|slot| slot.label == label);
        let slot = is_next
            .then_some(next)
            .or_else(|| board.slot_named(label))?;
        self.next_slot = slot.0.saturating_add(1);
        Some(slot)
    }

    fn slot(&mut self, label: &str, at: &Pointer, board: &Board) -> Option<SlotIx> {
        let slot = self.slot_index(label, board);
        if slot.is_none() {
            let near = close_matches(label, board.slots.iter().map(|slot| slot.label.as_str()));
            let fault = Fault::new(
                at.to_string(),
                FaultCode::UnknownName,
                format!("board `{}` has no slot `{label}`", board.id),
            );
            self.faults.push(
                fault
                    .hint("the label printed beside the slot")
                    .close_matches(near),
            );
        }
        slot
    }
}
