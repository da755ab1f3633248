//! One line of the working: names, numbers, result.

use std::borrow::Cow;
use std::cell::OnceCell;
use std::collections::BTreeSet;
use std::fmt;

use super::expression::{Expression, Figure};
use super::value::{Origin, Value};
use crate::quantity::{as_shown_with, clean, plain, round_half_away, shown, shown_with};

/// A mark between two numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Operator {
    /// Addition.
    Plus,
    /// Subtraction.
    Minus,
    /// Multiplication.
    Times,
    /// Division.
    Over,
    /// Raising to a power.
    Power,
}

/// A piece of a printed formula. Renderers decide how each kind looks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Token<'a> {
    /// The name of a value.
    Name(&'a str),
    /// Words that stand for an operation on many or on looked-up numbers.
    Words(Cow<'a, str>),
    /// Digits.
    Number(String),
    /// An operator.
    Operator(Operator),
    /// `(`, or a function name with its `(`.
    Open(&'static str),
    /// `)`.
    Close,
}

/// How many digits numbers are given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Precision {
    /// Enough for a pocket calculator to get the printed result.
    Shown,
    /// Every digit of the number computed with.
    Full,
}

/// One line of the working, drawn from one named value.
#[derive(Clone, Debug)]
pub struct Step {
    value: Value,
    result: OnceCell<String>,
}

/// The lines that lead to `outputs`: every named value they rest on, each once, each after the
/// values it uses. Two values of one name and number are one line, however often they were
/// worked out.
#[must_use]
pub fn steps(outputs: &[Value]) -> Vec<Step> {
    let mut all = Lines::default();
    outputs.iter().for_each(|output| all.collect(output));
    all.lines
        .into_iter()
        .map(|value| Step { value: value.clone(), result: OnceCell::new() })
        .collect()
}

/// What makes two lines the same line: number and name.
type Identity<'a> = (u64, &'a str);

#[derive(Default)]
struct Lines<'a> {
    /// The values gone through.
    seen: BTreeSet<usize>,
    identities: BTreeSet<Identity<'a>>,
    lines: Vec<&'a Value>,
}

impl<'a> Lines<'a> {
    fn collect(&mut self, value: &'a Value) {
        let expression = value.expression();
        if value.name().is_none() && is_number(expression) || !self.seen.insert(value.key()) {
            return;
        }
        expression.for_each_part(|part| self.collect(part));
        if value.name().is_some() && self.identities.insert(identity(value)) {
            self.lines.push(value);
        }
    }
}

fn identity(value: &Value) -> Identity<'_> {
    (value.number().to_bits(), value.name().unwrap_or_default())
}

impl Step {
    /// The value the line is drawn from.
    #[must_use]
    pub fn value(&self) -> &Value {
        &self.value
    }

    /// What makes two lines the same line: number and name.
    #[must_use]
    pub fn identity(&self) -> (u64, &str) {
        identity(&self.value)
    }

    /// The name on the left.
    #[must_use]
    pub fn name(&self) -> &str {
        self.value.name().unwrap_or_default()
    }

