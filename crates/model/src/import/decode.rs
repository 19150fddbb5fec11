//! Bytes to text: which encoding a file has, and how that was found.

use encoding_rs::{Encoding, MACINTOSH, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

use super::error::{FileKind, ImportError};
use crate::words::Message;

/// Encodings that a choice offers, by their names in the WHATWG encoding standard.
pub const ENCODINGS: &[&str] = &[
    "UTF-8",
    "UTF-16LE",
    "UTF-16BE",
    "windows-1252",
    "macintosh",
    "windows-1250",
    "windows-1251",
    "windows-1253",
    "windows-1254",
    "windows-1257",
];

/// Bytes of lines with special letters that are looked at for guessing an encoding.
const SAMPLE_BYTES_MAX: usize = 16 * 1024;
/// Bytes that are looked at for recognising UTF-16 without a mark.
const PAIRS_BYTES_MAX: usize = 4 * 1024;
/// Share of 16-bit pairs whose high byte is zero above which a file is plainly UTF-16. Engineering assumption:
/// names in Latin letters, digits and separators all have a zero there.
const ZERO_SHARE_MIN: f64 = 0.6;
/// Share of zero bytes above which a file is no text at all. Engineering assumption.
const BINARY_ZERO_SHARE: f64 = 0.1;
/// Share of control signs above which a file is no text, and how many there are at least. Engineering assumption:
/// bytes of any other file hold about one in ten, a list has a stray one here and there, which is named at its cell.
const BINARY_CONTROL_SHARE: f64 = 0.03;
const BINARY_CONTROLS_MIN: usize = 5;

/// The encoding with which a file was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EncodingFound {
    /// Its name in the WHATWG encoding standard, such as `windows-1252`.
    pub name: &'static str,
    /// How it was found.
    pub how: EncodingHow,
}

/// How an encoding was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EncodingHow {
    /// The coach chose it.
    Chosen,
    /// The file starts with a byte order mark.
    Mark,
    /// The file has only plain letters, so that every usual encoding reads it the same way.
    PlainLetters,
    /// The special letters are valid UTF-8.
    ValidUtf8,
    /// The special letters are valid UTF-8 but for a few; those are reported where they stand.
    NearlyUtf8,
    /// Every second byte is zero, as in UTF-16.
    ZeroBytes,
    /// Guessed from the special letters.
    Guessed,
}

impl EncodingFound {
    /// Returns the sentence that says which encoding was used and why.
    pub fn message(&self) -> Message {
        Message::new(match self.how {
            EncodingHow::Chosen => "import-encoding-chosen",
            EncodingHow::Mark => "import-encoding-mark",
            EncodingHow::PlainLetters => "import-encoding-plain",
            EncodingHow::ValidUtf8 => "import-encoding-valid",
            EncodingHow::NearlyUtf8 => "import-encoding-nearly",
            EncodingHow::ZeroBytes => "import-encoding-zero-bytes",
            EncodingHow::Guessed => "import-encoding-guessed",
        })
        .text("encoding", self.name)
    }
}

/// The text of a file.
pub(super) struct Decoded {
    pub text: String,
    pub encoding: EncodingFound,
}

/// Decodes a file. Bytes that the encoding does not know become U+FFFD, which no name may contain.
pub(super) fn decode(bytes: &[u8], chosen: Option<&str>) -> Result<Decoded, ImportError> {
    refuse_other_files(bytes)?;
    let (encoding, how) = match chosen {
        Some(label) => {
            let found = Encoding::for_label(label.trim().as_bytes())
                .ok_or_else(|| ImportError::UnknownEncoding { provided: label.chars().take(40).collect() })?;
            (found, EncodingHow::Chosen)
        }
        None => find(bytes),
    };
    let (text, _) = encoding.decode_with_bom_removal(bytes);
    let zeros = text.bytes().filter(|&byte| byte == 0).count();
    let controls = text.chars().filter(|c| c.is_control() && !c.is_whitespace()).count();
    let binary = controls >= BINARY_CONTROLS_MIN
        && controls as f64 > BINARY_CONTROL_SHARE * text.chars().count() as f64;
    if binary || zeros as f64 > BINARY_ZERO_SHARE * text.len() as f64 {
        return Err(ImportError::NotText { kind: FileKind::Binary });
    }
    if text.chars().all(|c| c.is_whitespace() || c == '\u{feff}') {
        return Err(ImportError::Empty);
    }
    if let Some(kind) = structured(&text) {
        return Err(ImportError::NotText { kind });
    }
    Ok(Decoded { text: text.into_owned(), encoding: EncodingFound { name: encoding.name(), how } })
}

