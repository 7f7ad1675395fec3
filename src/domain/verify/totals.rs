//! The memory as a whole: less than its modules hold, or not held back as it should be.

use super::super::board::policy::Protection;
use super::super::finding::Value;
use super::super::units::Mib;
use super::kinds::{self, Kind, Weight};
use super::{Comparison, Finding, Total};

impl Comparison<'_> {
    /// Findings on sums; `before` are the findings that may explain them.
    pub(super) fn totals(&self, before: &[Finding]) -> Vec<Finding> {
        let installed = self.found.capacity();
        let mut findings = Vec::new();
        findings.extend(self.below_plan(installed, before));
        let usable = installed.and_then(|installed| self.usable(installed));
        match (self.found.total, usable) {
            (Some(total), Some((usable, installed))) => {
                let held_back = held_back(total, usable, installed);
                findings.extend(held_back.map(|finding| Finding {
                    follows_from: switched_off(before),
                    ..finding
                }));
                findings.extend(self.unprotected(total, usable));
                findings.extend(above_modules(total, installed));
            }
            (None, _) if self.plan.request.protection != Protection::None => {
                findings.push(Finding::new(&kinds::TOTAL_NOT_TOLD));
            }
            _ => {}
        }
        findings
    }

    /// The modules hold less than planned: what follows from modules that are missing or smaller.
    fn below_plan(&self, installed: Option<Mib>, before: &[Finding]) -> Option<Finding> {
        let (planned, found) = (self.plan.outcome.installed?, installed?);
        let mut causes: Vec<&'static Kind> = before
            .iter()
            .map(|finding| finding.kind)
            .filter(|kind| kind.weight == Weight::Differs)
            .collect();
        causes.dedup();
        (found < planned && !causes.is_empty()).then(|| Finding {
            follows_from: causes,
            ..Finding::new(&kinds::CAPACITY_BELOW)
                .param("planned", Value::Capacity(planned))
                .param("found", Value::Capacity(found))
        })
    }

    /// How much of what was found should be usable. Where not all of the plan was found, that is only
    /// known without a protection.
    fn usable(&self, installed: Mib) -> Option<(Mib, Mib)> {
        let usable = match self.plan.request.protection {
            _ if self.plan.outcome.installed == Some(installed) => self.plan.outcome.usable,
            // A report may not tell which of the modules is no main memory.
            Protection::None if !self.plans_persistent() => Some(installed),
            _ => None,
        };
        usable.map(|usable| (usable, installed))
    }

    fn plans_persistent(&self) -> bool {
        let request = &self.plan.request;
        let planned = self.plan.population.occupied();
        let mut modules = planned.filter_map(|(_, own)| request.part(own.part));
        modules.any(|module| !module.is_main_memory())
    }

    /// A protection was planned, and nothing is held back for it.
    fn unprotected(&self, total: Total, usable: Mib) -> Option<Finding> {
        let protection = self.plan.request.protection;
        (protection != Protection::None && total.is_above(usable)).then(|| {
            Finding::new(&kinds::PROTECTION_NOT_ON)
                .param("protection", Value::Word(protection.name()))
                .param("planned", Value::Capacity(usable))
                .param("found", Value::Capacity(total.amount))
        })
    }
}

/// More can be used than the modules that are seen hold: one of the two is misread, or modules are
/// there that are not seen.
fn above_modules(total: Total, installed: Mib) -> Option<Finding> {
    total.is_above(installed).then(|| {
        Finding::new(&kinds::TOTAL_ABOVE)
            .param("installed", Value::Capacity(installed))
            .param("found", Value::Capacity(total.amount))
    })
}

/// Modules that are switched off explain that less can be used.
fn switched_off(before: &[Finding]) -> Vec<&'static Kind> {
    let is_off = |own: &&Finding| *own.kind == kinds::SWITCHED_OFF;
    let off = before.iter().find(is_off).map(|own| own.kind);
    off.into_iter().collect()
}

/// All modules are seen, and less can be used.
fn held_back(total: Total, usable: Mib, installed: Mib) -> Option<Finding> {
    total.is_below(usable).then(|| {
        Finding::new(&kinds::HELD_BACK)
            .param("usable", Value::Capacity(usable))
            .param("installed", Value::Capacity(installed))
            .param("found", Value::Capacity(total.amount))
    })
}
