//! What a finding points at in the request: the lines and entries whose modules sit in the places
//! that it names, beside what its rule says itself.

use super::super::board::SlotIx;
use super::super::board::policy::Protection;
use super::super::finding::{Finding, State, Subject};
use super::super::population::{Occupant, Origin};
use super::super::request::{Request, VoltagePolicy};
use super::{BoardView, Group};

/// Adds to each finding what it concerns.
pub fn point(view: &BoardView<'_>, findings: &mut [Finding]) {
    for finding in findings {
        if finding.rule.group == Group::Wish || finding.rule.id == "licence-ceiling" {
            wish(view.request(), finding);
        }
        modules(view, finding);
    }
}

/// A wish that could not be judged is still what the finding is about.
fn wish(request: &Request, finding: &mut Finding) {
    if finding.state == State::Broken {
        return;
    }
    let wishes = &request.wishes;
    let all = [
        (
            "capacity-wish",
            Subject::CapacityAtLeast,
            wishes.capacity_at_least.is_some(),
        ),
        (
            "capacity-wish",
            Subject::CapacityAtMost,
            wishes.capacity_at_most.is_some(),
        ),
        (
            "rate-wish",
            Subject::RateAtLeast,
            wishes.rate_at_least.is_some(),
        ),
        (
            "free-slots-wish",
            Subject::FreeSlots,
            wishes.free_slots.is_some(),
        ),
        ("budget-wish", Subject::Budget, wishes.budget.is_some()),
        (
            "power-wish",
            Subject::PowerAtMost,
            wishes.power_at_most.is_some(),
        ),
        ("balance-wish", Subject::Balance, wishes.balance.is_some()),
        (
            "licence-ceiling",
            Subject::Licence,
            wishes.licence.is_some(),
        ),
    ];
    let own = all
        .iter()
        .filter(|(rule, _, asked)| *rule == finding.rule.id && *asked);
    own.for_each(|(_, subject, _)| add(finding, *subject));
}

/// Points at the modules in the slots that are named; else, unless the rule points at something
/// itself, at those on the channels, else on the sockets, else at all.
fn modules(view: &BoardView<'_>, finding: &mut Finding) {
    let at = |slot: &SlotIx| view.population.at(*slot).map(|occupant| (*slot, occupant));
    let named: Vec<Occupant> = finding
        .slots
        .iter()
        .filter_map(|slot| Some(at(slot)?.1))
        .collect();
    for occupant in named {
        if !finding.subjects.contains(&Subject::Part(occupant.part)) {
            add(finding, subject(occupant.origin));
        }
    }
    let mut own = finding.subjects.iter();
    if own.any(|subject| is_told(*subject, view.request())) {
        return;
    }
    let mut subjects: Vec<Subject> = Vec::new();
    let mut push = |occupant: Occupant| {
        let own = subject(occupant.origin);
        // Most modules of a kit are of the line of the one before.
        if subjects.last() != Some(&own) {
            subjects.push(own);
        }
    };
    match finding.channels.is_empty() && finding.sockets.is_empty() {
        true => view.population.occupied().for_each(|(_, own)| push(own)),
        false => slots(view, finding)
            .filter_map(|slot| view.population.at(slot))
            .for_each(push),
    }
    if subjects.is_empty() && finding.sockets.is_empty() {
        let left = view.left_over.iter().map(|(part, _)| Subject::Part(*part));
        subjects.extend(left);
    }
    subjects.sort_unstable();
    subjects.dedup();
    if subjects.is_empty() {
        subjects = all(view.request());
    }
    finding.subjects.extend(subjects);
}

/// The slots at the place that a finding names: its channels, else its sockets.
fn slots(view: &BoardView<'_>, finding: &Finding) -> impl Iterator<Item = SlotIx> {
    let board = view.board();
    let channels = finding.channels.iter().copied();
    let sockets = match finding.channels.is_empty() {
        true => finding.sockets.as_slice(),
        false => &[],
    };
    let of_sockets = sockets.iter().flat_map(|socket| board.channels_of(*socket));
    channels
        .chain(of_sockets)
        .flat_map(|channel| board.slots_of(channel))
}

/// Every line and entry.
fn all(request: &Request) -> Vec<Subject> {
    let kit = (0u32..)
        .zip(&request.kit)
        .map(|(line, _)| Subject::KitLine(line));
    let population = (0u32..).zip(&request.population);
    let population = population.map(|(entry, _)| Subject::PopulationEntry(entry));
    let installed = request
        .staying()
        .map(|(entry, _)| Subject::InstalledEntry(entry));
    kit.chain(population).chain(installed).collect()
}

/// Whether the request holds what a subject names. Modules and wishes are only found where they are
/// told; the voltage policy that holds where none is asked for counts as left out.
pub fn is_told(subject: Subject, request: &Request) -> bool {
    match subject {
        Subject::Processors => request.sockets.is_some(),
        Subject::Firmware => request.firmware.is_some(),
        Subject::Protection => request.protection != Protection::None,
        Subject::VoltagePolicy => request.voltage_policy != VoltagePolicy::default(),
        _ => true,
    }
}

fn add(finding: &mut Finding, subject: Subject) {
    if !finding.subjects.contains(&subject) {
        finding.subjects.push(subject);
    }
}

/// The line or entry that a module came from.
pub const fn subject(origin: Origin) -> Subject {
    match origin {
        Origin::Kit(line) => Subject::KitLine(line),
        Origin::Population(entry) => Subject::PopulationEntry(entry),
        Origin::Installed(entry) => Subject::InstalledEntry(entry),
    }
}
