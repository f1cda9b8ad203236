//! Plane geometry shared by every stage: points, rings, shapes, poses, distances, offsets, booleans.
//!
//! Lengths are mm, angles radians. Coordinates are those of SVG: x to the right, y **down**. A rotation by a positive angle takes
//! the x axis towards the y axis, so it looks clockwise on screen, as SVG's `rotate()` does. Rings do not repeat their first point
//! at the end.

mod boolean;
mod contour;
mod distance;
mod moments;
mod offset;
mod point;
mod pose;
mod ring;
mod segment;
mod shape;
mod triangulation;

pub use boolean::{difference, intersection, union};
pub use contour::Contour;
pub use distance::{EdgeIndex, Nearest, ring_distance, shape_distance};
pub use moments::Moments;
pub use offset::{
    ARC_TOLERANCE, grow, grow_ring, grow_within, shrink, shrink_within, sweep_path, sweep_within,
};
pub use point::{Point, Vector, point};
pub use pose::Pose;
pub use ring::{Bounds, Ring};
pub use segment::{Segment, orient, proper_crossing};
pub use shape::Shape;
pub use triangulation::{CrossingEdge, triangulation};
