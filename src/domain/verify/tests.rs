//! Every kind of finding: what brings it about, and what does not.

use super::*;
use crate::domain::board::Board;
use crate::domain::board::policy::{Protection, Scope};
use crate::domain::board::{Limit, Processor};
use crate::domain::module::{Generation, HeightClass, Kind as ModuleKind, ModuleFacts, Width};
use crate::domain::request::{Request, SocketState, Wish};
use crate::domain::testing::{Case, board, module, offer_of, rdimm};
use crate::domain::units::{Mib, Mts};
use crate::domain::validate::validate;
use std::collections::BTreeSet;

/// A plan, and a report that shows exactly that until a test changes it.
struct Work {
    board: Board,
    request: Request,
    found: Found,
}

impl Work {
    /// Everything as planned: all slots of the board are listed, all facts told.
    fn of(case: Case) -> Self {
        let board = Board::checked(case.board).expect("a sound board");
        let request = case.request;
        let answer = validate(&board, &request).expect("an answer");
        let slots = (0..board.slots.len()).map(|slot| {
            let slot = SlotIx(slot as u16);
            let occupant = answer.population.at(slot);
            let facts = occupant.and_then(|own| request.part(own.part));
            let running = answer.outcome.channels.iter();
            let mut running = running.filter(|own| own.channel == board.channel_of(slot));
            FoundSlot {
                spots: vec![slot],
                holds: match facts {
                    None => Holds::Empty,
                    Some(facts) => seen(facts, running.next().and_then(|own| own.rate)),
                },
            }
        });
        let found = Found {
            slots: slots.collect(),
            fitted: None,
            models: Vec::new(),
            total: None,
            complete: true,
        };
        Self {
            board,
            request,
            found,
        }
    }

    /// One DDR3 socket with two channels of three positions, and 8 GiB RDIMM in these slots.
    fn small(labels: &[&str]) -> Self {
        Self::of(Case::on(board(Generation::Ddr3, 1, 2, 3)).seat(rdimm(8, 2), labels))
    }

    fn index(&self, label: &str) -> usize {
        usize::from(self.board.slot_named(label).expect("a slot").0)
    }

    fn set(mut self, label: &str, holds: Holds) -> Self {
        let index = self.index(label);
        self.found.slots[index].holds = holds;
        self
    }

    fn empty(self, label: &str) -> Self {
        self.set(label, Holds::Empty)
    }

    /// A module with other facts than planned; it runs as fast as the one that was there.
    fn change(mut self, label: &str, change: impl Fn(&mut FoundModule)) -> Self {
        let index = self.index(label);
        match &mut self.found.slots[index].holds {
            Holds::Module(module) => change(module),
            other => panic!("no module but {other:?}"),
        }
        self
    }

    /// What sits in these slots changes places.
    fn swap(mut self, one: &str, other: &str) -> Self {
        let (one, other) = (self.index(one), self.index(other));
        let holds = self.found.slots[one].holds.clone();
        self.found.slots[one].holds = self.found.slots[other].holds.clone();
        self.found.slots[other].holds = holds;
        self
    }

    /// Every module runs at this rate.
    fn running(mut self, rate: u32) -> Self {
        for slot in &mut self.found.slots {
            if let Holds::Module(module) = &mut slot.holds {
                module.running = Some(Mts(rate));
            }
        }
        self
    }

    /// The report does not list these slots.
    fn unlisted(mut self, is: impl Fn(&str) -> bool) -> Self {
        let board = &self.board;
        self.found
            .slots
            .retain(|slot| !is(board.label(slot.spots[0])));
        self
    }

    /// The report does not tell slots of a channel apart.
    fn blurred(mut self) -> Self {
        for slot in &mut self.found.slots {
            let channel = self.board.channel_of(slot.spots[0]);
            slot.spots = self.board.slots_of(channel).collect();
        }
        self
    }

    fn with(mut self, change: impl Fn(&mut Found)) -> Self {
        change(&mut self.found);
        self
    }

