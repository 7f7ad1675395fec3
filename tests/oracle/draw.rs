//! Random boards and tasks, the same in every run.

use super::instance::{accepts, board_of};
use kitproof::domain::board::accept::AcceptRow;
use kitproof::domain::board::policy::{
    Identity, Mix, MixPolicy, Protection, ProtectionOffer, RankInterleave, Scope, UnequalGroups,
};
use kitproof::domain::board::rates::{RankMatch, RankMeasure, RateRow, StackMatch};
use kitproof::domain::board::{Board, Limit};
use kitproof::domain::finding::Severity;
use kitproof::domain::module::{Generation, HeightClass, Kind, Module, ModuleFacts, Width};
use kitproof::domain::optimise::{Key, Limits, Preference, Task};
use kitproof::domain::request::{
    Balance, InstalledPolicy, PartIx, Request, Seated, SocketState, VoltagePolicy, Wish,
};
use kitproof::domain::rules::RuleSet;
use kitproof::domain::units::{Currency, Mib, Millivolts, Milliwatts, Money, Mts};
use std::sync::Arc;

/// A source of numbers that look random.
pub struct Draw(u64);

impl Draw {
    /// Numbers of their own, so that what is drawn here and later stays what it was.
    pub fn apart(&self) -> Self {
        Self::new(self.0 >> 7)
    }

    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) + 1)
    }

    /// Below a bound.
    pub fn below(&mut self, bound: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) % bound
    }

    /// True once in so many times.
    pub fn once_in(&mut self, times: u64) -> bool {
        self.below(times) == 0
    }

    pub fn of<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.below(list.len() as u64) as usize]
    }
}

/// A drawn case.
pub struct Case {
    pub board: Board,
    pub request: Request,
    pub handling: i64,
    pub limits: Limits,
    pub preference: Preference,
}

impl Case {
    pub fn task<'a>(&'a self, steps: u64, stop: &'a dyn Fn() -> bool) -> Task<'a> {
        Task {
            board: &self.board,
            request: self.request.clone(),
            for_sale: (0..self.request.parts.len() as u16).map(PartIx).collect(),
            handling: self.handling,
            limits: self.limits,
            preference: self.preference.clone(),
            plans: 1,
            ignored: RuleSet::none(),
            steps,
            stop,
        }
    }
}

/// A wish that must be met.
pub fn must<T>(value: T) -> Option<Wish<T>> {
    Some(Wish { value, must: true })
}

/// A case of at most so many slots and so many parts.
pub fn case(draw: &mut Draw, shapes: &[(u8, u8, u8)], parts: u64) -> Case {
    let (sockets, channels, positions) = draw.of(shapes);
    let board = board(draw, sockets, channels, positions);
    let count = 1 + draw.below(parts);
    let mut modules: Vec<Arc<Module>> = Vec::new();
    while modules.len() < count as usize {
        // Not every capacity divides into every number of ranks.
        modules.extend(module(draw, modules.len()).map(Arc::new));
    }
    let mut request = Request {
        parts: modules,
        installed_policy: draw.of(&[
            InstalledPolicy::InPlace,
            InstalledPolicy::Keep,
            InstalledPolicy::MayRemove,
            InstalledPolicy::MayRemove,
            InstalledPolicy::Replace,
        ]),
        voltage_policy: draw.of(&[
            VoltagePolicy::Fastest,
            VoltagePolicy::Fastest,
            VoltagePolicy::Lowest,
        ]),
        protection: draw.of(&[
            Protection::None,
            Protection::None,
            Protection::Mirrored,
            Protection::RankSpare,
        ]),
        ..Request::default()
    };
    let fitted = 1 + draw.below(u64::from(sockets)) as usize;
    let state = |index| {
        if index < fitted {
            SocketState::Fitted(Some(0))
        } else {
            SocketState::Empty
        }
    };
    request.sockets = Some((0..usize::from(sockets)).map(state).collect());
    if draw.once_in(2) {
        let channels_used = board.all_channels().take(fitted * usize::from(channels));
        for channel in channels_used.collect::<Vec<_>>() {
            for slot in board.slots_of(channel) {
                if draw.once_in(4) {
                    let part = PartIx(draw.below(count) as u16);
                    request.installed.push(Seated {
                        part,
                        slot: Some(slot),
                    });
                }
            }
        }
    }
    wishes(draw, &mut request, fitted as u64 * u64::from(channels));
    Case {
        board,
        request,
        handling: draw.of(&[0, 0, 300, 2000]),
        limits: Limits {
            builds_at_most: draw.once_in(6).then_some(1),
            one_part: draw.once_in(10),
            moved_at_most: draw.once_in(8).then_some(1),
            ..Limits::default()
        },
        preference: preference(draw),
    }
}

