//! What the caller wishes.

use crate::domain::request as core;
use crate::domain::units::{Mib, Milliwatts, Mts};

use super::super::request::{WishName, WishesEntry};
use super::Reader;

impl Reader<'_> {
    pub(super) fn wishes(&mut self, wishes: &WishesEntry) -> core::Wishes {
        let must = |name: WishName| {
            wishes
                .must
                .as_ref()
                .is_some_and(|list| list.contains(&name))
        };
        fn wish<T>(value: T, must: bool) -> core::Wish<T> {
            core::Wish { value, must }
        }
        let budget = wishes
            .budget
            .as_ref()
            .and_then(|budget| match budget.to_money() {
                Ok(money) => Some(wish(money, must(WishName::Budget))),
                Err(fault) => {
                    self.record_faults("/wishes/budget", vec![fault]);
                    None
                }
            });
        core::Wishes {
            capacity_at_least: wishes
                .capacity_at_least_mib
                .map(|mib| wish(Mib(mib), must(WishName::CapacityAtLeastMib))),
            capacity_at_most: wishes
                .capacity_at_most_mib
                .map(|mib| wish(Mib(mib), must(WishName::CapacityAtMostMib))),
            rate_at_least: wishes
                .rate_at_least_mts
                .map(|rate| wish(Mts(rate), must(WishName::RateAtLeastMts))),
            free_slots: wishes
                .free_slots
                .map(|count| wish(count, must(WishName::FreeSlots))),
            budget,
            power_at_most: wishes
                .peak_power_at_most_mw
                .map(|mw| wish(Milliwatts(mw), must(WishName::PeakPowerAtMostMw))),
            balance: wishes
                .balance
                .map(|balance| wish(balance.into(), must(WishName::Balance))),
            licence: wishes
                .licence_at_most_mib
                .map(|mib| wish(Mib(mib), must(WishName::LicenceAtMostMib))),
            chip_correction: wishes
                .chip_correction
                .filter(|wanted| *wanted)
                .map(|_| wish((), must(WishName::ChipCorrection))),
            rank_interleave: wishes
                .rank_interleave
                .filter(|wanted| *wanted)
                .map(|_| wish((), must(WishName::RankInterleave))),
        }
    }
}
