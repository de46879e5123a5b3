//! An open microphone.

use crate::markup::prelude::*;
use js_sys::futures::JsFuture;
use js_sys::{Object, Reflect};
use strungwell_sound::pitch::{Estimator, NoPitch, Pitch, USUAL_S};
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{
    AnalyserNode, AudioContext, AudioContextOptions, DomException, MediaStream,
    MediaStreamConstraints, MediaStreamTrack, MediaStreamTrackState,
};

/// What an analyser keeps at most, in samples: more than half a second at the usual rates.
const KEPT: u32 = 32_768;

/// What is asked of a sound card that runs so fast that half a second of it is not kept.
const USUAL_RATE: f32 = 48_000.0;

/// What is said where that is asked for and not given, or given and then not joined to the microphone.
const TOO_FAST: &str = "This sound card runs faster than the page can listen. Set it to 48 kHz in the system's settings of sound; \
    every figure can be typed as well.";

/// Whether half a second of sound at a rate in Hz is kept.
fn keeps(rate: f32) -> bool {
    f64::from(rate) * USUAL_S <= f64::from(KEPT)
}

/// Why a microphone that is open gives no sound: a browser may join no stream to a clock of another rate than the card's.
const fn unheard(is_own_rate: bool) -> &'static str {
    if is_own_rate {
        "The browser opened the microphone and gives no sound of it."
    } else {
        TOO_FAST
    }
}

/// After so many looks without a new sample the sound stands still.
const STILL: u32 = 10;

/// As long as it never moved: a headset takes its time.
const STILL_AT_FIRST: u32 = 40;

/// What a browser does to speech, and what would bend a note.
const UNWANTED: [&str; 3] = ["echoCancellation", "noiseSuppression", "autoGainControl"];

/// An open microphone. Dropped, it is closed; what it heard is nowhere kept.
pub(crate) struct Ear {
    tracks: Vec<MediaStreamTrack>,
    context: AudioContext,
    analyser: AnalyserNode,
    samples: Vec<f32>,
    rate: f64,
    /// When it was last looked at, by the sound's own clock.
    looked_s: f64,
    fresh: usize,
    /// How many samples came since the last look beyond those that are kept.
    missed: f64,
    /// How many looks found the clock where it was.
    still: u32,
    has_moved: bool,
    estimator: Estimator,
}

impl Drop for Ear {
    fn drop(&mut self) {
        stop(&self.tracks);
        // One that is closed already hears nothing either.
        let _ = self.context.close();
    }
}

fn stop(tracks: &[MediaStreamTrack]) {
    for track in tracks {
        track.stop();
    }
}

/// Asks for the microphone; the browser asks the person.
pub(super) async fn open() -> Result<Ear, String> {
    let window = window();
    if !window.is_secure_context() {
        return Err("A browser lends a microphone only to a page from a secure address (https, or this machine itself).".into());
    }
    let devices = window.navigator().media_devices();
    let devices = devices.ok().filter(|devices| !devices.is_undefined());
    let none = "This browser has no microphone to lend.";
    let how = Object::new();
    for word in UNWANTED {
        // A plain object takes any property.
        let _ = Reflect::set(&how, &word.into(), &JsValue::FALSE);
    }
    let wanted = MediaStreamConstraints::new();
    wanted.set_audio(&how);
    let asked = devices
        .ok_or(none)?
        .get_user_media_with_constraints(&wanted)
        .map_err(|_| none)?;
    let stream: MediaStream = JsFuture::from(asked)
        .await
        .map_err(refused)?
        .unchecked_into();
    let tracks: Vec<MediaStreamTrack> = stream
        .get_tracks()
        .iter()
        .map(JsCast::unchecked_into)
        .collect();
    let heard = listen(&stream);
    heard
        .map(|(context, analyser, estimator)| Ear {
            samples: vec![0.0; KEPT as usize],
            rate: f64::from(context.sample_rate()),
            looked_s: context.current_time(),
            fresh: 0,
            missed: 0.0,
            still: 0,
            has_moved: false,
            tracks: tracks.clone(),
            context,
            analyser,
            estimator,
        })
        .map_err(|why| {
            stop(&tracks);
            why.into()
        })
}

fn listen(stream: &MediaStream) -> Result<(AudioContext, AnalyserNode, Estimator), &'static str> {
    let (context, is_own_rate) = clock()?;
    let heard = connect(&context, stream);
    if heard.is_err() {
        let _ = context.close();
    }
    let (analyser, estimator) = heard.map_err(|_| unheard(is_own_rate))?;
    Ok((context, analyser, estimator))
}

