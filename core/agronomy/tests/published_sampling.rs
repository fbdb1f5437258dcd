//! Published and computed answers for sampling, area and growth.
//!
//! Each row of `fixtures/published/sampling.toml` names its source, its answer and the tolerance; a
//! row that is not worked out here fails the test.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::{collections::BTreeMap, fs, path::PathBuf};

use swardbook_agronomy::{
    area::{
        GeoPoint, LocalFrame, Offset, Outline, Point, Ring, Shape, geographic::geographic_area,
        offset_area, outline_area, shape_area,
    },
    find_source,
    growth::{
        DegreeDayRule, GrassSeason, MonthlyMost, NitrogenUser, crossover_temperature, degree_days,
        growth_potential, nitrogen_use,
    },
    sampling::{
        composite_mass::{Ask, CoreSize, composite_mass},
        cores::{NamedScatter, cores_at_t, cores_for_margin},
    },
};
use swardbook_units::{BulkDensity, Depth, Mass};

struct Example(toml::Table);

impl Example {
    fn id(&self) -> &str {
        self.0["id"].as_str().expect("every example has an id")
    }

    fn input(&self, name: &str) -> f64 {
        number(&self.0["inputs"][name]["value"])
    }

    fn unit(&self, name: &str) -> &str {
        self.0["inputs"][name]["unit"].as_str().expect("an input has a unit")
    }

    fn list(&self, name: &str) -> Vec<f64> {
        list(&self.0["inputs"][name]["value"])
    }

    fn pairs(&self, name: &str) -> Vec<(f64, f64)> {
        let rows = self.0["inputs"][name]["value"].as_array().expect("a list of pairs");
        rows.iter().map(list).map(|pair| (pair[0], pair[1])).collect()
    }

    fn ring(&self, name: &str) -> Ring {
        let corners: Vec<Point> =
            self.pairs(name).into_iter().map(|(x, y)| Point::new(x, y)).collect();
        Ring::new(&corners).unwrap()
    }
}

fn number(value: &toml::Value) -> f64 {
    match value {
        toml::Value::Float(number) => *number,
        toml::Value::Integer(number) => f64::from(i32::try_from(*number).expect("small")),
        other => panic!("{other} is no number"),
    }
}

fn list(value: &toml::Value) -> Vec<f64> {
    value.as_array().expect("a list").iter().map(number).collect()
}

type Answers = BTreeMap<String, f64>;

fn answers<const N: usize>(values: [(&str, f64); N]) -> Option<Answers> {
    Some(values.into_iter().map(|(name, value)| (name.to_owned(), value)).collect())
}

fn cores(e: &Example) -> Option<Answers> {
    match e.id() {
        "smp-n" => {
            let core = NamedScatter::given(e.input("s"), e.unit("s"));
            let found = cores_at_t(e.input("t"), &core, 0.5 * e.input("full_width")).unwrap().value;
            answers([("n_raw", found.raw), ("n", found.cores as f64)])
        }
        "smp-n-cv" => {
            let core = NamedScatter::given(e.input("cv"), e.unit("cv"));
            let found = cores_at_t(e.input("t"), &core, e.input("error")).unwrap().value;
            answers([("n", found.cores as f64)])
        }
        id if id.starts_with("smp-n-") => {
            let core = NamedScatter::given(e.input("cv"), e.unit("cv"));
            let found = cores_for_margin(&core, e.input("error"), 0.95).unwrap().value;
            answers([("n", found.cores as f64)])
        }
        "smp-core-mass" => {
            let core = CoreSize {
                diameter_mm: e.input("diameter"),
                depth: Depth(e.input("depth")),
                bulk_density: BulkDensity(e.input("bulk_density")),
                water: e.input("water"),
            };
            let ask = Ask::given(Mass(e.input("ask")));
            let found = composite_mass(&core, 15, &ask).unwrap().value;
            assert!((e.input("cores") - 15.0).abs() < 1e-12, "as the example has it");
            answers([
                ("volume", found.core.volume.value()),
                ("dry", found.core.dry.value()),
                ("moist", found.core.moist.value()),
                ("bag", found.moist.value()),
                ("cores_to_reach", f64::from(found.cores_to_reach)),
            ])
        }
        "smp-points-in-zone" => {
            let zone = Outline::of(e.ring("zone"));
            let agreeing =
                e.pairs("places").into_iter().zip(e.list("inside")).filter(|((x, y), inside)| {
                    zone.contains(Point::new(*x, *y)) == (*inside > 0.5)
                });
            answers([("agreeing", agreeing.count() as f64)])
        }
        _ => None,
    }
}

