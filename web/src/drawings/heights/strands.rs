//! Three strands over the frets, on the neck's own scale: the finger's force, the error in cents with its range, the headroom
//! against the player's pluck.

use super::Frame;
use crate::drawings::pen::{Pen, hundredths};
use crate::markup::prelude::*;
use strungwell_workshop::report::{FretFigures, FretSide};
use strungwell_workshop::units::{NO_FIGURE, Units, signed};

/// What the notes of the strip stand on; the notes themselves are moved under the hand.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Strip {
    /// The frets from the side, for their places.
    pub sides: Vec<FretSide>,
    /// The notes as they stood before the action was moved; empty when it was not.
    pub before: Vec<FretFigures>,
    /// The chosen fret.
    pub fret: u32,
    /// The course's own nut.
    pub first_fret: u32,
    /// The player's pluck in N.
    pub pluck_n: f64,
    /// The person's units.
    pub units: Units,
}

/// The ends of the three scales: N, cents, N.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Scales {
    force_n: f64,
    cents: (f64, f64),
    room_n: f64,
}

impl Scales {
    /// The scales of a strip and its notes; those of the one before while they still serve.
    pub(crate) fn of(strip: &Strip, frets: &[FretFigures], before: Option<&Self>) -> Self {
        let all = || frets.iter().chain(&strip.before);
        let most = |of: fn(&FretFigures) -> Option<f64>| all().filter_map(of).fold(0.0, f64::max);
        let unit = strip.units.force;
        let whole = |n: f64| unit.to_n(round_over(unit.from_n(n)));
        let force = most(|f| f.finger_n).max(1.0);
        let low = all()
            .filter_map(|f| Some(f.cents_band?[0].min(f.cents?)))
            .fold(-4.0, f64::min);
        let high = all()
            .filter_map(|f| Some(f.cents_band?[1].max(f.cents?)))
            .fold(4.0, f64::max);
        let least = all()
            .filter_map(|f| f.headroom_n)
            .fold(f64::INFINITY, f64::min);
        let typical = if least.is_finite() { 3.0 * least } else { 0.0 };
        let room = (2.5 * strip.pluck_n)
            .max(typical)
            .max(0.5)
            .min(most(|f| f.headroom_n).max(1.5 * strip.pluck_n).max(0.5));
        let keep = |kept: Option<f64>, value: f64, fresh: f64| {
            kept.filter(|k| value <= *k && value >= 0.4 * k)
                .unwrap_or(fresh)
        };
        Self {
            force_n: keep(before.map(|b| b.force_n), force, whole(force)),
            cents: (
                -keep(before.map(|b| -b.cents.0), -low, round_over(-low)),
                keep(before.map(|b| b.cents.1), high, round_over(high)),
            ),
            room_n: keep(before.map(|b| b.room_n), room, whole(room)),
        }
    }
}

/// A round number at or over another.
fn round_over(value: f64) -> f64 {
    let size = 10_f64.powf(value.max(1e-6).log10().floor());
    [1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0]
        .into_iter()
        .map(|part| part * size)
        .find(|round| *round >= value * 0.999)
        .unwrap_or(10.0 * size)
}

/// One strand: its words, its scale, and how its numbers are said.
struct Strand<'a> {
    row: (f64, f64),
    title: &'static str,
    unit: String,
    low: f64,
    high: f64,
    of: fn(&FretFigures) -> Option<f64>,
    say: Box<dyn Fn(f64) -> String + 'a>,
    name: &'static str,
}

impl Strand<'_> {
    fn y(&self, value: f64) -> f64 {
        let share =
            (value.clamp(self.low, self.high) - self.low) / (self.high - self.low).max(1e-9);
        self.row.1 - share * (self.row.1 - self.row.0)
    }

    const fn middle(&self) -> f64 {
        f64::midpoint(self.row.0, self.row.1)
    }
}

/// The three: the finger's force, the cents, the headroom.
fn all<'a>(units: Units, frame: &Frame, scales: Scales) -> [Strand<'a>; 3] {
    let unit = units.force.sign().to_owned();
    [
        Strand {
            row: frame.rows.strands[0],
            title: "Finger's force",
            unit: unit.clone(),
            low: 0.0,
            high: scales.force_n,
            of: |f| f.finger_n,
            say: Box::new(move |n| units.force_number(n)),
            name: "finger",
        },
        Strand {
            row: frame.rows.strands[1],
            title: "Sharp or flat, with its range",
            unit: "cents".into(),
            low: scales.cents.0,
            high: scales.cents.1,
            of: |f| f.cents,
            say: Box::new(|cents| signed(cents, 1)),
            name: "cents",
        },
        Strand {
            row: frame.rows.strands[2],
            title: if frame.is_wide {
                "Headroom: the pluck that would touch"
            } else {
                "Headroom"
            },
            unit,
            low: 0.0,
            high: scales.room_n,
            of: |f| f.headroom_n,
            say: Box::new(move |n| units.force_number(n)),
            name: "headroom",
        },
    ]
}

