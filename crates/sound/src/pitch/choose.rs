//! Which peaks are the partials of one string.

use super::fit::straight;
use super::spectrum::{Peak, Plan};
use super::{HIGHEST_HZ, LOWEST_HZ, NoPitch};
use crate::count;

/// Partials are counted up to here.
const MOST_PARTIALS: u32 = 30;

/// A pitch is tried for each of so many strongest peaks ...
const TRIED_PEAKS: usize = 10;

/// ... as each of its first so many partials.
const TRIED_PARTIALS: u32 = 10;

/// Of the pitches that explain the peaks within this share of the best, the highest is the string's: a pitch an octave
/// below explains the same peaks and has half of its own missing.
const AS_GOOD: f64 = 0.1;

/// What it costs a pitch, as a share of the peaks, if all of its partials were missing up to the highest one found. A string
/// plucked in the middle misses half of them.
const MISSING_COSTS: f64 = 0.15;

/// Below this share of the peaks explained it is not one string.
const LEAST_SHARE: f64 = 0.4;

/// The mains are looked for up to here in Hz.
const HUM_TOP_HZ: f64 = 620.0;

/// No string is stiffer than this, as an inharmonicity coefficient.
const STIFFEST: f64 = 2.5e-3;

/// The mains keep their frequency to this share.
const MAINS_WITHIN: f64 = 0.0025;

/// A hum shows at least one of its first so many partials; a string a few octaves above the mains does not.
const HUM_STARTS_BY: f64 = 2.0;

/// No partial of a hum after those is more than so many times its second strongest: where a peak is, it is a string's.
const HUM_RISES: f64 = 3.0;

/// No partial of a hum is believed to better than this, in Hz: a string's partial beside it draws it aside.
const LEAST_DOUBT_HZ: f64 = 0.1;

/// A pitch this near to a multiple of the mains, as a share, may be an upper partial of a string at their pitch ...
const MULTIPLE_WITHIN: f64 = 0.004;

/// ... which so many further partials tell.
const BESIDE: usize = 2;

/// What the partials of a hum must come to, each counting one over its number: the first alone, or the second with others.
const LEAST_HUM: f64 = 0.7;

/// A string at the pitch of the mains shows so many odd partials over where a hum is looked for: fewer may lie at its places
/// by chance.
const ODD_PARTIALS: usize = 5;

/// How loud a peak may be under the loudest and still count, in decibels.
const RANGE_DB: f64 = 50.0;

/// A peak as a partial of the string.
#[derive(Clone, Copy, Debug)]
pub(super) struct Partial {
    /// Which partial, from 1.
    pub(super) q: u32,
    /// The peak.
    pub(super) peak: Peak,
}

/// The partials of the one string that the peaks come from.
pub(super) fn partials(peaks: &[Peak], plan: &Plan) -> Result<Vec<Partial>, NoPitch> {
    if peaks.is_empty() {
        return Err(NoPitch::Noise);
    }
    let hum = Hum::among(peaks, plan).unless_a_string(peaks, plan);
    let clear: Vec<Peak> = peaks
        .iter()
        .filter(|peak| !hum.takes(peak))
        .copied()
        .collect();
    if clear.is_empty() {
        return Err(NoPitch::Hum);
    }
    let loudest = clear.iter().map(|peak| peak.size).fold(0.0, f64::max);
    let weights: Vec<f64> = clear.iter().map(|peak| weight(peak, loudest)).collect();
    let whole: f64 = weights.iter().sum();
    let mut strongest: Vec<&Peak> = clear.iter().collect();
    strongest.sort_by(|a, b| b.size.total_cmp(&a.size));
    let mut tried: Vec<(f64, f64)> = Vec::new();
    for peak in strongest.iter().take(TRIED_PEAKS) {
        for q in 1..=TRIED_PARTIALS {
            let hz = peak.hz / f64::from(q);
            if (LOWEST_HZ..=HIGHEST_HZ).contains(&hz) {
                let found = matched(hz, 0.0, &clear, plan);
                let explained: f64 = found.iter().map(|(place, _)| weights[*place]).sum();
                let up_to = found.last().map_or(1, |(_, q)| *q);
                let missing = 1.0 - found.len() as f64 / f64::from(up_to);
                tried.push((hz, explained / whole - MISSING_COSTS * missing));
            }
        }
    }
    let best = tried.iter().map(|(_, share)| *share).fold(0.0, f64::max);
    if best < LEAST_SHARE {
        return Err(NoPitch::NotOneString);
    }
    let highest = tried
        .iter()
        .filter(|(_, share)| *share >= best - AS_GOOD)
        .map(|(hz, _)| *hz)
        .fold(0.0, f64::max);
    // Its neighbours are the same pitch, read off other partials: the one that explains most.
    let (hz, _) = tried
        .iter()
        .filter(|(hz, share)| *share >= best - AS_GOOD && *hz > highest * 0.94)
        .fold(
            (highest, 0.0),
            |kept, this| if this.1 > kept.1 { *this } else { kept },
        );
    let hz = hum.rather_a_string(hz, peaks, &clear, plan).unwrap_or(hz);
    let first = partials_of(&matched(hz, 0.0, &clear, plan), &clear);
    let (square, slope) = straight(&first).ok_or(NoPitch::NotOneString)?;
    // Once more from the start, now that it is known how stiff the string is, and with the mains' places too.
    let found = matched(square.sqrt(), slope / square, peaks, plan);
    let mut chosen = partials_of(&found, peaks);
    hum.doubt(&mut chosen, plan);
    Ok(chosen)
}

