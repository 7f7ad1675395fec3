//! The rules sorted by scope, for the search: each scope is judged as soon as it is filled.

use super::super::board::Board;
use super::super::finding::Severity;
use super::super::setup::Setup;
use super::{BoardView, ChannelView, Check, Hits, PartView, RULES, SocketView, is_free_of_modules};
use std::sync::Arc;

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
#[derive(Clone)]
struct Armed<F> {
    rule: usize,
    /// The rule alone.
    bit: RuleSet,
    severity: Severity,
    check: F,
}

impl<F> Armed<F> {
    const fn of(rule: usize, severity: Severity, check: F) -> Self {
        Self {
            rule,
            bit: RuleSet(RuleSet::bit(rule)),
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

/// The checks of a board by scope: those of its rules that can block. Sorted once for each board.
#[derive(Clone, Default)]
pub struct Checks {
    parts: Vec<Armed<PartCheck>>,
    kits: Vec<Armed<KitCheck>>,
    channels: Vec<Armed<ChannelCheck>>,
    loads: Vec<Armed<SocketCheck>>,
    sockets: Vec<Armed<SocketCheck>>,
    boards: Vec<Armed<BoardCheck>>,
}

impl std::fmt::Debug for Checks {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Checks")
    }
}

impl Checks {
    /// Of a board that gives some rules a severity of its own.
    pub fn of(own: impl Fn(usize) -> Option<Severity>) -> Self {
        let mut checks = Self::default();
        for (rule, record) in RULES.iter().enumerate() {
            let severity = own(rule).unwrap_or(record.severity);
            if severity != Severity::Blocker && record.group.keeps_severity() {
                continue;
            }
            for check in record.checks {
                match *check {
                    Check::Part(check) => checks.parts.push(Armed::of(rule, severity, check)),
                    Check::Kit(check) => checks.kits.push(Armed::of(rule, severity, check)),
                    Check::Channel(check) => checks.channels.push(Armed::of(rule, severity, check)),
                    Check::SocketLoad(check) => {
                        checks.loads.push(Armed::of(rule, severity, check));
                    }
                    Check::Socket(check) => checks.sockets.push(Armed::of(rule, severity, check)),
                    Check::Board(check) => checks.boards.push(Armed::of(rule, severity, check)),
                }
            }
        }
        checks
    }
}

/// All checks of a board by scope, without those of ignored rules.
pub struct Battery {
    checks: Arc<Checks>,
    ignored: RuleSet,
}

impl Battery {
    /// The checks of a board.
    pub fn new(board: &Board, ignored: &RuleSet) -> Self {
        Self {
            checks: Arc::clone(board.checks()),
            ignored: *ignored,
        }
    }

    /// Whether a rule of sockets blocks what breaks it.
    pub fn blocks(&self, rule: usize) -> bool {
        let own =
            |armed: &Armed<SocketCheck>| armed.rule == rule && armed.severity == Severity::Blocker;
        !self.ignored.has(rule) && self.checks.sockets.iter().any(own)
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
        worst.max(self.judge(&self.checks.kits, setup, blamed))
    }

    /// Judges the board, its processors and the protection by the rules that say the same whatever
    /// modules there are.
    pub fn whatever_modules(&self, setup: &Setup<'_>, blamed: &mut RuleSet) -> Standing {
        let free = |armed: &&[Armed<KitCheck>]| {
            let rules = armed.iter().filter_map(|armed| RULES.get(armed.rule));
            rules.into_iter().all(|rule| is_free_of_modules(rule.id))
        };
        let asked = self.checks.kits.chunks(1).filter(free);
        let asked = asked.map(|armed| self.judge(armed, setup, blamed));
        asked.max().unwrap_or(Standing::Clear)
    }

    /// Judges one module, whatever else there is.
    pub fn part(&self, view: &PartView<'_>, blamed: &mut RuleSet) -> Standing {
        self.judge(&self.checks.parts, view, blamed)
    }

    /// Judges a channel that holds at least one module.
    pub fn channel(&self, view: &ChannelView<'_>, blamed: &mut RuleSet) -> Standing {
        self.judge(&self.checks.channels, view, blamed)
    }

    /// Judges what is on a socket, whatever the slots.
    pub fn load(&self, view: &SocketView<'_>, blamed: &mut RuleSet) -> Standing {
        self.judge(&self.checks.loads, view, blamed)
    }

    /// Judges a socket, beyond what is on it.
    pub fn socket(&self, view: &SocketView<'_>, blamed: &mut RuleSet) -> Standing {
        self.judge(&self.checks.sockets, view, blamed)
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
            Matter::Part(view) => self.open_of(&self.checks.parts, view),
            Matter::Kit(setup) => {
                let parts = setup.seated().iter();
                let parts = parts.filter_map(|part| PartView::new(setup, *part));
                let each = parts.map(|part| self.open_of(&self.checks.parts, &part));
                each.fold(self.open_of(&self.checks.kits, setup), RuleSet::and)
            }
            Matter::Channel(view) => self.open_of(&self.checks.channels, view),
            Matter::Load(view) => self.open_of(&self.checks.loads, view),
            Matter::Socket(view) => self.open_of(&self.checks.sockets, view),
            Matter::Board(view) => self.open_of(&self.checks.boards, view),
        }
    }

    /// Judges one group of channels that a protection joins, with all else of its socket empty.
    pub fn group(&self, view: &SocketView<'_>, blamed: &mut RuleSet) -> Standing {
        let groups = super::index_of("protection-groups-differ");
        let sockets = &self.checks.sockets;
        let own = sockets.iter().position(|armed| Some(armed.rule) == groups);
        let own = own.and_then(|index| sockets.get(index..=index));
        self.judge(own.unwrap_or(&[]), view, blamed)
    }

    /// Judges the whole board, beyond its channels and sockets.
    pub fn board(&self, view: &BoardView<'_>, blamed: &mut RuleSet) -> Standing {
        self.judge(&self.checks.boards, view, blamed)
    }

    /// The rules that a missing fact leaves open.
    fn open_of<V>(&self, checks: &[Armed<Checker<V>>], view: &V) -> RuleSet {
        let mut found = RuleSet::none();
        for armed in self.minded(checks) {
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
    fn judge<V>(&self, checks: &[Armed<Checker<V>>], view: &V, blamed: &mut RuleSet) -> Standing {
        let mut hits = Hits::counting();
        for armed in self.minded(checks) {
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

    fn minded<'c, F>(&self, checks: &'c [Armed<F>]) -> impl Iterator<Item = &'c Armed<F>> {
        let ignored = self.ignored.0;
        checks
            .iter()
            .filter(move |armed| ignored & armed.bit.0 == 0)
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
