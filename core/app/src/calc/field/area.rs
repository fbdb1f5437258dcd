//! How large a zone is, by whatever was measured.

use swardbook_agronomy::area::{
    GeoPoint, Offset, Outline, Part, Point, Ring, Shape, geographic::geographic_area, offset_area,
    outline_area, parts_area, shape_area,
};
use swardbook_units::{Area, Worked};

use crate::{
    Problem,
    calc::{Answer, Calculation, Given, InputKind, InputSpec as In, OutputSpec as Out},
};

const LENGTH: (f64, f64) = (0.0, 1e6);
const PLACE: (f64, f64) = (-1e7, 1e7);

const fn length(name: &'static str, about: &'static str) -> In {
    In::number(name, "m", LENGTH, about).optional()
}

const CORNERS: &[In] = &[
    In::number("x", "m", PLACE, "metres to the east, or along"),
    In::number("y", "m", PLACE, "metres to the north, or across"),
];
const POSITIONS: &[In] = &[
    In::number("latitude", "", (-90.0, 90.0), "degrees north, negative in the south"),
    In::number("longitude", "", (-180.0, 180.0), "degrees east, negative in the west"),
];
const HOLES: &[In] = &[
    In::of("corners", InputKind::Rows(CORNERS), "corners of the hole, in metres").optional(),
    In::of("positions", InputKind::Rows(POSITIONS), "corners of the hole, as positions").optional(),
];
const OFFSETS: &[In] = &[
    In::number("at", "m", PLACE, "place along the base line"),
    In::number("width", "m", LENGTH, "width square to the line"),
];
const PARTS: &[In] = &[
    In::of("shape", InputKind::Word(SIMPLE), "the part's shape"),
    In::of("take_off", InputKind::Flag, "whether the part is taken off").optional(),
    length("length", "a side or the longest way across"),
    length("width", "the other side or way across"),
    length("diameter", "through the middle of a circle"),
    In::of("sides", InputKind::Numbers, "the three sides of a triangle")
        .in_unit("m", LENGTH)
        .optional(),
    length("first", "one parallel side of a trapezoid"),
    length("second", "the other parallel side"),
    length("height", "square from one parallel side to the other"),
];
const SIMPLE: &[&str] = &["rectangle", "circle", "triangle", "trapezoid", "ellipse"];

pub(in crate::calc) const AREA: Calculation = Calculation {
    id: "area",
    title: "Area of a zone",
    inputs: &[
        In::of(
            "shape",
            InputKind::Word(&[
                "rectangle",
                "circle",
                "triangle",
                "trapezoid",
                "ellipse",
                "parts",
                "outline",
                "offsets",
                "positions",
            ]),
            "what was measured",
        ),
        length("length", "a side or the longest way across"),
        length("width", "the other side or way across"),
        length("diameter", "through the middle of a circle"),
        In::of("sides", InputKind::Numbers, "the three sides of a triangle")
            .in_unit("m", LENGTH)
            .optional(),
        length("first", "one parallel side of a trapezoid"),
        length("second", "the other parallel side"),
        length("height", "square from one parallel side to the other"),
        In::of("parts", InputKind::Rows(PARTS), "shapes that are put together").optional(),
        In::of("corners", InputKind::Rows(CORNERS), "corners in the order one walks them")
            .optional(),
        In::of("positions", InputKind::Rows(POSITIONS), "corners as positions, in walking order")
            .optional(),
        In::of("holes", InputKind::Rows(HOLES), "beds and paving cut out").optional(),
        In::of("offsets", InputKind::Rows(OFFSETS), "widths square to a base line").optional(),
    ],
    outputs: &[
        Out::new("area", "m2", "area"),
        Out::new("perimeter", "m", "length of the outer line, of outlines"),
        Out::new("trapezoidal", "m2", "by the trapezoidal rule, of offsets"),
        Out::new("simpson", "m2", "by Simpson's rule, of offsets where it holds"),
    ],
    sources: &[
        "definition",
        "macosa-heron",
        "survey-offsets-notes",
        "wgs84-ellipsoid",
        "karney-2013",
    ],
    run,
};

fn run(given: &Given) -> Result<Answer, Problem> {
    let of_area = |worked: Worked<Area>| Answer::of("area", Area::UNIT, worked.map(Area::value));
    match given.word("shape") {
        "parts" => {
            let rows = given.rows("parts");
            let parts = rows.iter().map(part).collect::<Result<Vec<_>, _>>()?;
            Ok(of_area(parts_area(&parts)?))
        }
        "outline" => {
            let holes = given.rows("holes").iter().map(|hole| ring(hole.rows("corners")));
            let holes = holes.collect::<Result<_, _>>()?;
            let outline = Outline::with_holes(ring(given.rows("corners"))?, holes)?;
            let perimeter = outline.outer().perimeter();
            Ok(of_area(outline_area(&outline)?).quantity("perimeter", perimeter, "m"))
        }
        "positions" => {
            let holes: Vec<_> =
                given.rows("holes").iter().map(|hole| positions(hole.rows("positions"))).collect();
            let worked = geographic_area(&positions(given.rows("positions")), &holes)?;
            let perimeter = worked.value.outline.outer().perimeter();
            Ok(of_area(worked.map(|found| found.area)).quantity("perimeter", perimeter, "m"))
        }
        "offsets" => {
            let rows = given.rows("offsets").iter();
            let offsets: Vec<Offset> = rows
                .map(|row| Offset { at: row.number("at"), width: row.number("width") })
                .collect();
            let worked = offset_area(&offsets)?;
            let found = worked.value;
            Ok(of_area(worked.map(|found| found.best()))
                .quantity("trapezoidal", found.trapezoidal.value(), Area::UNIT)
                .quantity_if("simpson", found.simpson.map(Area::value), Area::UNIT))
        }
        name => Ok(of_area(shape_area(shape(name, given)?)?)),
    }
}

fn shape(name: &str, given: &Given) -> Result<Shape, Problem> {
    let metres = |input: &str| {
        given.number_if(input).ok_or_else(|| {
            Problem::missing(input, &format!("a {name} is measured by it; give it in m"))
        })
    };
    Ok(match name {
        "rectangle" => Shape::Rectangle { length: metres("length")?, width: metres("width")? },
        "circle" => Shape::Circle { diameter: metres("diameter")? },
        "triangle" => Shape::Triangle {
            sides: given
                .numbers("sides")
                .try_into()
                .map_err(|_| Problem::missing("sides", "give the three sides of the triangle"))?,
        },
        "trapezoid" => Shape::Trapezoid {
            first: metres("first")?,
            second: metres("second")?,
            height: metres("height")?,
        },
        _ => Shape::Ellipse { length: metres("length")?, width: metres("width")? },
    })
}

fn part(row: &Given) -> Result<Part, Problem> {
    let shape = shape(row.word("shape"), row)?;
    Ok(if row.flag("take_off") { Part::TakeOff(shape) } else { Part::Add(shape) })
}

fn ring(rows: &[Given]) -> Result<Ring, Problem> {
    let corners: Vec<Point> =
        rows.iter().map(|row| Point::new(row.number("x"), row.number("y"))).collect();
    Ok(Ring::new(&corners)?)
}

fn positions(rows: &[Given]) -> Vec<GeoPoint> {
    rows.iter()
        .map(|row| GeoPoint {
            latitude: row.number("latitude"),
            longitude: row.number("longitude"),
        })
        .collect()
}
