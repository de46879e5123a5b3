//! One course on its way to its place: heights and setbacks as plain numbers.

use super::search::least;
use super::stand::mean_force;
use super::{Binds, CourseJob, Solved, Stand, stand};
use crate::clearance::Pluck;
use crate::clearance::needed::OpenOver;
use crate::fretboard::Fretboard;
use crate::heights::{FretTops, Relief, StringLine};
use crate::press::{Press, StringOnBoard};
use crate::quantity::{InBenchUnits, newtons};
use crate::range::OutOfRange;
use crate::strung::Strung;

/// One course. `line` is where it stands in the search.
pub(super) struct Seat<'a> {
    pub(super) board: &'a Fretboard,
    pub(super) tops: FretTops,
    pub(super) line: StringLine,
    pub(super) strings: &'a [(Strung, u32)],
    pub(super) press: Press,
    pub(super) pluck: Pluck,
    unit: Option<Vec<f64>>,
    floor_over: f64,
    pub(super) least: f64,
    pub(super) most: f64,
    pub(super) setback: Option<(f64, f64)>,
    pub(super) across: f64,
    pub(super) frame: f64,
    /// The least saddle at which the fretted notes are clear, and the mean force where the line stands.
    pub(super) needed: f64,
    pub(super) force: f64,
    /// By how much the highest saddle is too low, in mm.
    pub(super) short: f64,
    pub(super) is_at_blank: bool,
    pub(super) is_at_cents: bool,
    pub(super) is_at_crown: bool,
    /// The saddle that the limit of cents asks for; none when the least force keeps it.
    pub(super) held: Option<f64>,
    /// Where the line of slots turns, for a given saddle.
    open: Vec<OpenOver>,
}

/// A pluck softer than this, in N, still needs some room: a string that rests on its frets cannot sound.
const SOFTEST_N: f64 = 0.05;
/// Heights nearer than this, in mm, are the same.
const SAME_MM: f64 = 1e-6;
/// Nothing is set higher than this over the frets, in mm.
const HIGHEST_MM: f64 = 38.0;

impl<'a> Seat<'a> {
    pub(super) fn new(job: &CourseJob<'a>, relief: Option<&Relief>) -> Result<Self, OutOfRange> {
        for (strung, _) in job.strings {
            // What a string or a line cannot be is found here, so that nothing fails further on.
            StringOnBoard::new(strung, job.board, job.tops, job.line)?.pressed_by(job.press)?;
        }
        let limits = &job.limits;
        let softest = job.pluck.force().bench().max(SOFTEST_N);
        let least = limits.saddle_least.map_or(-HIGHEST_MM, |h| h.bench());
        Ok(Self {
            board: job.board,
            tops: job.tops.clone(),
            line: job.line,
            strings: job.strings,
            press: job.press,
            pluck: job.pluck.with_force(newtons(softest))?,
            unit: relief.map(|relief| relief.unit(job.board)).transpose()?,
            floor_over: limits.slot_floor.bench(),
            least,
            most: limits
                .saddle_most
                .map_or(HIGHEST_MM, |h| h.bench().min(HIGHEST_MM))
                .max(least),
            setback: limits.setback.map(|(a, b)| (a.bench(), b.bench())),
            across: job.across.bench(),
            frame: job.frame.bench(),
            needed: 0.0,
            force: 0.0,
            short: 0.0,
            is_at_blank: false,
            is_at_cents: false,
            is_at_crown: false,
            held: None,
            open: Vec::new(),
        })
    }

    pub(super) fn bend(&mut self, depth_mm: f64) {
        if let Some(unit) = &self.unit {
            self.tops.bend(unit, depth_mm);
        }
    }

