//! How long a string must be from end to end.

use crate::quantity::{InBenchUnits, Length, mm};
use crate::range::{OutOfRange, within};
use std::f64::consts::PI;

/// What lies before the nut and behind the saddle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tails {
    /// From the saddle to the string's fastened end.
    pub behind_saddle: Length,
    /// From the nut to the tuner's post.
    pub nut_to_post: Length,
    /// Turns around the post.
    pub turns: f64,
    /// The post's diameter where the string winds.
    pub post: Length,
    /// What is left over beyond the post, to be cut off or to hold by.
    pub spare: Length,
}

impl Tails {
    /// The length of string that a speaking length needs from end to end: `L + behind + to post + n pi (D + d) + spare`, wound
    /// on the middle of a string of diameter `d`. Geometry.
    ///
    /// # Errors
    /// [`OutOfRange`] for a speaking length outside 30 to 2000 mm, a tail outside 0 to 1000 mm, turns outside 0 to 20 or a
    /// post outside 1 to 50 mm.
    pub fn length_needed(&self, speaking: Length, string: Length) -> Result<Length, OutOfRange> {
        let tail =
            |what: &'static str, length: Length| within(what, length.bench(), "mm", 0.0, 1000.0);
        let speaking = within("a speaking length", speaking.bench(), "mm", 30.0, 2000.0)?;
        let string = within("a string's diameter", string.bench(), "mm", 0.05, 10.0)?;
        let behind = tail("a length behind the saddle", self.behind_saddle)?;
        let ahead = tail("a length from nut to post", self.nut_to_post)?;
        let spare = tail("a spare length", self.spare)?;
        let turns = within("a number of turns", self.turns, "", 0.0, 20.0)?;
        let post = within("a post diameter", self.post.bench(), "mm", 1.0, 50.0)?;
        Ok(mm(speaking
            + behind
            + ahead
            + turns * PI * (post + string)
            + spare))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tails(turns: f64) -> Tails {
        Tails {
            behind_saddle: mm(20.0),
            nut_to_post: mm(60.0),
            turns,
            post: mm(6.0),
            spare: mm(0.0),
        }
    }

    #[test]
    fn without_turns_the_parts_add_up_and_each_turn_adds_a_round() {
        let bare = tails(0.0)
            .length_needed(mm(381.0), mm(1.0))
            .unwrap()
            .bench();
        assert!((bare - 461.0).abs() < 1e-9);
        let wound = tails(2.0)
            .length_needed(mm(381.0), mm(1.0))
            .unwrap()
            .bench();
        assert!((wound - bare - 2.0 * PI * 7.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_no_length_is_refused() {
        assert!(tails(0.0).length_needed(mm(f64::NAN), mm(1.0)).is_err());
        assert!(
            tails(f64::INFINITY)
                .length_needed(mm(381.0), mm(1.0))
                .is_err()
        );
    }
}
