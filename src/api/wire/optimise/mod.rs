//! The request to optimise, and its way into the core.

pub mod alternative;
pub mod answer;
pub mod diagnosis;
pub mod preference;
pub mod sale;
mod sum;

use crate::catalogue::Catalogue;
use crate::domain::board::Board;
use crate::domain::explain::Named;
use crate::domain::optimise::{Key, Limits, Preference, Task};
use crate::domain::request::PartIx;
use crate::domain::rules::RuleSet;
use crate::domain::units::{Currency, MegabytesPerSecond};
use crate::wirecheck::Faults;
use serde::Deserialize;
use utoipa::ToSchema;

use super::reported::Installed;
use super::request::{
    BoardRef, InstalledPolicyName, ProtectionName, ValidateRequest, VoltagePolicyName, WishesEntry,
};
use super::resolve::{Reader, Resolved};
use crate::catalogue::record::MoneyRecord;
use alternative::AlternativeEntry;
use preference::{FrontEntry, PreferenceEntry};
use sale::ForSale;
use sum::Slots;

/// Steps of the search, if the request does not say.
pub const USUAL_STEPS: u64 = 2_000_000;

/// Time for the search in ms, if the request does not say.
pub const USUAL_TIME: u64 = 3_000;

/// Alternatives, if the request does not say.
const USUAL_PLANS: u16 = 1;

/// What should be bought? A board, what is installed, what is for sale, what the result must be like,
/// and what is preferred.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct OptimiseRequest {
    /// The caller's own reference; echoed, never read.
    #[schema(example = "quote-2041", max_length = 200)]
    pub reference: Option<String>,
    /// The board: an id of the catalogue, or a whole record.
    #[schema(required = true, nullable = false)]
    pub board: Option<BoardRef>,
    /// One entry for each socket: a processor model of the board, `fitted` (model not told) or
    /// `empty`. Left out, every socket is fitted and a plan must suit every model.
    #[schema(example = json!(["tarn-8", "empty"]), max_items = 64)]
    pub processors: Option<Vec<String>>,
    /// The board's firmware version.
    #[schema(example = "2.4", max_length = 100)]
    pub firmware: Option<String>,
    /// Modules that are installed: a list of them, or an inventory report of the machine.
    pub installed: Option<Installed>,
    /// What may happen to them; `in_place` if left out.
    pub installed_policy: Option<InstalledPolicyName>,
    /// The protection wished; `none` if left out.
    pub protection: Option<ProtectionName>,
    /// Which supply voltage is set where several are possible; `fastest` if left out.
    pub voltage_policy: Option<VoltagePolicyName>,
    /// What the result must be like: here every wish must be met, whether `must` names it or not. The
    /// budget covers modules and handling. A balance means that channels (or sockets) hold the same
    /// modules.
    pub wishes: Option<WishesEntry>,
    /// What can be bought: `catalogue` (the modules of the catalogue that have a price and are of the
    /// board's generation), or a list. The catalogue if left out.
    pub for_sale: Option<ForSale>,
    /// What moving or taking out one installed module costs.
    pub handling: Option<MoneyRecord>,
    /// Limits beside the wishes.
    pub limits: Option<LimitsEntry>,
    /// What is preferred among plans that meet every wish; the lowest cost, then the highest rate, if
    /// left out.
    pub preference: Option<PreferenceEntry>,
    /// How many plans are wanted at most, the best first. Each holds at most 1024 modules, as many as a
    /// check takes. They differ in how many modules of each build are on the board (modules that no rule
    /// tells apart are of one build); or, where that is the same, each leaves out at least one module
    /// that every better one buys.
    #[schema(example = 3, minimum = 1, maximum = 20)]
    pub plans: Option<u16>,
    /// Asks for every plan that no other beats in all of two or three things, in place of the best
    /// one.
    pub front: Option<FrontEntry>,
    /// The most time for the search, in ms, from when the request came; 3000 if left out. One that had
    /// to wait for a thread gets a tenth of it in any case. A search that is cut by time answers with
    /// what it has found, says so, and may answer otherwise the next time.
    #[schema(example = 3000, minimum = 1, maximum = 8000)]
    pub time_ms: Option<u64>,
    /// The most steps of the search; 2000000 if left out. A search that is cut by steps answers with
    /// what it has found, and always the same.
    #[schema(example = 2_000_000, minimum = 1, maximum = 1_000_000_000)]
    pub steps: Option<u64>,
}

/// Limits that a check has no wish for.
#[derive(Clone, Debug, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LimitsEntry {
    /// Only one part number among all modules on the board.
    #[schema(example = true)]
    pub one_part: Option<bool>,
    /// The most builds of module on the board: capacity, ranks, width and all else that rules see,
    /// rate, voltages and price aside.
    #[schema(example = 2, minimum = 1, maximum = 64)]
    pub builds_at_most: Option<u16>,
    /// Peak bandwidth at least, in MB/s (10^6 bytes a second).
    #[schema(example = 68000, minimum = 1, maximum = 1_000_000_000)]
    pub peak_at_least_mb_per_s: Option<u64>,
    /// Bandwidth when all memory is read evenly, at least, in MB/s (10^6 bytes a second).
    #[schema(example = 68000, minimum = 1, maximum = 1_000_000_000)]
    pub uniform_at_least_mb_per_s: Option<u64>,
    /// The most installed modules that are moved or taken out.
    #[schema(example = 0, minimum = 0, maximum = 1024)]
    pub moved_at_most: Option<u32>,
}

