//! A module that is rated faster than anything on this board lets it run.

use super::super::finding::{Fact, Fix, Severity, Value};
use super::super::outcome::GroupTiming;
use super::super::request::PartIx;
use super::super::timing::faster;
use super::super::units::Mts;
use super::ordered::is_bought;
use super::{BoardView, Check, Group, Hits, Rule, rate_lowered_by_count};

/// The rule.
pub static RULE: Rule = Rule {
    id: "module-faster-than-run",
    group: Group::Rate,
    severity: Severity::Advice,
    title: "Paying for speed that is not used",
    doc: "Memory runs at the lowest of four ceilings: the slowest module's rating, the processor's limit, the board's \
          limit for so many modules and ranks on a channel at the voltage that is set, and any slower neighbour that the \
          rates level with. A module that is rated above that runs all the same, but a slower and often cheaper one \
          would do as much. For modules that are not being bought this is a note. Where fewer modules on a channel would \
          use the whole rating, that is told instead.",
    source: "published guide P1, 2.8.9.4, and published firmware source F1, mtspd3.c: the rate is the minimum of several ceilings",
    reads: &[Fact::Rate],
    message: "{ $part } is rated { $rated } but runs at { $rate } here: the slowest module allows { $slowest }, the board \
              { $listed } for this population, the processor { $processor }.",
    asks: "whether a module is rated faster than it runs",
    checks: &[Check::Board(check)],
    breaks: r#"{"board": "tarn", "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4-1866"}, {"slot": "B1", "module": "ERW-3R16-2x4"}]}"#,
    meets: r#"{"board": "tarn", "population": [
        {"slot": "A1", "module": "ERW-3R16-2x4"}, {"slot": "B1", "module": "ERW-3R16-2x4"}]}"#,
};

fn check(view: &BoardView<'_>, hits: &mut Hits) {
    let outcome = view.outcome;
    let mut fast: Vec<(PartIx, &GroupTiming)> = Vec::new();
    let mut before = None;
    for (channel, run) in outcome.running(view) {
        let Some(group) = group_of(outcome.timing.as_slice(), run.channel) else {
            continue;
        };
        // Most channels hold and run what the one before does.
        let own = Some((channel.stack, group.rate));
        if before == own {
            continue;
        }
        before = own;
        for on in channel.modules() {
            match fast.iter_mut().find(|(part, _)| *part == on.part) {
                // Where it runs fastest counts: there its speed may be used.
                Some((_, best)) if faster(group.rate, best.rate) => *best = group,
                Some(_) => {}
                None => fast.push((on.part, group)),
            }
        }
    }
    for (part, group) in fast {
        let module = view.request().part(part);
        let Some(rated) = module.and_then(crate::domain::module::Module::rating) else {
            continue;
        };
        if !faster(rated, group.rate) {
            hits.met();
            continue;
        }
        let fewer = rate_lowered_by_count::rate_with_fewer(view);
        if fewer.is_some_and(|fewer| !faster(rated, fewer)) {
            continue;
        }
        let bought = is_bought(view.request(), part);
        let severity = if bought {
            hits.severity()
        } else {
            Severity::Note
        };
        hits.broken_as(severity, |draft| {
            let ceilings = Ceilings::of(view, group);
            let draft = draft
                .param("part", Value::Part(part))
                .param("rated", Value::Rate(rated))
                .param("rate", Value::Rate(group.rate))
                .param("slowest", limit(ceilings.slowest))
                .param("listed", limit(ceilings.listed))
                .param("processor", limit(ceilings.processor))
                .part(part);
            let needs = vec![(Fact::Rate, Value::Rate(group.rate))];
            match bought {
                true => draft.fix(Fix::ChooseOther { part, needs }),
                false => draft,
            }
        });
    }
}

fn group_of(
    groups: &[GroupTiming],
    channel: super::super::board::ChannelIx,
) -> Option<&GroupTiming> {
    groups.iter().find(|g| g.channels.contains(&channel))
}

