//! What a sheet knows of its planter, out of the results of its calculations, and what it does not
//! know: nothing that was never measured is taken for perfect.

use crate::calculations::registry::Job;
use crate::calculations::{alley, depth, evenness, passes, rows, trip};
use crate::outcome::{Heading, Judgement, Outcome, Report};
use crate::quantity::Length;
use crate::working::{Units, Value};

use super::inputs::Inputs;
use super::known::{Known, Part, Scatter, Shared, Stand};
use super::of_runs::{of_runs, within};
use super::trial::{Kind, Limits, Trial, Trips};

/// Readings that are all alike are believed from so many on; see `ENOUGH_TO_JUDGE` of the judgement.
const ENOUGH_TO_JUDGE: usize = 5;

/// What can be measured for a rehearsal, in working order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Source {
    /// Depths.
    Depth,
    /// Gaps between seeds.
    Evenness,
    /// Edges of rows against one another.
    Rows,
    /// Trip runs.
    Trip,
    /// Widths of alleys.
    Width,
    /// Alleys against their marks.
    Centre,
    /// Alleys of the other heading, or leads: what parts the planter from the marks.
    Marks,
    /// Something that is typed and not measured.
    Sheet,
}

impl Source {
    /// Stable key, for programs; that of `plan` where it plans it too.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Source::Depth => "depth",
            Source::Evenness => "evenness",
            Source::Rows => "rows",
            Source::Trip => "trip",
            Source::Width => "width",
            Source::Centre => "centre",
            Source::Marks => "marks",
            Source::Sheet => "sheet",
        }
    }
}

/// Something that the sheet does not know.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Open {
    /// What would tell it.
    pub source: Source,
    /// What is not known.
    pub what: String,
    /// What that does to the answer.
    pub effect: String,
    /// Whether it leaves the answer open.
    pub decides: bool,
}

/// What is known and what is not.
#[derive(Clone, Debug)]
pub struct Knowledge {
    /// What the plots are drawn from.
    pub known: Known,
    /// What is left open.
    pub open: Vec<Open>,
}

impl Knowledge {
    /// What a sheet knows with its settings as they are held.
    #[must_use]
    pub fn of(inputs: &Inputs, job: &Job, report: &Report, trial: &Trial) -> Knowledge {
        let sight = Sight { inputs, job, report, trial, units: &job.common.units };
        let mut open = vec![];
        let known = Known {
            trip: sight.trip(&mut open),
            width: sight.width(&mut open),
            spacing: sight.spacing(&mut open),
            phases: sight.phases(&mut open),
            depths: sight.depths(&mut open),
            stand: sight.stand(&mut open),
            ..Known::default()
        };
        let Shift { centre, marks } = sight.shift(&mut open);
        sight.days(&[centre, known.trip, known.width], &mut open);
        sight.remarks(&mut open);
        open.sort_by_key(|one| (!one.decides, one.source));
        Knowledge { known: Known { centre, marks, ..known }, open }
    }
}

struct Sight<'a> {
    inputs: &'a Inputs,
    job: &'a Job,
    report: &'a Report,
    trial: &'a Trial,
    units: &'a Units,
}

/// What alleys and leads say.
struct Shift {
    centre: Part,
    marks: Option<Shared>,
}

