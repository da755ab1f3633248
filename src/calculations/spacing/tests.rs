//! A drive whose best ratio is known without a search: 1, from a wheel that covers 80 in a turn, a
//! plate of 40 cells and seeds 2 in apart. 80 / (2 x 40) = 1.

use super::*;
use crate::calculations::sprockets::Position;

use crate::calculations::Common;
use crate::working::Units;

fn common() -> Common {
    Common::new(Units::US)
}

fn at(fitted: u32, choices: &[u32]) -> Position {
    Position { fitted, choices: choices.to_vec() }
}

fn chain(driving: Position, driven: Position) -> DriveStage {
    DriveStage { sprockets: Stage { driving, driven }, chain: None }
}

fn length(text: &str) -> Length {
    Length::parse(text, None).expect("a length")
}

fn inputs(stages: Vec<DriveStage>, tolerance: &str) -> Inputs {
    let travel = Travel::Measured { distance: length("80 in"), turns: Decimal::whole(1) };
    Inputs {
        travel: TravelSource::Planter(Box::new(travel)),
        drive: Drive::Chains(stages),
        cells: Decimal::whole(40),
        row_spacing: length("30 in"),
        target: Target::Spacing(length("2 in")),
        speed: None,
        top_rate: None,
        tolerance: Some(Share::parse(tolerance, None).expect("a share")),
    }
}

fn outcome(stages: Vec<DriveStage>, tolerance: &str) -> Outcome {
    calibrate(&inputs(stages, tolerance), &common()).expect("a drive to search")
}

fn message<'a>(outcome: &'a Outcome, code: &str) -> Option<&'a str> {
    let found = outcome.warnings.iter().find(|warning| warning.kind.code == code);
    found.map(|warning| warning.message.as_str())
}

fn instruction(outcome: &Outcome) -> Option<&str> {
    outcome.next.as_ref().map(|next| next.instruction.as_str())
}

/// 30/20 = 1.5 puts seeds 2 / 1.5 = 1.333 in apart; with 20 for 30 they are right.
#[test]
fn a_spacing_that_is_off_asks_for_the_sprockets_that_mend_it() {
    let outcome = outcome(vec![chain(at(30, &[20]), at(20, &[]))], "2 %");
    assert_eq!(outcome.settings[0].verdict, Verdict::Change("swap 30 for 20 teeth".into()));
    assert!(matches!(outcome.settings[1].verdict, Verdict::Keep(_)));
    let said = instruction(&outcome).expect("a step");
    assert!(
        said.contains("fit sprockets 20/20") && said.contains("2 in instead of 1.33 in"),
        "{said}"
    );
    assert_eq!(message(&outcome, "nothing-fits"), None);
}

/// 24/20 = 1.2 is 1 / 1.2 - 1 = -16.7 % off; 30/20 would be further off still. Nothing is swapped
/// for itself.
#[test]
fn sprockets_that_are_the_nearest_already_stay_though_they_are_off() {
    let outcome = outcome(vec![chain(at(24, &[30]), at(20, &[]))], "2 %");
    let keep = Verdict::Keep("no other sprockets listed come nearer".into());
    assert!(outcome.settings.iter().all(|result| result.verdict == keep));
    let said = instruction(&outcome).expect("a step");
    assert!(said.contains("no sprockets listed come nearer: get others"), "{said}");
    assert!(message(&outcome, "nothing-fits").is_some());
    assert!(!outcome.values.iter().any(|value| value.name() == Some("seed spacing then")));
    assert!(outcome.cautions.is_empty(), "no hand goes to the drive");
}

/// The same 16.7 % inside a tolerance of 20 %: sprockets that would be nearer change nothing.
#[test]
fn a_spacing_inside_the_tolerance_keeps_its_sprockets() {
    let outcome = outcome(vec![chain(at(24, &[20]), at(20, &[]))], "20 %");
    assert!(outcome.settings.iter().all(|result| matches!(
        &result.verdict,
        Verdict::Keep(why) if why.contains("inside the tolerance of 20 %")
    )));
    assert_eq!(instruction(&outcome), None);
}

/// A position without a choice is one of the results of a single chain, and is left out where
/// there are several.
#[test]
fn of_several_chains_only_what_could_be_swapped_is_listed() {
    let names = |stages| {
        let settings = outcome(stages, "2 %").settings.into_iter();
        settings.map(|result| result.name).collect::<Vec<_>>()
    };
    let one = chain(at(30, &[20]), at(20, &[]));
    assert_eq!(names(vec![one.clone()]), ["chain 1 driving", "chain 1 driven"]);
    let other = chain(at(20, &[]), at(20, &[22]));
    assert_eq!(names(vec![one, other]), ["chain 1 driving", "chain 2 driven"]);
}

