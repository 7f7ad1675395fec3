//! A module's own rate and the rate at which it runs, where firmware prints rates or clocks.
//!
//! DDR moves two words per clock, so a clock in MHz is half the rate in MT/s. Old firmware prints
//! clocks in fields meant for rates, in one field or in both.

use super::facts::{same_rate, standard_rate, standard_rates};
use super::judge::{SlotNotes, Told};
use super::note::Code;
use super::record::{Fact, Generation};

/// Whether some module of the report shows that firmware prints clocks for rates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Clocks {
    /// In the field of the module's own rate.
    pub rated: bool,
    /// In the field of the running rate.
    pub configured: bool,
}

/// Both rates, MT/s.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Rates {
    /// The module's own.
    pub rated: Fact<u32>,
    /// The running one.
    pub configured: Fact<u32>,
}

/// How a number of the report reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Reading {
    Rate(u32),
    /// A clock, and the rate that it stands for.
    Clock(u32),
    /// The generation's lowest rate, or the clock of twice that.
    Either(u32, u32),
    Neither,
}

impl Reading {
    /// The rate, if there is no doubt of it.
    const fn sure(self) -> Option<u32> {
        match self {
            Self::Rate(rate) | Self::Clock(rate) => Some(rate),
            Self::Either(..) | Self::Neither => None,
        }
    }
}

/// No module runs faster; 65535 is a code for "see elsewhere" that some tools print as it is.
const HIGHEST_MTS: u32 = 20_000;

fn read(given: u32, generation: Option<Generation>) -> Reading {
    let Some((generation, lowest)) =
        generation.and_then(|g| Some((g, *standard_rates(g).first()?)))
    else {
        return match given {
            100..=HIGHEST_MTS => Reading::Rate(given),
            _ => Reading::Neither,
        };
    };
    let doubled = given.saturating_mul(2);
    let standard = standard_rate(doubled, generation);
    let rate = standard.unwrap_or(doubled);
    if same_rate(given, lowest) {
        return Reading::Either(given, rate);
    }
    if standard_rate(given, generation).is_some() {
        return Reading::Rate(given);
    }
    if standard.is_some() || (given < lowest && doubled >= lowest) {
        return Reading::Clock(rate);
    }
    match given {
        given if given >= lowest && given <= HIGHEST_MTS => Reading::Rate(given),
        _ => Reading::Neither,
    }
}

/// Whether one module's numbers show clocks.
pub fn shows_clocks(told: &Told) -> Clocks {
    let rated = told.rated.map(|given| read(given, told.generation));
    let configured = told.configured.map(|given| read(given, told.generation));
    let is_clock = |reading| matches!(reading, Some(Reading::Clock(_)));
    Clocks {
        rated: is_clock(rated),
        configured: is_clock(configured),
    }
}

/// Judges both rates of one module.
pub fn judge(
    told: &Told,
    generation: Option<Generation>,
    clocks: Clocks,
    notes: &mut SlotNotes<'_>,
) -> Rates {
    let own = |given: &u32| *given != 0;
    let rated = told.rated.filter(own).map(|given| {
        let reading = read(given, generation);
        (given, settled(reading, told, clocks.rated))
    });
    // Only a rate that is sure makes another surer.
    let surely = rated.and_then(|(_, reading)| reading.sure());
    let running = told.configured.filter(own).map(|given| {
        let reading = running(given, surely, generation, clocks.configured);
        (given, reading)
    });
    // A module does not run above its own rate.
    let rated = rated.map(|(given, reading)| match (reading, running) {
        (Reading::Either(low, high), Some((_, running)))
            if running.sure().is_some_and(|rate| rate > low + 2) =>
        {
            (given, Reading::Clock(high))
        }
        _ => (given, reading),
    });
    let rated = match rated {
        Some((given, reading)) => taken(given, reading, generation, notes),
        None => {
            notes.add(Code::RatedRateUnknown, vec![]);
            Fact::Unknown
        }
    };
    let configured = match running {
        Some((given, reading)) => taken(given, reading, generation, notes),
        None => Fact::Unknown,
    };
    note_overclock(rated, configured, notes);
    Rates { rated, configured }
}

