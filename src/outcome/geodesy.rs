//! Where places of the field lie on the globe.
//!
//! Geodesics on the WGS 84 ellipsoid by the method of C. F. F. Karney 2013, Algorithms for
//! geodesics, J. Geodesy 87:43-55. A place of the field is reached from the given corner by one
//! straight line: its length and its angle from the travel out follow from the field
//! coordinates. Over a field of one kilometre that is true to far less than a millimetre.

use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};

/// Decimals of a degree that are kept: the last one is at most 1.1 mm on the ground.
pub const DECIMALS: usize = 8;

/// Places further from the corner than this, in metres, are not worked out: the sides of a field
/// laid out by lines from one corner would be millimetres off there.
pub const FURTHEST: f64 = 10_000.0;

/// A place on the WGS 84 ellipsoid, in degrees, rounded to [`DECIMALS`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// North of the equator.
    pub latitude: f64,
    /// East of Greenwich, -180 to 180.
    pub longitude: f64,
}

impl Point {
    fn rounded(latitude: f64, longitude: f64) -> Point {
        let unit = 10_f64.powi(i32::try_from(DECIMALS).unwrap_or(0));
        let round = |degrees: f64| (degrees * unit).round() / unit;
        Point { latitude: round(latitude), longitude: round(longitude) }
    }
}

/// The place `distance` metres from a latitude and longitude along the azimuth, all in degrees:
/// the direct geodesic problem.
///
/// ```
/// use alleytrue::outcome::geodesy::from;
/// // Flinders Peak to Buninyong, Geoscience Australia's test line for geodesics: 54 972.271 m at
/// // 306 deg 52' 05.37'' leads to S 37 deg 39' 10.1561'', E 143 deg 55' 35.3839''.
/// let (latitude, longitude) = (-(37.0 + 57.0 / 60.0 + 3.7203 / 3600.0), 144.424867889);
/// let azimuth = 306.0 + 52.0 / 60.0 + 5.37 / 3600.0;
/// let point = from(latitude, longitude, azimuth, 54_972.271);
/// assert!((point.latitude - -37.652_821_14).abs() < 3e-8);
/// assert!((point.longitude - 143.926_495_53).abs() < 3e-8);
/// ```
#[must_use]
pub fn from(latitude: f64, longitude: f64, azimuth: f64, distance: f64) -> Point {
    let (latitude, longitude, _) = Geodesic::wgs84().direct(latitude, longitude, azimuth, distance);
    Point::rounded(latitude, longitude)
}

/// The distance between two points in metres: the inverse geodesic problem.
#[must_use]
pub fn distance(from: Point, to: Point) -> f64 {
    Geodesic::wgs84().inverse(from.latitude, from.longitude, to.latitude, to.longitude)
}

/// How the field lies on the globe. Field coordinates are in metres, x across and to the right, y
/// along the travel out.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    /// Latitude of the given corner, degrees.
    pub latitude: f64,
    /// Longitude of the given corner, degrees.
    pub longitude: f64,
    /// Bearing of the travel out from true north, clockwise, degrees.
    pub bearing: f64,
    /// x of the given corner; its y is zero.
    pub corner_x: f64,
}

impl Frame {
    /// The place of a point of the field: the geodesic of length sqrt(dx² + y²) at the angle
    /// bearing + atan2(dx, y), dx being the way across from the given corner.
    ///
    /// ```
    /// use alleytrue::outcome::geodesy::{Frame, distance};
    /// let frame = Frame { latitude: 42.0, longitude: -93.6, bearing: 12.5, corner_x: 0.0 };
    /// // 30 m across and 40 m along are 50 m in a straight line.
    /// assert!((distance(frame.at(0.0, 0.0), frame.at(30.0, 40.0)) - 50.0).abs() < 2e-3);
    /// ```
    #[must_use]
    pub fn at(&self, x: f64, y: f64) -> Point {
        let across = x - self.corner_x;
        let azimuth = self.bearing + across.atan2(y).to_degrees();
        from(self.latitude, self.longitude, azimuth, across.hypot(y))
    }
}
