//! Times in a film: as people read them, as ISO 8601 durations, as WebVTT.

/// `2:20`, `1:02:03`.
#[must_use]
pub fn clock(seconds: u32) -> String {
    let (h, m, s) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    if h > 0 { format!("{h}:{m:02}:{s:02}") } else { format!("{m}:{s:02}") }
}

/// An ISO 8601 duration: `PT2M20S`, `P1DT2H`.
#[must_use]
pub fn duration(seconds: u64) -> String {
    let days = seconds / 86_400;
    let mut date = String::from("P");
    if days > 0 {
        date.push_str(&format!("{days}D"));
    }
    let mut time = String::new();
    for (n, unit) in [(seconds / 3600 % 24, 'H'), (seconds / 60 % 60, 'M'), (seconds % 60, 'S')] {
        if n > 0 {
            time.push_str(&format!("{n}{unit}"));
        }
    }
    match (days, time.is_empty()) {
        (0, true) => "PT0S".into(),
        (_, true) => date,
        (_, false) => format!("{date}T{time}"),
    }
}

/// A WebVTT timestamp: `00:02:20.000`.
#[must_use]
pub fn timestamp(milliseconds: u64) -> String {
    let seconds = milliseconds / 1000;
    format!("{:02}:{:02}:{:02}.{:03}", seconds / 3600, seconds / 60 % 60, seconds % 60, milliseconds % 1000)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_in_each_form() {
        assert_eq!((clock(0), clock(140), clock(36_000)), ("0:00".into(), "2:20".into(), "10:00:00".into()));
        assert_eq!((duration(0), duration(140)), ("PT0S".into(), "PT2M20S".into()));
        assert_eq!((duration(93_600), duration(172_800)), ("P1DT2H".into(), "P2D".into()));
        assert_eq!(timestamp(36_000_500), "10:00:00.500");
    }
}