    fn compared(&self) -> Compared {
        let answer = validate(&self.board, &self.request).expect("an answer");
        let names: Vec<Vec<String>> = self
            .request
            .parts
            .iter()
            .map(|part| part.part_number.iter().cloned().collect())
            .collect();
        let plan = Plan {
            board: &self.board,
            request: &self.request,
            names: &names,
            population: &answer.population,
            outcome: &answer.outcome,
            rate_at_best: answer.outcome.rate,
        };
        verify(&plan, &self.found)
    }

    /// The kinds of findings in order, each with its slots; causes in brackets.
    fn told(&self) -> Vec<String> {
        let told = |finding: &Finding| {
            let slots = finding.slots.iter().map(|slot| self.board.label(*slot));
            let slots = slots.collect::<Vec<_>>().join(" ");
            let causes = finding
                .follows_from
                .iter()
                .map(|kind| format!(" <{}>", kind.id));
            format!("{} {slots}{}", finding.kind.id, causes.collect::<String>())
        };
        self.compared().findings.iter().map(told).collect()
    }

    fn finding(&self, id: &str) -> Finding {
        let findings = self.compared().findings;
        let mut own = findings.into_iter().filter(|finding| finding.kind.id == id);
        own.next()
            .unwrap_or_else(|| panic!("no {id} in {:?}", self.told()))
    }
}

fn seen(facts: &ModuleFacts, running: Option<Mts>) -> Holds {
    Holds::Module(Box::new(FoundModule {
        running,
        ..planned_module(facts)
    }))
}

fn planned_module(facts: &ModuleFacts) -> FoundModule {
    FoundModule {
        facts: facts.clone(),
        names: facts.part_number.iter().cloned().collect(),
        catalogue: None,
        running: None,
    }
}

fn param(finding: &Finding, name: &str) -> Value {
    let mut own = finding.params.iter().filter(|(own, _)| *own == name);
    own.next()
        .map(|(_, value)| value.clone())
        .expect("a parameter")
}

#[test]
fn agrees_where_everything_is_as_planned() {
    let work = Work::small(&["A1", "B1"]);
    let compared = work.compared();
    assert_eq!(work.told(), Vec::<String>::new());
    assert_eq!(compared.agreement, Agreement::Agrees);
    assert_eq!(compared.slots.len(), 2);
    assert!(
        compared
            .slots
            .iter()
            .all(|own| own.state == Agreement::Agrees)
    );
}

#[test]
fn names_a_module_that_is_not_seen_and_what_follows_from_it() {
    let work = Work::small(&["A1", "B1"]).empty("B1");
    assert_eq!(
        work.told(),
        [
            "module-not-seen B1",
            "capacity-below-plan  <module-not-seen>"
        ]
    );
    let finding = work.finding("module-not-seen");
    let steps: Vec<&str> = finding.steps().iter().map(|step| step.0).collect();
    assert_eq!(steps, ["reseat", "swap-slot", "swap-module"]);
    let sum = work.finding("capacity-below-plan");
    assert_eq!(param(&sum, "found"), Value::Capacity(Mib::gib(8)));
    assert_eq!(sum.steps(), [MEND_FIRST]);
}

#[test]
fn a_slot_that_a_whole_report_does_not_list_is_not_seen_and_one_of_half_a_report_is_open() {
    let work = Work::small(&["A1", "B1"]).unlisted(|label| label == "B1");
    assert_eq!(work.told()[0], "module-not-seen B1");
    let half = work.with(|found| found.complete = false);
    assert_eq!(half.told(), ["report-incomplete B1"]);
    assert_eq!(half.compared().agreement, Agreement::CannotTell);
}

#[test]
fn a_missing_channel_is_one_finding() {
    let work = Work::small(&["A1", "A2", "B1", "B2"])
        .empty("B1")
        .empty("B2");
    assert_eq!(
        work.told(),
        [
            "channel-not-seen B1 B2",
            "capacity-below-plan  <channel-not-seen>"
        ]
    );
}

#[test]
fn a_missing_socket_is_one_finding_and_names_its_processor_where_the_report_shows_none() {
    let case =
        Case::on(board(Generation::Ddr3, 2, 2, 1)).seat(rdimm(8, 2), &["A1", "B1", "C1", "D1"]);
    // Firmware does not even list the slots of a socket without a processor.
    let work = Work::of(case).unlisted(|label| label.starts_with(['C', 'D']));
    assert_eq!(work.told()[0], "socket-not-seen C1 D1");
    assert_eq!(work.finding("socket-not-seen").sockets, [2]);
    let bare = work.with(|found| found.fitted = Some(vec![true, false]));
    assert_eq!(bare.told()[0], "socket-without-processor C1 D1");
}

