//! The plan of a round against an exact search: a shortest path over every combination of
//! positions, which small rounds allow.

use std::collections::HashMap;

use pennyweight_core::limits::{GLASS_MOVE_S, PICK_UP_S};
use pennyweight_core::round::plan::{GLASSES, Glass, Here, Plan, STEPS, Tool};
use pennyweight_core::spec::LiquidId;
use rand::prelude::*;
use rand_pcg::Pcg64Mcg;

type Drinks = Vec<Vec<Tool>>;

/// One glass on the pan, one tool in the hand, and how far each glass is.
type Stand = (Vec<usize>, Option<usize>, Option<u8>);

fn code(tool: Tool) -> Option<u8> {
    match tool {
        Tool::Bottle(LiquidId(number)) => Some(number),
        Tool::Scoop => Some(u8::MAX),
        Tool::Bare => None,
    }
}

/// The least that any order takes, seconds, reckoned here from the two times alone.
fn exact_s(drinks: &Drinks, stand: Stand, known: &mut HashMap<Stand, f64>) -> f64 {
    if let Some(seconds) = known.get(&stand) {
        return *seconds;
    }
    let (done, on_pan, in_hand) = stand.clone();
    let mut best = f64::INFINITY;
    for (glass, steps) in drinks.iter().enumerate() {
        let Some(tool) = steps.get(done[glass]) else {
            continue;
        };
        let wanted = code(*tool);
        let mut seconds = 0.0;
        if on_pan != Some(glass) {
            seconds += f64::from(GLASS_MOVE_S);
        }
        if wanted.is_some() && wanted != in_hand {
            seconds += f64::from(PICK_UP_S);
        }
        let mut further = done.clone();
        further[glass] += 1;
        let next = (further, Some(glass), wanted.or(in_hand));
        best = best.min(seconds + exact_s(drinks, next, known));
    }
    let best = if best.is_finite() { best } else { 0.0 };
    known.insert(stand, best);
    best
}

fn plan(drinks: &Drinks, done: &[usize]) -> Plan {
    let rest = drinks.iter().zip(done);
    Plan::of(rest.map(|(steps, done)| Glass::of(steps[*done..].iter().copied())))
}

/// What the offers take when each is followed, seconds, and how many were followed.
fn followed_s(drinks: &Drinks) -> (f64, usize) {
    let mut done = vec![0; drinks.len()];
    let mut here = Here::default();
    let mut seconds = 0.0;
    let mut steps = 0;
    while let Some(offer) = plan(drinks, &done).next(here) {
        let glass = usize::from(offer.glass);
        let tool = drinks[glass][done[glass]];
        if here.glass != Some(offer.glass) {
            seconds += f64::from(GLASS_MOVE_S);
        }
        if tool != Tool::Bare && here.tool != Some(tool) {
            seconds += f64::from(PICK_UP_S);
            here.tool = Some(tool);
        }
        here.glass = Some(offer.glass);
        done[glass] += 1;
        steps += 1;
    }
    (seconds, steps)
}

/// A drink of the bar's bottles, none twice; ice and a leaf now and then.
fn drink(draws: &mut Pcg64Mcg, steps: usize, bottles: u8) -> Vec<Tool> {
    let mut shelf: Vec<u8> = (0..bottles).collect();
    shelf.shuffle(draws);
    (0..steps)
        .map(|number| match draws.random_range(0..10) {
            0 => Tool::Scoop,
            1 => Tool::Bare,
            _ => Tool::Bottle(LiquidId(shelf[number % shelf.len()])),
        })
        .collect()
}

/// Two or three drinks ordered as a round of so many glasses.
fn round(draws: &mut Pcg64Mcg, glasses: usize, steps: usize) -> Drinks {
    let menu: Drinks = (0..draws.random_range(1..=3))
        .map(|_| {
            let steps = draws.random_range(2..=steps);
            drink(draws, steps, 7)
        })
        .collect();
    (0..glasses)
        .map(|_| menu.choose(draws).unwrap().clone())
        .collect()
}

#[test]
fn small_rounds_take_little_more_than_the_shortest_possible() {
    let mut draws = Pcg64Mcg::seed_from_u64(1);
    let (mut ours, mut least, mut alone) = (0.0, 0.0, 0.0);
    let mut worst: f64 = 1.0;
    let mut off = 0;
    let trials = 400;
    for _ in 0..trials {
        let glasses = draws.random_range(2..=4);
        let drinks = round(&mut draws, glasses, 6);
        let (seconds, steps) = followed_s(&drinks);
        assert_eq!(steps, drinks.iter().map(Vec::len).sum::<usize>());
        let start = (vec![0; drinks.len()], None, None);
        let exact = exact_s(&drinks, start, &mut HashMap::new());
        assert!(
            seconds > exact - 1e-3,
            "{seconds} s is less than the least, {exact} s"
        );
        ours += seconds;
        least += exact;
        alone += f64::from(plan(&drinks, &vec![0; drinks.len()]).one_by_one_s(Here::default()));
        worst = worst.max(seconds / exact);
        off += usize::from(seconds > 1.05 * exact);
    }
    println!(
        "plan {ours:.0} s, least {least:.0} s, one by one {alone:.0} s; \
         worst {worst:.3}, beyond 5 %: {off} of {trials}"
    );
    // Of 9,000 such rounds 18 took more than 5 % beyond the least, and none 10 %.
    assert!(ours <= 1.005 * least);
    assert!(off <= 4 && worst <= 1.1, "{off} beyond 5 %, worst {worst}");
    assert!(ours <= alone);
}

/// A round as large as it gets is planned, step by step, to its end.
#[test]
fn six_glasses_of_ten_steps_are_planned() {
    let mut draws = Pcg64Mcg::seed_from_u64(2);
    for _ in 0..10 {
        let drinks: Drinks = (0..GLASSES).map(|_| drink(&mut draws, STEPS, 9)).collect();
        let (seconds, steps) = followed_s(&drinks);
        assert_eq!(steps, GLASSES * STEPS);
        let alone = plan(&drinks, &[0; GLASSES]).one_by_one_s(Here::default());
        println!("{seconds:.0} s in place of {alone:.0} s");
    }
}

/// Six of one drink: each bottle is taken up once.
#[test]
fn six_of_a_kind_take_each_bottle_up_once() {
    let bottle = |number| Tool::Bottle(LiquidId(number));
    let drinks = vec![vec![bottle(0), bottle(1), bottle(2)]; GLASSES];
    let (seconds, _) = followed_s(&drinks);
    let moves = 6.0 + 5.0 + 5.0;
    let least = 3.0 * f64::from(PICK_UP_S) + moves * f64::from(GLASS_MOVE_S);
    assert!((seconds - least).abs() < 1e-3, "{seconds} s, {least} s");
}

/// Whatever the person does instead, the next offer begins there.
#[test]
fn an_offer_that_is_not_followed_is_forgotten() {
    let bottle = |number| Tool::Bottle(LiquidId(number));
    let drinks = vec![vec![bottle(0), bottle(1)], vec![bottle(1), bottle(0)]];
    let offer = plan(&drinks, &[0, 0]).next(Here::default()).unwrap();
    let other = 1 - offer.glass;
    let mut done = [0, 0];
    done[usize::from(other)] = 1;
    let here = Here {
        glass: Some(other),
        tool: Some(drinks[usize::from(other)][0]),
    };
    let again = plan(&drinks, &done).next(here).unwrap();
    assert!(again.seconds < offer.seconds);
}

#[test]
fn a_plan_without_glasses_offers_nothing() {
    assert_eq!(Plan::default().next(Here::default()), None);
}
