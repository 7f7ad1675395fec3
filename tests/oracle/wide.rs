//! Small random cases of what tells fillings apart although they hold the same modules, or modules apart
//! although they look alike: groups of slots, balance under a protection, limits of capacities beside
//! policies of mixing, channels with rates of their own, modules of one build that differ in rating,
//! voltages or power, few parts preferred beside limits of builds, and rules that a board raises or lowers.

use super::brute::{agree, conclude};
use super::draw::{Case, Draw, case, must};
use kitproof::domain::board::groups::SlotGroup;
use kitproof::domain::board::policy::{
    Identity, InterleaveSet, Mix, MixPolicy, Protection, ProtectionOffer, Scope, UnequalGroups,
};
use kitproof::domain::board::{Board, BoardFacts, Limit};
use kitproof::domain::finding::Severity;
use kitproof::domain::module::{Module, ModuleFacts, Width};
use kitproof::domain::optimise::{Key, Preference};
use kitproof::domain::request::{Balance, PartIx, Request, VoltagePolicy};
use kitproof::domain::units::{MegabytesPerSecond, Mib, Millivolts, Milliwatts, Mts};

/// Shapes of boards: sockets, channels, positions.
const SHAPES: [(u8, u8, u8); 6] = [
    (1, 2, 2),
    (1, 2, 2),
    (2, 2, 1),
    (1, 4, 1),
    (1, 3, 1),
    (2, 1, 2),
];

fn wide(seed: u64) -> Case {
    wide_on(&mut Draw::new(seed + (1 << 44)), &SHAPES)
}

/// The same on boards of other shapes.
pub fn wide_on(draw: &mut Draw, shapes: &[(u8, u8, u8)]) -> Case {
    let mut case = case(draw, shapes, 3);
    let mut facts = BoardFacts::clone(&case.board);
    parts(draw, &mut case.request);
    groups_of_slots(draw, &mut facts);
    mixing(draw, &mut facts);
    protection(draw, &mut facts, &mut case.request);
    sets(draw, &mut facts);
    severities(draw, &mut facts);
    if draw.once_in(4) {
        case.request.voltage_policy = VoltagePolicy::Lowest;
    }
    bandwidth(draw, &mut facts, &mut case);
    if draw.once_in(4) {
        let Preference::Ordered(keys) = &mut case.preference else {
            case.preference = Preference::Weighted(vec![(Key::Cost, 1), (Key::Parts, 900)]);
            return finish(case, facts);
        };
        keys.retain(|key| *key != Key::Parts);
        keys.push(Key::Parts);
        case.limits.builds_at_most = draw.once_in(2).then_some(1);
    }
    finish(case, facts)
}

fn finish(mut case: Case, facts: BoardFacts) -> Case {
    case.board = Board::checked(facts).unwrap();
    case
}

/// Some of the parts become like the first but for what is told of its build beyond the usual.
fn parts(draw: &mut Draw, request: &mut Request) {
    for index in 0..request.parts.len() {
        let source = if index > 0 && !draw.once_in(3) {
            0
        } else {
            index
        };
        let own = ModuleFacts::clone(&request.parts[index]);
        let mut facts = ModuleFacts {
            name: own.name,
            part_number: own.part_number,
            price: own.price,
            stock: Some(1 + draw.below(4) as u32),
            pack: own.pack.filter(|_| draw.once_in(3)).or(Some(1)),
            ..ModuleFacts::clone(&request.parts[source])
        };
        if draw.once_in(2) {
            facts.rate = Some(Mts(draw.of(&[1066, 1333, 1600])));
        }
        if draw.once_in(3) {
            facts.supply = Some(draw.of(&[&[1500][..], &[1350, 1500]]).to_vec())
                .map(|list| list.into_iter().map(Millivolts).collect());
        }
        if draw.once_in(4) {
            facts.width = Some(Width::X8);
        }
        if draw.once_in(4) {
            facts.peak_power = draw.of(&[None, Some(Milliwatts(4000))]);
        }
        if draw.once_in(5) {
            facts.part_number = request.parts[0].part_number.clone();
        }
        if let Ok(module) = Module::checked(facts) {
            request.parts[index] = module.into();
        }
    }
}

fn groups_of_slots(draw: &mut Draw, facts: &mut BoardFacts) {
    let (channels, positions) = (facts.channels, facts.positions);
    let seats: Vec<Vec<(u8, u8)>> = match draw.below(6) {
        // A bank: one position of all channels.
        0 | 1 => (1..=positions)
            .map(|position| (1..=channels).map(|channel| (channel, position)).collect())
            .collect(),
        // Two whole channels.
        2 => vec![
            (1..=channels.min(2))
                .flat_map(|channel| (1..=positions).map(move |position| (channel, position)))
                .collect(),
        ],
        // The first slot with the last.
        3 => vec![vec![(1, 1), (channels, positions)]],
        4 if draw.once_in(3) => {
            facts.slot_groups = Limit::Unknown;
            return;
        }
        _ => return,
    };
    let seats: Vec<Vec<(u8, u8)>> = seats.into_iter().filter(|own| own.len() > 1).collect();
    let groups = seats.into_iter().map(|seats| SlotGroup {
        name: "bank".into(),
        seats,
        identical: Identity::ALL
            .into_iter()
            .filter(|_| draw.once_in(3))
            .collect(),
        shared_reset: false,
    });
    let groups: Vec<SlotGroup> = groups.filter(|group| !group.identical.is_empty()).collect();
    if !groups.is_empty() {
        facts.slot_groups = Limit::Is(groups);
    }
}

