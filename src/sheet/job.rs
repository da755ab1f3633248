//! The tables of a sheet put together into the inputs of the calculations.
//!
//! What a run of measurements needs elsewhere in the sheet is checked here, so that the message
//! can point at the run that needs it.

use std::ops::Range;

use crate::calibration::jitter::Seeds;
use crate::calibration::sequence::Job;
use crate::calibration::setting::{PASS_OFFSET, SETBACK, ScaleSetting, Setting, TRIP_SCALE};
use crate::calibration::spacing::{Drive, TravelSource};
use crate::calibration::{
    MovingSetting, Units, alley, changeover, passes, plan, rows, spacing, speed, speed_law,
    sprockets, trip, wheel,
};
use crate::quantity::Length;
use crate::statistics::Confidence;

use super::codes;
use super::planter::Moving;
use super::reader::Reader;
use super::run::Run;
use super::{Placed, Tables};

/// A run counts for the trial's speed when it was made within this share of it.
const SAME_SPEED: f64 = 0.05;

/// The inputs of every calculation the sheet has data for, and what its spacing lacks.
pub(super) fn assemble(
    tables: Tables,
    units: Units,
    reader: &mut Reader<'_>,
) -> (Job, Vec<&'static str>) {
    let wheel_runs: Vec<wheel::WheelRun> = tables.wheel_runs.iter().flatten().cloned().collect();
    let (spacing, lacks) = match spacing(&tables, &wheel_runs, units, reader) {
        Ok(inputs) => (inputs, vec![]),
        Err(lacks) => (None, lacks),
    };
    let speed_law = speed_law(&tables, units);
    let alleys = alley_runs(&tables, speed_law.is_some(), reader);
    let plan = plan::Inputs {
        seeds: seeds(&tables),
        scatter: None,
        trip: tables.trial.tolerance.trip.clone(),
        centre: tables.trial.tolerance.centre.clone(),
        passes: tables.trial.tolerance.passes.clone(),
        confidence: Confidence::NINETY_FIVE,
        units,
    };
    let changeover = changeover(&tables, &alleys, units, reader);
    let held = [
        (&TRIP_SCALE, tables.settings.trip_scale.is_some()),
        (&SETBACK, tables.settings.setback.is_some()),
        (&PASS_OFFSET, tables.settings.pass_offset.is_some()),
    ];
    let job = Job {
        held: held.into_iter().filter(|(_, held)| *held).map(|(setting, _)| setting).collect(),
        changeover,
        rows: rows(&tables, units, reader),
        speed_law,
        plan: Some(plan),
        speed: speed(&tables, units),
        wheel: wheel(&tables, wheel_runs, units, reader),
        spacing,
        trip: trip(&tables, units, reader),
        passes: passes(&tables, &alleys, units, reader),
        alley: alley(&tables, alleys, units, reader),
    };
    (job, lacks)
}

fn speed(tables: &Tables, units: Units) -> Option<speed::Inputs> {
    let runs: Vec<_> = tables.speed_runs.iter().flatten().cloned().collect();
    (!runs.is_empty()).then(|| speed::Inputs {
        runs,
        target: tables.trial.speed.as_ref().map(|speed| speed.value.clone()),
        tolerance: tables.trial.tolerance.speed.clone(),
        confidence: Confidence::NINETY_FIVE,
        left_out: vec![],
        units,
    })
}

fn wheel(
    tables: &Tables,
    runs: Vec<wheel::WheelRun>,
    units: Units,
    reader: &mut Reader<'_>,
) -> Option<wheel::Inputs> {
    if runs.is_empty() {
        if let (Some(circumference), Some(wheel::Travel::Measured { .. })) =
            (&tables.planter.circumference, &tables.planter.travel)
        {
            let message = "`rolling-circumference` has no effect: `travel-per-turn` was measured";
            let advice = "keep it for the skid of a [[wheel-run]], or take it out";
            reader.say(&codes::UNUSED_KEY, circumference.span.clone(), message, advice);
        }
        return None;
    }
    Some(wheel::Inputs {
        runs,
        circumference: tables.planter.circumference.as_ref().map(|c| c.value.clone()),
        planter: tables.planter.travel.clone(),
        tolerance: tables.trial.tolerance.spacing.clone(),
        units,
    })
}

