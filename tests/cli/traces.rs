//! A build that cannot send traces, asked to.

use crate::{code, run, said};

#[test]
fn a_collector_that_cannot_be_used_ends_the_start_with_what_to_do() {
    let path = std::env::temp_dir().join(format!("kitproof-traces-{}", std::process::id()));
    let text = r#"{"traces": {"address": "http://127.0.0.1:9", "private": true}}"#;
    std::fs::write(&path, text).unwrap();
    let ended = run(
        &["serve", "--port", "0", "--outbound", path.to_str().unwrap()],
        "",
    );
    std::fs::remove_file(&path).unwrap();
    assert_eq!(code(&ended), 2);
    let said = said(&ended);
    assert!(
        said.contains("`traces`") && said.contains("--features otlp"),
        "{said}"
    );
}
