//! What a calculation remarks on besides its result.

/// A kind of remark with its stable code; `explain` prints the rest.
#[derive(Debug, PartialEq, Eq)]
pub struct WarningKind {
    /// Stable code, for programs and for `explain`.
    pub code: &'static str,
    /// What it means and what to do.
    pub meaning: &'static str,
    /// When it comes up.
    pub example: &'static str,
}

/// One remark.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Warning {
    /// Which kind.
    pub kind: &'static WarningKind,
    /// The remark with the numbers of this sheet.
    pub message: String,
}

impl WarningKind {
    /// A remark of this kind.
    #[must_use]
    pub fn with(&'static self, message: impl Into<String>) -> Warning {
        Warning { kind: self, message: message.into() }
    }
}

macro_rules! warning_table {
    ($($name:ident = $code:literal, $meaning:literal, $example:literal;)+) => {
        $(#[doc = concat!("The remark `", $code, "`.")]
        pub static $name: WarningKind =
            WarningKind { code: $code, meaning: $meaning, example: $example };)+
        /// Every kind of remark, in the order of this file.
        pub static ALL: &[&WarningKind] = &[$(&$name),+];
    };
}

warning_table! {
    FEW_READINGS = "few-readings",
        "A trip run should hold ten plots or more, since a correction smaller than the scatter of a few readings makes the planter worse. Measure more plots of the same run and add them to the list. Common practice, no source.",
        "A [[trip-run]] whose `readout` list has 4 readings.";
    ADDS_UP = "adds-up",
        "The error of one plot is inside the tolerance, but where trips follow one another without being set right by marks, it adds up from range to range. Set the exact scale, or set the count right at a mark.",
        "An error of 0.4 in a plot over 30 ranges is 12 in at the far end.";
    LEANS_ON_NOMINAL = "leans-on-nominal",
        "Only one side of the alley was measured, so the other side is taken from the alley the sheet asks for. Measure both sides to be free of that.",
        "An [[alley-run]] with `last-seed-to-mark` alone.";
    ALLEY_WIDTH_OFF = "alley-width-off",
        "The alley is wider or narrower than wanted by more than the tolerance. The changeover (clean-out, run-out, fill) makes the width; set it right first, because every change there moves the centre too.",
        "Last seed to mark 12 in and mark to first seed 24 in, with `alley = \"30 in\"`.";
    ONE_HEADING = "one-heading",
        "The alleys were measured on passes of one heading only, so an error in the line of the marks can't be told from a shift of the planter. Measure passes of both headings, or leads, which know no marks.",
        "Every [[alley-run]] says heading = \"out\".";
    MARK_LINE = "mark-line",
        "The alleys of both headings lie off the marks to the same side of the field. No planter setting can mend that. Either the marks themselves stand off the line, or the ground slopes along the pass, where the wheel slips more uphill than downhill. A level, or alleys on level ground, tell which; only then move stakes.",
        "Alleys 3 in ahead of the marks going out and 3 in behind them coming home.";
    MEASURE_AGAIN_FIRST = "measure-again-first",
        "The setback moves the alleys of both headings along their own travel, so it changes the lead by twice as much. Set the setback first, plant again, and measure the leads again before the pass offset is touched.",
        "A sheet whose alley runs and pass runs both ask for a change.";
    EVIDENCE_DISAGREES = "evidence-disagrees",
        "Two kinds of measurement, or runs over different lengths, give different answers for the same thing, by more than the tolerance. Measure again before a setting is changed.",
        "Half the mean lead says 2 in, the marks of both headings say 5 in.";
    RUNS_APART = "runs-apart",
        "Runs of one kind disagree by more than the scatter of their readings: something besides the setting was different, such as seed, soil, tyres, slope or the hand that measured. What sets them apart goes into the interval. Find out what was different, or measure a further run; two runs that lie further apart than the tolerance decide nothing.",
        "Two trip runs, one uphill at 238 in and one downhill at 242 in.";
    CHANGE_WITHOUT_EFFECT = "change-without-effect",
        "A setting was changed in the sheet, and what was planted after it lies where it lay before. Look at the controller, or at what hands were to turn or jump: most often it was never done. `apply --not-set KEY` puts that into the sheet, and the runs count as made with the old number; `apply --was KEY=VALUE` where it is another. Where it is the new one, a further run tells.",
        "The setback went from 15 in to 18 in, and the alleys stayed where they were.";
    CHANGE_REVERSED = "change-reversed",
        "A setting was changed, and the planter went the other way by as much: the sheet has the direction of the setting the wrong way round, so every further change would make it worse. `apply --turn KEY` puts it right, and all runs are read anew. What hands turned or jumped may have gone the wrong way by a slip: `apply --was KEY=VALUE`.",
        "The setback was raised by 3 in to bring alleys back, and they went 3 in further ahead.";
    CHANGE_OF_OTHER_SIZE = "change-of-other-size",
        "A setting was changed, and what was planted after it moved by another amount than the sheet says: by half where a setting acts on one heading alone, by a multiple where its number is in a unit of its own, by anything where another seed or soil came between. `apply --learn KEY` puts the size that was seen into the sheet, and all runs are read anew. Where another number was keyed in or turned, `apply --was KEY=VALUE` says so.",
        "The setback went up by 3 and the alleys came back by 6 in.";
    NOT_MEASURED_SINCE = "not-measured-since",
        "A setting was changed and nothing was planted and measured since. What is worked out rests on earlier runs, brought to the present by what the sheet says the change does; only a measurement shows that it did.",
        "An `apply` with no run after it.";
    BELOW_ZERO = "below-zero",
        "The setting that would mend the error is below zero. Many controllers take no negative number; the machine's manual says what to move instead.",
        "A setback of 2 in that must come down by 3 in.";
    STEP_TOO_COARSE = "step-too-coarse",
        "The step of the setting in [planter.controller] is coarser than the setting itself, or one step makes more than the tolerance. A setting is changed only where its step brings it nearer by half a step or more, or brings the error inside the tolerance; what is left after that is held against the tolerance and said. Look for a slipped point in the step; where the controller is really so coarse, widen the tolerance or look for another way to move the alleys.",
        "setback = { raising-moves-alley = \"back\", step = \"1 ft\" } with `centre = \"1 in\"`.";
    NOTHING_FITS = "nothing-fits",
        "No combination of the sprockets listed brings the spacing inside the tolerance, so no swap is advised. The nearest are listed. Where none comes anywhere near, look at the numbers first: the target, the travel per turn, the cells of the plate, the teeth. Else another sprocket, plate or target is needed.",
        "A target of 4 in with sprockets that reach 4.4 in at best.";
    CANNOT_ADJUST = "cannot-adjust",
        "The spacing is off by more than the tolerance and the sheet lists no sprockets to choose from. List them as `choices` where the machine has any.",
        "A drive without `choices` whose spacing is 6 % off.";
    FEWER_SWAPS = "fewer-swaps",
        "Another combination inside the tolerance takes fewer swaps than the one shown, but a chain does not go round it: too short, or longer than the idler takes up. Chains that fit go first, since links have to be put in or taken out, or another chain fitted; where that is less work, `spacing --ignore-chains` ranks as if any chain could be made to fit.",
        "Two swaps with chains that fit, where one swap would do with a chain two links longer.";
    PLATE_TOO_FAST = "plate-too-fast",
        "At this speed the seed plate turns faster than the meter's limit in the sheet. Drive slower or use a plate with more cells.",
        "`top-rate = \"40 turns/min\"` and a plate that would turn at 46.";
    CHAIN_DOES_NOT_FIT = "chain-does-not-fit",
        "With these sprockets the chain that is fitted is too short, or longer than the idler can take up. Fit a chain of the length shown.",
        "A chain of 92 links where 96 are needed.";
    STEEP_RATIO = "steep-ratio",
        "A sprocket has fewer than 9 teeth, or one chain turns more than 6:1. Chain drives wear and jerk there (Shigley gives 6:1 as the most for one step; small sprockets change speed link by link).",
        "A driving sprocket of 8 teeth.";
    SPEED_OFF = "speed-off",
        "The measured ground speed is not the speed the sheet is for. Whatever the controller sets by time moves with it. Drive at the target, or make the measured speed the target and calibrate for it.",
        "Target 2.8 mph, timed 3.1 mph.";
    TRAVEL_DIFFERS = "travel-differs",
        "The wheel runs give another travel per turn than the planter table. The wheel runs are used; put their value in the planter table once it is confirmed.",
        "67 ft 11 in over 10 turns in [planter], 66 ft 4 in over 10 turns in [[wheel-run]].";
    NEGATIVE_SKID = "negative-skid",
        "The wheel turned more often than rolling without skid would turn it. Check the rolling circumference (measure it loaded, in the soil to be planted) and the count.",
        "A rolling circumference longer than the travel per turn.";
    IMPOSSIBLE_SKID = "impossible-skid",
        "A wheel that slides more than half of its way, or turns half as often again as it rolls, is no wheel: a number is wrong. Look at the turns (of the drive wheel, not of a sprocket), at the unit of the course, and at the rolling circumference.",
        "240 turns over 200 ft with `rolling-circumference = \"100 in\"`: a skid of -901 %.";
    ONE_READING = "one-reading",
        "A single reading can't be told from scatter, however far off it is. Measure more before anything is set; ten is common practice.",
        "[[pass-run]] with lead = [4].";
    OUTLIER = "outlier",
        "A reading lies far from the rest: its modified z-score (Iglewicz and Hoaglin 1993) is beyond the limit for so many readings, which in runs without any slip is passed in one of twenty. A misread tape or a slip in typing is likely, but it may be true. It is never left out silently: look at the plot again, mend the number in the sheet, or leave it out by --without, which the result then says.",
        "last-seed-to-mark = [12, 12.5, 21, 12, 11.5]";
    DRIFT = "drift",
        "The readings rise or fall along the pass more than scatter would make them (slope against plot number, t-test at 99.5 %, which calls at most one level run in a hundred). A mean hides that. Look for what changes along the pass: seed running low, a loose chain, a speed that was not held, marks that creep.",
        "readout = [237.0, 237.3, 237.5, 237.9, 238.2, 238.4]";
    DRIFT_OF_TRIP = "creeping-alleys",
        "The alleys lie further and further from their marks along the pass. Where trips follow one another by distance, a trip scale that is a little off does just that; the setback would only hide it at one end. Set the exact trip scale, plant again and measure.",
        "Alley centres 0.4 in further ahead from plot to plot.";
    SCATTER_SMALL = "scatter-small",
        "Seeds stand a spacing apart and the plate's phase against the trip is random, so edges must scatter by a known least amount (s/sqrt(12) for one edge, s/sqrt(24) for the middle of an alley). These scatter less than a third of that: readings may be copied, rounded coarsely, or rows in phase counted as separate readings, which they are not.",
        "Ten alleys all exactly 12 in, with seeds 3 in apart.";
    SCATTER_LARGE = "scatter-large",
        "The readings scatter more than three times what the seed spacing alone makes. Something else moves the edges: wheel slip, a speed that was not held, seed that bounces, a trip that is felt late, tape readings to the wrong seed. The interval takes it into account.",
        "Alley middles that scatter by 3 in, with seeds 1.5 in apart.";
    TWO_SPEEDS = "two-speeds",
        "Two speeds always lie on a straight line, so nothing tells whether the law holds between and beyond them. A third speed does.",
        "[[alley-run]] tables at 2.5 mph and 3.5 mph only.";
    OUTSIDE_SPEEDS = "outside-speeds",
        "The speed asked for lies outside those that were driven. The line is stretched there, its interval grows, and the law may bend. Measure at that speed.",
        "alleytrue setback-at \"4 mph\" SHEET, with runs from 2.2 to 3.2 mph.";
    MIXED_SPEED_HEADINGS = "mixed-speed-headings",
        "Some speeds were driven out and others home. An error in the line of the marks shifts the two headings apart and may be taken for an effect of speed. Drive every speed both ways, or all one way.",
        "2.5 mph out, 3.5 mph home.";
    BELOW_FALL_TIME = "below-fall-time",
        "The latency found is shorter than seed needs to fall the drop height, even without drag. Readings, speeds or the drop height are off, or the trip is given ahead of the mark to make up for it.",
        "A latency of 0.1 s with `drop-height = \"3 ft\"`.";
    NO_SCATTER_KNOWN = "no-scatter-known",
        "Nothing is known yet of how far such readings scatter, so nobody can say how many are enough. Ten is common practice, no source; or give the scatter of one reading by --scatter; or measure a first run and plan again.",
        "alleytrue plan SHEET, on a sheet without a [[trip-run]].";
    ROWS_IN_PHASE = "rows-in-phase",
        "Readings count separately only where their scatter is their own. Rows whose plates turn in phase stop and start together, so several of them at one alley are one reading; rows out of phase are several. Spread the alleys over passes. Common practice, no source.",
        "Four rows measured at each of three alleys.";
    SHORT_CLEAN_OUT = "short-clean-out",
        "A clean-out is shorter than its `usual` or its `least` of the sheet. Old seed may be left in the meter.",
        "does = \"clean-out\" with for = \"0.9 s\" and least = \"1.0 s\"";
    NO_CLEAN_OUT_FIGURE = "no-clean-out-figure",
        "How long a clean-out has to be is known of each machine and of no machine in general. Without `least` and `usual` in its [[changeover.action]], starting values and advice keep only to the time after which old seed is gone from pick-up. The figures stand in the machine's manual; or trip the planter over a tray with clean-outs of several lengths, and count the old seeds that come after each.",
        "A clean-out without `least`.";
    CLEAN_OUT_CUT = "clean-out-cut",
        "The alley wanted can only be made at this speed with a clean-out shorter than its `usual` of the sheet. Drive slower, plan a wider alley, or watch every plot for seed of the lot before.",
        "A 20 in alley at 4 mph.";
    CARRY_OVER = "carry-over",
        "Old seed is still at pick-up when the new lot arrives, so seed of one lot gets into the next plot. Let the next lot in later before anything else: by a longer clean-out where it comes after that.",
        "old-seed-gone = \"2.0 s\" with the hand-over after a clean-out of 1.5 s.";
    LET_IN_EARLY = "let-in-early",
        "The next lot is let in while an action still takes seed out, so new seed may go with the old. The prediction takes new seed for there as the sheet has it. Let it in later, or end what takes seed out sooner.",
        "A hand-over with wait = \"1.2 s\" from the trip, and a clean-out from the trip with for = \"1.5 s\".";
    NO_STARTING_VALUES = "no-starting-values",
        "Starting values are worked out for lists with one clean-out and one hand-over, at most one boost and one sweep, in which the opening (the length of the clean-out, or the wait of a hand-over that does not come after its end) and the waits and lengths of boost and sweep may be changed, and hang on nothing else that is looked for. This list is another; the message says in what. Prediction, picture and advice hold for it all the same.",
        "Two actions with does = \"boost\".";
    BOOST_BELOW_GROUND = "boost-below-ground",
        "The boost turns the plate more slowly than the ground drive does at this speed, so the ground drive leads and the motor does nothing. Drive slower or boost faster.",
        "rate = \"20 cells/s\" where the ground drive makes 33 cells/s.";
    BUNCHED = "bunched",
        "Seeds are dropped while the plate turns at boost rate, so they stand closer than wanted. At the plot's end the boost starts too soon; at its start it lasts too long.",
        "A boost with wait = \"0 s\" after a short clean-out.";
    STRAYS = "strays",
        "The sweep ends before the last old seed has passed it, and what comes behind falls into the alley. Let it work longer.",
        "sweep for 0.05 s";
    NEW_SEED_SWEPT = "new-seed-swept",
        "The sweep is still at work when seed of the new lot passes it. Let it end sooner.",
        "sweep for 3 s";
    ALLEY_NOT_REACHED = "alley-not-reached",
        "The alley is narrower than this planter can make at this speed with this boost. The message says what would do: a wider alley, a lower speed, a faster boost.",
        "A 12 in alley at 5 mph.";
    TIMER_STEP_COARSE = "timer-step-coarse",
        "The timers go in steps in which the planter travels so far that the alley can't come out inside its tolerance (within a seed spacing where the sheet has none) at this speed and with this boost. A controller with finer steps, a slower speed or a wider tolerance mends it. Where it says that a finer step is not enough, the machine times leave no narrower alley at this speed either, and the steps only hide it.",
        "timer-step = \"1 s\" at 2.4 mph, where a step is 42 in of travel.";
    PLOT_TOO_SHORT = "plot-too-short",
        "At this speed the planter reaches the next mark before the timers of the changeover are over, so the next changeover would start in the middle of this one. Longer plots or a slower speed mend it.",
        "plot = \"30 cm\" and alley = \"30 in\" at 2.4 mph, with timers of 1.6 s.";
    ONLY_LAST_RUN = "only-last-run",
        "Each [[changeover-run]] tells what the timers did that were set when it was planted. Only the last one speaks of the present timers.",
        "Two [[changeover-run]] tables.";
    MODEL_OFF = "machine-times-off",
        "The machine times of the sheet (old-seed-gone, new-seed-at-pick-up, carry, rate of a boost) give another alley than was measured, or no seed bunched at the start where some was seen. The one change advised comes from what was measured and holds; the picture, the starting values and the tables of `changeover` rest on those times and are off. Time them again with the planter standing.",
        "A prediction of 56 cm where 102 cm were taped.";
    NO_SWEEP = "no-sweep",
        "Stray seeds were found in the alley, and the sheet has no sweep that could take them off. Add an action that sweeps where the planter has one; else lengthen the clean-out.",
        "stray-seeds = 3 without an action that sweeps.";
    NOT_PHASE = "not-phase",
        "A row's edge lies more than half a spacing from the reference row's. Turning its plate can move it by half a spacing at the most, so something else is wrong: the row's meter is tripped late, its seed falls further, its chain slips or its seed tube is bent.",
        "A row 4 in behind, with seeds 1.5 in apart.";
    NO_METER_TEETH = "no-meter-teeth",
        "A row's plate is out of phase, and how many teeth to jump depends on the sprocket on the meter. Count its teeth and write `meter-teeth` into [planter.plate].",
        "A [[row-run]] without `meter-teeth`.";
    PHASE_LEFT = "phase-left",
        "The sprocket on the meter moves the plate by a whole tooth at a time, and no number of teeth brings this row in phase. What remains is shown.",
        "40 cells and a sprocket of 20 teeth.";
    ROW_APART = "row-apart",
        "One row differs from all the others taken together by more than the scatter within rows makes. What the confidence leaves is shared out over all rows and kinds looked at (Bonferroni), so that of sheets whose rows are alike at most as many name one. Look at that row first: its meter, its plate, its opener, its seed tube.",
        "Rows 1 to 3 at 26 plants and row 4 at 19, ten counts each.";
    STAND_BELOW_WANTED = "stand-below-wanted",
        "Even the upper end of the interval lies below the stand wanted. Plants per seed planted says whether seeds failed to come up; misses in `evenness` on dug-up seed say whether the planter failed to drop them.",
        "stand = \"120000 /ac\" where counts give 98000 to 105000.";
    NO_PLANTS = "no-plants",
        "Not one plant was counted anywhere. If that is true, nothing has come up yet or nothing was planted: dig for seed before anything else is looked at.",
        "counts = [0, 0, 0, 0]";
    MORE_PLANTS_THAN_SEEDS = "more-plants-than-seeds",
        "More plants were counted than seeds were planted, by more than scatter makes: a number is wrong. Look at the length and the rows that one count goes over, at the row spacing, and at the population or seed spacing of the trial; or the drive plants thicker than the sheet says.",
        "population = \"139000 /ac\" where counts give 262000 plants/ac.";
    FEW_GAPS = "few-gaps",
        "ISO 7256-1 asks for 250 gaps in each repeat. Fewer give wide intervals; they are shown. Measure more seeds of the same rows.",
        "A [[spacing-run]] of 60 positions.";
    MANY_MULTIPLES = "many-multiples",
        "Far more gaps are multiples (two seeds or more where one belongs) than misses. At the meter that usually asks for more singulation, less vacuum or air, a slower plate (drive slower), or smaller cells. Change one thing, plant, measure again. Common practice, no source.",
        "12 % multiples and 2 % misses.";
    MANY_MISSES = "many-misses",
        "Far more gaps are misses than multiples. At the meter that usually asks for more vacuum or air, less singulation, a slower plate (drive slower), clean cells, or larger ones. Where plants and not seeds were measured, a miss may also be a seed that did not come up: dig. Change one thing, plant, measure again. Common practice, no source.",
        "1 % multiples and 11 % misses.";
    MULTIPLES_AND_MISSES = "multiples-and-misses",
        "Both multiples and misses are many, or it can't be told which are more. That usually points at something other than vacuum and singulation: speed, a worn plate or seal, seed that does not fit the cell, seeds that bounce in the tube or roll in the furrow. Common practice, no source.",
        "14 % multiples and 12 % misses.";
    NO_POSITIONS = "no-target-positions",
        "More than half of the gaps are multiples, and the count of target positions then gives fewer than no single ones. Only shares of gaps are shown. The target spacing in [trial] may not be the one that was planted.",
        "Gaps of 0.6 in where `seed-spacing` says 1.5 in.";
    SEED_SHORT = "seed-short",
        "A lot holds less seed than its packets take, reserve and losses included. Get more of it, plant fewer reps of it, or pack it with a smaller reserve. The message says which lots and by how much.",
        "seeds = 2000 where four packets of 700 are wanted";
    NOT_RANDOMISED = "not-randomised",
        "The sheet does not say which entry stands on which plot, so the list of packets has them in the order of their numbers, rep by rep. A trial is laid out by chance: entries that stand side by side in every rep share their ground and their neighbours. Draw the places of the entries in a program of your choice, save plot and entry as CSV, and name the file by `plots` in [packets]. For a strip of demonstration plots the order may be right.",
        "[packets] and [layout] without `plots = \"plots.csv\"`";
    ENTRIES_UNEVEN = "entries-uneven",
        "The list of plots has an entry on more or fewer plots than `reps` in [trial] says. The list of packets follows the list of plots; what an entry takes in all, and whether its lot falls short, follows `reps`. Mend one of them.",
        "plots.csv has entry 7 three times, with `reps = 4`";
    NO_CLEANED_OUT = "no-cleaned-out",
        "The packets hold nothing for what is cleaned out of the meter at a changeover. A meter that is to pick up a seed in every cell to the last one has some left over, which no timer tells. Trip the planter once over a tray in the shop, count what one row cleans out, and write it as `cleaned-out`; or let `reserve` cover it.",
        "[packets] without `cleaned-out`";
    LOW_STAND = "low-stand",
        "With its own germination and the emergence of the sheet, a lot gives fewer plants than `stand` asks for, by more than the spacing tolerance (5 % where there is none). All lots are planted at one spacing, so the packet can't mend that: plant the whole trial thicker and thin it, or know it when the plots are compared.",
        "germination = \"70 %\" in a [[lot]] where the trial counts on 92 %";
    STAND_DISAGREES = "stand-disagrees",
        "The sheet gives both the seeds wanted (`population` or `seed-spacing`) and the plants wanted (`stand`), and with its germination and emergence the seeds give other plants than that, by more than the spacing tolerance (5 % where there is none). The packets follow the seeds, as the planter does. Mend one of them.",
        "population = \"139000 /ac\" and stand = \"130000 /ac\" with 83 % of the seeds coming up";
    TOO_FEW_PLOTS = "too-few-plots",
        "Ranges, passes and the plots that stand abreast in a pass make fewer plots than entries and reps need. Add ranges or passes, or mend the numbers.",
        "40 entries in 4 reps with `ranges = 15` and `passes = 10`";
    NEVER_MEASURED = "never-measured",
        "A rehearsal draws the trial from what was measured. This was not, or by so few readings that they tell nothing of their scatter, so nothing is drawn of it: more plots come out wrong than are counted. The answer stays \"not yet\" until it is measured; `plan` says by how many readings.",
        "alleytrue rehearse SHEET, on a sheet with `limit = { width = \"2 in\" }` and no alley taped on both sides.";
    NOT_KNOWN = "not-known",
        "Something that a rehearsal needs is neither measured nor typed, or can't be told by the runs there are. The message says what is drawn in its place. It does not leave the answer open by itself, but the answer is only as good as that.",
        "alleytrue rehearse SHEET, on a sheet without `trips` in [trial].";
    NOT_LIMITED = "not-limited",
        "The sheet has neither a limit nor a tolerance for this, so no plot is out by it. Add the limit to [trial.limit].",
        "tolerance = { trip = \"1 in\" } and no `limit`.";
    LIMIT_TOO_TIGHT = "limit-too-tight",
        "No setting can hold this limit: the phase of the seed plate alone, or what is left of an error by the controller's step, goes beyond it. The message says in how many. Widen the limit, or look for a finer step.",
        "limit = { centre = \"1/4 in\" } with seeds 1.5 in apart.";
    LEFT_OUT = "left-out",
        "Readings were left out of the calculation because it was asked for by --without. The sheet still holds them.",
        "alleytrue trip SHEET --without 7";
    SINGLES_SCATTER = "single-plots-scatter",
        "The mean may be right, but so few single plots, alleys, leads or seeds are to be expected inside their limit that the trial gets less than the share it asks for (`accept` in [trial], 90 % without it: common practice, no source). A setting moves all of them alike and mends no scatter. Look for what makes them differ, mend it, plant and measure again; or ask for less: a wider `limit`, a smaller `accept`. The message lists what makes scatter of the kind (common practice, no source).",
        "Alleys whose middles scatter by 3.2 in around their marks, with `centre = \"1 in\"`.";
    GROUPS_PART = "groups-part",
        "Two runs, or alleys of both headings, lie apart by more than their scatter makes and by more than the limit of a single one, so that their mean is neither of them: with it set right, both are wrong. Uphill and downhill the wheel slips differently; out and home the marks, the slope, the speed or the hand may differ. Find out which, and set it right before settings are looked at again; or plant all ranges one way.",
        "Readouts of 238 in uphill and 242 in downhill between marks 240 in apart.";
    LIMIT_BELOW_STEP = "limit-below-reading-step",
        "The readings were rounded to steps of more than twice the limit of a single one. Which of them are inside can't be told then, neither by counting nor by their scatter. Read to a step finer than the limit, or set a limit that the tape can show.",
        "Alleys read to whole inches, with `limit = { centre = \"1/4 in\" }`.";
    NO_TOLERANCE = "no-tolerance",
        "The sheet gives no tolerance for this setting. It is kept where its error can't be told apart from zero, and changed where it can, however small it is. Add the tolerance to [trial.tolerance].",
        "tolerance = { trip = \"1 in\" } and an [[alley-run]].";
    EDGE_PLOTS = "edge-plots",
        "No border is planted at an end or a side of the field, so the outermost plots stand at an edge. Their plants have more room and light and yield more than they would inside. Plant borders, or harvest without the edge.",
        "A [layout] without `border-ranges` or without `border-passes`.";
    OTHER_SPACING = "other-trip-spacing",
        "Marks of some ranges stand another trip spacing apart than the rest, since plots there are shorter or fillers and borders have a length of their own. A planter that trips at every mark (a wire, a line, a hand at a flag) plants them all alike; one that counts the distance itself has to be given the trip spacing of those ranges where it comes to them, and the first one back behind them, in each pass. Say `trips = \"at-marks\"` in [trial] where it trips at every mark. Common practice, no source.",
        "[[layout.other-plots]] with `from = 9` and `plot = \"12 ft\"`, and no `trips` in [trial].";
    LOT_NOT_LISTED = "lot-not-listed",
        "Borders, fillers or test ranges are packed from a lot that stands in no list, so that what they take is held against nothing at hand. Its name may be typed otherwise there, or the lot was left out when the sheet was begun from another.",
        "`border-lot = \"filler mx\"` in [packets], and a [[lot]] named \"filler mix\".";
    TAPE_SHORT = "tape-short",
        "The tape ends before the last mark. Each time it is laid anew an error is made that all marks behind it carry; where it must be, set a peg at a full length of it with the tape still lying, and start from that peg. Common practice, no source.",
        "A [layout] with `tape = \"100 ft\"` whose last mark is further out.";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_unique_and_explained() {
        let mut codes: Vec<_> = ALL.iter().map(|kind| kind.code).collect();
        codes.sort_unstable();
        codes.dedup();
        assert_eq!(codes.len(), ALL.len());
        assert!(ALL.iter().all(|kind| kind.meaning.len() > 40 && !kind.example.is_empty()));
    }
}
