//! The reference: one page a topic, in Markdown, for the screen (`alleytrue explain TOPIC`), for
//! the manual (`alleytrue man FOLDER`) and for the documentation of this library.
//!
//! Every command and every sum on these pages is run as a test.

/// One page of the reference.
#[derive(Debug)]
pub struct Topic {
    /// Word it is asked for by.
    pub name: &'static str,
    /// What it is about, in a line.
    pub about: &'static str,
    /// The page in Markdown; its first line is its title.
    pub text: &'static str,
}

impl Topic {
    /// Title of the page.
    ///
    /// ```
    /// assert_eq!(alleytrue::reference::CSV.title(), "CSV for a spreadsheet");
    /// ```
    #[must_use]
    pub fn title(&self) -> &'static str {
        self.text.lines().next().unwrap_or_default().trim_start_matches("# ")
    }
}

macro_rules! topics {
    ($($topic:ident = $name:literal, $about:literal;)+) => {
        $(#[doc = $about]
        #[doc = ""]
        #[doc = include_str!(concat!($name, ".md"))]
        pub static $topic: Topic =
            Topic { name: $name, about: $about, text: include_str!(concat!($name, ".md")) };)+
        /// Every page, in the order of this list.
        pub static ALL: &[&Topic] = &[$(&$topic),+];
    };
}

topics! {
    SHEET = "sheet", "How a field sheet is written: tables, keys, runs, readings.";
    KEYS = "keys", "Every table of the sheet, key by key.";
    UNITS = "units", "Units, and how to write a length, a speed, a time, a share.";
    SIGNS = "signs", "Which way is which: ahead and back, leads, what to raise.";
    LINES = "lines", "How to read a line of the working, and check it by hand.";
    FORMULAS = "formulas", "Every formula, with sums to follow by hand.";
    STATISTICS = "statistics", "How sure: intervals, verdicts, outliers, drift, scatter.";
    CHANGEOVER = "changeover", "What happens between two plots, and which setting to change.";
    ROWS = "rows", "Rows together: teeth to jump to bring the plates in phase.";
    PLANTED = "planted", "Depth, evenness and stand: what was planted, what came up.";
    SPEED_LAW = "speed-law", "The setback for another speed.";
    PACKETS = "packets", "Seeds and grams of every packet, and lots that fall short.";
    GUIDE = "guide", "The conversation beside the tractor, and when it may end.";
    PLAN = "plan", "How many readings to take, before anything is measured.";
    REHEARSE = "rehearse", "The whole trial drawn many times before it is planted.";
    STAKES = "stakes", "Marks, plots, corners, areas and a map of the field.";
    SEASON = "season", "The season's other sums, from the meter to the harvest.";
    RECORD = "record", "The sheet as the record: record, apply, check, history.";
    PAPER = "paper", "Cab card, checklist, run forms and other pages to print.";
    BATCH = "batch", "Many sheets at once, and values set over those of a sheet.";
    COMMANDS = "commands", "Every command and option, and the exit status.";
    CODES = "codes", "Codes of mistakes and warnings: all of them.";
    JSON = "json", "JSON for programs, key by key.";
    CSV = "csv", "One table as CSV for a spreadsheet.";
    EDITOR = "editor", "Help in the editor and in the shell; the manual pages.";
    WINDOWS = "windows", "What to know on Windows.";
    LIMITS = "limits", "What the program takes for granted, and how far it goes.";
    CAUTIONS = "cautions", "What protects the hands at the machine, with its sources.";
    LIBRARY = "library", "Programs and scripts of your own.";
}

/// The page of that name.
///
/// ```
/// assert!(alleytrue::reference::topic("formulas").is_some());
/// assert!(alleytrue::reference::topic("weather").is_none());
/// ```
#[must_use]
pub fn topic(name: &str) -> Option<&'static Topic> {
    ALL.iter().find(|topic| topic.name == name).copied()
}