/// The spacing inputs; `Err` lists what is missing, which is no mistake in a sheet that is not
/// about spacing.
fn spacing(
    tables: &Tables,
    wheel_runs: &[wheel::WheelRun],
    units: Units,
    reader: &mut Reader<'_>,
) -> Result<Option<spacing::Inputs>, Vec<&'static str>> {
    let planter = &tables.planter;
    let travel = if wheel_runs.is_empty() {
        planter.travel.clone().map(|travel| TravelSource::Planter(Box::new(travel)))
    } else {
        Some(TravelSource::Runs(wheel_runs.to_vec()))
    };
    let ratio = planter.plate.as_ref().and_then(|plate| plate.turns_per_wheel_turn);
    let drive = match (planter.drive.is_empty(), ratio) {
        (false, Some(_)) => {
            let message =
                "`turns-per-wheel-turn` and [[planter.drive]] both give the drive's ratio";
            reader.say(&codes::CONFLICT, planter.drive_span.clone(), message, "keep one of them");
            return Ok(None);
        }
        (false, None) => Some(Drive::Chains(planter.drive.clone())),
        (true, Some(ratio)) => Some(Drive::Fixed(ratio)),
        (true, None) => None,
    };
    if let Some(Drive::Chains(stages)) = &drive
        && !searchable(stages, &planter.drive_span, reader)
    {
        return Ok(None);
    }
    let cells = planter.plate.as_ref().and_then(|plate| plate.cells);
    let row_spacing = planter.row_spacing.as_ref().map(|row| row.value.clone());
    let target = tables.trial.target.clone();
    match (travel, drive, cells, row_spacing, target) {
        (Some(travel), Some(drive), Some(cells), Some(row_spacing), Some(target)) => {
            let top_rate = planter.plate.as_ref().and_then(|plate| plate.top_rate.as_ref());
            if let (Some(rate), None) = (top_rate, &tables.trial.speed) {
                let message = "`top-rate` has no effect without `speed` in [trial]";
                reader.say(&codes::UNUSED_KEY, rate.span.clone(), message, "add the ground speed");
            }
            Ok(Some(spacing::Inputs {
                travel,
                drive,
                cells,
                row_spacing,
                target,
                speed: tables.trial.speed.as_ref().map(|speed| speed.value.clone()),
                top_rate: top_rate.map(|rate| rate.value.clone()),
                tolerance: tables.trial.tolerance.spacing.clone(),
                units,
            }))
        }
        (travel, drive, cells, row_spacing, target) => {
            let pieces = [
                (travel.is_none(), "`travel-per-turn` in [planter], or a [[wheel-run]]"),
                (
                    drive.is_none(),
                    "[[planter.drive]], or `turns-per-wheel-turn` in [planter.plate]",
                ),
                (cells.is_none(), "`cells` in [planter.plate]"),
                (row_spacing.is_none(), "`row-spacing` in [planter]"),
                (target.is_none(), "`population` or `seed-spacing` in [trial]"),
            ];
            Err(pieces.into_iter().filter(|(lacks, _)| *lacks).map(|(_, what)| what).collect())
        }
    }
}

fn searchable(
    stages: &[spacing::DriveStage],
    place: &Range<usize>,
    reader: &mut Reader<'_>,
) -> bool {
    let sprockets: Vec<_> = stages.iter().map(|stage| stage.sprockets.clone()).collect();
    match sprockets::best(&sprockets, 1.0, 0) {
        Ok(_) => true,
        Err(error) => {
            let message = format!("the drive can't be searched: {error}");
            let advice = "list only the sprockets that are at hand";
            reader.say(&codes::TOO_MANY_SPROCKETS, place.clone(), message, advice);
            false
        }
    }
}

