//! What is timed of sound.

use crate::measure::{concert, median};
use std::hint::black_box;
use strungwell_sound::pitch::{Estimator, USUAL_S};
use strungwell_sound::tone::{Note, STRUM_S, render, strummed};
use strungwell_workshop::report::tone;

/// Sample rate of the sounds in Hz: the usual one of a browser.
const RATE: f64 = 48_000.0;

/// A chord of the four open strings, strummed.
fn four() -> Option<Vec<Note>> {
    let instrument = concert()?;
    let notes: Vec<Note> = (0..4)
        .filter_map(|course| tone(&instrument, &[], course, 0).ok())
        .map(|figures| Note {
            hz: figures.hz,
            bending: figures.bending,
            pluck_at: figures.pluck_at,
            loss: figures.loss,
            pluck: figures.pluck_n,
            headroom: figures.headroom_n,
            start_s: 0.0,
        })
        .collect();
    (notes.len() == 4).then(|| strummed(&notes, STRUM_S))
}

/// The median time in ms of two seconds of a chord of four strings rendered.
pub(crate) fn chord(now_ms: &impl Fn() -> f64) -> Option<f64> {
    let notes = four()?;
    render(&notes, RATE, 2.0).ok()?;
    Some(median(now_ms, 3, || {
        black_box(render(black_box(&notes), RATE, 2.0).ok());
    }))
}

/// The median time in ms of the pitch of half a second of sound.
pub(crate) fn pitch(now_ms: &impl Fn() -> f64) -> Option<f64> {
    // A low note has the most partials to be found.
    let note = four()?.into_iter().min_by(|a, b| a.hz.total_cmp(&b.hz))?;
    let sound = render(
        &[Note {
            start_s: 0.0,
            ..note
        }],
        RATE,
        USUAL_S,
    )
    .ok()?;
    let mut estimator = Estimator::new(RATE).ok()?;
    // What is timed must be the whole way to a pitch.
    estimator.window(&sound).ok()?;
    Some(median(now_ms, 5, || {
        black_box(estimator.window(black_box(&sound)).ok());
    }))
}
