//! Numbers that know their unit: one canonical unit a type, no arithmetic that would mean nothing.

/// Declares a newtype over `f64` with one canonical unit.
macro_rules! quantity {
    ($(#[$doc:meta])* pub struct $name:ident in $unit:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(pub f64);

        impl $name {
            /// The canonical unit's symbol.
            pub const UNIT: &'static str = $unit;

            /// The bare number in the canonical unit.
            #[must_use]
            pub const fn value(self) -> f64 {
                self.0
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                self.0.fmt(f)?;
                f.write_str(concat!(" ", $unit))
            }
        }
    };
}

quantity! { /// A mass of material, soil or nutrient.
pub struct Mass in "kg" }
quantity! { /// A plan area of turf.
pub struct Area in "m2" }
quantity! { /// A volume of liquid.
pub struct Volume in "L" }
quantity! { /// A depth in the soil, from the surface down.
pub struct Depth in "mm" }
quantity! { /// Oven-dry mass of undisturbed soil over its volume.
pub struct BulkDensity in "t/m3" }
quantity! { /// Mass put on, or held in the root zone, over area.
pub struct Dose in "g/m2" }
quantity! { /// Mass of an extracted element over mass of air-dry soil, by one named method.
pub struct Content in "mg/kg" }
quantity! { /// Moles of charge over mass of soil; equal in number to meq/100 g.
pub struct Charge in "cmol/kg" }
quantity! { /// Electrical conductivity at 25 degrees Celsius.
pub struct Conductivity in "dS/m" }
quantity! { /// A share of a hundred.
pub struct Percent in "%" }
quantity! { /// Acidity on a named scale (water, calcium chloride, buffer).
pub struct Ph in "pH" }

impl std::ops::Mul<Area> for Dose {
    type Output = Mass;
    fn mul(self, area: Area) -> Mass {
        Mass(self.0 * area.0 / 1000.0)
    }
}

impl std::ops::Div<Area> for Mass {
    type Output = Dose;
    fn div(self, area: Area) -> Dose {
        Dose(self.0 * 1000.0 / area.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dose_over_an_area_is_a_mass_and_back() {
        let mass = Dose(20.0) * Area(184.0);
        assert!((mass.value() - 3.68).abs() < 1e-12, "20 g/m2 on 184 m2 is 3.68 kg");
        let dose = mass / Area(184.0);
        assert!((dose.value() - 20.0).abs() < 1e-12, "and back");
    }
}
