//! A small reader of PDF objects, for looking at what was really written: objects, references, the structure tree.
//!
//! It reads what ISO 32000-1:2008 says of objects in clause 7.3, of text in 9.4 and 9.10 and of structure in 14.7 to
//! 14.9, as far as these files use it.
#![allow(dead_code, reason = "each test file uses its part")]

use std::collections::BTreeMap;
use std::io::Read;

#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    Null,
    Bool(bool),
    Number(f64),
    Name(String),
    Text(String),
    Array(Vec<Value>),
    Dict(BTreeMap<String, Value>),
    Reference(u32),
}

/// All objects of a file by number.
pub struct File {
    /// Of a stream, its dictionary.
    pub objects: BTreeMap<u32, Value>,
    /// What the streams hold, unpacked.
    pub streams: BTreeMap<u32, Vec<u8>>,
}

/// One element of the structure tree.
#[derive(Debug, Clone, PartialEq)]
pub struct Element {
    pub role: String,
    pub alt: Option<String>,
    pub children: Vec<Element>,
    /// Marked pieces of content right below it.
    pub content: usize,
}

impl Element {
    /// Returns the element and all below it, in reading order.
    pub fn all(&self) -> Vec<&Element> {
        let mut all = vec![self];
        all.extend(self.children.iter().flat_map(Element::all));
        all
    }

    pub fn count(&self, role: &str) -> usize {
        self.all().iter().filter(|element| element.role == role).count()
    }
}

struct Reader<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl Reader<'_> {
    fn skip(&mut self) {
        while let Some(byte) = self.bytes.get(self.at) {
            match byte {
                b' ' | b'\t' | b'\r' | b'\n' | 0 | 12 => self.at += 1,
                b'%' => {
                    while self.bytes.get(self.at).is_some_and(|byte| *byte != b'\n') {
                        self.at += 1;
                    }
                }
                _ => return,
            }
        }
    }

    fn starts_with(&self, text: &str) -> bool {
        self.bytes[self.at..].starts_with(text.as_bytes())
    }

    fn word(&mut self) -> String {
        let from = self.at;
        while let Some(byte) = self.bytes.get(self.at) {
            if byte.is_ascii_whitespace() || b"()<>[]{}/%".contains(byte) || *byte == 0 {
                break;
            }
            self.at += 1;
        }
        String::from_utf8_lossy(&self.bytes[from..self.at]).into_owned()
    }

    fn value(&mut self) -> Value {
        self.skip();
        if self.starts_with("<<") {
            self.at += 2;
            let mut dict = BTreeMap::new();
            loop {
                self.skip();
                if self.starts_with(">>") {
                    self.at += 2;
                    return Value::Dict(dict);
                }
                let Value::Name(key) = self.value() else { panic!("a key is a name, at byte {}", self.at) };
                dict.insert(key, self.value());
            }
        }
        match self.bytes[self.at] {
            b'/' => {
                self.at += 1;
                Value::Name(self.word())
            }
            b'[' => {
                self.at += 1;
                let mut items = Vec::new();
                loop {
                    self.skip();
                    if self.bytes[self.at] == b']' {
                        self.at += 1;
                        return Value::Array(items);
                    }
                    items.push(self.value());
                }
            }
            b'(' => self.text(),
            b'<' => self.hex(),
            _ => {
                let word = self.word();
                match word.as_str() {
                    "true" => Value::Bool(true),
                    "false" => Value::Bool(false),
                    "null" => Value::Null,
                    number => {
                        let value: f64 = number.parse().unwrap_or_else(|_| panic!("{number:?} is no number"));
                        self.reference(value).unwrap_or(Value::Number(value))
                    }
                }
            }
        }
    }

    /// `12 0 R` behind the first number.
    fn reference(&mut self, number: f64) -> Option<Value> {
        let before = self.at;
        self.skip();
        let generation = self.word();
        self.skip();
        if generation.bytes().all(|byte| byte.is_ascii_digit())
            && !generation.is_empty()
            && self.word() == "R"
        {
            return Some(Value::Reference(number as u32));
        }
        self.at = before;
        None
    }

    fn text(&mut self) -> Value {
        let (mut bytes, mut depth) = (Vec::new(), 0);
        loop {
            let byte = self.bytes[self.at];
            self.at += 1;
            match byte {
                b'\\' => {
                    let escaped = self.bytes[self.at];
                    self.at += 1;
                    match escaped {
                        b'n' => bytes.push(b'\n'),
                        b'r' => bytes.push(b'\r'),
                        b't' => bytes.push(b'\t'),
                        b'b' => bytes.push(8),
                        b'f' => bytes.push(12),
                        b'0'..=b'7' => {
                            let mut code = u32::from(escaped - b'0');
                            for _ in 0..2 {
                                if let digit @ b'0'..=b'7' = self.bytes[self.at] {
                                    code = code * 8 + u32::from(digit - b'0');
                                    self.at += 1;
                                }
                            }
                            bytes.push(code as u8);
                        }
                        other => bytes.push(other),
                    }
                }
                b'(' => {
                    depth += 1;
                    if depth > 1 {
                        bytes.push(byte);
                    }
                }
                b')' => {
                    depth -= 1;
                    if depth == 0 {
                        return Value::Text(decoded(&bytes));
                    }
                    bytes.push(byte);
                }
                _ => bytes.push(byte),
            }
        }
    }

    fn hex(&mut self) -> Value {
        self.at += 1;
        let from = self.at;
        while self.bytes[self.at] != b'>' {
            self.at += 1;
        }
        let digits: Vec<u8> =
            self.bytes[from..self.at].iter().copied().filter(u8::is_ascii_hexdigit).collect();
        self.at += 1;
        let bytes: Vec<u8> = digits
            .chunks(2)
            .map(|pair| u8::from_str_radix(&String::from_utf8_lossy(pair), 16).expect("hexadecimal digits"))
            .collect();
        Value::Text(decoded(&bytes))
    }
}

