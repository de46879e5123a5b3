//! One string that could go on a course.

use crate::drawings::strings::{Cut, StringSection};
use crate::markup::prelude::*;
use strungwell_workshop::choose::{Candidate, From, Verdict};
use strungwell_workshop::records::RackString;
use strungwell_workshop::units::Units;

/// The word and the mark of a verdict: never by colour alone.
pub(crate) const fn verdict_words(verdict: Verdict) -> (&'static str, &'static str, &'static str) {
    match verdict {
        Verdict::Good => ("good", "✓", "Sits well"),
        Verdict::Fair => ("fair", "~", "Can be used"),
        Verdict::RuledOut => ("ruled-out", "✕", "Ruled out"),
    }
}

/// Where a candidate comes from, in words.
pub(crate) fn origin(candidate: &Candidate, rack: &[RackString]) -> String {
    match &candidate.from {
        From::Stock => "stock gauge".into(),
        From::Fitted => "on the course now".into(),
        From::Rack(id) => match rack.iter().find(|r| r.id == *id).and_then(|r| r.on_hand) {
            Some(count) => format!("rack, {count} on hand"),
            None => "rack".into(),
        },
    }
}

/// One candidate with its reasons and what can be done with it.
#[component]
pub(crate) fn CandidateRow(
    candidate: Candidate,
    origin: String,
    units: Units,
    on_take: Callback<()>,
    on_compare: Callback<()>,
) -> Node {
    let (class, mark, words) = verdict_words(candidate.verdict);
    let name = candidate.figures.name.clone();
    let tension = units.force(candidate.figures.tension_n);
    let cut = Cut::of(
        &candidate.make,
        candidate.figures.diameter_mm.unwrap_or(0.0),
    );
    let refused = candidate.verdict == Verdict::RuledOut;
    view! {
        <li class=format!("candidate {class}") data-name=name.clone() data-verdict=class>
            <StringSection cut />
            <div class="candidate-words">
                <p class="candidate-head">
                    <span class="mark" aria-hidden="true">{mark}</span>
                    <strong>{name.clone()}</strong>
                    <span class="origin">{origin}</span>
                </p>
                <ul class="findings">
                    {candidate.findings.iter().map(|f| view! { <li data-code=f.code>{f.text.clone()}</li> }).collect_view()}
                </ul>
            </div>
            <div class="candidate-side">
                <span class="num">{tension}</span>
                <span class="verdict">{words}</span>
                <button type="button" class="quiet" on:click=move |_| on_compare.run(())>
                    "Compare"<span class="sr-only">" " {name.clone()}</span>
                </button>
                <button type="button" class=if refused { "quiet" } else { "main" } on:click=move |_| on_take.run(())>
                    {if refused { "Put on all the same" } else { "Put on" }}<span class="sr-only">" " {name.clone()}</span>
                </button>
            </div>
        </li>
    }
}
