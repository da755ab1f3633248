//! Seed spacing: from the target population to the sprockets, and back.

use super::calculate::{Calculate, Entry};
use super::common::Common;
use crate::quantity::{
    AreaUnit, Decimal, Length, LengthUnit, MeasureUnit, PerTime, SeedRate, Share, Speed, TimeUnit,
    Unit, brief,
};
use crate::working::Value;

use super::chain::{self, ChainDrive};
use super::sprockets::{self, Combination, SearchError, Stage, Wanted};
use super::wheel::{Travel, WheelRun, travel_of_planter, travel_of_runs};
use crate::outcome::cautions::AT_THE_DRIVE;
use crate::outcome::setting::inside;
use crate::outcome::warning::{
    CANNOT_ADJUST, CHAIN_DOES_NOT_FIT, FEWER_SWAPS, NO_TOLERANCE, NOTHING_FITS, PLATE_TOO_FAST,
    STEEP_RATIO,
};
use crate::outcome::wording::in_words;
use crate::outcome::{Calculation, Cell, Column, Next, Outcome, SettingResult, Table, Verdict};
use crate::quantity::at_most;
use crate::working::Units;

/// This calculation.
pub const CALCULATION: Calculation = Calculation { key: "spacing", title: "Seed spacing" };

/// Percent off from which on a number is wrong, and not the sprockets. Common practice, no source.
const SURELY_A_SLIP: f64 = 50.0;
/// Alternatives listed.
const LISTED: usize = 8;
/// Positions that a chart may hold.
pub const CHART_LIMIT: usize = 2000;

/// Where travel per turn comes from.
#[derive(Clone, Debug)]
pub enum TravelSource {
    /// The planter table.
    Planter(Box<Travel>),
    /// Wheel runs on this ground, which go before the planter table.
    Runs(Vec<WheelRun>),
}

/// What is wanted on the ground.
#[derive(Clone, Debug)]
pub enum Target {
    /// Seeds per area, or per length of row.
    Population(SeedRate),
    /// Distance from seed to seed.
    Spacing(Length),
}

/// One chain of the drive, from wheel to plate.
#[derive(Clone, Debug)]
pub struct DriveStage {
    /// Its sprockets.
    pub sprockets: Stage,
    /// Its chain, where known.
    pub chain: Option<ChainDrive>,
}

/// How the plate is turned from the ground wheel.
#[derive(Clone, Debug)]
pub enum Drive {
    /// Through chains.
    Chains(Vec<DriveStage>),
    /// At a ratio that can't be changed: plate turns per wheel turn.
    Fixed(Decimal),
}

/// What the spacing calculation needs.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// Ground covered per turn of the drive wheel.
    pub travel: TravelSource,
    /// The drive.
    pub drive: Drive,
    /// Cells of the seed plate.
    pub cells: Decimal,
    /// Distance between rows.
    pub row_spacing: Length,
    /// What is wanted.
    pub target: Target,
    /// Ground speed, for the plate's turning rate.
    pub speed: Option<Speed>,
    /// The meter's limit.
    pub top_rate: Option<PerTime>,
    /// The share by which the spacing may miss.
    pub tolerance: Option<Share>,
    /// Whether sprockets are ranked as if any chain could be made to fit them.
    pub ignore_chains: bool,
}

/// Plate turns per wheel turn: the teeth of every driving sprocket multiplied, over those of
/// every driven one.
///
/// ```
/// use alleytrue::calculations::spacing::drive_ratio;
/// use alleytrue::working::Value;
/// let teeth = [(Value::constant(24.0), Value::constant(18.0))];
/// assert_eq!(drive_ratio(&teeth).number(), 24.0 / 18.0);
/// ```
#[must_use]
pub fn drive_ratio(teeth: &[(Value, Value)]) -> Value {
    let product = |side: fn(&(Value, Value)) -> &Value| {
        let all = teeth.iter().map(side).cloned();
        all.reduce(|product, teeth| product * teeth).unwrap_or_else(|| Value::constant(1.0))
    };
    product(|pair| &pair.0) / product(|pair| &pair.1)
}

