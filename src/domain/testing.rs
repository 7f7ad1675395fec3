//! Boards and modules for unit tests, and a short way to ask the rules about them.

use super::board::accept::{AcceptRow, Multiplication, SeenRanks};
use super::board::filling::Filling;
use super::board::policy::{
    Mix, MixPolicy, Mixing, Protection, ProtectionOffer, Scope, UnequalGroups,
};
use super::board::rates::{RankMatch, RankMeasure, RateRow, StackMatch, Unlisted};
use super::board::{
    Board, BoardFacts, EccNeed, KeySide, Limit, Place, Processor, Slot, SlotIx, Source,
};
use super::channel::Stack;
use super::finding::{Finding, Severity, State, Verdict};
use super::module::{Generation, HeightClass, Kind, Module, ModuleFacts, Width};
use super::outcome::{self, Outcome};
use super::population::{Occupant, Origin, Population};
use super::request::{KitLine, PartIx, Request, Seated};
use super::rules::{self, BoardView};
use super::setup::Setup;
use super::units::{Mib, Millivolts, Milliwatts, Mts};

/// A mixing policy that forbids nothing.
pub fn mix_freely() -> Mixing {
    let free = MixPolicy::everywhere(Mix::Allowed);
    Mixing {
        kinds: free,
        ecc: free,
        stacks: free,
        widths: free,
        die_densities: free,
        ecc_bits: free,
        ranks: free,
        capacities: free,
        capacities_per_channel: Limit::None,
        capacities_per_board: Limit::None,
        part_numbers: free,
        product_lines: free,
        dram_makers: free,
        dram_makers_from: Limit::None,
    }
}

/// An acceptance row for a kind that takes anything of it.
pub fn accepts(kind: Kind) -> AcceptRow {
    AcceptRow {
        kind,
        capacities: None,
        ranks: None,
        widths: None,
        die_densities: None,
        stacks: None,
        ecc_bits: None,
        supply: None,
        per_channel: Limit::None,
        positions: None,
        seen_ranks: SeenRanks::Package,
        firmware: None,
    }
}

/// A protection over groups of channels that asks for nothing more.
pub fn offer_of(protection: Protection, groups: &[&[u8]]) -> ProtectionOffer {
    ProtectionOffer {
        protection,
        groups: groups.iter().map(|group| group.to_vec()).collect(),
        identical: Vec::new(),
        ranks_at_least: Limit::None,
        needs_x4: false,
        unequal_groups: UnequalGroups::Refused,
        rank_interleave: Limit::None,
    }
}

/// A rate row for any ranks and voltage.
pub fn rate(kinds: &[Kind], modules: u8, mts: u32) -> RateRow {
    RateRow {
        kinds: kinds.to_vec(),
        stack: StackMatch::Any,
        measure: RankMeasure::Package,
        ranks: RankMatch::Any,
        modules,
        positions_wired: None,
        supply: None,
        firmware: None,
        rate: Mts(mts),
    }
}

