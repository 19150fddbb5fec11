//! Statures from a line-up: a few measured, the rest by their place.
//!
//! Children of one class are spread like a normal distribution: many in the middle of the line, few at its ends.
//! So statures are not drawn straight against the place in the line but against its *normal score*, the place's
//! expected position on that distribution. What remains uncertain is how far each place may stray from the line
//! between its measured neighbours, and order statistics say how far.

use crate::normal;

/// Spread of ln stature inside one class before anything of it is known: the within-age spread of a growth
/// reference (0.047) and some difference in age.
pub(super) const CLASS_SD_LN: f64 = 0.05;

/// How well that spread is known beforehand. Engineering assumption.
const CLASS_SD_OF_SD_LN: f64 = 0.015;

/// Misjudgement of a line put in order by eye, on ln stature: about a centimetre. Engineering assumption.
const BY_EYE_SD_LN: f64 = 0.007;

/// Two measured children who stand in the wrong order are reported beyond this difference of ln stature: about
/// 2 cm.
const OUT_OF_ORDER_LN: f64 = 0.014;

/// A child in the line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    /// Place counted from the tallest, 1 first.
    pub place: u32,
    /// How many stand in the line.
    pub size: u32,
    /// Mean and standard deviation of ln stature, when this child was measured.
    pub measured: Option<(f64, f64)>,
}

impl Place {
    fn is_usable(&self) -> bool {
        (1..=self.size).contains(&self.place)
    }

    /// Expected position on the standard normal (Blom 1958: (i − 3/8) / (n + 1/4)), tallest highest.
    fn score(&self) -> f64 {
        -normal::quantile((f64::from(self.place) - 0.375) / (f64::from(self.size) + 0.25))
    }

    /// Share of the line that is shorter.
    fn share_below(&self) -> f64 {
        1.0 - f64::from(self.place) / (f64::from(self.size) + 1.0)
    }
}

/// Covariance of two places' statures in units of the class spread: the leading term for normal order statistics,
/// p (1 − q) / ((n + 2) φ(z_p) φ(z_q)) for p ≤ q (David & Johnson 1954, Biometrika 41:228-240).
fn covariance(a: &Place, b: &Place) -> f64 {
    let (low, high) = (a.share_below().min(b.share_below()), a.share_below().max(b.share_below()));
    let density = |share| normal::pdf(normal::quantile(share));
    low * (1.0 - high) / ((f64::from(a.size) + 2.0) * density(low) * density(high))
}

/// Variance of Σ weightᵢ statureᵢ in units of the squared class spread.
fn variance_of(terms: &[(f64, &Place)]) -> f64 {
    terms
        .iter()
        .flat_map(|a| terms.iter().map(move |b| a.0 * b.0 * covariance(a.1, b.1)))
        .sum::<f64>()
        .max(0.0)
}

/// What a line-up says about the children in it.
pub(super) struct FromLine {
    /// Mean and standard deviation of ln stature for every child who was not measured; same order as the input,
    /// nothing for measured children and for places that make no sense.
    pub ln_stature: Vec<Option<(f64, f64)>>,
    /// Positions in the input of measured children whose statures contradict the order of the line.
    pub out_of_order: Vec<usize>,
}

