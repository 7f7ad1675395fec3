//! What is for sale: the catalogue, or a list of one's own.

use crate::catalogue::record::MoneyRecord;
use crate::domain::board::Board;
use crate::domain::module::{Module, ModuleFacts};
use crate::domain::request::{PartIx, Request};
use crate::domain::units::{Currency, Money};
use crate::wirecheck::{Fault, FaultCode};
use serde::de::value::SeqAccessDeserializer;
use serde::de::{Error, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer};
use std::borrow::Cow;
use std::fmt;
use std::sync::Arc;
use utoipa::openapi::schema::{AnyOfBuilder, ArrayBuilder, ObjectBuilder, Type};
use utoipa::openapi::{Ref, RefOr, Schema};
use utoipa::{PartialSchema, ToSchema};

use super::super::pointer::Pointer;
use super::super::reference::ModuleRef;
use super::super::resolve::Reader;
use super::OptimiseRequest;

/// Most lines of a list.
const MOST_LINES: usize = 512;

/// The word for the catalogue.
const CATALOGUE: &str = "catalogue";

/// What is for sale.
#[derive(Clone, Debug)]
pub enum ForSale {
    /// The modules of the catalogue.
    Catalogue,
    /// These.
    List(Vec<SaleEntry>),
}

/// A module for sale.
#[derive(Clone, Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SaleEntry {
    /// The module: an id of the catalogue, its facts, or its label.
    pub module: ModuleRef,
    /// Price of one module; the module's own if left out.
    pub price: Option<MoneyRecord>,
    /// Modules in stock; the module's own if left out, and no limit if that is not told either.
    #[schema(example = 24, minimum = 0, maximum = 1_000_000)]
    pub stock: Option<u32>,
    /// Modules are sold in multiples of this; the module's own if left out, and 1 if that is not told
    /// either.
    #[schema(example = 2, minimum = 1, maximum = 1024)]
    pub pack: Option<u32>,
}

impl<'de> Deserialize<'de> for ForSale {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(ForSaleVisitor)
    }
}

struct ForSaleVisitor;

impl<'de> Visitor<'de> for ForSaleVisitor {
    type Value = ForSale;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("`catalogue` or a list of modules")
    }

    fn visit_str<E: Error>(self, word: &str) -> Result<Self::Value, E> {
        match word {
            CATALOGUE => Ok(ForSale::Catalogue),
            _ => Err(E::custom("no other word stands here")),
        }
    }

    fn visit_seq<A: SeqAccess<'de>>(self, lines: A) -> Result<Self::Value, A::Error> {
        Vec::deserialize(SeqAccessDeserializer::new(lines)).map(ForSale::List)
    }
}

impl PartialSchema for ForSale {
    fn schema() -> RefOr<Schema> {
        let word = ObjectBuilder::new()
            .schema_type(Type::String)
            .enum_values(Some([CATALOGUE]))
            .description(Some("The modules of the catalogue."));
        let list = ArrayBuilder::new()
            .items(Ref::from_schema_name(SaleEntry::name()))
            .max_items(Some(MOST_LINES));
        AnyOfBuilder::new().item(word).item(list).into()
    }
}

impl ToSchema for ForSale {
    fn name() -> Cow<'static, str> {
        "ForSale".into()
    }

    fn schemas(named: &mut Vec<(String, RefOr<Schema>)>) {
        named.push((SaleEntry::name().into_owned(), SaleEntry::schema()));
        SaleEntry::schemas(named);
    }
}

/// What was found for sale.
pub(super) struct Sold {
    pub(super) parts: Vec<PartIx>,
    pub(super) set_aside: u32,
    pub(super) lines: Vec<Option<PartIx>>,
    /// The stock that each line tells itself.
    pub(super) stocks: Vec<Option<u32>>,
    pub(super) currency: Option<Currency>,
}

/// Reads what is for sale, and checks that all amounts are in one currency.
pub(super) fn read(
    body: &OptimiseRequest,
    reader: &mut Reader<'_>,
    board: &Board,
    request: &Request,
) -> Sold {
    check_handling(body, reader, request);
    let mut shelf = Shelf {
        currency: told_currency(body, request),
        parts: Vec::new(),
        set_aside: 0,
    };
    let lines = match &body.for_sale {
        None | Some(ForSale::Catalogue) => {
            shelf.catalogue(reader, board);
            Vec::new()
        }
        Some(ForSale::List(list)) => list
            .iter()
            .enumerate()
            .map(|(index, line)| shelf.line(index, line, reader))
            .collect(),
    };
    let stocks = match &body.for_sale {
        Some(ForSale::List(list)) => list.iter().map(|line| line.stock).collect(),
        None | Some(ForSale::Catalogue) => Vec::new(),
    };
    Sold {
        parts: shelf.parts,
        set_aside: shelf.set_aside,
        lines,
        stocks,
        currency: shelf.currency,
    }
}

/// Looks up the modules of the list, which takes no board.
pub(super) fn names(body: &OptimiseRequest, reader: &mut Reader<'_>) {
    if let Some(ForSale::List(list)) = &body.for_sale {
        for (index, line) in list.iter().enumerate() {
            reader.part(&line.module, &Pointer::Member("for_sale", index, "module"));
        }
    }
}