/// Refuses files that start like something else than text.
fn refuse_other_files(bytes: &[u8]) -> Result<(), ImportError> {
    const STARTS: [(&[u8], FileKind); 10] = [
        (b"PK\x03\x04", FileKind::Workbook),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", FileKind::OldWorkbook),
        (b"%PDF-", FileKind::Pdf),
        (b"\x89PNG\r\n\x1a\n", FileKind::Picture),
        (b"\xff\xd8\xff", FileKind::Picture),
        (b"GIF8", FileKind::Picture),
        (b"{\\rtf", FileKind::Structured),
        (b"\x1f\x8b", FileKind::Binary),
        (b"\xff\xfe\x00\x00", FileKind::Binary),
        (b"\x00\x00\xfe\xff", FileKind::Binary),
    ];
    match STARTS.iter().find(|(start, _)| bytes.starts_with(start)) {
        Some((_, kind)) => Err(ImportError::NotText { kind: *kind }),
        // Pictures and films of phones name their kind after a length of four bytes.
        None if bytes.get(4..8) == Some(b"ftyp") => Err(ImportError::NotText { kind: FileKind::Picture }),
        None => Ok(()),
    }
}

/// Returns what a text is when it is markup or JSON.
fn structured(text: &str) -> Option<FileKind> {
    let start: String = super::trim(text).chars().take(200).collect::<String>().to_lowercase();
    let follows = |open: char, next: &[char]| {
        start.strip_prefix(open).is_some_and(|rest| rest.trim_start().starts_with(next))
    };
    if ["<!doctype html", "<html", "<table", "<head", "<meta"].iter().any(|tag| start.starts_with(tag)) {
        Some(FileKind::WebPage)
    } else if start.starts_with("<?xml") || follows('{', &['"', '}']) || follows('[', &['{', '[', '"']) {
        Some(FileKind::Structured)
    } else {
        None
    }
}

fn find(bytes: &[u8]) -> (&'static Encoding, EncodingHow) {
    if let Some((encoding, _)) = Encoding::for_bom(bytes) {
        return (encoding, EncodingHow::Mark);
    }
    if let Some(encoding) = utf16_without_mark(bytes) {
        return (encoding, EncodingHow::ZeroBytes);
    }
    if bytes.is_ascii() {
        return (UTF_8, EncodingHow::PlainLetters);
    }
    match utf8_letters(bytes) {
        (_, 0) => return (UTF_8, EncodingHow::ValidUtf8),
        (whole, broken) if whole > broken => return (UTF_8, EncodingHow::NearlyUtf8),
        _ => {}
    }
    (guess(bytes), EncodingHow::Guessed)
}

/// Returns the UTF-16 whose high bytes are nearly all zero while the low bytes are not.
fn utf16_without_mark(bytes: &[u8]) -> Option<&'static Encoding> {
    let sample = &bytes[..bytes.len().min(PAIRS_BYTES_MAX)];
    let pairs = sample.chunks_exact(2);
    let count = pairs.len();
    if count < 2 || !bytes.len().is_multiple_of(2) {
        return None;
    }
    let (mut first_zero, mut second_zero) = (0_usize, 0_usize);
    for pair in pairs {
        first_zero += usize::from(pair[0] == 0);
        second_zero += usize::from(pair[1] == 0);
    }
    let share = |zeros: usize| zeros as f64 / count as f64;
    if share(second_zero) >= ZERO_SHARE_MIN && first_zero == 0 {
        Some(UTF_16LE)
    } else if share(first_zero) >= ZERO_SHARE_MIN && second_zero == 0 {
        Some(UTF_16BE)
    } else {
        None
    }
}

/// Returns how many special letters are whole as UTF-8 and how many places are broken.
///
/// Text of another encoding hardly ever contains a valid sequence of several bytes, so one broken letter in a file
/// that is UTF-8 elsewhere is reported at its place instead of garbling all others.
fn utf8_letters(bytes: &[u8]) -> (usize, usize) {
    bytes.utf8_chunks().fold((0, 0), |(whole, broken), chunk| {
        let special = chunk.valid().chars().filter(|c| !c.is_ascii()).count();
        (whole + special, broken + usize::from(!chunk.invalid().is_empty()))
    })
}

/// Guesses a one-byte encoding from a bounded sample of the lines that have special letters.
fn guess(bytes: &[u8]) -> &'static Encoding {
    let mut sample = Vec::new();
    for line in bytes.split_inclusive(|&byte| byte == b'\n' || byte == b'\r') {
        if !line.is_ascii() && sample.len() < SAMPLE_BYTES_MAX {
            sample.extend_from_slice(&line[..line.len().min(SAMPLE_BYTES_MAX - sample.len())]);
        }
    }
    if is_macintosh(&sample) {
        return MACINTOSH;
    }
    let mut detector = chardetng::EncodingDetector::new(chardetng::Iso2022JpDetection::Deny);
    detector.feed(&sample, true);
    let guessed = detector.guess(None, chardetng::Utf8Detection::Deny);
    if guessed.decode_without_bom_handling(bytes).1 { WINDOWS_1252 } else { guessed }
}

