//! Clock and CAS latency: exact arithmetic on data rates that the trade rounds.
//!
//! All data rates of the trade are multiples of 400/3 MT/s; `1333` stands for 4000/3 and `2666`, like
//! `2667`, for 8000/3. A clock is therefore kept in thirds of a megatransfer a second, an integer.

use super::board::rates::{RateStep, stepped};
use super::module::{Generation, Kind, Module, ModuleFacts};
use super::units::{Mts, Picoseconds};

/// The clock behind a data rate, as three times the exact rate in MT/s.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Clock(u32);

/// Picoseconds × thirds of MT/s in one clock: two transfers a clock, 10^12 ps a second.
const CLOCK: u64 = 6_000_000;

impl Clock {
    /// The clock of a data rate. A rate within two thirds of a multiple of 400/3 MT/s is that
    /// multiple rounded; any other is taken as it stands.
    pub const fn of(rate: Mts) -> Self {
        let thirds = rate.0.saturating_mul(3);
        let exact = thirds.saturating_add(200) / 400 * 400;
        Self(if thirds.abs_diff(exact) <= 2 {
            exact
        } else {
            thirds
        })
    }

    /// Its period, rounded up to whole picoseconds as SPD contents do.
    pub const fn period(self) -> Picoseconds {
        let period = match CLOCK.checked_div(self.0 as u64) {
            Some(whole) => whole + !CLOCK.is_multiple_of(self.0 as u64) as u64,
            None => u64::MAX,
        };
        Picoseconds(if period > u32::MAX as u64 {
            u32::MAX
        } else {
            period as u32
        })
    }

    /// How long so many clocks take, rounded to the nearest picosecond.
    pub const fn time_of(self, clocks: u8) -> Picoseconds {
        let thirds = if self.0 == 0 { 1 } else { self.0 as u64 };
        Picoseconds(((clocks as u64 * CLOCK + thirds / 2) / thirds) as u32)
    }

    /// Whether so many clocks take no longer than a time; exact.
    const fn within(self, clocks: u8, time: Picoseconds) -> bool {
        clocks as u64 * CLOCK <= time.0 as u64 * self.0 as u64
    }

    /// The clocks that a time takes, rounded up, less what SPD contents may have been rounded by:
    /// a hundredth of a clock (DDR3), a fortieth (DDR4) or 0.3 % of the time (DDR5).
    fn clocks_for(self, time: Picoseconds, generation: Generation) -> u64 {
        let exact = u64::from(time.0) * u64::from(self.0);
        match generation {
            Generation::Ddr3 => exact.saturating_sub(CLOCK / 100).div_ceil(CLOCK),
            Generation::Ddr4 => exact.saturating_sub(CLOCK / 40).div_ceil(CLOCK),
            Generation::Ddr5 => (exact * 997).div_ceil(CLOCK * 1000),
        }
    }
}

/// Whether two rates are two roundings of the same clock, such as 2666 and 2667.
pub fn same_clock(a: Mts, b: Mts) -> bool {
    Clock::of(a) == Clock::of(b)
}

/// Whether a rate is really higher than another, not only rounded otherwise.
pub fn faster(a: Mts, than: Mts) -> bool {
    Clock::of(a) > Clock::of(than)
}

/// Standard data rates, fastest first.
const BINS: [u32; 25] = [
    8800, 8400, 8000, 7600, 7200, 6800, 6400, 6000, 5600, 5200, 4800, 4400, 4000, 3600, 3200, 2933,
    2666, 2400, 2133, 1866, 1600, 1333, 1066, 800, 667,
];

/// The fastest standard rate that a module of this shortest clock period runs; `None` below 667.
pub fn rate_bin(tck_min: Picoseconds) -> Option<Mts> {
    BINS.into_iter()
        .map(Mts)
        .find(|rate| tck_min <= Clock::of(*rate).period())
}

/// The rate that a module is good for: its rating, and no more than its shortest clock period
/// allows. For an MRDIMM the period says nothing: it may be the devices' own.
pub fn rating_of(module: &ModuleFacts) -> Option<Mts> {
    let by_period = module
        .timing
        .as_ref()
        .filter(|_| module.kind.is_some_and(|kind| kind != Kind::Mrdimm))
        .and_then(|timing| rate_bin(timing.tck_min));
    match (module.rate, by_period) {
        (Some(rated), Some(bin)) if faster(rated, bin) => Some(bin),
        (rated, bin) => rated.or(bin),
    }
}