fn connect(
    context: &AudioContext,
    stream: &MediaStream,
) -> Result<(AnalyserNode, Estimator), JsValue> {
    // It runs already where the browser lets it.
    let _ = context.resume();
    let estimator =
        Estimator::new(f64::from(context.sample_rate())).map_err(|_| JsValue::from("rate"))?;
    let analyser = context.create_analyser()?;
    analyser.set_fft_size(KEPT);
    let source = context.create_media_stream_source(stream)?;
    source.connect_with_audio_node(&analyser)?;
    Ok((analyser, estimator))
}

/// The sound card's own rate where half a second of it is kept, else the usual one, if the browser gives it; and whether it is the
/// card's own.
fn clock() -> Result<(AudioContext, bool), &'static str> {
    let own = AudioContext::new().map_err(|_| "This browser gives no sound to look at.")?;
    if keeps(own.sample_rate()) {
        return Ok((own, true));
    }
    let _ = own.close();
    let how = AudioContextOptions::new();
    how.set_sample_rate(USUAL_RATE);
    let asked = AudioContext::new_with_context_options(&how).map_err(|_| unheard(false))?;
    if keeps(asked.sample_rate()) {
        return Ok((asked, false));
    }
    let _ = asked.close();
    Err(unheard(false))
}

/// Why there is no microphone, in words.
fn refused(why: JsValue) -> String {
    let name = why.dyn_into::<DomException>().map(|why| why.name());
    match name.as_deref() {
        Ok("NotAllowedError" | "SecurityError") => {
            "The microphone was not allowed. The browser's settings for this page can allow it; every figure can be typed as well."
        }
        Ok("NotFoundError" | "OverconstrainedError") => {
            "No microphone is connected. Every figure can be typed as well."
        }
        _ => "The microphone could not be opened; another program may hold it. Every figure can be typed as well.",
    }
    .to_owned()
}

impl Ear {
    /// Takes in what was heard since the last look.
    ///
    /// # Errors
    /// Why there is nothing more to hear, in words.
    pub(super) fn look(&mut self) -> Result<(), &'static str> {
        let now = self.context.current_time();
        let since_s = now - self.looked_s;
        self.has_moved |= since_s > 0.0;
        self.still = if since_s > 0.0 { 0 } else { self.still + 1 };
        self.analyser.get_float_time_domain_data(&mut self.samples);
        self.fresh = self.count(since_s);
        self.missed = (since_s * self.rate - f64::from(KEPT)).max(0.0);
        self.looked_s = now;
        let is_live = |track: &MediaStreamTrack| track.ready_state() == MediaStreamTrackState::Live;
        if !self.tracks.iter().all(is_live) {
            return Err("The microphone was taken away.");
        }
        let most = if self.has_moved {
            STILL
        } else {
            STILL_AT_FIRST
        };
        if self.still >= most {
            return Err(
                "The browser holds the sound back, so nothing is heard. Press again; if it stays so, load the page anew.",
            );
        }
        Ok(())
    }

    /// The samples of so many seconds, as many as there are.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a cast from f64 saturates, which is what is wanted
    fn count(&self, seconds: f64) -> usize {
        ((self.rate * seconds).round() as usize).min(self.samples.len())
    }

    /// Samples in a second.
    pub(crate) const fn rate(&self) -> f64 {
        self.rate
    }

    /// How many samples before the fresh ones were lost: the page was held up for longer than sound is kept.
    pub(crate) const fn missed(&self) -> f64 {
        self.missed
    }

    /// What was heard since the last look but one.
    pub(crate) fn fresh(&self) -> &[f32] {
        &self.samples[self.samples.len() - self.fresh..]
    }

    /// The pitch of the last half second.
    pub(crate) fn pitch(&mut self) -> Result<Pitch, NoPitch> {
        let from = self.samples.len() - self.count(USUAL_S);
        self.estimator.window(&self.samples[from..])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_card_too_fast_is_told_what_to_set_it_to() {
        assert!(keeps(44_100.0) && keeps(USUAL_RATE) && !keeps(96_000.0) && !keeps(192_000.0));
        assert!(unheard(false).contains("48 kHz") && unheard(false).contains("typed as well"));
        assert!(!unheard(true).contains("48 kHz"));
    }
}
