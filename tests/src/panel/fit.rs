//! Any view can be drawn, and what is drawn fits: no letter off the panel, over another letter,
//! or half on a bar.

use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{OriginDimensions, Size};
use embedded_graphics::pixelcolor::BinaryColor;
use embedded_graphics::primitives::Rectangle;
use pennyweight_core::input::{Known, Sample};
use pennyweight_core::output::{Fault, Figure, Learned, Lesson, Refused, Verdict};
use pennyweight_core::panel::{Frame, draw, draw_on, light};
use pennyweight_core::spec::{Unit, Vessel};
use pennyweight_core::view::{Cue, Learn, Next, Offer, Page, Reading, View, Work};
use proptest::prelude::*;
use proptest::sample::select;

/// Columns and rows of one drawing, first to last.
#[derive(Clone, Copy, Debug)]
struct Patch {
    left: i32,
    right: i32,
    top: i32,
    bottom: i32,
}

impl Patch {
    fn disjoint(&self, other: &Self) -> bool {
        self.right < other.left
            || other.right < self.left
            || self.bottom < other.top
            || other.bottom < self.top
    }

    fn within(&self, outer: &Self) -> bool {
        self.left >= outer.left
            && self.right <= outer.right
            && self.top >= outer.top
            && self.bottom <= outer.bottom
    }
}

const PANEL: Patch = Patch {
    left: 0,
    right: 127,
    top: 0,
    bottom: 63,
};

/// A target that remembers the ink of every glyph and every filled area, in order.
#[derive(Default)]
struct Watch {
    glyphs: Vec<Patch>,
    areas: Vec<Patch>,
    faults: Vec<String>,
}

impl OriginDimensions for Watch {
    fn size(&self) -> Size {
        Size::new(128, 64)
    }
}

impl DrawTarget for Watch {
    type Color = BinaryColor;
    type Error = std::convert::Infallible;

    // Letters arrive glyph by glyph, ink only.
    fn draw_iter<I>(&mut self, pixels: I) -> Result<(), Self::Error>
    where
        I: IntoIterator<Item = Pixel<BinaryColor>>,
    {
        let ink = pixels.into_iter().map(|Pixel(point, _)| point);
        let glyph = ink.fold(None, |patch: Option<Patch>, point| {
            let patch = patch.unwrap_or(Patch {
                left: point.x,
                right: point.x,
                top: point.y,
                bottom: point.y,
            });
            Some(Patch {
                left: patch.left.min(point.x),
                right: patch.right.max(point.x),
                top: patch.top.min(point.y),
                bottom: patch.bottom.max(point.y),
            })
        });
        let Some(glyph) = glyph else { return Ok(()) };
        if !glyph.within(&PANEL) {
            self.faults.push(format!("off the panel: {glyph:?}"));
        }
        if let Some(other) = self.glyphs.iter().find(|other| !glyph.disjoint(other)) {
            self.faults.push(format!("{glyph:?} over {other:?}"));
        }
        let cut = |area: &&Patch| !glyph.disjoint(area) && !glyph.within(area);
        if let Some(area) = self.areas.iter().find(cut) {
            self.faults.push(format!("{glyph:?} half on {area:?}"));
        }
        self.glyphs.push(glyph);
        Ok(())
    }

    fn fill_solid(&mut self, area: &Rectangle, _: BinaryColor) -> Result<(), Self::Error> {
        let Some(corner) = area.bottom_right() else {
            return Ok(());
        };
        let area = Patch {
            left: area.top_left.x,
            right: corner.x,
            top: area.top_left.y,
            bottom: corner.y,
        };
        if !area.within(&PANEL) {
            self.faults.push(format!("off the panel: {area:?}"));
        }
        if let Some(glyph) = self.glyphs.iter().find(|glyph| !glyph.disjoint(&area)) {
            self.faults.push(format!("{area:?} over {glyph:?}"));
        }
        self.areas.push(area);
        Ok(())
    }

    fn clear(&mut self, _: BinaryColor) -> Result<(), Self::Error> {
        Ok(())
    }
}

const UNITS: [Unit; 9] = [
    Unit::Ml,
    Unit::Cl,
    Unit::Oz,
    Unit::Gram,
    Unit::Dash,
    Unit::Barspoon,
    Unit::Drop,
    Unit::Piece,
    Unit::Rinse,
];
const VESSELS: [Vessel; 5] = [
    Vessel::MixingGlass,
    Vessel::Tin,
    Vessel::Rocks,
    Vessel::Highball,
    Vessel::Coupe,
];
const FAULTS: [Fault; 8] = [
    Fault::Saturated,
    Fault::Overload,
    Fault::Stuck,
    Fault::Silent,
    Fault::Time,
    Fault::Glitch,
    Fault::Sheet,
    Fault::Zero,
];
const CUES: [Cue; 3] = [Cue::Pour, Cue::Ease, Cue::Stop];
const WORKS: [Work; 2] = [Work::Stir, Work::Shake];
const VERDICTS: [Verdict; 3] = [Verdict::Good, Verdict::Short, Verdict::Over];

/// What a random view is made of; one of it gives every page.
#[derive(Clone, Debug)]
struct Parts {
    name: String,
    other: String,
    value: i32,
    decimals: u8,
    unit: Unit,
    vessel: Vessel,
    small: (u8, u8),
    large: (u16, u16),
    seconds: i16,
    running: bool,
    ramp: Option<f32>,
}

