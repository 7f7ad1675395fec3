//! The worksheet of a request: from the backup to what the machine should report.

use super::super::board::policy::Protection;
use super::super::board::{Board, KeySide, SlotIx};
use super::super::finding::{Fact, Missing, State, Value, Verdict};
use super::super::population::Origin;
use super::super::request::{PartIx, Request, Seated};
use super::super::setup::Setup;
use super::super::validate::Answer;
use super::Case;
use super::reduce::share_causes;
use super::table::{Cell, Row, Table};
use super::tree::{About, Basis, Explanation, Node, Params, Says, Standing};
use super::verdict::{add_mend, add_verdict, verdict_id};
use super::worksheet::{Phase, Step, Worksheet};

/// The worksheet of a request. One that does not fit gets none, with the reason; one that is
/// undecided gets what to find out first.
pub fn worksheet(case: Case<'_>) -> Explanation {
    let Case {
        board,
        request,
        answer,
        ..
    } = case;
    let mut explanation = Explanation::new(About::Worksheet, answer.verdict);
    match answer.verdict {
        Verdict::DoesNotFit => {
            explanation.standing = Standing::Refused;
            explanation.add_root(Node::message(
                "worksheet-refused",
                Vec::new(),
                Basis::Concluded,
            ));
            add_verdict(&mut explanation, case);
            add_mend(&mut explanation, case);
        }
        Verdict::Undecided => {
            explanation.standing = Standing::FindOutFirst;
            explanation.population = Some(answer.population.clone());
            find_out(&mut explanation, &answer.missing());
        }
        Verdict::Fits | Verdict::FitsWithWarnings => {
            add_summary(&mut explanation, answer);
            add_plan(&mut explanation, &in_order(board, request, answer));
            explanation.population = Some(answer.population.clone());
            explanation.worksheet = Some(steps(board, request, answer));
            explanation.tables.extend(channels(board, request, answer));
        }
    }
    share_causes(&mut explanation);
    explanation
}

/// What to find out before anything is opened.
fn find_out(explanation: &mut Explanation, missing: &[Missing]) {
    let mut root = Node::message("worksheet-find-out", Vec::new(), Basis::Concluded);
    for missing in missing {
        root.because
            .extend(explanation.add(Node::new(Says::Missing(*missing), Basis::Given)));
    }
    if missing.is_empty() {
        let cut = Node::message("verdict-cut", Vec::new(), Basis::Concluded);
        root.because.extend(explanation.add(cut));
    }
    explanation.add_root(root);
}

/// The verdict and the warnings: read before the work, not after it.
fn add_summary(explanation: &mut Explanation, answer: &Answer) {
    let mut root = Node::message(verdict_id(answer.verdict), Vec::new(), Basis::Concluded);
    let severe = |f: &&super::super::finding::Finding| {
        f.state == State::Broken && f.severity <= super::super::finding::Severity::Warning
    };
    for finding in answer.findings.iter().filter(severe) {
        let mut node = Node::new(Says::Finding(Box::new(finding.clone())), Basis::Concluded);
        node.slots = finding.slots.clone();
        root.because.extend(explanation.add(node));
    }
    explanation.add_root(root);
}

/// What goes where, at a glance.
fn add_plan(explanation: &mut Explanation, seats: &[Seat]) {
    let mut plan: Vec<(PartIx, Vec<SlotIx>)> = Vec::new();
    for seat in seats {
        match plan.iter_mut().find(|(part, _)| *part == seat.part) {
            Some((_, slots)) => slots.push(seat.slot),
            None => plan.push((seat.part, vec![seat.slot])),
        }
    }
    for (part, mut slots) in plan {
        slots.sort_unstable();
        let params = vec![
            ("part", Value::Part(part)),
            ("count", count(slots.len() as u64)),
        ];
        let mut node = Node::message("worksheet-plan", params, Basis::Concluded);
        node.slots = slots;
        explanation.add_root(node);
    }
}

/// A list of steps in the making.
struct Sheet(Vec<Step>);

