//! The state charts of a pour, a drink and a round: every state and everything that can happen in
//! it, driven through the core itself, so that the charts cannot rot.

use std::sync::OnceLock;

use pennyweight_core::build::{Build, Turn};
use pennyweight_core::output::{Outputs, Settled};
use pennyweight_core::pour::{Band, Crew, Habits, Judge, Owner, Pour};
use pennyweight_core::round::Round;
use pennyweight_core::spec::{DrinkId, Sheet};
use pennyweight_core::units::Grams;
use pennyweight_core::view::Page;
use pennyweight_core::weigh::pan::PanEvents;
use pennyweight_core::weigh::settle::{Body, Settling};
use pennyweight_core::{Instant, Mode};
use pennyweight_sim::sheet;

const SHEET: &str = r#"
[house]
name = "Charts"
dash = "0.8 ml"
barspoon = "5 ml"
drop = "0.05 ml"

[liquid.rye]
abv = 45

[[drink]]
name = "Stirred"
vessel = "mixing glass"
glass = "coupe"
build = ["30 ml rye", "stir 20 s", "strain"]

[[drink]]
name = "Short"
vessel = "rocks"
build = ["30 ml rye"]
"#;

const STIRRED: DrinkId = DrinkId(0);
const SHORT: DrinkId = DrinkId(1);

/// 30 ml of rye, the mixing glass empty and with it, the coupe; grams.
const RYE_G: f32 = 28.2;
const EMPTY_G: f32 = 700.0;
const FILLED_G: f32 = EMPTY_G + RYE_G;
const COUPE_G: f32 = 150.0;

fn packed() -> Sheet<'static> {
    static PACKED: OnceLock<Vec<u8>> = OnceLock::new();
    let bytes = PACKED.get_or_init(|| {
        let read = sheet::parse(SHEET, "charts");
        read.expect("the sheet is sound").pack().to_vec()
    });
    Sheet::new(bytes).expect("a packed sheet can be read")
}

fn crew() -> Crew {
    Crew {
        habits: Habits::new(),
        mode: Mode::Service,
        hand: None,
        serve: None,
    }
}

/// What can happen.
#[derive(Clone, Copy, Debug)]
enum Happens {
    /// Something of so many grams is set down.
    Placed(f32),
    Lifted,
    /// So many grams come at once.
    Added(f32),
    PourStarts,
    /// So many grams have landed.
    Landed(f32),
    Removed(f32),
    Pressed,
    /// So many seconds pass.
    Time(f32),
    Skip,
    Order(DrinkId),
    Void(DrinkId),
}

impl Happens {
    fn word(self) -> String {
        match self {
            Self::Placed(grams) if grams < 200.0 => "glass set down".to_owned(),
            Self::Placed(grams) if grams > EMPTY_G + 1.0 => "vessel back".to_owned(),
            Self::Placed(_) => "vessel set down".to_owned(),
            Self::Lifted => "lifted".to_owned(),
            Self::Added(_) => "tipped in".to_owned(),
            Self::PourStarts => "pour starts".to_owned(),
            Self::Landed(grams) if grams < 20.0 => "too little".to_owned(),
            Self::Landed(grams) if grams > 32.0 => "too much".to_owned(),
            Self::Landed(_) => "landed".to_owned(),
            Self::Removed(_) => "all gone".to_owned(),
            Self::Pressed => "pressed".to_owned(),
            Self::Time(_) => "time".to_owned(),
            Self::Skip => "skip".to_owned(),
            Self::Order(_) => "order".to_owned(),
            Self::Void(_) => "void".to_owned(),
        }
    }

    /// As the pan tells it.
    fn events(self) -> PanEvents {
        let mut events = PanEvents::default();
        match self {
            Self::Placed(grams) => events.placed = Some(Grams(grams)),
            Self::Lifted => events.lifted = true,
            Self::Added(grams) => events.added = Some(Grams(grams)),
            Self::PourStarts => events.pour_started = true,
            Self::Landed(grams) => {
                events.settling = Some(Settling::Landed(Settled {
                    mass: Grams(grams),
                    sigma: Grams(0.05),
                }));
            }
            Self::Removed(grams) => events.removed = Some(Grams(grams)),
            Self::Pressed => events.pressed = true,
            Self::Time(_) | Self::Skip | Self::Order(_) | Self::Void(_) => {}
        }
        events
    }
}

