//! Analysis of variance of groups and of randomised complete blocks.

use crate::{
    StatsError,
    describe::{mean_of, squares_about_mean},
    distribution::{f_upper_tail, t_coverage_factor},
    error::{count, length, share, values as check},
};

/// One line of the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Sum of squares.
    pub squares: f64,
    /// Degrees of freedom.
    pub df: f64,
}

impl Line {
    /// Sum of squares over degrees of freedom.
    #[must_use]
    pub fn mean_square(&self) -> f64 {
        self.squares / self.df
    }

    /// F against an error line, and its p.
    fn against(&self, error: &Self) -> Result<(f64, f64), StatsError> {
        if error.squares <= 0.0 {
            return Err(StatsError::NoScatter { argument: "values within groups" });
        }
        let f = self.mean_square() / error.mean_square();
        Ok((f, f_upper_tail(f, self.df, error.df)?))
    }
}

/// Groups compared with the scatter within them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneWay {
    /// Between group means.
    pub between: Line,
    /// Within groups.
    pub within: Line,
}

impl OneWay {
    /// F and its p.
    ///
    /// # Errors `NoScatter` when nothing scatters within the groups.
    pub fn test(&self) -> Result<(f64, f64), StatsError> {
        self.between.against(&self.within)
    }

    /// Share of all squares that lies between groups.
    #[must_use]
    pub fn share_between(&self) -> f64 {
        self.between.squares / (self.between.squares + self.within.squares)
    }
}

/// Analysis of variance of groups.
///
/// Sums of squares are taken about means that were themselves corrected, so that values with many
/// equal leading digits keep theirs.
///
/// # Errors `TooFew` below two groups, for an empty group, or without a repeat anywhere; `Argument`
///   for a value not finite.
/// # Source Fisher RA (1925) Statistical Methods for Research Workers; certified examples of the
///   NIST Statistical Reference Datasets in the tests.
pub fn one_way(groups: &[Vec<f64>]) -> Result<OneWay, StatsError> {
    count("groups", groups.len(), 2)?;
    groups.iter().try_for_each(|group| check("group", group, 1))?;
    let total: usize = groups.iter().map(Vec::len).sum();
    count("values", total, groups.len() + 1)?;
    let centre = mean_of(&groups.concat());
    let between =
        groups.iter().map(|group| group.len() as f64 * (mean_of(group) - centre).powi(2)).sum();
    let within = groups.iter().map(|group| squares_about_mean(group)).sum();
    Ok(OneWay {
        between: Line { squares: between, df: groups.len() as f64 - 1.0 },
        within: Line { squares: within, df: (total - groups.len()) as f64 },
    })
}

/// Treatments compared within blocks.
#[derive(Debug, Clone, PartialEq)]
pub struct Blocks {
    /// Between blocks.
    pub block: Line,
    /// Between treatments.
    pub treatment: Line,
    /// What is left.
    pub error: Line,
    /// Mean of each treatment.
    pub treatment_means: Vec<f64>,
    /// Mean of all values.
    pub mean: f64,
    /// F of treatments and its p.
    pub treatment_test: (f64, f64),
    /// F of blocks and its p.
    pub block_test: (f64, f64),
}

impl Blocks {
    /// Standard error of the difference of two treatment means.
    #[must_use]
    pub fn standard_error_of_difference(&self) -> f64 {
        let blocks = self.block.df + 1.0;
        (2.0 * self.error.mean_square() / blocks).sqrt()
    }

    /// Least significant difference of two treatments named before the trial.
    ///
    /// # Errors `Argument` for a level not between 0 and 1.
    /// # Source Gomez KA, Gomez AA (1984) Statistical Procedures for Agricultural Research:
    ///   t sqrt(2 MSE / blocks).
    pub fn least_significant_difference(&self, level: f64) -> Result<f64, StatsError> {
        share("level", level)?;
        Ok(t_coverage_factor(level, self.error.df)? * self.standard_error_of_difference())
    }

    /// Error deviation over the mean, as a ratio.
    #[must_use]
    pub fn variation(&self) -> f64 {
        self.error.mean_square().sqrt() / self.mean
    }
}

/// Analysis of variance of `rows[treatment][block]`, one value each.
///
/// # Errors `TooFew` below two treatments or blocks, `Length` where a block is missing, `NoScatter`
///   when nothing is left for error, `Argument` for a value not finite.
/// # Source Gomez KA, Gomez AA (1984) Statistical Procedures for Agricultural Research, randomised
///   complete block design.
pub fn randomised_blocks(rows: &[Vec<f64>]) -> Result<Blocks, StatsError> {
    count("treatments", rows.len(), 2)?;
    let blocks = rows[0].len();
    count("blocks", blocks, 2)?;
    for row in rows {
        length("blocks", row.len(), blocks)?;
        check("blocks", row, 2)?;
    }
    let (t, b) = (rows.len() as f64, blocks as f64);
    let mean = mean_of(&rows.concat());
    let treatment_means: Vec<f64> = rows.iter().map(|row| mean_of(row)).collect();
    let block_means: Vec<f64> = (0..blocks)
        .map(|block| mean_of(&rows.iter().map(|row| row[block]).collect::<Vec<_>>()))
        .collect();
    let squares = |means: &[f64]| means.iter().map(|one| (one - mean).powi(2)).sum::<f64>();
    // Residuals are squared one by one: taking sums from the total would cancel.
    let left: f64 = rows
        .iter()
        .zip(&treatment_means)
        .flat_map(|(row, of_treatment)| {
            row.iter()
                .zip(&block_means)
                .map(move |(value, of_block)| (value - of_treatment - of_block + mean).powi(2))
        })
        .sum();
    let block = Line { squares: t * squares(&block_means), df: b - 1.0 };
    let treatment = Line { squares: b * squares(&treatment_means), df: t - 1.0 };
    let error = Line { squares: left, df: (b - 1.0) * (t - 1.0) };
    Ok(Blocks {
        treatment_test: treatment.against(&error)?,
        block_test: block.against(&error)?,
        block,
        treatment,
        error,
        treatment_means,
        mean,
    })
}
