//! A collector that keeps what it is sent.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::sync::{Arc, Mutex};

/// The head of a call in lower case, and its body.
pub type Call = (String, Vec<u8>);

pub struct Sink {
    address: SocketAddr,
    calls: Arc<Mutex<Vec<Call>>>,
}

impl Sink {
    pub fn open() -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = listener.local_addr().unwrap();
        let calls = Arc::new(Mutex::new(Vec::new()));
        let kept = Arc::clone(&calls);
        std::thread::spawn(move || {
            for stream in listener.incoming() {
                let mut stream = stream.unwrap();
                let call = read(&mut stream);
                // Kept before the answer: whoever sent it may be gone right after.
                kept.lock().unwrap().push(call);
                let answer = "HTTP/1.1 200 OK\r\ncontent-type: application/x-protobuf\r\n\
                              content-length: 0\r\nconnection: close\r\n\r\n";
                stream.write_all(answer.as_bytes()).unwrap();
            }
        });
        Self { address, calls }
    }

    /// Without a path: the program knows where traces go.
    pub fn address(&self) -> String {
        format!("http://{}", self.address)
    }

    pub fn calls(&self) -> Vec<Call> {
        self.calls.lock().unwrap().clone()
    }
}

fn read(stream: &mut TcpStream) -> Call {
    let mut head = Vec::new();
    let mut byte = [0];
    while !head.ends_with(b"\r\n\r\n") {
        assert_eq!(stream.read(&mut byte).unwrap(), 1, "a head that breaks off");
        head.push(byte[0]);
    }
    let head = String::from_utf8(head).unwrap().to_ascii_lowercase();
    let length = head.split("content-length: ").nth(1).unwrap();
    let length: usize = length.lines().next().unwrap().parse().unwrap();
    let mut body = vec![0; length];
    stream.read_exact(&mut body).unwrap();
    (head, body)
}
