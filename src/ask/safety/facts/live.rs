//! Whether something in a recipe goes on working after it is made.

use std::collections::{BTreeMap, BTreeSet};

use super::figures::celsius_of;
use super::{Facts, Place};
use crate::notebook::pour::Role;
use crate::process::Process;
use crate::recipe::names::Target;

/// Strength from which a live culture is taken to be stopped, % vol. A project threshold.
const STOPS_CULTURE_ABV: f64 = 20.0;
/// Heat from which a live culture is taken to be stopped, °C. A project threshold.
const STOPS_CULTURE_C: f64 = 72.0;

impl<'a> Facts<'a> {
    /// Whether something in it goes on working, and through which lines that came in.
    pub(super) fn is_live(&self, others: &BTreeMap<usize, Facts<'a>>) -> (bool, BTreeSet<Place>) {
        // The last line from which something goes on working: -1 is the mix, the number of lines is the glass.
        let steps = self.node().process.len();
        let mut last: Option<isize> = None;
        let mut working = BTreeSet::new();
        let mut started = |at: isize| last = last.max(Some(at));
        let after = |place: Place| match place {
            Place::Process(i) => i as isize,
            Place::Finish(_) | Place::Garnish => steps as isize,
            Place::Pour(i) if self.note().mix.get(i).is_some_and(|l| l.role != Role::Mix) => steps as isize,
            _ => -1,
        };
        for (place, target) in self.parts() {
            let live = match target {
                Target::Ingredient(i) => self.tags_of(i).contains("live-culture"),
                Target::Recipe(used) => others.get(&used).is_some_and(|o| o.live),
            };
            if live {
                working.insert(place);
                started(after(place));
            }
        }
        if self.note().tags.iter().any(|t| t.value == "live-culture") {
            started(-1);
        }
        for (i, step) in self.node().process.iter().enumerate() {
            if step.line.process == Process::Ferment {
                started(i as isize);
            }
        }
        let Some(last) = last else { return (false, working) };
        let stopped = self.node().process.iter().enumerate().any(|(i, step)| {
            i as isize > last
                && match step.line.process {
                    Process::Pasteurise | Process::HotFill => true,
                    Process::Heat => celsius_of(step, "to").is_some_and(|c| c >= STOPS_CULTURE_C),
                    _ => false,
                }
        });
        let strong = self.made().last().mixture.figure_abv().is_ok_and(|abv| abv >= STOPS_CULTURE_ABV);
        (!stopped && !strong, working)
    }
}