/// A plain board: slots are labelled by channel over the whole board (A, B, ...) and position
/// (`A1` is the first socket's first channel, farthest position). It takes RDIMM, LRDIMM (rank
/// factor 2 for 4 ranks, 4 for 8) and ECC UDIMM, sees 8 ranks a channel, mixes freely, fills
/// positions in order, and runs 1600, 1333, 1066 MT/s with 1, 2, 3 modules a channel at 1.5 V and
/// 1.35 V (DDR3), or 3200, 2933, 2666 (DDR4) or 5600, 4800, 4400 (DDR5).
pub fn board(generation: Generation, sockets: u8, channels: u8, positions: u8) -> BoardFacts {
    let (supply, rates) = match generation {
        Generation::Ddr3 => (vec![Millivolts(1350), Millivolts(1500)], [1600, 1333, 1066]),
        Generation::Ddr4 => (vec![Millivolts(1200)], [3200, 2933, 2666]),
        Generation::Ddr5 => (vec![Millivolts(1100)], [5600, 4800, 4400]),
    };
    let kinds = [Kind::Rdimm, Kind::Lrdimm, Kind::EccUdimm];
    let multiplied = |ranks, factor| Multiplication {
        ranks,
        positions_wired: None,
        die_at_most: None,
        factor,
    };
    let lrdimm = AcceptRow {
        seen_ranks: SeenRanks::Multiplied(vec![
            multiplied(vec![1, 2], 1),
            multiplied(vec![4], 2),
            multiplied(vec![8], 4),
        ]),
        ..accepts(Kind::Lrdimm)
    };
    BoardFacts {
        id: "test".into(),
        name: "Test board".into(),
        invented: true,
        sources: vec![Source {
            title: "invented".into(),
            section: "all".into(),
        }],
        generation,
        sockets,
        channels,
        positions,
        slots: slots(sockets, channels, positions),
        nodes: vec![1; usize::from(channels)],
        supply,
        input: Limit::None,
        processors: vec![Processor {
            id: "p".into(),
            name: "P".into(),
            rate: Limit::None,
            capacity: Limit::None,
            channels: None,
        }],
        socket_order: (1..=sockets).collect(),
        accepts: vec![accepts(Kind::Rdimm), lrdimm, accepts(Kind::EccUdimm)],
        ecc: EccNeed::Required,
        rank_budget: Limit::Is(8),
        lowest_rate: Limit::None,
        rate_steps: Vec::new(),
        rates: (1..=positions)
            .zip(rates)
            .map(|(modules, mts)| rate(&kinds, modules, mts))
            .collect(),
        unlisted_rate: Unlisted::Unsupported,
        layouts: Vec::new(),
        filling: vec![Filling {
            sockets_fitted: (1..=sockets).collect(),
            position_order: (1..=positions).collect(),
            channel_order: None,
            module_counts: None,
            rank_order: false,
            advised_modules: Limit::None,
            board_capacity: Limit::None,
        }],
        levelling: Scope::Board,
        interleave: Vec::new(),
        rank_interleave: Limit::None,
        slot_groups: Limit::None,
        mixing: mix_freely(),
        protections: Vec::new(),
        socket_capacity: Limit::None,
        slot_power: Limit::None,
        height: Limit::None,
        fillers: false,
        cautions: Vec::new(),
        severities: Vec::new(),
    }
}

fn slots(sockets: u8, channels: u8, positions: u8) -> Vec<Slot> {
    let mut slots = Vec::new();
    for socket in 1..=sockets {
        for channel in 1..=channels {
            for position in 1..=positions {
                let letter = char::from(b'A' + (socket - 1) * channels + channel - 1);
                slots.push(Slot {
                    label: format!("{letter}{position}"),
                    place: Place {
                        socket,
                        channel,
                        position,
                    },
                    drawn_at: (slots.len() as u16, 0),
                    key: KeySide::Top,
                    reported_as: None,
                });
            }
        }
    }
    slots
}

/// A flat x4 module of which everything that a rule may ask is known.
pub fn module(generation: Generation, kind: Kind, gib: u64, ranks: u8) -> ModuleFacts {
    let (rate, supply) = match generation {
        Generation::Ddr3 => (1600, vec![Millivolts(1350), Millivolts(1500)]),
        Generation::Ddr4 => (3200, vec![Millivolts(1200)]),
        Generation::Ddr5 => (5600, vec![Millivolts(1100)]),
    };
    ModuleFacts {
        name: format!("T-{}-{gib}-{ranks}x4", kind.name()),
        generation: Some(generation),
        kind: Some(kind),
        capacity: Some(Mib::gib(gib)),
        package_ranks: Some(ranks),
        stack_height: Some(1),
        width: Some(Width::X4),
        ecc_bits: (generation == Generation::Ddr5 && kind.has_ecc()).then_some(8),
        rate: Some(Mts(rate)),
        supply: Some(supply),
        height: Some(HeightClass::Low),
        part_number: Some(format!("T-{}-{gib}-{ranks}x4", kind.name())),
        peak_power: Some(Milliwatts(5000)),
        typical_power: Some(Milliwatts(3000)),
        ..ModuleFacts::default()
    }
}

/// A DDR3 RDIMM, x4.
pub fn rdimm(gib: u64, ranks: u8) -> ModuleFacts {
    module(Generation::Ddr3, Kind::Rdimm, gib, ranks)
}

/// A board and a request in the making.
pub struct Case {
    /// The board.
    pub board: BoardFacts,
    /// The request.
    pub request: Request,
}

/// What the rules said of a case with slots given.
pub struct Checked {
    /// All findings.
    pub findings: Vec<Finding>,
    /// The verdict.
    pub verdict: Verdict,
    /// The outcome.
    pub outcome: Outcome,
    /// How each rule came out, in the order of the list.
    pub came: Vec<rules::Came>,
}

impl Case {
    /// A case on a board.
    pub fn on(board: BoardFacts) -> Self {
        Self {
            board,
            request: Request::default(),
        }
    }

    /// A part's index; equal modules share one.
    pub fn part(&mut self, facts: ModuleFacts) -> PartIx {
        let module = Module::checked(facts).expect("a test module must be consistent");
        let index = self
            .request
            .parts
            .iter()
            .position(|known| **known == module)
            .unwrap_or_else(|| {
                self.request.parts.push(module.into());
                self.request.parts.len() - 1
            });
        PartIx(index as u16)
    }

