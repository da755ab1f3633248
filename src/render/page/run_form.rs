//! Run forms: blanks for the very measurements that the sheet takes, under its own keys, each
//! with a picture of what is measured from where to where.

use std::borrow::Cow;

use crate::forecast::plan;
use crate::outcome::cautions::{CLEAR_OF_METERS, MANUAL_FIRST, NO_RIDERS, SEED_TAG};
use crate::outcome::{Outcome, Travel};
use crate::paper::Facts;
use crate::render::drawing::{Axis, Kind, Row, Scene, Shape, Strips};
use crate::render::harmless;
use crate::sheet::Hint;
use crate::sheet::writing::{BlankForm, KINDS, Key, Kind as RunKind, Listed};

use super::blocks::{Block, Form};
use super::material::Material;

/// Readings that are usual where no plan says more. Common practice, no source.
const USUAL: usize = 10;
/// Blanks that fit on one page; where the plan asks for more, it takes more copies.
const MOST: usize = 24;

pub(super) fn blocks(material: &Material<'_>) -> Vec<Block> {
    let forms = forms(material);
    let mut blocks = vec![Block::Words(
        "Fill in on the test range, type into the sheet the same day. Each blank stands under the \
         key it has in the sheet, in the sheet's order. Measured in this order, each step rests on \
         the one before; what a change has upset is measured again."
            .into(),
    )];
    blocks.extend(forms.iter().map(|(heading, _, _, form)| {
        Block::Tick(format!("{heading}: {}, {} readings", form.table, form.count), None)
    }));
    blocks.extend([&NO_RIDERS, &CLEAR_OF_METERS, &SEED_TAG, &MANUAL_FIRST].map(Block::Caution));
    // A long list of forms leaves less room, or none: every form has some of its own.
    let lines = 13_usize.saturating_sub(forms.len()).min(5);
    if lines > 0 {
        blocks.push(Block::Room("Field, ground, weather, who measured".into(), lines));
    }
    for (heading, how, picture, form) in forms {
        blocks.push(Block::NewPage);
        blocks.push(Block::Heading(heading.into_owned()));
        blocks.push(Block::Words(how));
        blocks.extend(picture.map(Block::Picture));
        // Long forms fill their page by themselves.
        let short = form.fields.len() < 7 && form.lists.len() == 1;
        let lines = match (short, form.count) {
            (true, ..=USUAL) => 5,
            (true, ..=16) => 2,
            _ => 0,
        };
        blocks.push(Block::Form(form));
        if lines > 0 {
            blocks.push(Block::Room("Seen on the range".into(), lines));
        }
    }
    blocks
}

/// A form with its heading, how to measure, and a picture.
type Sheet = (Cow<'static, str>, String, Option<Scene>, Form);

/// What paper knows of a kind of run besides its keys.
struct Paper {
    /// What `record` calls it.
    kind: &'static str,
    /// Whether a sheet that says something of the planter has a use for it.
    wanted: fn(&Facts) -> bool,
    forms: fn(&Ground<'_>, &'static RunKind) -> Vec<Sheet>,
}

/// In the order in which it is measured. A kind of run that is not here gets a form without a
/// picture, from what its table says.
static PAPERS: &[Paper] = &[
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
        wanted: |facts| facts.has.pass_offset || !has_controller(facts),
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

/// What a form is made for.
struct Ground<'a> {
    facts: &'a Facts,
    planned: Option<&'a Outcome>,
}

impl Ground<'_> {
    /// How many readings a plan asks for, or as many as are usual.
    fn readings(&self, what: &str) -> usize {
        let planned = self.planned.and_then(|outcome| plan::readings_to_decide(outcome, what));
        planned.unwrap_or(USUAL).max(USUAL)
    }

    /// The blanks of a run on one form, and what all forms have.
    fn form(
        &self,
        kind: &'static RunKind,
        blank: &'static BlankForm,
        count: usize,
        example: &str,
    ) -> Form {
        let mut fields = vec![("date", String::new(), "no quotes: 2027-04-18".into())];
        fields.extend(blank.fields.iter().map(|(key, hint)| {
            let (known, hint) = self.hint(*hint);
            (*key, known, hint)
        }));
        fields.push(("note", String::new(), "in quotes: wind, soil, gear".into()));
        let unit = |listed: Listed| match listed {
            Listed::Lengths => tape(self.facts).0,
            Listed::In(unit) => unit.into(),
            Listed::Plain => String::new(),
        };
        let lists: Vec<_> = blank.lists.iter().map(|(key, listed)| (*key, unit(*listed))).collect();
        let typed = match blank.lists.first() {
            None => "Leave out what was not seen".to_owned(),
            Some((first, listed)) => {
                let how = match listed {
                    Listed::In(_) => "each with its unit in quotes",
                    Listed::Lengths if self.facts.bare.is_none() => {
                        "commas between, each in quotes with its unit"
                    }
                    Listed::Lengths | Listed::Plain => "commas between",
                };
                format!("Typed top to bottom, {how}: {first} = {example}")
            }
        };
        let more = if count > MOST {
            format!(" The plan asks for {count} readings: take more copies of this form.")
        } else {
            String::new()
        };
        let count = count.min(MOST / lists.len().max(1));
        Form { table: &kind.written, fields, lists, count, typed: format!("{typed}.{more}") }
    }

    /// What is known already, and what stands behind a blank.
    fn hint(&self, hint: Hint) -> (String, String) {
        let words = match (hint, self.facts.bare, &self.facts.speed) {
            (Hint::Filled(known), _, _) => return (known.into(), String::new()),
            (Hint::Words(words), _, _) => words.into(),
            (Hint::Length(what), Some(unit), _) => format!("{what}, {unit}"),
            (Hint::Length(what), None, _) => format!("{what}, with its unit"),
            (Hint::Speed, _, Some(speed)) => format!("only where it was not {}", harmless(speed)),
            (Hint::Speed, _, None) => "\"2.8 mph\"".into(),
        };
        (String::new(), words)
    }
}