/// Distance between seeds: travel per turn / (plate turns per wheel turn × cells).
///
/// ```
/// use alleytrue::calculations::spacing::spacing_at;
/// use alleytrue::quantity::{Decimal, LengthUnit, Unit};
/// use alleytrue::working::Value;
/// let travel = Value::typed("travel per turn", Decimal::new(815, 1), LengthUnit::Inch.into());
/// let ratio = Value::constant(1.25);
/// let spacing = spacing_at(&travel, &ratio, &Value::constant(40.0));
/// assert!((spacing.number() - 1.63).abs() < 1e-12);
/// ```
#[must_use]
pub fn spacing_at(travel: &Value, ratio: &Value, cells: &Value) -> Value {
    travel / (ratio * cells)
}

/// Ground per seed turned into seeds per area: 1 / (row spacing × seed spacing), per `area`.
///
/// ```
/// use alleytrue::calculations::spacing::population_at;
/// use alleytrue::working::Units;
/// use alleytrue::quantity::Length;
/// // Valley Potato Grower, March 2021, p. 12: 36 in rows, 12 in apart, 14,520 plants/ac.
/// let row = Units::US.length("row spacing", &Length::parse("36 in", None)?);
/// let seed = Units::US.length("seed spacing", &Length::parse("12 in", None)?);
/// assert_eq!(population_at(&row, &seed, &Units::US).number(), 14520.0);
/// # Ok::<(), alleytrue::quantity::ParseError>(())
/// ```
#[must_use]
pub fn population_at(row_spacing: &Value, spacing: &Value, units: &Units) -> Value {
    area(units) / (row_spacing * spacing)
}

/// Seed spacing for a target: area / (row spacing × population), or 1 / (seeds per length).
///
/// ```
/// use alleytrue::calculations::spacing::spacing_for;
/// use alleytrue::working::Units;
/// use alleytrue::quantity::{Length, SeedRate};
/// // Golla, Mintesnot and Getachew 2018: 75 x 40 cm is 33,333 plants/ha.
/// let row = Units::METRIC.length("row spacing", &Length::parse("75 cm", None)?);
/// let wanted = SeedRate::parse("33333 /ha")?;
/// let spacing = spacing_for(&row, &wanted, &Units::METRIC);
/// assert!((spacing.number() - 40.0).abs() < 0.001);
/// # Ok::<(), alleytrue::quantity::ParseError>(())
/// ```
#[must_use]
pub fn spacing_for(row_spacing: &Value, population: &SeedRate, units: &Units) -> Value {
    spacing_at_rate(row_spacing, &target_rate(population, units), population, units)
}

/// The seeds wanted, as typed.
pub(super) fn target_rate(population: &SeedRate, units: &Units) -> Value {
    let name = match population {
        SeedRate::Area(_) => "target population",
        SeedRate::Row(_) => "target along the row",
    };
    rate_of(name, population, units).counting("seeds")
}

/// Seed spacing for a worked-out rate, which is written as `like` is: per area or along the row.
pub(super) fn spacing_at_rate(
    row_spacing: &Value,
    rate: &Value,
    like: &SeedRate,
    units: &Units,
) -> Value {
    match like {
        SeedRate::Area(like) => area(&Units { area: like.unit(), ..*units }) / (row_spacing * rate),
        SeedRate::Row(_) => Value::constant(1.0) / rate,
    }
}

/// The rate at a seed spacing, written as `like` is.
pub(super) fn rate_at_spacing(
    row_spacing: &Value,
    spacing: &Value,
    like: &SeedRate,
    units: &Units,
) -> Value {
    match like {
        SeedRate::Area(like) => {
            population_at(row_spacing, spacing, &Units { area: like.unit(), ..*units })
        }
        SeedRate::Row(_) => Value::constant(1.0) / spacing,
    }
}

/// A rate of the sheet, per its own area or per working length of row.
pub(super) fn rate_of(name: &'static str, rate: &SeedRate, units: &Units) -> Value {
    match rate {
        SeedRate::Area(rate) => Value::measured(name, rate, Unit::per_area(rate.unit())),
        SeedRate::Row(rate) => Value::measured(name, rate, Unit::from(units.length).to_the(-1)),
    }
}

