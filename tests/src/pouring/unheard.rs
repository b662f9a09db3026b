//! With the sounder off page and light say all of it.

use pennyweight_core::panel::{Frame, draw};
use pennyweight_core::view::{Cue, Light, Page, Sound, View};

use super::stand::{FULL_G, Stand, TARGET_G};

/// What the panel shows, as its bytes.
fn picture(view: &View<'_>) -> Vec<u8> {
    let mut frame = Frame::new();
    let unheard = View {
        sound: Sound::Silent,
        ..*view
    };
    draw(&unheard, &mut frame);
    frame.bytes().to_vec()
}

fn cue(page: &Page<'_>) -> Option<Cue> {
    match page {
        Page::Pour { cue, .. } | Page::Add { cue, .. } => Some(*cue),
        _ => None,
    }
}

/// The picture that stood before is another one, and so is the light.
#[test]
fn ease_ramp_and_stop_change_page_and_light() {
    for seed in 0..8 {
        let mut stand = Stand::new(seed);
        let (mut eased, mut stopped, mut ramped) = (0, 0, 0);
        for pour in 0..3 {
            let mut before = None;
            let mut ramps = Vec::new();
            let context = format!("bench {seed}, pour {pour}");
            stand.place();
            stand.tilt(FULL_G);
            stand.follow_watched(false, |moment| {
                let shown = (picture(&moment.view), moment.view.light);
                for (told, said, lit) in [
                    (moment.outputs.ease, Cue::Ease, Light::Ease),
                    (moment.outputs.stop, Cue::Stop, Light::Stop),
                ] {
                    if told {
                        assert_eq!(cue(&moment.view.page), Some(said), "{context}");
                        assert_eq!(moment.view.light, lit, "{context}");
                        let (picture, light) = before.clone().expect("something was shown before");
                        assert_ne!(picture, shown.0, "{context}: {said:?}");
                        assert_ne!(light, shown.1, "{context}: {said:?}");
                    }
                }
                eased += u32::from(moment.outputs.ease);
                stopped += u32::from(moment.outputs.stop);
                if moment.view.ramp.is_some() && !moment.outputs.stop {
                    ramps.push(shown.0.clone());
                }
                before = Some(shown);
            });
            ramps.dedup();
            assert!(ramps.len() > 1, "{context}: the bar stands still");
            ramped += ramps.len();
            let glass = stand.rig.bench.vessel_on_pan().expect("the glass");
            let off = stand.rig.bench.contents_shown_g(glass) - f64::from(TARGET_G);
            assert!(off.abs() < 4.0, "{context}: {off:.2} g off");
            stand.lift();
        }
        assert_eq!(stopped, 3, "bench {seed}");
        assert_eq!(eased, 3, "bench {seed}");
        // Three quarters of a second each, but where the flow changes in the last moment.
        assert!(ramped > 45, "bench {seed}: {ramped} pictures");
    }
}
