//! The program as a service, with its log.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use rustix::process::{Pid, Signal, kill_process};
use serde_json::Value;

pub struct Service {
    child: Child,
    address: SocketAddr,
    log: Arc<Mutex<Vec<Value>>>,
    reader: Option<JoinHandle<()>>,
}

impl Service {
    /// Starts it with further arguments and variables, and waits until it listens.
    pub fn begin(arguments: &[&str], variables: &[(&str, &str)]) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_kitproof"))
            .args(["serve", "--port", "0", "--grace", "0"])
            .args(["--log-format", "json"])
            .args(arguments)
            .envs(variables.iter().copied())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stderr.take().unwrap()).lines();
        let address = lines.by_ref().find_map(|line| {
            let line: Value = serde_json::from_str(&line.unwrap()).unwrap();
            line["socket"].as_str()?.parse().ok()
        });
        let log = Arc::new(Mutex::new(Vec::new()));
        let kept = Arc::clone(&log);
        let reader = std::thread::spawn(move || {
            for line in lines {
                let line = serde_json::from_str(&line.unwrap()).unwrap();
                kept.lock().unwrap().push(line);
            }
        });
        Self {
            child,
            address: address.unwrap(),
            log,
            reader: Some(reader),
        }
    }

    /// The status of an answer.
    pub fn post(&self, path: &str, headers: &str, body: &str) -> u16 {
        let mut stream = TcpStream::connect(self.address).unwrap();
        let patience = Some(Duration::from_secs(60));
        stream.set_read_timeout(patience).unwrap();
        let length = body.len();
        let request = format!(
            "POST {path} HTTP/1.1\r\nhost: t\r\nconnection: close\r\n{headers}\
             content-type: application/json\r\ncontent-length: {length}\r\n\r\n{body}"
        );
        stream.write_all(request.as_bytes()).unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer.split(' ').nth(1).unwrap().parse().unwrap()
    }

    /// Asks it to stop; true if it ends by itself and well. The log is complete then.
    pub fn ends_well(&mut self) -> bool {
        kill_process(Pid::from_child(&self.child), Signal::TERM).unwrap();
        let until = Instant::now() + Duration::from_secs(60);
        while Instant::now() < until {
            if let Some(status) = self.child.try_wait().unwrap() {
                self.reader.take().unwrap().join().unwrap();
                return status.success();
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        false
    }

    /// The line of the request of this trace.
    pub fn line_of(&self, trace: &str) -> Value {
        let log = self.log.lock().unwrap();
        let mut lines = log.iter().filter(|line| line["trace_id"] == trace);
        lines.next().unwrap().clone()
    }

    /// How many lines hold a text.
    pub fn lines_with(&self, text: &str) -> usize {
        let log = self.log.lock().unwrap();
        let holds = |line: &&Value| line.to_string().contains(text);
        log.iter().filter(holds).count()
    }
}

impl Drop for Service {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
