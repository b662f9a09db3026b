//! Every kind of request is read as it was written, whole or not at all.

use pennyweight_core::Instant;
use pennyweight_core::input::{Command, Input, Known, Mode, Sample};
use pennyweight_core::link::{MAX_MESSAGE, Request, UNASKED};
use pennyweight_core::spec::DrinkId;
use pennyweight_core::units::{AdcCode, Grams, Millilitres};

fn commands() -> Vec<Command> {
    let learn = |celsius, known| {
        Command::Learn(Sample {
            volume_ul: 50_000,
            sigma_ul: u32::MAX,
            celsius,
            known,
        })
    };
    let all = vec![
        Command::Target(Grams(28.4)),
        Command::Order(DrinkId(3)),
        Command::Skip,
        Command::Zero,
        Command::Mode(Mode::Develop),
        Command::Hand(7),
        learn(i16::MIN, Known::Nothing),
        learn(i16::MAX, Known::Strength(u16::MAX)),
        learn(-1, Known::Sugar(300)),
        Command::Void(DrinkId(1)),
        Command::Change(DrinkId(1), DrinkId(255)),
        Command::Fix,
        Command::Two,
        Command::Again,
        Command::Other,
        Command::Forget,
        Command::Serve(Millilitres(90.0)),
    ];
    for command in &all {
        // A new command does not compile here until it is above and in the core's reader.
        match command {
            Command::Target(_)
            | Command::Order(_)
            | Command::Skip
            | Command::Zero
            | Command::Mode(_)
            | Command::Hand(_)
            | Command::Learn(_)
            | Command::Void(_)
            | Command::Change(..)
            | Command::Fix
            | Command::Two
            | Command::Again
            | Command::Other
            | Command::Forget
            | Command::Serve(_) => {}
        }
    }
    all
}

#[test]
fn every_kind_of_request_comes_back() {
    let at = Instant::from_micros(u64::MAX);
    let handle = |input| Request::Handle { at, input };
    let modes = [Mode::Service, Mode::Develop, Mode::Prep, Mode::Plain];
    let resets = modes.map(|mode| Request::Reset {
        zero_code: -83_000,
        counts_per_gram: 420.5,
        sps: 80.0,
        mode,
    });
    let codes = [0, -1, 1, i32::MIN, i32::MAX].map(|code| handle(Input::Code(AdcCode(code))));
    let bare = [
        Request::Load,
        Request::Paint,
        Request::Strip(7),
        Request::Stats,
    ];
    let ordered = commands().into_iter().map(|it| handle(Input::Command(it)));
    let all = resets
        .into_iter()
        .chain(codes)
        .chain(bare)
        .chain([handle(Input::Tick)])
        .chain(ordered);
    for request in all {
        let mut buffer = [0; MAX_MESSAGE];
        let mut message = request.write(300, &mut buffer).expect("it fits").to_vec();
        assert_eq!(Request::read(&message), Ok((300, request)));
        for length in 0..message.len() {
            let id = if length < 2 { UNASKED } else { 300 };
            assert_eq!(Request::read(&message[..length]), Err(id), "{request:?}");
        }
        message.push(0);
        assert_eq!(Request::read(&message), Err(300), "{request:?} and more");
    }
}