/// The seed spacing that a target stands for.
#[must_use]
pub fn target_spacing(target: &Target, row_spacing: &Value, units: &Units) -> Value {
    match target {
        Target::Spacing(spacing) => units.length("target spacing", spacing),
        Target::Population(rate) => spacing_for(row_spacing, rate, units).named("target spacing"),
    }
}

/// The area unit in square working lengths, exactly: 6,272,640 square inches to the acre.
pub(super) fn area(units: &Units) -> Value {
    let square = Unit::from(units.length).to_the(-2);
    let per_area = Unit::per_area(units.area);
    let name = match (units.length, units.area) {
        (LengthUnit::Inch, AreaUnit::Acre) => "square inches per acre",
        (LengthUnit::Centimetre, AreaUnit::Hectare) => "square centimetres per hectare",
        (LengthUnit::Centimetre, AreaUnit::SquareMetre) => "square centimetres per square metre",
        (LengthUnit::Millimetre, AreaUnit::Hectare) => "square millimetres per hectare",
        (LengthUnit::Inch, AreaUnit::Hectare) => "square inches per hectare",
        (LengthUnit::Inch, AreaUnit::SquareMetre) => "square inches per square metre",
        (LengthUnit::Centimetre, AreaUnit::Acre) => "square centimetres per acre",
        (LengthUnit::Millimetre, AreaUnit::Acre) => "square millimetres per acre",
        (LengthUnit::Millimetre, AreaUnit::SquareMetre) => "square millimetres per square metre",
        _ => "square lengths per unit of area",
    };
    #[allow(clippy::cast_precision_loss)] // exact: at most 4 x 10^15
    let factor = square.factor_to(per_area).map_or(f64::NAN, |ratio| ratio.value());
    Value::exact(name, factor, per_area.times(square.to_the(-1)))
}

/// What one set of sprockets does on the ground.
struct Reached {
    spacing: Value,
    error: Value,
    population: Value,
    plate_rate: Option<Value>,
}

/// What stays the same whatever sprockets are fitted.
struct Ground<'a> {
    inputs: &'a Inputs,
    travel: Value,
    cells: Value,
    row_spacing: Value,
    target: Value,
    along: Option<Value>,
    units: Units,
}

impl<'a> Ground<'a> {
    fn new(inputs: &'a Inputs, common: &Common) -> Self {
        let units = population_units(inputs, common);
        let row_spacing = units.length("row spacing", &inputs.row_spacing);
        let target = target_spacing(&inputs.target, &row_spacing, &units);
        Ground {
            inputs,
            travel: travel(&inputs.travel, &units),
            cells: Value::typed("cells", inputs.cells, Unit::ONE),
            row_spacing,
            target,
            along: inputs.speed.as_ref().map(|speed| units.speed("ground speed", speed)),
            units,
        }
    }

    /// What the sprockets are to reach.
    fn wanted<'f>(
        &self,
        chain_fits: &'f dyn Fn(usize, u32, u32) -> bool,
        has_room: &'f dyn Fn(usize, u32, u32) -> bool,
    ) -> Wanted<'f> {
        Wanted {
            ratio: self.ratio_wanted().number(),
            tolerance: self.tolerance().map(|percent| percent.number() / 100.0),
            chain_fits,
            has_room,
            heed_chains: self.heeds_chains(),
        }
    }

    /// The sprockets among which nothing comes nearer than the first.
    fn ranked(&self) -> &'static str {
        match (self.inputs.tolerance.is_none(), self.heeds_chains()) {
            (true, true) => "sprockets listed whose chains fit",
            _ => "sprockets listed",
        }
    }

    fn heeds_chains(&self) -> bool {
        knows_chains(self.inputs) && !self.inputs.ignore_chains
    }

    fn tolerance(&self) -> Option<Value> {
        let tolerance = self.inputs.tolerance.as_ref()?;
        Some(Value::measured("spacing tolerance", tolerance, Unit::PERCENT))
    }

    fn ratio_wanted(&self) -> Value {
        (&self.travel / (&self.target * &self.cells)).named("plate turns per wheel turn wanted")
    }

    fn reached(&self, ratio: &Value, tag: &str) -> Reached {
        let spacing =
            spacing_at(&self.travel, ratio, &self.cells).named(format!("seed spacing {tag}"));
        let error = (&spacing / &self.target - Value::constant(1.0))
            .in_percent()
            .named(format!("spacing error {tag}"));
        let population = population_at(&self.row_spacing, &spacing, &self.units)
            .named_as(format!("population {tag}"), "seeds");
        let plate_rate = self.along.as_ref().map(|along| {
            plate_rate(along, &spacing, &self.cells).named_as(format!("plate rate {tag}"), "turns")
        });
        Reached { spacing, error, population, plate_rate }
    }
}