fn areas(e: &Example) -> Option<Answers> {
    match e.id() {
        "area-outline-and-hole" => {
            let outer = e.ring("outer");
            let corners: Vec<Point> = outer.corners().iter().rev().copied().collect();
            let reversed = Ring::new(&corners).unwrap().signed_area();
            let zone = Outline::with_holes(outer.clone(), vec![e.ring("hole")]).unwrap();
            answers([
                ("outer", outer.signed_area()),
                ("area", outline_area(&zone).unwrap().value.value()),
                ("reversed", reversed),
                ("perimeter", outer.perimeter()),
            ])
        }
        "area-heron" => {
            let sides = e.list("sides").try_into().unwrap();
            let area = shape_area(Shape::Triangle { sides }).unwrap().value;
            answers([("area", area.value())])
        }
        "area-offsets" | "area-offset-trapezoid" => {
            let spacing = e.input("spacing");
            let offsets: Vec<Offset> = e
                .list("offsets")
                .into_iter()
                .enumerate()
                .map(|(place, width)| Offset { at: place as f64 * spacing, width })
                .collect();
            let found = offset_area(&offsets).unwrap().value;
            let mut all = answers([("trapezoidal", found.trapezoidal.value())])?;
            if let Some(simpson) = found.simpson {
                all.insert("simpson".to_owned(), simpson.value());
            }
            Some(all)
        }
        "area-degree-lengths" => {
            let lengths: Vec<(f64, f64)> = e
                .list("latitude")
                .into_iter()
                .map(|latitude| {
                    let place = GeoPoint { latitude, longitude: 0.0 };
                    LocalFrame::at(place).unwrap().metres_per_degree()
                })
                .collect();
            answers([
                ("north_0", lengths[0].1),
                ("east_0", lengths[0].0),
                ("north_45", lengths[1].1),
                ("east_48", lengths[2].0),
                ("series_0", lengths[0].1),
                ("series_45", lengths[1].1),
                ("series_48", lengths[2].1),
            ])
        }
        id if id.starts_with("area-geodesic-") => {
            let ring: Vec<GeoPoint> = e
                .pairs("ring")
                .into_iter()
                .map(|(latitude, longitude)| GeoPoint { latitude, longitude })
                .collect();
            let found = geographic_area(&ring, &[]).unwrap().value;
            answers([
                ("area", found.area.value()),
                ("perimeter", found.outline.outer().perimeter()),
                ("local_plane", found.area.value()),
            ])
        }
        _ => None,
    }
}

fn growth(e: &Example) -> Option<Answers> {
    let gp = |t: f64, grass| growth_potential(t, grass).unwrap().value;
    match e.id() {
        "growth-potential" => {
            let grasses = [
                ("cool", GrassSeason::Cool),
                ("warm", GrassSeason::Warm),
                ("held", GrassSeason::WarmHeld),
            ];
            let all = e.list("temperature").into_iter().flat_map(|t| {
                grasses.iter().map(move |(name, grass)| (format!("{name}_{t}"), gp(t, *grass)))
            });
            Some(all.collect())
        }
        "growth-printed" => answers([
            ("cool_16.9", gp(e.list("temperature")[0], GrassSeason::Cool)),
            ("cool_15", gp(e.list("temperature")[1], GrassSeason::Cool)),
            ("crossover", crossover_temperature()),
        ]),
        "growth-nitrogen" => {
            let month = |t: f64, season, grass| {
                let most = MonthlyMost::published(grass);
                nitrogen_use(&[t], season, &most).unwrap().value.total.value()
            };
            let (cool, warm) = (GrassSeason::Cool, GrassSeason::Warm);
            let t = e.list("temperature");
            answers([
                ("creeping_bent_20", month(t[0], cool, NitrogenUser::CreepingBent)),
                ("annual_meadow_grass_20", month(t[0], cool, NitrogenUser::AnnualMeadowGrass)),
                ("bermuda_31", month(t[1], warm, NitrogenUser::Bermuda)),
            ])
        }
        "growth-degree-days" => {
            let days: Vec<(f64, f64)> = e.list("high").into_iter().zip(e.list("low")).collect();
            let sum = |rule| degree_days(&days, e.input("base"), rule).unwrap().value;
            answers([
                ("average_then_zero", sum(DegreeDayRule::AverageThenZero)),
                ("raise_then_average", sum(DegreeDayRule::RaiseThenAverage)),
            ])
        }
        _ => None,
    }
}

fn examples() -> Vec<Example> {
    let path: PathBuf =
        [env!("CARGO_MANIFEST_DIR"), "..", "..", "fixtures", "published", "sampling.toml"]
            .iter()
            .collect();
    let text = fs::read_to_string(&path)
        .unwrap_or_else(|error| panic!("{} cannot be read: {error}", path.display()));
    let file: toml::Table = toml::from_str(&text).expect("the published examples parse");
    let rows = file["example"].as_array().expect("examples are a list");
    rows.iter().map(|row| Example(row.as_table().expect("an example is a table").clone())).collect()
}

#[test]
fn every_example_comes_out_as_printed_or_computed() {
    let examples = examples();
    for example in &examples {
        let id = example.id();
        for key in example.0["source"].as_array().expect("every example has sources") {
            let key = key.as_str().expect("a source is a key");
            assert!(find_source(key).is_some(), "{id}: no source {key}");
        }
        let found = [cores, areas, growth].iter().find_map(|part| part(example));
        let found = found.unwrap_or_else(|| panic!("{id} is worked out nowhere"));
        for row in example.0["expected"].as_array().expect("every example has answers") {
            let name = row["name"].as_str().expect("an answer has a name");
            let value = number(&row["value"]);
            let got = found.get(name).unwrap_or_else(|| panic!("{id}: no answer {name}"));
            // A printed tolerance of zero still leaves the last bit of binary arithmetic.
            let allowed = number(&row["tolerance"]) + 1e-12 * value.abs();
            assert!((got - value).abs() <= allowed, "{id}: {name} is {got}, not {value}");
        }
    }
    assert!(examples.len() >= 21, "only {} examples", examples.len());
}

#[test]
fn a_degree_square_is_no_zone() {
    // `karney-2013` has 12,308,778,361 m2 for it; a plane does not hold that far.
    let ring: Vec<GeoPoint> = [(0.0, 0.0), (0.0, 1.0), (1.0, 1.0), (1.0, 0.0)]
        .into_iter()
        .map(|(latitude, longitude)| GeoPoint { latitude, longitude })
        .collect();
    let refused = geographic_area(&ring, &[]).unwrap_err();
    assert!(refused.to_string().contains("10 km across"), "{refused}");
}