#[test]
fn a_processor_that_is_planned_and_not_seen_is_told_though_its_modules_are() {
    let sockets =
        |first, second| move |request: &mut Request| request.sockets = Some(vec![first, second]);
    let (told, untold) = (SocketState::Fitted(Some(0)), SocketState::Fitted(None));
    let case = || Case::on(board(Generation::Ddr3, 2, 1, 1)).seat(rdimm(8, 2), &["A1", "B1"]);
    let bare = |found: &mut Found| found.fitted = Some(vec![true, false]);
    for case in [
        case(),
        case().with(sockets(told, told)),
        case().with(sockets(untold, untold)),
    ] {
        let work = Work::of(case).with(bare);
        assert_eq!(work.told(), ["processor-not-seen "]);
        assert_eq!(work.finding("processor-not-seen").sockets, [2]);
        assert_eq!(work.compared().agreement, Agreement::Differs);
    }
    let one = |states| {
        let case = Case::on(board(Generation::Ddr3, 2, 1, 1)).seat(rdimm(8, 2), &["A1"]);
        Work::of(match states {
            None => case,
            Some((one, other)) => case.with(sockets(one, other)),
        })
    };
    // Without modules, it is planned where the plan says so.
    assert_eq!(
        one(Some((told, told))).with(bare).told(),
        ["processor-not-seen "]
    );
    let empty = one(Some((told, SocketState::Empty)));
    assert_eq!(empty.with(bare).told(), Vec::<String>::new());
    assert_eq!(one(None).with(bare).told(), Vec::<String>::new());
}

#[test]
fn another_processor_model_than_planned_is_told_and_explains_a_low_rate() {
    let mut facts = board(Generation::Ddr3, 1, 2, 1);
    let slow = Processor {
        id: "q".into(),
        name: "Q".into(),
        ..facts.processors[0].clone()
    };
    facts.processors.push(slow);
    let case = Case::on(facts).seat(rdimm(8, 2), &["A1", "B1"]);
    let work = Work::of(case.with(|request| {
        request.sockets = Some(vec![SocketState::Fitted(Some(0))]);
    }));
    let other = work.with(|found| found.models = vec![Some(1)]);
    assert_eq!(other.told(), ["other-processor "]);
    let finding = other.finding("other-processor");
    assert_eq!(param(&finding, "found"), Value::Text("Q".into()));
    let slow = other.running(1333);
    assert_eq!(
        slow.told(),
        ["other-processor ", "rate-below-plan  <other-processor>"]
    );
    let same = slow
        .running(1600)
        .with(|found| found.models = vec![Some(0)]);
    assert_eq!(same.told(), Vec::<String>::new());
    let untold = same.with(|found| found.models = vec![None]);
    assert_eq!(untold.told(), Vec::<String>::new());
}

#[test]
fn a_module_in_another_slot_is_moved_and_not_missing() {
    let work = Work::small(&["A1", "B1"]).swap("B1", "B3");
    assert_eq!(work.told(), ["module-in-other-slot B1 B3"]);
    let finding = work.finding("module-in-other-slot");
    assert_eq!(
        param(&finding, "from"),
        Value::OneOf(vec![Value::Text("B3".into())])
    );
    assert_eq!(
        param(&finding, "to"),
        Value::OneOf(vec![Value::Text("B1".into())])
    );
}

#[test]
fn two_modules_in_each_other_s_slots_are_exchanged() {
    let case = Case::on(board(Generation::Ddr3, 1, 2, 1))
        .seat(rdimm(8, 2), &["A1"])
        .seat(rdimm(16, 2), &["B1"]);
    let work = Work::of(case).swap("A1", "B1");
    assert_eq!(work.told(), ["modules-exchanged A1 B1"]);
}

