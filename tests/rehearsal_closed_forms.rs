//! Drawn trials against closed forms: where all but one cause of scatter is taken away, the plots that
//! are out follow a law that is written down in one line. Means are held to four standard errors of the
//! drawing, and the laws come from another package.

#![allow(clippy::expect_used, clippy::cast_precision_loss)]

use std::num::NonZero;

use alleytrue::forecast::rehearsal::{
    Draws, Kind, Known, Limits, OtherRanges, Part, Scatter, Shared, Spread, Stand, Tally, Trial,
    Trips, draw, field_of,
};
use statrs::distribution::{Binomial, ContinuousCDF, DiscreteCDF, Normal, StudentsT};

/// So many degrees of freedom that nothing is left open.
const SURE: u32 = 400_000_000;

fn trial(limits: Limits) -> Trial {
    Trial {
        ranges: 8,
        passes: 6,
        abreast: 1,
        border_ranges: 0,
        border_passes: 0,
        one_way: false,
        trips: Trips::AtMarks,
        plot: 210.0,
        others: vec![],
        limits,
        accept: 0.9,
    }
}

fn part(shared: f64, sd: f64) -> Part {
    Part {
        shared: Some(Shared { estimate: shared, ..Shared::RIGHT }),
        scatter: Some(Scatter { sd, degrees: SURE }),
        of_one: false,
    }
}

fn known() -> Known {
    Known { trip: Part::RIGHT, centre: Part::RIGHT, width: Part::RIGHT, ..Known::default() }
}

fn drawn(trial: &Trial, known: &Known, number: u64) -> Tally {
    let cores = NonZero::new(2).expect("two");
    draw(trial, known, Draws { number, seed: 20_270_418 }, cores, &|_| ())
}

/// The share beyond a limit either way of what is normal around a mean.
fn beyond(mean: f64, sd: f64, limit: f64) -> f64 {
    let law = Normal::new(mean, sd).expect("a law");
    law.cdf(-limit) + law.sf(limit)
}

#[track_caller]
fn holds(what: &str, spread: Spread<'_>, drawn: u64, expected: f64) {
    let error = 4.0 * spread.sd() / (drawn as f64).sqrt();
    println!("{what}: {:.4}, expected {expected:.4} +/- {error:.4}", spread.mean());
    assert!((spread.mean() - expected).abs() <= error, "{what}: {} not {expected}", spread.mean());
    assert!(error < 0.15 * expected, "{what}: too few draws to tell, {error}");
}

/// The middle of an alley is normal; a plot has two alleys' middles and two half widths, each once:
/// variance 2 (0.6² + 0.8²/4) = 1.04. 6 passes of 8 plots have 48 lengths, 42 alleys and 5 x 7 leads.
#[test]
fn normal_scatter_gives_normal_shares() {
    let limits = Limits {
        plot: Some(2.0),
        centre: Some(1.0),
        width: Some(1.5),
        lead: Some(2.0),
        ..Limits::default()
    };
    let (trial, known) =
        (trial(limits), Known { centre: part(0.4, 0.6), width: part(0.5, 0.8), ..known() });
    let tally = drawn(&trial, &known, 8_000);
    let off = |mean: f64, sd: f64, limit: f64| beyond(mean, sd, limit);
    let law = Normal::new(-0.5, 1.04_f64.sqrt()).expect("a law");
    let count = |kind| tally.of(kind);
    holds("too long", count(Kind::TooLong), 8_000, 48.0 * law.sf(2.0));
    holds("too short", count(Kind::TooShort), 8_000, 48.0 * law.cdf(-2.0));
    holds("centre", count(Kind::Centre), 8_000, 42.0 * off(0.4, 0.6, 1.0));
    holds("width", count(Kind::Width), 8_000, 42.0 * off(0.5, 0.8, 1.5));
    // Both passes lie ahead in their own travel: twice the shift, and two scatters.
    holds("lead", count(Kind::Lead), 8_000, 35.0 * off(0.8, 0.6 * 2.0_f64.sqrt(), 2.0));
}

