//! `pennyweight-log IMAGE LOG`: every whole line of the log that a board with this image wrote.

use std::process::ExitCode;
use std::{env, fs};

use defmt_decoder::{DecodeError, Table};

fn main() -> ExitCode {
    match read() {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}

fn read() -> Result<(), String> {
    let paths: Vec<String> = env::args().skip(1).collect();
    let [image, log] = &paths[..] else {
        return Err("usage: pennyweight-log IMAGE LOG".to_owned());
    };
    let bytes = |path: &String| fs::read(path).map_err(|why| format!("{path}: {why}"));
    let table = Table::parse(&bytes(image)?).map_err(|why| format!("{image}: {why}"))?;
    let table = table.ok_or_else(|| format!("{image}: it has no log"))?;
    let mut decoder = table.new_stream_decoder();
    decoder.received(&bytes(log)?);
    loop {
        match decoder.decode() {
            Ok(frame) => println!("{}", frame.display_message()),
            Err(DecodeError::UnexpectedEof) => return Ok(()),
            Err(DecodeError::Malformed) => return Err(format!("{log}: a damaged line")),
        }
    }
}
