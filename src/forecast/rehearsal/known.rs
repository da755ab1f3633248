//! What a sheet knows of a planter, as plain numbers: every error that all plots share with how sure it
//! is, and what scatters from plot to plot.

/// What is known of an error that all plots of a trial share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shared {
    /// What the readings say it is.
    pub estimate: f64,
    /// The standard error of that.
    pub standard_error: f64,
    /// Degrees of freedom of the standard error.
    pub degrees: u32,
    /// Standard deviation from day to day.
    pub between: f64,
    /// Readings behind it.
    pub readings: u32,
}

impl Shared {
    /// Known, and nothing left of it.
    pub const RIGHT: Shared =
        Shared { estimate: 0.0, standard_error: 0.0, degrees: 1, between: 0.0, readings: 0 };

    /// What two independent estimates of one error say together.
    ///
    /// Each counts by w = 1 / (standard error)²: estimate = sum of w e / sum of w, standard error =
    /// 1 / sqrt(sum of w), at (sum of w)² / sum of (w² / degrees) degrees of freedom (Satterthwaite
    /// 1946, Biometrics Bulletin 2:110-114). One without any scatter decides alone.
    ///
    /// ```
    /// use alleytrue::forecast::rehearsal::Shared;
    /// let one = Shared { estimate: 1.0, standard_error: 0.1, degrees: 9, between: 0.0, readings: 10 };
    /// let other = Shared { estimate: 2.0, ..one };
    /// let both = one.with(&other);
    /// assert_eq!((both.estimate, both.degrees, both.readings), (1.5, 18, 20));
    /// assert!((both.standard_error - 0.1 / 2.0_f64.sqrt()).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn with(&self, other: &Shared) -> Shared {
        if self.standard_error <= 0.0 {
            return *self;
        }
        if other.standard_error <= 0.0 {
            return *other;
        }
        let weights = [self, other].map(|one| one.standard_error.powi(-2));
        let sum = weights[0] + weights[1];
        let parts = weights[0].powi(2) / f64::from(self.degrees)
            + weights[1].powi(2) / f64::from(other.degrees);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a few thousand at most
        let degrees = (sum * sum / parts * (1.0 + 1e-12)).floor().max(1.0) as u32;
        Shared {
            estimate: (weights[0] * self.estimate + weights[1] * other.estimate) / sum,
            standard_error: sum.sqrt().recip(),
            degrees,
            between: self.between.max(other.between),
            readings: self.readings + other.readings,
        }
    }
}

/// What is known of the scatter of one reading from plot to plot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scatter {
    /// Its standard deviation.
    pub sd: f64,
    /// Degrees of freedom of that.
    pub degrees: u32,
}

/// One kind of error: what all plots share of it, and what scatters; `None` where nobody measured it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Part {
    /// What all plots share.
    pub shared: Option<Shared>,
    /// What differs from plot to plot.
    pub scatter: Option<Scatter>,
    /// Whether both are of the same readings, so that they are drawn from one standard deviation.
    pub of_one: bool,
}

impl Part {
    /// Nothing is off.
    pub const RIGHT: Part = Part {
        shared: Some(Shared::RIGHT),
        scatter: Some(Scatter { sd: 0.0, degrees: 1 }),
        of_one: false,
    };

    /// A part by one row of readings: their mean, standard deviation and number; `None` of both for
    /// fewer than two.
    ///
    /// ```
    /// use alleytrue::forecast::rehearsal::Part;
    /// let part = Part::of(&[1.0, 2.0, 3.0]);
    /// let (shared, scatter) = (part.shared.ok_or("none")?, part.scatter.ok_or("none")?);
    /// assert_eq!((shared.estimate, shared.degrees, scatter.sd), (2.0, 2, 1.0));
    /// assert!(Part::of(&[1.0]).shared.is_none());
    /// # Ok::<(), &str>(())
    /// ```
    #[must_use]
    pub fn of(readings: &[f64]) -> Part {
        let Some(readings_less_one) = readings.len().checked_sub(1).filter(|less| *less > 0) else {
            return Part::default();
        };
        let (count, degrees) = (whole(readings.len()), whole(readings_less_one));
        let mean = readings.iter().sum::<f64>() / f64::from(count);
        let squares: f64 = readings.iter().map(|one| (one - mean).powi(2)).sum();
        let sd = (squares / f64::from(degrees)).sqrt();
        Part {
            shared: Some(Shared {
                estimate: mean,
                standard_error: sd / f64::from(count).sqrt(),
                degrees,
                between: 0.0,
                readings: count,
            }),
            scatter: Some(Scatter { sd, degrees }),
            of_one: true,
        }
    }
}

fn whole(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

/// Seeds and plants of a plot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stand {
    /// Seeds apart in a row, as the drive has it.
    pub spacing: f64,
    /// Rows of a plot.
    pub rows: u32,
    /// Target positions that were looked at, those that were empty, and those with two seeds.
    pub positions: [u32; 3],
    /// Share of the seeds that come up.
    pub come_up: f64,
    /// Plants (or seeds) that a plot should have.
    pub wanted: f64,
}

/// All that is known.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Known {
    /// The error of one trip spacing.
    pub trip: Part,
    /// How far alleys lie ahead along the travel, both headings alike; scatter of one alley's middle.
    pub centre: Part,
    /// How far the marks stand short of their line, seen going out.
    pub marks: Option<Shared>,
    /// How much too wide alleys are; scatter of one width.
    pub width: Part,
    /// Seeds apart in a row: what the phase of the plate scatters edges over.
    pub spacing: f64,
    /// The phase of each row's plate against the first row's, in spacings; one row where they are not
    /// known, as if all turned alike, which scatters most.
    pub phases: Vec<f64>,
    /// How much too deep the rows of a plot lie; scatter of one depth.
    pub depths: Vec<Part>,
    /// Seeds and plants.
    pub stand: Option<Stand>,
}
