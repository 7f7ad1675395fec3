//! Kits that the optimiser found, in words: headlines, and a page for a terminal or a ticket.

pub mod demands;

use crate::domain::board::SlotIx;
use crate::domain::finding::Value;
use crate::domain::optimise::{Counts, Cut, Diagnosis, Key, Limits, Plan, Preference, Status};
use crate::domain::population::{Occupant, Origin};
use crate::domain::request::PartIx;
use crate::domain::units::Currency;
use fluent_bundle::FluentArgs;
use std::fmt::Write;

use super::text::{cautions, wrapped};
use super::words::{Context, Words, capitalised};
use super::{lists, values};

/// What was found.
#[derive(Clone, Debug)]
pub struct Found {
    /// How sure it is.
    pub status: Status,
    /// Kits, the best first; or the points of a front.
    pub plans: Vec<Plan>,
    /// The least first score that a kit may have.
    pub bound: Option<i128>,
    /// How much lower the first score may still be.
    pub gap: Option<i128>,
    /// Whether kits were passed over because a fact is missing.
    pub open: bool,
    /// What ended the search early.
    pub cut: Option<Cut>,
    /// What the search did.
    pub counts: Counts,
    /// Of a front: its keys, and whether all points are there.
    pub front: Option<(Vec<Key>, bool)>,
    /// Why there is no kit.
    pub diagnosis: Option<Diagnosis>,
}

/// What a page is about.
#[derive(Clone, Copy)]
pub struct Page<'a> {
    /// What names refer to.
    pub context: Context<'a>,
    /// What was found.
    pub found: &'a Found,
    /// What was preferred.
    pub preference: &'a Preference,
    /// Limits that were asked for.
    pub limits: &'a Limits,
    /// The currency of all amounts.
    pub currency: Option<Currency>,
}

impl Page<'_> {
    /// The first key of an order; `None` for weights.
    pub fn first_key(&self) -> Option<Key> {
        match self.preference {
            Preference::Ordered(keys) => keys.first().copied(),
            Preference::Weighted(_) => None,
        }
    }

    /// What was demanded.
    pub const fn asked(&self) -> demands::Asked<'_> {
        demands::Asked {
            context: self.context,
            limits: self.limits,
        }
    }

    fn text(&self, value: &Value, words: &Words) -> String {
        values::text(value, words, self.context)
    }

    fn money(&self, minor: i64, words: &Words) -> String {
        self.text(&Key::Cost.measured(minor, self.currency), words)
    }
}

/// What came out, in a few sentences.
pub fn headline(page: &Page<'_>, words: &Words) -> Vec<String> {
    let mut lines = vec![match &page.found.front {
        Some((keys, complete)) => front_line(page, keys, *complete, words),
        None => status_line(page, words),
    }];
    match page.found.cut {
        Some(Cut::Time) => lines.push(words.plain("plan-cut-time")),
        Some(Cut::Steps) => lines.push(words.plain("plan-cut-steps")),
        None => {}
    }
    if page.found.open && page.found.status != Status::Undecided {
        lines.push(words.plain("plan-open"));
    }
    if let Some(diagnosis) = &page.found.diagnosis {
        lines.push(demands::conflict(&diagnosis.conflict, page.asked(), words));
    }
    lines
}

fn status_line(page: &Page<'_>, words: &Words) -> String {
    let found = page.found;
    let mut args = FluentArgs::new();
    args.set("count", found.plans.len());
    match found.status {
        Status::Proven => words.say("plan-proven", &args),
        Status::Infeasible => words.plain("plan-infeasible"),
        Status::Undecided if found.cut.is_none() => words.plain("plan-undecided-open"),
        Status::Undecided => words.plain("plan-undecided-cut"),
        Status::BestFound => match (page.first_key(), found.gap) {
            (Some(key), Some(gap)) => {
                let gap = key.measured(i64::try_from(gap).unwrap_or(i64::MAX), page.currency);
                args.set("gap", page.text(&gap, words));
                args.set("key", words.plain(key.message()));
                words.say("plan-best-found-within", &args)
            }
            _ => words.plain("plan-best-found"),
        },
    }
}

