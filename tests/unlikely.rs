//! Values typed for settings that look like ones of another unit: `apply` and `guide` ask before they write.

#![allow(clippy::expect_used, clippy::panic)]

mod common;

use common::Written;

/// Inches throughout, setback 14 in, trip scale 356.20.
fn sheet() -> Written {
    Written::new(
        &std::fs::read_to_string("demo-data/soybean-advanced-north.toml").expect("a sheet"),
    )
}

/// What `apply` says of a value, and whether it wrote.
fn apply(written: &Written, arguments: &[&str]) -> (Option<i32>, String) {
    let out = written.run(&[&["apply", "--date", "2027-04-20"], arguments].concat());
    let said = String::from_utf8([out.stdout, out.stderr].concat()).expect("text");
    (out.status.code(), said.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// 14 in are 35.56 cm, 355.6 mm and 1.1667 ft; a slip of the point makes 140 or 1.4 of them.
#[test]
fn a_value_of_another_unit_is_asked_about() {
    for (value, words) in [
        ("setback=35.56", "inches and centimetres"),
        ("setback=355.6", "inches and millimetres"),
        ("setback=1.17", "feet and inches"),
        ("setback=140", "a point at another place"),
        ("trip-scale=3562", "a point at another place"),
        ("trip-scale=35.62", "a point at another place"),
    ] {
        let written = sheet();
        let before = written.text();
        let (status, said) = apply(&written, &["--setting", value]);
        assert_eq!(status, Some(2), "{value}: {said}");
        assert!(said.contains(words) && said.contains("--yes"), "{value}: {said}");
        assert_eq!(written.text(), before, "nothing is written");
        // It may be meant.
        let (status, said) = apply(&written, &["--setting", value, "--yes"]);
        assert_eq!(status, Some(0), "{value}: {said}");
        assert_ne!(written.text(), before);
    }
}

/// Near what it is, or with its own unit, or far off but by no factor of a unit: nothing is asked.
#[test]
fn a_value_that_may_be_right_is_taken() {
    for value in ["setback=15.5", "setback=39 cm", "setback=27", "setback=5", "trip-scale=352.3"] {
        let (status, said) = apply(&sheet(), &["--setting", value]);
        assert_eq!(status, Some(0), "{value}: {said}");
    }
}

/// What was keyed in instead is held to the same.
#[test]
fn a_value_that_was_keyed_in_is_asked_about_too() {
    let written = sheet();
    let (status, said) = apply(&written, &["--setting", "setback=16"]);
    assert_eq!(status, Some(0), "{said}");
    let (status, said) = apply(&written, &["--was", "setback=40.6"]);
    assert_eq!(status, Some(2), "{said}");
    assert!(said.contains("inches and centimetres"), "{said}");
}
