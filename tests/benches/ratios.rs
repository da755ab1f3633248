//! What the program costs beside a program that only reads and parses the same sheets with the
//! toml crate, measured in pairs in one run: `cargo bench --bench ratios`.
//!
//! Prints medians, ratios and peak memory. `ratios parse-only THREADS PATH...` is the other
//! program. `--quick` measures less, for a look.
#![allow(missing_docs)]
#![allow(clippy::expect_used, clippy::panic)] // a measuring stand: what goes wrong ends it

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use alleytrue::calculations::sprockets::{Position, Stage, Wanted, best};

const PROGRAM: &str = env!("CARGO_BIN_EXE_alleytrue");

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.split_first() {
        Some((first, rest)) if first == "parse-only" => parse_only(rest),
        _ => measure(arguments.iter().any(|argument| argument == "--quick")),
    }
}

// The other program.

/// Reads and parses every sheet named, and every one in the folders named.
fn parse_only(arguments: &[String]) {
    let (threads, paths) = arguments.split_first().expect("threads");
    let threads = threads.parse().expect("a number of threads");
    let mut sheets: Vec<PathBuf> = vec![];
    for path in paths.iter().map(Path::new) {
        if path.is_dir() {
            let entries = std::fs::read_dir(path).expect("a folder");
            sheets.extend(entries.map(|entry| entry.expect("an entry").path()));
        } else {
            sheets.push(path.into());
        }
    }
    sheets.sort();
    let next = AtomicUsize::new(0);
    let keys = AtomicUsize::new(0);
    let work = || {
        while let Some(sheet) = sheets.get(next.fetch_add(1, Ordering::Relaxed)) {
            let text = std::fs::read_to_string(sheet).expect("a sheet");
            let table: toml::Table = text.parse().expect("TOML");
            keys.fetch_add(table.len(), Ordering::Relaxed);
        }
    };
    if threads == 1 {
        work();
    } else {
        std::thread::scope(|scope| (0..threads).for_each(|_| drop(scope.spawn(work))));
    }
    println!("{} keys", keys.into_inner());
}

// The sheets.

/// A number that looks measured: the same for the same place.
fn scattered(middle: f64, spread: f64, place: usize) -> f64 {
    let mixed = (place as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15).rotate_left(31);
    let share = (mixed.wrapping_mul(0xbf58_476d_1ce4_e5b9) >> 40) as f64 / (1_u64 << 24) as f64;
    middle + spread * (2.0 * share - 1.0)
}

fn readings(middle: f64, spread: f64, count: usize, seed: usize) -> String {
    let mut list = String::new();
    for place in 0..count {
        let comma = if place == 0 { "" } else { ", " };
        let reading = scattered(middle, spread, seed * 64 + place);
        write!(list, "{comma}{reading:.1}").expect("memory");
    }
    list
}

/// A sheet of about 1 KB with a trip run, an alley run and a pass run.
fn small_sheet(seed: usize) -> String {
    format!(
        "title = \"Trial {seed}\"\nbare-length = \"in\"\n\n\
         [planter]\nrows = 4\nrow-spacing = \"30 in\"\n\n\
         [planter.controller]\ntrip-scale = {{ counts = \"per length\", step = 0.01 }}\n\
         setback = {{ raising-moves-alley = \"back\", step = \"0.5 in\" }}\n\
         pass-offset = {{ raising-moves-alley = \"ahead\", step = \"0.5 in\" }}\n\n\
         [trial]\nplot = \"17 ft 6 in\"\nalley = \"30 in\"\nspeed = \"2.8 mph\"\n\
         population = \"139000 /ac\"\nranges = 30\n\
         tolerance = {{ trip = \"1 in\", centre = \"1 in\", passes = \"1 in\" }}\n\n\
         [settings]\ntrip-scale = 402.5\nsetback = \"15 in\"\npass-offset = \"6.5 in\"\n\n\
         [[trip-run]]\ndate = 2027-04-18\nmarks = \"20 ft\"\nreadout = [{}]\n\n\
         [[alley-run]]\ndate = 2027-04-18\nheading = \"out\"\nlast-seed-to-mark = [{}]\n\
         mark-to-first-seed = [{}]\n\n[[pass-run]]\ndate = 2027-04-18\nlead = [{}]\n",
        readings(238.0, 0.8, 12, seed),
        readings(12.0, 1.0, 12, seed + 1),
        readings(17.8, 1.0, 12, seed + 2),
        readings(5.0, 1.0, 12, seed + 3),
    )
}

