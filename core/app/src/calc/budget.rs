//! What a list of materials costs in whole packs, against the money there is.

use swardbook_agronomy::purchase::{Pack, ZoneDose, purchase};
use swardbook_units::{Area, Currency, Dose, Mass, Money, Working};

use super::{
    Answer, Calculation, Given, InputKind, InputSpec as In, OutputSpec as Out, ResultValue,
};
use crate::Problem;

const LINE: &[In] = &[
    In::of("material", InputKind::Text, "what is bought"),
    In::number("dose", Dose::UNIT, (0.0, 20_000.0), "dose of the material"),
    In::number("area", Area::UNIT, (0.01, 1e8), "ground it goes on"),
    In::number("pack", Mass::UNIT, (0.001, 50_000.0), "mass of one pack"),
    In::number("price", "", (0.0, 1e9), "price of one pack, in the currency"),
    In::number("stock", Mass::UNIT, (0.0, 1e7), "what is in the shed")
        .or_default("0", "nothing in stock"),
];

pub(super) const BUDGET: Calculation = Calculation {
    id: "budget",
    title: "Packs and cost of a list of materials, against the money there is",
    inputs: &[
        In::of("lines", InputKind::Rows(LINE), "one for each material"),
        In::of("currency", InputKind::Text, "three letters of ISO 4217"),
        In::number("limit", "", (0.0, 1e12), "the money there is, in the currency").optional(),
    ],
    outputs: &[
        Out::new("lines", "", "packs, cost and what is left of each material"),
        Out::new("cost", "", "sum, in the currency"),
        Out::new("left", "", "the limit less the sum; below zero where it does not suffice"),
        Out::new("suffices", "", "whether the money does"),
    ],
    sources: &["definition"],
    run,
};

fn run(given: &Given) -> Result<Answer, Problem> {
    let currency = Currency::parse(given.word("currency"))
        .map_err(|e| Problem::bad("currency", e.to_string()))?;
    let mut working = Working::new("cost = sum of ceil((dose x area - stock) / pack) x price");
    let mut sum = Money { minor: 0, currency };
    let mut parts = Vec::new();
    for line in given.rows("lines") {
        let name = line.word("material");
        let dose = ZoneDose {
            zone: name.to_owned(),
            area: Some(Area(line.number("area"))),
            dose: Dose(line.number("dose")),
        };
        let price = Money::from_major(line.number("price"), currency)?;
        let pack = Pack { size: Mass(line.number("pack")), price: Some(price) };
        let worked = purchase(&[dose], &pack, Mass(line.number("stock")))?;
        let bought = worked.value;
        let cost = bought.cost.ok_or_else(|| Problem::missing("price", "say what a pack costs"))?;
        sum.minor = sum.minor.checked_add(cost.minor).ok_or_else(|| {
            Problem::bad("lines", "the sum of these costs is more money than can be counted")
        })?;
        working = working.after(&worked.working).step(
            name,
            format!("{} packs x {}", bought.packs, price.major()),
            cost.major(),
            currency.letters(),
        );
        parts.push(
            Answer::new(Working::default())
                .words("material", name)
                .quantity("needed", bought.needed.value(), Mass::UNIT)
                .quantity("packs", f64::from(bought.packs), "")
                .quantity("left", bought.left.value(), Mass::UNIT)
                .quantity("cost", cost.major(), currency.letters())
                .into_parts(),
        );
    }
    let mut answer = Answer::new(working).value("lines", ResultValue::List(parts)).quantity(
        "cost",
        sum.major(),
        currency.letters(),
    );
    if let Some(limit) = given.number_if("limit") {
        let left = Money { minor: Money::from_major(limit, currency)?.minor - sum.minor, currency };
        answer = answer
            .quantity("left", left.major(), currency.letters())
            .flag("suffices", left.minor >= 0);
    } else {
        answer =
            answer.value("left", ResultValue::None(())).value("suffices", ResultValue::None(()));
    }
    Ok(answer)
}
