//! Triangles between rings: a constrained Delaunay triangulation (crate `spade`) with the rings' edges in it.

use spade::{ConstrainedDelaunayTriangulation, HasPosition, Triangulation};

/// How to treat an edge that crosses an earlier one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CrossingEdge {
    /// Give no triangulation.
    Refuse,
    /// Leave the edge out.
    LeaveOut,
}

/// The triangulation of the rings' points, ring by ring in the order given; `None` where a point is not finite, or where a crossing
/// edge is refused.
pub fn triangulation<V: HasPosition<Scalar = f64>, R: IntoIterator<Item = V>>(
    rings: impl IntoIterator<Item = R>,
    crossing: CrossingEdge,
) -> Option<ConstrainedDelaunayTriangulation<V>> {
    let mut made = ConstrainedDelaunayTriangulation::<V>::new();
    for ring in rings {
        let mut corners = vec![];
        for vertex in ring {
            corners.push(made.insert(vertex).ok()?);
        }
        for (k, &a) in corners.iter().enumerate() {
            let b = corners[(k + 1) % corners.len()];
            if a == b {
                continue;
            }
            if made.can_add_constraint(a, b) {
                made.add_constraint(a, b);
            } else if crossing == CrossingEdge::Refuse {
                return None;
            }
        }
    }
    Some(made)
}

#[cfg(test)]
mod tests {
    use super::*;
    use spade::Point2;

    /// A simple polygon of n corners has n - 2 triangles (Meisters, Amer. Math. Monthly 82, 1975); the other triangles of its hull
    /// lie outside it.
    #[test]
    fn edges_of_rings_are_edges_of_triangles_and_crossing_ones_are_refused() {
        let ring = |points: &[(f64, f64)]| -> Vec<Point2<f64>> {
            points.iter().map(|&(x, y)| Point2::new(x, y)).collect()
        };
        let notched = ring(&[(0., 0.), (4., 0.), (4., 4.), (2., 1.), (0., 4.)]);
        let made = triangulation([notched], CrossingEdge::Refuse).expect("a triangulation");
        assert_eq!((made.num_constraints(), made.num_inner_faces()), (5, 3 + 1));
        let bow = || ring(&[(0., 0.), (4., 4.), (4., 0.), (0., 4.)]);
        assert!(triangulation([bow()], CrossingEdge::Refuse).is_none());
        let most = triangulation([bow()], CrossingEdge::LeaveOut).expect("a triangulation");
        assert_eq!(most.num_constraints(), 3);
        assert!(triangulation([ring(&[(f64::NAN, 0.)])], CrossingEdge::LeaveOut).is_none());
    }
}
