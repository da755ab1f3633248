//! Single plots, alleys, leads and seeds beside their means: sheets worked by hand, what must hold of
//! any of them, odd input, and the interval of a share against populations whose share is known.
//!
//! `SINGLES=20000` draws so many samples of each population.

#![allow(clippy::expect_used, clippy::panic, clippy::cast_precision_loss)]

mod dice;

use std::io::Write as _;
use std::process::{Command, Output};

use alleytrue::statistics::{Confidence, NextOne, ShareInside, Summary, share_inside};
use alleytrue::working::Value;
use dice::Dice;
use proptest::prelude::*;
use serde_json::Value as Json;

fn run(arguments: &[&str], sheet: &str) -> Output {
    let mut file = tempfile::Builder::new().suffix(".toml").tempfile().expect("a file");
    file.write_all(sheet.as_bytes()).expect("written");
    Command::new(env!("CARGO_BIN_EXE_alleytrue"))
        .args(arguments)
        .arg(file.path())
        .output()
        .expect("the program runs")
}

fn text(arguments: &[&str], sheet: &str) -> String {
    let output = run(arguments, sheet);
    let words = String::from_utf8(output.stdout).expect("text");
    assert!(output.status.success(), "{words}{}", String::from_utf8_lossy(&output.stderr));
    words
}

fn report(sheet: &str) -> Json {
    serde_json::from_str(&text(&["calibrate", "--format", "json"], sheet)).expect("JSON")
}

fn result<'a>(report: &'a Json, calculation: &str) -> &'a Json {
    let results = report["results"].as_array().expect("results");
    results.iter().find(|one| one["calculation"] == calculation).expect("the calculation")
}

fn single<'a>(report: &'a Json, calculation: &str, kind: &str) -> &'a Json {
    let all = result(report, calculation)["single_plots"].as_array().expect("single plots");
    all.iter().find(|one| one["kind"] == kind).expect("the kind")
}

fn codes(report: &Json, calculation: &str) -> Vec<String> {
    let all = result(report, calculation)["warnings"].as_array().expect("warnings");
    all.iter().map(|one| one["code"].as_str().expect("a code").to_owned()).collect()
}

fn verdict<'a>(report: &'a Json, calculation: &str) -> (&'a str, &'a str) {
    let setting = &result(report, calculation)["settings"][0];
    let word = |key: &str| setting[key].as_str().expect("words");
    (word("verdict"), word("reason"))
}

fn share(of: &Json) -> f64 {
    of["share_percent"].as_f64().expect("a share")
}

fn list(numbers: &[f64]) -> String {
    let all: Vec<String> = numbers.iter().map(|number| format!("{number:.4}")).collect();
    format!("[{}]", all.join(", "))
}

/// A sheet in inches with what `[trial]` has besides plot and alley.
fn sheet(trial: &str, runs: &str) -> String {
    format!(
        "bare-length = \"in\"\n[planter]\nrow-spacing = \"30 in\"\n[planter.controller]\n\
         trip-scale = {{ counts = \"per length\", step = 0.01 }}\n\
         setback = {{ raising-moves-alley = \"back\", step = \"0.5 in\" }}\n\
         pass-offset = {{ raising-moves-alley = \"back\", step = \"0.5 in\" }}\n\
         [trial]\nplot = \"17 ft 6 in\"\nalley = \"30 in\"\n{trial}\n\
         [settings]\ntrip-scale = 400\nsetback = \"15 in\"\npass-offset = \"6 in\"\n{runs}\n"
    )
}

fn readouts(numbers: &[f64]) -> String {
    format!("[[trip-run]]\nmarks = \"20 ft\"\nreadout = {}\n", list(numbers))
}

/// Alleys 30 in wide whose middles lie so far ahead of their marks.
fn alleys(heading: &str, ahead: &[f64]) -> String {
    let last: Vec<f64> = ahead.iter().map(|one| 15.0 - one).collect();
    let first: Vec<f64> = ahead.iter().map(|one| 15.0 + one).collect();
    let (last, first) = (list(&last), list(&first));
    format!("[[alley-run]]\n{heading}last-seed-to-mark = {last}\nmark-to-first-seed = {first}\n")
}

