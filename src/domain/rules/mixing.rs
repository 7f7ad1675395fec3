//! What the mixing rules share: one aspect of the modules, judged in three scopes. Not a rule.
//!
//! A mix in a channel is also one in its socket and on the board, so the same mix may be against
//! several scopes' policies. It is reported once, in the widest scope whose policy is no milder than
//! those of the narrower ones; a milder policy of a wider scope is silent about a mix that a
//! narrower scope reports already. What concerns the whole board and nothing milder depends on the
//! modules alone, whatever their slots, and is judged before any of them is placed.

use super::super::board::policy::{Mix, MixPolicy};
use super::super::board::{Board, Limit, SlotIx};
use super::super::finding::{Fact, Fix, Missing, Severity, Value};
use super::super::module::Module;
use super::super::request::PartIx;
use super::super::setup::Setup;
use super::super::units::Mib;
use super::{BoardView, ChannelView, Draft, Hits, OnChannel, SocketView};

/// One aspect that modules may differ in.
pub(super) struct Aspect {
    /// The board's policy of it.
    pub policy: fn(&Board) -> MixPolicy,
    /// The least capacity of the modules that it is about.
    pub from: fn(&Board) -> Limit<Mib>,
    /// The module's fact.
    pub fact: Fact,
    /// What is compared.
    pub key: for<'m> fn(&'m Module) -> Key<'m>,
    /// How a sentence names it; asked only of modules whose fact is known.
    pub show: fn(&Module) -> Value,
    /// How bad a mix is that the maker advises against.
    pub discouraged: Severity,
}

/// What is compared of a module.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Key<'m> {
    /// A number, or anything that counts like one.
    Number(u64),
    /// A name.
    Text(&'m str),
    /// The aspect does not concern this module.
    Outside,
    /// Nobody told.
    Unknown,
}

impl Key<'_> {
    /// A number that may not be known.
    pub(super) fn number(value: Option<impl Into<u64>>) -> Self {
        value.map_or(Self::Unknown, |value| Self::Number(value.into()))
    }
}

/// The four checks of an aspect, one for each scope that a mix can be decided in.
macro_rules! mixing_checks {
    ($aspect:expr) => {
        &[
            Check::Kit(|setup, hits| super::mixing::kit(&$aspect, setup, hits)),
            Check::Channel(|view, hits| super::mixing::channel(&$aspect, view, hits)),
            Check::Socket(|view, hits| super::mixing::socket(&$aspect, view, hits)),
            Check::Board(|view, hits| super::mixing::board(&$aspect, view, hits)),
        ]
    };
}
pub(super) use mixing_checks;

impl Aspect {
    /// What is compared of a module that the board's policy is about, and whether it surely is.
    fn key_on<'m>(&self, board: &Board, module: &'m Module) -> (Key<'m>, bool) {
        match ((self.from)(board), module.capacity) {
            (Limit::Is(least), Some(capacity)) if capacity < least => (Key::Outside, true),
            (Limit::Is(_), None) => ((self.key)(module), false),
            _ => ((self.key)(module), true),
        }
    }

    /// The facts that keep its key from being known.
    fn untold(&self, board: &Board, one: &One<'_>) -> Vec<Missing> {
        let (key, sure) = self.key_on(board, one.module);
        let open = [(!sure, Fact::Capacity), (key == Key::Unknown, self.fact)];
        let open = open.into_iter().filter(|(open, _)| *open);
        open.map(|(_, fact)| Missing::of(one.part, fact)).collect()
    }
}

/// A module in the scope that is judged, with its slot where one is known.
#[derive(Clone, Copy)]
pub(super) struct One<'m> {
    /// Which module.
    pub part: PartIx,
    /// Its facts.
    pub module: &'m Module,
    /// Its slot.
    pub slot: Option<SlotIx>,
}

