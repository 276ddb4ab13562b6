//! Figures: numbers read off a mixture, or the reasons why they cannot be known.

use std::collections::{BTreeMap, BTreeSet};

use super::{Mixture, Part, Quantity};
use crate::relation::energy::{self, Nutrients};
use crate::relation::ethanol_density::ETHANOL_DENSITY_20C;
use crate::relation::freezing::{self, Solution};
use crate::relation::standard_drink::{self, Regime};

/// Why a figure is not known: one or more reasons, each a clause that can follow "unknown, because".
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Because(pub BTreeSet<String>);

impl Because {
    /// One reason.
    #[must_use]
    pub fn one(reason: impl Into<String>) -> Self {
        Self(BTreeSet::from([reason.into()]))
    }

    /// All reasons in one line, for machines and for reasons that other reasons are built on.
    #[must_use]
    pub fn text(&self) -> String {
        self.0.iter().cloned().collect::<Vec<_>>().join("; ")
    }

    /// The reasons for somebody who reads: each once, and past four only the first three and how many more there are.
    #[must_use]
    pub fn short(&self) -> String {
        short(self.0.iter().flat_map(|reason| reason.split("; ")))
    }
}

/// Most things of one list that are said in full.
const SAID: usize = 4;

/// A list for a reader: past four only the first three and how many more there are.
fn few(list: &[&str], between: &str) -> String {
    if list.len() <= SAID {
        return list.join(between);
    }
    format!("{}{between}and {} more", list[..SAID - 1].join(between), list.len() - (SAID - 1))
}

/// Facts and the ingredient that nobody stated them of, out of `nobody stated the density or the sugar of gin`.
fn unstated(reason: &str) -> Option<(BTreeSet<&str>, &str)> {
    let (facts, name) = reason.strip_prefix("nobody stated the ")?.split_once(" of ")?;
    Some((facts.split(" or the ").collect(), name))
}

/// Reasons in one line for somebody who reads. What nobody stated is said once for all ingredients that lack the same facts, and past
/// four reasons only three are said and how many more there are.
pub fn short<'r>(reasons: impl IntoIterator<Item = &'r str>) -> String {
    let mut leads: BTreeSet<&str> = BTreeSet::new();
    let mut others: Vec<&str> = Vec::new();
    let mut lacks: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for reason in reasons {
        let (lead, plain) = reason.rsplit_once(", because ").map_or((None, reason), |(lead, why)| (Some(lead), why));
        match unstated(plain) {
            Some((facts, name)) => {
                lacks.entry(name).or_default().extend(facts);
                leads.extend(lead);
            }
            None if !others.contains(&reason) => others.push(reason),
            None => {}
        }
    }
    let mut alike: BTreeMap<BTreeSet<&str>, Vec<&str>> = BTreeMap::new();
    for (name, facts) in lacks {
        alike.entry(facts).or_default().push(name);
    }
    let stated = alike.iter().map(|(facts, names)| {
        let facts: Vec<&str> = facts.iter().copied().collect();
        let facts = match facts.as_slice() {
            [before @ .., last] if !before.is_empty() => format!("{} or {last}", before.join(", ")),
            one => one.concat(),
        };
        format!("nobody stated the {facts} of {}", few(names, ", ").replace(", and ", " and "))
    });
    let lead = match leads.len() {
        0 => String::new(),
        _ => format!("{}, because ", leads.into_iter().collect::<Vec<_>>().join(", and ")),
    };
    let clauses: Vec<String> = others
        .into_iter()
        .map(str::to_owned)
        .chain(stated.enumerate().map(|(i, clause)| if i == 0 { format!("{lead}{clause}") } else { clause }))
        .collect();
    few(&clauses.iter().map(String::as_str).collect::<Vec<_>>(), "; ")
}

/// Most other solids beside the water for which a freezing point is given: as salt, the worst of them, a twentieth
/// lowers it by 3 °C, as carbohydrate by a tenth of that (cryoscopic constant of water; a project threshold).
const MOST_SOLIDS: f64 = 0.05;

/// A number, or why there is none.
pub type Figure = Result<f64, Because>;

impl Mixture {
    fn known(&self, needs: &[Quantity]) -> Result<(), Because> {
        let reasons: BTreeSet<String> = needs.iter().filter_map(|q| self.why_unknown(*q)).flatten().cloned().collect();
        if reasons.is_empty() { Ok(()) } else { Err(Because(reasons)) }
    }