fn wishes(draw: &mut Draw, request: &mut Request, channels: u64) {
    let wishes = &mut request.wishes;
    if !draw.once_in(5) {
        let gib = 4 * (1 + draw.below(channels * 6));
        wishes.capacity_at_least = must(Mib::gib(gib));
        if draw.once_in(4) {
            wishes.capacity_at_most = must(Mib::gib(gib + 4 * draw.below(4)));
        }
    }
    if draw.once_in(5) {
        let rate = Mts(draw.of(&[1066, 1333]));
        // No board without memory meets it: some wish for none, so that enough cases have a kit.
        wishes.rate_at_least = must(rate).filter(|_| !draw.apart().once_in(4));
    }
    if draw.once_in(5) {
        wishes.free_slots = must(1 + draw.below(2) as u16);
    }
    if draw.once_in(6) {
        wishes.budget = must(Money {
            minor: 2000 + draw.below(8000) as i64,
            currency: euro(),
        });
    }
    if draw.once_in(6) {
        wishes.power_at_most = must(Milliwatts(5000 + draw.below(20_000)));
    }
    if draw.once_in(4) {
        wishes.balance = must(draw.of(&[Balance::Channels, Balance::Sockets]));
    }
    if draw.apart().once_in(40) {
        wishes.rank_interleave = must(());
    }
}

fn euro() -> Currency {
    Currency::new("EUR").unwrap()
}

fn preference(draw: &mut Draw) -> Preference {
    let mut keys: Vec<Key> = Vec::new();
    for _ in 0..1 + draw.below(3) {
        let key = draw.of(&Key::ALL);
        if !keys.contains(&key) {
            keys.push(key);
        }
    }
    if draw.once_in(3) {
        let weighted = keys.iter().map(|key| (*key, 1 + draw.below(20) as u32));
        Preference::Weighted(weighted.collect())
    } else {
        Preference::Ordered(keys)
    }
}

fn module(draw: &mut Draw, index: usize) -> Option<Module> {
    let ranks = draw.of(&[1u8, 2, 2, 4]);
    let facts = ModuleFacts {
        name: format!("m{index}"),
        generation: Some(Generation::Ddr3),
        kind: Some(draw.of(&[Kind::Rdimm, Kind::Rdimm, Kind::Rdimm, Kind::EccUdimm])),
        capacity: Some(Mib::gib(draw.of(&[4, 8, 8, 16]))),
        package_ranks: Some(ranks),
        stack_height: Some(1),
        width: Some(Width::X4),
        rate: Some(Mts(draw.of(&[1066, 1333, 1600]))),
        supply: Some(if draw.once_in(3) {
            vec![Millivolts(1500)]
        } else {
            vec![Millivolts(1350), Millivolts(1500)]
        }),
        height: Some(HeightClass::Low),
        part_number: Some(format!("m{index}")),
        peak_power: Some(Milliwatts(3000 + 1000 * draw.below(3))),
        price: Some(Money {
            minor: 400 + 100 * draw.below(20) as i64,
            currency: euro(),
        }),
        stock: Some(draw.below(7) as u32),
        pack: Some(draw.of(&[1, 1, 1, 2, 3])),
        ..ModuleFacts::default()
    };
    Module::checked(facts).ok()
}

