//! Whatever is in a sheet, it is either refused with messages that name a place, or calculated
//! and printed: as text of at most 80 columns without control characters, and as JSON.
#![no_main]

use alleytrue::render::{Style, diagnostics, json, text};
use alleytrue::sheet::{FieldSheet, Source};
use libfuzzer_sys::fuzz_target;

/// Control characters other than line ends and the colours of the program's own styles.
fn harmless(page: &str) -> bool {
    let styled = page.replace("\u{1b}[", "");
    !styled.chars().any(|c| c.is_control() && c != '\n')
}

fuzz_target!(|data: &str| {
    let source = Source::new("sheet.toml", data);
    let style = Style { ascii: data.len() % 2 == 0, colour: data.len() % 3 == 0 };
    let sheet = match FieldSheet::read(&source) {
        Ok(sheet) => sheet,
        Err(mistakes) => {
            assert!(!mistakes.is_empty(), "refused without a reason");
            for mistake in &mistakes {
                assert!(mistake.span.end <= source.text().len(), "{mistake:?}");
                assert!(!mistake.advice.is_empty(), "{mistake:?}");
            }
            assert!(harmless(&diagnostics::mistakes(&source, &mistakes, style)));
            return;
        }
    };
    let Ok(report) = sheet.job.calibrate() else { return };
    let heading = text::Heading { title: sheet.title.as_deref(), file: source.name() };
    let remarks = &sheet.remarks;
    let page = text::Page { heading, report: &report, remarks, source: source.text() };
    assert!(harmless(&page.render(false, style)));
    let document = serde_json::to_string(&json::document(&source, &sheet, &report));
    assert!(document.is_ok());
});