/// A module's own rate, as far as the report and the part number settle it.
fn settled(reading: Reading, told: &Told, clocks: bool) -> Reading {
    let Reading::Either(low, high) = reading else {
        return reading;
    };
    match told.part_number.as_deref().and_then(ddr3_grade) {
        _ if clocks => Reading::Clock(high),
        Some(grade) if grade == high => Reading::Clock(high),
        Some(grade) if grade == low => Reading::Rate(low),
        _ => reading,
    }
}

/// Marks in part numbers that tell DDR3-1600 from DDR3-800, as the chip makers wrote them
/// (from memory). They serve only where firmware's number can mean either.
fn ddr3_grade(part: &str) -> Option<u32> {
    let marked = |marks: &[&str]| marks.iter().any(|mark| part.contains(mark));
    if marked(&["1600", "12800", "-CK0", "-YK0", "-PB", "1G6"]) {
        return Some(1600);
    }
    marked(&["-CF7", "-YF7", "-S6", "-800", "6400"]).then_some(800)
}

fn running(
    given: u32,
    rated: Option<u32>,
    generation: Option<Generation>,
    clocks: bool,
) -> Reading {
    // A module does not run above its own rate, so a number whose double would be above it is a rate.
    let possible = |rate: u32| rated.is_none_or(|rated| rate <= rated + 2);
    match read(given, generation) {
        Reading::Clock(rate) if possible(rate) || is_no_rate(given, generation) => {
            Reading::Clock(rate)
        }
        Reading::Either(_, high) if clocks && possible(high) => Reading::Clock(high),
        Reading::Either(low, high) if possible(high) => Reading::Either(low, high),
        Reading::Neither => Reading::Neither,
        _ => Reading::Rate(given),
    }
}

/// Whether a number is below every rate of DDR3, of which DDR3-800 is the slowest (JESD79-3): reports that
/// show less show clocks (survey of 227 reports). DDR4 does run below its slowest, at 1333.
fn is_no_rate(given: u32, generation: Option<Generation>) -> bool {
    let slowest = standard_rates(Generation::Ddr(3)).first();
    let is_ddr3 = generation == Some(Generation::Ddr(3));
    is_ddr3 && slowest.is_some_and(|slowest| given + 2 < *slowest)
}

/// The fact that a reading gives, with its notes.
fn taken(
    given: u32,
    reading: Reading,
    generation: Option<Generation>,
    notes: &mut SlotNotes<'_>,
) -> Fact<u32> {
    match reading {
        Reading::Rate(rate) => as_read(rate, generation, notes),
        Reading::Clock(rate) => as_clock(given, rate, notes),
        Reading::Either(low, _) => as_either(low, notes),
        Reading::Neither => not_believable(given, notes),
    }
}

fn as_read(rate: u32, generation: Option<Generation>, notes: &mut SlotNotes<'_>) -> Fact<u32> {
    let odd = generation.is_some_and(|generation| {
        !standard_rates(generation).is_empty() && standard_rate(rate, generation).is_none()
    });
    if odd {
        notes.add(Code::RateOdd, vec![("rate", rate.into())]);
    }
    Fact::Read(rate)
}

fn as_clock(given: u32, rate: u32, notes: &mut SlotNotes<'_>) -> Fact<u32> {
    let params = vec![("given", given.into()), ("taken", rate.into())];
    notes.add(Code::RateWasClock, params);
    Fact::Derived(rate)
}

fn as_either(low: u32, notes: &mut SlotNotes<'_>) -> Fact<u32> {
    notes.add(Code::RateMayBeClock, vec![("given", low.into())]);
    Fact::Assumed(low)
}

fn not_believable(given: u32, notes: &mut SlotNotes<'_>) -> Fact<u32> {
    notes.add(Code::RateNotBelievable, vec![("rate", given.into())]);
    Fact::Unknown
}

fn note_overclock(rated: Fact<u32>, configured: Fact<u32>, notes: &mut SlotNotes<'_>) {
    if let (Some(rated), Some(configured)) = (rated.value(), configured.value())
        && *configured > *rated + 2
    {
        let params = vec![
            ("configured", (*configured).into()),
            ("rated", (*rated).into()),
        ];
        notes.add(Code::ConfiguredAboveRated, params);
    }
}
