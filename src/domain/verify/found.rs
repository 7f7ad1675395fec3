//! What was found after the work, and what it is compared with.

use super::super::board::{Board, SlotIx};
use super::super::module::ModuleFacts;
use super::super::outcome::Outcome;
use super::super::population::Population;
use super::super::request::{PartIx, Request, SocketState};
use super::super::units::{Mib, Mts};
use super::compare::same_rate;

/// What was planned: a request with a placement and what it should give.
#[derive(Clone, Copy)]
pub struct Plan<'a> {
    /// The board.
    pub board: &'a Board,
    /// The request that was planned with.
    pub request: &'a Request,
    /// What each part of the request is called: catalogue ids and part numbers.
    pub names: &'a [Vec<String>],
    /// Which module should sit where.
    pub population: &'a Population,
    /// What should come out.
    pub outcome: &'a Outcome,
    /// The highest rate with any processor model that the request leaves open.
    pub rate_at_best: Option<Mts>,
}

impl Plan<'_> {
    /// What is planned for a socket, where the request tells.
    pub(super) fn socket(&self, socket: u8) -> Option<SocketState> {
        let sockets = self.request.sockets.as_ref()?;
        sockets.get(usize::from(socket).checked_sub(1)?).copied()
    }

    /// The names of a part.
    pub(super) fn names_of(&self, part: PartIx) -> &[String] {
        let names = self.names.get(usize::from(part.0));
        names.map(Vec::as_slice).unwrap_or_default()
    }
}

/// What was found.
#[derive(Clone, Debug, Default)]
pub struct Found {
    /// Slots of the report.
    pub slots: Vec<FoundSlot>,
    /// Whether each socket holds a processor that works, where that is told.
    pub fitted: Option<Vec<bool>>,
    /// The model in each socket, by index among those of the board's record; empty or nothing where it
    /// is not told, or is none of the record's.
    pub models: Vec<Option<usize>>,
    /// The memory that is there to be used, where that is told.
    pub total: Option<Total>,
    /// Whether the report seems to lack nothing. A slot that an incomplete one lacks may hold a module.
    pub complete: bool,
}

/// A slot of a report.
#[derive(Clone, Debug)]
pub struct FoundSlot {
    /// The slots of the board that it may be: one where that is known, none where nothing is.
    pub spots: Vec<SlotIx>,
    /// What it holds.
    pub holds: Holds,
}

/// What a slot of a report holds.
#[derive(Clone, Debug)]
pub enum Holds {
    /// A module.
    Module(Box<FoundModule>),
    /// Nothing.
    Empty,
    /// A module of which nothing can be read.
    Unreadable,
    /// The report does not say.
    Untold,
}

/// A module of a report.
#[derive(Clone, Debug, Default)]
pub struct FoundModule {
    /// Facts that the report tells; the name is what to call it.
    pub facts: ModuleFacts,
    /// What the catalogue knows of its part number, where nothing in the report contradicts that.
    pub catalogue: Option<Box<ModuleFacts>>,
    /// The numbers that it goes by.
    pub names: Vec<String>,
    /// The rate at which it runs.
    pub running: Option<Mts>,
}

impl FoundModule {
    /// A fact that the report tells, or that its part number stands for. How much of it is seen only
    /// the report tells.
    pub(super) fn told<T>(&self, fact: impl Fn(&ModuleFacts) -> Option<T>) -> Option<T> {
        fact(&self.facts).or_else(|| self.catalogue.as_deref().and_then(fact))
    }

    /// The rate that it is made for. Its part number tells it more surely than firmware, which may tell
    /// the rate at which it runs.
    pub(super) fn rating(&self) -> Option<Mts> {
        let catalogued = self.catalogue.as_ref().and_then(|own| own.rate);
        catalogued.or(self.facts.rate)
    }

    /// Whether its part number stands for that rate.
    pub(super) fn is_rated(&self) -> bool {
        self.catalogue
            .as_ref()
            .is_some_and(|own| own.rate.is_some())
    }

    /// Everything that is known of it, were it switched on.
    pub(super) fn known(&self) -> ModuleFacts {
        let Some(own) = self.catalogue.as_deref() else {
            return ModuleFacts {
                switched_off: false,
                ..self.facts.clone()
            };
        };
        ModuleFacts {
            switched_off: false,
            name: self.facts.name.clone(),
            generation: own.generation.or(self.facts.generation),
            kind: own.kind.or(self.facts.kind),
            capacity: own.capacity.or(self.facts.capacity),
            package_ranks: own.package_ranks.or(self.facts.package_ranks),
            ecc_bits: own.ecc_bits.or(self.facts.ecc_bits),
            rate: self.rating(),
            ..own.clone()
        }
    }
}

/// The memory that is there to be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Total {
    /// How much.
    pub amount: Mib,
    /// Whether an operating system told it, which keeps some for itself.
    pub rough: bool,
}

impl Total {
    /// Whether it is so far below an amount that memory must be missing. Firmware keeps up to 2 GiB
    /// and 1 % for itself, an operating system more (common practice; the first seen in 198 of 224
    /// published reports).
    pub(super) fn is_below(self, amount: Mib) -> bool {
        let gap = amount.0.saturating_sub(self.amount.0);
        gap > 2048 && gap.saturating_mul(self.share()) > amount.0
    }

    /// Whether it is so far above an amount that more than that must be there.
    pub(super) fn is_above(self, amount: Mib) -> bool {
        let gap = self.amount.0.saturating_sub(amount.0);
        gap > 2048 && gap.saturating_mul(self.share()) > amount.0
    }

    const fn share(self) -> u64 {
        if self.rough { 16 } else { 100 }
    }
}

impl Found {
    /// The modules whose facts were read, with their index.
    pub(super) fn modules(&self) -> impl Iterator<Item = (usize, &FoundModule)> {
        self.slots
            .iter()
            .enumerate()
            .filter_map(|(index, slot)| match &slot.holds {
                Holds::Module(module) => Some((index, module.as_ref())),
                _ => None,
            })
    }

    /// The module of a slot.
    pub(super) fn module(&self, index: usize) -> Option<&FoundModule> {
        match &self.slots.get(index)?.holds {
            Holds::Module(module) => Some(module),
            _ => None,
        }
    }

    /// How many slots hold a module, readable or not.
    pub fn count(&self) -> usize {
        let holds = |slot: &&FoundSlot| matches!(slot.holds, Holds::Module(_) | Holds::Unreadable);
        self.slots.iter().filter(holds).count()
    }

    /// Capacity of all modules; nothing if that of one is not told.
    pub fn capacity(&self) -> Option<Mib> {
        let of = |slot: &FoundSlot| match &slot.holds {
            Holds::Module(module) => module.facts.main_memory(),
            Holds::Empty => Some(Mib(0)),
            Holds::Unreadable | Holds::Untold => None,
        };
        let add = |sum: Mib, slot| Some(Mib(sum.0.saturating_add(of(slot)?.0)));
        self.slots.iter().try_fold(Mib(0), add)
    }

    /// Whether the report tells what modules are made for apart from what they run at: some module runs
    /// slower than it could.
    pub(super) fn tells_own_rates(&self) -> bool {
        self.modules().any(|(_, module)| {
            let pair = module.facts.rate.zip(module.running);
            pair.is_some_and(|(own, running)| running < own && !same_rate(own, running))
        })
    }

    /// The lowest rate at which a module runs.
    pub fn running(&self) -> Option<Mts> {
        self.modules()
            .filter_map(|(_, module)| module.running)
            .min()
    }
}
