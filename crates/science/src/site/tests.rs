use super::*;
use lanewright_model::Ladder;
use proptest::prelude::*;

fn drill(id: &str, step_m: f64, effort: Option<f64>) -> DrillAsk {
    DrillAsk::new(Ladder::built_in().get(id).unwrap(), step_m, effort)
}

/// Six hurdles 1.30 m apart for six children whose fastest runs 6.5 m/s.
fn lane(drills: &[&str]) -> LaneAsk {
    LaneAsk {
        children: 6,
        hurdles: 6,
        gap_m: 1.3,
        v_max_mps: 6.5,
        drills: drills.iter().map(|id| drill(id, 1.3, Some(0.6))).collect(),
        run_up_m: None,
    }
}

fn ask(lanes: Vec<LaneAsk>, space: Option<Space>) -> SiteAsk {
    SiteAsk {
        lanes,
        exit_sprint_m: 0.0,
        run_up_steps_max: None,
        hurdle_width_m: 0.6,
        surface: space.as_ref().map_or(Surface::Hall, |space| space.surface),
        space,
    }
}

#[track_caller]
fn near(computed: f64, expected: f64) {
    assert!((computed - expected).abs() < 1e-9, "{computed} is not {expected}");
}

#[test]
fn a_running_lane_is_the_sum_of_its_parts() {
    let parts = parts(&ask(vec![], None), &lane(&["alternate-run"]));
    near(parts.waiting_m, 2.0); // five wait: three pairs of half a metre and half a metre clear
    near(parts.run_up_m, 7.8); // six steps of 1.30 m
    near(parts.second_start_m, 1.3);
    near(parts.hurdles_m, 6.5);
    near(parts.exit_m, 2.6); // two steps
    near(parts.exit_speed_mps, 3.9); // 60 % of 6.5 m/s
    near(parts.stopping_m, 3.9 * 3.9 / 4.0);
    near(parts.start_stopping_m, 0.0);
    near(length_m(&parts), 2.0 + 7.8 + 6.5 + 2.6 + 3.9 * 3.9 / 4.0 + 2.0);
}

#[test]
fn walks_need_one_metre_of_run_up_and_stop_from_walking_speed() {
    let parts = parts(&ask(vec![], None), &lane(&["alternate-walk"]));
    near(parts.run_up_m, 1.0);
    near(parts.second_start_m, 0.5);
    near(parts.exit_speed_mps, WALK_MPS);
    near(parts.exit_m, 1.0);
}

#[test]
fn the_fastest_drill_decides_on_the_stopping_room() {
    let site = ask(vec![], None);
    let both = parts(&site, &lane(&["alternate-walk", "alternate-run"]));
    assert_eq!(both.stopping_m, parts(&site, &lane(&["alternate-run"])).stopping_m);
}

#[test]
fn effort_counts_up_to_what_the_drill_is_meant_for() {
    assert_eq!(drill("two-contact-run", 1.3, Some(0.9)).effort, 0.6);
    assert_eq!(drill("alternate-run", 1.3, None).effort, 0.6);
    assert_eq!(drill("alternate-run", 1.3, Some(0.8)).effort, 0.8);
}

#[test]
fn a_sprint_after_the_last_hurdle_asks_for_more_room_to_stop() {
    let mut site = ask(vec![], None);
    let mut last_m = parts(&site, &lane(&["alternate-run"])).stopping_m;
    for sprint_m in [5.0, 10.0, 20.0] {
        site.exit_sprint_m = sprint_m;
        let parts = parts(&site, &lane(&["alternate-run"]));
        assert_eq!(parts.exit_m, sprint_m);
        assert!(parts.exit_speed_mps < 6.5 && parts.stopping_m > last_m);
        last_m = parts.stopping_m;
    }
    // Walks and side-steps are not followed by a sprint.
    assert_eq!(parts(&site, &lane(&["alternate-walk"])).exit_m, WALK_EXIT_M);
    assert_eq!(parts(&site, &lane(&["side-run"])).exit_m, WALK_EXIT_M);
}

#[test]
fn a_slippery_floor_asks_for_more_room_to_stop() {
    let mut site = ask(vec![], None);
    let dry = parts(&site, &lane(&["alternate-run"]));
    site.surface = Surface::Slippery;
    near(parts(&site, &lane(&["alternate-run"])).stopping_m, dry.stopping_m * 2.0 / 1.5);
}

#[test]
fn side_steps_stop_at_both_ends_and_stand_two_metres_apart() {
    let space = Space::hall(28.0, 15.0);
    let site = ask(vec![lane(&["side-shuttle"]); 3], Some(space));
    let arrangement = arrange(&site);
    let parts = &arrangement.parts[0];
    near(parts.start_stopping_m, parts.stopping_m + MARGIN_M);
    near(parts.second_start_m, 0.0);
    let places = &arrangement.floor.as_ref().unwrap().lanes;
    for pair in places.windows(2) {
        assert!(pair[1].left_y_m - pair[0].right_y_m >= LANE_GAP_BOTH_WAYS_M - 1e-9);
    }
    assert!(arrangement.fits);
}