/// The rate that a board's firmware takes a module for. Where it has steps of its own, these and not
/// the standard rates decide what an odd clock period is good for.
pub fn rating_on(steps: &[RateStep], module: &Module) -> Option<Mts> {
    if steps.is_empty() {
        return module.rating();
    }
    let timing = module
        .timing
        .as_ref()
        .filter(|_| module.kind.is_some_and(|kind| kind != Kind::Mrdimm));
    let by_period = timing
        .and_then(|timing| 2_000_000u32.checked_div(timing.tck_min.0))
        .map(|raw| stepped(steps, Mts(raw)));
    match (module.rate, by_period) {
        (Some(rated), Some(step)) if faster(rated, step) => Some(step),
        (Some(rated), _) => Some(stepped(steps, rated)),
        (None, step) => step,
    }
}

/// The CAS latency of modules that run together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CommonCas {
    /// This many clocks.
    Clocks(u8),
    /// There is none: the slowest module needs at least so many clocks.
    Impossible(u8),
    /// It depends on timing that nobody told.
    Unknown,
}

/// The lowest CAS latency that all modules support at a data rate: the slowest tAA in clocks, raised
/// until every module lists it, and not longer than the standard's ceiling.
///
/// A module without SPD timing counts with the latency of its label, but only at its own rate.
pub fn common_cas<'a>(
    generation: Generation,
    rate: Mts,
    modules: impl Iterator<Item = &'a Module> + Clone,
) -> CommonCas {
    let clock = Clock::of(rate);
    let (mut needed, mut all_told, mut any_timing) = (0u64, true, false);
    for module in modules.clone() {
        match (&module.timing, module.cas_latency, module.rate) {
            (Some(timing), _, _) => {
                any_timing = true;
                needed = needed.max(clock.clocks_for(timing.taa_min, generation));
            }
            (None, Some(told), Some(rated)) if same_clock(rated, rate) => {
                needed = needed.max(u64::from(told));
            }
            _ => all_told = false,
        }
    }
    let Ok(needed) = u8::try_from(needed) else {
        return CommonCas::Impossible(u8::MAX);
    };
    if !any_timing {
        return if all_told && needed > 0 {
            CommonCas::Clocks(needed)
        } else {
            CommonCas::Unknown
        };
    }
    let listed = (needed..=u8::MAX).find(|clocks| {
        let mut lists = modules.clone().filter_map(|module| module.timing.as_ref());
        lists.all(|timing| timing.cas_supported.contains(clocks))
    });
    let (surely, perhaps) = ceiling(generation, modules);
    let below = |clocks, ceiling: Option<Picoseconds>| {
        ceiling.is_none_or(|ceiling| clock.within(clocks, ceiling))
    };
    match listed {
        Some(clocks) if all_told && below(clocks, surely) => CommonCas::Clocks(clocks),
        Some(clocks) if below(clocks, perhaps) => CommonCas::Unknown,
        _ => CommonCas::Impossible(needed),
    }
}

