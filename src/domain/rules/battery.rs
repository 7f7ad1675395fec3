//! The rules sorted by scope, for the search: each scope is judged as soon as it is filled.

use super::super::board::Board;
use super::super::finding::Severity;
use super::super::setup::Setup;
use super::{BoardView, ChannelView, Check, Hits, PartView, RULES, SocketView, is_free_of_modules};

/// How a filled scope fares with the rules that can block.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Nothing blocks.
    Clear,
    /// Nothing is broken, but something that could block is undecided.
    Open,
    /// Something blocks.
    Blocked,
}

/// A set of rules by index into [`RULES`]: one bit for each.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct RuleSet(u128);

impl RuleSet {
    /// No rule.
    pub const fn none() -> Self {
        Self(0)
    }

    /// Every rule.
    pub fn all() -> Self {
        Self::of(0..RULES.len())
    }

    /// These rules.
    pub fn of(rules: impl IntoIterator<Item = usize>) -> Self {
        let mut set = Self::none();
        rules.into_iter().for_each(|rule| set.add(rule));
        set
    }

    /// The rule with this id, if there is one.
    pub fn named(id: &str) -> Self {
        Self::of(super::index_of(id))
    }

    /// Adds a rule.
    pub const fn add(&mut self, rule: usize) {
        self.0 |= Self::bit(rule);
    }

    /// The same without a rule.
    #[must_use]
    pub const fn without(self, rule: usize) -> Self {
        Self(self.0 & !Self::bit(rule))
    }

    /// The rules of both.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// All rules but these.
    #[must_use]
    pub fn complement(self) -> Self {
        Self(Self::all().0 & !self.0)
    }

    /// Whether a rule is in it.
    pub const fn has(&self, rule: usize) -> bool {
        self.0 & Self::bit(rule) != 0
    }

    /// Whether no rule is in it.
    pub const fn is_empty(&self) -> bool {
        self.0 == 0
    }

    /// How many rules are in it.
    pub const fn count(&self) -> u32 {
        self.0.count_ones()
    }

    /// The rules in it, in order.
    pub fn iter(self) -> impl DoubleEndedIterator<Item = usize> {
        (0..RULES.len()).filter(move |rule| self.has(*rule))
    }

    /// A test holds the list of rules to the number of bits.
    const fn bit(rule: usize) -> u128 {
        if rule < 128 { 1 << rule } else { 0 }
    }
}

/// One check with its rule and the severity that the board gives it.
struct Armed<F> {
    rule: usize,
    severity: Severity,
    check: F,
}

impl<F> Armed<F> {
    const fn of(rule: usize, severity: Severity, check: F) -> Self {
        Self {
            rule,
            severity,
            check,
        }
    }
}

