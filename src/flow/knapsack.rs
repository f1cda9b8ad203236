//! The copies that are worth most together and fit by area: the bounded knapsack by dynamic programming (Kellerer, Pferschy &
//! Pisinger, *Knapsack Problems*, 2004, from memory), areas rounded up to a grid.

/// Steps that the room is split into: areas are then at most 0.05 % of it too large.
const STEPS: usize = 2000;
/// What a copy is worth for its area alone, as a share of what all are worth: of two choices worth the same, the fuller one.
const FOR_AREA: f64 = 1e-6;

/// How many copies of each part to take, `most` at most, so that their areas are within `room` and their worth is greatest.
pub(super) fn most_worth(worth: &[f64], area: &[f64], most: &[usize], room: f64) -> Vec<usize> {
    let all: f64 = worth.iter().zip(most).map(|(v, n)| v * *n as f64).sum();
    let step = room / STEPS as f64;
    let mut copies: Vec<(usize, usize, f64)> = vec![];
    for k in 0..worth.len() {
        // What is exactly as large as the room fits.
        let size = (area[k] / step - 1e-6).ceil().max(0.0) as usize;
        let value = worth[k] + FOR_AREA * all * area[k] / room;
        let fit = (STEPS / size.max(1)).min(most[k]);
        copies.extend((0..if size > STEPS { 0 } else { fit }).map(|_| (k, size, value)));
    }
    let mut best = vec![0.0; STEPS + 1];
    let mut taken = vec![false; copies.len() * (STEPS + 1)];
    for (i, &(_, size, value)) in copies.iter().enumerate() {
        for filled in (size..=STEPS).rev() {
            if best[filled - size] + value > best[filled] {
                best[filled] = best[filled - size] + value;
                taken[i * (STEPS + 1) + filled] = true;
            }
        }
    }
    let mut filled = STEPS;
    let mut chosen = vec![0; worth.len()];
    for (i, &(k, size, _)) in copies.iter().enumerate().rev() {
        if taken[i * (STEPS + 1) + filled] {
            chosen[k] += 1;
            filled -= size;
        }
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: a room of 10 for pieces of 6 worth 10, two of 5 worth 6 and two of 4 worth 5: 6 and 4 are worth 15; two of 5 worth
    /// 12. With one of 4 worth nothing, 6 alone and its 4 fill the room, at the same worth. What is larger than the room is left.
    #[test]
    fn the_worthiest_copies_fill_the_room() {
        let of =
            |worth: &[f64], most: &[usize]| most_worth(worth, &[6.0, 5.0, 4.0, 11.0], most, 10.0);
        assert_eq!(of(&[10.0, 6.0, 5.0, 99.0], &[1, 2, 2, 1]), [1, 0, 1, 0]);
        assert_eq!(of(&[10.0, 4.9, 0.0, 99.0], &[1, 2, 2, 1]), [1, 0, 1, 0]);
        assert_eq!(of(&[10.0, 6.0, 5.0, 99.0], &[0, 2, 2, 1]), [0, 2, 0, 0]);
        assert_eq!(of(&[1.0; 4], &[0; 4]), [0; 4]);
    }
}
