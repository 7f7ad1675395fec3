//! Installed and usable capacity, under each protection.

use super::super::board::policy::{Protection, ProtectionOffer};
use super::super::finding::{Fact, Missing};
use super::super::module::{Kind, Module};
use super::super::rules::ChannelView;
use super::super::units::Mib;
use super::Outcome;

pub(super) fn fill(views: &[ChannelView<'_>], outcome: &mut Outcome) {
    for on in views
        .iter()
        .flat_map(ChannelView::modules)
        .filter(|on| on.module.capacity.is_none())
    {
        outcome.missing.push(Missing::of(on.part, Fact::Capacity));
    }
    outcome.installed = outcome
        .channels
        .iter()
        .try_fold(Mib(0), |sum, c| Some(Mib(sum.0 + c.capacity?.0)));
    let Some(first) = views.first() else { return };
    let protection = first.setup.request.protection;
    let offer = first
        .board()
        .protections
        .iter()
        .find(|offer| offer.protection == protection);
    (outcome.usable, outcome.independent_channels) = match (protection, offer) {
        (Protection::None, _) => (sum(views, outcome, whole), working(outcome)),
        (Protection::RankSpare, _) => (sum(views, outcome, without_spare), working(outcome)),
        (Protection::Mirrored, Some(offer)) => grouped(views, outcome, offer, 2),
        (Protection::Lockstep, Some(offer)) => grouped(views, outcome, offer, 1),
        // Not offered: the rule says so, and there is nothing to compute.
        (Protection::Mirrored | Protection::Lockstep, None) => (None, 0),
    };
}

/// Populated channels that work.
fn working(outcome: &Outcome) -> u16 {
    outcome
        .channels
        .iter()
        .filter(|c| c.works == Some(true) && c.modules > 0)
        .count() as u16
}

/// Sums what each populated channel gives; memory that is not reached gives nothing.
fn sum(
    views: &[ChannelView<'_>],
    outcome: &Outcome,
    give: fn(&ChannelView<'_>) -> Option<Mib>,
) -> Option<Mib> {
    views
        .iter()
        .zip(&outcome.channels)
        .filter(|(view, _)| view.stack.count() > 0)
        .try_fold(Mib(0), |sum, (view, channel)| match channel.works? {
            true => Some(Mib(sum.0 + give(view)?.0)),
            false => Some(sum),
        })
}

fn whole(view: &ChannelView<'_>) -> Option<Mib> {
    super::channel_capacity(view)
}

/// The largest rank of the channel is held back (AGESA family 15h, mndct.c takes the largest).
fn without_spare(view: &ChannelView<'_>) -> Option<Mib> {
    let mut largest = Mib(0);
    for on in view.modules() {
        largest = largest.max(rank_size(on.module)?);
    }
    Some(Mib(whole(view)?.0.saturating_sub(largest.0)))
}

/// A rank is capacity ÷ logical ranks; the buffer of an LRDIMM shows package ranks.
pub fn rank_size(module: &Module) -> Option<Mib> {
    let ranks = match module.kind? {
        Kind::Lrdimm => module.package_ranks?,
        _ => module.logical_ranks()?,
    };
    module.capacity?.0.checked_div(u64::from(ranks)).map(Mib)
}

/// Channels of a group give as much as its smallest member each, divided by `copies`; channels of
/// no group, or of a group that is not wholly populated, are lost.
fn grouped(
    views: &[ChannelView<'_>],
    outcome: &Outcome,
    offer: &ProtectionOffer,
    copies: u64,
) -> (Option<Mib>, u16) {
    let Some(first) = views.first() else {
        return (Some(Mib(0)), 0);
    };
    let (board, setup) = (first.board(), first.setup);
    let (mut total, mut groups) = (Mib(0), 0);
    for socket in setup.fitted_sockets() {
        for group in &offer.groups {
            let members = group.iter().filter_map(|channel| {
                let index = usize::from(board.channel_at(socket, *channel).0);
                outcome.channels.get(index)
            });
            let mut smallest: Option<u64> = None;
            for member in members {
                let Some(capacity) = member.capacity else {
                    return (None, 0);
                };
                let reached = if member.works == Some(true) {
                    capacity.0
                } else {
                    0
                };
                smallest = Some(smallest.map_or(reached, |least| least.min(reached)));
            }
            let smallest = smallest.unwrap_or(0);
            total.0 += smallest * group.len() as u64 / copies;
            groups += u16::from(smallest > 0);
        }
    }
    (Some(total), groups)
}
