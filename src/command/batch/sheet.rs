//! A batch on a terminal: a table where it is wide enough, else a list with the measure first.

use anstream::println;
use anstyle::Style;

use crate::ask::batch::Answer;
use crate::ask::batch::document::{Amount, PourAnswer};
use crate::ask::batch::ready::{Cold, Ready};
use crate::ask::batch::wording;
use crate::command::screen::{Rows, Screen};
use crate::command::unknown;
use crate::measure::tool::View;
use crate::measure::{Exact, Unit, Units, show};
use crate::problem::terminal::clean;

/// A batch on a terminal.
pub(super) struct Sheet<'a> {
    pub screen: Screen,
    pub view: View,
    pub units: &'a Units,
    pub show: &'a [Unit],
}

impl Sheet<'_> {
    pub fn print(&self, answer: &Answer) {
        let (bold, dim) = (Style::new().bold(), Style::new().dimmed());
        self.screen.line(
            0,
            4,
            &format!("{bold}{}{bold:#}  {dim}{}{dim:#}", clean(&answer.name), wording::times(answer)),
        );
        self.screen.line(2, 2, &wording::makes(answer).join(" · "));
        if let Some(name) = &answer.limited_by {
            self.screen.line(2, 2, &format!("{bold}limited by {}{bold:#}", clean(name)));
        }
        if let Some(asked) = &answer.asked {
            self.screen.line(2, 2, &format!("{bold}{}{bold:#}", clean(&wording::asked(asked))));
        }
        for taken in &answer.taken_as {
            self.screen.line(2, 2, &clean(&wording::taken_as(taken)));
        }
        for one in &answer.fruit {
            self.screen.line(2, 2, &clean(&wording::fruit(one)));
        }
        println!();
        self.pours(answer);
        self.said(answer);
        if let Some(ready) = &answer.ready {
            self.ready_to_pour(ready);
        }
        for part in &answer.preps {
            self.part(part);
        }
    }

    fn pours(&self, answer: &Answer) {
        let other = match self.view {
            View::Metric if self.show.contains(&Unit::Oz) => Some("oz"),
            View::Ounces if self.show.iter().any(|u| *u != Unit::Oz) => Some("ml"),
            _ => None,
        };
        let mut headings = vec!["", "measure", "exact", "error"];
        headings.extend(other);
        headings.extend(["by", ""]);
        let mut rows = Rows::new(&headings, &[headings.len() - 2, headings.len() - 1]);
        for pour in &answer.pours {
            let mut row = vec![
                clean(&pour.name),
                clean(&wording::poured(pour)),
                clean(&wording::amount(&pour.exact)),
                wording::error(pour),
            ];
            if other.is_some() {
                row.push(self.elsewhere(&pour.exact));
            }
            row.extend([pour.tool.to_owned(), clean(&wording::beside(pour).join(" · "))]);
            rows.push(row);
        }
        if self.screen.fits(&rows) {
            self.screen.table(&rows);
        } else {
            for pour in &answer.pours {
                self.listed(pour, other);
            }
        }
        println!();
    }

    /// A pour in two lines: what to measure, and everything else.
    fn listed(&self, pour: &PourAnswer, other: Option<&str>) {
        let (bold, dim) = (Style::new().bold(), Style::new().dimmed());
        self.screen.line(2, 4, &format!("{bold}{}{bold:#}  {}", clean(&wording::poured(pour)), clean(&pour.name)));
        let error = wording::error(pour);
        let mut words = vec![pour.tool.to_owned()];
        if !error.is_empty() {
            words.push(format!("exact {}, {error}", wording::amount(&pour.exact)));
        }
        let elsewhere = self.elsewhere(&pour.exact);
        words.extend(other.filter(|_| !elsewhere.is_empty()).map(|unit| format!("{elsewhere} {unit}")));
        words.extend(wording::beside(pour));
        self.screen.line(6, 0, &format!("{dim}{}{dim:#}", clean(&words.join(" · "))));
    }

    /// The exact amount in the other units of the house.
    fn elsewhere(&self, exact: &Amount) -> String {
        let ounce = Exact::decimal(self.units.factor(Unit::Oz));
        match exact.unit.as_str() {
            "ml" => exact.amount.over(&ounce).map_or(String::new(), |oz| oz.rounded(2)),
            "oz" => (&exact.amount * &ounce).rounded(1),
            _ => String::new(),
        }
    }

    fn said(&self, answer: &Answer) {
        let (bold, dim) = (Style::new().bold(), Style::new().dimmed());
        let mut any = false;
        let mut line = |text: &str| {
            self.screen.line(2, 2, text);
            any = true;
        };
        for pour in &answer.pours {
            if let Some(words) = wording::start(pour) {
                line(&format!("{}: {}", clean(&pour.name), clean(&words)));
            }
        }
        if let Some(words) = wording::rounding(answer) {
            let style = if answer.drift_beyond.is_empty() { dim } else { bold };
            line(&format!("{style}{words}{style:#}"));
        }
        if let Some(words) = answer.today.as_ref().and_then(wording::drift) {
            line(&format!("today’s readings move {words}; `costrel dial` with the same `--reading` brings it back"));
        }
        for words in unknown::lines(&answer.unknown) {
            line(&format!("{dim}{words}{dim:#}"));
        }
        if any {
            println!();
        }
    }

    fn part(&self, part: &Answer) {
        let (bold, dim) = (Style::new().bold(), Style::new().dimmed());
        let name = clean(&part.name);
        if part.factor.is_none() {
            self.screen.line(0, 4, &format!("{bold}{name}{bold:#}  {dim}how much of it to make is not known{dim:#}"));
            for words in unknown::lines(&part.unknown) {
                self.screen.line(2, 2, &format!("{dim}{words}{dim:#}"));
            }
            println!();
            return;
        }
        self.screen.line(0, 4, &format!("{bold}{name}{bold:#}  {dim}{}{dim:#}", clean(&wording::part(part))));
        println!();
        if !part.pours.is_empty() {
            self.pours(part);
            self.said(part);
        }
        for below in &part.preps {
            self.part(below);
        }
    }

    fn ready_to_pour(&self, ready: &Ready) {
        let bold = Style::new().bold();
        let mut head = format!("{} of water stands in for the ice", show::volume(ready.water_ml));
        if ready.water_ml <= 0.0 {
            head = "no water to add".into();
        }
        if let Some(abv) = ready.abv_pct {
            head.push_str(&format!(" · {} % vol", show::strength(abv)));
        }
        if let Some(point) = ready.freezing_point_c {
            head.push_str(&format!(" · first ice at {}", show::temperature(point)));
        }
        self.screen.line(2, 2, &format!("{bold}ready to pour{bold:#}  {head}"));
        self.screen.line(2, 2, &format!("in the freezer, {}", cold(&ready.freezer)));
        self.screen.line(2, 2, &format!("in the fridge, {}", cold(&ready.fridge)));
        for note in &ready.notes {
            self.screen.line(2, 2, &clean(&note.text()));
        }
        println!();
    }
}

fn cold(cold: &Cold) -> String {
    let least = if cold.at_least { "at least " } else { "" };
    let state = match (cold.pours, cold.ice_pct) {
        (Some(true), Some(ice)) if ice <= 0.0 => "liquid".into(),
        (Some(true), Some(ice)) => format!("it pours, with {least}{} % of ice", show::fixed(ice, 0)),
        (Some(false), Some(ice)) => format!("it freezes: {least}{} % of it is ice", show::fixed(ice, 0)),
        _ => "nobody can tell whether it freezes".into(),
    };
    format!("{}: {state}", show::temperature(cold.at_c))
}
