//! Which rows the records and rules cannot say yet, and whether any check of the collection was
//! forgotten.

use crate::show::show;
use crate::table::{self, Standing, folder};
use serde::Deserialize;
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NotSaidYet {
    #[serde(rename = "note")]
    _note: String,
    items: Vec<Item>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Item {
    /// What the record, the request or the rules lack.
    missing: String,
    /// Ids of rows that wait for it.
    rows: Vec<String>,
    count: usize,
}

fn not_said_yet() -> NotSaidYet {
    let bytes = std::fs::read(folder().join("not_said_yet.json")).unwrap();
    serde_json::from_slice(&bytes).unwrap()
}

fn ids_in_tables() -> BTreeSet<String> {
    let tables = table::all();
    let rows = tables.iter().flat_map(|t| &t.groups).flat_map(|g| &g.rows);
    let mut ids = BTreeSet::new();
    for id in rows.flat_map(|row| row.id.iter().chain(&row.more_ids).cloned()) {
        assert!(ids.insert(id.clone()), "`{id}` names two rows");
    }
    ids
}

#[test]
fn what_is_not_said_yet_is_counted_and_not_tested_elsewhere() {
    let (list, tested) = (not_said_yet(), ids_in_tables());
    let mut waiting = 0;
    for item in &list.items {
        assert_eq!(item.count, item.rows.len(), "{}", item.missing);
        let said: Vec<&String> = item.rows.iter().filter(|id| tested.contains(*id)).collect();
        assert!(said.is_empty(), "tested, so said: {said:?}");
        waiting += item.count;
        show(&format!("{:3} rows wait: {}", item.count, item.missing));
    }
    show(&format!(
        "{waiting} rows wait, {} rows with an id are tested",
        tested.len()
    ));
}

/// The collection of worked checks stands outside the repository, beside it.
#[test]
fn every_worked_check_of_the_collection_is_a_row_or_is_listed_as_not_said_yet() {
    let facts = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/facts");
    let mut known = ids_in_tables();
    for item in not_said_yet().items {
        known.extend(item.rows);
    }
    for (file, member) in [("ddr3-checks", "values"), ("ddr4-ddr5-checks", "checks")] {
        let Ok(bytes) = std::fs::read(facts.join(format!("{file}.json"))) else {
            show("skipped: the collection of worked checks is not beside the repository");
            return;
        };
        let collection: Value = serde_json::from_slice(&bytes).unwrap();
        let ids: Vec<&str> = collection[member]
            .as_array()
            .unwrap()
            .iter()
            .map(|check| check["id"].as_str().unwrap())
            .collect();
        let forgotten: Vec<&&str> = ids.iter().filter(|id| !known.contains(**id)).collect();
        assert!(
            forgotten.is_empty(),
            "{file}: {} of {} forgotten: {forgotten:?}",
            forgotten.len(),
            ids.len()
        );
    }
}

#[test]
fn every_group_of_rows_names_its_source_and_gives_credit() {
    for table in table::all() {
        assert!(
            !table.title.is_empty() && !table.groups.is_empty(),
            "{}",
            table.file
        );
        for group in &table.groups {
            let at = format!("{}, {}", table.file, group.source);
            assert!(
                !group.source.is_empty() && !group.section.is_empty(),
                "{at}"
            );
            assert!(!group.rows.is_empty(), "{at}: no row");
            let memory = group.source.to_lowercase().contains("from memory");
            assert!(!memory || group.standing == Standing::FromMemory, "{at}");
            let disagrees = group.rows.iter().any(|row| row.board_holds.is_some());
            assert!(
                !disagrees || group.note.is_some(),
                "{at}: which reading does the board hold?"
            );
            let credit = table.attribution.as_deref().unwrap_or_default();
            let due = group.source.contains("linuxhw");
            assert!(!due || credit.contains("CC BY 4.0"), "{at}: credit is due");
        }
    }
}
