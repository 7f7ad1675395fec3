//! Tests of the reader.

use super::*;
use proptest::prelude::*;

fn reason(text: &str) -> Reason {
    parse(text.as_bytes(), &Limits::default())
        .unwrap_err()
        .reason
}

#[test]
fn says_where_the_text_breaks() {
    let error = parse("{\n  \"ä\": nope}".as_bytes(), &Limits::default()).unwrap_err();
    assert_eq!((error.line, error.column, error.offset), (2, 8, 10));
    assert_eq!(
        error.to_string(),
        "a JSON value is expected (line 2, column 8, byte 10)"
    );
}

#[test]
fn refuses_what_json_is_not() {
    for text in [
        "",
        " ",
        "nul",
        "NaN",
        "-Infinity",
        "01",
        "1.",
        ".5",
        "1e",
        "+1",
        "'a'",
        "\"a",
        "[1,]",
        "[1 2]",
        "{\"a\"}",
        "{\"a\":1,}",
        "{a:1}",
        "{1:1}",
        "[",
        "]",
        "{]",
        "[1]]",
        "1 2",
        "\"\\x\"",
        "\"\\u12\"",
        "\"\\ud800\"",
        "\"\\ud800\\u0041\"",
        "\"\\udc00\"",
        "\"\t\"",
        "\u{feff}1",
        "// a\n1",
        "tru",
        "\"\\u+123\"",
    ] {
        assert!(
            parse(text.as_bytes(), &Limits::default()).is_err(),
            "{text:?}"
        );
        assert!(
            serde_json::from_str::<serde_json::Value>(text).is_err(),
            "{text:?}"
        );
    }
    assert!(parse(b"\"\xff\"", &Limits::default()).is_err());
}

#[test]
fn refuses_a_name_that_stands_twice_at_any_depth() {
    for (text, at) in [
        (r#"{"a":1,"a":2}"#, "/a"),
        (r#"{"a":1,"\u0061":2}"#, "/a"),
        (r#"[[[{"x":{"b":1,"c":2,"b":3}}]]]"#, "/0/0/0/x/b"),
        (r#"{"a":{"z":1},"b":{"z":1,"y":2,"z":[]}}"#, "/b/z"),
    ] {
        let Reason::Duplicate { pointer, .. } = reason(text) else {
            panic!("{text}")
        };
        assert_eq!(pointer, at);
    }
    assert!(parse(br#"{"a":{"a":1},"b":{"a":1}}"#, &Limits::default()).is_ok());
}

#[test]
fn bounds_depth_and_number_of_values() {
    let nested = |n: usize| format!("{}{}", "[".repeat(n), "]".repeat(n));
    assert!(parse(nested(32).as_bytes(), &Limits::default()).is_ok());
    assert_eq!(reason(&nested(33)), Reason::TooDeep);
    assert_eq!(reason(&"[".repeat(100_000)), Reason::TooDeep);
    assert_eq!(reason(&"{\"a\":".repeat(128)), Reason::TooDeep);
    let many = format!("[{}0]", "0,".repeat(60_000));
    assert_eq!(reason(&many), Reason::TooManyValues);
}

#[test]
fn many_names_in_one_object_are_checked_in_reasonable_time() {
    let members: Vec<String> = (0..40_000).map(|n| format!("\"k{n}\":0")).collect();
    let text = format!("{{{},\"k7\":1}}", members.join(","));
    let start = std::time::Instant::now();
    assert!(matches!(reason(&text), Reason::Duplicate { name, .. } if name == "k7"));
    assert!(start.elapsed() < std::time::Duration::from_secs(2));
}

fn to_value(tree: &Tree<'_>, id: NodeId) -> serde_json::Value {
    match &tree.node(id).unwrap().value {
        Value::Null => serde_json::Value::Null,
        Value::Bool(b) => (*b).into(),
        Value::Number(text) => serde_json::from_str(text).unwrap(),
        Value::Text(text) => text.as_ref().into(),
        Value::List(of) => tree
            .children(of)
            .map(|(id, _)| to_value(tree, id))
            .collect(),
        Value::Object(of) => tree
            .children(of)
            .map(|(id, node)| (node.name.clone().unwrap().into_owned(), to_value(tree, id)))
            .collect::<serde_json::Map<_, _>>()
            .into(),
    }
}

fn any_json() -> impl Strategy<Value = serde_json::Value> {
    let leaf = prop_oneof![
        Just(serde_json::Value::Null),
        any::<bool>().prop_map(Into::into),
        any::<i64>().prop_map(Into::into),
        ".*".prop_map(Into::into),
    ];
    leaf.prop_recursive(5, 60, 6, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(Into::into),
            prop::collection::btree_map(".*", inner, 0..6)
                .prop_map(|map| serde_json::Value::Object(map.into_iter().collect())),
        ]
    })
}

proptest! {
    /// The general JSON reader of the ecosystem is the outside check.
    #[test]
    fn reads_what_another_reader_reads(value in any_json()) {
        for text in [value.to_string(), serde_json::to_string_pretty(&value).unwrap()] {
            let tree = parse(text.as_bytes(), &Limits::default()).unwrap();
            prop_assert_eq!(to_value(&tree, 0), value.clone());
        }
    }

    #[test]
    fn refuses_whatever_another_reader_refuses(text in "[\\[\\]{}:,\"\\\\0-9a-f.eEtrunl \\-+]{0,24}") {
        let ours = parse(text.as_bytes(), &Limits::default());
        let theirs = serde_json::from_str::<serde_json::Value>(&text);
        match &ours {
            Ok(_) => prop_assert!(theirs.is_ok() || text.contains(['e', 'E']), "{}", text),
            Err(Unreadable { reason: Reason::Syntax(_), .. }) => prop_assert!(theirs.is_err(), "{}", text),
            Err(_) => {}
        }
    }

    #[test]
    fn never_panics_on_any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..64)) {
        let _ = parse(&bytes, &Limits::default());
    }
}