#[test]
fn another_capacity_and_another_kind_are_told_apart() {
    let smaller = |module: &mut FoundModule| {
        module.facts.capacity = Some(Mib::gib(4));
        module.names = vec!["another".into()];
    };
    let work = Work::small(&["A1", "B1"]).change("A1", smaller);
    assert_eq!(
        work.told(),
        [
            "capacity-differs A1",
            "capacity-below-plan  <capacity-differs>"
        ]
    );
    let other = |module: &mut FoundModule| {
        smaller(module);
        module.facts.kind = Some(ModuleKind::Lrdimm);
        module.facts.package_ranks = Some(4);
    };
    let work = Work::small(&["A1", "B1"]).change("A1", other);
    assert_eq!(work.told()[0], "other-module A1");
    let finding = work.finding("other-module");
    let facts: Vec<Fact> = finding.differences.iter().map(|own| own.fact).collect();
    assert_eq!(facts, [Fact::Kind, Fact::Capacity, Fact::PackageRanks]);
}

#[test]
fn half_of_a_module_with_the_planned_part_number_is_a_part_of_it() {
    let half = |module: &mut FoundModule| {
        module.facts.capacity = Some(Mib::gib(4));
        module.facts.package_ranks = Some(1);
    };
    let work = Work::small(&["A1", "B1"]).change("A1", half);
    assert_eq!(work.told()[0], "part-of-module-not-seen A1");
    assert_eq!(
        work.finding("part-of-module-not-seen").steps()[0],
        Step("reseat")
    );
}

#[test]
fn a_module_that_cannot_be_read_is_neither_missing_nor_right() {
    let work = Work::small(&["A1", "B1"]).set("A1", Holds::Unreadable);
    assert_eq!(work.told(), ["module-unreadable A1"]);
}

#[test]
fn a_module_that_firmware_has_switched_off_is_not_as_planned() {
    let off = |module: &mut FoundModule| module.facts.switched_off = true;
    let work = Work::small(&["A1", "B1"]).change("B1", off);
    assert_eq!(work.told(), ["module-switched-off B1"]);
    let compared = work.compared();
    assert_eq!(compared.agreement, Agreement::Differs);
    let states: Vec<Agreement> = compared.slots.iter().map(|own| own.state).collect();
    assert_eq!(states, [Agreement::Agrees, Agreement::Differs]);
    let less = work.with(|found| {
        found.total = Some(Total {
            amount: Mib::gib(8),
            rough: false,
        });
    });
    assert_eq!(
        less.told(),
        [
            "module-switched-off B1",
            "memory-held-back  <module-switched-off>"
        ]
    );
    // One that was planned with as it is, is as planned.
    let known = ModuleFacts {
        switched_off: true,
        ..rdimm(8, 2)
    };
    let case = Case::on(board(Generation::Ddr3, 1, 2, 3)).installed(known, &["A1"]);
    assert_eq!(Work::of(case).told(), Vec::<String>::new());
}

#[test]
fn an_old_module_left_in_is_not_planned_and_explains_a_low_rate() {
    let old = seen(&rdimm(8, 2), Some(Mts(1333)));
    let work = Work::small(&["A1", "B1"]).running(1333).set("A2", old);
    assert_eq!(
        work.told(),
        [
            "module-not-planned A2",
            "rate-lowered-by-count  <module-not-planned>"
        ]
    );
    assert_eq!(work.compared().agreement, Agreement::Differs);
}

#[test]
fn a_slower_module_mixed_in_is_the_named_cause_of_a_low_rate() {
    let slow = |module: &mut FoundModule| {
        module.facts.rate = Some(Mts(1333));
        module.facts.part_number = Some("OLD".into());
        module.names = vec!["OLD".into()];
    };
    let work = Work::small(&["A1", "B1"]).running(1333).change("B1", slow);
    assert_eq!(
        work.told(),
        [
            "other-module B1",
            "rate-lowered-by-module B1 <other-module>",
        ]
    );
    let finding = work.finding("rate-lowered-by-module");
    assert_eq!(param(&finding, "rating"), Value::Rate(Mts(1333)));
    // Firmware that tells the running rate for all: whether the module is the planned one stays open.
    let old = work.change("A1", |module| module.facts.rate = Some(Mts(1333)));
    assert_eq!(old.told(), ["rate-below-plan ", "facts-not-told B1"]);
}

