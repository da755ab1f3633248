//! The trip scale from numbers of your own, without a field sheet.
//!
//! Run with `cargo run --example corrected_scale`. Prints every line of the working, then the
//! number to set: a controller that reads 237.5 in on average between flags 20 ft apart, with a
//! scale of 318 counts to the inch and a step of 0.01, takes 314.69.

use alleytrue::calculations::trip::{ScaleKind, corrected_scale};
use alleytrue::outcome::setting::on_step;
use alleytrue::quantity::{Length, ParseError, Unit, parse_number, shown};
use alleytrue::working::steps;
use alleytrue::working::{Units, Value};

fn main() -> Result<(), ParseError> {
    let units = Units::US;
    let mut readouts = Vec::new();
    for typed in ["237.5 in", "237 1/2 in", "19' 9\"", "238 in"] {
        readouts.push(Length::parse(typed, None)?);
    }
    let marks = units.length("marks", &Length::parse("20 ft", None)?);
    let now = Value::typed("trip scale now", parse_number("318")?, Unit::ONE);
    let step = Value::typed("trip scale step", parse_number("0.01")?, Unit::ONE);

    // A value keeps the arithmetic that made it; a name gives it a line of the working.
    let count = Value::constant(readouts.len() as f64);
    let believed =
        (Value::sum("readouts", units.readings(&readouts)) / count).named("mean readout");
    let exact = corrected_scale(ScaleKind::CountsPerLength, &now, &believed, &marks);
    let set = on_step("trip scale", &exact, &step);

    for line in steps(std::slice::from_ref(&set)) {
        println!("{line}");
    }
    println!("\nSet the trip scale to {} instead of {}.", shown(set.number()), shown(now.number()));
    Ok(())
}
