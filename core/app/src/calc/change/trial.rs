//! Treated against control, before and after.

use swardbook_agronomy::{
    analyte::Scale,
    trial::{Assignment, Test, Treatment, Trial, TrialPlot, TrialQuestion, plan_trial, trial},
};
use swardbook_stats::baci::TrialPlan;

use super::compare::verdict_word;
use crate::{
    Problem,
    calc::{Answer, Calculation, Given, InputKind, InputSpec as In, OutputSpec as Out},
};

const ANY: (f64, f64) = (-1e9, 1e9);
const COUNT: (f64, f64) = (1.0, 1e6);
const SCATTER: (f64, f64) = (0.0, 1e9);
const HABIT: &str = "common practice, no source";

const PLOTS: &[In] = &[
    In::of("arm", InputKind::Word(&["treated", "control"]), "whether the plot was treated"),
    In::of("block", InputKind::Count, "its block, plots that lie together")
        .in_unit("", (0.0, 1e6))
        .or_default("0", "no blocks"),
    In::number("before", "", ANY, "its reading before"),
    In::number("after", "", ANY, "its reading after"),
];

pub(in crate::calc) const TRIAL: Calculation = Calculation {
    id: "trial",
    title: "Whether the treatment did it, or what a planned trial could see",
    inputs: &[
        In::of("plots", InputKind::Rows(PLOTS), "every plot with its readings").optional(),
        In::of(
            "assignment",
            InputKind::Word(&["by-lot", "chosen"]),
            "how the treated plots were settled",
        )
        .or_default("chosen", "the careful one: plots count as drawn only when said so"),
        In::of("scale", InputKind::Word(&["linear", "log"]), "scale on which errors are even")
            .or_default("linear", "readings as they are; log for concentrations"),
        In::of("unit", InputKind::Text, "the unit of the readings, for the words").optional(),
        In::number("level", "%", (50.0, 99.99), "level of interval and test")
            .or_default("95", HABIT),
        In::of("plots_per_arm", InputKind::Count, "planning: plots in each arm")
            .in_unit("", COUNT)
            .optional(),
        In::number(
            "plot_time",
            "",
            SCATTER,
            "planning: scatter of a plot's change that has no cause",
        )
        .optional(),
        In::number("core_scatter", "", SCATTER, "planning: scatter between cores").optional(),
        In::of("cores", InputKind::Count, "planning: cores of each composite")
            .in_unit("", COUNT)
            .optional(),
        In::number("laboratory_scatter", "", SCATTER, "planning: scatter in the laboratory")
            .or_default("0", "left out unless given"),
        In::of("repeats", InputKind::Count, "planning: repeats in the laboratory")
            .in_unit("", COUNT)
            .or_default("1", HABIT),
        In::number("power", "%", (50.0, 99.9), "planning: how often the effect is to be found")
            .or_default("80", HABIT),
    ],
    outputs: &[
        Out::new("verdict", "", "rise, fall or cannot-tell"),
        Out::new("words", "", "the verdict in a sentence"),
        Out::new("because", "", "whether a cause is borne out"),
        Out::new("effect", "", "the effect, in the unit or in %"),
        Out::new("low", "", "lower end of its interval"),
        Out::new("high", "", "upper end of its interval"),
        Out::new("treated_change", "", "change of the treated, on the scale"),
        Out::new("control_change", "", "change of the control, on the scale"),
        Out::new("standard_error", "", "standard error of the effect, on the scale"),
        Out::new("freedom", "", "its degrees of freedom"),
        Out::new("test", "", "what decided"),
        Out::new("p", "", "two-sided p of that test; none where the design allows none"),
        Out::new("t_p", "", "p of Student's t beside it"),
        Out::new("smallest_p", "", "smallest p the design can reach"),
        Out::new("effect_at_equal_start", "", "effect by analysis of covariance, on the scale"),
        Out::new("p_at_equal_start", "", "its p"),
        Out::new(
            "detectable",
            "",
            "planning: smallest effect found; none where no test is possible",
        ),
    ],
    sources: &["definition"],
    run,
};

