//! Composites drawn from real, densely sampled fields: is what is promised of them kept?
//!
//! A field's cores stand for the ground: a composite is the mean of cores drawn from them, with
//! the laboratory's scatter added, and the truth is the mean of all cores of the field.
//! Draws are with replacement, as if the ground went on between the cores.
//! The mixed bag is taken to read the mean of its cores, which is exact for concentrations and the
//! program's convention for pH.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::path::PathBuf;

use swardbook_agronomy::{
    analyte::analyte,
    interpret::{Sampling, composite_spread},
    spread::{
        DEFAULT_FREEDOM, OwnScatter, core_scatter, core_scatter_of_replicates, default_spread,
    },
};
use swardbook_stats::{
    change::{Estimate, change},
    describe::{mean, standard_deviation, variation},
    distribution::normal_quantile,
    interval::{Scale, scale_interval, t_interval},
    uncertainty::{CompositeBudget, Scatter, composite},
};

const LEVEL: f64 = 0.95;
/// Cores of a composite, as common practice has it.
const CORES: usize = 15;
const RUNS: usize = 2_000;

fn real(file: &str) -> String {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/real").join(file);
    std::fs::read_to_string(path).unwrap()
}

/// A field and the pH of its cores.
struct Field {
    name: String,
    cores: Vec<f64>,
}

impl Field {
    fn mean(&self) -> f64 {
        mean(&self.cores).unwrap()
    }

    /// Scatter of the ground itself: all of it was seen, so it is divided by n.
    fn deviation(&self) -> f64 {
        let n = self.cores.len() as f64;
        standard_deviation(&self.cores).unwrap() * ((n - 1.0) / n).sqrt()
    }
}

/// The 31 fields of `LimeSoDa` (`fixtures/real/limesoda-31-fields.SOURCE.md`).
fn fields() -> Vec<Field> {
    let mut fields: Vec<Field> = Vec::new();
    for line in real("limesoda-31-fields.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let ph = cells[2].parse().unwrap();
        match fields.last_mut().filter(|field| field.name == cells[0]) {
            Some(field) => field.cores.push(ph),
            None => fields.push(Field { name: cells[0].to_owned(), cores: vec![ph] }),
        }
    }
    assert_eq!(fields.len(), 31, "fields");
    fields
}

/// Seeded draws (xorshift64*, Vigna 2016, ACM Transactions on Mathematical Software 42:30).
struct Draws(u64);

impl Draws {
    fn new(seed: u64) -> Self {
        let mut draws = Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        for _ in 0..8 {
            draws.uniform();
        }
        draws
    }

    fn uniform(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let bits = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11;
        bits as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self, deviation: f64) -> f64 {
        deviation * normal_quantile(self.uniform().clamp(1e-16, 1.0 - 1e-16)).unwrap()
    }

    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place below the length of the list"
    )]
    fn cores(&mut self, ground: &[f64], n: usize) -> Vec<f64> {
        (0..n).map(|_| ground[(self.uniform() * ground.len() as f64) as usize]).collect()
    }

    fn composite(&mut self, ground: &[f64], n: usize, laboratory: f64) -> f64 {
        mean(&self.cores(ground, n)).unwrap() + self.normal(laboratory)
    }
}

fn ph_default() -> (f64, f64) {
    let ph = analyte("ph-water").unwrap();
    let spread = default_spread(ph).unwrap();
    let on_scale =
        |term: &swardbook_agronomy::spread::SpreadTerm| term.scatter.on_scale(ph.scale).unwrap();
    (on_scale(&spread.core), on_scale(&spread.laboratory))
}

fn budget(core: Scatter, laboratory: f64) -> CompositeBudget {
    CompositeBudget {
        core,
        cores: CORES,
        laboratory: Scatter::known(laboratory),
        repeats: 1,
        between_laboratories: None,
    }
}

/// Share of composites whose interval holds the field's mean, for one way to know the scatter.
fn coverage(seed: u64, field: &Field, runs: usize, core: impl Fn(&mut Draws) -> Scatter) -> f64 {
    let (_, laboratory) = ph_default();
    let truth = field.mean();
    let mut draws = Draws::new(seed);
    let mut held = 0;
    for _ in 0..runs {
        let core = core(&mut draws);
        let u = composite(&budget(core, laboratory)).unwrap().combined;
        let value = draws.composite(&field.cores, CORES, laboratory);
        held += usize::from(t_interval(value, u.u, u.df, LEVEL).unwrap().holds(truth));
    }
    held as f64 / runs as f64
}