impl Sheet {
    fn step(&mut self, phase: Phase, id: &'static str, params: Params) {
        self.step_at(phase, id, params, Vec::new(), None);
    }

    fn caution(&mut self, phase: Phase, id: &'static str, params: Params) {
        self.step(phase, id, params);
        self.0
            .iter_mut()
            .rev()
            .take(1)
            .for_each(|step| step.caution = true);
    }

    fn step_at(
        &mut self,
        phase: Phase,
        id: &'static str,
        params: Params,
        slots: Vec<SlotIx>,
        part: Option<PartIx>,
    ) {
        self.0.push(Step {
            phase,
            id,
            params,
            slots,
            part,
            caution: false,
        });
    }
}

fn steps(board: &Board, request: &Request, answer: &Answer) -> Worksheet {
    let seats = in_order(board, request, answer);
    let mut sheet = Sheet(Vec::new());
    prepare(&mut sheet, board, request, answer, &seats);
    open(&mut sheet, board);
    compare_before(&mut sheet, &request.installed);
    take_out(&mut sheet, board, request, answer);
    fit(&mut sheet, board, request, &seats);
    close(&mut sheet, board, request, answer);
    report(&mut sheet, request, answer);
    otherwise(&mut sheet);
    Worksheet { steps: sheet.0 }
}

fn count(n: u64) -> Value {
    Value::Count(n)
}

/// A module that goes into a slot.
#[derive(Clone, Copy)]
struct Seat {
    slot: SlotIx,
    part: PartIx,
    origin: Origin,
}

/// The modules that go in, in the order of fitting: socket by socket, the position that fills first
/// on every channel, then the next.
fn in_order(board: &Board, request: &Request, answer: &Answer) -> Vec<Seat> {
    let filling = Setup::new(board, request, answer.model).map(|setup| setup.filling.clone());
    let place = |list: Option<&Vec<u8>>, number: u8| {
        let place = list.and_then(|list| list.iter().position(|own| *own == number));
        place.unwrap_or(usize::from(number))
    };
    let mut seats: Vec<Seat> = answer
        .population
        .occupied()
        .map(|(slot, occupant)| Seat {
            slot,
            part: occupant.part,
            origin: occupant.origin,
        })
        .filter(|seat| !stays(request, seat))
        .collect();
    seats.sort_by_key(|seat| {
        let at = board.slot(seat.slot).map(|slot| slot.place);
        let (socket, channel, position) =
            at.map_or((0, 0, 0), |at| (at.socket, at.channel, at.position));
        let row = filling.as_ref();
        (
            place(Some(&board.socket_order), socket),
            place(row.map(|row| &row.position_order), position),
            place(row.and_then(|row| row.channel_order.as_ref()), channel),
        )
    });
    seats
}

/// Whether a module is where it has been all along.
fn stays(request: &Request, seat: &Seat) -> bool {
    home(request, seat) == Some(seat.slot)
}

/// The slot that an installed module comes from.
fn home(request: &Request, seat: &Seat) -> Option<SlotIx> {
    match seat.origin {
        Origin::Installed(entry) => request.installed.get(entry as usize)?.slot,
        Origin::Kit(_) | Origin::Population(_) => None,
    }
}

