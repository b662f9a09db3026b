//! One scale, asked one thing after another.

use std::collections::VecDeque;
use std::time::{Duration, Instant};

use pennyweight_core::link::host::{Ask, Hello, Live, Refused, Tell, VERSION};
use pennyweight_core::link::{MAX_FRAME, MAX_MESSAGE, Receiver, seal};

use super::super::Failure;
use super::port::Port;

/// How often something is asked before the scale counts as gone.
const TRIES: u32 = 3;
/// Live outputs held for whoever is to read them.
const HELD: usize = 256;

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
    /// The scale at this port, which is told of as `name`.
    #[must_use]
    pub fn new(port: Port, name: &str, seconds: u64) -> Self {
        Self {
            port,
            name: name.to_owned(),
            patience: Duration::from_secs(seconds),
            receiver: Receiver::new(),
            bytes: VecDeque::new(),
            id: 0,
            live: VecDeque::new(),
        }
    }

    /// The port as it was named.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Asks who is there.
    ///
    /// # Errors
    /// Nobody answers; the scale speaks another version.
    pub fn greet(&mut self) -> Result<Hello, Failure> {
        // Ends whatever was cut off before.
        self.send(&[0])?;
        let answer = self.ask(Ask::Hello { version: VERSION })?;
        let hello = match self.told(&answer)? {
            Tell::Hello(hello) => hello,
            _ => return Err(self.misunderstood()),
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

    /// Asks; the message that came back under the same id.
    ///
    /// # Errors
    /// Nothing came back in time, however often it was asked; the port failed.
    pub fn ask(&mut self, ask: Ask<'_>) -> Result<Vec<u8>, Failure> {
        self.id = self.id.wrapping_add(1);
        let (mut message, mut frame) = ([0; MAX_MESSAGE], [0; MAX_FRAME]);
        let length = ask.write(self.id, &mut message);
        let sealed = length
            .and_then(|length| message.get(..length))
            .and_then(|message| seal(message, &mut frame).ok());
        let Some(frame) = sealed else {
            return Err(self.misunderstood());
        };
        let frame = frame.to_vec();
        for _ in 0..TRIES {
            self.send(&frame)?;
            let until = Instant::now() + self.patience;
            while let Some(message) = self.message(until)? {
                if Tell::read(&message).is_some_and(|(id, _)| id == self.id) {
                    return Ok(message);
                }
                self.hold(&message);
            }
        }
        Err(Failure::failed_run(
            "the scale does not answer",
            &self.name,
            format!("asked {TRIES} times, {} s each", self.patience.as_secs()),
            "check the cable, the port and its speed, and that a scale is at its other end",
        ))
    }

    /// What an answer says; a refusal is a failure.
    ///
    /// # Errors
    /// What was refused, with the reason and its bound.
    pub fn told<'m>(&self, answer: &'m [u8]) -> Result<Tell<'m>, Failure> {
        match Tell::read(answer) {
            Some((_, Tell::Refused(why))) => Err(self.refused(why)),
            Some((_, tell)) => Ok(tell),
            None => Err(self.misunderstood()),
        }
    }

    /// Asks for something that has no answer but that it was done.
    ///
    /// # Errors
    /// As [`Client::ask`] and [`Client::told`].
    pub fn have(&mut self, ask: Ask<'_>) -> Result<(), Failure> {
        let answer = self.ask(ask)?;
        self.told(&answer).map(drop)
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
            if let Some(live) = Live::read(&message) {
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
        if let Some(live) = Live::read(message)
            && self.live.len() < HELD
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

    fn misunderstood(&self) -> Failure {
        Failure::failed_run(
            "the answer makes no sense",
            &self.name,
            "what is there is no scale of this version",
            "ask it for its hello",
        )
    }

    fn refused(&self, why: Refused) -> Failure {
        let (cause, remedy) = reason(why);
        Failure::failed_run("the scale refuses", &self.name, cause, remedy)
    }
}

/// A refusal in words: the cause with its bound, and what to do.
fn reason(why: Refused) -> (String, &'static str) {
    let again = "try again";
    match why {
        Refused::Version(speaks) => (
            format!("it speaks version {speaks}, this program version {VERSION}"),
            "bring both to the same version",
        ),
        Refused::Ask => (
            "it does not know what was asked".to_owned(),
            "bring its firmware up to date",
        ),
        Refused::Busy => (
            "its flash is being made ready, which waits until nothing is poured".to_owned(),
            "take the glass off and try again",
        ),
        Refused::Length(most) => (
            format!("a sheet takes 1 to {most} bytes"),
            "split the sheet into two",
        ),
        Refused::Part(next) => (format!("it waits for the part from byte {next} on"), again),
        Refused::Checksum => ("what came is not what was announced".to_owned(), again),
        Refused::Flash => (
            "its flash takes nothing".to_owned(),
            "try again; if it stays so the flash is worn",
        ),
        Refused::Sheet(255) => (
            "its firmware cannot read this sheet's liquids".to_owned(),
            "bring firmware and program to the same version",
        ),
        Refused::Sheet(drink) => (
            format!(
                "its firmware cannot read drink {} of this sheet",
                drink.saturating_add(1)
            ),
            "bring firmware and program to the same version",
        ),
        Refused::Open => (
            "orders wait or are under way".to_owned(),
            "finish or void them first: `link PORT order` lists them",
        ),
        Refused::Drink(drinks) => (
            format!("its sheet has {drinks} drinks"),
            "push the sheet that has the drink",
        ),
        Refused::Order(order) => (
            format!("no order {order} can be changed any more"),
            "`link PORT order` lists what waits",
        ),
        Refused::Full(most) => (
            format!("{most} orders wait, more do not fit"),
            "order again when some are done",
        ),
        Refused::Setting => (
            "no scale can have that setting".to_owned(),
            "keep to the bounds that `link PORT settings --help` tells",
        ),
        Refused::Now => (
            "as the pan and the open step stand it cannot be done".to_owned(),
            "finish the step or empty the pan, then try again",
        ),
        Refused::NothingKept => (
            "it has no flash to keep anything in".to_owned(),
            "nothing can be done about it on this board",
        ),
    }
}
