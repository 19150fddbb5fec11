//! Hurdle height for a child's leg.

use lanewright_model::Estimate;
use lanewright_model::words::{Arg, Message};

/// Highest hurdle as a share of sub-ischial leg length. Studies of stepping over stop at 0.30; 30 cm is 0.50 of the
/// leg at 8 years and 0.41 at 12. Engineering assumption between the two.
pub const HEIGHT_RATIO_MAX: f64 = 0.45;

/// Returns the hurdle height in centimetres that suits a leg, and what to tell the teacher when it is not the one
/// wanted.
///
/// `wanted_height_cm` is what the lane would have, `heights` what else there is, in centimetres; a line on the floor
/// (0) is always there. A height fits when it is at most 0.45 of leg length. If the wanted one does not fit, the
/// answer is the highest lower one that does.
pub fn hurdle_height_cm(
    leg_length_m: &Estimate,
    wanted_height_cm: f64,
    heights: &[f64],
) -> (f64, Option<Message>) {
    let leg_cm = 100.0 * leg_length_m.median;
    if wanted_height_cm <= HEIGHT_RATIO_MAX * leg_cm {
        return (wanted_height_cm, None);
    }
    let lower_cm = heights
        .iter()
        .copied()
        .filter(|height_cm| *height_cm < wanted_height_cm && *height_cm <= HEIGHT_RATIO_MAX * leg_cm)
        .fold(0.0, f64::max);
    let message = if lower_cm > 0.0 {
        Message::new("stride-hurdle-lower").with("height", Arg::HeightCm(lower_cm))
    } else {
        Message::new("stride-hurdle-floor-line")
    };
    let message = message
        .with("wanted", Arg::HeightCm(wanted_height_cm))
        .with("share", Arg::Share(wanted_height_cm / leg_cm));
    (lower_cm, Some(message))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::normal::log_normal_estimate;

    fn leg(leg_m: f64) -> Estimate {
        log_normal_estimate(libm::log(leg_m), 0.03, 0, "body/1")
    }

    #[test]
    fn short_leg_gets_a_lower_hurdle_or_a_line() {
        assert_eq!(hurdle_height_cm(&leg(0.726), 30.0, &[30.0, 20.0]), (30.0, None));
        let (height_cm, message) = hurdle_height_cm(&leg(0.596), 30.0, &[30.0, 15.0, 20.0]);
        assert_eq!((height_cm, message.unwrap().id.as_str()), (20.0, "stride-hurdle-lower"));
        let (height_cm, message) = hurdle_height_cm(&leg(0.596), 30.0, &[30.0]);
        assert_eq!((height_cm, message.unwrap().id.as_str()), (0.0, "stride-hurdle-floor-line"));
        assert_eq!(hurdle_height_cm(&leg(0.3), 0.0, &[]), (0.0, None));
    }

    #[test]
    fn answer_is_never_higher_than_wanted_and_never_too_high_for_the_leg() {
        for leg_cm in 30..110 {
            let leg_m = f64::from(leg_cm) / 100.0;
            let (height_cm, message) = hurdle_height_cm(&leg(leg_m), 30.0, &[0.0, 15.0, 20.0, 30.0, 40.0]);
            assert!(height_cm <= 30.0 && height_cm <= HEIGHT_RATIO_MAX * 100.0 * leg_m + 1e-9);
            assert_eq!(message.is_none(), height_cm == 30.0);
        }
    }
}
