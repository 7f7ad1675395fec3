//! Which installed modules come out, where the request allows it: every choice is tried, the fewest
//! first, and of as many the smallest.
//!
//! A choice that works wins over one that is only undecided, however many modules it takes out.
//! Modules of one kind are alike: a choice is how many of each kind come out.

use super::super::board::Board;
use super::super::module::Module;
use super::super::population::Origin;
use super::super::request::{InstalledPolicy, PartIx, Request, Seated};
use super::super::rules::{Battery, PartView, RuleSet, Standing};
use super::super::setup::Setup;
use super::{Aim, Budget, Found, Placed, Task, search_kit};
use std::ops::ControlFlow;
use std::sync::Arc;

/// What is asked of a board with one processor model.
#[derive(Clone, Copy)]
pub struct Asked<'a> {
    /// The board.
    pub board: &'a Board,
    /// The request.
    pub request: &'a Request,
    /// The model of processors that nobody told.
    pub model: Option<usize>,
}

/// What the search over all choices found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Sought {
    /// A placement.
    Placed {
        /// Installed modules (by index) that come out for it, beyond what the policy says.
        removed: Vec<u32>,
        /// The placement.
        placed: Box<Placed>,
    },
    /// None exists: these rules suffice to stand in the way.
    None(RuleSet),
    /// There are more modules than slots, and the rule that says so is ignored.
    NoRoom,
    /// A search was cut at its limit before anything was found.
    Cut,
}

/// The most steps of the search for one choice of several.
const STEPS: u64 = 200_000;

/// What choosing costs, in steps: binding the request anew and judging the kit.
const CHOICE: u64 = 200;

/// After so many searches of one size were cut, the next size is tried.
const MOST_CUTS: u32 = 2;

impl<'a> Asked<'a> {
    /// A placement that breaks no rule that can block, ignored rules aside. Where installed
    /// modules may come out, the first choice that works; else the first that is undecided.
    pub fn seek(&self, ignored: &RuleSet, aim: Aim, budget: &mut Budget) -> Sought {
        match Setup::new(self.board, self.request, self.model) {
            Some(setup) => self.seek_bound(&setup, &Task::of(&setup), ignored, aim, budget),
            None => Sought::None(RuleSet::none()),
        }
    }

    /// The same, where the request is bound to the board already, with the task that it sets.
    pub fn seek_bound(
        &self,
        setup: &Setup<'_>,
        task: &Task,
        ignored: &RuleSet,
        aim: Aim,
        budget: &mut Budget,
    ) -> Sought {
        let battery = Battery::new(self.board, ignored);
        let mut seeker = Seeker {
            asked: self,
            battery: &battery,
            ignored: *ignored,
            aim,
            budget,
            open: None,
            blamed: RuleSet::none(),
            no_room: false,
            was_cut: false,
        };
        if self.request.installed_policy == InstalledPolicy::MayRemove {
            return seeker.all_choices(setup);
        }
        let steps = seeker.budget.left();
        let found = seeker.search(setup, task, &[], steps);
        found.unwrap_or_else(|| seeker.nothing_works())
    }

    /// Installed modules (by index) that may come out.
    pub fn removable(&self) -> Vec<u32> {
        let request = self.request;
        let may = request.installed_policy == InstalledPolicy::MayRemove;
        let staying = request.staying().filter(|_| may);
        staying.map(|(index, _)| index).collect()
    }

    /// The request with these installed modules out as well.
    pub fn without(&self, removed: &[u32]) -> Request {
        let mut all = self.request.removed.clone();
        all.extend_from_slice(removed);
        Request {
            removed: all,
            ..self.request.clone()
        }
    }
}

impl Asked<'_> {
    /// Where a module sits in the slot of one like it that comes out, it comes out itself: then the
    /// other one need not be touched.
    fn exchanged(&self, mut removed: Vec<u32>, mut placed: Box<Placed>) -> Sought {
        while let Some((out, instead)) = self.exchange(&removed, &placed) {
            let changed = removed.iter_mut().filter(|index| **index == out);
            changed.for_each(|index| *index = instead);
            let request = self.without(&removed);
            let Some(setup) = Setup::new(self.board, &request, self.model) else {
                break;
            };
            placed.reseat(&setup);
        }
        Sought::Placed { removed, placed }
    }

    /// A module that comes out, and one like it that moved into its slot.
    fn exchange(&self, removed: &[u32], placed: &Placed) -> Option<(u32, u32)> {
        let entry = |index: u32| self.request.installed.get(index as usize);
        removed.iter().find_map(|out| {
            let home = entry(*out)?.slot?;
            match placed.population.at(home)?.origin {
                Origin::Installed(index) => {
                    let moved = entry(index)?;
                    let alike = moved.part == entry(*out)?.part && moved.slot != Some(home);
                    alike.then_some((*out, index))
                }
                Origin::Kit(_) | Origin::Population(_) => None,
            }
        })
    }
}

