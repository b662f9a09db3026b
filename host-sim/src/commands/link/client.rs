//! One scale: one request after another, each with its reply.

use std::collections::VecDeque;
use std::time::{Duration, Instant};

use pennyweight_core::keep::StoreError;
use pennyweight_core::link::{
    Hello, Live, MAX_FRAME, MAX_MESSAGE, Receiver, Reply, Request, RequestError, UNASKED, VERSION,
    seal,
};

use super::super::Failure;
use super::port::Port;

/// How often a request is sent before the scale counts as gone.
const TRIES: u32 = 3;
/// Live outputs that wait to be read, at most.
const LIVE_MAX: usize = 256;

/// One scale.
pub struct Client {
    port: Port,
    name: String,
    patience: Duration,
    receiver: Receiver,
    /// What came and was not read yet.
    bytes: VecDeque<u8>,
    id: u16,
    live: VecDeque<Live>,
}

impl Client {
    /// The scale at this port, called `name` in errors.
    #[must_use]
    pub fn new(port: Port, name: &str, seconds: u64) -> Self {
        Self {
            port,
            name: name.to_owned(),
            patience: Duration::from_secs(seconds),
            receiver: Receiver::new(),
            bytes: VecDeque::new(),
            id: UNASKED,
            live: VecDeque::new(),
        }
    }

    /// The port as it was named.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Finds out who is there.
    ///
    /// # Errors
    /// Nobody answers; the scale speaks another version.
    pub fn greet(&mut self) -> Result<Hello, Failure> {
        // Ends whatever was cut off before.
        self.send(&[0])?;
        let message = self.request(Request::Hello { version: VERSION })?;
        let hello = match self.reply(&message)? {
            Reply::Hello(hello) => hello,
            other => return Err(self.unexpected(&other)),
        };
        if hello.version == VERSION {
            return Ok(hello);
        }
        let (who, what) = if hello.version > VERSION {
            ("this program", "a newer pennyweight")
        } else {
            ("the scale", "newer firmware")
        };
        Err(Failure::failed_run(
            "the scale and this program do not understand each other",
            &self.name,
            format!(
                "the scale speaks version {}, this program version {VERSION}",
                hello.version
            ),
            format!("bring {who} up to date: it needs {what}"),
        ))
    }

    /// Sends a request; the message that came back under its id.
    ///
    /// # Errors
    /// Nothing came back in time, however often it was sent; the port failed.
    pub fn request(&mut self, request: Request<'_>) -> Result<Vec<u8>, Failure> {
        self.id = self.id.checked_add(1).unwrap_or(1);
        let (mut message, mut frame) = ([0; MAX_MESSAGE], [0; MAX_FRAME]);
        let sealed = request
            .write(self.id, &mut message)
            .and_then(|message| seal(message, &mut frame).ok());
        let Some(frame) = sealed else {
            return Err(self.misunderstood("the request does not fit a message"));
        };
        let frame = frame.to_vec();
        for _ in 0..TRIES {
            self.send(&frame)?;
            let until = Instant::now() + self.patience;
            while let Some(message) = self.message(until)? {
                if Reply::read(&message).is_some_and(|(id, _)| id == self.id) {
                    return Ok(message);
                }
                self.hold(&message);
            }
        }
        Err(Failure::failed_run(
            "the scale does not answer",
            &self.name,
            format!(
                "{TRIES} requests, {} s of patience each",
                self.patience.as_secs()
            ),
            "check the cable, the port and its speed, and that a scale is at its other end",
        ))
    }

