//! Does a stand-in hurdle fall easily when a foot hits it?
//!
//! A child who catches a foot on a hurdle must win: the hurdle goes over or its bar drops, and the foot goes on.
//! [`judge`] answers from mass and shape; [`from_push`] from what a teacher can do in a minute with one finger or
//! a spring scale. The rule, its reasons and its limits are in `docs/methods/topple.md`.

use lanewright_model::{Arg, Message};
use serde::{Deserialize, Serialize};

/// Standard gravity as the worked figures use it, in metres per second squared.
pub const GRAVITY_MPS2: f64 = 9.81;

/// Largest push at the height of the foot under which an obstacle must give, in newtons.
///
/// Engineering assumption: 38 % of the lowest published toppling weight of race hurdles for children
/// (2.7 kg, England Athletics equipment table), which stand more than twice as high and meet trained hurdlers.
/// No published figure for low training hurdles was found.
pub const PUSH_MAX_N: f64 = 10.0;

/// Largest mass of the part that moves, in kilograms (engineering assumption).
pub const MOVING_MASS_MAX_KG: f64 = 1.0;

/// Largest effective mass that the foot meets, in kilograms (engineering assumption).
pub const EFFECTIVE_MASS_MAX_KG: f64 = 0.4;

/// Below this push an obstacle may blow over outdoors, in newtons.
///
/// A wind of 10 m/s on 0.03 m² pushes with 1.44 N at the top edge (drag coefficient 1.2).
pub const WIND_PUSH_N: f64 = 1.5;

/// The push that one finger gives easily, in newtons (engineering assumption: upper end of the ideal range).
pub const FINGER_EASILY_N: f64 = 5.0;

/// Up to this mass the effective mass stays within its limit whatever the shape, as long as the thing is not
/// deeper than high and not top-heavy: an even box as deep as high has two thirds of its mass as effective mass.
pub const MASS_SAFE_WITHOUT_SHAPE_KG: f64 = 0.6;

/// Measured and computed push may differ by this factor before it is worth a word (engineering assumption).
const DISAGREE_FACTOR: f64 = 2.0;

/// Limits hold to within this share, so that a figure that equals its limit passes whatever the last digit says.
const ROUNDING: f64 = 1e-9;

/// A stand-in hurdle: one piece that stands on the floor.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Object {
    /// Mass of the part that moves, in kilograms.
    pub mass_kg: f64,
    /// Height at which the foot hits, usually the top edge, in metres.
    pub height_m: f64,
    /// Centre of mass to the edge over which it tips, on the floor, in metres. The far edge as the runner comes.
    pub half_depth_m: f64,
    /// Height of the centre of mass, in metres.
    pub centre_height_m: f64,
    /// Friction between the thing and the floor: push that slides it over its weight.
    pub friction: f64,
}

/// A bar that rests on two supports and is tied to neither.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RestingBar {
    /// Mass of the bar, in kilograms.
    pub mass_kg: f64,
    /// Friction between bar and support.
    pub friction: f64,
    /// Slope of the lip that the bar must climb to come off, in radians; 0 on a flat top. Below a quarter turn.
    pub lip_rad: f64,
}

/// A number out of its range.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{field} is {provided}; allowed is {allowed}")]
pub struct ToppleError {
    /// The field.
    pub field: &'static str,
    /// What stood there.
    pub provided: f64,
    /// What may stand there.
    pub allowed: &'static str,
}

/// What happens first under a growing push.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum First {
    /// It tips over.
    Tips,
    /// It slides away.
    Slides,
    /// Tipping and sliding need the same push.
    Either,
    /// The bar comes off its supports.
    BarFalls,
    /// It moves, and how was not said.
    Moves,
}

/// The answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// All limits are kept.
    FallsEasily,
    /// A limit is broken: do not use it.
    TooFirm,
    /// Something must be weighed or measured first.
    NotEnoughKnown,
}