/// A mean of two even edges is a triangle over ± s/2, their difference one over ± s: beyond a limit L
/// lie (1 - 2 L / s)² and (1 - L / s)².
#[test]
fn the_phase_of_the_plate_gives_triangles() {
    let limits = Limits { centre: Some(1.0), width: Some(2.0), ..Limits::default() };
    let known = Known { spacing: 3.0, phases: vec![0.0], ..known() };
    let tally = drawn(&trial(limits), &known, 10_000);
    holds("centre", tally.of(Kind::Centre), 10_000, 42.0 * (1.0_f64 - 2.0 / 3.0).powi(2));
    holds("width", tally.of(Kind::Width), 10_000, 42.0 * (1.0_f64 - 2.0 / 3.0).powi(2));
}

/// Two rows half a spacing apart have edges that lie half a spacing apart, always, so that their mean
/// runs evenly over half a spacing: a width runs over a triangle of ± s/2.
#[test]
fn rows_out_of_phase_scatter_less() {
    let limits = Limits { width: Some(1.0), ..Limits::default() };
    let known = Known { spacing: 3.0, phases: vec![0.0, 0.5], ..known() };
    let tally = drawn(&trial(limits), &known, 10_000);
    holds("width", tally.of(Kind::Width), 10_000, 42.0 * (1.0_f64 - 1.0 / 1.5).powi(2));
}

/// What readings have seen of scatter holds what seeds make: 0.8² = 0.5² + 2.0²/24 + rest. So the share
/// is nearly that of a normal of 0.8, and its variance is that exactly.
#[test]
fn what_seeds_scatter_is_not_counted_twice() {
    let known = Known { centre: part(0.0, 0.8), spacing: 2.0, phases: vec![0.0], ..known() };
    let all = trial(Limits::default());
    let plots: Vec<f64> = (0..4_000)
        .flat_map(|number| field_of(&all, &known, 5, number))
        .filter_map(|plot| plot.centre)
        .collect();
    let count = plots.len() as f64;
    let variance = plots.iter().map(|one| one * one).sum::<f64>() / count;
    // The variance of a sample variance of a normal is 2 σ⁴ / n.
    let error = 4.0 * 0.64 * (2.0 / count).sqrt();
    assert!((variance - 0.64).abs() < error, "{variance} not 0.64 +/- {error}");
}

/// What all plots share is Student's t around its estimate: without scatter all alleys are out, or none.
#[test]
fn an_error_that_is_open_is_a_t() {
    let limits = Limits { centre: Some(1.0), ..Limits::default() };
    for (degrees, between) in [(3, 0.0), (11, 0.0)] {
        let shared =
            Shared { estimate: 0.3, standard_error: 0.5, degrees, between, readings: degrees + 1 };
        let centre = Part { shared: Some(shared), ..part(0.0, 0.0) };
        let tally = drawn(&trial(limits), &Known { centre, ..known() }, 8_000);
        let law = StudentsT::new(0.3, 0.5, f64::from(degrees)).expect("a law");
        let expected = 42.0 * (law.cdf(-1.0) + law.sf(1.0));
        holds("centre", tally.of(Kind::Centre), 8_000, expected);
        // Out of 42 alleys 4 may be out, and without scatter it is all or none.
        let passed = tally.passed() as f64 / 8_000.0;
        assert!((passed - (1.0 - expected / 42.0)).abs() < 4.0 * (0.25_f64 / 8_000.0).sqrt());
    }
}

/// One more alley after n that scatter by s around their mean: mean ± t s sqrt(1 + 1/n) at n - 1 degrees
/// (a prediction interval, NIST/SEMATECH e-Handbook 1.3.5.2 has the mean's part). By EnvStats 3.1.0,
/// predIntNorm: n = 20, 95 %, 2.144711 standard deviations, so of such a limit one in twenty is out.
#[test]
fn one_more_plot_is_predicted_as_published() {
    let readings: Vec<f64> =
        (0..20).map(|number| if number % 2 == 0 { 1.0 } else { -1.0 }).collect();
    let sd = (20.0_f64 / 19.0).sqrt();
    let limits = Limits { centre: Some(2.144_711 * sd), ..Limits::default() };
    let tally = drawn(&trial(limits), &Known { centre: Part::of(&readings), ..known() }, 16_000);
    holds("centre", tally.of(Kind::Centre), 16_000, 42.0 * 0.05);
}

