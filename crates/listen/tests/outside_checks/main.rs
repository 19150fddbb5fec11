//! Parts of the listener against what SciPy, NumPy and librosa gave on the same samples. Their answers are kept in
//! `bench/reference/sound.json`, with the versions that gave them; `cargo xtask bench sound --keep` writes them anew.

use serde_json::Value;

#[path = "../../examples/cases/mod.rs"]
mod cases;

#[test]
fn spectrum_filters_rising_energy_and_order_statistics_equal_general_libraries() {
    let stored: Value =
        serde_json::from_str(include_str!("../../../../bench/reference/sound.json")).expect("JSON");
    let answers = stored["cases"].as_array().expect("a list");
    let parts = cases::parts();
    assert_eq!(answers.len(), parts.len());
    for (answer, case) in answers.iter().zip(parts) {
        assert_eq!(answer["case"], case.name.as_str());
        assert_eq!(answer["seed"].as_u64(), case.seed);
        assert!(case.input.is_object(), "{}: the reference is given the problem itself", case.name);
        let ours = case.solve();
        for (field, theirs) in answer["result"].as_object().expect("fields") {
            let numbers = |value: &Value| -> Vec<f64> {
                match value {
                    Value::Array(list) => list.iter().map(|x| x.as_f64().expect("a number")).collect(),
                    one => vec![one.as_f64().expect("a number")],
                }
            };
            let (theirs, ours) = (numbers(theirs), numbers(&ours[field]));
            assert_eq!(theirs.len(), ours.len(), "{}: {field}", case.name);
            for (place, (a, b)) in ours.iter().zip(&theirs).enumerate() {
                // Spectra and powers are kept in single precision.
                let room = 1e-5 * a.abs().max(b.abs()).max(1.0);
                assert!((a - b).abs() <= room, "{}: {field}[{place}] is {a}, not {b}", case.name);
            }
        }
    }
}