/// The forms that the sheet has a use for. A sheet that says nothing of the planter gets all.
fn forms(material: &Material<'_>) -> Vec<Sheet> {
    let facts = &material.sheet.facts;
    let ground = Ground { facts, planned: material.plan };
    let open = !facts.has.anything;
    let named = |name: &str| KINDS.iter().find(|kind| kind.name == name);
    let mut forms = vec![];
    for paper in PAPERS.iter().filter(|paper| open || (paper.wanted)(facts)) {
        forms.extend(named(paper.kind).into_iter().flat_map(|kind| (paper.forms)(&ground, kind)));
    }
    let runs = &material.sheet.record.runs;
    let plain = KINDS.iter().filter(|kind| PAPERS.iter().all(|paper| paper.kind != kind.name));
    let wanted = plain.filter(|kind| open || runs.iter().any(|run| run.table == kind.table));
    forms.extend(wanted.flat_map(|kind| without_picture(&ground, kind)));
    forms
}

/// Forms of a kind of run, from what its table says; several go by what is filled in on each.
fn without_picture(ground: &Ground<'_>, kind: &'static RunKind) -> Vec<Sheet> {
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

/// The key that is filled in on a blank already, and what stands there.
fn filled_in(blank: &'static BlankForm) -> Option<(&'static str, &'static str)> {
    blank.fields.iter().find_map(|(key, hint)| match hint {
        Hint::Filled(known) => Some((*key, known.trim_matches('"'))),
        _ => None,
    })
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

/// The blanks of a kind of run that go by this list.
fn by_list(kind: &'static RunKind, list: &str) -> impl Iterator<Item = &'static BlankForm> {
    kind.blanks.iter().filter(move |blank| blank.lists.iter().any(|(key, _)| *key == list))
}

/// Unit of a list of tape readings, and an example of the list.
fn tape(facts: &Facts) -> (String, &'static str) {
    match facts.bare {
        Some(unit) => (unit.into(), "[11.5, 12, 12.25]"),
        None if facts.tape == "cm" => (facts.tape.into(), "[\"29 cm\", \"30.5 cm\"]"),
        None if facts.tape == "mm" => (facts.tape.into(), "[\"290 mm\", \"305 mm\"]"),
        None => (facts.tape.into(), "[\"11 1/2 in\", \"12 in\"]"),
    }
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
        ground.form(kind, blank, 6, "[\"48.9 s\", \"48.5 s\"]")
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
    let picture = course("ground", "marks", -2.0, 2.0);
    ("Trip scale: readouts between marks".into(), how.into(), Some(picture), form)
}

fn taped(ground: &Ground<'_>, kind: &'static RunKind, blank: &'static BlankForm) -> Sheet {
    let how = "What the tape says of a length that the controller was told to trip at: from the \
               middle of one alley to the middle of the next, in the order of the pass.";
    let form = ground.form(kind, blank, ground.readings("trip"), tape(ground.facts).1);
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
    kind.blanks.iter().map(|blank| one_heading(ground, kind, blank, each)).collect()
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
    let rows = vec![
        lane(heading, Travel::Rightward, -1.0, 1.3, &[(Kind::Mark, 0.0)]),
        held("last-seed-to-mark", -1.0, 0.0),
        held("mark-to-first-seed", 0.0, 1.3),
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
        ground.form(kind, blank, ground.readings("passes"), tape(ground.facts).1)
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
        ground.form(kind, blank, USUAL, tape(ground.facts).1)
    })
}

fn changeover(ground: &Ground<'_>, kind: &'static RunKind) -> Vec<Sheet> {
    let how = "One test range with the present timers, looked at on the ground and dug up.";
    let rows = vec![
        lane("pass", Travel::Rightward, -1.0, 1.0, &[]),
        held("alley-width", -1.0, 1.0),
        held("bunched-at-end", -1.6, -1.0),
        held("bunched-at-start", 1.0, 1.6),
        held("old-seed-in-new-plot", 1.0, 2.2),
    ];
    let picture = picture("One changeover", rows, &[Kind::Planted, Kind::Alley]);
    all_blanks(kind, "Changeovers", how, &picture, |blank| {
        ground.form(kind, blank, USUAL, tape(ground.facts).1)
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
    let shapes = vec![Shape::Bare, Shape::Point(Kind::Seed, 1.0)];
    let soil =
        Row { label: "surface at the left".into(), shapes, figures: vec![], ..Row::default() };
    let rows = vec![soil, held("depth", -2.5, 1.0)];
    let picture = picture("From the surface down to the seed", rows, &[Kind::Seed]);
    all_blanks(kind, "Planting depth", how, &picture, |blank| {
        ground.form(kind, blank, USUAL, example)
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
        ground.form(kind, blank, MOST, example)
    })
}

fn stand(ground: &Ground<'_>, kind: &'static RunKind) -> Vec<Sheet> {
    let how = "Plants counted on a taped length of row, at places all over the field. `alleytrue \
               stand` says which length is a thousandth of an acre.";
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