fn prepare(sheet: &mut Sheet, board: &Board, request: &Request, answer: &Answer, seats: &[Seat]) {
    sheet.caution(Phase::Prepare, "step-guide", Vec::new());
    // Before anybody lifts it.
    for caution in &board.cautions {
        let text = vec![("caution", Value::Text(caution.clone()))];
        sheet.caution(Phase::Prepare, "step-board-caution", text);
    }
    sheet.caution(Phase::Prepare, "step-backup", Vec::new());
    sheet.step(Phase::Prepare, "step-outage", Vec::new());
    if !request.installed.is_empty() {
        sheet.step(Phase::Prepare, "step-note-report", Vec::new());
    }
    for finding in answer
        .findings
        .iter()
        .filter(|f| f.rule.id == "firmware-not-told")
    {
        let needed = finding.params.iter().filter(|(name, _)| *name == "needed");
        let version = needed
            .map(|(_, value)| ("version", value.clone()))
            .collect();
        sheet.step(Phase::Prepare, "step-firmware", version);
    }
    let new = seats
        .iter()
        .filter(|seat| !matches!(seat.origin, Origin::Installed(_)));
    let mut parts: Vec<(PartIx, u64)> = Vec::new();
    for seat in new {
        match parts.iter_mut().find(|(part, _)| *part == seat.part) {
            Some((_, number)) => *number += 1,
            None => parts.push((seat.part, 1)),
        }
    }
    for (part, number) in parts {
        let params = vec![("count", count(number)), ("label", label_of(request, part))];
        sheet.step_at(
            Phase::Prepare,
            "step-lay-out",
            params,
            Vec::new(),
            Some(part),
        );
    }
}

/// What the label of a module shows of it, as far as it is known.
fn label_of(request: &Request, part: PartIx) -> Value {
    let Some(module) = request.part(part) else {
        return Value::List(Vec::new());
    };
    // A label prints ranks and width as one word.
    let built = module.package_ranks.zip(module.width);
    let built = built.map(|(ranks, width)| Value::Text(format!("{ranks}R{}", width.name())));
    let show = |fact| super::premise::module_fact(module, fact);
    let all = [
        show(Fact::Capacity),
        built,
        show(Fact::Generation),
        show(Fact::Kind),
    ];
    Value::List(all.into_iter().flatten().collect())
}

fn open(sheet: &mut Sheet, board: &Board) {
    sheet.caution(Phase::Open, "step-shut-down", Vec::new());
    sheet.caution(Phase::Open, "step-disconnect", Vec::new());
    sheet.caution(Phase::Open, "step-wait", Vec::new());
    sheet.caution(Phase::Open, "step-lift", Vec::new());
    sheet.caution(Phase::Open, "step-static", Vec::new());
    sheet.caution(Phase::Open, "step-cover", Vec::new());
    let labels = board.slots.iter().map(|slot| slot.label.clone());
    let (first, last) = (labels.clone().next(), labels.clone().next_back());
    let params = vec![
        ("board", Value::Text(board.name.clone())),
        ("count", count(board.slots.len() as u64)),
        ("first", Value::Text(first.unwrap_or_default())),
        ("last", Value::Text(last.unwrap_or_default())),
    ];
    sheet.step(Phase::Open, "step-find-slots", params);
}

/// Slots by what they hold; modules whose slot nobody told are counted.
fn by_part(entries: impl IntoIterator<Item = Seated>) -> Vec<(PartIx, Vec<SlotIx>, u64)> {
    let mut parts: Vec<(PartIx, Vec<SlotIx>, u64)> = Vec::new();
    for entry in entries {
        let known = parts.iter().position(|(part, ..)| *part == entry.part);
        let index = known.unwrap_or_else(|| {
            parts.push((entry.part, Vec::new(), 0));
            parts.len() - 1
        });
        if let Some((_, slots, loose)) = parts.get_mut(index) {
            slots.extend(entry.slot);
            *loose += u64::from(entry.slot.is_none());
        }
    }
    parts
        .iter_mut()
        .for_each(|(_, slots, _)| slots.sort_unstable());
    parts
}

/// A sheet made for another state of the machine does harm: what is there is looked at first.
fn compare_before(sheet: &mut Sheet, installed: &[Seated]) {
    if installed.is_empty() {
        return sheet.step(Phase::Open, "step-nothing-there", Vec::new());
    }
    for (part, slots, loose) in by_part(installed.iter().copied()) {
        if !slots.is_empty() {
            sheet.step_at(Phase::Open, "step-there", Vec::new(), slots, Some(part));
        }
        if loose > 0 {
            let number = vec![("count", count(loose))];
            let id = "step-there-somewhere";
            sheet.step_at(Phase::Open, id, number, Vec::new(), Some(part));
        }
    }
    sheet.step(Phase::Open, "step-no-other-there", Vec::new());
}