impl<'m> From<OnChannel<'m>> for One<'m> {
    fn from(on: OnChannel<'m>) -> Self {
        Self {
            part: on.part,
            module: on.module,
            slot: Some(on.slot),
        }
    }
}

/// Whether modules differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Mixture {
    /// Fewer than two modules that it concerns.
    Alone,
    /// They are alike.
    Alike,
    /// They may differ in what nobody told.
    Perhaps,
    /// They differ.
    Mixed,
}

/// How strict a policy is: an unknown one may turn out to forbid.
const fn strictness(mix: Mix) -> u8 {
    match mix {
        Mix::Allowed => 0,
        Mix::Discouraged => 1,
        Mix::Unknown => 2,
        Mix::Forbidden => 3,
    }
}

/// The strictness of a policy in a channel, a socket and on the board.
const fn levels(policy: MixPolicy) -> (u8, u8, u8) {
    (
        strictness(policy.channel),
        strictness(policy.socket),
        strictness(policy.board),
    )
}

/// Board-wide, where the board's policy is no milder than the others.
pub(super) fn kit(aspect: &Aspect, setup: &Setup<'_>, hits: &mut Hits) {
    let policy = (aspect.policy)(setup.board);
    let (channel, socket, board) = levels(policy);
    if board == 0 || board < channel.max(socket) {
        return;
    }
    let judged = Judged {
        aspect,
        setup,
        mix: policy.board,
        scope: "the board",
    };
    judged.report(all_parts(setup), hits);
}

/// In a channel, where its policy is stricter than the others.
pub(super) fn channel(aspect: &Aspect, view: &ChannelView<'_>, hits: &mut Hits) {
    let policy = (aspect.policy)(view.board());
    let (channel, socket, board) = levels(policy);
    if channel <= socket.max(board) {
        return;
    }
    let judged = Judged {
        aspect,
        setup: view.setup,
        mix: policy.channel,
        scope: "a channel",
    };
    judged.report(view.modules().map(One::from), hits);
}

/// In a socket, where its policy is stricter than the board's.
pub(super) fn socket(aspect: &Aspect, view: &SocketView<'_>, hits: &mut Hits) {
    let policy = (aspect.policy)(view.board());
    let (channel, socket, board) = levels(policy);
    if socket <= board {
        return;
    }
    let judged = Judged {
        aspect,
        setup: view.setup,
        mix: policy.socket,
        scope: "a socket",
    };
    let modules = view.modules().map(One::from);
    if channel > socket && judged.told_by(view.channels().map(|c| c.modules()), modules.clone()) {
        return;
    }
    judged.report(modules, hits);
}

/// Board-wide, where a narrower policy is stricter.
pub(super) fn board(aspect: &Aspect, view: &BoardView<'_>, hits: &mut Hits) {
    let policy = (aspect.policy)(view.board());
    let (channel, socket, board) = levels(policy);
    if board == 0 || board >= channel.max(socket) {
        return;
    }
    let judged = Judged {
        aspect,
        setup: view.setup,
        mix: policy.board,
        scope: "the board",
    };
    let modules = view.modules().map(One::from);
    let by_channel = channel > socket.max(board)
        && judged.told_by(view.channels().map(|c| c.modules()), modules.clone());
    let by_socket =
        socket > board && judged.told_by(view.sockets().map(|s| s.modules()), modules.clone());
    if !by_channel && !by_socket {
        judged.report(modules, hits);
    }
}

/// Every module that will sit on the board; of a part with several, two are enough to compare.
pub(super) fn all_parts<'a>(setup: &'a Setup<'_>) -> impl Iterator<Item = One<'a>> + Clone {
    setup.seated().iter().flat_map(|part| {
        let one = setup.request.part(*part).map(|module| One {
            part: *part,
            module,
            slot: None,
        });
        let copies = if setup.request.quantity(*part) > 1 {
            2
        } else {
            1
        };
        std::iter::repeat_n(one, copies).flatten()
    })
}

