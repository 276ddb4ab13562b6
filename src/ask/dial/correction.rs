//! The correction list: what the bartender does now, in one sentence.

use super::PourAnswer;
use super::target::{read_at, volume_at};
use crate::measure::show;
use crate::recipe::run::Made;

/// `add 38 ml lime juice, 12 ml honey syrup; batch becomes 1.05 l, 14.2 % vol`.
pub fn sentence(pours: &[PourAnswer], made: &Made) -> String {
    let list = |sign: f64| {
        let part = |p: &PourAnswer| {
            let change = p.add.amount? * sign;
            (change > 0.0 && p.changes()).then(|| format!("{} {} {}", show::amount(change), p.add.unit, p.name))
        };
        pours.iter().filter_map(part).collect::<Vec<_>>().join(", ")
    };
    let (more, less) = (list(1.0), list(-1.0));
    let mut parts = Vec::new();
    if !more.is_empty() {
        parts.push(format!("add {more}"));
    }
    if !less.is_empty() {
        parts.push(format!("leave out {less}"));
    }
    let changed = !parts.is_empty();
    if !changed {
        parts.push("change nothing".into());
    }
    let batch = &volume_at(made).mixture;
    let volume = batch.figure_volume().map(show::volume);
    // A strength of nothing is not worth a word.
    let strength = read_at(made).mixture.figure_abv().ok().filter(|v| *v >= 0.05);
    let strength = strength.map(|v| format!("{} % vol", show::strength(v)));
    let figures: Vec<String> = volume.ok().into_iter().chain(strength).collect();
    if !figures.is_empty() {
        parts.push(format!("batch {} {}", if changed { "becomes" } else { "is" }, figures.join(", ")));
    }
    parts.join("; ")
}
