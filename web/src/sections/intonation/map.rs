//! The map of cents with its words: what is drawn how, what cannot sound, what would narrow the doubt.

use super::table::CentsTable;
use crate::drawings::intonation::CentsMap;
use crate::markup::prelude::*;
use crate::store::Store;
use strungwell_workshop::report::saddle_view::SaddleView;
use strungwell_workshop::units::signed;

/// The map of cents and what belongs to it.
#[component]
pub(super) fn Map(#[prop(into)] view: Signal<SaddleView>) -> Node {
    let store = Store::here();
    let frets = Memo::new(move |_| {
        store
            .instrument()
            .with(|i| i.as_ref().map_or(12, |i| i.frets.max(1)))
    });
    let sharpest = move || view.with(sharpest_words);
    let missing = Memo::new(move |_| view.with(cannot));
    let narrows = Memo::new(move |_| {
        let mut all: Vec<(String, &'static str)> = Vec::new();
        store.report().with(|r| {
            for course in r.iter().flat_map(|r| &r.courses) {
                let Some(what) = course.strings.iter().find_map(|s| s.fretting.narrows) else {
                    continue;
                };
                match all.iter_mut().find(|(_, said)| *said == what) {
                    Some((notes, _)) => {
                        notes.push_str(", ");
                        notes.push_str(&course.note);
                    }
                    None => all.push((course.note.clone(), what)),
                }
            }
        });
        all
    });
    view! {
        <p class="lead sharpest" data-figure="sharpest">{sharpest}</p>
        <figure>
            <CentsMap view frets />
            <figcaption>
                "Sharp is up, flat is down, all strips to one scale. Line with dots: as it stands. Dashed with diamonds: at the \
                 setbacks proposed below. Hatched: the doubt of the string, about one standard deviation. Plain strip: 2 cents each \
                 way, as near as a player repeats a fretted note (Mottola)."
            </figcaption>
        </figure>
        <Show when=move || missing.with(|m| !m.is_empty())>
            <ul class="warnings" aria-label="What cannot sound">
                {move || missing.get().into_iter().map(|words| view! {
                    <li><span class="mark" aria-hidden="true">"!"</span>{words}</li>
                }).collect_view()}
            </ul>
        </Show>
        <Show when=move || narrows.with(|n| !n.is_empty())>
            <p class="narrows">
                "What would narrow the doubt most: "
                {move || narrows.get().into_iter().map(|(notes, what)| format!("{notes}: {what}")).collect::<Vec<_>>().join("; ")}
                "."
            </p>
        </Show>
        <CentsTable view />
    }
}

/// The sentence that names the sharpest string.
fn sharpest_words(view: &SaddleView) -> String {
    let Some(strand) = view.sharpest.and_then(|i| view.strands.get(i)) else {
        return "Measure the gaps at frets 1 and 12 of each course, and this shows how far each note is out of tune.".to_owned();
    };
    let cents = strand.octave_cents.unwrap_or(0.0);
    if cents <= 0.0 {
        return "No string is sharp at its octave.".to_owned();
    }
    format!(
        "{}, {}, is the sharpest: {} cents at fret {}.",
        strand.note,
        strand.name,
        signed(cents, 1),
        strand.octave_fret
    )
}

/// A sentence for each string or note that nothing can be said of.
fn cannot(view: &SaddleView) -> Vec<String> {
    let mut all = Vec::new();
    for strand in &view.strands {
        let course = format!("Course {}, {}", strand.course + 1, strand.note);
        if let Some(why) = &strand.missing {
            all.push(format!("{course}: {why}."));
        }
        // Neighbours that are blocked for one reason are said together.
        let mut blocked: Vec<(u32, u32, &str)> = Vec::new();
        for note in &strand.notes {
            let Some(why) = note.blocked.as_deref() else {
                continue;
            };
            match blocked.last_mut() {
                Some((_, last, said)) if *last + 1 == note.fret && alike(said, why) => {
                    *last = note.fret
                }
                _ => blocked.push((note.fret, note.fret, why)),
            }
        }
        for (first, last, why) in blocked {
            let frets = match (first, last) {
                (0, 0) => "the open string".to_owned(),
                (0, last) => format!("the open string and frets 1 to {last}"),
                (first, last) if first == last => format!("fret {first}"),
                (first, last) => format!("frets {first} to {last}"),
            };
            all.push(format!("{course}, {frets}: {why}."));
        }
    }
    all
}

/// Whether two reasons are one but for their numbers.
fn alike(a: &str, b: &str) -> bool {
    let words = |text: &str| {
        text.chars()
            .filter(|c| !c.is_ascii_digit())
            .collect::<String>()
    };
    words(a) == words(b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use strungwell_workshop::records::Workshop;
    use strungwell_workshop::report::instrument_report;
    use strungwell_workshop::report::saddle_view::{SaddleAim, saddle_view};

    fn shop() -> Workshop {
        strungwell_workshop::file::read(include_str!("../../../../demo-data/demo-shop.json"))
            .unwrap()
    }

    #[test]
    fn the_sharpest_string_is_named_and_what_cannot_sound_is_said() {
        let shop = shop();
        let mut concert = shop
            .instruments
            .iter()
            .find(|i| i.id == "inst-concert-9")
            .unwrap()
            .clone();
        let see = |instrument: &_| {
            saddle_view(
                instrument,
                &instrument_report(instrument, &shop.rack),
                &SaddleAim::default(),
            )
        };
        let view = see(&concert);
        let words = sharpest_words(&view);
        assert!(
            words.starts_with("G3, ") && words.contains("+16.") && words.ends_with("at fret 12."),
            "{words}"
        );
        assert!(cannot(&view).is_empty());
        concert.setup.courses[1].gap_1_mm = None;
        concert.setup.courses[2].gap_12_mm = Some(-1.0);
        let said = cannot(&see(&concert));
        assert!(
            said[0].starts_with("Course 2, C4: ") && said[0].contains("not measured"),
            "{said:?}"
        );
        assert!(
            said.iter()
                .any(|s| s
                    .starts_with("Course 3, E4, the open string and frets 1 to 18: the saddle")),
            "{said:?}"
        );
        assert!(said.len() < 12, "{said:?}");
    }
}
