//! What a caller may ask for beside the answer: a signed receipt, and a copy sent to a ticket system.
//!
//! Neither changes what is decided, and a request that asks for neither gets the same bytes as ever.

use std::future::Future;
use std::pin::Pin;
use std::sync::Arc;

use actix_web::http::header::{HeaderName, HeaderValue};
use actix_web::{HttpMessage, HttpRequest, HttpResponse};
use serde::Serialize;
use utoipa::ToSchema;

use super::decide::Decided;
use super::explain::Explained;
use super::form::Form;
use super::middleware::access::Caller;
use super::problem::{Code, Problem};
use super::receipt::{self, Decision, Signer};
use super::scope::Scope;
use super::state::{AppState, ENGINE};
use super::wire::request::ValidateRequest;
use crate::render::words::Words;
use crate::wirecheck::fault::quoted;
use crate::wirecheck::near::close_matches;
use crate::wirecheck::{Fault, FaultCode};

/// How a delivery went, for callers that do not read the body.
pub const DELIVERY: HeaderName = HeaderName::from_static("kitproof-delivery");

/// How a delivery went.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = Delivery)]
pub struct DeliveryBody {
    /// The destination.
    #[schema(example = "tickets")]
    pub destination: String,
    /// Whether it took what was sent. If not, nothing is kept: send the request again, or the answer.
    pub delivered: bool,
    /// How often it was tried.
    #[schema(example = 1, maximum = 100)]
    pub attempts: u32,
    /// The HTTP status that it answered last.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = 202, maximum = 999)]
    pub status: Option<u16>,
    /// Why it was not delivered.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(example = "it gave no answer in time")]
    pub reason: Option<String>,
}

/// What is sent to a destination.
#[derive(Debug, Clone, Serialize)]
pub struct Parcel {
    /// What kind of event it is.
    #[serde(skip)]
    pub kind: &'static str,
    /// The caller's own reference.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reference: Option<String>,
    /// Of an explanation: what is explained.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub about: Option<&'static str>,
    /// Of an explanation: whether there was something of the kind to give.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub standing: Option<&'static str>,
    /// The verdict.
    pub verdict: &'static str,
    /// Whether it passes; not told of an explanation that is about two kits.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub allowed: Option<bool>,
    /// The board.
    pub board: String,
    /// Revision of the catalogue that decided.
    pub catalogue_revision: String,
    /// Version of the engine that decided.
    pub engine_version: &'static str,
    /// The answer for reading, in the language that was wished.
    pub report: String,
}

/// An answer, and what is to be sent elsewhere.
#[derive(Debug)]
pub struct Answered {
    /// The answer.
    pub bytes: Vec<u8>,
    /// What is to be sent, if that was asked for.
    pub parcel: Option<Parcel>,
}

/// What a delivery gives in the end.
pub type Delivering<'a> = Pin<Box<dyn Future<Output = DeliveryBody> + Send + 'a>>;

/// Whatever can send parcels; the operator names the destinations.
pub trait Deliver: Send + Sync + std::fmt::Debug {
    /// The names of the destinations.
    fn destinations(&self) -> Vec<&str>;

    /// Sends a parcel to a destination, within its time. Never fails: the outcome says how it went.
    fn deliver(&self, destination: &str, parcel: Parcel) -> Delivering<'_>;
}

/// What a request asks for beside the answer.
#[derive(Debug, Default)]
pub struct Extras {
    receipt: Option<(Arc<Signer>, String)>,
    deliver_to: Option<String>,
}

impl Extras {
    /// Takes them out of a request, whose text gives the digest of a receipt.
    ///
    /// # Errors
    /// What this service does not have, or the caller may not.
    pub fn take(
        request: &mut ValidateRequest,
        text: &[u8],
        head: &HttpRequest,
        state: &AppState,
    ) -> Result<Self, Problem> {
        let wished = request.receipt.take() == Some(true);
        let receipt = wished.then(|| signer(text, state)).transpose()?;
        let extras = Self::delivery(request.deliver_to.take(), head, state)?;
        Ok(Self { receipt, ..extras })
    }

    /// A delivery alone.
    ///
    /// # Errors
    /// What this service does not have, or the caller may not.
    pub fn delivery(
        deliver_to: Option<String>,
        head: &HttpRequest,
        state: &AppState,
    ) -> Result<Self, Problem> {
        if let Some(name) = &deliver_to {
            known(name, state)?;
            let caller = head.extensions().get::<Caller>().cloned();
            if !caller.is_some_and(|caller| caller.may(Scope::Deliver)) {
                let detail = format!("the key lacks the scope `{}`", Scope::Deliver);
                return Err(Problem::new(Code::ScopeNeeded, detail).header(
                    actix_web::http::header::WWW_AUTHENTICATE,
                    "Bearer realm=\"kitproof\", error=\"insufficient_scope\", scope=\"deliver\"",
                ));
            }
        }
        Ok(Self {
            receipt: None,
            deliver_to,
        })
    }