/// An aspect with the policy of one scope.
struct Judged<'a> {
    aspect: &'a Aspect,
    setup: &'a Setup<'a>,
    mix: Mix,
    scope: &'static str,
}

impl Judged<'_> {
    fn report<'m>(&self, modules: impl Iterator<Item = One<'m>> + Clone, hits: &mut Hits) {
        let mixture = self.mixture(modules.clone());
        let severity = match self.mix {
            Mix::Allowed => return,
            Mix::Discouraged => self.aspect.discouraged,
            Mix::Forbidden | Mix::Unknown => hits.severity(),
        };
        let about = (self.aspect.from)(self.setup.board);
        match (mixture, self.mix) {
            (Mixture::Alone, _) => {}
            (Mixture::Alike, _) => hits.met(),
            (Mixture::Mixed, _) if about == Limit::Unknown => {
                hits.undecided_as(severity, &[Missing::general(Fact::BoardLimit)]);
            }
            (Mixture::Mixed, Mix::Unknown) => {
                hits.undecided(&[Missing::general(Fact::BoardLimit)]);
            }
            (Mixture::Mixed, _) => hits.broken_as(severity, |draft| {
                describe(
                    self.aspect,
                    self.setup.board,
                    (self.scope, 1),
                    modules,
                    draft,
                )
            }),
            (Mixture::Perhaps, mix) => {
                let mut missing = self.missing(modules);
                if mix == Mix::Unknown || about == Limit::Unknown {
                    missing.push(Missing::general(Fact::BoardLimit));
                }
                hits.undecided_as(severity, &missing);
            }
        }
    }

    fn mixture<'m>(&self, modules: impl Iterator<Item = One<'m>>) -> Mixture {
        let (mut first, mut unknown): (Option<(Key<'m>, bool)>, _) = (None, None);
        let (mut count, mut perhaps) = (0u32, false);
        let mut before = None;
        for one in modules {
            // Another of a part whose key is known, as most are, only adds to the number.
            if before == Some(one.part) {
                count += 1;
                continue;
            }
            let (key, sure) = self.aspect.key_on(self.setup.board, one.module);
            match (key, first) {
                (Key::Outside, _) => continue,
                (Key::Unknown, _) => match unknown.replace(one.part) {
                    Some(other) if other == one.part => {
                        perhaps |= !self.setup.is_one_product(one.part);
                    }
                    Some(_) => perhaps = true,
                    None => {}
                },
                (known, Some((other, of_other))) if known != other => {
                    if sure && of_other {
                        return Mixture::Mixed;
                    }
                    perhaps = true;
                    if sure {
                        first = Some((known, sure));
                    }
                }
                (known, other) => {
                    first = Some((known, sure || other.is_some_and(|(_, sure)| sure)));
                }
            }
            before = (key != Key::Unknown).then_some(one.part);
            count += 1;
        }
        match (count, unknown.is_some(), first.is_some()) {
            (0 | 1, ..) => Mixture::Alone,
            (_, true, true) => Mixture::Perhaps,
            _ if perhaps => Mixture::Perhaps,
            _ => Mixture::Alike,
        }
    }

    /// Whether one of the narrower scopes reports a mix at least as certain as the wider one's.
    fn told_by<'m, I: Iterator<Item = OnChannel<'m>>>(
        &self,
        mut narrower: impl Iterator<Item = I>,
        wider: impl Iterator<Item = One<'m>>,
    ) -> bool {
        let mixture = self.mixture(wider);
        mixture >= Mixture::Perhaps
            && narrower.any(|modules| self.mixture(modules.map(One::from)) >= mixture)
    }

    fn missing<'m>(&self, modules: impl Iterator<Item = One<'m>>) -> Vec<Missing> {
        let board = self.setup.board;
        let of = |one: One<'m>| match self.aspect.key_on(board, one.module) {
            (Key::Outside, _) => Vec::new(),
            _ => self.aspect.untold(board, &one),
        };
        modules.flat_map(of).collect()
    }
}

