//! Today's date: the only use of the calendar.

use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// Seconds of a day.
const DAY: u64 = 86_400;

/// Today (UTC) as `2026-11-29`; `SOURCE_DATE_EPOCH`, seconds since 1970, replaces the clock, as reproducible builds have it
/// (reproducible-builds.org).
pub fn today() -> String {
    let set = std::env::var("SOURCE_DATE_EPOCH").ok().and_then(|s| s.trim().parse().ok());
    let now = || SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or(Duration::ZERO).as_secs();
    date(set.unwrap_or_else(now) / DAY)
}

/// The date of a day counted from 1 January 1970 in the Gregorian calendar, years counted from March so that leap days come last.
fn date(days: u64) -> String {
    // Days since 1 March of the year 0; 400 years are 146,097 days.
    let since = days + 719_468;
    let (era, of_era) = (since / 146_097, since % 146_097);
    let year = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    // Months from March on have 31, 30, 31, 30, 31 days in turn: 153 in five.
    let month = (5 * of_year + 2) / 153;
    let day = of_year - (153 * month + 2) / 5 + 1;
    let (month, next) = if month < 10 { (month + 3, 0) } else { (month - 9, 1) };
    format!("{:04}-{month:02}-{day:02}", era * 400 + year + next)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Days from `date -u -d DATE +%s` of GNU coreutils over 86,400.
    #[test]
    fn days_are_dates_in_leap_years_too() {
        for (days, expected) in [
            (0, "1970-01-01"),
            (11_016, "2000-02-29"),
            (11_017, "2000-03-01"),
            (19_782, "2024-02-29"),
            (20_786, "2026-11-29"),
            (47_540, "2100-02-28"),
            (47_541, "2100-03-01"),
        ] {
            assert_eq!(date(days), expected);
        }
    }
}
