//! A catalogue that changes while requests run: a folder behind a link, and a feed.

use std::collections::BTreeSet;
use std::fs;
use std::io::{Read, Write};
use std::net::{SocketAddr, TcpListener};
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use kitproof::catalogue::directory;
use kitproof::command::operate::follow;
use kitproof::remote::settings::{Feed, Holds};
use kitproof::settings::Settings;

use crate::client::{Reply, get, post};
use crate::service::{settings, start_with};

/// A folder of its own for a test; removed with it.
struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("kitproof-{name}-{}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }

    /// A catalogue of the demo boards and a table of one module, with this stock.
    fn catalogue(&self, name: &str, stock: u32) -> PathBuf {
        let folder = self.path(name);
        let boards = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/catalogue/data/boards");
        fs::create_dir_all(folder.join("boards")).expect("a folder");
        fs::create_dir_all(folder.join("modules")).expect("a folder");
        fs::copy(boards.join("tarn.json"), folder.join("boards/tarn.json")).expect("a copy");
        fs::write(folder.join("modules/list.csv"), table(stock)).expect("a file");
        folder
    }

    /// Puts the link `in-use` onto a folder, as a cluster does: all at once.
    fn point(&self, to: &Path) -> PathBuf {
        let (link, fresh) = (self.path("in-use"), self.path("fresh"));
        let _ = fs::remove_file(&fresh);
        symlink(to, &fresh).expect("a link");
        fs::rename(&fresh, &link).expect("a swap");
        link
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn table(stock: u32) -> String {
    format!(
        "part,label,price,currency,stock,pack\nERW-L1,16GB 2Rx4 PC3L-12800R-11-12-E2,31.50,EUR,{stock},1\n"
    )
}

/// A service that follows a folder and feeds.
fn service(folder: Option<PathBuf>, feeds: Vec<Feed>) -> SocketAddr {
    let own = Settings {
        catalogue: folder,
        ..settings()
    };
    start_with(own, |state| follow(state, feeds).expect("sources")).0
}

fn stock(reply: &Reply) -> u64 {
    reply.json()["facts"]["stock"].as_u64().expect("a stock")
}

fn comes_true(what: impl Fn() -> bool) -> bool {
    let until = Instant::now() + Duration::from_secs(20);
    while Instant::now() < until {
        if what() {
            return true;
        }
        std::thread::sleep(Duration::from_millis(100));
    }
    false
}

fn refused(to: SocketAddr) -> Vec<String> {
    let ready = get(to, "/health/ready").json();
    let list = ready["refused_sources"].as_array().expect("a list");
    list.iter()
        .map(|name| name.as_str().expect("a name").to_owned())
        .collect()
}

/// Asks again and again until told to stop; checks that all of an answer is of one revision.
/// Gives how many answers there were, and how many revisions.
fn ask_until(stop: &AtomicBool, to: SocketAddr, known: &[(String, u64)]) -> (u64, usize) {
    let (mut count, mut seen) = (0, BTreeSet::new());
    let cart = br#"{"board": "tarn", "kit": [{"module": "ERW-L1", "quantity": 2}]}"#;
    while !stop.load(Ordering::Relaxed) {
        let module = get(to, "/v1/modules/ERW-L1");
        assert_eq!(module.status, 200, "{}", module.text());
        let revision = module
            .header("kitproof-catalogue")
            .expect("a revision")
            .to_owned();
        let (_, expected) = known
            .iter()
            .find(|(known, _)| *known == revision)
            .expect("a known revision");
        assert_eq!(
            stock(&module),
            *expected,
            "header and body are of two revisions"
        );
        let verdict = post(to, "/v1/validate", cart);
        assert_eq!(verdict.status, 200, "{}", verdict.text());
        assert_eq!(
            verdict.json()["catalogue_revision"].as_str(),
            verdict.header("kitproof-catalogue")
        );
        count += 2;
        seen.insert(revision);
    }
    (count, seen.len())
}

/// Swaps two catalogues under load for a while; gives answers, swaps and revisions seen.
fn swap_under_load(name: &str, swaps: u32, pause: Duration) -> (u64, u32, usize) {
    let scratch = Scratch::new(name);
    let folders = [scratch.catalogue("a", 1), scratch.catalogue("b", 2)];
    let known: Vec<(String, u64)> = folders
        .iter()
        .zip(1..)
        .map(|(folder, stock)| {
            (
                directory::load(folder)
                    .expect("sound")
                    .revision()
                    .to_owned(),
                stock,
            )
        })
        .collect();
    // What was written just now would wait a moment before it is taken.
    std::thread::sleep(Duration::from_millis(1100));
    let to = service(Some(scratch.point(&folders[0])), Vec::new());
    let stop = AtomicBool::new(false);
    let answers = AtomicU64::new(0);
    let revisions = AtomicU64::new(0);
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                let (count, seen) = ask_until(&stop, to, &known);
                answers.fetch_add(count, Ordering::Relaxed);
                revisions.fetch_max(seen as u64, Ordering::Relaxed);
            });
        }
        for swap in 1..=swaps {
            std::thread::sleep(pause);
            scratch.point(&folders[swap as usize % 2]);
        }
        std::thread::sleep(pause);
        stop.store(true, Ordering::Relaxed);
    });
    (answers.into_inner(), swaps, revisions.into_inner() as usize)
}