#[test]
fn a_rate_that_may_be_the_running_one_blames_no_module() {
    let slow = |module: &mut FoundModule| {
        other_number(module);
        module.facts.supply = rdimm(8, 2).supply;
        module.facts.rate = Some(Mts(1333));
        module.running = Some(Mts(1333));
    };
    let work = Work::small(&["A1", "B1"]).change("A1", slow);
    assert_eq!(work.told(), ["rate-below-plan ", "facts-not-told A1"]);
    let slower = ModuleFacts {
        rate: Some(Mts(1333)),
        ..rdimm(8, 2)
    };
    let known = work.change("A1", catalogued(slower));
    assert_eq!(
        known.told(),
        [
            "other-module A1",
            "rate-lowered-by-module A1 <other-module>"
        ]
    );
}

#[test]
fn a_low_rate_without_a_cause_in_the_report_asks_for_the_settings() {
    let work = Work::small(&["A1", "B1"]).running(1066);
    assert_eq!(work.told(), ["rate-below-plan "]);
    let finding = work.finding("rate-below-plan");
    assert_eq!(param(&finding, "planned"), Value::Rate(Mts(1600)));
    assert_eq!(param(&finding, "found"), Value::Rate(Mts(1066)));
    assert_eq!(finding.steps()[0], Step("set-rate-automatic"));
}

#[test]
fn old_firmware_that_tells_one_low_rate_for_all_blames_no_module() {
    let slow = |module: &mut FoundModule| module.facts.rate = Some(Mts(1066));
    let work = Work::small(&["A1", "B1"]).running(1066);
    let work = work.change("A1", slow).change("B1", slow);
    assert_eq!(work.told(), ["rate-below-plan "]);
}

#[test]
fn a_rate_within_rounding_agrees_and_a_higher_one_is_above_the_plan() {
    let case = |rate: u32| {
        let facts = ModuleFacts {
            rate: Some(Mts(2666)),
            ..module(Generation::Ddr4, ModuleKind::Rdimm, 16, 2)
        };
        Work::of(Case::on(board(Generation::Ddr4, 1, 2, 1)).seat(facts, &["A1", "B1"]))
            .running(rate)
    };
    assert_eq!(case(2667).told(), Vec::<String>::new());
    assert_eq!(case(2933).told(), ["rate-above-plan "]);
}

#[test]
fn a_faster_module_may_run_as_fast_as_the_board_lists_and_no_faster() {
    let slow = ModuleFacts {
        rate: Some(Mts(1333)),
        ..rdimm(8, 2)
    };
    let fitted = |rate| {
        let case = Case::on(board(Generation::Ddr3, 1, 2, 1)).seat(slow.clone(), &["A1", "B1"]);
        let work = Work::of(case).change("A1", catalogued(rdimm(8, 2)));
        work.change("B1", catalogued(rdimm(8, 2))).running(rate)
    };
    assert_eq!(fitted(1600).told(), ["module-faster-than-planned A1 B1"]);
    assert_eq!(fitted(1600).compared().agreement, Agreement::Agrees);
    assert_eq!(fitted(1333).told(), ["module-faster-than-planned A1 B1"]);
    let over = fitted(1866);
    assert_eq!(
        over.told(),
        ["rate-above-plan ", "module-faster-than-planned A1 B1"]
    );
    assert_eq!(
        param(&over.finding("rate-above-plan"), "planned"),
        Value::Rate(Mts(1600))
    );
    // Beside a slower one it may not.
    let one = fitted(1600).change("B1", |module| {
        *module = FoundModule {
            running: Some(Mts(1600)),
            ..planned_module(&slow)
        }
    });
    assert_eq!(one.told()[0], "rate-above-plan ");
}

#[test]
fn a_rate_that_nobody_tells_is_open() {
    let silent = |module: &mut FoundModule| module.running = None;
    let work = Work::small(&["A1"]).change("A1", silent);
    assert_eq!(work.told(), ["rate-not-told "]);
    assert_eq!(work.compared().agreement, Agreement::CannotTell);
}

