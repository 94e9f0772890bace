//! The time, and how long ago something was, in words.

use ophryon_agreement::When;
use ophryon_record::Day;

/// Milliseconds since 1970.
pub fn now_ms() -> f64 {
    js_sys::Date::now()
}

/// "just now", "12 minutes ago", "yesterday", "9 days ago".
pub fn ago(then_ms: f64, now_ms: f64) -> String {
    let minutes = ((now_ms - then_ms) / 60_000.0).floor();
    let some = |count: f64, one: &str| {
        let plural = if count == 1.0 { "" } else { "s" };
        format!("{count:.0} {one}{plural} ago")
    };
    // A clock set back must not show a client from the future.
    if minutes.is_nan() || minutes < 1.0 {
        "just now".to_owned()
    } else if minutes < 60.0 {
        some(minutes, "minute")
    } else if minutes < 24.0 * 60.0 {
        some((minutes / 60.0).floor(), "hour")
    } else if minutes < 48.0 * 60.0 {
        "yesterday".to_owned()
    } else {
        some((minutes / (24.0 * 60.0)).floor(), "day")
    }
}

/// "24 November 2026, 09:41", by the clock on the wall and as papers have it.
pub fn date(ms: f64) -> String {
    format!("{}, {}", day_in_words(ms), time(ms, 5))
}

/// "24 November 2026, 09:41:06", where minutes don't tell two times apart.
pub fn exact_date(ms: f64) -> String {
    format!("{}, {}", day_in_words(ms), time(ms, 8))
}

/// "24 November 2026".
pub fn day_in_words(ms: f64) -> String {
    day(ms).map_or_else(String::new, Day::in_words)
}

/// So many letters of "09:41:06".
fn time(ms: f64, letters: usize) -> String {
    // The standard fixes how a time is written (ECMA-262, TimeString):
    // "09:41:06 GMT".
    let text = String::from(js_sys::Date::new(&ms.into()).to_time_string());
    text.get(..letters).unwrap_or_default().to_owned()
}

/// The day of a moment, by the clock on the wall; `None` where that shows no
/// year of ours.
pub fn day(ms: f64) -> Option<Day> {
    let at = js_sys::Date::new(&ms.into());
    let (year, month, day) = (at.get_full_year(), at.get_month() + 1, at.get_date());
    format!("{year:04}-{month:02}-{day:02}").parse().ok()
}

/// Today, by the clock on the wall.
pub fn today() -> Option<Day> {
    day(now_ms())
}

/// This moment, by the clock on the wall and with its distance from UTC.
pub fn moment() -> Option<When> {
    let now = js_sys::Date::new_0();
    let day = today()?;
    let clock = [now.get_hours(), now.get_minutes(), now.get_seconds()];
    rfc3339(day, clock, -now.get_timezone_offset()).parse().ok()
}

/// A time as RFC 3339 writes it, section 5.6; `ahead` of UTC by so many
/// minutes.
fn rfc3339(day: Day, [hours, minutes, seconds]: [u32; 3], ahead: f64) -> String {
    let (sign, off) = if ahead < 0.0 {
        ('-', -ahead)
    } else {
        ('+', ahead)
    };
    // Zones of history are off by seconds; RFC 3339 has minutes only.
    let off = off.round() as u32;
    format!(
        "{day}T{hours:02}:{minutes:02}:{seconds:02}{sign}{:02}:{:02}",
        off / 60,
        off % 60
    )
}

/// Asks the browser to keep what is stored for good; it may say no.
pub async fn ask_to_keep() {
    if let Some(window) = web_sys::window()
        && let Ok(answer) = window.navigator().storage().persist()
    {
        // Refusal changes nothing: the store works, and files can be saved.
        let _ = wasm_bindgen_futures::JsFuture::from(answer).await;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_said_as_people_say_them() {
        const MINUTE: f64 = 60_000.0;
        for (minutes, words) in [
            (-5.0, "just now"),
            (0.5, "just now"),
            (1.0, "1 minute ago"),
            (59.9, "59 minutes ago"),
            (61.0, "1 hour ago"),
            (1500.0, "yesterday"),
            (4400.0, "3 days ago"),
        ] {
            assert_eq!(ago(0.0, minutes * MINUTE), words);
        }
    }

    #[test]
    fn a_moment_is_written_as_others_read_it() {
        let day: Day = "1996-12-19".parse().expect("a day");
        // RFC 3339, section 5.8: "1996-12-19T16:39:57-08:00".
        assert_eq!(
            rfc3339(day, [16, 39, 57], -480.0),
            "1996-12-19T16:39:57-08:00"
        );
        assert_eq!(rfc3339(day, [0, 0, 0], 345.0), "1996-12-19T00:00:00+05:45");
        let written = rfc3339(day, [7, 5, 0], 0.0);
        assert!(written.parse::<When>().is_ok(), "{written}");
    }
}