const TENTHS: [f64; 12] = [0.0, -0.2, 0.2, 0.1, -0.1, 0.0, 0.1, -0.1, 0.2, -0.2, 0.0, 0.0];

/// Uphill 238 in and downhill 242 in between marks of 240 in: plots 2.02 in too long and 1.98 in too
/// short (240 x 240 / 238 - 240; 240 x 240 / 242 - 240), and none of 24 within an inch.
#[test]
fn uphill_and_downhill_no_plot_is_inside_though_the_mean_is() {
    let [up, down] = [238.0, 242.0].map(|read| TENTHS.map(|off| read + off));
    let two =
        report(&sheet("tolerance = { trip = \"1 in\" }", &(readouts(&up) + &readouts(&down))));
    let plots = single(&two, "trip", "plot");
    assert_eq!((&plots["inside"], &plots["readings"]), (&0.into(), &24.into()));
    let parted = plots["parted"].as_array().expect("groups");
    let mean = |place: usize| parted[place]["mean"].as_f64().expect("a mean");
    approx::assert_abs_diff_eq!(mean(0), 2.017, epsilon = 0.002);
    approx::assert_abs_diff_eq!(mean(1), -1.983, epsilon = 0.002);
    assert!(parted.iter().all(|group| group["inside"] == 0 && group["readings"] == 12));
    assert!(share(&plots["now"]) < 30.0 && plots["too_few"] == true);
    for code in ["runs-apart", "groups-part", "single-plots-scatter"] {
        assert!(codes(&two, "trip").contains(&code.into()), "{code}");
    }
    // In one list nobody can tell which are which, and the mean is inside its tolerance.
    let both: Vec<f64> = up.iter().zip(&down).flat_map(|(up, down)| [*up, *down]).collect();
    let one = sheet("tolerance = { trip = \"1 in\" }", &readouts(&both));
    let (word, reason) = (report(&one), "nothing to set, look for what scatters them");
    assert_eq!(verdict(&word, "trip").0, "find the cause");
    assert!(verdict(&word, "trip").1.contains(reason));
    assert_eq!(single(&word, "trip", "plot")["inside"], 0);
    let page = text(&["trip"], &one);
    assert!(page.contains("Single plots: 0 of 24 inside 1 in"), "{page}");
    assert!(page.contains("no limit is given") && page.contains("wheel slip"), "{page}");
}

/// The middles of sixty alleys as the normal law spreads them, in no order.
fn sixty(sd: f64) -> Vec<f64> {
    use statrs::distribution::{ContinuousCDF, Normal};
    let law = Normal::new(0.0, sd).expect("a law");
    (0..60).map(|place| law.inverse_cdf((f64::from(place * 37 % 60) + 0.5) / 60.0)).collect()
}

/// Of a normal law with SD 3.2 in, 24.5 % lie within an inch: 2 x 0.62270 - 1 with z 0.3125
/// (NIST/SEMATECH e-Handbook 1.3.6.7.1: 0.62172 at 0.31, 0.62552 at 0.32).
#[test]
fn alleys_that_scatter_are_no_keep() {
    let ahead = sixty(3.2);
    let inside = ahead.iter().filter(|one| one.abs() <= 1.0).count();
    let sheet = sheet("tolerance = { centre = \"1 in\", width = \"2 in\" }", &alleys("", &ahead));
    let found = report(&sheet);
    let centres = single(&found, "alley", "centre");
    assert_eq!(centres["inside"], inside);
    approx::assert_abs_diff_eq!(share(&centres["now"]), 24.5, epsilon = 0.7);
    let [low, high] = ["low_percent", "high_percent"].map(|end| centres["now"][end].as_f64());
    assert!(low.is_some_and(|low| low < 24.5) && high.is_some_and(|high| high > 24.5));
    assert_eq!(centres["why"], "scatter");
    assert_eq!(verdict(&found, "alley").0, "find the cause");
    let settings = sheet.replace("trip-scale = 400\n", "").replace("pass-offset = \"6 in\"\n", "");
    let next = report(&settings)["next"]["instruction"].as_str().map(str::to_owned);
    assert!(next.is_some_and(|words| words.contains("look for what scatters them")));
    // Who asks for less keeps it.
    let less = sheet.replace("[settings]", "accept = \"20 %\"\n[settings]");
    assert_eq!(verdict(&report(&less), "alley").0, "keep");
    // A wider limit has more inside: 2 Phi(6 / 3.2) - 1 is 93.9 %.
    let wide = sheet.replace("[settings]", "limit = { centre = \"6 in\" }\n[settings]");
    assert!(share(&single(&report(&wide), "alley", "centre")["now"]) > 90.0);
    assert_eq!(verdict(&report(&wide), "alley").0, "keep");
}