fn trip(tables: &Tables, units: Units, reader: &mut Reader<'_>) -> Option<trip::Inputs> {
    let here: Vec<_> = tables
        .trip_runs
        .iter()
        .filter(|table| at_trial_speed(&table.run, tables, reader))
        .collect();
    let first = here.first()?;
    let need = Need { run: "[[trip-run]]", span: &first.run.span };
    let controller = tables.planter.controller.trip_scale.as_ref();
    if controller.is_none() {
        need.scale(reader, tables);
    }
    let now = tables.settings.trip_scale;
    if now.is_none() {
        need.setting(reader, tables, &TRIP_SCALE, "402.5");
    }
    let plot = need.of_trial(reader, tables, tables.trial.plot.as_ref(), "plot", "\"17 ft 6 in\"");
    let alley = need.of_trial(reader, tables, tables.trial.alley.as_ref(), "alley", "\"30 in\"");
    let runs: Option<Vec<_>> = here.iter().map(|table| table.evidence.clone()).collect();
    let controller = controller?;
    Some(trip::Inputs {
        runs: runs?,
        kind: controller.kind?,
        scale: ScaleSetting { now: now?, step: controller.step },
        plot: plot?,
        alley: alley?,
        ranges: tables.trial.ranges,
        tolerance: tables.trial.tolerance.trip.clone(),
        confidence: Confidence::NINETY_FIVE,
        left_out: vec![],
        units,
    })
}

/// The changeover, with what was seen of it and the widths taped in alley runs.
fn changeover(
    tables: &Tables,
    alleys: &Option<AlleyRuns>,
    units: Units,
    reader: &mut Reader<'_>,
) -> Option<changeover::Inputs> {
    let Some(table) = &tables.changeover else {
        if let Some(run) = tables.changeover_runs.first() {
            let need = Need { run: "[[changeover-run]]", span: &run.run.span };
            need.missing(
                reader,
                "changeover",
                "[changeover]",
                "[changeover] with the timers and the boost",
            );
        }
        return None;
    };
    let need = Need { run: "[changeover]", span: &table.span };
    let plate = tables.planter.plate.as_ref();
    let carry = plate.and_then(|plate| plate.carry);
    super::changeover::check(reader, table, carry.as_ref());
    if carry.is_none() {
        need.missing(reader, "planter.plate.carry", "`carry` in [planter.plate]", "carry = 16");
    }
    let seeds = seeds(tables);
    if seeds.is_none() {
        need.seeds(reader);
    }
    let speed = tables.trial.speed.as_ref().map(|speed| speed.value.clone());
    if speed.is_none() {
        need.missing(reader, "trial.speed", "`speed` in [trial]", "speed = \"2.8 mph\"");
    }
    let alley = need.of_trial(reader, tables, tables.trial.alley.as_ref(), "alley", "\"30 in\"");
    if let (None, Some(run)) = (&table.present, tables.changeover_runs.first()) {
        let need = Need { run: "[[changeover-run]]", span: &run.run.span };
        // Where only some of the timers are there, each of the others was called missing.
        if ["run-out", "fill"].iter().all(|key| reader.must_say(&format!("changeover.{key}"))) {
            let path = "changeover.clean-out";
            need.missing(reader, path, "the timers in [changeover]", "clean-out = \"1.5 s\"");
        }
    }
    let fall = table.fall.clone().or_else(|| {
        let height = tables.planter.drop_height.as_ref()?;
        Some(changeover::Fall::Height(height.value.clone()))
    });
    let wide = |run: &alley::AlleyRun| -> Vec<_> {
        run.alleys.iter().filter_map(|one| alley::width_of(one, &units)).collect()
    };
    let runs = alleys.as_ref().and_then(|alleys| alleys.runs.as_ref());
    let widths: Vec<Vec<_>> = runs.into_iter().flatten().map(wide).collect();
    let tolerance = &tables.trial.tolerance;
    Some(changeover::Inputs {
        present: table.present.clone(),
        hand_over: table.hand_over.clone(),
        sweep: table.sweep.as_ref().map(|sweep| sweep.value.clone()),
        boost: table.boost.clone()?,
        old_seed_gone: table.old_seed_gone.clone()?,
        new_seed_at_pick_up: table.new_seed_at_pick_up.clone()?,
        fall,
        carry: carry?,
        cells: plate?.cells?,
        speed: speed?,
        seeds: seeds?,
        alley: alley?,
        step: tables.planter.controller.timer_step.clone(),
        width_tolerance: tolerance.width.clone().or_else(|| tolerance.centre.clone()),
        runs: tables
            .changeover_runs
            .iter()
            .filter(|table| at_trial_speed(&table.run, tables, reader))
            .map(|table| table.seen.clone())
            .collect(),
        widths: widths.into_iter().filter(|widths| !widths.is_empty()).collect(),
        confidence: Confidence::NINETY_FIVE,
        units,
    })
}

