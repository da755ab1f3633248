//! The layout of a field: published layouts, and every number of every list held against every
//! other, in field coordinates and on the globe.

#![allow(clippy::expect_used, clippy::panic)]

mod common;

use std::collections::BTreeSet;
use std::path::Path;

use alleytrue::outcome::geodesy::{Point, distance, from};
use common::{Report, Written, assert_near, assert_printed, cases, run};
use proptest::prelude::*;
use serde_json::Value as Json;

/// Decimals of a degree come in steps of at most 1.1 mm, so two rounded points may be off by 1.6.
const ROUNDED: f64 = 2e-3;

fn stakes(sheet: &str) -> Report {
    let output = Written::new(sheet).run(&["stakes", "--format", "json"]);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    Report::read(&output.stdout)
}

fn demo(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-data").join(name);
    std::fs::read_to_string(path).expect("a demo sheet")
}

const DEMOS: [&str; 2] = ["soybean-forty-entries.toml", "wheat-borders-two-plots-abreast.toml"];

/// A sheet with rows of plots one row wide, so that a pass is `row` wide.
fn sheet(row: &str, plot: &str, alley: &str, ranges: u32, passes: u32, layout: &str) -> String {
    format!(
        "[planter]\nrows = 1\nrow-spacing = \"{row}\"\n[trial]\nplot = \"{plot}\"\nalley = \
         \"{alley}\"\nranges = {ranges}\npasses = {passes}\n[layout]\n{layout}\n"
    )
}

// Published layouts.

#[test]
fn published_layouts_come_out() {
    // Immer 1932, J. Agric. Res. 44:649-668: 10 plots of 33 ft and 9 alleys of 2 ft, 348 ft.
    let immer = stakes(&sheet("3 ft", "33 ft", "2 ft", 10, 1, "headland = \"10 ft\""));
    assert_near(immer.number("stakes", "planted length"), 348.0, 1e-12);
    // Nair 1984: 14 x 0.6 m + 13 x 0.4 m = 13.6 m.
    let nair = stakes(&sheet("1 m", "0.6 m", "0.4 m", 14, 1, "headland = \"2 m\""));
    assert_near(nair.number("stakes", "planted length"), 13.6, 1e-12);
    // Polson 1964: 33 strips of 5 ft and 2 of 12 ft, 189 ft, here across the field.
    let polson =
        sheet("5 ft", "20 ft", "2 ft", 1, 33, "headland = \"5 ft\"\nside-margin = \"12 ft\"");
    assert_near(stakes(&polson).number("stakes", "field width"), 189.0, 1e-12);
    // Garber 1926: net 61 x 14 ft of gross 68 x 21 ft, 59.8 %. Here one plot 14 ft wide with
    // 3 1/2 ft all round.
    let garber = "headland = \"3.5 ft\"\nside-margin = \"3.5 ft\"";
    let garber = stakes(&sheet("7 ft", "61 ft", "7 ft", 1, 2, garber));
    assert_near(garber.number("stakes", "field length"), 68.0, 1e-12);
    assert_near(garber.number("stakes", "field width"), 21.0, 1e-12);
    assert_near(garber.number("stakes", "net area"), 61.0 * 14.0, 1e-12);
    assert_near(garber.number("stakes", "gross area"), 68.0 * 21.0, 1e-12);
    assert_printed(garber.number("stakes", "net of gross area"), "59.8");
}

/// Length entered wrong by so many per cent, and the yield: 1 / (1 + e) - 1, by arithmetic.
#[test]
fn a_length_entered_wrong_makes_the_yield_wrong() {
    let published = [
        (-10.0, "11.11"),
        (-5.0, "5.26"),
        (-2.0, "2.04"),
        (-1.0, "1.01"),
        (1.0, "-0.99"),
        (2.0, "-1.96"),
        (5.0, "-4.76"),
        (10.0, "-9.09"),
    ];
    let report = stakes(&demo(DEMOS[0]));
    let table = report.table("stakes", "yield-error").expect("a table");
    assert_eq!(table.len(), published.len());
    for (row, (off, yields)) in table.iter().zip(published) {
        assert_eq!(row["length_off_percent"].as_f64(), Some(off));
        assert_printed(row["yield_off_percent"].as_f64().expect("a number"), yields);
    }
    // Plots of 17 ft 6 in that come out 1 in short: -1 / 210 of the yield.
    assert_near(report.number("stakes", "yield error of such a plot"), -100.0 / 210.0, 1e-12);
}

