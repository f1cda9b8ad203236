//! Ligaments beside openings: how many of them are watched.

use crate::hold::part::sections::Chord;

/// Most ligaments beside openings that are watched: each adds rows.
const LIGAMENTS: usize = 8;

/// Numbers the ligaments, weakest first, and drops those beyond the greatest number.
pub fn thin_ligaments(chords: &mut Vec<Chord>) {
    let mut ligaments = 0;
    chords.retain_mut(|c| {
        if !c.separates() {
            c.ligament = Some(ligaments);
            ligaments += 1;
        }
        c.ligament.is_none_or(|w| w < LIGAMENTS)
    });
}
