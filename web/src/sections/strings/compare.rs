//! Two candidates side by side.

use super::candidate::verdict_words;
use super::figures::{LINES, Shown, StringFigure};
use crate::drawings::strings::{Cut, StringSection};
use crate::markup::prelude::*;
use strungwell_workshop::choose::{Candidate, Finding, Verdict};
use strungwell_workshop::units::Units;

/// Two candidates side by side, the figures of each opening to their reasons.
#[component]
pub(crate) fn Compare(
    picked: RwSignal<Vec<Candidate>>,
    #[prop(into)] units: Signal<Units>,
    on_take: Callback<Candidate>,
) -> Node {
    view! {
        <Show when=move || picked.with(|p| !p.is_empty())>
            <div class="compare" aria-label="Side by side" role="group">
                <h4>"Side by side"</h4>
                <Show when=move || picked.with(|p| p.len() == 1)>
                    <p class="hint">"Press Compare on a second string, or turn to another octave above and pick one there."</p>
                </Show>
                <div class="compare-columns">
                    {move || picked.get().into_iter().enumerate().map(|(i, candidate)| view! {
                        <One candidate units on_take on_drop=Callback::new(move |()| picked.update(|p| { if i < p.len() { p.remove(i); } })) />
                    }).collect_view()}
                </div>
            </div>
        </Show>
    }
}

#[component]
fn One(
    candidate: Candidate,
    units: Signal<Units>,
    on_take: Callback<Candidate>,
    on_drop: Callback<()>,
) -> Node {
    let shown = Signal::stored(Some(Shown {
        figures: candidate.figures.clone(),
        make: candidate.make.clone(),
    }));
    let (class, mark, words) = verdict_words(candidate.verdict);
    let cut = Cut::of(
        &candidate.make,
        candidate.figures.diameter_mm.unwrap_or(0.0),
    );
    let name = candidate.figures.name.clone();
    let because = speaking(&candidate.findings);
    let refused = candidate.verdict == Verdict::RuledOut;
    let note = candidate.note.clone();
    let take = candidate;
    view! {
        <div class=format!("compare-one {class}") data-name=name.clone()>
            <p class="compare-head"><StringSection cut /><span class="note">{note}</span><strong>{name.clone()}</strong></p>
            <p class="verdict"><span class="mark" aria-hidden="true">{mark}</span>{words}</p>
            <ul class="findings because">
                {because.into_iter().map(|f| view! { <li data-code=f.code>{f.text}</li> }).collect_view()}
            </ul>
            <dl class="figures">
                {LINES.iter().map(|line| view! { <StringFigure line shown units /> }).collect_view()}
            </dl>
            <p class="buttons">
                <button type="button" class="quiet" on:click=move |_| on_drop.run(())>"Put aside"</button>
                <button type="button" class=if refused { "quiet" } else { "main" } on:click=move |_| on_take.run(take.clone())>
                    {if refused { "Put on all the same" } else { "Put on" }}<span class="sr-only">" " {name.clone()}</span>
                </button>
            </p>
        </div>
    }
}

/// All that speaks against a string; where nothing does, the weightiest of what speaks for it.
fn speaking(findings: &[Finding]) -> Vec<Finding> {
    let against: Vec<Finding> = findings
        .iter()
        .filter(|f| f.verdict != Verdict::Good)
        .cloned()
        .collect();
    if against.is_empty() {
        findings.first().cloned().into_iter().collect()
    } else {
        against
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_that_speaks_against_a_string_is_said() {
        let finding = |code, verdict| Finding {
            code,
            verdict,
            text: String::new(),
        };
        let codes = |findings: &[Finding]| -> Vec<&'static str> {
            speaking(findings).iter().map(|f| f.code).collect()
        };
        let mixed = [
            finding("a", Verdict::RuledOut),
            finding("b", Verdict::Good),
            finding("c", Verdict::Fair),
        ];
        assert_eq!(codes(&mixed), ["a", "c"]);
        let good = [finding("b", Verdict::Good), finding("d", Verdict::Good)];
        assert_eq!(codes(&good), ["b"]);
        assert!(codes(&[]).is_empty());
    }
}
