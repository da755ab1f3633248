//! Lots and plots out of lists that a spreadsheet keeps; packets in driving order; seed besides the
//! trial; labels.

#![allow(clippy::expect_used, clippy::panic)] // helpers of tests

mod common;

use std::path::Path;

use common::program;
use serde_json::Value as Json;
use tempfile::TempDir;

const DEMO: &str = "demo-data/lots-in-a-list";

/// The demo trial in a folder of its own, with another list of lots where one is given.
fn folder(lots: Option<&[u8]>) -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for name in ["trial.toml", "lots.csv", "plots.csv"] {
        let demo = std::fs::read(Path::new(DEMO).join(name)).expect("a file");
        std::fs::write(folder.path().join(name), demo).expect("a copy");
    }
    if let Some(lots) = lots {
        std::fs::write(folder.path().join("lots.csv"), lots).expect("a list");
    }
    folder
}

fn ran(folder: &TempDir, arguments: &[&str]) -> (Option<i32>, String, String) {
    let output = program().args(arguments).current_dir(folder.path()).output().expect("a run");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code(), text(&output.stdout), text(&output.stderr))
}

fn table(folder: &TempDir, key: &str) -> Vec<csv::StringRecord> {
    let arguments = ["packets", "trial.toml", "--format", "csv", "--table", key];
    let (status, text, complaint) = ran(folder, &arguments);
    assert_eq!(status, Some(0), "{complaint}");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.records().map(|row| row.expect("a row")).collect()
}

/// The lots of a trial as their table in the results has them.
fn lots(list: &[u8]) -> Vec<Vec<String>> {
    let folder = folder(Some(list));
    let rows = table(&folder, "lots");
    rows.iter().map(|row| row.iter().map(str::to_owned).collect()).collect()
}

#[test]
fn a_list_is_read_whatever_parts_its_cells() {
    let wanted = lots(b"entry,name,mass,thousand-seed-weight\n1,check A,9.5 kg,180.4 g\n2,\"line, two\",3 kg,200 g\n");
    assert_eq!(wanted[0][..2], ["check A", "1"]);
    assert_eq!(wanted[1][..2], ["line, two", "2"]);
    for list in [
        "entry;name;mass;thousand-seed-weight\n1;check A;9,5 kg;180,4 g\n2;line, two;3 kg;200 g\n",
        "entry\tname\tmass\tthousand-seed-weight\n1\tcheck A\t9,5 kg\t180,4 g\n2\tline, two\t3 kg\t200 g\n",
        "\u{feff}Entry;Name;Mass (kg);Thousand seed weight (g)\r\n1;check A;9,5;180,4\r\n2;\"line, two\";3;200\r\n",
        "Name,Mass [kg],Thousand_Seed_Weight [g],Bred from,Entry\ncheck A,9.5,180.4,cross 4,1\n\n\"line, two\",3,200,,2\n",
        // 9.5 kg and 3 kg in grams, in other columns of the same.
        "entry;mass (g);thousand-seed-weight (g);name\n1;9500;180,4;check A\n2;3000;200;line, two\n",
    ] {
        assert_eq!(lots(list.as_bytes()), wanted, "{list}");
    }
    // A number alone is a lot too, and takes its name from that.
    assert_eq!(lots(b"entry,seeds\n3,3000\n")[0][..2], ["entry 3", "3"]);
}

#[test]
fn a_row_that_is_wrong_is_named_with_its_file_and_line() {
    for (list, said) in [
        ("entry,name,mass\n1,line 1,heavy\n", "lots.csv:2:1"),
        ("entry,name,germination\n1,line 1,92\n2,line 2,920\n", "lots.csv:3:1"),
        ("entry,name\n1,line 1\n1,line 2\n", "lots 1 and 2 are both for entry 1"),
        ("entry,name,germinaton\n1,line 1,92\n", "did you mean `germination`?"),
        ("entry,name\n1,line, one\n", "the row has 3 cells, and the list has 2 columns"),
        ("plot,variety\n1,a\n", "neither a column `name` nor `entry`"),
        ("", "the list is empty"),
    ] {
        let folder = folder(Some(list.as_bytes()));
        let (status, page, complaint) = ran(&folder, &["packets", "trial.toml"]);
        assert_eq!((status, page.as_str()), (Some(2), ""), "{list}: {complaint}");
        let complaint = complaint.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(complaint.contains(said), "{list}: {complaint}");
    }
}

#[test]
fn every_packet_stands_in_the_order_in_which_its_plot_is_planted() {
    let folder = folder(None);
    let rows = table(&folder, "driving-order");
    // 12 passes with borders, 6 ranges with borders each: 72 pieces, 40 of them plots; and 20 tests.
    assert_eq!(rows.len(), 12 * 6 + 20);
    let field = &rows[..72];
    let kinds = |kind: &str| field.iter().filter(|row| &row[5] == kind).count();
    assert_eq!([kinds("plot"), kinds("filler"), kinds("border")], [36, 4, 32]);
    for (place, pass) in field.chunks(6).enumerate() {
        // The first pass that is driven goes out, the next one home, and so on.
        let out = place % 2 == 0;
        let number = if (1..=10).contains(&place) { place.to_string() } else { String::new() };
        let ranges = if out { ["", "1", "2", "3", "4", ""] } else { ["", "4", "3", "2", "1", ""] };
        for (row, range) in pass.iter().zip(ranges) {
            assert_eq!(&row[0], number, "{row:?}");
            assert_eq!((&row[1], &row[2]), (range, if out { "out" } else { "home" }), "{row:?}");
        }
    }
    // Each plot of the list once, with its entry; the lots are those of the entries.
    let mut listed = csv::Reader::from_path(Path::new(DEMO).join("plots.csv")).expect("a list");
    for row in listed.records() {
        let row = row.expect("a row");
        let own: Vec<_> = field.iter().filter(|one| one[3] == row[0]).collect();
        assert_eq!(own.len(), 1, "{row:?}");
        assert_eq!((&own[0][5], &own[0][6]), ("plot", &row[1]));
    }
    let entry_9 = field.iter().find(|row| &row[6] == "9").expect("entry 9");
    // 4 rows of 184 seeds at 189.8 g a thousand are 139.69 g, 139.7 g on a balance of 0.1 g.
    assert_eq!((&entry_9[7], &entry_9[8], &entry_9[9]), ("line 9", "736", "139.7"));
}