    fn per_100_ml(&self, grams: f64, quantity: Quantity) -> Figure {
        self.known(&[quantity, Quantity::Volume])?;
        let volume = self.volume_ml();
        if volume > 0.0 { Ok(grams / volume * 100.0) } else { Err(Because::one("nothing is left of it")) }
    }

    /// Volume at 20 °C, ml.
    pub fn figure_volume(&self) -> Figure {
        self.known(&[Quantity::Volume])?;
        Ok(self.volume_ml())
    }

    /// Temperature, °C.
    pub fn figure_temperature(&self) -> Figure {
        self.known(&[Quantity::Temperature])?;
        Ok(self.temperature)
    }

    /// Mass, g.
    pub fn figure_mass(&self) -> Figure {
        self.known(&[Quantity::Mass])?;
        Ok(self.mass_g())
    }

    /// Density at 20 °C, g/ml.
    pub fn figure_density(&self) -> Figure {
        self.known(&[Quantity::Mass, Quantity::Volume])?;
        let volume = self.volume_ml();
        if volume > 0.0 { Ok(self.mass_g() / volume) } else { Err(Because::one("nothing is left of it")) }
    }

    /// Ethanol, ml at 20 °C.
    pub fn figure_ethanol_ml(&self) -> Figure {
        Ok(self.figure_ethanol()? / (ETHANOL_DENSITY_20C / 1000.0))
    }

    /// Ethanol, g.
    pub fn figure_ethanol(&self) -> Figure {
        self.known(&[Quantity::Ethanol])?;
        Ok(self.grams(Part::Ethanol))
    }

    /// Alcoholic strength by volume at 20 °C, % vol.
    pub fn figure_abv(&self) -> Figure {
        Ok(self.per_100_ml(self.grams(Part::Ethanol), Quantity::Ethanol)? / (ETHANOL_DENSITY_20C / 1000.0))
    }

    /// Alcoholic strength by mass, %.
    pub fn figure_abw(&self) -> Figure {
        self.known(&[Quantity::Ethanol, Quantity::Mass])?;
        let mass = self.mass_g();
        if mass > 0.0 {
            Ok(self.grams(Part::Ethanol) / mass * 100.0)
        } else {
            Err(Because::one("nothing is left of it"))
        }
    }

    /// Sugar, g.
    pub fn figure_sugar(&self) -> Figure {
        self.known(&[Quantity::Sugar])?;
        Ok(self.grams(Part::Sugar))
    }

    /// Sugar, g/100 ml.
    pub fn figure_sugar_per_100ml(&self) -> Figure {
        self.per_100_ml(self.grams(Part::Sugar), Quantity::Sugar)
    }

    /// Dissolved sugar as a share of the mass, °Bx.
    pub fn figure_brix(&self) -> Figure {
        self.known(&[Quantity::Sugar, Quantity::Mass])?;
        let mass = self.mass_g();
        if mass > 0.0 { Ok(self.grams(Part::Sugar) / mass * 100.0) } else { Err(Because::one("nothing is left of it")) }
    }

    /// Titratable acid as anhydrous citric acid, g/100 ml.
    pub fn figure_acid_per_100ml(&self) -> Figure {
        self.per_100_ml(self.grams(Part::Acid), Quantity::Acid)
    }

    /// Sugar over acid by mass.
    pub fn figure_sugar_to_acid(&self) -> Figure {
        self.known(&[Quantity::Sugar, Quantity::Acid])?;
        let acid = self.grams(Part::Acid);
        if acid > 0.0 { Ok(self.grams(Part::Sugar) / acid) } else { Err(Because::one("it holds no acid")) }
    }

    /// Sweetness as sucrose, g/100 ml.
    pub fn figure_sweetness(&self) -> Figure {
        self.per_100_ml(self.sweet_g, Quantity::Sugar)
    }

    /// Energy in kJ and in kcal, each by its own factors.
    pub fn figure_energy(&self) -> Result<(f64, f64), Because> {
        self.known(&[Quantity::Ethanol, Quantity::Sugar, Quantity::Acid, Quantity::Fat, Quantity::Protein])?;
        let nutrients = Nutrients {
            carbohydrate: self.grams(Part::Sugar),
            protein: self.grams(Part::Protein),
            fat: self.grams(Part::Fat),
            ethanol: self.grams(Part::Ethanol),
            organic_acids: self.grams(Part::Acid),
            ..Nutrients::default()
        };
        let fail = |e: crate::relation::OutOfRange| Because::one(e.to_string());
        Ok((energy::kilojoules(&nutrients).map_err(fail)?, energy::kilocalories(&nutrients).map_err(fail)?))
    }

