//! The shot list: what to film, in the order in which it happens, from steps and processes.

use super::data;
use super::gather::and;
use crate::measure::show;
use crate::notebook::process_line::ParameterValue;
use crate::process::Process;
use crate::recipe::run::Computed;

/// Waiting of this many hours or more is filmed at its start and its end.
const LONG: f64 = 0.25;

/// How a process is best seen and heard (common practice, no source).
fn how(process: Process) -> &'static str {
    match process {
        Process::Stir => "close on the spoon, with its sound",
        Process::Shake | Process::DryShake => "from the front, chest to head, with the sound of the ice changing",
        Process::Throw | Process::Roll => "wide enough for the whole arc, against a plain ground",
        Process::Swizzle => "close on the frost as it climbs",
        Process::Blend => "close through the jug; the note of the motor",
        Process::Muddle => "from above, hands in the frame",
        Process::Smoke => "against a dark ground, lit from behind",
        Process::Flame => "dark, close, one take; a lid and water at hand",
        Process::MilkClarify => "close on the moment it curdles, then the first clear drop",
        Process::Clarify | Process::Strain | Process::Filter => "cloudy going in and clear coming out, side by side",
        Process::Infuse => "the colour at the start and at the end, same light",
        Process::FatWash => "the fat set hard, lifted off in one piece",
        Process::Ferment => "one frame a day from the same place",
        Process::Heat | Process::Pasteurise | Process::HotFill => "close on the thermometer, then the pan",
        Process::AcidAdjust => "the scale's figures, readable",
        Process::Carbonate => "the gauge, then bubbles against a dark ground",
        Process::Charge => "the cartridge going in, then foam leaving the nozzle",
        Process::Bottle => "a row filling, labels to the front",
        Process::Juice | Process::Peel => "whole fruit, hands, and what is left over",
        Process::Water => "the mark on the jug, at eye level",
        Process::Rest | Process::Age | Process::Chill | Process::Freeze | Process::Thaw => {
            "the same frame before and after"
        }
    }
}

fn hours(line: &crate::notebook::process_line::ProcessLine) -> f64 {
    line.parameters
        .iter()
        .map(|(_, _, value)| match value {
            ParameterValue::Time(hours) => *hours,
            _ => 0.0,
        })
        .sum()
}

/// The shots of a recipe.
pub(super) fn shots(computed: &Computed, recipe: usize, steps: &[data::Step]) -> Vec<data::Shot> {
    let note = &computed.graph.notes.recipes[recipe];
    let node = &computed.graph.nodes[recipe];
    let mut list: Vec<(String, String)> = Vec::new();
    let glass = note.serve.glass.as_ref().map_or_else(String::new, |g| format!(" in its {}", g.value));
    let garnish = note.serve.garnish.as_ref().filter(|g| g.value != "none");
    let finished = format!("{}, finished{glass}", note.name.value);
    list.push((finished.clone(), "still, for the opening and the picture".into()));
    let names: Vec<String> = node.mix.iter().flatten().map(|p| p.name.clone()).collect();
    if !names.is_empty() {
        list.push((format!("Everything laid out: {}", and(&names)), "from above, labels out of the frame".into()));
    }
    list.extend(steps.iter().map(|s| (format!("Step {}: {}", s.number, s.short), "hands and work, one take".into())));
    for line in &note.process {
        let name = line.process.name().replace('-', " ");
        let hours = hours(line);
        let wait = if hours >= LONG {
            format!("; {} pass, so film the first minute and the last", show::hours(hours))
        } else {
            String::new()
        };
        list.push((format!("Detail: {name}"), format!("{}{wait}", how(line.process))));
    }
    if let Some(garnish) = garnish {
        list.push((format!("Garnish: {}", garnish.value), "close, at the height of the glass".into()));
    }
    list.push((finished, "picked up and tasted; hold for the end card".into()));
    list.into_iter().zip(1..).map(|((what, how), number)| data::Shot { number, what, how }).collect()
}