/// UTF-16 with its mark, else one byte a letter.
fn decoded(bytes: &[u8]) -> String {
    match bytes.strip_prefix(&[0xfe, 0xff]) {
        Some(rest) => {
            let units: Vec<u16> =
                rest.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect();
            String::from_utf16_lossy(&units)
        }
        None => bytes.iter().map(|byte| char::from(*byte)).collect(),
    }
}

impl File {
    /// Reads every object in its place, by the numbers in front of `obj`.
    pub fn read(bytes: &[u8]) -> Self {
        let mut objects = BTreeMap::new();
        let mut streams = BTreeMap::new();
        let mut reader = Reader { bytes, at: 0 };
        while let Some(found) = find(bytes, reader.at, b" 0 obj") {
            let mut from = found;
            while from > 0 && bytes[from - 1].is_ascii_digit() {
                from -= 1;
            }
            let number: u32 = String::from_utf8_lossy(&bytes[from..found]).parse().expect("a number");
            reader.at = found + b" 0 obj".len();
            let value = reader.value();
            reader.skip();
            if reader.starts_with("stream") {
                let Value::Dict(dict) = &value else { panic!("a stream has a dictionary") };
                let Some(Value::Number(length)) = dict.get("Length") else { panic!("a stream has a length") };
                reader.at += "stream".len();
                while matches!(bytes[reader.at], b'\r' | b'\n') {
                    reader.at += 1;
                    if bytes[reader.at - 1] == b'\n' {
                        break;
                    }
                }
                let packed = &bytes[reader.at..reader.at + *length as usize];
                let mut unpacked = Vec::new();
                match dict.get("Filter") {
                    None => unpacked.extend_from_slice(packed),
                    Some(_) => {
                        flate2::read::ZlibDecoder::new(packed).read_to_end(&mut unpacked).unwrap_or_default();
                    }
                }
                streams.insert(number, unpacked);
                reader.at += *length as usize;
                reader.at = find(bytes, reader.at, b"endobj").expect("an object ends");
            }
            objects.insert(number, value);
        }
        Self { objects, streams }
    }

