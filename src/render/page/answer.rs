//! The page of an answer: verdict, findings, where each module goes, what comes out, cautions.

use crate::domain::board::SlotIx;
use crate::domain::board::policy::Protection;
use crate::domain::finding::{Finding, Severity, State, Value, Verdict};
use crate::domain::outcome::{Ceiling, Outcome};
use crate::domain::request::{PartIx, Request, Seated};
use crate::domain::validate::{Answer, conflict_ids};
use fluent_bundle::FluentArgs;

use super::super::words::{Context, Words};
use super::super::{fixes, lists, svg, values};
use super::{Block, Entry, Page};

/// The most findings that are written out.
const MOST_FINDINGS: usize = 25;

/// The most fixes of a finding that are written out.
const MOST_FIXES: usize = 3;

/// The whole answer, for reading.
pub fn page(answer: &Answer, words: &Words, context: Context<'_>) -> Page {
    let mut page = Page {
        title: subject(words, context),
        lead: headline(answer, words, context),
        blocks: Vec::new(),
    };
    findings(&mut page, answer, words, context);
    placement(&mut page, answer, words, context);
    outcome(&mut page, &answer.outcome, words, context);
    page.blocks.extend(cautions(words, context));
    page
}

/// What was asked, and of which board.
pub fn subject(words: &Words, context: Context<'_>) -> String {
    let mut args = FluentArgs::new();
    args.set("asked", asked(context.request, words, context));
    args.set("board", context.board.name.clone());
    words.say("report-on", &args)
}

/// `16 × ERW-3R32-4x4, 2 × ...`, or what else was asked.
fn asked(request: &Request, words: &Words, context: Context<'_>) -> String {
    let kit = request.kit.iter().map(|line| (line.part, line.quantity));
    let name = |(part, count)| format!("{count} × {}", context.part_name(part));
    let added = kit.chain(counted(&request.population));
    let added: Vec<String> = added.map(name).collect();
    let installed: Vec<String> = counted(&request.installed).into_iter().map(name).collect();
    let mut args = FluentArgs::new();
    args.set("modules", installed.join(", "));
    args.set("installed", installed.join(", "));
    args.set("added", added.join(", "));
    match (added.is_empty(), installed.is_empty()) {
        (true, true) => words.plain("report-nothing-asked"),
        (true, false) => words.say("report-installed", &args),
        (false, true) => added.join(", "),
        (false, false) => words.say("report-beside", &args),
    }
}

/// How many there are of each module.
fn counted(entries: &[Seated]) -> Vec<(PartIx, u32)> {
    let mut counts: Vec<(PartIx, u32)> = Vec::new();
    for entry in entries {
        match counts.iter_mut().find(|(part, _)| *part == entry.part) {
            Some((_, count)) => *count += 1,
            None => counts.push((entry.part, 1)),
        }
    }
    counts
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
    if answer.slots_by_model {
        return Some(words.plain("verdict-models-slots"));
    }
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

fn findings(page: &mut Page, answer: &Answer, words: &Words, context: Context<'_>) {
    if answer.findings.is_empty() {
        return;
    }
    let shown = answer.findings.iter().take(MOST_FINDINGS);
    let entries = shown.map(|finding| entry(finding, words, context));
    page.blocks.push(Block::Heading(words.plain("report-why")));
    page.blocks.push(Block::Findings(entries.collect()));
    let hidden = answer.findings.len().saturating_sub(MOST_FINDINGS);
    if hidden > 0 {
        page.blocks.push(Block::Lines(vec![more(hidden, words)]));
    }
}

fn more(count: usize, words: &Words) -> String {
    let mut args = FluentArgs::new();
    args.set("count", count);
    words.say("report-more", &args)
}

/// A finding with its rule and what would mend it.
pub fn entry(finding: &Finding, words: &Words, context: Context<'_>) -> Entry {
    let grade = grade(finding);
    let mut args = FluentArgs::new();
    args.set("rule", finding.rule.id);
    args.set("source", words.say_attribute(finding.rule.id, "source"));
    let fixes = finding.fixes.iter().take(MOST_FIXES);
    let hidden = finding.fixes.len().saturating_sub(MOST_FIXES);
    Entry {
        grade,
        mark: words.plain(&format!("severity-{grade}")),
        sentence: words.finding(finding, context),
        source: words.say("report-rule", &args),
        fixes: fixes
            .map(|offer| fixes::sentence(&offer.fix, words, context))
            .collect(),
        more: (hidden > 0).then(|| more(hidden, words)),
    }
}

fn grade(finding: &Finding) -> &'static str {
    match (&finding.state, finding.severity) {
        (State::Undecided(_), Severity::Blocker) => "unknown",
        (State::Undecided(_), _) => "note",
        (State::Broken, severity) => severity.name(),
    }
}

