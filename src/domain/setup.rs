//! A request bound to a board: sockets resolved, and each module matched with the board's
//! acceptance rows once.

use super::board::accept::{AcceptRow, SeenRanks};
use super::board::filling::Filling;
use super::board::policy::{ProtectionOffer, UnequalGroups};
use super::board::{Board, ChannelIx, Limit, Processor};
use super::finding::{Fact, Missing};
use super::module::Module;
use super::request::{PartIx, Request, SocketState};
use super::timing::rating_on;
use super::units::{Millivolts, Mts};

/// A request bound to a board.
#[derive(Clone)]
pub struct Setup<'a> {
    /// The board.
    pub board: &'a Board,
    /// The request.
    pub request: &'a Request,
    /// The row for the number of sockets fitted.
    pub filling: &'a Filling,
    /// The processor of each socket, socket 1 first: none, unknown, or a model of the board.
    sockets: Vec<SocketState>,
    /// Whether each channel works, and the rate ceiling of each socket: asked again and again.
    works: Vec<Option<bool>>,
    ceilings: Vec<Result<Option<Mts>, Missing>>,
    /// How each part fares: of a long catalogue only those that will sit on the board are asked for.
    fits: Vec<Option<PartFit<'a>>>,
    /// Modules that will sit on the board: those that come out are not judged.
    seated: Vec<PartIx>,
    /// Supply voltages that the board sets and no seated module is known to refuse, ascending.
    supplies: Vec<Millivolts>,
    /// Whether a protection group that firmware would leave out counts as refused.
    keeps_groups: bool,
}

/// A facet of an acceptance row, in the order in which rows are narrowed down: the first that
/// leaves no row is the cause that is reported.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs, reason = "named after the members of the row")]
pub enum Facet {
    Kind,
    Capacity,
    Ranks,
    Width,
    Stack,
    DieDensity,
    EccBits,
    Supply,
}

impl Facet {
    /// All, in the order of narrowing down.
    pub const ALL: [Self; 8] = [
        Self::Kind,
        Self::Capacity,
        Self::Ranks,
        Self::Width,
        Self::Stack,
        Self::DieDensity,
        Self::EccBits,
        Self::Supply,
    ];

    /// The rule that refuses a module by it.
    const fn rule(self) -> &'static str {
        match self {
            Self::Kind => "kind-not-taken",
            Self::Capacity => "capacity-not-taken",
            Self::Ranks => "ranks-not-taken",
            Self::Width => "width-not-taken",
            Self::Stack => "stack-not-taken",
            Self::DieDensity => "die-density-not-taken",
            Self::EccBits => "ecc-bits-not-taken",
            Self::Supply => "supply-voltage-not-common",
        }
    }

    /// The module's fact that it looks at.
    pub const fn fact(self) -> Fact {
        match self {
            Self::Kind => Fact::Kind,
            Self::Capacity => Fact::Capacity,
            Self::Ranks => Fact::PackageRanks,
            Self::Width => Fact::Width,
            Self::Stack => Fact::StackHeight,
            Self::DieDensity => Fact::DieDensity,
            Self::EccBits => Fact::EccBits,
            Self::Supply => Fact::Supply,
        }
    }

    /// Whether a row takes only some modules by this facet.
    pub const fn is_limited_by(self, row: &AcceptRow) -> bool {
        match self {
            Self::Kind => true,
            Self::Capacity => row.capacities.is_some(),
            Self::Ranks => row.ranks.is_some(),
            Self::Width => row.widths.is_some(),
            Self::Stack => row.stacks.is_some(),
            Self::DieDensity => row.die_densities.is_some(),
            Self::EccBits => row.ecc_bits.is_some(),
            Self::Supply => row.supply.is_some(),
        }
    }

    /// Whether a row takes a module by this facet; `None` if the fact is not known.
    fn matches(self, row: &AcceptRow, module: &Module) -> Option<bool> {
        fn one_of<T: PartialEq>(list: &Option<Vec<T>>, fact: Option<T>) -> Option<bool> {
            match (list, fact) {
                (None, _) => Some(true),
                (Some(list), Some(fact)) => Some(list.contains(&fact)),
                (Some(_), None) => None,
            }
        }
        match self {
            Self::Kind => module.kind.map(|kind| kind == row.kind),
            Self::Capacity => one_of(&row.capacities, module.capacity),
            Self::Ranks => one_of(&row.ranks, module.package_ranks),
            Self::Width => one_of(&row.widths, module.width),
            Self::Stack => one_of(&row.stacks, module.stack_height),
            Self::DieDensity => one_of(&row.die_densities, module.die_density),
            Self::EccBits => one_of(&row.ecc_bits, module.ecc_bits),
            Self::Supply => match (&row.supply, &module.supply) {
                (None, _) => Some(true),
                (Some(list), Some(supply)) => Some(list.iter().any(|mv| supply.contains(mv))),
                (Some(_), None) => None,
            },
        }
    }
}

