//! Areas of simple shapes, and of ground that is put together from them.

use std::f64::consts::{FRAC_PI_4, PI};

use swardbook_units::{Area, Worked, Working};

use crate::{AgronomyError, error::positive, source};

/// A shape by what one measures of it, in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// Four right angles.
    Rectangle {
        /// One side.
        length: f64,
        /// The other.
        width: f64,
    },
    /// Measured across.
    Circle {
        /// Through the middle.
        diameter: f64,
    },
    /// By three sides.
    Triangle {
        /// The three sides, in any order.
        sides: [f64; 3],
    },
    /// Two parallel sides and the distance between them.
    Trapezoid {
        /// One parallel side.
        first: f64,
        /// The other.
        second: f64,
        /// Square from one to the other.
        height: f64,
    },
    /// By its two axes, end to end.
    Ellipse {
        /// The longest way across.
        length: f64,
        /// Square to it.
        width: f64,
    },
}

const OPERATION: &str = "area of a shape";

/// Area of one shape.
///
/// # Units  metres in, m2 out.
/// # Errors `Argument` for a length not above zero; `Refused` when three sides make no triangle.
/// # Source `definition`; three sides by Heron's formula as in `macosa-heron`.
pub fn shape_area(shape: Shape) -> Result<Worked<Area>, AgronomyError> {
    let long = |argument, value| positive(OPERATION, argument, value, "m");
    let (area, working) = match shape {
        Shape::Rectangle { length, width } => {
            let (length, width) = (long("length", length)?, long("width", width)?);
            let area = length * width;
            let working = Working::new("area = length x width")
                .given("Length", length, "m")
                .given("Width", width, "m")
                .step("rectangle", format!("{length} x {width}"), area, "m2");
            (area, working)
        }
        Shape::Circle { diameter } => {
            let d = long("diameter", diameter)?;
            let area = FRAC_PI_4 * d * d;
            let working = Working::new("area = pi / 4 x diameter^2")
                .given("Diameter", d, "m")
                .step("circle", format!("pi / 4 x {d}^2"), area, "m2");
            (area, working)
        }
        Shape::Triangle { sides } => triangle(sides)?,
        Shape::Trapezoid { first, second, height } => {
            let (a, b) = (long("first", first)?, long("second", second)?);
            let h = long("height", height)?;
            let area = 0.5 * (a + b) * h;
            let working = Working::new("area = (first + second) / 2 x height")
                .given("First parallel side", a, "m")
                .given("Second parallel side", b, "m")
                .given("Distance between them", h, "m")
                .step("trapezoid", format!("({a} + {b}) / 2 x {h}"), area, "m2");
            (area, working)
        }
        Shape::Ellipse { length, width } => {
            let (a, b) = (long("length", length)?, long("width", width)?);
            let area = 0.25 * PI * a * b;
            let working = Working::new("area = pi / 4 x length x width")
                .given("Length", a, "m")
                .given("Width", b, "m")
                .step("ellipse", format!("pi / 4 x {a} x {b}"), area, "m2");
            (area, working)
        }
    };
    Ok(Worked::new(Area(area), working.source(source("definition"))))
}

fn triangle(sides: [f64; 3]) -> Result<(f64, Working), AgronomyError> {
    let mut sorted = sides;
    for side in sides {
        positive(OPERATION, "sides", side, "m")?;
    }
    sorted.sort_by(f64::total_cmp);
    let [c, b, a] = sorted;
    if a >= b + c {
        return Err(AgronomyError::Refused {
            operation: OPERATION,
            argument: "sides",
            why: format!("{a} m is as long as {b} m and {c} m together or longer: no triangle"),
        });
    }
    // In this order no digits are lost on needle-thin triangles.
    let product = (a + (b + c)) * (c - (a - b)) * (c + (a - b)) * (a + (b - c));
    let area = 0.25 * product.sqrt();
    let half = 0.5 * (a + b + c);
    let working = Working::new("area = sqrt(s (s - a) (s - b) (s - c)), s = (a + b + c) / 2")
        .given("Side", sides[0], "m")
        .given("Side", sides[1], "m")
        .given("Side", sides[2], "m")
        .step("half of the way round, s", format!("({a} + {b} + {c}) / 2"), half, "m")
        .step(
            "triangle",
            format!("sqrt({half} x ({half} - {a}) x ({half} - {b}) x ({half} - {c}))"),
            area,
            "m2",
        )
        .source(source("macosa-heron"));
    Ok((area, working))
}