fn folder_of(count: usize, root: &Path) -> PathBuf {
    let folder = root.join(format!("sheets-{count}"));
    std::fs::create_dir(&folder).expect("a folder");
    for seed in 0..count {
        std::fs::write(folder.join(format!("{seed:06}.toml")), small_sheet(seed)).expect("a sheet");
    }
    folder
}

fn long_sheet(count: usize, root: &Path) -> PathBuf {
    let path = root.join(format!("readings-{count}.toml"));
    let list = readings(238.0, 0.8, count, 1);
    let sheet = small_sheet(1);
    let (before, after) = sheet.split_once("readout = [").expect("a trip run");
    let (_, after) = after.split_once(']').expect("its end");
    std::fs::write(&path, format!("{before}readout = [{list}]{after}")).expect("a sheet");
    path
}

// The measuring.

/// Runs a program; the seconds it took.
fn run(program: &Path, arguments: &[&str]) -> f64 {
    let started = Instant::now();
    let child = Command::new(program)
        .args(arguments)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("a program");
    let status = child.wait_with_output().expect("its end").status;
    let time = started.elapsed().as_secs_f64();
    assert!(status.success(), "{} {arguments:?}: {status}", program.display());
    time
}

/// Runs a program; the most bytes that it held, where the system says. They are looked at while
/// it runs, so that it is a run of its own.
fn memory(program: &Path, arguments: &[&str]) -> Option<u64> {
    let mut child: Child = Command::new(program)
        .args(arguments)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("a program");
    let status = format!("/proc/{}/status", child.id());
    let mut most = None;
    loop {
        let text = std::fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let kilobytes =
            line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<u64>().ok());
        most = most.max(kilobytes.map(|kilobytes| kilobytes * 1024));
        if child.try_wait().expect("its end").is_some() {
            return most;
        }
        std::thread::sleep(Duration::from_micros(500));
    }
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times.get(times.len() / 2).copied().unwrap_or(f64::NAN)
}

/// Runs two programs in turn; the median time of each, and the median of the ratios of the pairs,
/// since what else the machine does weighs on both of a pair.
fn pairs(rounds: usize, first: impl Fn() -> f64, second: impl Fn() -> f64) -> (f64, f64, f64) {
    let (mut a, mut b, mut ratios) = (vec![], vec![], vec![]);
    first();
    second();
    for _ in 0..rounds {
        let (one, two) = (first(), second());
        a.push(one);
        b.push(two);
        ratios.push(one / two);
    }
    (median(a), median(b), median(ratios))
}

fn row(what: &str, ours: String, other: String, ratio: String, aim: &str) {
    println!("| {what} | {ours} | {other} | {ratio} | {aim} |");
}

fn millis(seconds: f64) -> String {
    if seconds < 1.0 { format!("{:.2} ms", seconds * 1e3) } else { format!("{seconds:.2} s") }
}

fn mebibytes(bytes: Option<u64>) -> String {
    bytes.map_or("not known".into(), |bytes| format!("{:.1} MiB", bytes as f64 / 1_048_576.0))
}

