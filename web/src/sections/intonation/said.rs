//! What the readings say, course by course: where to put saddle and nut, and what the string is.

use crate::fields::{ChoiceField, words};
use crate::markup::prelude::*;
use crate::near::kept_near;
use crate::store::Store;
use strungwell_workshop::report::readings::{
    CorrectionFigures, CourseReadings, FRETS_FOR_FIT, FitFigures, ReadingsView, TakenWith,
    put_correction, readings_view, take_stretch,
};
use strungwell_workshop::report::saddle_view::SaddleAim;
use strungwell_workshop::units::{Units, figure, signed};
use strungwell_workshop::words::capital;

/// What the readings of the visit on the bench say.
#[component]
pub(super) fn Said(aim: RwSignal<SaddleAim>, near: Memo<bool>) -> Node {
    let store = Store::here();
    let taken = RwSignal::new(TakenWith::AsFound);
    let view = kept_near(near, move || {
        let (taken, aim) = (taken.get(), aim.get());
        store.instrument().with(|i| {
            let instrument = i.as_ref()?;
            store
                .rack()
                .with(|rack| readings_view(instrument, rack, taken, &aim))
        })
    });
    let changed = Memo::new(move |_| {
        view.with(|v| v.as_ref().is_some_and(|v| v.changed_since && has_any(v)))
    });
    let options = Signal::stored(vec![
        ("found".to_owned(), "As found at that visit".to_owned()),
        ("now".to_owned(), "As it stands now".to_owned()),
    ]);
    let word = Signal::derive(move || {
        if taken.get() == TakenWith::AsFound {
            "found"
        } else {
            "now"
        }
        .to_owned()
    });
    let on_taken = Callback::new(move |word: String| {
        taken.set(if word == "now" {
            TakenWith::AsItStands
        } else {
            TakenWith::AsFound
        });
    });
    view! {
        <Show when=move || changed.get()>
            <div class="taken-with">
                <ChoiceField name="readings_taken" label=words("The readings were taken with the instrument") value=word options
                    on_change=on_taken hint=words("Heights or setbacks were changed since they were noted as found.") />
            </div>
        </Show>
        <ul class="said-list">
            {move || {
                let units = store.units().get();
                view.with(|v| {
                    v.iter()
                        .flat_map(|v| v.courses.iter().enumerate())
                        .filter(|(_, course)| course.count > 0)
                        .map(|(i, course)| one(store, i, course, units))
                        .collect_view()
                })
            }}
        </ul>
    }
}

fn has_any(view: &ReadingsView) -> bool {
    view.courses.iter().any(|course| course.count > 0)
}

fn one(store: Store, i: usize, course: &CourseReadings, units: Units) -> Node {
    let mend = course.correction.clone().map(|found| {
        let words = correction_words(&found, units);
        let note = course.note.clone();
        view! {
            <p data-figure="correction">{words}</p>
            {found.is_heard.then(|| view! {
                <button type="button" class="quiet small" on:click=move |_| move_to(store, i, &found)>
                    "Move it there"<span class="sr-only">", the saddle of course " {i + 1} ", " {note}</span>
                </button>
            })}
        }
    });
    let missing = course
        .missing
        .clone()
        .map(|why| view! { <p class="missing">"No correction: " {why} "."</p> });
    let aside = course
        .set_aside
        .iter()
        .map(|a| {
            let at = if a.fret == 0 { "the open string".to_owned() } else { format!("fret {}", a.fret) };
            view! { <li>{format!("Set aside: {} cents at {at}. {}.", signed(a.cents, 1), capital(&a.why))}</li> }
        })
        .collect_view();
    let few = (course.fit.is_none() && course.missing.is_none() && course.frets < FRETS_FOR_FIT).then(|| {
        let frets = if course.frets == 1 { "fret" } else { "frets" };
        view! {
            <p class="hint">{format!(
                "Read on {} {frets}; from {FRETS_FOR_FIT} on, high ones among them, the readings also tell the string's stretch.",
                course.frets
            )}</p>
        }
    });
    let fit = course
        .fit
        .clone()
        .map(|fit| view! { <Stretch course=i note=course.note.clone() fit units /> });
    view! {
        <li class="said" data-course=i + 1>
            <span class="note">{course.note.clone()}</span>
            <div>
                {mend}
                {missing}
                <ul class="set-aside">{aside}</ul>
                {few}
                {fit}
            </div>
        </li>
    }
}

fn move_to(store: Store, course: usize, found: &CorrectionFigures) {
    let said = format!(
        "Moved the contact point of course {} to where the readings say.",
        course + 1
    );
    store.edit_with_undo(&said, |instrument| {
        put_correction(instrument, course, found)
    });
}

