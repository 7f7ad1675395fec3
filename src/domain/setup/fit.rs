//! A module matched with the board's acceptance rows: whether it is taken, by which row, and the ranks
//! that count.

use super::super::board::Board;
use super::super::board::accept::{AcceptRow, Multiplication, SeenRanks};
use super::super::finding::{Fact, Missing};
use super::super::module::Module;
use super::super::request::PartIx;
use super::super::timing::rating_on;
use super::super::units::Mts;
use super::traits::Traits;

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
    /// What rate rows look at.
    pub traits: Traits,
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

impl Seen {
    /// A module has at least one rank.
    const SOME: Self = Self {
        at_least: 1,
        exact: false,
    };
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
        self.seen.get(index).copied().unwrap_or(Seen::SOME)
    }

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

/// Narrows the rows down facet by facet.
pub(super) fn fit<'a>(board: &'a Board, module: &Module) -> PartFit<'a> {
    let rating = rating_on(&board.rate_steps, module);
    let mut rows: Vec<&AcceptRow> = board.accepts.iter().collect();
    let mut passed_over = Vec::new();
    for facet in Facet::ALL {
        let takes = |row: &&AcceptRow| facet.matches(row, module) != Some(false);
        if rows.iter().any(takes) {
            rows.retain(takes);
            continue;
        }
        // Without a row of its kind nothing is said of the module.
        if facet != Facet::Kind && board.lowers(facet.rule()) {
            passed_over.push(facet);
            continue;
        }
        let seen = std::array::from_fn(|index| seen(&rows, module, index as u8 + 1));
        return PartFit {
            standing: Standing::Refused(facet),
            rows: Vec::new(),
            nearest: rows,
            passed_over,
            sure: false,
            traits: Traits::of(module, &seen),
            seen,
            rating,
        };
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
        // Nothing refuses it, unless passed over.
        nearest: match passed_over.is_empty() {
            true => Vec::new(),
            false => rows.clone(),
        },
        rows,
        passed_over,
        sure: certain.is_some(),
        traits: Traits::of(module, &seen),
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
        return Seen::SOME;
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
        None => Seen::SOME,
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
fn multiplied(rows: &[Multiplication], module: &Module, wired: u8) -> Option<u8> {
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