/// Rows against the reference row.
fn rows(tables: &Tables, units: Units, reader: &mut Reader<'_>) -> Option<rows::Inputs> {
    let first = tables.row_runs.first()?;
    let need = Need { run: "[[row-run]]", span: &first.run.span };
    let seeds = seeds(tables);
    if seeds.is_none() {
        need.seeds(reader);
    }
    let plate = tables.planter.plate.as_ref();
    if plate.is_none() {
        need.missing(
            reader,
            "planter.plate",
            "`cells` in [planter.plate]",
            "plate = { cells = 40, meter-teeth = 15 }",
        );
    }
    let reference = tables.row_runs.iter().find_map(|table| table.reference).unwrap_or(1);
    let here: Vec<_> =
        tables.row_runs.iter().filter(|table| at_trial_speed(&table.run, tables, reader)).collect();
    for table in &here {
        let place = table.run.span.clone();
        if table.reference.is_some_and(|own| own != reference) {
            let message =
                format!("the row runs are held against different rows: {reference} before");
            reader.say(&codes::CONFLICT, place, message, "hold all rows against one `reference`");
        } else if table.edges.as_ref().is_some_and(|edges| edges.row == reference) {
            let message =
                format!("row {reference} is the reference row and can't be held against itself");
            reader.say(
                &codes::CONFLICT,
                place,
                message,
                "name another `row`, or another `reference`",
            );
        }
    }
    let runs: Option<Vec<_>> = here.iter().map(|table| table.edges.clone()).collect();
    // Several runs of one row are one list of readings.
    let mut merged: Vec<rows::RowEdges> = vec![];
    for edges in runs? {
        match merged.iter_mut().find(|known| known.row == edges.row) {
            Some(known) => known.ahead.extend(edges.ahead),
            None => merged.push(edges),
        }
    }
    if merged.is_empty() {
        return None;
    }
    Some(rows::Inputs {
        reference,
        rows: merged,
        cells: plate?.cells?,
        meter_teeth: plate?.meter_teeth,
        seeds: seeds?,
        units,
    })
}

/// Alley runs at the trial's speed, with the place of the first.
struct AlleyRuns {
    runs: Option<Vec<alley::AlleyRun>>,
    first: Range<usize>,
}

