//! From what a reader found to the facts that the rules use.
//!
//! A fact that was read or derived is known. One that is only assumed is *not*: the rules would take
//! it for certain, and a wrong guess could turn into a wrong verdict. It stays unknown, and a note
//! says what is likely, so that somebody can confirm it. [`of_reading`] takes labels and SPD images,
//! [`of_report`] takes the modules of an inventory report.

mod of_reading;
mod of_report;

pub use of_reading::of_reading;
pub use of_report::of_report;

use super::fact::{Fact, Standing};
use super::note::{Note, kinds};
use crate::domain::module::{Module, ModuleFacts, RecordFault};
use crate::domain::units::Millivolts;

kinds! {
    FACT_ASSUMED Remark "fact-assumed" ["fact", "likely"]
        "The { $fact } is likely { $likely }, but that is not sure, so it counts as not known.";
    FACT_NOT_COVERED Caution "fact-not-covered" ["fact", "found"]
        "The { $fact } is { $found }, which is not covered here, so it counts as not known.";
    FACTS_CONTRADICT Fault "facts-contradict" ["problem"]
        "Facts of this module contradict each other, so only its generation and its names are used: { $problem }.";
}

/// A member of a module record that a reader can tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Member {
    /// Generation.
    Generation,
    /// Kind of module.
    Kind,
    /// Capacity.
    Capacity,
    /// Package ranks.
    PackageRanks,
    /// Dies behind each package rank.
    StackHeight,
    /// Width of the devices.
    Width,
    /// Density of one die.
    DieDensity,
    /// ECC bits on the bus.
    EccBits,
    /// Rated data rate.
    Rate,
    /// CAS latency at that rate.
    CasLatency,
    /// Supply voltages.
    Supply,
    /// Input voltage of a DDR5 module.
    Input,
    /// SPD timing.
    Timing,
    /// Height class.
    Height,
    /// Maker.
    Maker,
    /// Maker's part number.
    PartNumber,
    /// Maker of the DRAM devices.
    DramMaker,
}

impl Member {
    /// Every one, in the order of a record.
    pub const ALL: [Self; 17] = [
        Self::Generation,
        Self::Kind,
        Self::Capacity,
        Self::PackageRanks,
        Self::StackHeight,
        Self::Width,
        Self::DieDensity,
        Self::EccBits,
        Self::Rate,
        Self::CasLatency,
        Self::Supply,
        Self::Input,
        Self::Timing,
        Self::Height,
        Self::Maker,
        Self::PartNumber,
        Self::DramMaker,
    ];

    /// Its name in a record, and in a sentence.
    const fn names(self) -> (&'static str, &'static str) {
        match self {
            Self::Generation => ("generation", "generation"),
            Self::Kind => ("kind", "kind of module"),
            Self::Capacity => ("capacity_mib", "capacity"),
            Self::PackageRanks => ("package_ranks", "number of package ranks"),
            Self::StackHeight => ("stack_height", "height of the stacks"),
            Self::Width => ("width", "device width"),
            Self::DieDensity => ("die_gbit", "die density"),
            Self::EccBits => ("ecc_bits", "number of ECC bits"),
            Self::Rate => ("rate_mts", "rate"),
            Self::CasLatency => ("cas_latency", "CAS latency"),
            Self::Supply => ("supply_mv", "supply voltage"),
            Self::Input => ("input_mv", "input voltage"),
            Self::Timing => ("timing", "timing"),
            Self::Height => ("height", "height class"),
            Self::Maker => ("maker", "maker"),
            Self::PartNumber => ("part_number", "part number"),
            Self::DramMaker => ("dram_maker", "maker of the DRAM devices"),
        }
    }

    /// Its name in a record.
    pub const fn name(self) -> &'static str {
        self.names().0
    }

    /// Its name in a sentence.
    pub const fn words(self) -> &'static str {
        self.names().1
    }

    /// Whether the facts tell it.
    fn is_told(self, facts: &ModuleFacts) -> bool {
        match self {
            Self::Generation => facts.generation.is_some(),
            Self::Kind => facts.kind.is_some(),
            Self::Capacity => facts.capacity.is_some(),
            Self::PackageRanks => facts.package_ranks.is_some(),
            Self::StackHeight => facts.stack_height.is_some(),
            Self::Width => facts.width.is_some(),
            Self::DieDensity => facts.die_density.is_some(),
            Self::EccBits => facts.ecc_bits.is_some(),
            Self::Rate => facts.rate.is_some(),
            Self::CasLatency => facts.cas_latency.is_some(),
            Self::Supply => facts.supply.is_some(),
            Self::Input => facts.input.is_some(),
            Self::Timing => facts.timing.is_some(),
            Self::Height => facts.height.is_some(),
            Self::Maker => facts.maker.is_some(),
            Self::PartNumber => facts.part_number.is_some(),
            Self::DramMaker => facts.dram_maker.is_some(),
        }
    }
}

/// How sure one member is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MemberStanding {
    /// Which one.
    pub member: Member,
    /// How sure; an assumed one is not among the facts.
    pub standing: Standing,
    /// What an assumed one probably is.
    pub likely: Option<String>,
}

