//! Distances between edges, by an R-tree of segments (crate `rstar`), exact for the given segments.

use super::{Bounds, Point, Ring, Segment, Shape, Vector};
use rstar::{AABB, PointDistance, RTree, RTreeObject};

/// The edges of a shape, indexed for fast distance queries.
pub struct EdgeIndex {
    tree: RTree<IndexedEdge>,
}

/// The nearest place on an indexed edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// Ring number: 0 outline, openings from 1.
    pub ring: usize,
    /// Segment number within the ring.
    pub segment: usize,
    /// The nearest point.
    pub at: Point,
    /// Its distance, mm.
    pub distance: f64,
}

#[derive(Debug, Clone, Copy)]
struct IndexedEdge {
    segment: Segment,
    ring: usize,
    number: usize,
}

impl RTreeObject for IndexedEdge {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners(self.segment.a.into(), self.segment.b.into())
    }
}

impl PointDistance for IndexedEdge {
    fn distance_2(&self, p: &[f64; 2]) -> f64 {
        let d = self.segment.nearest((*p).into()) - (*p).into();
        d.dot(d)
    }
}

impl EdgeIndex {
    /// Index of every ring of `shape`.
    pub fn new(shape: &Shape) -> Self {
        Self::of_rings(shape.rings())
    }

    /// Index of some rings, numbered from 0 in their order.
    pub fn of_rings<'a>(rings: impl Iterator<Item = &'a Ring>) -> Self {
        let edges = rings
            .enumerate()
            .flat_map(|(ring, r)| {
                r.segments().enumerate().map(move |(number, segment)| IndexedEdge {
                    segment,
                    ring,
                    number,
                })
            })
            .collect();
        EdgeIndex { tree: RTree::bulk_load(edges) }
    }

    /// Index of the segments of one line.
    pub fn of_segments(line: &[Segment]) -> Self {
        let edge = |(number, segment): (usize, &Segment)| IndexedEdge {
            segment: *segment,
            ring: 0,
            number,
        };
        EdgeIndex { tree: RTree::bulk_load(line.iter().enumerate().map(edge).collect()) }
    }

    /// The place nearest to `p`, `None` without edges.
    ///
    /// It uses the tree's iterator, not its `nearest_neighbor` (rstar 0.12): that drops an edge whose rounded distance is greater
    /// than the bound from the edge's own box, and an upright or level edge is its own box.
    pub fn nearest(&self, p: Point) -> Option<Nearest> {
        let edge = self.tree.nearest_neighbor_iter(&[p.x, p.y]).next()?;
        let at = edge.segment.nearest(p);
        Some(Nearest { ring: edge.ring, segment: edge.number, at, distance: at.distance(p) })
    }

    /// The segments whose bounds touch `bounds`.
    pub fn touching(&self, bounds: Bounds) -> impl Iterator<Item = Segment> + '_ {
        self.touching_rings(bounds).map(|(_, segment)| segment)
    }

    /// The segments whose bounds touch `bounds`, each with the number of its ring.
    pub fn touching_rings(&self, bounds: Bounds) -> impl Iterator<Item = (usize, Segment)> + '_ {
        let envelope = AABB::from_corners(bounds.min.into(), bounds.max.into());
        self.tree.locate_in_envelope_intersecting(&envelope).map(|e| (e.ring, e.segment))
    }

    /// Least distance from `segment` to the indexed edges, mm, or `limit` when nothing is nearer.
    pub fn segment_distance(&self, segment: Segment, limit: f64) -> f64 {
        let reach = Bounds::of(&[segment.a, segment.b]).grown(limit);
        self.touching(reach).map(|s| s.distance(segment)).fold(limit, f64::min)
    }
}

/// Least distance between the edges of two rings, mm, or `limit` when they are farther apart.
pub fn ring_distance(a: &Ring, b: &Ring, limit: f64) -> f64 {
    if !a.bounds().grown(limit).touches(b.bounds()) {
        return limit;
    }
    let index = EdgeIndex::of_rings(std::iter::once(a));
    b.segments().fold(limit, |d, s| index.segment_distance(s, d))
}

/// Least distance between two shapes, mm: 0 when they overlap or one lies in the other's material;
/// `limit` when they are farther apart than that.
pub fn shape_distance(a: &Shape, b: &Shape, limit: f64) -> f64 {
    if !a.bounds().grown(limit).touches(b.bounds()) {
        return limit;
    }
    let index = EdgeIndex::new(a);
    let edges = b.segments().fold(limit, |d, s| index.segment_distance(s, d));
    if edges == 0.0 {
        return 0.0;
    }
    // No edges meet, so one point decides whether one lies in the other.
    let within =
        |outer: &Shape, inner: &Shape| inner.outline.0.first().is_some_and(|&p| outer.contains(p));
    if within(a, b) || within(b, a) { 0.0 } else { edges }
}

#[cfg(test)]
mod tests {
    use super::super::point;
    use super::*;

    fn square(x: f64, y: f64, side: f64) -> Shape {
        Shape::new(Ring::rectangle(side, side).moved(point(x, y)), vec![])
    }

