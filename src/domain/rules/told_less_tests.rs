//! Telling less never makes an answer better: random cases with every fact of every module left out
//! in turn. For the rules of fit, mix and load.

use super::{Came, Group, RULES};
use crate::domain::board::accept::AcceptRow;
use crate::domain::board::filling::{LayoutRow, Seat};
use crate::domain::board::policy::{Mix, MixPolicy};
use crate::domain::board::rates::{RankMatch, RateRow, Unlisted};
use crate::domain::board::{BoardFacts, EccNeed, Limit};
use crate::domain::finding::{Finding, Severity, State};
use crate::domain::module::{Generation, HeightClass, Kind, Module, ModuleFacts, Width};
use crate::domain::testing::{Case, Checked, accepts, board, module, rate};
use crate::domain::units::{Gigabits, Mib, Millivolts, Mts};

/// A small generator of numbers: the same cases in every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, sides: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        (self.0 >> 33) % sides
    }

    fn one_of<T: Clone>(&mut self, list: &[T]) -> T {
        let index = self.below(list.len() as u64) as usize;
        list[index].clone()
    }

    fn chance(&mut self, of: u64) -> bool {
        self.below(of) == 0
    }
}

fn policy(dice: &mut Dice) -> MixPolicy {
    let mut mix = || {
        dice.one_of(&[
            Mix::Allowed,
            Mix::Allowed,
            Mix::Discouraged,
            Mix::Forbidden,
            Mix::Unknown,
        ])
    };
    MixPolicy {
        channel: mix(),
        socket: mix(),
        board: mix(),
    }
}

fn some<T>(dice: &mut Dice, of: u64, value: T) -> Option<T> {
    dice.chance(of).then_some(value)
}

fn row(dice: &mut Dice, kind: Kind) -> AcceptRow {
    let ranks = dice.one_of(&[vec![4], vec![1, 2], vec![2, 4]]);
    let ranks = some(dice, 3, ranks);
    AcceptRow {
        capacities: some(dice, 8, vec![Mib::gib(8), Mib::gib(16), Mib::gib(32)]),
        ranks,
        widths: some(dice, 8, vec![Width::X4]),
        die_densities: some(dice, 8, vec![Gigabits(2), Gigabits(4)]),
        stacks: some(dice, 8, vec![1]),
        supply: some(dice, 8, vec![Millivolts(1500)]),
        per_channel: dice.one_of(&[
            Limit::None,
            Limit::None,
            Limit::None,
            Limit::Is(1),
            Limit::Unknown,
        ]),
        positions: some(dice, 6, vec![1]),
        ..accepts(kind)
    }
}

fn rates(dice: &mut Dice) -> Vec<RateRow> {
    let supply = |dice: &mut Dice| {
        let one = dice.one_of(&[Millivolts(1350), Millivolts(1500)]);
        some(dice, 3, vec![one])
    };
    let all = [Kind::Rdimm, Kind::Lrdimm, Kind::EccUdimm, Kind::Udimm];
    let mut rows = Vec::new();
    for ranks in [
        vec![1],
        vec![2],
        vec![4],
        vec![1, 1],
        vec![2, 2],
        vec![2, 1],
        vec![4, 2],
    ] {
        if !dice.chance(5) {
            rows.push(RateRow {
                ranks: RankMatch::Exactly(ranks.clone()),
                supply: supply(dice),
                ..rate(&all, ranks.len() as u8, 1333)
            });
        }
    }
    if !dice.chance(3) {
        rows.push(rate(&all, 1, 1600));
        rows.push(rate(&all, 2, 1066));
    }
    rows
}

fn layouts(dice: &mut Dice) -> Vec<LayoutRow> {
    let row = |pattern: Vec<Seat>| LayoutRow {
        kinds: vec![Kind::Rdimm],
        sockets_fitted: None,
        pattern,
        rates: Vec::new(),
    };
    match dice.below(6) {
        0 => vec![
            row(vec![Seat::Ranks(vec![1, 2]), Seat::Empty]),
            row(vec![Seat::Empty, Seat::Ranks(vec![4])]),
            row(vec![Seat::Module, Seat::Ranks(vec![2])]),
        ],
        _ => Vec::new(),
    }
}

