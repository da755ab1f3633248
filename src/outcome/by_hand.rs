//! What hands adjust on the planter and in the field, and no controller holds.

use super::by_a_change::by_a_change;
use super::condition::Condition;
use super::setting::Setting;
use crate::quantity::{Decimal, Unit, bounds};
use crate::working::Value;

/// Something that hands adjust.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ByHand {
    /// Throttle and gear.
    Throttle,
    /// How far the marks were moved out since they were staked.
    Marks,
    /// Which staking of the marks it is, where they were staked anew altogether.
    Staking,
    /// Teeth that the chain on the meter of a row was jumped, forward.
    Chain {
        /// The row.
        row: u32,
    },
    /// Turns that the depth setting of a row was turned in; of all rows alike where none is named.
    Depth {
        /// The row.
        row: Option<u32>,
    },
    /// The planter's side at its hitch, the marker arms, or the lines that the tractor follows.
    Hitch,
    /// What is fitted, loaded or driven on.
    Condition(Condition),
}

/// The marks where they stand, seen by a pass that goes out: they lie further along where they are
/// moved out, so that its alleys lie so much less ahead of them.
pub static MARKS_OUT: Setting = marks("place of the marks, out");
/// The same seen by a pass that comes home: the opposite.
pub static MARKS_HOME: Setting = marks("place of the marks, home");

const fn marks(name: &'static str) -> Setting {
    let meaning = "how far the marks were moved out, away from the start of the field";
    Setting { key: "marks", name, meaning }
}

/// What turning a depth setting does, as the sheet has it in `[planter]`.
pub static DEPTH_TURNS: Setting = Setting {
    key: "depth-turns",
    name: "depth turns",
    meaning: "what turning the depth setting of a row does",
};

/// What one adjustment is changed by.
#[derive(Clone, Debug)]
pub enum By {
    /// This is added: teeth, turns, a length.
    Number(Value),
    /// What nobody has a number for: what is done, in words.
    Words(String),
}

/// An adjustment that is to be made by hand.
#[derive(Clone, Debug)]
pub struct Adjustment {
    /// What is adjusted.
    pub what: ByHand,
    /// By how much.
    pub by: By,
    /// The error it takes out, where there is a figure for it.
    pub error: Option<Value>,
    /// Why, in a few words.
    pub why: String,
}

/// What hands had set when a run was planted, and what they have set now.
#[derive(Clone, Copy, Debug)]
pub struct Since {
    /// Then.
    pub then: Decimal,
    /// Now.
    pub now: Decimal,
}

impl Since {
    /// Nothing where it is the same.
    #[must_use]
    pub fn of(then: Decimal, now: Decimal) -> Option<Since> {
        (then.value() != now.value()).then_some(Since { then, now })
    }

    /// What came on since: now - then.
    ///
    /// ```
    /// use alleytrue::outcome::Since;
    /// use alleytrue::quantity::Decimal;
    /// let since = Since { then: Decimal::whole(1), now: Decimal::whole(3) };
    /// assert_eq!(since.more("teeth jumped on row 2").number(), 2.0);
    /// ```
    #[must_use]
    pub fn more(&self, what: &str) -> Value {
        let typed = |when: String, number| Value::typed([what, &when].concat(), number, Unit::ONE);
        let (now, then) =
            (typed(" now".into(), self.now), typed(format!(" then, {}", self.then), self.then));
        (now - then).named(format!("{what} since it was {}", self.then))
    }

    /// What came on by a change from the first to the second; nothing stands for what it is now, and
    /// both can't be that.
    #[must_use]
    pub fn more_by_a_change(thens: [Option<Since>; 2], what: &str) -> Option<Value> {
        by_a_change(thens.map(|then| Some(then?.more(what))))
    }
}

