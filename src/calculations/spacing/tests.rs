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
        ignore_chains: false,
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
    assert!(said.starts_with("nothing fits:"), "{said}");
    assert!(said.contains("no sprockets listed come nearer; look at the numbers"), "{said}");
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

/// A chain of so many links round sprockets 20 in apart, which takes 2 x 20 / 0.5 = 80 links of half
/// an inch and half the teeth, and a little where the sprockets differ.
fn chain_of(links: u32, driving: Position, driven: Position) -> DriveStage {
    let chain = ChainDrive {
        centre_distance: length("20 in"),
        pitch: length("0.5 in"),
        links: Some(links),
        take_up: None,
    };
    DriveStage { chain: Some(chain), ..self::chain(driving, driven) }
}

fn texts(outcome: &Outcome, table: &str, column: &str) -> Option<Vec<String>> {
    let table = outcome.tables.iter().find(|found| found.key == table)?;
    let place = table.columns.iter().position(|known| known.key == column)?;
    let text = |row: &Vec<Cell>| match &row[place] {
        Cell::Text(text) => text.clone(),
        cell => panic!("{cell:?} is no text"),
    };
    Some(table.rows.iter().map(text).collect())
}

/// From 30/21 one swap makes 20/21, which is 21 / 20 - 1 = 5 % off, and two make 20/20, which is
/// right.
#[test]
fn of_what_is_inside_the_tolerance_the_fewest_swaps_are_made_and_the_nearest_stands_beside() {
    let of = |tolerance: &str| {
        let outcome = outcome(vec![chain(at(30, &[20]), at(21, &[20]))], tolerance);
        let said = instruction(&outcome).expect("a step").to_owned();
        (said, texts(&outcome, "nearest-sprockets", "sprockets"), outcome)
    };
    let (said, nearest, wide) = of("6 %");
    assert!(said.contains("fit sprockets 20/21"), "{said}");
    assert_eq!(nearest, Some(vec!["20/20".into()]));
    assert_eq!(wide.settings[0].verdict, Verdict::Change("swap 30 for 20 teeth".into()));
    assert!(matches!(wide.settings[1].verdict, Verdict::Keep(_)));
    // 30/20 and 30/21 are 20 / 30 - 1 = -33 % and -30 % off, outside, the nearer one first.
    let ranked = ["20/21", "20/20", "30/21", "30/20"].map(String::from);
    assert_eq!(texts(&wide, "sprockets", "sprockets").as_deref(), Some(&ranked[..]));
    // Where the first is the nearest as well, nothing stands beside it.
    let (said, nearest, _) = of("2 %");
    assert!(said.contains("fit sprockets 20/20") && nearest.is_none(), "{said}");
}

/// With 20/20 the chain needs 100 links, with 20/21 it needs 100.5 and so 102.
#[test]
fn chains_that_fit_go_before_fewer_swaps_unless_told_not_to() {
    let of = |ignore_chains: bool| {
        let stages = vec![chain_of(100, at(30, &[20]), at(21, &[20]))];
        let inputs = Inputs { ignore_chains, ..inputs(stages, "6 %") };
        calibrate(&inputs, &common()).expect("a drive to search")
    };
    let heeded = of(false);
    assert!(instruction(&heeded).expect("a step").contains("fit sprockets 20/20"));
    let said =
        "1 sprocket swapped instead of 2 would do with a chain made to fit: 20/21 is 5 % off";
    assert_eq!(message(&heeded, "fewer-swaps"), Some(said));
    assert_eq!(message(&heeded, "chain-does-not-fit"), None);
    let fit = ["yes", "no", "yes", "no"].map(String::from);
    assert_eq!(texts(&heeded, "sprockets", "chains_fit").as_deref(), Some(&fit[..]));

    let ignored = of(true);
    let said = instruction(&ignored).expect("a step");
    assert!(said.contains("fit sprockets 20/21") && said.contains("does not fit"), "{said}");
    assert_eq!(message(&ignored, "fewer-swaps"), None);
    assert!(message(&ignored, "chain-does-not-fit").is_some());
    let nearest = |column| texts(&ignored, "nearest-sprockets", column).map(|all| all.join(" "));
    assert_eq!(nearest("sprockets").as_deref(), Some("20/20"));
    assert_eq!(nearest("chains_fit").as_deref(), Some("yes"));
}

/// Where a single chain that is made to fit saves no swap, nothing is said of it.
#[test]
fn no_swap_saved_is_not_spoken_of() {
    // 20/21 needs 102 links and takes one swap; 21/21 as well, and it is right.
    let outcome = outcome(vec![chain_of(102, at(30, &[20, 21]), at(21, &[]))], "6 %");
    assert!(instruction(&outcome).expect("a step").contains("fit sprockets 21/21"));
    assert_eq!(message(&outcome, "fewer-swaps"), None);
}

