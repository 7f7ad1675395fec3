//! `GET /.well-known/jwks.json`: the keys that receipts can be checked with.

use actix_web::HttpRequest;
use actix_web::web::{Data, Json};

use crate::api::problem::Problem;
use crate::api::query::Query;
use crate::api::receipt::keys::PublicKeys;
use crate::api::state::AppState;

/// The keys that receipts can be checked with.
///
/// A JSON Web Key set (RFC 7517) of Ed25519 keys. Empty where the operator set no key for receipts.
/// Keep it: a receipt is checked without asking again.
#[utoipa::path(
    get,
    path = "/.well-known/jwks.json",
    tag = "service",
    responses((status = 200, description = "The keys.", body = PublicKeys))
)]
pub async fn jwks(
    request: HttpRequest,
    state: Data<AppState>,
) -> Result<Json<PublicKeys>, Problem> {
    Query::read(request.query_string(), &[])?;
    let published = state.receipts.as_ref().map(|signer| signer.published());
    Ok(Json(published.unwrap_or_default()))
}
