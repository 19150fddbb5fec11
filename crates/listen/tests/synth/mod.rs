//! A small synthesiser of runs with known geometry: where every contact is, when it sounds, which hurdle is knocked.
//!
//! A step is a thump of damped tones under a burst of noise, a knock a few bright damped tones, the background noise
//! whose power falls with frequency. Engineering assumptions all: it tests arithmetic and alignment, not how real feet
//! sound.
#![allow(dead_code, reason = "each user takes what it needs")]

use std::f64::consts::TAU;

/// A small generator of pseudo-random numbers (xorshift 64*), equal on every machine.
#[derive(Debug, Clone)]
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    pub fn unit(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Standard normal by the sum of twelve.
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }
}

/// A run to be made.
#[derive(Debug, Clone)]
pub struct Plan {
    pub seed: u64,
    pub hurdles: usize,
    pub spacing_m: f64,
    pub contacts_per_gap: usize,
    pub run_up: usize,
    pub speed_mps: f64,
    /// How much the speed swings along the lane, as a share.
    pub swing: f64,
    /// Standard deviation of where feet land, m.
    pub landing_sd_m: f64,
    /// Knocked hurdles, from 1.
    pub knocked: Vec<usize>,
    /// Foot power over background power, dB.
    pub snr_db: f64,
    pub rate_hz: u32,
}

impl Plan {
    pub fn plain(seed: u64) -> Self {
        Self {
            seed,
            hurdles: 6,
            spacing_m: 4.8,
            contacts_per_gap: 3,
            run_up: 4,
            speed_mps: 4.6,
            swing: 0.05,
            landing_sd_m: 0.03,
            knocked: Vec::new(),
            snr_db: 20.0,
            rate_hz: 44_100,
        }
    }
}

/// A run made.
#[derive(Debug, Clone)]
pub struct Made {
    pub samples: Vec<f32>,
    pub contacts_s: Vec<f64>,
    /// When and which hurdle.
    pub knocks: Vec<(f64, usize)>,
    pub first_crossing_s: f64,
    /// True speed through every gap.
    pub speeds_mps: Vec<f64>,
}

pub fn make(plan: &Plan) -> Made {
    let mut dice = Dice::new(plan.seed);
    let step_m = plan.spacing_m / plan.contacts_per_gap as f64;
    let first_hurdle_m = (plan.run_up as f64 - 0.5) * step_m;
    let phase = dice.between(0.0, TAU);
    let length_m = first_hurdle_m + plan.spacing_m * (plan.hurdles - 1) as f64 + 4.5 * step_m;
    let speed = |x: f64| plan.speed_mps * (1.0 + plan.swing * libm::sin(phase + TAU * x / length_m));
    // Time of every centimetre.
    let grid = 0.01;
    let mut clock = vec![0.8];
    for k in 0..(length_m / grid) as usize + 60 {
        clock.push(clock[k] + grid / speed(k as f64 * grid));
    }
    let time = |x: f64| {
        let at = (x.max(0.0) / grid).min((clock.len() - 2) as f64);
        let low = at.floor() as usize;
        clock[low] + (clock[low + 1] - clock[low]) * (at - low as f64)
    };
    let count = plan.run_up + (plan.hurdles - 1) * plan.contacts_per_gap + 5;
    let contacts_s: Vec<f64> =
        (0..count).map(|k| time(k as f64 * step_m + plan.landing_sd_m * dice.normal())).collect();
    let hurdle_m = |h: usize| first_hurdle_m + plan.spacing_m * h as f64;
    let speeds_mps =
        (0..plan.hurdles - 1).map(|h| plan.spacing_m / (time(hurdle_m(h + 1)) - time(hurdle_m(h)))).collect();
    let knocks: Vec<(f64, usize)> = plan
        .knocked
        .iter()
        .map(|&h| {
            let before = plan.run_up - 1 + (h - 1) * plan.contacts_per_gap;
            let (a, b) = (contacts_s[before], contacts_s[before + 1]);
            (a + (b - a) * dice.between(0.6, 0.75), h)
        })
        .collect();

    let rate = f64::from(plan.rate_hz);
    let mut sound = vec![0.0f64; ((contacts_s[count - 1] + 1.0) * rate) as usize];
    let tones: Vec<(f64, f64)> = (0..7)
        .map(|k| (90.0 * libm::pow(1.55, f64::from(k)) * dice.between(0.9, 1.1), dice.between(0.4, 1.0)))
        .collect();
    for &t in &contacts_s {
        let gain = libm::pow(10.0, dice.between(-2.0, 2.0) / 20.0);
        thump(&mut sound, t, gain, &tones, rate, &mut dice);
    }
    for &(t, _) in &knocks {
        let gain = libm::pow(10.0, dice.between(2.0, 6.0) / 20.0);
        clack(&mut sound, t, gain, rate, &mut dice);
    }
    let mixed = with_noise(&sound, &contacts_s, rate, plan.snr_db, &mut dice);
    let peak = mixed.iter().fold(1e-9, |top: f64, x| top.max(x.abs()));
    Made {
        samples: mixed.iter().map(|x| (0.5 * x / peak) as f32).collect(),
        first_crossing_s: time(first_hurdle_m),
        contacts_s,
        knocks,
        speeds_mps,
    }
}

