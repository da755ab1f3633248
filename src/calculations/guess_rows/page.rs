//! What is the same on the whole page of the guess rows.

use crate::calculations::common::Common;
use crate::quantity::Unit;
use crate::statistics::Moments;
use crate::working::Value;

use super::inputs::Inputs;

/// What is the same on the whole page.
pub(super) struct Page<'a> {
    pub(super) inputs: &'a Inputs,
    pub(super) common: &'a Common,
    pub(super) row_spacing: Value,
    pub(super) rows: Value,
    pub(super) wanted: Value,
    pub(super) tolerance: Option<Value>,
}

/// Gaps after turns of both ways.
pub(super) struct Turns {
    pub(super) left: Moments,
    pub(super) right: Moments,
}

impl<'a> Page<'a> {
    pub(super) fn new(inputs: &'a Inputs, common: &'a Common) -> Self {
        let units = &common.units;
        let row_spacing = units.length("row spacing", &inputs.row_spacing);
        let bare = inputs.pass_gap.as_ref().filter(|length| length.base() > 0.0);
        let wanted = match bare {
            Some(bare) => (&row_spacing + units.length("pass gap", bare)).named("gap wanted"),
            None => row_spacing.clone(),
        };
        let tolerance = inputs.tolerance.as_ref();
        Page {
            inputs,
            common,
            rows: Value::typed("rows", inputs.rows, Unit::ONE),
            wanted,
            row_spacing,
            tolerance: tolerance.map(|length| units.length("guess-row tolerance", length)),
        }
    }

    pub(super) fn unit(&self) -> String {
        self.common.units.length.to_string()
    }
}
