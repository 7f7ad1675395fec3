//! Five holes of the HTTP library, each tried over real sockets: first on the library as it comes, then on
//! the service with its usual settings.
//!
//! `cargo bench --bench holes` takes about 50 seconds, since each hole is watched that long.

#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a benchmark speaks to its reader"
)]

use std::convert::Infallible;
use std::io::{Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, Instant};

use actix_web::web::{self, Bytes, Data};
use actix_web::{App, HttpResponse, HttpServer};
use futures_util::stream;
use kitproof::api::server::listen;
use kitproof::api::{AppState, ENDPOINTS, Endpoint, document};
use kitproof::catalogue::embedded;
use kitproof::settings::Settings;

/// Tries a hole on a server; says what came of it.
type Hole = fn(SocketAddr) -> String;

/// How long a hole is watched.
const WATCHED: Duration = Duration::from_secs(45);

/// Sends as long as somebody reads.
#[utoipa::path(get, path = "/bench/endless", responses((status = 200, description = "Much.")))]
async fn endless() -> HttpResponse {
    let block = Bytes::from(vec![b'.'; 64 * 1024]);
    HttpResponse::Ok().streaming(stream::repeat_with(move || {
        Ok::<_, Infallible>(block.clone())
    }))
}

/// Panics.
#[utoipa::path(get, path = "/bench/panic", responses((status = 200, description = "Never.")))]
async fn panicking() -> HttpResponse {
    panic!("a handler's fault");
}

/// How many requests of [`waits`] went on to their end.
static ENDED: AtomicU32 = AtomicU32::new(0);

/// Works for three seconds.
#[utoipa::path(get, path = "/bench/waits", responses((status = 200, description = "Done.")))]
async fn waits() -> &'static str {
    actix_web::rt::time::sleep(Duration::from_secs(3)).await;
    ENDED.fetch_add(1, Ordering::Relaxed);
    "done"
}

/// Reads its body.
async fn read(body: Bytes) -> String {
    body.len().to_string()
}

/// The library as it comes.
fn bare() -> SocketAddr {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap();
    let app = || {
        App::new()
            .route("/health/live", web::get().to(|| async { "yes" }))
            .route("/v1/validate", web::post().to(read))
            .route("/bench/endless", web::get().to(endless))
            .route("/bench/panic", web::get().to(panicking))
            .route("/bench/waits", web::get().to(waits))
    };
    std::thread::spawn(move || {
        let server = || HttpServer::new(app).workers(2).listen(listener);
        actix_web::rt::System::new().block_on(async { server().unwrap().run().await })
    });
    address
}

/// The service with its usual settings.
fn ours() -> SocketAddr {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap();
    let document = document::build(ENDPOINTS).unwrap();
    let state = AppState::new(Settings::default(), document, embedded::shared());
    let own = [
        Endpoint::new::<__path_endless>(|route| route.to(endless)),
        Endpoint::new::<__path_panicking>(|route| route.to(panicking)),
        Endpoint::new::<__path_waits>(|route| route.to(waits)),
    ];
    let endpoints = [ENDPOINTS, &own].concat();
    std::thread::spawn(move || {
        actix_web::rt::System::new()
            .block_on(async { listen(listener, Data::new(state), endpoints).unwrap().await })
    });
    address
}

fn connect(address: SocketAddr) -> TcpStream {
    let stream = TcpStream::connect(address).unwrap();
    stream.set_read_timeout(Some(WATCHED)).unwrap();
    stream
}

/// The text that comes until the other side closes or is silent for too long, and when that was.
fn until_closed(stream: &mut TcpStream) -> (String, Option<Duration>) {
    let begun = Instant::now();
    let mut bytes = Vec::new();
    let closed = stream.read_to_end(&mut bytes);
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let reset = |error: &std::io::Error| error.kind() == std::io::ErrorKind::ConnectionReset;
    let over = closed.is_ok() || closed.is_err_and(|error| reset(&error));
    (text, over.then(|| begun.elapsed()))
}

