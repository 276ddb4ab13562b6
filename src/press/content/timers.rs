//! Times in the words of a step, for the timers of the work-through view: `for 8 hours`, `twelve seconds`, `3–4 min`.
//!
//! Only what is certainly a time counts: a number directly before a word for a unit, in the words of the site's language.

use crate::press::words::Words;

/// One time found in a text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::press) struct Timer {
    pub(super) seconds: u64,
    /// As it was written.
    pub(super) words: String,
}

/// A day is planned, not waited for beside a timer.
const LONGEST: u64 = 24 * 3600;

/// Units by their seconds.
const UNITS: &[(&str, f64)] = &[("time.second", 1.0), ("time.minute", 60.0), ("time.hour", 3600.0)];

fn list<'a>(words: &'a Words, key: &str) -> Vec<&'a str> {
    words.find(key).unwrap_or("").split(',').map(str::trim).collect()
}

/// A number in figures, or in words up to the ones that the language lists.
fn number(words: &Words, token: &str) -> Option<f64> {
    if let Ok(value) = token.parse::<f64>() {
        return (value.is_finite() && token.starts_with(|c: char| c.is_ascii_digit())).then_some(value);
    }
    match token {
        "½" => return Some(0.5),
        "¼" => return Some(0.25),
        "¾" => return Some(0.75),
        _ => {}
    }
    list(words, "time.numbers").iter().find_map(|pair| {
        let (word, value) = pair.split_once(' ')?;
        (word == token).then(|| value.parse().ok())?
    })
}

/// Times in a text, in order, each once. Of a range the lower end rings.
pub(in crate::press) fn timers(words: &Words, text: &str) -> Vec<Timer> {
    let spaced = text.replace('\u{a0}', " ");
    let tokens: Vec<&str> = spaced.split_whitespace().collect();
    let bare = |t: &str| t.trim_matches(|c: char| !c.is_alphanumeric() && !"½¼¾".contains(c)).to_lowercase();
    let mut found: Vec<Timer> = Vec::new();
    for (i, token) in tokens.iter().enumerate() {
        // `90s` and `10min` are one token.
        let plain = bare(token);
        let split = plain.find(|c: char| c.is_alphabetic()).filter(|at| *at > 0);
        let (amount, unit) = match split {
            Some(at) => (plain[..at].to_owned(), plain[at..].to_owned()),
            // A sentence may end between a number and the next word.
            None if token.ends_with(['.', ';', ':']) => continue,
            None => match tokens.get(i + 1) {
                Some(next) => (plain, bare(next)),
                None => continue,
            },
        };
        let Some(seconds) = UNITS.iter().find_map(|(key, s)| list(words, key).contains(&unit.as_str()).then_some(*s))
        else {
            continue;
        };
        let low = amount.split(['–', '-']).next().unwrap_or("");
        let Some(value) = number(words, low).filter(|v| *v > 0.0) else { continue };
        // `half an hour`
        let halved = value == 1.0 && i > 0 && number(words, &bare(tokens[i - 1])) == Some(0.5);
        let value = if halved { 0.5 } else { value };
        let seconds = libm::round(value * seconds) as u64;
        let shown = if split.is_some() { trimmed(token) } else { trimmed(&format!("{token} {}", tokens[i + 1])) };
        if (1..=LONGEST).contains(&seconds) && !found.iter().any(|t| t.seconds == seconds) {
            found.push(Timer { seconds, words: shown });
        }
    }
    found
}

fn trimmed(text: &str) -> String {
    text.trim_matches(|c: char| !c.is_alphanumeric() && !"½¼¾".contains(c)).to_owned()
}

/// Timers as the page carries them: `28800;8 hours|12;twelve seconds`.
pub(in crate::press) fn written(timers: &[Timer]) -> Option<String> {
    let clean = |t: &str| t.replace(['|', ';'], " ");
    let list: Vec<String> = timers.iter().map(|t| format!("{};{}", t.seconds, clean(&t.words))).collect();
    (!list.is_empty()).then(|| list.join("|"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(text: &str) -> Vec<(u64, String)> {
        let folder = tempfile::tempdir().unwrap();
        let (notes, _) = crate::notebook::read(folder.path());
        let words = crate::press::words::words(&notes, crate::press::words::Of::Site).unwrap().0;
        timers(&words, text).into_iter().map(|t| (t.seconds, t.words)).collect()
    }

    #[test]
    fn times_are_found_in_figures_and_words() {
        for (text, seconds) in [
            ("Shake hard for twelve seconds.", vec![12]),
            ("Drip for 8 hours, then chill 4 h.", vec![28_800, 14_400]),
            ("Steep 3–4 minutes.", vec![180]),
            ("Heat 90s, rest 10 min.", vec![90, 600]),
            ("Leave it for one hour; an hour is enough.", vec![3600]),
            ("Half an hour, or ½ hour.", vec![1800]),
            ("Keep for 7 days. Add 2 limes.", vec![]),
            ("Pour 3. Minutes later serve.", vec![]),
            ("It takes 48 hours.", vec![]),
        ] {
            let got: Vec<u64> = found(text).into_iter().map(|(s, _)| s).collect();
            assert_eq!(got, seconds, "{text}");
        }
        assert_eq!(found("wait 8 hours.")[0].1, "8 hours");
    }
}
