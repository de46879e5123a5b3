//! A course measured by ear: which note to pluck next, how it stands while it sounds, and what was taken.

use super::readings::put_by_ear;
use crate::fields::{ChoiceField, Toggle, words};
use crate::listen::{Ear, Place, Work};
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_sound::guide::{Guide, Plan, Reading, Stage, Way};
use strungwell_workshop::records::Instrument;
use strungwell_workshop::report::readings::{
    ToHear, reading_at, reading_by_ear, stiffness_heard, to_hear,
};
use strungwell_workshop::units::{figure, signed};

/// Which frets are asked for, and what that is called.
const NOTES: [(&str, &str); 2] = [
    ("octave", "open string and octave"),
    ("spread", "open string and six frets"),
];

/// How often each note can be plucked.
const REPEATS: [&str; 4] = ["1", "2", "3", "5"];

/// The guided measurement.
#[component]
pub(super) fn ByEar() -> Node {
    let store = Store::here();
    let place = Place::new();
    let guide = RwSignal::new(None::<Guide>);
    let course = RwSignal::new(1_u32);
    let notes = RwSignal::new(NOTES[0].0.to_owned());
    let harmonic = RwSignal::new(false);
    let repeats = RwSignal::new(REPEATS[1].to_owned());
    let courses = Signal::derive(move || {
        store.instrument().with(|i| {
            let all = i.iter().flat_map(|i| &i.courses).enumerate();
            all.map(|(i, c)| ((i + 1).to_string(), format!("{} {}", i + 1, c.note)))
                .collect::<Vec<_>>()
        })
    });
    let begin = move || {
        let number = course.get_untracked();
        let course_to_hear = to_hear_of(store, number)?;
        let asked = course_to_hear.clone();
        let frets = if notes.with_untracked(|notes| notes == NOTES[0].0) {
            asked.octave.into_iter().collect()
        } else {
            asked.frets
        };
        let plan = Plan {
            course: number,
            note: asked.note,
            open_hz: asked.open_hz,
            first_fret: asked.first_fret,
            frets,
            harmonic: harmonic.get_untracked(),
            repeats: repeats.with_untracked(|word| word.parse().unwrap_or(1)),
        };
        guide.set(Some(
            Guide::new(plan).map_err(|why| format!("Not begun: {why}."))?,
        ));
        let mut goes_on = false;
        Ok(Box::new(move |ear: &mut Ear| {
            if to_hear_of(store, number).as_ref() != Ok(&course_to_hear) {
                place.stop_with("The course was changed, so listening stopped.");
                return false;
            }
            let pitch = ear.pitch();
            let mut all = false;
            let mut taken = None;
            guide.update(|guide| {
                if let Some(guide) = guide {
                    let before = guide.readings().len();
                    if guide.hear(pitch) && guide.readings().len() > before {
                        taken = guide.readings().last().copied();
                    }
                    all = guide.stage() == Stage::Done;
                }
            });
            if let Some(reading) = taken {
                let before = store.removed().get_untracked();
                file(store, &reading, goes_on);
                // The harmonic, or the same figure again, changes nothing.
                goes_on |= store.removed().get_untracked() != before;
            }
            if all {
                // The next course stands ready.
                let last = store
                    .instrument()
                    .with_untracked(|i| i.as_ref().map_or(0, |i| i.courses.len()));
                course.set(if (number as usize) < last {
                    number + 1
                } else {
                    1
                });
            }
            all
        }) as Work)
    };
    let change = move |how: fn(&mut Guide)| guide.update(|guide| guide.iter_mut().for_each(how));
    // What changes ten times a second is drawn, not spoken.
    let says = move || {
        guide.with(|guide| {
            let guide = guide
                .as_ref()
                .filter(|guide| place.is_open() || guide.asked().is_none())?;
            Some(match guide.stage() {
                Stage::Listening { .. } => "Let it ring.".to_owned(),
                _ => guide.say(),
            })
        })
    };
    let live = move || {
        guide.with(|guide| {
            guide
                .as_ref()
                .filter(|_| place.is_open())
                .map(|guide| dial(guide.stage()))
        })
    };
    let taken = move || guide.with(|guide| guide.as_ref().map(|guide| list(store, guide)));
    view! {
        <details class="more by-ear">
            <summary>"Measure it by ear"</summary>
            <p class="hint">
                "The page names the note to pluck, listens, and takes the reading when the pitch is steady. Damp the other strings; of a double course, pluck its first \
                 string and damp the second. A reading that stands there already is replaced; one undo takes back all that was heard."
            </p>
            <div class="fields">
                <ChoiceField name="listen_course" label=words("Course") options=courses value=Signal::derive(move || course.get().to_string())
                    on_change=Callback::new(move |word: String| course.set(word.parse().unwrap_or(1))) />
                <ChoiceField name="listen_notes" label=words("Notes") value=notes on_change=Callback::new(move |word| notes.set(word))
                    options=Signal::stored(NOTES.map(|(word, label)| (word.to_owned(), label.to_owned())).to_vec()) />
                <ChoiceField name="listen_repeats" label=words("Plucks of each") value=repeats on_change=Callback::new(move |word| repeats.set(word))
                    options=Signal::stored(REPEATS.map(|word| (word.to_owned(), word.to_owned())).to_vec()) />
                <Toggle name="listen_harmonic" label=words("The harmonic at the octave too") value=harmonic on_change=Callback::new(move |on| harmonic.set(on)) />
            </div>
            {place.button("listen", "Listen", begin)}
            <p class="said-line listen-says" role="status" data-figure="listen_says">{says}</p>
            {live}
            <Show when=move || place.is_open()>
                <p class="buttons">
                    <button type="button" class="quiet small" data-deed="listen-skip" on:click=move |_| change(Guide::skip)>"Leave this note out"</button>
                    <button type="button" class="quiet small" data-deed="listen-back" on:click=move |_| change(Guide::back)>"The last one again"</button>
                </p>
            </Show>
            {taken}
        </details>
    }
}

