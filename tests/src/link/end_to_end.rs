//! From a sheet to records with the program a person runs: push, order, pour, pull; the plant knows
//! what truly landed.

use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::thread;

use pennyweight_core::input::Input;
use pennyweight_core::link::{
    Hello, MAX_FRAME, MAX_MESSAGE, Receiver, Reply, Request, VERSION, seal,
};
use pennyweight_core::spec::{DrinkId, Sheet};
use pennyweight_sim::plant::Table;
use pennyweight_sim::session::{Session, SessionSetup};
use pennyweight_sim::sheet::{DEMO, parse};
use serde_json::Value;

use super::device::listen;
use crate::edges::pennyweight;

/// What the program says; it must succeed.
fn link(port: u16, arguments: &[&str]) -> String {
    link_at(&format!("tcp:127.0.0.1:{port}"), arguments)
}

/// The same at any port.
pub(crate) fn link_at(place: &str, arguments: &[&str]) -> String {
    let run = pennyweight()
        .args(["link", place])
        .args(arguments)
        .output()
        .expect("it starts");
    let complaint = String::from_utf8_lossy(&run.stderr);
    assert!(run.status.success(), "{arguments:?}: {complaint}");
    String::from_utf8(run.stdout).expect("text")
}

/// One request of the lockstep; its answer's frame.
pub(crate) fn give(stream: &mut TcpStream, request: &Request<'_>) -> Vec<u8> {
    let (mut message, mut frame) = ([0; MAX_MESSAGE], [0; MAX_FRAME]);
    let message = request.write(1, &mut message).expect("it fits");
    let frame = seal(message, &mut frame).expect("it fits");
    stream.write_all(frame).expect("sent");
    let mut answer = Vec::new();
    while answer.last() != Some(&0) {
        let mut byte = [0];
        stream.read_exact(&mut byte).expect("an answer");
        answer.extend(byte);
    }
    answer
}

/// Plays the whole way against what listens at this port.
pub(crate) fn play(port: u16) {
    let text = DEMO.replace("Slow Ledger", "Slow Harbour");
    let house = parse(&text, "another.toml").expect("a sheet");
    let file = std::env::temp_dir().join(format!("pennyweight-{port}.toml"));
    std::fs::write(&file, &text).expect("written");
    let sheet_path = file.to_str().expect("a path");

    let packed: &'static [u8] = Box::leak(house.pack().to_vec().into_boxed_slice());
    let sheet = Sheet::new(packed).expect("it was packed");
    let table = Table::nominal();
    let setup = SessionSetup::new(vec![DrinkId(0)], 5);
    let mut session = Session::new(&table, sheet, &setup).expect("a session");

    assert!(link(port, &["hello"]).contains("version 2"));
    let counts = format!("--counts-per-gram={}", session.bench().counts_per_gram());
    let zero = format!("--zero-code={}", session.bench().zero_code());
    link(port, &["calibrate", &counts, &zero]);
    assert!(link(port, &["push", sheet_path]).contains("pushed"));
    assert!(link(port, &["push", sheet_path]).contains("already"));
    let ordered = link(port, &["order", "Slow Harbour", "--sheet", sheet_path]);
    assert_eq!(ordered, "ordered: Slow Harbour\n");

    let mut stream = TcpStream::connect(("127.0.0.1", port)).expect("it listens");
    stream.set_nodelay(true).expect("set");
    let mut made = 0;
    for moment in &mut session {
        made += u32::from(moment.outputs.done.is_some());
        if !matches!(moment.input, Input::Command(_)) {
            let (at, input) = (moment.at, moment.input);
            give(&mut stream, &Request::Handle { at, input });
        }
    }
    drop(stream);
    assert_eq!(made, 1);

    let pulled = link(port, &["pull", "--sheet", sheet_path]);
    let records: Vec<Value> = pulled
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect();
    let pours: Vec<&Value> = records.iter().filter(|it| it["kind"] == "pour").collect();
    let drinks = records.iter().filter(|it| it["kind"] == "drink").count();
    assert_eq!(drinks, 1);
    // What the plant knows, summed by liquid: it counts dashes one by one.
    let truth = |liquid: &str| -> f64 {
        let landed = session.landed().iter().filter(|(name, _)| name == liquid);
        landed.map(|(_, grams)| grams).sum()
    };
    assert!(pours.len() >= 4, "{pulled}");
    for pour in &pours {
        let liquid = pour["liquid"].as_str().expect("a name");
        let (poured, sigma) = (
            pour["poured_g"].as_f64().expect("grams"),
            pour["sigma_g"].as_f64().expect("grams"),
        );
        let off = poured - truth(liquid);
        assert!(
            off.abs() < 0.5 + 3.0 * sigma,
            "{liquid}: off by {off:.2} g, sigma {sigma}"
        );
        assert!(pour["since_power_up_s"].is_number() && pour["utc"].is_null());
    }
    let csv = link(port, &["pull", "--format", "csv", "--sheet", sheet_path]);
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    assert!(
        reader
            .headers()
            .expect("a header")
            .iter()
            .any(|it| it == "poured (g)")
    );
    let lines: Vec<_> = reader.records().map(|it| it.expect("CSV")).collect();
    assert_eq!(lines.len(), records.len());
    assert!(link(port, &["settings", "--clock"]).contains("clock        20"));
    learn(port, sheet_path);
    assert!(!link(port, &["logs"]).is_empty());
    let _ = std::fs::remove_file(file);
}

