//! The smallest change that mends a refusal: found by trying, so what is offered here surely helps.

use super::super::board::SlotIx;
use super::super::finding::{Fix, Offer, State, Verdict, WishChange};
use super::super::outcome;
use super::super::placement::{self, Task};
use super::super::population::Origin;
use super::super::request::Request;
use super::super::reseat;
use super::super::rules::{self, BoardView};
use super::super::setup::Setup;
use super::super::units::Version;
use super::super::validate::{Answer, validate_until};
use super::Case;
use super::probe::models;

/// Changes that mend it together, fewest first.
pub type Mended = Vec<Fix>;

/// The most changes that are tried.
const MOST_TRIES: usize = 24;

/// The smallest change with which the request works; `None` if none of those that the rules offer
/// does.
pub fn smallest(case: Case<'_>) -> Option<Mended> {
    let Case {
        request, answer, ..
    } = case;
    if let Some(fix) = fewer(request, answer) {
        return Some(vec![fix]);
    }
    let mut tries = 0;
    let mut works = |fixes: &[Fix]| {
        tries += 1;
        tries <= MOST_TRIES && works(case, fixes)
    };
    let mut offered = offered(answer);
    offered.sort_by_key(size);
    let mut alone = offered.iter().filter(|fix| mends_each(fix, answer));
    if let Some(one) = alone.find(|fix| works(std::slice::from_ref(fix))) {
        return Some(vec![one.clone()]);
    }
    let mut all: Vec<Fix> = together(&offered);
    if all.len() < 2 || !works(&all) {
        return None;
    }
    let mut index = 0;
    while index < all.len() {
        if all.get(index).is_some_and(|fix| is_needed(fix, case)) {
            index += 1;
            continue;
        }
        let mut rest = all.clone();
        rest.remove(index);
        if works(&rest) {
            all = rest;
        } else {
            index += 1;
        }
    }
    Some(all)
}

/// The line of the kit of which the fewest modules have to go; validate has tried them all.
fn fewer(request: &Request, answer: &Answer) -> Option<Fix> {
    let lines = (0u32..).zip(request.kit.iter().zip(&answer.largest));
    let possible = lines.filter_map(|(line, (asked, largest))| {
        let quantity = (*largest)?;
        (quantity > 0).then_some((asked.quantity - quantity, line, quantity))
    });
    let (_, line, quantity) = possible.min()?;
    Some(Fix::SetQuantity { line, quantity })
}

/// What the rules that block offer, each once.
fn offered(answer: &Answer) -> Vec<Fix> {
    let blockers = answer
        .findings
        .iter()
        .filter(|f| f.blocks() && f.state == State::Broken);
    let mut fixes: Vec<Fix> = Vec::new();
    for Offer { fix, .. } in blockers.flat_map(|finding| &finding.fixes) {
        if can_be_tried(fix) && !fixes.contains(fix) {
            fixes.push(fix.clone());
        }
    }
    fixes
}

/// Whether every rule that blocks offers the change: otherwise it is not tried by itself. One that
/// takes a module out of one of several slots is not either, since it mends one of them.
fn mends_each(fix: &Fix, answer: &Answer) -> bool {
    let mut blockers = answer
        .findings
        .iter()
        .filter(|f| f.blocks() && f.state == State::Broken);
    blockers.all(|finding| {
        let own = finding
            .fixes
            .iter()
            .filter(|offer| size(&offer.fix) == size(fix));
        let several = matches!(fix, Fix::Remove { .. }) && finding.channels.len() > 1;
        !several && own.into_iter().any(|offer| offer.fix == *fix)
    })
}

/// Whether no other change can stand in for this one: it takes the only module out that a rule offers
/// to take out of a channel, and the rule is broken on that channel by itself.
fn is_needed(fix: &Fix, case: Case<'_>) -> bool {
    let Fix::Remove { slot } = fix else {
        return false;
    };
    let channel = case.board.channel_of(*slot);
    let blockers = case.answer.findings.iter();
    let mut blockers = blockers.filter(|f| f.blocks() && f.state == State::Broken);
    blockers.any(|finding| {
        let offered = finding.fixes.iter().filter(|offer| match offer.fix {
            Fix::Remove { slot } => case.board.channel_of(slot) == channel,
            _ => false,
        });
        finding.channels.contains(&channel) && offered.count() == 1
    })
}

/// Whether the change can be made to a request; another module to choose is not known here.
const fn can_be_tried(fix: &Fix) -> bool {
    !matches!(
        fix,
        Fix::ChooseOther { .. }
            | Fix::Tell(_)
            | Fix::OrderFillers { .. }
            | Fix::FitProcessor { .. }
            | Fix::ChooseProcessor { .. }
    )
}

/// How much a change asks of people: nothing bought or taken away first.
fn size(fix: &Fix) -> u8 {
    match fix {
        Fix::SetVoltagePolicy(_) => 0,
        Fix::Move { .. } | Fix::Swap { .. } => 1,
        Fix::Rearrange(_) => 2,
        Fix::UpdateFirmware { .. } => 3,
        Fix::Remove { .. } => 4,
        Fix::SetQuantity { .. } => 5,
        Fix::AdjustWish(_) | Fix::SetProtection(_) => 6,
        _ => 7,
    }
}

