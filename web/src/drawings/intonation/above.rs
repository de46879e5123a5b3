//! The saddle seen from above: where each course leaves it, where it would best, and a straight line through these places.

use crate::markup::ElementRef;
use crate::markup::prelude::*;
use strungwell_workshop::file::limits;
use strungwell_workshop::report::saddle_view::{SaddleCourse, SaddleView};
use strungwell_workshop::units::{LengthUnit, Units};
use web_sys::{KeyboardEvent, PointerEvent};

/// The drawing's width, in its own units.
const ABOVE_WIDTH: f64 = 720.0;
/// Where the lengths along the strings begin and end; beside them stand the fields.
const FROM: f64 = 196.0;
const TO: f64 = 524.0;
const HEAD: f64 = 40.0;
const ROW: f64 = 56.0;
const FOOT: f64 = 14.0;

/// The least and the greatest setback that a record takes, in mm.
fn reach() -> (f64, f64) {
    limits("course setup", "saddle_setback_mm").map_or((0.0, 0.0), |l| (l.low, l.high))
}

/// Which lengths are drawn, in mm behind the scale's end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct FromAbove {
    low: f64,
    high: f64,
    count: usize,
}

impl FromAbove {
    /// Room for every place that is shown, in whole millimetres.
    fn of(view: &SaddleView) -> Self {
        let places = view.courses.iter().flat_map(|c| {
            let band = c
                .best_band_mm
                .map(|b| (Some(b[0]), Some(b[1])))
                .unwrap_or_default();
            [Some(c.now_mm), c.best_mm, band.0, band.1, c.line_mm]
        });
        let (least, most) = reach();
        let (low, high) = places
            .flatten()
            .fold((0.0_f64, 3.0_f64), |(low, high), mm| {
                (low.min(mm), high.max(mm))
            });
        Self {
            low: low.max(least).floor() - 1.0,
            high: high.min(most).ceil() + 1.0,
            count: view.courses.len(),
        }
    }

    fn x(self, mm: f64) -> f64 {
        FROM + (TO - FROM) * (mm.clamp(self.low, self.high) - self.low) / (self.high - self.low)
    }

    /// The length at a place of the drawing, to the hundredth of a millimetre.
    fn mm(self, x: f64) -> f64 {
        let share = ((x - FROM) / (TO - FROM)).clamp(0.0, 1.0);
        (100.0 * (self.low + share * (self.high - self.low))).round() / 100.0
    }

    /// The height of a course's string; the bass side lies below.
    fn y(self, course: usize) -> f64 {
        #[allow(clippy::cast_precision_loss)]
        let from_treble = self.count.saturating_sub(course + 1) as f64;
        HEAD + ROW * (from_treble + 0.5)
    }

    /// Its share of the drawing's height, for what stands beside it.
    pub(crate) fn share(self, course: usize) -> f64 {
        self.y(course) / self.height()
    }

    fn height(self) -> f64 {
        #[allow(clippy::cast_precision_loss)]
        let rows = self.count.max(1) as f64;
        HEAD + ROW * rows + FOOT
    }
}

/// The lengths that are ticked, in mm, each with its number in the chosen unit.
fn ticks(plan: FromAbove, units: Units) -> Vec<(f64, String)> {
    let span = plan.high - plan.low;
    let (step, decimals) = match units.length {
        LengthUnit::Mm => (if span > 14.0 { 5.0 } else { 1.0 }, 0),
        LengthUnit::Inch => (units.length.to_mm(if span > 14.0 { 0.2 } else { 0.05 }), 2),
    };
    #[allow(clippy::cast_possible_truncation)]
    let (first, last) = (
        (plan.low / step).ceil() as i32,
        (plan.high / step).floor() as i32,
    );
    (first..=last)
        .map(|i| {
            let mm = f64::from(i) * step;
            (mm, format!("{:.decimals$}", units.length.from_mm(mm)))
        })
        .collect()
}