#[test]
fn a_rate_tells_only_of_channels_that_level_with_its_own() {
    let case = |levelling| {
        let mut facts = board(Generation::Ddr3, 2, 2, 1);
        facts.levelling = levelling;
        let case = Case::on(facts).seat(rdimm(8, 2), &["A1", "B1", "C1", "D1"]);
        let silent = |module: &mut FoundModule| module.running = None;
        let work = Work::of(case).change("B1", silent);
        work.change("C1", silent).change("D1", silent)
    };
    let open = |levelling| {
        let work: Work = case(levelling);
        let findings = work.compared().findings;
        assert!(findings.iter().all(|own| own.kind.id == "rate-not-told"));
        let channels = findings.iter().flat_map(|own| own.channels.clone());
        let of = |channel| {
            let (socket, number) = work.board.address(channel);
            format!("{socket}.{number}")
        };
        channels.map(of).collect::<Vec<_>>()
    };
    assert_eq!(open(Scope::Board), Vec::<String>::new());
    assert_eq!(open(Scope::Socket), ["2.1", "2.2"]);
    assert_eq!(open(Scope::Channel), ["1.2", "2.1", "2.2"]);
    let socket = case(Scope::Socket).compared();
    assert_eq!(socket.agreement, Agreement::CannotTell);
}

#[test]
fn less_than_all_modules_hold_is_held_back() {
    let total = |gib: u64| {
        move |found: &mut Found| {
            found.total = Some(Total {
                amount: Mib::gib(gib),
                rough: false,
            });
        }
    };
    let work = || Work::small(&["A1", "B1", "A2", "B2"]);
    assert_eq!(work().with(total(16)).told(), ["memory-held-back "]);
    // Firmware keeps a little for itself.
    assert_eq!(work().with(total(30)).told(), Vec::<String>::new());
    // A missing module explains the sum, and no more than that.
    let missing = work().empty("B2").with(total(24));
    assert_eq!(missing.told().len(), 2, "{:?}", missing.told());
}

#[test]
fn more_than_all_modules_hold_is_open() {
    let total = |mib: u64| {
        move |found: &mut Found| {
            found.total = Some(Total {
                amount: Mib(mib),
                rough: false,
            });
        }
    };
    let work = || Work::small(&["A1", "B1"]);
    let twice = work().with(total(32 * 1024));
    assert_eq!(twice.told(), ["total-above-modules "]);
    assert_eq!(twice.compared().agreement, Agreement::CannotTell);
    // A hole below 4 GiB may be counted with it.
    assert_eq!(work().with(total(18 * 1024)).told(), Vec::<String>::new());
}

#[test]
fn a_planned_protection_that_is_not_on_is_noticed() {
    let mut facts = board(Generation::Ddr3, 1, 2, 1);
    facts.protections = vec![offer_of(Protection::Mirrored, &[&[1, 2]])];
    let case = Case::on(facts).seat(rdimm(8, 2), &["A1", "B1"]);
    let work = Work::of(case.with(|request| request.protection = Protection::Mirrored));
    assert_eq!(work.told(), ["total-not-told "]);
    let total = |gib: u64| Total {
        amount: Mib::gib(gib),
        rough: false,
    };
    let on = work.with(|found| found.total = Some(total(8)));
    assert_eq!(on.told(), Vec::<String>::new());
    let off = on.with(|found| found.total = Some(total(16)));
    assert_eq!(off.told(), ["protection-not-on "]);
}

#[test]
fn modules_of_an_unfitted_socket_are_not_reached() {
    let case = Case::on(board(Generation::Ddr3, 2, 1, 1))
        .seat(rdimm(8, 2), &["A1"])
        .with(|request| {
            request.sockets = Some(vec![SocketState::Fitted(None), SocketState::Empty])
        });
    let work = Work::of(case).set("B1", seen(&rdimm(8, 2), None));
    assert_eq!(work.told(), ["module-in-unfitted-socket B1"]);
}

#[test]
fn a_report_of_another_machine_is_one_finding() {
    let case = Case::on(board(Generation::Ddr4, 1, 2, 1)).seat(
        module(Generation::Ddr4, ModuleKind::Rdimm, 16, 2),
        &["A1", "B1"],
    );
    let other = |module: &mut FoundModule| module.facts.generation = Some(Generation::Ddr3);
    let work = Work::of(case).change("A1", other).change("B1", other);
    assert_eq!(work.told(), ["report-of-other-generation "]);
    let none = Work::small(&["A1", "B1"]).empty("A1").empty("B1");
    assert_eq!(none.told(), ["report-shows-no-module "]);
}

