//! A number that carries the expression that computed it.

use std::borrow::Cow;
use std::cell::OnceCell;
use std::fmt;
use std::ops::{Add, Div, Mul, Sub};
use std::rc::Rc;

use super::expression::{Expression, Figure};
use crate::quantity::{Decimal, Measure, MeasureUnit, Part, Ratio, Unit};

/// A number with its unit and the expression it came from. Cloning is cheap.
#[derive(Clone)]
pub struct Value(Rc<Node>);

struct Node {
    figure: Figure,
    unit: Unit,
    working: Working,
    /// Boxed, since most values have no name.
    label: Option<Box<Label>>,
}

#[derive(Clone)]
struct Label {
    name: Cow<'static, str>,
    /// What is counted, in front of the unit: "seeds" in "seeds/ac".
    noun: &'static str,
    typed: Typed,
}

impl Label {
    fn is_typed(&self) -> bool {
        !matches!(self.typed, Typed::Not)
    }
}

/// Whether a value was typed in the sheet, and as what.
#[derive(Clone)]
enum Typed {
    Not,
    /// As the number that its expression keeps.
    Number,
    Text(Box<str>),
}

/// Where a number came from that no arithmetic of this program produced.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Typed in the field sheet.
    Sheet,
    /// Read from a table, a count or a search; the words say which.
    Found(&'static str),
}

/// What [`squared_off`] needs of figures and values alike.
trait Term: Sized {
    fn less(&self, other: &Self) -> Self;
    fn squared(&self) -> Self;
}

impl Term for Figure {
    fn less(&self, other: &Figure) -> Figure {
        Figure::of(&Expression::Subtract(*self, *other), |part| *part)
    }

    fn squared(&self) -> Figure {
        Figure::of(&Expression::Power(*self, 2), |part| *part)
    }
}

impl Term for Value {
    fn less(&self, other: &Value) -> Value {
        self - other
    }

    fn squared(&self) -> Value {
        self.to_the(2)
    }
}

/// (term - middle)^2
fn squared_off<T: Term>(term: &T, middle: &T) -> T {
    term.less(middle).squared()
}

enum Working {
    Spelled(Expression<Value>),
    SquaresOff(Box<SquaresOff>),
}

impl Working {
    fn expression(&self) -> &Expression<Value> {
        match self {
            Working::Spelled(expression) => expression,
            Working::SquaresOff(squares) => squares.spelled.get_or_init(|| squares.spell()),
        }
    }
}

/// The sum of [`squared_off`] over readings. It has more terms than all else that is worked out
/// of the readings, so they are values only once somebody looks at them. Were they values at once, a
/// list of 40,000 readings would take 14 % more instructions and 24 % more memory, many sheets 3 %
/// more instructions.
struct SquaresOff {
    readings: Box<[Value]>,
    middle: Value,
    of: Cow<'static, str>,
    spelled: OnceCell<Expression<Value>>,
}

impl SquaresOff {
    fn figure(&self) -> Figure {
        let square = |reading: &Value| squared_off(&reading.0.figure, &self.middle.0.figure);
        let terms = self.readings.iter().map(square).collect();
        Figure::of(&Expression::Sum { terms, of: Box::default() }, |term| *term)
    }

    fn spell(&self) -> Expression<Value> {
        let terms = self.readings.iter().map(|reading| squared_off(reading, &self.middle));
        Expression::Sum { terms: terms.collect(), of: Box::new(self.of.clone()) }
    }
}

impl Value {
    fn new(number: f64, unit: Unit, expression: Expression<Value>, label: Option<Label>) -> Value {
        let label = label.map(Box::new);
        let figure = Figure::given(number);
        Value(Rc::new(Node { figure, unit, working: Working::Spelled(expression), label }))
    }

    fn computed(expression: Expression<Value>, unit: Unit) -> Value {
        let figure = Figure::of(&expression, |part: &Value| part.0.figure);
        let working = Working::Spelled(expression);
        Value(Rc::new(Node { figure, unit, working, label: None }))
    }

    /// A plain number of the sheet, in `unit`, under a name.
    #[must_use]
    pub fn typed(name: impl Into<Cow<'static, str>>, number: Decimal, unit: Unit) -> Value {
        let label = Label { name: name.into(), noun: "", typed: Typed::Number };
        Value::new(number.value(), unit, Expression::Typed(number), Some(label))
    }