/// A day moves all plots by one normal number.
#[test]
fn a_day_is_normal() {
    let limits = Limits { centre: Some(1.0), ..Limits::default() };
    let shared = Shared { between: 0.7, ..Shared::RIGHT };
    let centre = Part { shared: Some(shared), ..part(0.0, 0.0) };
    let tally = drawn(&trial(limits), &Known { centre, ..known() }, 8_000);
    holds("centre", tally.of(Kind::Centre), 8_000, 42.0 * beyond(0.0, 0.7, 1.0));
}

/// Counted from mark to mark, the alley behind plot k lies off by k errors: variance k 0.2² + 0.3², mean
/// k 0.1. At every mark for itself it does not move at all. A lead has the errors of both ends: 8 x 0.1.
#[test]
fn counted_trips_add_up_and_marks_set_them_right() {
    let limits = Limits { centre: Some(0.8), lead: Some(1.4), ..Limits::default() };
    let known = Known { trip: part(0.1, 0.2), centre: part(0.0, 0.3), ..known() };
    let counted = Trial { trips: Trips::Counted, ..trial(limits) };
    let tally = drawn(&counted, &known, 8_000);
    let sd = |trips: f64| (trips * 0.04 + 0.09).sqrt();
    let centres: f64 = (1..8).map(f64::from).map(|k| 6.0 * beyond(0.1 * k, sd(k), 0.8)).sum();
    holds("centre, counted", tally.of(Kind::Centre), 8_000, centres);
    let leads = 35.0 * beyond(0.8, (8.0_f64 * 0.04 + 2.0 * 0.09).sqrt(), 1.4);
    holds("lead, counted", tally.of(Kind::Lead), 8_000, leads);
    let tally = drawn(&trial(limits), &known, 8_000);
    holds("centre, at marks", tally.of(Kind::Centre), 8_000, 42.0 * beyond(0.0, 0.3, 0.8));
}

/// Marks that stand short move the two headings apart, and go out of every lead: three passes out, three
/// home.
#[test]
fn marks_move_headings_apart_and_no_lead() {
    let limits = Limits { centre: Some(1.0), lead: Some(1.0), ..Limits::default() };
    let marks = Some(Shared { estimate: 0.6, ..Shared::RIGHT });
    let known = Known { centre: part(0.2, 0.4), marks, ..known() };
    let tally = drawn(&trial(limits), &known, 8_000);
    let expected = 21.0 * (beyond(0.8, 0.4, 1.0) + beyond(-0.4, 0.4, 1.0));
    holds("centre", tally.of(Kind::Centre), 8_000, expected);
    let lead = beyond(0.4, 0.4 * 2.0_f64.sqrt(), 1.0);
    holds("lead", tally.of(Kind::Lead), 8_000, 35.0 * lead);
}

/// Seeds of a plot are positions less empty ones, and plants those that come up: binomial with the product
/// of both shares. 210 / 1.5 + 1 = 141 positions in each of four rows.
#[test]
fn plants_of_a_plot_are_binomial() {
    let limits = Limits { stand: Some(0.04), ..Limits::default() };
    let sure = 4_000_000_000_u32;
    let (share, come_up) = (0.05, 0.83);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let empty = (share * f64::from(sure)) as u32;
    let wanted = 564.0 * 0.95 * come_up;
    let stand = Stand { spacing: 1.5, rows: 4, positions: [sure, empty, 0], come_up, wanted };
    let tally = drawn(&trial(limits), &Known { stand: Some(stand), ..known() }, 2_000);
    let law = Binomial::new((1.0 - share) * come_up, 564).expect("a law");
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let (low, high) = ((0.96 * wanted).ceil() as u64, (1.04 * wanted).floor() as u64);
    let inside = law.cdf(high) - law.cdf(low - 1);
    holds("stand", tally.of(Kind::Stand), 2_000, 48.0 * (1.0 - inside));
}

