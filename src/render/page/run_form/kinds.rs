//! The forms of each kind of run: heading, how to measure, and a picture of what is measured from
//! where to where.

use std::borrow::Cow;

use crate::calculations::evenness::GAPS_ASKED_FOR;
use crate::outcome::Travel;
use crate::paper::Facts;
use crate::render::drawing::{Axis, Kind, Row, Scene, Shape, Strips};
use crate::render::harmless;
use crate::render::page::blocks::Form;
use crate::sheet::writing::{BlankForm, Key, Kind as RunKind, Listed};

use super::ground::{Ground, ONE_PAGE, Sheet, USUAL, filled_in, tape};

/// What paper knows of a kind of run besides its keys.
pub(super) struct Paper {
    /// What `record` calls it.
    pub(super) kind: &'static str,
    /// Whether a sheet that says something of the planter has a use for it.
    pub(super) wanted: fn(&Facts) -> bool,
    /// Its forms.
    pub(super) forms: fn(&Ground<'_>, &'static RunKind) -> Vec<Sheet>,
}

/// In the order in which it is measured. A kind of run that is not here gets a form without a
/// picture, from what its table says.
pub(super) static PAPERS: &[Paper] = &[
    Paper { kind: "speed", wanted: |facts| facts.speed.is_some(), forms: speed },
    Paper { kind: "wheel", wanted: |facts| facts.has.drive, forms: wheel },
    Paper { kind: "changeover", wanted: |facts| facts.has.changeover, forms: changeover },
    Paper {
        kind: "row",
        wanted: |facts| facts.has.plate && facts.rows.as_deref() != Some("1"),
        forms: rows,
    },
    Paper {
        kind: "trip",
        wanted: |facts| facts.has.trip_scale || !has_controller(facts),
        forms: trip,
    },
    Paper {
        kind: "alley",
        wanted: |facts| facts.has.setback || !has_controller(facts),
        forms: alleys,
    },
    Paper {
        kind: "pass",
        wanted: |facts| facts.has.pass_offset || !has_controller(facts) && !facts.has.one_way,
        forms: leads,
    },
    Paper { kind: "depth", wanted: |facts| facts.has.depth, forms: depth },
    Paper { kind: "spacing", wanted: |facts| facts.has.evenness, forms: gaps },
    Paper { kind: "stand", wanted: |facts| facts.has.stand, forms: stand },
];

fn has_controller(facts: &Facts) -> bool {
    let has = &facts.has;
    has.controller || has.trip_scale || has.setback || has.pass_offset
}

/// Forms of a kind of run, from what its table says; several go by what is filled in on each.
pub(super) fn without_picture(ground: &Ground<'_>, kind: &'static RunKind) -> Vec<Sheet> {
    let heading = kind.about.split(';').next().unwrap_or(kind.about);
    let form = |blank: &'static BlankForm| {
        let filled = filled_in(blank).map(|(key, known)| format!("{heading}: {key} {known}"));
        let example = match blank.lists.first() {
            Some((_, Listed::Lengths)) => tape(ground.facts).1,
            first => {
                let is_first = |key: &&Key| first.is_some_and(|(name, _)| *name == key.name);
                kind.keys.iter().find(is_first).map_or("", |key| key.example)
            }
        };
        let how = [kind.meaning, kind.notes].join(" ").trim_end().to_owned();
        let heading = filled.map_or(heading.into(), Cow::from);
        (heading, how, None, ground.form(kind, blank, USUAL, example))
    };
    kind.blanks.iter().map(form).collect()
}

