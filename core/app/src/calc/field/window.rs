//! When the ground is clear to sample, and by when it has to be sampled.

use swardbook_agronomy::sampling::{
    calendar::{Calendar, CalendarQuestion, Span, Steps, calendar},
    clear_date::{ApplicationKind, PastApplication, Wait, clear_date},
    season::season_match,
};
use swardbook_units::{NaiveDate, Source, Worked};

use crate::{
    Problem,
    calc::{
        Answer, Calculation, Given, InputKind, InputSpec as In, OutputSpec as Out, ResultValue,
    },
};

const DAYS: (f64, f64) = (0.0, 3650.0);
const HABIT: &str = "common practice, no source";

const fn days(name: &'static str, about: &'static str) -> In {
    In::of(name, InputKind::Count, about).in_unit("d", DAYS)
}

const APPLICATION: &[In] = &[
    In::of("what", InputKind::Text, "what was put on, in words").optional(),
    In::of("day", InputKind::Date, "the day it was put on"),
    In::of(
        "kind",
        InputKind::Word(&["liquid", "granular", "organic", "gypsum", "sulfur", "lime"]),
        "what kind it was, which sets how long to wait",
    ),
    days("wait", "days to wait after it, where a label or laboratory says").optional(),
];

pub(in crate::calc) const SAMPLING_WINDOW: Calculation = Calculation {
    id: "sampling-window",
    title: "From when and until when to sample",
    inputs: &[
        In::of("applications", InputKind::Rows(APPLICATION), "everything put on of late")
            .optional(),
        In::of("renovation", InputKind::Date, "the day of the renovation").optional(),
        In::of("today", InputKind::Date, "the first day on which somebody can sample").optional(),
        In::of("baseline", InputKind::Date, "the day of the sample that this one retests")
            .optional(),
        days("posting", "days in the post").or_default("3", HABIT),
        days("laboratory", "days at the laboratory, two to three weeks")
            .or_default("21", "common practice, no source: the longer end of two to three weeks"),
        days("planning", "days to read the panel and order").or_default("2", HABIT),
        days("delivery", "days from order to delivery").or_default("7", HABIT),
    ],
    outputs: &[
        Out::new("clear", "", "first day clear of everything put on"),
        Out::new("ruled_by", "", "what rules that day"),
        Out::new("clear_days", "", "the clear day of each application"),
        Out::new("earliest", "", "first day to sample, with a renovation"),
        Out::new("latest", "", "last day to sample, with a renovation"),
        Out::new("at_laboratory", "", "last day for the laboratory to have it"),
        Out::new("panel", "", "last day for the panel"),
        Out::new("order", "", "last day to order"),
        Out::new("days_to_spare", "d", "days to spare, negative when they are missing"),
        Out::new("can_be_met", "", "whether a sample in time is possible"),
        Out::new("choices", "", "what can be done where it is not"),
        Out::new("season_apart", "d", "days between the seasons of baseline and sample"),
    ],
    sources: &[
        "common-practice",
        "north-carolina-lime-factors",
        "lime-response-notes",
        "horneck-ec1478",
        "rayment-lyons-2011",
    ],
    run,
};

fn run(given: &Given) -> Result<Answer, Problem> {
    let applications = given.rows("applications").iter().map(application).collect::<Vec<_>>();
    let Worked { value: clear, working } = clear_date(&applications)?;
    let ruled_by = clear.ruled_by.map(|place| applications[place].what.clone());
    let mut answer = Answer::new(working)
        .value("clear", day_or_none(clear.day))
        .value("ruled_by", ruled_by.map_or(ResultValue::None(()), ResultValue::Words))
        .value(
            "clear_days",
            ResultValue::List(clear.each.iter().map(|day| day_or_none(Some(*day))).collect()),
        );
    let mut sample_on = clear.day;
    if let Some(renovation) = given.date_if("renovation") {
        let today = given.date_if("today").ok_or_else(|| {
            Problem::missing("today", "give the first day on which somebody can sample")
        })?;
        let question =
            CalendarQuestion { renovation, today, clear: clear.day, steps: steps(given) };
        let Worked { value, working } = calendar(&question)?;
        sample_on = Some(value.earliest);
        answer = with_calendar(answer, &value).with_working(|earlier| working.after(&earlier));
    } else if let Some(today) = given.date_if("today") {
        sample_on = Some(clear.day.map_or(today, |clear| clear.max(today)));
    }
    if let (Some(baseline), Some(sample)) = (given.date_if("baseline"), sample_on) {
        let Worked { value, working } = season_match(baseline, sample);
        answer = answer
            .quantity("season_apart", value.days_apart, "d")
            .with_working(|earlier| working.after(&earlier));
    }
    Ok(answer)
}

fn application(row: &Given) -> PastApplication {
    let kind = ApplicationKind::find(row.word("kind")).expect("the words are those of the kinds");
    let what = row.word_if("what").unwrap_or(kind.id());
    let mut put_on = PastApplication::with_default_wait(what, row.date("day"), kind);
    if let Some(wait) = row.count_if("wait") {
        put_on.withholding.wait = Wait::Days(wait);
        put_on.withholding.why = "as given".to_owned();
        put_on.withholding.source = as_given();
    }
    put_on
}

/// A wait that a label or laboratory set is not ours to vouch for.
fn as_given() -> Source {
    swardbook_agronomy::source("definition")
}

fn steps(given: &Given) -> Steps {
    let usual = Steps::usual();
    let span = |name: &str, usual: Span| {
        if given.is_default(name) { usual } else { Span::given(given.count(name)) }
    };
    Steps {
        posting: span("posting", usual.posting),
        laboratory: span("laboratory", usual.laboratory),
        planning: span("planning", usual.planning),
        delivery: span("delivery", usual.delivery),
    }
}

fn day_or_none(day: Option<NaiveDate>) -> ResultValue {
    day.map_or(ResultValue::None(()), |day| ResultValue::Words(day.to_string()))
}

fn with_calendar(answer: Answer, found: &Calendar) -> Answer {
    let choices = found.choices.iter().map(|choice| ResultValue::Words(choice.words())).collect();
    answer
        .words("earliest", found.earliest.to_string())
        .words("latest", found.latest.to_string())
        .words("at_laboratory", found.at_laboratory.to_string())
        .words("panel", found.panel.to_string())
        .words("order", found.order.to_string())
        .quantity("days_to_spare", found.slack_days as f64, "d")
        .flag("can_be_met", found.can_be_met())
        .value("choices", ResultValue::List(choices))
}