/// Changes that do not contradict each other: a slot is emptied or filled once, a line has one
/// quantity; whole arrangements stand alone.
fn together(fixes: &[Fix]) -> Vec<Fix> {
    let mut chosen: Vec<Fix> = Vec::new();
    for fix in fixes {
        let new = match fix {
            Fix::Rearrange(_) | Fix::Move { .. } | Fix::Swap { .. } => false,
            Fix::SetQuantity { line, .. } => !chosen.iter().any(
                |other| matches!(other, Fix::SetQuantity { line: known, .. } if known == line),
            ),
            Fix::AdjustWish(_) | Fix::Remove { .. } => true,
            other => !chosen.iter().any(|known| size(known) == size(other)),
        };
        if new {
            chosen.push(fix.clone());
        }
    }
    chosen
}

fn works(case: Case<'_>, fixes: &[Fix]) -> bool {
    let Case {
        request, answer, ..
    } = case;
    let mut changed = request.clone();
    let applied = fixes.iter().all(|fix| apply(fix, &mut changed, answer));
    let empty = changed.kit.is_empty() && changed.population.is_empty();
    let nothing_left = empty && !(request.kit.is_empty() && request.population.is_empty());
    applied && !nothing_left && is_accepted(case, &changed)
}

/// Whether a request works. Where every slot is given, only the rules are asked: what else a refusal
/// would be answered with takes a search.
fn is_accepted(case: Case<'_>, request: &Request) -> bool {
    let verdicts = models(case.board, request).into_iter().map(|model| {
        let setup = Setup::new(case.board, request, model)?;
        let task = Task::of(&setup);
        let all_given = task.loads.is_empty();
        let outcome = all_given.then(|| outcome::compute(&setup, &task.fixed))?;
        let population = placement::given(&setup);
        let view = BoardView::new(&setup, &population, &task.fixed, &outcome, &[]);
        Some(rules::verdict(&view))
    });
    let works = |verdict: Verdict| verdict <= Verdict::FitsWithWarnings;
    match verdicts.collect::<Option<Vec<Verdict>>>() {
        Some(verdicts) => verdicts.into_iter().all(works),
        None => validate_until(case.board, request, case.stop)
            .is_some_and(|answer| works(answer.verdict)),
    }
}

/// Makes a change to a request; false if it cannot be made there.
fn apply(fix: &Fix, request: &mut Request, answer: &Answer) -> bool {
    match fix {
        Fix::Rearrange(seats) => reseat::rearranged(seats, request),
        Fix::Move { from, to } => reseat::moved(&[(*from, *to)], request),
        Fix::Swap { one, other } => reseat::moved(&[(*one, *other), (*other, *one)], request),
        Fix::Remove { slot } => remove(*slot, request, answer),
        Fix::SetQuantity { line, quantity } => {
            let line = request.kit.get_mut(*line as usize);
            line.map(|line| line.quantity = *quantity).is_some()
        }
        Fix::AdjustWish(change) => {
            adjust(*change, request);
            true
        }
        Fix::SetProtection(protection) => {
            request.protection = *protection;
            true
        }
        Fix::SetVoltagePolicy(policy) => {
            request.voltage_policy = *policy;
            true
        }
        Fix::UpdateFirmware { version } => {
            request.firmware = Version::new(version);
            request.firmware.is_some()
        }
        Fix::ChooseOther { .. }
        | Fix::FitProcessor { .. }
        | Fix::ChooseProcessor { .. }
        | Fix::OrderFillers { .. }
        | Fix::Tell(_) => false,
    }
}

fn remove(slot: SlotIx, request: &mut Request, answer: &Answer) -> bool {
    match answer.population.at(slot).map(|occupant| occupant.origin) {
        Some(Origin::Population(_)) => {
            let before = request.population.len();
            request.population.retain(|entry| entry.slot != Some(slot));
            request.population.len() < before
        }
        Some(Origin::Installed(entry)) => {
            request.removed.push(entry);
            true
        }
        Some(Origin::Kit(_)) | None => false,
    }
}

fn adjust(change: WishChange, request: &mut Request) {
    fn set<T>(wish: &mut Option<super::super::request::Wish<T>>, value: T) {
        if let Some(wish) = wish {
            wish.value = value;
        }
    }
    let wishes = &mut request.wishes;
    match change {
        WishChange::CapacityAtLeast(value) => set(&mut wishes.capacity_at_least, value),
        WishChange::CapacityAtMost(value) => set(&mut wishes.capacity_at_most, value),
        WishChange::RateAtLeast(value) => set(&mut wishes.rate_at_least, value),
        WishChange::FreeSlots(value) => set(&mut wishes.free_slots, value),
        WishChange::Budget(value) => set(&mut wishes.budget, value),
        WishChange::PowerAtMost(value) => set(&mut wishes.power_at_most, value),
        WishChange::Balance(Some(value)) => set(&mut wishes.balance, value),
        WishChange::Balance(None) => wishes.balance = None,
        WishChange::ChipCorrection => wishes.chip_correction = None,
        WishChange::RankInterleave => wishes.rank_interleave = None,
    }
}
