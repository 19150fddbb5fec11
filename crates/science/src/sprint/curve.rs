//! The exponential speed curve of a sprint, and its least-squares fit on times.

use super::Mark;

/// A sprint from standing: v(t) = V (1 − e^(−t/τ)) (Furusawa, Hill & Parkinson 1927, Proceedings of the Royal Society
/// B 102:29-42).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exponential {
    /// V: the speed that the curve nears, metres per second, above 0.
    pub v_max_mps: f64,
    /// τ: time constant, seconds, above 0. After one τ the runner has 63 % of V.
    pub tau_s: f64,
}

impl Exponential {
    /// Returns the speed after `time_s` seconds, metres per second.
    pub fn speed_mps(&self, time_s: f64) -> f64 {
        -self.v_max_mps * libm::expm1(-time_s / self.tau_s)
    }

    /// Returns the acceleration after `time_s` seconds, metres per second squared.
    pub fn acceleration_mps2(&self, time_s: f64) -> f64 {
        self.v_max_mps / self.tau_s * libm::exp(-time_s / self.tau_s)
    }

    /// Returns the distance covered in `time_s` seconds, metres.
    ///
    /// # Formula
    /// V (t − τ (1 − e^(−t/τ))).
    pub fn distance_m(&self, time_s: f64) -> f64 {
        self.v_max_mps * self.tau_s * grown(time_s / self.tau_s)
    }

    /// Returns the time at which the runner is at `distance_m`, seconds from the first movement; 0 at and before the
    /// start.
    ///
    /// # Formula
    /// t = τ u, where u − 1 + e^(−u) = x / (V τ).
    ///
    /// # Accuracy
    /// `distance_m(time_s(x))` returns x to 1e-12 relative for x / (V τ) from 1e-6 to 300 (tested).
    pub fn time_s(&self, distance_m: f64) -> f64 {
        self.tau_s * reach(distance_m / (self.v_max_mps * self.tau_s))
    }

    /// Returns the time at a distance and its derivatives by V, τ and distance.
    pub(super) fn time_and_slopes(&self, distance_m: f64) -> (f64, [f64; 3]) {
        let scaled = distance_m / (self.v_max_mps * self.tau_s);
        if scaled <= 0.0 {
            return (0.0, [0.0; 3]);
        }
        let u = reach(scaled);
        // du/dX; the speed at this place is V / slope.
        let slope = -1.0 / libm::expm1(-u);
        let by_v = -self.tau_s * slope * scaled / self.v_max_mps;
        (self.tau_s * u, [by_v, u - slope * scaled, slope / self.v_max_mps])
    }
}

/// Returns u − 1 + e^(−u).
fn grown(u: f64) -> f64 {
    if u >= 0.1 {
        return u + libm::expm1(-u);
    }
    // Near the start the difference loses its digits; the series does not.
    let mut term = 0.5 * u * u;
    let mut sum = term;
    for k in 3..=10 {
        term *= -u / f64::from(k);
        sum += term;
    }
    sum
}

/// Solves u − 1 + e^(−u) = X for u, by Newton's steps; 0 for X ≤ 0.
fn reach(scaled: f64) -> f64 {
    const STEPS_MAX: u32 = 12;
    if scaled <= 0.0 {
        return 0.0;
    }
    // Near the start u² / 2 = X, far from it u = X + 1: five steps are the most that either needs.
    let mut u = if scaled >= 0.5 { scaled + 1.0 } else { (2.0 * scaled).sqrt() + scaled / 3.0 };
    for _ in 0..STEPS_MAX {
        let step = (grown(u) - scaled) / -libm::expm1(-u);
        u -= step;
        if step.abs() <= 1e-15 * u {
            break;
        }
    }
    u
}

/// What the clock tells about the first movement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Clock {
    /// The runner moved first when the clock showed this, in seconds: two numbers are fitted.
    Known {
        /// Clock reading at the first movement.
        t0_s: f64,
    },
    /// Nothing is known: the reading at the first movement is the third number that is fitted.
    Free,
    /// The clock started when the runner, from standing, had run this far.
    Flying {
        /// Metres from the start of the run-up to the first gate.
        run_up_m: f64,
    },
}

