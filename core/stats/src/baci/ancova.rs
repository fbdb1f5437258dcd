//! Analysis of covariance: after on before, beside the change score.

use crate::{
    StatsError,
    error::finite,
    linear_model::{Fit, centred, least_squares, levels, ones},
    t_test::{TTest, t_test},
    uncertainty::Uncertainty,
};

/// Whether a plot was treated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Arm {
    /// Left alone.
    Control,
    /// Treated.
    Treated,
}

/// One plot of a trial.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plot {
    /// Its arm.
    pub arm: Arm,
    /// Its block; the same for all plots where there are none.
    pub block: usize,
    /// Its reading before.
    pub before: f64,
    /// Its reading after.
    pub after: f64,
}

/// The effect adjusted for where each plot started.
#[derive(Debug, Clone, PartialEq)]
pub struct Ancova {
    /// The effect and its test.
    pub effect: TTest,
    /// How much of a difference before is still there after.
    pub slope: f64,
    /// Uncertainty of the slope.
    pub slope_uncertainty: Uncertainty,
    /// The model behind it: constant, arm, before (less its mean), blocks.
    pub fit: Fit,
}

/// Effect of the treatment at equal start: after ~ arm + before + block.
///
/// # Errors `TooFew` with no more plots than the model has parts, `Collinear` when an arm is empty,
///   all plots started alike or arms and blocks are the same, `NoScatter` for a perfect fit,
///   `Argument` for a bad value or level.
/// # Source Fisher RA (1932) Statistical Methods for Research Workers, 4th ed., section 49.1.
pub fn ancova(plots: &[Plot], level: f64) -> Result<Ancova, StatsError> {
    for plot in plots {
        finite("before", plot.before)?;
        finite("after", plot.after)?;
    }
    let treated = plots.iter().map(|plot| f64::from(u8::from(plot.arm == Arm::Treated))).collect();
    let before: Vec<f64> = plots.iter().map(|plot| plot.before).collect();
    let after: Vec<f64> = plots.iter().map(|plot| plot.after).collect();
    let blocks: Vec<usize> = plots.iter().map(|plot| plot.block).collect();
    crate::error::count("plots", plots.len(), 4)?;
    let mut columns = vec![ones(plots.len()), treated, centred(&before)];
    columns.extend(levels(&blocks));
    let fit = least_squares(&columns, &after)?;
    Ok(Ancova {
        effect: t_test(fit.coefficients[1], fit.uncertainty(1), level)?,
        slope: fit.coefficients[2],
        slope_uncertainty: fit.uncertainty(2),
        fit,
    })
}
