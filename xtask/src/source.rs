//! Just enough of Rust's grammar to look at a file: what is code, what is text, what is test.

/// A string literal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Literal {
    /// Line, from 1.
    pub line: usize,
    /// Its text, escapes undone where they matter.
    pub text: String,
    /// The code right before it, without spaces, at most [`BEFORE`] signs.
    pub before: String,
}

/// How much code is kept before a literal.
const BEFORE: usize = 48;

/// A Rust file, taken apart.
#[derive(Debug, Default)]
pub struct Source {
    /// The code of each line, without comments and without what stands in strings.
    pub code: Vec<String>,
    /// The string literals.
    pub literals: Vec<Literal>,
    /// Whether each line belongs to an item under `#[cfg(test)]`.
    pub test: Vec<bool>,
}

impl Source {
    /// Takes a file apart.
    pub fn read(text: &str) -> Self {
        let signs: Vec<char> = text.chars().collect();
        let mut source = Self { code: vec![String::new()], ..Self::default() };
        let mut before = String::new();
        let mut at = 0;
        while at < signs.len() {
            let sign = signs[at];
            let next = signs.get(at + 1).copied().unwrap_or(' ');
            if sign == '/' && next == '/' {
                while at < signs.len() && signs[at] != '\n' {
                    at += 1;
                }
            } else if sign == '/' && next == '*' {
                at = source.skip_block_comment(&signs, at);
            } else if let Some((open, hashes)) = raw_string(&signs, at, &before) {
                at = source.take_string(&signs, open, Some(hashes), &mut before);
            } else if sign == '"' {
                at = source.take_string(&signs, at + 1, None, &mut before);
            } else if sign == '\'' {
                let length = char_literal(&signs[at..]);
                source.push("'", &mut before);
                at += length;
            } else {
                if sign == '\n' {
                    source.code.push(String::new());
                } else {
                    source.push(sign.encode_utf8(&mut [0; 4]), &mut before);
                }
                at += 1;
            }
        }
        source.mark_tests();
        source
    }

    /// Returns the lines of code that are no tests, with their numbers from 1.
    pub fn product_lines(&self) -> impl Iterator<Item = (usize, &str)> {
        self.code
            .iter()
            .zip(&self.test)
            .enumerate()
            .filter(|(_, (_, test))| !**test)
            .map(|(index, (code, _))| (index + 1, code.as_str()))
    }

    /// Returns the literals that stand in no test.
    pub fn product_literals(&self) -> impl Iterator<Item = &Literal> {
        self.literals.iter().filter(|literal| !self.test[literal.line - 1])
    }

    fn push(&mut self, text: &str, before: &mut String) {
        self.code.last_mut().expect("there is a line").push_str(text);
        if !text.trim().is_empty() {
            before.push_str(text);
            while before.chars().count() > BEFORE {
                before.remove(0);
            }
        }
    }

    fn skip_block_comment(&mut self, signs: &[char], mut at: usize) -> usize {
        let mut depth = 0;
        while at < signs.len() {
            match (signs[at], signs.get(at + 1)) {
                ('/', Some('*')) => (depth, at) = (depth + 1, at + 2),
                ('*', Some('/')) => (depth, at) = (depth - 1, at + 2),
                ('\n', _) => {
                    self.code.push(String::new());
                    at += 1;
                }
                _ => at += 1,
            }
            if depth == 0 {
                break;
            }
        }
        at
    }

    /// Takes a string whose content starts at `at`; `hashes` is `None` for an ordinary one.
    fn take_string(
        &mut self,
        signs: &[char],
        mut at: usize,
        hashes: Option<usize>,
        before: &mut String,
    ) -> usize {
        let line = self.code.len();
        let mut text = String::new();
        while at < signs.len() {
            let sign = signs[at];
            match hashes {
                None if sign == '\\' => {
                    match signs.get(at + 1) {
                        Some('n') => text.push('\n'),
                        Some('\n') => {
                            self.code.push(String::new());
                            while signs.get(at + 2).is_some_and(|sign| sign.is_whitespace()) {
                                if signs[at + 2] == '\n' {
                                    self.code.push(String::new());
                                }
                                at += 1;
                            }
                        }
                        Some(other) => text.push(*other),
                        None => {}
                    }
                    at += 2;
                    continue;
                }
                None if sign == '"' => {
                    at += 1;
                    break;
                }
                Some(hashes)
                    if sign == '"'
                        && signs[at + 1..].iter().take_while(|sign| **sign == '#').count() >= hashes =>
                {
                    at += 1 + hashes;
                    break;
                }
                _ => {}
            }
            text.push(sign);
            if sign == '\n' {
                self.code.push(String::new());
            }
            at += 1;
        }
        self.literals.push(Literal { line, text, before: before.clone() });
        self.push("\"\"", before);
        at
    }