fn thump(sound: &mut [f64], t_s: f64, gain: f64, tones: &[(f64, f64)], rate: f64, dice: &mut Dice) {
    let from = (t_s * rate).round() as usize;
    let phases: Vec<f64> = tones.iter().map(|_| dice.between(0.0, TAU)).collect();
    for k in 0..(0.16 * rate) as usize {
        let t = k as f64 / rate;
        let rise = (t / 0.002).min(1.0);
        let tone: f64 = tones
            .iter()
            .zip(&phases)
            .map(|((hz, size), phase)| {
                size * libm::exp(-t / (0.012 + 3.0 / hz)) * libm::sin(TAU * hz * t + phase)
            })
            .sum();
        let noise = 1.2 * dice.normal() * libm::exp(-t / 0.012);
        if let Some(slot) = sound.get_mut(from + k) {
            *slot += gain * rise * (0.5 * tone + 0.25 * noise);
        }
    }
}

fn clack(sound: &mut [f64], t_s: f64, gain: f64, rate: f64, dice: &mut Dice) {
    let from = (t_s * rate).round() as usize;
    let tones =
        [1350.0, 2230.0, 3410.0, 4720.0].map(|hz| (hz * dice.between(0.95, 1.05), dice.between(0.0, TAU)));
    for k in 0..(0.12 * rate) as usize {
        let t = k as f64 / rate;
        let tone: f64 = tones.iter().map(|(hz, phase)| libm::sin(TAU * hz * t + phase)).sum();
        let noise = dice.normal() * libm::exp(-t / 0.006);
        if let Some(slot) = sound.get_mut(from + k) {
            *slot += gain * (0.4 * tone * libm::exp(-t / 0.02) + 0.5 * noise);
        }
    }
}

/// A bout to be made: passes to and fro with a turn between two of them.
#[derive(Debug, Clone)]
pub struct BoutPlan {
    pub seed: u64,
    /// Steps of each pass before it is stopped.
    pub steps: usize,
    pub step_s: f64,
    /// Contacts of each turn: with one, the contact that stops is the push-off too.
    pub turns: Vec<usize>,
    /// Whether the stops are heavy: louder, with a scuff.
    pub heavy: bool,
    /// From the push-off to the first contact of the way back, in step times.
    pub pause_steps: f64,
    /// The device calls by a tone that is recorded too, as loud as so many contacts; 0: nobody calls.
    pub tone: f64,
    pub snr_db: f64,
    pub rate_hz: u32,
}

impl BoutPlan {
    pub fn plain(seed: u64) -> Self {
        Self {
            seed,
            steps: 7,
            step_s: 0.36,
            turns: vec![1, 1, 1],
            heavy: true,
            pause_steps: 2.0,
            tone: 0.0,
            snr_db: 20.0,
            rate_hz: 44_100,
        }
    }
}

/// A bout made.
#[derive(Debug, Clone)]
pub struct MadeBout {
    pub samples: Vec<f32>,
    pub contacts_s: Vec<f64>,
    /// When each turn is pushed off.
    pub turns_s: Vec<f64>,
    /// When the device called: from here a tone of two beeps, 0.38 s long.
    pub calls_s: Vec<f64>,
}

/// Length of the tone of a call, s, as the app sounds it.
pub const TONE_S: f64 = 0.38;

pub fn make_bout(plan: &BoutPlan) -> MadeBout {
    let mut dice = Dice::new(plan.seed);
    let rate = f64::from(plan.rate_hz);
    // Contacts, and which of them are stopped on.
    let mut contacts: Vec<(f64, bool)> = Vec::new();
    let (mut turns_s, mut calls_s) = (Vec::new(), Vec::new());
    let mut t = 0.9;
    let step = |dice: &mut Dice, times: f64| plan.step_s * times * (1.0 + 0.02 * dice.normal());
    for pass in 0..=plan.turns.len() {
        for _ in 0..plan.steps {
            contacts.push((t, false));
            t += step(&mut dice, 1.0);
        }
        let Some(&count) = plan.turns.get(pass) else { break };
        // From the call to the stop.
        calls_s.push(t - dice.between(0.7, 1.0));
        for k in 0..count {
            contacts.push((t, k == 0));
            turns_s.push(t);
            if k > 0 {
                turns_s.remove(turns_s.len() - 2);
            }
            t += step(&mut dice, if k + 1 == count { plan.pause_steps } else { 0.66 });
        }
    }
    let mut sound = vec![0.0f64; ((t + 1.0) * rate) as usize];
    let tones: Vec<(f64, f64)> = (0..7)
        .map(|k| (90.0 * libm::pow(1.55, f64::from(k)) * dice.between(0.9, 1.1), dice.between(0.4, 1.0)))
        .collect();
    for &(t, stops) in &contacts {
        let louder_db = if stops && plan.heavy { 7.0 } else { 0.0 };
        let gain = libm::pow(10.0, (louder_db + dice.between(-2.0, 2.0)) / 20.0);
        thump(&mut sound, t, gain, &tones, rate, &mut dice);
        if stops && plan.heavy {
            scuff(&mut sound, t, 0.35 * gain, rate, &mut dice);
        }
    }
    let mixed =
        with_noise(&sound, &contacts.iter().map(|c| c.0).collect::<Vec<_>>(), rate, plan.snr_db, &mut dice);
    let mut mixed = mixed;
    if plan.tone > 0.0 {
        let top = sound.iter().fold(0.0f64, |top, x| top.max(x.abs()));
        for &call in &calls_s {
            // The loudspeaker is heard a little later than it was asked to sound.
            beeps(&mut mixed, call + 0.04, plan.tone * top, rate);
        }
    }
    let peak = mixed.iter().fold(1e-9, |top: f64, x| top.max(x.abs()));
    MadeBout {
        samples: mixed.iter().map(|x| (0.5 * x / peak) as f32).collect(),
        contacts_s: contacts.into_iter().map(|c| c.0).collect(),
        turns_s,
        calls_s: if plan.tone > 0.0 { calls_s } else { Vec::new() },
    }
}