/// Returns statures for the unmeasured children of a line.
///
/// `level` is mean ln stature of the class, its standard deviation, and the spread between children; it is used
/// only when nobody in the line was measured, and without it such a line says nothing.
pub(super) fn statures(line: &[Place], level: Option<(f64, f64, f64)>) -> FromLine {
    let mut anchors: Vec<(usize, f64)> = line
        .iter()
        .enumerate()
        .filter(|(_, place)| place.is_usable())
        .filter_map(|(index, place)| place.measured.map(|(mu, _)| (index, mu)))
        .collect();
    // Shortest first; the second key keeps equal places in a fixed order.
    anchors.sort_by(|a, b| {
        (line[a.0].score(), a.1, a.0).partial_cmp(&(line[b.0].score(), b.1, b.0)).expect("finite scores")
    });
    let in_order = pooled_ascending(&anchors.iter().map(|anchor| anchor.1).collect::<Vec<_>>());
    let out_of_order = anchors
        .iter()
        .zip(&in_order)
        .filter(|((_, mu), pooled)| (mu - **pooled).abs() > 0.5 * OUT_OF_ORDER_LN)
        .map(|((index, _), _)| *index)
        .collect();
    let anchors: Vec<Anchor<'_>> = anchors
        .iter()
        .zip(in_order)
        .map(|(&(index, _), mu)| Anchor {
            place: &line[index],
            score: line[index].score(),
            mu,
            sd: line[index].measured.map_or(0.0, |(_, sd)| sd),
        })
        .collect();
    let spread = class_spread(&anchors);
    let ln_stature = line
        .iter()
        .map(|place| {
            if place.measured.is_some() || !place.is_usable() {
                return None;
            }
            match (anchors.is_empty(), level) {
                (false, _) => Some(beside_anchors(place, &anchors, spread)),
                (true, Some(level)) => Some(from_level(place, level)),
                (true, None) => None,
            }
        })
        .collect();
    FromLine { ln_stature, out_of_order }
}

struct Anchor<'a> {
    place: &'a Place,
    score: f64,
    mu: f64,
    sd: f64,
}

