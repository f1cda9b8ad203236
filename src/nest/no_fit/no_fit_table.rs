//! The data that do not change during a search: kinds, forms, no-fit regions, sheets.

use super::mask::Mask;
use super::nofit::{NoFit, RingPair, Stretch};
use crate::geometry::{Bounds, Point, Ring, Shape, point};
use crate::job::Stock;
use crate::nest::nest_task::NestTask;
use crate::nest::shapes::form::{HeldOrientation, Known, OrientedPart, PartKind};
use std::sync::{Arc, OnceLock};

/// Most forms of all kinds together; beyond it orientations are left out, since the pair table grows as its square.
const MOST_FORMS: usize = 2400;

/// Most forms, together, of parts that may take any angle, before their angles are refined: each pair of forms costs a fraction of
/// a millisecond once.
const MOST_FREE_FORMS: usize = 120;

/// Number of a form in a [`NoFitTable`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FormId(u32);

impl FormId {
    #[inline(always)]
    fn index(self) -> usize {
        self.0 as usize
    }
}

/// Everything that a search looks up.
pub struct NoFitTable<'p> {
    pub problem: &'p NestTask,
    /// By part; `None` for parts without area.
    pub kinds: Arc<Vec<Option<PartKind>>>,
    pub forms: Arc<Vec<OrientedPart>>,
    /// Forms allowed by stock, by part.
    pub allowed: Arc<Vec<Vec<Vec<FormId>>>>,
    /// Depths up to this count as contact, mm.
    pub eps: f64,
    pairs: Arc<Vec<OnceLock<Arc<NoFit>>>>,
    fixed: Arc<Vec<OnceLock<Box<NoFit>>>>,
    masks: Arc<Vec<OnceLock<Box<Mask>>>>,
    edges: Arc<Vec<SheetPieces>>,
}

/// Regions of a sheet that parts must avoid, in convex pieces.
struct SheetPieces {
    bounds: Bounds,
    /// Outside the sheet, within its bounds; none for an upright rectangle.
    outside: Vec<Vec<Point>>,
    keep_clear: Vec<Vec<Point>>,
}

/// A no-fit region as seen by the moving part: query it at the offset `(at - base) * sign`.
#[derive(Clone, Copy)]
pub struct View<'w> {
    pub nofit: &'w NoFit,
    pub base: Point,
    pub sign: f64,
}

impl View<'_> {
    /// The offset for a place.
    #[inline(always)]
    pub fn offset(&self, at: Point) -> Point {
        point((at.x - self.base.x) * self.sign, (at.y - self.base.y) * self.sign)
    }

    /// The offsets of the places `at + t u` for `t` in the range.
    #[inline(always)]
    pub fn stretch(&self, at: Point, u: Point, range: (f64, f64)) -> Stretch {
        Stretch { d: self.offset(at), u: u * self.sign, range }
    }
}

