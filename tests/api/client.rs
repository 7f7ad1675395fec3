//! A plain HTTP/1.1 client that sends exactly what a test says, right or wrong.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::Duration;

use serde_json::Value;

/// What came back.
#[derive(Debug)]
pub struct Reply {
    pub status: u16,
    pub headers: Vec<(String, String)>,
    pub body: Vec<u8>,
}

impl Reply {
    /// The value of a header, by its name in lower case.
    pub fn header(&self, name: &str) -> Option<&str> {
        let header = self.headers.iter().find(|(known, _)| known == name);
        header.map(|(_, value)| value.as_str())
    }

    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body)
            .unwrap_or_else(|error| panic!("{error}: {}", self.text()))
    }

    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    /// `code pointer` of each fault of a problem.
    pub fn faults(&self) -> Vec<String> {
        let body = self.json();
        let faults = body["faults"].as_array().expect("faults");
        let line = |fault: &Value| {
            let code = fault["code"].as_str().expect("a code");
            match &fault["parameter"] {
                Value::Null => format!("{code} {}", fault["pointer"].as_str().expect("a pointer")),
                own => {
                    assert!(fault.get("pointer").is_none(), "{fault}");
                    let place = own["in"].as_str().expect("a place");
                    let name = own["name"].as_str().unwrap_or("whole");
                    format!("{code} {place}:{name}")
                }
            }
        };
        faults.iter().map(line).collect()
    }

    pub fn code(&self) -> String {
        self.json()["code"].as_str().unwrap_or_default().to_owned()
    }
}

/// Sends raw bytes and reads the answer to its end.
pub fn raw(address: SocketAddr, bytes: &[u8]) -> Reply {
    let mut stream = connect(address);
    // A server that refuses early may close while the rest is still being sent.
    let _ = stream.write_all(bytes);
    finish(stream)
}

pub fn connect(address: SocketAddr) -> TcpStream {
    let stream = TcpStream::connect(address).expect("the server listens");
    stream
        .set_read_timeout(Some(Duration::from_secs(120)))
        .expect("a timeout");
    stream
}

/// Reads an answer to its end.
pub fn finish(mut stream: TcpStream) -> Reply {
    let mut bytes = Vec::new();
    let mut block = [0; 16 * 1024];
    loop {
        match stream.read(&mut block) {
            Ok(0) | Err(_) => break,
            Ok(n) => bytes.extend_from_slice(&block[..n]),
        }
    }
    parse(&bytes)
}

fn parse(bytes: &[u8]) -> Reply {
    let end = bytes.windows(4).position(|w| w == b"\r\n\r\n");
    let end = end.unwrap_or_else(|| panic!("no answer: {:?}", String::from_utf8_lossy(bytes)));
    let head = String::from_utf8(bytes[..end].to_vec()).expect("a head in ASCII");
    let mut lines = head.split("\r\n");
    let status = lines
        .next()
        .expect("a status line")
        .split(' ')
        .nth(1)
        .expect("a status");
    let headers = lines.map(|line| {
        let (name, value) = line.split_once(':').expect("a header");
        (name.to_ascii_lowercase(), value.trim().to_owned())
    });
    Reply {
        status: status.parse().expect("a number"),
        headers: headers.collect(),
        body: bytes[end + 4..].to_vec(),
    }
}

/// Sends a request with these headers; `Content-Length` is added for a body.
pub fn send(
    address: SocketAddr,
    method: &str,
    path: &str,
    headers: &[(&str, &str)],
    body: &[u8],
) -> Reply {
    let mut head = format!("{method} {path} HTTP/1.1\r\nhost: test\r\nconnection: close\r\n");
    for (name, value) in headers {
        head.push_str(&format!("{name}: {value}\r\n"));
    }
    if !body.is_empty() || method == "POST" {
        head.push_str(&format!("content-length: {}\r\n", body.len()));
    }
    head.push_str("\r\n");
    raw(address, &[head.as_bytes(), body].concat())
}

pub fn get(address: SocketAddr, path: &str) -> Reply {
    send(address, "GET", path, &[], b"")
}

pub fn post(address: SocketAddr, path: &str, body: &[u8]) -> Reply {
    send(
        address,
        "POST",
        path,
        &[("content-type", "application/json")],
        body,
    )
}
