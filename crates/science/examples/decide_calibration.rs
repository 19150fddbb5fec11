//! Judges simulated classes with known truth, beside a rule that knows the parameters, the streak rule and a
//! plain proportion. The streak rule stands beside what theory says of it. Run:
//! `cargo run --release -p lanewright-science --example decide_calibration`.

use jiff::Timestamp;
use lanewright_dice::Dice;
use lanewright_model::Ladder;
use lanewright_model::run::{HurdleSet, Observation, Run, Source, Watched};
use lanewright_science::decide::chain::Chain;
use lanewright_science::decide::fit::logistic;
use lanewright_science::decide::{Action, BACK_RATE, Options, decide};
use lanewright_science::proportion::{p_at_least, row_chance, row_wait};

const NEEDED: f64 = 0.90;
const HURDLES: u32 = 8;

/// How a simulated class works: ability moves breaking down, single knocks, or both.
struct World {
    break_logit: f64,
    break_slope: f64,
    knock_logit: f64,
    knock_slope: f64,
    broken_p: f64,
    stay_p: f64,
}

impl World {
    fn chain(&self, t: f64) -> Chain {
        Chain {
            break_p: logistic(self.break_logit + self.break_slope * t),
            stay_p: self.stay_p,
            knock_sound_p: logistic(self.knock_logit + self.knock_slope * t),
            knock_broken_p: self.broken_p,
        }
    }
}

fn simulate(chain: &Chain, random: &mut Dice) -> HurdleSet {
    let (mut broken, mut bits) = (false, 0u64);
    for number in 0..HURDLES {
        broken = random.share() < if broken { chain.stay_p } else { chain.break_p };
        if random.share() < if broken { chain.knock_broken_p } else { chain.knock_sound_p } {
            bits |= 1 << number;
        }
    }
    HurdleSet(bits)
}

#[derive(Default)]
struct Score {
    right: f64,
    log_loss: f64,
    moves: f64,
    wrong: f64,
    covered: f64,
    n: f64,
}

impl Score {
    fn add(&mut self, truth: f64, action: usize, p_up: Option<f64>, covered: Option<bool>) {
        let class = if truth >= NEEDED {
            0
        } else if truth <= BACK_RATE {
            2
        } else {
            1
        };
        self.n += 1.0;
        self.right += f64::from(u8::from(class == action));
        if action == 0 {
            self.moves += 1.0;
            self.wrong += f64::from(u8::from(class != 0));
        }
        if let Some(p) = p_up {
            let p = p.clamp(1e-9, 1.0 - 1e-9);
            self.log_loss -= libm::log(if class == 0 { p } else { 1.0 - p });
        }
        self.covered += f64::from(u8::from(covered == Some(true)));
    }
    fn show(&self, name: &str) {
        let known =
            |value: f64| if value > 0.0 { format!("{:.3}", value / self.n) } else { "–".to_owned() };
        println!(
            "  {name:<22} right {:.3}  log loss {}  move-ons {:.3}, wrong {:.3}  covered {}",
            self.right / self.n,
            known(self.log_loss),
            self.moves / self.n,
            self.wrong / self.moves.max(1.0),
            known(self.covered)
        );
    }
}

