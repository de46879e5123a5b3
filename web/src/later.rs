//! Work that is too long for each key: done when the hand has rested for a moment.

use crate::markup::prelude::*;
use crate::near::printing;
use std::time::Duration;

/// What `work` makes of what `ask` says, a moment after that last changed; `ask` says nothing while the answer is not needed, and
/// the last answer stays meanwhile.
pub(crate) fn later<A, T>(
    rest: Duration,
    ask: impl Fn() -> Option<A> + 'static,
    work: impl Fn(A) -> T + Copy + 'static,
) -> Signal<Option<T>>
where
    A: 'static,
    T: Send + Sync + 'static,
{
    let answer = RwSignal::new(None::<T>);
    let asked = StoredValue::new(0_u32);
    Effect::new(move |_| {
        let Some(question) = ask() else { return };
        let this = asked.get_value().wrapping_add(1);
        asked.set_value(this);
        if printing() {
            // Paper does not wait.
            answer.set(Some(work(question)));
            return;
        }
        let work = move || {
            // Nobody asks any more, or something else.
            if asked.try_get_value() == Some(this) {
                answer.try_set(Some(work(question)));
            }
        };
        set_timeout(work, rest);
    });
    answer.into()
}