fn alley_runs(tables: &Tables, speed_law: bool, reader: &mut Reader<'_>) -> Option<AlleyRuns> {
    let here: Vec<_> = tables
        .alley_runs
        .iter()
        .filter(|table| {
            // Runs at other speeds are not lost where the speed law uses them.
            if speed_law {
                same_speed(&table.run, tables)
            } else {
                at_trial_speed(&table.run, tables, reader)
            }
        })
        .collect();
    let first = here.first()?.run.span.clone();
    let runs: Option<Vec<_>> = here.iter().map(|table| table.alleys.clone()).collect();
    if let Some(runs) = &runs {
        let without: Vec<bool> = runs.iter().map(|run| run.heading.is_none()).collect();
        if without.contains(&true) && without.contains(&false) {
            let message = "this [[alley-run]] has no `heading`, and others have one";
            let advice = "add `heading = \"out\"` or `heading = \"home\"`";
            for (table, _) in here.iter().zip(&without).filter(|(_, without)| **without) {
                reader
                    .say(&codes::MIXED_HEADINGS, table.run.span.clone(), message, advice)
                    .allowed = Some("`heading` in every run, or in none".into());
            }
            return Some(AlleyRuns { runs: None, first });
        }
    }
    // Out before home, so that readings are numbered in the order they are shown.
    let runs = runs.map(|mut runs| {
        runs.sort_by_key(|run| run.heading);
        runs
    });
    Some(AlleyRuns { runs, first })
}

fn alley(
    tables: &Tables,
    alleys: Option<AlleyRuns>,
    units: Units,
    reader: &mut Reader<'_>,
) -> Option<alley::Inputs> {
    let alleys = alleys?;
    let need = Need { run: "[[alley-run]]", span: &alleys.first };
    let wanted = need.of_trial(reader, tables, tables.trial.alley.as_ref(), "alley", "\"30 in\"");
    let setback = need.moving(
        reader,
        tables,
        &SETBACK,
        tables.planter.controller.setback.as_ref(),
        tables.settings.setback.as_ref(),
    );
    Some(alley::Inputs {
        runs: alleys.runs?,
        alley: wanted?,
        setback: setback?,
        tolerance: tables.trial.tolerance.centre.clone(),
        width_tolerance: tables.trial.tolerance.width.clone(),
        seeds: seeds(tables),
        confidence: Confidence::NINETY_FIVE,
        left_out: vec![],
        units,
    })
}

/// Leads need the pass offset; alleys of both headings say something about passes by themselves.
fn passes(
    tables: &Tables,
    alleys: &Option<AlleyRuns>,
    units: Units,
    reader: &mut Reader<'_>,
) -> Option<passes::Inputs> {
    let here: Vec<_> = tables
        .pass_runs
        .iter()
        .filter(|table| at_trial_speed(&table.run, tables, reader))
        .collect();
    let alley = tables.trial.alley.as_ref().map(|alley| alley.value.clone());
    let marked = alleys.as_ref().and_then(|alleys| alleys.runs.clone()).filter(|runs| {
        [alley::Heading::Out, alley::Heading::Home]
            .iter()
            .all(|heading| runs.iter().any(|run| run.heading == Some(*heading)))
    });
    let marked = marked.zip(alley.clone()).map(|(runs, alley)| passes::Marked { runs, alley });
    let offset = match here.first() {
        Some(first) => {
            let need = Need { run: "[[pass-run]]", span: &first.run.span };
            let controller = tables.planter.controller.pass_offset.as_ref();
            let now = tables.settings.pass_offset.as_ref();
            Some(need.moving(reader, tables, &PASS_OFFSET, controller, now)?)
        }
        None => None,
    };
    let leads: Option<Vec<Vec<Length>>> = here.iter().map(|table| table.leads.clone()).collect();
    let leads = leads?.concat();
    if leads.is_empty() && marked.is_none() {
        return None;
    }
    Some(passes::Inputs {
        leads,
        one_run: here.len() == 1,
        marked,
        offset,
        tolerance: tables.trial.tolerance.passes.clone(),
        alley,
        seeds: seeds(tables),
        confidence: Confidence::NINETY_FIVE,
        left_out: vec![],
        units,
    })
}

