//! What is told of the notebook, as data: what pages and print have in common. Every number is text by then.

pub(super) mod allergens;
pub(super) mod balance_map;
pub(super) mod cautions;
pub(super) mod chapters;
pub(super) mod figures;
mod pours;
pub(super) mod recipe;
pub(super) mod stages;
mod timers;
pub(super) mod usual_sizes;
