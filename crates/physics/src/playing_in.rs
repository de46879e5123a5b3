//! Playing in: a machine that strokes the strings, how many strokes it has made, and when it will have made enough.
//!
//! There is no clock here: moments come as days since the start.

use crate::range::{OutOfRange, within};

/// A machine as it is set for one instrument.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Machine {
    strokes_per_turn: f64,
    turns_per_minute: f64,
    hours_per_day: f64,
}

/// A counter's reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Count {
    /// Days since the start.
    pub days: f64,
    /// Strokes made by then.
    pub strokes: f64,
}

impl Machine {
    /// A machine that makes so many strokes a turn, at counted turns a minute, for so many hours of each day.
    ///
    /// # Errors
    /// [`OutOfRange`] for strokes outside 0.01 to 1000, turns outside 0.01 to 10 000 or hours outside 0.01 to 24.
    pub fn new(
        strokes_per_turn: f64,
        turns_per_minute: f64,
        hours_per_day: f64,
    ) -> Result<Self, OutOfRange> {
        Ok(Self {
            strokes_per_turn: within("strokes a turn", strokes_per_turn, "", 0.01, 1000.0)?,
            turns_per_minute: within("a rate", turns_per_minute, "turns a minute", 0.01, 10_000.0)?,
            hours_per_day: within("hours a day", hours_per_day, "", 0.01, 24.0)?,
        })
    }

    /// Strokes a minute while it runs: strokes a turn times turns a minute.
    #[must_use]
    pub fn strokes_per_minute(&self) -> f64 {
        self.strokes_per_turn * self.turns_per_minute
    }

    /// Strokes a day: strokes a minute times 60 times the hours that it runs.
    #[must_use]
    pub fn strokes_per_day(&self) -> f64 {
        self.strokes_per_minute() * 60.0 * self.hours_per_day
    }

    /// Days that so many strokes take: strokes over strokes a day. Common practice: a million take nine to ten days of running day
    /// and night, which is 69 to 77 strokes a minute.
    #[must_use]
    pub fn days_for(&self, strokes: f64) -> f64 {
        strokes.max(0.0) / self.strokes_per_day()
    }

    /// Strokes made after so many days, from a counter's reading on: `n = n0 + rate (t - t0)`, never below nothing. The hours of
    /// a day count as spread over it, so within a day the sum may be off by what the machine makes in one.
    #[must_use]
    pub fn strokes_after(&self, days: f64, from: Count) -> f64 {
        (from.strokes + self.strokes_per_day() * (days - from.days)).max(0.0)
    }

    /// The day, counted from the start, on which so many strokes are made: `t = t0 + (n - n0)/rate`.
    #[must_use]
    pub fn day_of(&self, strokes: f64, from: Count) -> f64 {
        from.days + (strokes - from.strokes) / self.strokes_per_day()
    }

    /// By what share a counter ran ahead of what the machine's rate says since the start: `n/(rate t) - 1`; none before it has run for
    /// an hour.
    #[must_use]
    pub fn counter_ahead(&self, count: Count) -> Option<f64> {
        let said = self.strokes_per_day() * count.days;
        (count.days >= 1.0 / 24.0)
            .then(|| count.strokes / said - 1.0)
            .filter(|share| share.is_finite())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_counter_by_hand() {
        let machine = Machine::new(2.0, 30.0, 12.0).unwrap();
        assert!((machine.strokes_per_day() - 43_200.0).abs() < 1e-9);
        let start = Count {
            days: 0.0,
            strokes: 0.0,
        };
        assert!((machine.strokes_after(2.0, start) - 86_400.0).abs() < 1e-9);
        let read = Count {
            days: 2.0,
            strokes: 80_000.0,
        };
        assert!((machine.counter_ahead(read).unwrap() + 0.074_074).abs() < 1e-5);
        assert!((machine.day_of(123_200.0, read) - 3.0).abs() < 1e-12);
        assert_eq!(
            machine.counter_ahead(Count {
                days: 0.0,
                strokes: 5.0
            }),
            None
        );
        assert!((machine.strokes_after(-1.0, start)).abs() < 1e-12);
        assert!(Machine::new(0.0, 30.0, 12.0).is_err() && Machine::new(1.0, 30.0, 25.0).is_err());
    }

    proptest! {
        #[test]
        fn day_and_strokes_agree(per in 1.0..20.0f64, rpm in 1.0..200.0f64, hours in 1.0..24.0f64, goal in 1e3..2e6f64) {
            let machine = Machine::new(per, rpm, hours).unwrap();
            let start = Count { days: 0.0, strokes: 0.0 };
            let day = machine.day_of(goal, start);
            prop_assert!((machine.strokes_after(day, start) / goal - 1.0).abs() < 1e-9);
            prop_assert!((machine.days_for(goal) / day - 1.0).abs() < 1e-12);
        }
    }
}