/// Out 2 in ahead and home 2 in behind: the setback is right for both together and for neither.
#[test]
fn headings_that_part_are_said_apart() {
    let off = |middle: f64| TENTHS.map(|one| middle + one);
    let runs =
        alleys("heading = \"out\"\n", &off(2.0)) + &alleys("heading = \"home\"\n", &off(-2.0));
    let found = report(&sheet("tolerance = { centre = \"1 in\" }", &runs));
    let centres = single(&found, "alley", "centre");
    assert_eq!((&centres["inside"], &centres["why"]), (&0.into(), &"headings part".into()));
    assert!(codes(&found, "alley").contains(&"groups-part".into()));
    assert!(verdict(&found, "alley").1.contains("out and home part"));
    // Going out alone they are off by what the setback takes out.
    let out = report(&sheet(
        "tolerance = { centre = \"1 in\" }",
        &alleys("heading = \"out\"\n", &off(2.0)),
    ));
    let centres = single(&out, "alley", "centre");
    assert_eq!((&centres["inside"], &centres["why"]), (&0.into(), &"middle off".into()));
    assert!(share(&centres["after_change"]) > 99.0);
    assert!(!codes(&out, "alley").contains(&"single-plots-scatter".into()));
}

/// A mean 0.8 in off is inside a tolerance of 1 in, and with SD 0.14 in nearly a tenth of the alleys
/// (z 1.43: 7.6 %) are not inside the inch; with SD 0.2 in a sixth (z 1: 15.9 %).
#[test]
fn a_mean_near_the_limit_is_no_scatter() {
    let near: Vec<f64> = sixty(0.2).iter().map(|one| one + 0.8).collect();
    let found = report(&sheet("tolerance = { centre = \"1 in\" }", &alleys("", &near)));
    let centres = single(&found, "alley", "centre");
    approx::assert_abs_diff_eq!(share(&centres["now"]), 84.1, epsilon = 1.0);
    assert_eq!(centres["why"], "middle off");
    assert!(verdict(&found, "alley").1.contains("a smaller tolerance lets it be set right"));
    let tight = report(&sheet(
        "tolerance = { centre = \"0.25 in\" }\nlimit = { centre = \"1 in\" }",
        &alleys("", &near),
    ));
    assert_eq!(verdict(&tight, "alley").0, "change");
    assert!(share(&single(&tight, "alley", "centre")["after_change"]) > 99.0);
}