fn whole(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

/// What a judgement says of an error; nothing where its readings tell no scatter.
pub(super) fn shared_of(judgement: &Judgement) -> Option<Shared> {
    let interval = judgement.interval.as_ref()?;
    let alike = judgement.scatter.as_ref().is_none_or(|scatter| scatter.number() <= 0.0);
    if alike && judgement.count < ENOUGH_TO_JUDGE {
        return None;
    }
    Some(Shared {
        estimate: judgement.error.number(),
        standard_error: interval.standard_error.number(),
        degrees: judgement.degrees.unwrap_or(1),
        between: judgement.between.as_ref().map_or(0.0, Value::number),
        readings: whole(judgement.count),
    })
}

impl Sight<'_> {
    fn outcome(&self, key: &str) -> Option<&Outcome> {
        self.report.outcomes.iter().find(|outcome| outcome.calculation.key == key)
    }

    fn judgement(&self, key: &str) -> Option<&Judgement> {
        self.outcome(key)?.judgement.as_ref()
    }

    fn limits(&self) -> &Limits {
        &self.trial.limits
    }

    fn counts_any(&self, kinds: &[Kind]) -> bool {
        kinds.iter().any(|kind| self.limits().counts(*kind))
    }

    fn trip(&self, open: &mut Vec<Open>) -> Part {
        if self.inputs.trips.is_none() {
            open.push(Open {
                source: Source::Sheet,
                what: "what gives the trips: `trips` in [trial]".into(),
                effect: "taken as counted from the first mark of a pass, where errors add up"
                    .into(),
                decides: false,
            });
        }
        if self.trial.trips == Trips::AtMarks {
            open.push(Open {
                source: Source::Sheet,
                what: "how well the marks are spaced".into(),
                effect: "taken as staked; a mark that is off moves its alley in every pass".into(),
                decides: false,
            });
            return Part::RIGHT;
        }
        let judgement = self.judgement(trip::CALCULATION.key);
        let part = judgement.map_or(Part::default(), |judgement| {
            let sd = judgement.scatter.as_ref().map(Value::number);
            let degrees = judgement.degrees_of_scatter;
            let shared = shared_of(judgement);
            Part {
                scatter: sd.map(|sd| Scatter { sd, degrees }).filter(|_| shared.is_some()),
                of_one: judgement.between.is_none(),
                shared,
            }
        });
        let bears = self.counts_any(&[Kind::TooLong, Kind::Centre, Kind::Lead]);
        if part.shared.is_none() && bears {
            let one = judgement.map(|judgement| judgement.count);
            open.push(never(Source::Trip, "how long a counted trip spacing comes out", one));
        }
        part
    }

    /// Middles of alleys by run, brought to the present, with the heading of each run.
    fn middles(&self) -> Vec<(Option<Heading>, Vec<f64>)> {
        let Some(inputs) = &self.job.alley else { return vec![] };
        let wanted = inputs.alley.value_in(self.units.length);
        let middle = |[a, b]: &[Option<Value>; 2]| match (a, b) {
            (Some(a), Some(b)) => Some((b.number() - a.number()) / 2.0),
            (Some(a), None) => Some(wanted / 2.0 - a.number()),
            (None, Some(b)) => Some(b.number() - wanted / 2.0),
            (None, None) => None,
        };
        let run = |run: &alley::AlleyRun| {
            (run.heading, run.sides(self.units).iter().filter_map(middle).collect())
        };
        inputs.runs.iter().map(run).collect()
    }

    fn leads(&self) -> Part {
        let runs = self.job.passes.as_ref().map_or(&[][..], |inputs| &inputs.leads);
        let numbers = |run: &passes::LeadRun| {
            run.at_present(self.units).iter().map(|lead| lead.number() / 2.0).collect()
        };
        let runs: Vec<Vec<f64>> = runs.iter().map(numbers).collect();
        let judged = self.judgement(passes::CALCULATION.key).and_then(shared_of);
        match judged {
            // The judgement knows of changes, and of the scatter that seeds make at the least.
            Some(shared) => {
                Part { shared: Some(shared), scatter: within(&each(&runs)), of_one: false }
            }
            None => believed(of_runs(&runs), &runs.concat()),
        }
    }

    /// The shift along the travel, which both headings share, and the line of the marks.
    ///
    /// Alleys lie S + m ahead of their marks going out and S - m coming home; a lead is 2 S.
    fn shift(&self, open: &mut Vec<Open>) -> Shift {
        let middles = self.middles();
        let leads = self.leads();
        let judged = self.judgement(alley::CALCULATION.key).and_then(shared_of);
        let runs: Vec<Vec<f64>> = middles.iter().map(|(_, run)| run.clone()).collect();
        // One heading or the other has readings that scatter alike around means of their own.
        let mut headings: Vec<Option<Heading>> =
            middles.iter().map(|(heading, _)| *heading).collect();
        headings.sort_unstable();
        headings.dedup();
        let by_heading: Vec<Vec<f64>> = headings
            .iter()
            .map(|heading| {
                let own = middles.iter().filter(|(other, _)| other == heading);
                own.flat_map(|(_, run)| run.clone()).collect()
            })
            .collect();
        let one = judged.is_none_or(|shared| shared.between <= 0.0);
        let scatter = within(&each(if one { &by_heading } else { &runs }));
        // A lead is two middles, its half scatters by 1 / sqrt(2) of one.
        let of_leads = leads.scatter.map(|half| Scatter { sd: half.sd * 2.0_f64.sqrt(), ..half });
        let scatter = scatter.or(of_leads);
        let of_marks = self
            .outcome(alley::CALCULATION.key)
            .and_then(|outcome| value(outcome, "error of the mark line, seen going out"));
        let both = headings.len() == 2 && headings.iter().all(Option::is_some);
        let (shared, marks) = match (judged, leads.shared) {
            (Some(alleys), leads) if both => {
                let marks = of_marks.map(|estimate| Shared { estimate, between: 0.0, ..alleys });
                (Some(leads.map_or(alleys, |leads| alleys.with(&leads))), marks)
            }
            // The judgement is that of the leads, and the alleys say how far the marks are off.
            (Some(_), Some(leads)) if of_marks.is_some() => {
                let alleys = believed(of_runs(&by_heading), &by_heading.concat()).shared;
                let marks = alleys.zip(of_marks).map(|(alleys, estimate)| Shared {
                    estimate,
                    standard_error: alleys.standard_error.hypot(leads.standard_error),
                    degrees: alleys.degrees.min(leads.degrees),
                    ..alleys
                });
                (Some(leads), marks)
            }
            (_, Some(leads)) => (Some(leads), None),
            (alleys, None) => (alleys, None),
        };
        self.say_open(&middles, judged.is_some(), shared.as_ref(), marks.as_ref(), open);
        Shift { centre: Part { shared, scatter, of_one: false }, marks }
    }

    fn say_open(
        &self,
        middles: &[(Option<Heading>, Vec<f64>)],
        judged: bool,
        shared: Option<&Shared>,
        marks: Option<&Shared>,
        open: &mut Vec<Open>,
    ) {
        let bears = self.counts_any(&[Kind::Centre, Kind::Lead]);
        let count = middles.iter().map(|(_, run)| run.len()).sum::<usize>();
        if shared.is_none() && bears {
            let count = (count > 0).then_some(count);
            open.push(never(Source::Centre, "where alleys lie against their marks", count));
        } else if marks.is_none() && bears && !self.job.common.one_way {
            let what = if !judged {
                "where alleys lie against their marks: only leads were measured"
            } else if middles.iter().any(|(heading, _)| heading.is_none()) {
                "which way the alleys were driven: their runs have no `heading`"
            } else {
                "how alleys of the other heading lie, and so the leads: one heading was measured"
            };
            open.push(Open {
                source: if judged { Source::Marks } else { Source::Centre },
                what: what.into(),
                effect: "the marks are drawn on their line: more may be out".into(),
                decides: true,
            });
        }
    }

    fn width(&self, open: &mut Vec<Open>) -> Part {
        let wanted =
            self.inputs.alley.as_ref().map_or(0.0, |alley| alley.value_in(self.units.length));
        let of_alleys = |run: &alley::AlleyRun| -> Vec<f64> {
            let widths = run.alleys.iter().filter_map(|alley| alley::width_of(alley, self.units));
            widths.map(|width| width.number() - wanted).collect()
        };
        let runs: Vec<Vec<f64>> =
            self.job.alley.iter().flat_map(|inputs| &inputs.runs).map(of_alleys).collect();
        let part = believed(of_runs(&runs), &runs.concat());
        if part.shared.is_none() && self.counts_any(&[Kind::Width, Kind::TooLong]) {
            let count = runs.concat().len();
            let count = (count > 0).then_some(count);
            open.push(never(Source::Width, "how wide alleys come out (both sides taped)", count));
        }
        part
    }

    fn spacing(&self, open: &mut Vec<Open>) -> f64 {
        if self.inputs.seeds.is_none() {
            open.push(Open {
                source: Source::Sheet,
                what: "how far seeds stand apart: `population` or `seed-spacing`".into(),
                effect: "the phase of the plate is in the scatter of the readings only".into(),
                decides: false,
            });
        }
        self.inputs.seeds.as_ref().map_or(0.0, |seeds| seeds.spacing(self.units).number())
    }

    /// The phases of a plot's rows, where all of them were measured.
    fn phases(&self, open: &mut Vec<Open>) -> Vec<f64> {
        let rows = self.inputs.rows.unwrap_or(1);
        let outcome = self.outcome(rows::CALCULATION.key);
        let phase = |row: u32| {
            let reference = self.job.rows.as_ref().is_some_and(|inputs| inputs.reference == row);
            let measured = || value(outcome?, &format!("row {row} ahead, in spacings"));
            if reference { Some(0.0) } else { measured() }
        };
        let abreast = self.trial.abreast > 1;
        let phases: Option<Vec<f64>> = (1..=rows).map(phase).collect();
        match phases.filter(|_| !abreast) {
            Some(phases) => phases,
            None => {
                if rows > 1 && self.inputs.seeds.is_some() {
                    open.push(Open {
                        source: Source::Rows,
                        what: "how the plates of the rows turn against one another".into(),
                        effect: "drawn as one, which scatters edges most".into(),
                        decides: false,
                    });
                }
                vec![0.0]
            }
        }
    }

    fn depths(&self, open: &mut Vec<Open>) -> Vec<Part> {
        if self.limits().depth.is_none() {
            return vec![];
        }
        let runs = self.job.depth.as_ref();
        let Some((inputs, wanted)) =
            runs.map(|inputs| (inputs, inputs.wanted.value_in(self.units.length)))
        else {
            open.push(never(Source::Depth, "how deep seed lies", None));
            return vec![];
        };
        let of_row = |(row, depths): (Option<u32>, Vec<Value>)| {
            let off: Vec<f64> = depths.iter().map(|depth| depth.number() - wanted).collect();
            (row, believed(Part::of(&off), &off))
        };
        let rows: Vec<(Option<u32>, Part)> =
            depth::at_present(inputs, &self.job.common).into_iter().map(of_row).collect();
        let all = self.inputs.rows.unwrap_or(1);
        let alike = rows.iter().all(|(row, _)| row.is_none());
        let unknown = rows.iter().filter(|(_, part)| part.shared.is_none()).count();
        if unknown > 0 || (!alike && rows.len() < all as usize) {
            open.push(never(Source::Depth, "how deep seed lies in every row", Some(rows.len())));
        }
        let parts: Vec<Part> = rows.into_iter().map(|(_, part)| part).collect();
        match (alike, parts.as_slice()) {
            (true, [one]) => vec![*one; all as usize],
            _ => parts,
        }
    }

    fn stand(&self, open: &mut Vec<Open>) -> Option<Stand> {
        self.limits().stand?;
        let gaps = self.gaps();
        if gaps.is_none() {
            open.push(never(
                Source::Evenness,
                "how many places stay empty or hold two seeds",
                None,
            ));
        }
        let (seeds, rows) = (self.inputs.seeds.as_ref(), self.inputs.rows);
        let spacing = seeds.map(|seeds| seeds.spacing(self.units).number());
        let (Some(spacing), Some(rows)) = (spacing, rows) else {
            open.push(Open {
                source: Source::Sheet,
                what: "seeds wanted and rows of a plot".into(),
                effect: "stands are not drawn".into(),
                decides: true,
            });
            return None;
        };
        let planned = f64::from(rows) * (self.trial.plot / spacing + 1.0);
        let (come_up, plants) = self.plants(spacing, open)?;
        let positions = gaps?;
        Some(Stand { spacing, rows, positions, come_up, wanted: planned * plants })
    }

    /// The share of seeds that come up, and plants wanted of a seed.
    fn plants(&self, spacing: f64, open: &mut Vec<Open>) -> Option<(f64, f64)> {
        let (Some(stand), Some(seeds)) = (&self.inputs.stand, &self.inputs.seeds) else {
            return Some((1.0, 1.0));
        };
        let (Some(germination), Some(emergence)) =
            (&self.inputs.germination, &self.inputs.emergence)
        else {
            open.push(Open {
                source: Source::Sheet,
                what: "`germination` and `emergence` in [packets]".into(),
                effect: "stands are not drawn".into(),
                decides: true,
            });
            return None;
        };
        open.push(Open {
            source: Source::Sheet,
            what: "what will come up".into(),
            effect: "germination and emergence are taken as typed, alike in every plot".into(),
            decides: false,
        });
        let row_spacing = self.units.length("row spacing", &seeds.row_spacing);
        let apart =
            crate::calculations::spacing::spacing_for(&row_spacing, stand, self.units).number();
        Some((germination.base() * emergence.base(), spacing / apart))
    }

    /// Target positions looked at, empty ones, and those with two seeds (Kachman and Smith 1995).
    fn gaps(&self) -> Option<[u32; 3]> {
        let inputs = self.job.evenness.as_ref()?;
        let gaps: Vec<Value> =
            inputs.rows(&self.job.common).into_iter().flat_map(|(_, gaps)| gaps).collect();
        let xref = inputs.seeds.spacing(self.units);
        let kinds: Vec<evenness::Kind> =
            gaps.iter().map(|gap| evenness::kind(gap.number() / xref.number())).collect();
        let counted =
            |wanted: &dyn Fn(&evenness::Kind) -> u32| kinds.iter().map(wanted).sum::<u32>();
        let double = counted(&|kind| u32::from(*kind == evenness::Kind::Multiple));
        let empty = counted(&|kind| match kind {
            evenness::Kind::Miss(empty) => u32::from(*empty),
            _ => 0,
        });
        let single = whole(kinds.len()).checked_sub(2 * double)?;
        Some([double + single + empty, empty, double])
    }

    /// How days differ can't be told by one.
    fn days(&self, parts: &[Part], open: &mut Vec<Open>) {
        let measured = parts.iter().filter_map(|part| part.shared);
        let mut measured = measured.filter(|shared| shared.readings > 0).peekable();
        if measured.peek().is_some() && measured.all(|shared| shared.between <= 0.0) {
            open.push(Open {
                source: Source::Sheet,
                what: "how another day differs from the days of the runs".into(),
                effect:
                    "drawn as none, as the runs tell of none; a last check on the day is worth it"
                        .into(),
                decides: false,
            });
        }
    }

    /// What the readings say themselves that no draw from their mean and scatter shows.
    fn remarks(&self, open: &mut Vec<Open>) {
        let drifts = [(trip::CALCULATION, Source::Trip), (alley::CALCULATION, Source::Centre)];
        for (calculation, source) in drifts {
            let Some(judgement) = self.judgement(calculation.key) else { continue };
            if let crate::outcome::Decision::Wait(words) = &judgement.decision {
                open.push(Open {
                    source,
                    what: words.clone(),
                    effect: "drawn as scatter, which it is not".into(),
                    decides: true,
                });
            }
        }
    }
}