/// Installed modules of one kind.
struct Kind {
    indexes: Vec<u32>,
    /// The fewest that must come out.
    least: usize,
}

struct Seeker<'s, 'a, 'b> {
    asked: &'s Asked<'a>,
    battery: &'s Battery,
    ignored: RuleSet,
    aim: Aim,
    budget: &'b mut Budget,
    /// The first placement that is only undecided.
    open: Option<Sought>,
    blamed: RuleSet,
    no_room: bool,
    was_cut: bool,
}

impl Seeker<'_, '_, '_> {
    fn all_choices(&mut self, setup: &Setup<'_>) -> Sought {
        let request = self.asked.request;
        let added = request.kit.iter().map(|line| line.part);
        let added = added.chain(request.population.iter().map(|entry| entry.part));
        let alone = added.map(|part| self.alone(setup, part)).max();
        if alone == Some(Standing::Blocked) {
            // What is added is refused as such: nothing that comes out helps.
            return Sought::None(self.blamed);
        }
        let kinds = self.kinds(setup);
        let most: usize = kinds.iter().map(|kind| kind.indexes.len()).sum();
        let forced: usize = kinds.iter().map(|kind| kind.least).sum();
        // No choice is clear if what is added is not.
        let open_will_do = alone == Some(Standing::Open);
        for count in forced.max(self.overflow(setup).min(most))..=most {
            if let Some(found) = self.of_size(&kinds, count, open_will_do) {
                return found;
            }
        }
        self.nothing_works()
    }

    /// How many more modules there are than slots that work: fewer need not come out.
    fn overflow(&mut self, setup: &Setup<'_>) -> usize {
        let over = setup.staying_count().saturating_sub(setup.working_slots());
        if over > 0 {
            self.outnumbered();
        }
        usize::try_from(over).unwrap_or(usize::MAX)
    }

    /// Tries every choice of a size.
    fn of_size(&mut self, kinds: &[Kind], count: usize, open_will_do: bool) -> Option<Sought> {
        let mut cuts = 0;
        let mut found = None;
        let _ = choices(kinds, count, &mut Vec::new(), &mut |removed| {
            if !self.budget.spend_many(CHOICE) {
                self.was_cut = true;
                return ControlFlow::Break(());
            }
            // What is asked first is mostly what is answered.
            let steps = match count {
                0 => self.budget.left() / 2,
                _ => STEPS,
            };
            let cut_before = std::mem::take(&mut self.was_cut);
            found = self.choice(removed, steps);
            cuts += u32::from(self.was_cut);
            self.was_cut |= cut_before;
            if found.is_none() && open_will_do {
                found = self.open.take();
            }
            match found.is_some() || cuts >= MOST_CUTS {
                true => ControlFlow::Break(()),
                false => ControlFlow::Continue(()),
            }
        });
        found
    }

    /// How a module fares on its own.
    fn alone(&mut self, setup: &Setup<'_>, part: PartIx) -> Standing {
        PartView::new(setup, part).map_or(Standing::Clear, |view| {
            self.battery.part(&view, &mut self.blamed)
        })
    }

    /// Installed modules by kind, the smallest first. What the board refuses as such must come out.
    fn kinds(&mut self, setup: &Setup<'_>) -> Vec<Kind> {
        let mut by_part: Vec<(PartIx, Vec<u32>)> = Vec::new();
        for (index, entry) in last_filled_first(setup) {
            match by_part.iter_mut().find(|(part, _)| *part == entry.part) {
                Some((_, indexes)) => indexes.push(index),
                None => by_part.push((entry.part, vec![index])),
            }
        }
        let parts = &setup.request.parts;
        by_part.sort_by(|(a, _), (b, _)| smaller_first(parts, *a, *b));
        let kind = |(part, indexes): (PartIx, Vec<u32>)| Kind {
            least: match self.alone(setup, part) {
                Standing::Blocked => indexes.len(),
                Standing::Clear | Standing::Open => 0,
            },
            indexes,
        };
        by_part.into_iter().map(kind).collect()
    }

    /// Searches with these modules out. What is clear is found; everything else is kept in mind.
    fn choice(&mut self, removed: &[u32], steps: u64) -> Option<Sought> {
        let request = self.asked.without(removed);
        let setup = Setup::new(self.asked.board, &request, self.asked.model)?;
        let task = Task::of(&setup).with_homes_of(&setup, removed);
        self.search(&setup, &task, removed, steps)
    }

    fn search(
        &mut self,
        setup: &Setup<'_>,
        task: &Task,
        removed: &[u32],
        steps: u64,
    ) -> Option<Sought> {
        let kit = self.battery.kit(setup, &mut self.blamed);
        if kit == Standing::Blocked {
            return None;
        }
        if task.outnumbers(setup) {
            self.outnumbered();
            return None;
        }
        let (battery, aim) = (self.battery, self.aim);
        let found = self.budget.within(steps, |budget| {
            search_kit(setup, task, battery, kit, aim, budget)
        });
        match found {
            Found::Placed(placed) => {
                let clear = placed.standing == Standing::Clear;
                let found = self.asked.exchanged(removed.to_vec(), placed);
                if clear {
                    return Some(found);
                }
                self.open.get_or_insert(found);
            }
            Found::None(blamed) => self.blamed = self.blamed.and(blamed),
            Found::Cut => self.was_cut = true,
        }
        None
    }

    /// That is the rule's to say, even where the board's record takes its severity away.
    fn outnumbered(&mut self) {
        let rule = RuleSet::named("more-modules-than-slots");
        if rule.iter().any(|rule| self.ignored.has(rule)) {
            self.no_room = true;
        } else {
            self.blamed = self.blamed.and(rule);
        }
    }

    /// What is left where no choice is clear.
    fn nothing_works(&mut self) -> Sought {
        match self.open.take() {
            Some(open) => open,
            None if self.was_cut => Sought::Cut,
            None if self.no_room => Sought::NoRoom,
            None => Sought::None(self.blamed),
        }
    }
}

