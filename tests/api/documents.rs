//! The OpenAPI document and its page, and that the list of endpoints is whole.

use std::fs;
use std::path::Path;

use kitproof::api::ENDPOINTS;

use crate::client::{get, post};
use crate::service::address;

#[test]
fn the_served_document_is_the_committed_one() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("openapi/openapi.json");
    let committed = fs::read_to_string(path).expect("the committed document");
    let served = get(address(), "/openapi.json");
    assert_eq!(served.header("content-type"), Some("application/json"));
    assert!(
        served.text() == committed,
        "write it with `cargo run -- generate`"
    );
}

#[test]
fn every_listed_endpoint_is_routed() {
    for endpoint in ENDPOINTS {
        let path = endpoint.path().replace(['{', '}'], "x");
        let reply = match endpoint.method().as_str() {
            "GET" => get(address(), &path),
            _ => post(address(), &path, b"{}"),
        };
        let code = if reply.status < 400 {
            String::new()
        } else {
            reply.code()
        };
        assert!(
            !["unknown-path", "method-not-allowed"].contains(&code.as_str()),
            "{}",
            endpoint.line()
        );
    }
}

/// A handler that is annotated but missing from the list would give no warning.
#[test]
fn every_annotated_handler_is_listed() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/api/routes");
    let mut annotated = Vec::new();
    for file in fs::read_dir(folder).expect("the routes") {
        let text = fs::read_to_string(file.expect("a file").path()).expect("text");
        for part in text.split("#[utoipa::path(").skip(1) {
            let path = part
                .split("path = \"")
                .nth(1)
                .and_then(|rest| rest.split('"').next());
            let method = part.trim_start().split(',').next().unwrap_or_default();
            annotated.push(format!(
                "{} {}",
                method.to_uppercase(),
                path.unwrap_or_default()
            ));
        }
    }
    let mut listed: Vec<String> = ENDPOINTS.iter().map(|endpoint| endpoint.line()).collect();
    annotated.sort();
    listed.sort();
    assert_eq!(annotated, listed);
}

#[test]
fn the_page_loads_everything_from_this_service() {
    let page = get(address(), "/docs");
    assert_eq!(
        page.header("content-type"),
        Some("text/html; charset=utf-8")
    );
    let policy = page.header("content-security-policy").expect("a policy");
    assert!(
        policy.contains("script-src 'self'") && !policy.contains("http"),
        "{policy}"
    );
    assert!(!policy.contains("unsafe-eval"));
    let text = page.text();
    assert!(
        !text.contains("://") && !text.contains("<script>"),
        "{text}"
    );
    let links: Vec<&str> = text
        .split(['"'])
        .filter(|part| part.starts_with("docs/") || part.ends_with(".json"))
        .collect();
    assert_eq!(links.len(), 4, "{links:?}");
    for link in links {
        let reply = get(address(), &format!("/{link}"));
        assert_eq!(reply.status, 200, "{link}");
        assert!(!reply.body.is_empty());
    }
    assert!(
        get(address(), "/docs/start.js")
            .text()
            .contains("validatorUrl: null")
    );
    assert_eq!(get(address(), "/docs/starr.js").code(), "unknown-name");
}