impl Clock {
    /// Returns how many numbers are fitted.
    pub fn parameters(self) -> usize {
        if self == Clock::Free { 3 } else { 2 }
    }
}

/// Why the search for the best curve ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// No step makes the sum of squares smaller.
    AtLeast,
    /// The time constant ran out of all bounds.
    RanAway,
    /// The steps were used up.
    StepsUsedUp,
}

/// The curve with the least sum of squared differences in time.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// The curve.
    pub curve: Exponential,
    /// Clock reading at the first movement, seconds.
    pub t0_s: f64,
    /// Model minus clock at every mark, seconds.
    pub residuals_s: Vec<f64>,
    /// √(sum of squares / (marks − parameters)), seconds; 0 when as many marks as parameters.
    pub rse_s: f64,
    /// Standard errors of V, τ and the fitted t0 from the residuals; the last is 0 where t0 is not fitted.
    pub standard_errors: [f64; 3],
    /// Steps taken.
    pub steps: u32,
    /// Why it ended.
    pub ended: Ended,
    /// Run-up of a flying start, metres; 0 with any other.
    pub(super) run_up_m: f64,
    /// Slopes of the model time at every mark by V, τ and t0.
    pub(super) slopes: Vec<[f64; 3]>,
    /// Slopes of the model time at every mark by the place of that mark and by the length of the run-up.
    pub(super) by_place: Vec<[f64; 2]>,
    /// Inverse of the normal equations, for V, τ and t0.
    pub(super) inverse: [[f64; 3]; 3],
}

/// Time constants beyond which no search goes on, seconds: no sprint is near either.
const TAU_BOUNDS_S: [f64; 2] = [0.01, 100.0];
/// Most steps of one search.
const STEPS_MAX: u32 = 200;

/// Finds the curve for marks in rising order, each with distance and time above 0.
///
/// Two numbers need two marks, three need three; with just as many the residual error is 0 and says nothing.
///
/// # Formula
/// Least Σ (T(xᵢ) + t0 − tᵢ)², by Levenberg's damped Gauss-Newton steps in ln V, ln τ and t0 with exact slopes.
///
/// # Panics
/// With fewer marks than fitted numbers: callers count first.
pub fn fit(marks: &[Mark], clock: Clock) -> Fitted {
    let parameters = clock.parameters();
    assert!(marks.len() >= parameters, "{parameters} numbers need as many marks");
    let mut at = start_values(marks, clock);
    let mut here = Residuals::of(marks, clock, at);
    let mut damping = 1e-3;
    let (mut steps, mut ended) = (0, Ended::StepsUsedUp);
    while steps < STEPS_MAX {
        steps += 1;
        let (gradient, normal) = here.normal_equations(at);
        let mut damped = normal;
        for (index, row) in damped.iter_mut().enumerate() {
            row[index] += damping * normal[index][index];
        }
        let step = solve(&damped, &gradient, parameters);
        let size = step.iter().fold(0.0f64, |most, value| most.max(value.abs()));
        let next = [at[0] * libm::exp(-step[0]), at[1] * libm::exp(-step[1]), at[2] - step[2]];
        if !(TAU_BOUNDS_S[0]..=TAU_BOUNDS_S[1]).contains(&next[1]) || !next[0].is_finite() {
            if damping > 1e6 {
                ended = Ended::RanAway;
                break;
            }
            damping = (damping * 10.0).max(1e-3);
            continue;
        }
        let there = Residuals::of(marks, clock, next);
        if there.sum_of_squares <= here.sum_of_squares {
            (at, here) = (next, there);
            damping *= 0.1;
            if size <= 1e-12 {
                ended = Ended::AtLeast;
                break;
            }
        } else if size <= 1e-9 {
            // The sum of squares no longer tells so small a step from none.
            ended = Ended::AtLeast;
            break;
        } else {
            damping = (damping * 10.0).max(1e-9);
        }
    }
    finish(marks, clock, at, here, steps, ended)
}

