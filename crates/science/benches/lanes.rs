//! How long lanes take: one drill, one drill with wishes, several drills; a class and a whole school.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use lanewright_model::Setting;
use lanewright_science::lanes::{Ask, Child, ChildDrill, optimise};

const CHILDREN: usize = 32;
const LANES: usize = 6;

/// Children of invented sizes: steps of the golden ratio spread them evenly and in no order.
fn class(number: usize, drills: usize) -> Vec<Child> {
    (0..CHILDREN)
        .map(|index| {
            let spread = |turn: f64| (turn * 0.618_033_988_749_894_9).fract();
            let stature_m = 1.3 + 0.35 * spread((number * CHILDREN + index) as f64);
            let step_m = stature_m * (0.8 + 0.16 * spread(0.5 + index as f64 * 1.7));
            let both = [
                ChildDrill { gap_ln: libm::log(step_m), low_m: 0.9 * step_m, high_m: 1.1 * step_m },
                ChildDrill {
                    gap_ln: libm::log(0.44 * stature_m),
                    low_m: 0.35 * stature_m,
                    high_m: 0.58 * stature_m,
                },
            ];
            let drills = both[..drills].to_vec();
            Child { own_gap_ln: drills[0].gap_ln, drills, only: None, never: Vec::new() }
        })
        .collect()
}

fn ask<'a>(children: &'a [Child], settings: &'a [Setting]) -> Ask<'a> {
    Ask { children, settings, lanes: LANES, together: &[], apart: &[], gap_min_m: 0.35 }
}

fn lanes(criterion: &mut Criterion) {
    let one = [Setting::Long];
    let both = [Setting::Long, Setting::Short];
    let children = class(0, 1);
    criterion.bench_function("one drill, 32 children, 6 lanes", |bench| {
        bench.iter(|| optimise(black_box(&ask(&children, &one))));
    });
    let mut wishing = class(0, 1);
    wishing[4].only = Some(0);
    wishing[9].never = vec![5];
    let wishes =
        Ask { together: &[(1, 20), (2, 30)], apart: &[(5, 6), (7, 8), (11, 19)], ..ask(&wishing, &one) };
    criterion.bench_function("one drill, 7 wishes", |bench| bench.iter(|| optimise(black_box(&wishes))));
    let several = class(0, 2);
    criterion.bench_function("a long and a short drill", |bench| {
        bench.iter(|| optimise(black_box(&ask(&several, &both))));
    });
    let school: Vec<Vec<Child>> = (0..1_000).map(|number| class(number, 1)).collect();
    criterion.bench_function("one drill, 1,000 classes", |bench| {
        bench.iter(|| {
            for class in &school {
                black_box(optimise(black_box(&ask(class, &one)))).expect("there are no wishes");
            }
        });
    });
}

criterion_group!(benches, lanes);
criterion_main!(benches);
