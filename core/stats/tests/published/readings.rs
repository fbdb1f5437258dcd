//! Results, their uncertainty, and the difference of two.

use swardbook_stats::{
    bayes::Belief,
    censored::{Reported, probability_below_given},
    change::{Estimate, change, equivalence, reference_change, repeatability_limit},
    components::repeatability,
    describe::{
        geometric_mean, mean, ph_of_mean_acidity, quantile, robust_deviation, robust_variation,
        standard_deviation, variation,
    },
    distribution::{normal_cdf, t_quantile},
    interval::{Scale, deviation_interval, geometric_mean_interval, share_interval},
    lognormal::lognormal_mean,
    multiplicity::{benjamini_hochberg, holm},
    regression_to_mean::{Population, expected_retest},
    sample_size::{cores_needed, margin_reached},
    t_test::paired,
    uncertainty::{CompositeBudget, Scatter, Uncertainty, combine, composite},
};

use super::{Check, Work, number, rows};

pub(super) const WORKS: &[(&str, Work)] = &[
    ("quantiles-definition-7", quantiles),
    ("ph-averaging", ph),
    ("lognormal-mean-olsson", skewed),
    ("lognormal-mean-soil-p", skewed),
    ("intervals-of-share-and-deviation", intervals),
    ("gum-welch-satterthwaite", gum),
    ("zone-mean-uncertainty", zone_mean),
    ("repeatability-from-duplicates", duplicates),
    ("change-of-two-results", two_results),
    ("reference-change-value", reference),
    ("equivalence-tost-paired", tost),
    ("multiple-analytes", analytes),
    ("bayes-normal-normal", belief),
    ("regression-to-the-mean", regression),
    ("censored-below-given-belief", censored),
    ("cores-for-ten-percent", cores),
];

fn quantiles(check: &Check) {
    let values = check.list("values");
    let got: Vec<f64> = check.list("p").iter().map(|p| quantile(&values, *p).unwrap()).collect();
    check.are("quantiles", &got);
    check.is("robust_deviation", robust_deviation(&values).unwrap());
    check.is("robust_variation", robust_variation(&values).unwrap());
    check.is("deviation", standard_deviation(&values).unwrap());
    check.is("variation", variation(&values).unwrap());
}

fn ph(check: &Check) {
    let readings = check.list("pH");
    check.is("arithmetic", mean(&readings).unwrap());
    check.is("from_mean_hydrogen", ph_of_mean_acidity(&readings).unwrap());
}

fn skewed(check: &Check) {
    let values = check.list("values");
    let got = lognormal_mean(&values, 0.95).unwrap();
    check.is("arithmetic_mean", mean(&values).unwrap());
    check.is("geometric_mean", got.geometric);
    check.is("geometric_mean", geometric_mean(&values).unwrap());
    let of_logs = geometric_mean_interval(&values, 0.95).unwrap();
    for interval in [got.geometric_interval, of_logs] {
        check.are("geometric_ci95", &[interval.low, interval.high]);
    }
    check.is("lognormal_mean", got.arithmetic);
    check.are("cox_ci95", &[got.arithmetic_interval.low, got.arithmetic_interval.high]);
}

fn intervals(check: &Check) {
    for row in check.expected("shares").as_array().unwrap() {
        let whole = |place: usize| u64::try_from(row[place].as_integer().unwrap()).unwrap();
        let got = share_interval(whole(0), whole(1), number(&row[2])).unwrap();
        check.near(&format!("{row} low"), got.low, number(&row[3]));
        check.near(&format!("{row} high"), got.high, number(&row[4]));
    }
    for row in rows(check.expected("deviations")) {
        let got = deviation_interval(row[0], row[1], row[2]).unwrap();
        check.near(&format!("{row:?} low"), got.low, row[3]);
        check.near(&format!("{row:?} high"), got.high, row[4]);
    }
}

fn gum(check: &Check) {
    let parts: Vec<Uncertainty> = check
        .list("relative_percent")
        .iter()
        .zip(check.list("df"))
        .map(|(u, df)| Uncertainty { u: *u, df })
        .collect();
    let got = combine(&parts).unwrap();
    check.is("combined_percent", got.u);
    check.is("effective_df", got.df);
    check.is("t95_at_19", t_quantile(0.975, 19.0).unwrap());
    check.is("t95_at_18", t_quantile(0.975, 18.0).unwrap());
    check.is("t95_non_integer", t_quantile(0.975, got.df).unwrap());
    check.is("expanded_percent_non_integer", got.expanded(0.95).unwrap());
}

fn zone_mean(check: &Check) {
    let got = composite(&CompositeBudget {
        core: Scatter {
            deviation: check.number("s_between_cores"),
            df: check.number("n_cores") - 1.0,
        },
        cores: check.count("n_cores"),
        laboratory: Scatter { deviation: check.number("s_lab"), df: check.number("lab_df") },
        repeats: check.count("lab_repeats"),
        between_laboratories: None,
    })
    .unwrap();
    check.is("u", got.combined.u);
    check.is("effective_df", got.combined.df);
    check.is("U95", got.combined.expanded(0.95).unwrap());
    check.is("k95", got.combined.expanded(0.95).unwrap() / got.combined.u);
}

