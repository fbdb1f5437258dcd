use super::*;

const ACID: CalciumEvidence = CalciumEvidence {
    acidity: AcidityStanding::Acid,
    magnesium: Standing::Enough,
    calcium: Standing::Enough,
    sodium: SodiumStanding::NotSodic,
    carbonate: FreeCarbonate::Absent,
};

fn choices(evidence: &CalciumEvidence) -> Vec<CalciumSource> {
    choose_calcium_source(evidence).unwrap().value.choices
}

#[test]
fn settled_cases_have_one_choice_with_its_reasons() {
    use AcidityStanding as A;
    use CalciumSource as C;
    for (evidence, expected) in [
        (ACID, C::CalciticLime),
        (CalciumEvidence { magnesium: Standing::Short, ..ACID }, C::Dolomite),
        (CalciumEvidence { sodium: SodiumStanding::Sodic, ..ACID }, C::CalciticLimeWithGypsum),
        (
            CalciumEvidence { sodium: SodiumStanding::Sodic, magnesium: Standing::Short, ..ACID },
            C::DolomiteWithGypsum,
        ),
        (CalciumEvidence { acidity: A::NotAcid, calcium: Standing::Short, ..ACID }, C::Gypsum),
        (CalciumEvidence { acidity: A::NotAcid, sodium: SodiumStanding::Sodic, ..ACID }, C::Gypsum),
        (CalciumEvidence { acidity: A::NotAcid, ..ACID }, C::None),
        (CalciumEvidence { acidity: A::Alkaline, magnesium: Standing::Short, ..ACID }, C::None),
        (
            CalciumEvidence { acidity: A::Alkaline, sodium: SodiumStanding::Sodic, ..ACID },
            C::Gypsum,
        ),
    ] {
        let decision = choose_calcium_source(&evidence).unwrap().value;
        assert_eq!(decision.choices, [expected], "{evidence:?}");
        assert!(decision.is_settled() && decision.settle.is_empty(), "{evidence:?}");
        assert!(decision.differences.is_empty(), "nothing to differ: {evidence:?}");
        assert!(decision.reasons.len() >= 2, "{:?}", decision.reasons);
    }
}

#[test]
fn alkaline_ground_never_gets_lime() {
    for magnesium in [Standing::Short, Standing::Enough, Standing::Borderline, Standing::Unknown] {
        for sodium in [SodiumStanding::Sodic, SodiumStanding::Borderline, SodiumStanding::Unknown] {
            for calcium in [Standing::Short, Standing::Borderline, Standing::Unknown] {
                let evidence = CalciumEvidence {
                    acidity: AcidityStanding::Alkaline,
                    magnesium,
                    calcium,
                    sodium,
                    carbonate: FreeCarbonate::Present,
                };
                assert!(choices(&evidence).iter().all(|c| !c.limes()), "{evidence:?}");
            }
        }
    }
}

#[test]
fn a_border_is_said_to_be_one_with_what_differs_and_what_settles_it() {
    let evidence = CalciumEvidence { magnesium: Standing::Borderline, ..ACID };
    let decision = choose_calcium_source(&evidence).unwrap().value;
    assert_eq!(decision.choices, [CalciumSource::CalciticLime, CalciumSource::Dolomite], "both");
    // Dolomite is 13.18 % magnesium by its formula.
    assert!(decision.differences[0].contains("132 g of magnesium"), "{:?}", decision.differences);
    assert!(!decision.settle.is_empty(), "what would settle it");

    let evidence = CalciumEvidence { acidity: AcidityStanding::Borderline, ..ACID };
    let decision = choose_calcium_source(&evidence).unwrap().value;
    assert_eq!(decision.choices, [CalciumSource::None, CalciumSource::CalciticLime], "wait first");
    assert!(decision.differences.iter().any(|d| d.contains("another test")), "said");

    let evidence = CalciumEvidence { sodium: SodiumStanding::Borderline, ..ACID };
    let decision = choose_calcium_source(&evidence).unwrap().value;
    assert_eq!(decision.choices.len(), 2, "{:?}", decision.choices);
    assert!(decision.settle.iter().any(|s| s.contains("jar")), "{:?}", decision.settle);
}

#[test]
fn magnesium_that_was_not_read_is_not_guessed() {
    let evidence = CalciumEvidence { magnesium: Standing::Unknown, ..ACID };
    let decision = choose_calcium_source(&evidence).unwrap().value;
    assert!(!decision.is_settled(), "{:?}", decision.choices);
}

#[test]
fn without_a_ph_nothing_is_said() {
    let evidence = CalciumEvidence { acidity: AcidityStanding::Unknown, ..ACID };
    assert_eq!(choose_calcium_source(&evidence).unwrap_err().argument(), "ph", "named");
}

#[test]
fn no_ratio_decides_and_the_working_says_so() {
    let worked = choose_calcium_source(&ACID).unwrap().working;
    assert!(worked.cautions.iter().any(|c| c == RATIO_CAUTION), "{:?}", worked.cautions);
}