/// The seeds of the trial, where target and row spacing are known.
fn seeds(tables: &Tables) -> Option<Seeds> {
    let row_spacing = tables.planter.row_spacing.as_ref()?.value.clone();
    Some(Seeds { target: tables.trial.target.clone()?, row_spacing })
}

/// Alley runs at two or more speeds; a run without a speed was made at the trial's.
fn speed_law(tables: &Tables, units: Units) -> Option<speed_law::Inputs> {
    let trial = tables.trial.speed.as_ref().map(|speed| &speed.value);
    let runs: Option<Vec<_>> = tables
        .alley_runs
        .iter()
        .map(|table| {
            let speed = table.run.speed.as_ref().map(|speed| &speed.value).or(trial)?;
            Some(speed_law::SpeedAlleys { speed: speed.clone(), run: table.alleys.clone()? })
        })
        .collect();
    let runs = runs?;
    let first = runs.first()?.speed.base();
    let several = runs.iter().any(|run| (run.speed.base() / first - 1.0).abs() > SAME_SPEED);
    let setback = || {
        let controller = tables.planter.controller.setback.as_ref()?;
        Some(MovingSetting {
            setting: &SETBACK,
            now: tables.settings.setback.clone()?,
            raising_moves: controller.raising?,
            step: controller.step.clone(),
        })
    };
    let alley = tables.trial.alley.as_ref()?.value.clone();
    several.then(|| speed_law::Inputs {
        runs,
        alley,
        setback: setback(),
        drop_height: tables.planter.drop_height.as_ref().map(|height| height.value.clone()),
        confidence: Confidence::NINETY_FIVE,
        units,
    })
}

fn same_speed(run: &Run, tables: &Tables) -> bool {
    let (Some(own), Some(trial)) = (&run.speed, &tables.trial.speed) else { return true };
    (own.value.base() / trial.value.base() - 1.0).abs() <= SAME_SPEED
}

/// Whether a run was made at the speed of the trial; a remark where it was not.
fn at_trial_speed(run: &Run, tables: &Tables, reader: &mut Reader<'_>) -> bool {
    let same = same_speed(run, tables);
    if let (false, Some(own), Some(trial)) = (same, &run.speed, &tables.trial.speed) {
        let message = format!(
            "this run was made at {}, the sheet is for {}: it is not used",
            own.value, trial.value
        );
        let advice = "a calibration holds for one speed; measure again at the trial's speed";
        reader.say(&codes::UNUSED_DATA, own.span.clone(), message, advice);
    }
    same
}

/// A run of measurements that needs something elsewhere in the sheet.
struct Need<'a> {
    run: &'static str,
    span: &'a Range<usize>,
}

