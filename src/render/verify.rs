//! A comparison of plan and report in words, and as plain text for a terminal or a ticket.

use crate::domain::verify::{Agreement, Compared, Difference, Finding, Found, Holds, Step, Weight};
use fluent_bundle::FluentArgs;
use std::fmt::Write;

use super::lists;
use super::text::wrapped;
use super::values;
use super::words::{Context, Words, capitalised};

/// The cautions of every answer, in the order of the work.
pub const CAUTIONS: [&str; 5] = [
    "caution-power",
    "caution-static",
    "caution-hands",
    "caution-force",
    "caution-guide",
];

/// What was found.
pub fn sentence(finding: &Finding, words: &Words, context: Context<'_>) -> String {
    let id = format!("verify-{}", finding.kind.id);
    capitalised(words.say(&id, &args(finding, words, context)))
}

/// What to try.
pub fn step(step: Step, finding: &Finding, words: &Words, context: Context<'_>) -> String {
    let id = format!("try-{}", step.0);
    capitalised(words.say(&id, &args(finding, words, context)))
}

/// The result in one sentence.
pub fn headline(agreement: Agreement, words: &Words) -> String {
    let id = format!("agreement-{}", agreement.name());
    words.say(&id, &FluentArgs::new())
}

/// What to mind before the server is opened: the usual, and the board's own.
pub fn cautions(words: &Words, context: Context<'_>) -> Vec<String> {
    let usual = CAUTIONS.iter().map(|id| words.say(id, &FluentArgs::new()));
    usual
        .chain(context.board.cautions.iter().cloned())
        .collect()
}

fn args(finding: &Finding, words: &Words, context: Context<'_>) -> FluentArgs<'static> {
    let mut args = FluentArgs::new();
    for (name, value) in &finding.params {
        args.set(*name, values::argument(value, words, context));
    }
    args.set("slots", slots(finding, words, context));
    let all = lists::slots(&finding.slots, words, context.board);
    args.set("all_slots", all);
    let channels = lists::channels(&finding.channels, words, context.board);
    args.set("channels", channels);
    args.set("channel_count", finding.channels.len());
    args.set("sockets", lists::sockets(&finding.sockets, words));
    let differences = finding.differences.iter();
    let differences = differences.map(|own| difference(own, words, context));
    args.set(
        "differences",
        lists::joined(&differences.collect::<Vec<_>>(), words),
    );
    let facts = finding.facts.iter();
    let facts = facts.map(|fact| words.say(&format!("fact-{}", fact.code()), &FluentArgs::new()));
    args.set("facts", lists::joined(&facts.collect::<Vec<_>>(), words));
    args
}

fn slots(finding: &Finding, words: &Words, context: Context<'_>) -> String {
    if !finding.one_of {
        return lists::slots(&finding.slots, words, context.board);
    }
    let label = |slot| context.board.label(slot).to_owned();
    let labels: Vec<String> = finding.slots.iter().copied().map(label).collect();
    let mut args = FluentArgs::new();
    args.set("list", lists::one_of(&labels, words));
    words.say("one-of-slots", &args)
}

/// `the kind of module is LRDIMM instead of RDIMM`.
pub fn difference(own: &Difference, words: &Words, context: Context<'_>) -> String {
    let mut args = FluentArgs::new();
    let fact = format!("fact-{}", own.fact.code());
    args.set("fact", words.say(&fact, &FluentArgs::new()));
    args.set("planned", values::text(&own.planned, words, context));
    args.set("found", values::text(&own.found, words, context));
    words.say("verify-difference", &args)
}

/// The whole comparison, for reading.
pub fn report(compared: &Compared, found: &Found, words: &Words, context: Context<'_>) -> String {
    let mut page = String::with_capacity(2048);
    let mut args = FluentArgs::new();
    args.set("board", context.board.name.clone());
    let _ = writeln!(page, "{}\n", words.say("verify-title", &args));
    let _ = writeln!(page, "{}", headline(compared.agreement, words));
    for finding in &compared.findings {
        let mark = match finding.kind.weight {
            Weight::Differs => finding.kind.severity.name(),
            Weight::CannotTell => "unknown",
            Weight::Remark => "note",
        };
        let text = wrapped(&sentence(finding, words, context), 12);
        let _ = writeln!(page, "\n  {mark:<9} {text}");
        for (number, own) in (1..).zip(finding.steps()) {
            let text = wrapped(&step(*own, finding, words, context), 15);
            let _ = writeln!(page, "  {:<9} {number}. {text}", "");
        }
    }
    slot_table(&mut page, compared, found, words, context);
    if compared.agreement != Agreement::Agrees {
        let title = words.say("caution-title", &FluentArgs::new());
        let _ = writeln!(page, "\n{title}");
        for caution in cautions(words, context) {
            let _ = writeln!(page, "  - {}", wrapped(&caution, 4));
        }
    }
    page
}

/// What to call what a slot holds.
pub fn holds_name(holds: Option<&Holds>, words: &Words) -> String {
    let say = |id: &str| words.say(id, &FluentArgs::new());
    match holds {
        Some(Holds::Module(module)) => module.facts.name.clone(),
        Some(Holds::Empty) => say("found-empty"),
        Some(Holds::Unreadable) => say("found-unreadable"),
        Some(Holds::Untold) | None => say("found-untold"),
    }
}

/// One line for each slot: what was planned, what was found.
fn slot_table(
    page: &mut String,
    compared: &Compared,
    found: &Found,
    words: &Words,
    context: Context<'_>,
) {
    if compared.slots.is_empty() {
        return;
    }
    let say = |id: &str| words.say(id, &FluentArgs::new());
    let _ = writeln!(page, "\n{}", say("verify-slots-title"));
    for own in &compared.slots {
        let planned = own.planned.map(|part| context.part_name(part).to_owned());
        let planned = planned.unwrap_or_else(|| say("planned-nothing"));
        let slot = own.found.and_then(|index| found.slots.get(index));
        let holds = holds_name(slot.map(|slot| &slot.holds), words);
        let mark = match own.state {
            Agreement::Agrees => ' ',
            Agreement::CannotTell => '?',
            Agreement::Differs => '!',
        };
        let label = context.board.label(own.slot);
        let _ = writeln!(page, "  {mark} {label}: {planned} | {holds}");
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::verify::{KINDS, MEND_FIRST};

    #[test]
    fn every_kind_and_every_step_has_its_words() {
        let words = Words::english();
        for kind in KINDS {
            assert!(words.has(&format!("verify-{}", kind.id)), "{}", kind.id);
            for step in kind.steps.iter().chain([&MEND_FIRST]) {
                assert!(words.has(&format!("try-{}", step.0)), "{}", step.0);
            }
        }
        for agreement in Agreement::ALL {
            assert!(words.has(&format!("agreement-{}", agreement.name())));
        }
        for caution in CAUTIONS {
            assert!(words.has(caution));
        }
    }
}
