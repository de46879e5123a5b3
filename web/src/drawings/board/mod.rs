//! The board seen from above, to scale: frets at their true places, the body joint, the courses and the saddle.

mod plan;

pub(crate) use plan::{Board, Plan, SQUARE_FRET, WIDTH};

use super::parts::{DimensionLine, ExtensionLine};
use crate::markup::prelude::*;
use plan::Point;

/// Frets whose numbers are shown where there is little room.
const KEY_FRETS: [usize; 5] = [1, 5, 7, 12, 15];

fn polyline(points: &[Point]) -> String {
    points
        .iter()
        .map(|(x, y)| format!("{x:.2},{y:.2} "))
        .collect()
}

/// The drawing of a board. `chosen` is the course under the hand, counted from 0.
#[component]
pub(crate) fn BoardDrawing(
    #[prop(into)] board: Signal<Board>,
    #[prop(into)] chosen: Signal<Option<usize>>,
    #[prop(into)] label: Signal<String>,
) -> Node {
    let plan = Memo::new(move |_| board.with(Plan::of));
    view! {
        <svg class="drawing board" viewBox=move || plan.with(|p| format!("0 0 {WIDTH} {:.1}", p.height)) role="img"
            aria-label=label>
            {move || plan.with(|plan| board.with(|board| view! {
                {body(plan)}
                {neck(plan)}
                {strings(board, plan, chosen)}
                {dimensions(plan)}
            }))}
        </svg>
    }
}

/// The body's shoulders and the bridge's footprint.
fn body(plan: &Plan) -> Node {
    let shoulders = plan.joint.map(|((bass_x, bass_y), (treble_x, treble_y))| {
        let low = plan.middle_y + plan.half + 30.0;
        let high = plan.middle_y - plan.half - 30.0;
        view! {
            <path class="ink" d=format!("M{bass_x:.1} {bass_y:.1}C{:.1} {low:.1} {:.1} {low:.1} {:.1} {low:.1}", bass_x + 6.0, bass_x + 40.0, bass_x + 150.0) />
            <path class="ink" d=format!("M{treble_x:.1} {treble_y:.1}C{:.1} {high:.1} {:.1} {high:.1} {:.1} {high:.1}", treble_x + 6.0, treble_x + 40.0, treble_x + 150.0) />
            <line class="centre-line" x1=treble_x y1=treble_y x2=bass_x y2=bass_y />
        }
    });
    let foot = plan.foot.map(|[x, y, width, height]| {
        view! {
            <rect class="ink-thin" x=x y=y width=width height=height rx="3" />
        }
    });
    view! {
        {shoulders}
        {foot}
        <line class="centre-line" x1=plan.nut_x - 44.0 y1=plan.middle_y x2=WIDTH - 8.0 y2=plan.middle_y />
    }
}

/// The board, its nut and its frets with their numbers.
fn neck(plan: &Plan) -> Node {
    let frets: Vec<_> = plan
        .frets
        .iter()
        .enumerate()
        .map(|(fret, line)| {
            let class = if fret == 0 { "nut-line" } else { "fret" };
            view! { <polyline class=class points=polyline(line) /> }
        })
        .collect();
    let under = plan
        .outline
        .iter()
        .map(|p| p.1)
        .fold(plan.middle_y, f64::max)
        + 15.0;
    let gap = |fret: usize| {
        plan.frets
            .get(fret)
            .and_then(|line| Some(line.first()?.0 - plan.frets.get(fret - 1)?.first()?.0))
    };
    let numbers: Vec<_> = (1..plan.frets.len())
        .filter_map(|fret| {
            let x = plan.frets.get(fret)?.first()?.0;
            // The body's line starts there, and the field over it says the number.
            let at_joint = plan.joint_fret == Some(fret);
            let roomy = gap(fret)? > 15.0;
            let class = if KEY_FRETS.contains(&fret) {
                "fret-number key"
            } else {
                "fret-number"
            };
            ((roomy || KEY_FRETS.contains(&fret)) && !at_joint).then(|| {
                view! {
                    <text class=class x=x y=under text-anchor="middle">{fret}</text>
                }
            })
        })
        .collect();
    view! {
        <polygon class="board-face" points=polyline(&plan.outline) />
        {frets}
        {numbers}
    }
}

