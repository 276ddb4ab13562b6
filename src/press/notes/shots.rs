//! The shot list: what to film, in the order in which it happens, from steps and processes.

use super::data;
use super::gather::and;
use crate::measure::show;
use crate::notebook::process_line::ParameterValue;
use crate::press::words::Words;
use crate::process::Process;
use crate::recipe::run::Computed;

/// Waiting of this many hours or more is filmed at its start and its end.
const LONG: f64 = 0.25;

/// How a process is best seen and heard (common practice, no source), by the key of the words.
fn how(process: Process) -> &'static str {
    match process {
        Process::Stir => "shot.spoon",
        Process::Shake | Process::DryShake => "shot.shake",
        Process::Throw | Process::Roll => "shot.arc",
        Process::Swizzle => "shot.frost",
        Process::Blend => "shot.jug",
        Process::Muddle => "shot.above",
        Process::Smoke => "shot.smoke",
        Process::Flame => "shot.flame",
        Process::MilkClarify => "shot.curdle",
        Process::Clarify | Process::Strain | Process::Filter => "shot.clear",
        Process::Infuse => "shot.colour",
        Process::FatWash => "shot.fat",
        Process::Ferment => "shot.daily",
        Process::Heat | Process::Pasteurise | Process::HotFill => "shot.thermometer",
        Process::AcidAdjust => "shot.figures",
        Process::Carbonate => "shot.gauge",
        Process::Charge => "shot.nozzle",
        Process::Bottle => "shot.row",
        Process::Juice | Process::Peel => "shot.fruit",
        Process::Water => "shot.mark",
        Process::Rest | Process::Age | Process::Chill | Process::Freeze | Process::Thaw => "shot.before_after",
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
pub(super) fn shots(computed: &Computed, recipe: usize, steps: &[data::Step], words: &Words) -> Vec<data::Shot> {
    let note = &computed.graph.notes.recipes[recipe];
    let node = &computed.graph.nodes[recipe];
    let mut list: Vec<(String, String)> = Vec::new();
    let name = note.name.value.as_str();
    let garnish = note.serve.garnish.as_ref().filter(|g| g.value != "none");
    let finished = match &note.serve.glass {
        Some(glass) => words.with("shot.finished_in", &[("name", name), ("glass", &glass.value)]),
        None => words.with("shot.finished", &[("name", name)]),
    };
    list.push((finished.clone(), words.say("shot.still")));
    let names: Vec<String> = node.mix.iter().flatten().map(|p| p.name.clone()).collect();
    if !names.is_empty() {
        list.push((words.with("shot.laid_out", &[("names", &and(words, &names))]), words.say("shot.laid_out_how")));
    }
    list.extend(steps.iter().map(|s| {
        let what = words.with("shot.step", &[("n", &s.number.to_string()), ("step", &s.short)]);
        (what, words.say("shot.step_how"))
    }));
    for line in &note.process {
        let process = words.phrase(line.process.name()).replace('-', " ");
        let (hours, how) = (hours(line), words.say(how(line.process)));
        let how = match hours >= LONG {
            true => words.with("shot.wait", &[("how", &how), ("time", &show::hours(hours))]),
            false => how,
        };
        list.push((words.with("shot.detail", &[("process", &process)]), how));
    }
    if let Some(garnish) = garnish {
        list.push((words.with("shot.garnish", &[("garnish", &garnish.value)]), words.say("shot.garnish_how")));
    }
    list.push((finished, words.say("shot.tasted")));
    list.into_iter().zip(1..).map(|((what, how), number)| data::Shot { number, what, how }).collect()
}
