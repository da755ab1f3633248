//! What is remarked on besides the numbers.

use crate::outcome::warning::WarningKind;

/// The remark `rows-out-of-line`.
pub static ROWS_OUT_OF_LINE: WarningKind = WarningKind {
    code: "rows-out-of-line",
    meaning: "Row units sit ahead of and behind one another by more than the tolerance of an alley's \
              middle allows. All rows start and stop at one instant, so their alleys lie as far out of \
              line, the other way round on passes home. No setback takes that out; rows that change \
              over one after the other do.",
    example: "[row-units] with `rank-offset = [\"0 in\", \"10 in\"]` and `tolerance.centre = \"1 in\"`.",
};