/// What is known of a module, and how.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Known {
    /// What was read or derived.
    pub facts: ModuleFacts,
    /// The standing of every member, in the order of [`Member::ALL`].
    pub standings: Vec<MemberStanding>,
    /// What had to be left out, and why.
    pub notes: Vec<Note>,
}

impl Known {
    /// The module, with what follows from its facts.
    ///
    /// # Errors
    /// Facts that contradict each other, with pointers into the record.
    pub fn checked(mut self) -> Result<(Module, Self), Vec<RecordFault>> {
        let module = Module::checked(self.facts.clone())?;
        for known in &mut self.standings {
            if !known.member.is_told(&self.facts) && known.member.is_told(&module) {
                known.standing = Standing::Derived;
                known.likely = None;
            }
        }
        self.notes.retain(|note| {
            // What was assumed and then followed from the rest needs no note.
            note.code() != FACT_ASSUMED.code
                || self.standings.iter().any(|known| {
                    known.standing == Standing::Assumed
                        && note.text_of("fact") == Some(known.member.words())
                })
        });
        self.facts = (*module).clone();
        Ok((module, self))
    }

    /// The module as far as its facts agree: where they do not, all but its generation and its
    /// names are given up, with a note.
    pub fn settled(self) -> (Option<Module>, Self) {
        let faults = match self.clone().checked() {
            Ok((module, known)) => return (Some(module), known),
            Err(faults) => faults,
        };
        let mut rest = self;
        rest.facts = ModuleFacts {
            name: std::mem::take(&mut rest.facts.name),
            generation: rest.facts.generation,
            maker: rest.facts.maker.take(),
            part_number: rest.facts.part_number.take(),
            dram_maker: rest.facts.dram_maker.take(),
            switched_off: rest.facts.switched_off,
            ..ModuleFacts::default()
        };
        let problems: Vec<&str> = faults.iter().map(|fault| fault.message.as_str()).collect();
        rest.notes
            .push(Note::new(&FACTS_CONTRADICT).text("problem", &problems.join("; ")));
        for known in &mut rest.standings {
            if !known.member.is_told(&rest.facts) && known.standing > Standing::Assumed {
                known.standing = Standing::Unknown;
            }
        }
        match rest.clone().checked() {
            Ok((module, known)) => (Some(module), known),
            Err(_) => (None, rest),
        }
    }

    /// The standing of one member.
    pub fn standing(&self, member: Member) -> Standing {
        let known = self.standings.iter().find(|known| known.member == member);
        known.map_or(Standing::Unknown, |known| known.standing)
    }

    /// Whether nothing at all is known or likely.
    pub fn is_blank(&self) -> bool {
        self.standings
            .iter()
            .all(|known| known.standing == Standing::Unknown)
    }
}

/// Takes members one by one and keeps their standings.
#[derive(Default)]
struct Taker {
    standings: Vec<MemberStanding>,
    notes: Vec<Note>,
}

impl Taker {
    /// The fact in the domain's terms if it is sure enough; `convert` gives nothing for a value that
    /// the domain has no word for.
    fn take<T, U>(
        &mut self,
        member: Member,
        fact: &Fact<T>,
        convert: impl Fn(&T) -> Option<U>,
        show: impl Fn(&T) -> String,
    ) -> Option<U> {
        let mut likely = None;
        let mut standing = fact.standing();
        let taken = match fact.value() {
            Some(value) if standing == Standing::Assumed => {
                let shown = show(value);
                let note = Note::new(&FACT_ASSUMED).text("fact", member.words());
                self.notes.push(note.text("likely", &shown));
                likely = Some(shown);
                None
            }
            Some(value) => {
                let converted = convert(value);
                if converted.is_none() {
                    let note = Note::new(&FACT_NOT_COVERED).text("fact", member.words());
                    self.notes.push(note.text("found", &show(value)));
                    standing = Standing::Unknown;
                }
                converted
            }
            None => None,
        };
        self.standings.push(MemberStanding {
            member,
            standing,
            likely,
        });
        taken
    }

    /// The same for a value that the domain holds as it is.
    fn same<T: Clone + ToString>(&mut self, member: Member, fact: &Fact<T>) -> Option<T> {
        self.take(member, fact, |value| Some(value.clone()), T::to_string)
    }

    fn finish(mut self, facts: ModuleFacts) -> Known {
        for member in Member::ALL {
            if self.standings.iter().all(|known| known.member != member) {
                self.standings.push(MemberStanding {
                    member,
                    standing: Standing::Unknown,
                    likely: None,
                });
            }
        }
        self.standings.sort_by_key(|known| known.member);
        Known {
            facts,
            standings: self.standings,
            notes: self.notes,
        }
    }
}

/// Voltages for the domain, ascending.
fn volts(list: &[u16]) -> Vec<Millivolts> {
    let mut volts: Vec<Millivolts> = list.iter().copied().map(Millivolts).collect();
    volts.sort_unstable();
    volts.dedup();
    volts
}

fn volts_text(list: &[u16]) -> String {
    let each: Vec<String> = list.iter().map(|mv| format!("{mv} mV")).collect();
    each.join(", ")
}

#[cfg(test)]
mod tests;
