//! Runs made with known geometry: speed through every gap, the knocked hurdle, evenness; and takes without an answer.

mod synth;

use std::sync::OnceLock;

use lanewright_listen::{Evenness, Findings, Lane, Listener, Reason};
use synth::{Dice, Made, Plan, make};

fn lane(plan: &Plan, made: &Made) -> Lane {
    Lane {
        hurdles: plan.hurdles,
        spacing_m: plan.spacing_m,
        contacts_per_gap: plan.contacts_per_gap,
        first_crossing_s: Some(made.first_crossing_s),
    }
}

fn hear(samples: &[f32], rate_hz: u32, lane: Option<&Lane>) -> Findings {
    let mut listener = Listener::new(rate_hz);
    listener.push(samples);
    listener.finish(lane)
}

fn middle(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// Forty runs: one, two and three contacts per gap, 10 and 20 dB.
fn plans() -> Vec<Plan> {
    (0..40)
        .map(|k| {
            let mut plan = Plan::plain(100 + k);
            let mut dice = Dice::new(7 + k);
            (plan.contacts_per_gap, plan.spacing_m) = [(1, 1.4), (2, 2.9), (3, 4.8)][k as usize % 3];
            plan.hurdles = [8, 6, 5][k as usize % 3];
            plan.speed_mps = dice.between(3.8, 5.2);
            plan.snr_db = if k % 2 == 0 { 10.0 } else { 20.0 };
            plan.knocked = vec![2 + k as usize % 3];
            plan.rate_hz = [44_100, 48_000, 22_050][k as usize / 3 % 3];
            plan
        })
        .collect()
}

/// Each of them made and heard, once for all tests.
fn heard() -> &'static [(Plan, Made, Findings)] {
    static HEARD: OnceLock<Vec<(Plan, Made, Findings)>> = OnceLock::new();
    HEARD.get_or_init(|| {
        plans()
            .into_iter()
            .map(|plan| {
                let made = make(&plan);
                let found = hear(&made.samples, plan.rate_hz, Some(&lane(&plan, &made)));
                (plan, made, found)
            })
            .collect()
    })
}

#[test]
fn speed_per_gap_is_within_two_percent_in_the_median_and_its_range_holds_the_truth() {
    let (mut errors, mut held, mut runs) = (Vec::new(), 0, 0);
    for (plan, made, found) in heard() {
        if found.gaps.len() != plan.hurdles - 1 {
            continue;
        }
        runs += 1;
        for (gap, truth) in found.gaps.iter().zip(&made.speeds_mps) {
            errors.push((gap.speed_mps / truth - 1.0).abs());
            held += usize::from(gap.low_mps <= *truth && *truth <= gap.high_mps);
        }
    }
    let count = errors.len();
    let median = middle(errors);
    println!("{runs} runs, {count} gaps, median error {:.2} %, in the range {held}", median * 100.0);
    assert!(runs >= 36, "{runs} of 40 runs gave speeds");
    assert!(median <= 0.02, "median error {median}");
    assert!(held as f64 >= 0.85 * count as f64, "{held} of {count} truths within 90 % ranges");
}

#[test]
fn found_knocks_name_their_hurdle() {
    let (mut found_knocks, mut right, mut all) = (0, 0, 0);
    for (_, made, found) in heard() {
        all += made.knocks.len();
        for (t_s, hurdle) in &made.knocks {
            if let Some(knock) = found.knocks.iter().find(|knock| (knock.t_s - t_s).abs() < 0.06) {
                found_knocks += 1;
                right += usize::from(knock.hurdle == Some(*hurdle));
            }
        }
    }
    println!("{found_knocks} of {all} knocks found, {right} at the right hurdle");
    assert!(found_knocks * 2 >= all, "{found_knocks} of {all} knocks found");
    assert!(right * 10 >= found_knocks * 9, "{right} of {found_knocks} at the right hurdle");
}

#[test]
fn a_knock_that_could_be_at_any_hurdle_names_none() {
    let (plan, made, found) = &heard()[0];
    let lane = lane(plan, made);
    let said = |range: [usize; 2], p: f64| {
        let mut found = found.clone();
        let knock = found.knocks.first_mut().expect("the hurdle was knocked");
        (knock.hurdle, knock.hurdle_p, knock.hurdle_range) = (Some(3), p, Some(range));
        let ids = lanewright_listen::said::said(&found, Some(&lane)).into_iter().map(|message| message.id);
        ids.filter(|id| id.starts_with("listen-knock")).collect::<Vec<_>>()
    };
    assert_eq!(said([1, plan.hurdles], 0.3), ["listen-knock-unplaced"]);
    assert_eq!(said([1, plan.hurdles], 0.9), ["listen-knock-hurdle"]);
    assert_eq!(said([2, plan.hurdles], 0.3), ["listen-knock-among"]);
    assert_eq!(said([3, 3], 0.3), ["listen-knock-perhaps"]);
}

#[test]
fn contacts_lie_where_they_were_made() {
    let plan = Plan::plain(3);
    let made = make(&plan);
    let found = hear(&made.samples, plan.rate_hz, None);
    assert_eq!(found.reason, None);
    assert_eq!(found.contacts.len(), made.contacts_s.len());
    let misses: Vec<f64> =
        found.contacts.iter().zip(&made.contacts_s).map(|(heard, t)| (heard.t_s - t).abs()).collect();
    assert!(middle(misses.clone()) < 0.001, "{misses:?}");
    assert!(found.contacts.windows(2).all(|pair| pair[0].foot != pair[1].foot), "feet alternate");
    assert!(found.contacts.iter().all(|contact| (0.0..=1.0).contains(&contact.p)));
}