fn run(given: &Given) -> Result<Answer, Problem> {
    match (given.rows("plots").is_empty(), given.count_if("plots_per_arm")) {
        (false, None) => tried(given),
        (true, Some(plots_per_arm)) => planned(given, plots_per_arm),
        (false, Some(_)) => {
            Err(Problem::bad("plots_per_arm", "give plots that were read, or a plan, not both"))
        }
        (true, None) => {
            Err(Problem::missing("plots", "give the plots, or plots_per_arm for a plan"))
        }
    }
}

fn tried(given: &Given) -> Result<Answer, Problem> {
    let plots = given.rows("plots").iter().map(|row| TrialPlot {
        treatment: if row.word("arm") == "treated" {
            Treatment::Treated
        } else {
            Treatment::Control
        },
        block: row.count("block") as usize,
        before: row.number("before"),
        after: row.number("after"),
    });
    let question = TrialQuestion {
        scale: if given.word("scale") == "log" { Scale::Log } else { Scale::Linear },
        unit: given.word_if("unit").unwrap_or_default().to_owned(),
        plots: plots.collect(),
        assignment: match given.word("assignment") {
            "by-lot" => Assignment::ByLot,
            _ => Assignment::Chosen,
        },
        level: given.number("level") / 100.0,
    };
    let worked = trial(&question)?;
    Ok(answered(Answer::new(worked.working), &worked.value))
}

fn answered(answer: Answer, found: &Trial) -> Answer {
    let unit = found.shown.unit.as_str();
    let spread = found.standard_error.is_some();
    let test = match found.test {
        Test::BlocksBySigns => "exact, signs over blocks",
        Test::PlotsByLot => "exact, treatment over plots",
        Test::StudentT => "Student's t",
        Test::NotPossible => "no test is possible",
    };
    answer
        .words("verdict", verdict_word(found.verdict))
        .words("words", found.words.clone())
        .flag("because", found.because)
        .quantity("effect", found.shown.change, unit)
        .quantity_if("low", spread.then_some(found.shown.low), unit)
        .quantity_if("high", spread.then_some(found.shown.high), unit)
        .quantity("treated_change", found.treated_change, "")
        .quantity("control_change", found.control_change, "")
        .quantity_if("standard_error", found.standard_error, "")
        .quantity_if("freedom", found.df, "")
        .words("test", test)
        .quantity_if("p", found.p, "")
        .quantity_if("t_p", found.t_p, "")
        .quantity("smallest_p", found.smallest_p, "")
        .quantity_if("effect_at_equal_start", found.at_equal_start.map(|(effect, _)| effect), "")
        .quantity_if("p_at_equal_start", found.at_equal_start.map(|(_, p)| p), "")
}

fn planned(given: &Given, plots_per_arm: u32) -> Result<Answer, Problem> {
    let needed = |name: &str, about: &str| {
        given.number_if(name).ok_or_else(|| Problem::missing(name, about))
    };
    let cores = given
        .count_if("cores")
        .ok_or_else(|| Problem::missing("cores", "give the cores of each composite"))?;
    let plan = TrialPlan {
        plot_time: needed("plot_time", "give the scatter of a plot's change that has no cause")?,
        core: needed("core_scatter", "give the scatter between cores")?,
        laboratory: given.number("laboratory_scatter"),
        plots_per_arm: plots_per_arm as usize,
        cores: cores as usize,
        repeats: given.count("repeats") as usize,
    };
    let worked = plan_trial(&plan, given.number("level") / 100.0, given.number("power") / 100.0)?;
    let found = worked.value;
    Ok(Answer::new(worked.working)
        .quantity("standard_error", found.standard_error, "")
        .quantity("freedom", found.df, "")
        .quantity("smallest_p", found.smallest_p, "")
        .quantity_if("detectable", found.detectable, ""))
}
