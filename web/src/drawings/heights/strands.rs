//! Three strands over the frets, on the neck's own scale: the finger's force, the error in cents with its range, the headroom
//! against the player's pluck.

use super::Frame;
use crate::markup::prelude::*;
use strungwell_workshop::report::{FretFigures, FretSide};
use strungwell_workshop::units::{NO_FIGURE, Units, signed};

/// What the strip shows.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Strip {
    /// The frets from the side, for their places.
    pub sides: Vec<FretSide>,
    /// The notes, the open string first.
    pub frets: Vec<FretFigures>,
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
    /// The scales of a strip; those of the one before while they still serve.
    pub(crate) fn of(strip: &Strip, before: Option<&Self>) -> Self {
        let all = || strip.frets.iter().chain(&strip.before);
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
}

/// The three strands.
pub(crate) fn strands(strip: &Strip, frame: &Frame, scales: Scales) -> Node {
    let units = strip.units;
    let unit = units.force.sign().to_owned();
    let all = [
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
    ];
    let chosen = place(strip, frame, strip.fret).map(|x| {
        view! { <line class="chosen-fret" x1=x x2=x y1=frame.rows.numbers + 5.0 y2=frame.rows.strands[2].1 /> }
    });
    view! {
        {chosen}
        {blocked(strip, frame)}
        {all.iter().map(|s| strand(s, strip, frame)).collect_view()}
        {band(&all[1], strip, frame)}
        {pluck_line(&all[2], strip, frame)}
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
fn path(strand: &Strand<'_>, strip: &Strip, frame: &Frame, frets: &[FretFigures]) -> String {
    let mut d = String::new();
    let mut is_down = false;
    for f in frets {
        match ((strand.of)(f), place(strip, frame, f.fret)) {
            (Some(value), Some(x)) => {
                d.push_str(&format!(
                    "{}{x:.2} {:.2}",
                    if is_down { "L" } else { "M" },
                    strand.y(value)
                ));
                is_down = true;
            }
            _ => is_down = false,
        }
    }
    d
}

fn strand(strand: &Strand<'_>, strip: &Strip, frame: &Frame) -> Node {
    let (left, right) = frame.edges;
    let (top, bottom) = strand.row;
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
    let ticks: Vec<f64> = if strand.low < 0.0 {
        ticks.to_vec()
    } else {
        ticks[1..].to_vec()
    };
    // One path for all marks of a kind: a drawing under the hand touches few things.
    let [mut dots, mut chosen, mut short] = [const { String::new() }; 3];
    for f in &strip.frets {
        let (Some(value), Some(x)) = ((strand.of)(f), place(strip, frame, f.fret)) else {
            continue;
        };
        let y = strand.y(value);
        let is_chosen = f.fret == strip.fret;
        let marks = if is_chosen { &mut chosen } else { &mut dots };
        if strand.name == "headroom" && value < strip.pluck_n {
            short.push_str(&format!("M{:.2} {:.2}l8 8m0 -8l-8 8", x - 4.0, y - 4.0));
        } else if value > strand.high {
            marks.push_str(&format!("M{:.2} {:.2}l4 -6l4 6z", x - 4.0, y + 3.0));
        } else {
            marks.push_str(&round(x, y, if is_chosen { 4.0 } else { 2.4 }));
        }
    }
    let at = |frets: &[FretFigures]| {
        frets
            .iter()
            .find(|f| f.fret == strip.fret)
            .and_then(strand.of)
    };
    let say = |value: Option<f64>| value.map_or_else(|| NO_FIGURE.to_owned(), |v| (strand.say)(v));
    let now = say(at(&strip.frets));
    let was = (!strip.before.is_empty()).then(|| format!("was {}", say(at(&strip.before))));
    let middle = f64::midpoint(top, bottom);
    view! {
        <g class="strand" data-strand=strand.name>
            <text class="strand-title" x=left y=top - 9.0>{strand.title}<tspan class="strand-unit">", "{strand.unit.clone()}</tspan></text>
            {ticks.into_iter().map(tick).collect_view()}
            <path class="before-line" d=path(strand, strip, frame, &strip.before) />
            <path class="strand-line" d=path(strand, strip, frame, &strip.frets) />
            <path class="dot" d=dots />
            <path class="dot chosen" d=chosen />
            <path class="dot-bad" d=short />
            <text class="strand-now" data-figure=format!("strand_{}", strand.name) x=right + 12.0 y=middle + 4.0>{now}</text>
            {was.map(|was| view! { <text class="dim-text" x=right + 12.0 y=middle + 19.0>{was}</text> })}
        </g>
    }
}

/// A circle as a piece of a path.
fn round(x: f64, y: f64, radius: f64) -> String {
    let wide = 2.0 * radius;
    format!(
        "M{:.2} {y:.2}a{radius} {radius} 0 1 0 {wide} 0a{radius} {radius} 0 1 0 -{wide} 0z",
        x - radius
    )
}

/// The range of the cents, as bars.
fn band(strand: &Strand<'_>, strip: &Strip, frame: &Frame) -> Node {
    let d: String = strip
        .frets
        .iter()
        .filter(|f| f.fret > 0)
        .filter_map(|f| {
            let x = place(strip, frame, f.fret)?;
            let [low, high] = f.cents_band?;
            Some(format!(
                "M{x:.2} {:.2}V{:.2}",
                strand.y(low),
                strand.y(high)
            ))
        })
        .collect();
    view! { <path class="range-bar" d=d /> }
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
fn blocked(strip: &Strip, frame: &Frame) -> Node {
    let top = frame.rows.strands[0].0 - 4.0;
    let height = frame.rows.strands[2].1 - top;
    strip
        .frets
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
        let strip = |finger: f64| Strip {
            sides: Vec::new(),
            frets: vec![note(1, finger)],
            before: Vec::new(),
            fret: 0,
            first_fret: 0,
            pluck_n: 1.5,
            units: Units::default(),
        };
        let first = Scales::of(&strip(5.2), None);
        assert_eq!(first.force_n, 6.0);
        assert_eq!(Scales::of(&strip(4.0), Some(&first)).force_n, 6.0);
        assert_eq!(Scales::of(&strip(1.9), Some(&first)).force_n, 2.0);
        assert!((first.cents.1 - 8.0).abs() < 1e-9, "{first:?}");
    }
}
