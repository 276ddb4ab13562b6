//! What `--batch "NAME=5 l"` means: a recipe of the edition and how much of it.

use rust_decimal::Decimal;

use super::Chapter;
use super::argument::{self, WrongArgument};
use crate::ask::batch::Size;
use crate::ask::dial::today::text;
use crate::measure::{Dimension, Exact, number};
use crate::notebook::recipe_note::Makes;
use crate::notebook::value;
use crate::press::publication::Publication;
use crate::problem::code;

/// A batch that was asked for.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Batch {
    /// The recipe.
    pub recipe: usize,
    /// How much of it.
    pub size: Size,
    /// The same as it was written.
    pub written: Option<String>,
}

const HELP: &str = "write for example `--batch \"quince cordial=2.4 l\"` or `--batch \"Towpath=40 serves\"`";

/// Reads what was asked for; a name alone means the recipe as written.
pub(super) fn read(site: &Publication<'_>, batches: &[String]) -> Result<Vec<Batch>, Vec<WrongArgument>> {
    let mut problems = Vec::new();
    let list =
        batches.iter().filter_map(|written| one(site, written).map_err(|wrong| problems.push(wrong)).ok()).collect();
    if problems.is_empty() { Ok(list) } else { Err(problems) }
}

/// Every prep of some chapters, as it is written.
pub(super) fn preps(site: &Publication<'_>, chapters: &[Chapter]) -> Vec<Batch> {
    let recipes = chapters.iter().flat_map(|c| &c.recipes).filter(|r| site.note(**r).makes == Makes::Prep);
    recipes.map(|r| Batch { recipe: *r, size: Size::Unsaid, written: None }).collect()
}

fn one(site: &Publication<'_>, written: &str) -> Result<Batch, WrongArgument> {
    let (name, amount) = match written.rsplit_once('=') {
        Some((name, amount)) => (name.trim(), Some(amount.trim())),
        None => (written.trim(), None),
    };
    let recipe = argument::recipe(site, "--batch", name)?;
    let refuse = |why: &str| WrongArgument::new(code::BAD_AMOUNT, format!("`--batch {written}`: {why}"), HELP);
    let size = match amount {
        None => Size::Unsaid,
        Some(amount) => match serves(amount) {
            Some(count) if count > 0 => Size::Serves(Exact::whole(count)),
            Some(_) => return Err(refuse("no serves are nothing to make")),
            None => {
                let mut problems = Vec::new();
                let read = value::amount(&text(amount), Some(Dimension::Volume), &mut problems);
                let units = &site.house().units;
                match read.and_then(|a| a.value.base(units)).filter(|ml| *ml > Decimal::ZERO) {
                    Some(ml) => Size::Makes(Exact::decimal(ml)),
                    None => {
                        return Err(refuse(problems.first().map_or("nothing to make", |p| p.message.as_str())));
                    }
                }
            }
        },
    };
    Ok(Batch { recipe, size, written: amount.map(str::to_owned) })
}

/// `40 serves`, `1 serve`.
fn serves(amount: &str) -> Option<u64> {
    let (n, used) = number::lex(amount).ok()??;
    let word = amount[used..].trim();
    if !matches!(word, "serve" | "serves" | "glass" | "glasses") || !n.is_integer() {
        return None;
    }
    u64::try_from(n).ok()
}