    /// Seats the module in each of the slots (labels).
    pub fn seat(mut self, facts: ModuleFacts, labels: &[&str]) -> Self {
        let part = self.part(facts);
        for label in labels {
            let slot = self.slot(label);
            self.request.population.push(Seated {
                part,
                slot: Some(slot),
            });
        }
        self
    }

    /// Adds a kit line.
    pub fn kit(mut self, facts: ModuleFacts, quantity: u32) -> Self {
        let part = self.part(facts);
        self.request.kit.push(KitLine { part, quantity });
        self
    }

    /// Adds installed modules in slots (labels).
    pub fn installed(mut self, facts: ModuleFacts, labels: &[&str]) -> Self {
        let part = self.part(facts);
        for label in labels {
            let slot = self.slot(label);
            self.request.installed.push(Seated {
                part,
                slot: Some(slot),
            });
        }
        self
    }

    /// Changes the request.
    pub fn with(mut self, change: impl FnOnce(&mut Request)) -> Self {
        change(&mut self.request);
        self
    }

    fn slot(&self, label: &str) -> SlotIx {
        // A checked board sorts its slots by place; so do these boards already.
        let index = self
            .board
            .slots
            .iter()
            .position(|slot| slot.label == label)
            .expect("a slot of the test board");
        SlotIx(index as u16)
    }

    /// Runs all rules over the population and the installed modules as given; kit lines are not
    /// placed.
    pub fn check(&self) -> Checked {
        self.check_with(Some(0))
    }

    /// Like [`Self::check`]; `model` stands in for processors of which the model was not told.
    pub fn check_with(&self, model: Option<usize>) -> Checked {
        let board = Board::checked(self.board.clone()).expect("a test board must be consistent");
        let setup = Setup::new(&board, &self.request, model).expect("a filling row");
        let population = population(&board, &self.request);
        let stacks: Vec<Stack> = board
            .all_channels()
            .map(|c| Stack::of(population.on_channel(&board, c)))
            .collect();
        let outcome = outcome::compute(&setup, &stacks);
        let view = BoardView::new(&setup, &population, &stacks, &outcome, &[]);
        let findings = rules::check(&view);
        let verdict = super::finding::verdict(&findings);
        assert_eq!(rules::verdict(&view), verdict, "without the findings");
        Checked {
            verdict,
            findings,
            came: rules::states(&view),
            outcome,
        }
    }
}

fn population(board: &Board, request: &Request) -> Population {
    let mut population = Population::empty(board);
    for (index, entry) in (0u32..).zip(&request.installed) {
        let Some(slot) = entry.slot else { continue };
        population.seat(
            slot,
            Occupant {
                part: entry.part,
                origin: Origin::Installed(index),
            },
        );
    }
    for (index, entry) in (0u32..).zip(&request.population) {
        population.seat(
            entry.slot.expect("a slot"),
            Occupant {
                part: entry.part,
                origin: Origin::Population(index),
            },
        );
    }
    population
}

impl Checked {
    /// Ids of the rules that are broken, with their severity.
    pub fn broken(&self) -> Vec<(&'static str, Severity)> {
        self.findings
            .iter()
            .filter(|f| f.state == State::Broken)
            .map(|f| (f.rule.id, f.severity))
            .collect()
    }

    /// Ids of the rules that are undecided.
    pub fn undecided(&self) -> Vec<&'static str> {
        self.findings
            .iter()
            .filter(|f| f.state != State::Broken)
            .map(|f| f.rule.id)
            .collect()
    }

    /// Whether this rule is broken.
    pub fn breaks(&self, id: &str) -> bool {
        self.broken().iter().any(|(rule, _)| *rule == id)
    }

    /// Whether this rule is undecided.
    pub fn leaves_open(&self, id: &str) -> bool {
        self.undecided().contains(&id)
    }

    /// Severities of this rule's broken findings, worst first.
    pub fn severities(&self, id: &str) -> Vec<Severity> {
        let broken = self.broken().into_iter();
        broken
            .filter(|(rule, _)| *rule == id)
            .map(|(_, s)| s)
            .collect()
    }

    /// Whether nothing at all was found by this rule.
    pub fn silent(&self, id: &str) -> bool {
        self.finding(id).is_none()
    }

    /// The finding of a rule.
    pub fn finding(&self, id: &str) -> Option<&Finding> {
        self.findings.iter().find(|f| f.rule.id == id)
    }
}
