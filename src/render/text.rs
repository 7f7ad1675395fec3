//! An answer as plain text for a terminal or a ticket.

use crate::domain::board::SlotIx;
use crate::domain::board::policy::Protection;
use crate::domain::finding::{Finding, Severity, State, Value, Verdict};
use crate::domain::outcome::{Ceiling, Outcome};
use crate::domain::request::{PartIx, Request};
use crate::domain::validate::{Answer, conflict_ids};
use fluent_bundle::FluentArgs;
use std::fmt::Write;

use super::words::{Context, Words};
use super::{fixes, lists, values};

/// The most findings that are written out.
const MOST_FINDINGS: usize = 25;

/// The most fixes of a finding that are written out.
const MOST_FIXES: usize = 3;

/// The whole answer, for reading.
pub fn report(answer: &Answer, words: &Words, context: Context<'_>) -> String {
    let mut page = String::with_capacity(2048);
    let _ = writeln!(
        page,
        "{} on {}\n",
        asked(context.request, context),
        context.board.name
    );
    for line in headline(answer, words, context) {
        let _ = writeln!(page, "{line}");
    }
    findings(&mut page, answer, words, context);
    placement(&mut page, answer, words, context);
    outcome(&mut page, &answer.outcome, words, context);
    cautions(&mut page, words, context);
    page
}

/// `16 × ERW-3R32-4x4, 2 × ...`, or what else was asked.
fn asked(request: &Request, context: Context<'_>) -> String {
    let seated = |entries: &[crate::domain::request::Seated]| {
        let mut counts: Vec<(PartIx, u32)> = Vec::new();
        for entry in entries {
            match counts.iter_mut().find(|(part, _)| *part == entry.part) {
                Some((_, count)) => *count += 1,
                None => counts.push((entry.part, 1)),
            }
        }
        counts
    };
    let kit = request.kit.iter().map(|line| (line.part, line.quantity));
    let name = |(part, count)| format!("{count} × {}", context.part_name(part));
    let added = kit.chain(seated(&request.population));
    let added: Vec<String> = added.map(name).collect();
    let installed: Vec<String> = seated(&request.installed).into_iter().map(name).collect();
    match (added.is_empty(), installed.is_empty()) {
        (true, true) => "No module".to_owned(),
        (true, false) => format!("{} (installed)", installed.join(", ")),
        (false, true) => added.join(", "),
        (false, false) => format!(
            "{} beside {} (installed)",
            added.join(", "),
            installed.join(", ")
        ),
    }
}

/// The verdict, and what would fit.
pub fn headline(answer: &Answer, words: &Words, context: Context<'_>) -> Vec<String> {
    let mut lines = vec![words.say(
        &format!("verdict-{}", answer.verdict.name()),
        &FluentArgs::new(),
    )];
    lines.extend(models_line(answer, words, context));
    if answer.conflict.len() > 1 {
        let ids: Vec<String> = conflict_ids(answer)
            .into_iter()
            .map(str::to_owned)
            .collect();
        let mut args = FluentArgs::new();
        args.set("rules", lists::joined(&ids, words));
        lines.push(words.say("verdict-conflict", &args));
    }
    if !answer.conflict_proven {
        lines.push(words.say("verdict-conflict-unproven", &FluentArgs::new()));
    }
    if answer.cut {
        lines.push(words.say("verdict-cut", &FluentArgs::new()));
    }
    let beside = context.request.kit.len() > 1;
    for (line, quantity) in context.request.kit.iter().zip(&answer.largest) {
        let mut args = FluentArgs::new();
        args.set("part", context.part_name(line.part).to_owned());
        args.set("asked", line.quantity);
        args.set("quantity", quantity.unwrap_or(0));
        let id = match (quantity, beside) {
            // The search was cut before it was known.
            (None, _) => continue,
            (Some(0), false) => "largest-none",
            (Some(0), true) => "largest-none-beside",
            (Some(_), false) => "largest",
            (Some(_), true) => "largest-beside",
        };
        lines.push(words.say(id, &args));
    }
    lines
}