/// What is to be heard of a course, counted from 1, of the open instrument.
fn to_hear_of(store: Store, course: u32) -> Result<ToHear, String> {
    store.instrument().with_untracked(|i| {
        let i = i.as_ref().ok_or("no instrument is open")?;
        to_hear(i, (course as usize).wrapping_sub(1))
    })
}

/// Puts a reading into the record; the harmonic has no place there. One undo takes all back that was heard since listening began:
/// `goes_on` says whether something was.
fn file(store: Store, heard: &Reading, goes_on: bool) {
    let Some(reading) = heard
        .fret
        .and_then(|fret| reading_by_ear(heard.course, fret, heard.cents, heard.sd_cents))
    else {
        return;
    };
    let there = |i: &Instrument| Some(reading_at(i, reading.course, reading.fret)?.0);
    let place = store.instrument().with_untracked(|i| there(i.as_ref()?));
    put_by_ear(store, place, reading, goes_on);
}

/// How a note is sounded, in a word or two.
fn way(way: Way) -> String {
    match way {
        Way::Open => "open".into(),
        Way::Harmonic => "harmonic".into(),
        Way::Fretted(fret) => format!("fret {fret}"),
    }
}

/// What was taken, each with its doubt, and what the open string's partials say.
fn list(store: Store, guide: &Guide) -> Node {
    let all = guide.readings();
    let row = |reading: &Reading| {
        view! {
            <li>{way(reading.way)}" "<span class="num">{signed(Some(reading.cents), 2)}" ± "{figure(Some(reading.sd_cents.max(0.01)), 2)}" cents"</span></li>
        }
    };
    let stiff = all
        .iter()
        .find(|reading| reading.way == Way::Open)
        .and_then(|reading| {
            let (heard, sd) = reading.inharmonicity?;
            let course = (reading.course as usize).wrapping_sub(1);
            store.instrument().with_untracked(|i| {
                store
                    .rack()
                    .with_untracked(|rack| stiffness_heard(i.as_ref()?, rack, course, [heard, sd]))
            })
        });
    view! {
        <ul class="heard" aria-label="Heard">{all.iter().map(row).collect_view()}</ul>
        <p class="hint">{stiff}</p>
    }
}

/// The widest that the dial shows, in cents each way.
const WIDE: f64 = 50.0;

/// How the sounding note stands to its true pitch: a line at its cents, and a bar as broad as the windows differ.
fn dial(stage: Stage) -> Node {
    let x = |cents: f64| 180.0 + 3.2 * cents.clamp(-WIDE, WIDE);
    let (cents, spread) = match stage {
        Stage::Listening {
            cents,
            spread_cents,
        } => (Some(cents), spread_cents),
        Stage::OtherNote { cents } | Stage::Tune { cents } => (Some(cents), None),
        Stage::Pluck | Stage::Again { .. } | Stage::Done => (None, None),
    };
    let tick = |cents: f64| {
        view! {
            <line class="ink-faint" x1=x(cents) x2=x(cents) y1="14" y2="40" />
            <text class="dim-text" x=x(cents) y="56" text-anchor="middle">{signed(Some(cents), 0)}</text>
        }
    };
    let bar = cents.zip(spread).map(|(cents, spread)| {
        let (left, right) = (x(cents - spread), x(cents + spread));
        view! { <rect class="spread" x=left width=right - left y="18" height="18" /> }
    });
    let hand =
        cents.map(|cents| view! { <line class="hand" x1=x(cents) x2=x(cents) y1="10" y2="44" /> });
    let reads = cents.map(|cents| {
        let give = spread.map(|spread| format!(" ± {}", figure(Some(spread), 1)));
        format!(
            "{}{} cents",
            signed(Some(cents), 1),
            give.unwrap_or_default()
        )
    });
    view! {
        <figure class="dial">
            <svg class="drawing" viewBox="0 0 360 62" role="img" aria-label="The note against its true pitch, in cents">
                <line class="ink-thin" x1=x(-WIDE) x2=x(WIDE) y1="27" y2="27" />
                {[-50.0, -25.0, 0.0, 25.0, 50.0].map(tick).into_iter().collect_view()}
                {bar}
                {hand}
            </svg>
            <figcaption class="num" data-figure="listen_live">{reads.unwrap_or_else(|| "nothing steady yet".to_owned())}</figcaption>
        </figure>
    }
}
