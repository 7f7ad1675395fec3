//! Lists of modules by the line: NDJSON, and tables. Pure.
//!
//! A label tells what a rule may rely on and no more: what is only likely stays unknown, and a label
//! with a typo is a fault of the list, told with what was probably meant.

use std::sync::Arc;

use super::ModuleEntry;
use super::csv::{self, Table};
use super::record::line::ModuleLine;
use super::record::value::Words;
use super::record::words::HeightName;
use super::record::{ModuleRecord, MoneyRecord};
use crate::domain::module::RecordFault;
use crate::domain::units::Currency;
use crate::read::label::{self, read_label};
use crate::read::module_facts::of_reading;
use crate::wirecheck::fault::quoted;
use crate::wirecheck::near::close_matches;

/// The columns that a table may have.
pub const COLUMNS: [&str; 10] = [
    "part", "label", "price", "currency", "stock", "pack", "name", "maker", "height", "invented",
];

/// What would be right in place of a label that cannot be used.
const LABEL: &str = "a label such as `32GB 2Rx4 PC4-3200AA-RB2-12`";

/// The module of a line.
///
/// # Errors
/// Everything that is wrong with it, with pointers into the line.
pub fn module(line: ModuleLine) -> Result<ModuleEntry, Vec<RecordFault>> {
    let facts = match (line.label.as_deref(), line.module) {
        (Some(text), None) => of_label(text, &line.part).map_err(|fault| vec![fault])?,
        (None, Some(record)) => record,
        (both, _) => {
            let message = match both {
                Some(_) => "the line has both a label and facts",
                None => "the line has neither a label nor facts",
            };
            return Err(vec![RecordFault::new(
                "",
                message,
                "one of `label` and `module`",
            )]);
        }
    };
    let record = ModuleRecord {
        name: line.name.or(facts.name),
        maker: line.maker.or(facts.maker),
        height: line.height.or(facts.height),
        price: line.price.or(facts.price),
        stock: line.stock.or(facts.stock),
        pack: line.pack.or(facts.pack),
        ..facts
    };
    let module = record.to_module(&line.part)?;
    Ok(ModuleEntry {
        id: line.part,
        invented: line.invented.unwrap_or(false),
        record,
        module: Arc::new(module),
    })
}

fn of_label(text: &str, part: &str) -> Result<ModuleRecord, RecordFault> {
    let reading = read_label(text);
    if let Some(note) = reading.notes.iter().find(|note| label::is_in_doubt(note)) {
        let message = format!(
            "the label {} cannot be relied on ({})",
            quoted(text),
            note.code()
        );
        let meant = note.text_of("meant");
        let hint = meant.map(|meant| format!("`{meant}`, if that is what the label says"));
        return Err(RecordFault::new(
            "/label",
            message,
            hint.unwrap_or(LABEL.to_owned()),
        ));
    }
    let known = of_reading(&reading.module, part);
    if known.is_blank() {
        let message = format!("no module label can be read from {}", quoted(text));
        return Err(RecordFault::new("/label", message, LABEL));
    }
    let (_, known) = known.checked().map_err(|faults| {
        let problems: Vec<String> = faults.into_iter().map(|fault| fault.message).collect();
        RecordFault::new("/label", problems.join("; "), LABEL)
    })?;
    Ok(ModuleRecord {
        name: None,
        ..ModuleRecord::from(&known.facts)
    })
}

/// A fault of a list: the line, the place in it, and what is wrong.
pub type LineFault = (usize, RecordFault);

/// The lines of a table, each with its number.
///
/// # Errors
/// Everything that is wrong with it.
pub fn of_table(text: &str) -> Result<Vec<(usize, ModuleLine)>, Vec<LineFault>> {
    let table = csv::read(text).map_err(|bad| {
        let hint = "comma-separated values as in RFC 4180";
        vec![(bad.line, RecordFault::new("", bad.why, hint))]
    })?;
    let faults = columns(&table);
    if !faults.is_empty() {
        return Err(faults.into_iter().map(|fault| (1, fault)).collect());
    }
    let (mut lines, mut faults) = (Vec::new(), Vec::new());
    for (number, fields) in &table.rows {
        let mut row = Row {
            table: &table,
            fields,
            faults: Vec::new(),
        };
        let line = row.line();
        faults.extend(row.faults.into_iter().map(|fault| (*number, fault)));
        lines.push((*number, line));
    }
    if faults.is_empty() {
        Ok(lines)
    } else {
        Err(faults)
    }
}

fn columns(table: &Table) -> Vec<RecordFault> {
    let mut faults = Vec::new();
    for (place, name) in table.columns.iter().enumerate() {
        let hint = format!("columns: {}", COLUMNS.join(", "));
        if !COLUMNS.contains(&name.as_str()) {
            let near = close_matches(name, COLUMNS);
            let hint = near.first().map_or(hint, |near| format!("`{near}`?"));
            let message = format!("there is no column {}", quoted(name));
            faults.push(RecordFault::new("", message, hint));
        } else if table
            .columns
            .iter()
            .take(place)
            .any(|earlier| earlier == name)
        {
            faults.push(RecordFault::new(
                "",
                format!("the column `{name}` stands twice"),
                hint,
            ));
        }
    }
    for needed in ["part", "label"] {
        if table.columns.iter().all(|name| name != needed) {
            let message = format!("the column `{needed}` is missing");
            let hint = "a first line such as `part,label,price,currency,stock,pack`";
            faults.push(RecordFault::new("", message, hint));
        }
    }
    faults
}

/// A row of a table, and what is wrong with it.
struct Row<'a> {
    table: &'a Table,
    fields: &'a [String],
    faults: Vec<RecordFault>,
}