fn page(page: &Page<'_>) -> String {
    match page {
        Page::Place { vessel, .. } => format!("set down {vessel:?}"),
        Page::Away { running: true, .. } => "away".to_owned(),
        Page::Away { .. } => "stir".to_owned(),
        other => format!("{other:?}")
            .split([' ', '(', '{'])
            .next()
            .unwrap_or_default()
            .to_lowercase(),
    }
}

/// Rows of states, columns of what happens; each cell says where that leads.
fn chart<S>(
    states: &[(&str, &[Happens])],
    happens: &[Happens],
    begin: impl Fn() -> S,
    mut happen: impl FnMut(&mut S, Happens),
    tell: impl Fn(&S) -> String,
) -> String {
    let mut table = String::new();
    for (name, way) in states {
        let reach = |happen: &mut dyn FnMut(&mut S, Happens)| {
            let mut state = begin();
            for &what in *way {
                happen(&mut state, what);
            }
            state
        };
        let here = tell(&reach(&mut happen));
        table.push_str(&format!("{name} ({here})\n"));
        for &what in happens {
            let mut state = reach(&mut happen);
            happen(&mut state, what);
            let there = tell(&state);
            let there = if there == here { "-" } else { &there };
            table.push_str(&format!("    {:<16} {there}\n", what.word()));
        }
    }
    table
}

#[test]
fn a_pour() {
    use Happens::{Added, Landed, PourStarts, Removed};
    struct One(Pour, Crew);
    let begin = || {
        let judge = Judge::new(Grams(RYE_G), 0.94, Band::Mode(Mode::Service));
        let owner = Owner {
            hand: None,
            liquid: None,
        };
        One(Pour::new(judge, owner, Body::Thin, true), crew())
    };
    let mut seconds = 0.0;
    let happen = |one: &mut One, what: Happens| {
        seconds += 3.0;
        let now = Instant::ZERO.offset(seconds);
        let mut out = Outputs::default();
        one.0.take(now, &what.events(), &mut one.1, &mut out);
    };
    let tell = |one: &One| {
        let verdict = one.0.verdict().map(|judged| judged.verdict);
        match (one.0.has_begun(), one.0.is_flowing(), verdict) {
            (false, ..) => "offered".to_owned(),
            (true, true, _) => "flowing".to_owned(),
            (true, false, None) => "landing".to_owned(),
            (true, false, Some(verdict)) => {
                let more = if one.0.wants_more() { ", add" } else { "" };
                format!("{verdict:?}{more}").to_lowercase()
            }
        }
    };
    let states: [(&str, &[Happens]); 6] = [
        ("nothing yet", &[]),
        ("it flows", &[PourStarts]),
        ("enough is in", &[PourStarts, Landed(RYE_G)]),
        ("too little is in", &[PourStarts, Landed(12.0)]),
        ("too much is in", &[PourStarts, Landed(38.0)]),
        ("a jigger was tipped in", &[Added(RYE_G)]),
    ];
    let happens = [
        PourStarts,
        Landed(RYE_G),
        Landed(12.0),
        Landed(38.0),
        Added(RYE_G),
        Removed(RYE_G),
    ];
    insta::assert_snapshot!(chart(&states, &happens, begin, happen, tell));
}