#[test]
fn even_and_uneven_runs_are_told_apart() {
    let mut even = Plan::plain(11);
    (even.landing_sd_m, even.swing, even.hurdles) = (0.02, 0.0, 7);
    let made = make(&even);
    let found = hear(&made.samples, even.rate_hz, None);
    assert_eq!(found.evenness, Evenness::Even, "{:?}", found.cv_step_time);
    let mut uneven = even.clone();
    uneven.landing_sd_m = 0.16;
    let made = make(&uneven);
    let found = hear(&made.samples, uneven.rate_hz, None);
    assert_eq!(found.evenness, Evenness::Uneven, "{:?}", found.cv_step_time);
    let few = Plan { hurdles: 2, contacts_per_gap: 1, spacing_m: 1.4, run_up: 2, ..even };
    let made = make(&few);
    assert_eq!(hear(&made.samples, few.rate_hz, None).evenness, Evenness::NotEnough);
}

#[test]
fn pieces_of_any_size_and_channels_give_the_same_findings() {
    let plan = Plan::plain(5);
    let made = make(&plan);
    let whole = hear(&made.samples, plan.rate_hz, None);
    let mut dice = Dice::new(9);
    let mut pieces = Listener::new(plan.rate_hz);
    let mut rest = &made.samples[..];
    while !rest.is_empty() {
        let (piece, after) = rest.split_at((dice.between(1.0, 3000.0) as usize).min(rest.len()));
        pieces.push(piece);
        rest = after;
    }
    assert_eq!(pieces.finish(None), whole);
    let mut both = Listener::new(plan.rate_hz);
    let doubled: Vec<f32> = made.samples.iter().flat_map(|x| [*x, *x]).collect();
    both.push_interleaved(&doubled, 2);
    assert_eq!(both.finish(None), whole);
}

#[test]
fn a_take_without_an_answer_says_why() {
    let rate = 16_000;
    let reason = |samples: &[f32]| hear(samples, rate, None).reason;
    assert_eq!(reason(&[]), Some(Reason::Empty));
    assert_eq!(reason(&vec![0.1; 8000]), Some(Reason::TooShort));
    assert_eq!(reason(&vec![0.0; 48_000]), Some(Reason::Silent));
    let mut dice = Dice::new(1);
    let noise: Vec<f32> = (0..80_000).map(|_| (0.1 * dice.normal()) as f32).collect();
    assert!(matches!(reason(&noise), Some(Reason::NoSteps | Reason::TooNoisy)));
    let loud: Vec<f32> = noise.iter().map(|x| (x * 40.0).clamp(-1.0, 1.0)).collect();
    assert_eq!(reason(&loud), Some(Reason::Overdriven));
    let long = vec![0.05; 121 * rate as usize];
    assert_eq!(reason(&long), Some(Reason::TooLong));
    let steady: Vec<f32> = (0..80_000).map(|k| (0.3 * libm::sin(0.2 * f64::from(k))) as f32).collect();
    assert!(matches!(reason(&steady), Some(Reason::NoSteps | Reason::TooNoisy)));
}

#[test]
fn what_is_kept_does_not_grow_beyond_a_take() {
    let rate = 8000;
    let mut listener = lanewright_listen::front::Front::new(rate);
    for _ in 0..300 {
        listener.push(&vec![0.1; rate as usize]);
    }
    assert!(listener.is_full());
    let sound = listener.finish();
    let kept = sound.bands.len() * 4 + sound.wide.len() * 4 + sound.fine.len() * 20;
    assert!((sound.duration_s - lanewright_listen::front::LONGEST_TAKE_S).abs() < 1.0);
    assert!(kept < 8_000_000, "{kept} bytes");
}

/// Many hands that clap, each alike and each at its own time, in a room that hisses.
fn applause(seed: u64, claps_per_s: f64) -> Vec<f32> {
    let (rate_hz, seconds) = (44_100.0, 6.0);
    let mut dice = Dice::new(seed);
    let mut samples: Vec<f32> =
        (0..(rate_hz * seconds) as usize).map(|_| (0.004 * dice.normal()) as f32).collect();
    for _ in 0..(claps_per_s * seconds) as usize {
        let from = dice.between(0.0, (seconds - 0.2) * rate_hz) as usize;
        let loud = 0.2 * libm::exp(0.35 * dice.normal());
        let (decay, hz) = (dice.between(0.012, 0.02) * rate_hz, dice.between(900.0, 1400.0));
        // Noise about one pitch.
        let (mut low, mut band) = (0.0, 0.0);
        for k in 0..(6.0 * decay) as usize {
            let f = 2.0 * libm::sin(std::f64::consts::PI * hz / rate_hz);
            low += f * band;
            band += f * (dice.normal() - low - 0.7 * band);
            samples[from + k] += (loud * band * libm::exp(-(k as f64) / decay)) as f32;
        }
    }
    samples
}

#[test]
fn many_hands_that_clap_are_seldom_a_run() {
    let mut taken = 0;
    for seed in 0..12 {
        let mut listener = Listener::new(44_100);
        listener.push(&applause(300 + seed, 16.0 + 4.0 * seed as f64));
        let found = listener.finish(None);
        taken += usize::from(found.reason.is_none());
    }
    assert!(taken <= 5, "{taken} of 12 taken for a run");
}