/// The installed modules that stay, those in slots that fill last first: what is left then need not move.
fn last_filled_first(setup: &Setup<'_>) -> Vec<(u32, Seated)> {
    let board = setup.board;
    let rank = |list: &[u8], own: u8| list.iter().position(|other| *other == own);
    let order = setup.filling.channel_order.as_deref().unwrap_or(&[]);
    let turn = |entry: &Seated| {
        let place = board.slot(entry.slot?)?.place;
        Some((
            rank(&setup.filling.position_order, place.position),
            rank(order, place.channel),
            place.channel,
            rank(&board.socket_order, place.socket),
        ))
    };
    let mut all: Vec<(u32, Seated)> = setup.request.staying().collect();
    all.sort_by_key(|(_, entry)| std::cmp::Reverse(turn(entry)));
    all
}

/// The smaller module first, of equals the slower; then in an order that does not depend on the request's.
pub fn smaller_first(parts: &[Arc<Module>], a: PartIx, b: PartIx) -> std::cmp::Ordering {
    let key = |part: PartIx| {
        let module = parts.get(usize::from(part.0));
        module.map(|module| (module.capacity, module.rating(), module))
    };
    key(a).cmp(&key(b))
}

/// Calls `ask` with every choice of so many modules: as many as possible of the first kind first.
fn choices(
    kinds: &[Kind],
    count: usize,
    chosen: &mut Vec<u32>,
    ask: &mut impl FnMut(&[u32]) -> ControlFlow<()>,
) -> ControlFlow<()> {
    let Some((kind, rest)) = kinds.split_first() else {
        return if count == 0 {
            ask(chosen)
        } else {
            ControlFlow::Continue(())
        };
    };
    let later: usize = rest.iter().map(|kind| kind.indexes.len()).sum();
    let reserved: usize = rest.iter().map(|kind| kind.least).sum();
    let least = kind.least.max(count.saturating_sub(later));
    let most = kind.indexes.len().min(count.saturating_sub(reserved));
    for take in (least..=most).rev() {
        let before = chosen.len();
        chosen.extend(kind.indexes.iter().take(take));
        let flow = choices(rest, count - take, chosen, ask);
        chosen.truncate(before);
        flow?;
    }
    ControlFlow::Continue(())
}