impl<'p> NoFitTable<'p> {
    /// The table of a problem; `known` orientations, by part, are refined instead of trying the whole range.
    pub fn new(
        problem: &'p NestTask,
        kinds: Arc<Vec<Option<PartKind>>>,
        known: Option<&[Known]>,
    ) -> NoFitTable<'p> {
        let most = MOST_FORMS / kinds.len().max(1);
        let free = problem.parts.iter().filter(|p| p.turns.any()).count();
        let mut forms: Vec<OrientedPart> = vec![];
        let mut allowed = vec![];
        for stock in &problem.sheets {
            let by_part = kinds.iter().enumerate().map(|(k, kind)| {
                let (Some(kind), part) = (kind, &problem.parts[k]) else { return vec![] };
                let known = known.map(|by_part| &by_part[k]);
                let few = (MOST_FREE_FORMS / free.max(1)).clamp(4, 24);
                let few = if part.turns.any() && known.is_none() { few.min(most) } else { most };
                let mut orientations = kind.orientations(part, stock.grain, (few, most), known);
                if part.turns.any() && known.is_none() {
                    let b = stock.outline.bounds().grown(-stock.margin);
                    let size = b.max - b.min;
                    let extents = |s: &HeldOrientation| kind.extents(*s);
                    if !orientations.iter().map(extents).any(|e| e.x <= size.x && e.y <= size.y) {
                        orientations.extend(kind.fitting_turns(part, size));
                    }
                }
                orientations.into_iter().map(|s| form_number(&mut forms, kind, k, s)).collect()
            });
            allowed.push(by_part.collect::<Vec<Vec<FormId>>>());
        }
        for (k, part) in problem.parts.iter().enumerate() {
            let Some(kind) = &kinds[k] else { continue };
            for (_, pose) in &part.pins {
                form_number(&mut forms, kind, k, HeldOrientation::of(*pose, 0));
            }
        }
        let edges: Vec<SheetPieces> = problem.sheets.iter().map(SheetPieces::new).collect();
        let extent =
            edges.iter().map(|e| e.bounds.width().max(e.bounds.height())).fold(1e-3, f64::max);
        let pairs = (0..forms.len() * forms.len()).map(|_| OnceLock::new()).collect();
        let fixed = (0..forms.len() * edges.len()).map(|_| OnceLock::new()).collect();
        let masks = forms.iter().map(|_| OnceLock::new()).collect();
        NoFitTable {
            problem,
            kinds,
            allowed: Arc::new(allowed),
            // f64 carries 1e-16 of the extent; a thousand times the error that a few sums gather.
            eps: 1e-10 * extent.min(1e6),
            pairs: Arc::new(pairs),
            fixed: Arc::new(fixed),
            masks: Arc::new(masks),
            edges: Arc::new(edges),
            forms: Arc::new(forms),
        }
    }

    /// The same table, and all that it will look up, for a problem that differs in the numbers of its copies and sheets alone.
    pub fn recounted<'q>(&self, problem: &'q NestTask) -> NoFitTable<'q> {
        NoFitTable {
            problem,
            kinds: self.kinds.clone(),
            forms: self.forms.clone(),
            allowed: self.allowed.clone(),
            eps: self.eps,
            pairs: self.pairs.clone(),
            fixed: self.fixed.clone(),
            masks: self.masks.clone(),
            edges: self.edges.clone(),
        }
    }

    /// The form of that number.
    #[inline(always)]
    pub fn form(&self, form: FormId) -> &OrientedPart {
        &self.forms[form.index()]
    }

    /// Takes over the pairs already computed by another table of the same kinds.
    pub fn take_pairs(&self, other: &NoFitTable<'_>) {
        let mine = |f: &OrientedPart| find(&self.forms, f.kind, f.orientation);
        let numbers: Vec<Option<FormId>> = other.forms.iter().map(mine).collect();
        for (k, made) in other.pairs.iter().enumerate() {
            let (a, b) = (numbers[k / other.forms.len()], numbers[k % other.forms.len()]);
            if let (Some(a), Some(b), Some(nofit)) = (a, b, made.get())
                && a <= b
            {
                let slot = &self.pairs[a.index() * self.forms.len() + b.index()];
                slot.get_or_init(|| nofit.clone());
            }
        }
    }

    /// Whether the material of a form covers, roughly, that point of its own frame.
    #[inline]
    pub fn covers(&self, form: FormId, p: Point) -> bool {
        let mask = self.masks[form.index()].get_or_init(|| {
            let f = self.form(form);
            Box::new(Mask::new(&f.material, f.part_bounds, self.eps))
        });
        mask.covers(p)
    }

    /// The number of the form of part `k` in exactly this orientation.
    pub fn find_form(&self, k: usize, orientation: HeldOrientation) -> Option<FormId> {
        find(&self.forms, k, orientation)
    }

    /// The region where `moving` comes too near `other`, which lies at `base`.
    #[inline]
    pub fn pair(&self, other: FormId, base: Point, moving: FormId) -> View<'_> {
        // Only one of the two orders is kept: the other is its mirror in the origin.
        let (a, b, sign) =
            if other <= moving { (other, moving, 1.0) } else { (moving, other, -1.0) };
        let slot = &self.pairs[a.index() * self.forms.len() + b.index()];
        let nofit = slot.get_or_init(|| Arc::new(self.make_pair(a, b)));
        View { nofit, base, sign }
    }

    fn make_pair(&self, a: FormId, b: FormId) -> NoFit {
        let (fa, fb) = (self.form(a), self.form(b));
        let (gap, kerf) = (self.problem.gap, self.problem.kerf);
        let ((material_a, landings_a), (material_b, landings_b)) =
            (fa.facing(fb, gap), fb.facing(fa, gap));
        let sets = [
            (material_a, material_b, gap),
            (landings_a, material_b, kerf),
            (material_a, landings_b, kerf),
        ];
        NoFit::new(sets.into_iter().flat_map(|(x, y, distance)| {
            x.iter().flat_map(move |fixed| {
                y.iter().map(move |moving| RingPair { fixed, moving, distance })
            })
        }))
    }

    /// The region where a form leaves the sheet (`limits` checks its bounds) or enters keep-clear.
    #[inline]
    pub fn fixed(&self, stock: usize, form: FormId) -> View<'_> {
        let slot = &self.fixed[stock * self.forms.len() + form.index()];
        let nofit = slot.get_or_init(|| Box::new(self.make_fixed(stock, form)));
        View { nofit, base: point(0.0, 0.0), sign: 1.0 }
    }

    fn make_fixed(&self, stock: usize, form: FormId) -> NoFit {
        let (edge, f) = (&self.edges[stock], self.form(form));
        let sets = [
            (&edge.outside, &f.material, self.problem.sheets[stock].margin),
            (&edge.outside, &f.landings, 0.0),
            (&edge.keep_clear, &f.material, self.problem.gap),
            (&edge.keep_clear, &f.landings, 0.0),
        ];
        NoFit::new(sets.into_iter().flat_map(|(x, y, distance)| {
            x.iter().flat_map(move |fixed| {
                y.iter().map(move |moving| RingPair { fixed, moving, distance })
            })
        }))
    }

    /// The sheet's bounds.
    pub fn sheet_bounds(&self, stock: usize) -> Bounds {
        self.edges[stock].bounds
    }

    /// Bounds of the pieces between the sheet and its bounds.
    pub fn outside_bounds(&self, stock: usize) -> Vec<Bounds> {
        self.edges[stock].outside.iter().map(|p| Bounds::of(p)).collect()
    }

    /// Bounds for the form's origin that keep the margin within the sheet's bounds, the far corner taken at `reach`; `None` when it
    /// is too big.
    pub fn limits(&self, stock: usize, form: FormId, reach: Point) -> Option<Bounds> {
        let (near, f) = (self.edges[stock].bounds.min, self.form(form));
        let margin = self.problem.sheets[stock].margin;
        let (p, l) = (f.part_bounds, f.landing_bounds);
        let min = point(
            (near.x + margin - p.min.x).max(near.x - l.min.x),
            (near.y + margin - p.min.y).max(near.y - l.min.y),
        );
        let max = point(
            (reach.x - margin - p.max.x).min(reach.x - l.max.x),
            (reach.y - margin - p.max.y).min(reach.y - l.max.y),
        );
        // A part exactly as long as the room fits, whatever the last bit of the sums says.
        let fit = |lo: f64, hi: f64| if hi < lo && hi > lo - self.eps { lo } else { hi };
        let max = point(fit(min.x, max.x), fit(min.y, max.y));
        (min.x <= max.x && min.y <= max.y).then_some(Bounds { min, max })
    }

    /// How far the sheet must reach along x and y for a form at `at`.
    pub fn reach_of(&self, stock: usize, form: FormId, at: Point) -> Point {
        let f = self.form(form);
        let margin = self.problem.sheets[stock].margin;
        let (p, l) = (f.part_bounds.max, f.landing_bounds.max);
        at + point((p.x + margin).max(l.x), (p.y + margin).max(l.y))
    }

    /// Area of a form with half the gap round its outline, mm².
    pub fn claim(&self, form: FormId) -> f64 {
        let kind = self.kinds[self.form(form).kind].as_ref();
        kind.map_or(0.0, |k| k.area + k.shape.outline.perimeter() * self.problem.gap / 2.0)
    }

    /// Net area of a form, mm².
    pub fn area(&self, form: FormId) -> f64 {
        self.kinds[self.form(form).kind].as_ref().map_or(0.0, |k| k.area)
    }
}