/// The longest time that a CAS latency may take: for certain, and at best if some module's stacking
/// is not known. The DDR5 standard's ceiling is not at hand, so there is none.
fn ceiling<'a>(
    generation: Generation,
    mut modules: impl Iterator<Item = &'a Module> + Clone,
) -> (Option<Picoseconds>, Option<Picoseconds>) {
    let of = |ps| Some(Picoseconds(ps));
    let (flat, stacked) = (of(18_000), of(21_500));
    match generation {
        Generation::Ddr3 => (of(20_000), of(20_000)),
        Generation::Ddr5 => (None, None),
        Generation::Ddr4 if modules.clone().any(|m| m.is_stacked() == Some(false)) => (flat, flat),
        Generation::Ddr4 if modules.all(|m| m.is_stacked() == Some(true)) => (stacked, stacked),
        Generation::Ddr4 => (flat, stacked),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::module::{ModuleFacts, Timing};
    use proptest::prelude::*;

    fn timed(taa_min: u32, tck_min: u32, cas: impl IntoIterator<Item = u8>) -> ModuleFacts {
        ModuleFacts {
            kind: Some(Kind::Rdimm),
            stack_height: Some(1),
            timing: Some(Timing {
                tck_min: Picoseconds(tck_min),
                taa_min: Picoseconds(taa_min),
                cas_supported: cas.into_iter().collect(),
            }),
            ..ModuleFacts::default()
        }
    }

    fn cas(generation: Generation, rate: u32, modules: &[ModuleFacts]) -> CommonCas {
        let modules: Vec<Module> = modules
            .iter()
            .map(|facts| Module::checked(facts.clone()).unwrap())
            .collect();
        common_cas(generation, Mts(rate), modules.iter())
    }

    /// Clock periods in ps as printed in the standards' speed tables: DDR3 (JESD79-3), DDR4
    /// (JESD79-4) and DDR5 (JESD79-5), restated in open decoders of SPD contents. The standards
    /// truncate some and SPD contents round others up, so a period lies within 1 ps.
    const PERIODS: [(u32, u32); 19] = [
        (800, 2500),
        (1066, 1875),
        (1333, 1500),
        (1600, 1250),
        (1866, 1071),
        (2133, 938),
        (2400, 833),
        (2666, 750),
        (2933, 682),
        (3200, 625),
        (3600, 555),
        (4000, 500),
        (4400, 454),
        (4800, 416),
        (5200, 384),
        (5600, 357),
        (6000, 333),
        (6400, 312),
        (8800, 227),
    ];

    #[test]
    fn a_period_is_that_of_the_standards_tables() {
        for (rate, period) in PERIODS {
            let ours = Clock::of(Mts(rate)).period().0;
            assert!(
                ours == period || ours == period + 1,
                "{rate}: {ours} {period}"
            );
            assert_eq!(rate_bin(Picoseconds(period)), Some(Mts(rate)));
        }
    }

    #[test]
    fn roundings_of_one_clock_are_the_same() {
        // Trade names: 2666 and 2667 are both 1333 MHz, 2933 and 2934 both 1467 MHz (inventory
        // reports show both for one class of module).
        for (a, b) in [(2666, 2667), (2933, 2934), (1066, 1067), (667, 666)] {
            assert!(same_clock(Mts(a), Mts(b)) && !faster(Mts(b), Mts(a)));
        }
        assert!(faster(Mts(1600), Mts(1333)) && !same_clock(Mts(1800), Mts(1866)));
    }

    #[test]
    fn a_shortest_period_falls_into_its_bin() {
        // Published firmware source F1, mtspd3.c (MemTSPDGetTargetSpeed3).
        for (tck, rate) in [
            (1071, 1866),
            (1500, 1333),
            (1501, 1066),
            (2500, 800),
            (3000, 667),
        ] {
            assert_eq!(rate_bin(Picoseconds(tck)), Some(Mts(rate)), "{tck} ps");
        }
        assert_eq!(rate_bin(Picoseconds(3001)), None);
    }

    #[test]
    fn the_ddr3_latency_follows_from_the_access_time() {
        // Published firmware source F1, mtspd3.c (MemTSPDGetTCL3): tAA 13.125 ns.
        let module = timed(13_125, 1250, 5..=11);
        for (rate, clocks) in [(1600, 11), (1333, 9), (800, 6)] {
            let found = cas(Generation::Ddr3, rate, std::slice::from_ref(&module));
            assert_eq!(found, CommonCas::Clocks(clocks), "{rate}");
        }
        // Labels print 13 for DDR3-1866 (PC3-14900, CAS-13): SPD tAA 13.91 ns and 13.125 ns alike.
        for taa in [13_125, 13_910] {
            let found = cas(Generation::Ddr3, 1866, &[timed(taa, 1071, 5..=13)]);
            assert_eq!(found, CommonCas::Clocks(13));
        }
    }

    #[test]
    fn the_ddr4_latency_follows_from_the_access_time() {
        // Published firmware source F3 and published firmware source F2: the rule.
        for (taa, rate, clocks) in [
            (13_750, 3200, 22),
            (14_160, 2400, 17),
            (13_320, 2400, 16),
            (13_750, 2133, 15),
            // Published part lists L1: 2933Y is 21-21-21; its SPD tAA of 14.32 ns is 21.003 clocks.
            (14_320, 2933, 21),
            // Published part lists L1: 2666V is 19-19-19.
            (14_250, 2667, 19),
        ] {
            let found = cas(Generation::Ddr4, rate, &[timed(taa, 625, 9..=24)]);
            assert_eq!(found, CommonCas::Clocks(clocks), "{taa} ps at {rate}");
        }
    }

    #[test]
    fn the_ddr5_latency_is_raised_to_one_that_the_module_lists() {
        // Published triples: 4800B 40-39-39, 5600B 46-45-45, 6400B 52-52-52 with tAA 16 ns, and
        // 3DS 46 and 60 with 18.5 ns. SPD contents of DDR5 can list even latencies only.
        let even = || (20..=70).step_by(2);
        for (taa, rate, clocks) in [
            (16_000, 4800, 40),
            (16_000, 5600, 46),
            (16_000, 6400, 52),
            (18_500, 4800, 46),
            (18_500, 6400, 60),
        ] {
            let found = cas(Generation::Ddr5, rate, &[timed(taa, 312, even())]);
            assert_eq!(found, CommonCas::Clocks(clocks), "{taa} ps at {rate}");
        }
    }

    #[test]
    fn the_ceiling_depends_on_the_stacking() {
        // Published firmware source F2: 18 ns for flat DDR4, 21.5 ns for 3DS. 30 × 0.625 ns = 18.75 ns.
        let of = |height| ModuleFacts {
            stack_height: height,
            ..timed(18_750, 625, 9..=32)
        };
        let found = |height| cas(Generation::Ddr4, 3200, &[of(height)]);
        assert_eq!(found(Some(1)), CommonCas::Impossible(30));
        assert_eq!(found(Some(2)), CommonCas::Clocks(30));
        assert_eq!(found(None), CommonCas::Unknown);
        // 20 ns for DDR3: 16 × 1.25 ns is just allowed.
        for (taa, common) in [
            (20_000, CommonCas::Clocks(16)),
            (20_100, CommonCas::Impossible(17)),
        ] {
            let found = cas(Generation::Ddr3, 1600, &[timed(taa, 1250, 5..=20)]);
            assert_eq!(found, common);
        }
    }

    #[test]
    fn the_latency_is_one_that_all_modules_list() {
        let [odd, even] = [[11, 13], [12, 14]].map(|list| timed(13_750, 1250, list));
        let both = timed(13_750, 1250, [11, 12, 13]);
        let found = |modules: &[ModuleFacts]| cas(Generation::Ddr3, 1600, modules);
        assert_eq!(found(&[odd.clone(), both.clone()]), CommonCas::Clocks(11));
        assert_eq!(found(&[even.clone(), both]), CommonCas::Clocks(12));
        assert_eq!(found(&[odd, even]), CommonCas::Impossible(11));
    }

    #[test]
    fn without_timing_only_the_label_at_its_own_rate_tells() {
        let label = |clocks, rate| ModuleFacts {
            cas_latency: Some(clocks),
            rate: Some(Mts(rate)),
            ..ModuleFacts::default()
        };
        let found = |rate, modules: &[ModuleFacts]| cas(Generation::Ddr3, rate, modules);
        let (slow, fast) = (label(11, 1600), label(10, 1600));
        assert_eq!(
            found(1600, &[slow.clone(), fast.clone()]),
            CommonCas::Clocks(11)
        );
        assert_eq!(found(1333, &[slow, fast.clone()]), CommonCas::Unknown);
        assert_eq!(
            found(1600, &[fast.clone(), ModuleFacts::default()]),
            CommonCas::Unknown
        );
        assert_eq!(found(1600, &[label(9, 1333), fast]), CommonCas::Unknown);
    }

    #[test]
    fn what_is_impossible_stays_so_whatever_is_not_told() {
        let [odd, even] = [[11, 13], [12, 14]].map(|list| timed(13_750, 1250, list));
        let found = cas(Generation::Ddr3, 1600, &[odd, even, ModuleFacts::default()]);
        assert_eq!(found, CommonCas::Impossible(11));
    }

    #[test]
    fn a_rating_is_no_more_than_the_shortest_period_allows() {
        let rated = |rate: Option<u32>, kind| {
            let facts = ModuleFacts {
                rate: rate.map(Mts),
                kind: Some(kind),
                ..timed(13_750, 1500, 5..=11)
            };
            Module::checked(facts).unwrap().rating()
        };
        assert_eq!(rated(Some(1600), Kind::Rdimm), Some(Mts(1333)));
        assert_eq!(rated(Some(1066), Kind::Rdimm), Some(Mts(1066)));
        assert_eq!(rated(None, Kind::Rdimm), Some(Mts(1333)));
        assert_eq!(rated(Some(8800), Kind::Mrdimm), Some(Mts(8800)));
        assert_eq!(rated(None, Kind::Mrdimm), None);
    }

    #[test]
    fn the_first_word_takes_the_latency_of_its_clock() {
        // CL × 2000 ÷ rate ns: 22 at 3200 and 11 at 1600 are both 13.75 ns, 9 at 1333 is 13.5 ns.
        for (clocks, rate, ps) in [
            (22, 3200, 13_750),
            (11, 1600, 13_750),
            (9, 1333, 13_500),
            (40, 4800, 16_667),
        ] {
            assert_eq!(Clock::of(Mts(rate)).time_of(clocks), Picoseconds(ps));
        }
    }

    proptest! {
        #[test]
        fn another_module_never_lowers_the_latency(
            taa in prop::collection::vec(10_000u32..16_000, 2..5),
            rate in prop::sample::select(vec![1066u32, 1333, 1600]),
        ) {
            let modules: Vec<ModuleFacts> = taa.iter().map(|taa| timed(*taa, 1250, 5..=16)).collect();
            let (all, one) = (
                cas(Generation::Ddr3, rate, &modules),
                cas(Generation::Ddr3, rate, &modules[..1]),
            );
            let (CommonCas::Clocks(all), CommonCas::Clocks(one)) = (all, one) else {
                return Err(TestCaseError::fail("both exist"));
            };
            prop_assert!(all >= one);
        }
    }
}
