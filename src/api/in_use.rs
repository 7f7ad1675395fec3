//! The catalogue that one request is answered from.
//!
//! It is taken once, when the request comes, and handlers, headers and entity tags all use that one:
//! a catalogue that is replaced meanwhile changes the next answer, never half of this one.

use std::future::{Ready, ready};
use std::ops::Deref;
use std::sync::Arc;

use actix_web::dev::Payload;
use actix_web::http::header::HeaderValue;
use actix_web::web::Data;
use actix_web::{FromRequest, HttpMessage, HttpRequest};

use super::problem::Problem;
use super::state::AppState;
use crate::catalogue::Catalogue;

/// A handler's catalogue. Cloning it is cheap and gives the same one.
#[derive(Debug, Clone)]
pub struct InUse(Arc<Catalogue>);

impl InUse {
    /// The catalogue of a request: the one taken for it before, or the one in use now.
    pub fn of(request: &impl HttpMessage, state: &AppState) -> Self {
        if let Some(taken) = request.extensions().get::<Self>() {
            return taken.clone();
        }
        let taken = Self(state.live.get());
        request.extensions_mut().insert(taken.clone());
        taken
    }

    /// Its revision, ready for a header.
    pub fn header(&self) -> HeaderValue {
        HeaderValue::from_str(self.0.revision()).unwrap_or(HeaderValue::from_static("unknown"))
    }
}

impl Deref for InUse {
    type Target = Catalogue;

    fn deref(&self) -> &Catalogue {
        &self.0
    }
}

impl FromRequest for InUse {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let state = request.app_data::<Data<AppState>>();
        ready(
            state
                .map(|state| Self::of(request, state))
                .ok_or_else(Problem::internal),
        )
    }
}
