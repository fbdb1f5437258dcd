//! The calcium source with its reasons, and how much of it.

use serde::Serialize;
use swardbook_agronomy::{
    acidity::AcidityScale,
    calcium_source::{
        CalciumEvidence, CalciumSource, SodiumStanding, Standing, acidity_standing,
        choose_calcium_source, sodium_standing,
    },
    cations::{Capacity, cation_summary},
    gypsum::{DEFAULT_EXCESS, GypsumAim, gypsum_need, sodium_to_replace},
    interpret::composite_spread,
    lime::{LimeAim, LimeComparison, compare_lime_needs},
    materials::Material,
    neutralising_value::product_dose,
    sulfur::FreeCarbonate,
};
use swardbook_journal::records::Carbonate;
use swardbook_units::{Charge, Dose, Percent};
use ts_rs::TS;

use super::{
    PlanRequest,
    ground::PlanGround,
    lime::{LimeView, Target, lime_readings, lime_view, target, used_answer},
    visits::Wanted,
};
use crate::{
    Notebook, Problem,
    dto::WorkingDto,
    panel::PanelContext,
    standing::{Read, Soil},
};

/// The calcium source.
#[derive(Debug, Clone, PartialEq, Serialize, TS)]
pub struct CalciumView {
    /// The source planned with, by id.
    pub chosen: String,
    /// In words.
    pub chosen_words: String,
    /// Whether a person chose it.
    pub by_person: bool,
    /// What the readings leave to choose from, the likeliest first, by id.
    pub choices: Vec<String>,
    /// Why, in full sentences.
    pub reasons: Vec<String>,
    /// What differs between the choices.
    pub differences: Vec<String>,
    /// What would settle it.
    pub settle: Vec<String>,
    /// How it came about.
    pub working: WorkingDto,
    /// The lime need, where lime is called for.
    pub lime: Option<LimeView>,
    /// Gypsum for sodium, g/m2 of the material as sold.
    pub gypsum_g_m2: Option<f64>,
    /// How that came about.
    pub gypsum_working: Option<WorkingDto>,
}

/// Share of sodium that gypsum aims at, %; common practice, no source: just below sodic.
const SODIUM_AIM: f64 = 5.0;
/// Half of a nine-in-ten interval, in standard uncertainties.
const NINE_IN_TEN: f64 = 1.645;

/// The choice with what it needs.
#[derive(Debug)]
pub(super) struct CalciumChoice {
    pub(super) view: CalciumView,
    pub(super) source: CalciumSource,
    lime: Option<LimeComparison>,
    used: Option<usize>,
    sodium: Option<Charge>,
    layer: swardbook_agronomy::reading::SoilLayer,
}

impl CalciumChoice {
    /// Works out the source and the lime need.
    pub(super) fn work_out(
        request: &PlanRequest,
        context: &PanelContext,
        read: &Read,
        ground: &PlanGround,
    ) -> Result<Self, Problem> {
        let soil = Soil::new(&read.readings, &context.ground());
        let target = target(request)?;
        let evidence = evidence(&soil, context, read, &target, request)?;
        let decision = choose_calcium_source(&evidence)?;
        let chosen = match &request.calcium_source {
            None => decision.value.choices[0],
            Some(id) => source_by_id(id)?,
        };
        let mut view = CalciumView {
            chosen: chosen.id().to_owned(),
            chosen_words: chosen.name().to_owned(),
            by_person: request.calcium_source.is_some(),
            choices: decision.value.choices.iter().map(|c| c.id().to_owned()).collect(),
            reasons: decision.value.reasons.clone(),
            differences: decision.value.differences.clone(),
            settle: decision.value.settle.clone(),
            working: WorkingDto::from(&decision.working),
            lime: None,
            gypsum_g_m2: None,
            gypsum_working: None,
        };
        let mut choice = Self {
            source: chosen,
            lime: None,
            used: None,
            sodium: None,
            layer: ground.layer,
            view: view.clone(),
        };
        if chosen.limes() {
            let readings = lime_readings(&soil, context);
            let aim = LimeAim::to(target.aim, ground.layer);
            let comparison = compare_lime_needs(&readings, &aim);
            let used = used_answer(&comparison, request)?;
            view.lime = Some(lime_view(&comparison, used, &target));
            choice.lime = Some(comparison);
            choice.used = used;
        }
        if chosen.materials().contains(&"gypsum")
            && evidence.sodium != SodiumStanding::NotSodic
            && let Some((cec, esp)) = exchange(&soil)
        {
            let worked = sodium_to_replace(Charge(cec), Percent(esp), Percent(SODIUM_AIM))?;
            choice.sodium = Some(worked.value);
        }
        choice.view = view;
        Ok(choice)
    }

    /// Pure calcium carbonate of the answer used, and its working.
    fn lime_used(&self) -> Option<(Dose, &swardbook_units::Working)> {
        let answer = self.lime.as_ref()?.answers.get(self.used?)?;
        Some((answer.need, &answer.working))
    }
}

fn source_by_id(id: &str) -> Result<CalciumSource, Problem> {
    use CalciumSource as C;
    let all = [
        C::CalciticLime,
        C::Dolomite,
        C::Gypsum,
        C::CalciticLimeWithGypsum,
        C::DolomiteWithGypsum,
        C::None,
    ];
    all.into_iter().find(|source| source.id() == id).ok_or_else(|| {
        let known = all.map(CalciumSource::id).join(", ");
        Problem::bad("calcium_source", format!("\"{id}\" is no calcium source; there are {known}"))
    })
}

