//! One request, asked again and again over kept-alive connections, for benches of the HTTP edge.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::time::{Duration, Instant};

use actix_web::web::Data;
use kitproof::api::server::listen;
use kitproof::api::{AppState, ENDPOINTS, Endpoint, document};
use kitproof::catalogue::embedded;
use kitproof::settings::Settings;

/// Starts the service with its usual settings, and with endpoints of a bench.
pub fn serve(own: &[Endpoint]) -> SocketAddr {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap();
    let document = document::build(ENDPOINTS).unwrap();
    let state = AppState::new(Settings::default(), document, embedded::shared());
    let endpoints = [ENDPOINTS, own].concat();
    std::thread::spawn(move || {
        actix_web::rt::System::new()
            .block_on(async { listen(listener, Data::new(state), endpoints).unwrap().await })
    });
    std::thread::sleep(Duration::from_millis(300));
    address
}

/// A request as it goes over the wire.
pub fn post(path: &str, body: &str) -> Vec<u8> {
    let length = body.len();
    format!(
        "POST {path} HTTP/1.1\r\nhost: b\r\ncontent-type: application/json\r\n\
         content-length: {length}\r\n\r\n{body}"
    )
    .into_bytes()
}

/// A connection that is kept.
pub struct Asker {
    stream: TcpStream,
    bytes: Vec<u8>,
}

impl Asker {
    pub fn new(address: SocketAddr) -> Self {
        let stream = TcpStream::connect(address).unwrap();
        stream.set_nodelay(true).unwrap();
        let bytes = vec![0; 256 * 1024];
        Self { stream, bytes }
    }

    /// Asks; gives the status and how long it took.
    pub fn ask(&mut self, request: &[u8]) -> (u16, Duration) {
        let begun = Instant::now();
        self.stream.write_all(request).unwrap();
        let mut length = 0;
        loop {
            let read = self.stream.read(&mut self.bytes[length..]).unwrap();
            assert!(read > 0, "the connection was closed");
            length += read;
            if whole_length(&self.bytes[..length]).is_some_and(|whole| length >= whole) {
                break;
            }
        }
        let status = std::str::from_utf8(&self.bytes[9..12]).unwrap();
        (status.parse().unwrap(), begun.elapsed())
    }
}

fn whole_length(bytes: &[u8]) -> Option<usize> {
    let head = bytes.windows(4).position(|four| four == b"\r\n\r\n")? + 4;
    let text = std::str::from_utf8(&bytes[..head]).ok()?;
    let length = text.split("content-length: ").nth(1)?.lines().next()?;
    Some(head + length.parse::<usize>().ok()?)
}
