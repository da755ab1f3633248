//! Whether a file is a field sheet, over which nothing else may be written.

use std::fs;
use std::path::Path;

use toml::de::DeTable;

use crate::sheet::{FieldSheet, Source, TOP};

/// Whether a file is a field sheet, be it with mistakes, or is named like one.
#[must_use]
pub fn is_sheet(path: &Path) -> bool {
    let is_file = fs::metadata(path).is_ok_and(|about| about.is_file());
    let named = path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("toml"));
    is_file && (named || Source::open(path).is_ok_and(|source| reads_as_one(&source)))
}

fn reads_as_one(source: &Source) -> bool {
    let known = |name: &str| TOP.entries().any(|entry| entry.name() == name);
    match DeTable::parse(source.text()) {
        // An empty file is nothing that could be lost.
        Ok(document) if document.get_ref().is_empty() => {
            !source.text().trim().is_empty() && FieldSheet::read(source).is_ok()
        }
        Ok(document) => document.get_ref().keys().any(|key| known(key.get_ref())),
        Err(_) => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sheet_is_known_by_its_tables_or_its_name() {
        let folder = tempfile::tempdir().expect("a folder");
        let cases = [
            ("a", crate::sheet::starter::US, true),
            ("with-mistakes", "[trial]\naley = \"30 in\"\n", true),
            ("notes-only", "# begun on Monday\n", true),
            ("half.TOML", "[trial\n", true),
            ("empty", "", false),
            ("other.txt", "[package]\nname = \"x\"\n", false),
            ("page.html", "<!DOCTYPE html>\n", false),
            ("page.txt", "SETTINGS now set\n[ ] walk round\n", false),
        ];
        for (name, text, wanted) in cases {
            let path = folder.path().join(name);
            fs::write(&path, text).expect("a file");
            assert_eq!(is_sheet(&path), wanted, "{name}");
        }
        assert!(!is_sheet(&folder.path().join("gone.toml")));
        assert!(!is_sheet(folder.path()));
    }
}