/// Four standard errors of the simulation.
fn allowed(runs: usize) -> f64 {
    4.0 * (LEVEL * (1.0 - LEVEL) / runs as f64).sqrt()
}

#[test]
fn the_interval_of_a_composite_covers_the_field_with_its_own_scatter() {
    let mut all = Vec::new();
    for (seed, field) in (100..).zip(fields()) {
        let own = Scatter::known(field.deviation());
        let got = coverage(seed, &field, RUNS, |_| own);
        // Means of fifteen skewed readings are not quite normal: one in a hundred is allowed.
        let off = (got - LEVEL).abs();
        assert!(off <= allowed(RUNS) + 0.01, "{}: {got} where {LEVEL} was promised", field.name);
        all.push(got);
    }
    let together = mean(&all).unwrap();
    let off = (together - LEVEL).abs();
    assert!(off <= allowed(RUNS * all.len()) + 0.005, "all fields together: {together}");
}

/// Scatter that a notebook learned from twelve cores of the field, read one by one.
#[test]
fn the_interval_covers_with_scatter_learned_from_twelve_cores() {
    let mut all = Vec::new();
    for (seed, field) in (700..).zip(fields()) {
        let got = coverage(seed, &field, RUNS, |draws| {
            let cores = draws.cores(&field.cores, 12);
            Scatter { deviation: standard_deviation(&cores).unwrap(), df: 11.0 }
        });
        // Degrees of freedom by Welch and Satterthwaite, and the t itself, are for normal ground.
        assert!((got - LEVEL).abs() <= allowed(RUNS) + 0.015, "{}: {got}", field.name);
        all.push(got);
    }
    let together = mean(&all).unwrap();
    assert!((together - LEVEL).abs() <= 0.01, "all fields together: {together}");
}

/// How the default scatter of pH does on ground it does not know, counted as the program counts it.
///
/// The logarithms of the fields' variances scatter with a variance of 1.01, as those of estimates
/// with two degrees of freedom do (2 / df).
/// Found: where 95 % is promised, the composite's interval holds the mean of the field in 95.6 % of
/// cases over the 31 fields, though in only about 78 % in the wildest.
/// Taken as known instead, the default keeps 89.4 % (99.6 % in the quietest field, standard deviation
/// 0.18, and 62.5 % in the wildest, 1.11): it is the median of these very fields, so half of them
/// scatter more.
#[test]
fn the_default_scatter_is_an_estimate_with_two_degrees_of_freedom() {
    let logs: Vec<f64> = fields().iter().map(|f| f.deviation().powi(2).ln()).collect();
    let freedom = 2.0 / standard_deviation(&logs).unwrap().powi(2);
    assert!((freedom - DEFAULT_FREEDOM).abs() < 0.2, "by the scatter of the variances: {freedom}");
    let covered = |core: Scatter| -> Vec<f64> {
        (200..).zip(fields()).map(|(seed, field)| coverage(seed, &field, RUNS, |_| core)).collect()
    };
    let as_counted = covered(core_scatter(analyte("ph-water").unwrap(), &[]).unwrap().known);
    let together = mean(&as_counted).unwrap();
    assert!((0.945..0.97).contains(&together), "all fields together: {together}");
    assert!(as_counted.iter().all(|got| *got > 0.74), "none is far off: {as_counted:?}");
    let (core, _) = ph_default();
    let as_known = mean(&covered(Scatter::known(core))).unwrap();
    assert!((0.88..0.91).contains(&as_known), "taken as known: {as_known}");
}

/// Replicate composites of the zone added to the default, as the program adds them.
///
/// Found: with two pairs the interval holds in at least 94 % of cases over all fields, and the
/// wildest field gains; with six pairs it gains more.
#[test]
fn replicate_composites_are_added_to_the_default() {
    let ph = analyte("ph-water").unwrap();
    let (_, laboratory) = ph_default();
    let fields = fields();
    let wildest = fields
        .iter()
        .enumerate()
        .max_by(|(_, a), (_, b)| a.deviation().total_cmp(&b.deviation()))
        .map(|(at, _)| at)
        .unwrap();
    let mut in_wildest = Vec::new();
    for pairs in [0, 2, 6] {
        let covered: Vec<f64> = (900..)
            .zip(&fields)
            .map(|(seed, field)| {
                coverage(seed, field, RUNS, |draws| {
                    let sets: Vec<Vec<f64>> = (0..pairs)
                        .map(|_| {
                            (0..2)
                                .map(|_| draws.composite(&field.cores, CORES, laboratory))
                                .collect()
                        })
                        .collect();
                    let own = core_scatter_of_replicates(ph, &sets, CORES).unwrap();
                    core_scatter(ph, own.as_slice()).unwrap().known
                })
            })
            .collect();
        let together = mean(&covered).unwrap();
        println!("{pairs} pairs: {together:.3}, wildest {:.3}", covered[wildest]);
        assert!((0.94..0.98).contains(&together), "{pairs} pairs, all fields: {together}");
        in_wildest.push(covered[wildest]);
    }
    assert!(in_wildest.is_sorted(), "more replicates, nearer the promise: {in_wildest:?}");
}