fn parts() -> impl Strategy<Value = Parts> {
    let name = || prop_oneof![any::<String>(), "[ -~\u{A0}-\u{FF}]{0,40}", "[a-z ]{0,24}"];
    let value = prop_oneof![any::<i32>(), -2000..2000, Just(i32::MIN), Just(i32::MAX)];
    let ramp = prop_oneof![
        Just(None),
        (0.0_f32..1.0).prop_map(Some),
        any::<f32>().prop_map(Some),
    ];
    (
        (name(), name(), value, any::<u8>(), select(&UNITS[..])),
        (select(&VESSELS[..]), any::<(u8, u8)>(), any::<(u16, u16)>()),
        (any::<i16>(), any::<bool>(), ramp),
    )
        .prop_map(
            |((name, other, value, decimals, unit), (vessel, small, large), rest)| Parts {
                name,
                other,
                value,
                decimals,
                unit,
                vessel,
                small,
                large,
                seconds: rest.0,
                running: rest.1,
                ramp: rest.2,
            },
        )
}

impl Parts {
    /// Every page of learning a bottle, with figures from anywhere.
    fn learning(&self, mark: Reading) -> [Learn; 10] {
        let figure = Figure {
            value: self.value as f32 / 7.0,
            sigma: self.ramp.unwrap_or(f32::from(self.large.0)),
        };
        let told = |lesson| {
            Learn::Told(Learned {
                sample: Sample {
                    volume_ul: 50_000,
                    sigma_ul: 250,
                    celsius: 2000,
                    known: Known::Nothing,
                },
                fills: self.small.0,
                density: figure,
                spread: 0.0,
                lesson,
            })
        };
        [
            Learn::Measure,
            Learn::Wait,
            Learn::Fill(mark),
            told(Lesson::Density),
            told(Lesson::Sugar(figure)),
            told(Lesson::Strength(figure)),
            told(Lesson::Refused(Refused::NoLiquid(750.0))),
            told(Lesson::Refused(Refused::TooLight(948.0))),
            told(Lesson::Refused(Refused::TooDense(1300.0))),
            told(Lesson::Refused(Refused::Label)),
        ]
    }

    fn pages(&self) -> Vec<Page<'_>> {
        let reading = Reading {
            value: self.value,
            decimals: self.decimals,
            unit: self.unit,
        };
        let (liquid, drink) = (self.name.as_str(), self.name.as_str());
        let nexts = [
            Next::Nothing,
            Next::Liquid(&self.other),
            Next::Ice,
            Next::Work(Work::Shake),
            Next::Strain(self.vessel),
            Next::Note(&self.other),
            Next::Glass {
                drink: &self.other,
                saves: 34,
            },
        ];
        let mut pages = vec![
            Page::Idle,
            Page::Weight(reading),
            Page::Place {
                drink,
                vessel: self.vessel,
            },
            Page::Strain {
                drink,
                so_far: reading,
                left: None,
                cue: Cue::Pour,
            },
            Page::Ask {
                what: liquid,
                grams: reading,
            },
            Page::Question {
                one: liquid,
                two: drink,
            },
            Page::Again { drink },
            Page::Done { drink },
            Page::WeighedBack {
                water: 9999,
                expected: Some(9999),
                lost: 9999,
            },
        ];
        pages.extend(FAULTS.map(Page::Fault));
        pages.push(Page::Refused);
        pages.extend(self.learning(reading).map(Page::Learn));
        for next in nexts {
            for cue in CUES {
                pages.push(Page::Pour {
                    liquid,
                    remaining: reading,
                    bar: self.large.0,
                    cue,
                    next,
                });
                pages.push(Page::Add {
                    liquid,
                    missing: reading,
                    cue,
                    next,
                });
            }
            pages.push(Page::Count {
                liquid,
                done: self.small.0,
                of: self.small.1,
                unit: self.unit,
                next,
            });
            pages.push(Page::Ice {
                so_far: reading,
                low_g: self.large.0,
                high_g: self.large.1,
                next,
            });
            pages.push(Page::Note {
                text: &self.name,
                next,
            });
            pages.extend(WORKS.map(|work| Page::Away {
                work,
                seconds_left: self.seconds,
                running: self.running,
                next,
            }));
            pages.extend(VERDICTS.map(|verdict| Page::Judged {
                liquid,
                error: reading,
                verdict,
                offer: Offer::Nothing,
                next,
            }));
            pages.extend([Offer::TipOut, Offer::Fix].map(|offer| Page::Judged {
                liquid,
                error: reading,
                verdict: Verdict::Over,
                offer,
                next,
            }));
            pages.extend(CUES.map(|cue| Page::Strain {
                drink: liquid,
                so_far: reading,
                left: Some(reading),
                cue,
            }));
        }
        pages
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn every_view_fits(parts in parts()) {
        for page in parts.pages() {
            let view = View { ramp: parts.ramp, ..super::view(page) };
            let mut watch = Watch::default();
            let Ok(()) = draw_on(&view, &mut watch);
            prop_assert!(watch.faults.is_empty(), "{view:?}: {:?}", watch.faults);
            // What is drawn in another way than this target watches would fit unseen.
            prop_assert!(!watch.glyphs.is_empty(), "{view:?}");
            let _ = light(&page);
        }
    }

    /// What stood there before leaves no trace.
    #[test]
    fn a_repaint_is_whole(before in parts(), after in parts()) {
        let mut used = Frame::new();
        for page in before.pages() {
            draw(&super::view(page), &mut used);
        }
        for page in after.pages() {
            let mut fresh = Frame::new();
            draw(&super::view(page), &mut fresh);
            draw(&super::view(page), &mut used);
            prop_assert_eq!(&fresh, &used);
        }
    }
}
