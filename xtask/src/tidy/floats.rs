//! The float functions that differ between platforms stay refused by clippy.

use super::{File, Problem};

/// Functions whose last digits depend on the platform's mathematical library.
const PLATFORM: &[&str] = &[
    "acos", "acosh", "asin", "asinh", "atan", "atan2", "atanh", "cbrt", "cos", "cosh", "exp", "exp2",
    "exp_m1", "hypot", "ln", "ln_1p", "log", "log10", "log2", "powf", "sin", "sin_cos", "sinh", "tan",
    "tanh",
];

/// Returns the functions that `clippy.toml` forgot, and lints that were switched off.
pub fn rule(files: &[File]) -> Vec<Problem> {
    let text = |path: &str| files.iter().find(|file| file.path == path).map_or("", |file| file.text.as_str());
    let bans = text("clippy.toml");
    let mut problems: Vec<Problem> = ["f32", "f64"]
        .iter()
        .flat_map(|float| PLATFORM.iter().map(move |name| format!("{float}::{name}")))
        .filter(|name| !bans.contains(&format!("\"{name}\"")))
        .map(|name| {
            Problem::new("clippy.toml", format!("{name} is not refused; it differs between platforms"))
        })
        .collect();
    if !text("Cargo.toml").contains("disallowed_methods = \"deny\"") {
        problems.push(Problem::new("Cargo.toml", "clippy's disallowed_methods is not denied"));
    }
    for file in files.iter().filter(|file| file.path.ends_with(".rs") && !file.path.starts_with("xtask/")) {
        for (index, line) in file.text.lines().enumerate() {
            let allows = line.contains("allow(") && line.contains("clippy::disallowed_methods");
            // Tests may compare with the platform; what ships may not.
            if allows && file.is_product_rust() {
                problems.push(Problem::at(&file.path, index + 1, "the float rule is switched off"));
            }
        }
    }
    problems
}

#[cfg(test)]
mod tests {
    use super::super::file;
    use super::*;

    fn good() -> [File; 2] {
        let bans: String = PLATFORM
            .iter()
            .map(|name| format!("{{ path = \"f64::{name}\" }}, {{ path = \"f32::{name}\" }},\n"))
            .collect();
        [file("clippy.toml", &bans), file("Cargo.toml", "disallowed_methods = \"deny\"")]
    }

    #[test]
    fn all_bans_in_place_pass() {
        assert_eq!(rule(&good()), []);
    }

    #[test]
    fn a_forgotten_function_is_found() {
        let mut files = good();
        files[0].text = files[0].text.replace("\"f64::exp\"", "\"f64::exq\"");
        assert_eq!(rule(&files).len(), 1);
    }

    #[test]
    fn a_switched_off_lint_is_found() {
        let [bans, manifest] = good();
        let bad = file("crates/science/src/a.rs", "#[allow(clippy::disallowed_methods)]\nfn a() {}\n");
        let test = file("crates/science/tests/a.rs", "#[allow(clippy::disallowed_methods)]\nfn a() {}\n");
        assert_eq!(rule(&[bans, manifest, bad, test]).len(), 1);
    }
}
