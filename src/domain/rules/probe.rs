//! One check asked by itself at one place, for taking an answer apart.

use super::super::board::ChannelIx;
use super::super::finding::{Finding, Severity, State};
use super::super::request::PartIx;
use super::{BoardView, Check, Hits, PartView, RULES, index_of};

/// A check of a rule and the place that it looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Site {
    rule: usize,
    check: usize,
    /// Where.
    pub place: Place,
}

/// What a check looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// One module, whatever its slot.
    Part(PartIx),
    /// All modules, whatever their slots.
    Kit,
    /// One channel.
    Channel(ChannelIx),
    /// One socket, counted from 1.
    Socket(u8),
    /// The whole board.
    Board,
}

/// The first check and place that a finding comes from; alike channels and sockets share a finding.
pub fn site(finding: &Finding, view: &BoardView<'_>) -> Option<Site> {
    let rule = index_of(finding.rule.id)?;
    let mut sites = finding
        .rule
        .checks
        .iter()
        .enumerate()
        .flat_map(|(index, check)| {
            let site = move |place| Site {
                rule,
                check: index,
                place,
            };
            places(check, finding, view).into_iter().map(site)
        });
    sites.find(|site| {
        let found = ask(*site, view);
        found
            .iter()
            .any(|own| own.params == finding.params && is_as_bad(own, finding.severity))
    })
}

fn places(check: &Check, finding: &Finding, view: &BoardView<'_>) -> Vec<Place> {
    match check {
        Check::Part(_) => view
            .setup
            .seated()
            .iter()
            .map(|p| Place::Part(*p))
            .collect(),
        Check::Kit(_) => vec![Place::Kit],
        Check::Channel(_) => finding
            .channels
            .iter()
            .map(|c| Place::Channel(*c))
            .collect(),
        Check::SocketLoad(_) | Check::Socket(_) => {
            finding.sockets.iter().map(|s| Place::Socket(*s)).collect()
        }
        Check::Board(_) => vec![Place::Board],
    }
}

/// Whether the rule is broken at its place, and no milder than this.
pub fn is_broken(site: Site, severity: Severity, view: &BoardView<'_>) -> bool {
    ask(site, view)
        .iter()
        .any(|found| is_as_bad(found, severity))
}

fn is_as_bad(found: &Finding, severity: Severity) -> bool {
    found.state == State::Broken && found.severity <= severity
}

fn ask(site: Site, view: &BoardView<'_>) -> Vec<Finding> {
    let Some(rule) = RULES.get(site.rule) else {
        return Vec::new();
    };
    let mut hits = Hits::collecting();
    hits.begin(site.rule, rule, view.setup.board);
    match (rule.checks.get(site.check), site.place) {
        (Some(Check::Part(check)), Place::Part(part)) => {
            if let Some(part) = PartView::new(view.setup, part) {
                check(&part, &mut hits);
            }
        }
        (Some(Check::Kit(check)), _) => check(view.setup, &mut hits),
        (Some(Check::Channel(check)), Place::Channel(channel)) => {
            let mut all = view.channels();
            let own = all.find(|own| own.channel == channel && own.stack.count() > 0);
            if let Some(own) = own {
                hits.at_channel(&own);
                check(&own, &mut hits);
            }
        }
        (Some(Check::Socket(check) | Check::SocketLoad(check)), Place::Socket(number)) => {
            if let Some(own) = view.sockets().find(|own| own.socket == number) {
                hits.at_socket(number);
                check(&own, &mut hits);
            }
        }
        (Some(Check::Board(check)), _) => check(view, &mut hits),
        _ => {}
    }
    hits.into_findings()
}
