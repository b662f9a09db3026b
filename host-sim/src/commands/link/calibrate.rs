//! `link PORT calibrate`: with weights, or by a line that is known.

use std::io::Write;
use std::time::{Duration, Instant as Clock};

use clap::Args;
use pennyweight_core::Instant;
use pennyweight_core::limits::RATED_G;
use pennyweight_core::link::{Reply, Request};
use pennyweight_core::units::AdcCode;
use pennyweight_core::weigh::Calibration;
use pennyweight_core::weigh::calibration::guided::{Ask as GuidedAsk, Guided, Told};
use pennyweight_core::weigh::calibration::refusal::Refusal;

use super::super::Failure;
use super::super::options;
use super::super::scale::ScaleArgs;
use super::super::scale::calibrate::{Calibrating, message};
use super::client::Client;

/// How often the scale is asked for its code: as fast as the usual converter.
const LOOK: Duration = Duration::from_millis(12);

/// Where the scale's own clock has not moved for so long, no conversion came.
const SILENT: Duration = Duration::from_secs(5);

/// By which weights, or which line.
#[derive(Args, Clone, Debug)]
pub struct CalibrateArgs {
    /// Weights and their class, such as "500 g F2, 1 kg F2"
    #[arg(
        long,
        value_name = "WEIGHTS",
        required_unless_present = "counts_per_gram"
    )]
    pub weights: Option<String>,

    /// Codes per gram, where they are known
    #[arg(long, value_parser = options::counts_per_gram, allow_negative_numbers = true, requires = "zero_code", conflicts_with = "weights")]
    pub counts_per_gram: Option<f32>,

    /// The code of the empty pan
    #[arg(long, value_parser = options::zero_code, allow_negative_numbers = true, requires = "counts_per_gram")]
    pub zero_code: Option<i32>,
}

pub(super) fn calibrate(
    client: &mut Client,
    args: &CalibrateArgs,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let line = match (args.counts_per_gram, args.zero_code, &args.weights) {
        (Some(counts_per_gram), Some(zero_code), _) => Calibration {
            zero_code,
            counts_per_gram,
        },
        (_, _, Some(weights)) => weighed(client, weights, out)?,
        _ => return Ok(()),
    };
    client.have_done(Request::Calibrate(line))?;
    writeln!(
        out,
        "the scale weighs by {} codes per gram, empty pan at code {}",
        line.counts_per_gram, line.zero_code
    )
    .map_err(Failure::writing)
}

/// Follows the codes of the scale while weights are put on it.
fn weighed(
    client: &mut Client,
    weights: &str,
    out: &mut dyn Write,
) -> Result<Calibration, Failure> {
    let read = Calibrating::new(weights, "--weights", &ScaleArgs::default())?;
    let unusable = |why: &Refusal| {
        Failure::failed_run(
            "the weights give no line",
            format!("--weights {weights:?}"),
            message(why),
            "clear the pan and begin again",
        )
    };
    let mut guided = Guided::new(read.weights(), f64::from(RATED_G), read.gravity())
        .map_err(|why| unusable(&why))?;
    let begun = Clock::now();
    let (mut converted, mut at) = (None, begun);
    loop {
        let message = client.request(Request::Weigh)?;
        let weighed = match client.reply(&message)? {
            Reply::Weight(weighed) => weighed,
            other => return Err(client.unexpected(&other)),
        };
        if converted.replace(weighed.seconds) != Some(weighed.seconds) {
            at = Clock::now();
        } else if at.elapsed() > SILENT {
            return Err(Failure::failed_run(
                "the pan cannot be read",
                client.name(),
                format!("no conversion for {} s", SILENT.as_secs()),
                "check the cable between converter and scale",
            ));
        }
        let now = Instant::from_micros(begun.elapsed().as_micros() as u64);
        match guided.take(now, AdcCode(weighed.code)) {
            Some(Told::Ask(ask)) => {
                let ask = match ask {
                    GuidedAsk::Empty => "empty the pan".to_owned(),
                    GuidedAsk::Put(weight) => format!("put {} g on it", weight.grams),
                };
                writeln!(out, "{ask}")
                    .and_then(|()| out.flush())
                    .map_err(Failure::writing)?;
            }
            Some(Told::Done(Ok(fit))) => {
                return Ok(Calibration {
                    zero_code: fit.zero_code.round() as i32,
                    counts_per_gram: fit.counts_per_gram as f32,
                });
            }
            Some(Told::Done(Err(why))) => return Err(unusable(&why)),
            None => {}
        }
        std::thread::sleep(LOOK);
    }
}
