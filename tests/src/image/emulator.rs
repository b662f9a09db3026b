//! The image running in the emulator, asked over its serial port.
//!
//! Virtual time is the count of instructions (`-icount shift=0`: one a nanosecond), so that the
//! board's own timer counts instructions. There is no network and no other device.

use std::fs::{self, File};
use std::io::{Read, Write};
use std::os::unix::net::UnixStream;
use std::path::PathBuf;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::thread;
use std::time::Duration;

use super::build::{self, Cpu};

/// Longer than any answer takes, even on a busy machine.
const PATIENCE: Duration = Duration::from_secs(20);

/// Virtual time in a second over instructions: the emulator runs one a nanosecond.
pub const INSTRUCTIONS_PER_SECOND: f64 = 1e9;

/// A running board.
pub struct Emulator {
    child: Child,
    link: ChildStdin,
    replies: Receiver<Vec<u8>>,
    log: PathBuf,
    monitor: PathBuf,
    complaints: PathBuf,
}

impl Emulator {
    /// Powers a board with this processor up with the product's image; the log goes to `log`.
    pub fn start(cpu: Cpu, log: &str) -> Self {
        let (image, log) = (build::product(cpu), build::target_dir().join(log));
        let monitor = log.with_extension("monitor");
        let complaints = log.with_extension("err");
        let stderr = File::create(&complaints).expect("a file beside the image");
        let mut child = Command::new("qemu-system-arm")
            .args(["-machine", cpu.machine(), "-icount", "shift=0"])
            .args(["-display", "none", "-nic", "none", "-monitor"])
            .arg(format!("unix:{},server=on,wait=off", monitor.display()))
            .args([
                "-chardev",
                "stdio,id=link,signal=off",
                "-serial",
                "chardev:link",
            ])
            .arg("-serial")
            .arg(format!("file:{}", log.display()))
            .arg("-kernel")
            .arg(image)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(stderr)
            .spawn()
            .expect("qemu-system-arm starts (tests/run installs it)");
        let link = child.stdin.take().expect("piped");
        let mut output = child.stdout.take().expect("piped");
        let (sender, replies) = channel();
        thread::spawn(move || {
            let mut buffer = [0; 4096];
            while let Ok(length @ 1..) = output.read(&mut buffer) {
                if sender.send(buffer[..length].to_vec()).is_err() {
                    break;
                }
            }
        });
        Self {
            child,
            link,
            replies,
            log,
            monitor,
            complaints,
        }
    }

    /// Sends the bytes of one request; the bytes of its reply, end mark included.
    pub fn ask(&mut self, frame: &[u8]) -> Result<Vec<u8>, String> {
        self.link
            .write_all(frame)
            .and_then(|()| self.link.flush())
            .map_err(|why| format!("the emulator takes nothing any more: {why}"))?;
        let mut reply = Vec::new();
        while reply.last() != Some(&0) {
            match self.replies.recv_timeout(PATIENCE) {
                Ok(bytes) => reply.extend_from_slice(&bytes),
                Err(RecvTimeoutError::Timeout) => {
                    return Err(format!(
                        "no answer within {PATIENCE:?}; {} bytes came. The log (defmt) is in {}",
                        reply.len(),
                        self.log.display()
                    ));
                }
                Err(RecvTimeoutError::Disconnected) => {
                    return Err(format!(
                        "the emulator has ended: {}",
                        fs::read_to_string(&self.complaints).unwrap_or_default()
                    ));
                }
            }
        }
        Ok(reply)
    }

    /// Cuts the power and switches it on again: memory at fixed places, as flash is here, survives.
    pub fn cut_power(&mut self) {
        let mut monitor = UnixStream::connect(&self.monitor).expect("the monitor");
        monitor.write_all(b"system_reset\n").expect("a command");
        // The monitor echoes and prompts; the reset itself takes no time.
        thread::sleep(Duration::from_millis(500));
    }

    /// Powers the board down; the bytes of its log.
    pub fn stop(mut self) -> Vec<u8> {
        self.kill();
        fs::read(&self.log).unwrap_or_default()
    }

    fn kill(&mut self) {
        // It may have ended by itself; then there is nothing to end.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Drop for Emulator {
    fn drop(&mut self) {
        self.kill();
    }
}
