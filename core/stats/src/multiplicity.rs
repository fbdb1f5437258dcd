//! Several analytes judged at once.

use crate::{StatsError, error::refuse};

/// Adjusted p that keep the chance of even one false claim (Holm).
///
/// A p counts as found at rate a when its adjusted value is at most a.
///
/// # Errors `Argument` for a p outside 0 to 1.
/// # Source Holm S (1979) Scandinavian Journal of Statistics 6:65-70.
pub fn holm(p: &[f64]) -> Result<Vec<f64>, StatsError> {
    let order = ordered(p)?;
    let m = p.len();
    let mut adjusted = vec![0.0; m];
    let mut so_far = 0.0_f64;
    for (rank, place) in order.iter().enumerate() {
        so_far = so_far.max((m - rank) as f64 * p[*place]).min(1.0);
        adjusted[*place] = so_far;
    }
    Ok(adjusted)
}

/// Adjusted p that keep the expected share of false claims among the claims (Benjamini-Hochberg).
///
/// # Errors `Argument` for a p outside 0 to 1.
/// # Source Benjamini Y, Hochberg Y (1995) Journal of the Royal Statistical Society B 57:289-300.
pub fn benjamini_hochberg(p: &[f64]) -> Result<Vec<f64>, StatsError> {
    let order = ordered(p)?;
    let m = p.len() as f64;
    let mut adjusted = vec![0.0; p.len()];
    let mut so_far = 1.0_f64;
    for (rank, place) in order.iter().enumerate().rev() {
        so_far = so_far.min(m / (rank as f64 + 1.0) * p[*place]);
        adjusted[*place] = so_far;
    }
    Ok(adjusted)
}

/// Places of the p from the smallest to the largest.
fn ordered(p: &[f64]) -> Result<Vec<usize>, StatsError> {
    for one in p {
        if !(0.0..=1.0).contains(one) {
            return refuse("p", "from 0 to 1", *one);
        }
    }
    let mut order: Vec<usize> = (0..p.len()).collect();
    order.sort_by(|a, b| p[*a].total_cmp(&p[*b]));
    Ok(order)
}