/// A bottle is learned between rounds, and an order goes back to work.
fn learn(port: u16, sheet_path: &str) {
    assert!(link(port, &["learn", "50 ml abv 24 at 18"]).contains("the panel says"));
    let run = |words: &[&str]| {
        let run = pennyweight()
            .args(["link", &format!("tcp:127.0.0.1:{port}")])
            .args(words)
            .output()
            .expect("it starts");
        let told = String::from_utf8_lossy(&run.stderr).into_owned();
        (run.status.code(), told)
    };
    let (code, told) = run(&["calibrate", "--weights", "500 g F2"]);
    assert_eq!(code, Some(1), "{told}");
    assert!(told.contains("no conversion for 5 s"), "{told}");
    let (code, told) = run(&["calibrate", "--weights", "500 kg F2"]);
    assert_eq!(code, Some(2), "{told}");
    assert!(told.contains("--weights \"500 kg"), "{told}");
    let (code, told) = run(&["learn", "50 ml abv 240"]);
    assert_eq!(code, Some(2), "{told}");
    assert!(told.contains("240"), "{told}");
    link(port, &["order", "Slow Harbour", "--sheet", sheet_path]);
    let (code, told) = run(&["learn", "50 ml"]);
    assert_eq!(code, Some(1), "{told}");
    assert!(told.contains("finish or void them"), "{told}");
}

#[test]
fn a_round_from_sheet_to_records_on_the_desk() {
    play(listen());
}

#[test]
fn a_scale_of_another_version_is_told_of_plainly() {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = listener.local_addr().expect("bound").port();
    thread::spawn(move || {
        let (mut stream, _) = listener.accept().expect("a host");
        let (mut receiver, mut byte) = (Receiver::new(), [0]);
        while stream.read_exact(&mut byte).is_ok() {
            let Some(Ok(message)) = receiver.take(byte[0]) else {
                continue;
            };
            let (id, _) = Request::read(message).expect("a request");
            let hello = Hello {
                version: VERSION + 6,
                ..Hello::default()
            };
            let (mut message, mut frame) = ([0; MAX_MESSAGE], [0; MAX_FRAME]);
            let message = Reply::Hello(hello)
                .write(id, &mut message)
                .expect("it fits");
            let frame = seal(message, &mut frame).expect("it fits");
            stream.write_all(frame).expect("sent");
        }
    });
    let run = pennyweight()
        .args(["link", &format!("tcp:127.0.0.1:{port}"), "pull"])
        .output()
        .expect("it starts");
    let told = String::from_utf8_lossy(&run.stderr).into_owned();
    assert_eq!(run.status.code(), Some(1), "{told}");
    for part in [
        "speaks version 8",
        "this program version 2",
        "bring this program up to date",
    ] {
        assert!(told.contains(part), "{part}: {told}");
    }
}

/// A scale that began anew knows of nobody who watches.
#[test]
fn whoever_watches_a_silent_scale_asks_again() {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = listener.local_addr().expect("bound").port();
    let scale = thread::spawn(move || {
        let (mut stream, _) = listener.accept().expect("a host");
        let (mut receiver, mut byte, mut granted) = (Receiver::new(), [0], Vec::new());
        while granted.len() < 3 && stream.read_exact(&mut byte).is_ok() {
            let Some(Ok(message)) = receiver.take(byte[0]) else {
                continue;
            };
            let (id, ask) = Request::read(message).expect("a request");
            let reply = match ask {
                Request::Watch { credit } => {
                    granted.push(credit);
                    Reply::Done
                }
                _ => Reply::Hello(Hello {
                    version: VERSION,
                    ..Hello::default()
                }),
            };
            let (mut message, mut frame) = ([0; MAX_MESSAGE], [0; MAX_FRAME]);
            let message = reply.write(id, &mut message).expect("it fits");
            let frame = seal(message, &mut frame).expect("it fits");
            stream.write_all(frame).expect("sent");
        }
        granted
    });
    let run = pennyweight()
        .args(["link", &format!("tcp:127.0.0.1:{port}"), "watch"])
        .output()
        .expect("it starts");
    // Nothing of whoever watched before, then so many, and once nothing came the same again.
    assert_eq!(scale.join().expect("it ends"), [0, 32, 32]);
    assert_eq!(run.status.code(), Some(1), "it is gone");
}

#[test]
fn what_cannot_be_done_names_the_place_and_the_bound() {
    let place = format!("tcp:127.0.0.1:{}", listen());
    for (arguments, code, parts) in [
        (
            &["pull", "--since", "500"][..],
            2,
            ["--since 500", "gets number 0"],
        ),
        (
            &["settings", "--serve", "99999"],
            2,
            ["--serve", "between 0 and 3000 ml"],
        ),
        (
            &["order", "--void", "Slow Ledger"],
            1,
            ["--void Slow Ledger", "no order of this drink"],
        ),
    ] {
        let run = pennyweight()
            .args(["link", &place])
            .args(arguments)
            .output()
            .expect("it starts");
        let told = String::from_utf8_lossy(&run.stderr).into_owned();
        assert_eq!(run.status.code(), Some(code), "{told}");
        for part in parts {
            assert!(told.contains(part), "{part}: {told}");
        }
    }
    assert!(link_at(&place, &["logs"]).contains("refused: "));
}

#[test]
fn a_port_that_is_none_ends_with_code_2_and_a_silent_one_with_1() {
    let code = |port: &str| {
        let run = pennyweight()
            .args(["link", port, "hello"])
            .output()
            .expect("it starts");
        assert!(String::from_utf8_lossy(&run.stderr).contains("to do:"));
        run.status.code()
    };
    assert_eq!(code("/no/such/device"), Some(2));
    assert_eq!(code("tcp:nonsense"), Some(2));
    let free = TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = free.local_addr().expect("bound").port();
    drop(free);
    assert_eq!(code(&format!("tcp:127.0.0.1:{port}")), Some(1));
}