fn placement(page: &mut Page, answer: &Answer, words: &Words, context: Context<'_>) {
    if answer.population.count() == 0 {
        return;
    }
    let title = match (answer.given, answer.proven_best) {
        (true, _) => "report-given",
        (false, None) => "report-nearest",
        (false, Some(true)) => "report-best",
        (false, Some(false)) => "report-better-may-exist",
    };
    let mut lines = seats(answer, words, context);
    for (part, count) in &answer.left_over {
        let mut args = FluentArgs::new();
        args.set("count", *count);
        args.set("part", context.part_name(*part).to_owned());
        lines.push(words.say("report-left-over", &args));
    }
    let moves = [
        ("report-moved", answer.moved as usize),
        ("report-removed", answer.removed.len()),
    ];
    for (id, count) in moves.into_iter().filter(|(_, count)| *count > 0) {
        let mut args = FluentArgs::new();
        args.set("count", count);
        lines.push(words.say(id, &args));
    }
    let findings: Vec<&Finding> = answer.findings.iter().collect();
    let subject = svg::Subject {
        context,
        population: &answer.population,
        findings: &findings,
    };
    page.blocks.push(Block::Heading(words.plain(title)));
    page.blocks.push(Block::Lines(lines));
    page.blocks
        .push(Block::Drawing(svg::element(subject, words)));
}

/// Each module with its slots.
fn seats(answer: &Answer, words: &Words, context: Context<'_>) -> Vec<String> {
    let mut seats: Vec<(PartIx, SlotIx)> = answer
        .population
        .occupied()
        .map(|(slot, occupant)| (occupant.part, slot))
        .collect();
    seats.sort_unstable();
    let mut parts: Vec<PartIx> = seats.iter().map(|(part, _)| *part).collect();
    parts.dedup();
    let line = |part: PartIx| {
        let own = seats.iter().filter(|(other, _)| *other == part);
        let own: Vec<SlotIx> = own.map(|(_, slot)| *slot).collect();
        format!(
            "{} × {}: {}",
            own.len(),
            context.part_name(part),
            lists::slots(&own, words, context.board)
        )
    };
    parts.into_iter().map(line).collect()
}

fn outcome(page: &mut Page, outcome: &Outcome, words: &Words, context: Context<'_>) {
    if outcome.modules == 0 {
        return;
    }
    let rows = [
        ("report-capacity", capacity(outcome, words, context)),
        ("report-rate", rate(outcome, words, context)),
        ("report-bandwidth", bandwidth(outcome, words, context)),
        ("report-power", power(outcome, words, context)),
        ("report-slots", slots(outcome, words)),
    ];
    let rows = rows.into_iter().map(|(id, line)| (words.plain(id), line));
    page.blocks
        .push(Block::Heading(words.plain("report-outcome")));
    page.blocks.push(Block::Facts(rows.collect()));
}

/// A value, or that it is not known.
fn say(value: Option<Value>, words: &Words, context: Context<'_>) -> String {
    match value {
        Some(value) => values::text(&value, words, context),
        None => words.plain("not-known"),
    }
}

