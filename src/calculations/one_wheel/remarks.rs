//! What is remarked on besides the numbers.

use crate::outcome::warning::WarningKind;

/// The remark `one-wheel-moved`.
pub static ONE_WHEEL_MOVED: WarningKind = WarningKind {
    code: "one-wheel-moved",
    meaning: "Trip scale x travel per turn, the counts that the trip's counter makes in a turn of the \
              wheel, moved by more than the scatter of the readings. Tyre pressure, load and soil move \
              both numbers against each other and leave their product. So the sensor slipped or \
              misses counts, turns were miscounted, or the two are not taken from one wheel. Nothing \
              is set by either before that is found.",
    example: "[one-wheel], and trip and wheel runs of a second day whose product is 3 % off.",
};

/// The remark `wheel-rolls-other`.
pub static WHEEL_ROLLS_OTHER: WarningKind = WarningKind {
    code: "wheel-rolls-other",
    meaning: "The wheel covers another ground in a turn than on the days before, beyond the tolerance \
              of the spacing. Trip scale and seed spacing both rest on it. Look at the tyre pressure, \
              cold, and at the load first; soft or wet soil does the same, and goes again. Then \
              measure both.",
    example: "[one-wheel], and a [[wheel-run]] after rain with 2 % more turns over the course.",
};