/// Whether a stand-in falls easily, with the figures behind it.
///
/// The serialised form is the output of `lanewright topple --json`; its format page is `docs/formats/topple.md`.
/// A figure that is not known is absent (`null`).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Topple {
    /// Steady push at the height of the foot that tips it, in newtons.
    pub tip_force_n: Option<f64>,
    /// Steady push that slides it (or draws a resting bar off its supports), in newtons.
    pub slide_force_n: Option<f64>,
    /// Work that brings it to the point of balance, in joules.
    pub tip_energy_j: Option<f64>,
    /// Mass that the foot feels when it hits, in kilograms.
    pub effective_mass_kg: Option<f64>,
    /// What happens first.
    pub first: First,
    /// The answer.
    pub verdict: Verdict,
    /// The reasons, the deciding one first.
    pub why: Vec<Message>,
    /// What stands with every verdict.
    pub cautions: Vec<Message>,
    /// The push that was measured by hand, in newtons, when one was.
    pub measured_force_n: Option<f64>,
}

/// A push at the top, as a teacher can try it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "push", content = "value", rename_all = "kebab-case")]
pub enum Push {
    /// A spring scale that reads newtons.
    Newtons(f64),
    /// A luggage or kitchen scale that reads grams.
    Grams(f64),
    /// One finger.
    OneFinger(Finger),
}

/// How one finger at the top fared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Finger {
    /// One finger moves it easily.
    Easily,
    /// It takes the whole hand.
    NeedsHand,
    /// It hardly moves.
    Hardly,
}

impl Object {
    /// Checks that every number is one that a stand-in can have.
    ///
    /// # Errors
    /// Names the number, what stood there and what may.
    pub fn check(&self) -> Result<(), ToppleError> {
        let range = |field, provided: f64, low: f64, high: f64, allowed| {
            // Written so that a number that is none (NaN) is refused as well.
            if provided >= low && provided <= high {
                Ok(())
            } else {
                Err(ToppleError { field, provided, allowed })
            }
        };
        range("mass_kg", self.mass_kg, 0.01, 200.0, "0.01 to 200 kg")?;
        range("height_m", self.height_m, 0.02, 2.0, "0.02 to 2 m")?;
        range("half_depth_m", self.half_depth_m, 0.0, 2.0, "0 to 2 m")?;
        range("centre_height_m", self.centre_height_m, 0.0, 2.0, "0 to 2 m")?;
        range("friction", self.friction, 0.01, 2.0, "0.01 to 2")
    }

    /// Returns the steady push at the height of the foot that tips it, in newtons.
    ///
    /// # Formula
    /// m g b / H, from the moments about the far edge.
    pub fn tip_force_n(&self) -> f64 {
        self.mass_kg * GRAVITY_MPS2 * self.half_depth_m / self.height_m
    }

    /// Returns the steady push that slides it, in newtons: friction times weight.
    pub fn slide_force_n(&self) -> f64 {
        self.friction * self.mass_kg * GRAVITY_MPS2
    }

    /// Returns the work that lifts its centre of mass over the far edge, in joules.
    ///
    /// # Formula
    /// m g (√(b² + h²) − h)
    pub fn tip_energy_j(&self) -> f64 {
        self.mass_kg * GRAVITY_MPS2 * (self.arm_m() - self.centre_height_m)
    }

    /// Returns the mass that a foot feels at the height where it hits, in kilograms.
    ///
    /// # Formula
    /// I / H² with the moment of inertia about the far edge I = 4/3 m (b² + h²): the mass is taken as spread
    /// evenly over an upright rectangle of depth 2 b and height 2 h (engineering assumption; exact for a box).
    pub fn effective_mass_kg(&self) -> f64 {
        4.0 / 3.0 * self.mass_kg * (self.arm_m() / self.height_m).powi(2)
    }

    /// Returns the least impulse at the height of the foot that tips it, in newton seconds.
    ///
    /// # Formula
    /// √(2 I E) / H = √(2 m_eff E)
    pub fn tip_impulse_ns(&self) -> f64 {
        (2.0 * self.effective_mass_kg() * self.tip_energy_j()).sqrt()
    }

