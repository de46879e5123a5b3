//! One course of the sheet: its string, its figures, and the way to choose another.

use super::figures::{LINES, Line, Shown, StringFigure};
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::report::{Figure as Kind, as_heavy_as, fitted};

/// What a course shows at a glance; the rest opens below.
const AT_A_GLANCE: [Kind; 4] = [Kind::Tension, Kind::Octave, Kind::Breaking, Kind::Kappa];

/// One course of the open instrument.
#[component]
pub(crate) fn CourseRow(course: usize, chosen: RwSignal<Option<usize>>) -> Node {
    let store = Store::here();
    let note = Memo::new(move |_| {
        store.instrument().with(|i| {
            i.as_ref()
                .and_then(|i| Some(i.courses.get(course)?.note.clone()))
                .unwrap_or_default()
        })
    });
    let strings = Memo::new(move |_| {
        store.instrument().with(|i| {
            i.as_ref()
                .and_then(|i| Some(i.courses.get(course)?.strings.len()))
                .unwrap_or(0)
        })
    });
    let is_chosen = move || chosen.get() == Some(course);
    view! {
        <li class="course-row" class:chosen=is_chosen data-course=course + 1>
            <div role="group" aria-label=move || format!("Course {}, {}", course + 1, note.get())>
            <div class="course-head">
                <span class="note">{note}</span>
                <button type="button" class="quiet" aria-expanded=move || if is_chosen() { "true" } else { "false" }
                    on:click=move |_| chosen.set(if chosen.get_untracked() == Some(course) { None } else { Some(course) })>
                    {move || if is_chosen() { "Close" } else { "Choose a string" }}
                    <span class="sr-only">" for course " {course + 1}</span>
                </button>
            </div>
            <For each=move || 0..strings.get() key=|i| *i let:string>
                <OneString course string />
            </For>
            <Show when=move || strings.get() == 0>
                <p class="missing">"No string yet."</p>
            </Show>
            </div>
        </li>
    }
}

#[component]
fn OneString(course: usize, string: usize) -> Node {
    let store = Store::here();
    let shown = Memo::new(move |_| {
        let figures = store.report().with(|r| {
            r.as_ref()?
                .courses
                .get(course)?
                .strings
                .get(string)
                .cloned()
        })?;
        let make = store.instrument().with(|i| {
            let fitted_string = i
                .as_ref()?
                .courses
                .get(course)?
                .strings
                .get(string)
                .cloned()?;
            store.rack().with(|rack| fitted(&fitted_string, rack).ok())
        })?;
        Some(Shown {
            figures,
            make: make.record,
        })
    });
    let name = move || {
        store
            .report()
            .with(|r| {
                Some(
                    r.as_ref()?
                        .courses
                        .get(course)?
                        .strings
                        .get(string)?
                        .name
                        .clone(),
                )
            })
            .unwrap_or_default()
    };
    let units = store.units();
    let heavy = move || {
        let plain = shown
            .with(|s| s.as_ref().map(|s| as_heavy_as(&s.make)))
            .unwrap_or_default();
        let said: Vec<String> = plain
            .into_iter()
            .map(|(label, mm)| format!("{label} {}", units.get().length(mm)))
            .collect();
        format!(
            "Weighs as much as a plain string of {}.",
            said.join(", or of ")
        )
    };
    let glance = |line: &&'static Line| AT_A_GLANCE.contains(&line.kind);
    let some: Vec<&'static Line> = LINES.iter().filter(glance).collect();
    let rest: Vec<&'static Line> = LINES.iter().filter(|line| !glance(line)).collect();
    view! {
        <div class="one-string">
            <p class="string-name">{name}</p>
            <dl class="figures">
                {some.into_iter().map(|line| view! { <StringFigure line shown units /> }).collect_view()}
            </dl>
            <details class="more">
                <summary>"More of this string"</summary>
                <dl class="figures">
                    {rest.into_iter().map(|line| view! { <StringFigure line shown units /> }).collect_view()}
                </dl>
                <p class="hint as-heavy">{heavy}</p>
            </details>
        </div>
    }
}