/// The three strands without their notes: words, scales, the chosen fret, the notes as they stood before.
pub(crate) fn strands(strip: &Strip, frame: &Frame, scales: Scales) -> Node {
    let all = all(strip.units, frame, scales);
    let chosen = place(strip, frame, strip.fret).map(|x| {
        let x = hundredths(x);
        view! { <line class="chosen-fret" x1=x.clone() x2=x y1=frame.rows.numbers + 5.0 y2=frame.rows.strands[2].1 /> }
    });
    view! {
        {chosen}
        {all.iter().map(|s| ground(s, strip, frame)).collect_view()}
        {pluck_line(&all[2], strip, frame)}
    }
}

/// The notes over the strands: one line a kind for all three.
pub(crate) fn notes(strip: &Strip, frets: &[FretFigures], frame: &Frame, scales: Scales) -> Node {
    let all = all(strip.units, frame, scales);
    let [mut lines, mut dots, mut chosen, mut short] = [const { Pen::new() }; 4];
    for strand in &all {
        line(&mut lines, strand, strip, frame, frets);
        for f in frets {
            let (Some(value), Some(x)) = ((strand.of)(f), place(strip, frame, f.fret)) else {
                continue;
            };
            let y = strand.y(value);
            let is_chosen = f.fret == strip.fret;
            let marks = if is_chosen { &mut chosen } else { &mut dots };
            if strand.name == "headroom" && value < strip.pluck_n {
                short
                    .put("M", &[x - 4.0, y - 4.0])
                    .put("l8 8m0 -8l-8 8", &[]);
            } else if value > strand.high {
                marks.put("M", &[x - 4.0, y + 3.0]).put("l4 -6l4 6z", &[]);
            } else {
                round(marks, x, y, if is_chosen { 4.0 } else { 2.4 });
            }
        }
    }
    view! {
        {blocked(strip, frets, frame)}
        <path class="strand-line" d=lines.text() />
        <path class="dot" d=dots.text() />
        <path class="dot chosen" d=chosen.text() />
        <path class="dot-bad" d=short.text() />
        {all.iter().map(|s| now(s, strip, frets, frame)).collect_view()}
        <path class="range-bar" d=band(&all[1], strip, frets, frame) />
    }
}

/// Where a note stands along the strip: its fret, or the course's nut for the open string.
fn place(strip: &Strip, frame: &Frame, fret: u32) -> Option<f64> {
    let at = if fret == 0 { strip.first_fret } else { fret };
    strip
        .sides
        .iter()
        .find(|s| s.fret == at)
        .map(|s| frame.x(s.x_mm))
}

/// A line through the notes that have a figure, broken at those that have none.
fn line(pen: &mut Pen, strand: &Strand<'_>, strip: &Strip, frame: &Frame, frets: &[FretFigures]) {
    let mut is_down = false;
    for f in frets {
        match ((strand.of)(f), place(strip, frame, f.fret)) {
            (Some(value), Some(x)) => {
                pen.put(if is_down { "L" } else { "M" }, &[x, strand.y(value)]);
                is_down = true;
            }
            _ => is_down = false,
        }
    }
}

/// The words of a strand, the ends of its scale, and the notes as they stood before.
fn ground(strand: &Strand<'_>, strip: &Strip, frame: &Frame) -> Node {
    let (left, right) = frame.edges;
    let tick = |value: f64| {
        let y = strand.y(value);
        let text = (strand.say)(value);
        let text = if text.contains('.') {
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        } else {
            text
        };
        view! {
            <line class="ink-faint" x1=left x2=right y1=y y2=y />
            <text class="dim-text" x=left - 6.0 y=y + 4.0 text-anchor="end">{text}</text>
        }
    };
    let ticks = [strand.low, 0.0, strand.high];
    // Where the lower end is nought, or too near it to be written beside it, nought stands alone.
    let is_apart = strand.y(strand.low) - strand.y(0.0) > 12.0;
    let ticks = ticks.into_iter().skip(usize::from(!is_apart));
    let mut before = Pen::new();
    line(&mut before, strand, strip, frame, &strip.before);
    let was = (!strip.before.is_empty()).then(|| {
        let was = format!("was {}", said(strand, strip, &strip.before));
        // A narrow drawing has too little room behind its strands.
        let (x, anchor) = if frame.is_wide {
            (right + 12.0, "start")
        } else {
            (frame.width, "end")
        };
        view! { <text class="dim-text" x=x y=strand.middle() + 19.0 text-anchor=anchor>{was}</text> }
    });
    view! {
        <g class="strand" data-strand=strand.name>
            <text class="strand-title" x=left y=strand.row.0 - 9.0>{strand.title}<tspan class="strand-unit">", "{strand.unit.clone()}</tspan></text>
            {ticks.map(tick).collect_view()}
            <path class="before-line" d=before.text() />
            {was}
        </g>
    }
}