    /// The formula in names, or in words where the number was typed or looked up.
    #[must_use]
    pub fn formula(&self) -> Vec<Token<'_>> {
        match (self.value.origin(), self.value.expression()) {
            (Some(Origin::Sheet), _) => {
                let typed = self.value.typed_text().unwrap_or_default();
                vec![Token::Words(["given: ", &typed].concat().into())]
            }
            (Some(Origin::Found(how)), _) => vec![Token::Words(how.into())],
            (None, Expression::Constant) => vec![Token::Words("exact".into())],
            (None, expression) => {
                let mut tokens = Vec::new();
                Writer::Names.write(expression, &mut tokens);
                tokens
            }
        }
    }

    /// The same formula in numbers.
    #[must_use]
    pub fn numbers(&self, precision: Precision) -> Vec<Token<'_>> {
        let digits = match precision {
            Precision::Full => Digits::Full,
            Precision::Shown => Digits::Shown { extra: self.digits_needed() },
        };
        let mut tokens = Vec::new();
        let whole = matches!(self.value.expression(), Expression::Up(_));
        if whole || is_number(self.value.expression()) {
            tokens.push(Token::Number(digits.of(&self.value)));
        } else {
            Writer::Numbers(digits).write(self.value.expression(), &mut tokens);
        }
        tokens
    }

    /// The result as printed: as many digits as results have, or a few more where binary noise
    /// could turn the last, or as many as are sure where noise has eaten the rest of them.
    #[must_use]
    pub fn result(&self) -> &str {
        self.result.get_or_init(|| self.printed())
    }

    fn printed(&self) -> String {
        let number = self.value.number();
        let usual = shown(number);
        let noise = Digits::Full.worked_out(&self.value).noise;
        let sure = |places: &usize| {
            let rounded = |nudge: f64| round_half_away(number + nudge, *places);
            far_from_half(number, noise, *places) || rounded(-noise) == rounded(noise)
        };
        let places = places(&usual);
        let in_turn = (places..=places + 2).chain((0..places).rev());
        match in_turn.into_iter().find(sure) {
            Some(other) if other != places => round_half_away(number, other),
            _ => usual,
        }
    }

    /// How many terms the line adds up.
    #[must_use]
    pub fn terms(&self) -> usize {
        fn longest(expression: &Expression<Value>) -> usize {
            if let Expression::Sum { terms, .. } = expression
                && !terms.is_empty()
            {
                return terms.len();
            }
            let mut most = 0;
            expression.for_each_part(|part| {
                if part.name().is_none() {
                    most = most.max(longest(part.expression()));
                }
            });
            most
        }
        longest(self.value.expression())
    }

    /// Extra digits the operands need so that the printed numbers give the printed result.
    fn digits_needed(&self) -> usize {
        const MOST: usize = 12;
        let print = Print::of(self.value.number(), self.result());
        (0..MOST)
            .find(|extra| print.is_of(Digits::Shown { extra: *extra }.worked_out(&self.value)))
            .unwrap_or(MOST)
    }
}

/// The least noise that binary arithmetic is taken to leave in a number worked out by hand,
/// relative to it.
const NOISE: f64 = 1e-13;

/// A printed result, to be met by a pocket calculator: its number, rounded like the result, must
/// be the result. One that ends early, such as 1000, is printed as exact, so it must be met to
/// eight significant digits: nobody takes 999.6 for it.
struct Print {
    number: f64,
    places: usize,
}

impl Print {
    fn of(number: f64, result: &str) -> Print {
        let places = places(result).max(places_for_eight_digits(number));
        let number = result.parse().unwrap_or(number);
        Print { number, places }
    }

    fn rounded(value: f64, places: usize) -> String {
        round_half_away(clean_slightly(value), places)
    }

    fn is_of(&self, Figure { number: by_hand, noise }: Figure) -> bool {
        // A calculator has no binary noise, so a number that noise could push over a half won't
        // do.
        let noise = noise.max(NOISE * by_hand.abs());
        let half = 0.5 * decimal_unit(self.places);
        let off = (by_hand - self.number).abs();
        if plainly_more(half, by_hand.abs()) {
            if off + noise < half * (1.0 - MARGIN) {
                return true;
            }
            if off > half * (1.0 + MARGIN) {
                return false;
            }
        }
        let text = Print::rounded(self.number, self.places);
        let is_same = |nudge: &f64| Print::rounded(by_hand + nudge, self.places) == text;
        [-noise, 0.0, noise].iter().all(is_same)
    }
}

/// How near to a half digit is looked at by printing, relative to it. What is plain without that is
/// most of it: a page takes 21 % more instructions where all is printed to be compared.
const MARGIN: f64 = 1e-4;

/// Ten to the power of less than none.
fn decimal_unit(places: usize) -> f64 {
    0.1_f64.powi(i32::try_from(places).unwrap_or(i32::MAX))
}

/// Whether a half digit is so large beside a number that binary rounding, and the taking off of
/// it, can't matter to a comparison with [`MARGIN`].
fn plainly_more(half: f64, number: f64) -> bool {
    half > 1e-10 * number
}

/// Whether a number is so far from where rounding turns that noise can't take it there. Errs on
/// the side of no.
fn far_from_half(number: f64, noise: f64, places: usize) -> bool {
    let unit = decimal_unit(places);
    let to_half = ((number.abs() / unit).fract() - 0.5).abs() * unit;
    plainly_more(0.5 * unit, number.abs()) && to_half > noise + unit * MARGIN
}

/// Decimals of a printed number.
fn places(printed: &str) -> usize {
    printed.split_once('.').map_or(0, |(_, fraction)| fraction.len())
}

/// Decimals that leave eight significant digits, where that is all the number has; else none.
#[allow(clippy::cast_possible_truncation)]
fn places_for_eight_digits(number: f64) -> usize {
    if number == 0.0 {
        return 8;
    }
    if as_shown_with(number, 0) != clean(number) {
        return 0;
    }
    let magnitude = number.abs().log10().floor().clamp(-20.0, 20.0) as i32;
    usize::try_from(7 - magnitude).unwrap_or(0)
}

