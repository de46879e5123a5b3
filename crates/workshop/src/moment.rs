//! Moments as records write them: `2026-01-31T10:00Z`, and the seconds since 1970 that a clock gives.
//!
//! The calendar is the Gregorian one carried both ways; leap seconds are not counted, as clocks do.

/// The first and the last moment that are written, in seconds since 1970: the years 1 to 9999.
const ENDS: (f64, f64) = (-62_135_596_800.0, 253_402_300_799.0);

/// A clock's word: what time it is, and how far its place is from universal time.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Now {
    /// Seconds since 1970-01-01T00:00Z.
    pub seconds: f64,
    /// Minutes by which local time is ahead of universal time; moments are shown in local time.
    pub ahead_min: i32,
}

impl Now {
    /// From milliseconds since 1970, as a browser's clock gives them, and the minutes by which local time is ahead.
    #[must_use]
    pub fn from_ms(ms: f64, ahead_min: i32) -> Self {
        Self {
            seconds: ms * 1e-3,
            ahead_min,
        }
    }

    /// A moment in seconds since 1970 as a person reads it at this place: `2026-01-31 11:00`, with `UTC` after it where the place
    /// keeps universal time.
    #[must_use]
    pub fn shown(&self, seconds: f64) -> String {
        let zone = if self.ahead_min == 0 { " UTC" } else { "" };
        match parts(seconds + 60.0 * f64::from(self.ahead_min)) {
            Some(((year, month, day), minutes)) => format!(
                "{year:04}-{month:02}-{day:02} {:02}:{:02}{zone}",
                minutes / 60,
                minutes % 60
            ),
            None => crate::units::NO_FIGURE.to_owned(),
        }
    }

    /// The present moment as records write it.
    #[must_use]
    pub fn text(&self) -> Option<String> {
        text(self.seconds)
    }

    /// The present moment to the second, `2026-01-31T10:00:30Z`: the stamp of a record that is changed now. None outside the
    /// years 1 to 9999.
    #[must_use]
    pub fn stamp(&self) -> Option<String> {
        let minute = text(self.seconds)?;
        let second = self.seconds.rem_euclid(60.0).floor();
        Some(format!("{}:{second:02}Z", minute.trim_end_matches('Z')))
    }
}

/// Reads a moment: `2026-01-31T10:00Z`, with seconds or with a zone such as `+01:00` in place of the `Z`. Seconds since 1970; none
/// for any other text.
#[must_use]
pub fn seconds(text: &str) -> Option<f64> {
    let bytes = text.as_bytes();
    if !text.is_ascii() || bytes.len() < 17 || bytes[10] != b'T' || bytes[13] != b':' {
        return None;
    }
    let (year, month, day) = day(&text[..10])?;
    let (hour, minute) = (two(text, 11, 23)?, two(text, 14, 59)?);
    let (second, zone) = match text[16..].strip_prefix(':') {
        Some(rest) => (two(rest, 0, 59)?, rest.get(2..)?),
        None => (0, &text[16..]),
    };
    let ahead = match zone.as_bytes() {
        [b'Z'] => 0,
        [sign @ (b'+' | b'-'), _, _, b':', _, _] => {
            let minutes = i64::from(two(zone, 1, 14)? * 60 + two(zone, 4, 59)?);
            if *sign == b'-' { -minutes } else { minutes }
        }
        _ => return None,
    };
    let minutes = days_from_1970(year, month, day) * 1440 + i64::from(hour * 60 + minute) - ahead;
    let seconds = whole(minutes * 60 + i64::from(second));
    (ENDS.0..=ENDS.1).contains(&seconds).then_some(seconds)
}

/// Writes a moment, in universal time and to the minute before it: `2026-01-31T10:00Z`. None outside the years 1 to 9999.
#[must_use]
pub fn text(seconds: f64) -> Option<String> {
    let ((year, month, day), minutes) = parts(seconds)?;
    Some(format!(
        "{year:04}-{month:02}-{day:02}T{:02}:{:02}Z",
        minutes / 60,
        minutes % 60
    ))
}

/// A day of the calendar written `2026-01-31`: year, month, day; none for any other text.
#[must_use]
pub fn day(text: &str) -> Option<(i64, u32, u32)> {
    let bytes = text.as_bytes();
    if !text.is_ascii() || bytes.len() != 10 || bytes[4] != b'-' || bytes[7] != b'-' {
        return None;
    }
    let year = i64::from(two(text, 0, 99)? * 100 + two(text, 2, 99)?);
    let (month, day) = (two(text, 5, 12)?, two(text, 8, 31)?);
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let longest = match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        _ => return None,
    };
    (1..=longest).contains(&day).then_some((year, month, day))
}