/// The ceilings of the channels that run at one clock.
#[derive(Default)]
struct Ceilings {
    slowest: Option<Mts>,
    listed: Option<Mts>,
    processor: Option<Mts>,
}

impl Ceilings {
    fn of(view: &BoardView<'_>, group: &GroupTiming) -> Self {
        let mut all = Self::default();
        let lower = |ceiling: &mut Option<Mts>, with: Option<Mts>| {
            *ceiling = [*ceiling, with].into_iter().flatten().min();
        };
        for (channel, run) in view.outcome.running(view) {
            if group.channels.contains(&run.channel) {
                let slowest = channel.modules().filter_map(|on| on.fit.rating()).min();
                lower(&mut all.slowest, slowest);
                lower(&mut all.listed, run.listed);
                let processor = view.setup.rate_ceiling(channel.socket);
                lower(&mut all.processor, processor.ok().flatten());
            }
        }
        all
    }
}

fn limit(ceiling: Option<Mts>) -> Value {
    ceiling.map_or(Value::Word("any"), Value::Rate)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::board::Limit;
    use crate::domain::finding::Finding;
    use crate::domain::module::{Generation, ModuleFacts};
    use crate::domain::testing::{Case, board, rdimm};

    const ID: &str = "module-faster-than-run";

    fn rated(mts: u32) -> ModuleFacts {
        ModuleFacts {
            rate: Some(Mts(mts)),
            ..rdimm(16, 2)
        }
    }

    fn tarn() -> Case {
        Case::on(board(Generation::Ddr3, 2, 4, 3))
    }

    fn ceilings(finding: &Finding) -> Vec<&Value> {
        finding.params[2..].iter().map(|(_, value)| value).collect()
    }

    #[test]
    fn a_fast_module_beside_a_slow_one_runs_slow() {
        let checked = tarn()
            .seat(rated(1600), &["A1"])
            .seat(rated(1333), &["B1"])
            .check();
        let finding = checked.finding(ID).unwrap();
        assert_eq!(finding.severity, Severity::Advice);
        let [run, listed] = [1333, 1600].map(|mts| Value::Rate(Mts(mts)));
        let expected = [&run, &run, &listed, &Value::Word("any")];
        assert_eq!(ceilings(finding), expected);
        assert_eq!(finding.fixes.len(), 1);
    }

    #[test]
    fn the_processor_holds_it_back_too() {
        let mut case = tarn().seat(rated(1600), &["A1"]);
        assert!(!case.check().breaks(ID));
        case.board.processors[0].rate = Limit::Is(Mts(1066));
        assert!(case.check().breaks(ID));
    }

    #[test]
    fn what_fewer_modules_on_a_channel_would_mend_is_told_by_that_rule() {
        let found = |mts| {
            let checked = tarn().seat(rated(mts), &["A1", "A2"]).check();
            (checked.breaks(ID), checked.breaks("rate-lowered-by-count"))
        };
        assert_eq!(found(1600), (false, true));
        // Even one on a channel would not run 1866 here.
        assert_eq!(found(1866), (true, true));
    }

    #[test]
    fn another_rounding_of_the_same_clock_is_no_faster_module() {
        let mut case = tarn().seat(rated(1067), &["A1"]);
        case.board.rates[0].rate = Mts(1066);
        assert!(!case.check().breaks(ID));
    }

    #[test]
    fn what_is_installed_already_is_only_a_note() {
        let checked = tarn()
            .installed(rated(1600), &["A1"])
            .installed(rated(1333), &["B1"])
            .check();
        let finding = checked.finding(ID).unwrap();
        assert_eq!((finding.severity, finding.fixes.len()), (Severity::Note, 0));
    }

    #[test]
    fn nothing_is_said_while_the_rate_is_not_known() {
        let unknown = ModuleFacts {
            rate: None,
            ..rdimm(16, 2)
        };
        let checked = tarn()
            .seat(rated(1600), &["A1"])
            .seat(unknown, &["B1"])
            .check();
        assert!(checked.finding(ID).is_none());
    }
}
