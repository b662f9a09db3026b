//! A stream of bytes to a scale.

use std::fs::File;
use std::io::{self, Read, Write};
use std::net::{TcpStream, ToSocketAddrs};
use std::time::Duration;

use super::super::Failure;

/// How long one look for bytes waits at most.
const LOOK: Duration = Duration::from_millis(100);
/// How long a connection may take.
const CONNECT: Duration = Duration::from_secs(5);

/// An open port.
#[derive(Debug)]
pub enum Port {
    /// A TCP connection.
    Tcp(TcpStream),
    /// A serial device or a pseudo-terminal, set to raw bytes.
    Serial(File),
}

impl Port {
    /// Opens `tcp:HOST:PORT` or a device.
    ///
    /// # Errors
    /// An address that is none (exit code 2); what does not open or answer (1).
    pub fn open(name: &str, baud: u32) -> Result<Self, Failure> {
        match name.strip_prefix("tcp:") {
            Some(address) => tcp(name, address),
            None => serial(name, baud),
        }
    }

    /// Looks for bytes; `None` when none came within a tenth of a second.
    ///
    /// # Errors
    /// As the port; the other end is gone.
    pub fn receive(&mut self, bytes: &mut [u8]) -> io::Result<Option<usize>> {
        let read = match self {
            Self::Tcp(stream) => match stream.read(bytes) {
                Ok(0) => Err(io::Error::from(io::ErrorKind::ConnectionReset)),
                read => read,
            },
            // Set up so that nothing within the time reads as no bytes.
            Self::Serial(file) => file.read(bytes),
        };
        match read {
            Ok(0) => Ok(None),
            Ok(length) => Ok(Some(length)),
            Err(error) => match error.kind() {
                io::ErrorKind::WouldBlock
                | io::ErrorKind::TimedOut
                | io::ErrorKind::Interrupted => Ok(None),
                _ => Err(error),
            },
        }
    }

    /// Sends bytes.
    ///
    /// # Errors
    /// As the port.
    pub fn send(&mut self, bytes: &[u8]) -> io::Result<()> {
        match self {
            Self::Tcp(stream) => stream.write_all(bytes),
            Self::Serial(file) => file.write_all(bytes),
        }
    }
}

fn tcp(name: &str, address: &str) -> Result<Port, Failure> {
    let addresses = address.to_socket_addrs().map_err(|error| {
        Failure::bad_input(
            "the address cannot be used",
            name,
            error.to_string(),
            "write tcp:HOST:PORT, such as tcp:127.0.0.1:4000",
        )
    })?;
    let unanswered = |why: String| {
        Failure::failed_run(
            "nobody answers there",
            name,
            why,
            "check the address, and that the scale or its emulator listens",
        )
    };
    let connect = |to| {
        let stream = TcpStream::connect_timeout(&to, CONNECT)?;
        stream.set_read_timeout(Some(LOOK))?;
        stream.set_nodelay(true)?;
        Ok::<_, io::Error>(stream)
    };
    let mut why = "the name has no address".to_owned();
    for to in addresses {
        match connect(to) {
            Ok(stream) => return Ok(Port::Tcp(stream)),
            Err(error) => why = error.to_string(),
        }
    }
    Err(unanswered(why))
}

#[cfg(unix)]
fn serial(name: &str, baud: u32) -> Result<Port, Failure> {
    use rustix::termios::{OptionalActions, SpecialCodeIndex, tcgetattr, tcsetattr};

    let unusable = |why: String| {
        Failure::bad_input(
            "the port cannot be opened",
            name,
            why,
            "name a serial device, a pseudo-terminal or tcp:HOST:PORT",
        )
    };
    let file = File::options()
        .read(true)
        .write(true)
        .open(name)
        .map_err(|error| unusable(error.to_string()))?;
    let mut modes = tcgetattr(&file).map_err(|error| unusable(error.to_string()))?;
    modes.make_raw();
    // A read comes back after a tenth of a second, with whatever there is.
    modes.special_codes[SpecialCodeIndex::VMIN] = 0;
    modes.special_codes[SpecialCodeIndex::VTIME] = 1;
    modes
        .set_speed(baud)
        .and_then(|()| tcsetattr(&file, OptionalActions::Now, &modes))
        .map_err(|error| unusable(format!("{baud} bits per second: {error}")))?;
    Ok(Port::Serial(file))
}

#[cfg(not(unix))]
fn serial(name: &str, _: u32) -> Result<Port, Failure> {
    Err(Failure::bad_input(
        "the port cannot be opened",
        name,
        "serial devices are only known on systems of the Unix kind",
        "use tcp:HOST:PORT",
    ))
}
