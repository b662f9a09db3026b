//! A hand against scripted cues.

use pennyweight_sim::plant::{HandDraw, HandNature, Move, Reflex, Sensed, Table};

const CUE_US: u64 = 3_000_000;

fn draw() -> HandDraw {
    HandDraw {
        stop_reaction_s: 0.20,
        ease_reaction_s: 0.25,
        anticipates: false,
        about_ramp_end_s: 0.01,
        eased_g_s: Some(3.0),
        eased_at_most: 0.7,
        transition_s: 0.3,
        reading_s: 0.4,
        margin_s: 0.3,
        eyes_s: [0.05, 0.04],
    }
}

/// Shows a ramp that ends at `CUE_US`, every 12 ms, and stop `ahead_us` before its end.
fn follow(draw: HandDraw, ahead_us: u64, stalls: bool) -> u64 {
    let mut reflex = Reflex::new(draw);
    let mut now = 2_000_000;
    loop {
        if let Some(due) = reflex.next_us().filter(|&due| due <= now) {
            assert_eq!(reflex.take(due, 3.0), Some(Move::TiltBack));
            return due;
        }
        let mut left = CUE_US.saturating_sub(now) as f64 * 1e-6;
        if stalls {
            left = left.max(0.4);
        }
        let sensed = Sensed {
            ease: false,
            stop: now >= CUE_US - ahead_us,
            ramp: (left < 0.75).then(|| 1.0 - left / 0.75),
            asked: true,
        };
        reflex.observe(now, &sensed);
        now += 12_000;
    }
}

#[test]
fn a_hand_that_reacts_moves_its_reaction_after_the_cue() {
    let moved = follow(draw(), 190_000, false);
    let after_s = moved as f64 * 1e-6 - (CUE_US - 190_000) as f64 * 1e-6;
    assert!((after_s - 0.20).abs() < 0.013, "{after_s}");
}

#[test]
fn a_hand_that_anticipates_moves_about_the_end_of_the_ramp() {
    for about in [-0.08, 0.0, 0.08] {
        let anticipating = HandDraw {
            anticipates: true,
            about_ramp_end_s: about,
            ..draw()
        };
        let moved = follow(anticipating, 0, false);
        let after_s = moved as f64 * 1e-6 - CUE_US as f64 * 1e-6;
        assert!((after_s - about).abs() < 0.005, "{after_s} for {about}");
    }
}

#[test]
fn nobody_foresees_the_end_of_a_ramp_that_stands_still() {
    let anticipating = HandDraw {
        anticipates: true,
        ..draw()
    };
    let moved = follow(anticipating, 0, true);
    let after_s = moved as f64 * 1e-6 - CUE_US as f64 * 1e-6;
    assert!((after_s - 0.20).abs() < 0.013, "{after_s}");
}

#[test]
fn it_eases_once_and_never_above_seventy_percent() {
    let mut reflex = Reflex::new(draw());
    let ease = Sensed {
        ease: true,
        asked: true,
        ..Sensed::default()
    };
    reflex.observe(1_000_000, &ease);
    assert_eq!(reflex.next_us(), Some(1_250_000));
    let moved = reflex.take(1_250_000, 4.0);
    assert_eq!(
        moved,
        Some(Move::Ease {
            to_g_s: 0.7 * 4.0,
            lasts_s: 0.3
        })
    );
    reflex.observe(1_300_000, &ease);
    assert_eq!(reflex.next_us(), None);
}

#[test]
fn a_page_that_no_longer_asks_stops_the_hand() {
    let mut reflex = Reflex::new(draw());
    let asked = Sensed {
        asked: true,
        ..Sensed::default()
    };
    reflex.observe(900_000, &Sensed::default());
    assert_eq!(reflex.next_us(), None);
    reflex.observe(1_000_000, &asked);
    reflex.observe(1_100_000, &Sensed::default());
    assert_eq!(reflex.next_us(), Some(1_300_000));
}

#[test]
fn many_hands_are_as_the_table_says() {
    let table = Table::nominal();
    let count = 20_000;
    let hands: Vec<HandNature> = (0..count)
        .map(|seed| HandNature::drawn(&table, seed))
        .collect();
    let share = |is_so: &dyn Fn(&HandNature) -> bool| {
        hands.iter().filter(|hand| is_so(hand)).count() as f64 / count as f64
    };
    assert!((share(&|hand| hand.never_eases) - 0.1).abs() < 0.01);
    assert!((share(&|hand| hand.offset_s > 0.030) - 0.159).abs() < 0.01);
    assert!((share(&|hand| hand.anticipates > 0.6) - 0.5).abs() < 0.015);
    // Median 3.2 g/s, sigma 0.30 over hands and pours together.
    let mut eased: Vec<f64> = hands
        .iter()
        .filter_map(|hand| hand.pour(&table, 1, 0.0).eased_g_s)
        .map(f64::ln)
        .collect();
    eased.sort_by(f64::total_cmp);
    let at = |share: f64| eased[(share * eased.len() as f64) as usize];
    assert!((at(0.5) - 3.2_f64.ln()).abs() < 0.01);
    assert!(((at(0.841) - at(0.159)) / 2.0 - 0.30).abs() < 0.01);
    // Reaction: mean mu + tau, and 3 % lapses of 0.15 s on average.
    let mean = hands
        .iter()
        .map(|hand| hand.pour(&table, 2, 0.0).stop_reaction_s)
        .sum::<f64>()
        / count as f64;
    assert!((mean - (0.190 + 0.03 * 0.15)).abs() < 0.002, "{mean}");
}

#[test]
fn the_same_pour_of_a_hand_has_the_same_draws() {
    let table = Table::nominal();
    let hand = HandNature::drawn(&table, 5);
    assert_eq!(hand.pour(&table, 9, 0.0), hand.pour(&table, 9, 0.0));
    assert_ne!(hand.pour(&table, 9, 0.0), hand.pour(&table, 10, 0.0));
    let slower =
        hand.pour(&table, 9, 1.0).stop_reaction_s - hand.pour(&table, 9, 0.0).stop_reaction_s;
    assert!((slower - hand.drift_s_per_hour).abs() < 1e-12);
    let seen = hand.pour(&table, 9, 0.0).by_sight(&table);
    assert!(seen.stop_reaction_s >= hand.pour(&table, 9, 0.0).stop_reaction_s + 0.03);
}