fn capacity(outcome: &Outcome, words: &Words, context: Context<'_>) -> String {
    let mut args = FluentArgs::new();
    let say = |value| say(value, words, context);
    args.set("installed", say(outcome.installed.map(Value::Capacity)));
    args.set("usable", say(outcome.usable.map(Value::Capacity)));
    match context.request.protection {
        Protection::None => words.say("report-capacity-line", &args),
        asked => {
            args.set("protection", words.term(asked.name()));
            words.say("report-capacity-protected", &args)
        }
    }
}

fn rate(outcome: &Outcome, words: &Words, context: Context<'_>) -> String {
    let mut rate = say(outcome.rate.map(Value::Rate), words, context);
    if let Some(supply) = outcome.supply {
        let mut args = FluentArgs::new();
        args.set("rate", rate);
        args.set("voltage", say(Some(Value::Voltage(supply)), words, context));
        rate = words.say("report-rate-at", &args);
    }
    if let Some(clocks) = outcome.cas_latency {
        rate.push_str(&format!(", CL {clocks}"));
    }
    let mut limits: Vec<String> = outcome
        .binding
        .iter()
        .map(|ceiling| limit(*ceiling, words, context))
        .collect();
    limits.dedup();
    if limits.is_empty() {
        return rate;
    }
    let mut args = FluentArgs::new();
    args.set("limits", limits.join("; "));
    format!("{rate} {}", words.say("report-limit", &args))
}

/// What keeps the rate from being higher.
fn limit(ceiling: Ceiling, words: &Words, context: Context<'_>) -> String {
    let mut args = FluentArgs::new();
    match ceiling {
        Ceiling::Module(part) => {
            args.set("part", context.part_name(part).to_owned());
            words.say("report-limit-module", &args)
        }
        Ceiling::Processor(model) => {
            let model = context.board.processors.get(model);
            args.set(
                "model",
                model.map_or("?", |own| own.name.as_str()).to_owned(),
            );
            words.say("report-limit-processor", &args)
        }
        Ceiling::Population(_) => words.plain("report-limit-population"),
    }
}

/// A line of two values, of which at least one is known.
fn both(
    id: &str,
    values: [(&'static str, Option<Value>); 2],
    words: &Words,
    context: Context<'_>,
) -> String {
    if values.iter().all(|(_, value)| value.is_none()) {
        return words.plain("not-known");
    }
    let mut args = FluentArgs::new();
    for (name, value) in values {
        args.set(name, say(value, words, context));
    }
    words.say(id, &args)
}

fn bandwidth(outcome: &Outcome, words: &Words, context: Context<'_>) -> String {
    let values = [
        ("peak", outcome.peak.map(Value::Bandwidth)),
        ("even", outcome.uniform.map(Value::Bandwidth)),
    ];
    both("report-bandwidth-line", values, words, context)
}

fn power(outcome: &Outcome, words: &Words, context: Context<'_>) -> String {
    let values = [
        ("typical", outcome.typical_power.map(Value::Power)),
        ("peak", outcome.peak_power.map(Value::Power)),
    ];
    both("report-power-line", values, words, context)
}

fn slots(outcome: &Outcome, words: &Words) -> String {
    let mut args = FluentArgs::new();
    args.set("free", outcome.free_slots);
    args.set("fillers", outcome.fillers);
    words.say("report-slots-line", &args)
}

/// What to mind before the server is opened: the usual, and the board's own.
pub fn cautions(words: &Words, context: Context<'_>) -> [Block; 2] {
    let ids = [
        "caution-power",
        "caution-static",
        "caution-hands",
        "caution-force",
        "caution-guide",
    ];
    let usual = ids.into_iter().map(|id| words.plain(id));
    let own = context.board.cautions.iter().cloned();
    [
        Block::Heading(words.plain("caution-title")),
        Block::Items(usual.chain(own).collect()),
    ]
}