/// 20/21 is 21 / 20 - 1 = 5 % off with one swap, 20/20 right with two.
#[test]
fn fewer_swaps_are_spoken_of_where_they_are_good_enough() {
    let stages = || vec![chain(at(30, &[20]), at(21, &[20]))];
    let wide = outcome(stages(), "6 %");
    let said = message(&wide, "fewer-swaps").expect("a remark");
    assert_eq!(said, "1 sprocket swapped instead of 2 would do: 20/21 is 5 % off");
    assert_eq!(message(&outcome(stages(), "2 %"), "fewer-swaps"), None);
    // Where the best takes one swap itself, none takes fewer.
    let one = outcome(vec![chain(at(30, &[20, 21]), at(20, &[]))], "6 %");
    assert_eq!(message(&one, "fewer-swaps"), None);
}

/// At least 9 teeth and at most 6:1, either way round.
#[test]
fn a_chain_is_steep_below_nine_teeth_or_beyond_six_to_one() {
    for (driving, driven, hard) in [
        (20, 30, false),
        (9, 54, false),
        (54, 9, false),
        (9, 55, true),
        (55, 9, true),
        (10, 61, true),
        (8, 20, true),
        (20, 8, true),
        (8, 8, true),
    ] {
        let stage = Stage { driving: at(driving, &[]), driven: at(driven, &[]) };
        let found = sprockets::best(&[stage], 1.0, 1).expect("one to find");
        let mut outcome = Outcome::new(CALCULATION);
        steep(&found[0], &mut outcome);
        let said = message(&outcome, "steep-ratio");
        let words =
            format!("{driving}/{driven} is hard on a chain: at least 9 teeth and at most 6:1");
        assert_eq!(said, hard.then_some(words.as_str()));
    }
}

/// 100 cm/s over seeds 2.5 cm apart from 40 cells turn the plate once a second.
#[test]
fn a_plate_is_too_fast_above_its_limit() {
    let of = |limit: &str| {
        let travel = Travel::Measured { distance: length("100 cm"), turns: Decimal::whole(1) };
        let inputs = Inputs {
            travel: TravelSource::Planter(Box::new(travel)),
            target: Target::Spacing(length("2.5 cm")),
            speed: Some(Speed::parse("3.6 km/h", None).expect("a speed")),
            top_rate: Some(PerTime::parse(limit, None).expect("a rate")),
            ..inputs(vec![chain(at(20, &[]), at(20, &[]))], "2 %")
        };
        let outcome = calibrate(&inputs, &common()).expect("a drive to search");
        message(&outcome, "plate-too-fast").map(str::to_owned)
    };
    assert_eq!(of("61 turns/min"), None);
    // Right on the limit, where binary makes it 60.000000000000014.
    assert_eq!(of("60 turns/min"), None);
    let said = of("59 turns/min").expect("a remark");
    assert!(said.contains("60 turns/min is above the meter's limit of 59"), "{said}");
}

/// 10000 cm2 / (50 x 2.5) = 80 to the square metre, which needs decimals, and 800000 to the
/// hectare, which does not.
#[test]
fn a_small_population_is_listed_with_decimals() {
    let of = |rate: &str| {
        let travel = Travel::Measured { distance: length("100 cm"), turns: Decimal::whole(1) };
        let inputs = Inputs {
            travel: TravelSource::Planter(Box::new(travel)),
            row_spacing: length("50 cm"),
            target: Target::Population(SeedRate::parse(rate).expect("a rate")),
            ..inputs(vec![chain(at(20, &[]), at(20, &[]))], "2 %")
        };
        let chart = chart(&inputs, &common()).expect("a drive to search").expect("a chart");
        match chart.rows[0][5] {
            Cell::Number(population, decimals) => (population.round(), decimals),
            _ => panic!("a population"),
        }
    };
    assert_eq!(of("80 /m2"), (80.0, 2));
    assert_eq!(of("800000 /ha"), (800_000.0, 0));
}