/// One form for each blank of a kind of run.
fn all_blanks(
    kind: &'static RunKind,
    heading: &'static str,
    how: &str,
    picture: &Scene,
    form: impl Fn(&'static BlankForm) -> Form,
) -> Vec<Sheet> {
    let one = |blank| (heading.into(), how.to_owned(), Some(picture.clone()), form(blank));
    kind.blanks.iter().map(one).collect()
}

/// A form with what its readings should come to, where the sheet says what that rests on.
fn expecting(form: Form, of: Option<&String>, words: impl Fn(&str) -> String) -> Form {
    Form { expected: of.map(|text| words(&harmless(text))), ..form }
}

/// A form with what its readings should come to.
fn expected(form: Form, words: &str) -> Form {
    Form { expected: Some(words.into()), ..form }
}

/// The blanks of a kind of run that go by this list.
fn by_list(kind: &'static RunKind, list: &str) -> impl Iterator<Item = &'static BlankForm> {
    kind.blanks.iter().filter(move |blank| blank.lists.iter().any(|(key, _)| *key == list))
}

// Pictures: one alley of a nominal width of 2, with planted ground on both sides.

fn picture(title: &str, rows: Vec<Row>, key: &[Kind]) -> Scene {
    Scene::Strips(Strips {
        title: title.into(),
        axis: Axis { from: -2.5, to: 2.5 },
        rows,
        key: vec![key.to_vec()],
        note: None,
        ends: None,
    })
}

fn lane(label: &str, travel: Travel, from: f64, to: f64, signs: &[(Kind, f64)]) -> Row {
    let mut shapes = vec![
        Shape::Bare,
        Shape::Planted { from: None, to: Some(from) },
        Shape::Planted { from: Some(to), to: None },
    ];
    shapes.extend(signs.iter().map(|(kind, at)| Shape::Point(*kind, *at)));
    Row { label: label.into(), travel: Some(travel), shapes, ..Row::default() }
}

fn held(label: &str, from: f64, to: f64) -> Row {
    Row { label: label.into(), shapes: vec![Shape::Tape { from, to }], ..Row::default() }
}

/// Bare ground between two marks.
fn course(label: &str, below: &str, from: f64, to: f64) -> Scene {
    let shapes = vec![Shape::Bare, Shape::Point(Kind::Mark, from), Shape::Point(Kind::Mark, to)];
    let ground =
        Row { label: label.into(), travel: Some(Travel::Rightward), shapes, ..Row::default() };
    picture("From mark to mark", vec![ground, held(below, from, to)], &[Kind::Mark])
}

fn speed(ground: &Ground<'_>, kind: &'static RunKind) -> Vec<Sheet> {
    let how = "A taped course, driven at planting gear and throttle with the planter down. Up to \
               speed before the first mark; the watch runs from mark to mark.";
    let picture = course("ground", "course", -2.0, 2.0);
    all_blanks(kind, "Ground speed", how, &picture, |blank| {
        let form = ground.form(kind, blank, 6, "[\"48.9 s\", \"48.5 s\"]");
        expecting(form, ground.facts.speed.as_ref(), |speed| {
            format!("the time that the course takes at {speed}")
        })
    })
}

fn wheel(ground: &Ground<'_>, kind: &'static RunKind) -> Vec<Sheet> {
    let how = "Turns of the drive wheel over a taped course, planter down and loaded, in the soil \
               of the trial. A chalk line on the tyre; parts of a turn counted too.";
    let picture = course("ground", "course", -2.0, 2.0);
    all_blanks(kind, "Drive wheel", how, &picture, |blank| {
        ground.form(kind, blank, 6, "[29.5, 29.25]")
    })
}

/// Where no run says how this crew measures, both ways are offered.
fn trip(ground: &Ground<'_>, kind: &'static RunKind) -> Vec<Sheet> {
    let has = &ground.facts.has;
    let (readouts_too, taped_too) = (has.readouts || !has.taped, has.taped || !has.readouts);
    let mut forms = vec![];
    if readouts_too {
        forms.extend(by_list(kind, "readout").map(|blank| readouts(ground, kind, blank)));
    }
    if taped_too {
        forms.extend(by_list(kind, "taped").map(|blank| taped(ground, kind, blank)));
    }
    forms
}

fn readouts(ground: &Ground<'_>, kind: &'static RunKind, blank: &'static BlankForm) -> Sheet {
    let how = "What the controller reads between two marks whose distance was taped. In the order \
               of the plots along the pass.";
    let form = ground.form(kind, blank, ground.readings("trip"), tape(ground.facts).1);
    let form = expected(form, "what the tape says from mark to mark");
    let picture = course("ground", "marks", -2.0, 2.0);
    ("Trip scale: readouts between marks".into(), how.into(), Some(picture), form)
}

fn taped(ground: &Ground<'_>, kind: &'static RunKind, blank: &'static BlankForm) -> Sheet {
    let how = "What the tape says of a length that the controller was told to trip at: from the \
               middle of one alley to the middle of the next, in the order of the pass.";
    let form = ground.form(kind, blank, ground.readings("trip"), tape(ground.facts).1);
    let form = expected(form, "what was commanded");
    let pass = Row {
        label: "pass".into(),
        travel: Some(Travel::Rightward),
        shapes: vec![
            Shape::Bare,
            Shape::Planted { from: None, to: Some(-2.0) },
            Shape::Planted { from: Some(-1.2), to: Some(1.2) },
            Shape::Planted { from: Some(2.0), to: None },
            Shape::Point(Kind::Centre, -1.6),
            Shape::Point(Kind::Centre, 1.6),
        ],
        ..Row::default()
    };
    let rows = vec![pass, held("taped", -1.6, 1.6)];
    let picture =
        picture("From middle to middle", rows, &[Kind::Planted, Kind::Alley, Kind::Centre]);
    ("Trip scale: taped lengths".into(), how.into(), Some(picture), form)
}

fn alleys(ground: &Ground<'_>, kind: &'static RunKind) -> Vec<Sheet> {
    let each = ground.readings("centre").div_ceil(2).max(USUAL);
    let comes_home =
        |blank: &&'static BlankForm| filled_in(blank).is_some_and(|(_, heading)| heading == "home");
    let driven =
        kind.blanks.iter().filter(|blank| !(ground.facts.has.one_way && comes_home(blank)));
    driven.map(|blank| one_heading(ground, kind, blank, each)).collect()
}

/// The form for the heading that is filled in on it.
fn one_heading(
    ground: &Ground<'_>,
    kind: &'static RunKind,
    blank: &'static BlankForm,
    count: usize,
) -> Sheet {
    let (_, heading) = filled_in(blank).unwrap_or_default();
    let how = format!(
        "Passes going {heading}: {}. Along one row, alley by alley in the order of the pass. A \
         last seed that lies past the mark is written with a minus.",
        if heading == "out" { "away from the start of the field" } else { "back to its start" },
    );
    let form = ground.form(kind, blank, count, tape(ground.facts).1);
    let form = expecting(form, ground.facts.alley.as_ref(), |alley| {
        format!("both alike, half the alley each; together {alley}")
    });
    // Out goes to the right and home to the left, on every form.
    let (travel, way) =
        if heading == "out" { (Travel::Rightward, 1.0) } else { (Travel::Leftward, -1.0) };
    let (last, first): (f64, f64) = (-way, 1.3 * way);
    let rows = vec![
        lane(heading, travel, last.min(first), last.max(first), &[(Kind::Mark, 0.0)]),
        held("last seed to mark", last.min(0.0), last.max(0.0)),
        held("mark to first seed", first.min(0.0), first.max(0.0)),
    ];
    let picture =
        picture("One alley and its mark", rows, &[Kind::Planted, Kind::Alley, Kind::Mark]);
    let title = if heading == "out" { "Alleys, going out" } else { "Alleys, coming home" };
    (title.into(), how, Some(picture), form)
}

fn leads(ground: &Ground<'_>, kind: &'static RunKind) -> Vec<Sheet> {
    let how = "Two neighbouring passes, one out and one home. Standing on one of them and looking \
               where its planter went: how far its alley lies ahead of the neighbour's, edge to \
               edge; behind is written with a minus.";
    let rows = vec![
        lane("home", Travel::Leftward, -1.3, 0.7, &[]),
        held("lead", -1.3, -0.7),
        lane("out", Travel::Rightward, -0.7, 1.3, &[]),
    ];
    let picture = picture("Two neighbouring passes", rows, &[Kind::Planted, Kind::Alley]);
    all_blanks(kind, "Neighbouring passes", how, &picture, |blank| {
        let form = ground.form(kind, blank, ground.readings("passes"), tape(ground.facts).1);
        expected(form, "nought")
    })
}

fn rows(ground: &Ground<'_>, kind: &'static RunKind) -> Vec<Sheet> {
    let how = "First seed of one row against that of the reference row, at the same alley; behind \
               is written with a minus. One form for each row.";
    let rows = vec![
        lane("reference", Travel::Rightward, -1.0, 0.7, &[]),
        held("ahead", 0.7, 1.3),
        lane("row", Travel::Rightward, -0.4, 1.3, &[]),
    ];
    let picture = picture("Two rows of one planter", rows, &[Kind::Planted, Kind::Alley]);
    all_blanks(kind, "Rows together", how, &picture, |blank| {
        expected(ground.form(kind, blank, USUAL, tape(ground.facts).1), "nought")
    })
}

fn changeover(ground: &Ground<'_>, kind: &'static RunKind) -> Vec<Sheet> {
    let how = "One test range with the present timers, looked at on the ground and dug up.";
    let rows = vec![
        lane("pass", Travel::Rightward, -1.0, 1.0, &[]),
        held("alley width", -1.0, 1.0),
        held("bunched at end", -1.6, -1.0),
        held("bunched at start", 1.0, 1.6),
        held("old seed in new plot", 1.0, 2.2),
    ];
    let picture = picture("One changeover", rows, &[Kind::Planted, Kind::Alley]);
    all_blanks(kind, "Changeovers", how, &picture, |blank| {
        let form = ground.form(kind, blank, USUAL, tape(ground.facts).1);
        expecting(form, ground.facts.alley.as_ref(), |alley| format!("a width of {alley}"))
    })
}

fn depth(ground: &Ground<'_>, kind: &'static RunKind) -> Vec<Sheet> {
    let how = "Seed dug up in one row: from the surface, pressed flat, down to the seed. One form \
               for each row.";
    let example = match (ground.facts.bare, ground.facts.tape) {
        (Some(_), _) => "[1.5, 1.375]",
        (None, "in") => "[\"1 1/2 in\", \"1 3/8 in\"]",
        (None, _) => "[\"4 cm\", \"3.5 cm\"]",
    };
    let picture = Scene::Cut("From the surface, pressed flat, down to the seed".into());
    all_blanks(kind, "Planting depth", how, &picture, |blank| {
        let form = ground.form(kind, blank, USUAL, example);
        expecting(form, ground.facts.depth.as_ref(), str::to_owned)
    })
}

fn gaps(ground: &Ground<'_>, kind: &'static RunKind) -> Vec<Sheet> {
    let how = "Seed dug up, or plants, along one row: a tape that lies still, and the place of each \
               seed on it. One form for each row; where the tape is laid anew, a new form.";
    let example = match (ground.facts.bare, ground.facts.tape) {
        (Some(_), _) => "[0.5, 2, 3.6]",
        (None, "in") => "[\"1/2 in\", \"2 in\"]",
        (None, _) => "[\"1 cm\", \"5.5 cm\"]",
    };
    let seeds = [-2.0, -1.1, -0.3, 0.7, 1.5];
    let mut shapes = vec![Shape::Bare];
    shapes.extend(seeds.map(|at| Shape::Point(Kind::Seed, at)));
    let row =
        Row { label: "row".into(), travel: Some(Travel::Rightward), shapes, ..Row::default() };
    let mut rows = vec![row];
    rows.extend(seeds[..3].iter().map(|at| held("positions", -2.5, *at)));
    let picture = picture("Places of seeds along a tape", rows, &[Kind::Seed]);
    all_blanks(kind, "Evenness of spacing", how, &picture, |blank| {
        // So many gaps lie between one place more.
        let places = GAPS_ASKED_FOR as usize + 1;
        let form = ground.form_of_at_most(ONE_PAGE, kind, blank, places, example);
        expecting(form, ground.facts.seeds.as_ref().map(|(_, text)| text), |text| {
            format!("places one target spacing apart, for {text}")
        })
    })
}

fn stand(ground: &Ground<'_>, kind: &'static RunKind) -> Vec<Sheet> {
    let how = "Plants counted on a taped length of row, at places all over the field. Which length is \
               a thousandth of an acre stands in the report.";
    let shapes = vec![
        Shape::Bare,
        Shape::Planted { from: None, to: None },
        Shape::Point(Kind::Mark, -2.0),
        Shape::Point(Kind::Mark, 2.0),
    ];
    let row = Row { label: "row".into(), shapes, ..Row::default() };
    let rows = vec![row, held("length", -2.0, 2.0)];
    let picture = picture("Plants on a length of row", rows, &[Kind::Planted, Kind::Mark]);
    all_blanks(kind, "Stand", how, &picture, |blank| {
        ground.form(kind, blank, 12, "[26, 24, 27, 25]")
    })
}