fn models_line(answer: &Answer, words: &Words, context: Context<'_>) -> Option<String> {
    let works = |verdict: Verdict| matches!(verdict, Verdict::Fits | Verdict::FitsWithWarnings);
    let names = |wanted: bool| -> Vec<String> {
        let own = answer
            .models
            .iter()
            .filter(|model| works(model.verdict) == wanted);
        own.filter_map(|model| context.board.processors.get(model.model))
            .map(|model| model.name.clone())
            .collect()
    };
    let (good, bad) = (names(true), names(false));
    if good.is_empty() || bad.is_empty() {
        return None;
    }
    let mut args = FluentArgs::new();
    args.set("works", lists::joined(&good, words));
    args.set("fails", lists::joined(&bad, words));
    Some(words.say("verdict-models", &args))
}

fn findings(page: &mut String, answer: &Answer, words: &Words, context: Context<'_>) {
    if answer.findings.is_empty() {
        return;
    }
    let _ = writeln!(page, "\nWhy");
    for finding in answer.findings.iter().take(MOST_FINDINGS) {
        let _ = writeln!(
            page,
            "  {:<9} {}",
            mark(finding),
            wrapped(&words.finding(finding, context), 12)
        );
        let rule = format!("rule {}; source: {}", finding.rule.id, finding.rule.source);
        let _ = writeln!(page, "  {:<9} {}", "", wrapped(&rule, 12));
        for offer in finding.fixes.iter().take(MOST_FIXES) {
            let _ = writeln!(
                page,
                "  {:<9} -> {}",
                "",
                wrapped(&fixes::sentence(&offer.fix, words, context), 15)
            );
        }
        let more = finding.fixes.len().saturating_sub(MOST_FIXES);
        if more > 0 {
            let _ = writeln!(page, "  {:<9} -> and {more} more", "");
        }
    }
    let hidden = answer.findings.len().saturating_sub(MOST_FINDINGS);
    if hidden > 0 {
        let _ = writeln!(page, "  and {hidden} more");
    }
}

fn mark(finding: &Finding) -> &'static str {
    match (&finding.state, finding.severity) {
        (State::Undecided(_), Severity::Blocker) => "unknown",
        (State::Undecided(_), _) => "note",
        (State::Broken, severity) => severity.name(),
    }
}

/// Breaks a sentence into lines of about 96 characters with a hanging indent.
pub(super) fn wrapped(text: &str, indent: usize) -> String {
    const WIDTH: usize = 96;
    let mut out = String::with_capacity(text.len() + 32);
    let mut column = indent;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if column > indent && column + length > WIDTH {
            let _ = write!(out, "\n{:indent$}", "");
            column = indent;
        } else if !out.is_empty() {
            out.push(' ');
        }
        out.push_str(word);
        column += length + 1;
    }
    out
}

fn placement(page: &mut String, answer: &Answer, words: &Words, context: Context<'_>) {
    if answer.population.count() == 0 {
        return;
    }
    let title = match (answer.given, answer.proven_best) {
        (true, _) => "Slots as given",
        (false, None) => "The placement that comes nearest",
        (false, Some(true)) => "Where each module goes",
        (false, Some(false)) => "Where each module goes (a better order may exist)",
    };
    let _ = writeln!(page, "\n{title}");
    let mut seats: Vec<(SlotIx, PartIx)> = answer
        .population
        .occupied()
        .map(|(slot, occupant)| (slot, occupant.part))
        .collect();
    seats.sort_by_key(|(slot, part)| (*part, *slot));
    let mut parts: Vec<PartIx> = seats.iter().map(|(_, part)| *part).collect();
    parts.dedup();
    for part in parts {
        let own: Vec<SlotIx> = seats
            .iter()
            .filter(|(_, other)| *other == part)
            .map(|(slot, _)| *slot)
            .collect();
        let line = format!(
            "{} × {}: {}",
            own.len(),
            context.part_name(part),
            lists::slots(&own, words, context.board)
        );
        let _ = writeln!(page, "  {}", wrapped(&line, 4));
    }
    for (part, count) in &answer.left_over {
        let _ = writeln!(page, "  left over: {count} × {}", context.part_name(*part));
    }
    if answer.moved > 0 {
        let _ = writeln!(page, "  installed modules that move: {}", answer.moved);
    }
    if !answer.removed.is_empty() {
        let _ = writeln!(
            page,
            "  installed modules that come out: {}",
            answer.removed.len()
        );
    }
}