    /// The receipt for what was decided, if one was asked for.
    ///
    /// # Errors
    /// A fault of this program.
    pub fn receipt(&self, decided: &Decided<'_>) -> Result<Option<String>, Problem> {
        let Some((signer, digest)) = &self.receipt else {
            return Ok(None);
        };
        let decision = Decision {
            verdict: decided.answer().verdict.name(),
            allowed: decided.allowed(),
            board: decided.board().to_owned(),
            catalogue_revision: decided.revision().to_owned(),
        };
        let signed = signer.sign(digest.clone(), decision);
        signed.map(Some).map_err(|error| {
            tracing::error!(error, "a receipt cannot be signed");
            Problem::internal()
        })
    }

    /// What is to be sent, if it was asked for.
    pub fn parcel(&self, make: impl FnOnce() -> Parcel) -> Option<Parcel> {
        self.deliver_to.as_ref().map(|_| make())
    }

    /// Sends what is to be sent, and answers.
    pub async fn finish(&self, form: Form, answered: Answered, state: &AppState) -> HttpResponse {
        let mut response = form.begin();
        let Some(delivery) = self.deliver(answered.parcel, state).await else {
            return response.body(answered.bytes);
        };
        response.insert_header((DELIVERY, header(&delivery)));
        response.body(match form {
            Form::Json => with_delivery(answered.bytes, &delivery),
            _ => answered.bytes,
        })
    }

    async fn deliver(&self, parcel: Option<Parcel>, state: &AppState) -> Option<DeliveryBody> {
        let (name, deliver) = (self.deliver_to.as_ref()?, state.deliver.as_ref()?);
        Some(deliver.deliver(name, parcel?).await)
    }
}

impl Parcel {
    /// A verdict and its report.
    pub fn verdict(decided: &Decided<'_>, words: &Words) -> Self {
        Self {
            kind: "kitproof.verdict",
            reference: decided.reference().map(str::to_owned),
            about: None,
            standing: None,
            verdict: decided.answer().verdict.name(),
            allowed: Some(decided.allowed()),
            board: decided.board().to_owned(),
            catalogue_revision: decided.revision().to_owned(),
            engine_version: ENGINE,
            report: decided.report(words),
        }
    }

    /// An explanation.
    pub fn explanation(explained: &Explained<'_>, words: &Words) -> Self {
        let explanation = explained.explanation();
        Self {
            kind: "kitproof.explanation",
            reference: explained.reference().map(str::to_owned),
            about: Some(explanation.about.name()),
            standing: Some(explanation.standing.name()),
            verdict: explanation.verdict.name(),
            allowed: explained.allowed(),
            board: explained.board().to_owned(),
            catalogue_revision: explained.revision().to_owned(),
            engine_version: ENGINE,
            report: explained.text(words),
        }
    }
}

fn signer(text: &[u8], state: &AppState) -> Result<(Arc<Signer>, String), Problem> {
    let signer = state.receipts.clone().ok_or_else(|| {
        let fault = Fault::new(
            "/receipt",
            FaultCode::Unusable,
            "this service gives no receipts",
        );
        Problem::invalid_body(fault.hint("the operator has to set a key with `--receipt-keys`"))
    })?;
    let digest = receipt::digest(text).map_err(|_| Problem::internal())?;
    Ok((signer, digest))
}

fn known(name: &str, state: &AppState) -> Result<(), Problem> {
    let names = state.deliver.as_ref().map(|deliver| deliver.destinations());
    let names = names.unwrap_or_default();
    if names.contains(&name) {
        return Ok(());
    }
    let message = format!("there is no destination {}", quoted(name));
    let fault = Fault::new("/deliver_to", FaultCode::UnknownName, message);
    let fault = fault.close_matches(close_matches(name, names));
    Err(Problem::invalid_body(fault.hint(
        "a destination that the operator named; never an address",
    )))
}

/// Adds how a delivery went as the last member of an answer.
fn with_delivery(mut answer: Vec<u8>, delivery: &DeliveryBody) -> Vec<u8> {
    if answer.last() == Some(&b'}')
        && let Ok(text) = serde_json::to_vec(delivery)
    {
        answer.pop();
        answer.extend_from_slice(b",\"delivery\":");
        answer.extend_from_slice(&text);
        answer.push(b'}');
    }
    answer
}

/// The same in a header (RFC 9651, an item with parameters).
fn header(delivery: &DeliveryBody) -> HeaderValue {
    let DeliveryBody {
        delivered,
        attempts,
        ..
    } = delivery;
    let text = format!("?{};attempts={attempts}", u8::from(*delivered));
    HeaderValue::from_str(&text).unwrap_or(HeaderValue::from_static("?0"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn how_a_delivery_went_is_the_last_member() {
        let delivery = DeliveryBody {
            destination: "tickets".to_owned(),
            delivered: false,
            attempts: 3,
            status: None,
            reason: Some("it gave no answer in time".to_owned()),
        };
        let answer = with_delivery(br#"{"verdict":"fits"}"#.to_vec(), &delivery);
        let value: serde_json::Value = serde_json::from_slice(&answer).unwrap();
        assert_eq!(value["delivery"]["attempts"], 3);
        assert_eq!(value["verdict"], "fits");
        assert_eq!(header(&delivery), "?0;attempts=3");
    }
}
