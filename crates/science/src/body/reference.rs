//! Growth references for stature: what is usual at an age.

use std::sync::OnceLock;

use lanewright_model::Sex;

use crate::normal;

/// Which children a stature is compared with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reference {
    /// WHO 2007 height-for-age, 61 to 228 months (de Onis et al. 2007, Bull World Health Organ 85:660-667).
    Who2007,
    /// CDC 2000 stature-for-age, 24 to 240 months (Kuczmarski et al. 2002, Vital Health Stat 11(246)).
    Cdc2000,
}

/// One row of a growth reference: the distribution of stature at one age and sex (Cole & Green 1992).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lms {
    /// Box-Cox power that makes the distribution normal; 1 when it is normal already.
    pub l: f64,
    /// Median stature in centimetres.
    pub m_cm: f64,
    /// Coefficient of variation.
    pub s: f64,
}

impl Lms {
    /// Returns the z-score of a stature: how many standard deviations it lies above the median.
    ///
    /// # Formula
    /// ((x/M)^L − 1) / (L S), or ln(x/M) / S for L = 0 (Cole & Green 1992, Statistics in Medicine 11:1305-1319).
    pub fn z_score(&self, stature_cm: f64) -> f64 {
        let ratio = stature_cm / self.m_cm;
        if self.l == 0.0 {
            libm::log(ratio) / self.s
        } else if self.l == 1.0 {
            (ratio - 1.0) / self.s
        } else {
            (libm::pow(ratio, self.l) - 1.0) / (self.l * self.s)
        }
    }

    /// Returns the stature in centimetres at a z-score; the inverse of [`Lms::z_score`].
    pub fn stature_cm(&self, z_score: f64) -> f64 {
        if self.l == 0.0 {
            self.m_cm * libm::exp(self.s * z_score)
        } else if self.l == 1.0 {
            self.m_cm * (1.0 + self.s * z_score)
        } else {
            self.m_cm * libm::pow(1.0 + self.l * self.s * z_score, 1.0 / self.l)
        }
    }

    /// Returns the share of children of that age and sex who are not taller, 0 to 1.
    pub fn share_not_taller(&self, stature_cm: f64) -> f64 {
        normal::cdf(self.z_score(stature_cm))
    }

    /// Returns the standard deviation of ln stature: half the distance of the 5th and 95th percentile on the log
    /// scale, in units of [`normal::Z_95`].
    pub fn sd_ln(&self) -> f64 {
        libm::log(self.stature_cm(normal::Z_95) / self.stature_cm(-normal::Z_95)) / (2.0 * normal::Z_95)
    }
}

/// Months of age with the row that holds there, ascending.
struct Table {
    female: Vec<(f64, Lms)>,
    male: Vec<(f64, Lms)>,
}

fn table(reference: Reference) -> &'static Table {
    static WHO: OnceLock<Table> = OnceLock::new();
    static CDC: OnceLock<Table> = OnceLock::new();
    match reference {
        Reference::Who2007 => WHO.get_or_init(|| read(include_str!("../../data/who2007_stature.csv"))),
        Reference::Cdc2000 => CDC.get_or_init(|| read(include_str!("../../data/cdc2000_stature.csv"))),
    }
}

/// Reads a table that is part of the program; its form is tested.
fn read(csv: &str) -> Table {
    let mut table = Table { female: Vec::new(), male: Vec::new() };
    for line in csv.lines().skip(1) {
        let mut cells = line.split(',');
        let sex = cells.next().expect("a sex column");
        let mut number = || cells.next().and_then(|cell| cell.parse::<f64>().ok()).expect("a number");
        let (age_months, row) = (number(), Lms { l: number(), m_cm: number(), s: number() });
        let rows = if sex == "female" { &mut table.female } else { &mut table.male };
        rows.push((age_months, row));
    }
    table
}

