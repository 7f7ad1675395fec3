//! An instance of the shared set, mapped to a board and a task of ours.
//!
//! The instances are synthetic: rate tables and prices are invented. What each member means stands in
//! `README.md` beside this file.

use kitproof::domain::board::accept::{AcceptRow, Multiplication, SeenRanks};
use kitproof::domain::board::filling::Filling;
use kitproof::domain::board::policy::{
    Identity, Mix, MixPolicy, Mixing, Protection, ProtectionOffer, Scope, UnequalGroups,
};
use kitproof::domain::board::rates::{RankMatch, RankMeasure, RateRow, StackMatch, Unlisted};
use kitproof::domain::board::{
    Board, BoardFacts, EccNeed, KeySide, Limit, Place, Processor, Slot, Source,
};
use kitproof::domain::finding::Severity;
use kitproof::domain::module::{Generation, HeightClass, Kind, Module, ModuleFacts, Width};
use kitproof::domain::optimise::{Key, Limits, Preference, Task};
use kitproof::domain::request::{
    Balance, InstalledPolicy, PartIx, Request, Seated, SocketState, Wish,
};
use kitproof::domain::rules::RuleSet;
use kitproof::domain::units::{Currency, Mib, Millivolts, Milliwatts, Money, Mts};
use serde_json::Value;
use std::io::Read;
use std::sync::Arc;

/// The lines of the set, or of the file that `KITPROOF_INSTANCES` names.
pub fn lines() -> Vec<String> {
    if let Ok(path) = std::env::var("KITPROOF_INSTANCES") {
        let text = std::fs::read_to_string(path).expect("a file of instances");
        return text.lines().map(str::to_owned).collect();
    }
    let packed = include_bytes!("instances.jsonl.gz");
    let mut text = String::new();
    flate2::read::GzDecoder::new(packed.as_slice())
        .read_to_string(&mut text)
        .expect("the set of instances");
    text.lines().map(str::to_owned).collect()
}

/// Money is scaled so that a pack of 1, 2 or 4 has a whole price for each module.
pub const SCALE: i64 = 4;

/// A mapped instance.
pub struct Instance {
    pub id: String,
    #[allow(dead_code, reason = "the bench reads it")]
    pub size: String,
    pub family: String,
    pub board: Board,
    pub request: Request,
    pub for_sale: Vec<PartIx>,
    pub handling: i64,
    pub limits: Limits,
    pub preference: Preference,
    /// `None` for an infeasible one; scaled like our own values.
    pub expected: Option<Vec<i128>>,
    /// Where a general-purpose solver found the same front: its points by cost, usable capacity and
    /// rate, in our units.
    pub front: Option<Vec<[i64; 3]>>,
}

impl Instance {
    /// The task.
    pub fn task<'a>(&'a self, steps: u64, stop: &'a dyn Fn() -> bool) -> Task<'a> {
        Task {
            board: &self.board,
            request: self.request.clone(),
            for_sale: self.for_sale.clone(),
            handling: self.handling,
            limits: self.limits,
            preference: self.preference.clone(),
            plans: 1,
            ignored: RuleSet::none(),
            steps,
            stop,
        }
    }