fn duplicates(check: &Check) {
    let got = repeatability(&check.list("first"), &check.list("second")).unwrap();
    check.is("s_r", got.deviation);
    check.is("limit_2_8", 2.8 * got.deviation);
    // The print takes 1.96 for the quantile, which agrees to 2e-5.
    let want = number(check.expected("limit_exact_factor"));
    let limit = repeatability_limit(got.deviation, 0.95).unwrap();
    check.near_by("limit", limit, want, 2e-5 * want);
}

fn two_results(check: &Check) {
    for row in rows(check.expected("rows")) {
        let estimate = |at: usize| Estimate {
            value: row[at],
            uncertainty: Uncertainty { u: row[at + 1], df: row[at + 2] },
        };
        let got = change(&estimate(0), &estimate(3), Scale::Linear, 0.95).unwrap();
        for (name, got, want) in [
            ("difference", got.difference, row[6]),
            ("u", got.uncertainty.u, row[7]),
            ("df", got.uncertainty.df, row[8]),
            ("low", got.interval.low, row[9]),
            ("high", got.interval.high, row[10]),
            ("rise", got.probability_of_rise, row[11]),
            ("p", got.p, row[12]),
        ] {
            check.near(name, got, want);
        }
    }
}

fn reference(check: &Check) {
    let level = 2.0 * normal_cdf(check.number("z")) - 1.0;
    for row in rows(check.expected("rows")) {
        let got = reference_change(row[0] / 100.0, row[1] / 100.0, level).unwrap();
        check.near("symmetric", 100.0 * got.symmetric, row[2]);
        check.near("up", 100.0 * got.up, row[3]);
        check.near("down", 100.0 * got.down, row[4]);
    }
}

fn tost(check: &Check) {
    let test = paired(&check.list("before"), &check.list("after"), 0.95).unwrap();
    let got = equivalence(test.difference, test.uncertainty, check.number("margin"), 0.05).unwrap();
    check.is("p_tost", got.p);
    check.is("t_lower", got.t_lower);
    check.is("t_upper", got.t_upper);
    check.is("mean_change", test.difference);
    check.are("ci90", &[got.interval.low, got.interval.high]);
    assert_eq!(Some(got.within), check.expected("equivalent").as_bool(), "the decision");
}

fn analytes(check: &Check) {
    let p = check.list("p");
    let (strict, rate) = (holm(&p).unwrap(), benjamini_hochberg(&p).unwrap());
    check.are("holm", &strict);
    check.are("bh", &rate);
    for (name, p) in
        [("rejected_unadjusted_05", &p), ("rejected_holm_05", &strict), ("rejected_bh_05", &rate)]
    {
        check.is(name, p.iter().filter(|p| **p <= 0.05).count() as f64);
    }
}

fn belief(check: &Check) {
    let before = Belief::new(check.number("prior_mean"), check.number("prior_sd")).unwrap();
    let after = before.updated(check.number("estimate"), check.number("estimate_se")).unwrap();
    check.is("posterior_mean", after.mean);
    check.is("posterior_sd", after.deviation);
    check.is("p_above_zero", after.probability_above(0.0));
    check.is("p_above_threshold", after.probability_above(check.number("threshold")));
    let interval = after.interval(0.95).unwrap();
    check.are("ci95", &[interval.low, interval.high]);
}

fn regression(check: &Check) {
    let of = Population {
        mean: check.number("population_mean"),
        deviation: check.number("sd_total"),
        reliability: check.number("reliability"),
    };
    let got = expected_retest(check.number("first_result"), &of).unwrap();
    check.is("expected_retest", got.expected);
    check.is("expected_rise_without_treatment", got.change);
    check.is("sd_of_retest_given_first", got.deviation);
}

fn censored(check: &Check) {
    for row in rows(check.expected("rows")) {
        let belief = Belief::new(row[0], row[1]).unwrap();
        let below =
            probability_below_given(&belief, Reported::Below(row[3]), row[2], row[4]).unwrap();
        check.near(&format!("{row:?}"), below, row[5]);
        let mirrored = Belief::new(-row[0], row[1]).unwrap();
        let above =
            probability_below_given(&mirrored, Reported::Above(-row[3]), row[2], -row[4]).unwrap();
        check.near(&format!("{row:?} mirrored"), 1.0 - above, row[5]);
    }
}

fn cores(check: &Check) {
    let margin = check.number("margin_percent");
    for row in rows(check.expected("rows")) {
        let got = cores_needed(row[0], margin, check.number("level")).unwrap();
        check.near(&format!("CV {} %", row[0]), got as f64, row[1]);
        let reached = margin_reached(row[0], got, check.number("level")).unwrap();
        check.near(&format!("CV {} %", row[0]), reached, row[2]);
    }
}