#[test]
fn a_drink() {
    use Happens::{Added, Landed, Lifted, Placed, PourStarts, Skip, Time};
    struct One(Build<'static>, Crew, Instant, f32);
    let begin = || {
        let sheet = packed();
        let drink = sheet.drink(STIRRED).expect("a drink");
        One(
            Build::new(sheet, STIRRED, drink, 1),
            crew(),
            Instant::ZERO,
            0.0,
        )
    };
    let happen = |one: &mut One, what: Happens| {
        let seconds = if let Time(seconds) = what {
            seconds
        } else {
            1.0
        };
        one.2 = one.2.offset(seconds);
        let mut out = Outputs::default();
        let mut turn = Turn {
            now: one.2,
            crew: &mut one.1,
            out: &mut out,
        };
        let gross = Grams(one.3);
        match what {
            Time(_) => one.0.tick(&mut turn),
            Skip => one.0.skip(&mut turn),
            _ => one.0.take(&what.events(), gross, &mut turn),
        }
        match what {
            Placed(grams) => one.3 = grams,
            Added(grams) | Landed(grams) => one.3 += grams,
            Lifted => one.3 = 0.0,
            _ => {}
        }
    };
    let tell = |one: &One| {
        if one.0.is_over() {
            "over".to_owned()
        } else if one.0.is_done() {
            "recorded".to_owned()
        } else {
            page(&one.0.page(one.2))
        }
    };
    let away = [Placed(EMPTY_G), Added(RYE_G), Lifted];
    let with = |more: &[Happens]| [&away[..], more].concat();
    let (back, strains) = (with(&[Placed(FILLED_G)]), with(&[Placed(COUPE_G)]));
    let finishing = with(&[Placed(COUPE_G), Added(RYE_G)]);
    let done = with(&[Placed(COUPE_G), Added(RYE_G), Time(10.0)]);
    let over = with(&[Placed(COUPE_G), Added(RYE_G), Time(10.0), Lifted]);
    let states: [(&str, &[Happens]); 10] = [
        ("vessel", &[]),
        ("working", &[Placed(EMPTY_G)]),
        ("astray", &[Placed(EMPTY_G), Lifted]),
        ("to be stirred", &away[..2]),
        ("away", &away),
        ("glass", &back),
        ("straining", &strains),
        ("finishing", &finishing),
        ("done", &done),
        ("over", &over),
    ];
    let happens = [
        Placed(FILLED_G),
        Placed(COUPE_G),
        Lifted,
        PourStarts,
        Added(RYE_G),
        Time(25.0),
        Skip,
    ];
    insta::assert_snapshot!(chart(&states, &happens, begin, happen, tell));
}

#[test]
fn a_round() {
    use Happens::{Added, Lifted, Order, Placed, Pressed, Time, Void};
    struct All(Round<'static>, Crew, Instant, f32);
    let begin = || All(Round::new(), crew(), Instant::ZERO, 0.0);
    let happen = |all: &mut All, what: Happens| {
        let seconds = if let Time(seconds) = what {
            seconds
        } else {
            1.0
        };
        all.2 = all.2.offset(seconds);
        let (sheet, mut out) = (packed(), Outputs::default());
        let mut turn = Turn {
            now: all.2,
            crew: &mut all.1,
            out: &mut out,
        };
        let gross = Grams(all.3);
        match what {
            Time(_) => all.0.tick(&mut turn),
            Order(drink) => all.0.order(&sheet, drink).expect("it waits"),
            Void(drink) => {
                let _gone = all.0.void(&sheet, drink, &mut turn);
            }
            _ => all.0.take(&what.events(), gross, Some(&sheet), &mut turn),
        }
        match what {
            Placed(grams) => all.3 = grams,
            Added(grams) => all.3 += grams,
            Lifted => all.3 = 0.0,
            _ => {}
        }
        let loaded = all.3 > 0.0;
        all.0.start(Some(&sheet), loaded, &mut turn);
    };
    let tell = |all: &All| {
        let (waiting, aside) = (all.0.waiting().count(), all.0.aside().count());
        let shown = page(&all.0.page(Some(&packed()), all.2));
        let waiting = if waiting > 0 {
            format!(", {waiting} waiting")
        } else {
            String::new()
        };
        let aside = if aside > 0 {
            format!(", {aside} aside")
        } else {
            String::new()
        };
        format!("{shown}{waiting}{aside}")
    };
    let away = [Order(STIRRED), Placed(EMPTY_G), Added(RYE_G), Lifted];
    let with = |more: &[Happens]| [&away[..], more].concat();
    let next = with(&[Order(SHORT)]);
    let both = with(&[Order(SHORT), Placed(300.0)]);
    let either = with(&[Order(STIRRED), Time(25.0), Placed(FILLED_G)]);
    let two = with(&[
        Order(STIRRED),
        Placed(EMPTY_G + 60.0),
        Added(RYE_G),
        Lifted,
        Time(25.0),
        Placed(COUPE_G),
    ]);
    let states: [(&str, &[Happens]); 8] = [
        ("nobody has ordered", &[]),
        ("a drink is ordered", &[Order(STIRRED)]),
        ("it is begun", &[Order(STIRRED), Placed(EMPTY_G)]),
        ("it is stirred", &away),
        ("and another is ordered", &next),
        ("which is begun", &both),
        ("its vessel is back, another of the kind waits", &either),
        ("a glass is set down, two are stirred", &two),
    ];
    let happens = [
        Order(SHORT),
        Void(STIRRED),
        Placed(300.0),
        Placed(COUPE_G),
        Lifted,
        Pressed,
        Added(RYE_G),
        Time(25.0),
    ];
    insta::assert_snapshot!(chart(&states, &happens, begin, happen, tell));
}
