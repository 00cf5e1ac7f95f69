//! Dates of climate records: ISO 8601 times, months and leap years of the Gregorian calendar.

/// A moment as it was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Moment {
    /// Milliseconds since 1970-01-01T00:00, in UTC where an offset is written, else in the unnamed local time.
    pub(super) milliseconds: i64,
    /// The offset from UTC, if one is written.
    pub(super) offset_minutes: Option<i64>,
}

pub(super) fn is_leap(year: i64) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

pub(super) fn days_in_month(month: u8, leap: bool) -> u8 {
    match month {
        2 => 28 + u8::from(leap),
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Days from 1970-01-01, counting years from March so that the leap day comes last.
fn days_since_1970(year: i64, month: i64, day: i64) -> i64 {
    let shifted_year = if month <= 2 { year - 1 } else { year };
    let month_from_march = (month + 9) % 12;
    let day_of_year = (153 * month_from_march + 2) / 5 + day - 1;
    shifted_year * 365 + shifted_year.div_euclid(4) - shifted_year.div_euclid(100)
        + shifted_year.div_euclid(400)
        + day_of_year
        - 719_468
}

/// Month, 1 to 12, of the day that many milliseconds after 1970-01-01T00:00.
pub(super) fn month_of(milliseconds: i64) -> u8 {
    // Days from 0000-03-01; 400 years have 146 097 days.
    let days = milliseconds.div_euclid(86_400_000) + 719_468;
    let day_of_era = days.rem_euclid(146_097);
    let year_of_era = (day_of_era - day_of_era / 1_460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    u8::try_from((month_from_march + 2) % 12 + 1).unwrap_or(1)
}

/// Reads `2024-03-31T05:00`, with optional seconds, `Z` or offset; a blank may stand for `T`.
pub(super) fn parse_iso_8601(text: &str) -> Option<Moment> {
    let text = text.trim();
    let (date, time) = text.split_once(['T', 't', ' '])?;
    let mut date = date.split('-');
    let (year, month, day) = (digits(date.next()?, 4)?, digits(date.next()?, 2)?, digits(date.next()?, 2)?);
    if date.next().is_some() || !(1..=12).contains(&month) {
        return None;
    }
    let month_length = days_in_month(u8::try_from(month).ok()?, is_leap(year));
    if !(1..=i64::from(month_length)).contains(&day) {
        return None;
    }

    let (clock, offset_minutes) = if let Some(clock) = time.strip_suffix(['Z', 'z']) {
        (clock, Some(0))
    } else if let Some(at) = time.find(['+', '-']) {
        let (clock, offset) = time.split_at_checked(at)?;
        (clock, Some(parse_offset(offset)?))
    } else {
        (time, None)
    };
    let mut clock = clock.split(':');
    let (hour, minute) = (digits(clock.next()?, 2)?, digits(clock.next()?, 2)?);
    let milliseconds = clock.next().map_or(Some(0), parse_seconds)?;
    // 24:00 is the end of the day in ISO 8601.
    if clock.next().is_some() || minute > 59 || hour > 24 || (hour == 24 && (minute, milliseconds) != (0, 0))
    {
        return None;
    }

    let minutes = (days_since_1970(year, month, day) * 24 + hour) * 60 + minute - offset_minutes.unwrap_or(0);
    Some(Moment { milliseconds: minutes * 60_000 + milliseconds, offset_minutes })
}

fn digits(text: &str, length: usize) -> Option<i64> {
    (text.len() == length && text.bytes().all(|b| b.is_ascii_digit())).then(|| text.parse().ok()).flatten()
}

fn parse_seconds(text: &str) -> Option<i64> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, "0"));
    if fraction.is_empty() || !fraction.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let milliseconds: i64 = format!("{fraction:0<3}").get(..3)?.parse().ok()?;
    digits(whole, 2).filter(|s| *s <= 59).map(|s| s * 1000 + milliseconds)
}

fn parse_offset(text: &str) -> Option<i64> {
    let sign = if text.starts_with('-') { -1 } else { 1 };
    let text = text.get(1..)?;
    let (hours, minutes) = match text.split_once(':') {
        Some((hours, minutes)) => (hours, minutes),
        None if text.len() == 4 => text.split_at_checked(2)?,
        None => (text, "00"),
    };
    let (hours, minutes) = (digits(hours, 2)?, digits(minutes, 2)?);
    (hours <= 15 && minutes <= 59).then_some(sign * (hours * 60 + minutes))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seconds(text: &str) -> Option<i64> {
        parse_iso_8601(text).map(|m| m.milliseconds / 1000)
    }

    // Independent: the Unix times printed by `date -u +%s -d ...`.
    #[test]
    fn times_match_the_unix_clock() {
        assert_eq!(seconds("1970-01-01T00:00"), Some(0));
        assert_eq!(seconds("2000-02-29T12:00Z"), Some(951_825_600));
        assert_eq!(seconds("2024-03-31 05:30:15"), Some(1_711_863_015));
        assert_eq!(seconds("2024-03-31T05:30:15.250+02:00"), Some(1_711_855_815));
        assert_eq!(seconds("2024-03-31T05:59:59Z"), Some(1_711_864_799));
        // by hand: 5:30:15 is 1_711_863_015, less 5.5 h east of Greenwich, more 3.5 h west of it
        assert_eq!(seconds("2024-03-31T05:30:15+05:30"), Some(1_711_843_215));
        assert_eq!(seconds("2024-03-31T05:30:15+0530"), Some(1_711_843_215));
        assert_eq!(seconds("2024-03-31T05:30:15+05"), Some(1_711_845_015));
        assert_eq!(seconds("2024-03-31T05:30:15-03:30"), Some(1_711_875_615));
        assert_eq!(seconds("2023-12-31T24:00"), seconds("2024-01-01T00:00"));
        assert_eq!(seconds("1900-03-01T00:00"), Some(-2_203_891_200));
    }

    #[test]
    fn malformed_times_are_refused() {
        for text in [
            "",
            "2024-03-31",
            "31.03.2024 05:00",
            "2023-02-29T00:00",
            "2024-13-01T00:00",
            "2024-01-01T25:00",
            "2024-01-01T00:60",
            "2024-01-01T00",
            "2024-01-01T00:00+2",
            "2024-01-01T00:00+200",
            "2024-01-01T00:00+16:00",
            "2024-01-01T00:00+05:60",
            "2024-01-01T00:00:00.",
            "20240101T0000",
            "2024-01-01T00:00é",
        ] {
            assert_eq!(parse_iso_8601(text), None, "{text}");
        }
    }

    #[test]
    fn months_follow_the_calendar_for_four_centuries() {
        let mut day = days_since_1970(1800, 1, 1);
        for year in 1800..2200 {
            for month in 1..=12 {
                assert_eq!(day, days_since_1970(year, i64::from(month), 1));
                let length = i64::from(days_in_month(month, is_leap(year)));
                assert_eq!(month_of(day * 86_400_000), month);
                assert_eq!(month_of((day + length) * 86_400_000 - 1), month);
                day += length;
            }
        }
    }
}
