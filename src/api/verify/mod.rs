//! From a plan and a report to a comparison: the road that the service and the command line take.

mod found;
mod plan;
mod processors;

use super::decide::notes_as_text;
use super::wire::finding::Pointers;
use super::wire::note::{self, NoteBody};
use super::wire::verify::{
    ComparedBody, ComparedSlotBody, DifferenceBody, FoundBody, PlannedBody, StepBody, VerifyBody,
    VerifyRequest,
};
use crate::catalogue::Catalogue;
use crate::domain::stop::Stop;
use crate::domain::verify::{Agreement, Compared, Finding, verify as compare};
use crate::render::verify as render;
use crate::render::words::{Context, Words};
use crate::wirecheck::Faults;
use found::Taking;
use plan::Planned;

/// The most findings of an answer.
const MOST_FINDINGS: usize = 100;

/// A comparison and what it rests on.
pub struct Verified<'a> {
    planned: Planned<'a>,
    taking: Taking,
    compared: Compared,
    reference: Option<&'a str>,
    revision: &'a str,
}

/// Compares what was found with what was planned.
///
/// # Errors
/// Everything that cannot be found or used, with pointers into the request.
pub fn verify<'a>(
    request: &'a VerifyRequest,
    catalogue: &'a Catalogue,
) -> Result<Verified<'a>, Faults> {
    verify_until(request, catalogue, &Stop::never())
}

/// The same, ended early when a stop is asked for. What it gives then is no comparison.
///
/// # Errors
/// Everything that cannot be found or used, with pointers into the request.
pub fn verify_until<'a>(
    request: &'a VerifyRequest,
    catalogue: &'a Catalogue,
    stop: &Stop,
) -> Result<Verified<'a>, Faults> {
    let planned = plan::take(&request.plan, request.placement.as_ref(), catalogue, stop)?;
    let taking = found::take(&request.found, planned.board(), catalogue)?;
    let compared = compare(&planned.plan(), &taking.found);
    Ok(Verified {
        planned,
        taking,
        compared,
        reference: request.reference.as_deref(),
        revision: catalogue.revision(),
    })
}

impl Verified<'_> {
    /// Whether what was found is what was planned.
    pub fn agreement(&self) -> Agreement {
        self.compared.agreement
    }

    fn context(&self) -> Context<'_> {
        Context {
            board: self.planned.board(),
            request: &self.planned.resolved.request,
        }
    }

    /// The answer as JSON.
    pub fn body<'b>(&'b self, words: &'b Words) -> VerifyBody<'b> {
        let context = self.context();
        let findings = self.compared.findings.iter().take(MOST_FINDINGS);
        VerifyBody {
            reference: self.reference,
            result: self.compared.agreement.name(),
            summary: render::headline(self.compared.agreement, words),
            board: &context.board.id,
            catalogue_revision: self.revision,
            engine_version: env!("CARGO_PKG_VERSION"),
            planned: self.planned_body(),
            found: self.found_body(),
            findings: findings.map(|own| self.finding(own, words)).collect(),
            truncated: self.compared.findings.len() > MOST_FINDINGS,
            slots: self.slots(words),
            cautions: render::cautions(words, context),
            notes: note::in_language(&self.notes(), words),
        }
    }

    /// The answer for reading.
    pub fn report(&self, words: &Words) -> String {
        let found = &self.taking.found;
        let page = render::report(&self.compared, found, words, self.context());
        page + &notes_as_text(&self.notes(), words)
    }

    fn notes(&self) -> Vec<NoteBody> {
        let taken = self.taking.notes.iter().cloned();
        self.planned.notes().chain(taken).collect()
    }

    fn planned_body(&self) -> PlannedBody {
        let outcome = &self.planned.outcome;
        PlannedBody {
            verdict: self.planned.verdict.name(),
            modules: self.planned.population.count(),
            capacity_mib: outcome.installed.map(|mib| mib.0),
            usable_mib: outcome.usable.map(|mib| mib.0),
            rate_mts: outcome.rate.map(|rate| rate.0),
        }
    }

    fn found_body(&self) -> FoundBody {
        let found = &self.taking.found;
        FoundBody {
            modules: found.count(),
            capacity_mib: found.capacity().map(|mib| mib.0),
            total_mib: found.total.map(|total| total.amount.0),
            rate_mts: found.running().map(|rate| rate.0),
        }
    }

    fn finding<'b>(&'b self, finding: &'b Finding, words: &'b Words) -> ComparedBody<'b> {
        let context = self.context();
        let at = Pointers { context, words };
        let board = context.board;
        let steps = finding.steps().iter().map(|step| StepBody {
            step: step.0,
            sentence: render::step(*step, finding, words, context),
        });
        let differences = finding.differences.iter().map(|own| DifferenceBody {
            fact: own.fact.code(),
            planned: at.param(&own.planned),
            found: at.param(&own.found),
        });
        ComparedBody {
            difference: finding.kind.id,
            state: finding.kind.weight.name(),
            severity: finding.kind.severity.name(),
            sentence: render::sentence(finding, words, context),
            params: finding
                .params
                .iter()
                .map(|(name, value)| (*name, at.param(value)))
                .collect(),
            differences: differences.collect(),
            facts: finding.facts.iter().map(|fact| fact.code()).collect(),
            slots: finding.slots.iter().map(|own| board.label(*own)).collect(),
            one_of_slots: finding.one_of,
            channels: finding
                .channels
                .iter()
                .map(|own| at.channel(*own))
                .collect(),
            sockets: finding.sockets.clone(),
            locators: self.locators(finding),
            pointers: self.pointers(finding),
            follows_from: finding.follows_from.iter().map(|kind| kind.id).collect(),
            try_first: steps.collect(),
        }
    }

    fn locators(&self, finding: &Finding) -> Vec<String> {
        let locator = |index: &usize| self.taking.locators.get(*index).cloned().flatten();
        finding.found.iter().filter_map(locator).collect()
    }

    fn pointers(&self, finding: &Finding) -> Vec<String> {
        let planned = finding.slots.iter();
        let planned = planned.filter_map(|slot| self.planned.pointer(*slot));
        let found = finding.found.iter();
        let found = found.filter_map(|index| self.taking.pointer(*index));
        let mut pointers: Vec<String> = Vec::new();
        for pointer in planned.chain(found) {
            if !pointers.contains(&pointer) {
                pointers.push(pointer);
            }
        }
        pointers
    }

    fn slots<'b>(&'b self, words: &Words) -> Vec<ComparedSlotBody<'b>> {
        let context = self.context();
        let of = |own: &crate::domain::verify::SlotState| {
            let slot = own
                .found
                .and_then(|index| self.taking.found.slots.get(index));
            let locator = own.found.and_then(|index| self.taking.locators.get(index));
            let planned = own.planned.and_then(|part| context.request.part(part));
            ComparedSlotBody {
                slot: context.board.label(own.slot),
                planned: planned.map(|module| module.name.as_str()),
                found: render::holds_name(slot.map(|slot| &slot.holds), words),
                locator: locator.cloned().flatten(),
                state: own.state.name(),
            }
        };
        self.compared.slots.iter().map(of).collect()
    }
}