/// The strings from nut to saddle, with their notes, and the saddle's line.
fn strings(board: &Board, plan: &Plan, chosen: Signal<Option<usize>>) -> Node {
    let lanes = board.lanes.iter().zip(&plan.strings).zip(&plan.labels);
    let courses: Vec<_> = lanes.enumerate().map(|(at, ((lane, (from, to)), label))| {
        let thick = (lane.diameter_mm.unwrap_or(0.6) * plan.scale).clamp(0.6, 4.0);
        let between = 2.4 * plan.scale;
        #[allow(clippy::cast_precision_loss)]
        let lines: Vec<_> = (0..lane.strings.max(1)).map(|string| {
            let aside = (string as f64 - (lane.strings.max(1) - 1) as f64 / 2.0) * between;
            view! { <line class="string-line" x1=from.0 y1=from.1 + aside x2=to.0 y2=to.1 + aside stroke-width=thick /> }
        }).collect();
        let short = (lane.first_fret > 0).then(|| view! { <circle class="ink" cx=from.0 cy=from.1 r="3.2" /> });
        // Where strings lie close, their notes are spread and led to them.
        let is_led = (label.1 - from.1).abs() > 1.5;
        let leader = is_led.then(|| view! {
            <line class="ink-faint leader" x1=label.0 + 2.0 y1=label.1 x2=from.0 - 4.0 y2=from.1 />
        });
        view! {
            <g class="course-line" class:chosen=move || chosen.get() == Some(at)>
                {lines}
                {short}
                <text class="note-text" x=label.0 y=label.1 + 4.5 text-anchor="end">{lane.note.clone()}</text>
                {leader}
            </g>
        }
    }).collect();
    let reach = |points: &[Point]| {
        let mut points = points.to_vec();
        if let [first, .., last] = points.as_mut_slice() {
            first.1 += 9.0;
            last.1 -= 9.0;
        } else if let Some(only) = points.first().copied() {
            points = vec![(only.0, only.1 + 9.0), (only.0, only.1 - 9.0)];
        }
        polyline(&points)
    };
    view! {
        {courses}
        <polyline class="saddle-line" points=reach(&plan.saddle) />
    }
}

/// The dimension lines: the scale under the board, the body joint and the last fret over it.
fn dimensions(plan: &Plan) -> Node {
    let empty = Signal::stored(String::new());
    let (over, under) = (plan.over_y, plan.under_y);
    let (bottom, top) = (plan.middle_y + plan.half, plan.middle_y - plan.half);
    let joint = plan.joint_x.map(|x| {
        view! {
            <ExtensionLine x1=x y1=top - 36.0 x2=x y2=over - 8.0 />
            <DimensionLine x1=plan.nut_x y1=over x2=x y2=over label=empty />
        }
    });
    let last_x = plan.last_x;
    view! {
        <ExtensionLine x1=plan.nut_x y1=bottom + 4.0 x2=plan.nut_x y2=under + 8.0 />
        <ExtensionLine x1=plan.saddle_x y1=bottom + 4.0 x2=plan.saddle_x y2=under + 8.0 />
        <DimensionLine x1=plan.nut_x y1=under x2=plan.saddle_x y2=under label=empty />
        <ExtensionLine x1=plan.nut_x y1=top - 8.0 x2=plan.nut_x y2=over - 8.0 />
        {joint}
        <polyline class="ink-faint" points=format!("{last_x:.1},{:.1} {last_x:.1},{over:.1} {:.1},{over:.1}", top - 4.0, last_x + 22.0) />
    }
}
