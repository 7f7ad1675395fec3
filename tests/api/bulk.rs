//! Bulk streams over real sockets.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::Duration;

use kitproof::api::examples;
use kitproof::settings::Settings;
use serde_json::{Value, json};

use crate::client::{Reply, connect, get, post, send};
use crate::service::{address, revision, settings, start};

const PATH: &str = "/v1/validate/bulk";
const NDJSON: (&str, &str) = ("content-type", "application/x-ndjson");

/// The bytes of a chunked body.
pub fn joined(mut body: &[u8]) -> Vec<u8> {
    let mut whole = Vec::new();
    loop {
        let end = body.windows(2).position(|two| two == b"\r\n");
        let (size, rest) = body.split_at(end.expect("a chunk's size"));
        let size = std::str::from_utf8(size).expect("text");
        let size = usize::from_str_radix(size, 16).expect("a number");
        if size == 0 {
            return whole;
        }
        whole.extend_from_slice(&rest[2..2 + size]);
        body = &rest[size + 4..];
    }
}

fn lines(reply: &Reply) -> Vec<String> {
    assert_eq!(reply.status, 200, "{}", reply.text());
    assert_eq!(reply.header("content-type"), Some(NDJSON.1));
    let text = String::from_utf8(joined(&reply.body)).expect("text");
    assert!(text.ends_with('\n'));
    text.lines().map(str::to_owned).collect()
}

fn ask(body: &[u8]) -> Vec<String> {
    lines(&send(address(), "POST", PATH, &[NDJSON], body))
}

fn json(line: &str) -> Value {
    serde_json::from_str(line).expect("JSON")
}

/// The examples, each on one line.
fn requests() -> Vec<String> {
    let compact = |text: &str| json(text).to_string();
    let texts = examples::VALIDATE
        .iter()
        .filter_map(|example| example.request);
    texts.map(compact).collect()
}

#[test]
fn each_line_gets_the_bytes_that_a_request_of_its_own_gets() {
    let requests = requests();
    // More than a block holds.
    let many = requests.iter().cycle().take(100);
    let body: String = many.clone().map(|line| format!("{line}\n")).collect();
    let answers = ask(body.as_bytes());
    assert_eq!(answers.len(), 101);
    for (place, request) in many.enumerate().take(requests.len()) {
        let single = post(address(), "/v1/validate", request.as_bytes()).text();
        let expected = format!("{{\"line\":{},\"answer\":{single}}}", place + 1);
        assert_eq!(answers[place], expected);
        let again = place + requests.len();
        let expected = format!("{{\"line\":{},\"answer\":{single}}}", again + 1);
        assert_eq!(answers[again], expected);
    }
    let end = json(&answers[100]);
    assert_eq!(end["complete"], true);
    assert_eq!(end["next_line"], 101);
    assert_eq!(end["catalogue_revision"], revision());
    let counted = |member: &str, value: &Value| {
        let same = |line: &&String| json(line)["answer"][member] == *value;
        answers.iter().filter(same).count() as u64
    };
    let summary = &end["summary"];
    assert_eq!(
        (&summary["lines"], &summary["problems"]),
        (&json!(100), &json!(0))
    );
    assert_eq!(summary["allowed"], counted("allowed", &json!(true)));
    for (verdict, count) in summary["verdicts"].as_object().expect("counts") {
        assert_eq!(*count, counted("verdict", &json!(verdict)), "{verdict}");
    }
}

#[test]
fn a_bad_line_is_one_bad_answer_with_its_number() {
    let good = &requests()[1];
    let long = format!("{{\"board\":\"{}\"}}", "x".repeat(settings().body_limit));
    let body =
        format!("{good}\n\n{{\"board\"\r\n{good}\r\n{long}\n{{\"board\":\"tarnn\"}}\n{good}");
    let answers = ask(body.as_bytes());
    let told: Vec<(Value, String)> = answers[..6]
        .iter()
        .map(|line| {
            let line = json(line);
            let code = line["problem"]["code"].as_str().unwrap_or("none");
            (line["line"].clone(), code.to_owned())
        })
        .collect();
    let expected = [
        (1, "none"),
        (3, "malformed-json"),
        (4, "none"),
        (5, "body-too-large"),
        (6, "invalid-body"),
        (7, "none"),
    ];
    assert_eq!(
        told,
        expected.map(|(line, code)| (json!(line), code.to_owned()))
    );
    let wrong = post(address(), "/v1/validate", b"{\"board\":\"tarnn\"}").json();
    assert_eq!(json(&answers[4])["problem"], wrong);
    let end = json(&answers[6]);
    assert_eq!(end["summary"]["problems"], 3);
    assert_eq!(
        (&end["next_line"], &end["complete"]),
        (&json!(8), &json!(true))
    );
}