    /// Marks each item that follows `#[cfg(test)]`, to its closing brace or semicolon.
    fn mark_tests(&mut self) {
        self.test = vec![false; self.code.len()];
        let mut line = 0;
        while line < self.code.len() {
            let Some(column) = self.code[line].find("#[cfg(test)]") else {
                line += 1;
                continue;
            };
            let mut depth = 0;
            let mut from = column + "#[cfg(test)]".len();
            'item: while line < self.code.len() {
                self.test[line] = true;
                for sign in self.code[line][from..].chars() {
                    match sign {
                        '{' => depth += 1,
                        '}' => depth -= 1,
                        _ => {}
                    }
                    if depth == 0 && matches!(sign, '}' | ';') {
                        break 'item;
                    }
                }
                from = 0;
                line += 1;
            }
            line += 1;
        }
    }
}

/// Returns where the content of a raw string starts and how many hashes close it.
fn raw_string(signs: &[char], at: usize, before: &str) -> Option<(usize, usize)> {
    let glued = at > 0 && before.ends_with(|sign: char| sign.is_alphanumeric() || sign == '_');
    let starts_word = !glued || !(signs[at - 1].is_alphanumeric() || signs[at - 1] == '_');
    let mut open = at;
    if matches!(signs[open], 'b' | 'c') {
        open += 1;
    }
    if !starts_word || signs.get(open) != Some(&'r') {
        return None;
    }
    let hashes = signs[open + 1..].iter().take_while(|sign| **sign == '#').count();
    (signs.get(open + 1 + hashes) == Some(&'"')).then_some((open + hashes + 2, hashes))
}

/// Returns the length of a char literal, or 1 where the quote starts a lifetime.
fn char_literal(signs: &[char]) -> usize {
    match signs {
        ['\'', '\\', ..] => {
            signs[3.min(signs.len())..].iter().position(|sign| *sign == '\'').map_or(1, |more| more + 4)
        }
        ['\'', _, '\'', ..] => 3,
        _ => 1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_and_strings_are_no_code() {
        let source =
            Source::read("let a = \"std::fs\"; // std::fs\n/* std::fs\n */ let b = r#\"x\"y\"#; 'c'; '\"';");
        assert!(source.code.iter().all(|line| !line.contains("std::fs")), "{:?}", source.code);
        assert_eq!(source.code.len(), 3);
        let texts: Vec<&str> = source.literals.iter().map(|literal| literal.text.as_str()).collect();
        assert_eq!(texts, ["std::fs", "x\"y"]);
    }

    #[test]
    fn the_call_before_a_literal_is_kept() {
        let source = Source::read("let a = Message::new(\n    \"too-long\",\n);");
        assert!(source.literals[0].before.ends_with("Message::new("));
        assert_eq!(source.literals[0].line, 2);
    }

    #[test]
    fn test_items_are_marked_to_their_end() {
        let text = "fn a() {}\n#[cfg(test)]\nmod tests {\n    fn b() { let c = '{'; }\n}\nfn d() {}\n";
        let source = Source::read(text);
        let lines: Vec<usize> = source.product_lines().map(|(line, _)| line).collect();
        assert_eq!(lines, [1, 6, 7]);
    }

    #[test]
    fn lifetimes_and_escapes_do_not_open_strings() {
        let source = Source::read("fn a<'a>(b: &'a str) -> char { '\\'' } // end\nlet c = \"a\\\"b\";");
        assert_eq!(source.literals.len(), 1);
        assert_eq!(source.literals[0].text, "a\"b");
    }

    #[test]
    fn lines_stay_lines_in_broken_strings() {
        let source = Source::read("let a = \"one \\\n    two\";\nlet b = \"three\";");
        assert_eq!(source.literals[0].text, "one two");
        assert_eq!(source.literals[1].line, 3);
    }
}