/// Takes off the last digit's binary noise, which an exact calculator does not have.
fn clean_slightly(number: f64) -> f64 {
    let cleaned = clean(number);
    if (cleaned - number).abs() <= 8.0 * f64::EPSILON * number.abs() { cleaned } else { number }
}

/// Whether the expression is a single number with nothing to work out.
fn is_number(expression: &Expression<Value>) -> bool {
    matches!(expression, Expression::Typed(_) | Expression::Constant | Expression::Found(_))
}

#[derive(Clone, Copy)]
enum Digits {
    Shown { extra: usize },
    Full,
}

impl Digits {
    fn of(self, value: &Value) -> String {
        match (value.expression(), self) {
            (Expression::Typed(decimal), _) => decimal.to_string(),
            (Expression::Constant, _) | (_, Digits::Full) => plain(value.number()),
            (_, Digits::Shown { extra }) => shown_with(value.number(), extra),
        }
    }

    /// The number that the printed digits of one value stand for. Digits that are all printed
    /// stand for the number itself.
    fn read_back(self, value: &Value) -> f64 {
        match (value.expression(), self) {
            (Expression::Typed(decimal), _) => decimal.value(),
            (Expression::Constant, _) | (_, Digits::Full) => value.number(),
            (_, Digits::Shown { extra }) => as_shown_with(value.number(), extra),
        }
    }

    /// What printed digits stand for, worked out as a person would.
    fn by_hand(self, value: &Value) -> Figure {
        if prints_as_number(value) {
            let number = self.read_back(value);
            Figure { number, noise: f64::EPSILON * number.abs() }
        } else {
            self.worked_out(value)
        }
    }

    /// The result of a line, worked out of the printed digits of its parts.
    fn worked_out(self, value: &Value) -> Figure {
        let given = Figure { number: value.number(), noise: 0.0 };
        value.expression().figure(|part| self.by_hand(part)).unwrap_or(given)
    }
}

/// Whether a part of a formula is printed as one number: it has a line of its own, or nothing
/// to work out, or its working is not arithmetic.
fn prints_as_number(value: &Value) -> bool {
    value.name().is_some()
        || is_number(value.expression())
        || matches!(
            value.expression(),
            Expression::Nearest(_) | Expression::Up(_) | Expression::Magnitude(_)
        )
}

#[derive(Clone, Copy)]
enum Writer {
    Names,
    Numbers(Digits),
}

/// How tightly an expression binds; a part that binds less than its place needs brackets.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Binding {
    Sum,
    Product,
    Power,
    Whole,
}