/// What a request asks, with its names found.
pub struct Asked<'a> {
    /// Board, request and notes.
    pub resolved: Resolved<'a>,
    /// The parts that may be bought.
    pub for_sale: Vec<PartIx>,
    /// Modules of the catalogue that were left aside: without a price, or in another currency.
    pub set_aside: u32,
    /// Where each line of the list for sale went; nothing for the catalogue.
    pub lines: Vec<Option<PartIx>>,
    stocks: Vec<Option<u32>>,
    /// The currency of all amounts, where something has a price.
    pub currency: Option<Currency>,
    handling: i64,
    /// Limits beside the wishes.
    pub limits: Limits,
    /// What is preferred.
    pub preference: Preference,
    plans: u16,
    /// Keys of the front and its most points.
    pub front: Option<(Vec<Key>, usize)>,
    /// In ms.
    pub time: u64,
    steps: u64,
}

impl Asked<'_> {
    /// The line of the request's own list that offers a part: a JSON Pointer.
    pub fn line_of(&self, part: PartIx) -> Option<String> {
        let line = self.line_ix(part)?;
        Some(format!("/for_sale/{line}"))
    }

    /// The stock that the line of a part tells, in place of the module's own.
    pub fn stock_of_line(&self, part: PartIx) -> Option<u32> {
        *self.stocks.get(self.line_ix(part)?)?
    }

    fn line_ix(&self, part: PartIx) -> Option<usize> {
        self.lines.iter().position(|own| *own == Some(part))
    }

    /// The core's task.
    pub fn task<'t>(&'t self, stop: &'t dyn Fn() -> bool) -> Task<'t> {
        Task {
            board: self.resolved.board.board(),
            request: self.resolved.request.clone(),
            for_sale: self.for_sale.clone(),
            handling: self.handling,
            limits: self.limits,
            preference: self.preference.clone(),
            plans: self.plans,
            ignored: RuleSet::none(),
            steps: self.steps,
            stop,
        }
    }
}

impl OptimiseRequest {
    /// Looks every name up.
    ///
    /// # Errors
    /// Everything that cannot be found or used, with pointers.
    pub fn resolve<'a>(&self, catalogue: &'a Catalogue) -> Result<Asked<'a>, Faults> {
        self.resolve_beside(catalogue, |_, _| ())
            .map(|(asked, ())| asked)
    }

    /// The same for a request to explain why not another kit, which is read beside it.
    ///
    /// # Errors
    /// Everything that cannot be found or used, with pointers.
    pub fn resolve_with<'a>(
        &self,
        catalogue: &'a Catalogue,
        alternative: &AlternativeEntry,
    ) -> Result<(Asked<'a>, Option<Named>), Faults> {
        let both = self.resolve_beside(catalogue, |reader, board| alternative.read(reader, board));
        both.map(|(asked, named)| {
            let plans = asked.plans.max(alternative.plan.unwrap_or(1));
            (Asked { plans, ..asked }, named)
        })
    }

    fn resolve_beside<'a, T>(
        &self,
        catalogue: &'a Catalogue,
        more: impl FnOnce(&mut Reader<'a>, &Board) -> T,
    ) -> Result<(Asked<'a>, T), Faults> {
        let names = |reader: &mut Reader<'a>| {
            sale::names(self, reader);
            preference::check(self, reader);
        };
        let resolved = self
            .state()
            .resolve_with(catalogue, names, |reader, board, request| {
                let sold = sale::read(self, reader, board, request);
                preference::check(self, reader);
                let modules = reader.parts.iter().map(|(_, module)| &**module);
                let slots = Slots {
                    all: board.slots.len(),
                    installed: request.installed.len(),
                    channels: usize::from(board.sockets) * usize::from(board.channels),
                };
                let fault = sum::check(self, &modules.collect::<Vec<_>>(), slots);
                reader.faults.extend(fault);
                (sold, more(reader, board))
            });
        let (resolved, (sold, more)) = resolved?;
        let asked = Asked {
            resolved,
            for_sale: sold.parts,
            set_aside: sold.set_aside,
            lines: sold.lines,
            stocks: sold.stocks,
            currency: sold.currency,
            handling: self.handling.as_ref().map_or(0, |money| money.minor),
            limits: self.core_limits(),
            preference: preference::read(self),
            plans: self.plans.unwrap_or(USUAL_PLANS),
            front: preference::front(self),
            time: self.time_ms.unwrap_or(USUAL_TIME),
            steps: self.steps.unwrap_or(USUAL_STEPS),
        };
        Ok((asked, more))
    }

    /// The members that it shares with a request to validate.
    fn state(&self) -> ValidateRequest {
        ValidateRequest {
            reference: self.reference.clone(),
            board: self.board.clone(),
            processors: self.processors.clone(),
            firmware: self.firmware.clone(),
            installed: self.installed.clone(),
            installed_policy: self.installed_policy,
            protection: self.protection,
            voltage_policy: self.voltage_policy,
            wishes: self.wishes.clone(),
            ..ValidateRequest::default()
        }
    }

    fn core_limits(&self) -> Limits {
        let Some(limits) = &self.limits else {
            return Limits::default();
        };
        Limits {
            one_part: limits.one_part.unwrap_or(false),
            builds_at_most: limits.builds_at_most,
            peak_at_least: limits.peak_at_least_mb_per_s.map(MegabytesPerSecond),
            uniform_at_least: limits.uniform_at_least_mb_per_s.map(MegabytesPerSecond),
            moved_at_most: limits.moved_at_most,
            ..Limits::default()
        }
    }
}
