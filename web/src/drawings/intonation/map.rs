//! The map of cents: each string a strip over one axis of frets, sharp upwards from a line that is true.

use crate::markup::prelude::*;
use std::fmt::Write as _;
use strungwell_workshop::report::READING_SD_CENTS as REPEATS;
use strungwell_workshop::report::saddle_view::{NoteCents, SaddleView, Strand};
use strungwell_workshop::units::signed;

const WIDTH: f64 = 720.0;
const LEFT: f64 = 118.0;
const RIGHT: f64 = 16.0;
/// Room over the strips for the frets' numbers.
const HEAD: f64 = 30.0;
/// Room over and under the lines of a strip.
const PAD: f64 = 13.0;
/// What the strips would be in height, if all were alike.
const STRIP: f64 = 66.0;
/// The least that a strip spans each way, in cents.
const LEAST: f64 = 3.5;

/// One strip: where it stands and what it spans.
struct Strip {
    top: f64,
    low: f64,
    high: f64,
}

/// The strips, drawing units a cent, and the height of all.
struct Layout {
    strips: Vec<Strip>,
    scale: f64,
    height: f64,
}

impl Layout {
    fn of(strands: &[Strand]) -> Self {
        let spans: Vec<(f64, f64)> = strands.iter().map(span).collect();
        let whole: f64 = spans.iter().map(|(low, high)| high - low).sum();
        #[allow(clippy::cast_precision_loss)]
        let count = strands.len().max(1) as f64;
        // One scale for all strips, so that the sharpest looks it.
        let scale = (STRIP * count / whole.max(1.0)).clamp(0.8, 9.0);
        let mut y = HEAD;
        let strips = spans
            .into_iter()
            .map(|(low, high)| {
                let top = y;
                y += (high - low) * scale + 2.0 * PAD;
                Strip { top, low, high }
            })
            .collect();
        Self {
            strips,
            scale,
            height: y + 4.0,
        }
    }

    fn y(&self, strip: &Strip, cents: f64) -> f64 {
        strip.top + PAD + (strip.high - cents.clamp(strip.low, strip.high)) * self.scale
    }
}

/// What a strip must span, with no end far out for a note that is far off.
fn span(strand: &Strand) -> (f64, f64) {
    let all = strand
        .notes
        .iter()
        .flat_map(|n| [n.now, n.best, n.band.map(|b| b[0]), n.band.map(|b| b[1])]);
    all.flatten().fold((-LEAST, LEAST), |(low, high), cents| {
        (low.min(cents.max(-150.0)), high.max(cents.min(150.0)))
    })
}

/// The step of the scale's ticks in cents.
fn tick(scale: f64) -> f64 {
    [2.0, 5.0, 10.0, 20.0, 50.0]
        .into_iter()
        .find(|step| step * scale >= 17.0)
        .unwrap_or(100.0)
}

fn across(fret: u32, frets: u32) -> f64 {
    LEFT + (WIDTH - LEFT - RIGHT) * f64::from(fret) / f64::from(frets.max(1))
}

/// A line through the notes that have a figure, broken where one has none.
fn line(
    notes: &[NoteCents],
    of: impl Fn(&NoteCents) -> Option<f64>,
    at: impl Fn(u32, f64) -> (f64, f64),
) -> String {
    let mut path = String::new();
    let mut is_down = false;
    for note in notes {
        if let Some(cents) = of(note) {
            let (x, y) = at(note.fret, cents);
            // Writing to a String cannot fail.
            let _ = write!(path, "{}{x:.1} {y:.1}", if is_down { "L" } else { "M" });
            is_down = true;
        } else {
            is_down = false;
        }
    }
    path
}

/// A mark at each note that has a figure.
fn marks(
    notes: &[NoteCents],
    of: impl Fn(&NoteCents) -> Option<f64>,
    at: impl Fn(u32, f64) -> (f64, f64),
    mark: &str,
) -> String {
    notes
        .iter()
        .filter_map(|note| {
            let (x, y) = at(note.fret, of(note)?);
            Some(format!("M{x:.1} {y:.1}{mark}"))
        })
        .collect()
}

