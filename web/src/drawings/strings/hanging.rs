//! The courses hanging from the nut, each as far down as it is tight: what stands beside what.

use crate::markup::prelude::*;
use strungwell_workshop::units::Units;

/// One course of the drawing.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Column {
    /// The open note.
    pub note: String,
    /// Tension of one string in N.
    pub tension_n: Option<f64>,
    /// Its range in N.
    pub band_n: Option<[f64; 2]>,
    /// Share of breaking.
    pub breaking: Option<f64>,
    /// Near breaking, so marked.
    pub warn: bool,
    /// Outside diameter in mm.
    pub diameter_mm: Option<f64>,
    /// Wound, so drawn with its wrap.
    pub wound: bool,
}

const WIDTH: f64 = 420.0;
const HEIGHT: f64 = 286.0;
const LEFT: f64 = 44.0;
const RIGHT: f64 = 8.0;
const NUT: f64 = 46.0;
const DEEP: f64 = 170.0;
/// How much the string's thickness is drawn over life, in drawing units a millimetre.
const UNITS_A_MM: f64 = 9.0;

/// The tension at the foot of the drawing: a round number over everything shown.
fn foot(most: f64) -> (f64, f64) {
    let step = [5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 500.0]
        .into_iter()
        .find(|step| most / step <= 5.0)
        .unwrap_or(1000.0);
    (step, (most / step).ceil().max(1.0) * step)
}

/// The courses hanging from the nut. `usual` is the family's range in N, `mean` that of the strings shown.
#[component]
pub(crate) fn Hanging(
    #[prop(into)] columns: Signal<Vec<Column>>,
    #[prop(into)] usual: Signal<Option<(f64, f64)>>,
    #[prop(into)] chosen: Signal<Option<usize>>,
    #[prop(into)] units: Signal<Units>,
    on_choose: Callback<usize>,
) -> Node {
    let scale = Memo::new(move |_| {
        let most = columns
            .get()
            .iter()
            .filter_map(|c| c.band_n.map(|b| b[1]).or(c.tension_n))
            .fold(10.0, |deepest, n| f64::max(deepest, 1.05 * n))
            .max(usual.get().map_or(0.0, |u| u.1));
        // The whole range of forces is counted in the unit that is shown, so that the ticks are round in it.
        let unit = units.get().force;
        let (step, foot) = foot(unit.from_n(most));
        (unit.to_n(step), unit.to_n(foot))
    });
    let down = move |n: f64| NUT + DEEP * (n / scale.get().1).clamp(0.0, 1.0);
    let place = move |i: usize| {
        #[allow(clippy::cast_precision_loss)]
        let (i, count) = (i as f64, columns.get().len().max(1) as f64);
        LEFT + (WIDTH - LEFT - RIGHT) * (i + 0.5) / count
    };
    view! {
        <svg class="drawing hanging" viewBox=format!("0 0 {WIDTH} {HEIGHT}") role="group"
            aria-label="Tension of each course, drawn as its depth below the nut">
            {move || {
                let (step, foot) = scale.get();
                #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
                let count = (foot / step).round().clamp(1.0, 12.0) as usize;
                (1..=count).map(|i| {
                    #[allow(clippy::cast_precision_loss)]
                    let n = i as f64 * step;
                    let y = down(n);
                    view! {
                        <line class="ink-faint" x1=LEFT x2=WIDTH - RIGHT y1=y y2=y />
                        <text class="dim-text" x=LEFT - 6.0 y=y + 4.0 text-anchor="end">
                            {units.get().force_number(n).trim_end_matches(['0']).trim_end_matches('.').to_owned()}
                        </text>
                    }
                }).collect_view()
            }}
            <text class="dim-text" x=LEFT - 6.0 y=NUT + 4.0 text-anchor="end">{move || units.get().force.sign()}</text>
            {move || usual.get().map(|(low, high)| view! {
                <g class="usual">
                    <rect class="hatch" x=LEFT y=down(low) width=WIDTH - LEFT - RIGHT height=(down(high) - down(low)).max(0.0) />
                    <line class="hidden-line" x1=LEFT x2=WIDTH - RIGHT y1=down(low) y2=down(low) />
                    <line class="hidden-line" x1=LEFT x2=WIDTH - RIGHT y1=down(high) y2=down(high) />
                </g>
            })}
            <rect class="nut" x=LEFT y=NUT - 7.0 width=WIDTH - LEFT - RIGHT height="7" />
            {move || {
                columns.get().into_iter().enumerate().map(|(i, column)| {
                    course(i, &column, place(i), down, chosen.get() == Some(i), units.get(), on_choose)
                }).collect_view()
            }}
        </svg>
    }
}

fn course<D: Fn(f64) -> f64>(
    i: usize,
    column: &Column,
    x: f64,
    down: D,
    chosen: bool,
    units: Units,
    on_choose: Callback<usize>,
) -> Node {
    let end = down(column.tension_n.unwrap_or(0.0));
    let thick = (column.diameter_mm.unwrap_or(0.5) * UNITS_A_MM).clamp(1.5, 16.0);
    let tension = units.force(column.tension_n);
    let breaking = column
        .breaking
        .map(|b| format!("{} brk", strungwell_workshop::units::per_cent(b)));
    let label = format!(
        "Course {}: {} {tension} {}",
        i + 1,
        column.note,
        breaking.as_deref().unwrap_or_default()
    );
    let band = column
        .band_n
        .filter(|[low, high]| high - low > 0.5)
        .map(|[low, high]| {
            let bar = x + thick / 2.0 + 5.0;
            view! {
                <line class="ink-thin" x1=bar x2=bar y1=down(low) y2=down(high) />
                <line class="ink-thin" x1=bar - 3.0 x2=bar + 3.0 y1=down(low) y2=down(low) />
                <line class="ink-thin" x1=bar - 3.0 x2=bar + 3.0 y1=down(high) y2=down(high) />
            }
        });
    view! {
        <g class="course" class:chosen=chosen class:over=column.warn
            role="button" tabindex="0" aria-pressed=if chosen { "true" } else { "false" } aria-label=label
            on:click=move |_| on_choose.run(i)
            on:keydown=move |event| {
                if event.key() == "Enter" || event.key() == " " {
                    event.prevent_default();
                    on_choose.run(i);
                }
            }>
            <rect class="touch" x=x - 22.0 y="2" width="44" height=HEIGHT - 4.0 />
            <text class="note" x=x y="18" text-anchor="middle">{column.note.clone()}</text>" "
            <line class="string" class:wound=column.wound x1=x x2=x y1=NUT - 14.0 y2=end stroke-width=thick />
            {column.wound.then(|| view! { <line class="wrap" x1=x x2=x y1=NUT - 14.0 y2=end stroke-width=thick /> })}
            <path class="weight" d=format!("M{} {end} l5 -7 h10 l5 7 v11 h-20 z", x - 10.0) />
            {band}
            <text class="figure" x=x y=end + 26.0 text-anchor="middle">{tension}</text>" "
            {breaking.map(|b| view! {
                <text class="dim-text" x=x y=end + 40.0 text-anchor="middle">{b}</text>
            })}
        </g>
    }
}
