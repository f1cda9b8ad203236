//! A bit on hand and how it is driven.

use super::checker::Checker;
use super::file::BitTable;
use super::issue::IssueKind;
use super::length::Length;
use crate::layout::{ALLOWANCE, AssumedValue, LEAST_ALLOWANCE, MOST_ALLOWANCE, Subject, Winding};

/// Feed per tooth over the bit's diameter where the job gives no feed: a small bit in hardwood (common practice, no source).
const USUAL_CHIP: f64 = 0.02;

/// Turns a minute where the job gives none: what small spindles and trim routers reach (common practice, no source).
const USUAL_RPM: f64 = 18_000.0;

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
    /// Diameter, mm.
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

impl Spiral {
    /// The same in the layout's words.
    fn winding(self) -> Winding {
        match self {
            Spiral::Up => Winding::Up,
            Spiral::Down => Winding::Down,
            Spiral::Straight => Winding::Straight,
        }
    }
}

impl Checker {
    /// The bit that a table of the job file describes; what the table leaves open is noted as assumed.
    pub(super) fn bit(&mut self, table: &BitTable) -> Bit {
        let place = format!("bit '{}'", table.name);
        let diameter = self.length(&place, "diameter", &table.diameter);
        let spiral = match table.spiral.as_deref() {
            Some("up") => Spiral::Up,
            Some("down") => Spiral::Down,
            None | Some("straight") => Spiral::Straight,
            Some(other) => {
                let (key, known) = ("spiral", &["up", "down", "straight"][..]);
                let written = Some(other.to_string());
                self.fault(&place, IssueKind::NotOneOf { key, known, written });
                Spiral::Straight
            }
        };
        let helix = table.helix.unwrap_or(if spiral == Spiral::Straight { 0.0 } else { 30.0 });
        let (flutes, rpm) = (table.flutes.unwrap_or(2), table.rpm.unwrap_or(USUAL_RPM));
        for (key, value, range) in [
            ("helix", helix, (0.0, 60.0)),
            ("flutes", f64::from(flutes), (1.0, 12.0)),
            ("rpm", rpm, (100.0, 200_000.0)),
        ] {
            if !(range.0..=range.1).contains(&value) {
                let degrees = key == "helix";
                self.fault(&place, IssueKind::OutOfRange { key, range, degrees });
            }
        }
        let usual_feed = USUAL_CHIP * diameter * f64::from(flutes) * rpm;
        let feed = table.feed.as_ref().map_or(usual_feed, |f| self.feed(&place, f));
        let pass_depth = table
            .pass_depth
            .as_ref()
            .map_or(diameter / 2.0, |d| self.length(&place, "pass-depth", d));
        let open = [
            (table.spiral.is_none(), AssumedValue::Spiral(spiral.winding())),
            (table.helix.is_none() && spiral != Spiral::Straight, AssumedValue::HelixDeg(helix)),
            (table.flutes.is_none(), AssumedValue::Flutes(flutes)),
            (table.pass_depth.is_none(), AssumedValue::PassDepth(pass_depth)),
            (table.feed.is_none(), AssumedValue::Feed(feed)),
            (table.rpm.is_none(), AssumedValue::Rpm(rpm)),
        ];
        for (_, value) in open.into_iter().filter(|(open, _)| *open) {
            self.assume(Subject::Bit(table.name.clone()), value);
        }
        let allowance = self.allowance(&place, table);
        let helix = helix.to_radians();
        let name = table.name.clone();
        Bit { name, diameter, flutes, spiral, helix, pass_depth, feed, rpm, allowance }
    }

    /// How much narrower than the bit a detail may be, mm.
    fn allowance(&mut self, place: &str, table: &BitTable) -> f64 {
        let Some(given) = &table.allowance else { return ALLOWANCE };
        let allowance = self.length(place, "allowance", given);
        if !(LEAST_ALLOWANCE..=MOST_ALLOWANCE).contains(&allowance) {
            let (key, range) = ("allowance", (LEAST_ALLOWANCE, MOST_ALLOWANCE));
            self.fault(place, IssueKind::LengthOutOfRange { key, range });
        }
        allowance
    }

    /// A feed in mm/min, from a length a minute, with or without `/min`.
    fn feed(&mut self, place: &str, feed: &Length) -> f64 {
        let length = feed.a_minute().filter(|length| length.mm(self.units).is_ok());
        let Some(length) = length else {
            self.fault(place, IssueKind::NotFeed { written: feed.written() });
            return 1.0;
        };
        self.length(place, "feed", &length)
    }
}