    /// Reads one line of the set.
    ///
    /// # Errors
    /// What can't be mapped faithfully.
    pub fn read(line: &str) -> Result<Self, String> {
        let value: Value = serde_json::from_str(line).map_err(|error| error.to_string())?;
        let (board, request) = (&value["board"], &value["request"]);
        let generation = match text(&board["gen"]) {
            "DDR3" => Generation::Ddr3,
            "DDR4" => Generation::Ddr4,
            _ => Generation::Ddr5,
        };
        let parts = value["catalogue"]
            .as_array()
            .into_iter()
            .flatten()
            .map(|row| module(generation, row).map(Arc::new))
            .collect::<Result<Vec<_>, _>>()?;
        let mut facts = board_facts(generation, board, &value["catalogue"])?;
        if !board["each_socket_populated"].as_bool().unwrap_or(true) {
            facts
                .severities
                .push(("socket-without-memory".into(), Severity::Warning));
        }
        let checked = Board::checked(facts).map_err(|faults| format!("{faults:?}"))?;
        let currency = Currency::new("EUR").unwrap();
        let active = number(&board["active"]) as usize;
        let sockets = (0..number(&board["sockets"]) as usize).map(|index| {
            if index < active {
                SocketState::Fitted(Some(0))
            } else {
                SocketState::Empty
            }
        });
        let mut ours = Request {
            parts,
            sockets: Some(sockets.collect()),
            installed_policy: match text(&request["policy"]) {
                "free" => InstalledPolicy::MayRemove,
                "keep_all" => InstalledPolicy::Keep,
                "keep_in_place" => InstalledPolicy::InPlace,
                _ => InstalledPolicy::Replace,
            },
            protection: match text(&request["mode"]) {
                "mirrored" => Protection::Mirrored,
                "sparing" => Protection::RankSpare,
                _ => Protection::None,
            },
            ..Request::default()
        };
        for entry in value["existing"].as_array().into_iter().flatten() {
            let (socket, channel) = (number(&entry["socket"]), number(&entry["channel"]));
            let channel = checked.channel_at(socket as u8 + 1, channel as u8 + 1);
            let modules = entry["modules"].as_array().into_iter().flatten();
            for (slot, part) in checked.slots_of(channel).zip(modules) {
                ours.installed.push(Seated {
                    part: PartIx(number(part) as u16),
                    slot: Some(slot),
                });
            }
        }
        wishes(&mut ours, request, currency);
        let lex = request["objective"]["lex"].as_array();
        let preference = match lex {
            Some(keys) => Preference::Ordered(keys.iter().map(|k| key(text(k))).collect()),
            None => weights(&request["objective"]["weights"], ours.protection)?,
        };
        let expected = expected(&value["expected"], &preference, ours.protection);
        let limit = |name: &str| u16::try_from(number(&board[name])).ok().filter(|n| *n > 0);
        Ok(Self {
            id: text(&value["id"]).to_owned(),
            size: text(&value["size"]).to_owned(),
            family: text(&value["family"]).to_owned(),
            for_sale: (0..ours.parts.len() as u16).map(PartIx).collect(),
            board: checked,
            request: ours,
            handling: number(&request["labour"]) * SCALE,
            limits: Limits {
                builds_at_most: limit("max_orgs_system"),
                ..Limits::default()
            },
            preference,
            expected,
            front: front(&value["expected"]),
        })
    }
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or("")
}

fn number(value: &Value) -> i64 {
    value.as_i64().unwrap_or(0)
}

fn key(name: &str) -> Key {
    match name {
        "cost" => Key::Cost,
        "speed" => Key::Rate,
        "bandwidth" => Key::Peak,
        "power" => Key::Power,
        "modules" => Key::Modules,
        "touched" => Key::Moved,
        "capacity" => Key::Usable,
        other => panic!("no key for {other}"),
    }
}

/// Channels that the instances count for each that we do: of a mirrored pair they count both.
fn counted_twice(protection: Protection) -> i64 {
    if protection == Protection::Mirrored {
        2
    } else {
        1
    }
}

/// A weight is for a unit of the instance; money is scaled, and so must the others be.
fn weights(value: &Value, protection: Protection) -> Result<Preference, String> {
    let mut list = Vec::new();
    for (name, weight) in value.as_object().into_iter().flatten() {
        let weight = number(weight);
        if weight == 0 {
            continue;
        }
        let key = key(name);
        if key == Key::Usable {
            return Err("a weight for capacity".into());
        }
        let signed = weight * key.sign() as i64;
        let scaled = match key {
            Key::Cost => signed,
            Key::Peak => signed * SCALE * counted_twice(protection),
            _ => signed * SCALE,
        };
        list.push((
            key,
            u32::try_from(scaled).map_err(|_| "a weight the wrong way")?,
        ));
    }
    Ok(Preference::Weighted(list))
}