/// The standard uncertainty of a reading on its analyte's scale; zero where no scatter is known.
fn spread_of(read: &Read, analyte: &str) -> f64 {
    let Some(reading) = read.readings.iter().find(|r| r.analyte().id == analyte) else {
        return 0.0;
    };
    composite_spread(reading.analyte(), &read.sampling(), &read.own)
        .map_or(0.0, |worked| worked.value.u)
}

fn exchange(soil: &Soil<'_>) -> Option<(f64, f64)> {
    let cations = soil.cations()?;
    let capacity = soil
        .capacity()
        .map_or(Capacity::SumOfCations, |reported| Capacity::Reported(Charge(reported)));
    let summary = cation_summary(&cations, capacity).ok()?.value;
    Some((summary.capacity.value(), summary.esp.value()))
}

fn evidence(
    soil: &Soil<'_>,
    context: &PanelContext,
    read: &Read,
    target: &Target,
    request: &PlanRequest,
) -> Result<CalciumEvidence, Problem> {
    let ph = soil.ph().ok_or_else(|| {
        Problem::missing("ph", "read the pH first: it decides between lime and gypsum")
    })?;
    let analyte = match ph.scale {
        AcidityScale::Water => "ph-water",
        AcidityScale::CalciumChloride => "ph-cacl2",
    };
    let half_width = NINE_IN_TEN * spread_of(read, analyte);
    let standing = |analyte: &str| {
        PanelContext::verdict_on(read, analyte, request.guideline.as_deref())
            .map_or(Standing::Unknown, |judged| Standing::from(judged.verdict))
    };
    let sodium = match exchange(soil) {
        None => SodiumStanding::Unknown,
        Some((_, esp)) => {
            let spread = spread_of(read, "na");
            let half = esp * ((NINE_IN_TEN * spread).exp() - 1.0);
            sodium_standing(Percent(esp), half)?.value
        }
    };
    Ok(CalciumEvidence {
        acidity: acidity_standing(ph, target.below, half_width)?.value,
        magnesium: standing("mg"),
        calcium: standing("ca"),
        sodium,
        carbonate: match context.zone.carbonate {
            Some(Carbonate::Present) => FreeCarbonate::Present,
            Some(Carbonate::None) => FreeCarbonate::Absent,
            _ => FreeCarbonate::NotTested,
        },
    })
}

impl Notebook {
    /// Turns the choice into doses of materials.
    pub(super) fn want_calcium(
        &mut self,
        request: &PlanRequest,
        choice: &CalciumChoice,
        wanted: &mut Vec<Wanted>,
        notes: &mut Vec<String>,
    ) -> Result<(), Problem> {
        for usual in choice.source.materials() {
            if *usual == "gypsum" {
                self.want_gypsum(request, choice, wanted, notes)?;
                continue;
            }
            let material = self.material_for(request, "acidity", usual)?;
            let Some((pure, working)) = choice.lime_used() else {
                notes.push(
                    "Lime is called for, and no published method has the readings it needs to say \
                     how much: ask the laboratory for a buffer pH."
                        .to_owned(),
                );
                continue;
            };
            if pure.value() <= 0.0 {
                notes.push(format!(
                    "The lime method used finds no need: {}.",
                    choice_reason(choice)
                ));
                continue;
            }
            let value = material.neutralising_value().filter(|nv| nv.value() > 0.0);
            let value = value.ok_or_else(|| {
                Problem::refused(format!("{} does not neutralise acidity", material.name))
                    .at("materials")
            })?;
            let worked = product_dose(pure, value)?;
            let working = working.clone().after(&worked.working);
            wanted.push(Wanted::new("acidity", material, worked.value, working));
        }
        Ok(())
    }

    fn want_gypsum(
        &mut self,
        request: &PlanRequest,
        choice: &CalciumChoice,
        wanted: &mut Vec<Wanted>,
        notes: &mut Vec<String>,
    ) -> Result<(), Problem> {
        let Some(sodium) = choice.sodium else {
            notes.push(
                "Gypsum is called for to bring calcium; its dose follows from the need of calcium."
                    .to_owned(),
            );
            return Ok(());
        };
        let material = self.material_for(request, "sodium", "gypsum")?;
        let aim = GypsumAim {
            sodium,
            layer: choice.layer,
            excess: DEFAULT_EXCESS,
            purity: purity_of(&material)?,
        };
        let worked = gypsum_need(&aim)?;
        if worked.value.value() > 0.0 {
            wanted.push(Wanted::new("sodium", material, worked.value, worked.working));
        }
        Ok(())
    }

    /// The material of a purpose: the person's, or the usual one.
    pub(super) fn material_for(
        &mut self,
        request: &PlanRequest,
        purpose: &str,
        usual: &str,
    ) -> Result<Material, Problem> {
        let name = request.materials.get(purpose).map_or(usual, String::as_str);
        let id = self.find_material("materials", name)?;
        self.material_by_id(&id)
    }
}

fn choice_reason(choice: &CalciumChoice) -> String {
    choice.view.lime.as_ref().map_or_else(String::new, |lime| lime.reason.clone())
}

/// Gypsum in a product, from the calcium it is sold with.
fn purity_of(material: &Material) -> Result<Percent, Problem> {
    let pure = swardbook_agronomy::elements::element_in("CaSO4.2H2O", "Ca")
        .expect("the formula of gypsum holds calcium");
    let share = material.share_of("Ca") / pure;
    if share <= 0.01 {
        return Err(
            Problem::refused(format!("{} brings no calcium", material.name)).at("materials")
        );
    }
    Ok(Percent((share * 100.0).min(100.0)))
}