// Geodesy.

/// GeographicLib's own test lines on WGS 84 (`geodesic` tests of geographiclib-python, made with
/// extended precision for Karney 2013): latitude and longitude, azimuth, latitude and longitude,
/// distance.
const GEODESICS: [[f64; 6]; 4] = [
    [35.60777, -139.44815, 111.098_748_429_560_33, -11.17491, -69.95921, 8_935_244.560_481_831],
    [55.52454, 106.05087, 22.020_059_880_982_8, 77.03196, 197.18234, 4_105_086.171_392_441],
    [-21.97856, 142.59065, -32.444_568_764_331_89, 41.84138, 98.56635, 8_394_328.894_657_671],
    [-41.22777, 122.32875, 14.285_113_402_275_739, -7.57291, 130.37946, 3_812_686.035_106_021],
];

#[test]
fn published_geodesics_come_out_both_ways() {
    for [latitude, longitude, azimuth, to_latitude, to_longitude, metres] in GEODESICS {
        let to_longitude = if to_longitude > 180.0 { to_longitude - 360.0 } else { to_longitude };
        let found = from(latitude, longitude, azimuth, metres);
        // Rounded to eight decimals, and the published points have five.
        assert!((found.latitude - to_latitude).abs() < 1e-8, "{found:?}");
        assert!((found.longitude - to_longitude).abs() < 1e-8, "{found:?}");
        let ends = [(latitude, longitude), (to_latitude, to_longitude)]
            .map(|(latitude, longitude)| Point { latitude, longitude });
        assert!((distance(ends[0], ends[1]) - metres).abs() < 1e-7);
    }
}

// Every list agrees with every other.

fn number(row: &Json, key: &str) -> f64 {
    row[key].as_f64().unwrap_or_else(|| panic!("no {key} in {row}"))
}

/// A plot of the plot list.
#[derive(Clone, Copy)]
struct Plot {
    number: u64,
    range: u64,
    pass: u64,
    edges: [f64; 4],
}

fn plots(report: &Report, unit: &str) -> Vec<Plot> {
    let whole = |row: &Json, key: &str| row[key].as_u64().expect("a whole number");
    let table = report.table("stakes", "plots").expect("plots");
    let edges = ["x_left", "x_right", "y_near", "y_far"];
    table
        .iter()
        .filter(|row| row["kind"] == "plot")
        .map(|row| Plot {
            number: whole(row, "plot"),
            range: whole(row, "range"),
            pass: whole(row, "pass"),
            edges: edges.map(|edge| number(row, &format!("{edge}_{unit}"))),
        })
        .collect()
}

fn extent(plots: &[Plot], edge: usize) -> (f64, f64) {
    let all = plots.iter().map(|plot| plot.edges[edge]);
    (all.clone().fold(f64::INFINITY, f64::min), all.fold(f64::NEG_INFINITY, f64::max))
}

/// Borders are planted in every pass and range that the plots leave, and cover what they leave.
fn borders_agree(report: &Report, unit: &str, plots: &[Plot]) {
    let value = |name: &str| report.number("stakes", name);
    let or_zero = |name: &str| report.maybe("stakes", name).unwrap_or(0.0);
    let table = report.table("stakes", "plots").expect("plots");
    let borders: Vec<&Json> = table.iter().filter(|row| row["kind"] == "border").collect();
    assert_eq!(borders.len() + plots.len(), table.len());
    let tiers = value("ranges") + 2.0 * or_zero("border ranges");
    let strips = value("passes") + 2.0 * or_zero("border passes");
    #[allow(clippy::cast_precision_loss)]
    let count = borders.len() as f64;
    assert_near(count, tiers * strips - value("ranges") * value("passes"), 0.0);
    let edge = |row: &Json, name: &str| number(row, &format!("{name}_{unit}"));
    let area = |row: &&&Json| {
        (edge(row, "x_right") - edge(row, "x_left")) * (edge(row, "y_far") - edge(row, "y_near"))
    };
    let bordered: f64 = borders.iter().map(|row| area(&row)).sum();
    let planted = tiers * value("plot") * strips * value("pass width");
    assert_near(bordered, planted - value("net area"), 1e-9);
    for row in &borders {
        assert!(
            row["plot"].is_null() && (row["range"].is_null() || row["pass"].is_null()),
            "{row}"
        );
    }
}

