//! A desk that runs, in a process of its own.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::Child;
use std::time::Duration;

use crate::edges::pennyweight;

/// Nothing here takes longer.
pub(super) const PATIENCE: Duration = Duration::from_secs(20);

/// A served desk; it ends with this value.
pub(super) struct Served {
    child: Child,
    pub(super) port: u16,
}

impl Served {
    /// Starts a desk on any free port.
    pub(super) fn start() -> Self {
        Self::start_on(0)
    }

    /// Starts a desk on this port.
    pub(super) fn start_on(port: u16) -> Self {
        let mut child = pennyweight()
            .args(["desk", "--port", &port.to_string()])
            .spawn()
            .unwrap();
        let mut said = String::new();
        BufReader::new(child.stdout.take().unwrap())
            .read_line(&mut said)
            .unwrap();
        let port = said
            .split_once("http://127.0.0.1:")
            .and_then(|(_, rest)| rest.split('/').next()?.parse().ok())
            .unwrap_or_else(|| panic!("no port is told: {said:?}"));
        Self { child, port }
    }

    /// The number of its process.
    pub(super) fn process(&self) -> u32 {
        self.child.id()
    }

    /// Sends a request as it is and returns the whole answer.
    pub(super) fn raw(&self, request: &[u8]) -> String {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        // A server that refuses may close before it has read everything.
        let _ = stream.write_all(request);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        String::from_utf8_lossy(&answer).into_owned()
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