fn front(value: &Value) -> Option<Vec<[i64; 3]>> {
    if value["front_checked"] != Value::Bool(true) {
        return None;
    }
    let points = value["front"].as_array()?.iter();
    let point = |point: &Value| {
        let at = |index: usize| number(&point[index]);
        [at(0) * SCALE, at(1) * 1024, at(2)]
    };
    Some(points.map(point).collect())
}

fn expected(value: &Value, preference: &Preference, protection: Protection) -> Option<Vec<i128>> {
    if text(&value["status"]) != "optimal" {
        return None;
    }
    let values = value["value"].as_array().into_iter().flatten().map(number);
    Some(match preference {
        Preference::Weighted(_) => values.map(|v| i128::from(v * SCALE)).collect(),
        Preference::Ordered(keys) => values
            .zip(keys)
            .map(|(value, key)| {
                let value = match key {
                    Key::Cost => value * SCALE,
                    Key::Usable => value * 1024,
                    Key::Peak => value / counted_twice(protection),
                    _ => value,
                };
                key.sign() * i128::from(value)
            })
            .collect(),
    })
}

fn wishes(ours: &mut Request, request: &Value, currency: Currency) {
    fn wish<T>(value: T) -> Option<Wish<T>> {
        Some(Wish { value, must: true })
    }
    // Zero stands for no wish.
    let told = |name: &str| request[name].as_i64().filter(|value| *value > 0);
    let wishes = &mut ours.wishes;
    wishes.capacity_at_least = told("target").and_then(|g| wish(Mib::gib(g as u64)));
    wishes.capacity_at_most = told("max_capacity").and_then(|g| wish(Mib::gib(g as u64)));
    wishes.rate_at_least = told("min_speed").and_then(|s| wish(Mts(s as u32)));
    wishes.power_at_most = told("power_cap_mw").and_then(|p| wish(Milliwatts(p as u64)));
    wishes.free_slots = told("free_slots").and_then(|n| wish(n as u16));
    wishes.budget = told("budget").and_then(|minor| {
        wish(Money {
            minor: minor * SCALE,
            currency,
        })
    });
    wishes.balance = match text(&request["balance"]) {
        "balanced" => wish(Balance::Channels),
        "socket_equal" => wish(Balance::Sockets),
        _ => None,
    };
}

fn kind(name: &str) -> Kind {
    match name {
        "LRDIMM" => Kind::Lrdimm,
        "UDIMM" => Kind::EccUdimm,
        _ => Kind::Rdimm,
    }
}

fn module(generation: Generation, row: &Value) -> Result<Module, String> {
    let stacked = text(&row["kind"]) == "3DS";
    let (ranks, seen) = (number(&row["ranks"]) as u8, number(&row["eranks"]) as u8);
    let pack = number(&row["pack"]);
    let volts = row["volts"].as_array().into_iter().flatten();
    let facts = ModuleFacts {
        name: text(&row["id"]).to_owned(),
        generation: Some(generation),
        kind: Some(kind(text(&row["kind"]))),
        capacity: Some(Mib::gib(number(&row["cap"]) as u64)),
        package_ranks: Some(if stacked { seen } else { ranks }),
        stack_height: Some(if stacked { ranks / seen } else { 1 }),
        width: Some(match number(&row["width"]) {
            4 => Width::X4,
            8 => Width::X8,
            _ => Width::X16,
        }),
        rate: Some(Mts(number(&row["rating"]) as u32)),
        supply: Some(volts.map(|mv| Millivolts(number(mv) as u16)).collect()),
        ecc_bits: (generation == Generation::Ddr5).then_some(8),
        height: Some(HeightClass::Low),
        part_number: Some(text(&row["id"]).to_owned()),
        peak_power: Some(Milliwatts(number(&row["watts_mw"]) as u64)),
        price: Some(Money {
            minor: number(&row["price"]) * SCALE / pack,
            currency: Currency::new("EUR").unwrap(),
        }),
        stock: Some((number(&row["stock"]) * pack) as u32),
        pack: Some(pack as u32),
        ..ModuleFacts::default()
    };
    Module::checked(facts).map_err(|faults| format!("{faults:?}"))
}

