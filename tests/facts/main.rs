//! Outside checks: what makers, standards and measurements print, held against the service's answers.
//!
//! Each file of `tables/` is one published table: boards and modules as an operator would write them, and
//! rows with their source, what goes in and what must come out. Real makers appear here only. There is
//! one runner, which takes the road of the service (catalogue, request, decision, answer), and no switch
//! that writes expected values. `not_said_yet.json` lists the rows that a record or the rules cannot say
//! yet.

#[cfg(test)]
#[path = "../common/show.rs"]
mod show;

#[cfg(test)]
mod checks;
#[cfg(test)]
mod coverage;
#[cfg(test)]
mod judge;
#[cfg(test)]
mod table;
#[cfg(test)]
mod tally;

/// The whole point: every row of every table comes out as its source says.
#[cfg(test)]
mod tests {
    use crate::show::show;
    use crate::tally::Tally;
    use crate::{checks, judge, table};

    #[test]
    fn every_row_of_every_table_comes_out_as_its_source_says() {
        let mut tally = Tally::default();
        for table in table::all() {
            let catalogue = table.catalogue();
            for group in &table.groups {
                for row in checks::of_group(&table, group) {
                    let faults = judge::faults(&catalogue, &row);
                    tally.count(group, &row, faults);
                }
            }
        }
        show(&tally.report());
        assert!(tally.rows() > 700, "only {} rows were read", tally.rows());
        assert!(tally.faults().is_empty(), "{}", tally.fault_report());
    }
}