impl Row<'_> {
    fn line(&mut self) -> ModuleLine {
        let part = self.text("part").unwrap_or_default();
        if part.is_empty() || part.chars().count() > 100 {
            self.fault(
                "part",
                "a part has 1 to 100 characters",
                "the id that requests name",
            );
        }
        ModuleLine {
            label: Some(self.text("label").unwrap_or_default()),
            module: None,
            invented: self.parsed("invented", "`true` or `false`"),
            name: self.text("name"),
            maker: self.text("maker"),
            height: self.height(),
            price: self.price(),
            stock: self.parsed("stock", "a whole number"),
            pack: self.parsed("pack", "a whole number of at least 1"),
            part,
        }
    }

    /// A field that is not empty.
    fn text(&self, column: &str) -> Option<String> {
        let place = self.table.columns.iter().position(|name| name == column)?;
        let text = self.fields.get(place)?.trim();
        (!text.is_empty()).then(|| text.to_owned())
    }

    fn parsed<T: std::str::FromStr>(&mut self, column: &str, expected: &str) -> Option<T> {
        let text = self.text(column)?;
        let value = text.parse().ok();
        if value.is_none() {
            let message = format!("{} cannot be used here", quoted(&text));
            self.fault(column, message, expected);
        }
        value
    }

    fn height(&mut self) -> Option<HeightName> {
        let text = self.text("height")?;
        let known = HeightName::of(&text);
        if known.is_none() {
            let message = format!("there is no height class {}", quoted(&text));
            self.fault("height", message, HeightName::LIST.join(", "));
        }
        known
    }

    fn price(&mut self) -> Option<MoneyRecord> {
        let amount = self.text("price")?;
        let code = self.text("currency");
        let currency = code.as_deref().and_then(Currency::new);
        let Some(currency) = currency else {
            let hint = "an ISO 4217 code such as `EUR`";
            self.fault("currency", "a price needs a currency", hint);
            return None;
        };
        let minor = minor_units(&amount, currency.minor_digits());
        if minor.is_none() {
            let message = format!("{} is no price", quoted(&amount));
            let hint = format!(
                "an amount such as `49` or `49.00`, with at most {} decimals",
                currency.minor_digits()
            );
            self.fault("price", message, hint);
        }
        Some(MoneyRecord {
            minor: minor?,
            currency: currency.code().to_owned(),
        })
    }

    fn fault(&mut self, column: &str, message: impl Into<String>, hint: impl Into<String>) {
        self.faults
            .push(RecordFault::new(format!("/{column}"), message, hint));
    }
}

/// An amount such as `49.5` in minor units; nothing for what is no amount or finer than them.
fn minor_units(text: &str, digits: u32) -> Option<i64> {
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let numeric = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let digits = usize::try_from(digits).ok()?;
    if whole.is_empty() || !numeric(whole) || !numeric(part) || part.len() > digits {
        return None;
    }
    if part.is_empty() && text.ends_with('.') {
        return None;
    }
    format!("{whole}{part:0<digits$}").parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_read_in_the_minor_units_of_their_currency() {
        assert_eq!(minor_units("49", 2), Some(4900));
        assert_eq!(minor_units("49.5", 2), Some(4950));
        assert_eq!(minor_units("0.01", 2), Some(1));
        assert_eq!(minor_units("1500", 0), Some(1500));
        assert_eq!(minor_units("1.234", 3), Some(1234));
        for bad in [
            "",
            ".5",
            "49.",
            "49.001",
            "1,000",
            "-3",
            "4e2",
            "99999999999999999999",
        ] {
            assert_eq!(minor_units(bad, 2), None, "{bad}");
        }
    }

    #[test]
    fn a_row_of_a_shop_is_a_module_with_what_its_label_tells() {
        let text = "part,label,price,currency,stock,pack\r\nERW-T1,32GB 2Rx4 PC4-3200AA-RB2-12,49.00,EUR,40,2\r\n";
        let (number, line) = of_table(text).unwrap().remove(0);
        let entry = module(line).unwrap();
        assert_eq!(
            (number, entry.id.as_str(), entry.invented),
            (2, "ERW-T1", false)
        );
        let record = &entry.record;
        assert_eq!(record.capacity_mib, Some(32_768));
        assert_eq!(record.rate_mts, Some(3200));
        assert_eq!(record.price.as_ref().unwrap().minor, 4900);
        assert_eq!((record.stock, record.pack), (Some(40), Some(2)));
        assert_eq!(entry.module.name, "ERW-T1");
        assert_eq!(record.height, None, "a label tells no height");
    }

    #[test]
    fn every_fault_of_a_table_is_told_with_its_line() {
        let text = "part,label,price,currency,stock\nA,x,1,euro,many\n,y,,,\n";
        let faults = of_table(text).unwrap_err();
        let told: Vec<(usize, &str)> = faults
            .iter()
            .map(|(line, fault)| (*line, fault.pointer.as_str()))
            .collect();
        assert_eq!(told, [(2, "/currency"), (2, "/stock"), (3, "/part")]);
        let columns = of_table("part,lable\n").unwrap_err();
        assert_eq!(columns.len(), 2);
        assert_eq!(columns[0].1.hint, "`label`?");
    }

    #[test]
    fn a_misread_label_is_a_fault_and_not_a_guess() {
        let line = |label: &str| ModuleLine {
            part: "A".to_owned(),
            label: Some(label.to_owned()),
            ..ModuleLine::default()
        };
        let faults = module(line("32GB 2Rx4 PCA-3200AA-RB2-12")).unwrap_err();
        assert!(faults[0].hint.contains("PC4"), "{faults:?}");
        assert!(module(line("a hat")).is_err());
        assert!(
            module(ModuleLine {
                part: "A".to_owned(),
                ..ModuleLine::default()
            })
            .is_err()
        );
    }
}