#[test]
fn a_folder_that_is_swapped_behind_a_link_is_taken_whole() {
    let (answers, _, revisions) = swap_under_load("swap", 4, Duration::from_millis(1500));
    assert!(
        answers > 0 && revisions == 2,
        "{answers} answers of {revisions} revisions"
    );
}

/// The long form: `cargo test --release --test api -- --ignored --nocapture swapped_every_second`.
#[test]
#[ignore = "runs for a minute; prints figures"]
fn a_catalogue_that_is_swapped_every_second_for_a_minute_loses_no_answer() {
    let (answers, swaps, revisions) = swap_under_load("minute", 60, Duration::from_secs(1));
    println!("{swaps} swaps, {answers} answers, 0 errors, each of one of {revisions} revisions");
    assert_eq!(revisions, 2);
}

#[test]
fn a_bad_folder_changes_nothing_and_is_told_until_it_is_mended() {
    let scratch = Scratch::new("bad");
    let folder = scratch.catalogue("a", 5);
    let to = service(Some(folder.clone()), Vec::new());
    assert!(refused(to).is_empty());
    fs::write(
        folder.join("modules/list.csv"),
        "part,label\nERW-L1,a hat\n",
    )
    .expect("written");
    assert!(comes_true(|| refused(to) == ["folder"]));
    let kept = get(to, "/v1/modules/ERW-L1");
    assert_eq!((kept.status, stock(&kept)), (200, 5));
    fs::write(folder.join("modules/list.csv"), table(6)).expect("written");
    assert!(comes_true(|| stock(&get(to, "/v1/modules/ERW-L1")) == 6));
    assert!(refused(to).is_empty());
}

/// What the address of a feed answers next: the last one is repeated.
type Script = Arc<Mutex<Vec<String>>>;

/// An address on this machine that answers by a script and keeps the heads of what it was asked.
fn address_with(script: Script) -> (SocketAddr, Arc<Mutex<Vec<String>>>) {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    let address = listener.local_addr().expect("an address");
    let asked = Arc::new(Mutex::new(Vec::new()));
    let heads = Arc::clone(&asked);
    std::thread::spawn(move || {
        for stream in listener.incoming() {
            let mut stream = stream.expect("a caller");
            let mut head = Vec::new();
            let mut byte = [0];
            while !head.ends_with(b"\r\n\r\n") && stream.read(&mut byte).is_ok_and(|n| n == 1) {
                head.push(byte[0]);
            }
            heads
                .lock()
                .expect("a list")
                .push(String::from_utf8_lossy(&head).into_owned());
            let mut script = script.lock().expect("a script");
            let answer = if script.len() > 1 {
                script.remove(0)
            } else {
                script[0].clone()
            };
            let _ = stream.write_all(answer.as_bytes());
        }
    });
    (address, asked)
}

fn answer(status: &str, headers: &str, body: &str) -> String {
    format!(
        "HTTP/1.1 {status}\r\n{headers}content-length: {}\r\nconnection: close\r\n\r\n{body}",
        body.len()
    )
}

fn csv(tag: &str, stock: u32) -> String {
    answer(
        "200 OK",
        &format!("content-type: text/csv; charset=utf-8\r\netag: \"{tag}\"\r\n"),
        &table(stock),
    )
}

