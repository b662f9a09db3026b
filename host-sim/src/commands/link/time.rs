//! Seconds since 1970 as a date.

/// `2026-03-01T21:04:05Z`: the proleptic Gregorian calendar of ISO 8601, without leap seconds.
#[must_use]
pub fn utc_text(seconds: u32) -> String {
    let (days, rest) = (seconds / 86_400, seconds % 86_400);
    let (mut year, mut left) = (1970, days);
    loop {
        let long = if is_leap(year) { 366 } else { 365 };
        if left < long {
            break;
        }
        left -= long;
        year += 1;
    }
    let february = if is_leap(year) { 29 } else { 28 };
    let months = [31, february, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
    let mut month = 1;
    for long in months {
        if left < long {
            break;
        }
        left -= long;
        month += 1;
    }
    let (hour, minute, second) = (rest / 3600, rest / 60 % 60, rest % 60);
    format!(
        "{year}-{month:02}-{:02}T{hour:02}:{minute:02}:{second:02}Z",
        left + 1
    )
}

fn is_leap(year: u32) -> bool {
    year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400))
}

#[cfg(test)]
mod tests {
    use super::utc_text;

    /// Seconds and dates as POSIX.1-2017, 4.16 relates them; worked by hand.
    #[test]
    fn dates_are_those_of_the_calendar() {
        assert_eq!(utc_text(0), "1970-01-01T00:00:00Z");
        assert_eq!(utc_text(951_782_400), "2000-02-29T00:00:00Z");
        assert_eq!(utc_text(1_000_000_000), "2001-09-09T01:46:40Z");
        assert_eq!(utc_text(2_147_483_647), "2038-01-19T03:14:07Z");
        assert_eq!(utc_text(u32::MAX), "2106-02-07T06:28:15Z");
    }
}