fn front_line(page: &Page<'_>, keys: &[Key], complete: bool, words: &Words) -> String {
    let found = page.found;
    let named = |keys: &mut dyn Iterator<Item = &Key>| {
        let names = keys.map(|key| words.plain(key.message()));
        lists::joined(&names.collect::<Vec<_>>(), words)
    };
    let mut args = FluentArgs::new();
    match (found.plans.is_empty(), found.status) {
        (true, Status::Proven) => {
            let mut above = keys.iter().filter(|key| key.sign() < 0);
            args.set("keys", named(&mut above));
            return words.say("front-empty", &args);
        }
        (true, Status::Infeasible | Status::Undecided) => return status_line(page, words),
        _ => {}
    }
    args.set("count", found.plans.len());
    args.set("keys", named(&mut keys.iter()));
    match complete {
        true => words.say("front-complete", &args),
        false => words.say("front-some", &args),
    }
}

/// The whole answer, for reading.
pub fn report(page: &Page<'_>, words: &Words) -> String {
    let mut out = String::with_capacity(2048);
    let mut args = FluentArgs::new();
    args.set("board", page.context.board.name.clone());
    let _ = writeln!(out, "{}\n", words.say("plan-title", &args));
    for line in headline(page, words) {
        let _ = writeln!(out, "{}", wrapped(&line, 0));
    }
    if let Some(diagnosis) = &page.found.diagnosis {
        demands::changes(&mut out, diagnosis, page, words);
    }
    if page.found.front.is_some() {
        points(&mut out, page, words);
    } else {
        for (number, plan) in (1..).zip(&page.found.plans) {
            kit(&mut out, number, plan, page, words);
        }
    }
    counts(&mut out, page, words);
    if !page.found.plans.is_empty() {
        cautions(&mut out, words, page.context);
    }
    out
}

/// One line for each point of a front.
fn points(out: &mut String, page: &Page<'_>, words: &Words) {
    let Some((keys, _)) = &page.found.front else {
        return;
    };
    for plan in &page.found.plans {
        let shown = keys.iter().map(|key| {
            let value = key.measured(plan.values.of(*key), page.currency);
            page.text(&value, words)
        });
        let buys: Vec<String> = plan
            .lines
            .iter()
            .map(|line| format!("{} × {}", line.quantity, page.context.part_name(line.part)))
            .collect();
        let bought = match buys.is_empty() {
            true => words.plain("plan-buy-nothing"),
            false => lists::joined(&buys, words),
        };
        let shown = shown.collect::<Vec<_>>().join(" | ");
        let _ = writeln!(out, "  {}", wrapped(&format!("{shown} | {bought}"), 4));
    }
}

fn kit(out: &mut String, number: usize, plan: &Plan, page: &Page<'_>, words: &Words) {
    let mut args = FluentArgs::new();
    args.set("number", number);
    args.set("cost", page.money(plan.values.cost, words));
    let _ = writeln!(out, "\n{}", words.say("plan-kit", &args));
    if plan.lines.is_empty() {
        let _ = writeln!(out, "  {}", words.plain("plan-buy-nothing"));
    }
    for line in &plan.lines {
        let mut args = FluentArgs::new();
        args.set("quantity", line.quantity);
        args.set("part", page.context.part_name(line.part).to_owned());
        args.set("cost", page.money(line.cost.minor, words));
        args.set("over", line.quantity - line.seated);
        let _ = writeln!(out, "  {}", words.say("plan-buy", &args));
    }
    if plan.cost.handling > 0 {
        let mut args = FluentArgs::new();
        args.set("cost", page.money(plan.cost.handling, words));
        let _ = writeln!(out, "  {}", words.say("plan-handling", &args));
    }
    installed(out, plan, page, words);
    outcome(out, plan, page, words);
    placement(out, plan, page, words);
}

