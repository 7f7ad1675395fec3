//! Pages and conditional requests.

use crate::client::{get, send};
use crate::service::address;

fn tagged(path: &str, tag: &str) -> crate::client::Reply {
    send(address(), "GET", path, &[("if-none-match", tag)], b"")
}

#[test]
fn a_known_answer_is_not_sent_again() {
    for path in [
        "/openapi.json",
        "/v1/problems",
        "/v1/problems/invalid-body",
        "/docs/start.js",
    ] {
        let first = get(address(), path);
        let tag = first.header("etag").expect("a tag").to_owned();
        for known in [
            tag.clone(),
            format!("\"x\", {tag}"),
            "*".to_owned(),
            format!("W/{}", tag.trim_start_matches("W/")),
        ] {
            let reply = tagged(path, &known);
            assert_eq!((reply.status, reply.body.len()), (304, 0), "{path} {known}");
            assert_eq!(reply.header("etag"), Some(tag.as_str()));
            assert_eq!(reply.header("vary"), first.header("vary"));
            assert_eq!(reply.header("cache-control"), first.header("cache-control"));
        }
        assert_eq!(tagged(path, "\"other\"").body, first.body, "{path}");
        assert_eq!(get(address(), path).header("etag"), Some(tag.as_str()));
    }
}

#[test]
fn tags_of_different_pages_differ() {
    let tag = |path: &str| {
        get(address(), path)
            .header("etag")
            .expect("a tag")
            .to_owned()
    };
    assert_ne!(tag("/v1/problems?limit=1"), tag("/v1/problems?limit=2"));
    assert!(tag("/v1/problems").starts_with("W/"));
}

#[test]
fn pages_of_any_size_join_up_to_the_whole_list() {
    let whole = get(address(), "/v1/problems").json();
    let all = whole["items"].as_array().expect("items");
    assert!(all.len() > 10 && whole.get("next_cursor").is_none());
    for limit in [1, 3, all.len(), 200] {
        let mut joined = Vec::new();
        let mut path = format!("/v1/problems?limit={limit}");
        loop {
            let reply = get(address(), &path);
            let page = reply.json();
            joined.extend(page["items"].as_array().expect("items").clone());
            let Some(cursor) = page["next_cursor"].as_str() else {
                assert_eq!(reply.header("link"), None);
                break;
            };
            path = format!("/v1/problems?limit={limit}&cursor={cursor}");
            assert_eq!(
                reply.header("link"),
                Some(format!("<{path}>; rel=\"next\"").as_str())
            );
        }
        assert_eq!(&joined, all, "limit {limit}");
    }
}

#[test]
fn a_cursor_that_is_not_from_this_list_is_refused_by_name() {
    let reply = get(address(), "/v1/problems?cursor=AAAA&limit=300");
    assert_eq!(reply.status, 422);
    assert_eq!(
        reply.faults(),
        ["unusable query:limit", "unusable query:cursor"]
    );
}