/// Of four rows the one that is furthest off counts: 1 - (share inside)⁴.
#[test]
fn the_row_that_is_furthest_off_counts() {
    let limits = Limits { depth: Some(0.25), ..Limits::default() };
    let known = Known { depths: vec![part(0.05, 0.12); 4], ..known() };
    let tally = drawn(&trial(limits), &known, 10_000);
    let inside = 1.0 - beyond(0.05, 0.12, 0.25);
    holds("depth", tally.of(Kind::Depth), 10_000, 48.0 * (1.0 - inside.powi(4)));
}

/// Counted along 8 ranges of which the last two have half the trip spacing and the one before them is
/// filler: an error of 0.1 a spacing has come to 0.6 behind range 6, to 0.65 behind range 7. Fillers are
/// planted and not counted: 7 x 6 plots, 6 alleys a pass.
#[test]
fn what_adds_up_over_shorter_ranges_adds_up_less() {
    let short = OtherRanges { first: 6, last: 7, plot: 100.0, spacing: 0.5, fillers: false };
    let fillers = OtherRanges { first: 5, last: 5, plot: 210.0, spacing: 1.0, fillers: true };
    let limits = Limits { centre: Some(0.8), ..Limits::default() };
    let trial = Trial { trips: Trips::Counted, others: vec![short, fillers], ..trial(limits) };
    assert_eq!([trial.with(Kind::TooLong), trial.with(Kind::Centre)], [42, 36]);
    let plots = field_of(&trial, &Known { trip: part(0.1, 0.0), ..known() }, 1, 0);
    assert_eq!(plots.len(), 42);
    let centre = |pass: u32, range: u32| {
        let plot = plots.iter().find(|plot| (plot.pass, plot.range) == (pass, range));
        plot.and_then(|plot| plot.centre)
    };
    let near = |found: Option<f64>, wanted: f64| {
        assert!(found.is_some_and(|found| (found - wanted).abs() < 1e-9), "{found:?} {wanted}");
    };
    near(centre(0, 4), 0.5);
    near(centre(0, 6), 0.65);
    assert_eq!(centre(0, 7), None);
    // Home the short ranges come first.
    near(centre(1, 7), 0.05);
    near(centre(1, 6), 0.1);
    near(centre(1, 4), 0.3);
    assert_eq!(centre(1, 5), None, "fillers are in no list");
}

/// One seed, one answer, on any number of cores; another seed, another one.
#[test]
fn the_answer_hangs_on_the_seed_and_on_nothing_else() {
    let limits = Limits { plot: Some(1.0), centre: Some(1.0), ..Limits::default() };
    let centre = Part::of(&[0.3, 0.9, -0.2, 0.4, 1.1, 0.0]);
    let known = Known { centre, spacing: 1.5, phases: vec![0.0], ..known() };
    let on = |cores: usize, seed: u64| {
        let cores = NonZero::new(cores).expect("cores");
        draw(&trial(limits), &known, Draws { number: 999, seed }, cores, &|_| ())
    };
    let one = on(1, 1);
    assert_eq!(one.drawn(), 999);
    assert!([2, 3, 7, 32].into_iter().all(|cores| on(cores, 1) == one));
    assert!(on(1, 2) != one);
}

/// Borders are planted and not counted: with one range either way every plot has an alley behind it, and
/// what adds up has begun a range earlier.
#[test]
fn borders_are_planted_and_not_counted() {
    let limits = Limits { centre: Some(0.35), ..Limits::default() };
    let trial =
        Trial { trips: Trips::Counted, border_ranges: 1, border_passes: 1, ..trial(limits) };
    assert_eq!(
        [trial.with(Kind::TooLong), trial.with(Kind::Centre), trial.with(Kind::Lead)],
        [48, 48, 40]
    );
    assert!(!trial.goes_out(0), "the border pass goes out, pass 1 home");
    let plots = field_of(&trial, &Known { trip: part(0.1, 0.0), ..known() }, 1, 0);
    let first = plots.first().expect("plots");
    // Home: the range at the far end is the first of the trial, behind one border range.
    assert_eq!((first.range, first.pass), (7, 0));
    assert!(
        (first.first - 0.1).abs() < 1e-12 && (first.centre.expect("an alley") - 0.2).abs() < 1e-12
    );
    assert_eq!(plots.iter().filter(|plot| plot.is_out(Kind::Centre, &limits)).count(), 36);
}
