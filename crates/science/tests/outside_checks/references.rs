//! Our results against those that general libraries gave on the same data. Their answers are kept in
//! `bench/reference`, with the versions that gave them; `cargo xtask bench --keep` writes them anew.

use serde_json::Value;

#[path = "../../examples/cases/mod.rs"]
mod cases;

use cases::Case;

const PINS: &str = include_str!("../../../../bench/requirements.txt");

/// Compares every number of our results with the stored one, up to a share of the larger, at least of 1.
fn equal_to(stored: &str, cases: Vec<Case>, tolerance: f64) {
    let stored: Value = serde_json::from_str(stored).unwrap();
    let answers = stored["cases"].as_array().unwrap();
    assert_eq!(answers.len(), cases.len());
    for (answer, case) in answers.iter().zip(cases) {
        assert_eq!(answer["case"], case.name.as_str());
        assert_eq!(answer["seed"].as_u64(), case.seed, "{}", case.name);
        assert!(case.input.is_object(), "{}: the reference is given the problem itself", case.name);
        let ours = case.solve();
        let fields = answer["result"].as_object().unwrap();
        assert_eq!(fields.len(), ours.as_object().unwrap().len(), "{}", case.name);
        for (field, theirs) in fields {
            let list = |value: &Value| match value {
                Value::Array(list) => list.iter().map(|value| value.as_f64().unwrap()).collect(),
                number => vec![number.as_f64().unwrap()],
            };
            let (theirs, ours): (Vec<f64>, Vec<f64>) = (list(theirs), list(&ours[field]));
            assert_eq!(theirs.len(), ours.len(), "{}: {field}", case.name);
            for (place, (a, b)) in ours.iter().zip(&theirs).enumerate() {
                let scale = a.abs().max(b.abs()).max(1.0);
                assert!(
                    (a - b).abs() <= tolerance * scale,
                    "{}: {field}[{place}] is {a}, not {b}",
                    case.name
                );
            }
        }
    }
}

/// hmmlearn, CategoricalHMM: log likelihoods, and the chance of each place to be broken.
#[test]
fn the_chain_along_the_lane_equals_hmmlearn() {
    equal_to(include_str!("../../../../bench/reference/chain.json"), cases::chains(), 1e-9);
}

/// scikit-learn, LogisticRegression with a normal prior; NumPy for the spread.
#[test]
fn effects_and_their_spread_equal_scikit_learn() {
    equal_to(include_str!("../../../../bench/reference/causes.json"), cases::causes(), 1e-8);
}

/// SciPy: beta distributions and score intervals.
#[test]
fn plain_proportions_equal_scipy() {
    equal_to(include_str!("../../../../bench/reference/proportions.json"), cases::proportions(), 1e-9);
}

/// SciPy, least_squares on times with the exact inverse by Lambert's W: curves, residual and standard errors.
#[test]
fn speed_curves_equal_scipy() {
    equal_to(include_str!("../../../../bench/reference/sprint.json"), cases::sprints(), 1e-6);
    // The live comparison has ten thousand; here it only has to be the same problem.
    assert_eq!(cases::many_sprints()[0].input["time_s"].as_array().map(Vec::len), Some(10_000));
}

#[test]
fn stored_answers_come_from_the_pinned_versions() {
    for (stored, library) in [
        (include_str!("../../../../bench/reference/chain.json"), "hmmlearn"),
        (include_str!("../../../../bench/reference/causes.json"), "scikit-learn"),
        (include_str!("../../../../bench/reference/proportions.json"), "scipy"),
        (include_str!("../../../../bench/reference/sprint.json"), "scipy"),
    ] {
        let stored: Value = serde_json::from_str(stored).unwrap();
        let version = stored["versions"][library].as_str().unwrap();
        assert!(PINS.lines().any(|line| line == format!("{library}=={version}")), "{library} {version}");
    }
}
