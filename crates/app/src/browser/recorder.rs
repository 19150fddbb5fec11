//! The microphone, and sound files through the browser's own decoder.
//!
//! What makes speech pleasant (echo cancelling, noise suppression, automatic gain) is asked to stay off: it cuts steps
//! away. Samples come from the audio clock, which counts them; nothing is timed here.

use js_sys::{Float32Array, Reflect};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    AudioBuffer, AudioContext, AudioContextState, AudioWorkletNode, MediaStream, MediaStreamConstraints,
    MediaStreamTrack, MediaTrackConstraints, MessageEvent, OfflineAudioContext,
};

use super::listen;
use crate::logic::sound::{FILE_MAX_MB, Trouble};

/// Sound files are brought to this rate.
const FILE_RATE_HZ: u32 = 48_000;

/// An open microphone. Nothing is recorded anywhere but where the pieces go.
pub struct Recorder {
    context: AudioContext,
    stream: MediaStream,
    node: AudioWorkletNode,
    /// Samples a second.
    pub rate_hz: u32,
    _hears: Closure<dyn FnMut(MessageEvent)>,
}

/// Returns whether this page may ask for a microphone at all.
pub fn is_secure() -> bool {
    web_sys::window().is_some_and(|window| window.is_secure_context())
}

fn has(object: &JsValue, name: &str) -> bool {
    Reflect::get(object, &name.into()).is_ok_and(|found| !found.is_undefined() && !found.is_null())
}

/// Returns what the name of a browser's error means.
fn refusal(error: &JsValue) -> Trouble {
    let name = Reflect::get(error, &"name".into()).ok().and_then(|name| name.as_string());
    Trouble::of_refusal(&name.unwrap_or_default())
}

impl Recorder {
    /// Opens the microphone, from within a tap. `hear` gets the samples piece by piece, and nothing at all when the
    /// microphone went away.
    ///
    /// # Errors
    /// Why there is no microphone.
    pub async fn open(hear: impl Fn(Option<Vec<f32>>) + Clone + 'static) -> Result<Self, Trouble> {
        let window = web_sys::window().ok_or(Trouble::NoRecorder)?;
        let navigator = window.navigator();
        if !is_secure() {
            return Err(Trouble::NotSecure);
        }
        if !has(&navigator, "mediaDevices") {
            return Err(Trouble::NoRecorder);
        }
        // Made before anything is waited for: a browser that lets no page sound before a tap sees the tap here.
        let context = AudioContext::new().map_err(|_| Trouble::NoRecorder)?;
        let opened = Self::with(&context, &navigator, hear).await;
        if opened.is_err() {
            let _ = context.close();
        }
        opened
    }

    async fn with(
        context: &AudioContext,
        navigator: &web_sys::Navigator,
        hear: impl Fn(Option<Vec<f32>>) + Clone + 'static,
    ) -> Result<Self, Trouble> {
        let _ = context.resume();
        let worklet = context.audio_worklet().map_err(|_| Trouble::NoRecorder)?;
        let url = Reflect::get(&js_sys::global(), &"lanewrightRecorder".into())
            .ok()
            .and_then(|url| url.as_string())
            .ok_or(Trouble::NoRecorder)?;
        let module = worklet.add_module(&url).map_err(|_| Trouble::NoRecorder)?;
        JsFuture::from(module).await.map_err(|_| Trouble::NoRecorder)?;
        let devices = navigator.media_devices().map_err(|_| Trouble::NoRecorder)?;
        let asked =
            devices.get_user_media_with_constraints(&constraints()).map_err(|error| refusal(&error))?;
        let stream: MediaStream =
            JsFuture::from(asked).await.map_err(|error| refusal(&error))?.unchecked_into();
        let joined = (|| {
            let source = context.create_media_stream_source(&stream)?;
            let node = AudioWorkletNode::new(context, "lanewright-recorder")?;
            source.connect_with_audio_node(&node)?;
            // It plays nothing; some browsers run only what leads to the loudspeaker.
            node.connect_with_audio_node(&context.destination())?;
            Ok::<_, JsValue>(node)
        })();
        let node = match joined {
            Ok(node) => node,
            Err(_) => {
                close_tracks(&stream);
                return Err(Trouble::NoRecorder);
            }
        };
        let to = hear.clone();
        let hears = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
            to(event.data().dyn_into::<Float32Array>().ok().map(|piece| piece.to_vec()));
        });
        node.port().map_err(|_| Trouble::NoRecorder)?.set_onmessage(Some(hears.as_ref().unchecked_ref()));
        // A call, or a headset that is pulled out: what comes after it would be at the wrong time.
        let (own, to) = (context.clone(), hear.clone());
        listen(context, "statechange", move |_| {
            if !matches!(own.state(), AudioContextState::Running | AudioContextState::Closed) {
                to(None);
            }
        });
        for track in stream.get_audio_tracks() {
            let to = hear.clone();
            listen(track.unchecked_ref::<MediaStreamTrack>(), "ended", move |_| to(None));
        }
        let rate_hz = context.sample_rate() as u32;
        Ok(Self { context: context.clone(), stream, node, rate_hz, _hears: hears })
    }
}

impl Drop for Recorder {
    /// Closes the microphone: the browser's sign that it listens goes out.
    fn drop(&mut self) {
        if let Ok(port) = self.node.port() {
            port.set_onmessage(None);
        }
        let _ = self.node.disconnect();
        close_tracks(&self.stream);
        let _ = self.context.close();
    }
}

fn close_tracks(stream: &MediaStream) {
    for track in stream.get_tracks() {
        track.unchecked_into::<MediaStreamTrack>().stop();
    }
}

fn constraints() -> MediaStreamConstraints {
    let audio = MediaTrackConstraints::new();
    audio.set_echo_cancellation(&JsValue::FALSE);
    audio.set_noise_suppression(&JsValue::FALSE);
    audio.set_auto_gain_control(&JsValue::FALSE);
    let constraints = MediaStreamConstraints::new();
    constraints.set_audio(&audio);
    constraints
}

/// Reads a sound file: one channel, the mean of all, and its rate.
///
/// # Errors
/// Why not.
pub async fn read_file(file: &web_sys::File) -> Result<(Vec<f32>, u32), Trouble> {
    if file.size() > f64::from(FILE_MAX_MB) * 1e6 {
        return Err(Trouble::FileTooBig);
    }
    let bytes = JsFuture::from(file.array_buffer()).await.map_err(|_| Trouble::FileUnreadable)?;
    let context = OfflineAudioContext::new_with_number_of_channels_and_length_and_sample_rate(
        1,
        1,
        FILE_RATE_HZ as f32,
    )
    .map_err(|_| Trouble::NoRecorder)?;
    let decoded = context.decode_audio_data(bytes.unchecked_ref()).map_err(|_| Trouble::FileUnreadable)?;
    let buffer: AudioBuffer =
        JsFuture::from(decoded).await.map_err(|_| Trouble::FileUnreadable)?.unchecked_into();
    let channels = buffer.number_of_channels();
    let mut samples = buffer.get_channel_data(0).map_err(|_| Trouble::FileUnreadable)?;
    for channel in 1..channels {
        let more = buffer.get_channel_data(channel).map_err(|_| Trouble::FileUnreadable)?;
        for (sample, other) in samples.iter_mut().zip(more) {
            *sample += other;
        }
    }
    for sample in &mut samples {
        *sample /= channels.max(1) as f32;
    }
    Ok((samples, FILE_RATE_HZ))
}