/// Modules that stay, modules that come out for good, modules that move, and fillers in the way.
fn take_out(sheet: &mut Sheet, board: &Board, request: &Request, answer: &Answer) {
    let before = || (0u32..).zip(&request.installed);
    let now = |entry: u32| {
        let mut all = answer.population.occupied();
        all.find(|(_, occupant)| occupant.origin == Origin::Installed(entry))
            .map(|(slot, _)| slot)
    };
    let out: Vec<(SlotIx, PartIx, Option<SlotIx>)> = before()
        .filter_map(|(entry, seated)| Some((seated.slot?, seated.part, now(entry))))
        .filter(|(slot, _, now)| *now != Some(*slot))
        .collect();
    let stay =
        before().filter(|(entry, seated)| seated.slot.is_some() && now(*entry) == seated.slot);
    for (part, slots, _) in by_part(stay.map(|(_, seated)| *seated)) {
        let number = vec![("count", count(slots.len() as u64))];
        sheet.step_at(Phase::TakeOut, "step-stays", number, slots, Some(part));
    }
    if !out.is_empty() {
        sheet.caution(Phase::TakeOut, "step-how-out", Vec::new());
    }
    for (slot, part, to) in out {
        let (id, params) = match to {
            Some(to) => (
                "step-lay-aside",
                vec![("to", Value::Text(board.label(to).to_owned()))],
            ),
            None => ("step-remove", Vec::new()),
        };
        sheet.step_at(Phase::TakeOut, id, params, vec![slot], Some(part));
    }
    if board.fillers {
        let was_empty = |slot: &SlotIx| {
            request
                .installed
                .iter()
                .all(|seated| seated.slot != Some(*slot))
        };
        let filled = answer.population.occupied().map(|(slot, _)| slot);
        let slots: Vec<SlotIx> = filled.filter(was_empty).collect();
        if !slots.is_empty() {
            let number = vec![("count", count(slots.len() as u64))];
            sheet.step_at(Phase::TakeOut, "step-fillers-out", number, slots, None);
        }
    }
}

const fn side(key: KeySide) -> &'static str {
    match key {
        KeySide::Top => "top",
        KeySide::Bottom => "bottom",
        KeySide::Left => "left",
        KeySide::Right => "right",
    }
}

/// Slot by slot; where the key is on the other side than before, that comes first.
fn fit(sheet: &mut Sheet, board: &Board, request: &Request, seats: &[Seat]) {
    if seats.is_empty() {
        return;
    }
    sheet.caution(Phase::Fit, "step-how-in", Vec::new());
    let mut last: Option<KeySide> = None;
    for seat in seats {
        let Some(slot) = board.slot(seat.slot) else {
            continue;
        };
        let key = ("key", Value::Word(side(slot.key)));
        let id = match last {
            None => Some("step-key"),
            Some(before) => (before != slot.key).then_some("step-key-flips"),
        };
        if let Some(id) = id {
            sheet.step_at(Phase::Fit, id, vec![key.clone()], vec![seat.slot], None);
        }
        last = Some(slot.key);
        let mut params = vec![
            key,
            ("socket", count(slot.place.socket.into())),
            ("channel", count(slot.place.channel.into())),
            ("position", count(slot.place.position.into())),
        ];
        let id = match home(request, seat) {
            None => "step-seat",
            Some(from) => {
                params.push(("from", Value::Text(board.label(from).to_owned())));
                "step-seat-moved"
            }
        };
        sheet.step_at(Phase::Fit, id, params, vec![seat.slot], Some(seat.part));
    }
}