    fn arm_m(&self) -> f64 {
        libm::hypot(self.half_depth_m, self.centre_height_m)
    }
}

impl RestingBar {
    /// Returns the push that draws the bar over its lip, in newtons.
    ///
    /// # Formula
    /// m g (tan α + μ) / (1 − μ tan α); infinite where the lip holds the bar whatever the push.
    pub fn release_force_n(&self) -> f64 {
        let slope = libm::tan(self.lip_rad);
        let holds = 1.0 - self.friction * slope;
        if holds <= 0.0 {
            return f64::INFINITY;
        }
        self.mass_kg * GRAVITY_MPS2 * (slope + self.friction) / holds
    }
}

/// Judges a stand-in from its mass and shape.
///
/// Numbers outside the range of [`Object::check`] give [`Verdict::NotEnoughKnown`] and say so.
pub fn judge(object: &Object) -> Topple {
    if object.check().is_err() {
        return answer(First::Moves, Figures::default(), None, vec![Message::new("topple-numbers")]);
    }
    let figures = Figures::of(object);
    let tip_force_n = object.tip_force_n();
    let slide_force_n = object.slide_force_n();
    let first = if (tip_force_n - slide_force_n).abs() <= ROUNDING * slide_force_n {
        First::Either
    } else if tip_force_n < slide_force_n {
        First::Tips
    } else {
        First::Slides
    };
    let mut reasons = Reasons::default();
    reasons.push(tip_force_n.min(slide_force_n), first);
    reasons.mass(object.mass_kg);
    reasons.effective(object.effective_mass_kg());
    if first != First::Tips {
        reasons.notes.push(Message::new("topple-slides"));
    }
    reasons.finish(first, figures, None)
}

/// Judges a bar that rests on two supports: the bar is all that moves.
pub fn judge_resting_bar(bar: &RestingBar) -> Topple {
    let in_range = bar.mass_kg > 0.0
        && bar.mass_kg <= 200.0
        && (0.01..=2.0).contains(&bar.friction)
        && (0.0..std::f64::consts::FRAC_PI_2).contains(&bar.lip_rad);
    if !in_range {
        return answer(First::BarFalls, Figures::default(), None, vec![Message::new("topple-numbers")]);
    }
    let force_n = bar.release_force_n();
    let figures = Figures {
        slide: force_n.is_finite().then_some(force_n),
        effective: Some(bar.mass_kg),
        ..Default::default()
    };
    let mut reasons = Reasons::default();
    reasons.push(force_n, First::BarFalls);
    reasons.mass(bar.mass_kg);
    reasons.effective(bar.mass_kg);
    reasons.finish(First::BarFalls, figures, None)
}

