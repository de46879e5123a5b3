//! The least greatest error, by trying every small set of notes.

/// One note's weighted error and how it moves with saddle and nut, per mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sample {
    pub(super) value: f64,
    pub(super) row: [f64; 2],
}

/// The moves of saddle (and nut, when `both`) that make the greatest `|value + row . move|` least, for errors that are
/// linear in the moves.
///
/// With `k` unknowns the answer is fixed by `k + 1` notes that share the greatest error, and it is that of the `k + 1` notes
/// which by themselves have the most left; so the worst such set is sought and solved. None when fewer notes are given or no
/// set fixes the moves. Source: the duality of linear programmes (de la Vallee Poussin's exchange theorem).
pub(super) fn least_worst(samples: &[Sample], both: bool) -> Option<(f64, f64)> {
    if both { triple(samples) } else { pair(samples) }
}

fn pair(samples: &[Sample]) -> Option<(f64, f64)> {
    let mut best = None;
    let mut most = -1.0;
    for (i, a) in samples.iter().enumerate() {
        for b in samples.iter().skip(i + 1) {
            // Multipliers that cancel the unknown.
            let (la, lb) = (b.row[0], -a.row[0]);
            let size = la.abs() + lb.abs();
            if size < 1e-12 {
                continue;
            }
            let level = (la * a.value + lb * b.value) / size;
            if level.abs() > most {
                most = level.abs();
                // Each note keeps `level` with its multiplier's sign; the one that moves more tells the move.
                let (note, multiplier) = if a.row[0].abs() > b.row[0].abs() {
                    (a, la)
                } else {
                    (b, lb)
                };
                best = Some((
                    (multiplier.signum() * level - note.value) / note.row[0],
                    0.0,
                ));
            }
        }
    }
    best.filter(|(s, _)| s.is_finite())
}

fn triple(samples: &[Sample]) -> Option<(f64, f64)> {
    let cross = |a: &Sample, b: &Sample| a.row[0] * b.row[1] - a.row[1] * b.row[0];
    let mut best = None;
    let mut most = -1.0;
    for (i, a) in samples.iter().enumerate() {
        for (j, b) in samples.iter().enumerate().skip(i + 1) {
            let lc = cross(a, b);
            for c in samples.iter().skip(j + 1) {
                let (la, lb) = (cross(b, c), cross(c, a));
                let size = la.abs() + lb.abs() + lc.abs();
                if size < 1e-12 {
                    continue;
                }
                let level = (la * a.value + lb * b.value + lc * c.value) / size;
                if level.abs() > most {
                    most = level.abs();
                    best = solved([(a, la), (b, lb), (c, lc)], level);
                }
            }
        }
    }
    best
}

/// The moves that leave three notes at `level` with their multipliers' signs, from the two that fix them best.
fn solved(notes: [(&Sample, f64); 3], level: f64) -> Option<(f64, f64)> {
    let [p, q, r] = notes;
    // The multiplier of one note is the determinant of the other two.
    let (first, second) = if r.1.abs() >= p.1.abs() && r.1.abs() >= q.1.abs() {
        (p, q)
    } else if q.1.abs() >= p.1.abs() {
        (p, r)
    } else {
        (q, r)
    };
    let wanted = |(note, multiplier): (&Sample, f64)| multiplier.signum() * level - note.value;
    let (u, v) = (wanted(first), wanted(second));
    let (a, b) = (first.0.row, second.0.row);
    let determinant = a[0] * b[1] - a[1] * b[0];
    let moves = (
        (u * b[1] - v * a[1]) / determinant,
        (a[0] * v - b[0] * u) / determinant,
    );
    (moves.0.is_finite() && moves.1.is_finite()).then_some(moves)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn worst(samples: &[Sample], (s, n): (f64, f64)) -> f64 {
        samples
            .iter()
            .map(|a| (a.value + a.row[0] * s + a.row[1] * n).abs())
            .fold(0.0, f64::max)
    }

    #[test]
    fn a_straight_line_through_a_parabola_leaves_an_eighth() {
        // The best line through x^2 on 0..1 leaves 1/8 at both ends and the middle.
        let samples: Vec<Sample> = (0..=100)
            .map(|i| f64::from(i) / 100.0)
            .map(|x| Sample {
                value: x * x,
                row: [1.0, x],
            })
            .collect();
        let (p, q) = least_worst(&samples, true).unwrap();
        assert!((p - 0.125).abs() < 1e-9 && (q + 1.0).abs() < 1e-9);
        assert!((worst(&samples, (p, q)) - 0.125).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn no_step_from_it_does_better(
            notes in proptest::collection::vec((-3.0..3.0f64, 0.1..3.0f64, -3.0..-0.1f64), 3..14),
            ds in -0.5..0.5f64, dn in -0.5..0.5f64, both: bool,
        ) {
            let samples: Vec<Sample> = notes.iter().map(|&(value, s, n)| Sample { value, row: [s, n] }).collect();
            if let Some(at) = least_worst(&samples, both) {
                let least = worst(&samples, at);
                let dn = if both { dn } else { 0.0 };
                for size in [1.0, 1e-2, 1e-4] {
                    prop_assert!(worst(&samples, (at.0 + size * ds, at.1 + size * dn)) >= least - 1e-9 * (1.0 + least));
                }
            }
        }
    }
}
