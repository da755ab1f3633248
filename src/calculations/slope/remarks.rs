//! What is remarked on besides the comparison.

use crate::outcome::warning::WarningKind;

/// The remark `slope-uneven`.
pub static SLOPE_UNEVEN: WarningKind = WarningKind {
    code: "slope-uneven",
    meaning: "One way has more trip readings than the other, and the two differ. The trip scale is \
              worked out of all readings alike, so it leans to the way that has more. A trial has as \
              many passes up as down: measure as many readings each way, or set the scale that this \
              page names.",
    example: "Ten readouts of a [[trip-run]] with `slope = \"4 %\"`, five with `slope = \"-4 %\"`.",
};

/// The remark `slope-signs`.
pub static SLOPE_SIGNS: WarningKind = WarningKind {
    code: "slope-signs",
    meaning: "Runs of both headings are said to go uphill, or both downhill. The slope is that along \
              the run's own travel: what is uphill going out is downhill coming home. Where the runs \
              were made on other ground that may be so; else turn a sign round.",
    example: "`heading = \"out\"` and `heading = \"home\"`, both with `slope = \"3 %\"`.",
};

/// The remark `slope-not-said`.
pub static SLOPE_NOT_SAID: WarningKind = WarningKind {
    code: "slope-not-said",
    meaning: "Some runs say which way they went, or what slope, and others don't; those are not in \
              the comparison. Level runs belong to neither way.",
    example: "One [[trip-run]] with `slope`, another without.",
};
