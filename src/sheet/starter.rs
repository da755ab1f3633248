//! The commented starter sheets that `new` writes. Each is valid and calibrates as it stands.

/// In feet, inches and miles per hour.
pub const US: &str = include_str!("starter_us.toml");
/// In metres, centimetres and kilometres per hour.
pub const METRIC: &str = include_str!("starter_metric.toml");
