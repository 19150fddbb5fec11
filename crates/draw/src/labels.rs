//! Puts labels beside close marks so that none covers another.

/// Where one label goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Placed {
    /// Which label.
    pub(crate) index: usize,
    /// Centre of the label along the axis.
    pub(crate) centre: f64,
}

/// Spreads labels along an axis: each as near to its mark as the others allow, in the order of the marks.
///
/// `labels` are (position of the mark, extent of the label) in the order of their positions. Labels stay within
/// `low..high` and keep `space` between them. When a label would end up farther than `reach` from its mark, every
/// second, third … label is shown instead, and always the first and the last, if there is room for two at all.
///
/// # Method
/// Least squares of the shifts under least distances between neighbours. With the distances summed up and taken off,
/// this is isotonic regression, which pooling adjacent violators solves exactly; bounds only clip its solution.
pub(crate) fn spread(labels: &[(f64, f64)], low: f64, high: f64, space: f64, reach: f64) -> Vec<Placed> {
    let Some(last) = labels.len().checked_sub(1) else { return Vec::new() };
    for step in 1..=labels.len() {
        let shown: Vec<usize> = (0..labels.len())
            // A label right before the last one yields to it.
            .filter(|index| *index == last || (index % step == 0 && (*index == 0 || last - index >= step)))
            .collect();
        if let Some(placed) = spread_all(labels, &shown, low, high, space)
            && placed.iter().all(|label| (label.centre - labels[label.index].0).abs() <= reach)
        {
            return placed;
        }
    }
    spread_all(labels, &[0], low, high, space).unwrap_or_default()
}

fn spread_all(
    labels: &[(f64, f64)],
    shown: &[usize],
    low: f64,
    high: f64,
    space: f64,
) -> Option<Vec<Placed>> {
    // Offsets: how far the centre of each label must be from the centre of the first.
    let mut offsets = Vec::with_capacity(shown.len());
    let mut offset = 0.0;
    let mut before: Option<f64> = None;
    for &index in shown {
        let extent = labels[index].1;
        if let Some(before) = before {
            offset += (before + extent) / 2.0 + space;
        }
        offsets.push(offset);
        before = Some(extent);
    }
    let first_extent = labels[*shown.first()?].1;
    let from = low + first_extent / 2.0;
    let to = high - before? / 2.0 - offset;
    if to < from {
        return None;
    }
    // Pools of labels that touch: (sum of wanted positions less offsets, how many).
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (&index, offset) in shown.iter().zip(&offsets) {
        pools.push((labels[index].0 - offset, 1));
        while let [.., left, right] = pools[..]
            && left.0 / left.1 as f64 >= right.0 / right.1 as f64
        {
            pools.truncate(pools.len() - 2);
            pools.push((left.0 + right.0, left.1 + right.1));
        }
    }
    let centres = pools.iter().flat_map(|(sum, count)| std::iter::repeat_n(sum / *count as f64, *count));
    Some(
        shown
            .iter()
            .zip(&offsets)
            .zip(centres)
            .map(|((index, offset), centre)| Placed {
                index: *index,
                centre: centre.clamp(from, to) + offset,
            })
            .collect(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn centres(labels: &[(f64, f64)], high: f64, reach: f64) -> Vec<f64> {
        spread(labels, 0.0, high, 4.0, reach).iter().map(|label| label.centre).collect()
    }

    #[test]
    fn labels_with_room_stand_under_their_marks() {
        let labels: Vec<(f64, f64)> = (0..6).map(|k| (f64::from(k) * 40.0 + 20.0, 30.0)).collect();
        assert_eq!(centres(&labels, 300.0, 80.0), [20.0, 60.0, 100.0, 140.0, 180.0, 220.0]);
    }

    #[test]
    fn close_labels_fan_out_evenly_about_their_middle() {
        let labels: Vec<(f64, f64)> = (0..4).map(|k| (f64::from(k) * 10.0 + 100.0, 30.0)).collect();
        assert_eq!(centres(&labels, 300.0, 80.0), [64.0, 98.0, 132.0, 166.0]);
    }

    #[test]
    fn labels_at_the_edge_move_inside() {
        assert_eq!(centres(&[(0.0, 30.0), (100.0, 30.0)], 100.0, 80.0), [15.0, 85.0]);
    }

    #[test]
    fn crowded_labels_are_thinned_and_keep_both_ends() {
        let labels: Vec<(f64, f64)> = (0..40).map(|k| (f64::from(k) * 5.0 + 20.0, 30.0)).collect();
        let placed = spread(&labels, 0.0, 300.0, 4.0, 80.0);
        assert!(placed.len() > 3 && placed.len() < 40);
        assert_eq!((placed[0].index, placed[placed.len() - 1].index), (0, 39));
        assert!(placed.windows(2).all(|pair| pair[1].centre - pair[0].centre >= 34.0 - 1e-9));
    }

    #[test]
    fn no_room_for_a_label_means_no_label() {
        assert!(spread(&[(5.0, 30.0)], 0.0, 20.0, 4.0, 80.0).is_empty());
        assert!(spread(&[], 0.0, 20.0, 4.0, 80.0).is_empty());
    }
}