/// Plate turns per minute at a speed: speed / (seed spacing × cells).
///
/// ```
/// use alleytrue::calculations::spacing::plate_rate;
/// use alleytrue::working::Units;
/// use alleytrue::quantity::{Length, Speed};
/// use alleytrue::working::Value;
/// let speed = Units::METRIC.speed("speed", &Speed::parse("3.6 km/h", None)?);
/// let spacing = Units::METRIC.length("spacing", &Length::parse("5 cm", None)?);
/// let rate = plate_rate(&speed, &spacing, &Value::constant(40.0));
/// assert!((rate.number() - 30.0).abs() < 1e-9); // 100 cm/s / (5 cm x 40) x 60
/// # Ok::<(), alleytrue::quantity::ParseError>(())
/// ```
#[must_use]
pub fn plate_rate(along: &Value, spacing: &Value, cells: &Value) -> Value {
    (along / (spacing * cells)).in_unit(per_minute())
}

fn per_minute() -> Unit {
    Unit::from(TimeUnit::Minute).to_the(-1)
}

fn population_units(inputs: &Inputs, common: &Common) -> Units {
    match &inputs.target {
        Target::Population(SeedRate::Area(rate)) => Units { area: rate.unit(), ..common.units },
        _ => common.units,
    }
}

fn travel(source: &TravelSource, units: &Units) -> Value {
    match source {
        TravelSource::Planter(travel) => travel_of_planter(travel, "travel per turn", units),
        TravelSource::Runs(runs) => travel_of_runs(runs, units),
    }
}

/// Seed spacing as it is, the best sprockets, and what they reach.
///
/// # Errors
///
/// [`SearchError`] where there are too many combinations to search.
pub fn calibrate(inputs: &Inputs, common: &Common) -> Result<Outcome, SearchError> {
    let ground = Ground::new(inputs, common);
    let mut outcome = Outcome::new(CALCULATION);
    match &inputs.drive {
        Drive::Fixed(ratio) => check_fixed(&ground, *ratio, &mut outcome),
        Drive::Chains(stages) => choose_sprockets(&ground, stages, &mut outcome)?,
    }
    if inputs.tolerance.is_none() {
        outcome.warnings.push(NO_TOLERANCE.with(without_tolerance(&ground, &outcome)));
    }
    Ok(outcome)
}

/// What is missing, and how sprockets to choose from are ranked without it.
fn without_tolerance(ground: &Ground, outcome: &Outcome) -> String {
    let missing = "[trial.tolerance] has no `spacing`";
    if outcome.tables.is_empty() {
        return missing.into();
    }
    let chains = if ground.heeds_chains() { " whose chains fit" } else { "" };
    format!("{missing}: the nearest sprockets{chains} come first, however many are swapped")
}

fn check_fixed(ground: &Ground, ratio: Decimal, outcome: &mut Outcome) {
    let ratio = Value::typed("plate turns per wheel turn", ratio, Unit::ONE);
    let now = ground.reached(&ratio, "now");
    report(ground, &now, outcome);
    if within(ground, &now).is_none() {
        cannot_adjust(&now, outcome);
    }
}

