//! What is heard: tones of the sound crate through the browser, started only by a person's touch.

use crate::markup::prelude::*;
use strungwell_sound::tone::{Note, STRUM_S, render, strummed};
use strungwell_workshop::report::ToneFigures;
use web_sys::{AudioBufferSourceNode, AudioContext, GainNode};

/// How long a tone is let ring, in seconds.
pub(super) const RINGS_S: f64 = 2.5;

/// How loud it is at the start, as a share of all that the sound has.
const GENTLE: f64 = 0.3;

/// The browser's sound, once a touch has started it. A handle.
#[derive(Clone, Copy)]
pub(super) struct Player {
    open: StoredValue<Option<(AudioContext, GainNode)>, LocalStorage>,
    sounding: StoredValue<Option<AudioBufferSourceNode>, LocalStorage>,
    /// Whether nothing is to be heard.
    pub muted: RwSignal<bool>,
    /// How loud it is, as a share of all that the sound has.
    pub volume: RwSignal<f64>,
    /// Why nothing sounds; empty when it does.
    pub why_not: RwSignal<String>,
}

impl Player {
    pub(super) fn new() -> Self {
        let player = Self {
            open: StoredValue::new_local(None),
            sounding: StoredValue::new_local(None),
            muted: RwSignal::new(false),
            volume: RwSignal::new(GENTLE),
            why_not: RwSignal::new(String::new()),
        };
        on_cleanup(move || {
            if let Some((context, _)) = player.open.try_get_value().flatten() {
                // A context that is closed already makes no sound either.
                let _ = context.close();
            }
        });
        player
    }

    /// Mutes, or lets sound again.
    pub(super) fn mute(self) {
        self.muted.update(|muted| *muted = !*muted);
        self.turn();
    }

    /// Turns the sound to a share of all that it has; muted, it stays so.
    pub(super) fn louder(self, share: f64) {
        self.volume.set(share.clamp(0.0, 1.0));
        self.turn();
    }

    fn turn(self) {
        if let Some((_, gain)) = self.open.get_value() {
            gain.gain().set_value(self.gain());
        }
    }

    #[allow(clippy::cast_possible_truncation)] // fewer digits are what the sound takes
    fn gain(self) -> f32 {
        if self.muted.get_untracked() {
            0.0
        } else {
            self.volume.get_untracked() as f32
        }
    }

    /// Plays notes, strummed in their order, or in tune; what sounded before stops.
    pub(super) fn play(self, notes: Result<Vec<ToneFigures>, String>, in_tune: bool) {
        let done = notes.and_then(|notes| {
            let notes: Vec<Note> = notes.iter().map(|figures| note(figures, in_tune)).collect();
            self.sound(&strummed(&notes, STRUM_S))
        });
        self.why_not.set(
            done.err()
                .map_or_else(String::new, |why| format!("Nothing sounds: {why}.")),
        );
    }

    fn sound(self, notes: &[Note]) -> Result<(), String> {
        let (context, gain) = self.opened().ok_or("this browser gives no sound")?;
        // A browser that waits for a touch lets it sound now; one that refuses stays silent.
        let _ = context.resume();
        let rate = context.sample_rate();
        let samples = render(notes, f64::from(rate), RINGS_S).map_err(|why| why.to_string())?;
        if let Some(before) = self.sounding.get_value() {
            // One that has ended cannot be stopped, which is as well.
            #[allow(deprecated)]
            let _ = before.stop();
        }
        let length = u32::try_from(samples.len()).unwrap_or(0);
        let put = || {
            let buffer = context.create_buffer(1, length, rate)?;
            buffer.copy_to_channel(&samples, 0)?;
            let source = context.create_buffer_source()?;
            source.set_buffer(Some(&buffer));
            source.connect_with_audio_node(&gain)?;
            source.start()?;
            Ok::<_, wasm_bindgen::JsValue>(source)
        };
        let source = put().map_err(|_| "this browser gives no sound")?;
        self.sounding.set_value(Some(source));
        Ok(())
    }

    fn opened(self) -> Option<(AudioContext, GainNode)> {
        if let Some(open) = self.open.get_value() {
            return Some(open);
        }
        let context = AudioContext::new().ok()?;
        let put = || {
            let gain = context.create_gain()?;
            gain.gain().set_value(self.gain());
            gain.connect_with_audio_node(&context.destination())?;
            Ok::<_, wasm_bindgen::JsValue>(gain)
        };
        let Ok(gain) = put() else {
            // A browser gives a page few contexts; one that cannot be used is not kept.
            let _ = context.close();
            return None;
        };
        self.open.set_value(Some((context.clone(), gain.clone())));
        Some((context, gain))
    }
}

fn note(figures: &ToneFigures, in_tune: bool) -> Note {
    let note = Note {
        hz: figures.hz,
        bending: figures.bending,
        pluck_at: figures.pluck_at,
        loss: figures.loss,
        pluck: figures.pluck_n,
        headroom: figures.headroom_n,
        start_s: 0.0,
    };
    if in_tune {
        note.in_tune(figures.true_hz)
    } else {
        note
    }
}
