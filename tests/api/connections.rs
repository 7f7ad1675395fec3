//! Connections on which nothing moves are closed; slow ones that move are not.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::{Duration, Instant};

use kitproof::settings::Settings;

use crate::client::connect;
use crate::service::{settings, start};

fn impatient() -> SocketAddr {
    start(Settings {
        keep_alive: Duration::from_millis(1000),
        head_timeout: Duration::from_millis(1000),
        stall_timeout: Duration::from_millis(1000),
        ..settings()
    })
    .0
}

/// Reads one answer, whose body is as long as it says.
fn answer(stream: &mut TcpStream) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut byte = [0];
    while !bytes.ends_with(b"\r\n\r\n") {
        assert_eq!(stream.read(&mut byte).expect("an answer"), 1);
        bytes.push(byte[0]);
    }
    let head = String::from_utf8_lossy(&bytes).to_ascii_lowercase();
    let length = head
        .split("content-length: ")
        .nth(1)
        .and_then(|rest| rest.lines().next());
    let mut body = vec![0; length.expect("a length").parse().expect("a number")];
    stream.read_exact(&mut body).expect("a body");
    bytes
}

/// Waits until the other side has closed.
fn closed_after(stream: &mut TcpStream) -> Duration {
    let started = Instant::now();
    let mut rest = [0; 64 * 1024];
    while matches!(stream.read(&mut rest), Ok(n) if n > 0) {}
    started.elapsed()
}

const LIVE: &[u8] = b"GET /health/live HTTP/1.1\r\nhost: t\r\n\r\n";

#[test]
fn a_second_head_that_comes_byte_by_byte_is_cut() {
    let mut stream = connect(impatient());
    stream.write_all(LIVE).expect("sent");
    answer(&mut stream);
    let mut writer = stream.try_clone().expect("a second handle");
    writer
        .write_all(b"GET /health/live HTTP/1.1\r\nx: ")
        .expect("sent");
    std::thread::spawn(move || {
        for _ in 0..200 {
            std::thread::sleep(Duration::from_millis(100));
            if writer.write_all(b"x").is_err() {
                break;
            }
        }
    });
    let after = closed_after(&mut stream);
    assert!(
        after > Duration::from_millis(1500) && after < Duration::from_secs(6),
        "{after:?}"
    );
}

#[test]
fn a_refused_upload_that_never_ends_is_cut() {
    let mut stream = connect(impatient());
    let head = "POST /test/echo HTTP/1.1\r\nhost: t\r\ncontent-type: text/plain\r\n\
                transfer-encoding: chunked\r\n\r\n5\r\nabcde\r\n";
    stream.write_all(head.as_bytes()).expect("sent");
    let reply = answer(&mut stream);
    assert!(reply.starts_with(b"HTTP/1.1 415"));
    assert!(closed_after(&mut stream) < Duration::from_secs(6));
}

#[test]
fn a_reader_that_stops_reading_a_long_answer_is_cut() {
    let mut stream = connect(impatient());
    stream
        .write_all(b"GET /test/endless HTTP/1.1\r\nhost: t\r\n\r\n")
        .expect("sent");
    std::thread::sleep(Duration::from_secs(4));
    // What was on its way is still there, then it ends.
    let mut taken = 0;
    let mut block = vec![0; 256 * 1024];
    while let Ok(n @ 1..) = stream.read(&mut block) {
        taken += n;
        assert!(taken < 100 << 20, "still sending");
    }
    assert!(taken > 0);
}

#[test]
fn an_answer_that_is_slow_to_come_is_not_cut() {
    let mut stream = connect(impatient());
    stream
        .write_all(b"GET /test/drops HTTP/1.1\r\nhost: t\r\nconnection: close\r\n\r\n")
        .expect("sent");
    let mut text = String::new();
    stream.read_to_string(&mut text).expect("text");
    assert_eq!(text.matches("drop").count(), 3, "{text}");
}

#[test]
fn a_connection_that_is_used_stays_open() {
    let mut stream = connect(impatient());
    for _ in 0..5 {
        stream.write_all(LIVE).expect("sent");
        assert!(answer(&mut stream).starts_with(b"HTTP/1.1 200"));
        std::thread::sleep(Duration::from_millis(600));
    }
}
