//! Ordinary least squares for a handful of columns.

use crate::{
    StatsError,
    describe::mean_of,
    error::{count, length, values as check},
    uncertainty::Uncertainty,
};

/// A fitted linear model.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// One coefficient for each column.
    pub coefficients: Vec<f64>,
    /// The standard error of each.
    pub standard_errors: Vec<f64>,
    /// Squares left over.
    pub residual_squares: f64,
    /// Degrees of freedom left over.
    pub df: f64,
    /// What is left of each value.
    pub residuals: Vec<f64>,
}

impl Fit {
    /// Standard deviation of what is left over.
    #[must_use]
    pub fn residual_deviation(&self) -> f64 {
        (self.residual_squares / self.df).sqrt()
    }

    /// Uncertainty of one coefficient.
    #[must_use]
    pub fn uncertainty(&self, column: usize) -> Uncertainty {
        Uncertainty { u: self.standard_errors[column], df: self.df }
    }
}

/// A column of ones.
#[must_use]
pub fn ones(rows: usize) -> Vec<f64> {
    vec![1.0; rows]
}

/// One column for each level of a factor but its first: one where the row is of that level.
#[must_use]
pub fn levels(of: &[usize]) -> Vec<Vec<f64>> {
    let mut all = of.to_vec();
    all.sort_unstable();
    all.dedup();
    all.iter()
        .skip(1)
        .map(|level| of.iter().map(|one| f64::from(u8::from(one == level))).collect())
        .collect()
}

/// Fits values to columns, by Householder reflections.
///
/// A constant has to be among the columns when one is wanted ([`ones`]).
///
/// # Errors `TooFew` without a column or with no more rows than columns, `Length` for a column of
///   another length, `Collinear` where a column follows from those before it, `Argument` for a
///   value not finite.
/// # Source Golub GH, Van Loan CF (2013) Matrix Computations, 4th ed., 5.3.
pub fn least_squares(columns: &[Vec<f64>], values: &[f64]) -> Result<Fit, StatsError> {
    let (rows, k) = (values.len(), columns.len());
    count("columns", k, 1)?;
    check("values", values, k + 1)?;
    for column in columns {
        length("column", column.len(), rows)?;
        check("column", column, 1)?;
    }
    let mut a = columns.to_vec();
    let mut y = values.to_vec();
    let sizes: Vec<f64> = columns.iter().map(|column| norm(column)).collect();
    for j in 0..k {
        let size = norm(&a[j][j..]);
        if size <= 1e-10 * sizes[j] {
            return Err(StatsError::Collinear { argument: "columns", column: j });
        }
        let head = if a[j][j] > 0.0 { -size } else { size };
        let mut v = a[j][j..].to_vec();
        v[0] -= head;
        let square: f64 = v.iter().map(|x| x * x).sum();
        let reflect = |target: &mut [f64]| {
            let along: f64 = v.iter().zip(target.iter()).map(|(v, x)| v * x).sum();
            for (x, v) in target.iter_mut().zip(&v) {
                *x -= 2.0 * along / square * v;
            }
        };
        for column in &mut a[j..] {
            reflect(&mut column[j..]);
        }
        reflect(&mut y[j..]);
    }
    let inverse = inverse_of_upper(&a, k);
    let coefficients: Vec<f64> =
        (0..k).map(|i| (i..k).map(|j| inverse[i][j] * y[j]).sum()).collect();
    let residuals: Vec<f64> = (0..rows)
        .map(|row| {
            values[row] - columns.iter().zip(&coefficients).map(|(x, b)| x[row] * b).sum::<f64>()
        })
        .collect();
    let residual_squares: f64 = y[k..].iter().map(|x| x * x).sum();
    let df = (rows - k) as f64;
    let deviation = (residual_squares / df).sqrt();
    let standard_errors = inverse.iter().map(|row| deviation * norm(row)).collect();
    Ok(Fit { coefficients, standard_errors, residual_squares, df, residuals })
}

/// Inverse of the triangle that the reflections left, stored by columns in `a`.
fn inverse_of_upper(a: &[Vec<f64>], k: usize) -> Vec<Vec<f64>> {
    let mut inverse = vec![vec![0.0; k]; k];
    for j in 0..k {
        inverse[j][j] = 1.0 / a[j][j];
        for i in (0..j).rev() {
            let sum: f64 = (i + 1..=j).map(|m| a[m][i] * inverse[m][j]).sum();
            inverse[i][j] = -sum / a[i][i];
        }
    }
    inverse
}

fn norm(values: &[f64]) -> f64 {
    let greatest = values.iter().fold(0.0_f64, |most, value| most.max(value.abs()));
    if greatest <= 0.0 {
        return 0.0;
    }
    greatest * values.iter().map(|value| (value / greatest).powi(2)).sum::<f64>().sqrt()
}

/// The column less its mean.
pub(crate) fn centred(column: &[f64]) -> Vec<f64> {
    let mean = mean_of(column);
    column.iter().map(|value| value - mean).collect()
}
