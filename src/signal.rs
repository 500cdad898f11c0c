//! Test signals: seeded, byte-reproducible, generated sample by sample.