/// How a module fares with the board's acceptance rows.
#[derive(Clone, Debug)]
pub struct PartFit<'a> {
    /// What came out.
    pub standing: Standing,
    /// The rows that may still be the module's: one when it is known, several when a fact is
    /// missing, none when it is refused.
    pub rows: Vec<&'a AcceptRow>,
    /// The rows that were left before the facet that refused the module; for telling what would be
    /// taken.
    pub nearest: Vec<&'a AcceptRow>,
    /// Facets by which no row takes the module though the board's policy lets that pass: the rows are
    /// narrowed down by the others.
    passed_over: Vec<Facet>,
    /// Whether some row takes the module whatever the missing facts are.
    sure: bool,
    /// Ranks that count against the channel's budget, by positions wired (1 to 4).
    seen: [Seen; 4],
    rating: Option<Mts>,
}

/// Whether a board takes a module.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Standing {
    /// It does.
    Taken,
    /// No row is left after this facet.
    Refused(Facet),
    /// It depends on these facts.
    Open(Vec<Facet>),
}

/// A rank count of which only a lower bound may be known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seen {
    /// At least this many.
    pub at_least: u16,
    /// Whether it is exactly that many.
    pub exact: bool,
}

impl PartFit<'_> {
    /// The one row that holds for the module.
    pub fn row(&self) -> Option<&AcceptRow> {
        match (&self.standing, self.rows.as_slice()) {
            (Standing::Taken, [row, ..]) => Some(row),
            _ => None,
        }
    }

    /// Whether the board takes the module, even if it is open which row holds for it.
    pub const fn is_surely_taken(&self) -> bool {
        self.sure
    }

    /// Whether no row takes the module by a facet.
    pub fn refuses_by(&self, facet: Facet) -> bool {
        self.standing == Standing::Refused(facet) || self.passed_over.contains(&facet)
    }

    /// Whether no row takes a module of its kind.
    pub fn is_of_foreign_kind(&self) -> bool {
        self.standing == Standing::Refused(Facet::Kind)
    }

    /// The rows whose limits may be the module's. Those of a refused module are the rows that came
    /// nearest.
    pub fn limits(&self) -> &[&AcceptRow] {
        match self.standing {
            Standing::Refused(Facet::Kind) => &[],
            Standing::Refused(_) => &self.nearest,
            Standing::Taken | Standing::Open(_) => &self.rows,
        }
    }

    /// The facts that leave open which row holds.
    pub fn open_facts(&self, part: PartIx) -> Vec<Missing> {
        match &self.standing {
            Standing::Open(facets) if facets.is_empty() => {
                vec![Missing::general(Fact::BoardLimit)]
            }
            Standing::Open(facets) => facets
                .iter()
                .map(|facet| Missing::of(part, facet.fact()))
                .collect(),
            Standing::Taken | Standing::Refused(_) => Vec::new(),
        }
    }

    /// The rate that the module is good for, as the board's firmware takes it.
    pub fn rating(&self) -> Option<Mts> {
        self.rating
    }

    /// Ranks that count on a channel with so many positions wired.
    pub fn seen(&self, wired: u8) -> Seen {
        let index = usize::from(wired.clamp(1, 4)) - 1;
        self.seen.get(index).copied().unwrap_or(Seen {
            at_least: 1,
            exact: false,
        })
    }
}

