//! `GET /docs`: the OpenAPI document as a page to read and to try, without any outside network.

use std::sync::Arc;

use actix_web::http::header::{self, HeaderValue};
use actix_web::web::{Bytes, Data, Path};
use actix_web::{HttpRequest, HttpResponse};

use crate::api::etag::conditional;
use crate::api::problem::Problem;
use crate::api::query::Query;
use crate::api::state::AppState;
use crate::wirecheck::near::close_matches;

/// The media type of the page.
pub const HTML: &str = "text/html";
/// The media type of its style sheet.
pub const CSS: &str = "text/css";
/// The media type of its scripts.
pub const SCRIPT: &str = "text/javascript";

/// Own scripts, own pictures and requests to this service only. The viewer writes styles into its
/// elements, hence the one exception.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; \
     img-src 'self' data:; font-src 'self'; connect-src 'self'; frame-ancestors 'none'; \
     base-uri 'none'; form-action 'none'";

/// Paths are relative, so that the page also works under a prefix that a proxy takes off.
const PAGE: &str = r#"<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Kitproof: the interface</title>
<link rel="stylesheet" href="docs/viewer.css">
<link rel="icon" href="data:,">
</head>
<body>
<noscript><p>This page needs scripts. The document itself is at <a href="openapi.json">openapi.json</a>.</p></noscript>
<main id="viewer"></main>
<script src="docs/viewer.js"></script>
<script src="docs/start.js"></script>
</body>
</html>
"#;

/// `validatorUrl: null` keeps the viewer from showing the document to an outside service.
const START: &str = "window.addEventListener('load', () => {
  SwaggerUIBundle({
    dom_id: '#viewer',
    url: 'openapi.json',
    validatorUrl: null,
    deepLinking: true,
    tryItOutEnabled: true,
  });
});
";

/// The interface as a page.
///
/// Shows `/openapi.json` for reading and trying. Everything that it loads comes from this service.
#[utoipa::path(
    get,
    path = "/docs",
    tag = "service",
    responses((status = 200, description = "The page.", body = String, content_type = "text/html"))
)]
pub async fn docs(request: HttpRequest) -> Result<HttpResponse, Problem> {
    Query::read(request.query_string(), &[])?;
    let mut answer = HttpResponse::Ok()
        .content_type("text/html; charset=utf-8")
        .body(PAGE);
    let policy = HeaderValue::from_static(POLICY);
    answer
        .headers_mut()
        .insert(header::CONTENT_SECURITY_POLICY, policy);
    Ok(answer)
}

/// A file of the page.
///
/// Style sheet and scripts of `/docs`.
#[utoipa::path(
    get,
    path = "/docs/{file}",
    tag = "service",
    params(("file" = String, Path, description = "The file's name.")),
    responses((status = 200, description = "The file."))
)]
pub async fn docs_file(
    request: HttpRequest,
    name: Path<String>,
    state: Data<AppState>,
) -> Result<HttpResponse, Problem> {
    Query::read(request.query_string(), &[])?;
    let (kind, body) = find(&name)?;
    conditional(
        &request,
        &super::super::etag::of_request(&request, &state),
        || {
            let kind = format!("{kind}; charset=utf-8");
            Ok(HttpResponse::Ok().content_type(kind).body(body))
        },
    )
}

/// The page's files by the names that it uses for them.
const FILES: [&str; 3] = ["start.js", "viewer.css", "viewer.js"];

fn find(name: &str) -> Result<(&'static str, Bytes), Problem> {
    let found = match name {
        "start.js" => Some((SCRIPT, Bytes::from_static(START.as_bytes()))),
        "viewer.css" => bundled("swagger-ui.css").map(|bytes| (CSS, bytes)),
        "viewer.js" => bundled("swagger-ui-bundle.js").map(|bytes| (SCRIPT, bytes)),
        _ => None,
    };
    found.ok_or_else(|| Problem::unknown_name("file", "file", name, close_matches(name, FILES)))
}

/// A file of the viewer that is built into the program.
fn bundled(name: &str) -> Option<Bytes> {
    let config = Arc::new(utoipa_swagger_ui::Config::default());
    let file = utoipa_swagger_ui::serve(name, config).ok()??;
    Some(Bytes::from(file.bytes.into_owned()))
}