/// The saddle of a view from above. A course's contact point can be dragged or moved by keys; `on_move` gets the course,
/// counted from 0, and its new setback in mm.
#[component]
pub(crate) fn Above(
    #[prop(into)] view: Signal<SaddleView>,
    #[prop(into)] units: Signal<Units>,
    /// Gets the drawing's measures, for what is set beside it.
    plan: RwSignal<Option<FromAbove>>,
    on_move: Callback<(usize, f64)>,
) -> Node {
    let drawing = ElementRef::new();
    // While a point is dragged the measures stand still under the hand.
    let dragged = RwSignal::new(None::<usize>);
    let fresh = Memo::new(move |_| view.with(FromAbove::of));
    let held = Memo::new(
        move |before: Option<&FromAbove>| match (before, dragged.get()) {
            (Some(before), Some(_)) => *before,
            _ => fresh.get(),
        },
    );
    Effect::new(move |_| plan.set(Some(held.get())));
    let to = move |event: &PointerEvent| {
        let bounds = drawing.get_untracked()?.get_bounding_client_rect();
        let share = (f64::from(event.client_x()) - bounds.left()) / bounds.width();
        share
            .is_finite()
            .then(|| held.get_untracked().mm(share * ABOVE_WIDTH))
    };
    // Several moves within one frame of the screen count as the last of them.
    let waiting = StoredValue::new(None::<(usize, f64)>);
    let flush = move || {
        if let Some(moved) = waiting.try_get_value().flatten() {
            waiting.set_value(None);
            on_move.run(moved);
        }
    };
    let on_pointer = Callback::new(move |event: PointerEvent| {
        if let (Some(course), Some(mm)) = (dragged.get_untracked(), to(&event)) {
            let (least, most) = reach();
            let is_first = waiting.get_value().is_none();
            waiting.set_value(Some((course, mm.clamp(least, most))));
            if is_first {
                request_animation_frame(flush);
            }
        }
    });
    let on_let_go = Callback::new(move |()| {
        flush();
        dragged.set(None);
    });
    let grid = move || {
        let (plan, units) = (held.get(), units.get());
        let low = plan.height() - FOOT;
        ticks(plan, units)
            .into_iter()
            .map(|(mm, label)| {
                let x = plan.x(mm);
                let is_end = mm.abs() < 1e-9;
                view! {
                    <line class=if is_end { "centre-line scale-end" } else { "ink-faint" } x1=x x2=x y1=HEAD - 8.0 y2=low />
                    <text class="dim-text" x=x y=HEAD - 12.0 text-anchor="middle">{label}</text>
                }
            })
            .collect_view()
    };
    let drawn = move || {
        let plan = held.get();
        view.with(|v| {
            let saddle: String = v
                .courses
                .iter()
                .enumerate()
                .map(|(i, c)| format!("{:.1},{:.1} ", plan.x(c.now_mm), plan.y(i)))
                .collect();
            let line = straight(&v.courses, plan);
            let places = v
                .courses
                .iter()
                .enumerate()
                .map(|(i, c)| place(c, i, plan))
                .collect_view();
            view! {
                {places}
                <polyline class="saddle-now" points=saddle />
                {line}
            }
        })
    };
    // Laid anew only when a course comes or goes: a point under the hand must stay the same one.
    let count = Memo::new(move |_| view.with(|v| v.courses.len()));
    let handles = move || {
        (0..count.get())
            .map(|course| view! { <Handle course view units held dragged on_pointer on_let_go on_move /> })
            .collect_view()
    };
    let height = move || held.get().height();
    view! {
        <svg class="drawing above" node_ref=drawing viewBox=move || format!("0 0 {ABOVE_WIDTH} {}", height()) role="group"
            aria-label="The saddle from above. Each course's contact point can be moved.">
            {grid}
            <text class="dim-text" x=move || held.get().x(0.0) y="11" text-anchor="middle">"scale's end"</text>
            <text class="dim-text unit-sign" x=TO + 8.0 y=HEAD - 12.0>{move || units.get().length.sign()}</text>
            <text class="dim-text" x=FROM y=move || height() - 1.0>"← nut"</text>
            {drawn}
            {handles}
        </svg>
    }
}

/// The straight line, a little beyond the outer courses.
fn straight(courses: &[SaddleCourse], plan: FromAbove) -> Option<Node> {
    let (first, last) = (courses.first()?.line_mm?, courses.last()?.line_mm?);
    let (x1, y1) = (plan.x(first), plan.y(0));
    let (x2, y2) = (plan.x(last), plan.y(courses.len() - 1));
    // A single course has a line across it too.
    let (dx, dy) = if courses.len() > 1 {
        (x2 - x1, y2 - y1)
    } else {
        (0.0, -ROW)
    };
    let over = 0.35 * ROW / dy.abs().max(1.0);
    Some(view! {
        <line class="straight" x1=x1 - over * dx y1=y1 - over * dy x2=x2 + over * dx y2=y2 + over * dy />
    })
}