impl PartFit<'_> {
    /// The fact that keeps the module's seen ranks from being exact.
    pub fn rank_fact(&self, module: &Module) -> Fact {
        let counts =
            |wanted: fn(&SeenRanks) -> bool| self.rows.iter().any(|row| wanted(&row.seen_ranks));
        match &self.standing {
            _ if module.package_ranks.is_none() => Fact::PackageRanks,
            Standing::Open(facets) => facets.first().map_or(Fact::Kind, |facet| facet.fact()),
            _ if module.stack_height.is_none() && counts(|seen| *seen == SeenRanks::Logical) => {
                Fact::StackHeight
            }
            _ if module.die_density.is_none() => Fact::DieDensity,
            _ => Fact::BoardLimit,
        }
    }
}

impl<'a> Setup<'a> {
    /// Binds a request to a board. `model` stands in for processors whose model nobody told.
    ///
    /// Returns `None` if the record has no filling row for the number of sockets fitted, which a
    /// checked board only lacks when no socket is fitted; then the row for one socket is used.
    pub fn new(board: &'a Board, request: &'a Request, model: Option<usize>) -> Option<Self> {
        let sockets: Vec<SocketState> = (0..usize::from(board.sockets))
            .map(|index| {
                match request
                    .sockets
                    .as_ref()
                    .map(|told| told.get(index).copied())
                {
                    None => SocketState::Fitted(model),
                    Some(Some(SocketState::Fitted(told))) => SocketState::Fitted(told.or(model)),
                    Some(Some(SocketState::Empty) | None) => SocketState::Empty,
                }
            })
            .collect();
        let fitted = sockets
            .iter()
            .filter(|state| **state != SocketState::Empty)
            .count();
        let filling = board.filling_for(u8::try_from(fitted.max(1)).ok()?)?;
        let seated = seated(request);
        let fits = request
            .part_ixs()
            .zip(&request.parts)
            .map(|(part, module)| {
                let asked = seated.is_empty() || seated.binary_search(&part).is_ok();
                asked.then(|| fit(board, module))
            })
            .collect();
        let mut setup = Self {
            board,
            request,
            filling,
            sockets,
            works: Vec::new(),
            ceilings: Vec::new(),
            fits,
            seated,
            supplies: Vec::new(),
            keeps_groups: false,
        };
        setup.works = setup.each_channel();
        setup.ceilings = (1..=board.sockets).map(|s| setup.ceiling_of(s)).collect();
        setup.supplies = setup.common_supplies();
        Some(setup)
    }

    /// The same, where no protection group may be left out: for the placement that loses nothing.
    pub fn keeping_groups(&self) -> Self {
        Self {
            keeps_groups: true,
            ..self.clone()
        }
    }

    /// Whether no protection group may be left out.
    pub fn keeps_groups(&self) -> bool {
        self.keeps_groups
    }

    /// Whether firmware leaves out the memory of a protection group whose channels are not filled
    /// alike, rather than refusing the protection.
    pub fn leaves_groups_out(&self) -> bool {
        let loses = |offer: &ProtectionOffer| offer.unequal_groups == UnequalGroups::Lost;
        !self.keeps_groups && self.offer().is_some_and(loses)
    }

    fn common_supplies(&self) -> Vec<Millivolts> {
        let refused = |mv| self.seated.iter().any(|part| self.refuses(*part, mv));
        let all = self.board.supply.iter().copied();
        all.filter(|mv| !refused(*mv)).collect()
    }