    /// What freezes in it, for the freezing relation.
    #[must_use]
    pub fn solution(&self) -> Solution {
        Solution {
            water: self.grams(Part::Water).max(0.0),
            ethanol: self.grams(Part::Ethanol).max(0.0),
            sugar: self.grams(Part::Sugar).max(0.0),
            acid: self.grams(Part::Acid).max(0.0),
        }
    }

    /// Temperature at which its first ice forms, °C.
    pub fn figure_freezing(&self) -> Figure {
        self.known(&[Quantity::Ethanol, Quantity::Sugar, Quantity::Acid, Quantity::Mass])?;
        if self.grams(Part::Water) <= 0.0 {
            return Err(Because::one("it holds no water"));
        }
        if self.grams(Part::Solids) > MOST_SOLIDS * self.grams(Part::Water) {
            return Err(Because::one(
                "its salt or other solids lower it too, and the relation used here is of alcohol, sugar and acid",
            ));
        }
        freezing::mixture(&self.solution()).map_err(|e| Because::one(e.to_string()))
    }

    /// Share of its mass that is ice, %.
    pub fn figure_ice(&self) -> Figure {
        self.known(&[Quantity::Mass])?;
        let mass = self.mass_g();
        if mass > 0.0 { Ok(self.ice_g / mass * 100.0) } else { Err(Because::one("nothing is left of it")) }
    }

    /// Standard drinks of a regime.
    pub fn figure_standard_drinks(&self, regime: &Regime) -> Figure {
        standard_drink::drinks(regime, self.figure_ethanol_ml()?).map_err(|e| Because::one(e.to_string()))
    }

    /// Proof of the United States (twice the % vol) and of the United Kingdom until 1980 (7/4 of it).
    pub fn figure_proof(&self) -> Result<(f64, f64), Because> {
        let q = self.figure_abv()? / 100.0;
        let fail = |e: crate::relation::OutOfRange| Because::one(e.to_string());
        Ok((standard_drink::proof_us(q).map_err(fail)?, standard_drink::proof_uk(q).map_err(fail)?))
    }

    /// Dissolved CO₂ in volumes: litres of gas at 0 °C and 1 atm per litre of liquid (1.977 g/l is one volume).
    pub fn figure_co2_volumes(&self) -> Figure {
        self.known(&[Quantity::Volume])?;
        let litres = self.volume_ml() / 1000.0;
        if litres > 0.0 {
            Ok(self.grams(Part::Co2) / litres / 1.977)
        } else {
            Err(Because::one("nothing is left of it"))
        }
    }

    /// Sulphites, mg/l.
    pub fn figure_sulphites(&self) -> Figure {
        self.known(&[Quantity::Sulphites, Quantity::Volume])?;
        Ok(self.sulphites_mg / (self.volume_ml() / 1000.0))
    }

    /// Caffeine, mg/l.
    pub fn figure_caffeine(&self) -> Figure {
        self.known(&[Quantity::Caffeine, Quantity::Volume])?;
        Ok(self.caffeine_mg / (self.volume_ml() / 1000.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_reasons_are_cut_for_a_reader_and_kept_for_a_machine() {
        let few = Because((0..4).map(|i| format!("reason {i}")).collect());
        assert_eq!(few.short(), few.text());
        let many = Because((0..9).map(|i| format!("reason {i}")).collect());
        assert_eq!(many.short(), "reason 0; reason 1; reason 2; and 6 more");
        assert_eq!(many.text().split("; ").count(), 9);
        // A reason that was built on others says what they say.
        let mut nested = many.clone();
        nested.0.insert(many.text());
        assert_eq!(nested.short(), many.short());
    }

    #[test]
    fn what_nobody_stated_is_said_once_for_all_that_lack_it() {
        let mut reasons = BTreeSet::new();
        for i in 0..7 {
            reasons.insert(format!("nobody stated the density or the sugar of syrup {i}"));
            reasons.insert(format!("nobody stated the sugar of syrup {i}"));
        }
        let because = Because(reasons.clone());
        let said = "nobody stated the density or sugar of syrup 0, syrup 1, syrup 2 and 4 more";
        assert_eq!(because.short(), said);
        // Others lack something else, and a process that cannot tell says so once.
        let all = because.text();
        let because =
            Because(BTreeSet::from([format!("its melt can't be told, because {all}; nobody stated the abv of gin")]));
        assert_eq!(because.short(), format!("its melt can't be told, because nobody stated the abv of gin; {said}"));
        assert_eq!(Because::one("nobody stated the abv of gin").short(), "nobody stated the abv of gin");
    }
}