/// Fills a finding: what was found, the scope with the most different values that it takes, and the
/// rarest module to exchange.
pub(super) fn describe<'m>(
    aspect: &Aspect,
    board: &Board,
    (scope, most): (&'static str, u8),
    modules: impl Iterator<Item = One<'m>> + Clone,
    draft: Draft,
) -> Draft {
    let values = values(aspect, board, modules.clone());
    let found = values.iter().map(|value| (aspect.show)(value.module));
    let mut draft = draft
        .param("found", Value::List(found.collect()))
        .param("scope", Value::Word(scope))
        .param("most", Value::Count(u64::from(most)));
    for one in modules.filter(|one| aspect.key_on(board, one.module).0 != Key::Outside) {
        draft = draft.part(one.part).slots(one.slot);
    }
    // The commonest stays; of as many, the first.
    let common = values
        .iter()
        .max_by_key(|value| (value.count, usize::MAX - value.at));
    let odd = values
        .iter()
        .filter(|value| common.is_some_and(|common| common.key != value.key))
        .min_by_key(|value| (value.count, usize::MAX - value.at));
    match (common, odd) {
        (Some(common), Some(odd)) => draft.fix(Fix::ChooseOther {
            part: odd.part,
            needs: vec![(aspect.fact, (aspect.show)(common.module))],
        }),
        _ => draft,
    }
}

/// The different values, ascending.
fn values<'m>(
    aspect: &Aspect,
    board: &Board,
    modules: impl Iterator<Item = One<'m>>,
) -> Vec<Found<'m>> {
    let mut values: Vec<Found<'m>> = Vec::new();
    for (at, one) in modules.enumerate() {
        let (key, _) = aspect.key_on(board, one.module);
        if matches!(key, Key::Outside | Key::Unknown) {
            continue;
        }
        match values.iter_mut().find(|value| value.key == key) {
            Some(value) => value.count += 1,
            None => values.push(Found {
                key,
                part: one.part,
                module: one.module,
                count: 1,
                at,
            }),
        }
    }
    values.sort_by_key(|value| value.key);
    values
}

/// A value that was found.
struct Found<'m> {
    key: Key<'m>,
    part: PartIx,
    module: &'m Module,
    count: u32,
    at: usize,
}

#[cfg(test)]
mod tests {
    use super::super::widths_mixed::RULE;
    use crate::domain::board::policy::{Mix, MixPolicy};
    use crate::domain::finding::Severity;
    use crate::domain::module::{Generation, ModuleFacts, Width};
    use crate::domain::testing::{Case, Checked, board, rdimm};

    fn of_width(width: Option<Width>) -> ModuleFacts {
        ModuleFacts {
            width,
            die_density: None,
            ..rdimm(16, 2)
        }
    }

    fn x4() -> ModuleFacts {
        of_width(Some(Width::X4))
    }

    fn x8() -> ModuleFacts {
        of_width(Some(Width::X8))
    }

    /// 2 sockets (A, B and C, D) of 2 channels with 2 positions.
    fn under(channel: Mix, socket: Mix, all: Mix) -> Case {
        let mut board = board(Generation::Ddr3, 2, 2, 2);
        board.mixing.widths = MixPolicy {
            channel,
            socket,
            board: all,
        };
        Case::on(board)
    }

    fn severities(checked: &Checked) -> Vec<Severity> {
        let all = checked.findings.iter();
        all.filter(|f| f.rule.id == RULE.id)
            .map(|f| f.severity)
            .collect()
    }

    use Mix::{Allowed, Discouraged, Forbidden, Unknown};
    use Severity::{Blocker, Warning};