fn check_handling(body: &OptimiseRequest, reader: &mut Reader<'_>, request: &Request) {
    let Some(handling) = &body.handling else {
        return;
    };
    match handling.to_money() {
        Err(fault) => reader.record_faults("/handling", vec![fault]),
        Ok(money) => {
            let budget = request.wishes.budget.map(|wish| wish.value.currency);
            if let Some(fault) = other_currency(money, budget, "/handling") {
                reader.faults.push(fault);
            }
        }
    }
}

fn other_currency(money: Money, asked: Option<Currency>, at: &str) -> Option<Fault> {
    let asked = asked.filter(|asked| *asked != money.currency)?;
    let message = format!(
        "`{}` stands beside `{}`: amounts can only be compared in one currency",
        money.currency.code(),
        asked.code()
    );
    let fault = Fault::new(format!("{at}/currency"), FaultCode::Unusable, message);
    Some(fault.hint(format!("an amount in {}", asked.code())))
}

struct Shelf {
    currency: Option<Currency>,
    parts: Vec<PartIx>,
    set_aside: u32,
}

impl Shelf {
    fn catalogue(&mut self, reader: &mut Reader<'_>, board: &Board) {
        let modules: Vec<(String, Arc<Module>)> = reader
            .catalogue
            .modules()
            .map(|entry| (entry.id.clone(), Arc::clone(&entry.module)))
            .collect();
        for (id, module) in modules {
            if module.generation.is_some_and(|own| own != board.generation) {
                continue;
            }
            let currency = module.price.map(|price| price.currency);
            self.currency = self.currency.or(currency);
            match (currency == self.currency, currency) {
                (true, Some(_)) => self.parts.extend(reader.add(Some(id), module)),
                _ => self.set_aside += 1,
            }
        }
    }

    fn line(&mut self, index: usize, line: &SaleEntry, reader: &mut Reader<'_>) -> Option<PartIx> {
        let at = format!("/for_sale/{index}");
        let base = reader.part(&line.module, &Pointer::Member("for_sale", index, "module"))?;
        let (id, own) = reader.parts.get(usize::from(base.0))?.clone();
        // The part may already carry what an earlier line says of it.
        let told = id.as_ref().and_then(|id| reader.catalogue.module(id));
        let mut facts = ModuleFacts::clone(told.map_or(&own, |entry| &entry.module));
        facts.stock = line.stock.or(facts.stock);
        facts.pack = line.pack.or(facts.pack);
        facts.price = self.price(line, &facts, &at, reader)?;
        let module = match Module::checked(facts) {
            Ok(module) => Arc::new(module),
            Err(faults) => {
                reader.record_faults(&at, faults);
                return None;
            }
        };
        let part = self.put(base, id, module, reader)?;
        if self.parts.contains(&part) {
            let message = "the same module stands at the same price, stock and pack before";
            let fault = Fault::new(&at, FaultCode::Unusable, message);
            reader
                .faults
                .push(fault.hint("one line with all of the stock"));
            return None;
        }
        self.parts.push(part);
        Some(part)
    }

    /// The price of a line; a fault if there is none or it is in another currency.
    fn price(
        &mut self,
        line: &SaleEntry,
        facts: &ModuleFacts,
        at: &str,
        reader: &mut Reader<'_>,
    ) -> Option<Option<Money>> {
        let told = line.price.as_ref().map(MoneyRecord::to_money);
        let place = match line.price.is_some() {
            true => format!("{at}/price"),
            false => format!("{at}/module"),
        };
        let price = match told {
            Some(Err(fault)) => {
                reader.record_faults(&place, vec![fault]);
                return None;
            }
            Some(Ok(price)) => price,
            None => match facts.price {
                Some(price) => price,
                None => {
                    let fault = Fault::new(at, FaultCode::MissingMember, "`price` is missing");
                    reader.faults.push(fault.hint("the price of one module"));
                    return None;
                }
            },
        };
        let currency = *self.currency.get_or_insert(price.currency);
        if let Some(fault) = other_currency(price, Some(currency), &place) {
            reader.faults.push(fault);
            return None;
        }
        Some(Some(price))
    }

    /// The part of a line. An installed module of the same part number becomes the part that is for
    /// sale, so that both count as one part; a second line of it, with another price, is one of its
    /// own.
    fn put(
        &self,
        base: PartIx,
        id: Option<String>,
        module: Arc<Module>,
        reader: &mut Reader<'_>,
    ) -> Option<PartIx> {
        if self.parts.contains(&base) {
            return reader.add(id, module);
        }
        let (_, own) = reader.parts.get_mut(usize::from(base.0))?;
        *own = module;
        Some(base)
    }
}

/// The currency of a request's own amounts: that of the budget, else that of handling.
fn told_currency(body: &OptimiseRequest, request: &Request) -> Option<Currency> {
    let budget = request.wishes.budget.map(|wish| wish.value.currency);
    let handling = body.handling.as_ref();
    budget.or_else(|| Currency::new(&handling?.currency))
}