/// Returns whether special letters stand where only the old Macintosh encoding has letters.
///
/// Spreadsheets on such machines still offer it. Counted are bytes beside a plain letter: those that are a letter
/// there but a sign, nothing, or a capital after a small letter in Windows-1252, against those that are the other way
/// round. Apostrophes, dashes and quotation marks of Windows-1252 do not count.
fn is_macintosh(sample: &[u8]) -> bool {
    let (mut for_it, mut against) = (0_usize, 0_usize);
    for (index, &byte) in sample.iter().enumerate() {
        let before = index.checked_sub(1).map_or(b' ', |at| sample[at]);
        let after = sample.get(index + 1).copied().unwrap_or(b' ');
        if byte < 0x80 || !(before.is_ascii_alphabetic() || after.is_ascii_alphabetic()) {
            continue;
        }
        match byte {
            0x81..=0x84 | 0x86..=0x89 | 0x8b | 0x8d | 0x8f | 0x90 | 0x95 | 0x98 | 0x99 | 0x9b | 0x9d => {
                for_it += 1;
            }
            0x8a | 0x8e | 0x9f
                if before.is_ascii_lowercase()
                    || after.is_ascii_lowercase() && before.is_ascii_uppercase() =>
            {
                for_it += 1;
            }
            0xc0..=0xca | 0xd0..=0xd7 | 0xda..=0xdd | 0xe0..=0xe4 | 0xf0 | 0xf6..=0xff => against += 1,
            _ => {}
        }
    }
    for_it > 0 && against == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(bytes: &[u8]) -> (&'static str, EncodingHow, String) {
        let decoded = decode(bytes, None).expect("text");
        (decoded.encoding.name, decoded.encoding.how, decoded.text)
    }

    #[test]
    fn names_in_windows_1252_come_out_right() {
        for names in ["Zoë", "Jürgen", "François", "Núria", "Søren\nÅsa", "Ærø", "O’Neil", "Straße", "Renée"]
        {
            let (bytes, _, _) = WINDOWS_1252.encode(names);
            let (name, how, text) = found(&[b"Name\n", &bytes[..], b"\n"].concat());
            assert_eq!(
                (name, how, text.as_str()),
                ("windows-1252", EncodingHow::Guessed, &*format!("Name\n{names}\n"))
            );
        }
    }

    #[test]
    fn names_in_the_macintosh_encoding_come_out_right() {
        // Zoë, Jäger, Renée, Müller, François as an old spreadsheet on a Macintosh writes them.
        let (name, _, text) = found(b"Name\nJ\x8ager\nRen\x8ee\nM\x9fller\nFran\x8dois\n");
        assert_eq!((name, text.as_str()), ("macintosh", "Name\nJäger\nRenée\nMüller\nFrançois\n"));
    }

    #[test]
    fn utf16_is_recognised_without_a_mark() {
        let text = "Name;cm\r\nZoë;143\r\n";
        let little: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
        let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
        assert_eq!(found(&little), ("UTF-16LE", EncodingHow::ZeroBytes, text.to_owned()));
        assert_eq!(found(&big), ("UTF-16BE", EncodingHow::ZeroBytes, text.to_owned()));
    }

    #[test]
    fn one_broken_letter_does_not_garble_the_others() {
        let (name, how, text) = found(b"Name\nZo\xc3\xab\nN\xc3\xbaria\nRen\xe9e\n");
        assert_eq!((name, how), ("UTF-8", EncodingHow::NearlyUtf8));
        assert_eq!(text, "Name\nZoë\nNúria\nRen\u{fffd}e\n");
    }

    #[test]
    fn bytes_of_any_other_file_are_no_text_and_one_stray_sign_is() {
        let mut state = 7_u32;
        let bytes: Vec<u8> = (0..400)
            .map(|_| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                (state >> 24) as u8
            })
            .collect();
        for size in [100, 200, 400] {
            let read = decode(&bytes[..size], None).map(|decoded| decoded.encoding);
            assert_eq!(read.err(), Some(ImportError::NotText { kind: FileKind::Binary }), "{size} bytes");
        }
        assert!(decode(b"Name,cm\nWr\x01en,143\nUmi,140\n", None).is_ok());
    }

    #[test]
    fn every_encoding_on_offer_exists() {
        for name in ENCODINGS {
            assert_eq!(Encoding::for_label(name.as_bytes()).map(Encoding::name), Some(*name));
        }
    }
}