#[test]
fn a_report_from_before_the_work_is_the_cause_of_all_that_is_missing() {
    let case = Case::on(board(Generation::Ddr3, 1, 2, 3))
        .installed(rdimm(8, 2), &["A1", "B1"])
        .seat(rdimm(16, 2), &["A2", "B2"]);
    let work = Work::of(case).empty("A2").empty("B2");
    assert_eq!(
        work.told(),
        [
            "report-shows-state-before A2 B2",
            "module-not-seen A2 B2 <report-shows-state-before>",
            "capacity-below-plan  <module-not-seen> <report-shows-state-before>",
        ]
    );
}

#[test]
fn facts_that_are_not_told_are_open_unless_the_part_number_is_the_planned_one() {
    let bare = |module: &mut FoundModule| {
        module.facts.package_ranks = None;
        module.facts.kind = None;
    };
    let work = Work::small(&["A1"]).change("A1", bare);
    assert_eq!(work.told(), Vec::<String>::new());
    let work = work.change("A1", |module| module.names.clear());
    assert_eq!(work.told(), ["facts-not-told A1"]);
    assert_eq!(
        work.finding("facts-not-told").facts,
        [Fact::Kind, Fact::PackageRanks]
    );
    let other = Work::small(&["A1"]).change("A1", |module| module.names = vec!["X".into()]);
    assert_eq!(other.told(), ["other-part-number A1"]);
    assert_eq!(other.compared().agreement, Agreement::Agrees);
    let faster = other.change("A1", |module| module.facts.rate = Some(Mts(1866)));
    assert_eq!(faster.told(), ["module-faster-than-planned A1"]);
}

#[test]
fn the_planned_part_number_does_not_tell_how_much_of_the_module_is_seen() {
    let work = Work::small(&["A1", "B1"]).change("A1", |module| module.facts.capacity = None);
    assert_eq!(work.told(), ["facts-not-told A1"]);
    assert_eq!(work.finding("facts-not-told").facts, [Fact::Capacity]);
    assert_eq!(work.compared().agreement, Agreement::CannotTell);
}

/// A module that is as planned in all that a report tells, with another part number.
fn other_number(module: &mut FoundModule) {
    let part = Some("X".to_owned());
    module.names = vec!["X".into()];
    module.facts = ModuleFacts {
        name: "X".into(),
        part_number: part,
        width: None,
        stack_height: None,
        supply: None,
        height: None,
        peak_power: None,
        typical_power: None,
        ..module.facts.clone()
    };
}

/// The same, with what the catalogue knows of that number.
fn catalogued(known: ModuleFacts) -> impl Fn(&mut FoundModule) {
    move |module| {
        other_number(module);
        module.catalogue = Some(Box::new(ModuleFacts {
            part_number: Some("X".into()),
            ..known.clone()
        }));
    }
}

#[test]
fn another_width_that_the_part_number_stands_for_is_another_module() {
    let wide = ModuleFacts {
        width: Some(Width::X8),
        ..rdimm(8, 2)
    };
    let work = Work::small(&["A1", "B1"]).change("A1", catalogued(wide));
    assert_eq!(work.told(), ["other-module A1"]);
    let facts = work.finding("other-module").differences;
    assert_eq!(facts[0].fact, Fact::Width);
    assert_eq!(facts[0].found, Value::Word("x8"));
    let same = Work::small(&["A1", "B1"]).change("A1", catalogued(rdimm(8, 2)));
    assert_eq!(same.told(), ["other-part-number A1"]);
    assert_eq!(same.compared().agreement, Agreement::Agrees);
}

