//! From a request to the core's: names are looked up, and everything that cannot be found is named at
//! once.

use crate::catalogue::Catalogue;
use crate::catalogue::record::{BoardRecord, ModuleRecord};
use crate::domain::board::policy::Protection;
use crate::domain::board::{Board, SlotIx};
use crate::domain::finding::Severity;
use crate::domain::module::{Module, RecordFault};
use crate::domain::request::{
    self as core, InstalledPolicy, KitLine, PartIx, Request, Seated, SocketState, VoltagePolicy,
};
use crate::domain::units::{Mib, Milliwatts, Mts, Version};
use crate::wirecheck::near::close_matches;
use crate::wirecheck::{Fault, FaultCode, Faults};
use std::sync::Arc;

use super::answer::BlockOn;
use super::labels;
use super::note::NoteBody;
use super::read_inventory::{InstalledBody, ReportSource};
use super::reference::{IdOr, LabelRef, ModuleRef};
use super::reported::{self, Installed};
use super::request::{
    BlockName, InstalledEntry, KitEntry, MOST_MODULES, PopulationEntry, ValidateRequest, WishName,
    WishesEntry,
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
        self.resolve_with(catalogue, |_, _, _| ())
            .map(|(resolved, ())| resolved)
    }

    /// Looks every name up, and reads what stands beside it in a larger request.
    ///
    /// # Errors
    /// Everything that cannot be found or used, with pointers.
    pub(super) fn resolve_with<'a, T>(
        &self,
        catalogue: &'a Catalogue,
        more: impl FnOnce(&mut Reader<'a>, &Board, &Request) -> T,
    ) -> Result<(Resolved<'a>, T), Faults> {
        let mut reader = Reader {
            catalogue,
            faults: Vec::new(),
            parts: Vec::new(),
            labels: Vec::new(),
            notes: Vec::new(),
            taken: Vec::new(),
        };
        reader.left_extras(self);
        let board = reader.board(self.board.as_ref());
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

/// Looks names up, and keeps what it finds and what it does not find.
pub(in crate::api) struct Reader<'a> {
    pub(super) catalogue: &'a Catalogue,
    pub(super) faults: Vec<Fault>,
    /// Distinct modules; those of the catalogue with their id.
    pub(super) parts: Vec<(Option<String>, Arc<Module>)>,
    /// Labels that have been read, each with the module that it gave.
    labels: Vec<(LabelRef, PartIx)>,
    notes: Vec<NoteBody>,
    taken: Vec<InstalledBody>,
}

impl<'a> Reader<'a> {
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