/// Holds the lists of a sheet against each other; `metres` is a field unit in metres.
fn lists_agree(sheet: &str, unit: &str, metres: f64) {
    let report = stakes(sheet);
    let value = |name: &str| report.number("stakes", name);
    let or_zero = |name: &str| report.maybe("stakes", name).unwrap_or(0.0);
    let plots = plots(&report, unit);
    // Counts.
    #[allow(clippy::cast_precision_loss)]
    let count = plots.len() as f64;
    assert_near(count, value("plots"), 0.0);
    assert_near(value("entries") * value("reps") + value("plots left to fill"), count, 0.0);
    let numbers: BTreeSet<u64> = plots.iter().map(|plot| plot.number).collect();
    assert_eq!(numbers.len(), plots.len(), "a number comes up twice");
    let places: BTreeSet<(u64, String)> =
        plots.iter().map(|plot| (plot.range, format!("{:.3}", plot.edges[0]))).collect();
    assert_eq!(places.len(), plots.len(), "two plots in one place");
    // Areas and extents.
    let area: f64 = plots
        .iter()
        .map(|plot| (plot.edges[1] - plot.edges[0]) * (plot.edges[3] - plot.edges[2]))
        .sum();
    assert_near(area, value("net area"), 1e-9);
    assert_near(value("gross area"), value("field length") * value("field width"), 1e-12);
    let borders = or_zero("border ranges");
    let trips = value("trip spacing");
    let (near, far) = (extent(&plots, 2).0, extent(&plots, 3).1);
    assert_near(near, value("headland") + borders * trips, 1e-9);
    assert_near(value("field length") - far, value("end headland") + borders * trips, 1e-9);
    assert_near(far - near, value("planted length") - 2.0 * borders * trips, 1e-9);
    let (left, right) = (extent(&plots, 0).0, extent(&plots, 1).1);
    assert_near(left, value("field width") - right, 1e-9);
    let side = or_zero("side margin")
        + or_zero("border passes") * (value("pass width") + or_zero("pass gap"));
    assert_near(left, side, 1e-9);
    // Marks: the middle of every alley between two ranges, and half an alley beyond the ends.
    let marks: Vec<f64> = report
        .table("stakes", "marks")
        .expect("marks")
        .iter()
        .map(|row| number(row, "tape_m"))
        .collect();
    assert_near(marks[0], value("first mark") * metres, 1e-9);
    assert_near(marks[marks.len() - 1], value("last mark") * metres, 1e-9);
    #[allow(clippy::cast_precision_loss)]
    let spare = 2.0 * or_zero("spare wire at an end");
    assert_near(marks[marks.len() - 1] - marks[0], (value("wire length") - spare) * metres, 1e-9);
    for pair in marks.windows(2) {
        assert_near(pair[1] - pair[0], trips * metres, 1e-9);
    }
    for plot in &plots {
        let half = value("alley") / 2.0;
        for edge in [plot.edges[2] - half, plot.edges[3] + half] {
            let on_a_mark = marks.iter().any(|mark| (mark - edge * metres).abs() < 1e-6);
            assert!(on_a_mark, "no mark at {edge}");
        }
    }
    borders_agree(&report, unit, &plots);
    // Diagonals: by Pythagoras.
    for row in report.table("stakes", "marks").expect("marks") {
        let across = value("field width") * metres;
        let wanted = across.hypot(number(row, "tape_m"));
        assert_near(number(row, "diagonal_m"), wanted, 1e-9);
    }
    // Corners: those of the plot list.
    let corners = report.table("stakes", "corners").expect("corners");
    assert_eq!(corners.len(), 4 * plots.len());
    for (plot, own) in plots.iter().zip(corners.chunks(4)) {
        let [left, right, near, far] = plot.edges;
        let wanted = [(left, near), (right, near), (right, far), (left, far)];
        for (row, (x, y)) in own.iter().zip(wanted) {
            assert_eq!(row["plot"].as_u64(), Some(plot.number));
            assert_eq!(number(row, &format!("x_{unit}")), x);
            assert_eq!(number(row, &format!("y_{unit}")), y);
        }
    }
}

#[test]
fn lists_of_the_demo_sheets_agree() {
    lists_agree(&demo(DEMOS[0]), "ft", 0.3048);
    lists_agree(&demo(DEMOS[1]), "m", 1.0);
}

