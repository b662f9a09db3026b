//! Pours beside OIML R 61-1: limits as published, classes by hand.

use pennyweight_sim::commands::sweep::r61::{FILLS, filling, limits_g};

/// OIML R 61-1 Table 1 as the United Kingdom's SI 2000/388 and SI 2006/1258, Schedule 5, print
/// it: mass of the fill, initial verification and in service, class X(1).
#[test]
fn the_limits_are_those_of_table_1() {
    for (fill_g, initial_g, in_service_g) in [
        // 6.3 % and 9 % up to 50 g.
        (10.0, 0.63, 0.9),
        (50.0, 3.15, 4.5),
        // 3.15 g and 4.5 g up to 100 g.
        (75.0, 3.15, 4.5),
        (100.0, 3.15, 4.5),
        // 3.15 % and 4.5 % up to 200 g.
        (150.0, 4.725, 6.75),
        (200.0, 6.3, 9.0),
        // 6.3 g and 9 g up to 300 g.
        (250.0, 6.3, 9.0),
        // 2.1 % and 3 % up to 500 g.
        (400.0, 8.4, 12.0),
        // 10.5 g and 15 g up to 1 kg.
        (700.0, 10.5, 15.0),
        (1000.0, 10.5, 15.0),
    ] {
        let (initial, in_service) = limits_g(fill_g).unwrap();
        assert!((initial - initial_g).abs() < 1e-9, "{fill_g}: {initial}");
        assert!(
            (in_service - in_service_g).abs() < 1e-9,
            "{fill_g}: {in_service}"
        );
    }
    assert_eq!(limits_g(1000.1), None);
}

/// A lot whose fills lie `off_g` above and below `mean_g` in turn.
fn lot(mean_g: f64, off_g: f64) -> Vec<f64> {
    (0..FILLS)
        .map(|nth| {
            if nth % 2 == 0 {
                mean_g + off_g
            } else {
                mean_g - off_g
            }
        })
        .collect()
}

#[test]
fn a_fill_is_held_against_the_mean_and_the_mean_against_the_preset() {
    // Of 30 g X(1) allows 6.3 %, 1.89 g: 0.9 g needs x = 0.476, so X(0.5). Its mean may be off
    // by a quarter of 0.5 times 9 %: 0.3375 g.
    let near = filling(&lot(30.2, 0.9), 30.0).unwrap();
    assert_eq!(near.class_x, Some(0.5));
    assert!((near.deviation_g - 0.9).abs() < 1e-9);
    assert!((near.set_point_error_g - 0.2).abs() < 1e-9);
    assert!(near.set_point_meets);
    let far = filling(&lot(29.6, 0.9), 30.0).unwrap();
    assert_eq!(far.class_x, Some(0.5), "the mean is no part of the class");
    assert!((far.set_point_error_g + 0.4).abs() < 1e-9);
    assert!(!far.set_point_meets);
    for (off_g, class_x) in [
        (0.0, Some(0.01)),
        (0.37, Some(0.2)),
        (1.89, Some(1.0)),
        (1.90, Some(2.0)),
        (3.78, Some(2.0)),
        // Directive 2014/32/EU, annex MI-006: x is 2 at most.
        (3.79, None),
    ] {
        let found = filling(&lot(30.0, off_g), 30.0).unwrap();
        assert_eq!(found.class_x, class_x, "{off_g}");
    }
}

#[test]
fn the_worst_lot_decides_and_a_short_one_is_left_out() {
    let mut fills = lot(30.0, 0.1);
    fills.extend(lot(30.0, 0.9));
    fills.extend([60.0; FILLS - 1]);
    let found = filling(&fills, 30.0).unwrap();
    assert_eq!((found.fills, found.class_x), (2 * FILLS, Some(0.5)));
    assert_eq!(filling(&[30.0; FILLS - 1], 30.0), None);
}