    /// A measure of the sheet, converted to `unit`, under a name.
    #[must_use]
    pub fn measured<U: MeasureUnit>(
        name: impl Into<Cow<'static, str>>,
        measure: &Measure<U>,
        unit: Unit,
    ) -> Value {
        let typed = Typed::Text(measure.text());
        Value::reading(measure, unit).with_label(Label { name: name.into(), noun: "", typed })
    }

    /// A measure of the sheet, converted to `unit`, without a name: one reading of many.
    #[must_use]
    pub fn reading<U: MeasureUnit>(measure: &Measure<U>, unit: Unit) -> Value {
        let negative = measure.is_negative();
        let mut parts = measure.parts();
        let first =
            parts.next().map_or_else(|| Value::constant(0.0), |part| part_in(part, negative, unit));
        // The sign stands before the first part; the second is taken off or added.
        match parts.next() {
            None => first,
            Some(part) if negative => first - part_in(part, false, unit),
            Some(part) => first + part_in(part, false, unit),
        }
    }

    /// A plain number of the sheet without a name: one count of many.
    #[must_use]
    pub fn counted(number: Decimal) -> Value {
        Value::new(number.value(), Unit::ONE, Expression::Typed(number), None)
    }

    /// An exact number that belongs to a formula, such as the 2 of a halving.
    #[must_use]
    pub fn constant(number: f64) -> Value {
        Value::new(number, Unit::ONE, Expression::Constant, None)
    }

    /// An exact number with a unit and a name, such as the square inches of an acre.
    #[must_use]
    pub fn exact(name: &'static str, number: f64, unit: Unit) -> Value {
        let label = Label { name: name.into(), noun: "", typed: Typed::Not };
        Value::new(number, unit, Expression::Constant, Some(label))
    }

    /// A number that was looked up, counted or searched for; `how` says so in words.
    #[must_use]
    pub fn found(
        name: impl Into<Cow<'static, str>>,
        number: f64,
        unit: Unit,
        how: &'static str,
    ) -> Value {
        let label = Label { name: name.into(), noun: "", typed: Typed::Not };
        Value::new(number, unit, Expression::Found(how), Some(label))
    }

    /// The sum of many terms of one unit; `of` says in words what is summed. An empty sum is
    /// zero.
    #[must_use]
    pub fn sum(of: impl Into<Cow<'static, str>>, terms: Vec<Value>) -> Value {
        let unit = terms.first().map_or(Unit::ONE, Value::unit);
        debug_assert!(terms.iter().all(|term| term.unit().same(unit)), "a sum of several units");
        let of = Box::new(of.into());
        Value::computed(Expression::Sum { terms: terms.into(), of }, unit)
    }

    /// The sum of (reading - middle)^2 over readings of one unit; `of` says in words what is
    /// summed.
    ///
    /// ```
    /// use alleytrue::working::{Value, steps};
    /// let readings = [2.0, 3.0, 7.0].map(Value::constant);
    /// let mean = Value::constant(4.0).named("mean");
    /// let sum = Value::sum_of_squares_off("(reading - mean)^2", &readings, &mean).named("squares");
    /// assert_eq!(sum.number(), 14.0); // 4 + 1 + 9
    /// assert_eq!(
    ///     steps(&[sum])[1].to_string(),
    ///     "squares = sum of (reading - mean)^2 = (2 - 4)^2 + (3 - 4)^2 + (7 - 4)^2 = 14"
    /// );
    /// ```
    #[must_use]
    pub fn sum_of_squares_off(
        of: impl Into<Cow<'static, str>>,
        readings: &[Value],
        middle: &Value,
    ) -> Value {
        let unit = middle.unit().to_the(2);
        let of = of.into();
        let (readings, middle) = (readings.into(), middle.clone());
        let squares = SquaresOff { readings, middle, of, spelled: OnceCell::new() };
        let figure = squares.figure();
        let working = Working::SquaresOff(Box::new(squares));
        Value(Rc::new(Node { figure, unit, working, label: None }))
    }

    /// The number of `self - other`, where no value is wanted.
    #[must_use]
    pub fn number_less(&self, other: &Value) -> f64 {
        self.0.figure.less(&other.0.figure).number
    }