type Checker<V> = fn(&V, &mut Hits);
type PartCheck = fn(&PartView<'_>, &mut Hits);
type KitCheck = fn(&Setup<'_>, &mut Hits);
type ChannelCheck = fn(&ChannelView<'_>, &mut Hits);
type SocketCheck = fn(&SocketView<'_>, &mut Hits);
type BoardCheck = fn(&BoardView<'_>, &mut Hits);

/// What a battery is asked about.
#[derive(Clone, Copy)]
pub enum Matter<'v, 'a> {
    /// One module, whatever else there is.
    Part(&'v PartView<'a>),
    /// The modules and the kit, whatever their slots.
    Kit(&'v Setup<'a>),
    /// A channel that holds at least one module.
    Channel(&'v ChannelView<'a>),
    /// What is on a socket, whatever the slots.
    Load(&'v SocketView<'a>),
    /// A socket, beyond what is on it.
    Socket(&'v SocketView<'a>),
    /// The whole board, beyond its channels and sockets.
    Board(&'v BoardView<'a>),
}

/// Room for the checks of one scope, so that the lists need not grow.
const MOST: usize = 32;

/// All checks of a board by scope, without those of ignored rules.
pub struct Battery {
    parts: Vec<Armed<PartCheck>>,
    kits: Vec<Armed<KitCheck>>,
    channels: Vec<Armed<ChannelCheck>>,
    loads: Vec<Armed<SocketCheck>>,
    sockets: Vec<Armed<SocketCheck>>,
    boards: Vec<Armed<BoardCheck>>,
}

impl Battery {
    /// Whether a rule of sockets blocks what breaks it.
    pub fn blocks(&self, rule: usize) -> bool {
        let own =
            |armed: &Armed<SocketCheck>| armed.rule == rule && armed.severity == Severity::Blocker;
        self.sockets.iter().any(own)
    }

    /// The checks of a board.
    pub fn new(board: &Board, ignored: &RuleSet) -> Self {
        let mut battery = Self {
            parts: Vec::with_capacity(MOST),
            kits: Vec::with_capacity(MOST),
            channels: Vec::with_capacity(MOST),
            loads: Vec::with_capacity(MOST),
            sockets: Vec::with_capacity(MOST),
            boards: Vec::with_capacity(MOST),
        };
        for (rule, record) in RULES
            .iter()
            .enumerate()
            .filter(|(index, _)| !ignored.has(*index))
        {
            let severity = board.severity_override(rule).unwrap_or(record.severity);
            if severity != Severity::Blocker && record.group.keeps_severity() {
                continue;
            }
            for check in record.checks {
                match *check {
                    Check::Part(check) => battery.parts.push(Armed::of(rule, severity, check)),
                    Check::Kit(check) => battery.kits.push(Armed::of(rule, severity, check)),
                    Check::Channel(check) => {
                        battery.channels.push(Armed::of(rule, severity, check))
                    }
                    Check::SocketLoad(check) => {
                        battery.loads.push(Armed::of(rule, severity, check))
                    }
                    Check::Socket(check) => battery.sockets.push(Armed::of(rule, severity, check)),
                    Check::Board(check) => battery.boards.push(Armed::of(rule, severity, check)),
                }
            }
        }
        battery
    }

    /// Judges the modules and the kit, whatever their slots.
    pub fn kit(&self, setup: &Setup<'_>, blamed: &mut RuleSet) -> Standing {
        let parts = setup
            .seated()
            .iter()
            .filter_map(|part| PartView::new(setup, *part));
        let worst = parts
            .map(|part| self.part(&part, blamed))
            .max()
            .unwrap_or(Standing::Clear);
        worst.max(judge(&self.kits, setup, blamed))
    }

    /// Judges the board, its processors and the protection by the rules that say the same whatever
    /// modules there are.
    pub fn whatever_modules(&self, setup: &Setup<'_>, blamed: &mut RuleSet) -> Standing {
        let free = |armed: &&[Armed<KitCheck>]| {
            let rules = armed.iter().filter_map(|armed| RULES.get(armed.rule));
            rules.into_iter().all(|rule| is_free_of_modules(rule.id))
        };
        let asked = self.kits.chunks(1).filter(free);
        let asked = asked.map(|armed| judge(armed, setup, blamed));
        asked.max().unwrap_or(Standing::Clear)
    }

    /// Judges one module, whatever else there is.
    pub fn part(&self, view: &PartView<'_>, blamed: &mut RuleSet) -> Standing {
        judge(&self.parts, view, blamed)
    }

    /// Judges a channel that holds at least one module.
    pub fn channel(&self, view: &ChannelView<'_>, blamed: &mut RuleSet) -> Standing {
        judge(&self.channels, view, blamed)
    }

    /// Judges what is on a socket, whatever the slots.
    pub fn load(&self, view: &SocketView<'_>, blamed: &mut RuleSet) -> Standing {
        judge(&self.loads, view, blamed)
    }

    /// Judges a socket, beyond what is on it.
    pub fn socket(&self, view: &SocketView<'_>, blamed: &mut RuleSet) -> Standing {
        judge(&self.sockets, view, blamed)
    }

    /// Judges a scope.
    pub fn ask(&self, scope: Matter<'_, '_>) -> Standing {
        let blamed = &mut RuleSet::none();
        match scope {
            Matter::Part(view) => self.part(view, blamed),
            Matter::Kit(setup) => self.kit(setup, blamed),
            Matter::Channel(view) => self.channel(view, blamed),
            Matter::Load(view) => self.load(view, blamed),
            Matter::Socket(view) => self.socket(view, blamed),
            Matter::Board(view) => self.board(view, blamed),
        }
    }

    /// The rules that leave a scope open.
    pub fn open(&self, scope: Matter<'_, '_>) -> RuleSet {
        match scope {
            Matter::Part(view) => open(&self.parts, view),
            Matter::Kit(setup) => {
                let parts = setup.seated().iter();
                let parts = parts.filter_map(|part| PartView::new(setup, *part));
                let each = parts.map(|part| open(&self.parts, &part));
                each.fold(open(&self.kits, setup), RuleSet::and)
            }
            Matter::Channel(view) => open(&self.channels, view),
            Matter::Load(view) => open(&self.loads, view),
            Matter::Socket(view) => open(&self.sockets, view),
            Matter::Board(view) => open(&self.boards, view),
        }
    }

    /// Judges one group of channels that a protection joins, with all else of its socket empty.
    pub fn group(&self, view: &SocketView<'_>, blamed: &mut RuleSet) -> Standing {
        let groups = super::index_of("protection-groups-differ");
        let own = self
            .sockets
            .iter()
            .position(|armed| Some(armed.rule) == groups);
        let own = own.and_then(|index| self.sockets.get(index..=index));
        judge(own.unwrap_or(&[]), view, blamed)
    }

    /// Judges the whole board, beyond its channels and sockets.
    pub fn board(&self, view: &BoardView<'_>, blamed: &mut RuleSet) -> Standing {
        judge(&self.boards, view, blamed)
    }
}

/// The rules that a missing fact leaves open.
fn open<V>(checks: &[Armed<Checker<V>>], view: &V) -> RuleSet {
    let mut found = RuleSet::none();
    for armed in checks {
        let mut hits = Hits::counting();
        hits.arm(armed.severity);
        (armed.check)(view, &mut hits);
        if hits.open > 0 {
            found.add(armed.rule);
        }
    }
    found
}

/// Runs every check, so that all rules to blame are known.
fn judge<V>(checks: &[Armed<Checker<V>>], view: &V, blamed: &mut RuleSet) -> Standing {
    let mut hits = Hits::counting();
    for armed in checks {
        let before = hits.blocked;
        hits.arm(armed.severity);
        (armed.check)(view, &mut hits);
        if hits.blocked > before {
            blamed.add(armed.rule);
        }
    }
    match (hits.blocked, hits.open) {
        (0, 0) => Standing::Clear,
        (0, _) => Standing::Open,
        _ => Standing::Blocked,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_has_a_bit() {
        assert_eq!(RuleSet::all().count() as usize, RULES.len());
        assert!(RuleSet::none().complement() == RuleSet::all());
    }
}