/// The sums in the comments of the demo sheets, by hand.
#[test]
fn the_demo_sheets_come_out_as_their_comments_say() {
    let wanted = [
        vec![
            ("plots", 160.0),
            ("plots left to fill", 0.0),
            ("marks", 17.0),
            ("first mark", 38.75),
            ("planted length", 317.5),
            ("field length", 397.5),
            ("field width", 120.0),
            ("wire length", 16.0 * 20.0 + 2.0 * 6.0),
            ("net area", 160.0 * 17.5 * 10.0),
            ("net area in acres", 28_000.0 / 43_560.0),
        ],
        vec![
            ("plots", 40.0),
            ("plots left to fill", 4.0),
            ("marks", 8.0),
            ("first mark", 11.25),
            ("last mark", 63.75),
            ("field length", 71.0),
            ("field width", 14.5),
            ("wire length", 7.0 * 7.5 + 6.0),
            ("net area", 180.0),
            ("gross area", 1029.5),
            ("gross area in hectares", 0.10295),
        ],
    ];
    for (name, values) in DEMOS.into_iter().zip(wanted) {
        let report = stakes(&demo(name));
        for (value, wanted) in values {
            assert_near(report.number("stakes", value), wanted, 1e-12);
        }
    }
}

/// Signed area of a ring of longitudes and latitudes: above zero where it runs
/// counter-clockwise.
fn turns_left(ring: &[Vec<f64>]) -> bool {
    ring.windows(2).map(|pair| pair[0][0] * pair[1][1] - pair[1][0] * pair[0][1]).sum::<f64>() > 0.0
}

fn point(position: &Json) -> Point {
    let number = |index: usize| position[index].as_f64().expect("a number");
    Point { longitude: number(0), latitude: number(1) }
}

/// RFC 7946: positions are longitude and latitude, rings are closed and counter-clockwise, and
/// every distance is that of the field coordinates.
#[test]
fn geojson_lies_as_the_field_coordinates_do() {
    for (name, unit, metres) in [(DEMOS[0], "ft", 0.3048), (DEMOS[1], "m", 1.0)] {
        let text = demo(name);
        let report = stakes(&text);
        let plots = plots(&report, unit);
        let output = Written::new(&text).run(&["stakes", "--format", "geojson"]);
        assert_eq!(output.status.code(), Some(0));
        let map: Json = serde_json::from_slice(&output.stdout).expect("JSON");
        assert_eq!(map["type"], "FeatureCollection");
        let features = map["features"].as_array().expect("features");
        let of_kind = |kind: &str| -> Vec<&Json> {
            features.iter().filter(|one| one["properties"]["kind"] == kind).collect()
        };
        assert!(features.iter().all(|one| one["type"] == "Feature"));
        let (maps, marks) = (of_kind("plot"), of_kind("mark"));
        assert_eq!(maps.len(), plots.len());
        // Rings, and both sides and the diagonal of every plot.
        for (feature, plot) in maps.iter().zip(&plots) {
            assert_eq!(feature["properties"]["plot"].as_u64(), Some(plot.number));
            assert_eq!(feature["properties"]["pass"].as_u64(), Some(plot.pass));
            let ring = &feature["geometry"]["coordinates"][0];
            let rows: Vec<Vec<f64>> = serde_json::from_value(ring.clone()).expect("a ring");
            assert_eq!(rows.len(), 5);
            assert_eq!(rows[0], rows[4]);
            // From its own corner, since the sum loses the digits otherwise.
            let origin = rows[0].clone();
            let near: Vec<Vec<f64>> =
                rows.iter().map(|p| vec![p[0] - origin[0], p[1] - origin[1]]).collect();
            assert!(turns_left(&near), "{feature}");
            let [left, right, near, far] = plot.edges.map(|edge| edge * metres);
            let corner = |index: usize| point(&ring[index]);
            assert!((distance(corner(0), corner(1)) - (right - left)).abs() < ROUNDED);
            assert!((distance(corner(1), corner(2)) - (far - near)).abs() < ROUNDED);
            let diagonal = (right - left).hypot(far - near);
            assert!((distance(corner(0), corner(2)) - diagonal).abs() < ROUNDED);
            // From the near left corner of the field, whichever corner the sheet gives.
            let field = &of_kind("field")[0]["geometry"]["coordinates"][0];
            let away = distance(point(&field[0]), corner(2));
            assert!((away - right.hypot(far)).abs() < ROUNDED);
        }
        // Borders: those of the plot list, corner by corner from that of the field.
        let table = report.table("stakes", "plots").expect("plots");
        let borders: Vec<&Json> = table.iter().filter(|row| row["kind"] == "border").collect();
        let drawn = of_kind("border");
        assert_eq!(drawn.len(), borders.len());
        let field = &of_kind("field")[0]["geometry"]["coordinates"][0];
        for (feature, row) in drawn.iter().zip(borders) {
            assert_eq!(feature["properties"]["pass"], row["pass"]);
            assert_eq!(feature["properties"]["heading"], row["heading"]);
            let edge = |name: &str| number(row, &format!("{name}_{unit}")) * metres;
            let far_right = point(&feature["geometry"]["coordinates"][0][2]);
            let wanted = edge("x_right").hypot(edge("y_far"));
            assert!((distance(point(&field[0]), far_right) - wanted).abs() < ROUNDED);
        }
        // Marks: from the near corner of their own side, as far as the tape says.
        let field = &of_kind("field")[0]["geometry"]["coordinates"][0];
        let tape = report.table("stakes", "marks").expect("marks");
        assert_eq!(marks.len(), 2 * tape.len());
        for (index, mark) in marks.iter().enumerate() {
            let corner = if mark["properties"]["side"] == "left" { 0 } else { 1 };
            let away = distance(point(&field[corner]), point(&mark["geometry"]["coordinates"]));
            let wanted = number(&tape[index / 2], "tape_m");
            assert_eq!(number(&mark["properties"], "tape_m"), wanted);
            assert!((away - wanted).abs() < ROUNDED, "{away} where {wanted} is right");
        }
    }
}

