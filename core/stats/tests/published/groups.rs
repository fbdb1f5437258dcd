//! Tests of groups and the parts of their scatter.

use swardbook_stats::{
    agreement::{Weights, intraclass_correlations, offset, weighted_kappa},
    anova::{one_way, randomised_blocks},
    components::{nested_components, one_way_components},
    linear_model::{Fit, least_squares, levels, ones},
    permutation::{
        arrangements_of_groups, arrangements_of_pairs, mid_ranks, sign_flips, smallest_p_of_groups,
        smallest_p_of_pairs, two_groups,
    },
    t_test::{one_sample, paired, pooled, welch},
};

use super::{Check, Work, number, rows};

pub(super) const WORKS: &[(&str, Work)] = &[
    ("t-paired-welch-sleep", sleep),
    ("permutation-paired-shoes", shoes),
    ("permutation-paired-darwin", maize),
    ("permutation-two-sample-4v4", four_and_four),
    ("permutation-smallest-p", smallest),
    ("rank-sum-exact-with-ties", ranks),
    ("nist-sirstv", certified),
    ("nist-atmwtag", certified),
    ("rcbd-five-by-four", blocks),
    ("rcbd-npk", npk),
    ("nist-longley", longley),
    ("variance-components-oneway", batches),
    ("variance-components-nested", nested),
    ("rater-icc-shrout-fleiss", raters),
    ("rater-weighted-kappa", kappa),
];

fn sleep(check: &Check) {
    // The print takes the first drug less the second.
    let (x, y) = (check.list("x"), check.list("y"));
    let got = paired(&y, &x, 0.95).unwrap();
    check.is("paired_t", got.t);
    check.is("paired_df", got.uncertainty.df);
    check.is("paired_p", got.p);
    check.are("paired_ci95", &[got.interval.low, got.interval.high]);
    let got = welch(&y, &x, 0.95).unwrap();
    check.is("welch_t", got.t);
    check.is("welch_df", got.uncertainty.df);
    check.is("welch_p", got.p);
    check.are("welch_ci95", &[got.interval.low, got.interval.high]);
}

fn shoes(check: &Check) {
    let (a, b) = (check.list("A"), check.list("B"));
    let test = paired(&a, &b, 0.95).unwrap();
    check.is("t", test.t);
    check.is("t_p", test.p);
    let differences: Vec<f64> = a.iter().zip(&b).map(|(a, b)| b - a).collect();
    let got = sign_flips(&differences).unwrap();
    check.is("arrangements", got.arrangements as f64);
    check.is("two_sided_count", got.as_far as f64);
    check.is("two_sided_p", got.p);
}

fn maize(check: &Check) {
    let differences = check.list("difference_eighths_of_inch");
    let test = one_sample(&differences, 0.95).unwrap();
    check.is("mean_difference_inch", test.difference / 8.0);
    check.is("t", test.t);
    check.is("df", test.uncertainty.df);
    check.is("t_p_two_sided", test.p);
    let got = sign_flips(&differences).unwrap();
    check.is("arrangements", got.arrangements as f64);
    check.is("one_sided_count_at_least_as_large", got.at_least as f64);
    check.is("two_sided_count", got.as_far as f64);
    check.is("one_sided_p", got.p_rise);
    check.is("two_sided_p", got.p);
}

fn four_and_four(check: &Check) {
    let (control, treated) = (check.list("control"), check.list("treated"));
    let got = two_groups(&control, &treated).unwrap();
    check.is("difference", got.difference);
    check.is("arrangements", got.arrangements as f64);
    check.is("two_sided_count", got.as_far as f64);
    check.is("two_sided_p", got.p);
    check.is("one_sided_p", got.p_rise);
    check.is("welch_p", welch(&control, &treated, 0.95).unwrap().p);
    check.is("pooled_t_p", pooled(&control, &treated, 0.95).unwrap().p);
}

fn smallest(check: &Check) {
    let whole = |value: &toml::Value| usize::try_from(value.as_integer().unwrap()).unwrap();
    for row in check.expected("two_sample").as_array().unwrap() {
        let (a, b) = (whole(&row[0]), whole(&row[1]));
        check.near(&format!("{row}"), arrangements_of_groups(a, b), number(&row[2]));
        check.near(&format!("{row}"), smallest_p_of_groups(a, b).unwrap(), number(&row[3]));
    }
    for row in check.expected("paired").as_array().unwrap() {
        let n = whole(&row[0]);
        check.near(&format!("{row}"), arrangements_of_pairs(n), number(&row[1]));
        check.near(&format!("{row}"), smallest_p_of_pairs(n).unwrap(), number(&row[2]));
    }
}

fn ranks(check: &Check) {
    let (control, treated) = (check.list("control"), check.list("treated"));
    let ranks = mid_ranks(&[control.as_slice(), treated.as_slice()].concat()).unwrap();
    check.are("ranks", &ranks);
    let (first, second) = ranks.split_at(control.len());
    check.is("p", two_groups(first, second).unwrap().p);
}

fn certified(check: &Check) {
    let got = one_way(&check.rows("groups")).unwrap();
    check.is("between_ss", got.between.squares);
    check.is("between_df", got.between.df);
    check.is("F", got.test().unwrap().0);
    check.is("within_ss", got.within.squares);
    check.is("within_df", got.within.df);
    check.is("r_squared", got.share_between());
    check.is("residual_sd", got.within.mean_square().sqrt());
}

