//! What a run needs elsewhere in the sheet, and the message where it is missing.

use std::ops::Range;

use crate::outcome::MovingSetting;
use crate::outcome::setting::{Setting, TRIP_SCALE};
use crate::quantity::{Decimal, Length};
use crate::sheet::placed::Placed;
use crate::sheet::planter::{Moving, TripScale};
use crate::sheet::reader::Reader;
use crate::sheet::{Tables, codes};

/// What trips rest on, as far as the sheet has it.
pub(super) struct OfTrips<'t> {
    /// What the controller's number means.
    pub(super) controller: Option<&'t TripScale>,
    /// What it is now.
    pub(super) now: Option<Decimal>,
    pub(super) plot: Option<Length>,
    pub(super) alley: Option<Length>,
}

/// A run of measurements that needs something elsewhere in the sheet.
pub(super) struct Need<'a> {
    pub(super) run: &'static str,
    pub(super) span: &'a Range<usize>,
}

impl Need<'_> {
    /// Something that is missing; `path` is its place in the sheet.
    pub(super) fn missing(&self, reader: &mut Reader<'_>, path: &str, what: &str, example: &str) {
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
    pub(super) fn seeds(&self, reader: &mut Reader<'_>) {
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

    /// What trips rest on: the controller's scale, and plot and alley; each message where it is missing.
    pub(super) fn of_trips<'t>(&self, reader: &mut Reader<'_>, tables: &'t Tables) -> OfTrips<'t> {
        let controller = tables.planter.controller.trip_scale.as_ref();
        if controller.is_none() {
            self.scale(reader, tables);
        }
        let now = tables.settings.trip_scale;
        if now.is_none() {
            self.setting(reader, tables, &TRIP_SCALE, "402.5");
        }
        let trial = &tables.trial;
        OfTrips {
            controller,
            now,
            plot: self.of_trial(reader, tables, trial.plot.as_ref(), "plot", "\"17 ft 6 in\""),
            alley: self.of_trial(reader, tables, trial.alley.as_ref(), "alley", "\"30 in\""),
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

    pub(super) fn setting(
        &self,
        reader: &mut Reader<'_>,
        tables: &Tables,
        setting: &Setting,
        example: &str,
    ) {
        if reader.must_say(&format!("settings.{}", setting.key)) {
            let message = format!("{} needs `{}` in [settings]", self.run, setting.key);
            let line = format!("{} = {example}", setting.key);
            let advice = under(&tables.settings.span, "settings", &line);
            let advice = format!("{advice}, as the controller shows it now");
            let place = or_else(&tables.settings.span, self.span);
            reader.say(&codes::MISSING_KEY, place, message, advice);
        }
    }

    pub(super) fn of_trial(
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
    pub(super) fn moving(
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
            moves: controller.moves,
            acts_on: controller.acts_on,
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
