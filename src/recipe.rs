//! Recipes: names resolved, the graph ordered, processes run.
//!
//! In: [`crate::notebook::Notes`]. Out: a [`graph::Graph`] in which every name means something, then computed recipes, each
//! stage a mixture. Problems of meaning are found here; nothing here prints.

pub mod graph;
pub mod names;
pub mod pantry;
mod reading;
pub mod run;