impl Need<'_> {
    /// Something that is missing; `path` is its place in the sheet.
    fn missing(&self, reader: &mut Reader<'_>, path: &str, what: &str, example: &str) {
        if reader.must_say(path) {
            let message = format!("{} needs {what}", self.run);
            let advice = match path.rsplit_once('.') {
                Some((table, _)) => format!("add `{example}` under [{table}]"),
                None => format!("add a table {example}"),
            };
            reader.say(&codes::MISSING_KEY, self.span.clone(), message, advice);
        }
    }

    /// Row spacing, and either way to say how far apart seeds stand.
    fn seeds(&self, reader: &mut Reader<'_>) {
        let paths = ["planter.row-spacing", "trial.population", "trial.seed-spacing"];
        if paths.iter().all(|path| reader.must_say(path)) {
            let message = format!(
                "{} needs `row-spacing` in [planter], and `population` or `seed-spacing` in [trial]",
                self.run
            );
            let advice = "add `row-spacing = \"30 in\"` under [planter] and \
                          `seed-spacing = \"1.5 in\"` under [trial]";
            reader.say(&codes::MISSING_KEY, self.span.clone(), message, advice);
        }
    }

    fn scale(&self, reader: &mut Reader<'_>, tables: &Tables) {
        if reader.must_say("planter.controller.trip-scale") {
            let message = "the sheet does not say which way round the trip scale is";
            let advice = under(
                &tables.planter.controller.span,
                "planter.controller",
                "trip-scale = { counts = \"per length\" }` or `trip-scale = { length = \"per count\" }",
            );
            let advice = format!("{advice}; the machine's manual says which");
            let place = or_else(&tables.planter.controller.span, self.span);
            reader.say(&codes::MISSING_SIGN, place, message, advice).allowed =
                Some("counts = \"per length\" or length = \"per count\"".into());
        }
    }

    fn setting(&self, reader: &mut Reader<'_>, tables: &Tables, setting: &Setting, example: &str) {
        if reader.must_say(&format!("settings.{}", setting.key)) {
            let message = format!("{} needs `{}` in [settings]", self.run, setting.key);
            let line = format!("{} = {example}", setting.key);
            let advice = under(&tables.settings.span, "settings", &line);
            let advice = format!("{advice}, as the controller shows it now");
            let place = or_else(&tables.settings.span, self.span);
            reader.say(&codes::MISSING_KEY, place, message, advice);
        }
    }

    fn of_trial(
        &self,
        reader: &mut Reader<'_>,
        tables: &Tables,
        value: Option<&Placed<Length>>,
        key: &str,
        example: &str,
    ) -> Option<Length> {
        if value.is_none() && reader.must_say(&format!("trial.{key}")) {
            let message = format!("{} needs `{key}` in [trial]", self.run);
            let advice = under(&tables.trial.span, "trial", &format!("{key} = {example}"));
            let place = or_else(&tables.trial.span, self.span);
            reader.say(&codes::MISSING_KEY, place, message, advice);
        }
        value.map(|placed| placed.value.clone())
    }

    /// A setting that moves alleys, with the direction that must never be guessed.
    fn moving(
        &self,
        reader: &mut Reader<'_>,
        tables: &Tables,
        setting: &'static Setting,
        controller: Option<&Moving>,
        now: Option<&Length>,
    ) -> Option<MovingSetting> {
        let path = format!("planter.controller.{}.raising-moves-alley", setting.key);
        if controller.is_none_or(|moving| moving.raising.is_none()) && reader.must_say(&path) {
            let message = format!(
                "the sheet does not say which way raising the {} moves the alley",
                setting.name
            );
            let (place, advice) = match controller {
                Some(moving) => (
                    moving.span.clone(),
                    format!(
                        "add `raising-moves-alley = \"back\"` or \"ahead\" to `{}`",
                        setting.key
                    ),
                ),
                None => {
                    let line = format!("{} = {{ raising-moves-alley = \"back\" }}", setting.key);
                    let span = &tables.planter.controller.span;
                    let advice = under(span, "planter.controller", &line);
                    (or_else(span, self.span), format!("{advice}, or with \"ahead\""))
                }
            };
            let advice = format!("{advice}; the machine's manual or a trial tells which");
            reader.say(&codes::MISSING_SIGN, place, message, advice).allowed =
                Some("\"back\" or \"ahead\"".into());
        }
        if now.is_none() {
            self.setting(reader, tables, setting, "\"15 in\"");
        }
        let controller = controller?;
        Some(MovingSetting {
            setting,
            now: now?.clone(),
            raising_moves: controller.raising?,
            step: controller.step.clone(),
        })
    }
}

/// Where to add a line: under a table that is there, or under one to be added.
fn under(table: &Range<usize>, name: &str, line: &str) -> String {
    if table.is_empty() {
        format!("add a line [{name}], and below it `{line}`")
    } else {
        format!("add `{line}` under [{name}]")
    }
}

fn or_else(place: &Range<usize>, other: &Range<usize>) -> Range<usize> {
    if place.is_empty() { other.clone() } else { place.clone() }
}
