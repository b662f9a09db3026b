//! A scale on the desk: the board's loop with flash that is a model.

use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::thread;
use std::time::Duration;

use pennyweight_core::input::Mode;
use pennyweight_core::journal::Span;
use pennyweight_core::keep::{Keeper, Shelf};
use pennyweight_core::link::{
    Clock, Desk, MAX_FRAME, MAX_MESSAGE, Receiver, Reply, Request, Server, seal,
};
use pennyweight_core::{Input, Instant, Outputs, Setup, Station};

use crate::journal::flash::{Flash, Image};

/// As on many an F4-class part.
pub(crate) const SECTOR: usize = 16 * 1024;

/// The flash of the desk's scale.
pub(crate) type Chip = Flash<4, SECTOR>;

/// The demonstration sheet, as it lies in the image.
pub(crate) static SHEET: &[u8] = include_bytes!("../../../firmware/demo.sheet");

pub(crate) const SETUP: Setup = Setup {
    zero_code: 0,
    counts_per_gram: 1000.0,
    sps: 80.0,
    mode: Mode::Service,
};

/// A scale with its power on.
pub(crate) struct Scale {
    pub station: Station<'static>,
    pub keeper: Keeper<'static, Chip>,
    server: Server<'static>,
}

/// What the sheets' flash holds now; kept for ever, as flash is.
fn map(flash: &mut Chip, span: Span) -> Option<&'static [u8]> {
    let bytes = &flash.image.bytes[span.start as usize..span.end as usize];
    Some(Box::leak(bytes.to_vec().into_boxed_slice()))
}

/// Flash fresh from the factory: journal and sheets.
pub(crate) fn blank() -> (Chip, Chip) {
    (Flash::blank(3, 1), Flash::blank(6, 2))
}

impl Scale {
    /// Power comes on.
    pub(crate) fn power_up((journal, sheets): (Chip, Chip)) -> Self {
        let mut station = Station::new(SETUP);
        let mut keeper = Keeper::open(journal, sheets, map).expect("it is fit");
        keeper.power_up(&mut station, Some(SHEET));
        let mut server = Server::new(Clock::Lockstep);
        server.carry(SHEET);
        Self {
            station,
            keeper,
            server,
        }
    }

    /// The power goes; what the flash holds.
    pub(crate) fn power_down(self) -> (Chip, Chip) {
        self.keeper.release()
    }

    /// One turn of the board's loop with an input.
    pub(crate) fn handle(&mut self, at: Instant, input: Input) -> Outputs {
        let mut out = self.station.handle(at, input);
        let shelf: &mut dyn Shelf<'static> = &mut self.keeper;
        self.server
            .follow(&input, &mut out, &mut self.station, Some(shelf));
        out
    }

    /// Bytes of the link; what is sent back.
    pub(crate) fn take(&mut self, bytes: &[u8]) -> Vec<u8> {
        let mut sent = Vec::new();
        for &byte in bytes {
            let shelf: &mut dyn Shelf<'static> = &mut self.keeper;
            let (station, server) = (&mut self.station, &mut self.server);
            if let Some(reply) = server.take(byte, station, &mut Desk, Some(shelf)) {
                sent.extend_from_slice(reply);
                while let Some(live) = server.live() {
                    sent.extend_from_slice(live);
                }
            }
        }
        sent
    }

    /// Sends one request; the first message back.
    pub(crate) fn request(&mut self, id: u16, request: Request<'_>) -> Vec<u8> {
        let sent = self.take(&framed(id, request));
        messages(&sent).remove(0)
    }

    /// Sends one request, and hands its reply to `read`.
    pub(crate) fn reply<T>(
        &mut self,
        id: u16,
        request: Request<'_>,
        read: impl FnOnce(Reply<'_>) -> T,
    ) -> T {
        let message = self.request(id, request);
        let (back, reply) = Reply::read(&message).expect("a reply");
        assert_eq!(back, id);
        read(reply)
    }

    /// How often a sector of the sheets was erased.
    pub(crate) fn sheet_erases(&mut self) -> u32 {
        self.keeper.sheets().erases.iter().sum()
    }

    /// Rests until there is nothing to erase.
    pub(crate) fn rest(&mut self) {
        while self.keeper.rest(&self.station) {}
    }
}

/// A request as it is sent.
pub(crate) fn framed(id: u16, request: Request<'_>) -> Vec<u8> {
    let (mut message, mut frame) = ([0; MAX_MESSAGE], [0; MAX_FRAME]);
    let message = request.write(id, &mut message).expect("it fits");
    seal(message, &mut frame).expect("it fits").to_vec()
}

/// The whole messages among these bytes.
pub(crate) fn messages(bytes: &[u8]) -> Vec<Vec<u8>> {
    let mut receiver = Receiver::new();
    bytes
        .iter()
        .filter_map(|&byte| Some(receiver.take(byte)?.ok()?.to_vec()))
        .collect()
}

/// A scale that listens at a TCP port, one host after the other; the port.
pub(crate) fn listen() -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
    let port = listener.local_addr().expect("bound").port();
    thread::spawn(move || {
        let mut scale = Box::new(Scale::power_up(blank()));
        for host in listener.incoming() {
            let _ = serve(&mut scale, host.expect("a host"));
        }
    });
    port
}

fn serve(scale: &mut Scale, mut host: TcpStream) -> std::io::Result<()> {
    host.set_read_timeout(Some(Duration::from_millis(5)))?;
    host.set_nodelay(true)?;
    let mut bytes = [0; 4096];
    loop {
        match host.read(&mut bytes) {
            Ok(0) => return Ok(()),
            Ok(length) => host.write_all(&scale.take(&bytes[..length]))?,
            Err(_) => {
                scale.keeper.rest(&scale.station);
            }
        }
    }
}

/// The same flash as it would be found if the power went now.
pub(crate) fn chip(image: Image) -> Chip {
    Flash::new(image, 3)
}