    /// One of its strings with its line at these heights.
    pub(super) fn string(
        &self,
        strung: &Strung,
        nut: f64,
        saddle: f64,
    ) -> Option<StringOnBoard<'_>> {
        let line = StringLine {
            nut_mm: nut,
            saddle_mm: saddle,
            ..self.line
        };
        StringOnBoard::new(strung, self.board, &self.tops, line)
            .and_then(|string| string.pressed_by(self.press))
            .ok()
    }

    /// The slot's floor: the limit over the smooth line of the fret tops at this course's nut.
    pub(super) fn floor(&self) -> f64 {
        self.tops.smooth_mm(self.board.first()) + self.floor_over
    }

    /// The lowest slot for a height of the saddle: the floor, or what the open strings need to clear every fret.
    pub(super) fn slot_for(&self, saddle: f64) -> f64 {
        let floor = self.floor();
        let mut nut = floor;
        // The open length depends on the heights by a millionth: two looks settle it.
        for _ in 0..3 {
            let needs = self.strings.iter().filter_map(|(strung, _)| {
                let open = self.string(strung, nut, saddle)?;
                Some(
                    open.open_needs(&self.pluck)
                        .fold(floor, |most, over| most.max(over.nut(saddle))),
                )
            });
            let next = needs.fold(floor, f64::max);
            let is_settled = (next - nut).abs() < 1e-12;
            nut = next;
            if is_settled {
                break;
            }
        }
        nut
    }

    /// The mean force with the saddle at a height and the slot as low as it may be.
    pub(super) fn force_at(&self, saddle: f64) -> f64 {
        let nut = self.slot_for(saddle);
        self.force_of(nut, saddle).unwrap_or(f64::MAX)
    }

    fn force_of(&self, nut: f64, saddle: f64) -> Option<f64> {
        let mut sum = 0.0;
        for (strung, count) in self.strings {
            sum += mean_force(&self.string(strung, nut, saddle)?)? * f64::from(*count);
        }
        Some(sum)
    }

    /// The least saddle at which every fretted note is clear, the slot as low as it may be: found in turn with the tensions,
    /// which hardly depend on it.
    fn needed(&self) -> f64 {
        let mut saddle = HIGHEST_MM / 4.0;
        // Only the notes that come near the greatest need are looked at again.
        let mut watched: Option<Vec<(usize, u32)>> = None;
        for pass in 0..20 {
            let nut = self.slot_for(saddle);
            let mut all: Vec<(usize, u32, f64)> = Vec::new();
            for (s, (strung, _)) in self.strings.iter().enumerate() {
                let Some(string) = self.string(strung, nut, saddle) else {
                    continue;
                };
                for fret in string.frets() {
                    let is_watched = |w: &Vec<(usize, u32)>| w.contains(&(s, fret));
                    if !watched.as_ref().is_none_or(is_watched) {
                        continue;
                    }
                    let open = string.tension().bench();
                    let tension = if pass == 0 {
                        open
                    } else {
                        string.press(fret).map_or(open, |note| note.tension_n())
                    };
                    let need = string.saddle_needed(fret as usize, tension, &self.pluck);
                    all.push((s, fret, need));
                }
            }
            let next = all
                .iter()
                .map(|a| a.2)
                .fold(-HIGHEST_MM, f64::max)
                .min(HIGHEST_MM);
            let is_settled = (next - saddle).abs() < 1e-11;
            saddle = next;
            if is_settled {
                break;
            }
            if pass == 2 {
                let near = all.iter().filter(|a| a.2 > next - 0.05);
                watched = Some(near.map(|a| (a.0, a.1)).collect());
            }
        }
        saddle
    }

    /// Puts the course where it takes the least force. None when it cannot sound.
    pub(super) fn settle(&mut self) -> Option<()> {
        self.needed = self.needed();
        let low = self.needed.max(self.least);
        self.short = (low - self.most).max(0.0);
        let low = low.min(self.most);
        self.gather(low);
        let best = match self.held {
            Some(held) => held.clamp(low, self.most),
            None if self.short > 0.0 => low,
            None => self.corner_from(low),
        };
        self.stand_at(best)
    }

    /// Sets a course that finds no room for the pluck for the hardest one that it does, found by halving; how much it is short
    /// stays noted.
    pub(super) fn soften(&mut self) -> Option<()> {
        let (own, short, held) = (self.pluck, self.short, self.held.take());
        let (mut soft, mut hard) = (SOFTEST_N, own.force().bench());
        for _ in 0..30 {
            let middle = f64::midpoint(soft, hard);
            self.pluck = own.with_force(newtons(middle)).ok()?;
            self.settle()?;
            if self.short > 0.0 {
                hard = middle;
            } else {
                soft = middle;
            }
        }
        self.pluck = own.with_force(newtons(soft)).ok()?;
        self.settle()?;
        (self.short, self.held) = (short, held);
        Some(())
    }

    /// Stands the course at a saddle's height, its slot as low as it may be.
    pub(super) fn stand_at(&mut self, saddle: f64) -> Option<()> {
        let nut = self.slot_for(saddle);
        self.force = self.force_of(nut, saddle)?;
        self.line.nut_mm = nut;
        self.line.saddle_mm = saddle;
        Some(())
    }

    /// The needs of all open strings at a saddle.
    fn gather(&mut self, saddle: f64) {
        let mut open = std::mem::take(&mut self.open);
        open.clear();
        let nut = self.slot_for(saddle);
        for (strung, _) in self.strings {
            if let Some(string) = self.string(strung, nut, saddle) {
                open.extend(string.open_needs(&self.pluck));
            }
        }
        self.open = open;
    }

    /// From a saddle upwards, the next height at which another fret, or the floor, stops the slot. None when the floor does
    /// already.
    fn next_corner(&self, from: f64) -> Option<f64> {
        let eps = 1e-7;
        let at = from + eps;
        let (mut most, mut share) = (self.floor(), 0.0);
        for over in &self.open {
            let nut = over.nut(at);
            if nut > most {
                (most, share) = (nut, over.share);
            }
        }
        if share <= 0.0 {
            return None;
        }
        // The slot falls along this line by so much for a mm of saddle; lines that fall more slowly cross it further on.
        let falls = |share: f64| share / (1.0 - share);
        let crossing = |nut: f64, by: f64| at + (most - nut) / (falls(share) - by);
        let mut next = crossing(self.floor(), 0.0);
        for over in &self.open {
            if falls(over.share) < falls(share) - 1e-12 {
                next = next.min(crossing(over.nut(at), falls(over.share)));
            }
        }
        Some(next.max(at))
    }

    /// Walks the corners of the line of slots upwards from a saddle while the force falls; then looks between corners.
    fn corner_from(&self, low: f64) -> f64 {
        let (mut before, mut best) = (low, (low, self.force_at(low)));
        let mut after = low;
        for _ in 0..80 {
            let Some(next) = self.next_corner(after) else {
                break;
            };
            after = next.min(self.most);
            let force = self.force_at(after);
            if force >= best.1 {
                break;
            }
            before = best.0;
            best = (after, force);
            if after >= self.most {
                break;
            }
        }
        let step = 1e-4;
        let mut f = |saddle: f64| self.force_at(saddle);
        for side in [after, before] {
            let room = side - best.0;
            if room.abs() > 2.0 * step && f(best.0 + step * room.signum()) < best.1 {
                let (a, b) = if room > 0.0 {
                    (best.0, side)
                } else {
                    (side, best.0)
                };
                return least(&mut f, a, b, 1e-8).0;
            }
        }
        best.0
    }

    /// The highest saddle that could serve: that at which the slot reaches its floor.
    pub(super) fn highest_useful(&self, from: f64) -> f64 {
        let floor = self.floor();
        let at_floor = self
            .open
            .iter()
            .map(|over| (over.least - (1.0 - over.share) * floor) / over.share)
            .fold(from, f64::max);
        at_floor.min(self.most).max(from)
    }

    /// The strings where the course stands.
    pub(super) fn laid(&self) -> Vec<(StringOnBoard<'_>, u32)> {
        let laid = self.strings.iter().filter_map(|(strung, count)| {
            let string = self.string(strung, self.line.nut_mm, self.line.saddle_mm)?;
            Some((string, *count))
        });
        laid.collect()
    }

    pub(super) fn stands(&self) -> Stand {
        stand(&self.laid(), &self.pluck)
    }

    pub(super) fn solved(&self) -> Solved {
        let mut binds = Vec::new();
        let (nut, saddle) = (self.line.nut_mm, self.line.saddle_mm);
        if nut <= self.floor() + SAME_MM {
            binds.push(Binds::SlotFloor);
        }
        let is_wanted = |force: f64| force <= self.pluck.force().bench() * (1.0 + 1e-4);
        for (string, _) in self.laid() {
            for fret in std::iter::once(0).chain(string.frets()) {
                let Ok(clear) = string.clearance(fret, &self.pluck) else {
                    continue;
                };
                let Some(touches) = clear.worst_fret else {
                    continue;
                };
                if !clear.headroom_force.is_some_and(|f| is_wanted(f.bench())) {
                    continue;
                }
                let bind = if fret == 0 {
                    Binds::OpenClear { touches }
                } else {
                    Binds::FrettedClear { fret, touches }
                };
                if !binds.contains(&bind) {
                    binds.push(bind);
                }
            }
        }
        let more = [
            (
                self.least > -HIGHEST_MM && saddle <= self.least + SAME_MM,
                Binds::SaddleLeast,
            ),
            (saddle >= self.most - SAME_MM, Binds::SaddleMost),
            (self.is_at_blank, Binds::Blank),
            (self.is_at_cents, Binds::Cents),
            (self.is_at_crown, Binds::Crown),
        ];
        binds.extend(more.into_iter().filter(|m| m.0).map(|m| m.1));
        Solved {
            line: self.line,
            stand: self.stands(),
            binds,
        }
    }
}
