//! The hazard rules: the table that the program carries, and the house's own.

use std::sync::{Arc, LazyLock};

use serde::{Deserialize, Serialize};

use super::grammar::{self, Expr};

const TABLE: &str = include_str!("hazards.csv");

/// How bad it can be. It says nothing about how likely.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// It can kill or maim.
    Danger,
    /// It can make ill or hurt.
    Caution,
    /// Worth knowing.
    Note,
}

impl Severity {
    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Danger => "danger",
            Self::Caution => "caution",
            Self::Note => "note",
        }
    }
}

/// Whether something is wrong, or the thing is simply like that.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// What is written shows that something is wrong.
    Fault,
    /// It belongs to the thing: always printed, never a problem.
    Standing,
}

impl Kind {
    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Fault => "fault",
            Self::Standing => "standing",
        }
    }
}

/// Where it is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Show {
    /// With the recipe.
    Recipe,
    /// Once, in the foot of every page.
    SiteFooter,
    /// To the writer, who can mend it.
    BuildWarning,
}

/// One rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Its name.
    pub id: String,
    /// The subject it belongs to: `egg`, `siphon`.
    pub group: String,
    /// When it fires, as written.
    pub trigger: String,
    /// When it fires.
    pub expr: Expr,
    /// How bad.
    pub severity: Severity,
    /// Fault or standing.
    pub kind: Kind,
    /// Where it is shown.
    pub show: Show,
    /// What can happen: a sentence.
    pub what: String,
    /// What to do: a sentence or two.
    pub precaution: String,
    /// A limit, in words.
    pub limit: Option<String>,
    /// Who says so.
    pub source: String,
    /// How far the source was read.
    pub check: String,
    /// The rule whose fault this one only tells more of: a check reports the two once.
    pub within: Option<String>,
    /// What differs from the reference table, and why.
    pub changed: Option<String>,
    /// Whether the house wrote it.
    pub house: bool,
}

#[derive(Deserialize)]
struct Row {
    id: String,
    group: String,
    trigger: String,
    severity: Severity,
    kind: Kind,
    show: Show,
    what_can_happen: String,
    precaution: String,
    limit: String,
    source: String,
    check: String,
    within: String,
    changed: String,
}

/// A row that cannot be used, for the test of the table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadRow {
    /// The row, counted from 1.
    pub row: usize,
    /// Why.
    pub because: String,
}

fn read(table: &str) -> (Vec<Rule>, Vec<BadRow>) {
    let (mut rules, mut bad) = (Vec::new(), Vec::new());
    for (index, row) in csv::Reader::from_reader(table.as_bytes()).into_deserialize::<Row>().enumerate() {
        match row.map_err(|e| e.to_string()).and_then(rule) {
            Ok(rule) => rules.push(rule),
            Err(because) => bad.push(BadRow { row: index + 1, because }),
        }
    }
    (rules, bad)
}

fn rule(row: Row) -> Result<Rule, String> {
    let placed = |fault: grammar::Fault| {
        let (before, after) = row.trigger.split_at(fault.at.min(row.trigger.len()));
        format!("{}: `{before}` ⟨wanted {}⟩ `{after}`", row.id, fault.wanted)
    };
    let expr = grammar::parse(&row.trigger).map_err(placed)?;
    if let Some(fault) = super::names::check(&expr).into_iter().next() {
        return Err(placed(fault));
    }
    let some = |text: String| Some(text).filter(|t| !t.is_empty() && t != "-");
    Ok(Rule {
        id: row.id,
        group: row.group,
        trigger: row.trigger,
        expr,
        severity: row.severity,
        kind: row.kind,
        show: row.show,
        what: row.what_can_happen,
        precaution: row.precaution,
        limit: some(row.limit),
        source: row.source,
        check: row.check,
        within: some(row.within),
        changed: some(row.changed),
        house: false,
    })
}

/// The rules that the program carries, in the table's order. The table is part of the program: a fault in it is a bug that
/// `every_row_can_be_used` catches.
#[must_use]
pub fn published() -> &'static [Arc<Rule>] {
    static RULES: LazyLock<Vec<Arc<Rule>>> = LazyLock::new(|| read(TABLE).0.into_iter().map(Arc::new).collect());
    &RULES
}

/// A rule of the table.
#[must_use]
pub fn get(id: &str) -> Option<&'static Arc<Rule>> {
    published().iter().find(|r| r.id == id)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_row_can_be_used() {
        let (rules, bad) = read(TABLE);
        assert!(bad.is_empty(), "{bad:#?}");
        let ids: BTreeSet<&str> = rules.iter().map(|r| r.id.as_str()).collect();
        assert_eq!(ids.len(), rules.len(), "an id stands twice");
        for rule in &rules {
            assert!(rule.id.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-'), "{}", rule.id);
            for text in [&rule.what, &rule.precaution] {
                assert!(text.ends_with('.'), "{}: {text}", rule.id);
            }
            assert!(!rule.source.is_empty() && !rule.check.is_empty(), "{}", rule.id);
            if let Some(within) = &rule.within {
                let lead = rules.iter().find(|r| r.id == *within).unwrap_or_else(|| panic!("{within}"));
                // What is reported in another's place may not weigh more than it.
                assert!(lead.severity <= rule.severity && lead.within.is_none(), "{}", rule.id);
                assert_eq!((lead.kind, rule.kind), (Kind::Fault, Kind::Fault), "{}", rule.id);
            }
        }
    }

    #[test]
    fn no_row_of_the_reference_is_lost_and_every_change_says_why() {
        let reference = include_str!("../../../tests/reference/hazards.csv");
        let rules = read(TABLE).0;
        for row in csv::Reader::from_reader(reference.as_bytes())
            .into_deserialize::<std::collections::BTreeMap<String, String>>()
        {
            let row = row.expect("a row");
            let rule = rules.iter().find(|r| r.id == row["id"]).unwrap_or_else(|| panic!("{} is gone", row["id"]));
            let same = rule.trigger == row["trigger"]
                && rule.severity.word() == row["severity"]
                && rule.kind.word() == row["kind"]
                && rule.what == row["what_can_happen"]
                && rule.precaution == row["precaution"]
                && rule.limit.as_deref().unwrap_or("-") == row["limit"]
                && rule.source == row["source"]
                && rule.check == row["check"];
            assert_eq!(same, rule.changed.is_none(), "{}", rule.id);
        }
    }
}