/// The sentences of a correction.
fn correction_words(found: &CorrectionFigures, units: Units) -> String {
    let read = format!(
        "The readings are {} cents off, root mean square",
        figure(found.before_cents, 1)
    );
    if !found.is_heard {
        return format!("{read}: no more than readings scatter by. Leave it.");
    }
    let saddle = moved(
        "the saddle",
        found.saddle_mm,
        found.saddle_band_mm,
        ["back", "forward"],
        units,
    );
    let nut = if found.nut_stays {
        "leave the nut".to_owned()
    } else {
        moved(
            "the nut's edge",
            found.nut_mm,
            found.nut_band_mm,
            ["away from the bridge", "towards the bridge"],
            units,
        )
    };
    format!(
        "{}, to a setback of {}; {nut}. {read}; {} should be left.",
        capital(&saddle),
        units.length(found.saddle_setback_mm),
        figure(found.after_cents, 1)
    )
}

/// One move in words, with its range as sizes in the same way.
fn moved(what: &str, mm: f64, band: [f64; 2], ways: [&str; 2], units: Units) -> String {
    let way = if mm < 0.0 { ways[1] } else { ways[0] };
    let sign = if mm < 0.0 { -1.0 } else { 1.0 };
    let (a, b) = (sign * band[0], sign * band[1]);
    format!(
        "move {what} {way} by {} ({} to {})",
        units.length(sign * mm),
        units.length_number(a.min(b)),
        units.length_number(a.max(b))
    )
}

/// What the readings say of the string itself, with the offer to take it.
#[component]
fn Stretch(course: usize, note: String, fit: FitFigures, units: Units) -> Node {
    let store = Store::here();
    let band = fit.kappa_band;
    let ends = fit.end_correction_band_mm;
    let stretch = format!(
        "{} ({} to {})",
        figure(fit.kappa, 1),
        figure(band[0], 1),
        figure(band[1], 1)
    );
    let end = format!(
        "{} ({} to {})",
        units.length(fit.end_correction_mm),
        units.length_number(ends[0]),
        units.length_number(ends[1])
    );
    let left = format!(
        "With them the {} readings used differ by {} cents, root mean square; without, by {}.",
        fit.used,
        figure(fit.after_cents, 1),
        figure(fit.before_cents, 1)
    );
    let far = fit.is_far.then(|| {
        format!(
            "This is far from what was known of the string ({} standard deviations): check the heights and setbacks first, and \
             whether the string is what the record says.",
            figure(fit.moved_sds.abs(), 1)
        )
    });
    let mixed = (fit.correlation.abs() > MIXED).then_some(
        "The readings fix a mixture of the two better than either; readings on higher frets, or a pull test, would part them.",
    );
    let offer = if fit.is_taken {
        view! { <p class="hint">"This stretch is recorded for the string on this instrument."</p> }
    } else {
        let take = move |_| {
            let said = format!(
                "Took the stretch that the readings of course {} give.",
                course + 1
            );
            store.edit_with_undo(&said, |instrument| take_stretch(instrument, course, &fit));
        };
        view! {
            <button type="button" class="quiet small" on:click=take>
                "Take this stretch"<span class="sr-only">" for course " {course + 1} ", " {note}</span>
            </button>
        }
    };
    view! {
        <p>
            "The string itself: stretch κ " <span class="num" data-figure="fitted_kappa">{stretch}</span>
            ", end correction " <span class="num" data-figure="fitted_end">{end}</span> " at each end. " {left}
        </p>
        {mixed.map(|words| view! { <p class="hint">{words}</p> })}
        {far.map(|words| view! { <p class="far"><span class="mark" aria-hidden="true">"!"</span>{words}</p> })}
        {offer}
    }
}

/// From this correlation on, the two are said to be mixed. This project's own mark.
const MIXED: f64 = 0.7;

#[cfg(test)]
mod tests {
    use super::*;

    fn found() -> CorrectionFigures {
        CorrectionFigures {
            saddle_mm: 1.8,
            saddle_band_mm: [1.1, 2.5],
            nut_mm: -0.4,
            nut_band_mm: [-0.7, -0.1],
            saddle_setback_mm: 3.3,
            nut_setback_mm: -0.4,
            nut_stays: false,
            before_cents: 8.04,
            after_cents: 0.9,
            is_heard: true,
        }
    }

    #[test]
    fn a_correction_says_which_way_and_how_far() {
        assert_eq!(
            correction_words(&found(), Units::default()),
            "Move the saddle back by 1.80 mm (1.10 to 2.50), to a setback of 3.30 mm; move the nut's edge towards the bridge by \
             0.40 mm (0.10 to 0.70). The readings are 8.0 cents off, root mean square; 0.9 should be left."
        );
        let forward = CorrectionFigures {
            saddle_mm: -0.5,
            saddle_band_mm: [-0.9, 0.1],
            nut_stays: true,
            ..found()
        };
        let words = correction_words(&forward, Units::default());
        assert!(
            words.starts_with("Move the saddle forward by 0.50 mm (-0.10 to 0.90)"),
            "{words}"
        );
        assert!(words.contains("leave the nut"), "{words}");
    }

    #[test]
    fn what_is_within_the_scatter_is_left_alone() {
        let quiet = CorrectionFigures {
            is_heard: false,
            before_cents: 1.9,
            ..found()
        };
        assert!(correction_words(&quiet, Units::default()).ends_with("Leave it."));
    }
}