/// One part of ground that is put together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Part {
    /// Turf.
    Add(Shape),
    /// A bed or a drive inside it.
    TakeOff(Shape),
}

/// Area of ground put together from shapes: an L from two rectangles, a lawn less its pond.
///
/// # Errors As [`shape_area`]; `Missing` without a part, `Refused` when nothing is left.
pub fn parts_area(parts: &[Part]) -> Result<Worked<Area>, AgronomyError> {
    if parts.is_empty() {
        return Err(AgronomyError::Missing {
            operation: OPERATION,
            argument: "parts",
            remedy: "give at least one shape",
        });
    }
    let mut sum = 0.0;
    let mut terms = Vec::with_capacity(parts.len());
    let mut working = Working::new("area = parts added - parts taken off");
    for part in parts {
        let (shape, sign) = match part {
            Part::Add(shape) => (*shape, 1.0),
            Part::TakeOff(shape) => (*shape, -1.0),
        };
        let one = shape_area(shape)?;
        sum += sign * one.value.value();
        terms.push(format!("{} {:.3}", if sign > 0.0 { "+" } else { "-" }, one.value.value()));
        // Steps in the order of the parts; inputs may repeat between parts and are kept.
        working.inputs.extend(one.working.inputs);
        working.steps.extend(one.working.steps);
        for source in one.working.sources {
            working = working.source(source);
        }
    }
    if sum <= 0.0 {
        return Err(AgronomyError::Refused {
            operation: OPERATION,
            argument: "parts",
            why: format!("more is taken off than was there ({sum:.3} m2 are left)"),
        });
    }
    let arithmetic = terms.join(" ").trim_start_matches("+ ").to_owned();
    let working = working
        .step("area", arithmetic, sum, "m2")
        .caution("Parts must not share ground: where two overlap it is counted twice.");
    Ok(Worked::new(Area(sum), working))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(shape: Shape, expected: f64) {
        let area = shape_area(shape).unwrap().value.value();
        assert!((area - expected).abs() <= 1e-9 * expected, "{shape:?}: {area}");
    }

    #[test]
    fn shapes_of_known_area() {
        check(Shape::Rectangle { length: 12.0, width: 5.5 }, 66.0);
        check(Shape::Circle { diameter: 2.0 }, PI);
        check(Shape::Triangle { sides: [3.0, 4.0, 5.0] }, 6.0);
        check(Shape::Triangle { sides: [13.0, 15.0, 14.0] }, 84.0);
        check(Shape::Trapezoid { first: 3.0, second: 5.0, height: 2.0 }, 8.0);
        check(Shape::Ellipse { length: 4.0, width: 2.0 }, 2.0 * PI);
    }

    #[test]
    fn a_needle_of_a_triangle_keeps_its_digits() {
        // Sides of 10^5, 10^5 and 10^-3: height practically 10^5, area 50.
        check(Shape::Triangle { sides: [1e5, 1e5, 1e-3] }, 50.0);
    }

    #[test]
    fn an_l_is_two_rectangles_or_one_less_another() {
        let rectangle = |length, width| Shape::Rectangle { length, width };
        let two = [Part::Add(rectangle(24.0, 10.0)), Part::Add(rectangle(14.0, 16.0))];
        let less = [Part::Add(rectangle(24.0, 26.0)), Part::TakeOff(rectangle(10.0, 16.0))];
        for parts in [two, less] {
            let found = parts_area(&parts).unwrap();
            assert!((found.value.value() - 464.0).abs() < 1e-9, "{found:?}");
            assert_eq!(found.working.inputs.len(), 4, "every length is shown");
        }
    }

    #[test]
    fn lengths_that_make_no_shape_are_named() {
        let argument = |shape| shape_area(shape).unwrap_err().argument();
        assert_eq!(argument(Shape::Triangle { sides: [1.0, 2.0, 3.0] }), "sides", "flat");
        assert_eq!(argument(Shape::Circle { diameter: 0.0 }), "diameter", "none");
        let gone = [Part::TakeOff(Shape::Circle { diameter: 1.0 })];
        assert_eq!(parts_area(&gone).unwrap_err().argument(), "parts", "nothing left");
        assert_eq!(parts_area(&[]).unwrap_err().argument(), "parts", "no part");
    }
}
