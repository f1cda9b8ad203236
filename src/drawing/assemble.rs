//! Groups nested rings into parts (outline, openings, parts inside openings); each feature goes to the part around it.

use super::drawing_fault::{DrawingFault, Flaw};
use super::ring_check::{CheckedRing, drop_collinear, inner_point};
use super::walk::SourceElement;
use crate::geometry::{Bounds, Point, Ring, Segment, Shape, Vector, point};
use crate::layout::{Feature, FeatureKind};
use rstar::{AABB, RTree, RTreeObject};
use std::collections::BTreeMap;

/// Greatest distance of a tab-free line from a part's edge, mm: a few widths of a drawn line.
const BESIDE: f64 = 3.0;

/// A part as drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnPart {
    /// Its name, unique in the drawing: from titles, labels, ids, group names.
    pub name: String,
    /// Its outline and openings, mm; the top left of its bounds is the origin.
    pub shape: Shape,
    /// Where that origin lies in the drawing, mm.
    pub at: Point,
    /// What is drawn inside it, in its own frame.
    pub features: Vec<Feature>,
    /// Edges to keep clear of tabs, as lines in its own frame.
    pub tab_free: Vec<Ring>,
    /// How many times it is drawn.
    pub copies: usize,
}

/// The line of a feature not yet assigned to a part.
#[derive(Debug)]
pub(super) struct FeatureLine {
    pub(super) points: Vec<Point>,
    pub(super) closed: bool,
    pub(super) source: usize,
    pub(super) kind: FeatureKind,
}

/// What parts are made of: their edges, and the lines of their features.
pub(super) struct SortedLines {
    pub(super) edges: Vec<CheckedRing>,
    pub(super) features: Vec<FeatureLine>,
}

/// The parts, in the order of their first drawn element; several may share a name.
pub(super) fn assemble(
    SortedLines { edges, features }: SortedLines,
    sources: &[SourceElement],
    min_size: f64,
    fallback_name: &str,
    faults: &mut Vec<DrawingFault>,
) -> Vec<DrawnPart> {
    let forest = Forest::new(&edges);
    let mut drafts: Vec<PartDraft> = Vec::new();
    let mut draft_of = vec![None; edges.len()];
    for (i, edge) in edges.iter().enumerate() {
        if !forest.is_outline(i) {
            continue;
        }
        let bounds = edge.ring.bounds();
        if bounds.width() < min_size && bounds.height() < min_size {
            let flaw =
                Flaw::Small { width: bounds.width(), height: bounds.height(), least: min_size };
            faults.push(DrawingFault::warning(&sources[edge.sources[0]].element, bounds.min, flaw));
            continue;
        }
        draft_of[i] = Some(drafts.len());
        let openings = forest.children(i).map(|j| drop_collinear(&edges[j].ring)).collect();
        drafts.push(PartDraft {
            shape: Shape::new(drop_collinear(&edge.ring), openings),
            name: pick_name(edge, sources),
            features: BTreeMap::new(),
            tab_free: Vec::new(),
        });
    }
    for line in features {
        let found = if line.kind == FeatureKind::TabFree {
            beside(&drafts, &line.points).or_else(|| forest.around(&edges, &line, &draft_of))
        } else {
            forest.around(&edges, &line, &draft_of)
        };
        match found {
            Some(d) => drafts[d].take(line),
            None => {
                let flaw = Flaw::FeatureInNoPart { feature: line.kind };
                faults.push(DrawingFault::error(
                    &sources[line.source].element,
                    line.points[0],
                    flaw,
                ));
            }
        }
    }
    finish(drafts, sources, fallback_name)
}

/// A part under construction, in the drawing's frame.
struct PartDraft {
    shape: Shape,
    name: Option<String>,
    /// Features by kind and source element.
    features: BTreeMap<(FeatureKind, usize), Feature>,
    tab_free: Vec<Ring>,
}

impl PartDraft {
    fn take(&mut self, line: FeatureLine) {
        if line.kind == FeatureKind::TabFree {
            let mut points = line.points;
            if line.closed {
                points.push(points[0]);
            }
            return self.tab_free.push(Ring(points));
        }
        let feature = self.features.entry((line.kind, line.source)).or_insert_with(|| Feature {
            kind: line.kind,
            name: String::new(),
            depth: None,
            rings: vec![],
            lines: vec![],
        });
        if line.closed {
            feature.rings.push(Ring(line.points).positive());
        } else {
            feature.lines.push(Ring(line.points));
        }
    }
}

fn finish(
    drafts: Vec<PartDraft>,
    sources: &[SourceElement],
    fallback_name: &str,
) -> Vec<DrawnPart> {
    drafts
        .into_iter()
        .map(|draft| {
            let at = draft.shape.bounds().min;
            let home = |p: Point| p - at;
            let features = draft.features.into_iter().map(|((_, source), f)| {
                let own = sources[source].names.first().map_or(String::new(), |n| n.text.clone());
                Feature { name: own, ..f.map(home) }
            });
            DrawnPart {
                name: draft.name.unwrap_or_else(|| fallback_name.into()),
                features: features.collect(),
                shape: draft.shape.map(home),
                tab_free: draft.tab_free.iter().map(|r| r.map(home)).collect(),
                at,
                copies: 1,
            }
        })
        .collect()
}