/// Installed modules that move or come out.
fn installed(out: &mut String, plan: &Plan, page: &Page<'_>, words: &Words) {
    for (entry, from, to) in moves(plan, page.context) {
        let mut args = FluentArgs::new();
        args.set("part", name_of(entry, page.context));
        args.set("from", label(from, page, words));
        args.set("to", label(Some(to), page, words));
        let _ = writeln!(out, "  {}", words.say("plan-move", &args));
    }
    for entry in &plan.removed {
        let seat = page.context.request.installed.get(*entry as usize);
        let mut args = FluentArgs::new();
        args.set("part", name_of(*entry, page.context));
        args.set("from", label(seat.and_then(|seat| seat.slot), page, words));
        let _ = writeln!(out, "  {}", words.say("plan-remove", &args));
    }
    if !plan.kept.is_empty() {
        let mut args = FluentArgs::new();
        args.set("count", plan.kept.len());
        let _ = writeln!(out, "  {}", words.say("plan-kept", &args));
    }
}

/// Installed modules (by index) that get another slot: from where, to where.
pub fn moves(plan: &Plan, context: Context<'_>) -> Vec<(u32, Option<SlotIx>, SlotIx)> {
    let seats = plan.population.occupied();
    let seats: Vec<(SlotIx, Occupant)> = seats.collect();
    let to = |entry: u32| {
        let own = seats
            .iter()
            .find(|(_, o)| o.origin == Origin::Installed(entry));
        own.map(|(slot, _)| *slot)
    };
    let from = |entry: u32| {
        let seat = context.request.installed.get(entry as usize);
        seat.and_then(|seat| seat.slot)
    };
    plan.moved
        .iter()
        .filter_map(|entry| Some((*entry, from(*entry), to(*entry)?)))
        .collect()
}

fn name_of(entry: u32, context: Context<'_>) -> String {
    let seat = context.request.installed.get(entry as usize);
    seat.map_or("?", |seat| context.part_name(seat.part))
        .to_owned()
}

fn label(slot: Option<SlotIx>, page: &Page<'_>, words: &Words) -> String {
    match slot {
        Some(slot) => page.context.board.label(slot).to_owned(),
        None => words.plain("plan-slot-not-told"),
    }
}

fn outcome(out: &mut String, plan: &Plan, page: &Page<'_>, words: &Words) {
    let outcome = &plan.outcome;
    let shown = [
        (Key::Usable, outcome.usable.map(Value::Capacity)),
        (Key::Rate, outcome.rate.map(Value::Rate)),
        (Key::Peak, outcome.peak.map(Value::Bandwidth)),
        (Key::Uniform, outcome.uniform.map(Value::Bandwidth)),
        (Key::Power, outcome.peak_power.map(Value::Power)),
        (
            Key::FreeSlots,
            Some(Value::Count(u64::from(outcome.free_slots))),
        ),
    ];
    for (key, value) in shown {
        let name = capitalised(words.plain(key.message()));
        let value = value.map_or_else(
            || words.plain("plan-not-known"),
            |value| page.text(&value, words),
        );
        let _ = writeln!(out, "  {name}: {value}");
    }
}

fn placement(out: &mut String, plan: &Plan, page: &Page<'_>, words: &Words) {
    let mut seats: Vec<(PartIx, SlotIx)> = plan
        .population
        .occupied()
        .map(|(slot, occupant)| (occupant.part, slot))
        .collect();
    seats.sort_unstable();
    for own in seats.chunk_by(|one, other| one.0 == other.0) {
        let Some((part, _)) = own.first() else {
            continue;
        };
        let slots: Vec<SlotIx> = own.iter().map(|(_, slot)| *slot).collect();
        let line = format!(
            "{} × {}: {}",
            own.len(),
            page.context.part_name(*part),
            lists::slots(&slots, words, page.context.board)
        );
        let _ = writeln!(out, "  {}", wrapped(&line, 4));
    }
}

fn counts(out: &mut String, page: &Page<'_>, words: &Words) {
    let counts = page.found.counts;
    let mut args = FluentArgs::new();
    args.set("steps", counts.nodes);
    args.set("jobs", counts.jobs);
    args.set("closed", counts.closed_by_bound);
    args.set("leaves", counts.leaves);
    let _ = writeln!(out, "\n{}", wrapped(&words.say("plan-counts", &args), 0));
}
