//! The saddle from above with its fields, and what each place of it costs.

use super::rms;
use crate::drawings::intonation::{Above, FromAbove};
use crate::fields::LengthField;
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::records::CourseSetup;
use strungwell_workshop::report::saddle_view::{Place, SaddleView, put_saddle, setup_of};
use strungwell_workshop::units::signed;

/// Changes the setup of a course of the open instrument, counted from 0.
fn edit_setup(store: Store, course: usize, change: impl FnOnce(&mut CourseSetup)) {
    store.edit(|instrument| {
        if let Some(setup) = setup_of(instrument, course) {
            change(setup);
        }
    });
}

/// The saddle from above, the buttons that put it in its place, and the figures.
#[component]
pub(super) fn Saddle(#[prop(into)] view: Signal<SaddleView>) -> Node {
    let store = Store::here();
    let plan = RwSignal::new(None::<FromAbove>);
    let count = Memo::new(move |_| view.with(|v| v.courses.len()));
    let on_move = Callback::new(move |(course, mm): (usize, f64)| {
        edit_setup(store, course, |setup| setup.saddle_setback_mm = Some(mm));
    });
    let put = move |place: Place, said: &'static str| {
        move |_| {
            let view = view.get_untracked();
            store.edit_with_undo(said, |instrument| put_saddle(instrument, &view, place));
        }
    };
    let nothing = move || view.with(|v| v.offset_mm.is_none());
    view! {
        <figure>
            <div class="above-figure">
                <Above view units=store.units() plan on_move />
                <For each=move || 0..count.get() key=|i| *i let:course>
                    <Places course plan />
                </For>
            </div>
            <figcaption>
                "Lengths along the strings are enlarged; their spacing is not to scale, and the bass side lies below. Round: where the \
                 string leaves the saddle now; drag it, or use the arrow keys. Diamond: the best place, with the range that the \
                 string's doubt leaves. Dashed: a straight saddle through the best places, by how much each course minds."
            </figcaption>
        </figure>
        <p class="buttons">
            <button type="button" class="main" disabled=nothing on:click=put(Place::Best, "Put the saddle at the best places.")>
                "Put the saddle at the best places"
            </button>
            <button type="button" class="quiet" disabled=nothing on:click=put(Place::Line, "Put the saddle on the straight line.")>
                "Put it on the straight line"
            </button>
        </p>
        <Costs view />
    }
}

/// The fields of one course, at the ends of its string in the drawing.
#[component]
fn Places(course: usize, plan: RwSignal<Option<FromAbove>>) -> Node {
    let store = Store::here();
    let name = move |field: &str| format!("course-{}-{field}", course + 1);
    let top = move || {
        plan.get()
            .map(|p| format!("{:.2}%", 100.0 * p.share(course)))
            .unwrap_or_default()
    };
    let label = move |end: &'static str| {
        let note = store.pick(move |i| Some(i.courses.get(course)?.note.clone()));
        Signal::derive(move || format!("{} {end}", note.get().unwrap_or_default()))
    };
    let value = move |of: fn(&CourseSetup) -> Option<f64>| {
        store.pick(move |i| i.setup.courses.get(course).and_then(of))
    };
    let on = move |set: fn(&mut CourseSetup, Option<f64>)| {
        Callback::new(move |mm: Option<f64>| edit_setup(store, course, |setup| set(setup, mm)))
    };
    view! {
        <div class="above-place nut-end" style:top=top>
            <LengthField name=name("nut_setback_mm") label=label("nut") compact=true of=("course setup", "nut_setback_mm")
                value=value(|s| s.nut_setback_mm) on_change=on(|s, mm| s.nut_setback_mm = mm) />
        </div>
        <div class="above-place saddle-end" style:top=top>
            <LengthField name=name("saddle_setback_mm") label=label("saddle") compact=true of=("course setup", "saddle_setback_mm")
                value=value(|s| s.saddle_setback_mm) on_change=on(|s, mm| s.saddle_setback_mm = mm) />
        </div>
    }
}

/// What each place of the saddle leaves, course by course.
#[component]
fn Costs(view: Signal<SaddleView>) -> Node {
    let units = Store::here().units();
    let rows = move || {
        let units = units.get();
        view.with(|v| {
            v.strands
                .iter()
                .filter_map(|strand| Some((strand, v.courses.get(strand.course)?)))
                .map(|(strand, course)| {
                    let length = |mm: Option<f64>| units.length_number(mm);
                    let range = |band: Option<[f64; 2]>| {
                        band.map(|[low, high]| (length(Some(low)), length(Some(high))))
                            .filter(|(low, high)| low != high)
                            .map(|(low, high)| format!("{low} to {high}"))
                    };
                    let second = (strand.string > 0).then(|| format!(" string {}", strand.string + 1));
                    let number = strand.course + 1;
                    view! {
                        <tr data-course=number>
                            <th scope="row">{strand.note.clone()}{second}</th>
                            <td class="num" data-figure="saddle_setback">
                                <span class="value">{length(course.best_mm)}</span>" "
                                <span class="range">{range(course.best_band_mm)}</span>
                            </td>
                            <td class="num" data-figure="nut_setback">
                                <span class="value">{length(course.nut_best_mm)}</span>" "
                                <span class="range">{range(course.nut_band_mm)}</span>
                            </td>
                            <td class="num" data-figure="line_setback">{length(course.line_mm)}</td>
                            <td class="num" data-figure="rms_now">{rms(strand.rms_now)}</td>
                            <td class="num" data-figure="rms_best">{rms(strand.rms_best)}</td>
                            <td class="num" data-figure="rms_line">
                                <span class="value">{rms(strand.rms_line)}</span>" "
                                <span class="range" data-figure="line_cost">{signed(course.cost_cents, 2)}</span>
                            </td>
                        </tr>
                    }
                })
                .collect_view()
        })
    };
    let sign = move || units.get().length.sign();
    let line = move || {
        view.with(|v| match (v.offset_mm, v.slant_mm) {
            (Some(offset), Some(slant)) => {
                let units = units.get();
                let way = if slant < 0.0 { "less" } else { "more" };
                format!(
                    "A straight saddle stands {} behind the scale's end in its middle and {} {way} at the treble than at the bass.",
                    units.length(offset),
                    units.length(slant.abs())
                )
            }
            _ => "No best place can be given, so there is no line through them.".to_owned(),
        })
    };
    view! {
        <div class="table-scroll" tabindex="0" role="group" aria-label="Setbacks and what they leave">
            <table class="costs">
                <caption>
                    "Setbacks in "{sign}"; what is left in cents, root mean square over the frets that count and the open string. \
                     After the plus: what the straight line costs."
                </caption>
                <thead>
                    <tr>
                        <th scope="col">"Course"</th>
                        <th scope="col">"Saddle, best"</th>
                        <th scope="col">"Nut, best"</th>
                        <th scope="col">"Saddle on the line"</th>
                        <th scope="col">"Cents now"</th>
                        <th scope="col">"Cents at best"</th>
                        <th scope="col">"Cents on the line"</th>
                    </tr>
                </thead>
                <tbody>{rows}</tbody>
            </table>
        </div>
        <p data-figure="straight_line">{line}</p>
    }
}