    /// Random rectangles, checked against a search of every edge.
    #[test]
    fn the_nearest_of_upright_edges_is_the_nearest_of_all() {
        use rand::{RngExt, SeedableRng, rngs::Xoshiro256PlusPlus};
        let mut rng = Xoshiro256PlusPlus::seed_from_u64(163);
        for _ in 0..2000 {
            let mut number = |most: f64| rng.random_range(0.0..most);
            let mut shapes = vec![];
            for _ in 0..8 {
                let (w, h) = (number(30.0) + 1.0, number(30.0) + 1.0);
                shapes.push(Ring::rectangle(w, h).moved(point(number(100.0), number(100.0))));
            }
            let index = EdgeIndex::of_rings(shapes.iter());
            for _ in 0..20 {
                let p = point(number(130.0), number(130.0));
                let found = index.nearest(p).map_or(f64::INFINITY, |n| n.distance);
                let least = shapes.iter().flat_map(Ring::segments).map(|s| s.distance_to_point(p));
                let least = least.fold(f64::INFINITY, f64::min);
                assert!((found - least).abs() < 1e-9, "{p:?}: {found}, not {least}");
            }
        }
    }

    /// One failure in 600,000 random queries of upright edges (x, and y from and to), reduced: the tree's `nearest_neighbor`
    /// answers with an edge that is 2.6 mm farther.
    #[rustfmt::skip]
    const UPRIGHT: [(f64, f64, f64); 37] = [
        (72.55975358793702, 119.16541911620457, 167.73793634573406),
        (15.02955945696758, 21.09847604835562, 60.72841043359001),
        (41.22425596255657, 123.96182036338728, 159.59357498318346),
        (93.64108721636117, 38.9691571013689, 141.79858385838858),
        (70.47781757789546, 26.52591456330471, 47.96305269722547),
        (53.156927834285625, 80.3575089946998, 178.112878463905),
        (7.409533495098497, 49.3213169463685, 73.01329012925788),
        (64.64208469183306, 195.07157676452783, 198.80970065235778),
        (94.9403073356492, 12.544259220440447, 152.9584455379667),
        (39.34158445069728, 132.21393742531166, 137.32225019510565),
        (41.86781606368015, 58.80980242013989, 196.94948959257127),
        (89.22051620417642, 77.41658173322573, 184.81432708133457),
        (7.42641594469573, 111.38605181982706, 182.9934209771196),
        (65.66761835131678, 56.29877699451605, 76.00437852461302),
        (89.38003674433257, 78.02197014226276, 92.07604848301155),
        (60.492725197126916, 45.715102258632115, 168.6999844986646),
        (58.24741431893803, 164.2233669497321, 197.90148644358908),
        (94.49954989227611, 156.05776502613688, 196.97971485859142),
        (73.76652982295211, 79.96093887184557, 135.57027213954484),
        (20.789140474637158, 7.04405300621216, 40.462995497360836),
        (22.54409697555626, 53.983641692016015, 146.91282547412243),
        (87.947382688717, 78.10447677440588, 130.54496191070933),
        (18.9074002409664, 44.928130314345815, 143.96538135101437),
        (2.5611784254053527, 12.358303902972013, 19.790327299104796),
        (55.18715860786423, 75.30390923103025, 144.2563842320993),
        (23.091726391360943, 5.938892436065869, 195.9718749702436),
        (58.591829121958725, 105.65535721027393, 184.63276041313742),
        (16.850844784363073, 89.4246631605293, 115.48879158117667),
        (69.3975624649529, 84.56078516022257, 137.2602211472873),
        (56.99566743436941, 72.9558120024888, 122.71174890752243),
        (7.068176426697592, 97.35020635415064, 121.83032900426947),
        (29.386102659392364, 126.95410506337225, 142.93875591627548),
        (48.298135164377975, 33.55969303301072, 56.97574118063209),
        (88.39297040898882, 1.7418510114962213, 38.06696933285549),
        (41.15743705695984, 61.43293032230288, 170.2459252733634),
        (15.643298413762041, 40.84728610868862, 65.47737513563708),
        (79.89564148984509, 49.77974206705744, 137.07090676090627),
    ];

    #[test]
    fn no_upright_edge_is_lost_by_rounding() {
        let edge = |(number, &(x, from, to)): (usize, &(f64, f64, f64))| IndexedEdge {
            segment: Segment::new(point(x, from), point(x, to)),
            ring: 0,
            number,
        };
        let edges: Vec<IndexedEdge> = UPRIGHT.iter().enumerate().map(edge).collect();
        let p = point(28.79140120543694, 294.46370826961703);
        let least = edges.iter().map(|e| e.segment.distance_to_point(p));
        let least = least.fold(f64::INFINITY, f64::min);
        let index = EdgeIndex { tree: RTree::bulk_load(edges) };
        let found = index.nearest(p).map_or(f64::INFINITY, |n| n.distance);
        assert!((found - least).abs() < 1e-9, "{found}, not {least}");
    }

    #[test]
    fn distance_of_apart_nested_and_overlapping_squares() {
        let a = square(0.0, 0.0, 10.0);
        assert_eq!(shape_distance(&a, &square(13.0, 14.0, 5.0), 50.0), 5.0);
        assert_eq!(shape_distance(&a, &square(2.0, 2.0, 3.0), 50.0), 0.0, "in the material");
        assert_eq!(shape_distance(&a, &square(90.0, 0.0, 1.0), 50.0), 50.0, "beyond the limit");
        let frame = Shape::new(
            Ring::rectangle(20.0, 20.0),
            vec![Ring::rectangle(16.0, 16.0).moved(point(2.0, 2.0))],
        );
        assert_eq!(shape_distance(&frame, &square(5.0, 5.0, 10.0), 50.0), 3.0, "in the opening");
    }
}