/// The given corner is that corner, and the travel out has the given bearing.
#[test]
fn the_given_corner_and_bearing_are_kept() {
    // 48 deg 12' 30.5'' = 48.208 472 22; 11 deg 34' 20.25'' = 11.572 291 67 (by hand).
    let report = stakes(&demo(DEMOS[1]));
    let corners = report.table("stakes", "field-corners").expect("corners");
    let right = corners.iter().find(|row| row["corner"] == "near right").expect("a corner");
    assert_eq!(number(right, "latitude"), 48.208_472_22);
    assert_eq!(number(right, "longitude"), 11.572_291_67);
    // Due north and due east keep longitude and latitude: 1852 m north are close to a minute.
    let north = "headland = \"10 m\"\nbearing = 0\n\
                 corner = { latitude = 45, longitude = 7, side = \"left\" }";
    let report = stakes(&sheet("1 m", "5 m", "1 m", 300, 2, north));
    let corners = report.table("stakes", "field-corners").expect("corners");
    assert_eq!(number(&corners[3], "longitude"), 7.0);
    assert!(number(&corners[3], "latitude") > 45.0 && number(&corners[1], "longitude") > 7.0);
    // A degree of the meridian is 111 131.7 m at 45 degrees (from memory); the field is
    // 300 x 5 + 299 x 1 + 2 x 10 = 1819 m long.
    let degrees = number(&corners[3], "latitude") - 45.0;
    assert!((degrees - 1819.0 / 111_131.7).abs() < 1e-5, "{degrees}");
}

/// The CSV of a list has its rows, and the corners have the plots'.
#[test]
fn csv_has_every_row() {
    let path = Path::new("demo-data").join(DEMOS[0]);
    let report = stakes(&demo(DEMOS[0]));
    for key in ["marks", "mark-points", "plots", "corners", "field-corners"] {
        let output = run(&["stakes", "--format", "csv", "--table", key], &path);
        let mut reader = csv::Reader::from_reader(output.stdout.as_slice());
        let rows = report.table("stakes", key).expect("a table");
        let heads = reader.headers().expect("heads").clone();
        let records: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a row")).collect();
        assert_eq!(records.len(), rows.len(), "{key}");
        for (record, row) in records.iter().zip(rows) {
            for (head, cell) in heads.iter().zip(record) {
                match &row[head] {
                    Json::Number(number) => {
                        let cell: f64 = cell.parse().expect("a number");
                        assert_near(cell, number.as_f64().expect("a number"), 1e-11);
                    }
                    other => assert_eq!(Some(cell), other.as_str()),
                }
            }
        }
    }
}

// Numbers.

/// The numbers of a small field by range, from left to right.
fn plan(layout: &str) -> Vec<Vec<u64>> {
    let text = sheet("1 m", "5 m", "1 m", 3, 3, &format!("headland = \"5 m\"\n{layout}"));
    let mut plots = plots(&stakes(&text), "m");
    plots.sort_by(|a, b| a.edges[0].total_cmp(&b.edges[0]));
    (1..=3)
        .map(|range| plots.iter().filter(|p| p.range == range).map(|p| p.number).collect())
        .collect()
}

