//! How a placed part is held while its last edge is cut.

use super::{Governs, HoldFigures, Why};
use crate::geometry::{Point, Pose, Ring, Vector, ring_distance};
use serde::{Deserialize, Serialize};

/// Depth of stock that a tab needs beyond the kerf, mm: as much as the narrowest ordinary
/// tab is wide (common practice, no source).
pub const LANDING_DEPTH: f64 = 2.0;

/// How much more than the bit's diameter planned tabs keep between them, mm.
const ROOM: f64 = 1e-4;

/// From this width on a holding bridge is a spur: a strip of extra stock to be trimmed off, mm (estimate).
pub const SPUR: f64 = 10.0;

/// How much lower than the sheet's thickness a tab may be and still count as full height, mm: rounding.
const FULL: f64 = 1e-6;

/// What holds the part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Method {
    /// Bridges across the kerf, lower than the sheet or of its full thickness.
    Tabs,
    /// A thin floor left under the whole kerf.
    Skin,
    /// Double-sided tape, or tape and glue, under the face.
    Tape,
    /// No plan holds it: do not cut it like this.
    None,
}

impl Method {
    /// The method's name as files have it.
    pub fn name(self) -> &'static str {
        match self {
            Method::Tabs => "tabs",
            Method::Skin => "skin",
            Method::Tape => "tape",
            Method::None => "none",
        }
    }
}

/// A holding plan with the reason and the figures behind it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Hold {
    /// What holds the part.
    pub method: Method,
    /// Why this method and count, in words.
    pub why: String,
    /// What decides, in words: `tab 2 across the grain`.
    pub governs: String,
    /// Why, as values; absent in older files.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<Why>,
    /// What has the least margin, as values; absent where no figure decides, and in older files.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limited_by: Option<Governs>,
    /// The load case of the figures: `staged` or `free`.
    pub case: String,
    /// Worst in-plane load at the bit, N.
    pub load_n: f64,
    /// Depth of the last pass, mm.
    pub last_pass: f64,
    /// Least ratio of mean strength to stress at the worst load, tabs and part.
    pub safety: f64,
    /// Greatest movement at the bit under the worst load, mm.
    pub movement_mm: f64,
    /// Skin thickness, mm, where the method is skin.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub skin_mm: Option<f64>,
    /// The figures behind it, where it was judged as tabs; absent in older files.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub figures: Option<HoldFigures>,
    /// The tabs; empty unless the method is tabs, except for tabs that hold waste: openings' drop-outs, and stock beyond the
    /// outline ([`Tab::waste`]). Those that hold the part come first, in the order of the last pass, which starts just
    /// beyond the first of them and ends at it.
    pub tabs: Vec<Tab>,
}

impl Hold {
    /// Whether the part's outline is cut: a part that nothing holds is not cut free, since the cutter would throw it.
    pub fn cuts_free(&self) -> bool {
        self.method != Method::None || self.tabs.iter().any(Tab::holds)
    }

    /// Least margin of tabs that bear less than is required: below 1.
    pub(crate) fn weak(&self) -> Option<f64> {
        let margin = self.figures.as_ref().map(|f| f.least_margin);
        margin.filter(|m| self.method == Method::Tabs && *m < 1.0)
    }
}

/// A bridge across the kerf.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tab {
    /// Middle of its root, on the part's edge.
    #[serde(with = "xy")]
    pub at: Point,
    /// Unit normal away from the part.
    #[serde(with = "xy")]
    pub out: Point,
    /// Width along the edge, mm.
    pub width: f64,
    /// Height from the bed up, mm; the sheet's thickness for a holding bridge.
    pub height: f64,
    /// Its ring: 0 for the outline, openings from 1.
    pub ring: usize,
    /// On the outline: whether it is there for the stock beyond it alone, which would come loose without it (and with it whatever
    /// hangs on that stock). The part is held by its other tabs.
    #[serde(default, skip_serializing_if = "is_false")]
    pub waste: bool,
}

impl Tab {
    /// Whether it holds its part: it sits on the outline, and not for the waste beyond it alone.
    pub fn holds(&self) -> bool {
        self.ring == 0 && !self.waste
    }

    /// The tab where `pose` puts it.
    pub fn placed(&self, pose: &Pose) -> Tab {
        Tab { at: pose.apply(self.at), out: pose.apply_vector(self.out), ..self.clone() }
    }

    /// Whether it is a holding bridge: as high as its sheet is thick, so that neither the upper pass nor the pass through the
    /// sheet cuts it. It is sawn off.
    pub fn is_holding_bridge(&self, thickness: f64) -> bool {
        is_full(self.height, thickness)
    }

    /// The bridge's own footprint: across a kerf of `kerf` mm, as wide as the tab.
    pub fn bridge(&self, kerf: f64) -> Ring {
        self.strip(0.0, kerf)
    }

    /// Whether the bit fits between its bridge and that of another tab, with a hair to spare for the rounding of placed tabs.
    pub fn leaves_room(&self, other: &Tab, kerf: f64) -> bool {
        let (first, second) = (self.bridge(kerf), other.bridge(kerf));
        let crossed = first.contains(other.at) || second.contains(self.at);
        !crossed && ring_distance(&first, &second, 2.0 * kerf) >= kerf + ROOM
    }

    /// The stock the tab lands on: as wide as the tab, from the kerf's far edge [`LANDING_DEPTH`] on.
    pub fn landing(&self, kerf: f64) -> Ring {
        self.strip(kerf, kerf + LANDING_DEPTH)
    }

    /// A rectangle as wide as the tab between two distances from the part's edge.
    fn strip(&self, from: f64, to: f64) -> Ring {
        let half = self.out.perp() * (self.width / 2.0);
        Ring(vec![
            self.at + self.out * from - half,
            self.at + self.out * to - half,
            self.at + self.out * to + half,
            self.at + self.out * from + half,
        ])
        .positive()
    }
}

fn is_false(value: &bool) -> bool {
    !value
}

/// Whether a tab of `height` mm is as high as a sheet of `thickness` mm.
pub(crate) fn is_full(height: f64, thickness: f64) -> bool {
    height >= thickness - FULL
}

/// Points as `[x, y]`.
mod xy {
    use crate::geometry::Point;
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    pub fn serialize<S: Serializer>(p: &Point, s: S) -> Result<S::Ok, S::Error> {
        [p.x, p.y].serialize(s)
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(d: D) -> Result<Point, D::Error> {
        <[f64; 2]>::deserialize(d).map(Point::from)
    }
}
