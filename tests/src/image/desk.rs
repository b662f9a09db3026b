//! The desk's end of the lockstep: the same core, the same bytes.

use pennyweight_core::input::Mode;
use pennyweight_core::link::{
    Clock, Desk, MAX_FRAME, MAX_MESSAGE, Receiver, Reply, Request, Server, seal,
};
use pennyweight_core::{Setup, Station};

/// The very sheet that lies in the image.
static SHEET: &[u8] = include_bytes!("../../../firmware/demo.sheet");

/// A station on the desk, asked over the link as the board is.
pub struct DeskStation {
    station: Station<'static>,
    server: Server<'static>,
}

impl DeskStation {
    /// As the image is after power-up.
    pub fn new() -> Self {
        let setup = Setup {
            zero_code: 0,
            counts_per_gram: 1000.0,
            sps: 80.0,
            mode: Mode::Service,
        };
        let mut server = Server::new(Clock::Lockstep);
        server.carry(SHEET);
        Self {
            station: Station::new(setup),
            server,
        }
    }

    /// The reply's bytes, end mark included; empty when these bytes end no frame.
    pub fn ask(&mut self, frame: &[u8]) -> Vec<u8> {
        let mut replies = Vec::new();
        for &byte in frame {
            let reply = self.server.take(byte, &mut self.station, &mut Desk, None);
            replies.extend_from_slice(reply.unwrap_or_default());
        }
        replies
    }
}

/// A request as it goes over the wire.
pub fn sealed(request: &Request<'_>) -> Vec<u8> {
    let mut message = [0; MAX_MESSAGE];
    let mut frame = [0; MAX_FRAME];
    let message = request
        .write(1, &mut message)
        .expect("a request fits a message");
    seal(message, &mut frame)
        .expect("a message fits a frame")
        .to_vec()
}

/// Reads a reply frame and hands it to `read`.
pub fn opened<T>(frame: &[u8], read: impl FnOnce(Reply<'_>) -> T) -> Result<T, String> {
    let mut receiver = Receiver::new();
    for (index, &byte) in frame.iter().enumerate() {
        if let Some(message) = receiver.take(byte) {
            let message = message.map_err(|why| format!("no frame: {why:?}"))?;
            if index + 1 != frame.len() {
                return Err(format!("{} bytes after the frame", frame.len() - index - 1));
            }
            return Reply::read(message)
                .map(|(_, reply)| read(reply))
                .ok_or_else(|| format!("no reply: {message:?}"));
        }
    }
    Err(format!("{} bytes without an end", frame.len()))
}
