//! Today's date, and dates that were written.

use std::time::{SystemTime, UNIX_EPOCH};

/// Today in UTC, for example 2026-11-27; empty where the clock stands before 1970.
pub fn today() -> String {
    let Ok(since) = SystemTime::now().duration_since(UNIX_EPOCH) else { return String::new() };
    date_of(since.as_secs() / 86_400)
}

/// The Gregorian date so many days after 1970-01-01: years are counted from March, so that the leap day comes last.
fn date_of(days_since_1970: u64) -> String {
    // days from 0000-03-01; 400 years have 146 097 days
    let days = days_since_1970 + 719_468;
    let (era, day) = (days / 146_097, days % 146_097);
    let year = (day - day / 1_460 + day / 36_524 - day / 146_096) / 365;
    let day = day - (365 * year + year / 4 - year / 100);
    let from_march = (5 * day + 2) / 153;
    let day = day - (153 * from_march + 2) / 5 + 1;
    let month = if from_march < 10 { from_march + 3 } else { from_march - 9 };
    let year = year + era * 400 + u64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

/// A date as it was written, where the calendar has it.
#[cfg(feature = "command")]
pub(crate) fn read_date(text: &str) -> Result<String, String> {
    let numbers: Vec<Option<u64>> = text.split('-').map(|part| part.parse().ok()).collect();
    let known = match numbers[..] {
        [Some(year), Some(month @ 1..=12), Some(day @ 1..=31)] if (1970..=9999).contains(&year) => {
            // days up to the last of February of a leap year come before the one that is looked for
            let near = (year - 1970) * 365 + (month - 1) * 30 + day;
            (near.saturating_sub(2)..near + 3_000).map(date_of).any(|date| date == text)
        }
        _ => false,
    };
    if known { Ok(text.to_owned()) } else { Err("write a day of the calendar as YYYY-MM-DD".to_owned()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Days by `date -u -d DATE +%s` over 86 400.
    #[test]
    fn days_become_dates() {
        for (days, date) in [
            (0, "1970-01-01"),
            (11_016, "2000-02-29"),
            (11_017, "2000-03-01"),
            (19_782, "2024-02-29"),
            (20_088, "2024-12-31"),
            (20_784, "2026-11-27"),
            (47_540, "2100-02-28"),
            (47_541, "2100-03-01"),
        ] {
            assert_eq!(date_of(days), date);
        }
    }

    #[cfg(feature = "command")]
    #[test]
    fn only_a_day_of_the_calendar_is_a_date() {
        for day in ["2026-11-28", "2028-02-29", "1970-01-01", "2099-12-31"] {
            assert_eq!(read_date(day).unwrap(), day);
        }
        for none in ["2026-13-45", "2026-02-29", "2026-2-3", "28.11.2026", "", "2026-11", "today"] {
            assert!(read_date(none).is_err(), "{none}");
        }
    }
}
