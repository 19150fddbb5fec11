//! What a lesson is heard, felt and seen by: beeps, voice, vibration, and a screen that stays on.
//!
//! Beeps are handed to the audio clock ahead of time, so that they come on time even when the page is out of sight and
//! its timers are held back.

use js_sys::{Function, Promise, Reflect};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{AudioContext, AudioContextState, OscillatorNode, OscillatorType};

use crate::logic::clock::{Ahead, Cue, Due};

/// How far ahead beeps are handed over: more than the minute to which browsers hold back hidden timers.
pub const SOUND_AHEAD_MS: u64 = 130_000;

/// A cue that is later than this has sounded already, or would only confuse.
const AT_ONCE_MS: u64 = 400;

/// Tones of a cue: pitch in hertz, beginning and length in seconds. They differ in number and length, not in pitch
/// alone.
fn tones(cue: Cue) -> &'static [(f32, f64, f64)] {
    match cue {
        Cue::Work { .. } => &[(988.0, 0.0, 0.11), (988.0, 0.16, 0.22)],
        Cue::Rest { .. } => &[(494.0, 0.0, 0.45)],
        Cue::Warning { .. } => &[(740.0, 0.0, 0.12)],
        Cue::End { .. } => &[(740.0, 0.0, 0.14), (740.0, 0.22, 0.14), (740.0, 0.44, 0.5)],
    }
}

/// Returns how long the tones of a cue sound together, in seconds.
pub fn tone_s(cue: Cue) -> f64 {
    tones(cue).iter().map(|(_, from_s, long_s)| from_s + long_s).fold(0.0, f64::max)
}

/// Vibration of a cue: milliseconds on, off, on …
fn pulses(cue: Cue) -> &'static [u32] {
    match cue {
        Cue::Work { .. } => &[120, 80, 120],
        Cue::Rest { .. } => &[400],
        Cue::Warning { .. } => &[150],
        Cue::End { .. } => &[200, 120, 200, 120, 500],
    }
}

/// Whether sound can come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SoundState {
    /// The browser has no sound of its own making.
    Missing,
    /// It waits for a tap: browsers let no page sound before one.
    NeedsTap,
    /// It comes.
    Ready,
}

/// The sounds that are under way.
#[derive(Default)]
pub struct Sounds {
    context: Option<AudioContext>,
    handed: Vec<(Cue, Vec<OscillatorNode>)>,
}

impl Sounds {
    /// Begins, or wakes what the browser put to sleep; only from within a tap.
    pub fn wake(&mut self) {
        if self.context.is_none() {
            self.context = AudioContext::new().ok();
        }
        if let Some(context) = &self.context {
            let _ = context.resume();
        }
    }

    /// Returns whether sound can come.
    pub fn state(&self) -> SoundState {
        match &self.context {
            Some(context) if context.state() == AudioContextState::Running => SoundState::Ready,
            Some(_) => SoundState::NeedsTap,
            None if has("AudioContext") => SoundState::NeedsTap,
            None => SoundState::Missing,
        }
    }

    /// Hands the coming cues to the audio clock; those that it has already stay as they are. A cue that is due and was
    /// never handed over, such as the first one after a tap, sounds at once.
    pub fn hand_over(&mut self, due: &[Due], ahead: &[Ahead]) {
        if self.state() != SoundState::Ready {
            return;
        }
        let Some(context) = &self.context else { return };
        let known =
            |handed: &[(Cue, Vec<OscillatorNode>)], cue: Cue| handed.iter().any(|(own, _)| *own == cue);
        let fresh = due.iter().filter(|due| due.late_ms <= AT_ONCE_MS && !known(&self.handed, due.cue));
        let coming = ahead.iter().filter(|next| !known(&self.handed, next.cue));
        let new: Vec<(Cue, u64)> =
            fresh.map(|due| (due.cue, 0)).chain(coming.map(|next| (next.cue, next.in_ms))).collect();
        for (cue, in_ms) in new {
            let at_s = context.current_time() + in_ms as f64 / 1000.0;
            let nodes = tones(cue)
                .iter()
                .filter_map(|(hertz, from_s, long_s)| tone(context, *hertz, at_s + from_s, *long_s).ok())
                .collect();
            self.handed.push((cue, nodes));
        }
        self.handed.retain(|(cue, _)| ahead.iter().any(|next| next.cue == *cue));
    }

    /// Takes back what has not sounded yet: something was tapped.
    pub fn take_back(&mut self) {
        for (_, nodes) in self.handed.drain(..) {
            for node in nodes {
                // It fails for a tone that is over.
                #[allow(deprecated, reason = "the node's own stop is what the browser has")]
                let _ = node.stop();
                let _ = node.disconnect();
            }
        }
    }