/// A hum of the mains.
struct Hum {
    /// Its first partial in Hz; none where no hum is heard.
    mains_hz: Option<f64>,
    /// How far a peak may lie from its places, in Hz.
    reach_hz: f64,
    /// The size of its second strongest peak.
    size: f64,
}

impl Hum {
    /// The hum among peaks: several that are the mains' partials to the same part in a thousand, or the first one alone.
    fn among(peaks: &[Peak], plan: &Plan) -> Self {
        let reach_hz = 0.15 / plan.seconds;
        let mut best = Self {
            mains_hz: None,
            reach_hz,
            size: 0.0,
        };
        let mut most = 0.0;
        for mains in [50.0, 60.0] {
            let of_mains: Vec<(f64, &Peak)> = peaks
                .iter()
                .filter(|peak| peak.hz < HUM_TOP_HZ)
                .map(|peak| ((peak.hz / mains).round(), peak))
                .filter(|(k, peak)| {
                    *k > 0.0 && (peak.hz / k - mains).abs() < MAINS_WITHIN * mains + reach_hz / k
                })
                .collect();
            for (k, peak) in &of_mains {
                let tried = Self {
                    mains_hz: Some(peak.hz / k),
                    reach_hz,
                    size: f64::INFINITY,
                };
                let agreeing = of_mains.iter().filter(|(_, peak)| tried.takes(peak));
                // The first partials tell the mains from a string's partials that lie near, the more the closer they agree.
                let count: f64 = agreeing
                    .clone()
                    .map(|(k, other)| {
                        let off = (other.hz - k * tried.mains_hz.unwrap_or(mains)) / reach_hz;
                        (1.0 - off * off) / k
                    })
                    .sum();
                let low = agreeing.clone().any(|(k, _)| *k <= HUM_STARTS_BY);
                // Of all that agree, each by its own doubt.
                let (along, across) = agreeing.clone().fold((0.0, 0.0), |(a, b), (k, peak)| {
                    let weight = k / peak.sd_hz.max(LEAST_DOUBT_HZ).powi(2);
                    (a + weight * peak.hz, b + weight * k)
                });
                let mut sizes: Vec<f64> = agreeing.map(|(_, peak)| peak.size).collect();
                sizes.sort_by(f64::total_cmp);
                let size = sizes.iter().rev().nth(1).copied().unwrap_or(f64::INFINITY);
                if low && count > most && count > LEAST_HUM {
                    most = count;
                    best = Self {
                        mains_hz: Some(along / across),
                        size,
                        ..tried
                    };
                }
            }
        }
        best
    }

    /// No hum where it is a string at the mains' own pitch: its partials go on over where a hum is looked for, the odd ones
    /// too (a string an octave or two above the mains has none of those).
    fn unless_a_string(self, peaks: &[Peak], plan: &Plan) -> Self {
        let Some(mains) = self.mains_hz else {
            return self;
        };
        let clear: Vec<Peak> = peaks.iter().filter(|p| !self.takes(p)).copied().collect();
        let loudest = clear.iter().map(|peak| peak.size).fold(0.0, f64::max);
        let whole: f64 = clear.iter().map(|peak| weight(peak, loudest)).sum();
        let own: Vec<(u32, f64)> = matched(mains, 0.0, &clear, plan)
            .iter()
            .map(|(place, q)| (*q, weight(&clear[*place], loudest)))
            .collect();
        let all: f64 = own.iter().map(|(_, counts)| counts).sum();
        let odd = own.iter().filter(|(q, _)| q % 2 == 1).count();
        // A string at a multiple of the mains has all of its partials at multiples of that.
        let of_its_own = [2, 3, 5, 7].iter().all(|divisor| {
            let beside = own.iter().filter(|(q, _)| q % divisor != 0);
            beside.map(|(_, counts)| counts).sum::<f64>() > 0.2 * all
        });
        if odd >= ODD_PARTIALS && of_its_own && all > 0.6 * whole {
            Self {
                mains_hz: None,
                ..self
            }
        } else {
            self
        }
    }