/// Judges a stand-in from a push at its top, with its mass and shape as far as they are known.
///
/// The push that was tried outranks the one computed from the shape. Without a shape, a mass above
/// [`MASS_SAFE_WITHOUT_SHAPE_KG`] asks for one; without a mass the answer is [`Verdict::NotEnoughKnown`] at best,
/// because a heavy thing can tip at a small steady push and still hit hard.
pub fn from_push(push: Push, mass_kg: Option<f64>, shape: Option<&Object>) -> Topple {
    let shape = shape.filter(|object| object.check().is_ok());
    let mass_kg = shape.map(|object| object.mass_kg).or(mass_kg).filter(|mass| *mass > 0.0);
    let measured_n = match push {
        Push::Newtons(force_newtons) => Some(force_newtons),
        Push::Grams(grams) => Some(grams / 1000.0 * GRAVITY_MPS2),
        Push::OneFinger(_) => None,
    };
    if measured_n.is_some_and(|force| !force.is_finite() || force <= 0.0) {
        return answer(First::Moves, Figures::default(), None, vec![Message::new("topple-numbers")]);
    }
    let mut reasons = Reasons::default();
    match push {
        Push::OneFinger(Finger::Easily) => reasons.kept.push(Message::new("topple-finger-easily")),
        Push::OneFinger(Finger::NeedsHand) => reasons.broken.push(Message::new("topple-finger-hand")),
        Push::OneFinger(Finger::Hardly) => reasons.broken.push(Message::new("topple-finger-hardly")),
        Push::Newtons(_) | Push::Grams(_) => reasons.push(measured_n.unwrap_or(f64::INFINITY), First::Moves),
    }
    match mass_kg {
        Some(mass_kg) => reasons.mass(mass_kg),
        None => reasons.open.push(Message::new("topple-weigh")),
    }
    let Some(object) = shape else {
        if mass_kg.is_some_and(|mass| mass > MASS_SAFE_WITHOUT_SHAPE_KG * (1.0 + ROUNDING)) {
            reasons.open.push(Message::new("topple-shape"));
        } else if mass_kg.is_some() {
            reasons.notes.push(Message::new("topple-shape-usual"));
        }
        return reasons.finish(First::Moves, Figures::default(), measured_n);
    };
    let computed = judge(object);
    reasons.effective(object.effective_mass_kg());
    let computed_n = object.tip_force_n().min(object.slide_force_n());
    let tried_n = match push {
        Push::OneFinger(Finger::Easily) => (computed_n > PUSH_MAX_N).then_some(FINGER_EASILY_N),
        Push::OneFinger(_) => (computed_n < FINGER_EASILY_N).then_some(PUSH_MAX_N),
        Push::Newtons(_) | Push::Grams(_) => measured_n,
    };
    if let Some(tried_n) = tried_n {
        let ratio = tried_n / computed_n;
        if !(1.0 / DISAGREE_FACTOR..=DISAGREE_FACTOR).contains(&ratio) {
            reasons.notes.push(Message::new("topple-disagree").with("force", Arg::ForceN(computed_n)));
        }
    }
    if computed.first != First::Tips {
        reasons.notes.push(Message::new("topple-slides"));
    }
    reasons.finish(computed.first, Figures::of(object), measured_n)
}

/// What is known in numbers.
#[derive(Default)]
struct Figures {
    tip: Option<f64>,
    slide: Option<f64>,
    energy: Option<f64>,
    effective: Option<f64>,
}

impl Figures {
    fn of(object: &Object) -> Self {
        Self {
            tip: Some(object.tip_force_n()),
            slide: Some(object.slide_force_n()),
            energy: Some(object.tip_energy_j()),
            effective: Some(object.effective_mass_kg()),
        }
    }
}

/// Reasons by what they do to the verdict.
#[derive(Default)]
struct Reasons {
    broken: Vec<Message>,
    open: Vec<Message>,
    kept: Vec<Message>,
    notes: Vec<Message>,
}

impl Reasons {
    fn push(&mut self, force_newtons: f64, first: First) {
        let limit = Arg::ForceN(PUSH_MAX_N);
        if force_newtons.is_infinite() {
            self.broken.push(Message::new("topple-bar-held"));
        } else if force_newtons <= PUSH_MAX_N * (1.0 + ROUNDING) {
            let id = match first {
                First::Slides => "topple-push-slides",
                First::Moves => "topple-push-moves",
                First::BarFalls => "topple-push-bar",
                First::Tips | First::Either => "topple-push-tips",
            };
            self.kept.push(Message::new(id).with("force", Arg::ForceN(force_newtons)));
            if force_newtons < WIND_PUSH_N {
                self.notes.push(Message::new("topple-blows-over"));
            }
        } else {
            self.broken.push(
                Message::new("topple-push-high")
                    .with("force", Arg::ForceN(force_newtons))
                    .with("limit", limit),
            );
        }
    }

