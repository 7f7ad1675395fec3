//! No CAS latency that all modules support at the running clock.

use super::super::finding::{Fact, Fix, Severity, Value};
use super::super::outcome::GroupTiming;
use super::super::request::PartIx;
use super::super::timing::{CommonCas, common_cas};
use super::{BoardView, Check, Group, Hits, Rule};

/// The rule.
pub static RULE: Rule = Rule {
    id: "no-common-timing",
    group: Group::Rate,
    severity: Severity::Warning,
    title: "No common CAS latency",
    doc: "Modules that run at one clock also wait the same number of clocks for their data. The slowest module sets how \
          many at least; every module must list that number or a common higher one, and the time must stay within \
          the standard's ceiling: 20 ns for DDR3, 18 ns for DDR4, 21.5 ns for stacked DDR4. Firmware then falls \
          back to a slower clock, or leaves modules out. Without SPD timing the rule says nothing, so it warns and \
          does not refuse: else leaving the timing out would turn a refusal into a kit that fits.",
    source: "published firmware source F3; published firmware source F2: the common latency",
    reads: &[Fact::Timing, Fact::StackHeight],
    message: "{ $channels }: at { $rate } the modules ({ $parts }) need a CAS latency of { $needed } clocks or more, but there \
              is none that all of them support within the standard's ceiling. Expect a slower clock, or modules left out.",
    asks: "whether the modules have a CAS latency in common",
    checks: &[Check::Board(check)],
    breaks: r#"{"board": "tarn", "population": [
        {"slot": "A1", "module": {"generation": "DDR3", "kind": "RDIMM", "capacity_mib": 8192, "package_ranks": 2,
         "stack_height": 1, "width": "x4", "rate_mts": 1600, "supply_mv": [1350, 1500],
         "timing": {"tck_min_ps": 1250, "taa_min_ps": 13750, "cas_supported": [7, 9, 11]}}},
        {"slot": "B1", "module": {"generation": "DDR3", "kind": "RDIMM", "capacity_mib": 8192, "package_ranks": 2,
         "stack_height": 1, "width": "x4", "rate_mts": 1600, "supply_mv": [1350, 1500],
         "timing": {"tck_min_ps": 1250, "taa_min_ps": 13750, "cas_supported": [8, 10, 12]}}}]}"#,
    meets: r#"{"board": "tarn", "processors": ["tarn-8", "tarn-8"], "population": [
        {"slot": "A1", "module": {"generation": "DDR3", "kind": "RDIMM", "capacity_mib": 8192, "package_ranks": 2,
         "stack_height": 1, "width": "x4", "rate_mts": 1600, "supply_mv": [1350, 1500],
         "timing": {"tck_min_ps": 1250, "taa_min_ps": 13750, "cas_supported": [5, 6, 7, 8, 9, 10, 11]}}}]}"#,
};

fn check(view: &BoardView<'_>, hits: &mut Hits) {
    for group in &view.outcome.timing {
        match group.common {
            CommonCas::Clocks(_) => hits.met(),
            CommonCas::Unknown => {}
            CommonCas::Impossible(needed) => hits.broken(|draft| {
                let parts = parts(view, group);
                let mut draft = draft
                    .param("rate", Value::Rate(group.rate))
                    .param("parts", Value::Parts(parts.clone()))
                    .param("needed", Value::Count(u64::from(needed)));
                for channel in &group.channels {
                    draft = draft.channel(*channel);
                }
                for part in &parts {
                    draft = draft.part(*part);
                }
                match odd_one_out(view, group, &parts) {
                    Some((part, clocks)) => draft.fix(Fix::ChooseOther {
                        part,
                        needs: vec![(Fact::Timing, Value::Text(format!("CL {clocks}")))],
                    }),
                    None => draft,
                }
            }),
        }
    }
}

fn parts(view: &BoardView<'_>, group: &GroupTiming) -> Vec<PartIx> {
    let mut parts: Vec<PartIx> = view
        .channels()
        .filter(|channel| group.channels.contains(&channel.channel))
        .flat_map(|channel| channel.modules())
        .map(|on| on.part)
        .collect();
    parts.sort_unstable();
    parts.dedup();
    parts
}

/// A module without which the others have a common latency, and that latency.
fn odd_one_out(
    view: &BoardView<'_>,
    group: &GroupTiming,
    parts: &[PartIx],
) -> Option<(PartIx, u8)> {
    parts.iter().rev().find_map(|odd| {
        let others = parts.iter().filter(|part| *part != odd);
        let modules = others.filter_map(|part| view.request().part(*part));
        match common_cas(view.board().generation, group.rate, modules) {
            CommonCas::Clocks(clocks) => Some((*odd, clocks)),
            CommonCas::Impossible(_) | CommonCas::Unknown => None,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::policy::Scope;
    use crate::domain::module::{Generation, ModuleFacts, Timing};
    use crate::domain::testing::{Case, board, rdimm};
    use crate::domain::units::Picoseconds;

    const ID: &str = "no-common-timing";

    fn timed(taa: u32, cas: impl IntoIterator<Item = u8>) -> ModuleFacts {
        ModuleFacts {
            timing: Some(Timing {
                tck_min: Picoseconds(1250),
                taa_min: Picoseconds(taa),
                cas_supported: cas.into_iter().collect(),
            }),
            ..rdimm(8, 2)
        }
    }

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 2, 4, 3))
    }

    #[test]
    fn modules_that_list_no_common_latency_do_not_run_together() {
        let checked = tarn()
            .seat(timed(13_750, [7, 9, 11]), &["A1"])
            .seat(timed(13_750, [8, 10, 12]), &["B1"])
            .check();
        let finding = checked.finding(ID).unwrap();
        assert_eq!(finding.severity, Severity::Warning);
        assert_eq!(finding.params[2].1, Value::Count(11));
        let needs = vec![(Fact::Timing, Value::Text("CL 11".into()))];
        let part = PartIx(1);
        assert_eq!(finding.fixes[0].fix, Fix::ChooseOther { part, needs });
    }

    #[test]
    fn a_common_higher_latency_is_enough() {
        let checked = tarn()
            .seat(timed(13_750, [7, 9, 11, 12]), &["A1"])
            .seat(timed(13_750, [8, 10, 12]), &["B1"])
            .check();
        assert!(!checked.breaks(ID));
        assert_eq!(checked.outcome.cas_latency, Some(12));
    }

    #[test]
    fn a_latency_beyond_the_ceiling_is_none() {
        // Published firmware source F3 and published firmware source F2: 20 ns for DDR3; 17 × 1.25 ns is more.
        assert!(
            tarn()
                .seat(timed(20_100, 5..=20), &["A1"])
                .check()
                .breaks(ID)
        );
        assert!(
            !tarn()
                .seat(timed(20_000, 5..=20), &["A1"])
                .check()
                .breaks(ID)
        );
    }

    #[test]
    fn channels_of_another_clock_need_no_common_latency() {
        let mut case = tarn()
            .seat(timed(13_750, [7, 9, 11]), &["A1"])
            .seat(timed(13_750, [8, 10, 12]), &["E1"]);
        assert!(case.check().breaks(ID));
        case.board.levelling = Scope::Socket;
        assert!(!case.check().breaks(ID));
    }

    #[test]
    fn without_timing_nothing_is_said() {
        let checked = tarn()
            .seat(timed(13_750, [7, 9, 11]), &["A1"])
            .seat(rdimm(8, 2), &["B1"])
            .check();
        assert!(checked.finding(ID).is_none());
    }
}