    /// A pitch at a multiple of the mains may be an upper partial of a string whose lower ones were taken for a hum: such a
    /// string has partials over where a hum is looked for that the higher pitch has not; or all that was taken for a hum are
    /// its partials, and the mains' own first partial is not among them. Its pitch; none where it is a hum.
    fn rather_a_string(&self, hz: f64, peaks: &[Peak], clear: &[Peak], plan: &Plan) -> Option<f64> {
        let mains = self.mains_hz?;
        let times = (hz / mains).round();
        if times < 2.0 || (hz - times * mains).abs() > MULTIPLE_WITHIN * hz {
            return None;
        }
        let theirs = matched(hz, 0.0, clear, plan);
        let all_of = |lower: f64| {
            let mut taken = peaks.iter().filter(|peak| self.takes(peak));
            lower > 1.5 * mains
                && taken.all(|peak| (peak.hz / lower - (peak.hz / lower).round()).abs() < 0.1)
        };
        (1..=count(times) / 2)
            .map(|lower| mains * lower as f64)
            .filter(|lower| *lower >= LOWEST_HZ && (hz / lower - (hz / lower).round()).abs() < 0.02)
            .map(|lower| {
                let own = matched(lower, 0.0, clear, plan);
                let beside = own
                    .iter()
                    .filter(|(place, _)| theirs.iter().all(|(other, _)| other != place));
                (lower, beside.count())
            })
            .filter(|(lower, beside)| *beside >= BESIDE || all_of(*lower))
            .max_by_key(|(_, beside)| *beside)
            .map(|(lower, _)| lower)
    }

    /// Whether a peak is one of its partials.
    fn takes(&self, peak: &Peak) -> bool {
        self.mains_hz.is_some_and(|mains| {
            let line = (peak.hz / mains).round() * mains;
            line > 0.0
                && peak.hz < HUM_TOP_HZ
                && (peak.hz - line).abs() < self.reach_hz
                && (peak.hz < (HUM_STARTS_BY + 0.5) * mains || peak.size <= HUM_RISES * self.size)
        })
    }

    /// What it leaves in doubt: a partial within its lobe is drawn towards it by at most its share of it.
    fn doubt(&self, chosen: &mut [Partial], plan: &Plan) {
        let Some(mains) = self.mains_hz else {
            return;
        };
        for partial in chosen.iter_mut() {
            let line = (partial.peak.hz / mains).round() * mains;
            let near = (partial.peak.hz - line).abs() < 2.5 / plan.seconds;
            if near && line <= HUM_TOP_HZ {
                let drawn = 0.5 / plan.seconds * (self.size / partial.peak.size).min(1.0);
                partial.peak.sd_hz = partial.peak.sd_hz.hypot(drawn);
            }
        }
    }
}

fn partials_of(found: &[(usize, u32)], peaks: &[Peak]) -> Vec<Partial> {
    found
        .iter()
        .map(|&(place, q)| Partial {
            q,
            peak: peaks[place],
        })
        .collect()
}

/// What a peak counts: the decibels by which it stands over the noise, or over the least that counts, whichever is less.
fn weight(peak: &Peak, loudest: f64) -> f64 {
    let db = |ratio: f64| 20.0 * ratio.log10();
    (db(peak.size / peak.noise) - 9.0)
        .min(RANGE_DB + db(peak.size / loudest))
        .clamp(0.0, RANGE_DB)
}

/// The peaks (by place) that are partials of a string of this pitch without stiffness, and which. Each partial found
/// tells more of the string's stiffness, so that the next is looked for at its own place.
fn matched(hz: f64, coefficient: f64, peaks: &[Peak], plan: &Plan) -> Vec<(usize, u32)> {
    let mut found: Vec<(usize, u32)> = Vec::new();
    let (mut square, mut slope) = (hz * hz, coefficient * hz * hz);
    for q in 1..=MOST_PARTIALS {
        let count = f64::from(q);
        let expected = count * (square + slope * count * count).max(0.0).sqrt();
        if expected > plan.top_hz() {
            break;
        }
        let reach = (1.5 / plan.seconds).max((0.01 * hz * count).min(0.1 * hz));
        let from = peaks.partition_point(|peak| peak.hz < expected - reach);
        let nearest = peaks
            .iter()
            .enumerate()
            .skip(from)
            .take_while(|(_, peak)| peak.hz <= expected + reach)
            .filter(|(place, _)| found.last().is_none_or(|(last, _)| last < place))
            .max_by(|(_, a), (_, b)| {
                let worth = |peak: &Peak| peak.size * (1.2 - (peak.hz - expected).abs() / reach);
                worth(a).total_cmp(&worth(b))
            });
        if let Some((place, _)) = nearest {
            found.push((place, q));
            // Two partials may both be another's; from the third on they are believed.
            let line = straight(&partials_of(&found, peaks));
            if let Some(line) = line.filter(|_| found.len() > 2) {
                (square, slope) = (
                    line.0,
                    line.1.clamp(-0.1 * STIFFEST * line.0, STIFFEST * line.0),
                );
            }
        }
    }
    found
}