fn mixing(draw: &mut Draw, facts: &mut BoardFacts) {
    let policy = |draw: &mut Draw| match draw.below(4) {
        0 => MixPolicy::everywhere(Mix::Discouraged),
        1 => MixPolicy {
            channel: Mix::Forbidden,
            socket: Mix::Discouraged,
            board: Mix::Allowed,
        },
        _ => MixPolicy::everywhere(Mix::Allowed),
    };
    facts.mixing.widths = policy(draw);
    if draw.once_in(2) {
        facts.mixing.kinds = policy(draw);
        facts.mixing.ranks = policy(draw);
    }
    if draw.once_in(4) {
        facts.mixing.capacities = policy(draw);
    }
    if draw.once_in(3) {
        facts.mixing.capacities_per_board = Limit::Is(draw.of(&[1, 1, 2]));
    }
    if draw.once_in(8) {
        facts.mixing.part_numbers = policy(draw);
    }
}

fn protection(draw: &mut Draw, facts: &mut BoardFacts, request: &mut Request) {
    if facts.channels < 2 || !draw.once_in(2) {
        return;
    }
    let asked = draw.of(&[Protection::Mirrored, Protection::Lockstep]);
    request.protection = asked;
    let pairs = (1..facts.channels).step_by(2);
    facts.protections = vec![ProtectionOffer {
        protection: asked,
        groups: pairs.map(|channel| vec![channel, channel + 1]).collect(),
        identical: draw
            .of(&[
                &[][..],
                &[Identity::Ranks],
                &[Identity::Capacity],
                &[Identity::Capacity, Identity::Ranks],
            ])
            .to_vec(),
        ranks_at_least: Limit::None,
        needs_x4: false,
        unequal_groups: draw.of(&[UnequalGroups::Refused, UnequalGroups::Lost]),
        rank_interleave: Limit::None,
    }];
    if draw.once_in(2) {
        request.wishes.balance = must(draw.of(&[Balance::Channels, Balance::Sockets]));
    }
    if draw.once_in(6) {
        let lowered = ("protection-groups-differ".into(), Severity::Warning);
        facts.severities.push(lowered);
    }
}

fn sets(draw: &mut Draw, facts: &mut BoardFacts) {
    if facts.channels < 2 || !draw.once_in(4) {
        return;
    }
    facts.interleave = vec![InterleaveSet {
        name: "pair".into(),
        channels: vec![1, 2],
        equal: draw.once_in(3),
        alone: false,
        channel_at_most: match draw.of(&[0, 8, 16]) {
            0 => Limit::None,
            gib => Limit::Is(Mib::gib(gib)),
        },
        protections: None,
    }];
}

/// Rules that warn elsewhere and block here.
fn severities(draw: &mut Draw, facts: &mut BoardFacts) {
    if draw.once_in(5) {
        let raised = draw.of(&[
            "module-faster-than-run",
            "rate-lowered-by-count",
            "voltage-choice-matters",
            "processor-lowers-rate",
            "low-voltage-raised",
            "channels-unequal",
            "channels-left-empty",
            "interleave-regions-split",
            "sockets-unequal",
            "set-not-identical",
        ]);
        facts.severities.push((raised.into(), Severity::Blocker));
    }
}

fn bandwidth(draw: &mut Draw, facts: &mut BoardFacts, case: &mut Case) {
    if draw.once_in(2) {
        facts.levelling = draw.of(&[Scope::Socket, Scope::Channel]);
    }
    let key = draw.of(&[Key::Peak, Key::Peak, Key::Uniform]);
    match draw.below(5) {
        0 => case.preference = Preference::Ordered(vec![key, Key::Cost]),
        1 => case.preference = Preference::Weighted(vec![(key, 2), (Key::Cost, 3)]),
        2 => {
            let least = draw.of(&[8000, 12_800, 17_000, 21_000, 25_000]);
            case.limits.peak_at_least = Some(MegabytesPerSecond(least));
        }
        3 => {
            let least = draw.of(&[8000, 12_800, 17_000, 21_000]);
            case.limits.uniform_at_least = Some(MegabytesPerSecond(least));
        }
        _ => {}
    }
}

fn run(seeds: std::ops::Range<u64>) {
    let count = seeds.end - seeds.start;
    let (mut feasible, mut wrong) = (0, Vec::new());
    for seed in seeds {
        let mut case = wide(seed);
        let slots = case.board.slots.len() as u32;
        while (case.request.parts.len() + 1).pow(slots) > 300 {
            drop_last_part(&mut case);
        }
        feasible += u32::from(agree(&case, &format!("wide {seed}"), true, &mut wrong));
    }
    conclude(&wrong, feasible, 4, count);
}

fn drop_last_part(case: &mut Case) {
    case.request.parts.pop();
    let left = case.request.parts.len() as u16;
    case.request
        .installed
        .retain(|entry| entry.part < PartIx(left));
}

#[test]
fn cases_that_look_alike_agree_with_trying_everything() {
    run(0..800);
}

#[test]
#[ignore = "for a release build"]
fn many_cases_that_look_alike_agree_with_trying_everything() {
    run(800..40_000);
}