/// Sends a byte every quarter of a second, for as long as it is watched.
fn drip(mut stream: TcpStream) {
    std::thread::spawn(move || {
        for _ in 0..WATCHED.as_secs() * 4 {
            std::thread::sleep(Duration::from_millis(250));
            if stream.write_all(b"x").is_err() {
                break;
            }
        }
    });
}

fn told(closed: Option<Duration>) -> String {
    match closed {
        Some(after) => format!("cut after {:.1} s", after.as_secs_f64()),
        None => format!("still open after {} s", WATCHED.as_secs()),
    }
}

fn slow_second_head(address: SocketAddr) -> String {
    let mut stream = connect(address);
    let head = b"GET /health/live HTTP/1.1\r\nhost: b\r\n\r\nGET /health/live HTTP/1.1\r\nx: ";
    stream.write_all(head).unwrap();
    drip(stream.try_clone().unwrap());
    told(until_closed(&mut stream).1)
}

fn slow_body(address: SocketAddr) -> String {
    let mut stream = connect(address);
    let head = b"POST /v1/validate HTTP/1.1\r\nhost: b\r\ncontent-type: application/json\r\ncontent-length: 400\r\n\r\n";
    stream.write_all(head).unwrap();
    drip(stream.try_clone().unwrap());
    let (text, closed) = until_closed(&mut stream);
    let status = text.split(' ').nth(1).unwrap_or("no answer").to_owned();
    format!("{status}, {}", told(closed))
}

fn stalled_reader(address: SocketAddr) -> String {
    let mut stream = connect(address);
    stream
        .write_all(b"GET /bench/endless HTTP/1.1\r\nhost: b\r\n\r\n")
        .unwrap();
    std::thread::sleep(WATCHED);
    // What was on its way is still there; more than any buffer holds means that it goes on.
    let (mut taken, mut block) = (0_usize, vec![0; 256 * 1024]);
    while let Ok(n @ 1..) = stream.read(&mut block) {
        taken += n;
        if taken > 100 << 20 {
            return format!("still sending after {} s of silence", WATCHED.as_secs());
        }
    }
    format!("cut, {:.1} MB were on their way", taken as f64 / 1e6)
}

fn abandoned(address: SocketAddr) -> String {
    let before = ENDED.load(Ordering::Relaxed);
    for _ in 0..5 {
        let mut stream = connect(address);
        stream
            .write_all(b"GET /bench/waits HTTP/1.1\r\nhost: b\r\n\r\n")
            .unwrap();
        std::thread::sleep(Duration::from_millis(100));
    }
    std::thread::sleep(Duration::from_secs(5));
    let ended = ENDED.load(Ordering::Relaxed) - before;
    format!("{ended} of 5 were worked on to the end")
}

fn panics(address: SocketAddr) -> String {
    let mut stream = connect(address);
    stream
        .write_all(b"GET /bench/panic HTTP/1.1\r\nhost: b\r\nconnection: close\r\n\r\n")
        .unwrap();
    let (text, _) = until_closed(&mut stream);
    let status = text.split(' ').nth(1).unwrap_or("nothing");
    format!("{status}, {} bytes", text.len())
}

fn main() {
    let holes: [(&str, Hole); 5] = [
        ("a second head, byte by byte", slow_second_head),
        ("a body, byte by byte", slow_body),
        ("a reader that stops", stalled_reader),
        ("callers that leave", abandoned),
        ("a panic", panics),
    ];
    let (before, after) = (bare(), ours());
    std::thread::sleep(Duration::from_millis(500));
    // Callers that leave are counted for both in one place, so they are tried one after the other.
    let watched: Vec<_> = std::thread::scope(|scope| {
        let tried = holes.map(|(name, hole)| {
            scope.spawn(move || {
                if name == "callers that leave" {
                    return (name, hole(before), hole(after));
                }
                let other = std::thread::spawn(move || hole(before));
                let after = hole(after);
                (name, other.join().unwrap(), after)
            })
        });
        tried.map(|one| one.join().unwrap()).into()
    });
    for (name, before, after) in watched {
        println!("{name}: before {before}; after {after}");
    }
}
