//! Counts rows and checks by source and standing.

use crate::checks::Checked;
use crate::table::{Group, Standing};
use std::collections::BTreeMap;
use std::fmt::Write;

#[derive(Default)]
pub struct Tally {
    sources: BTreeMap<(Standing, String), Count>,
    faults: Vec<String>,
}

#[derive(Default)]
struct Count {
    rows: usize,
    kits: usize,
    checks: usize,
    disagreements: usize,
    /// Machines whose rate is predicted.
    machines: usize,
}

impl Tally {
    pub fn count(&mut self, group: &Group, row: &Checked, faults: Vec<String>) {
        // Machines are told apart by family and by the standing of the table that predicts them.
        let source = match group.standing {
            Standing::Observed => format!("{}; {}", group.source, group.section),
            _ => group.source.clone(),
        };
        let key = (group.standing, source);
        let count = self.sources.entry(key).or_default();
        count.rows += usize::from(!row.kit);
        count.kits += usize::from(row.kit);
        count.checks += row.checks.len();
        count.disagreements += usize::from(row.disagrees);
        count.machines += usize::from(row.predicts);
        self.faults.extend(faults);
    }

    pub fn rows(&self) -> usize {
        self.sources.values().map(|count| count.rows).sum()
    }

    pub fn faults(&self) -> &[String] {
        &self.faults
    }

    pub fn report(&self) -> String {
        let mut text = String::from("rows and requests checked, by standing and source:\n");
        let mut last = None;
        for ((standing, source), count) in &self.sources {
            if last != Some(*standing) {
                last = Some(*standing);
                let of = self.sources.iter().filter(|((s, _), _)| s == standing);
                let (rows, kits, checks) = of.fold((0, 0, 0), |sum, (_, count)| {
                    let (rows, kits, checks) = sum;
                    (rows + count.rows, kits + count.kits, checks + count.checks)
                });
                let name = standing.name();
                let _ = writeln!(
                    text,
                    "{name}: {rows} rows, {kits} kits of the same modules, {checks} requests"
                );
            }
            let Count {
                rows,
                kits,
                checks,
                disagreements,
                machines: _,
            } = count;
            let _ = write!(
                text,
                "  {rows:5} rows {kits:4} kits {checks:5} requests  {source}"
            );
            if *disagreements > 0 {
                let _ = write!(
                    text,
                    " ({disagreements} must disagree, each for the reason in its row or group)"
                );
            }
            text.push('\n');
        }
        for (whose, only) in [
            ("all", ""),
            ("table published for that family", "printed table"),
        ] {
            let (agree, of) = self.machines(only);
            let _ = writeln!(
                text,
                "real machines, {whose}: {agree} of {of} run at the rate that is predicted"
            );
        }
        text
    }

    /// Machines that run as predicted, of all whose source contains a text.
    fn machines(&self, only: &str) -> (usize, usize) {
        let of = self.sources.iter().filter(|((_, source), count)| {
            count.machines > 0 && (only.is_empty() || source.contains(only))
        });
        of.fold((0, 0), |(agree, all), (_, count)| {
            (
                agree + count.machines - count.disagreements,
                all + count.machines,
            )
        })
    }

    pub fn fault_report(&self) -> String {
        let shown = self.faults.iter().take(60).cloned().collect::<Vec<_>>();
        format!(
            "{} faults, of which:\n{}",
            self.faults.len(),
            shown.join("\n")
        )
    }
}