/// An inch is 2.54 cm, an acre 43560 square feet, a hectare 10000 square metres. An acre has
/// 40468564.224 square centimetres, a hectare 15500031 square inches.
#[test]
fn an_area_in_squares_is_named_by_both_units() {
    use crate::quantity::{AreaUnit, LengthUnit};
    for (length, of, name, squares) in [
        (LengthUnit::Inch, AreaUnit::Acre, "square inches per acre", 6_272_640.0),
        (LengthUnit::Centimetre, AreaUnit::Hectare, "square centimetres per hectare", 1e8),
        (LengthUnit::Centimetre, AreaUnit::SquareMetre, "square centimetres per square metre", 1e4),
        (LengthUnit::Millimetre, AreaUnit::Hectare, "square millimetres per hectare", 1e10),
        (LengthUnit::Inch, AreaUnit::Hectare, "square inches per hectare", 15_500_031.000_062),
        (LengthUnit::Inch, AreaUnit::SquareMetre, "square inches per square metre", 1_550.003_1),
        (LengthUnit::Centimetre, AreaUnit::Acre, "square centimetres per acre", 40_468_564.224),
        (LengthUnit::Millimetre, AreaUnit::Acre, "square millimetres per acre", 4_046_856_422.4),
        (LengthUnit::Millimetre, AreaUnit::SquareMetre, "square millimetres per square metre", 1e6),
        (LengthUnit::Foot, AreaUnit::Acre, "square lengths per unit of area", 43_560.0),
    ] {
        let found = area(&Units { length, area: of, ..Units::US });
        assert_eq!(found.name(), Some(name));
        approx::assert_relative_eq!(found.number(), squares, max_relative = 1e-9);
    }
}

/// Seeds 2 in apart are half a seed to the inch; to the acre 6272640 / (30 x 2).
#[test]
fn a_rate_is_written_as_the_one_it_stands_for() {
    let inches = |text: &str| Units::US.length("length", &length(text));
    let like = |text: &str| SeedRate::parse(text).expect("a rate");
    let rate =
        |text: &str| rate_at_spacing(&inches("30 in"), &inches("2 in"), &like(text), &Units::US);
    assert_eq!(rate("6 seeds/ft").number(), 0.5);
    assert_eq!(rate("100000 /ac").number(), 104_544.0);
}

/// With one sprocket to a shaft there is nothing to choose, nothing that could come nearer, and
/// no table of what could be fitted.
#[test]
fn a_drive_without_a_choice_is_no_choice() {
    let off = outcome(vec![chain(at(30, &[]), at(20, &[]))], "2 %");
    assert!(off.tables.is_empty());
    assert_eq!(message(&off, "nothing-fits"), None);
    // 30/20 is 1 / 1.5 - 1 = -33.3 % off.
    let said = instruction(&off).expect("a step");
    assert!(said.contains("-33.3 % off"), "{said}");
    let choice = outcome(vec![chain(at(20, &[30]), at(20, &[]))], "2 %");
    assert_eq!(choice.tables.len(), 1);
    assert_eq!(message(&choice, "nothing-fits"), None, "inside the tolerance");
    // 24/20 is 16.7 % off, and so near the target that 25 % may stand.
    let kept = outcome(vec![chain(at(24, &[30]), at(20, &[]))], "25 %");
    assert_eq!(message(&kept, "nothing-fits"), None);
}

#[test]
fn a_chain_that_fits_is_not_spoken_of_in_the_step() {
    let outcome = outcome(vec![chain(at(30, &[20]), at(20, &[]))], "2 %");
    let said = instruction(&outcome).expect("a step");
    assert!(!said.contains("does not fit"), "{said}");
}

/// Two sprockets of 20 teeth 20 in apart take 2 x 20 / 0.5 + 20 = 100 links of half an inch.
#[test]
fn only_a_chain_that_does_not_fit_is_spoken_of_in_the_step() {
    let fitted = |links: u32| {
        let chain = ChainDrive {
            centre_distance: length("20 in"),
            pitch: length("0.5 in"),
            links: Some(links),
            take_up: None,
        };
        let stage = self::chain(at(30, &[20]), at(20, &[]));
        outcome(vec![DriveStage { chain: Some(chain), ..stage }], "2 %")
    };
    let words = "; a chain that is fitted does not fit these: see the warnings";
    let short = fitted(98);
    let said = "chain 1 needs 100 links with 20/20 teeth; 98 are fitted";
    assert_eq!(message(&short, "chain-does-not-fit"), Some(said));
    assert!(instruction(&short).expect("a step").ends_with(words));
    assert!(!instruction(&fitted(100)).expect("a step").contains(words));
    // Another warning is none of a chain.
    let other = outcome(vec![chain(at(30, &[20]), at(21, &[20]))], "6 %");
    assert!(message(&other, "fewer-swaps").is_some());
    assert!(!instruction(&other).expect("a step").contains(words));
}
