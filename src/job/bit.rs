//! A bit on hand and how it is driven.

/// Which way the flutes wind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spiral {
    /// Lifts chips, and the part.
    Up,
    /// Presses the part down.
    Down,
    /// Neither.
    Straight,
}

/// A bit on hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Bit {
    /// Its name in the job.
    pub name: String,
    /// mm.
    pub diameter: f64,
    /// Cutting edges.
    pub flutes: u32,
    /// Which way the flutes wind.
    pub spiral: Spiral,
    /// Helix angle, radians, never negative; see [`Bit::helix_deg`] for the signed one.
    pub helix: f64,
    /// Greatest depth of a pass, mm.
    pub pass_depth: f64,
    /// Feed, mm/min.
    pub feed: f64,
    /// Spindle speed, turns a minute.
    pub rpm: f64,
    /// How much narrower than the bit a slot, hole or gap may be drawn and still be cut, at the bit's width, mm.
    pub allowance: f64,
}

impl Bit {
    /// Feed per tooth f_z = v_f / (N n), mm.
    pub fn feed_per_tooth(&self) -> f64 {
        self.feed / (f64::from(self.flutes) * self.rpm)
    }

    /// Helix angle in degrees as the layout has it: negative for a down-spiral, 0 for a straight bit.
    pub fn helix_deg(&self) -> f64 {
        match self.spiral {
            Spiral::Up => self.helix.to_degrees(),
            Spiral::Down => -self.helix.to_degrees(),
            Spiral::Straight => 0.0,
        }
    }
}