/// The surface of the doubt: one closed piece for each run of notes that sound.
fn ribbon(notes: &[NoteCents], at: impl Fn(u32, f64) -> (f64, f64)) -> String {
    let mut path = String::new();
    for run in notes
        .split(|note| note.band.is_none())
        .filter(|run| run.len() > 1)
    {
        let upper = run.iter().filter_map(|n| Some(at(n.fret, n.band?[1])));
        let lower = run
            .iter()
            .rev()
            .filter_map(|n| Some(at(n.fret, n.band?[0])));
        for (i, (x, y)) in upper.chain(lower).enumerate() {
            let _ = write!(path, "{}{x:.1} {y:.1}", if i == 0 { "M" } else { "L" });
        }
        path.push('Z');
    }
    path
}

const DOT: &str = "m-2.4 0a2.4 2.4 0 1 0 4.8 0a2.4 2.4 0 1 0 -4.8 0z";
const DIAMOND: &str = "m-3 0l3 -3l3 3l-3 3z";
const CROSS: &str = "m-3.5 -3.5l7 7m0 -7l-7 7";

/// The map of cents of a view, over so many frets.
#[component]
pub(crate) fn CentsMap(
    #[prop(into)] view: Signal<SaddleView>,
    #[prop(into)] frets: Signal<u32>,
) -> Node {
    let layout = Memo::new(move |_| view.with(|v| Layout::of(&v.strands).height));
    let label = move || {
        view.with(|v| {
            let said: Vec<String> = v
                .strands
                .iter()
                .map(|s| {
                    format!(
                        "{} {} cents at fret {}",
                        s.note,
                        signed(s.octave_cents, 1),
                        s.octave_fret
                    )
                })
                .collect();
            format!(
                "Cents over the frets for each string: {}. The numbers stand in the table below.",
                said.join(", ")
            )
        })
    };
    let drawn = move || {
        let frets = frets.get();
        view.with(|v| {
            let layout = Layout::of(&v.strands);
            let last = layout.height - 4.0;
            let axis = (0..=frets)
                .map(|fret| {
                    let x = across(fret, frets);
                    let is_key = matches!(fret, 0 | 5 | 7 | 12 | 15 | 19 | 24);
                    view! {
                        <line class=if fret == 0 { "ink-thin" } else { "ink-faint" } x1=x x2=x y1=HEAD - 6.0 y2=last />
                        <text class="fret-number" class:key=is_key x=x y=HEAD - 11.0 text-anchor="middle">
                            {if fret == 0 { "open".to_owned() } else { fret.to_string() }}
                        </text>
                    }
                })
                .collect_view();
            let strips = v
                .strands
                .iter()
                .zip(&layout.strips)
                .enumerate()
                .map(|(i, (strand, strip))| one(strand, strip, &layout, frets, v.sharpest == Some(i)))
                .collect_view();
            (axis, strips)
        })
    };
    view! {
        <svg class="drawing cents-map" viewBox=move || format!("0 0 {WIDTH} {:.0}", layout.get()) role="img" aria-label=label>
            {drawn}
        </svg>
    }
}