    /// Whether a module is known not to run at a supply voltage: by its own facts, or because the
    /// board takes it at others only.
    pub fn refuses(&self, part: PartIx, supply: Millivolts) -> bool {
        let lacks = |list: &Option<Vec<Millivolts>>| {
            list.as_ref().is_some_and(|list| !list.contains(&supply))
        };
        let rows = self.fit(part).map_or(&[][..], |fit| &fit.rows);
        self.request.part(part).is_some_and(|m| lacks(&m.supply))
            || (!rows.is_empty() && rows.iter().all(|row| lacks(&row.supply)))
    }

    /// Whether a module is known to run at a supply voltage, whichever row holds for it.
    pub fn surely_runs(&self, part: PartIx, supply: Millivolts) -> bool {
        let has = |list: &Option<Vec<Millivolts>>| list.as_ref().map(|list| list.contains(&supply));
        let rows = self.fit(part).map_or(&[][..], |fit| &fit.rows);
        self.request
            .part(part)
            .is_some_and(|m| has(&m.supply) == Some(true))
            && rows.iter().all(|row| has(&row.supply) != Some(false))
    }

    /// Seated modules whose supply voltages nobody told.
    pub fn supply_unknown(&self) -> impl Iterator<Item = PartIx> + '_ {
        let unknown = |part: &PartIx| self.request.part(*part).is_some_and(|m| m.supply.is_none());
        self.seated.iter().copied().filter(unknown)
    }

    /// Seated modules of which it is open whether they run at each of the common voltages: nobody told
    /// theirs, or the rows that may hold for them differ.
    pub fn supply_open(&self) -> impl Iterator<Item = PartIx> + '_ {
        let sure = |part: PartIx| self.supplies.iter().all(|mv| self.surely_runs(part, *mv));
        let seated = self.seated.iter().copied();
        seated.filter(move |part| !sure(*part))
    }

    /// The facts that tell at which voltages a module runs.
    pub fn supply_facts(&self, part: PartIx) -> Vec<Missing> {
        let untold = self.request.part(part).filter(|m| m.supply.is_none());
        let own = untold.map(|_| Missing::of(part, Fact::Supply));
        let rows = self.fit(part).map(|fit| fit.open_facts(part));
        own.into_iter().chain(rows.into_iter().flatten()).collect()
    }

    /// Whether all modules of a part are surely alike in what nobody told: they share a part number
    /// or are one line of the kit. Equal records of several slots may stand for different modules.
    pub fn is_one_product(&self, part: PartIx) -> bool {
        let told = |module: &Module| module.part_number.is_some();
        if self.request.part(part).is_some_and(told) {
            return true;
        }
        let kit = self.request.kit.iter().map(|line| line.part);
        let slots = self.request.population.iter().map(|entry| entry.part);
        let installed = self.request.installed.iter().map(|entry| entry.part);
        let all = kit.chain(slots).chain(installed);
        all.filter(|other| *other == part).count() <= 1
    }

    /// Modules that will sit on the board, each once.
    pub fn seated(&self) -> &[PartIx] {
        &self.seated
    }

    /// Supply voltages that the board sets and no seated module is known to refuse, ascending.
    pub fn supplies(&self) -> &[Millivolts] {
        &self.supplies
    }

    /// How a module that will sit on the board fares with its acceptance rows; any module where
    /// nothing is to sit there.
    pub fn fit(&self, part: PartIx) -> Option<&PartFit<'a>> {
        self.fits.get(usize::from(part.0))?.as_ref()
    }

    /// The state of a socket (from 1).
    pub fn socket(&self, socket: u8) -> SocketState {
        self.sockets
            .get(usize::from(socket.saturating_sub(1)))
            .copied()
            .unwrap_or(SocketState::Empty)
    }

    /// Whether a socket (from 1) has a processor.
    pub fn is_fitted(&self, socket: u8) -> bool {
        self.socket(socket) != SocketState::Empty
    }

    /// Sockets with a processor, from 1.
    pub fn fitted_sockets(&self) -> impl Iterator<Item = u8> + '_ {
        (1..=self.board.sockets).filter(|socket| self.is_fitted(*socket))
    }

    /// The processor model of a socket (from 1), if there is one and it is known.
    pub fn processor(&self, socket: u8) -> Option<&'a Processor> {
        match self.socket(socket) {
            SocketState::Fitted(Some(model)) => self.board.processors.get(model),
            _ => None,
        }
    }

    /// Whether the modules on a channel (socket and channel from 1) are reached: the socket has a
    /// processor, and its model wires the channel. `None` if that depends on the model.
    pub fn channel_works(&self, socket: u8, channel: u8) -> Option<bool> {
        self.works_at(self.board.channel_at(socket, channel))
    }

    /// The same by the channel's index over the whole board.
    pub fn works_at(&self, channel: ChannelIx) -> Option<bool> {
        let own = self.works.get(usize::from(channel.0));
        own.copied().unwrap_or(Some(false))
    }

    fn each_channel(&self) -> Vec<Option<bool>> {
        let addresses = self.board.all_channels().map(|c| self.board.address(c));
        addresses
            .map(|(socket, channel)| self.reaches(socket, channel))
            .collect()
    }

    fn reaches(&self, socket: u8, channel: u8) -> Option<bool> {
        let works = |p: &Processor| {
            p.channels
                .as_ref()
                .is_none_or(|list| list.contains(&channel))
        };
        match (self.socket(socket), self.processor(socket)) {
            (SocketState::Empty, _) => Some(false),
            (_, Some(processor)) => Some(works(processor)),
            (_, None) if self.board.processors.iter().all(works) => Some(true),
            (_, None) if !self.board.processors.iter().any(works) => Some(false),
            (_, None) => None,
        }
    }

    /// The rate ceiling of a socket's processor; without a told model, the one that all models share.
    ///
    /// # Errors
    /// The fact that is missing.
    pub fn rate_ceiling(&self, socket: u8) -> Result<Option<Mts>, Missing> {
        let index = usize::from(socket.saturating_sub(1));
        self.ceilings.get(index).copied().unwrap_or(Ok(None))
    }

    fn ceiling_of(&self, socket: u8) -> Result<Option<Mts>, Missing> {
        let ceiling = |limit: Limit<Mts>| match limit {
            Limit::Is(rate) => Ok(Some(rate)),
            Limit::None => Ok(None),
            Limit::Unknown => Err(Missing::general(Fact::BoardLimit)),
        };
        match (self.socket(socket), self.processor(socket)) {
            (_, Some(processor)) => ceiling(processor.rate),
            // Memory of an empty socket does not run; what it would run is told without a processor.
            (SocketState::Empty, None) => Ok(None),
            (SocketState::Fitted(_), None) => {
                let mut limits = self.board.processors.iter().map(|p| p.rate);
                let first = limits.next().unwrap_or(Limit::None);
                if limits.all(|limit| limit == first) {
                    ceiling(first)
                } else {
                    Err(Missing::general(Fact::ProcessorModel))
                }
            }
        }
    }

    /// What the caller calls a module.
    pub fn part_name(&self, part: PartIx) -> &'a str {
        self.request
            .part(part)
            .map_or("?", |module| module.name.as_str())
    }
}

