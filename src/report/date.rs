//! Today's date.

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
}