/// The nearest name that all elements of the outline share; otherwise the generated id of the first.
fn pick_name(edge: &CheckedRing, sources: &[SourceElement]) -> Option<String> {
    let first = &sources[edge.sources[0]];
    let shared = first
        .names
        .iter()
        .find(|name| edge.sources[1..].iter().all(|&s| sources[s].names.contains(name)));
    shared
        .map(|n| n.text.clone())
        .or_else(|| if edge.sources.len() == 1 { first.poor_name.clone() } else { None })
}

/// The part whose edge a line runs along.
fn beside(drafts: &[PartDraft], line: &[Point]) -> Option<usize> {
    let middle = line[line.len() / 2].lerp(line[(line.len() - 1) / 2], 0.5);
    drafts
        .iter()
        .enumerate()
        .filter(|(_, d)| {
            let b = d.shape.bounds().grown(BESIDE);
            (b.min.x..=b.max.x).contains(&middle.x) && (b.min.y..=b.max.y).contains(&middle.y)
        })
        .map(|(i, d)| {
            let away = |s: Segment| s.distance_to_point(middle);
            (i, d.shape.segments().map(away).fold(f64::INFINITY, f64::min))
        })
        .filter(|&(_, distance)| distance <= BESIDE)
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(i, _)| i)
}

/// Which ring lies directly in which. Rings touch from outside at most, so one point inside each decides.
struct Forest {
    parent: Vec<Option<usize>>,
    depth: Vec<usize>,
    children: Vec<Vec<usize>>,
    boxes: RTree<Box2>,
}

struct Box2 {
    bounds: Bounds,
    ring: usize,
    area: f64,
}

impl RTreeObject for Box2 {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        AABB::from_corners(self.bounds.min.into(), self.bounds.max.into())
    }
}

impl Forest {
    fn new(edges: &[CheckedRing]) -> Self {
        let boxes: Vec<Box2> = edges
            .iter()
            .enumerate()
            .map(|(ring, e)| Box2 { bounds: e.ring.bounds(), ring, area: e.ring.area() })
            .collect();
        let mut forest = Forest {
            parent: vec![],
            depth: vec![0; edges.len()],
            children: vec![vec![]; edges.len()],
            boxes: RTree::bulk_load(boxes),
        };
        for (i, edge) in edges.iter().enumerate() {
            let parent =
                forest.innermost(edges, inner_point(&edge.ring), edge.ring.area(), Some(i));
            forest.parent.push(parent);
            if let Some(p) = parent {
                forest.children[p].push(i);
            }
        }
        let mut order: Vec<usize> = (0..edges.len()).collect();
        order.sort_by(|&i, &j| edges[j].ring.area().total_cmp(&edges[i].ring.area()));
        // Larger first: a parent's depth is known before its children's.
        for i in order {
            forest.depth[i] = forest.parent[i].map_or(0, |p| forest.depth[p] + 1);
        }
        forest
    }

    /// The smallest ring around `p` whose area is over `area`, other than `but`.
    fn innermost(
        &self,
        edges: &[CheckedRing],
        p: Point,
        area: f64,
        but: Option<usize>,
    ) -> Option<usize> {
        let here = AABB::from_point([p.x, p.y]);
        self.boxes
            .locate_in_envelope_intersecting(&here)
            .filter(|b| b.area > area && Some(b.ring) != but && edges[b.ring].ring.contains(p))
            .min_by(|a, b| a.area.total_cmp(&b.area).then(a.ring.cmp(&b.ring)))
            .map(|b| b.ring)
    }

    fn is_outline(&self, i: usize) -> bool {
        self.depth[i].is_multiple_of(2)
    }

    fn children(&self, i: usize) -> impl Iterator<Item = usize> + '_ {
        self.children[i].iter().copied()
    }

    /// The part in whose material most of the line's points lie.
    fn around(
        &self,
        edges: &[CheckedRing],
        line: &FeatureLine,
        draft_of: &[Option<usize>],
    ) -> Option<usize> {
        let mut votes: BTreeMap<usize, usize> = BTreeMap::new();
        let n = line.points.len();
        // Middles of the segments: a feature's corners may lie on the part's edge.
        for i in 0..if line.closed { n } else { n - 1 } {
            let p = line.points[i].lerp(line.points[(i + 1) % n], 0.5) + point(1e-7, 1e-7);
            if let Some(ring) = self.innermost(edges, p, 0.0, None)
                && self.is_outline(ring)
                && let Some(d) = draft_of[ring]
            {
                *votes.entry(d).or_default() += 1;
            }
        }
        votes.into_iter().max_by_key(|&(d, count)| (count, std::cmp::Reverse(d))).map(|(d, _)| d)
    }
}
