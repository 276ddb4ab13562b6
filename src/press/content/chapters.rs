//! Chapters: the folders of the shown recipes.

use std::collections::BTreeMap;

use crate::press::publication::Publication;

/// Chapters in order, each with its recipes by name.
pub(in crate::press) fn chapters(site: &Publication<'_>) -> BTreeMap<String, Vec<usize>> {
    let mut chapters: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for recipe in site.recipes() {
        chapters.entry(site.note(recipe).chapter.clone()).or_default().push(recipe);
    }
    for recipes in chapters.values_mut() {
        recipes.sort_by_key(|r| crate::recipe::names::key(&site.note(*r).name.value));
    }
    chapters
}
