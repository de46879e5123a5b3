//! The Strings section: each course's string beside its neighbours, and choosing another.

mod candidate;
mod choosing;
mod compare;
mod course;
mod figures;

use crate::drawings::strings::{Column, Hanging};
use crate::markup::prelude::*;
use crate::store::Store;
use choosing::Choosing;
use course::CourseRow;
use strungwell_workshop::families;
use strungwell_workshop::rack::Price;
use strungwell_workshop::report::{InstrumentReport, StringFigures, WARN_FROM};

/// The Strings section of the open instrument's sheet.
#[component]
pub(crate) fn Strings() -> Node {
    let store = Store::here();
    let report = store.report();
    let chosen = RwSignal::new(None::<usize>);
    let count = Memo::new(move |_| report.with(|r| r.as_ref().map_or(0, |r| r.courses.len())));
    // A removed course cannot stay chosen, nor one of another instrument.
    let open = Memo::new(move |_| {
        store
            .instrument()
            .with(|i| i.as_ref().map(|i| i.id.clone()))
    });
    Effect::new(move |before: Option<Option<String>>| {
        let now = open.get();
        if before.is_some_and(|b| b != now)
            || chosen.get_untracked().is_some_and(|c| c >= count.get())
        {
            chosen.set(None);
        }
        now
    });
    let columns = Memo::new(move |_| {
        report.with(|r| {
            r.as_ref().map_or_else(Vec::new, |r| {
                r.courses
                    .iter()
                    .map(|course| column(&course.note, course.strings.first()))
                    .collect()
            })
        })
    });
    let usual = Memo::new(move |_| {
        store
            .instrument()
            .with(|i| families::of(i.as_ref()?)?.tension_n)
    });
    let total = move || report.with(|r| r.as_ref().and_then(|r| r.total_tension_n));
    view! {
        <section id="strings" class="sheet-section" aria-labelledby="strings-title">
            <h2 id="strings-title">"Strings"</h2>
            <div class="strings-top">
                <figure>
                    <Hanging columns usual chosen units=store.units()
                        on_choose=Callback::new(move |i| chosen.set(if chosen.get_untracked() == Some(i) { None } else { Some(i) })) />
                    <figcaption>
                        "Each course hangs as deep as it is tight; thickness drawn nine times larger than the spacing. "
                        {move || usual.get().map(|_| "Hatched: usual for the family (common practice). ")}
                        "The bar beside a string is the doubt of its mass."
                    </figcaption>
                </figure>
                <div class="courses">
                    <ol class="course-rows">
                        <For each=move || 0..count.get() key=|i| *i let:i>
                            <CourseRow course=i chosen />
                        </For>
                    </ol>
                    <p class="total" data-figure="total_tension">
                        "All strings together: "
                        <strong class="num">{move || store.units().get().force(total())}</strong>
                    </p>
                    <p class="hint" data-figure="strings_price">{move || store.report().with(|r| r.as_ref().map(priced))}</p>
                    <p class="hint" data-caution="wire">{strungwell_workshop::cautions::WIRE}</p>
                </div>
            </div>
            <Warnings />
            {move || chosen.get().map(|course| view! { <Choosing course on_close=Callback::new(move |()| chosen.set(None)) /> })}
        </section>
    }
}

/// What the strings cost, where one of them has a price.
fn priced(report: &InstrumentReport) -> Option<String> {
    let strings: usize = report.courses.iter().map(|c| c.strings.len()).sum();
    let price = Price {
        sum: report.strings_price,
        priced: strings.saturating_sub(report.strings_unpriced),
        unpriced: report.strings_unpriced,
    };
    (price.priced > 0).then(|| format!("The strings cost {}.", price.text()))
}

fn column(note: &str, string: Option<&StringFigures>) -> Column {
    Column {
        note: note.to_owned(),
        tension_n: string.and_then(|s| s.tension_n),
        band_n: string.and_then(|s| s.tension_band_n),
        breaking: string.and_then(|s| s.breaking_fraction),
        warn: string.is_some_and(|s| s.breaking_fraction.is_some_and(|f| f >= WARN_FROM)),
        diameter_mm: string.and_then(|s| s.diameter_mm),
        wound: string.is_some_and(|s| s.is_wound),
    }
}

/// What the person should know of the strings, each a sentence with what to do.
#[component]
fn Warnings() -> Node {
    let store = Store::here();
    let warnings = Memo::new(move |_| {
        store
            .report()
            .with(|r| r.as_ref().map_or_else(Vec::new, |r| r.warnings.clone()))
    });
    view! {
        <Show when=move || warnings.with(|w| !w.is_empty())>
            <ul class="warnings" aria-label="What to know">
                {move || warnings.get().into_iter().map(|w| view! {
                    <li data-code=w.code><span class="mark" aria-hidden="true">"!"</span>{w.text}</li>
                }).collect_view()}
            </ul>
        </Show>
    }
}