/// Returns the row of a reference at an age, or nothing outside its range.
///
/// L, M and S are interpolated linearly in age between the rows of the table. `age_months` is decimal age times
/// twelve.
pub fn lms(reference: Reference, sex: Sex, age_months: f64) -> Option<Lms> {
    let rows = match sex {
        Sex::Female => &table(reference).female,
        Sex::Male => &table(reference).male,
    };
    let (first, last) = (rows.first()?, rows.last()?);
    if !(first.0..=last.0).contains(&age_months) {
        return None;
    }
    let above = rows.partition_point(|row| row.0 < age_months);
    let (age_high, high) = rows[above];
    if above == 0 || age_high == age_months {
        return Some(high);
    }
    let (age_low, low) = rows[above - 1];
    let share = (age_months - age_low) / (age_high - age_low);
    let between = |a: f64, b: f64| a + share * (b - a);
    Some(Lms { l: between(low.l, high.l), m_cm: between(low.m_cm, high.m_cm), s: between(low.s, high.s) })
}

const WHO_FIRST_MONTH: f64 = 61.0;
const WHO_LAST_MONTH: f64 = 228.0;
const CDC_FIRST_MONTH: f64 = 24.0;
const CDC_LAST_MONTH: f64 = 240.0;

/// Returns what is usual at an age, for every age: the row that the rest of the program uses.
///
/// WHO 2007 from 5 years 1 month to 19 years. Younger and older the CDC 2000 row, its median scaled so that the
/// two meet without a step; below 2 years (and for NaN) the row of 2 years, above 20 years that of 20.
pub fn usual(sex: Sex, age_y: f64) -> Lms {
    let age_months = normal::within(12.0 * age_y, CDC_FIRST_MONTH, CDC_LAST_MONTH);
    if let Some(row) = lms(Reference::Who2007, sex, age_months) {
        return row;
    }
    let joint = if age_months < WHO_FIRST_MONTH { WHO_FIRST_MONTH } else { WHO_LAST_MONTH };
    let row = |reference, months| lms(reference, sex, months).expect("the age lies inside the table");
    let scale = row(Reference::Who2007, joint).m_cm / row(Reference::Cdc2000, joint).m_cm;
    let outer = row(Reference::Cdc2000, age_months);
    Lms { m_cm: outer.m_cm * scale, ..outer }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn embedded_tables_are_whole_and_ascending() {
        for (reference, first, last, count) in
            [(Reference::Who2007, 61.0, 228.0, 168), (Reference::Cdc2000, 24.0, 240.0, 218)]
        {
            for rows in [&table(reference).female, &table(reference).male] {
                assert_eq!(rows.len(), count);
                assert_eq!((rows[0].0, rows[count - 1].0), (first, last));
                for pair in rows.windows(2) {
                    assert!(pair[0].0 < pair[1].0);
                    // Medians grow until the tables level off.
                    assert!(pair[1].1.m_cm > pair[0].1.m_cm - 0.001);
                }
                for (_, row) in rows {
                    assert!((50.0..200.0).contains(&row.m_cm) && (0.03..0.06).contains(&row.s));
                }
            }
        }
    }

    #[test]
    fn usual_stature_has_no_step_at_the_joints() {
        for sex in [Sex::Female, Sex::Male] {
            for joint in [WHO_FIRST_MONTH, WHO_LAST_MONTH] {
                let below = usual(sex, (joint - 1e-6) / 12.0).m_cm;
                let above = usual(sex, (joint + 1e-6) / 12.0).m_cm;
                assert!((below - above).abs() < 1e-4, "{sex:?} at {joint} months: {below} against {above}");
            }
            for age_y in [-3.0, 0.0, 2.0, 20.0, 70.0, f64::INFINITY, f64::NAN] {
                assert!(usual(sex, age_y).m_cm.is_finite());
            }
        }
    }

    #[test]
    fn stature_and_z_score_are_inverse() {
        for sex in [Sex::Female, Sex::Male] {
            for age_months in [30.0, 77.7, 120.5, 200.0, 239.0] {
                let row = lms(Reference::Cdc2000, sex, age_months).unwrap();
                for z_score in [-3.0, -0.5, 0.0, 2.0] {
                    assert!((row.z_score(row.stature_cm(z_score)) - z_score).abs() < 1e-12);
                }
            }
        }
        let flat = Lms { l: 0.0, m_cm: 140.0, s: 0.05 };
        assert!((flat.z_score(flat.stature_cm(1.5)) - 1.5).abs() < 1e-12);
    }
}
