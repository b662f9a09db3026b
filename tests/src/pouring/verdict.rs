//! Good, short or over, in each way of working, and what comes of it.

use pennyweight_core::Mode;
use pennyweight_core::output::{Judgement, Settled, Verdict};
use pennyweight_core::pour::{Band, Judge};
use pennyweight_core::units::Grams;
use pennyweight_core::view::Page;
use pennyweight_sim::plant::LiquidRef;

use super::stand::{FULL_G, Stand, TARGET_G};

const MODES: [Mode; 4] = [Mode::Service, Mode::Develop, Mode::Prep, Mode::Plain];

/// What is good and from what on somebody is told, each as millilitres and as a share, whichever is
/// more: the house's rules (common practice, no source).
const fn rules(mode: Mode) -> [(f64, f64); 2] {
    match mode {
        Mode::Service | Mode::Plain => [(1.0, 0.05), (2.0, 0.08)],
        Mode::Develop | Mode::Prep => [(0.5, 0.03), (0.5, 0.03)],
    }
}

fn judged(judge: &Judge, error_g: f64) -> Judgement {
    judge.judge(Settled {
        mass: judge.target + Grams(error_g as f32),
        sigma: Grams::ZERO,
    })
}

#[test]
fn each_way_of_working_has_its_bands() {
    for mode in MODES {
        for ml in [5.0, 10.0, 15.0, 22.5, 30.0, 45.0, 60.0, 100.0] {
            for density in [0.94, 1.23] {
                let target_g = ml * density;
                let judge = Judge::new(Grams(target_g as f32), density as f32, Band::Mode(mode));
                let [good_g, told_g] =
                    rules(mode).map(|(least_ml, share)| (least_ml * density).max(share * target_g));
                for (sign, beyond) in [(1.0, Verdict::Over), (-1.0, Verdict::Short)] {
                    let within = judged(&judge, sign * (good_g - 0.01));
                    let outside = judged(&judge, sign * (good_g + 0.01));
                    assert_eq!(within.verdict, Verdict::Good, "{mode:?}, {ml} ml");
                    assert_eq!(outside.verdict, beyond, "{mode:?}, {ml} ml");
                    for (off_g, told) in [(told_g - 0.01, false), (told_g + 0.01, true)] {
                        let speaks = judge.speaks_up(&judged(&judge, sign * off_g));
                        assert_eq!(speaks, told, "{mode:?}, {ml} ml, {off_g} g");
                    }
                }
            }
        }
    }
}

/// Dashes, barspoons and whole things: half of it, and no less than a millilitre; soda an eighth.
#[test]
fn what_is_counted_and_soda_have_wide_bands() {
    for (band, off_g, verdict) in [
        (Band::Wide, 0.95, Verdict::Good),
        (Band::Wide, 1.05, Verdict::Over),
        (Band::Soda, 11.9, Verdict::Good),
        (Band::Soda, 12.1, Verdict::Over),
    ] {
        let target = if band == Band::Wide { 1.6 } else { 100.0 };
        let judge = Judge::new(Grams(target), 1.0, band);
        assert_eq!(judged(&judge, off_g).verdict, verdict, "{band:?}, {off_g}");
    }
}

/// What was tipped in is judged by the way of working; only what is beyond its band interrupts.
#[test]
fn on_the_bench_each_way_of_working_judges_for_itself() {
    use Verdict::{Good, Over, Short};
    let exact = |off_g: f64| {
        if off_g < 0.0 {
            (Short, true)
        } else {
            (Over, false)
        }
    };
    for (off_g, service, develop) in [
        (-2.9, (Short, true), exact(-1.0)),
        (-1.8, (Short, false), exact(-1.0)),
        (-1.1, (Good, false), exact(-1.0)),
        (0.0, (Good, false), (Good, false)),
        (1.1, (Good, false), exact(1.0)),
        (1.8, (Over, false), exact(1.0)),
        (2.9, (Over, false), exact(1.0)),
    ] {
        for (mode, expected) in [
            (Mode::Service, service),
            (Mode::Plain, service),
            (Mode::Develop, develop),
            (Mode::Prep, develop),
        ] {
            for seed in 0..3 {
                let mut stand = Stand::working(seed, mode);
                stand.place();
                let tipped_g = f64::from(TARGET_G) + off_g;
                stand.rig.bench.tip_in(LiquidRef(0), tipped_g);
                let mut verdict = None;
                stand.watch(6.0, |moment| {
                    verdict = moment.outputs.verdict.map(|told| told.verdict).or(verdict);
                });
                let asks = matches!(stand.rig.station.view().page, Page::Add { .. });
                let found = verdict.map(|verdict| (verdict, asks));
                assert_eq!(found, Some(expected), "{mode:?}, {off_g} g, bench {seed}");
            }
        }
    }
}