impl Writer {
    fn write<'a>(self, expression: &'a Expression<Value>, out: &mut Vec<Token<'a>>) {
        use Binding::{Power, Product, Sum};
        match expression {
            Expression::Same(of) => self.part(of, Sum, out),
            Expression::Add(a, b) => self.pair(a, Operator::Plus, b, (Sum, Sum), out),
            Expression::Subtract(a, b) => self.pair(a, Operator::Minus, b, (Sum, Product), out),
            Expression::Multiply(a, b) => self.pair(a, Operator::Times, b, (Product, Power), out),
            Expression::Divide(a, b) => self.pair(a, Operator::Over, b, (Product, Power), out),
            Expression::Power(base, exponent) => {
                self.part(base, Binding::Whole, out);
                out.push(Token::Operator(Operator::Power));
                out.push(Token::Number(exponent.to_string()));
            }
            Expression::Root(of) => self.call("sqrt(", of, out),
            Expression::Nearest(of) => self.call("nearest whole(", of, out),
            Expression::Up(of) => self.call("round up(", of, out),
            Expression::Magnitude(of) => self.call("size of (", of, out),
            Expression::Sum { terms, of } => self.sum(terms, of, out),
            Expression::Typed(_) | Expression::Constant | Expression::Found(_) => {}
        }
    }

    fn pair<'a>(
        self,
        a: &'a Value,
        operator: Operator,
        b: &'a Value,
        need: (Binding, Binding),
        out: &mut Vec<Token<'a>>,
    ) {
        self.part(a, need.0, out);
        out.push(Token::Operator(operator));
        self.part(b, need.1, out);
    }

    fn call<'a>(self, function: &'static str, of: &'a Value, out: &mut Vec<Token<'a>>) {
        out.push(Token::Open(function));
        self.part(of, Binding::Sum, out);
        out.push(Token::Close);
    }

    fn sum<'a>(self, terms: &'a [Value], of: &str, out: &mut Vec<Token<'a>>) {
        match self {
            Writer::Names => out.push(Token::Words(["sum of ", of].concat().into())),
            Writer::Numbers(_) if terms.is_empty() => out.push(Token::Number("0".into())),
            Writer::Numbers(_) => {
                for (index, term) in terms.iter().enumerate() {
                    if index > 0 {
                        out.push(Token::Operator(Operator::Plus));
                    }
                    self.part(term, Binding::Product, out);
                }
            }
        }
    }

    /// One part of an expression: a name or a number, or its own expression in brackets where
    /// the place asks for more than it binds.
    fn part<'a>(self, value: &'a Value, need: Binding, out: &mut Vec<Token<'a>>) {
        match self {
            Writer::Names if value.name().is_some() => {
                out.push(Token::Name(value.name().unwrap_or_default()));
            }
            Writer::Names if is_number(value.expression()) => {
                number(Digits::Shown { extra: 0 }.of(value), need, out);
            }
            Writer::Numbers(digits) if prints_as_number(value) => {
                number(digits.of(value), need, out);
            }
            _ if self.binding(value.expression()) < need => {
                out.push(Token::Open("("));
                self.write(value.expression(), out);
                out.push(Token::Close);
            }
            _ => self.write(value.expression(), out),
        }
    }

    fn binding(self, expression: &Expression<Value>) -> Binding {
        match expression {
            Expression::Add(..) | Expression::Subtract(..) => Binding::Sum,
            Expression::Sum { terms, .. } => match self {
                Writer::Numbers(_) if terms.len() > 1 => Binding::Sum,
                _ => Binding::Product,
            },
            Expression::Multiply(..) | Expression::Divide(..) => Binding::Product,
            Expression::Power(..) => Binding::Power,
            Expression::Same(of) if of.name().is_none() => self.binding(of.expression()),
            _ => Binding::Whole,
        }
    }
}

/// A number; a negative one in brackets, unless it starts an expression.
fn number(text: String, need: Binding, out: &mut Vec<Token<'_>>) {
    let starts = out.is_empty() || after_open(out);
    if text.starts_with('-') && (!starts || need == Binding::Whole) {
        out.extend([Token::Open("("), Token::Number(text), Token::Close]);
    } else {
        out.push(Token::Number(text));
    }
}

fn after_open(tokens: &[Token<'_>]) -> bool {
    matches!(tokens.last(), Some(Token::Open(_)))
}

impl Operator {
    /// As it stands between two numbers, in plain ASCII.
    #[must_use]
    pub fn between(self) -> &'static str {
        match self {
            Operator::Plus => " + ",
            Operator::Minus => " - ",
            Operator::Times => " * ",
            Operator::Over => " / ",
            Operator::Power => "^",
        }
    }
}