    fn board(&mut self, board: Option<&IdOr<BoardRecord>>) -> Option<BoardSource<'a>> {
        match board {
            None => {
                let fault = Fault::new("", FaultCode::MissingMember, "`board` is missing");
                self.faults
                    .push(fault.hint("an id of `/v1/boards`, or a board record"));
                None
            }
            Some(IdOr::Id(id)) => match self.catalogue.board(id) {
                Some(entry) => Some(BoardSource::Known(&entry.board)),
                None => {
                    let near = close_matches(
                        id,
                        self.catalogue
                            .boards()
                            .map(|entry| entry.record.id.as_str()),
                    );
                    let fault = Fault::new(
                        "/board",
                        FaultCode::UnknownName,
                        format!("there is no board `{id}` in this catalogue"),
                    );
                    self.faults.push(
                        fault
                            .hint("an id of `/v1/boards`, or a board record")
                            .close_matches(near),
                    );
                    None
                }
            },
            Some(IdOr::Own(record)) => match record.to_board() {
                Ok(board) => Some(BoardSource::Own(Box::new(board))),
                Err(faults) => {
                    self.record_faults("/board", faults);
                    None
                }
            },
        }
    }

    fn request(&mut self, body: &ValidateRequest, board: &Board) -> Request {
        let kit = body.kit.as_deref().unwrap_or_default();
        let population = body.population.as_deref().unwrap_or_default();
        let (lines, seats) = (self.kit(kit), self.population(population, board));
        let (installed, fitted) = match &body.installed {
            None => (Vec::new(), None),
            Some(Installed::List(list)) => (self.installed(list, board), None),
            Some(Installed::Report(report)) => self.report(&report.inventory, board),
        };
        let sockets = match &body.processors {
            Some(list) => Some(self.sockets(list, board)),
            None => fitted.map(|fitted| self.fitted(fitted, board)),
        };
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
        }
    }

    pub(super) fn kit(&mut self, kit: &[KitEntry]) -> Vec<KitLine> {
        let part = |(index, line): (usize, &KitEntry)| {
            let part = self.part(&line.module, &format!("/kit/{index}/module"))?;
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
            let slot = self.slot(&entry.slot, &format!("/population/{index}/slot"), board);
            let part = self.part(&entry.module, &format!("/population/{index}/module"))?;
            Some(Seated {
                part,
                slot: Some(slot?),
            })
        };
        population.iter().enumerate().filter_map(seat).collect()
    }

    fn installed(&mut self, installed: &[InstalledEntry], board: &Board) -> Vec<Seated> {
        let seat = |(index, entry): (usize, &InstalledEntry)| {
            let at = format!("/installed/{index}");
            let slot = entry
                .slot
                .as_ref()
                .map(|label| self.slot(label, &format!("{at}/slot"), board));
            let part = self.part(&entry.module, &format!("{at}/module"))?;
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

    /// The modules of a report, and which sockets it shows a processor in.
    fn report(&mut self, source: &ReportSource, board: &Board) -> (Vec<Seated>, Option<Vec<bool>>) {
        let read = match reported::read(source, board, self.catalogue) {
            Ok(read) => read,
            Err(faults) => {
                self.faults.extend(faults);
                return (Vec::new(), None);
            }
        };
        self.notes.extend(read.notes);
        self.taken = read.taken;
        let seated = read.modules.into_iter().filter_map(|module| {
            let part = self.add(module.id, module.module)?;
            let slot = module.slot;
            Some(Seated { part, slot })
        });
        (seated.collect(), read.fitted)
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

    fn slot(&mut self, label: &str, at: &str, board: &Board) -> Option<SlotIx> {
        let slot = board.slot_named(label);
        if slot.is_none() {
            let near = close_matches(label, board.slots.iter().map(|slot| slot.label.as_str()));
            let fault = Fault::new(
                at,
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

    pub(super) fn part(&mut self, module: &ModuleRef, at: &str) -> Option<PartIx> {
        match module {
            ModuleRef::Id(id) => {
                if let Some(known) = self
                    .parts
                    .iter()
                    .position(|(known, _)| known.as_ref() == Some(id))
                {
                    return u16::try_from(known).ok().map(PartIx);
                }
                let Some(entry) = self.catalogue.module(id) else {
                    let near =
                        close_matches(id, self.catalogue.modules().map(|entry| entry.id.as_str()));
                    let fault = Fault::new(
                        at,
                        FaultCode::UnknownName,
                        format!("there is no module `{id}` in this catalogue"),
                    );
                    self.faults.push(
                        fault
                            .hint("an id of `/v1/modules`, the module's facts, or its label")
                            .close_matches(near),
                    );
                    return None;
                };
                self.add(Some(id.clone()), Arc::clone(&entry.module))
            }
            ModuleRef::Label(label) => self.label(label, at),
            ModuleRef::Own(record) => match record.to_module(&describe(record)) {
                Ok(module) => self.add(None, Arc::new(module)),
                Err(faults) => {
                    self.record_faults(at, faults);
                    None
                }
            },
        }
    }

    /// The module that carries a label. A label that is not well formed is refused, with what was
    /// probably meant: guessing could make a module fit that does not.
    fn label(&mut self, label: &LabelRef, at: &str) -> Option<PartIx> {
        if let Some((_, part)) = self.labels.iter().find(|(known, _)| known == label) {
            return Some(*part);
        }
        let read = match labels::read(label, at) {
            Ok(read) => read,
            Err(faults) => {
                self.faults.extend(faults);
                return None;
            }
        };
        self.notes.extend(read.notes);
        let part = self.add(None, Arc::new(read.module))?;
        self.labels.push((label.clone(), part));
        Some(part)
    }

    /// Equal modules share one part.
    pub(super) fn add(&mut self, id: Option<String>, module: Arc<Module>) -> Option<PartIx> {
        let known = self
            .parts
            .iter()
            .position(|(known, own)| *known == id && **own == *module);
        let index = known.unwrap_or_else(|| {
            self.parts.push((id, module));
            self.parts.len() - 1
        });
        u16::try_from(index).ok().map(PartIx)
    }

    fn sockets(&mut self, told: &[String], board: &Board) -> Vec<SocketState> {
        if told.len() != usize::from(board.sockets) {
            let message = format!("{} entries for {} sockets", told.len(), board.sockets);
            let fault = Fault::new("/processors", FaultCode::WrongCount, message);
            self.faults
                .push(fault.hint("one entry for each socket: a model, `fitted` or `empty`"));
        }
        let state = |(index, word): (usize, &String)| match word.as_str() {
            "empty" => SocketState::Empty,
            "fitted" => SocketState::Fitted(None),
            id => {
                let model = board.processors.iter().position(|model| model.id == id);
                if model.is_none() {
                    let names = board
                        .processors
                        .iter()
                        .map(|model| model.id.as_str())
                        .chain(["fitted", "empty"]);
                    let near = close_matches(id, names);
                    let message = format!("board `{}` takes no processor `{id}`", board.id);
                    let fault = Fault::new(
                        format!("/processors/{index}"),
                        FaultCode::UnknownName,
                        message,
                    );
                    self.faults.push(
                        fault
                            .hint("a model of the board, `fitted` or `empty`")
                            .close_matches(near),
                    );
                }
                SocketState::Fitted(model)
            }
        };
        told.iter().enumerate().map(state).collect()
    }

    fn firmware(&mut self, text: &str) -> Option<Version> {
        let version = Version::new(text);
        if version.is_none() {
            let fault = Fault::new(
                "/firmware",
                FaultCode::Unusable,
                format!("`{text}` is no version"),
            );
            self.faults.push(
                fault.hint("numbers between dots, such as `2.4`; leave it out if it is not known"),
            );
        }
        version
    }

    fn wishes(&mut self, wishes: &WishesEntry) -> core::Wishes {
        let must = |name: WishName| {
            wishes
                .must
                .as_ref()
                .is_some_and(|list| list.contains(&name))
        };
        fn wish<T>(value: T, must: bool) -> core::Wish<T> {
            core::Wish { value, must }
        }
        let budget = wishes
            .budget
            .as_ref()
            .and_then(|budget| match budget.to_money() {
                Ok(money) => Some(wish(money, must(WishName::Budget))),
                Err(fault) => {
                    self.record_faults("/wishes/budget", vec![fault]);
                    None
                }
            });
        core::Wishes {
            capacity_at_least: wishes
                .capacity_at_least_mib
                .map(|mib| wish(Mib(mib), must(WishName::CapacityAtLeastMib))),
            capacity_at_most: wishes
                .capacity_at_most_mib
                .map(|mib| wish(Mib(mib), must(WishName::CapacityAtMostMib))),
            rate_at_least: wishes
                .rate_at_least_mts
                .map(|rate| wish(Mts(rate), must(WishName::RateAtLeastMts))),
            free_slots: wishes
                .free_slots
                .map(|count| wish(count, must(WishName::FreeSlots))),
            budget,
            power_at_most: wishes
                .peak_power_at_most_mw
                .map(|mw| wish(Milliwatts(mw), must(WishName::PeakPowerAtMostMw))),
            balance: wishes
                .balance
                .map(|balance| wish(balance.into(), must(WishName::Balance))),
            licence: wishes
                .licence_at_most_mib
                .map(|mib| wish(Mib(mib), must(WishName::LicenceAtMostMib))),
            chip_correction: wishes
                .chip_correction
                .filter(|wanted| *wanted)
                .map(|_| wish((), must(WishName::ChipCorrection))),
            rank_interleave: wishes
                .rank_interleave
                .filter(|wanted| *wanted)
                .map(|_| wish((), must(WishName::RankInterleave))),
        }
    }
}

/// What to call a module that has no name: what is known of it, in the words of a label.
pub fn describe(record: &ModuleRecord) -> String {
    let module = record.to_module("").ok();
    let mut words: Vec<String> = Vec::new();
    if let Some(module) = &module {
        words.extend(module.capacity.map(crate::render::values::capacity_text));
        if let (Some(ranks), Some(width)) = (module.package_ranks, module.width) {
            words.push(format!("{ranks}R{}", width.name()));
        }
        words.extend(
            module
                .generation
                .map(|generation| generation.name().to_owned()),
        );
        words.extend(module.kind.map(|kind| kind.name().to_owned()));
    }
    if words.is_empty() {
        "an unknown module".to_owned()
    } else {
        words.join(" ")
    }
}