fn feed(address: SocketAddr) -> Feed {
    Feed {
        name: "stock".to_owned(),
        address: format!("http://{address}/modules"),
        holds: Holds::Modules,
        every_seconds: Some(1),
        private: true,
        token_file: None,
        ca_file: None,
        keep_file: None,
    }
}

#[test]
fn a_feed_is_taken_confirmed_by_its_tag_and_kept_through_whatever_comes() {
    let not_modified = answer("304 Not Modified", "", "");
    let failed = answer("500 Internal Server Error", "", "oops");
    let elsewhere = answer("302 Found", "location: http://192.0.2.1/\r\n", "");
    let other_type = answer("200 OK", "content-type: text/html\r\n", "<p>");
    let bad = answer(
        "200 OK",
        "content-type: text/csv\r\netag: \"bad\"\r\n",
        "part,label\nX,a hat\n",
    );
    let script: Script = Arc::new(Mutex::new(vec![
        csv("one", 1),
        not_modified.clone(),
        failed,
        elsewhere,
        other_type,
        bad,
        csv("two", 2),
        not_modified,
    ]));
    let (address, asked) = address_with(Arc::clone(&script));
    let to = service(None, vec![feed(address)]);
    assert!(comes_true(|| get(to, "/health/ready").status == 200));
    assert_eq!(stock(&get(to, "/v1/modules/ERW-L1")), 1);
    assert!(comes_true(|| !refused(to).is_empty()));
    assert_eq!(refused(to), ["feed `stock`"]);
    assert_eq!(
        stock(&get(to, "/v1/modules/ERW-L1")),
        1,
        "the last good one is kept"
    );
    assert!(comes_true(|| stock(&get(to, "/v1/modules/ERW-L1")) == 2));
    assert!(comes_true(|| refused(to).is_empty()));
    let heads = asked.lock().expect("a list").clone();
    assert!(!heads[0].contains("if-none-match"), "{}", heads[0]);
    // The tag of an answer that could not be used is never sent.
    assert!(
        heads[1..]
            .iter()
            .all(|head| head.contains("if-none-match: \"one\"")
                || head.contains("if-none-match: \"two\""))
    );
    assert!(comes_true(|| {
        let heads = asked.lock().expect("a list");
        heads
            .iter()
            .any(|head| head.contains("if-none-match: \"two\""))
    }));
}

#[test]
fn a_service_whose_feed_gives_nothing_yet_is_not_ready_and_begins_with_what_was_kept() {
    let scratch = Scratch::new("keep");
    let keep_file = Some(scratch.path("kept").to_str().expect("UTF-8").to_owned());
    let down: Script = Arc::new(Mutex::new(vec![answer("503 Service Unavailable", "", "")]));
    let (address, _) = address_with(Arc::clone(&down));
    let kept = Feed {
        keep_file,
        ..feed(address)
    };
    let to = service(None, vec![kept.clone()]);
    let reply = get(to, "/health/ready");
    assert_eq!((reply.status, reply.code().as_str()), (503, "not-ready"));
    assert_eq!(get(to, "/health/live").status, 200);
    *down.lock().expect("a script") = vec![csv("x", 9)];
    assert!(comes_true(|| get(to, "/health/ready").status == 200));
    // The address is gone; another start needs it not.
    *down.lock().expect("a script") = vec![answer("503 Service Unavailable", "", "")];
    let next = service(None, vec![kept]);
    assert_eq!(get(next, "/health/ready").status, 200);
    assert_eq!(stock(&get(next, "/v1/modules/ERW-L1")), 9);
}

#[test]
fn boards_come_by_a_folder_and_modules_by_a_feed() {
    let scratch = Scratch::new("both");
    let folder = scratch.catalogue("a", 1);
    fs::remove_file(folder.join("modules/list.csv")).expect("removed");
    let line = r#"{"part": "ERW-L2", "label": "16GB 2Rx4 PC3L-12800R-11-12-E2", "stock": 7}"#;
    let script: Script = Arc::new(Mutex::new(vec![answer(
        "200 OK",
        "content-type: application/x-ndjson\r\n",
        line,
    )]));
    let (address, _) = address_with(script);
    let to = service(Some(folder), vec![feed(address)]);
    assert!(comes_true(|| get(to, "/health/ready").status == 200));
    let cart = br#"{"board": "tarn", "kit": [{"module": "ERW-L2", "quantity": 2}]}"#;
    assert_eq!(post(to, "/v1/validate", cart).status, 200);
}
