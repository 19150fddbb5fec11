//! Additive log-odds from a table: for each trait a broken line through five knots.
//!
//! The tables stand in `data/`; `bench/listen_fit.py` wrote them and says at the top of each how.

/// One broken line.
#[derive(Debug, Clone, PartialEq)]
struct Line {
    /// Which trait.
    from: usize,
    knots: Vec<f64>,
    values: Vec<f64>,
}

impl Line {
    fn at(&self, x: f64) -> f64 {
        let last = self.knots.len() - 1;
        if x <= self.knots[0] {
            return self.values[0];
        }
        if x >= self.knots[last] {
            return self.values[last];
        }
        let high = self.knots.partition_point(|&knot| knot <= x).clamp(1, last);
        let (a, b) = (self.knots[high - 1], self.knots[high]);
        let share = if b > a { (x - a) / (b - a) } else { 0.0 };
        self.values[high - 1] + share * (self.values[high] - self.values[high - 1])
    }
}

/// A table of broken lines, one a trait, and a constant.
#[derive(Debug, Clone, PartialEq)]
pub struct Weights {
    constant: f64,
    lines: Vec<Line>,
}

impl Weights {
    /// Reads a table: lines `constant,VALUE` and `TRAIT,KNOT:VALUE,KNOT:VALUE,…`; `#` starts a remark. `traits` are the
    /// names of the traits in the order in which [`Weights::log_odds`] gets them. `None` when a trait is unknown or has
    /// no knot, a number does not read, knots do not rise, or the constant is missing.
    #[must_use]
    pub fn parse(text: &str, traits: &[&str]) -> Option<Self> {
        let mut constant = None;
        let mut lines = Vec::new();
        for row in text.lines().map(str::trim).filter(|row| !row.is_empty() && !row.starts_with('#')) {
            let mut parts = row.split(',');
            let name = parts.next()?;
            if name == "constant" {
                constant = parts.next()?.parse().ok();
                continue;
            }
            let from = traits.iter().position(|&known| known == name)?;
            let mut line = Line { from, knots: Vec::new(), values: Vec::new() };
            for pair in parts {
                let (knot, value) = pair.split_once(':')?;
                line.knots.push(knot.parse().ok()?);
                line.values.push(value.parse().ok()?);
            }
            if line.knots.is_empty() || !line.knots.is_sorted() {
                return None;
            }
            lines.push(line);
        }
        Some(Self { constant: constant?, lines })
    }

    /// Log-odds for the traits of one candidate; missing ones count nothing.
    #[must_use]
    pub fn log_odds(&self, traits: &[f64]) -> f64 {
        self.constant
            + self.lines.iter().filter_map(|line| Some(line.at(*traits.get(line.from)?))).sum::<f64>()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_broken_line_runs_through_its_knots_and_stays_flat_outside() {
        let table =
            Weights::parse("# remark\nconstant,1\nrise,0:2,1:4,3:0\n", &["level", "rise"]).expect("it reads");
        let at = |rise: f64| table.log_odds(&[99.0, rise]);
        assert_eq!((at(-5.0), at(0.0), at(0.5), at(1.0), at(2.0), at(9.0)), (3.0, 3.0, 4.0, 5.0, 3.0, 1.0));
    }

    #[test]
    fn tables_that_make_no_sense_are_refused() {
        for text in
            ["rise,0:1", "constant,1\nrise", "constant,1\nfall,0:1", "constant,1\nrise,1:0,0:1", "constant,x"]
        {
            assert_eq!(Weights::parse(text, &["rise"]), None, "{text}");
        }
    }

    #[test]
    fn the_tables_of_this_crate_read() {
        let tables = crate::analyse::Tables::shipped();
        let loud_and_steep = [2.0; crate::candidates::TRAITS];
        assert!(tables.contact.log_odds(&loud_and_steep).is_finite());
    }
}