    /// `self` to a whole power.
    #[must_use]
    pub fn to_the(&self, exponent: u8) -> Value {
        let unit = self.unit().to_the(i8::try_from(exponent).unwrap_or(i8::MAX));
        Value::computed(Expression::Power(self.clone(), exponent), unit)
    }

    /// The square root.
    #[must_use]
    pub fn root(&self) -> Value {
        Value::computed(Expression::Root(self.clone()), self.unit().root())
    }

    /// The size without its sign.
    #[must_use]
    pub fn magnitude(&self) -> Value {
        Value::computed(Expression::Magnitude(self.clone()), self.unit())
    }

    /// The nearest whole number, halves away from zero.
    #[must_use]
    pub fn nearest(&self) -> Value {
        Value::computed(Expression::Nearest(self.clone()), self.unit())
    }

    /// The next whole number, or the same where binary noise is all that parts it from one.
    ///
    /// ```
    /// use alleytrue::working::Value;
    /// assert_eq!(Value::constant(139.6).rounded_up().number(), 140.0);
    /// let three = Value::constant(0.1) + Value::constant(0.2);
    /// assert_eq!((three * Value::constant(10.0)).rounded_up().number(), 3.0);
    /// ```
    #[must_use]
    pub fn rounded_up(&self) -> Value {
        Value::computed(Expression::Up(self.clone()), self.unit())
    }

    /// The value in another unit of the same dimension, by the multiplication or division that a
    /// person would do.
    ///
    /// ```
    /// use alleytrue::quantity::{LengthUnit, TimeUnit, Unit, Speed};
    /// use alleytrue::working::Value;
    /// let inches = Unit::speed(LengthUnit::Inch, TimeUnit::Second);
    /// let speed = Value::measured("speed", &Speed::parse("2.8 mph", None)?, inches);
    /// assert!((speed.number() - 49.28).abs() < 1e-12);
    /// # Ok::<(), alleytrue::quantity::ParseError>(())
    /// ```
    #[must_use]
    pub fn in_unit(&self, unit: Unit) -> Value {
        if self.unit() == unit {
            return self.clone();
        }
        let Some(factor) = self.unit().factor_to(unit) else {
            debug_assert!(false, "{} can't be turned into {unit}", self.unit());
            return self.clone();
        };
        if factor == Ratio::ONE && self.unit().same(unit) {
            return self.clone();
        }
        convert(self, factor).with_unit(unit)
    }

    /// The same value as hundredths.
    #[must_use]
    pub fn in_percent(&self) -> Value {
        self.in_unit(Unit::PERCENT)
    }

    /// Gives the value a name, which makes it a line of the working.
    #[must_use]
    pub fn named(self, name: impl Into<Cow<'static, str>>) -> Value {
        self.named_as(name, "")
    }

    /// [`named`](Value::named), with the word for what is counted in front of the unit.
    #[must_use]
    pub fn named_as(self, name: impl Into<Cow<'static, str>>, noun: &'static str) -> Value {
        let label = Label { name: name.into(), noun, typed: Typed::Not };
        if self.label().is_some() {
            Value::computed(Expression::Same(self.clone()), self.unit()).with_label(label)
        } else {
            self.with_label(label)
        }
    }

    /// Puts the word for what is counted in front of the unit of a named value.
    #[must_use]
    pub fn counting(self, noun: &'static str) -> Value {
        self.rebuilt(|node| {
            if let Some(label) = &mut node.label {
                label.noun = noun;
            }
        })
    }

    fn with_label(self, label: Label) -> Value {
        self.rebuilt(|node| node.label = Some(Box::new(label)))
    }

    fn with_unit(self, unit: Unit) -> Value {
        self.rebuilt(|node| node.unit = unit)
    }

    /// The node changed in place. Only called on values this module has just made, so the node
    /// is not shared; were it, the shared one is kept as the part of a new one.
    fn rebuilt(mut self, change: impl FnOnce(&mut Node)) -> Value {
        if let Some(node) = Rc::get_mut(&mut self.0) {
            change(node);
            return self;
        }
        let unit = self.unit();
        let mut copy = Value::computed(Expression::Same(self), unit);
        if let Some(node) = Rc::get_mut(&mut copy.0) {
            change(node);
        }
        copy
    }

    /// The number.
    #[must_use]
    pub fn number(&self) -> f64 {
        self.0.figure.number
    }