#[test]
fn what_goes_with_a_request_of_its_own_is_refused_in_a_line() {
    let answers = ask(br#"{"board":"tarn","receipt":true,"deliver_to":"tickets"}"#);
    let problem = &json(&answers[0])["problem"];
    let pointers: Vec<&str> = problem["faults"]
        .as_array()
        .expect("faults")
        .iter()
        .filter_map(|fault| fault["pointer"].as_str())
        .collect();
    assert_eq!(pointers, ["/receipt", "/deliver_to"]);
}

#[test]
fn an_empty_stream_ends_well() {
    for body in ["", "\n\n"] {
        let answers = ask(body.as_bytes());
        assert_eq!(answers.len(), 1);
        assert_eq!(json(&answers[0])["summary"]["lines"], 0);
        assert_eq!(json(&answers[0])["complete"], true);
    }
}

#[test]
fn lines_are_counted_from_where_the_caller_says() {
    let body = format!("\n{}\n", requests()[0]);
    let path = format!("{PATH}?first_line=1000");
    let answers = lines(&send(address(), "POST", &path, &[NDJSON], body.as_bytes()));
    assert_eq!(json(&answers[0])["line"], 1001);
    assert_eq!(json(&answers[1])["next_line"], 1002);
    for bad in ["0", "-1", "x", "9000000000000001", "1&first_line=2"] {
        let path = format!("{PATH}?first_line={bad}");
        let reply = send(address(), "POST", &path, &[NDJSON], b"");
        assert_eq!(reply.code(), "invalid-query", "{bad}");
    }
}

#[test]
fn other_types_and_codings_are_refused() {
    let reply = post(address(), PATH, b"{}");
    assert_eq!(reply.code(), "unsupported-media-type");
    assert_eq!(reply.header("accept"), Some(NDJSON.1));
    let gzip = [NDJSON, ("content-encoding", "gzip")];
    let reply = send(address(), "POST", PATH, &gzip, b"x");
    assert_eq!(reply.code(), "unsupported-encoding");
    let html = [NDJSON, ("accept", "text/html")];
    assert_eq!(send(address(), "POST", PATH, &html, b"x").status, 406);
}

/// A stream that the test writes and reads by turns.
struct Talk {
    writer: TcpStream,
    reader: BufReader<TcpStream>,
}

impl Talk {
    fn begin(address: SocketAddr) -> Self {
        let mut writer = connect(address);
        let head = format!(
            "POST {PATH} HTTP/1.1\r\nhost: t\r\ncontent-type: {}\r\n\
             transfer-encoding: chunked\r\n\r\n",
            NDJSON.1
        );
        writer.write_all(head.as_bytes()).expect("sent");
        let reader = BufReader::new(writer.try_clone().expect("a second handle"));
        Self { writer, reader }
    }

    fn say(&mut self, text: &str) {
        let chunk = format!("{:x}\r\n{text}\r\n", text.len());
        self.writer.write_all(chunk.as_bytes()).expect("sent");
    }

    fn stop(&mut self) {
        self.writer.write_all(b"0\r\n\r\n").expect("sent");
    }

    /// The next line that is JSON; `None` at the end.
    fn hear(&mut self) -> Option<Value> {
        loop {
            let mut line = String::new();
            match self.reader.read_line(&mut line) {
                Ok(0) | Err(_) => return None,
                Ok(_) if line.starts_with('{') => return Some(json(&line)),
                Ok(_) if line == "0\r\n" => return None,
                Ok(_) => {}
            }
        }
    }
}

#[test]
fn answers_come_while_the_body_still_comes() {
    let mut talk = Talk::begin(address());
    for line in 1..=3 {
        talk.say(&format!("{}\n", requests()[1]));
        assert_eq!(talk.hear().expect("an answer")["line"], line);
    }
    talk.say(&requests()[1]);
    talk.stop();
    assert_eq!(talk.hear().expect("the last answer")["line"], 4);
    assert_eq!(talk.hear().expect("the end")["complete"], true);
}

#[test]
fn a_sender_that_stands_still_is_told_where_to_go_on() {
    let (impatient, _) = start(Settings {
        stall_timeout: Duration::from_millis(500),
        ..settings()
    });
    let mut talk = Talk::begin(impatient);
    talk.say(&format!("{}\n{{\"half", requests()[1]));
    assert_eq!(talk.hear().expect("an answer")["line"], 1);
    let end = talk.hear().expect("the end");
    assert_eq!(end["complete"], false);
    assert_eq!(end["problem"]["code"], "request-timeout");
    assert_eq!(end["next_line"], 2);
}

#[test]
fn a_writer_that_does_not_read_is_cut_and_holds_its_place_no_longer() {
    let (impatient, _) = start(Settings {
        stall_timeout: Duration::from_millis(500),
        streams: std::num::NonZeroUsize::MIN,
        ..settings()
    });
    let mut talk = Talk::begin(impatient);
    let chunk = format!("{}\n", requests()[1]).repeat(200);
    let chunk = format!("{:x}\r\n{chunk}\r\n", chunk.len());
    // Ends when the service has cut the connection.
    let mut sent = 0;
    while talk.writer.write_all(chunk.as_bytes()).is_ok() {
        sent += chunk.len();
        assert!(sent < 400 << 20, "the service reads on and on");
    }
    let mut rest = Vec::new();
    let _ = talk.reader.read_to_end(&mut rest);
    assert!(!rest.ends_with(b"0\r\n\r\n"), "no end was told");
    let free = (0..200).any(|_| {
        std::thread::sleep(Duration::from_millis(50));
        send(impatient, "POST", PATH, &[NDJSON], b"").status == 200
    });
    assert!(free);
}

#[test]
fn further_streams_are_refused_at_once_and_single_requests_are_not() {
    let (own, _) = start(Settings {
        streams: std::num::NonZeroUsize::MIN,
        ..settings()
    });
    let mut talk = Talk::begin(own);
    talk.say(&format!("{}\n", requests()[1]));
    assert_eq!(talk.hear().expect("an answer")["line"], 1);
    let reply = send(own, "POST", PATH, &[NDJSON], b"");
    assert_eq!(reply.code(), "overloaded");
    assert!(reply.header("retry-after").is_some());
    assert_eq!(
        post(own, "/v1/validate", requests()[1].as_bytes()).status,
        200
    );
    assert_eq!(get(own, "/health/ready").status, 200);
    talk.stop();
    assert_eq!(talk.hear().expect("the end")["complete"], true);
}

/// A catalogue of another revision.
fn one_board() -> kitproof::catalogue::Catalogue {
    let folder = std::env::temp_dir().join(format!("kitproof-bulk-{}", std::process::id()));
    std::fs::create_dir_all(folder.join("boards")).expect("a folder");
    let board = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/src/catalogue/data/boards/beck.json"
    );
    std::fs::copy(board, folder.join("boards/beck.json")).expect("a board");
    let catalogue = kitproof::catalogue::directory::load(&folder).expect("a catalogue");
    std::fs::remove_dir_all(&folder).expect("removed");
    catalogue
}

#[test]
fn one_catalogue_decides_the_whole_stream() {
    let (own, state) = start(settings());
    let mut talk = Talk::begin(own);
    talk.say(&format!("{}\n", requests()[1]));
    let first = talk.hear().expect("an answer")["answer"]["catalogue_revision"].clone();
    assert_eq!(first, revision());
    let other = one_board();
    assert_ne!(other.revision(), revision());
    state.live.offer("test", other);
    let now = get(own, "/health/ready");
    assert_ne!(now.header("kitproof-catalogue"), Some(revision()));
    talk.say(&requests()[1]);
    talk.stop();
    assert_eq!(
        talk.hear().expect("an answer")["answer"]["catalogue_revision"],
        first
    );
    assert_eq!(talk.hear().expect("the end")["catalogue_revision"], first);
}
