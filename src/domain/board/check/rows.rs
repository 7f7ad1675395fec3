//! Checks of the rows that say what a board takes and how fast it runs.

use super::super::super::timing::faster;
use super::super::super::units::Mts;
use super::super::BoardFacts;
use super::super::accept::{AcceptRow, SeenRanks};
use super::super::filling::{LayoutRow, Seat};
use super::super::rates::{RankMatch, RateRow};
use super::Faults;

pub(super) fn check(facts: &BoardFacts, faults: &mut Faults) {
    for (index, row) in facts.accepts.iter().enumerate() {
        accept_row(&format!("/accepts/{index}"), row, facts, faults);
    }
    for (index, row) in facts.rates.iter().enumerate() {
        rate_row(&format!("/rates/{index}"), row, facts, faults);
    }
    for (index, row) in facts.layouts.iter().enumerate() {
        layout_row(&format!("/layouts/{index}"), row, facts, faults);
    }
    rate_steps(facts, faults);
}

/// Steps ascend, and none takes a module for a slower one.
fn rate_steps(facts: &BoardFacts, faults: &mut Faults) {
    for (index, step) in facts.rate_steps.iter().enumerate() {
        let at = format!("/rate_steps/{index}");
        runs(&format!("{at}/runs_mts"), step.runs, facts, faults);
        let before = index.checked_sub(1).and_then(|i| facts.rate_steps.get(i));
        if before.is_some_and(|before| before.from >= step.from) {
            faults.add(
                format!("{at}/from_mts"),
                "the step before starts no lower",
                "steps in ascending order, each once",
            );
        }
    }
}

fn accept_row(at: &str, row: &AcceptRow, facts: &BoardFacts, faults: &mut Faults) {
    faults.some("capacities_mib", at, &row.capacities);
    faults.some("ranks", at, &row.ranks);
    faults.some("widths", at, &row.widths);
    faults.some("die_gbit", at, &row.die_densities);
    faults.some("stacks", at, &row.stacks);
    faults.some("ecc_bits", at, &row.ecc_bits);
    faults.some("positions", at, &row.positions);
    faults.supplies(at, &row.supply, facts);
    let positions = row.positions.as_deref().unwrap_or_default();
    faults.numbers(
        &format!("{at}/positions"),
        positions,
        facts.positions,
        "position",
    );
    let SeenRanks::Multiplied(rows) = &row.seen_ranks else {
        return;
    };
    let at = format!("{at}/seen_ranks/multiplied");
    faults.not_empty(&at, rows, "one row for each rank count, or say \"package\"");
    for (index, row) in rows.iter().enumerate() {
        let at = format!("{at}/{index}");
        faults.not_empty(&format!("{at}/ranks"), &row.ranks, "list package ranks");
        faults.wired(&at, &row.positions_wired, facts);
        let whole = |ranks: &u8| row.factor != 0 && ranks.is_multiple_of(row.factor);
        if !row.ranks.iter().all(whole) {
            faults.add(
                format!("{at}/factor"),
                format!("{} does not divide the ranks of the row", row.factor),
                "a number that divides each of them, such as 1, 2 or 4",
            );
        }
    }
}

/// A rate that the record gives may not lie below the lowest one that the board runs.
pub(super) fn runs(pointer: &str, rate: Mts, facts: &BoardFacts, faults: &mut Faults) {
    if let Some(lowest) = facts.lowest_rate.value()
        && faster(lowest, rate)
    {
        faults.add(
            pointer,
            format!(
                "{} MT/s is below the lowest rate that the board runs",
                rate.0
            ),
            format!("at least the /lowest_rate_mts, {}", lowest.0),
        );
    }
}

fn rate_row(at: &str, row: &RateRow, facts: &BoardFacts, faults: &mut Faults) {
    faults.not_empty(
        &format!("{at}/kinds"),
        &row.kinds,
        "name the kinds that the row is for",
    );
    faults.wired(at, &row.positions_wired, facts);
    faults.supplies(at, &row.supply, facts);
    runs(&format!("{at}/rate_mts"), row.rate, facts, faults);
    if !(1..=facts.positions).contains(&row.modules) {
        faults.add(
            format!("{at}/modules"),
            format!("{} modules never sit on one channel", row.modules),
            format!("1 to {}", facts.positions),
        );
    }
    if let RankMatch::Exactly(ranks) = &row.ranks
        && ranks.len() != usize::from(row.modules)
    {
        faults.add(
            format!("{at}/ranks/exactly"),
            format!("{} rank counts for {} modules", ranks.len(), row.modules),
            "one rank count for each module",
        );
    }
}

fn layout_row(at: &str, row: &LayoutRow, facts: &BoardFacts, faults: &mut Faults) {
    faults.not_empty(
        &format!("{at}/kinds"),
        &row.kinds,
        "name the kinds that the row is for",
    );
    faults.some("sockets_fitted", at, &row.sockets_fitted);
    let sockets = row.sockets_fitted.as_deref().unwrap_or_default();
    faults.numbers(
        &format!("{at}/sockets_fitted"),
        sockets,
        facts.sockets,
        "number of sockets",
    );
    if row.pattern.is_empty() || row.pattern.len() > usize::from(facts.positions) {
        faults.add(
            format!("{at}/pattern"),
            format!("the pattern has {} positions", row.pattern.len()),
            format!(
                "1 to {}, one entry for each position wired",
                facts.positions
            ),
        );
    } else if row.pattern.iter().all(|seat| *seat == Seat::Empty) {
        faults.add(
            format!("{at}/pattern"),
            "no module sits in the pattern",
            "an empty channel needs no row",
        );
    }
    for (index, (supply, rate)) in row.rates.iter().enumerate() {
        faults.supply(&format!("{at}/rates/{index}/supply_mv"), *supply, facts);
        runs(
            &format!("{at}/rates/{index}/rate_mts"),
            *rate,
            facts,
            faults,
        );
    }
}