fn seated(request: &Request) -> Vec<PartIx> {
    let kit = request.kit.iter().map(|line| line.part);
    let population = request.population.iter().map(|entry| entry.part);
    let installed = request.staying().map(|(_, entry)| entry.part);
    let mut seated: Vec<PartIx> = kit.chain(population).chain(installed).collect();
    seated.sort_unstable();
    seated.dedup();
    seated
}

/// Narrows the rows down facet by facet.
fn fit<'a>(board: &'a Board, module: &Module) -> PartFit<'a> {
    let rating = rating_on(&board.rate_steps, module);
    let mut rows: Vec<&AcceptRow> = board.accepts.iter().collect();
    let mut passed_over = Vec::new();
    for facet in Facet::ALL {
        let left: Vec<&AcceptRow> = rows
            .iter()
            .copied()
            .filter(|row| facet.matches(row, module) != Some(false))
            .collect();
        // Without a row of its kind nothing is said of the module.
        if left.is_empty() && facet != Facet::Kind && board.lowers(facet.rule()) {
            passed_over.push(facet);
            continue;
        }
        if left.is_empty() {
            let seen = std::array::from_fn(|index| seen(&rows, module, index as u8 + 1));
            return PartFit {
                standing: Standing::Refused(facet),
                rows: left,
                nearest: rows,
                passed_over,
                sure: false,
                seen,
                rating,
            };
        }
        rows = left;
    }
    // Rows stand in order: one that matches for certain hides those behind it. Of several that do not
    // take the module any may be meant.
    let none_hides = !passed_over.is_empty() && rows.len() > 1;
    let certain = rows.iter().filter(|_| !none_hides).position(|row| {
        let mut judged = Facet::ALL.iter().filter(|f| !passed_over.contains(f));
        judged.all(|f| f.matches(row, module) == Some(true))
    });
    if let Some(index) = certain {
        rows.truncate(index + 1);
    }
    let standing = if certain == Some(0) {
        Standing::Taken
    } else {
        Standing::Open(open_facets(&rows, module, &passed_over))
    };
    let seen = std::array::from_fn(|index| seen(&rows, module, index as u8 + 1));
    PartFit {
        standing,
        nearest: rows.clone(),
        rows,
        passed_over,
        sure: certain.is_some(),
        seen,
        rating,
    }
}

