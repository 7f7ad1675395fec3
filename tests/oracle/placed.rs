//! Where a check puts the modules of a kit, against trying every slot for every module: on the boards of
//! the optimiser's cases, and on more. What may tell slots apart is drawn: groups of slots, named patterns,
//! protections, sets of channels, nodes, mixing, rates of channels, rules that a board raises, wishes, and
//! facts that nobody told.

use super::brute::conclude;
use super::draw::{Case, Draw};
use super::wide::wide_on;
use kitproof::domain::board::filling::{LayoutRow, Seat};
use kitproof::domain::board::policy::{Identity, Protection, Scope};
use kitproof::domain::board::{Board, BoardFacts, SlotIx};
use kitproof::domain::finding::{Finding, Severity, State, Verdict};
use kitproof::domain::module::{Kind, Module, ModuleFacts};
use kitproof::domain::request::{InstalledPolicy, KitLine, PartIx, Request, Seated};
use kitproof::domain::validate::{Answer, validate};

/// Shapes of boards: sockets, channels, positions.
const SHAPES: [(u8, u8, u8); 9] = [
    (1, 2, 2),
    (2, 2, 1),
    (1, 4, 1),
    (2, 1, 2),
    (1, 2, 3),
    (1, 3, 2),
    (2, 3, 1),
    (3, 1, 2),
    (2, 2, 2),
];

/// No case has more seatings.
const MOST: usize = 1500;

fn placed(seed: u64) -> Case {
    let draw = &mut Draw::new(seed + (1 << 45));
    let mut case = wide_on(draw, &SHAPES);
    let mut facts = BoardFacts::clone(&case.board);
    for offer in &mut facts.protections {
        // Channels of one group that may hold different capacities lose the rest of the larger one, which
        // no rule of placement speaks of.
        if !offer.identical.contains(&Identity::Capacity) {
            offer.identical.push(Identity::Capacity);
        }
    }
    if draw.once_in(4) {
        facts.levelling = Scope::Node;
        facts.nodes = (0..facts.channels).map(|channel| 1 + channel / 2).collect();
    }
    if draw.once_in(5) {
        patterns(draw, &mut facts);
    }
    case.board = Board::checked(facts).unwrap();
    let slots = case.board.slots.len() as u64;
    let request = &mut case.request;
    if request.installed_policy == InstalledPolicy::MayRemove {
        request.installed_policy = InstalledPolicy::Keep;
    }
    if draw.once_in(4) {
        untold(draw, request);
    }
    // What no placement changes stands in the way only now and then.
    let wishes = &mut request.wishes;
    if !draw.once_in(8) {
        (wishes.capacity_at_least, wishes.capacity_at_most) = (None, None);
        (wishes.budget, wishes.power_at_most, wishes.free_slots) = (None, None, None);
    }
    for index in 0..request.parts.len() {
        let plenty = ModuleFacts {
            stock: None,
            pack: None,
            ..ModuleFacts::clone(&request.parts[index])
        };
        request.parts[index] = Module::checked(plenty).unwrap().into();
    }
    let mut room = 1 + draw.below(slots + 1);
    for part in 0..request.parts.len() as u16 {
        let quantity = draw.below(room + 1);
        room -= quantity;
        if quantity > 0 {
            request.kit.push(KitLine {
                part: PartIx(part),
                quantity: quantity as u32,
            });
        }
    }
    case
}

/// Positions that may be filled together, in place of a free order.
fn patterns(draw: &mut Draw, facts: &mut BoardFacts) {
    for mask in 1u32..1 << facts.positions {
        if draw.once_in(2) {
            let seat = |position| match mask >> position & 1 {
                1 => Seat::Module,
                _ => Seat::Empty,
            };
            facts.layouts.push(LayoutRow {
                kinds: vec![Kind::Rdimm],
                sockets_fitted: None,
                pattern: (0..u32::from(facts.positions)).map(seat).collect(),
                rates: Vec::new(),
            });
        }
    }
}

/// One fact of one part is not told.
fn untold(draw: &mut Draw, request: &mut Request) {
    let part = draw.below(request.parts.len() as u64) as usize;
    let mut facts = ModuleFacts::clone(&request.parts[part]);
    match draw.below(5) {
        0 => facts.rate = None,
        1 => facts.supply = None,
        2 => facts.width = None,
        3 => facts.package_ranks = None,
        _ => facts.peak_power = None,
    }
    request.parts[part] = Module::checked(facts).unwrap().into();
}

/// What a placement is compared by, more is better: nothing lost to a protection, the rate, the bandwidth
/// when all is read evenly, modules that stay in their slots.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Worth {
    whole: bool,
    rate: Option<u32>,
    uniform: Option<u64>,
    kept: i64,
}

/// All that trying every slot tells.
#[derive(Default)]
struct Tried {
    seatings: usize,
    best: Option<Worth>,
    undecided: bool,
}

/// Whether channels work in groups, and what sits elsewhere is lost.
fn is_grouped(case: &Case) -> bool {
    let grouped = [Protection::Mirrored, Protection::Lockstep];
    let mut offers = case.board.protections.iter();
    grouped.contains(&case.request.protection)
        && offers.any(|offer| offer.protection == case.request.protection)
}

/// Whether the board lets groups differ by lowering the rule: then no search is made for a placement that
/// loses nothing.
fn lowers_groups(case: &Case) -> bool {
    let mut lowered = case.board.severities.iter();
    lowered.any(|(id, severity)| id == "protection-groups-differ" && *severity != Severity::Blocker)
}

