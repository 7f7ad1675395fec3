//! Fills the body of an explanation from the core's own.

use super::{
    ColumnBody, ExplanationBody, NodeBody, RowBody, SourceBody, StepBody, TableBody, TermBody,
    WorkingBody,
};
use crate::domain::explain::{
    Basis, Bound, Cell, Explanation, Node, NodeIx, Says, Step, Table, Worksheet,
};
use crate::domain::finding::Value;
use crate::render::explanation as words_of;
use crate::render::words::{Context, Words};
use std::collections::BTreeMap;

use super::super::finding::{ParamBody, Pointers};

/// What an explanation says beside the core's own.
#[derive(Clone, Copy, Debug)]
pub struct Frame<'a> {
    /// The caller's reference.
    pub reference: Option<&'a str>,
    /// The catalogue's revision.
    pub revision: &'a str,
}

/// An explanation as JSON.
pub fn body<'a>(
    explanation: &'a Explanation,
    frame: Frame<'a>,
    words: &'a Words,
    context: Context<'a>,
) -> ExplanationBody<'a> {
    let at = At {
        pointers: Pointers { context, words },
        words,
        context,
    };
    let steps = explanation.worksheet.as_ref();
    ExplanationBody {
        reference: frame.reference,
        about: explanation.about.name(),
        standing: explanation.standing.name(),
        verdict: explanation.verdict.name(),
        board: &context.board.id,
        catalogue_revision: frame.revision,
        engine_version: env!("CARGO_PKG_VERSION"),
        roots: indices(&explanation.roots),
        nodes: explanation.nodes.iter().map(|node| at.node(node)).collect(),
        tables: explanation.tables.iter().map(|own| at.table(own)).collect(),
        steps: steps.map_or_else(Vec::new, |worksheet| at.steps(worksheet)),
        truncated: explanation.truncated,
        delivery: None,
    }
}

fn indices(nodes: &[NodeIx]) -> Vec<u32> {
    nodes.iter().map(|node| node.0).collect()
}

struct At<'a> {
    pointers: Pointers<'a>,
    words: &'a Words,
    context: Context<'a>,
}

impl<'a> At<'a> {
    fn node(&self, node: &'a Node) -> NodeBody<'a> {
        let board = self.context.board;
        let label = |slot| board.label(slot);
        let source = node
            .source
            .and_then(|index| board.sources.get(usize::from(index)));
        let mut body = NodeBody {
            sentence: words_of::sentence(node, self.words, self.context),
            basis: node.basis.name(),
            message: None,
            params: BTreeMap::new(),
            finding: None,
            missing: None,
            fix: None,
            working: self.working(&node.basis),
            source: source.map(|source| SourceBody {
                title: &source.title,
                section: &source.section,
            }),
            slots: node.slots.iter().map(|slot| label(*slot)).collect(),
            channels: node
                .channels
                .iter()
                .map(|c| self.pointers.channel(*c))
                .collect(),
            sockets: node.sockets.clone(),
            because: indices(&node.because),
        };
        self.says(&node.says, &mut body);
        body
    }

    fn says(&self, says: &'a Says, body: &mut NodeBody<'a>) {
        match says {
            Says::Finding(finding) => body.finding = Some(self.pointers.finding(finding)),
            Says::Missing(missing) => body.missing = Some(self.pointers.missing(*missing)),
            Says::Fix(fix) => body.fix = Some(self.pointers.edit(fix)),
            Says::Message { id, params } => {
                body.message = Some(id);
                body.params = self.params(params);
            }
            Says::Demands { id, .. } => body.message = Some(id),
            Says::ModuleFacts { part, facts } => {
                body.message = Some("explain-facts");
                body.params = facts
                    .iter()
                    .map(|(fact, value)| (fact.code(), self.pointers.param(value)))
                    .chain([("part", self.pointers.param(&Value::Part(*part)))])
                    .collect();
            }
        }
    }

    fn params(&self, params: &[(&'static str, Value)]) -> BTreeMap<&'static str, ParamBody> {
        let param = |(name, value): &(&'static str, Value)| (*name, self.pointers.param(value));
        params.iter().map(param).collect()
    }

    fn working(&self, basis: &Basis) -> Option<WorkingBody> {
        let Basis::Computed(working) = basis else {
            return None;
        };
        let param = |value: &Value| self.pointers.param(value);
        let bound = working.bound.as_ref();
        Some(WorkingBody {
            text: words_of::working(working, self.words, self.context),
            operator: working.operator.name(),
            terms: working
                .terms
                .iter()
                .map(|term| TermBody {
                    times: term.times,
                    value: param(&term.value),
                })
                .collect(),
            result: param(&working.result),
            at_most: bound.and_then(|bound| match bound {
                Bound::AtMost(value) => Some(param(value)),
                _ => None,
            }),
            at_least: bound.and_then(|bound| match bound {
                Bound::AtLeast(value) => Some(param(value)),
                _ => None,
            }),
            one_of: match bound {
                Some(Bound::OneOf(list)) => list.iter().map(param).collect(),
                _ => Vec::new(),
            },
        })
    }

    fn table(&self, table: &Table) -> TableBody {
        let cell = |cell: &Cell| match cell {
            Cell::Value(value) => self.pointers.param(value),
            other => ParamBody {
                value: None,
                unit: None,
                text: words_of::cell(other, self.words, self.context),
            },
        };
        let column = |id: &&'static str| ColumnBody {
            title: words_of::heading(id, self.words),
            message: id,
        };
        TableBody {
            title: words_of::title(table, self.words, self.context),
            message: table.id,
            columns: table.columns.iter().map(column).collect(),
            rows: table
                .rows
                .iter()
                .map(|row| RowBody {
                    marked: row.marked,
                    cells: row.cells.iter().map(cell).collect(),
                })
                .collect(),
        }
    }

    fn steps(&self, worksheet: &'a Worksheet) -> Vec<StepBody<'a>> {
        let step = |step: &'a Step| {
            let said = words_of::step(step, self.words, self.context);
            StepBody {
                phase: step.phase.name(),
                text: said.text,
                check: said.check,
                message: step.id,
                params: self.params(&step.params),
                slots: step
                    .slots
                    .iter()
                    .map(|slot| self.context.board.label(*slot))
                    .collect(),
                module: step
                    .part
                    .and_then(|part| self.context.request.part(part))
                    .map(|module| module.name.as_str()),
                caution: step.caution,
            }
        };
        worksheet.steps.iter().map(step).collect()
    }
}
