//! Properties of the decision that must hold whatever is asked: telling less never decides more,
//! and what does not matter (the order of lines, which of two alike sockets) does not matter.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "helpers of a test may fail it"
)]

#[cfg(test)]
#[path = "../common/show.rs"]
mod show;

#[cfg(test)]
mod alike;
#[cfg(test)]
mod causes;
mod draw;
#[cfg(test)]
mod fixes;
mod less;

use draw::draws;
use kitproof::api::decide::decide;
use kitproof::api::extract::read_json;
use kitproof::api::wire::request::ValidateRequest;
use kitproof::domain::finding::Verdict;
use kitproof::domain::rules::{RULES, Rule};
use kitproof::render::words::Words;
use proptest::prelude::*;
use proptest::sample::Index;
use proptest::test_runner::RngSeed;
use serde_json::{Value, json};

/// What an answer says.
struct Said {
    verdict: Verdict,
    /// Whether the search was cut, which decides nothing.
    cut: bool,
    text: String,
}

impl Said {
    fn works(&self) -> bool {
        self.verdict <= Verdict::FitsWithWarnings
    }

    fn body(&self) -> Value {
        serde_json::from_str(&self.text).unwrap()
    }
}

/// The answer; nothing where the request contradicts itself.
fn ask(request: &Value) -> Option<Said> {
    let parsed: ValidateRequest = read_json(request.to_string().as_bytes()).ok()?;
    let decided = decide(&parsed, kitproof::catalogue::embedded::catalogue()).ok()?;
    let answer = decided.answer();
    Some(Said {
        verdict: answer.verdict,
        cut: answer.cut,
        text: serde_json::to_string(&decided.body(Words::english())).unwrap(),
    })
}

/// A verdict that is certain with less told must hold with more told.
fn less_decides_no_more(more: &Said, less: &Said) -> bool {
    match less.verdict {
        _ if less.cut || more.cut => true,
        Verdict::Undecided => true,
        Verdict::DoesNotFit => more.verdict == Verdict::DoesNotFit,
        Verdict::Fits | Verdict::FitsWithWarnings => more.works(),
    }
}

fn compare(request: &Value, picks: &[Index]) -> Result<(), TestCaseError> {
    let Some(more) = ask(request) else {
        return Ok(());
    };
    let all = less::all(request);
    for pick in picks {
        let (what, less_told) = &all[pick.index(all.len())];
        let Some(less) = ask(less_told) else { continue };
        prop_assert!(
            less_decides_no_more(&more, &less),
            "without {}: {:?} instead of {:?}\n{}",
            what,
            less.verdict,
            more.verdict,
            brief(&more, &less)
        );
    }
    Ok(())
}

fn brief(more: &Said, less: &Said) -> String {
    let list = |said: &Said| {
        let body = said.body();
        let all = body["findings"].as_array().unwrap().iter();
        all.filter(|f| f["severity"] == "blocker")
            .map(|f| format!("{} {}: {}", f["rule"], f["state"], f["sentence"]))
            .collect::<Vec<_>>()
            .join("\n  ")
    };
    format!("told:\n  {}\nless told:\n  {}", list(more), list(less))
}

/// Leaves every fact of a refused example out in turn; returns what made it fit, and how many were
/// left out. Of all facts, one in `every` is asked about.
fn told_less(rule: &Rule, every: usize) -> (Vec<String>, usize) {
    let request = less::spelled_out(serde_json::from_str(rule.breaks).unwrap());
    let Some(more) = ask(&request).filter(|said| said.verdict == Verdict::DoesNotFit) else {
        return (Vec::new(), 0);
    };
    let searched = request["kit"].is_array();
    let facts = less::all(&request);
    let asked = facts
        .iter()
        .filter(|(what, _)| !(searched && what.starts_with(less::BOARD)))
        // Models that nobody told are taken as one and the same in every socket.
        .filter(|(what, _)| !(rule.id == "processor-models-mixed" && what == less::MODEL))
        .skip(rule.id.len() % every)
        .step_by(every);
    let mut faults = Vec::new();
    let mut count = 0;
    for (what, less_told) in asked {
        let Some(less) = ask(less_told) else { continue };
        count += 1;
        if less.works() {
            faults.push(format!(
                "{} without {what}: {}",
                rule.id,
                brief(&more, &less)
            ));
        }
    }
    (faults, count)
}

/// One fact in so many is left out: all 4,233 take a minute and a half.
const SAMPLE: usize = 8;