/// The figure of the chosen fret, at the strand's end.
fn now(strand: &Strand<'_>, strip: &Strip, frets: &[FretFigures], frame: &Frame) -> Node {
    view! {
        <text class="strand-now" data-figure=format!("strand_{}", strand.name) x=frame.edges.1 + 12.0 y=strand.middle() + 4.0>
            {said(strand, strip, frets)}
        </text>
    }
}

/// The figure of the chosen fret among some notes, as text.
fn said(strand: &Strand<'_>, strip: &Strip, frets: &[FretFigures]) -> String {
    frets
        .iter()
        .find(|f| f.fret == strip.fret)
        .and_then(strand.of)
        .map_or_else(|| NO_FIGURE.to_owned(), |value| (strand.say)(value))
}

/// A circle as a piece of a path.
fn round(pen: &mut Pen, x: f64, y: f64, radius: f64) {
    let wide = 2.0 * radius;
    pen.put("M", &[x - radius, y])
        .put("a", &[radius, radius, 0.0, 1.0, 0.0, wide, 0.0])
        .put("a", &[radius, radius, 0.0, 1.0, 0.0, -wide, 0.0])
        .put("z", &[]);
}

/// The range of the cents, as bars.
fn band(strand: &Strand<'_>, strip: &Strip, frets: &[FretFigures], frame: &Frame) -> String {
    let mut pen = Pen::new();
    for f in frets.iter().filter(|f| f.fret > 0) {
        if let (Some(x), Some([low, high])) = (place(strip, frame, f.fret), f.cents_band) {
            pen.put("M", &[x, strand.y(low)])
                .put("V", &[strand.y(high)]);
        }
    }
    pen.text()
}

/// The player's pluck across the headrooms.
fn pluck_line(strand: &Strand<'_>, strip: &Strip, frame: &Frame) -> Node {
    let y = strand.y(strip.pluck_n);
    let (left, right) = frame.edges;
    let pluck = strip.units.force(strip.pluck_n);
    let words = if frame.is_wide {
        format!("the player's pluck, {pluck}")
    } else {
        format!("pluck {pluck}")
    };
    view! {
        <line class="hidden-line" x1=left x2=right y1=y y2=y />
        <text class="dim-text" x=right y=y - 4.0 text-anchor="end">{words}</text>
    }
}

/// Notes that cannot sound: hatched over all strands, with a cross.
fn blocked(strip: &Strip, frets: &[FretFigures], frame: &Frame) -> Node {
    let top = frame.rows.strands[0].0 - 4.0;
    let height = frame.rows.strands[2].1 - top;
    frets
        .iter()
        .filter(|f| f.blocked.is_some())
        .filter_map(|f| {
            let x = place(strip, frame, f.fret)?;
            let before = place(strip, frame, f.fret.saturating_sub(1)).unwrap_or(x - 12.0);
            let half = ((x - before) / 2.0).clamp(3.0, 9.0);
            Some(view! {
                <g class="blocked" data-blocked=f.fret>
                    <rect class="hatch" x=x - half y=top width=2.0 * half height=height />
                    <path class="dot-bad" d=format!("M{} {}l8 8m0 -8l-8 8", x - 4.0, top + 2.0) />
                </g>
            })
        })
        .collect_view()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_end_at_round_numbers_and_stay_while_they_serve() {
        assert_eq!(
            [0.9, 1.0, 4.2, 5.1, 9.0, 23.0].map(round_over),
            [1.0, 1.0, 5.0, 6.0, 10.0, 30.0]
        );
        assert!(round_over(0.0) > 0.0);
        let note = |fret: u32, finger: f64| FretFigures {
            fret,
            cents: Some(finger),
            cents_band: Some([finger - 2.0, finger + 2.0]),
            cents_best: None,
            finger_n: Some(finger),
            headroom_mm: Some(1.0),
            headroom_n: Some(finger),
            touches_fret: None,
            gap_mm: None,
            blocked: None,
        };
        let strip = Strip {
            sides: Vec::new(),
            before: Vec::new(),
            fret: 0,
            first_fret: 0,
            pluck_n: 1.5,
            units: Units::default(),
        };
        let scales =
            |finger: f64, was: Option<&Scales>| Scales::of(&strip, &[note(1, finger)], was);
        let first = scales(5.2, None);
        assert_eq!(first.force_n, 6.0);
        assert_eq!(scales(4.0, Some(&first)).force_n, 6.0);
        assert_eq!(scales(1.9, Some(&first)).force_n, 2.0);
        assert!((first.cents.1 - 8.0).abs() < 1e-9, "{first:?}");
    }
}