#[test]
fn plots_are_numbered_as_asked() {
    let serpentine = [[101, 102, 103], [106, 105, 104], [107, 108, 109]];
    assert_eq!(plan(""), serpentine);
    assert_eq!(
        plan("numbering = \"straight\""),
        [[101, 102, 103], [104, 105, 106], [107, 108, 109]]
    );
    assert_eq!(
        plan("first-pass = \"right\""),
        serpentine.map(|mut row| {
            row.reverse();
            row
        })
    );
    assert_eq!(
        plan("numbers-run = \"along\""),
        [[101, 106, 107], [102, 105, 108], [103, 104, 109]]
    );
    assert_eq!(
        plan("first-plot = 1001\nnumber-step = 1000\nnumbering = \"straight\""),
        [[1001, 1002, 1003], [2001, 2002, 2003], [3001, 3002, 3003]]
    );
}

#[test]
fn a_trial_without_room_is_told_so() {
    let text = sheet("1 m", "5 m", "1 m", 3, 3, "headland = \"5 m\"")
        .replace("[layout]", "entries = 5\nreps = 2\n[layout]");
    let report = stakes(&text);
    assert_eq!(report.number("stakes", "plots left to fill"), -1.0);
    assert!(report.warned("stakes", "too-few-plots"));
}

// Bad layouts.

