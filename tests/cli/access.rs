//! Keys on the command line, and what a service asks before it opens itself to a network.

use std::path::PathBuf;
use std::time::{Duration, Instant};

use crate::{REFUSED, code, kitproof, printed, run, said, serve_with};

fn scratch(name: &str) -> PathBuf {
    let path = std::env::temp_dir().join(format!("kitproof-{name}-{}", std::process::id()));
    let _ = std::fs::remove_file(&path);
    path
}

/// Makes a key; gives its text.
fn add(file: &str, scope: &str) -> String {
    let made = run(
        &["key", "add", file, "--name", "a shop", "--scope", scope],
        "",
    );
    assert_eq!(code(&made), 0, "{}", said(&made));
    printed(&made).trim().to_owned()
}

/// What `check --server` exits with, with a key or without.
fn check_at(server: &str, key: Option<&str>) -> i32 {
    let mut command = kitproof();
    command.args(["check", "--server", server, "--report", REFUSED]);
    command.env_remove("KITPROOF_KEY");
    if let Some(key) = key {
        command.env("KITPROOF_KEY", key);
    }
    code(&command.output().unwrap())
}

/// Waits until it is so; a file is looked at every other second.
fn comes_true(what: impl Fn() -> bool) -> bool {
    let until = Instant::now() + Duration::from_secs(15);
    while Instant::now() < until {
        if what() {
            return true;
        }
        std::thread::sleep(Duration::from_millis(200));
    }
    false
}

#[test]
fn a_network_is_only_served_with_keys_or_a_clear_word() {
    let refused = run(&["serve", "--address", "0.0.0.0", "--port", "0"], "");
    assert_eq!(code(&refused), 2);
    let told = said(&refused);
    assert!(told.contains("--keys") && told.contains("--open"), "{told}");
    let both = run(&["serve", "--open", "--keys", "x.json"], "");
    assert_eq!(code(&both), 2);
    let none = run(&["serve", "--keys", "no-such-file.json", "--port", "0"], "");
    assert_eq!(code(&none), 2);
}

#[test]
fn a_key_is_made_once_used_at_once_and_gone_when_it_is_removed() {
    let path = scratch("keys.json");
    let file = path.to_str().unwrap();
    let first = add(file, "decide");
    let kept = std::fs::read_to_string(&path).unwrap();
    let secret = first.rsplit('_').next().unwrap();
    assert!(!kept.contains(secret) && !kept.contains(&secret[..64]));
    let service = serve_with(&["--keys", file]);
    assert_eq!(check_at(&service.address, Some(&first)), 0);
    assert_eq!(check_at(&service.address, None), 2);
    assert_eq!(
        code(&run(&["health", &service.address], "")),
        0,
        "health needs no key"
    );

    // A second key, then no first: both without a restart.
    let second = add(file, "decide");
    assert!(comes_true(|| check_at(&service.address, Some(&second)) == 0));
    let id = first.split('_').nth(1).unwrap();
    assert!(printed(&run(&["key", "list", file], "")).contains(id));
    assert_eq!(code(&run(&["key", "remove", file, id], "")), 0);
    assert!(comes_true(|| check_at(&service.address, Some(&first)) == 2));
    assert_eq!(check_at(&service.address, Some(&second)), 0);

    // A file that cannot be used changes nothing.
    std::fs::write(&path, "{").unwrap();
    std::thread::sleep(Duration::from_secs(3));
    assert_eq!(check_at(&service.address, Some(&second)), 0);
    std::fs::remove_file(&path).unwrap();
}

#[test]
fn a_key_for_no_known_scope_is_not_made() {
    let path = scratch("no-keys.json");
    let file = path.to_str().unwrap();
    let wrong = run(&["key", "add", file, "--name", "x", "--scope", "all"], "");
    assert_eq!(code(&wrong), 2);
    assert!(said(&wrong).contains("`decide`"), "{}", said(&wrong));
    let day = [
        "key",
        "add",
        file,
        "--name",
        "x",
        "--scope",
        "read",
        "--last-day",
        "2027-02-30",
    ];
    assert_eq!(code(&run(&day, "")), 2);
    assert!(!path.exists());
}

#[test]
fn the_readme_lists_every_setting() {
    let readme = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let readme = std::fs::read_to_string(readme).unwrap();
    let help = printed(&run(&["serve", "--help"], ""));
    let words = help
        .split_whitespace()
        .filter(|word| word.starts_with("--"));
    let missing: Vec<&str> = words
        .map(|word| word.trim_end_matches(|c: char| !c.is_ascii_lowercase()))
        .filter(|word| *word != "--help" && !readme.contains(&format!("`{word}")))
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}

/// What a service logs while it is asked hostile things.
fn logged_under(format: &str, key: &str, file: &str) -> String {
    let free = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = free.local_addr().unwrap().port();
    drop(free);
    let log = scratch(&format!("log-{format}"));
    let mut child = kitproof()
        .args(["serve", "--port", &port.to_string(), "--keys", file])
        .args(["--log-format", format])
        .env("KITPROOF_LOG", "kitproof=debug")
        .stdout(std::process::Stdio::null())
        .stderr(std::fs::File::create(&log).unwrap())
        .spawn()
        .unwrap();
    let address = format!("http://127.0.0.1:{port}");
    assert!(comes_true(|| code(&run(&["health", &address], "")) == 0));
    let hostile = format!(
        "GET /v1/boards/%0d%0a%1b[31mred?x=%0a HTTP/1.1\r\nhost: t\r\nx-request-id: red\t\"\r\n\
         authorization: Bearer {key}\r\nuser-agent: red\tb\r\nconnection: close\r\n\r\n"
    );
    use std::io::{Read, Write};
    for text in [hostile.replace(key, &key[1..]), hostile] {
        let mut stream = std::net::TcpStream::connect(("127.0.0.1", port)).unwrap();
        stream.write_all(text.as_bytes()).unwrap();
        let _ = stream.read_to_string(&mut String::new());
    }
    child.kill().unwrap();
    child.wait().unwrap();
    let text = std::fs::read(&log).unwrap();
    std::fs::remove_file(&log).unwrap();
    String::from_utf8(text).unwrap()
}

#[test]
fn log_lines_hold_no_secret_and_no_control_character() {
    let path = scratch("log-keys.json");
    let file = path.to_str().unwrap();
    let key = add(file, "catalogue");
    for format in ["text", "json"] {
        let log = logged_under(format, &key, file);
        assert!(log.lines().count() >= 3, "{log}");
        assert!(!log.contains(&key[20..60]), "a key was logged");
        assert!(log.chars().all(|c| c == '\n' || !c.is_control()), "{log:?}");
        assert!(!log.contains("red"), "text of a caller was logged: {log}");
    }
    std::fs::remove_file(&path).unwrap();
}
