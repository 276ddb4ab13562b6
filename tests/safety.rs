//! Safety: every hazard rule fires on one recipe and misses another by little; what the demo and the published classics show is
//! reviewed; and no output loses a caution.

#[path = "safety/labelling.rs"]
mod labelling;
#[path = "safety/outputs.rs"]
mod outputs;
#[path = "safety/reviewed.rs"]
mod reviewed;
#[path = "safety/rules.rs"]
mod rules;