/// V a tenth above the fastest stretch, τ of one second, t0 where the first mark then puts it.
fn start_values(marks: &[Mark], clock: Clock) -> [f64; 3] {
    let fastest = super::stretches(marks)
        .map(|(from, to)| (to.distance_m - from.distance_m) / (to.time_s - from.time_s))
        .fold(0.0, f64::max);
    let curve = Exponential { v_max_mps: 1.1 * fastest, tau_s: 1.0 };
    let t0_s = match clock {
        Clock::Known { t0_s } => t0_s,
        Clock::Free => marks[0].time_s - curve.time_s(marks[0].distance_m),
        Clock::Flying { .. } => 0.0,
    };
    [curve.v_max_mps, curve.tau_s, t0_s]
}

/// Differences at all marks for one set of numbers.
struct Residuals {
    residuals_s: Vec<f64>,
    slopes: Vec<[f64; 3]>,
    by_place: Vec<[f64; 2]>,
    sum_of_squares: f64,
    parameters: usize,
}

impl Residuals {
    fn of(marks: &[Mark], clock: Clock, [v_max_mps, tau_s, t0_s]: [f64; 3]) -> Self {
        let curve = Exponential { v_max_mps, tau_s };
        let run_up_m = if let Clock::Flying { run_up_m } = clock { run_up_m } else { 0.0 };
        let (at_gate_s, gate_slopes) = curve.time_and_slopes(run_up_m);
        let count = marks.len();
        let (mut residuals_s, mut slopes) = (Vec::with_capacity(count), Vec::with_capacity(count));
        let mut by_place = Vec::with_capacity(count);
        let mut sum_of_squares = 0.0;
        for mark in marks {
            let (time_s, by) = curve.time_and_slopes(mark.distance_m + run_up_m);
            let residual_s = time_s - at_gate_s + t0_s - mark.time_s;
            sum_of_squares += residual_s * residual_s;
            residuals_s.push(residual_s);
            slopes.push([by[0] - gate_slopes[0], by[1] - gate_slopes[1], 1.0]);
            by_place.push([by[2], if run_up_m > 0.0 { by[2] - gate_slopes[2] } else { 0.0 }]);
        }
        Self { residuals_s, slopes, by_place, sum_of_squares, parameters: clock.parameters() }
    }

    /// Gradient and normal matrix in ln V, ln τ and t0.
    fn normal_equations(&self, at: [f64; 3]) -> ([f64; 3], [[f64; 3]; 3]) {
        let scale = [at[0], at[1], 1.0];
        let (mut gradient, mut normal) = ([0.0; 3], [[0.0; 3]; 3]);
        for (residual_s, slope) in self.residuals_s.iter().zip(&self.slopes) {
            for row in 0..self.parameters {
                let by_row = slope[row] * scale[row];
                gradient[row] += by_row * residual_s;
                for column in 0..self.parameters {
                    normal[row][column] += by_row * slope[column] * scale[column];
                }
            }
        }
        (gradient, normal)
    }
}

fn finish(marks: &[Mark], clock: Clock, at: [f64; 3], here: Residuals, steps: u32, ended: Ended) -> Fitted {
    let parameters = clock.parameters();
    let curve = Exponential { v_max_mps: at[0], tau_s: at[1] };
    let (_, normal) = here.normal_equations(at);
    let scale = [at[0], at[1], 1.0];
    let mut inverse = [[0.0; 3]; 3];
    for column in 0..parameters {
        let mut unit = [0.0; 3];
        unit[column] = 1.0;
        let solved = solve(&normal, &unit, parameters);
        for row in 0..parameters {
            inverse[row][column] = solved[row] * scale[row] * scale[column];
        }
    }
    let spare = marks.len() - parameters;
    let rse_s = if spare == 0 { 0.0 } else { (here.sum_of_squares / spare as f64).sqrt() };
    Fitted {
        curve,
        t0_s: if let Clock::Flying { run_up_m } = clock { -curve.time_s(run_up_m) } else { at[2] },
        residuals_s: here.residuals_s,
        rse_s,
        standard_errors: std::array::from_fn(|index| rse_s * inverse[index][index].max(0.0).sqrt()),
        steps,
        ended,
        run_up_m: if let Clock::Flying { run_up_m } = clock { run_up_m } else { 0.0 },
        slopes: here.slopes,
        by_place: here.by_place,
        inverse,
    }
}

