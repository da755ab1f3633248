//! The commented starter sheets that `new` writes. Each is valid and calibrates as it stands.

/// In feet, inches and miles per hour.
pub const US: &str = include_str!("starter_us.toml");
/// In metres, centimetres and kilometres per hour.
pub const METRIC: &str = include_str!("starter_metric.toml");

/// A starter sheet with another title.
///
/// ```
/// use alleytrue::sheet::starter;
/// assert!(starter::entitled(starter::US, "North").contains("title = \"North\"\n"));
/// ```
#[must_use]
pub fn entitled(text: &str, title: &str) -> String {
    let new = toml_edit::Value::from(title).to_string();
    text.replacen("\"My trial\"", &new, 1)
}