/// Tokens as plain ASCII arithmetic, the form that programs read.
#[must_use]
pub fn plain_text(tokens: &[Token<'_>]) -> String {
    with_signs(tokens, Operator::between)
}

/// Tokens in one line, operators as `sign` has them.
#[must_use]
pub fn with_signs(tokens: &[Token<'_>], sign: impl Fn(Operator) -> &'static str) -> String {
    let mut text = String::new();
    for token in tokens {
        text.push_str(match token {
            Token::Name(word) => word,
            Token::Words(words) => words,
            Token::Number(digits) => digits,
            Token::Operator(operator) => sign(*operator),
            Token::Open(open) => open,
            Token::Close => ")",
        });
    }
    text
}

/// `name = formula = numbers = result unit`, in plain ASCII.
impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let formula = plain_text(&self.formula());
        let numbers = plain_text(&self.numbers(Precision::Shown));
        let result = self.result();
        let unit = self.value.unit_text();
        write!(f, "{} = {formula}", self.name())?;
        if numbers != result {
            write!(f, " = {numbers}")?;
        }
        write!(f, " = {result}")?;
        if unit.is_empty() { Ok(()) } else { write!(f, " {unit}") }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Decimal, Length, LengthUnit, Unit};

    fn number(name: &'static str, mantissa: i64, places: u8) -> Value {
        Value::typed(name, Decimal::new(mantissa, places), Unit::ONE)
    }

    fn last_line(value: Value) -> String {
        steps(&[value]).pop().expect("a line").to_string()
    }

    #[test]
    fn brackets_stand_where_the_arithmetic_needs_them() {
        let (a, b, c) = (number("a", 1, 0), number("b", 2, 0), number("c", -3, 0));
        let line = |value: Value| last_line(value.named("x"));
        assert_eq!(line((&a - &b) / &c), "x = (a - b) / c = (1 - 2) / (-3) = 0.333333");
        assert_eq!(line(&a - (&b - &c)), "x = a - (b - c) = 1 - (2 - (-3)) = -4");
        assert_eq!(line(&a / (&b * &c)), "x = a / (b * c) = 1 / (2 * (-3)) = -0.166667");
        assert_eq!(line(&a * &b / &c), "x = a * b / c = 1 * 2 / (-3) = -0.666667");
        assert_eq!(line((&a - &c).to_the(2)), "x = (a - c)^2 = (1 - (-3))^2 = 16");
        assert_eq!(line(c.to_the(2)), "x = c^2 = (-3)^2 = 9");
        assert_eq!(line((&a + &b).root()), "x = sqrt(a + b) = sqrt(1 + 2) = 1.73205");
    }

    #[test]
    fn a_typed_measure_shows_its_conversion() {
        let marks = Value::measured(
            "marks",
            &Length::parse("19 ft 9 1/2 in", None).expect("length"),
            LengthUnit::Inch.into(),
        );
        assert_eq!(
            last_line(marks),
            "marks = given: 19 ft 9 1/2 in = 19 * 12 + 9 + 1 / 2 = 237.5 in"
        );
    }

    #[test]
    fn operands_take_the_digits_the_result_needs() {
        // 1/3 shown as 0.333333 would make 3000 times it 999.999.
        let third = (number("a", 1, 0) / number("b", 3, 0)).named("third");
        let line = last_line((&third * number("c", 3000, 0)).named("x"));
        assert_eq!(line, "x = third * c = 0.33333333 * 3000 = 1000");
    }

    #[test]
    fn a_difference_that_leaves_a_half_takes_more_digits() {
        // (13.14520921 - 13.15721490) / 2 is -0.006002845, which rounds to -0.00600285; in binary
        // it is a little less.
        let named = |name, number| Value::found(name, number, Unit::ONE, "measured");
        let (b, a) = (named("b", 13.145_209_208_223_973), named("a", 13.157_214_895_013_125));
        let line = last_line(((b - a) / Value::constant(2.0)).named("x"));
        assert_eq!(line, "x = (b - a) / 2 = (13.145209208 - 13.157214895) / 2 = -0.00600284");
    }

    #[test]
    fn digits_that_binary_noise_has_made_are_not_printed() {
        // 776.75 x 566.21763213583 / 566.21763 - 776.75 is 0.0000029299793: the sixth digit hangs
        // on the last bit of 776.75.
        let named = |name, number| Value::found(name, number, Unit::ONE, "measured");
        let spacing = named("spacing", 776.75);
        let (exact, held) = (named("exact", 566.217_632_135_826_9), named("held", 566.217_63));
        let line = last_line((&spacing * exact / held - &spacing).named("left"));
        assert!(line.ends_with("/ 566.21763 - 776.75 = 0.0000029300"), "{line}");
    }

    #[test]
    fn a_last_digit_that_binary_noise_could_turn_is_followed_by_another() {
        // 311.22 x 861.9032455290092 / 861.9 - 311.22 is 0.00117191499970: of six digits the last
        // would stand a hair below the half.
        let named = |name, number| Value::found(name, number, Unit::ONE, "measured");
        let spacing = named("spacing", 311.22);
        let (exact, held) = (named("exact", 861.903_245_529_009_2), named("held", 861.9));
        let line = last_line((&spacing * exact / held - &spacing).named("left"));
        assert!(line.ends_with(" - 311.22 = 0.001171915"), "{line}");
    }

    #[test]
    fn rounding_to_steps_is_a_line_a_calculator_follows() {
        let exact = number("exact", 3_146_875, 4);
        let count = (&exact / number("step", 1, 2)).named("steps");
        let line = last_line((count.nearest() * number("step", 1, 2)).named("set"));
        assert_eq!(line, "set = nearest whole(steps) * step = 31469 * 0.01 = 314.69");
    }

    #[test]
    fn each_named_value_is_one_line_after_what_it_uses() {
        let a = number("a", 2, 0);
        let b = (&a * &a).named("b");
        let names: Vec<String> = steps(&[(&b + &a).named("c"), b.clone()])
            .iter()
            .map(|step| step.name().into())
            .collect();
        assert_eq!(names, ["a", "b", "c"]);
    }
}