fn blocks(check: &Check) {
    let got = randomised_blocks(&check.rows("rows_by_treatment")).unwrap();
    check.is("ss_block", got.block.squares);
    check.is("ss_treatment", got.treatment.squares);
    check.is("ss_error", got.error.squares);
    check.are("df", &[got.block.df, got.treatment.df, got.error.df]);
    check.is("F_treatment", got.treatment_test.0);
    check.is("p_treatment", got.treatment_test.1);
    check.is("F_block", got.block_test.0);
    check.is("p_block", got.block_test.1);
    check.is("cv_percent", 100.0 * got.variation());
    check.is("lsd_5pct", got.least_significant_difference(0.95).unwrap());
}

/// Sequential sums of squares: what each set of columns takes from what was left.
fn npk(check: &Check) {
    let values = check.list("yield");
    let factor = |name: &str| check.list(name);
    let product = |a: &str, b: &str| -> Vec<f64> {
        // Signs of the two-level factors make the interaction stand apart from them.
        factor(a).iter().zip(factor(b)).map(|(a, b)| (2.0 * a - 1.0) * (2.0 * b - 1.0)).collect()
    };
    let block: Vec<usize> = check.counts("block");
    let mut columns = vec![ones(values.len())];
    let mut fit = least_squares(&columns, &values).unwrap();
    let mut taken = std::collections::BTreeMap::new();
    let sets = [
        ("block", levels(&block)),
        ("N", vec![factor("N")]),
        ("P", vec![factor("P")]),
        ("K", vec![factor("K")]),
        ("NP", vec![product("N", "P")]),
        ("NK", vec![product("N", "K")]),
        ("PK", vec![product("P", "K")]),
    ];
    for (name, set) in sets {
        columns.extend(set);
        let next = least_squares(&columns, &values).unwrap();
        taken.insert(name, fit.residual_squares - next.residual_squares);
        fit = next;
    }
    taken.insert("error", fit.residual_squares);
    let ss = check.expected("ss");
    for (name, got) in &taken {
        check.near(name, *got, number(&ss[*name]));
    }
    check.is("df_error", fit.df);
    for (name, f, p) in [("N", "F_N", "p_N"), ("K", "F_K", "p_K")] {
        let got = taken[name] / fit.residual_deviation().powi(2);
        check.is(f, got);
        let tail = swardbook_stats::distribution::f_upper_tail(got, 1.0, fit.df).unwrap();
        check.is(p, tail);
    }
}

fn longley(check: &Check) {
    let values = check.list("values");
    let mut columns = vec![ones(values.len())];
    columns.extend(check.rows("columns"));
    let fit: Fit = least_squares(&columns, &values).unwrap();
    check.are("coefficients", &fit.coefficients);
    check.are("standard_errors", &fit.standard_errors);
    check.is("residual_sd", fit.residual_deviation());
    check.is("df", fit.df);
    let squares: f64 = fit.residuals.iter().map(|x| x * x).sum();
    check.near("squares of the residuals", squares, fit.residual_squares);
}

fn batches(check: &Check) {
    let got = one_way_components(&check.rows("groups")).unwrap();
    check.is("mean", got.mean);
    check.is("ms_between", got.table.between.mean_square());
    check.is("ms_within", got.within);
    check.is("var_between", got.between);
    check.is("var_between", got.between_as_estimated);
    check.is("sd_between", got.between.sqrt());
    check.is("sd_within", got.within.sqrt());
}

fn nested(check: &Check) {
    let mut zones: Vec<Vec<Vec<f64>>> = Vec::new();
    let mut last = "";
    for row in check.input("rows_batch_cask_values").as_array().unwrap() {
        let batch = row[0].as_str().unwrap();
        if batch != last {
            zones.push(Vec::new());
            last = batch;
        }
        zones.last_mut().unwrap().push(vec![number(&row[2]), number(&row[3])]);
    }
    let got = nested_components(&zones).unwrap();
    check.is("ms_batch", got.ms_zone);
    check.is("ms_cask", got.ms_core);
    check.is("ms_assay", got.ms_reading);
    check.is("var_batch", got.zone);
    check.is("var_cask", got.core);
    check.is("var_assay", got.reading);
    check.is("mean", got.mean);
}

fn raters(check: &Check) {
    let got = intraclass_correlations(&rows(check.input("ratings"))).unwrap();
    for (name, got) in [
        ("ms_between", got.ms_targets),
        ("ms_raters", got.ms_raters),
        ("ms_within", got.ms_within),
        ("ms_error", got.ms_error),
        ("icc1", got.one_way),
        ("icc2", got.absolute),
        ("icc3", got.consistent),
        ("icc1k", got.one_way_of_mean),
        ("icc2k", got.absolute_of_mean),
        ("icc3k", got.consistent_of_mean),
    ] {
        check.is(name, got);
    }
}

fn kappa(check: &Check) {
    let ratings = |name: &str| -> Vec<i32> {
        check.counts(name).iter().map(|one| i32::try_from(*one).unwrap()).collect()
    };
    let (a, b) = (ratings("a"), ratings("b"));
    for (name, weights) in
        [("kappa_linear", Weights::Linear), ("kappa_quadratic", Weights::Quadratic)]
    {
        check.is(name, weighted_kappa(&a, &b, 1, 9, weights).unwrap());
    }
    let (a, b) = (check.list("a"), check.list("b"));
    let got = offset(&a, &b).unwrap();
    check.is("mean_difference", got.mean);
    check.is("sd_difference", got.deviation);
}
