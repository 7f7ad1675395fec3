//! Stopping: the program itself, told to stop by a signal.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use rustix::process::{Pid, Signal, kill_process};

use crate::client::{connect, get, post};

/// A program that serves.
struct Served {
    child: Child,
    address: SocketAddr,
}

impl Served {
    fn begin(grace: &str) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_kitproof"))
            .args([
                "serve",
                "--port",
                "0",
                "--grace",
                grace,
                "--log-format",
                "json",
            ])
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program runs");
        let log = child.stderr.take().expect("a log");
        let mut log = BufReader::new(log).lines();
        let address = log.by_ref().find_map(|line| {
            let line: serde_json::Value = serde_json::from_str(&line.ok()?).ok()?;
            line["socket"].as_str()?.parse().ok()
        });
        // Nobody reads the rest, but somebody must take it.
        std::thread::spawn(move || log.count());
        Self {
            child,
            address: address.expect("it says where it listens"),
        }
    }

    fn signal(&self, signal: Signal) {
        kill_process(Pid::from_child(&self.child), signal).expect("a signal");
    }

    fn ends_well(&mut self) -> bool {
        let patience = Instant::now() + Duration::from_secs(60);
        while Instant::now() < patience {
            if let Some(status) = self.child.try_wait().expect("a status") {
                return status.success();
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        false
    }

    /// Waits until the instance says that it is not ready.
    fn says_not_ready(&self) -> bool {
        (0..500).any(|_| {
            std::thread::sleep(Duration::from_millis(10));
            get(self.address, "/health/ready").status == 503
        })
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

const REQUEST: &[u8] = br#"{"board":"tarn","kit":[{"module":"ERW-3R16-2x4","quantity":16}]}"#;

/// Reads the head and the body of one answer.
fn answer(stream: &mut TcpStream) -> String {
    let mut bytes = Vec::new();
    let mut byte = [0];
    while !bytes.ends_with(b"\r\n\r\n") {
        assert_eq!(stream.read(&mut byte).expect("an answer"), 1);
        bytes.push(byte[0]);
    }
    let head = String::from_utf8(bytes).expect("text").to_ascii_lowercase();
    let length = head.split("content-length: ").nth(1).expect("a length");
    let length = length.lines().next().expect("a line").parse();
    let mut body = vec![0; length.expect("a number")];
    stream.read_exact(&mut body).expect("a body");
    head
}

#[test]
fn after_a_signal_it_says_not_ready_answers_on_and_ends_connections_with_their_next_answer() {
    let mut served = Served::begin("3");
    let mut kept = connect(served.address);
    let live = b"GET /health/live HTTP/1.1\r\nhost: t\r\n\r\n";
    kept.write_all(live).expect("sent");
    assert!(!answer(&mut kept).contains("connection: close"));
    // A body that is on its way.
    let mut slow = connect(served.address);
    let head = format!(
        "POST /v1/validate HTTP/1.1\r\nhost: t\r\ncontent-type: application/json\r\n\
         content-length: {}\r\n\r\n",
        REQUEST.len()
    );
    slow.write_all(head.as_bytes()).expect("sent");
    slow.write_all(&REQUEST[..10]).expect("sent");

    served.signal(Signal::TERM);
    assert!(served.says_not_ready());
    assert_eq!(post(served.address, "/v1/validate", REQUEST).status, 200);
    kept.write_all(live).expect("sent");
    assert!(answer(&mut kept).contains("connection: close"));
    assert_eq!(kept.read(&mut [0]).expect("an end"), 0);
    slow.write_all(&REQUEST[10..]).expect("sent");
    assert!(answer(&mut slow).starts_with("http/1.1 200"));
    assert!(served.ends_well());
    assert!(TcpStream::connect(served.address).is_err());
}

#[test]
fn a_second_signal_ends_it_at_once() {
    let mut served = Served::begin("600");
    served.signal(Signal::TERM);
    assert!(served.says_not_ready());
    served.signal(Signal::TERM);
    assert!(served.ends_well());
}

#[test]
fn an_interrupt_from_a_terminal_has_no_grace() {
    let mut served = Served::begin("600");
    served.signal(Signal::INT);
    assert!(served.ends_well());
}