/// Spread of ln stature in the class and how well it is known, from the outermost measured children.
fn class_spread(anchors: &[Anchor<'_>]) -> (f64, f64) {
    let prior = (CLASS_SD_LN, CLASS_SD_OF_SD_LN);
    let (Some(short), Some(tall)) = (anchors.first(), anchors.last()) else { return prior };
    let scores = tall.score - short.score;
    if scores < 0.5 {
        return prior;
    }
    let seen = (tall.mu - short.mu) / scores;
    let noise = CLASS_SD_LN * variance_of(&[(1.0, tall.place), (-1.0, short.place)]).sqrt() / scores
        + BY_EYE_SD_LN / scores;
    let (seen_weight, prior_weight) = (1.0 / (noise * noise), 1.0 / (prior.1 * prior.1));
    let total = seen_weight + prior_weight;
    ((seen * seen_weight + prior.0 * prior_weight) / total, 1.0 / total.sqrt())
}

fn beside_anchors(place: &Place, anchors: &[Anchor<'_>], (spread, spread_sd): (f64, f64)) -> (f64, f64) {
    let score = place.score();
    let above = anchors.partition_point(|anchor| anchor.score < score);
    let own_noise = BY_EYE_SD_LN * BY_EYE_SD_LN;
    let beyond = |anchor: &Anchor<'_>| {
        let scores = score - anchor.score;
        let strays = variance_of(&[(1.0, place), (-1.0, anchor.place)]);
        let variance =
            spread * spread * strays + scores * scores * spread_sd * spread_sd + anchor.sd * anchor.sd;
        (anchor.mu + spread * scores, (variance + own_noise).sqrt())
    };
    if above == 0 {
        return beyond(&anchors[0]);
    }
    if above == anchors.len() {
        return beyond(&anchors[above - 1]);
    }
    let (short, tall) = (&anchors[above - 1], &anchors[above]);
    let share = (score - short.score) / (tall.score - short.score);
    let strays = variance_of(&[(1.0, place), (-share, tall.place), (share - 1.0, short.place)]);
    let measured =
        (share * tall.sd) * (share * tall.sd) + ((1.0 - share) * short.sd) * ((1.0 - share) * short.sd);
    (short.mu + share * (tall.mu - short.mu), (spread * spread * strays + measured + own_noise).sqrt())
}

fn from_level(place: &Place, (mean, mean_sd, spread): (f64, f64, f64)) -> (f64, f64) {
    let score = place.score();
    let spread_sd = score * CLASS_SD_OF_SD_LN;
    let strays = spread * spread * variance_of(&[(1.0, place)]);
    let variance = mean_sd * mean_sd + strays + spread_sd * spread_sd + BY_EYE_SD_LN * BY_EYE_SD_LN;
    (mean + spread * score, variance.sqrt())
}

/// Returns the closest ascending sequence in the sense of least squares (pool adjacent violators).
fn pooled_ascending(values: &[f64]) -> Vec<f64> {
    let mut blocks: Vec<(f64, usize)> = Vec::with_capacity(values.len());
    for &value in values {
        blocks.push((value, 1));
        while let [.., (low_sum, low_count), (high_sum, high_count)] = blocks[..] {
            if low_sum / low_count as f64 <= high_sum / high_count as f64 {
                break;
            }
            blocks.truncate(blocks.len() - 2);
            blocks.push((low_sum + high_sum, low_count + high_count));
        }
    }
    blocks.iter().flat_map(|&(sum, count)| std::iter::repeat_n(sum / count as f64, count)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(size: u32, measured: &[(u32, f64)]) -> Vec<Place> {
        (1..=size)
            .map(|place| Place {
                place,
                size,
                measured: measured.iter().find(|(at, _)| *at == place).map(|(_, cm)| (libm::log(*cm), 0.004)),
            })
            .collect()
    }

    #[test]
    fn three_measured_children_place_the_rest_in_order() {
        let line = line(27, &[(1, 166.0), (14, 148.0), (27, 133.0)]);
        let found = statures(&line, None);
        assert!(found.out_of_order.is_empty());
        let all: Vec<f64> = line
            .iter()
            .zip(&found.ln_stature)
            .map(|(place, found)| libm::exp(found.or(place.measured).unwrap().0))
            .collect();
        assert!(all.windows(2).all(|pair| pair[0] > pair[1]), "{all:?}");
        // Half-way up the line on either side: nearer to the middle child than to the outermost one.
        assert!(all[6] - all[13] < all[0] - all[6]);
        for (_, sd) in found.ln_stature.iter().flatten() {
            assert!((0.007..0.03).contains(sd), "{sd}");
        }
    }

    #[test]
    fn unmeasured_line_hangs_on_the_level_of_the_class() {
        let line = line(5, &[]);
        assert!(statures(&line, None).ln_stature.iter().all(Option::is_none));
        let found = statures(&line, Some((libm::log(150.0), 0.02, 0.05))).ln_stature;
        assert!((libm::exp(found[2].unwrap().0) - 150.0).abs() < 1e-9);
        assert!(found[0].unwrap().0 > found[4].unwrap().0);
    }

    #[test]
    fn one_measured_child_gives_the_level_and_the_reference_the_slope() {
        let line = line(21, &[(11, 150.0)]);
        let found = statures(&line, None).ln_stature;
        let tallest_cm = libm::exp(found[0].unwrap().0);
        assert!((162.0..168.0).contains(&tallest_cm), "{tallest_cm}");
        assert!(found[0].unwrap().1 > found[9].unwrap().1);
    }

    #[test]
    fn contradiction_between_line_and_tape_is_reported_and_survived() {
        let line = line(9, &[(1, 150.0), (5, 156.0), (9, 140.0)]);
        let found = statures(&line, None);
        assert_eq!(found.out_of_order, vec![4, 0]);
        for (mu, sd) in found.ln_stature.iter().flatten() {
            assert!(mu.is_finite() && *sd > 0.0);
        }
    }

    #[test]
    fn places_that_make_no_sense_are_passed_over() {
        let line = [
            Place { place: 0, size: 3, measured: None },
            Place { place: 4, size: 3, measured: Some((5.0, 0.004)) },
            Place { place: 2, size: 3, measured: None },
        ];
        assert!(statures(&line, None).ln_stature.iter().all(Option::is_none));
    }

    #[test]
    fn pooling_makes_a_sequence_ascend() {
        assert_eq!(pooled_ascending(&[1.0, 3.0, 2.0, 4.0]), [1.0, 2.5, 2.5, 4.0]);
        assert_eq!(pooled_ascending(&[3.0, 2.0, 1.0]), [2.0, 2.0, 2.0]);
        assert!(pooled_ascending(&[]).is_empty());
    }
}
