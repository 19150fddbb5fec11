//! A small reader of PDF objects, for looking at what was really written: objects, references, the structure tree.
//!
//! It reads what ISO 32000-1:2008 says of objects in clause 7.3 and of structure in 14.7, as far as these files use it.
#![allow(dead_code, reason = "each test file uses its part")]

use std::collections::BTreeMap;

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

/// All objects of a file by number. Streams keep their dictionary only.
pub struct File {
    pub objects: BTreeMap<u32, Value>,
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
                reader.at += "stream".len() + *length as usize;
                reader.at = find(bytes, reader.at, b"endobj").expect("an object ends");
            }
            objects.insert(number, value);
        }
        Self { objects }
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

fn find(bytes: &[u8], from: usize, wanted: &[u8]) -> Option<usize> {
    bytes[from.min(bytes.len())..]
        .windows(wanted.len())
        .position(|window| window == wanted)
        .map(|at| from + at)
}