    /// The unit.
    #[must_use]
    pub fn unit(&self) -> Unit {
        self.0.unit
    }

    /// The unit as it is printed, with what is counted in front: "seeds/ac".
    #[must_use]
    pub fn unit_text(&self) -> Cow<'static, str> {
        let noun = self.label().map_or("", |label| label.noun);
        match self.0.unit.symbol() {
            Some(symbol) if noun.is_empty() => symbol.into(),
            Some("") => noun.into(),
            _ => format!("{noun}{}", self.0.unit).into(),
        }
    }

    /// The name, if it has one.
    #[must_use]
    pub fn name(&self) -> Option<&str> {
        self.label().map(|label| label.name.as_ref())
    }

    /// The text of the sheet, if it was typed.
    #[must_use]
    pub fn typed_text(&self) -> Option<Cow<'_, str>> {
        match (&self.label()?.typed, self.expression()) {
            (Typed::Text(text), _) => Some(text.as_ref().into()),
            (Typed::Number, Expression::Typed(number)) => Some(number.to_string().into()),
            (Typed::Number | Typed::Not, _) => None,
        }
    }

    /// Where the number came from, if not from arithmetic.
    #[must_use]
    pub fn origin(&self) -> Option<Origin> {
        match self.expression() {
            _ if self.label().is_some_and(|label| label.is_typed()) => Some(Origin::Sheet),
            Expression::Found(how) => Some(Origin::Found(how)),
            _ => None,
        }
    }

    pub(super) fn expression(&self) -> &Expression<Value> {
        self.0.working.expression()
    }

    /// What tells one node from another: two values with the same key are the same line.
    pub(super) fn key(&self) -> usize {
        Rc::as_ptr(&self.0) as usize
    }

    fn label(&self) -> Option<&Label> {
        self.0.label.as_deref()
    }
}

impl fmt::Debug for Value {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} = {} {}", self.name().unwrap_or("value"), self.number(), self.unit())
    }
}

fn part_in<U: MeasureUnit>(part: &Part<U>, negative: bool, unit: Unit) -> Value {
    let own = part.unit.compound();
    let leaf = |decimal: Decimal, unit: Unit| {
        Value::new(decimal.value(), unit, Expression::Typed(decimal), None)
    };
    let signed = |decimal: Decimal| if negative { decimal.negated() } else { decimal };
    let fraction = part.fraction.map(|(top, bottom)| (top, leaf(bottom, Unit::ONE)));
    let number = match (part.whole, fraction) {
        (Some(whole), None) => leaf(signed(whole), own),
        (Some(whole), Some((top, bottom))) if negative => {
            leaf(signed(whole), own) - leaf(top, own) / bottom
        }
        (Some(whole), Some((top, bottom))) => leaf(whole, own) + leaf(top, own) / bottom,
        (None, Some((top, bottom))) => leaf(signed(top), own) / bottom,
        (None, None) => Value::constant(0.0),
    };
    // Most readings are in the working unit already.
    if number.unit() == unit { number } else { number.in_unit(unit) }
}

/// Multiplies by an exact fraction in the way that is easiest to follow: by a whole or short
/// decimal number, or dividing by one, or both.
#[allow(clippy::cast_precision_loss)] // the factors of the unit table are far below 2^53
fn convert(value: &Value, factor: Ratio) -> Value {
    let multiplier = || short_decimal(factor).map(Value::constant);
    let divisor = || short_decimal(factor.inverse()).map(Value::constant);
    if factor.numerator() == 1
        && let Some(divisor) = divisor()
    {
        value / &divisor
    } else if let Some(multiplier) = multiplier() {
        value * &multiplier
    } else if let Some(divisor) = divisor() {
        value / &divisor
    } else {
        value * &Value::constant(factor.numerator() as f64)
            / Value::constant(factor.denominator() as f64)
    }
}

/// The fraction as a decimal number, where it ends within ten digits, one before the point at
/// least.
fn short_decimal(ratio: Ratio) -> Option<f64> {
    const MOST: u32 = 10;
    let scaled = |places: u32| ratio.numerator().checked_mul(10_u128.pow(places));
    let ends = |places: &u32| {
        scaled(*places).is_some_and(|whole| whole.is_multiple_of(ratio.denominator()))
    };
    let places = (0..MOST).find(ends)?;
    (scaled(places)? / ratio.denominator() < 10_u128.pow(MOST)).then(|| ratio.value())
}

