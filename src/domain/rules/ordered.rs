//! What is ordered: the lines of a kit and the modules of a given population. Not a rule.

use super::super::finding::Subject;
use super::super::request::{PartIx, Request};
use super::Draft;

/// A part with how many of it are ordered.
pub(super) struct Ordered {
    /// The part.
    pub part: PartIx,
    /// Over all lines and slots.
    pub quantity: u64,
    /// Its last kit line, with what that orders.
    pub line: Option<(u32, u32)>,
}

impl Ordered {
    /// Points at the kit line that can be changed, or at every mention of the part.
    pub(super) fn point(&self, draft: Draft) -> Draft {
        match self.line {
            Some((line, _)) => draft.about(Subject::KitLine(line)),
            None => draft.part(self.part),
        }
    }

    /// What the last kit line would order if so many were ordered in all.
    pub(super) fn line_for(&self, quantity: u64) -> Option<(u32, u32)> {
        let (line, own) = self.line?;
        let own = (u64::from(own) + quantity).checked_sub(self.quantity)?;
        Some((line, u32::try_from(own).ok()?))
    }
}

/// Every part that is ordered, at each mention, kit lines first.
fn mentions(request: &Request) -> impl Iterator<Item = PartIx> + '_ {
    let lines = request.kit.iter().map(|line| line.part);
    lines.chain(request.population.iter().map(|entry| entry.part))
}

/// Every part that is ordered, in the order of first mention.
pub(super) fn bought(request: &Request) -> Vec<PartIx> {
    let mut parts = Vec::new();
    for part in mentions(request) {
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
    parts
}

/// Whether a part is ordered.
pub(super) fn is_bought(request: &Request, part: PartIx) -> bool {
    mentions(request).any(|other| other == part)
}

/// Every part that is ordered, in the order of last mention, kit lines first.
pub(super) fn ordered(request: &Request) -> Vec<Ordered> {
    let lines = (0u32..).zip(&request.kit);
    let lines = lines.map(|(index, line)| (line.part, line.quantity, Some(index)));
    let slots = request.population.iter().map(|entry| (entry.part, 1, None));
    let mut all: Vec<Ordered> = Vec::new();
    for (part, quantity, line) in lines.chain(slots) {
        let known = all.iter().position(|own| own.part == part);
        let mut own = match known {
            // With its last line it moves back.
            Some(index) if line.is_some() => all.remove(index),
            Some(index) => {
                if let Some(own) = all.get_mut(index) {
                    own.quantity += u64::from(quantity);
                }
                continue;
            }
            None => Ordered {
                part,
                quantity: 0,
                line: None,
            },
        };
        own.quantity += u64::from(quantity);
        own.line = line.map(|index| (index, quantity)).or(own.line);
        all.push(own);
    }
    all
}
