//! What is to be brought into tune, and by moving what.

use crate::fields::{ChoiceField, CountField, Toggle, words};
use crate::markup::prelude::*;
use strungwell_workshop::report::saddle_view::SaddleAim;

/// The fields of an aim.
#[component]
pub(super) fn AimFields(aim: RwSignal<SaddleAim>) -> Node {
    let rules = Signal::stored(vec![
        (
            "squares".to_owned(),
            "Least squares: good on the whole".to_owned(),
        ),
        ("worst".to_owned(), "The worst note least".to_owned()),
    ]);
    let rule = Signal::derive(move || {
        if aim.get().minimax {
            "worst"
        } else {
            "squares"
        }
        .to_owned()
    });
    let on_rule =
        Callback::new(move |word: String| aim.update(|aim| aim.minimax = word == "worst"));
    let on_first = Callback::new(move |fret: Option<u32>| {
        aim.update(|aim| aim.first_fret = fret.unwrap_or(1).max(1))
    });
    let on_last = Callback::new(move |fret: Option<u32>| {
        aim.update(|aim| aim.last_fret = fret.unwrap_or(12))
    });
    let backwards = Signal::derive(move || {
        if aim.with(|a| a.last_fret < a.first_fret) {
            "lower than the first: one fret counts"
        } else {
            ""
        }
        .to_owned()
    });
    view! {
        <div class="aim">
            <CountField name="aim_first_fret" label=words("In tune from fret") compact=true required=true of=("reading", "fret")
                value=Signal::derive(move || Some(aim.get().first_fret)) on_change=on_first />
            <CountField name="aim_last_fret" label=words("In tune up to fret") compact=true required=true of=("reading", "fret") hint=backwards
                value=Signal::derive(move || Some(aim.get().last_fret)) on_change=on_last />
            <ChoiceField name="aim_rule" label=words("Judged by") value=rule options=rules on_change=on_rule />
            <Toggle name="aim_nut_stays" label=words("The nut stays where it is") value=Signal::derive(move || aim.get().nut_stays)
                on_change=Callback::new(move |stays| aim.update(|aim| aim.nut_stays = stays)) />
        </div>
    }
}
