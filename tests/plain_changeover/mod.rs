//! The changeover that most tests are about, written short: one clean-out from the trip on, at its end
//! the hand-over, from when on the boost, called fill, waits for the run-out, and a sweep from the trip
//! on.

#![allow(dead_code)] // each test program uses its own share of it

use std::collections::BTreeMap;
use std::fmt::Write as _;

/// The settings of a plain changeover by their keys in the sheet.
pub const CLEAN_OUT: &str = "clean-out.for";
pub const RUN_OUT: &str = "fill.wait";
pub const FILL: &str = "fill.for";
pub const HAND_OVER: &str = "hand-over.for";
pub const SWEEP_AFTER: &str = "sweep.wait";
pub const SWEEP_FOR: &str = "sweep.for";

/// A sheet whose `[changeover]` is written short, as it is written out: `clean-out`, `run-out`, `fill`,
/// `hand-over`, `boost`, `old-seed-gone`, `new-seed-at-pick-up`, `least-clean-out`, `usual-clean-out`
/// and `sweep = { after, for, cells-before-release }` are what an action has each.
pub fn written_out(sheet: &str) -> String {
    let Some(start) = sheet.find("[changeover]\n") else { return sheet.to_owned() };
    let (before, rest) = sheet.split_at(start);
    let body = &rest["[changeover]\n".len()..];
    let end = body.find("\n[").map_or(body.len(), |at| at + 1);
    let end = if body.starts_with('[') { 0 } else { end };
    let (short, after) = body.split_at(end);
    if after.trim_start().starts_with("[[changeover.action]]") {
        return sheet.to_owned();
    }
    let mut keys: BTreeMap<String, &str> = BTreeMap::new();
    for line in short.lines().filter(|line| !line.trim_start().starts_with('#')) {
        let Some((key, value)) = line.split_once('=') else { continue };
        let (key, value) = (key.trim(), value.trim());
        match value.strip_prefix('{').and_then(|inside| inside.strip_suffix('}')) {
            Some(inside) => {
                keys.insert(key.to_owned(), "");
                for pair in inside.split(',') {
                    let Some((own, value)) = pair.split_once('=') else { continue };
                    keys.insert(format!("{key}.{}", own.trim()), value.trim());
                }
            }
            None => {
                keys.insert(key.to_owned(), value);
            }
        }
    }
    let mut out = format!("{before}[changeover]\n");
    let write = |out: &mut String, pairs: &[(&str, &str)]| {
        for (key, short) in pairs {
            if let Some(value) = keys.get(*short) {
                let _ = writeln!(out, "{key} = {value}");
            }
        }
    };
    write(&mut out, &[("fall-time", "fall-time")]);
    let _ = writeln!(out, "[[changeover.action]]\nname = \"clean-out\"\ndoes = \"clean-out\"");
    let of_clean_out = [
        ("for", "clean-out"),
        ("old-seed-gone", "old-seed-gone"),
        ("least", "least-clean-out"),
        ("usual", "usual-clean-out"),
    ];
    write(&mut out, &of_clean_out);
    let after_it = "after = \"clean-out\"\nfrom = \"end\"";
    let _ = writeln!(
        out,
        "[[changeover.action]]\nname = \"hand-over\"\ndoes = \"hand-over\"\n{after_it}"
    );
    write(&mut out, &[("for", "hand-over"), ("new-seed-at-pick-up", "new-seed-at-pick-up")]);
    let _ = writeln!(out, "[[changeover.action]]\nname = \"fill\"\ndoes = \"boost\"\n{after_it}");
    write(&mut out, &[("wait", "run-out"), ("for", "fill"), ("rate", "boost")]);
    if keys.contains_key("sweep") {
        let _ = writeln!(out, "[[changeover.action]]\nname = \"sweep\"\ndoes = \"sweep\"");
        let of_sweep = [
            ("wait", "sweep.after"),
            ("for", "sweep.for"),
            ("cells-before-release", "sweep.cells-before-release"),
        ];
        write(&mut out, &of_sweep);
    }
    out + after
}
