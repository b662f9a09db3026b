//! Bytes and texts that nobody meant as a sheet.

use pennyweight_core::spec::{DrinkId, LiquidId, Sheet, SheetError};
use pennyweight_sim::sheet::{DEMO, demo, parse};
use proptest::prelude::*;

/// CRC-32/ISO-HDLC bit by bit; the catalogue of parametrised CRC algorithms gives its check
/// value, 0xCBF43926 over "123456789".
fn crc32(bytes: &[u8]) -> u32 {
    let mut crc = !0_u32;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = crc >> 1 ^ if crc & 1 == 1 { 0xEDB8_8320 } else { 0 };
        }
    }
    !crc
}

fn packed_demo() -> Vec<u8> {
    demo().expect("no mistake in the demo").pack().to_vec()
}

/// Asks for everything a sheet may hold and a little more.
fn ask_everything(bytes: &[u8]) -> Result<(), SheetError> {
    let sheet = Sheet::new(bytes)?;
    let _ = sheet.house();
    let _ = sheet.find_drink("Slow Ledger");
    for id in 0..=u8::MAX {
        let _ = sheet.liquid(LiquidId(id));
        if sheet.drink(DrinkId(id)).is_ok() {
            for step in 0..=u8::MAX {
                let _ = sheet.step(DrinkId(id), step);
            }
        }
    }
    Ok(())
}

#[test]
fn the_checksum_is_the_common_one() {
    assert_eq!(crc32(b"123456789"), 0xCBF4_3926);
    let bytes = packed_demo();
    let (content, checksum) = bytes.split_at(bytes.len() - 4);
    assert_eq!(checksum, crc32(content).to_le_bytes());
}

#[test]
fn no_truncation_is_taken_for_a_sheet() {
    let bytes = packed_demo();
    for length in 0..bytes.len() {
        assert!(ask_everything(&bytes[..length]).is_err(), "{length}");
    }
}

#[test]
fn no_single_flipped_bit_goes_unnoticed() {
    let mut bytes = packed_demo();
    for bit in 0..bytes.len() * 8 {
        bytes[bit / 8] ^= 1 << (bit % 8);
        assert!(Sheet::new(&bytes).is_err(), "bit {bit}");
        bytes[bit / 8] ^= 1 << (bit % 8);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes_do_no_harm(bytes in proptest::collection::vec(any::<u8>(), 0..600)) {
        let _ = ask_everything(&bytes);
    }

    #[test]
    fn random_records_with_a_right_frame_do_no_harm(
        liquids in 0_u8..=128, drinks in 0_u8..=128,
        records in proptest::collection::vec(prop_oneof![any::<u8>(), 0_u8..8], 0..600),
    ) {
        let mut bytes = b"PWSH\x02".to_vec();
        bytes.extend([liquids, drinks, 0]);
        bytes.extend((records.len() as u32 + 16).to_le_bytes());
        bytes.extend(records);
        bytes.extend(crc32(&bytes).to_le_bytes());
        let _ = ask_everything(&bytes);
    }

    #[test]
    fn flipped_bits_with_a_right_checksum_do_no_harm(
        flips in proptest::collection::vec(any::<(prop::sample::Index, u8)>(), 1..12),
    ) {
        let mut bytes = packed_demo();
        let content = bytes.len() - 4;
        for (at, mask) in flips {
            // The length stays, so that the checksum is looked for where it is.
            let at = at.index(content);
            if !(8..12).contains(&at) {
                bytes[at] ^= mask;
            }
        }
        let checksum = crc32(&bytes[..content]).to_le_bytes();
        bytes[content..].copy_from_slice(&checksum);
        let _ = ask_everything(&bytes);
    }

    #[test]
    fn random_text_is_told_where_it_is_wrong(text in "\\PC{0,200}") {
        tell_places(&text)?;
    }

    #[test]
    fn a_marred_demo_is_told_where_it_is_wrong(
        cuts in proptest::collection::vec(
            (any::<prop::sample::Index>(), 0_usize..20, "[-a-z0-9\"\\[\\]=.,/# \n\\\\\u{BD}]{0,8}"), 1..4,
        ),
    ) {
        let mut text = DEMO.to_owned();
        for (at, length, put) in cuts {
            let start = text.floor_char_boundary(at.index(text.len()));
            let end = text.ceil_char_boundary((start + length).min(text.len()));
            text.replace_range(start..end, &put);
        }
        tell_places(&text)?;
    }
}

/// Every mistake lies within the text.
fn tell_places(text: &str) -> Result<(), TestCaseError> {
    for mistake in parse(text, "sheet.toml").err().unwrap_or_default() {
        let lines: Vec<&str> = text.split('\n').collect();
        prop_assert!((1..=lines.len()).contains(&mistake.line), "{}", mistake);
        let columns = lines[mistake.line - 1].chars().count() + 1;
        prop_assert!((1..=columns).contains(&mistake.column), "{}", mistake);
        prop_assert!(!mistake.what.is_empty() && !mistake.right.is_empty());
    }
    Ok(())
}