    fn mass(&mut self, mass_kg: f64) {
        if mass_kg > MOVING_MASS_MAX_KG * (1.0 + ROUNDING) {
            self.broken.push(
                Message::new("topple-mass-high")
                    .with("mass", Arg::Number(mass_kg))
                    .with("limit", Arg::Number(MOVING_MASS_MAX_KG)),
            );
        } else {
            self.kept.push(Message::new("topple-mass-low").with("mass", Arg::Number(mass_kg)));
        }
    }

    fn effective(&mut self, mass_kg: f64) {
        if mass_kg > EFFECTIVE_MASS_MAX_KG * (1.0 + ROUNDING) {
            self.broken.push(
                Message::new("topple-hits-hard")
                    .with("mass", Arg::Number(mass_kg))
                    .with("limit", Arg::Number(EFFECTIVE_MASS_MAX_KG)),
            );
        } else {
            self.kept.push(Message::new("topple-hits-soft").with("mass", Arg::Number(mass_kg)));
        }
    }

    fn finish(self, first: First, figures: Figures, measured_n: Option<f64>) -> Topple {
        let verdict = match (self.broken.is_empty(), self.open.is_empty()) {
            (false, _) => Verdict::TooFirm,
            (true, false) => Verdict::NotEnoughKnown,
            (true, true) => Verdict::FallsEasily,
        };
        // A broken limit is not softened by those that are kept.
        let mut why = self.broken;
        if verdict != Verdict::TooFirm {
            why.extend(self.open);
            why.extend(self.kept);
        }
        why.extend(self.notes);
        let mut topple = answer(first, figures, measured_n, why);
        topple.verdict = verdict;
        topple
    }
}