    pub fn resolve<'a>(&'a self, value: &'a Value) -> &'a Value {
        match value {
            Value::Reference(number) => self.resolve(&self.objects[number]),
            other => other,
        }
    }

    pub fn dict<'a>(&'a self, value: &'a Value) -> &'a BTreeMap<String, Value> {
        match self.resolve(value) {
            Value::Dict(dict) => dict,
            other => panic!("{other:?} is no dictionary"),
        }
    }

    /// Returns the dictionary whose `Type` is that.
    pub fn of_type(&self, name: &str) -> &BTreeMap<String, Value> {
        self.objects
            .values()
            .find_map(|value| match value {
                Value::Dict(dict) if dict.get("Type") == Some(&Value::Name(name.to_owned())) => Some(dict),
                _ => None,
            })
            .unwrap_or_else(|| panic!("there is no {name}"))
    }

    fn stream(&self, value: &Value) -> &[u8] {
        match value {
            Value::Reference(number) => &self.streams[number],
            other => panic!("{other:?} is no stream"),
        }
    }

    /// Returns the pieces of text in the order in which they are written, as a reader copies them: the letters that
    /// each font gives its signs, or the text that stands for them; runs that are marked as reversed turned round.
    pub fn texts(&self) -> Vec<String> {
        let mut texts = Vec::new();
        for value in self.objects.values() {
            let Value::Dict(page) = value else { continue };
            if page.get("Type") != Some(&Value::Name("Page".into())) {
                continue;
            }
            let resources = self.dict(&page["Resources"]);
            let mut fonts = BTreeMap::new();
            if let Some(named) = resources.get("Font") {
                for (name, font) in self.dict(named) {
                    let letters = letters(self.stream(&self.dict(font)["ToUnicode"]));
                    fonts.insert(name.clone(), letters);
                }
            }
            let contents = match self.resolve(&page["Contents"]) {
                Value::Array(parts) => {
                    parts.iter().flat_map(|part| self.stream(part).iter().copied().chain([b'\n'])).collect()
                }
                _ => self.stream(&page["Contents"]).to_vec(),
            };
            texts.extend(written(&contents, &fonts));
        }
        texts
    }

    /// Returns the structure tree; its root has the role `StructTreeRoot`.
    pub fn structure(&self) -> Element {
        let root = self.dict(&self.of_type("Catalog")["StructTreeRoot"]);
        let mut element =
            Element { role: "StructTreeRoot".into(), alt: None, children: Vec::new(), content: 0 };
        self.kids(root, &mut element);
        element
    }

    fn kids(&self, dict: &BTreeMap<String, Value>, element: &mut Element) {
        let Some(kids) = dict.get("K") else { return };
        let kids = match self.resolve(kids) {
            Value::Array(kids) => kids.iter().collect(),
            other => vec![other],
        };
        for kid in kids {
            match self.resolve(kid) {
                Value::Dict(own) if own.contains_key("S") => {
                    let Some(Value::Name(role)) = own.get("S") else { panic!("a role is a name") };
                    let alt = match own.get("Alt").map(|alt| self.resolve(alt)) {
                        Some(Value::Text(text)) => Some(text.clone()),
                        _ => None,
                    };
                    let mut child = Element { role: role.clone(), alt, children: Vec::new(), content: 0 };
                    self.kids(own, &mut child);
                    element.children.push(child);
                }
                // A marked piece of content: its number alone, or a reference to it on a page.
                Value::Number(_) | Value::Dict(_) => element.content += 1,
                other => panic!("{other:?} is no part of a structure"),
            }
        }
    }
}

