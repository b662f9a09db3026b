//! Traces written are traces read.

use pennyweight_core::Instant;
use pennyweight_core::units::AdcCode;
use pennyweight_sim::commands::trace::{Conversion, TraceHead, TraceReader, TraceWriter};
use proptest::prelude::*;

proptest! {
    #[test]
    fn what_is_written_is_read_back(
        counts_per_gram in 1.0f32..100_000.0,
        zero_code in -8_388_608i32..=8_388_607,
        rows in proptest::collection::vec((0u64..1_000_000, -8_388_608i32..=8_388_607), 0..50),
    ) {
        let head = TraceHead {
            counts_per_gram: Some(counts_per_gram),
            zero_code: Some(zero_code),
            sps: Some(80.0),
            filter_delay: Some(1.5),
        };
        let mut t_us = 0;
        let conversions: Vec<Conversion> = rows
            .into_iter()
            .map(|(gap, code)| {
                t_us += gap;
                Conversion { at: Instant::from_micros(t_us), code: AdcCode(code) }
            })
            .collect();
        let mut writer = TraceWriter::new(Vec::new(), &head).unwrap();
        for conversion in &conversions {
            writer.row(*conversion).unwrap();
        }
        let text = writer.finish().unwrap();
        let mut reader = TraceReader::new("T", text.as_slice()).unwrap();
        prop_assert_eq!(reader.head(), head);
        for conversion in conversions {
            prop_assert_eq!(reader.next_row().unwrap(), Some(conversion));
        }
        prop_assert_eq!(reader.next_row().unwrap(), None);
    }
}

#[test]
fn a_trace_reads_as_documented() {
    let head = TraceHead {
        counts_per_gram: Some(420.5),
        zero_code: Some(-12),
        sps: None,
        filter_delay: Some(2.5),
    };
    let mut writer = TraceWriter::new(Vec::new(), &head).unwrap();
    let at = Instant::from_micros(12_500);
    let code = AdcCode(-7);
    writer.row(Conversion { at, code }).unwrap();
    assert_eq!(
        String::from_utf8(writer.finish().unwrap()).unwrap(),
        "# counts_per_gram=420.5\n# zero_code=-12\n# filter_delay_periods=2.5\nt_us,code\n12500,-7\n"
    );
}
