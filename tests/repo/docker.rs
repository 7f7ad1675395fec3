//! What runs the program in production: that its files name what there is.

use std::fs;

use kitproof::catalogue::load::{Content, File, catalogue};

use crate::root;

fn text(name: &str) -> String {
    fs::read_to_string(root().join("docker").join(name)).unwrap()
}

/// A member of a map that stands as an indented block.
fn block(text: &str, name: &str) -> String {
    let rest = text.split(&format!("\n  {name}: |\n")).nth(1).unwrap();
    let lines = rest
        .lines()
        .take_while(|line| line.is_empty() || line.starts_with("    "));
    let lines: Vec<&str> = lines
        .map(|line| line.strip_prefix("    ").unwrap_or(""))
        .collect();
    lines.join("\n") + "\n"
}

#[test]
fn the_catalogue_of_the_cluster_has_no_fault() {
    let maps = text("kubernetes/catalogue.yaml");
    let (board, modules) = (block(&maps, "beck.json"), block(&maps, "list.csv"));
    let file = |name, content, text: &'static str| File {
        name,
        content,
        bytes: text.as_bytes(),
    };
    let files = [
        file("beck.json", Content::Board, board.leak()),
        file("list.csv", Content::ModuleTable, modules.leak()),
    ];
    let catalogue = catalogue(&files).unwrap();
    assert_eq!(
        (catalogue.boards().len(), catalogue.modules().len()),
        (1, 2)
    );
    assert!(catalogue.modules().all(|entry| entry.invented));
    // The demo board, so that the two cannot grow apart.
    let demo = fs::read_to_string(root().join("src/catalogue/data/boards/beck.json")).unwrap();
    let demo: serde_json::Value = serde_json::from_str(&demo).unwrap();
    let shown: serde_json::Value = serde_json::from_str(&block(&maps, "beck.json")).unwrap();
    assert_eq!(shown, demo);
}

#[test]
fn every_file_says_what_it_is_for_and_asks_for_no_more_than_it_needs() {
    for name in ["Dockerfile", "compose.yaml", "haproxy.cfg"] {
        assert!(text(name).starts_with("# "), "{name}");
    }
    for entry in fs::read_dir(root().join("docker/kubernetes"))
        .unwrap()
        .flatten()
    {
        assert!(
            fs::read_to_string(entry.path()).unwrap().starts_with("# "),
            "{entry:?}"
        );
    }
    let image = text("Dockerfile");
    assert!(image.contains("FROM scratch") && image.contains("USER 65532:65532"));
    assert!(text("kubernetes/deployment.yaml").contains("readOnlyRootFilesystem: true"));
    assert!(text("compose.yaml").contains("read_only: true"));
}
