//! A field as GeoJSON (RFC 7946): WGS 84, longitude before latitude, one feature a line.

use std::io::{self, Write};

use serde_json::{Value as Json, json};
use thiserror::Error;

use super::json;
use crate::calculations::stakes::Layout;
use crate::outcome::Picture;
use crate::outcome::Report;
use crate::outcome::geodesy::Point;

/// Why a report can't be drawn on a map.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum MapError {
    /// It is no layout.
    #[error("this result has no map")]
    NoField,
    /// The sheet does not say where the field lies.
    #[error("the sheet does not say where on the globe the field lies")]
    NoPlace,
}

impl MapError {
    /// What to do.
    #[must_use]
    pub fn advice(self) -> &'static str {
        match self {
            MapError::NoField => "GeoJSON is written by `stakes`; take another format",
            MapError::NoPlace => {
                "add `bearing` and `corner = { latitude, longitude, side }` under [layout]"
            }
        }
    }
}

/// The layout of a report that can be drawn on a map.
///
/// # Errors
///
/// [`MapError`] where there is none.
pub fn layout(report: &Report) -> Result<&Layout, MapError> {
    let mut pictures = report.outcomes.iter().flat_map(|outcome| &outcome.pictures);
    let layout = pictures.find_map(|picture| match picture {
        Picture::FieldPlan(layout) => Some(layout),
        _ => None,
    });
    let layout = layout.ok_or(MapError::NoField)?;
    if layout.frame.is_some() { Ok(layout) } else { Err(MapError::NoPlace) }
}

/// Writes the field, its plots and borders as polygons, and every mark as a point at either edge.
///
/// # Errors
///
/// What the writer says.
pub fn write(layout: &Layout, title: Option<&str>, out: &mut dyn Write) -> io::Result<()> {
    writeln!(out, "{{\"type\":\"FeatureCollection\",\"features\":[")?;
    let mut properties = json!({ "kind": "field" });
    if let Some(title) = title {
        properties["title"] = title.into();
    }
    feature(out, "", &polygon(layout, &layout.corners()), &properties)?;
    for plot in layout.plots() {
        let properties = json!({
            "kind": if plot.filler { "filler" } else { "plot" },
            "plot": plot.number,
            "range": plot.range,
            "pass": plot.pass,
            "heading": plot.heading.word(),
        });
        feature(out, ",\n", &polygon(layout, &plot.corners()), &properties)?;
    }
    for border in layout.borders() {
        let properties = json!({
            "kind": "border",
            "range": border.range,
            "pass": border.pass,
            "heading": border.heading.word(),
        });
        feature(out, ",\n", &polygon(layout, &border.corners()), &properties)?;
    }
    let (_, width) = layout.size();
    for mark in layout.marks() {
        for (side, x) in [("left", 0.0), ("right", width)] {
            let properties = json!({
                "kind": "mark",
                "mark": mark.number,
                "side": side,
                "tape_m": layout.metres(mark.at),
            });
            let place = layout.point((x, mark.at)).map(position);
            let geometry = json!({ "type": "Point", "coordinates": place });
            feature(out, ",\n", &geometry, &properties)?;
        }
    }
    writeln!(out, "\n]}}")
}

fn feature(
    out: &mut dyn Write,
    before: &str,
    geometry: &Json,
    properties: &Json,
) -> io::Result<()> {
    let feature = json!({ "type": "Feature", "geometry": geometry, "properties": properties });
    write!(out, "{before}")?;
    json::harmless(&feature, out)
}

/// A closed ring, counter-clockwise as RFC 7946 wants it: the corners come that way round.
fn polygon(layout: &Layout, corners: &[(f64, f64)]) -> Json {
    let ring = corners.iter().chain(corners.first()).filter_map(|at| layout.point(*at));
    let ring: Vec<Json> = ring.map(position).collect();
    json!({ "type": "Polygon", "coordinates": [ring] })
}

fn position(point: Point) -> Json {
    json!([point.longitude, point.latitude])
}
