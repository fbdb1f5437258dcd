//! Quantiles and probabilities against a numerical library.

use swardbook_stats::distribution::{
    chi_squared_quantile, f_upper_tail, noncentral_t_cdf, normal_quantile, t_quantile,
    t_two_sided_p,
};

use super::{Check, Work, number, rows};

pub(super) const WORKS: &[(&str, Work)] = &[("distribution-quantiles", quantiles)];

fn quantiles(check: &Check) {
    let answers = |name: &str| rows(check.expected(name));
    for row in answers("t_p_df_quantile") {
        check.near(&format!("t {row:?}"), t_quantile(row[0], row[1]).unwrap(), row[2]);
    }
    for row in answers("t_t_df_two_sided_p") {
        check.near(&format!("t p {row:?}"), t_two_sided_p(row[0], row[1]).unwrap(), row[2]);
    }
    for row in answers("f_f_df1_df2_upper_tail") {
        check.near(&format!("F {row:?}"), f_upper_tail(row[0], row[1], row[2]).unwrap(), row[3]);
    }
    for row in answers("chi_squared_p_df_quantile") {
        let got = chi_squared_quantile(row[0], row[1]).unwrap();
        check.near(&format!("chi {row:?}"), got, row[2]);
    }
    for row in answers("normal_p_quantile") {
        check.near(&format!("normal {row:?}"), normal_quantile(row[0]).unwrap(), row[1]);
    }
    let allowed = number(&check.0["tolerance"]["noncentral_abs"]);
    for row in answers("noncentral_t_t_df_offset_below") {
        let got = noncentral_t_cdf(row[0], row[1], row[2]).unwrap();
        check.near_by(&format!("noncentral t {row:?}"), got, row[3], allowed);
    }
}