fn choose_sprockets(
    ground: &Ground,
    stages: &[DriveStage],
    outcome: &mut Outcome,
) -> Result<(), SearchError> {
    let teeth = fitted_teeth(stages);
    let now = ground.reached(&drive_ratio(&teeth).named("plate turns per wheel turn now"), "now");
    outcome.values.extend([ground.target.clone(), ground.ratio_wanted()]);
    report(ground, &now, outcome);
    let Some(found) = search(ground, stages)? else { return Ok(()) };
    let changeable = sprockets::combinations(&sprockets_of(stages)) > 1;
    if changeable {
        list(ground, &found, outcome);
    }
    let keep = within(ground, &now);
    if keep.is_none() && !changeable {
        cannot_adjust(&now, outcome);
    }
    let nearer = keep.is_none() && found.first.swaps > 0;
    let fits = comes_near(ground, &ground.reached(&drive_ratio(&found_teeth(&found.first)), ""));
    let change = nearer && fits;
    let reached = swap(ground, &found.first, &now, outcome, change);
    if keep.is_none() && changeable && !(fits && nearer) {
        nothing_fits(ground, &now, &reached, nearer, outcome);
    } else if change && within(ground, &reached).is_some() {
        fewer_swaps(ground, &found, outcome);
    }
    let keep = keep.unwrap_or_else(|| match nearer {
        true => "nothing that is listed fits".into(),
        false => format!("no other {} come nearer", ground.ranked()),
    });
    settings(stages, &teeth, &found.first, change, &keep, outcome);
    chains(ground, stages, change.then_some(&found.first), outcome);
    let chain_off = outcome.warnings.iter().any(|warning| warning.kind == &CHAIN_DOES_NOT_FIT);
    if let (Some(next), true) = (&mut outcome.next, chain_off) {
        next.instruction.push_str("; a chain that is fitted does not fit these: see the warnings");
    }
    Ok(())
}

/// What the search found.
struct Found {
    /// The first of all, and those after it.
    first: Combination,
    best: Vec<Combination>,
    /// The nearest of all.
    nearest: Combination,
    /// The first if any chain could be made to fit.
    any_chain: Combination,
}

/// Searches the sprockets; `None` only where there is nothing to find.
fn search(ground: &Ground, stages: &[DriveStage]) -> Result<Option<Found>, SearchError> {
    let sprockets = sprockets_of(stages);
    let (chain_fits, has_room) = (chain_fits(stages), has_room(stages));
    let wanted = ground.wanted(&chain_fits, &has_room);
    let best = sprockets::best(&sprockets, &wanted, LISTED)?;
    let Some(first) = best.first().cloned() else { return Ok(None) };
    let first_of = |wanted: &Wanted| -> Result<Combination, SearchError> {
        Ok(sprockets::best(&sprockets, wanted, 1)?.pop().unwrap_or_else(|| first.clone()))
    };
    let nearest = first_of(&wanted.nearest())?;
    let any_chain = match wanted.heed_chains && first.swaps > 1 {
        true => first_of(&Wanted { heed_chains: false, ..wanted })?,
        false => first.clone(),
    };
    Ok(Some(Found { first, best, nearest, any_chain }))
}

/// The best sprockets, and the nearest of all where it is not the first of them.
fn list(ground: &Ground, found: &Found, outcome: &mut Outcome) {
    outcome.tables.push(table(ground, "sprockets", "Best sprockets", &found.best));
    if found.nearest != found.first {
        let nearest = std::slice::from_ref(&found.nearest);
        outcome.tables.push(table(ground, "nearest-sprockets", "Nearest of all", nearest));
    }
}

fn sprockets_of(stages: &[DriveStage]) -> Vec<Stage> {
    stages.iter().map(|stage| stage.sprockets.clone()).collect()
}

/// Whether the chain of a stage goes round other sprockets; one that nothing is known of may.
fn chain_fits(stages: &[DriveStage]) -> impl Fn(usize, u32, u32) -> bool {
    |stage, driving, driven| {
        let chain = stages.get(stage).and_then(|stage| stage.chain.as_ref());
        chain.is_none_or(|chain| chain.goes_round(driving, driven))
    }
}

/// Whether other sprockets have room beside each other; where nothing is known of it they may.
fn has_room(stages: &[DriveStage]) -> impl Fn(usize, u32, u32) -> bool {
    |stage, driving, driven| {
        let chain = stages.get(stage).and_then(|stage| stage.chain.as_ref());
        chain.is_none_or(|chain| chain.has_room(driving, driven))
    }
}

