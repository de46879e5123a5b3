//! Weighing a string, and pulling it: what narrows every figure that depends on it.

use super::editor::Held;
use crate::listen::plucks;
use crate::markup::prelude::*;
use crate::sections::entry;
use strungwell_workshop::report::readings::hundredths;
use strungwell_workshop::sets::measure::{PullTest, Weighing, pulled, weighed};

/// What a measurement says when it cannot be used.
fn refused(why: &str) -> String {
    format!("Not kept: {why}.")
}

pub(super) fn measure(held: Held) -> Node {
    let [mass, mass_give, length, length_give] = [None; 4].map(RwSignal::<Option<f64>>::new);
    let [speaking, extra, extra_give, rise, rise_give] =
        [None; 5].map(RwSignal::<Option<f64>>::new);
    let said = RwSignal::new(String::new());
    let weigh = move |_| {
        let (Some(mass_g), Some(length_mm)) = (mass.get_untracked(), length.get_untracked()) else {
            said.set(refused("the mass and the length are needed"));
            return;
        };
        let weighing = Weighing {
            mass_g,
            mass_give_g: mass_give.get_untracked(),
            length_mm,
            length_give_mm: length_give.get_untracked(),
        };
        let Some(make) = held.pick(|s| Some(s.make.clone())).get_untracked() else {
            return;
        };
        match weighed(&make, &weighing) {
            Ok(found) => {
                held.edit_with_undo("Kept a weighing.", |string| string.make = found.make);
                said.set(found.said);
            }
            Err(why) => said.set(refused(&why)),
        }
    };
    let pull = move |_| {
        let (Some(length_mm), Some(extra_mm), Some(rise_cents)) = (
            speaking.get_untracked(),
            extra.get_untracked(),
            rise.get_untracked(),
        ) else {
            said.set(refused(
                "the speaking length, the pull and the rise are needed",
            ));
            return;
        };
        let test = PullTest {
            length_mm,
            extra_mm,
            extra_give_mm: extra_give.get_untracked().unwrap_or(0.1),
            rise_cents,
            rise_give_cents: rise_give.get_untracked().unwrap_or(2.0),
        };
        match pulled(&test) {
            Ok((kappa, give)) => {
                held.edit_with_undo("Kept a pull.", |string| {
                    string.kappa = Some(kappa);
                    string.kappa_give = Some(give);
                });
                said.set(format!("Stretch {kappa:.1}, give or take {give:.1}."));
            }
            Err(why) => said.set(refused(&why)),
        }
    };
    let by_ear = plucks(
        "listen-pull",
        &[
            "Pluck the string as it is.",
            "Now draw it, let it come to rest, and pluck it again.",
        ],
        move |heard| {
            if let [before, after] = heard {
                let (cents, give) = after.rise_over(before);
                rise.set(Some(hundredths(cents)));
                rise_give.set(Some(hundredths(give.max(0.01))));
            }
            Ok(())
        },
    );
    view! {
        <details class="more measure">
            <summary>"Measure it: weigh a piece, or pull it"</summary>
            <p class="hint">"A cut length on a pocket scale gives its mass. Empty doubts count as 0.01 g and 1 mm."</p>
            <div class="fields">
                {entry::number("weigh_mass_g", "Mass, g", mass, ("weighed", "mass_g"))}
                {entry::free("weigh_mass_give_g", "Give or take, g", mass_give)}
                {entry::length("weigh_length_mm", "Cut length", length, ("weighed", "length_mm"))}
                {entry::length("weigh_length_give_mm", "Give or take", length_give, ("weighed", "length_give_mm"))}
                <p class="buttons"><button type="button" class="quiet small" data-deed="weigh" on:click=weigh>"Keep this weighing"</button></p>
            </div>
            <p class="hint">"At pitch, draw its ends further apart by a known length, or take up a known length at the tuner, and read by how much it rises. Empty doubts count as 0.1 mm and 2 cents. Keep your face away from a string that is drawn tighter."</p>
            <div class="fields">
                {entry::length("pull_length_mm", "Speaking length", speaking, ("instrument", "scale_mm"))}
                {entry::length("pull_extra_mm", "Drawn by", extra, ("course setup", "gap_12_mm"))}
                {entry::length("pull_extra_give_mm", "Give or take", extra_give, ("course setup", "gap_12_mm"))}
                {entry::free("pull_rise_cents", "Rise, cents", rise)}
                {entry::free("pull_rise_give_cents", "Give or take, cents", rise_give)}
                <p class="buttons"><button type="button" class="quiet small" data-deed="pull" on:click=pull>"Keep this pull"</button></p>
            </div>
            {by_ear}
            <p class="said-line" role="status" data-note="measured">{said}</p>
        </details>
    }
}
