//! Jobs for children who help today: lanes to stand hurdles up in.

/// One helper and the lanes that are theirs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Job {
    /// The helper's label.
    pub helper: String,
    /// Names of the lanes.
    pub lanes: Vec<String>,
}

/// Deals the lanes out to the helpers: neighbouring lanes to one helper, every lane looked after once, and with
/// more helpers than lanes two at the lanes with the most children.
///
/// `lanes` holds each lane's name and number of children.
pub fn deal(helpers: &[String], lanes: &[(String, usize)]) -> Vec<Job> {
    if helpers.is_empty() || lanes.is_empty() {
        return Vec::new();
    }
    let mut jobs: Vec<Job> =
        helpers.iter().map(|helper| Job { helper: helper.clone(), lanes: Vec::new() }).collect();
    if helpers.len() <= lanes.len() {
        for (index, (lane, _)) in lanes.iter().enumerate() {
            jobs[index * helpers.len() / lanes.len()].lanes.push(lane.clone());
        }
        return jobs;
    }
    let mut fullest: Vec<&(String, usize)> = lanes.iter().collect();
    fullest.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    for (index, job) in jobs.iter_mut().enumerate() {
        let lane = if index < lanes.len() {
            &lanes[index].0
        } else {
            &fullest[(index - lanes.len()) % fullest.len()].0
        };
        job.lanes.push(lane.clone());
    }
    jobs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(count: usize) -> Vec<String> {
        (0..count).map(|number| format!("h{number}")).collect()
    }

    fn lanes(counts: &[usize]) -> Vec<(String, usize)> {
        counts.iter().zip('A'..).map(|(count, name)| (name.to_string(), *count)).collect()
    }

    #[test]
    fn every_lane_has_a_helper_and_every_helper_a_lane() {
        for helper_count in 1..8 {
            for lane_count in 1..7 {
                let lanes = lanes(&vec![5; lane_count]);
                let jobs = deal(&names(helper_count), &lanes);
                assert_eq!(jobs.len(), helper_count);
                assert!(jobs.iter().all(|job| !job.lanes.is_empty()));
                for (lane, _) in &lanes {
                    assert!(jobs.iter().any(|job| job.lanes.contains(lane)));
                }
            }
        }
    }

    #[test]
    fn one_helper_looks_after_neighbouring_lanes() {
        let jobs = deal(&names(2), &lanes(&[7, 7, 7, 7]));
        assert_eq!(jobs[0].lanes, ["A", "B"]);
        assert_eq!(jobs[1].lanes, ["C", "D"]);
    }

    #[test]
    fn a_third_helper_joins_the_fullest_of_two_lanes() {
        let jobs = deal(&names(3), &lanes(&[6, 7]));
        assert_eq!(jobs[2].lanes, ["B"]);
    }

    #[test]
    fn nobody_helping_means_no_jobs() {
        assert!(deal(&[], &lanes(&[5])).is_empty());
        assert!(deal(&names(2), &[]).is_empty());
    }
}