fn find(forms: &[OrientedPart], k: usize, s: HeldOrientation) -> Option<FormId> {
    let same = |f: &OrientedPart| {
        let near = (f.orientation.rotation - s.rotation).abs() < 1e-12;
        f.kind == k && near && (f.orientation.mirrored, f.orientation.hold) == (s.mirrored, s.hold)
    };
    forms.iter().position(same).map(|i| FormId(i as u32))
}

fn form_number(
    forms: &mut Vec<OrientedPart>,
    kind: &PartKind,
    k: usize,
    orientation: HeldOrientation,
) -> FormId {
    find(forms, k, orientation).unwrap_or_else(|| {
        forms.push(kind.form(k, orientation));
        FormId(forms.len() as u32 - 1)
    })
}

impl SheetPieces {
    fn new(stock: &Stock) -> SheetPieces {
        let bounds = stock.outline.bounds();
        let upright =
            stock.outline.0.len() == 4 && stock.outline.area() >= bounds.width() * bounds.height();
        let outside = if upright || stock.outline.0.len() < 3 {
            vec![]
        } else {
            // A frame as thick as the sheet is large, so that overlap with it always has a depth.
            let thick = bounds.width().max(bounds.height());
            let b = bounds.grown(thick);
            let frame = Ring::rectangle(b.width(), b.height()).moved(b.min);
            let shape = Shape::new(frame, vec![stock.outline.clone()]);
            crate::nest::shapes::convex::pieces(&crate::nest::shapes::simplify::outward(
                &shape,
                stock.margin.min(1.0) / 20.0,
                0.0,
            ))
        };
        let keep_clear = stock
            .keep_clear
            .iter()
            .filter(|r| r.0.len() >= 3)
            .flat_map(|r| crate::nest::shapes::convex::pieces(&Shape::new(r.clone(), vec![])))
            .collect();
        SheetPieces { bounds, outside, keep_clear }
    }
}