/// Says so where no sprockets bring the spacing inside the tolerance, if there is one.
fn nothing_fits(
    ground: &Ground,
    now: &Reached,
    reached: &Reached,
    nearer: bool,
    outcome: &mut Outcome,
) {
    let off = brief(now.error.number());
    let nearest = brief(reached.error.number());
    if ground.inputs.tolerance.is_some() || nearer {
        outcome.warnings.push(
            NOTHING_FITS
                .with(format!("the nearest these sprockets come to the target is {nearest} %")),
        );
    }
    let how_near = match nearer {
        true => format!("the nearest of the {} is {nearest} %", ground.ranked()),
        false => format!("no {} come nearer", ground.ranked()),
    };
    let others = "get others, another plate, or settle for a target that the drive reaches";
    let words = match comes_near(ground, reached) {
        true => format!("the seed spacing is {off} % off, and {how_near}: {others}"),
        false => format!(
            "nothing fits: the seed spacing is {off} % off, and {how_near}; look at the numbers \
             (target, travel per turn, cells, teeth), then {others}"
        ),
    };
    outcome.next = Some(Next::about(CALCULATION, &now.spacing, words));
}

/// Whether sprockets come near enough to be fitted: inside the tolerance, and where there is none,
/// not so far off that a number must be wrong.
fn comes_near(ground: &Ground, reached: &Reached) -> bool {
    match ground.inputs.tolerance {
        Some(_) => within(ground, reached).is_some(),
        None => at_most(reached.error.number().abs(), SURELY_A_SLIP),
    }
}

/// Says so where fewer swaps are inside the tolerance too, if only a chain were made to fit.
fn fewer_swaps(ground: &Ground, found: &Found, outcome: &mut Outcome) {
    let fewest = &found.any_chain;
    if fewest.swaps >= found.first.swaps {
        return;
    }
    let reached = ground.reached(&drive_ratio(&found_teeth(fewest)), "");
    outcome.warnings.push(FEWER_SWAPS.with(format!(
        "{} sprocket{} swapped instead of {} would do with {} made to fit: {} is {} % off",
        fewest.swaps,
        if fewest.swaps == 1 { "" } else { "s" },
        found.first.swaps,
        if fewest.chains_off == 1 { "a chain" } else { "chains" },
        sprocket_text(fewest),
        brief(reached.error.number())
    )));
}

/// The figures of the sprockets that are fitted.
fn report(ground: &Ground, now: &Reached, outcome: &mut Outcome) {
    outcome.values.extend([now.spacing.clone(), now.error.clone(), now.population.clone()]);
    rate(ground, now, outcome);
}

/// The figures of the sprockets to fit, where they differ, and the step that fits them.
fn swap(
    ground: &Ground,
    best: &Combination,
    now: &Reached,
    outcome: &mut Outcome,
    change: bool,
) -> Reached {
    let teeth = found_teeth(best);
    let ratio = drive_ratio(&teeth).named("plate turns per wheel turn then");
    let then = ground.reached(&ratio, "then");
    if !change {
        return then;
    }
    outcome.values.extend([then.spacing.clone(), then.error.clone(), then.population.clone()]);
    rate(ground, &then, outcome);
    outcome.cautions = AT_THE_DRIVE.to_vec();
    outcome.next = Some(Next {
        calculation: CALCULATION,
        setting: Some("sprockets".into()),
        now: Some(now.spacing.clone()),
        set: Some(then.spacing.clone()),
        by_hand: vec![],
        instruction: format!(
            "with the engine off, fit sprockets {} (driving/driven, wheel to plate): seed spacing \
             {} instead of {}; then dig up seed and measure the spacing",
            sprocket_text(best),
            in_words(&then.spacing),
            in_words(&now.spacing)
        ),
    });
    steep(best, outcome);
    then
}

fn rate(ground: &Ground, reached: &Reached, outcome: &mut Outcome) {
    let Some(rate) = &reached.plate_rate else { return };
    outcome.values.push(rate.clone());
    let Some(limit) = &ground.inputs.top_rate else { return };
    let limit = Value::measured("top plate rate", limit, per_minute());
    if !at_most(rate.number(), limit.number()) {
        outcome.warnings.push(PLATE_TOO_FAST.with(format!(
            "{}: {} turns/min is above the meter's limit of {}",
            rate.name().unwrap_or_default(),
            brief(rate.number()),
            limit.typed_text().unwrap_or_default()
        )));
    }
}

