//! What every process takes and gives: arguments in, an outcome or a finding out.

use std::collections::BTreeMap;

use super::{
    Gravity, Process, acid_adjust, blend, bottle, carbonate, charge, clarify, fat_wash, ferment, freeze, handled, heat,
    infuse, milk_clarify, over_ice, press_fruit, rest, strain, thaw, water,
};
use crate::mixture::Mixture;
use crate::problem::{Code, Severity};

/// Something that a process adds: milk, tea, ice.
#[derive(Debug, Clone, PartialEq)]
pub struct Added {
    /// Its name, for messages.
    pub name: String,
    /// As much of it as the line says.
    pub mixture: Mixture,
}

/// Fruit that is pressed or peeled.
#[derive(Debug, Clone, PartialEq)]
pub struct Fruit {
    /// Its name.
    pub name: String,
    /// Mass of the whole fruit, g.
    pub grams: f64,
    /// Whole fruit as it would go into a mixture.
    pub whole: Mixture,
    /// Share of the mass that becomes the product by the pantry's yields, 0 to 1; `None` where nobody stated it.
    pub share: Option<f64>,
    /// What the product is made of: any amount of it; `None` where the pantry does not know the product.
    pub product: Option<Mixture>,
    /// Its parts, as shares of the whole by mass.
    pub parts: Vec<(String, f64)>,
}

/// The value of a parameter with every name resolved.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// Percent, as a number from 0.
    Percent(f64),
    /// °C.
    Celsius(f64),
    /// Hours.
    Hours(f64),
    /// Millilitres.
    Millilitres(f64),
    /// Grams.
    Grams(f64),
    /// % vol.
    Strength(f64),
    /// Things that go in.
    Added(Vec<Added>),
    /// Fruit.
    Fruit(Vec<Fruit>),
    /// A gravity.
    Gravity(Gravity),
    /// A number.
    Number(f64),
    /// A word of the parameter's list.
    Word(&'static str),
    /// Another liquid to be like; its name and any amount of it.
    Like(Added),
    /// Things in shares; each any amount of it.
    Shares(Vec<(Added, f64)>),
}

/// The parameters of one process line.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Args {
    /// Values by key.
    pub values: BTreeMap<&'static str, Value>,
}

macro_rules! getters {
    ($($(#[$doc:meta])* $name:ident $variant:ident $type:ty;)*) => {
        impl Args {
            $($(#[$doc])*
            #[must_use]
            pub fn $name(&self, key: &str) -> Option<$type> {
                match self.values.get(key) {
                    Some(Value::$variant(value)) => Some((*value).into()),
                    _ => None,
                }
            })*
        }
    };
}

getters! {
    /// A share in percent.
    percent Percent f64;
    /// A temperature in °C.
    celsius Celsius f64;
    /// A time in hours.
    hours Hours f64;
    /// A volume in ml.
    millilitres Millilitres f64;
    /// A mass in g.
    grams Grams f64;
    /// A strength in % vol.
    strength Strength f64;
    /// A number.
    number Number f64;
    /// A word.
    word Word &'static str;
    /// A gravity.
    gravity Gravity Gravity;
}

impl Args {
    /// Whether a parameter was written.
    #[must_use]
    pub fn has(&self, key: &str) -> bool {
        self.values.contains_key(key)
    }

    /// Things that go in; empty where the parameter is absent.
    #[must_use]
    pub fn added(&self, key: &str) -> &[Added] {
        match self.values.get(key) {
            Some(Value::Added(list)) => list,
            _ => &[],
        }
    }

    /// Fruit; empty where there is none.
    #[must_use]
    pub fn fruit(&self, key: &str) -> &[Fruit] {
        match self.values.get(key) {
            Some(Value::Fruit(list)) => list,
            _ => &[],
        }
    }

    /// Another liquid to be like.
    #[must_use]
    pub fn like(&self, key: &str) -> Option<&Added> {
        match self.values.get(key) {
            Some(Value::Like(added)) => Some(added),
            _ => None,
        }
    }

    /// Things in shares.
    #[must_use]
    pub fn shares(&self, key: &str) -> &[(Added, f64)] {
        match self.values.get(key) {
            Some(Value::Shares(list)) => list,
            _ => &[],
        }
    }
}

/// Settings of the house that processes fall back on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bar {
    /// Room, °C.
    pub room_c: f64,
    /// Ice, °C.
    pub ice_c: f64,
    /// Fridge, °C.
    pub fridge_c: f64,
    /// Freezer, °C.
    pub freezer_c: f64,
    /// Share of a bottle left empty, 0 to 1.
    pub headspace: f64,
}

/// Something that left the mixture, or came into it by the process itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Removed {
    /// What it is: `curds`, `water evaporated`, `carbon dioxide`, `water from ice`.
    pub what: String,
    /// Its mass, g.
    pub grams: f64,
}

/// Something that should be said, at the process or at one of its parameters.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Which problem.
    pub code: Code,
    /// Its weight, where it is not the code's own.
    pub severity: Option<Severity>,
    /// The parameter that it is about; `None` is the process itself.
    pub parameter: Option<&'static str>,
    /// The fact.
    pub message: String,
    /// How to mend it.
    pub help: String,
    /// The hazard that it shows, by the name of the safety rule: such a finding can be answered for.
    pub hazard: Option<&'static str>,
}