/// Two composites of ground that did not change: how often is it called changed?
///
/// Found, at 5 %: 4.8 % with the field's own scatter, 10.3 % with the default taken as known (which
/// the program does not do), 30 % when only the laboratory's scatter is counted.
#[test]
fn unchanged_fields_are_seldom_called_changed() {
    let (default, laboratory) = ph_default();
    let mut called = [Vec::new(), Vec::new(), Vec::new()];
    for (seed, field) in (400..).zip(fields()) {
        let mut draws = Draws::new(seed);
        let mut hits = [0_u32; 3];
        let runs = 1_000;
        let knowing = [field.deviation(), default, 0.0]
            .map(|core| composite(&budget(Scatter::known(core), laboratory)).unwrap().combined);
        for _ in 0..runs {
            let [before, after] =
                [(); 2].map(|()| draws.composite(&field.cores, CORES, laboratory));
            for (hits, uncertainty) in hits.iter_mut().zip(knowing) {
                let [before, after] = [before, after].map(|value| Estimate { value, uncertainty });
                let change = change(&before, &after, Scale::Linear, LEVEL).unwrap();
                *hits += u32::from(!change.interval.holds(0.0));
            }
        }
        for (called, hits) in called.iter_mut().zip(hits) {
            called.push(f64::from(hits) / f64::from(runs));
        }
    }
    let [own, by_default, laboratory_only] = called.map(|rates| mean(&rates).unwrap());
    assert!((0.04..0.06).contains(&own), "own scatter: {own}");
    assert!((0.05..0.13).contains(&by_default), "default scatter: {by_default}");
    assert!(laboratory_only > 0.25, "the laboratory's scatter alone: {laboratory_only}");
}

/// Concentrations on the log scale, over a varied landscape of 126 points
/// (`fixtures/real/oxford-126.SOURCE.md`), with the landscape's own variation.
///
/// The variation of single cores is that of a skewed quantity, so the interval of a mixed bag is a
/// little off; two in a hundred are allowed.
#[test]
fn concentrations_of_a_composite_are_covered_on_the_log_scale() {
    for (seed, (name, id)) in
        (300..).zip([("Phosphorus", "p"), ("Potassium", "k"), ("Magnesium", "mg"), ("CEC", "cec")])
    {
        let ground: Vec<f64> = real("oxford-126.csv")
            .lines()
            .map(|line| line.split(';').collect::<Vec<_>>())
            .filter(|cells| cells[3] == name)
            .map(|cells| cells[4].replace(',', ".").parse().unwrap())
            .collect();
        assert_eq!(ground.len(), 126, "{name}");
        let analyte = analyte(id).unwrap();
        let deviation = variation(&ground).unwrap().powi(2).ln_1p().sqrt();
        let own = OwnScatter { analyte, core: Scatter { deviation, df: 1e9 } };
        let sampling = Sampling { cores: u32::try_from(CORES).unwrap(), repeats: 1 };
        let spread = composite_spread(analyte, &sampling, &[own]).unwrap().value;
        let truth = mean(&ground).unwrap();
        let mut draws = Draws::new(seed);
        let mut held = 0;
        for _ in 0..RUNS {
            let bag = mean(&draws.cores(&ground, CORES)).unwrap();
            let value = bag * draws.normal(spread.laboratory).exp();
            let df = spread.degrees_of_freedom;
            let interval = scale_interval(value, spread.u, df, LEVEL, Scale::Log).unwrap();
            held += usize::from(interval.holds(truth));
        }
        let got = held as f64 / RUNS as f64;
        assert!((got - LEVEL).abs() <= allowed(RUNS) + 0.02, "{name}: {got}");
    }
}
