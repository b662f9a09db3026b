//! A batch is a long pour: whoever fills a jug has patience.

use pennyweight_core::Mode;
use pennyweight_sim::holds::{Fills, Jug};
use pennyweight_sim::plant::Table;
use pennyweight_sim::session::{Outcome, Session, SessionSetup};
use pennyweight_sim::sheet;

/// Twenty glasses hold 929 g of whiskey, which no pourer gives within a minute and a half.
const SERVES: u32 = 20;

#[test]
fn a_batch_is_made_on_every_bench() {
    let house = sheet::demo().expect("the sheet is sound");
    let jug = Jug {
        mass_g: 600.0,
        holds_ml: None,
    };
    let fills = Fills::of(&house, &[&house.drinks()[0]], SERVES, jug).expect("one fill");
    let sheet = fills.sheet().expect("packed here");
    for seed in 1..=12 {
        let mut setup = SessionSetup::new(fills.order.clone(), seed);
        setup.mode = Mode::Prep;
        let mut session = Session::new(&Table::nominal(), sheet, &setup).expect("a session");
        let last = session.by_ref().last().expect("moments");
        let outcome = session.outcome();
        assert!(
            matches!(outcome, Outcome::Finished),
            "seed {seed} at {:?}: {outcome:?}",
            last.at
        );
    }
}
