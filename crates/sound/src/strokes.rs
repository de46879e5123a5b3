//! Strokes of a playing-in machine, counted from their sound.

use crate::{HIGHEST_RATE, LOWEST_RATE, count};
use strungwell_physics::range::{OutOfRange, within};

/// One frame of the loudness in seconds.
const FRAME_S: f64 = 0.005;

/// Two strokes are at least this far apart, in seconds; a knock and its echo are one.
const LEAST_GAP_S: f64 = 0.06;

/// A stroke rises by at least so many decibels over what was heard just before ...
const RISE_DB: f64 = 5.0;

/// ... and stands within so many decibels of the strokes' usual level.
const RANGE_DB: f64 = 18.0;

/// The fewest strokes from which a rate is told.
const FEWEST: usize = 4;

/// A gap that is off a whole number of usual gaps by more than this share of one is uneven.
const UNEVEN: f64 = 0.3;

/// The longest piece of sound, in seconds, that may be missed: over a longer one the strokes in it are not numbered for certain.
const LONGEST_MISS_S: f64 = 3.0;

/// The longest time over which a rate is told, in seconds.
pub const SPAN_S: f64 = 60.0;

/// How often the machine strikes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rate {
    /// Strokes in a minute.
    pub per_minute: f64,
    /// One standard deviation of it: from the unevenness of the strokes and the length of one frame, and from one stroke more or
    /// less for each gap that is too uneven, or too long after too few strokes, to be numbered for certain.
    pub sd_per_minute: f64,
    /// How many strokes were heard in that time.
    pub strokes: usize,
    /// From the first of them to the last, in seconds.
    pub span_s: f64,
}

/// Counts strokes as the sound comes in, piece by piece.
///
/// A stroke is a sudden rise of the loudness: the energy of a short frame, taken of the sound's differences so that a slow
/// hum hardly counts, against the loudest of the frames just before. It follows the energy methods of onset detection surveyed by
/// Bello and others (IEEE Trans. Speech Audio Process. 13(5), 2005; from memory).
pub struct Strokes {
    frame: usize,
    rate: f64,
    before: f32,
    energy: f64,
    filled: usize,
    frames: u64,
    /// Levels of the last frames in dB, the newest last.
    levels: Vec<f64>,
    /// Frames of the strokes in the last [`SPAN_S`], each with its level.
    onsets: Vec<(u64, f64)>,
    total: u64,
}

/// How many frames back a rise is looked for.
const BACK: usize = 6;

impl Strokes {
    /// A counter at a sample rate in Hz.
    ///
    /// # Errors
    /// When the rate is outside [`LOWEST_RATE`] to [`HIGHEST_RATE`].
    pub fn new(sample_rate: f64) -> Result<Self, OutOfRange> {
        let rate = within(
            "a sample rate",
            sample_rate,
            "Hz",
            LOWEST_RATE,
            HIGHEST_RATE,
        )?;
        Ok(Self {
            frame: count(rate * FRAME_S).max(1),
            rate,
            before: 0.0,
            energy: 0.0,
            filled: 0,
            frames: 0,
            levels: Vec::new(),
            onsets: Vec::new(),
            total: 0,
        })
    }

    /// Takes the next piece of sound, of any length, and tells how many strokes were in it. A sample that is no number counts
    /// as silence.
    pub fn listen(&mut self, samples: &[f32]) -> usize {
        let mut heard = 0;
        for sample in samples {
            let value = if sample.abs() <= 1e6 { *sample } else { 0.0 };
            let step = f64::from(value) - f64::from(self.before);
            self.before = value;
            self.energy += step * step;
            self.filled += 1;
            if self.filled == self.frame {
                heard += usize::from(self.framed());
            }
        }
        heard
    }

    /// So many samples came and were not heard. The strokes among them are numbered all the same, as [`Strokes::rate`] does with
    /// any that it missed; after more than three seconds the count begins anew. Whether it goes on.
    pub fn miss(&mut self, samples: f64) -> bool {
        let goes_on = samples <= self.rate * LONGEST_MISS_S;
        if goes_on {
            let whole = self.filled + count(samples);
            self.frames += (whole / self.frame) as u64;
            self.filled = whole % self.frame;
        } else {
            (self.filled, self.frames, self.total) = (0, 0, 0);
            self.onsets.clear();
        }
        // What was heard before is not just before what comes now.
        self.energy = 0.0;
        self.before = 0.0;
        self.levels.clear();
        goes_on
    }

