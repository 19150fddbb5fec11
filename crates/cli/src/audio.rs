//! Decodes a recording piece by piece into a listener; nothing of it is kept.

use std::fs::File;
use std::io::Stdin;
use std::path::Path;

use lanewright_listen::Listener;
use symphonia::core::codecs::audio::AudioDecoderOptions;
use symphonia::core::errors::Error;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatOptions, TrackType};
use symphonia::core::io::{MediaSource, MediaSourceStream, ReadOnlySource};
use symphonia::core::meta::MetadataOptions;

/// Endings that a folder is searched for.
pub(crate) const ENDINGS: [&str; 9] = ["wav", "flac", "ogg", "oga", "mp3", "m4a", "mp4", "aac", "m4b"];

/// Why a recording gives no samples.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Trouble {
    /// The file cannot be opened or read.
    Read(String),
    /// It is none of the kinds that are decoded, or what it holds is damaged.
    Decode(String),
}

/// Listens to a file, or to standard input for `-`. Ends early when the listener is full.
pub(crate) fn listen(path: &Path) -> Result<Listener, Trouble> {
    let mut hint = Hint::new();
    let source: Box<dyn MediaSource> = if path.as_os_str() == "-" {
        let stdin: Stdin = std::io::stdin();
        Box::new(ReadOnlySource::new(stdin))
    } else {
        if let Some(ending) = path.extension().and_then(|ending| ending.to_str()) {
            hint.with_extension(ending);
        }
        let file = File::open(path).map_err(|error| Trouble::Read(error.to_string()))?;
        if file.metadata().is_ok_and(|data| data.len() == 0) {
            return Ok(Listener::new(48_000));
        }
        Box::new(file)
    };
    decode(MediaSourceStream::new(source, Default::default()), &hint)
}

fn decode(stream: MediaSourceStream<'_>, hint: &Hint) -> Result<Listener, Trouble> {
    let broken = |error: Error| Trouble::Decode(error.to_string());
    let mut format = symphonia::default::get_probe()
        .probe(hint, stream, FormatOptions::default(), MetadataOptions::default())
        .map_err(broken)?;
    let track = format
        .default_track(TrackType::Audio)
        .ok_or_else(|| Trouble::Decode("it holds no sound".to_owned()))?;
    let parameters = track
        .codec_params
        .as_ref()
        .and_then(|parameters| parameters.audio())
        .ok_or_else(|| Trouble::Decode("its kind of sound is not known".to_owned()))?;
    let id = track.id;
    let mut decoder = symphonia::default::get_codecs()
        .make_audio_decoder(parameters, &AudioDecoderOptions::default())
        .map_err(broken)?;
    let mut listener: Option<(Listener, u32)> =
        parameters.sample_rate.map(|rate| (Listener::new(rate), rate));
    let mut samples: Vec<f32> = Vec::new();
    let mut damaged = 0;
    loop {
        let packet = match format.next_packet() {
            Ok(Some(packet)) => packet,
            Ok(None) | Err(Error::ResetRequired) => break,
            // A file that was cut off: what was there is listened to.
            Err(Error::IoError(error)) if error.kind() == std::io::ErrorKind::UnexpectedEof => break,
            Err(error) => return Err(broken(error)),
        };
        if packet.track_id != id {
            continue;
        }
        let buffer = match decoder.decode(&packet) {
            Ok(buffer) => buffer,
            Err(Error::DecodeError(why)) => {
                damaged += 1;
                if damaged > 20 {
                    return Err(Trouble::Decode(why.to_owned()));
                }
                continue;
            }
            Err(error) => return Err(broken(error)),
        };
        let rate = buffer.spec().rate();
        let channels = buffer.spec().channels().count();
        buffer.copy_to_vec_interleaved(&mut samples);
        let (listener, known) = listener.get_or_insert_with(|| (Listener::new(rate), rate));
        if *known != rate {
            return Err(Trouble::Decode("its sampling rate changes midway".to_owned()));
        }
        listener.push_interleaved(&samples, channels);
        if listener.is_full() {
            break;
        }
    }
    match listener {
        Some((listener, _)) => Ok(listener),
        None => Err(Trouble::Decode("no sound could be decoded".to_owned())),
    }
}