fn open_facets(rows: &[&AcceptRow], module: &Module, passed_over: &[Facet]) -> Vec<Facet> {
    Facet::ALL
        .into_iter()
        .filter(|facet| !passed_over.contains(facet))
        .filter(|facet| rows.iter().any(|row| facet.matches(row, module).is_none()))
        .collect()
}

/// The ranks that count, over all rows that may hold: exact only if they agree.
fn seen(rows: &[&AcceptRow], module: &Module, wired: u8) -> Seen {
    let mut counts = rows.iter().map(|row| seen_by_row(row, module, wired));
    let Some(first) = counts.next() else {
        return Seen {
            at_least: 1,
            exact: false,
        };
    };
    counts.fold(first, |all, next| Seen {
        at_least: all.at_least.min(next.at_least),
        exact: all.exact && next.exact && all.at_least == next.at_least,
    })
}

fn seen_by_row(row: &AcceptRow, module: &Module, wired: u8) -> Seen {
    let exactly = |count: Option<u8>| match count {
        Some(count) => Seen {
            at_least: u16::from(count),
            exact: true,
        },
        // A module has at least one rank.
        None => Seen {
            at_least: 1,
            exact: false,
        },
    };
    match &row.seen_ranks {
        SeenRanks::Package => exactly(module.package_ranks),
        SeenRanks::Logical => match (module.logical_ranks(), module.package_ranks) {
            (None, Some(ranks)) => Seen {
                at_least: u16::from(ranks),
                exact: false,
            },
            (logical, _) => exactly(logical),
        },
        SeenRanks::Multiplied(rows) => exactly(multiplied(rows, module, wired)),
    }
}

/// The first row that matches gives the factor; a row that may match but for a missing fact leaves
/// the count open.
fn multiplied(
    rows: &[super::board::accept::Multiplication],
    module: &Module,
    wired: u8,
) -> Option<u8> {
    let ranks = module.package_ranks?;
    let mut candidates = rows.iter().filter(|row| {
        row.ranks.contains(&ranks)
            && row
                .positions_wired
                .as_ref()
                .is_none_or(|list| list.contains(&wired))
    });
    let row = candidates.find(|row| match (row.die_at_most, module.die_density) {
        (Some(most), Some(density)) => density <= most,
        _ => true,
    })?;
    if row.die_at_most.is_some() && module.die_density.is_none() {
        return None;
    }
    ranks.checked_div(row.factor)
}