impl ByHand {
    /// The adjustment of a key, as `[[history]]` has it.
    ///
    /// ```
    /// use alleytrue::outcome::ByHand;
    /// assert_eq!(ByHand::of_key("chain-row-3"), Some(ByHand::Chain { row: 3 }));
    /// assert_eq!(ByHand::of_key("depth-all"), Some(ByHand::Depth { row: None }));
    /// assert_eq!(ByHand::of_key("chain-row-0"), None);
    /// assert_eq!(ByHand::of_key("chain-row-99"), None); // no planter has so many
    /// ```
    #[must_use]
    pub fn of_key(key: &str) -> Option<ByHand> {
        let row = |digits: &str| {
            let plain = digits.bytes().all(|byte| byte.is_ascii_digit());
            let number = digits.parse().ok().filter(|_| plain && !digits.starts_with('0'));
            number.filter(|row: &u32| bounds::ROWS.hold(f64::from(*row)))
        };
        if let Some(row_of_chain) = key.strip_prefix("chain-row-") {
            return Some(ByHand::Chain { row: row(row_of_chain)? });
        }
        if let Some(row_of_depth) = key.strip_prefix("depth-row-") {
            return Some(ByHand::Depth { row: Some(row(row_of_depth)?) });
        }
        if let Some(condition) = Condition::ALL.into_iter().find(|one| one.key() == key) {
            return Some(ByHand::Condition(condition));
        }
        let plain = [
            ByHand::Throttle,
            ByHand::Marks,
            ByHand::Staking,
            ByHand::Depth { row: None },
            ByHand::Hitch,
        ];
        plain.into_iter().find(|one| one.key() == key)
    }

    /// Its key.
    #[must_use]
    pub fn key(self) -> String {
        match self {
            ByHand::Throttle => "throttle".into(),
            ByHand::Marks => "marks".into(),
            ByHand::Staking => "staking".into(),
            ByHand::Chain { row } => format!("chain-row-{row}"),
            ByHand::Depth { row: Some(row) } => format!("depth-row-{row}"),
            ByHand::Depth { row: None } => "depth-all".into(),
            ByHand::Hitch => "hitch".into(),
            ByHand::Condition(condition) => condition.key().into(),
        }
    }

    /// Its name in words.
    #[must_use]
    pub fn name(self) -> String {
        match self {
            ByHand::Throttle => "throttle".into(),
            ByHand::Marks => "place of the marks".into(),
            ByHand::Staking => "staking of the marks".into(),
            ByHand::Chain { row } => format!("chain of row {row}"),
            ByHand::Depth { row: Some(row) } => format!("depth setting of row {row}"),
            ByHand::Depth { row: None } => "depth setting of all rows".into(),
            ByHand::Hitch => "hitch".into(),
            ByHand::Condition(condition) => condition.name().into(),
        }
    }

    /// The row that it belongs to, where it belongs to one.
    #[must_use]
    pub fn row(self) -> Option<u32> {
        match self {
            ByHand::Chain { row } => Some(row),
            ByHand::Depth { row } => row,
            _ => None,
        }
    }

    /// Whether two may be adjusted one after the other and looked at together: rows don't move each
    /// other.
    ///
    /// ```
    /// use alleytrue::outcome::ByHand;
    /// let chain = |row| ByHand::Chain { row };
    /// assert!(chain(2).goes_with(chain(3)));
    /// assert!(!chain(2).goes_with(chain(2)) && !chain(2).goes_with(ByHand::Throttle));
    /// ```
    #[must_use]
    pub fn goes_with(self, other: ByHand) -> bool {
        let alike = std::mem::discriminant(&self) == std::mem::discriminant(&other);
        alike && self.row().zip(other.row()).is_some_and(|(one, other)| one != other)
    }

    /// Whether words of the sheet's own stand for it, and no number.
    #[must_use]
    pub fn is_label(self) -> bool {
        match self {
            ByHand::Throttle | ByHand::Staking | ByHand::Hitch => true,
            ByHand::Condition(condition) => condition.is_label(),
            ByHand::Marks | ByHand::Chain { .. } | ByHand::Depth { .. } => false,
        }
    }
}