/// What is expected of a change is what is expected where it has been made.
#[test]
fn with_the_change_made_the_share_is_the_one_foretold() {
    let trial = "tolerance = { centre = \"1 in\", trip = \"1 in\", passes = \"1 in\" }";
    let wide = TENTHS.map(|one| one * 4.0);
    let ahead = wide.map(|one| one + 3.0);
    let leads = |off: f64| format!("[[pass-run]]\nlead = {}\n", list(&wide.map(|one| one + off)));
    let now = report(&sheet(trial, &alleys("", &ahead)));
    assert_eq!(verdict(&now, "alley").0, "change");
    let then = report(
        &sheet(trial, &alleys("", &wide)).replace("setback = \"15 in\"", "setback = \"18 in\""),
    );
    let foretold =
        |report: &Json, name: &str, kind: &str| share(&single(report, name, kind)["after_change"]);
    let there = |report: &Json, name: &str, kind: &str| share(&single(report, name, kind)["now"]);
    approx::assert_abs_diff_eq!(
        foretold(&now, "alley", "centre"),
        there(&then, "alley", "centre"),
        epsilon = 1e-9
    );
    // A lead holds the shift of both passes: 6 in of lead are 3 in of pass offset.
    let now = report(&sheet(trial, &leads(6.0)));
    let then = report(
        &sheet(trial, &leads(0.0)).replace("pass-offset = \"6 in\"", "pass-offset = \"9 in\""),
    );
    approx::assert_abs_diff_eq!(
        foretold(&now, "passes", "lead"),
        there(&then, "passes", "lead"),
        epsilon = 1e-9
    );
    // A run made before the change is brought to the present.
    let runs = leads(6.0).replace("lead =", "with = { pass-offset = \"6 in\" }\nlead =");
    let brought = report(
        &sheet(trial, &runs).replace("pass-offset = \"6 in\"\n[[", "pass-offset = \"9 in\"\n[["),
    );
    approx::assert_abs_diff_eq!(
        there(&brought, "passes", "lead"),
        there(&then, "passes", "lead"),
        epsilon = 1e-9
    );
    assert_eq!(
        single(&brought, "passes", "lead")["inside"],
        single(&then, "passes", "lead")["inside"]
    );
}

#[test]
fn where_no_limit_is_given_the_tolerance_of_the_same_thing_serves() {
    let runs = alleys("", &TENTHS) + &format!("[[pass-run]]\nlead = {}\n", list(&TENTHS));
    let trial = "tolerance = { centre = \"1 in\", passes = \"1.5 in\" }";
    let found = report(&sheet(trial, &runs));
    let limit = |name: &str, kind: &str| {
        let one = single(&found, name, kind);
        (
            one["limit"].as_f64().expect("a limit"),
            one["limit_from"].as_str().expect("words").to_owned(),
        )
    };
    assert_eq!(limit("alley", "centre").0, 1.0);
    let (width, from) = limit("alley", "width");
    assert!(width == 1.0 && from.contains("the tolerance `centre`"), "{from}");
    let (lead, from) = limit("passes", "lead");
    assert!(lead == 3.0 && from.contains("2 x the tolerance `passes`"), "{from}");
    let own = "limit = { centre = \"2 in\", width = \"3 in\", lead = \"4 in\" }\naccept = \"95 %\"";
    let found = report(&sheet(&format!("{trial}\n{own}"), &runs));
    for (name, kind, wanted) in
        [("alley", "centre", 2.0), ("alley", "width", 3.0), ("passes", "lead", 4.0)]
    {
        let one = single(&found, name, kind);
        assert_eq!((&one["limit"], &one["accept_percent"]), (&wanted.into(), &95.0.into()));
    }
    // Nothing to hold them against: nothing is said.
    let none = report(&sheet("", &runs));
    assert_eq!(result(&none, "alley")["single_plots"], Json::Array(vec![]));
    let page = text(&["calibrate", "--brief"], &sheet("", &runs));
    assert!(!page.contains("Single ones"), "{page}");
}