/// A row that takes anything of a kind.
pub fn accepts(kind: Kind) -> AcceptRow {
    AcceptRow {
        kind,
        capacities: None,
        ranks: None,
        widths: None,
        die_densities: None,
        stacks: None,
        ecc_bits: None,
        supply: None,
        per_channel: Limit::None,
        positions: None,
        seen_ranks: SeenRanks::Package,
        firmware: None,
    }
}

/// Ranks of a load-reduced module that a channel sees: the factor that the catalogue shows.
fn multiplication(catalogue: &Value) -> Result<SeenRanks, String> {
    let mut rows: Vec<Multiplication> = Vec::new();
    for row in catalogue.as_array().into_iter().flatten() {
        if text(&row["kind"]) != "LRDIMM" {
            continue;
        }
        let ranks = number(&row["ranks"]) as u8;
        let factor = ranks / number(&row["eranks"]) as u8;
        match rows.iter().find(|known| known.ranks == [ranks]) {
            Some(known) if known.factor == factor => {}
            Some(_) => return Err("two rank factors for one rank count".into()),
            None => rows.push(Multiplication {
                ranks: vec![ranks],
                positions_wired: None,
                die_at_most: None,
                factor,
            }),
        }
    }
    Ok(if rows.is_empty() {
        SeenRanks::Package
    } else {
        SeenRanks::Multiplied(rows)
    })
}

/// One row for each multiset of ranks with the highest that the table's row names.
fn rates(table: &Value) -> Vec<RateRow> {
    let mut rows = Vec::new();
    for row in table.as_array().into_iter().flatten() {
        let (most, count) = (number(&row["max_rank"]) as u8, number(&row["dpc"]) as u8);
        let mut lists: Vec<Vec<u8>> = vec![vec![most]];
        for _ in 1..count {
            lists = lists
                .iter()
                .flat_map(|list| {
                    let last = *list.last().unwrap();
                    let lower = [8u8, 4, 2, 1].into_iter().filter(move |r| *r <= last);
                    lower.map(move |r| [list.as_slice(), &[r]].concat())
                })
                .collect();
        }
        let name = text(&row["kind"]);
        for ranks in lists {
            rows.push(RateRow {
                kinds: vec![kind(name)],
                stack: if name == "3DS" {
                    StackMatch::Stacked
                } else {
                    StackMatch::Flat
                },
                measure: RankMeasure::Logical,
                ranks: RankMatch::Exactly(ranks),
                modules: count,
                positions_wired: None,
                supply: Some(vec![Millivolts(number(&row["mv"]) as u16)]),
                firmware: None,
                rate: Mts(number(&row["mts"]) as u32),
            });
        }
    }
    rows
}

fn board_facts(
    generation: Generation,
    board: &Value,
    catalogue: &Value,
) -> Result<BoardFacts, String> {
    let (sockets, channels, positions) = (
        number(&board["sockets"]) as u8,
        number(&board["channels"]) as u8,
        number(&board["positions"]) as u8,
    );
    let never = MixPolicy::everywhere(Mix::Forbidden);
    let limit = |name: &str| match number(&board[name]) {
        0 => Limit::None,
        most => Limit::Is(most as u8),
    };
    let mut facts = board_of(generation, sockets, channels, positions);
    facts.processors[0].rate = Limit::Is(Mts(number(&board["cpu_max"]) as u32));
    facts.accepts = vec![
        // Of three registered modules the last may not have four ranks.
        AcceptRow {
            ranks: Some(vec![4]),
            stacks: Some(vec![1]),
            positions: (positions > 2).then(|| vec![1, 2]),
            ..accepts(Kind::Rdimm)
        },
        accepts(Kind::Rdimm),
        AcceptRow {
            seen_ranks: multiplication(catalogue)?,
            ..accepts(Kind::Lrdimm)
        },
        accepts(Kind::EccUdimm),
    ];
    facts.rank_budget = Limit::Is(number(&board["rank_limit"]) as u8);
    facts.rates = rates(&board["speed_table"]);
    facts.filling[0].rank_order = true;
    facts.mixing = Mixing {
        kinds: never,
        stacks: never,
        capacities_per_channel: limit("max_caps_channel"),
        capacities_per_board: limit("max_caps_system"),
        ..facts.mixing
    };
    let pairs = (1..channels).step_by(2).map(|first| vec![first, first + 1]);
    facts.protections = vec![
        ProtectionOffer {
            protection: Protection::Mirrored,
            groups: pairs.collect(),
            identical: vec![
                Identity::Capacity,
                Identity::Ranks,
                Identity::Width,
                Identity::Kind,
            ],
            ranks_at_least: Limit::None,
            needs_x4: false,
            unequal_groups: UnequalGroups::Refused,
            rank_interleave: Limit::None,
        },
        ProtectionOffer {
            protection: Protection::RankSpare,
            groups: Vec::new(),
            identical: Vec::new(),
            ranks_at_least: Limit::Is(2),
            needs_x4: false,
            unequal_groups: UnequalGroups::Refused,
            rank_interleave: Limit::None,
        },
    ];
    Ok(facts)
}