    /// A frame is full: whether a stroke begins in it.
    fn framed(&mut self) -> bool {
        let level = 10.0 * (self.energy / self.frame as f64).max(1e-14).log10();
        self.energy = 0.0;
        self.filled = 0;
        self.frames += 1;
        // A stroke may begin late in the frame before, which therefore does not count.
        let loudest = self
            .levels
            .iter()
            .rev()
            .skip(1)
            .copied()
            .fold(f64::NEG_INFINITY, f64::max);
        let first = self.levels.len() < BACK;
        if self.levels.len() == BACK {
            self.levels.remove(0);
        }
        self.levels.push(level);
        let apart = self
            .onsets
            .last()
            .is_none_or(|(last, _)| (self.frames - last) as f64 * self.frame_s() > LEAST_GAP_S);
        let usual = self.usual_level();
        if first
            || !apart
            || level < loudest + RISE_DB
            || level < usual - RANGE_DB
            || level < -110.0
        {
            return false;
        }
        let span = count(SPAN_S / self.frame_s()) as u64;
        self.onsets.push((self.frames, level));
        self.onsets.retain(|(frame, _)| frame + span >= self.frames);
        self.total += 1;
        true
    }

    fn frame_s(&self) -> f64 {
        self.frame as f64 / self.rate
    }

    /// The median level of the strokes so far; far below everything before the first.
    fn usual_level(&self) -> f64 {
        let mut levels: Vec<f64> = self.onsets.iter().map(|(_, level)| *level).collect();
        levels.sort_by(f64::total_cmp);
        levels.get(levels.len() / 2).copied().unwrap_or(-200.0)
    }

    /// The mean of those gaps that hold one stroke, and its standard deviation, both in seconds. A time is told by whole frames: a
    /// single gap, even the median one, is not near enough to number the strokes of a long miss by.
    fn usual_gap(&self, gaps: &[f64]) -> (f64, f64) {
        let mut single = gaps.to_vec();
        single.sort_by(f64::total_cmp);
        let median = single[single.len() / 2];
        single.retain(|gap| (gap / median).round() == 1.0);
        let n = single.len() as f64;
        let mean = single.iter().sum::<f64>() / n;
        let scatter: f64 = single.iter().map(|gap| (gap - mean).powi(2)).sum();
        // Two times, each with a frame's doubt, make a gap.
        let variance = (scatter / n).max(self.frame_s().powi(2) / 6.0);
        (mean, (variance / n).sqrt())
    }

    /// All strokes since the beginning.
    #[must_use]
    pub const fn counted(&self) -> u64 {
        self.total
    }