#[test]
fn a_width_that_nobody_tells_is_open_where_a_rule_needs_it() {
    let wished = |must| {
        let case = Case::on(board(Generation::Ddr3, 1, 2, 1)).seat(rdimm(8, 2), &["A1", "B1"]);
        let wish = Some(Wish { value: (), must });
        let work = Work::of(case.with(|request| request.wishes.chip_correction = wish));
        work.change("A1", |module| {
            other_number(module);
            module.facts.supply = rdimm(8, 2).supply;
        })
    };
    for must in [true, false] {
        let work = wished(must);
        assert_eq!(work.told(), ["facts-not-told A1"], "must: {must}");
        assert_eq!(work.finding("facts-not-told").facts, [Fact::Width]);
        assert_eq!(work.compared().agreement, Agreement::CannotTell);
    }
    // Without the wish no rule of this board looks at it.
    let mut free = wished(true);
    free.request.wishes.chip_correction = None;
    assert_eq!(free.told(), ["other-part-number A1"]);
}

#[test]
fn a_fact_of_the_catalogue_that_a_rule_refuses_is_a_difference() {
    let mut facts = board(Generation::Ddr3, 1, 2, 1);
    facts.height = Limit::Is(HeightClass::VeryLow);
    let low = ModuleFacts {
        height: Some(HeightClass::VeryLow),
        ..rdimm(8, 2)
    };
    let work = || Work::of(Case::on(facts.clone()).seat(low.clone(), &["A1", "B1"]));
    let taller = work().change("A1", catalogued(rdimm(8, 2)));
    assert_eq!(taller.told(), ["other-module A1"]);
    let finding = taller.finding("other-module");
    let height: Vec<Fact> = finding.differences.iter().map(|own| own.fact).collect();
    assert_eq!(height, [Fact::Height]);
    // Of an unknown number nobody tells the height.
    let open = work().change("A1", other_number);
    assert_eq!(open.told(), ["facts-not-told A1"]);
    assert!(open.finding("facts-not-told").facts.contains(&Fact::Height));
}

#[test]
fn slots_that_the_report_does_not_tell_apart_are_compared_as_a_whole() {
    let work = Work::small(&["A1", "B1"]).blurred();
    assert_eq!(work.told(), ["slots-not-told A1 A2 A3 B1 B2 B3"]);
    assert_eq!(work.compared().agreement, Agreement::CannotTell);
    let full = Work::small(&["A1", "A2", "A3"]).blurred();
    assert_eq!(
        full.told(),
        Vec::<String>::new(),
        "full channels leave no choice"
    );
    let fewer = Work::small(&["A1", "A2", "A3"]).empty("A2").blurred();
    assert_eq!(fewer.told()[0], "fewer-modules-seen A1 A2 A3");
    assert_eq!(
        param(&fewer.finding("fewer-modules-seen"), "seen"),
        Value::Count(2)
    );
    let none = Work::small(&["A1", "A2", "B1"])
        .empty("A1")
        .empty("A2")
        .blurred();
    assert_eq!(none.told()[0], "channel-not-seen A1 A2");
}

#[test]
fn entries_of_which_no_slot_is_known_are_compared_over_the_whole_board() {
    let lost = |found: &mut Found| found.slots.iter_mut().for_each(|slot| slot.spots.clear());
    let work = Work::small(&["A1", "B1"]).with(lost);
    assert_eq!(work.told(), ["slots-not-told A1 A2 A3 B1 B2 B3"]);
    let fewer = Work::small(&["A1", "B1"]).empty("B1").with(lost);
    assert_eq!(fewer.told()[0], "fewer-modules-seen A1 B1");
    let more = Work::small(&["A1"])
        .set("B1", seen(&rdimm(8, 2), Some(Mts(1600))))
        .with(lost);
    assert_eq!(more.told()[0], "module-not-planned A1 A2 A3 B1 B2 B3");
    let finding = more.finding("module-not-planned");
    assert!(finding.one_of);
    // In one of these slots a module is planned.
    assert_eq!(param(&finding, "planned"), Value::Count(1));
}

#[test]
fn a_slot_of_which_the_report_does_not_say_whether_it_holds_anything_is_open() {
    let work = Work::small(&["A1", "B1"]).set("B1", Holds::Untold);
    assert_eq!(work.told(), ["occupancy-not-told B1"]);
    assert_eq!(work.compared().agreement, Agreement::CannotTell);
}

#[test]
fn every_kind_is_brought_about_by_a_test_of_this_file() {
    let text = include_str!("tests.rs");
    let missing: BTreeSet<&str> = KINDS
        .iter()
        .map(|kind| kind.id)
        .filter(|id| !text.contains(&format!("\"{id}")))
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}