/// Two digits at a place, at most so much.
fn two(text: &str, at: usize, most: u32) -> Option<u32> {
    let digits = text.get(at..at + 2)?;
    let is_number = digits.bytes().all(|byte| byte.is_ascii_digit());
    digits
        .parse()
        .ok()
        .filter(|number| is_number && *number <= most)
}

/// Days from 1970-01-01 to a day of the Gregorian calendar. Source: counting years from March, so that the leap day ends one,
/// in eras of 400 years of 146 097 days.
fn days_from_1970(year: i64, month: u32, day: u32) -> i64 {
    let year = if month <= 2 { year - 1 } else { year };
    let (era, of_era) = (year.div_euclid(400), year.rem_euclid(400));
    let of_year = (153 * ((i64::from(month) + 9) % 12) + 2) / 5 + i64::from(day) - 1;
    era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468
}

/// The day and the minute of it of a moment; none outside the years 1 to 9999.
fn parts(seconds: f64) -> Option<((i64, i64, i64), i64)> {
    if !(ENDS.0..=ENDS.1).contains(&seconds) {
        return None;
    }
    let minutes = minutes_of(seconds);
    let days = minutes.div_euclid(1440) + 719_468;
    let (era, of_era) = (days.div_euclid(146_097), days.rem_euclid(146_097));
    let year = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let shifted = (5 * of_year + 2) / 153;
    let day = of_year - (153 * shifted + 2) / 5 + 1;
    let month = if shifted < 10 {
        shifted + 3
    } else {
        shifted - 9
    };
    let year = year + era * 400 + i64::from(month <= 2);
    Some(((year, month, day), minutes.rem_euclid(1440)))
}

/// Whole minutes; the range was looked at before.
#[allow(clippy::cast_possible_truncation)]
fn minutes_of(seconds: f64) -> i64 {
    (seconds / 60.0).floor() as i64
}

/// Whole seconds as a number; exact within the years looked at.
#[allow(clippy::cast_precision_loss)]
const fn whole(seconds: i64) -> f64 {
    seconds as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn moments_of_the_calendar() {
        for (text, expected) in [
            ("1970-01-01T00:00Z", 0.0),
            ("2000-03-01T00:00Z", 951_868_800.0),
            ("2026-01-31T10:00Z", 1_769_853_600.0),
            ("2026-01-31T11:00+01:00", 1_769_853_600.0),
            ("2026-01-31T10:00:30Z", 1_769_853_630.0),
            ("1969-12-31T23:59Z", -60.0),
        ] {
            assert_eq!(seconds(text), Some(expected), "{text}");
        }
        assert_eq!(text(1_769_853_630.0).as_deref(), Some("2026-01-31T10:00Z"));
        assert_eq!(
            Now::from_ms(0.0, 60).shown(1_769_853_600.0),
            "2026-01-31 11:00"
        );
        assert_eq!(Now::from_ms(0.0, 0).shown(-60.0), "1969-12-31 23:59 UTC");
        assert_eq!(Now::default().shown(f64::NAN), "–");
        let stamp = Now::from_ms(1_769_853_630_999.0, 60).stamp().unwrap();
        assert_eq!(stamp, "2026-01-31T10:00:30Z");
        assert_eq!(seconds(&stamp), Some(1_769_853_630.0));
        assert_eq!(Now::from_ms(f64::NAN, 0).stamp(), None);
    }

    #[test]
    fn what_is_no_moment_is_none() {
        for bad in [
            "",
            "2026-01-31",
            "2026-01-31T10:00",
            "2026-02-30T10:00Z",
            "2026-01-31T24:00Z",
            "2026-01-31T10:60Z",
            "2026-01-31 10:00Z",
            "2026-01-31T10:00:3Z",
            "2026-01-31T10:00+1:00",
            "2026-01-31T+1:00Z",
            "2026-01-31T10:00:",
            "2026-01-31Té:00Z",
            "0000-01-01T00:00Z",
        ] {
            assert_eq!(seconds(bad), None, "{bad}");
        }
        for bad in [f64::NAN, f64::INFINITY, 1e300, -1e300] {
            assert_eq!(text(bad), None);
        }
    }

    proptest! {
        #[test]
        fn every_minute_comes_back(minute in -1_035_593_280i32..2_000_000_000) {
            let at = 60.0 * f64::from(minute);
            prop_assert_eq!(seconds(&text(at).unwrap()), Some(at));
        }

        #[test]
        fn no_text_does_harm(text in "\\PC{0,30}") {
            let _ = seconds(&text);
        }
    }
}