    /// What a message says; a refusal is a failure.
    ///
    /// # Errors
    /// What was refused, with the reason and its bound.
    pub fn reply<'m>(&self, message: &'m [u8]) -> Result<Reply<'m>, Failure> {
        match Reply::read(message) {
            Some((_, Reply::Refused(why))) => Err(self.refused(why)),
            Some((_, reply)) => Ok(reply),
            None => Err(self.misunderstood("no reply of this version")),
        }
    }

    /// Sends a request whose reply says no more than that it was done.
    ///
    /// # Errors
    /// As [`Client::request`] and [`Client::reply`]; a reply to something else.
    pub fn have_done(&mut self, request: Request<'_>) -> Result<(), Failure> {
        let message = self.request(request)?;
        match self.reply(&message)? {
            Reply::Done => Ok(()),
            other => Err(self.unexpected(&other)),
        }
    }

    /// The next live output; `None` when none came in this time.
    ///
    /// # Errors
    /// As the port.
    pub fn next_live(&mut self, patience: Duration) -> Result<Option<Live>, Failure> {
        if let Some(live) = self.live.pop_front() {
            return Ok(Some(live));
        }
        let until = Instant::now() + patience;
        while let Some(message) = self.message(until)? {
            if let Some((UNASKED, Reply::Live(live))) = Reply::read(&message) {
                return Ok(Some(live));
            }
        }
        Ok(None)
    }

    /// Forgets live outputs that came and were not read.
    pub fn drop_live(&mut self) {
        self.live.clear();
    }

    fn hold(&mut self, message: &[u8]) {
        if let Some((UNASKED, Reply::Live(live))) = Reply::read(message)
            && self.live.len() < LIVE_MAX
        {
            self.live.push_back(live);
        }
    }

    /// The next whole message; damaged frames are passed over.
    fn message(&mut self, until: Instant) -> Result<Option<Vec<u8>>, Failure> {
        let mut chunk = [0; 512];
        loop {
            while let Some(byte) = self.bytes.pop_front() {
                if let Some(Ok(message)) = self.receiver.take(byte) {
                    return Ok(Some(message.to_vec()));
                }
            }
            if Instant::now() >= until {
                return Ok(None);
            }
            let read = self.port.receive(&mut chunk).map_err(|error| {
                Failure::failed_run(
                    "the port failed",
                    &self.name,
                    error.to_string(),
                    "check the cable; only one program can use a port at a time",
                )
            })?;
            self.bytes.extend(&chunk[..read.unwrap_or(0)]);
        }
    }

    fn send(&mut self, bytes: &[u8]) -> Result<(), Failure> {
        self.port.send(bytes).map_err(|error| {
            Failure::failed_run(
                "the port takes nothing",
                &self.name,
                error.to_string(),
                "check the cable; only one program can use a port at a time",
            )
        })
    }

    /// A reply that does not belong to its request.
    #[must_use]
    pub fn unexpected(&self, reply: &Reply<'_>) -> Failure {
        self.misunderstood(&format!("it replied {reply:?}"))
    }

    fn misunderstood(&self, what: &str) -> Failure {
        Failure::failed_run(
            "the reply makes no sense",
            &self.name,
            what,
            "check with `link PORT hello` that a scale of this version is there",
        )
    }

    fn refused(&self, why: RequestError) -> Failure {
        let (cause, remedy) = reason(why);
        Failure::failed_run("the scale refuses", &self.name, cause, remedy)
    }
}

/// A refusal in words: the cause with its bound, and what to do.
pub(super) fn reason(why: RequestError) -> (String, &'static str) {
    let again = "try again";
    let same_version = "bring firmware and program to the same version";
    match why {
        RequestError::Frame => ("the request arrived damaged".to_owned(), again),
        RequestError::Message | RequestError::Reply => (
            "it does not know this request".to_owned(),
            "bring its firmware up to date",
        ),
        RequestError::Sheet => ("it has no sheet built in".to_owned(), "push one"),
        RequestError::Strip(strips) => (format!("its panel has {strips} strips"), again),
        RequestError::Setting => (
            "no scale can have that setting".to_owned(),
            "stay within the bounds in `link PORT settings --help`",
        ),
        RequestError::OwnClock => (
            "it has a converter and a clock of its own".to_owned(),
            "send it commands only",
        ),
        RequestError::Pouring => (
            "a pour is open".to_owned(),
            "finish it or empty the pan, then try again",
        ),
        RequestError::NoStore => (
            "it has no flash to store anything in".to_owned(),
            "nothing can be done about it on this board",
        ),
        RequestError::Store(why) => match why {
            StoreError::Busy => (
                "its flash is being made ready, which waits until nothing is poured".to_owned(),
                "take the glass off and try again",
            ),
            StoreError::Length(most) => (
                format!("a sheet has 1 to {most} bytes"),
                "split the sheet into two",
            ),
            StoreError::Part(next) => (format!("it waits for the part from byte {next} on"), again),
            StoreError::Checksum => ("what arrived is not what was announced".to_owned(), again),
            StoreError::Flash => (
                "its flash cannot be written".to_owned(),
                "try again; if it stays so the flash is worn",
            ),
            StoreError::Sheet(None) => (
                "its firmware cannot read this sheet's liquids".to_owned(),
                same_version,
            ),
            StoreError::Sheet(Some(drink)) => (
                format!(
                    "its firmware cannot read drink {} of this sheet",
                    u16::from(drink.0) + 1
                ),
                same_version,
            ),
            StoreError::Open => (
                "orders wait or are under way".to_owned(),
                "finish or void them first: `link PORT order` lists them",
            ),
        },
        RequestError::Command(why) => (
            why.to_string(),
            "`link PORT order` lists what waits and what is under way",
        ),
    }
}
