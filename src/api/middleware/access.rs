//! Who may ask, and how often: decided from the head of a request, before its body is read.

use actix_web::Error;
use actix_web::ResponseError;
use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::error::InternalError;
use actix_web::http::Method;
use actix_web::http::header::{self, HeaderMap};
use actix_web::middleware::Next;
use actix_web::web::Data;
use std::sync::Arc;

use super::cors::Cors;
use super::route::Route;
use crate::api::keys::{Key, NotKnown};
use crate::api::problem::{Code, Problem};
use crate::api::rate::{Left, Quota};
use crate::api::scope::{Needed, NeededByPath, Scope};
use crate::api::state::AppState;

/// The key of a request, for handlers that ask for more than the path's scope.
#[derive(Debug, Clone)]
pub struct Caller(Option<Arc<Key>>);

impl Caller {
    /// Whether the caller may do this; where no keys are set, everybody may.
    pub fn may(&self, scope: Scope) -> bool {
        let key = self.0.as_ref();
        key.is_none_or(|key| key.opens(Needed::Key(scope)))
    }
}

/// Lets a request in, or answers 401, 403 or 429.
///
/// # Errors
/// Such that carry a finished answer, and those of the handler.
pub async fn access(
    request: ServiceRequest,
    next: Next<impl MessageBody>,
) -> Result<ServiceResponse<impl MessageBody>, Error> {
    let Some(state) = request.app_data::<Data<AppState>>().cloned() else {
        return Err(Problem::internal().into());
    };
    let origins = &state.settings.access.origins;
    let cors = Cors::of(request.method(), request.headers(), origins);
    let (caller, left) = match admitted(&request, &state) {
        Ok(admitted) => admitted,
        Err(refused) => return Err(with(refused.error_response(), &cors, None)),
    };
    use actix_web::HttpMessage;
    request.extensions_mut().insert(caller);
    match next.call(request).await {
        Ok(mut answer) => {
            tell(answer.headers_mut(), &cors, left.as_ref());
            Ok(answer)
        }
        Err(error) => Err(with(error.error_response(), &cors, left.as_ref())),
    }
}

fn tell(headers: &mut HeaderMap, cors: &Cors, left: Option<&(&'static str, Left)>) {
    cors.add(headers);
    if let Some((policy, left)) = left {
        left.tell(policy, headers);
    }
}

fn with(
    mut answer: actix_web::HttpResponse,
    cors: &Cors,
    left: Option<&(&'static str, Left)>,
) -> Error {
    tell(answer.headers_mut(), cors, left);
    InternalError::from_response("", answer).into()
}

type Admitted = (Caller, Option<(&'static str, Left)>);

fn admitted(request: &ServiceRequest, state: &AppState) -> Result<Admitted, Problem> {
    let route = Route::of(request);
    let paths = request.app_data::<NeededByPath>();
    let needed = paths.map_or(Needed::AnyKey, |paths| paths.at(route.pattern()));
    // What a path takes is no secret, and a browser asks it without a key.
    let needed = match *request.method() {
        Method::OPTIONS => Needed::Nothing,
        _ => needed,
    };
    let key = match (&state.keys, needed) {
        (None, _) | (_, Needed::Nothing) => None,
        (Some(ring), needed) => {
            let key = ring.find(shown(request.headers())).map_err(not_known)?;
            if !key.opens(needed) {
                tracing::info!(key = key.id, "a key lacks the scope");
                return Err(lacks(needed));
            }
            Some(key)
        }
    };
    let left = taken(request, state, key.as_deref(), needed);
    if let Some((policy, left)) = &left
        && let Some(wait) = left.wait
    {
        let mut problem = too_often(left.quota, wait);
        let mut headers = HeaderMap::new();
        left.tell(policy, &mut headers);
        problem.headers.extend(headers);
        return Err(problem);
    }
    Ok((Caller(key), left))
}

/// Takes a request out of the caller's quota, if it has one. Health is never counted: a supervisor
/// that is told to wait would end a process that is well.
fn taken(
    request: &ServiceRequest,
    state: &AppState,
    key: Option<&Key>,
    needed: Needed,
) -> Option<(&'static str, Left)> {
    let of_all = state.settings.access.per_minute.and_then(Quota::per_minute);
    if let Some(key) = key {
        let quota = key.quota.or(of_all)?;
        return Some(("key", key.bucket.take(quota)));
    }
    let watched = needed == Needed::Nothing && request.path().starts_with("/health/");
    let quota = of_all.filter(|_| !watched)?;
    let address = request.peer_addr()?.ip();
    let bucket = state.addresses.bucket(address);
    Some(("address", bucket.take(quota)))
}

/// The key in `Authorization: Bearer KEY` (RFC 6750).
fn shown(headers: &HeaderMap) -> Option<&str> {
    let mut given = headers.get_all(header::AUTHORIZATION);
    let (Some(value), None) = (given.next(), given.next()) else {
        return None;
    };
    let (scheme, key) = value.to_str().ok()?.split_once(' ')?;
    scheme.eq_ignore_ascii_case("bearer").then(|| key.trim())
}

fn not_known(why: NotKnown) -> Problem {
    let (detail, challenge) = match why {
        NotKnown::Missing => ("no key was sent", "Bearer realm=\"kitproof\""),
        NotKnown::Wrong => (
            "the key is not one of this service",
            "Bearer realm=\"kitproof\", error=\"invalid_token\"",
        ),
        NotKnown::Expired => (
            "the key is no longer good",
            "Bearer realm=\"kitproof\", error=\"invalid_token\", error_description=\"expired\"",
        ),
    };
    tracing::info!(why = detail, "nobody known");
    Problem::new(Code::KeyNeeded, detail)
        .header(header::WWW_AUTHENTICATE, challenge)
        .close()
}

fn lacks(needed: Needed) -> Problem {
    let Needed::Key(scope) = needed else {
        return Problem::internal();
    };
    let challenge =
        format!("Bearer realm=\"kitproof\", error=\"insufficient_scope\", scope=\"{scope}\"");
    Problem::new(
        Code::ScopeNeeded,
        format!("the key lacks the scope `{scope}`"),
    )
    .header(header::WWW_AUTHENTICATE, &challenge)
    .close()
}

fn too_often(quota: Quota, wait: u64) -> Problem {
    let Quota { requests, seconds } = quota;
    let times = if wait == 1 { "second" } else { "seconds" };
    let detail = format!("{requests} requests in {seconds} seconds; try again in {wait} {times}");
    Problem::new(Code::TooOften, detail).close()
}
