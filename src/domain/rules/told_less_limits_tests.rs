//! Telling less never makes an answer better: random cases with every fact of every module left out
//! in turn. For the rules of place, limit, protection and wish, with wishes that must hold.

use super::{Came, Group, RULES};
use crate::domain::board::policy::{Identity, Protection, ProtectionOffer, UnequalGroups};
use crate::domain::board::{BoardFacts, Limit};
use crate::domain::finding::{Severity, State};
use crate::domain::module::{Generation, Kind, Module, ModuleFacts, Width};
use crate::domain::request::{Balance, Request, Wish, Wishes};
use crate::domain::testing::{Case, Checked, board, module};
use crate::domain::units::{Currency, Mib, Milliwatts, Money, Mts};

/// A small generator of numbers: the same cases in every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, sides: u64) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % sides
    }

    fn one_of<T: Clone>(&mut self, list: &[T]) -> T {
        let index = self.below(list.len() as u64) as usize;
        list[index].clone()
    }

    fn some<T>(&mut self, of: u64, value: T) -> Option<T> {
        (self.below(of) == 0).then_some(value)
    }
}

const PROTECTIONS: [Protection; 3] = [
    Protection::Mirrored,
    Protection::RankSpare,
    Protection::Lockstep,
];

fn offer(dice: &mut Dice, protection: Protection) -> ProtectionOffer {
    let groups = match protection {
        Protection::RankSpare => Vec::new(),
        _ => dice.one_of(&[vec![vec![1, 2]], vec![vec![1, 2]], vec![vec![1]]]),
    };
    let identical = [
        Identity::Capacity,
        Identity::Ranks,
        Identity::Width,
        Identity::Kind,
        Identity::PartNumber,
    ];
    ProtectionOffer {
        protection,
        groups,
        identical: identical
            .into_iter()
            .filter(|_| dice.below(3) == 0)
            .collect(),
        ranks_at_least: dice.one_of(&[Limit::None, Limit::None, Limit::Is(4), Limit::Unknown]),
        needs_x4: dice.below(4) == 0,
        unequal_groups: dice.one_of(&[UnequalGroups::Refused, UnequalGroups::Lost]),
        rank_interleave: match protection {
            Protection::RankSpare => {
                dice.one_of(&[Limit::None, Limit::Is(vec![vec![2, 2]]), Limit::Unknown])
            }
            _ => Limit::None,
        },
    }
}

fn any_board(dice: &mut Dice) -> BoardFacts {
    let mut facts = board(Generation::Ddr3, 2, 2, 2);
    let gib = |dice: &mut Dice| {
        let limits = [
            Limit::None,
            Limit::None,
            Limit::Is(Mib::gib(32)),
            Limit::Is(Mib::gib(64)),
            Limit::Unknown,
        ];
        dice.one_of(&limits)
    };
    facts.processors[0].capacity = gib(dice);
    facts.socket_capacity = gib(dice);
    facts.filling[0].board_capacity = gib(dice);
    facts.filling[0].rank_order = dice.below(2) == 0;
    let power = [
        Limit::None,
        Limit::None,
        Limit::Is(Milliwatts(5000)),
        Limit::Unknown,
    ];
    facts.slot_power = dice.one_of(&power);
    facts.protections = PROTECTIONS
        .map(|protection| offer(dice, protection))
        .to_vec();
    facts
}

fn any_request(dice: &mut Dice, request: &mut Request) {
    let must = |value| Wish { value, must: true };
    let currency = Currency::new("EUR").unwrap();
    let (more, less) = (Mib::gib(dice.below(80)), Mib::gib(20 + dice.below(120)));
    request.protection = match dice.below(2) {
        0 => Protection::None,
        _ => dice.one_of(&PROTECTIONS),
    };
    let balance = dice.one_of(&[Balance::Channels, Balance::Sockets]);
    let watts = Milliwatts(1000 * (10 + dice.below(30)));
    let rate = dice.one_of(&[Mts(1333), Mts(1600)]);
    let minor = 50 * dice.below(8) as i64;
    request.wishes = Wishes {
        capacity_at_least: dice.some(4, must(more)),
        capacity_at_most: dice.some(4, must(less)),
        rate_at_least: dice.some(
            4,
            Wish {
                value: rate,
                must: true,
            },
        ),
        free_slots: dice.some(
            6,
            Wish {
                value: 3,
                must: true,
            },
        ),
        budget: dice.some(
            4,
            Wish {
                value: Money { minor, currency },
                must: true,
            },
        ),
        power_at_most: dice.some(
            4,
            Wish {
                value: watts,
                must: true,
            },
        ),
        balance: dice.some(
            4,
            Wish {
                value: balance,
                must: true,
            },
        ),
        licence: dice.some(4, must(less)),
        chip_correction: dice.some(
            4,
            Wish {
                value: (),
                must: true,
            },
        ),
        rank_interleave: dice.some(
            4,
            Wish {
                value: (),
                must: true,
            },
        ),
    };
}

