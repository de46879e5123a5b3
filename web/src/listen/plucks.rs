//! A field that one or two plucks fill.

use super::{Place, Work};
use crate::markup::prelude::*;
use strungwell_sound::steady::{Heard, Plucks, Reading};
use strungwell_workshop::units::figure;

/// Listens for as many plucks as there are words, each said when its pluck is waited for, and hands the readings on.
pub(crate) fn plucks(
    deed: &'static str,
    words: &'static [&'static str],
    done: impl Fn(&[Reading]) -> Result<(), String> + Clone + 'static,
) -> Node {
    let place = Place::new();
    let heard = RwSignal::new(Plucks::new(words.len()));
    let begin = move || {
        heard.set(Plucks::new(words.len()));
        let done = done.clone();
        Ok(Box::new(move |ear: &mut super::Ear| {
            let pitch = ear.pitch();
            let mut all = false;
            heard.update(|heard| all = heard.hear(pitch));
            if all && let Err(why) = heard.with_untracked(|heard| done(heard.taken())) {
                place.stop_with(&why);
            }
            all
        }) as Work)
    };
    let asks = move || {
        let at = heard.with(|heard| heard.taken().len());
        place.is_open().then(|| words.get(at).copied())
    };
    let sounds = move || {
        heard
            .with(|heard| match heard.heard() {
                Heard::Settling { hz, spread_cents } => Some(match spread_cents {
                    Some(spread) => format!(
                        "{} Hz ± {} cents",
                        figure(Some(hz), 2),
                        figure(Some(spread), 1)
                    ),
                    None => format!("{} Hz", figure(Some(hz), 2)),
                }),
                Heard::Nothing(_) | Heard::Ringing | Heard::Steady(_) => None,
            })
            .filter(|_| place.is_open())
    };
    view! {
        {place.button(deed, "Read it by ear", begin)}
        <p class="said-line" role="status">{asks}</p>
        <p class="said-line num">{sounds}</p>
    }
}
