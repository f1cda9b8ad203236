//! Walls beside openings: how many of them are watched.

use crate::hold::part::sections::Chord;

/// Most walls beside openings that are watched: each costs further rows.
const WALLS: usize = 8;

/// Numbers the walls, weakest first, and drops those beyond the most.
pub fn thin_walls(chords: &mut Vec<Chord>) {
    let mut walls = 0;
    chords.retain_mut(|c| {
        if !c.separates() {
            c.wall = Some(walls);
            walls += 1;
        }
        c.wall.is_none_or(|w| w < WALLS)
    });
}
