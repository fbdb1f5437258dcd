//! Area between a base line and a curved edge, from widths measured square to the line.

use swardbook_units::{Area, Worked, Working};

use crate::{
    AgronomyError,
    error::{not_negative, within},
    source,
};

/// One width measured square to the base line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offset {
    /// Where along the line, m.
    pub at: f64,
    /// From the line to the edge, or from edge to edge across it, m.
    pub width: f64,
}

/// Area by both rules.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OffsetArea {
    /// Edge taken as straight between the widths: holds for any spacing.
    pub trapezoidal: Area,
    /// Edge taken as parabolas through three widths each; `None` where the spacing is not even or
    /// the number of widths is.
    pub simpson: Option<Area>,
}

impl OffsetArea {
    /// The one to use: by parabolas where they can be drawn.
    #[must_use]
    pub fn best(&self) -> Area {
        self.simpson.unwrap_or(self.trapezoidal)
    }
}

const OPERATION: &str = "area by offsets";

/// Area from offsets to a base line.
///
/// # Units  metres in, m2 out.
/// # Shape  `offsets`: along the line, the first and last at its ends; a width of zero where the edge
///   meets the line.
/// # Errors `Missing` with fewer than two, `Argument` for a negative width, `Refused` when the places
///   do not go forward or all widths are zero.
/// # Source `survey-offsets-notes`: trapezoidal rule and Simpson's rule.
pub fn offset_area(offsets: &[Offset]) -> Result<Worked<OffsetArea>, AgronomyError> {
    if offsets.len() < 2 {
        return Err(AgronomyError::Missing {
            operation: OPERATION,
            argument: "offsets",
            remedy: "give two widths or more, the first and last at the ends of the line",
        });
    }
    let mut working = Working::new("trapezoidal = sum((w_i + w_(i+1)) / 2 x (x_(i+1) - x_i))");
    for offset in offsets {
        within(OPERATION, "at", offset.at, "m", -1e6, 1e6)?;
        not_negative(OPERATION, "width", offset.width, "m")?;
        working = working.given(&format!("Width at {} m", offset.at), offset.width, "m");
    }
    let mut trapezoidal = 0.0;
    for pair in offsets.windows(2) {
        let step = pair[1].at - pair[0].at;
        if step <= 0.0 {
            return Err(AgronomyError::Refused {
                operation: OPERATION,
                argument: "at",
                why: format!("{} m does not lie beyond {} m", pair[1].at, pair[0].at),
            });
        }
        trapezoidal += 0.5 * (pair[0].width + pair[1].width) * step;
    }
    if trapezoidal <= 0.0 {
        return Err(AgronomyError::Refused {
            operation: OPERATION,
            argument: "width",
            why: "all widths are zero".to_owned(),
        });
    }
    let working = working
        .step(
            "area by the trapezoidal rule",
            format!("over {} strips", offsets.len() - 1),
            trapezoidal,
            "m2",
        )
        .source(source("survey-offsets-notes"));
    let (simpson, mut working) = match even_spacing(offsets) {
        Some(d) if offsets.len() % 2 == 1 => {
            let area = by_parabolas(offsets, d);
            let mut working = working.step(
                "area by Simpson's rule",
                format!("{d} / 3 x (first + last + 4 x odd + 2 x even)"),
                area,
                "m2",
            );
            working.equation.push(
                "Simpson = d / 3 x (first + last + 4 sum(odd) + 2 sum(even)), d the even spacing"
                    .to_owned(),
            );
            (Some(Area(area)), working)
        }
        _ => (
            None,
            working.caution(
                "Simpson's rule needs even spacing and an odd number of widths: only the \
                 trapezoidal rule is used, which cuts corners of a bulging edge.",
            ),
        ),
    };
    if let Some(simpson) = simpson
        && (simpson.value() - trapezoidal).abs() > 0.05 * trapezoidal
    {
        working = working.caution(
            "The two rules differ by more than 5 %: the edge bends more than the spacing shows; \
             measure more widths.",
        );
    }
    Ok(Worked::new(OffsetArea { trapezoidal: Area(trapezoidal), simpson }, working))
}

/// The spacing, where it is the same all along to a thousandth.
fn even_spacing(offsets: &[Offset]) -> Option<f64> {
    let strips = (offsets.len() - 1) as f64;
    let d = (offsets[offsets.len() - 1].at - offsets[0].at) / strips;
    offsets.windows(2).all(|pair| (pair[1].at - pair[0].at - d).abs() <= 1e-3 * d).then_some(d)
}

fn by_parabolas(offsets: &[Offset], d: f64) -> f64 {
    let last = offsets.len() - 1;
    let weighted = |(place, offset): (usize, &Offset)| {
        let weight = match place {
            0 => 1.0,
            place if place == last => 1.0,
            place if place % 2 == 1 => 4.0,
            _ => 2.0,
        };
        weight * offset.width
    };
    d / 3.0 * offsets.iter().enumerate().map(weighted).sum::<f64>()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn offsets(rows: &[(f64, f64)]) -> Vec<Offset> {
        rows.iter().map(|(at, width)| Offset { at: *at, width: *width }).collect()
    }

    #[test]
    fn a_parabola_is_met_exactly_and_the_trapezoids_cut_it() {
        // width = x (4 - x) over 0 to 4: area 32 / 3.
        let rows: Vec<(f64, f64)> =
            [0.0, 1.0, 2.0, 3.0, 4.0].iter().map(|x| (*x, x * (4.0 - x))).collect();
        let found = offset_area(&offsets(&rows)).unwrap();
        assert!((found.value.best().value() - 32.0 / 3.0).abs() < 1e-12, "{found:?}");
        assert!((found.value.trapezoidal.value() - 10.0).abs() < 1e-12, "{found:?}");
        assert!(found.working.cautions.iter().any(|c| c.contains("5 %")), "6 % apart is said");
    }

    #[test]
    fn uneven_or_even_numbers_of_widths_have_only_trapezoids() {
        for rows in [
            vec![(0.0, 1.0), (1.0, 2.0), (3.0, 2.0)],
            vec![(0.0, 1.0), (1.0, 2.0), (2.0, 2.0), (3.0, 2.0)],
        ] {
            let found = offset_area(&offsets(&rows)).unwrap();
            assert!(found.value.simpson.is_none(), "{found:?}");
            assert!((found.value.best().value() - 5.5).abs() < 1e-12, "{found:?}");
            assert!(found.working.cautions.iter().any(|c| c.contains("even spacing")), "said");
        }
    }

    #[test]
    fn places_that_do_not_go_forward_are_refused() {
        let argument = |rows: &[(f64, f64)]| offset_area(&offsets(rows)).unwrap_err().argument();
        assert_eq!(argument(&[(0.0, 1.0), (0.0, 2.0)]), "at", "the same place");
        assert_eq!(argument(&[(0.0, 1.0)]), "offsets", "one width");
        assert_eq!(argument(&[(0.0, 1.0), (1.0, -2.0)]), "width", "negative");
        assert_eq!(argument(&[(0.0, 0.0), (1.0, 0.0)]), "width", "nothing");
    }
}
