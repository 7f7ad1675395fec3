//! One answer in many forms, chosen by `Accept`.

use crate::client::{Reply, send};
use crate::service::address;

const CART: &[u8] = include_bytes!("../../openapi/examples/cart-too-many-ranks.json");

fn asked(accept: &str) -> Reply {
    let headers = [("content-type", "application/json"), ("accept", accept)];
    send(address(), "POST", "/v1/validate", &headers, CART)
}

#[test]
fn the_form_that_the_caller_likes_best_is_sent() {
    for (accept, kind, begins) in [
        ("*/*", "application/json", "{"),
        ("text/plain", "text/plain; charset=utf-8", "24 × "),
        (
            "application/json;q=0.5, text/markdown",
            "text/markdown; charset=utf-8; variant=GFM",
            "# 24 × ",
        ),
        ("text/html", "text/html; charset=utf-8", "<!DOCTYPE html>"),
        ("image/*", "image/svg+xml", "<?xml "),
    ] {
        let reply = asked(accept);
        assert_eq!(reply.status, 200, "{accept}");
        assert_eq!(reply.header("content-type"), Some(kind), "{accept}");
        assert!(reply.text().starts_with(begins), "{accept}");
        let vary = reply.header("vary").unwrap_or_default();
        assert!(vary.contains("Accept"), "{accept}: {vary}");
        assert_eq!(reply.body, asked(accept).body, "{accept}: equal bytes");
    }
    assert_eq!(asked("application/pdf").status, 406);
}

#[test]
fn a_page_may_use_its_own_style_and_nothing_else() {
    for accept in ["text/html", "image/svg+xml"] {
        let reply = asked(accept);
        let policy = reply
            .header("content-security-policy")
            .unwrap_or_default()
            .to_owned();
        assert!(policy.contains("default-src 'none'"), "{policy}");
        assert!(policy.contains("style-src 'sha256-"), "{policy}");
        assert!(!policy.contains("unsafe"), "{policy}");
        assert!(!reply.text().contains("<script"));
    }
}