fn any_board(dice: &mut Dice) -> BoardFacts {
    let mut board = board(Generation::Ddr3, 1, 2, 2);
    let mut rows = vec![row(dice, Kind::Rdimm), row(dice, Kind::Rdimm)];
    if dice.chance(2) {
        rows.push(accepts(Kind::Rdimm));
    }
    rows.push(row(dice, Kind::EccUdimm));
    rows.extend(some(dice, 2, accepts(Kind::Udimm)));
    rows.extend(some(dice, 2, board.accepts[1].clone()));
    board.accepts = rows;
    board.ecc = dice.one_of(&[EccNeed::Required, EccNeed::Either, EccNeed::Either]);
    if dice.chance(4) {
        board.rank_budget = dice.one_of(&[Limit::Is(4), Limit::None, Limit::Unknown]);
    }
    if dice.chance(6) {
        board.height = dice.one_of(&[Limit::Is(HeightClass::Low), Limit::Unknown]);
    }
    board.rates = rates(dice);
    if dice.chance(6) {
        board.lowest_rate = dice.one_of(&[Limit::Is(Mts(1066)), Limit::Unknown]);
    }
    if dice.chance(4) {
        board.unlisted_rate = Unlisted::Unknown;
    }
    board.layouts = layouts(dice);
    let mixing = &mut board.mixing;
    for aspect in [
        &mut mixing.kinds,
        &mut mixing.ecc,
        &mut mixing.stacks,
        &mut mixing.widths,
        &mut mixing.die_densities,
        &mut mixing.ranks,
        &mut mixing.capacities,
        &mut mixing.part_numbers,
        &mut mixing.product_lines,
        &mut mixing.dram_makers,
    ] {
        if dice.chance(9) {
            *aspect = policy(dice);
        }
    }
    if dice.chance(4) {
        mixing.dram_makers_from = dice.one_of(&[Limit::Is(Mib::gib(16)), Limit::Unknown]);
    }
    if dice.chance(4) {
        mixing.capacities_per_channel = dice.one_of(&[Limit::Is(1), Limit::Unknown]);
    }
    if dice.chance(4) {
        mixing.capacities_per_board = dice.one_of(&[Limit::Is(2), Limit::Unknown]);
    }
    board
}

fn any_module(dice: &mut Dice) -> ModuleFacts {
    let kind = dice.one_of(&[
        Kind::Rdimm,
        Kind::Rdimm,
        Kind::Rdimm,
        Kind::Lrdimm,
        Kind::EccUdimm,
        Kind::Udimm,
    ]);
    let generation = match dice.below(40) {
        0 => Generation::Ddr4,
        _ => Generation::Ddr3,
    };
    let (gib, ranks) = dice.one_of(&[(8, 1), (8, 2), (16, 2), (32, 4), (16, 4)]);
    let mut facts = ModuleFacts {
        width: Some(dice.one_of(&[Width::X4, Width::X4, Width::X8])),
        height: Some(dice.one_of(&[HeightClass::Low, HeightClass::Tall])),
        product_line: Some(dice.one_of(&["a", "b"]).to_owned()),
        dram_maker: Some(dice.one_of(&["a", "b"]).to_owned()),
        ..module(generation, kind, gib, ranks)
    };
    if generation == Generation::Ddr3 {
        let voltages = dice.one_of(&[vec![1350, 1500], vec![1350, 1500], vec![1500], vec![1350]]);
        facts.supply = Some(voltages.into_iter().map(Millivolts).collect());
    }
    if dice.chance(2) {
        facts.part_number = None;
    }
    if generation == Generation::Ddr3 && dice.chance(12) {
        facts.rate = Some(Mts(800));
    }
    // What follows from the rest is a fact as well: each is left out in turn.
    let told = Module::checked(facts).expect("a consistent module");
    (*told).clone()
}

