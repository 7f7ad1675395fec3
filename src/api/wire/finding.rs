//! Findings as JSON.

use crate::domain::board::ChannelIx;
use crate::domain::finding::{Finding, Fix, Missing, Offer, State, Value};
use crate::domain::request::PartIx;
use crate::render::words::{Context, Words};
use crate::render::{fixes, values};
use serde::{Serialize, Serializer};
use utoipa::ToSchema;

use super::patch::{self, Operation};
use super::pointer::Pointer;

/// Something that a rule found.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Finding)]
pub struct FindingBody<'a> {
    /// The rule; `/v1/rules/{id}` tells more.
    #[schema(example = "rank-budget-exceeded")]
    pub rule: &'static str,
    /// `blocker`: will not start, is unsupported or does harm. `warning`: works, but worse than the
    /// buyer expects. `advice`: a better way exists at no loss. `note`: worth knowing.
    #[schema(example = "blocker")]
    pub severity: &'static str,
    /// `broken`, or `undecided` when a fact is missing.
    #[schema(example = "broken")]
    pub state: &'static str,
    /// The sentence for a customer.
    #[schema(
        example = "Channel 1 of socket 1: the modules show 12 ranks (4 + 4 + 4), but a channel of this board sees at most 8."
    )]
    pub sentence: String,
    /// Every number and name of the sentence, by name. An `undecided` finding has none: its sentence
    /// holds no numbers of its own, and `missing` tells each fact and module that it names.
    #[serde(skip_serializing_if = "Vec::is_empty", serialize_with = "as_map")]
    #[schema(value_type = std::collections::BTreeMap<String, ParamBody>)]
    pub params: Vec<(&'static str, ParamBody)>,
    /// The facts that are missing.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub missing: Vec<MissingBody>,
    /// JSON Pointers into the request.
    #[schema(value_type = Vec<String>)]
    pub pointers: Vec<Pointer>,
    /// Labels of the slots concerned.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub slots: Vec<&'a str>,
    /// Channels concerned.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub channels: Vec<ChannelBody>,
    /// Sockets concerned, counted from 1.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sockets: Vec<u8>,
    /// The standard or document that the rule rests on, or common practice.
    #[schema(example = "common practice")]
    pub source: &'static str,
    /// What would mend it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fixes: Vec<FixBody>,
}

/// A parameter of a sentence: its value, its unit, and how the sentence shows it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = Param)]
pub struct ParamBody {
    /// The number, where it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 12)]
    pub value: Option<i64>,
    /// The unit of `value`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "MT/s")]
    pub unit: Option<&'static str>,
    /// As the sentence shows it.
    #[schema(example = "12")]
    pub text: String,
}

/// A channel of a socket.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Channel)]
pub struct ChannelBody {
    /// The socket, counted from 1.
    #[schema(example = 1)]
    pub socket: u8,
    /// The channel of the socket, counted from 1.
    #[schema(example = 1)]
    pub channel: u8,
}

/// A fact that is missing.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Missing)]
pub struct MissingBody {
    /// Code of the fact.
    #[schema(example = "package-ranks")]
    pub fact: &'static str,
    /// The module that it is a fact of.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "spare from the shelf")]
    pub module: Option<String>,
    /// Which fact, and where to read it off.
    #[schema(
        example = "the number of ranks of spare from the shelf is not known (read it off the digits before the R on the label, such as 2Rx4)"
    )]
    pub sentence: String,
    /// JSON Pointers to where it can be told.
    #[schema(value_type = Vec<String>)]
    pub pointers: Vec<Pointer>,
}

/// Something that would mend a finding.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Fix)]
pub struct FixBody {
    /// What to do.
    #[schema(example = "Order 16 of ERW-3R32-4x4 instead of 17.")]
    pub sentence: String,
    /// Whether a program may apply it unasked: the finding goes, no blocker comes, and nothing that
    /// was asked for changes.
    pub machine_safe: bool,
    /// The same as an RFC 6902 patch to the request; missing where it cannot be said so. A `test` of
    /// what stands there comes before each change; a member that the request leaves out is added
    /// without one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub patch: Option<Vec<Operation>>,
}

/// Where each part of a request stands in its JSON.
pub struct Pointers<'a> {
    /// What names in sentences refer to.
    pub context: Context<'a>,
    /// The language.
    pub words: &'a Words,
}