/// The chain on 30/21 needs 80 + 25.5 and so 106 links. What runs is kept as it is.
#[test]
fn what_is_fitted_is_kept_inside_the_tolerance_whatever_is_known_of_its_chain() {
    let outcome = outcome(vec![chain_of(90, at(30, &[20]), at(21, &[20]))], "31 %");
    assert!(outcome.settings.iter().all(|result| matches!(&result.verdict, Verdict::Keep(_))));
    let first = texts(&outcome, "sprockets", "sprockets").expect("a table").remove(0);
    assert_eq!((first.as_str(), instruction(&outcome)), ("30/21", None));
    assert!(message(&outcome, "chain-does-not-fit").is_some());
}

/// Without a tolerance the nearest is proposed however much has to be swapped, of those whose
/// chains fit; that is said, and not that nothing is inside the tolerance.
#[test]
fn without_a_tolerance_the_nearest_whose_chains_fit_comes_first() {
    let of = |stages| {
        let inputs = Inputs { tolerance: None, ..inputs(stages, "6 %") };
        calibrate(&inputs, &common()).expect("a drive to search")
    };
    let sprockets = || (at(30, &[20]), at(21, &[20]));
    let ((driving, driven), (driving_again, driven_again)) = (sprockets(), sprockets());
    let any = of(vec![chain(driving, driven)]);
    assert!(instruction(&any).expect("a step").contains("fit sprockets 20/20"));
    let said = message(&any, "no-tolerance").expect("a remark");
    assert!(said.ends_with("the nearest sprockets come first, however many are swapped"), "{said}");
    assert_eq!(message(&any, "nothing-fits"), None);
    // 102 links go round 20/21 alone.
    let fits = of(vec![chain_of(102, driving_again, driven_again)]);
    assert!(instruction(&fits).expect("a step").contains("fit sprockets 20/21"));
    let said = message(&fits, "no-tolerance").expect("a remark");
    assert!(said.contains("the nearest sprockets whose chains fit come first"), "{said}");
    let nearest = texts(&fits, "nearest-sprockets", "sprockets");
    assert_eq!(nearest, Some(vec!["20/20".into()]));
    assert_eq!(message(&fits, "fewer-swaps"), None);
}

/// 24/20 is -16.7 % off. 20/20 would be right, but 98 links don't go round where 100 are needed.
#[test]
fn what_is_nearer_with_another_chain_is_not_denied() {
    let inputs = Inputs {
        tolerance: None,
        ..inputs(vec![chain_of(98, at(24, &[20, 30]), at(20, &[]))], "6 %")
    };
    let kept = calibrate(&inputs, &common()).expect("a drive to search");
    let why = Verdict::Keep("no other sprockets listed whose chains fit come nearer".into());
    assert_eq!(kept.settings[0].verdict, why);
    let said = instruction(&kept).expect("a step");
    assert!(said.contains("no sprockets listed whose chains fit come nearer"), "{said}");
    assert_eq!(texts(&kept, "nearest-sprockets", "sprockets"), Some(vec!["20/20".into()]));
}

/// In a chart as in the list of the best: 20/21 before 20/20, then 30/21 and 30/20.
#[test]
fn a_chart_has_the_same_order() {
    let inputs = inputs(vec![chain(at(30, &[20]), at(21, &[20]))], "6 %");
    let chart = chart(&inputs, &common()).expect("a drive to search").expect("a chart");
    let first = |row: &Vec<Cell>| match &row[0] {
        Cell::Text(text) => text.clone(),
        cell => panic!("{cell:?} is no text"),
    };
    let sprockets: Vec<String> = chart.rows.iter().map(first).collect();
    assert_eq!(sprockets, ["20/21", "20/20", "30/21", "30/20"]);
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
        let one = Combination { teeth: vec![(driving, driven)], swaps: 0, chains_off: 0 };
        let mut outcome = Outcome::new(CALCULATION);
        steep(&one, &mut outcome);
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
    let fitted = |links: u32| outcome(vec![chain_of(links, at(30, &[20]), at(20, &[]))], "2 %");
    let words = "; a chain that is fitted does not fit these: see the warnings";
    let short = fitted(98);
    let said = "chain 1 needs 100 links with 20/20 teeth; 98 are fitted";
    assert_eq!(message(&short, "chain-does-not-fit"), Some(said));
    assert!(instruction(&short).expect("a step").ends_with(words));
    assert!(!instruction(&fitted(100)).expect("a step").contains(words));
    // Another warning is none of a chain: 8/8 is right, and hard on its chain.
    let other = outcome(vec![chain(at(30, &[8]), at(8, &[]))], "6 %");
    assert!(message(&other, "steep-ratio").is_some());
    assert!(!instruction(&other).expect("a step").contains(words));
}