/// Reads which letters stand for which sign of a font: clause 9.10.3.
fn letters(map: &[u8]) -> BTreeMap<u16, String> {
    let map = String::from_utf8_lossy(map);
    let hex = |digits: &str| -> Vec<u16> {
        let digits = digits.as_bytes();
        let unit = |four: &[u8]| u16::from_str_radix(&String::from_utf8_lossy(four), 16).expect("digits");
        digits.chunks(4).map(unit).collect()
    };
    let mut letters = BTreeMap::new();
    let mut rest = map.as_ref();
    while let Some(at) = rest.find("beginbf") {
        let ranges = rest[at..].starts_with("beginbfrange");
        let end = at + rest[at..].find("endbf").expect("a list ends");
        let codes: Vec<Vec<u16>> = rest[at..end]
            .split('<')
            .skip(1)
            .map(|part| hex(part.split('>').next().unwrap_or_default()))
            .collect();
        for entry in codes.chunks(if ranges { 3 } else { 2 }) {
            let (from, to, text) = match entry {
                [from, to, text] => (from[0], to[0], text.clone()),
                [code, text] => (code[0], code[0], text.clone()),
                other => panic!("{other:?} is no entry of a list of letters"),
            };
            for code in from..=to {
                let mut text = text.clone();
                *text.last_mut().expect("a letter") += code - from;
                letters.insert(code, String::from_utf16_lossy(&text));
            }
        }
        rest = &rest[end + 5..];
    }
    letters
}

/// Reads the text of a page's contents; a piece is what is marked as belonging together.
fn written(contents: &[u8], fonts: &BTreeMap<String, BTreeMap<u16, String>>) -> Vec<String> {
    let mut reader = Reader { bytes: contents, at: 0 };
    let (mut operands, mut pieces) = (Vec::new(), Vec::new());
    let (mut whole, mut piece, mut font) = (String::new(), String::new(), None);
    let (mut in_text, mut backwards) = (false, false);
    // What is open, with the text that stands for what is inside.
    let mut open: Vec<Option<String>> = Vec::new();
    loop {
        reader.skip();
        let Some(byte) = contents.get(reader.at) else { return pieces };
        if !byte.is_ascii_alphabetic() && !b"'*\"".contains(byte) {
            operands.push(reader.value());
            continue;
        }
        let operator = reader.word();
        let mut show = |value: &Value| {
            let codes: Vec<char> = match value {
                Value::Text(text) => text.chars().collect(),
                _ => return,
            };
            if open.iter().any(Option::is_some) {
                return;
            }
            let font: &BTreeMap<u16, String> = font.expect("a font was chosen");
            let mut signs: Vec<&str> = codes
                .chunks(2)
                .map(|pair| font[&((pair[0] as u16) << 8 | pair[1] as u16)].as_str())
                .collect();
            if backwards {
                signs.reverse();
                piece = signs.concat() + &piece;
            } else {
                piece.push_str(&signs.concat());
            }
        };
        match operator.as_str() {
            "Tf" => {
                let Value::Name(name) = &operands[0] else { panic!("a font has a name") };
                font = Some(&fonts[name]);
            }
            "Tj" => show(&operands[0]),
            "TJ" => {
                let Value::Array(parts) = &operands[0] else { panic!("TJ shows a list") };
                parts.iter().for_each(show);
            }
            "BT" => (in_text, backwards) = (true, false),
            "BMC" => {
                let reversed = operands[0] == Value::Name("ReversedChars".into());
                backwards |= reversed;
                open.push(None);
            }
            "BDC" => {
                let stands_for = match operands.get(1) {
                    Some(Value::Dict(dict)) => match dict.get("ActualText") {
                        Some(Value::Text(text)) => Some(text.clone()),
                        _ => None,
                    },
                    _ => None,
                };
                open.push(stands_for);
            }
            "EMC" => {
                if let Some(Some(text)) = open.pop()
                    && !open.iter().any(Option::is_some)
                {
                    match (in_text, backwards) {
                        (false, _) => whole.push_str(&text),
                        (true, true) => piece = text + &piece,
                        (true, false) => piece.push_str(&text),
                    }
                }
                if open.is_empty() && !whole.is_empty() {
                    pieces.push(std::mem::take(&mut whole));
                }
            }
            "ET" => {
                in_text = false;
                whole.push_str(&std::mem::take(&mut piece));
            }
            _ => {}
        }
        operands.clear();
    }
}

fn find(bytes: &[u8], from: usize, wanted: &[u8]) -> Option<usize> {
    bytes[from.min(bytes.len())..]
        .windows(wanted.len())
        .position(|window| window == wanted)
        .map(|at| from + at)
}
