//! The walk: two or three moves that put heights and plucks before the player, and say what is to be seen.

use super::Stage;
use crate::markup::prelude::*;
use strungwell_workshop::show::{Step, moves, walk};

/// What a hand can move: the two setups, the course, the fret, the first setup's action and the pluck.
type Chosen = ([usize; 2], usize, u32, Option<f64>, f64);

fn chosen(stage: Stage) -> Chosen {
    (
        stage.sides.get(),
        stage.course.get(),
        stage.fret.get(),
        stage.action.get(),
        stage.pluck.get(),
    )
}

/// Whether what a move says no longer fits what is shown. Where a move could not be shown, another string or fret may be tried.
fn is_left(step: &Step, made: &Chosen, now: &Chosen) -> bool {
    if step.is_shown {
        return made != now;
    }
    (made.0, made.3, made.4) != (now.0, now.3, now.4)
}

/// The walk in its moves. What the player had chosen comes back when it is over; where a hand moves something in the midst of it,
/// its words go and what is shown stays.
pub(super) fn tour(stage: Stage) -> Node {
    let step = RwSignal::new(None::<(usize, Step)>);
    let left = RwSignal::new(false);
    let before = StoredValue::new(untrack(|| chosen(stage)));
    let made = StoredValue::new(before.get_value());
    let count = stage.own.with_value(|own| moves(own));
    let go = move |to: usize| {
        let now = untrack(|| chosen(stage));
        if to == 1 && step.with_untracked(Option::is_none) {
            before.set_value(now);
        }
        let (sides, course, fret, action, pluck) = before.get_value();
        left.set(false);
        if to == 0 {
            stage.press(fret);
            stage.hold(sides, course, action);
            stage.pluck.set(pluck);
            return step.set(None);
        }
        let next = stage.own.with_value(|own| {
            stage
                .rack
                .with_value(|rack| walk(own, rack, (now.1, now.2), pluck, to - 1))
        });
        stage.hold(next.sides, next.course, next.gap_12_mm);
        stage.pluck.set(next.pluck_n);
        made.set_value(untrack(|| chosen(stage)));
        step.set(Some((to, next)));
    };
    Effect::new(move |_| {
        let now = chosen(stage);
        let has_gone = step.with_untracked(|step| {
            let (_, step) = step.as_ref()?;
            Some(made.with_value(|made| is_left(step, made, &now)))
        });
        if has_gone == Some(true) {
            step.set(None);
            left.set(true);
        }
    });
    let drawn = move || match step.get() {
        None => {
            let words = if count == 3 { "three" } else { "two" };
            view! {
                {move || left.get().then(|| view! { <p>"You moved something yourself, so the walk has ended; what you see is your own choice now."</p> })}
                <p class="buttons">
                    <button type="button" class="quiet" on:click=move |_| go(1)>"Walk me through it, in " {words} " moves"</button>
                    {move || left.get().then(|| view! { <button type="button" class="quiet" on:click=move |_| go(0)>"Back to what stood before the walk"</button> })}
                </p>
            }
        }
        Some((
            now,
            Step {
                title,
                says,
                is_shown,
                ..
            },
        )) => {
            let is_last = now >= count;
            view! {
                <h2>{now} " of " {count} ": " {title}</h2>
                <p>{says}</p>
                <p class="buttons">
                    <button type="button" class="main" on:click=move |_| go(if is_last { 0 } else { now + 1 })>{if is_last { "Done" } else { "Next" }}</button>
                    {(!is_shown).then(|| view! { <button type="button" class="quiet" on:click=move |_| go(now)>"Try again"</button> })}
                    {(!is_last).then(|| view! { <button type="button" class="quiet" on:click=move |_| go(0)>"Skip the walk"</button> })}
                </p>
            }
        }
    };
    view! {
        <div class="show-tour" role="region" aria-label="The walk" aria-live="polite">{drawn}</div>
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_move_is_left_when_a_hand_moves_what_it_speaks_of() {
        let made: Chosen = ([0, 0], 1, 5, Some(2.0), 1.5);
        let step = |is_shown| Step {
            title: "",
            says: String::new(),
            is_shown,
            sides: made.0,
            course: made.1,
            gap_12_mm: made.3,
            pluck_n: made.4,
        };
        assert!(!is_left(&step(true), &made, &made));
        let moved: [Chosen; 5] = [
            ([0, 1], 1, 5, Some(2.0), 1.5),
            ([0, 0], 2, 5, Some(2.0), 1.5),
            ([0, 0], 1, 6, Some(2.0), 1.5),
            ([0, 0], 1, 5, Some(2.5), 1.5),
            ([0, 0], 1, 5, Some(2.0), 3.0),
        ];
        let left = |shown| moved.map(|now| is_left(&step(shown), &made, &now));
        assert_eq!(left(true), [true; 5]);
        // Its words ask for another string or fret.
        assert_eq!(left(false), [true, false, false, true, true]);
    }
}
