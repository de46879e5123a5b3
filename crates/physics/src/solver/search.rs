//! The least of a function of one number.

/// `(sqrt(5) - 1)/2`: what a golden step keeps.
const KEEPS: f64 = 0.618_033_988_749_894_9;

/// Where a function with one valley is least between two places, to a tolerance, and how much it is there. The ends are
/// looked at too. Source: golden section search (Kiefer 1953).
pub(super) fn least(
    f: &mut dyn FnMut(f64) -> f64,
    mut low: f64,
    mut high: f64,
    tolerance: f64,
) -> (f64, f64) {
    let ends = [(low, f(low)), (high, f(high))];
    let mut best = if ends[0].1 <= ends[1].1 {
        ends[0]
    } else {
        ends[1]
    };
    let (mut a, mut b) = (high - KEEPS * (high - low), low + KEEPS * (high - low));
    let (mut fa, mut fb) = (f(a), f(b));
    for _ in 0..200 {
        if high - low <= tolerance {
            break;
        }
        if fa <= fb {
            (high, b, fb) = (b, a, fa);
            a = high - KEEPS * (high - low);
            fa = f(a);
        } else {
            (low, a, fa) = (a, b, fb);
            b = low + KEEPS * (high - low);
            fb = f(b);
        }
    }
    for at in [(a, fa), (b, fb)] {
        if at.1 < best.1 {
            best = at;
        }
    }
    best
}