impl<'a> Pointers<'a> {
    /// A finding as JSON.
    pub fn finding(&self, finding: &'a Finding) -> FindingBody<'a> {
        let (words, context) = (self.words, self.context);
        let pointers = patch::pointers_of(finding, context.request);
        let missing: &[Missing] = match &finding.state {
            State::Undecided(missing) => missing,
            State::Broken => &[],
        };
        let of = |(name, value): &(&'static str, Value)| (*name, self.param(value));
        let mut params: Vec<(&'static str, ParamBody)> = finding.params.iter().map(of).collect();
        let texts = params.iter().map(|(_, param)| param.text.as_str());
        let sentence = words.finding_with(finding, texts, context);
        params.sort_unstable_by_key(|(name, _)| *name);
        FindingBody {
            rule: finding.rule.id,
            severity: finding.severity.name(),
            state: if missing.is_empty() {
                "broken"
            } else {
                "undecided"
            },
            sentence,
            params,
            missing: missing
                .iter()
                .map(|missing| self.missing(*missing))
                .collect(),
            pointers,
            slots: finding
                .slots
                .iter()
                .map(|slot| context.board.label(*slot))
                .collect(),
            channels: finding
                .channels
                .iter()
                .map(|channel| self.channel(*channel))
                .collect(),
            sockets: finding.sockets.clone(),
            source: finding.rule.source,
            fixes: finding.fixes.iter().map(|offer| self.fix(offer)).collect(),
        }
    }

    /// A channel's address.
    pub fn channel(&self, channel: ChannelIx) -> ChannelBody {
        let (socket, channel) = self.context.board.address(channel);
        ChannelBody { socket, channel }
    }

    /// A missing fact as JSON.
    pub fn missing(&self, missing: Missing) -> MissingBody {
        let module = missing
            .part
            .map(|part: PartIx| self.context.part_name(part).to_owned());
        MissingBody {
            fact: missing.fact.code(),
            module,
            sentence: self.words.missing(missing, self.context),
            pointers: patch::missing_pointers(missing, self.context.request),
        }
    }

    fn fix(&self, offer: &Offer) -> FixBody {
        let edit = self.edit(&offer.fix);
        FixBody {
            // What no patch says, no program can apply.
            machine_safe: offer.machine_safe && edit.patch.is_some(),
            ..edit
        }
    }

    /// An edit that a person should decide on.
    pub fn edit(&self, fix: &Fix) -> FixBody {
        FixBody {
            sentence: fixes::sentence(fix, self.words, self.context),
            machine_safe: false,
            patch: patch::operations(fix, self.context),
        }
    }

    /// A parameter of a sentence as JSON.
    pub fn param(&self, value: &Value) -> ParamBody {
        let (number, unit) = measure(value);
        ParamBody {
            value: number,
            unit,
            text: values::text(value, self.words, self.context),
        }
    }
}

/// Names with their values, in order.
fn as_map<S: Serializer>(params: &[(&'static str, ParamBody)], to: S) -> Result<S::Ok, S::Error> {
    to.collect_map(params.iter().map(|(name, param)| (name, param)))
}

/// The number of a value in its unit.
fn measure(value: &Value) -> (Option<i64>, Option<&'static str>) {
    let whole = |number: u64| i64::try_from(number).ok();
    match value {
        Value::Count(count) => (whole(*count), None),
        Value::Capacity(capacity) => (whole(capacity.0), Some("MiB")),
        Value::Rate(rate) => (Some(i64::from(rate.0)), Some("MT/s")),
        Value::Voltage(mv) => (Some(i64::from(mv.0)), Some("mV")),
        Value::Power(mw) => (whole(mw.0), Some("mW")),
        Value::Bandwidth(bandwidth) => (whole(bandwidth.0), Some("MB/s")),
        Value::Density(density) => (Some(i64::from(density.0)), Some("Gbit")),
        Value::Money(money) => (Some(money.minor), Some("minor units")),
        Value::Permille(permille) => (Some(i64::from(*permille)), Some("per mille")),
        Value::Whole(number) => (Some(*number), None),
        Value::Text(_)
        | Value::Word(_)
        | Value::Message(_)
        | Value::Words(_)
        | Value::Counts(_)
        | Value::Part(_)
        | Value::Parts(_)
        | Value::List(_)
        | Value::OneOf(_) => (None, None),
    }
}