#[test]
fn odd_readings_get_a_plain_answer() {
    let trial = "tolerance = { trip = \"1 in\" }";
    let one = report(&sheet(trial, &readouts(&[240.0])));
    assert_eq!(single(&one, "trip", "plot")["now"], Json::Null);
    assert!(
        text(&["trip"], &sheet(trial, &readouts(&[240.0])))
            .contains("a single reading tells nothing of the next")
    );
    // Ten alike: what was counted, 10 of 10, with Wilson's 10 / (10 + 3.8415) = 72.2 %.
    let alike = report(&sheet(trial, &readouts(&[240.0; 10])));
    let now = &single(&alike, "trip", "plot")["now"];
    assert_eq!((share(now), &now["high_percent"]), (100.0, &100.0.into()));
    approx::assert_abs_diff_eq!(
        now["low_percent"].as_f64().expect("an end"),
        72.25,
        epsilon = 0.01
    );
    assert_eq!(verdict(&alike, "trip").0, "keep");
    // Two readings are too few to look for a cause by.
    let two = report(&sheet(
        "tolerance = { trip = \"100 in\" }\nlimit = { plot = \"1 in\" }",
        &readouts(&[230.0, 250.0]),
    ));
    assert_eq!(single(&two, "trip", "plot")["too_few"], false);
    // Whole inches tell nothing of a quarter.
    let whole = readouts(&[240.0, 241.0, 239.0, 240.0, 241.0, 239.0, 240.0, 240.0]);
    let coarse =
        report(&sheet("tolerance = { trip = \"2 in\" }\nlimit = { plot = \"0.25 in\" }", &whole));
    assert!(codes(&coarse, "trip").contains(&"limit-below-reading-step".into()));
    // A setback that goes by a foot leaves 4 in of 16, more than a limit of 1 in takes.
    let far = sheet(
        "tolerance = { centre = \"5 in\" }\nlimit = { centre = \"1 in\" }",
        &alleys("", &TENTHS.map(|one| one + 16.0)),
    );
    let far = report(
        &far.replace(
            "setback = { raising-moves-alley = \"back\", step = \"0.5 in\" }",
            "setback = { raising-moves-alley = \"back\", step = \"12 in\" }",
        )
        .replace("setback = \"15 in\"", "setback = \"12 in\""),
    );
    assert!(share(&single(&far, "alley", "centre")["after_change"]) < 1.0);
    let warnings = result(&far, "alley")["warnings"].to_string();
    assert!(warnings.contains("what the step of the setting leaves is too much"), "{warnings}");
}

