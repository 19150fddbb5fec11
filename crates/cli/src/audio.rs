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

use crate::output;

/// Endings that a folder is searched for.
pub(crate) const ENDINGS: [&str; 9] = ["wav", "flac", "ogg", "oga", "mp3", "m4a", "mp4", "aac", "m4b"];

/// Why a recording gives no samples.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Trouble {
    /// The file cannot be opened or read.
    Read(String),
    /// It is none of the kinds that are decoded, or what it holds is damaged: the id of the words that say which.
    Decode(&'static str),
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
        let file = File::open(path).map_err(|error| Trouble::Read(output::why(&error)))?;
        if file.metadata().is_ok_and(|data| data.len() == 0) {
            return Ok(Listener::new(48_000));
        }
        Box::new(file)
    };
    // What a decoder says while it falls is of no use to a coach.
    let usual = std::panic::take_hook();
    std::panic::set_hook(Box::new(|_| {}));
    let heard = decode(MediaSourceStream::new(source, Default::default()), &hint);
    std::panic::set_hook(usual);
    heard
}

/// Decodes; a decoder that trips over damaged data spoils only this recording.
fn decode(stream: MediaSourceStream<'_>, hint: &Hint) -> Result<Listener, Trouble> {
    std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| decode_all(stream, hint)))
        .unwrap_or(Err(Trouble::Decode("cli-why-damaged")))
}

fn decode_all(stream: MediaSourceStream<'_>, hint: &Hint) -> Result<Listener, Trouble> {
    let broken = |error: Error| match error {
        Error::Unsupported(_) => Trouble::Decode("cli-why-no-recording"),
        _ => Trouble::Decode("cli-why-damaged"),
    };
    let mut format = symphonia::default::get_probe()
        .probe(hint, stream, FormatOptions::default(), MetadataOptions::default())
        .map_err(|error| match error {
            // What looks for a beginning to the end of the file found none.
            Error::IoError(_) => Trouble::Decode("cli-why-no-recording"),
            error => broken(error),
        })?;
    let track = format.default_track(TrackType::Audio).ok_or(Trouble::Decode("cli-why-no-sound"))?;
    let parameters = track
        .codec_params
        .as_ref()
        .and_then(|parameters| parameters.audio())
        .ok_or(Trouble::Decode("cli-why-no-recording"))?;
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
            Err(Error::DecodeError(_)) => {
                damaged += 1;
                if damaged > 20 {
                    return Err(Trouble::Decode("cli-why-damaged"));
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
            return Err(Trouble::Decode("cli-why-rate"));
        }
        listener.push_interleaved(&samples, channels);
        if listener.is_full() {
            break;
        }
    }
    match listener {
        Some((listener, _)) => Ok(listener),
        None => Err(Trouble::Decode("cli-why-no-sound")),
    }
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use super::*;

    const CODED: [&[u8]; 4] = [
        include_bytes!("../../../fixtures/sound/run.flac"),
        include_bytes!("../../../fixtures/sound/run.ogg"),
        include_bytes!("../../../fixtures/sound/run.mp3"),
        include_bytes!("../../../fixtures/sound/run.m4a"),
    ];

    /// A pseudo-random number below `below`.
    fn draw(state: &mut u64, below: usize) -> usize {
        *state ^= *state << 13;
        *state ^= *state >> 7;
        *state ^= *state << 17;
        (*state % below.max(1) as u64) as usize
    }

    fn given(bytes: Vec<u8>) -> Result<Listener, Trouble> {
        decode(MediaSourceStream::new(Box::new(Cursor::new(bytes)), Default::default()), &Hint::new())
    }

    /// Damaged heads, cut files, and noise behind the signs of each kind: an answer or a reason, never a panic.
    #[test]
    fn damaged_recordings_never_panic() {
        // Decoders built with overflow checks may fall; that is caught, and need not be told thousands of times.
        std::panic::set_hook(Box::new(|told| {
            if told.location().is_some_and(|place| !place.file().contains("symphonia")) {
                eprintln!("{told}");
            }
        }));
        let cases: u64 = std::env::var("LANEWRIGHT_FUZZ_CASES")
            .ok()
            .and_then(|cases| cases.parse().ok())
            .unwrap_or(20_000);
        let wav = {
            let mut head =
                b"RIFF\x24\x10\0\0WAVEfmt \x10\0\0\0\x01\0\x02\0\x40\x1f\0\0\0\x7d\0\0\x04\0\x10\0data"
                    .to_vec();
            head.extend(4096u32.to_le_bytes());
            head.extend((0..4096u32).map(|k| (k * 37 % 251) as u8));
            head
        };
        let mut answers = 0;
        for case in 0..cases {
            let mut state = case.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
            draw(&mut state, 2);
            let kind = draw(&mut state, 5);
            let whole: &[u8] = CODED.get(kind).copied().unwrap_or(&wav);
            let mut bytes = whole[..whole.len().min(600 + draw(&mut state, 2400))].to_vec();
            for _ in 0..draw(&mut state, 12) {
                let at = if draw(&mut state, 3) == 0 {
                    draw(&mut state, bytes.len())
                } else {
                    draw(&mut state, 120)
                };
                let at = at.min(bytes.len() - 1);
                bytes[at] = match draw(&mut state, 3) {
                    0 => draw(&mut state, 256) as u8,
                    1 => 0xff,
                    _ => bytes[at] ^ (1 << draw(&mut state, 8)),
                };
            }
            if let Ok(listener) = given(bytes) {
                answers += 1;
                assert!(listener.heard_s().is_finite());
            }
        }
        assert!(answers > cases / 50, "{answers} of {cases} could be listened to");
    }

    #[test]
    fn all_kinds_of_file_decode_to_the_same_length() {
        for bytes in CODED {
            let heard = given(bytes.to_vec()).expect("it decodes").heard_s();
            assert!((heard - 8.8).abs() < 0.25, "{heard}");
        }
    }
}