/// "add 4 g", and the little that is missing is guided like any other pour.
#[test]
fn what_is_missing_is_shown_and_its_pour_cued() {
    for seed in 0..8 {
        let mut stand = Stand::new(seed);
        stand.place();
        let glass = stand.rig.bench.vessel_on_pan().expect("the glass");
        stand.tilt(FULL_G);
        while stand.rig.bench.contents_shown_g(glass) < f64::from(TARGET_G) - 6.0 {
            stand.pass(0.02);
        }
        stand.rig.bench.tilt_back();
        stand.pass(5.0);
        let missing_g = f64::from(TARGET_G) - stand.rig.bench.contents_shown_g(glass);
        let Page::Add { missing, .. } = stand.rig.station.view().page else {
            panic!("bench {seed}: {:?}", stand.rig.station.view().page);
        };
        let shown_g = f64::from(missing.value) * 0.1_f64.powi(missing.decimals.into());
        assert!(
            (shown_g - missing_g).abs() < 0.4,
            "{shown_g} of {missing_g}"
        );
        stand.tilt_at(5.0, FULL_G);
        let (mut stop, mut verdict) = (false, None);
        stand.follow_watched(true, |moment| {
            assert!(
                stop || matches!(moment.view.page, Page::Add { .. }),
                "bench {seed}: {:?}",
                moment.view.page
            );
            stop |= moment.outputs.stop;
            verdict = moment.outputs.verdict.map(|told| told.verdict).or(verdict);
        });
        assert!(stop, "bench {seed}: no stop was cued");
        let off_g = stand.rig.bench.contents_shown_g(glass) - f64::from(TARGET_G);
        assert!(off_g.abs() < 2.0, "bench {seed}: {off_g:.2} g off");
        assert!(verdict.is_some(), "bench {seed}");
    }
}

/// Sigma is at most a quarter of the tolerance, or waiting would tell no more, or the glass goes.
#[test]
fn a_verdict_waits_until_it_is_sure_or_the_next_thing_happens() {
    for (seed, mode) in (0..8).zip(MODES.into_iter().cycle()) {
        let sure_g = match mode {
            Mode::Service | Mode::Plain => 0.05 * TARGET_G / 4.0,
            Mode::Develop | Mode::Prep => 0.03 * TARGET_G / 4.0,
        };
        let mut stand = Stand::working(seed, mode);
        for lifted_at_once in [false, true] {
            stand.place();
            stand.tilt(FULL_G);
            let mut verdicts = 0;
            let mut look = |moment: &pennyweight_sim::session::Moment<'_>| {
                let outputs = &moment.outputs;
                if let Some(told) = outputs.verdict {
                    verdicts += 1;
                    let sure = told.poured.sigma.0 <= sure_g;
                    let last = outputs.steady.is_some() || outputs.lifted;
                    assert!(sure || last, "{mode:?}, bench {seed}: {told:?}");
                }
            };
            if lifted_at_once {
                stand.pass(3.0);
                stand.rig.bench.tilt_back();
                stand.watch(0.4, &mut look);
                stand.rig.bench.lift();
                stand.watch(2.0, &mut look);
            } else {
                stand.follow_watched(true, &mut look);
                stand.lift();
            }
            assert!(verdicts >= 1, "{mode:?}, bench {seed}");
        }
    }
}
