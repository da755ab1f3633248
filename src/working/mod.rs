//! The arithmetic trace: numbers that remember how they came about.
//!
//! A [`Value`] is computed when its expression is built, and keeps that expression. A printed
//! line ([`Step`]) is drawn from the kept expression and from nothing else, so what is shown is
//! what was done. Names turn expressions into lines: `old scale × believed / true` is printed
//! from the very node that multiplied and divided.
//!
//! ```
//! use alleytrue::working::{Value, steps};
//! use alleytrue::quantity::{Decimal, Unit};
//! let old = Value::typed("old scale", Decimal::whole(318), Unit::ONE);
//! let believed = Value::typed("believed", Decimal::new(2375, 1), Unit::ONE);
//! let truth = Value::typed("true", Decimal::whole(240), Unit::ONE);
//! let new = (&old * &believed / &truth).named("new scale");
//! assert_eq!(new.number(), 314.6875);
//! let line = steps(&[new]).pop().map(|step| step.to_string());
//! assert_eq!(line.as_deref(), Some("new scale = old scale * believed / true = 318 * 237.5 / 240 = 314.6875"));
//! ```

mod arithmetic;
mod expression;
mod step;
mod units;
mod value;

pub use arithmetic::Arithmetic;
pub use step::{Operator, Precision, Step, Token, plain_text, steps, with_signs};
pub use units::Units;
pub use value::{Origin, Value};