fn any_module(dice: &mut Dice) -> ModuleFacts {
    let kind = dice.one_of(&[Kind::Rdimm, Kind::Rdimm, Kind::Lrdimm, Kind::EccUdimm]);
    let (gib, ranks) = dice.one_of(&[(8, 1), (8, 2), (16, 2), (32, 4)]);
    let facts = ModuleFacts {
        width: Some(dice.one_of(&[Width::X4, Width::X4, Width::X8])),
        stack_height: Some(dice.one_of(&[1, 1, 2])),
        rate: Some(dice.one_of(&[Mts(1066), Mts(1333), Mts(1600)])),
        peak_power: Some(dice.one_of(&[Milliwatts(4000), Milliwatts(6000)])),
        price: Some(Money {
            minor: dice.one_of(&[30, 70]),
            currency: Currency::new("EUR").unwrap(),
        }),
        ..module(Generation::Ddr3, kind, gib, ranks)
    };
    let told = Module::checked(facts).expect("a consistent module");
    (*told).clone()
}

/// What to leave out, with its name.
type Omission = (&'static str, fn(&mut ModuleFacts));

const OMISSIONS: [Omission; 11] = [
    ("kind", |facts| facts.kind = None),
    ("capacity", |facts| facts.capacity = None),
    ("ranks", |facts| facts.package_ranks = None),
    ("stack height", |facts| facts.stack_height = None),
    ("width", |facts| facts.width = None),
    ("ECC bits", |facts| facts.ecc_bits = None),
    ("rate", |facts| facts.rate = None),
    ("supply", |facts| facts.supply = None),
    ("part number", |facts| facts.part_number = None),
    ("peak power", |facts| facts.peak_power = None),
    ("price", |facts| facts.price = None),
];

/// The modules in their slots, and one more of each as a kit for the rules that ask no slots.
fn check(board: &BoardFacts, request: &Request, modules: &[(&str, ModuleFacts)]) -> Checked {
    let case = Case::on(board.clone()).with(|own| *own = request.clone());
    let case = modules.iter().fold(case, |case, (slot, facts)| {
        case.seat(facts.clone(), &[slot]).kit(facts.clone(), 1)
    });
    case.check()
}

fn concerned(group: Group) -> bool {
    matches!(
        group,
        Group::Place | Group::Limit | Group::Protection | Group::Wish
    )
}

/// Whether a rule has a broken blocker, or at least one that is undecided.
fn blocks(checked: &Checked, id: &str) -> (bool, bool) {
    let own = checked.findings.iter().filter(|f| f.rule.id == id);
    let mut blockers = own.filter(|f| f.severity == Severity::Blocker).peekable();
    let any = blockers.peek().is_some();
    (blockers.any(|f| f.state == State::Broken), any)
}

#[test]
fn leaving_a_fact_out_never_lifts_a_rule_that_blocked() {
    let mut dice = Dice(2027);
    let (mut broken, mut undecided, mut tried) = (vec![0; RULES.len()], 0, 0);
    for _ in 0..400 {
        let board = any_board(&mut dice);
        let mut request = Request::default();
        any_request(&mut dice, &mut request);
        let mut modules: Vec<(&str, ModuleFacts)> = Vec::new();
        for slot in ["A1", "A2", "B1", "C1", "D1", "D2"] {
            let facts = match modules.last() {
                Some((_, again)) if dice.below(3) > 0 => again.clone(),
                _ => any_module(&mut dice),
            };
            if dice.below(4) > 0 {
                modules.push((slot, facts));
            }
        }
        let whole = check(&board, &request, &modules);
        for (index, (name, omit)) in (0..modules.len()).flat_map(|i| OMISSIONS.map(|o| (i, o))) {
            let mut fewer = modules.clone();
            omit(&mut fewer[index].1);
            let less = check(&board, &request, &fewer);
            tried += 1;
            for (at, rule) in RULES.iter().enumerate().filter(|(_, r)| concerned(r.group)) {
                let (before, after) = (blocks(&whole, rule.id), blocks(&less, rule.id));
                broken[at] += u32::from(before.0);
                undecided += u32::from(after.1 && !after.0 && !before.1);
                assert!(
                    after.1 || !before.1,
                    "{} held without the {name} of {}: {modules:#?}\n{request:#?}",
                    rule.id,
                    modules[index].0
                );
                assert!(
                    !(less.came[at] == Came::Met && whole.came[at] == Came::Undecided),
                    "{} was met without the {name} of {} and undecided with it",
                    rule.id,
                    modules[index].0
                );
            }
        }
    }
    let rules = broken.iter().filter(|count| **count > 0).count();
    assert!(
        rules > 12 && undecided > 500 && tried > 10_000,
        "{rules} {undecided} {tried}"
    );
}
