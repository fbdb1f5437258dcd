//! How many packs a dose on so much ground takes, what they cost and what is left over.
//!
//! This module does not own the choice of the cheapest programme.

use swardbook_units::{Area, Dose, Mass, Money, Worked, Working};

use crate::{
    AgronomyError,
    error::{not_negative, positive},
    source,
};

const PURCHASE: &str = "purchase";

/// A dose of one material on one zone.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneDose {
    /// Name of the zone.
    pub zone: String,
    /// Its area; none where it was never measured.
    pub area: Option<Area>,
    /// The dose, all visits together.
    pub dose: Dose,
}

/// A pack as it is sold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pack {
    /// What is in it.
    pub size: Mass,
    /// Its price, where it is known.
    pub price: Option<Money>,
}

/// What to buy of one material.
#[derive(Debug, Clone, PartialEq)]
pub struct Purchase {
    /// What goes on each zone, in the order given.
    pub by_zone: Vec<(String, Mass)>,
    /// What goes on altogether.
    pub needed: Mass,
    /// Taken from what is in the shed.
    pub from_stock: Mass,
    /// Whole packs to buy.
    pub packs: u32,
    /// What they hold.
    pub bought: Mass,
    /// What is left over, with what stays in the shed.
    pub left: Mass,
    /// What they cost, where the price is known.
    pub cost: Option<Money>,
}

/// Packs that cover the doses of the zones beyond what is in stock.
///
/// # Units  kg, m2, g/m2.
/// # Errors `Refused` naming a zone without an area; `Argument` for a negative dose or stock, an area or
/// pack that is not above zero; `Refused` when the packs or their price cannot be counted.
/// # Source `definition`.
pub fn purchase(
    doses: &[ZoneDose],
    pack: &Pack,
    stock: Mass,
) -> Result<Worked<Purchase>, AgronomyError> {
    let size = positive(PURCHASE, "pack", pack.size.value(), Mass::UNIT)?;
    let stock = not_negative(PURCHASE, "stock", stock.value(), Mass::UNIT)?;
    let mut working = Working::new("packs = ceil((sum(dose x area) - stock) / pack)");
    let mut by_zone = Vec::new();
    let mut needed = 0.0;
    for one in doses {
        let dose = not_negative(PURCHASE, "dose", one.dose.value(), Dose::UNIT)?;
        let Some(area) = one.area else {
            return Err(AgronomyError::Refused {
                operation: PURCHASE,
                argument: "area",
                why: format!(
                    "\"{}\" has no area; draw its outline or measure it before anything is bought",
                    one.zone
                ),
            });
        };
        let area = positive(PURCHASE, "area", area.value(), Area::UNIT)?;
        let mass = Dose(dose) * Area(area);
        working = working.step(
            &one.zone,
            format!("{dose} g/m2 x {area} m2 / 1000"),
            mass.value(),
            Mass::UNIT,
        );
        needed += mass.value();
        by_zone.push((one.zone.clone(), mass));
    }
    let from_stock = stock.min(needed);
    let to_buy = needed - from_stock;
    // What is over a whole pack only by rounding does not take another one.
    let packs = (to_buy / size - 1e-9).ceil().max(0.0);
    if packs > 1e6 {
        return Err(AgronomyError::Refused {
            operation: PURCHASE,
            argument: "pack",
            why: format!("{packs} packs; check the size of the pack and the units"),
        });
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole, not negative and bounded by a million"
    )]
    let count = packs as u32;
    let bought = packs * size;
    let left = stock + bought - needed;
    let cost = pack
        .price
        .map(|price| {
            price.times(count).map_err(|error| AgronomyError::Refused {
                operation: PURCHASE,
                argument: "price",
                why: error.to_string(),
            })
        })
        .transpose()?;
    working = working
        .given("Pack", size, Mass::UNIT)
        .given("In stock", stock, Mass::UNIT)
        .step("needed", format!("sum over {} zones", doses.len()), needed, Mass::UNIT)
        .step("packs", format!("ceil(({needed:.3} - {from_stock:.3}) / {size})"), packs, "")
        .step("left over", format!("{stock} + {bought:.3} - {needed:.3}"), left, Mass::UNIT)
        .source(source("definition"));
    if let Some(cost) = &cost {
        working =
            working.step("cost", format!("{count} packs"), cost.major(), cost.currency.letters());
    }
    Ok(Worked::new(
        Purchase {
            by_zone,
            needed: Mass(needed),
            from_stock: Mass(from_stock),
            packs: count,
            bought: Mass(bought),
            left: Mass(left),
            cost,
        },
        working,
    ))
}

#[cfg(test)]
mod tests {
    use swardbook_units::Currency;

    use super::*;

    fn zone(name: &str, area: Option<f64>, dose: f64) -> ZoneDose {
        ZoneDose { zone: name.to_owned(), area: area.map(Area), dose: Dose(dose) }
    }

    fn pack() -> Pack {
        let aud = Currency::parse("AUD").unwrap();
        Pack { size: Mass(25.0), price: Some(Money::from_major(18.95, aud).unwrap()) }
    }

    #[test]
    fn whole_packs_with_what_is_left() {
        // 200 g/m2 on 184 m2 and on 66 m2 is 50 kg: two packs, nothing left.
        let doses =
            [zone("front verge", Some(184.0), 200.0), zone("back terrace", Some(66.0), 200.0)];
        let got = purchase(&doses, &pack(), Mass(0.0)).unwrap().value;
        assert_eq!(got.packs, 2, "no third pack for a rounding error");
        assert!(got.left.value().abs() < 1e-9, "{:?}", got.left);
        assert_eq!(got.cost.unwrap().to_string(), "AUD 37.90", "to the cent");
        assert!((got.by_zone[0].1.value() - 36.8).abs() < 1e-9, "by zone");
        let more = [zone("front verge", Some(190.0), 200.0)];
        let got = purchase(&more, &pack(), Mass(5.0)).unwrap().value;
        assert_eq!(got.packs, 2, "33 kg beyond the stock");
        assert!((got.left.value() - 17.0).abs() < 1e-9, "{:?}", got.left);
    }

    #[test]
    fn stock_that_is_enough_buys_nothing() {
        let got = purchase(&[zone("verge", Some(10.0), 100.0)], &pack(), Mass(40.0)).unwrap().value;
        assert_eq!(got.packs, 0, "in the shed");
        assert!((got.left.value() - 39.0).abs() < 1e-9, "stays in the shed");
        assert_eq!(got.cost.unwrap().minor, 0, "costs nothing");
    }

    #[test]
    fn a_zone_without_an_area_is_refused_by_its_name() {
        let doses = [zone("front verge", Some(184.0), 20.0), zone("nature-strip", None, 20.0)];
        let error = purchase(&doses, &pack(), Mass(0.0)).unwrap_err();
        assert_eq!(error.argument(), "area", "the field");
        assert!(error.to_string().contains("nature-strip"), "{error}");
    }

    #[test]
    fn a_pack_of_nothing_is_refused() {
        let none = Pack { size: Mass(0.0), price: None };
        assert_eq!(purchase(&[], &none, Mass(0.0)).unwrap_err().argument(), "pack", "named");
    }
}
