//! The label that a module of a record would carry.

use super::letters::letters;
use super::notes;
use crate::read::fact::Standing;
use crate::read::grades;
use crate::read::note::{Note, Parameter};
use crate::read::record::ReadModule;
use crate::read::vocabulary::{Generation, Package};

/// A label's text, and what it lacks.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WrittenLabel {
    /// The text; `None` when the record does not tell enough for even the short form.
    pub text: Option<String>,
    /// What had to be left out.
    pub notes: Vec<Note>,
}

/// Writes the label in its standard spelling: the full form as far as the record goes, else the short
/// form that ends with the module letter.
pub fn write_label(module: &ReadModule) -> WrittenLabel {
    let writer = Writer {
        module,
        left_out: Vec::new(),
    };
    writer.write()
}

struct Writer<'a> {
    module: &'a ReadModule,
    left_out: Vec<String>,
}

/// A part of a label, or the name of the fact that it lacks.
type Part = Result<String, &'static str>;

impl Writer<'_> {
    fn write(mut self) -> WrittenLabel {
        let needed = [
            self.capacity(),
            self.organisation(),
            self.prefix(),
            self.letter(),
        ];
        let missing: Vec<String> = needed
            .iter()
            .filter_map(|part| part.as_ref().err())
            .map(|name| (*name).into())
            .collect();
        let [Ok(capacity), Ok(organisation), Ok(prefix), Ok(letter)] = needed else {
            let note = Note::new(&notes::NOT_WRITABLE).with("missing", Parameter::List(missing));
            return WrittenLabel {
                text: None,
                notes: vec![note],
            };
        };
        let speed = if self.is_by_bandwidth() {
            self.older(&letter)
        } else {
            self.newer(&letter)
        };
        let Some(speed) = speed else {
            let note = Note::new(&notes::NOT_WRITABLE)
                .with("missing", Parameter::List(vec!["rate".to_owned()]));
            return WrittenLabel {
                text: None,
                notes: vec![note],
            };
        };
        let notes = self
            .left_out
            .into_iter()
            .map(|name| Note::new(&notes::LEFT_OUT).with("missing", Parameter::List(vec![name])));
        let text = Some(format!("{capacity} {organisation} {prefix}-{speed}"));
        WrittenLabel {
            text,
            notes: notes.collect(),
        }
    }

    fn capacity(&self) -> Part {
        let mib = self.module.capacity_mib.get().ok_or("capacity")?;
        Ok(if mib.is_multiple_of(1024) {
            format!("{}GB", mib / 1024)
        } else {
            format!("{mib}MB")
        })
    }

    fn organisation(&self) -> Part {
        let organisation = &self.module.organisation;
        let width = organisation.device_width.get().ok_or("device-width")?;
        // Where only logical ranks are known, the label's number counted those.
        let Some(ranks) = organisation.package_ranks.get() else {
            let logical = organisation.logical_ranks.get().ok_or("package-ranks")?;
            return Ok(format!("{logical}Rx{width}"));
        };
        let package = match self.module.generation.get() {
            Some(Generation::Ddr3) => Some(""),
            _ => organisation.package.get().and_then(Package::label_letter),
        }
        .ok_or("package")?;
        let height = match organisation.package.get() {
            Some(Package::Stacked) if package == "S" => organisation
                .stack_height
                .get()
                .ok_or("stack-height")?
                .to_string(),
            _ => String::new(),
        };
        Ok(format!("{ranks}{package}{height}Rx{width}"))
    }

    fn prefix(&self) -> Part {
        let generation = self.module.generation.get().ok_or("generation")?;
        let voltage = match (generation, self.module.supply.nominal_mv.get()) {
            (Generation::Ddr3, Some(1350)) => "L",
            (Generation::Ddr3, Some(1250)) => "U",
            (Generation::Ddr3, None) => return Err("voltage"),
            _ => "",
        };
        Ok(format!("{}{voltage}", generation.label_prefix()))
    }

    fn letter(&self) -> Part {
        let generation = self.module.generation.get().ok_or("generation")?;
        let kind = self.module.kind.get().ok_or("kind")?;
        let ecc_bits = self.module.organisation.ecc_bits.get();
        let mut fitting = letters(generation)
            .iter()
            .filter(|letter| letter.kind == kind);
        let first = fitting.next().ok_or("module-letter")?;
        let second = fitting.next();
        // Only a DDR5 RDIMM has two letters: they differ in ECC bits.
        let letter = match second {
            None => Some(first),
            Some(second) => [first, second]
                .into_iter()
                .find(|one| Some(one.ecc_bits) == ecc_bits),
        };
        Ok(letter.ok_or("ecc-bits")?.letter.to_owned())
    }

    /// DDR3, and a DDR4 label that itself named a bandwidth and a latency.
    fn is_by_bandwidth(&self) -> bool {
        let speed = &self.module.speed;
        match self.module.generation.get() {
            Some(Generation::Ddr3) => true,
            Some(Generation::Ddr4) => {
                !speed.bin.is_known() && speed.cas_latency.standing() == Standing::Read
            }
            _ => false,
        }
    }

    fn older(&mut self, letter: &str) -> Option<String> {
        let rate = self.module.speed.rate_mts.get()?;
        let grade = grades::by_rate(self.module.generation.get()?, rate)?;
        let card = self.card();
        let revision = self
            .module
            .spd
            .revision
            .value()
            .map(|one| one.label_digits());
        let parts = [
            (
                "cas-latency",
                self.module
                    .speed
                    .cas_latency
                    .get()
                    .map(|clocks| clocks.to_string()),
            ),
            ("spd-revision", revision),
            ("raw-card", (!card.is_empty()).then_some(card)),
        ];
        Some(self.ended(format!("{}{letter}", grade.bandwidth), parts))
    }

    fn newer(&mut self, letter: &str) -> Option<String> {
        let rate = self.module.speed.rate_mts.get()?;
        let bin = self.module.speed.bin.get().map_or("", |bin| bin.0);
        if bin.is_empty() {
            self.left_out.push("speed-bin".to_owned());
        }
        let card = self.card();
        let start = format!("{rate}{bin}-{letter}{card}");
        if card.is_empty() {
            self.left_out.push("raw-card".to_owned());
            return Some(start);
        }
        let revision = self.revisions();
        Some(match self.module.generation.get() {
            Some(Generation::Ddr5) => {
                let grade = self.module.build.temperature_grade.get().map(str::to_owned);
                self.ended(
                    start,
                    [("spd-revision", revision), ("temperature-grade", grade)],
                )
            }
            _ => self.ended(start, [("spd-revision", revision)]),
        })
    }

    /// The parts joined by hyphens up to the first that is missing, then the maker's own text if none
    /// is: it is known by its place.
    fn ended<const N: usize>(
        &mut self,
        mut text: String,
        parts: [(&'static str, Option<String>); N],
    ) -> String {
        for (name, part) in parts {
            let Some(part) = part else {
                self.left_out.push(name.to_owned());
                return text;
            };
            text = format!("{text}-{part}");
        }
        match self.module.origin.label_suffix.value() {
            Some(suffix) => format!("{text}-{suffix}"),
            None => text,
        }
    }

    fn card(&self) -> String {
        self.module
            .build
            .raw_card
            .value()
            .map(ToString::to_string)
            .unwrap_or_default()
    }

    fn revisions(&self) -> Option<String> {
        let base = self.module.spd.revision.value()?.label_digits();
        match self.module.generation.get() {
            Some(Generation::Ddr5) => {
                let module = self.module.spd.module_revision.value()?.label_digits();
                Some(format!("{base}{module}"))
            }
            _ => Some(base),
        }
    }
}