fn each(runs: &[Vec<f64>]) -> Vec<&Vec<f64>> {
    runs.iter().collect()
}

/// Readings that are few and all alike tell nothing of their scatter.
fn believed(part: Part, readings: &[f64]) -> Part {
    let alike = part.scatter.is_none_or(|scatter| scatter.sd <= 0.0);
    if alike && readings.len() < ENOUGH_TO_JUDGE { Part::default() } else { part }
}

/// What was never measured, or by so few readings that they tell nothing of their scatter.
fn never(source: Source, what: &str, readings: Option<usize>) -> Open {
    let what = match readings {
        None => format!("{what}: never measured"),
        Some(1) => format!("{what}: one reading tells nothing of its scatter"),
        Some(_) => format!("{what}: the readings tell nothing of their scatter"),
    };
    let effect = "not drawn: more plots are out than are counted here".into();
    Open { source, what, effect, decides: true }
}

/// A named figure of a result.
pub(super) fn value(outcome: &Outcome, name: &str) -> Option<f64> {
    let found = outcome.values.iter().find(|value| value.name() == Some(name));
    found.map(Value::number)
}

/// A length in the unit of the crew's tape.
pub(super) fn tape(length: Option<&Length>, units: &Units) -> Option<f64> {
    length.map(|length| length.value_in(units.length))
}
