//! Every mistake and remark of a sheet by its stable code, with what `explain` prints.

/// How grave it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Level {
    /// Nothing is calculated.
    Error,
    /// Everything is calculated, and this is said besides.
    Remark,
}

/// A kind of mistake or remark.
#[derive(Debug, PartialEq, Eq)]
pub struct Code {
    /// Stable code.
    pub name: &'static str,
    /// How grave it is.
    pub level: Level,
    /// What it means and what to do.
    pub meaning: &'static str,
    /// A line or two that bring it up.
    pub example: &'static str,
}

macro_rules! code_table {
    ($($name:ident = $level:ident $code:literal, $meaning:literal, $example:literal;)+) => {
        $(#[doc = concat!("The code `", $code, "`.")]
        pub static $name: Code = Code {
            name: $code, level: Level::$level, meaning: $meaning, example: $example,
        };)+
        /// Every code, in the order of this file.
        pub static ALL: &[&Code] = &[$(&$name),+];
    };
}

code_table! {
    NOT_READABLE = Error "not-readable",
        "The file can't be opened. Check the name and the folder, and that no other program holds it.",
        "alleytrue calibrate no-such-sheet.toml";
    NOT_UTF8 = Error "not-utf8",
        "The file is not saved as UTF-8, the encoding every current editor offers. Save it again as UTF-8 (the byte-order mark may stay), or type plain letters and fractions such as 1/2.",
        "A sheet saved as \"Unicode\" (UTF-16) by an old editor.";
    TOO_LARGE = Error "too-large",
        "The file is far larger than any field sheet. Check that the right file was named.",
        "A folder's archive given as a sheet.";
    SYNTAX = Error "syntax",
        "The line is not TOML. Text and values with a unit stand in straight quotes, lists in square brackets with commas between, and every line is `key = value` or a [table] name.",
        "plot = 17 ft 6 in      # must be plot = \"17 ft 6 in\"";
    CURLY_QUOTES = Error "curly-quotes",
        "Curly quotes, which word processors and web pages put in, don't hold text in TOML. Type straight quotes. Inside a value they are fine.",
        "title = \u{201c}North block\u{201d}      # must be title = \"North block\"";
    DUPLICATE_KEY = Error "duplicate-key",
        "A key stands twice in one table, or a table stands twice in the sheet. Which of the two is meant is not guessed. Tables of which there may be several, such as runs, are written in double brackets every time.",
        "[trial]\nalley = \"30 in\"\nalley = \"36 in\"";
    UNKNOWN_KEY = Error "unknown-key",
        "The key is not one that the sheet has at this place. Nothing is guessed, since a misspelt key would leave its value out of the calculation without a word.",
        "[trial]\naley = \"30 in\"";
    MISSING_KEY = Error "missing-key",
        "Something that the measurements of the sheet need is not there. The message says what to add and where.",
        "[[alley-run]] without `setback` in [settings]";
    MISSING_SIGN = Error "missing-sign",
        "The sheet does not say which way raising the setting moves the alley. Nothing is guessed: a wrong sign doubles the error. The machine's manual says it, or a trial: raise the setting, plant a few alleys, and see which way they went.",
        "[planter.controller]\nsetback = { step = \"0.5 in\" }      # lacks raising-moves-alley = \"back\"";
    WRONG_TYPE = Error "wrong-type",
        "The value is of another kind than the key takes: text where a list is wanted, a number where a table is wanted, and so on.",
        "[[pass-run]]\nlead = \"4 in\"      # must be lead = [\"4 in\"]";
    BAD_MEASURE = Error "bad-measure",
        "The value can't be read as a number with a unit. Lengths are written as `17 ft 6 in`, `237 1/2 in`, `6.03 m`; speeds as `2.8 mph`; times as `0.35 s`; seed rates as `139000 /ac`; shares as `2 %`.",
        "alley = \"about 30 in\"";
    DECIMAL_COMMA = Error "decimal-comma",
        "A comma stands inside a number, or in a list in a way that looks like decimal commas. Type a decimal point, and a space after every comma of a list.",
        "last-seed-to-mark = [11,5, 12,0]      # must be [11.5, 12.0]";
    NO_UNIT = Error "no-unit",
        "The value has no unit. Nothing has a silent unit; only lengths may be bare numbers, and only where the sheet says which unit they are in, by `bare-length = \"in\"` (or ft, cm, m, mm) at its top.",
        "speed = 2.8      # must be speed = \"2.8 mph\"";
    OTHER_UNIT = Error "other-unit",
        "The unit belongs to another kind of measure.",
        "plot = \"17 s\"";
    NOT_FINITE = Error "not-finite",
        "`nan` and `inf` are TOML numbers, but no measurement. Leave the reading out of the list.",
        "readout = [238.1, nan]";
    OUT_OF_RANGE = Error "out-of-range",
        "The value is outside what is believable for this key; a slipped decimal point or a wrong unit is likely. The limits are wide on purpose.",
        "alley = \"30 ft 6 m\" or rows = 400";
    NOT_WHOLE = Error "not-whole",
        "The key takes a whole number.",
        "rows = 4.5";
    EMPTY_LIST = Error "empty-list",
        "The list holds nothing. Fill it in, or take the key out until it has been measured.",
        "readout = []";
    PLANTER_FILE = Error "planter-file",
        "The sheet's planter stands in a file of its own, and that can't be used: it is not there, is no text, names another file, has no [planter], or does not lie in the folder of the sheet or below. Sheets share a planter by `planter = \"four-row.toml\"` above the first table; the file holds the [planter] tables with their headers, and `bare-length` where its lengths are bare. `alleytrue explain sheet` says more.",
        "planter = \"../four-row.toml\"";
    LIST_FILE = Error "list-file",
        "A list that the sheet names, `lots` or `plots` in [packets], can't be used: it is not there, does not lie in the folder of the sheet or below, is no CSV, or lacks a column. The first line has the names of the columns: `entry`, `name`, `thousand-seed-weight` or `seed-size`, `mass` or `seeds`, `germination`, `treatment` of lots; `plot` and `entry` of plots. `alleytrue explain packets` says more.",
        "[packets]\nlots = \"lots.xlsx\"";
    UNEVEN_LISTS = Error "uneven-lists",
        "Both sides of every alley must be listed in the same order, one entry an alley; the two lists differ in length. Where one side of an alley could not be measured, put its readings into a run of their own.",
        "last-seed-to-mark = [11, 12]\nmark-to-first-seed = [18]";
    UNKNOWN_WORD = Error "unknown-word",
        "The key takes one of a few words, and this is none of them.",
        "heading = \"north\"      # must be \"out\" or \"home\"";
    CAUTION_STAYS = Error "caution-stays",
        "Items of the checklist can be left out, cautions can't: they stand where hands go to the machine. Take the name out of `leave-out`.",
        "[checklist]\nleave-out = [\"caution-stop-first\"]";
    NOT_RISING = Error "not-rising",
        "The places of seeds along a tape rise from one to the next. One that does not was typed in the wrong order or with a wrong digit, or the tape was laid anew; a single place makes no gap.",
        "positions = [0, 1.5, 3.1, 2.9]";
    MIXED_EVIDENCE = Error "mixed-evidence",
        "One trip run holds either readouts between marks, or tape readings of a commanded length. They prove different things and are worked the other way round. Split it into two [[trip-run]] tables.",
        "[[trip-run]]\nmarks = \"20 ft\"\nreadout = [238]\ntaped = [240]";
    CONFLICT = Error "conflict",
        "Two keys say the same thing in different ways. Keep one.",
        "population = \"139000 /ac\"\nseed-spacing = \"1.5 in\"";
    ACTION_NAME = Error "action-name",
        "The name of an action is the crew's own, up to 24 characters without quotes and equals signs, and no other action has it: other actions, `with`, the history and `apply --setting` go by it.",
        "Two actions with name = \"fill\".";
    UNKNOWN_ACTION = Error "unknown-action",
        "No action of [changeover] has this name. Nothing is guessed, since an action that hangs on another one would start at another time.",
        "after = \"clean out\" where the action is called \"clean-out\"";
    ACTION_CIRCLE = Error "actions-in-a-circle",
        "Actions start each other in a circle, so that none would ever start. One of them comes after the trip: leave out its `after`.",
        "Action A after B, and B after A.";
    NOT_OF_ACTION = Error "not-of-this-action",
        "The key belongs to an action that does something else. Take it out, or look at `does`.",
        "does = \"sweep\"\nrate = \"60 cells/s\"";
    NO_ACTION = Error "actions-incomplete",
        "A changeover takes old seed out and lets the next lot in. The list lacks an action that does one of them, so nobody can say where the alley lies.",
        "A [changeover] without an action that has does = \"hand-over\".";
    MIXED_HEADINGS = Error "mixed-headings",
        "Some alley runs say which way the pass went and some don't. Give `heading` in every run or in none.",
        "[[alley-run]]\nheading = \"out\"\n...\n[[alley-run]]      # no heading";
    TOO_MANY_SPROCKETS = Error "too-many-sprockets",
        "The sprockets listed can be combined in more ways than can be searched. List only those at hand.",
        "Eight chains with a hundred choices on every shaft.";
    NO_DATA = Error "no-data",
        "The sheet has nothing for this calculation. The message says which table to add; `alleytrue new` writes a sheet that has most of them.",
        "alleytrue passes SHEET      # the sheet has no [[pass-run]]";
    USAGE = Error "usage",
        "An option of the command line does not fit the sheet, such as a reading to leave out that is not there.",
        "alleytrue trip SHEET --without 99";
    UNUSED_DATA = Remark "unused-data",
        "Measurements that no calculation used, usually because they were made at another speed than the sheet is for.",
        "[[alley-run]]\nspeed = \"4 mph\"      # with speed = \"2.8 mph\" in [trial]";
    SET_ASIDE = Remark "set-aside",
        "Runs made with other sprockets (alleys and leads with other timers too, where [changeover] lacks what would tell what those do), another throttle or hitch than the planter has now, under other conditions (planter, plate, seed, vacuum, tyres, soil), or with a chain, depth or marks of which the sheet does not say what moving them does. What such a change does to their readings is not known, so they enter no calculation; they stay in the sheet as the record. Measure again with what is set now.",
        "[[changeover-run]]\nwith = { \"clean-out.for\" = \"1.2 s\" }      # with for = \"1.5 s\" in the action called clean-out";
    OTHER_OPERATING_POINT = Remark "other-operating-point",
        "Runs whose `at` says that they were made for another population, seed spacing, alley or boost than the sheet is for now. They count, since the readings are true; but what is worked out from them holds for what they were made at. `alleytrue check` says which settings that leaves open; measure those again before trial seed goes in the ground.",
        "[[alley-run]]\nat = { alley = \"30 in\" }      # with alley = \"36 in\" in [trial]";
    EDITED = Remark "edited-by-hand",
        "A setting in the sheet is another than its last change in [[history]] made it: somebody wrote over it. Runs that don't say under `with` what they were made with count as made with the new value. Put the value of the history back and change it by `alleytrue apply SHEET --setting setback=\"18 in\"`, so that every run keeps what it was made with.",
        "[settings] has setback = \"18 in\"      # the last [[history]] of the setback has to = \"15 in\"";
    BEFORE_CHANGE = Remark "before-change",
        "Runs that don't say what they were made with, and whose date is before the change of a setting that moves their readings. They count as made with what is set now, which corrects twice if they were not; `apply` refuses to. Write what was set under `with`, or mend the date where it is wrong.",
        "[[trip-run]]\ndate = 2027-04-17      # with a [[history]] of the trip scale of 2027-04-18";
    REPEATED_CHOICE = Remark "repeated-choice",
        "A sprocket is listed twice as a choice of one shaft. It counts once; look whether another number of teeth was meant.",
        "choices = [20, 22, 22, 24]";
    UNUSED_KEY = Remark "unused-key",
        "A key that has no effect with the rest of the sheet as it is.",
        "links = 92 without `centre-distance`";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_unique_and_explained() {
        let mut names: Vec<_> = ALL.iter().map(|code| code.name).collect();
        names.extend(crate::calculations::registry::warnings().map(|kind| kind.code));
        let count = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), count, "a code stands for two things");
        assert!(ALL.iter().all(|code| code.meaning.len() > 20 && !code.example.is_empty()));
    }
}