/// A board that takes nothing yet and limits nothing.
pub fn board_of(generation: Generation, sockets: u8, channels: u8, positions: u8) -> BoardFacts {
    let free = MixPolicy::everywhere(Mix::Allowed);
    BoardFacts {
        id: "oracle".into(),
        name: "Board of an instance".into(),
        invented: true,
        sources: vec![Source {
            title: "synthetic instance".into(),
            section: "board".into(),
        }],
        generation,
        sockets,
        channels,
        positions,
        slots: slots(sockets, channels, positions),
        nodes: vec![1; usize::from(channels)],
        supply: match generation {
            Generation::Ddr3 => vec![Millivolts(1350), Millivolts(1500)],
            Generation::Ddr4 => vec![Millivolts(1200)],
            Generation::Ddr5 => vec![Millivolts(1100)],
        },
        input: Limit::None,
        processors: vec![Processor {
            id: "p".into(),
            name: "P".into(),
            rate: Limit::None,
            capacity: Limit::None,
            channels: None,
        }],
        socket_order: (1..=sockets).collect(),
        accepts: Vec::new(),
        ecc: EccNeed::Required,
        rank_budget: Limit::None,
        lowest_rate: Limit::None,
        rates: Vec::new(),
        unlisted_rate: Unlisted::Unsupported,
        rate_steps: Vec::new(),
        slot_groups: Limit::None,
        rank_interleave: Limit::None,
        layouts: Vec::new(),
        filling: vec![Filling {
            sockets_fitted: (1..=sockets).collect(),
            position_order: (1..=positions).collect(),
            channel_order: None,
            module_counts: None,
            advised_modules: Limit::None,
            rank_order: false,
            board_capacity: Limit::None,
        }],
        levelling: Scope::Board,
        interleave: Vec::new(),
        mixing: Mixing {
            kinds: free,
            ecc: free,
            stacks: free,
            widths: free,
            die_densities: free,
            ecc_bits: free,
            ranks: free,
            capacities: free,
            capacities_per_channel: Limit::None,
            capacities_per_board: Limit::None,
            part_numbers: free,
            product_lines: free,
            dram_makers: free,
            dram_makers_from: Limit::None,
        },
        protections: Vec::new(),
        socket_capacity: Limit::None,
        slot_power: Limit::None,
        height: Limit::None,
        fillers: false,
        cautions: Vec::new(),
        severities: Vec::new(),
    }
}

fn slots(sockets: u8, channels: u8, positions: u8) -> Vec<Slot> {
    let mut slots = Vec::new();
    for socket in 1..=sockets {
        for channel in 1..=channels {
            for position in 1..=positions {
                slots.push(Slot {
                    label: format!("S{socket}C{channel}P{position}"),
                    place: Place {
                        socket,
                        channel,
                        position,
                    },
                    drawn_at: (slots.len() as u16, 0),
                    key: KeySide::Top,
                    reported_as: None,
                });
            }
        }
    }
    slots
}