fn main() {
    let children: usize = std::env::args().nth(1).and_then(|text| text.parse().ok()).unwrap_or(120);
    let ladder = Ladder::built_in();
    let now: Timestamp = "2026-03-02T11:00:00Z".parse().expect("a time");
    for family in [
        "breaking down",
        "single knocks",
        "both",
        "mostly clean",
        "very different",
        "clean but for single knocks",
    ] {
        let (mut ours, mut knows, mut streak, mut plain) =
            (Score::default(), Score::default(), Score::default(), Score::default());
        let mut streaks_expected = 0.0;
        for class in 0..24u64 {
            let mut random = Dice(1000 * class + 7);
            let both = family == "both";
            let world = World {
                break_logit: random.between(-3.2, -1.8),
                break_slope: if family == "single knocks" { 0.0 } else { random.between(0.7, 1.5) },
                knock_logit: if family == "single knocks" {
                    random.between(-2.8, -1.8)
                } else {
                    random.between(-4.5, -3.0)
                },
                knock_slope: if both {
                    random.between(0.4, 1.0)
                } else if family == "single knocks" {
                    random.between(0.7, 1.3)
                } else {
                    0.0
                },
                broken_p: random.between(0.4, 0.8),
                stay_p: random.between(0.5, 0.85),
            };
            let world = match family {
                "mostly clean" => World {
                    break_logit: random.between(-4.2, -3.2),
                    break_slope: random.between(1.0, 1.8),
                    knock_logit: random.between(-5.0, -4.0),
                    knock_slope: random.between(0.2, 0.8),
                    ..world
                },
                "very different" => World {
                    break_logit: random.between(-3.6, -2.4),
                    break_slope: random.between(1.8, 2.8),
                    knock_logit: random.between(-5.0, -3.5),
                    knock_slope: random.between(0.5, 1.2),
                    ..world
                },
                "clean but for single knocks" => World {
                    break_logit: random.between(-4.2, -3.2),
                    break_slope: random.between(0.8, 1.6),
                    knock_logit: random.between(-3.6, -2.6),
                    knock_slope: random.between(0.8, 1.4),
                    ..world
                },
                _ => world,
            };
            let mut observations = Vec::new();
            let mut truths = Vec::new();
            let mut all_stand = Vec::new();
            let mut sets: Vec<Vec<HurdleSet>> = Vec::new();
            for child in 0..children {
                let chain = world.chain(random.normal());
                truths.push(chain.clean_rate(HURDLES));
                all_stand.push(chain.all_stand(HURDLES));
                let runs = 2 + (random.share() * 5.0) as usize;
                let mut own = Vec::new();
                for _ in 0..runs {
                    let knocked = simulate(&chain, &mut random);
                    own.push(knocked);
                    observations.push(Observation::Run(Run {
                        runner: format!("c{child:03}"),
                        drill: "alternate-run".into(),
                        lane: "A".into(),
                        class: None,
                        at: now,
                        lead: None,
                        hurdles: HURDLES,
                        knocked,
                        down_before: HurdleSet::default(),
                        watched: Watched::Technique,
                        faults: vec![],
                        effort: Some(0.6),
                        exit_sprint: false,
                        gap_m: Some(1.25),
                        height_cm: Some(30.0),
                        setup: "A1".into(),
                        source: Source::Tap,
                    }));
                }
                sets.push(own);
            }
            let decisions = decide(&observations, &ladder, &Options { now, losses: Default::default() });
            // A fine grid for the rule that knows everything.
            let grid: Vec<f64> = (0..321).map(|step| -4.0 + 0.025 * f64::from(step)).collect();
            let chains: Vec<(Chain, f64)> =
                grid.iter().map(|t| (world.chain(*t), libm::exp(-0.5 * t * t))).collect();
            for (child, decision) in decisions.iter().enumerate() {
                let truth = truths[child];
                let action = match decision.action {
                    Action::MoveOn => 0,
                    Action::StepBack => 2,
                    _ => 1,
                };
                let covered = (decision.clean_rate.low..=decision.clean_rate.high).contains(&truth);
                ours.add(truth, action, Some(decision.p_up), Some(covered));
                let (mut up, mut back, mut total) = (0.0, 0.0, 0.0);
                for (chain, weight) in &chains {
                    let mass = sets[child]
                        .iter()
                        .map(|set| chain.likelihood(HURDLES, *set, HurdleSet::default()))
                        .product::<f64>()
                        * weight;
                    let rate = chain.clean_rate(HURDLES);
                    total += mass;
                    if rate >= NEEDED {
                        up += mass;
                    }
                    if rate <= BACK_RATE {
                        back += mass;
                    }
                }
                let (up, back) = (up / total, back / total);
                let losses = [3.0 * (1.0 - up), up + back, 1.0 - back];
                let best = (0..3).min_by(|a, b| losses[*a].total_cmp(&losses[*b])).expect("three");
                knows.add(truth, best, Some(up), None);
                streaks_expected += row_chance(2, sets[child].len() as u32, all_stand[child]);
                let two_clean = sets[child].windows(2).any(|pair| pair.iter().all(|set| set.count() == 0));
                let last_bad = sets[child].last().is_some_and(|set| set.count() >= 3);
                streak.add(
                    truth,
                    if two_clean {
                        0
                    } else if last_bad {
                        2
                    } else {
                        1
                    },
                    None,
                    None,
                );
                let n = HURDLES * sets[child].len() as u32;
                let stood = n - sets[child].iter().map(|set| set.count()).sum::<u32>();
                let share = f64::from(stood) / f64::from(n);
                plain.add(
                    truth,
                    if share >= NEEDED {
                        0
                    } else if share <= BACK_RATE {
                        2
                    } else {
                        1
                    },
                    Some(p_at_least(stood, n, NEEDED)),
                    None,
                );
            }
        }
        println!("{family}: 24 classes of {children}");
        ours.show("decide");
        knows.show("knows the parameters");
        streak.show("two clean in a row");
        plain.show("plain proportion");
        println!("  two clean in a row, by theory: move-ons {:.3}", streaks_expected / streak.n);
    }
    // A child exactly at the mark who knocks each hurdle by chance: how soon does a streak let it pass?
    let clean_run: f64 = (0..HURDLES).map(|_| NEEDED).product();
    println!(
        "at the mark, hurdles apart: two clean in a row within 5 runs {:.3}, within 10 {:.3}, after {:.1} runs on average",
        row_chance(2, 5, clean_run),
        row_chance(2, 10, clean_run),
        row_wait(2, clean_run)
    );
}
