//! What a sheet says of planter and trial, as it was typed: what paper needs besides results.

use super::part::Part;

/// What a sheet says, as typed. What it does not say is missing or empty.
#[derive(Clone, Debug, Default)]
pub struct Facts {
    /// Rows of the planter.
    pub rows: Option<String>,
    /// Distance between rows.
    pub row_spacing: Option<String>,
    /// Ranges with a trip spacing of their own, each with that, where trips are counted.
    pub other_spacing: Option<String>,
    /// Cells of the seed plate.
    pub cells: Option<String>,
    /// Teeth of the fitted sprockets: driving and driven of every chain, from wheel to plate.
    pub sprockets: Vec<(u32, u32)>,
    /// Length of a plot.
    pub plot: Option<String>,
    /// The alley wanted.
    pub alley: Option<String>,
    /// Ground speed of the trial.
    pub speed: Option<String>,
    /// What is wanted of the seed: its name, and the population or the spacing.
    pub seeds: Option<(&'static str, String)>,
    /// The planting depth wanted.
    pub depth: Option<String>,
    /// Rate of the boost.
    pub boost: Option<String>,
    /// Ranges of the trial.
    pub ranges: Option<String>,
    /// Passes of the trial.
    pub passes: Option<String>,
    /// What each tolerance is about, and the tolerance.
    pub tolerances: Vec<(&'static str, String)>,
    /// What the planter holds.
    pub settings: Vec<Holding>,
    /// Unit of lengths written without one.
    pub bare: Option<&'static str>,
    /// Unit of the crew's tape, whatever the sheet says of bare lengths.
    pub tape: &'static str,
    /// What the sheet has.
    pub has: Has,
    /// What the sheet changes in the checklist.
    pub checklist: OwnChecklist,
    /// What the report is filed under.
    pub study: Study,
    /// The crew's own labels of settings, by the keys of those.
    pub called: Vec<(&'static str, String)>,
}

/// A setting that the planter holds.
#[derive(Clone, Debug)]
pub struct Holding {
    /// Its key in the sheet.
    pub key: String,
    /// Its name in words.
    pub name: String,
    /// What it is, as typed.
    pub held: String,
}

/// What a report is filed under, and what was measured with.
#[derive(Clone, Debug, Default)]
pub struct Study {
    /// Number of the study.
    pub number: Option<String>,
    /// Which field.
    pub field: Option<String>,
    /// What the planter is called.
    pub planter: Option<String>,
    /// Its serial number.
    pub serial: Option<String>,
    /// Tapes that were measured with.
    pub tapes: Vec<String>,
    /// Watches that were timed with.
    pub watches: Vec<String>,
}

/// What a sheet has, measured or not.
#[derive(Clone, Copy, Debug, Default)]
#[allow(clippy::struct_excessive_bools)] // one for each table that may be there
pub struct Has {
    /// Passes that all go out.
    pub one_way: bool,
    /// Anything about the controller.
    pub controller: bool,
    /// A trip scale, held or explained, or trip runs.
    pub trip_scale: bool,
    /// Trip runs between marks.
    pub readouts: bool,
    /// Trip runs with tape.
    pub taped: bool,
    /// A setback, held or explained, or alley runs.
    pub setback: bool,
    /// A pass offset, held or explained, or pass runs.
    pub pass_offset: bool,
    /// A changeover.
    pub changeover: bool,
    /// A sweep.
    pub sweep: bool,
    /// A seed plate.
    pub plate: bool,
    /// A drive through chains, or at a fixed ratio.
    pub drive: bool,
    /// Sprockets that could be changed.
    pub choices: bool,
    /// Alley runs at two or more speeds.
    pub speed_law: bool,
    /// A planting depth wanted, or depth runs.
    pub depth: bool,
    /// Spacing runs.
    pub evenness: bool,
    /// A stand wanted, or stand counts.
    pub stand: bool,
    /// Anything about planter or trial at all.
    pub anything: bool,
}

impl Facts {
    /// The operating point in one line: speed, seed, alley, boost.
    ///
    /// ```
    /// use alleytrue::paper::Facts;
    /// let facts = Facts { speed: Some("2.8 mph".into()), alley: Some("30 in".into()), ..Facts::default() };
    /// assert_eq!(facts.operating_point(), "2.8 mph, alley 30 in");
    /// ```
    #[must_use]
    pub fn operating_point(&self) -> String {
        let with =
            |name: &str, text: &Option<String>| text.as_ref().map(|text| format!("{name}{text}"));
        let seeds = self.seeds.as_ref().map(|(name, text)| match *name {
            "population" => text.clone(),
            name => format!("{name} {text}"),
        });
        let parts = [
            with("", &self.speed),
            seeds,
            with("alley ", &self.alley),
            with("boost ", &self.boost),
        ];
        let parts: Vec<String> = parts.into_iter().flatten().collect();
        if parts.is_empty() { "not in the sheet".into() } else { parts.join(", ") }
    }

    /// What the planter holds of a setting.
    #[must_use]
    pub fn held(&self, key: &str) -> Option<&str> {
        let held = self.settings.iter().find(|holding| holding.key == key);
        held.map(|holding| holding.held.as_str())
    }

    /// The crew's own label of a setting.
    #[must_use]
    pub fn called(&self, key: &str) -> Option<&str> {
        self.called.iter().find(|(own, _)| *own == key).map(|(_, label)| label.as_str())
    }

    /// The fitted sprockets in words: "24/18, 20/19".
    #[must_use]
    pub fn fitted(&self) -> Option<String> {
        let chains: Vec<String> =
            self.sprockets.iter().map(|(driving, driven)| format!("{driving}/{driven}")).collect();
        (!chains.is_empty()).then(|| chains.join(", "))
    }
}

/// What a sheet changes in the checklist.
#[derive(Clone, Debug, Default)]
pub struct OwnChecklist {
    /// Items of the crew's own: part of the list, and what to do.
    pub add: Vec<(Part, String)>,
    /// Standard items that are left out, by their names.
    pub leave_out: Vec<&'static str>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_population_needs_no_name_and_a_seed_spacing_does() {
        let of = |name, text: &str| {
            Facts { seeds: Some((name, text.into())), ..Facts::default() }.operating_point()
        };
        assert_eq!(of("population", "139000 /ac"), "139000 /ac");
        assert_eq!(of("seed spacing", "1.5 in"), "seed spacing 1.5 in");
    }

    #[test]
    fn an_operating_point_is_speed_seed_alley_and_boost_in_this_order() {
        let text = |text: &str| Some(text.to_owned());
        let facts = Facts {
            boost: text("60 cells/s"),
            alley: text("30 in"),
            speed: text("2.8 mph"),
            seeds: Some(("population", "139000 /ac".into())),
            ..Facts::default()
        };
        let words = "2.8 mph, 139000 /ac, alley 30 in, boost 60 cells/s";
        assert_eq!(facts.operating_point(), words);
        assert_eq!(Facts::default().operating_point(), "not in the sheet");
    }

    #[test]
    fn sprockets_are_told_chain_by_chain_where_there_are_any() {
        let sprockets = vec![(24, 18), (20, 19)];
        let facts = Facts { sprockets, ..Facts::default() };
        assert_eq!(facts.fitted().as_deref(), Some("24/18, 20/19"));
        assert_eq!(Facts::default().fitted(), None);
    }
}