/// The two beeps of a call: triangles of 988 Hz with soft edges.
fn beeps(sound: &mut [f64], t_s: f64, size: f64, rate: f64) {
    for (from_s, long_s) in [(0.0, 0.11), (0.16, 0.22)] {
        for k in 0..(long_s * rate) as usize {
            let t = k as f64 / rate;
            let edge = (t / 0.01).min((long_s - t) / 0.02).clamp(0.0, 1.0);
            let phase = 988.0 * t - (988.0 * t).floor();
            let triangle = 1.0 - 4.0 * (phase - 0.5).abs();
            if let Some(slot) = sound.get_mut(((t_s + from_s) * rate) as usize + k) {
                *slot += size * edge * triangle;
            }
        }
    }
}

/// A foot that slides to a stop.
fn scuff(sound: &mut [f64], t_s: f64, gain: f64, rate: f64, dice: &mut Dice) {
    let from = (t_s * rate).round() as usize;
    let long_s = dice.between(0.18, 0.3);
    let mut last = 0.0;
    for k in 0..(long_s * rate) as usize {
        let t = k as f64 / rate;
        let white = dice.normal();
        let bright = white - last;
        last = 0.6 * white;
        if let Some(slot) = sound.get_mut(from + k) {
            *slot += gain * 0.3 * bright * (t / 0.02).min(1.0) * (1.0 - t / long_s);
        }
    }
}

/// Background noise whose power falls with frequency, so far below the contacts.
fn with_noise(sound: &[f64], contacts_s: &[f64], rate: f64, snr_db: f64, dice: &mut Dice) -> Vec<f64> {
    let around: Vec<f64> = contacts_s
        .iter()
        .map(|&t| {
            let from = (t * rate) as usize;
            let piece = &sound[from..(from + (0.08 * rate) as usize).min(sound.len())];
            piece.iter().map(|x| x * x).sum::<f64>() / piece.len() as f64
        })
        .collect();
    let foot_power = around.iter().sum::<f64>() / around.len() as f64;
    let mut low = 0.0;
    let noise: Vec<f64> = (0..sound.len())
        .map(|_| {
            let white = dice.normal();
            low += 0.02 * (white - low);
            0.3 * white + 4.0 * low
        })
        .collect();
    let power = noise.iter().map(|x| x * x).sum::<f64>() / noise.len() as f64;
    let level = libm::sqrt(foot_power / power / libm::pow(10.0, snr_db / 10.0));
    sound.iter().zip(&noise).map(|(s, n)| s + level * n).collect()
}

/// The run that is shown: five hurdles 4.8 m apart, three contacts per gap, the third hurdle knocked.
pub fn shown(seed: u64) -> (Made, Plan) {
    let plan = Plan { hurdles: 5, knocked: vec![3], rate_hz: 16_000, ..Plan::plain(seed) };
    (make(&plan), plan)
}

/// A WAV file of one channel and 16 bits.
pub fn wav(samples: &[f32], rate_hz: u32) -> Vec<u8> {
    let size = samples.len() as u32 * 2;
    let mut bytes = Vec::with_capacity(44 + samples.len() * 2);
    bytes.extend(b"RIFF");
    bytes.extend((36 + size).to_le_bytes());
    bytes.extend(b"WAVEfmt \x10\0\0\0\x01\0\x01\0");
    bytes.extend(rate_hz.to_le_bytes());
    bytes.extend((rate_hz * 2).to_le_bytes());
    bytes.extend(b"\x02\0\x10\0data");
    bytes.extend(size.to_le_bytes());
    for sample in samples {
        bytes.extend(((sample.clamp(-1.0, 1.0) * 32_767.0) as i16).to_le_bytes());
    }
    bytes
}