#[test]
fn borders_fillers_and_tests_count_with_the_lots_they_are_packed_from() {
    let folder = folder(None);
    let beside = table(&folder, "beside");
    let count = |place: usize| (beside[place][0].to_owned(), beside[place][2].to_owned());
    // 2 passes of 6 and 10 of 2 border pieces; 40 plots less 12 entries in 3 reps.
    assert_eq!(count(0), ("borders".into(), "32".into()));
    assert_eq!(count(1), ("fillers".into(), "4".into()));
    assert_eq!(count(2), ("test ranges".into(), "20".into()));
    let lots = table(&folder, "lots");
    let needed = |place: usize| lots[place][4].parse::<u32>().expect("seeds");
    assert_eq!(needed(0), 736 * (3 + 32 + 4));
    assert_eq!(needed(1), 736 * (3 + 20));
    assert_eq!(needed(2), 736 * 3);
    // 3 x 139.7 - 300 = 119.1 g short.
    assert_eq!((&lots[8][8], &lots[8][7]), ("short", "119.1"));
}

#[test]
fn without_a_list_of_plots_entries_stand_in_order_and_that_is_said() {
    let folder = folder(None);
    let sheet = std::fs::read_to_string(folder.path().join("trial.toml")).expect("a sheet");
    let sheet = sheet.replace("plots = \"plots.csv\"\n", "");
    std::fs::write(folder.path().join("trial.toml"), sheet).expect("a sheet");
    let rows = table(&folder, "driving-order");
    let entry = |plot: &str| rows.iter().find(|row| &row[3] == plot).map(|row| row[6].to_owned());
    assert_eq!(entry("101").as_deref(), Some("1"));
    assert_eq!(entry("110").as_deref(), Some("10"));
    assert_eq!(entry("203").as_deref(), Some("1"), "the second rep starts after twelve plots");
    let page = ran(&folder, &["packets", "trial.toml"]).1;
    assert!(page.contains("[not-randomised]"), "{page}");
}

#[test]
fn a_list_that_does_not_follow_the_reps_is_said_to() {
    let folder = folder(None);
    let plots = std::fs::read_to_string(folder.path().join("plots.csv")).expect("a list");
    let short = plots.lines().take(36).collect::<Vec<_>>().join("\n");
    std::fs::write(folder.path().join("plots.csv"), short).expect("a list");
    let page = ran(&folder, &["packets", "trial.toml"]).1;
    assert!(page.contains("[entries-uneven]"), "{page}");
}

#[test]
fn there_is_a_label_for_each_packet() {
    let folder = folder(None);
    let (status, text, complaint) = ran(&folder, &["print", "labels", "trial.toml"]);
    assert_eq!(status, Some(0), "{complaint}");
    assert_eq!(text.matches("736 seeds").count(), 92);
    assert!(text.contains("plot 301  entry 6\n  line 6\n  736 seeds, 138.0 g\n"), "{text}");
    let html = ["print", "labels", "trial.toml", "--paper", "letter", "--format", "html"];
    let (_, page, _) = ran(&folder, &html);
    // Thirty labels to a sheet: 92 on four.
    assert_eq!(page.matches("class=\"label-sheet\"").count(), 4);
    assert_eq!(page.matches("class=\"label\"").count(), 92);
    // The second label: 3/16 + 2 5/8 + 1/8 in = 2 15/16 in = 74.61 mm from the left.
    assert!(page.contains("left:74.61mm;top:12.70mm;width:66.67mm;height:25.40mm"), "{page}");
    for (sheet, said) in [
        ("4x7, 99.1 mm x 38.1 mm", "do not fit"),
        ("3x8", "no size"),
        ("3x8, 70 x 37", "no unit"),
        ("0x8, 70 mm x 37 mm", "no count"),
        ("3x8, 70 mm x 37 mm, right 3 mm", "no margin"),
    ] {
        let wrong = ["print", "labels", "trial.toml", "--paper", "a4", "--label-sheet", sheet];
        let (status, _, complaint) = ran(&folder, &wrong);
        let complaint = complaint.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(status, Some(2), "{sheet}");
        assert!(complaint.contains(said), "{sheet}: {complaint}");
    }
}

#[test]
fn programs_get_the_same() {
    let folder = folder(None);
    let (_, text, _) = ran(&folder, &["packets", "trial.toml", "--format", "json"]);
    let json: Json = serde_json::from_str(&text).expect("JSON");
    let tables = &json["results"][0]["tables"];
    assert!(tables["driving-order"].to_string().contains("check A"));
    assert!(tables["beside"].to_string().contains("fillers"));
}
