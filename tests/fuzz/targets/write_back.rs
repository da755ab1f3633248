//! Whatever is recorded into whatever sheet, it is refused, or the new sheet reads without a
//! mistake and has every line of the old one, in its order. Applying the next change keeps every
//! line but those of the setting.
//!
//! The first line of the input is what is recorded: a kind's number, then values after tabs. The
//! rest is the sheet.
#![no_main]

use alleytrue::record::{Choice, choose};
use alleytrue::sheet::writing::{Given, KINDS, NewRun, Takes, add_run, apply};
use alleytrue::sheet::{FieldSheet, Source};
use libfuzzer_sys::fuzz_target;

/// How many lines of the old text are missing from the new one, all others being in order.
fn missing(old: &str, new: &str) -> usize {
    let mut rest = new.lines().peekable();
    old.lines()
        .filter(|line| {
            let from = rest.clone();
            let found = rest.by_ref().any(|one| one == *line);
            if !found {
                rest = from;
            }
            !found
        })
        .count()
}

fn new_run(line: &str) -> Option<NewRun> {
    let mut values = line.split('\t');
    let number: usize = values.next()?.trim().parse().ok()?;
    let kind = &KINDS[number % KINDS.len()];
    let mut keys = vec![("date", Given::Day("2027-04-18".into()))];
    let given: Vec<String> = values.map(str::to_owned).collect();
    for (key, value) in kind.keys.iter().zip(given.iter().cycle()) {
        let value = match key.takes {
            Takes::One => Given::One(value.clone()),
            Takes::List => Given::List(given.clone()),
            Takes::Text | Takes::Word(_) => Given::Text(value.clone()),
            Takes::YesNo => Given::YesNo(true),
        };
        keys.push((key.name, value));
    }
    Some(NewRun { kind, keys })
}

fuzz_target!(|data: &str| {
    let Some((line, text)) = data.split_once('\n') else { return };
    let source = Source::new("sheet.toml", text);
    if let Some(run) = new_run(line)
        && let Ok(written) = add_run(&source, &run)
    {
        assert_eq!(missing(source.text(), &written), 0, "{text:?}\n{written:?}");
        let again = FieldSheet::read(&Source::new("sheet.toml", &written));
        assert!(again.is_ok(), "{again:?}\n{written}");
    }
    let Ok(sheet) = FieldSheet::read(&source) else { return };
    let Ok(report) = sheet.job.calibrate() else { return };
    let Ok(changes) = choose(&report, &sheet.record, Choice::Next) else { return };
    if let Ok(written) = apply(&source, &sheet, &changes, "2027-04-18", None) {
        assert!(missing(source.text(), &written) <= changes.len(), "{text:?}\n{written:?}");
        let again = FieldSheet::read(&Source::new("sheet.toml", &written));
        assert!(again.is_ok(), "{again:?}\n{}", written.sheet);
    }
});