    /// The rate over the last minute; none before four strokes. The strokes' times are fitted with a straight line over their
    /// numbers, so that the rate rests on all of them; where a gap is twice the usual one, a stroke between was missed and is
    /// numbered all the same.
    #[must_use]
    pub fn rate(&self) -> Option<Rate> {
        let n = self.onsets.len();
        if n < FEWEST {
            return None;
        }
        let times: Vec<f64> = self
            .onsets
            .iter()
            .map(|(frame, _)| *frame as f64 * self.frame_s())
            .collect();
        let gaps: Vec<f64> = times.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let (usual, doubt) = self.usual_gap(&gaps);
        let mut numbers = vec![0.0];
        let mut number = 0.0;
        // By how many strokes the numbers may be off.
        let mut off: f64 = 0.0;
        for gap in &gaps {
            let steps = (gap / usual).round().max(1.0);
            // Two standard deviations of how many strokes the gap holds.
            let unsure = 2.0 * steps * doubt / usual;
            if (gap / usual - steps).abs() > UNEVEN || unsure > 0.5 {
                off += unsure.max(1.0);
            }
            number += steps;
            numbers.push(number);
        }
        let mean_t = times.iter().sum::<f64>() / n as f64;
        let mean_k = numbers.iter().sum::<f64>() / n as f64;
        let across: f64 = numbers.iter().map(|k| (k - mean_k).powi(2)).sum();
        let both = || numbers.iter().zip(&times);
        let apart = both()
            .map(|(k, t)| (k - mean_k) * (t - mean_t))
            .sum::<f64>()
            / across;
        let misfit: f64 = both()
            .map(|(k, t)| (t - mean_t - apart * (k - mean_k)).powi(2))
            .sum();
        // A frame's own length is in every time: its variance is a twelfth of its square.
        let uneven = (misfit / (n - 2) as f64).max(self.frame_s().powi(2) / 12.0);
        let sd = (uneven / across).sqrt();
        let span_s = times[n - 1] - times[0];
        // A gap that is no whole number of the usual ones may hide a stroke or hold one too many; a long one after few strokes hides
        // an unsure number of them.
        let off_per_minute = 60.0 * off / span_s;
        let per_minute = 60.0 / apart;
        (apart > 0.0).then(|| Rate {
            per_minute,
            sd_per_minute: (per_minute * sd / apart).hypot(off_per_minute),
            strokes: n,
            span_s,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::noise::Noise;

    const RATE: f64 = 16_000.0;

    /// A minute of strokes over noise, each dying away; every `skipped`th is left out.
    fn minute(per_minute: f64, noise_size: f64, skipped: usize) -> Vec<f32> {
        dying(9.0, per_minute, noise_size, skipped)
    }

    /// The same, where each dies away to an e-th so many times a second.
    fn dying(quickly: f64, per_minute: f64, noise_size: f64, skipped: usize) -> Vec<f32> {
        let mut noise = Noise::new(7);
        let apart = 60.0 / per_minute;
        let mut sound: Vec<f64> = (0..count(60.0 * RATE))
            .map(|i| {
                let hum = 0.02 * (i as f64 / RATE * 314.0).sin();
                noise_size * (noise.even() - 0.5) + hum
            })
            .collect();
        let mut k = 0;
        loop {
            k += 1;
            // The machine is a little uneven.
            let at = count((k as f64 * apart + 0.01 * (noise.even() - 0.5)) * RATE);
            if at + 8_000 > sound.len() {
                break;
            }
            if skipped > 0 && k % skipped == 0 {
                continue;
            }
            for i in 0..8_000 {
                let t = i as f64 / RATE;
                sound[at + i] += 0.3 * (-quickly * t).exp() * (t * 2100.0).sin();
            }
        }
        sound.into_iter().map(crate::sample).collect()
    }

    #[test]
    fn strokes_are_counted_whatever_the_pieces() {
        for (per_minute, pieces) in [
            (40.0, &[1000][..]),
            (111.3, &[128, 44_100]),
            (240.0, &[1000]),
        ] {
            let sound = minute(per_minute, 0.02, 0);
            for &piece in pieces {
                let mut strokes = Strokes::new(RATE).unwrap();
                let heard: usize = sound.chunks(piece).map(|p| strokes.listen(p)).sum();
                assert_eq!(heard as u64, strokes.counted());
                let rate = strokes.rate().unwrap();
                let off = (rate.per_minute - per_minute).abs();
                assert!(off < 4.0 * rate.sd_per_minute, "{per_minute}: {rate:?}");
                assert!(rate.sd_per_minute < 0.01 * per_minute, "{rate:?}");
            }
        }
    }

    #[test]
    fn a_missed_stroke_does_not_slow_the_rate() {
        let mut strokes = Strokes::new(RATE).unwrap();
        strokes.listen(&minute(120.0, 0.02, 30));
        let rate = strokes.rate().unwrap();
        assert!((rate.per_minute - 120.0).abs() < 0.3, "{rate:?}");
        assert!(rate.strokes < 117, "{rate:?}");
    }

    #[test]
    fn sound_that_was_not_heard_does_not_change_the_rate() {
        let sound = minute(120.0, 0.02, 0);
        let mut strokes = Strokes::new(RATE).unwrap();
        // A piece of 0.7 to 2.9 s is lost every four seconds.
        for (at, piece) in sound.chunks(count(4.0 * RATE)).enumerate() {
            let (lost, heard) = piece.split_at(count((0.7 + 2.2 * (at as f64 / 15.0)) * RATE));
            assert!(strokes.miss(lost.len() as f64));
            strokes.listen(heard);
        }
        let rate = strokes.rate().unwrap();
        assert!((rate.per_minute - 120.0).abs() < 0.3, "{rate:?}");
        assert!(rate.sd_per_minute < 0.3, "{rate:?}");
        assert!(rate.strokes < 80, "{rate:?}");
        // Longer than that: as if nothing had been heard before.
        assert!(!strokes.miss(3.1 * RATE));
        assert_eq!((strokes.counted(), strokes.rate()), (0, None));
        strokes.listen(&minute(60.0, 0.02, 0));
        let rate = strokes.rate().unwrap();
        assert!((rate.per_minute - 60.0).abs() < 0.3, "{rate:?}");
    }

    #[test]
    fn the_strokes_of_a_long_miss_are_numbered_at_any_rate() {
        for per_minute in [90.0, 300.0, 480.0, 650.0, 880.0] {
            // Strokes so close are heard where they die away before the next.
            let sound = dying(
                if per_minute > 400.0 { 40.0 } else { 9.0 },
                per_minute,
                0.02,
                0,
            );
            for lost_s in [1.0, 2.0, 2.5, 2.95] {
                // After fifteen seconds, and after eight strokes.
                for before_s in [15.0, 8.0 * 60.0 / per_minute] {
                    let mut strokes = Strokes::new(RATE).unwrap();
                    let (before, rest) = sound.split_at(count(before_s * RATE));
                    let (lost, after) = rest.split_at(count(lost_s * RATE));
                    strokes.listen(before);
                    assert!(strokes.miss(lost.len() as f64));
                    strokes.listen(&after[..count((25.0 - before_s) * RATE)]);
                    let rate = strokes.rate().unwrap();
                    let off = (rate.per_minute - per_minute).abs();
                    let case = format!("{per_minute}, {lost_s} s lost after {before_s}: {rate:?}");
                    assert!(off < 4.0 * rate.sd_per_minute, "{case}");
                    assert!(rate.sd_per_minute < 0.01 * per_minute, "{case}");
                }
            }
        }
        // Where few strokes were heard on either side, the error says what is not known.
        let sound = dying(40.0, 650.0, 0.02, 0);
        let mut strokes = Strokes::new(RATE).unwrap();
        let few = count(0.32 * RATE);
        strokes.listen(&sound[..few]);
        strokes.miss(2.5 * RATE);
        strokes.listen(&sound[few + count(2.5 * RATE)..][..few]);
        let rate = strokes.rate().unwrap();
        assert!(rate.sd_per_minute > 10.0, "{rate:?}");
    }

    #[test]
    fn uneven_strokes_widen_the_error() {
        let mut strokes = Strokes::new(RATE).unwrap();
        let both: Vec<f32> = minute(60.0, 0.02, 0)
            .iter()
            .zip(minute(43.0, 0.02, 0))
            .map(|(a, b)| a + b)
            .collect();
        strokes.listen(&both);
        let rate = strokes.rate().unwrap();
        assert!(rate.sd_per_minute > 0.9, "{rate:?}");
    }

    #[test]
    fn strokes_lost_in_the_ringing_of_others_widen_the_error() {
        let mut strokes = Strokes::new(RATE).unwrap();
        strokes.listen(&minute(650.0, 0.02, 0));
        let rate = strokes.rate().unwrap();
        assert!(strokes.counted() < 500, "{rate:?}");
        let off = (rate.per_minute - 650.0).abs();
        assert!(off < 2.0 * rate.sd_per_minute, "{rate:?}");
        assert!(rate.sd_per_minute > 65.0, "{rate:?}");
    }

    #[test]
    fn noise_and_hum_are_no_strokes() {
        let mut strokes = Strokes::new(RATE).unwrap();
        strokes.listen(&minute(0.5, 0.05, 1));
        strokes.listen(&[f32::NAN; 1000]);
        assert_eq!((strokes.counted(), strokes.rate()), (0, None));
    }
}
