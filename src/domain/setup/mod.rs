//! A request bound to a board: sockets resolved, and each module matched with the board's
//! acceptance rows once.

mod fit;
mod traits;

pub use fit::{Facet, PartFit, Seen, Standing};
pub use traits::Traits;

use super::board::filling::Filling;
use super::board::policy::{ProtectionOffer, UnequalGroups};
use super::board::{Board, ChannelIx, Limit, Processor};
use super::finding::{Fact, Missing};
use super::module::Module;
use super::request::{PartIx, Request, SocketState};
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
                asked.then(|| fit::fit(board, module))
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

    /// Whether a protection may lose memory that sits in the wrong place: that of groups that are not
    /// filled alike, or of channels of no group.
    pub fn may_lose_groups(&self) -> bool {
        let grouped = |offer: &ProtectionOffer, channel: u8| {
            offer.groups.iter().any(|group| group.contains(&channel))
        };
        let outside = |offer: &ProtectionOffer| {
            let mut channels = 1..=self.board.channels;
            !offer.groups.is_empty() && channels.any(|channel| !grouped(offer, channel))
        };
        self.leaves_groups_out() || !self.keeps_groups && self.offer().is_some_and(outside)
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