    #[test]
    fn a_mix_is_judged_by_the_policy_of_each_scope_that_holds_it() {
        // x4 in A1, x8 in the slot named.
        for (policy, slot, expected) in [
            ((Forbidden, Allowed, Allowed), "A2", vec![Blocker]),
            ((Forbidden, Allowed, Allowed), "B1", vec![]),
            ((Forbidden, Forbidden, Allowed), "B1", vec![Blocker]),
            ((Forbidden, Forbidden, Allowed), "C1", vec![]),
            ((Forbidden, Forbidden, Forbidden), "C1", vec![Blocker]),
            ((Forbidden, Discouraged, Allowed), "B1", vec![Warning]),
            ((Forbidden, Discouraged, Discouraged), "C1", vec![Warning]),
            ((Allowed, Allowed, Allowed), "A2", vec![]),
        ] {
            let case = under(policy.0, policy.1, policy.2);
            let checked = case.seat(x4(), &["A1"]).seat(x8(), &[slot]).check();
            assert_eq!(severities(&checked), expected, "{policy:?} {slot}");
        }
    }

    #[test]
    fn one_mix_is_reported_once_and_by_the_strictest_policy() {
        for policy in [
            (Forbidden, Forbidden, Forbidden),
            (Forbidden, Discouraged, Discouraged),
            (Forbidden, Forbidden, Discouraged),
            (Forbidden, Discouraged, Allowed),
            (Allowed, Allowed, Forbidden),
            (Discouraged, Forbidden, Discouraged),
        ] {
            let case = under(policy.0, policy.1, policy.2);
            let checked = case.seat(x4(), &["A1"]).seat(x8(), &["A2"]).check();
            assert_eq!(severities(&checked), [Blocker], "{policy:?}");
        }
    }

    #[test]
    fn an_unknown_policy_is_undecided_only_if_there_is_a_mix() {
        let case = || under(Unknown, Unknown, Unknown).seat(x4(), &["A1"]);
        let mixed = case().seat(x8(), &["C1"]).check();
        assert!(mixed.leaves_open(RULE.id));
        let alike = case().seat(x4(), &["C1"]).check();
        assert!(alike.silent(RULE.id));
    }

    #[test]
    fn an_untold_fact_is_undecided_only_where_a_mix_is_possible() {
        let case = || under(Forbidden, Allowed, Allowed).seat(x4(), &["A1"]);
        let same = case().seat(of_width(None), &["A2"]).check();
        assert!(same.leaves_open(RULE.id));
        let other = case().seat(of_width(None), &["B1"]).check();
        assert!(other.silent(RULE.id), "{:?}", other.findings);
        let advised = under(Discouraged, Allowed, Allowed)
            .seat(x4(), &["A1"])
            .seat(of_width(None), &["A2"]);
        let advised = advised.check();
        assert!(advised.leaves_open(RULE.id));
        assert_eq!(severities(&advised), [Warning]);
    }

    #[test]
    fn modules_without_a_part_number_may_differ_although_their_records_are_equal() {
        let nameless = ModuleFacts {
            part_number: None,
            ..of_width(None)
        };
        let everywhere = || under(Forbidden, Forbidden, Forbidden);
        let slots = everywhere().seat(nameless.clone(), &["A1", "A2"]).check();
        assert!(slots.leaves_open(RULE.id));
        // One line of a kit is one product, and so is one part number.
        let line = everywhere().kit(nameless, 2).check();
        assert!(line.silent(RULE.id));
        let named = everywhere().seat(of_width(None), &["A1", "A2"]).check();
        assert!(named.silent(RULE.id));
    }

    #[test]
    fn the_rarer_value_is_to_be_exchanged_for_the_commoner() {
        use crate::domain::finding::{Fact, Fix, Value};
        let checked = under(Forbidden, Forbidden, Forbidden)
            .seat(x4(), &["A1"])
            .seat(x8(), &["B1", "C1"])
            .check();
        let finding = checked.finding(RULE.id).expect("a finding");
        let needs = vec![(Fact::Width, Value::Word("x8"))];
        let part = crate::domain::request::PartIx(0);
        assert_eq!(finding.fixes[0].fix, Fix::ChooseOther { part, needs });
    }
}