fn within(ground: &Ground, reached: &Reached) -> Option<String> {
    inside(&reached.error, ground.tolerance().as_ref())
}

fn cannot_adjust(now: &Reached, outcome: &mut Outcome) {
    outcome.next = Some(Next::about(
        CALCULATION,
        &now.spacing,
        format!(
            "the seed spacing is {} % off and the sheet lists nothing to change it with: list the \
             sprockets or plates at hand, or settle for a target that the drive reaches",
            brief(now.error.number())
        ),
    ));
    outcome.warnings.push(CANNOT_ADJUST.with(format!(
        "the spacing is {} % off and the sheet lists nothing to change it with",
        brief(now.error.number())
    )));
}

fn steep(best: &Combination, outcome: &mut Outcome) {
    let bad = best.teeth.iter().find(|(driving, driven)| {
        driving.min(driven) < &9 || driving.max(driven) > &(6 * driving.min(driven))
    });
    if let Some((driving, driven)) = bad {
        outcome.warnings.push(STEEP_RATIO.with(format!(
            "{driving}/{driven} is hard on a chain: at least 9 teeth and at most 6:1"
        )));
    }
}

fn teeth_name(chain: usize, side: &str) -> String {
    format!("chain {} {side}", chain + 1)
}

fn fitted_teeth(stages: &[DriveStage]) -> Vec<(Value, Value)> {
    let typed = |chain: usize, side: &str, teeth: u32| {
        Value::typed(teeth_name(chain, side), Decimal::whole(teeth), Unit::ONE).counting("teeth")
    };
    stages
        .iter()
        .enumerate()
        .map(|(chain, stage)| {
            let sprockets = &stage.sprockets;
            (
                typed(chain, "driving", sprockets.driving.fitted),
                typed(chain, "driven", sprockets.driven.fitted),
            )
        })
        .collect()
}

fn found_teeth(combination: &Combination) -> Vec<(Value, Value)> {
    let found = |chain: usize, side: &str, teeth: u32| {
        let name = format!("{} then", teeth_name(chain, side));
        let how = "best of all combinations";
        Value::found(name, f64::from(teeth), Unit::ONE, how).counting("teeth")
    };
    combination
        .teeth
        .iter()
        .enumerate()
        .map(|(chain, (driving, driven))| {
            (found(chain, "driving", *driving), found(chain, "driven", *driven))
        })
        .collect()
}

fn settings(
    stages: &[DriveStage],
    fitted: &[(Value, Value)],
    best: &Combination,
    change: bool,
    keep: &str,
    outcome: &mut Outcome,
) {
    let found = found_teeth(best);
    for (chain, (now, then)) in fitted.iter().zip(&found).enumerate() {
        let choices = &stages[chain].sprockets;
        for (side, now, then, position) in [
            ("driving", &now.0, &then.0, &choices.driving),
            ("driven", &now.1, &then.1, &choices.driven),
        ] {
            if position.choices.is_empty() && stages.len() > 1 {
                continue;
            }
            let swap = change && now.number() != then.number();
            let verdict = if swap {
                Verdict::Change(format!("swap {} for {} teeth", now.number(), then.number()))
            } else if change {
                Verdict::Keep("the best combination keeps it".into())
            } else {
                Verdict::Keep(keep.into())
            };
            let set = if swap { then } else { now };
            outcome.settings.push(SettingResult {
                name: teeth_name(chain, side),
                key: None,
                now: Some(now.clone()),
                exact: set.clone(),
                set: set.clone(),
                verdict,
            });
        }
    }
}

/// Teeth of every chain, wheel to plate: "24/18 20/19".
fn sprocket_text(combination: &Combination) -> String {
    let chains: Vec<String> =
        combination.teeth.iter().map(|(driving, driven)| format!("{driving}/{driven}")).collect();
    chains.join(" ")
}