/// A course's string and its best place with its range.
fn place(course: &SaddleCourse, i: usize, plan: FromAbove) -> Node {
    let y = plan.y(i);
    let best = course.best_mm.map(|mm| {
        let x = plan.x(mm);
        let range = course.best_band_mm.map(|[low, high]| {
            let (low, high) = (plan.x(low), plan.x(high));
            view! { <path class="best-range" d=format!("M{low:.1} {:.1}v8m0 -4H{high:.1}m0 -4v8", y - 4.0) /> }
        });
        view! {
            {range}
            <path class="best" d=format!("M{:.1} {y:.1}l6.5 -6.5l6.5 6.5l-6.5 6.5z", x - 6.5) />
        }
    });
    view! {
        <line class="course-string" x1=FROM x2=plan.x(course.now_mm) y1=y y2=y />
        <line class="hidden-line behind" x1=plan.x(course.now_mm) x2=TO y1=y y2=y />
        <text class="note-text" x=FROM + 2.0 y=y - 6.0>{course.note.clone()}</text>
        {best}
    }
}

/// A contact point that can be taken hold of.
#[component]
fn Handle(
    course: usize,
    view: Signal<SaddleView>,
    units: Signal<Units>,
    held: Memo<FromAbove>,
    dragged: RwSignal<Option<usize>>,
    on_pointer: Callback<PointerEvent>,
    on_let_go: Callback<()>,
    on_move: Callback<(usize, f64)>,
) -> Node {
    let now = Memo::new(move |_| view.with(|v| v.courses.get(course).map_or(0.0, |c| c.now_mm)));
    let note = move || {
        view.with(|v| {
            v.courses
                .get(course)
                .map(|c| c.note.clone())
                .unwrap_or_default()
        })
    };
    let said = move || {
        let mm = now.get();
        let way = if mm < 0.0 { "in front of" } else { "behind" };
        format!("{} {way} the scale's end", units.get().length(mm.abs()))
    };
    let (x, y) = (
        move || held.get().x(now.get()),
        move || held.get().y(course),
    );
    let on_down = move |event: PointerEvent| {
        if let Some(target) = event.current_target() {
            use wasm_bindgen::JsCast;
            // A pointer that is gone cannot be captured, and then there is nothing to drag.
            if let Some(element) = target.dyn_ref::<web_sys::Element>() {
                let _ = element.set_pointer_capture(event.pointer_id());
            }
            dragged.set(Some(course));
        }
    };
    let (least, most) = reach();
    let on_key = move |event: KeyboardEvent| {
        let plan = held.get_untracked();
        let step = if event.shift_key() { 0.01 } else { 0.1 };
        let to = match event.key().as_str() {
            "ArrowRight" | "ArrowUp" => now.get_untracked() + step,
            "ArrowLeft" | "ArrowDown" => now.get_untracked() - step,
            "PageUp" => now.get_untracked() + 0.5,
            "PageDown" => now.get_untracked() - 0.5,
            "Home" => plan.low,
            "End" => plan.high,
            _ => return,
        };
        event.prevent_default();
        on_move.run((course, ((100.0 * to).round() / 100.0).clamp(least, most)));
    };
    view! {
        <g class="handle" class:dragged=move || dragged.get() == Some(course) role="slider" tabindex="0" data-course=course + 1
            aria-label=move || format!("Contact point of course {}, {}", course + 1, note())
            aria-orientation="horizontal" aria-valuemin=least aria-valuemax=most
            aria-valuenow=now aria-valuetext=said
            on:pointerdown=on_down on:pointermove=move |event| on_pointer.run(event)
            on:pointerup=move |_| on_let_go.run(()) on:pointercancel=move |_| on_let_go.run(()) on:keydown=on_key>
            <circle class="touch" cx=x cy=y r="24" />
            <circle class="grip" cx=x cy=y r="7.5" />
            <path class="arrows" d=move || format!("M{:.1} {:.1}l-5 5l5 5m{} -10l5 5l-5 5", x() - 12.0, y() - 5.0, 24) />
        </g>
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn setbacks_reach_as_far_as_a_record_takes_them() {
        let (least, most) = reach();
        assert!(least < 0.0 && most > 0.0);
    }

    #[test]
    fn a_place_drawn_reads_back() {
        let plan = FromAbove {
            low: -1.0,
            high: 6.0,
            count: 4,
        };
        for mm in [-1.0, 0.0, 1.53, 3.99, 6.0] {
            assert!((plan.mm(plan.x(mm)) - mm).abs() < 1e-9);
        }
        assert_eq!(plan.mm(0.0), -1.0);
        assert_eq!(plan.mm(1e9), 6.0);
        assert!(plan.y(0) > plan.y(3), "the bass side lies below");
    }
}