impl Finding {
    /// A finding about a parameter.
    #[must_use]
    pub fn at(parameter: &'static str, code: Code, message: impl Into<String>, help: impl Into<String>) -> Self {
        Self {
            code,
            severity: None,
            parameter: Some(parameter),
            message: message.into(),
            help: help.into(),
            hazard: None,
        }
    }

    /// A finding about the process as a whole.
    #[must_use]
    pub fn new(code: Code, message: impl Into<String>, help: impl Into<String>) -> Self {
        Self { code, severity: None, parameter: None, message: message.into(), help: help.into(), hazard: None }
    }

    /// The same finding as a hazard that the safety rules know.
    #[must_use]
    pub fn hazard(mut self, rule: &'static str) -> Self {
        self.hazard = Some(rule);
        self
    }

    /// The same finding with another weight.
    #[must_use]
    pub fn severity(mut self, severity: Severity) -> Self {
        self.severity = Some(severity);
        self
    }
}

/// What a process did.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The mixture after it.
    pub mixture: Mixture,
    /// Water added, as % of the volume **before**.
    pub dilution_pct: Option<f64>,
    /// Gauge pressure at the stage's temperature, bar.
    pub gauge_bar: Option<f64>,
    /// What the process itself put in: water from ice, gas from a cartridge, milk.
    pub added: Vec<Removed>,
    /// What left. The masses of the mixture before and of `added` equal those of the mixture after and of `removed`.
    pub removed: Vec<Removed>,
    /// What the page says beside the stage: which relation spoke, with what error, what else it would have said.
    /// Each is one sentence without a full stop.
    pub remarks: Vec<String>,
    /// Short citations of the relations used.
    pub sources: Vec<&'static str>,
    /// Foam volume over liquid volume, for a charged siphon.
    pub overrun: Option<f64>,
    /// What is said beside it that does not stop the process.
    pub findings: Vec<Finding>,
    /// Most that a closed bottle would come to hold in a room, bar above the atmosphere, where gas is or would be in it.
    pub builds_bar: Option<f64>,
}

impl Outcome {
    /// An outcome that is only a mixture.
    #[must_use]
    pub fn of(mixture: Mixture) -> Self {
        Self {
            mixture,
            dilution_pct: None,
            gauge_bar: None,
            added: Vec::new(),
            removed: Vec::new(),
            remarks: Vec::new(),
            sources: Vec::new(),
            overrun: None,
            findings: Vec::new(),
            builds_bar: None,
        }
    }
}

/// Runs a process on a mixture. `done` are the processes before it, oldest first.
///
/// # Errors
/// A [`Finding`] where the process cannot be done as asked; the stage then has no mixture.
pub fn run(process: Process, before: &Mixture, args: &Args, bar: &Bar, done: &[Process]) -> Result<Outcome, Finding> {
    let how = match process {
        Process::Stir => over_ice::stir,
        Process::Shake => over_ice::shake,
        Process::Throw => over_ice::throw,
        Process::Swizzle => over_ice::swizzle,
        Process::Blend => blend::run,
        Process::DryShake => handled::dry_shake,
        Process::Roll => handled::roll,
        Process::Muddle => handled::muddle,
        Process::Smoke => handled::smoke,
        Process::Flame => handled::flame,
        Process::Rest => rest::rest,
        Process::Age => rest::age,
        Process::Chill => rest::chill,
        Process::Freeze => freeze::run,
        Process::Thaw => thaw::run,
        Process::Water => water::run,
        Process::MilkClarify => milk_clarify::run,
        Process::Clarify => clarify::run,
        Process::Strain | Process::Filter => strain::run,
        Process::Infuse => infuse::run,
        Process::FatWash => fat_wash::run,
        Process::Ferment => ferment::run,
        Process::Heat => heat::heat,
        Process::Pasteurise => heat::pasteurise,
        Process::HotFill => heat::hot_fill,
        Process::AcidAdjust => acid_adjust::run,
        Process::Carbonate => carbonate::run,
        Process::Charge => charge::run,
        Process::Bottle => bottle::run,
        Process::Juice => press_fruit::juice,
        Process::Peel => press_fruit::peel,
    };
    how(before, args, bar, done)
}
