//! A caution survives into every output.
