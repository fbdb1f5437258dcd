//! What a lime is worth, and the dose of it that does the work of pure carbonate.

use swardbook_agronomy::neutralising_value::{
    FinenessScheme, SizeFraction, agricultural_value, effective_by_fraction, fineness_efficiency,
    product_dose, theoretical_neutralising_value, value_from_oxide_scale,
};
use swardbook_units::{Dose, Percent, Worked, Working};

use super::{
    super::{Answer, Calculation, Given, InputKind, InputSpec as In, OutputSpec as Out},
    DOSE, SHARE, joined,
};
use crate::Problem;

const FRACTION: &[In] = &[
    In::number("share", "%", SHARE, "share of the mass"),
    In::number("nv", "%", (0.0, 260.0), "its own neutralising value"),
    In::number("factor", "", (0.0, 1.0), "share of the work that its size does"),
];

pub(super) const NEUTRALISING_VALUE: Calculation = Calculation {
    id: "neutralising-value",
    title: "What a lime is worth, by composition, fineness and moisture",
    inputs: &[
        In::number("nv", "%", (0.0, 260.0), "neutralising value, calcium carbonate = 100")
            .optional(),
        In::number("nv_on_oxide", "%", (0.0, 120.0), "neutralising value printed on calcium oxide")
            .optional(),
        In::of("formula", InputKind::Text, "formula of a pure compound, such as CaMg(CO3)2")
            .optional(),
        In::of(
            "scheme",
            InputKind::Word(&["australia", "western-australia", "mississippi", "cornell"]),
            "the published classes of fineness",
        )
        .optional(),
        In::of(
            "shares",
            InputKind::Numbers,
            "share of each class of the scheme, from the coarsest to the finest",
        )
        .in_unit("%", SHARE)
        .optional(),
        In::number("efficiency", "%", SHARE, "efficiency of the fineness, where it is printed")
            .optional(),
        In::of("fractions", InputKind::Rows(FRACTION), "sizes whose own value was measured")
            .optional(),
        In::number("moisture", "%", SHARE, "water in the lime as it comes")
            .or_default("0", "dry, as neutralising values are stated"),
        In::number("pure", Dose::UNIT, DOSE, "pure, fine calcium carbonate that is needed")
            .optional(),
    ],
    outputs: &[
        Out::new("neutralising_value", "%", "calcium carbonate = 100"),
        Out::new("efficiency", "%", "of the fineness"),
        Out::new("effective_value", "%", "worth against pure, fine, dry calcium carbonate"),
        Out::new("product", Dose::UNIT, "dose of the lime, where a need is given"),
    ],
    sources: &[
        "atomic-weights",
        "rayment-lyons-2011",
        "rb209",
        "dpird-comparing-limes",
        "mississippi-lime-code",
        "cornell-lime-course",
        "penn-state-lawn-notes",
    ],
    run,
};

fn run(given: &Given) -> Result<Answer, Problem> {
    let moisture = Percent(given.number("moisture"));
    let (nv, efficiency, effective) = if given.rows("fractions").is_empty() {
        let nv = own_value(given)?;
        let efficiency = efficiency(given)?;
        let whole = agricultural_value(nv.value, efficiency.value, moisture)?;
        let working = joined(joined(nv.working, &efficiency.working), &whole.working);
        (Some(nv.value), Some(efficiency.value), Worked::new(whole.value, working))
    } else {
        let fractions: Vec<SizeFraction> = given
            .rows("fractions")
            .iter()
            .map(|row| SizeFraction {
                share: Percent(row.number("share")),
                nv: Percent(row.number("nv")),
                factor: row.number("factor"),
            })
            .collect();
        let dry = effective_by_fraction(&fractions)?;
        // The sizes' own values already hold their efficiency; only the water is left to take off.
        let wet = agricultural_value(dry.value, Percent(100.0), moisture)?;
        (None, None, Worked::new(wet.value, joined(dry.working, &wet.working)))
    };
    let product = given
        .number_if("pure")
        .map(|pure| product_dose(Dose(pure), effective.value))
        .transpose()?;
    let working = match &product {
        Some(product) => joined(effective.working, &product.working),
        None => effective.working,
    };
    Ok(Answer::new(working)
        .quantity_if("neutralising_value", nv.map(Percent::value), "%")
        .quantity_if("efficiency", efficiency.map(Percent::value), "%")
        .quantity("effective_value", effective.value.value(), "%")
        .quantity_if("product", product.map(|p| p.value.value()), Dose::UNIT))
}

fn own_value(given: &Given) -> Result<Worked<Percent>, Problem> {
    let named = ["nv", "nv_on_oxide", "formula"].into_iter().filter(|name| match *name {
        "formula" => given.word_if("formula").is_some(),
        number => given.number_if(number).is_some(),
    });
    if named.count() > 1 {
        return Err(Problem::bad(
            "nv",
            "give one of nv, nv_on_oxide and formula: they are three ways to say the same",
        ));
    }
    if let Some(nv) = given.number_if("nv") {
        return Ok(Worked::new(Percent(nv), Working::default()));
    }
    if let Some(nv) = given.number_if("nv_on_oxide") {
        return Ok(value_from_oxide_scale(Percent(nv))?);
    }
    let Some(formula) = given.word_if("formula") else {
        return Err(Problem::missing(
            "nv",
            "give the neutralising value of the label, or the formula of a pure compound",
        ));
    };
    let worked = theoretical_neutralising_value(formula)?;
    if worked.value.value() <= 0.0 {
        return Err(Problem::refused(format!(
            "{formula} neutralises nothing ({:.0} %): no amount of it does the work of lime",
            worked.value.value()
        ))
        .at("formula"));
    }
    Ok(worked)
}

fn efficiency(given: &Given) -> Result<Worked<Percent>, Problem> {
    let shares: Vec<Percent> = given.numbers("shares").iter().copied().map(Percent).collect();
    match (given.word_if("scheme"), given.number_if("efficiency")) {
        (Some(_), Some(_)) => Err(Problem::bad(
            "efficiency",
            "give either the efficiency or the shares by a scheme, not both",
        )),
        (Some(id), None) => {
            let scheme = FinenessScheme::from_id(id)
                .expect("the words of the input are the schemes' keys; a test reads them all");
            Ok(fineness_efficiency(scheme, &shares)?)
        }
        (None, _) if !shares.is_empty() => {
            Err(Problem::missing("scheme", "say by which published classes the shares were sieved"))
        }
        (None, Some(efficiency)) => Ok(Worked::new(Percent(efficiency), Working::default())),
        (None, None) => Ok(Worked::new(
            Percent(100.0),
            Working::default()
                .caution("No fineness was given: taken as fine. Coarse lime is worth less."),
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_words_are_the_schemes() {
        for input in NEUTRALISING_VALUE.inputs {
            if let InputKind::Word(words) = input.kind {
                let schemes: Vec<&str> = FinenessScheme::ALL.iter().map(|s| s.id()).collect();
                assert_eq!(words, schemes, "{}", input.name);
            }
        }
    }
}