#[test]
fn one_leg_drills_get_a_strip_beside_the_lane() {
    let space = Space::hall(28.0, 15.0);
    let arrangement = arrange(&ask(vec![lane(&["dead-leg-run"]); 3], Some(space)));
    let floor = arrangement.floor.unwrap();
    near(arrangement.parts[0].side_strip_m, SIDE_STRIP_M);
    assert!(floor.lanes[0].left_y_m >= WALL_CLEAR_M + SIDE_STRIP_M - 1e-9);
    for pair in floor.lanes.windows(2) {
        assert!(pair[1].left_y_m - pair[0].right_y_m >= WAY_BACK_M + SIDE_STRIP_M - 1e-9);
    }
}

#[test]
fn start_lines_are_level_without_a_sprint_and_last_hurdles_with_one() {
    let mut short = lane(&["alternate-run"]);
    short.gap_m = 1.1;
    short.drills[0].step_m = 1.1;
    let mut site = ask(vec![short, lane(&["alternate-run"])], Some(Space::hall(60.0, 15.0)));
    let places = |site: &SiteAsk| {
        let arrangement = arrange(site);
        let floor = arrangement.floor.unwrap();
        floor
            .lanes
            .iter()
            .zip(&arrangement.parts)
            .map(|(place, part)| (place.start_x_m, *place, part.clone()))
            .collect::<Vec<_>>()
    };
    let level = places(&site);
    near(level[0].0, level[1].0);
    site.exit_sprint_m = 10.0;
    let race = places(&site);
    let last_hurdle_m = |index: usize| race[index].0 + race[index].2.run_up_m + race[index].2.hurdles_m;
    near(last_hurdle_m(0), last_hurdle_m(1));
    assert!(race[0].0 > race[1].0);
    // The longer lane's queue still stands on the floor.
    assert!(race[1].0 >= race[1].2.waiting_m - 1e-9);
}

#[test]
fn without_a_floor_everything_fits() {
    let arrangement = arrange(&ask(vec![lane(&["alternate-run"]); 9], None));
    assert!(arrangement.fits && arrangement.floor.is_none());
}

#[test]
fn lanes_across_is_the_most_that_arrange_lets_fit() {
    let drills = lane(&["alternate-run"]).drills;
    let space = Space::hall(60.0, 15.0);
    let most = lanes_across(&drills, 0.6, &space);
    assert_eq!(most, 6);
    assert!(arrange(&ask(vec![lane(&["alternate-run"]); 6], Some(space.clone()))).fits);
    assert!(!arrange(&ask(vec![lane(&["alternate-run"]); 7], Some(space))).fits);
    assert_eq!(lanes_across(&drills, 0.6, &Space::hall(60.0, 2.0)), 0);
}

#[test]
fn a_sprint_that_is_too_long_is_shortened_by_no_more_than_needed() {
    let mut site = ask(vec![lane(&["alternate-run"]); 2], Some(Space::hall(34.0, 6.0)));
    site.exit_sprint_m = 20.0;
    let found = remedies(&site);
    let [Change::ShortenExit { by_m, to_m }] = found[0][..] else { panic!("{found:?}") };
    near(by_m + to_m, 20.0);
    assert!(to_m >= 3.0, "{found:?}");
    assert!(arrange(&apply(&site, &found[0][0])).fits);
    let half_a_metre_more = Change::ShortenExit { by_m: by_m - 0.5, to_m: to_m + 0.5 };
    assert!(!arrange(&apply(&site, &half_a_metre_more)).fits);
}

#[test]
fn a_hall_that_is_long_the_other_way_is_turned() {
    let site = ask(vec![lane(&["alternate-run"]); 2], Some(Space::hall(15.0, 28.0)));
    assert_eq!(remedies(&site)[0], [Change::OtherDirection]);
}

#[test]
fn nothing_is_promised_where_nothing_helps() {
    let site = ask(vec![lane(&["alternate-run"])], Some(Space::hall(9.0, 9.0)));
    assert!(remedies(&site).is_empty());
}

#[test]
fn turning_the_floor_twice_gives_the_same_room() {
    let space = Space { wall_left: false, wall_finish: false, ..Space::hall(28.0, 15.0) };
    let twice = turned(&turned(&space));
    assert_eq!((twice.length_m, twice.width_m), (space.length_m, space.width_m));
    assert_eq!((twice.wall_start, twice.wall_finish), (space.wall_finish, space.wall_start));
}