fn refused(sheet: &str) -> String {
    let output = Written::new(sheet).run(&["stakes"]);
    assert_eq!(output.status.code(), Some(2), "{sheet}");
    assert!(output.stdout.is_empty());
    let said = String::from_utf8(output.stderr).expect("text");
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn layouts_that_cannot_be_are_refused() {
    let corner = |latitude: &str, longitude: &str| {
        format!(
            "headland = \"5 m\"\nbearing = 90\ncorner = {{ latitude = {latitude}, longitude = \
             {longitude}, side = \"left\" }}"
        )
    };
    let cases = [
        (String::new(), "[layout] has no `headland`"),
        ("headland = \"40 cm\"".into(), "no room for the first mark"),
        ("headland = \"5 m\"\nend-headland = \"0 m\"".into(), "no room for the last mark"),
        ("headland = \"5 m\"\nnumber-step = 3".into(), "numbers would come up twice"),
        ("headland = \"5 m\"\nbearing = 12.5".into(), "needs `corner` too"),
        (
            "headland = \"5 m\"\ncorner = { latitude = 1, longitude = 2, side = \"left\" }".into(),
            "needs `bearing` too",
        ),
        ("headland = \"5 m\"\nbearing = \"12,5\"".into(), "error[decimal-comma]"),
        ("headland = \"5 m\"\nbearing = \"north\"".into(), "`bearing` is no angle"),
        ("headland = \"5 m\"\nbearing = 400".into(), "allowed: 0 deg to 360 deg"),
        (corner("42.5", "\"93 deg 61' W\""), "`longitude` is no angle"),
        (corner("\"42.5 E\"", "7"), "`latitude` is no angle"),
        (corner("89", "7"), "allowed: -85 deg to 85 deg"),
        (corner("-17", "179.9999"), "180th meridian"),
        ("headland = \"5 m\"\nfirst-pass = \"north\"".into(), "allowed: \"left\" or \"right\""),
    ];
    for (layout, message) in cases {
        let said = refused(&sheet("1 m", "5 m", "1 m", 3, 4, &layout));
        assert!(said.contains(message), "{layout}\n{said}");
    }
    let big = sheet("1 m", "5 m", "1 m", 10_000, 10_000, "headland = \"5 m\"");
    assert!(refused(&big).contains("100000000 plots is too large"));
    let long = sheet("1 m", "300 m", "1 m", 40, 1, &corner("42", "7"));
    assert!(refused(&long).contains("not placed on the globe"));
    let uneven = sheet("1 m", "5 m", "1 m", 3, 3, "headland = \"5 m\"")
        .replace("rows = 1", "rows = 4")
        .replace("[layout]", "rows-per-plot = 3\n[layout]");
    assert!(refused(&uneven).contains("allowed: 1, 2, 4"));
    let bare = refused("[layout]\nheadland = \"5 m\"\n");
    for key in ["plot", "alley", "ranges", "passes", "rows", "row-spacing"] {
        assert!(bare.contains(&format!("needs `{key}`")), "{key}: {bare}");
    }
}

#[test]
fn a_map_needs_a_place_and_a_field() {
    let output = |sheet: &str, command: &str| {
        let output = Written::new(sheet).run(&[command, "--format", "geojson"]);
        assert_eq!(output.status.code(), Some(2));
        assert!(output.stdout.is_empty());
        let said = String::from_utf8(output.stderr).expect("text");
        said.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let nowhere = sheet("1 m", "5 m", "1 m", 3, 3, "headland = \"5 m\"");
    assert!(output(&nowhere, "stakes").contains("where on the globe"));
    assert!(output(&demo("soybean-advanced-north.toml"), "trip").contains("no map"));
}

/// Plots of 20 ft and alleys of 5 ft behind 40 ft: marks at 37.5, 62.5, 87.5, ... A field 60 ft wide.
/// A tape of 100 ft reaches along to 87.5, mark 3, and across to the one at 62.5, mark 2:
/// sqrt(60^2 + 62.5^2) = 86.64, and sqrt(60^2 + 87.5^2) = 106.10 is too long.
#[test]
fn a_short_tape_says_how_far_it_reaches_and_what_squares_the_field() {
    let with = |tape: &str| {
        let layout = format!("headland = \"40 ft\"\n{tape}");
        let sheet = "[planter]\nrows = 4\nrow-spacing = \"30 in\"\n[trial]\nplot = \"20 ft\"\n\
                     alley = \"5 ft\"\nranges = 10\npasses = 6\n[layout]\n";
        stakes(&format!("{sheet}{layout}"))
    };
    let short = with("tape = \"100 ft\"");
    assert_near(short.number("stakes", "diagonal from a near corner to mark 2"), 86.638_6, 1e-5);
    let said = short.result("stakes").to_string();
    assert!(said.contains("tape-short") && said.contains("it ends after mark 3"), "{said}");
    assert!(said.contains("diagonals to mark 2"), "{said}");
    // The last mark stands at 37.5 + 10 x 25 = 287.5: 300 ft reach along, and across from
    // sqrt(60^2 + 287.5^2) = 293.69 too.
    let long = with("tape = \"300 ft\"");
    assert_near(long.number("stakes", "diagonal from a near corner to mark 11"), 293.694, 1e-5);
    assert!(!long.warned("stakes", "tape-short"));
    let none = with("");
    assert_near(none.number("stakes", "diagonal from a near corner to mark 11"), 293.694, 1e-5);
}

// Laws.

/// A random field, in centimetres.
#[derive(Clone, Debug)]
struct Field {
    plot: u32,
    alley: u32,
    row: u32,
    rows_per_plot: u32,
    abreast: u32,
    ranges: u32,
    passes: u32,
    borders: (u32, u32),
    headland: u32,
    margin: u32,
    gap: u32,
    along: bool,
    straight: bool,
    bearing: u32,
    latitude: i32,
}

fn fields() -> impl Strategy<Value = Field> {
    let lengths = (30..2000_u32, 5..600_u32, 10..150_u32, 300..3000_u32, 0..500_u32, 0..100_u32);
    let counts = (1..5_u32, 1..4_u32, 1..12_u32, 1..9_u32, (0..3_u32, 0..3_u32));
    let rest = (any::<bool>(), any::<bool>(), 0..=360_u32, -84..=84_i32);
    (lengths, counts, rest).prop_map(|(lengths, counts, rest)| {
        let (plot, alley, row, headland, margin, gap) = lengths;
        let (rows_per_plot, abreast, ranges, passes, borders) = counts;
        let (along, straight, bearing, latitude) = rest;
        Field {
            plot,
            alley,
            row,
            rows_per_plot,
            abreast,
            ranges,
            passes,
            borders,
            headland,
            margin,
            gap,
            along,
            straight,
            bearing,
            latitude,
        }
    })
}

impl Field {
    /// The sheet, its lengths written by `write`, seen from the given side.
    fn sheet(&self, write: impl Fn(u32) -> String, side: &str) -> String {
        let [plot, alley, row, headland, margin, gap] =
            [self.plot, self.alley, self.row, self.headland, self.margin, self.gap].map(write);
        format!(
            "[planter]\nrows = {}\nrow-spacing = {row}\n[trial]\nplot = {plot}\nalley = {alley}\n\
             ranges = {}\npasses = {}\nrows-per-plot = {}\nentries = 2\nreps = 3\n[layout]\n\
             headland = {headland}\nside-margin = {margin}\npass-gap = {gap}\nborder-ranges = {}\n\
             border-passes = {}\nfirst-pass = \"{side}\"\nnumbers-run = \"{}\"\nnumbering = \
             \"{}\"\nbearing = {}\ncorner = {{ latitude = {}, longitude = 7.5, side = \"{side}\" }}\n",
            self.rows_per_plot * self.abreast,
            self.ranges,
            self.passes,
            self.rows_per_plot,
            self.borders.0,
            self.borders.1,
            if self.along { "along" } else { "across" },
            if self.straight { "straight" } else { "serpentine" },
            self.bearing,
            self.latitude
        )
    }
}

fn centimetres(length: u32) -> String {
    format!("\"{length} cm\"")
}

proptest! {
    #![proptest_config(cases(24))]

    #[test]
    fn lists_of_any_field_agree(field in fields()) {
        lists_agree(&field.sheet(centimetres, "left"), "m", 1.0);
    }

    /// Metres are 100 cm: the way a length is written makes no difference.
    #[test]
    fn units_make_no_difference(field in fields()) {
        let metres = |length: u32| format!("\"{}.{:02} m\"", length / 100, length % 100);
        let one = stakes(&field.sheet(centimetres, "left"));
        let other = stakes(&field.sheet(metres, "left"));
        for (a, b) in plots(&one, "m").iter().zip(plots(&other, "m")) {
            prop_assert_eq!(a.number, b.number);
            for (a, b) in a.edges.iter().zip(b.edges) {
                prop_assert!((a - b).abs() < 1e-9);
            }
        }
    }

    /// Pass 1 on the right instead of the left: the same field in a mirror.
    #[test]
    fn the_other_side_is_the_mirror_image(field in fields()) {
        let left = stakes(&field.sheet(centimetres, "left"));
        let right = stakes(&field.sheet(centimetres, "right"));
        let width = left.number("stakes", "field width");
        for (a, b) in plots(&left, "m").iter().zip(plots(&right, "m")) {
            prop_assert_eq!((a.number, a.range, a.pass), (b.number, b.range, b.pass));
            prop_assert!((a.edges[0] - (width - b.edges[1])).abs() < 1e-9);
            prop_assert!((a.edges[1] - (width - b.edges[0])).abs() < 1e-9);
            prop_assert_eq!(a.edges[2], b.edges[2]);
        }
    }
}

#[test]
fn a_map_holds_no_character_that_turns_text_around() {
    // TOML's own escapes: an override of the writing direction, and a bell.
    let own = |line: &str| match line.starts_with("title") {
        true => "title = \"north \\u202e\\u0007 block\"\n".to_owned(),
        false => format!("{line}\n"),
    };
    let sheet: String = demo(DEMOS[0]).lines().map(own).collect();
    let output = Written::new(&sheet).run(&["stakes", "--format", "geojson"]);
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    assert!(text.contains("north \\u202e\\u0007 block"), "JSON's own escapes");
    assert!(!text.contains(['\u{202e}', '\u{7}']));
    let map: Json = serde_json::from_str(&text).expect("JSON");
    assert_eq!(map["features"][0]["properties"]["title"], "north \u{202e}\u{7} block");
}

#[test]
fn calibrate_names_the_commands_of_a_sheet_without_runs() {
    let sheet = "[planter]\nrows = 4\nrow-spacing = \"30 in\"\n[trial]\nplot = \"20 ft\"\n\
                 alley = \"30 in\"\nranges = 3\npasses = 2\n[layout]\nheadland = \"40 ft\"\n";
    let output = Written::new(sheet).run(&["calibrate"]);
    assert_eq!(output.status.code(), Some(2));
    let words = String::from_utf8(output.stderr).expect("UTF-8");
    assert!(words.contains("`alleytrue stakes`") && !words.contains("packets"), "{words}");
}

/// One border range before and one behind 5 ranges: 8 marks.
#[test]
fn marks_say_what_they_lie_between() {
    let report = stakes(&demo("wheat-borders-two-plots-abreast.toml"));
    let marks = report.table("stakes", "marks").expect("marks");
    let between: Vec<&str> =
        marks.iter().map(|row| row["between"].as_str().expect("words")).collect();
    let wanted = [
        "before border",
        "border and range 1",
        "range 1 and range 2",
        "range 2 and range 3",
        "range 3 and range 4",
        "range 4 and range 5",
        "range 5 and border",
        "after border",
    ];
    assert_eq!(between, wanted);
}