fn board(draw: &mut Draw, sockets: u8, channels: u8, positions: u8) -> Board {
    let mut facts = board_of(Generation::Ddr3, sockets, channels, positions);
    let mix = |draw: &mut Draw| {
        if draw.once_in(3) {
            MixPolicy::everywhere(Mix::Forbidden)
        } else {
            MixPolicy {
                channel: draw.of(&[Mix::Allowed, Mix::Allowed, Mix::Forbidden]),
                socket: Mix::Allowed,
                board: Mix::Allowed,
            }
        }
    };
    facts.mixing.kinds = mix(draw);
    facts.mixing.ranks = mix(draw);
    if draw.once_in(3) {
        facts.mixing.capacities_per_board = Limit::Is(1 + draw.below(2) as u8);
    }
    if draw.once_in(4) {
        facts.mixing.capacities_per_channel = Limit::Is(1);
    }
    facts.rank_budget = Limit::Is(draw.of(&[4, 6, 8]));
    facts.levelling = draw.of(&[Scope::Board, Scope::Board, Scope::Socket, Scope::Channel]);
    facts.accepts = vec![
        AcceptRow {
            ranks: Some(vec![4]),
            positions: (positions > 1 && draw.once_in(2)).then(|| vec![1]),
            per_channel: Limit::Is(draw.of(&[1, 2])),
            ..accepts(Kind::Rdimm)
        },
        accepts(Kind::Rdimm),
        accepts(Kind::EccUdimm),
    ];
    facts.rates = (1..=positions)
        .flat_map(|modules| {
            let high = [1600, 1333, 1066][usize::from(modules) - 1];
            let row = move |supply: u16, rate: u32, most: u8| RateRow {
                kinds: vec![Kind::Rdimm, Kind::EccUdimm],
                stack: StackMatch::Any,
                measure: RankMeasure::Package,
                ranks: RankMatch::AtMost(most),
                modules,
                positions_wired: None,
                supply: Some(vec![Millivolts(supply)]),
                firmware: None,
                rate: Mts(rate),
            };
            [
                row(1500, high, 2),
                row(1500, 1066, 4),
                row(1350, 1066.max(high - 267), 2),
            ]
        })
        .collect();
    for filling in &mut facts.filling {
        filling.rank_order = draw.once_in(2);
        filling.module_counts = draw.once_in(4).then(|| vec![1, 2, 4]);
        if draw.once_in(6) {
            filling.board_capacity = Limit::Is(Mib::gib(32));
        }
    }
    if draw.once_in(6) {
        facts.socket_capacity = Limit::Is(Mib::gib(24));
    }
    if draw.once_in(3) {
        facts
            .severities
            .push(("socket-without-memory".into(), Severity::Warning));
    }
    let mut apart = draw.apart();
    facts.rank_interleave = Limit::Is(RankInterleave::EqualRanks);
    facts.protections = vec![
        ProtectionOffer {
            protection: Protection::Mirrored,
            groups: (1..channels).step_by(2).map(|c| vec![c, c + 1]).collect(),
            identical: draw.of(&[0u8, 1, 2]).pipe(|which| match which {
                0 => vec![Identity::Capacity],
                1 => vec![Identity::Capacity, Identity::Ranks],
                _ => vec![Identity::Capacity, Identity::Ranks, Identity::Kind],
            }),
            ranks_at_least: Limit::None,
            needs_x4: false,
            unequal_groups: apart.of(&[UnequalGroups::Refused, UnequalGroups::Lost]),
            rank_interleave: Limit::None,
        },
        ProtectionOffer {
            protection: Protection::RankSpare,
            groups: Vec::new(),
            identical: Vec::new(),
            ranks_at_least: Limit::None,
            needs_x4: false,
            unequal_groups: UnequalGroups::Refused,
            rank_interleave: match apart.once_in(2) {
                true => Limit::Is(vec![vec![2, 2], vec![1, 2], vec![1, 1, 1]]),
                false => Limit::None,
            },
        },
    ];
    if channels < 2 {
        facts.protections.remove(0);
    }
    Board::checked(facts).unwrap()
}

/// Hands a value on.
trait Pipe: Sized {
    fn pipe<T>(self, to: impl FnOnce(Self) -> T) -> T {
        to(self)
    }
}

impl Pipe for u8 {}