fn any_site() -> impl Strategy<Value = SiteAsk> {
    let ids = prop::sample::subsequence(
        vec![
            "alternate-run",
            "alternate-walk",
            "two-contact-run",
            "dead-leg-run",
            "side-shuttle",
            "free-run",
        ],
        1..=3,
    );
    (
        ids,
        prop::collection::vec((2_u32..10, 4_u32..=8, 0.9_f64..1.7, 4.5_f64..8.0), 1..=6),
        prop_oneof![Just(0.0), 3.0_f64..25.0],
        prop_oneof![Just(None), (0.3_f64..0.9).prop_map(Some)],
        (8.0_f64..60.0, 3.0_f64..30.0),
        any::<[bool; 4]>(),
        prop::sample::select(vec![Surface::Hall, Surface::Grass, Surface::Slippery]),
    )
        .prop_map(|(ids, lanes, exit_sprint_m, effort, (length_m, width_m), walls, surface)| SiteAsk {
            lanes: lanes
                .into_iter()
                .map(|(children, hurdles, gap_m, v_max_mps)| LaneAsk {
                    children,
                    hurdles,
                    gap_m,
                    v_max_mps,
                    drills: ids.iter().map(|id| drill(id, gap_m, effort)).collect(),
                    run_up_m: None,
                })
                .collect(),
            exit_sprint_m,
            run_up_steps_max: None,
            hurdle_width_m: 0.6,
            surface,
            space: Some(Space {
                length_m,
                width_m,
                surface,
                wall_start: walls[0],
                wall_finish: walls[1],
                wall_left: walls[2],
                wall_right: walls[3],
            }),
        })
}

proptest! {
    #[test]
    fn stopping_room_is_the_same_on_every_floor_and_never_less_than_the_speed_needs(
        site in any_site(), length_m in 5.0_f64..80.0, width_m in 2.0_f64..40.0,
    ) {
        let mut other = site.clone();
        if let Some(space) = &mut other.space {
            (space.length_m, space.width_m) = (length_m, width_m);
        }
        let here = arrange(&site);
        for (part, elsewhere) in here.parts.iter().zip(&arrange(&other).parts) {
            prop_assert_eq!(part, elsewhere);
            let needed_m = part.exit_speed_mps.powi(2) / (2.0 * deceleration_mps2(site.surface));
            prop_assert!(part.stopping_m >= needed_m - 1e-12 && part.margin_m == MARGIN_M);
        }
        for (part, lane) in here.parts.iter().zip(&site.lanes) {
            for drill in &lane.drills {
                prop_assert!(drill.walk || part.exit_speed_mps >= drill.effort * lane.v_max_mps);
            }
        }
    }

    #[test]
    fn remedies_when_applied_really_fit_and_leave_the_stopping_room_to_the_speed(site in any_site()) {
        for changes in remedies(&site) {
            prop_assert!(!changes.is_empty());
            let changed = changes.iter().fold(site.clone(), |site, change| apply(&site, change));
            let arrangement = arrange(&changed);
            prop_assert!(arrangement.fits, "{:?}", changes);
            for part in &arrangement.parts {
                let needed_m = part.exit_speed_mps.powi(2) / (2.0 * deceleration_mps2(site.surface));
                prop_assert!(part.stopping_m >= needed_m - 1e-12 && part.margin_m == MARGIN_M);
            }
        }
    }

    #[test]
    fn no_change_of_a_remedy_can_be_left_out(site in any_site()) {
        for changes in remedies(&site) {
            for index in 0..changes.len() {
                let mut without = changes.clone();
                without.remove(index);
                let changed = without.iter().fold(site.clone(), |site, change| apply(&site, change));
                prop_assert!(!arrange(&changed).fits, "{:?} without {:?}", changes, changes[index]);
            }
        }
    }

    #[test]
    fn what_fits_lies_on_the_floor_and_lanes_keep_their_distance(site in any_site()) {
        let arrangement = arrange(&site);
        prop_assume!(arrangement.fits);
        let floor = arrangement.floor.as_ref().unwrap();
        let space = &floor.space;
        for (place, part) in floor.lanes.iter().zip(&arrangement.parts) {
            prop_assert!(place.start_x_m - part.waiting_m - part.start_stopping_m >= -1e-9);
            let end_m = place.start_x_m + length_m(part) - part.waiting_m - part.start_stopping_m;
            prop_assert!(end_m <= space.length_m + ROUNDING_M + 1e-9);
            let left_clear_m = if space.wall_left { WALL_CLEAR_M } else { 0.0 };
            prop_assert!(place.left_y_m - part.side_strip_m >= left_clear_m - 1e-9);
            prop_assert!(place.right_y_m + part.way_back_m <= space.width_m + ROUNDING_M + 1e-9);
        }
        for pair in floor.lanes.windows(2) {
            prop_assert!(pair[1].left_y_m - pair[0].right_y_m >= LANE_GAP_M - 1e-9);
        }
    }
}