/// Solves a symmetric system of `size` equations by Cholesky's way. A direction that nothing tells about gets no step.
fn solve(matrix: &[[f64; 3]; 3], right: &[f64; 3], size: usize) -> [f64; 3] {
    let mut lower = [[0.0; 3]; 3];
    for row in 0..size {
        for column in 0..=row {
            let known: f64 = (0..column).map(|k| lower[row][k] * lower[column][k]).sum();
            let rest = matrix[row][column] - known;
            lower[row][column] = if row == column {
                if rest > 1e-14 * matrix[row][row] { rest.sqrt() } else { f64::INFINITY }
            } else {
                rest / lower[column][column]
            };
        }
    }
    let mut solution = [0.0; 3];
    for row in 0..size {
        let known: f64 = (0..row).map(|k| lower[row][k] * solution[k]).sum();
        solution[row] = (right[row] - known) / lower[row][row];
    }
    for row in (0..size).rev() {
        let known: f64 = (row + 1..size).map(|k| lower[k][row] * solution[k]).sum();
        solution[row] = (solution[row] - known) / lower[row][row];
    }
    solution
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn time_and_distance_undo_each_other(log_scaled in -6.0..2.47, v in 3.0..13.0, tau in 0.3..3.0) {
            let curve = Exponential { v_max_mps: v, tau_s: tau };
            let x = libm::pow(10.0, log_scaled) * v * tau;
            let back = curve.distance_m(curve.time_s(x));
            prop_assert!((back / x - 1.0).abs() < 1e-12, "{x} and {back}");
        }

        #[test]
        fn exact_times_give_back_their_curve(
            v in 4.0..12.0, tau in 0.5..2.5, t0 in -0.3..0.4, flying in 0.3..10.0,
        ) {
            let curve = Exponential { v_max_mps: v, tau_s: tau };
            let places = [5.0, 10.0, 15.0, 20.0, 30.0];
            let marks: Vec<Mark> = places
                .iter()
                .map(|x| Mark { distance_m: *x, time_s: curve.time_s(*x) + t0 })
                .collect();
            for clock in [Clock::Known { t0_s: t0 }, Clock::Free] {
                let found = fit(&marks, clock);
                prop_assert!((found.curve.v_max_mps - v).abs() < 1e-6 && (found.curve.tau_s - tau).abs() < 1e-6);
                prop_assert!((found.t0_s - t0).abs() < 1e-6 && found.rse_s < 1e-8);
            }
            let rolling: Vec<Mark> = places
                .iter()
                .map(|x| Mark { distance_m: *x, time_s: curve.time_s(x + flying) - curve.time_s(flying) })
                .collect();
            let found = fit(&rolling, Clock::Flying { run_up_m: flying });
            // Far into the run hardly anything tells τ; the times are met all the same.
            prop_assert!(found.rse_s < 1e-6, "{found:?}");
        }
    }

    #[test]
    fn the_series_near_the_start_meets_the_formula() {
        for u in [0.05f64, 0.0999] {
            assert!((grown(u) / (u + libm::expm1(-u)) - 1.0).abs() < 1e-13, "{u}");
        }
    }

    #[test]
    fn slopes_are_those_of_small_changes() {
        let curve = Exponential { v_max_mps: 7.0, tau_s: 1.1 };
        let (_, slopes) = curve.time_and_slopes(12.0);
        let time = |v_max_mps, tau_s, x| Exponential { v_max_mps, tau_s }.time_s(x);
        let h = 1e-5;
        let by = [
            (time(7.0 + h, 1.1, 12.0) - time(7.0 - h, 1.1, 12.0)) / (2.0 * h),
            (time(7.0, 1.1 + h, 12.0) - time(7.0, 1.1 - h, 12.0)) / (2.0 * h),
            (time(7.0, 1.1, 12.0 + h) - time(7.0, 1.1, 12.0 - h)) / (2.0 * h),
        ];
        for (exact, small) in slopes.iter().zip(by) {
            assert!((exact - small).abs() < 1e-8, "{exact} and {small}");
        }
    }
}