/// What to leave out, with its name.
type Omission = (&'static str, fn(&mut ModuleFacts));

const OMISSIONS: [Omission; 14] = [
    ("generation", |facts| facts.generation = None),
    ("kind", |facts| facts.kind = None),
    ("capacity", |facts| facts.capacity = None),
    ("ranks", |facts| facts.package_ranks = None),
    ("stack height", |facts| facts.stack_height = None),
    ("width", |facts| facts.width = None),
    ("die density", |facts| facts.die_density = None),
    ("ECC bits", |facts| facts.ecc_bits = None),
    ("supply", |facts| facts.supply = None),
    ("height", |facts| facts.height = None),
    ("rate", |facts| facts.rate = None),
    ("part number", |facts| facts.part_number = None),
    ("product line", |facts| facts.product_line = None),
    ("DRAM maker", |facts| facts.dram_maker = None),
];

fn seated(board: &BoardFacts, modules: &[(&'static str, ModuleFacts)]) -> Checked {
    let case = Case::on(board.clone());
    let case = modules.iter().fold(case, |case, (slot, facts)| {
        case.seat(facts.clone(), &[slot])
    });
    case.check()
}

fn concerned(group: Group) -> bool {
    matches!(group, Group::Fit | Group::Mix | Group::Load)
}

/// 0 refused, 1 undecided, 2 neither, by the rules concerned.
fn standing(checked: &Checked) -> u8 {
    let blockers = checked
        .findings
        .iter()
        .filter(|f| concerned(f.rule.group) && f.severity == Severity::Blocker);
    let worst = blockers.map(|f| u8::from(f.state != State::Broken)).min();
    worst.unwrap_or(2)
}

fn names(checked: &Checked) -> Vec<(&'static str, bool)> {
    let own = checked.findings.iter().filter(|f| concerned(f.rule.group));
    own.map(|f| (f.rule.id, f.state == State::Broken)).collect()
}

#[test]
fn leaving_a_fact_out_never_makes_a_refused_or_undecided_case_fit() {
    let mut dice = Dice(2026);
    let (mut refused, mut alone, mut tried) = (0, 0, 0);
    for _ in 0..150 {
        let board = any_board(&mut dice);
        let mut modules = Vec::new();
        for slot in ["A1", "A2", "B1", "B2"] {
            if !dice.chance(3) {
                let again = modules
                    .last()
                    .map(|(_, facts): &(_, ModuleFacts)| facts.clone());
                let facts = match again {
                    Some(facts) if dice.chance(2) => facts,
                    _ => any_module(&mut dice),
                };
                modules.push((slot, facts));
            }
        }
        let whole = seated(&board, &modules);
        refused += u32::from(standing(&whole) == 0);
        alone += u32::from(names(&whole).iter().filter(|(_, broken)| *broken).count() == 1);
        for index in 0..modules.len() {
            for (name, omit) in OMISSIONS {
                let mut fewer = modules.clone();
                omit(&mut fewer[index].1);
                let less = seated(&board, &fewer);
                tried += 1;
                assert!(
                    standing(&whole) == 2 || standing(&less) < 2,
                    "without the {name} of {}: {:?} became {:?}\n{:#?}\n{:#?}",
                    fewer[index].0,
                    names(&whole),
                    names(&less),
                    modules,
                    board.accepts
                );
                met_stays_met(&whole, &less, name);
            }
        }
    }
    assert!(
        refused > 50 && alone > 25 && tried > 3000,
        "{refused} {alone} of {tried}"
    );
}

/// A rule that held without a fact holds with it. While a module is refused, or its fit is open, some
/// rules speak for the other modules only.
fn met_stays_met(whole: &Checked, less: &Checked, name: &str) {
    let of_fit = |f: &Finding| f.rule.group == Group::Fit;
    if less.findings.iter().any(of_fit) {
        return;
    }
    for (index, rule) in RULES.iter().enumerate() {
        if concerned(rule.group) && less.came[index] == Came::Met {
            assert!(
                matches!(whole.came[index], Came::Met | Came::NotApplicable),
                "{} was met without the {name} and {:?} with it",
                rule.id,
                whole.came[index]
            );
        }
    }
}