fn close(sheet: &mut Sheet, board: &Board, request: &Request, answer: &Answer) {
    let outcome = &answer.outcome;
    if outcome.fillers > 0 {
        let setup = Setup::new(board, request, answer.model);
        let fitted = |slot: &SlotIx| {
            let socket = board.slot(*slot).map_or(0, |slot| slot.place.socket);
            setup.as_ref().is_some_and(|setup| setup.is_fitted(socket))
        };
        let all = board
            .all_channels()
            .flat_map(|channel| board.slots_of(channel));
        let empty = all.filter(|slot| answer.population.at(*slot).is_none());
        let slots: Vec<SlotIx> = empty.filter(fitted).collect();
        let number = vec![("count", count(slots.len() as u64))];
        sheet.step_at(Phase::Close, "step-fillers", number, slots, None);
    }
    let modules = vec![("count", count(outcome.modules.into()))];
    sheet.step(Phase::Close, "step-look-over", modules);
    sheet.caution(Phase::Close, "step-lid", Vec::new());
    sheet.caution(Phase::Close, "step-power", Vec::new());
}

fn report(sheet: &mut Sheet, request: &Request, answer: &Answer) {
    let outcome = &answer.outcome;
    sheet.step(Phase::Report, "step-start", Vec::new());
    match request.protection {
        Protection::None => {}
        asked => {
            let protection = vec![("protection", Value::Word(asked.name()))];
            sheet.step(Phase::Report, "step-protection", protection);
        }
    }
    if let Some(installed) = outcome.installed {
        let usable = outcome.usable.unwrap_or(installed);
        let modules = ("count", count(outcome.modules.into()));
        let held = ("installed", Value::Capacity(installed));
        let params = vec![modules, held, ("usable", Value::Capacity(usable))];
        let id = match usable == installed {
            true => "step-capacity",
            false => "step-capacity-held-back",
        };
        sheet.step(Phase::Report, id, params);
    }
    if let Some(rate) = outcome.rate {
        sheet.step(
            Phase::Report,
            "step-rate",
            vec![("rate", Value::Rate(rate))],
        );
    }
    sheet.step(Phase::Report, "step-channels", Vec::new());
    sheet.step(Phase::Report, "step-log", Vec::new());
}

fn otherwise(sheet: &mut Sheet) {
    sheet.caution(Phase::Otherwise, "step-danger", Vec::new());
    sheet.caution(Phase::Otherwise, "step-no-start", Vec::new());
    sheet.caution(Phase::Otherwise, "step-less", Vec::new());
    sheet.caution(Phase::Otherwise, "step-slower", Vec::new());
    sheet.step(Phase::Otherwise, "step-verify", Vec::new());
}

/// What the machine should list for each channel that holds memory.
fn channels(board: &Board, request: &Request, answer: &Answer) -> Option<Table> {
    let row = |own: &super::super::outcome::ChannelOutcome| {
        let (socket, channel) = board.address(own.channel);
        let taken = board
            .slots_of(own.channel)
            .filter_map(|slot| Some((slot, answer.population.at(slot)?.part)));
        let labels = taken.clone().map(|(slot, _)| board.label(slot).to_owned());
        let seats = taken.map(|(slot, part)| Seated {
            part,
            slot: Some(slot),
        });
        let modules = by_part(seats).into_iter().map(|(part, slots, _)| {
            let name = request
                .part(part)
                .map_or("?", |module| module.name.as_str());
            Value::Text(format!("{} × {name}", slots.len()))
        });
        Row {
            cells: vec![
                Cell::Value(count(socket.into())),
                Cell::Value(count(channel.into())),
                Cell::Value(Value::Words(labels.collect())),
                Cell::Value(Value::List(modules.collect())),
                Cell::or_unknown(own.capacity.map(Value::Capacity)),
                Cell::or_unknown(own.rate.map(Value::Rate)),
            ],
            marked: false,
        }
    };
    let rows: Vec<Row> = answer.outcome.populated().map(row).collect();
    (!rows.is_empty()).then(|| Table {
        id: "table-channels",
        params: Vec::new(),
        columns: vec![
            "column-socket",
            "column-channel",
            "column-slots",
            "column-modules",
            "column-capacity",
            "column-rate",
        ],
        rows,
    })
}
