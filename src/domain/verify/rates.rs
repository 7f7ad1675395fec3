//! The rate at which modules run: below the plan with a named cause where the report shows one, or
//! above it.

use super::super::board::{ChannelIx, SlotIx};
use super::super::finding::Value;
use super::super::outcome::{Group, Outcome, group};
use super::super::units::Mts;
use super::compare::same_rate;
use super::found::FoundModule;
use super::kinds::{self, Kind};
use super::{Comparison, Finding};
use std::collections::{BTreeMap, BTreeSet};

/// A channel, or the whole board where the report does not tell the channel of its modules.
#[derive(Clone, Copy)]
struct Running {
    channel: Option<ChannelIx>,
    planned: Mts,
    found: Mts,
}

impl Comparison<'_> {
    /// Findings on rates; `before` are the findings that may explain them.
    pub(super) fn rates(&self, before: &[Finding]) -> Vec<Finding> {
        let Some(planned) = self.plan.outcome.rate else {
            return Vec::new();
        };
        if self.found.running().is_none() {
            // Where nothing is seen there is nothing to run.
            let seen = self.found.count() > 0;
            return Vec::from_iter(seen.then(|| not_told(planned)));
        }
        let running = self.running();
        let low: Vec<Running> = running
            .iter()
            .copied()
            .filter(|own| own.found < own.planned && !same_rate(own.found, own.planned))
            .collect();
        let mut findings = self.above(&running);
        if !low.is_empty() {
            findings.push(self.below(&low, before));
        }
        findings.extend(self.silent(planned));
        findings
    }

    /// Modules of which it is not told how fast they run, where no other of the group tells it that runs
    /// at one clock with them. `whole` is the rate of the whole plan.
    fn silent(&self, whole: Mts) -> Vec<Finding> {
        let told: BTreeSet<Group> = self
            .found
            .modules()
            .filter(|(_, module)| module.running.is_some())
            .filter_map(|(index, _)| self.group(index))
            .collect();
        let mut silent: BTreeMap<Mts, Finding> = BTreeMap::new();
        for (index, module) in self.found.modules() {
            let known = self.group(index).is_some_and(|own| told.contains(&own));
            if known || module.running.is_some() || module.facts.switched_off {
                continue;
            }
            let channel = self.channel(index);
            let planned = channel.and_then(|own| self.planned_rate(own));
            let planned = planned.unwrap_or(whole);
            let finding = silent.entry(planned).or_insert_with(|| not_told(planned));
            finding.channels.extend(channel);
            finding.found.push(index);
        }
        let sorted = |mut finding: Finding| {
            finding.channels.sort_unstable();
            finding.channels.dedup();
            finding
        };
        silent.into_values().map(sorted).collect()
    }

    /// The group of channels that a module of the report is on, if it can be on one only.
    fn group(&self, index: usize) -> Option<Group> {
        let board = self.plan.board;
        let spots = &self.found.slots.get(index)?.spots;
        let mut groups = spots.iter().map(|s| group(board, board.channel_of(*s)));
        let first = groups.next()?;
        groups.all(|next| next == first).then_some(first)
    }

    /// The channel that it is on, if it can be on one only.
    fn channel(&self, index: usize) -> Option<ChannelIx> {
        let board = self.plan.board;
        let spots = &self.found.slots.get(index)?.spots;
        let mut channels = spots.iter().map(|s| board.channel_of(*s));
        let first = channels.next()?;
        channels.all(|next| next == first).then_some(first)
    }

    /// What each channel with modules should run at and does. Modules that may sit on several channels
    /// count for the slowest of these.
    fn running(&self) -> Vec<Running> {
        let mut all: Vec<Running> = Vec::new();
        for (index, module) in self.found.modules() {
            let Some(found) = module.running else {
                continue;
            };
            let channel = self.channel(index);
            let planned = channel.and_then(|channel| self.planned_rate(channel));
            let Some(planned) = planned.or(self.plan.outcome.rate) else {
                continue;
            };
            match all.iter_mut().find(|own| own.channel == channel) {
                Some(own) => own.found = own.found.min(found),
                None => all.push(Running {
                    channel,
                    planned,
                    found,
                }),
            }
        }
        all.sort_by_key(|own| own.channel);
        all
    }

    fn planned_rate(&self, channel: ChannelIx) -> Option<Mts> {
        let channels = self.plan.outcome.channels.iter();
        let mut own = channels.filter(|own| own.channel == channel);
        own.next().and_then(|own| own.rate)
    }

    /// The rate of a channel with found modules that are alike in place of the planned ones, which may be
    /// made for a higher one.
    fn refitted_rate(&self, channel: Option<ChannelIx>) -> Option<Mts> {
        let of = |outcome: &Outcome| match channel {
            None => outcome.rate,
            Some(channel) => {
                let mut own = outcome.channels.iter().filter(|own| own.channel == channel);
                own.next().and_then(|own| own.rate)
            }
        };
        self.refitted.iter().filter_map(of).max()
    }

    /// Channels that run faster than modules, processor and the board's record allow, with any
    /// processor that is left open.
    fn above(&self, running: &[Running]) -> Vec<Finding> {
        let best = self.plan.rate_at_best;
        let ceiling = |own: &Running| {
            let refitted = self.refitted_rate(own.channel);
            let others = best.into_iter().chain(refitted);
            others.fold(own.planned, Mts::max)
        };
        let high: Vec<&Running> = running
            .iter()
            .filter(|own| own.found > ceiling(own) && !same_rate(own.found, ceiling(own)))
            .collect();
        let Some(fastest) = high.iter().max_by_key(|own| own.found) else {
            return Vec::new();
        };
        let finding = Finding::new(&kinds::RATE_ABOVE)
            .param("planned", Value::Rate(ceiling(fastest)))
            .param("found", Value::Rate(fastest.found));
        vec![Finding {
            channels: high.iter().filter_map(|own| own.channel).collect(),
            ..finding
        }]
    }

    /// One finding for all slow channels, with the cause that the report shows.
    fn below(&self, low: &[Running], before: &[Finding]) -> Finding {
        let slowest = low.iter().min_by_key(|own| own.found);
        let planned = slowest.map_or(Mts(0), |own| own.planned);
        let found = slowest.map_or(Mts(0), |own| own.found);
        let slower = self.slower(planned);
        let crowded = self.crowded();
        let finding = match (slower.as_slice(), crowded.is_empty()) {
            ([first, ..], _) => {
                let module = self.found.module(*first);
                let name = module.map(|own| Value::Text(own.facts.name.clone()));
                let rate = module.and_then(FoundModule::rating).map(Value::Rate);
                let kind = Finding::new(&kinds::RATE_BY_MODULE);
                let kind = name.into_iter().fold(kind, |f, v| f.param("module", v));
                let kind = rate.into_iter().fold(kind, |f, v| f.param("rating", v));
                let of = |index: &usize| self.found.slots.get(*index).map(|own| &own.spots);
                let spots = slower.iter().filter_map(of);
                let known = spots.filter(|spots| spots.len() == 1).flatten().copied();
                kind.slots(known.collect::<Vec<SlotIx>>())
                    .found(slower.clone())
            }
            ([], false) => Finding {
                channels: crowded,
                ..Finding::new(&kinds::RATE_BY_COUNT)
            },
            ([], true) => Finding {
                channels: low.iter().filter_map(|own| own.channel).collect(),
                ..Finding::new(&kinds::RATE_BELOW)
            },
        };
        let finding = finding
            .param("planned", Value::Rate(planned))
            .param("found", Value::Rate(found));
        Finding {
            follows_from: causes(before, &finding),
            ..finding
        }
    }

    /// Modules that are made for less than the planned rate. A report may tell what they run at in place
    /// of that, as old firmware does: it counts where it is known to tell both, as for a comparison of
    /// the modules.
    fn slower(&self, planned: Mts) -> Vec<usize> {
        let own_rates = self.found.tells_own_rates();
        let is_slower = |rate: Mts| rate < planned && !same_rate(rate, planned);
        let slow = |own: &&FoundModule| own.rating().is_some_and(is_slower);
        let known = |own: &&FoundModule| own_rates || own.is_rated();
        self.found
            .modules()
            .filter(|(_, own)| known(own) && slow(own))
            .map(|(index, _)| index)
            .collect()
    }

    /// Channels that hold more modules than planned.
    fn crowded(&self) -> Vec<ChannelIx> {
        let board = self.plan.board;
        let crowded = |channel: &ChannelIx| {
            let of_channel = |spots: &[SlotIx]| {
                !spots.is_empty() && spots.iter().all(|s| board.channel_of(*s) == *channel)
            };
            let found = self
                .found
                .modules()
                .filter_map(|(index, _)| self.found.slots.get(index))
                .filter(|slot| of_channel(&slot.spots))
                .count();
            let planned = board
                .slots_of(*channel)
                .filter(|slot| self.plan.population.at(*slot).is_some());
            found > planned.count()
        };
        board.all_channels().filter(crowded).collect()
    }
}

fn not_told(planned: Mts) -> Finding {
    Finding::new(&kinds::RATE_NOT_TOLD).param("planned", Value::Rate(planned))
}

/// Kinds of findings that explain a low rate.
fn causes(before: &[Finding], rate: &Finding) -> Vec<&'static Kind> {
    let explains = |finding: &&Finding| {
        let kind = finding.kind;
        let seated = [
            &kinds::NOT_PLANNED,
            &kinds::OTHER_SLOT,
            &kinds::EXCHANGED,
            &kinds::OTHER_MODULE,
            &kinds::CAPACITY,
            &kinds::STATE_BEFORE,
            &kinds::OTHER_PROCESSOR,
        ];
        let touches = || finding.found.iter().any(|index| rate.found.contains(index));
        match *rate.kind == kinds::RATE_BY_MODULE {
            true => seated.contains(&kind) && touches(),
            false => seated.contains(&kind),
        }
    };
    let mut causes: Vec<&'static Kind> = before
        .iter()
        .filter(explains)
        .map(|finding| finding.kind)
        .collect();
    causes.dedup();
    causes
}