fn one(strand: &Strand, strip: &Strip, layout: &Layout, frets: u32, is_sharpest: bool) -> Node {
    let at = |fret: u32, cents: f64| (across(fret, frets), layout.y(strip, cents));
    let zero = layout.y(strip, 0.0);
    let right = WIDTH - RIGHT;
    let step = tick(layout.scale);
    #[allow(clippy::cast_possible_truncation)]
    let (first, last) = (
        (strip.low / step).ceil() as i32,
        (strip.high / step).floor() as i32,
    );
    let ticks = (first..=last)
        .map(|i| {
            let cents = f64::from(i) * step;
            let y = layout.y(strip, cents);
            view! {
                <line class="ink-faint tick" x1=LEFT - 4.0 x2=LEFT y1=y y2=y />
                <text class="dim-text" x=LEFT - 8.0 y=y + 4.0 text-anchor="end">{signed(cents, 0)}</text>
            }
        })
        .collect_view();
    let octave = strand.octave_cents.map(|cents| {
        let (x, y) = at(strand.octave_fret, cents);
        // Over the line where it rises, or under it where there is no room.
        let y = if y - strip.top > 14.0 { y - 7.0 } else { y + 16.0 };
        view! {
            <text class="figure" data-figure="octave_cents" data-course=strand.course + 1 x=x + 7.0 y=y text-anchor="end">
                {signed(cents, 1)}
            </text>
        }
    });
    let blocked: Vec<NoteCents> = strand
        .notes
        .iter()
        .filter(|n| n.now.is_none())
        .cloned()
        .collect();
    let second = (strand.string > 0).then(|| format!("string {}", strand.string + 1));
    let nothing = strand.notes.is_empty().then(|| {
        view! { <text class="dim-text" x=LEFT + 12.0 y=zero - 5.0>"Nothing to draw: " {strand.missing.clone()}</text> }
    });
    view! {
        <g class="strand" class:sharpest=is_sharpest data-course=strand.course + 1>
            <rect class="repeats" x=LEFT width=right - LEFT y=layout.y(strip, REPEATS)
                height=layout.y(strip, -REPEATS) - layout.y(strip, REPEATS) />
            {ticks}
            <path class="band" d=ribbon(&strand.notes, at) />
            <line class="ink-thin true-line" x1=LEFT x2=right y1=zero y2=zero />
            <path class="proposed" d=line(&strand.notes, |n| n.best, at) />
            <path class="proposed-marks" d=marks(&strand.notes, |n| n.best, at, DIAMOND) />
            <path class="as-is" d=line(&strand.notes, |n| n.now, at) />
            <path class="as-is-marks" d=marks(&strand.notes, |n| n.now, at, DOT) />
            <path class="blocked" d=marks(&blocked, |_| Some(0.0), at, CROSS) />
            {octave}
            <text class="note-text" x="2" y=zero + 5.0>{strand.note.clone()}</text>
            {second.map(|words| view! { <text class="dim-text" x="2" y=zero + 20.0>{words}</text> })}
            {nothing}
        </g>
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn note(fret: u32, now: Option<f64>) -> NoteCents {
        NoteCents {
            fret,
            now,
            band: now.map(|c| [c - 1.0, c + 1.0]),
            best: None,
            blocked: None,
        }
    }

    #[test]
    fn a_line_breaks_at_a_note_that_cannot_sound() {
        let notes = [
            note(0, Some(0.0)),
            note(1, Some(2.0)),
            note(2, None),
            note(3, Some(4.0)),
            note(4, Some(5.0)),
        ];
        let at = |fret: u32, cents: f64| (f64::from(fret), cents);
        assert_eq!(
            line(&notes, |n| n.now, at),
            "M0.0 0.0L1.0 2.0M3.0 4.0L4.0 5.0"
        );
        assert_eq!(
            ribbon(&notes, at),
            "M0.0 1.0L1.0 3.0L1.0 1.0L0.0 -1.0ZM3.0 5.0L4.0 6.0L4.0 4.0L3.0 3.0Z"
        );
    }

    #[test]
    fn strips_share_one_scale() {
        let strand = |most: f64| Strand {
            course: 0,
            string: 0,
            note: "G3".into(),
            name: String::new(),
            notes: vec![note(0, Some(0.0)), note(12, Some(most))],
            octave_fret: 12,
            octave_cents: Some(most),
            rms_now: None,
            rms_best: None,
            rms_line: None,
            worst_best: None,
            missing: None,
        };
        let layout = Layout::of(&[strand(20.0), strand(5.0)]);
        let rise = |i: usize, cents: f64| {
            layout.y(&layout.strips[i], 0.0) - layout.y(&layout.strips[i], cents)
        };
        assert!((rise(0, 5.0) - rise(1, 5.0)).abs() < 1e-9);
        assert!(layout.strips[0].high > 20.9 && layout.strips[1].high < 6.1);
        // A note that is wildly off makes no endless drawing.
        assert!(Layout::of(&[strand(1e9)]).height < 500.0);
    }
}