#[test]
fn no_example_that_is_refused_fits_with_a_fact_left_out() {
    let (mut faults, mut refused, mut left_out) = (Vec::new(), 0, 0);
    for rule in RULES {
        let (found, count) = told_less(rule, SAMPLE);
        refused += usize::from(count > 0);
        left_out += count;
        faults.extend(found);
    }
    assert!(refused > 30, "only {refused} examples are refused");
    show::show(&format!(
        "{left_out} facts of {refused} refused examples left out"
    ));
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// A refusal for lack of a common latency would vanish with the timing that shows it, so it is a
/// warning: both ways of asking give a kit that works.
#[test]
fn a_lack_of_a_common_latency_warns_and_does_not_refuse() {
    let module = |cas: [u8; 3]| {
        json!({"generation": "DDR3", "kind": "RDIMM", "capacity_mib": 8192, "package_ranks": 2,
            "stack_height": 1, "width": "x4", "rate_mts": 1600, "supply_mv": [1350, 1500], "height": "LP",
            "timing": {"tck_min_ps": 1250, "taa_min_ps": 13750, "cas_supported": cas}})
    };
    let more = json!({"board": "tarn", "processors": ["tarn-8", "empty"], "population": [
        {"slot": "A1", "module": module([7, 9, 11])}, {"slot": "C1", "module": module([8, 10, 12])}]});
    assert_eq!(ask(&more).unwrap().verdict, Verdict::FitsWithWarnings);
    let mut less = more;
    less["population"][1]["module"]
        .as_object_mut()
        .unwrap()
        .remove("timing");
    assert!(ask(&less).unwrap().works());
}

/// Rule, severity, state and places of every finding.
fn findings(body: &Value) -> Vec<String> {
    let all = body["findings"].as_array().unwrap().iter();
    let mut all: Vec<String> = all
        .map(|f| {
            format!(
                "{} {} {} {}",
                f["rule"], f["severity"], f["state"], f["slots"]
            )
        })
        .collect();
    all.sort();
    all
}

/// The outcome without places in the request; what limits the rate is named in the order of the request.
fn outcome(body: &Value) -> Value {
    let mut outcome = body["outcome"].clone();
    if let Some(limits) = outcome["rate_limits"].as_array_mut() {
        limits.sort_by_key(Value::to_string);
    }
    // Points at lines of the request, which stand elsewhere now.
    outcome["missing"].take();
    outcome
}

fn reversed(request: &Value, list: &str) -> Value {
    let mut turned = request.clone();
    turned[list].as_array_mut().unwrap().reverse();
    turned
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, max_shrink_iters: 60, rng_seed: RngSeed::Fixed(7), ..ProptestConfig::with_cases(24) })]

    #[test]
    fn telling_less_of_a_population_never_decides_more(draw in draws(false), picks in any::<[Index; 8]>()) {
        compare(&draw.request(), &picks)?;
    }

    #[test]
    fn telling_less_of_a_kit_never_decides_more(draw in draws(true), picks in any::<[Index; 3]>()) {
        compare(&draw.request(), &picks)?;
    }

    #[test]
    fn the_same_request_gives_the_same_bytes(draw in draws(true)) {
        let request = draw.request();
        if let (Some(one), Some(other)) = (ask(&request), ask(&request)) {
            prop_assert_eq!(one.text, other.text);
        }
    }

    #[test]
    fn the_order_of_entries_with_slots_does_not_matter(draw in draws(false)) {
        let request = draw.request();
        let turned = reversed(&reversed(&request, "population"), "installed");
        if let (Some(one), Some(other)) = (ask(&request), ask(&turned)) {
            let (one, other) = (one.body(), other.body());
            prop_assert_eq!(&one["verdict"], &other["verdict"]);
            prop_assert_eq!(outcome(&one), outcome(&other));
            prop_assert_eq!(findings(&one), findings(&other));
        }
    }

    #[test]
    fn which_of_two_alike_sockets_holds_what_does_not_matter(draw in draws(false)) {
        let request = draw.request();
        let Some(exchanged) = less::exchanged(&request) else { return Ok(()) };
        if let (Some(one), Some(other)) = (ask(&request), ask(&exchanged)) {
            let (one, other) = (one.body(), other.body());
            prop_assert_eq!(&one["verdict"], &other["verdict"]);
            for name in ["usable_mib", "rate_mts", "supply_mv", "uniform_mb_per_s", "peak_power_mw", "free_slots"] {
                prop_assert_eq!(&one["outcome"][name], &other["outcome"][name], "{}", name);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, max_shrink_iters: 60, rng_seed: RngSeed::Fixed(11), ..ProptestConfig::with_cases(150) })]

    #[test]
    fn the_order_of_kit_lines_does_not_matter(draw in draws(true)) {
        let request = draw.request();
        let (Some(one), Some(other)) = (ask(&request), ask(&reversed(&request, "kit"))) else {
            return Ok(());
        };
        if !one.cut && !other.cut {
            let (one, other) = (one.body(), other.body());
            prop_assert_eq!(&one["verdict"], &other["verdict"]);
            prop_assert_eq!(&one["conflict_proven"], &other["conflict_proven"]);
            // Which placement is nearest is not known either if the search for it was cut.
            if one["conflict_proven"] == false {
                return Ok(());
            }
            for name in ["conflict", "further_conflicts"] {
                prop_assert_eq!(&one[name], &other[name], "{}", name);
            }
            for name in ["usable_mib", "rate_mts", "supply_mv", "uniform_mb_per_s", "peak_power_mw", "free_slots"] {
                prop_assert_eq!(&one["outcome"][name], &other["outcome"][name], "{}", name);
            }
        }
    }
}
