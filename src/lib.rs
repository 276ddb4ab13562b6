//! Costrel compiles a folder of drink recipes into checked, computed specs.
//!
//! The passes, one way, each with its own type:
//!
//! ```text
//! text ─read→ notes ─resolve→ graph ─run→ computed recipes ─ask→ answers ─press→ output
//! ```
//!
//! Imports run one way too: `command → press → check → ask → recipe → notebook → process → mixture → relation →
//! measure → problem → source`.

pub mod measure;
pub mod mixture;
pub mod notebook;
pub mod problem;
pub mod process;
pub mod recipe;
pub mod relation;
pub mod source;