fn outcome(page: &mut String, outcome: &Outcome, words: &Words, context: Context<'_>) {
    if outcome.modules == 0 {
        return;
    }
    let say = |value: Option<Value>| {
        value.map_or("not known".to_owned(), |value| {
            values::text(&value, words, context)
        })
    };
    let _ = writeln!(page, "\nWhat comes out");
    let installed = say(outcome.installed.map(Value::Capacity));
    let _ = writeln!(
        page,
        "  capacity   {installed} installed, {} usable{}",
        say(outcome.usable.map(Value::Capacity)),
        protection(context)
    );
    let voltage = outcome.supply.map_or(String::new(), |mv| {
        format!(" at {}", say(Some(Value::Voltage(mv))))
    });
    let latency = outcome
        .cas_latency
        .map_or(String::new(), |clocks| format!(", CL {clocks}"));
    let rate = format!(
        "{}{voltage}{latency}{}",
        say(outcome.rate.map(Value::Rate)),
        limits(outcome, context)
    );
    let _ = writeln!(page, "  rate       {}", wrapped(&rate, 13));
    let both = |one: (Option<Value>, &str), other: (Option<Value>, &str)| match (one.0, other.0) {
        (None, None) => "not known".to_owned(),
        (first, last) => format!("{} {}, {} {}", say(first), one.1, say(last), other.1),
    };
    let bandwidth = both(
        (outcome.peak.map(Value::Bandwidth), "peak"),
        (outcome.uniform.map(Value::Bandwidth), "read evenly"),
    );
    let _ = writeln!(page, "  bandwidth  {bandwidth}");
    let power = both(
        (outcome.typical_power.map(Value::Power), "typical"),
        (outcome.peak_power.map(Value::Power), "peak"),
    );
    let _ = writeln!(page, "  power      {power}");
    let _ = writeln!(
        page,
        "  slots      {} free, {} fillers needed",
        outcome.free_slots, outcome.fillers
    );
}

/// ` under mirrored protection`, if one was asked for.
fn protection(context: Context<'_>) -> String {
    match context.request.protection {
        Protection::None => String::new(),
        asked => format!(" under {} protection", asked.name()),
    }
}

/// ` (limit: the population; module X)`: what keeps the rate from being higher.
fn limits(outcome: &Outcome, context: Context<'_>) -> String {
    let mut names: Vec<String> = outcome
        .binding
        .iter()
        .map(|ceiling| match ceiling {
            Ceiling::Module(part) => format!("the rating of {}", context.part_name(*part)),
            Ceiling::Processor(model) => {
                let name = context
                    .board
                    .processors
                    .get(*model)
                    .map_or("?", |model| model.name.as_str());
                format!("the processor {name}")
            }
            Ceiling::Population(_) => {
                "what the board lists for so many modules and ranks".to_owned()
            }
        })
        .collect();
    names.dedup();
    if names.is_empty() {
        String::new()
    } else {
        format!(" (limit: {})", names.join("; "))
    }
}

pub(super) fn cautions(page: &mut String, words: &Words, context: Context<'_>) {
    let say = |id: &str| words.say(id, &FluentArgs::new());
    let _ = writeln!(page, "\n{}", say("caution-title"));
    for id in [
        "caution-power",
        "caution-static",
        "caution-hands",
        "caution-force",
        "caution-guide",
    ] {
        let _ = writeln!(page, "  - {}", wrapped(&say(id), 4));
    }
    for caution in &context.board.cautions {
        let _ = writeln!(page, "  - {}", wrapped(caution, 4));
    }
}
