//! Where the contact points go once the heights are known.

use super::search::least;
use super::seat::Seat;
use crate::fretboard::Setbacks;
use crate::intonation::{Aim, NutRule, Rule, optimum, residual};
use crate::quantity::{Cents, InBenchUnits, mm};

impl Seat<'_> {
    /// The frets whose cents count: 1 to 12 in front of the nut.
    fn aim(&self, rule: Rule, nut: NutRule) -> Aim<'static> {
        let first = self.board.first_fret();
        Aim {
            frets: first + 1..=first + 12,
            weights: None,
            rule,
            nut,
        }
    }

    /// The most cents of any string where the course stands.
    pub(super) fn worst_cents(&self) -> f64 {
        let aim = self.aim(Rule::LeastSquares, NutRule::Stays);
        let worst = self.laid().into_iter().filter_map(|(string, _)| {
            let left = residual(&string, &aim)?;
            Some(left.worst.1.0.abs())
        });
        worst.fold(0.0, f64::max)
    }

    /// Moves the contact point to its best place by one rule, within the blank. A course of several strings takes the mean of
    /// their places.
    fn tune(&mut self, rule: Rule, nut: NutRule) {
        let aim = self.aim(rule, nut);
        let places: Vec<Setbacks> = self
            .laid()
            .iter()
            .filter_map(|(string, _)| Some(optimum(string, &aim).ok()?.setbacks))
            .collect();
        if places.is_empty() {
            return;
        }
        let count = places.len() as f64;
        let mean = |of: fn(&Setbacks) -> f64| places.iter().map(of).sum::<f64>() / count;
        let (mut saddle, nut_at) = (mean(|s| s.saddle.bench()), mean(|s| s.nut.bench()));
        self.is_at_blank = false;
        if let Some((low, high)) = self.setback {
            let inside = saddle.clamp(low.min(high), high.max(low));
            self.is_at_blank = (inside - saddle).abs() > 1e-9;
            saddle = inside;
        }
        let nut_at = match nut {
            NutRule::Free => nut_at,
            NutRule::Stays => self.line.setbacks(self.board).nut.bench(),
        };
        if let Ok(line) = self.line.moved(
            self.board,
            Setbacks {
                saddle: mm(saddle),
                nut: mm(nut_at),
            },
        ) {
            self.line = line;
        }
    }

    /// Moves it where it is best by least squares; where that leaves a note beyond the limit, where the worst note is least.
    fn tune_within(&mut self, nut: NutRule, limit: Cents) -> f64 {
        self.tune(Rule::LeastSquares, nut);
        let worst = self.worst_cents();
        if worst <= limit.0 {
            return worst;
        }
        self.tune(Rule::Minimax, nut);
        self.worst_cents()
    }

    /// Places the contact point for the present heights. Where the worst note stays beyond the limit and the heights are this
    /// course's own, another saddle with its lowest slot is looked for: the one with the least force that keeps the limit, or
    /// the nearest to it.
    pub(super) fn place(&mut self, nut: NutRule, limit: Cents, is_free: bool) {
        let worst = self.tune_within(nut, limit);
        self.is_at_cents = worst > limit.0;
        if !self.is_at_cents || !is_free || self.short > 0.0 {
            return;
        }
        let (start, low) = (self.line.saddle_mm, self.needed.max(self.least));
        let high = self.highest_useful(low);
        let mut at = |saddle: f64| {
            if self.stand_at(saddle).is_none() {
                return f64::MAX;
            }
            self.tune_within(nut, limit)
        };
        let (mut inside, best) = least(&mut at, low, high, 1e-3);
        if best <= limit.0 {
            // Between the least force and the best tune the limit is just kept somewhere.
            let mut outside = start;
            for _ in 0..30 {
                let middle = f64::midpoint(inside, outside);
                if at(middle) <= limit.0 {
                    inside = middle;
                } else {
                    outside = middle;
                }
            }
        }
        at(inside);
        self.held = Some(inside);
    }
}
