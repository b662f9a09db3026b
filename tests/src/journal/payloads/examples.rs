//! One of each payload, and of each earlier form.

use pennyweight_core::input::{Known, Mode, Sample};
use pennyweight_core::journal::payload::{
    Back, Bottle, BottleV1, BroughtV1, BroughtV2, Drink, HabitV1, Moment, MomentV1, NumberV2,
    OpenDrinkV1, OpenV1, OpenV2, OrderV1, OrderV2, Pour, Stamp, StampV1, WaitingV1, WaitingV2,
    bottle_key,
};
use pennyweight_core::output::{
    Dilution, DilutionBasis, DrinkRecord, Figure, Learned, Lesson, PourRecord, Settled, Verdict,
};
use pennyweight_core::spec::{Amount, DrinkId, House, LiquidId, Quantity, Unit};
use pennyweight_core::station::Shift;
use pennyweight_core::units::{Grams, Millilitres};
use pennyweight_core::weigh::Calibration;

pub(super) const STAMP: Stamp = Stamp {
    start: 300,
    at: Moment::Utc(1_790_000_000),
    sheet: 0xBEEF,
};

pub(super) const STAMP_V1: StampV1 = StampV1 {
    start: 300,
    at: MomentV1::Utc(1_790_000_000),
    sheet: 0xBEEF,
};

pub(super) fn pour() -> Pour {
    Pour {
        stamp: STAMP,
        order: 41,
        drink: Some(DrinkId(3)),
        record: PourRecord {
            step: 2,
            liquid: LiquidId(7),
            amount: Amount {
                quantity: Quantity::Volume(22_180),
                unit: Unit::Oz,
            },
            target_volume: Millilitres(22.18),
            target: Grams(20.952),
            poured: Settled {
                mass: Grams(21.304),
                sigma: Grams(0.041),
            },
            verdict: Verdict::Good,
        },
    }
}

pub(super) fn drink() -> Drink {
    Drink {
        stamp: Stamp {
            at: Moment::SincePowerUp(36_000),
            ..STAMP
        },
        order: 41,
        record: DrinkRecord {
            drink: DrinkId(3),
            volume: Millilitres(96.25),
            volume_sigma: Millilitres(0.75),
            abv_percent: 27.31,
            abv_sigma_percent: 0.42,
            sugar_g_per_l: 61.07,
            ethanol: Grams(20.744),
            ethanol_sigma: Grams(0.31),
            dilution: Some(Dilution {
                basis: DilutionBasis::Expected,
                percent: 24.5,
                sigma_percent: 3.1,
            }),
        },
        back: Some(Back {
            lost: Settled {
                mass: Grams(-1.25),
                sigma: Grams(0.8),
            },
            expected: Some(Dilution {
                basis: DilutionBasis::Expected,
                percent: 22.0,
                sigma_percent: 4.5,
            }),
        }),
    }
}

pub(super) fn open_v1() -> OpenV1 {
    let brought = BroughtV1 {
        step: 0,
        mass_mg: 56_700,
        sigma_mg: 40,
    };
    OpenV1 {
        sheet: 0xBEEF,
        drink: Some(OpenDrinkV1 {
            order: 41,
            drink: 3,
            step: 1,
            tare_mg: 351_250,
            gross_mg: 407_950,
            brought: [brought].into_iter().collect(),
        }),
    }
}

/// The same, as it is read now.
pub(super) fn open() -> OpenV2 {
    let brought = BroughtV2 {
        step: 0,
        mass_mg: 56_700,
    };
    OpenV2 {
        sheet: 0xBEEF,
        number: 41,
        drink: 3,
        step: 1,
        glasses: 1,
        growth_milli: 1_000,
        tare_mg: 351_250,
        gross_mg: 407_950,
        brought: [brought].into_iter().collect(),
        ..OpenV2::default()
    }
}

/// Everything in it.
pub(super) fn open_full() -> OpenV2 {
    OpenV2 {
        glasses: 2,
        served: 1,
        growth_milli: 1_125,
        mending: 1,
        stage: 2,
        first_served_mg: Some(91_500),
        strained_mg: Some(300),
        ..open()
    }
}

pub(super) fn habit() -> HabitV1 {
    HabitV1 {
        hand: Some(2),
        bottle: Some(bottle_key("rye whiskey")),
        figures: [
            40_000,
            312_500,
            640_000,
            -12_500_000,
            900_000_000,
            3_200,
            8_750,
            418_000,
        ],
        pours: 640,
    }
}

pub(super) const BOTTLE: Bottle = Bottle {
    stamp: STAMP,
    learned: Learned {
        sample: Sample {
            volume_ul: 50_000,
            sigma_ul: 250,
            celsius: 1_980,
            known: Known::Strength(2_000),
        },
        fills: 3,
        density: Figure {
            value: 1_056.25,
            sigma: 5.304,
        },
        spread: 0.42,
        lesson: Lesson::Sugar(Figure {
            value: 251.96,
            sigma: 13.4,
        }),
    },
};

pub(super) const BOTTLE_V1: BottleV1 = BottleV1 {
    stamp: STAMP_V1,
    volume_ul: 50_000,
    volume_sigma_ul: 250,
    at_centi_c: 1_980,
    known: 1,
    label: 2_000,
    fills: 3,
    density_g_per_m3: 1_056_250,
    density_sigma_g_per_m3: 5_304,
    spread_g_per_m3: 420,
    lesson: 1,
    figure: 25_196,
    figure_sigma: 1_340,
};

pub(super) fn waiting_v1() -> WaitingV1 {
    WaitingV1 {
        sheet: 0xBEEF,
        next: 44,
        orders: [(42, 9), (43, 3)]
            .map(|(order, drink)| OrderV1 { order, drink })
            .into_iter()
            .collect(),
    }
}

pub(super) fn waiting(under_way: NumberV2) -> WaitingV2 {
    WaitingV2 {
        sheet: 0xBEEF,
        begun: 42,
        under_way: [under_way].into_iter().collect(),
        orders: [(9, 1), (3, 1)]
            .map(|(drink, glasses)| OrderV2 { drink, glasses })
            .into_iter()
            .collect(),
    }
}

/// Version 1 did not say which drink it is.
pub(super) const BEFORE: NumberV2 = NumberV2 {
    number: 41,
    drink: u8::MAX,
};

pub(super) const UNDER_WAY: NumberV2 = NumberV2 {
    number: 41,
    drink: 3,
};

pub(super) const SHIFT: Shift = Shift {
    mode: Mode::Prep,
    hand: Some(4),
    serve: Some(Millilitres(90.0)),
};

pub(super) const CALIBRATION: Calibration = Calibration {
    zero_code: -120_345,
    counts_per_gram: 812.437_5,
};

pub(super) const HOUSE: House = House {
    dash_ul: 800,
    barspoon_ul: 5_000,
    drop_ul: 50,
};