    /// Sounds a cue at once, to hear what it is like.
    pub fn try_out(&self, cue: Cue) {
        if let Some(context) = &self.context {
            for (hertz, from_s, long_s) in tones(cue) {
                let _ = tone(context, *hertz, context.current_time() + 0.05 + from_s, *long_s);
            }
        }
    }
}

/// A tone with soft edges, so that it does not click.
fn tone(context: &AudioContext, hertz: f32, at_s: f64, long_s: f64) -> Result<OscillatorNode, JsValue> {
    let (voice, volume) = (context.create_oscillator()?, context.create_gain()?);
    voice.set_type(OscillatorType::Triangle);
    voice.frequency().set_value(hertz);
    let gain = volume.gain();
    gain.set_value_at_time(0.0, at_s)?;
    gain.linear_ramp_to_value_at_time(0.9, at_s + 0.01)?;
    gain.set_value_at_time(0.9, at_s + long_s - 0.02)?;
    gain.linear_ramp_to_value_at_time(0.0, at_s + long_s)?;
    voice.connect_with_audio_node(&volume)?;
    volume.connect_with_audio_node(&context.destination())?;
    voice.start_with_when(at_s)?;
    #[allow(deprecated, reason = "the node's own stop is what the browser has")]
    voice.stop_with_when(at_s + long_s + 0.02)?;
    Ok(voice)
}

/// Returns whether the window has a thing of that name.
fn has(name: &str) -> bool {
    web_sys::window()
        .is_some_and(|window| Reflect::get(&window, &name.into()).is_ok_and(|found| !found.is_undefined()))
}

fn of_navigator(name: &str) -> Option<JsValue> {
    let navigator = web_sys::window()?.navigator();
    Reflect::get(&navigator, &name.into()).ok().filter(|found| !found.is_undefined() && !found.is_null())
}

/// Returns whether this browser can vibrate; whether the device can, no page is told.
pub fn can_vibrate() -> bool {
    of_navigator("vibrate").is_some()
}

/// Vibrates.
pub fn vibrate(cue: Cue) {
    if !can_vibrate() {
        return;
    }
    if let Some(window) = web_sys::window() {
        let pattern: js_sys::Array = pulses(cue).iter().map(|pulse| JsValue::from(*pulse)).collect();
        let _ = window.navigator().vibrate_with_pattern(&pattern);
    }
}

/// Returns a voice that lives on this device and speaks the language; others would send the words away.
fn local_voice(language: &str) -> Option<web_sys::SpeechSynthesisVoice> {
    if !has("speechSynthesis") {
        return None;
    }
    let speech = web_sys::window()?.speech_synthesis().ok()?;
    speech
        .get_voices()
        .iter()
        .filter_map(|voice| voice.dyn_into::<web_sys::SpeechSynthesisVoice>().ok())
        .find(|voice| voice.local_service() && voice.lang().to_lowercase().starts_with(language))
}

/// Returns whether words can be spoken without leaving the device.
pub fn can_speak(language: &str) -> bool {
    local_voice(language).is_some()
}

/// Speaks, over what was being said.
pub fn speak(words: &str, language: &str) {
    let Some(voice) = local_voice(language) else { return };
    let Some(Ok(speech)) = web_sys::window().map(|window| window.speech_synthesis()) else { return };
    if let Ok(said) = web_sys::SpeechSynthesisUtterance::new_with_text(words) {
        said.set_voice(Some(&voice));
        speech.cancel();
        speech.speak(&said);
    }
}

/// Returns whether the page may ask the screen to stay on.
pub fn can_keep_screen_on() -> bool {
    of_navigator("wakeLock").is_some()
}

/// Asks the screen to stay on; returns what ends that. The browser ends it by itself when the page goes out of sight.
pub async fn keep_screen_on() -> Option<JsValue> {
    let lock = of_navigator("wakeLock")?;
    let request = Reflect::get(&lock, &"request".into()).ok()?.dyn_into::<Function>().ok()?;
    let asked = request.call1(&lock, &"screen".into()).ok()?.dyn_into::<Promise>().ok()?;
    JsFuture::from(asked).await.ok()
}

/// Lets the screen go off again.
pub fn let_screen_off(held: &JsValue) {
    if let Ok(release) = Reflect::get(held, &"release".into())
        && let Ok(release) = release.dyn_into::<Function>()
    {
        let _ = release.call0(held);
    }
}
