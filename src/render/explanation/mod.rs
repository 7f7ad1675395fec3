//! Explanations in words: one sentence for each node, cell and step. The pages are made of these.

use crate::domain::board::Board;
use crate::domain::explain::{
    Bound, Cell, Node, Operator, Params, Says, Step, Table, Term, Working,
};
use crate::domain::finding::Value;
use fluent_bundle::FluentArgs;

use super::plans::demands;
use super::words::{Context, Words, capitalised};
use super::{fixes, lists, values};

/// The sentence of a node.
pub fn sentence(node: &Node, words: &Words, context: Context<'_>) -> String {
    match &node.says {
        Says::Finding(finding) => words.finding(finding, context),
        Says::Fix(fix) => fixes::sentence(fix, words, context),
        Says::Missing(missing) => as_sentence(words.missing(*missing, context)),
        Says::ModuleFacts { part, facts } => {
            let each: Vec<String> = facts
                .iter()
                .map(|(fact, value)| {
                    let mut args = words.fact_args(*fact);
                    args.set("value", values::argument(value, words, context));
                    words.say("explain-fact", &args)
                })
                .collect();
            let mut args = FluentArgs::new();
            args.set("part", context.part_name(*part).to_owned());
            args.set("facts", each.join(", "));
            words.say("explain-facts", &args)
        }
        Says::Demands {
            id,
            demands: list,
            limits,
        } => {
            let asked = demands::Asked { context, limits };
            let mut args = FluentArgs::new();
            args.set("demands", demands::names(list, asked, words));
            capitalised(words.say(id, &args))
        }
        Says::Message { id, params } => {
            let mut args = arguments(params, words, context);
            places(&mut args, node, words, context);
            capitalised(words.say(id, &args))
        }
    }
}

/// Title and section of the document that a node of the board's record rests on.
pub fn source(node: &Node, board: &Board) -> Option<String> {
    let source = board.sources.get(usize::from(node.source?))?;
    Some(format!("{}, {}", source.title, source.section))
}

fn as_sentence(clause: String) -> String {
    let mut sentence = capitalised(clause);
    sentence.push('.');
    sentence
}

/// Parameters as Fluent takes them.
pub fn arguments(params: &Params, words: &Words, context: Context<'_>) -> FluentArgs<'static> {
    let mut args = FluentArgs::with_capacity(params.len() + 4);
    for (name, value) in params {
        args.set(*name, values::argument(value, words, context));
    }
    args
}

/// `$slots`, `$channels`, `$sockets` and `$working` of a node.
fn places(args: &mut FluentArgs<'_>, node: &Node, words: &Words, context: Context<'_>) {
    if !node.slots.is_empty() {
        args.set("slots", lists::slots(&node.slots, words, context.board));
        args.set("slot_count", node.slots.len());
    }
    if !node.channels.is_empty() {
        args.set(
            "channels",
            lists::channels(&node.channels, words, context.board),
        );
    }
    if !node.sockets.is_empty() {
        args.set("sockets", lists::sockets(&node.sockets, words));
    }
    if let crate::domain::explain::Basis::Computed(working) = &node.basis {
        args.set("working", self::working(working, words, context));
    }
}

/// The most equal operands that are written one by one.
const WRITTEN_OUT: u32 = 4;

/// `4 + 4 + 4 = 12 of 8`.
pub fn working(working: &Working, words: &Words, context: Context<'_>) -> String {
    let result = values::text(&working.result, words, context);
    let terms = terms(working, words, context);
    let sum = match (working.operator, terms.as_slice()) {
        (_, [only]) if *only == result => result,
        (Operator::Least | Operator::Greatest, _) => {
            let mut args = FluentArgs::new();
            args.set("terms", terms.join(", "));
            args.set("result", result);
            let id = match working.operator {
                Operator::Least => "working-least",
                _ => "working-greatest",
            };
            words.say(id, &args)
        }
        (operator, _) => format!("{} = {result}", terms.join(sign(operator))),
    };
    let Some(bound) = &working.bound else {
        return sum;
    };
    let (id, bound) = match bound {
        Bound::AtMost(value) => ("working-at-most", value.clone()),
        Bound::AtLeast(value) => ("working-at-least", value.clone()),
        Bound::OneOf(list) => ("working-one-of", Value::OneOf(list.clone())),
    };
    let mut args = FluentArgs::new();
    args.set("sum", sum);
    args.set("bound", values::text(&bound, words, context));
    words.say(id, &args)
}

const fn sign(operator: Operator) -> &'static str {
    match operator {
        Operator::Sum | Operator::Least | Operator::Greatest => " + ",
        Operator::Difference => " − ",
        Operator::Product => " × ",
        Operator::Quotient => " ÷ ",
    }
}

/// The operands: few equal ones one by one, many as `24 × 32 GiB`.
fn terms(working: &Working, words: &Words, context: Context<'_>) -> Vec<String> {
    let each = matches!(working.operator, Operator::Least | Operator::Greatest);
    let term = |term: &Term| {
        let text = values::text(&term.value, words, context);
        match term.times {
            _ if each => vec![text],
            times if times <= WRITTEN_OUT => vec![text; times as usize],
            times => vec![format!("{times} × {text}")],
        }
    };
    working.terms.iter().flat_map(term).collect()
}

/// The title of a table.
pub fn title(table: &Table, words: &Words, context: Context<'_>) -> String {
    capitalised(words.say(table.id, &arguments(&table.params, words, context)))
}

/// The head of a column.
pub fn heading(column: &str, words: &Words) -> String {
    words.say(column, &FluentArgs::new())
}

/// A cell of a table.
pub fn cell(cell: &Cell, words: &Words, context: Context<'_>) -> String {
    match cell {
        Cell::Value(value) => values::text(value, words, context),
        Cell::Unknown => words.say("not-known", &FluentArgs::new()),
        Cell::Empty => String::new(),
        Cell::Message { id, params } => words.say(id, &arguments(params, words, context)),
    }
}

/// A step in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepText {
    /// What to do.
    pub text: String,
    /// What shows that it is done.
    pub check: String,
}

/// A step of a worksheet.
pub fn step(step: &Step, words: &Words, context: Context<'_>) -> StepText {
    let mut args = arguments(&step.params, words, context);
    if !step.slots.is_empty() {
        args.set("slots", lists::slots(&step.slots, words, context.board));
        args.set("slot_count", step.slots.len());
    }
    if let Some(part) = step.part {
        args.set("part", context.part_name(part).to_owned());
    }
    StepText {
        text: capitalised(words.say(step.id, &args)),
        check: capitalised(words.say_attribute_with(step.id, "check", &args)),
    }
}