#[test]
fn every_form_has_the_share() {
    let trial = "tolerance = { trip = \"1 in\", centre = \"1 in\" }";
    let sheet =
        sheet(trial, &(readouts(&TENTHS.map(|one| 240.0 + 3.0 * one)) + &alleys("", &sixty(0.5))));
    let found = report(&sheet);
    let wanted = share(&single(&found, "trip", "plot")["now"]);
    let batch = text(&["batch"], &sheet);
    let mut rows = csv::Reader::from_reader(batch.as_bytes());
    let place =
        rows.headers().expect("heads").iter().position(|head| head == "share_inside_percent");
    let row = rows.records().map(|row| row.expect("a row")).find(|row| &row[2] == "trip");
    let cell = row.expect("the trip")[place.expect("the column")].parse::<f64>().expect("a number");
    approx::assert_relative_eq!(cell, wanted, max_relative = 1e-9);
    let table = text(&["calibrate", "--format", "csv", "--table", "single-plots"], &sheet);
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    let kinds: Vec<String> = rows.records().map(|row| row.expect("a row")[0].to_owned()).collect();
    assert_eq!(kinds, ["plot", "centre", "width"]);
    for page in ["cab-card", "report"] {
        let page = text(&["print", "--format", "text", page], &sheet);
        assert!(page.to_lowercase().contains("single"), "{page}");
    }
    assert!(
        text(&["calibrate", "--brief"], &sheet)
            .contains("Single ones: expected inside their limit: plot")
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// In centimetres as in inches, ahead as behind, and more inside a wider limit.
    #[test]
    fn units_signs_and_limits(
        ahead in prop::collection::vec(-200_i32..200, 5..15),
        limit in 1_u32..300,
    ) {
        let ahead: Vec<f64> = ahead.iter().map(|one| f64::from(*one) / 100.0).collect();
        let limit = f64::from(limit) / 100.0;
        let of = |ahead: &[f64], limit: f64, unit: &str, per: f64| {
            let last: Vec<f64> = ahead.iter().map(|one| (15.0 - one) * per).collect();
            let first: Vec<f64> = ahead.iter().map(|one| (15.0 + one) * per).collect();
            let sheet = format!(
                "bare-length = \"{unit}\"\n[planter.controller]\nsetback = {{ raising-moves-alley = \
                 \"back\" }}\n[trial]\nalley = \"{:.4} {unit}\"\nlimit = {{ centre = \"{:.4} {unit}\" }}\n\
                 [settings]\nsetback = \"15 in\"\n[[alley-run]]\nlast-seed-to-mark = {}\n\
                 mark-to-first-seed = {}\n",
                30.0 * per, limit * per, list(&last), list(&first)
            );
            let found = report(&sheet);
            let one = single(&found, "alley", "centre").clone();
            (one["inside"].as_u64().expect("a count"), one["now"].clone())
        };
        let ends = |now: &Json| ["low_percent", "share_percent", "high_percent"]
            .map(|key| now[key].as_f64().expect("a share"));
        let (inside, now) = of(&ahead, limit, "in", 1.0);
        let behind: Vec<f64> = ahead.iter().map(|one| -one).collect();
        for (count, other) in [of(&ahead, limit, "cm", 2.54), of(&behind, limit, "in", 1.0)] {
            prop_assert_eq!(count, inside);
            for (one, other) in ends(&now).into_iter().zip(ends(&other)) {
                prop_assert!((one - other).abs() < 1e-3, "{} {}", one, other);
            }
        }
        let (count, wider) = of(&ahead, limit * 1.5, "in", 1.0);
        prop_assert!(count >= inside);
        for (one, other) in ends(&now).into_iter().zip(ends(&wider)) {
            prop_assert!(one <= other + 1e-3, "{} {}", one, other);
        }
    }
}

/// The normal law has some of everything, however far off: leads of 40 in with a spread of half an inch
/// have next to none within an inch of nothing, and it is not said that they have none, nor that all lie
/// within the ten feet that a limit may be at the most.
#[test]
fn next_to_none_is_not_none_and_next_to_all_is_not_all() {
    let leads = "[[pass-run]]\nlead = [40, 40.5, 41, 40, 39.5, 40]\n";
    for (limit, words) in [
        (1, "(95 % interval under 0.1 to under 0.1 %)"),
        (120, "(95 % interval over 99.9 to over 99.9 %)"),
    ] {
        let page = text(&["calibrate"], &sheet(&format!("limit.lead = {limit}\n"), leads));
        let line = page.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(line.contains(words), "{page}");
    }
}

/// Samples of a population whose share inside is known: so often its interval holds that share.
#[test]
fn intervals_hold_the_share_as_often_as_they_claim() {
    let samples =
        std::env::var("SINGLES").ok().and_then(|text| text.parse().ok()).unwrap_or(300_u32);
    let ninety = Confidence::new(0.9).expect("a confidence");
    let mut dice = Dice(20_270_418);
    for (count, off, limit) in
        [(6, 0.0, 1.6), (12, 0.5, 2.0), (12, 1.5, 1.0), (30, 0.0, 0.7), (24, 2.0, 3.0)]
    {
        let truth = 100.0 * share_inside(off, 1.0, limit);
        let mut hits = 0;
        for _ in 0..samples {
            let readings: Vec<Value> =
                (0..count).map(|_| Value::constant(off + dice.normal(1.0))).collect();
            let summary = Summary::of("x", &readings, ninety).expect("readings");
            let spread = summary.spread.expect("a spread");
            let (error, limit) = (&spread.interval.standard_error, Value::constant(limit));
            let degrees = count - 1;
            let next = NextOne::new("x", &spread.sd, error, degrees).expect("a scatter");
            let share = ShareInside::of("x", &summary.mean, &next, &limit);
            let [low, high] = share.expect("a share").interval(ninety).map(|end| end.number());
            hits += u32::from(low <= truth && truth <= high);
        }
        let (found, error) =
            (f64::from(hits) / f64::from(samples), (0.09 / f64::from(samples)).sqrt());
        println!("{count} readings, {off} off, limit {limit}: {found:.4}");
        assert!((found - 0.9).abs() < 4.0 * error + 0.01, "{count} {off} {limit}: {found}");
    }
}