fn answer(first: First, figures: Figures, measured_n: Option<f64>, why: Vec<Message>) -> Topple {
    Topple {
        tip_force_n: figures.tip,
        slide_force_n: figures.slide,
        tip_energy_j: figures.energy,
        effective_mass_kg: figures.effective,
        first,
        verdict: Verdict::NotEnoughKnown,
        why,
        cautions: ["topple-caution-try", "topple-caution-parts", "topple-caution-rules"]
            .map(Message::new)
            .to_vec(),
        measured_force_n: measured_n,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn box_of(mass_kg: f64, depth_m: f64) -> Object {
        Object { mass_kg, height_m: 0.3, half_depth_m: depth_m / 2.0, centre_height_m: 0.15, friction: 0.4 }
    }

    fn ids(topple: &Topple) -> Vec<&str> {
        topple.why.iter().map(|message| message.id.as_str()).collect()
    }

    #[test]
    fn cautions_stand_with_every_verdict() {
        for topple in [
            judge(&box_of(0.6, 0.2)),
            judge(&box_of(5.0, 0.3)),
            judge(&box_of(f64::NAN, 0.3)),
            from_push(Push::OneFinger(Finger::Easily), None, None),
            judge_resting_bar(&RestingBar { mass_kg: 0.15, friction: 0.4, lip_rad: 0.0 }),
        ] {
            assert_eq!(topple.cautions.len(), 3, "{topple:?}");
        }
    }

    #[test]
    fn numbers_that_no_stand_in_has_give_no_verdict() {
        for object in [
            Object { mass_kg: f64::NAN, ..box_of(0.6, 0.2) },
            Object { height_m: 0.0, ..box_of(0.6, 0.2) },
            Object { friction: -0.4, ..box_of(0.6, 0.2) },
        ] {
            assert!(object.check().is_err());
            assert_eq!(judge(&object).verdict, Verdict::NotEnoughKnown);
        }
        assert_eq!(from_push(Push::Newtons(f64::NAN), Some(0.3), None).verdict, Verdict::NotEnoughKnown);
        assert_eq!(from_push(Push::Grams(-20.0), Some(0.3), None).verdict, Verdict::NotEnoughKnown);
    }

    #[test]
    fn one_finger_and_a_light_thing_is_enough() {
        let topple = from_push(Push::OneFinger(Finger::Easily), Some(0.4), None);
        assert_eq!(topple.verdict, Verdict::FallsEasily);
        assert_eq!(ids(&topple), ["topple-finger-easily", "topple-mass-low", "topple-shape-usual"]);
    }

    #[test]
    fn one_finger_alone_asks_for_the_scales() {
        let topple = from_push(Push::OneFinger(Finger::Easily), None, None);
        assert_eq!(topple.verdict, Verdict::NotEnoughKnown);
        assert_eq!(ids(&topple)[0], "topple-weigh");
    }

    #[test]
    fn a_middling_mass_asks_for_the_shape_and_gets_its_answer_from_it() {
        let push = Push::Newtons(3.0);
        let topple = from_push(push, Some(0.8), None);
        assert_eq!((topple.verdict, ids(&topple)[0]), (Verdict::NotEnoughKnown, "topple-shape"));
        assert_eq!(from_push(push, None, Some(&box_of(0.8, 0.2))).verdict, Verdict::FallsEasily);
        assert_eq!(from_push(push, None, Some(&box_of(0.8, 0.3))).verdict, Verdict::TooFirm);
    }

    #[test]
    fn what_needs_a_hand_is_too_firm_however_light() {
        for finger in [Finger::NeedsHand, Finger::Hardly] {
            assert_eq!(from_push(Push::OneFinger(finger), Some(0.2), None).verdict, Verdict::TooFirm);
        }
    }

    #[test]
    fn a_push_in_grams_equals_the_same_push_in_newtons() {
        let grams = from_push(Push::Grams(1000.0), Some(0.3), None);
        let newtons = from_push(Push::Newtons(9.81), Some(0.3), None);
        assert_eq!(grams, newtons);
    }

    #[test]
    fn the_push_that_was_tried_outranks_the_figures_and_the_contradiction_is_said() {
        let light = box_of(0.5, 0.2);
        let topple = from_push(Push::Newtons(14.0), None, Some(&light));
        assert_eq!(topple.verdict, Verdict::TooFirm);
        assert!(ids(&topple).contains(&"topple-disagree"), "{topple:?}");
        let agreeing = from_push(Push::Newtons(1.7), None, Some(&light));
        assert!(!ids(&agreeing).contains(&"topple-disagree"), "{agreeing:?}");
    }

    #[test]
    fn a_lip_too_steep_for_the_bar_is_too_firm() {
        let bar = RestingBar { mass_kg: 0.15, friction: 0.4, lip_rad: 1.4 };
        let topple = judge_resting_bar(&bar);
        assert_eq!((topple.verdict, ids(&topple)[0]), (Verdict::TooFirm, "topple-bar-held"));
    }

    proptest! {
        #[test]
        fn a_heavier_thing_of_the_same_shape_never_falls_more_easily(
            mass_kg in 0.02_f64..3.0, more in 1.0_f64..3.0, depth_m in 0.02_f64..0.6, friction in 0.1_f64..1.0,
        ) {
            let light = Object { friction, ..box_of(mass_kg, depth_m) };
            let heavy = Object { mass_kg: mass_kg * more, ..light };
            prop_assert!(
                judge(&light).verdict == Verdict::FallsEasily || judge(&heavy).verdict == Verdict::TooFirm
            );
        }

        #[test]
        fn what_passes_keeps_every_limit(
            mass_kg in 0.02_f64..3.0, depth_m in 0.0_f64..0.6, height_m in 0.1_f64..0.5,
            centre_height_m in 0.0_f64..0.4, friction in 0.1_f64..1.0,
        ) {
            let object = Object { mass_kg, height_m, half_depth_m: depth_m / 2.0, centre_height_m, friction };
            let keeps = object.tip_force_n().min(object.slide_force_n()) <= PUSH_MAX_N * (1.0 + ROUNDING)
                && mass_kg <= MOVING_MASS_MAX_KG * (1.0 + ROUNDING)
                && object.effective_mass_kg() <= EFFECTIVE_MASS_MAX_KG * (1.0 + ROUNDING);
            prop_assert_eq!(judge(&object).verdict == Verdict::FallsEasily, keeps);
        }
    }
}