impl Value {
    fn plus(&self, other: &Value) -> Value {
        debug_assert!(self.unit().same(other.unit()), "{self:?} + {other:?}");
        Value::computed(Expression::Add(self.clone(), other.clone()), self.unit())
    }

    fn minus(&self, other: &Value) -> Value {
        debug_assert!(self.unit().same(other.unit()), "{self:?} - {other:?}");
        Value::computed(Expression::Subtract(self.clone(), other.clone()), self.unit())
    }

    fn times(&self, other: &Value) -> Value {
        let unit = self.unit().times(other.unit());
        Value::computed(Expression::Multiply(self.clone(), other.clone()), unit)
    }

    fn over(&self, other: &Value) -> Value {
        let unit = self.unit().times(other.unit().to_the(-1));
        Value::computed(Expression::Divide(self.clone(), other.clone()), unit)
    }
}

macro_rules! operators {
    ($($trait:ident $method:ident $inherent:ident;)+) => {$(
        impl $trait<&Value> for &Value {
            type Output = Value;
            fn $method(self, other: &Value) -> Value { self.$inherent(other) }
        }
        impl $trait<Value> for &Value {
            type Output = Value;
            fn $method(self, other: Value) -> Value { self.$inherent(&other) }
        }
        impl $trait<&Value> for Value {
            type Output = Value;
            fn $method(self, other: &Value) -> Value { self.$inherent(other) }
        }
        impl $trait<Value> for Value {
            type Output = Value;
            fn $method(self, other: Value) -> Value { self.$inherent(&other) }
        }
    )+};
}

operators! {
    Add add plus;
    Sub sub minus;
    Mul mul times;
    Div div over;
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Length, LengthUnit, Speed, TimeUnit};

    fn length(text: &str, unit: LengthUnit) -> Value {
        Value::measured("length", &Length::parse(text, None).expect(text), unit.into())
    }

    #[test]
    fn readings_are_converted_exactly() {
        assert_eq!(length("19 ft 9 1/2 in", LengthUnit::Inch).number(), 237.5);
        assert_eq!(length("-3 ft 2 1/2 in", LengthUnit::Inch).number(), -38.5);
        assert_eq!(length("-1/2 in", LengthUnit::Inch).number(), -0.5);
        assert_eq!(length("6.03 m", LengthUnit::Centimetre).number(), 603.0);
        assert_eq!(length("30 in", LengthUnit::Centimetre).number(), 76.2);
        assert_eq!(length("76.2 cm", LengthUnit::Inch).number(), 30.0);
        let metric = Unit::speed(LengthUnit::Centimetre, TimeUnit::Second);
        let speed =
            Value::measured("speed", &Speed::parse("4.5 km/h", None).expect("speed"), metric);
        approx::assert_relative_eq!(speed.number(), 125.0, max_relative = 1e-15);
    }

    #[test]
    fn what_rounding_leaves_of_equal_numbers_is_zero() {
        let a = Value::constant(0.1) + Value::constant(0.2);
        assert_eq!((a - Value::constant(0.3)).number(), 0.0);
        let terms = [0.1, 0.2, -0.3].map(Value::constant);
        assert_eq!(Value::sum("terms", terms.into()).number(), 0.0);
    }

    #[test]
    fn a_name_does_not_change_the_value() {
        let value = (Value::constant(2.0) * Value::constant(3.0)).named("six");
        let again = value.clone().named("half a dozen");
        assert_eq!((value.number(), again.number()), (6.0, 6.0));
        assert_eq!((value.name(), again.name()), (Some("six"), Some("half a dozen")));
    }

    #[test]
    fn units_follow_the_arithmetic() {
        let area = length("2 ft", LengthUnit::Foot) * length("3 ft", LengthUnit::Foot);
        assert_eq!(area.unit().to_string(), "ft2");
        assert_eq!(area.root().unit().to_string(), "ft");
        assert_eq!(area.to_the(2).unit().to_string(), "ft4");
    }

    #[test]
    #[should_panic(expected = "must be converted")]
    #[cfg(debug_assertions)]
    fn mixed_units_are_caught_in_tests() {
        let _ = length("2 ft", LengthUnit::Foot) * length("3 in", LengthUnit::Inch);
    }
}