fn worth(case: &Case, answer: &Answer, kept: i64) -> Worth {
    let outcome = &answer.outcome;
    let copies = match case.request.protection {
        Protection::Mirrored => 2,
        _ => 1,
    };
    let read = outcome.usable.map(|usable| usable.0 * copies);
    let held = outcome.installed.map(|installed| installed.0);
    Worth {
        whole: !is_grouped(case) || read == held,
        rate: outcome.rate.map(|rate| rate.0),
        uniform: outcome.uniform.map(|uniform| uniform.0),
        kept,
    }
}

fn is_clear(verdict: Verdict) -> bool {
    verdict <= Verdict::FitsWithWarnings
}

/// Every seating of all modules, judged as given slots; nothing if there are too many.
fn try_everything(case: &Case) -> Option<Tried> {
    let request = &case.request;
    let mut seats: Vec<Option<PartIx>> = vec![None; case.board.slots.len()];
    let mut loose: Vec<PartIx> = Vec::new();
    for line in &request.kit {
        loose.extend((0..line.quantity).map(|_| line.part));
    }
    for (_, entry) in request.staying() {
        match request.installed_policy {
            InstalledPolicy::InPlace => seats[usize::from(entry.slot?.0)] = Some(entry.part),
            _ => loose.push(entry.part),
        }
    }
    loose.sort_unstable();
    let mut tried = Tried::default();
    seat(case, &mut seats, &loose, 0, &mut tried);
    (tried.seatings <= MOST).then_some(tried)
}

fn seat(
    case: &Case,
    seats: &mut Vec<Option<PartIx>>,
    loose: &[PartIx],
    from: usize,
    tried: &mut Tried,
) {
    if tried.seatings > MOST {
        return;
    }
    let Some((first, rest)) = loose.split_first() else {
        judge(case, seats, tried);
        return;
    };
    for slot in from..seats.len() {
        if seats[slot].is_none() {
            seats[slot] = Some(*first);
            let next = if rest.first() == Some(first) {
                slot + 1
            } else {
                0
            };
            seat(case, seats, rest, next, tried);
            seats[slot] = None;
        }
    }
}

fn judge(case: &Case, seats: &[Option<PartIx>], tried: &mut Tried) {
    tried.seatings += 1;
    let mut given = Request {
        kit: Vec::new(),
        ..case.request.clone()
    };
    let mut free: Vec<Option<PartIx>> = seats.to_vec();
    let mut kept = 0;
    let staying: Vec<u32> = case.request.staying().map(|(index, _)| index).collect();
    let mut away = Vec::new();
    for index in staying {
        let entry = &given.installed[index as usize];
        let slot = usize::from(entry.slot.unwrap().0);
        if free[slot] == Some(entry.part) {
            free[slot] = None;
            kept += 1;
        } else {
            away.push(index);
        }
    }
    for index in away {
        let part = given.installed[index as usize].part;
        let slot = free.iter().position(|own| *own == Some(part)).unwrap();
        free[slot] = None;
        given.installed[index as usize].slot = Some(SlotIx(slot as u16));
    }
    for (slot, part) in (0u16..).zip(&free) {
        given.population.extend(part.map(|part| Seated {
            part,
            slot: Some(SlotIx(slot)),
        }));
    }
    if given.installed_policy == InstalledPolicy::Keep {
        given.installed_policy = InstalledPolicy::InPlace;
    }
    let answer = validate(&case.board, &given).unwrap();
    match answer.verdict {
        verdict if is_clear(verdict) => {
            tried.best = tried.best.max(Some(worth(case, &answer, kept)));
        }
        verdict => tried.undecided |= verdict == Verdict::Undecided,
    }
}

/// Notes what a check says otherwise than trying everything does; whether there was something to compare.
fn agree(case: &Case, name: &str, wrong: &mut Vec<String>) -> bool {
    if case.request.kit.is_empty() {
        return false;
    }
    let Some(tried) = try_everything(case) else {
        return false;
    };
    let answer = validate(&case.board, &case.request).unwrap();
    let kept = case.request.staying().count() as i64 - i64::from(answer.moved);
    let expected = match (&tried.best, tried.undecided) {
        (Some(_), _) => None,
        (None, true) => Some(Verdict::Undecided),
        (None, false) => Some(Verdict::DoesNotFit),
    };
    let found = is_clear(answer.verdict).then(|| worth(case, &answer, kept));
    let own = (!is_clear(answer.verdict)).then_some(answer.verdict);
    // What is lost where something must be lost is compared by another measure; so is what reads faster at
    // a rate that is not known.
    let comparable = |worth: Option<Worth>| {
        worth.filter(|_| !lowers_groups(case)).map(|worth| {
            let read = (worth.uniform, worth.kept);
            let rate = worth.rate.filter(|_| worth.whole);
            (worth.whole, rate, rate.map(|_| read))
        })
    };
    if own != expected || comparable(found) != comparable(tried.best) {
        wrong.push(format!(
            "{name}: {own:?} {found:?} in place of {expected:?} {:?}",
            tried.best
        ));
    }
    if answer.verdict == Verdict::DoesNotFit && !answer.findings.iter().any(blocks) {
        wrong.push(format!("{name}: no finding says why it does not fit"));
    }
    tried.best.is_some()
}

fn blocks(finding: &Finding) -> bool {
    finding.severity == Severity::Blocker && finding.state == State::Broken
}

fn run(seeds: std::ops::Range<u64>) {
    let count = seeds.end - seeds.start;
    let (mut fits, mut wrong) = (0, Vec::new());
    for seed in seeds {
        fits += u32::from(agree(&placed(seed), &format!("placed {seed}"), &mut wrong));
    }
    conclude(&wrong, fits, 8, count);
}

#[test]
fn kits_go_where_trying_every_slot_puts_them() {
    run(0..500);
}

#[test]
#[ignore = "for a release build"]
fn many_kits_go_where_trying_every_slot_puts_them() {
    run(500..80_000);
}
