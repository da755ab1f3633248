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
        $(#[doc = $meaning]
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
        "The alleys were measured on passes of one heading only, so an error in the line of the marks can't be told from a shift of the planter. Measure passes of both headings.",
        "Every [[alley-run]] says heading = \"out\".";
    MARK_LINE = "mark-line",
        "The alleys of both headings lie off the marks to the same side of the field. No planter setting can mend that: the marks themselves stand off the line. Check the layout.",
        "Alleys 3 in ahead of the marks going out and 3 in behind them coming home.";
    MEASURE_AGAIN_FIRST = "measure-again-first",
        "The setback moves the alleys of both headings along their own travel, so it changes the lead by twice as much. Set the setback first, plant again, and measure the leads again before the pass offset is touched.",
        "A sheet whose alley runs and pass runs both ask for a change.";
    EVIDENCE_DISAGREES = "evidence-disagrees",
        "Two kinds of measurement give different answers for the same thing, by more than the tolerance. Measure again before a setting is changed.",
        "Half the mean lead says 2 in, the marks of both headings say 5 in.";
    BELOW_ZERO = "below-zero",
        "The setting that would mend the error is below zero. Many controllers take no negative number; the machine's manual says what to move instead.",
        "A setback of 2 in that must come down by 3 in.";
    NOTHING_FITS = "nothing-fits",
        "No combination of the sprockets listed brings the spacing inside the tolerance. The best one is shown; another sprocket, or another target, is needed.",
        "A target of 4 in with sprockets that reach 4.4 in at best.";
    CANNOT_ADJUST = "cannot-adjust",
        "The spacing is off by more than the tolerance and the sheet lists no sprockets to choose from. List them as `choices` where the machine has any.",
        "A drive without `choices` whose spacing is 6 % off.";
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
    NO_TOLERANCE = "no-tolerance",
        "The sheet gives no tolerance for this setting, so any difference that the controller's step can mend counts as a change. Add it to [trial] tolerance.",
        "tolerance = { trip = \"1 in\" } and an [[alley-run]].";
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