fn measure(quick: bool) {
    let root = tempfile::tempdir().expect("a folder");
    let root = root.path();
    let this = std::env::current_exe().expect("this program");
    let program = Path::new(PROGRAM);
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let threads = cores.to_string();
    let text = |path: &Path| path.to_str().expect("a plain path").to_owned();
    println!("{cores} cores; medians of pairs run in turn\n");
    row("what", "alleytrue".into(), "parse only".into(), "ratio".into(), "aim");
    row("---", "---".into(), "---".into(), "---".into(), "---");

    let one = root.join("starter.toml");
    std::fs::write(&one, alleytrue::sheet::starter::US).expect("a sheet");
    let one = text(&one);
    let rounds = if quick { 30 } else { 300 };
    for (what, command) in [
        ("one sheet, page of text", vec!["calibrate", &one]),
        ("one sheet, `--brief`", vec!["calibrate", "--brief", &one]),
        ("one sheet, CSV", vec!["batch", "--jobs", "1", &one]),
    ] {
        let other = || run(&this, &["parse-only", "1", &one]);
        let (ours, theirs, ratio) = pairs(rounds, || run(program, &command), other);
        row(what, millis(ours), millis(theirs), format!("{ratio:.2}"), "2.0");
    }
    // So short a run may end before it is looked at.
    let most = |program: &Path, arguments: &[&str]| {
        (0..rounds).filter_map(|_| memory(program, arguments)).max()
    };
    let page = most(program, &["calibrate", &one]);
    let parsed = most(&this, &["parse-only", "1", &one]);
    row("its peak memory", mebibytes(page), mebibytes(parsed), "-".into(), "6 MiB");

    let five_thousand = text(&folder_of(5_000, root));
    let other = || run(&this, &["parse-only", "1", &five_thousand]);
    let batch = || run(program, &["batch", "--jobs", "1", &five_thousand]);
    let (ours, theirs, ratio) = pairs(if quick { 3 } else { 9 }, batch, other);
    let what = "5000 sheets of 1 KB on one core, CSV";
    row(what, millis(ours), millis(theirs), format!("{ratio:.2}"), "2.0");

    let (few, many) = if quick { (1_000, 10_000) } else { (10_000, 100_000) };
    let thousand = text(&folder_of(1_000, &root.join(".")));
    let few_folder = if quick { thousand.clone() } else { text(&folder_of(few, root)) };
    let rounds = if quick { 3 } else { 9 };
    let other = || run(&this, &["parse-only", &threads, &few_folder]);
    let (ours, theirs, ratio) = pairs(rounds, || run(program, &["batch", &few_folder]), other);
    let what = format!("{few} sheets of 1 KB, CSV");
    row(&what, millis(ours), millis(theirs), format!("{ratio:.2}"), "2.0");

    let many_folder = text(&folder_of(many, root));
    let rounds = if quick { 1 } else { 3 };
    let all = || run(program, &["batch", &many_folder]);
    let (ours, tenth, ratio) = pairs(rounds, all, || run(program, &["batch", &few_folder]));
    let what = format!("{many} sheets against ten times {few}");
    let tens = millis(10.0 * tenth);
    row(&what, millis(ours), tens, format!("{:.2}", ratio / 10.0), "1.1");

    let small = memory(program, &["batch", &thousand]);
    let large = memory(program, &["batch", &many_folder]);
    let growth = small
        .zip(large)
        .map_or("-".into(), |(small, large)| format!("{:.2}", large as f64 / small as f64));
    let what = format!("peak memory at {many}, and at 1000");
    row(&what, mebibytes(large), mebibytes(small), growth, "64 MiB, 1");

    let any = || Position { fitted: 20, choices: (11..=51).collect() };
    let stages = [Stage { driving: any(), driven: any() }, Stage { driving: any(), driven: any() }];
    let wanted = Wanted {
        ratio: 0.437_219,
        tolerance: Some(0.01),
        chain_fits: &|_, _, _| true,
        has_room: &|_, _, _| true,
        heed_chains: true,
    };
    let started = Instant::now();
    let found = best(&stages, &wanted, 8).map_or(0, |found| found.len());
    let time = started.elapsed().as_secs_f64();
    let what = "2.8 million sprocket combinations";
    row(what, millis(time), format!("{found} found"), "-".into(), "0.1 s");

    let counts: &[usize] = if quick { &[10_000, 100_000] } else { &[10_000, 100_000, 1_000_000] };
    let mut before: Option<f64> = None;
    for count in counts {
        let sheet = text(&long_sheet(*count, root));
        let rounds = if quick || *count > 100_000 { 3 } else { 9 };
        let other = || run(&this, &["parse-only", "1", &sheet]);
        let batch = || run(program, &["batch", "--jobs", "1", &sheet]);
        let (ours, theirs, ratio) = pairs(rounds, batch, other);
        // Ten times the readings: the exponent is the logarithm of the growth.
        let exponent = before.map_or("-".into(), |before| {
            format!("{ratio:.2}; exponent {:.2}", (ours / before).log10())
        });
        before = Some(ours);
        row(&format!("one sheet, {count} readings"), millis(ours), millis(theirs), exponent, "1");
    }
}