/// Every sprocket position with the spacing it gives.
///
/// # Errors
///
/// [`SearchError::TooManyRatios`] beyond [`CHART_LIMIT`] different ratios, and what
/// [`sprockets::chart`] refuses.
pub fn chart(inputs: &Inputs, common: &Common) -> Result<Option<Table>, SearchError> {
    let Drive::Chains(stages) = &inputs.drive else { return Ok(None) };
    let ground = Ground::new(inputs, common);
    let (chain_fits, has_room) = (chain_fits(stages), has_room(stages));
    let wanted = ground.wanted(&chain_fits, &has_room);
    let positions = sprockets::chart(&sprockets_of(stages), &wanted, CHART_LIMIT)?;
    Ok(Some(table(&ground, "spacing-chart", "Spacing chart", &positions)))
}

/// Whether there is a chain whose links are known, so that it can be said to fit or not.
#[must_use]
pub fn knows_chains(inputs: &Inputs) -> bool {
    let Drive::Chains(stages) = &inputs.drive else { return false };
    let mut chains = stages.iter().filter_map(|stage| stage.chain.as_ref());
    chains.any(|chain| chain.links.is_some())
}

fn table(ground: &Ground, key: &'static str, title: &str, rows: &[Combination]) -> Table {
    let length = ground.units.length.symbol();
    let area = ground.units.area.symbol();
    let area_key = area.trim_start_matches('/');
    let mut columns = vec![
        Column::new("sprockets", "sprockets", "driving/driven"),
        Column::new("swaps", "swaps", ""),
    ];
    if knows_chains(ground.inputs) {
        columns.push(Column::new("chains_fit", "fit", ""));
    }
    columns.extend([
        Column::new("plate_turns_per_wheel_turn", "ratio", ""),
        Column::new(format!("spacing_{length}"), "spacing", length),
        Column::new("error_percent", "error", "%"),
        Column::new(format!("population_per_{area_key}"), "population", format!("seeds{area}")),
    ]);
    if ground.along.is_some() {
        columns.push(Column::new("plate_turns_per_min", "plate", "turns/min"));
    }
    let rows = rows.iter().map(|combination| row(ground, combination)).collect();
    Table { key, title: title.into(), columns, rows }
}

fn row(ground: &Ground, combination: &Combination) -> Vec<Cell> {
    let ratio = drive_ratio(&found_teeth(combination));
    let reached = ground.reached(&ratio, "");
    let population = reached.population.number();
    let mut cells = vec![Cell::Text(sprocket_text(combination)), Cell::Count(combination.swaps)];
    let fit = || Cell::Text(if combination.chains_off == 0 { "yes" } else { "no" }.into());
    cells.extend(knows_chains(ground.inputs).then(fit));
    cells.extend([
        Cell::Number(ratio.number(), 5),
        Cell::Number(reached.spacing.number(), 3),
        Cell::Number(reached.error.number(), 3),
        Cell::Number(population, if population < 1000.0 { 2 } else { 0 }),
    ]);
    cells.extend(reached.plate_rate.map(|rate| Cell::Number(rate.number(), 1)));
    cells
}

/// Chain lengths for the sprockets that will be fitted.
fn chains(
    ground: &Ground,
    stages: &[DriveStage],
    best: Option<&Combination>,
    outcome: &mut Outcome,
) {
    let teeth = best.map_or_else(|| fitted_teeth(stages), found_teeth);
    for (index, (stage, (driving, driven))) in stages.iter().zip(&teeth).enumerate() {
        if let Some(drive) = &stage.chain {
            chain::check(index, drive, driving, driven, &ground.units, outcome);
        }
    }
}

#[cfg(test)]
mod tests;

/// How it stands in the registry.
pub static ENTRY: Entry = Entry {
    calculation: CALCULATION,
    command: "spacing",
    about: "Seed spacing, population and the best sprockets",
    lacks: "seed spacing to work out",
    advice: "",
    has_readings: false,
    runs: &[],
    warnings: &[],
    tolerances: &[("spacing", "seed spacing")],
};

impl Calculate for Inputs {
    fn entry(&self) -> &'static Entry {
        &ENTRY
    }

    fn alone(&self, common: &Common) -> Result<Vec<Outcome>, SearchError> {
        Ok(vec![calibrate(self, common)?])
    }
}
